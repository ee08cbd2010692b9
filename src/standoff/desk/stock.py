"""Stock and money: from a job file to the answer as text or for other programs."""

from __future__ import annotations

from pathlib import Path

from standoff import __version__
from standoff.desk.block import block
from standoff.desk.placement import placement_of_file
from standoff.errors import JobFileError, UsageError, write_instead
from standoff.job.economy import Stock, StockSheet, stock_of
from standoff.job.file import placed
from standoff.job.pay_back_speech import pay_back_lines
from standoff.job.refusal import as_json
from standoff.job.stock_answer import stock_contents
from standoff.job.stock_speech import (
    CAUTION,
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


def stock_of_file(path: Path, *, at: str | None = None) -> StockSheet:
    """The stock of a job file, at the standoff aimed at or the one typed in `at`."""
    try:
        return stock_of(placement_of_file(path, at=at))
    except JobFileError as error:
        raise placed(error, path) from error


def stocks_named(sheet: StockSheet, name: str | None) -> tuple[Stock, ...]:
    """The stock of the part with that name, or of every part; raises UsageError, naming those there are."""
    if name is None:
        return sheet.stocks
    names = [stock.supply.part.name for stock in sheet.stocks]
    if name not in names:
        raise UsageError(what="--part", given=f'"{name}"', allowed="a part of this job", action=write_instead(name, names))
    return (sheet.stocks[names.index(name)],)


def stock_json(sheet: StockSheet) -> str:
    """The answer for other programs."""
    return as_json(stock_contents(sheet, program=__version__))


def stock_text(sheet: StockSheet, shown: tuple[Stock, ...]) -> str:
    """The answer as text: each shown part with all its figures, then bars shared and what the changes pay."""
    job = sheet.job
    lines = [f"{job.title}{', ' + job.site if job.site else ''}: {job.lathe} with {job.loader}", where_line(sheet)]
    for stock in shown:
        lines += ["", title(stock), *_of_part(stock, sheet)]
    names = {stock.supply.part.name for stock in shown}
    shared = tuple(shared_line(one, job.units) for one in sheet.shared if names & set(one.parts))
    for heading, told in (("Several parts from one bar", shared), ("What the proposed changes pay", pay_back_lines(sheet))):
        lines += ["", *block(heading, told)] if told else []
    return "\n".join([*lines, "", CAUTION])


def _of_part(stock: Stock, sheet: StockSheet) -> list[str]:
    job, units, currency = sheet.job, sheet.job.units, sheet.currency
    blocks = {
        "Remnant": remnant_lines(stock, units),
        "Bar": (*bar_lines(stock, units), *expected_lines(stock, units)),
        "Bars to buy": need_lines(stock),
        "Money": cost_lines(stock, job, currency),
        "A longer remnant": longer_lines(stock, job, currency),
        "Length to buy": purchase_lines(stock, job, currency),
        "Running alone": alone_lines(stock, job),
    }
    lines = [f"  {line}" for line in (sentence(stock, units), *alarm_lines(stock, job))]
    for heading, told in blocks.items():
        lines += block(heading, told, "  ")
    left_out = not_stated_line(stock)
    return [*lines, f"  {left_out}"] if left_out else lines
