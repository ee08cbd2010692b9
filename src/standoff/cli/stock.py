"""`standoff stock JOB`: what a bar yields, what remnants cost, which length to buy, what a change pays back."""

from __future__ import annotations

from pathlib import Path

import click

from standoff.cli.refused import refused
from standoff.desk.stock import stock_json, stock_of_file, stock_text, stocks_named


@click.command("stock")
@click.argument("job", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Print the answer for other programs.")
@click.option("--part", metavar="NAME", help="Show this part alone; without it every part.")
@click.option("--at", metavar="STANDOFF", help='Judge at this standoff instead of the aim, such as "11 3/4 in".')
@click.pass_context
def command(ctx: click.Context, job: Path, as_json: bool, part: str | None, at: str | None) -> None:
    """Say what each part takes of bars and money: remnant, parts per bar, length to buy, what a change pays back.

    Exit status: 0 the figures are printed, 2 the input cannot be used.
    """
    with refused(ctx, as_json=as_json):
        sheet = stock_of_file(job, at=at)
        shown = stocks_named(sheet, part)
    click.echo(stock_json(sheet) if as_json else stock_text(sheet, shown))
