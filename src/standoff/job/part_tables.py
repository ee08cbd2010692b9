"""The tables of a job file that say what is made of the bars, how the bar cycle runs, and what bars and hours cost.

They are optional: a placement does not need them; the bar cycle and the stock sheet do.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from standoff.job.keys import NOT_NEGATIVE, SIGNED, Exact, Name, Price, Shown, Table, Taped, Time, needed, optional, rule

Count = Annotated[int, Field(ge=1, le=100_000_000)]
Ejection = Literal["through the loader", "out of the front"]
FeedStop = Literal["cut-off tool", "stop", "sub-spindle"]


class PartTable(Table):
    """A part that is made from a bar in one mode of the lathe."""

    name: Name = needed("what it is called", "hub axle")
    bar: Name | None = optional("the bar it is made from; without it the first, or the job's longest bar", "12 mm stainless")
    mode: Name | None = optional("mode it is made in; without it the first", "chucker")
    length: Exact = needed("its length", "4 in", "102 mm")
    cut_off_width: Exact | None = rule("width of the cut-off tool", "1/8 in", "3 mm")
    facing: Exact | None = rule("taken off a new bar's front face", "1/32 in", "1 mm", sign=NOT_NEGATIVE)
    seconds: Time | None = optional("time for one part", "75 s")
    per_order: Count | None = optional("parts in an order", "500")
    per_year: Count | None = optional("parts in a year", "12000")
    picked_off: bool | None = optional(
        "true: a sub-spindle takes the last part, so that the collet need not hold its end", "true"
    )
    z_last_cut: Shown | None = optional(
        "the control's Z at the last cut-off; without it the mode's front limit", "7.1 in", "180 mm", sign=SIGNED
    )


class CycleTable(Table):
    """How a bar runs through: loading, feeding, the end of the bar."""

    feed_stop: FeedStop | None = optional("what the bar is fed against: cut-off tool, stop or sub-spindle", "cut-off tool")
    ejection: Ejection | None = optional(
        "which way the remnant goes: through the loader or out of the front", "through the loader"
    )
    loaded_behind_clamp: Taped | None = optional(
        "where the bar's rear end lies after loading, behind the clamp face; without it the bar's front lies at the clamp",
        "13 ft",
        "4 m",
    )
    into_collet: Exact | None = rule("how far the pusher may enter the back of the main collet", "0 in", "10 mm")
    gripped_at_least: Exact | None = optional(
        "least length at the last cut-off from the collet's back, or from the bar's end ahead of it, to the cut-off plane",
        "3/4 in",
        "20 mm",
    )
    longest_remnant: Exact | None = optional("the longest remnant the loader can drop", "12 in", "300 mm")
    bar_change: Time | None = optional("time for changing the bar", "35 s")


class StockTable(Table):
    """What bars and hours cost, and how many bars lie ready; prices in the currency of [prices]."""

    price_per_bar: Price | None = optional("price of one bar", "18.5")
    price_per_kg: Price | None = optional("or: price of a kilogram of it", "3.4")
    price_per_hour: Price | None = optional("price of an hour of the lathe", "62")
    bars_in_magazine: Count | None = optional("bars the magazine holds", "24")
    magazine_width: Taped | None = optional("or: width of the magazine on which bars lie side by side", "18 in", "460 mm")
    shortest_to_buy: Exact | None = optional("the shortest bar to be had", "9 ft", "2.8 m")
    mill_tolerance: Exact | None = rule("how much longer than ordered a bar may be, evenly spread", "0 in", "200 mm")
