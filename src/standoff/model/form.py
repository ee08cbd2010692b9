"""Linear form: a map from quantity to coefficient, the algebra everything else rests on.

A place on the axis, a gap, a limit and a slack are all sums of measured quantities, each with a coefficient. Keeping the
coefficients (instead of the summed number) is what lets one declaration give the bound on the standoff, the sensitivity,
the covariance between requirements that share a quantity, and the effect of a change.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

STANDOFF = "standoff"
"""The distance solved for: nose-clamp face forward to the adapter's rear face, first mode's rear limit, loader not shifted."""

NOSE_CUT = "nose_cut"
"""How much is cut off a fixed nose: ONE unknown, shared by every mode and state."""

UNKNOWNS = (STANDOFF, NOSE_CUT)


@dataclass(frozen=True, slots=True)
class Form:
    """A linear form; `terms` is sorted by quantity and holds no zero coefficient."""

    terms: tuple[tuple[str, float], ...] = ()

    @classmethod
    def of(cls, *quantities: str) -> Form:
        """The sum of the named quantities, each with coefficient 1."""
        return cls.collect((name, 1.0) for name in quantities)

    @classmethod
    def collect(cls, pairs: Iterable[tuple[str, float]]) -> Form:
        """The form with these terms; equal quantities are added up, those that cancel are dropped."""
        sums: dict[str, float] = {}
        for name, coefficient in pairs:
            sums[name] = sums.get(name, 0.0) + coefficient
        return cls(tuple(sorted((name, c) for name, c in sums.items() if c != 0.0)))

    def __add__(self, other: Form) -> Form:
        """Add term by term."""
        return Form.collect((*self.terms, *other.terms))

    def __sub__(self, other: Form) -> Form:
        """Subtract term by term."""
        return self + (-other)

    def __neg__(self) -> Form:
        """The same terms with opposite signs."""
        return self.times(-1.0)

    def times(self, factor: float) -> Form:
        """Every coefficient multiplied by `factor`."""
        return Form.collect((name, factor * c) for name, c in self.terms)

    def coefficient(self, quantity: str) -> float:
        """The coefficient of one quantity, 0 where it does not occur."""
        return next((c for name, c in self.terms if name == quantity), 0.0)

    def without(self, *quantities: str) -> Form:
        """The form with the named quantities left out."""
        return Form(tuple(term for term in self.terms if term[0] not in quantities))

    def quantities(self) -> tuple[str, ...]:
        """The quantities that occur, unknowns included."""
        return tuple(name for name, _ in self.terms)

    def value(self, values_mm: Mapping[str, float]) -> float:
        """The sum [mm] at these values of the quantities [mm]."""
        return sum(c * values_mm[name] for name, c in self.terms)

    def spread(self, u_mm: Mapping[str, float]) -> float:
        """The standard uncertainty [mm] of the sum, its quantities being independent (JCGM 100:2008, 5.1.2)."""
        return math.sqrt(sum((c * u_mm[name]) ** 2 for name, c in self.terms))


NOTHING = Form()
