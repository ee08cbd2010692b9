"""Killed in the middle of saving: what was acknowledged is there, the database opens, and no job is half written.

A child process types into a job as fast as it can and says after each save which revision it was told. It is killed without
warning at a random moment.
"""

from __future__ import annotations

import random
import subprocess
import sys
import time
from pathlib import Path

import pytest

from standoff.desk.workbench import Workbench
from standoff.job.file import parse_job
from standoff.store.jobs import Store
from tests.benches import Clock, fresh_bench
from tests.texts import SLIDING

ROOT = Path(__file__).resolve().parents[2]
JOB = f"{1:032x}"
FIELD = "loader.pusher_reach"
LONGEST_S = 0.6
"""So long a child may save before it is killed; a save takes about a hundredth of it."""

CHILD = """
import sys
from pathlib import Path
from standoff.desk.workbench import Entry, Workbench
from standoff.store.jobs import Store
from tests.benches import Clock

bench = Workbench(Store(Path(sys.argv[1])), Clock())
number = bench.sheet(sys.argv[2]).number
print("ready", flush=True)
while True:
    number = bench.save(sys.argv[2], sys.argv[3], Entry(f"{1000 + number + 1} mm", note="x" * 2000), number).sheet.number
    print(number, flush=True)
"""


def killed_once(file: Path, seed: int) -> int:
    """Let a child save into a file and kill it; the last number it was told, 0 where it was killed before that."""
    command = [sys.executable, "-c", CHILD, str(file), JOB, FIELD]
    with subprocess.Popen(command, cwd=ROOT, stdout=subprocess.PIPE, text=True) as child:
        assert child.stdout is not None
        assert child.stdout.readline() == "ready\n"
        time.sleep(random.Random(seed).uniform(0.0, LONGEST_S))
        child.kill()
        told = child.stdout.read().split("\n")
    # What stands behind the last line break was being said when the child was killed.
    return int(told[-2]) if len(told) > 1 else 0


def assert_whole(file: Path, told: int) -> int:
    """Every revision can be read and is whole, the acknowledged ones are there; the number of the newest."""
    bench = Workbench(Store(file), Clock())
    lines = bench.history(JOB)[::-1]
    head = bench.sheet(JOB).number
    assert [line.number for line in lines] == list(range(1, head + 1))
    assert told <= head <= told + 1  # the last save may be on the disk and not yet acknowledged
    for number in range(max(2, told - 3), head + 1):
        sheet = bench.sheet(JOB, number)
        assert parse_job(sheet.text).readings[FIELD].text == f"{1000 + number} mm"
        assert sheet.pending == {}
    assert bench.card(JOB).missing == 0
    bench.close()
    return head


def kill(folder: Path, times: int, seed: int) -> None:
    """Kill so many children, one after another, on one database."""
    file = folder / "jobs.sqlite"
    bench = fresh_bench(folder)
    assert bench.new_from_text(SLIDING, "") == JOB
    bench.close()
    head, saves = 1, 0
    for i in range(times):
        told = killed_once(file, seed + i)
        now = assert_whole(file, told or head)
        saves += now - head
        head = now
    assert saves > 2 * times


def test_killed_ten_times(tmp_path: Path) -> None:
    """No acknowledged save is lost in ten kills."""
    kill(tmp_path, 10, seed=0)


@pytest.mark.prove
@pytest.mark.parametrize("part", range(10))
def test_killed_two_hundred_times(tmp_path: Path, part: int) -> None:
    """Nor in two hundred: twenty on each of ten databases."""
    kill(tmp_path, 20, seed=1000 * (part + 1))
