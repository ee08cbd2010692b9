"""The peers: the same window by a general linear-programme solver, the same probability by plain sampling.

Neither shares a line with the program; both start from the same bounds, or the same slacks and covariance.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import linprog

from standoff.model.requirement import Side
from standoff.solve.window import Bound

SAMPLES = 1_000_000
BLOCK = 100_000


def window_mm(bounds: Sequence[Bound], *, cut_limit_mm: float) -> tuple[float, float]:
    """Least and greatest standoff [mm]; of an empty window the two edges where they come closest.

    Unknowns: the standoff, the one cut of a fixed nose, and by how much every bound is relaxed.
    """
    signs = [-1.0 if bound.side is Side.AT_LEAST else 1.0 for bound in bounds]
    lines = [[sign, sign * bound.shares_cut, -1.0] for sign, bound in zip(signs, bounds, strict=True)]
    limits = [sign * bound.at_mm for sign, bound in zip(signs, bounds, strict=True)]
    cut = (0.0, cut_limit_mm)

    def solved(cost: list[float], most: float | None) -> NDArray[np.float64]:
        found = linprog(cost, A_ub=lines, b_ub=limits, bounds=[(None, None), cut, (0.0, most)], method="highs")
        return np.asarray(found.x if found.status == 0 else [math.nan] * 3)

    least, greatest = solved([1.0, 0.0, 0.0], 0.0)[0], solved([-1.0, 0.0, 0.0], 0.0)[0]
    if math.isfinite(least) and math.isfinite(greatest):
        return float(least), float(greatest)
    middle, _, by = solved([0.0, 0.0, 1.0], None)
    return float(middle + by), float(middle - by)


def probability_all(slacks_mm: Sequence[float], covariance_mm2: NDArray[np.float64]) -> float:
    """How often no slack is negative among a million samples."""
    random = np.random.default_rng(1)
    values, vectors = np.linalg.eigh(covariance_mm2)
    root = vectors * np.sqrt(np.maximum(values, 0.0))
    held = 0
    for _ in range(SAMPLES // BLOCK):
        slacks = np.asarray(slacks_mm) + random.standard_normal((BLOCK, len(slacks_mm))) @ root.T
        # Noise of the root must not fail a slack that is exactly 0.
        held += int((slacks >= -1e-9).all(axis=1).sum())
    return held / SAMPLES
