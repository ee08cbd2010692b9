"""Where a station of a random job is on the axis, in plain numbers: nothing here knows of carriers, states or forms."""

from __future__ import annotations

from collections.abc import Mapping

from tests.jobs import Case

ON_LATHE = ("adapter", "main-collet", "cover")
ON_LOADER = ("clamp", "gripper", "pusher-tip", "body-front")
STATES = {"rear limit": "z_rear", "front limit": "z_front"}


def station_mm(name: str, case: Case, n: Mapping[str, float], *, mode: int, state: str, standoff_mm: float) -> float:
    """Where a station is, told from the adapter at the first mode's rear limit. [mm]"""
    key = f"lathe.modes[{mode}]"
    travel = case.forward * (n[f"{key}.{STATES[state]}"] - n["lathe.modes[0].z_rear"]) if case.modes else 0.0
    clamp = n.get(f"{key}.loader_shift", 0.0) - standoff_mm
    return {
        "adapter": travel,
        "main-collet": travel + n["lathe.adapter_to_collet"],
        "cover": -n.get("lathe.cover_to_adapter", 0.0),
        "clamp": clamp,
        "gripper": clamp - n["loader.gripper_behind_clamp"],
        "pusher-tip": clamp + n["loader.pusher_reach"],
        "body-front": clamp + n["loader.body_ahead_of_clamp"],
    }[name]


def span_mm(start: str, end: str, case: Case, n: Mapping[str, float], *, mode: int, state: str, standoff_mm: float) -> float:
    """How far it is from one station forward to another. [mm]"""
    ends = (station_mm(name, case, n, mode=mode, state=state, standoff_mm=standoff_mm) for name in (start, end))
    first, last = ends
    return last - first
