"""The log and the decision: whatever is tapped in whatever order, the same taps give the same run-off, and none is lost."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from standoff.job.runoff import BARS, Runoff
from standoff.job.runoff_log import Line, told_of
from standoff.job.runoff_tables import STOP_CAUSES
from standoff.site.acceptance import Decision
from tests.runoffs import bar, measured, run_off, runoff_job, undo

KEYS = [f"k{i}" for i in range(8)]
RUNS = st.sampled_from(["pins", "hubs", "pims"])
TEXTS = st.sampled_from(["", "369 mm", "14 1/2 in", "-3 mm", "1,369 mm", "99 m", "twelve"])
STOPS = st.sampled_from(["", *STOP_CAUSES, "weather"])
TAPS = st.builds(
    lambda key, minute, run, stop, remnant: bar(key, minute=minute, run=run, stop=stop, remnant=remnant),
    st.sampled_from(KEYS),
    st.integers(0, 150),
    RUNS,
    STOPS,
    TEXTS,
)
LOGS = st.lists(TAPS, max_size=8, unique_by=lambda line: line.key)
"""A log as the store keeps it: a key once."""


def standing(found: Runoff) -> list[object]:
    """All that is decided and counted."""
    return [found.decision, found.clauses, [run.state for run in found.runs], found.stops, found.undone]


@given(LOGS, st.randoms(use_true_random=False))
def test_the_order_of_receipt_does_not_matter(log: list[Line], chance: object) -> None:
    """Taps that were kept while the connection was away come late, and in any order."""
    mixed = list(log)
    chance.shuffle(mixed)  # type: ignore[attr-defined]
    assert standing(run_off(*mixed)) == standing(run_off(*log))


@given(LOGS)
def test_no_tap_is_lost(log: list[Line]) -> None:
    """Every line stands among the bars or is handed back with a reason, and none does both."""
    told = told_of(runoff_job(), log)
    bars, refused = {one.key for one in told.bars}, {one.line.key for one in told.refused}
    assert bars | refused == {line.key for line in log} | {"a"}
    assert not bars & refused
    assert all(one.problems for one in told.refused)


@given(LOGS)
def test_a_bar_sent_again_counts_once(log: list[Line]) -> None:
    """The same lines twice are the same run-off, but for what is handed back twice."""
    assert standing(run_off(*log, *log)) == standing(run_off(*log))


@given(LOGS, st.sampled_from(KEYS))
def test_taken_back_and_brought_back_is_as_before(log: list[Line], key: str) -> None:
    """And taken back it is as if it had never been tapped, but for being told."""
    back = run_off(*log, undo("u", key), undo("v", key, back=True))
    assert standing(back) == standing(run_off(*log))
    gone, never = run_off(*log, undo("u", key)), run_off(*(line for line in log if line.key != key))
    assert standing(gone)[:-1] == standing(never)[:-1]


@given(LOGS, st.sampled_from(KEYS), TEXTS)
def test_a_measurement_never_changes_who_was_stopped(log: list[Line], key: str, text: str) -> None:
    """Nor loses a bar: what cannot be read is handed back, and the bar stays as it was tapped."""
    before, after = run_off(*log), run_off(*log, measured("m", key, remnant=text))
    assert [(run.state.clean, run.state.stopped, run.state.void) for run in after.runs] == [
        (run.state.clean, run.state.stopped, run.state.void) for run in before.runs
    ]


@given(LOGS)
def test_the_whole_is_no_better_than_any_part(log: list[Line]) -> None:
    """Accepted only where every clause is; what is shown is said only where every run has passed its bars."""
    found = run_off(*log, changes={"runoff.signals_count": "false"})
    decisions = [clause.decision for clause in found.clauses]
    assert (found.decision is Decision.ACCEPTED) == all(one is Decision.ACCEPTED for one in decisions)
    assert (found.decision is Decision.FAILED) == (Decision.FAILED in decisions)
    passed = all(clause.decision is Decision.ACCEPTED for clause in found.clauses if clause.id == BARS)
    assert (found.shown_share is not None) is passed


@given(st.integers(1, 40), st.integers(0, 3), st.floats(0.5, 0.99))
def test_what_is_wanted_is_shown_by_the_plan_that_is_named(bars: int, stops: int, share: float) -> None:
    """Whatever was agreed: run as many bars as are told, and the share wanted is shown."""
    changes = {"runoff.bars_in_row": str(bars), "runoff.stops_allowed": str(stops), "runoff.clean_share": f"{share:.4f}"}
    plan = run_off(changes=changes).runs[0].plan
    assert plan.wanted is not None
    assert plan.wanted.shown_share(plan.confidence_share) >= float(f"{share:.4f}") - 1e-9
    assert plan.enough is (plan.plan.bars >= plan.wanted.bars)
    assert plan.plan.acceptance_probability(plan.shown_share) == pytest.approx(1.0 - plan.confidence_share, abs=1e-6)
