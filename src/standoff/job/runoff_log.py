"""The log of a run-off read: taps of bars, what was measured of them afterwards, taps taken back, rows of the signal sheet.

A line of the log holds the keys of a row of the job file, so that both are read alike. Lines may come late and in any order: what
was measured or taken back finds its bar by its key. A line that cannot be used is handed back with its reason, and never dropped.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Any

from standoff.errors import Problem, shown, write_instead
from standoff.job.file import draft_of
from standoff.job.job import Job
from standoff.job.runoff_checks import bar_problems_of
from standoff.job.runoff_plan import runs_in
from standoff.job.runoff_tables import RunoffBarTable, RunoffSignalTable
from standoff.job.runoff_times import moment_of, moment_text
from standoff.job.tables import FORMAT, JobFile

BAR, MEASURED, UNDO, SIGNAL = "runoff-bar", "runoff-measured", "runoff-undo", "runoff-signal"
"""Kinds of a line: a bar (keys of [[runoff_bars]] but `key`, which is the line's own), what was measured of the bar whose key
stands in `bar`, that bar taken back (or, with `back` true, brought back; the last such line of a bar counts), a row of the sheet
(keys of [[runoff_signals]])."""

KINDS = (BAR, MEASURED, UNDO, SIGNAL)
MEASURES = ("remnant", "bar_length", "first_part", "end_part", "change", "note")
"""What may be measured of a bar afterwards; a value left empty takes an earlier one back."""

CLOCK_SKEW = timedelta(minutes=10)
"""So far a tablet's clock may be ahead of ours (our choice)."""

Problems = tuple[Problem, ...]


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the log, in the order in which they were received."""

    key: str
    kind: str
    contents: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Refused:
    """A line that cannot be used, and why."""

    line: Line
    problems: Problems


@dataclass(frozen=True, slots=True)
class Told:
    """What file and log say together: bars that stand, bars taken back, rows of the sheet in their order, what is refused."""

    bars: tuple[RunoffBarTable, ...]
    undone: tuple[RunoffBarTable, ...]
    signals: tuple[RunoffSignalTable, ...]
    refused: tuple[Refused, ...]


def told_of(job: Job, log: Sequence[Line]) -> Told:
    """Everything that the job file and its log say of the run-off; lines of other kinds are none of its business."""
    bars = {bar.key: bar for bar in job.tables.runoff_bars}
    signals = list(job.tables.runoff_signals)
    refused: list[Refused] = []
    for line in log:
        if line.kind == BAR and line.key not in bars:
            bar, problems = _bar_of(job, line)
            if bar is not None:
                bars[line.key] = bar
            else:
                refused.append(Refused(line, problems))
        elif line.kind == SIGNAL:
            rows, problems = _row("runoff_signals", line.contents)
            signals += rows.runoff_signals if not problems else []
            refused += [Refused(line, problems)] if problems else []
    for line in log:
        if line.kind == MEASURED:
            bar, problems = _measured(job, line, bars.get(_of(line)))
            if bar is not None:
                bars[bar.key] = bar
            else:
                refused.append(Refused(line, problems))
    last = {bar.key: True for bar in bars.values() if bar.taken_back}
    last |= {_of(line): line.contents.get("back") is not True for line in log if line.kind == UNDO}
    undone = {key for key, taken in last.items() if taken}
    return Told(
        bars=tuple(bar for key, bar in bars.items() if key not in undone),
        undone=tuple(bar for key, bar in bars.items() if key in undone),
        signals=tuple(signals),
        refused=tuple(refused),
    )


def line_problems(job: Job, line: Line, log: Sequence[Line], *, now: datetime, rows: Collection[str] | None = None) -> Problems:
    """Everything that keeps a line from being used, before it is taken in; a bar of the future is one.

    `log` is what was taken in before: what is measured or taken back needs its bar. `rows`: the ids of the signal test sheet
    (None: they are not looked at).
    """
    if line.kind not in KINDS:
        return (_problem("value-choice", "kind", shown(line.kind), f"one of {', '.join(KINDS)}", "write one of these"),)
    if line.kind == UNDO:
        told = told_of(job, log)
        there = any(bar.key == _of(line) for bar in (*told.bars, *told.undone))
        return () if there else (_no_bar(line),)
    found = [each for refused in told_of(job, [*log, line]).refused if refused.line is line for each in refused.problems]
    at = moment_of(str(line.contents.get("at", ""))) if line.kind == BAR else None
    if at is not None and at > now + CLOCK_SKEW:
        action = "set the clock of the tablet, then tap again"
        found.append(_problem("time-ahead", "at", moment_text(at), f"a time no later than {moment_text(now)}", action))
    row = str(line.contents.get("row", "")) if line.kind == SIGNAL else ""
    if row and rows is not None and row not in rows:
        found.append(stranger(row, "row", rows))
    return tuple(found)


def stranger(row: str, field: str, rows: Collection[str]) -> Problem:
    """The problem that the signal test sheet does not have a row."""
    action = write_instead(row, rows) if rows else "describe the parts first: their cycles give the sheet"
    return _problem("signal-unknown", field, shown(row), "a row of the signal test sheet", action)


def _problem(code: str, field: str, found: str, expected: str, action: str) -> Problem:
    return Problem(code, "", None, field, found, expected, action)


def _of(line: Line) -> str:
    """The key of the bar that a line is about."""
    return str(line.contents.get("bar", ""))


def _no_bar(line: Line) -> Problem:
    return _problem("bar-untallied", "bar", shown(_of(line)), "the key of a bar in the tally", "choose the bar in the tally")


def _bar_of(job: Job, line: Line) -> tuple[RunoffBarTable | None, Problems]:
    """A tap as a bar of the tally."""
    rows, problems = _row("runoff_bars", {**line.contents, "key": line.key})
    if problems:
        return None, problems
    problems = _against_the_job(job, rows.runoff_bars[0])
    return (None, problems) if problems else (rows.runoff_bars[0], ())


def _measured(job: Job, line: Line, bar: RunoffBarTable | None) -> tuple[RunoffBarTable | None, Problems]:
    """A bar with what was measured of it afterwards."""
    if bar is None:
        return None, (_no_bar(line),)
    values = {key: value for key, value in line.contents.items() if key != "bar"}
    known = f"write one of {', '.join(MEASURES)}"
    strange = [key for key in values if key not in MEASURES]
    if strange:
        found, expected = "an unknown key", "something to measure"
        return None, tuple(_problem("key-unknown", shown(key), found, expected, known) for key in strange)
    rows, problems = _row("runoff_bars", {**values, "key": bar.key, "at": bar.at})
    if problems:
        return None, problems
    changed = bar.model_copy(update={key: getattr(rows.runoff_bars[0], key) for key in values})
    problems = _against_the_job(job, changed)
    return (None, problems) if problems else (changed, ())


def _row(table: str, contents: Mapping[str, Any]) -> tuple[JobFile, Problems]:
    """One row of a table read by itself; what was left empty is not there."""
    row = {key: value for key, value in contents.items() if value not in (None, "")}
    draft, found = draft_of({"format": FORMAT, table: [row]})
    # Which runs there are, and how long bars are, only the job knows.
    own = (problem for problem in found if problem.code != "run-unknown")
    return draft, _within(own, f"{table}[0]")


def _against_the_job(job: Job, bar: RunoffBarTable) -> Problems:
    names = [run.name for run in runs_in(job.tables, [mode.name for mode in job.layout.modes])]
    return _within(bar_problems_of(job.tables, bar, "row", names), "row")


def _within(problems: Iterable[Problem], path: str) -> Problems:
    """The problems of one row, by its keys alone, each once."""
    own = (problem for problem in problems if problem.field.startswith((f"{path}.", f"{path}[")) or problem.field == path)
    found = {(p.code, p.field): replace(p, field=p.field.removeprefix(path).removeprefix(".")) for p in own}
    return tuple(found.values())
