"""`standoff check JOB`: every error of a job file at once, and what is implausible in it; nothing is solved or written."""

from __future__ import annotations

from pathlib import Path

import click

from standoff.cli.refused import refused
from standoff.desk.jobs import errors_json, questions_about


@click.command("check")
@click.argument("job", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Print errors for other programs.")
@click.pass_context
def command(ctx: click.Context, job: Path, as_json: bool) -> None:
    """Read a job file and name every error in it.

    Exit status: 0 the file can be used, 2 it cannot.
    """
    with refused(ctx, as_json=as_json):
        title, questions = questions_about(job)
    if as_json:
        click.echo(errors_json())
        return
    click.echo(f"{job}: {title}: no errors.")
    for question in questions:
        click.echo(f"  Implausible: {question.text}")
