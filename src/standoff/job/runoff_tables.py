"""The tables of a job file that say what was agreed for the run-off, and what was tallied, tested and provoked in it.

They are optional: a placement does not need them. `[runoff]` and `[[runoff_runs]]` are agreed before the start; `[[runoff_bars]]`
and `[[runoff_signals]]` are usually tapped in on the page and stand in a file only where the tally was kept elsewhere. What is
tapped has the same keys, so that a tap and a line of a file are read alike.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import Field

from standoff.job.keys import NOT_NEGATIVE, Exact, Name, Rpm, Table, Taped, Time, extra, needed, optional, rule

Share = Annotated[float, Field(gt=0.0, lt=1.0, allow_inf_nan=False)]
Bars = Annotated[int, Field(ge=1, le=100_000)]
Stops = Annotated[int, Field(ge=0, le=1_000)]
StopCause = Literal["loader", "lathe", "tool", "bar", "program", "operator"]
SignalResult = Literal["ok", "not ok", "not tested"]
STOP_CAUSES: tuple[StopCause, ...] = ("loader", "lathe", "tool", "bar", "program", "operator")


class RunoffTable(Table):
    """What is agreed before the run-off starts. The defaults are ours (common practice, no published source)."""

    agreed_by: Name | None = optional("who agreed on it, both sides", "foreman of bay 3; installer")
    agreed_on: Name | None = optional("the day on which it was agreed: year-month-day", "2026-03-02")
    bars_in_row: Bars | None = rule("so many clean bars one after another in every run; after a stop the row begins again", "5")
    bars: Bars | None = optional("or: so many bars in all in every run, of which no more than stops_allowed are stopped", "20")
    unattended: Time | None = optional("or: the length of a shift without anybody there; as many bars as it takes", "8 h")
    stops_allowed: Stops | None = rule("stopped bars allowed in each run: one more and it has failed", "0")
    clean_share: Share | None = optional("the share of clean bars that is to be shown", "0.95")
    confidence: Share | None = rule("with this confidence", "0.95")
    shift_chance: Share | None = rule("unattended: the chance that a shift passes without a stop", "0.9")
    loader_counts: bool | None = rule("whether a stop that the loader causes counts", "true")
    lathe_counts: bool | None = rule("whether one that the lathe causes counts", "true")
    tool_counts: bool | None = rule("whether one that a tool causes counts", "true")
    bar_counts: bool | None = rule("whether one that the bar itself causes counts: bent, burred, too thick", "true")
    program_counts: bool | None = rule("whether one that the part program causes counts", "true")
    operator_counts: bool | None = rule("whether one that a person causes counts; if not, it voids its bar", "false")
    signals_count: bool | None = rule("whether every row of the signal test sheet must be ok", "true")
    bar_change_at_most: Time | None = optional("longest bar change agreed", "60 s")
    remnant_at_most: Exact | None = optional("longest mean remnant agreed, of every run", "14 in", "360 mm")


class RunTable(Table):
    """One thing to run off: a part, or a bar in a mode. Agree on the thinnest and the thickest bar, and on every mode."""

    name: Name = needed("what the run is called", "hub axle")
    part: Name | None = optional("the part that is made; it says bar and mode", "hub axle")
    mode: Name | None = optional("or: the mode; without it the first", "chucker")
    bar: Name | None = optional("or: the bar; without it the first, or the job's longest bar", "12 mm stainless")
    speed: Rpm | None = optional("speed at which it is run off", "2500 rpm")
    changes: Bars | None = optional("instead of whole bars: so many bar changes with short stock, none of them stopped", "59")
    first_part: Exact | None = optional("length of the first part of a bar; without it the part's length", "4 in", "102 mm")
    remnant_at_most: Exact | None = optional("longest mean remnant agreed for it; without it that of [runoff]", "14 in", "360 mm")
    part_tolerance: Exact | None = optional("how far a part's length may be off, either way", "0.004 in", "0.1 mm")


class RunoffBarTable(Table):
    """One bar of the tally: when it ended, what stopped it, and what was measured."""

    key: Name = needed("a key of its own, so that it counts once", "bar-1")
    at: Name = needed("date and time at which it ended, in UTC", "2026-03-02T08:30:00Z")
    run: Name | None = optional("the run it belongs to; may be left out where there is only one", "hub axle")
    stop: StopCause | None = optional("what stopped it: loader, lathe, tool, bar, program, operator; else it ran clean", "bar")
    remnant: Taped | None = optional("length of its remnant", "12 3/4 in", "325 mm", sign=NOT_NEGATIVE)
    bar_length: Taped | None = optional("length of the bar before it was loaded", "12 ft", "3.66 m")
    first_part: Exact | None = optional("length of its first part", "5.251 in", "133.4 mm")
    end_part: Exact | None = optional("length of its last part, made near the bar's end", "5.249 in", "133.3 mm")
    change: Time | None = optional("how long the change to this bar took", "38 s")
    note: Name | None = optional("a note", "bar end burred")
    taken_back: bool | None = optional("whether it was taken back: it is kept, and counts for nothing", "true")


class RunoffSignalTable(Table):
    """One row of the signal test sheet as it was tested; the last entry of a row counts."""

    row: Name = needed("the row's id, as `standoff runoff --signals` prints it", "lathe-door")
    result: SignalResult = needed("ok, not ok or not tested", "ok")
    note: Name | None = optional("what was seen", "loader stops after 1 s")
    by: Name | None = optional("who tested it", "installer")


class RunoffAlarmTable(Table):
    """An alarm that is to be provoked in the run-off, and what came of it."""

    alarm: Name = needed("what is provoked", "bar that does not enter the collet")
    result: SignalResult | None = optional("ok, not ok or not tested; without it it is still to be provoked", "ok")
    note: Name | None = optional("what was seen", "loader stops, lathe tells so")
    by: Name | None = optional("who provoked it", "installer")


def agreed(table: RunoffTable | None, key: str) -> Any:
    """What the job states for a key of [runoff], or else the default its declaration gives."""
    given = getattr(table, key) if table is not None else None
    if given is not None:
        return given
    text = extra(RunoffTable.model_fields[key])["default_text"]
    return {"true": True, "false": False}.get(text, float(text) if "." in text else int(text) if text.isdigit() else text)
