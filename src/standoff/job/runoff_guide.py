"""What the run-off asks for, stop by stop: what is agreed before the start, whose stops count, what is run, what is provoked.

The stops are like those of the survey (`guide`), on a page of their own. The tally itself is tapped in, not typed. Whatever is
left empty has a default that is ours, or is then not judged, and says so.
"""

from __future__ import annotations

from standoff.job.keys import extra
from standoff.job.runoff_tables import RunoffTable
from standoff.job.step import Step, Stop

RUNOFF_TABLES = ("runoff", "runoff_runs", "runoff_alarms")
"""The tables of the job file that this walk fills in."""


def _default(key: str) -> str:
    return f"Empty: {extra(RunoffTable.model_fields[key])['default_text']} (ours)."


_COUNTS = (
    ("loader", "a misfeed, a bar not gripped, a remnant not dropped"),
    ("lathe", "an alarm of the lathe itself"),
    ("tool", "a worn or broken tool"),
    ("bar", "bent, burred, too thick"),
    ("program", "the part program"),
    ("operator", "a person stopped it"),
)

RUNOFF_STOPS = (
    Stop(
        "agree",
        "Agreed before the start",
        "Both sides, before the first bar: a plan agreed after a stop proves less than it says.",
        (
            Step("runoff.agreed_by", "Agreed by", "Both sides."),
            Step("runoff.agreed_on", "Agreed on", "The day: year-month-day, such as 2026-03-02."),
            Step(
                "runoff.bars_in_row",
                "Clean bars in a row",
                f"In every run; after a stop the row begins again. {_default('bars_in_row')}",
                tool="",
            ),
            Step("runoff.bars", "Or: bars in all", "Instead of a row: so many bars, counted together.", tool=""),
            Step(
                "runoff.unattended",
                "Or: a shift alone",
                "Such as 8 h: as many bars as it takes.",
                tool="",
            ),
            Step(
                "runoff.stops_allowed",
                "Stops allowed",
                f"In each run; one more and it has failed. {_default('stops_allowed')}",
                tool="",
            ),
            Step(
                "runoff.clean_share",
                "Share of clean bars to be shown",
                "Such as 0.95 for 95 of 100; the answer says how many bars that takes.",
                tool="",
            ),
            Step("runoff.confidence", "Confidence", f"With which it is to be shown. {_default('confidence')}", tool=""),
            Step(
                "runoff.shift_chance",
                "Chance of a whole shift without a stop",
                f"What a shift alone is to reach. {_default('shift_chance')}",
                tool="",
            ),
        ),
    ),
    Stop(
        "counts",
        "Whose stops count",
        "A stop that does not count voids its bar: neither clean nor stopped, and a row goes on over it.",
        tuple(
            Step(f"runoff.{cause}_counts", f"Stops by the {cause}", f"Such as: {what}. {_default(f'{cause}_counts')}")
            for cause, what in _COUNTS
        ),
    ),
    Stop(
        "limits",
        "Limits agreed",
        "What is left empty is measured and shown, but not judged.",
        (
            Step("runoff.bar_change_at_most", "Longest bar change", "Such as 60 s.", tool=""),
            Step("runoff.signals_count", "The signal test sheet", f"Whether every row must be ok. {_default('signals_count')}"),
            Step("runoff.remnant_at_most", "Longest remnant on the average", "Of every run.", tool=""),
        ),
    ),
    Stop(
        "runs",
        "What is run",
        "The thinnest and the thickest bar, and every mode. Without an entry each part of the job is a run.",
        (
            Step("runoff_runs[i].name", "Run", "What it is called."),
            Step("runoff_runs[i].part", "Part", "The part that is made; it says bar and mode."),
            Step("runoff_runs[i].mode", "Or: mode", "Without a part. Empty: the first."),
            Step("runoff_runs[i].bar", "Or: bar", "Without a part. Empty: the first, or the job's longest."),
            Step("runoff_runs[i].speed", "Speed", "At which it is run off, such as 2500 rpm.", tool=""),
            Step(
                "runoff_runs[i].changes",
                "Bar changes with short stock",
                "Instead of whole bars: a change every few minutes. Says nothing of feeding a whole bar.",
                tool="",
            ),
            Step("runoff_runs[i].first_part", "Length of the first part", "Empty: the part's length.", tool=""),
            Step("runoff_runs[i].remnant_at_most", "Longest remnant of it", "On the average. Empty: as agreed for all.", tool=""),
            Step("runoff_runs[i].part_tolerance", "Off by at most", "A part's length, either way.", tool=""),
        ),
    ),
    Stop(
        "alarms",
        "Alarms to provoke",
        "Slowly, one hand on the stop, nobody near. What the signal sheet has already need not stand here again.",
        (
            Step("runoff_alarms[i].alarm", "Provoke", "What is done."),
            Step("runoff_alarms[i].result", "Result", "Empty: still to be provoked."),
            Step("runoff_alarms[i].note", "Seen", "What both machines did."),
            Step("runoff_alarms[i].by", "By", "Who provoked it."),
        ),
    ),
)
"""Everything the run-off asks for, each field once."""
