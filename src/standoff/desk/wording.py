"""The answer as texts, ready for a screen: headline, sentence, table of conditions, notes and caution."""

from __future__ import annotations

from dataclasses import dataclass

from standoff.job.advice import Advice
from standoff.job.advice_speech import accusation, gain_lines, remedy_lines, shortfall_lines
from standoff.job.answer import not_judged, source_not_stated, to_be_measured
from standoff.job.caution import LOCKOUT
from standoff.job.names import quantity_name
from standoff.job.placement import Judged, Placement
from standoff.job.speech import bound_length, headline, length, small_length, spare_length, spoken, where, why
from standoff.model.requirement import Side
from standoff.solve.window import GUARD_FACTOR, TIE_MM

Notes = tuple[tuple[str, tuple[str, ...]], ...]
"""Headings, each with its lines; a line that begins with blanks explains the one before."""


@dataclass(frozen=True, slots=True)
class Table:
    """A table of texts."""

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class Wording:
    """Everything that is said about a placement."""

    title: str
    headline: str
    spoken: str
    why: str
    conditions: Table
    advice: Notes
    beside: Notes
    caution: str

    @property
    def notes(self) -> Notes:
        """Everything that is said below the table: the advice first."""
        return (*self.advice, *self.beside)


def wording(placement: Placement, advice: Advice) -> Wording:
    """The texts of a placement in the units of its job."""
    job = placement.job
    return Wording(
        title=f"{job.title}{', ' + job.site if job.site else ''}: {job.lathe} with {job.loader}",
        headline=headline(placement),
        spoken=spoken(placement),
        why=why(placement),
        conditions=_conditions(placement),
        advice=tuple(note for note in _advice(placement, advice) if note[1]),
        beside=tuple(note for note in _notes(placement) if note[1]),
        caution=LOCKOUT,
    )


def _conditions(placement: Placement) -> Table:
    units = placement.job.units
    at = f"to spare at {length(placement.standoff_mm, units)}"
    head = ("condition", "where", "standoff", at, "guard band", "")
    return Table(head, tuple(_condition(judged, placement) for judged in placement.rows))


def _condition(judged: Judged, placement: Placement) -> tuple[str, ...]:
    units = placement.job.units
    bound = ""
    if judged.bound_mm is not None:
        side = "at least" if judged.row.side is Side.AT_LEAST else "at most"
        bound = f"{side} {bound_length(judged.bound_mm, units, judged.row.side)}"
    guard_mm = GUARD_FACTOR * judged.u_mm
    sure = judged.slack_mm >= guard_mm - TIE_MM
    states = ["does not hold" if not judged.holds else "" if sure else "not sure", "binds" if judged.binding else ""]
    return (
        judged.row.title,
        where(judged),
        bound,
        f"{'' if judged.holds else '-'}{spare_length(judged.slack_mm, units)}",
        small_length(guard_mm, units),
        ", ".join(state for state in states if state),
    )


def _advice(placement: Placement, advice: Advice) -> list[tuple[str, tuple[str, ...]]]:
    """What the readings say against each other, which to take again first, and what to change."""
    accused = accusation(placement, advice.without)
    aim = f"the sure window {length(advice.wanted_mm, placement.job.units)} wide" if advice.wanted_mm > 0.0 else "it fit"
    once = ", once the readings agree" if accused else ""
    changes = tuple(line for remedy in advice.remedies for line in remedy_lines(remedy, placement.job))
    return [
        ("The readings contradict one another", accused),
        ("Measure this first", gain_lines(placement, advice)),
        (f"What would make {aim}{once}", changes),
        (f"Nothing offered makes {aim}{once}", shortfall_lines(placement, advice.shortfall)),
    ]


def _notes(placement: Placement) -> list[tuple[str, tuple[str, ...]]]:
    units, layout = placement.job.units, placement.layout
    pairings = tuple(
        f"loader shifted as in {p.shift_mode}, headstock at the {p.state} of {p.headstock_mode}: {p.failure}"
        f" ({length(p.missing_mm, units)} missing)"
        for p in placement.pairings
    )
    missing = tuple(f"{r.title}: for want of {', '.join(layout.wanting(r))}" for r in not_judged(placement))
    return [
        ("Needs an interlock or a fixed procedure", pairings),
        ("Warnings", tuple(f"{w.text} ({w.source})" for w in placement.warnings)),
        ("Not checked", missing),
        (
            "Measure this (known only from a manual, a drawing or an estimate)",
            tuple(quantity_name(field, placement.job) for field in to_be_measured(placement)),
        ),
        (
            "How it was read is not stated (taken as tape, control for Z)",
            tuple(quantity_name(field, placement.job) for field in source_not_stated(placement)),
        ),
        ("Remarks", placement.remarks),
    ]
