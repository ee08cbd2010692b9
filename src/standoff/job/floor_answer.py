"""The floor plan as other programs read it: `standoff-floor/1`, the same bytes for the same input."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Any

from standoff.job.floor_cautions import CAUTIONS
from standoff.job.floor_marks import Marking
from standoff.job.floor_plan import FloorPlan
from standoff.job.floor_speech import sentence
from standoff.site.feet import FootLoads
from standoff.site.floor import Body, FloorCheck, KeepOut
from standoff.site.footprint import FloorPlace
from standoff.site.markout import Diagonal, Mark
from standoff.site.slab import Crossing

FORMAT = "standoff-floor/1"


def floor_contents(plan: FloorPlan, *, program: str) -> dict[str, Any]:
    """The answer's contents: lengths in mm to 3 decimals, loads in N to 1, pressures in MPa to 4.

    Places are x and y: from the adapter's rear face forward along the axis, and to the left. What is not known is null.
    """
    return {
        "format": FORMAT,
        "program": program,
        "said": sentence(plan),
        "standoff_mm": _mm(plan.standoff_mm),
        "placement_holds": not plan.placement.failing,
        "holds": not (plan.wanted or plan.failing or plan.tips or plan.laid_off),
        "plan_laid_off": plan.laid_off,
        "cover_x_mm": _mm(plan.datums.cover_mm),
        "clamp_x_mm": _mm(plan.datums.clamp_mm),
        "shifts_mm": {mode: _mm(shift) for mode, shift in plan.shifts_mm},
        "items": [_body(body) for body in plan.bodies],
        "way_of_nose": None if plan.nose is None else _body(plan.nose),
        "keep_free": [_space(space) for space in plan.keep_outs],
        "rows": [_row(row) for row in plan.rows],
        "slab_joints": [_crossing(crossing) for crossing in plan.crossings],
        "feet": None if plan.loads is None else _loads(plan.loads),
        "marks": None if plan.marking is None else _marking(plan.marking),
        "warnings": [{"id": w.id, "text": w.text, "source": w.source} for w in plan.warnings],
        "wanted": [{"field": p.field, "found": p.found, "expected": p.expected, "action": p.action} for p in plan.wanted],
        "not_stated": list(plan.not_stated),
        "cautions": [{"id": c.id, "text": c.text, "source": c.source} for c in CAUTIONS],
    }


def _body(body: Body) -> dict[str, Any]:
    return {
        "id": body.id,
        "name": body.name,
        "kind": body.kind,
        "stands_with": body.owner.value,
        "corners_mm": _places(body.footprint.corners_mm),
        "closed": body.footprint.closed,
        "from_floor_mm": _mm(body.low_mm),
        "height_mm": _mm(body.high_mm) if body.height_stated else None,
    }


def _space(space: KeepOut) -> dict[str, Any]:
    return {
        "id": space.id,
        "name": space.name,
        "reason": space.reason,
        "of": space.item,
        "stands_with": space.owner.value,
        "corners_mm": _places(space.footprint.corners_mm),
        "depth_mm": _mm(space.depth_mm),
        "from_floor_mm": _mm(space.low_mm),
        "height_mm": _mm(space.high_mm) if math.isfinite(space.high_mm) else None,
        "loader_away": space.loader_away,
        "source": space.source,
    }


def _row(row: FloorCheck) -> dict[str, Any]:
    return {
        "id": row.id,
        "what": row.what,
        "between": list(row.between),
        "state": row.state,
        "grade": row.grade.value,
        "needed_mm": _mm(row.needed_mm),
        "found_mm": _mm(row.found_mm),
        "slack_mm": _mm(row.slack_mm),
        "one_above_other_mm": _mm(row.vertical_mm),
        "reason": row.reason,
        "source": row.source,
        "from_mm": _place(row.start_mm),
        "to_mm": _place(row.end_mm),
    }


def _crossing(crossing: Crossing) -> dict[str, Any]:
    return {
        "name": crossing.joint.name,
        "from_mm": _place(crossing.joint.start_mm),
        "to_mm": _place(crossing.joint.end_mm),
        "under_lathe": crossing.under_lathe,
        "under_loader": list(crossing.under),
        "parted_from_lathe": list(crossing.parted),
    }


def _loads(loads: FootLoads) -> dict[str, Any]:
    return {
        "weight_n": _tenth(loads.weight_n),
        "centre_inside_feet_mm": _mm(loads.tipping_mm),
        "cases": loads.cases,
        "nearest_case": {
            "weight_n": _tenth(loads.nearest.weight_n),
            "without": list(loads.nearest.without),
            "shift_mm": _mm(loads.nearest.shift_mm),
        },
        "loads": [
            {
                "name": foot.pad.name,
                "at_mm": _place((foot.pad.x_mm, foot.pad.y_mm)),
                "least_n": _tenth(foot.least_n),
                "evenly_shared_n": _tenth(foot.even_n),
                "worst_of_three_n": _tenth(foot.worst_n),
                "pressure_mpa": None if foot.pressure_mpa is None else round(foot.pressure_mpa, 4),
            }
            for foot in loads.feet
        ],
    }


def _marking(marking: Marking) -> dict[str, Any]:
    found, axis, far = marking.mark_out, marking.axis, marking.far_end
    return {
        "laid_off_with": marking.tool,
        "may_be_off_mm": None if marking.may_be_off_mm is None else _mm(marking.may_be_off_mm),
        "refused": marking.refused or None,
        "baseline": None
        if found is None
        else {
            "first": found.baseline.first.name,
            "second": found.baseline.second.name,
            "length_mm": _mm(found.baseline.length_mm),
            "length_u_mm": _mm(found.baseline.length_u_mm),
        },
        "marks": [] if found is None else [_mark(mark, marking) for mark in found.marks],
        "diagonals": [] if found is None else [_diagonal(diagonal) for diagonal in found.diagonals],
        "pairs": [
            {
                "first": pair.first,
                "second": pair.second,
                "worst_mm": None if pair.mark_out is None else _mm(pair.mark_out.worst.ellipse.semi_major_mm),
                "refused": pair.reason or None,
            }
            for pair in marking.pairs
        ],
        "axis": None
        if axis is None or far is None
        else {
            "front_x_mm": _mm(axis.front.x_mm),
            "rear_x_mm": _mm(axis.rear.x_mm),
            "rear_end_x_mm": _mm(far.x_mm),
            "rear_end_sideways_u_mm": _mm(far.sideways_u_mm),
        },
    }


def _mark(mark: Mark, marking: Marking) -> dict[str, Any]:
    return {
        "name": mark.point.name,
        "at_mm": _place((mark.point.x_mm, mark.point.y_mm)),
        "from_first_mm": _mm(mark.from_first_mm),
        "from_second_mm": _mm(mark.from_second_mm),
        "hand": mark.hand.value,
        "tapes_cross_deg": round(mark.crossing_deg, 1),
        "ellipse_mm": [_mm(mark.ellipse.semi_major_mm), _mm(mark.ellipse.semi_minor_mm)],
        "ellipse_direction_deg": round(mark.ellipse.direction_deg, 1),
        "ellipse_share": mark.ellipse.confidence_share,
        "sure_enough": marking.sure_enough(mark),
    }


def _diagonal(diagonal: Diagonal) -> dict[str, Any]:
    return {
        "from": diagonal.start,
        "to": diagonal.end,
        "distance_mm": _mm(diagonal.distance_mm),
        "limit_mm": _mm(diagonal.limit_mm),
    }


def _places(places_mm: Iterable[FloorPlace]) -> list[list[float]]:
    return [_place(place_mm) for place_mm in places_mm]


def _place(place_mm: FloorPlace) -> list[float]:
    return [_mm(place_mm[0]), _mm(place_mm[1])]


def _mm(value_mm: float) -> float:
    return round(value_mm, 3) + 0.0


def _tenth(load_n: float) -> float:
    return round(load_n, 1) + 0.0
