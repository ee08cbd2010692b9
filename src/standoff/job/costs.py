"""What bars cost: a bar, a part, an order, a year; and what a longer remnant costs.

In the job's currency, and only as far as prices and counts are stated: what is not stated leaves its figure out (None), nothing
is guessed. Only the bars are counted and, apart from them, the lathe's hours during bar changes.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from standoff.bar.lengths import expected
from standoff.bar.yields import Cutting, MeanCount
from standoff.job.job import Job
from standoff.job.supply import Supply
from standoff.units import INCH_MM

SECONDS_PER_HOUR = 3600.0


@dataclass(frozen=True, slots=True)
class Costs:
    """Of one part: a bar, the material of a part, the mean remnant of a bar, the bars of an order and of a year.

    `changes_cost`: the lathe's hours while a year's bars are changed.
    """

    bar_cost: float | None
    part_cost: float | None
    remnant_cost: float | None
    order_cost: float | None
    year_cost: float | None
    changes_cost: float | None


@dataclass(frozen=True, slots=True)
class Loss:
    """Parts lost per bar, and what must be bought more in a year for it; None where no count, metal or price is stated."""

    parts: MeanCount
    yearly_bars: MeanCount | None
    yearly_kg: float | None
    yearly_cost: float | None


@dataclass(frozen=True, slots=True)
class Longer:
    """What a remnant that is longer by so much costs: on the average over bar lengths, and of bars as this job has them.

    The two differ since a bar loses in steps: nothing as long as its rest covers the longer remnant, then a whole part. `here` is
    None where these bars would not give a part any more.
    """

    longer_mm: float
    mean: Loss
    here: Loss | None


def bar_cost(job: Job, supply: Supply) -> float | None:
    """What a bar costs: as stated, or by its mean mass; None where neither can be told."""
    stock = job.tables.stock
    if stock is None:
        return None
    if stock.price_per_bar is not None:
        return stock.price_per_bar
    if stock.price_per_kg is None or supply.mean_bar_kg is None:
        return None
    return stock.price_per_kg * supply.mean_bar_kg


def costs_of(job: Job, supply: Supply) -> Costs:
    """The costs of one part, as far as they can be told."""
    one_cost = bar_cost(job, supply)
    changes_cost = _changes_cost(job, supply)
    if one_cost is None:
        return Costs(None, None, None, None, None, changes_cost)
    orders, years = supply.bars_per_order, supply.bars_per_year
    return Costs(
        bar_cost=one_cost,
        part_cost=one_cost / supply.parts_per_bar,
        remnant_cost=one_cost * float(supply.expected.remnant_mm) / supply.mean_bar_mm,
        order_cost=None if orders is None else orders * one_cost,
        year_cost=None if years is None else years * one_cost,
        changes_cost=changes_cost,
    )


def _changes_cost(job: Job, supply: Supply) -> float | None:
    """The lathe's hours while a year's bars are changed."""
    stock, change_s, bars = job.tables.stock, bar_change_s(job), supply.bars_per_year
    if stock is None or stock.price_per_hour is None or change_s is None or bars is None:
        return None
    return bars * change_s / SECONDS_PER_HOUR * stock.price_per_hour


def bar_change_s(job: Job) -> float | None:
    """The time for changing a bar, None where it is not stated. [s]"""
    return None if job.tables.cycle is None else job.tables.cycle.bar_change


def shortfall_cost(job: Job, supply: Supply) -> Longer | None:
    """What it costs that the pusher falls short of the collet; None where it does not."""
    short_mm = supply.part.reach.shortfall_mm
    if short_mm <= 0.0:
        return None
    return _longer(job, supply, shorter=_shorter(supply.part.cutting, short_mm), longer=supply.part.cutting)


def step_cost(job: Job, supply: Supply) -> Longer | None:
    """What an inch (25 mm) more remnant costs; None where the bar would not hold a part any more."""
    step_mm = step_of(job)
    longer = replace(supply.part.cutting, remnant_mm=supply.part.cutting.remnant_mm + step_mm)
    left = supply.per_bar_if(bar_mm=supply.part.bar_mm, unused_mm=longer.unused_mm)
    if left <= 0.0 or longer.held_mm > supply.part.bar_mm:
        return None
    return _longer(job, supply, shorter=supply.part.cutting, longer=longer)


def step_of(job: Job) -> float:
    """An inch, or 25 mm, by the job's units. [mm]"""
    return float(INCH_MM) if job.units == "in" else 25.0


def _shorter(cutting: Cutting, by_mm: float) -> Cutting:
    """The cutting with a remnant shorter by so much; a pick-off gains no more than the remnant."""
    remnant_mm = cutting.remnant_mm - by_mm
    return replace(cutting, remnant_mm=remnant_mm, pick_off_gain_mm=min(cutting.pick_off_gain_mm, remnant_mm))


def _longer(job: Job, supply: Supply, *, shorter: Cutting, longer: Cutting) -> Longer:
    """The cost of one remnant over another; one of the two is the part's own."""
    bar_mm, tolerance = supply.part.bar_mm, supply.tolerance
    few, many = (supply.per_bar_if(bar_mm=bar_mm, unused_mm=cutting.unused_mm) for cutting in (longer, shorter))
    fewer, more = (float(expected(cutting, bar_mm, tolerance).parts) for cutting in (longer, shorter))
    return Longer(
        longer_mm=longer.remnant_mm - shorter.remnant_mm,
        mean=_loss(job, supply, few, many),
        here=_loss(job, supply, fewer, more) if fewer > 0.0 else None,
    )


def _loss(job: Job, supply: Supply, few: MeanCount, many: MeanCount) -> Loss:
    """What it costs to get so few parts from a bar and not so many."""
    bars = None if supply.per_year is None else supply.per_year / few - supply.per_year / many
    one_kg, one_cost = supply.mean_bar_kg, bar_cost(job, supply)
    return Loss(
        parts=many - few,
        yearly_bars=bars,
        yearly_kg=None if bars is None or one_kg is None else bars * one_kg,
        yearly_cost=None if bars is None or one_cost is None else bars * one_cost,
    )
