"""The tables of a job file that say what bars turn in it, what holds them, and what limits their speed and the push on them.

They are optional: a placement does not need them, bar speed does. Stiffnesses are guesses until a tap test corrects them, so
the defaults stand for a kind of support and the answer is a band.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import Field

from standoff.job.keys import (
    NOT_NEGATIVE,
    SIGNED,
    CuttingSpeed,
    Density,
    Exact,
    Force,
    Frequency,
    Modulus,
    Name,
    Rpm,
    Stiffness,
    Table,
    Taped,
    extra,
    needed,
    optional,
    rule,
)

Share = Annotated[float, Field(gt=0.0, le=1.0, allow_inf_nan=False)]
Factor = Annotated[float, Field(ge=1.0, le=100.0, allow_inf_nan=False)]
Friction = Annotated[float, Field(ge=0.0, le=1.0, allow_inf_nan=False)]
SupportKind = Literal["collet", "guide-bushing", "rest", "guide-tube", "channel"]
StationName = Literal["adapter", "main-collet", "cut-off", "cover", "clamp"]
Limiter = Literal["lathe", "loader", "pusher bearing", "guide bushing", "collet", "channel"]

SUPPORT_KINDS: dict[str, tuple[str, str]] = {
    "collet": ("50 kN/mm", "grips the bar over its length, and keeps it from tilting"),
    "guide-bushing": ("20 kN/mm", "guides the bar over its length"),
    "rest": ("500 N/mm", "rollers or a damped rest at one place"),
    "guide-tube": ("2 kN/mm", "a close tube the bar lies in, such as a guide tube in the nose or the spindle"),
    "channel": ("500 N/mm", "bears the bar behind the clamp"),
}
"""Every kind of support: the stiffness taken where none is stated (common practice, no published source), and what it does."""


class BarTable(Table):
    """A bar that is to turn in this lathe."""

    name: Name = needed("what it is called", "12 mm stainless")
    shape: Literal["round", "hexagon", "square"] = needed(
        "round, hexagon or square: others bend unequally and are refused", "round"
    )
    size: Exact = needed("diameter, or size across flats", "1/2 in", "12 mm")
    material: Name = needed("what it is made of: one of the list, or a name of your own with density and modulus", "steel")
    density: Density | None = optional("density of a material of your own", "7850 kg/m3")
    modulus: Modulus | None = optional("Young's modulus of a material of your own", "200 GPa")
    length: Exact | None = optional("its length; without it the job's longest bar", "12 ft", "3.66 m")
    grade: Literal["h9", "h10", "h11", "h12"] | None = optional("tolerance of its size (ISO 286); without it the usual one", "h9")
    straightness: Exact | None = optional("greatest bow over a metre of it; without it 1.5 mm (round) or 2 mm", "1 mm")
    straightness_standard: Literal["EN 10278:1999", "ASTM A108, Table A1.4"] | None = optional(
        "or: the standard it was ordered to", "EN 10278:1999"
    )
    straightness_group: Name | None = optional("and its group of steels there", "carbon below 0.25 %")
    speed: Rpm | None = optional("speed wanted", "3000 rpm")
    cutting_speed: CuttingSpeed | None = optional("or: cutting speed wanted", "400 ft/min", "120 m/min")
    turned_diameter: Exact | None = optional("and the smallest diameter it is wanted at", "3/8 in", "10 mm")
    feed_force: Force | None = optional("what the loader pushes this bar with, as set; without it [feed].set_force", "40 N")
    end_turned_to: Exact | None = optional("diameter its rear end has been turned down to", "3/4 in", "18 mm")


class SupportTable(Table):
    """What holds the turning bar: a collet, bushing, rest, guide tube or channel, at a station of the pair."""

    name: Name = needed("what it is called", "main collet")
    kind: SupportKind = needed("collet, guide-bushing, rest, guide-tube or channel", "collet")
    station: StationName = needed("station it is measured from", "main-collet")
    ahead: Taped | None = rule("its front end ahead of that station (negative: behind it)", "0 in", "60 mm", sign=SIGNED)
    length: Taped | None = optional("how long it holds the bar; a rest may leave it out", "1 1/2 in", "38 mm", sign=NOT_NEGATIVE)
    stiffness: Stiffness | None = optional(
        "sideways stiffness: of a tube or channel for each 100 mm, of rollers each; else the usual one of its kind",
        "500 N/mm",
    )
    spacing: Taped | None = optional("channel: distance of its rollers, where it does not bear all along", "20 in", "500 mm")
    bore: Taped | None = optional("guide tube and channel: its bore", "1 1/2 in", "38 mm")
    flooded: bool | None = optional("channel: true where it runs full of oil", "true")
    mode: Name | None = optional("only in this mode", "guide-bushing")


class LinerTable(Table):
    """A spindle liner that may be fitted."""

    name: Name = needed("what it is called", "liner 26 mm")
    bore: Taped = needed("its bore", "26 mm")
    speed_limit: Rpm | None = optional("its maker's greatest speed", "6000 rpm")


class SpeedLimitTable(Table):
    """A maker's greatest speed."""

    of: Limiter = needed("lathe, loader, pusher bearing, guide bushing, collet or channel", "lathe")
    speed: Rpm = needed("greatest speed", "8000 rpm")
    mode: Name | None = optional("only in this mode", "chucker")


class FeedTable(Table):
    """How hard the bar must be pushed at each stage, as the makers say or as was read; and what the loader is set to."""

    pre_feed: Force | None = optional("to move the bar up to the collet", "20 N")
    insertion: Force | None = optional("to press the bar's end into the pusher collet", "60 N")
    hold: Force | None = optional("to feed the bar against the stop and hold it there", "30 N")
    pull_out: Force | None = optional("to pull the remnant out of the collet", "80 N")
    set_force: Force | None = optional("what the loader is set to push with", "40 N")


class SiteCheckTable(Table):
    """Something read on site that measures a critical speed: the sag of a span, or the note of a tapped bar."""

    kind: Literal["sag", "tap"] = needed("sag or tap", "sag")
    bar: Name = needed("which bar it was", "12 mm stainless")
    sag: list[Exact] | None = optional(
        "sag: midspan sags with the bar turned to 0, 90, 180, 270 degrees",
        '["0.050 in", "0.036 in", "0.028 in", "0.044 in"]',
        '["1.3 mm", "0.9 mm", "0.7 mm", "1.1 mm"]',
    )
    frequency: Frequency | None = optional("tap: lowest frequency heard", "34 Hz")
    length: Exact | None = optional("tap: length of the bar from its front face", "9 ft", "2.7 m")
    mode: Name | None = optional("tap: mode the pair was in; without it the first", "chucker")
    state: Literal["rear limit", "front limit"] | None = optional(
        "tap: where the headstock stood; without it the rear limit", "front limit"
    )


class BarRulesTable(Table):
    """Shares kept of what is computed. The defaults are common practice without a published source; the makers' figures win."""

    whip_share: Share | None = rule("of the lowest critical speed, nothing tested on site (at most 0.8)", "0.5")
    whip_share_tapped: Share | None = rule("of it after a tap test of that bar (at most 0.8)", "0.75")
    stiffness_band: Factor | None = rule("stiffnesses are known to this factor either way", "3")
    stiffness_band_tapped: Factor | None = rule("and of a bar that was tapped, to this one", "1.2")
    buckling_share: Share | None = rule("of the force that buckles the bar", "0.5")
    friction: Friction | None = rule("of the bar in its channel", "0.2")
    pusher_stiffness: Stiffness | None = rule(
        "how stiffly the pusher, where a tube guides it, holds the bar's rear end", "1 kN/mm"
    )


def defaulted(table: BarRulesTable | None, key: str) -> Any:
    """A rule as the job states it, or else its default."""
    given = getattr(table, key) if table is not None else None
    if given is not None:
        return given
    text = extra(BarRulesTable.model_fields[key])["default_text"]
    return getattr(BarRulesTable.model_validate({key: text if " " in text else float(text)}), key)
