"""From the layout at a standoff to what holds the bar: supports, the unsupported gap between them, how far the pusher comes.

Nothing is typed here: every place on the bar is a station of the layout in a state. x runs from the bar's front face, at the
cut-off plane, backwards along the bar. The gap between loader and lathe follows from the standoff; a spindle liner bears the bar
only once it touches, so it stands beside (`Supports.liner`).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from standoff.bar.bow import Clearance
from standoff.bar.materials import MATERIALS
from standoff.bar.section import Section, Shape
from standoff.bar.supports import Flooded, Pusher, Stretch, Support, Supports
from standoff.errors import UsageError
from standoff.job.bar_tables import SUPPORT_KINDS, LinerTable, SupportTable, defaulted
from standoff.job.bars import Bar
from standoff.job.job import Job
from standoff.magnitude import Kind, read_magnitude
from standoff.model.state import FRONT_LIMIT, REAR_LIMIT, State

PER_MM = 100.0
"""A tube's stiffness is stated for each 100 mm of it. [mm]"""


ROLLER = "roller "
HOLLOW = 0.35
"""Share of a solid rod's bending stiffness that a pusher, being a tube with a wall of 1/20 of its diameter, has."""


@dataclass(frozen=True, slots=True)
class Gap:
    """A length of bar that nothing holds, and what holds it on either side."""

    front: str
    rear: str
    length_mm: float
    from_mm: float


@dataclass(frozen=True, slots=True)
class Tube:
    """A tube the bar lies in, and the radial room it has there."""

    name: str
    length_mm: float
    clearance_mm: float


@dataclass(frozen=True, slots=True)
class Spans:
    """One bar in one state of the pair: what holds it, its longest gap, its tubes, and between which lengths it turns."""

    state: State
    supports: Supports
    gap: Gap
    tubes: tuple[Tube, ...]
    liner_room: tuple[Clearance, ...]
    shortest_mm: float
    longest_mm: float

    @property
    def where(self) -> str:
        """The state in words."""
        return f"{self.state.mode}, {self.state.name}"


def turning_states(job: Job) -> tuple[State, ...]:
    """The states in which a bar turns: both ends of every mode's travel, or where a fixed headstock stands."""
    if not job.sliding:
        return (job.layout.modes[0].at(REAR_LIMIT),)
    return tuple(mode.at(end) for mode in job.layout.modes for end in (REAR_LIMIT, FRONT_LIMIT))


def spans(job: Job, bar: Bar, state: State, *, standoff_mm: float, cut_mm: float, liner: LinerTable | None = None) -> Spans:
    """What holds this bar in this state, with the loader at that standoff.

    Raises: UsageError where the pusher would have to go beyond its reach to leave any bar to turn, or nothing lies behind the
    bar's front face.
    """
    places = _Places(job, state, standoff_mm, cut_mm)
    tables = [t for t in job.tables.supports if t.mode in (None, state.mode)]
    front_mm = _front(places, tables)
    held = [_Held.of(t, places, front_mm, bar) for t in tables]
    held = [one for one in held if one.reached]
    shortest_mm = front_mm - min(places.at("pusher-tip"), places.at("main-collet")) + _length(job, "insertion")
    if not 0.0 < shortest_mm < bar.length_mm:
        raise UsageError(
            what=f"bar {bar.name} ({state.mode}, {state.name})",
            given=f"{bar.length_mm:.0f} mm long, of which the pusher at its forward limit leaves {shortest_mm:.0f} mm",
            allowed="a bar longer than what the pusher leaves, and a pusher that stays behind the bar's front face",
            action="check the bar's length, the pusher's reach and the standoff",
        )
    supports = Supports(
        points=tuple(point for one in held for point in one.points),
        stretches=tuple(one.stretch for one in held if one.stretch is not None),
        pusher=_pusher(job, held),
        liner=_resting(liner, places, front_mm),
        oil=tuple(one.oil for one in held if one.oil is not None),
        axial_n=bar.push_n or 0.0,
    )
    return Spans(
        state=state,
        supports=supports,
        gap=_longest_gap(held, bar.length_mm),
        tubes=tuple(one.tube for one in held if one.tube is not None),
        liner_room=_room(liner, places, front_mm, bar),
        shortest_mm=shortest_mm,
        longest_mm=bar.length_mm,
    )


def with_rest(one: Spans) -> Spans:
    """The same with one more rest in the middle of the longest gap."""
    at_mm = one.gap.from_mm + one.gap.length_mm / 2.0
    points = (*one.supports.points, Support("a rest in the gap", at_mm, usual_n_per_mm("rest")))
    return replace(one, supports=replace(one.supports, points=points))


def with_tube(one: Spans) -> Spans:
    """The same with a guide tube all through the longest gap, for the bar and for the pusher."""
    from_mm, to_mm = one.gap.from_mm, one.gap.from_mm + one.gap.length_mm
    tube = Stretch("a guide tube in the gap", from_mm, to_mm, usual_n_per_mm("guide-tube") / PER_MM)
    pusher = replace(one.supports.pusher, guided_mm=(*one.supports.pusher.guided_mm, (from_mm, to_mm)))
    return replace(one, supports=replace(one.supports, stretches=(*one.supports.stretches, tube), pusher=pusher))


def usual_n_per_mm(kind: str) -> float:
    """The stiffness taken for a kind of support where none is stated. [N/mm]"""
    return read_magnitude(SUPPORT_KINDS[kind][0], kind=Kind.STIFFNESS)


@dataclass(frozen=True, slots=True)
class _Places:
    """Where the stations are, in one state at one standoff."""

    job: Job
    state: State
    standoff_mm: float
    cut_mm: float

    def at(self, station: str) -> float:
        """A station's place on the axis. [mm]"""
        layout = self.job.layout
        return layout.place(station, self.state).value(layout.values_mm(standoff_mm=self.standoff_mm, cut_mm=self.cut_mm))


@dataclass(frozen=True, slots=True)
class _Held:
    """One support of the file, as places along the bar."""

    name: str
    from_mm: float
    to_mm: float
    points: tuple[Support, ...] = ()
    stretch: Stretch | None = None
    oil: Flooded | None = None
    tube: Tube | None = None
    on_rollers: bool = False

    @property
    def reached(self) -> bool:
        """Whether it holds any of the bar: what lies all ahead of the bar's front face, or has no room for it, holds nothing."""
        return self.to_mm >= 0.0 and bool(self.points or self.stretch)

    def extents(self) -> list[tuple[float, float, str]]:
        """Where it holds the bar, from and to [mm]: each roller by itself."""
        if self.on_rollers:
            return [(roller.at_mm, roller.at_mm, roller.name) for roller in self.points]
        return [(self.from_mm, self.to_mm, self.name)]

    @staticmethod
    def of(table: SupportTable, places: _Places, front_mm: float, bar: Bar) -> _Held:
        """A support of the file as the bar meets it."""
        ahead_mm = table.ahead[0].value_mm if table.ahead else 0.0
        length_mm = table.length[0].value_mm if table.length else 0.0
        start_mm = front_mm - places.at(table.station) - ahead_mm
        from_mm, to_mm = max(start_mm, 0.0), start_mm + length_mm
        stiffness = table.stiffness or usual_n_per_mm(table.kind)
        if table.kind not in ("guide-tube", "channel"):
            # What reaches ahead of the bar's front face does not help to keep it from tilting.
            gripped_mm = max(to_mm - from_mm, 0.0)
            point = Support(table.name, from_mm + gripped_mm / 2.0, stiffness, stiffness * gripped_mm**2 / 12.0)
            return _Held(table.name, from_mm, to_mm, (point,))
        bore_mm = table.bore[0].value_mm if table.bore else 0.0
        room_mm = (bore_mm - bar.corners_mm) / 2.0
        if to_mm <= 0.0 or room_mm <= 0.0:
            return _Held(table.name, from_mm, to_mm)
        oil = Flooded(table.name, from_mm, to_mm, bore_mm) if table.flooded else None
        tube = Tube(table.name, to_mm - from_mm, room_mm)
        if table.spacing:
            step_mm = table.spacing[0].value_mm
            places_mm = [start_mm + i * step_mm for i in range(int(length_mm / step_mm) + 1)]
            rollers = tuple(
                Support(f"{ROLLER}{i + 1} of {table.name}", x, stiffness) for i, x in enumerate(places_mm) if x >= 0.0
            )
            return _Held(table.name, from_mm, to_mm, rollers, None, oil, tube, on_rollers=True)
        return _Held(table.name, from_mm, to_mm, (), Stretch(table.name, from_mm, to_mm, stiffness / PER_MM), oil, tube)


def _front(places: _Places, tables: list[SupportTable]) -> float:
    """Where the bar's front face is: the cut-off plane, or else the front end of the foremost support. [mm]"""
    if "lathe.collet_to_cutoff" in places.job.readings:
        return places.at("cut-off")
    return max(places.at(t.station) + (t.ahead[0].value_mm if t.ahead else 0.0) for t in tables)


def _length(job: Job, key: str) -> float:
    """A length of the bar's path, 0 where it is not stated. [mm]"""
    series = getattr(job.tables.bar_path, key, None)
    return float(series[0].value_mm) if series else 0.0


def _pusher(job: Job, held: list[_Held]) -> Pusher:
    """The pusher: a tube of steel, guided wherever the bar lies in a tube, that reaches ahead of it like a bracket."""
    od_mm = job.readings["bar_path.pusher_od"].value_mm
    return Pusher(
        mass_kg=getattr(job.tables.bar_path, "pusher_mass", None) or 0.0,
        lateral_n_per_mm=defaulted(job.tables.bar_rules, "pusher_stiffness"),
        rod_ei_n_mm2=HOLLOW * MATERIALS["steel"].modulus_mpa * Section(Shape.ROUND, od_mm).second_moment_mm4,
        guided_mm=tuple((one.from_mm, one.to_mm) for one in held if one.tube is not None),
    )


def _liner_ends(places: _Places, front_mm: float) -> tuple[float, float]:
    """Where the spindle liner lies along the bar: from the back of the main collet to the adapter. [mm]"""
    return max(front_mm - places.at("main-collet"), 0.0), front_mm - places.at("adapter")


def _resting(liner: LinerTable | None, places: _Places, front_mm: float) -> tuple[Stretch, ...]:
    if liner is None:
        return ()
    bedding_mpa = usual_n_per_mm("guide-tube") / PER_MM
    return (Stretch(liner.name, *_liner_ends(places, front_mm), bedding_mpa),)


def _room(liner: LinerTable | None, places: _Places, front_mm: float, bar: Bar) -> tuple[Clearance, ...]:
    if liner is None or liner.bore[0].value_mm <= bar.corners_mm:
        return ()
    return (Clearance(liner.name, *_liner_ends(places, front_mm), (liner.bore[0].value_mm - bar.corners_mm) / 2.0),)


def _longest_gap(held: list[_Held], length_mm: float) -> Gap:
    """The longest part of the bar between two supports; a bar that ends between two is held there by the pusher."""
    ends = sorted(extent for one in held for extent in one.extents() if extent[0] < length_mm)
    whole = Gap("the bar's front face", "the pusher", length_mm, 0.0)
    front, reached = "", 0.0
    found: list[Gap] = []
    for start, end, name in (*ends, (length_mm, length_mm, "the pusher")):
        if front and start > reached:
            found.append(Gap(front, name, start - reached, reached))
        if end >= reached:
            front, reached = name, end
    return max(found, key=lambda gap: gap.length_mm, default=whole)
