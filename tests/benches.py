"""What the tests of store and workbench share: a clock that ticks, a fresh workbench, and jobs typed in field by field."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from itertools import count
from pathlib import Path

from standoff.desk.entry import entry_at
from standoff.desk.workbench import Clash, Entry, Saved, Sheet, Workbench
from standoff.job.field import Kind, kind_of
from standoff.job.file import read_tables
from standoff.job.keys import keys, table_of
from standoff.job.tables import JobFile
from standoff.store.jobs import Store
from standoff.store.records import NewRevision

RANGE = "loader.centre_height"
START_UTC = datetime(2026, 5, 4, 7, 30, tzinfo=UTC)


class Clock:
    """A clock that is a second later each time it is asked."""

    def __init__(self) -> None:
        self._seconds = count()

    def __call__(self) -> datetime:
        return START_UTC + timedelta(seconds=next(self._seconds))


def fresh_bench(folder: Path) -> Workbench:
    """A workbench over an empty SQLite file; the ids count up."""
    number = count(1)
    return Workbench(Store(folder / "jobs.sqlite"), Clock(), new_id=lambda: f"{next(number):032x}")


def a_revision(text: str = "[job]\n", *, what: str = "begin", title: str = "Pedal cell", site: str = "bay 6") -> NewRevision:
    """A revision as the store takes it."""
    return NewRevision(made_utc=START_UTC, what=what, document=text, drafts={}, title=title, site=site)


def saved(bench: Workbench, job_id: str, field: str, entry: Entry | str, base: int | None = None) -> Sheet:
    """The sheet after a field was saved without a clash, on the newest revision unless another is given."""
    outcome = bench.save(job_id, field, as_entry(entry), bench.sheet(job_id).number if base is None else base)
    assert isinstance(outcome, Saved)
    assert outcome.accepted == (field not in outcome.sheet.pending)
    return outcome.sheet


def clashed(bench: Workbench, job_id: str, field: str, entry: Entry | str, base: int) -> Clash:
    """The clash that a save meets."""
    outcome = bench.save(job_id, field, as_entry(entry), base)
    assert isinstance(outcome, Clash)
    return outcome


def as_entry(entry: Entry | str) -> Entry:
    """A bare text as an entry."""
    return Entry(entry) if isinstance(entry, str) else entry


def entries_of(text: str) -> dict[str, Entry]:
    """Every field of a job file that can be typed, with what would be typed there, in the file's order."""
    raw = read_tables(text)
    assert isinstance(raw, dict)
    return {field: entry_at(raw, field) for field in _fields(raw, "") if field != "format"}


def rows_of(text: str) -> dict[str, int]:
    """How many entries each list of tables has."""
    raw = read_tables(text)
    assert isinstance(raw, dict)
    lists = {key: value for key, value in raw.items() if isinstance(value, list)}
    return {key: len(value) for key, value in {**lists, "lathe.modes": raw["lathe"].get("modes", [])}.items() if value}


def _fields(value: object, path: str) -> Iterator[str]:
    if path and kind_of_place(path) is Kind.QUANTITY:
        yield from (f"{path}[{i}]" if i else path for i in range(len(value) if isinstance(value, list) else 1))
    elif isinstance(value, dict):
        for key, element in value.items():
            yield from _fields(element, f"{path}.{key}" if path else key)
    elif path == RANGE:
        yield from (f"{path}[{i}]" for i in range(2))
    elif isinstance(value, list) and kind_of_place(path) is Kind.ROWS:
        for i, element in enumerate(value):
            yield from _fields(element, f"{path}[{i}]")
    else:
        yield path


def kind_of_place(path: str) -> Kind | None:
    """What a field takes; None for the whole of a range, which is typed end by end."""
    return None if path == RANGE else kind_of(path)


def every_field() -> list[str]:
    """A field of every key of the job file that holds a value."""
    return [field for key, _, _ in keys(JobFile) if key != "format" for field in _below(key, JobFile)]


def _below(path: str, table: type[JobFile]) -> Iterator[str]:
    key = path.rpartition(".")[2]
    below = table_of(table, key)
    if below is table:
        yield f"{path}[0]" if path == RANGE else path
        return
    element = f"{path}[0]" if kind_of(path) is Kind.ROWS else path
    for name, _, _ in keys(below):
        yield from _below(f"{element}.{name}", below)  # type: ignore[arg-type]
