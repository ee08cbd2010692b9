"""Bar speed: from a job file to the answer as text, for other programs, or as a chart."""

from __future__ import annotations

from pathlib import Path

from standoff import __version__
from standoff.desk.block import block
from standoff.desk.placement import placement_of_file
from standoff.draw.elevation import Arrangement
from standoff.draw.speed_chart import speed_chart
from standoff.draw.svg import svg
from standoff.errors import JobFileError, UsageError, write_instead
from standoff.job.file import placed
from standoff.job.refusal import as_json
from standoff.job.speed import BarSpeed, SpeedAnswer, bar_speed
from standoff.job.speed_answer import speed_contents
from standoff.job.speed_speech import (
    CAUTION,
    beside_lines,
    change_lines,
    headline,
    limit_lines,
    liner_lines,
    ramp_line,
    sentence,
    stage_line,
    step_lines,
    worst_line,
)
from standoff.units import Units


def speed_of_file(path: Path, *, at: str | None = None) -> SpeedAnswer:
    """The bar speeds of a job file, at the standoff aimed at or the one typed in `at`."""
    try:
        return bar_speed(placement_of_file(path, at=at))
    except JobFileError as error:
        raise placed(error, path) from error


def bar_named(answer: SpeedAnswer, name: str | None) -> BarSpeed:
    """The bar with that name, or the first; raises UsageError, naming those there are."""
    if name is None:
        return answer.bars[0]
    for one in answer.bars:
        if one.bar.name == name:
            return one
    names = [one.bar.name for one in answer.bars]
    raise UsageError(what="--bar", given=f'"{name}"', allowed="a bar of this job", action=write_instead(name, names))


def speed_json(answer: SpeedAnswer) -> str:
    """The answer for other programs."""
    return as_json(speed_contents(answer, program=__version__))


def speed_drawing(one: BarSpeed, units: Units, *, arrangement: Arrangement) -> str:
    """The chart of one bar as SVG; raises UsageError for a bar that has no speed."""
    if not one.courses:
        action = "make it pass first: `standoff speed` without --svg says what is missing"
        raise UsageError(
            what="--svg", given=f'the bar "{one.bar.name}", which does not pass', allowed="a bar that turns", action=action
        )
    return svg(speed_chart(one, units=units, arrangement=arrangement), standalone=True)


def speed_text(answer: SpeedAnswer, shown: tuple[BarSpeed, ...]) -> str:
    """The answer as text: every bar in a sentence, then each shown bar with its reasons."""
    job, units = answer.job, answer.job.units
    lines = [f"{job.title}{', ' + job.site if job.site else ''}: {job.lathe} with {job.loader}", headline(answer) + "."]
    lines += [sentence(one, units) for one in answer.bars]
    for one in shown:
        lines += ["", one.bar.name, *_bar_lines(one, units)]
    return "\n".join([*lines, "", CAUTION])


def _bar_lines(one: BarSpeed, units: Units) -> list[str]:
    """Everything said of one bar, in blocks."""
    if not one.courses or one.pushing is None:
        return block("Liners", liner_lines(one, units), "  ")
    nearer = f"Nearer its limit is the {one.nearer}." if one.nearer else ""
    return [
        *(f"  {line}" for line in (worst_line(one, units), nearer) if line),
        *block("Limits", limit_lines(one), "  "),
        *block("Speed limit by what is left of the bar", step_lines(one, units), "  "),
        *block("Liners", liner_lines(one, units), "  "),
        *block(
            f"Feed force (it would buckle first {one.pushing.buckling.where})",
            tuple(stage_line(stage, units) for stage in one.pushing.stages),
            "  ",
        ),
        *block("What would change the critical speed", change_lines(one), "  "),
        *block("To mind", (*beside_lines(one, units), ramp_line(one)), "  "),
    ]
