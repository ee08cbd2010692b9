"""The run-off as a page shows it: how it stands, every run with its pictures, the tally, the signal test sheet, what it proves.

What is said comes from the speech of the command; here it only gets its place. A tap changes no revision, so that the answer is
worked out anew from the job and its log each time.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from standoff.desk.drawn import Drawn, drawn
from standoff.desk.runoff import runoff_of_job
from standoff.desk.runoff_rows import ASKED, AlarmLine, BarRow, Figure, SignalLine, alarm_rows, bar_rows, signal_rows
from standoff.desk.runoff_taps import NEEDED_TABLES, lines_of
from standoff.desk.sheet import Sheet
from standoff.desk.speed_page import Sign
from standoff.desk.stock_rows import sentences
from standoff.desk.walk import Form, form_of
from standoff.desk.wanted import Wanted, wanted_of
from standoff.draw.runoff_chart import Remnants, remnant_chart
from standoff.draw.runoff_power import Power, power_chart
from standoff.draw.runoff_strip import tally_strip
from standoff.errors import JobFileError, StandoffError
from standoff.job.guide import walk_of
from standoff.job.job import Job
from standoff.job.runoff import NOT_OK, NOT_TESTED, OK, Runoff, RunStanding, Stops
from standoff.job.runoff_log import Refused, told_of
from standoff.job.runoff_measure_speech import change_lines, length_lines, remnant_lines, signal_sentence
from standoff.job.runoff_plan import RunPlan, runs_in
from standoff.job.runoff_speech import (
    CAUTION,
    headline,
    interval_line,
    notice_lines,
    open_lines,
    plan_line,
    proof_lines,
    run_sentence,
    run_title,
    weakest_line,
)
from standoff.job.runoff_tables import STOP_CAUSES as CAUSES
from standoff.site.acceptance import Decision
from standoff.store.records import LogLine
from standoff.units import Units

__all__ = ["CAUSES", "CAUTION", "RESULTS", "RunoffView", "runoff_form", "runoff_to_go", "runoff_view"]

SIGNS = {
    Decision.ACCEPTED: Sign("fits", "✓", "Accepted"),
    Decision.NOT_YET: Sign("open", "…", "Not decided yet"),
    Decision.FAILED: Sign("clash", "✗", "Not passed"),
}
RUN_SIGNS = {**SIGNS, Decision.ACCEPTED: Sign("fits", "✓", "Passed")}
RESULTS = (OK, NOT_OK, NOT_TESTED)
MOST_BARS = 60
"""So many bars are listed, the newest ones."""

METHOD = (
    "Bars are counted as independent and alike; a bar stopped by a cause that does not count is void: neither clean nor stopped.",
    "What clean bars show: Clopper and Pearson, Biometrika 26 (1934) 404-413; the number of bars is agreed before the start.",
    "A row that may begin anew passes with the chance 1 − (1 − R^n)^(c + 1), R the true share of clean bars, n the row, c the new"
    " beginnings: own derivation, confirmed by simulation.",
    "Remnants: the difference against Student's distribution (JCGM 100:2008, G.4.1), limits with a guard band (JCGM 106:2012);"
    " control limits from the steps between bars (ISO 7870-2:2013; NIST/SEMATECH e-Handbook, 6.3.2).",
    "Lengths of parts: capability by NIST/SEMATECH e-Handbook, 6.1.6. Defaults marked as ours are common practice without a"
    " published source.",
)
"""How the run-off is judged, with its sources."""


@dataclass(frozen=True, slots=True)
class RunChoice:
    """A run that a bar can be tapped for."""

    name: str
    short: str
    chosen: bool


@dataclass(frozen=True, slots=True)
class RunView:
    """One run: how it stands, its bars in a row, and its remnants; `chart` is None while none was measured."""

    name: str
    title: str
    sign: Sign
    told: tuple[str, ...]
    strip: Drawn
    chart: Drawn | None
    measured: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Proof:
    """What passing one plan proves, and for which runs it is agreed."""

    runs: str
    told: tuple[str, ...]
    power: Drawn


@dataclass(frozen=True, slots=True, kw_only=True)
class RunoffView:
    """The answer part of the page: either how the run-off stands, or what is wanted first, or why it cannot be judged."""

    lines: int
    names: tuple[RunChoice, ...] = ()
    wanted: tuple[Wanted, ...] = ()
    refused: str = ""
    sign: Sign = SIGNS[Decision.NOT_YET]
    where: str = ""
    spoken: str = ""
    shows: str = ""
    open: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    runs: tuple[RunView, ...] = ()
    stops: tuple[Stops, ...] = ()
    bars: tuple[BarRow, ...] = ()
    bars_more: int = 0
    measured: BarRow | None = None
    figures: tuple[Figure, ...] = ()
    asked_for: bool = False
    proofs: tuple[Proof, ...] = ()
    signals_told: str = ""
    signals: tuple[SignalLine, ...] = ()
    alarms: tuple[AlarmLine, ...] = ()
    method: tuple[str, ...] = METHOD


def runoff_form(sheet: Sheet) -> Form:
    """The fields that the run-off asks for, at a revision."""
    return form_of(sheet, "runoff")


def runoff_to_go(sheet: Sheet) -> int:
    """How much of what was begun must be there and is not; all of it may be left out."""
    return sum(problem.code == "key-missing" and walk_of(problem.field) == "runoff" for problem in sheet.problems)


def runoff_view(sheet: Sheet, log: Sequence[LogLine], *, bar: str = "", run: str = "") -> RunoffView | None:
    """How the run-off stands; `bar` is the key of the bar to be measured (else the newest). None while there is no placement."""
    job, lines = sheet.job, lines_of(log)
    if job is None:
        return None
    if problems := sheet.left_out(*NEEDED_TABLES):
        return RunoffView(lines=len(lines), wanted=tuple(wanted_of(problem, sheet) for problem in problems))
    names = _choices(job, log, run)
    try:
        runoff = runoff_of_job(job, lines, text=sheet.text)
    except JobFileError as refused:
        wanted = tuple(wanted_of(problem, sheet) for problem in refused.problems)
        return RunoffView(lines=len(lines), names=names, wanted=wanted)
    except StandoffError as refused:
        return RunoffView(lines=len(lines), names=names, refused=str(refused))
    bars = bar_rows(runoff, told_of(job, lines), {line.key for line in lines})
    standing = [row for row in bars if row.number]
    asked = next((row for row in standing if row.key == bar), None)
    measured = asked or (standing[0] if standing else None)
    return RunoffView(
        lines=len(lines),
        names=names,
        sign=SIGNS[runoff.decision],
        where=_where(job),
        spoken=headline(runoff).removesuffix(weakest_line(runoff)).strip(),
        shows=weakest_line(runoff) if runoff.decision is not Decision.FAILED else "",
        open=sentences(open_lines(runoff)),
        notes=sentences([*notice_lines(runoff), *(_lost(refused) for refused in runoff.refused)]),
        runs=tuple(_run_view(one, job.units) for one in runoff.runs),
        stops=runoff.stops,
        bars=bars[:MOST_BARS],
        bars_more=max(len(bars) - MOST_BARS, 0),
        measured=measured,
        figures=measured.figures if measured else tuple(Figure(*one, "") for one in ASKED),
        asked_for=asked is not None,
        proofs=_proofs(runoff),
        signals_told=sentences([signal_sentence(runoff)])[0],
        signals=signal_rows(runoff),
        alarms=alarm_rows(runoff),
    )


def _where(job: Job) -> str:
    """Who agreed on the plan, and when."""
    table = job.tables.runoff
    if table is None or not (table.agreed_by or table.agreed_on):
        return "It is not told who agreed on this, and when."
    by = f" by {table.agreed_by}" if table.agreed_by else ""
    return f"Agreed{by}{f' on {table.agreed_on}' if table.agreed_on else ''}."


def _choices(job: Job, log: Sequence[LogLine], run: str) -> tuple[RunChoice, ...]:
    """The runs there are; chosen is the one asked for, else the one tapped last, else the first."""
    tables = runs_in(job.tables, [mode.name for mode in job.layout.modes])
    names = [table.name for table in tables]
    last = [str(line.contents.get("run", "")) for line in log if line.kind == "runoff-bar"]
    chosen = next((name for name in (run, *reversed(last)) if name in names), names[0])
    told = ((table.name, (table.bar, table.mode, _speed(table.speed))) for table in tables)
    shorts = [", ".join(one for one in ones if one and one != name) for name, ones in told]
    return tuple(RunChoice(name, short, name == chosen) for name, short in zip(names, shorts, strict=True))


def _speed(speed_rpm: float | None) -> str:
    return "" if speed_rpm is None else f"{speed_rpm:g} rpm"


def _lost(refused: Refused) -> str:
    """A line of the log that does not fit the job any more."""
    why = "; ".join(f"{problem.found}, expected {problem.expected}" for problem in refused.problems)
    return f"a tap does not fit what is agreed now and is left out (it stays in the log): {why}."


def _run_view(run: RunStanding, units: Units) -> RunView:
    found = _remnants(run)
    return RunView(
        name=run.name,
        title=run_title(run).partition(": ")[2] or run_title(run),
        sign=RUN_SIGNS[run.state.judgement.decision],
        told=sentences([run_sentence(run), *([interval_line(run)] if run.state.interval else [])]),
        strip=drawn(lambda arrangement: tally_strip(run.state, run.agreement, arrangement=arrangement)),
        chart=None if found is None else drawn(lambda arrangement: remnant_chart(found, units=units, arrangement=arrangement)),
        measured=sentences([*remnant_lines(run, units), *length_lines(run, units), *change_lines(run)]),
    )


def _remnants(run: RunStanding) -> Remnants | None:
    """The remnants of a run as they are drawn."""
    found = run.remnants
    if found is None:
        return None
    predicted = found.prediction or run.prediction
    return Remnants(
        run=run.name,
        remnants_mm=found.remnants_mm,
        bars=found.bars,
        chart=found.chart,
        predicted_mm=None if predicted is None else predicted.mean_mm,
        predicted_u_mm=0.0 if predicted is None else predicted.u_mm,
        any_mm=None if predicted is None else (predicted.shortest_mm, predicted.longest_mm),
        longest_mm=run.plan.agreed.remnant_at_most_mm,
    )


def _proofs(runoff: Runoff) -> tuple[Proof, ...]:
    """What each plan proves, runs with the same plan together."""
    groups: dict[Power, list[RunPlan]] = {}
    for plan in (run.plan for run in runoff.runs):
        power = Power(
            plan=plan.plan,
            confidence_share=plan.confidence_share,
            wanted_share=plan.wanted_share,
            wanted_plan=plan.wanted,
        )
        groups.setdefault(power, []).append(plan)
    return tuple(_proof(power, plans) for power, plans in groups.items())


def _proof(power: Power, plans: Sequence[RunPlan]) -> Proof:
    """What holds for all runs once, what holds for one of them with its name."""
    lines = [(plan_line(plan), *proof_lines(plan)) for plan in plans]
    told = [line for line in lines[0] if all(line in other for other in lines)]
    for plan, own in zip(plans, lines, strict=True):
        told += [f"{plan.agreed.name}: {line}" for line in own if line not in told]
    names = ", ".join(plan.agreed.name for plan in plans)
    return Proof(names, sentences(told), drawn(lambda arrangement: power_chart(power, arrangement=arrangement)))
