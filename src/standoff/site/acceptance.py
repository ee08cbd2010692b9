"""Acceptance plans: what is agreed before a run-off starts, what passing it proves, and how often a cell passes.

Two rules are in use and prove different things. IN TOTAL: so many bars, so many stops allowed. IN A ROW: so many clean bars one
after another, a new row after a stop, failed at one stop more than allowed. Each new row is another chance to pass, so a row
begun again proves less than the same row at the first attempt: both rules say what they prove.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from enum import Enum

from standoff.errors import UsageError
from standoff.site.counting import MOST_BARS, require_count, require_share
from standoff.site.reliability import chance_of_stops, further_clean, shown_share

_NOISE = 1e-12


class Decision(Enum):
    """What the agreed plan says of the bars so far."""

    ACCEPTED = "accepted"
    NOT_YET = "not yet"
    FAILED = "failed by the stop rule"


@dataclass(frozen=True, slots=True)
class Judgement:
    """The decision, after how many of the bars it fell (None: it has not), and how many more it takes at least."""

    decision: Decision
    decided_at: int | None
    bars_to_go: int


@dataclass(frozen=True, slots=True)
class TotalPlan:
    """So many bars in all; accepted if no more of them are stopped than allowed."""

    bars: int
    stops_allowed: int = 0

    def __post_init__(self) -> None:
        _require_plan(self.bars, self.stops_allowed)
        if self.stops_allowed >= self.bars:
            raise UsageError(
                what="stops allowed",
                given=f"{self.stops_allowed} in {self.bars} bars",
                allowed="fewer stops than bars",
                action="allow fewer stops or run more bars",
            )

    def acceptance_probability(self, clean_share: float) -> float:
        """How often a cell with this true share of clean bars passes: one point of the operating characteristic."""
        return chance_of_stops(self.stops_allowed, bars=self.bars, clean_share=clean_share)

    def shown_share(self, confidence_share: float) -> float:
        """The share of clean bars that passing shows; a cell below it passes no more often than 1 - confidence."""
        return shown_share(bars=self.bars, stops=self.stops_allowed, confidence_share=confidence_share)

    def judge(self, clean: Iterable[bool]) -> Judgement:
        """The decision on bars in their order, clean or stopped."""
        run = stops = 0
        for run, good in enumerate(clean, start=1):
            stops += not good
            if stops > self.stops_allowed:
                return Judgement(Decision.FAILED, run, 0)
            if run == self.bars:
                return Judgement(Decision.ACCEPTED, run, 0)
        return Judgement(Decision.NOT_YET, None, self.bars - run)


@dataclass(frozen=True, slots=True)
class RowPlan:
    """So many clean bars one after another; after a stop the row begins again, until more bars were stopped than allowed."""

    bars: int
    stops_allowed: int = 0

    def __post_init__(self) -> None:
        _require_plan(self.bars, self.stops_allowed)

    def acceptance_probability(self, clean_share: float) -> float:
        """How often a cell with this true share of clean bars passes: 1 - (1 - R^n)^(rows), each row an attempt of its own."""
        row = chance_of_stops(0, bars=self.bars, clean_share=clean_share)
        return 1.0 - (1.0 - row) ** (self.stops_allowed + 1)

    def shown_share(self, confidence_share: float) -> float:
        """The share of clean bars that passing shows, in whichever of its rows; with one row only it is that of `TotalPlan`."""
        chance = _row_chance(require_share("confidence", confidence_share), self.stops_allowed)
        return float(chance ** (1.0 / self.bars))

    def judge(self, clean: Iterable[bool]) -> Judgement:
        """The decision on bars in their order, clean or stopped."""
        row = stops = 0
        for run, good in enumerate(clean, start=1):
            row = row + 1 if good else 0
            stops += not good
            if stops > self.stops_allowed:
                return Judgement(Decision.FAILED, run, 0)
            if row == self.bars:
                return Judgement(Decision.ACCEPTED, run, 0)
        return Judgement(Decision.NOT_YET, None, self.bars - row)


Plan = TotalPlan | RowPlan


def total_plan(*, clean_share: float, confidence_share: float, stops_allowed: int = 0) -> TotalPlan:
    """How many bars must be run in all to show this share of clean ones?

    The smallest n at which at most c stops come with probability 1 - C at most; n = ln(1 - C) / ln R rounded UP without a stop.

    Args:
        clean_share: share of clean bars to be shown, R [-].
        confidence_share: the confidence wanted, C [-].
        stops_allowed: stopped bars allowed, c.

    Returns:
        The plan.

    Raises:
        UsageError: shares or counts that cannot be, or a wish that a million bars do not show.

    Validity: independent bars that are alike.
    Source: binomial distribution, solved for the number of bars.

    >>> total_plan(clean_share=0.95, confidence_share=0.95), total_plan(clean_share=0.95, confidence_share=0.95, stops_allowed=1)
    (TotalPlan(bars=59, stops_allowed=0), TotalPlan(bars=93, stops_allowed=1))
    """
    stops = require_count("number of stops allowed", stops_allowed)
    clean = further_clean(bars=stops, stops=stops, clean_share=clean_share, confidence_share=confidence_share)
    return TotalPlan(stops + clean, stops)


def row_plan(*, clean_share: float, confidence_share: float, stops_allowed: int = 0) -> RowPlan:
    """How many bars must run clean in a row, with so many new beginnings, to show this share of clean ones?

    The smallest n with 1 - (1 - R^n)^(c + 1) at most 1 - C.

    Args:
        clean_share: share of clean bars to be shown, R [-].
        confidence_share: the confidence wanted, C [-].
        stops_allowed: stopped bars after each of which the row begins again, c.

    Returns:
        The plan.

    Raises:
        UsageError: shares or counts that cannot be, or a wish that a million bars do not show.

    Validity: independent bars that are alike.
    Source: own derivation: each row is an independent attempt of probability R^n.

    >>> row_plan(clean_share=0.9, confidence_share=0.95), row_plan(clean_share=0.9, confidence_share=0.95, stops_allowed=1)
    (RowPlan(bars=29, stops_allowed=0), RowPlan(bars=35, stops_allowed=1))
    """
    require_share("share of clean bars", clean_share)
    chance = _row_chance(require_share("confidence", confidence_share), require_count("number of stops allowed", stops_allowed))
    bars = math.ceil(math.log(chance) / math.log(clean_share) * (1.0 - _NOISE))
    if bars > MOST_BARS:
        raise UsageError(
            what="share of clean bars",
            given=f"{clean_share} at confidence {confidence_share}",
            allowed=f"what a row of {MOST_BARS} bars can show",
            action="ask for a smaller share or less confidence",
        )
    return RowPlan(max(bars, 1), stops_allowed)


def operating_characteristic(plan: Plan, clean_share: Iterable[float]) -> tuple[tuple[float, float], ...]:
    """The plan's operating characteristic: each true share of clean bars with the probability that such a cell passes."""
    return tuple((share, plan.acceptance_probability(share)) for share in clean_share)


def _row_chance(confidence_share: float, stops_allowed: int) -> float:
    """The chance of one row at which all of them together pass with probability 1 - confidence."""
    return -math.expm1(math.log(confidence_share) / (stops_allowed + 1))


def _require_plan(bars: int, stops_allowed: int) -> None:
    """Refuse counts of which no plan is made."""
    require_count("number of bars", bars, least=1)
    require_count("number of stops allowed", stops_allowed)
