"""The tables of the run-off: every mistake gives one message with code, field and next action; all of them in one run."""

from __future__ import annotations

from typing import get_args

import pytest

from standoff.job.file import parse_job
from standoff.job.runoff_tables import STOP_CAUSES, RunoffTable, StopCause, agreed
from standoff.job.runoff_times import day_of, moment_of, moment_text
from standoff.site.tally import Cause
from tests.runoffs import NOW, RUNOFF, RUNOFF_MISTAKES
from tests.texts import SLIDING, altered, problems
from tests.turning import Changes


def test_the_tables_are_accepted() -> None:
    """What the mistakes are planted into is a job; agreement, runs, tally, sheet and alarms are there."""
    assert problems(RUNOFF) == ()
    tables = parse_job(RUNOFF).tables
    assert tables.runoff is not None
    assert (tables.runoff.unattended, tables.runoff.bar_change_at_most) == (8 * 3600.0, 60.0)
    assert [run.name for run in tables.runoff_runs] == ["pins", "hubs"]
    assert (tables.runoff_bars[0].key, tables.runoff_signals[0].row, tables.runoff_alarms[0].result) == ("a", "lathe-door", "ok")


@pytest.mark.parametrize("number", range(len(RUNOFF_MISTAKES)))
def test_one_mistake_gives_one_message(number: int) -> None:
    """Code, field, line and a next action; nothing else."""
    code, changes, field = RUNOFF_MISTAKES[number]
    (problem,) = problems(altered(RUNOFF, changes))
    assert (problem.code, problem.field) == (code, field)
    assert problem.line is not None
    assert problem.action


def test_all_mistakes_at_once() -> None:
    """Mistakes in ten keys of every table are ten messages, in the order of the file."""
    changes: Changes = {
        "runoff.agreed_on": '"yesterday"',
        "runoff.bars": "20",
        "runoff.confidence": "95",
        "runoff_runs[0].part": '"pim"',
        "runoff_runs[1].speed": '"0 rpm"',
        "runoff_alarms[0].result": '"fine"',
        "runoff_bars[0].at": '"noon"',
        "runoff_bars[0].run": '"nobody"',
        "runoff_bars[0].change": '"40"',
        "runoff_signals[0].row": None,
    }
    found = problems(altered(RUNOFF, changes))
    assert {(problem.code, problem.field) for problem in found} == {
        ("time-form", "runoff.agreed_on"),
        ("said-twice", "runoff.bars"),
        ("value-kind", "runoff.confidence"),
        ("part-unknown", "runoff_runs[0].part"),
        ("magnitude-zero", "runoff_runs[1].speed"),
        ("value-choice", "runoff_alarms[0].result"),
        ("time-form", "runoff_bars[0].at"),
        ("run-unknown", "runoff_bars[0].run"),
        ("magnitude-without-unit", "runoff_bars[0].change"),
        ("key-missing", "runoff_signals[0].row"),
    }
    assert [problem.line for problem in found] == sorted(problem.line or 0 for problem in found)


def test_a_percentage_is_told_how_to_be_written() -> None:
    """95 for 95 % is the usual slip: the message says 0.95."""
    (problem,) = problems(altered(RUNOFF, {"runoff.confidence": "95.0"}))
    assert (problem.expected, problem.action) == ("a number below 1", "check it: 95 of 100 is 0.95, not 95")


def test_unknown_names_are_told_the_nearest() -> None:
    """A run and a part that are not there."""
    (run,) = problems(altered(RUNOFF, {"runoff_bars[0].run": '"pims"'}))
    assert '"pins"' in run.action
    (part,) = problems(altered(RUNOFF, {"runoff_runs[0].part": '"pinn"'}))
    assert '"pin"' in part.action


def test_two_bars_under_one_key() -> None:
    """A key counts once: two bars of the file may not share it."""
    again = '[[runoff_bars]]\nkey = "a"\nat = "2026-03-03T09:00:00Z"\nrun = "hubs"\n'
    (problem,) = problems(f"{RUNOFF}\n{again}")
    assert (problem.code, problem.field) == ("name-twice", "runoff_bars[1].key")


def test_a_bar_a_little_longer_than_the_longest_is_a_bar() -> None:
    """Mills send more than was ordered: 1 % over is measured, 3 % over is a mistaken figure."""
    assert problems(altered(RUNOFF, {"runoff_bars[0].bar_length": '"3690 mm"'})) == ()
    (problem,) = problems(altered(RUNOFF, {"runoff_bars[0].bar_length": '"3770 mm"'}))
    assert problem.code == "bar-too-long"


def test_short_stock_needs_no_time_of_a_part() -> None:
    """Its number is stated, and a shift does not ask for it."""
    changes: Changes = {"runoff.bars_in_row": None, "runoff_runs[1].part": None, "runoff_runs[1].changes": "59"}
    assert problems(altered(RUNOFF, changes)) == ()


def test_the_words_for_causes_are_the_tallys() -> None:
    """The file's words are those that are counted by."""
    assert STOP_CAUSES == get_args(StopCause) == tuple(cause.value for cause in Cause)


def test_defaults() -> None:
    """Five in a row without a stop at 95 %, nine shifts of ten, and everybody's stops but a person's."""
    keys = ("bars_in_row", "stops_allowed", "confidence", "shift_chance")
    assert [agreed(None, key) for key in keys] == [5, 0, 0.95, 0.9]
    counts = [agreed(None, f"{cause}_counts") for cause in STOP_CAUSES]
    assert counts == [True, True, True, True, True, False]
    assert agreed(RunoffTable(stops_allowed=2, loader_counts=False), "stops_allowed") == 2
    assert agreed(RunoffTable(loader_counts=False), "loader_counts") is False


def test_a_job_without_a_run_off_is_none_the_worse() -> None:
    """The tables are optional."""
    assert problems(SLIDING) == ()
    assert parse_job(SLIDING).tables.runoff is None


@pytest.mark.parametrize(
    "text", ["2026-03-03T12:00:00Z", "2026-03-03 12:00:00Z", "2026-03-03T12:00Z", "2026-03-03T12:00:00.000+00:00"]
)
def test_moments_that_are_read(text: str) -> None:
    """Date and time in UTC, with or without seconds."""
    assert moment_of(text) == NOW


@pytest.mark.parametrize(
    "text",
    ["", "noon", "2026-03-03", "2026-03-03T12:00:00", "2026-03-03T12:00:00+02:00", "2026-13-03T12:00:00Z", "٢٠٢٦-03-03T12:00Z"],
)
def test_moments_that_are_not_read(text: str) -> None:
    """A time without its zone, or in another, could be any hour."""
    assert moment_of(text) is None


def test_moments_are_written_as_they_are_read() -> None:
    """There and back."""
    assert moment_text(NOW) == "2026-03-03T12:00:00Z"
    assert moment_of(moment_text(NOW)) == NOW


@pytest.mark.parametrize(
    ("text", "read"), [("2026-03-02", True), ("2026-3-2", False), ("02.03.2026", False), ("2026-02-30", False)]
)
def test_days(text: str, read: bool) -> None:
    """Year, month and day, with all their digits."""
    assert (day_of(text) is not None) is read
