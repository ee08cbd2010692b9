"""Random pairs with random parts and prices: what must hold of every stock sheet, whatever the machines and the bars are like."""

from __future__ import annotations

import json
import math
from functools import cache
from random import Random

import numpy as np
import pytest

from standoff.bar.yields import cut_up
from standoff.errors import JobFileError
from standoff.job.economy import Stock, StockSheet, stock_of
from standoff.job.file import parse_job
from standoff.job.pay_back import WEEKS_PER_YEAR
from standoff.job.placement import place
from standoff.job.refusal import as_json
from standoff.job.stock_answer import stock_contents
from tests.jobs import mode_name, random_case
from tests.texts import altered

SEEDS = range(120)
SAMPLES = 100_001


def text(seed: int) -> str:
    """A random pair of the tests with a bar, two parts, a stock and prices drawn beside it."""
    case, draw = random_case(seed), Random(seed + 20_000)
    bar_mm = draw.randint(1500, 1750)
    lines = ["[[bars]]", 'name = "bar"', 'shape = "round"', 'size = "12 mm"', 'material = "steel"', f'length = "{bar_mm} mm"']
    for i in range(2):
        mode = [f'mode = "{mode_name(draw.randrange(case.modes))}"'] if case.modes else []
        cut = f'cut_off_width = "{draw.randint(10, 40) / 10} mm"'
        lines += ["[[parts]]", f'name = "part {i}"', 'bar = "bar"', f'length = "{draw.randint(90, 700) / 10} mm"', cut, *mode]
        lines += [f'facing = "{draw.randint(0, 30) / 10} mm"', f"per_year = {draw.randint(1, 10**6)}"]
        lines += [f"per_order = {draw.randint(1, 5000)}", f'seconds = "{draw.randint(5, 300)} s"']
        lines += ["picked_off = true"] if draw.random() < 0.3 else []
    lines += ["[prices]", 'currency = "XTS"', "[stock]", f"price_per_bar = {draw.randint(1, 200)}"]
    lines += [f'shortest_to_buy = "{draw.randint(900, 1600)} mm"', f"bars_in_magazine = {draw.randint(0, 40) + 1}"]
    lines += [f'mill_tolerance = "{draw.choice((0, 0, 5, 60, 200))} mm"', "[cycle]", 'bar_change = "30 s"']
    lines += ["[[remedy]]", 'kind = "pusher-extension"', 'lengths = ["40 mm", "80 mm"]', "cost = 300"]
    lines += ["[[remedy]]", 'kind = "cut-nose"', "cost = 90", "cost_per_year = 20"]
    measured: dict[str, str | None] = {
        "lathe.collet_to_cutoff": f'"{draw.randint(100, 260)} mm"',
        "bar_path.insertion": f'"{draw.randint(0, 60)} mm"',
    }
    given = case.text()
    return altered(given, measured, more="\n".join(lines) + "\n")


@cache
def sheet(seed: int) -> StockSheet | None:
    """The stock of a random job; None where its parts cannot be made at its standoff."""
    try:
        return stock_of(place(parse_job(text(seed))))
    except JobFileError:
        return None


def stocks() -> list[Stock]:
    """Every part of every random job that can be made."""
    found = [stock for seed in SEEDS if (one := sheet(seed)) is not None for stock in one.stocks]
    assert len(found) > 120
    return found


def test_nothing_of_a_bar_is_lost() -> None:
    """Facing, parts, cut-offs and remnant are the bar to 1e-9 mm; so are their masses, to as much."""
    for stock in stocks():
        part, yields = stock.supply.part, stock.supply.yields
        whole_mm = part.facing_mm + stock.supply.count * (part.length_mm + part.cut_mm) + part.remnant_mm
        assert abs(whole_mm - part.bar_mm) < 1e-9
        assert part.remnant_mm > part.reach.remnant_mm - part.cutting.pick_off_gain_mm - 1e-5
        masses = stock.supply.masses
        assert masses is not None
        assert abs(float(masses.parts_kg + masses.chips_kg + masses.remnant_kg - masses.bar_kg)) < 1e-9
        assert float(yields.parts) == stock.supply.count


def test_counts_equal_a_lathe_that_cuts_one_by_one() -> None:
    """Part after part as long as the remnant stays, and one more if the sub-spindle takes it."""
    for stock in stocks():
        part = stock.supply.part
        gain_mm = min(part.cutting.pick_off_gain_mm, part.advance_mm)
        made, left_mm = 0, part.bar_mm - part.facing_mm
        while left_mm >= part.reach.remnant_mm - 1e-6:
            if left_mm - part.advance_mm < part.reach.remnant_mm - gain_mm - 1e-6:
                break
            made, left_mm = made + 1, left_mm - part.advance_mm
        assert made == stock.supply.count


def test_the_remnant_follows_from_the_places() -> None:
    """K - min(C + p, X) + i, and without the shortfall it is shorter by just that."""
    for stock in stocks():
        reach = stock.supply.part.reach
        full_mm = reach.cut_off_mm - reach.collet_mm - reach.into_collet_mm + reach.insertion_mm
        assert reach.remnant_mm == pytest.approx(full_mm + reach.shortfall_mm, abs=1e-9)
        assert (stock.shortfall is None) == (reach.shortfall_mm == 0.0)


def test_bars_suffice_and_one_less_does_not() -> None:
    """The bars of an order and a year give as many parts as are wanted, on the average, and one bar less does not."""
    for stock in stocks():
        supply = stock.supply
        for wanted, bars in ((supply.per_order, supply.bars_per_order), (supply.per_year, supply.bars_per_year)):
            assert wanted is not None
            assert bars is not None
            assert bars * supply.parts_per_bar >= wanted * (1.0 - 1e-8)
            assert bars == 1 or (bars - 1) * supply.parts_per_bar < wanted


def test_the_saw_tooth_stands_where_the_count_steps() -> None:
    """The two teeth beside a bar give its count and one more, and a hair less gives one less; waste per part jumps down there."""
    for stock in stocks():
        cutting, teeth, count = stock.supply.part.cutting, stock.teeth, stock.supply.count
        lengths = [teeth.same_mm, teeth.more_mm, teeth.more_mm - 0.001]
        assert cut_up(cutting, lengths).parts.tolist() == [count, count + 1, count]
        assert teeth.same_mm <= stock.supply.part.bar_mm + 1e-6 < teeth.more_mm + 1e-6
        assert teeth.more_mm / (count + 1) < (teeth.more_mm - 0.001) / count


def test_no_length_within_limits_is_better() -> None:
    """Of many lengths between the limits none takes less bar for a part than the one to buy, tolerance included."""
    for stock in stocks():
        purchase, supply = stock.purchase, stock.supply
        assert purchase is not None
        if purchase.best is None:
            continue
        nominal_mm = np.linspace(purchase.least_mm, purchase.greatest_mm, 400)
        spread_mm = np.linspace(0.0, supply.tolerance.upper_mm, 300) if supply.scatters else np.zeros(1)
        bars_mm = nominal_mm[:, np.newaxis] + spread_mm
        parts = cut_up(supply.part.cutting, bars_mm).parts.mean(axis=1)
        bought_mm = np.where(parts > 0, bars_mm.mean(axis=1), np.inf) / np.maximum(parts, 1e-9)
        noise = 0.01 if supply.scatters else 1e-9
        assert float(purchase.best.bought_per_part_mm) <= bought_mm.min() * (1.0 + noise)


def test_the_average_loss_is_what_many_lengths_lose() -> None:
    """Over bars of every length an inch (25 mm) more remnant loses as many parts as the average says."""
    for stock in stocks()[:40]:
        cutting, step = stock.supply.part.cutting, stock.step
        assert step is not None
        first_mm = cutting.held_mm + step.longer_mm + cutting.advance_mm
        bars_mm = first_mm + np.linspace(0.0, 40 * cutting.advance_mm, SAMPLES)
        lost = cut_up(cutting, bars_mm).parts - cut_up(cutting, bars_mm - step.longer_mm).parts
        assert step.mean.parts == pytest.approx(float(lost.mean()), abs=2e-3)


def test_these_bars_lose_whole_parts_around_the_average() -> None:
    """Exact bars lose a whole number of parts, less than one part from the average; money is that of the further bars."""
    for stock in stocks():
        for longer in (stock.shortfall, stock.step):
            if longer is None or longer.here is None:
                continue
            assert abs(longer.here.parts - longer.mean.parts) < 1.0 + 1e-6
            assert stock.supply.scatters or longer.here.parts == int(longer.here.parts)
            assert longer.mean.yearly_bars is not None
            assert longer.mean.yearly_bars > 0.0
            assert stock.costs.bar_cost is not None
            assert longer.mean.yearly_cost == pytest.approx(longer.mean.yearly_bars * stock.costs.bar_cost)


def test_a_mix_fits_and_is_no_worse_than_one_part_alone() -> None:
    """No more of a part than ordered, the bar's length kept, and at least what either part alone gives with the same tool."""
    found = 0
    for seed in SEEDS:
        one = sheet(seed)
        for shared in one.shared if one is not None else ():
            found += 1
            group = [stock.supply for stock in one.stocks] if one is not None else []
            widest_mm, remnant_mm, facing_mm = (
                max(figure)
                for figure in zip(*((s.part.cut_mm, s.part.reach.remnant_mm, s.part.facing_mm) for s in group), strict=True)
            )
            room_mm = group[0].part.bar_mm - remnant_mm - facing_mm
            used_mm = sum(n * (s.part.length_mm + widest_mm) for n, s in zip(shared.mix.counts, group, strict=True))
            assert used_mm <= room_mm + 1e-5
            for n, s in zip(shared.mix.counts, group, strict=True):
                most = s.per_order or 0
                assert n <= most
                alone = min(math.floor((room_mm + 1e-6) / (s.part.length_mm + widest_mm)), most)
                assert shared.mix.in_parts_mm >= alone * s.part.length_mm - 1e-6
    assert found > 20


def test_pay_backs_agree_with_the_changed_pair() -> None:
    """The remnant after a remedy is that of the changed job placed there; weeks, saving and price belong together."""
    found = 0
    for seed in SEEDS:
        one = sheet(seed)
        if one is None or one.comparison is None:
            continue
        job, compared = one.job, one.comparison
        for part, saved in zip(compared.parts, one.stocks, strict=True):
            there_mm = saved.supply.part.reach.tip_limit_mm + one.placement.standoff_mm - compared.standoff_mm
            assert part.reach.tip_limit_mm == pytest.approx(there_mm)
        for pay in compared.pay_backs:
            found += 1
            changes = [dose.offer.change(dose.amount_mm) for dose in pay.remedy.doses]
            layout = job.layout.changed(*changes)
            values_mm = layout.values_mm(standoff_mm=pay.standoff_mm)
            for saving, before in zip(pay.savings, one.stocks, strict=True):
                end = before.supply.part.mode.at("front limit")
                cut_mm, collet_mm, tip_mm = (
                    layout.place(s, end).value(values_mm) for s in ("cut-off", "main-collet", "pusher-tip")
                )
                insertion_mm = before.supply.part.reach.insertion_mm
                assert saving.remnant_mm == pytest.approx(cut_mm - min(collet_mm, tip_mm) + insertion_mm)
            saved_cost, weeks = pay.saved_cost, pay.weeks
            assert saved_cost is not None
            assert pay.remedy.first_cost is None or weeks is not None
            if weeks is not None and math.isfinite(weeks) and weeks > 0.0:
                assert weeks * (saved_cost - pay.yearly_cost) == pytest.approx((pay.remedy.first_cost or 0.0) * WEEKS_PER_YEAR)
    assert found > 60


def test_every_answer_is_json_and_the_same_each_time() -> None:
    """No number without end, no other bytes for the same job."""
    for seed in SEEDS[::6]:
        one = sheet(seed)
        if one is None:
            continue
        told = as_json(stock_contents(one, program="1"))
        assert json.loads(told)["format"] == "standoff-stock/1"
        again = stock_of(place(parse_job(text(seed))))
        assert as_json(stock_contents(again, program="1")) == told
