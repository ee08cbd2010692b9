"""A job file to fill in, every key explained: written from the declaration of the tables, so that it cannot fall behind it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from pydantic import BaseModel

from standoff.job.checks import KEYS_OF_KIND
from standoff.job.tables import (
    FORMAT,
    BarPathTable,
    FittingTable,
    JobTable,
    LatheTable,
    LoaderTable,
    ModeTable,
    NoseTable,
    PassageTable,
    RulesTable,
    extra,
    keys,
)
from standoff.units import Units

Headstock = Literal["sliding", "fixed"]

_HEAD = """\
# A job file: one lathe, one bar loader. Fill in your own figures; every one below is an example.
# Lengths are typed as read: "22 in", "12 ft 6 1/2 in", "558.8 mm". How one was read may be added:
#   { value = "22 in", source = "tape" }   sources: tape, sighted, rule, caliper, laser, control, manual, drawing, estimate
#   "8 in ± 1/16 in"                       or with limits of error of your own
# A line that begins with # is optional: remove the # to use it. The makers' manuals win over every default.
"""


def template(headstock: Headstock, units: Units) -> str:
    """The text of a job file with examples for that kind of headstock, in inches or millimetres."""
    kind = "telescopic" if headstock == "sliding" else "fixed"
    chosen = {"units": units, "headstock": headstock, "kind": kind}
    tables: list[tuple[str, type[BaseModel], bool]] = [
        ("[job]", JobTable, False),
        ("[lathe]", LatheTable, False),
        ("[[lathe.modes]]", ModeTable, headstock == "fixed"),
        ("[loader]", LoaderTable, False),
        ("[nose]", NoseTable, False),
        ("[[fittings]]", FittingTable, True),
        ("[[passage]]", PassageTable, True),
        ("[bar_path]", BarPathTable, True),
        ("[rules]", RulesTable, True),
    ]
    blocks = [_HEAD, f'format = "{FORMAT}"\n']
    for header, table, optional in tables:
        if header == "[[lathe.modes]]" and headstock == "fixed":
            continue
        lines = [f"{'# ' if optional else ''}{header}", *_lines(table, chosen, units, optional=optional)]
        blocks.append(f"# {_meaning(table)}\n" + "\n".join(lines) + "\n")
    return "\n".join(blocks)


_BLANK = """\
format = "{format}"

[job]

[lathe]
{modes}
[loader]

[nose]
"""


def blank(headstock: Headstock) -> str:
    """The text of a job file without a value: only the tables in which they will stand."""
    return _BLANK.format(format=FORMAT, modes="\n[[lathe.modes]]\n" if headstock == "sliding" else "")


def _meaning(table: type[BaseModel]) -> str:
    return (table.__doc__ or "").split("\n")[0]


def _lines(table: type[BaseModel], chosen: dict[str, str], units: Units, *, optional: bool) -> Iterator[str]:
    kind, headstock = chosen["kind"], chosen["headstock"]
    other_kind = {key for name, keys in KEYS_OF_KIND.items() if name != kind for key in keys}
    for key, _, field in keys(table):
        said = extra(field)
        if not said or (table is NoseTable and key in other_kind) or (key == "z_forward" and headstock == "fixed"):
            continue
        needed = said.get("required") or key in KEYS_OF_KIND[kind] or key == "z_forward"
        example = chosen.get(key) or _example(said["examples"], units)
        value = example if example.startswith("[") else f'"{example}"'
        mark = "" if needed and not optional else "# "
        yield f"{mark}{key} = {value}".ljust(42) + f"  # {field.description}"


def _example(examples: tuple[str, ...], units: Units) -> str:
    """The example in the wanted units; a rule's default comes first and serves both."""
    return next((e for e in examples if units == "mm" and e.endswith((" mm", " m", 'mm"]'))), examples[0])
