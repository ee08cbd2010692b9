"""Reconciling a survey: more was read than needed, so the readings can be held against each other.

Every reading is an observation of a sum of quantities. The first reading of each quantity is its base; each further one (a second
reading, an overall length) must agree with the bases: a condition. Least squares on the conditions gives the residuals; the
weighted sum of their squares follows chi-square if nothing is wrong, and a single wrong reading shows in its normalised residual.
Readings whose residuals are fully correlated cannot be told apart and are named as one group.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import chdtrc, chdtri, chndtrinc

from standoff.errors import UsageError
from standoff.model.form import Form

SIGNIFICANCE = 0.01
"""A survey without a wrong reading is accused this often."""

POWER = 0.80
"""The minimal detectable blunder is found this often."""

SAME = 1.0 - 1e-9
"""Residuals correlated more closely than this carry the same information."""

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Observation:
    """One reading of a sum of quantities: what it is called, the form it reads, its value and standard uncertainty [mm]."""

    name: str
    form: Form
    value_mm: float
    u_mm: float


@dataclass(frozen=True, slots=True)
class Judgement:
    """What the others say of one reading: its residual [mm], also in its own standard deviations, and what would follow.

    `error_mm` is by how much it is too long if it alone is wrong, with `others_u_mm` the standard uncertainty of what the others
    make of it; an error of `detectable_mm` makes the survey's test fail with the stated power.
    """

    name: str
    residual_mm: float
    normalised_residual: float
    error_mm: float
    others_u_mm: float
    detectable_mm: float


@dataclass(frozen=True, slots=True)
class Reconciliation:
    """The survey held against itself. `groups` are readings that cannot be told apart, most suspect first."""

    chi_square: float
    conditions: int
    probability: float
    judgements: tuple[Judgement, ...]
    groups: tuple[tuple[str, ...], ...]
    suspects: tuple[tuple[str, ...], ...]

    @property
    def consistent(self) -> bool:
        """Whether the readings agree within their uncertainties, at the stated significance."""
        return self.probability >= SIGNIFICANCE


def reconcile(bases: Mapping[str, Observation], further: Sequence[Observation]) -> Reconciliation | None:
    """Do the readings of a survey agree, and if not, which one is wrong? None where nothing was read twice.

    Condition equations B l = w with B built from the forms' coefficients: residuals v = -Q B' W^-1 w, W = B Q B', and
    chi-square = w' W^-1 w with as many degrees of freedom as conditions. A reading is suspect if the rest agree without it: it
    takes its normalised residual squared out of chi-square (Baarda). The error that is found with the stated power is that of
    this same test: its noncentrality gives the power wanted. A quantity without uncertainty is taken as exact.

    Args:
        bases: the first reading of each quantity, by quantity.
        further: the other readings, each with an uncertainty above 0 [mm].

    Raises: UsageError where a further reading has no uncertainty: then nothing could be weighed.
    Validity: independent, normal readings; ONE wrong reading at a time.
    Source: W. Baarda, A testing procedure for use in geodetic networks, Netherlands Geodetic Commission, 1968.
    """
    if not further:
        return None
    for reading in further:
        if reading.u_mm <= 0.0:
            raise UsageError(what="reading", given=reading.name, allowed="an uncertainty", action="state how it was read")
    matrix, spread, observations = _conditions(bases, further)
    misclosure = _misclosure(bases, further)
    inverse = np.linalg.inv((matrix * spread) @ matrix.T)
    chi_square = float(misclosure @ inverse @ misclosure)
    gain = spread[:, None] * matrix.T @ inverse
    residuals = -gain @ misclosure
    covariance = gain @ matrix * spread[None, :]
    probability = float(chdtrc(len(further), chi_square))
    tested = [i for i in range(len(observations)) if covariance[i, i] > 1e-9 * spread[i] > 0.0]
    deviation = np.sqrt(np.diag(covariance))
    least = math.sqrt(float(chndtrinc(chdtri(len(further), SIGNIFICANCE), len(further), 1.0 - POWER)))
    judgements = {i: _judgement(observations[i], residuals[i], deviation[i], spread[i], least) for i in tested}
    groups = _alike(tested, covariance, deviation, judgements)
    return Reconciliation(
        chi_square=chi_square,
        conditions=len(further),
        probability=probability,
        judgements=tuple(judgements[i] for i in tested),
        groups=tuple(tuple(observations[i].name for i in group) for group in groups),
        suspects=tuple(
            tuple(observations[i].name for i in group)
            for group in groups
            if probability < SIGNIFICANCE and _explains(judgements[group[0]], chi_square, len(further))
        ),
    )


def _conditions(bases: Mapping[str, Observation], further: Sequence[Observation]) -> tuple[Array, Array, list[Observation]]:
    """Coefficients of the conditions, variance of each observation, and the observations: bases first, then the further."""
    names = sorted({q for f in further for q in f.form.quantities()})
    observations = [bases[name] for name in names] + list(further)
    matrix = np.zeros((len(further), len(observations)))
    for row, reading in enumerate(further):
        for name, coefficient in reading.form.terms:
            matrix[row, names.index(name)] = coefficient
        matrix[row, len(names) + row] = -1.0
    return matrix, np.array([o.u_mm**2 for o in observations]), observations


def _misclosure(bases: Mapping[str, Observation], further: Sequence[Observation]) -> Array:
    """By how much each further reading is missed by the bases [mm]."""
    values_mm = {name: base.value_mm for name, base in bases.items()}
    return np.array([reading.form.value(values_mm) - reading.value_mm for reading in further])


def _judgement(observation: Observation, residual_mm: float, deviation_mm: float, variance_mm2: float, least: float) -> Judgement:
    """The residual against its own deviation, and the error that shifts it by `least` deviations (inner reliability).

    The adjusted reading weighs the reading itself against what the others make of it: both follow from the residual.
    """
    return Judgement(
        name=observation.name,
        residual_mm=float(residual_mm),
        normalised_residual=float(abs(residual_mm) / deviation_mm),
        error_mm=float(-residual_mm * variance_mm2 / deviation_mm**2),
        others_u_mm=math.sqrt(max(variance_mm2 / deviation_mm**2 - 1.0, 0.0) * variance_mm2),
        detectable_mm=float(least * variance_mm2 / deviation_mm),
    )


def _alike(
    tested: Sequence[int], covariance: Array, deviation: Array, judgements: Mapping[int, Judgement]
) -> list[tuple[int, ...]]:
    """The tested observations in groups of fully correlated residuals, the greatest normalised residual first."""
    groups: list[list[int]] = []
    for i in tested:
        for group in groups:
            j = group[0]
            if abs(covariance[i, j]) >= SAME * deviation[i] * deviation[j]:
                group.append(i)
                break
        else:
            groups.append([i])
    return sorted(
        (tuple(group) for group in groups), key=lambda group: (-round(judgements[group[0]].normalised_residual, 9), group)
    )


def _explains(judgement: Judgement, chi_square: float, conditions: int) -> bool:
    """Whether leaving this reading out leaves readings that agree: its share of chi-square is its normalised residual squared."""
    rest = chi_square - judgement.normalised_residual**2
    if conditions == 1:
        return True
    return rest <= float(chdtri(conditions - 1, SIGNIFICANCE))


def splitting(
    bases: Mapping[str, Observation],
    further: Sequence[Observation],
    group: Sequence[str],
    candidates: Sequence[Observation],
) -> Observation | None:
    """Which further reading would best tell the members of a group apart? None where none would.

    Each candidate is added in turn; the one that leaves the smallest sub-group of indistinguishable members wins, the more exact
    one where several do.
    """
    best: tuple[int, float] | None = None
    chosen = None
    for candidate in candidates:
        result = reconcile(bases, [*further, candidate])
        left = max((len([n for n in g if n in group]) for g in result.groups), default=len(group)) if result else len(group)
        key = (left, candidate.u_mm)
        if left < len(group) and (best is None or key < best):
            best, chosen = key, candidate
    return chosen
