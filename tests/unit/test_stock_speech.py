"""Stock and money in words: the figures in the job's units and currency, rounded sensibly, each with how it follows."""

from __future__ import annotations

import math

import pytest

from standoff.job.amounts import bar_at_least, hours, many, mass, money, stated_money, thin, weeks
from standoff.job.demonstration import text_of
from standoff.job.economy import StockSheet, stock_of
from standoff.job.file import parse_job
from standoff.job.pay_back_speech import pay_back_lines
from standoff.job.placement import place
from standoff.job.stock_speech import (
    NOT_STATED,
    alarm_lines,
    alone_lines,
    bar_lines,
    cost_lines,
    expected_lines,
    longer_lines,
    need_lines,
    not_stated_line,
    purchase_lines,
    remnant_lines,
    sentence,
    shared_line,
    title,
    where_line,
)
from standoff.units import Units
from tests.stocks import PRICED, SECOND, STOCKED, UNABLE, sheet_of
from tests.texts import SLIDING, altered


def said(sheet: StockSheet) -> dict[str, tuple[str, ...]]:
    """Every block of the first part."""
    stock, job = sheet.stocks[0], sheet.job
    return {
        "alarms": alarm_lines(stock, job),
        "remnant": remnant_lines(stock, job.units),
        "bar": bar_lines(stock, job.units),
        "expected": expected_lines(stock, job.units),
        "need": need_lines(stock),
        "cost": cost_lines(stock, job, sheet.currency),
        "longer": longer_lines(stock, job, sheet.currency),
        "purchase": purchase_lines(stock, job, sheet.currency),
        "alone": alone_lines(stock, job),
    }


@pytest.mark.parametrize(
    ("cost", "text"),
    [
        (0.0, "0.00 EUR"),
        (0.00001, "under 0.0001 EUR"),
        (0.0351, "0.035 EUR"),
        (0.5, "0.50 EUR"),
        (0.999, "1.00 EUR"),
        (12.345, "12.35 EUR"),
        (99.994, "99.99 EUR"),
        (99.996, "100 EUR"),
        (352.46, "352 EUR"),
        (22518.4, "22518 EUR"),
        (-61.26, "-61.26 EUR"),
    ],
)
def test_money_has_few_digits(cost: float, text: str) -> None:
    """Two decimals below 100, no cents above; below 1 two digits that are not zero."""
    assert money(cost, "EUR") == text


def test_a_stated_price_is_not_rounded() -> None:
    """A price stands as it was typed, to the cent at least."""
    assert [stated_money(price, "EUR") for price in (18.5, 118.5, 0.0345)] == ["18.50 EUR", "118.50 EUR", "0.0345 EUR"]


@pytest.mark.parametrize(
    ("kg", "units", "text"),
    [
        (7.398, "mm", "7.40 kg"),
        (0.45359237, "in", "1.00 lb"),
        (1234.5, "mm", "1234 kg"),
        (0.0421, "mm", "0.0421 kg"),
        (0.0, "mm", "0 kg"),
    ],
)
def test_masses_have_three_digits(kg: float, units: Units, text: str) -> None:
    """Pounds in an inch job, kilograms else."""
    assert mass(kg, units) == text


def test_hours_weeks_and_counts() -> None:
    """Singular and plural; hours with one decimal below 100."""
    assert [hours(12.34), hours(123.4)] == ["12.3 h", "123 h"]
    assert [weeks(1), weeks(7), many(1, "bar"), many(2, "bar")] == ["1 week", "7 weeks", "1 bar", "2 bars"]
    assert [thin(18.034, "in"), thin(3.256, "mm")] == ["0.710 in", "3.26 mm"]


def test_a_length_to_buy_is_never_rounded_down() -> None:
    """A hair shorter than the tooth costs a part: up to the next step of the tape."""
    assert bar_at_least(3561.2, "mm") == "3562 mm"
    assert bar_at_least(3562.0, "mm") == "3562 mm"
    assert bar_at_least(144 * 25.4 + 0.1, "in") == "12 ft 1/16 in"


def test_the_sentence() -> None:
    """Parts, bar, rest and yield in one breath, for the part, its bar and its mode."""
    sheet = sheet_of()
    assert title(sheet.stocks[0]) == "pedal axle from 20 mm steel, guide-bushing mode"
    assert (
        sentence(sheet.stocks[0], "mm") == "26 parts from a bar of 3000 mm; 398 mm are left, and 83.2% of the bar becomes parts."
    )
    assert where_line(sheet) == "At a standoff of 300 mm."
    assert "where the pair does not fit" in where_line(sheet_of(changes=UNABLE))


def test_the_remnants_formula_is_named() -> None:
    """Every letter of K - min(C + p, X) + i with its figure, and which of the two sets it."""
    lines = said(sheet_of())["remnant"]
    assert lines[0] == "shortest remnant 360 mm = K - min(C + p, X) + i; the collet sets it: the pusher could go 30.0 mm farther"
    assert [line.partition(":")[0] for line in lines[1:]] == ["K 1110 mm", "C 790 mm", "p 0 mm", "X 820 mm", "i 40 mm"]
    short = said(sheet_of(changes={"loader.pusher_reach": '"1070 mm"'}))["remnant"][0]
    assert short.endswith("the pusher sets it: it ends 20.0 mm short of C + p")


def test_an_insertion_that_is_not_stated_is_told_beside_the_remnant() -> None:
    """It counts as 0, and the line of the shortest remnant says so."""
    first = said(sheet_of(changes={"bar_path.insertion": None}))["remnant"][0]
    assert first.endswith("; i is not stated and taken as 0: the remnant is longer by as much as it is")


def test_the_count_can_be_reckoned_again() -> None:
    """The figures of the quotient are those of the job, with the sub-spindle's gain if there is one."""
    lines = said(sheet_of())["bar"]
    assert lines[0] == "26 parts: (3000 mm - 2 mm facing - 360 mm remnant) / (96 mm part + 4 mm cut-off) = 26.38, rounded down"
    assert lines[1].startswith("left over 398 mm")
    assert lines[2] == "the saw-tooth: 2962 mm gives as many parts, 27 parts need 3062 mm"
    assert lines[3] == "a bar weighs 7.40 kg: 6.16 kg parts as cut off, 0.261 kg facing and cut-offs, 0.982 kg remnant"
    picked = said(sheet_of(changes={"parts[0].picked_off": "true"}))["bar"][0]
    assert "360 mm remnant + 100 mm saved by the sub-spindle) /" in picked
    assert "= 27.38" in picked


def test_bars_and_money_with_how_they_follow() -> None:
    """Counts with their quotient, money with its factors, a price as it was stated."""
    blocks = said(sheet_of())
    assert blocks["need"] == (
        "an order of 500 parts: 20 bars (500 / 26, rounded up)",
        "a year of 10000 parts: 385 bars (10000 / 26, rounded up)",
    )
    assert blocks["cost"] == (
        "a bar: 24.00 EUR, as stated",
        "the bar for a part: 0.92 EUR (24.00 EUR / 26 parts)",
        "the remnant of a bar: 3.18 EUR (its share of the length)",
        "an order: 480 EUR (20 bars at 24.00 EUR)",
        "a year: 9240 EUR (385 bars at 24.00 EUR)",
        "the lathe's hours for bar changes: 193 EUR a year (385 bar changes of 36 s at 50.00 EUR an hour)",
    )
    by_mass = sheet_of(changes={"stock.price_per_bar": None, "stock.price_per_kg": "2"})
    assert said(by_mass)["cost"][0] == "a bar: 14.80 EUR (7.40 kg at 2.00 EUR a kilogram)"


def test_one_price_for_several_bars_is_said() -> None:
    """Where parts come from different bars, the one price is told to stand for all."""
    other = SECOND.replace('bar = "20 mm steel"\n', "")
    assert not any("one price" in line for line in said(sheet_of(more=SECOND))["cost"])
    bars = STOCKED.replace(
        "[[parts]]", '[[bars]]\nname = "x"\nshape = "round"\nsize = "8 mm"\nmaterial = "steel"\n\n[[parts]]', 1
    )
    sheet = sheet_of(bars, more=other.replace('name = "pedal bush"', 'name = "pedal bush"\nbar = "x"'))
    assert "one price is stated for every bar of this job, and taken for this one too" in said(sheet)["cost"]


def test_the_tolerance_is_said_once_and_used() -> None:
    """The spread, the mean count with its limits, and an order's bars if all come at their shortest."""
    blocks = said(sheet_of(changes={"stock.mill_tolerance": '"100 mm"'}))
    assert blocks["expected"] == (
        "bars of 3000 mm to 3100 mm, each length as likely as any other: 26.38 parts per bar (26 to 27), remnant 410 mm,"
        " 83.0% of the length becomes parts",
    )
    assert blocks["need"][0] == "an order of 500 parts: 19 bars (500 / 26.38, rounded up); 20 if all come at their shortest"
    assert said(sheet_of())["expected"] == ()


def test_what_a_longer_remnant_costs() -> None:
    """The shortfall by its own name, 25 mm beside it; the average first, then these bars."""
    lines = said(sheet_of(changes={"loader.pusher_reach": '"1050 mm"'}))["longer"]
    assert lines[0] == (
        "the pusher's shortfall of 40.0 mm costs 0.40 parts per bar, 6.3 bars a year, 46.6 kg a year and 151 EUR a year,"
        " on the average over bar lengths"
    )
    assert lines[1].startswith(
        "the pusher's shortfall of 40.0 mm, of bars of just this length: 1.00 parts per bar, 15.4 bars a year"
    )
    assert lines[2].startswith("25 mm more remnant costs 0.25 parts per bar")
    assert (
        said(sheet_of())["longer"][1] == "25 mm more remnant, of bars of just this length: nothing, what is left over covers it"
    )
    inch = said(sheet_of(changes={"job.units": '"in"'}))["longer"]
    assert inch[0].startswith("an inch more remnant costs 0.25 parts per bar")
    spread = said(sheet_of(changes={"stock.mill_tolerance": '"30 mm"'}))["longer"]
    assert "25 mm more remnant, within this tolerance:" in spread[1]
    last = {"bars[0].length": '"470 mm"', "parts[0].length": '"100 mm"'}
    assert said(sheet_of(changes=last))["longer"][1].endswith("no part is left")


def test_the_length_to_buy_in_words() -> None:
    """The best, its limits, its waste beside today's, what it saves; longer than the job's bar it is to be judged first."""
    lines = said(sheet_of())["purchase"]
    assert lines[0] == (
        "3562 mm wastes least between 2000 mm and 3660 mm: 32 parts per bar,"
        " 15.31 mm of bar for each part beyond the part itself, now 19.38 mm"
    )
    assert lines[1] == "it takes 3.5% less bar for the same parts, 326 EUR a year"
    assert "have to be judged for it first" in lines[2]
    same = said(sheet_of(changes={"bars[0].length": '"3562 mm"'}))["purchase"]
    assert same[1:] == ("it saves nothing against the bars of this job",)
    (none,) = said(sheet_of(changes={"stock.shortest_to_buy": '"4 m"'}))["purchase"]
    assert none == "none: the shortest to be had that gives a part is 4000 mm, the longest allowed 3660 mm"


def test_a_best_length_at_the_limit_is_not_rounded_beyond_it() -> None:
    """Where the next step of the tape would be too long, the length stands in decimals."""
    changes: dict[str, str | None] = {"loader.bar_capacity": '"3562.4 mm"', "parts[0].facing": '"2.2 mm"'}
    assert said(sheet_of(changes=changes))["purchase"][0].startswith("3562.2 mm wastes least")


def test_running_alone_in_words() -> None:
    """What the magazine holds, why, and how long it lasts."""
    assert said(sheet_of())["alone"] == (
        "the magazine holds 10 bars (as stated)",
        "they last 4.4 h: 10 x (26 parts x 60 s + 36 s bar change)",
    )
    wide: dict[str, str | None] = {"stock.bars_in_magazine": None, "stock.magazine_width": '"250 mm"'}
    assert said(sheet_of(changes=wide))["alone"][0] == "the magazine holds 12 bars (250 mm wide, side by side, 20 mm a bar)"
    bare = said(sheet_of(changes={"cycle.bar_change": None}))["alone"][1]
    assert bare == "they last 4.3 h: 10 x (26 parts x 60 s, bar changes not counted)"
    narrow = said(sheet_of(changes=wide | {"stock.magazine_width": '"19 mm"'}))["alone"]
    assert narrow == ("the magazine holds 0 bars (19 mm wide, side by side, 20 mm a bar)",)


@pytest.mark.parametrize(
    ("changes", "line"),
    [
        ({"cycle.longest_remnant": '"300 mm"'}, "the remnant, 398 mm, is longer than the loader can drop, 300 mm"),
        ({"cycle.longest_remnant": '"450 mm"', "stock.mill_tolerance": '"100 mm"'}, "a remnant of up to 460 mm, longer than"),
        ({"cycle.gripped_at_least": '"330 mm"'}, "holds 320 mm of bar at the last cut-off, and must hold 330 mm"),
        ({"stock.mill_tolerance": '"700 mm"', "cycle.longest_remnant": None}, "bars may come as long as 3700 mm"),
    ],
)
def test_alarms_name_their_figures(changes: dict[str, str | None], line: str) -> None:
    """Each alarm says what is, and what may be."""
    (alarm,) = said(sheet_of(changes=changes))["alarms"]
    assert alarm.startswith("Mind: ")
    assert line in alarm


def test_what_is_left_out_is_named() -> None:
    """A bare part has no line of money, and one line names everything that is missing, with its key."""
    sheet = sheet_of(SLIDING, more='[[parts]]\nname = "pin"\nlength = "96 mm"\n')
    blocks = said(sheet)
    assert [name for name, lines in blocks.items() if lines] == ["remnant", "bar", "longer"]
    line = not_stated_line(sheet.stocks[0])
    assert all(words in line for words in NOT_STATED.values())
    assert not_stated_line(sheet_of().stocks[0]) == ""


def test_a_shared_bar_in_words() -> None:
    """The counts of the best mix beside the better part alone."""
    sheet = sheet_of(more=SECOND)
    line = shared_line(sheet.shared[0], "mm")
    assert line.startswith("20 mm steel, guide-bushing mode: ")
    assert "pedal axle alone: 83.2%" in line
    few = sheet_of(more=SECOND.replace('"27 mm"', '"26 mm"').replace('"3 mm"', '"26 mm"'))
    assert shared_line(few.shared[0], "mm").endswith("mixing gains nothing")


def test_pay_backs_in_words() -> None:
    """What is compared, what each change costs and saves, and after how many whole weeks it has paid."""
    sheet = sheet_of(changes=UNABLE, more=PRICED)
    assert sheet.comparison is not None
    first, *lines = pay_back_lines(sheet)
    assert first.startswith("compared with the pair as it is, at ")
    assert "the pusher" in first
    (extension,) = (line for line in lines if line.startswith("fit a pusher extension"))
    assert "costs 300 EUR once, saves" in extension
    (after,) = (one.weeks for one in sheet.comparison.pay_backs if one.remedy.doses[0].offer.kind == "pusher-extension")
    assert after is not None
    assert extension.endswith(f"it pays back in {math.ceil(after)} weeks")
    (accepted,) = (line for line in lines if line.startswith("let the pusher fall short"))
    assert "costs nothing else, saves no bars: it saves nothing" in accepted
    assert accepted.endswith("stated for its remnant is counted as bars)")
    assert pay_back_lines(sheet_of()) == ()


@pytest.mark.parametrize(
    ("cost", "ending"),
    [
        ("cost = 0", "costs nothing else, saves"),
        ("cost = 300\ncost_per_year = 5000", "its own yearly cost takes all of it, so it never pays back"),
        ("", "a year in bars; its price is not stated"),
        ("cost = 1", "it pays back in 1 week"),
    ],
)
def test_every_way_to_pay_is_said(cost: str, ending: str) -> None:
    """At once, never, unpriced, in a week."""
    lines = pay_back_lines(sheet_of(changes=UNABLE, more=PRICED.replace("cost = 300", cost)))
    (extension,) = (line for line in lines if line.startswith("fit a pusher extension"))
    assert ending in extension
    assert cost != "cost = 0" or extension.endswith("it pays at once")


def test_a_saving_that_cannot_be_told_is_said() -> None:
    """Without a price or a count a year the line says which are needed, and the part is named."""
    lines = pay_back_lines(sheet_of(changes=UNABLE | {"stock.price_per_bar": None}, more=PRICED))
    assert lines[1].startswith("not counted") and "pedal axle" in lines[1]  # noqa: PT018
    assert all(line.endswith("cannot be told without a price of bars and parts in a year") for line in lines[2:])


def test_a_shorter_bar_may_cost_more() -> None:
    """A change that shortens the bars more than the remnant costs bars, and says so."""
    more = PRICED.replace("cost = 300", 'cost = 300\ntakes_off_bar = "1700 mm"')
    lines = pay_back_lines(sheet_of(changes=UNABLE, more=more))
    (extension,) = (line for line in lines if line.startswith("fit a pusher extension"))
    assert "a year more in bars: it saves nothing" in extension


def test_what_else_does_not_hold_is_named() -> None:
    """Where the pair as it is could not run for another reason than reach, the comparison says so."""
    tight = sheet_of(changes={**UNABLE, "nose.extended": '"460 mm"'}, more=PRICED)
    assert "it could not run there at all (hold on the nose)" in pay_back_lines(tight)[0]
    assert "could not run" not in pay_back_lines(sheet_of(changes=UNABLE, more=PRICED))[0]


def test_the_demonstrations_have_no_line_without_end() -> None:
    """Whatever a demonstration states, each line is text in its units, and none holds a number without end."""
    for name in ("axle-cell", "spoke-nipple-cell", "shell-cell"):
        sheet = stock_of(place(parse_job(text_of(name))))
        lines = [line for block in said(sheet).values() for line in block] + list(pay_back_lines(sheet))
        assert lines
        assert not [line for line in lines if "nan" in line.split() or "inf" in line.split() or "None" in line]


def test_an_altered_currency_goes_everywhere() -> None:
    """The job's currency stands behind every amount."""
    lines = said(sheet_of(altered(STOCKED, {"prices.currency": '"XTS"'})))
    text = " ".join(line for block in lines.values() for line in block)
    assert "EUR" not in text
    assert text.count("XTS") >= 8
