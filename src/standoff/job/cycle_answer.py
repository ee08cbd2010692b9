"""The bar cycle as other programs read it: `standoff-cycle/1`, the same bytes for the same input."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

from standoff.job.cycle import Cycle, Trouble
from standoff.job.cycle_speech import CAUTION
from standoff.job.mode_change import ModeChange
from standoff.job.motions import STEPS, Course
from standoff.job.settings import settings_of
from standoff.job.signals import SignalRow

FORMAT = "standoff-cycle/1"


def cycle_contents(
    cycles: Sequence[Cycle],
    signals: Sequence[Sequence[SignalRow]],
    changes: Sequence[ModeChange],
    *,
    standoff_mm: float,
    program: str,
) -> dict[str, Any]:
    """The answer's contents: lengths in mm to 3 decimals, times in s to 2."""
    return {
        "format": FORMAT,
        "program": program,
        "standoff_mm": _mm(standoff_mm),
        "clean": all(cycle.clean for cycle in cycles),
        "parts": [_part(cycle, rows) for cycle, rows in zip(cycles, signals, strict=True)],
        "mode_changes": [_change(change) for change in changes],
        "cautions": [CAUTION],
    }


def _change(change: ModeChange) -> dict[str, Any]:
    """A change of mode; travels count forward from the first mode's rear limit."""
    return {
        "from": change.start,
        "to": change.end,
        "stroke_mm": _mm(change.stroke_mm),
        "in_one_stroke": change.in_one_stroke,
        "travel_mm": {"least": _mm(change.least_mm), "greatest": _mm(change.greatest_mm)},
        "turns": change.turns,
    }


def _part(cycle: Cycle, rows: Sequence[SignalRow]) -> dict[str, Any]:
    part, moments, reach = cycle.part, cycle.course, cycle.part.reach
    sheet = settings_of(cycle)
    return {
        "name": part.name,
        "mode": part.mode.name,
        "bar": part.bar_name,
        "bar_mm": _mm(part.bar_mm),
        "count": part.count,
        "feeds_per_part": part.feeds,
        "remnant_mm": _mm(part.remnant_mm),
        "shortest_remnant_mm": _mm(reach.remnant_mm),
        "shortfall_mm": _mm(reach.shortfall_mm),
        "clean": cycle.clean,
        "bar_change_s": round(cycle.bar_change_s, 2),
        "troubles": [_trouble(trouble) for trouble in cycle.troubles],
        "alarms": list(cycle.alarms),
        "slacks": [
            {"id": t.id, "least_mm": _mm(t.least_mm), "step": STEPS[int(moments.step[t.tightest])], "moment": t.tightest}
            for t in cycle.traces
        ],
        "settings": [
            {"id": s.id, "control": s.control, "value_mm": _mm(s.value_mm), "follows": s.follows} for s in sheet.settings
        ],
        "tallies": [{"id": t.id, "control": t.control, "count": t.count, "follows": t.follows} for t in sheet.tallies],
        "program": list(sheet.program),
        "signals": [asdict(row) for row in rows],
        "moments": _moments(moments),
    }


def _trouble(trouble: Trouble) -> dict[str, Any]:
    return {**asdict(trouble), "time_s": round(trouble.time_s, 2), "missing_mm": _mm(trouble.missing_mm)}


def _moments(moments: Course) -> dict[str, Any]:
    """Every moment of the bar's life; places are on the axis, forward positive."""
    return {
        "time_s": [round(t, 2) for t in moments.time_s.tolist()],
        "step": [STEPS[step] for step in moments.step.tolist()],
        "part": moments.part.tolist(),
        "travel_mm": _mms(moments.travel_mm.tolist()),
        "pusher_tip_mm": _mms(moments.tip_mm.tolist()),
        "bar_front_mm": _mms(moments.front_mm.tolist()),
        "bar_rear_mm": _mms(moments.rear_mm.tolist()),
        "collet_closed": moments.collet_closed.tolist(),
        "gripper_closed": moments.gripper_closed.tolist(),
        "tool_in": moments.tool_in.tolist(),
        "stop_in": moments.stop_in.tolist(),
        "sub_spindle": moments.sub_spindle.tolist(),
    }


def _mm(value: float) -> float:
    return round(value, 3) + 0.0


def _mms(values: Sequence[float]) -> list[float]:
    return [round(value, 3) + 0.0 for value in values]
