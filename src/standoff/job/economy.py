"""Stock and money: what a bar yields, what the remnant costs, which length to buy, how long it runs alone, what a remedy pays.

Everything is told with what it follows from. What the job does not state (a price, a count, a time) leaves its figure out and is
named in `not_stated`; nothing is guessed.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from standoff.bar.lengths import Expected
from standoff.bar.mixes import Mix, Wanted, best_mix
from standoff.bar.orders import bars_side_by_side, unattended_h
from standoff.bar.purchase import best_length
from standoff.bar.yields import Cutting
from standoff.errors import JobFileError, Problem
from standoff.job.advice import advise
from standoff.job.bars import longest_bar_mm
from standoff.job.costs import Costs, Longer, bar_change_s, costs_of, shortfall_cost, step_cost
from standoff.job.job import Job
from standoff.job.parts import parts_of
from standoff.job.pay_back import Comparison, comparison
from standoff.job.placement import Placement, Verdict
from standoff.job.supply import Supply, supply_of
from standoff.units import ON_STEP_MM

BARS_TOO_LONG, REMNANT_TOO_LONG, REMNANT_MAY_BE_TOO_LONG, GRIP_TOO_SHORT = (
    "bars-too-long",
    "remnant-too-long",
    "remnant-may-be-too-long",
    "grip-too-short",
)
"""What is wrong with a part's bars without any figure being wrong."""


@dataclass(frozen=True, slots=True)
class Teeth:
    """The two teeth of the saw beside a bar: the shortest that still gives as many parts, and the one that gives one more."""

    same_mm: float
    more_mm: float


@dataclass(frozen=True, slots=True)
class Magazine:
    """How many bars lie ready: as stated (no width), or side by side."""

    bars: int
    width_mm: float | None
    size_mm: float | None


@dataclass(frozen=True, slots=True, eq=False)
class Purchase:
    """The length to buy between two limits; `best` is None where no bar between them can be had, or none gives a part."""

    least_mm: float
    greatest_mm: float
    best: Expected | None
    saved_share: float
    saved_cost: float | None


@dataclass(frozen=True, slots=True, eq=False)
class Stock:
    """Everything about one part's bars."""

    supply: Supply
    teeth: Teeth
    costs: Costs
    shortfall: Longer | None
    step: Longer | None
    purchase: Purchase | None
    magazine: Magazine | None
    unattended_h: float | None
    alarms: tuple[str, ...]
    not_stated: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Shared:
    """Several parts from one bar, all in one mode: how many of each use it best, and how well the best of them alone uses it."""

    bar: str
    mode: str
    parts: tuple[str, ...]
    mix: Mix
    alone: str
    alone_share: float


@dataclass(frozen=True, slots=True, eq=False)
class StockSheet:
    """The stock of every part at one standoff, bars that several parts share, and what the proposed changes pay."""

    placement: Placement
    stocks: tuple[Stock, ...]
    shared: tuple[Shared, ...]
    comparison: Comparison | None

    @property
    def job(self) -> Job:
        """The job."""
        return self.placement.job

    @property
    def placed(self) -> bool:
        """Whether the pair holds at the standoff of these figures."""
        return self.placement.verdict is not Verdict.NOT

    @property
    def currency(self) -> str:
        """The job's currency; empty where it states no price."""
        prices = self.job.tables.prices
        return "" if prices is None else prices.currency


def stock_of(placement: Placement) -> StockSheet:
    """The stock of every part of the job, at the standoff of the placement.

    Raises: JobFileError where the job names no part, or a part that its bar does not hold.
    """
    job = placement.job
    if not job.tables.parts:
        action = "write [[parts]] with name and length"
        raise JobFileError([Problem("key-missing", "", None, "parts", "nothing", "at least one [[parts]]", action)])
    parts = parts_of(job, standoff_mm=placement.standoff_mm, cut_mm=placement.cut_mm)
    supplies = tuple(supply_of(job, part, i) for i, part in enumerate(parts))
    remedies = advise(placement).remedies if placement.guarded.empty else ()
    return StockSheet(
        placement,
        tuple(_stock(job, supply, i) for i, supply in enumerate(supplies)),
        _shared(supplies),
        comparison(placement, remedies, supplies),
    )


def _stock(job: Job, supply: Supply, index: int) -> Stock:
    magazine = _magazine(job, supply)
    costs = costs_of(job, supply)
    same_mm, more_mm = supply.part.cutting.whole_mm(np.array([supply.count, supply.count + 1]))
    return Stock(
        supply=supply,
        teeth=Teeth(float(same_mm), float(more_mm)),
        costs=costs,
        shortfall=shortfall_cost(job, supply),
        step=step_cost(job, supply),
        purchase=_purchase(job, supply, costs),
        magazine=magazine,
        unattended_h=_alone_h(job, supply, magazine),
        alarms=tuple(_alarms(job, supply)),
        not_stated=tuple(_not_stated(job, supply, index)),
    )


def _magazine(job: Job, supply: Supply) -> Magazine | None:
    """How many bars lie ready: as stated, or as many as lie side by side."""
    stock = job.tables.stock
    if stock is None:
        return None
    if stock.bars_in_magazine is not None:
        return Magazine(stock.bars_in_magazine, None, None)
    if stock.magazine_width is None or supply.bar is None:
        return None
    width_mm, size_mm = stock.magazine_width[0].value_mm, supply.bar.corners_mm
    return Magazine(bars_side_by_side(magazine_mm=width_mm, bar_mm=size_mm), width_mm, size_mm)


def _alone_h(job: Job, supply: Supply, magazine: Magazine | None) -> float | None:
    """How long it runs with nobody there; without a time for the bar change, the cutting alone. [h]"""
    seconds = supply.part.seconds
    if magazine is None or seconds is None:
        return None
    change_s = bar_change_s(job) or 0.0
    return unattended_h(magazine.bars, parts_per_bar=supply.parts_per_bar, part_s=seconds, bar_change_s=change_s)


def _purchase(job: Job, supply: Supply, costs: Costs) -> Purchase | None:
    """The bar length to buy, between the shortest to be had that gives a part and the longest that may be loaded."""
    stock = job.tables.stock
    if stock is None or stock.shortest_to_buy is None:
        return None
    cutting, tolerance = supply.part.cutting, supply.tolerance
    least_mm = max(stock.shortest_to_buy[0].value_mm, _first_mm(cutting))
    greatest_mm = longest_bar_mm(job) - tolerance.upper_mm
    if least_mm > greatest_mm + ON_STEP_MM:
        return Purchase(least_mm, greatest_mm, None, 0.0, None)
    best = best_length(cutting, least_mm=least_mm, greatest_mm=max(greatest_mm, least_mm), tolerance=tolerance)
    saved = 1.0 - float(best.bought_per_part_mm) / float(supply.expected.bought_per_part_mm)
    year_cost = None if costs.part_cost is None or supply.per_year is None else costs.part_cost * supply.per_year
    return Purchase(least_mm, greatest_mm, best, saved, None if year_cost is None else year_cost * saved)


def _first_mm(cutting: Cutting) -> float:
    """The shortest bar that gives a part. [mm]"""
    return max(float(cutting.whole_mm(np.array(1))), cutting.held_mm)


def _alarms(job: Job, supply: Supply) -> Iterator[str]:
    cycle, part = job.tables.cycle, supply.part
    if supply.longest_bar_mm > longest_bar_mm(job) + ON_STEP_MM:
        yield BARS_TOO_LONG
    if cycle is None:
        return
    if cycle.longest_remnant and cycle.ejection != "out of the front":
        most_mm = cycle.longest_remnant[0].value_mm + ON_STEP_MM
        if part.remnant_mm > most_mm:
            yield REMNANT_TOO_LONG
        elif supply.longest_remnant_mm > most_mm:
            yield REMNANT_MAY_BE_TOO_LONG
    if cycle.gripped_at_least and not part.picked_off and part.reach.gripped_mm < cycle.gripped_at_least[0].value_mm:
        yield GRIP_TOO_SHORT


def _not_stated(job: Job, supply: Supply, index: int) -> Iterator[str]:
    """The fields of the job without which some of these figures cannot be told."""
    stock, table = job.tables.stock, f"parts[{index}]"
    if supply.bar is None:
        yield "bars"
    if stock is None or (stock.price_per_bar is None and stock.price_per_kg is None):
        yield "stock.price_per_bar"
    if supply.per_order is None:
        yield f"{table}.per_order"
    if supply.per_year is None:
        yield f"{table}.per_year"
    if stock is None or stock.shortest_to_buy is None:
        yield "stock.shortest_to_buy"
    if stock is None or (stock.bars_in_magazine is None and stock.magazine_width is None):
        yield "stock.bars_in_magazine"
    if supply.part.seconds is None:
        yield f"{table}.seconds"
    if bar_change_s(job) is None:
        yield "cycle.bar_change"
    if stock is None or stock.price_per_hour is None:
        yield "stock.price_per_hour"


def _shared(supplies: Sequence[Supply]) -> tuple[Shared, ...]:
    """The bars from which several parts are made in one mode."""
    groups: dict[tuple[str, str], list[Supply]] = {}
    for supply in supplies:
        groups.setdefault((supply.part.bar_name, supply.part.mode.name), []).append(supply)
    return tuple(_mixed(bar, mode, group) for (bar, mode), group in groups.items() if len(group) > 1 and _mixable(group))


def _mixable(group: Sequence[Supply]) -> bool:
    """Whether one cut-off tool, the widest of them, serves all these parts."""
    return max(supply.part.cut_mm for supply in group) <= min(supply.part.length_mm for supply in group)


def _mixed(bar: str, mode: str, group: Sequence[Supply]) -> Shared:
    """The best mix: no more of a part than an order of it, the widest cut-off, the longest remnant and facing for all."""
    bar_mm, parts = group[0].part.bar_mm, [supply.part for supply in group]
    mix = best_mix(
        [Wanted(s.part.length_mm, s.per_order if s.per_order is not None else s.count + 1) for s in group],
        bar_mm=bar_mm,
        cut_off_mm=max(part.cut_mm for part in parts),
        remnant_mm=max(part.reach.remnant_mm for part in parts),
        facing_mm=max(part.facing_mm for part in parts),
    )
    alone = max(group, key=lambda supply: float(supply.yields.yield_share))
    return Shared(bar, mode, tuple(part.name for part in parts), mix, alone.part.name, float(alone.yields.yield_share))
