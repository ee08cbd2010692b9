"""A sheet: one revision of a job with everything that follows from it, and how it is read and written."""

from __future__ import annotations

import re
from collections import OrderedDict
from collections.abc import Callable, Mapping
from dataclasses import asdict, dataclass
from datetime import datetime
from threading import Lock
from typing import Any, Generic, TypeVar

from standoff.desk.entry import NO_ENTRY, Entry, Pending, entry_at
from standoff.errors import Problem
from standoff.job.bar_guide import BAR_TABLES
from standoff.job.field import value_at
from standoff.job.file import build_job, draft_of, read_draft, read_tables
from standoff.job.job import Job
from standoff.job.tables import SURVEYED, JobFile
from standoff.store.records import NewRevision, Revision

Value = TypeVar("Value")

PART_TABLES = ("parts", "cycle", "stock")
"""The tables of the job file that say what is made of the bars and what it costs."""

PLACEMENT_TABLES = {
    *("format", "job", *SURVEYED, "check", "remedy", "prices"),
    *("as_installed", "return_reading", "symptom"),
}
"""The tables without which there is no placement, or that would be told wrongly without a part of them."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """A job at one revision. `job` is None while something is missing or wrong; `pending` waits beside the text.

    What comes after the placement (bars, parts, money, the floor) is left out of `job` where it is incomplete (`left_out`).
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

    def left_out(self, *tables: str) -> tuple[Problem, ...]:
        """What is missing or wrong in these tables, without which `job` therefore stands."""
        return tuple(p for p in self.problems if self.job is not None and table_of_field(p.field) in tables)

    @property
    def bars_left_out(self) -> bool:
        """Whether `job` is without the bars and what holds them, because something of these is missing or wrong."""
        return bool(self.left_out(*BAR_TABLES))

    def entry(self, field: str) -> Entry:
        """A field as it was last typed: what waits, else what the job file holds."""
        waiting = self.pending.get(field)
        return waiting.entry if waiting else entry_at(self.raw, field)

    @property
    def waiting(self) -> dict[str, Entry]:
        """The entries that wait, by field."""
        return {field: pending.entry for field, pending in self.pending.items()}


def table_of_field(field: str) -> str:
    """The table of the job file in which a field stands."""
    return re.split(r"[.\[]", field, maxsplit=1)[0]


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
        job=build_job(draft) if draft is not None and not problems else _without_later(tables),
    )


def _without_later(raw: Mapping[str, Any]) -> Job | None:
    """The job with no more left out than must be of what comes after the placement; None where more than that is amiss."""
    rest = dict(raw) if value_at(raw, "prices.currency") else _without_prices(raw)
    while True:
        draft, problems = draft_of(rest)
        if not problems:
            return build_job(draft)
        wrong = {table_of_field(problem.field) for problem in problems}
        if not wrong or wrong & PLACEMENT_TABLES or not wrong & set(rest):
            return None
        # What refers to what is left out shows itself in the next round.
        gone = wrong | (set(BAR_TABLES) if wrong & set(BAR_TABLES) else set())
        rest = {key: value for key, value in rest.items() if key not in gone}


def _without_prices(raw: Mapping[str, Any]) -> dict[str, Any]:
    """The tables of a job whose currency is missing: changes still open the window, bars are still cut up, at no known price."""
    rest = {key: value for key, value in raw.items() if key != "prices"}
    stock, remedies = raw.get("stock"), raw.get("remedy")
    if isinstance(stock, dict):
        rest["stock"] = {key: value for key, value in stock.items() if not key.startswith("price")}
    if isinstance(remedies, list) and all(isinstance(row, dict) for row in remedies):
        rest["remedy"] = [{key: value for key, value in row.items() if not key.startswith("cost")} for row in remedies]
    return rest


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
