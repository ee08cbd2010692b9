"""The tally of a run-off: one record a bar, folded into what stands now.

Records may arrive late, twice and in any order: a tap made without connection is sent again until it is acknowledged. Each is
counted once by its client's key and takes its place by the time it was made, so the same records always give the same state.
Every run (a mode with a bar) has to pass the agreed plan by itself. A bar stopped by a cause whose stops do not count is void:
neither clean nor stopped, and a row goes on over it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from enum import Enum
from types import MappingProxyType

from standoff.bar.checks import require_not_negative, require_positive
from standoff.errors import UsageError, shown, write_instead
from standoff.site.acceptance import Decision, Judgement, Plan
from standoff.site.counting import require_share
from standoff.site.reliability import CONFIDENCE, Interval, interval


class Cause(Enum):
    """What stopped a bar."""

    LOADER = "loader"
    LATHE = "lathe"
    TOOL = "tool"
    BAR = "bar"
    PROGRAM = "program"
    OPERATOR = "operator"


@dataclass(frozen=True, slots=True)
class Run:
    """What is run off: a mode of the lathe with a bar."""

    mode: str
    bar: str


@dataclass(frozen=True, slots=True)
class Agreement:
    """What was agreed before the start: the plan that each run has to pass, the runs, and whose stops count."""

    plan: Plan
    runs: tuple[Run, ...]
    counted: frozenset[Cause]
    confidence_share: float = CONFIDENCE

    def __post_init__(self) -> None:
        require_share("confidence", self.confidence_share)
        if not self.runs:
            raise _refusal("runs", "none", "a mode with a bar at least", "agree on the modes and bars to be run off")
        if twice := [run for run, times in Counter(self.runs).items() if times > 1]:
            raise _refusal("runs", f"{_named(twice[0])} twice", "each run once", "strike out one of them")
        if not self.counted:
            raise _refusal("counted causes", "none", "one cause at least", "agree on whose stops count")

    def counts(self, record: BarRecord) -> bool:
        """Whether a bar counts: it ran clean, or was stopped by a cause that counts. Else it is void."""
        return record.stop is None or record.stop in self.counted


@dataclass(frozen=True, slots=True, kw_only=True)
class BarRecord:
    """One bar as it was tapped in: when it ended, what was run, what stopped it (None: it ran clean), and what was measured."""

    key: str
    at: datetime
    run: Run
    stop: Cause | None = None
    remnant_mm: float | None = None
    first_part_mm: float | None = None
    change_s: float | None = None

    def __post_init__(self) -> None:
        if not self.key.strip():
            raise _refusal("key of a bar", "an empty one", "a key of its own for each tap", "give each tap a random key")
        if self.at.utcoffset() != timedelta(0):
            raise _refusal(
                "time of a bar", self.at.isoformat(), "a time in UTC", "turn it into UTC and say so, as in 08:30+00:00"
            )
        if self.remnant_mm is not None:
            require_not_negative("remnant", self.remnant_mm)
        if self.first_part_mm is not None:
            require_positive("length of the first part", self.first_part_mm)
        if self.change_s is not None:
            require_positive("time of the bar change", self.change_s)


@dataclass(frozen=True, slots=True)
class RunState:
    """How one run stands. Bars after its decision are kept and counted, but the decision stays.

    `interval` is of all its bars that are not void (None: there is none yet); it takes their number as agreed beforehand.
    """

    run: Run
    records: tuple[BarRecord, ...]
    clean: int
    stopped: int
    void: int
    clean_in_row: int
    interval: Interval | None
    judgement: Judgement
    decided_by: str | None

    @property
    def remnants_mm(self) -> tuple[float, ...]:
        """The measured remnants, in order. [mm]"""
        return tuple(r.remnant_mm for r in self.records if r.remnant_mm is not None)

    @property
    def first_parts_mm(self) -> tuple[float, ...]:
        """The measured first-part lengths, in order. [mm]"""
        return tuple(r.first_part_mm for r in self.records if r.first_part_mm is not None)

    @property
    def changes_s(self) -> tuple[float, ...]:
        """The measured bar-change times, in order. [s]"""
        return tuple(r.change_s for r in self.records if r.change_s is not None)


@dataclass(frozen=True, slots=True)
class Tally:
    """How the run-off stands: each run in the agreed order, stops by cause (counted or not), and the decision over all runs.

    `shown_share` is the share of clean bars that an accepted run-off shows of every run (None while it is not accepted). The
    agreed confidence holds for all runs together: a cell with one run below it passes no oftener than that run does.
    """

    runs: tuple[RunState, ...]
    stops: Mapping[Cause, int]
    decision: Decision
    shown_share: float | None
    sent_again: int


def cause_of(word: str) -> Cause:
    """The cause that a word names."""
    known = {cause.value: cause for cause in Cause}
    if word not in known:
        raise _refusal("cause of a stop", shown(word), "a cause that is listed", write_instead(word, known))
    return known[word]


def tally(records: Iterable[BarRecord], agreement: Agreement) -> Tally:
    """How does the run-off stand, by what was agreed?

    Args:
        records: every tap received, in any order, repeats included.
        agreement: what was agreed before the start.

    Raises:
        UsageError: two different records under one key, or a record of a run that was not agreed.
    """
    received = list(records)
    kept = _each_once(received)
    for record in kept:
        if record.run not in agreement.runs:
            known = "; ".join(_named(run) for run in agreement.runs)
            raise _refusal(
                "record", f"of {_named(record.run)}", f"an agreed run ({known})", "choose one of them, or agree on it first"
            )
    runs = tuple(_run_state(run, [r for r in kept if r.run == run], agreement) for run in agreement.runs)
    decision = _over_all([state.judgement.decision for state in runs])
    return Tally(
        runs=runs,
        stops=MappingProxyType({cause: sum(r.stop is cause for r in kept) for cause in Cause}),
        decision=decision,
        shown_share=agreement.plan.shown_share(agreement.confidence_share) if decision is Decision.ACCEPTED else None,
        sent_again=len(received) - len(kept),
    )


def _each_once(records: Iterable[BarRecord]) -> list[BarRecord]:
    """The records, each once, by time and then key."""
    by_key: dict[str, BarRecord] = {}
    for record in records:
        if by_key.setdefault(record.key, record) != record:
            raise _refusal(
                "key of a bar",
                f"{shown(record.key)} on two different records",
                "a key of its own for each tap",
                "enter the later bar again",
            )
    return sorted(by_key.values(), key=lambda record: (record.at, record.key))


def _run_state(run: Run, records: list[BarRecord], agreement: Agreement) -> RunState:
    """How one run stands, from its records in order."""
    valid = [r for r in records if agreement.counts(r)]
    clean = [r.stop is None for r in valid]
    judgement = agreement.plan.judge(clean)
    stopped = clean.count(False)
    return RunState(
        run=run,
        records=tuple(records),
        clean=len(valid) - stopped,
        stopped=stopped,
        void=len(records) - len(valid),
        clean_in_row=next((n for n, good in enumerate(reversed(clean)) if not good), len(clean)),
        interval=interval(bars=len(valid), stops=stopped, confidence_share=agreement.confidence_share) if valid else None,
        judgement=judgement,
        decided_by=None if judgement.decided_at is None else valid[judgement.decided_at - 1].key,
    )


def _over_all(decisions: list[Decision]) -> Decision:
    """Failed with the first run that failed, accepted with the last one accepted."""
    if Decision.FAILED in decisions:
        return Decision.FAILED
    return Decision.NOT_YET if Decision.NOT_YET in decisions else Decision.ACCEPTED


def _named(run: Run) -> str:
    """A run in words."""
    return f"mode {shown(run.mode)} with bar {shown(run.bar)}"


def _refusal(what: str, given: str, allowed: str, action: str) -> UsageError:
    """The error for a record or agreement that cannot be used."""
    return UsageError(what=what, given=given, allowed=allowed, action=action)
