"""What the stock sheet asks for besides: the currency, what bars and hours cost, how bars are bought, what the magazine holds.

The stops are like those of the survey (`guide`), on a page of their own. Parts and the times of the cycle are asked for on the
page of the bar cycle. Everything may be left out: a figure that needs it is then left out too, and says so.
"""

from __future__ import annotations

from standoff.job.keys import extra
from standoff.job.part_tables import StockTable
from standoff.job.step import Step, Stop

STOCK_TABLES = ("stock", "prices")
"""The tables of the job file that this walk fills in."""

_AS_ORDERED = extra(StockTable.model_fields["mill_tolerance"])["default_text"]

STOCK_STOPS = (
    Stop(
        "money",
        "Money",
        "Nothing to measure: from the last invoice of bars, and from whoever reckons the hours of this lathe.",
        (
            Step("prices.currency", "Currency", "Of every price of this job, such as USD or EUR."),
            Step(
                "stock.price_per_bar",
                "Price of a bar",
                "The number alone, in that currency; or leave it empty and say what a kilogram costs.",
                tool="",
            ),
            Step(
                "stock.price_per_kg",
                "Price of a kilogram",
                "Instead of the price of a bar; size and metal come from the page of bar speed. A pound's price times 2.2046.",
                tool="",
            ),
            Step(
                "stock.price_per_hour",
                "Price of an hour of the lathe",
                "For what it stands still while bars are changed.",
                tool="",
            ),
        ),
    ),
    Stop(
        "buying",
        "Buying bars",
        "From the mill's or the dealer's terms.",
        (
            Step(
                "stock.shortest_to_buy",
                "Shortest bar to be had",
                "The length to buy is sought from here up to the longest bar of this job.",
                tool="",
            ),
            Step(
                "stock.mill_tolerance",
                "Bars may come longer by",
                f"Than ordered, every length up to it as likely as any other. Empty: {_AS_ORDERED}, they come as ordered.",
                tool="",
            ),
        ),
    ),
    Stop(
        "magazine",
        "The magazine",
        "Loader stopped. Bars roll: none on the magazine while it is measured, and nobody below it while it is filled.",
        (
            Step(
                "stock.bars_in_magazine",
                "Bars it holds",
                "Of the size in use; or leave it empty and say how wide it is.",
                tool="",
            ),
            Step("stock.magazine_width", "Its width", "Instead of a count: bars lie on it side by side, one layer deep."),
        ),
    ),
)
"""Everything the stock sheet asks for, each field once."""
