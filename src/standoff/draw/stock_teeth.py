"""The points of the saw-tooth: exact bars with both ends of every tooth, and the mean over the mill's tolerance."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from standoff.bar.lengths import Expected, expected
from standoff.bar.yields import Floats
from standoff.job.economy import Purchase
from standoff.job.supply import Supply
from standoff.units import ON_STEP_MM

LEAST_TEETH = 2.0
"""The picture shows at least so many teeth, also where hardly any length is to be had."""
MEAN_POINTS = 6
"""Points of the mean between two places where it bends."""
MOST_POINTS = 700
"""A mean that bends more often is taken at this many lengths."""

Curve = tuple[Floats, Floats]
"""Bar lengths and lengths bought for a part."""


@dataclass(frozen=True, slots=True, eq=False)
class Teeth:
    """The saw-tooth between two bar lengths: as a line, as its upper and lower edge, its tips; `mean` where bars scatter.

    From `least_mm` to `greatest_mm` bars can be had and loaded; `best` is the best of them.
    """

    supply: Supply
    least_mm: float
    greatest_mm: float
    best: Expected
    shortest_mm: float
    longest_mm: float
    advance_mm: float
    exact: Curve
    upper: Curve
    lower: Curve
    tips_mm: tuple[tuple[int, float], ...]
    mean: Curve | None

    @property
    def values_mm(self) -> Floats:
        """Everything that is bought for a part on any of these curves."""
        return np.concatenate([self.exact[1], *([self.mean[1]] if self.mean else [])])


def teeth_of(supply: Supply, purchase: Purchase, best: Expected) -> Teeth:
    """The saw-tooth of a part's bars, from the shortest to the longest to be had and today's among them."""
    part, cutting = supply.part, supply.part.cutting
    longest_mm = max(purchase.greatest_mm, part.bar_mm)
    first_mm = max(float(cutting.whole_mm(np.array(1))), cutting.held_mm)
    shortest_mm = max(min(purchase.least_mm, part.bar_mm, longest_mm - LEAST_TEETH * cutting.advance_mm), first_mm)
    first, last = (math.floor(cutting.advances(np.array(end))) for end in (shortest_mm, longest_mm))
    counts = np.arange(first, last + 1)
    starts = np.maximum(cutting.whole_mm(counts), shortest_mm)
    ends = np.minimum(cutting.whole_mm(counts + 1), longest_mm)
    bars = np.column_stack([starts, ends]).ravel()
    bought = np.column_stack([starts / counts, ends / counts]).ravel()
    tips = tuple(
        (int(n), float(mm)) for n, mm in zip(counts, cutting.whole_mm(counts), strict=True) if mm >= shortest_mm - ON_STEP_MM
    )
    return Teeth(
        supply=supply,
        least_mm=purchase.least_mm,
        greatest_mm=purchase.greatest_mm,
        best=best,
        shortest_mm=shortest_mm,
        longest_mm=longest_mm,
        advance_mm=cutting.advance_mm,
        exact=(bars, bought),
        upper=(ends, ends / counts),
        lower=(starts, starts / counts),
        tips_mm=tips,
        mean=_mean(supply, shortest_mm=shortest_mm, longest_mm=longest_mm) if supply.scatters else None,
    )


def _mean(supply: Supply, *, shortest_mm: float, longest_mm: float) -> Curve:
    """The mean over the mill's tolerance: it bends where an end of the tolerance reaches a tip."""
    cutting, tolerance = supply.part.cutting, supply.tolerance
    counts = np.arange(1, math.ceil(cutting.advances(np.array(longest_mm + tolerance.upper_mm))) + 1)
    bends = np.concatenate([cutting.whole_mm(counts) - corner_mm for corner_mm in tolerance.corners_mm])
    bends = np.unique(np.concatenate([[shortest_mm, longest_mm], bends[(bends > shortest_mm) & (bends < longest_mm)]]))
    if len(bends) * MEAN_POINTS > MOST_POINTS:
        lengths = np.linspace(shortest_mm, longest_mm, MOST_POINTS)
    else:
        shares = np.arange(MEAN_POINTS) / MEAN_POINTS
        lengths = np.append((bends[:-1, None] + shares * np.diff(bends)[:, None]).ravel(), bends[-1])
    return lengths, expected(cutting, lengths, tolerance).bought_per_part_mm
