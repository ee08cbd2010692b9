"""Levelling line by line: the axis at each point, every foot and screw, what is expected, what to mind, the order of work."""

from __future__ import annotations

from collections.abc import Iterator

from standoff.job.level_doubt import graded_misses, too_unsure
from standoff.job.level_readings import UNKNOWN_SAG_MM, UNKNOWN_ZERO_MM_PER_M
from standoff.job.level_words import (
    COVERAGE,
    GRADES,
    NOT_READ,
    beyond,
    foot_way,
    give_or_take,
    high_or_low,
    left_or_right,
    nothing,
    rolled,
    screw_way,
    shims,
    slope,
    small,
    tolerance,
)
from standoff.job.level_work import WorkItem, next_of, standoff_again, work_of
from standoff.job.levels import Level, Round
from standoff.job.speech import exact_length, length, listed
from standoff.site.axis import Miss
from standoff.site.levelling import Plan, Residual, Verdict
from standoff.site.order import Change, difference
from standoff.site.tolerance import Grade, Tolerances
from standoff.units import Units


def height_line(level: Level) -> str:
    """The spindle's height in the loader's range; what is missing where the survey does not tell."""
    height, units = level.ground.height, level.job.units
    if height is None:
        return "Centre height: not checked; the survey lacks lathe.centre_height or loader.centre_height."
    if height.grade == "outside":
        where = "above the loader's highest" if height.above_mm < 0.0 else "below the loader's lowest"
        return f"Centre height: the spindle lies {length(abs(height.lacks_mm), units)} {where} axis: outside."
    room = f"{length(height.below_mm, units)} above the loader's lowest axis, {length(height.above_mm, units)} below its highest"
    return f"Centre height: the spindle lies {room}: {GRADES[height.grade]}."


def standoff_line(level: Level) -> str:
    """Where the loader stands while it is levelled, and what aligning does to the standoff."""
    units, again = level.job.units, standoff_again(level)
    if again is None:
        text = f"Standoff: {exact_length(level.ground.stand.standoff_mm, units)} ({level.standoff_from})."
        plan = level.last.plan if level.last is not None else None
        if plan is not None and not nothing(plan.standoff_change_mm, units):
            way = "longer" if plan.standoff_change_mm > 0.0 else "shorter"
            text += f" The moves make it {small(plan.standoff_change_mm, units)} {way}."
        return f"{text} Read it again after aligning."
    text = f"Standoff: {again.reading.text}, read again in round {again.round_number}"
    if again.move is None:
        return f"{text}; no standoff serves this pair."
    aim = exact_length(level.placement.aim_mm or 0.0, units)
    return f"{text}: {'it still serves' if again.move.done else 'it no longer serves'} (aim {aim})."


def tolerance_line(tolerances: Tolerances, units: Units) -> str:
    """What is allowed, and where that is from."""
    spindle, axis, rock, tightening = (
        tolerance(mm, units) for mm in (tolerances.spindle_mm, tolerances.axis_mm, tolerances.rock_mm, tolerances.tightening_mm)
    )
    return (
        f"Allowed either way: {spindle} at the spindle, {axis} along the loader, roll {slope(tolerances.roll_mm_per_m, units)},"
        f" a foot {rock} out of plane, {tightening} on tightening ({tolerances.basis})."
    )


def round_title(one: Round) -> str:
    """A round by its number and its stage."""
    return f"Round {one.number}, {one.stage}"


def axis_lines(verdict: Verdict, units: Units) -> tuple[str, ...]:
    """Where the axis lies at each point, and how the loader is rolled."""
    roll = verdict.roll
    sure = slope(COVERAGE * roll.u_mm_per_m, units)
    rolled_line = f"roll: {rolled(roll.roll_mm_per_m, units)} ± {sure}, {GRADES[roll.grade]}"
    return (*(residual_line(residual, units) for residual in verdict.residuals), rolled_line)


def residual_line(residual: Residual, units: Units) -> str:
    """One point: how high and how far aside, how sure, what is allowed."""
    offset, allowed = residual.offset, tolerance(residual.tolerance_mm, units)
    text = f"{offset.point.name}: {_figured(high_or_low(offset.upright.miss_mm, units), offset.upright, residual.upright, units)}"
    if offset.sideways is None or residual.sideways is None:
        return f"{text}; sideways not read ({allowed} allowed)"
    aside = _figured(left_or_right(offset.sideways.miss_mm, units), offset.sideways, residual.sideways, units)
    return f"{text}; {aside} ({allowed} allowed)"


def _figured(way: str, miss: Miss, grade: Grade, units: Units) -> str:
    """A miss with its grade; no figure where it was not read."""
    if grade == "not decided":
        return f"{NOT_READ}, {GRADES[grade]}"
    return f"{way} {give_or_take(miss.u_mm, units)}, {GRADES[grade]}"


def foot_lines(level: Level, plan: Plan) -> tuple[str, ...]:
    """Each foot with its move, its shims, and what stands in the way."""
    units, lines = level.job.units, []
    for wanted, move, rock_mm in zip(plan.wanted, plan.feet, plan.rocks_mm, strict=True):
        text = f"{move.name}: {foot_way(wanted, units)}"
        put = shims(move.move_mm, level.job)
        more = [beyond(move, units)]
        if move.name in plan.rocking:
            more.append(f"{small(rock_mm, units)} out of the plane of the others")
        lines.append(", ".join([f"{text}: {put}" if put else text, *(word for word in more if word)]))
    return tuple(lines)


def expected_heading(plan: Plan) -> str:
    """What stands over the figures that the moves should leave: they hold only if the moves can be made."""
    if plan.beyond:
        return "Expected only once every travel suffices"
    return "Expected then" if plan.feasible else "Expected only once the spindle lies in the loader's range of heights"


def screw_lines(level: Level, plan: Plan) -> tuple[str, ...]:
    """Each place of side screws with its push, after the feet."""
    units = level.job.units
    lines = []
    for move in plan.screws:
        lines.append(", ".join(word for word in (f"{move.name}: {screw_way(move, units)}", beyond(move, units)) if word))
    return tuple(lines)


def reading_lines(one: Round) -> tuple[str, ...]:
    """How the readings of a round agree with one another."""
    if one.alignment is None:
        return () if one.lacking is None else (f"this round does not tell where the loader lies: {one.lacking.action}",)
    fit = one.alignment.fit
    count = len(fit.judgements) + len(fit.untested)
    if fit.probability is None:
        return (f"{count} figures, none of them tested by another: read something twice or at a third place",)
    tested = f"{count} figures, {len(fit.judgements)} of them tested by others"
    if fit.consistent:
        return (f"{tested}: they agree",)
    named = listed(("; ".join(group) for group in fit.suspects), last="or") if fit.suspects else "no single one explains it"
    look = f"look first at {named}" if fit.suspects else named
    return (f"{tested}: they contradict one another; {look}",)


def mind_lines(level: Level, one: Round) -> tuple[str, ...]:
    """What is weak or unknown in a round."""
    return tuple(_mind(level, one))


def _mind(level: Level, one: Round) -> Iterator[str]:
    units, tables = level.job.units, level.job.tables
    for taken in one.unclosed:
        name = tables.sweeps[_index(taken.field)].name or taken.field
        yield (
            f"the sweep of {name} does not close: top and bottom together differ from left and right together by"
            f" {small(taken.sweep.misclosure_mm if taken.sweep is not None else 0.0, units)}"
        )
    for what in level.read_at_one_position(one):
        ends = "both limits" if what == "headstock" else "both ends of its shift"
        yield f"read with the {what} at one position only: read the same place with it at {ends}"
    if one.alignment is not None and not one.sideways_read:
        yield "sideways is not read yet: read how far the loader is aside at two places along it"
    own = [_index(taken.field) for taken in one.taken if taken.field.startswith("sweeps")]
    if any(tables.sweeps[i].bracket is None and tables.sweeps[i].surface != "face" for i in own):
        sag = tolerance(UNKNOWN_SAG_MM, units)
        yield (
            f"a bracket whose sag is not known may hang by {sag}, at each reach by another amount: sweep a stiff tube with it at"
            " that reach and enter each reach in [[brackets]]"
        )
    laid = [tables.levels[_index(taken.field)] for taken in one.taken if taken.field.startswith("levels")]
    if any(table.way == "across" and table.turned is None for table in laid):
        zero = slope(UNKNOWN_ZERO_MM_PER_M, units)
        yield f"a level that was not turned end for end may be off by {zero}: read it both ways round"
    least = too_unsure(one.now) if one.now is not None else None
    if least is not None:
        sure = max((miss for miss, _ in graded_misses(least)), key=lambda miss: miss.u_mm)
        yield (
            f"at the {least.offset.point.name} it is sure only to {give_or_take(sure.u_mm, units)}, with"
            f" {tolerance(least.tolerance_mm, units)} allowed: read at places farther apart along the loader, or more exactly"
        )
    if one.plan is not None and one.sideways_read and not level.job.tables.side_screws:
        yield "no [[side_screws]]: how far to push sideways is not told"
    yield from _surprises(one, units)


def _index(field: str) -> int:
    """The place of a row in its list."""
    return int(field[field.index("[") + 1 : -1])


def _surprises(one: Round, units: Units) -> Iterator[str]:
    """Where the axis came to lie otherwise than the moves of the round before should have left it."""
    if one.forecast is None or one.alignment is None or one.now is None:
        return
    for point in (residual.offset.point for residual in one.now.residuals):
        for way, miss in zip(("upright", "sideways"), difference(one.forecast.after, one.alignment.pose, point), strict=True):
            if miss is not None and miss.beyond_chance:
                yield (
                    f"at the {point.name} the axis lies {small(miss.miss_mm, units)} {way} from where the moves should have left"
                    " it: was every move made, does every foot bear?"
                )


def tightening_lines(level: Level) -> tuple[str, ...]:
    """What the last tightening changed at each point."""
    units, lines = level.job.units, []
    for one in level.tightened:
        parts = [_changed(one.upright, "upright", units)]
        if one.sideways is not None:
            parts.append(_changed(one.sideways, "sideways", units))
        lines.append(f"{one.point.name}: {'; '.join(parts)}")
    return tuple(lines)


def _changed(change: Change, way: str, units: Units) -> str:
    miss = change.change
    seen = "" if change.seen else ", no more than the readings' uncertainty"
    return f"{small(miss.miss_mm, units)} {give_or_take(miss.u_mm, units)} {way}{seen}, {GRADES[change.grade]}"


def work_lines(level: Level) -> tuple[str, ...]:
    """The order of work, each task with how it stands; the next one is marked."""
    items = work_of(level)
    following = next_of(items)
    return tuple(work_line(item, following=item is following) for item in items)


def work_line(item: WorkItem, *, following: bool) -> str:
    """One task."""
    mark = "next" if following else item.state
    why = f" ({item.why})" if item.why else ""
    return f"[{mark}] {item.task.work}{why}"
