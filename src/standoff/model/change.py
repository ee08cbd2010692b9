"""Change: something done to the pair that shifts measured quantities by known amounts (a cut, an extension, a shorter bar)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Change:
    """One change: by how much each quantity moves [mm]; `kind` and `quantity` say what a person would call it."""

    kind: str
    quantity: str
    shifts_mm: tuple[tuple[str, float], ...]

    @classmethod
    def of(cls, kind: str, quantity: str, shifts_mm: Mapping[str, float]) -> Change:
        """The change with these shifts [mm], in a fixed order."""
        return cls(kind=kind, quantity=quantity, shifts_mm=tuple(sorted(shifts_mm.items())))
