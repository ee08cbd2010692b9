"""The validation page: which published value or practice of the trade is checked where, read off the tests themselves.

A test says what it holds in its docstring, and its source in the comment above it (or above the constant before it).
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from pathlib import Path

HEAD = """\
# What is checked against what

## The accuracy we promise

| result | promise | held by |
| --- | --- | --- |
{promises}

The chance rests on a model: readings independent and normal. With readings that are equally likely anywhere within their limits
of error, what is called 9 in 10 or better came out not worse by more than 1 in 100; narrow windows come out safer than said.

## Published values and trade practice

Printed values stand in the tests as they were printed; the tolerance is half their last digit. Where a value was quoted from a
second hand or from memory, the source says so. "Common practice" has no published source: these are the defaults of the trade,
and the makers' figures win.
"""

PROMISES = (
    (
        "a length as typed",
        "exact: read as a fraction, an inch is 25.4 mm; what is written reads back as the same length",
        "test_units_roundtrip.py",
    ),
    (
        "each bound and its standard uncertainty",
        "within 1e-9 mm of the written formulas, worked out on plain numbers",
        "test_window.py",
    ),
    (
        "window, and sure window",
        "exact: the edges that a scan over a lattice finds (1e-9 mm), and a general solver (6e-6 mm, its own tolerance)",
        "test_window.py",
    ),
    ("aim", "the most secure standoff that a general solver finds, then rounded inside the window", "test_aim.py"),
    (
        "chance that everything holds",
        "to about 1 in 1000 (shown in two digits): agrees with a million samples of the readings",
        "test_confidence.py",
    ),
    (
        "remedies",
        "opens the window once the job file is changed so; the sets of fewest changes are those an exhaustive search finds",
        "test_remedies.py",
    ),
    (
        "lowest critical speed",
        "no mode below the figure: certified by counting modes, within 1e-6 of the model; 10 000 random bars agree with dense"
        " matrices, finite elements never below it",
        "test_bar_strangers.py",
    ),
    (
        "lowest critical speed, again",
        "an independent library of beams agrees to 1e-5 on several supports with springs, overhang and end mass",
        "test_bar_library.py",
    ),
    ("bow against the liner", "within half a per cent of the room, against full matrices", "test_bar_bow.py"),
    ("parts and lengths of a bar", "add up to the bar to 1e-9 mm; counts are those of cutting one by one", "test_bar_yields.py"),
    (
        "alignment",
        "the stated 95 % cover 94.7 to 95.3 % of 10 000 simulated loaders; shims are the exhaustive search's best",
        "test_levelling.py",
    ),
    (
        "gaps and clashes on the floor",
        "within 0.5 mm of a general optimiser; the stroke as near as the nearest of 200 single shifts",
        "test_floor.py",
    ),
    (
        "what a foot carries at the worst",
        "what a linear programme finds over all loads that only push; shared evenly, a quadratic programme agrees to 2e-4",
        "test_floor.py",
    ),
    (
        "alignment, through the job file",
        "what is left of simulated loaders lies within the stated 95 % as often as that says; of those called in line at least"
        " 95 of 100 are",
        "test_level_jobs.py",
    ),
    ("the same input", "the same bytes", "test_jobs.py"),
)
"""What is promised, and the property test that holds it on thousands of random jobs."""


def validation_page(folder: Path) -> str:
    """The promise, then one table for each file of published checks."""
    sections = [_section(path) for path in sorted(folder.glob("test_*.py"))]
    promises = "\n".join(f"| {result} | {promise} | `tests/property/{file}` |" for result, promise, file in PROMISES)
    return "\n".join([HEAD.format(promises=promises), *sections])


def _section(path: Path) -> str:
    text = path.read_text(encoding="utf-8")
    tree = ast.parse(text)
    rows = "\n".join(f"| {_cell(what)} | {_cell(source)} |" for what, source in _checks(tree, text.splitlines()))
    title = (ast.get_docstring(tree) or path.stem).split("\n")[0].rstrip(".")
    return f"### {title}\n\n`tests/published/{path.name}`\n\n| what is checked | against |\n| --- | --- |\n{rows}\n"


def _checks(tree: ast.Module, lines: list[str]) -> Iterator[tuple[str, str]]:
    """Each test with its one line and its source: the comment nearest above it."""
    source = ""
    for node in tree.body:
        first = min([node.lineno, *(d.lineno for d in getattr(node, "decorator_list", ()))])
        source = _comment_above(lines, first - 1) or source
        if isinstance(node, ast.FunctionDef) and node.name.startswith("test_"):
            yield ast.get_docstring(node) or node.name, source


def _comment_above(lines: list[str], end: int) -> str:
    """The block of comment lines that ends right above a line."""
    start = end
    while start > 0 and lines[start - 1].startswith("# "):
        start -= 1
    return " ".join(line.removeprefix("# ") for line in lines[start:end])


def _cell(text: str) -> str:
    """A text for a cell of a table."""
    return text.replace("|", "\\|").replace("\n", " ")
