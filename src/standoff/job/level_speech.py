"""Levelling in a sentence or two: how the axis lies, and what a technician would be told to do now.

The figures behind it are told by `level_lines`.
"""

from __future__ import annotations

from standoff.job.level_doubt import graded_misses, in_doubt
from standoff.job.level_words import (
    foot_way,
    give_or_take,
    high_or_low,
    left_or_right,
    lies,
    nothing,
    rolled,
    screw_way,
    tolerance,
)
from standoff.job.level_work import next_of, work_of
from standoff.job.levels import Level, Outcome, Round
from standoff.job.speech import length, listed
from standoff.site.levelling import Plan, Residual, Verdict
from standoff.units import Units

HEADLINES = {
    Outcome.IN_LINE: "In line with the spindle",
    Outcome.BETTER: "In line only if measured better",
    Outcome.UNDECIDED: "Not decided",
    Outcome.NOT: "Not in line",
    Outcome.UNTOLD: "Not told yet",
}
"""The answer in a few words."""


def headline(level: Level) -> str:
    """The answer in a line: the worst place that was read."""
    text, last = HEADLINES[level.outcome], level.last
    if last is None or last.now is None:
        return text
    text = f"{text}, but not sure" if in_doubt(last.now) else text
    after = {"as found": "as found", "moved": "after moving", "tightened": "after tightening"}[last.stage]
    return f"{text} (round {last.number}, {after}): {worst_line(last.now, level.job.units)}"


def worst_line(verdict: Verdict, units: Units) -> str:
    """How the axis lies where that is worst: at the least sure of places in doubt, else where most is used up; or the roll."""
    graded = (grade for residual in verdict.residuals for _, grade in graded_misses(residual))
    if verdict.roll.grade == "outside" and "outside" not in graded:
        return f"the loader is rolled, {rolled(verdict.roll.roll_mm_per_m, units)}"
    doubted = in_doubt(verdict)
    if not doubted:
        worst = worst_of(verdict).offset
        return f"the axis is {lies(worst, units)} at the {worst.point.name}"
    offset = doubted[-1].offset
    parts = [f"{high_or_low(offset.upright.miss_mm, units)} {give_or_take(offset.upright.u_mm, units)}"]
    if offset.sideways is not None:
        parts.append(f"{left_or_right(offset.sideways.miss_mm, units)} {give_or_take(offset.sideways.u_mm, units)}")
    return f"the axis is {' and '.join(parts)} at the {offset.point.name}"


def worst_of(verdict: Verdict) -> Residual:
    """The point at which most of what is allowed is used up, of those that were read."""
    return max(verdict.residuals, key=lambda residual: (not undecided(residual), _share(residual)))


def undecided(residual: Residual) -> bool:
    """Whether a place hangs on a travel that was not read there."""
    return "not decided" in (residual.upright, residual.sideways)


def _share(residual: Residual) -> float:
    offset = residual.offset
    misses = [abs(miss.miss_mm) for miss in (offset.upright, offset.sideways) if miss is not None]
    return max(misses) / residual.tolerance_mm


def spoken(level: Level) -> str:
    """What to do now, in one or two sentences."""
    last, units = level.last, level.job.units
    if last is None:
        return "Nothing is read yet: read the loader's axis against the spindle's, and lay a level across the loader."
    if last.lacking is not None:
        return f"Round {last.number} does not tell where the loader lies: {last.lacking.action}."
    if level.outcome is Outcome.IN_LINE:
        return f"Nothing needs to be moved. {_next(level)}"
    height = level.ground.height
    if height is not None and height.grade == "outside" and level.grade != "within":
        way = "raised" if height.lacks_mm > 0.0 else "lowered"
        by = length(abs(height.lacks_mm), units)
        return f"The spindle lies outside the loader's range of heights: the loader has to be {way} as a whole by {by} first."
    if last.alignment is not None and not last.alignment.fit.consistent:
        return f"The readings contradict one another: {_suspects(last)}; read again before anything is moved."
    if last.unclosed:
        return "A sweep does not close: read it again before anything is moved."
    return _moving(level, last)


def _moving(level: Level, last: Round) -> str:
    """The moves in a sentence, or what is missing for them."""
    plan, units = last.plan, level.job.units
    if level.outcome is Outcome.UNDECIDED:
        other = {"headstock": "the headstock at its other limit", "loader": "the loader at the other end of its shift"}
        where = " and with ".join(other[name] for name in level.read_at_one_position(last))
        aside = "" if last.sideways_read else "; sideways is not read yet either: read it at two places along the loader"
        return f"Read the same place with {where} before it is called in line: how it lies there is not known{aside}."
    if level.outcome is Outcome.BETTER:
        if not last.sideways_read:
            return "Height and roll are within; sideways is not read yet: read it at two places along the loader."
        return "As far as can be told nothing needs to be moved; read more exactly, or again, where it is not sure."
    if last.now is not None and in_doubt(last.now):
        where = in_doubt(last.now)[-1].offset.point.name
        return (
            f"Not sure enough to move anything by: at the {where} the miss is hardly more than its own uncertainty. Read farther"
            " back along the loader, or again and more exactly, before moving."
        )
    if plan is None:
        return "Say where the feet stand ([[feet]]), and each one's move is told."
    if level.tightened and level.grade != "outside":
        return "Tightening moved the axis by more than is allowed: loosen, let every foot bear, and tighten in smaller steps."
    parts = []
    moved = [move for move in plan.feet if not nothing(move.move_mm, units)]
    if moved:
        most = max(moved, key=lambda move: abs(move.move_mm))
        parts.append(f"set the feet as listed (most: {most.name} {foot_way(most, units)})")
    pushed = [move for move in plan.screws if not nothing(move.move_mm, units)]
    if pushed:
        parts.append(f"then push at the side screws ({listed(f'{move.name} {screw_way(move, units)}' for move in pushed)})")
    if not parts:
        return "No move of feet or screws cures what is left: have the headstock's slide and the loader's rails looked at."
    doing = ", ".join([*parts, "then read everything again"])
    short = "" if plan.feasible else " Mind: not every travel suffices."
    return f"{_coarse(level, plan)}{doing[0].upper()}{doing[1:]}.{short}"


def _coarse(level: Level, plan: Plan) -> str:
    """That the shims leave it outside where thinner ones would not; empty where they do not."""
    step_mm = level.ground.means.step_mm
    if not plan.coarse or step_mm is None:
        return ""
    return f"The shims are too coarse: with steps of {tolerance(step_mm, level.job.units)} it stays outside; get thinner ones. "


def _next(level: Level) -> str:
    item = next_of(work_of(level))
    return "Everything in the order of work is done." if item is None else f"Next: {item.task.work}"


def _suspects(one: Round) -> str:
    fit = one.alignment.fit if one.alignment is not None else None
    if fit is None or not fit.suspects:
        return "no single reading explains it"
    return "look first at " + listed(("; ".join(group) for group in fit.suspects), last="or")
