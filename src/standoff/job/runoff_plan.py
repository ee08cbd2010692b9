"""What was agreed for the run-off: the runs, the plan that each of them has to pass, and what passing it proves.

A run is a part, or a bar in a mode. Each run has to pass by itself: a clean bar of the one proves nothing of the other. The plan
is the first of what the job states: so many bars in a row, so many in all, a shift without anybody there, a share of clean bars
to be shown; else five clean bars in a row, which is ours.
"""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from enum import Enum

from standoff.errors import UsageError
from standoff.job.bars import bars_of, longest_bar_mm
from standoff.job.costs import bar_change_s
from standoff.job.job import Job
from standoff.job.parts import Part
from standoff.job.placement import Placement
from standoff.job.runoff_tables import STOP_CAUSES, RunoffTable, RunTable, agreed
from standoff.job.speed import wanting
from standoff.job.tables import JobFile
from standoff.job.whip_limit import whip_limits_rpm
from standoff.site.acceptance import Plan, RowPlan, TotalPlan, row_plan, total_plan
from standoff.site.reliability import Cycles, short_stock_cycles
from standoff.site.shift import bars_in_shift, needed_share, shift_chance
from standoff.site.tally import Cause, Run

USUAL_SHARE = 0.95
"""The share of clean bars that short stock is reckoned for where none was agreed (ours)."""


class Rule(Enum):
    """How the number of bars was said."""

    ROW = "in a row"
    TOTAL = "in all"
    SHIFT = "a shift"
    SHARE = "a share to be shown"
    CHANGES = "bar changes with short stock"


@dataclass(frozen=True, slots=True, kw_only=True)
class AgreedRun:
    """One thing to run off. `part` is None where no part was named; `changes` counts bar changes with short stock."""

    name: str
    run: Run
    bar_mm: float
    part: Part | None = None
    speed_rpm: float | None = None
    changes: int | None = None
    first_part_mm: float | None = None
    tolerance_mm: float | None = None
    remnant_at_most_mm: float | None = None

    @property
    def bar_s(self) -> float | None:
        """The time in which a whole bar becomes parts, its change not included; None without the time of a part. [s]"""
        return None if self.part is None or self.part.seconds is None else self.part.count * self.part.seconds


@dataclass(frozen=True, slots=True, kw_only=True)
class ShiftMeaning:
    """What a shift asks of this run's bars, and what the plan, passed, shows for it."""

    shift_s: float
    bars: int
    chance_share: float
    needed_share: float
    shown_chance_share: float


@dataclass(frozen=True, slots=True, kw_only=True)
class RunPlan:
    """The plan one run has to pass, and what passing it shows.

    `shown_share`: at least this share of bars runs clean, at the confidence. `wanted`: the plan that would show the share wanted,
    None where none is wanted. `stated` is False where the plan is ours.
    """

    agreed: AgreedRun
    rule: Rule
    plan: Plan
    stated: bool
    confidence_share: float
    shown_share: float
    wanted_share: float | None
    wanted: Plan | None
    shift: ShiftMeaning | None
    short_stock: Cycles | None
    short_stock_share: float

    @property
    def enough(self) -> bool:
        """Whether passing the plan shows the share wanted, if one is."""
        return self.wanted_share is None or self.shown_share >= self.wanted_share * (1.0 - 1e-12)


def rule_of(table: RunoffTable | None) -> tuple[Rule, bool]:
    """How the number of bars is said, and whether the job says it."""
    if table is None:
        return Rule.ROW, False
    said = {Rule.ROW: table.bars_in_row, Rule.TOTAL: table.bars, Rule.SHIFT: table.unattended, Rule.SHARE: table.clean_share}
    return next(((rule, True) for rule, value in said.items() if value is not None), (Rule.ROW, False))


def counted_causes(table: RunoffTable | None) -> frozenset[Cause]:
    """Whose stops count."""
    return frozenset(Cause(cause) for cause in STOP_CAUSES if agreed(table, f"{cause}_counts"))


def runs_in(draft: JobFile, modes: Sequence[str]) -> list[RunTable]:
    """The runs as the job states them, or else each part, or each mode where there is no part either."""
    if draft.runoff_runs:
        return draft.runoff_runs
    parts = [RunTable(name=part.name, part=part.name) for part in draft.parts if part.name is not None]
    return parts or [RunTable(name=mode, mode=mode) for mode in modes]


def agreed_runs(job: Job, parts: Sequence[Part]) -> tuple[AgreedRun, ...]:
    """The runs of a job, with their parts as they are made at the standoff."""
    return tuple(_run(job, table, parts) for table in runs_in(job.tables, [mode.name for mode in job.layout.modes]))


def _run(job: Job, table: RunTable, parts: Sequence[Part]) -> AgreedRun:
    part = next((part for part in parts if part.name == table.part), None)
    if part is not None:
        mode, bar, bar_mm = part.mode.name, part.bar_name, part.bar_mm
    else:
        mode = table.mode or job.layout.modes[0].name
        bar, bar_mm = _bar(job, table.bar)
    at_most = table.remnant_at_most or (job.tables.runoff.remnant_at_most if job.tables.runoff is not None else None)
    stated_mm = table.first_part[0].value_mm if table.first_part else None
    return AgreedRun(
        name=table.name,
        run=Run(mode, bar),
        bar_mm=bar_mm,
        part=part,
        speed_rpm=table.speed,
        changes=table.changes,
        first_part_mm=part.length_mm if stated_mm is None and part is not None else stated_mm,
        tolerance_mm=table.part_tolerance[0].value_mm if table.part_tolerance else None,
        remnant_at_most_mm=at_most[0].value_mm if at_most else None,
    )


def _bar(job: Job, name: str | None) -> tuple[str, float]:
    """The name and length of the bar of a run without a part. [mm]"""
    bars = job.tables.bars
    found = next((bar for bar in bars if name in (None, bar.name)), None)
    if found is None:
        return "the job's longest bar", longest_bar_mm(job)
    return found.name, found.length[0].value_mm if found.length else longest_bar_mm(job)


def over_limits(job: Job, run: AgreedRun) -> tuple[tuple[str, float], ...]:
    """The makers' greatest speeds that a run's speed exceeds, as (whose, rpm)."""
    limits = (limit for limit in job.tables.speed_limits if limit.mode in (None, run.run.mode))
    return tuple((limit.of, limit.speed) for limit in limits if run.speed_rpm is not None and run.speed_rpm > limit.speed)


def bar_limits_rpm(placement: Placement) -> dict[str, dict[str, float]]:
    """What whip leaves each bar, if a run states its speed: bar -> mode -> limit, 0 where it does not pass. [rpm]

    A bar is left out while the job does not state what bar speed needs of it.
    """
    job, found = placement.job, {}
    if wanting(job) or all(table.speed is None for table in job.tables.runoff_runs):
        return {}
    for bar in bars_of(job):
        with suppress(UsageError):
            found[bar.name] = whip_limits_rpm(job, bar, standoff_mm=placement.standoff_mm, cut_mm=placement.cut_mm)
    return found


def run_plan(job: Job, run: AgreedRun) -> RunPlan:
    """The plan of one run, and what passing it shows."""
    table = job.tables.runoff
    confidence, wanted_share = agreed(table, "confidence"), table.clean_share if table is not None else None
    rule, stated = (Rule.CHANGES, True) if run.changes is not None else rule_of(table)
    plan = _plan(job, run, rule)
    share = wanted_share or USUAL_SHARE
    return RunPlan(
        agreed=run,
        rule=rule,
        plan=plan,
        stated=stated,
        confidence_share=confidence,
        shown_share=plan.shown_share(confidence),
        wanted_share=wanted_share,
        wanted=_wanted(plan, wanted_share, confidence),
        shift=_shift(job, run, plan),
        short_stock=_short_stock(job, run, share, confidence),
        short_stock_share=share,
    )


def _plan(job: Job, run: AgreedRun, rule: Rule) -> Plan:
    table = job.tables.runoff
    if run.changes is not None:
        return TotalPlan(run.changes)
    stops = agreed(table, "stops_allowed")
    if table is not None and rule is Rule.TOTAL and table.bars is not None:
        return TotalPlan(table.bars, stops)
    if table is not None and rule is Rule.SHARE and table.clean_share is not None:
        return total_plan(clean_share=table.clean_share, confidence_share=agreed(table, "confidence"), stops_allowed=stops)
    if rule is Rule.SHIFT:
        bars = shift_bars(job, run)
        if bars is None:
            raise UsageError(
                what="shift without anybody there",
                given=f"no time for the parts of {run.name}",
                allowed="parts with their seconds",
                action="write seconds of the part, or agree on a number of bars",
            )
        return TotalPlan(bars, stops)
    return RowPlan(agreed(table, "bars_in_row"), stops)


def _wanted(plan: Plan, wanted_share: float | None, confidence_share: float) -> Plan | None:
    """The plan of the same rule that shows the share wanted."""
    if wanted_share is None:
        return None
    make = row_plan if isinstance(plan, RowPlan) else total_plan
    return make(clean_share=wanted_share, confidence_share=confidence_share, stops_allowed=plan.stops_allowed)


def shift_bars(job: Job, run: AgreedRun) -> int | None:
    """How many whole bars of a run a shift takes; None where no shift or no time of a part is stated, and with short stock."""
    table = job.tables.runoff
    if table is None or table.unattended is None or run.bar_s is None or run.changes is not None:
        return None
    return bars_in_shift(shift_s=table.unattended, bar_s=run.bar_s + (bar_change_s(job) or 0.0))


def _shift(job: Job, run: AgreedRun, plan: Plan) -> ShiftMeaning | None:
    table, bars = job.tables.runoff, shift_bars(job, run)
    if table is None or table.unattended is None or bars is None:
        return None
    chance, confidence = agreed(table, "shift_chance"), agreed(table, "confidence")
    return ShiftMeaning(
        shift_s=table.unattended,
        bars=bars,
        chance_share=chance,
        needed_share=needed_share(bars=bars, chance_share=chance),
        shown_chance_share=shift_chance(bars=bars, clean_share=plan.shown_share(confidence)),
    )


def _short_stock(job: Job, run: AgreedRun, clean_share: float, confidence_share: float) -> Cycles | None:
    """How many changes with short stock show the share, one part and one change each; None without both times."""
    change_s = bar_change_s(job)
    if run.changes is not None or run.part is None or run.part.seconds is None or change_s is None:
        return None
    return short_stock_cycles(clean_share=clean_share, confidence_share=confidence_share, cycle_s=change_s + run.part.seconds)
