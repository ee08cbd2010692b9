"""The run-off in words: what is decided, what is still to run, and what passing proves. Command and page say the same."""

from __future__ import annotations

import math
from collections.abc import Iterator

from standoff.job.amounts import hours, many
from standoff.job.runoff import (
    ALARMS,
    BARS,
    CHANGE,
    END_PART,
    FIRST_PART,
    PLACEMENT,
    REMNANT,
    SIGNALS,
    Clause,
    Runoff,
    RunStanding,
)
from standoff.job.runoff_plan import AgreedRun, Rule, RunPlan, over_limits
from standoff.job.speech import length, listed
from standoff.job.speed_speech import rpm
from standoff.model.state import FIXED
from standoff.site.acceptance import Decision, Plan, RowPlan
from standoff.site.reliability import reached_confidence

CAUTION = (
    "Before anyone reaches in: stop both machines and follow the lockout procedure (in the US 29 CFR 1910.147)."
    " In a run-off the pair runs at speed with nobody beside it: guards closed and interlocked (ISO 23125, 29 CFR 1910.212),"
    " nobody in line with a bar or a remnant that may be thrown out, the bar supported over its whole length: it can whip."
    " Cutting oil and its mist burn, chips and worn tools light them (ISO 19353): whether it may run alone is decided by its"
    " protection against fire, the makers' manuals, your local code and the risk assessment at the machine, not by bars that were"
    " counted: an accepted run-off is no release."
)

PASSING_SHARES = (0.5, 0.8, 0.9, 0.95, 0.99)
"""True shares of clean bars for which it is told how often such a cell passes."""

_NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve")
_WHAT = {
    REMNANT: "the remnant is longer than agreed",
    FIRST_PART: "first parts are out of tolerance",
    END_PART: "parts near the bar's end are out of tolerance",
    CHANGE: "a bar change took longer than agreed",
    SIGNALS: "a signal does not come as it must",
    ALARMS: "an alarm did not come as it must",
}
"""What has failed, by what was agreed."""
_OPEN = {
    PLACEMENT: "a placement that holds where the loader stands",
    REMNANT: "remnants to measure",
    FIRST_PART: "first parts to measure",
    END_PART: "parts near the bar's end to measure",
    CHANGE: "bar changes to time",
    SIGNALS: "signals to test",
    ALARMS: "alarms to provoke",
}
"""What is still to be done, by what was agreed."""


def headline(runoff: Runoff) -> str:
    """The whole run-off in a sentence or two, as a technician would say it."""
    if runoff.decision is Decision.FAILED:
        failed = [_failure(runoff, clause) for clause in runoff.clauses if clause.decision is Decision.FAILED]
        return f"Not passed: {'; '.join(dict.fromkeys(failed))}."
    if runoff.decision is Decision.ACCEPTED:
        return f"Accepted: {_accepted(runoff)}.{_since(runoff)} {weakest_line(runoff)}"
    open_runs = [run for run in runoff.runs if run.state.judgement.decision is Decision.NOT_YET]
    if open_runs:
        if len(runoff.runs) == 1:
            return f"{run_sentence(open_runs[0])} {weakest_line(runoff)}"
        told = "; ".join(f"{run.name}: {_count(run)}, {_to_go(run)}" for run in open_runs)
        return f"Not decided yet. {_capital(told)}. {weakest_line(runoff)}"
    left = dict.fromkeys(_still(runoff, clause) for clause in runoff.clauses if clause.decision is Decision.NOT_YET)
    return f"Not decided yet: every run has passed its bars; left are {listed(left)}. {weakest_line(runoff)}"


def _still(runoff: Runoff, clause: Clause) -> str:
    """What is still to be done for one thing that was agreed."""
    if clause.id == SIGNALS and not runoff.signals:
        return "a part to describe, whose cycle gives the signals to test"
    return _OPEN[clause.id]


def _accepted(runoff: Runoff) -> str:
    words = {1: "the run", 2: "both runs"}
    told = f"{words.get(len(runoff.runs), f'all {_number(len(runoff.runs))} runs')} passed what was agreed"
    short = [run.plan.wanted_share for run in runoff.runs if run.plan.wanted_share is not None and not run.plan.enough]
    return f"{told}, which is not enough to show the {_wanted(max(short))} that are wanted" if short else told


def _since(runoff: Runoff) -> str:
    """Bars that were stopped after their run had passed: the decision stays, but nobody is to miss them."""
    found = ((run, *run.since) for run in runoff.runs)
    told = [f"{_run_name(runoff, run)}{stopped} of {many(bars, 'more bar')}" for run, bars, stopped in found if stopped]
    return f" But since then {'; '.join(told)} stopped." if told else ""


def _failure(runoff: Runoff, clause: Clause) -> str:
    """Why one thing that was agreed has failed."""
    run = next((run for run in runoff.runs if run.name == clause.run), None)
    where = f"{_run_name(runoff, run)}" if run is not None else ""
    if run is not None and clause.id == BARS:
        allowed = run.plan.plan.stops_allowed
        stopped = many(run.state.stopped, "stopped bar")
        return f"{where}{stopped} in {run.state.clean + run.state.stopped}, and {_number(allowed)} allowed"
    return f"{where}{_WHAT[clause.id]}"


def _run_name(runoff: Runoff, run: RunStanding) -> str:
    """The name of a run, where there is more than one."""
    return f"{run.name}: " if len(runoff.runs) > 1 else ""


def _count(run: RunStanding) -> str:
    state, thing = run.state, _thing(run.plan, 2)
    valid = state.clean + state.stopped
    if valid == 1:
        return f"the only {_thing(run.plan, 1)} so far {'ran clean' if state.clean else 'was stopped'}"
    return f"{state.clean} of {valid} {thing} ran clean" if valid else "nothing has run yet"


def _to_go(run: RunStanding) -> str:
    to_go, more = run.state.judgement.bars_to_go, " more" if run.state.clean + run.state.stopped else ""
    if isinstance(run.plan.plan, RowPlan):
        return f"{to_go}{more} clean {_thing(run.plan, to_go)} in a row {'is' if to_go == 1 else 'are'} needed"
    return f"{to_go}{more} {'is' if to_go == 1 else 'are'} to run"


def _thing(plan: RunPlan, count: int) -> str:
    thing = "bar change" if plan.rule is Rule.CHANGES else "bar"
    return thing if count == 1 else f"{thing}s"


def run_sentence(run: RunStanding) -> str:
    """One run: how many ran clean, and what follows from it."""
    judgement = run.state.judgement
    if judgement.decision is Decision.NOT_YET:
        begun = run.state.clean + run.state.stopped > 0
        return f"{_capital(_count(run))}; {'not decided yet: ' if begun else ''}{_to_go(run)}."
    void = f" {_capital(many(run.state.void, 'more bar'))} did not count." if run.state.void else ""
    if judgement.decision is Decision.ACCEPTED:
        return f"{_capital(_count(run))}: passed with the {_th(judgement.decided_at or 0)}.{void}"
    return (
        f"{_capital(_count(run))}: failed with the {_th(judgement.decided_at or 0)},"
        f" the stop after the {_number(run.plan.plan.stops_allowed)} allowed.{void}"
    )


def run_title(run: RunStanding) -> str:
    """A run with its bar, mode and speed."""
    agreed = run.plan.agreed
    mode = "" if agreed.run.mode == FIXED else f", {agreed.run.mode} mode"
    speed = f", {agreed.speed_rpm:.0f} rpm" if agreed.speed_rpm is not None else ""
    return f"{agreed.name}: {agreed.run.bar}{mode}{speed}"


def plan_line(plan: RunPlan) -> str:
    """What has to be passed, and whose words that are."""
    if plan.stated:
        return f"agreed: {_plan_words(plan.plan, plan)}{_why(plan)}"
    return f"{_plan_words(plan.plan, plan)} (nothing is agreed: this is our default, common practice without a published source)"


def _why(plan: RunPlan) -> str:
    if plan.rule is Rule.SHIFT and plan.shift is not None:
        return f", as many as a shift of {plan.shift.shift_s / 3600.0:g} h takes"
    if plan.rule is Rule.SHARE and plan.wanted_share is not None:
        return f", as many as it takes to show {_wanted(plan.wanted_share)}"
    return ""


def _plan_words(plan: Plan, of: RunPlan) -> str:
    """A plan in words."""
    count, things = plan.bars, _thing(of, plan.bars)
    if isinstance(plan, RowPlan):
        return f"{_number(count)} clean {things} in a row{_beginnings(plan.stops_allowed)}"
    stops = "none" if plan.stops_allowed == 0 else f"at most {_number(plan.stops_allowed)}"
    return f"{_number(count)} {things} in all, {stops} of them stopped"


def _beginnings(stops_allowed: int) -> str:
    if stops_allowed == 0:
        return ", at the first attempt"
    return f", with {_number(stops_allowed)} new beginning{'s' if stops_allowed > 1 else ''} allowed"


def weakest_line(runoff: Runoff) -> str:
    """What passing shows, of the run of which it shows least."""
    return proof_line(min((run.plan for run in runoff.runs), key=lambda plan: plan.shown_share))


def proof_line(plan: RunPlan) -> str:
    """What passing the plan shows: never a pass mark without the confidence it buys."""
    only = "" if plan.shown_share >= 0.9 else " only"
    of_what = "bar changes" if plan.rule is Rule.CHANGES else "bars"
    said = _capital(_plan_words(plan.plan, plan))
    verb = "show" if plan.plan.bars > 1 else "shows"
    return f"{said}, {verb}{only} that at least {_hundred(plan.shown_share)} {of_what} run clean ({_confidence(plan)})."


def proof_lines(plan: RunPlan) -> tuple[str, ...]:
    """What the plan shows, what would show what is wanted, what it means for a shift, and how often a cell passes."""
    return tuple(_proofs(plan))


def _proofs(plan: RunPlan) -> Iterator[str]:
    yield proof_line(plan)
    if plan.plan.stops_allowed and isinstance(plan.plan, RowPlan):
        first = RowPlan(plan.plan.bars).shown_share(plan.confidence_share)
        yield f"at the first attempt it would show {_hundred(first)}: each new beginning is another chance to pass"
    if plan.wanted is not None and plan.wanted_share is not None:
        needs = _plan_words(plan.wanted, plan)
        wanted = _wanted(plan.wanted_share)
        yield f"{wanted} are wanted: that is shown" if plan.enough else f"{wanted} are wanted: that takes {needs}"
    yield passing_line(plan)
    if plan.short_stock is not None and not plan.enough:
        share, count = _wanted(plan.short_stock_share), plan.short_stock.further
        yield (
            f"{count} bar changes with short stock, none stopped, show {share} of the change alone, in"
            f" {hours(plan.short_stock.run_h)}; they say nothing of feeding a whole bar"
        )
    if plan.shift is not None:
        yield shift_line(plan)


def shift_line(plan: RunPlan) -> str:
    """What a shift without anybody there asks, and what the plan shows for it."""
    shift = plan.shift
    if shift is None:
        return "no shift without anybody there is agreed"
    return (
        f"a shift of {shift.shift_s / 3600.0:g} h takes {many(shift.bars, 'bar')}: to pass without a stop"
        f" {_times(shift.chance_share)}, {_hundred(shift.needed_share, up=True)} must run clean; what this plan shows is good for"
        f" {_chance(shift.shown_chance_share)}"
    )


def passing_line(plan: RunPlan) -> str:
    """How often cells of known quality pass: the plan's operating characteristic in words."""
    found = (f"{100.0 * share:g} of 100 {_times(plan.plan.acceptance_probability(share))}" for share in PASSING_SHARES)
    return f"how often a cell passes, by how many of its bars truly run clean: {'; '.join(found)}"


def interval_line(run: RunStanding) -> str:
    """Between which shares the true one lies, by the bars that ran."""
    interval = run.state.interval
    if interval is None:
        return "no bar has run: nothing is shown yet"
    bars, share = run.state.clean + run.state.stopped, run.plan.wanted_share
    stopped = _number(run.state.stopped) if run.state.stopped else "none"
    least, greatest = _hundred(interval.least_share).removesuffix(" of 100"), _hundred(interval.greatest_share, up=True)
    told = (
        f"by {many(bars, _thing(run.plan, 1))}, {stopped} stopped: between {least} and {greatest} run clean"
        f" ({_confidence(run.plan)}, as if their number had been agreed before)"
    )
    if share is None:
        return told
    reached = reached_confidence(bars=bars, stops=run.state.stopped, clean_share=share)
    return f"{told}; that at least {_wanted(share)} do is shown with {_percent(reached)} confidence"


def stop_lines(runoff: Runoff) -> tuple[str, ...]:
    """Stops by cause, the most frequent first, and whether they count."""
    void = " (do not count: their bars are void)"
    return tuple(f"{stops.cause.value}: {stops.count}{'' if stops.counts else void}" for stops in runoff.stops)


def notice_lines(runoff: Runoff) -> tuple[str, ...]:
    """What the agreement leaves out, what was done out of turn, and what cannot be right."""
    lines = [f"not run off: {left}" for left in runoff.left_out]
    if runoff.placement.failing:
        at = length(runoff.placement.standoff_mm, runoff.job.units)
        lines.append(
            f"the pair does not fit at a standoff of {at}, for which remnants and signals are told: see the placement first"
        )
    if runoff.undone_stops:
        told = "taken back: they count for nothing, and stay in the tally as taken back"
        lines.append(f"{many(runoff.undone_stops, 'stopped bar')} {'was' if runoff.undone_stops == 1 else 'were'} {told}")
    if runoff.early:
        told = "ran before the day of the agreement: a plan agreed on after bars were seen shows less than it says"
        lines.append(f"{many(runoff.early, 'bar')} {told}")
    lines += [
        f"{run.name}: {run.plan.agreed.speed_rpm:.0f} rpm is more than the greatest speed of the {whose}, {limit_rpm:.0f} rpm"
        for run in runoff.runs
        for whose, limit_rpm in over_limits(runoff.job, run.plan.agreed)
    ]
    lines += [f"{run.name}: {told}" for run in runoff.runs if (told := _over_bar(runoff, run.plan.agreed))]
    short = [(run.name, key) for run in runoff.runs for key in run.too_short]
    lines += [f"{name}: the length of bar {key} does not hold one part and is not used" for name, key in short]
    return tuple(lines)


def _over_bar(runoff: Runoff, run: AgreedRun) -> str:
    """That a run is faster than whip leaves its bar, or that its bar has no speed at all."""
    limit_rpm = runoff.bar_limit_rpm(run)
    if run.speed_rpm is None or limit_rpm is None or run.speed_rpm <= limit_rpm:
        return ""
    if limit_rpm == 0.0:
        return f"{run.run.bar} does not pass, so that it has no speed: see bar speed"
    mode = "" if run.run.mode == FIXED else f" in {run.run.mode} mode"
    return f"{run.speed_rpm:.0f} rpm is above the whip limit of {run.run.bar}{mode}, {rpm(limit_rpm)}: see bar speed"


def open_lines(runoff: Runoff) -> tuple[str, ...]:
    """What else is still to be measured, tested or provoked."""
    return tuple(
        f"{clause.run + ': ' if clause.run else ''}{_still(runoff, clause)}"
        for clause in runoff.clauses
        if clause.decision is Decision.NOT_YET and clause.id != BARS
    )


def _number(count: int) -> str:
    return _NUMBERS[count] if count < len(_NUMBERS) else str(count)


def _th(place: int) -> str:
    ending = "th" if 10 <= place % 100 <= 20 else {1: "st", 2: "nd", 3: "rd"}.get(place % 10, "th")
    return f"{place}{ending}"


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]


def _confidence(plan: RunPlan) -> str:
    return f"{_percent(plan.confidence_share)} confidence"


def _percent(share: float) -> str:
    """A confidence, rounded down: whole percents below 99; what is not certain is not called so."""
    percent = share * 100.0 + 1e-9
    if percent < 99.0:
        return f"{math.floor(percent)} %"
    return f"{min(math.floor(percent * 10.0) / 10.0, 99.9 if share < 1.0 else 100.0):g} %"


def _hundred(share: float, *, up: bool = False) -> str:
    """A share as so many of 100, rounded down (or up) to tenths, or as finely as it takes not to become 100."""
    hundred, told = share * 100.0, 100.0
    for step in (10.0, 100.0, 1e3, 1e4, 1e5):
        told = (math.ceil(hundred * step - 1e-6) if up else math.floor(hundred * step + 1e-6)) / step
        if told < 100.0 or share >= 1.0:
            break
    return f"{told:.8g} of 100"


def _wanted(share: float) -> str:
    """A share as it was agreed."""
    return f"{100.0 * share:.8g} of 100"


def _times(share: float) -> str:
    """How often, of 100 times."""
    hundred = share * 100.0
    if 0.0 < hundred < 1.0:
        return "less than once in 100"
    if 99.0 < hundred < 100.0:
        return "more than 99 times in 100"
    return f"{hundred:.0f} times in 100" if round(hundred) != 1 else "once in 100"


def _chance(share: float) -> str:
    """A chance of a shift that is only known to be at least so great."""
    if share < 0.01:
        return "less than 1 shift in 100"
    return f"at least {math.floor(share * 100.0 + 1e-9)} shifts in 100"
