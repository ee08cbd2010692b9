"""Does everything pass? Pusher, pusher collet and bar through every bore, and which spindle liner is the smallest that passes.

This comes before any speed: a bar whose pusher cannot pass has none. A bar is judged over its corners, at its greatest size,
bowed as much as its straightness allows over the bore's length (up to a metre).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from standoff.job.bar_tables import LinerTable
from standoff.job.bars import Bar
from standoff.job.job import Job

CHORD_MM = 1000.0
"""The length over which straightness is stated; the bow taken for a bore of unknown length. [mm]"""


@dataclass(frozen=True, slots=True)
class Passing:
    """One traveller through one bore: what the bore is, what it would have to be at least."""

    traveller: str
    bore: str
    bore_mm: float
    needed_mm: float

    @property
    def passes(self) -> bool:
        """Whether it passes."""
        return self.bore_mm >= self.needed_mm


@dataclass(frozen=True, slots=True)
class LinerChoice:
    """A spindle liner that may be fitted: what it would have to pass, and whether it is the one to fit."""

    name: str
    bore_mm: float
    needed_mm: float
    by: str
    chosen: bool

    @property
    def passes(self) -> bool:
        """Whether all that goes through it passes."""
        return self.bore_mm >= self.needed_mm


@dataclass(frozen=True, slots=True)
class TurnDown:
    """The bar's rear end must be turned down, so that the pusher collet takes it."""

    to_mm: float
    over_mm: float | None


@dataclass(frozen=True, slots=True)
class _Traveller:
    """What goes through, and the least bore it needs through a bore of a length."""

    name: str
    diameter_mm: float
    bow_mm_per_m: float

    def needs_mm(self, length_mm: float, clearance_mm: float) -> float:
        """Diameter, bow over the bore's length, running clearance."""
        return self.diameter_mm + self.bow_mm_per_m * min(length_mm, CHORD_MM) / CHORD_MM + clearance_mm


def passings(job: Job, bar: Bar) -> tuple[Passing, ...]:
    """Every traveller through every bore the file names: the passage's, and those of guide tubes and channels."""
    clearance_mm = job.readings["bar_path.running_clearance"].value_mm
    bores = [(t.name, t.bore[0].value_mm, t.length[0].value_mm if t.length else CHORD_MM) for t in job.tables.passage]
    # A tube that the passage names too is told once, but only where both say the same of it.
    named = {(name, bore_mm) for name, bore_mm, _ in bores}
    tubes = [t for t in job.tables.supports if t.bore and (t.name, t.bore[0].value_mm) not in named]
    bores += [(t.name, t.bore[0].value_mm, t.length[0].value_mm if t.length else CHORD_MM) for t in tubes if t.bore]
    return tuple(
        Passing(traveller.name, name, bore_mm, traveller.needs_mm(length_mm, clearance_mm))
        for name, bore_mm, length_mm in bores
        for traveller in _travellers(job, bar)
    )


def liner_choices(job: Job, bar: Bar) -> tuple[LinerChoice, ...]:
    """Every liner of the file, judged; the smallest that passes is the one to fit."""
    length_mm = job.readings["lathe.adapter_to_collet"].value_mm
    clearance_mm = job.readings["bar_path.running_clearance"].value_mm
    needs = [(t.needs_mm(length_mm, clearance_mm), t.name) for t in _travellers(job, bar)]
    needed_mm, by = max(needs)
    passing = [t.bore[0].value_mm for t in job.tables.liners if t.bore[0].value_mm >= needed_mm]
    smallest_mm = min(passing, default=None)
    bores_mm = [t.bore[0].value_mm for t in job.tables.liners]
    chosen = bores_mm.index(smallest_mm) if smallest_mm is not None else None
    return tuple(
        LinerChoice(t.name, t.bore[0].value_mm, needed_mm, by, chosen=i == chosen) for i, t in enumerate(job.tables.liners)
    )


def chosen_liner(job: Job, bar: Bar) -> LinerTable | None:
    """The liner to fit for this bar; None where the job names none, or none passes."""
    picked = [i for i, choice in enumerate(liner_choices(job, bar)) if choice.chosen]
    return job.tables.liners[picked[0]] if picked else None


def all_pass(through: Sequence[Passing], liners: Sequence[LinerChoice], turned: TurnDown | None) -> bool:
    """Whether everything passes, a liner can be fitted, and the pusher collet takes the bar's end."""
    liner_fits = not liners or any(choice.passes for choice in liners)
    return all(one.passes for one in through) and liner_fits and turned is None


def turn_down(job: Job, bar: Bar) -> TurnDown | None:
    """Whether the bar's rear end is too thick for the pusher collet, as it comes or as it was turned down."""
    path = job.tables.bar_path
    if path is None or not path.collet_takes:
        return None
    takes_mm = path.collet_takes[0].value_mm
    end_mm = bar.corners_mm if bar.end_turned_mm is None else bar.end_turned_mm
    return TurnDown(takes_mm, path.insertion[0].value_mm if path.insertion else None) if end_mm > takes_mm else None


def _travellers(job: Job, bar: Bar) -> Iterator[_Traveller]:
    """Pusher, pusher collet and bar, as far as the file states them."""
    for name, key in (("pusher", "bar_path.pusher_od"), ("pusher collet", "bar_path.pusher_collet_od")):
        if key in job.readings:
            yield _Traveller(name, job.readings[key].value_mm, 0.0)
    yield _Traveller("bar over its corners" if bar.section.edges else "bar", bar.corners_mm, bar.straightness_mm_per_m)
