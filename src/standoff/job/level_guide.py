"""What levelling asks for, stop by stop: the feet, the instruments, the readings of each round, what was done in between.

The stops are like those of the survey (`guide`), on a page of their own. Everything may be left out; what is missing for an
answer is named there.
"""

from __future__ import annotations

from pydantic import BaseModel

from standoff.job.keys import extra
from standoff.job.level_tables import (
    BracketTable,
    FrameTable,
    LevelTable,
    LineReadingTable,
    ReferenceLineTable,
    SweepTable,
)
from standoff.job.step import Step, Stop

LEVEL_TABLES = (
    *("frame", "feet", "side_screws", "brackets", "sweeps", "reference_lines", "line_readings", "levels", "level_rounds"),
    "level_tolerances",
)
"""The tables of the job file that this walk fills in."""

_UP = ("up", "down")
_SIDE = ("left, looking forward to the lathe", "right")
_BEHIND = ("behind the clamp face", "ahead of the clamp face")
_AHEAD = ("ahead of the adapter's rear face", "behind the adapter's rear face")
_PUSHED = ("plunger pushed in", "plunger let out")


def _default(table: type[BaseModel], key: str) -> str:
    return f"Empty: {extra(table.model_fields[key])['default_text']}, as limits either way."


def _placed(table: str) -> tuple[Step, Step, Step]:
    """Where headstock and loader stood at a reading; a line stays where it was set, which is said of the line."""
    if table == "line_readings":
        return (
            Step(f"{table}[i].headstock", "Headstock at", "Leave it empty: it is said of the line, which stays as set."),
            Step(f"{table}[i].loader", "Loader", "Empty: standing. Read it shifted too, where it shifts."),
            Step(f"{table}[i].mode", "In the mode", "Whose shift is meant."),
        )
    return (
        Step(f"{table}[i].headstock", "Headstock at", "Empty: the rear limit. Read at both: the spindle may climb or wander."),
        Step(f"{table}[i].loader", "Loader", "Empty: standing. Read it shifted too, where it shifts."),
        Step(f"{table}[i].mode", "In the mode", "Whose limits are meant. Empty: the first."),
    )


LEVEL_STOPS = (
    Stop(
        "frame",
        "Feet and side screws",
        "Lock out both machines. Nobody reaches under a machine that hangs on jacks or a lift alone.",
        (
            Step(
                "frame.axis_height",
                "Axis above the feet",
                "From where the feet rest. Empty: the spindle above the floor.",
            ),
            Step("frame.shim_step", "Shims differ by", "The thinnest shim there is. Empty: the feet are jacks.", tool="caliper"),
            Step("frame.foot_setting", "A foot is set within", _default(FrameTable, "foot_setting"), tool=""),
            Step("frame.screw_setting", "A side screw is set within", _default(FrameTable, "screw_setting"), tool=""),
            Step("feet[i].name", "Foot", "Such as front left."),
            Step("feet[i].behind_clamp", "It stands", "Along the axis, from the nose-clamp face.", ways=_BEHIND),
            Step("feet[i].left", "And aside", "From the axis.", ways=_SIDE),
            Step("feet[i].up", "Can still go up", "Thread or shim room left. Empty: not checked.", tool=""),
            Step("feet[i].down", "Can still go down", "Empty: not checked.", tool=""),
            Step("side_screws[i].name", "Side screws", "Such as front screws."),
            Step("side_screws[i].behind_clamp", "They are", "Along the axis, from the nose-clamp face.", ways=_BEHIND),
            Step("side_screws[i].left", "Can still push left", "Empty: not checked.", tool=""),
            Step("side_screws[i].right", "Can still push right", "Empty: not checked.", tool=""),
        ),
    ),
    Stop(
        "instruments",
        "Instruments",
        "Each has an error of its own; one that is known can be taken off.",
        (
            Step(
                "brackets[i].name",
                "Bracket",
                "What carries the indicator at the spindle, at ONE reach: another reach is another row.",
            ),
            Step(
                "brackets[i].sag",
                "It hangs",
                "On a stiff tube at the same reach, zero at the bottom, turn the tube: what it shows at the top.",
                tool="",
            ),
            Step("brackets[i].within", "Sure within", _default(BracketTable, "within"), tool=""),
            Step("reference_lines[i].name", "Line", "What it is called."),
            Step("reference_lines[i].kind", "Kind", "Wire, laser beam or straightedge."),
            Step("reference_lines[i].rear_set", "Centred at the rear", "Of two places on the spindle.", ways=_AHEAD),
            Step(
                "reference_lines[i].front_set",
                "Centred at the front",
                "As far from the other as it goes.",
                ways=_AHEAD,
            ),
            Step("reference_lines[i].set_within", "Centred within", _default(ReferenceLineTable, "set_within"), tool=""),
            Step(
                "reference_lines[i].headstock",
                "Headstock then at",
                "Empty: the rear limit. The line tells of the spindle there only: set a second one with it forward, or sweep.",
            ),
            Step("reference_lines[i].mode", "In the mode", "Whose limits are meant. Empty: the first."),
            Step("reference_lines[i].rear_end", "Wire: rear support", "Behind the nose-clamp face."),
            Step("reference_lines[i].front_end", "Wire: front support", "Where it is held in front.", ways=_AHEAD),
            Step("reference_lines[i].note", "Wire: its note", "Pluck it and read the lowest note, in Hz.", tool=""),
            Step("reference_lines[i].tension", "Or its pull", "Such as the weight that pulls it, 200 N.", tool=""),
            Step("reference_lines[i].wire_diameter", "And its diameter", "Beside the pull.", tool="caliper"),
            Step("reference_lines[i].wire_density", "And its metal", "Density. Empty: steel.", tool=""),
            Step("reference_lines[i].sag", "Or its sag", "At midspan, measured.", tool=""),
        ),
    ),
    Stop(
        "readings",
        "Readings",
        "Lock out, then turn the spindle by hand, never by power. Up and left, looking forward, count positive.",
        (
            Step("levels[i].round", "Round", "1 as found, then 2, 3 ... Empty: 1."),
            Step("levels[i].way", "Level laid", "Across the loader (the roll must be read), or along its axis."),
            Step("levels[i].reading", "It shows", "As first laid: left side up, or rising forward.", ways=_UP, tool=""),
            Step(
                "levels[i].turned",
                "Turned end for end",
                "Up if the SAME END OF THE LEVEL is up that counted as up before: on a slope now the other is.",
                ways=_UP,
                tool="",
            ),
            Step("levels[i].spindle", "On the spindle", "Along: only the difference counts.", ways=_UP, tool=""),
            Step("levels[i].within", "Reads within", _default(LevelTable, "within"), tool=""),
            Step("sweeps[i].round", "Round", "1 as found, then 2, 3 ... Empty: 1."),
            Step("sweeps[i].name", "Swept", "Such as nose bore, front clamp."),
            Step("sweeps[i].surface", "Surface", "A bore, an outside, or a face that looks forward."),
            Step("sweeps[i].behind_clamp", "Where", "Bore and outside: along the axis.", ways=_BEHIND),
            Step("sweeps[i].circle", "Circle", "Face: diameter swept.", tool=""),
            Step("sweeps[i].top", "At the top", "What the indicator shows.", ways=_PUSHED, tool=""),
            Step("sweeps[i].left", "At the left", "Looking forward to the lathe.", ways=_PUSHED, tool=""),
            Step("sweeps[i].bottom", "At the bottom", "With a mirror, if need be.", ways=_PUSHED, tool=""),
            Step("sweeps[i].right", "At the right", "Looking forward.", ways=_PUSHED, tool=""),
            Step("sweeps[i].within", "Read within", _default(SweepTable, "within"), tool=""),
            Step("sweeps[i].bracket", "Carried by", "Which bracket; its sag is taken off. Empty: sag not known."),
            *_placed("sweeps"),
            Step("line_readings[i].round", "Round", "1 as found, then 2, 3 ... Empty: 1."),
            Step("line_readings[i].line", "From the line", "Which one."),
            Step("line_readings[i].behind_clamp", "Where", "Along the axis.", ways=_BEHIND),
            Step("line_readings[i].above", "Loader's axis above it", "Empty: not read.", ways=_UP, tool=""),
            Step("line_readings[i].left", "Loader's axis left of it", "Empty: not read.", ways=_SIDE, tool=""),
            Step("line_readings[i].within", "Read within", _default(LineReadingTable, "within"), tool=""),
            *_placed("line_readings"),
        ),
    ),
    Stop(
        "rounds",
        "What was done",
        "A round of readings follows each move; the last one follows the tightening.",
        (
            Step("level_rounds[i].round", "Round", "Which."),
            Step("level_rounds[i].stage", "Taken", "As found, after moving, or after tightening."),
            Step("level_rounds[i].feet_bear", "Every foot bears", "Felt under each with a gauge."),
            Step(
                "level_rounds[i].standoff",
                "Standoff read again",
                "Adapter's rear face to nose-clamp face: aligning moves it.",
                ways=("loader behind the adapter", "ahead of it"),
            ),
            Step("level_rounds[i].drilled", "Drilled and anchored", "Through the holes of the feet, as the anchors' maker says."),
            Step("level_rounds[i].pusher_slides", "Pusher slides by hand", "From the channel into the main collet, locked out."),
        ),
    ),
    Stop(
        "tolerances",
        "Tolerances",
        "From the makers' manuals. Empty: common practice, no published source.",
        (
            Step("level_tolerances.spindle", "At the spindle", "Empty: 0.1 mm (0.004 in) either way.", tool=""),
            Step("level_tolerances.axis", "Along the loader", "Empty: 0.25 mm (0.010 in) either way.", tool=""),
            Step("level_tolerances.roll", "Roll", "Empty: 0.5 mm/m (0.006 in/ft) either way.", tool=""),
            Step("level_tolerances.rock", "Foot out of plane", "Empty: 0.05 mm (0.002 in).", tool=""),
            Step("level_tolerances.tightening", "Change on tightening", "Empty: 0.05 mm (0.002 in).", tool=""),
            Step("level_tolerances.basis", "Taken from", "Which manual or agreement says so."),
        ),
    ),
)
"""Everything levelling asks for, each field once."""
