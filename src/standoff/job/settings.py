"""The settings sheet: what goes into the two controls for a part, each with how it follows, and what the program must contain.

Loader coordinates count from the gripper, forward; the lathe's are its control's own Z. Nothing here is typed: every figure is a
place of the layout.
"""

from __future__ import annotations

from dataclasses import dataclass

from standoff.job.cycle import Cycle
from standoff.job.motions import OUT, PULL, PUSH, STEPS
from standoff.job.parts import Part, z_of

LOADER, LATHE = "bar loader", "lathe"


@dataclass(frozen=True, slots=True)
class Setting:
    """One figure for a control: a length, a place, or the control's Z; and how it follows."""

    id: str
    name: str
    control: str
    value_mm: float
    follows: str


@dataclass(frozen=True, slots=True)
class Tally:
    """One number for a control that is counted, and how it follows."""

    id: str
    name: str
    control: str
    count: int
    follows: str


@dataclass(frozen=True, slots=True)
class Settings:
    """All figures for one part, what is counted, and the lines of the part program."""

    part: Part
    settings: tuple[Setting, ...]
    tallies: tuple[Tally, ...]
    program: tuple[str, ...]


def settings_of(cycle: Cycle) -> Settings:
    """The sheet for one part."""
    loaded, end = _loading(cycle), _end_of_bar(cycle)
    return Settings(cycle.part, (*loaded, *end, *_lathe(cycle)), _tallies(cycle.part), _program(cycle))


def _loading(cycle: Cycle) -> tuple[Setting, ...]:
    """From the loaded bar to the first feed."""
    part, reach = cycle.part, cycle.part.reach
    gripper_mm, rear_mm = cycle.course.gripper_mm, cycle.course.loaded_rear_mm
    first_mm = reach.cut_off_mm + part.facing_mm - part.bar_mm + reach.insertion_mm - gripper_mm
    stated = cycle.job.tables.cycle is not None and cycle.job.tables.cycle.loaded_behind_clamp
    where = "as stated" if stated else "bar's front at the clamp, or its rear end at the gripper"
    deep = "how deep the bar's end sits in the pusher collet" if reach.insertion_stated else "not stated, 0 is taken: measure it"
    return (
        Setting("bar-length", "bar length", LOADER, part.bar_mm, "as cut to length"),
        Setting("loading-position", "bar loading position", LOADER, rear_mm - gripper_mm, f"bar's rear end, {where}"),
        Setting("pre-feed", "pre-feed length", LOADER, gripper_mm - rear_mm, "from the loading position to the gripper"),
        Setting("insertion", "insertion depth", LOADER, reach.insertion_mm, deep),
        Setting("facing-position", "facing position", LOADER, first_mm, "pusher; bar's front a facing ahead of the cut-off"),
        Setting("feed", "feed length", LOADER, part.stroke_mm, f"part and cut-off{_in_feeds(part)}"),
    )


def _end_of_bar(cycle: Cycle) -> tuple[Setting, ...]:
    """Where the pusher must not begin another part, where it ends, and what is left."""
    part, reach = cycle.part, cycle.part.reach
    gripper_mm = cycle.course.gripper_mm
    last_mm = reach.tip_end_mm - (part.advance_mm - part.cutting.pick_off_gain_mm) - gripper_mm
    end_mm = reach.cut_off_mm - part.remnant_mm + reach.insertion_mm
    why = "farthest at the last cut-off" + ("" if part.picked_off else ", less one part and cut-off")
    return (
        Setting("last-start", "no further part beyond", LOADER, last_mm, f"pusher; {why}; for every bar length"),
        Setting("end-of-bar", "end-of-bar position", LOADER, min(end_mm, reach.tip_end_mm) - gripper_mm, _after(part)),
        Setting("forward-limit", "pusher's forward limit", LOADER, reach.tip_limit_mm - gripper_mm, "reach, at this standoff"),
        Setting("remnant", "remnant", LOADER, part.remnant_mm, "bar less facing, parts and cut-offs"),
    )


def _after(part: Part) -> str:
    """When the pusher stands at its end of bar."""
    parts = "1 part" if part.count == 1 else f"{part.count} parts"
    return f"pusher; after {parts} from a bar of this length"


def _in_feeds(part: Part) -> str:
    return "" if part.feeds == 1 else f", in {part.feeds} feeds"


def _lathe(cycle: Cycle) -> tuple[Setting, ...]:
    """The control's Z of every place the headstock goes to."""
    job, part = cycle.job, cycle.part
    facing = Setting("facing", "facing cut", LATHE, part.facing_mm, "taken off the bar's front")
    if not job.sliding:
        return (facing,)
    end_mm, stroke_mm = part.travel_end_mm, part.stroke_mm
    told = "as stated for the part" if part.table.z_last_cut else "front limit of the mode"
    change_z_mm = z_of(job, cycle.course.places.change_mm)
    return (
        facing,
        Setting("z-bar-change", "Z at bar change", LATHE, change_z_mm, "where the new bar comes in"),
        Setting("z-retract", "Z after re-gripping back", LATHE, z_of(job, end_mm - stroke_mm), "Z at cut-off, back by one feed"),
        Setting("z-last-cut", "Z at cut-off", LATHE, z_of(job, end_mm), told),
        Setting("retract", "retract of the headstock", LATHE, stroke_mm, f"one feed{_in_feeds(part)}"),
    )


def _tallies(part: Part) -> tuple[Tally, ...]:
    """What is counted."""
    each = "one for each part" if part.feeds == 1 else f"{part.feeds} for each part: it is longer than the headstock's travel"
    pushed = part.count - part.drawn
    feeds = pushed * part.feeds
    last = ", the last part drawn by the sub-spindle" if part.drawn else ""
    return (
        Tally("parts", "parts from one bar", LATHE, part.count, "bar less facing and shortest remnant, by part and cut-off"),
        Tally("feeds", "number of feeds", LOADER, feeds, f"{each}{last}"),
    )


def _program(cycle: Cycle) -> tuple[str, ...]:
    """What the part program must contain, in its order."""
    job, part = cycle.job, cycle.part
    table = job.tables.cycle
    stop = (table.feed_stop if table is not None else None) or ("cut-off tool" if job.sliding else "stop")
    change = "headstock at its bar change Z; " if job.sliding else ""
    last = STEPS[PUSH if table is not None and table.ejection == OUT else PULL]
    return (
        "Ask at the start of every part whether the loader reports the end of the bar; branch to the bar change if it does.",
        f"Bar change: spindle stopped, collet open, no tool in the way; {change}"
        "hand over to the loader and wait until it reports the bar fed.",
        "After a new bar: close the collet, confirm it, face the bar, cut the facing off.",
        *(_regrip(part, stop) if job.sliding else _feed(stop)),
        _last_part(part),
        f"End of bar: spindle stopped, collet open; {last}.",
    )


def _regrip(part: Part, stop: str) -> tuple[str, ...]:
    """A sliding headstock goes back over the bar."""
    again = (
        f"Re-grip: leave the {stop} in as the stop, keep the loader pushing, open the collet, retract the headstock by one feed,"
        " close the collet, confirm it, move the stop away only then."
    )
    if part.feeds == 1:
        return (again,)
    between = (
        f"One part takes {part.feeds} feeds: it is longer than the headstock's travel. Between feeds the bar stands out"
        " beyond the cut-off plane: hold it by a stop or the sub-spindle, the cut-off tool cannot."
    )
    return (again, between)


def _feed(stop: str) -> tuple[str, ...]:
    """A fixed headstock has the bar brought forward."""
    if stop == "sub-spindle":
        return ("Feed: the sub-spindle takes hold; open the collet, draw the bar by one feed, close the collet, confirm it.",)
    return (f"Feed: open the collet, let the loader push the bar against the {stop}, close the collet, confirm it.",)


def _last_part(part: Part) -> str:
    """How the bar's last part differs."""
    if part.drawn:
        return (
            "Last part: the sub-spindle takes hold, the collet opens, and it draws the bar by part and cut-off while the"
            " pusher stays at its limit; the headstock does not go back. It holds the part while it is cut off."
        )
    if part.picked_off:
        return "Last part: the sub-spindle takes hold before the cut-off."
    return f"After {part.count} {'part' if part.count == 1 else 'parts'} no further part fits: end of bar."
