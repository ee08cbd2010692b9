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
class Passage:
    """The bores in their order."""

    names: tuple[str, ...]
    readings: Mapping[str, Reading]

    def requirements(self) -> tuple[Comparison, ...]:
        """Each bore passes each traveller with the running clearance."""
        present = [(name, od) for name, od in TRAVELLERS if od in self.readings]
        slacks = tuple(
            (f"{traveller} through {bore}", Form.of(f"passage[{i}].bore") - Form.of(od, "bar_path.running_clearance"))
            for i, bore in enumerate(self.names)
            for traveller, od in present
        )
        return (
            Comparison(
                id="passage",
                title="Passage",
                slacks=slacks,
                failure="the pusher or its collet would not pass",
                needs=() if slacks else ("passage[0].bore", TRAVELLERS[0][1]),
            ),
        )
