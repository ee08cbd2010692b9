"""The database: where it is, how it is opened, and what its failures mean to a person.

A path is a SQLite file, an address beginning with postgresql:// a PostgreSQL database. SQLite is run so that what was
acknowledged is on the disk: write-ahead log, synchronous=FULL.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from sqlalchemy import URL, Connection, Engine, create_engine, event, make_url
from sqlalchemy.engine.interfaces import DBAPIConnection
from sqlalchemy.exc import ArgumentError, DBAPIError, IntegrityError, SQLAlchemyError, StatementError
from sqlalchemy.exc import TimeoutError as PoolTimeoutError
from sqlalchemy.pool import ConnectionPoolEntry

from standoff.errors import StandoffError, StoreError, UsageError

_WRITES = "standoff_writes"

_ADVICE = {
    "store-damaged": (
        "a database as the program wrote it",
        "move the file and its -wal and -shm away, put a backup or the newest copy (.schema-...) in its place, then start again",
    ),
    "store-locked": ("a database that can be written", "close the other program that uses it, then try again"),
    "store-read-only": ("a database that can be written", "make the file and its folder writable, then try again"),
    "store-full": ("room on the disk", "free some space, then save again"),
    "store-unreachable": ("a database that can be opened", "check its path or address, and that its server runs, then try again"),
    "store-driver": ("the driver of that database", "install it with: pip install 'standoff[postgresql]'"),
    "store-failed": ("an answer", "try again; if it stays, restore a backup and report what the log says"),
    "store-foreign": ("a database of this program, or none yet", "choose another path"),
    "store-newer": ("one this version knows", "install the newer version of the program again, or choose another path"),
}
"""What was expected, and what to do, for each way a database can fail."""

_SQLITE = {
    sqlite3.SQLITE_BUSY: "store-locked",
    sqlite3.SQLITE_LOCKED: "store-locked",
    sqlite3.SQLITE_PERM: "store-read-only",
    sqlite3.SQLITE_READONLY: "store-read-only",
    sqlite3.SQLITE_FULL: "store-full",
    sqlite3.SQLITE_CORRUPT: "store-damaged",
    sqlite3.SQLITE_NOTADB: "store-damaged",
    sqlite3.SQLITE_IOERR: "store-unreachable",
    sqlite3.SQLITE_CANTOPEN: "store-unreachable",
}
"""SQLite's primary result codes."""

_SQLSTATE = {
    "08": "store-unreachable",
    "28": "store-unreachable",
    "3D": "store-unreachable",
    "57P": "store-unreachable",
    "53300": "store-unreachable",
    "53100": "store-full",
    "25006": "store-read-only",
    "42501": "store-read-only",
    "40": "store-locked",
    "55P03": "store-locked",
    "XX001": "store-damaged",
    "XX002": "store-damaged",
}
"""Beginnings of PostgreSQL's error codes."""


class Database:
    """One database, opened when it is first used; every failure comes out as a StoreError."""

    def __init__(self, place: str | Path, *, patience_s: float = 5.0) -> None:
        url = _url(place)
        self.file = Path(url.database) if url.get_backend_name() == "sqlite" and url.database else None
        self.place = str(self.file) if self.file else url.render_as_string(hide_password=True)
        self._engine = self._sqlite(url, patience_s) if self.file else self._postgresql(url, patience_s)

    def _sqlite(self, url: URL, patience_s: float) -> Engine:
        engine = create_engine(url)

        def opened(connection: DBAPIConnection, _: ConnectionPoolEntry) -> None:
            connection.isolation_level = None  # the driver would begin transactions at moments of its own
            cursor = connection.cursor()
            for setting in (f"busy_timeout = {round(patience_s * 1000)}", "foreign_keys = ON", "synchronous = FULL"):
                cursor.execute(f"PRAGMA {setting}")
            if cursor.execute("PRAGMA journal_mode").fetchone()[0] != "wal":
                cursor.execute("PRAGMA journal_mode = WAL")
            cursor.close()

        def begun(connection: Connection) -> None:
            # A reader that turns writer half-way cannot wait for another: who will write says so at once.
            writes = connection.get_execution_options().get(_WRITES)
            connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")

        event.listen(engine, "connect", opened)
        event.listen(engine, "begin", begun)
        return engine

    def _postgresql(self, url: URL, patience_s: float) -> Engine:
        try:
            return create_engine(url, pool_pre_ping=True, connect_args={"connect_timeout": max(2, round(patience_s))})
        except ModuleNotFoundError as error:
            raise self.error("store-driver") from error

    def error(self, code: str) -> StoreError:
        """The error with this code about this database."""
        expected, action = _ADVICE[code]
        return StoreError(code, place=self.place, expected=expected, action=action)

    @contextmanager
    def told(self) -> Iterator[None]:
        """Turn what the database raises into StoreErrors; a broken constraint is for the caller."""
        try:
            yield
        except IntegrityError:
            raise
        except (SQLAlchemyError, sqlite3.Error) as error:
            if isinstance(error, StatementError) and isinstance(error.orig, StandoffError):
                raise error.orig from None
            raise self.error(_code(error)) from error
        except OSError as error:
            raise error if isinstance(error, StoreError) else self.error("store-unreachable") from error

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """A connection that sees one state of the database."""
        with self.told(), self._engine.connect() as connection, connection.begin():
            yield connection

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """A connection whose changes are on the disk when the block is left, or undone if it raises."""
        with self.told(), self._engine.connect().execution_options(**{_WRITES: True}) as connection, connection.begin():
            yield connection

    def close(self) -> None:
        """Let go of the database."""
        self._engine.dispose()


def _url(place: str | Path) -> URL:
    """The address of a database; raises UsageError for one the program cannot use."""
    if isinstance(place, Path) or "://" not in place:
        return URL.create("sqlite+pysqlite", database=str(Path(place).absolute()))
    try:
        url = make_url(place)
    except (ArgumentError, ValueError):
        url = URL.create("unreadable")
    if url.get_backend_name() in ("postgresql", "postgres"):
        return url.set(drivername="postgresql+psycopg")
    raise UsageError(
        what="database",
        given=f"of the kind {url.get_backend_name()}",
        allowed="a path, or an address such as postgresql://name@host/database",
        action="give one of these",
    )


def _code(error: Exception) -> str:
    """Which way a database failed."""
    if isinstance(error, PoolTimeoutError):
        return "store-locked"
    original = error.orig if isinstance(error, DBAPIError) else error
    if isinstance(original, sqlite3.Error):
        # The lowest byte is the primary code; errors of the driver itself have none.
        return _SQLITE.get(getattr(original, "sqlite_errorcode", 0) & 0xFF, "store-failed")
    state = getattr(original, "sqlstate", None)
    if state is None:
        lost = isinstance(error, DBAPIError) and type(original).__name__ == "OperationalError"
        return "store-unreachable" if lost else "store-failed"
    return next((code for start, code in _SQLSTATE.items() if state.startswith(start)), "store-failed")
