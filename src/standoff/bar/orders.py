"""How many bars an order takes, how many the magazine holds, and how long they run with nobody there."""

from __future__ import annotations

import math

from standoff.bar.checks import require_not_negative, require_positive
from standoff.bar.yields import MeanCount
from standoff.errors import UsageError
from standoff.units import ON_STEP_MM

_SECONDS_PER_HOUR = 3600.0
_WHOLE = 1e-9
"""A number of bars this near a whole one is that one: a mean count carries noise of floating point."""


def bars_needed(wanted: int, *, parts_per_bar: MeanCount) -> int:
    """How many bars does an order, or a year, take?

    ceil(wanted / parts per bar). With the mean over the mill's tolerance, an order that gets a run of short bars may need one
    more: errs low there; ask with the fewest parts per bar to be sure.

    Args:
        wanted: parts, scrap and setting pieces included.
        parts_per_bar: whole, or the mean of many bars.

    Returns:
        Whole bars.

    Raises:
        UsageError: less than one part wanted, or no part per bar.

    Validity: the last bar's rest is not used for another order.
    Source: arithmetic.

    >>> bars_needed(1000, parts_per_bar=56)
    18
    """
    if wanted < 1:
        raise UsageError(what="parts wanted", given=f"{wanted}", allowed="one or more", action="correct the number of parts")
    bars = wanted / require_positive("parts per bar", parts_per_bar)
    return max(math.ceil(bars * (1.0 - _WHOLE)), 1)


def bars_side_by_side(*, magazine_mm: float, bar_mm: float) -> int:
    """How many bars lie side by side in the magazine?

    floor(width / bar), one layer, each touching the next. Bent bars take more room: errs high for them. A magazine whose number
    of bars is stated by its maker needs no reckoning.

    Args:
        magazine_mm: usable width of the magazine [mm].
        bar_mm: diameter; of a hexagon or square the size across corners, unless it cannot roll [mm].

    Returns:
        Whole bars; 0 where not one fits.

    Raises:
        UsageError: a size that is no number above zero.

    Validity: a flat magazine; within 1e-6 mm a bar counts as fitting.
    Source: geometry.

    >>> bars_side_by_side(magazine_mm=254.0, bar_mm=25.4)
    10
    """
    width = require_positive("magazine's width", magazine_mm)
    return math.floor((width + ON_STEP_MM) / require_positive("bar size", bar_mm))


def unattended_h(bars: int, *, parts_per_bar: MeanCount, part_s: float, bar_change_s: float) -> float:
    """How long does the cell run on the bars in its magazine?

    bars x (parts x seconds per part + bar change). Nothing stops it in between: errs high for a cell that stops, low by the rest
    of the bar that is in the lathe already.

    Args:
        bars: bars in the magazine.
        parts_per_bar: whole, or the mean of many bars.
        part_s: cycle time of a part [s].
        bar_change_s: from the last part of a bar to the first of the next [s].

    Returns:
        Time [h].

    Raises:
        UsageError: a negative number of bars, no part per bar, no cycle time, a negative bar change.

    Validity: chips, tools and the tray for parts last as long.
    Source: arithmetic.

    >>> unattended_h(10, parts_per_bar=56, part_s=45.0, bar_change_s=60.0)
    7.166666666666667
    """
    if bars < 0:
        raise UsageError(what="bars in the magazine", given=f"{bars}", allowed="zero or more", action="count them again")
    cutting_s = require_positive("parts per bar", parts_per_bar) * require_positive("seconds per part", part_s)
    return bars * (cutting_s + require_not_negative("bar change time", bar_change_s)) / _SECONDS_PER_HOUR
