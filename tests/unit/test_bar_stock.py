"""How exact bar stock is: the edges of the size ranges, the rows of the straightness tables, and what is refused."""

from __future__ import annotations

import math

import pytest

from standoff.bar.section import Section, Shape
from standoff.bar.stock import GRADES_UM, UNMEASURED_END_MM, curvature_per_mm, default_grade, groups, size_limits, straightness
from standoff.errors import UsageError

EN, ASTM = "EN 10278:1999", "ASTM A108, Table A1.4"
ROUND, HEXAGON, SQUARE = (Section(shape, 20.0) for shape in Shape)


def test_the_upper_limit_belongs_to_the_range() -> None:
    """A bar of 18 mm lies in the row up to 18, one a trace above in the next."""
    assert size_limits("h9", size_mm=18.0).least_mm == pytest.approx(18.0 - 0.043)
    assert size_limits("h9", size_mm=18.001).least_mm == pytest.approx(18.001 - 0.052)
    assert size_limits("h12", size_mm=80.0).least_mm == pytest.approx(79.7)


@pytest.mark.parametrize("size_mm", [1.0, 3.0, 5.0, 10.0, 25.0, 42.0, 65.0, 80.0])
def test_a_coarser_grade_hangs_lower(size_mm: float) -> None:
    """The nominal size is the greatest of every grade, and each grade in turn allows more below it."""
    limits = [size_limits(grade, size_mm=size_mm) for grade in GRADES_UM]
    assert {limit.greatest_mm for limit in limits} == {size_mm}
    least = [limit.least_mm for limit in limits]
    assert least == sorted(least, reverse=True)
    assert len(set(least)) == len(GRADES_UM)
    assert least[-1] > 0.0


@pytest.mark.parametrize("size_mm", [0.0, -5.0, math.nan, math.inf, 80.001, 0.9])
def test_a_size_outside_the_table_is_refused(size_mm: float) -> None:
    """What is no size, and what the table does not reach, is refused."""
    with pytest.raises(UsageError, match="bar size"):
        size_limits("h9", size_mm=size_mm)


def test_an_unknown_grade_is_refused() -> None:
    """The refusal lists the grades."""
    with pytest.raises(UsageError, match="tolerance grade 'h8', expected h9 to h12; write"):
        size_limits("h8", size_mm=20.0)


def test_the_grade_when_none_was_ordered() -> None:
    """Ground rounds are h9, drawn ones h10, the others h11 and above 80 mm h12."""
    assert default_grade(ROUND, ground=True) == "h9"
    assert default_grade(ROUND, ground=False) == "h10"
    assert default_grade(Section(Shape.HEXAGON, 80.0), ground=False) == "h11"
    assert default_grade(Section(Shape.SQUARE, 80.1), ground=True) == "h12"


def test_the_ends_that_need_not_hold() -> None:
    """A cut length keeps its size nearly to the end, a drawn round does not."""
    assert UNMEASURED_END_MM["cut length"] < UNMEASURED_END_MM["not round"] < UNMEASURED_END_MM["round"]


@pytest.mark.parametrize(
    ("section", "expected"),
    [
        (ROUND, (1.0, 1.5, 1.0)),
        (Section(Shape.ROUND, 76.0), (1.0, 1.5, 1.0)),
        (HEXAGON, (1.0, 2.0, 1.0)),
        (Section(Shape.SQUARE, 75.0), (1.0, 2.0, 1.0)),
        (Section(Shape.SQUARE, 75.1), (1.5, 2.5, 1.5)),
    ],
)
def test_straightness_over_a_metre(section: Section, expected: tuple[float, ...]) -> None:
    """Rounds of any size, other shapes up to 75 mm, and larger ones have a row each; the chord is a metre."""
    rows = [straightness(EN, group, section, length_mm=3000.0) for group in groups(EN)]
    assert tuple(row.deviation_mm for row in rows) == expected
    assert all(row.chord_mm == 1000.0 and row.deviation_mm_per_m == row.deviation_mm for row in rows)
    assert [row.group for row in rows] == list(groups(EN))


@pytest.mark.parametrize(
    ("size_mm", "length_mm", "inches"),
    [(15.874, 4571.9, 0.125), (15.874, 4572.0, 0.125), (15.876, 4571.9, 0.0625), (15.875, 4572.0, 0.125)],
)
def test_straightness_over_ten_feet(size_mm: float, length_mm: float, inches: float) -> None:
    """Below or from 5/8 in, shorter or from 15 ft: each of the four columns is met at its edge."""
    row = straightness(ASTM, groups(ASTM)[0], Section(Shape.ROUND, size_mm), length_mm=length_mm)
    assert row.deviation_mm == pytest.approx(inches * 25.4)
    assert row.chord_mm == pytest.approx(3048.0)
    assert row.deviation_mm_per_m == pytest.approx(inches * 25.4 / 3.048)


def test_hexagons_are_allowed_more() -> None:
    """A hexagon of mild steel may deviate more than a round of the same size, a harder round more than a mild one."""
    mild, hard = groups(ASTM)
    of_round = straightness(ASTM, mild, ROUND, length_mm=3000.0).deviation_mm
    assert straightness(ASTM, mild, HEXAGON, length_mm=3000.0).deviation_mm == pytest.approx(2.0 * of_round)
    assert straightness(ASTM, hard, ROUND, length_mm=3000.0).deviation_mm == pytest.approx(2.0 * of_round)


@pytest.mark.parametrize(("section", "group"), [(SQUARE, 0), (SQUARE, 1), (HEXAGON, 1)])
def test_a_row_that_was_not_read_is_refused(section: Section, group: int) -> None:
    """Squares, and hexagons of harder steel, send to the certificate."""
    with pytest.raises(UsageError, match=r"straightness of a .*take the figure from the bar's certificate"):
        straightness(ASTM, groups(ASTM)[group], section, length_mm=3000.0)


def test_unknown_standards_and_groups_are_refused() -> None:
    """Both refusals say what to write instead."""
    with pytest.raises(UsageError, match=r"standard 'EN 10278:1998'.*write \"EN 10278:1999\""):
        groups("EN 10278:1998")
    with pytest.raises(UsageError, match=r"standard 'x'.*write one of"):
        straightness("x", "carbon", ROUND, length_mm=3000.0)
    with pytest.raises(UsageError, match=r"group of steels 'carbon below 0.2 %'.*write \"carbon below 0.25 %\""):
        straightness(EN, "carbon below 0.2 %", ROUND, length_mm=3000.0)


@pytest.mark.parametrize("length_mm", [0.0, -1.0, math.nan, math.inf])
def test_a_bar_without_length_has_no_straightness(length_mm: float) -> None:
    """A length that is none is refused even where the table does not ask for it."""
    with pytest.raises(UsageError, match="bar length"):
        straightness(EN, groups(EN)[0], ROUND, length_mm=length_mm)


def test_curvature_is_that_of_the_circle() -> None:
    """A circle of this curvature rises over a chord of a metre by the stated deviation."""
    radius = 1.0 / curvature_per_mm(straightness_mm_per_m=2.0)
    assert radius - math.sqrt(radius**2 - 500.0**2) == pytest.approx(2.0, rel=1e-4)
    assert curvature_per_mm(straightness_mm_per_m=0.0) == 0.0


@pytest.mark.parametrize("given", [-0.1, math.nan, math.inf])
def test_a_straightness_that_is_none_is_refused(given: float) -> None:
    """Negative, missing and endless deviations are refused."""
    with pytest.raises(UsageError, match=r"straightness .*correct the straightness"):
        curvature_per_mm(straightness_mm_per_m=given)
