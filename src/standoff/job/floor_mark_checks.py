"""What the tables of masses and marks must satisfy: a mass that stays, a baseline of two points."""

from __future__ import annotations

from collections.abc import Iterator

from standoff.errors import Problem, write_instead
from standoff.job.floor_tables import MarkoutTable
from standoff.job.tables import JobFile


def mark_problems(draft: JobFile) -> Iterator[Problem]:
    """Everything wrong in the tables of masses, reference points and marks."""
    yield from _loads(draft)
    if draft.markout is not None:
        yield from _baseline(draft, draft.markout)
        yield from _axis(draft.markout)
    yield from _marks(draft)


def _problem(code: str, field: str, found: str, expected: str, action: str) -> Problem:
    return Problem(code, "", None, field, found, expected, action)


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
    feet = [foot.name for foot in draft.feet if foot.marked]
    for i, hole in enumerate(draft.holes):
        if hole.name is not None and hole.name in feet:
            found = f'"{hole.name}", as a foot that is marked out is called'
            yield _problem("name-twice", f"holes[{i}].name", found, "a name of its own", "rename one")
