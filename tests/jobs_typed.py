"""Survey sheets as a technician would type them: the text in a field, and which of its two directions holds."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Typed:
    """What is typed into one field; `way` is the direction chosen, where the field has two."""

    text: str
    way: str | None = None


PAPER: dict[str, Typed | str] = {
    "lathe.name": "sliding-headstock lathe, 32 mm",
    "loader.name": "12-foot loader, 32 mm",
    "loader.bar_capacity": "12 ft",
    "lathe.z_forward": "positive",
    "lathe.modes[0].name": "guide-bushing",
    "lathe.modes[0].z_rear": "-0.2 in",
    "lathe.modes[0].z_front": "7.3 in",
    "lathe.cover_to_adapter": Typed("1 1/2 in", way="1"),
    "lathe.adapter_to_collet": "24 in",
    "loader.pusher_reach": "44 in",
    "loader.gripper_behind_clamp": "9 ft 11 in",
    "nose.kind": "telescopic",
    "nose.collapsed": "8 3/4 in",
    "nose.extended": "558.8 mm",
    "nose.overlap": "1 1/4 in",
    "fittings[0].name": "guide plate",
    "fittings[0].length": "44.45 mm",
}
"""A paper sheet in inches with two figures in millimetres; complete and right.

By the bounds written out: nose-room 8 3/4 + 1 3/4 + 1/4 = 10 3/4 in; pusher-reach 44 - 7 1/2 - 24 = 12 1/2 in.
"""
