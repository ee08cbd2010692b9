"""Random bars against strangers: dense matrices of another make, solved by a general eigenvalue solver.

For each bar: nothing is not-a-number; the bracket is as narrow as said, and its mode count is certified at both ends; the
stranger, who errs high only, lies in it or closely above it; so do the room's own elements; and between any two of the
stranger's modes the exact count is the stranger's. The room solves all bars of a lot at once, the stranger one by one.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
import pytest

from standoff.bar.bracket import WIDTH, lowest
from standoff.bar.elements import CERTAIN, lowest_by_elements
from standoff.bar.mesh import Floats, Ints
from standoff.bar.stiffness import count_below
from standoff.bar.whip import critical_speed, critical_speeds
from tests.bars import RPM, Bar, near_twins, random_bar, stacked
from tests.bars_dense import Dense, solved

CASES = 500
PROVED = 5000
MODES = 6
ELEMENTS = 24

STRANGER = {False: 2e-5, True: 1e-9}
"""The stranger's own error: Hermite's elements (twice 6e-6), polynomials of order 8. Rounding comes on top."""

ROUNDING = 2e-9
"""What rounding may do to an end of a bracket (the room says about 1e-9); more where the stranger is at its mercy too."""

RESOLVED = {False: 16.0, True: 4.0}
"""How many times the frequency it was made for the stranger's mesh serves, to a thousandth."""


@dataclass(frozen=True, slots=True, eq=False)
class Lot:
    """Some bars as the room solves them. [rad/s]"""

    bars: list[Bar]
    low: Floats
    high: Floats
    elements: Floats
    below_low: Ints
    below_high: Ints
    unpushed: Floats


def lot(bars: list[Bar]) -> Lot:
    """Solve all of them: brackets, counts at both ends, elements, and the brackets without the feed force."""
    size = len(bars)
    low, high, elements, unpushed = np.empty(size), np.empty(size), np.empty(size), np.empty(size)
    below = np.empty((2, size), dtype=np.int64)
    for which, mesh in stacked(bars):
        found = lowest(mesh)
        low[which], high[which] = found.low_rad_per_s, found.high_rad_per_s
        unpushed[which] = lowest(replace(mesh, axial_n=np.minimum(mesh.axial_n, 0.0))).high_rad_per_s
    for which, mesh in stacked(bars, pieces=ELEMENTS):
        elements[which] = lowest_by_elements(mesh)
    for which, mesh in stacked(bars):
        below[0, which], below[1, which] = count_below(mesh, low[which]).below, count_below(mesh, high[which]).below
    return Lot(bars, low, high, elements, below[0], below[1], unpushed)


@dataclass(frozen=True, slots=True)
class Compared:
    """How far above the bracket's lower end the stranger and the elements lie; how far rounding may move the stranger."""

    excess: float
    elements_excess: float
    rounding: float


def compare(own: Lot, i: int, stranger: Dense, *, thick: bool) -> Compared:
    """Hold one bar against its stranger; every claim is asserted."""
    bar, low, high, elements = own.bars[i], own.low[i], own.high[i], own.elements[i]
    about = f"seed {bar.seed}, {bar.supports}"
    loose = ROUNDING + stranger.rounding
    assert 0.0 < low < high <= low * (1.0 + 1.01 * WIDTH), about
    # Near the force that buckles it the bar resists so many times more than what is left.
    slack = max(1.0, (own.unpushed[i] / high) ** 2)
    assert low * (1.0 - loose) <= stranger.lowest_rad_per_s <= high * (1.0 + STRANGER[thick] * slack + loose), about
    assert low * (1.0 - loose) <= elements <= high * (1.0 + coarse_error(bar, high) * slack + CERTAIN + loose), about
    if stranger.rounding < ROUNDING:
        assert own.below_low[i] == 0 < own.below_high[i], about
    return Compared(stranger.lowest_rad_per_s / low - 1.0, elements / low - 1.0, stranger.rounding)


def compare_buckled(bar: Bar, high: float, stranger: Dense, *, thick: bool) -> None:
    """Where the feed force buckles a bar, both say so; the stranger resists a little more, so it may need a little more."""
    assert high == 0.0, f"seed {bar.seed}, {bar.supports}"
    pushed = replace(bar, supports=replace(bar.supports, axial_n=bar.supports.axial_n * (1.0 + 1e-4)))
    assert not stranger.stable or not dense_of(pushed, 0.0, thick=thick).stable, f"seed {bar.seed}, {bar.supports}"


def dense_of(bar: Bar, omega_rad_per_s: float, *, thick: bool) -> Dense:
    """The stranger, on a mesh that serves at least a pinned span of the whole length."""
    assert omega_rad_per_s < 1e3 * bar.pinned_rad_per_s, f"seed {bar.seed}: faster than its eight supports could make it"
    return solved(bar, thick=thick, omega_rad_per_s=max(omega_rad_per_s, bar.pinned_rad_per_s), modes=MODES)


def coarse_error(bar: Bar, omega_rad_per_s: float) -> float:
    """By how much the room's elements may err high: (beta h)^4/1440 twofold, and what shear, turning and the force add."""
    mesh = bar.mesh(pieces=ELEMENTS)
    h, ei, axial, square = mesh.piece_mm[:, 0], bar.beam.ei_n_mm2, bar.supports.axial_n, omega_rad_per_s**2
    carried = np.maximum(square * mesh.mass_kg_m[:, 0] * 1e-6, mesh.bedding_mpa[:, 0])
    bent = carried * h**4 / ei + (axial * h**2 / ei) ** 2
    sheared = (carried + axial**2 / ei) * h**2 / bar.beam.shear_n + square * bar.beam.rotary_kg_mm * 1e-3 * h**2 / ei
    return float((bent / 720.0 + sheared / 12.0).max())


def between(bar: Bar, high: float, stranger: Dense, *, thick: bool) -> Iterator[tuple[int, float]]:
    """Frequencies midway between two of the stranger's modes, and how many lie below, while its mesh serves."""
    # Above half the frequency at which shear alone resonates the room's theory is not asked.
    resonance = math.sqrt(bar.beam.shear_n / (bar.beam.rotary_kg_mm * 1e-3)) if bar.beam.rotary_kg_mm else math.inf
    serves = min(max(high, bar.pinned_rad_per_s) * RESOLVED[thick], 0.5 * resonance)
    for number, (one, other) in enumerate(pairwise(np.sqrt(stranger.square)), start=1):
        if other < serves and other / one > 1.01:
            yield number, math.sqrt(one * other)


def compare_counts(bars: list[Bar], asked: list[list[tuple[int, float]]]) -> int:
    """The exact counts at these frequencies are those of the stranger; how many were compared."""
    done = 0
    for turn in range(MODES - 1):
        some = [i for i, each in enumerate(asked) if len(each) > turn]
        for which, mesh in stacked([bars[i] for i in some]):
            wanted = [asked[some[j]][turn] for j in which]
            found = count_below(mesh, np.array([at for _, at in wanted])).below
            assert found.tolist() == [number for number, _ in wanted], f"seeds {[bars[some[j]].seed for j in which]}"
            done += len(wanted)
    return done


def check(make: Callable[[int], Bar], first: int, count: int, *, thick: bool) -> int:
    """Compare so many bars from a seed on; how many are buckled. Most stand, and few are at rounding's mercy."""
    own = lot([make(seed) for seed in range(first, first + count)])
    assert np.isfinite([own.low, own.high, own.elements]).all()
    strangers = [dense_of(bar, high, thick=thick) for bar, high in zip(own.bars, own.high, strict=True)]
    standing = [i for i in range(count) if own.high[i] > 0.0 and strangers[i].stable]
    for i in set(range(count)) - set(standing):
        compare_buckled(own.bars[i], own.high[i], strangers[i], thick=thick)
    found = [compare(own, i, strangers[i], thick=thick) for i in standing]
    assert len(found) > 0.7 * count
    assert sum(one.rounding > 1e-6 for one in found) < 0.1 * count
    asked = [list(between(own.bars[i], own.high[i], strangers[i], thick=thick)) for i in standing]
    counted = compare_counts([own.bars[i] for i in standing], asked)
    assert counted > count // 2
    print(
        f"{count} {'thick' if thick else 'slender'} bars from {first}: {count - len(found)} buckled; above the lower end the "
        f"stranger {min(one.excess for one in found):.1e} to {max(one.excess for one in found):.1e}, elements "
        f"{min(one.elements_excess for one in found):.1e} to {max(one.elements_excess for one in found):.1e}; "
        f"{counted} counts between modes; {sum(one.rounding > 1e-6 for one in found)} at rounding's mercy"
    )
    return count - len(found)


@pytest.mark.parametrize("thick", [False, True], ids=["slender", "thick"])
def test_random_bars(thick: bool) -> None:
    """A thousand bars a day, half of them thick: bracket, counts, stranger and elements agree."""
    assert check(lambda seed: random_bar(seed, thick=thick), 0, CASES, thick=thick) > 10


def test_modes_that_lie_close_together() -> None:
    """Nearly equal spans that hardly feel one another have clusters of modes: the lowest is found, not its neighbour."""
    assert check(near_twins, 0, 100, thick=False) == 0


def test_in_one_call_as_one_by_one() -> None:
    """Bars of different supports at several lengths, solved together, are those solved each for itself."""
    lengths_mm = [500.0, 1200.0, 2500.0]
    bars = [bar for bar in (random_bar(seed, thick=True) for seed in range(60)) if bar.supports.held(length_mm=500.0)]
    assert len(bars) > 15
    together = critical_speeds([bar.beam for bar in bars], [bar.supports for bar in bars], lengths_mm)
    for row, length_mm in enumerate(lengths_mm):
        for column, bar in enumerate(bars):
            alone = critical_speed(bar.beam, bar.supports, length_mm=length_mm)
            assert together.whip_rpm[row, column] == pytest.approx(alone.whip_rpm, rel=2.0 * WIDTH), f"seed {bar.seed}"
    alone_rpm = [critical_speed(bar.beam, bar.supports, length_mm=bar.length_mm).whip_rpm for bar in bars]
    assert np.allclose(lot(bars).low * RPM, alone_rpm, rtol=2.0 * WIDTH)


def test_stiffer_never_turns_slower() -> None:
    """Every stiffness threefold never lowers the speed, a heavier pusher never raises it (Rayleigh)."""
    for bar in (random_bar(seed, thick=True) for seed in range(100)):
        pusher = replace(bar.supports.pusher, mass_kg=bar.supports.pusher.mass_kg + 1.0)
        kinds = [bar.supports, bar.supports.scaled(3.0), replace(bar.supports, pusher=pusher)]
        plain, stiff, heavy = critical_speeds([bar.beam], kinds, [bar.length_mm]).whip_rpm[0]
        assert stiff >= plain * (1.0 - 2.0 * WIDTH), f"seed {bar.seed}"
        assert heavy <= plain * (1.0 + 2.0 * WIDTH), f"seed {bar.seed}"


@pytest.mark.prove
@pytest.mark.parametrize("thick", [False, True], ids=["slender", "thick"])
def test_ten_thousand_bars(thick: bool) -> None:
    """Ten times as many bars."""
    for first in range(CASES, CASES + PROVED, CASES):
        check(lambda seed: random_bar(seed, thick=thick), first, CASES, thick=thick)


@pytest.mark.prove
def test_a_thousand_clusters() -> None:
    """Ten times as many clusters of modes."""
    check(near_twins, 100, 1000, thick=False)
