"""A building's plan beside a job: read from a file, laid under the lathe, kept with what was noted of the job.

A job file says where the lathe stands in the plan (`plan_x`, `plan_y`, `plan_turned` of `[floor]`), never the plan itself: that
is somebody else's drawing, and it stays on this machine.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from standoff.draw.building import BuildingPlan, PlanLayer, PlanLine, clipped, laid_under
from standoff.draw.dxf.read import UNITS_MM, read_plan
from standoff.errors import JobFileError, PlanFileError, Problem
from standoff.job.floor_drawn import BuildingLine
from standoff.job.floor_places import datums_of
from standoff.job.job import Job
from standoff.store.records import LogLine

__all__ = ["KIND", "TAKEN", "UNITS_MM", "building_lines", "contents_of", "missing_place", "plan_of", "read_plan"]

KIND, TAKEN = "building-plan", "building-layers"
"""The kinds of log lines that hold a plan, and which of its layers are drawn; the newest count."""
MOST_KEPT = 40_000
"""So many points of a plan are kept at most."""
AROUND_MM = 20_000.0
"""Lines farther than this from the adapter are no concern of the loader."""


def building_lines(plan: BuildingPlan, job: Job) -> tuple[BuildingLine, ...]:
    """The lines of a plan near the lathe, in floor coordinates; raises JobFileError where nobody said where it stands."""
    floor = job.tables.floor
    if problems := missing_place(job):
        raise JobFileError(problems)
    if floor is None or floor.plan_x is None or floor.plan_y is None or floor.plan_turned is None:
        return ()
    laid = laid_under(
        plan,
        at_x_mm=floor.plan_x[0].value_mm,
        at_y_mm=floor.plan_y[0].value_mm,
        forward_deg=floor.plan_turned,
        cover_x_mm=datums_of(job, standoff_mm=0.0).cover_mm,
    )
    near = clipped(laid.drawn, low_mm=(-AROUND_MM, -AROUND_MM), high_mm=(AROUND_MM, AROUND_MM))
    return tuple(BuildingLine(line.layer, line.points_mm) for line in near)


def missing_place(job: Job) -> tuple[Problem, ...]:
    """What a job must say of the lathe's place before a plan can be laid under it."""
    wanted = {
        "plan_x": "x, in the building's plan, of the place where the spindle axis goes through the cover",
        "plan_y": "y of that place in the building's plan",
        "plan_turned": "the direction in which forward points in the building's plan, in degrees",
    }
    floor = job.tables.floor
    return tuple(
        Problem("key-missing", "", None, f"floor.{key}", "nothing", meaning, "read it from the plan")
        for key, meaning in wanted.items()
        if floor is None or getattr(floor, key) is None
    )


def contents_of(plan: BuildingPlan) -> dict[str, Any]:
    """A plan as it is kept, with all its layers if they are not too much; raises PlanFileError where those drawn already are."""
    lines = plan.lines if _points(plan.lines) <= MOST_KEPT else plan.drawn
    count = _points(lines)
    if count > MOST_KEPT:
        raise PlanFileError(
            "plan-large",
            file=plan.file,
            found=f"{count} points on the layers taken",
            expected=f"{MOST_KEPT} at most",
            action="take fewer layers: walls and columns are enough",
        )
    return {
        "file": plan.file,
        "unit": plan.unit,
        "stated": plan.stated,
        "layers": [[layer.name, layer.count, layer.hidden] for layer in plan.layers],
        "taken": list(plan.taken),
        "lines": [[line.layer, [round(value, 1) for point in line.points_mm for value in point]] for line in lines],
        "left_out": dict(plan.left_out),
        "question": plan.question,
    }


def plan_of(log: Sequence[LogLine]) -> BuildingPlan | None:
    """The plan that was read in last; None where there is none, or where it was taken away again."""
    kept, taken = None, None
    for line in log:
        if line.kind == KIND:
            kept, taken = line.contents, None
        elif line.kind == TAKEN:
            taken = line.contents["taken"]
    if kept is None or not kept.get("lines"):
        return None
    plan = _plan(kept)
    return plan if taken is None else replace(plan, taken=tuple(layer.name for layer in plan.layers if layer.name in taken))


def _points(lines: Sequence[PlanLine]) -> int:
    return sum(len(line.points_mm) for line in lines)


def _plan(kept: Mapping[str, Any]) -> BuildingPlan:
    lines = tuple(PlanLine(layer, tuple(zip(flat[::2], flat[1::2], strict=True))) for layer, flat in kept["lines"])
    layers = tuple(PlanLayer(*layer) for layer in kept["layers"])
    return BuildingPlan(
        file=kept["file"],
        unit=kept["unit"],
        stated=kept["stated"],
        layers=layers,
        taken=tuple(kept["taken"]),
        lines=lines,
        left_out=kept["left_out"],
        question=kept["question"],
    )
