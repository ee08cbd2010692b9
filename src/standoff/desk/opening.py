"""Opening the workbench on a database file, with the demonstration jobs on the first start."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from pathlib import Path

from standoff.desk.workbench import Workbench
from standoff.store.jobs import Store


def open_workbench(database: Path, *, clock: Callable[[], datetime]) -> Workbench:
    """The workbench over a database; one that is made anew gets the demonstration jobs."""
    bench = Workbench(Store(database), clock)
    bench.seed_demonstrations()
    return bench
