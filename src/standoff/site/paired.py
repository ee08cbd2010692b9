"""Two lengths of each bar compared: its first part against its last one. Is the bar's end as good as its beginning?

A long bar is held and guided otherwise than the rest of it, so that a loader may make good parts from a whole bar and worse ones
near its end. Each bar is compared with itself, so that what differs from bar to bar falls out.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import fmean, stdev

from scipy.special import stdtrit

from standoff.bar.checks import require_finite
from standoff.errors import UsageError
from standoff.site.counting import require_share

_SAME_MM = 1e-6


@dataclass(frozen=True, slots=True)
class PairedDifference:
    """How much longer the later length of a pair is on the average [mm], within which limits that is known, and of how many."""

    mean_mm: float
    least_mm: float
    greatest_mm: float
    pairs: int
    confidence_share: float

    @property
    def scatters(self) -> bool:
        """Whether the differences differ: where all are the same, the instrument's step hides how much they would."""
        return self.greatest_mm - self.least_mm > _SAME_MM

    @property
    def differs(self) -> bool:
        """Whether the pairs show a difference: none lies outside what they leave open."""
        return self.scatters and not self.least_mm <= 0.0 <= self.greatest_mm


def paired_difference(
    before_mm: Sequence[float], after_mm: Sequence[float], *, confidence_share: float = 0.95
) -> PairedDifference:
    """How much longer are the later lengths than the earlier ones, pair by pair?

    Mean of the differences, plus and minus Student's two-sided quantile times s / sqrt(n). Pairs that all differ by the same
    show no scatter, so that the limits fall together: read finely enough.

    Args:
        before_mm: the earlier length of each pair [mm].
        after_mm: the later length of each pair, in the same order [mm].
        confidence_share: confidence of the limits [-].

    Returns:
        Mean and limits [mm].

    Raises:
        UsageError: fewer than two pairs, lengths without a partner, or a length that is no number.

    Validity: differences roughly normal, bars independent.
    Source: NIST/SEMATECH e-Handbook of Statistical Methods, 7.3.1.1 (data paired), from memory.

    >>> paired_difference([100.0, 100.1, 100.0], [100.1, 100.3, 100.3]).differs
    False
    """
    if len(before_mm) != len(after_mm) or len(before_mm) < 2:
        raise UsageError(
            what="pairs of lengths",
            given=f"{len(before_mm)} and {len(after_mm)}",
            allowed="two pairs at least, each length with its partner",
            action="measure first and last part of more bars",
        )
    steps_mm = [
        require_finite("length", after) - require_finite("length", before)
        for before, after in zip(before_mm, after_mm, strict=True)
    ]
    factor = float(stdtrit(len(steps_mm) - 1, (1.0 + require_share("confidence", confidence_share)) / 2.0))
    reach_mm = factor * stdev(steps_mm) / math.sqrt(len(steps_mm))
    mean_mm = fmean(steps_mm)
    return PairedDifference(mean_mm, mean_mm - reach_mm, mean_mm + reach_mm, len(steps_mm), confidence_share)
