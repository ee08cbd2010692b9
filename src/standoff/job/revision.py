"""Writing back: a value of a job file changed with everything else in it, comments included, left as it was."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from itertools import pairwise
from typing import Any

import tomlkit
from tomlkit.exceptions import ParseError, TOMLKitError
from tomlkit.items import AoT, Array

from standoff.errors import JobFileError, Problem, UsageError
from standoff.job.field import has, way_to

_TIGHT = re.compile(r"^(?!#)(\S.*\n)(?=\[)", re.MULTILINE)
"""A line with a table's header right below it: where a file has none, a new table is set apart by an empty line too."""


def revised(text: str, values: Mapping[str, object]) -> str:
    """The text of a job file with these fields (`lathe.modes[1].z_front`) set; None removes one. Missing tables are made.

    Raises: JobFileError for a text that is not TOML; UsageError for a field that can have no place in it.
    """
    body = text.removeprefix("\ufeff")
    try:
        document = tomlkit.parse(body)
    except TOMLKitError as error:
        line = error.line if isinstance(error, ParseError) else None
        found = f"what TOML cannot read ({error})"
        raise JobFileError([Problem("file-syntax", "", line, "", found, "a TOML file", "mend this line")]) from error
    for field, value in values.items():
        if value is None:
            _remove(document, field)
        else:
            _set(document, field, value)
    result = tomlkit.dumps(document)
    if not _TIGHT.search(body):
        result = _TIGHT.sub(r"\1\n", result)
    if body.count("\r\n") == body.count("\n") > 0:
        result = re.sub(r"(?<!\r)\n", "\r\n", result)
    return text[: len(text) - len(body)] + result


def _remove(document: Any, field: str) -> None:
    """Take a key or an element out; what is not there stays away, and so do its tables."""
    *way, last = way_to(field)
    place = document
    for part in way:
        if not has(place, part):
            return
        place = place[part]
    if has(place, last):
        del place[last]
    if way and isinstance(place, AoT) and not place:
        _remove(document, field[: field.rindex("[")])


def _set(document: Any, field: str, value: object) -> None:
    """Set a value; the comment behind the old one stays, which the document sees to."""
    way = way_to(field)
    place = document
    for part, following in pairwise(way):
        if not has(place, part):
            _put(place, part, _container(place, following), field)
        place = place[part]
    last = way[-1]
    _put(place, last, _item(value, in_line=place is not document and not isinstance(place, AoT)), field)


def _container(place: Any, following: int | str) -> Any:
    """What is made where a table or list is missing: within a list on one line, an empty table on that line."""
    if isinstance(place, Array):
        return tomlkit.inline_table()
    return tomlkit.aot() if isinstance(following, int) else tomlkit.table()


def _put(place: Any, part: int | str, item: Any, field: str) -> None:
    """Set a key of a table or an element of a list; the next element is appended."""
    if isinstance(part, str) and isinstance(place, dict):
        place[part] = item
    elif isinstance(part, int) and isinstance(place, list) and part <= len(place):
        if part < len(place):
            place[part] = item
        else:
            place.append(item)
    elif isinstance(part, int) and isinstance(place, list):
        action = "add the entries in their order"
        raise UsageError(what="field", given=field, allowed=f"an index up to {len(place)}", action=action)
    else:
        kind = "a list" if isinstance(part, int) else "a table"
        raise UsageError(what="field", given=field, allowed=f"{kind} above {part}", action="name a field of the job file")


def _item(value: object, *, in_line: bool) -> Any:
    """A value as TOML, tables and lists on one line unless they stand at the top of the file."""
    return tomlkit.value(_written(value)) if in_line else tomlkit.item(value)


def _written(value: object) -> str:
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{key} = {_written(element)}" for key, element in value.items()) + " }"
    if isinstance(value, Sequence) and not isinstance(value, str):
        return "[" + ", ".join(_written(element) for element in value) + "]"
    return str(tomlkit.item(value).as_string())
