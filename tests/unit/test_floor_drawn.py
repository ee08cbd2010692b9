"""The lines of a building's plan: what they take from the loader and from spaces, and a plan that was laid somewhere else."""

from __future__ import annotations

import pytest

from standoff.job.floor_drawn import BuildingLine
from standoff.job.floor_plan import FloorPlan
from standoff.job.floor_speech import sentence
from standoff.site.floor import Grade
from tests.floors import FLOORED, plan_of, row_of
from tests.texts import altered

ALONE = altered(FLOORED, {"lathe.cover_to_wall": None})
FREE_OF = "(building's plan)"


def drawn(*lines: tuple[tuple[float, float], ...], text: str = ALONE) -> FloorPlan:
    """The floor with these lines on one layer; the loader lies from -4900 to -288 mm, 300 mm left and 400 mm right."""
    return plan_of(text, lines=[BuildingLine("WALLS", line) for line in lines])


def test_lines_take_room_from_spaces() -> None:
    """A wall 300 mm beside the loader leaves 300 mm of the 1000 mm to load from, and as much of a door and a working space."""
    plan = drawn(((-4000.0, -700.0), (-2000.0, -700.0)), ((-3000.0, 1300.0), (-1000.0, 1300.0)))
    for space, grade in (("loading", Grade.NEAR), ("cabinet door", Grade.CLASH), ("working space at cabinet", Grade.NEAR)):
        row = row_of(plan, f"{space} and WALLS {FREE_OF}")
        assert (row.found_mm, row.grade) == (pytest.approx(300.0, abs=0.3), grade)


def test_a_line_along_the_side_of_an_item_blocks_nothing() -> None:
    """The cabinet as the building's plan has it: its working space and its door begin at that line."""
    cabinet = ((-2560.0, 600.0), (-1960.0, 600.0), (-1960.0, 1000.0), (-2560.0, 1000.0), (-2560.0, 600.0))
    assert not [row for row in drawn(cabinet).rows if row.what.startswith(("cabinet door", "working")) and "WALLS" in row.what]


@pytest.mark.parametrize(
    ("line", "found_mm", "needed_mm"),
    [
        (((-5400.0, -3000.0), (-5400.0, 3000.0)), 500.0, 900.0),
        (((-5400.0, 100.0), (-5400.0, 3000.0)), 500.0, 900.0),
        (((-5400.0, 301.0), (-5400.0, 3000.0)), 500.0, 50.0),
        (((-4000.0, 360.0), (-4000.0, 3000.0)), 60.0, 50.0),
        (((-3000.0, 600.0), (-5400.0, 600.0), (-5400.0, -3000.0)), 500.0, 900.0),
    ],
)
def test_a_line_behind_the_loader_leaves_room_to_walk(
    line: tuple[tuple[float, float], ...], found_mm: float, needed_mm: float
) -> None:
    """Over the body's width 900 mm behind it, elsewhere the clearance; of a corner each wall by its own rule."""
    plan = drawn(line)
    row = row_of(plan, f"loader and WALLS {FREE_OF}")
    assert (row.found_mm, row.needed_mm) == (pytest.approx(found_mm, abs=0.1), needed_mm)
    assert row.grade is (Grade.NEAR if needed_mm == 900.0 else Grade.HOLDS)


def test_a_wide_clearance_looks_as_far() -> None:
    """5 m kept: a line 4 m away is too near; with less kept it is not judged."""
    line = ((-4000.0, 4300.0), (-2000.0, 4300.0))
    row = row_of(drawn(line, text=altered(ALONE, {"floor.clearance": '"5 m"'})), f"loader and WALLS {FREE_OF}")
    assert (row.found_mm, row.grade) == (pytest.approx(4000.0), Grade.NEAR)
    assert not [row for row in drawn(line).rows if row.what == f"loader and WALLS {FREE_OF}"]


def test_the_shift_closes_gaps_to_lines() -> None:
    """A line 250 mm ahead of the loader is 80 mm away when it shifts; one beside it, nearer, stays as far as it was."""
    plan = drawn(((-38.0, -600.0), (-38.0, 250.0)), ((-4000.0, 360.0), (-2000.0, 360.0)))
    (warning,) = (warning for warning in plan.warnings if warning.id == "crush-gap-floor")
    assert "WALLS (building's plan) (80 mm)" in warning.text
    beside = drawn(((-4000.0, 360.0), (-2000.0, 360.0)))
    assert not [warning for warning in beside.warnings if warning.id == "crush-gap-floor"]


def test_a_drawn_wall_nearer_than_the_taped_one_is_asked_about() -> None:
    """The wall was taped 6700 mm behind the cover: drawn 500 mm nearer it is judged where it is drawn, and asked about."""
    nearer = drawn(((-6160.0, -2000.0), (-6160.0, 2000.0)), text=FLOORED)
    assert row_of(nearer, f"loader and WALLS {FREE_OF}").found_mm == pytest.approx(1260.0)
    (question,) = (warning for warning in nearer.warnings if warning.id == "plan-wall")
    assert "6200 mm behind the cover, where lathe.cover_to_wall is 6700 mm" in question.text
    for line in (((-6630.0, -2000.0), (-6630.0, 2000.0)), ((-6160.0, 10.0), (-6160.0, 2000.0))):
        assert not [warning for warning in drawn(line, text=FLOORED).warnings if warning.id == "plan-wall"]


@pytest.mark.parametrize("lines", [[], [BuildingLine("WALLS", ((-3000.0, 9000.0), (3000.0, 9000.0)))]])
def test_a_plan_laid_somewhere_else_decides_nothing(lines: list[BuildingLine]) -> None:
    """No line near lathe or loader: it may fit; a clash is told nevertheless; with a line near it all is judged."""
    plan = plan_of(FLOORED, lines=lines)
    assert (plan.laid_off, plan.grade) == (True, Grade.UNKNOWN)
    assert sentence(plan).startswith("It may fit: no line of the building's plan comes near lathe or loader; check plan_x")
    high = plan_of(altered(FLOORED, {"floor_items[2].height": '"720 mm"'}), lines=lines)
    assert high.grade is Grade.CLASH
    asked = plan_of(altered(FLOORED, {"floor_items[2].height": None}), lines=lines)
    assert sentence(asked).startswith("It may fit: measure how high tank is; and no line of the building's plan comes near")
    near = plan_of(FLOORED, lines=[BuildingLine("WALLS", ((-3000.0, 3000.0), (3000.0, 3000.0)))])
    assert (near.laid_off, near.grade) == (False, Grade.HOLDS)
    assert not plan_of(FLOORED).laid_off
