"""Where in the text of a TOML file a key stands: good enough to point a person at a line, silent where it cannot tell."""

from __future__ import annotations

import re
from collections.abc import Mapping

_TABLE = re.compile(r"^\s*\[\s*([A-Za-z0-9_.\-\s]+?)\s*\]")
_ARRAY = re.compile(r"^\s*\[\[\s*([A-Za-z0-9_.\-\s]+?)\s*\]\]")
_KEY = re.compile(r"^\s*([A-Za-z0-9_.\-]+)\s*=")
_FENCE = re.compile('"""|' + "'''")


def key_lines(text: str) -> Mapping[str, int]:
    """Line of every table header and plain key, by field path such as `lathe.modes[1].z_front`; lines count from 1.

    A list of tables also goes by its bare name: the line of its first header.
    """
    lines: dict[str, int] = {}
    counts: dict[str, int] = {}
    table, fenced = "", False
    for number, line in enumerate(text.split("\n"), start=1):
        inside = fenced
        fenced ^= len(_FENCE.findall(line)) % 2 == 1
        if inside:
            continue
        header = _ARRAY.match(line)
        if header:
            name = _with_index(header[1].replace(" ", ""), counts)
            counts[name] = counts.get(name, -1) + 1
            table = f"{name}[{counts[name]}]"
            lines.setdefault(name, number)
            lines.setdefault(table, number)
        elif header := _TABLE.match(line):
            table = _with_index(header[1].replace(" ", ""), counts)
            lines.setdefault(table, number)
        elif key := _KEY.match(line):
            lines.setdefault(f"{table}.{key[1]}" if table else key[1], number)
    return lines


def _with_index(name: str, counts: Mapping[str, int]) -> str:
    """The path of a table below the last element of an array of tables."""
    parent, dot, last = name.rpartition(".")
    return f"{parent}[{counts[parent]}]{dot}{last}" if parent in counts else name


def line_of(field: str, lines: Mapping[str, int]) -> int | None:
    """The line of a field, else of the nearest table or key it stands in, None where none is found."""
    while field and field not in lines:
        field = field[: max(field.rfind("."), field.rfind("["), 0)]
    return lines.get(field)
