"""Refusals of this room: a size that is not a finite number, or not of the sign it must have."""

from __future__ import annotations

import math
from collections.abc import Iterable

from standoff.errors import UsageError

Number = float
"""A number of whatever unit: what it measures is said by the words that go with it."""


def require_positive(what: str, given: Number) -> Number:
    """The number itself if it is finite and above zero."""
    if not (math.isfinite(given) and given > 0.0):
        raise UsageError(what=what, given=f"{given}", allowed="a finite number above zero", action=f"measure the {what} again")
    return given


def require_not_negative(what: str, given: Number, *, endless: bool = False) -> Number:
    """The number itself if it is zero or more; `endless`: infinity (a rigid support) is welcome too."""
    if math.isnan(given) or given < 0.0 or (math.isinf(given) and not endless):
        allowed = "zero or more" if endless else "a finite number, zero or more"
        raise UsageError(what=what, given=f"{given}", allowed=allowed, action=f"correct the {what}")
    return given


def require_finite(what: str, given: Number) -> Number:
    """The number itself if it is finite."""
    if not math.isfinite(given):
        raise UsageError(what=what, given=f"{given}", allowed="a finite number", action=f"correct the {what}")
    return given


def require_lengths(lengths_mm: Iterable[float]) -> tuple[float, ...]:
    """The bar lengths as a tuple; none, or one that is no positive number, is refused."""
    lengths = tuple(require_positive("bar length", float(length)) for length in lengths_mm)
    if not lengths:
        raise UsageError(what="bar lengths", given="none", allowed="one length at least", action="give the lengths to be judged")
    return lengths
