"""From which two reference points to mark out: every pair of those found at the lathe is tried and judged by its worst mark."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

from standoff.errors import UsageError
from standoff.site.baseline import FloorPoint, Reference, baseline
from standoff.site.markout import MarkOut, mark_out, require_names, require_points, taping_u_mm


@dataclass(frozen=True, slots=True)
class Pair:
    """One pair of reference points judged: its mark-out, or why there is none."""

    first: str
    second: str
    mark_out: MarkOut | None
    reason: str = ""


def judge_pairs(references: Sequence[Reference], points: Sequence[FloorPoint], *, source: str = "tape") -> tuple[Pair, ...]:
    """From which two reference points are these points marked out most surely?

    Every pair is tried; the best one leaves the least worst ellipse. Judged without a tape between the points: lay it along the
    pair that is chosen.

    Args:
        references: candidates found at the lathe, each with a name of its own.
        points: the points wanted.
        source: what the distances are laid off with.

    Returns:
        All pairs, the best first; those from which some point cannot be marked last, with the reason.

    Raises:
        UsageError: fewer than two candidates, a name used twice, or no pair from which every point can be marked.

    Validity: as `mark`.
    Source: as `mark`.
    """
    require_points(points)
    taping_u_mm(0.0, source=source)
    if len(references) < 2:
        raise UsageError(
            what="reference points", given=f"{len(references)}", allowed="two at least", action="find another point at the lathe"
        )
    require_names("reference point", [reference.name for reference in references])
    pairs = sorted((_pair(a, b, points, source) for a, b in combinations(references, 2)), key=_worst_mm)
    if pairs[0].mark_out is None:
        raise UsageError(
            what="reference points",
            given=f"no pair from which every point can be marked (first: {pairs[0].reason})",
            allowed="a pair with every point well beside its line",
            action="find a reference point farther to the side",
        )
    return tuple(pairs)


def _pair(first: Reference, second: Reference, points: Sequence[FloorPoint], source: str) -> Pair:
    """One pair of reference points, judged."""
    try:
        return Pair(first.name, second.name, mark_out(points, baseline(first, second), source=source))
    except UsageError as error:
        return Pair(first.name, second.name, None, f"{error.found}")


def _worst_mm(pair: Pair) -> float:
    """The longest half axis of a pair; without end where some point cannot be marked. [mm]"""
    return math.inf if pair.mark_out is None else pair.mark_out.worst.ellipse.semi_major_mm
