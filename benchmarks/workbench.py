"""A field typed at a database of 1000 jobs: from the save to the updated answer, at the server.

What is compared with: the same change made in memory, without a database (revise the text, read it, place it).
"""

from __future__ import annotations

import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

from standoff.desk.sheet import new_revision
from standoff.desk.workbench import Entry, Saved, Workbench
from standoff.job.demonstration import NAMES, text_of
from standoff.job.file import parse_job
from standoff.job.placement import place
from standoff.job.revision import revised
from standoff.store.jobs import Store

JOBS, SAVES = 1000, 200
GOAL_MS = 50.0
FIELDS = ("loader.pusher_reach", "lathe.adapter_to_collet", "nose.collapsed", "lathe.modes[0].z_front")


def filled(folder: Path) -> tuple[Workbench, list[str]]:
    """A workbench with many jobs."""
    store, text = Store(folder / "jobs.sqlite"), text_of(NAMES[0])
    ids = [f"{i:032x}" for i in range(JOBS)]
    for i, job_id in enumerate(ids):
        named = text.replace('title = "', f'title = "{i} ', 1)
        store.add_job(job_id, new_revision(named, {}, made_utc=datetime.now(UTC), what="import"))
    return Workbench(store, lambda: datetime.now(UTC)), ids


def times_ms(action: Callable[[int], None], count: int) -> list[float]:
    """How long each of many calls takes."""
    taken = []
    for i in range(count):
        start = time.perf_counter()
        action(i)
        taken.append((time.perf_counter() - start) * 1e3)
    return sorted(taken)


def told(name: str, taken: list[float]) -> str:
    """Median and 95th percentile in a line."""
    return f"{name:34} median {statistics.median(taken):6.1f} ms, 95 % within {taken[int(0.95 * len(taken))]:6.1f} ms"


def main() -> int:
    """Print the figures; status 1 where the goal is missed."""
    with tempfile.TemporaryDirectory() as folder:
        bench, ids = filled(Path(folder))
        numbers = dict.fromkeys(ids, 1)

        def save(i: int) -> None:
            job_id = ids[i * 7 % JOBS]
            outcome = bench.save(job_id, FIELDS[i % len(FIELDS)], Entry(f"{600 + i} mm", source="tape"), numbers[job_id])
            if not isinstance(outcome, Saved):
                raise SystemExit("a save that nobody else disturbed was refused")
            numbers[job_id] = outcome.sheet.number
            if outcome.sheet.job is not None:
                place(outcome.sheet.job)

        def in_memory(i: int) -> None:
            place(parse_job(revised(text_of(NAMES[0]), {FIELDS[0]: f"{600 + i} mm"})))

        saves, memory = times_ms(save, SAVES), times_ms(in_memory, SAVES)
        listing = times_ms(lambda i: [None, bench.cards("bay", start=40 * i)][0], 20)
        again = times_ms(lambda i: [None, bench.cards("bay", start=40 * i)][0], 20)
        print(f"a database of {JOBS} jobs, {Path(folder, 'jobs.sqlite').stat().st_size / 1e6:.0f} MB")
        print(told("save, sheet and placement", saves))
        print(told("the same without a database", memory))
        print(f"ratio {statistics.median(saves) / statistics.median(memory):.1f}; goal: 95 % within {GOAL_MS:.0f} ms")
        print(told("40 jobs listed for the first time", listing))
        print(told("40 jobs listed again", again))
        bench.close()
        return 0 if saves[int(0.95 * len(saves))] <= GOAL_MS else 1


if __name__ == "__main__":
    sys.exit(main())
