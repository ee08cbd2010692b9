"""What the floor plan asks for, stop by stop: how the machines stand, what stands around them, what must stay free, what the
loader weighs on its feet, and how its places are marked out.

The stops are like those of the survey (`guide`), on a page of their own: a placement does not need them.
"""

from __future__ import annotations

from pydantic import BaseModel

from standoff.job.floor_tables import FloorTable, KeepOutTable, MarkoutTable
from standoff.job.keys import extra
from standoff.job.step import Step, Stop

FLOOR_TABLES = (
    *("floor", "floor_items", "floor_doors", "keep_outs", "working_spaces", "slab_joints"),
    *("floor_loads", "markout", "reference_points", "holes"),
)
"""The tables of the job file that this walk fills in."""
STOOD_ON = "feet"
"""The table that the page Level fills in: here only what a foot's pad needs."""

_LEFT_RIGHT = ("left of the axis", "right of the axis")
_BEHIND_AHEAD = ("behind", "ahead")


def _default(table: type[BaseModel], key: str) -> str:
    return f"Empty: {extra(table.model_fields[key])['default_text']}."


def _behind(field: str, title: str, how: str) -> Step:
    return Step(field, title, how, ways=_BEHIND_AHEAD)


def _left(field: str, title: str, how: str) -> Step:
    return Step(field, title, how, ways=_LEFT_RIGHT)


_ITEMS = Stop(
    "items",
    "What stands there",
    "Each as a box seen from above. Stand behind the loader and look to the lathe: forward is ahead, left is your left hand."
    " Lathe and building are measured from the cover's outer face, the loader from its clamp face, sideways from"
    " the spindle axis.",
    (
        Step("floor_items[i].name", "What it is", "Such as coolant tank, or column B4."),
        Step("floor_items[i].kind", "What kind", "The loader and the lathe first; then what is near them."),
        Step("floor_items[i].carrier", "Stands with", "Empty: what its kind usually does. What moves with the loader: loader."),
        Step("floor_items[i].shifts", "Moves when the loader shifts", "Its base and stands may stay. Empty: it moves."),
        Step(
            "floor_items[i].behind",
            "Reaches back to",
            "Its rear end. Of the loader's own body it may be left empty: it is in the survey.",
            ways=("behind the face", "ahead of the face"),
        ),
        Step(
            "floor_items[i].ahead",
            "Reaches forward to",
            "Its front end. Of the loader's own body it may be left empty.",
            ways=("ahead of the face", "behind the face"),
        ),
        _left("floor_items[i].left", "Left side", "How far its left side is from the axis."),
        Step(
            "floor_items[i].right",
            "Right side",
            "How far its right side is from the axis.",
            ways=("right of the axis", "left of the axis"),
        ),
        Step("floor_items[i].from_floor", "Underside", "Above the floor. Empty: it stands on the floor."),
        Step("floor_items[i].height", "Top", "Above the floor. Empty: nothing passes above it."),
        Step("floor_items[i].keeps", "Kept free around it", "Empty: as said for the whole floor.", tool=""),
    ),
)

_FREE = Stop(
    "free",
    "What must stay free",
    "Doors that swing, room to load and to draw things out, room to work at electrical cabinets.",
    (
        Step("floor_doors[i].name", "Door", "Whose it is."),
        Step("floor_doors[i].item", "Of the item", "One of those above."),
        Step("floor_doors[i].side", "In its side", "Which side of the item it is in."),
        Step("floor_doors[i].hinge", "Hinged at the end", "The end of that side where its hinge is."),
        Step("floor_doors[i].hinge_from_end", "Hinge in from that end", "Empty: at the end."),
        Step("floor_doors[i].width", "Width of the leaf", "From the hinge to its free edge."),
        Step("keep_outs[i].name", "Space", "What it is for."),
        Step("keep_outs[i].reason", "Why it stays free", "What is done there."),
        Step("keep_outs[i].item", "Beside the item", "One of those above."),
        Step("keep_outs[i].side", "On its side", "Which side of the item."),
        Step("keep_outs[i].depth", "How deep", "Out from that side; of a part drawn out, its length.", tool=""),
        Step(
            "keep_outs[i].behind",
            "Back to",
            "Beside a left or right side. Empty: along the whole side.",
            ways=("behind the face", "ahead of the face"),
        ),
        Step("keep_outs[i].ahead", "Forward to", "Empty: along the whole side.", ways=("ahead of the face", "behind the face")),
        _left("keep_outs[i].left", "Left to", "Behind or ahead of an item. Empty: the whole side."),
        Step("keep_outs[i].right", "Right to", "Empty: the whole side.", ways=("right of the axis", "left of the axis")),
        Step("keep_outs[i].from_floor", "Free from", f"Above the floor. {_default(KeepOutTable, 'from_floor')}", tool=""),
        Step("keep_outs[i].height", "Free up to", f"Above the floor. {_default(KeepOutTable, 'height')}", tool=""),
        Step("keep_outs[i].loader_away", "Loader out of the way then", "Where it is moved aside for this work."),
        Step("working_spaces[i].item", "Cabinet", "The item with the electrical equipment."),
        Step("working_spaces[i].side", "Worked on from", "The side with its door or cover."),
        Step("working_spaces[i].voltage", "Voltage to ground", "From its plate; an electrician knows."),
        Step("working_spaces[i].facing", "Opposite lies", "Concrete, brick and tiled walls count as grounded."),
        Step("working_spaces[i].depth", "Or: depth asked for", "Where local code says a depth, it wins.", tool=""),
    ),
)

_SLAB = Stop(
    "slab",
    "The floor",
    "Lathe and loader belong on one slab, standing alike. Find joints, and ask what is in the slab before anybody drills.",
    (
        Step("floor.lathe_stands", "The lathe stands", "On pads, or anchored."),
        Step("floor.loader_stands", "The loader will stand", "On pads, or anchored."),
        Step("floor.clearance", "Kept free", f"Around whatever says nothing else. {_default(FloorTable, 'clearance')}", tool=""),
        Step("slab_joints[i].name", "Joint", "What it is."),
        _behind("slab_joints[i].behind", "One end, behind the cover", "A straight line between two points."),
        _left("slab_joints[i].left", "One end, left", "From the axis."),
        _behind("slab_joints[i].end_behind", "Other end, behind the cover", "From the cover's outer face."),
        _left("slab_joints[i].end_left", "Other end, left", "From the axis."),
        Step("floor.plan_x", "Cover in the building's plan, x", "Where axis and cover meet there; for a plan read in.", tool=""),
        Step("floor.plan_y", "Cover in the building's plan, y", "In the plan's own coordinates.", tool=""),
        Step("floor.plan_turned", "Forward in the building's plan", "Degrees from its x towards its y.", tool=""),
    ),
)

_WEIGHT = Stop(
    "weight",
    "Feet and masses",
    "Masses and centres of gravity from the loader's manual. Where its feet stand is typed on the page Level.",
    (
        Step("feet[i].pad", "Pad", "How wide, across.", tool=""),
        Step("feet[i].pad_shape", "Shape of the pad", "Empty: round."),
        Step("feet[i].marked", "Marked out", "Where a hole is drilled through it."),
        Step("floor_loads[i].name", "Mass", "What it is: the loader, its oil, bars on the magazine."),
        Step("floor_loads[i].mass", "How much", "In kg or lb.", tool=""),
        _behind("floor_loads[i].behind", "Centre behind the clamp face", "Its centre of gravity."),
        _left("floor_loads[i].left", "Centre left of the axis", "Its centre of gravity."),
        Step("floor_loads[i].shifts", "Moves when the loader shifts", "Empty: it does."),
        Step("floor_loads[i].comes_and_goes", "There only at times", "Such as bars on the magazine."),
    ),
)

_MARKS = Stop(
    "marks",
    "Marking out",
    "Two tapes from two points found at the lathe. Plumb the axis to the floor at two places far apart.",
    (
        _behind("markout.axis_front", "Axis plumbed down, front", "Behind the cover; nearer the work."),
        _behind("markout.axis_rear", "Axis plumbed down, rear", "As far back as it can be sighted."),
        Step("markout.axis_error", "May be off sideways", f"Each of the two. {_default(MarkoutTable, 'axis_error')}", tool=""),
        Step("reference_points[i].name", "Reference point", "Found at the lathe: a foot, a corner of its base."),
        _behind("reference_points[i].behind", "Behind the cover", "From the cover's outer face."),
        _left("reference_points[i].left", "Left of the axis", "Square to the axis."),
        Step("markout.first", "Baseline from", "Empty: the pair that marks most surely."),
        Step("markout.second", "Baseline to", "Empty: the pair that marks most surely."),
        Step("markout.taped", "Taped between them", "A check of both points."),
        Step("markout.tool", "Laid off with", "Empty: a tape."),
        Step(
            "markout.may_be_off",
            "A hole may be off by",
            "So that the foot still fits; from the loader's manual.",
            tool="",
        ),
        Step("holes[i].name", "Mark", "An anchor hole, a corner of the outline."),
        _behind("holes[i].behind", "Behind the clamp face", "From the loader's drawing."),
        _left("holes[i].left", "Left of the axis", "From the loader's drawing."),
    ),
)

FLOOR_STOPS = (_ITEMS, _FREE, _SLAB, _WEIGHT, _MARKS)
"""Everything the floor plan asks for, each field once."""
