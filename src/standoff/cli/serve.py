"""`standoff serve`: the pages, on this machine only."""

from __future__ import annotations

import webbrowser
from pathlib import Path

import click

from standoff.web.serve import Opened, serve


@click.command("serve")
@click.option("--port", type=click.IntRange(0, 65535), default=8765, show_default=True, help="0: any free one.")
@click.option(
    "--data", type=click.Path(path_type=Path, file_okay=False), help="Folder of the jobs (the user's data folder without it)."
)
@click.option("--browser/--no-browser", default=True, help="Open the pages in the browser.")
def command(port: int, data: Path | None, browser: bool) -> None:
    """Open the pages to work with at the machine. They are served to this machine only; stop with Ctrl-C."""

    def opened(at: Opened) -> None:
        click.echo(f"Jobs are kept in {at.database}")
        click.echo(f"Open {at.address}")
        click.echo("Stop with Ctrl-C.")
        if browser:
            webbrowser.open(at.address)

    serve(port=port, data=data, opened=opened)
