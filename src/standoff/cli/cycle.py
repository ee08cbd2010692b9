"""`standoff cycle JOB`: does a whole bar run through, what goes into the controls, what must be tested."""

from __future__ import annotations

from pathlib import Path

import click

from standoff.cli.refused import kept_off, refused
from standoff.desk.cycle import cycle_json, cycle_of_file, cycle_text, part_named
from standoff.desk.cycle_drawing import cycle_drawing
from standoff.desk.papers import write_whole


@click.command("cycle")
@click.argument("job", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Print the answer for other programs.")
@click.option("--part", metavar="NAME", help="Show this part alone; without it every part.")
@click.option("--at", metavar="STANDOFF", help='Judge at this standoff instead of the aim, such as "11 3/4 in".')
@click.option("--signals", is_flag=True, help="Print the sheet of signals to test, too.")
@click.option("--svg", "svg_file", metavar="FILE", type=click.Path(path_type=Path), help="Draw one part's cycle into FILE.")
@click.pass_context
def command(
    ctx: click.Context, job: Path, as_json: bool, part: str | None, at: str | None, signals: bool, svg_file: Path | None
) -> None:
    """Run one bar of each part through, from loading to the remnant, and print the settings.

    Exit status: 0 every bar runs through, 1 one does not, 2 the input cannot be used.
    """
    kept_off(job, svg_file)
    with refused(ctx, as_json=as_json):
        answer = cycle_of_file(job, at=at)
        shown = part_named(answer, part)
        if svg_file is not None:
            write_whole(svg_file, cycle_drawing(answer, shown[0]))
    click.echo(cycle_json(answer) if as_json else cycle_text(answer, shown, signals=signals))
    if svg_file is not None and not as_json:
        click.echo(f"\nDrawing: {svg_file}")
    ctx.exit(0 if answer.clean else 1)
