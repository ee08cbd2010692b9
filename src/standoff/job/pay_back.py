"""After how many weeks a change that the placement proposes has paid, by the bars that its shorter remnants save.

Compared is with the pair as it is: the loader at the nearest standoff that the lower bounds surely allow, the pusher falling
short by what is missing there. After the change the loader stands at the nearest standoff that is then sure. Only bars count.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from standoff.bar.yields import MeanCount
from standoff.job.bars import longest_bar_mm
from standoff.job.costs import bar_cost
from standoff.job.job import Job
from standoff.job.parts import Part, reach_of
from standoff.job.placement import Placement
from standoff.job.supply import Supply
from standoff.model.requirement import Side
from standoff.solve.remedy import Remedy
from standoff.solve.window import TIE_MM

REMNANT_KINDS = ("front-limit", "accept-remnant")
"""Changes whose yearly price of a millimetre is that of the longer remnant: here it is counted as bars, and not twice."""

WEEKS_PER_YEAR = 52.0
"""A year's cost is spread over so many weeks."""

Weeks = float
"""A time in weeks."""


@dataclass(frozen=True, slots=True)
class Saving:
    """What a change does for one part: its bar and shortest remnant, and a year's bars in money (None: not to be told)."""

    part: str
    bar_mm: float
    remnant_mm: float
    yearly_cost: float | None


@dataclass(frozen=True, slots=True)
class PayBack:
    """One remedy: where the loader then stands, and what it saves of each part's bars in a year."""

    remedy: Remedy
    standoff_mm: float
    savings: tuple[Saving, ...]

    @property
    def saved_cost(self) -> float | None:
        """What all parts' bars cost less in a year, as far as it can be told; None where of no part."""
        told = [saving.yearly_cost for saving in self.savings if saving.yearly_cost is not None]
        return sum(told) if told else None

    @property
    def remnant_cost(self) -> float:
        """What of its yearly price was stated for a longer remnant."""
        doses = (dose for dose in self.remedy.doses if dose.offer.kind in REMNANT_KINDS)
        return sum(dose.offer.yearly_cost_per_mm * dose.amount_mm for dose in doses)

    @property
    def yearly_cost(self) -> float:
        """What it costs in a year beside bars."""
        return max((self.remedy.yearly_cost or 0.0) - self.remnant_cost, 0.0)

    @property
    def weeks(self) -> Weeks | None:
        """Weeks until it has paid, its own yearly cost taken off; infinite: never. None: its price or saving is not known."""
        remedy, saved = self.remedy, self.saved_cost
        if saved is None or remedy.first_cost is None:
            return None
        left = saved - self.yearly_cost
        return math.inf if left <= 0.0 else remedy.first_cost / left * WEEKS_PER_YEAR


@dataclass(frozen=True, slots=True)
class Comparison:
    """The proposed changes beside the pair as it is.

    `parts` are the parts as they come out at `standoff_mm`; `unmet` are further requirements that do not hold there, so that the
    pair could not be run as it is.
    """

    standoff_mm: float
    parts: tuple[Part, ...]
    unmet: tuple[str, ...]
    pay_backs: tuple[PayBack, ...]


def comparison(placement: Placement, remedies: Sequence[Remedy], supplies: Sequence[Supply]) -> Comparison | None:
    """What each remedy saves against the pair as it is; None where nothing is proposed."""
    if not remedies:
        return None
    job, standoff_mm = placement.job, placement.guarded.least_mm
    before = tuple(_moved(job, job, supply, standoff_mm) for supply in supplies)
    unmet = [
        judged.row.title
        for judged in placement.rows
        if judged.row.side is Side.AT_MOST
        and judged.row.id != "pusher-reach"
        and judged.guarded_mm is not None
        and judged.guarded_mm < standoff_mm - TIE_MM
    ]
    pay_backs = tuple(_pay_back(job, remedy, supplies, before) for remedy in remedies)
    return Comparison(standoff_mm, before, tuple(dict.fromkeys(unmet)), pay_backs)


def _pay_back(job: Job, remedy: Remedy, supplies: Sequence[Supply], before: Sequence[Part]) -> PayBack:
    changes = [dose.offer.change(dose.amount_mm) for dose in remedy.doses]
    changed, standoff_mm = replace(job, layout=job.layout.changed(*changes)), remedy.guarded.least_mm
    savings = []
    for supply, old in zip(supplies, before, strict=True):
        new = _moved(job, changed, supply, standoff_mm)
        costs = [_yearly_cost(job, supply, part) for part in (old, new)]
        saved = None if costs[0] is None or costs[1] is None else costs[0] - costs[1]
        savings.append(Saving(new.name, new.bar_mm, new.reach.remnant_mm, saved))
    return PayBack(remedy, standoff_mm, tuple(savings))


def _moved(job: Job, changed: Job, supply: Supply, standoff_mm: float) -> Part:
    """The part on a changed pair: its last cut-off at the same place of the lathe unless a limit keeps the headstock back.

    Its bars are shorter where the longest that may come would be too long for the change.
    """
    part = supply.part
    too_long_mm = min(supply.longest_bar_mm, longest_bar_mm(job)) - longest_bar_mm(changed)
    before_mm, after_mm = job.layout.values_mm(), changed.layout.values_mm()
    datum = "lathe.modes[0].z_rear"
    moved_mm = job.z_sign * (after_mm.get(datum, 0.0) - before_mm.get(datum, 0.0))
    end_mm = min(part.travel_end_mm - moved_mm, part.mode.front.value(after_mm))
    return replace(
        part,
        bar_mm=part.bar_mm - max(too_long_mm, 0.0),
        travel_end_mm=end_mm,
        reach=reach_of(changed, part.mode, travel_end_mm=end_mm, standoff_mm=standoff_mm),
    )


def _yearly_cost(job: Job, supply: Supply, part: Part) -> float | None:
    """What a year's bars cost if the part came out like this, a bar priced by its length; None where no part would come out."""
    one_cost, per_year = bar_cost(job, supply), supply.per_year
    per_bar: MeanCount = supply.per_bar_if(bar_mm=part.bar_mm, unused_mm=part.cutting.unused_mm)
    if one_cost is None or per_year is None or per_bar <= 0.0:
        return None
    return per_year / per_bar * one_cost * part.bar_mm / supply.part.bar_mm
