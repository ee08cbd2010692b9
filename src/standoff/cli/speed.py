"""`standoff speed JOB`: how fast each bar may turn and how hard it may be pushed; text, JSON or the chart."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

import click

from standoff.cli.refused import kept_off, refused
from standoff.desk.papers import write_whole
from standoff.desk.speed import bar_named, speed_drawing, speed_json, speed_of_file, speed_text


@click.command("speed")
@click.argument("job", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Print the answer for other programs.")
@click.option("--bar", "bar", metavar="NAME", help="Show this bar alone; without it every bar.")
@click.option("--at", metavar="STANDOFF", help='Judge at this standoff instead of the aim, such as "11 3/4 in".')
@click.option("--svg", "svg_file", metavar="FILE", type=click.Path(path_type=Path), help="Write the chart of one bar to FILE.")
@click.option(
    "--arrangement",
    type=click.Choice(["wide", "narrow", "page"]),
    default="wide",
    show_default=True,
    help="How the chart is laid out.",
)
@click.pass_context
def command(
    ctx: click.Context,
    job: Path,
    as_json: bool,
    bar: str | None,
    at: str | None,
    svg_file: Path | None,
    arrangement: Literal["wide", "narrow", "page"],
) -> None:
    """Say how fast each bar may turn and how hard it may be pushed, and what limits it.

    Exit status: 0 every bar stays within its limits, 1 one does not (or the pair does not fit), 2 the input cannot be used,
    3 a bar has no speed stated, or the pair fits only if measured better.
    """
    kept_off(job, svg_file, what="chart")
    with refused(ctx, as_json=as_json):
        answer = speed_of_file(job, at=at)
        shown = answer.bars if bar is None else (bar_named(answer, bar),)
        if svg_file is not None:
            write_whole(svg_file, speed_drawing(bar_named(answer, bar), answer.job.units, arrangement=arrangement))
    click.echo(speed_json(answer) if as_json else speed_text(answer, shown))
    if svg_file is not None and not as_json:
        click.echo(f"\nChart: {svg_file}")
    ctx.exit(1 if not answer.holds else 0 if answer.decided else 3)
