"""The floor plan of a job at a standoff: what stands where, what is judged, what the feet carry, what is marked out.

bodies, spaces = the floor tables, placed by the layout's own stations
rows           = loader's things against the rest, spaces against whatever may stand in them
loads, marks   = from feet, masses and reference points where they are stated
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from standoff.errors import Problem
from standoff.job.caution import Caution
from standoff.job.floor_cautions import floor_warnings
from standoff.job.floor_drawn import BuildingLine, closing_gaps_mm, comes_near, drawn_lines, drawn_questions, drawn_rows
from standoff.job.floor_marks import Marking, marking_of
from standoff.job.floor_needs import pairs_of
from standoff.job.floor_nose import nose_rows, nose_way_of
from standoff.job.floor_places import Datums, bodies_of, datums_of, keep_outs_of
from standoff.job.floor_plausible import floor_questions
from standoff.job.job import Job
from standoff.job.level_tables import FootTable
from standoff.job.placement import Placement
from standoff.site.drawing import Drawing, drawing_of
from standoff.site.feet import FEWEST, FootLoads, Mass, Pad, foot_loads
from standoff.site.floor import Body, FloorCheck, Grade, KeepOut, Owner, check_pairs, in_order
from standoff.site.floor_spaces import check_keep_outs
from standoff.site.footprint import FloorPlace
from standoff.site.slab import Crossing, Joint, crossings


@dataclass(frozen=True, slots=True)
class FloorPlan:
    """The answer. The loader's things stand at `standoff_mm`, not shifted; rows are in order, the worst first.

    `nose` is the room between cover and loader through which it goes.
    `laid_off`: a building's plan was laid under it, but none of its lines comes near lathe or loader.
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
    nose: Body | None
    laid_off: bool
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
        if self.wanted or not self.rows:
            return None
        worst = self.rows[0].grade
        return Grade.UNKNOWN if self.laid_off and worst is Grade.HOLDS else worst

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


def floor_plan(placement: Placement, *, lines: Sequence[BuildingLine] | None = None) -> FloorPlan:
    """The floor plan at the standoff the placement is judged at; what is not stated is left out and named.

    `lines` are those of a building's plan near the lathe; None: there is no such plan.
    """
    job = placement.job
    datums = datums_of(job, standoff_mm=placement.standoff_mm)
    values_mm = job.layout.values_mm(standoff_mm=placement.standoff_mm, cut_mm=placement.cut_mm)
    shifts_mm = tuple((mode.name, mode.shift.value(values_mm)) for mode in job.layout.modes)
    strokes_mm = [shift for _, shift in shifts_mm]
    bodies = bodies_of(job, datums)
    keep_outs = keep_outs_of(job, datums, bodies)
    drawing = drawing_of(drawn_lines(lines or ()))
    nose = nose_way_of(job, datums, bodies, strokes_mm)
    rows = _rows(job, datums, bodies, keep_outs, drawing, nose, strokes_mm)
    joints, pads = _joints(job, datums), pads_of(job, datums)
    parted = _crossings(joints, bodies, pads)
    loads = _loads(job, datums, pads, strokes_mm)
    closing_mm = closing_gaps_mm(job, bodies, drawing, strokes_mm)
    return FloorPlan(
        job=job,
        placement=placement,
        standoff_mm=placement.standoff_mm,
        datums=datums,
        shifts_mm=shifts_mm,
        bodies=bodies,
        keep_outs=keep_outs,
        joints=joints,
        lines=drawing.lines,
        nose=nose,
        laid_off=lines is not None and not comes_near(drawing, bodies, strokes_mm),
        rows=rows,
        crossings=parted,
        pads=pads,
        loads=loads,
        marking=marking_of(job, datums, rear_mm=_rear_mm(bodies, datums)),
        warnings=(
            *floor_questions(job, bodies),
            *drawn_questions(job, datums, drawing),
            *floor_warnings(job, rows, bodies, parted, loads, closing_mm),
        ),
        wanted=tuple(_wanted(bodies)),
        not_stated=tuple(_not_stated(job, loads)),
    )


def _rear_mm(bodies: Sequence[Body], datums: Datums) -> float:
    """The loader's rear end; without a loader on the plan its clamp face. [mm]"""
    return min((body.footprint.x_range_mm[0] for body in bodies if body.owner is Owner.LOADER), default=datums.clamp_mm)


def _rows(
    job: Job,
    datums: Datums,
    bodies: tuple[Body, ...],
    keep_outs: tuple[KeepOut, ...],
    drawing: Drawing,
    nose: Body | None,
    shifts_mm: list[float],
) -> tuple[FloorCheck, ...]:
    ours = [body for body in bodies if body.owner is Owner.LOADER]
    pairs = pairs_of(job, datums, ours, bodies)
    spaces = check_keep_outs(keep_outs, bodies, shifts_mm=shifts_mm)
    drawn = drawn_rows(job, bodies, keep_outs, drawing, shifts_mm)
    return in_order((*check_pairs(pairs, shifts_mm=shifts_mm), *nose_rows(nose, bodies, drawing), *spaces, *drawn))


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
    """What the joints part: the loader's feet, or where none is stated the parts of which it consists."""
    lathe = next((body for body in bodies if body.kind == "lathe"), None)
    places = [(pad.name, (pad.x_mm, pad.y_mm)) for pad in pads]
    parts = [] if places else [(body.name, body.footprint) for body in bodies if body.owner is Owner.LOADER]
    return () if lathe is None else crossings(joints, lathe=lathe.footprint, places_mm=places, parts=parts)


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
