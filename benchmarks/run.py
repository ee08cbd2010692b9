"""The benchmarks: `python3 dev.py bench`. Each line says what was measured, its goal, and a ratio.

Times are medians on this machine. A goal that is missed is said plainly and fails nothing; a result that differs from its
peer's does fail, since then the time means nothing.
"""

from __future__ import annotations

import math
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

import advice
import bar
import cycle
import pages
import peers
import stock
import workbench
from cases import Case, cases
from stopwatch import Line, against_goal, call_s, process_s

from standoff.job.demonstration import text_of

WINDOW_S, CONFIDENCE_S, PLACE_S, HELP_S = 1e-3, 20e-3, 1.0, 0.2
SAME_MM = 1e-5
OWN_ERROR = 2e-4
RUNS = 9


def main() -> None:
    """Measure everything and print it as it comes; the workbench prints its own."""
    print(f"{'what':<46} {'measured':>9} {'goal':>9}   ratio")
    every, missed = list(cases()), 0
    figures = (*windows(every), *confidences(every), *advice.lines(every), *bar.lines(), *cycle.lines(), *stock.lines())
    for line in (*figures, *processes(), *pages.pages()):
        print(line.text(), flush=True)
        missed += line.missed
    print(f"\n{missed} goals missed on this machine.\n" if missed else "\nEvery goal was met on this machine.\n")
    workbench.main()


def windows(every: list[Case]) -> Iterator[Line]:
    """From layout to window, plain and guarded; and the plain one alone, by the program and by a general solver."""
    for case in every:
        yield against_goal(f"window, {case.name}", call_s(case.windows), WINDOW_S)
    for case in every:
        require_same_window(case)
        peer_s = call_s(case.window_by_peer_mm)
        yield Line(f"same by linprog, {case.name}", peer_s, None, f"{peer_s / call_s(case.plain):.0f} times ours")


def require_same_window(case: Case) -> None:
    """Stop where the general solver finds another window."""
    own, peer = case.plain(), case.window_by_peer_mm()
    # Of an empty window only by how much it is missed is unique, not where.
    missed = (own.least_mm - own.greatest_mm, peer[0] - peer[1])
    pairs = [missed] if own.empty else [(own.least_mm, peer[0]), (own.greatest_mm, peer[1])]
    if not all(math.isclose(a, b, abs_tol=SAME_MM) for a, b in pairs):
        raise SystemExit(f"benchmarks: {case.name}: the window is {own.least_mm} to {own.greatest_mm} mm, by linprog {peer}")


def confidences(every: list[Case]) -> Iterator[Line]:
    """The joint probability where a job is judged, and with every slack near its limit; that one also by a million samples.

    Where a job is judged most rows cannot fail and are left out, so those times say little.
    """
    hard = [case.near_its_limits() for case in every]
    for case in (*every, *hard):
        yield against_goal(f"confidence, {case.name}", call_s(case.confidence), CONFIDENCE_S)
    for case in hard:
        own, peer = case.confidence(), case.confidence_by_peer()
        allowed = 4.0 * math.sqrt(max(own * (1.0 - own), 1e-9) / peers.SAMPLES) + OWN_ERROR
        if abs(own - peer) > allowed:
            raise SystemExit(f"benchmarks: {case.name}: the probability is {own}, by sampling {peer}")
        peer_s = call_s(case.confidence_by_peer, fewest=3)
        yield Line(f"same by 1e6 samples, {case.name}", peer_s, None, f"{peer_s / call_s(case.confidence):.0f} times ours")


def processes() -> Iterator[Line]:
    """Whole processes, each started anew (the disk's cache is warm)."""
    command = (sys.executable, "-m", "standoff")
    with tempfile.TemporaryDirectory() as folder:
        job = Path(folder) / "axle-cell.toml"
        job.write_text(text_of("axle-cell"), encoding="utf-8")
        yield against_goal("process: place axle-cell", process_s((*command, "place", str(job)), runs=RUNS), PLACE_S)
    help_s = process_s((*command, "--help"), runs=RUNS)
    yield against_goal("process: --help", help_s, HELP_S)
    bare_s = process_s((sys.executable, "-c", "pass"), runs=RUNS)
    yield Line("process: the bare interpreter", bare_s, None, f"{bare_s / help_s:.2f} of --help")


if __name__ == "__main__":
    main()
