"""The page of the job file, read off the declaration of its tables."""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from typing import Any, Literal, get_args, get_origin

from pydantic import BaseModel, PlainValidator
from pydantic.fields import FieldInfo

from standoff.bar.materials import MATERIALS
from standoff.job.bar_tables import SUPPORT_KINDS
from standoff.job.checks import KEYS_OF_KIND
from standoff.job.field import Kind, kind_of
from standoff.job.keys import NOT_NEGATIVE, SIGNED, extra, keys, table_of
from standoff.job.names import STATION_NAMES
from standoff.job.tables import JobFile, NoseTable
from standoff.magnitude import UNITS
from standoff.reading import SOURCES, TAPE_LIMITS, TapeClass

ONLY_SLIDING = ("lathe.z_forward", "lathe.modes")
SIGNS = {NOT_NEGATIVE: "0 or more", SIGNED: "may be negative"}

HEAD = """\
# The job file

A TOML file with one lathe and one bar loader. `standoff new my-job.toml` writes one to fill in, `standoff check my-job.toml`
names every error in it. The figures below are examples; the machines are invented.

## Lengths

A length is text with its unit, as it was read: `"22 in"`, `"12 ft 6 1/2 in"`, `"12' 6-1/2\\""`, `"558.8 mm"`, `"3.66 m"`. A
decimal comma is read as a point; a comma with exactly three digits after it (`1,200 mm`) is refused, since it can be meant either
way. The sign goes with the whole: `-2 1/2 in` is two and a half inches to the negative side. A number without a unit is refused,
0 too.

How well a length is known is said in one of these ways:

| written | means |
| --- | --- |
| `"22 in"` | the usual source of that key (see its table) |
| `{ value = "22 in", source = "rule" }` | the limits of error of that source |
| `"22 in ± 1/16 in"`, or `{ value = "22 in", uncertainty = "1/16 in" }` | limits of error: surely within 1/16 in either way |
| `{ value = "22 in", standard_uncertainty = "1 mm" }` | a standard uncertainty, from a statement or a certificate |
| `[{ ... }, { ... }]` | the same thing read more than once: the first counts, the others check it |

`note` and `when` may stand in the same table. Exact lengths are a choice, not a reading; they have no limits of error unless some
are given.

| source | what it is | limits of error |
| --- | --- | --- |
"""

MAGNITUDES = """\
## Speeds, forces, masses and the like

They are text with a unit too, as strict as lengths: `"3000 rpm"`, `"9 lbf"`, `"0,8 kg"`. A number alone, another spelling of the
unit and a comma with exactly three digits after it (`1,200 rpm`) are refused. Only a slope may be negative. Shares and factors
are bare numbers: `whip_share = 0.5`.

| what | units |
| --- | --- |
"""


def job_file_page() -> str:
    """Notation, sources, every table with its keys, and the stations."""
    sources = "\n".join(f"| `{s.name}` | {s.meaning} | {_limits(s.tape_class, s.allowance_mm)} |" for s in SOURCES.values())
    units = "\n".join(f"| {kind.value[0]} | {', '.join(f'`{unit}`' for unit in known)} |" for kind, known in UNITS.items())
    stations = "\n".join(f"| `{name}` | {meaning} |" for name, meaning in STATION_NAMES.items())
    materials = "\n".join(
        f"| `{m.name}` | {m.density_kg_m3:g} kg/m3 | {m.modulus_mpa / 1000.0:g} GPa | {m.source} |" for m in MATERIALS.values()
    )
    supports = "\n".join(f"| `{kind}` | {usual} | {does} |" for kind, (usual, does) in SUPPORT_KINDS.items())
    tables = "\n".join(_section(header, path, table) for header, path, table in _tables())
    return f"""\
{HEAD}{sources}

The tape's part is the error that class II of Directive 2014/32/EU, Annex X, allows; the rest is our choice.

{MAGNITUDES}{units}

## Tables

{tables}
## Materials

These are known by name; any other needs its density and modulus.

| material | density | Young's modulus | source |
| --- | --- | --- | --- |
{materials}

## Kinds of support

Where no stiffness is stated, the usual one of its kind is taken (common practice, no published source); of a tube or channel it
is for each 100 mm.

| kind | stiffness | what it does |
| --- | --- | --- |
{supports}

## Stations

The points between which a check or a return reading is taken. `from` is the one farther back, `to` the one farther forward; the
other way round the value is negative.

| station | where |
| --- | --- |
{stations}
"""


def _limits(tape_class: TapeClass | None, allowance_mm: float) -> str:
    if tape_class is None:
        return f"± {allowance_mm:g} mm"
    tape = TAPE_LIMITS[tape_class]
    return f"± ({tape.a_mm:g} mm + {tape.b_mm_per_m:g} mm per started metre, and {allowance_mm:g} mm for reading)"


def _tables() -> Iterator[tuple[str, str, type[BaseModel]]]:
    """Every table: its header in the file, the path of one, its declaration."""
    yield "", "", JobFile
    yield from _below(JobFile, "", "")


def _below(table: type[BaseModel], header: str, path: str) -> Iterator[tuple[str, str, type[BaseModel]]]:
    for key, _, _ in keys(table):
        inner = table_of(table, key)
        if inner is table:
            continue
        name = f"{header}.{key}" if header else key
        place = f"{path}.{key}" if path else key
        rows = kind_of(place) is Kind.ROWS
        place = f"{place}[0]" if rows else place
        yield f"[[{name}]]" if rows else f"[{name}]", place, inner
        yield from _below(inner, name, place)


def _section(header: str, path: str, table: type[BaseModel]) -> str:
    rows = [
        _row(key, f"{path}.{key}" if path else key, table, field)
        for key, _, field in keys(table)
        if table_of(table, key) is table
    ]
    if table is JobFile:
        title, meaning = "At the top", ""
    else:
        title, meaning = f"`{header}`", f"{(table.__doc__ or '').splitlines()[0]}\n\n"
    needed = _table_needed(header)
    head = "| key | value | must be there | meaning | example |\n| --- | --- | --- | --- | --- |\n"
    return f"### {title}\n\n{meaning}{needed}{head}" + "\n".join(rows) + "\n"


def _table_needed(header: str) -> str:
    needed = {f"[{key}]" for key, _, field in keys(JobFile) if extra(field).get("required")}
    if header == "[[lathe.modes]]":
        return "Must be there for a sliding headstock; a fixed one has none.\n\n"
    return "" if not header or header in needed else "May be left out.\n\n"


def _row(key: str, path: str, table: type[BaseModel], field: FieldInfo) -> str:
    said = extra(field)
    examples = ", ".join(f"`{_typed(example, path)}`" for example in said["examples"] if example != said.get("default_text"))
    return f"| `{key}` | {_value(path, field)} | {_needed(key, path, table, said)} | {field.description} | {examples} |"


def _needed(key: str, path: str, table: type[BaseModel], said: dict[str, Any]) -> str:
    if said["required"]:
        return "yes"
    if path in ONLY_SLIDING:
        return "for a sliding headstock"
    kind = next((kind for kind, its in KEYS_OF_KIND.items() if table is NoseTable and key in its), None)
    if kind is not None:
        return f"for a {kind} nose"
    return f"no: `{said['default_text']}`" if "default_text" in said else "no"


def _value(path: str, field: FieldInfo) -> str:
    kind = kind_of(f"{path}[0]" if path == "loader.centre_height" else path)
    if kind is Kind.WORDS:
        read = _reader(field)
        if read is not None and "kind" in read.keywords:
            return f"{read.keywords['kind'].value[0]} with its unit"
        words = [word for part in _parts(field.annotation) if get_origin(part) is Literal for word in get_args(part)]
        return ", ".join(f"`{word}`" for word in words) if words else "text"
    if kind in (Kind.NUMBER, Kind.FLAG):
        return str(kind.value)
    sign = SIGNS.get(extra(field)["sign"], "above 0")
    several = {Kind.RANGE_END: "two lengths", Kind.QUANTITIES: "a list of lengths"}.get(kind, "length")
    return f"{several}, {sign}; {_usual(field)}"


def _usual(field: FieldInfo) -> str:
    """How a length is taken to have been read where that is not said."""
    read = _reader(field)
    return str((read.keywords["default_source"] if read is not None else None) or "exact")


def _reader(field: FieldInfo) -> partial[Any] | None:
    """What reads the text of a key; None where nothing does."""
    parts = (*field.metadata, *_parts(field.annotation))
    readers = (part.func for part in parts if isinstance(part, PlainValidator))
    return next((read for read in readers if isinstance(read, partial)), None)


def _typed(example: str, path: str) -> str:
    """An example as it stands in a file: text in quotes, the rest bare."""
    bare = example.startswith("[") or kind_of(path) in (Kind.NUMBER, Kind.FLAG)
    return example if bare else f'"{example}"'


def _parts(annotation: Any) -> Iterator[Any]:
    """Everything an annotation is put together from, and what is attached to it."""
    yield annotation
    for part in get_args(annotation):
        if get_origin(annotation) is not Literal:
            yield from _parts(part)
    for part in getattr(annotation, "metadata", ()):
        yield from _parts(part)
