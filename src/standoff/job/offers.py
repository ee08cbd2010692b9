"""What could be changed on this pair: the offers a remedy is made of, from the job's tables or, failing those, the usual ones.

A soft limit at the rear is never offered: it does not act before homing, and the nose would be crushed when it is lost.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import replace

from standoff.job.job import Job
from standoff.job.tables import RemedyKind, RemedyTable
from standoff.model.form import Form
from standoff.solve.remedy import Floor, Offer

USUAL: tuple[RemedyKind, ...] = ("cut-nose", "shorter-bar", "front-limit", "rear-stop", "accept-remnant")
"""Offered without a price where the job says nothing about the kind."""

HALF = 0.5
ACCEPTED_AT_MOST_MM = 150.0
SHIFT_AT_MOST_MM = 50.0
"""Limits where the job states none: half the bar, half the travel, 150 mm of remnant, 50 mm of shift (our choice)."""


def offers_of(job: Job) -> tuple[Offer, ...]:
    """Every offer of a job, each within its own limit and such that nothing sinks below its floor."""
    stated = list(job.tables.remedy)
    named = {remedy.kind for remedy in stated}
    usual = [RemedyTable(kind=kind) for kind in USUAL if kind not in named]
    offers = (
        _within(offer, job, floors_of(job))
        for i, remedy in enumerate([*stated, *usual])
        if remedy.available is not False
        for offer in _KINDS[remedy.kind](job, remedy, f"{remedy.kind}-{i}")
    )
    return tuple(offer for offer in offers if offer.greatest_mm > 1e-9)


def floors_of(job: Job) -> tuple[Floor, ...]:
    """What no set of changes may go below: the bar change position inside the travel, half of travel and bar, no shift."""
    values_mm = job.layout.values_mm()
    floors = [Floor(bar := Form.of(_bar(job)), HALF * bar.value(values_mm))]
    for mode in job.layout.modes if job.sliding else ():
        travel = mode.front - mode.rear
        floors += [Floor(mode.bar_change - mode.rear, 0.0), Floor(mode.front - mode.bar_change, 0.0)]
        floors += [Floor(travel, HALF * travel.value(values_mm))]
        floors += [Floor(mode.shift, 0.0)] if mode.shift.value(values_mm) > 0.0 else []
    return tuple(floors)


def _within(offer: Offer, job: Job, floors: tuple[Floor, ...]) -> Offer:
    """The offer with its amount kept above the floors; nothing of a fixed one where the whole would not be."""
    values_mm, greatest_mm = job.layout.values_mm(), offer.greatest_mm
    for floor in floors:
        falls = -sum(floor.form.coefficient(name) * c for name, c in offer.per_mm)
        if falls > 0.0:
            greatest_mm = min(greatest_mm, (floor.form.value(values_mm) - floor.least_mm) / falls)
    return replace(offer, greatest_mm=0.0 if offer.fixed and greatest_mm < offer.greatest_mm else greatest_mm)


def _offer(
    remedy: RemedyTable, id_: str, quantity: str, per_mm: dict[str, float], greatest_mm: float, *, fixed: bool = False
) -> Offer:
    at_most_mm = remedy.at_most[0].value_mm if remedy.at_most and not fixed else greatest_mm
    return Offer(
        id=id_,
        kind=remedy.kind,
        quantity=quantity,
        per_mm=tuple(sorted(per_mm.items())),
        greatest_mm=min(greatest_mm, at_most_mm),
        fixed=fixed,
        first_cost=remedy.cost,
        yearly_cost=remedy.cost_per_year,
        yearly_cost_per_mm=remedy.cost_per_year_per_mm or 0.0,
    )


def _cut(job: Job, remedy: RemedyTable, id_: str) -> Iterator[Offer]:
    """A telescopic nose loses the same of both its lengths; the cut of a fixed nose is in the window already."""
    limit = job.readings.get("nose.may_be_cut")
    if job.telescopic and limit is not None:
        yield _offer(remedy, id_, "nose.collapsed", {"nose.collapsed": -1.0, "nose.extended": -1.0}, limit.value_mm)


def _extension(job: Job, remedy: RemedyTable, id_: str) -> Iterator[Offer]:
    off_mm = remedy.takes_off_bar[0].value_mm if remedy.takes_off_bar else 0.0
    for k, length in enumerate(remedy.lengths or []):
        longer_mm = length[0].value_mm
        per_mm = {"loader.pusher_reach": 1.0}
        for name, shorter_mm in _bar_shortened(job, off_mm):
            per_mm[name] = -shorter_mm / longer_mm
        yield _offer(remedy, f"{id_}.{k}", "loader.pusher_reach", per_mm, longer_mm, fixed=True)


def _bar_shortened(job: Job, off_mm: float) -> Iterator[tuple[str, float]]:
    """By how much capacity and longest bar shrink when the loader takes that much less."""
    capacity_mm = job.readings["loader.bar_capacity"].value_mm
    if off_mm > 0.0:
        yield "loader.bar_capacity", off_mm
    longest = job.readings.get("rules.longest_bar")
    if longest is not None and longest.value_mm > capacity_mm - off_mm:
        yield "rules.longest_bar", longest.value_mm - (capacity_mm - off_mm)


def _bar(job: Job) -> str:
    """The quantity that says how long the longest bar is."""
    return "rules.longest_bar" if "rules.longest_bar" in job.readings else "loader.bar_capacity"


def _shorter_bar(job: Job, remedy: RemedyTable, id_: str) -> Iterator[Offer]:
    yield _offer(remedy, id_, _bar(job), {_bar(job): -1.0}, job.readings[_bar(job)].value_mm)


def _modes(job: Job, remedy: RemedyTable) -> Iterator[tuple[int, float]]:
    """The modes a remedy is for, with their travel."""
    values_mm = job.layout.values_mm()
    for i, mode in enumerate(job.layout.modes):
        if job.sliding and remedy.mode in (None, mode.name):
            yield i, (mode.front - mode.rear).value(values_mm)


def _front_limit(job: Job, remedy: RemedyTable, id_: str) -> Iterator[Offer]:
    """A limit set farther back; the bar change position moves with it unless it was given. The cut-off tool stays."""
    for i, travel_mm in _modes(job, remedy):
        quantity = f"lathe.modes[{i}].z_front"
        per_mm = {quantity: -job.z_sign}
        if i == 0 and "lathe.collet_to_cutoff" in job.readings:
            per_mm["lathe.collet_to_cutoff"] = 1.0
        yield _offer(remedy, f"{id_}.{i}", quantity, per_mm, travel_mm)


def _rear_stop(job: Job, remedy: RemedyTable, id_: str) -> Iterator[Offer]:
    """A mechanical stop farther forward; in the first mode it moves the datum, and with it the adapter seen from the cover."""
    for i, travel_mm in _modes(job, remedy):
        quantity = f"lathe.modes[{i}].z_rear"
        per_mm = {quantity: job.z_sign}
        if i == 0 and "lathe.cover_to_adapter" in job.readings:
            per_mm["lathe.cover_to_adapter"] = 1.0
        yield _offer(remedy, f"{id_}.{i}", quantity, per_mm, travel_mm)


def _shift_stroke(job: Job, remedy: RemedyTable, id_: str) -> Iterator[Offer]:
    for i, _ in _modes(job, remedy):
        quantity = f"lathe.modes[{i}].loader_shift"
        if quantity in job.readings:
            for way, sign in (("longer", 1.0), ("shorter", -1.0)):
                yield _offer(remedy, f"{id_}.{i}.{way}", quantity, {quantity: sign}, SHIFT_AT_MOST_MM)


def _fitting(job: Job, remedy: RemedyTable, id_: str) -> Iterator[Offer]:
    """A fitting exchanged for a shorter or a longer one, or removed."""
    for length in (remedy.length or ())[:1]:
        quantity = f"fittings[{job.fittings.index(remedy.fitting or '')}].length"
        longer_mm = length.value_mm - job.readings[quantity].value_mm
        yield _offer(remedy, id_, quantity, {quantity: math.copysign(1.0, longer_mm)}, abs(longer_mm), fixed=True)


def _accept_remnant(job: Job, remedy: RemedyTable, id_: str) -> Iterator[Offer]:
    quantity = "rules.accepted_shortfall"
    yield _offer(remedy, id_, quantity, {quantity: 1.0}, ACCEPTED_AT_MOST_MM)


_KINDS: dict[RemedyKind, Callable[[Job, RemedyTable, str], Iterator[Offer]]] = {
    "cut-nose": _cut,
    "pusher-extension": _extension,
    "shorter-bar": _shorter_bar,
    "front-limit": _front_limit,
    "rear-stop": _rear_stop,
    "shift-stroke": _shift_stroke,
    "fitting": _fitting,
    "accept-remnant": _accept_remnant,
}
