"""Diagnosis: it used to work; which ONE dimension has changed since the record was made?

The record predicts what the new readings should say. Each hypothesis "this quantity changed by some amount" predicts a pattern of
differences; the hypothesis whose pattern explains most of what was found comes first. Patterns that are parallel cannot be told
apart and are reported as one group, with the further reading that would separate them. What was noticed without a figure ("the
nose bottomed") has no pattern: it only speaks against hypotheses that would not bring it about.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.special import chdtrc, chdtri

from standoff.model.form import Form
from standoff.solve.reconcile import SAME, SIGNIFICANCE

CONTACT_MM = 1.0
"""What counts as touching (our choice)."""

SURE = 2.0
"""A recorded slack is not doubted by more than so many of its standard uncertainties (95 %)."""

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Finding:
    """Something found now: a sum of quantities, by how much it differs from the record [mm], its standard uncertainty [mm].

    `from_record`: the difference was formed with recorded readings, whose own uncertainty then enters. A remnant that grew
    was compared with itself: it does not.
    """

    name: str
    form: Form
    difference_mm: float
    u_mm: float
    from_record: bool = True


@dataclass(frozen=True, slots=True)
class Bound:
    """Something noticed without a figure: this slack [mm, with its standard uncertainty] is now below 0, or still not."""

    name: str
    slack: Form
    recorded_mm: float
    u_mm: float
    negative: bool = True


@dataclass(frozen=True, slots=True)
class Hypothesis:
    """One or several quantities, any of which, changed by its amount [mm], explains the findings equally well.

    `measured` false: nothing with a figure speaks of it, so the amounts are the least that bring about what was noticed.
    `chi_square_share` is the part of chi-square it takes away.
    """

    quantities: tuple[str, ...]
    by_mm: tuple[float, ...]
    measured: bool
    chi_square_share: float
    explains: bool
    against: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Diagnosis:
    """Ranked hypotheses; `changed` false: the findings agree with the record within their uncertainties."""

    chi_square: float
    findings: int
    changed: bool
    hypotheses: tuple[Hypothesis, ...]


def splitting(group: Sequence[str], findings: Sequence[Finding], candidates: Sequence[Finding]) -> Finding | None:
    """Which further reading would best tell the members of a group apart? None where none would; the first of equal ones."""
    best, chosen = len(group), None
    for candidate in candidates:
        patterns = [_pattern(quantity, [*findings, candidate]) for quantity in group]
        largest = max(sum(_parallel(one, other) for other in patterns) for one in patterns)
        if largest < best:
            best, chosen = largest, candidate
    return chosen


def diagnose(
    findings: Sequence[Finding],
    bounds: Sequence[Bound],
    *,
    quantities: Sequence[str],
    u_mm: Mapping[str, float],
) -> Diagnosis:
    """Which single quantity has changed, and by how much?

    With differences r of covariance V and a hypothesis' pattern c: amount (c' V^-1 r) / (c' V^-1 c), ranked by
    (c' V^-1 r)^2 / (c' V^-1 c), the part of chi-square it takes away. It explains the findings if what is left is no more
    than chance at 1 %.

    Args:
        findings: what was read again or found longer.
        bounds: what was noticed without a figure.
        quantities: the quantities that may have changed.
        u_mm: standard uncertainty of each recorded quantity [mm].

    Validity: independent normal readings, exactly one change.
    Source: generalised least squares with one added parameter (the same test as a single wrong reading, Baarda 1968).
    """
    weight, difference = _weight(findings, u_mm)
    chi_square = float(difference @ weight @ difference)
    changed = bool(bounds) or float(chdtrc(max(len(findings), 1), chi_square)) < SIGNIFICANCE
    patterns = {q: _pattern(q, findings) for q in quantities}
    singles = [
        _single(q, patterns[q], bounds, weight, difference, chi_square)
        for q in quantities
        if np.any(patterns[q]) or any(bound.negative and bound.slack.coefficient(q) for bound in bounds)
    ]
    ranked = sorted(
        _merged(singles, patterns), key=lambda h: (bool(h.against), not h.explains, -round(h.chi_square_share, 9), h.quantities)
    )
    return Diagnosis(chi_square=chi_square, findings=len(findings), changed=changed, hypotheses=tuple(ranked))


def _pattern(quantity: str, findings: Sequence[Finding]) -> Array:
    return np.array([finding.form.coefficient(quantity) for finding in findings], dtype=float)


def _weight(findings: Sequence[Finding], u_mm: Mapping[str, float]) -> tuple[Array, Array]:
    """The inverse covariance of the differences, and the differences."""
    names = sorted({q for f in findings for q in f.form.quantities()})
    matrix = np.array(
        [[f.form.coefficient(q) * u_mm[q] if f.from_record else 0.0 for q in names] for f in findings], dtype=float
    ).reshape(len(findings), len(names))
    covariance = matrix @ matrix.T + np.diag([f.u_mm**2 for f in findings])
    return np.linalg.inv(covariance), np.array([f.difference_mm for f in findings], dtype=float)


def _parallel(one: Array, other: Array) -> bool:
    """Whether two patterns are multiples of each other; nothing is a multiple of nothing only."""
    lengths = float(np.linalg.norm(one) * np.linalg.norm(other))
    return bool(abs(one @ other) >= SAME * lengths) if lengths > 0.0 else not (np.any(one) or np.any(other))


def _single(
    name: str, pattern: Array, bounds: Sequence[Bound], weight: Array, difference: Array, chi_square: float
) -> Hypothesis:
    """The hypothesis that this one quantity has changed."""
    measured, share = bool(np.any(pattern)), 0.0
    if measured:
        along, strength = float(pattern @ weight @ difference), float(pattern @ weight @ pattern)
        by_mm, share = along / strength, along**2 / strength
    else:
        by_mm = _least_change(name, bounds)
    rest = len(difference) - measured
    explains = rest == 0 or chi_square - share <= float(chdtri(rest, SIGNIFICANCE))
    against = tuple(bound.name for bound in bounds if not _brought_about(bound, name, by_mm))
    return Hypothesis((name,), (by_mm,), measured, share, explains, against)


def _merged(singles: Sequence[Hypothesis], patterns: Mapping[str, Array]) -> list[Hypothesis]:
    """Hypotheses that neither a figure nor what was noticed can tell apart, as one."""
    merged: list[Hypothesis] = []
    for single in singles:
        for i, group in enumerate(merged):
            same = _parallel(patterns[single.quantities[0]], patterns[group.quantities[0]])
            if same and single.against == group.against:
                quantities, by_mm = group.quantities + single.quantities, group.by_mm + single.by_mm
                merged[i] = replace(group, quantities=quantities, by_mm=by_mm)
                break
        else:
            merged.append(single)
    return merged


def _least_change(name: str, bounds: Sequence[Bound]) -> float:
    """The smallest change that brings about every notice it has a part in [mm]."""
    needed = [-max(b.recorded_mm, 0.0) / b.slack.coefficient(name) for b in bounds if b.negative and b.slack.coefficient(name)]
    return max(needed, key=abs)


def _brought_about(bound: Bound, name: str, by_mm: float) -> bool:
    """Whether a change agrees with what was noticed, as far as the record is sure of the slack."""
    now_mm = bound.recorded_mm + bound.slack.coefficient(name) * by_mm
    allowance_mm = CONTACT_MM + SURE * bound.u_mm
    return now_mm <= allowance_mm if bound.negative else now_mm >= -allowance_mm
