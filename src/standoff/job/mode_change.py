"""The change of mode as a motion: where the headstock must stand while the loader shifts, or that the two must take turns.

While the loader goes from one mode's shift to the other's, the gap between clamp and adapter changes by the stroke. It must
stay between the shortest and the longest nose all the way, so that the headstock may only stand in an interval of its travel;
where that interval is empty, loader and headstock move in turns, each by no more than what the nose has to give.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import combinations

from standoff.job.job import Job
from standoff.model.requirement import Requirement, Side
from standoff.model.state import STANDING, Mode, State
from standoff.solve.window import TIE_MM


@dataclass(frozen=True, slots=True)
class ModeChange:
    """From one mode to another: the stroke, and the headstock's travel within which it may be made in one go.

    `least_mm` exceeds `greatest_mm` where it may not; `turns` then says in how many strokes the loader moves while the headstock
    follows, 0 where there is no way at this standoff: the nose has nothing to give, or the headstock does not go far enough.
    """

    start: str
    end: str
    stroke_mm: float
    least_mm: float
    greatest_mm: float
    turns: int

    @property
    def in_one_stroke(self) -> bool:
        """Whether there is a place of the headstock for one stroke."""
        return self.least_mm <= self.greatest_mm + TIE_MM


def mode_changes(job: Job, *, standoff_mm: float, cut_mm: float = 0.0) -> tuple[ModeChange, ...]:
    """Every change between two modes of the file."""
    values_mm = job.layout.values_mm(standoff_mm=standoff_mm, cut_mm=cut_mm)
    low_mm, high_mm = _nose_limits(job, values_mm)
    pairs = combinations(job.layout.modes, 2)
    return tuple(_change(job, start, end, values_mm, low_mm=low_mm, high_mm=high_mm) for start, end in pairs)


def _change(job: Job, start: Mode, end: Mode, values_mm: dict[str, float], *, low_mm: float, high_mm: float) -> ModeChange:
    """One change: clamp to adapter is standoff + travel - shift, and must stay between the limits at every shift."""
    shifts_mm = [mode.shift.value(values_mm) for mode in (start, end)]
    base_mm = job.layout.gap("clamp", "adapter", State(STANDING, None)).value(values_mm)
    ends_mm = [limit.value(values_mm) for mode in (start, end) for limit in (mode.rear, mode.front)]
    rearmost_mm, foremost_mm = min(ends_mm), max(ends_mm)
    # At the greater shift the nose asks for so much travel at least, at the lesser it allows so much at most.
    needed_mm, allowed_mm = low_mm - base_mm + max(shifts_mm), high_mm - base_mm + min(shifts_mm)
    least_mm, greatest_mm = max(needed_mm, rearmost_mm), min(allowed_mm, foremost_mm)
    possible = needed_mm <= foremost_mm + TIE_MM and allowed_mm >= rearmost_mm - TIE_MM
    stroke_mm, give_mm = shifts_mm[1] - shifts_mm[0], high_mm - low_mm
    turns = max(math.ceil(abs(stroke_mm) / give_mm - 1e-9), 1) if possible and give_mm > TIE_MM else 0
    return ModeChange(start.name, end.name, stroke_mm, least_mm, greatest_mm, turns)


def _nose_limits(job: Job, values_mm: dict[str, float]) -> tuple[float, float]:
    """The least and the greatest gap from clamp to adapter that the nose bears, margins kept. [mm]"""
    low_mm, high_mm = -math.inf, math.inf
    for requirement in job.layout.judged():
        if isinstance(requirement, Requirement) and (requirement.start, requirement.end) == ("clamp", "adapter"):
            limit_mm = requirement.limit.value(values_mm)
            if requirement.side is Side.AT_LEAST:
                low_mm = max(low_mm, limit_mm)
            else:
                high_mm = min(high_mm, limit_mm)
    return low_mm, high_mm
