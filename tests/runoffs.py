"""Job files with a run-off, as texts that tests alter key by key, and lines of its log."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import UTC, datetime
from functools import cache

from standoff.job.job import Job
from standoff.job.placement import Placement, place
from standoff.job.runoff import Runoff, runoff_of
from standoff.job.runoff_log import BAR, MEASURED, SIGNAL, UNDO, Line, told_of
from tests.texts import altered
from tests.turning import PARTS, STANDOFF_MM, Changes, job_of

RUNOFF = (
    PARTS.replace("picked_off = true", 'picked_off = true\nseconds = "30 s"')
    + """
[runoff]
agreed_by = "both sides"
agreed_on = "2026-03-02"
bars_in_row = 3
stops_allowed = 1
clean_share = 0.9
confidence = 0.95
shift_chance = 0.9
unattended = "8 h"
bar_change_at_most = "60 s"

[[runoff_runs]]
name = "pins"
part = "pin"
speed = "2000 rpm"
remnant_at_most = "500 mm"
part_tolerance = "0.1 mm"

[[runoff_runs]]
name = "hubs"
part = "hub"

[[runoff_alarms]]
alarm = "no bar"
result = "ok"

[[runoff_bars]]
key = "a"
at = "2026-03-03T08:00:00Z"
run = "pins"
remnant = "360 mm"
bar_length = "3650 mm"
first_part = "57.02 mm"
end_part = "57.03 mm"
change = "40 s"

[[runoff_signals]]
row = "lathe-door"
result = "ok"
"""
)
"""Three clean bars in a row in each of two runs, one of them begun."""

NOW = datetime(2026, 3, 3, 12, 0, tzinfo=UTC)

# Code, the keys of that job that provoke it, and the field it names.
RUNOFF_MISTAKES: tuple[tuple[str, Changes, str], ...] = (
    ("time-form", {"runoff.agreed_on": '"2 March"'}, "runoff.agreed_on"),
    ("time-form", {"runoff.agreed_on": '"2026-02-30"'}, "runoff.agreed_on"),
    ("time-form", {"runoff_bars[0].at": '"2026-03-03T08:00:00"'}, "runoff_bars[0].at"),
    ("time-form", {"runoff_bars[0].at": '"2026-03-03T08:00:00+01:00"'}, "runoff_bars[0].at"),
    ("time-form", {"runoff_bars[0].at": '"2026-03-03T25:00:00Z"'}, "runoff_bars[0].at"),
    ("value-kind", {"runoff_bars[0].at": "2026-03-03T08:00:00Z"}, "runoff_bars[0].at"),
    ("value-kind", {"runoff_bars[0].key": '"a b"'}, "runoff_bars[0].key"),
    ("value-kind", {"runoff_bars[0].key": f'"{"k" * 65}"'}, "runoff_bars[0].key"),
    ("value-kind", {"runoff.bars_in_row": "0"}, "runoff.bars_in_row"),
    ("value-kind", {"runoff.bars_in_row": '"5"'}, "runoff.bars_in_row"),
    ("value-kind", {"runoff.stops_allowed": "-1"}, "runoff.stops_allowed"),
    ("value-kind", {"runoff.confidence": "95.0"}, "runoff.confidence"),
    ("value-kind", {"runoff.clean_share": "1.0"}, "runoff.clean_share"),
    ("value-kind", {"runoff.tool_counts": '"no"'}, "runoff.tool_counts"),
    ("magnitude-zero", {"runoff.unattended": '"0 h"'}, "runoff.unattended"),
    ("magnitude-zero", {"runoff.bar_change_at_most": '"0 s"'}, "runoff.bar_change_at_most"),
    ("magnitude-zero", {"runoff_runs[0].speed": '"0 rpm"'}, "runoff_runs[0].speed"),
    ("magnitude-zero", {"runoff_bars[0].change": '"0 s"'}, "runoff_bars[0].change"),
    ("magnitude-without-unit", {"runoff_bars[0].change": '"40"'}, "runoff_bars[0].change"),
    ("said-twice", {"runoff.bars": "20"}, "runoff.bars"),
    ("said-twice", {"runoff_runs[1].mode": '"chucker"'}, "runoff_runs[1].mode"),
    ("said-twice", {"runoff_runs[1].bar": '"16 mm steel"'}, "runoff_runs[1].bar"),
    ("plan-impossible", {"runoff.bars_in_row": None, "runoff.bars": "2", "runoff.stops_allowed": "2"}, "runoff.stops_allowed"),
    ("plan-impossible", {"runoff.clean_share": "0.9999999"}, "runoff.clean_share"),
    (
        "plan-impossible",
        {f"runoff.{cause}_counts": "false" for cause in ("loader", "lathe", "tool", "bar", "program")},
        "runoff.loader_counts",
    ),
    ("key-missing", {"runoff.bars_in_row": None, "runoff_runs[1].part": None}, "runoff_runs[1].part"),
    ("key-missing", {"runoff.bars_in_row": None, "parts[1].seconds": None}, "parts[1].seconds"),
    ("key-missing", {"runoff_bars[0].run": None}, "runoff_bars[0].run"),
    ("key-missing", {"runoff_bars[0].at": None}, "runoff_bars[0].at"),
    ("key-missing", {"runoff_runs[1].part": None, "runoff_runs[1].part_tolerance": '"0.1 mm"'}, "runoff_runs[1].first_part"),
    ("part-unknown", {"runoff_runs[0].part": '"pim"'}, "runoff_runs[0].part"),
    ("mode-unknown", {"runoff_runs[1].part": None, "runoff_runs[1].mode": '"turning"'}, "runoff_runs[1].mode"),
    ("bar-unknown", {"runoff_runs[1].part": None, "runoff_runs[1].bar": '"16 mm steal"'}, "runoff_runs[1].bar"),
    ("run-unknown", {"runoff_bars[0].run": '"pims"'}, "runoff_bars[0].run"),
    ("name-twice", {"runoff_runs[1].name": '"pins"'}, "runoff_runs[1].name"),
    ("value-choice", {"runoff_bars[0].stop": '"weather"'}, "runoff_bars[0].stop"),
    ("value-choice", {"runoff_signals[0].result": '"yes"'}, "runoff_signals[0].result"),
    ("value-sign", {"runoff_bars[0].remnant": '"-1 mm"'}, "runoff_bars[0].remnant"),
    ("value-sign", {"runoff_bars[0].first_part": '"0 mm"'}, "runoff_bars[0].first_part"),
    ("reading-exact", {"runoff_bars[0].remnant": '"360 mm ± 0 mm"'}, "runoff_bars[0].remnant"),
    ("bar-too-long", {"runoff_bars[0].bar_length": '"3650 in"'}, "runoff_bars[0].bar_length"),
    (
        "part-too-long",
        {
            "runoff_bars[0].bar_length": '"40 mm"',
            "runoff_bars[0].remnant": '"3 mm"',
            "runoff_bars[0].first_part": None,
            "runoff_bars[0].end_part": None,
        },
        "runoff_bars[0].bar_length",
    ),
    ("remnant-beyond", {"runoff_bars[0].remnant": '"360 in"'}, "runoff_bars[0].remnant"),
    ("remnant-beyond", {"runoff_bars[0].remnant": '"3650 mm"'}, "runoff_bars[0].remnant"),
    ("remnant-beyond", {"runoff_bars[0].end_part": '"57 m"'}, "runoff_bars[0].end_part"),
    ("length-comma-ambiguous", {"runoff_bars[0].remnant": '"1,360 mm"'}, "runoff_bars[0].remnant"),
    ("key-unknown", {"runoff_bars[0].remnent": '"360 mm"'}, "runoff_bars[0].remnent"),
)


def bar(key: str, *, minute: int = 0, run: str = "pins", **more: str) -> Line:
    """A tap of a bar that ended so many minutes after nine."""
    return Line(key, BAR, {"at": f"2026-03-03T{9 + minute // 60:02}:{minute % 60:02}:00Z", "run": run, **more})


def measured(key: str, of: str, **values: str) -> Line:
    """What was measured of a bar afterwards."""
    return Line(key, MEASURED, {"bar": of, **values})


def undo(key: str, of: str, *, back: bool = False) -> Line:
    """A bar taken back, or brought back."""
    return Line(key, UNDO, {"bar": of, "back": True} if back else {"bar": of})


def signal(key: str, row: str, result: str, **more: str) -> Line:
    """A row of the sheet as it was tested."""
    return Line(key, SIGNAL, {"row": row, "result": result, **more})


OTHER_CODES: Mapping[str, Line] = {
    "time-ahead": bar("x", minute=240),
    "bar-untallied": undo("x", "nobody"),
    "signal-unknown": signal("x", "lathe-dore", "ok"),
}
"""Code -> a line of the log that provokes it, sent at noon; a file cannot say what time it is."""


def runoff_job(changes: Changes | None = None, *, more: str = "") -> Job:
    """The job with these keys changed."""
    return job_of(altered(RUNOFF, changes or {}, more=more))


@cache
def standing(text: str = RUNOFF) -> Placement:
    """The placement of a text at the tests' standoff."""
    return place(job_of(text), asked_mm=STANDOFF_MM)


def run_off(*log: Line, changes: Changes | None = None, more: str = "") -> Runoff:
    """How the run-off of the text stands with these keys changed and these lines in its log."""
    return run_off_text(altered(RUNOFF, changes or {}, more=more), *log)


def run_off_text(text: str, *log: Line) -> Runoff:
    """How the run-off of a job file stands with these lines in its log."""
    placement = standing(text)
    return runoff_of(placement, told_of(placement.job, log))
