"""A job as the list of jobs shows it: what it is called, whether it fits, how much is still wanted."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from standoff.desk.sheet import Sheet
from standoff.job.placement import quick_verdict
from standoff.store.records import JobRecord


@dataclass(frozen=True, slots=True)
class Card:
    """A job in the list. `missing` counts what is still wanted or wrong; 0 where there is a verdict."""

    id: str
    title: str
    site: str
    changed_utc: datetime
    archived: bool
    units: str
    state: str
    missing: int


@dataclass(frozen=True, slots=True)
class Judged:
    """What the list of jobs says of a revision."""

    units: str
    state: str
    missing: int


def judge(sheet: Sheet) -> Judged:
    """What the list of jobs says of a sheet."""
    units = sheet.draft.job.units if sheet.draft and sheet.draft.job else None
    state = quick_verdict(sheet.job).value if sheet.job else "incomplete"
    return Judged(units or "in", state, len(sheet.problems))


def card_of(record: JobRecord, judged: Judged) -> Card:
    """The card of a job."""
    return Card(
        id=record.id,
        title=record.title,
        site=record.site,
        changed_utc=record.changed_utc,
        archived=record.archived_utc is not None,
        units=judged.units,
        state=judged.state,
        missing=judged.missing,
    )
