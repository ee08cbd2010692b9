"""An entry that was read with the headstock elsewhere than where its dimension is defined, turned into that dimension."""

from __future__ import annotations

import re
from dataclasses import replace

from standoff.desk.entry import Entry
from standoff.desk.workbench import Sheet
from standoff.errors import UsageError
from standoff.job.guide import defined_of, turned_mm
from standoff.job.speech import exact_length
from standoff.job.step import Defined
from standoff.job.tables import JobFile
from standoff.reading import Reading, read_quantity

STOOD = (
    ("rear", "fully back in the first mode"),
    ("front", "fully forward in the first mode"),
    ("z", "where the control shows Z ="),
    ("out", "no power: adapter sticks out of the cover by"),
    ("in", "no power: adapter inside the cover by"),
)
"""Where the headstock may stand while something is read, in words; the last three with a length."""
_WITHOUT_COVER = 3
_TURNED = re.compile("read .+ with (headstock|Z|adapter) ")


def stood_choices(defined: Defined | str) -> tuple[tuple[str, str], ...]:
    """The positions to choose from for a dimension, its own first; the cover tells nothing of the distance to itself."""
    own = tuple(choice for choice in STOOD if choice[0] == defined)
    others = tuple(choice for choice in STOOD if choice[0] != defined)
    return (*(("", words) for _, words in own), *(others[: _WITHOUT_COVER - 1] if defined == "rear" else others))


def turned_entry(sheet: Sheet, field: str, entry: Entry, *, stood: str, at: str) -> tuple[Entry, str]:
    """The entry as its dimension is defined, and how, in words; as it is where the headstock stood there anyway.

    `stood` is one of STOOD; `at` is the control's Z, or by how much the adapter sticks out or lies inside. Raises UsageError
    where what is needed for it is not surveyed yet, and QuantityError for a length that cannot be read.
    """
    defined = defined_of(field)
    before = sheet.entry(field)
    if not stood or stood == defined or defined == "anywhere" or not entry.text:
        # The note of a reading that was turned does not go with another reading.
        stale = entry.note == before.note and entry.text != before.text and _TURNED.match(entry.note or "")
        return (replace(entry, note=None) if stale else entry), ""
    rear_mm, whole_mm, sign = _travel(sheet.draft)
    reading = _read(entry.text)
    travel_mm = _travel_mm(sheet.draft, stood, at, rear_mm=rear_mm, whole_mm=whole_mm, sign=sign)
    result_mm = turned_mm(defined, read_mm=reading.value_mm, travel_mm=travel_mm, whole_mm=whole_mm)
    units = sheet.draft.job.units if sheet.draft is not None and sheet.draft.job is not None else None
    text = exact_length(result_mm, units or "mm")
    words = {
        "rear": "headstock fully back",
        "front": "headstock fully forward",
        "z": f"Z at {at}",
        "out": f"adapter {at} out of the cover",
        "in": f"adapter {at} inside the cover",
    }
    how = f"read {entry.text} with {words[stood]}"
    stated = re.split(r"±|\+-|\+/-", entry.text)[1:]
    return replace(entry, text=text, note=how, uncertainty=entry.uncertainty or (stated[0].strip() if stated else None)), how


def _travel(draft: JobFile | None) -> tuple[float, float, float]:
    """The first mode's rear limit as Z shows it [mm], the travel to its front limit [mm], and the sign of Z."""
    lathe = draft.lathe if draft is not None else None
    modes = (lathe.modes or []) if lathe is not None else []
    if lathe is None or not modes or modes[0].z_rear is None or modes[0].z_front is None or lathe.z_forward is None:
        raise UsageError(
            what="headstock position",
            given="not at its limit",
            allowed="a survey of Z first",
            action="fill in which way is forward and Z at both limits, then this",
        )
    sign = -1.0 if lathe.z_forward == "negative" else 1.0
    rear_mm = modes[0].z_rear[0].value_mm
    return rear_mm, sign * (modes[0].z_front[0].value_mm - rear_mm), sign


def _travel_mm(draft: JobFile | None, stood: str, at: str, *, rear_mm: float, whole_mm: float, sign: float) -> float:
    """How far ahead of its rear limit the headstock stood [mm]."""
    if stood in ("rear", "front"):
        return whole_mm if stood == "front" else 0.0
    if stood not in ("z", "out", "in"):
        known = ", ".join(name for name, _ in STOOD)
        raise UsageError(what="headstock position", given=stood[:40], allowed=known, action="choose one")
    if not at:
        raise UsageError(what="headstock position", given="no length", allowed="where it stood", action="type Z, or the distance")
    if stood == "z":
        return sign * (_read(at).value_mm - rear_mm)
    cover = draft.lathe.cover_to_adapter if draft is not None and draft.lathe is not None else None
    if cover is None:
        raise UsageError(
            what="headstock position",
            given="by the cover",
            allowed="a survey of the cover first",
            action="fill in cover to adapter, then this",
        )
    now_mm = _read(at).value_mm * (-1.0 if stood == "out" else 1.0)
    return now_mm - cover[0].value_mm


def _read(text: str) -> Reading:
    return read_quantity(text, default_source=None)[0]
