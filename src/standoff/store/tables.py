"""The tables as the queries see them. `migrations` makes them; a test holds the two together.

Nothing is ever taken out of `revision` and `logged`. A row of `job` repeats of its newest revision what the list of jobs
shows and searches; both are written in one transaction.
"""

from __future__ import annotations

from datetime import UTC, datetime

from sqlalchemy import Column, Dialect, ForeignKey, Index, Integer, MetaData, String, Table, Text, UniqueConstraint
from sqlalchemy.types import TypeDecorator

from standoff.errors import UsageError, shown


class Utc(TypeDecorator[datetime]):
    """A time in UTC, kept as text that sorts as the times do, the same in every database."""

    impl = String(27)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> str | None:
        """The text of a time; raises UsageError for one that does not say its zone."""
        if value is None:
            return None
        if value.tzinfo is None:
            raise UsageError(what="time", given=shown(value), allowed="a time with its zone", action="take it in UTC")
        return value.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%S.%fZ")

    def process_result_value(self, value: str | None, dialect: Dialect) -> datetime | None:
        """The time of a text."""
        return None if value is None else datetime.fromisoformat(value)


METADATA = MetaData()

JOB = Table(
    "job",
    METADATA,
    Column("id", String(32), primary_key=True),
    Column("made_utc", Utc, nullable=False),
    Column("changed_utc", Utc, nullable=False),
    Column("archived_utc", Utc),
    Column("head", Integer, nullable=False),
    Column("title", Text, nullable=False),
    Column("site", Text, nullable=False),
    Column("words", Text, nullable=False),
    Index("job_by_change", "changed_utc"),
)

REVISION = Table(
    "revision",
    METADATA,
    Column("job_id", String(32), ForeignKey("job.id"), primary_key=True),
    Column("number", Integer, primary_key=True, autoincrement=False),
    Column("made_utc", Utc, nullable=False),
    Column("what", Text, nullable=False),
    Column("document", Text, nullable=False),
    Column("drafts", Text, nullable=False),
)

LOGGED = Table(
    "logged",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("job_id", String(32), ForeignKey("job.id"), nullable=False),
    Column("key", String(64), nullable=False),
    Column("made_utc", Utc, nullable=False),
    Column("kind", Text, nullable=False),
    Column("contents", Text, nullable=False),
    UniqueConstraint("job_id", "key", name="logged_once"),
)
