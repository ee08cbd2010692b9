"""What a proposed change pays: compared with the pair as it is, by the bars that its shorter remnants save, by hand."""

from __future__ import annotations

import math

import pytest

from standoff.job.demonstration import text_of
from standoff.job.economy import StockSheet, stock_of
from standoff.job.file import parse_job
from standoff.job.pay_back import PayBack
from standoff.job.placement import place
from tests.stocks import PRICED, UNABLE, sheet_of

INCH_MM = 25.4


def paid(sheet: StockSheet) -> dict[str, PayBack]:
    """The pay-backs of sets of one change, by the kind of change."""
    assert sheet.comparison is not None
    return {one.remedy.doses[0].offer.kind: one for one in sheet.comparison.pay_backs if len(one.remedy.doses) == 1}


def test_a_pair_that_fits_proposes_nothing() -> None:
    """No remedies, no comparison."""
    sheet = sheet_of()
    assert sheet.placed
    assert sheet.comparison is None


def test_pay_back_by_hand() -> None:
    """Compared at the nearest sure standoff D: X is 1060 - D, 790 + D - 1060 short of the collet; an extension of 50 mm mends it.

    Per bar on the average shortfall/100 parts more; 300 EUR are paid back by a year's bars saved, in 52 parts of a year.
    """
    sheet = sheet_of(changes=UNABLE, more=PRICED)
    found, one = sheet.comparison, paid(sheet)["pusher-extension"]
    assert found is not None
    assert not sheet.placed
    short_mm = found.standoff_mm - 270.0
    assert found.parts[0].reach.shortfall_mm == pytest.approx(short_mm)
    assert one.savings[0].remnant_mm == pytest.approx(360.0)
    now = sheet.stocks[0].supply
    per_bar = now.count + (now.part.reach.remnant_mm - found.parts[0].reach.remnant_mm) / 100
    saved = 10000 * 24 * (1 / per_bar - 1 / (per_bar + short_mm / 100))
    assert one.saved_cost == pytest.approx(saved)
    assert one.weeks == pytest.approx(300 / saved * 52)


def test_a_remedy_that_saves_nothing_never_pays() -> None:
    """The accepted remnant is the remnant there is; its stated yearly price is that remnant's, and is not counted twice."""
    accepted = paid(sheet_of(changes=UNABLE, more=PRICED))["accept-remnant"]
    assert accepted.saved_cost == pytest.approx(0.0)
    assert accepted.weeks == math.inf
    assert accepted.remedy.yearly_cost == pytest.approx(accepted.remnant_cost)
    assert accepted.yearly_cost == 0.0


def test_a_yearly_cost_is_taken_off() -> None:
    """What a change costs every year lengthens its pay-back, and beyond its saving it never pays."""

    def weeks(yearly: float) -> float | None:
        more = PRICED.replace("cost = 300", f"cost = 300\ncost_per_year = {yearly}")
        return paid(sheet_of(changes=UNABLE, more=more))["pusher-extension"].weeks

    saved = paid(sheet_of(changes=UNABLE, more=PRICED))["pusher-extension"].saved_cost
    assert saved is not None
    assert weeks(10.0) == pytest.approx(300 / (saved - 10.0) * 52)
    assert weeks(1000.0) == math.inf


def test_an_extension_that_shortens_the_bar_may_save_nothing() -> None:
    """Taking 700 mm off the loader's 3660 mm makes the bars of 3000 mm 40 mm shorter: the shorter remnant is used up by that."""
    more = PRICED.replace("cost = 300", 'cost = 300\ntakes_off_bar = "700 mm"')
    one = paid(sheet_of(changes=UNABLE, more=more))["pusher-extension"]
    assert one.savings[0].bar_mm == pytest.approx(2960.0)
    sheet = sheet_of(changes=UNABLE, more=more)
    assert sheet.comparison is not None
    before_mm, now = sheet.comparison.parts[0].reach.remnant_mm, sheet.stocks[0].supply
    before = now.count + (now.part.reach.remnant_mm - before_mm) / 100
    after = before + (before_mm - one.savings[0].remnant_mm - 40) / 100
    assert one.saved_cost == pytest.approx(10000 * 24 * (1 / before - 2960 / 3000 / after))


def test_a_last_cut_off_is_kept_within_a_new_front_limit() -> None:
    """A part that is cut off at Z 190 is cut off farther back once the front limit is: its remnant grows by as much."""
    changes = {**UNABLE, "parts[0].z_last_cut": '"190 mm"', "cycle.longest_remnant": None}
    plain, stated = sheet_of(changes=UNABLE), sheet_of(changes=changes)
    assert plain.comparison is not None
    assert stated.comparison is not None
    remnants = [[one.savings[0].remnant_mm for one in sheet.comparison.pay_backs] for sheet in (plain, stated)]  # type: ignore[union-attr]
    assert remnants[0] == pytest.approx(remnants[1])


def test_a_last_cut_off_stays_where_it_is_when_the_datum_moves() -> None:
    """A stop behind the headstock moves the datum, not the cut: at Z 180 the collet's back stays 330 mm from the cut-off."""
    sheet = sheet_of(changes={**UNABLE, "parts[0].z_last_cut": '"180 mm"'}, more=PRICED)
    assert sheet.comparison is not None
    stopped = [
        one
        for one in sheet.comparison.pay_backs
        if {dose.offer.kind for dose in one.remedy.doses} == {"rear-stop"}
        and any(dose.offer.quantity == "lathe.modes[0].z_rear" for dose in one.remedy.doses)
    ]
    assert stopped
    assert [one.savings[0].remnant_mm for one in stopped] == pytest.approx([370.0] * len(stopped))


def test_without_price_or_count_nothing_is_paid_back() -> None:
    """No saving in money without both; an unpriced remedy has a saving but no weeks."""
    for gone in ("stock.price_per_bar", "parts[0].per_year"):
        one = paid(sheet_of(changes=UNABLE | {gone: None}, more=PRICED))["pusher-extension"]
        assert (one.saved_cost, one.weeks) == (None, None)
    unpriced = paid(sheet_of(changes=UNABLE))["accept-remnant"]
    assert unpriced.saved_cost is not None
    assert unpriced.weeks is None


def test_spoke_nipple_cell_pays_back() -> None:
    """Each way of reaching the collet saves the same bars; cheaper ones have paid earlier, a longer remnant never."""
    sheet = stock_of(place(parse_job(text_of("spoke-nipple-cell"))))
    one = paid(sheet)
    assert sheet.comparison is not None
    short_in = sheet.comparison.parts[0].reach.shortfall_mm / INCH_MM
    assert short_in == pytest.approx(sheet.comparison.standoff_mm / INCH_MM - (29 - 18.25 - 2.6), abs=1e-6)
    saving = one["cut-nose"].saved_cost
    assert saving is not None
    assert saving > 0.0
    for kind, cost in (("cut-nose", 90), ("pusher-extension", 240), ("rear-stop", 650)):
        assert one[kind].saved_cost == pytest.approx(saving)
        assert one[kind].weeks == pytest.approx(cost / saving * 52)
    assert one["front-limit"].weeks == math.inf
    assert one["accept-remnant"].weeks == math.inf
