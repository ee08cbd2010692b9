"""Bars as stock: counts and mean yields of 1e5 bar lengths in one call, and what a plain loop over the bars takes for them.

The loop counts part after part as far as the longest bar reaches, and adds up the chance of each; it has to find the same figures
before its time counts.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray
from stopwatch import Line, against_goal, call_s

from standoff.bar.lengths import Even, Peaked, Tolerance, expected
from standoff.bar.mixes import Wanted, best_mix
from standoff.bar.purchase import best_length
from standoff.bar.yields import Cutting, cut_up

BARS = 100_000
GOAL_S = 50e-3
AXLE = Cutting(part_mm=102.0, cut_off_mm=3.0, remnant_mm=318.0, facing_mm=1.0)
SPACER = Cutting(part_mm=6.5, cut_off_mm=2.5, remnant_mm=210.0, facing_mm=0.5)
EVEN = Even(lower_mm=0.0, upper_mm=200.0)
PEAKED = Peaked(lower_mm=0.0, likeliest_mm=50.0, upper_mm=200.0)
KINDS = tuple(Wanted(part_mm, 400) for part_mm in (102.0, 57.15, 41.275, 19.05, 33.6, 25.4, 71.12, 88.9))


def lines() -> Iterator[Line]:
    """Every measurement of this module."""
    bars_mm = np.random.default_rng(1).uniform(2500.0, 4000.0, BARS)
    for name, cutting in (("axle", AXLE), ("spacer", SPACER)):
        yield from counted(name, cutting, bars_mm)
        for spread, tolerance in (("even", EVEN), ("peaked", PEAKED)):
            yield from meant(f"{name}, {spread}", cutting, bars_mm, tolerance)
    yield from advised()


def counted(name: str, cutting: Cutting, bars_mm: NDArray[np.float64]) -> Iterator[Line]:
    """Whole parts and remnants of exact bars."""
    lengths = bars_mm.tolist()
    if cut_up(cutting, bars_mm).parts.tolist() != counts_by_loop(cutting, lengths):
        raise SystemExit(f"benchmarks: {name}: a loop counts other parts")
    own_s = call_s(lambda: cut_up(cutting, bars_mm).yield_share)
    yield against_goal(f"1e5 bars counted, {name}", own_s, GOAL_S)
    peer_s = call_s(lambda: counts_by_loop(cutting, lengths))
    yield Line(f"same by a formula in a loop, {name}", peer_s, None, f"{peer_s / own_s:.0f} times ours")


def meant(name: str, cutting: Cutting, bars_mm: NDArray[np.float64], tolerance: Tolerance) -> Iterator[Line]:
    """Mean yields over the mill's tolerance."""
    lengths = bars_mm.tolist()
    if not np.allclose(
        expected(cutting, bars_mm, tolerance).parts, means_by_loop(cutting, lengths, tolerance), rtol=0.0, atol=1e-9
    ):
        raise SystemExit(f"benchmarks: {name}: a loop finds other means")
    own_s = call_s(lambda: expected(cutting, bars_mm, tolerance).yield_share)
    yield against_goal(f"1e5 mean yields, {name}", own_s, GOAL_S)
    peer_s = call_s(lambda: means_by_loop(cutting, lengths, tolerance), fewest=3)
    yield Line(f"same by chances in a loop, {name}", peer_s, None, f"{peer_s / own_s:.0f} times ours")


def counts_by_loop(cutting: Cutting, lengths_mm: list[float]) -> list[int]:
    """The counts, bar after bar."""
    unused_mm, advance_mm = cutting.held_mm, cutting.part_mm + cutting.cut_off_mm
    return [math.floor((length - unused_mm + 1e-6) / advance_mm) for length in lengths_mm]


def means_by_loop(cutting: Cutting, lengths_mm: list[float], tolerance: Tolerance) -> list[float]:
    """The mean counts, bar after bar: the parts that the shortest bar gives, and the chance of each further one."""
    unused_mm, advance_mm = cutting.held_mm, cutting.part_mm + cutting.cut_off_mm
    means = []
    for length in lengths_mm:
        low, *_, high = (length + corner for corner in tolerance.corners_mm)
        parts = math.floor((low - unused_mm) / advance_mm)
        mean = float(parts)
        while (needed := unused_mm + (parts + 1) * advance_mm) < high:
            mean += chance_beyond(needed - length, tolerance)
            parts += 1
        means.append(mean)
    return means


def chance_beyond(at_mm: float, tolerance: Tolerance) -> float:
    """The chance of a bar longer than its nominal length by so much."""
    low, *_, high = tolerance.corners_mm
    if isinstance(tolerance, Even):
        return (high - at_mm) / (high - low)
    if at_mm < tolerance.likeliest_mm:
        return 1.0 - (at_mm - low) ** 2 / ((high - low) * (tolerance.likeliest_mm - low))
    return (high - at_mm) ** 2 / ((high - low) * (high - tolerance.likeliest_mm))


def advised() -> Iterator[Line]:
    """The best length to buy against a scan by the same means; a mix of eight parts."""
    limits = {"least_mm": 2500.0, "greatest_mm": 3660.0}
    scan_mm = np.linspace(2500.0, 3660.0, BARS)
    best, scanned = best_length(SPACER, **limits, tolerance=PEAKED), expected(SPACER, scan_mm, PEAKED).yield_share.max()
    if float(best.yield_share) < scanned * (1.0 - 1e-9):
        raise SystemExit(f"benchmarks: best length: a scan finds {scanned}, we {best.yield_share}")
    own_s, scan_s = (
        call_s(call)
        for call in (
            lambda: best_length(SPACER, **limits, tolerance=PEAKED),
            lambda: expected(SPACER, scan_mm, PEAKED).yield_share.max(),
        )
    )
    yield Line("best length to buy", own_s, None, f"{scan_s / own_s:.1f} times in a scan of 1e5")
    mix_s = call_s(lambda: best_mix(KINDS, bar_mm=3660.0, cut_off_mm=3.0, remnant_mm=318.0))
    yield Line(f"mix of {len(KINDS)} parts", mix_s, None, "")


def main() -> None:
    """Print this module's measurements only."""
    for line in lines():
        print(line.text(), flush=True)


if __name__ == "__main__":
    main()
