"""What a field may be answered with: a choice in words, or names to pick from while another may be typed."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from typing import Any, get_args

from standoff.bar.materials import MATERIALS
from standoff.bar.stock import groups
from standoff.desk.level_asked import LEVEL_CHOICES, LEVEL_MODES, NAMED_IN
from standoff.job.bar_tables import SUPPORT_KINDS, BarTable, Limiter
from standoff.job.field import value_at
from standoff.job.floor_tables import (
    Facing,
    ItemCarrier,
    ItemKind,
    KeepOutReason,
    LayingTool,
    SideName,
    Standing,
    VoltageBand,
)
from standoff.job.level_tables import PadShape
from standoff.job.names import STATION_NAMES
from standoff.job.part_tables import Ejection, FeedStop
from standoff.job.runoff_tables import STOP_CAUSES, SignalResult
from standoff.model.state import BAR_CHANGE, FRONT_LIMIT, REAR_LIMIT, STANDING

Choices = tuple[tuple[str, str], ...]


def _allowed(annotation: Any) -> Iterator[str]:
    """The words that a declaration allows."""
    for part in get_args(annotation):
        if isinstance(part, str):
            yield part
        yield from _allowed(part)


def _words(kind: Any) -> Choices:
    """The words of a declared choice, as they are."""
    return tuple((word, word) for word in get_args(kind))


def _as_they_are(key: str) -> Choices:
    return tuple((word, word) for word in _allowed(BarTable.model_fields[key].annotation))


CHOICES: Mapping[str, Choices] = {
    "job.units": (("in", "inches"), ("mm", "millimetres")),
    "lathe.headstock": (("sliding", "slides"), ("fixed", "fixed")),
    "lathe.z_forward": (("positive", "Z rises going forward"), ("negative", "Z falls going forward")),
    "nose.kind": (("telescopic", "telescopic"), ("fixed", "fixed")),
    "check[i].from": tuple(STATION_NAMES.items()),
    "check[i].to": tuple(STATION_NAMES.items()),
    "check[i].state": (
        (REAR_LIMIT, "at its rear limit"),
        (FRONT_LIMIT, "at its front limit"),
        (BAR_CHANGE, "at bar change"),
        (STANDING, "fixed"),
    ),
    "bars[i].shape": _as_they_are("shape"),
    "bars[i].grade": _as_they_are("grade"),
    "bars[i].straightness_standard": _as_they_are("straightness_standard"),
    "supports[i].kind": tuple((kind, kind.replace("-", " ")) for kind in SUPPORT_KINDS),
    "supports[i].station": tuple((name, STATION_NAMES[name]) for name in ("adapter", "main-collet", "cut-off", "cover", "clamp")),
    "supports[i].flooded": (("true", "yes, it runs full of oil"), ("false", "no")),
    "speed_limits[i].of": tuple((word, word) for word in get_args(Limiter)),
    "site_checks[i].state": ((REAR_LIMIT, "at its rear limit"), (FRONT_LIMIT, "at its front limit")),
    "site_checks[i].kind": (("sag", "sag of a span"), ("tap", "note of the tapped bar")),
    "parts[i].picked_off": (("true", "yes, it takes the last part"), ("false", "no")),
    "cycle.feed_stop": tuple((word, f"the {word}" if word != "stop" else "a stop") for word in get_args(FeedStop)),
    **{f"runoff.{cause}_counts": (("true", "it counts"), ("false", "it does not")) for cause in STOP_CAUSES},
    "runoff.signals_count": (("true", "every row must be ok"), ("false", "it is kept, but decides nothing")),
    "runoff_alarms[i].result": tuple((word, word) for word in get_args(SignalResult)),
    "cycle.ejection": tuple((word, word) for word in get_args(Ejection)),
    **LEVEL_CHOICES,
    "floor.lathe_stands": _words(Standing),
    "floor.loader_stands": _words(Standing),
    "floor_items[i].kind": _words(ItemKind),
    "floor_items[i].carrier": tuple((word, f"the {word}") for word in get_args(ItemCarrier)),
    "floor_items[i].shifts": (("true", "yes"), ("false", "no, it stays")),
    "floor_loads[i].shifts": (("true", "yes"), ("false", "no, it stays")),
    "floor_doors[i].side": _words(SideName),
    "floor_doors[i].hinge": _words(SideName),
    "keep_outs[i].reason": _words(KeepOutReason),
    "keep_outs[i].side": _words(SideName),
    "keep_outs[i].loader_away": (("true", "yes, it is moved aside"), ("false", "no")),
    "working_spaces[i].side": _words(SideName),
    "working_spaces[i].voltage": _words(VoltageBand),
    "working_spaces[i].facing": _words(Facing),
    "feet[i].pad_shape": _words(PadShape),
    "feet[i].marked": (("true", "yes, a hole is drilled through it"), ("false", "no")),
    "floor_loads[i].comes_and_goes": (("true", "yes"), ("false", "no")),
    "markout.tool": _words(LayingTool),
}
"""Fields answered by choosing, with the words for each answer."""


def choices_of(field: str, raw: Mapping[str, Any]) -> Choices:
    """The answers to choose from, also those that depend on what else is typed: modes, bars, groups of a standard."""
    pattern = re.sub(r"\[[0-9]+\]", "[i]", field)
    if pattern in (
        "check[i].mode",
        "supports[i].mode",
        "speed_limits[i].mode",
        "site_checks[i].mode",
        "parts[i].mode",
        "runoff_runs[i].mode",
        *LEVEL_MODES,
    ):
        return tuple((name, name) for name in mode_names(raw))
    if pattern in NAMED_IN:
        return tuple((name, name) for name in _names(value_at(raw, NAMED_IN[pattern])))
    if pattern == "runoff_runs[i].part":
        return tuple((name, name) for name in _names(value_at(raw, "parts")))
    if pattern in ("site_checks[i].bar", "parts[i].bar", "runoff_runs[i].bar"):
        return tuple((name, name) for name in _names(value_at(raw, "bars")))
    if pattern in ("floor_doors[i].item", "keep_outs[i].item", "working_spaces[i].item"):
        return tuple((name, name) for name in _names(value_at(raw, "floor_items")))
    if pattern in ("markout.first", "markout.second"):
        return tuple((name, name) for name in _names(value_at(raw, "reference_points")))
    if pattern == "bars[i].straightness_group":
        standard = value_at(raw, f"{field.rpartition('.')[0]}.straightness_standard")
        known = standard in (word for word, _ in CHOICES["bars[i].straightness_standard"])
        return tuple((group, group) for group in groups(standard)) if known else ()
    return CHOICES.get(pattern, ())


def suggestions_of(field: str) -> tuple[str, ...]:
    """Names to pick from, where another may be typed as well."""
    return tuple(MATERIALS) if re.fullmatch(r"bars\[[0-9]+\]\.material", field) else ()


def mode_names(raw: Mapping[str, Any]) -> list[str]:
    """The names of the modes as far as they are typed."""
    return _names(value_at(raw, "lathe.modes"))


def _names(rows: Any) -> list[str]:
    return [str(row["name"]) for row in rows or [] if isinstance(row, dict) and row.get("name")]
