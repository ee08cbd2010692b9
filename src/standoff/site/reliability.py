"""What bars that ran, and bars that were stopped, show of the share of bars that run clean.

A bar is a trial: it runs clean, or it counts a stop. Bars are taken as independent and alike, the share of clean ones (the
reliability) as unknown. Everything here is exact for that model; a drift, or stops that come in clusters, is for the control
chart to find. A confidence is the share of run-offs in which a statement made so is true.
"""

from __future__ import annotations

from dataclasses import dataclass

from scipy.special import bdtr, betaincinv

from standoff.bar.checks import require_positive
from standoff.errors import UsageError
from standoff.site.counting import MOST_BARS, require_count, require_share, require_stops

CONFIDENCE = 0.95
"""The confidence where none was agreed (common practice, no published source)."""

_NOISE = 1e-12
"""A relative excess this small is noise of the arithmetic: it costs nobody a bar."""


@dataclass(frozen=True, slots=True)
class Interval:
    """Between which shares of clean bars the true one lies, at a confidence."""

    least_share: float
    greatest_share: float
    confidence_share: float


@dataclass(frozen=True, slots=True)
class Cycles:
    """How many bar changes (or bars) are still to run clean, and how long that takes [h]."""

    further: int
    run_h: float


def chance_of_stops(stops: int, *, bars: int, clean_share: float) -> float:
    """How likely are at most so many stopped bars?

    The binomial distribution's lower tail; 0 of clean bars is hopeless, 1 is sure.

    Args:
        stops: greatest number of stopped bars.
        bars: number of bars.
        clean_share: true share of clean bars, 0 to 1 [-].

    Returns:
        Probability [-].

    Raises:
        UsageError: counts that cannot be, a share outside 0 to 1.

    Validity: independent bars that are alike.
    Source: binomial distribution; NIST/SEMATECH e-Handbook of Statistical Methods, 6.2.3.2.

    >>> round(chance_of_stops(3, bars=52, clean_share=0.99), 3)
    0.998
    """
    require_stops(stops, bars=bars)
    if not 0.0 <= clean_share <= 1.0:
        raise UsageError(
            what="share of clean bars", given=f"{clean_share}", allowed="a share from 0 to 1", action="give it as 0.95 for 95 %"
        )
    return float(bdtr(stops, bars, 1.0 - clean_share))


def shown_share(*, bars: int, stops: int, confidence_share: float) -> float:
    """At least which share of bars runs clean, seen from a run-off whose number of bars was agreed before?

    The one-sided limit of Clopper and Pearson: the share at which so few stops would come with probability 1 - confidence only.
    Without a stop this is (1 - C)^(1/n). Errs low (safe): the confidence is at least the one stated.

    Args:
        bars: number of bars run.
        stops: how many of them were stopped.
        confidence_share: the confidence wanted [-].

    Returns:
        Share of clean bars [-]; 0 where every bar was stopped.

    Raises:
        UsageError: counts that cannot be, a confidence outside 0 to 1.

    Validity: number of bars agreed before the start; for bars counted until enough of them ran in a row see `RowPlan`.
    Source: C.J. Clopper and E.S. Pearson, Biometrika 26 (1934) 404-413.

    >>> round(shown_share(bars=5, stops=0, confidence_share=0.95), 4)  # five clean bars
    0.5493
    """
    require_stops(stops, bars=bars)
    require_share("confidence", confidence_share)
    return _least(bars, stops, 1.0 - confidence_share)


def interval(*, bars: int, stops: int, confidence_share: float = CONFIDENCE) -> Interval:
    """Between which shares does the true share of clean bars lie?

    Clopper and Pearson, two-sided with equal tails. Errs wide: it covers at least as often as stated.

    Args:
        bars: number of bars run.
        stops: how many of them were stopped.
        confidence_share: confidence of the interval [-].

    Returns:
        Both limits [-].

    Raises:
        UsageError: counts that cannot be, a confidence outside 0 to 1.

    Validity: as `shown_share`.
    Source: C.J. Clopper and E.S. Pearson, Biometrika 26 (1934) 404-413.

    >>> round(1.0 - interval(bars=20, stops=0).least_share, 4)
    0.1684
    """
    require_stops(stops, bars=bars)
    tail = (1.0 - require_share("confidence", confidence_share)) / 2.0
    # The greatest share of clean bars is what the least share of stopped ones leaves.
    return Interval(_least(bars, stops, tail), 1.0 - _least(bars, bars - stops, tail), confidence_share)


def reached_confidence(*, bars: int, stops: int, clean_share: float) -> float:
    """With which confidence do these bars show this share of clean ones?

    Args:
        bars: number of bars run.
        stops: how many of them were stopped.
        clean_share: share of clean bars that was to be shown [-].

    Returns:
        Confidence [-]; low where the wish was high.

    Raises:
        UsageError: counts that cannot be, a share outside 0 to 1.

    Validity: as `shown_share`.
    Source: as `shown_share`, solved for the confidence.

    >>> round(reached_confidence(bars=298, stops=0, clean_share=0.99), 5)  # printed elsewhere as enough for 0.95
    0.94996
    """
    return 1.0 - chance_of_stops(stops, bars=bars, clean_share=require_share("share of clean bars", clean_share))


def success_run_share(*, clean_bars: int, confidence_share: float) -> float:
    """Which share does the "success run" formula give, (1 - C)^(1/(n + 1))?

    Not what this program states: it takes every share as equally likely beforehand, worth one clean bar more, so it errs high.
    Here to tell the two apart where somebody else's report uses it.

    Args:
        clean_bars: bars run, none of them stopped.
        confidence_share: the confidence wanted [-].

    Returns:
        Share of clean bars [-].

    Raises:
        UsageError: a count that cannot be, a confidence outside 0 to 1.

    Validity: no stop; a uniform prior.
    Source: Bayes' theorem with a uniform prior (the "success-run theorem").

    >>> round(success_run_share(clean_bars=29, confidence_share=0.95), 4)
    0.905
    """
    require_count("number of clean bars", clean_bars)
    return float((1.0 - require_share("confidence", confidence_share)) ** (1.0 / (clean_bars + 1)))


def further_clean(*, bars: int, stops: int, clean_share: float, confidence_share: float) -> int:
    """How many more bars (or bar changes) must run clean until they show the share wanted?

    The smallest number at which so few stops in all would come with probability 1 - confidence at most. Agree on it before the
    start: each time a run-off is prolonged because of a stop, the confidence stated errs high.

    Args:
        bars: number run so far, 0 before the start.
        stops: how many of them were stopped.
        clean_share: share of clean bars to be shown [-].
        confidence_share: the confidence wanted [-].

    Returns:
        Number of further clean bars, 0 where enough ran already.

    Raises:
        UsageError: counts or shares that cannot be, or a wish that a million bars do not show.

    Validity: independent bars that are alike.
    Source: as `shown_share`, solved for the number of bars.

    >>> further_clean(bars=0, stops=0, clean_share=0.99, confidence_share=0.95)
    299
    """
    require_stops(stops, bars=bars, least=0)
    require_share("share of clean bars", clean_share)
    allowed = (1.0 - require_share("confidence", confidence_share)) * (1.0 + _NOISE)

    def enough(total: int) -> bool:
        return total > stops and bool(bdtr(stops, total, 1.0 - clean_share) <= allowed)

    if enough(bars):
        return 0
    # More clean bars make few stops less likely, so the first number that is enough is found by halving.
    short, reached = bars, bars + 1
    while not enough(reached):
        short, reached = reached, 2 * reached
        if short > MOST_BARS:
            raise UsageError(
                what="share of clean bars",
                given=f"{clean_share} at confidence {confidence_share} after {stops} stops",
                allowed=f"what {MOST_BARS} bars can show",
                action="ask for a smaller share or less confidence, or mend the causes and start again",
            )
    while reached - short > 1:
        middle = (short + reached) // 2
        short, reached = (short, middle) if enough(middle) else (middle, reached)
    return reached - bars


def short_stock_cycles(*, clean_share: float, confidence_share: float, stops_allowed: int = 0, cycle_s: float) -> Cycles:
    """How many bar changes with short stock show the share wanted, and how long do they take?

    Bars cut short need a change every few minutes, so that the change, where most stops arise, can be run often enough. They say
    nothing of feeding a full bar: its own share cannot exceed the one shown here, but may be smaller.

    Args:
        clean_share: share of clean changes to be shown [-].
        confidence_share: the confidence wanted [-].
        stops_allowed: stopped changes that are allowed for.
        cycle_s: time from one change to the next [s].

    Returns:
        Number of changes, and their time in all [h].

    Raises:
        UsageError: counts, shares or times that cannot be, or a wish that a million changes do not show.

    Validity: changes independent and alike; no allowance for the mending of stops.
    Source: as `shown_share`, solved for the number of bars.

    >>> short_stock_cycles(clean_share=0.95, confidence_share=0.95, cycle_s=60.0)
    Cycles(further=59, run_h=0.9833333333333333)
    """
    require_positive("time of one cycle", cycle_s)
    require_count("number of stops", stops_allowed)
    bars = stops_allowed + further_clean(
        bars=stops_allowed, stops=stops_allowed, clean_share=clean_share, confidence_share=confidence_share
    )
    return Cycles(bars, bars * cycle_s / 3600.0)


def _least(bars: int, stops: int, tail: float) -> float:
    """The share of clean bars at which so few stops have this tail's probability; 0 where no bar was clean."""
    if stops == bars:
        return 0.0
    if stops == 0:
        return float(tail ** (1.0 / bars))
    return float(betaincinv(bars - stops, stops + 1, tail))
