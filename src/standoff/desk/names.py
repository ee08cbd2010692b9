"""Names of elements on a page, made from the names of fields and requirements, and the page on which a field stands."""

from __future__ import annotations

import re

from standoff.errors import UsageError
from standoff.job.field import way_to
from standoff.job.guide import walk_of


def slug(text: str) -> str:
    """A text as a part of an id or a class name."""
    return re.sub(r"[^a-z0-9]+", "-", text.lower()).strip("-")


def field_id(field: str) -> str:
    """The id of a field's input."""
    return f"f-{slug(field)}"


def row_id(requirement: str, mode: str | None) -> str:
    """The id of a requirement's row."""
    return slug(f"{requirement}-{mode or 'pair'}")


def page_of(field: str) -> str:
    """The page on which a field, or an entry of a list, is filled in; what is none goes to the survey."""
    try:
        way_to(field)
    except UsageError:
        return "survey"
    return walk_of(field)
