"""The floor plan: from a job file to the answer as text, for other programs, as a drawing, or as a CAD file."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from standoff import __version__
from standoff.desk.building import building_lines, missing_place, read_plan
from standoff.desk.placement import placement_of_file
from standoff.draw.building import BuildingPlan
from standoff.draw.dxf.read import MOST_BYTES
from standoff.draw.dxf.write import dxf_text
from standoff.draw.floor import floor_ground
from standoff.draw.ground_scene import best_scale, ground_scene
from standoff.draw.svg import svg
from standoff.errors import JobFileError, MissingFileError
from standoff.job.floor_answer import floor_contents
from standoff.job.floor_cautions import CAUTIONS
from standoff.job.floor_plan import FloorPlan, floor_plan
from standoff.job.floor_speech import (
    HEAD,
    axis_lines,
    free_line,
    load_lines,
    mark_lines,
    more_line,
    not_stated_line,
    row_cells,
    sentence,
    shown_rows,
    warning_lines,
    where_line,
)
from standoff.job.refusal import as_json
from standoff.site.floor import Grade


@dataclass(frozen=True, slots=True)
class FloorAnswer:
    """The floor plan of a job, and the building's plan it was laid on, if one was read."""

    plan: FloorPlan
    building: BuildingPlan | None

    @property
    def status(self) -> int:
        """The exit status: 0 everything has its room, 1 it has not, it tips over or the pair does not fit, 3 it is open."""
        if self.plan.tips or self.plan.placement.failing or self.plan.grade in (Grade.CLASH, Grade.NEAR):
            return 1
        return 3 if self.plan.grade is Grade.UNKNOWN else 0


def floor_of_file(
    path: Path, *, at: str | None = None, plan: Path | None = None, unit: str | None = None, layers: Sequence[str] | None = None
) -> FloorAnswer:
    """The floor of a job file, at the aim or the standoff typed in `at`, on a building's plan if one is named.

    Raises JobFileError where the file does not say what stands there, or where the lathe stands in the building's plan.
    """
    placement = placement_of_file(path, at=at)
    problems = (*floor_plan(placement).wanted, *(() if plan is None else missing_place(placement.job)))
    if problems:
        raise JobFileError([replace(problem, file=str(path)) for problem in problems])
    building = None if plan is None else read_plan(_bytes(plan), file=str(plan), unit=unit, layers=layers)
    lines = None if building is None else building_lines(building, placement.job)
    return FloorAnswer(floor_plan(placement, lines=lines), building)


def _bytes(path: Path) -> bytes:
    """The contents of a file, no more than a plan may have and one byte."""
    try:
        with path.open("rb") as opened:
            return opened.read(MOST_BYTES + 1)
    except (OSError, ValueError) as error:
        raise MissingFileError(str(path)) from error


def floor_json(answer: FloorAnswer) -> str:
    """The answer for other programs."""
    contents = floor_contents(answer.plan, program=__version__)
    building = answer.building
    contents["building_plan"] = (
        None
        if building is None
        else {
            "file": Path(building.file).name,
            "unit": building.unit,
            "stated_in_file": building.stated,
            "layers": {layer.name: layer.count for layer in building.layers},
            "taken": list(building.taken),
            "not_read": dict(building.left_out),
        }
    )
    return as_json(contents)


def floor_svg(answer: FloorAnswer) -> str:
    """The plan as a drawing to the largest usual scale that fits a sheet."""
    ground = floor_ground(answer.plan)
    scene = ground_scene(ground, units=answer.plan.job.units, arrangement="wide", one_to=best_scale(ground))
    return svg(scene, standalone=True)


def floor_dxf(answer: FloorAnswer) -> str:
    """The plan as a CAD file in real size, with the tapes and the true ellipses of the mark-out."""
    ground = floor_ground(answer.plan, marks=True)
    return dxf_text(ground, units=answer.plan.job.units, one_to=best_scale(ground))


def floor_text(answer: FloorAnswer) -> str:
    """The answer as text: the sentence, the table, the feet, the marks, what to mind."""
    plan, job = answer.plan, answer.plan.job
    lines = [
        f"{job.title}{', ' + job.site if job.site else ''}: {job.lathe} with {job.loader}",
        sentence(plan),
        where_line(plan),
        "",
    ]
    lines += _aligned(plan)
    closing = [line for line in (more_line(plan), free_line(plan)) if line]
    blocks = {
        "Warnings": tuple(warning_lines(plan)),
        "What the feet carry": load_lines(plan),
        "Marking out": mark_lines(plan),
        "The axis on the floor": axis_lines(plan),
        "Building's plan": _building_lines(answer.building),
    }
    lines += closing
    for heading, block in blocks.items():
        lines += ["", f"{heading}:", *(f"  {line}" for line in block)] if block else []
    left_out = not_stated_line(plan)
    lines += ["", left_out] if left_out else []
    return "\n".join([*lines, "", "Mind:", *(f"  {caution.text} ({caution.source})" for caution in CAUTIONS)])


def _aligned(plan: FloorPlan) -> list[str]:
    """The rows in columns."""
    rows = [HEAD, *(row_cells(row, plan) for row in shown_rows(plan))]
    widths = [max(len(row[i]) for row in rows) for i in range(len(HEAD))]
    return ["  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip() for row in rows]


def _building_lines(building: BuildingPlan | None) -> tuple[str, ...]:
    """What was read of a building's plan, and what was not."""
    if building is None:
        return ()
    said = "as the file says" if building.stated else "as was told"
    lines = [f"{building.file}: {len(building.lines)} lines in {building.unit}, {said}, on {', '.join(building.taken)}"]
    others = [layer.name for layer in building.layers if layer.name not in building.taken]
    if others:
        lines.append(f"not taken: {', '.join(others)}")
    if building.left_out:
        lines.append(f"not read: {', '.join(f'{count} {kind}' for kind, count in building.left_out.items())}")
    if building.question:
        lines.append(f"mind its unit: {building.question}")
    return tuple(lines)
