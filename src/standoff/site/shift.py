"""A shift without anybody there: how many bars it takes, how clean bars must run for it, and what shown bars mean for it.

A shift passes unattended if every one of its bars runs clean. One stop ends it, since nobody is there to mend it. Bars are taken
as independent and alike, as in `reliability`.
"""

from __future__ import annotations

import math

from standoff.bar.checks import require_positive
from standoff.errors import UsageError
from standoff.site.counting import MOST_BARS, require_count, require_share

_NOISE = 1e-9
"""A shift that is a whole number of bars long takes no bar more for noise of the arithmetic."""


def bars_in_shift(*, shift_s: float, bar_s: float) -> int:
    """How many bars does a shift take?

    The shift over the time of one bar, its change included, rounded UP: the last bar need not end within the shift, but has been
    changed in it. Errs high (safe) by less than one bar.

    Args:
        shift_s: length of the shift [s].
        bar_s: time from one bar change to the next [s].

    Returns:
        Number of bars, one at least.

    Raises:
        UsageError: times that are not above zero, or a shift of more than a million bars.

    Validity: no stop in the shift.
    Source: own derivation.

    >>> bars_in_shift(shift_s=8 * 3600.0, bar_s=1800.0)
    16
    """
    require_positive("length of the shift", shift_s)
    count = shift_s / require_positive("time of one bar", bar_s)
    if count > MOST_BARS:
        raise UsageError(
            what="length of the shift",
            given=f"{count:.0f} bars",
            allowed=f"at most {MOST_BARS}",
            action="check both times and their units",
        )
    return max(math.ceil(count - _NOISE), 1)


def shift_chance(*, bars: int, clean_share: float) -> float:
    """How likely does a shift of so many bars pass without a stop?

    R^n. With a share that was shown at a confidence this is the least chance, at the same confidence.

    Args:
        bars: bars in the shift.
        clean_share: share of clean bars, 0 to 1 [-].

    Returns:
        Probability [-].

    Raises:
        UsageError: a count that cannot be, a share outside 0 to 1.

    Validity: independent bars that are alike; a drift, as of a tool that wears, makes late bars worse than early ones.
    Source: product of the chances of independent bars; the same as a zero-failure plan's, ln(1 - C) / ln R read backwards.

    >>> round(shift_chance(bars=16, clean_share=0.99), 3)
    0.851
    """
    require_count("number of bars", bars, least=1)
    if not 0.0 <= clean_share <= 1.0:
        raise UsageError(
            what="share of clean bars", given=f"{clean_share}", allowed="a share from 0 to 1", action="give it as 0.95 for 95 %"
        )
    return float(clean_share**bars)


def needed_share(*, bars: int, chance_share: float) -> float:
    """Which share of bars must run clean so that a shift passes without a stop with this chance?

    P^(1/n), `shift_chance` read backwards.

    Args:
        bars: bars in the shift.
        chance_share: the chance wanted, P [-].

    Returns:
        Share of clean bars [-].

    Raises:
        UsageError: a count that cannot be, a chance outside 0 to 1.

    Validity: as `shift_chance`.
    Source: as `shift_chance`.

    >>> round(needed_share(bars=16, chance_share=0.9), 4)
    0.9934
    """
    require_count("number of bars", bars, least=1)
    return float(require_share("chance of a shift without a stop", chance_share) ** (1.0 / bars))
