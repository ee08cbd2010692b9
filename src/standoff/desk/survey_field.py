"""One field of the survey as a page shows it: what is asked, what stands there, what is wrong with it."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from typing import Literal

from standoff.desk.asked import is_needed
from standoff.desk.choices import Choices, choices_of, suggestions_of
from standoff.desk.entry import Entry, Pending
from standoff.desk.names import field_id
from standoff.desk.sheet import Sheet
from standoff.errors import StandoffError
from standoff.job.field import Kind, kind_of
from standoff.job.guide import step_of, walk_of
from standoff.job.step import Step

SOURCE_WORDS = (
    ("tape", "tape"),
    ("sighted", "tape, sighted"),
    ("rule", "steel rule"),
    ("caliper", "caliper"),
    ("laser", "laser"),
    ("control", "control"),
    ("manual", "manual"),
    ("drawing", "drawing"),
    ("estimate", "estimate"),
)
"""Every source in a word or two, in the order of a list to choose from."""

Shown = Literal["choice", "name", "quantity", "figure"]
"""How a field is shown; a figure is a number of which nobody asks what it was read with."""


@dataclass(frozen=True, slots=True)
class Again:
    """A further reading of the same quantity: one that was taken, or the next one to take."""

    field: str
    text: str
    source: str
    pending: Pending | None

    @property
    def id(self) -> str:
        """The field as an element's id."""
        return field_id(self.field)


@dataclass(frozen=True, slots=True)
class Field:
    """One field of the survey. `way` is 0 or 1 where a direction is told in words: which of `ways` holds now.

    A choice is one of `choices`; a name may be one of `suggestions`.
    """

    field: str
    title: str
    how: str
    kind: Shown
    text: str
    source: str
    usual_source: str
    uncertainty: str
    note: str
    again: tuple[Again, ...]
    needed: bool
    pending: Pending | None
    choices: Choices
    suggestions: tuple[str, ...]
    ways: tuple[str, str] | None
    way: int
    defined: str
    question: str

    @property
    def id(self) -> str:
        """The field as an element's id."""
        return field_id(self.field)

    @property
    def done(self) -> bool:
        """Whether it holds a value."""
        return self.text != "" and self.pending is None

    @property
    def judged(self) -> bool:
        """Whether its limits of error count: what comes after the placement takes each figure as it is."""
        return self.uncertainty != "" or walk_of(self.field) == "survey"

    @property
    def told_more(self) -> bool:
        """Whether it says more than a value and what it was read with, so that this must not stay folded away."""
        return bool(self.uncertainty or len(self.again) > 1 or any(again.pending for again in self.again))


def field_view(sheet: Sheet, field: str, question: str = "") -> Field:
    """One field of the survey at a revision, with what is to be asked about its value."""
    step, raw = step_of(field), sheet.raw
    entry = sheet.entry(field)
    text, way = without_sign(entry.text, step)
    choices = choices_of(field, raw)
    if choices and text and text not in dict(choices):
        choices = (*choices, (text, f"{text} (not there any more)"))
    kind: Shown = "choice" if choices else _kind(field, step)
    return Field(
        field=field,
        title=step.title,
        how=step.how,
        kind=kind,
        text=text,
        source=entry.source or "",
        usual_source=step.tool,
        uncertainty=entry.uncertainty or "",
        note=entry.note or "",
        again=_again(sheet, field, step) if kind == "quantity" else (),
        needed=is_needed(field, raw),
        pending=sheet.pending.get(field),
        choices=choices,
        suggestions=suggestions_of(field),
        ways=step.ways,
        way=way,
        defined=step.defined,
        question=question,
    )


def _kind(field: str, step: Step) -> Shown:
    """How a field without choices is shown: a magnitude, typed with its unit, is a figure as much as a length is."""
    if is_named(field):
        return "name"
    if kind_of(field) is Kind.NUMBER:
        return "figure"
    return "quantity" if step.tool else "figure"


def is_named(field: str) -> bool:
    """Whether a field takes a name rather than a figure."""
    return kind_of(field) is Kind.WORDS and bool(step_of(field).tool)


def typed_into(field: Field, typed: Entry, refused: StandoffError | None) -> Field:
    """The field with what was typed though it was not saved, and why."""
    pending = Pending(typed, refused.problem(field=field.field)) if refused is not None else field.pending
    text, way = without_sign(typed.text, step_of(field.field))
    return replace(
        field,
        text=text,
        way=way,
        source=typed.source or "",
        uncertainty=typed.uncertainty or "",
        note=typed.note or "",
        pending=pending,
    )


def without_sign(text: str, step: Step) -> tuple[str, int]:
    """A length whose direction is told in words: the text without its sign, and which words hold."""
    if step.ways is not None and text.startswith(("-", "\u2212")):
        return text[1:].strip(), 1
    return text, 0


def main_field(field: str) -> str:
    """The field under which a further reading is shown: `loader.pusher_reach` for `loader.pusher_reach[1]`."""
    further = re.fullmatch(r"(.+\.[a-z_]+)\[[0-9]+\]", field)
    return field if further is None or further[1] in ("lathe.modes", "loader.centre_height") else further[1]


def _again(sheet: Sheet, field: str, step: Step) -> tuple[Again, ...]:
    """The further readings of a quantity that holds one, with an empty one to take next; none of what nobody measures.

    What comes after the placement takes one reading of each, so that no more are asked for.
    """
    once = step.tool == "manual" or walk_of(field) != "survey" or field.startswith("loader.centre_height")
    if once or not sheet.entry(field).text:
        return ()
    found = []
    for i in range(1, 20):
        entry, pending = sheet.entry(f"{field}[{i}]"), sheet.pending.get(f"{field}[{i}]")
        found.append(Again(f"{field}[{i}]", entry.text, entry.source or step.tool, pending))
        if not entry.text:
            break
    return tuple(found)
