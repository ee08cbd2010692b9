"""The run-off as a whole: what is accepted, what fails it, what leaves it open."""

from __future__ import annotations

import pytest

from standoff.errors import JobFileError
from standoff.job.placement import place
from standoff.job.runoff import (
    ALARMS,
    BARS,
    CHANGE,
    END_PART,
    FIRST_PART,
    PLACEMENT,
    REMNANT,
    SIGNALS,
    Runoff,
    runoff_of,
    sheet_rows,
)
from standoff.job.runoff_log import Line, told_of
from standoff.site.acceptance import Decision
from standoff.site.tally import Cause
from tests.runoffs import RUNOFF, bar, measured, run_off, run_off_text, runoff_job, signal, standing, undo
from tests.texts import altered
from tests.turning import PARTS

ALL_TESTED = tuple(signal(f"s{i}", row, "ok") for i, row in enumerate(sheet_rows(standing())))
PINS = tuple(bar(f"p{i}", minute=i, remnant="369 mm", first_part="57.01 mm", change="41 s") for i in range(3))
HUBS = tuple(bar(f"h{i}", minute=10 + i, run="hubs", change="30 s") for i in range(3))
EVERYTHING = (*PINS, *HUBS, *ALL_TESTED)
"""What an accepted run-off takes: three clean bars in a row in both runs, everything measured, every signal ok."""

FIXED_REMNANT = {"runoff_bars[0].remnant": '"369 mm"', "runoff_bars[0].bar_length": None}


def decided(found: Runoff) -> dict[tuple[str, str], Decision]:
    """Every clause by what it is and whose it is."""
    return {(clause.id, clause.run): clause.decision for clause in found.clauses}


def test_everything_is_as_agreed() -> None:
    """Both runs passed, every limit kept, every signal and alarm ok: accepted, and it is said what that shows."""
    found = run_off(*EVERYTHING, changes=FIXED_REMNANT)
    assert set(decided(found)) == {
        (BARS, "pins"),
        (REMNANT, "pins"),
        (FIRST_PART, "pins"),
        (END_PART, "pins"),
        (CHANGE, "pins"),
        (BARS, "hubs"),
        (CHANGE, "hubs"),
        (SIGNALS, ""),
        (ALARMS, ""),
    }
    assert set(decided(found).values()) == {Decision.ACCEPTED}
    assert found.decision is Decision.ACCEPTED
    assert found.shown_share == found.runs[0].plan.shown_share


@pytest.mark.parametrize(
    ("spoiled", "clause"),
    [
        ((bar("q", minute=4, stop="loader"), bar("r", minute=5, stop="lathe")), None),  # after the decision it stays
        ((measured("m", "p1", first_part="57.2 mm"),), (FIRST_PART, "pins")),
        ((measured("m", "p1", end_part="56.8 mm"),), (END_PART, "pins")),
        ((measured("m", "h1", change="61 s"),), (CHANGE, "hubs")),
        ((signal("x", "lathe-stop", "not ok"),), (SIGNALS, "")),
        (tuple(measured(f"m{key}", key, remnant="620 mm") for key in ("a", "p0", "p1", "p2")), (REMNANT, "pins")),
    ],
)
def test_one_thing_that_fails_fails_the_whole(spoiled: tuple[Line, ...], clause: tuple[str, str] | None) -> None:
    """Each spoiled alone; and a run that has passed stays passed."""
    found = run_off(*EVERYTHING, *spoiled, changes=FIXED_REMNANT)
    failed = [key for key, decision in decided(found).items() if decision is Decision.FAILED]
    assert failed == ([clause] if clause is not None else [])
    assert found.decision is (Decision.FAILED if clause is not None else Decision.ACCEPTED)


def test_an_alarm_that_is_not_as_it_must_be_fails_the_whole() -> None:
    """And one still to be provoked leaves it open."""
    assert run_off(*EVERYTHING, changes={**FIXED_REMNANT, "runoff_alarms[0].result": '"not ok"'}).decision is Decision.FAILED
    assert run_off(*EVERYTHING, changes={**FIXED_REMNANT, "runoff_alarms[0].result": None}).decision is Decision.NOT_YET


@pytest.mark.parametrize("missing", range(len(EVERYTHING)))
def test_everything_is_needed(missing: int) -> None:
    """Without any one tap or row it is not decided yet: no bar and no signal is superfluous (the file has a pin and a row)."""
    log = [line for i, line in enumerate(EVERYTHING) if i != missing]
    line = EVERYTHING[missing]
    given = line.contents.get("row") == "lathe-door" or (line.kind == "runoff-bar" and line.contents["run"] == "pins")
    assert run_off(*log, changes=FIXED_REMNANT).decision is (Decision.ACCEPTED if given else Decision.NOT_YET)


def test_the_second_stop_fails_a_run() -> None:
    """One is allowed: after it the row begins again, with the next the run has failed, and the others go on."""
    found = run_off(bar("b", minute=1, stop="loader"), bar("c", minute=2), bar("d", minute=3, stop="bar"))
    pins, hubs = found.runs
    assert (pins.state.judgement.decision, pins.state.decided_by) == (Decision.FAILED, "d")
    assert hubs.state.judgement.decision is Decision.NOT_YET
    assert found.decision is Decision.FAILED
    assert found.shown_share is None


def test_runs_are_not_pooled() -> None:
    """Nine clean pins prove nothing of a hub."""
    found = run_off(*(bar(f"b{i}", minute=i) for i in range(8)))
    assert [run.state.clean for run in found.runs] == [9, 0]
    assert (found.decision, found.shown_share) == (Decision.NOT_YET, None)


def test_stops_by_cause_are_pooled() -> None:
    """The most frequent first; those that do not count are told and say so."""
    log = (
        bar("b", minute=1, stop="operator"),
        bar("c", minute=2, stop="loader"),
        bar("d", minute=3, run="hubs", stop="operator"),
        bar("e", minute=4, run="hubs", stop="operator"),
    )
    assert [(stops.cause, stops.count, stops.counts) for stops in run_off(*log).stops] == [
        (Cause.OPERATOR, 3, False),
        (Cause.LOADER, 1, True),
    ]


def test_a_bar_taken_back_does_not_count() -> None:
    """It is told how many were."""
    found = run_off(bar("b", minute=1, stop="loader"), undo("u", "b"))
    assert (found.undone, found.runs[0].state.stopped, found.stops) == (1, 0, ())


def test_the_sheet_may_be_kept_without_deciding() -> None:
    """Where it was agreed so, a signal that is not ok is told and decides nothing."""
    changes = {**FIXED_REMNANT, "runoff.signals_count": "false"}
    found = run_off(*PINS, *HUBS, signal("s", "lathe-stop", "not ok"), changes=changes)
    assert (SIGNALS, "") not in decided(found)
    assert found.decision is Decision.ACCEPTED
    assert {one.row.id: one.result for one in found.signals}["lathe-stop"] == "not ok"


def test_the_last_result_of_a_row_counts() -> None:
    """Tested again after it was mended; with its note and who did it."""
    log = (signal("s", "lathe-stop", "not ok", note="ran on"), signal("t", "lathe-stop", "ok", by="the installer"))
    (row,) = (one for one in run_off(*log).signals if one.row.id == "lathe-stop")
    assert (row.result, row.note, row.by, row.parts) == ("ok", "", "the installer", ("pin", "hub"))


def test_rows_belong_to_the_parts_whose_cycle_asks_for_them() -> None:
    """A row of a sub-spindle is only that part's."""
    users = {one.row.id: one.parts for one in run_off().signals}
    assert users["loader-ready"] == ("pin", "hub")
    assert users["sub-spindle-closed"] == ("hub",)


def test_a_file_with_a_row_that_the_sheet_has_not() -> None:
    """The file is refused, with the nearest row."""
    with pytest.raises(JobFileError) as caught:
        run_off(changes={"runoff_signals[0].row": '"lathe-doors"'})
    (problem,) = caught.value.problems
    assert (problem.code, problem.field) == ("signal-unknown", "runoff_signals[0].row")
    assert '"lathe-door"' in problem.action


def test_what_no_run_covers_is_told() -> None:
    """A mode and the bars that nobody agreed on."""
    bigger = '[[bars]]\nname = "20 mm steel"\nshape = "round"\nsize = "20 mm"\nmaterial = "steel"\n'
    found = run_off(changes={"runoff_runs[1].part": '"pin"'}, more=bigger)
    assert found.left_out == ("the chucker mode", "the thickest bar, 20 mm steel")
    assert run_off().left_out == ()


def test_bars_before_the_agreement_are_told() -> None:
    """A plan agreed on after bars were seen shows less than it says: how many they were."""
    assert run_off(bar("b")).early == 0
    agreed_on = {"runoff.agreed_on": '"2026-03-04"'}
    assert run_off(bar("b"), changes=agreed_on).early == 2
    assert run_off(bar("b", minute=60), changes=agreed_on).early == 1  # at 10:00 in UTC that day has begun somewhere
    assert run_off(bar("b"), changes={"runoff.agreed_on": '"2026-03-03"'}).early == 0  # of that day itself nobody knows
    assert run_off(changes={"runoff.agreed_on": None}).early == 0


def test_bars_go_in_the_order_of_their_times() -> None:
    """Whenever they were received."""
    found = run_off(bar("late", minute=9), bar("soon", minute=1))
    assert [table.key for table in found.runs[0].tables] == ["a", "soon", "late"]


def test_a_length_that_holds_no_part_is_not_used() -> None:
    """It is told, and the bar counts all the same."""
    found = run_off(changes={"runoff_bars[0].bar_length": '"380 mm"', "runoff_bars[0].remnant": '"375 mm"'})
    assert found.runs[0].too_short == ("a",)
    assert found.runs[0].state.clean == 1
    assert found.runs[0].remnants is not None
    assert found.runs[0].remnants.prediction is not None
    assert not found.runs[0].remnants.prediction.own_lengths


def test_short_stock_has_no_limits_of_whole_bars() -> None:
    """Changes are counted in all, none stopped; remnants and parts of it are not judged."""
    found = run_off(changes={"runoff_runs[0].changes": "4"})
    assert {id_ for id_, run in decided(found) if run == "pins"} == {BARS, CHANGE}
    assert (found.runs[0].prediction, found.runs[0].state.judgement.bars_to_go) == (None, 3)


def test_parts_near_the_end_are_judged_where_some_were_measured() -> None:
    """Few agree on them: without one nothing is open, first parts are open until one is measured."""
    found = decided(run_off(changes={"runoff_bars[0].first_part": None, "runoff_bars[0].end_part": None}))
    assert (END_PART, "pins") not in found
    assert found[(FIRST_PART, "pins")] is Decision.NOT_YET


def test_nothing_agreed_and_nothing_run() -> None:
    """A job with parts and no run-off: our default plan, nothing decided, the sheet all open."""
    found = runoff_of(standing(PARTS))
    assert [run.name for run in found.runs] == ["pin", "hub"]
    assert {id_ for id_, _ in decided(found)} == {BARS, SIGNALS}
    assert found.decision is Decision.NOT_YET


def test_a_job_without_parts_has_no_sheet() -> None:
    """Its modes are run off with the longest bar; signals stay open until parts give them, whatever the bars do."""
    text = PARTS[: PARTS.index("[[parts]]")]
    found = runoff_of(standing(text))
    assert (found.signals, {clause.id for clause in found.clauses}) == ((), {BARS, SIGNALS})
    modes = [run.name for run in found.runs]
    bars = tuple(bar(f"{mode}{i}", minute=i, run=mode) for mode in modes for i in range(5))
    told = run_off_text(text, *bars)
    assert decided(told)[(BARS, modes[0])] is Decision.ACCEPTED
    assert told.decision is Decision.NOT_YET
    left_out = "[runoff]\nsignals_count = false\n"
    assert run_off_text(f"{text}{left_out}", *bars).decision is Decision.ACCEPTED


def test_a_pair_that_does_not_fit_is_not_accepted() -> None:
    """Bars that ran prove nothing of it: the survey is mended first."""
    placement = place(runoff_job(FIXED_REMNANT), asked_mm=360.0)
    assert placement.failing
    found = runoff_of(placement, told_of(placement.job, EVERYTHING))
    assert decided(found)[(PLACEMENT, "")] is Decision.NOT_YET
    assert found.decision is Decision.NOT_YET


def test_what_is_measured_of_a_void_bar_is_not_judged() -> None:
    """A person stopped it half way: its part, its remnant and its change are nobody's measure."""
    void = bar("v", minute=9, stop="operator", first_part="55 mm", change="900 s", remnant="1800 mm")
    found = run_off(*EVERYTHING, void, changes=FIXED_REMNANT)
    assert found.decision is Decision.ACCEPTED
    assert found.runs[0].remnants is not None
    assert len(found.runs[0].remnants.remnants_mm) == 4


def test_one_bar_measured_keeps_no_limit_for_all() -> None:
    """Three at least, as for remnants; one that is too long fails it all the same."""
    bars = tuple(bar(f"p{i}", minute=i, remnant="369 mm") for i in range(3))
    found = decided(run_off(*bars, *HUBS, *ALL_TESTED, changes=FIXED_REMNANT))
    assert (found[(FIRST_PART, "pins")], found[(CHANGE, "pins")]) == (Decision.NOT_YET, Decision.NOT_YET)
    assert decided(run_off(measured("m", "a", change="61 s")))[(CHANGE, "pins")] is Decision.FAILED


def test_a_remnant_that_cannot_be_keeps_no_limit() -> None:
    """Shorter than the standoff allows, as where a unit was mistaken: measured again before it counts as kept."""
    bars = tuple(bar(f"p{i}", minute=i, remnant="15 mm", first_part="57 mm", change="41 s") for i in range(3))
    found = run_off(*bars, *HUBS, *ALL_TESTED, changes=FIXED_REMNANT)
    assert decided(found)[(REMNANT, "pins")] is Decision.NOT_YET


def test_a_last_part_of_a_run_without_a_part_is_judged() -> None:
    """By the length that was agreed for its first part."""
    changes = {
        "runoff_runs[1].part": None,
        "runoff_runs[1].first_part": '"40 mm"',
        "runoff_runs[1].part_tolerance": '"0.1 mm"',
    }
    good = tuple(bar(f"h{i}", minute=i, run="hubs", first_part="40 mm", end_part="40.05 mm") for i in range(3))
    assert decided(run_off(*good, changes=changes))[(END_PART, "hubs")] is Decision.ACCEPTED
    assert (
        decided(run_off(*good, measured("m", "h1", end_part="40.2 mm"), changes=changes))[(END_PART, "hubs")] is Decision.FAILED
    )


def test_short_stock_covers_no_bar_and_no_shift() -> None:
    """Changes say nothing of feeding a whole bar."""
    found = run_off(changes={"runoff_runs[1].changes": "59"})
    assert found.left_out == ("the chucker mode",)
    assert found.runs[1].plan.shift is None
    assert run_off().runs[1].plan.shift is not None


def test_stops_after_the_decision_are_counted_apart() -> None:
    """The decision stays; a bar stopped by a person is no stop of the pair."""
    later = (bar("q", minute=4, stop="loader"), bar("r", minute=5), bar("t", minute=6, stop="operator"))
    assert [run.since for run in run_off(*EVERYTHING, *later, changes=FIXED_REMNANT).runs] == [(3, 1), (0, 0)]
    assert run_off().runs[0].since == (0, 0)


def test_the_texts_are_those_of_the_tables() -> None:
    """What is altered here is what the tables' tests accept."""
    assert runoff_job() == standing(RUNOFF).job
    assert altered(RUNOFF, {}) == RUNOFF
