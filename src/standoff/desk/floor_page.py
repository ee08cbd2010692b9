"""The floor as a page shows it: has everything its room, the plan with the loader to drag, feet, marks, the building's plan.

Worked out anew for each page and each place the loader is dragged to: it takes some hundredths of a second.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from standoff.desk.building import building_lines, missing_place, plan_of
from standoff.desk.placement_page import drag
from standoff.desk.sheet import Sheet
from standoff.desk.speed_page import Sign
from standoff.desk.walk import Form, form_of
from standoff.desk.wanted import Wanted, wanted_field, wanted_of
from standoff.draw.building import BuildingPlan
from standoff.draw.dxf.write import dxf_text
from standoff.draw.elevation import Arrangement
from standoff.draw.floor import floor_ground, letters_of
from standoff.draw.ground import Ground
from standoff.draw.ground_scene import best_scale, ground_scene, view_of
from standoff.draw.markout import mark_out_ground
from standoff.draw.svg import svg
from standoff.errors import JobFileError, Problem, StandoffError
from standoff.job.floor_cautions import CAUTIONS
from standoff.job.floor_guide import FLOOR_TABLES, STOOD_ON
from standoff.job.floor_plan import FloorPlan, floor_plan
from standoff.job.floor_speech import (
    LATER,
    axis_lines,
    force,
    free_line,
    load_lines,
    mark_lines,
    more_line,
    pressure,
    row_cells,
    sentence,
    shown_rows,
    up,
    warning_lines,
    where_line,
)
from standoff.job.guide import WALKS, walk_of
from standoff.job.job import Job
from standoff.job.placement import place
from standoff.job.speech import fine_length, length
from standoff.site.floor import FloorCheck, Grade
from standoff.store.records import LogLine
from standoff.units import Units

__all__ = ["CAUTIONS", "FloorView", "floor_dxf", "floor_form", "floor_sheet", "floor_to_go", "floor_view"]

GRADES = {
    Grade.CLASH: Sign("clash", "✗", "clash"),
    Grade.NEAR: Sign("clash", "✗", "too near"),
    Grade.UNKNOWN: Sign("unsure", "?", "not known"),
    Grade.HOLDS: Sign("fits", "✓", "holds"),
}
VERDICTS = {
    Grade.CLASH: Sign("clash", "✗", "Something is in the way"),
    Grade.NEAR: Sign("clash", "✗", "Too little room"),
    Grade.UNKNOWN: Sign("unsure", "?", "Not known yet"),
    Grade.HOLDS: Sign("fits", "✓", "Everything has its room"),
}
NO_BREAK = "\u00a0"
NOTHING_NEAR = Sign("unsure", "?", "Nothing stated near it")
TIPS = Sign("clash", "✗", "Would tip over")
NOT_PLACED = Sign("unsure", "?", "The pair does not fit")


@dataclass(frozen=True, slots=True)
class Drawn:
    """A picture for a wide and for a narrow screen, with the drawing units per mm of either."""

    wide: str
    narrow: str
    wide_scale: float
    narrow_scale: float


@dataclass(frozen=True, slots=True)
class CheckRow:
    """One distance judged."""

    id: str
    letter: str
    sign: Sign
    what: str
    when: str
    found: str
    needed: str
    why: str


@dataclass(frozen=True, slots=True)
class FootRow:
    """What one foot carries."""

    name: str
    even: str
    worst: str
    presses: str


@dataclass(frozen=True, slots=True)
class MarkRow:
    """One mark by its two distances."""

    name: str
    from_first: str
    from_second: str
    hand: str
    off: str
    later: str


@dataclass(frozen=True, slots=True)
class CheckedBy:
    """A diagonal that checks the marks."""

    between: str
    distance: str
    limit: str


@dataclass(frozen=True, slots=True)
class Marks:
    """The mark-out; without `drawn` there is none, and `lines` say why."""

    drawn: Drawn | None
    from_line: str
    rows: tuple[MarkRow, ...]
    diagonals: tuple[CheckedBy, ...]
    lines: tuple[str, ...]
    axis: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Building:
    """The building's plan that was read in."""

    file: str
    unit: str
    stated: bool
    layers: tuple[tuple[str, int, bool, bool], ...]
    lines: int
    left_out: str
    question: str
    shown: bool
    wanted: tuple[Wanted, ...]


@dataclass(frozen=True, slots=True)
class FloorView:
    """The answer part of the page: the plan, or what is wanted, or why it is refused."""

    sign: Sign
    spoken: str
    where: str
    drawn: Drawn | None
    rows: tuple[CheckRow, ...]
    holding: tuple[CheckRow, ...]
    more: str
    free: str
    warnings: tuple[str, ...]
    feet: tuple[FootRow, ...]
    feet_lines: tuple[str, ...]
    marks: Marks | None
    left_out: tuple[Wanted, ...]
    drag: dict[str, Any]
    one_to: int
    wanted: tuple[Wanted, ...]
    refused: str


def floor_form(sheet: Sheet) -> Form:
    """The fields that the floor asks for, at a revision."""
    return form_of(sheet, "floor")


def floor_to_go(sheet: Sheet) -> int:
    """How much the floor tables still want of a job that has begun with them."""
    return sum(problem.code == "key-missing" and walk_of(problem.field) == "floor" for problem in sheet.problems)


def floor_view(sheet: Sheet, log: Sequence[LogLine], *, asked_mm: float | None = None) -> FloorView | None:
    """The floor at a revision, with the loader at its aim or at a standoff asked for; None while there is no placement."""
    job = sheet.job
    if job is None:
        return None
    if problems := sheet.left_out(*FLOOR_TABLES, STOOD_ON):
        return _without(tuple(wanted_of(problem, sheet) for problem in problems))
    try:
        plan = _plan(job, plan_of(log), asked_mm)
    except JobFileError as error:
        return _without(tuple(wanted_of(problem, sheet) for problem in error.problems))
    except StandoffError as error:
        return _without((), str(error))
    if plan.wanted:
        return _without(tuple(_no_item(problem) for problem in plan.wanted))
    ground = floor_ground(plan)
    letters = letters_of(plan)
    shown = shown_rows(plan)
    return FloorView(
        sign=_sign(plan),
        spoken=sentence(plan),
        where=where_line(plan),
        drawn=_drawn(ground, job.units),
        rows=tuple(_row(row, plan, letters) for row in shown if row.grade is not Grade.HOLDS),
        holding=tuple(_row(row, plan, letters) for row in shown if row.grade is Grade.HOLDS),
        more=more_line(plan),
        free=free_line(plan),
        warnings=tuple(warning_lines(plan)),
        feet=_feet(plan),
        feet_lines=load_lines(plan)[len(_feet(plan)) :],
        marks=_marks(plan),
        left_out=tuple(map(_left_out, plan.not_stated)),
        drag={
            key: value for key, value in drag(plan.placement).items() if key in ("units", "step_mm", "low", "high", "standoff_mm")
        },
        one_to=best_scale(ground),
        wanted=(),
        refused="",
    )


def _plan(job: Job, building: BuildingPlan | None, asked_mm: float | None) -> FloorPlan:
    """The floor plan, with the building's lines where some are taken and it is known where they lie."""
    lines = building_lines(building, job) if building is not None and building.drawn and not missing_place(job) else None
    return floor_plan(place(job, asked_mm=asked_mm), lines=lines)


def _without(wanted: tuple[Wanted, ...], refused: str = "") -> FloorView:
    """The view of what must be there first."""
    return FloorView(NOTHING_NEAR, "", "", None, (), (), "", "", (), (), (), None, (), {}, 0, wanted, refused)


def _no_item(problem: Problem) -> Wanted:
    """A machine that is not among what stands there, in the words of a page."""
    what = problem.expected.partition(" in [[")[0]
    return Wanted("floor", "stop-items", f"{what} among what stands there", "add it as an item: how far it reaches each way")


def _left_out(told: str) -> Wanted:
    """A part of the answer that is left out, with the stop where what it wants is filled in."""
    what, _, wants = told.partition(" (")
    tables = re.findall(r"\[(\w+)\]", wants)
    stops = (place.id for place in WALKS["floor"] for step in place.steps if re.split(r"[.\[]", step.field)[0] in tables)
    return Wanted("floor", f"stop-{next(stops)}", what, "")


def _sign(plan: FloorPlan) -> Sign:
    """The worst that is to be said of the plan."""
    if plan.tips:
        return TIPS
    if plan.grade is None:
        return NOTHING_NEAR
    worst = plan.grade
    return NOT_PLACED if plan.placement.failing and worst in (Grade.HOLDS, Grade.UNKNOWN) else VERDICTS[worst]


def _drawn(ground: Ground, units: Units) -> Drawn:
    def drawn(arrangement: Arrangement) -> tuple[str, float]:
        picture = svg(ground_scene(ground, units=units, arrangement=arrangement), standalone=False)
        return picture, view_of(ground, arrangement).px_per_mm_scale

    (wide, wide_scale), (narrow, narrow_scale) = drawn("wide"), drawn("narrow")
    return Drawn(wide, narrow, wide_scale, narrow_scale)


def _row(row: FloorCheck, plan: FloorPlan, letters: dict[str, str]) -> CheckRow:
    _, what, when, found, needed, why = row_cells(row, plan)
    found, needed = (re.sub(r"(?<=\d) (?=\d+/|(?:in|mm)\b)", NO_BREAK, told) for told in (found, needed))
    return CheckRow(f"row-{row.id}", letters.get(row.id, ""), GRADES[row.grade], what, when, found, needed, why)


def _feet(plan: FloorPlan) -> tuple[FootRow, ...]:
    loads, units = plan.loads, plan.job.units
    return tuple(
        FootRow(
            name=foot.pad.name,
            even=force(foot.even_n, units),
            worst=force(foot.worst_n, units),
            presses="pad not stated" if foot.pressure_mpa is None else pressure(foot.pressure_mpa, units),
        )
        for foot in (() if loads is None else loads.feet)
    )


def _marks(plan: FloorPlan) -> Marks | None:
    marking, units = plan.marking, plan.job.units
    if marking is None:
        return None
    found, lines = marking.mark_out, mark_lines(plan)
    if found is None:
        return Marks(None, "", (), (), lines, axis_lines(plan))
    rows = tuple(
        MarkRow(
            name=mark.point.name,
            from_first=fine_length(mark.from_first_mm, units),
            from_second=fine_length(mark.from_second_mm, units),
            hand=mark.hand.value,
            off=length(up(mark.ellipse.semi_major_mm, units), units),
            later=LATER if marking.sure_enough(mark) is False else "",
        )
        for mark in found.marks
    )
    diagonals = tuple(
        CheckedBy(f"{one.start} to {one.end}", fine_length(one.distance_mm, units), fine_length(one.limit_mm, units))
        for one in found.diagonals
    )
    return Marks(_drawn(mark_out_ground(found, units=units), units), lines[0], rows, diagonals, (), axis_lines(plan))


def building_of(sheet: Sheet, log: Sequence[LogLine]) -> Building | None:
    """The building's plan as the page tells of it; None where there is none."""
    plan = plan_of(log)
    if plan is None:
        return None
    wanted = missing_place(sheet.job) if sheet.job is not None else ()
    left_out = ", ".join(f"{count} {kind}" for kind, count in plan.left_out.items())
    return Building(
        file=plan.file,
        unit=plan.unit,
        stated=plan.stated,
        layers=tuple((layer.name, layer.count, layer.hidden, layer.name in plan.taken) for layer in plan.layers),
        lines=len(plan.drawn),
        left_out=left_out,
        question=plan.question,
        shown=not wanted and sheet.job is not None,
        wanted=tuple(wanted_field(problem.field, sheet) for problem in wanted),
    )


def floor_dxf(sheet: Sheet, log: Sequence[LogLine], *, asked_mm: float | None = None) -> str:
    """The floor plan as a DXF file, with the true ellipses of the marks; empty where there is none yet."""
    if sheet.job is None or sheet.left_out(*FLOOR_TABLES, STOOD_ON):
        return ""
    ground = floor_ground(_plan(sheet.job, plan_of(log), asked_mm), marks=True)
    return dxf_text(ground, units=sheet.job.units, one_to=best_scale(ground))


def floor_sheet(sheet: Sheet, log: Sequence[LogLine], *, asked_mm: float | None = None, one_to: int | None = None) -> str:
    """The floor plan as an SVG file to be printed to scale; empty where there is none. Raises UsageError for another scale."""
    if sheet.job is None or sheet.left_out(*FLOOR_TABLES, STOOD_ON):
        return ""
    ground = floor_ground(_plan(sheet.job, plan_of(log), asked_mm))
    return svg(
        ground_scene(ground, units=sheet.job.units, arrangement="page", one_to=one_to or best_scale(ground)), standalone=True
    )
