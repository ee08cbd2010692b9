"""What the commands about a job share: an input that cannot be used answered as JSON, and a drawing kept off the job file."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import click

from standoff.desk.jobs import errors_json
from standoff.errors import StandoffError, exit_status


@contextmanager
def refused(ctx: click.Context, *, as_json: bool) -> Iterator[None]:
    """Answer an input that cannot be used as JSON where JSON was asked for; else the group says it in words."""
    try:
        yield
    except StandoffError as error:
        if not as_json:
            raise
        click.echo(errors_json(error))
        ctx.exit(exit_status(error))


def kept_off(job: Path, svg_file: Path | None, *, what: str = "drawing") -> None:
    """Refuse a drawing that would replace the job file."""
    if svg_file is not None and svg_file.resolve() == job.resolve():
        raise click.UsageError(f"--svg names the job file, which the {what} would replace: give the {what} another name.")
