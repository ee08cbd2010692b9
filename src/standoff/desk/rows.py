"""Entries of a list of tables, which move up when one before them is taken away: where they are, and what they hold."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Any

from standoff.desk.entry import Entry, typed_as
from standoff.desk.sheet import Sheet
from standoff.job.field import value_at


def place_now(field: str, happened: Iterable[str]) -> str:
    """Where a field stands after these changes; empty where its entry of a list was taken away."""
    for what in happened:
        gone = re.fullmatch(r"remove (.+)\[([0-9]+)\]", what)
        if gone is None or not field.startswith(f"{gone[1]}["):
            continue
        index, rest = field[len(gone[1]) + 1 :].split("]", 1)
        if int(index) == int(gone[2]):
            return ""
        if int(index) > int(gone[2]):
            field = f"{gone[1]}[{int(index) - 1}]{rest}"
    return field


def everything_at(sheet: Sheet, row: str) -> tuple[Any, dict[str, Entry]] | None:
    """What a table holds, and what waits in it; None where it is not there."""
    value = value_at(sheet.raw, row)
    waiting = {name: entry for name, entry in sheet.waiting.items() if name.startswith(f"{row}.")}
    return None if value is None and not waiting else (value, waiting)


def listed(everything: tuple[Any, dict[str, Entry]]) -> str:
    """What a table holds, in one line."""
    value, waiting = everything
    told = {name: typed_as(shown).text for name, shown in (value or {}).items()}
    told |= {name.rpartition(".")[2]: entry.text for name, entry in waiting.items()}
    return ", ".join(f"{name} = {shown}" for name, shown in told.items())
