"""One field of the survey as a page shows it: what is asked, what stands there, what is wrong with it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any, Literal

from standoff.desk.entry import Entry, Pending
from standoff.desk.names import field_id
from standoff.desk.sheet import Sheet
from standoff.errors import StandoffError
from standoff.job.checks import KEYS_OF_KIND
from standoff.job.field import value_at
from standoff.job.guide import Step, step_of
from standoff.job.names import STATION_NAMES
from standoff.job.tables import JobFile, extra, keys, table_of
from standoff.model.state import BAR_CHANGE, FRONT_LIMIT, REAR_LIMIT, STANDING

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

Choices = tuple[tuple[str, str], ...]
CHOICES: Mapping[str, Choices] = {
    "job.units": (("in", "inches"), ("mm", "millimetres")),
    "lathe.headstock": (("sliding", "slides"), ("fixed", "fixed")),
    "lathe.z_forward": (("positive", "Z rises going forward"), ("negative", "Z falls going forward")),
    "nose.kind": (("telescopic", "telescopic"), ("fixed", "fixed")),
    "check[i].from": tuple(STATION_NAMES.items()),
    "check[i].to": tuple(STATION_NAMES.items()),
    "check[i].state": (
        (REAR_LIMIT, "at its rear limit"),
        (FRONT_LIMIT, "at its front limit"),
        (BAR_CHANGE, "at bar change"),
        (STANDING, "fixed"),
    ),
}
"""Fields answered by choosing, with the words for each answer."""

NAMES = ("job.title", "job.site", "lathe.name", "loader.name")


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
    """One field of the survey. `way` is 0 or 1 where a direction is told in words: which of `ways` holds now."""

    field: str
    title: str
    how: str
    kind: Literal["choice", "name", "quantity"]
    text: str
    source: str
    usual_source: str
    uncertainty: str
    note: str
    again: tuple[Again, ...]
    needed: bool
    pending: Pending | None
    choices: Choices
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
    def told_more(self) -> bool:
        """Whether it says more than a value and what it was read with, so that this must not stay folded away."""
        return bool(self.uncertainty or len(self.again) > 1 or any(again.pending for again in self.again))


def field_view(sheet: Sheet, field: str, question: str = "") -> Field:
    """One field of the survey at a revision, with what is to be asked about its value."""
    step, raw = step_of(field), sheet.raw
    entry = sheet.entry(field)
    text, way = without_sign(entry.text, step)
    choices = _choices(field, raw)
    kind: Literal["choice", "name", "quantity"] = "quantity"
    if choices:
        kind = "choice"
    elif is_named(field):
        kind = "name"
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
        ways=step.ways,
        way=way,
        defined=step.defined,
        question=question,
    )


def is_named(field: str) -> bool:
    """Whether a field takes a name rather than a length."""
    return field in NAMES or field.endswith(".name") or field == "check[i].mode"


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


def _choices(field: str, raw: Mapping[str, Any]) -> Choices:
    if re.fullmatch(r"check\[[0-9]+\]\.mode", field):
        return tuple((name, name) for name in mode_names(raw))
    return CHOICES.get(re.sub(r"\[[0-9]+\]", "[i]", field), ())


def mode_names(raw: Mapping[str, Any]) -> list[str]:
    """The names of the modes as far as they are typed."""
    modes = value_at(raw, "lathe.modes") or []
    return [str(mode["name"]) for mode in modes if isinstance(mode, dict) and mode.get("name")]


def _again(sheet: Sheet, field: str, step: Step) -> tuple[Again, ...]:
    """The further readings of a quantity that holds one, with an empty one to take next; none of what nobody measures."""
    if step.tool == "manual" or not sheet.entry(field).text or field.startswith("loader.centre_height"):
        return ()
    found = []
    for i in range(1, 20):
        entry, pending = sheet.entry(f"{field}[{i}]"), sheet.pending.get(f"{field}[{i}]")
        found.append(Again(f"{field}[{i}]", entry.text, entry.source or step.tool, pending))
        if not entry.text:
            break
    return tuple(found)


def is_asked(field: str, raw: Mapping[str, Any]) -> bool:
    """Whether a field is asked for: of the nose only what its kind has, of the headstock only what slides."""
    sliding = bool(value_at(raw, "lathe.headstock") == "sliding")
    if field == "lathe.z_forward":
        return sliding
    if field.startswith("check[") and field.endswith(".mode"):
        return sliding and len(mode_names(raw)) > 1
    kind, own = str(value_at(raw, "nose.kind")), field.removeprefix("nose.")
    if field.startswith("nose.") and own != "kind" and kind not in KEYS_OF_KIND:
        return False
    if field == "nose.least_engagement":
        return bool(value_at(raw, "nose.entry_depth")) or bool(value_at(raw, field))
    if any(own in lengths for lengths in KEYS_OF_KIND.values()):
        return own in KEYS_OF_KIND[kind]
    return True


def is_needed(field: str, raw: Mapping[str, Any]) -> bool:
    """Whether a job cannot be solved without it."""
    if field == "lathe.z_forward":
        return True
    if field.startswith("nose.") and field.removeprefix("nose.") in KEYS_OF_KIND.get(str(value_at(raw, "nose.kind")), ()):
        return True
    return bool(_declared(field).get("required"))


def _declared(field: str) -> dict[str, Any]:
    """What the job file declares of a field."""
    table: type[Any] = JobFile
    *way, last = re.findall(r"[^.\[\]]+", re.sub(r"\[\d+\]", "", field))
    for part in way:
        table = table_of(table, part)
    return next((extra(found) for key, _, found in keys(table) if key == last), {})
