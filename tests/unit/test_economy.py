"""Stock and money: every figure against arithmetic by hand, in round numbers and for the axle and the spoke-nipple cell."""

from __future__ import annotations

import math
from fractions import Fraction

import pytest

from standoff.errors import JobFileError
from standoff.job.demonstration import text_of
from standoff.job.economy import (
    BARS_TOO_LONG,
    GRIP_TOO_SHORT,
    REMNANT_MAY_BE_TOO_LONG,
    REMNANT_TOO_LONG,
    Stock,
    stock_of,
)
from standoff.job.file import parse_job
from standoff.job.placement import place
from standoff.job.stock_answer import stock_contents
from tests.stocks import PRICED, SECOND, STOCKED, UNABLE, sheet_of, stock
from tests.texts import SLIDING, altered, named

INCH_MM = 25.4


def axle(changes: dict[str, str | None], at_in: float) -> Stock:
    """The hub axle of the axle cell with some keys changed, at a standoff in inches."""
    text = altered(text_of("axle-cell"), changes)
    return stock_of(place(parse_job(text), asked_mm=at_in * INCH_MM)).stocks[0]


def test_a_bar_is_cut_up() -> None:
    """(3000 - 2 - 360) / 100 = 26.38: 26 parts, and 3000 - 2 - 2600 = 398 mm are left; nothing is lost on the way."""
    one = stock()
    assert one.supply.part.reach.remnant_mm == 360.0
    assert (one.supply.count, one.supply.part.remnant_mm) == (26, 398.0)
    assert float(one.supply.yields.yield_share) == pytest.approx(26 * 96 / 3000)
    assert one.alarms == ()


def test_masses_add_up() -> None:
    """A round bar of 20 mm and 3 m weighs pi/4 0.02^2 x 3 x 7850 = 7.398 kg; 2496 mm become parts, 106 chips, 398 remnant."""
    masses = stock().supply.masses
    assert masses is not None
    whole_kg = math.pi / 4 * 0.02**2 * 3 * 7850
    assert float(masses.bar_kg) == pytest.approx(whole_kg)
    assert float(masses.parts_kg) == pytest.approx(whole_kg * 2496 / 3000)
    assert float(masses.chips_kg) == pytest.approx(whole_kg * 106 / 3000)
    assert float(masses.remnant_kg) == pytest.approx(whole_kg * 398 / 3000)


def test_each_mode_has_its_own_remnant() -> None:
    """In chucker mode the headstock comes nearer to the cut-off plane: 1110 - 950 + 40 = 200 mm."""
    part = stock(changes={"parts[0].mode": '"chucker"'}).supply.part
    assert part.reach.remnant_mm == 200.0
    assert part.count == 27


def test_bars_for_order_and_year() -> None:
    """500 / 26 = 19.2 and 10000 / 26 = 384.6, rounded up."""
    supply = stock().supply
    assert (supply.bars_per_order, supply.bars_per_order_surely, supply.bars_per_year) == (20, 20, 385)


def test_money_by_hand() -> None:
    """24 EUR a bar: 24/26 a part, 24 x 398/3000 of remnant, 20 and 385 bars; 385 changes of 36 s are 3.85 h of 50 EUR."""
    costs = stock().costs
    assert costs.bar_cost == 24.0
    assert costs.part_cost == pytest.approx(24 / 26)
    assert costs.remnant_cost == pytest.approx(24 * 398 / 3000)
    assert (costs.order_cost, costs.year_cost) == (480.0, 9240.0)
    assert costs.changes_cost == pytest.approx(192.5)


def test_a_bar_priced_by_its_mass() -> None:
    """2 EUR a kilogram makes a bar of 3 m 2 x 7.398; with a tolerance of 100 mm one of 3050 mm is paid for on the average."""
    by_mass: dict[str, str | None] = {"stock.price_per_bar": None, "stock.price_per_kg": "2"}
    kg_m = math.pi / 4 * 0.02**2 * 7850
    assert stock(changes=by_mass).costs.bar_cost == pytest.approx(2 * kg_m * 3.0)
    assert stock(changes=by_mass | {"stock.mill_tolerance": '"100 mm"'}).costs.bar_cost == pytest.approx(2 * kg_m * 3.05)


def test_the_mean_over_the_mills_tolerance() -> None:
    """Spread over just one part more, the mean count is the quotient not rounded, 26.38, and the mean remnant 360 + 50."""
    one = stock(changes={"stock.mill_tolerance": '"100 mm"'})
    supply = one.supply
    assert one.costs.remnant_cost == pytest.approx(24 * 410 / 3050)
    assert supply.parts_per_bar == pytest.approx(26.38)
    assert (int(supply.expected.fewest), int(supply.expected.most)) == (26, 27)
    assert float(supply.expected.remnant_mm) == pytest.approx(3050 - 2 - 2638)
    assert supply.longest_remnant_mm == pytest.approx(460.0)
    assert (supply.bars_per_order, supply.bars_per_order_surely) == (19, 20)


def test_the_saw_tooth_beside_the_bar() -> None:
    """26 parts come from 2 + 360 + 2600 = 2962 mm on, 27 from 3062 mm on; a hair less gives one part less."""
    teeth = stock().teeth
    assert (teeth.same_mm, teeth.more_mm) == (2962.0, 3062.0)
    for length, parts in (("2962 mm", 26), ("2961.99 mm", 25), ("3062 mm", 27), ("3061.99 mm", 26)):
        assert stock(changes={"bars[0].length": f'"{length}"'}).supply.count == parts


def test_no_shortfall_costs_nothing() -> None:
    """A pusher that goes 30 mm beyond the collet's back has no shortfall to be paid for."""
    one = stock()
    assert one.supply.part.reach.shortfall_mm == 0.0
    assert one.shortfall is None


def test_a_shortfall_by_hand() -> None:
    """X 20 mm short of C: remnant 380, 26 parts as before, so these bars lose none; on the average it is 20/100 of a part.

    A year of 10000 parts then takes 10000/26 - 10000/26.2 more bars of 7.398 kg and 24 EUR.
    """
    one = stock(changes={"loader.pusher_reach": '"1070 mm"'})
    assert one.supply.part.reach.remnant_mm == 380.0
    assert one.shortfall is not None
    assert one.shortfall.here is not None
    assert one.shortfall.longer_mm == pytest.approx(20.0)
    assert one.shortfall.here.parts == 0.0
    bars = 10000 / 26 - 10000 / 26.2
    assert one.shortfall.mean.parts == pytest.approx(0.2)
    assert one.shortfall.mean.yearly_bars == pytest.approx(bars)
    assert one.shortfall.mean.yearly_kg == pytest.approx(bars * math.pi / 4 * 0.02**2 * 3 * 7850)
    assert one.shortfall.mean.yearly_cost == pytest.approx(bars * 24)


def test_a_shortfall_takes_a_whole_part() -> None:
    """40 mm short: (3000 - 2 - 400) / 100 = 25.98, so a bar of just this length loses one: 10000/25 - 10000/26 bars a year."""
    one = stock(changes={"loader.pusher_reach": '"1050 mm"'})
    assert one.shortfall is not None
    assert one.shortfall.here is not None
    assert one.supply.count == 25
    assert one.shortfall.here.parts == 1.0
    assert one.shortfall.here.yearly_cost == pytest.approx((10000 / 25 - 10000 / 26) * 24)
    assert one.shortfall.mean.parts == pytest.approx(0.4)


def test_a_step_more_remnant() -> None:
    """25 mm more: 0.25 parts per bar on the average, none of 3000 mm, whose rest of 38 mm covers it; an inch in an inch job."""
    step = stock().step
    assert step is not None
    assert step.here is not None
    assert step.longer_mm == 25.0
    assert (step.mean.parts, step.here.parts) == (pytest.approx(0.25), 0.0)
    assert step.mean.yearly_cost == pytest.approx((10000 / 25.75 - 10000 / 26) * 24)
    inch = stock(changes={"job.units": '"in"'}).step
    assert inch is not None
    assert inch.longer_mm == pytest.approx(INCH_MM)


def test_a_step_that_leaves_no_bar_is_left_out() -> None:
    """A bar that is only just held has no room for a longer remnant: no figure, and no failure."""
    just = stock(changes={"bars[0].length": '"470 mm"', "parts[0].length": '"100 mm"', "stock.shortest_to_buy": None})
    assert just.supply.count == 1
    assert just.step is not None
    assert just.step.here is None
    assert stock(changes={"bars[0].length": '"470 mm"', "parts[0].length": '"100 mm"', "job.units": '"in"'}).step is not None


def test_a_bar_that_a_longer_remnant_could_not_hold_has_no_step() -> None:
    """2 + 360 + 20 mm give two parts with a sub-spindle; 25 mm more remnant could not even be held."""
    short: dict[str, str | None] = {"bars[0].length": '"382 mm"', "parts[0].length": '"16 mm"', "parts[0].picked_off": "true"}
    one = stock(changes=short)
    assert one.supply.count == 2
    assert one.step is None


def test_axle_cell_an_inch_short() -> None:
    """X 1 in short of C: the remnant grows from 14 to 15 in, a bar of 12 ft loses its 24th part, and the money follows.

    C 24 5/16 + 7 1/2 = 31 13/16; X reach - 11 7/16, so reach 42 1/4 makes X 30 13/16.
    """
    good, short = axle({}, 11.4375), axle({"loader.pusher_reach": '"42 1/4 in"'}, 11.4375)
    remnant = Fraction(25, 2) + Fraction(3, 2)
    advance = Fraction(21, 4) + Fraction(1, 8)
    assert good.supply.part.reach.remnant_mm == pytest.approx(float(remnant) * INCH_MM)
    assert short.supply.part.reach.remnant_mm == pytest.approx(float(remnant + 1) * INCH_MM)
    usable = 144 - Fraction(1, 32)
    assert good.supply.count == (usable - remnant) // advance == 24
    assert short.supply.count == (usable - remnant - 1) // advance == 23
    assert short.shortfall is not None
    assert short.shortfall.here is not None
    assert short.shortfall.longer_mm == pytest.approx(INCH_MM)
    assert short.shortfall.mean.parts == pytest.approx(float(1 / advance))
    one_cost = math.pi / 4 * 0.75**2 * 144 * INCH_MM**3 * 8e-6 * 5.4
    assert short.costs.bar_cost == pytest.approx(one_cost, rel=2e-3)
    assert short.shortfall.here.yearly_cost == pytest.approx((12000 / 23 - 12000 / 24) * one_cost, rel=2e-3)
    many = 23 + float(1 / advance)
    assert short.shortfall.mean.yearly_cost == pytest.approx((12000 / 23 - 12000 / many) * one_cost, rel=2e-3)


def test_axle_cell_drops_its_remnant_only_with_reach() -> None:
    """It drops 14 31/32 in, since that is no more than 16 in; an inch short 144 - 1/32 - 23 x 5 3/8 = 20 11/32 in: not."""
    assert axle({}, 11.4375).alarms == ()
    short = axle({"loader.pusher_reach": '"42 1/4 in"'}, 11.4375)
    assert short.supply.part.remnant_mm == pytest.approx((144 - 1 / 32 - 23 * 5.375) * INCH_MM)
    assert short.alarms == (REMNANT_TOO_LONG,)


@pytest.mark.parametrize(
    ("changes", "alarms"),
    [
        ({"cycle.longest_remnant": '"397 mm"'}, (REMNANT_TOO_LONG,)),
        ({"cycle.longest_remnant": '"398 mm"'}, ()),
        ({"cycle.longest_remnant": '"397 mm"', "cycle.ejection": '"out of the front"'}, ()),
        ({"cycle.longest_remnant": '"459 mm"', "stock.mill_tolerance": '"100 mm"'}, (REMNANT_MAY_BE_TOO_LONG,)),
        ({"cycle.longest_remnant": '"420 mm"', "stock.mill_tolerance": '"20 mm"'}, ()),
        ({"cycle.longest_remnant": '"417 mm"', "stock.mill_tolerance": '"20 mm"'}, (REMNANT_MAY_BE_TOO_LONG,)),
        ({"cycle.gripped_at_least": '"321 mm"'}, (GRIP_TOO_SHORT,)),
        ({"cycle.gripped_at_least": '"320 mm"'}, ()),
        ({"stock.mill_tolerance": '"700 mm"', "cycle.longest_remnant": None}, (BARS_TOO_LONG,)),
    ],
)
def test_alarms_have_sharp_limits(changes: dict[str, str | None], alarms: tuple[str, ...]) -> None:
    """What the loader drops, what the collet must hold and what may be loaded are each kept to the limit, and not beyond."""
    assert stock(changes=changes).alarms == alarms


def test_the_length_to_buy() -> None:
    """Exact bars of 2 to 3.66 m: the longest tooth within, 2 + 360 + 32 x 100 = 3562 mm, bought for 32 parts."""
    purchase = stock().purchase
    assert purchase is not None
    assert purchase.best is not None
    assert float(purchase.best.nominal_mm) == 3562.0
    assert purchase.saved_share == pytest.approx(1 - (3562 / 32) / (3000 / 26))
    assert purchase.saved_cost == pytest.approx(10000 * (24 / 26) * purchase.saved_share)


def test_the_length_to_buy_leaves_room_for_the_mill() -> None:
    """With 200 mm of tolerance none above 3460 mm is ordered; with 1700 mm not even the shortest to be had."""
    purchase = stock(changes={"stock.mill_tolerance": '"200 mm"'}).purchase
    assert purchase is not None
    assert purchase.best is not None
    assert purchase.greatest_mm == 3460.0
    assert float(purchase.best.nominal_mm) <= 3460.0
    none = stock(changes={"stock.mill_tolerance": '"1700 mm"'}).purchase
    assert none is not None
    assert none.best is None


def test_the_shortest_to_be_had_must_give_a_part() -> None:
    """Of bars that are to be had from 100 mm on, the first that gives a part is 2 + 360 + 100 mm."""
    purchase = stock(changes={"stock.shortest_to_buy": '"100 mm"'}).purchase
    assert purchase is not None
    assert purchase.least_mm == 462.0


def test_magazine_and_hours_alone() -> None:
    """10 bars as stated last 10 x (26 x 60 + 36) s; 250 mm hold 12 bars of 20 mm; a change without a time is not counted."""
    one = stock()
    assert one.unattended_h == pytest.approx(10 * (26 * 60 + 36) / 3600)
    wide = stock(changes={"stock.bars_in_magazine": None, "stock.magazine_width": '"250 mm"'})
    assert wide.magazine is not None
    assert wide.magazine.bars == 12
    assert stock(changes={"cycle.bar_change": None}).unattended_h == pytest.approx(10 * 26 * 60 / 3600)


def test_a_sub_spindle_saves_one_part() -> None:
    """Picked off, the last part may use up the stock that the collet else holds: (3000 - 2 - 360 + 100) / 100 = 27.38."""
    one = stock(changes={"parts[0].picked_off": "true"})
    assert (one.supply.count, one.supply.part.remnant_mm) == (27, 298.0)
    assert one.step is not None
    assert one.step.mean.yearly_bars == pytest.approx(10000 / 26.75 - 10000 / 27)
    assert stock(changes={"parts[0].picked_off": "true", "cycle.gripped_at_least": '"400 mm"'}).alarms == ()


def test_several_parts_on_one_bar() -> None:
    """Two parts of one mode share a bar: with the widest tool no other counts leave more in parts, and it all fits."""
    (shared,) = sheet_of(more=SECOND).shared
    a, b = shared.mix.counts
    assert shared.parts == ("pedal axle", "pedal bush")
    assert a * 100 + b * (27 + 4) + 2 + 360 <= 3000
    assert shared.mix.in_parts_mm >= max(i * 96 + ((2638 - i * 100) // 31) * 27 for i in range(27))
    assert shared.mix.remnant_mm == pytest.approx(3000 - 2 - a * 100 - b * 31)


def test_a_mix_keeps_the_longest_remnant() -> None:
    """A part that is cut off 10 mm farther back leaves 370 mm, and so does every mix with it."""
    (shared,) = sheet_of(more=SECOND + 'z_last_cut = "180 mm"\n').shared
    assert 370.0 <= shared.mix.remnant_mm < 370.0 + 31.0


def test_parts_of_different_modes_or_bars_are_not_mixed() -> None:
    """A mode is not changed in the middle of a bar, and a cut-off wider than a part mixes nothing."""
    assert sheet_of(more=SECOND + 'mode = "chucker"\n').shared == ()
    assert sheet_of(more=SECOND.replace("27 mm", "3.5 mm")).shared == ()
    assert sheet_of().shared == ()


def test_what_is_not_stated_is_named_and_left_out() -> None:
    """Without prices, counts, times and a bar there are lengths and counts, and everything missing is named."""
    bare = "".join(f"{line}\n" for line in ["[[parts]]", 'name = "pin"', 'length = "96 mm"'])
    one = stock(SLIDING, more=bare)
    assert one.supply.count == 33
    assert one.supply.masses is None
    assert [value for value in (one.purchase, one.magazine, one.unattended_h, one.shortfall) if value is not None] == []
    assert one.step is not None
    assert (one.step.mean.yearly_bars, one.step.mean.yearly_kg, one.step.mean.yearly_cost) == (None, None, None)
    assert {key.rpartition(".")[2] for key in one.not_stated} == {
        *("bars", "price_per_bar", "per_order", "per_year", "shortest_to_buy", "bars_in_magazine", "seconds", "bar_change"),
        "price_per_hour",
    }
    assert stock().not_stated == ()


def test_a_price_by_mass_needs_a_bar() -> None:
    """A kilogram's price says nothing of a bar whose size and metal are not known: no money, and the bar is named."""
    text = altered(STOCKED, {"stock.price_per_bar": None, "stock.price_per_kg": "2"})
    text = text[: text.index("[[bars]]")] + text[text.index("[[parts]]") :]
    one = stock(altered(text, {"parts[0].bar": None}))
    assert one.costs.bar_cost is None
    assert one.not_stated == ("bars",)


def test_without_a_part_the_table_is_asked_for() -> None:
    """A job without [[parts]] is refused with what to write."""
    with pytest.raises(JobFileError, match=r"write \[\[parts\]\]"):
        stock_of(place(parse_job(SLIDING)))


def test_a_part_that_no_bar_holds_is_refused() -> None:
    """The sentence names the part's place and the bar; one that fits but for the remnant is told what it would need."""
    with pytest.raises(JobFileError, match=r"parts\[0\].*3100 mm.*3000 mm"):
        stock(changes={"parts[0].length": '"3100 mm"'})
    with pytest.raises(JobFileError, match=r"parts\[0\].*3000 mm.*at least 3062 mm.*remnant of 360 mm"):
        stock(changes={"parts[0].length": '"2696 mm"'})


@pytest.mark.parametrize(
    ("changes", "code"),
    [
        ({"prices.currency": None}, "key-missing"),
        ({"parts[0].per_year": "0"}, "value-kind"),
        ({"parts[0].per_order": "-5"}, "value-kind"),
        ({"stock.price_per_bar": "-1"}, "value-kind"),
        ({"stock.price_per_kg": "2"}, "said-twice"),
        ({"stock.magazine_width": '"1 m"'}, "said-twice"),
        ({"parts[0].seconds": '"0 s"'}, "magnitude-zero"),
        ({"stock.mill_tolerance": '"-1 mm"'}, "value-sign"),
        ({"parts[0].cut_off_width": '"97 mm"'}, "cut-too-wide"),
    ],
)
def test_bad_input_is_told(changes: dict[str, str | None], code: str) -> None:
    """Each mistake of the tables is refused by itself."""
    assert [found for found, _ in named(altered(STOCKED, changes))] == [code]


def test_a_price_without_a_currency_is_refused() -> None:
    """Without [prices] no amount of money means anything."""
    text = STOCKED.replace('[prices]\ncurrency = "EUR"\n', "")
    assert [found for found, _ in named(text)] == ["currency-missing"]


def test_the_answer_for_other_programs() -> None:
    """Format, the formula's places, and no figure where nothing is stated; what never pays has no weeks."""
    contents = stock_contents(sheet_of(changes=UNABLE, more=PRICED), program="1")
    (part,) = contents["parts"]
    assert (contents["format"], contents["currency"], contents["placement_holds"]) == ("standoff-stock/1", "EUR", False)
    reach = part["shortest_remnant"]
    tip_mm = min(reach["collet_mm"] + reach["into_collet_mm"], reach["tip_limit_mm"])
    assert reach["remnant_mm"] == reach["cut_off_mm"] - tip_mm + reach["insertion_mm"]
    by_kind = {one["changes"][0]["kind"]: one for one in contents["pay_back"]["remedies"]}
    assert by_kind["accept-remnant"]["pays"] is False
    assert by_kind["accept-remnant"]["weeks"] is None
    assert by_kind["pusher-extension"]["pays"] is True
    assert stock_contents(sheet_of(), program="1")["pay_back"] is None
