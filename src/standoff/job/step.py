"""A step of a guided walk: one thing to read or to say, and the stop at which that is done."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Defined = Literal["anywhere", "rear", "front"]


@dataclass(frozen=True, slots=True)
class Step:
    """One field of the walk. `field` has `[i]` where a list is meant; `ways` are the words for plus and minus.

    `tool` is what it is usually read with; empty where that does not matter to what is made of it.
    """

    field: str
    title: str
    how: str
    start: str = ""
    end: str = ""
    defined: Defined = "anywhere"
    ways: tuple[str, str] | None = None
    tool: str = "tape"


@dataclass(frozen=True, slots=True)
class Stop:
    """One place to stand, with what to set before and the fields filled in there."""

    id: str
    title: str
    set_first: str
    steps: tuple[Step, ...]
