"""The order of work at the loader, held against what was read: what is done, what comes next, and why.

The tasks are `site.order.TASKS`. Nothing is taken as done that no reading or remark of the job tells; what was read out of
tolerance sends the work back to the task that mends it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from standoff.job.levels import Level, Round
from standoff.job.moving import Move, move
from standoff.reading import Reading
from standoff.site.levelling import Verdict
from standoff.site.order import TASKS, Task
from standoff.site.tolerance import Grade

State = Literal["done", "to do", "fails", "not told"]


@dataclass(frozen=True, slots=True)
class WorkItem:
    """One task, how it stands, and why, in a few words (empty where there is nothing to say)."""

    task: Task
    state: State
    why: str

    @property
    def done(self) -> bool:
        """Whether nothing is left of it."""
        return self.state == "done"


@dataclass(frozen=True, slots=True)
class StandoffAgain:
    """The standoff as read after moving: in which round, and what that means for the placement (None: no standoff serves)."""

    round_number: int
    reading: Reading
    move: Move | None


def work_of(level: Level) -> tuple[WorkItem, ...]:
    """Every task in its order, and how it stands."""
    return tuple(WorkItem(task, *_STATES[task.id](level)) for task in TASKS)


def next_of(items: tuple[WorkItem, ...]) -> WorkItem | None:
    """The task that comes next; None where all is done."""
    return next((item for item in items if not item.done), None)


def standoff_again(level: Level) -> StandoffAgain | None:
    """The standoff as it was read last after a move or after tightening; None where it was not."""
    for one in reversed(level.rounds):
        if one.stage != "as found" and one.standoff is not None:
            found = one.standoff
            return StandoffAgain(one.number, found, move(level.placement, standoff_mm=found.value_mm))
    return None


Told = tuple[State, str]


def _before_tightening(level: Level) -> Round | None:
    """The last round that was taken before anything was tightened for good."""
    return next((one for one in reversed(level.rounds) if one.stage != "tightened"), None)


def _tightened(level: Level) -> Round | None:
    last = level.last
    return last if last is not None and last.stage == "tightened" else None


def _height(level: Level) -> Told:
    height = level.ground.height
    if height is None:
        return "not told", "the survey lacks the spindle's height or the loader's range"
    if height.grade == "outside":
        return "fails", "the spindle lies outside the loader's range of heights"
    return "done", "" if height.grade == "within" else "close to the end of the range"


def _bear(level: Level) -> Told:
    told = [one.told.feet_bear for one in level.rounds if one.told is not None and one.told.feet_bear is not None]
    if not told:
        return "not told", "not said whether every foot bears"
    return ("done", "") if told[-1] else ("fails", "a foot does not bear")


def _upright(level: Level) -> Told:
    one = _before_tightening(level)
    if one is None or one.now is None:
        return "not told", "roll and height are not read yet"
    return _set([one.now.roll.grade, *(residual.upright for residual in one.now.residuals)])


def _sideways(level: Level) -> Told:
    one = _before_tightening(level)
    if one is None or one.now is None or not one.sideways_read:
        return "not told", "sideways is not read yet"
    return _set([residual.sideways for residual in one.now.residuals if residual.sideways is not None])


def _set(grades: list[Grade]) -> Told:
    """Whether feet or screws are left as they are: what hangs on a travel not read yet is read again before it is moved by."""
    read: list[Grade] = [grade for grade in grades if grade != "not decided"]
    state, why = _graded(read)
    return state, "as far as it was read" if state == "done" and len(read) < len(grades) else why


def _graded(grades: list[Grade]) -> Told:
    if "outside" in grades:
        return "to do", "outside its tolerance"
    if "not decided" in grades:
        return "to do", "not decided: a travel was read at one end only"
    if "within if measured better" in grades:
        return "to do", "within only if measured better"
    return "done", ""


def _again(level: Level) -> Told:
    one = _before_tightening(level)
    if one is None or one.stage != "moved" or one.now is None:
        return "to do", ""
    if level.read_at_one_position(one):
        return "to do", f"read with the {' and the '.join(level.read_at_one_position(one))} at one end of the travel only"
    state, why = _graded(grades_of(one.now))
    if state == "done" and one.alignment is not None and not one.alignment.fit.consistent:
        return "to do", "the readings contradict one another"
    return state, why


def grades_of(verdict: Verdict) -> list[Grade]:
    """Every grade of a verdict: roll, then upright and sideways at each point."""
    pairs = [(residual.upright, residual.sideways) for residual in verdict.residuals]
    return [verdict.roll.grade, *(one for pair in pairs for one in pair if one is not None)]


def _standoff(level: Level) -> Told:
    again = standoff_again(level)
    if again is None:
        return "to do", "not read since the loader was moved" if len(level.rounds) > 1 else ""
    if again.move is None or not again.move.done:
        return "fails", f"{again.reading.text} no longer serves"
    return "done", again.reading.text


def _anchor(level: Level) -> Told:
    drilled = any(one.told is not None and one.told.drilled for one in level.rounds)
    return ("done", "") if drilled or _tightened(level) is not None else ("to do", "")


def _tighten(level: Level) -> Told:
    if _tightened(level) is None:
        return "to do", ""
    if not level.tightened:
        return "not told", "no round from before tells what it changed"
    changes = [change.grade for one in level.tightened for change in (one.upright, one.sideways) if change is not None]
    return ("fails", "tightening moved the axis by more than is allowed") if "outside" in changes else ("done", "")


def _read_tightened(level: Level) -> Told:
    one = _tightened(level)
    if one is None or one.now is None:
        return "to do", ""
    grades = grades_of(one.now)
    state, why = _graded(grades)
    if state == "done" or ("not decided" in grades and "outside" not in grades):
        return state, why
    return "fails", f"{why}: loosen, and begin again at the feet"


def _pusher(level: Level) -> Told:
    told = [one.told.pusher_slides for one in level.rounds if one.told is not None and one.told.pusher_slides is not None]
    if not told:
        return "to do", ""
    return ("done", "") if told[-1] else ("fails", "a step or a hard place was felt")


_STATES: dict[str, Callable[[Level], Told]] = {
    "centre-height": _height,
    "bear": _bear,
    "roll-and-height": _upright,
    "sideways": _sideways,
    "read-again": _again,
    "standoff-again": _standoff,
    "anchor": _anchor,
    "tighten": _tighten,
    "read-tightened": _read_tightened,
    "slide-pusher": _pusher,
}
"""How each task stands, by its id."""
