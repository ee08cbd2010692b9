"""Where the things of the floor tables are: from what a tape reads, behind the cover or behind the clamp face, to the plan.

The plan's x is the layout's axis, y is to the left. What stands with the loader is placed at the standoff and unshifted; its own
length is the layout's, so that it is stated once.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from standoff.job.floor_tables import FloorDoorTable, FloorItemTable, FloorTable, KeepOutTable, SideName, WorkingSpaceTable
from standoff.job.job import Job
from standoff.job.keys import defaulted_mm
from standoff.model.state import STANDING, State
from standoff.reading import Reading
from standoff.site.floor import DOOR, TIE_MM, Body, KeepOut, Owner, shared_mm_of
from standoff.site.footprint import FloorPlace, Footprint, box, quarter
from standoff.site.working_space import HEIGHT_MM, WIDTH_MM, working_space

OWNERS: Mapping[str, Owner] = MappingProxyType(
    {
        **dict.fromkeys(("loader", "magazine"), Owner.LOADER),
        **dict.fromkeys(("lathe", "cabinet", "tank", "conveyor", "transformer"), Owner.LATHE),
        **dict.fromkeys(("wall", "column", "aisle", "other"), Owner.BUILDING),
    }
)
"""What a thing stands with, by its kind, where the job does not say."""

SIDE_DEG: Mapping[str, float] = MappingProxyType({"ahead": 0.0, "left": 90.0, "behind": 180.0, "right": 270.0})
"""Which way a side faces, from the x axis towards the y axis."""

STATED = "as stated in the job"
PRACTICE = "common practice, no published source"
WALL = "wall"
"""The id of the wall that only `lathe.cover_to_wall` speaks of."""

WALL_HALF_MM = 2500.0
"""How far to each side such a wall is drawn."""


@dataclass(frozen=True, slots=True)
class Datums:
    """Where the faces are from which a tape is laid: the lathe's cover and the loader's clamp face at the standoff. [mm]"""

    cover_mm: float
    clamp_mm: float

    def of(self, owner: Owner) -> float:
        """The face from which things that stand with this are told. [mm]"""
        return self.clamp_mm if owner is Owner.LOADER else self.cover_mm


def datums_of(job: Job, *, standoff_mm: float) -> Datums:
    """Both faces, asked of the layout; where no cover was measured nothing is told from it, and it counts as the adapter."""
    values_mm = job.layout.values_mm(standoff_mm=standoff_mm)
    standing = State(STANDING, None)
    measured = "lathe.cover_to_adapter" in job.layout.quantities
    cover_mm = job.layout.place("cover", standing).value(values_mm) if measured else 0.0
    return Datums(cover_mm, job.layout.place("clamp", standing).value(values_mm))


def owner_of(item: FloorItemTable) -> Owner:
    """What an item stands with."""
    return Owner(item.carrier) if item.carrier is not None else OWNERS[item.kind]


def first_mm(series: tuple[Reading, ...] | None) -> float | None:
    """The first reading of a series. [mm]"""
    return series[0].value_mm if series else None


def ends_mm(item: FloorItemTable, length_behind: tuple[Reading, ...] | None, ahead_of_clamp_mm: float) -> FloorPlace | None:
    """How far an item reaches behind and ahead of its face [mm]; None where neither the item nor the survey says it."""
    behind_mm, ahead_mm = first_mm(item.behind), first_mm(item.ahead)
    if item.kind == "loader" and owner_of(item) is Owner.LOADER:
        behind_mm = first_mm(length_behind) if behind_mm is None else behind_mm
        ahead_mm = ahead_of_clamp_mm if ahead_mm is None else ahead_mm
    if item.kind == "lathe" and behind_mm is None:
        behind_mm = 0.0
    return None if behind_mm is None or ahead_mm is None else (behind_mm, ahead_mm)


def bodies_of(job: Job, datums: Datums) -> tuple[Body, ...]:
    """Everything that stands on the floor; a wall of which only `lathe.cover_to_wall` speaks comes last."""
    bodies = tuple(_body(job, datums, item, f"item-{i}") for i, item in enumerate(job.tables.floor_items))
    wall_mm = first_mm(job.tables.lathe.cover_to_wall)
    if wall_mm is None or any(closes_axis(body, datums, loaders_of(bodies)) for body in bodies):
        return bodies
    at_mm = datums.cover_mm - wall_mm
    line = Footprint(((at_mm, -WALL_HALF_MM), (at_mm, WALL_HALF_MM)), closed=False)
    implied = Body(
        WALL, "wall, aisle or obstacle behind", "wall", Owner.BUILDING, line, 0.0, math.inf, height_stated=False, shifts=False
    )
    return (*bodies, implied)


def loaders_of(bodies: Sequence[Body]) -> tuple[Body, ...]:
    """The loader's own body among all things, as far as it is stated."""
    return tuple(body for body in bodies if body.kind == "loader" and body.owner is Owner.LOADER)


def closes_axis(body: Body, datums: Datums, loaders: Sequence[Body]) -> bool:
    """Whether a thing of the building closes the axis behind the lathe: what `lathe.cover_to_wall` is measured to.

    What lies wholly above or below the loader's body, such as a beam or a kerb, does not.
    """
    least_mm, greatest_mm = body.footprint.y_range_mm
    across = least_mm <= 0.0 <= greatest_mm and body.footprint.x_range_mm[1] <= datums.cover_mm
    meets = not loaders or any(shared_mm_of(loader, body) > TIE_MM for loader in loaders)
    return body.kind in ("wall", "aisle", "column") and across and meets


def _body(job: Job, datums: Datums, item: FloorItemTable, item_id: str) -> Body:
    owner = owner_of(item)
    ends = ends_mm(item, job.tables.loader.length_behind_clamp, job.readings["loader.body_ahead_of_clamp"].value_mm)
    behind_mm, ahead_mm = ends if ends is not None else (math.nan, math.nan)
    face_mm = datums.of(owner)
    high_mm = first_mm(item.height)
    return Body(
        id=item_id,
        name=item.name,
        kind=item.kind,
        owner=owner,
        footprint=box(
            least_x_mm=face_mm - behind_mm,
            greatest_x_mm=face_mm + ahead_mm,
            least_y_mm=-item.right[0].value_mm,
            greatest_y_mm=item.left[0].value_mm,
        ),
        low_mm=first_mm(item.from_floor) or 0.0,
        high_mm=math.inf if high_mm is None else high_mm,
        height_stated=high_mm is not None,
        shifts=owner is Owner.LOADER and item.shifts is not False,
    )


def keep_outs_of(job: Job, datums: Datums, bodies: tuple[Body, ...]) -> tuple[KeepOut, ...]:
    """Every space that must stay free: doors, what the job keeps free, working spaces at electrical equipment."""
    named = {body.name: body for body in bodies if body.id != WALL}
    tables = job.tables
    return (
        *(_door(door, named[door.item], f"door-{i}") for i, door in enumerate(tables.floor_doors)),
        *(_space(space, named[space.item], datums, f"space-{i}") for i, space in enumerate(tables.keep_outs)),
        *(_working(space, named[space.item], f"work-{i}") for i, space in enumerate(tables.working_spaces)),
    )


def side_mm(footprint: Footprint, side: SideName) -> tuple[FloorPlace, FloorPlace]:
    """The two ends of a box's side: the right or rear one first. [mm]"""
    (least_x, most_x), (least_y, most_y) = footprint.x_range_mm, footprint.y_range_mm
    sides: dict[str, tuple[FloorPlace, FloorPlace]] = {
        "ahead": ((most_x, least_y), (most_x, most_y)),
        "behind": ((least_x, least_y), (least_x, most_y)),
        "left": ((least_x, most_y), (most_x, most_y)),
        "right": ((least_x, least_y), (most_x, least_y)),
    }
    return sides[side]


def beside(start: tuple[FloorPlace, FloorPlace], side: SideName, *, depth_mm: float) -> Footprint:
    """The box that reaches so far out from a side."""
    turn = math.radians(SIDE_DEG[side])
    (ax, ay), (bx, by) = start
    out_x_mm, out_y_mm = depth_mm * round(math.cos(turn)), depth_mm * round(math.sin(turn))
    xs, ys = (ax, bx, ax + out_x_mm, bx + out_x_mm), (ay, by, ay + out_y_mm, by + out_y_mm)
    return box(least_x_mm=min(xs), greatest_x_mm=max(xs), least_y_mm=min(ys), greatest_y_mm=max(ys))


def _door(door: FloorDoorTable, body: Body, door_id: str) -> KeepOut:
    """A door: hinged at one end of a side, closed along that side, opening straight out from it."""
    first, second = side_mm(body.footprint, door.side)
    hinge, end = (first, second) if door.hinge in ("behind", "right") else (second, first)
    length_mm = math.dist(first, second)
    in_mm = defaulted_mm(door, FloorDoorTable, "hinge_from_end")
    at = tuple(a + (b - a) * in_mm / length_mm for a, b in zip(hinge, end, strict=True))
    place = (at[0], at[1])
    width_mm = door.width[0].value_mm
    along_deg = math.degrees(math.atan2(end[1] - hinge[1], end[0] - hinge[0]))
    swing = quarter(place, radius_mm=width_mm, closed_deg=along_deg, open_deg=SIDE_DEG[door.side])
    return KeepOut(
        door_id,
        door.name,
        DOOR,
        body.id,
        body.owner,
        swing,
        (place,),
        width_mm,
        body.low_mm,
        body.high_mm,
        STATED,
        shifts=body.shifts,
    )


def _space(space: KeepOutTable, body: Body, datums: Datums, space_id: str) -> KeepOut:
    (ax, ay), (bx, by) = side_mm(body.footprint, space.side)
    face_mm = datums.of(body.owner)
    if space.side in ("left", "right"):
        behind_mm, ahead_mm = first_mm(space.behind), first_mm(space.ahead)
        ax, bx = (ax if behind_mm is None else face_mm - behind_mm), (bx if ahead_mm is None else face_mm + ahead_mm)
    else:
        right_mm, left_mm = first_mm(space.right), first_mm(space.left)
        ay, by = (ay if right_mm is None else -right_mm), (by if left_mm is None else left_mm)
    start, depth_mm = ((ax, ay), (bx, by)), space.depth[0].value_mm
    return KeepOut(
        id=space_id,
        name=space.name,
        reason=space.reason,
        item=body.id,
        owner=body.owner,
        footprint=beside(start, space.side, depth_mm=depth_mm),
        start_mm=start,
        depth_mm=depth_mm,
        low_mm=defaulted_mm(space, KeepOutTable, "from_floor"),
        high_mm=defaulted_mm(space, KeepOutTable, "height"),
        source=STATED,
        loader_away=bool(space.loader_away),
        shifts=body.shifts,
    )


def _working(space: WorkingSpaceTable, body: Body, space_id: str) -> KeepOut:
    """In front of the side it is worked on from, in its middle; as wide as the equipment, or as the regulation asks."""
    (ax, ay), (bx, by) = side_mm(body.footprint, space.side)
    wide_mm = math.dist((ax, ay), (bx, by))
    depth_mm, source, width_mm = first_mm(space.depth), STATED, max(wide_mm, WIDTH_MM)
    if depth_mm is None:
        asked = working_space(voltage=space.voltage or "", facing=space.facing or "", equipment_mm=wide_mm)
        depth_mm, source, width_mm = asked.depth_mm, asked.source, asked.width_mm
    more = (width_mm - wide_mm) / 2.0 / wide_mm
    start = ((ax - (bx - ax) * more, ay - (by - ay) * more), (bx + (bx - ax) * more, by + (by - ay) * more))
    return KeepOut(
        id=space_id,
        name=f"working space at {body.name}",
        reason="work on live equipment",
        item=body.id,
        owner=body.owner,
        footprint=beside(start, space.side, depth_mm=depth_mm),
        start_mm=start,
        depth_mm=depth_mm,
        low_mm=0.0,
        high_mm=max(HEIGHT_MM, body.high_mm) if math.isfinite(body.high_mm) else HEIGHT_MM,
        source=source,
        shifts=body.shifts,
    )


def clearance_mm(job: Job) -> float:
    """What is kept around whatever says nothing else. [mm]"""
    return defaulted_mm(job.tables.floor, FloorTable, "clearance")
