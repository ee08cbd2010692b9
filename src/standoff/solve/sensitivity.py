"""Which reading matters most: what the guarded window and the joint probability would gain if each were read better."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from standoff.model.form import Form
from standoff.solve.confidence import covariance, probability_all
from standoff.solve.window import GUARD_FACTOR, Bound, window

LIKELIER = 0.01
"""A reading that does not bear on the standoff is named where it makes everything likelier by more than this (our choice)."""
BETTER = 0.5
"""A better reading halves the uncertainty (our choice: what a second, careful reading with the same class of tool brings)."""


@dataclass(frozen=True, slots=True)
class Gain:
    """What halving the uncertainty of one quantity brings: a wider guarded window [mm] and this joint probability."""

    quantity: str
    wider_mm: float
    probability: float


def gains(
    bounds: Sequence[Bound],
    slacks: Sequence[Form],
    *,
    forms: Sequence[Form],
    means_mm: Sequence[float],
    u_mm: Mapping[str, float],
    cut_limit_mm: float,
    most: int = 5,
) -> tuple[Gain, ...]:
    """The readings worth taking again, the most useful first; readings that change nothing are left out.

    Those of rows in which the standoff has no part (bores, centre heights) come first: no place of the loader makes up for them.

    Args:
        bounds: the rows that bound the standoff. slacks: their slacks as forms.
        forms: every slack of the job, for the joint probability. means_mm: their values [mm].
        u_mm: standard uncertainty of each quantity [mm].
    """
    before_mm = _width_mm(bounds, cut_limit_mm)
    widened = []
    for name in sorted({q for form in slacks for q in form.quantities() if u_mm.get(q, 0.0) > 0.0}):
        better = {**u_mm, name: BETTER * u_mm[name]}
        improved = [Bound(b.side, b.at_mm, form.spread(better), b.shares_cut) for b, form in zip(bounds, slacks, strict=True)]
        widened.append((_width_mm(improved, cut_limit_mm) - before_mm, name, better))
    useful = sorted((w for w in widened if w[0] > 1e-6), key=lambda w: (-round(w[0], 9), w[1]))
    found = _apart(slacks, forms=forms, means_mm=means_mm, u_mm=u_mm)
    found += [
        Gain(name, wider_mm, probability_all(means_mm, covariance(forms, better))) for wider_mm, name, better in useful[:most]
    ]
    return tuple(found[:most])


def _apart(slacks: Sequence[Form], *, forms: Sequence[Form], means_mm: Sequence[float], u_mm: Mapping[str, float]) -> list[Gain]:
    """The gains of readings that do not bear on the standoff, the most useful first."""
    placing = {quantity for form in slacks for quantity in form.quantities()}
    apart = sorted({q for form in forms for q in form.quantities() if u_mm.get(q, 0.0) > 0.0} - placing)
    if not apart:
        return []
    before = probability_all(means_mm, covariance(forms, u_mm))
    made = [Gain(name, 0.0, probability_all(means_mm, covariance(forms, {**u_mm, name: BETTER * u_mm[name]}))) for name in apart]
    return sorted(
        (gain for gain in made if gain.probability > before + LIKELIER), key=lambda gain: (-gain.probability, gain.quantity)
    )


def _width_mm(bounds: Sequence[Bound], cut_limit_mm: float) -> float:
    """The guarded window's width [mm], negative where it is empty."""
    guarded = window(bounds, cut_limit_mm=cut_limit_mm, factor=GUARD_FACTOR)
    return guarded.greatest_mm - guarded.least_mm
