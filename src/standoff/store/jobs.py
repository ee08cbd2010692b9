"""Jobs in the database: begun, revised, searched, put away, and what was logged at the machine.

Revisions are only ever added. Each writer says which number his is to have: of two who want the same one, the second is told.
A call that returns has written; one that raises has written nothing.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import datetime
from pathlib import Path
from typing import Any

from sqlalchemy import Row, insert, select, update
from sqlalchemy.exc import IntegrityError

from standoff.errors import StaleRevisionError, UnknownRecordError
from standoff.store.database import Database
from standoff.store.records import JobRecord, LogLine, NewRevision, Revision, RevisionLine
from standoff.store.schema import MIGRATIONS, bring_up
from standoff.store.tables import JOB, LOGGED, REVISION

_RECORD = (JOB.c.id, JOB.c.made_utc, JOB.c.changed_utc, JOB.c.archived_utc, JOB.c.head, JOB.c.title, JOB.c.site)


class Store:
    """The jobs in one database: a SQLite file, or a PostgreSQL address."""

    def __init__(self, place: str | Path, *, migrations: Path = MIGRATIONS, patience_s: float = 5.0) -> None:
        self._database = Database(place, patience_s=patience_s)
        try:
            bring_up(self._database, migrations=migrations)
        except BaseException:
            self._database.close()
            raise

    @property
    def place(self) -> str:
        """The file, or the address without its password."""
        return self._database.place

    def close(self) -> None:
        """Let go of the database."""
        self._database.close()

    def add_job(self, job_id: str, first: NewRevision) -> bool:
        """Begin a job with its first revision; False, and nothing written, where there is a job with that id already."""
        row = {"id": job_id, "made_utc": first.made_utc, "archived_utc": None, **_of_head(1, first)}
        try:
            with self._database.writing() as connection:
                connection.execute(insert(JOB).values(row))
                connection.execute(insert(REVISION).values(_row(job_id, 1, first)))
        except IntegrityError:
            return False
        return True

    def add_revision(self, job_id: str, number: int, new: NewRevision) -> None:
        """Add the next revision; raises StaleRevisionError where `number` is not the next one any more."""
        is_next = (JOB.c.id == job_id) & (JOB.c.head == number - 1)
        try:
            with self._database.writing() as connection:
                moved = connection.execute(update(JOB).where(is_next).values(_of_head(number, new)))
                if moved.rowcount:
                    connection.execute(insert(REVISION).values(_row(job_id, number, new)))
        except IntegrityError as error:
            raise StaleRevisionError(job_id=job_id, number=number) from error
        if not moved.rowcount:
            self.job(job_id)
            raise StaleRevisionError(job_id=job_id, number=number)

    def job(self, job_id: str) -> JobRecord:
        """A job's record; raises UnknownRecordError."""
        with self._database.reading() as connection:
            found = connection.execute(select(*_RECORD).where(JOB.c.id == job_id)).one_or_none()
        if found is None:
            raise UnknownRecordError("job-unknown", given=job_id)
        return JobRecord(*found)

    def jobs(self, *, words: str = "", archived: bool = False, start: int = 0, most: int = 40) -> tuple[JobRecord, ...]:
        """The jobs whose title or site hold all these words, the last changed first."""
        put_away = JOB.c.archived_utc.is_not(None) if archived else JOB.c.archived_utc.is_(None)
        query = select(*_RECORD).where(put_away)
        for word in words.casefold().split():
            query = query.where(JOB.c.words.contains(word, autoescape=True))
        query = query.order_by(JOB.c.changed_utc.desc(), JOB.c.id).offset(start).limit(most)
        with self._database.reading() as connection:
            return tuple(JobRecord(*row) for row in connection.execute(query))

    def any_job(self) -> bool:
        """Whether there is a job at all, put away or not."""
        with self._database.reading() as connection:
            return connection.execute(select(JOB.c.id).limit(1)).first() is not None

    def set_archived(self, job_id: str, when_utc: datetime | None) -> None:
        """Put a job away, or (None) bring it back; raises UnknownRecordError."""
        with self._database.writing() as connection:
            changed = connection.execute(update(JOB).where(JOB.c.id == job_id).values(archived_utc=when_utc))
        if not changed.rowcount:
            raise UnknownRecordError("job-unknown", given=job_id)

    def revision(self, job_id: str, number: int) -> Revision:
        """A revision; raises UnknownRecordError."""
        query = select(REVISION).where(REVISION.c.job_id == job_id, REVISION.c.number == number)
        with self._database.reading() as connection:
            found = connection.execute(query).one_or_none()
        if found is None:
            self.job(job_id)
            raise UnknownRecordError("revision-unknown", given=str(number))
        return Revision(job_id, number, found.made_utc, found.what, found.document, self._loaded(found.drafts))

    def revisions(self, job_id: str, *, after: int = 0) -> tuple[RevisionLine, ...]:
        """The revisions of a job after that number, the oldest first."""
        query = select(REVISION.c.number, REVISION.c.made_utc, REVISION.c.what)
        query = query.where(REVISION.c.job_id == job_id, REVISION.c.number > after).order_by(REVISION.c.number)
        with self._database.reading() as connection:
            return tuple(RevisionLine(*row) for row in connection.execute(query))

    def add_logged(self, job_id: str, *, made_utc: datetime, kind: str, contents: Mapping[str, Any], key: str) -> LogLine:
        """Log something; the line already there where the key was logged before. Raises UnknownRecordError."""
        row = {"job_id": job_id, "key": key, "made_utc": made_utc, "kind": kind, "contents": _dumped(contents)}
        mine = (LOGGED.c.job_id == job_id) & (LOGGED.c.key == key)
        try:
            with self._database.writing() as connection:
                connection.execute(insert(LOGGED).values(row))
        except IntegrityError:
            self.job(job_id)
        with self._database.reading() as connection:
            return self._line(connection.execute(select(LOGGED).where(mine)).one())

    def logged(self, job_id: str) -> tuple[LogLine, ...]:
        """What was logged of a job, in the order in which it came."""
        query = select(LOGGED).where(LOGGED.c.job_id == job_id).order_by(LOGGED.c.id)
        with self._database.reading() as connection:
            return tuple(self._line(row) for row in connection.execute(query))

    def _line(self, row: Row[Any]) -> LogLine:
        return LogLine(row.id, row.job_id, row.key, row.made_utc, row.kind, self._loaded(row.contents))

    def _loaded(self, text: str) -> dict[str, Any]:
        try:
            return dict(json.loads(text))
        except ValueError as error:
            raise self._database.error("store-damaged") from error


def _dumped(contents: Mapping[str, Any]) -> str:
    """Contents as JSON text, plain ASCII: a database may refuse a character that JSON can write otherwise."""
    return json.dumps(contents, allow_nan=False)


def _of_head(number: int, new: NewRevision) -> dict[str, Any]:
    """What a job's row repeats of its newest revision."""
    words = f"{new.title}\n{new.site}".casefold()
    return {"head": number, "changed_utc": new.made_utc, "title": new.title, "site": new.site, "words": words}


def _row(job_id: str, number: int, new: NewRevision) -> dict[str, Any]:
    return {
        "job_id": job_id,
        "number": number,
        "made_utc": new.made_utc,
        "what": new.what,
        "document": new.document,
        "drafts": _dumped(new.drafts),
    }
