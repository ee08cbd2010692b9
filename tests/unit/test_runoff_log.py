"""The log of a run-off: taps, measurements, taps taken back and rows of the sheet, in any order, each once."""

from __future__ import annotations

from datetime import timedelta
from itertools import permutations

import pytest

from standoff.job.runoff import sheet_rows
from standoff.job.runoff_log import CLOCK_SKEW, Line, line_problems, told_of
from tests.runoffs import NOW, OTHER_CODES, bar, measured, run_off, runoff_job, signal, standing, undo


def refused(*log: Line) -> list[tuple[str, str, str]]:
    """Key, code and field of every line that is handed back."""
    return [(one.line.key, problem.code, problem.field) for one in told_of(runoff_job(), log).refused for problem in one.problems]


def asked(line: Line, *log: Line) -> list[tuple[str, str]]:
    """Code and field of what keeps a line from being taken in at noon."""
    found = line_problems(runoff_job(), line, log, now=NOW, rows=sheet_rows(standing()))
    return [(problem.code, problem.field) for problem in found]


def test_taps_join_the_tally_of_the_file() -> None:
    """The file's bar and two taps; a tap under a key of the file is that bar, and counts once."""
    told = told_of(runoff_job(), [bar("b", minute=1), bar("a", minute=2), bar("c", minute=3, run="hubs", stop="tool")])
    assert [(one.key, one.run, one.stop) for one in told.bars] == [
        ("a", "pins", None),
        ("b", "pins", None),
        ("c", "hubs", "tool"),
    ]
    assert told.bars[0].at == "2026-03-03T08:00:00Z"
    assert told.refused == ()


def test_what_is_measured_later_finds_its_bar() -> None:
    """Of a tap and of a bar of the file; a later value stands, an empty one takes the earlier back."""
    log = (
        bar("b"),
        measured("m1", "b", remnant="355 mm", change="41 s"),
        measured("m2", "b", remnant="356 mm"),
        measured("m3", "b", change=""),
        measured("m4", "a", note="oily"),
    )
    a, b = told_of(runoff_job(), log).bars
    assert b.remnant is not None
    assert (b.remnant[0].text, b.change, a.note, a.change) == ("356 mm", None, "oily", 40.0)


def test_a_bar_is_taken_back_and_brought_back() -> None:
    """Nothing is deleted: it is not counted any more, until it is brought back."""
    there = (bar("b"), undo("u", "b"))
    told = told_of(runoff_job(), there)
    assert ([one.key for one in told.bars], [one.key for one in told.undone]) == (["a"], ["b"])
    again = told_of(runoff_job(), (*there, undo("w", "b", back=True)))
    assert ([one.key for one in again.bars], again.undone) == (["a", "b"], ())
    assert [one.key for one in told_of(runoff_job(), (undo("u", "a"),)).undone] == ["a"]


def test_lines_may_come_in_any_order() -> None:
    """Taps kept while the connection was away come when they come: every order gives the same run-off."""
    log = (bar("b", minute=5), bar("c", minute=9, stop="loader"), measured("m", "c", note="jam"), undo("u", "b"))
    outcomes = {repr(run_off(*some).runs[0].state) for some in permutations(log)}
    assert len(outcomes) == 1


def test_lines_of_other_pages_are_left_alone() -> None:
    """The log holds readings of moving the loader too."""
    told = told_of(runoff_job(), [Line("r", "reading", {"gap": "290 mm"})])
    assert (len(told.bars), told.refused) == (1, ())


@pytest.mark.parametrize(
    ("line", "code", "field"),
    [
        (bar("b", run="pims"), "run-unknown", "run"),
        (bar("b", stop="weather"), "value-choice", "stop"),
        (bar("b", remnant="12"), "length-without-unit", "remnant"),
        (bar("b", remnant="-12 mm"), "value-sign", "remnant"),
        (bar("b", remnant="99 m"), "remnant-beyond", "remnant"),
        (bar("b", change="soon"), "magnitude-number", "change"),
        (bar("b", colour="grey"), "key-unknown", "colour"),
        (Line("b", "runoff-bar", {"at": "noon", "run": "pins"}), "time-form", "at"),
        (Line("b", "runoff-bar", {"run": "pins"}), "key-missing", "at"),
        (Line("b", "runoff-bar", {"at": 7, "run": "pins"}), "value-kind", "at"),
        (Line("b b", "runoff-bar", {"at": "2026-03-03T09:00:00Z", "run": "pins"}), "value-kind", "key"),
        (measured("b", "nobody", remnant="355 mm"), "bar-untallied", "bar"),
        (measured("b", "a", colour="grey"), "key-unknown", "'colour'"),
        (measured("b", "a", remnant="4 ft 13 in"), "length-inches-beside-feet", "remnant"),
        (measured("b", "a", remnant="360 in"), "remnant-beyond", "remnant"),
        (signal("b", "lathe-door", "maybe"), "value-choice", "result"),
        (Line("b", "runoff-signal", {"result": "ok"}), "key-missing", "row"),
    ],
)
def test_a_line_that_cannot_be_used_is_handed_back(line: Line, code: str, field: str) -> None:
    """With its reason, by its own key; and it is asked for before it is taken in."""
    assert refused(line) == [(line.key, code, field)]
    assert asked(line) == [(code, field)]


def test_the_other_lines_stand() -> None:
    """One refused tap takes nothing from the rest."""
    told = told_of(runoff_job(), [bar("b", run="pims"), bar("c")])
    assert [one.key for one in told.bars] == ["a", "c"]


@pytest.mark.parametrize("code", OTHER_CODES)
def test_codes_that_only_a_line_provokes(code: str) -> None:
    """A bar of the future, one that nobody tapped, a row that is not on the sheet."""
    (found,) = asked(OTHER_CODES[code])
    assert found[0] == code


def test_a_clock_may_be_a_little_ahead() -> None:
    """Up to ten minutes are a tablet's clock, more is a mistake."""
    at = Line("b", "runoff-bar", {"at": "2026-03-03T12:10:00Z", "run": "pins"})
    assert line_problems(runoff_job(), at, (), now=NOW) == ()
    (problem,) = line_problems(runoff_job(), at, (), now=NOW - timedelta(seconds=1))
    assert (problem.code, problem.expected) == ("time-ahead", "a time no later than 2026-03-03T11:59:59Z")
    assert timedelta(minutes=10) == CLOCK_SKEW


def test_good_lines_are_asked_for_nothing() -> None:
    """A tap, its measurement, its taking back, a row of the sheet."""
    assert asked(bar("b")) == []
    assert asked(measured("m", "b", remnant="355 mm"), bar("b")) == []
    assert asked(undo("u", "b"), bar("b")) == []
    assert asked(undo("u", "a")) == []
    assert asked(signal("s", "lathe-stop", "not ok", note="ran on")) == []


def test_a_line_of_no_kind() -> None:
    """What is no line of a run-off is not taken in as one."""
    assert asked(Line("x", "runoff-dance", {})) == [("value-choice", "kind")]


def test_a_row_that_left_the_sheet_is_handed_back_by_the_answer() -> None:
    """The sheet follows the job: a row of an earlier one does not vanish in silence."""
    (one,) = run_off(signal("s", "old-row", "ok")).refused
    assert (one.line.contents["row"], one.problems[0].code) == ("old-row", "signal-unknown")
