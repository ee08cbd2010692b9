"""Measuring: the median time of a call or of a process, and the line in which it is told beside its goal."""

from __future__ import annotations

import subprocess
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from statistics import median

ENOUGH_S = 0.2
FEWEST = 7
MOST = 2000


@dataclass(frozen=True, slots=True)
class Line:
    """One line of the report: what, how long [s], the goal [s], and against what the ratio is."""

    what: str
    taken_s: float
    goal_s: float | None
    ratio: str

    @property
    def missed(self) -> bool:
        """Whether it took longer than its goal."""
        return self.goal_s is not None and self.taken_s > self.goal_s

    def text(self) -> str:
        """The line in columns."""
        goal = "" if self.goal_s is None else told(self.goal_s)
        return f"{self.what:<46} {told(self.taken_s):>9} {goal:>9}   {self.ratio}{'   GOAL MISSED' if self.missed else ''}"


def against_goal(what: str, taken_s: float, goal_s: float) -> Line:
    """A line whose ratio is how much of its goal was used."""
    return Line(what, taken_s, goal_s, f"{taken_s / goal_s:.2f} of the goal")


def told(seconds: float) -> str:
    """A time in the unit that suits it."""
    if seconds < 1e-3:
        return f"{seconds * 1e6:.0f} us"
    return f"{seconds * 1e3:.1f} ms" if seconds < 1.0 else f"{seconds:.2f} s"


def call_s(call: Callable[[], object], *, fewest: int = FEWEST) -> float:
    """The median time of a call after a first one that does not count: so many calls at least, and enough for 0.2 s. [s]"""
    call()
    taken: list[float] = []
    while len(taken) < fewest or (sum(taken) < ENOUGH_S and len(taken) < MOST):
        begun = time.perf_counter()
        call()
        taken.append(time.perf_counter() - begun)
    return median(taken)


def process_s(command: Sequence[str], *, runs: int) -> float:
    """The median time of a whole process, from its start to its end. [s]"""
    taken = []
    for _ in range(runs):
        begun = time.perf_counter()
        done = subprocess.run(command, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, check=False)
        taken.append(time.perf_counter() - begun)
        if done.returncode != 0:
            raise SystemExit(f"benchmarks: {' '.join(command)} ended with {done.returncode}: {done.stderr.decode()}")
    return median(taken)
