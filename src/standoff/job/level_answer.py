"""Levelling as other programs read it: `standoff-level/1`, the same bytes for the same input."""

from __future__ import annotations

from typing import Any

from standoff.job.level_cautions import LEVEL_CAUTIONS
from standoff.job.level_doubt import in_doubt
from standoff.job.level_plausible import level_questions
from standoff.job.level_work import WorkItem, next_of, standoff_again, work_of
from standoff.job.levels import UNLIMITED_MM, Level, Round
from standoff.site.axis import Miss, Pose
from standoff.site.frame import Move
from standoff.site.levelling import Plan, Verdict
from standoff.site.order import Change, Tightened
from standoff.site.tolerance import CentreHeight, Tolerances

FORMAT = "standoff-level/1"


def level_contents(level: Level, *, program: str) -> dict[str, Any]:
    """The answer's contents: lengths in mm to 4 decimals, slopes in mm/m to 4; up and left, looking forward, are positive."""
    items = work_of(level)
    following = next_of(items)
    return {
        "format": FORMAT,
        "program": program,
        "outcome": level.outcome.value,
        "standoff_mm": _mm(level.ground.stand.standoff_mm),
        "standoff_from": level.standoff_from,
        "standoff_again": _again(level),
        "centre_height": _height(level.ground.height),
        "tolerances": _tolerances(level.ground.tolerances),
        "rounds": [_round(one, level) for one in level.rounds],
        "tightening": [_tightened(one) for one in level.tightened],
        "work": [_item(item) for item in items],
        "next": None if following is None else following.task.id,
        "questions": [question.sentence for question in level_questions(level)],
        "cautions": [{"id": c.id, "text": c.text, "source": c.source} for c in LEVEL_CAUTIONS],
    }


def _again(level: Level) -> dict[str, Any] | None:
    again = standoff_again(level)
    if again is None:
        return None
    return {
        "round": again.round_number,
        "standoff_mm": _mm(again.reading.value_mm),
        "serves": again.move is not None and again.move.done,
        "to_aim_mm": None if again.move is None else _mm(again.move.by_mm),
    }


def _height(height: CentreHeight | None) -> dict[str, Any] | None:
    if height is None:
        return None
    return {
        "below_mm": _mm(height.below_mm),
        "above_mm": _mm(height.above_mm),
        "u_mm": _mm(height.u_mm),
        "lacks_mm": _mm(height.lacks_mm),
        "grade": height.grade,
    }


def _tolerances(tolerances: Tolerances) -> dict[str, Any]:
    return {
        "spindle_mm": _mm(tolerances.spindle_mm),
        "axis_mm": _mm(tolerances.axis_mm),
        "roll_mm_per_m": _mm(tolerances.roll_mm_per_m),
        "rock_mm": _mm(tolerances.rock_mm),
        "tightening_mm": _mm(tolerances.tightening_mm),
        "basis": tolerances.basis,
    }


def _round(one: Round, level: Level) -> dict[str, Any]:
    fit = one.alignment.fit if one.alignment is not None else None
    return {
        "round": one.number,
        "stage": one.stage,
        "complete": one.complete,
        "lacking": None if one.lacking is None else one.lacking.action,
        "pose": None if one.alignment is None else _pose(one.alignment.pose),
        "agreement": None
        if fit is None
        else {
            "chi_square": round(fit.chi_square, 4),
            "redundancy": fit.redundancy,
            "probability": None if fit.probability is None else round(fit.probability, 6),
            "consistent": fit.consistent,
            "suspects": [list(group) for group in fit.suspects],
            "untested": list(fit.untested),
        },
        "unclosed": [taken.field for taken in one.unclosed],
        "read_at_one_position": list(level.read_at_one_position(one)),
        "in_doubt": [] if one.now is None else [residual.offset.point.name for residual in in_doubt(one.now)],
        "now": None if one.now is None else _verdict(one.now),
        "plan": None if one.plan is None else _plan(one.plan),
    }


def _pose(pose: Pose) -> dict[str, Any]:
    """Each unknown by its name: lift and shift in mm, the rest in mm/m, with its standard uncertainty."""
    return {name: {"value": _mm(pose.value(name)), "u": _mm(pose.u(name))} for name in pose.unknowns}


def _verdict(verdict: Verdict) -> dict[str, Any]:
    return {
        "grade": verdict.grade,
        "points": [
            {
                "name": residual.offset.point.name,
                "x_mm": _mm(residual.offset.point.x_mm),
                "tolerance_mm": _mm(residual.tolerance_mm),
                "upright": _miss(residual.offset.upright, residual.upright),
                "sideways": None
                if residual.offset.sideways is None
                else _miss(residual.offset.sideways, residual.sideways or "outside"),
            }
            for residual in verdict.residuals
        ],
        "roll": {
            "mm_per_m": _mm(verdict.roll.roll_mm_per_m),
            "u_mm_per_m": _mm(verdict.roll.u_mm_per_m),
            "grade": verdict.roll.grade,
        },
    }


def _miss(miss: Miss, grade: str) -> dict[str, Any]:
    """A miss with its grade; null where it hangs on a travel that was not read there."""
    if grade == "not decided":
        return {"miss_mm": None, "u_mm": None, "grade": grade}
    return {"miss_mm": _mm(miss.miss_mm), "u_mm": _mm(miss.u_mm), "grade": grade}


def _plan(plan: Plan) -> dict[str, Any]:
    return {
        "feasible": plan.feasible,
        "feet": [
            {**_move(move), "wanted_mm": _mm(wanted.move_mm), "rocks_mm": _mm(rock_mm), "rocks": move.name in plan.rocking}
            for wanted, move, rock_mm in zip(plan.wanted, plan.feet, plan.rocks_mm, strict=True)
        ],
        "side_screws": [_move(move) for move in plan.screws],
        "shims": plan.shims is not None,
        "coarse": plan.coarse,
        "standoff_change_mm": _mm(plan.standoff_change_mm),
        "expected": _verdict(plan.expected),
    }


def _move(move: Move) -> dict[str, Any]:
    """A move with its limits; null where a travel was not stated."""
    limits = (None if abs(mm) >= UNLIMITED_MM else _mm(mm) for mm in (move.least_mm, move.greatest_mm))
    least, greatest = limits
    return {
        "name": move.name,
        "move_mm": _mm(move.move_mm),
        "least_mm": least,
        "greatest_mm": greatest,
        "beyond_mm": _mm(move.beyond_mm),
    }


def _tightened(one: Tightened) -> dict[str, Any]:
    return {
        "name": one.point.name,
        "upright": _change(one.upright),
        "sideways": None if one.sideways is None else _change(one.sideways),
    }


def _change(change: Change) -> dict[str, Any]:
    return {"change_mm": _mm(change.change.miss_mm), "u_mm": _mm(change.change.u_mm), "seen": change.seen, "grade": change.grade}


def _item(item: WorkItem) -> dict[str, Any]:
    return {"task": item.task.id, "state": item.state, "why": item.why}


def _mm(value_mm: float) -> float:
    return round(value_mm, 4) + 0.0
