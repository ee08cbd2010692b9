"""Bar speed: may each bar turn as fast as wanted, what limits it, and how hard may it be pushed. The answer of step 7.

passage      does everything pass, in which liner?       a bar that does not pass has no speed
spans        what holds the bar, in every state          from the layout at the standoff
whip         lowest critical speed over the bar's life    share of it: the model's limit
limits       model, makers, readings on site              the lowest one governs
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from itertools import pairwise

import numpy as np

from standoff.bar.bow import touch
from standoff.bar.life import Life
from standoff.bar.whip import HIGHEST_RATIO
from standoff.errors import JobFileError, Problem, UsageError
from standoff.job.bar_tables import LinerTable
from standoff.job.bars import Bar, bars_of
from standoff.job.job import Job
from standoff.job.passing import LinerChoice, Passing, TurnDown, all_pass, chosen_liner, liner_choices, passings, turn_down
from standoff.job.placement import Placement
from standoff.job.placement import Verdict as Placed
from standoff.job.pushing import Pushing, pushing
from standoff.job.site_readings import SiteReading
from standoff.job.spans import Spans
from standoff.job.speed_changes import SpeedChange, speed_changes
from standoff.job.whip_limit import Course, turning, whip_limit_rpm

MODEL, SAG = "this model", "sag read on site"
PIECES, LIKE, MOST_STEPS = 24, 0.08, 5
"""The bar's life is looked at in so many pieces; neighbours so much alike are joined, until there are few enough (our choice)."""

TOUCH_LENGTHS = 6
TOUCH_SHAPES = 12
SHAKEN = 0.1
"""A hexagon or square is kept this far, as a share, from speeds at which its edges excite the bar (our choice)."""


class Verdict(Enum):
    """What is said of a bar, the most serious first; the value is the answer's word."""

    NO_PASSAGE = "does-not-pass"
    NO_FORCE = "cannot-be-pushed"
    TOO_FAST = "over-its-limit"
    SHAKEN = "excited-by-its-edges"
    WRONG_FORCE = "force-set-wrong"
    NO_SPEED = "no-speed-stated"
    WITHIN = "within-its-limits"


@dataclass(frozen=True, slots=True)
class Limit:
    """A greatest speed and who sets it."""

    of: str
    speed_rpm: float
    mode: str | None = None


@dataclass(frozen=True, slots=True)
class Touching:
    """Where the bowed bar begins to touch its liner: with the worst bow allowed, and in the middle of random ones."""

    worst_rpm: float
    usual_rpm: float
    at_rest: bool
    length_mm: float


@dataclass(frozen=True, slots=True)
class SpeedStep:
    """A speed limit for remaining lengths from `longest_mm` down to `shortest_mm`."""

    longest_mm: float
    shortest_mm: float
    limit_rpm: float


@dataclass(frozen=True, slots=True)
class BarSpeed:
    """Everything said of one bar. Of a bar that does not pass only its passage is known: no course, no limit."""

    bar: Bar
    passings: tuple[Passing, ...]
    liners: tuple[LinerChoice, ...]
    turn_down: TurnDown | None
    courses: tuple[Course, ...] = ()
    limits: tuple[Limit, ...] = ()
    not_given: tuple[str, ...] = ()
    touching: Touching | None = None
    pushing: Pushing | None = None
    steps: tuple[SpeedStep, ...] = ()
    readings: tuple[SiteReading, ...] = ()
    shaken_mm: tuple[tuple[float, float], ...] = ()
    changes: tuple[SpeedChange, ...] = ()
    share: float = 0.0
    warnings: tuple[str, ...] = ()

    @property
    def passes(self) -> bool:
        """Whether everything passes, a liner can be fitted, and the pusher collet takes the bar's end."""
        return all_pass(self.passings, self.liners, self.turn_down)

    @property
    def worst(self) -> Course:
        """The course with the lowest critical speed."""
        return min(self.courses, key=lambda course: course.life.worst.whip_rpm)

    @property
    def lowest(self) -> Limit:
        """The limit that governs."""
        return min(self.limits, key=lambda limit: limit.speed_rpm)

    @property
    def buckles(self) -> bool:
        """Whether what the loader is set to buckles the bar at rest, with the softest supports: no speed is left then."""
        return bool(self.limits) and self.lowest.speed_rpm <= 0.0

    @property
    def used(self) -> float | None:
        """The wanted speed over the limit that governs; None where none is wanted, or the limit is 0."""
        wanted_rpm = self.bar.wanted_rpm
        return None if wanted_rpm is None or not self.limits or self.buckles else wanted_rpm / self.lowest.speed_rpm

    @property
    def nearer(self) -> str | None:
        """Which is nearer its limit, "speed" or "feed force"."""
        if self.buckles:
            return "feed force"
        if self.used is None or self.pushing is None:
            return None
        return "speed" if self.used > self.pushing.used else "feed force"

    @property
    def verdict(self) -> Verdict:
        """What is said of it, the most serious first."""
        if not self.passes or self.pushing is None:
            return Verdict.NO_PASSAGE
        if not self.pushing.possible:
            return Verdict.NO_FORCE
        if self.buckles:
            return Verdict.TOO_FAST
        if self.used is None:
            return Verdict.NO_SPEED
        if self.used > 1.0:
            return Verdict.TOO_FAST
        if self.shaken_mm:
            return Verdict.SHAKEN
        return Verdict.WITHIN if self.pushing.set_right else Verdict.WRONG_FORCE


@dataclass(frozen=True, slots=True)
class SpeedAnswer:
    """Every bar of a job at one standoff.

    `placed`: whether the placement's requirements hold there; `sure`: whether they do so with the uncertainty of the survey.
    """

    job: Job
    standoff_mm: float
    cut_mm: float
    placed: bool
    sure: bool
    bars: tuple[BarSpeed, ...]

    @property
    def holds(self) -> bool:
        """Whether every bar may turn and be pushed as wanted, at a standoff that holds."""
        good = (Verdict.WITHIN, Verdict.NO_SPEED)
        return self.placed and all(one.verdict in good for one in self.bars)

    @property
    def decided(self) -> bool:
        """Whether nothing is left open: every bar's speed is stated, and it is sure that the pair fits."""
        return not self.holds or (self.sure and all(one.verdict is Verdict.WITHIN for one in self.bars))


def bar_speed(placement: Placement) -> SpeedAnswer:
    """How fast may each bar of this job turn, and how hard be pushed, at the standoff of the placement?

    Raises: JobFileError naming what bar speed needs and the job does not state.
    """
    job = placement.job
    if problems := wanting(job):
        raise JobFileError(problems)
    found = tuple(_named(job, bar, placement) for bar in bars_of(job))
    return SpeedAnswer(
        job, placement.standoff_mm, placement.cut_mm, not placement.failing, placement.verdict is Placed.FITS, found
    )


def _named(job: Job, bar: Bar, placement: Placement) -> BarSpeed:
    """One bar; what cannot be answered for it is refused with its name."""
    try:
        return speed_of(job, bar, standoff_mm=placement.standoff_mm, cut_mm=placement.cut_mm)
    except UsageError as error:
        if bar.name in error.what:
            raise
        what = f"{error.what} (bar {bar.name})"
        raise UsageError(what=what, given=error.given, allowed=error.allowed, action=error.action) from error


def wanting(job: Job) -> tuple[Problem, ...]:
    """What bar speed needs beyond a placement, and the job does not state."""
    tables, found = job.tables, []

    def lacking(field: str, expected: str, action: str) -> None:
        found.append(Problem("key-missing", "", None, field, "nothing", expected, action))

    if not tables.bars:
        lacking("bars", "at least one [[bars]]", "write the bar with its shape, size and material")
    for mode in job.layout.modes:
        kinds = {support.kind for support in tables.supports if support.mode in (None, mode.name)}
        where = f", in the mode {mode.name}" if len(job.layout.modes) > 1 else ""
        if "collet" not in kinds:
            action = "write where the main collet grips and over which length"
            lacking("supports", f"a [[supports]] of kind collet{where}", action)
        if "channel" not in kinds:
            lacking("supports", f"a [[supports]] of kind channel{where}", "write the channel's front end, length and bore")
    if tables.bar_path is None or tables.bar_path.pusher_mass is None:
        lacking("bar_path.pusher_mass", "the mass that hangs on the bar's end", "weigh the pusher with its collet")
    for key in ("pusher_od", "pusher_collet_od"):
        if getattr(tables.bar_path, key, None) is None:
            lacking(f"bar_path.{key}", "its diameter: no speed before it passes", f"measure it and write {key}")
    return tuple(found)


def speed_of(job: Job, bar: Bar, *, standoff_mm: float, cut_mm: float) -> BarSpeed:
    """One bar at one standoff."""
    passage = BarSpeed(bar, passings(job, bar), liner_choices(job, bar), turn_down(job, bar))
    if not passage.passes:
        return passage
    liner = chosen_liner(job, bar)
    found = turning(job, bar, liner, standoff_mm=standoff_mm, cut_mm=cut_mm)
    courses, readings, share = found.courses, found.readings, found.share
    held = [course.spans for course in courses]
    limits, not_given = _limits(job, courses, readings, share, liner)
    return BarSpeed(
        bar=bar,
        passings=passage.passings,
        liners=passage.liners,
        turn_down=None,
        courses=courses,
        limits=limits,
        not_given=not_given,
        touching=_touching(bar, courses),
        pushing=pushing(job, bar, held),
        steps=_steps(courses, limits, share),
        readings=readings,
        shaken_mm=_shaken(bar, courses),
        changes=speed_changes(job, bar, held, readings, standoff_mm=standoff_mm, cut_mm=cut_mm),
        share=share,
        warnings=_warnings(bar, held),
    )


def _limits(
    job: Job, courses: Sequence[Course], readings: Sequence[SiteReading], share: float, liner: LinerTable | None
) -> tuple[tuple[Limit, ...], tuple[str, ...]]:
    """Every limit there is, and those that the makers have and the job does not state."""
    worst = min(courses, key=lambda course: whip_limit_rpm(course.life, share))
    found = [Limit(MODEL, whip_limit_rpm(worst.life, share), worst.spans.state.mode)]
    found += [Limit(SAG, share * r.whip_rpm, None) for r in readings if not r.tapped]
    found += [Limit(table.of, table.speed, table.mode) for table in job.tables.speed_limits]
    wanted = ["lathe", "loader", "pusher bearing", "collet"]
    if any(support.kind == "guide-bushing" for support in job.tables.supports):
        wanted.append("guide bushing")
    missing = [of for of in wanted if of not in {limit.of for limit in found}]
    if liner is not None and liner.speed_limit is not None:
        found.append(Limit(liner.name, liner.speed_limit))
    elif liner is not None:
        missing.append(liner.name)
    return tuple(found), tuple(missing)


def _touching(bar: Bar, courses: Sequence[Course]) -> Touching | None:
    """Where the bowed bar first touches its liner, looked for at a few lengths of each course."""
    found = []
    if any(course.life.worst.whip_rpm <= 0.0 for course in courses):
        return None  # buckled by the feed force: it lies against everything
    for course in courses:
        one = course.spans
        if not one.liner_room:
            continue
        reached = max(one.shortest_mm, one.liner_room[0].from_mm + 1.0)
        worst_mm = max(course.life.worst.length_mm, reached)
        lengths = sorted({*np.linspace(reached, one.longest_mm, TOUCH_LENGTHS).tolist(), worst_mm})
        seen = touch(
            [bar.beam],
            [one.supports],
            lengths,
            clearances=one.liner_room,
            straightness_mm_per_m=bar.straightness_mm_per_m,
            generator=np.random.default_rng(7),
            shapes=TOUCH_SHAPES,
        )
        at = int(np.argmin(seen.worst_rpm[:, 0]))
        usual = float(np.median(seen.random_rpm[at, 0]))
        worst = float(seen.worst_rpm[at, 0])
        found.append(Touching(worst, usual, worst == 0.0, lengths[at]))
    return min(found, key=lambda t: (t.worst_rpm, t.usual_rpm), default=None)


def _steps(courses: Sequence[Course], limits: Sequence[Limit], share: float) -> tuple[SpeedStep, ...]:
    """Speed limits for at most five stretches of remaining length, the longest first; stretches with like limits are joined."""
    longest = max(float(course.life.lengths_mm[-1]) for course in courses)
    shortest = min(float(course.life.lengths_mm[0]) for course in courses)
    others = min((limit.speed_rpm for limit in limits if limit.of != MODEL), default=math.inf)
    edges = np.linspace(longest, shortest, PIECES + 1).tolist()
    pieces = [
        SpeedStep(long, short, min(others, *(_within(course.life, short, long, share) for course in courses)))
        for long, short in pairwise(edges)
    ]
    like = LIKE
    while len(steps := _joined(pieces, like)) > MOST_STEPS:
        like *= 1.5
    return tuple(steps)


def _joined(pieces: Sequence[SpeedStep], like: float) -> list[SpeedStep]:
    """Neighbours whose limits differ by less than this share of the lower one, under the lower one."""
    joined: list[SpeedStep] = []
    for piece in pieces:
        last = joined[-1] if joined else piece
        low, high = sorted((piece.limit_rpm, last.limit_rpm))
        if joined and high - low <= like * low:
            joined[-1] = SpeedStep(last.longest_mm, piece.shortest_mm, low)
        else:
            joined.append(piece)
    return joined


def _within(life: Life, short_mm: float, long_mm: float, share: float) -> float:
    """The model's limit between two lengths, the next ones beyond them counted too; infinite where no bar is so short. [rpm]"""
    if long_mm < life.lengths_mm[0]:
        return math.inf
    first = max(int(np.searchsorted(life.lengths_mm, short_mm)) - 1, 0)
    last = int(np.searchsorted(life.lengths_mm, long_mm, side="right")) + 1
    low_rpm, soft_rpm = life.whip_rpm[first:last].min(), life.soft_rpm[first:last].min()
    return float(min(share * low_rpm, HIGHEST_RATIO * soft_rpm))


def _shaken(bar: Bar, courses: Sequence[Course]) -> tuple[tuple[float, float], ...]:
    """The remaining lengths at which the wanted speed lies near one where the bar's edges excite it."""
    if not bar.section.edges or bar.wanted_rpm is None:
        return ()
    found = []
    for course in courses:
        ratio = bar.wanted_rpm * bar.section.edges / np.maximum(course.life.whip_rpm, 1e-9)
        near = np.flatnonzero(np.abs(ratio - 1.0) <= SHAKEN)
        if near.size:
            lengths = course.life.lengths_mm[near]
            found.append((float(lengths.min()), float(lengths.max())))
    return tuple(found)


LOOSE = 2.5
"""A tube wider than this many times the bar over its corners hardly bears it (our choice)."""


def _warnings(bar: Bar, held: Sequence[Spans]) -> tuple[str, ...]:
    """What makes the figures doubtful."""
    loose = sorted(
        {tube.name for one in held for tube in one.tubes if 2.0 * tube.clearance_mm + bar.corners_mm > LOOSE * bar.corners_mm}
    )
    if not loose:
        return ()
    names = " and ".join(loose)
    return (
        f"The bar lies loose in {names}: the figures take it as borne there, and a bar that jumps in a wide tube whips earlier."
        " Fit a reducing tube of its size, or go up in small steps.",
    )
