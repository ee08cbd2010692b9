"""The survey sheet to print: every dimension of the walk with a line to write on, whether or not it is known yet."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from standoff.desk.choices import CHOICES, mode_names
from standoff.desk.sheet import Sheet
from standoff.desk.survey_field import SOURCE_WORDS, is_named
from standoff.job.checks import KEYS_OF_KIND
from standoff.job.field import value_at
from standoff.job.guide import STOPS
from standoff.job.step import Step, Stop

LINES = {"lathe.modes": 2, "fittings": 2, "passage": 3, "check": 3}
"""So many entries of each list have lines at least."""


@dataclass(frozen=True, slots=True)
class Line:
    """One line to write on: what, from where to where, and with what it is usually read or what it may be."""

    title: str
    how: str
    tool: str


@dataclass(frozen=True, slots=True)
class BlankStop:
    """A stop of the walk with its lines."""

    title: str
    set_first: str
    lines: tuple[Line, ...]


def blank_sheet(sheet: Sheet) -> tuple[BlankStop, ...]:
    """The walk to print: modes unless the headstock is known to be fixed, and of the nose what its kind has, if that is known."""
    return tuple(BlankStop(stop.title, stop.set_first, tuple(_lines(stop, sheet))) for stop in STOPS)


def _lines(stop: Stop, sheet: Sheet) -> Iterator[Line]:
    fixed = value_at(sheet.raw, "lathe.headstock") == "fixed"
    kind = str(value_at(sheet.raw, "nose.kind"))
    for step in stop.steps:
        own = step.field.removeprefix("nose.")
        of_another = kind in KEYS_OF_KIND and any(own in lengths for name, lengths in KEYS_OF_KIND.items() if name != kind)
        if "[i]" not in step.field and not (fixed and step.field == "lathe.z_forward") and not of_another:
            yield Line(step.title, step.how, _tool(step))
    for table, least in LINES.items():
        steps = [step for step in stop.steps if step.field.startswith(f"{table}[i]")]
        if fixed and table == "lathe.modes":
            continue
        names = mode_names(sheet.raw) if table == "lathe.modes" else []
        for i in range(max(least, len(value_at(sheet.raw, table) or [])) if steps else 0):
            name = names[i] if i < len(names) else str(i + 1)
            yield from (Line(f"{step.title} ({name})", step.how, _tool(step)) for step in steps)


def _tool(step: Step) -> str:
    if is_named(step.field.replace("[i]", "[0]")):
        return ""
    choices = CHOICES.get(step.field, ())
    return dict(SOURCE_WORDS).get(step.tool, "") if not choices else " / ".join(w for _, w in choices) if len(choices) < 3 else ""
