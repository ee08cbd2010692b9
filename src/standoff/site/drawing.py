"""Many drawn lines on a floor, such as a building's plan: sifted by where they lie, measured all at once.

A line may have many pieces, and bend around a room: each straight piece is looked at by itself, and goes by its line.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray

from standoff.site.floor import Body
from standoff.site.footprint import Array, Footprint, Shapes

_SHORT_MM = 0.5
"""A part of a piece that is shorter than this is none."""


@dataclass(frozen=True, slots=True, eq=False)
class Drawing:
    """Lines as things on the floor, and straight pieces of them: `of` says of which line each is one."""

    lines: tuple[Body, ...]
    pieces: Shapes
    of: NDArray[np.intp]

    def among(self, chosen: NDArray[np.bool_]) -> Drawing:
        """The same lines with the chosen pieces alone."""
        return Drawing(self.lines, self.pieces[chosen], self.of[chosen])

    def near(self, footprints: Sequence[Footprint], *, within_mm: float) -> Drawing:
        """The pieces that may lie as near as that to the box around all of these."""
        xs = [x for footprint in footprints for x, _ in footprint.corners_mm]
        ys = [y for footprint in footprints for _, y in footprint.corners_mm]
        if not xs or not len(self.pieces):
            return self.among(np.zeros(len(self.pieces), dtype=bool))
        left, low, right, high = shapely.bounds(self.pieces).T
        across = (left <= max(xs) + within_mm) & (right >= min(xs) - within_mm)
        return self.among(across & (low <= max(ys) + within_mm) & (high >= min(ys) - within_mm))

    def inside(self, room: Footprint) -> Drawing:
        """What of each piece lies in a room; a piece that only touches it does not."""
        near = self.near([room], within_mm=0.0)
        parts = shapely.intersection(room.shape, near.pieces)
        kept = shapely.length(parts) > _SHORT_MM
        return Drawing(self.lines, parts[kept], near.of[kept])

    def layers(self) -> Iterator[tuple[str, Drawing]]:
        """The pieces by the names of their lines, a name at a time."""
        names = np.array([self.lines[i].name for i in self.of])
        for name in dict.fromkeys(names.tolist()):
            yield name, self.among(names == name)

    def distances_mm(self, footprint: Footprint) -> Array:
        """How far each piece is from an outline, shape (n,) [mm]; 0 where they meet."""
        found: Array = shapely.distance(footprint.shape, self.pieces)
        return found

    def piece(self, number: int) -> Body:
        """A piece as a thing; it goes by its line."""
        ends = self.pieces[number].coords
        places = tuple((float(x), float(y)) for x, y in (ends[0], ends[-1]))
        return replace(self.lines[int(self.of[number])], footprint=Footprint(places, closed=False))


def drawing_of(lines: Sequence[Body]) -> Drawing:
    """Lines taken apart into their straight pieces."""
    ends, of = [], []
    for number, line in enumerate(lines):
        corners = line.footprint.corners_mm
        pieces = [pair for pair in pairwise(corners) if pair[0] != pair[1]]
        ends += pieces
        of += [number] * len(pieces)
    shapes = shapely.linestrings(np.array(ends)) if ends else np.array([], dtype=object)
    return Drawing(tuple(lines), shapes, np.array(of, dtype=np.intp))
