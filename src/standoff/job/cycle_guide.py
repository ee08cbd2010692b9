"""What the bar cycle asks for, stop by stop: the parts that are made, how a bar is loaded and fed, and how its end is handled.

The stops are like those of the survey (`guide`), on a page of their own. Times and orders of a part are what the stock sheet
reckons with; a part is described once.
"""

from __future__ import annotations

from pydantic import BaseModel

from standoff.job.keys import extra
from standoff.job.part_tables import CycleTable, PartTable
from standoff.job.step import Step, Stop

CYCLE_TABLES = ("parts", "cycle")
"""The tables of the job file that this walk fills in."""


def _default(table: type[BaseModel], key: str) -> str:
    return f"Empty: {extra(table.model_fields[key])['default_text']}."


CYCLE_STOPS = (
    Stop(
        "parts",
        "Parts",
        "Nothing to measure: from the drawing of each part and from its program.",
        (
            Step("parts[i].name", "Part", "What it is called."),
            Step("parts[i].bar", "Made from the bar", "Empty: the first bar, or the job's longest."),
            Step("parts[i].mode", "Made in the mode", "Empty: the first."),
            Step("parts[i].length", "Length of the part", "From its front face to where it is cut off.", tool=""),
            Step(
                "parts[i].cut_off_width",
                "Width of the cut-off tool",
                f"What it turns to chips. {_default(PartTable, 'cut_off_width')}",
                tool="",
            ),
            Step("parts[i].facing", "Facing", f"Taken off a new bar's front. {_default(PartTable, 'facing')}", tool=""),
            Step("parts[i].seconds", "Time for one part", "Such as 75 s or 1.5 min; for the stock sheet.", tool=""),
            Step("parts[i].picked_off", "Last part taken by a sub-spindle", "Then the collet need not hold its end."),
            Step(
                "parts[i].z_last_cut",
                "Z at the last cut-off",
                "As the control shows it there. Empty: the mode's front limit.",
                tool="control",
            ),
            Step("parts[i].per_order", "Parts in an order", "For the stock sheet.", tool=""),
            Step("parts[i].per_year", "Parts in a year", "For the stock sheet.", tool=""),
        ),
    ),
    Stop(
        "feeding",
        "Loading and feeding",
        "Lock out the loader before reaching into its channel.",
        (
            Step(
                "cycle.loaded_behind_clamp",
                "Bar's rear end after loading",
                "Behind the clamp face. Empty: the bar's front lies at the clamp face.",
            ),
            Step("cycle.feed_stop", "Fed against", "What stands in front of the bar while it is fed."),
            Step("cycle.bar_change", "Time for changing the bar", "Such as 35 s; for the stock sheet.", tool=""),
        ),
    ),
    Stop(
        "end",
        "The end of the bar",
        "Spindle locked, main collet open. What the makers state of the shortest grip and the longest remnant.",
        (
            Step("cycle.ejection", "Which way the remnant goes", "Empty: back through the loader."),
            Step(
                "cycle.into_collet",
                "Pusher may enter the main collet by",
                f"From the collet's back. {_default(CycleTable, 'into_collet')}",
                tool="",
            ),
            Step("cycle.gripped_at_least", "Main collet must hold at least", "Of the stock of the last part.", tool=""),
            Step("cycle.longest_remnant", "Longest remnant the loader drops", "From its manual.", tool="manual"),
        ),
    ),
)
"""Everything the bar cycle asks for, each field once."""
