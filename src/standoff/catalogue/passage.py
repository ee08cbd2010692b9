"""The passage: everything the pusher and the bar go through, from the channel to the collet."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from standoff.model.form import Form
from standoff.model.requirement import Comparison
from standoff.reading import Reading

TRAVELLERS = (("pusher", "bar_path.pusher_od"), ("pusher collet", "bar_path.pusher_collet_od"))
"""What goes through, and the quantity that says how thick it is."""


@dataclass(frozen=True, slots=True)
class Thick:
    """A bar, the quantity that is its size, and how many times its size it measures over its corners."""

    name: str
    size: str
    corners_factor: float


@dataclass(frozen=True, slots=True)
class Passage:
    """The bores in their order, and the bars that go through them."""

    names: tuple[str, ...]
    readings: Mapping[str, Reading]
    bars: tuple[Thick, ...] = ()

    def requirements(self) -> tuple[Comparison, ...]:
        """Each bore passes each traveller with the running clearance."""
        present = [(name, Form.of(od)) for name, od in TRAVELLERS if od in self.readings]
        present += self._thickest(present)
        slacks = tuple(
            (f"{traveller} through {bore}", Form.of(f"passage[{i}].bore") - through - Form.of("bar_path.running_clearance"))
            for i, bore in enumerate(self.names)
            for traveller, through in present
        )
        return (
            Comparison(
                id="passage",
                title="Passage",
                slacks=slacks,
                failure="the pusher, its collet or a bar would not pass",
                needs=() if slacks else ("passage[0].bore", TRAVELLERS[0][1]),
            ),
        )

    def _thickest(self, present: list[tuple[str, Form]]) -> list[tuple[str, Form]]:
        """The thickest bar over its corners, unless pusher or pusher collet is as thick: it then decides nothing."""
        values_mm = {name: reading.value_mm for name, reading in self.readings.items()}
        bars = [(bar.name, Form.of(bar.size).times(bar.corners_factor)) for bar in self.bars]
        thickest = max(bars, key=lambda bar: bar[1].value(values_mm), default=None)
        if thickest is None or any(form.value(values_mm) >= thickest[1].value(values_mm) for _, form in present):
            return []
        return [thickest]
