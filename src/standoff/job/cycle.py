"""The bar cycle: one bar from loading to the dropped remnant, every requirement judged over every motion.

The moments come from `motions`; places come from the same layout as the window. A requirement on the gap between two stations
is watched whenever it can fail: at every moment for what lies between loader, nose and lathe; at the end of pre-feed for the full
bar; at the last cut-off for the reach. A cycle is clean exactly where the window holds the standoff: the two must agree. (A part
whose last cut-off is stated behind the front limit asks less of the pusher than the window does.)
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from standoff.job.interference import Interference, interferences
from standoff.job.job import Job
from standoff.job.motions import CUT, END, OUT, PRE_FEED, STEPS, Course, Floats, Numbers, course, lets_go
from standoff.job.parts import Part, parts_of
from standoff.job.placement import Placement
from standoff.model.form import STANDOFF
from standoff.model.requirement import Comparison, Requirement, Side
from standoff.model.station import Carrier
from standoff.solve.window import TIE_MM

BEFORE = "before anything moves"
CONTACT, MARGIN = "contact", "margin"
"""How bad a trouble is: the parts touch, part or run out of reach; or only the margin kept is used up."""


@dataclass(frozen=True, slots=True, eq=False)
class Trace:
    """The slack of one requirement at every moment it is watched, in the moments' order. [mm]"""

    id: str
    title: str
    failure: str
    watched: Numbers
    slack_mm: Floats
    contact_mm: Floats

    @property
    def tightest(self) -> int:
        """The moment with the least slack."""
        return int(self.watched[int(np.argmin(self.slack_mm))])

    @property
    def least_mm(self) -> float:
        """The least slack, margin kept. [mm]"""
        return float(self.slack_mm.min())


@dataclass(frozen=True, slots=True)
class Trouble:
    """Where a requirement first fails, or a rule is first broken, and how badly.

    `time_s`: when, between the moments too; `step`, `moment`, `part`: in which motion, the number of the moment that ends it, the
    part then made. `worst`: the moment at which most is missing, and that is `missing_mm`.
    """

    id: str
    title: str
    failure: str
    grade: str
    step: str
    moment: int
    part: int
    time_s: float
    worst: int
    missing_mm: float


@dataclass(frozen=True, slots=True, eq=False)
class Cycle:
    """One bar's life for one part."""

    job: Job
    part: Part
    course: Course
    traces: tuple[Trace, ...]
    troubles: tuple[Trouble, ...]
    alarms: tuple[str, ...]

    @property
    def clean(self) -> bool:
        """Whether every requirement holds over every motion."""
        return not self.troubles

    @property
    def tightest(self) -> Trace:
        """The requirement with the least slack of all."""
        return min(self.traces, key=lambda trace: trace.least_mm)

    @property
    def length_s(self) -> float:
        """How long the whole bar takes: the parts as stated, all else as in the picture. [s]"""
        return float(self.course.time_s[-1])

    @property
    def bar_change_s(self) -> float:
        """From the last cut-off of a bar to the first feed of the next: as stated, or as in the picture. [s]"""
        table, moments = self.job.tables.cycle, self.course
        if table is not None and table.bar_change is not None:
            return table.bar_change
        made = np.flatnonzero(moments.part > 0)
        last_cut = np.flatnonzero(moments.step == CUT)[-1]
        return float(moments.time_s[made[0] - 1] + moments.time_s[-1] - moments.time_s[last_cut])


def bar_cycles(placement: Placement) -> tuple[Cycle, ...]:
    """One bar's life for every part of the job, at the standoff of the placement.

    Raises: JobFileError naming every part that cannot be made there.
    """
    job, standoff_mm, cut_mm = placement.job, placement.standoff_mm, placement.cut_mm
    return tuple(
        cycle_of(job, part, standoff_mm=standoff_mm, cut_mm=cut_mm)
        for part in parts_of(job, standoff_mm=standoff_mm, cut_mm=cut_mm)
    )


def cycle_of(job: Job, part: Part, *, standoff_mm: float, cut_mm: float = 0.0) -> Cycle:
    """One bar's life for one part at one standoff."""
    moments = course(job, part, standoff_mm=standoff_mm, cut_mm=cut_mm)
    values_mm = job.layout.values_mm(standoff_mm=standoff_mm, cut_mm=cut_mm)
    judged = job.layout.judged()
    traces = tuple(_trace(job, r, part, moments, values_mm) for r in judged if isinstance(r, Requirement))
    troubles = _before([r for r in judged if isinstance(r, Comparison)], values_mm)
    troubles += [trouble for trace in traces if (trouble := _trouble(trace, moments)) is not None]
    troubles += [_broken(rule, moments) for rule in interferences(moments)]
    troubles.sort(key=lambda trouble: (trouble.step != BEFORE, trouble.time_s))
    return Cycle(job, part, moments, traces, tuple(troubles), _alarms(job, part, moments))


def _trace(job: Job, requirement: Requirement, part: Part, moments: Course, values_mm: dict[str, float]) -> Trace:
    """The slack of a requirement over the moments at which it can fail."""
    watched = _watched(requirement, moments)
    if requirement.each_mode:
        gap_mm = _places(job, requirement.end, moments, values_mm) - _places(job, requirement.start, moments, values_mm)
    else:
        # Judged once, with the loader farthest back.
        standing = job.layout.rearmost(requirement.state)
        gap_mm = np.full(len(moments), job.layout.gap(requirement.start, requirement.end, standing).value(values_mm))
    gap_mm = gap_mm[watched]
    side = 1.0 if requirement.side is Side.AT_LEAST else -1.0
    limit_mm = requirement.limit.value(values_mm)
    # The margin is judged with the longest bar of the job, as in the window; what meets the collet is this part's bar.
    contact_mm = part.bar_mm if requirement.id == "full-bar" else requirement.contact.value(values_mm)
    return Trace(
        requirement.id,
        requirement.title,
        requirement.failure,
        watched,
        side * (gap_mm - limit_mm),
        side * (gap_mm - contact_mm),
    )


def _watched(requirement: Requirement, moments: Course) -> Numbers:
    """The moments at which a requirement can fail: the end of pre-feed, the end of the bar, or all of them."""
    if requirement.id == "full-bar":
        return np.flatnonzero(moments.step == PRE_FEED)
    if requirement.id == "pusher-reach":
        return np.flatnonzero(moments.step == END)
    return np.arange(len(moments))


def _places(job: Job, station: str, moments: Course, values_mm: dict[str, float]) -> Floats:
    """Where a station is at every moment: its offset, and how far its carrier has gone. [mm]"""
    found = job.layout.station(station)
    offset_mm = found.offset.value(values_mm)
    if found.carrier is Carrier.HEADSTOCK:
        return offset_mm + moments.travel_mm
    if found.carrier is Carrier.LOADER:
        return np.full(len(moments), offset_mm - values_mm[STANDOFF] + moments.shift_mm)
    return np.full(len(moments), offset_mm)


def _trouble(trace: Trace, moments: Course) -> Trouble | None:
    """Where a requirement first fails."""
    failing = np.flatnonzero(trace.slack_mm < -TIE_MM)
    if not failing.size:
        return None
    touching = bool((trace.contact_mm < -TIE_MM).any())
    first = int(trace.watched[failing[0]])
    return Trouble(
        trace.id,
        trace.title,
        trace.failure,
        CONTACT if touching else MARGIN,
        STEPS[int(moments.step[first])],
        first,
        int(moments.part[first]),
        _crossing_s(trace, int(failing[0]), moments),
        trace.tightest,
        -trace.least_mm,
    )


def _crossing_s(trace: Trace, failing: int, moments: Course) -> float:
    """When a slack runs out: within the motion that leads to the first moment without it, which changes it evenly. [s]"""
    here = int(trace.watched[failing])
    there_s = float(moments.time_s[here])
    if failing == 0 or trace.watched[failing - 1] != here - 1:
        return there_s
    before_mm, after_mm = (float(trace.slack_mm[i]) for i in (failing - 1, failing))
    left = max(before_mm, 0.0) / (max(before_mm, 0.0) - after_mm)
    begun_s = float(moments.time_s[here - 1])
    return begun_s + left * (there_s - begun_s)


def _broken(rule: Interference, moments: Course) -> Trouble:
    """A rule that the moments break: always a contact, or worse."""
    at = np.flatnonzero(rule.moments)
    first, worst = int(at[0]), int(at[int(np.argmax(rule.by_mm[at]))])
    step, part = STEPS[int(moments.step[first])], int(moments.part[first])
    by_mm, time_s = float(rule.by_mm[worst]), float(moments.time_s[first])
    return Trouble(rule.id, rule.title, rule.failure, CONTACT, step, first, part, time_s, worst, by_mm)


def _before(comparisons: list[Comparison], values_mm: dict[str, float]) -> list[Trouble]:
    """What fails before anything moves: passage and height."""
    found = []
    for each in comparisons:
        least_mm = min(form.value(values_mm) for _, form in each.slacks)
        if least_mm < -TIE_MM:
            found.append(Trouble(each.id, each.title, each.failure, CONTACT, BEFORE, 0, 0, 0.0, 0, -least_mm))
    return found


def _alarms(job: Job, part: Part, moments: Course) -> tuple[str, ...]:
    """What is wrong with the end of the bar without any requirement failing."""
    cycle, found = job.tables.cycle, []
    out = cycle is not None and cycle.ejection == OUT
    end = int(np.flatnonzero(moments.step == END)[0])
    if not out and lets_go(part, tip_mm=float(moments.tip_mm[end]), rear_mm=float(moments.rear_mm[end])):
        found.append("remnant-let-go")
    collet_mm = moments.places.collet_front_mm
    if out and (collet_mm == 0.0 or moments.rear_mm[-1] < moments.collet_mm[-1] + collet_mm - TIE_MM):
        found.append("remnant-not-pushed-out")
    if cycle is None:
        return tuple(found)
    if not out and cycle.longest_remnant and part.remnant_mm > cycle.longest_remnant[0].value_mm + TIE_MM:
        found.append("remnant-too-long")
    if cycle.gripped_at_least and not part.picked_off and part.reach.gripped_mm < cycle.gripped_at_least[0].value_mm - TIE_MM:
        found.append("grip-too-short")
    return tuple(found)
