"""Bar speed as a page shows it: every bar in a line, the chosen one with its reasons, and what is still wanted.

The answer is worked out once for a revision (`Speeds`): it takes up to a second or two.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from standoff.desk.sheet import Sheet, Shelf
from standoff.desk.speed_inputs import Inputs, inputs_of
from standoff.desk.speed_tables import BarRow, LinerRow, RampRow, StageRow, bar_row, liner_rows, ramp_rows, stage_rows
from standoff.desk.walk import Form, form_of
from standoff.desk.wanted import Wanted, wanted_of
from standoff.draw.elevation import Arrangement
from standoff.draw.force_gauge import force_gauge
from standoff.draw.speed_chart import speed_chart
from standoff.draw.svg import svg
from standoff.errors import StandoffError
from standoff.job.bar_guide import BAR_TABLES
from standoff.job.guide import walk_of
from standoff.job.job import Job
from standoff.job.placement import place
from standoff.job.speed import BarSpeed, SpeedAnswer, Verdict, bar_speed, wanting
from standoff.job.speed_speech import (
    CAUTION,
    beside_lines,
    change_lines,
    headline,
    limit_lines,
    ramp_line,
    sentence,
    step_lines,
    worst_line,
)
from standoff.units import Units

__all__ = ["CAUTION", "SpeedView", "Speeds", "speed_form", "speed_to_go", "speed_view"]

MOST_KEPT = 64


@dataclass(frozen=True, slots=True)
class Sign:
    """A verdict on a bar: how it is coloured, its mark, and its word; the mark and the word say it without colour."""

    kind: str
    mark: str
    word: str


SIGNS = {
    Verdict.NO_PASSAGE: Sign("clash", "✗", "Does not pass"),
    Verdict.NO_FORCE: Sign("clash", "✗", "No feed force serves"),
    Verdict.TOO_FAST: Sign("clash", "✗", "Above its lowest limit"),
    Verdict.SHAKEN: Sign("clash", "✗", "Its edges excite it"),
    Verdict.WRONG_FORCE: Sign("clash", "✗", "Feed force set outside"),
    Verdict.NO_SPEED: Sign("unsure", "?", "No speed stated"),
    Verdict.WITHIN: Sign("fits", "✓", "Below its lowest limit"),
}


@dataclass(frozen=True, slots=True)
class BarLink:
    """A bar of the list, to be chosen."""

    name: str
    sign: Sign
    chosen: bool


@dataclass(frozen=True, slots=True)
class Charts:
    """The pictures of a bar that turns: its speed over what is left of it, and where its feed force lies."""

    wide: str
    narrow: str
    gauge_wide: str
    gauge_narrow: str


@dataclass(frozen=True, slots=True)
class BarView:
    """The chosen bar. Of one that does not pass there are neither pictures nor limits, only what does not pass."""

    number: int
    name: str
    sign: Sign
    sentence: str
    charts: Charts | None
    worst: str
    nearer: str
    limits: tuple[str, ...]
    steps: tuple[str, ...]
    liners: tuple[LinerRow, ...]
    stages: tuple[StageRow, ...]
    buckles: str
    changes: tuple[str, ...]
    beside: tuple[str, ...]
    ramp: tuple[RampRow, ...]
    ramp_how: str
    inputs: Inputs


@dataclass(frozen=True, slots=True)
class SpeedView:
    """The answer part of the page: either the bars, or what is wanted, or why the physics refused."""

    headline: str
    placed: bool
    bars: tuple[BarLink, ...]
    rows: tuple[BarRow, ...]
    chosen: BarView | None
    wanted: tuple[Wanted, ...]
    refused: str


class Speeds:
    """What bar speed says of revisions: worked out once for each."""

    def __init__(self) -> None:
        self._kept = Shelf[SpeedAnswer | StandoffError](most=MOST_KEPT)

    def of(self, sheet: Sheet, job: Job) -> SpeedAnswer | StandoffError:
        """The answer for a revision, or what the physics refuses in it."""
        return self._kept.get(sheet.job_id, sheet.number, lambda: _answer(job))


def _answer(job: Job) -> SpeedAnswer | StandoffError:
    try:
        return bar_speed(place(job))
    except StandoffError as refused:
        return refused


def speed_form(sheet: Sheet) -> Form:
    """The fields that bar speed asks for, at a revision."""
    return form_of(sheet, "speed")


def speed_to_go(sheet: Sheet) -> int:
    """How much bar speed still wants of a job that has begun with it; 0 for one that has not."""
    if sheet.job is None:
        return sum(problem.code == "key-missing" and walk_of(problem.field) == "speed" for problem in sheet.problems)
    return len(_wanted(sheet, sheet.job)) if any(key in sheet.raw for key in BAR_TABLES) else 0


def speed_view(sheet: Sheet, speeds: Speeds, *, bar: str = "", number: int = 0) -> SpeedView | None:
    """The answer at a revision, with the bar of that name, or else of that number; None while there is no placement."""
    job = sheet.job
    if job is None:
        return None
    if wanted := _wanted(sheet, job):
        return SpeedView("", True, (), (), None, wanted, "")
    answer = speeds.of(sheet, job)
    if isinstance(answer, StandoffError):
        return SpeedView("", True, (), (), None, (), str(answer))
    named = [i for i, one in enumerate(answer.bars) if one.bar.name == bar]
    chosen = named[0] if named else min(number, len(answer.bars) - 1)
    return SpeedView(
        headline=headline(answer),
        placed=answer.placed,
        bars=tuple(BarLink(one.bar.name, _sign(one, answer), i == chosen) for i, one in enumerate(answer.bars)),
        rows=tuple(bar_row(one, job.units) for one in answer.bars),
        chosen=_bar_view(chosen, answer, sheet),
        wanted=(),
        refused="",
    )


def _sign(one: BarSpeed, answer: SpeedAnswer) -> Sign:
    """The verdict on a bar; where the pair does not fit, a good one is only for judging changes."""
    found = SIGNS[one.verdict]
    return found if answer.placed or found.kind != "fits" else Sign("unsure", "?", f"{found.word}, but the pair does not fit")


def _bar_view(number: int, answer: SpeedAnswer, sheet: Sheet) -> BarView:
    one = answer.bars[number]
    units = answer.job.units
    turns = bool(one.courses)
    return BarView(
        number=number,
        name=one.bar.name,
        sign=_sign(one, answer),
        sentence=sentence(one, units),
        charts=_charts(one, units) if turns else None,
        worst=worst_line(one, units) if turns else "",
        nearer=one.nearer or "",
        limits=limit_lines(one) if turns else (),
        steps=step_lines(one, units) if turns else (),
        liners=liner_rows(one, units),
        stages=stage_rows(one, units),
        buckles=one.pushing.buckling.where if one.pushing is not None else "",
        changes=change_lines(one) if turns else (),
        beside=beside_lines(one, units) if turns else (),
        ramp=ramp_rows(one) if turns else (),
        ramp_how=ramp_line(one).partition(" rpm. ")[2] if turns else "",
        inputs=inputs_of(one, answer, sheet.raw),
    )


def _charts(one: BarSpeed, units: Units) -> Charts:
    def chart(arrangement: Arrangement) -> str:
        return svg(speed_chart(one, units=units, arrangement=arrangement), standalone=False)

    def gauge(arrangement: Arrangement) -> str:
        return svg(force_gauge(one, units, arrangement=arrangement), standalone=False)

    return Charts(chart("wide"), chart("narrow"), gauge("wide"), gauge("narrow"))


def _wanted(sheet: Sheet, job: Job) -> tuple[Wanted, ...]:
    """What bar speed still wants: keys that are missing or wrong, and what the job does not have at all."""
    # A job whose bars are incomplete stands without them: what there is of them is in the draft.
    whole = replace(job, tables=sheet.draft) if sheet.draft is not None else job
    problems = (*sheet.left_out(*BAR_TABLES), *wanting(whole))
    return tuple(wanted_of(problem, sheet) for problem in {(p.field, p.expected): p for p in problems}.values())
