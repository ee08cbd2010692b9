"""The survey as a page shows it: stops and fields in walking order, what is typed, what is wrong, what is still wanted."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from standoff.desk.entry import Entry
from standoff.desk.names import field_id
from standoff.desk.sheet import Sheet
from standoff.desk.survey_field import SOURCE_WORDS, Field, field_view, is_asked, main_field, mode_names, typed_into
from standoff.desk.workbench import Workbench
from standoff.draw.survey import Asked, survey_drawing
from standoff.draw.svg import svg
from standoff.errors import QuantityError, StandoffError
from standoff.job.advice_speech import accusation
from standoff.job.field import value_at
from standoff.job.file import parse_job
from standoff.job.guide import STOPS, Step, Stop, step_of
from standoff.job.placement import place
from standoff.job.plausible import USUAL_MM, implausible, unusual
from standoff.job.revision import revised
from standoff.job.template import template
from standoff.model.state import FRONT_LIMIT
from standoff.reading import read_quantity
from standoff.units import Units

__all__ = ["SOURCE_WORDS", "begin_zero_check", "field_view", "main_field", "survey_picture", "survey_view", "title_of_field"]

_AROUND = {
    "lathe.cover_to_adapter": "-40 mm",
    "lathe.cover_to_wall": "6.7 m",
    "lathe.collet_to_cutoff": "320 mm",
    "loader.body_ahead_of_clamp": "20 mm",
    "loader.length_behind_clamp": "4.6 m",
}
"""What the usual pair has besides what must be there, so that every dimension can be shown on it."""
_WORDS = {"lathe.modes": "Mode", "fittings": "Fitting", "passage": "Bore", "check": "Overall reading"}
_ARTICLES = {"lathe.modes": "a mode", "fittings": "a fitting", "passage": "a bore", "check": "an overall reading"}


@dataclass(frozen=True, slots=True)
class Group:
    """Fields that belong together: the plain ones of a stop, or one element of a list, which may be taken away."""

    title: str
    fields: tuple[Field, ...]
    element: str
    add: str


@dataclass(frozen=True, slots=True)
class Place:
    """One stop of the walk with its fields, and how many of the needed ones are still empty."""

    stop: Stop
    groups: tuple[Group, ...]
    to_go: int


@dataclass(frozen=True, slots=True)
class Question:
    """Something to be asked about a field."""

    id: str
    title: str
    text: str


@dataclass(frozen=True, slots=True)
class SurveyView:
    """The whole survey; `zero_check` names the mode whose zero nobody has checked yet."""

    places: tuple[Place, ...]
    done: int
    needed: int
    contradictions: tuple[Question, ...]
    wanting: tuple[str, ...]
    questions: tuple[Question, ...]
    waiting: tuple[Question, ...]
    accusations: tuple[str, ...]
    zero_check: str


def survey_view(sheet: Sheet) -> SurveyView:
    """The survey of a job at a revision."""
    placement = place(sheet.job) if sheet.job is not None else None
    asked = questions(sheet)
    places = tuple(_place(stop, sheet, asked) for stop in STOPS)
    wanted = [f for place in places for group in place.groups for f in group.fields if f.needed]
    pending = set(sheet.pending)
    contradictory = [p for p in sheet.problems if p.code != "key-missing" and p.field not in pending]
    return SurveyView(
        places=places,
        done=sum(f.done for f in wanted),
        needed=len(wanted),
        contradictions=tuple(_question(p.field, f"{p.found}, expected {p.expected}; {p.action}.", sheet) for p in contradictory),
        wanting=tuple(title_of_field(f.field, sheet) for f in wanted if not f.done),
        questions=tuple(_question(field, text, sheet) for field, text in asked.items()),
        waiting=tuple(_question(field, f"“{p.text}” is not taken over", sheet) for field, p in sheet.pending.items()),
        accusations=accusation(placement, None) if placement is not None else (),
        zero_check=_unchecked_mode(sheet),
    )


def _question(field: str, text: str, sheet: Sheet) -> Question:
    return Question(field_id(main_field(field)), title_of_field(field, sheet), text)


def one_field(sheet: Sheet, field: str, *, typed: Entry | None = None, refused: StandoffError | None = None) -> Field:
    """One field at a revision with what is to be asked about it; `typed` stands in it though it was not saved."""
    found = field_view(sheet, field, questions(sheet).get(field, ""))
    return found if typed is None else typed_into(found, typed, refused)


def title_of_field(field: str, sheet: Sheet) -> str:
    """A field as it is spoken of on its own: its title, and of which mode, fitting, bore or further reading it is."""
    main = main_field(field)
    title = step_of(main).title
    table, bracket, rest = main.partition("[")
    if bracket and table in _WORDS:
        index = rest.partition("]")[0]
        name = value_at(sheet.raw, f"{table}[{index}].name") or f"{_WORDS[table].lower()} {int(index) + 1}"
        title = f"{title} ({name})" if title != main else str(name)
    return title if main == field else f"{title}, read again"


def questions(sheet: Sheet) -> dict[str, str]:
    """What is implausible, by field; of an incomplete survey each length by itself."""
    if sheet.job is not None:
        return {c.id.removeprefix("implausible:"): c.text.partition(": ")[2] for c in implausible(sheet.job)}
    units: Units = "mm" if sheet.entry("job.units").text == "mm" else "in"
    return {field: text for field in USUAL_MM if (text := _unusual(sheet, field, units))}


def _unusual(sheet: Sheet, field: str, units: Units) -> str:
    text = sheet.entry(field).text
    if not text or field in sheet.pending:
        return ""
    try:
        return unusual(field, read_quantity(text, default_source=None)[0], units)
    except QuantityError:
        return ""


def _place(stop: Stop, sheet: Sheet, asked: Mapping[str, str]) -> Place:
    groups = tuple(_groups(stop, sheet, asked))
    return Place(stop, groups, sum(f.needed and not f.done for group in groups for f in group.fields))


def _groups(stop: Stop, sheet: Sheet, asked: Mapping[str, str]) -> Iterator[Group]:
    raw = sheet.raw
    plain = [step for step in stop.steps if "[i]" not in step.field]
    listed: dict[str, list[Step]] = {}
    for step in stop.steps:
        if "[i]" in step.field:
            listed.setdefault(step.field.partition("[i]")[0], []).append(step)
    if plain:
        yield Group("", _fields(plain, None, sheet, asked), "", "")
    for table, steps in listed.items():
        if table == "lathe.modes" and value_at(raw, "lathe.headstock") != "sliding":
            continue
        for i in range(len(value_at(raw, table) or [])):
            element = f"{table}[{i}]"
            name = value_at(raw, f"{element}.name")
            title = f"{_WORDS[table]} {i + 1}" + (f": {name}" if name else "")
            yield Group(title, _fields(steps, i, sheet, asked), element, "")
        yield Group(f"Add {_ARTICLES[table]}", (), "", table)


def _fields(steps: list[Step], index: int | None, sheet: Sheet, asked: Mapping[str, str]) -> tuple[Field, ...]:
    fields = [step.field if index is None else step.field.replace("[i]", f"[{index}]") for step in steps]
    return tuple(field_view(sheet, field, asked.get(field, "")) for field in fields if is_asked(field, sheet.raw))


def _unchecked_mode(sheet: Sheet) -> str:
    """The second mode, while no overall reading is taken at its front limit: some lathes shift their zero between modes."""
    raw = sheet.raw
    names = mode_names(raw)
    if value_at(raw, "lathe.headstock") != "sliding" or len(names) < 2 or not sheet.entry("lathe.cover_to_adapter").text:
        return ""
    checks: list[dict[str, Any]] = value_at(raw, "check") or []
    return "" if any(check.get("mode") == names[1] for check in checks) else names[1]


def begin_zero_check(bench: Workbench, job_id: str) -> None:
    """Add the overall reading that shows whether Z keeps its zero: cover to adapter, second mode, fully forward."""
    sheet = bench.sheet(job_id)
    mode = _unchecked_mode(sheet)
    if not mode:
        return
    row = f"check[{len(value_at(sheet.raw, 'check') or [])}]"
    bench.add(job_id, "check", sheet.number)
    told = {"from": "cover", "to": "adapter", "mode": mode, "state": FRONT_LIMIT}
    bench.save_all(job_id, {f"{row}.{key}": Entry(text) for key, text in told.items()}, f"a check of Z in {mode}")


def survey_picture(sheet: Sheet) -> tuple[str, str, str]:
    """The pair with every distance to read along the axis, wide and narrow, and what to know of the picture."""
    job, note = sheet.job, ""
    if job is None:
        fixed = value_at(sheet.raw, "lathe.headstock") == "fixed"
        job = parse_job(revised(template("fixed" if fixed else "sliding", "mm"), _AROUND))
        note = "Until the survey is complete this shows a usual pair, not yours."
    steps = [step for stop in STOPS for step in stop.steps if step.start]
    asked = [Asked(field_id(step.field), step.title.lower(), step.start, step.end) for step in steps]
    placement = place(job)
    wide = svg(survey_drawing(placement, asked, arrangement="wide"), standalone=False)
    return wide, svg(survey_drawing(placement, asked, arrangement="narrow"), standalone=False), note
