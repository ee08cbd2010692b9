"""Jobs as files: check one, begin one, take one of the demonstration jobs."""

from __future__ import annotations

from pathlib import Path

from standoff.errors import JobFileError, MissingFileError, StandoffError, UnwritableFileError
from standoff.job.caution import Caution
from standoff.job.demonstration import NAMES, text_of
from standoff.job.file import decoded, read_job
from standoff.job.plausible import implausible
from standoff.job.refusal import as_json, refusal
from standoff.job.template import Headstock, template
from standoff.units import Units

DEMONSTRATIONS = NAMES


def questions_about(path: Path) -> tuple[str, tuple[Caution, ...]]:
    """The title of the job in a file, and what is implausible in it; raises JobFileError where it cannot be used."""
    job = read_job(path)
    return job.title, implausible(job)


def errors_json(error: StandoffError | None = None) -> str:
    """An unusable input for other programs; None: nothing is wrong."""
    if error is None:
        return as_json(refusal(()))
    if isinstance(error, JobFileError):
        return as_json(refusal(error.problems))
    file = error.file if isinstance(error, MissingFileError | UnwritableFileError) else ""
    return as_json(refusal([error.problem(file=file)]))


def new_job(headstock: Headstock, units: Units) -> str:
    """A job file to fill in."""
    return template(headstock, units)


def demonstration(name: str) -> str:
    """The text of a demonstration job."""
    return text_of(name)


def text_of_bytes(raw: bytes, *, file: str) -> str:
    """The text of a job file that was sent; raises JobFileError where it is too large or not UTF-8."""
    return decoded(raw, file=file)
