"""The bar length to buy: tips of the saw-tooth, the best of them, and how a tolerance moves it."""

from __future__ import annotations

import math

import numpy as np
import pytest

from standoff.bar.lengths import EXACT, Even, Peaked, Tolerance, expected
from standoff.bar.purchase import best_length, whole_lengths
from standoff.bar.yields import Cutting, cut_up
from standoff.errors import UsageError

AXLE = Cutting(part_mm=57.0, cut_off_mm=3.0, remnant_mm=300.0, facing_mm=1.0)


def test_tips_leave_just_the_shortest_remnant() -> None:
    """Each tip within the limits, the limits included, and no other."""
    found = whole_lengths(AXLE, least_mm=3541.0, greatest_mm=3661.0)
    assert found.bar_mm.tolist() == [3541.0, 3601.0, 3661.0]
    assert found.parts.tolist() == [54, 55, 56]
    assert found.remnant_mm.tolist() == [300.0] * 3
    assert whole_lengths(AXLE, least_mm=3541.1, greatest_mm=3660.9).bar_mm.tolist() == [3601.0]


def test_the_first_tip_gives_a_part() -> None:
    """A bar that is only held is no tip."""
    assert whole_lengths(AXLE, least_mm=1.0, greatest_mm=421.0).parts.tolist() == [1, 2]


def test_a_hair_below_a_tip_is_among_the_worst() -> None:
    """At each tip the length bought for a part jumps down; the next tip is a little better still."""
    tips = whole_lengths(AXLE, least_mm=3000.0, greatest_mm=4000.0)
    at_tip, below = tips.bar_mm / tips.parts, (tips.bar_mm - 0.01) / cut_up(AXLE, tips.bar_mm - 0.01).parts
    assert np.all(below > at_tip + 1.0)
    assert np.all(np.diff(at_tip) < 0.0)


def test_the_best_exact_length_is_the_longest_tip() -> None:
    """Whatever the limits are around it; the shortest of equally good ones is only itself."""
    for least_mm, greatest_mm in ((3000.0, 3700.0), (3601.0, 3661.0), (3661.0, 3661.0), (3650.0, 3720.9)):
        best = best_length(AXLE, least_mm=least_mm, greatest_mm=greatest_mm)
        assert (float(best.nominal_mm), float(best.parts)) == (3661.0, 56.0)


def test_between_two_tips_the_shortest_length_is_best() -> None:
    """Nothing more can be made, so nothing more is bought."""
    best = best_length(AXLE, least_mm=3670.0, greatest_mm=3700.0)
    assert (float(best.nominal_mm), float(best.parts)) == (3670.0, 56.0)


def test_a_tolerance_moves_the_best_length_up() -> None:
    """With plus or minus 5 mm the best is 5 mm above the tip, so that every bar gives its part; with 0/+5 the tip itself."""
    limits = {"least_mm": 3000.0, "greatest_mm": 3700.0}
    assert float(best_length(AXLE, **limits, tolerance=Even(lower_mm=-5.0, upper_mm=5.0)).nominal_mm) == 3666.0
    assert float(best_length(AXLE, **limits, tolerance=Even(upper_mm=5.0)).nominal_mm) == 3661.0


@pytest.mark.parametrize("likeliest_mm", [-30.0, -10.0, 0.0, 30.0])
def test_a_triangle_is_best_inside_a_piece(likeliest_mm: float) -> None:
    """Where few bars are the shortest, it does not pay to lift them all: the best lies below the point at which all reach."""
    tolerance = Peaked(lower_mm=-30.0, likeliest_mm=likeliest_mm, upper_mm=30.0)
    best = best_length(AXLE, least_mm=3620.0, greatest_mm=3700.0, tolerance=tolerance)
    around_mm = np.linspace(3620.0, 3700.0, 16_001)
    assert float(best.yield_share) >= float(expected(AXLE, around_mm, tolerance).yield_share.max())
    if likeliest_mm > -30.0:
        assert 3661.0 < float(best.nominal_mm) < 3691.0 - 1.0


def test_pick_off_moves_the_tips() -> None:
    """The gain comes off each of them."""
    picked = Cutting(part_mm=57.0, cut_off_mm=3.0, remnant_mm=300.0, facing_mm=1.0, pick_off_gain_mm=40.0)
    assert whole_lengths(picked, least_mm=3600.0, greatest_mm=3660.0).bar_mm.tolist() == [3621.0]


@pytest.mark.parametrize(
    ("least_mm", "greatest_mm", "told"),
    [
        (3700.0, 3600.0, r"longest bar to buy 3600\.0 mm.*check the order of the two limits"),
        (3600.0, math.nan, "longest bar to buy nan"),
        (3600.0, 100_001.0, "longest bar to buy"),
        (0.0, 3600.0, r"shortest bar to buy 0\.0.*measure"),
        (math.nan, 3600.0, "shortest bar to buy nan"),
    ],
)
def test_limits_that_are_none_are_refused(least_mm: float, greatest_mm: float, told: str) -> None:
    """Reversed, not finite, zero, or beyond any bar."""
    with pytest.raises(UsageError, match=told):
        whole_lengths(AXLE, least_mm=least_mm, greatest_mm=greatest_mm)
    with pytest.raises(UsageError, match=told):
        best_length(AXLE, least_mm=least_mm, greatest_mm=greatest_mm)


def test_limits_without_a_tip_are_refused() -> None:
    """Of tips only; the best length always exists where a part does."""
    with pytest.raises(UsageError, match=r"bar lengths 3670\.0 to 3700\.0 mm.*one part more fits; widen the limits"):
        whole_lengths(AXLE, least_mm=3670.0, greatest_mm=3700.0)


@pytest.mark.parametrize("tolerance", [EXACT, Even(upper_mm=10.0)])
def test_limits_without_a_part_are_refused(tolerance: Tolerance) -> None:
    """No length gives one."""
    with pytest.raises(UsageError, match=r"bar lengths 310\.0 to 340\.0 mm.*a part can be made; take longer bars"):
        best_length(AXLE, least_mm=310.0, greatest_mm=340.0, tolerance=tolerance)


def test_bars_that_cannot_be_held_are_refused() -> None:
    """The shortest length within limits and tolerance must be held."""
    with pytest.raises(UsageError, match=r"bar length 300\.0 mm"):
        best_length(AXLE, least_mm=310.0, greatest_mm=3400.0, tolerance=Even(lower_mm=-10.0, upper_mm=10.0))
