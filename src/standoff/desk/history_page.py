"""The history as a page shows it: every revision in the words of the survey, with what was typed."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import datetime

from standoff.desk.sheet import Sheet
from standoff.desk.walk import title_of_field
from standoff.desk.workbench import Workbench
from standoff.errors import UsageError
from standoff.job.field import Kind, kind_of

_PATH = re.compile(r"[a-z_]+(?:\.[a-z_]+|\[[0-9]+\])+|fittings|passage|check|bars|supports|liners|speed_limits|site_checks")


@dataclass(frozen=True, slots=True)
class HistoryRow:
    """One revision: what was done, and for a field what then stood there."""

    number: int
    made_utc: datetime
    words: str
    text: str


def history_rows(bench: Workbench, job_id: str, *, start: int, most: int) -> tuple[list[HistoryRow], bool]:
    """Revisions from the newest backwards, and whether there are older ones."""
    lines = bench.history(job_id)
    rows = []
    for line in lines[start : start + most]:
        sheet = bench.sheet(job_id, line.number)
        words, text = _told(line.what, sheet)
        rows.append(HistoryRow(line.number, line.made_utc, words, text))
    return rows, len(lines) > start + most


def _told(what: str, sheet: Sheet) -> tuple[str, str]:
    if is_field(what):
        return title_of_field(what, sheet), sheet.entry(what).text or "taken away"
    words = _PATH.sub(lambda found: title_of_field(found[0], sheet), what)
    return words[:1].upper() + words[1:], ""


def is_field(what: str) -> bool:
    """Whether the words of a revision are the field that was typed into."""
    try:
        return kind_of(what) not in (Kind.TABLE, Kind.ROW, Kind.ROWS)
    except UsageError:
        return False
