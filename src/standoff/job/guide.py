"""The guided survey: which dimension to read where, in the order that saves walking, and how to turn what can be read now.

A `Step` says what to set before reading, from where to where, and in which words a direction is given instead of a sign. Some
dimensions are defined with the headstock at a limit; `turned_mm` says what they are when it stood elsewhere.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from types import MappingProxyType

from standoff.job.bar_guide import BAR_STOPS
from standoff.job.cycle_guide import CYCLE_STOPS
from standoff.job.floor_guide import FLOOR_STOPS
from standoff.job.level_guide import LEVEL_STOPS
from standoff.job.runoff_guide import RUNOFF_STOPS
from standoff.job.step import Defined, Step, Stop
from standoff.job.stock_guide import STOCK_STOPS

STOPS = (
    Stop(
        "desk",
        "What it is",
        "Nothing to measure yet: names, and the figures on the plates.",
        (
            Step("job.title", "Title of the job", "What this job is called."),
            Step("job.site", "Place", "Where the machines stand."),
            Step("job.units", "Units of the answers", "Any notation may be typed; this is how answers are shown."),
            Step("lathe.name", "Lathe", "What the lathe is."),
            Step("lathe.headstock", "Headstock", "Does the headstock slide, or is it fixed?"),
            Step("loader.name", "Bar loader", "What the loader is."),
            Step(
                "loader.bar_capacity",
                "Bar capacity",
                "The longest bar the loader takes, from its plate or manual.",
                tool="manual",
            ),
            Step("rules.longest_bar", "Longest bar of this job", "Leave empty if it is the loader's capacity.", tool="manual"),
        ),
    ),
    Stop(
        "control",
        "At the control",
        "Home the lathe and cancel all offsets. Without power: take the limits from the lathe's manual and say so as the source.",
        (
            Step(
                "lathe.z_forward",
                "Which way is forward",
                "Jog the headstock towards the work and watch Z: does it rise (positive) or fall (negative)?",
            ),
            Step("lathe.modes[i].name", "Name of the mode", "Such as guide-bushing, or chucker."),
            Step(
                "lathe.modes[i].z_rear",
                "Rear limit",
                "Jog fully back to the physical stop, not to a soft limit, and read Z.",
                tool="control",
            ),
            Step("lathe.modes[i].z_front", "Front limit", "Jog fully forward and read Z.", tool="control"),
            Step(
                "lathe.modes[i].z_bar_change",
                "Bar change position",
                "Z at which the program stands for a new bar; empty: 3 in behind the front limit.",
                tool="control",
            ),
            Step(
                "lathe.modes[i].loader_shift",
                "Loader shift",
                "How far the whole loader moves for this mode; empty: it does not.",
                ways=("forward, to the lathe", "back, away from the lathe"),
            ),
        ),
    ),
    Stop(
        "behind",
        "Behind the lathe",
        "Lock out the lathe. Headstock fully back if it can be moved; if not, say under “More” where it stands.",
        (
            Step(
                "lathe.cover_to_adapter",
                "Cover to adapter",
                "From the cover's outer face to the rear face of the spindle adapter.",
                "cover",
                "adapter",
                defined="rear",
                ways=("inside the cover", "sticking out of the cover"),
                tool="rule",
            ),
            Step("lathe.cover_to_wall", "Cover to wall", "Back to the wall, aisle or obstacle.", "wall", "cover"),
            Step("lathe.centre_height", "Height of the axis", "Spindle axis above the floor."),
        ),
    ),
    Stop(
        "spindle",
        "Through the spindle",
        "Collet out, spindle locked. The tape goes in from behind.",
        (
            Step(
                "lathe.adapter_to_collet",
                "Adapter to collet",
                "From the adapter's rear face forward to the back of the main collet's body.",
                "adapter",
                "main-collet",
            ),
            Step(
                "lathe.collet_to_cutoff",
                "Collet to cut-off",
                "From the back of the collet forward to the collet-side flank of the cut-off tool.",
                "main-collet",
                "cut-off",
                defined="front",
                tool="sighted",
            ),
        ),
    ),
    Stop(
        "loader",
        "At the loader",
        "Lock out the loader; air off. Everything is read from the nose-clamp face.",
        (
            Step(
                "loader.pusher_reach",
                "Pusher reach",
                "Pusher at its forward limit, by hand: from the clamp face forward to its tip. Options change it: read it even if"
                " a manual states it.",
                "clamp",
                "pusher-tip",
            ),
            Step(
                "loader.gripper_behind_clamp",
                "Gripper",
                "From the clamp face back to the gripper.",
                "gripper",
                "clamp",
            ),
            Step(
                "loader.body_ahead_of_clamp",
                "Front of the body",
                "The foremost part of the loader, seen from the clamp face.",
                "clamp",
                "body-front",
                ways=("ahead of the clamp face", "behind the clamp face"),
                tool="rule",
            ),
            Step(
                "loader.length_behind_clamp",
                "Rear end",
                "From the clamp face back to the loader's rear end.",
                "loader-rear",
                "clamp",
            ),
            Step("loader.centre_height[0]", "Lowest axis", "Lowest height of its axis above the floor.", tool="manual"),
            Step("loader.centre_height[1]", "Highest axis", "Highest height of its axis above the floor.", tool="manual"),
        ),
    ),
    Stop(
        "nose",
        "Nose and fittings",
        "The nose in your hands, or in the clamp. Mount, or count, everything that shares its space.",
        (
            Step("nose.kind", "Kind of nose", "Does it telescope, or is it fixed?"),
            Step("nose.collapsed", "Pushed fully in", "Clamp face to tip.", tool="rule"),
            Step("nose.extended", "Pulled fully out", "Clamp face to tip.", tool="rule"),
            Step("nose.overlap", "Overlap kept", "How much must stay inside when extended.", tool="manual"),
            Step("nose.length", "Uncut length", "Clamp face to tip.", tool="rule"),
            Step("nose.may_be_cut", "May be cut by", "How much the maker allows; empty: nothing.", tool="manual"),
            Step(
                "nose.entry_depth",
                "Entry depth",
                "How deep the tip enters the adapter or a receiver; empty: it butts.",
                tool="rule",
            ),
            Step("nose.least_engagement", "Least engagement", "How deep it must stay inside.", tool="manual"),
            Step("fittings[i].name", "Fitting", "What it is."),
            Step("fittings[i].length", "Its length", "How much of the nose's space it takes.", tool="rule"),
        ),
    ),
    Stop(
        "passage",
        "The passage",
        "In order, from the channel to the collet.",
        (
            Step("bar_path.pusher_od", "Pusher diameter", "Its thickest part that goes in.", tool="caliper"),
            Step("bar_path.pusher_collet_od", "Pusher collet diameter", "With the collet open.", tool="caliper"),
            Step("passage[i].name", "Bore", "What it is."),
            Step("passage[i].bore", "Its diameter", "The smallest.", tool="caliper"),
        ),
    ),
    Stop(
        "checks",
        "Overall readings",
        "A long distance read in one go, over several parts, shows a wrong reading among them. It may be left out.",
        (
            Step("check[i].from", "From", "The rearward end."),
            Step("check[i].to", "Forward to", "The forward end."),
            Step("check[i].mode", "In the mode", "Whose limits the headstock stood at; empty: the first."),
            Step("check[i].state", "Headstock", "Where it stood."),
            Step("check[i].value", "Read", "The whole distance.", ways=("forward, as said", "the other way round")),
            Step("check[i].standoff", "Standoff then", "Only where one end is on the loader: where the loader stood."),
        ),
    ),
)
"""The walk: each place once."""

WALKS: Mapping[str, tuple[Stop, ...]] = MappingProxyType(
    {
        "survey": STOPS,
        "speed": BAR_STOPS,
        "cycle": CYCLE_STOPS,
        "stock": STOCK_STOPS,
        "level": LEVEL_STOPS,
        "floor": FLOOR_STOPS,
        "runoff": RUNOFF_STOPS,
    }
)
"""Every walk by the page it stands on: the survey first, then what the later answers ask for besides."""


def turned_mm(defined: Defined, *, read_mm: float, travel_mm: float, whole_mm: float) -> float:
    """A dimension defined at a limit, from what was read with the headstock elsewhere [mm].

    `travel_mm` is how far ahead of its rear limit it stood, `whole_mm` the travel from rear to front limit of the first mode.
    Seen from the cover the adapter was that much too far forward; seen from the collet the cut-off was too far by the rest.
    """
    if defined == "rear":
        return read_mm - travel_mm
    return read_mm - (whole_mm - travel_mm) if defined == "front" else read_mm


def pattern_of(field: str) -> str:
    """The step's field of a field: lists with `[i]`, except the two ends of a range."""
    return field if field.startswith("loader.centre_height") else re.sub(r"\[\d+\]", "[i]", field)


def step_of(field: str) -> Step:
    """The step of a field; a field that no walk has stands for itself."""
    pattern = pattern_of(field)
    words = field.rpartition(".")[2].replace("_", " ")
    walked = (step for stops in WALKS.values() for stop in stops for step in stop.steps)
    return next((step for step in walked if step.field == pattern), Step(field, words, ""))


def walk_of(field: str) -> str:
    """The walk on which a field, or a table, is filled in: a key of WALKS; what no walk has belongs to the survey."""
    pattern = pattern_of(field)
    fields = {walk: [step.field for stop in stops for step in stop.steps] for walk, stops in WALKS.items()}
    own = next((walk for walk in WALKS if pattern in fields[walk]), None)
    table = pattern.removesuffix("[i]")
    below = (walk for walk in WALKS if any(each.startswith((f"{table}[i]", f"{table}.")) for each in fields[walk]))
    above = (walk for walk in WALKS if any(_table(each) == _table(pattern) for each in fields[walk]))
    return own or next(below, None) or next(above, "survey")


def _table(pattern: str) -> str:
    return re.split(r"[.\[]", pattern, maxsplit=1)[0]


def defined_of(field: str) -> Defined:
    """Where the headstock must be for a field's dimension."""
    return step_of(field).defined
