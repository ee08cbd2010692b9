"""Bar speed as other programs read it: `standoff-speed/1`, the same bytes for the same input."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from standoff.job.speed import BarSpeed, SpeedAnswer
from standoff.job.speed_speech import CAUTION
from standoff.job.whip_limit import Course

FORMAT = "standoff-speed/1"


def speed_contents(answer: SpeedAnswer, *, program: str) -> dict[str, Any]:
    """The answer's contents: speeds in rpm and forces in N to 1 decimal, lengths in mm to 3."""
    return {
        "format": FORMAT,
        "program": program,
        "standoff_mm": round(answer.standoff_mm, 3),
        "placement_holds": answer.placed,
        "holds": answer.holds,
        "decided": answer.decided,
        "bars": [_bar(one) for one in answer.bars],
        "cautions": [CAUTION],
    }


def _bar(one: BarSpeed) -> dict[str, Any]:
    known: dict[str, Any] = {
        "name": one.bar.name,
        "verdict": one.verdict.value,
        "wanted_rpm": _tenth(one.bar.wanted_rpm),
        "passage": [
            {
                "traveller": p.traveller,
                "bore": p.bore,
                "bore_mm": _mm(p.bore_mm),
                "needed_mm": _mm(p.needed_mm),
                "passes": p.passes,
            }
            for p in one.passings
        ],
        "liners": [
            {
                "name": c.name,
                "bore_mm": _mm(c.bore_mm),
                "needed_mm": _mm(c.needed_mm),
                "by": c.by,
                "passes": c.passes,
                "chosen": c.chosen,
            }
            for c in one.liners
        ],
        "turn_end_down_to_mm": None if one.turn_down is None else _mm(one.turn_down.to_mm),
        "speed": None,
        "force": None,
    }
    if one.courses:
        known["speed"] = _speed(one)
    if one.pushing is not None:
        known["force"] = {
            "buckling_n": _tenth(one.pushing.buckling.force_n),
            "where": one.pushing.buckling.where,
            "set_n": _tenth(one.pushing.set_n),
            "used": round(one.pushing.used, 4),
            "stages": [
                {"stage": s.key, "floor_n": _tenth(s.floor_n), "ceiling_n": _tenth(s.ceiling_n), "possible": s.possible}
                for s in one.pushing.stages
            ],
        }
    return known


def _speed(one: BarSpeed) -> dict[str, Any]:
    lowest, touching = one.lowest, one.touching
    return {
        "lowest_limit": {"of": lowest.of, "rpm": _tenth(lowest.speed_rpm), "mode": lowest.mode},
        "limits": [{"of": limit.of, "rpm": _tenth(limit.speed_rpm), "mode": limit.mode} for limit in one.limits],
        "limits_not_stated": list(one.not_given),
        "share": one.share,
        "used": None if one.used is None else round(one.used, 4),
        "nearer_its_limit": one.nearer,
        "courses": [_course(course) for course in one.courses],
        "steps": [
            {"longest_mm": _mm(s.longest_mm), "shortest_mm": _mm(s.shortest_mm), "limit_rpm": _tenth(s.limit_rpm)}
            for s in one.steps
        ],
        "touches_liner": None
        if touching is None
        else {
            "worst_rpm": _tenth(touching.worst_rpm),
            "usual_rpm": _tenth(touching.usual_rpm),
            "length_mm": _mm(touching.length_mm),
        },
        "edges_excite_mm": [[_mm(short), _mm(long)] for short, long in one.shaken_mm],
        "site_readings": [
            {"kind": r.kind, "whip_rpm": _tenth(r.whip_rpm), "stiffness_factor": round(r.stiffness_factor, 4)}
            for r in one.readings
        ],
        "changes": [{"text": c.text, "whip_rpm": _tenth(c.whip_rpm), "factor": round(c.factor, 4)} for c in one.changes],
        "warnings": list(one.warnings),
    }


def _course(course: Course) -> dict[str, Any]:
    life, gap = course.life, course.spans.gap
    return {
        "mode": course.spans.state.mode,
        "state": course.spans.state.name,
        "gap": {"front": gap.front, "rear": gap.rear, "length_mm": _mm(gap.length_mm)},
        "worst": {
            "length_mm": _mm(life.worst.length_mm),
            "whip_rpm": _tenth(life.worst.whip_rpm),
            "softest_supports_rpm": _tenth(life.worst_soft_rpm),
            "cause": life.worst.cause.text(),
        },
        "lengths_mm": _mms(life.lengths_mm.tolist()),
        "whip_rpm": _tenths(life.whip_rpm.tolist()),
        "soft_rpm": _tenths(life.soft_rpm.tolist()),
        "stiff_rpm": _tenths(life.stiff_rpm.tolist()),
        "resting_on_liner_rpm": _tenths(life.on_liner_rpm.tolist()),
    }


def _mm(value: float) -> float:
    return round(value, 3)


def _mms(values: Sequence[float]) -> list[float]:
    return [round(value, 3) for value in values]


def _tenth(value: float | None) -> float | None:
    return None if value is None else round(value, 1)


def _tenths(values: Sequence[float]) -> list[float]:
    return [round(value, 1) for value in values]
