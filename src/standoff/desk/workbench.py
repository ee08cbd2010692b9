"""The workbench: the jobs of the store, opened, typed into field by field, and taken back.

Every change is a new revision made from the newest one. A page says which revision it was looking at (`base`): a field that
somebody else has changed since then is not overwritten, both entries are handed back. Nothing that was typed is lost: what a
field cannot take waits beside its reason (`amendment`).
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, TypeVar
from uuid import NAMESPACE_URL, uuid4, uuid5

from standoff.desk.amendment import amended
from standoff.desk.card import Card, Judged, card_of, judge
from standoff.desk.entry import NO_ENTRY, Entry, Pending, completed, tidied
from standoff.desk.rows import everything_at, listed, place_now
from standoff.desk.sheet import Sheet, Shelf, new_revision, sheet_of
from standoff.errors import JobFileError, Problem, StaleRevisionError, UsageError
from standoff.job.demonstration import NAMES, text_of
from standoff.job.field import Kind, kind_of, value_at
from standoff.job.file import LARGEST_BYTES, parse_job, read_draft
from standoff.job.revision import revised
from standoff.job.template import Headstock, blank
from standoff.store.jobs import Store
from standoff.store.records import JobRecord, LogLine, RevisionLine
from standoff.units import Units

__all__ = ["Card", "Clash", "Entry", "HistoryLine", "LogLine", "Pending", "Saved", "Sheet", "Workbench"]

Outcome = TypeVar("Outcome")

TRIES = 50
"""So often a change is made anew because another writer was faster."""

_OF_THE_VISIT = (
    *("as_installed", "return_reading", "symptom", "site_checks"),
    *("levels", "sweeps", "line_readings", "level_rounds"),
    *("runoff_bars", "runoff_signals", "runoff_alarms"),
)
"""Tables that belong to one pair as it stands, and not to a new job begun from its survey."""

_WHAT = {
    "begin": "begun",
    "copy": "begun from {}",
    "import": "imported",
    "demonstration": "a demonstration",
    "set": "{}",
    "adopt": "adopted: {}",
    "add": "{} added",
    "remove": "{} removed",
    "return": "back to revision {}",
}
"""What a revision is, in the store's words and a reader's."""


@dataclass(frozen=True, slots=True)
class Saved:
    """A change that was written; `reason` of a field that could not take its entry is in `sheet.pending`."""

    sheet: Sheet
    accepted: bool = True


@dataclass(frozen=True, slots=True)
class Clash:
    """A field that was changed by two: nothing was written. Saved again from `sheet`, yours stands."""

    field: str
    yours: Entry
    theirs: Entry
    sheet: Sheet


@dataclass(frozen=True, slots=True)
class HistoryLine:
    """One revision in the history."""

    number: int
    made_utc: datetime
    what: str


class Workbench:
    """The jobs in a store. `clock` tells the time with its zone, `new_id` makes the ids of jobs."""

    def __init__(self, store: Store, clock: Callable[[], datetime], *, new_id: Callable[[], str] = lambda: uuid4().hex) -> None:
        self._store = store
        self._clock = clock
        self._new_id = new_id
        self._sheets = Shelf[Sheet](most=128)
        self._judged = Shelf[Judged](most=5000)

    def now(self) -> datetime:
        """What the clock says."""
        return self._clock()

    def close(self) -> None:
        """Let go of the store."""
        self._store.close()

    # The list of jobs

    def cards(self, search: str = "", *, archived: bool = False, start: int = 0, most: int = 40) -> list[Card]:
        """The jobs whose title or site hold all words of `search`, the last changed first."""
        words = search.replace("\0", " ").encode("utf-8", "replace").decode("utf-8")
        records = self._store.jobs(words=words, archived=archived, start=start, most=most)
        return [self._card(record) for record in records]

    def card(self, job_id: str) -> Card:
        """One job as the list shows it."""
        return self._card(self._store.job(job_id))

    def _card(self, record: JobRecord) -> Card:
        judged = self._judged.get(record.id, record.head, lambda: judge(self.sheet(record.id, record.head)))
        return card_of(record, judged)

    def new_blank(self, title: str, units: Units, headstock: Headstock) -> str:
        """Begin a job with nothing but these; raises JobFileError where one of them cannot be."""
        values = {"job.title": tidied("job.title", Entry(title)).text, "job.units": units, "lathe.headstock": headstock}
        text = revised(blank(headstock), values)
        _refuse_unless_right(text, "job.title", "job.units", "lathe.headstock")
        return self._begin(text, {}, "begin")

    def new_from(self, job_id: str, title: str) -> str:
        """Begin a job with the survey of another one."""
        old = self.sheet(job_id)
        text = revised(old.text, {"job.title": tidied("job.title", Entry(title)).text, **dict.fromkeys(_OF_THE_VISIT)})
        _refuse_unless_right(text, "job.title")
        pending = {field: p for field, p in old.pending.items() if not field.startswith((*_OF_THE_VISIT, "job.title"))}
        return self._begin(text, pending, f"copy {self._store.job(job_id).title}".strip())

    def new_from_text(self, text: str, file: str) -> str:
        """Take in a job file; raises JobFileError with every problem of one that cannot be used."""
        if len(text.encode("utf-8", "replace")) > LARGEST_BYTES:
            found, expected = "a larger file", f"at most {LARGEST_BYTES} bytes"
            raise JobFileError([Problem("file-too-large", file, None, "", found, expected, "give a job file")])
        parse_job(text, file=file)
        return self._begin(text.removeprefix("\ufeff"), {}, "import")

    def seed_demonstrations(self) -> None:
        """Put the demonstration jobs into a store that has none at all; their ids are fixed, so that they come once."""
        if self._store.any_job():
            return
        for name in reversed(NAMES):
            first = new_revision(text_of(name), {}, made_utc=self._clock(), what="demonstration")
            self._store.add_job(uuid5(NAMESPACE_URL, f"standoff-demonstration/{name}").hex, first)

    def _begin(self, text: str, pending: Mapping[str, Pending], what: str) -> str:
        job_id = self._new_id()
        self._store.add_job(job_id, new_revision(text, pending, made_utc=self._clock(), what=what))
        return job_id

    def archive(self, job_id: str) -> None:
        """Put a job away; it stays as it is."""
        self._store.set_archived(job_id, self._clock())

    def bring_back(self, job_id: str) -> None:
        """Bring a job back that was put away."""
        self._store.set_archived(job_id, None)

    def export(self, job_id: str) -> str:
        """The job file's text."""
        return self.sheet(job_id).text

    # One job

    def sheet(self, job_id: str, number: int | None = None) -> Sheet:
        """A job at a revision (None: the newest)."""
        wanted = self._store.job(job_id).head if number is None else number
        return self._sheets.get(job_id, wanted, lambda: sheet_of(self._store.revision(job_id, wanted)))

    def save(self, job_id: str, field: str, entry: Entry, base: int) -> Saved | Clash:
        """Write one field as typed; what it cannot take waits beside its reason, and everything that waits is tried again."""
        if kind_of(field) in (Kind.TABLE, Kind.ROW, Kind.ROWS):
            raise UsageError(what="field", given=field, allowed="a field that holds a value", action="mend the path")
        field = field.removesuffix("[0]") if kind_of(field) is Kind.QUANTITY else field
        typed = tidied(field, entry)
        seen = self._seen(job_id, base).entry(field)

        def change(head: Sheet) -> Sheet | Clash:
            here = place_now(field, self._since(job_id, base, head))
            theirs = head.entry(here) if here else NO_ENTRY
            mine = completed(typed, theirs)
            if here and mine == theirs:
                return head
            if not here or theirs != seen:
                return Clash(field, typed, theirs, head)
            others = {name: waiting for name, waiting in head.waiting.items() if name != here}
            return self._amend(head, {here: mine, **others}, f"set {here}")

        outcome = self._write(job_id, change)
        if isinstance(outcome, Clash):
            return outcome
        here = place_now(field, self._since(job_id, base, outcome)) or field
        return Saved(outcome, accepted=here not in outcome.pending)

    def save_all(self, job_id: str, entries: Mapping[str, Entry], why: str) -> Sheet:
        """Write several fields in one revision, over whatever stands there now."""

        def change(head: Sheet) -> Sheet:
            typed = {field: tidied(field, entry) for field, entry in entries.items()}
            return self._amend(head, {**head.waiting, **typed}, f"adopt {why}")

        return self._write(job_id, change)

    def add(self, job_id: str, table: str, base: int) -> Sheet:
        """Add an empty entry to a list of tables, or begin a single table."""
        kind = kind_of(table)
        if kind not in (Kind.ROWS, Kind.TABLE):
            raise UsageError(what="table", given=table, allowed="a table of the job file", action="mend the path")
        self._seen(job_id, base)

        def change(head: Sheet) -> Sheet:
            there = value_at(head.raw, table)
            if kind is Kind.TABLE and there is not None:
                return head
            path = table if kind is Kind.TABLE else f"{table}[{len(there or ())}]"
            return self._amend(head, head.waiting, f"add {path}", {path: {}})

        return self._write(job_id, change)

    def remove(self, job_id: str, row: str, base: int) -> Saved | Clash:
        """Take away an entry of a list of tables, or a single table, with everything in it."""
        if kind_of(row) not in (Kind.ROW, Kind.TABLE):
            raise UsageError(what="table", given=row, allowed="such as fittings[1]", action="mend the path")
        seen = everything_at(self._seen(job_id, base), row)

        def change(head: Sheet) -> Sheet | Clash:
            here = place_now(row, self._since(job_id, base, head))
            theirs = everything_at(head, here) if here else None
            if theirs is None:
                return head
            if theirs != seen:
                return Clash(row, NO_ENTRY, Entry(listed(theirs)), head)
            staying = {name: entry for name, entry in head.waiting.items() if not name.startswith(f"{here}.")}
            waiting = {place_now(name, [f"remove {here}"]): entry for name, entry in staying.items()}
            return self._amend(head, waiting, f"remove {here}", {here: None})

        outcome = self._write(job_id, change)
        return outcome if isinstance(outcome, Clash) else Saved(outcome)

    def history(self, job_id: str) -> list[HistoryLine]:
        """The revisions of a job, the newest first."""
        self._store.job(job_id)
        return [_line(line) for line in reversed(self._store.revisions(job_id))]

    def return_to(self, job_id: str, number: int) -> Sheet:
        """Make an earlier revision the newest one again; what came after it stays in the history."""
        old = self._seen(job_id, number)

        def change(head: Sheet) -> Sheet:
            return self._next(head, old.text, old.pending, f"return {number}")

        return self._write(job_id, change)

    def log(self, job_id: str, kind: str, contents: Mapping[str, Any], key: str) -> LogLine:
        """Note something that was done or read at the machine; sent twice with the same key it counts once."""
        if not re.fullmatch(r"[\x21-\x7e]{1,64}", key) or not re.fullmatch(r"[a-z-]{1,40}", kind):
            raise UsageError(what="log line", given=f"{kind} {key}"[:80], allowed="a kind and a key", action="send both")
        return self._store.add_logged(job_id, made_utc=self._clock(), kind=kind, contents=contents, key=key)

    def logged(self, job_id: str) -> tuple[LogLine, ...]:
        """What was noted, in its order."""
        return self._store.logged(job_id)

    # From one revision to the next

    def _seen(self, job_id: str, base: int) -> Sheet:
        """The revision a page was looking at."""
        return self.sheet(job_id, base)

    def _since(self, job_id: str, base: int, head: Sheet) -> tuple[str, ...]:
        """What happened after a revision, up to another one."""
        if base >= head.number:
            return ()
        return tuple(line.what for line in self._store.revisions(job_id, after=base) if line.number <= head.number)

    def _amend(self, head: Sheet, waiting: Mapping[str, Entry], what: str, writes: Mapping[str, object] | None = None) -> Sheet:
        """The revision after `head` with these tables changed and these entries tried."""
        text = revised(head.text, writes) if writes else head.text
        result = amended(text, waiting)
        return self._next(head, result.text, result.pending, what)

    def _next(self, head: Sheet, text: str, pending: Mapping[str, Pending], what: str) -> Sheet:
        """Write the revision after `head`; the same contents make none."""
        same_entries = {field: p.entry for field, p in pending.items()} == head.waiting
        if text == head.text and same_entries:
            return head
        new = new_revision(text, pending, made_utc=self._clock(), what=what)
        self._store.add_revision(head.job_id, head.number + 1, new)
        return self.sheet(head.job_id, head.number + 1)

    def _write(self, job_id: str, change: Callable[[Sheet], Outcome]) -> Outcome:
        """Make a change to the newest revision, and again where somebody else was faster."""
        for _ in range(TRIES - 1):
            try:
                return change(self.sheet(job_id))
            except StaleRevisionError:
                continue
        return change(self.sheet(job_id))


def _refuse_unless_right(text: str, *fields: str) -> None:
    """Raise JobFileError where one of these fields has a problem."""
    problems = [problem for problem in read_draft(text)[1] if problem.field in fields]
    if problems:
        raise JobFileError(problems)


def _line(line: RevisionLine) -> HistoryLine:
    verb, _, thing = line.what.partition(" ")
    return HistoryLine(line.number, line.made_utc, _WHAT[verb].format(thing) if verb in _WHAT else line.what)
