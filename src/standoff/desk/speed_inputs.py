"""The figures of a bar opened down to what they were made from: bar and metal, bores, supports, pusher, shares kept."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from standoff.desk.entry import entry_at
from standoff.desk.names import field_id
from standoff.job.bar_tables import SUPPORT_KINDS, BarRulesTable, SupportTable
from standoff.job.bars import Bar
from standoff.job.guide import walk_of
from standoff.job.job import Job
from standoff.job.keys import extra
from standoff.job.names import STATION_NAMES
from standoff.job.spans import ROLLER
from standoff.job.speech import fine_length, length
from standoff.job.speed import BarSpeed, SpeedAnswer
from standoff.job.whip_limit import Course
from standoff.model.state import FIXED
from standoff.reading import SOURCES
from standoff.units import Units

Raw = Mapping[str, Any]
MINUS = "-\u2212 "
NO_SOURCE = "default: common practice, no published source"
PUSHER = {
    "pusher_mass": "pusher mass",
    "pusher_od": "pusher diameter",
    "pusher_collet_od": "pusher collet diameter",
    "collet_takes": "pusher collet takes",
    "insertion": "insertion",
}
SHARES = {
    "whip_share": "share of the lowest critical speed",
    "whip_share_tapped": "share of it after a tap test",
    "stiffness_band": "factor to which stiffnesses are known",
    "stiffness_band_tapped": "the same after a tap test",
    "buckling_share": "share of the force that buckles the bar",
    "friction": "friction of the bar in its channel",
    "pusher_stiffness": "stiffness of the pusher's guide",
}
"""Keys of [bar_path] and [bar_rules] with the words of a table."""


@dataclass(frozen=True, slots=True)
class Given:
    """One input: its name, its value, where that comes from, and the field in which it is filled in."""

    name: str
    value: str
    source: str
    field: str

    @property
    def walk(self) -> str:
        """The page on which it is filled in."""
        return walk_of(self.field)

    @property
    def anchor(self) -> str:
        """The element of its field."""
        return f"{field_id(self.field)}-box"


@dataclass(frozen=True, slots=True)
class Bore:
    """One traveller through one bore."""

    traveller: str
    bore: str
    bore_size: str
    needed: str
    said: str
    passes: bool


@dataclass(frozen=True, slots=True)
class Held:
    """One support: where it is told to be, where it then lies along the bar, and how stiff it is taken."""

    name: str
    kind: str
    told: str
    along: str
    stiffness: str
    source: str
    field: str

    @property
    def anchor(self) -> str:
        """The element of its first field."""
        return f"{field_id(self.field)}-box"


@dataclass(frozen=True, slots=True)
class Inputs:
    """Everything that enters the figures of one bar; `where` is the state for which the supports are told."""

    bar: tuple[Given, ...]
    bores: tuple[Bore, ...]
    where: str
    supports: tuple[Held, ...]
    pusher: tuple[Given, ...]
    shares: tuple[Given, ...]


def inputs_of(one: BarSpeed, answer: SpeedAnswer, raw: Raw) -> Inputs:
    """The inputs of one bar, as typed in `raw`; of one that does not pass only itself and the bores."""
    job = answer.job
    number = next(i for i, bar in enumerate(job.tables.bars) if bar.name == one.bar.name)
    course = one.worst if one.courses else None
    return Inputs(
        bar=_bar(one.bar, job.units, raw, f"bars[{number}]"),
        bores=_bores(one, job.units),
        where="" if course is None or course.spans.state.mode == FIXED else course.spans.where,
        supports=_supports(one, course, job, raw) if course is not None else (),
        pusher=tuple(_given(raw, f"bar_path.{key}", name) for key, name in PUSHER.items()) if course is not None else (),
        shares=tuple(_share(raw, key, name) for key, name in SHARES.items()) if course is not None else (),
    )


def _typed(raw: Raw, field: str) -> str:
    """A field as it was typed."""
    return entry_at(raw, field).text


def _given(raw: Raw, field: str, name: str) -> Given:
    """A field as typed, with what it was read with."""
    entry = entry_at(raw, field)
    source = SOURCES.get(entry.source or "")
    read_with = source.meaning if source is not None else "as stated"
    return Given(name, entry.text or "not stated", read_with if entry.text else "", field)


def _share(raw: Raw, key: str, name: str) -> Given:
    default = extra(BarRulesTable.model_fields[key])["default_text"]
    stated = _typed(raw, f"bar_rules.{key}")
    return Given(name, stated or default, "as stated" if stated else NO_SOURCE, f"bar_rules.{key}")


def _bar(bar: Bar, units: Units, raw: Raw, path: str) -> tuple[Given, ...]:
    metal = bar.material
    over = "greatest size over its corners" if bar.section.edges else "greatest size"
    tolerance = f"tolerance {bar.grade}" + ("" if _typed(raw, f"{path}.grade") else ", the usual one for its section")
    length_from = "as stated" if _typed(raw, f"{path}.length") else "the longest bar of this job"
    wanted = "not stated" if bar.wanted_rpm is None else f"{bar.wanted_rpm:.0f} rpm"
    cutting = _typed(raw, f"{path}.cutting_speed")
    wanted_from = f"{cutting} at {_typed(raw, f'{path}.turned_diameter')}" if cutting else bar.wanted_from
    straight_field = f"{path}.straightness{'_standard' if _typed(raw, f'{path}.straightness_standard') else ''}"
    return (
        Given("section and size", f"{bar.section.shape.value}, {_typed(raw, f'{path}.size')}", "as stated", f"{path}.size"),
        Given(over, fine_length(bar.corners_mm, units), tolerance, f"{path}.grade"),
        Given("length", length(bar.length_mm, units), length_from, f"{path}.length"),
        Given("density", f"{metal.density_kg_m3:.0f} kg/m3", f"{metal.name}: {metal.source}", f"{path}.material"),
        Given("Young's modulus", f"{metal.modulus_mpa / 1e3:g} GPa", f"{metal.name}: {metal.source}", f"{path}.material"),
        Given("straightness", f"{bar.straightness_mm_per_m:g} mm per metre", bar.straightness_from, straight_field),
        Given("speed wanted", wanted, wanted_from, f"{path}.{'cutting_speed' if cutting else 'speed'}"),
    )


def _bores(one: BarSpeed, units: Units) -> tuple[Bore, ...]:
    """Every traveller through every bore, what does not pass first."""
    found = [
        Bore(
            traveller=passing.traveller,
            bore=passing.bore,
            bore_size=fine_length(passing.bore_mm, units),
            needed=fine_length(passing.needed_mm, units),
            said="passes" if passing.passes else f"{fine_length(passing.needed_mm - passing.bore_mm, units)} missing",
            passes=passing.passes,
        )
        for passing in one.passings
    ]
    return tuple(sorted(found, key=lambda bore: bore.passes))


def _supports(one: BarSpeed, course: Course, job: Job, raw: Raw) -> tuple[Held, ...]:
    """Every support of the mode in which the bar whips first, with its place along the bar in that state."""
    mode = course.spans.state.mode
    factors = [reading.stiffness_factor for reading in one.readings if reading.tapped]
    tapped = f", times {factors[-1]:.2g} by the tap test" if factors else ""
    return tuple(
        _held(f"supports[{i}]", table, course, job.units, raw, tapped)
        for i, table in enumerate(job.tables.supports)
        if table.mode in (None, mode)
    )


def _held(path: str, table: SupportTable, course: Course, units: Units, raw: Raw, tapped: str) -> Held:
    ahead, long = _typed(raw, f"{path}.ahead"), _typed(raw, f"{path}.length")
    at = table.ahead[0].value_mm if table.ahead else 0.0
    told = f"{ahead.lstrip(MINUS)} {'ahead of' if at > 0.0 else 'behind'} the" if at else "at the"
    stated = _typed(raw, f"{path}.stiffness")
    each = " for each 100 mm" if table.kind in ("guide-tube", "channel") and not table.spacing else ""
    return Held(
        name=table.name,
        kind=table.kind.replace("-", " "),
        told=f"{told} {STATION_NAMES[table.station]}" + (f", {long} long" if long else ""),
        along=_along(table.name, course, units),
        stiffness=f"{stated or SUPPORT_KINDS[table.kind][0]}{each}",
        source=("as stated" if stated else "usual for its kind, a guess") + tapped,
        field=f"{path}.name",
    )


def _along(name: str, course: Course, units: Units) -> str:
    """Where a support lies behind the bar's front face in the worst state."""
    supports = course.spans.supports
    for stretch in supports.stretches:
        if stretch.name == name:
            return f"{length(stretch.from_mm, units)} to {length(stretch.to_mm, units)}"
    places = [point.at_mm for point in supports.points if point.name == name or _is_roller(point.name, name)]
    if not places:
        return "does not reach the bar there"
    first, last = length(min(places), units), length(max(places), units)
    return f"about {first}" if len(places) == 1 else f"{len(places)} rollers, {first} to {last}"


def _is_roller(point: str, support: str) -> bool:
    return re.fullmatch(rf"{ROLLER}[0-9]+ of {re.escape(support)}", point) is not None
