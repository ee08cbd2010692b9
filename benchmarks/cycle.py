"""The life of one bar of a thousand parts, simulated and checked, and what a plain loop over its moments takes for the same.

The loop goes part after part and asks every requirement, worked out beforehand, of every moment. It has to find the same moments
and the same slacks before its time counts.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

import numpy as np
from stopwatch import Line, against_goal, call_s

from standoff.job.cycle import Cycle, cycle_of
from standoff.job.demonstration import text_of
from standoff.job.file import parse_job
from standoff.job.job import Job
from standoff.job.motions import CUT
from standoff.job.parts import Part, parts_of
from standoff.job.placement import place
from standoff.model.requirement import Requirement, Side
from standoff.model.state import BAR_CHANGE, FRONT_LIMIT, REAR_LIMIT, State

GOAL_S = 50e-3
PARTS = 1000
SMALL = '\n[[parts]]\nname = "washer"\nbar = "{bar}"\nlength = "2.2 mm"\ncut_off_width = "1 mm"\nseconds = "4 s"\n'
CELLS = {"axle-cell": "3/4 in stainless", "shell-cell": "60 mm steel"}


def lines() -> Iterator[Line]:
    """A sliding and a fixed headstock."""
    for name, bar in CELLS.items():
        job = parse_job(text_of(name) + SMALL.format(bar=bar))
        placement = place(job)
        where = {"standoff_mm": placement.standoff_mm, "cut_mm": placement.cut_mm}
        part = next(part for part in parts_of(job, **where) if part.name == "washer")
        yield from measured(name, job, part, **where)


def measured(name: str, job: Job, part: Part, *, standoff_mm: float, cut_mm: float) -> Iterator[Line]:
    """One bar by the program and by the loop."""
    own, plain = cycle_of(job, part, standoff_mm=standoff_mm, cut_mm=cut_mm), Plain(job, part, standoff_mm, cut_mm)
    if part.count < PARTS or not own.clean:
        raise SystemExit(f"benchmarks: {name}: {part.count} parts of a bar, troubles {own.troubles}")
    plain.run()
    require_same(name, own, plain)
    own_s = call_s(lambda: cycle_of(job, part, standoff_mm=standoff_mm, cut_mm=cut_mm))
    yield against_goal(f"a bar of {part.count} parts, {name}", own_s, GOAL_S)
    peer_s = call_s(lambda: Plain(job, part, standoff_mm, cut_mm).run(), fewest=3)
    yield Line(f"same by a plain loop, {name}", peer_s, None, f"{peer_s / own_s:.0f} times ours")


Rule = tuple[str, float, float]
"""A requirement for the loop: its id, how its slack goes with the headstock's travel, and its slack without any."""


@dataclass
class Plain:
    """One bar moved step by step; `least_mm` is the least slack of each requirement, `moments` where things were."""

    job: Job
    part: Part
    standoff_mm: float
    cut_mm: float
    moments: list[tuple[float, float, float, float]] = field(default_factory=list)
    least_mm: dict[str, float] = field(default_factory=dict)
    parts: int = 0

    def run(self) -> None:
        """From the homed headstock to the last cut-off."""
        part, reach, mode = self.part, self.part.reach, self.part.mode
        values_mm = self.job.layout.values_mm(standoff_mm=self.standoff_mm, cut_mm=self.cut_mm)
        rules = list(self.rules(values_mm))
        places_mm = [mode.at(name).headstock.value(values_mm) for name in (FRONT_LIMIT, REAR_LIMIT, BAR_CHANGE)]
        for travel_mm in places_mm:
            self.judge(rules, travel_mm)
        left_mm, begun_mm, end_mm = part.bar_mm - part.facing_mm, places_mm[-1], part.travel_end_mm
        back_mm = end_mm - part.advance_mm if self.job.sliding else end_mm
        ahead_mm = 0.0 if self.job.sliding else part.advance_mm
        while left_mm - part.advance_mm >= reach.remnant_mm - 1e-6:
            self.parts += 1
            travels_mm = (begun_mm, back_mm, back_mm, end_mm, end_mm)
            for travel_mm, moved_mm in zip(travels_mm, (0.0, ahead_mm, ahead_mm, part.advance_mm, part.advance_mm), strict=True):
                rear_mm = reach.cut_off_mm + moved_mm - left_mm
                self.moments.append((travel_mm, rear_mm + reach.insertion_mm, reach.cut_off_mm + moved_mm, rear_mm))
                self.judge(rules, travel_mm)
                self.hold(travel_mm, self.moments[-1][1])
            self.moments[-1] = (*self.moments[-1][:2], reach.cut_off_mm, self.moments[-1][3])
            left_mm, begun_mm = left_mm - part.advance_mm, end_mm

    def rules(self, values_mm: dict[str, float]) -> Iterator[Rule]:
        """What is asked at every moment of what lies between nose, loader and lathe."""
        layout, state = self.job.layout, State("", None, shift=self.part.mode.shift)
        for requirement in layout.judged():
            if isinstance(requirement, Requirement) and requirement.id not in ("full-bar", "pusher-reach", "rear-room"):
                sign = 1.0 if requirement.side is Side.AT_LEAST else -1.0
                gap_mm = layout.gap(requirement.start, requirement.end, state).value(values_mm)
                slack_mm = sign * (gap_mm - requirement.limit.value(values_mm))
                yield requirement.id, sign * (requirement.end == "adapter"), slack_mm

    def judge(self, rules: list[Rule], travel_mm: float) -> None:
        """Every one of them at one travel of the headstock."""
        for name, share, slack_mm in rules:
            here_mm = slack_mm + share * travel_mm
            self.least_mm[name] = min(self.least_mm.get(name, here_mm), here_mm)

    def hold(self, travel_mm: float, tip_mm: float) -> None:
        """The pusher is neither beyond its limit nor in the collet."""
        reach = self.part.reach
        collet_mm = reach.collet_mm - self.part.travel_end_mm + travel_mm
        if tip_mm > min(reach.tip_limit_mm, collet_mm + reach.into_collet_mm) + 1e-6:
            raise SystemExit(f"benchmarks: the pusher is too far forward in part {self.parts}")


def require_same(name: str, own: Cycle, plain: Plain) -> None:
    """Stop where the loop finds other parts, moments or slacks."""
    moments, made = own.course, own.course.part > 0
    last = int(np.flatnonzero(moments.step == CUT)[-1])
    made[last + 1 :] = False
    places = np.stack([moments.travel_mm, moments.tip_mm, moments.front_mm, moments.rear_mm], axis=1)[made]
    same = plain.parts == own.part.count and np.allclose(places, np.array(plain.moments), rtol=0.0, atol=1e-6)
    for trace in own.traces:
        if trace.id in plain.least_mm:
            same = same and abs(trace.least_mm - plain.least_mm[trace.id]) < 1e-6
    if not same:
        raise SystemExit(f"benchmarks: {name}: a plain loop finds another life of the bar")


def main() -> None:
    """Print this module's measurements only."""
    for line in lines():
        print(line.text(), flush=True)


if __name__ == "__main__":
    main()
