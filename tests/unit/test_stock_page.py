"""Stock as a page shows it: the chosen part with its money, what is missing with its field, and the fields below."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from standoff.desk import stock_page
from standoff.desk.sheet import Sheet
from standoff.desk.speed_page import Speeds, speed_view
from standoff.desk.stock import stock_text, stocks_named
from standoff.desk.stock_page import ALARMS, CAUTION, NO_OFFER, Stocks, StockView, stock_form, stock_to_go, stock_view
from standoff.desk.stock_rows import Row, row_of
from standoff.desk.survey import one_field, survey_view
from standoff.desk.workbench import Workbench
from standoff.errors import StandoffError
from standoff.job import economy
from standoff.job.demonstration import text_of
from standoff.job.economy import StockSheet, stock_of
from standoff.job.guide import WALKS, walk_of
from standoff.job.part_tables import StockTable
from standoff.job.placement import Placement
from standoff.job.stock_guide import STOCK_TABLES
from tests.asked import ask, pages, typed
from tests.benches import fresh_bench, saved

NO_PRICES = re.compile(r"^(price_per_\w+ = .*|\[prices\]|currency = .*|cost\w* = .*)$", re.MULTILINE)


def opened(folder: Path, name: str = "axle-cell", *, text: str = "") -> tuple[Workbench, str]:
    """A workbench with a job: a demonstration, or the one in a text."""
    bench = fresh_bench(folder)
    return bench, bench.new_from_text(text or text_of(name), "job.toml")


def view_of(sheet: Sheet, part: str = "") -> StockView:
    """The answer part of a job that has a placement."""
    found = stock_view(sheet, Stocks(), part=part)
    assert found is not None
    return found


def answer_of(sheet: Sheet) -> StockSheet:
    """The stock sheet of a job."""
    assert sheet.job is not None
    found = Stocks().of(sheet, sheet.job)
    assert not isinstance(found, StandoffError)
    return found


def test_every_field_is_walked_once() -> None:
    """The walk has every key of [stock] and the currency; its tables belong to this page."""
    asked = [step.field for stop in WALKS["stock"] for step in stop.steps]
    assert sorted(asked) == sorted(["prices.currency", *(f"stock.{key}" for key in StockTable.model_fields)])
    assert {walk_of(table) for table in STOCK_TABLES} == {"stock"}


@pytest.mark.parametrize("name", ["axle-cell", "shell-cell", "spoke-nipple-cell"])
def test_the_page_says_what_the_command_says(tmp_path: Path, name: str) -> None:
    """Every line of every part stands in the command's text, word for word, whichever way the page divides it."""
    bench, job = opened(tmp_path, name)
    sheet = bench.sheet(job)
    answer = answer_of(sheet)
    for stock in answer.stocks:
        text = stock_text(answer, stocks_named(answer, stock.supply.part.name)).lower()
        part = view_of(sheet, stock.supply.part.name).chosen
        assert part is not None
        for line in (*part.becomes, *part.longer, *part.purchase, *part.alone, part.formula):
            assert line.lower() in text
        for row in (*part.need, *part.costs):
            told = f"{row.what}: {row.figure} ({row.how}" if row.figure else row.what
            assert told.lower() in text.replace(")", "") or told.lower() in text
        first = part.spoken.partition(". ")[0].partition(": ")[2]
        assert f"{first.lower()}." in text
    whole = stock_text(answer, ()).lower()
    for change in view_of(sheet).changes:
        assert f"{change.change} (remnant then {change.remnant}): {change.costs}: {change.pays}".lower() in whole


def test_a_year_is_told_in_the_sentence(tmp_path: Path) -> None:
    """By hand: 500 bars of 45.04 USD, of each 380.2 of 3657.6 mm as its remnant, are 22518 and 2341 USD."""
    bench, job = opened(tmp_path)
    part = view_of(bench.sheet(job)).chosen
    assert part is not None
    assert part.spoken.endswith("A year's bars cost 22518\u00a0USD; 2341\u00a0USD of that ends as remnants.")
    without = view_of(saved(bench, job, "parts[0].per_year", "")).chosen
    assert without is not None
    assert without.spoken.endswith("A bar costs 45.04\u00a0USD; 4.68\u00a0USD of that ends as its remnant.")
    assert without.sign.word == "Without money"


def test_the_other_part_is_one_link_away(tmp_path: Path) -> None:
    """Each part has its verdict and its figures in short; an unknown name shows the first."""
    bench, job = opened(tmp_path)
    view = view_of(bench.sheet(job), "brake pivot")
    assert [(part.name, part.chosen) for part in view.parts] == [("hub axle", False), ("brake pivot", True)]
    assert [part.short for part in view.parts] == ["24 a bar, 22518 USD a year", "92 a bar, 4702 USD a year"]
    assert {part.sign.mark for part in view.parts} == {"✓"}
    assert view_of(bench.sheet(job), "no such part").parts[0].chosen


def test_every_alarm_has_a_sign_of_its_own() -> None:
    """What can be wrong with bars is told by a mark and a word, no two alike."""
    known = {economy.BARS_TOO_LONG, economy.REMNANT_TOO_LONG, economy.REMNANT_MAY_BE_TOO_LONG, economy.GRIP_TOO_SHORT}
    assert set(ALARMS) == known
    assert len({sign.word for sign in ALARMS.values()}) == len(ALARMS)
    assert "✓" not in {sign.mark for sign in ALARMS.values()}


def test_an_alarm_is_a_verdict_and_a_line(tmp_path: Path) -> None:
    """A loader that drops no more than 14 in: the remnant of 15 in is too long, in a word and in a sentence."""
    bench, job = opened(tmp_path)
    view = view_of(saved(bench, job, "cycle.longest_remnant", "14 in"))
    assert view.chosen is not None
    assert view.chosen.sign.word == "Remnant too long to drop"
    assert "longer than the loader can drop" in view.chosen.alarms[0]


def test_where_the_pair_does_not_fit_nothing_is_called_good(tmp_path: Path) -> None:
    """The spoke-nipple cell: marked as a question, the shortfall among the terms, the changes with their pay-back."""
    bench, job = opened(tmp_path, "spoke-nipple-cell")
    view = view_of(bench.sheet(job))
    assert not view.placed
    assert view.chosen is not None
    assert (view.chosen.sign.mark, view.chosen.sign.word) == ("?", "The pair does not fit")
    assert [row.length for row in view.chosen.terms] == ["5 1/2 in", "0.175 in", "0.305 in", "3/4 in", "6.73 in"]
    assert [row.pays for row in view.changes if row.change.startswith("cut the nose")] == ["it pays back in 26 weeks"]
    assert all(row.remnant for row in view.changes)
    assert "compared with the pair as it is" in view.compared[0].lower()


def test_the_answer_is_worked_out_once_for_a_revision(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Looked at twice it is computed once; after a change, anew."""
    bench, job = opened(tmp_path, "shell-cell")
    counted: list[Placement] = []

    def counting(placement: Placement) -> StockSheet:
        counted.append(placement)
        return stock_of(placement)

    monkeypatch.setattr(stock_page, "stock_of", counting)
    stocks = Stocks()
    for _ in range(3):
        stock_view(bench.sheet(job), stocks)
    assert len(counted) == 1
    stock_view(saved(bench, job, "stock.price_per_kg", "1.5"), stocks)
    assert len(counted) == 2


def test_figures_open_down_to_their_readings(tmp_path: Path) -> None:
    """The sums of the letters' inputs are the letters; each input leads to the page where it is filled in."""
    bench, job = opened(tmp_path)
    part = view_of(bench.sheet(job)).chosen
    assert part is not None
    places = {place.letter: place for place in part.places}
    assert list(places) == ["K", "C", "p", "X", "i"]
    assert (places["K"].length, places["X"].length, places["i"].length) == ("44 5/16 in", "33 1/16 in", "1 1/2 in")
    cut_off = {(entry.times, entry.name, entry.page) for entry in places["K"].inputs}
    assert {("+", "adapter to collet", "survey"), ("+", "collet to cut-off", "survey")} <= cut_off
    assert ("−", "standoff", "survey") in {(entry.times, entry.name, entry.page) for entry in places["X"].inputs}
    assert [(entry.value, entry.field) for entry in places["i"].inputs] == [("1 1/2 in", "bar_path.insertion")]
    assert places["p"].inputs[0].source == "default, where nothing is stated"


def test_z_at_the_last_cut_is_among_the_inputs(tmp_path: Path) -> None:
    """Where the program cuts off before the front limit, C follows from that Z and the zero it is read from."""
    bench, job = opened(tmp_path)
    rear = bench.sheet(job).entry("lathe.modes[0].z_rear").text
    part = view_of(saved(bench, job, "parts[0].z_last_cut", "7 in")).chosen
    assert part is not None
    inputs = {entry.field: entry for entry in part.places[1].inputs}
    assert inputs["parts[0].z_last_cut"].value == "7 in"
    assert inputs["lathe.modes[0].z_rear"].value == rear
    assert {inputs["parts[0].z_last_cut"].times, inputs["lathe.modes[0].z_rear"].times} == {"+", "−"}


def test_missing_prices_are_named_with_their_field(tmp_path: Path) -> None:
    """Without a price everything else stands, no money is shown, and what is missing leads to its field."""
    app, bench = pages(tmp_path)
    job = bench.new_from_text(NO_PRICES.sub("", text_of("axle-cell")), "job.toml")
    view = view_of(bench.sheet(job))
    assert view.chosen is not None
    assert view.chosen.costs == ()
    assert view.chosen.chart is not None
    assert view.chosen.sign.word == "Without money"
    anchors = [(one.walk, one.anchor) for one in view.chosen.missing["money"]]
    assert anchors == [("stock", "f-stock-price-per-bar-box"), ("stock", "f-stock-price-per-hour-box")]
    text = ask(app, f"/jobs/{job}/stock").text
    assert "There is no money in this yet." in text
    assert 'href="#f-stock-price-per-bar-box">Price of a bar</a>' in text
    assert "USD" not in text.partition('id="prices-and-lengths"')[0]


def test_every_part_of_the_page_names_what_it_lacks(tmp_path: Path) -> None:
    """Counts, times and limits of buying that are not stated are named where their figures would be."""
    bench, job = opened(tmp_path)
    for field in ("parts[0].per_order", "parts[0].seconds", "cycle.bar_change", "stock.shortest_to_buy", "stock.magazine_width"):
        saved(bench, job, field, "")
    part = view_of(bench.sheet(job)).chosen
    assert part is not None
    named = {section: [one.anchor for one in wanted] for section, wanted in part.missing.items()}
    assert named["need"] == ["f-parts-0-per-order-box"]
    assert named["buying"] == ["f-stock-shortest-to-buy-box"]
    assert named["alone"] == ["f-stock-bars-in-magazine-box", "f-parts-0-seconds-box", "f-cycle-bar-change-box"]
    assert named["money"] == ["f-cycle-bar-change-box"]
    assert part.chart is None
    assert {one.walk for wanted in part.missing.values() for one in wanted} == {"cycle", "stock"}


def test_no_parts_lead_to_the_bar_cycle(tmp_path: Path) -> None:
    """A job without parts has no stock sheet yet: the page of the bar cycle is where they are entered."""
    bench, job = opened(tmp_path, "spacer-cell")
    view = view_of(bench.sheet(job))
    assert view.chosen is None
    assert [(one.walk, one.anchor, one.title) for one in view.wanted] == [("cycle", "stop-parts", "at least one part")]


def test_without_a_cut_off_plane_it_is_wanted(tmp_path: Path) -> None:
    """The distance from the collet to the cut-off tool is read on the survey; no remnant follows without it."""
    bench, job = opened(tmp_path, "shell-cell")
    lacking = view_of(saved(bench, job, "lathe.collet_to_cutoff", ""))
    assert [(one.walk, one.anchor) for one in lacking.wanted] == [("survey", "f-lathe-collet-to-cutoff-box")]


def test_an_incomplete_part_takes_neither_placement_nor_speed_away(tmp_path: Path) -> None:
    """While a part is being entered placement and speed stand, and this page says what the part still wants."""
    bench, job = opened(tmp_path)
    bench.add(job, "parts", bench.sheet(job).number)
    sheet = bench.sheet(job)
    assert sheet.job is not None
    assert not sheet.bars_left_out
    assert survey_view(sheet).wanting == ()
    speeds = speed_view(sheet, Speeds())
    assert speeds is not None
    assert speeds.chosen is not None
    assert {one.anchor for one in view_of(sheet).wanted} == {"f-parts-2-name-box", "f-parts-2-length-box"}


def test_an_incomplete_bar_is_wanted_first(tmp_path: Path) -> None:
    """Parts are made from bars: while a bar is incomplete its fields are wanted here too, on their page."""
    bench, job = opened(tmp_path)
    bench.add(job, "bars", bench.sheet(job).number)
    wanted = view_of(bench.sheet(job)).wanted
    assert {one.walk for one in wanted} == {"speed"}
    assert "f-bars-2-size-box" in {one.anchor for one in wanted}


def test_an_emptied_currency_takes_only_the_money_away(tmp_path: Path) -> None:
    """Bars are still counted, the placement still stands, and the currency is what is wanted, not the prices."""
    bench, job = opened(tmp_path)
    sheet = saved(bench, job, "prices.currency", "")
    part = view_of(sheet).chosen
    assert part is not None
    assert part.costs == ()
    assert [one.anchor for one in part.missing["money"]] == ["f-prices-currency-box"]
    assert stock_to_go(sheet) == 1
    back = view_of(saved(bench, job, "prices.currency", "EUR")).chosen
    assert back is not None
    assert "EUR" in back.spoken


def test_a_price_waits_for_its_currency(tmp_path: Path) -> None:
    """Typed first it stands beside its reason, which speaks of fields; with the currency it is taken over by itself."""
    bench, job = opened(tmp_path, "spacer-cell")
    sheet = saved(bench, job, "stock.price_per_bar", "40")
    reason = sheet.pending["stock.price_per_bar"].reason
    assert reason.action == "fill in the currency; this price is then taken over by itself"
    assert "[" not in reason.expected + reason.action
    after = saved(bench, job, "prices.currency", "EUR")
    assert after.pending == {}
    assert after.raw["stock"]["price_per_bar"] == 40


@pytest.mark.parametrize(
    ("field", "text", "reason"),
    [
        ("stock.price_per_kg", "18,500", 'write "18500" or "18.500"'),
        ("stock.price_per_kg", "1,234,567.50", 'write "1234567.50"'),
        ("stock.price_per_kg", "-3", "check its sign"),
        ("stock.price_per_kg", "\u22123", "check its sign"),
        ("stock.price_per_kg", "5 USD", "no currency"),
        ("stock.price_per_kg", "$5", "digits alone"),
        ("stock.price_per_kg", "1e3", "digits alone"),
        ("stock.price_per_kg", "nan", "digits alone"),
        ("stock.price_per_kg", "9" * 40, "digits alone"),
        ("stock.price_per_hour", "six", "digits alone"),
        ("stock.magazine_width", "18", 'write "18 in" or "18 mm"'),
        ("stock.mill_tolerance", "-1 in", "check"),
        ("parts[0].per_year", "12,000", 'write "12000"'),
        ("parts[0].per_year", "2.5", "in digits alone"),
        ("parts[0].per_year", "0", "check its sign"),
    ],
)
def test_wrong_entries_are_told_and_the_answer_stays(tmp_path: Path, field: str, text: str, reason: str) -> None:
    """What cannot be taken over waits with its reason, and the answer is the one before."""
    bench, job = opened(tmp_path)
    before = view_of(bench.sheet(job)).chosen
    sheet = saved(bench, job, field, text)
    assert sheet.pending[field].text == text
    assert reason in sheet.pending[field].reason.action
    after = view_of(sheet).chosen
    assert before is not None
    assert after is not None
    assert after.spoken == before.spoken
    if field.startswith("stock"):
        assert [question.text for question in stock_form(sheet).waiting] == [f"“{text}” is not taken over"]


def test_one_of_two_ways_is_asked_for(tmp_path: Path) -> None:
    """A price of a bar or of a kilogram, a count or a width: the other field goes, and comes back when the first is emptied."""
    bench, job = opened(tmp_path)

    def asked() -> set[str]:
        return {field.field for place in stock_form(bench.sheet(job)).places for field in place.fields}

    assert {"stock.price_per_kg", "stock.magazine_width"} <= asked()
    assert not {"stock.price_per_bar", "stock.bars_in_magazine"} & asked()
    saved(bench, job, "stock.price_per_kg", "")
    saved(bench, job, "stock.magazine_width", "")
    assert {"stock.price_per_kg", "stock.magazine_width", "stock.price_per_bar", "stock.bars_in_magazine"} <= asked()
    saved(bench, job, "stock.price_per_bar", "45")
    saved(bench, job, "stock.bars_in_magazine", "20")
    assert not {"stock.price_per_kg", "stock.magazine_width"} & asked()
    width = one_field(bench.sheet(job), "stock.magazine_width")
    assert (width.kind, width.judged, width.again) == ("quantity", False, ())
    assert one_field(bench.sheet(job), "stock.price_per_bar").kind == "figure"


def test_a_part_longer_than_its_bar_is_refused_with_the_reason(tmp_path: Path) -> None:
    """No figure is shown; what is wrong is said with what to do."""
    app, bench = pages(tmp_path)
    job = bench.new_from_text(text_of("shell-cell"), "job.toml")
    saved(bench, job, "parts[0].length", "3600 mm")
    view = view_of(bench.sheet(job))
    assert view.chosen is None
    text = ask(app, f"/jobs/{job}/stock").text
    assert "take a longer bar or a shorter part" in text
    assert "<svg" not in text


def test_an_incomplete_survey_comes_first(tmp_path: Path) -> None:
    """A blank job has no answer; the page leads to the survey, and the fields are there nevertheless."""
    app, bench = pages(tmp_path)
    job = bench.new_blank("New cell", "in", "sliding")
    assert stock_view(bench.sheet(job), Stocks()) is None
    text = ask(app, f"/jobs/{job}/stock").text
    assert "the placement comes first" in text
    assert 'id="f-prices-currency"' in text


def test_rows_of_the_speech() -> None:
    """What, figure and how it follows; a line without a figure stays whole, brackets within the reason too."""
    assert row_of("a bar: 45.04 USD (8.34 kg at 5.40 USD a kilogram)") == Row(
        "a bar", "45.04 USD", "8.34 kg at 5.40 USD a kilogram"
    )
    assert row_of("an order of 5 parts: 1 bar (5 / 9, rounded up); 2 if all come at their shortest").how.endswith(
        "rounded up; 2 if all come at their shortest"
    )
    assert row_of("one price for all") == Row("one price for all", "", "")
    assert row_of("a bar: 40.00 USD, as stated") == Row("a bar", "40.00 USD, as stated", "")


@pytest.mark.parametrize("name", ["axle-cell", "shell-cell", "spoke-nipple-cell"])
def test_the_page_itself(tmp_path: Path, name: str) -> None:
    """Sentence before picture before tables; the cautions stand there; nothing inline; the page stays below 200 kB."""
    app, bench = pages(tmp_path)
    job = bench.new_from_text(text_of(name), "job.toml")
    text = ask(app, f"/jobs/{job}/stock").text
    assert text.index("<h1") < text.index("<svg") < text.index("<table") < text.index("Prices and lengths to buy")
    for caution in (CAUTION, NO_OFFER):
        assert caution.partition(".")[0] in text
    assert "ISO 11228-1" in text
    assert " style=" not in text
    assert re.search(r'>Bar cycle</a></li>\s*<li><a href="/jobs/[0-9a-f]+/stock" aria-current="page">Stock</a>', text)
    assert len(text.encode()) < 200_000


def test_a_saved_field_asks_for_the_answer_anew(tmp_path: Path) -> None:
    """The answer to a field brings the state of this page, which fetches the answer; that comes with the same part."""
    app, bench = pages(tmp_path)
    job = bench.new_from_text(text_of("axle-cell"), "job.toml")
    told = typed(app, job, "stock.price_per_hour", "70").text
    assert "✓ saved" in told
    assert 'id="stock-news" role="status" data-anew="yes"' in told
    assert 'id="survey-state"' not in told
    part = ask(app, f"/jobs/{job}/stock/answer?shown=1").text
    assert f'data-address="/jobs/{job}/stock/answer" data-shown="1"' in part
    assert "brake pivot: 92 parts" in part
    assert ask(app, f"/jobs/{job}/stock/answer?shown=99").status == 200
    assert "<html" not in part
    assert "Price of an hour of the lathe" in ask(app, f"/jobs/{job}/stock/since?base=1").text
    assert "Price of an hour of the lathe" in ask(app, f"/jobs/{job}/history").text
