"""The tally and the signal test sheet as rows of a page: every bar with what was measured of it, also those taken back."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime

from standoff.job.amounts import seconds
from standoff.job.runoff import NOT_OK, NOT_TESTED, OK, Runoff, RunStanding, SignalStanding
from standoff.job.runoff_log import Told
from standoff.job.runoff_tables import RunoffBarTable
from standoff.job.runoff_times import moment_of
from standoff.reading import Reading

MARKS: Mapping[str, str] = {OK: "✓ ok", NOT_OK: "✗ not ok", NOT_TESTED: "– not tested yet"}
"""A result with its sign."""
KINDS: Mapping[str, str] = {OK: "fits", NOT_OK: "clash", NOT_TESTED: "open"}
NEVER = datetime.min.replace(tzinfo=UTC)

ASKED = (
    ("remnant", "Remnant"),
    ("bar_length", "Bar before loading"),
    ("first_part", "First part"),
    ("end_part", "Last part of the bar"),
    ("change", "Bar change"),
    ("note", "Note"),
)
"""What may be measured of a bar: field and title."""


@dataclass(frozen=True, slots=True)
class Figure:
    """Something measured of a bar, as it was typed."""

    field: str
    title: str
    text: str


@dataclass(frozen=True, slots=True)
class BarRow:
    """One bar of the tally. `number` counts within its run (0: taken back); `tapped` is False for one that stands in the file."""

    key: str
    number: int
    at: datetime
    run: str
    mark: str
    word: str
    kind: str
    figures: tuple[Figure, ...]
    tapped: bool

    @property
    def title(self) -> str:
        """How it is spoken of."""
        name = f"bar {self.number}" if self.number else "a bar taken back"
        return f"{name} of {self.run}, {self.word}"

    @property
    def measured(self) -> tuple[Figure, ...]:
        """What was measured of it."""
        return tuple(figure for figure in self.figures if figure.text)


@dataclass(frozen=True, slots=True)
class SignalLine:
    """One row of the signal test sheet with its result; `impossible` is one that must be refused."""

    standing: SignalStanding
    mark: str
    kind: str
    impossible: bool


@dataclass(frozen=True, slots=True)
class AlarmLine:
    """An alarm to provoke, and what came of it."""

    what: str
    mark: str
    kind: str
    note: str
    by: str


def bar_rows(runoff: Runoff, told: Told, tapped: Collection[str]) -> tuple[BarRow, ...]:
    """Every bar, the newest first, and those taken back; `tapped` holds the keys of the log."""
    first = runoff.runs[0].name if runoff.runs else ""
    rows = [row for run in runoff.runs for row in _of_run(run, runoff, tapped)]
    rows += [_taken_back(bar, first, tapped) for bar in told.undone]
    return tuple(sorted(rows, key=lambda row: (row.at, row.key), reverse=True))


def _of_run(run: RunStanding, runoff: Runoff, tapped: Collection[str]) -> Iterator[BarRow]:
    counts = {stop.cause: stop.counts for stop in runoff.stops}
    for number, (record, bar) in enumerate(zip(run.state.records, run.tables, strict=True), start=1):
        mark, word, kind = "✓", "clean", "fits"
        if record.stop is not None and counts[record.stop]:
            mark, word, kind = "✗", f"stopped by the {record.stop.value}", "clash"
        elif record.stop is not None:
            mark, word, kind = "–", f"stopped by the {record.stop.value}, does not count", "void"
        yield BarRow(bar.key, number, record.at, run.name, mark, word, kind, _figures(bar), bar.key in tapped)


def _taken_back(bar: RunoffBarTable, first: str, tapped: Collection[str]) -> BarRow:
    how = "clean" if bar.stop is None else f"stopped by the {bar.stop}"
    at = moment_of(bar.at) or NEVER
    return BarRow(bar.key, 0, at, bar.run or first, "–", f"taken back ({how})", "void", _figures(bar), bar.key in tapped)


def _figures(bar: RunoffBarTable) -> tuple[Figure, ...]:
    return tuple(Figure(field, title, _typed(bar, field)) for field, title in ASKED)


def _typed(bar: RunoffBarTable, field: str) -> str:
    """What was measured, as it was typed."""
    if field == "change":
        return "" if bar.change is None else seconds(bar.change)
    if field == "note":
        return bar.note or ""
    series: tuple[Reading, ...] | None = getattr(bar, field)
    return series[0].text if series else ""


def signal_rows(runoff: Runoff) -> tuple[SignalLine, ...]:
    """The signal test sheet, row by row."""
    return tuple(
        SignalLine(one, MARKS[one.result], KINDS[one.result], one.row.id.startswith("pairing-")) for one in runoff.signals
    )


def alarm_rows(runoff: Runoff) -> tuple[AlarmLine, ...]:
    """The alarms to provoke, with what came of them."""
    return tuple(
        AlarmLine(one.alarm, MARKS[one.result or NOT_TESTED], KINDS[one.result or NOT_TESTED], one.note or "", one.by or "")
        for one in runoff.alarms
    )
