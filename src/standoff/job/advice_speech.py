"""The advice in words: what the readings say against each other, what to measure, what to change."""

from __future__ import annotations

from standoff.job.advice import Advice
from standoff.job.job import Job
from standoff.job.names import quantity_name, way
from standoff.job.placement import Placement
from standoff.job.remedies import MANNERS, action, consequences
from standoff.job.speech import chances, headline, length, listed, named, small_length, spoken
from standoff.job.survey import observation_name, quantity_of
from standoff.model.form import STANDOFF
from standoff.solve.reconcile import Judgement
from standoff.solve.remedy import Remedy, Shortfall

WORTH_MEASURING = 0.99
"""Above this chance that everything holds, no reading is asked for again."""


def accusation(placement: Placement, without: Placement | None) -> tuple[str, ...]:
    """Which readings are suspect, as groups, and what would tell a group apart; nothing where the readings agree."""
    survey, job = placement.survey, placement.job
    if survey is None or survey.result.consistent:
        return ()
    by_name = {judgement.name: judgement for judgement in survey.result.judgements}
    lines = []
    for i, group in enumerate(survey.suspects):
        names = listed([_accused(by_name[name], job) for name in group], last="or")
        lines.append(f"{'suspect' if i == 0 else 'or else'}: {names}")
        if i == 0 and survey.split is not None:
            lines.append(f"they cannot be told apart by what was read; read next: {survey.split}")
    if not lines:
        lines.append("no single reading explains it: take again what was read twice or over several parts")
    if without is not None:
        lines.append(f"with it the answer is as above; {_without(without, survey.lone_suspect)}")
    return tuple(lines)


def _without(without: Placement, suspect: Judgement | None) -> str:
    """What the answer would be without the suspect reading."""
    text, reading = headline(without), without.job.readings.get(suspect.name) if suspect is not None else None
    made = f"the others make it {length(reading.value_mm, without.job.units)}, and " if reading is not None else ""
    subject = "the pair " if without.asked_mm is None else ""
    return f"without it {made}{subject}{text[0].lower()}{text[1:]}. {spoken(without)}"


def _accused(judgement: Judgement, job: Job) -> str:
    """One suspect reading, and by how much it is off if it alone is wrong."""
    _, fault = way(quantity_of(judgement.name, job), judgement.error_mm, job)
    return f"{observation_name(judgement.name, job)} (about {length(abs(judgement.error_mm), job.units)} {fault})"


def gain_lines(placement: Placement, advice: Advice) -> tuple[str, ...]:
    """The readings worth taking again first, and what each brings; none where it is sure enough as it is."""
    if not placement.guarded.empty and placement.probability >= WORTH_MEASURING:
        return ()
    job = placement.job
    width_mm = placement.guarded.greatest_mm - placement.guarded.least_mm
    lines = []
    for gain in advice.gains[:3]:
        name = "setting the loader to its mark" if gain.quantity == STANDOFF else quantity_name(gain.quantity, job)
        wider = small_length(gain.wider_mm, job.units)
        if gain.wider_mm == 0.0:
            brings = "leaves the window as it is"
        elif width_mm >= 0.0:
            brings = f"makes the sure window {wider} wider"
        elif width_mm + gain.wider_mm >= 0.0:
            brings = f"opens a sure window {small_length(width_mm + gain.wider_mm, job.units)} wide"
        else:
            brings = f"brings a sure window {wider} nearer"
        chance = chances(gain.probability)
        lines.append(f"{name}: half its uncertainty {brings}; the chance that everything holds is then {chance}")
    return tuple(lines)


def remedy_lines(remedy: Remedy, job: Job) -> tuple[str, ...]:
    """One set of changes with what follows, its price, who must agree, what keeps it and what proves it."""
    actions = " and ".join(action(dose, job) for dose in remedy.doses)
    follows = "; ".join(consequences(remedy, job))
    manners = [MANNERS[kind] for kind in dict.fromkeys(dose.offer.kind for dose in remedy.doses)]
    return (
        f"{actions}{f': {follows}' if follows else ''} ({opening(remedy, job)}; {price(remedy, job)})",
        f"  to agree: {'; '.join(manner.agreed_by for manner in manners)}",
        f"  kept by:  {'; '.join(manner.protected_by for manner in manners)}",
        f"  proof:    {'; '.join(manner.proved_by for manner in manners)}",
    )


def opening(remedy: Remedy, job: Job) -> str:
    """How wide the sure window becomes."""
    width = small_length(remedy.guarded.greatest_mm - remedy.guarded.least_mm, job.units)
    return "the sure window just opens" if width.startswith("under") else f"sure window {width} wide"


def price(remedy: Remedy, job: Job) -> str:
    """What a remedy costs."""
    if remedy.first_cost is None or remedy.yearly_cost is None or job.tables.prices is None:
        return "price not known"
    currency = job.tables.prices.currency
    once, yearly = f"{remedy.first_cost:.0f} {currency}", f"{remedy.yearly_cost:.0f} {currency} a year"
    if remedy.yearly_cost == 0.0:
        return once
    return yearly if remedy.first_cost == 0.0 else f"{once} and {yearly}"


def shortfall_lines(placement: Placement, shortfall: Shortfall | None) -> tuple[str, ...]:
    """How close everything offered comes, and what blocks it."""
    if shortfall is None:
        return ()
    placed = [judged for judged in placement.rows if judged.row.bounds_standoff]
    blocking = listed([named(placed[i]) for i in shortfall.rows])
    missing = small_length(shortfall.missing_mm, placement.job.units)
    last = (
        "other machines, another nose or another loader have to be looked for"
        if placement.window.empty
        else "better readings may be enough: take those named above again"
    )
    return (f"with all of it done, {missing} is still missing at each of: {blocking}", last)
