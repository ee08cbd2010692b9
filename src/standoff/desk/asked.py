"""Which fields are asked for, and which of them are needed, given what else is typed."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import Any

from standoff.bar.materials import MATERIALS
from standoff.desk.choices import mode_names
from standoff.desk.level_asked import LEVEL_NEEDED, LEVEL_ONLY_WHERE, LEVEL_SHAPING, asked_in_job
from standoff.job.checks import KEYS_OF_KIND
from standoff.job.field import value_at
from standoff.job.keys import extra, keys, table_of
from standoff.job.tables import JobFile

Row = Mapping[str, Any]
TUBES = ("guide-tube", "channel")


def _own_material(row: Row) -> bool:
    return bool(row.get("material")) and row["material"] not in MATERIALS


_ONLY_WHERE: Mapping[str, Callable[[Row], bool]] = {
    "bars[i].density": _own_material,
    "bars[i].modulus": _own_material,
    "bars[i].speed": lambda row: not row.get("cutting_speed"),
    "bars[i].cutting_speed": lambda row: not row.get("speed"),
    "bars[i].turned_diameter": lambda row: bool(row.get("cutting_speed")),
    "bars[i].straightness": lambda row: not row.get("straightness_standard"),
    "bars[i].straightness_standard": lambda row: not row.get("straightness"),
    "bars[i].straightness_group": lambda row: bool(row.get("straightness_standard")),
    "supports[i].bore": lambda row: row.get("kind") in TUBES,
    "supports[i].spacing": lambda row: row.get("kind") == "channel",
    "supports[i].flooded": lambda row: row.get("kind") == "channel",
    "site_checks[i].sag": lambda row: row.get("kind") == "sag",
    "site_checks[i].frequency": lambda row: row.get("kind") == "tap",
    "site_checks[i].length": lambda row: row.get("kind") == "tap",
    "stock.price_per_bar": lambda row: row.get("price_per_kg") is None,
    "stock.price_per_kg": lambda row: row.get("price_per_bar") is None,
    "stock.bars_in_magazine": lambda row: row.get("magazine_width") is None,
    "stock.magazine_width": lambda row: row.get("bars_in_magazine") is None,
    **LEVEL_ONLY_WHERE,
    "keep_outs[i].behind": lambda row: row.get("side") in ("left", "right"),
    "keep_outs[i].ahead": lambda row: row.get("side") in ("left", "right"),
    "keep_outs[i].left": lambda row: row.get("side") in ("behind", "ahead"),
    "keep_outs[i].right": lambda row: row.get("side") in ("behind", "ahead"),
    "working_spaces[i].voltage": lambda row: row.get("depth") is None,
    "working_spaces[i].facing": lambda row: row.get("depth") is None,
    "working_spaces[i].depth": lambda row: row.get("voltage") is None and row.get("facing") is None,
    "markout.taped": lambda row: bool(row.get("first") and row.get("second")),
    "runoff_runs[i].bar": lambda row: not row.get("part"),
}
"""Fields that are asked for only where the rest of their row calls for them."""

_NEEDED_WHERE_ASKED = (
    "bars[i].density",
    "bars[i].modulus",
    "bars[i].turned_diameter",
    "bars[i].straightness_group",
    "supports[i].bore",
    "site_checks[i].sag",
    "site_checks[i].frequency",
    "site_checks[i].length",
    "bar_path.pusher_mass",
    *LEVEL_NEEDED,
    "working_spaces[i].voltage",
    "working_spaces[i].facing",
)

_ENDS_KNOWN: Mapping[str, tuple[str, ...]] = {"loader": ("behind", "ahead"), "lathe": ("behind",)}
"""The ends that an item of a kind has from the survey."""

SHAPING = re.compile(
    r"lathe\.headstock|nose\.(kind|entry_depth)|lathe\.modes\[[0-9]+\]\.name|(fittings|liners)\[[0-9]+\]\.name"
    r"|bars\[[0-9]+\]\.(name|material|speed|cutting_speed|straightness|straightness_standard)"
    r"|supports\[[0-9]+\]\.(name|kind)|speed_limits\[[0-9]+\]\.of|site_checks\[[0-9]+\]\.(kind|bar)"
    r"|runoff_runs\[[0-9]+\]\.(name|part)|runoff_alarms\[[0-9]+\]\.alarm"
    r"|parts\[[0-9]+\]\.name|prices\.currency|stock\.(price_per_bar|price_per_kg|bars_in_magazine|magazine_width)"
    r"|(floor_items|floor_doors|keep_outs|slab_joints|floor_loads|reference_points|holes)\[[0-9]+\]\.name"
    r"|floor_items\[[0-9]+\]\.kind|keep_outs\[[0-9]+\]\.side|working_spaces\[[0-9]+\]\.(item|voltage|facing|depth)"
    r"|markout\.(first|second)" + LEVEL_SHAPING
)
"""Fields on which it depends what else is asked or how a group is called: after these the whole form is shown anew."""


def is_asked(field: str, raw: Mapping[str, Any]) -> bool:
    """Whether a field is asked for: of the nose only what its kind has, of the headstock only what slides."""
    sliding = bool(value_at(raw, "lathe.headstock") == "sliding")
    if field == "lathe.z_forward":
        return sliding
    if (called := asked_in_job(field, raw)) is not None:
        return called
    if _pattern(field) in ("parts[i].z_last_cut", "parts[i].bar"):
        called_for = sliding if field.endswith("cut") else bool(value_at(raw, "bars"))
        return called_for or value_at(raw, field) is not None
    if field.endswith("].mode"):
        row = _row(field, raw)
        told_otherwise = row.get("kind") == "sag" or (field.startswith("runoff_runs[") and bool(row.get("part")))
        called_for = sliding and len(mode_names(raw)) > 1 and not told_otherwise
        return called_for or (not field.startswith("check[") and value_at(raw, field) is not None)
    if field.endswith("].state") and field.startswith("site_checks["):
        return (sliding and _row(field, raw).get("kind") == "tap") or value_at(raw, field) is not None
    condition = _ONLY_WHERE.get(_pattern(field))
    if condition is not None:
        return condition(_row(field, raw)) or value_at(raw, field) is not None
    kind, own = str(value_at(raw, "nose.kind")), field.removeprefix("nose.")
    if field.startswith("nose.") and own != "kind" and kind not in KEYS_OF_KIND:
        return False
    if field == "nose.least_engagement":
        return bool(value_at(raw, "nose.entry_depth")) or bool(value_at(raw, field))
    if any(own in lengths for lengths in KEYS_OF_KIND.values()):
        return own in KEYS_OF_KIND[kind]
    return True


def is_needed(field: str, raw: Mapping[str, Any]) -> bool:
    """Whether there is no answer without it: no placement, or for what only bar speed asks no speed."""
    pattern = _pattern(field)
    if field == "lathe.z_forward" or pattern in _NEEDED_WHERE_ASKED:
        return True
    if pattern in ("floor_items[i].behind", "floor_items[i].ahead"):
        kind = _row(field, raw).get("kind")
        return kind is not None and field.rpartition(".")[2] not in _ENDS_KNOWN.get(kind, ())
    if pattern == "supports[i].length":
        return _row(field, raw).get("kind") != "rest"
    if field.startswith("nose.") and field.removeprefix("nose.") in KEYS_OF_KIND.get(str(value_at(raw, "nose.kind")), ()):
        return True
    return bool(_declared(field).get("required"))


def _pattern(field: str) -> str:
    return re.sub(r"\[[0-9]+\]", "[i]", field)


def _row(field: str, raw: Mapping[str, Any]) -> Row:
    """What stands in the row of a list to which a field belongs."""
    row = value_at(raw, field.rpartition(".")[0])
    return row if isinstance(row, dict) else {}


def _declared(field: str) -> dict[str, Any]:
    """What the job file declares of a field."""
    table: type[Any] = JobFile
    *way, last = re.findall(r"[^.\[\]]+", re.sub(r"\[\d+\]", "", field))
    for part in way:
        table = table_of(table, part)
    return next((extra(found) for key, _, found in keys(table) if key == last), {})
