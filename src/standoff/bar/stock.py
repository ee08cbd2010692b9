"""How exact bar stock is: diameter tolerance by ISO 286 grade, straightness by named standard, and where neither holds.

Data with their sources, read from copies of the standards by stockholders (never from the standards themselves). Straightness
is a largest deviation over a chord; the curvature that goes with it is what bows the bar.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from standoff.bar.checks import require_not_negative, require_positive
from standoff.bar.section import Section, Shape
from standoff.errors import UsageError, write_instead
from standoff.units import FOOT_MM, INCH_MM

_UP_TO_MM = (3.0, 6.0, 10.0, 18.0, 30.0, 50.0, 80.0)
GRADES_UM: Mapping[str, tuple[int, ...]] = MappingProxyType(
    {
        "h9": (25, 30, 36, 43, 52, 62, 74),
        "h10": (40, 48, 58, 70, 84, 100, 120),
        "h11": (60, 75, 90, 110, 130, 160, 190),
        "h12": (100, 120, 150, 180, 210, 250, 300),
    }
)
"""Width of the tolerance [um] of each grade, for sizes up to 3, 6, 10, 18, 30, 50, 80 mm (the upper limit belongs to the range).
ISO 286-2:2010 as reproduced in tables to EN 10278; rows up to 3 mm and grade h11 from memory."""

UNMEASURED_END_MM: Mapping[str, float] = MappingProxyType({"round": 150.0, "cut length": 10.0, "not round": 25.0})
"""How far from a bar's end its size need not hold yet (EN 10278:1999, inspection clause): the end that enters the collet."""


@dataclass(frozen=True, slots=True)
class SizeLimits:
    """Least and greatest size of a bar of a grade."""

    least_mm: float
    greatest_mm: float


def size_limits(grade: str, *, size_mm: float) -> SizeLimits:
    """Between which sizes may a bar of this grade lie?

    ISO 286: an h grade hangs the whole tolerance below the nominal size. Holds for the bar between its ends only.

    Args:
        grade: h9, h10, h11 or h12.
        size_mm: nominal diameter, or size across flats [mm].

    Returns:
        Least and greatest size [mm].

    Raises:
        UsageError: an unknown grade, a size that is no number from 1 to 80 mm.

    Validity: sizes from 1 to 80 mm.
    Source: ISO 286-2:2010 and EN 10278, as reproduced by stockholders.

    >>> size_limits("h9", size_mm=20.0)  # EN 10278 explains: 19.948 to 20.000
    SizeLimits(least_mm=19.948, greatest_mm=20.0)
    """
    if grade not in GRADES_UM:
        raise UsageError(what="tolerance grade", given=f"'{grade}'", allowed="h9 to h12", action=write_instead(grade, GRADES_UM))
    row = bisect_left(_UP_TO_MM, require_positive("bar size", size_mm))
    if row == len(_UP_TO_MM) or size_mm < 1.0:
        raise UsageError(
            what="bar size", given=f"{size_mm} mm", allowed="1 to 80 mm", action="take the limits from the bar's certificate"
        )
    return SizeLimits(least_mm=size_mm - GRADES_UM[grade][row] / 1000.0, greatest_mm=size_mm)


def default_grade(section: Section, *, ground: bool) -> str:
    """The grade when none was ordered: EN 10278:1999 (ground h9; drawn round h10; hexagon and square h11, above 80 mm h12)."""
    if section.shape is Shape.ROUND:
        return "h9" if ground else "h10"
    return "h11" if section.size_mm <= 80.0 else "h12"


@dataclass(frozen=True, slots=True)
class Straightness:
    """A largest deviation over a chord, by a named standard and the group of bars it is meant for."""

    standard: str
    group: str
    deviation_mm: float
    chord_mm: float

    @property
    def deviation_mm_per_m(self) -> float:
        """The deviation per metre, as the chord is shortened in proportion. [mm/m]

        A steady arc would shrink with the chord squared; a bar that deviates at one place does not. Errs high, the safe side.
        """
        return self.deviation_mm * 1000.0 / self.chord_mm


_EN, _ASTM, _TEN_FEET_MM = "EN 10278:1999", "ASTM A108, Table A1.4", 10.0 * float(FOOT_MM)
_EN_GROUPS = ("carbon below 0.25 %", "carbon 0.25 % and more, alloy, quenched and tempered", "stainless, tool and bearing steel")
_ASTM_GROUPS = ("carbon to 0.28 %", "carbon above 0.28 %, or thermally treated")
_EN_ROUND, _EN_SMALL, _EN_LARGE = (1.0, 1.5, 1.0), (1.0, 2.0, 1.0), (1.5, 2.5, 1.5)
# Inches per 10 ft: below 5/8 in and shorter than 15 ft, below 5/8 in and longer, from 5/8 in shorter, from 5/8 in longer.
_ASTM_IN = MappingProxyType(
    {
        (_ASTM_GROUPS[0], True): (0.125, 0.125, 0.0625, 0.125),
        (_ASTM_GROUPS[0], False): (0.1875, 0.3125, 0.125, 0.1875),
        (_ASTM_GROUPS[1], True): (0.1875, 0.1875, 0.125, 0.1875),
    }
)


def straightness(standard: str, group: str, section: Section, *, length_mm: float) -> Straightness:
    """How far may a bar of this standard and group deviate from straight?

    A row of the standard's table. What a bar was delivered with, not what it is after handling: that errs low.

    Args:
        standard: "EN 10278:1999" or "ASTM A108, Table A1.4".
        group: the group of steels, as listed by `groups`.
        section: shape and size.
        length_mm: length of the bar [mm]; only ASTM A108 asks for it.

    Returns:
        Largest deviation [mm] over its chord [mm].

    Raises:
        UsageError: unknown standard or group, a shape the table does not have, or a length that is no positive number.

    Validity: cold-finished steel bars; of the American table the squares, and hexagons above 0.28 % carbon, were not read.
    Source: EN 10278:1999 and ASTM A108, as reproduced by stockholders.

    >>> straightness("EN 10278:1999", "carbon below 0.25 %", Section(Shape.ROUND, 20.0), length_mm=3000.0).deviation_mm
    1.0
    """
    require_positive("bar length", length_mm)
    known = groups(standard)
    if group not in known:
        raise UsageError(
            what="group of steels", given=f"'{group}'", allowed="one of the standard", action=write_instead(group, known)
        )
    if standard == _EN:
        row = _EN_ROUND if section.shape is Shape.ROUND else _EN_SMALL if section.size_mm <= 75.0 else _EN_LARGE
        return Straightness(_EN, group, row[known.index(group)], 1000.0)
    table = None if section.shape is Shape.SQUARE else _ASTM_IN.get((group, section.shape is Shape.ROUND))
    if table is None:
        raise UsageError(
            what="straightness",
            given=f"of a {section.shape.value}, {group}",
            allowed="rounds, and hexagons to 0.28 % carbon",
            action="take the figure from the bar's certificate and give it in mm/m",
        )
    thick, long = section.size_mm >= 0.625 * float(INCH_MM), length_mm >= 1.5 * _TEN_FEET_MM
    return Straightness(_ASTM, group, table[2 * thick + long] * float(INCH_MM), _TEN_FEET_MM)


def groups(standard: str) -> tuple[str, ...]:
    """The groups of steels that a standard tells apart."""
    known = {_EN: _EN_GROUPS, _ASTM: _ASTM_GROUPS}
    if standard not in known:
        raise UsageError(
            what="standard", given=f"'{standard}'", allowed="one whose table is here", action=write_instead(standard, known)
        )
    return known[standard]


def curvature_per_mm(*, straightness_mm_per_m: float) -> float:
    """How strongly is a bar curved that is just as straight as allowed?

    A steady arc of deviation s over a chord of 1 m has curvature 8 s / chord^2; a bar may be curved as much in changing
    directions.

    Args:
        straightness_mm_per_m: largest deviation over a chord of 1 m [mm/m].

    Returns:
        Curvature [1/mm].

    Raises:
        UsageError: negative or not finite.

    Validity: deviations far below the chord.
    Source: geometry of the circle.

    >>> curvature_per_mm(straightness_mm_per_m=1.0)
    8e-06
    """
    return 8e-6 * require_not_negative("straightness", straightness_mm_per_m)
