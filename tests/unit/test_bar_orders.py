"""Bars for an order, bars in the magazine, hours without anybody there."""

from __future__ import annotations

import math

import pytest

from standoff.bar.orders import bars_needed, bars_side_by_side, unattended_h
from standoff.errors import UsageError


@pytest.mark.parametrize(
    ("wanted", "parts_per_bar", "bars"),
    [(1, 56, 1), (56, 56, 1), (57, 56, 2), (5600, 56, 100), (5601, 56, 101), (1000, 55.5, 19), (3, 0.7 - 0.4, 10), (1, 0.25, 4)],
)
def test_bars_are_rounded_up(wanted: int, parts_per_bar: float, bars: int) -> None:
    """Whole bars, with a mean too; noise of floating point costs no bar."""
    assert bars_needed(wanted, parts_per_bar=parts_per_bar) == bars


def test_a_year_of_many_parts_is_exact() -> None:
    """A hundred million parts and one more."""
    assert bars_needed(100_000_000, parts_per_bar=10) == 10_000_000
    assert bars_needed(100_000_001, parts_per_bar=10) == 10_000_001


@pytest.mark.parametrize(
    ("magazine_mm", "bar_mm", "bars"), [(254.0, 25.4, 10), (253.9, 25.4, 9), (0.3, 0.1, 3), (20.0, 25.4, 0), (460.0, 32.0, 14)]
)
def test_bars_side_by_side(magazine_mm: float, bar_mm: float, bars: int) -> None:
    """As many as fit, and none where none fits."""
    assert bars_side_by_side(magazine_mm=magazine_mm, bar_mm=bar_mm) == bars


def test_hours_of_a_magazine() -> None:
    """Ten bars of 50 parts of 36 s, a minute for each change: 5 h and 10 min. An empty magazine runs for no time."""
    assert unattended_h(10, parts_per_bar=50, part_s=36.0, bar_change_s=60.0) == pytest.approx(5.0 + 10.0 / 60.0)
    assert unattended_h(10, parts_per_bar=50.5, part_s=36.0, bar_change_s=0.0) == pytest.approx(5.05)
    assert unattended_h(0, parts_per_bar=50, part_s=36.0, bar_change_s=60.0) == 0.0


def test_orders_that_are_none_are_refused() -> None:
    """Nothing wanted, and a negative number of bars."""
    with pytest.raises(UsageError, match=r"parts wanted 0.*correct the number of parts"):
        bars_needed(0, parts_per_bar=5)
    with pytest.raises(UsageError, match=r"bars in the magazine -1.*count them again"):
        unattended_h(-1, parts_per_bar=5, part_s=1.0, bar_change_s=1.0)


@pytest.mark.parametrize("given", [0.0, -1.0, math.nan, math.inf])
def test_numbers_that_are_none_are_refused(given: float) -> None:
    """Parts per bar, seconds and widths are above zero."""
    with pytest.raises(UsageError, match="parts per bar"):
        bars_needed(5, parts_per_bar=given)
    with pytest.raises(UsageError, match="parts per bar"):
        unattended_h(1, parts_per_bar=given, part_s=1.0, bar_change_s=1.0)
    with pytest.raises(UsageError, match="seconds per part"):
        unattended_h(1, parts_per_bar=5, part_s=given, bar_change_s=1.0)
    with pytest.raises(UsageError, match="magazine's width"):
        bars_side_by_side(magazine_mm=given, bar_mm=1.0)
    with pytest.raises(UsageError, match="bar size"):
        bars_side_by_side(magazine_mm=1.0, bar_mm=given)


@pytest.mark.parametrize("given", [-1.0, math.nan, math.inf])
def test_a_bar_change_may_take_no_time_but_not_less(given: float) -> None:
    """Zero was welcome above."""
    with pytest.raises(UsageError, match="bar change time"):
        unattended_h(1, parts_per_bar=5, part_s=1.0, bar_change_s=given)
