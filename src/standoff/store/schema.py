"""The schema: which steps a database has seen, a copy before the next ones, and the steps themselves.

All steps that are due are one transaction: afterwards the database is the new one, or it is untouched.
"""

from __future__ import annotations

import sqlite3
from contextlib import closing
from itertools import count
from pathlib import Path

from alembic import command
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection, inspect, text

from standoff.store.database import Database

MIGRATIONS = Path(__file__).parent / "migrations"
_TURN = 5_230_071
"""Any fixed number: whoever holds it in PostgreSQL has his turn at migrating."""


def bring_up(database: Database, *, migrations: Path = MIGRATIONS) -> None:
    """Bring a database to this program's schema; raises StoreError where it is newer, another program's, or cannot be used."""
    config = Config()
    config.set_main_option("script_location", str(migrations).replace("%", "%%"))
    steps = [step.revision for step in ScriptDirectory.from_config(config).walk_revisions()][::-1]
    if database.file is not None:
        with database.told():
            database.file.parent.mkdir(parents=True, exist_ok=True)
    with database.reading() as connection:
        if _version(database, connection, steps) == steps[-1]:
            return
    with database.writing() as connection:
        if database.file is None:
            connection.execute(text("SELECT pg_advisory_xact_lock(:turn)"), {"turn": _TURN})
        version = _version(database, connection, steps)  # again: another process may have had its turn meanwhile
        if version == steps[-1]:
            return
        if database.file is not None and version is not None:
            _copy(database.file, version)
        config.attributes["connection"] = connection
        command.upgrade(config, steps[-1])


def _version(database: Database, connection: Connection, steps: list[str]) -> str | None:
    """The last step a database has seen, None for an empty one."""
    version = MigrationContext.configure(connection).get_current_revision()
    if version is None and database.file is not None and inspect(connection).get_table_names():
        raise database.error("store-foreign")
    if version is not None and version not in steps:
        raise database.error("store-newer")
    return version


def _copy(file: Path, version: str) -> None:
    """Copy a SQLite database, what is still in its log included, to a name that is free and says its schema."""
    names = (f"{file.name}.schema-{version}" + (f"-{i}" if i > 1 else "") for i in count(1))
    target = next(path for name in names if not (path := file.with_name(name)).exists())
    try:
        with closing(sqlite3.connect(file)) as source, closing(sqlite3.connect(target)) as copy:
            source.backup(copy)
    except BaseException:
        target.unlink(missing_ok=True)
        raise
