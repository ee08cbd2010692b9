"""Room for words in a picture full of curves: of the places a label may take, the one that covers least of them.

A label is tried where it would best stand, then elsewhere; it never meets another label and never leaves the picture. What finds
no room gets no place, so that the drawing can say it below.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import pairwise

import numpy as np

from standoff.bar.mesh import Floats
from standoff.draw.scene import Box, Point, Px, Text, outside

GRAIN: Px = 3.0
"""Curves count as points no farther apart than this."""
AIR: Px = 3.0
"""So much is kept free around a label."""


def inked(curves: Iterable[Sequence[Point]]) -> Floats:
    """The points that curves cover, shape (n, 2), close enough together that no label slips between two."""
    found = [np.empty((0, 2))]
    for (x1, y1), (x2, y2) in (ends for curve in curves for ends in pairwise(curve)):
        count = 2 + int(max(abs(x2 - x1), abs(y2 - y1)) / GRAIN)
        found.append(np.column_stack([np.linspace(x1, x2, count), np.linspace(y1, y2, count)]))
    covered: Floats = np.concatenate(found)
    return covered


def roomiest(places: Iterable[tuple[Text, ...]], *, frame: Box, taken: Sequence[Box], ink: Floats) -> tuple[Text, ...] | None:
    """Of the places for a label (its lines), the one that covers least ink, the earlier the better; None where all are taken."""
    best: tuple[int, tuple[Text, ...]] | None = None
    for lines in places:
        boxes = [line.box.grown(AIR) for line in lines]
        if any(not box.inside(frame) or any(box.meets(other) for other in taken) for box in boxes):
            continue
        hits = sum(_hits(box, ink) for box in boxes)
        if hits == 0:
            return lines
        if best is None or hits < best[0]:
            best = hits, lines
    return best[1] if best else None


def interrupted(curve: Sequence[Point], boxes: Sequence[Box]) -> Iterator[tuple[Point, ...]]:
    """The parts of a curve outside all boxes, as a draughtsman breaks a line at a figure."""
    run: list[Point] = []
    for start, end in (part for ends in pairwise(curve) for part in outside(*ends, boxes)):
        if run and run[-1] != start:
            yield tuple(run)
            run = []
        run += [end] if run else [start, end]
    if run:
        yield tuple(run)


def covers(box: Box, ink: Floats) -> bool:
    """Whether a box with some air around it covers any ink."""
    return _hits(box.grown(AIR), ink) > 0


def _hits(box: Box, ink: Floats) -> int:
    """How much ink a box covers."""
    x, y = ink.T
    return int(np.count_nonzero((x > box.left) & (x < box.right) & (y > box.top) & (y < box.bottom)))
