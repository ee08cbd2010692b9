"""The frame on its feet and between its side screws: moves, response, rock, travel, and frames that do not stand."""

from __future__ import annotations

import math

import numpy as np
import pytest

from standoff.errors import UsageError
from standoff.site.axis import LIFT, PITCH, ROLL, SHIFT, SIDEWAYS, UPRIGHT, YAW, Pose
from standoff.site.frame import Foot, Frame, Move, Screw

FIVE = UPRIGHT + SIDEWAYS
FEET = (
    Foot("front left", -1000.0, 300.0, 2.0, 6.0),
    Foot("front right", -1000.0, -300.0, 2.0, 6.0),
    Foot("rear left", -4000.0, 300.0, 2.0, 6.0),
    Foot("rear right", -4000.0, -300.0, 2.0, 6.0),
)
SCREWS = (Screw("front", -1000.0, 5.0, 5.0), Screw("rear", -4000.0, 5.0, 5.0))
FRAME = Frame(FEET, 1000.0, SCREWS)


def pose(**parts: float) -> Pose:
    """A pose known exactly; what is not named is zero."""
    return Pose(FIVE, np.array([parts.get(name, 0.0) for name in FIVE]), np.zeros((5, 5)))


def test_feet_undo_lift_pitch_and_roll() -> None:
    """A loader too high goes down everywhere, one that rises forward down in front of its zero, a left side that is up down."""
    assert list(FRAME.foot_moves_mm(pose(lift=2.0))) == [-2.0] * 4
    assert list(FRAME.foot_moves_mm(pose(pitch=1.0))) == [1.0, 1.0, 4.0, 4.0]
    assert list(FRAME.foot_moves_mm(pose(roll=1.0))) == pytest.approx([-0.3, 0.3, -0.3, 0.3])


def test_screws_undo_shift_and_yaw() -> None:
    """A loader too far left goes right; one that leads left in front goes left in the rear."""
    assert list(FRAME.screw_moves_mm(pose(shift=2.0, yaw=0.5))) == [-1.5, 0.0]


def test_taking_out_the_roll_swings_the_axis_aside() -> None:
    """A left side that is up by 2 mm/m, levelled: at an axis height of 1 m the axis goes 2 mm to the left."""
    rolled = pose(roll=2.0)
    levelled = rolled.moved(FRAME.foot_response(FIVE), FRAME.foot_moves_mm(rolled), np.zeros(4))
    assert levelled.value(ROLL) == pytest.approx(0.0, abs=1e-12)
    assert levelled.value(SHIFT) == pytest.approx(2.0)
    done = levelled.moved(FRAME.screw_response(FIVE), FRAME.screw_moves_mm(levelled), np.zeros(2))
    assert list(done.estimates) == pytest.approx([0.0] * 5, abs=1e-12)


def test_a_foot_out_of_the_plane_rocks() -> None:
    """Of four feet in a rectangle one raised by 1 mm stands a quarter out of the plane of all; of three none can."""
    assert list(FRAME.rocks_mm(np.array([1.0, 0.0, 0.0, 0.0]))) == pytest.approx([0.25, -0.25, -0.25, 0.25])
    three = Frame(FEET[:3], 1000.0)
    assert three.rocks_mm(np.eye(3)) == pytest.approx(np.zeros((3, 3)), abs=1e-12)


def test_pitching_moves_the_clamp_along_the_axis() -> None:
    """Front feet up by 3 mm over 3 m: pitch 1 mm/m, and the axis 1 m above the feet goes 1 mm back."""
    assert FRAME.standoff_change_mm(np.array([3.0, 3.0, 0.0, 0.0])) == pytest.approx(1.0)


def test_moves_say_what_the_travel_lacks() -> None:
    """Up to the limits nothing lacks; beyond, the rest with its sign."""
    steps = FRAME.foot_steps(np.array([6.0, 6.5, -2.0, -3.0]))
    assert [step.beyond_mm for step in steps] == [0.0, 0.5, 0.0, -1.0]
    assert steps[0] == Move("front left", 6.0, -2.0, 6.0)
    assert FRAME.screw_steps(np.array([-7.0, 1.0]))[0].beyond_mm == -2.0


def test_a_response_has_a_row_for_each_unknown_asked() -> None:
    """Feet do not yaw, screws do not lift; a frame without screws has none to push."""
    assert FRAME.foot_response((YAW,)) == pytest.approx(np.zeros((1, 4)))
    assert FRAME.screw_response((LIFT, PITCH)) == pytest.approx(np.zeros((2, 2)))
    assert Frame(FEET, 1000.0).screw_response(FIVE).shape == (5, 0)


def test_frames_that_do_not_stand_are_refused() -> None:
    """Two feet, nine, all in one line, a name used twice, no height, screws at one place."""
    nine = tuple(Foot(f"{i}", -500.0 * i, 300.0 * (-1) ** i, 1.0, 1.0) for i in range(9))
    line = tuple(Foot(f"{i}", -500.0 * i, 0.0, 1.0, 1.0) for i in range(4))
    for feet, told in ((FEET[:2], "3 to 8"), (nine, "3 to 8"), (line, "in one line"), ((*FEET[:3], FEET[0]), "its own name")):
        with pytest.raises(UsageError, match=told):
            Frame(feet, 1000.0)
    with pytest.raises(UsageError, match="height of the loader's axis"):
        Frame(FEET, 0.0)
    with pytest.raises(UsageError, match="at one place"):
        Frame(FEET, 1000.0, (SCREWS[0], Screw("other", -1000.0, 1.0, 1.0)))


def test_feet_and_screws_nowhere_are_refused() -> None:
    """Places that are no numbers, ways that are negative."""
    for call in (
        lambda: Foot("f", math.nan, 0.0, 1.0, 1.0),
        lambda: Foot("f", 0.0, math.inf, 1.0, 1.0),
        lambda: Foot("f", 0.0, 0.0, -1.0, 1.0),
        lambda: Foot("f", 0.0, 0.0, 1.0, -1.0),
        lambda: Screw("s", math.nan, 1.0, 1.0),
        lambda: Screw("s", 0.0, -1.0, 1.0),
        lambda: Screw("s", 0.0, 1.0, -1.0),
    ):
        with pytest.raises(UsageError):
            call()
