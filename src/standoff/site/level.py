"""The level: slopes along and across, in mm per metre.

Gravity is not the target, the spindle is. Along, the same level is read on the spindle too and only the difference counts.
Across, a spindle has no upright of its own: there the loader is set to the level.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from standoff.bar.checks import require_finite, require_not_negative, require_positive
from standoff.site.axis import METRE_MM, PITCH, ROLL
from standoff.site.fit import Observation

_ARCMIN_PER_RAD = 60.0 * 180.0 / math.pi


def slope_mm_per_m(angle_deg: float) -> float:
    """How steep is an angle?

    The tangent, exact.

    Args: angle_deg [deg].
    Returns: slope [mm/m].
    Raises: UsageError for what is not finite.
    Validity: below 90 deg.
    Source: own computation; level-vial conversions print it rounded.

    >>> round(slope_mm_per_m(5.0), 2)
    87.49
    """
    return METRE_MM * math.tan(math.radians(require_finite("angle", angle_deg)))


def angle_arcmin(slope_mm_per_m: float) -> float:
    """What angle is a slope, in minutes of arc?

    The arc tangent, exact.

    Args: slope_mm_per_m [mm/m].
    Returns: angle [arc minutes].
    Raises: UsageError for what is not finite.
    Validity: any slope.
    Source: own computation; level-vial conversions print it rounded.

    >>> round(angle_arcmin(6.5), 2)
    22.35
    """
    return math.atan(require_finite("slope", slope_mm_per_m) / METRE_MM) * _ARCMIN_PER_RAD


@dataclass(frozen=True, slots=True)
class Turned:
    """A level read twice, turned end for end in between: the slope of the surface, and what the level shows when it is level."""

    slope_mm_per_m: float
    zero_mm_per_m: float


def turned(*, first_mm_per_m: float, second_mm_per_m: float) -> Turned:
    """What is the slope, whatever the level's own zero?

    Both as shown by the level, the same end of the level up counted positive: slope = half the difference, zero = half the sum.

    Args: readings before and after turning the level end for end on the same spot [mm/m].
    Returns: slope along the first direction, and the level's zero [mm/m].
    Raises: UsageError for what is not finite.
    Validity: a surface that supports the level at the same points both ways.
    Source: own computation (common practice of reversal).

    >>> turned(first_mm_per_m=0.5, second_mm_per_m=-0.25)
    Turned(slope_mm_per_m=0.375, zero_mm_per_m=0.125)
    """
    first, second = require_finite("first reading", first_mm_per_m), require_finite("turned reading", second_mm_per_m)
    return Turned((first - second) / 2.0, (first + second) / 2.0)


def across(
    name: str, *, slope_mm_per_m: float, u_mm_per_m: float, level: str = "the level", zero_u_mm_per_m: float = 0.0
) -> Observation:
    """How far is the loader rolled?

    A level laid across it, the slope positive where the left side is up. The reading IS the roll; seats that are not square to
    the magazine belong into the uncertainty.

    Args:
        slope_mm_per_m: the slope, best from the level turned end for end [mm/m].
        u_mm_per_m: standard uncertainty of reading and seat [mm/m].
        level: which level, for the error that its readings share.
        zero_u_mm_per_m: standard uncertainty of its zero; 0 where it was turned [mm/m].

    Returns: a roll, as mm over one metre.
    Raises: UsageError for an uncertainty that is not above zero.
    Validity: slopes below 10 mm/m.
    Source: own computation.
    """
    shared = ((f"zero of {level}", require_not_negative("uncertainty of the zero", zero_u_mm_per_m)),)
    return Observation(name, ((ROLL, 1.0),), slope_mm_per_m, u_mm_per_m, shared)


def along(name: str, *, loader_mm_per_m: float, spindle_mm_per_m: float, u_mm_per_m: float) -> Observation:
    """How does the loader's axis rise against the spindle's?

    The same level the same way round on both: its zero drops out of the difference. Read on the loader alone it would tell of
    gravity, which is not the target.

    Args:
        loader_mm_per_m: on the loader, along its axis, positive where it rises forward [mm/m].
        spindle_mm_per_m: on a bar held by the spindle, averaged over half a turn of it [mm/m].
        u_mm_per_m: standard uncertainty of each of the two [mm/m].

    Returns: a pitch, as mm over one metre.
    Raises: UsageError for an uncertainty that is not above zero.
    Validity: slopes below 10 mm/m; a test bar that does not sag at the level, or corrected for it.
    Source: own computation.
    """
    u_mm = math.sqrt(2.0) * require_positive(f"uncertainty of {name}", u_mm_per_m)
    difference_mm = require_finite("level on the loader", loader_mm_per_m) - require_finite(
        "level on the spindle", spindle_mm_per_m
    )
    return Observation(name, ((PITCH, 1.0),), difference_mm, u_mm)
