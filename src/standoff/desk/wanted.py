"""What an answer still wants: on which page it is filled in and at which element, in the words of a page."""

from __future__ import annotations

import re
from dataclasses import dataclass

from standoff.desk.names import field_id
from standoff.desk.sheet import Sheet
from standoff.desk.walk import title_of_field
from standoff.errors import Problem
from standoff.job.guide import WALKS, walk_of


@dataclass(frozen=True, slots=True)
class Wanted:
    """Something that is still wanted: on which page it is filled in and at which element, its name, and why."""

    walk: str
    anchor: str
    title: str
    why: str


def wanted_of(problem: Problem, sheet: Sheet) -> Wanted:
    """A problem in the words of a page: of a whole table the stop where it is filled in, of a field the field."""
    expected = re.sub(r"\[\[([a-z_]+?)s?\]\]", lambda found: found[1].replace("_", " "), problem.expected)
    walk = walk_of(problem.field)
    stop = stop_of(problem.field)
    if stop:
        return Wanted(walk, f"stop-{stop}", expected, problem.action)
    why = f"{problem.found}, expected {expected}; {problem.action}" if problem.code != "key-missing" else expected
    return Wanted(walk, f"{field_id(problem.field)}-box", title_of_field(problem.field, sheet), why)


def wanted_field(field: str, sheet: Sheet) -> Wanted:
    """A field, or a list, that is not stated."""
    stop = stop_of(field)
    if stop:
        title = next(place.title for place in WALKS[walk_of(field)] if place.id == stop)
        return Wanted(walk_of(field), f"stop-{stop}", title, "")
    return Wanted(walk_of(field), f"{field_id(field)}-box", title_of_field(field, sheet), "")


def stop_of(table: str) -> str:
    """The stop where entries of a list are added; empty for what is no list of a walk."""
    return next((s.id for s in WALKS[walk_of(table)] for step in s.steps if step.field.startswith(f"{table}[i]")), "")
