"""The floor plan judged: what stands on the floor, what must stay free, and whether the loader has its room.

The loader's things move with it along the axis, by the standoff and by the shift in each mode; lathe and building stay. A thing
has a height: what is lower than the loader's underside, or higher than its top, does not meet it. Every judgement is a row with
what is needed and what was found, the worst first.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import Enum

from standoff.bar.checks import require_not_negative
from standoff.errors import UsageError
from standoff.site.footprint import FloorPlace, Footprint, apart, apart_in_height_mm, reach_mm

STANDS, SHIFTED = "standing", "shifted"
"""The loader as it stands, and over the whole stroke of its shift."""

PLAN = "plan"
"""The kind of a line that was read from a building's plan."""

DOOR = "door swing"
TIE_MM = 0.5
"""Nearer than so much to what is needed still holds: a tape on a floor says no more."""

MAY_PASS_ABOVE = ("tank", "conveyor", "transformer", "cabinet", "other")
"""Kinds of things a raised loader can stand above: of these an unstated height leaves the question open."""


class Owner(Enum):
    """What a thing stands with."""

    LATHE = "lathe"
    LOADER = "loader"
    BUILDING = "building"


class Grade(Enum):
    """The judgement of a row, the worst first."""

    CLASH = "clash"
    NEAR = "too near"
    UNKNOWN = "unknown"
    HOLDS = "holds"


@dataclass(frozen=True, slots=True)
class Body:
    """A thing on the floor. An infinite top: nothing passes above it (`height_stated`: somebody said how high it is).

    `shifts`: of the loader's things, whether it moves when the loader shifts; its base stays.
    """

    id: str
    name: str
    kind: str
    owner: Owner
    footprint: Footprint
    low_mm: float
    high_mm: float
    height_stated: bool
    shifts: bool = True

    def __post_init__(self) -> None:
        require_not_negative(f"underside of {self.name}", self.low_mm)
        if not self.high_mm > self.low_mm:
            raise UsageError(
                what=f"top of {self.name}",
                given=f"{self.high_mm:.0f} mm",
                allowed="a top above its underside",
                action="check both",
            )


@dataclass(frozen=True, slots=True)
class KeepOut:
    """A space that must stay free: whose it is, how far out from where it begins it must reach, and who says so.

    `start_mm`: the two ends of the side at which it begins, or the one hinge of a door.
    """

    id: str
    name: str
    reason: str
    item: str
    owner: Owner
    footprint: Footprint
    start_mm: tuple[FloorPlace, ...]
    depth_mm: float
    low_mm: float
    high_mm: float
    source: str
    loader_away: bool = False
    shifts: bool = True


@dataclass(frozen=True, slots=True)
class FloorCheck:
    """One row: what is judged between which two things, what is needed and found, and where [mm].

    `vertical_mm` is how far one lies above the other, 0 where they share a height. Of a space `found_mm` is how far
    it stays free.
    """

    id: str
    what: str
    between: tuple[str, str]
    needed_mm: float
    found_mm: float
    slack_mm: float
    vertical_mm: float
    state: str
    grade: Grade
    reason: str
    source: str
    start_mm: FloorPlace
    end_mm: FloorPlace


@dataclass(frozen=True, slots=True)
class Need:
    """What is to be kept between two bodies, and who says so. [mm]"""

    clearance_mm: float
    reason: str
    source: str


@dataclass(frozen=True, slots=True)
class Pair:
    """Two bodies to be judged against each other, the loader's first, and what is to be kept between them."""

    loader: Body
    other: Body
    need: Need


def check_pairs(pairs: Sequence[Pair], *, shifts_mm: Sequence[float]) -> tuple[FloorCheck, ...]:
    """Has the loader its room, standing and over the whole stroke of its shift?

    The distance of two upright bodies: hypotenuse of their gap in plan and their gap in height; in plan overlapping bodies of one
    height run into each other by the least distance that takes them apart. The stroke is judged as a whole, not only at its ends.

    Args:
        pairs: what is judged against what; the loader's footprints at shift 0.
        shifts_mm: the loader's shift in each mode [mm].

    Returns:
        A row for each pair as it stands, and one for its stroke where it moves.

    Validity: upright sides, convex outlines; positions as exact as they were taped.
    Source: geometry.
    """
    return tuple(
        _pair_row(pair, state, *stroke)
        for pair in pairs
        for state, stroke in _strokes(shifts_mm)
        if state == STANDS or pair.loader.shifts
    )


def _strokes(shifts_mm: Sequence[float]) -> Iterator[tuple[str, tuple[float, float]]]:
    yield STANDS, (0.0, 0.0)
    least_mm, greatest_mm = min((0.0, *shifts_mm)), max((0.0, *shifts_mm))
    if greatest_mm > least_mm:
        yield SHIFTED, (least_mm, greatest_mm)


def _pair_row(pair: Pair, state: str, least_mm: float, greatest_mm: float) -> FloorCheck:
    loader, other = pair.loader, pair.other
    found = apart(loader.footprint.swept(least_mm=least_mm, greatest_mm=greatest_mm), other.footprint)
    vertical_mm = apart_in_height_mm(
        low_mm=loader.low_mm, high_mm=loader.high_mm, other_low_mm=other.low_mm, other_high_mm=other.high_mm
    )
    distance_mm = found.gap_mm if vertical_mm == 0.0 else math.hypot(max(found.gap_mm, 0.0), vertical_mm)
    return FloorCheck(
        id=f"{loader.id}-{other.id}-{state}",
        what=f"{loader.name} and {other.name}",
        between=(loader.id, other.id),
        needed_mm=pair.need.clearance_mm,
        found_mm=distance_mm,
        slack_mm=distance_mm - pair.need.clearance_mm,
        vertical_mm=vertical_mm,
        state=state,
        grade=_grade(pair, distance_mm),
        reason=pair.need.reason,
        source=pair.need.source,
        start_mm=found.start_mm,
        end_mm=found.end_mm,
    )


def _grade(pair: Pair, distance_mm: float) -> Grade:
    if distance_mm - pair.need.clearance_mm >= -TIE_MM:
        return Grade.HOLDS
    other = pair.other
    if other.kind in MAY_PASS_ABOVE and not other.height_stated and pair.loader.low_mm > other.low_mm:
        return Grade.UNKNOWN
    return Grade.CLASH if distance_mm < -TIE_MM else Grade.NEAR


def check_keep_outs(
    keep_outs: Sequence[KeepOut], bodies: Sequence[Body], *, shifts_mm: Sequence[float]
) -> tuple[FloorCheck, ...]:
    """Does every space stay free?

    How far each space reaches from where it begins to the first thing that stands in it. The loader's own spaces go with it to
    the shift of each mode; into the others the loader comes with its whole stroke. Two spaces may share a floor: people stand in
    either. What lies wholly above or below a space, a way (aisle), and for the loader's own spaces the loader's own parts, do not
    stand in it.

    Args:
        keep_outs: the spaces, the loader's at shift 0.
        bodies: everything that stands there, the loader's at shift 0.
        shifts_mm: the loader's shift in each mode [mm].

    Returns:
        A row for each space and each body that stands in it, or beyond its end within as much again; standing and shifted.

    Validity: upright sides, convex outlines.
    Source: geometry.
    """
    found = []
    for space in keep_outs:
        for body in bodies:
            if _not_judged(space, body):
                continue
            for state, stroke in _strokes(shifts_mm):
                moving = any(thing.owner is Owner.LOADER and thing.shifts for thing in (space, body))
                row = _space_row(space, body, state, stroke) if state == STANDS or moving else None
                if row is not None:
                    found.append(row)
    return tuple(found)


def _not_judged(space: KeepOut, body: Body) -> bool:
    """Whose room a body does not take: its own item's, a way's, that of the machine it is a part of, one without the loader."""
    both = space.owner is Owner.LOADER and body.owner is Owner.LOADER
    away = space.loader_away and body.owner is Owner.LOADER
    return body.id == space.item or body.kind == "aisle" or both or away


def _space_row(space: KeepOut, body: Body, state: str, stroke: tuple[float, float]) -> FloorCheck | None:
    """One space and one body; None where the body does not stand in it, nor within as much again beyond it."""
    vertical_mm = apart_in_height_mm(
        low_mm=space.low_mm, high_mm=space.high_mm, other_low_mm=body.low_mm, other_high_mm=body.high_mm
    )
    if vertical_mm > 0.0:
        return None
    frees = [(_free_mm(own, start, other, space), own, other) for own, start, other in _cases(space, body, stroke)]
    free_mm, own, other = min(frees, key=lambda case: case[0])
    if not math.isfinite(free_mm):
        return None
    gap = apart(own, other)
    return FloorCheck(
        id=f"{space.id}-{body.id}-{state}",
        what=f"{space.name} and {body.name}",
        between=(space.id, body.id),
        needed_mm=space.depth_mm,
        found_mm=free_mm,
        slack_mm=free_mm - space.depth_mm,
        vertical_mm=0.0,
        state=state,
        grade=_space_grade(space, free_mm - space.depth_mm),
        reason=space.reason,
        source=space.source,
        start_mm=gap.start_mm,
        end_mm=gap.end_mm,
    )


Case = tuple[Footprint, tuple[FloorPlace, ...], Footprint]


def _cases(space: KeepOut, body: Body, stroke: tuple[float, float]) -> list[Case]:
    """The space with where it begins, and the body: the loader's space at each end of the stroke, its body over all of it."""
    if space.owner is Owner.LOADER:
        places = sorted({0.0, *stroke}) if stroke != (0.0, 0.0) else [0.0]
        return [(space.footprint.moved(by_x_mm=by), _moved(space.start_mm, by), body.footprint) for by in places]
    swept = body.footprint.swept(least_mm=stroke[0], greatest_mm=stroke[1]) if body.owner is Owner.LOADER else body.footprint
    return [(space.footprint, space.start_mm, swept)]


def _free_mm(own: Footprint, start: tuple[FloorPlace, ...], other: Footprint, space: KeepOut) -> float:
    """How far a space stays free [mm]; of a box seen as far again beyond it, infinite where nothing stands there either."""
    free_mm = reach_mm(own, other, start)
    if math.isfinite(free_mm) or len(start) < 2:
        return free_mm
    middle = ((start[0][0] + start[1][0]) / 2.0, (start[0][1] + start[1][1]) / 2.0)
    out_x_mm, out_y_mm = (2.0 * (c - m) for c, m in zip(own.centre_mm, middle, strict=True))
    beyond = Footprint(tuple((x + out_x_mm, y + out_y_mm) for x, y in own.corners_mm))
    return max(reach_mm(beyond, other, start), space.depth_mm)


def _space_grade(space: KeepOut, slack_mm: float) -> Grade:
    if slack_mm >= -TIE_MM:
        return Grade.HOLDS
    return Grade.CLASH if space.reason == DOOR else Grade.NEAR


def _moved(places: tuple[FloorPlace, ...], by_x_mm: float) -> tuple[FloorPlace, ...]:
    return tuple((x + by_x_mm, y) for x, y in places)


def in_order(rows: Sequence[FloorCheck]) -> tuple[FloorCheck, ...]:
    """The rows, the worst grade and the least slack first."""
    grades = list(Grade)
    return tuple(sorted(rows, key=lambda row: (grades.index(row.grade), row.slack_mm, row.id)))
