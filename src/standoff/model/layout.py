"""Layout: the stations, modes and requirements of one pair with its measured quantities; it answers with forms and rows.

*A layout in a state gives gaps; requirements on gaps give a window.* Window, drawing, cycle and report all ask this object.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from standoff.errors import LayoutError
from standoff.model.change import Change
from standoff.model.form import NOSE_CUT, NOTHING, STANDOFF, Form
from standoff.model.requirement import Comparison, Requirement, Row, Side
from standoff.model.state import NO_STATE, Mode, State
from standoff.model.station import Carrier, Station
from standoff.reading import Reading


@dataclass(frozen=True, slots=True)
class Layout:
    """One pair, declared. `quantities` holds a reading for every quantity the forms name; unknowns are not among them."""

    stations: Mapping[str, Station]
    modes: tuple[Mode, ...]
    requirements: tuple[Requirement | Comparison, ...]
    quantities: Mapping[str, Reading]
    cut_limit_mm: float = 0.0
    setting_u_mm: float = 0.0

    def mode(self, name: str) -> Mode:
        """The mode with that name; raises LayoutError, naming those there are."""
        for mode in self.modes:
            if mode.name == name:
                return mode
        raise LayoutError(what="mode", given=name, allowed=", ".join(mode.name for mode in self.modes))

    def station(self, name: str) -> Station:
        """The station with that name; raises LayoutError, naming those there are."""
        try:
            return self.stations[name]
        except KeyError:
            raise LayoutError(what="station", given=name, allowed=", ".join(self.stations)) from None

    def place(self, name: str, state: State) -> Form:
        """Where a station is on the axis in a state."""
        station = self.station(name)
        if station.carrier is Carrier.LATHE:
            return station.offset
        if station.carrier is Carrier.HEADSTOCK:
            return state.headstock + station.offset
        return state.shift + station.offset - Form.of(STANDOFF)

    def gap(self, start: str, end: str, state: State) -> Form:
        """The distance from one station forward to another in a state."""
        return self.place(end, state) - self.place(start, state)

    def rows(self) -> tuple[Row, ...]:
        """Every requirement in every mode it is judged in: requirements in their order, modes in the file's."""
        return tuple(row for requirement in self.judged() for row in self._rows_of(requirement))

    def judged(self) -> tuple[Requirement | Comparison, ...]:
        """The requirements whose inputs are all there."""
        return tuple(r for r in self.requirements if not self.wanting(r))

    def wanting(self, requirement: Requirement | Comparison) -> tuple[str, ...]:
        """The inputs a requirement still needs."""
        return tuple(name for name in requirement.needs if name not in self.quantities)

    def _rows_of(self, requirement: Requirement | Comparison) -> list[Row]:
        if isinstance(requirement, Comparison):
            return [
                Row(
                    requirement.id,
                    requirement.title,
                    None,
                    NO_STATE,
                    Side.NONE,
                    requirement.slacks,
                    requirement.failure,
                )
            ]
        if requirement.each_mode:
            states = [mode.at(requirement.state) for mode in self.modes]
        else:
            states = [self.rearmost(requirement.state)]
        return [self._row(requirement, state) for state in states]

    def _row(self, requirement: Requirement, state: State) -> Row:
        gap = self.gap(requirement.start, requirement.end, state)
        # A gap that grows with the standoff and must be large bounds the standoff from below, and so on: four cases, two signs.
        slack = gap - requirement.limit if requirement.side is Side.AT_LEAST else requirement.limit - gap
        side = Side.AT_LEAST if slack.coefficient(STANDOFF) > 0 else Side.AT_MOST
        return Row(
            requirement.id,
            requirement.title,
            state.mode,
            state.name,
            side,
            (("", slack),),
            requirement.failure,
            requirement,
        )

    def rearmost(self, state_name: str) -> State:
        """The state in which the loader stands farthest back: not shifted, or in the mode that shifts it backwards most."""
        shifts = [NOTHING, *(mode.shift for mode in self.modes)]
        least = min(shifts, key=lambda shift: shift.value(self.values_mm()))
        return State(name=state_name, mode=None, shift=least)

    def values_mm(self, *, standoff_mm: float = 0.0, cut_mm: float = 0.0) -> dict[str, float]:
        """The value [mm] of every quantity, the unknowns at the given values."""
        values = {name: reading.value_mm for name, reading in self.quantities.items()}
        return values | {STANDOFF: standoff_mm, NOSE_CUT: cut_mm}

    def uncertainties_mm(self) -> dict[str, float]:
        """The standard uncertainty [mm] of every quantity; the standoff's is how exactly a loader is moved to a mark."""
        spread = {name: reading.u_mm for name, reading in self.quantities.items()}
        return spread | {STANDOFF: self.setting_u_mm, NOSE_CUT: 0.0}

    def changed(self, *changes: Change) -> Layout:
        """The layout after these changes; raises LayoutError for a quantity the layout does not have."""
        quantities = dict(self.quantities)
        for change in changes:
            for name, shift_mm in change.shifts_mm:
                if name not in quantities:
                    raise LayoutError(what="quantity", given=name, allowed=", ".join(sorted(quantities)))
                quantities[name] = replace(quantities[name], value_mm=quantities[name].value_mm + shift_mm)
        return replace(self, quantities=quantities)
