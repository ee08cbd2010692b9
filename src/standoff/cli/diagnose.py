"""`standoff diagnose JOB`: which dimension has changed since the record was made."""

from __future__ import annotations

from pathlib import Path

import click

from standoff.cli.refused import refused
from standoff.desk.visit import visit_json, visit_of_file, visit_text


@click.command("diagnose")
@click.argument("job", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Print the diagnosis for other programs.")
@click.pass_context
def command(ctx: click.Context, job: Path, as_json: bool) -> None:
    """Say which dimension has changed since the record was made, and what to read next.

    The job file holds the record, [as_installed], and what was read again or noticed: [[return_reading]], [[symptom]].
    Exit status: 0 a diagnosis was made, 2 the input cannot be used.
    """
    with refused(ctx, as_json=as_json):
        visit = visit_of_file(job)
    click.echo(visit_json(visit) if as_json else visit_text(visit))
