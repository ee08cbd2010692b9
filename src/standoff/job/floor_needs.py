"""What is kept between the loader and what stands near it, and what counts as the wall behind it.

Of all rules that apply to two things the greatest counts: what either of them says it keeps, the clearance to the lathe, the
room to walk behind the loader. Where none applies, the clearance of the floor.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from standoff.job.floor_places import PRACTICE, STATED, Datums, clearance_mm, closes_axis, loaders_of
from standoff.job.job import Job
from standoff.site.floor import FIXED, TIE_MM, Body, Need, Pair, shared_mm_of
from standoff.site.working_space import HEIGHT_MM

BEYOND_MM = 100_000.0
"""So far behind what closes the axis the loader is not looked for."""


def pairs_of(job: Job, datums: Datums, ours: Sequence[Body], bodies: Sequence[Body]) -> list[Pair]:
    """Each of the loader's things with each thing that does not stand with it, and what is to be kept between them."""
    loaders, theirs = loaders_of(bodies), {own.id for own in ours}
    others = [body for body in bodies if body.id not in theirs]
    return [pair_of(job, datums, own, other, loaders) for own in ours for other in others]


def pair_of(job: Job, datums: Datums, own: Body, other: Body, loaders: Sequence[Body]) -> Pair:
    """Two things as they are judged against each other.

    Behind what closes the axis there is no room for the loader either. What lies behind it lower or higher than the loader
    itself stands in the way of whoever walks there.
    """
    if closes_axis(other, datums, loaders):
        swept = other.footprint.swept(least_mm=-BEYOND_MM, greatest_mm=0.0)
        return Pair(own, replace(other, footprint=swept), need_of(job, own, other, behind=True))
    if lies_behind(other, loaders):
        return Pair(passage_of(own), other, need_of(job, own, other, behind=True))
    return Pair(own, other, need_of(job, own, other, behind=False))


def passage_of(own: Body) -> Body:
    """A thing of the loader with the height in which somebody walks behind it."""
    return replace(own, low_mm=0.0, high_mm=max(own.high_mm, HEIGHT_MM))


def lies_behind(other: Body, loaders: Sequence[Body]) -> bool:
    """Whether a fixed thing stands behind the loader's body: over some of its width, in a height in which somebody walks."""
    if other.kind not in FIXED or not loaders:
        return False
    rear_mm = min(body.footprint.x_range_mm[0] for body in loaders)
    least_mm, greatest_mm = other.footprint.y_range_mm
    widths = [
        min(greatest_mm, body.footprint.y_range_mm[1]) - max(least_mm, body.footprint.y_range_mm[0])
        for body in loaders
        if shared_mm_of(passage_of(body), other) > TIE_MM
    ]
    return other.footprint.x_range_mm[1] <= rear_mm + TIE_MM and max(widths, default=0.0) > TIE_MM


def need_of(job: Job, own: Body, other: Body, *, behind: bool) -> Need:
    """What is kept between two things: the greatest of the rules that apply."""
    rules = [Need(mm, "room kept around it", STATED) for mm in (_keeps_mm(job, own), _keeps_mm(job, other)) if mm is not None]
    given = job.tables.floor is not None and job.tables.floor.clearance is not None
    around = Need(clearance_mm(job), "room kept around the loader", STATED if given else PRACTICE)
    if other.kind == "lathe":
        rules.append(_rule(job, "rules.cover_clearance", "clearance to the lathe"))
    elif behind:
        rules += [_rule(job, "rules.rear_service", "service space behind the loader"), around]
    return max(rules or [around], key=lambda need: need.clearance_mm)


def _rule(job: Job, field: str, reason: str) -> Need:
    """A rule that the placement keeps too, and who says it: the job, or the trade."""
    stated = job.tables.rules is not None and getattr(job.tables.rules, field.rpartition(".")[2])
    return Need(job.readings[field].value_mm, reason, STATED if stated else PRACTICE)


def _keeps_mm(job: Job, body: Body) -> float | None:
    kind, _, number = body.id.partition("-")
    keeps = job.tables.floor_items[int(number)].keeps if kind == "item" else None
    return keeps[0].value_mm if keeps else None
