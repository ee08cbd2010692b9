"""Random bars: the sum of all lengths, counts against a lathe that cuts one part after the other, means against samples.

The lathe of the test works in whole millionths of an inch or of a millimetre, so that it never rounds.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass, replace
from fractions import Fraction

import numpy as np
import pytest

from standoff.bar.lengths import Even, Peaked, Tolerance, expected
from standoff.bar.mixes import Wanted, best_mix
from standoff.bar.orders import bars_needed
from standoff.bar.purchase import best_length, whole_lengths
from standoff.bar.yields import Cutting, cut_up, parts_in, shortfall
from standoff.units import ON_STEP_MM

CASES = 2000
SAMPLES = 400_000
SCAN = 20_001
# Steps of a drawing: thousandths of an inch, 1/64 in, hundredths and tenths of a millimetre, and a third that no float holds.
STEPS_MM = (Fraction(254, 10_000), Fraction(254, 640), Fraction(1, 100), Fraction(1, 10), Fraction(1, 3))


@dataclass(frozen=True)
class Lathe:
    """Exact lengths, and the machine that cuts one part after the other."""

    bar: Fraction
    facing: Fraction
    part: Fraction
    cut_off: Fraction
    remnant: Fraction
    gain: Fraction

    def run(self) -> tuple[int, Fraction]:
        """Parts and remnant: cut as long as the pusher can follow, then once more if the sub-spindle can hold what is left."""
        parts, left = 0, self.bar - self.facing
        while left >= self.remnant:
            after = left - self.part - self.cut_off
            if after < self.remnant - self.gain:
                break
            parts, left = parts + 1, after
        return parts, left

    @property
    def cutting(self) -> Cutting:
        """The same in floating point."""
        return Cutting(
            part_mm=float(self.part),
            cut_off_mm=float(self.cut_off),
            remnant_mm=float(self.remnant),
            facing_mm=float(self.facing),
            pick_off_gain_mm=float(self.gain),
        )


def random_lathe(seed: int) -> Lathe:
    """A lathe whose lengths are whole steps of one drawing; every third bar holds a whole number of parts exactly."""
    random = np.random.default_rng([seed, 6])
    step = STEPS_MM[seed % len(STEPS_MM)]

    def steps(least_mm: float, greatest_mm: float) -> Fraction:
        return step * int(random.integers(math.ceil(least_mm / step), math.floor(greatest_mm / step) + 1))

    cut_off, part, remnant, facing = steps(1.0, 5.0), steps(5.0, 120.0), steps(0.0, 400.0), steps(0.0, 2.0)
    gain = (Fraction(0), remnant, steps(0.0, float(remnant)))[seed % 7 % 3]
    bar = steps(float(facing + remnant + part), 4000.0)
    if seed % 3 == 0:
        bar = facing + remnant - (gain if gain < part + cut_off else 0) + (part + cut_off) * int(random.integers(2, 60))
    return Lathe(bar, facing, part, cut_off, remnant, gain)


@pytest.mark.parametrize("block", range(10))
def test_counts_are_those_of_a_lathe_that_cuts_one_by_one(block: int) -> None:
    """The same parts, the same remnant, and lengths that add up to the bar within 1e-9 mm."""
    for seed in range(block * CASES // 10, (block + 1) * CASES // 10):
        lathe = random_lathe(seed)
        parts, left = lathe.run()
        found = cut_up(lathe.cutting, float(lathe.bar))
        assert int(found.parts) == parts, seed
        assert float(found.remnant_mm) == pytest.approx(float(left), abs=1e-9)
        together_mm = lathe.cutting.facing_mm + float(found.in_parts_mm + found.in_cuts_mm + found.remnant_mm)
        assert abs(together_mm - float(lathe.bar)) <= 1e-9


def test_lathes_are_of_every_kind() -> None:
    """Pick-off or none, exact fits, gains below and above an advance."""
    lathes = [random_lathe(seed) for seed in range(CASES)]
    runs = [lathe.run() for lathe in lathes]
    assert sum(left in (lathe.remnant, lathe.remnant - lathe.gain) for lathe, (_, left) in zip(lathes, runs, strict=True)) > 300
    assert sum(left < lathe.remnant for lathe, (_, left) in zip(lathes, runs, strict=True)) > 300
    assert sum(lathe.gain > lathe.part + lathe.cut_off for lathe in lathes) > 300
    assert sum(lathe.gain == 0 for lathe in lathes) > 300


def random_cutting(seed: int, *, picked: bool = True) -> Cutting:
    """A cutting of any lengths."""
    random = np.random.default_rng([seed, 61])
    remnant_mm = float(random.uniform(0.0, 400.0))
    return Cutting(
        part_mm=float(random.uniform(5.0, 150.0)),
        cut_off_mm=float(random.uniform(0.5, 5.0)),
        remnant_mm=remnant_mm,
        facing_mm=float(random.uniform(0.0, 2.0)),
        pick_off_gain_mm=float(random.uniform(0.0, remnant_mm)) if picked and seed % 2 else 0.0,
    )


@pytest.mark.parametrize("seed", range(50))
def test_many_bars_at_once(seed: int) -> None:
    """Conservation to 1e-9; the remnant lies between the shortest and one advance more; no part more would fit."""
    cutting, random = random_cutting(seed), np.random.default_rng([seed, 62])
    bars_mm = random.uniform(cutting.held_mm + cutting.part_mm, 12_000.0, 1000)
    found = cut_up(cutting, bars_mm)
    together = cutting.facing_mm + found.in_parts_mm + found.in_cuts_mm + found.remnant_mm
    assert np.max(np.abs(together - bars_mm)) <= 1e-9
    masses = found.masses(mass_kg_m=2.5)
    assert np.allclose(masses.parts_kg + masses.chips_kg + masses.remnant_kg, masses.bar_kg, rtol=0.0, atol=1e-12)
    least_mm = cutting.unused_mm - cutting.facing_mm
    assert np.all(found.remnant_mm >= least_mm - ON_STEP_MM)
    assert np.all(found.remnant_mm < least_mm + cutting.advance_mm)
    plain = replace(cutting, pick_off_gain_mm=0.0)
    counted = [
        parts_in(b, facing_mm=plain.facing_mm, remnant_mm=plain.remnant_mm, advance_mm=plain.advance_mm) for b in bars_mm.tolist()
    ]
    assert counted == cut_up(plain, bars_mm).parts.tolist()


@pytest.mark.parametrize("seed", range(50))
def test_a_longer_remnant_never_makes_more_parts(seed: int) -> None:
    """Neither by count nor on the average; what is lost never exceeds the average rounded up."""
    cutting, random = random_cutting(seed), np.random.default_rng([seed, 63])
    bars_mm = random.uniform(1500.0, 6000.0, 300)
    for longer_mm in random.uniform(0.0, 500.0, 5).tolist():
        longer = replace(cutting, remnant_mm=cutting.remnant_mm + longer_mm)
        lost = shortfall(cutting, bars_mm, longer_mm=longer_mm)
        assert np.all(lost.parts >= 0)
        assert np.all(lost.parts <= math.ceil(lost.mean_parts))
        for tolerance in (Even(upper_mm=200.0), Peaked(lower_mm=-50.0, likeliest_mm=0.0, upper_mm=90.0)):
            means = [expected(each, bars_mm, tolerance).parts for each in (cutting, longer)]
            assert np.all(means[1] <= means[0] + 1e-9)


def random_tolerance(seed: int) -> Tolerance:
    """Even or peaked, from a hair to more than a part wide; peaks at an end too."""
    random = np.random.default_rng([seed, 64])
    lower_mm = float(random.uniform(-300.0, 100.0))
    width_mm = float(10.0 ** random.uniform(-2.0, 2.7))
    share = (0.0, 1.0, float(random.uniform(0.1, 0.9)))[seed % 3]
    if seed % 2:
        return Even(lower_mm=lower_mm, upper_mm=lower_mm + width_mm)
    likeliest_mm = lower_mm + width_mm if share == 1.0 else lower_mm + share * width_mm
    return Peaked(lower_mm=lower_mm, likeliest_mm=likeliest_mm, upper_mm=lower_mm + width_mm)


def samples_mm(tolerance: Tolerance, random: np.random.Generator) -> np.ndarray[tuple[int, ...], np.dtype[np.float64]]:
    """Lengths beside the nominal one, drawn at random."""
    if isinstance(tolerance, Even):
        return random.uniform(tolerance.lower_mm, tolerance.upper_mm, SAMPLES)
    return random.triangular(tolerance.lower_mm, tolerance.likeliest_mm, tolerance.upper_mm, SAMPLES)


@pytest.mark.parametrize("seed", range(60))
def test_means_are_those_of_samples(seed: int) -> None:
    """Mean bar, parts, remnant and yield of what is bought, within five standard errors; fewest and most bound every sample."""
    cutting, tolerance, random = random_cutting(seed), random_tolerance(seed), np.random.default_rng([seed, 65])
    nominal_mm = float(random.uniform(1500.0, 6000.0))
    exact = expected(cutting, nominal_mm, tolerance)
    drawn = cut_up(cutting, nominal_mm + samples_mm(tolerance, random))
    for own, sampled in ((exact.bar_mm, drawn.bar_mm), (exact.parts, drawn.parts), (exact.remnant_mm, drawn.remnant_mm)):
        allowed = 5.0 * float(np.std(sampled)) / math.sqrt(SAMPLES) + 1e-5
        assert float(own) == pytest.approx(float(np.mean(sampled)), abs=allowed)
    share = float(drawn.in_parts_mm.sum() / drawn.bar_mm.sum())
    assert float(exact.yield_share) == pytest.approx(share, abs=1e-3)
    assert int(exact.fewest) <= int(drawn.parts.min()) <= int(drawn.parts.max()) <= int(exact.most)


@pytest.mark.parametrize("seed", range(30))
def test_means_add_up_over_parts_of_a_tolerance(seed: int) -> None:
    """An even spread, cut into pieces of any width: the mean of their means, weighed with their widths, to 1e-9."""
    cutting, random = random_cutting(seed), np.random.default_rng([seed, 66])
    cuts_mm = np.sort(random.uniform(-200.0, 200.0, 8)).tolist()
    whole = expected(cutting, 3000.0, Even(lower_mm=cuts_mm[0], upper_mm=cuts_mm[-1])).parts
    pieces = [
        (b - a) * float(expected(cutting, 3000.0, Even(lower_mm=a, upper_mm=b)).parts) for a, b in itertools.pairwise(cuts_mm)
    ]
    assert float(whole) == pytest.approx(sum(pieces) / (cuts_mm[-1] - cuts_mm[0]), abs=1e-9)


@pytest.mark.parametrize("seed", range(60))
def test_no_length_of_a_scan_is_better_than_the_best(seed: int) -> None:
    """Exact bars, even and peaked tolerances, limits anywhere: a fine scan and every tip between find nothing better."""
    cutting, random = random_cutting(seed), np.random.default_rng([seed, 67])
    tolerance = Even() if seed % 5 == 0 else random_tolerance(seed)
    least_mm = float(random.uniform(1500.0, 4000.0))
    greatest_mm = least_mm + float(10.0 ** random.uniform(0.0, 3.0))
    best = best_length(cutting, least_mm=least_mm, greatest_mm=greatest_mm, tolerance=tolerance)
    assert least_mm <= float(best.nominal_mm) <= greatest_mm
    scan_mm = np.linspace(least_mm, greatest_mm, SCAN)
    # Where the mean jumps or is steep within the millionth that counts as fitting, the scan may be better by as little.
    assert float(best.yield_share) >= float(expected(cutting, scan_mm, tolerance).yield_share.max()) * (1.0 - 1e-6)
    if greatest_mm - least_mm > cutting.advance_mm:
        tips = whole_lengths(cutting, least_mm=least_mm, greatest_mm=greatest_mm)
        assert np.all(np.diff(tips.parts) == 1)
        assert float(best.yield_share) >= float(expected(cutting, tips.bar_mm, tolerance).yield_share.max()) * (1.0 - 1e-6)


@pytest.mark.parametrize("seed", range(40))
def test_a_mix_is_the_best_of_all_counts(seed: int) -> None:
    """Three kinds, every count tried: the greatest length in parts, and lengths that add up to the bar."""
    random = np.random.default_rng([seed, 68])
    kinds = [Wanted(float(p), int(n)) for p, n in zip(random.uniform(30.0, 200.0, 3), random.integers(1, 25, 3), strict=True)]
    bar_mm, cut_off_mm = float(random.uniform(900.0, 2500.0)), float(random.uniform(1.0, 4.0))
    mix = best_mix(kinds, bar_mm=bar_mm, cut_off_mm=cut_off_mm, remnant_mm=250.0, facing_mm=1.0)
    grids = np.meshgrid(*(np.arange(kind.count + 1) for kind in kinds), indexing="ij")
    in_parts_mm = sum(
        (grid * kind.part_mm for grid, kind in zip(grids, kinds, strict=True)), np.zeros_like(grids[0], dtype=float)
    )
    fits = in_parts_mm + sum(grids) * cut_off_mm <= bar_mm - 251.0
    assert mix.in_parts_mm == pytest.approx(float(in_parts_mm[fits].max()), abs=1e-6)
    assert all(n <= kind.count for n, kind in zip(mix.counts, kinds, strict=True))
    assert abs(1.0 + mix.in_parts_mm + mix.in_cuts_mm + mix.remnant_mm - bar_mm) <= 1e-9
    assert mix.remnant_mm >= 250.0 - ON_STEP_MM


def test_bars_for_an_order_are_those_cut_one_after_the_other() -> None:
    """So many bars suffice, one fewer does not."""
    random = np.random.default_rng(69)
    for wanted, parts_per_bar in zip(random.integers(1, 100_000, 500), random.integers(1, 2000, 500), strict=True):
        bars = bars_needed(int(wanted), parts_per_bar=int(parts_per_bar))
        assert (bars - 1) * parts_per_bar < wanted <= bars * parts_per_bar
