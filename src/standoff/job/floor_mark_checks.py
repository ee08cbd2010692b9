"""What the tables of feet, masses and marks must satisfy: feet that can bear, a mass that stays, a baseline of two points."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import combinations

import numpy as np

from standoff.errors import Problem, write_instead
from standoff.job.floor_tables import FloorFootTable, MarkoutTable
from standoff.job.tables import JobFile
from standoff.site.feet import FEWEST, MOST
from standoff.units import ON_STEP_MM

IN_LINE_MM = 1.0
"""Feet whose spread across their line is less than this stand in one line."""


def mark_problems(draft: JobFile) -> Iterator[Problem]:
    """Everything wrong in the tables of feet, masses, reference points and marks."""
    yield from _feet(draft)
    yield from _loads(draft)
    if draft.markout is not None:
        yield from _baseline(draft, draft.markout)
        yield from _axis(draft.markout)
    yield from _marks(draft)


def _problem(code: str, field: str, found: str, expected: str, action: str) -> Problem:
    return Problem(code, "", None, field, found, expected, action)


def _placed(feet: list[FloorFootTable]) -> list[tuple[int, float, float]]:
    return [(i, foot.behind[0].value_mm, foot.left[0].value_mm) for i, foot in enumerate(feet) if foot.behind and foot.left]


def _feet(draft: JobFile) -> Iterator[Problem]:
    """Three feet at least, at most as many as are reckoned with, apart and not in one line."""
    placed = _placed(draft.floor_feet)
    apart = True
    for (_, x_mm, y_mm), (j, other_x_mm, other_y_mm) in combinations(placed, 2):
        if math.hypot(other_x_mm - x_mm, other_y_mm - y_mm) <= ON_STEP_MM:
            apart = False
            found = "the place of another foot"
            yield _problem("place-twice", f"floor_feet[{j}].behind", found, "a place of its own", "measure both feet again")
    count = len(draft.floor_feet)
    if draft.floor_loads and count and not FEWEST <= count <= MOST:
        action = "list every foot that bears" if count < FEWEST else "leave out those that only steady it"
        yield _problem("feet-count", "floor_feet", str(count), f"{FEWEST} to {MOST} feet", action)
    elif apart and len(placed) == count >= FEWEST and _in_line([(x_mm, y_mm) for _, x_mm, y_mm in placed]):
        yield _problem("feet-in-line", "floor_feet", "feet in one line", "feet on both sides", "check where they stand")


def _in_line(places_mm: list[tuple[float, float]]) -> bool:
    places = np.array(places_mm)
    return bool(np.linalg.svd(places - places.mean(axis=0), compute_uv=False)[-1] < IN_LINE_MM)


def _loads(draft: JobFile) -> Iterator[Problem]:
    """Masses above zero, one of which stays."""
    for i, load in enumerate(draft.floor_loads):
        if load.mass == 0.0:
            action = "write what it is, or leave the entry out"
            yield _problem("magnitude-zero", f"floor_loads[{i}].mass", "0", "more than 0", action)
    if draft.floor_loads and all(load.comes_and_goes for load in draft.floor_loads):
        found, expected = "only masses that come and go", "the loader's own mass among them"
        yield _problem("mass-missing", "floor_loads", found, expected, "add the loader itself, from its manual")


def _baseline(draft: JobFile, table: MarkoutTable) -> Iterator[Problem]:
    """Both points of the baseline or neither, known and different; a tape between them has an uncertainty."""
    names = [point.name for point in draft.reference_points if point.name is not None]
    for key, other in (("first", "second"), ("second", "first")):
        name = getattr(table, key)
        if name is None:
            if getattr(table, other) is not None or table.taped:
                action = f"write {key}, or leave {other if getattr(table, other) is not None else 'taped'} out"
                yield _problem("key-missing", f"markout.{key}", "nothing", "a reference point", action)
        elif name not in names:
            action = write_instead(name, names) if names else "list it in [[reference_points]]"
            yield _problem("reference-unknown", f"markout.{key}", f'"{name}"', "a reference point of this job", action)
    if table.first is not None and table.first == table.second:
        yield _problem("reference-same", "markout.second", f'"{table.second}" at both ends', "two points", "name another one")
    if table.taped and table.taped[0].u_mm == 0.0:
        action = "state how it was read"
        yield _problem("reading-exact", "markout.taped", "an uncertainty of 0", "an uncertainty above 0", action)


def _axis(table: MarkoutTable) -> Iterator[Problem]:
    """Both places of the axis or neither, the front one nearer the work."""
    front, rear = table.axis_front, table.axis_rear
    for key, other, given, own in (("axis_front", "axis_rear", rear, front), ("axis_rear", "axis_front", front, rear)):
        if given and not own:
            action = f"plumb the axis down at a second place, or leave {other} out"
            yield _problem("key-missing", f"markout.{key}", f"nothing beside {other}", "a value", action)
    if front and rear and rear[0].value_mm <= front[0].value_mm:
        found, expected = f"{rear[0].text} against axis_front {front[0].text}", "farther behind the cover than axis_front"
        yield _problem("axis-order", "markout.axis_rear", found, expected, "exchange them, or measure again")


def _marks(draft: JobFile) -> Iterator[Problem]:
    """A hole has not the name of a foot that is marked too."""
    feet = [foot.name for foot in draft.floor_feet if foot.marked]
    for i, hole in enumerate(draft.holes):
        if hole.name is not None and hole.name in feet:
            found = f'"{hole.name}", as a foot that is marked out is called'
            yield _problem("name-twice", f"holes[{i}].name", found, "a name of its own", "rename one")
