"""The tests' job files with a floor, in round figures; and every mistake that can be made in its tables.

The clamp face stands at -300 mm, the cover at 40 mm (the adapter lies 40 mm behind it), so that the loader's body reaches from
-4900 to -288 mm; it shifts forward by 170 mm in the second mode.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from standoff.job.file import parse_job
from standoff.job.floor_drawn import BuildingLine
from standoff.job.floor_plan import FloorPlan, floor_plan
from standoff.job.placement import place
from standoff.site.floor import FloorCheck
from tests.texts import SLIDING, altered

Changes = Mapping[str, str | None]
STANDOFF_MM = 300.0

ITEMS = """
[floor]
lathe_stands = "anchored"
loader_stands = "anchored"
clearance = "50 mm"

[[floor_items]]
name = "lathe"
kind = "lathe"
ahead = "2000 mm"
left = "900 mm"
right = "700 mm"
height = "1800 mm"

[[floor_items]]
name = "loader"
kind = "loader"
left = "300 mm"
right = "400 mm"
from_floor = "700 mm"
height = "1400 mm"

[[floor_items]]
name = "tank"
kind = "tank"
behind = "600 mm"
ahead = "100 mm"
left = "300 mm"
right = "500 mm"
height = "500 mm"

[[floor_items]]
name = "cabinet"
kind = "cabinet"
carrier = "building"
behind = "2600 mm"
ahead = "-2000 mm"
left = "1000 mm"
right = "-600 mm"
height = "2000 mm"
keeps = "200 mm"
"""

FREE = """
[[floor_doors]]
name = "cabinet door"
item = "cabinet"
side = "left"
hinge = "behind"
hinge_from_end = "50 mm"
width = "500 mm"

[[keep_outs]]
name = "loading"
reason = "magazine loading"
item = "loader"
side = "right"
behind = "4000 mm"
ahead = "-1000 mm"
depth = "1000 mm"

[[keep_outs]]
name = "pusher"
reason = "pusher exchange"
item = "loader"
side = "behind"
left = "100 mm"
right = "100 mm"
depth = "800 mm"

[[working_spaces]]
item = "cabinet"
side = "left"
voltage = "151-600 V"
facing = "grounded parts"

[[slab_joints]]
name = "joint"
behind = "7000 mm"
left = "3000 mm"
end_behind = "7000 mm"
end_left = "-3000 mm"
"""

FEET = """
[[feet]]
name = "front left"
behind_clamp = "500 mm"
left = "300 mm"
pad = "100 mm"
pad_shape = "square"
marked = true

[[feet]]
name = "front right"
behind_clamp = "500 mm"
left = "-500 mm"
pad = "100 mm"
pad_shape = "square"
marked = true

[[feet]]
name = "rear left"
behind_clamp = "4500 mm"
left = "300 mm"
pad = "100 mm"

[[feet]]
name = "rear right"
behind_clamp = "4500 mm"
left = "-500 mm"

[[floor_loads]]
name = "loader"
mass = "1000 kg"
behind = "2500 mm"
left = "-100 mm"

[[floor_loads]]
name = "bars"
mass = "200 kg"
behind = "2500 mm"
left = "-500 mm"
comes_and_goes = true
"""

MARKS = """
[markout]
first = "left base"
second = "right base"
taped = "1401 mm"
may_be_off = "10 mm"
axis_front = "100 mm"
axis_rear = "5100 mm"

[[reference_points]]
name = "left base"
behind = "-100 mm"
left = "800 mm"

[[reference_points]]
name = "right base"
behind = "-100 mm"
left = "-600 mm"

[[holes]]
name = "anchor"
behind = "2500 mm"
left = "-100 mm"
"""

FLOORED = SLIDING + ITEMS + FREE + FEET + MARKS
"""A job with every floor table; everything has its room."""

MISTAKES: Sequence[tuple[str, Changes, str]] = (
    ("name-twice", {"floor_items[2].name": '"lathe"'}, "floor_items[2].name"),
    ("name-twice", {"feet[3].name": '"rear left"'}, "feet[3].name"),
    ("name-twice", {"floor_loads[1].name": '"loader"'}, "floor_loads[1].name"),
    ("name-twice", {"keep_outs[1].name": '"loading"'}, "keep_outs[1].name"),
    ("name-twice", {"holes[0].name": '"front left"'}, "holes[0].name"),
    ("key-missing", {"floor_items[2].behind": None}, "floor_items[2].behind"),
    ("key-missing", {"floor_items[0].ahead": None}, "floor_items[0].ahead"),
    ("shift-of-what", {"floor_items[2].shifts": "true"}, "floor_items[2].shifts"),
    ("extent-reversed", {"floor_items[3].right": '"-1000 mm"'}, "floor_items[3].right"),
    ("extent-reversed", {"floor_items[2].ahead": '"-600 mm"'}, "floor_items[2].ahead"),
    ("height-order", {"floor_items[1].height": '"700 mm"'}, "floor_items[1].height"),
    ("height-order", {"keep_outs[0].height": '"0.5 mm"', "keep_outs[0].from_floor": '"1 mm"'}, "keep_outs[0].height"),
    ("height-order", {"keep_outs[0].from_floor": '"2 m"'}, "keep_outs[0].from_floor"),
    ("beyond-survey", {"floor_items[1].behind": '"4700 mm"'}, "floor_items[1].behind"),
    ("beyond-survey", {"floor_items[1].ahead": '"13 mm"'}, "floor_items[1].ahead"),
    ("item-unknown", {"floor_doors[0].item": '"cabinett"'}, "floor_doors[0].item"),
    ("item-unknown", {"keep_outs[0].item": '"loder"'}, "keep_outs[0].item"),
    ("item-unknown", {"working_spaces[0].item": '"box"'}, "working_spaces[0].item"),
    ("hinge-side", {"floor_doors[0].hinge": '"right"'}, "floor_doors[0].hinge"),
    ("hinge-outside", {"floor_doors[0].hinge_from_end": '"601 mm"'}, "floor_doors[0].hinge_from_end"),
    ("extent-beside", {"keep_outs[0].left": '"100 mm"'}, "keep_outs[0].left"),
    ("extent-beside", {"keep_outs[1].ahead": '"100 mm"'}, "keep_outs[1].ahead"),
    ("extent-reversed", {"keep_outs[0].ahead": '"-4000 mm"'}, "keep_outs[0].ahead"),
    ("extent-reversed", {"keep_outs[1].right": '"-100 mm"'}, "keep_outs[1].right"),
    ("extent-reversed", {"keep_outs[1].left": '"-400 mm"', "keep_outs[1].right": None}, "keep_outs[1].left"),
    ("said-twice", {"working_spaces[0].depth": '"1 m"'}, "working_spaces[0].depth"),
    ("key-missing", {"working_spaces[0].facing": None}, "working_spaces[0].facing"),
    ("joint-point", {"slab_joints[0].end_left": '"3000 mm"'}, "slab_joints[0].end_behind"),
    ("key-missing", {"floor.plan_x": '"0 mm"', "floor.plan_y": '"0 mm"'}, "floor.plan_turned"),
    ("key-missing", {"lathe.cover_to_adapter": None}, "lathe.cover_to_adapter"),
    ("place-twice", {"feet[1].left": '"300 mm"'}, "feet[1].behind_clamp"),
    ("magnitude-zero", {"floor_loads[1].mass": '"0 kg"'}, "floor_loads[1].mass"),
    ("mass-missing", {"floor_loads[0].comes_and_goes": "true"}, "floor_loads"),
    ("key-missing", {"markout.first": None}, "markout.first"),
    ("reference-unknown", {"markout.second": '"right bass"'}, "markout.second"),
    ("reference-same", {"markout.second": '"left base"'}, "markout.second"),
    ("reading-exact", {"markout.taped": '{ value = "1401 mm", uncertainty = "0 mm" }'}, "markout.taped"),
    ("key-missing", {"markout.axis_front": None}, "markout.axis_front"),
    ("axis-order", {"markout.axis_rear": '"100 mm"'}, "markout.axis_rear"),
    ("value-sign", {"markout.axis_error": '"0 mm"'}, "markout.axis_error"),
    ("value-choice", {"floor_items[2].kind": '"sump"'}, "floor_items[2].kind"),
    ("value-kind", {"floor.plan_turned": '"90"', "floor.plan_x": '"0 mm"', "floor.plan_y": '"0 mm"'}, "floor.plan_turned"),
    ("length-without-unit", {"floor_items[2].left": '"300"'}, "floor_items[2].left"),
    ("magnitude-unit", {"floor_loads[0].mass": '"1000 kp"'}, "floor_loads[0].mass"),
    ("length-comma-ambiguous", {"floor_items[2].behind": '"1,250 mm"'}, "floor_items[2].behind"),
)
"""What is wrong, the changes to FLOORED that make it so, and the field that is named."""


def plan_of(text: str, *, standoff_mm: float = STANDOFF_MM, lines: Sequence[BuildingLine] | None = None) -> FloorPlan:
    """The floor plan of a job at a standoff."""
    return floor_plan(place(parse_job(text), asked_mm=standoff_mm), lines=lines)


def floor_with(changes: Changes, *, more: str = "", standoff_mm: float = STANDOFF_MM) -> FloorPlan:
    """The floor plan of FLOORED with these changes."""
    return plan_of(altered(FLOORED, changes, more=more), standoff_mm=standoff_mm)


def row_of(plan: FloorPlan, what: str, state: str = "standing") -> FloorCheck:
    """The row of two things in a state."""
    (row,) = (row for row in plan.rows if row.what == what and row.state == state)
    return row
