"""Stock as a page shows it: every part in a line, the chosen one with its bar, its money and the length to buy.

The stock sheet is worked out once for a revision (`Stocks`).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from standoff.desk.drawn import Drawn, drawn
from standoff.desk.sheet import PART_TABLES, Sheet, Shelf
from standoff.desk.speed_page import Sign
from standoff.desk.stock_rows import (
    ChangeRow,
    PlaceRow,
    Row,
    TermRow,
    change_rows,
    drawn_line,
    place_rows,
    row_of,
    sentences,
    term_rows,
)
from standoff.desk.walk import Form, form_of
from standoff.desk.wanted import Wanted, wanted_field, wanted_of
from standoff.draw.stock_bar import stock_bar
from standoff.draw.stock_chart import stock_chart
from standoff.errors import JobFileError, Problem, StandoffError
from standoff.job.amounts import mass, money
from standoff.job.bar_guide import BAR_TABLES
from standoff.job.economy import (
    BARS_TOO_LONG,
    GRIP_TOO_SHORT,
    REMNANT_MAY_BE_TOO_LONG,
    REMNANT_TOO_LONG,
    Stock,
    StockSheet,
    stock_of,
)
from standoff.job.guide import walk_of
from standoff.job.job import Job
from standoff.job.placement import place
from standoff.job.stock_speech import (
    CAUTION,
    alarm_lines,
    alone_lines,
    bar_lines,
    cost_lines,
    expected_lines,
    longer_lines,
    need_lines,
    purchase_lines,
    remnant_lines,
    sentence,
    shared_line,
    where_line,
)
from standoff.units import Units

__all__ = ["CAUTION", "NO_OFFER", "StockView", "Stocks", "stock_form", "stock_to_go", "stock_view"]

MOST_KEPT = 64
NO_OFFER = (
    "Worked out from the prices and counts that this job states, and only from these. It is no offer and no promise of a yield:"
    " real bars, real scrap and real prices differ."
)
_HANDLING = (
    "lift, turn and store them by your local rules for handling loads (such as ISO 11228-1), so that none can roll or slide off,"
    " and fill the magazine as its maker says."
)
SECTIONS = {
    "need": ("per_order", "per_year"),
    "money": ("currency", "bars", "price_per_bar", "price_per_hour", "bar_change"),
    "buying": ("shortest_to_buy",),
    "alone": ("bars_in_magazine", "seconds", "bar_change"),
}
"""Which missing fields are named in which part of the page."""


ALARMS = {
    BARS_TOO_LONG: Sign("clash", "✗", "Bars too long"),
    REMNANT_TOO_LONG: Sign("clash", "✗", "Remnant too long to drop"),
    GRIP_TOO_SHORT: Sign("clash", "✗", "Last part held too short"),
    REMNANT_MAY_BE_TOO_LONG: Sign("unsure", "?", "Some remnants too long"),
}
NOT_PLACED = Sign("unsure", "?", "The pair does not fit")
NO_MONEY = Sign("unsure", "?", "Without money")
TOLD = Sign("fits", "✓", "Counted and priced")


@dataclass(frozen=True, slots=True)
class PartLink:
    """A part of the list, to be chosen, with its figures in short."""

    name: str
    sign: Sign
    short: str
    chosen: bool


@dataclass(frozen=True, slots=True)
class PartView:
    """The chosen part. `chart` is None where no limits of the length to buy are stated."""

    number: int
    name: str
    title: str
    sign: Sign
    spoken: str
    alarms: tuple[str, ...]
    bar: Drawn
    chart: Drawn | None
    formula: str
    terms: tuple[TermRow, ...]
    drawn: str
    places: tuple[PlaceRow, ...]
    becomes: tuple[str, ...]
    need: tuple[Row, ...]
    costs: tuple[Row, ...]
    longer: tuple[str, ...]
    purchase: tuple[str, ...]
    alone: tuple[str, ...]
    missing: dict[str, tuple[Wanted, ...]]
    handling: str


@dataclass(frozen=True, slots=True)
class StockView:
    """The answer part of the page: either the parts, or what is wanted, or why a bar cannot be cut up at all."""

    where: str
    placed: bool
    parts: tuple[PartLink, ...]
    chosen: PartView | None
    shared: tuple[str, ...]
    compared: tuple[str, ...]
    changes: tuple[ChangeRow, ...]
    wanted: tuple[Wanted, ...]
    refused: str


class Stocks:
    """What the stock sheet says of revisions: worked out once for each."""

    def __init__(self) -> None:
        self._kept = Shelf[StockSheet | StandoffError](most=MOST_KEPT)

    def of(self, sheet: Sheet, job: Job) -> StockSheet | StandoffError:
        """The stock sheet of a revision, or what is refused in it."""
        return self._kept.get(sheet.job_id, sheet.number, lambda: _answer(job))


def _answer(job: Job) -> StockSheet | StandoffError:
    try:
        return stock_of(place(job))
    except StandoffError as refused:
        return refused


def stock_form(sheet: Sheet) -> Form:
    """The fields that the stock sheet asks for, at a revision."""
    return form_of(sheet, "stock")


def stock_to_go(sheet: Sheet) -> int:
    """How much must be there and is not: a currency that was begun; all else may be left out."""
    return sum(problem.code == "key-missing" and walk_of(problem.field) == "stock" for problem in sheet.problems)


def stock_view(sheet: Sheet, stocks: Stocks, *, part: str = "", number: int = 0) -> StockView | None:
    """The answer at a revision, with the part of that name, or else of that number; None while there is no placement."""
    job = sheet.job
    if job is None:
        return None
    if problems := _problems(sheet, job):
        return _without(sheet, problems)
    answer = stocks.of(sheet, job)
    if isinstance(answer, JobFileError):
        return _without(sheet, answer.problems)
    if isinstance(answer, StandoffError):
        return StockView("", True, (), None, (), (), (), (), str(answer))
    named = [i for i, stock in enumerate(answer.stocks) if stock.supply.part.name == part]
    chosen = named[0] if named else min(number, len(answer.stocks) - 1)
    compared, changes = change_rows(answer)
    return StockView(
        where=where_line(answer),
        placed=answer.placed,
        parts=tuple(_link(stock, answer, chosen=i == chosen) for i, stock in enumerate(answer.stocks)),
        chosen=_part_view(chosen, answer, sheet),
        shared=sentences([shared_line(shared, job.units) for shared in answer.shared]),
        compared=sentences(compared),
        changes=changes,
        wanted=(),
        refused="",
    )


def _without(sheet: Sheet, problems: tuple[Problem, ...]) -> StockView:
    """The view of what must be there first."""
    return StockView("", True, (), None, (), (), (), tuple(wanted_of(problem, sheet) for problem in problems), "")


def _problems(sheet: Sheet, job: Job) -> tuple[Problem, ...]:
    """What must be there before a bar can be cut up."""
    found = list(sheet.left_out(*PART_TABLES, *BAR_TABLES))
    if not found and not job.tables.parts:
        found.append(Problem("key-missing", "", None, "parts", "nothing", "at least one part", "say what is made of the bars"))
    if "lathe.collet_to_cutoff" not in job.readings:
        wanted = "the distance from the collet to the cut-off tool"
        found.append(Problem("key-missing", "", None, "lathe.collet_to_cutoff", "nothing", wanted, "measure it"))
    return tuple(found)


def _sign(stock: Stock, sheet: StockSheet) -> Sign:
    """The worst that is to be said of a part's bars."""
    found = [sign for alarm, sign in ALARMS.items() if alarm in stock.alarms]
    if not sheet.placed:
        return NOT_PLACED
    return found[0] if found else TOLD if stock.costs.year_cost is not None else NO_MONEY


def _link(stock: Stock, sheet: StockSheet, *, chosen: bool) -> PartLink:
    year_cost = stock.costs.year_cost
    price = "" if year_cost is None else f", {money(year_cost, sheet.currency)} a year"
    return PartLink(stock.supply.part.name, _sign(stock, sheet), f"{_each(stock)} a bar{price}", chosen)


def _each(stock: Stock) -> str:
    supply = stock.supply
    return f"{supply.parts_per_bar:.2f}" if supply.scatters else f"{supply.count}"


def _part_view(number: int, answer: StockSheet, sheet: Sheet) -> PartView:
    stock, job, units, currency = answer.stocks[number], answer.job, answer.job.units, answer.currency
    part = stock.supply.part
    mode = f", {part.mode.name} mode" if len(job.layout.modes) > 1 else ""
    return PartView(
        number=number,
        name=part.name,
        title=f"from {part.bar_name}{mode}",
        sign=_sign(stock, answer),
        spoken=" ".join(_spoken(stock, units, currency)),
        alarms=alarm_lines(stock, job),
        bar=_bar(stock, units),
        chart=_chart(stock, units),
        formula=sentences(remnant_lines(stock, units)[:1])[0],
        terms=term_rows(stock, units),
        drawn=drawn_line(stock, units),
        places=place_rows(stock, number, answer.placement, sheet),
        becomes=sentences([*bar_lines(stock, units), *expected_lines(stock, units)]),
        need=tuple(row_of(line) for line in need_lines(stock)),
        costs=tuple(row_of(line) for line in cost_lines(stock, job, currency)),
        longer=sentences(longer_lines(stock, job, currency)),
        purchase=sentences(purchase_lines(stock, job, currency)),
        alone=sentences(alone_lines(stock, job)),
        missing=_missing(stock, sheet),
        handling=_handling(stock, units),
    )


def _spoken(stock: Stock, units: Units, currency: str) -> Iterator[str]:
    """What a technician would say of a bar, and an owner of a year."""
    costs, bars = stock.costs, stock.supply.bars_per_year
    yield f"{stock.supply.part.name}: {sentence(stock, units)}"
    if costs.bar_cost is None or costs.remnant_cost is None:
        return
    if costs.year_cost is not None and bars is not None:
        year, lost = (_amount(cost, currency) for cost in (costs.year_cost, costs.remnant_cost * bars))
        yield f"A year's bars cost {year}; {lost} of that ends as remnants."
    else:
        one, lost = (_amount(cost, currency) for cost in (costs.bar_cost, costs.remnant_cost))
        yield f"A bar costs {one}; {lost} of that ends as its remnant."


def _amount(cost: float, currency: str) -> str:
    """An amount of money that does not part from its currency at the end of a line."""
    return money(cost, currency).replace(" ", "\u00a0")


def _bar(stock: Stock, units: Units) -> Drawn:
    return drawn(lambda arrangement: stock_bar(stock, units=units, arrangement=arrangement))


def _chart(stock: Stock, units: Units) -> Drawn | None:
    if stock.purchase is None or stock.purchase.best is None:
        return None
    return drawn(lambda arrangement: stock_chart(stock, units=units, arrangement=arrangement))


def _missing(stock: Stock, sheet: Sheet) -> dict[str, tuple[Wanted, ...]]:
    """The fields without which a part of the page has no figures, by that part."""
    fields = {field.rpartition(".")[2]: field for field in stock.not_stated}
    if sheet.left_out("prices"):
        # The prices themselves may well be there.
        fields = {"currency": "prices.currency", **{key: field for key, field in fields.items() if not key.startswith("price")}}
    return {
        section: tuple(wanted_field(fields[key], sheet) for key in keys if key in fields) for section, keys in SECTIONS.items()
    }


def _handling(stock: Stock, units: Units) -> str:
    """What a bar weighs, and all that the magazine holds, where that is known; and how to go about it."""
    masses = stock.supply.masses
    if masses is None:
        return f"Bars are long and heavy: {_HANDLING}"
    weighs = f"A bar weighs {mass(float(masses.bar_kg), units)}"
    if stock.magazine is not None and stock.magazine.bars > 1:
        weighs += f", a full magazine {mass(float(masses.bar_kg) * stock.magazine.bars, units)}"
    return f"{weighs}: {_HANDLING}"
