"""The tables of bar speed as texts: every bar in a row, liners, feed force by stage, and the way up to speed."""

from __future__ import annotations

import math
from dataclasses import dataclass

from standoff.job.pushing import Stage
from standoff.job.speed import BarSpeed
from standoff.job.speed_speech import RAMP, force, liner_lines, rpm
from standoff.model.state import FIXED
from standoff.units import Units


@dataclass(frozen=True, slots=True)
class BarRow:
    """One bar in the table of bars; empty texts where it does not pass."""

    name: str
    wanted: str
    limit: str
    used: str
    push: str
    set_at: str
    nearer: str


@dataclass(frozen=True, slots=True)
class LinerRow:
    """One liner: the mark, and in words whether it is to be fitted."""

    mark: str
    text: str


@dataclass(frozen=True, slots=True)
class StageRow:
    """One stage of the cycle: the least force with what it is made of, and the most."""

    name: str
    least: str
    made_of: str
    most: str
    possible: bool


@dataclass(frozen=True, slots=True)
class RampRow:
    """One step on the way up to speed."""

    share: str
    speed: str


def bar_row(one: BarSpeed, units: Units) -> BarRow:
    """A bar in the table of bars."""
    wanted = "not stated" if one.bar.wanted_rpm is None else rpm(one.bar.wanted_rpm, up=True)
    if not one.courses or one.pushing is None:
        return BarRow(one.bar.name, wanted, "no speed: it does not pass", "", "", "", "")
    pushing = one.pushing
    floor, ceiling = force(pushing.floor_n, units, up=True), force(pushing.ceiling_n, units)
    lowest = one.lowest
    mode = f", {lowest.mode} mode" if lowest.mode not in (None, FIXED) else ""
    return BarRow(
        name=one.bar.name,
        wanted=wanted,
        limit=f"{rpm(lowest.speed_rpm)}: {lowest.of}{mode}",
        used="" if one.used is None else share_words(one.used),
        push=f"{floor} to {ceiling}" if pushing.possible else f"none serves: {floor} needed, {ceiling} borne",
        set_at="not stated" if pushing.set_n is None else force(pushing.set_n, units),
        nearer=one.nearer or "",
    )


def share_words(used_ratio: float) -> str:
    """How much of a limit is used, in two digits at most, rounded up: a limit that is just passed is never called reached."""
    if used_ratio > 10.0:
        times = math.ceil(used_ratio - 1e-6)
        return f"{times} times the limit" if times < 100 else "far above the limit"
    if used_ratio > 1.0:
        tenths = math.ceil(10.0 * used_ratio - 1e-6)
        return "just above the limit" if used_ratio < 1.05 else f"{tenths / 10.0:g} times the limit"
    percent = math.ceil(100.0 * used_ratio - 1e-6)
    return "all of the limit" if percent >= 100 else f"{percent}% of the limit"


def liner_rows(one: BarSpeed, units: Units) -> tuple[LinerRow, ...]:
    """Every liner, the one to fit marked."""
    marks = ["✗" if not choice.passes else "✓" if choice.chosen else "·" for choice in one.liners]
    return tuple(LinerRow(mark, line) for mark, line in zip(marks, liner_lines(one, units), strict=True))


def stage_rows(one: BarSpeed, units: Units) -> tuple[StageRow, ...]:
    """The feed force at every stage of the cycle."""
    return tuple(_stage(stage, units) for stage in one.pushing.stages) if one.pushing is not None else ()


def _stage(stage: Stage, units: Units) -> StageRow:
    friction = force(stage.friction_n, units, up=True)
    needed = "what it needs is not stated" if stage.needed_n is None else f"{force(stage.needed_n, units, up=True)} needed"
    return StageRow(
        name=stage.name,
        least=force(stage.floor_n, units, up=True),
        made_of=f"{needed}, {friction} friction",
        most="no ceiling here: it is pulled" if stage.ceiling_n is None else force(stage.ceiling_n, units),
        possible=stage.possible,
    )


def ramp_rows(one: BarSpeed) -> tuple[RampRow, ...]:
    """The steps in which to go up to speed the first time."""
    top_rpm = min(one.lowest.speed_rpm, one.bar.wanted_rpm or math.inf)
    return tuple(RampRow(f"{share:.0%}", rpm(share * top_rpm)) for share in RAMP)
