"""The choice of shims: whole steps, limits of travel, ties, and what it is weighed by."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest

from standoff.errors import UsageError
from standoff.site.axis import UPRIGHT, Point, Pose
from standoff.site.frame import Frame
from standoff.site.shims import ShimChoice, choose_shims
from standoff.site.tolerance import Tolerances
from tests.unit.test_site_frame import FEET

FACE = (Point("spindle face", 0.0, at_spindle=True),)


def chosen(
    lift_mm: float,
    *,
    frame: Frame | None = None,
    step_mm: float = 0.1,
    points: Sequence[Point] = FACE,
    pitch_mm_per_m: float = 0.0,
) -> ShimChoice:
    """The choice for a loader that is only too high or too low, and rises."""
    pose = Pose(UPRIGHT, np.array([lift_mm, pitch_mm_per_m, 0.0]), np.zeros((3, 3)))
    return choose_shims(frame or Frame(FEET, 1000.0), pose, step_mm=step_mm, points=points, tolerances=Tolerances())


def test_whole_steps_are_taken_as_they_are() -> None:
    """Where every wanted move is a step, nothing is left."""
    choice = chosen(-0.3)
    assert choice.moves_mm == pytest.approx((0.3,) * 4)
    assert choice.penalty_ratio == pytest.approx(0.0, abs=1e-9)


def test_ties_go_to_the_earlier_foot_lower() -> None:
    """Half a step everywhere: two feet crosswise up, two not; of the two ways to do it the first foot's lower one."""
    assert chosen(-0.05).moves_mm == (0.0, 0.1, 0.1, 0.0)
    assert chosen(-0.05).penalty_ratio == pytest.approx(0.0, abs=1e-12)


def test_better_than_rounding_where_rounding_misses() -> None:
    """Each foot wants 0.04 mm: rounding leaves all of it at the spindle, the choice but a part."""
    choice = chosen(-0.04)
    assert choice.rounded_mm == (0.0,) * 4
    assert choice.rounded_penalty_ratio == pytest.approx(0.4)
    assert choice.penalty_ratio == pytest.approx(0.1)


def test_steps_beyond_the_travel_are_left_out() -> None:
    """A foot that can go down by 2 mm and no farther takes 2.0 mm, not 2.1; one that cannot reach either keeps both."""
    within = chosen(2.04)
    assert min(within.moves_mm) >= -2.0
    stuck = Frame((replace(FEET[0], down_mm=0.0), *FEET[1:]), 1000.0)
    assert chosen(0.54, frame=stuck).moves_mm[0] == pytest.approx(-0.5, abs=0.11)


def test_no_step_and_no_points_are_refused() -> None:
    """There is nothing to choose from, and nothing to judge by."""
    with pytest.raises(UsageError, match="step of the shims"):
        chosen(1.0, step_mm=0.0)
    with pytest.raises(UsageError, match="name where to judge"):
        chosen(1.0, points=[])
