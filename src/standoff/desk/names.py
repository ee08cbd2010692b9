"""Names of elements on a page, made from the names of fields and requirements."""

from __future__ import annotations

import re


def slug(text: str) -> str:
    """A text as a part of an id or a class name."""
    return re.sub(r"[^a-z0-9]+", "-", text.lower()).strip("-")


def field_id(field: str) -> str:
    """The id of a field's input."""
    return f"f-{slug(field)}"


def row_id(requirement: str, mode: str | None) -> str:
    """The id of a requirement's row."""
    return slug(f"{requirement}-{mode or 'pair'}")
