"""How sure a placement is: covariance of the slacks, the probability of each and of all together.

Slacks share quantities (and all of them the standoff that is set), so they are jointly normal with the covariance of their
coefficients (JCGM 100, law of propagation; exact here, since every slack is a sum). Treating them as independent is wrong.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr
from scipy.stats import multivariate_normal

from standoff.model.form import Form
from standoff.solve.window import TIE_MM

CERTAIN = 7.0
"""A slack of more standard uncertainties than this fails less than once in 10^11: it is left out of the joint probability."""

_SEED = 20
_POINTS = 20_000


def covariance(forms: Sequence[Form], u_mm: Mapping[str, float]) -> NDArray[np.float64]:
    """What do these sums of quantities have in common?

    Law of propagation of uncertainty for independent quantities, V = C diag(u^2) C'; exact for sums.

    Args:
        forms: n sums of quantities, as coefficients.
        u_mm: standard uncertainty of each quantity they name [mm].

    Returns:
        Covariance, shape (n, n) [mm2].

    Source: JCGM 100:2008, 5.2.2 and F.1.2.3.
    """
    names = sorted({name for form in forms for name in form.quantities()})
    column = {name: j for j, name in enumerate(names)}
    matrix = np.zeros((len(forms), len(names)))
    for i, form in enumerate(forms):
        for name, coefficient in form.terms:
            matrix[i, column[name]] = coefficient * u_mm[name]
    result: NDArray[np.float64] = matrix @ matrix.T
    return result


def probability(*, slack_mm: float, u_mm: float) -> float:
    """How likely is it that one requirement holds?

    The conformance probability Phi(slack / u) of a normal quantity against a one-sided limit; without uncertainty 1 or 0.

    Source: JCGM 106:2012, 7.3.
    """
    if u_mm > 0.0:
        return float(ndtr(slack_mm / u_mm))
    return 1.0 if slack_mm >= -TIE_MM else 0.0


def probability_all(slacks_mm: Sequence[float], covariance_mm2: NDArray[np.float64]) -> float:
    """How likely is it that all requirements hold together?

    The multivariate normal probability of no slack being negative. Rows without variance hold or they do not; rows that cannot
    fail (more than 7 u) and rows that say the same as a tighter one are dropped. The quasi-random points start from a fixed seed:
    the same input gives the same answer, right to about 1 in 1000 (measured against 200 000 points).

    Args:
        slacks_mm: n mean slacks [mm].
        covariance_mm2: their covariance, shape (n, n) [mm2].

    Source: A. Genz, J. Comput. Graph. Stat. 1 (1992) 141-149, as implemented in scipy.stats.
    """
    u_mm = np.sqrt(np.diag(covariance_mm2))
    slacks = np.asarray(slacks_mm, dtype=float)
    if np.any(slacks[u_mm == 0.0] < -TIE_MM):
        return 0.0
    rows = _telling(slacks, u_mm, covariance_mm2)
    if not rows:
        return 1.0
    z = slacks[rows] / u_mm[rows]
    if len(rows) == 1:
        return float(ndtr(z[0]))
    correlation = covariance_mm2[np.ix_(rows, rows)] / np.outer(u_mm[rows], u_mm[rows])
    result = multivariate_normal.cdf(
        z,
        mean=np.zeros(len(rows)),
        cov=correlation,
        allow_singular=True,
        maxpts=_POINTS,
        rng=np.random.default_rng(_SEED),
    )
    return min(max(float(result), 0.0), 1.0)


def _telling(slacks: NDArray[np.float64], u_mm: NDArray[np.float64], covariance_mm2: NDArray[np.float64]) -> list[int]:
    """The rows that matter, tightest first: with variance, able to fail, and not saying the same as a tighter one."""
    able = [i for i in range(len(slacks)) if u_mm[i] > 0.0 and slacks[i] <= CERTAIN * u_mm[i]]
    able.sort(key=lambda i: slacks[i] / u_mm[i])
    kept: list[int] = []
    for i in able:
        same = (math.isclose(covariance_mm2[i, j], u_mm[i] * u_mm[j], rel_tol=1e-9) for j in kept)
        if not any(same):
            kept.append(i)
    return kept
