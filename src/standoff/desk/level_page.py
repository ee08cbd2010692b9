"""Levelling as a page shows it: how the axis lies, what to move, round by round, and the order of work.

The answer is worked out once for a revision (`Levels`), from everything that is told in full (`level_job`).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from standoff.desk.drawn import Drawn
from standoff.desk.level_form import begun, level_form, level_to_go, next_round
from standoff.desk.level_job import LevelJob, level_job
from standoff.desk.level_pictures import frame_from_above, frame_from_the_side, residuals
from standoff.desk.level_rows import (
    GRADE_SIGNS,
    OUTCOMES,
    AxisRow,
    ChangeRow,
    MoveRow,
    WorkRow,
    axis_rows,
    change_rows,
    foot_rows,
    on_page,
    screw_rows,
    work_rows,
)
from standoff.desk.sheet import Sheet, Shelf
from standoff.desk.speed_page import Sign
from standoff.desk.wanted import Wanted, wanted_field, wanted_of
from standoff.errors import StandoffError
from standoff.job.caution import Caution
from standoff.job.level_cautions import LEVEL_CAUTIONS
from standoff.job.level_lines import (
    expected_heading,
    height_line,
    mind_lines,
    reading_lines,
    round_title,
    standoff_line,
    tolerance_line,
)
from standoff.job.level_plausible import LevelQuestion, level_questions
from standoff.job.level_speech import spoken, worst_line
from standoff.job.levels import Level, Outcome, Round, level_of, moves_wanted
from standoff.job.placement import place

__all__ = [
    "LEVEL_CAUTIONS",
    "LevelView",
    "Levels",
    "begun",
    "level_form",
    "level_to_go",
    "level_view",
    "next_round",
]

MOST_KEPT = 64
HEIGHT_UNTOLD = "Centre height: not checked, for the survey lacks the height of the spindle's axis or the range of the loader's."


@dataclass(frozen=True, slots=True)
class RoundLink:
    """A round in the list, to be chosen."""

    number: int
    title: str
    sign: Sign
    chosen: bool


@dataclass(frozen=True, slots=True)
class RoundView:
    """One round. `feet` and `screws` are empty where nothing is to be moved or it is not told; then `expected` is too."""

    number: int
    title: str
    lacking: str
    above: Drawn | None
    side: Drawn | None
    chart: Drawn | None
    chart_expected: Drawn | None
    feet: tuple[MoveRow, ...]
    screws: tuple[MoveRow, ...]
    shimmed: bool
    now: tuple[AxisRow, ...]
    expected: tuple[AxisRow, ...]
    readings: tuple[str, ...]
    mind: tuple[str, ...]
    expected_heading: str = ""


@dataclass(frozen=True, slots=True)
class LevelView:
    """The answer part of the page. `half_told` is left out, `asked` hardly meant; `refused`: why there is none at all."""

    sign: Sign
    headline: str
    spoken: str
    height: str
    height_sign: Sign
    standoff: str
    tolerances: str
    rounds: tuple[RoundLink, ...]
    last: str
    shown: int
    chosen: RoundView
    work: tuple[WorkRow, ...]
    tightened: tuple[ChangeRow, ...]
    cautions: tuple[Caution, ...]
    half_told: tuple[Wanted, ...]
    asked: tuple[Wanted, ...]
    refused: str


class Levels:
    """What levelling says of revisions: worked out once for each."""

    def __init__(self) -> None:
        self._kept = Shelf[tuple[LevelJob, Level | StandoffError] | None](most=MOST_KEPT)

    def of(self, sheet: Sheet) -> tuple[LevelJob, Level | StandoffError] | None:
        """The answer at a revision, or what is refused in it; None while there is no placement."""
        return self._kept.get(sheet.job_id, sheet.number, lambda: _answer(sheet))


def _answer(sheet: Sheet) -> tuple[LevelJob, Level | StandoffError] | None:
    told = level_job(sheet)
    if told is None:
        return None
    try:
        return told, level_of(place(told.job))
    except StandoffError as refused:
        return told, refused


def level_view(sheet: Sheet, levels: Levels, *, number: int = 0) -> LevelView | None:
    """The answer at a revision with the round of that number, or else the last; None while there is no placement."""
    found = levels.of(sheet)
    if found is None:
        return None
    told, level = found
    half_told = tuple(wanted_of(problem, sheet) for problem in told.problems)
    if isinstance(level, StandoffError):
        return _refused(str(level), half_told)
    rounds = {one.number: one for one in level.rounds}
    chosen = rounds.get(number, level.last)
    return LevelView(
        sign=OUTCOMES[level.outcome],
        headline=_headline(level),
        spoken=on_page(told.in_whole(spoken(level), level.last.taken if level.last is not None else ())),
        height=HEIGHT_UNTOLD if level.ground.height is None else height_line(level),
        height_sign=_height_sign(level),
        standoff=standoff_line(level),
        tolerances=tolerance_line(level.ground.tolerances, level.job.units),
        rounds=tuple(_link(one, chosen=one is chosen) for one in level.rounds),
        last="" if level.last is None else round_title(level.last),
        shown=number if chosen is not None and chosen.number == number and chosen is not level.last else 0,
        chosen=_round_view(level, chosen, told),
        work=work_rows(level),
        tightened=change_rows(level) if chosen is level.last else (),
        cautions=LEVEL_CAUTIONS,
        half_told=half_told,
        asked=tuple(_asked(question, told, sheet) for question in level_questions(level)),
        refused="",
    )


def _refused(why: str, half_told: tuple[Wanted, ...]) -> LevelView:
    """The view where the tables cannot be used as they stand."""
    sign = OUTCOMES[Outcome.UNTOLD]
    empty = RoundView(0, "", "", None, None, None, None, (), (), False, (), (), (), ())
    return LevelView(sign, "", "", "", sign, "", "", (), "", 0, empty, (), (), LEVEL_CAUTIONS, half_told, (), why)


def _asked(question: LevelQuestion, told: LevelJob, sheet: Sheet) -> Wanted:
    """A question with the field it is about; what follows from many leads to the moves."""
    if not question.field:
        return Wanted("level", "level-moves", "the moves", question.text[:1].upper() + question.text[1:])
    return replace(wanted_field(told.field_in_whole(question.field), sheet), why=question.text)


def _headline(level: Level) -> str:
    """The worst place that was read in the last round, beside the verdict; empty where nothing tells it."""
    last = level.last
    if last is None or last.now is None:
        return ""
    return f"{round_title(last)}: {worst_line(last.now, level.job.units)}."


def _height_sign(level: Level) -> Sign:
    height = level.ground.height
    return OUTCOMES[Outcome.UNTOLD] if height is None else GRADE_SIGNS[height.grade]


def _link(one: Round, *, chosen: bool) -> RoundLink:
    sign = OUTCOMES[Outcome.UNTOLD] if one.now is None else GRADE_SIGNS[one.now.grade]
    return RoundLink(one.number, round_title(one), sign, chosen)


def _round_view(level: Level, one: Round | None, told: LevelJob) -> RoundView:
    """A round with its pictures; without one the frame alone."""
    if one is None:
        above, side = frame_from_above(level, None, None), frame_from_the_side(level, None, None)
        return RoundView(0, "", "", above, side, None, None, (), (), False, (), (), (), ())
    plan = one.plan if moves_wanted(level, one) else None
    units, tolerances = level.job.units, level.ground.tolerances
    pose = one.alignment.pose if one.alignment is not None else None
    chart = None
    if pose is not None and one.now is not None:
        chart = residuals(level, pose, one.now, title=f"{round_title(one)}: where the axis lies")
    chart_expected = None
    if plan is not None:
        chart_expected = residuals(level, plan.after, plan.expected, title=f"{round_title(one)}: what these moves should leave")
    return RoundView(
        number=one.number,
        title=round_title(one),
        lacking="" if one.lacking is None else one.lacking.action,
        above=frame_from_above(level, one, plan),
        side=frame_from_the_side(level, one, plan),
        chart=chart,
        chart_expected=chart_expected,
        feet=() if plan is None else foot_rows(level, plan),
        screws=() if plan is None else screw_rows(level, plan),
        shimmed=level.ground.means.step_mm is not None,
        now=() if one.now is None else axis_rows(one.now, tolerances, units),
        expected=() if plan is None else axis_rows(plan.expected, tolerances, units),
        readings=tuple(on_page(told.in_whole(line, one.taken)) for line in reading_lines(one)),
        mind=tuple(on_page(line) for line in mind_lines(level, one)),
        expected_heading="" if plan is None else expected_heading(plan),
    )
