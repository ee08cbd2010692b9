"""Lengths as the mill sends them: means by hand, the types of the standard, and what is refused."""

from __future__ import annotations

import math

import numpy as np
import pytest

from standoff.bar.lengths import EXACT, LENGTH_TYPES, Even, Peaked, agreed_tolerance, expected, mill_tolerance
from standoff.bar.yields import Cutting, cut_up
from standoff.errors import UsageError

AXLE = Cutting(part_mm=57.0, cut_off_mm=3.0, remnant_mm=300.0, facing_mm=1.0)


def parts(nominal_mm: float, tolerance: Even | Peaked) -> float:
    """Mean parts of bars ordered at one length."""
    return float(expected(AXLE, nominal_mm, tolerance).parts)


def test_exact_bars_are_counted() -> None:
    """Without a tolerance the mean is the count itself, a fit within noise included; so for bars all too long by the same."""
    bars_mm = [3661.0, 3660.9999999, 3660.9]
    assert expected(AXLE, bars_mm).parts.tolist() == cut_up(AXLE, bars_mm).parts.tolist() == [56, 56, 55]
    assert parts(3561.0, Even(lower_mm=100.0, upper_mm=100.0)) == 56.0


def test_even_lengths_by_hand() -> None:
    """3651 to 3671 mm: half of them reach the 56th part at 3661. Three parts within 3640 to 3800: at 21, 81 and 141 of 160 mm."""
    assert parts(3651.0, Even(lower_mm=0.0, upper_mm=20.0)) == pytest.approx(55.5)
    assert parts(3661.0, Even(lower_mm=-15.0, upper_mm=5.0)) == pytest.approx(55.25)
    assert parts(3640.0, Even(upper_mm=160.0)) == pytest.approx(55.0 + (139.0 + 79.0 + 19.0) / 160.0)


def test_peaked_lengths_by_hand() -> None:
    """A triangle over 20 mm: half lies beyond its middle, a quarter of the squares at either quarter."""
    triangle = Peaked(lower_mm=-10.0, likeliest_mm=0.0, upper_mm=10.0)
    assert parts(3661.0, triangle) == pytest.approx(55.5)
    assert parts(3656.0, triangle) == pytest.approx(55.0 + 1.0 / 8.0)
    assert parts(3666.0, triangle) == pytest.approx(55.0 + 7.0 / 8.0)


def test_a_triangle_may_peak_at_either_end() -> None:
    """Likeliest the shortest or the longest: the middle is reached by a quarter or by three quarters."""
    assert parts(3651.0, Peaked(lower_mm=0.0, likeliest_mm=0.0, upper_mm=20.0)) == pytest.approx(55.25)
    assert parts(3651.0, Peaked(lower_mm=0.0, likeliest_mm=20.0, upper_mm=20.0)) == pytest.approx(55.75)


def test_lengths_that_reach_no_further_part_are_as_exact() -> None:
    """A tolerance between two whole numbers of parts changes the mean remnant, not the mean count."""
    for tolerance in (Even(upper_mm=20.0), Peaked(lower_mm=0.0, likeliest_mm=5.0, upper_mm=20.0)):
        bars = expected(AXLE, 3670.0, tolerance)
        assert (float(bars.parts), int(bars.fewest), int(bars.most)) == (56.0, 56, 56)
        assert float(bars.remnant_mm) == pytest.approx(309.0 + tolerance.mean_mm)


def test_means_of_everything() -> None:
    """Mean bar, fewest and most parts, yield of all that is bought, length and mass bought for a part."""
    bars = expected(AXLE, [3651.0, 3000.0], Even(upper_mm=200.0))
    assert bars.bar_mm.tolist() == [3751.0, 3100.0]
    assert bars.fewest.tolist() == [55, 44]
    assert bars.most.tolist() == [59, 48]
    assert bars.yield_share.tolist() == pytest.approx((bars.parts * 57.0 / bars.bar_mm).tolist())
    assert bars.bought_per_part_mm.tolist() == pytest.approx((bars.bar_mm / bars.parts).tolist())
    assert bars.wasted_per_part_mm.tolist() == pytest.approx((bars.bought_per_part_mm - 57.0).tolist())
    assert bars.bought_per_part_kg(mass_kg_m=2.0).tolist() == pytest.approx((bars.bought_per_part_mm * 0.002).tolist())
    assert bars.wasted_per_part_kg(mass_kg_m=2.0).tolist() == pytest.approx((bars.wasted_per_part_mm * 0.002).tolist())
    for array in (bars.nominal_mm, bars.bar_mm, bars.parts, bars.fewest, bars.most):
        assert not array.flags.writeable


def test_pick_off_enters_the_mean() -> None:
    """With a gain of half an advance each length is reached half an advance earlier."""
    picked = Cutting(part_mm=57.0, cut_off_mm=3.0, remnant_mm=300.0, facing_mm=1.0, pick_off_gain_mm=30.0)
    assert float(expected(picked, 3621.0, Even(upper_mm=20.0)).parts) == pytest.approx(55.5)


def test_where_no_part_fits_nothing_is_told_per_part() -> None:
    """The count is zero, which is an answer; a length per part is none."""
    bars = expected(AXLE, [320.0, 3000.0], Even(upper_mm=20.0))
    assert bars.parts.tolist() == [0.0, pytest.approx(44.95)]
    with pytest.raises(UsageError, match=r"bar length 320\.0 mm.*long enough for a part; take longer bars"):
        bars.bought_per_part_mm  # noqa: B018


@pytest.mark.parametrize(
    ("nominal_mm", "told"),
    [
        (250.0, r"bar length 250\.0 mm.*take longer bars"),
        (309.0, r"bar length 299\.0 mm"),
        (40.0, r"part length 57\.0 mm.*shorter than the bar, 50\.0 mm"),
        (99_995.0, r"bar length 100005\.0 mm"),
        (math.nan, "bar length nan"),
        ([], "bar length none"),
    ],
)
def test_bars_are_judged_with_their_tolerance(nominal_mm: float | list[float], told: str) -> None:
    """The shortest bar within the tolerance must be held, the longest must be one."""
    even = Even(lower_mm=0.0 if nominal_mm == 250.0 else -10.0, upper_mm=10.0)
    with pytest.raises(UsageError, match=told):
        expected(AXLE, nominal_mm, even)


@pytest.mark.parametrize(("lower_mm", "upper_mm"), [(1.0, 0.0), (0.0, 0.0005), (math.nan, 1.0), (0.0, math.inf)])
def test_a_tolerance_that_is_none_is_refused(lower_mm: float, upper_mm: float) -> None:
    """Reversed, narrower than rounding bears, or not finite."""
    with pytest.raises(UsageError, match=r"tolerance of the bar length"):
        Even(lower_mm=lower_mm, upper_mm=upper_mm)
    with pytest.raises(UsageError, match=r"tolerance of the bar length"):
        Peaked(lower_mm=lower_mm, likeliest_mm=lower_mm, upper_mm=upper_mm)


def test_a_peak_outside_or_without_spread_is_refused() -> None:
    """The likeliest length lies within the limits, and there must be some width to peak in."""
    with pytest.raises(UsageError, match=r"0\.0 mm, 30\.0 mm, 20\.0 mm.*put the lower limit first"):
        Peaked(lower_mm=0.0, likeliest_mm=30.0, upper_mm=20.0)
    with pytest.raises(UsageError, match=r"both limits 0\.0 mm.*give an even tolerance instead"):
        Peaked(lower_mm=0.0, likeliest_mm=0.0, upper_mm=0.0)


@pytest.mark.parametrize(
    ("length_type", "nominal_mm", "lower_mm", "upper_mm"),
    [
        ("manufacturing", 3000.0, -500.0, 500.0),
        ("manufacturing", 9000.0, -500.0, 500.0),
        ("manufacturing", 3658.0, -500.0, 500.0),
        ("stock", 3000.0, 0.0, 200.0),
        ("stock", 6000.0, 0.0, 200.0),
    ],
)
def test_types_of_the_standard(length_type: str, nominal_mm: float, lower_mm: float, upper_mm: float) -> None:
    """Each type at the ends of what it has."""
    assert mill_tolerance(length_type, nominal_mm=nominal_mm) == Even(lower_mm=lower_mm, upper_mm=upper_mm)


@pytest.mark.parametrize(
    ("length_type", "nominal_mm", "told"),
    [
        ("manufacturing", 2999.0, r"manufacturing length 2999\.0 mm.*3000 to 9000 mm; order by another type"),
        ("manufacturing", 9001.0, "manufacturing length"),
        ("stock", 4000.0, r"stock length 4000\.0 mm.*3000 or 6000 mm"),
        ("stock", math.nan, "stock length nan"),
        ("stocks", 3000.0, r"length type 'stocks'.*write \"stock\""),
    ],
)
def test_lengths_that_a_type_does_not_have_are_refused(length_type: str, nominal_mm: float, told: str) -> None:
    """Outside the range, between the two lengths of the stock type, or of an unknown type."""
    with pytest.raises(UsageError, match=told):
        mill_tolerance(length_type, nominal_mm=nominal_mm)


def test_agreed_lengths() -> None:
    """Five millimetres and more may be agreed, less may not."""
    assert agreed_tolerance(deviation_mm=5.0) == Even(lower_mm=-5.0, upper_mm=5.0)
    with pytest.raises(UsageError, match=r"deviation agreed 4\.9 mm.*5 mm or more; ask the mill"):
        agreed_tolerance(deviation_mm=4.9)
    with pytest.raises(UsageError, match="deviation agreed"):
        agreed_tolerance(deviation_mm=math.nan)


def test_the_table_cannot_be_changed() -> None:
    """It is closed."""
    with pytest.raises(TypeError):
        LENGTH_TYPES["stock"] = LENGTH_TYPES["manufacturing"]  # type: ignore[index]
    assert Even(lower_mm=0.0, upper_mm=0.0) == EXACT


def test_many_lengths_are_as_one_by_one() -> None:
    """An array gives what each length gives alone, in the same shape."""
    nominal_mm = np.linspace(1000.0, 4000.0, 12).reshape(3, 4)
    for tolerance in (EXACT, Even(upper_mm=150.0), Peaked(lower_mm=-80.0, likeliest_mm=10.0, upper_mm=70.0)):
        together = expected(AXLE, nominal_mm, tolerance).parts
        alone = [parts(float(length), tolerance) for length in nominal_mm.flat]
        assert together.shape == (3, 4)
        assert together.ravel().tolist() == alone
