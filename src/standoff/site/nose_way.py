"""The way of the nose: the slender room on the spindle axis between the lathe's cover and the loader's body.

Through it go the nose and every bar. Whatever shares that room stands in the way, however little of it; what only passes above,
below or beside it does not.
"""

from __future__ import annotations

from collections.abc import Sequence

from standoff.site.floor import STANDS, TIE_MM, Body, FloorCheck, Grade, may_pass_above, shared_mm_of
from standoff.site.footprint import apart

NOSE = "nose"
"""The id of the way of the nose, and what it is as a thing."""


def check_nose_way(way: Body, others: Sequence[Body], *, source: str) -> tuple[FloorCheck, ...]:
    """What stands in the way of the nose?

    Args:
        way: the room the nose goes through; `height_stated`: somebody said how high the axis is, else it may lie anywhere
            between underside and top.
        others: everything that may stand there, but for what carries the nose.
        source: who says where the axis is.

    Returns:
        A row for each thing that shares the room, or may: one of unknown height, or one that takes a part of the height in
        which an axis of unknown height lies.

    Validity: upright sides, convex outlines, open lines.
    Source: geometry.
    """
    found = []
    for other in others:
        gap = apart(way.footprint, other.footprint)
        if gap.gap_mm >= -TIE_MM or shared_mm_of(way, other) <= TIE_MM:
            continue
        whole = way.height_stated or (other.low_mm <= way.low_mm and other.high_mm >= way.high_mm)
        known = whole and not may_pass_above(other, low_mm=way.low_mm)
        found.append(
            FloorCheck(
                id=f"{way.id}-{other.id}-{STANDS}",
                what=f"{way.name} and {other.name}",
                between=(way.id, other.id),
                needed_mm=0.0,
                found_mm=gap.gap_mm,
                slack_mm=gap.gap_mm,
                above=False,
                vertical_mm=0.0,
                state=STANDS,
                grade=Grade.CLASH if known else Grade.UNKNOWN,
                reason="way of nose and bar",
                source=source,
                start_mm=gap.start_mm,
                end_mm=gap.end_mm,
            )
        )
    return tuple(found)
