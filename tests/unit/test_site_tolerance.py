"""Tolerances and grades, and the range of centre heights."""

from __future__ import annotations

import math

import pytest

from standoff.errors import UsageError
from standoff.site.axis import Miss, Point
from standoff.site.tolerance import COMMON_PRACTICE, Tolerances, centre_height, grade, graded


@pytest.mark.parametrize(
    ("share", "u", "told"),
    [
        (0.5, 0.0, "within"),
        (-0.5, 0.30, "within"),
        (0.5, 0.31, "within if measured better"),
        (1.0, 0.0, "within"),
        (-1.0, 0.1, "within if measured better"),
        (1.01, 0.0, "outside"),
        (-1.01, 5.0, "outside"),
    ],
)
def test_a_residual_is_graded_with_its_guard_band(share: float, u: float, told: str) -> None:
    """Inside by 1.645 standard uncertainties, inside without them, outside; on both sides alike."""
    assert grade(residual_share=share, u_share=u) == told
    assert graded(Miss(0.1 * share, 0.1 * u), 0.1) == told


def test_tolerances_say_where_they_come_from() -> None:
    """The defaults are labelled common practice; the spindle's counts at its places, the loader's at the loader's."""
    assert Tolerances().basis == COMMON_PRACTICE == "common practice, no published source"
    own = Tolerances(spindle_mm=0.02, axis_mm=0.3, basis="the loader's manual")
    places = (Point("face", -5.0, at_spindle=True), Point("collet", 600.0, at_spindle=True), Point("clamp", -0.1))
    assert tuple(own.at_mm(place) for place in places) == (0.02, 0.02, 0.3)
    assert own.basis == "the loader's manual"


@pytest.mark.parametrize("part", ["spindle_mm", "axis_mm", "roll_mm_per_m", "rock_mm", "tightening_mm"])
def test_a_tolerance_of_nothing_is_refused(part: str) -> None:
    """Each has to be above zero."""
    with pytest.raises(UsageError, match="tolerance"):
        Tolerances(**{part: 0.0})  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("spindle_mm", "told", "lacks_mm"),
    [
        (1000.0, "within", 0.0),
        (952.0, "within if measured better", 0.0),
        (1098.5, "within if measured better", 0.0),
        (940.0, "outside", -10.0),
        (1112.0, "outside", 12.0),
    ],
)
def test_the_spindle_in_the_loaders_range(spindle_mm: float, told: str, lacks_mm: float) -> None:
    """Well inside, too close to an end to be sure, and by how much the loader is to be raised or lowered."""
    judged = centre_height(spindle_mm=spindle_mm, least_mm=950.0, greatest_mm=1100.0, u_mm=2.0)
    assert (judged.grade, judged.lacks_mm) == (told, pytest.approx(lacks_mm))
    assert (judged.below_mm, judged.above_mm) == (spindle_mm - 950.0, 1100.0 - spindle_mm)


def test_wrong_figures_are_refused() -> None:
    """A range turned round, heights and uncertainties that are none."""
    good = {"spindle_mm": 1000.0, "least_mm": 900.0, "greatest_mm": 1100.0, "u_mm": 1.0}
    for part, wrong in (("spindle_mm", 0.0), ("least_mm", 1200.0), ("greatest_mm", math.nan), ("u_mm", -1.0)):
        with pytest.raises(UsageError):
            centre_height(**{**good, part: wrong})
    for call in (
        lambda: grade(residual_share=math.nan, u_share=0.0),
        lambda: grade(residual_share=0.0, u_share=-0.1),
        lambda: graded(Miss(0.0, 0.0), 0.0),
    ):
        with pytest.raises(UsageError):
            call()
