"""What is kept between two things: the greatest rule that applies, and what counts as standing behind the loader."""

from __future__ import annotations

import pytest

from standoff.job.floor_plan import FloorPlan
from standoff.site.floor import Grade
from tests.floors import FLOORED, floor_with, plan_of, row_of
from tests.texts import altered, named

WALL = """
[[floor_items]]
name = "thing"
kind = "{kind}"
behind = "{behind} mm"
ahead = "{ahead} mm"
left = "{left} mm"
right = "{right} mm"
"""


def with_wall(*, near_mm: float, left_mm: float, right_mm: float, kind: str = "wall", more: str = "") -> FloorPlan:
    """A wall from so far behind the cover on; the loader's rear end lies 4940 mm behind it, its underside 700 mm high."""
    text = altered(FLOORED, {"lathe.cover_to_wall": None})
    return plan_of(text + WALL.format(kind=kind, behind=near_mm + 300, ahead=-near_mm, left=left_mm, right=right_mm) + more)


def test_what_a_thing_keeps_lowers_no_rule() -> None:
    """The loader keeps 50 mm, and yet 900 mm behind it, and 60 mm to the lathe where the rule says so; a greater one wins."""
    changes = {"floor_items[1].keeps": '"50 mm"', "rules.cover_clearance": '"60 mm"'}
    plan = floor_with(changes)
    assert row_of(plan, "loader and wall, aisle or obstacle behind").needed_mm == 900.0
    assert (row_of(plan, "loader and lathe").needed_mm, row_of(plan, "loader and tank").needed_mm) == (60.0, 50.0)
    greater = floor_with({"floor_items[1].keeps": '"1000 mm"'})
    wall = row_of(greater, "loader and wall, aisle or obstacle behind")
    assert (wall.needed_mm, wall.reason) == (1000.0, "room kept around it")


def test_the_clearance_of_the_floor_counts_behind_the_loader_too() -> None:
    """1.2 m kept around the loader is more than the 900 mm behind it; to the lathe its own rule holds."""
    plan = floor_with({"floor.clearance": '"1200 mm"'})
    assert row_of(plan, "loader and wall, aisle or obstacle behind").needed_mm == 1200.0
    assert row_of(plan, "loader and lathe").needed_mm == row_of(plan_of(FLOORED), "loader and lathe").needed_mm < 50.0


@pytest.mark.parametrize(
    ("left_mm", "right_mm", "needed_mm"),
    [(2000, -1, 900.0), (2000, -299, 900.0), (2000, -300, 50.0), (-401, 2000, 50.0), (-350, 2000, 900.0)],
)
def test_a_wall_beside_the_axis_lies_behind_the_loader(left_mm: float, right_mm: float, needed_mm: float) -> None:
    """The body reaches 300 mm left and 400 mm right: what covers some of that width leaves room to walk."""
    plan = with_wall(near_mm=5200, left_mm=left_mm, right_mm=right_mm)
    row = row_of(plan, "loader and thing")
    assert row.needed_mm == needed_mm
    assert row.grade is (Grade.NEAR if needed_mm == 900.0 else Grade.HOLDS)


@pytest.mark.parametrize(
    ("near_mm", "heights", "needed_mm", "grade"),
    [
        (3000, 'from_floor = "2400 mm"', 50.0, Grade.HOLDS),  # a beam over the loader
        (3000, 'from_floor = "1440 mm"', 50.0, Grade.NEAR),
        (3000, 'height = "300 mm"', 50.0, Grade.HOLDS),  # a kerb under it
        (5200, 'from_floor = "2400 mm"', 50.0, Grade.HOLDS),  # a beam over whoever walks behind it
        (5200, 'from_floor = "1700 mm"', 900.0, Grade.NEAR),  # one that strikes his head
        (5200, 'height = "300 mm"', 900.0, Grade.NEAR),  # a kerb in his way
        (5200, 'height = "900 mm"', 900.0, Grade.NEAR),
    ],
)
def test_a_beam_is_no_wall(near_mm: float, heights: str, needed_mm: float, grade: Grade) -> None:
    """Above or below the loader the clearance holds; behind it the room to walk, up to head height."""
    row = row_of(with_wall(near_mm=near_mm, left_mm=900, right_mm=900, more=heights + "\n"), "loader and thing")
    assert (row.needed_mm, row.grade) == (needed_mm, grade)


def test_a_beam_is_not_what_the_wall_is_taped_to() -> None:
    """A beam over the loader is no second wall: the taped one stays; a wall of the loader's height is refused."""
    beam = WALL.format(kind="wall", behind=3300, ahead=-3000, left=900, right=900)
    for heights in ('from_floor = "2400 mm"\n', 'height = "300 mm"\n'):
        plan = plan_of(FLOORED + beam + heights)
        assert row_of(plan, "loader and wall, aisle or obstacle behind").needed_mm == 900.0
    assert [code for code, _ in named(FLOORED + beam + 'height = "800 mm"\n')] == ["wall-twice"]
