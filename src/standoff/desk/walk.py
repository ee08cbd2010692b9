"""A walk as a page shows it: its stops with their fields, group by group, and how a field is spoken of on its own."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from standoff.desk.asked import is_asked
from standoff.desk.names import field_id
from standoff.desk.sheet import Sheet
from standoff.desk.survey_field import Field, field_view, main_field
from standoff.job.field import replaced, value_at
from standoff.job.guide import WALKS, step_of, walk_of
from standoff.job.step import Step, Stop


@dataclass(frozen=True, slots=True)
class Listed:
    """How an entry of a list is called: alone, with its article, and by which of its keys."""

    word: str
    article: str
    key: str = "name"


LISTS: Mapping[str, Listed] = {
    "lathe.modes": Listed("Mode", "a mode"),
    "fittings": Listed("Fitting", "a fitting"),
    "passage": Listed("Bore", "a bore"),
    "check": Listed("Overall reading", "an overall reading"),
    "bars": Listed("Bar", "a bar"),
    "supports": Listed("Support", "a support"),
    "liners": Listed("Liner", "a liner"),
    "speed_limits": Listed("Greatest speed", "a greatest speed", "of"),
    "site_checks": Listed("Reading on site", "a reading on site", "bar"),
    "parts": Listed("Part", "a part"),
    "runoff_runs": Listed("Run", "a run"),
    "runoff_alarms": Listed("Alarm", "an alarm", "alarm"),
    "feet": Listed("Foot", "a foot"),
    "side_screws": Listed("Side screws", "side screws"),
    "brackets": Listed("Bracket", "a bracket"),
    "reference_lines": Listed("Line of reference", "a line of reference"),
    "levels": Listed("Level reading", "a level reading", "way"),
    "sweeps": Listed("Sweep", "a sweep"),
    "line_readings": Listed("Reading from a line", "a reading from a line", "line"),
    "level_rounds": Listed("Round", "a round", "round"),
    "floor_items": Listed("Item", "an item"),
    "floor_doors": Listed("Door", "a door"),
    "keep_outs": Listed("Space to keep free", "a space to keep free"),
    "working_spaces": Listed("Working space", "a working space", "item"),
    "slab_joints": Listed("Joint", "a joint"),
    "floor_loads": Listed("Mass", "a mass"),
    "reference_points": Listed("Reference point", "a reference point"),
    "holes": Listed("Mark", "a mark"),
}
"""The lists of tables that a walk fills in."""


@dataclass(frozen=True, slots=True)
class Group:
    """Fields that belong together: the plain ones of a stop, or one element of a list.

    `element` is what may be taken away, `add` the list that may get one more; `layout` names how they are laid out, if not in
    lines below one another.
    """

    title: str
    fields: tuple[Field, ...]
    element: str
    add: str
    layout: str = ""


@dataclass(frozen=True, slots=True)
class Place:
    """One stop of the walk with its fields; one that is `folded` is opened by whoever wants it."""

    stop: Stop
    groups: tuple[Group, ...]
    folded: bool = False

    @property
    def fields(self) -> Iterator[Field]:
        """Every field of it."""
        return (field for group in self.groups for field in group.fields)


@dataclass(frozen=True, slots=True)
class Form:
    """The fields of a page after the survey, and what is wrong among them."""

    places: tuple[Place, ...]
    waiting: tuple[Question, ...]
    contradictions: tuple[Question, ...]


@dataclass(frozen=True, slots=True)
class Question:
    """Something to be asked about a field."""

    field: str
    title: str
    text: str

    @property
    def id(self) -> str:
        """The id of the field under which it is shown."""
        return field_id(main_field(self.field))


def places_of(sheet: Sheet, walk: str, asked: Mapping[str, str] | None = None) -> tuple[Place, ...]:
    """The stops of a walk with their fields; `asked` is what is to be asked about a field's value."""
    return tuple(Place(stop, tuple(_groups(stop, walk, sheet, asked or {}))) for stop in WALKS[walk])


def form_of(sheet: Sheet, walk: str) -> Form:
    """The fields of a page after the survey, at a revision."""
    # What is wrong with an empty field is that it is wanted, which the answer above the fields says.
    filled = tuple(line for line in contradictions_in(sheet, walk) if sheet.entry(line.field).text)
    return Form(places_of(sheet, walk), waiting_in(sheet, walk), filled)


def waiting_in(sheet: Sheet, walk: str) -> tuple[Question, ...]:
    """What waits beside its reason, of the fields of a walk."""
    found = ((field, pending) for field, pending in sheet.pending.items() if walk_of(field) == walk)
    return tuple(question(field, f"“{pending.text}” is not taken over", sheet) for field, pending in found)


def contradictions_in(sheet: Sheet, walk: str) -> tuple[Question, ...]:
    """What the checks between fields find wrong, of the fields of a walk."""
    found = [p for p in sheet.problems if p.code != "key-missing" and p.field not in sheet.pending and walk_of(p.field) == walk]
    return tuple(question(p.field, f"{p.found}, expected {p.expected}; {p.action}.", sheet) for p in found)


def question(field: str, text: str, sheet: Sheet) -> Question:
    """Something to be asked about a field."""
    return Question(field, title_of_field(field, sheet), text)


def title_of_field(field: str, sheet: Sheet) -> str:
    """A field as it is spoken of on its own: its title, and of which mode, fitting, bore or further reading it is."""
    main = main_field(field)
    title = step_of(main).title
    table, bracket, rest = main.partition("[")
    if bracket and table in LISTS:
        index = rest.partition("]")[0]
        name = _name(sheet, table, int(index)) or f"{LISTS[table].word.lower()} {int(index) + 1}"
        title = f"{title} ({name})" if "." in rest else name
    return title if main == field else f"{title}, read again"


def _name(sheet: Sheet, table: str, index: int) -> str:
    """What an entry of a list is called, as far as it is typed."""
    value = value_at(sheet.raw, f"{table}[{index}].{LISTS[table].key}")
    return "" if value is None else str(value)


def _groups(stop: Stop, walk: str, sheet: Sheet, asked: Mapping[str, str]) -> Iterator[Group]:
    plain = [step for step in stop.steps if "[i]" not in step.field]
    listed: dict[str, list[Step]] = {}
    for step in stop.steps:
        if "[i]" in step.field:
            listed.setdefault(step.field.partition("[i]")[0], []).append(step)
    if plain:
        yield Group("", _fields(plain, None, sheet, asked), "", "")
    for table, steps in listed.items():
        if table == "lathe.modes" and value_at(sheet.raw, "lathe.headstock") != "sliding":
            continue
        # A list of another walk is only completed here: its entries come and go there.
        own = walk_of(table) == walk
        for i in range(len(value_at(sheet.raw, table) or [])):
            name = _name(sheet, table, i)
            title = f"{LISTS[table].word} {i + 1}" + (f": {name}" if name else "")
            yield Group(title, _fields(steps, i, sheet, asked), f"{table}[{i}]" if own else "", "")
        if own:
            yield Group(f"Add {LISTS[table].article}", (), "", table)


def _fields(steps: list[Step], index: int | None, sheet: Sheet, asked: Mapping[str, str]) -> tuple[Field, ...]:
    fields = [step.field if index is None else step.field.replace("[i]", f"[{index}]") for step in steps]
    raw = _as_typed(sheet)
    return tuple(field_view(sheet, field, asked.get(field, "")) for field in fields if is_asked(field, raw))


def _as_typed(sheet: Sheet) -> Mapping[str, Any]:
    """What is typed, with what waits in rows of bar speed: a material of one's own waits for its density to be asked for."""
    raw = sheet.raw
    for field, pending in sheet.pending.items():
        if walk_of(field) == "speed" and "]." in field and pending.text:
            raw = replaced(raw, field, pending.text)
    return raw
