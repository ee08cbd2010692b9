"""Whether what was read is sure enough to move a machine by.

A miss that drowns in its own uncertainty gives moves computed from noise, most of all far from where was read: then more is read
first. A place that is not sure enough to be found within, however it lies, calls for readings farther apart or more exact.
"""

from __future__ import annotations

from collections.abc import Iterator

from standoff.site.axis import Miss
from standoff.site.levelling import Residual, Verdict
from standoff.site.tolerance import Grade
from standoff.solve.window import GUARD_FACTOR


def graded_misses(residual: Residual) -> Iterator[tuple[Miss, Grade]]:
    """What is left at a place, upright and sideways as far as it was read, each with its grade."""
    yield residual.offset.upright, residual.upright
    if residual.offset.sideways is not None and residual.sideways is not None:
        yield residual.offset.sideways, residual.sideways


def in_doubt(verdict: Verdict) -> tuple[Residual, ...]:
    """The places found outside, the least sure last, where no miss exceeds its own uncertainty; none where one does.

    One place that surely lies outside is enough to move by, and so is a roll: what is less sure elsewhere is read again after.
    """
    found = []
    for residual in verdict.residuals:
        outside = [miss for miss, grade in graded_misses(residual) if grade == "outside"]
        if any(miss.beyond_chance for miss in outside):
            return ()
        if outside:
            found.append((max(miss.u_mm for miss in outside) / residual.tolerance_mm, residual))
    if verdict.roll.grade == "outside":
        return ()
    return tuple(residual for _, residual in sorted(found, key=lambda one: one[0]))


def too_unsure(verdict: Verdict) -> Residual | None:
    """The place that is least sure, if it could not be found within however it lay; None where all could."""
    shares = [
        (GUARD_FACTOR * miss.u_mm / residual.tolerance_mm, i)
        for i, residual in enumerate(verdict.residuals)
        for miss, grade in graded_misses(residual)
        if grade != "not decided"
    ]
    most, i = max(shares, default=(0.0, 0))
    return verdict.residuals[i] if most > 1.0 else None
