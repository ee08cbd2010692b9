"""A field of the job file by its path (`lathe.modes[1].z_front`): what it takes, and what stands there.

The tables here are plain, as TOML yields them; `replaced` leaves the given ones as they were.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from enum import Enum
from typing import Any, get_args, get_origin

from pydantic import BaseModel, PlainValidator
from pydantic.fields import FieldInfo

from standoff.errors import UsageError
from standoff.job.keys import keys, table_of
from standoff.job.tables import JobFile
from standoff.reading import Reading

_PART = re.compile(r"\.?([A-Za-z0-9_-]+)|\[([0-9]{1,6})\]")
_FIELD = re.compile(rf"(?!\.)(?:{_PART.pattern})+")


class Kind(Enum):
    """What a field takes."""

    QUANTITY = "a quantity; `[1]` behind its path is its second reading"
    RANGE_END = "an end of a range: `[0]` the lowest, `[1]` the highest"
    QUANTITIES = "a list of quantities"
    WORDS = "text, or a word to choose"
    NUMBER = "a number"
    FLAG = "true or false"
    TABLE = "a table"
    ROW = "one table of a list"
    ROWS = "a list of tables"


def way_to(field: str) -> list[int | str]:
    """The keys and indices of a field path; raises UsageError for what is no path."""
    if not _FIELD.fullmatch(field):
        raise UsageError(
            what="field", given=f'"{field}"', allowed="a path such as lathe.modes[1].z_front", action="mend the path"
        )
    return [int(part[2]) if part[2] else part[1] for part in _PART.finditer(field)]


def kind_of(field: str) -> Kind:
    """What a field takes; raises UsageError for one the job file does not have."""
    table: type[BaseModel] = JobFile
    way = way_to(field)
    while way:
        key = way.pop(0)
        index = way[0] if way and isinstance(way[0], int) else None
        way = way if index is None else way[1:]
        info = next((info for name, _, info in keys(table) if name == key), None)
        if info is None:
            break
        below = table_of(table, str(key))
        if below is table:
            kind = _kind_of_value(info, index)
            if way or kind is None:
                break
            return kind
        rows = list in _parts(info.annotation)
        if index is not None and not rows:
            break
        if not way:
            return Kind.TABLE if not rows else Kind.ROWS if index is None else Kind.ROW
        if rows and index is None:
            break
        table = below
    raise UsageError(what="field", given=field, allowed="a field of the job file", action="mend the path")


def _kind_of_value(info: FieldInfo, index: int | None) -> Kind | None:
    parts = list(_parts(info.annotation))
    if Reading in parts and list in parts:
        ranged = any(isinstance(part, FieldInfo) and part.metadata for part in parts)
        if ranged:
            return Kind.RANGE_END if index in (0, 1) else None
        return Kind.QUANTITIES if index is None else None
    if Reading in parts:
        return Kind.QUANTITY
    if index is not None:
        return None
    if any(isinstance(part, PlainValidator) for part in (*parts, *info.metadata)):
        return Kind.WORDS  # a magnitude: typed with its unit
    return Kind.NUMBER if float in parts or int in parts else Kind.FLAG if bool in parts else Kind.WORDS


def _parts(annotation: Any) -> Iterator[Any]:
    """Everything an annotation is put together from."""
    yield get_origin(annotation) or annotation
    for part in get_args(annotation):
        yield from _parts(part)


def has(place: Any, part: int | str) -> bool:
    """Whether a table has a key, or a list an element."""
    if isinstance(part, int):
        return isinstance(place, list) and part < len(place)
    return isinstance(place, dict) and part in place


def value_at(raw: Any, field: str) -> Any:
    """The value at a field, None where there is none."""
    for part in way_to(field):
        if not has(raw, part):
            return None
        raw = raw[part]
    return raw


def replaced(raw: Any, field: str, value: object) -> Any:
    """The tables with the value at a field set, or (None) taken out; raises UsageError for an index beyond the next."""
    return _replaced(raw, way_to(field), value, field)


def _replaced(place: Any, way: list[int | str], value: object, field: str) -> Any:
    part, *rest = way
    if value is None and not has(place, part):
        return place
    old = place[part] if has(place, part) else [] if rest and isinstance(rest[0], int) else {}
    new = _replaced(old, rest, value, field) if rest else value
    if isinstance(part, str) and isinstance(place, dict):
        others = {key: element for key, element in place.items() if new is not None or key != part}
        return others if new is None else {**others, part: new}
    if isinstance(part, int) and isinstance(place, list) and part <= len(place):
        return [*place[:part], *([] if new is None else [new]), *place[part + 1 :]]
    raise UsageError(what="field", given=field, allowed="the next entry of a list", action="add the entries in their order")
