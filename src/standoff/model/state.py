"""State: a mode, a headstock position and a loader shift: all that is needed to say where each carrier is."""

from __future__ import annotations

from dataclasses import dataclass

from standoff.model.form import NOTHING, Form

REAR_LIMIT = "rear limit"
FRONT_LIMIT = "front limit"
BAR_CHANGE = "bar change"
STANDING = "standing"
NO_STATE = "-"

FIXED = "fixed"
"""The name of the one mode of a fixed headstock."""


@dataclass(frozen=True, slots=True)
class State:
    """Where the carriers are; `headstock` and `shift` are forms, so that their uncertainty goes along."""

    name: str
    mode: str | None
    headstock: Form = NOTHING
    shift: Form = NOTHING


@dataclass(frozen=True, slots=True)
class Mode:
    """One way of working of the lathe: its headstock limits, bar change position and loader shift, as forms.

    Headstock travel z counts forward from the rear limit of the FIRST mode; a later mode may start below 0.
    """

    name: str
    rear: Form = NOTHING
    front: Form = NOTHING
    bar_change: Form = NOTHING
    shift: Form = NOTHING

    def at(self, state_name: str) -> State:
        """The state of this mode with that name; standing means the headstock's place does not matter."""
        headstock = {REAR_LIMIT: self.rear, FRONT_LIMIT: self.front, BAR_CHANGE: self.bar_change, STANDING: self.rear}
        return State(name=state_name, mode=self.name, headstock=headstock[state_name], shift=self.shift)
