"""Which reading matters most: what the guarded window and the joint probability would gain if each were read better."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from standoff.model.form import Form
from standoff.solve.confidence import covariance, probability_all
from standoff.solve.window import GUARD_FACTOR, Bound, window

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
    return tuple(
        Gain(name, wider_mm, probability_all(means_mm, covariance(forms, better))) for wider_mm, name, better in useful[:most]
    )


def _width_mm(bounds: Sequence[Bound], cut_limit_mm: float) -> float:
    """The guarded window's width [mm], negative where it is empty."""
    guarded = window(bounds, cut_limit_mm=cut_limit_mm, factor=GUARD_FACTOR)
    return guarded.greatest_mm - guarded.least_mm
