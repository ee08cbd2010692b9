"""The nose and the fittings between it and the adapter: they must neither be crushed nor come apart."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from standoff.model.form import NOSE_CUT, NOTHING, Form
from standoff.model.requirement import Requirement, Side
from standoff.model.state import FRONT_LIMIT, REAR_LIMIT
from standoff.model.station import Carrier, Station
from standoff.reading import Reading


@dataclass(frozen=True, slots=True)
class Nose:
    """A telescopic or fixed nose with the fittings that share its space. `enters`: its tip goes into an adapter or receiver."""

    telescopic: bool
    enters: bool
    fittings: int
    readings: Mapping[str, Reading]

    @property
    def shortest(self) -> Form:
        """The least length between clamp face and tip; a fixed nose has ONE length, less its one cut."""
        return Form.of("nose.collapsed") if self.telescopic else self._fixed

    @property
    def longest(self) -> Form:
        """The greatest usable length."""
        return Form.of("nose.extended") - Form.of("nose.overlap") if self.telescopic else self._fixed

    @property
    def _fixed(self) -> Form:
        return Form.of("nose.length") - Form.of(NOSE_CUT)

    @property
    def between(self) -> Form:
        """The fittings, added up."""
        return Form.of(*(f"fittings[{i}].length" for i in range(self.fittings)))

    def stations(self) -> tuple[Station, ...]:
        """The nose's tip: a telescopic nose rests against what it meets on the headstock, a fixed one stays with the loader."""
        if self.telescopic:
            return (Station("nose-tip", Carrier.HEADSTOCK, self._entry - self.between),)
        return (Station("nose-tip", Carrier.LOADER, self._fixed),)

    @property
    def _entry(self) -> Form:
        return Form.of("nose.entry_depth") if self.enters else NOTHING

    def requirements(self) -> tuple[Requirement, ...]:
        """Room for the nose at the rear limit, hold on it at the front limit."""
        if self.enters:
            kept = -Form.of("nose.least_engagement") if "nose.least_engagement" in self.readings else NOTHING
        else:
            kept = NOTHING if self.telescopic else Form.of("rules.fixed_nose_end_gap")
        return (
            Requirement(
                id="nose-room",
                title="Room for the nose",
                start="clamp",
                end="adapter",
                state=REAR_LIMIT,
                side=Side.AT_LEAST,
                contact=self.shortest + self.between - self._entry,
                margin=Form.of("rules.nose_clearance"),
                failure="the nose would be crushed",
            ),
            Requirement(
                id="nose-engagement",
                title="Hold on the nose",
                start="clamp",
                end="adapter",
                state=FRONT_LIMIT,
                side=Side.AT_MOST,
                contact=self.longest + self.between,
                margin=kept,
                failure="the nose would come apart" if self.telescopic else "the nose would leave its place at the adapter",
            ),
        )
