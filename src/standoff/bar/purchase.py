"""Which bar length to buy: the saw-tooth, said honestly.

Waste per part rises with the length until one part more just fits; there it jumps down, a little lower each time, since facing
and remnant are shared by more parts. So the best exact length is the longest of these tips within the limits, and one a hair
shorter is among the worst. A tolerance rounds the teeth off and moves the best length up, so that most bars reach the next part.
"""

from __future__ import annotations

import math

import numpy as np

from standoff.bar.checks import require_positive
from standoff.bar.lengths import EXACT, Expected, Tolerance, expected
from standoff.bar.yields import LONGEST_BAR_MM, Cutting, Floats, Yields, cut_up
from standoff.errors import UsageError
from standoff.units import ON_STEP_MM

_SAME_SHARE = 1e-12
"""Shares that differ by less are equal, so that noise never prefers the longer of two bars."""


def whole_lengths(cutting: Cutting, *, least_mm: float, greatest_mm: float) -> Yields:
    """Which exact lengths between two limits give a whole number of parts and no more?

    Every tip of the saw-tooth: remnant + facing + a whole number of parts and cut-offs. Each is the best length near it.

    Args:
        cutting: how the bars are cut.
        least_mm: shortest bar that may be bought [mm].
        greatest_mm: longest bar that may be bought [mm].

    Returns:
        The yields at these lengths, the shortest first.

    Raises:
        UsageError: limits that are no numbers above zero or in the wrong order; no such length between them.

    Validity: bars that are as long as ordered.
    Source: conservation of length.

    >>> axle = Cutting(part_mm=57.0, cut_off_mm=3.0, remnant_mm=300.0)
    >>> whole_lengths(axle, least_mm=3000.0, greatest_mm=3100.0).bar_mm.tolist()
    [3000.0, 3060.0]
    """
    _require_limits(least_mm=least_mm, greatest_mm=greatest_mm)
    lengths = _tips(cutting, least_mm=least_mm, greatest_mm=greatest_mm)
    if lengths.size == 0:
        raise _nothing(f"{least_mm} to {greatest_mm} mm", "with a length at which one part more fits", "widen the limits")
    return cut_up(cutting, lengths)


def best_length(cutting: Cutting, *, least_mm: float, greatest_mm: float, tolerance: Tolerance = EXACT) -> Expected:
    """Which nominal length between two limits wastes the least material per part, on the average?

    Between two lengths at which a limit of the tolerance meets a whole number of parts, the mean number of parts is a polynomial
    of the length, of second degree at most: every such length, and the best point of each piece between them, is judged, so that
    the best of all is found and not just one near it. Counts material only: longer bars also save bar changes.

    Args:
        cutting: how the bars are cut.
        least_mm: shortest nominal length that may be bought [mm].
        greatest_mm: longest nominal length; the loader must still take it with the mill's upper limit [mm].
        tolerance: spread around the nominal length.

    Returns:
        What bars of the best length yield; of equally good lengths the shortest.

    Raises:
        UsageError: as `whole_lengths` for the limits, as `expected`, or no part from any length between them.

    Validity: as `expected`. Of lengths that are offered one by one, ask `expected` for all and take the best.
    Source: a quotient of polynomials is greatest at the ends of its interval or where its slope is zero.

    >>> axle = Cutting(part_mm=57.0, cut_off_mm=3.0, remnant_mm=300.0)
    >>> best = best_length(axle, least_mm=3000.0, greatest_mm=3100.0)
    >>> float(best.nominal_mm), float(best.bought_per_part_mm)
    (3060.0, 66.52173913043478)
    """
    _require_limits(least_mm=least_mm, greatest_mm=greatest_mm)
    kinks = [_tips(cutting, least_mm=least_mm + o, greatest_mm=greatest_mm + o) - o for o in tolerance.corners_mm]
    ends = np.unique(np.clip(np.concatenate([[least_mm, greatest_mm], *kinks]), least_mm, greatest_mm))
    nominal = np.unique(np.concatenate([ends, _level(cutting, ends, tolerance)]))
    share = expected(cutting, nominal, tolerance).yield_share
    best = expected(cutting, nominal[np.argmax(share >= share.max() * (1.0 - _SAME_SHARE))], tolerance)
    if best.parts == 0.0:
        raise _nothing(
            f"{least_mm} to {greatest_mm} mm", "from which a part can be made", "take longer bars, or shorten the remnant"
        )
    return best


def _tips(cutting: Cutting, *, least_mm: float, greatest_mm: float) -> Floats:
    """The lengths within limits at which one part more just fits. [mm]"""
    first, last = (math.floor(cutting.advances(np.array(limit))) for limit in (least_mm, greatest_mm))
    lengths = cutting.whole_mm(np.arange(max(first, 1), last + 1))
    # A limit that is itself such a length must not get lost in rounding.
    return lengths[lengths >= least_mm - ON_STEP_MM]


def _level(cutting: Cutting, ends: Floats, tolerance: Tolerance) -> Floats:
    """Where, inside each piece, the mean yield is level: a parabola through three points, over the mean length."""
    if len(ends) < 2:
        return ends
    left, right = ends[:-1], ends[1:]
    at_left, at_right = expected(cutting, left, tolerance), expected(cutting, right, tolerance)
    middle = expected(cutting, (left + right) / 2.0, tolerance)
    square = 2.0 * (at_left.parts + at_right.parts - 2.0 * middle.parts)
    linear = at_right.parts - at_left.parts - square
    # The slope of (square s^2 + linear s + parts) / (bar + width s) is zero where a s^2 + 2 b s + c = 0.
    width = right - left
    a, b, c = square * width, square * at_left.bar_mm, linear * at_left.bar_mm - width * at_left.parts
    with np.errstate(divide="ignore", invalid="ignore"):
        s = -c / (b + np.copysign(np.sqrt(b**2 - a * c), b))
    inside = (s > 0.0) & (s < 1.0)
    return left[inside] + s[inside] * width[inside]


def _require_limits(*, least_mm: float, greatest_mm: float) -> None:
    require_positive("shortest bar to buy", least_mm)
    if not least_mm <= greatest_mm <= LONGEST_BAR_MM:
        raise UsageError(
            what="longest bar to buy",
            given=f"{greatest_mm} mm",
            allowed=f"from the shortest, {least_mm} mm, to {LONGEST_BAR_MM:.0f} mm",
            action="check the order of the two limits",
        )


def _nothing(given: str, allowed: str, action: str) -> UsageError:
    return UsageError(what="bar lengths", given=given, allowed=allowed, action=action)
