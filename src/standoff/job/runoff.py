"""The run-off: does the pair run by itself? What was agreed, how every run stands, and what that shows.

Accepted is what passed the agreed plan in every run, kept every limit that was agreed, and whose signals and alarms all came as
they must. One thing that failed fails the whole; one that is open leaves it open. Nothing is pooled over runs but the stops by
cause: a clean bar of one run proves nothing of another.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from standoff.errors import JobFileError, Problem
from standoff.job.cycle import cycle_of
from standoff.job.job import Job
from standoff.job.mode_change import mode_changes
from standoff.job.parts import Part, parts_of
from standoff.job.placement import Placement
from standoff.job.runoff_log import MEASURES, SIGNAL, Line, Refused, Told, stranger, told_of
from standoff.job.runoff_measures import (
    ChangeStanding,
    LengthStanding,
    Prediction,
    RemnantStanding,
    changes_of,
    end_of_bar,
    lengths_of,
    prediction_of,
    remnants_of,
)
from standoff.job.runoff_plan import AgreedRun, RunPlan, agreed_runs, bar_limits_rpm, counted_causes, run_plan
from standoff.job.runoff_tables import RunoffAlarmTable, RunoffBarTable, RunoffSignalTable, agreed
from standoff.job.runoff_times import day_of, moment_of
from standoff.job.signals import SignalRow, signal_rows
from standoff.site.acceptance import Decision
from standoff.site.paired import PairedDifference
from standoff.site.remnant import FEWEST_BARS, Compliance
from standoff.site.tally import Agreement, BarRecord, Cause, RunState, cause_of, tally

OK, NOT_OK, NOT_TESTED = "ok", "not ok", "not tested"
PLACEMENT, BARS, REMNANT, FIRST_PART, END_PART, CHANGE, SIGNALS, ALARMS = (
    "placement",
    "bars",
    "remnant",
    "first-part",
    "end-part",
    "bar-change",
    "signals",
    "alarms",
)
"""What is judged, if it was agreed."""

EARLIEST_ZONE = timedelta(hours=14)
"""Where a day begins first, it begins so long before it does in UTC."""
NOT_JUDGED = dict.fromkeys(MEASURES)
"""What was measured of a bar that does not count is kept with it, and judged by nobody."""

_OF_COMPLIANCE = {Compliance.KEEPS: Decision.ACCEPTED, Compliance.EXCEEDS: Decision.FAILED}


@dataclass(frozen=True, slots=True, kw_only=True)
class Clause:
    """One thing that was agreed, and how it stands; `run` is empty for what belongs to no run alone."""

    id: str
    run: str
    decision: Decision


@dataclass(frozen=True, slots=True, kw_only=True)
class RunStanding:
    """How one run stands: its plan, its tally, its measurements. `tables` are its bars in order, as they were tallied.

    `prediction`: the remnant to be expected (None: no part is named, or it is changes with short stock). `too_short`: keys of
    bars whose measured length does not hold one part; it is then not used.
    """

    plan: RunPlan
    agreement: Agreement
    state: RunState
    tables: tuple[RunoffBarTable, ...]
    prediction: Prediction | None
    remnants: RemnantStanding | None
    first_parts: LengthStanding | None
    end_parts: LengthStanding | None
    end_of_bar: PairedDifference | None
    changes: ChangeStanding | None
    too_short: tuple[str, ...]

    @property
    def name(self) -> str:
        """What it is called."""
        return self.plan.agreed.name

    @property
    def since(self) -> tuple[int, int]:
        """How many bars that count have run since the run was decided, and how many of them were stopped."""
        keys = [record.key for record in self.state.records]
        if self.state.decided_by is None:
            return 0, 0
        later = self.state.records[keys.index(self.state.decided_by) + 1 :]
        counted = [record for record in later if self.agreement.counts(record)]
        return len(counted), sum(record.stop is not None for record in counted)


@dataclass(frozen=True, slots=True, kw_only=True)
class SignalStanding:
    """One row of the signal test sheet, the parts whose cycle asks for it, and what was found."""

    row: SignalRow
    parts: tuple[str, ...]
    result: str
    note: str
    by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Stops:
    """The stops of one cause, and whether they count."""

    cause: Cause
    count: int
    counts: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Runoff:
    """The whole run-off. `shown_share`: what an accepted plan shows of every run (None: it is not accepted).

    `left_out`: modes and bars of the job that no run covers. `early`: bars that ran before the day of the agreement.
    `bar_limits_rpm`: as `runoff_plan.bar_limits_rpm` finds them. [rpm]
    """

    placement: Placement
    runs: tuple[RunStanding, ...]
    clauses: tuple[Clause, ...]
    decision: Decision
    shown_share: float | None
    stops: tuple[Stops, ...]
    signals: tuple[SignalStanding, ...]
    alarms: tuple[RunoffAlarmTable, ...]
    left_out: tuple[str, ...]
    early: int
    undone: int
    undone_stops: int
    refused: tuple[Refused, ...]
    bar_limits_rpm: Mapping[str, Mapping[str, float]]

    def bar_limit_rpm(self, run: AgreedRun) -> float | None:
        """What whip leaves the bar of a run in its mode, 0 where it does not pass; None where that is not known. [rpm]"""
        return self.bar_limits_rpm.get(run.run.bar, {}).get(run.run.mode)

    @property
    def job(self) -> Job:
        """The job."""
        return self.placement.job


def runoff_of(
    placement: Placement, told: Told | None = None, limits_rpm: Mapping[str, Mapping[str, float]] | None = None
) -> Runoff:
    """How the run-off of a job stands, with the loader where the placement has it. `told`: file and log; None: the file alone.

    `limits_rpm`: what `bar_limits_rpm` found before; None: it is found now, which takes longer than all the rest.

    Raises: JobFileError where a part cannot be made there, or the file names a row that the signal test sheet does not have.
    """
    job = placement.job
    parts = parts_of(job, standoff_mm=placement.standoff_mm, cut_mm=placement.cut_mm)
    told = told_of(job, ()) if told is None else told
    runs = tuple(_standing(placement, run_plan(job, run), told) for run in agreed_runs(job, parts))
    signals, refused = _signals(placement, parts, told)
    clauses = tuple(_clauses(placement, runs, signals))
    decision = _over_all([one.decision for one in clauses])
    return Runoff(
        placement=placement,
        runs=runs,
        clauses=clauses,
        decision=decision,
        shown_share=min(run.plan.shown_share for run in runs) if _all_bars(clauses) else None,
        stops=_stops(job, runs),
        signals=signals,
        alarms=tuple(job.tables.runoff_alarms),
        left_out=tuple(_left_out(job, runs)),
        early=_early(job, runs),
        undone=len(told.undone),
        undone_stops=sum(bar.stop is not None for bar in told.undone),
        refused=(*told.refused, *refused),
        bar_limits_rpm=bar_limits_rpm(placement) if limits_rpm is None else limits_rpm,
    )


def _standing(placement: Placement, plan: RunPlan, told: Told) -> RunStanding:
    """How one run stands. Its bars are in the order of their times; what its own length does not hold is told."""
    job, run, table = placement.job, plan.agreed, placement.job.tables.runoff
    bars = {bar.key: bar for bar in told.bars if bar.run in (None, run.name)}
    agreement = Agreement(plan.plan, (run.run,), counted_causes(table), plan.confidence_share)
    state = tally([_record(bar, plan) for bar in bars.values()], agreement).runs[0]
    tables = tuple(bars[record.key] for record in state.records)
    part = run.part if run.changes is None else None
    standoff_mm, cut_mm = placement.standoff_mm, placement.cut_mm
    short = tuple(bar.key for bar in tables if run.part is not None and not _holds_a_part(run.part, bar))
    void = {record.key for record in state.records if not agreement.counts(record)}
    judged = [bar.model_copy(update=NOT_JUDGED) if bar.key in void else bar for bar in tables]
    usable = [bar.model_copy(update={"bar_length": None}) if bar.key in short else bar for bar in judged]
    first_mm, end_mm = (
        [series[0].value_mm for bar in judged if (series := getattr(bar, key))] for key in ("first_part", "end_part")
    )
    last_mm = run.first_part_mm if run.part is None else run.part.length_mm
    return RunStanding(
        plan=plan,
        agreement=agreement,
        state=state,
        tables=tables,
        prediction=None if part is None else prediction_of(job, part, standoff_mm=standoff_mm, cut_mm=cut_mm),
        remnants=remnants_of(
            job,
            part,
            usable,
            standoff_mm=standoff_mm,
            cut_mm=cut_mm,
            at_most_mm=run.remnant_at_most_mm,
        ),
        first_parts=lengths_of(first_mm, wanted_mm=run.first_part_mm, tolerance_mm=run.tolerance_mm),
        end_parts=lengths_of(end_mm, wanted_mm=last_mm, tolerance_mm=run.tolerance_mm),
        end_of_bar=end_of_bar(judged),
        changes=changes_of(judged, agreed_s=table.bar_change_at_most if table is not None else None),
        too_short=short,
    )


def _record(bar: RunoffBarTable, plan: RunPlan) -> BarRecord:
    """A bar as the tally counts it."""
    moment = moment_of(bar.at)
    if moment is None:  # the checks have refused it before
        raise JobFileError([Problem("time-form", "", None, "runoff_bars", bar.at, "a time in UTC", "write it in UTC")])
    return BarRecord(key=bar.key, at=moment, run=plan.agreed.run, stop=None if bar.stop is None else cause_of(bar.stop))


def _holds_a_part(part: Part, bar: RunoffBarTable) -> bool:
    """Whether a bar of that length holds one part, as far as its length was measured."""
    needed_mm = part.facing_mm + part.advance_mm + part.reach.remnant_mm
    return not bar.bar_length or bar.bar_length[0].value_mm >= needed_mm


def _signals(placement: Placement, parts: Sequence[Part], told: Told) -> tuple[tuple[SignalStanding, ...], tuple[Refused, ...]]:
    """The rows of every part's sheet, each once, with the last result; rows of the log that the sheet has not are handed back."""
    rows, users = _sheet(placement, parts)
    _refuse_strangers(placement.job, rows)
    given = {signal.row: signal for signal in told.signals}
    standing = tuple(
        SignalStanding(
            row=row,
            parts=tuple(users[id_]),
            result=given[id_].result if id_ in given else NOT_TESTED,
            note=(given[id_].note or "") if id_ in given else "",
            by=(given[id_].by or "") if id_ in given else "",
        )
        for id_, row in rows.items()
    )
    strangers = [signal for signal in told.signals if signal.row not in rows]
    return standing, tuple(Refused(_line(signal), (stranger(signal.row, "row", rows),)) for signal in strangers)


def _line(signal: RunoffSignalTable) -> Line:
    return Line("", SIGNAL, {"row": signal.row, "result": signal.result, "note": signal.note, "by": signal.by})


def sheet_rows(placement: Placement) -> tuple[str, ...]:
    """The ids of every row of the job's signal test sheet."""
    parts = parts_of(placement.job, standoff_mm=placement.standoff_mm, cut_mm=placement.cut_mm)
    return tuple(_sheet(placement, parts)[0])


def _sheet(placement: Placement, parts: Sequence[Part]) -> tuple[dict[str, SignalRow], dict[str, list[str]]]:
    """Every part's rows by their ids, and the parts that ask for each."""
    job, standoff_mm, cut_mm = placement.job, placement.standoff_mm, placement.cut_mm
    changes = mode_changes(job, standoff_mm=standoff_mm, cut_mm=cut_mm)
    rows: dict[str, SignalRow] = {}
    users: dict[str, list[str]] = {}
    for part in parts:
        for row in signal_rows(cycle_of(job, part, standoff_mm=standoff_mm, cut_mm=cut_mm), placement.pairings, changes):
            rows.setdefault(row.id, row)
            users.setdefault(row.id, []).append(part.name)
    return rows, users


def _refuse_strangers(job: Job, rows: Mapping[str, SignalRow]) -> None:
    """Rows of the file must be rows of the sheet."""
    given = enumerate(job.tables.runoff_signals)
    problems = [stranger(signal.row, f"runoff_signals[{i}].row", rows) for i, signal in given if signal.row not in rows]
    if problems:
        raise JobFileError(problems)


def _clauses(placement: Placement, runs: Sequence[RunStanding], signals: Sequence[SignalStanding]) -> Iterator[Clause]:
    """Everything that was agreed, and how it stands. Bars that run prove nothing of a pair that by its survey does not fit."""
    job = placement.job
    if placement.failing:
        yield Clause(id=PLACEMENT, run="", decision=Decision.NOT_YET)
    for run in runs:
        yield Clause(id=BARS, run=run.name, decision=run.state.judgement.decision)
        yield from _limits(job, run)
    if agreed(job.tables.runoff, "signals_count"):
        decision = _tested([signal.result for signal in signals]) if signals else Decision.NOT_YET
        yield Clause(id=SIGNALS, run="", decision=decision)
    if job.tables.runoff_alarms:
        yield Clause(id=ALARMS, run="", decision=_tested([alarm.result or NOT_TESTED for alarm in job.tables.runoff_alarms]))


def _limits(job: Job, run: RunStanding) -> Iterator[Clause]:
    """The limits that were agreed for a run. With short stock there are no remnants of whole bars."""
    table, changes, short_stock = job.tables.runoff, run.changes, run.plan.agreed.changes is not None
    enough = min(FEWEST_BARS, run.plan.plan.bars)
    if run.plan.agreed.remnant_at_most_mm is not None and not short_stock:
        limit = run.remnants.limit if run.remnants is not None else None
        kept = Decision.NOT_YET if limit is None else _OF_COMPLIANCE.get(limit.compliance, Decision.NOT_YET)
        if run.remnants is not None and run.remnants.below and kept is Decision.ACCEPTED:
            kept = Decision.NOT_YET  # a remnant that cannot be shows nothing
        yield Clause(id=REMNANT, run=run.name, decision=kept)
    for id_, lengths in ((FIRST_PART, run.first_parts), (END_PART, run.end_parts)):
        wanted = run.plan.agreed.tolerance_mm is not None and not short_stock
        # Parts near the bar's end are judged where some were measured: few agree on them.
        if wanted and (id_ == FIRST_PART or lengths is not None):
            few = id_ == FIRST_PART and (lengths is None or len(lengths.lengths_mm) < enough)
            yield Clause(id=id_, run=run.name, decision=_within(None if lengths is None else lengths.outside, few=few))
    if table is not None and table.bar_change_at_most is not None:
        few = changes is None or len(changes.changes_s) < enough
        yield Clause(id=CHANGE, run=run.name, decision=_within(None if changes is None else changes.over, few=few))


def _within(outside: int | None, *, few: bool) -> Decision:
    """How many lie outside: one is enough to fail; none keeps the limit, if more than a few were measured."""
    if outside:
        return Decision.FAILED
    return Decision.NOT_YET if outside is None or few else Decision.ACCEPTED


def _tested(results: Sequence[str]) -> Decision:
    if NOT_OK in results:
        return Decision.FAILED
    return Decision.NOT_YET if NOT_TESTED in results else Decision.ACCEPTED


def _over_all(decisions: Sequence[Decision]) -> Decision:
    """One that failed fails the whole, one that is open leaves it open."""
    if Decision.FAILED in decisions:
        return Decision.FAILED
    return Decision.NOT_YET if Decision.NOT_YET in decisions else Decision.ACCEPTED


def _all_bars(clauses: Sequence[Clause]) -> bool:
    """Whether every run has passed its plan."""
    return all(one.decision is Decision.ACCEPTED for one in clauses if one.id == BARS)


def _stops(job: Job, runs: Sequence[RunStanding]) -> tuple[Stops, ...]:
    """Stops by cause over all runs, the most frequent first, causes without a stop left out."""
    counted = counted_causes(job.tables.runoff)
    found = [record.stop for run in runs for record in run.state.records if record.stop is not None]
    stops = (Stops(cause=cause, count=found.count(cause), counts=cause in counted) for cause in Cause)
    return tuple(sorted((stop for stop in stops if stop.count), key=lambda stop: -stop.count))


def _left_out(job: Job, runs: Sequence[RunStanding]) -> Iterator[str]:
    """Modes in which no whole bar is run, and the job's thinnest and thickest bar where no run covers them."""
    covered = {run.plan.agreed.run for run in runs if run.plan.agreed.changes is None}
    for mode in job.layout.modes:
        if mode.name not in {run.mode for run in covered}:
            yield f"the {mode.name} mode"
    bars = sorted(job.tables.bars, key=lambda bar: bar.size[0].value_mm)
    for word, bar in (("thinnest", bars[0]), ("thickest", bars[-1])) if bars else ():
        if bar.name not in {run.bar for run in covered}:
            yield f"the {word} bar, {bar.name}"


def _early(job: Job, runs: Sequence[RunStanding]) -> int:
    """How many bars ran before the day on which the plan was agreed had begun anywhere."""
    table = job.tables.runoff
    day = day_of(table.agreed_on) if table is not None and table.agreed_on is not None else None
    moments: list[datetime] = [record.at for run in runs for record in run.state.records]
    return 0 if day is None else sum((moment + EARLIEST_ZONE).date() < day for moment in moments)
