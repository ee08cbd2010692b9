"""The readings of one round as levelling weighs them: what each sees of the loader's axis, how sure it is, what it shares.

A reading that states limits of error of its own keeps them; else those of its table count. What is not known of an instrument is
not taken as nothing: a bracket whose sag was never read may hang, a level that was not turned may be off.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from standoff.bar.beam import GRAVITY_MM_PER_S2
from standoff.job.job import Job
from standoff.job.keys import defaulted_mm, extra
from standoff.job.level_stand import Stand
from standoff.job.level_tables import BracketTable, LevelTable, LineReadingTable, ReferenceLineTable, SweepTable
from standoff.magnitude import Kind, read_magnitude
from standoff.reading import Reading, rectangular_u_mm
from standoff.site.dial import Bracket, FaceSweep, Sweep
from standoff.site.fit import Observation
from standoff.site.level import across, along, turned
from standoff.site.line import ReferenceLine
from standoff.site.wire import Wire, plucked_wire, weighed_wire

UNKNOWN_SAG_MM = 0.1
"""Half-width of what the tip of a bracket may hang whose sag was never read (our choice)."""

ONE_REACH = 1.3
"""Reaches of which the longest is no more than so many times the shortest are one: a sag belongs to one reach (our choice)."""

UNKNOWN_ZERO_MM_PER_M = 0.1
"""Half-width of what a level may show on a level surface that was never turned end for end (our choice)."""

STEEL_KG_M3 = 7850.0
"""Density of a wire whose metal is not stated."""

NOTE_SHARE = 0.02
"""Half-width of a plucked note, as a share of it (our choice)."""

PULL_SHARE = 0.05
"""Half-width of what a wire is pulled with, as a share of it (our choice)."""

SAG_WITHIN_MM = 0.05
"""Half-width of a wire's sag that was measured without stating how well (our choice)."""


@dataclass(frozen=True, slots=True)
class Taken:
    """One reading table of a round: the field it stands in, and what it saw. `sweep`: with how it closes."""

    field: str
    observations: tuple[Observation, ...]
    sweep: Sweep | None = None

    @property
    def closes(self) -> bool:
        """Whether a sweep's four readings agree with a round surface; anything else has nothing to close."""
        return self.sweep is None or self.sweep.closes


def rounds_of(job: Job) -> tuple[int, ...]:
    """The numbers of the rounds that have a reading or are spoken of, in order."""
    tables = job.tables
    numbers = (
        *(row.round for row in tables.sweeps),
        *(row.round for row in tables.line_readings),
        *(row.round for row in tables.levels),
        *(row.round for row in tables.level_rounds),
    )
    return tuple(sorted({number or 1 for number in numbers}))


def readings_of(stand: Stand, number: int) -> tuple[Taken, ...]:
    """Everything read in one round.

    Raises: UsageError for a place that is not on the wire it was read from.
    """
    return (*_levels(stand.job, number), *_sweeps(stand, number), *_lines(stand, number))


def _levels(job: Job, number: int) -> Iterator[Taken]:
    for i, table in enumerate(job.tables.levels):
        if (table.round or 1) != number:
            continue
        u_mm_per_m = rectangular_u_mm(within_mm_per_m(table))
        name = f"level {table.way} ({i + 1})"
        if table.way == "along":
            seen = along(name, loader_mm_per_m=table.reading, spindle_mm_per_m=table.spindle or 0.0, u_mm_per_m=u_mm_per_m)
        elif table.turned is not None:
            slope_mm_per_m = turned(first_mm_per_m=table.reading, second_mm_per_m=table.turned).slope_mm_per_m
            # Half a difference of two readings: the seat is the same for both, so nothing is gained by the second.
            seen = across(name, slope_mm_per_m=slope_mm_per_m, u_mm_per_m=u_mm_per_m)
        else:
            zero_mm_per_m = rectangular_u_mm(UNKNOWN_ZERO_MM_PER_M)
            seen = across(name, slope_mm_per_m=table.reading, u_mm_per_m=u_mm_per_m, zero_u_mm_per_m=zero_mm_per_m)
        yield Taken(f"levels[{i}]", (seen,))


def _sweeps(stand: Stand, number: int) -> Iterator[Taken]:
    tables = stand.job.tables
    brackets = {table.name: _bracket(table) for table in tables.brackets}
    unknown = _unknown_brackets(stand, number)
    for i, table in enumerate(tables.sweeps):
        if (table.round or 1) != number:
            continue
        four = {f"{key}_mm": getattr(table, key)[0].value_mm for key in ("top", "left", "bottom", "right")}
        u_mm = _own_u_mm(table, table.top, table.left, table.bottom, table.right)
        name = f"{table.name or 'sweep'} ({i + 1})"
        if table.surface == "face" and table.circle:
            face = FaceSweep(name=name, circle_mm=table.circle[0].value_mm, u_mm=u_mm, **four)
            yield Taken(f"sweeps[{i}]", face.observations())
        elif table.surface != "face" and table.behind_clamp:
            station = stand.station(
                behind_clamp_mm=table.behind_clamp[0].value_mm, mode=table.mode, headstock=table.headstock, loader=table.loader
            )
            bracket = brackets[table.bracket] if table.bracket is not None else unknown[stand.reach_mm(table)]
            sweep = Sweep(name=name, station=station, surface=table.surface, u_mm=u_mm, bracket=bracket, **four)
            yield Taken(f"sweeps[{i}]", sweep.observations(), sweep)


def _unknown_brackets(stand: Stand, number: int) -> dict[float, Bracket]:
    """What carried the indicator where it is not said, by its reach: at each reach it hangs otherwise, by how much is unknown."""
    swept = (table for table in stand.job.tables.sweeps if (table.round or 1) == number)
    reaches_mm = sorted({stand.reach_mm(table) for table in swept if table.bracket is None and table.surface != "face"})
    found: dict[float, Bracket] = {}
    first_mm = 0.0
    for reach_mm in reaches_mm:
        first_mm = first_mm if first_mm and reach_mm <= ONE_REACH * first_mm else reach_mm
        found[reach_mm] = Bracket(f"the bracket reaching {first_mm:.0f} mm", 0.0, rectangular_u_mm(UNKNOWN_SAG_MM))
    return found


def _bracket(table: BracketTable) -> Bracket:
    """The tip hangs by half of what the sweep of a stiff tube shows."""
    u_mm = table.sag[0].u_mm or rectangular_u_mm(defaulted_mm(table, BracketTable, "within"))
    return Bracket(table.name, table.sag[0].value_mm / 2.0, u_mm / 2.0)


def _lines(stand: Stand, number: int) -> Iterator[Taken]:
    tables = stand.job.tables
    laid = {table.name: table for table in tables.reference_lines}
    lines = {name: reference_line(stand, table) for name, table in laid.items()}
    for i, table in enumerate(tables.line_readings):
        if (table.round or 1) != number:
            continue
        line = lines[table.line]
        station = stand.from_line(
            laid[table.line], behind_clamp_mm=table.behind_clamp[0].value_mm, mode=table.mode, loader=table.loader
        )
        name, seen = f"{table.line} ({i + 1})", []
        if table.above:
            u_mm = _own_u_mm(table, table.above)
            seen.append(line.height(f"{name}, height", station, above_mm=table.above[0].value_mm, u_mm=u_mm))
        if table.left:
            u_mm = _own_u_mm(table, table.left)
            seen.append(line.aside(f"{name}, sideways", station, left_mm=table.left[0].value_mm, u_mm=u_mm))
        yield Taken(f"line_readings[{i}]", tuple(seen))


def reference_line(stand: Stand, table: ReferenceLineTable) -> ReferenceLine:
    """The line as it was laid, a wire with its sag."""
    return ReferenceLine(
        name=table.name,
        rear_set_mm=stand.on_spindle_x_mm(table, table.rear_set[0].value_mm),
        front_set_mm=stand.on_spindle_x_mm(table, table.front_set[0].value_mm),
        set_u_mm=rectangular_u_mm(defaulted_mm(table, ReferenceLineTable, "set_within")),
        wire=_wire(stand, table),
    )


def _wire(stand: Stand, table: ReferenceLineTable) -> Wire | None:
    """The wire between its supports: from its note, its pull, or its sag as measured."""
    if table.kind != "wire" or not table.rear_end or not table.front_end:
        return None
    rear_mm = stand.frame_x_mm(table.rear_end[0].value_mm)
    front_mm = stand.on_spindle_x_mm(table, table.front_end[0].value_mm)
    if table.note is not None:
        u_hz = table.note * NOTE_SHARE / math.sqrt(3.0)
        return plucked_wire(rear_mm=rear_mm, front_mm=front_mm, frequency_hz=table.note, frequency_u_hz=u_hz)
    if table.tension is not None and table.wire_diameter:
        return weighed_wire(
            rear_mm=rear_mm,
            front_mm=front_mm,
            weight_n_per_mm=_weight_n_per_mm(table.wire_diameter[0].value_mm, table.wire_density or STEEL_KG_M3),
            tension_n=table.tension,
            tension_u_n=table.tension * PULL_SHARE / math.sqrt(3.0),
        )
    sag = table.sag[0] if table.sag else None
    if sag is None:
        return None
    return Wire(rear_mm, front_mm, sag.value_mm, sag.u_mm or rectangular_u_mm(SAG_WITHIN_MM))


def _weight_n_per_mm(diameter_mm: float, density_kg_m3: float) -> float:
    """What a millimetre of wire weighs."""
    area_mm2 = math.pi * diameter_mm**2 / 4.0
    return area_mm2 * density_kg_m3 * 1e-9 * GRAVITY_MM_PER_S2 / 1000.0


def _own_u_mm(table: SweepTable | LineReadingTable, *series: tuple[Reading, ...]) -> float:
    """The standard uncertainty of readings taken alike: the greatest that one states, else the table's. [mm]"""
    stated_mm = max(one[0].u_mm for one in series)
    return stated_mm or rectangular_u_mm(defaulted_mm(table, type(table), "within"))


def within_mm_per_m(table: LevelTable) -> float:
    """How exactly a level reads, as the table states it or by default. [mm/m]"""
    if table.within is not None:
        return table.within
    return read_magnitude(extra(LevelTable.model_fields["within"])["default_text"], kind=Kind.SLOPE)
