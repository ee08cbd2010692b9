"""Which fields levelling asks for, given what else is typed, and the words to answer with where one is chosen."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import Any

from standoff.job.field import value_at

Row = Mapping[str, Any]
Choices = tuple[tuple[str, str], ...]

_YES_NO: Choices = (("true", "yes"), ("false", "no"))

LEVEL_CHOICES: Mapping[str, Choices] = {
    "levels[i].way": (("across", "across the loader"), ("along", "along its axis")),
    "sweeps[i].surface": (("bore", "a bore"), ("outside", "an outside"), ("face", "a face looking forward")),
    "reference_lines[i].kind": (("wire", "a taut wire"), ("laser", "a laser beam"), ("straightedge", "a straightedge")),
    "level_rounds[i].stage": (("as found", "as found"), ("moved", "after moving"), ("tightened", "after tightening")),
    "level_rounds[i].feet_bear": (("true", "yes, all of them"), ("false", "no, one does not")),
    "level_rounds[i].drilled": _YES_NO,
    "level_rounds[i].pusher_slides": (("true", "yes, all the way"), ("false", "no, something is felt")),
    **{
        f"{table}[i].headstock": (("rear limit", "fully back"), ("front limit", "fully forward"))
        for table in ("sweeps", "line_readings", "reference_lines")
    },
    **{f"{table}[i].loader": (("standing", "standing"), ("shifted", "shifted")) for table in ("sweeps", "line_readings")},
}
"""Fields of levelling that are answered by choosing."""

LEVEL_MODES = ("sweeps[i].mode", "line_readings[i].mode", "reference_lines[i].mode")
"""Fields answered with the name of a mode."""

NAMED_IN: Mapping[str, str] = {"sweeps[i].bracket": "brackets", "line_readings[i].line": "reference_lines"}
"""Fields answered with a name out of another list."""

LEVEL_NEEDED = (
    *("sweeps[i].behind_clamp", "sweeps[i].circle", "levels[i].spindle"),
    *("reference_lines[i].rear_end", "reference_lines[i].front_end", "reference_lines[i].wire_diameter"),
)
"""Fields that are needed where they are asked for."""

LEVEL_SHAPING = (
    r"|(feet|side_screws|brackets|sweeps|reference_lines)\[[0-9]+\]\.name|reference_lines\[[0-9]+\]\.(kind|note|tension|sag)"
    r"|(sweeps|levels|line_readings|level_rounds)\[[0-9]+\]\.round|sweeps\[[0-9]+\]\.surface|levels\[[0-9]+\]\.way"
    r"|line_readings\[[0-9]+\]\.line"
)
"""Fields on which it depends what else is asked, or where and under which name it stands."""


def _wire(row: Row) -> bool:
    return row.get("kind") == "wire"


def _without(*others: str) -> Callable[[Row], bool]:
    return lambda row: _wire(row) and not any(row.get(other) for other in others)


LEVEL_ONLY_WHERE: Mapping[str, Callable[[Row], bool]] = {
    "sweeps[i].behind_clamp": lambda row: row.get("surface") != "face",
    "sweeps[i].circle": lambda row: row.get("surface") == "face",
    "levels[i].turned": lambda row: row.get("way") != "along",
    "levels[i].spindle": lambda row: row.get("way") == "along",
    "reference_lines[i].rear_end": _wire,
    "reference_lines[i].front_end": _wire,
    "reference_lines[i].note": _without("tension", "sag"),
    "reference_lines[i].tension": _without("note", "sag"),
    "reference_lines[i].wire_diameter": lambda row: _wire(row) and bool(row.get("tension")),
    "reference_lines[i].wire_density": lambda row: _wire(row) and bool(row.get("tension")),
    "reference_lines[i].sag": _without("note", "tension"),
}
"""Fields that are asked for only where the rest of their row calls for them."""


def asked_in_job(field: str, raw: Mapping[str, Any]) -> bool | None:
    """Whether the job's machines call for a field of a reading: a headstock that slides, a loader that is shifted, a bracket.

    Where the headstock stood is asked of a line, not of what is read from it. None for a field that does not hang on them. What
    is typed is always shown.
    """
    pattern = re.sub(r"\[[0-9]+\]", "[i]", field)
    table, _, key = pattern.partition("[i].")
    if table not in ("sweeps", "line_readings", "reference_lines") or key not in ("headstock", "loader", "bracket"):
        return None
    if value_at(raw, field) is not None:
        return True
    if key == "headstock":
        return table != "line_readings" and bool(value_at(raw, "lathe.headstock") == "sliding")
    if key == "loader":
        modes = value_at(raw, "lathe.modes")
        return any(isinstance(mode, dict) and mode.get("loader_shift") for mode in modes or ())
    row = value_at(raw, field.rpartition(".")[0])
    return bool(value_at(raw, "brackets")) and not (isinstance(row, dict) and row.get("surface") == "face")
