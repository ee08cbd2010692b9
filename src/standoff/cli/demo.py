"""`standoff demo`: the main job on the five demonstration jobs, answers on the screen, files and drawings in a folder."""

from __future__ import annotations

from pathlib import Path

import click

from standoff.cli.report import report
from standoff.desk.jobs import DEMONSTRATIONS, demonstration
from standoff.desk.papers import write_whole
from standoff.desk.placement import advice_on, drawing, placement_of_text
from standoff.desk.wording import wording


@click.command("demo")
@click.option(
    "--out",
    type=click.Path(path_type=Path, file_okay=False),
    default=Path("standoff-demo"),
    show_default=True,
    help="Folder for job files and drawings.",
)
def command(out: Path) -> None:
    """Solve the demonstration jobs that come with the program."""
    for name in DEMONSTRATIONS:
        text = demonstration(name)
        placement = placement_of_text(text, file=f"{name}.toml")
        write_whole(out / f"{name}.toml", text)
        write_whole(out / f"{name}.svg", drawing(placement))
        write_whole(out / f"{name}-phone.svg", drawing(placement, arrangement="narrow"))
        click.echo(f"{report(wording(placement, advice_on(placement)), brief=True)}\n")
    click.echo(f"Job files and drawings: {out.resolve()} (open the .svg files in a browser)")
    click.echo("Everything in them is invented. Go on with a job of your own:")
    click.echo("  standoff new my-job.toml      a job file to fill in")
    click.echo("  standoff place my-job.toml    the answer")
