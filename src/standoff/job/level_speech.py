"""Levelling in a sentence or two: how the axis lies, and what a technician would be told to do now.

The figures behind it are told by `level_lines`.
"""

from __future__ import annotations

from standoff.job.level_words import foot_way, lies, nothing, screw_way
from standoff.job.level_work import next_of, work_of
from standoff.job.levels import Level, Outcome, Round
from standoff.job.speech import length, listed
from standoff.site.levelling import Residual, Verdict

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
    units = level.job.units
    worst = worst_of(last.now)
    after = {"as found": "as found", "moved": "after moving", "tightened": "after tightening"}[last.stage]
    return f"{text} (round {last.number}, {after}): the axis is {lies(worst.offset, units)} at the {worst.offset.point.name}"


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
    return f"{doing[0].upper()}{doing[1:]}.{short}"


def _next(level: Level) -> str:
    item = next_of(work_of(level))
    return "Everything in the order of work is done." if item is None else f"Next: {item.task.work}"


def _suspects(one: Round) -> str:
    fit = one.alignment.fit if one.alignment is not None else None
    if fit is None or not fit.suspects:
        return "no single reading explains it"
    return "look first at " + listed(("; ".join(group) for group in fit.suspects), last="or")
