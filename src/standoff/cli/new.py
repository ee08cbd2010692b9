"""`standoff new`: a job file to fill in."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

import click

from standoff.desk.jobs import new_job
from standoff.desk.papers import write_whole


@click.command("new")
@click.argument("file", required=False, type=click.Path(path_type=Path))
@click.option(
    "--headstock", type=click.Choice(["sliding", "fixed"]), default="sliding", show_default=True, help="Kind of headstock."
)
@click.option("--units", type=click.Choice(["in", "mm"]), default="in", show_default=True, help="Units of the answers.")
def command(file: Path | None, headstock: Literal["sliding", "fixed"], units: Literal["in", "mm"]) -> None:
    """Write a job file to fill in, every key explained, to FILE or to the screen. An existing file is never overwritten."""
    text = new_job(headstock, units)
    if file is None:
        click.echo(text, nl=False)
        return
    write_whole(file, text, overwrite=False)
    click.echo(f"{file}: fill in your figures, then: standoff place {file}")
