"""What the store hands out and takes in: plain records."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any


@dataclass(frozen=True, slots=True)
class JobRecord:
    """A job as the list shows it; `head` is the number of its newest revision."""

    id: str
    made_utc: datetime
    changed_utc: datetime
    archived_utc: datetime | None
    head: int
    title: str
    site: str


@dataclass(frozen=True, slots=True, kw_only=True)
class NewRevision:
    """What is to be written: the job file's text, what was typed but is not in it, and why there is a revision."""

    made_utc: datetime
    what: str
    document: str
    drafts: Mapping[str, Any]
    title: str
    site: str


@dataclass(frozen=True, slots=True)
class Revision:
    """A revision as it was written."""

    job_id: str
    number: int
    made_utc: datetime
    what: str
    document: str
    drafts: Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class RevisionLine:
    """A revision without its contents."""

    number: int
    made_utc: datetime
    what: str


@dataclass(frozen=True, slots=True)
class LogLine:
    """Something noted at the machine; `key` is the sender's own, so that what is sent twice counts once."""

    id: int
    job_id: str
    key: str
    made_utc: datetime
    kind: str
    contents: Mapping[str, Any]
