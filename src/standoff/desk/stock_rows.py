"""The figures of the stock sheet as rows of a page: each with how it follows, the remnant opened down to its readings.

What is said comes from the speech of the command, a line being "what: figure (how it follows)"; here it only gets its columns.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from standoff.desk.entry import entry_at
from standoff.desk.placement_page import Input, input_of
from standoff.desk.sheet import Sheet
from standoff.job.economy import Stock, StockSheet
from standoff.job.keys import extra
from standoff.job.part_tables import CycleTable
from standoff.job.pay_back_speech import pay_back_lines
from standoff.job.placement import Placement
from standoff.job.remnant import drawn_out_mm, remnant_terms
from standoff.job.speech import exact_length
from standoff.job.stock_speech import remnant_lines
from standoff.model.form import Form
from standoff.model.state import FRONT_LIMIT, REAR_LIMIT
from standoff.units import Units

NOT_STATED = "not stated"


@dataclass(frozen=True, slots=True)
class Row:
    """A figure: what it is, how much, and how it follows. A line without a figure is all `what`."""

    what: str
    figure: str
    how: str


@dataclass(frozen=True, slots=True)
class TermRow:
    """One reason for the remnant's length."""

    words: str
    letters: str
    length: str


@dataclass(frozen=True, slots=True)
class PlaceRow:
    """One letter of the formula with the quantities it is the sum of."""

    id: str
    letter: str
    length: str
    words: str
    inputs: tuple[Input, ...]


@dataclass(frozen=True, slots=True)
class ChangeRow:
    """A proposed change: what it does to the remnant, what it costs and saves, and when it has paid."""

    change: str
    remnant: str
    costs: str
    pays: str


def row_of(line: str) -> Row:
    """A line of the speech in columns."""
    what, found, rest = line.partition(": ")
    if not found:
        return Row(line, "", "")
    figure, _, how = rest.partition(" (")
    return Row(what, figure, how.replace(")", "", 1))


def term_rows(stock: Stock, units: Units) -> tuple[TermRow, ...]:
    """Why the remnant is as long as it is, from the cut-off plane back."""
    part = stock.supply.part
    rows = [TermRow(term.words, term.letters, exact_length(term.length_mm, units)) for term in remnant_terms(part)]
    return (*rows, TermRow("all of it: what is left of this bar", "", exact_length(part.remnant_mm, units)))


def drawn_line(stock: Stock, units: Units) -> str:
    """What a sub-spindle draws into the last part; empty where it draws nothing."""
    saved_mm = drawn_out_mm(stock.supply.part)
    saved = exact_length(saved_mm, units)
    return f"The sub-spindle draws {saved} of the shortest remnant into the last part." if saved_mm > 0.0 else ""


def place_rows(stock: Stock, index: int, placement: Placement, sheet: Sheet) -> tuple[PlaceRow, ...]:
    """The letters of the formula, each opened to the quantities it is the sum of."""
    inputs = dict(zip("KCpXi", _inputs(stock, index, placement, sheet), strict=True))
    told = (line.partition(": ") for line in remnant_lines(stock, placement.job.units)[1:])
    split = ((*head.split(" ", 1), words) for head, _, words in told)
    return tuple(PlaceRow(f"in-{letter}", letter, length, words, inputs[letter]) for letter, length, words in split)


def _inputs(stock: Stock, index: int, placement: Placement, sheet: Sheet) -> Iterator[tuple[Input, ...]]:
    """The inputs of K, C, p, X and i, in that order."""
    layout, mode = placement.layout, stock.supply.part.mode
    end = mode.at(FRONT_LIMIT)
    yield _of_form(layout.place("cut-off", end), placement)
    if placement.job.tables.parts[index].z_last_cut:
        collet = layout.gap("adapter", "main-collet", mode.at(REAR_LIMIT))
        sign = "+" if placement.job.z_sign > 0.0 else "−"
        at = _as_typed(sheet, f"parts[{index}].z_last_cut", "Z at the last cut-off", times=sign)
        zero = input_of(placement.job, "lathe.modes[0].z_rear", -placement.job.z_sign, placement)
        yield (*_of_form(collet, placement), at, zero)
    else:
        yield _of_form(layout.place("main-collet", end), placement)
    default = str(extra(CycleTable.model_fields["into_collet"])["default_text"])
    yield (_as_typed(sheet, "cycle.into_collet", "how far the pusher may enter the collet", default=default),)
    yield _of_form(layout.place("pusher-tip", end), placement)
    yield (_as_typed(sheet, "bar_path.insertion", "insertion", default=NOT_STATED),)


def _of_form(form: Form, placement: Placement) -> tuple[Input, ...]:
    return tuple(input_of(placement.job, field, factor, placement) for field, factor in form.terms)


def _as_typed(sheet: Sheet, field: str, name: str, *, times: str = "+", default: str = NOT_STATED) -> Input:
    """A field as it was typed, or what holds where it is empty."""
    text = entry_at(sheet.raw, field).text
    if text:
        return Input(field, name, times, text, "", "as stated")
    return Input(field, name, times, default, "", "" if default == NOT_STATED else "default, where nothing is stated")


def change_rows(sheet: StockSheet) -> tuple[tuple[str, ...], tuple[ChangeRow, ...]]:
    """What the proposed changes are compared with, and a row for each."""
    lines = pay_back_lines(sheet)
    count = len(sheet.comparison.pay_backs) if sheet.comparison is not None else 0
    return lines[: len(lines) - count], tuple(_change(line) for line in lines[len(lines) - count :])


def _change(line: str) -> ChangeRow:
    change, _, rest = line.partition(" (remnant then ")
    remnant, _, told = rest.partition("): ")
    costs, found, pays = told.partition(": ")
    return ChangeRow(change, remnant, costs, pays) if found else ChangeRow(change, remnant, "", told)


def sentences(lines: Sequence[str]) -> tuple[str, ...]:
    """Lines that begin as sentences do."""
    return tuple(f"{line[:1].upper()}{line[1:]}" for line in lines)
