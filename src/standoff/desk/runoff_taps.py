"""Taps of the run-off as a page sends them: checked, counted once by their key, and read back from the log.

A tap is never thrown away here: one that cannot be counted is answered with what is to be done. `waits` says that the job is in
the middle of being changed, and that the same tap can be counted later; otherwise something is wrong with the tap itself.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Any

from standoff.desk.workbench import Workbench
from standoff.errors import Problem, StandoffError
from standoff.job.placement import place
from standoff.job.runoff import sheet_rows
from standoff.job.runoff_log import BAR, KINDS, MEASURED, MEASURES, SIGNAL, UNDO, Line, line_problems
from standoff.job.runoff_times import moment_text
from standoff.store.records import LogLine

FIELDS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        BAR: ("at", "run", "stop", *MEASURES),
        MEASURED: ("bar", *MEASURES),
        UNDO: ("bar", "back"),
        SIGNAL: ("row", "result", "note", "by"),
    }
)
"""What each kind of tap may say."""

WORDS: Mapping[str, str] = MappingProxyType(
    {
        "at": "Time of the tap",
        "run": "Run",
        "stop": "Cause of the stop",
        "remnant": "Remnant",
        "bar_length": "Length of the bar",
        "first_part": "Length of the first part",
        "end_part": "Length of the last part",
        "change": "Time of the bar change",
        "note": "Note",
        "row": "Row of the sheet",
        "result": "Result",
        "by": "Tested by",
        "bar": "Bar",
    }
)
"""What a field of a tap is called."""

NEEDED_TABLES = ("runoff", "runoff_runs", "parts", "bars")
"""While one of these is incomplete it is not known what is run."""


@dataclass(frozen=True, slots=True)
class Tap:
    """What a page sends: the sender's own key, the kind, and what it says."""

    key: str
    kind: str
    contents: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class NotCounted:
    """Why a tap was not counted; one that `waits` is counted later as it is, once the job is complete again."""

    why: str
    waits: bool


def tap_of(form: Mapping[str, str]) -> Tap:
    """The tap that a form stands for; fields that do not belong to its kind are the form's own business."""
    kind = form.get("kind", "")
    # Of a measurement an empty field says that an earlier one is taken back; elsewhere empty is nothing said.
    said: dict[str, Any] = {
        name: form[name] for name in FIELDS.get(kind, ()) if name in form and (form[name] or kind == MEASURED)
    }
    if "back" in said:
        said["back"] = said["back"] == "yes"
    return Tap(form.get("key", ""), kind, said)


def count_tap(desk: Workbench, job_id: str, tap: Tap) -> LogLine | NotCounted:
    """Count a tap, once however often it is sent; where it is not counted, nothing is written."""
    log = desk.logged(job_id)
    there = next((line for line in log if line.key == tap.key), None)
    if there is not None:
        return there if there.kind == tap.kind else NotCounted("This tap has the key of another one: tap again.", waits=False)
    sheet, now = desk.sheet(job_id), desk.now()
    if sheet.job is None:
        return NotCounted("The survey is not complete, so that there is no placement: the tap waits for it.", waits=True)
    if sheet.left_out(*NEEDED_TABLES):
        return NotCounted("What is agreed or run is being changed and is not complete: the tap waits for it.", waits=True)
    contents = {**({"at": moment_text(now)} if tap.kind == BAR else {}), **tap.contents}
    try:
        rows = sheet_rows(place(sheet.job)) if tap.kind == SIGNAL else None
    except StandoffError as refused:
        return NotCounted(f"The signal test sheet cannot be made as the parts are now: {refused}", waits=True)
    problems = line_problems(sheet.job, Line(tap.key, tap.kind, contents), lines_of(log), now=now, rows=rows)
    if problems:
        return NotCounted(" ".join(_told(problem) for problem in problems), waits=False)
    return desk.log(job_id, tap.kind, contents, tap.key)


def _told(problem: Problem) -> str:
    """What is wrong with a tap, in words."""
    return f"{WORDS.get(problem.field, 'Tap')}: {problem.found}, expected {problem.expected}; {problem.action}."


def lines_of(log: Iterable[LogLine]) -> tuple[Line, ...]:
    """The lines of the log that belong to the run-off."""
    return tuple(Line(line.key, line.kind, line.contents) for line in log if line.kind in KINDS)
