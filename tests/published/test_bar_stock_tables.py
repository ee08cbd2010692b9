"""Size and straightness of bar stock: tables of ISO 286, EN 10278 and ASTM A108 as copies of them print them.

The tables are compared as they stand, without tolerance. All were read in tables that stockholders reproduce, none in the
standards themselves. Ids here: S01, S02, S04 to S09, S11 to S13. No counterpart: S10 (length types, from memory: the room
takes the length as measured) and S15 (the American tolerance on diameter, from memory: only ISO grades are offered).
"""

from __future__ import annotations

import pytest

from standoff.bar.section import Section, Shape
from standoff.bar.stock import UNMEASURED_END_MM, default_grade, groups, size_limits, straightness
from standoff.errors import UsageError
from standoff.units import FOOT_MM, INCH_MM

INCH, FOOT = float(INCH_MM), float(FOOT_MM)
EN, ASTM = "EN 10278:1999", "ASTM A108, Table A1.4"
UPPER_MM = ("6", "10", "18", "30", "50", "80")


# ISO 286-2:2010 as reproduced in tables to EN 10278: lower deviation in micrometres for sizes above 3 to 6, to 10, to 18, to 30,
# to 50 and to 80 mm; the upper one is 0.
@pytest.mark.parametrize(
    ("grade", "printed_um"),
    [
        ("h9", ("-30", "-36", "-43", "-52", "-62", "-74")),
        ("h10", ("-48", "-58", "-70", "-84", "-100", "-120")),
        ("h12", ("-120", "-150", "-180", "-210", "-250", "-300")),
    ],
)
def test_iso_286_grades(grade: str, printed_um: tuple[str, ...]) -> None:
    """The row holds up to its upper size and begins just above the one before."""
    before_mm = 3.0
    for upper, printed in zip(UPPER_MM, printed_um, strict=True):
        for size_mm in (before_mm + 0.001, float(upper)):
            limits = size_limits(grade, size_mm=size_mm)
            assert limits.greatest_mm == size_mm
            assert (limits.least_mm - size_mm) * 1000.0 == pytest.approx(float(printed), abs=1e-6)
        before_mm = float(upper)


# EN 10278, explanation (secondary copy): diameter 20 h9 is 19.948 to 20.000 mm.
def test_twenty_h9() -> None:
    """The worked case."""
    limits = size_limits("h9", size_mm=20.0)
    assert (f"{limits.least_mm:.3f}", f"{limits.greatest_mm:.3f}") == ("19.948", "20.000")


# EN 10278:1999, table of straightness (secondary copy), mm/m: carbon below 0.25 %; 0.25 % and more, alloy, quenched and tempered;
# stainless, tool and bearing steels. Rounds of any size; squares and hexagons to 75 mm; above.
@pytest.mark.parametrize(
    ("shapes", "size_mm", "printed"),
    [
        ((Shape.ROUND,), 20.0, ("1.0", "1.5", "1.0")),
        ((Shape.ROUND,), 80.0, ("1.0", "1.5", "1.0")),
        ((Shape.SQUARE, Shape.HEXAGON), 75.0, ("1.0", "2.0", "1.0")),
        ((Shape.SQUARE, Shape.HEXAGON), 75.1, ("1.5", "2.5", "1.5")),
    ],
)
def test_en_10278_straightness(shapes: tuple[Shape, ...], size_mm: float, printed: tuple[str, ...]) -> None:
    """Each shape and size over the three groups of steels."""
    for shape in shapes:
        rows = [straightness(EN, group, Section(shape, size_mm), length_mm=3000.0) for group in groups(EN)]
        assert [row.deviation_mm_per_m for row in rows] == [float(x) for x in printed]


# EN 10278:1999, inspection clause (secondary copy): sizes are measured at least 150 mm from the end of rounds, 10 mm of cut
# lengths, 25 mm of other shapes.
def test_where_sizes_are_measured() -> None:
    """The three distances."""
    assert dict(UNMEASURED_END_MM) == {"round": float("150"), "cut length": float("10"), "not round": float("25")}


# EN 10278:1999 (secondary copy): without an ordered tolerance drawn or turned rounds are h10, hexagons and squares h11 to 80 mm
# and h12 above, ground bars h9.
def test_grades_when_none_was_ordered() -> None:
    """Each default."""
    assert default_grade(Section(Shape.ROUND, 20.0), ground=False) == "h10"
    assert default_grade(Section(Shape.ROUND, 20.0), ground=True) == "h9"
    for shape in (Shape.HEXAGON, Shape.SQUARE):
        assert default_grade(Section(shape, 80.0), ground=False) == "h11"
        assert default_grade(Section(shape, 80.1), ground=False) == "h12"


# ASTM A108, Table A1.4, level 1 (secondary copy), inches in any 10 ft: below 5/8 in and shorter than 15 ft, below 5/8 in and
# longer, from 5/8 in and shorter, from 5/8 in and longer. Of the first row the copy prints one figure for both lengths.
@pytest.mark.parametrize(
    ("group", "shape", "printed_in"),
    [
        (0, Shape.ROUND, ("0.125", "0.125", "0.0625", "0.125")),
        (0, Shape.HEXAGON, ("0.1875", "0.3125", "0.125", "0.1875")),
        (1, Shape.ROUND, ("0.1875", "0.1875", "0.125", "0.1875")),
    ],
    ids=["rounds to 0.28 %", "hexagons to 0.28 %", "rounds above 0.28 %"],
)
def test_astm_a108_straightness(group: int, shape: Shape, printed_in: tuple[str, ...]) -> None:
    """Both sides of 5/8 in and of 15 ft; the deviation is over a chord of 10 ft."""
    cases = [(0.624, 14.9), (0.624, 15.0), (0.625, 14.9), (0.625, 15.0)]
    for (size_in, length_ft), printed in zip(cases, printed_in, strict=True):
        row = straightness(ASTM, groups(ASTM)[group], Section(shape, size_in * INCH), length_mm=length_ft * FOOT)
        assert row.deviation_mm / INCH == pytest.approx(float(printed), rel=1e-12)
        assert row.chord_mm == pytest.approx(10.0 * FOOT)


# The same copy: squares, and hexagons above 0.28 % carbon, were not read in it.
@pytest.mark.parametrize(("group", "shape"), [(0, Shape.SQUARE), (1, Shape.SQUARE), (1, Shape.HEXAGON)])
def test_rows_that_were_not_read_are_refused(group: int, shape: Shape) -> None:
    """No figure is made up for them."""
    with pytest.raises(UsageError):
        straightness(ASTM, groups(ASTM)[group], Section(shape, 20.0), length_mm=3000.0)


# 1/16 in over 10 ft is 0.52 mm/m: the American row for rounds from 5/8 in is tighter than the European 1.0.
def test_the_american_row_is_the_tighter() -> None:
    """A short round of 20 mm by both."""
    section = Section(Shape.ROUND, 20.0)
    american = straightness(ASTM, groups(ASTM)[0], section, length_mm=3000.0).deviation_mm_per_m
    assert american == pytest.approx(float("0.52"), abs=0.005)
    assert american < straightness(EN, groups(EN)[0], section, length_mm=3000.0).deviation_mm_per_m
