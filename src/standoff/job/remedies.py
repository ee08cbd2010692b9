"""The remedies of a job in words: what to change by how much, what follows, who must agree, what protects it, what proves it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import partial

from standoff.job.job import Job
from standoff.job.names import quantity_name
from standoff.job.offers import floors_of, offers_of
from standoff.job.speech import exact_length, listed
from standoff.reading import Reading
from standoff.solve.remedy import Dose, Remedy, Shortfall, remedies, shortfall
from standoff.units import format_length, step_up


@dataclass(frozen=True, slots=True)
class Manner:
    """What belongs to a kind of change: who must agree, what protects it when power or parameters are lost, what proves it."""

    agreed_by: str
    protected_by: str
    proved_by: str


MANNERS = {
    "cut-nose": Manner(
        "the loader's owner and its maker (it cannot be undone)",
        "nothing can be lost: it is steel",
        "measure the nose pushed in and pulled out, then the room left for it with the headstock fully back",
    ),
    "pusher-extension": Manner(
        "the loader's maker, who supplies it",
        "the loader's stored pusher length: note it before and after, check it after every loss of parameters",
        "read the pusher's reach at the machine, then run it slowly to the collet",
    ),
    "shorter-bar": Manner(
        "whoever buys the bars",
        "a mark at the magazine and the order text: a longer bar meets the collet during pre-feed",
        "load the longest bar and watch it stop before the collet at bar change",
    ),
    "front-limit": Manner(
        "the lathe's owner, and whoever writes the programs",
        "list the parameter at the hand-over and check it after every loss: without it the pusher falls short or the nose parts",
        "drive the headstock to its new front limit and read Z, then read the reach there",
    ),
    "rear-stop": Manner(
        "the lathe's maker, in writing",
        "a fitted mechanical stop: it acts without power and before homing, a soft limit does not",
        "push the headstock against the stop and measure clamp face to adapter",
    ),
    "shift-stroke": Manner(
        "the loader's maker",
        "the stop of the shift, fitted mechanically; a switch alone does not hold",
        "shift the loader slowly over its whole stroke and read it; watch the cover",
    ),
    "fitting": Manner(
        "whoever asked for the fitting",
        "list it with its size among the fitted options",
        "measure clamp face to adapter with the fitting in place",
    ),
    "accept-remnant": Manner(
        "whoever pays for the bars",
        "the record of this job, so that nobody looks for a fault later",
        "weigh or measure the first remnants",
    ),
}


def remedies_of(job: Job, *, wanted_mm: float = 0.0) -> tuple[Remedy, ...]:
    """The sets of changes that give a guarded window at least so wide [mm], best first."""
    rounded_up_mm = partial(step_up, units=job.units)
    return remedies(job.layout, offers_of(job), floors=floors_of(job), rounded_up_mm=rounded_up_mm, wanted_mm=wanted_mm)


def shortfall_of(job: Job, *, wanted_mm: float = 0.0) -> Shortfall | None:
    """How close everything offered comes, where no set makes the guarded window so wide [mm]."""
    return shortfall(job.layout, offers_of(job), floors=floors_of(job), wanted_mm=wanted_mm)


def action(dose: Dose, job: Job) -> str:
    """What to do, in words."""
    amount = exact_length(dose.amount_mm, job.units)
    quantity, kind = dose.offer.quantity, dose.offer.kind
    name, rises = quantity_name(quantity, job), dict(dose.offer.per_mm)[quantity] > 0.0
    if kind == "shift-stroke":
        return f"make the {name} {amount} {'longer' if rises else 'shorter'}"
    if kind == "fitting":
        left_mm = job.readings[quantity].value_mm + (dose.amount_mm if rises else -dose.amount_mm)
        return f"remove the {name}" if left_mm < 1e-6 else f"exchange the {name} for one of {exact_length(left_mm, job.units)}"
    texts = {
        "cut-nose": f"cut the nose by {amount}",
        "pusher-extension": f"fit a pusher extension of {amount}",
        "shorter-bar": f"load bars at least {amount} shorter",
        "front-limit": f"set the {name} {amount} farther back",
        "rear-stop": f"fit a mechanical stop that keeps the headstock {amount} ahead of the {name}",
        "accept-remnant": f"let the pusher fall short by {amount}",
    }
    return texts[kind]


def consequences(remedy: Remedy, job: Job) -> list[str]:
    """What follows from a remedy, in words: bars, remnant, travel, datum."""
    after = job.layout.changed(*(dose.offer.change(dose.amount_mm) for dose in remedy.doses))
    bar_before_mm, bar_after_mm = (_bar_mm(readings) for readings in (job.readings, after.quantities))
    said = [f"bars up to {format_length(bar_after_mm, job.units, feet=True)}"] if bar_after_mm < bar_before_mm - 1e-6 else []
    return said + [line for dose in remedy.doses for line in _follows(dose, job)]


def _follows(dose: Dose, job: Job) -> Iterator[str]:
    """What follows from one change of the headstock's limits or the remnant."""
    amount, several = exact_length(dose.amount_mm, job.units), len(job.layout.modes) > 1
    here = next((i for i in range(len(job.layout.modes)) if dose.offer.quantity.startswith(f"lathe.modes[{i}].")), 0)
    there = f" in {job.layout.modes[here].name} mode" if several else ""
    if dose.offer.kind == "accept-remnant":
        yield f"remnant {amount} longer{_everywhere(job)}"
    elif dose.offer.kind == "front-limit":
        yield f"remnant {amount} longer and {amount} less travel{there}"
    elif dose.offer.kind == "rear-stop":
        yield f"{amount} less travel{there}"
        barred = list(_barred(dose, job, here))
        if barred:
            yield f"the stop comes off again for {listed(barred)} mode"
        if here == 0:
            yield "the standoff is measured from the new stop"


def _barred(dose: Dose, job: Job, here: int) -> Iterator[str]:
    """The other modes whose rear limit lies behind a mechanical stop."""
    values_mm, modes = job.layout.values_mm(), job.layout.modes
    for i, mode in enumerate(modes):
        if i != here and (modes[here].rear - mode.rear).value(values_mm) + dose.amount_mm > 1e-6:
            yield mode.name


def _everywhere(job: Job) -> str:
    count = len(job.layout.modes)
    return "" if count == 1 else " in both modes" if count == 2 else " in every mode"


def _bar_mm(readings: Mapping[str, Reading]) -> float:
    """The longest bar [mm]."""
    return readings["rules.longest_bar" if "rules.longest_bar" in readings else "loader.bar_capacity"].value_mm
