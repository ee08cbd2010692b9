"""Footprints: boxes and doors where they are said to be, distances and overlaps worked out by hand."""

from __future__ import annotations

import math

import pytest

from standoff.errors import UsageError
from standoff.site.footprint import Footprint, apart, box, quarter, reach_mm, shared_height_mm


def square(x_mm: float, y_mm: float, side_mm: float = 100.0) -> Footprint:
    """A square with its least corner there."""
    return box(least_x_mm=x_mm, greatest_x_mm=x_mm + side_mm, least_y_mm=y_mm, greatest_y_mm=y_mm + side_mm)


@pytest.mark.parametrize(
    ("x_mm", "y_mm", "gap_mm"),
    [
        (130.0, 0.0, 30.0),
        (130.0, 140.0, 50.0),  # corner to corner: 3, 4, 5
        (100.0, 0.0, 0.0),
        (90.0, 0.0, -10.0),
        (90.0, 95.0, -5.0),  # the shorter way out
        (0.0, 0.0, -100.0),
    ],
)
def test_how_far_two_squares_are_apart(x_mm: float, y_mm: float, gap_mm: float) -> None:
    """Beside, across a corner, touching, overlapping by the shorter way, one on the other; the same either way round."""
    one, other = square(0.0, 0.0), square(x_mm, y_mm)
    assert apart(one, other).gap_mm == pytest.approx(gap_mm, abs=1e-9)
    assert apart(other, one).gap_mm == pytest.approx(gap_mm, abs=1e-9)


def test_the_nearest_places_are_as_far_apart_as_said() -> None:
    """A dimension drawn between them shows the distance; of things that overlap the place lies in both."""
    found = apart(square(0.0, 0.0), square(130.0, 140.0))
    assert found.start_mm == (100.0, 100.0)
    assert found.end_mm == (130.0, 140.0)
    within = apart(square(0.0, 0.0), square(50.0, 60.0))
    assert within.start_mm == within.end_mm
    assert 50.0 <= within.start_mm[0] <= 100.0
    assert 60.0 <= within.start_mm[1] <= 100.0


def test_a_line_that_runs_through_a_box() -> None:
    """A wall drawn as a line 30 mm inside a side of a box: so far the box has to give way; a bent one at its deepest."""
    wall = Footprint(((30.0, -500.0), (30.0, 500.0)), closed=False)
    assert apart(square(0.0, 0.0), wall).gap_mm == pytest.approx(-30.0)
    bent = Footprint(((-10.0, -50.0), (-10.0, 40.0), (45.0, 40.0)), closed=False)
    assert apart(square(0.0, 0.0), bent).gap_mm == pytest.approx(-40.0)
    away = Footprint(((-25.0, -500.0), (-25.0, 500.0)), closed=False)
    assert apart(square(0.0, 0.0), away).gap_mm == pytest.approx(25.0)
    with pytest.raises(UsageError, match="two lines"):
        apart(wall, bent)


def test_what_a_move_covers() -> None:
    """A box swept along the axis is a longer box; a move of nothing is the box, moved."""
    swept = square(0.0, 0.0).swept(least_mm=-20.0, greatest_mm=170.0)
    assert swept.x_range_mm == (-20.0, 270.0)
    assert swept.y_range_mm == (0.0, 100.0)
    assert swept.shape.area == pytest.approx(290.0 * 100.0)
    assert square(0.0, 0.0).swept(least_mm=5.0, greatest_mm=5.0) == square(5.0, 0.0)


@pytest.mark.parametrize(
    ("closed_deg", "open_deg", "inside", "outside"),
    [
        (0.0, 90.0, (400.0, 400.0), (400.0, -1.0)),
        (180.0, 90.0, (-400.0, 400.0), (400.0, 400.0)),
        (90.0, 0.0, (400.0, 400.0), (-400.0, 400.0)),
        (-90.0, 180.0, (-400.0, -400.0), (-400.0, 400.0)),
    ],
)
def test_which_quarter_a_door_sweeps(
    closed_deg: float, open_deg: float, inside: tuple[float, float], outside: tuple[float, float]
) -> None:
    """From the closed to the open direction, either way round."""
    swing = quarter((0.0, 0.0), radius_mm=600.0, closed_deg=closed_deg, open_deg=open_deg)
    there = [apart(swing, square(x - 0.5, y - 0.5, 1.0)).gap_mm for x, y in (inside, outside)]
    assert there[0] < 0.0
    assert there[1] >= -1.0
    farthest = max(math.hypot(x, y) for x, y in swing.corners_mm)
    assert 600.0 <= farthest < 600.4
    assert swing.shape.area >= math.pi * 600.0**2 / 4.0


def test_how_far_a_space_stays_free() -> None:
    """From the side it begins at, or from a hinge; what stands beside it, or touches its edge, leaves it free."""
    space, side = square(0.0, 0.0, 1000.0), ((0.0, 0.0), (1000.0, 0.0))
    assert reach_mm(space, square(200.0, 650.0), side) == pytest.approx(650.0)
    assert reach_mm(space, square(1000.0, 650.0), side) == math.inf
    assert reach_mm(space, square(200.0, 2000.0), side) == math.inf
    assert reach_mm(space, Footprint(((-10.0, 300.0), (2000.0, 300.0)), closed=False), side) == pytest.approx(300.0)
    door = quarter((0.0, 0.0), radius_mm=600.0, closed_deg=0.0, open_deg=90.0)
    assert reach_mm(door, square(300.0, 400.0), ((0.0, 0.0),)) == pytest.approx(500.0)


@pytest.mark.parametrize(
    ("low_mm", "high_mm", "shared_mm"),
    [(0.0, 500.0, -200.0), (0.0, 700.0, 0.0), (1500.0, 1600.0, -100.0), (900.0, 1500.0, 500.0)],
)
def test_one_above_the_other(low_mm: float, high_mm: float, shared_mm: float) -> None:
    """A channel from 700 to 1400 mm above something lower, as high as its underside, below something, and beside it."""
    assert shared_height_mm(low_mm=700.0, high_mm=1400.0, other_low_mm=low_mm, other_high_mm=high_mm) == shared_mm
    assert shared_height_mm(low_mm=low_mm, high_mm=high_mm, other_low_mm=700.0, other_high_mm=1400.0) == shared_mm
    assert shared_height_mm(low_mm=700.0, high_mm=1400.0, other_low_mm=0.0, other_high_mm=math.inf) == 700.0
    assert shared_height_mm(low_mm=0.0, high_mm=math.inf, other_low_mm=0.0, other_high_mm=math.inf) == math.inf


def test_what_runs_along_the_edge_of_a_space_does_not_stand_in_it() -> None:
    """A line on the side where a space begins, on its end and along its side; one across it does."""
    space, side = box(least_x_mm=0.0, greatest_x_mm=1000.0, least_y_mm=0.0, greatest_y_mm=900.0), ((0.0, 0.0), (1000.0, 0.0))
    for ends in (((-50.0, 0.0), (1050.0, 0.0)), ((0.0, 900.0), (1000.0, 900.0)), ((1000.0, 0.0), (1000.0, 900.0))):
        assert reach_mm(space, Footprint(ends, closed=False), side) == math.inf
    assert reach_mm(space, Footprint(((500.0, 300.0), (500.0, 2000.0)), closed=False), side) == pytest.approx(300.0)


def test_what_is_no_outline() -> None:
    """Too few corners, a box without area, a half turn, a place that is no number, an underside below the floor."""
    with pytest.raises(UsageError, match="2 different corners"):
        Footprint(((0.0, 0.0), (1.0, 0.0), (0.0, 0.0)))
    with pytest.raises(UsageError, match="1 different corners"):
        Footprint(((0.0, 0.0), (0.0, 0.0)), closed=False)
    with pytest.raises(UsageError, match="x of a corner"):
        Footprint(((math.nan, 0.0), (1.0, 0.0), (0.0, 1.0)))
    with pytest.raises(UsageError, match="which end"):
        square(0.0, 0.0, -5.0)
    with pytest.raises(UsageError, match="quarter turn"):
        quarter((0.0, 0.0), radius_mm=600.0, closed_deg=0.0, open_deg=180.0)
    with pytest.raises(UsageError, match="underside"):
        shared_height_mm(low_mm=-1.0, high_mm=1.0, other_low_mm=0.0, other_high_mm=1.0)
