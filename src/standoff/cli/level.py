"""`standoff level JOB`: where the loader's axis lies against the spindle's, and what each foot and side screw is to do."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

import click

from standoff.cli.refused import kept_off, refused
from standoff.desk.level import STATUS, level_json, level_of_file, level_text
from standoff.desk.level_drawing import level_drawing
from standoff.desk.papers import write_whole


@click.command("level")
@click.argument("job", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Print the answer for other programs.")
@click.option("--at", metavar="STANDOFF", help='Take this standoff instead of the one read, such as "11 3/4 in".')
@click.option("--rounds", is_flag=True, help="Show every round of readings, not the last alone.")
@click.option("--svg", "svg_file", metavar="FILE", type=click.Path(path_type=Path), help="Draw the frame with its moves to FILE.")
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
    rounds: bool,
    svg_file: Path | None,
    arrangement: Literal["wide", "narrow", "page"],
) -> None:
    """Say where the loader's axis lies, which foot goes up or down by how much, and what comes next.

    Exit status: 0 in line, 1 not in line, 3 in line only if measured better or not decided, 2 the input cannot be used or does
    not tell.
    """
    kept_off(job, svg_file)
    with refused(ctx, as_json=as_json):
        answer = level_of_file(job, at=at)
        if svg_file is not None:
            write_whole(svg_file, level_drawing(answer, arrangement=arrangement))
    click.echo(level_json(answer) if as_json else level_text(answer, every_round=rounds))
    if svg_file is not None and not as_json:
        click.echo(f"\nDrawing: {svg_file}")
    ctx.exit(STATUS[answer.outcome])
