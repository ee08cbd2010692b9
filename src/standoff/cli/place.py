"""`standoff place JOB`: the sentence, the table, the reasons; or JSON; or a drawing. The exit status says the verdict."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

import click

from standoff.cli.refused import kept_off, refused
from standoff.cli.report import report
from standoff.desk.papers import write_whole
from standoff.desk.placement import STATUS, advice_on, answer_json, drawing, placement_of_file
from standoff.desk.wording import wording


@click.command("place")
@click.argument("job", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Print the answer for other programs.")
@click.option("--at", metavar="STANDOFF", help='Judge this standoff instead of the aim, such as "11 3/4 in".')
@click.option("--wanted", metavar="WIDTH", help='Seek changes that make the sure window this wide, such as "1 in".')
@click.option("--svg", "svg_file", metavar="FILE", type=click.Path(path_type=Path), help="Write the drawing to FILE.")
@click.option("--mode", help="Mode the drawing shows.")
@click.option("--state", type=click.Choice(["rear limit", "bar change", "front limit"]), help="State the drawing shows.")
@click.option(
    "--arrangement",
    type=click.Choice(["wide", "narrow", "page"]),
    default="wide",
    show_default=True,
    help="How the drawing is laid out.",
)
@click.pass_context
def command(
    ctx: click.Context,
    job: Path,
    as_json: bool,
    at: str | None,
    wanted: str | None,
    svg_file: Path | None,
    mode: str | None,
    state: str | None,
    arrangement: Literal["wide", "narrow", "page"],
) -> None:
    """Say where the loader must stand, or what keeps it from fitting.

    Exit status: 0 it fits, 1 it does not, 3 it fits only if measured better, 2 the input cannot be used.
    """
    if svg_file is None and (mode or state):
        raise click.UsageError("--mode and --state say what the drawing shows: give --svg FILE with them, or leave them out.")
    kept_off(job, svg_file)
    with refused(ctx, as_json=as_json):
        placement = placement_of_file(job, at=at)
        advice = advice_on(placement, wanted=wanted)
        if svg_file is not None:
            write_whole(svg_file, drawing(placement, mode=mode, state=state, arrangement=arrangement))
    click.echo(answer_json(placement, advice) if as_json else report(wording(placement, advice)))
    if svg_file is not None and not as_json:
        click.echo(f"\nDrawing: {svg_file}")
    ctx.exit(STATUS[placement.verdict])
