"""The job file with the tally of its page in it: what was tapped, measured and tested, written as rows of the file."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from standoff.desk.runoff_taps import lines_of
from standoff.desk.sheet import Sheet
from standoff.job.revision import revised
from standoff.job.runoff_log import BAR, MEASURED, SIGNAL, told_of
from standoff.store.records import LogLine

Row = Mapping[str, Any]


def file_with_tally(sheet: Sheet, log: Sequence[LogLine]) -> str:
    """The text of the job file with every bar, also those taken back, and every row that was tested.

    Taps that do not fit are left out.
    """
    if sheet.job is None:
        return sheet.text
    lines = lines_of(log)
    told = told_of(sheet.job, lines)
    refused = {id(one.line) for one in told.refused}
    fit = [line for line in lines if id(line) not in refused]
    file_rows: list[Row] = list(sheet.raw.get("runoff_bars", ()))
    rows: dict[str, Row] = {row["key"]: row for row in file_rows}
    for line in (line for line in fit if line.kind == BAR):
        rows.setdefault(line.key, {"key": line.key, **line.contents})
    for line in (line for line in fit if line.kind == MEASURED):
        given = {key: value for key, value in line.contents.items() if key != "bar"}
        merged = {**rows[str(line.contents["bar"])], **given}
        rows[str(line.contents["bar"])] = {key: value for key, value in merged.items() if value != ""}
    for bar in told.bars:
        rows[bar.key] = {key: value for key, value in rows[bar.key].items() if key != "taken_back"}
    for bar in told.undone:
        rows[bar.key] = {**rows[bar.key], "taken_back": True}
    bars = list(rows.values())
    signals = [dict(line.contents) for line in fit if line.kind == SIGNAL]
    text = sheet.text
    if bars[: len(file_rows)] != file_rows:
        # A bar of the file was measured or taken back: its rows are written anew, in their order.
        for i in reversed(range(len(file_rows))):
            text = revised(text, {f"runoff_bars[{i}]": None})
        file_rows = []
    added = {f"runoff_bars[{i}]": row for i, row in enumerate(bars) if i >= len(file_rows)}
    start = len(sheet.raw.get("runoff_signals", ()))
    return revised(text, {**added, **{f"runoff_signals[{start + i}]": row for i, row in enumerate(signals)}})
