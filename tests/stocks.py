"""The tests' sliding job with parts, a stock and prices, in round figures that can be worked out by hand.

With the standoff at 300 mm the places along the axis are: cut-off plane K 190 + 600 + 320 = 1110; back of the collet C 190 + 600
= 790 in guide-bushing mode and 350 + 600 = 950 in chucker mode; pusher's limit X 1120 - 300 = 820, shifted by 170 there.
With 40 mm in the pusher collet the shortest remnant is 1110 - 790 + 40 = 360 mm, in chucker mode 200 mm.
"""

from __future__ import annotations

from collections.abc import Mapping

from standoff.job.economy import Stock, StockSheet, stock_of
from standoff.job.file import parse_job
from standoff.job.placement import place
from tests.texts import SLIDING, altered

STANDOFF_MM = 300.0

TABLES = """
[[bars]]
name = "20 mm steel"
shape = "round"
size = "20 mm"
material = "a steel of our own"
density = "7850 kg/m3"
modulus = "210 GPa"
length = "3000 mm"

[[parts]]
name = "pedal axle"
bar = "20 mm steel"
length = "96 mm"
cut_off_width = "4 mm"
facing = "2 mm"
seconds = "60 s"
per_order = 500
per_year = 10000

[cycle]
bar_change = "36 s"
longest_remnant = "500 mm"

[prices]
currency = "EUR"

[stock]
price_per_bar = 24
price_per_hour = 50
bars_in_magazine = 10
shortest_to_buy = "2000 mm"
"""

STOCKED = altered(SLIDING, {"bar_path.insertion": '"40 mm"'}, more=TABLES)
"""One part: (3000 - 2 - 360) / 100 = 26.38 from a bar, so 26, and 398 mm are left."""

SECOND = """
[[parts]]
name = "pedal bush"
bar = "20 mm steel"
length = "27 mm"
cut_off_width = "3 mm"
facing = "2 mm"
"""

UNABLE: dict[str, str | None] = {"loader.pusher_reach": '"1060 mm"'}
"""A reach that is too short: room for the nose asks for at least 291 mm, reach allows at most 1060 - 190 - 600 = 270 mm."""

PRICED = """
[[remedy]]
kind = "pusher-extension"
lengths = ["50 mm"]
cost = 300

[[remedy]]
kind = "accept-remnant"
cost_per_year_per_mm = 5

[[remedy]]
kind = "cut-nose"
cost = 80
"""


def sheet_of(text: str = STOCKED, changes: Mapping[str, str | None] | None = None, *, more: str = "") -> StockSheet:
    """The stock of a text at the standoff of these tests, with some of its keys changed."""
    return stock_of(place(parse_job(altered(text, changes or {}, more=more)), asked_mm=STANDOFF_MM))


def stock(text: str = STOCKED, changes: Mapping[str, str | None] | None = None, *, more: str = "") -> Stock:
    """The stock of the first part."""
    return sheet_of(text, changes, more=more).stocks[0]
