"""Where things stand along the axis when the loader is levelled: from a place behind the clamp to the line both axes lie on.

The job's layout says where each station is; levelling wants the same x, and besides how far headstock and loader are from the
middle of their travels (`site.axis`), since either may climb or wander over its own travel.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from standoff.job.job import Job
from standoff.job.level_tables import HeadstockAt, LoaderAt, ReferenceLineTable, SweepTable
from standoff.model.form import NOTHING, Form
from standoff.model.state import Mode, State
from standoff.site.axis import Point, Station

_SAME_MM = 1e-6

SHORTEST_REACH_MM = 100.0
"""No bracket hangs noticeably less for reaching less far than this (our choice)."""


@dataclass(frozen=True, slots=True)
class Stand:
    """The pair at one standoff, ready to be read: every place on the axis, and the middles of both travels. [mm]"""

    job: Job
    standoff_mm: float
    cut_mm: float

    @property
    def modes(self) -> tuple[Mode, ...]:
        """The lathe's modes."""
        return self.job.layout.modes

    @property
    def slides(self) -> bool:
        """Whether the headstock travels."""
        least, greatest = self._travel_mm()
        return greatest - least > _SAME_MM

    @property
    def shifts(self) -> bool:
        """Whether the whole loader is shifted in any mode."""
        least, greatest = self._shift_mm()
        return greatest - least > _SAME_MM

    def station(
        self,
        *,
        behind_clamp_mm: float,
        mode: str | None = None,
        headstock: HeadstockAt | None = None,
        loader: LoaderAt | None = None,
    ) -> Station:
        """The place of a reading on the loader, with headstock and loader where they stood."""
        state = self._state(mode, headstock or "rear limit", loader or "standing")
        x_mm = self._x_mm("clamp", state) - behind_clamp_mm
        headstock_mm, loader_mm = self._from_middle_mm(state)
        return Station(x_mm, headstock_mm=headstock_mm, loader_mm=loader_mm)

    def reach_mm(self, sweep: SweepTable) -> float:
        """How far from where it is clamped, at the adapter's rear face, a bracket reaches to what it sweeps. [mm]"""
        state = self._state(sweep.mode, sweep.headstock or "rear limit", sweep.loader or "standing")
        behind_mm = sweep.behind_clamp[0].value_mm if sweep.behind_clamp else 0.0
        swept_mm = self._x_mm("clamp", state) - behind_mm
        return max(abs(self._x_mm("adapter", state) - swept_mm), SHORTEST_REACH_MM)

    def from_line(
        self, line: ReferenceLineTable, *, behind_clamp_mm: float, mode: str | None = None, loader: LoaderAt | None = None
    ) -> Station:
        """The place of a reading from a line: of the headstock it tells only where that stood when the line was set."""
        station = self.station(behind_clamp_mm=behind_clamp_mm, mode=mode, loader=loader)
        headstock_mm, _ = self._from_middle_mm(self._set(line))
        return replace(station, headstock_mm=headstock_mm)

    def on_spindle_x_mm(self, line: ReferenceLineTable, ahead_mm: float) -> float:
        """Where a place of a line is that was measured from the adapter's rear face, headstock as when it was set. [mm]"""
        return self._x_mm("adapter", self._set(line)) + ahead_mm

    def _set(self, line: ReferenceLineTable) -> State:
        return self._state(line.mode, line.headstock or "rear limit", "standing")

    def frame_x_mm(self, behind_clamp_mm: float) -> float:
        """Where a part of the loader is with the loader standing. [mm]"""
        return -self.standoff_mm - behind_clamp_mm

    def points(self) -> tuple[Point, ...]:
        """Where the axis is judged: adapter and collet at the limits of every mode, nose clamp at both ends of the shift, end."""
        return (*(point for point, _ in self._at_spindle()), *self._at_loader())

    def weighed(self) -> tuple[Point, ...]:
        """The places that shims are weighed by, each part of the axis once: of the others there would be more at the spindle."""
        return (*(point for point, weighed in self._at_spindle() if weighed), *self._at_loader())

    def _at_spindle(self) -> Iterator[tuple[Point, bool]]:
        """The places of the spindle, and whether shims are weighed by them: the adapter at both ends, the collet forward."""
        if not self.slides:
            back = State("standing", self.modes[0].name, headstock=self.modes[0].rear)
            yield self._point("adapter", "adapter", back), True
            yield self._point("main collet", "main-collet", back), True
            return
        limits = self._limits()
        for i, (name, state) in enumerate(limits.items()):
            yield self._point(f"adapter, {name}", "adapter", state), i < 2
        for i, (name, state) in enumerate(limits.items()):
            yield self._point(f"main collet, {name}", "main-collet", state), i == 1

    def _at_loader(self) -> Iterator[Point]:
        standing = State("standing", None)
        if self.shifts:
            for name, state in (("standing", standing), ("shifted", State("shifted", None, shift=self._farthest().shift))):
                yield self._on_loader(f"nose clamp, loader {name}", "clamp", state)
        else:
            yield self._on_loader("nose clamp", "clamp", standing)
        rear = "loader-rear" if "loader.length_behind_clamp" in self.job.readings else "gripper"
        yield self._on_loader("rear end of the loader" if rear == "loader-rear" else "gripper", rear, standing)

    def _limits(self) -> dict[str, State]:
        """Where the headstock is judged, by name: rearmost, foremost, the other limits of each mode, with that mode's shift."""
        first = min(self.modes, key=lambda mode: self._mm(mode.rear))
        last = max(self.modes, key=lambda mode: self._mm(mode.front))
        found = {
            "headstock fully back": State("rear limit", first.name, headstock=first.rear, shift=first.shift),
            "headstock fully forward": State("front limit", last.name, headstock=last.front, shift=last.shift),
        }
        for mode in self.modes:
            for name, at in (("rear limit", mode.rear), ("front limit", mode.front)):
                state = State(name, mode.name, headstock=at, shift=mode.shift)
                if not any(self._alike(state, other) for other in found.values()):
                    found[f"{mode.name} at its {name}"] = state
        return found

    def _alike(self, one: State, other: State) -> bool:
        """Whether headstock and loader stand alike in both."""
        pairs = zip(self._from_middle_mm(one), self._from_middle_mm(other), strict=True)
        return all(abs(mine - its) <= _SAME_MM for mine, its in pairs)

    def _point(self, name: str, station: str, state: State) -> Point:
        headstock_mm, loader_mm = self._from_middle_mm(state)
        return Point(name, self._x_mm(station, state), headstock_mm, loader_mm, at_spindle=True)

    def _on_loader(self, name: str, station: str, state: State) -> Point:
        """A point on the loader, judged with the headstock in the middle of its travel."""
        _, loader_mm = self._from_middle_mm(state)
        return Point(name, self._x_mm(station, state), 0.0, loader_mm)

    def _state(self, mode: str | None, headstock: HeadstockAt, loader: LoaderAt) -> State:
        chosen = self.job.layout.mode(mode) if mode is not None else self.modes[0]
        at = chosen.rear if headstock == "rear limit" else chosen.front
        shifting = chosen if abs(self._mm(chosen.shift)) > _SAME_MM else self._farthest()
        return State(headstock, chosen.name, headstock=at, shift=shifting.shift if loader == "shifted" else NOTHING)

    def _farthest(self) -> Mode:
        """The mode in which the loader is shifted farthest."""
        return max(self.modes, key=lambda mode: abs(self._mm(mode.shift)))

    def _from_middle_mm(self, state: State) -> tuple[float, float]:
        """How far headstock and loader stand ahead of the middle of their travels. [mm]"""
        travel, shift = self._travel_mm(), self._shift_mm()
        return self._mm(state.headstock) - sum(travel) / 2.0, self._mm(state.shift) - sum(shift) / 2.0

    def _travel_mm(self) -> tuple[float, float]:
        """The rearmost and the foremost position of the headstock. [mm]"""
        return min(self._mm(mode.rear) for mode in self.modes), max(self._mm(mode.front) for mode in self.modes)

    def _shift_mm(self) -> tuple[float, float]:
        """The rearmost and the foremost position of the loader, standing being 0. [mm]"""
        every = [0.0, *(self._mm(mode.shift) for mode in self.modes)]
        return min(every), max(every)

    def _x_mm(self, station: str, state: State) -> float:
        return self._mm(self.job.layout.place(station, state))

    def _mm(self, form: Form) -> float:
        return form.value(self.job.layout.values_mm(standoff_mm=self.standoff_mm, cut_mm=self.cut_mm))
