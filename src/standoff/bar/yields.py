"""What a bar yields: how many parts, how long a remnant, and where its length and mass go.

Everything follows from one sum: bar = facing + parts + cut-offs + remnant. The remnant may not be shorter than the lathe and the
pusher can hold; what is left beyond that, up to one part and its cut-off, is the saw-tooth that makes some bar lengths better
than others.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import TypeVar

import numpy as np
from numpy.typing import ArrayLike, NDArray

from standoff.bar.checks import require_not_negative, require_positive
from standoff.errors import UsageError
from standoff.units import ON_STEP_MM

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
_Scalar = TypeVar("_Scalar", bound=np.generic)
MeanCount = float
"""A number of parts on the average over many bars: not a whole one."""

SHORTEST_PART_MM = 0.01
LONGEST_BAR_MM = 100_000.0
"""Beyond these a unit was mistaken; within them rounding of floating point stays below 1e-9 mm."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Cutting:
    """How a bar is cut: the part's length, the cut-off tool's width, the shortest remnant, what facing takes, the pick-off.

    `pick_off_gain_mm`: how much shorter than the shortest remnant the rest may be after the LAST part, since a sub-spindle holds
    that part while it is cut off, so that the main collet need not grip behind it any more. 0: no pick-off.
    """

    part_mm: float
    cut_off_mm: float
    remnant_mm: float
    facing_mm: float = 0.0
    pick_off_gain_mm: float = 0.0

    def __post_init__(self) -> None:
        require_cut(part_mm=self.part_mm, cut_off_mm=self.cut_off_mm)
        require_not_negative("shortest remnant", self.remnant_mm)
        require_not_negative("facing", self.facing_mm)
        if require_not_negative("gain by pick-off", self.pick_off_gain_mm) > self.remnant_mm:
            raise UsageError(
                what="gain by pick-off",
                given=f"{self.pick_off_gain_mm} mm",
                allowed=f"no more than the shortest remnant, {self.remnant_mm} mm",
                action="give what of the remnant the sub-spindle saves",
            )

    @property
    def advance_mm(self) -> float:
        """How far the bar advances for one part: the part and its cut-off. [mm]"""
        return self.part_mm + self.cut_off_mm

    @property
    def held_mm(self) -> float:
        """The shortest bar that can be faced at all: facing and shortest remnant. [mm]"""
        return self.facing_mm + self.remnant_mm

    @property
    def unused_mm(self) -> float:
        """What of a bar cannot become parts and cut-offs. A pick-off gains at most the one part that it makes. [mm]"""
        return self.held_mm - min(self.pick_off_gain_mm, self.advance_mm)

    def whole_mm(self, parts: Ints) -> Floats:
        """The shortest bar that gives so many parts (one or more). [mm]"""
        return self.unused_mm + _lengths(parts, each_mm=self.advance_mm)

    def advances(self, bar_mm: Floats) -> Floats:
        """How many advances a bar holds, not rounded; one that fits within 1e-6 mm counts as whole."""
        return (bar_mm - self.unused_mm + ON_STEP_MM) / self.advance_mm


@dataclass(frozen=True, slots=True, eq=False)
class Masses:
    """Where the mass of a bar goes. Parts are as cut off, before turning; chips are those of facing and cutting off."""

    bar_kg: Floats
    parts_kg: Floats
    chips_kg: Floats
    remnant_kg: Floats


@dataclass(frozen=True, slots=True, eq=False)
class Yields:
    """What bars yield, one entry for each: whole parts, and the remnant that is really left."""

    cutting: Cutting
    bar_mm: Floats
    parts: Ints
    remnant_mm: Floats

    @property
    def in_parts_mm(self) -> Floats:
        """Length that becomes parts. [mm]"""
        return _lengths(self.parts, each_mm=self.cutting.part_mm)

    @property
    def in_cuts_mm(self) -> Floats:
        """Length that the cut-off tool takes; the facing is not in it. [mm]"""
        return _lengths(self.parts, each_mm=self.cutting.cut_off_mm)

    @property
    def yield_share(self) -> Floats:
        """Share of the bar's length that becomes parts."""
        return self.in_parts_mm / self.bar_mm

    def masses(self, *, mass_kg_m: float) -> Masses:
        """Where the mass goes, for a bar of this mass per length."""
        kg_mm = require_positive("mass per metre", mass_kg_m) / 1000.0
        chips_mm = self.cutting.facing_mm + self.in_cuts_mm
        return Masses(self.bar_mm * kg_mm, self.in_parts_mm * kg_mm, chips_mm * kg_mm, self.remnant_mm * kg_mm)


def parts_in(bar_mm: float, *, facing_mm: float, remnant_mm: float, advance_mm: float) -> int:
    """How many parts does one bar give, where only the advance for a part matters?

    floor((bar - facing - remnant) / advance), without pick-off; `cut_up` says more.

    Args:
        bar_mm: length of the bar [mm].
        facing_mm: what facing takes [mm].
        remnant_mm: shortest remnant [mm].
        advance_mm: part and cut-off together [mm].

    Returns:
        Whole parts; 0 where the bar is too short for one, or to be held at all.

    Raises:
        UsageError: a bar or an advance that is no number above zero; a negative facing or remnant.

    Validity: a part that fits within 1e-6 mm counts.
    Source: conservation of length.

    >>> parts_in(3661.0, facing_mm=1.0, remnant_mm=300.0, advance_mm=60.0)
    56
    """
    unused = require_not_negative("facing", facing_mm) + require_not_negative("shortest remnant", remnant_mm)
    room = require_positive("bar length", bar_mm) - unused + ON_STEP_MM
    return max(math.floor(room / require_positive("advance for a part", advance_mm)), 0)


def require_cut(*, part_mm: float, cut_off_mm: float) -> None:
    """Refuse a part or a cut-off that cannot be."""
    require_positive("width of the cut-off tool", cut_off_mm)
    if require_positive("part length", part_mm) < SHORTEST_PART_MM:
        raise UsageError(
            what="part length", given=f"{part_mm} mm", allowed=f"{SHORTEST_PART_MM} mm or more", action="check its unit"
        )
    if cut_off_mm > part_mm:
        raise UsageError(
            what="width of the cut-off tool",
            given=f"{cut_off_mm} mm",
            allowed=f"no more than the part's length, {part_mm} mm",
            action="check that the two are not exchanged",
        )


def require_bars(bar_mm: ArrayLike, *, part_mm: float, held_mm: float) -> Floats:
    """The bar lengths as an array; one that is none or cannot be held is refused, and a part longer than all of them."""
    bars = np.array(bar_mm, dtype=np.float64)
    wrong = bars[~((bars > 0.0) & (bars <= LONGEST_BAR_MM))]
    if bars.size == 0 or wrong.size:
        given = f"{wrong[0]} mm" if wrong.size else "none"
        allowed = f"above 0, at most {LONGEST_BAR_MM:.0f} mm"
        raise UsageError(what="bar length", given=given, allowed=allowed, action="measure the bar again and check its unit")
    if part_mm > bars.max():
        raise UsageError(
            what="part length",
            given=f"{part_mm} mm",
            allowed=f"shorter than the bar, {bars.max()} mm",
            action="check both lengths and their units",
        )
    if bars.min() < held_mm - ON_STEP_MM:
        raise UsageError(
            what="bar length",
            given=f"{bars.min()} mm",
            allowed=f"at least facing and shortest remnant together, {held_mm} mm",
            action="take longer bars, or shorten the remnant",
        )
    return bars


def cut_up(cutting: Cutting, bar_mm: ArrayLike) -> Yields:
    """How many parts does a bar yield, and what remnant is left?

    parts = floor((bar - facing - remnant) / (part + cut-off)). With pick-off the last part is counted as soon as the rest behind
    it is no shorter than remnant - gain, provided that before it the shortest remnant was still there. That part is cut off like
    every other: a lathe that faces its rear end in the sub-spindle instead may make one part more, so the count errs low.

    Args:
        cutting: how the bar is cut.
        bar_mm: length or lengths of bars, of any shape [mm].

    Returns:
        Parts and remnant [mm] for each bar, in the same shape; 0 parts where a bar can be held but is too short for one.

    Raises:
        UsageError: a length that is no number above zero (100 m at most), or below facing and shortest remnant; a part longer
            than every bar.

    Validity: a part that fits within 1e-6 mm counts (the remnant is then as much shorter); the sum of all is the bar to 1e-9 mm.
    Source: conservation of length.

    >>> axle = Cutting(part_mm=57.0, cut_off_mm=3.0, remnant_mm=300.0, facing_mm=1.0)
    >>> bar = cut_up(axle, 3661.0)
    >>> int(bar.parts), float(bar.remnant_mm)
    (56, 300.0)
    """
    bars = require_bars(bar_mm, part_mm=cutting.part_mm, held_mm=cutting.held_mm)
    parts = np.floor(cutting.advances(bars))
    remnant = bars - cutting.facing_mm - (parts * cutting.part_mm + parts * cutting.cut_off_mm)
    return Yields(cutting, sealed(bars), sealed(parts.astype(np.int64)), sealed(remnant))


@dataclass(frozen=True, slots=True, eq=False)
class Shortfall:
    """What a remnant that is longer by so much costs per bar: on the long run, and for bars of just these lengths."""

    cutting: Cutting
    longer_mm: float
    parts: Ints

    @property
    def mean_parts(self) -> MeanCount:
        """Parts lost per bar on the average over all bar lengths."""
        return self.longer_mm / self.cutting.advance_mm

    def mean_kg(self, *, mass_kg_m: float) -> float:
        """Material lost per bar on the average. [kg]"""
        return self.longer_mm * require_positive("mass per metre", mass_kg_m) / 1000.0

    def lost_kg(self, *, mass_kg_m: float) -> Floats:
        """Material that the lost parts and their cut-offs would have taken from bars of just these lengths. [kg]"""
        kg_mm = require_positive("mass per metre", mass_kg_m) / 1000.0
        return _lengths(self.parts, each_mm=self.cutting.advance_mm) * kg_mm


def shortfall(cutting: Cutting, bar_mm: ArrayLike, *, longer_mm: float) -> Shortfall:
    """What does it cost if every remnant is longer by so much, as when the pusher falls short of the collet?

    On the long run longer / (part + cut-off) parts per bar. A given length loses in steps: nothing as long as its rest still
    covers the longer remnant, then a whole part. Exact bars make the step the truth; scattering ones the average.

    Args:
        cutting: how the bar is cut without the shortfall.
        bar_mm: length or lengths of bars [mm].
        longer_mm: by how much the shortest remnant grows [mm].

    Returns:
        Parts lost per bar, on the average and for these lengths.

    Raises:
        UsageError: a negative shortfall, or what `cut_up` refuses, with the longer remnant too.

    Validity: as `cut_up`.
    Source: conservation of length.

    >>> axle = Cutting(part_mm=57.0, cut_off_mm=3.0, remnant_mm=300.0)
    >>> lost = shortfall(axle, [3660.0, 3700.0], longer_mm=30.0)
    >>> lost.mean_parts, lost.parts.tolist()
    (0.5, [1, 0])
    """
    longer = replace(cutting, remnant_mm=cutting.remnant_mm + require_not_negative("shortfall", longer_mm))
    return Shortfall(cutting, longer_mm, sealed(cut_up(cutting, bar_mm).parts - cut_up(longer, bar_mm).parts))


def sealed(values: NDArray[_Scalar]) -> NDArray[_Scalar]:
    """The values as an array that is closed to writing."""
    array = np.asarray(values)
    array.flags.writeable = False
    return array


def _lengths(parts: Ints, *, each_mm: float) -> Floats:
    return np.asarray(parts * each_mm, dtype=np.float64)
