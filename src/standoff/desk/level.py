"""Levelling: from a job file to the answer as text or for other programs."""

from __future__ import annotations

from pathlib import Path

from standoff import __version__
from standoff.desk.block import block
from standoff.desk.placement import placement_of_file
from standoff.errors import JobFileError, Problem
from standoff.job.level_answer import level_contents
from standoff.job.level_cautions import LEVEL_CAUTIONS, caution_line
from standoff.job.level_lines import (
    axis_lines,
    expected_heading,
    foot_lines,
    height_line,
    mind_lines,
    reading_lines,
    round_title,
    screw_lines,
    standoff_line,
    tightening_lines,
    tolerance_line,
    work_lines,
)
from standoff.job.level_plausible import level_questions
from standoff.job.level_speech import headline, spoken
from standoff.job.levels import Level, Outcome, Round, level_of, moves_wanted
from standoff.job.refusal import as_json

STATUS = {Outcome.IN_LINE: 0, Outcome.NOT: 1, Outcome.BETTER: 3, Outcome.UNDECIDED: 3}
"""The exit status that says how the axis lies; what is not told is refused."""


def level_of_file(path: Path, *, at: str | None = None) -> Level:
    """Levelling by a job file.

    Raises: JobFileError where nothing was read, or where the last round does not tell where the loader lies.
    """
    level = level_of(placement_of_file(path, at=at))
    last, file = level.last, str(path)
    if last is None:
        found, action = "no readings", "write [[levels]] and [[sweeps]] or [[line_readings]]"
        raise JobFileError([Problem("level-open", file, None, "levels", found, "readings of a round", action)])
    if last.lacking is not None:
        told = last.lacking
        found = f"round {last.number}: {told.what} {told.given}"
        raise JobFileError([Problem("level-open", file, None, "levels", found, told.allowed, told.action)])
    return level


def level_json(level: Level) -> str:
    """The answer for other programs."""
    return as_json(level_contents(level, program=__version__))


def level_text(level: Level, *, every_round: bool = False) -> str:
    """The answer as text: how the axis lies, what to move, what will be left, and the order of work; the last round or all."""
    job = level.job
    shown = level.rounds if every_round else level.rounds[-1:]
    lines = [
        f"{job.title}{', ' + job.site if job.site else ''}: {job.lathe} with {job.loader}",
        f"{headline(level)}.",
        spoken(level),
        "",
        height_line(level),
        standoff_line(level),
        tolerance_line(level.ground.tolerances, job.units),
    ]
    lines += _apart("Was this meant?", tuple(question.sentence for question in level_questions(level)))
    for one in shown:
        lines += ["", round_title(one), *_of_round(level, one)]
    lines += _apart("What tightening changed", tightening_lines(level))
    lines += _apart("Order of work", work_lines(level))
    return "\n".join([*lines, "", *(caution_line(caution) for caution in LEVEL_CAUTIONS)])


def _of_round(level: Level, one: Round) -> list[str]:
    units = level.job.units
    lines = block("Axis against the spindle's", axis_lines(one.now, units) if one.now is not None else (), "  ")
    lines += block("Readings", reading_lines(one), "  ")
    lines += block("To mind", mind_lines(level, one), "  ")
    plan = one.plan
    if plan is None or not moves_wanted(level, one):
        return lines
    lines += block("Feet", foot_lines(level, plan), "  ")
    lines += block("Then the side screws", screw_lines(level, plan), "  ")
    return lines + block(expected_heading(plan), axis_lines(plan.expected, units), "  ")


def _apart(heading: str, lines: tuple[str, ...]) -> list[str]:
    """A block with an empty line before it."""
    found = block(heading, lines)
    return ["", *found] if found else []
