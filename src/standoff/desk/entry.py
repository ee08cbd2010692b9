"""One field of a job as it is typed: its text, how it was read, and how that goes into the job file and comes back.

A quantity that says more than its text becomes a table in the file. What a page does not ask for (a stated standard
uncertainty, the time of a reading) stays with the value it was given for.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import asdict, dataclass, fields, replace
from datetime import date, time
from typing import Any

from standoff.desk.number import number_typed
from standoff.errors import Problem
from standoff.job.field import Kind, kind_of, value_at

_INDEX = re.compile(r"\[([0-9]+)\]$")
_BETWEEN = re.compile(r";|,(?=\s)")
"""Between the quantities of a list; a comma without a blank behind it may be a decimal one."""
_FLAGS = {"true": True, "yes": True, "false": False, "no": False}


@dataclass(frozen=True, slots=True)
class Entry:
    """One field as typed; an empty text takes the value away."""

    text: str
    source: str | None = None
    uncertainty: str | None = None
    note: str | None = None
    standard_uncertainty: str | None = None
    when: str | None = None


NO_ENTRY = Entry("")


@dataclass(frozen=True, slots=True)
class Pending:
    """An entry that could not be taken over, kept as it was typed, and the reason."""

    entry: Entry
    reason: Problem

    @property
    def text(self) -> str:
        """The text as typed."""
        return self.entry.text

    @property
    def source(self) -> str | None:
        """How it was read."""
        return self.entry.source

    @property
    def uncertainty(self) -> str | None:
        """Its uncertainty as typed."""
        return self.entry.uncertainty

    @property
    def note(self) -> str | None:
        """Its note."""
        return self.entry.note


def tidied(field: str, entry: Entry) -> Entry:
    """The entry without blanks at its ends and without what its field does not take."""
    parts = {name: _tidy(text) for name, text in asdict(entry).items()}
    text = parts.pop("text") or ""
    takes_more = text and kind_of(field) in (Kind.QUANTITY, Kind.RANGE_END)
    return Entry(text, **parts) if takes_more else Entry(text)


def _tidy(text: str | None) -> str | None:
    """A text that every database can keep, None for a blank one."""
    return text.encode("utf-8", "replace").decode("utf-8").strip() or None if text is not None else None


def completed(entry: Entry, old: Entry) -> Entry:
    """The entry with what a page does not ask for, taken over from the one it replaces where that still holds."""
    if not entry.text:
        return entry
    same = entry.text == old.text
    return replace(
        entry,
        standard_uncertainty=entry.standard_uncertainty or (None if entry.uncertainty else old.standard_uncertainty),
        when=entry.when or (old.when if same else None),
    )


def entry_at(raw: Mapping[str, Any], field: str) -> Entry:
    """What the job file's tables hold at a field, as it would be typed."""
    kind = kind_of(field)
    if kind is Kind.QUANTITY:
        place, index = series_place(field)
        series = series_at(raw, place)
        return typed_as(series[index]) if index < len(series) else NO_ENTRY
    value = value_at(raw, field)
    if kind is Kind.QUANTITIES and isinstance(value, list):
        return Entry("; ".join(typed_as(element).text for element in value))
    return typed_as(value)


def series_place(field: str) -> tuple[str, int]:
    """The path of a quantity, and which of its readings a field means."""
    index = _INDEX.search(field)
    return (field[: index.start()], int(index[1])) if index else (field, 0)


def series_at(raw: Mapping[str, Any], place: str) -> list[Any]:
    """The readings of a quantity as they stand in the file."""
    value = value_at(raw, place)
    return value if isinstance(value, list) else [] if value is None else [value]


def typed_as(value: Any) -> Entry:
    """A value of the job file as it would be typed."""
    if isinstance(value, dict):
        parts = {key: _plain(value[key]) for key in (field.name for field in fields(Entry)) if key in value}
        return Entry(_plain(value.get("value", "")), **parts)
    return NO_ENTRY if value is None else Entry(_plain(value))


def _plain(value: Any) -> str:
    if isinstance(value, bool):
        return str(value).lower()
    return value.isoformat() if isinstance(value, date | time) else str(value)


def written(kind: Kind, entry: Entry) -> Any:
    """An entry as a value of the job file; what cannot be one is left as text, for the reader to refuse.

    Raises: QuantityError for a number that is none.
    """
    if kind is Kind.NUMBER:
        return number_typed(entry.text)
    if kind is Kind.FLAG:
        return _FLAGS.get(entry.text.lower(), entry.text)
    if kind is Kind.QUANTITIES:
        return [part.strip() for part in _BETWEEN.split(entry.text)]
    keys = ("uncertainty", "standard_uncertainty", "source", "note", "when")
    more = {key: text for key in keys if (text := getattr(entry, key)) is not None}
    return {"value": entry.text, **more} if more else entry.text
