"""How well a length keeps within its limits from bar to bar: Cp and Cpk, with what so few bars show of them.

A capability from a handful of bars is hardly more than a guess, so each ratio stands beside the least one that the bars show at a
confidence. Bar-to-bar spread of the FIRST part tells how well the new bar is brought to its place.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import fmean, stdev

from scipy.special import chdtri, ndtri

from standoff.bar.checks import require_finite, require_positive
from standoff.errors import UsageError
from standoff.site.counting import require_count, require_share


@dataclass(frozen=True, slots=True)
class Capability:
    """Cp (spread alone) and Cpk (with the mean's place), and the least of each that the lengths show at the confidence."""

    cp_ratio: float
    cpk_ratio: float
    cp_least_ratio: float
    cpk_least_ratio: float
    mean_mm: float
    deviation_mm: float
    lengths: int
    confidence_share: float


def capability(lengths_mm: Sequence[float], *, lower_mm: float, upper_mm: float, confidence_share: float = 0.95) -> Capability:
    """How well do these lengths keep within their limits? Mean and standard deviation (n - 1) are taken from them.

    Args:
        lengths_mm: lengths of parts, two at least [mm].
        lower_mm: lower limit [mm].
        upper_mm: upper limit [mm].
        confidence_share: confidence of the least ratios, each one-sided [-].

    Raises:
        UsageError: fewer than two lengths, all of them equal, or what `capability_of` refuses.

    Validity: as `capability_of`.
    Source: as `capability_of`.
    """
    if len(lengths_mm) < 2:
        raise UsageError(
            what="lengths",
            given=f"{len(lengths_mm)}",
            allowed="two lengths at least",
            action="measure the first part of more bars",
        )
    lengths = [require_finite("length", length_mm) for length_mm in lengths_mm]
    deviation_mm = stdev(lengths)
    if deviation_mm <= 1e-9 * max(1.0, *(abs(length_mm) for length_mm in lengths)):
        raise UsageError(
            what="lengths",
            given="all equal",
            allowed="lengths read finely enough to differ",
            action="measure with a finer instrument",
        )
    return capability_of(
        mean_mm=fmean(lengths),
        deviation_mm=deviation_mm,
        lengths=len(lengths),
        lower_mm=lower_mm,
        upper_mm=upper_mm,
        confidence_share=confidence_share,
    )


def capability_of(
    *, mean_mm: float, deviation_mm: float, lengths: int, lower_mm: float, upper_mm: float, confidence_share: float = 0.95
) -> Capability:
    """How well does a length of this mean and standard deviation keep within its limits?

    Cp = (U - L) / 6 s and Cpk = min(U - mean, mean - L) / 3 s. The least Cp is exact, Cp sqrt(chi2 / (n - 1)) at the lower
    quantile; the least Cpk is the normal approximation Cpk - z sqrt(1 / 9n + Cpk^2 / 2(n - 1)).

    Args:
        mean_mm: mean of the lengths [mm].
        deviation_mm: their standard deviation [mm].
        lengths: how many they are.
        lower_mm: lower limit [mm].
        upper_mm: upper limit [mm].
        confidence_share: confidence of the least ratios, each one-sided [-].

    Returns:
        The four ratios [-].

    Raises:
        UsageError: fewer than two lengths, a spread that is not above zero, limits the wrong way round, a confidence outside
            0 to 1.

    Validity: normal lengths without drift; the least Cpk from about ten lengths on (below, it errs by several in a hundred).
    Source: NIST/SEMATECH e-Handbook of Statistical Methods, 6.1.6.

    >>> found = capability_of(mean_mm=16.0, deviation_mm=2.0, lengths=25, lower_mm=8.0, upper_mm=20.0)
    >>> round(found.cp_ratio, 4), round(found.cpk_ratio, 4)
    (1.0, 0.6667)
    """
    require_count("number of lengths", lengths, least=2)
    require_positive("standard deviation", deviation_mm)
    for what, given in (("mean length", mean_mm), ("lower limit", lower_mm), ("upper limit", upper_mm)):
        require_finite(what, given)
    if lower_mm >= upper_mm:
        raise UsageError(
            what="limits",
            given=f"{lower_mm} to {upper_mm} mm",
            allowed="a lower limit below the upper",
            action="exchange the two",
        )
    tail = 1.0 - require_share("confidence", confidence_share)
    cp = (upper_mm - lower_mm) / (6.0 * deviation_mm)
    cpk = min(upper_mm - mean_mm, mean_mm - lower_mm) / (3.0 * deviation_mm)
    spread = math.sqrt(1.0 / (9.0 * lengths) + cpk**2 / (2.0 * (lengths - 1)))
    return Capability(
        cp_ratio=cp,
        cpk_ratio=cpk,
        cp_least_ratio=cp * math.sqrt(float(chdtri(lengths - 1, 1.0 - tail)) / (lengths - 1)),
        cpk_least_ratio=cpk + float(ndtri(tail)) * spread,
        mean_mm=mean_mm,
        deviation_mm=deviation_mm,
        lengths=lengths,
        confidence_share=confidence_share,
    )
