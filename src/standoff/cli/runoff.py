"""`standoff runoff JOB`: does it run by itself: what was agreed, what that proves, and how the tally stands."""

from __future__ import annotations

from pathlib import Path

import click

from standoff.cli.refused import refused
from standoff.desk.runoff import STATUS, runoff_json, runoff_of_file, runoff_text


@click.command("runoff")
@click.argument("job", type=click.Path(path_type=Path))
@click.option("--json", "as_json", is_flag=True, help="Print the answer for other programs.")
@click.option("--plan-only", is_flag=True, help="Print what is agreed and what passing it proves; exit status 0.")
@click.option("--signals", is_flag=True, help="Print the signal test sheet with its results, too.")
@click.pass_context
def command(ctx: click.Context, job: Path, as_json: bool, plan_only: bool, signals: bool) -> None:
    """Say how the run-off stands, and what passing it proves.

    Exit status: 0 accepted, 1 not passed, 3 not decided yet, 2 the input cannot be used.
    """
    with refused(ctx, as_json=as_json):
        runoff = runoff_of_file(job)
    click.echo(runoff_json(runoff) if as_json else runoff_text(runoff, plan_only=plan_only, signals=signals))
    ctx.exit(0 if plan_only else STATUS[runoff.decision])
