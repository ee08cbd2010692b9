"""The floor plan of a job at a standoff: what stands where, what is judged, what the feet carry, what is marked out.

bodies, spaces = the floor tables, placed by the layout's own stations
rows           = loader's things against the rest, spaces against whatever may stand in them
loads, marks   = from feet, masses and reference points where they are stated
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from standoff.errors import Problem
from standoff.job.caution import Caution
from standoff.job.floor_cautions import floor_warnings
from standoff.job.floor_marks import Marking, marking_of
from standoff.job.floor_places import PRACTICE, STATED, Datums, bodies_of, clearance_mm, datums_of, is_behind, keep_outs_of
from standoff.job.floor_plausible import floor_questions
from standoff.job.job import Job
from standoff.job.level_tables import FootTable
from standoff.job.placement import Placement
from standoff.site.feet import FEWEST, FootLoads, Mass, Pad, foot_loads
from standoff.site.floor import PLAN, Body, FloorCheck, Grade, KeepOut, Need, Owner, Pair, check_pairs, in_order
from standoff.site.floor_spaces import check_keep_outs
from standoff.site.footprint import FloorPlace, Footprint, nearest
from standoff.site.slab import Crossing, Joint, crossings

BEYOND_MM = 100_000.0
"""So far behind what closes the axis the loader is not looked for."""

NEAR_MM = 3000.0
"""A line of a building's plan farther than this from the loader is not judged."""


@dataclass(frozen=True, slots=True)
class BuildingLine:
    """A line of a building's plan, by its layer; its points in the plan's coordinates of this program [mm]."""

    layer: str
    points_mm: tuple[FloorPlace, ...]


@dataclass(frozen=True, slots=True)
class FloorPlan:
    """The answer. The loader's things stand at `standoff_mm`, not shifted; rows are in order, the worst first.

    `wanted` is what would have to be stated for a judgement, `not_stated` which parts of the answer are left out.
    """

    job: Job
    placement: Placement
    standoff_mm: float
    datums: Datums
    shifts_mm: tuple[tuple[str, float], ...]
    bodies: tuple[Body, ...]
    keep_outs: tuple[KeepOut, ...]
    joints: tuple[Joint, ...]
    lines: tuple[Body, ...]
    rows: tuple[FloorCheck, ...]
    crossings: tuple[Crossing, ...]
    pads: tuple[Pad, ...]
    loads: FootLoads | None
    marking: Marking | None
    warnings: tuple[Caution, ...]
    wanted: tuple[Problem, ...]
    not_stated: tuple[str, ...]

    @property
    def stroke_mm(self) -> FloorPlace:
        """The least and the greatest shift of the loader, 0 among them. [mm]"""
        shifts = (0.0, *(shift for _, shift in self.shifts_mm))
        return min(shifts), max(shifts)

    @property
    def grade(self) -> Grade | None:
        """The worst judgement of all rows; None where nothing can be judged yet."""
        return None if self.wanted or not self.rows else self.rows[0].grade

    @property
    def tips(self) -> bool:
        """Whether the loader, as its feet and masses are stated, would tip over."""
        return self.loads is not None and not self.loads.feet

    @property
    def failing(self) -> tuple[FloorCheck, ...]:
        """The rows that do not hold, or are not known to."""
        return tuple(row for row in self.rows if row.grade is not Grade.HOLDS)

    @property
    def extent_mm(self) -> tuple[FloorPlace, FloorPlace]:
        """The least and the greatest x, and the least and the greatest y, of everything but the building's plan."""
        prints = [*(body.footprint for body in self.bodies), *(space.footprint for space in self.keep_outs)]
        corners = [corner for footprint in prints for corner in footprint.corners_mm]
        corners += [place for joint in self.joints for place in (joint.start_mm, joint.end_mm)]
        corners += [(pad.x_mm, pad.y_mm) for pad in self.pads] + [(0.0, 0.0), (self.datums.clamp_mm, 0.0)]
        if self.marking is not None:
            corners += [(point.x_mm, point.y_mm) for point in self.marking.points]
            corners += [(point.x_mm, point.y_mm) for point in self.marking.references]
        xs, ys = [x for x, _ in corners], [y for _, y in corners]
        return (min(xs), max(xs)), (min(ys), max(ys))


def floor_plan(placement: Placement, *, lines: Sequence[BuildingLine] = ()) -> FloorPlan:
    """The floor plan at the standoff the placement is judged at; what is not stated is left out and named."""
    job = placement.job
    datums = datums_of(job, standoff_mm=placement.standoff_mm)
    values_mm = job.layout.values_mm(standoff_mm=placement.standoff_mm, cut_mm=placement.cut_mm)
    shifts_mm = tuple((mode.name, mode.shift.value(values_mm)) for mode in job.layout.modes)
    bodies = bodies_of(job, datums)
    keep_outs = keep_outs_of(job, datums, bodies)
    drawn = _lines(lines)
    rows = _rows(job, datums, bodies, keep_outs, drawn, [shift for _, shift in shifts_mm])
    joints, pads = _joints(job, datums), pads_of(job, datums)
    parted = _crossings(joints, bodies, pads)
    loads = _loads(job, datums, pads, [shift for _, shift in shifts_mm])
    return FloorPlan(
        job=job,
        placement=placement,
        standoff_mm=placement.standoff_mm,
        datums=datums,
        shifts_mm=shifts_mm,
        bodies=bodies,
        keep_outs=keep_outs,
        joints=joints,
        lines=drawn,
        rows=rows,
        crossings=parted,
        pads=pads,
        loads=loads,
        marking=marking_of(job, datums, rear_mm=_rear_mm(bodies, datums)),
        warnings=(*floor_questions(job), *floor_warnings(job, rows, bodies, parted, loads)),
        wanted=tuple(_wanted(bodies)),
        not_stated=tuple(_not_stated(job, loads)),
    )


def _rear_mm(bodies: Sequence[Body], datums: Datums) -> float:
    """The loader's rear end; without a loader on the plan its clamp face. [mm]"""
    return min((body.footprint.x_range_mm[0] for body in bodies if body.owner is Owner.LOADER), default=datums.clamp_mm)


def _lines(lines: Sequence[BuildingLine]) -> tuple[Body, ...]:
    """The building's lines as things on the floor; a line without length is none."""
    return tuple(
        Body(
            id=f"plan-{i}",
            name=f"{line.layer} (building's plan)",
            kind=PLAN,
            owner=Owner.BUILDING,
            footprint=Footprint(line.points_mm, closed=False),
            low_mm=0.0,
            high_mm=math.inf,
            height_stated=False,
        )
        for i, line in enumerate(lines)
        if len(set(line.points_mm)) > 1
    )


def _rows(
    job: Job,
    datums: Datums,
    bodies: tuple[Body, ...],
    keep_outs: tuple[KeepOut, ...],
    drawn: tuple[Body, ...],
    shifts_mm: list[float],
) -> tuple[FloorCheck, ...]:
    ours = [body for body in bodies if body.owner is Owner.LOADER]
    others = [body for body in bodies if body.owner is not Owner.LOADER]
    pairs = [Pair(own, _judged(other, datums), _need(job, datums, own, other)) for own in ours for other in others]
    spaces = check_keep_outs(keep_outs, bodies, shifts_mm=shifts_mm)
    planned = _nearest(job, datums, ours, drawn, shifts_mm)
    return in_order((*check_pairs(pairs, shifts_mm=shifts_mm), *spaces, *planned))


def _judged(other: Body, datums: Datums) -> Body:
    """A thing as the loader is judged against it: behind what closes the axis there is no room for it either."""
    if not is_behind(other, datums):
        return other
    return replace(other, footprint=other.footprint.swept(least_mm=-BEYOND_MM, greatest_mm=0.0))


def _need(job: Job, datums: Datums, own: Body, other: Body) -> Need:
    """What is kept between two things: what either of them says, else the rule that the placement itself keeps there."""
    stated = [mm for mm in (_keeps_mm(job, own), _keeps_mm(job, other)) if mm is not None]
    if stated:
        return Need(max(stated), "room kept around it", STATED)
    for applies, field, reason in (
        (other.kind == "lathe", "rules.cover_clearance", "clearance to the lathe"),
        (is_behind(other, datums), "rules.rear_service", "service space behind the loader"),
    ):
        if applies:
            return Need(job.readings[field].value_mm, reason, _said(job, field))
    given = job.tables.floor is not None and job.tables.floor.clearance is not None
    return Need(clearance_mm(job), "room kept around the loader", STATED if given else PRACTICE)


def _said(job: Job, field: str) -> str:
    """Who says a rule: the job, or the trade."""
    return STATED if job.tables.rules is not None and getattr(job.tables.rules, field.rpartition(".")[2]) else PRACTICE


def _keeps_mm(job: Job, body: Body) -> float | None:
    kind, _, number = body.id.partition("-")
    keeps = job.tables.floor_items[int(number)].keeps if kind == "item" else None
    return keeps[0].value_mm if keeps else None


def _nearest(
    job: Job, datums: Datums, ours: Sequence[Body], drawn: Sequence[Body], shifts_mm: list[float]
) -> Iterator[FloorCheck]:
    """Of each layer of a building's plan the line that is worst for each thing of the loader, if one is near."""
    worst: dict[tuple[str, str, str], FloorCheck] = {}
    least_mm, greatest_mm = min((0.0, *shifts_mm)), max((0.0, *shifts_mm))
    reaches = {own.id: own.footprint.swept(least_mm=least_mm, greatest_mm=greatest_mm) for own in ours}
    # A plan may have ten thousand lines: only those that can be the worst of their layer are judged one by one.
    areas = [area for own in ours for area in (own.footprint, reaches[own.id])]
    layers: dict[str, list[Body]] = {}
    for line in drawn:
        layers.setdefault(line.name, []).append(line)
    sifted = [lines[i] for lines in layers.values() for i in nearest(areas, np.array([line.footprint.shape for line in lines]))]
    for own in ours:
        reach = reaches[own.id]
        near = [Pair(own, line, _need(job, datums, own, line)) for line in sifted if _may_be_near(reach, line.footprint)]
        for row in check_pairs(near, shifts_mm=shifts_mm):
            key = (own.id, row.what, row.state)
            if key not in worst or row.slack_mm < worst[key].slack_mm:
                worst[key] = row
    yield from worst.values()


def _may_be_near(one: Footprint, other: Footprint) -> bool:
    """Whether the boxes around two footprints are near each other."""
    ranges = ((one.x_range_mm, other.x_range_mm), (one.y_range_mm, other.y_range_mm))
    return all(max(a[0], b[0]) - min(a[1], b[1]) <= NEAR_MM for a, b in ranges)


def _joints(job: Job, datums: Datums) -> tuple[Joint, ...]:
    return tuple(
        Joint(
            f"joint-{i}",
            joint.name,
            (datums.cover_mm - joint.behind[0].value_mm, joint.left[0].value_mm),
            (datums.cover_mm - joint.end_behind[0].value_mm, joint.end_left[0].value_mm),
        )
        for i, joint in enumerate(job.tables.slab_joints)
    )


def _crossings(joints: tuple[Joint, ...], bodies: Sequence[Body], pads: Sequence[Pad]) -> tuple[Crossing, ...]:
    """What the joints part: the loader's feet, or where none is stated the middles of what it consists of."""
    lathe = next((body for body in bodies if body.kind == "lathe"), None)
    places = [(pad.name, (pad.x_mm, pad.y_mm)) for pad in pads]
    places = places or [(body.name, body.footprint.centre_mm) for body in bodies if body.owner is Owner.LOADER]
    return () if lathe is None else crossings(joints, lathe=lathe.footprint, places_mm=places)


def pads_of(job: Job, datums: Datums) -> tuple[Pad, ...]:
    """The loader's feet on the plan."""
    return tuple(
        Pad(foot.name, datums.clamp_mm - foot.behind_clamp[0].value_mm, foot.left[0].value_mm, _area_mm2(foot))
        for foot in job.tables.feet
    )


def _area_mm2(foot: FootTable) -> float | None:
    if foot.pad is None:
        return None
    across_mm = foot.pad[0].value_mm
    return across_mm**2 if foot.pad_shape == "square" else math.pi * across_mm**2 / 4.0


def _loads(job: Job, datums: Datums, pads: tuple[Pad, ...], shifts_mm: list[float]) -> FootLoads | None:
    """What the feet carry at every shift, where feet and masses are stated."""
    masses = [
        Mass(
            load.name,
            load.mass,
            datums.clamp_mm - load.behind[0].value_mm,
            load.left[0].value_mm,
            comes_and_goes=bool(load.comes_and_goes),
            shifts=load.shifts is not False,
        )
        for load in job.tables.floor_loads
    ]
    return foot_loads(pads, masses, shifts_mm=shifts_mm) if len(pads) >= FEWEST and masses else None


def _wanted(bodies: Sequence[Body]) -> Iterator[Problem]:
    """What a floor plan cannot do without."""
    for kind, what in (("loader", "the bar loader"), ("lathe", "the lathe")):
        if not any(body.kind == kind for body in bodies):
            action = f'write [[floor_items]] with kind = "{kind}" and how far it reaches left and right'
            yield Problem("key-missing", "", None, "floor_items", f"nothing of kind {kind}", f"{what} in [[floor_items]]", action)


def _not_stated(job: Job, loads: FootLoads | None) -> Iterator[str]:
    tables = job.tables
    if loads is None:
        yield "what the feet carry (three [[feet]] at least, and [[floor_loads]])"
    elif any(foot.pad.area_mm2 is None for foot in loads.feet):
        yield "what presses on the slab (pad of each of [[feet]])"
    if not (tables.holes or any(foot.marked for foot in tables.feet)):
        yield "marks for drilling ([[holes]], or marked of [[feet]])"
    if tables.markout is None or not (tables.markout.axis_front and tables.markout.axis_rear):
        yield "the axis on the floor (axis_front and axis_rear of [markout])"
    if tables.floor is None or tables.floor.lathe_stands is None or tables.floor.loader_stands is None:
        yield "whether both machines stand alike (lathe_stands and loader_stands of [floor])"
