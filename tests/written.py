"""The bounds as the contract writes them out, on plain numbers: what the property tests hold the program against.

Nothing here knows of stations, states or forms. Numbers may be arrays (samples), since only sums, least and greatest occur.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from tests.jobs import Case, Quantity, mode_name

GUARD = 1.645
DEFAULTS_MM = {
    "rules.nose_clearance": "6.35",
    "rules.nose_clearance_preferred": "12.7",
    "rules.fixed_nose_end_gap": "12.7",
    "rules.bar_margin": "152.4",
    "rules.bar_change_setback": "76.2",
    "rules.cover_clearance": "25.4",
    "rules.rear_service": "914.4",
    "rules.setting_uncertainty": "3.175",
    "loader.body_ahead_of_clamp": "0",
    "bar_path.running_clearance": "1",
    "nose.may_be_cut": "0",
    "nose.least_engagement": "0",
}
EXACT = ("rules.", "loader.bar_capacity", "nose.may_be_cut", "nose.overlap", "nose.least_engagement", "bar_path.running")
ALLOWANCE_MM = {"tape": 1.0, "sighted": 3.0, "rule": 0.5, "caliper": 0.05, "laser": 2.0, "control": 0.01}
ALLOWANCE_MM |= {"manual": 3.0, "drawing": 3.0, "estimate": 10.0}


@dataclass(frozen=True)
class Written:
    """One bound: the standoff at least (or at most) `at`, less the cut where `cut` is 1. `at` is a number or an array."""

    id: str
    mode: str | None
    at_least: bool
    at: Any
    cut: int = 0

    def slack(self, standoff: Any, cut: Any = 0.0) -> Any:
        """How much more than required there is."""
        at = self.at - self.cut * cut
        return standoff - at if self.at_least else at - standoff


def numbers(case: Case) -> dict[str, float]:
    """Every value [mm] by its place, the defaults filled in; `setting` is the error with which the standoff is set."""
    exact = {path: quantity.mm for path, quantity in case.quantities.items()}
    return {path: float(mm) for path, mm in ({k: Fraction(v) for k, v in DEFAULTS_MM.items()} | exact).items()}


def standard_mm(case: Case) -> dict[str, float]:
    """The standard uncertainty [mm] of every value that has one; that of the setting under `setting`."""
    spread = {path: _standard_mm(path, quantity) for path, quantity in case.quantities.items()}
    return {path: u for path, u in spread.items() if u > 0.0} | {
        "setting": numbers(case)["rules.setting_uncertainty"] / math.sqrt(3)
    }


def _standard_mm(path: str, quantity: Quantity) -> float:
    if quantity.standard_mm is not None:
        return float(quantity.standard_mm)
    if quantity.half_width_mm is not None:
        return float(quantity.half_width_mm) / math.sqrt(3)
    if path.startswith(EXACT):
        return 0.0
    source = quantity.source or ("control" if ".z_" in path else "tape")
    half_mm = ALLOWANCE_MM[source]
    if source in ("tape", "sighted"):
        half_mm += 0.3 + 0.2 * math.ceil(abs(quantity.mm) / 1000)
    return half_mm / math.sqrt(3)


def bounds(case: Case, n: Mapping[str, Any]) -> list[Written]:
    """The six bounds of every mode, in the order of the answer's rows, from these numbers (or arrays of samples)."""
    modes = [_mode(case, n, i) for i in range(case.modes)] or [("fixed", 0.0, 0.0, 0.0, 0.0)]
    o = sum(n[path] for path in case.quantities if path.startswith("fittings"))
    enters = case.quantities.get("nose.entry_depth", Quantity(Fraction(0))).mm > 0
    b = n["nose.entry_depth"] if enters else 0.0
    butting = 0.0 if case.telescopic else -n["rules.fixed_nose_end_gap"]
    a = n["nose.least_engagement"] if enters else butting
    short = n["nose.collapsed"] if case.telescopic else n["nose.length"]
    long = n["nose.extended"] - n["nose.overlap"] if case.telescopic else n["nose.length"]
    k = 0 if case.telescopic else 1
    c, collet = n["rules.nose_clearance"], n["lathe.adapter_to_collet"]
    bar = n["rules.longest_bar" if "rules.longest_bar" in case.quantities else "loader.bar_capacity"]
    room = bar + n["rules.bar_margin"] - n["loader.gripper_behind_clamp"] - collet
    found = [Written("nose-room", m, True, short + o + c - b + s - rear, k) for m, rear, _, _, s in modes]
    found += [Written("nose-engagement", m, False, long + o - a + s - front, k) for m, _, front, _, s in modes]
    found += [Written("pusher-reach", m, False, n["loader.pusher_reach"] + s - front - collet) for m, _, front, _, s in modes]
    found += [Written("full-bar", m, True, room + s - change) for m, _, _, change, s in modes]
    if "lathe.cover_to_adapter" in case.quantities:
        body = n["lathe.cover_to_adapter"] + n["loader.body_ahead_of_clamp"] + n["rules.cover_clearance"]
        found += [Written("cover-clearance", m, True, body + s) for m, _, _, _, s in modes]
    if {"lathe.cover_to_adapter", "lathe.cover_to_wall", "loader.length_behind_clamp"} <= set(case.quantities):
        wall = n["lathe.cover_to_wall"] + n["lathe.cover_to_adapter"] - n["loader.length_behind_clamp"]
        back = 0.0
        for _, _, _, _, s in modes:
            back = _least(back, s)
        found.append(Written("rear-room", None, False, wall - n["rules.rear_service"] + back))
    return found


def _mode(case: Case, n: Mapping[str, Any], i: int) -> tuple[str, Any, Any, Any, Any]:
    """Name, rear limit, front limit, bar change and shift of a mode."""
    key, zero = f"lathe.modes[{i}]", n["lathe.modes[0].z_rear"]
    rear = case.forward * (n[f"{key}.z_rear"] - zero)
    front = case.forward * (n[f"{key}.z_front"] - zero)
    if f"{key}.z_bar_change" in case.quantities:
        change = case.forward * (n[f"{key}.z_bar_change"] - zero)
    else:
        change = front - n["rules.bar_change_setback"]
    return mode_name(i), rear, front, change, n.get(f"{key}.loader_shift", 0.0)


def _least(a: Any, b: Any) -> Any:
    return (a + b - abs(a - b)) / 2.0  # serves numbers and arrays alike


def fixed_slacks(case: Case, n: Mapping[str, Any]) -> list[tuple[str, Any]]:
    """The slacks the standoff has no part in: the axis height, and every traveller through every bore."""
    found: list[tuple[str, Any]] = []
    if {"lathe.centre_height", "loader.centre_height[0]"} <= set(case.quantities):
        axis = n["lathe.centre_height"]
        found.append(("centre-height", axis - n["loader.centre_height[0]"]))
        found.append(("centre-height", n["loader.centre_height[1]"] - axis))
    for bore in (path for path in case.quantities if path.startswith("passage")):
        for od in ("bar_path.pusher_od", "bar_path.pusher_collet_od"):
            if od in case.quantities:
                found.append(("passage", n[bore] - n[od] - n["bar_path.running_clearance"]))
    return found


def slack_u_mm(case: Case) -> list[float]:
    """The standard uncertainty [mm] of each bound's slack: each value is moved by itself, and the bounds watched."""
    n, spread = numbers(case), standard_mm(case)
    middle = bounds(case, n)
    squares = [spread["setting"] ** 2] * len(middle)
    for path, u in spread.items():
        if path == "setting":
            continue
        moved = bounds(case, n | {path: n[path] + 0.5})
        squares = [s + ((m.at - w.at) / 0.5 * u) ** 2 for s, m, w in zip(squares, moved, middle, strict=True)]
    return [math.sqrt(s) for s in squares]
