"""Place: from a job file to the answer, for other programs or as a drawing."""

from __future__ import annotations

from pathlib import Path

from standoff import __version__
from standoff.draw.elevation import Arrangement
from standoff.draw.sheet import sheet
from standoff.draw.svg import svg
from standoff.errors import QuantityError, UsageError
from standoff.job.advice import Advice, advise
from standoff.job.answer import answer
from standoff.job.file import parse_job, read_job
from standoff.job.placement import Placement, Verdict, place
from standoff.job.refusal import as_json
from standoff.units import parse_length

STATUS = {Verdict.FITS: 0, Verdict.NOT: 1, Verdict.BETTER: 3}
"""The exit status that says the verdict."""


def placement_of_file(path: Path, *, at: str | None = None) -> Placement:
    """The placement of a job file, judged at its aim or at the standoff typed in `at`."""
    asked_mm = _typed_mm(at, "--at")
    return place(read_job(path), asked_mm=asked_mm)


def placement_of_text(text: str, *, file: str = "") -> Placement:
    """The placement of a job file's text."""
    return place(parse_job(text, file=file))


def advice_on(placement: Placement, *, wanted: str | None = None) -> Advice:
    """What to measure or change; `wanted` is the width the window should have, as typed."""
    wanted_mm = _typed_mm(wanted, "--wanted") or 0.0
    if wanted_mm < 0.0:
        raise UsageError(what="--wanted", given=str(wanted), allowed="a width of 0 or more", action="write it without the sign")
    return advise(placement, wanted_mm=wanted_mm)


def _typed_mm(text: str | None, option: str) -> float | None:
    """A length typed behind an option; raises QuantityError, which names the option. [mm]"""
    try:
        return None if text is None else float(parse_length(text))
    except QuantityError as error:
        raise error.within(option) from error


def answer_json(placement: Placement, advice: Advice) -> str:
    """The answer for other programs."""
    return as_json(answer(placement, advice, program=__version__))


def drawing(placement: Placement, *, mode: str | None = None, state: str | None = None, arrangement: Arrangement = "wide") -> str:
    """The sheet with sentence, elevation and conditions, as SVG."""
    return svg(sheet(placement, mode=mode, state=state, arrangement=arrangement), standalone=True)
