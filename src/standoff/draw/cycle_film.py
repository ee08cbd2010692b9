"""The film of a bar cycle: its moments as a page moves them, what is to spare at each, and the order in which they are played.

Nothing is rounded further than a tenth of a millimetre; of a thousand parts that are alike play shows the cut-offs alone.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from standoff.draw.cycle_moment import Failing, failing_of, stop_places_mm, sub_spindle_places_mm
from standoff.draw.cycle_scene import nose_travel_mm
from standoff.job.cycle import Cycle
from standoff.job.motions import CUT, MACHINE, STEPS
from standoff.job.placement import Placement
from standoff.job.speech import spare_length
from standoff.solve.window import TIE_MM

ONE_BY_ONE = 2
"""So many parts are played stroke by stroke at the beginning, and as many at the end."""
MACHINING_S, LONGEST_S, MIDDLE_S, LEAST_S = 1.0, 4.0, 6.0, 0.25
"""How long machining, any other motion, and all parts in between take in the picture, and the least for a motion (our choice)."""
COLLET, GRIPPER, TOOL, STOP, SUB_SPINDLE = 1, 2, 4, 8, 16
"""Bits of what is closed, or stands in front of the bar."""


def film_of(placement: Placement, cycle: Cycle, base: int) -> dict[str, Any]:
    """Everything a page needs to show any moment; `base` is the one the picture was drawn at."""
    course, failing = cycle.course, failing_of(cycle)
    held = COLLET * course.collet_closed + GRIPPER * course.gripper_closed + TOOL * course.tool_in
    held = held + STOP * course.stop_in + SUB_SPINDLE * course.sub_spindle
    said, texts = _said(cycle, failing)
    return {
        "base": base,
        "count": cycle.part.count,
        "nose": [round(at_mm, 2) for at_mm in nose_travel_mm(placement, cycle, base)],
        "travel": _tenths(course.travel_mm),
        "tip": _tenths(course.tip_mm),
        "front": _tenths(course.front_mm),
        "rear": _tenths(course.rear_mm),
        # Where they are never used a page needs no places of them.
        "stop": _tenths(stop_places_mm(course)) if course.stop_in.any() else [],
        "sub": _tenths(sub_spindle_places_mm(course)) if course.sub_spindle.any() else [],
        "held": held.tolist(),
        "step": course.step.tolist(),
        "part": course.part.tolist(),
        "steps": [f"{name[:1].upper()}{name[1:]}" for name in STEPS],
        "said": said,
        "texts": texts,
        "fails": {each.id: _runs(each) for each in failing},
        "play": [list(entry) for entry in play_list(cycle)],
    }


def play_list(cycle: Cycle) -> tuple[tuple[int, float, int], ...]:
    """The moments play goes to, how long it takes to each [s], and 1 for a part of which only the cut-off is shown."""
    course, count = cycle.course, cycle.part.count
    middle = (course.part > ONE_BY_ONE) & (course.part <= count - ONE_BY_ONE)
    cuts = middle & (course.step == CUT) & np.append(course.part[1:] != course.part[:-1], True)
    share_s = MIDDLE_S / max(int(cuts.sum()), 1)
    natural_s = np.diff(course.time_s, prepend=course.time_s[0])

    def entries() -> Iterator[tuple[int, float, int]]:
        for i in range(1, len(course)):
            if cuts[i]:
                yield i, round(share_s, 4), 1
            elif not middle[i]:
                longest_s = MACHINING_S if course.step[i] == MACHINE else LONGEST_S
                yield i, round(min(max(float(natural_s[i]), LEAST_S), longest_s), 2), 0

    return tuple(entries())


def how_played(cycle: Cycle) -> str:
    """What play leaves out or shortens, in words."""
    count, course = cycle.part.count, cycle.course
    first, last = ONE_BY_ONE + 1, count - ONE_BY_ONE
    said = []
    if last >= first:
        parts = f"part {first}" if first == last else f"parts {first} to {last}"
        said.append(f"Of {parts} play shows the cut-off alone, all of it in {MIDDLE_S:.0f} s.")
    longest_s = float(np.diff(course.time_s, prepend=0.0)[course.step == MACHINE].max(initial=0.0))
    if longest_s > MACHINING_S:
        said.append(f"Machining takes {MACHINING_S:.0f} s in the picture instead of {longest_s:.0f} s.")
    return " ".join((*said, "Stepping shows every moment."))


def _said(cycle: Cycle, failing: Sequence[Failing]) -> tuple[list[int], list[str]]:
    """What is least to spare at each moment, or which rule is broken there, as the number of a text; few of them differ."""
    count, units = len(cycle.course), cycle.job.units
    table = np.full((len(cycle.traces), count), np.inf)
    for row, trace in zip(table, cycle.traces, strict=True):
        row[trace.watched] = trace.slack_mm
    least = np.argmin(table, axis=0)
    broken = [each for each in failing if each.id not in {trace.id for trace in cycle.traces}]
    numbers: dict[str, int] = {}
    said = []
    for i in range(count):
        trace, slack_mm = cycle.traces[least[i]], float(table[least[i], i])
        fails = slack_mm < -TIE_MM
        word = "missing" if fails else "to spare"
        text = f"{'✗ ' if fails else ''}{trace.title}: {spare_length(slack_mm, units)} {word}"
        text = next((f"✗ {each.title}" for each in broken if each.moments[i]), text)
        said.append(numbers.setdefault(text, len(numbers)))
    return said, list(numbers)


def _runs(failing: Failing) -> list[list[int]]:
    """The moments at which something fails, as runs from the first to the last."""
    at = np.flatnonzero(failing.moments)
    return [[int(run[0]), int(run[-1])] for run in np.split(at, np.flatnonzero(np.diff(at) > 1) + 1)]


def _tenths(values_mm: NDArray[np.float64]) -> list[float]:
    return [round(value, 1) + 0.0 for value in values_mm.tolist()]
