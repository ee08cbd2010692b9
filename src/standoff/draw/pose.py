"""The pose: where everything on the axis stands in one state, in millimetres, all of it asked of the layout.

Nothing here knows a scale or a sheet; nothing beyond it knows a coordinate of the machine.
"""

from __future__ import annotations

from dataclasses import dataclass

from standoff.errors import LayoutError, UsageError
from standoff.job.placement import Placement
from standoff.model.layout import Layout
from standoff.model.requirement import Requirement
from standoff.model.state import BAR_CHANGE, FRONT_LIMIT, REAR_LIMIT, Mode, State
from standoff.units import format_length

SAME_MM = 1e-6
STATES = (REAR_LIMIT, BAR_CHANGE, FRONT_LIMIT)
"""The named states that can be drawn, from the rear forward."""


@dataclass(frozen=True, slots=True)
class NosePose:
    """The nose as drawn, never longer than extended nor shorter than it can be, and what is amiss with it.

    `root_mm` and `tip_mm` are its ends; `inner_mm` is where a telescopic nose's inner tube begins. `room_mm` is what is left
    beyond the shortest nose, clearance not yet kept; `hold_mm` what is left before it comes apart or leaves its place.
    """

    telescopic: bool
    root_mm: float
    tip_mm: float
    inner_mm: float
    outer_end_mm: float
    uncut_mm: float
    seat_mm: float
    room_mm: float
    clearance_mm: float
    hold_mm: float

    @property
    def length_mm(self) -> float:
        """From clamp face to tip."""
        return self.tip_mm - self.root_mm

    @property
    def overlap_mm(self) -> float:
        """How far the tubes of a telescopic nose are inside one another."""
        return self.outer_end_mm - self.inner_mm


@dataclass(frozen=True, slots=True)
class Ghost:
    """Another limit of the headstock, drawn dashed."""

    words: str
    adapter_mm: float
    collet_mm: float


@dataclass(frozen=True, slots=True)
class Fitting:
    """A part between nose and adapter."""

    name: str
    rear_mm: float
    front_mm: float


@dataclass(frozen=True, slots=True)
class Bar:
    """The bar as it lies in the state, the pusher's tip behind it, and how far the tip is short of the collet's back."""

    rear_mm: float
    front_mm: float
    pusher_tip_mm: float
    words: str


@dataclass(frozen=True, slots=True)
class Pose:
    """Every place on the axis [mm] in one state; None for what was not surveyed."""

    mode: Mode
    state: str | None
    travel_mm: float
    shift_mm: float
    clamp_mm: float
    mark_mm: float
    datum_mm: float
    adapter_mm: float
    collet_mm: float
    body_front_mm: float
    gripper_mm: float
    reach_mm: float
    cover_mm: float | None
    wall_mm: float | None
    cut_off_mm: float | None
    loader_rear_mm: float | None
    bar_mm: float
    margin_mm: float
    cover_keep_mm: float
    rear_keep_mm: float
    nose: NosePose
    fittings: tuple[Fitting, ...]
    ghosts: tuple[Ghost, ...]
    bar: Bar | None


def pose(placement: Placement, *, mode: str, state: str | None = None, headstock_mm: float | None = None) -> Pose:
    """Where everything stands with the loader at the placement's standoff.

    `state` is one of STATES; or `headstock_mm` [mm] is any travel between the mode's limits, counted like z: forward from the
    first mode's rear limit. Without either the rear limit is shown.
    Raises: LayoutError for a mode that is not there or a travel outside its limits; UsageError for another state, or both.
    """
    layout = placement.layout
    return _Surveyor(placement, layout, _state(layout, layout.mode(mode), state, headstock_mm)).pose()


def stands(layout: Layout, station: str) -> bool:
    """Whether the survey says where a station is."""
    known = {"standoff", "nose_cut", *layout.quantities}
    return station in layout.stations and set(layout.stations[station].offset.quantities()) <= known


def _state(layout: Layout, mode: Mode, state: str | None, headstock_mm: float | None) -> State:
    if headstock_mm is None:
        if state not in (None, *STATES):
            raise UsageError(what="state", given=str(state), allowed=", ".join(STATES))
        return mode.at(state or REAR_LIMIT)
    if state is not None:
        raise UsageError(
            what="headstock position", given=f"beside the state {state}", allowed="one of the two", action="leave one out"
        )
    values_mm = layout.values_mm()
    rear_mm, front_mm = mode.rear.value(values_mm), mode.front.value(values_mm)
    # Written so that a NaN is refused too.
    if not rear_mm - SAME_MM <= headstock_mm <= front_mm + SAME_MM:
        raise LayoutError(
            what="headstock travel",
            given=f"{headstock_mm:g} mm",
            allowed=f"{rear_mm:g} to {front_mm:g} mm in {mode.name}",
            action="stay within the mode's limits",
        )
    share = (headstock_mm - rear_mm) / (front_mm - rear_mm) if front_mm > rear_mm else 0.0
    headstock = mode.rear.times(1.0 - share) + mode.front.times(share)
    named = next((n for n in STATES if abs(mode.at(n).headstock.value(values_mm) - headstock_mm) <= SAME_MM), "")
    return State(name=named, mode=mode.name, headstock=headstock, shift=mode.shift)


@dataclass(frozen=True, slots=True)
class _Surveyor:
    """Asks the layout for places in one state."""

    placement: Placement
    layout: Layout
    state: State

    @property
    def values_mm(self) -> dict[str, float]:
        return self.layout.values_mm(standoff_mm=self.placement.standoff_mm, cut_mm=self.placement.cut_mm)

    def at(self, station: str, state: State | None = None) -> float:
        return self.layout.place(station, state or self.state).value(self.values_mm)

    def maybe(self, station: str) -> float | None:
        return self.at(station) if stands(self.layout, station) else None

    def requirement(self, id_: str) -> Requirement:
        return next(r for r in self.layout.requirements if isinstance(r, Requirement) and r.id == id_)

    def pose(self) -> Pose:
        """Everything, asked once."""
        mode, values_mm = self.layout.mode(self.state.mode or ""), self.values_mm
        first = self.layout.modes[0]
        unshifted = State(name=REAR_LIMIT, mode=first.name, headstock=first.rear)
        full_bar = self.requirement("full-bar")
        return Pose(
            mode=mode,
            state=self.state.name or None,
            travel_mm=self.state.headstock.value(values_mm),
            shift_mm=self.state.shift.value(values_mm),
            clamp_mm=self.at("clamp"),
            mark_mm=self.at("clamp", unshifted),
            datum_mm=self.at("adapter", unshifted),
            adapter_mm=self.at("adapter"),
            collet_mm=self.at("main-collet"),
            body_front_mm=self.at("body-front"),
            gripper_mm=self.at("gripper"),
            reach_mm=self.at("pusher-tip"),
            cover_mm=self.maybe("cover"),
            wall_mm=self.maybe("wall"),
            cut_off_mm=self.maybe("cut-off"),
            loader_rear_mm=self.maybe("loader-rear"),
            bar_mm=full_bar.contact.value(values_mm),
            margin_mm=full_bar.margin.value(values_mm),
            cover_keep_mm=self.requirement("cover-clearance").margin.value(values_mm),
            rear_keep_mm=self.requirement("rear-room").margin.value(values_mm),
            nose=self.nose(),
            fittings=self.fittings(),
            ghosts=self.ghosts(mode, unshifted),
            bar=self.bar(full_bar.contact.value(values_mm)),
        )

    def nose(self) -> NosePose:
        """The nose between clamp and what its tip meets."""
        values_mm, telescopic = self.values_mm, self.placement.job.telescopic
        room, hold = self.requirement("nose-room"), self.requirement("nose-engagement")
        clamp_mm, tip_mm = self.at("clamp"), self.at("nose-tip")
        gap_mm = self.at("adapter") - clamp_mm
        room_mm = gap_mm - room.contact.value(values_mm)
        shortest_mm = (tip_mm - clamp_mm) - room_mm if telescopic else tip_mm - clamp_mm
        longest_mm = values_mm["nose.extended"] if telescopic else shortest_mm
        drawn_mm = min(max(tip_mm - clamp_mm, shortest_mm), longest_mm)
        return NosePose(
            telescopic=telescopic,
            root_mm=clamp_mm,
            tip_mm=clamp_mm + drawn_mm,
            inner_mm=clamp_mm + drawn_mm - (longest_mm - shortest_mm),
            outer_end_mm=clamp_mm + shortest_mm,
            uncut_mm=clamp_mm + drawn_mm + (0.0 if telescopic else self.placement.cut_mm),
            seat_mm=clamp_mm + shortest_mm + room_mm,
            room_mm=room_mm,
            clearance_mm=room.margin.value(values_mm),
            hold_mm=hold.limit.value(values_mm) - gap_mm,
        )

    def fittings(self) -> tuple[Fitting, ...]:
        """The fittings, stacked in their order in front of the adapter."""
        lengths_mm = [self.values_mm[f"fittings[{i}].length"] for i in range(len(self.placement.job.fittings))]
        rear_mm, found = self.at("adapter") - sum(lengths_mm), []
        for name, length_mm in zip(self.placement.job.fittings, lengths_mm, strict=True):
            found.append(Fitting(name, rear_mm, rear_mm + length_mm))
            rear_mm += length_mm
        return tuple(found)

    def ghosts(self, mode: Mode, datum: State) -> tuple[Ghost, ...]:
        """The other limits of the mode, and the first mode's rear limit, where the standoff is measured."""
        first = self.layout.modes[0]
        told = f"rear limit of {first.name}" if mode.name != first.name else "rear limit"
        others = [(told, datum), ("rear limit", mode.at(REAR_LIMIT)), ("front limit", mode.at(FRONT_LIMIT))]
        found: list[Ghost] = []
        for words, state in others:
            adapter_mm = self.at("adapter", state)
            if all(abs(adapter_mm - taken) > 0.5 for taken in (self.at("adapter"), *(g.adapter_mm for g in found))):
                found.append(Ghost(words, adapter_mm, self.at("main-collet", state)))
        return tuple(found)

    def bar(self, bar_mm: float) -> Bar | None:
        """The bar: a full one from the gripper at bar change, the remnant at the front limit, else a full one at the tool."""
        tool_mm = self.maybe("cut-off")
        collet_mm, gripper_mm, reach_mm = self.at("main-collet"), self.at("gripper"), self.at("pusher-tip")
        if self.state.name == BAR_CHANGE:
            return Bar(gripper_mm, gripper_mm + bar_mm, gripper_mm, "full bar")
        front_mm = tool_mm if tool_mm is not None and tool_mm > collet_mm else collet_mm
        if self.state.name == FRONT_LIMIT:
            return Bar(reach_mm, front_mm, reach_mm, "remnant") if front_mm > reach_mm else None
        return Bar(front_mm - bar_mm, front_mm, front_mm - bar_mm, "bar")


def state_words(placement: Placement, shown: Pose) -> str:
    """The state in words: mode, headstock, shift."""
    units, job = placement.job.units, placement.job
    if not job.sliding:
        told = {BAR_CHANGE: "at bar change", FRONT_LIMIT: "pusher at its forward limit"}
        return "Headstock fixed" + (f", {told[shown.state]}" if shown.state in told else "")
    places = {REAR_LIMIT: "at its rear limit", FRONT_LIMIT: "at its front limit", BAR_CHANGE: "at bar change"}
    behind = shown.travel_mm - shown.mode.rear.value(placement.layout.values_mm())
    place = places.get(shown.state or "") or f"{format_length(behind, units)} ahead of its rear limit"
    words = f"{shown.mode.name[:1].upper()}{shown.mode.name[1:]}: headstock {place}"
    if abs(shown.shift_mm) > SAME_MM:
        way = "forward" if shown.shift_mm > 0.0 else "back"
        words += f", loader shifted {format_length(abs(shown.shift_mm), units)} {way}"
    return words
