"""The level: conversions, reversal, and what it tells of roll and pitch."""

from __future__ import annotations

import math

import pytest

from standoff.errors import UsageError
from standoff.site.axis import PITCH, ROLL
from standoff.site.level import Turned, across, along, angle_arcmin, slope_mm_per_m, turned


def test_slope_and_angle_undo_each_other() -> None:
    """Degrees to mm/m and back to minutes."""
    assert angle_arcmin(slope_mm_per_m(1.25)) == pytest.approx(75.0)
    assert slope_mm_per_m(45.0) == pytest.approx(1000.0)


def test_turning_a_level_removes_its_zero() -> None:
    """A slope of 0.2 read by a level whose zero is off by 0.3."""
    assert turned(first_mm_per_m=0.5, second_mm_per_m=0.1) == Turned(pytest.approx(0.2), pytest.approx(0.3))


def test_a_level_across_reads_the_roll() -> None:
    """Its zero, where it was not turned, is shared by all its readings."""
    reading = across("across", slope_mm_per_m=0.4, u_mm_per_m=0.05, level="long level", zero_u_mm_per_m=0.1)
    assert (reading.coefficients, reading.value_mm, reading.u_mm) == (((ROLL, 1.0),), 0.4, 0.05)
    assert reading.shared_mm == (("zero of long level", 0.1),)


def test_a_level_along_reads_the_pitch_against_the_spindle() -> None:
    """Both lean by the same: in line; the uncertainty is that of a difference."""
    assert along("along", loader_mm_per_m=0.7, spindle_mm_per_m=0.7, u_mm_per_m=0.05).value_mm == 0.0
    reading = along("along", loader_mm_per_m=0.7, spindle_mm_per_m=-0.1, u_mm_per_m=0.05)
    assert (reading.coefficients, reading.value_mm) == (((PITCH, 1.0),), pytest.approx(0.8))
    assert reading.u_mm == pytest.approx(0.05 * math.sqrt(2.0))


def test_wrong_readings_are_refused() -> None:
    """What is not finite, and uncertainties that are none."""
    for call in (
        lambda: slope_mm_per_m(math.nan),
        lambda: angle_arcmin(math.inf),
        lambda: turned(first_mm_per_m=0.0, second_mm_per_m=math.nan),
        lambda: across("a", slope_mm_per_m=0.0, u_mm_per_m=0.0),
        lambda: across("a", slope_mm_per_m=0.0, u_mm_per_m=0.1, zero_u_mm_per_m=-0.1),
        lambda: along("a", loader_mm_per_m=math.nan, spindle_mm_per_m=0.0, u_mm_per_m=0.1),
        lambda: along("a", loader_mm_per_m=0.0, spindle_mm_per_m=0.0, u_mm_per_m=0.0),
    ):
        with pytest.raises(UsageError):
            call()
