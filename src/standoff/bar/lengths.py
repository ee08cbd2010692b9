"""How long the bars are that the mill sends, and what they yield on the average.

A bar ordered at a nominal length comes within a tolerance: evenly spread over it, or more often near one length. The mean number
of parts is a sum over the lengths at which one part more fits, each weighed with the chance of that length; the sum is closed, so
the mean is exact and costs the same for any number of parts.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from types import MappingProxyType

import numpy as np
from numpy.typing import ArrayLike

from standoff.bar.checks import require_finite, require_positive
from standoff.bar.yields import Cutting, Floats, Ints, require_bars, sealed
from standoff.errors import UsageError, write_instead
from standoff.units import ON_STEP_MM

LEAST_SPREAD_MM = 0.001
"""A spread below this and above 0 is refused: rounding of floating point would show through it."""


def _require_order(corners_mm: tuple[float, ...]) -> None:
    for corner in corners_mm:
        require_finite("tolerance of the bar length", corner)
    spreads = [b - a for a, b in pairwise(corners_mm)]
    if not all(spread == 0.0 or spread >= LEAST_SPREAD_MM for spread in spreads):
        raise UsageError(
            what="tolerance of the bar length",
            given=", ".join(f"{corner} mm" for corner in corners_mm),
            allowed=f"rising numbers, equal or at least {LEAST_SPREAD_MM} mm apart",
            action="put the lower limit first",
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Even:
    """Every length between nominal + lower and nominal + upper is as likely as any other; both the same: exact bars."""

    lower_mm: float = 0.0
    upper_mm: float = 0.0

    def __post_init__(self) -> None:
        _require_order(self.corners_mm)

    @property
    def corners_mm(self) -> tuple[float, ...]:
        """Where the likelihood breaks, from the nominal length. [mm]"""
        return (self.lower_mm, self.upper_mm)

    @property
    def mean_mm(self) -> float:
        """Mean length from the nominal one. [mm]"""
        return (self.lower_mm + self.upper_mm) / 2.0

    def mean_steps(self, start_mm: Floats, *, advance_mm: float) -> Floats:
        """The mean of floor(length / advance), where the nominal length is `start_mm`."""
        low, high = ((start_mm + corner) / advance_mm for corner in self.corners_mm)
        if self.lower_mm == self.upper_mm:
            return np.floor(low + ON_STEP_MM / advance_mm)
        sure = np.floor(low)
        # A length that a part more needs is reached with the chance of what lies beyond it.
        beyond = _sum(np.floor(high) - sure, high - np.floor(high))
        return sure + beyond * advance_mm / (self.upper_mm - self.lower_mm)


@dataclass(frozen=True, slots=True, kw_only=True)
class Peaked:
    """Lengths from nominal + lower to nominal + upper, likeliest at one between or at an end (a triangle)."""

    lower_mm: float
    likeliest_mm: float
    upper_mm: float

    def __post_init__(self) -> None:
        _require_order(self.corners_mm)
        if self.lower_mm == self.upper_mm:
            raise UsageError(
                what="tolerance of the bar length",
                given=f"both limits {self.lower_mm} mm",
                allowed="a spread to be peaked in",
                action="give an even tolerance instead",
            )

    @property
    def corners_mm(self) -> tuple[float, ...]:
        """Where the likelihood breaks, from the nominal length. [mm]"""
        return (self.lower_mm, self.likeliest_mm, self.upper_mm)

    @property
    def mean_mm(self) -> float:
        """Mean length from the nominal one. [mm]"""
        return (self.lower_mm + self.likeliest_mm + self.upper_mm) / 3.0

    def mean_steps(self, start_mm: Floats, *, advance_mm: float) -> Floats:
        """The mean of floor(length / advance), where the nominal length is `start_mm`."""
        low, peak, high = ((start_mm + corner) / advance_mm for corner in self.corners_mm)
        rise, fall = ((b - a) / advance_mm for a, b in pairwise(self.corners_mm))
        sure, likely, most = np.floor(low), np.floor(peak), np.floor(high)
        # Below the peak the chance to miss a length grows with the square of its distance from the lower end; above the peak the
        # chance to reach it falls with the square of its distance from the upper end.
        missed = _chance(_sum_of_squares(likely - sure, sure + 1.0 - low), rise * (rise + fall))
        reached = _chance(_sum_of_squares(most - likely, high - most), fall * (rise + fall))
        return likely - missed + reached


Tolerance = Even | Peaked

EXACT = Even()
"""Bars that are as long as ordered."""


@dataclass(frozen=True, slots=True)
class LengthType:
    """A way to order the length of bars: which nominal lengths there are, and how far the mill may deviate."""

    least_mm: float
    greatest_mm: float
    between: bool
    tolerance: Even


LENGTH_TYPES: Mapping[str, LengthType] = MappingProxyType(
    {
        "manufacturing": LengthType(3000.0, 9000.0, True, Even(lower_mm=-500.0, upper_mm=500.0)),
        "stock": LengthType(3000.0, 6000.0, False, Even(lower_mm=0.0, upper_mm=200.0)),
    }
)
"""Manufacturing length 3 to 9 m +/- 500 mm, stock length 3 or 6 m 0/+200 mm. EN 10278:1999, table of length types (from memory).
Between its two lengths the stock type has none."""

LEAST_EXACT_MM = 5.0
"""Exact lengths are by agreement, +/- 5 mm or more. EN 10278:1999 (from memory)."""


def mill_tolerance(length_type: str, *, nominal_mm: float) -> Even:
    """How far may bars of this type deviate from the length ordered?

    A row of the standard's table, taken as evenly spread: mills say nothing about which lengths are likelier.

    Args:
        length_type: "manufacturing" or "stock".
        nominal_mm: length ordered [mm].

    Returns:
        The tolerance around the nominal length.

    Raises:
        UsageError: an unknown type, or a length that the type does not have.

    Validity: bright steel bars; other metals and countries by the mill's own word.
    Source: EN 10278:1999, table of length types (from memory, not read).

    >>> mill_tolerance("stock", nominal_mm=3000.0)
    Even(lower_mm=0.0, upper_mm=200.0)
    """
    if length_type not in LENGTH_TYPES:
        action = write_instead(length_type, LENGTH_TYPES)
        raise UsageError(what="length type", given=f"'{length_type}'", allowed="one that is known", action=action)
    row = LENGTH_TYPES[length_type]
    inside = row.least_mm <= nominal_mm <= row.greatest_mm
    if not (inside and (row.between or nominal_mm in (row.least_mm, row.greatest_mm))):
        joint = "to" if row.between else "or"
        raise UsageError(
            what=f"{length_type} length",
            given=f"{nominal_mm} mm",
            allowed=f"{row.least_mm:.0f} {joint} {row.greatest_mm:.0f} mm",
            action="order by another type, or give the mill's tolerance",
        )
    return row.tolerance


def agreed_tolerance(*, deviation_mm: float) -> Even:
    """The tolerance of bars ordered to an exact length: plus or minus what was agreed, 5 mm or more (EN 10278, from memory)."""
    if require_positive("deviation agreed", deviation_mm) < LEAST_EXACT_MM:
        raise UsageError(
            what="deviation agreed",
            given=f"{deviation_mm} mm",
            allowed=f"{LEAST_EXACT_MM:.0f} mm or more",
            action="ask the mill what it really holds",
        )
    return Even(lower_mm=-deviation_mm, upper_mm=deviation_mm)


@dataclass(frozen=True, slots=True, eq=False)
class Expected:
    """What bars ordered at these nominal lengths yield on the average, one entry for each."""

    cutting: Cutting
    nominal_mm: Floats
    bar_mm: Floats
    parts: Floats
    fewest: Ints
    most: Ints

    @property
    def remnant_mm(self) -> Floats:
        """Mean remnant. [mm]"""
        return self.bar_mm - self.cutting.facing_mm - self.parts * self.cutting.advance_mm

    @property
    def yield_share(self) -> Floats:
        """Share of all the length bought that becomes parts: what the money sees, not the mean of each bar's share."""
        return self.parts * self.cutting.part_mm / self.bar_mm

    @property
    def bought_per_part_mm(self) -> Floats:
        """Length bought for each part. [mm]"""
        if not np.all(self.parts > 0.0):
            raise UsageError(
                what="bar length",
                given=f"{np.min(self.nominal_mm)} mm",
                allowed="long enough for a part",
                action="take longer bars, or shorten the remnant",
            )
        return self.bar_mm / self.parts

    @property
    def wasted_per_part_mm(self) -> Floats:
        """Length bought for each part beyond the part itself: its cut-off, its share of facing and remnant. [mm]"""
        return self.bought_per_part_mm - self.cutting.part_mm

    def bought_per_part_kg(self, *, mass_kg_m: float) -> Floats:
        """Material bought for each part; its inverse is the parts per kilogram. [kg]"""
        return self.bought_per_part_mm * require_positive("mass per metre", mass_kg_m) / 1000.0

    def wasted_per_part_kg(self, *, mass_kg_m: float) -> Floats:
        """Material bought for each part beyond the part as cut off. [kg]"""
        return self.wasted_per_part_mm * require_positive("mass per metre", mass_kg_m) / 1000.0


def expected(cutting: Cutting, nominal_mm: ArrayLike, tolerance: Tolerance = EXACT) -> Expected:
    """What do bars yield on the average that come within the mill's tolerance?

    The mean of the stepped count over the spread of lengths, exact for the spread that is given. Real deliveries lean to one side
    of the tolerance: a whole delivery may then be up to one part per bar better or worse than the mean.

    Args:
        cutting: how the bars are cut.
        nominal_mm: length or lengths ordered, of any shape [mm].
        tolerance: spread around the nominal length.

    Returns:
        Mean bar [mm], mean parts, fewest and most parts; from them mean remnant, yield, and what is bought for each part.

    Raises:
        UsageError: what `cut_up` refuses, for the shortest bar within the tolerance.

    Validity: as `cut_up`.
    Source: the mean of a count is the sum of the chances of reaching each; distribution functions of rectangle and triangle.

    >>> axle = Cutting(part_mm=57.0, cut_off_mm=3.0, remnant_mm=300.0)
    >>> bars = expected(axle, 3000.0, Even(lower_mm=0.0, upper_mm=60.0))  # spread over just one part more
    >>> float(bars.parts), float(bars.remnant_mm)  # the mean remnant is half a part above the shortest
    (45.0, 330.0)
    """
    nominal = np.array(nominal_mm, dtype=np.float64)
    shortest, *_, longest = tolerance.corners_mm
    bounds = (nominal + shortest, nominal + longest)
    require_bars(np.stack(bounds), part_mm=cutting.part_mm, held_mm=cutting.held_mm)
    parts = tolerance.mean_steps(nominal - cutting.unused_mm, advance_mm=cutting.advance_mm)
    fewest, most = (sealed(np.floor(cutting.advances(bound)).astype(np.int64)) for bound in bounds)
    return Expected(cutting, sealed(nominal), sealed(nominal + tolerance.mean_mm), sealed(parts), fewest, most)


def _sum(count: Floats, first: Floats) -> Floats:
    """first + (first + 1) + ..., so many terms."""
    return count * first + count * (count - 1.0) / 2.0


def _sum_of_squares(count: Floats, first: Floats) -> Floats:
    """first^2 + (first + 1)^2 + ..., so many terms; none is negative, so nothing cancels."""
    below = count * (count - 1.0)
    return count * first**2 + first * below + below * (2.0 * count - 1.0) / 6.0


def _chance(total: Floats, spread_ratio: float) -> Floats:
    """A sum divided by its spread; without spread there is nothing to sum."""
    return total / spread_ratio if spread_ratio > 0.0 else np.zeros_like(total)
