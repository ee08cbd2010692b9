"""The tables of a job file that say what stands on the floor, what must stay free, what the loader's feet carry, and how its
places are marked out. The feet themselves are declared with the levelling.

They are optional: only the floor plan needs them. Lengths along the axis are told from the face a tape reaches: what belongs to
lathe and building from the cover's outer face, what belongs to the loader from the nose-clamp face. Left is left of the spindle
axis as seen looking forward, from the loader to the lathe.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from standoff.job.keys import NOT_NEGATIVE, POSITIVE, SIGNED, Exact, Mass, Name, Table, Taped, needed, optional, rule

Standing = Literal["on pads", "anchored"]
ItemKind = Literal[
    "lathe", "loader", "magazine", "cabinet", "tank", "conveyor", "transformer", "wall", "column", "aisle", "other"
]
ItemCarrier = Literal["lathe", "loader", "building"]
SideName = Literal["behind", "ahead", "left", "right"]
KeepOutReason = Literal[
    "magazine loading", "pusher exchange", "channel exchange", "liner exchange", "remnant service", "maintenance", "lifting"
]
VoltageBand = Literal["0-150 V", "151-600 V"]
Facing = Literal["no live or grounded parts", "grounded parts", "live parts"]
LayingTool = Literal["tape", "sighted", "rule", "laser"]
Turn = Annotated[float, Field(ge=-360.0, le=360.0, allow_inf_nan=False)]


class FloorTable(Table):
    """How the machines stand, what is kept free around the loader, and where the lathe stands in the building's plan."""

    lathe_stands: Standing | None = optional("how the lathe stands: on pads or anchored", "anchored")
    loader_stands: Standing | None = optional("how the loader stands: on pads or anchored", "anchored")
    clearance: Exact | None = rule(
        "kept between the loader and what stands near it, standing and over the whole shift stroke", "1 in", "25 mm"
    )
    plan_x: Exact | None = optional(
        "x, in the building's plan, of the place where the spindle axis goes through the cover's outer face",
        "40 ft",
        "12 m",
        sign=SIGNED,
    )
    plan_y: Exact | None = optional("y of that place in the building's plan", "25 ft", "8 m", sign=SIGNED)
    plan_turned: Turn | None = optional("which way forward points in the building's plan: degrees from its x towards its y", "90")


class FloorItemTable(Table):
    """A machine, a part of one, or a part of the building, as a box seen from above: how far it reaches each way."""

    name: Name = needed("what it is", "electrical cabinet")
    kind: ItemKind = needed("what kind of thing it is", "cabinet")
    carrier: ItemCarrier | None = optional(
        "what it stands with: lathe, loader (moves with it) or building; without it what its kind usually does", "lathe"
    )
    shifts: bool | None = optional(
        "what stands with the loader: false for what stays while the loader shifts, such as its base", "false"
    )
    behind: Taped | None = optional(
        "how far its rear end lies behind the cover's outer face (of the loader: behind the clamp face); negative: ahead of it",
        "50 in",
        "1270 mm",
        sign=SIGNED,
    )
    ahead: Taped | None = optional(
        "how far its front end lies ahead of that same face; negative: behind it", "-6 in", "-150 mm", sign=SIGNED
    )
    left: Taped = needed(
        "how far its left side lies left of the spindle axis, looking forward; negative: right of it",
        "64 in",
        "1620 mm",
        sign=SIGNED,
    )
    right: Taped = needed(
        "how far its right side lies right of the spindle axis; negative: left of it", "-40 in", "-1020 mm", sign=SIGNED
    )
    from_floor: Taped | None = optional(
        "its underside above the floor; without it it stands on the floor", "0 in", "0 mm", sign=NOT_NEGATIVE
    )
    height: Taped | None = optional("its top above the floor; without it nothing passes above it", "75 in", "1900 mm")
    keeps: Exact | None = optional(
        "kept free around it, where no other rule asks for more; without it clearance of [floor]",
        "2 in",
        "50 mm",
        sign=NOT_NEGATIVE,
    )


class FloorDoorTable(Table):
    """A door of an item that swings out a quarter turn."""

    name: Name = needed("what it is", "door of the cabinet")
    item: Name = needed("the item it belongs to", "electrical cabinet")
    side: SideName = needed("the side of the item it is in", "left")
    hinge: SideName = needed("the end of that side at which it is hinged", "behind")
    hinge_from_end: Taped | None = rule("how far in from that end its hinge is", "0 in", "0 mm")
    width: Taped = needed("how wide its leaf is", "24 in", "600 mm")


class KeepOutTable(Table):
    """A space beside an item that must stay free, with its reason."""

    name: Name = needed("what it is for", "room for its filters")
    reason: KeepOutReason = needed("why it must stay free", "maintenance")
    item: Name = needed("the item beside which it lies", "electrical cabinet")
    side: SideName = needed("on which side of it", "left")
    depth: Exact = needed("how far out from that side", "40 in", "1000 mm")
    behind: Taped | None = optional(
        "beside a left or right side: its rear end, told as the item's; without it the whole side",
        "40 in",
        "1000 mm",
        sign=SIGNED,
    )
    ahead: Taped | None = optional(
        "beside a left or right side: its front end, told as the item's", "-10 in", "-250 mm", sign=SIGNED
    )
    left: Taped | None = optional(
        "behind or ahead of an item: its left side, told as the item's; without it the whole side", "10 in", "250 mm", sign=SIGNED
    )
    right: Taped | None = optional(
        "behind or ahead of an item: its right side, told as the item's", "10 in", "250 mm", sign=SIGNED
    )
    from_floor: Exact | None = rule("free from this height above the floor", "0 in", "0 mm")
    height: Exact | None = rule("free up to this height above the floor", "6 ft 6 in", "2 m")
    loader_away: bool | None = optional(
        "true: the loader is moved out of the way meanwhile, so that it is not judged against it", "false"
    )


class WorkingSpaceTable(Table):
    """The space in front of electrical equipment on which somebody may work while it is live."""

    item: Name = needed("the item with the equipment", "electrical cabinet")
    side: SideName = needed("the side on which it is worked on", "left")
    voltage: VoltageBand | None = optional("its voltage to ground", "151-600 V")
    facing: Facing | None = optional("what lies opposite, across the space", "grounded parts")
    depth: Exact | None = optional("or: the depth that local code asks for", "4 ft", "1200 mm")


class SlabJointTable(Table):
    """A joint of the floor slab, as a straight line between two points."""

    name: Name = needed("what it is", "construction joint")
    behind: Taped = needed("one end: how far behind the cover's outer face", "10 ft", "3 m", sign=SIGNED)
    left: Taped = needed("one end: how far left of the spindle axis", "10 ft", "3 m", sign=SIGNED)
    end_behind: Taped = needed("the other end: how far behind the cover's outer face", "10 ft", "3 m", sign=SIGNED)
    end_left: Taped = needed("the other end: how far left of the spindle axis", "-10 ft", "-3 m", sign=SIGNED)


class FloorLoadTable(Table):
    """A mass the loader's feet carry, with its centre of gravity: the loader itself, bars on the magazine, oil."""

    name: Name = needed("what it is", "loader, empty")
    mass: Mass = needed("its mass", "2400 lb", "1100 kg")
    behind: Taped = needed("how far behind the clamp face its centre of gravity is", "7 ft 6 in", "2.3 m", sign=SIGNED)
    left: Taped = needed(
        "how far left of the axis its centre of gravity is; negative: right of it", "-2 in", "-50 mm", sign=SIGNED
    )
    shifts: bool | None = optional("false for what stays while the loader shifts, such as its base", "false")
    comes_and_goes: bool | None = optional("true: it is there only at times, such as bars on the magazine", "true")


class MarkoutTable(Table):
    """How the loader's places are marked out on the floor before it comes."""

    first: Name | None = optional("reference point the baseline begins at; without it the best pair", "lathe's left foot")
    second: Name | None = optional("reference point it ends at", "lathe's right foot")
    taped: Taped | None = optional("the distance taped between these two, as a check", "70 in", "1780 mm")
    tool: LayingTool | None = optional("what the distances are laid off with; without it a tape", "tape")
    may_be_off: Exact | None = optional(
        "how far off a hole may lie so that the loader's foot still fits over it", "3/8 in", "10 mm"
    )
    axis_front: Taped | None = optional(
        "where the axis is plumbed to the floor nearer the work: how far behind the cover's outer face",
        "2 in",
        "50 mm",
        sign=SIGNED,
    )
    axis_rear: Taped | None = optional("and where farther back", "20 ft", "6 m", sign=SIGNED)
    axis_error: Exact | None = rule(
        "how far off sideways each of these may be (limits of error)", "1/16 in", "1.5 mm", sign=POSITIVE
    )


class ReferencePointTable(Table):
    """A point found at the lathe, from which distances are taped."""

    name: Name = needed("what it is", "lathe's left foot")
    behind: Taped = needed("how far behind the cover's outer face", "-4 in", "-100 mm", sign=SIGNED)
    left: Taped = needed("how far left of the spindle axis; negative: right of it", "35 in", "890 mm", sign=SIGNED)


class HoleTable(Table):
    """A place to be marked out beside the feet: an anchor hole, a corner of the outline."""

    name: Name = needed("what it is called", "anchor 1")
    behind: Taped = needed("how far behind the clamp face", "7 ft", "2 m", sign=SIGNED)
    left: Taped = needed("how far left of the axis; negative: right of it", "14 in", "350 mm", sign=SIGNED)
