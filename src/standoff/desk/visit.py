"""The return visit: from a job file with what was read again to the dimension that has changed."""

from __future__ import annotations

from pathlib import Path

from standoff import __version__
from standoff.job.caution import LOCKOUT
from standoff.job.file import read_job
from standoff.job.refusal import as_json
from standoff.job.visit import Visit, diagnose_visit
from standoff.job.visit_speech import visit_contents, visit_lines


def visit_of_file(path: Path) -> Visit:
    """The diagnosis of a job file's return visit."""
    return diagnose_visit(read_job(path))


def visit_text(visit: Visit) -> str:
    """The diagnosis as text, with the caution."""
    return "\n".join([visit.job.title, *visit_lines(visit), "", LOCKOUT])


def visit_json(visit: Visit) -> str:
    """The diagnosis for other programs."""
    return as_json(visit_contents(visit, program=__version__))
