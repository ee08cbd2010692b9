"""`standoff level JOB`: where the loader's axis lies against the spindle's, and what each foot and side screw is to do."""

from __future__ import annotations

from pathlib import Path

import click

from standoff.desk.jobs import errors_json
from standoff.desk.level import STATUS, level_json, level_of_file, level_text
from standoff.errors import StandoffError, exit_status


@click.command("level")
@click.argument("job", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Print the answer for other programs.")
@click.option("--at", metavar="STANDOFF", help='Take this standoff instead of the one read, such as "11 3/4 in".')
@click.option("--rounds", is_flag=True, help="Show every round of readings, not the last alone.")
@click.pass_context
def command(ctx: click.Context, job: Path, as_json: bool, at: str | None, rounds: bool) -> None:
    """Say where the loader's axis lies, which foot goes up or down by how much, and what comes next.

    Exit status: 0 in line, 1 not in line, 3 in line only if measured better, 2 the input cannot be used or does not tell.
    """
    try:
        answer = level_of_file(job, at=at)
    except StandoffError as error:
        if not as_json:
            raise
        click.echo(errors_json(error))
        ctx.exit(exit_status(error))
    click.echo(level_json(answer) if as_json else level_text(answer, every_round=rounds))
    ctx.exit(STATUS[answer.outcome])
