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
from standoff.site.footprint import FloorPlace, Footprint, apart, shared_height_mm

STANDS, SHIFTED = "standing", "shifted"
"""The loader as it stands, and over the whole stroke of its shift."""

PLAN = "plan"
"""The kind of a line that was read from a building's plan."""

DOOR = "door swing"
TIE_MM = 0.5
"""Nearer than so much to what is needed still holds: a tape on a floor says no more."""

MAY_PASS_ABOVE = ("tank", "conveyor", "transformer", "cabinet", "other")
"""Kinds of things a raised loader can stand above: of these an unstated height leaves the question open."""


FIXED = ("wall", "aisle", "column", PLAN)
"""Kinds of things that stay where they are, or must: behind the loader they leave room to walk."""


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

    `above`: they share no height, one lies above the other by `vertical_mm`, which is 0 where it only touches it. Of a space
    `found_mm` is how far it stays free.
    """

    id: str
    what: str
    between: tuple[str, str]
    needed_mm: float
    found_mm: float
    slack_mm: float
    above: bool
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
    height run into each other by the least distance that takes them apart. One that only touches another in height is 0 from it.
    The stroke is judged as a whole, not only at its ends.

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
        for state, stroke in strokes(shifts_mm)
        if state == STANDS or pair.loader.shifts
    )


def strokes(shifts_mm: Sequence[float]) -> Iterator[tuple[str, tuple[float, float]]]:
    """The states to be judged, each with the least and the greatest shift that belongs to it. [mm]"""
    yield STANDS, (0.0, 0.0)
    least_mm, greatest_mm = min((0.0, *shifts_mm)), max((0.0, *shifts_mm))
    if greatest_mm > least_mm:
        yield SHIFTED, (least_mm, greatest_mm)


def _pair_row(pair: Pair, state: str, least_mm: float, greatest_mm: float) -> FloorCheck:
    loader, other = pair.loader, pair.other
    found = apart(loader.footprint.swept(least_mm=least_mm, greatest_mm=greatest_mm), other.footprint)
    shared_mm = shared_mm_of(loader, other)
    above = shared_mm <= TIE_MM
    vertical_mm = max(-shared_mm, 0.0)
    distance_mm = math.hypot(max(found.gap_mm, 0.0), vertical_mm) if above else found.gap_mm
    return FloorCheck(
        id=f"{loader.id}-{other.id}-{state}",
        what=f"{loader.name} and {other.name}",
        between=(loader.id, other.id),
        needed_mm=pair.need.clearance_mm,
        found_mm=distance_mm,
        slack_mm=distance_mm - pair.need.clearance_mm,
        above=above,
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
    if may_pass_above(pair.other, low_mm=pair.loader.low_mm):
        return Grade.UNKNOWN
    return Grade.CLASH if distance_mm < -TIE_MM else Grade.NEAR


def may_pass_above(body: Body, *, low_mm: float) -> bool:
    """Whether what begins at this height may pass above a thing of which nobody said how high it is."""
    return body.kind in MAY_PASS_ABOVE and not body.height_stated and low_mm > body.low_mm + TIE_MM


def shared_mm_of(one: Body | KeepOut, other: Body | KeepOut) -> float:
    """How much height two things share [mm]; 0 where one only touches the other, negative where there is a gap."""
    return shared_height_mm(low_mm=one.low_mm, high_mm=one.high_mm, other_low_mm=other.low_mm, other_high_mm=other.high_mm)


def in_order(rows: Sequence[FloorCheck]) -> tuple[FloorCheck, ...]:
    """The rows, the worst grade and the least slack first."""
    grades = list(Grade)
    return tuple(sorted(rows, key=lambda row: (grades.index(row.grade), row.slack_mm, row.id)))
