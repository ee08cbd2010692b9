"""What is good enough: tolerances from the job or from common practice, and the grade of a residual against them.

A residual is graded with its uncertainty, as everywhere in the program: inside with the guard band, inside only without it, or
outside. The loader's range of centre heights is judged the same way, before anything is levelled.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from standoff.bar.checks import require_finite, require_not_negative, require_positive
from standoff.errors import UsageError
from standoff.site.axis import Miss, Point
from standoff.solve.window import GUARD_FACTOR

COMMON_PRACTICE = "common practice, no published source"

Grade = Literal["within", "within if measured better", "not decided", "outside"]
"""How a residual lies. `not decided`: it hangs on something that was not read, such as a travel read at one end only."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Tolerances:
    """Half-widths allowed: at the spindle's face and along the axis, roll, rock of a foot, and change on tightening.

    The defaults are common practice, no published source; the makers' figures win. `basis` says where they are from.
    """

    spindle_mm: float = 0.1
    axis_mm: float = 0.25
    roll_mm_per_m: float = 0.5
    rock_mm: float = 0.05
    tightening_mm: float = 0.05
    basis: str = COMMON_PRACTICE

    def __post_init__(self) -> None:
        for what, given in (
            ("tolerance at the spindle", self.spindle_mm),
            ("tolerance along the axis", self.axis_mm),
            ("tolerance of the roll", self.roll_mm_per_m),
            ("tolerance of a foot's rock", self.rock_mm),
            ("tolerance on tightening", self.tightening_mm),
        ):
            require_positive(what, given)

    def at_mm(self, point: Point) -> float:
        """What is allowed here: at a place of the spindle, wherever its headstock stands, or along the loader [mm]."""
        return self.spindle_mm if point.at_spindle else self.axis_mm


def grade(*, residual_share: float, u_share: float) -> Grade:
    """Is a residual within its tolerance, and how sure is that?

    Guarded acceptance: |residual| + 1.645 u within the tolerance, each side one-sided 95 %.

    Args: the residual and its standard uncertainty, both as shares of the half-width allowed.
    Returns: the grade.
    Raises: UsageError for a share that is not finite or an uncertainty below zero.
    Validity: normal errors.
    Source: JCGM 106:2012, 8.3.2.

    >>> grade(residual_share=0.5, u_share=0.4)
    'within if measured better'
    """
    size = abs(require_finite("residual", residual_share))
    if size + GUARD_FACTOR * require_not_negative("uncertainty", u_share) <= 1.0:
        return "within"
    return "within if measured better" if size <= 1.0 else "outside"


def graded(miss: Miss, tolerance_mm: float) -> Grade:
    """The grade of a miss against the half-width allowed."""
    require_positive("tolerance", tolerance_mm)
    return grade(residual_share=miss.miss_mm / tolerance_mm, u_share=miss.u_mm / tolerance_mm)


@dataclass(frozen=True, slots=True)
class CentreHeight:
    """The spindle's height in the loader's range: what is left below and above it (negative: outside) [mm], and the grade."""

    below_mm: float
    above_mm: float
    u_mm: float
    grade: Grade

    @property
    def lacks_mm(self) -> float:
        """By how much the loader must be raised (positive) or lowered as a whole, on other feet or a plinth; 0 inside [mm]."""
        return max(-self.above_mm, 0.0) - max(-self.below_mm, 0.0)


def centre_height(*, spindle_mm: float, least_mm: float, greatest_mm: float, u_mm: float) -> CentreHeight:
    """Can the loader's axis be brought to the spindle's height at all?

    The spindle's height above the floor against the loader's range. Judged at the lathe: where the floor falls between lathe and
    loader, that belongs into the spindle's height as seen from the loader's feet.

    Args: height of the spindle's axis and its standard uncertainty; least and greatest height of the loader's axis [mm].
    Returns: what is left to either end, and the grade.
    Raises: UsageError for a range whose least exceeds its greatest.
    Validity: normal errors.
    Source: JCGM 106:2012, 8.3.2 (guard band).
    """
    require_not_negative("uncertainty of the spindle's height", u_mm)
    if require_finite("least height", least_mm) > require_finite("greatest height", greatest_mm):
        given = f"{least_mm} to {greatest_mm} mm"
        raise UsageError(what="range of centre heights", given=given, allowed="the least first", action="swap the two")
    below_mm = require_positive("height of the spindle", spindle_mm) - least_mm
    above_mm = greatest_mm - spindle_mm
    left_mm = min(below_mm, above_mm)
    if left_mm < 0.0:
        return CentreHeight(below_mm, above_mm, u_mm, "outside")
    return CentreHeight(below_mm, above_mm, u_mm, "within" if left_mm >= GUARD_FACTOR * u_mm else "within if measured better")
