"""What a bar yields: counts, remnants, masses, the pick-off, the shortfall; and what is refused."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from standoff.bar.yields import Cutting, cut_up, parts_in, shortfall
from standoff.errors import UsageError
from standoff.units import ON_STEP_MM

AXLE = Cutting(part_mm=57.0, cut_off_mm=3.0, remnant_mm=300.0, facing_mm=1.0)


def one(cutting: Cutting, bar_mm: float) -> tuple[int, float]:
    """Parts and remnant of a single bar."""
    found = cut_up(cutting, bar_mm)
    return int(found.parts), float(found.remnant_mm)


def test_a_whole_number_of_parts_that_fits_exactly_counts() -> None:
    """301 mm stay; 56 parts of 60 mm fit 3661 mm exactly, and a hair less is one part less."""
    assert one(AXLE, 3661.0) == (56, 300.0)
    assert one(AXLE, 3660.99) == (55, pytest.approx(359.99))
    assert one(AXLE, 3720.99) == (56, pytest.approx(359.99))


def test_noise_of_inches_costs_no_part() -> None:
    """Thirds and tenths of an inch do not add up exactly in floating point; a whole number of parts still counts."""
    for count in (3, 7, 49, 430):
        tenth = Cutting(part_mm=0.2 * 25.4, cut_off_mm=0.1 * 25.4, remnant_mm=10.1 * 25.4)
        bar_mm = sum([0.3 * 25.4] * count) + 10.1 * 25.4
        assert one(tenth, bar_mm)[0] == count


def test_the_tolerance_is_a_millionth_of_a_millimetre() -> None:
    """Half of it short still counts and shows in the remnant; twice as much does not."""
    parts, remnant_mm = one(AXLE, 3661.0 - 0.5 * ON_STEP_MM)
    assert parts == 56
    assert 300.0 - ON_STEP_MM < remnant_mm < 300.0
    assert one(AXLE, 3661.0 - 2.0 * ON_STEP_MM)[0] == 55


def test_a_bar_that_can_just_be_held_gives_nothing() -> None:
    """Facing and shortest remnant only: no part, the whole rest is remnant, yield 0."""
    found = cut_up(AXLE, [301.0, 360.0, 361.0])
    assert found.parts.tolist() == [0, 0, 1]
    assert found.remnant_mm.tolist() == [300.0, 359.0, 300.0]
    assert found.yield_share.tolist() == [0.0, 0.0, 57.0 / 361.0]


def test_lengths_of_any_shape_keep_it_and_are_sealed() -> None:
    """A table of lengths gives tables of results, which nobody can write into; the lengths given stay open."""
    given = np.array([[3661.0, 3600.0], [2000.0, 1000.0]])
    found = cut_up(AXLE, given)
    for array in (found.bar_mm, found.parts, found.remnant_mm):
        assert array.shape == (2, 2)
        assert not array.flags.writeable
    given[0, 0] = 1.0
    assert found.bar_mm[0, 0] == 3661.0


def test_length_goes_where_it_is_said() -> None:
    """Facing, parts, cut-offs and remnant make the bar."""
    found = cut_up(AXLE, 3700.0)
    assert float(found.in_parts_mm) == 56 * 57.0
    assert float(found.in_cuts_mm) == 56 * 3.0
    assert float(1.0 + found.in_parts_mm + found.in_cuts_mm + found.remnant_mm) == 3700.0
    assert float(found.yield_share) == pytest.approx(3192.0 / 3700.0)


def test_masses_share_the_bar() -> None:
    """A bar of 1 kg/m: a gram for each millimetre; facing is among the chips."""
    masses = cut_up(AXLE, 3700.0).masses(mass_kg_m=1.0)
    assert float(masses.bar_kg) == pytest.approx(3.7)
    assert float(masses.parts_kg) == pytest.approx(3.192)
    assert float(masses.chips_kg) == pytest.approx(0.169)
    assert float(masses.remnant_kg) == pytest.approx(0.339)


def test_pick_off_makes_one_part_more_where_the_gain_reaches() -> None:
    """The rest behind the last part may be as much shorter as the gain says."""
    picked = replace(AXLE, pick_off_gain_mm=40.0)
    assert one(picked, 3620.99)[0] == 55
    assert one(picked, 3621.0) == (56, 260.0)
    assert one(picked, 3680.99) == (56, pytest.approx(319.99))


def test_pick_off_gains_one_part_at_most() -> None:
    """A gain of several parts still makes only the last part from what the collet cannot hold."""
    picked = replace(AXLE, pick_off_gain_mm=300.0)
    for bar_mm in (301.0, 3661.0, 3700.0):
        assert one(picked, bar_mm)[0] == one(AXLE, bar_mm)[0] + 1


def test_a_shortfall_costs_steps_and_an_average() -> None:
    """Over bars of every length within one advance, the mean of the steps is the average."""
    bars_mm = 3601.0 + np.arange(0.0, 60.0, 0.25) + 0.125
    lost = shortfall(AXLE, bars_mm, longer_mm=25.5)
    assert set(lost.parts.tolist()) == {0, 1}
    assert lost.mean_parts == pytest.approx(25.5 / 60.0)
    assert float(np.mean(lost.parts)) == pytest.approx(lost.mean_parts, abs=1e-12)
    assert not lost.parts.flags.writeable


def test_a_shortfall_in_kilograms() -> None:
    """The average loses the shortfall's own mass, a lost part its advance."""
    lost = shortfall(AXLE, [3661.0, 3700.0], longer_mm=30.0)
    assert lost.mean_kg(mass_kg_m=2.0) == pytest.approx(0.06)
    assert lost.lost_kg(mass_kg_m=2.0).tolist() == pytest.approx([0.12, 0.0])


def test_no_shortfall_costs_nothing() -> None:
    """Zero is a shortfall too."""
    lost = shortfall(AXLE, 3661.0, longer_mm=0.0)
    assert (lost.mean_parts, int(lost.parts)) == (0.0, 0)


def test_parts_in_a_bar_by_its_advance() -> None:
    """The same count without the part's own length; nothing where the bar is too short even to be held."""
    for bar_mm in (301.0, 360.9, 361.0, 3661.0, 3700.0):
        assert parts_in(bar_mm, facing_mm=1.0, remnant_mm=300.0, advance_mm=60.0) == one(AXLE, bar_mm)[0]
    assert parts_in(100.0, facing_mm=1.0, remnant_mm=300.0, advance_mm=60.0) == 0


@pytest.mark.parametrize("given", [0.0, -1.0, math.nan, math.inf])
def test_lengths_that_are_none_are_refused(given: float) -> None:
    """Part, cut-off, bar, advance and mass must be numbers above zero."""
    with pytest.raises(UsageError, match=r"part length.*measure the part length again"):
        replace(AXLE, part_mm=given)
    with pytest.raises(UsageError, match=r"width of the cut-off tool.*again"):
        replace(AXLE, cut_off_mm=given)
    with pytest.raises(UsageError, match=r"bar length.*check its unit"):
        cut_up(AXLE, [3000.0, given])
    with pytest.raises(UsageError, match="bar length"):
        parts_in(given, facing_mm=1.0, remnant_mm=300.0, advance_mm=60.0)
    with pytest.raises(UsageError, match="advance for a part"):
        parts_in(3000.0, facing_mm=1.0, remnant_mm=300.0, advance_mm=given)
    with pytest.raises(UsageError, match="mass per metre"):
        cut_up(AXLE, 3000.0).masses(mass_kg_m=given)
    with pytest.raises(UsageError, match="mass per metre"):
        shortfall(AXLE, 3000.0, longer_mm=1.0).mean_kg(mass_kg_m=given)
    with pytest.raises(UsageError, match="mass per metre"):
        shortfall(AXLE, 3000.0, longer_mm=1.0).lost_kg(mass_kg_m=given)


@pytest.mark.parametrize("given", [-1.0, math.nan, math.inf])
def test_what_may_be_zero_may_not_be_less(given: float) -> None:
    """Remnant, facing, gain and shortfall are zero or more."""
    for what, field in (("shortest remnant", "remnant_mm"), ("facing", "facing_mm"), ("gain by pick-off", "pick_off_gain_mm")):
        with pytest.raises(UsageError, match=f"{what}.*correct the {what}"):
            replace(AXLE, **{field: given})
    with pytest.raises(UsageError, match=r"shortfall.*correct the shortfall"):
        shortfall(AXLE, 3000.0, longer_mm=given)
    with pytest.raises(UsageError, match="shortest remnant"):
        parts_in(3000.0, facing_mm=1.0, remnant_mm=given, advance_mm=60.0)
    with pytest.raises(UsageError, match="facing"):
        parts_in(3000.0, facing_mm=given, remnant_mm=1.0, advance_mm=60.0)


@pytest.mark.parametrize(
    ("field", "given", "told"),
    [
        ("cut_off_mm", 57.1, r"width of the cut-off tool 57\.1 mm.*part's length, 57\.0 mm.*not exchanged"),
        ("part_mm", 0.009, r"part length 0\.009 mm.*0\.01 mm or more; check its unit"),
        ("pick_off_gain_mm", 300.1, r"gain by pick-off 300\.1 mm.*shortest remnant, 300\.0 mm; give what of the remnant"),
    ],
)
def test_a_cut_that_cannot_be_is_refused(field: str, given: float, told: str) -> None:
    """A cut-off wider than the part, a part of no length, a gain that leaves less than nothing."""
    with pytest.raises(UsageError, match=told):
        replace(AXLE, **{field: given})


def test_a_cut_at_its_limits_passes() -> None:
    """A cut-off as wide as the part, the shortest part, a gain of the whole remnant."""
    assert replace(AXLE, cut_off_mm=57.0).advance_mm == 114.0
    assert replace(AXLE, part_mm=0.01, cut_off_mm=0.01).advance_mm == 0.02
    assert replace(AXLE, pick_off_gain_mm=300.0).unused_mm == 241.0


@pytest.mark.parametrize(
    ("bar_mm", "told"),
    [
        (56.0, r"part length 57\.0 mm.*shorter than the bar, 56\.0 mm; check both lengths"),
        ([56.0, 50.0], r"shorter than the bar, 56\.0 mm"),
        (300.9, r"bar length 300\.9 mm.*facing and shortest remnant together, 301\.0 mm; take longer bars"),
        ([3000.0, 300.9], r"bar length 300\.9 mm"),
        ([], "bar length none.*measure the bar again"),
        (100_001.0, r"bar length 100001\.0 mm.*at most 100000 mm.*check its unit"),
    ],
)
def test_a_bar_that_cannot_serve_is_refused(bar_mm: float | list[float], told: str) -> None:
    """Shorter than the part, too short to be held, none at all, or longer than any bar."""
    with pytest.raises(UsageError, match=told):
        cut_up(AXLE, bar_mm)


def test_a_shortfall_beyond_the_bar_is_refused() -> None:
    """A remnant that grows beyond the bar leaves nothing to hold."""
    with pytest.raises(UsageError, match="facing and shortest remnant together, 1301"):
        shortfall(AXLE, 1200.0, longer_mm=1000.0)
