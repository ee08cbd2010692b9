"""A heading with its lines below it, as the commands print it."""

from __future__ import annotations

from collections.abc import Sequence


def block(heading: str, lines: Sequence[str], by: str = "") -> list[str]:
    """The heading and its lines, moved in by `by` and the lines by two more; nothing where there is no line."""
    return [f"{by}{heading}:", *(f"{by}  {line}" for line in lines)] if lines else []
