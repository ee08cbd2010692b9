"""The loader's axis against the spindle's: what a station sees, and what a pose says of a place."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from standoff.errors import UsageError
from standoff.site.axis import (
    HEADSTOCK_DRIFT,
    HEADSTOCK_RISE,
    LIFT,
    LOADER_DRIFT,
    LOADER_RISE,
    PITCH,
    ROLL,
    SHIFT,
    SIDEWAYS,
    UPRIGHT,
    YAW,
    Miss,
    Point,
    Pose,
    Station,
    named,
)

FIVE = UPRIGHT + SIDEWAYS


def pose(*estimates: float, variances: tuple[float, ...] = (0.0,) * 5) -> Pose:
    """A pose of three or five unknowns."""
    return Pose(FIVE[: len(estimates)], np.array(estimates), np.diag(variances[: len(estimates)]))


def test_a_station_sees_height_and_side() -> None:
    """Each unknown acts with its own arm, and with the sign that the sketch gives it."""
    station = Station(-2000.0, left_mm=300.0, above_mm=100.0, headstock_mm=90.0, loader_mm=40.0)
    assert dict(station.upright()) == {LIFT: 1.0, PITCH: -2.0, ROLL: 0.3, HEADSTOCK_RISE: -0.09, LOADER_RISE: 0.04}
    assert dict(station.sideways()) == {SHIFT: 1.0, YAW: -2.0, ROLL: -0.1, HEADSTOCK_DRIFT: -0.09, LOADER_DRIFT: 0.04}
    assert dict(Station(0.0).upright()) == {LIFT: 1.0}


@pytest.mark.parametrize("part", ["x_mm", "left_mm", "above_mm", "headstock_mm", "loader_mm"])
def test_a_station_nowhere_is_refused(part: str) -> None:
    """Each of its numbers has to be finite."""
    with pytest.raises(UsageError, match="finite"):
        Station(**{"x_mm": 0.0, part: math.nan})


def test_a_pose_says_what_it_is_at_a_place() -> None:
    """The line through lift and pitch, shift and yaw; away from x = 0 the slopes' variance grows with the arm."""
    offset = pose(1.0, 0.5, 0.0, -2.0, 0.25, variances=(0.01, 0.0004, 0.0, 0.04, 0.0001)).offset(Point("rear", -4000.0))
    assert offset.upright == Miss(pytest.approx(-1.0), pytest.approx(math.sqrt(0.01 + 16 * 0.0004)))
    assert offset.sideways == Miss(pytest.approx(-3.0), pytest.approx(math.sqrt(0.04 + 16 * 0.0001)))


def test_a_pose_read_upright_only_says_nothing_of_the_side() -> None:
    """Its sideways part is None, and asking for it is refused with the next action."""
    upright = pose(1.0, 0.0, 0.0)
    assert upright.offset(Point("face", 0.0)).sideways is None
    assert not upright.has_sideways
    with pytest.raises(
        UsageError, match=r"unknown shift, expected lift, pitch, roll; take the readings that determine the shift"
    ):
        upright.value(SHIFT)
    with pytest.raises(UsageError, match="yaw"):
        upright.u(YAW)


def test_travels_count_where_they_were_solved() -> None:
    """A rise of the headstock lowers the loader at its front limit; one that was not solved counts for nothing."""
    front = Point("face, headstock forward", 0.0, headstock_mm=100.0)
    solved = Pose((*UPRIGHT, HEADSTOCK_RISE), np.array([1.0, 0.0, 0.0, 0.4]), np.diag([0.0, 0.0, 0.0, 0.25]))
    assert solved.offset(front).upright == Miss(pytest.approx(0.96), pytest.approx(0.05))
    assert pose(1.0, 0.0, 0.0).offset(front).upright == Miss(1.0, 0.0)


def test_a_place_says_on_which_travel_it_hangs_unread() -> None:
    """Read with the headstock 100 mm behind the middle and the loader at its middle: the spindle elsewhere was not read."""
    read = replace(pose(1.0, 0.0, 0.0), read_at_mm=((HEADSTOCK_RISE, -100.0), (LOADER_RISE, 0.0)))
    for point, unread in (
        (Point("back", 0.0, headstock_mm=-100.0, at_spindle=True), ()),
        (Point("forward", 0.0, headstock_mm=100.0, at_spindle=True), (HEADSTOCK_RISE,)),
        (Point("forward, shifted", 0.0, headstock_mm=100.0, loader_mm=5.0, at_spindle=True), (HEADSTOCK_RISE, LOADER_RISE)),
        (Point("clamp", -400.0), ()),
        (Point("clamp, shifted", -400.0, loader_mm=5.0), (LOADER_RISE,)),
    ):
        assert read.offset(point).unread == unread, point.name
    assert read.moved(np.zeros((3, 1)), np.zeros(1), np.zeros(1)).read_at_mm == read.read_at_mm


def test_a_move_carries_the_pose_and_its_own_error() -> None:
    """Estimates change by the response, the covariance grows by the setting error."""
    after = pose(1.0, 0.0, 0.0, variances=(0.09, 0.0, 0.0)).moved(
        np.array([[0.5, 0.5], [0.0, 0.0], [0.0, 0.0]]), np.array([-1.0, -1.0]), np.array([0.4, 0.4])
    )
    assert after.value(LIFT) == pytest.approx(0.0)
    assert after.u(LIFT) == pytest.approx(math.sqrt(0.09 + 2 * 0.2**2))


@pytest.mark.parametrize("points", [[], [Point("a", 0.0), Point("a", 1.0)]])
def test_points_need_names_of_their_own(points: list[Point]) -> None:
    """None, or two of one name, are refused."""
    with pytest.raises(UsageError, match="name where to judge"):
        named(points)
    assert named([Point("a", 0.0)]) == (Point("a", 0.0),)
