"""The run-off: from a job file, or a job with its log, to the answer as text or for other programs."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from standoff import __version__
from standoff.desk.block import block
from standoff.desk.sheet import Shelf
from standoff.errors import JobFileError
from standoff.job.file import placed, read_job
from standoff.job.job import Job
from standoff.job.placement import place
from standoff.job.refusal import as_json
from standoff.job.runoff import Runoff, RunStanding, runoff_of
from standoff.job.runoff_answer import runoff_contents
from standoff.job.runoff_log import Line, told_of
from standoff.job.runoff_measure_speech import (
    alarm_lines,
    change_lines,
    length_lines,
    remnant_lines,
    signal_lines,
    signal_sentence,
)
from standoff.job.runoff_plan import bar_limits_rpm
from standoff.job.runoff_speech import (
    CAUTION,
    headline,
    interval_line,
    notice_lines,
    open_lines,
    plan_line,
    proof_lines,
    run_sentence,
    run_title,
    stop_lines,
)
from standoff.site.acceptance import Decision

STATUS = {Decision.ACCEPTED: 0, Decision.FAILED: 1, Decision.NOT_YET: 3}
"""The exit status that says the decision."""


_LIMITS: Shelf[dict[str, dict[str, float]]] = Shelf(most=64)
"""What whip leaves the bars of job files, by their text: bars are tapped in much faster than this is worked out."""


def runoff_of_job(job: Job, log: Sequence[Line] = (), *, text: str | None = None) -> Runoff:
    """The run-off of a job and its log, with the loader where it was left after anchoring, or else at the aim.

    `text`: the job file's, where the same job will be asked for again.
    """
    stood = job.tables.as_installed
    placement = place(job, asked_mm=None if stood is None else stood.standoff[0].value_mm)
    limits_rpm = None if text is None else _LIMITS.get(text, 0, lambda: bar_limits_rpm(placement))
    return runoff_of(placement, told_of(job, log), limits_rpm)


def runoff_of_file(path: Path) -> Runoff:
    """The run-off of a job file."""
    try:
        return runoff_of_job(read_job(path))
    except JobFileError as error:
        raise placed(error, path) from None


def runoff_json(runoff: Runoff) -> str:
    """The answer for other programs."""
    return as_json(runoff_contents(runoff, program=__version__))


def runoff_text(runoff: Runoff, *, plan_only: bool, signals: bool) -> str:
    """The answer as text: the sentence, each run, stops, signals; with `plan_only` what is agreed and what it proves."""
    job = runoff.job
    lines = [f"{job.title}{', ' + job.site if job.site else ''}: {job.lathe} with {job.loader}"]
    lines += [] if plan_only else [headline(runoff)]
    table = job.tables.runoff
    if table is not None and (table.agreed_by or table.agreed_on):
        by = f" by {table.agreed_by}" if table.agreed_by else ""
        on = f" on {table.agreed_on}" if table.agreed_on else ""
        lines.append(f"Agreed{by}{on}.")
    for run in runoff.runs:
        lines += ["", run_title(run), *(f"  {line}" for line in ([] if plan_only else [run_sentence(run)]))]
        lines += block("The plan", (plan_line(run.plan), *proof_lines(run.plan)), "  ")
        lines += [] if plan_only else _measured(run, runoff)
    if not plan_only:
        lines += _whole(runoff)
    if signals:
        lines += ["", *block("Signals to test", signal_lines(runoff))]
    notices = block("Mind", notice_lines(runoff))
    return "\n".join([*lines, *([""] if notices else []), *notices, "", CAUTION])


def _measured(run: RunStanding, runoff: Runoff) -> list[str]:
    units = runoff.job.units
    blocks = {
        "What the bars show": (interval_line(run),),
        "Remnant": remnant_lines(run, units),
        "Parts": length_lines(run, units),
        "Bar change": change_lines(run),
    }
    return [line for heading, told in blocks.items() for line in block(heading, told, "  ")]


def _whole(runoff: Runoff) -> list[str]:
    """What belongs to no run alone."""
    lines = [""]
    lines += block("Stops by cause", stop_lines(runoff)) or ["No stops."]
    lines += [signal_sentence(runoff), *block("Alarms to provoke", alarm_lines(runoff))]
    return lines + block("Still open", open_lines(runoff))
