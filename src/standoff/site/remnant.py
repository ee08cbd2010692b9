"""The remnant as predicted against the remnants as measured, and against the longest one agreed.

Measured remnants scatter from bar to bar and share the error of the instrument; the prediction has the uncertainty of the survey.
A difference is judged in combined standard uncertainties, and where few bars were measured by Student's distribution, which asks
for more. A limit is judged with a guard band: neither side is given what the uncertainty leaves open.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from statistics import fmean, variance

from scipy.special import ndtri, stdtrit

from standoff.bar.checks import Number, require_finite, require_not_negative, require_positive
from standoff.errors import UsageError
from standoff.site.counting import require_share

CONFIDENCE = 0.95

FEWEST_BARS = 3
"""Fewer bars do not show how much the remnant scatters: no verdict (our choice; at 3, up to 8 in 100 right cells are accused)."""


class Match(Enum):
    """What the measured remnants say of the predicted one."""

    AGREES = "agrees with what was predicted"
    LONGER = "longer than predicted"
    SHORTER = "shorter than predicted"
    TOO_FEW = "too few bars to tell"
    NO_LENGTHS = "not to be told without the bars' lengths"


class Compliance(Enum):
    """What the measured remnants say of the longest one agreed."""

    KEEPS = "within what was agreed"
    EXCEEDS = "longer than agreed"
    OPEN = "too close to tell"
    TOO_FEW = "too few bars to tell"


@dataclass(frozen=True, slots=True)
class MeanRemnant:
    """The mean of the measured remnants [mm], its standard uncertainty, and the degrees of freedom behind it (infinite: many)."""

    mean_mm: float
    u_mm: float
    freedom: Number
    bars: int


@dataclass(frozen=True, slots=True)
class RemnantJudgement:
    """Predicted against measured: the difference (measured less predicted) [mm], also in combined standard uncertainties."""

    measured: MeanRemnant
    difference_mm: float
    u_mm: float
    z_ratio: float
    limit_ratio: float
    match: Match


@dataclass(frozen=True, slots=True)
class LimitJudgement:
    """Measured against the longest remnant agreed: what is left to it [mm], and the guard band [mm]."""

    slack_mm: float
    guard_mm: float
    compliance: Compliance


def mean_remnant(remnants_mm: Sequence[float], *, reading_u_mm: float) -> MeanRemnant:
    """What is the remnant of this cell, and how well do these bars show it?

    u^2 = s^2 / n + u_r^2: the scatter averages out, the instrument's own error is taken not to (wide where part of it does). The
    degrees of freedom follow Welch and Satterthwaite, the instrument's uncertainty taken as known.

    Args:
        remnants_mm: measured remnants, one a bar [mm].
        reading_u_mm: standard uncertainty of one reading, the same instrument for all [mm].

    Returns:
        Mean and standard uncertainty [mm], degrees of freedom [-].

    Raises:
        UsageError: no remnant, one that is negative or no number, or an uncertainty that is not above zero.

    Validity: one bar alone shows no scatter: then the instrument's uncertainty is all there is, which errs narrow; no verdict is
        made of fewer than three.
    Source: JCGM 100:2008, 4.2.3, 5.1.2 and G.4.1.
    """
    if not remnants_mm:
        raise UsageError(
            what="remnants", given="none", allowed="one measured remnant at least", action="measure the remnant of the next bar"
        )
    remnants = [require_not_negative("remnant", remnant_mm) for remnant_mm in remnants_mm]
    require_positive("uncertainty of a remnant's reading", reading_u_mm)
    scatter = variance(remnants) / len(remnants) if len(remnants) > 1 else 0.0
    u_mm = math.hypot(math.sqrt(scatter), reading_u_mm)
    freedom = math.inf if scatter == 0.0 else (len(remnants) - 1) * (u_mm**2 / scatter) ** 2
    return MeanRemnant(fmean(remnants), u_mm, freedom, len(remnants))


def judge_prediction(
    measured: MeanRemnant, *, predicted_mm: float, predicted_u_mm: float, confidence_share: float = CONFIDENCE
) -> RemnantJudgement:
    """Is the remnant what was predicted?

    The difference in combined standard uncertainties, against the two-sided quantile of Student's distribution. A cell that does
    what was predicted is called different once in twenty times at 95 %. A difference says that a dimension is not what the survey
    says, or that the bar does not sit as assumed. Fewer than three bars get no verdict.

    Args:
        measured: the measured remnants.
        predicted_mm: remnant predicted from the survey [mm].
        predicted_u_mm: its standard uncertainty [mm].
        confidence_share: share of right cells that are called so [-].

    Returns:
        Difference [mm] and verdict.

    Raises:
        UsageError: a prediction that is no number, a negative uncertainty, a confidence outside 0 to 1.

    Validity: independent errors, normal.
    Source: JCGM 100:2008, 5.1.2 and G.4.1.

    >>> found = judge_prediction(mean_remnant([301.0, 301.0, 301.0], reading_u_mm=0.3), predicted_mm=300.0, predicted_u_mm=0.4)
    >>> round(found.z_ratio, 2), found.match.value
    (2.0, 'longer than predicted')
    """
    require_finite("predicted remnant", predicted_mm)
    u_mm = math.hypot(measured.u_mm, require_not_negative("uncertainty of the predicted remnant", predicted_u_mm))
    difference_mm = measured.mean_mm - predicted_mm
    freedom = measured.freedom * (u_mm / measured.u_mm) ** 4
    z, limit = difference_mm / u_mm, _quantile((1.0 + require_share("confidence", confidence_share)) / 2.0, freedom)
    if measured.bars < FEWEST_BARS:
        match = Match.TOO_FEW
    else:
        match = Match.LONGER if z > limit else Match.SHORTER if z < -limit else Match.AGREES
    return RemnantJudgement(measured, difference_mm, u_mm, z, limit, match)


def judge_limit(measured: MeanRemnant, *, longest_mm: float, confidence_share: float = CONFIDENCE) -> LimitJudgement:
    """Is the mean remnant no longer than was agreed?

    A guard band of the one-sided quantile times u on both sides of the limit: kept, or exceeded, only where that is shown.

    Args:
        measured: the measured remnants.
        longest_mm: longest mean remnant agreed [mm].
        confidence_share: confidence, one-sided [-].

    Returns:
        Slack and guard band [mm], and the verdict.

    Raises:
        UsageError: a limit that is not above zero, a confidence outside 0 to 1.

    Validity: as `judge_prediction`; of the mean, not of the longest single remnant.
    Source: JCGM 106:2012, 8.3.
    """
    slack_mm = require_positive("longest remnant agreed", longest_mm) - measured.mean_mm
    guard_mm = _quantile(require_share("confidence", confidence_share), measured.freedom) * measured.u_mm
    if measured.bars < FEWEST_BARS:
        compliance = Compliance.TOO_FEW
    else:
        compliance = Compliance.KEEPS if slack_mm >= guard_mm else Compliance.EXCEEDS if slack_mm < -guard_mm else Compliance.OPEN
    return LimitJudgement(slack_mm, guard_mm, compliance)


def _quantile(probability: float, freedom: float) -> float:
    """The quantile of Student's distribution; of the normal one where the degrees of freedom are without end."""
    return float(ndtri(probability) if math.isinf(freedom) else stdtrit(freedom, probability))
