"""The job file: read, every error at once, and the job built from it.

Two passes. The tables judge each value by itself; what they refuse is taken out and noted. The draft that is left is judged
as a whole (`job.checks`): keys that are missing, values that contradict one another. Only a draft without a single problem
becomes a job.
"""

from __future__ import annotations

import math
import re
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date, time
from difflib import get_close_matches
from functools import reduce
from operator import getitem
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ValidationError

from standoff.bar.section import Section, Shape
from standoff.catalogue.lathe import Lathe
from standoff.catalogue.loader import Loader
from standoff.catalogue.nose import Nose
from standoff.catalogue.pair import pair
from standoff.catalogue.passage import Passage, Thick
from standoff.errors import JobFileError, MissingFileError, Problem, QuantityError, shown, write_instead
from standoff.job.checks import contradictions, missing_keys
from standoff.job.further import further_problems
from standoff.job.job import Job
from standoff.job.keys import keys, table_of
from standoff.job.lines import key_lines, line_of
from standoff.job.tables import FORMAT, JobFile, RulesTable, default_readings, surveyed
from standoff.reading import rectangular_u_mm

LARGEST_BYTES = 1_000_000
DEEPEST = 20
"""Tables and lists nested deeper than this are cut off: no key of a job file lies half as deep."""

NEAR = 0.7
"""How alike an unknown key must be to one it may stand for, as in the advice an error gives."""

Place = tuple[int | str, ...]
"""A place in nested tables and lists: keys and indices."""


def read_job(path: Path) -> Job:
    """The job in a file; raises MissingFileError, or JobFileError with every problem."""
    return parse_job(file_text(path), file=str(path))


def file_text(path: Path) -> str:
    """The text of a job file; a byte-order mark is dropped."""
    try:
        with path.open("rb") as opened:
            raw = opened.read(LARGEST_BYTES + 1)
    except (OSError, ValueError) as error:  # ValueError: a name no file can have
        raise MissingFileError(str(path)) from error
    return decoded(raw, file=str(path))


def decoded(raw: bytes, *, file: str) -> str:
    """The text of a job file's bytes; a byte-order mark is dropped. Raises JobFileError where it is too large or not UTF-8."""
    if len(raw) > LARGEST_BYTES:
        expected = f"at most {LARGEST_BYTES} bytes"
        raise _refused(file, "file-too-large", "a larger file", expected, "give a job file")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        found = f"a character that is not UTF-8 (byte {error.start + 1} of the file)"
        raise _refused(file, "file-encoding", found, "UTF-8 text", "save the file as UTF-8", line=line) from error


def _refused(file: str, code: str, found: str, expected: str, action: str, *, line: int | None = None) -> JobFileError:
    return JobFileError([Problem(code, file, line, "", found, expected, action)])


def parse_job(text: str, *, file: str = "") -> Job:
    """The job in a text; raises JobFileError with every problem, each with its line where it can be located."""
    draft, problems = read_draft(text, file=file)
    if problems or draft is None:
        raise JobFileError(problems)
    return build_job(draft)


def placed(error: JobFileError, path: Path) -> JobFileError:
    """The error of what a job file does not answer, each problem with the file and its line; one that names a file stays."""
    if all(problem.file for problem in error.problems):
        return error
    lines = key_lines(file_text(path))
    found = [p if p.file else replace(p, file=str(path), line=p.line or line_of(p.field, lines)) for p in error.problems]
    return JobFileError(found)


def read_draft(text: str, *, file: str = "") -> tuple[JobFile | None, list[Problem]]:
    """The readable part of a job file, and everything that is wrong with it, in the order of the file."""
    raw = read_tables(text, file=file)
    if isinstance(raw, Problem):
        return None, [raw]
    draft, problems = draft_of(raw)
    lines = key_lines(text)
    placed = [Problem(p.code, file, line_of(p.field, lines), p.field, p.found, p.expected, p.action) for p in problems]
    return draft, sorted(placed, key=lambda p: (p.line or 0, p.field))


def draft_of(raw: dict[str, Any]) -> tuple[JobFile, list[Problem]]:
    """The readable part of a job file's tables, and everything that is wrong with them, each once."""
    problems = _version(raw)
    draft, found, refused = _judged(raw)
    if not (problems and problems[0].code == "file-newer"):
        problems += [p for p in found if not (problems and p.field == "format")]
        problems += missing_keys(draft, refused)
        problems += contradictions(draft, refused)
        problems += [problem for problem in further_problems(draft) if problem.field not in refused]
    return draft, list({(p.code, p.field): p for p in problems}.values())


def read_tables(text: str, *, file: str = "") -> dict[str, Any] | Problem:
    """The tables of a text, or why it is no TOML."""
    try:
        raw: dict[str, Any] = _plain(tomllib.loads(text.removeprefix("\ufeff")))
    except tomllib.TOMLDecodeError as error:
        message, _, place = str(error).partition(" (at ")
        found = re.fullmatch(r"line ([0-9]+), .*", place)
        line = int(found[1]) if found else text.rstrip().count("\n") + 1
        return _no_toml(file, line, message[:1].lower() + message[1:])
    except ValueError:
        return _no_toml(file, None, "a number without end")
    except RecursionError:
        return _no_toml(file, None, "brackets within brackets without end")
    return raw


def _no_toml(file: str, line: int | None, message: str) -> Problem:
    found = f"what TOML cannot read ({message})"
    return Problem("file-syntax", file, line, "", found, "a TOML file", "mend this line; text stands in quotes")


def _plain(value: Any, depth: int = 0) -> Any:
    """The value without what no key takes and no message could show: numbers beyond TOML's 64 bits, endless nesting."""
    if depth > DEEPEST:
        return "..."
    if isinstance(value, dict):
        return {key: _plain(element, depth + 1) for key, element in value.items()}
    if isinstance(value, list):
        return [_plain(element, depth + 1) for element in value]
    return math.inf if isinstance(value, int) and abs(value) >= 2**63 else value


def _version(raw: Mapping[str, Any]) -> list[Problem]:
    """A format this program does not know: a newer one of ours, or something else."""
    given = raw.get("format", FORMAT)
    if given == FORMAT:
        return []
    name, _, number = FORMAT.rpartition("/")
    newer = re.fullmatch(rf"{name}/([1-9][0-9]*)", given) if isinstance(given, str) else None
    if newer and (len(newer[1]), newer[1]) > (len(number), number):
        action = "install a newer version of the program"
        return [Problem("file-newer", "", None, "format", shown(given), FORMAT, action)]
    return [Problem("file-format", "", None, "format", _as_written(given), FORMAT, f'write format = "{FORMAT}"')]


def _judged(raw: dict[str, Any]) -> tuple[JobFile, list[Problem], set[str]]:
    """The draft with whatever the tables refuse taken out, what was refused, and the fields that say nothing more."""
    problems: list[Problem] = []
    refused: set[str] = set()
    while True:
        try:
            return JobFile.model_validate(raw), problems, refused
        except ValidationError as error:
            details = error.errors(include_url=False)
            problems += [_told(detail) for detail in details]
            places = [_whole(detail) for detail in details]
            refused |= {field_path(place) for place in (*places, *_meant(raw, details))}
            raw = _without(raw, places)


def _whole(detail: Any) -> Place:
    """The place of what is taken out: a range of quantities goes as a whole, since what is left of it is none."""
    place: Place = detail["loc"]
    return place[:-1] if detail["type"] == "value_error" and isinstance(place[-1], int) else place


def _meant(raw: Any, details: Sequence[Any]) -> Iterator[Place]:
    """The keys that unknown ones are near to and stand for: they are misspelt, and not missing besides."""
    for detail in details:
        if detail["type"] == "extra_forbidden":
            *way, key = detail["loc"]
            table = reduce(getitem, way, raw)
            for near in get_close_matches(str(key).lower(), _known_keys(detail["loc"]), n=1, cutoff=NEAR):
                if near not in table:
                    yield (*way, near)


def _without(raw: Any, places: Sequence[Place]) -> Any:
    """A copy of nested tables and lists without the values at these places."""
    below: dict[int | str, list[Place]] = {}
    for place in places:
        below.setdefault(place[0], []).append(place[1:])

    def left(key: int | str, value: Any) -> Any:
        return _without(value, below[key]) if key in below else value

    gone = {key for key, rests in below.items() if () in rests}
    if isinstance(raw, dict):
        return {key: left(key, value) for key, value in raw.items() if key not in gone}
    # A refused element would move those behind it to another index: an empty table stands in for it.
    return [{} if i in gone else left(i, value) for i, value in enumerate(raw)]


def field_path(place: Place) -> str:
    """A place in nested tables as it is named everywhere: `lathe.modes[1].z_front`."""
    return "".join(f"[{part}]" if isinstance(part, int) else f".{part}" for part in place).removeprefix(".")


def _told(detail: Any) -> Problem:
    """One refusal of the tables as a problem."""
    field, kind, given = field_path(detail["loc"]), detail["type"], detail["input"]
    original = detail.get("ctx", {}).get("error")
    if isinstance(original, QuantityError):
        return original.problem(field=field)
    if kind == "extra_forbidden":
        action = write_instead(str(detail["loc"][-1]), _known_keys(detail["loc"]))
        return Problem("key-unknown", "", None, field, "an unknown key", "a key of this table", action)
    if kind == "literal_error":
        expected = detail["ctx"]["expected"].replace("'", '"')
        if field.endswith(".shape"):
            action = "ask the makers: a flat or D-shaped bar bends unequally, has two whip speeds, and is not judged here"
            return Problem("value-choice", "", None, field, _as_written(given), expected, action)
        return Problem("value-choice", "", None, field, _as_written(given), expected, "write one of these")
    if kind == "list_type" and _holds_no_table(detail["loc"]):
        kind = "list_of_lengths"
    expected, action = _EXPECTED.get(kind, _ANOTHER_KIND)
    expected = expected.format(**detail.get("ctx", {}))
    return Problem("value-kind", "", None, field, _as_written(given), expected, action.format(field=field))


_EXPECTED = {
    "string_type": ("text", "write it in quotes"),
    "string_too_short": ("text that is not empty", "write a name"),
    "string_too_long": ("at most 200 characters", "shorten it"),
    "string_pattern_mismatch": ("one line of text", "write a name, without line breaks and control characters"),
    "model_type": ("a table", "write it as [{field}] with its keys below it"),
    "list_type": ("a list of tables", "write it as [[{field}]] with its keys below it, once for each"),
    "list_of_lengths": ("a list of lengths", 'write it in square brackets, such as ["38 in", "44 in"]'),
    "float_type": ("a number", "write it without quotes and without a unit"),
    "int_type": ("a whole number", "write it in digits alone, without quotes"),
    "greater_than_equal": ("a number of {ge:g} or more", "check its sign"),
    "greater_than": ("a number above {gt:g}", "check its sign"),
    "less_than": ("a number below {lt:g}", "check it: 95 of 100 is 0.95, not 95"),
    "less_than_equal": ("a number of at most {le:g}", "check it: half is 0.5, not 50"),
    "finite_number": ("a number", "write the amount"),
    "bool_type": ("true or false", "write one of them, without quotes"),
    "too_short": ("two values", 'write the lowest and the highest, such as ["38 in", "44 in"]'),
    "too_long": ("two values", 'write the lowest and the highest, such as ["38 in", "44 in"]'),
}
"""What a value of another kind should have been, and what to write."""

_ANOTHER_KIND = ("a value of another kind", "see the reference of the job file")


def _as_written(given: Any) -> str:
    """A value as it stands in a file, where a program would show it otherwise."""
    if isinstance(given, bool):
        return str(given).lower()
    if isinstance(given, date | time):
        return given.isoformat()
    if isinstance(given, dict):
        return "a table"
    if isinstance(given, list):
        return f"a list of {len(given)}"
    return shown(given)


def _holds_no_table(place: Place) -> bool:
    """Whether the key at a place takes values rather than tables."""
    table = _table_at(place)
    return table_of(table, str(place[-1])) is table


def _table_at(place: Place) -> type[BaseModel]:
    """The table in which a place lies."""
    table: type[BaseModel] = JobFile
    for part in place[:-1]:
        if isinstance(part, str):
            table = table_of(table, part)
    return table


def _known_keys(place: Place) -> list[str]:
    """The keys of the table in which a place lies."""
    return [key for key, _, _ in keys(_table_at(place))]


def build_job(draft: JobFile) -> Job:
    """The job of a draft without problems."""
    series = default_readings() | dict(surveyed(draft)) | {f"bars[{i}].size": bar.size for i, bar in enumerate(draft.bars)}
    readings = {path: values[0] for path, values in series.items()}
    lathe = Lathe(
        name=draft.lathe.name,
        sliding=draft.lathe.headstock == "sliding",
        z_sign=-1.0 if draft.lathe.z_forward == "negative" else 1.0,
        mode_names=tuple(mode.name for mode in draft.lathe.modes),
        readings=readings,
    )
    enters = "nose.entry_depth" in readings and readings["nose.entry_depth"].value_mm > 0.0
    telescopic = draft.nose.kind == "telescopic"
    layout = pair(
        lathe,
        Loader(draft.loader.name, readings),
        Nose(telescopic=telescopic, enters=enters, fittings=len(draft.fittings), readings=readings),
        Passage(tuple(bore.name for bore in draft.passage), readings, _thick(draft)),
        readings=readings,
        setting_u_mm=rectangular_u_mm(readings["rules.setting_uncertainty"].value_mm),
    )
    return Job(
        title=draft.job.title,
        site=draft.job.site or "",
        units=draft.job.units,
        lathe=draft.lathe.name,
        loader=draft.loader.name,
        sliding=lathe.sliding,
        telescopic=telescopic,
        crush_part=(draft.rules or RulesTable()).crush_part or "body",
        fittings=tuple(fitting.name for fitting in draft.fittings),
        layout=layout,
        tables=draft,
        repeats={path: values[1:] for path, values in series.items() if len(values) > 1},
    )


def _thick(draft: JobFile) -> tuple[Thick, ...]:
    """The bars as the passage sees them: over their corners."""
    corners = {shape.value: Section(shape, 1.0).across_corners_mm for shape in Shape}
    return tuple(Thick(bar.name, f"bars[{i}].size", corners[bar.shape]) for i, bar in enumerate(draft.bars))
