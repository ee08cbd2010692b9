"""The survey as a page shows it: stops and fields in walking order, what is typed, what is wrong, what is still wanted."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from standoff.desk.choices import mode_names
from standoff.desk.entry import Entry
from standoff.desk.names import field_id
from standoff.desk.sheet import Sheet
from standoff.desk.survey_field import Field, field_view, typed_into
from standoff.desk.walk import Place, Question, contradictions_in, places_of, question, title_of_field, waiting_in
from standoff.desk.workbench import Workbench
from standoff.draw.survey import Asked, survey_drawing
from standoff.draw.svg import svg
from standoff.errors import QuantityError, StandoffError
from standoff.job.advice_speech import accusation
from standoff.job.field import value_at
from standoff.job.file import parse_job
from standoff.job.guide import STOPS, walk_of
from standoff.job.placement import place
from standoff.job.plausible import USUAL_MM, implausible, unusual
from standoff.job.revision import revised
from standoff.job.template import template
from standoff.model.state import FRONT_LIMIT
from standoff.reading import read_quantity
from standoff.units import Units

_AROUND = {
    "lathe.cover_to_adapter": "-40 mm",
    "lathe.cover_to_wall": "6.7 m",
    "lathe.collet_to_cutoff": "320 mm",
    "loader.body_ahead_of_clamp": "20 mm",
    "loader.length_behind_clamp": "4.6 m",
}
"""What the usual pair has besides what must be there, so that every dimension can be shown on it."""


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
    places = places_of(sheet, "survey", asked)
    wanted = [field for each in places for field in each.fields if field.needed]
    return SurveyView(
        places=places,
        done=sum(field.done for field in wanted),
        needed=len(wanted),
        contradictions=contradictions_in(sheet, "survey"),
        wanting=tuple(title_of_field(field.field, sheet) for field in wanted if not field.done),
        questions=tuple(question(field, text, sheet) for field, text in asked.items()),
        waiting=waiting_in(sheet, "survey"),
        accusations=accusation(placement, None) if placement is not None else (),
        zero_check=_unchecked_mode(sheet),
    )


def survey_to_go(sheet: Sheet) -> int:
    """How much is missing in the survey."""
    own = (problem for problem in sheet.problems if sheet.job is None and walk_of(problem.field) == "survey")
    return sum(problem.code == "key-missing" for problem in own)


def one_field(sheet: Sheet, field: str, *, typed: Entry | None = None, refused: StandoffError | None = None) -> Field:
    """One field at a revision with what is to be asked about it; `typed` stands in it though it was not saved."""
    found = field_view(sheet, field, questions(sheet).get(field, ""))
    return found if typed is None else typed_into(found, typed, refused)


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
