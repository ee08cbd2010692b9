"""How hard may the bar be pushed, at each stage of the cycle? A floor from what the stage needs, a ceiling from buckling.

The bar buckles in the longest gap that nothing holds, or in one of its tubes; the lowest force governs, and a share of it is the
ceiling. Floors count the friction of the whole bar and the pusher. Pulling out stretches the bar: it has no ceiling here, the
pusher collet's grip is its maker's matter.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from standoff.bar.buckling import Ends, euler_n, friction_n, tube_passing_n
from standoff.job.bar_tables import defaulted
from standoff.job.bars import Bar
from standoff.job.job import Job
from standoff.job.spans import Spans

STAGES = (
    ("pre_feed", "pre-feed"),
    ("insertion", "insertion into the pusher collet"),
    ("hold", "feed and hold"),
    ("pull_out", "pull-out"),
)
"""The stages of a bar's cycle in which it is pushed or pulled: key of [feed], and the words."""


@dataclass(frozen=True, slots=True)
class Buckling:
    """The force that buckles the bar first, and where."""

    force_n: float
    where: str


@dataclass(frozen=True, slots=True)
class Stage:
    """One stage: the least force it needs (None: not stated what it needs), the most the bar bears (None: it is pulled)."""

    key: str
    name: str
    needed_n: float | None
    friction_n: float
    ceiling_n: float | None

    @property
    def floor_n(self) -> float:
        """What is needed at the bar, as far as it was stated, and friction."""
        return (self.needed_n or 0.0) + self.friction_n

    @property
    def possible(self) -> bool:
        """Whether any force serves."""
        return self.ceiling_n is None or self.floor_n <= self.ceiling_n


@dataclass(frozen=True, slots=True)
class Pushing:
    """The forces on one bar: by stage, what the loader is set to, and where the bar gives way first."""

    buckling: Buckling
    stages: tuple[Stage, ...]
    set_n: float | None

    @property
    def ceiling_n(self) -> float:
        """The most the bar is to be pushed with. [N]"""
        return next(stage.ceiling_n for stage in self.stages if stage.ceiling_n is not None)

    @property
    def floor_n(self) -> float:
        """The greatest floor of the stages that push. [N]"""
        return max(stage.floor_n for stage in self.stages if stage.ceiling_n is not None)

    @property
    def possible(self) -> bool:
        """Whether every stage has a force that serves."""
        return all(stage.possible for stage in self.stages)

    @property
    def set_right(self) -> bool:
        """Whether what the loader is set to lies between floor and ceiling, as far as it was stated."""
        return self.set_n is None or self.floor_n <= self.set_n <= self.ceiling_n

    @property
    def used(self) -> float:
        """How near the force is to its ceiling: what is set, or else the floor, over the ceiling."""
        return (self.floor_n if self.set_n is None else self.set_n) / self.ceiling_n


def pushing(job: Job, bar: Bar, states: Sequence[Spans]) -> Pushing:
    """The forces by stage for this bar, over all the states in which it is held."""
    feed, rules = job.tables.feed, job.tables.bar_rules
    buckling = min((b for state in states for b in _bucklings(bar, state)), key=lambda b: b.force_n)
    ceiling_n = defaulted(rules, "buckling_share") * buckling.force_n
    mass_kg = getattr(job.tables.bar_path, "pusher_mass", None) or 0.0
    rubbing_n = friction_n(bar.beam, length_mm=bar.length_mm, friction_coefficient=defaulted(rules, "friction"), extra_kg=mass_kg)
    stages = tuple(
        Stage(
            key,
            name,
            needed_n=getattr(feed, key) if feed is not None else None,
            friction_n=rubbing_n,
            ceiling_n=None if key == "pull_out" else ceiling_n,
        )
        for key, name in STAGES
    )
    return Pushing(buckling, stages, bar.push_n)


def _bucklings(bar: Bar, spans: Spans) -> list[Buckling]:
    """Every place where the bar may buckle in a state, whatever is left of it: ends taken as pinned, which errs low."""
    gap = spans.gap
    found = [Buckling(euler_n(bar.beam, gap_mm=gap.length_mm, ends=Ends.PINNED), f"between {gap.front} and {gap.rear}")]
    for tube in spans.tubes:
        force_n = tube_passing_n(bar.beam, tube_mm=tube.length_mm, clearance_mm=tube.clearance_mm)
        found.append(Buckling(force_n, f"inside {tube.name}"))
    return found
