"""Readings weighed against one another: weighted least squares for named unknowns, with everything it can say of them.

A reading sees a linear form of the unknowns. Readings may share an error (one wire, one bracket, one level): its effect on each
is stated, and the covariance of the readings carries it. What no reading determines is named, never guessed.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.linalg import solve_triangular
from scipy.special import chdtrc, chdtri

from standoff.bar.checks import require_finite, require_positive
from standoff.errors import UsageError
from standoff.site.axis import Array, Coefficients, Pose
from standoff.solve.reconcile import SAME, SIGNIFICANCE

_RANK = 1e-10
_PART = 1e-6
_UNEQUAL = 1e6
"""A shared error so many times a reading's own leaves too few digits to weigh readings against one another."""


@dataclass(frozen=True, slots=True)
class Observation:
    """One reading: what it sees of the unknowns, its value, its own standard uncertainty, and errors shared with others [mm].

    `shared_mm`: each shared error by its name, and what one standard deviation of it does to this reading. A slope is read as mm
    over one metre.
    """

    name: str
    coefficients: Coefficients
    value_mm: float
    u_mm: float
    shared_mm: tuple[tuple[str, float], ...] = ()

    def __post_init__(self) -> None:
        require_finite(f"reading of {self.name}", self.value_mm)
        require_positive(f"uncertainty of {self.name}", self.u_mm)
        for source, effect_mm in self.shared_mm:
            require_finite(f"effect of {source} on {self.name}", effect_mm)


@dataclass(frozen=True, slots=True)
class Judgement:
    """What the others say of one reading: by how much it differs from the solution [mm], and in its own standard deviations.

    `error_mm` is by how much it is too large if it alone is wrong.
    """

    name: str
    residual_mm: float
    normalised_residual: float
    error_mm: float


@dataclass(frozen=True, slots=True, eq=False)
class Fit:
    """The unknowns, and how the readings agree. `probability` is None where nothing was read twice: then nothing was tested.

    `untested` readings are those that no other reading checks. `suspects` are groups that cannot be told apart, worst first.
    """

    pose: Pose
    chi_square: float
    redundancy: int
    probability: float | None
    judgements: tuple[Judgement, ...]
    untested: tuple[str, ...]
    suspects: tuple[tuple[str, ...], ...]

    @property
    def consistent(self) -> bool:
        """Whether the readings agree within their uncertainties (at 1 %), as far as they can be tested."""
        return self.probability is None or self.probability >= SIGNIFICANCE


def undetermined(observations: Sequence[Observation], unknowns: Collection[str]) -> tuple[str, ...]:
    """Which unknowns do these readings leave open?

    Singular values of the weighted, column-scaled design: what takes part in its null space is open.

    Returns: the open unknowns, in the order given.
    Validity: stations that differ by more than a part in 1e9; close ones determine, but with the uncertainty that they deserve.
    """
    names = tuple(unknowns)
    if not observations:
        return names
    design, _, _ = _whitened(observations, names)
    scale = _column_lengths(design)
    _, singular, rows = np.linalg.svd(design / scale, full_matrices=True)
    singular = np.concatenate([singular, np.zeros(len(names) - len(singular))])
    open_rows = rows[singular <= _RANK * max(float(singular[0]), 1.0)]
    return tuple(name for j, name in enumerate(names) if np.any(np.abs(open_rows[:, j]) > _PART))


def fit(observations: Sequence[Observation], unknowns: Collection[str]) -> Fit:
    """What do the readings say of the unknowns, and do they agree?

    Generalised least squares with the covariance V = diag(u^2) + S S' (S: effects of shared errors): x = (A'V^-1 A)^-1 A'V^-1 y,
    covariance (A'V^-1 A)^-1, solved by QR of the whitened equations. Chi-square of the residuals tests the whole. A reading is
    tested by w = (V^-1 r) / sqrt(V^-1 Q_r V^-1), the normalised residual; w^2 is what chi-square loses without it.

    Args:
        observations: readings, each with an uncertainty [mm].
        unknowns: what to solve for, in the order of the result.

    Returns: estimates, covariance, test and judgement of each reading.
    Raises: UsageError where the readings leave an unknown open.
    Validity: independent, normal errors beside the shared ones; ONE wrong reading at a time. The covariance is that of the stated
        uncertainties and is not stretched where the test fails: then it errs low, and the readings are to be mended first.
    Source: JCGM 100:2008, H.3 (least squares); W. Baarda, A testing procedure for use in geodetic networks, 1968 (residuals).
    """
    names = tuple(unknowns)
    if len({o.name for o in observations}) < len(observations):
        told = ", ".join(o.name for o in observations)
        raise UsageError(what="readings", given=told, allowed="each its own name", action="give each reading a name of its own")
    if left := undetermined(observations, names):
        told = f"that leave open: {', '.join(left)}"
        raise UsageError(what="readings", given=told, allowed="all determined", action="take further readings")
    design, values, lower = _whitened(observations, names)
    scale = _column_lengths(design)
    q, r = np.linalg.qr(design / scale)
    estimates = solve_triangular(r, q.T @ values) / scale
    root = solve_triangular(r, np.eye(len(names))) / scale[:, None]
    misfit = values - design @ estimates
    chi_square = float(misfit @ misfit)
    redundancy = len(observations) - len(names)
    tested, weighted, spread = _tested(q, lower, misfit)
    judgements = {i: _judgement(observations[i], (lower @ misfit)[i], weighted[i], spread[i, i]) for i in tested}
    probability = float(chdtrc(redundancy, chi_square)) if redundancy else None
    groups = _groups(tested, spread, judgements)
    return Fit(
        pose=Pose(names, estimates, root @ root.T),
        chi_square=chi_square,
        redundancy=redundancy,
        probability=probability,
        judgements=tuple(judgements.values()),
        untested=tuple(o.name for i, o in enumerate(observations) if i not in judgements),
        suspects=tuple(
            tuple(observations[i].name for i in group)
            for group in groups
            if probability is not None and probability < SIGNIFICANCE and _explains(judgements[group[0]], chi_square, redundancy)
        ),
    )


def _whitened(observations: Sequence[Observation], unknowns: tuple[str, ...]) -> tuple[Array, Array, Array]:
    """Design and values with unit covariance, and the Cholesky factor of the readings' own covariance."""
    design = np.array([[dict(o.coefficients).get(name, 0.0) for name in unknowns] for o in observations])
    values = np.array([o.value_mm for o in observations])
    covariance = np.diag([o.u_mm**2 for o in observations])
    for source in sorted({source for o in observations for source, _ in o.shared_mm}):
        effects_mm = np.array([dict(o.shared_mm).get(source, 0.0) for o in observations])
        covariance += np.outer(effects_mm, effects_mm)
    own_mm = np.array([o.u_mm for o in observations])
    worst = int(np.argmax(np.sqrt(np.diag(covariance)) / own_mm))
    if covariance[worst, worst] > (_UNEQUAL * own_mm[worst]) ** 2:
        raise UsageError(
            what="readings",
            given=f"{observations[worst].name}, read to {own_mm[worst]:.2g} mm with an instrument that may be off by far more",
            allowed="an instrument that is worth reading to that",
            action="check how sure the instrument is, and where it was set",
        )
    lower = np.linalg.cholesky(covariance)
    return solve_triangular(lower, design, lower=True), solve_triangular(lower, values, lower=True), lower


def _column_lengths(design: Array) -> Array:
    """The length of each column; one for a column of zeros."""
    lengths: Array = np.linalg.norm(design, axis=0)
    return np.where(lengths > 0.0, lengths, 1.0)


def _tested(q: Array, lower: Array, misfit: Array) -> tuple[list[int], Array, Array]:
    """Which readings the others check; V^-1 r of all, and its covariance."""
    inverse = solve_triangular(lower, np.eye(len(misfit)), lower=True)
    spread = inverse.T @ (np.eye(len(misfit)) - q @ q.T) @ inverse
    whole = np.sum(inverse**2, axis=0)
    tested = [i for i in range(len(misfit)) if spread[i, i] > 1e-9 * whole[i]]
    return tested, inverse.T @ misfit, spread


def _judgement(observation: Observation, residual_mm: float, weighted: float, variance: float) -> Judgement:
    """The judgement of one reading from its weighted residual and that residual's variance."""
    return Judgement(
        name=observation.name,
        residual_mm=float(residual_mm),
        normalised_residual=float(abs(weighted) / math.sqrt(variance)),
        error_mm=float(weighted / variance),
    )


def _groups(tested: list[int], spread: Array, judgements: dict[int, Judgement]) -> list[tuple[int, ...]]:
    """The tested readings in groups of fully correlated residuals, the greatest normalised residual first."""
    groups: list[list[int]] = []
    for i in tested:
        for group in groups:
            j = group[0]
            if abs(spread[i, j]) >= SAME * math.sqrt(spread[i, i] * spread[j, j]):
                group.append(i)
                break
        else:
            groups.append([i])
    return sorted((tuple(g) for g in groups), key=lambda g: (-round(judgements[g[0]].normalised_residual, 9), g))


def _explains(judgement: Judgement, chi_square: float, redundancy: int) -> bool:
    """Whether the rest agrees without this reading."""
    if redundancy == 1:
        return True
    return chi_square - judgement.normalised_residual**2 <= float(chdtri(redundancy - 1, SIGNIFICANCE))
