"""The order of work, and the change on tightening."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from standoff.errors import UsageError
from standoff.site.axis import HEADSTOCK_RISE, SIDEWAYS, UPRIGHT, Miss, Point, Pose
from standoff.site.order import TASKS, difference, tightening
from standoff.site.tolerance import Tolerances

POINTS = (Point("spindle face", 0.0, at_spindle=True), Point("clamp", -400.0))


def pose(lift: float, shift: float | None = None, *, u: float = 0.01) -> Pose:
    """A loader this high and this far left."""
    if shift is None:
        return Pose(UPRIGHT, np.array([lift, 0.0, 0.0]), np.diag([u**2, 0.0, 0.0]))
    return Pose(UPRIGHT + SIDEWAYS, np.array([lift, 0.0, 0.0, shift, 0.0]), np.diag([u**2, 0.0, 0.0, u**2, 0.0]))


def test_the_order_of_work() -> None:
    """Height range first, roll before sideways, the standoff again after aligning, and read again once tight."""
    order = [task.id for task in TASKS]
    assert order == [
        "centre-height",
        "bear",
        "roll-and-height",
        "sideways",
        "read-again",
        "standoff-again",
        "anchor",
        "tighten",
        "read-tightened",
        "slide-pusher",
    ]


def test_every_task_leads_back_to_one_that_came_before() -> None:
    """Or is done again itself; each says what closes it."""
    order = [task.id for task in TASKS]
    for task in TASKS:
        assert order.index(task.back_to) <= order.index(task.id)
        assert task.work.endswith(".")
        assert task.reading


def test_change_on_tightening() -> None:
    """Up by 0.03 and right by 0.08 mm: the first within tolerance, the second not; both more than the readings' doubt."""
    face, clamp = tightening(pose(0.0, 0.0, u=0.005), pose(0.03, -0.08, u=0.005), POINTS, Tolerances())
    assert face.upright.change == Miss(pytest.approx(0.03), pytest.approx(0.005 * math.sqrt(2.0)))
    assert (face.upright.grade, face.upright.seen) == ("within", True)
    assert face.sideways is not None
    assert (face.sideways.change.miss_mm, face.sideways.grade) == (pytest.approx(-0.08), "outside")
    assert clamp.point == POINTS[1]


def test_a_change_within_the_readings_doubt_is_not_seen() -> None:
    """And without a sideways reading both times there is no sideways change."""
    (face, _) = tightening(pose(0.0, u=0.02), pose(0.03, 0.0, u=0.02), POINTS, Tolerances())
    assert (face.upright.seen, face.upright.grade, face.sideways) == (False, "within if measured better", None)
    assert tightening(pose(0.0, 0.0), pose(0.0), POINTS, Tolerances())[0].sideways is None


def test_no_points_are_refused() -> None:
    """There is nothing to compare at."""
    with pytest.raises(UsageError, match="name where to judge"):
        tightening(pose(0.0), pose(0.0), [], Tolerances())


def test_two_poses_are_compared_where_both_were_read() -> None:
    """One solved for a rise of 0.5 mm/m, one was read 100 mm behind the middle: there the first is 0.05 mm higher."""
    solved = Pose((*UPRIGHT, HEADSTOCK_RISE), np.array([1.0, 0.0, 0.0, 0.5]), np.zeros((4, 4)))
    back = replace(pose(1.05, u=0.0), read_at_mm=((HEADSTOCK_RISE, -100.0),))
    forward = Point("face, headstock forward", 0.0, headstock_mm=100.0, at_spindle=True)
    for before, after in ((solved, back), (back, solved), (back, back)):
        upright, sideways = difference(before, after, forward)
        assert upright == Miss(pytest.approx(0.0, abs=1e-12), 0.0)
        assert sideways is None
    elsewhere = replace(back, read_at_mm=((HEADSTOCK_RISE, 100.0),))
    assert difference(back, elsewhere, forward) == (None, None)
    assert tightening(back, elsewhere, [forward], Tolerances()) == ()
