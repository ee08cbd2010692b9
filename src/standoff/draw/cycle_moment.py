"""One moment of a bar cycle as a drawing needs it, what stands in front of the bar there, and what fails at which moments."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from standoff.job.cycle import Cycle
from standoff.job.interference import interferences
from standoff.job.motions import END, FACE, STEPS, Course
from standoff.solve.window import TIE_MM

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True)
class Moment:
    """Where things are [mm], what is closed, and whether cut-off tool, stop and sub-spindle are at the bar."""

    number: int
    travel_mm: float
    tip_mm: float
    front_mm: float
    rear_mm: float
    cut_off_mm: float
    insertion_mm: float
    stop_mm: float
    sub_spindle_mm: float
    collet_closed: bool
    gripper_closed: bool
    tool_in: bool
    stop_in: bool
    sub_spindle: bool
    step: str
    part: int


@dataclass(frozen=True, slots=True, eq=False)
class Failing:
    """A requirement that fails, or a rule that is broken, at some moments."""

    id: str
    title: str
    moments: Flags


def moment_of(cycle: Cycle, number: int) -> Moment:
    """A moment by its number."""
    course, reach = cycle.course, cycle.part.reach
    return Moment(
        number=number,
        travel_mm=float(course.travel_mm[number]),
        tip_mm=float(course.tip_mm[number]),
        front_mm=float(course.front_mm[number]),
        rear_mm=float(course.rear_mm[number]),
        cut_off_mm=reach.cut_off_mm,
        insertion_mm=reach.insertion_mm,
        stop_mm=float(stop_places_mm(course)[number]),
        sub_spindle_mm=float(sub_spindle_places_mm(course)[number]),
        collet_closed=bool(course.collet_closed[number]),
        gripper_closed=bool(course.gripper_closed[number]),
        tool_in=bool(course.tool_in[number]),
        stop_in=bool(course.stop_in[number]),
        sub_spindle=bool(course.sub_spindle[number]),
        step=STEPS[int(course.step[number])],
        part=int(course.part[number]),
    )


def stop_places_mm(course: Course) -> Floats:
    """Where the stop is: throughout a feed it waits where the bar's front comes to rest; elsewhere at the front. [mm]"""
    found = course.front_mm.copy()
    for run in _runs(course.stop_in):
        found[run] = course.front_mm[run].max()
    return found


def sub_spindle_places_mm(course: Course) -> Floats:
    """Where the sub-spindle's face is: at the front that it took hold of, and with it as that is drawn or cut off. [mm]"""
    found = course.front_mm.copy()
    for run in _runs(course.sub_spindle):
        found[run] = np.maximum.accumulate(course.front_mm[run])
    return found


def _runs(flags: Flags) -> list[slice]:
    """The stretches of moments at which something holds."""
    edges = np.flatnonzero(np.diff(np.concatenate([[0], flags.astype(np.int8), [0]])))
    return [slice(int(a), int(b)) for a, b in edges.reshape(-1, 2)]


def failing_of(cycle: Cycle) -> tuple[Failing, ...]:
    """Everything that fails over the motions, with the moments at which it does."""
    found = []
    for trace in cycle.traces:
        moments = np.zeros(len(cycle.course), dtype=np.bool_)
        moments[trace.watched[trace.slack_mm < -TIE_MM]] = True
        if moments.any():
            found.append(Failing(trace.id, trace.title, moments))
    return (*found, *(Failing(rule.id, rule.title, rule.moments) for rule in interferences(cycle.course)))


def milestones(cycle: Cycle) -> tuple[tuple[str, int], ...]:
    """The moments that stills show, each with its heading: where it is tightest or first fails, the faced bar, the end of it."""
    course = cycle.course
    worst = cycle.troubles[0].moment if cycle.troubles else cycle.tightest.tightest
    first = "Here it first fails" if cycle.troubles else "Where it is tightest"
    found = ((first, worst), ("The faced bar", _last(course, FACE)), ("The end of the bar", _last(course, END)))
    return tuple((f"{words}: {STEPS[int(course.step[number])]}", number) for words, number in found)


def _last(course: Course, step: int) -> int:
    return int(np.flatnonzero(course.step == step)[-1])
