"""The way of the nose between cover and loader: what stands in it, what passes it, and an axis of unknown height."""

from __future__ import annotations

import pytest

from standoff.draw.floor import distance_words
from standoff.job.floor_answer import floor_contents
from standoff.job.floor_drawn import BuildingLine
from standoff.job.floor_plan import FloorPlan
from standoff.job.floor_speech import check_line, sentence
from standoff.site.floor import FloorCheck, Grade
from tests.floors import FLOORED, plan_of
from tests.texts import altered

WIDE = {"bar_path.pusher_od": '"80 mm"', "bar_path.pusher_collet_od": '"84 mm"'}
THING = """
[[floor_items]]
name = "pipe"
kind = "{kind}"
behind = "{behind} mm"
ahead = "{ahead} mm"
left = "{left} mm"
right = "{right} mm"
"""
AXIS_MM = 1050.0
"""How high the spindle axis of the tests' job is. The loader's body begins 328 mm behind the cover and comes 170 mm nearer."""


def pipe(more: str = "", *, kind: str = "other", behind: float = 100.0, left: float = 30.0, right: float = 30.0) -> str:
    """Something 40 mm long between cover and loader, where the shifting loader leaves it its clearance."""
    return THING.format(kind=kind, behind=behind, ahead=-(behind - 40.0), left=left, right=right) + more + "\n"


def ways(plan: FloorPlan) -> list[FloorCheck]:
    """The rows of the nose's way."""
    return [row for row in plan.rows if row.between[0] == "nose"]


@pytest.mark.parametrize(
    ("more", "grade"),
    [
        ('height = "2 m"', Grade.CLASH),
        ('height = "1030 mm"', Grade.CLASH),
        ('height = "1025 mm"', None),
        ('from_floor = "1075 mm"', None),
        ('from_floor = "1070 mm"', Grade.CLASH),
        ('carrier = "lathe"\nheight = "2 m"', None),
        ("", Grade.UNKNOWN),
    ],
)
def test_what_stands_on_the_axis_at_its_height(more: str, grade: Grade | None) -> None:
    """25 mm to each side of the axis, 1050 mm high, are the nose's; a part of the lathe carries it; a height is asked for."""
    rows = ways(plan_of(FLOORED + pipe(more)))
    assert [row.grade for row in rows] == ([] if grade is None else [grade])


@pytest.mark.parametrize(("right", "changes", "count"), [(-25.0, {}, 0), (-24.0, {}, 1), (-41.0, WIDE, 1), (-42.0, WIDE, 0)])
def test_how_wide_the_way_is(right: float, changes: dict[str, str | None], count: int) -> None:
    """25 mm to each side at least; a pusher collet of 84 mm needs 42 mm."""
    text = altered(FLOORED, changes) + pipe('height = "2 m"', left=200.0, right=right)
    assert len(ways(plan_of(text))) == count


def test_it_is_told_as_such() -> None:
    """Sentence, row, drawing and the answer for other programs."""
    plan = plan_of(FLOORED + pipe('height = "2 m"'))
    assert sentence(plan) == "It does not fit on the floor: pipe stands in the way of the nose."
    (row,) = ways(plan)
    assert check_line(row, plan) == "Pipe stands in the way of the nose."
    assert distance_words(row, plan) == "way of the nose and pipe: in its way"
    way = floor_contents(plan, program="test")["way_of_nose"]
    assert (way["from_floor_mm"], way["height_mm"]) == (AXIS_MM - 25.0, AXIS_MM + 25.0)
    assert sorted({x for x, _ in way["corners_mm"]}) == [-288.0, 40.0]


@pytest.mark.parametrize("kind", ["column", "conveyor", "cabinet"])
def test_what_only_stands_near_the_lathe_is_no_part_of_it(kind: str) -> None:
    """A conveyor that rises there is in the way, whatever it belongs to."""
    text = altered(FLOORED, {"lathe.cover_to_wall": None})
    assert [row.grade for row in ways(plan_of(text + pipe('height = "2 m"', kind=kind)))] == [Grade.CLASH]


def test_a_drawn_line_across_the_way() -> None:
    """One that crosses the axis between cover and loader is in the way; one beside it, or under the loader, is not."""
    for line, count in (
        (((-60.0, -500.0), (-60.0, 500.0)), 1),
        (((-60.0, -500.0), (-60.0, -25.0)), 0),
        (((-900.0, -500.0), (-900.0, 500.0)), 0),
    ):
        plan = plan_of(FLOORED, lines=[BuildingLine("WALLS", line)])
        assert [row.grade for row in ways(plan)] == [Grade.CLASH] * count


def test_an_axis_of_unknown_height_is_asked_for() -> None:
    """Somewhere in the loader's range, or in its body: what fills all of it is in the way, what takes a part of it may be."""
    text = altered(FLOORED, {"lathe.centre_height": None})
    for more, grade in (('height = "2 m"', Grade.CLASH), ('height = "1 m"', Grade.UNKNOWN), ('height = "600 mm"', None)):
        rows = ways(plan_of(text + pipe(more)))
        assert [row.grade for row in rows] == ([] if grade is None else [grade])
    plan = plan_of(text + pipe('height = "1 m"'))
    assert sentence(plan) == "It may fit: measure how high the spindle axis (lathe.centre_height) is, then ask again."
    assert check_line(ways(plan)[0], plan).endswith("measure how high the spindle axis (lathe.centre_height) is.")
    both = plan_of(text + pipe())
    assert "how high the spindle axis (lathe.centre_height) and pipe are" in sentence(both)


def test_a_loader_in_the_lathe_has_no_way() -> None:
    """No room between them: they run into each other, and nothing is said of the nose."""
    plan = plan_of(FLOORED + pipe('height = "2 m"'), standoff_mm=-60.0)
    assert plan.nose is None
    assert ways(plan) == []
