"""Levelling as rows of a page: feet, screws, the axis at each place, the order of work. What is said comes from the speech."""

from __future__ import annotations

import re
from dataclasses import dataclass

from standoff.desk.speed_page import Sign
from standoff.job.level_words import (
    COVERAGE,
    GRADES,
    NOT_READ,
    beyond,
    foot_way,
    give_or_take,
    high_or_low,
    left_or_right,
    rolled,
    screw_way,
    shims,
    slope,
    small,
    tolerance,
)
from standoff.job.level_work import WorkItem, next_of, work_of
from standoff.job.levels import UNLIMITED_MM, Level, Outcome
from standoff.site.axis import Miss
from standoff.site.frame import Move
from standoff.site.levelling import Plan, Verdict
from standoff.site.order import Change
from standoff.site.tolerance import Grade, Tolerances
from standoff.units import Units

OUTCOMES = {
    Outcome.IN_LINE: Sign("fits", "✓", "In line"),
    Outcome.BETTER: Sign("unsure", "?", "In line only if measured better"),
    Outcome.UNDECIDED: Sign("unsure", "?", "Not decided"),
    Outcome.NOT: Sign("clash", "✗", "Not in line"),
    Outcome.UNTOLD: Sign("open", "", "Not told yet"),
}
GRADE_SIGNS: dict[Grade, Sign] = {
    "within": Sign("fits", "✓", GRADES["within"]),
    "within if measured better": Sign("unsure", "?", GRADES["within if measured better"]),
    "not decided": Sign("unsure", "?", GRADES["not decided"]),
    "outside": Sign("clash", "✗", GRADES["outside"]),
}
NEXT = Sign("unsure", "→", "next")
STATES = {
    "done": Sign("fits", "✓", "done"),
    "to do": Sign("open", "", "to do"),
    "fails": Sign("clash", "✗", "fails"),
    "not told": Sign("unsure", "?", "not told"),
}


@dataclass(frozen=True, slots=True)
class MoveRow:
    """What a foot or a place of side screws is to do: which way, with which shims, how much travel there is, what is amiss."""

    name: str
    way: str
    shims: str
    travel: str
    amiss: str


@dataclass(frozen=True, slots=True)
class Figure:
    """A figure with how sure it is, and its grade."""

    text: str
    sure: str
    sign: Sign


@dataclass(frozen=True, slots=True)
class AxisRow:
    """The axis at one place, or the roll: upright and sideways, and what is allowed."""

    name: str
    upright: Figure
    sideways: Figure | None
    allowed: str


@dataclass(frozen=True, slots=True)
class WorkRow:
    """One task of the order of work."""

    sign: Sign
    work: str
    why: str
    reading: str


@dataclass(frozen=True, slots=True)
class ChangeRow:
    """What tightening changed at one place."""

    name: str
    upright: Figure
    sideways: Figure | None


def on_page(text: str) -> str:
    """What the speech says of tables of the job file, in the words of a page."""
    without = re.sub(r" \(\[\[[a-z_]+\]\]\)", "", text)
    return re.sub(r"\[\[([a-z_]+)\]\]", lambda found: found[1].replace("_", " "), without)


def foot_rows(level: Level, plan: Plan) -> tuple[MoveRow, ...]:
    """Every foot: the move that is wanted, and the shims that come nearest for all of them together."""
    units, rows = level.job.units, []
    for wanted, move, rock_mm in zip(plan.wanted, plan.feet, plan.rocks_mm, strict=True):
        amiss = [beyond(move, units)]
        if move.name in plan.rocking:
            amiss.append(f"{small(rock_mm, units)} out of the plane of the others")
        rows.append(
            MoveRow(
                name=move.name,
                way=foot_way(wanted, units),
                shims=shims(move.move_mm, level.job),
                travel=_travel(move, ("up", "down"), units),
                amiss=", ".join(word for word in amiss if word),
            )
        )
    return tuple(rows)


def screw_rows(level: Level, plan: Plan) -> tuple[MoveRow, ...]:
    """Every place of side screws, after the feet."""
    units = level.job.units
    ways = ("left", "right")
    return tuple(
        MoveRow(move.name, screw_way(move, units), "", _travel(move, ways, units), beyond(move, units)) for move in plan.screws
    )


def _travel(move: Move, ways: tuple[str, str], units: Units) -> str:
    """How much can still be moved either way, as far as it was stated."""
    limits = ((move.greatest_mm, ways[0]), (-move.least_mm, ways[1]))
    stated = [f"{small(limit_mm, units)} {way}" for limit_mm, way in limits if limit_mm < UNLIMITED_MM]
    return ", ".join(stated) or "not stated"


def axis_rows(verdict: Verdict, tolerances: Tolerances, units: Units) -> tuple[AxisRow, ...]:
    """The axis at each place, and the roll below it."""
    rows = []
    for residual in verdict.residuals:
        offset, sideways = residual.offset, None
        if offset.sideways is not None and residual.sideways is not None:
            sideways = _figure(left_or_right(offset.sideways.miss_mm, units), offset.sideways, residual.sideways, units)
        upright = _figure(high_or_low(offset.upright.miss_mm, units), offset.upright, residual.upright, units)
        rows.append(AxisRow(offset.point.name, upright, sideways, tolerance(residual.tolerance_mm, units)))
    roll = verdict.roll
    sure = f"± {slope(COVERAGE * roll.u_mm_per_m, units)}"
    figure = Figure(rolled(roll.roll_mm_per_m, units), sure, GRADE_SIGNS[roll.grade])
    return (*rows, AxisRow("roll", figure, None, slope(tolerances.roll_mm_per_m, units)))


def _figure(text: str, miss: Miss, grade: Grade, units: Units) -> Figure:
    """A miss with its grade; no figure where it was not read."""
    if grade == "not decided":
        return Figure(NOT_READ, "", GRADE_SIGNS[grade])
    return Figure(text, give_or_take(miss.u_mm, units), GRADE_SIGNS[grade])


def work_rows(level: Level) -> tuple[WorkRow, ...]:
    """The order of work with the next task marked."""
    items = work_of(level)
    following = next_of(items)
    return tuple(_work_row(item, following=item is following) for item in items)


def _work_row(item: WorkItem, *, following: bool) -> WorkRow:
    sign = STATES[item.state]
    if following and item.state == "to do":
        sign = NEXT
    elif following:
        sign = Sign(sign.kind, sign.mark, f"{sign.word}: next")
    return WorkRow(sign, item.task.work, item.why, item.task.reading)


def change_rows(level: Level) -> tuple[ChangeRow, ...]:
    """What the last tightening changed."""
    return tuple(
        ChangeRow(
            one.point.name,
            _changed(one.upright, ("up", "down"), level.job.units),
            _changed(one.sideways, ("left", "right"), level.job.units) if one.sideways is not None else None,
        )
        for one in level.tightened
    )


def _changed(change: Change, ways: tuple[str, str], units: Units) -> Figure:
    miss = change.change
    way = ways[0] if miss.miss_mm > 0.0 else ways[1]
    sure = give_or_take(miss.u_mm, units) + ("" if change.seen else ": no more than the readings are unsure")
    return Figure(f"{small(miss.miss_mm, units)} {way}", sure, GRADE_SIGNS[change.grade])
