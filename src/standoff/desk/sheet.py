"""A sheet: one revision of a job with everything that follows from it, and how it is read and written."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Mapping
from dataclasses import asdict, dataclass
from datetime import datetime
from threading import Lock
from typing import Any, Generic, TypeVar

from standoff.desk.entry import NO_ENTRY, Entry, Pending, entry_at
from standoff.errors import Problem
from standoff.job.bar_guide import BAR_TABLES
from standoff.job.file import build_job, draft_of, read_draft, read_tables
from standoff.job.job import Job
from standoff.job.tables import JobFile
from standoff.store.records import NewRevision, Revision

Value = TypeVar("Value")


@dataclass(frozen=True, slots=True)
class Sheet:
    """A job at one revision. `job` is None while something is missing or wrong; `pending` waits beside the text.

    Bars come after the placement: where nothing but they are incomplete, `job` is the one without them (`bars_left_out`).
    """

    job_id: str
    number: int
    made_utc: datetime
    text: str
    raw: Mapping[str, Any]
    draft: JobFile | None
    problems: tuple[Problem, ...]
    pending: Mapping[str, Pending]
    job: Job | None

    @property
    def bars_left_out(self) -> bool:
        """Whether `job` is without the bars and what holds them, because something of these is missing or wrong."""
        return self.job is not None and bool(self.problems)

    def entry(self, field: str) -> Entry:
        """A field as it was last typed: what waits, else what the job file holds."""
        waiting = self.pending.get(field)
        return waiting.entry if waiting else entry_at(self.raw, field)

    @property
    def waiting(self) -> dict[str, Entry]:
        """The entries that wait, by field."""
        return {field: pending.entry for field, pending in self.pending.items()}


def sheet_of(revision: Revision) -> Sheet:
    """The sheet of a revision."""
    raw = read_tables(revision.document)
    tables: dict[str, Any] = {} if isinstance(raw, Problem) else raw
    draft, problems = read_draft(revision.document)
    return Sheet(
        job_id=revision.job_id,
        number=revision.number,
        made_utc=revision.made_utc,
        text=revision.document,
        raw=tables,
        draft=draft,
        problems=tuple(problems),
        pending=_pending(revision.drafts),
        job=build_job(draft) if draft is not None and not problems else _without_bars(tables),
    )


def _without_bars(raw: Mapping[str, Any]) -> Job | None:
    """The job without the bars and what holds them; None where there are none, or something else is missing or wrong."""
    rest = {key: value for key, value in raw.items() if key not in BAR_TABLES}
    if len(rest) == len(raw):
        return None
    draft, problems = draft_of(rest)
    return None if problems else build_job(draft)


def new_revision(text: str, pending: Mapping[str, Pending], *, made_utc: datetime, what: str) -> NewRevision:
    """What the store is to write for a text and what waits beside it."""
    raw = read_tables(text)
    names = {} if isinstance(raw, Problem) else {key: entry_at(raw, f"job.{key}") for key in ("title", "site")}
    return NewRevision(
        made_utc=made_utc,
        what=what,
        document=text,
        drafts=_drafts(pending),
        title=names.get("title", NO_ENTRY).text,
        site=names.get("site", NO_ENTRY).text,
    )


def _drafts(pending: Mapping[str, Pending]) -> dict[str, Any]:
    return {field: {"entry": asdict(waiting.entry), "reason": asdict(waiting.reason)} for field, waiting in pending.items()}


def _pending(drafts: Mapping[str, Any]) -> dict[str, Pending]:
    return {field: Pending(Entry(**kept["entry"]), Problem(**kept["reason"])) for field, kept in drafts.items()}


class Shelf(Generic[Value]):
    """The newest of what was made of revisions. A revision never changes, so that nothing here grows old."""

    def __init__(self, most: int) -> None:
        self._most = most
        self._kept: OrderedDict[tuple[str, int], Value] = OrderedDict()
        self._lock = Lock()

    def get(self, job_id: str, number: int, make: Callable[[], Value]) -> Value:
        """What is kept for a revision, made first where there is nothing."""
        with self._lock:
            if (job_id, number) in self._kept:
                self._kept.move_to_end((job_id, number))
                return self._kept[job_id, number]
        made = make()
        self.put(job_id, number, made)
        return made

    def put(self, job_id: str, number: int, made: Value) -> None:
        """Keep something for a revision."""
        with self._lock:
            self._kept[job_id, number] = made
            if len(self._kept) > self._most:
                self._kept.popitem(last=False)
