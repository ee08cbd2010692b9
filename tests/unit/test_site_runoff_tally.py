"""The tally: records folded into what stands, by what was agreed, each counted once."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta, timezone

import pytest

from standoff.errors import UsageError
from standoff.site.acceptance import Decision, RowPlan, TotalPlan
from standoff.site.reliability import interval
from standoff.site.tally import Agreement, BarRecord, Cause, Run, Tally, cause_of, tally

SMALL, LARGE = Run("guide-bushing", "6 mm"), Run("guide-bushing", "32 mm")
OURS = frozenset({Cause.LOADER, Cause.PROGRAM})
START = datetime(2024, 5, 1, 8, 0, tzinfo=UTC)


def record(
    minute: int, stop: Cause | None = None, *, run: Run = SMALL, key: str = "", change_s: float | None = None
) -> BarRecord:
    """A bar that ended so many minutes after the start."""
    return BarRecord(
        key=key or f"{run.bar}/{minute}", at=START + timedelta(minutes=minute), run=run, stop=stop, change_s=change_s
    )


def folded(*records: BarRecord, stops_allowed: int = 1, runs: tuple[Run, ...] = (SMALL,)) -> Tally:
    """The tally by a plan of three in a row."""
    return tally(records, Agreement(RowPlan(3, stops_allowed), runs, OURS))


def test_nothing_has_run_yet() -> None:
    """No bar: no interval, no decision, all to go."""
    found = folded()
    assert found.decision is Decision.NOT_YET
    assert (found.runs[0].interval, found.runs[0].decided_by, found.shown_share) == (None, None, None)
    assert found.runs[0].judgement.bars_to_go == 3
    assert set(found.stops.values()) == {0}


def test_a_counted_stop_begins_the_row_again() -> None:
    """Two clean, a stop of the loader, one clean: one in a row, two to go, three clean of four."""
    run = folded(record(1), record(2), record(3, Cause.LOADER), record(4)).runs[0]
    assert (run.clean, run.stopped, run.void, run.clean_in_row) == (3, 1, 0, 1)
    assert run.judgement.bars_to_go == 2
    assert run.interval == interval(bars=4, stops=1)


def test_a_stop_that_does_not_count_is_void() -> None:
    """A worn tool's stop is told among the stops, but neither ends the row nor lengthens it nor counts as evidence."""
    found = folded(record(1), record(2), record(3, Cause.TOOL), record(4))
    run = found.runs[0]
    assert (run.clean, run.stopped, run.void, run.clean_in_row) == (3, 0, 1, 3)
    assert found.decision is Decision.ACCEPTED
    assert run.decided_by == record(4).key
    assert run.interval == interval(bars=3, stops=0)
    assert found.stops[Cause.TOOL] == 1
    assert found.shown_share == RowPlan(3, 1).shown_share(0.95)


def test_only_void_bars_are_no_evidence() -> None:
    """An interval needs a bar that counts."""
    run = folded(record(1, Cause.OPERATOR)).runs[0]
    assert (run.void, run.interval, run.clean_in_row) == (1, None, 0)


def test_a_decision_stays() -> None:
    """Bars after the decision are counted but do not change it, whichever it was."""
    accepted = folded(*[record(n) for n in range(3)], record(4, Cause.LOADER), record(5, Cause.LOADER))
    assert accepted.decision is Decision.ACCEPTED
    assert (accepted.runs[0].stopped, accepted.runs[0].decided_by) == (2, record(2).key)
    failed = folded(record(1, Cause.LOADER), record(2, Cause.PROGRAM), *[record(n) for n in range(3, 9)])
    assert failed.decision is Decision.FAILED
    assert failed.runs[0].decided_by == record(2).key
    assert failed.shown_share is None


def test_every_run_has_to_pass() -> None:
    """Accepted with the last run accepted, failed with the first that failed; each run keeps its own row."""
    small = [record(2 * n) for n in range(3)]
    large = [record(2 * n + 1, run=LARGE) for n in range(3)]
    assert folded(*small, *large[:2], runs=(SMALL, LARGE)).decision is Decision.NOT_YET
    assert folded(*small, *large, runs=(SMALL, LARGE)).decision is Decision.ACCEPTED
    broken = [record(50, Cause.LOADER, run=LARGE), record(51, Cause.LOADER, run=LARGE)]
    found = folded(*small, *broken, runs=(SMALL, LARGE))
    assert found.decision is Decision.FAILED
    assert [state.judgement.decision for state in found.runs] == [Decision.ACCEPTED, Decision.FAILED]


def test_a_tap_sent_again_counts_once() -> None:
    """The same record twice is one bar, and how many came again is told."""
    found = folded(record(1), record(2), record(1), record(1))
    assert (found.runs[0].clean, found.sent_again) == (2, 2)


def test_the_time_of_the_tap_orders_and_then_its_key() -> None:
    """A tap that arrives late takes its place; two at one time are ordered by key."""
    found = folded(record(3, Cause.LOADER), record(1), record(2), record(4))
    assert [r.at.minute for r in found.runs[0].records] == [1, 2, 3, 4]
    assert found.runs[0].clean_in_row == 1
    late = folded(record(2, Cause.LOADER, key="a"), record(1, key="b"))
    assert [r.key for r in late.runs[0].records] == ["b", "a"]
    twins = folded(record(5, key="b"), record(5, Cause.LOADER, key="a"))
    assert [r.key for r in twins.runs[0].records] == ["a", "b"]


def test_a_plan_in_total_is_judged_in_total() -> None:
    """Two of three clean pass a plan of three with one stop allowed, at the confidence agreed."""
    agreed = Agreement(TotalPlan(3, 1), (SMALL,), OURS, confidence_share=0.8)
    found = tally([record(1), record(2, Cause.LOADER), record(3)], agreed)
    assert found.decision is Decision.ACCEPTED
    assert found.shown_share == TotalPlan(3, 1).shown_share(0.8)
    assert found.runs[0].interval == interval(bars=3, stops=1, confidence_share=0.8)


def test_what_was_measured_is_kept_in_order() -> None:
    """Only the bars on which it was measured, void ones among them."""
    bars = [
        BarRecord(key="3", at=START + timedelta(hours=3), run=SMALL, remnant_mm=301.0, change_s=61.0),
        BarRecord(key="1", at=START, run=SMALL, first_part_mm=50.1, change_s=60.0),
        BarRecord(key="2", at=START + timedelta(hours=1), run=SMALL, stop=Cause.TOOL, remnant_mm=0.0, first_part_mm=50.2),
    ]
    run = folded(*bars).runs[0]
    assert run.remnants_mm == (0.0, 301.0)
    assert run.first_parts_mm == (50.1, 50.2)
    assert run.changes_s == (60.0, 61.0)


def test_causes_by_their_words() -> None:
    """Each cause is read back from its word."""
    assert [cause_of(cause.value) for cause in Cause] == list(Cause)


REFUSED: list[tuple[Callable[[], object], str]] = [
    (lambda: cause_of("loder"), r"cause of a stop 'loder'.*write \"loader\""),
    (lambda: record(1, key=" "), r"an empty one.*give each tap a random key"),
    (
        lambda: BarRecord(key="k", at=datetime(2024, 5, 1, 8, 30), run=SMALL),
        r"time of a bar 2024-05-01T08:30:00, expected a time in UTC; turn it into UTC",
    ),
    (
        lambda: BarRecord(key="k", at=datetime(2024, 5, 1, 8, 30, tzinfo=timezone(timedelta(hours=2))), run=SMALL),
        r"08:30:00\+02:00, expected a time in UTC; turn it into UTC",
    ),
    (lambda: BarRecord(key="k", at=START, run=SMALL, remnant_mm=-1.0), r"remnant -1\.0.*correct the remnant"),
    (lambda: BarRecord(key="k", at=START, run=SMALL, first_part_mm=0.0), r"length of the first part 0\.0.*measure"),
    (lambda: record(1, change_s=0.0), r"time of the bar change 0\.0.*measure the time of the bar change again"),
    (lambda: Agreement(RowPlan(3), (), OURS), r"runs none.*agree on the modes and bars to be run off"),
    (lambda: Agreement(RowPlan(3), (SMALL, SMALL), OURS), r"'6 mm' twice.*strike out one of them"),
    (lambda: Agreement(RowPlan(3), (SMALL,), frozenset()), r"counted causes none.*agree on whose stops count"),
    (lambda: Agreement(RowPlan(3), (SMALL,), OURS, confidence_share=1.0), r"confidence 1\.0.*give the confidence"),
    (lambda: folded(record(1, run=LARGE)), r"of mode 'guide-bushing' with bar '32 mm'.*choose one of them, or agree on it first"),
    (lambda: folded(record(1, key="k"), record(2, key="k")), r"'k' on two different records.*enter the later bar again"),
]


@pytest.mark.parametrize(("refused", "told"), REFUSED)
def test_records_that_cannot_be_are_refused_with_what_to_do(refused: Callable[[], object], told: str) -> None:
    """Each refusal names what was given and ends in the next action."""
    with pytest.raises(UsageError, match=told):
        refused()
