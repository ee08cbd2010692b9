"""The key of a speed chart: a sample of every line with what it means, and the limits that lie above the picture."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from standoff.draw.elevation import Format
from standoff.draw.labels import LINE_SHARE, text_block, wrapped
from standoff.draw.scene import Box, Hatch, Line, Point, Px, Rect, Shape

SAMPLE: Px = 34.0
"""How long a sample of a line is."""


@dataclass(frozen=True, slots=True)
class Entry:
    """One line of the key: how its sample is drawn at a place (its left end, in the middle of its height), and what it means."""

    sample: Callable[[Point], tuple[Shape, ...]]
    words: str


def ruled(style: str) -> Callable[[Point], tuple[Shape, ...]]:
    """A sample of a line of that style."""
    return lambda at: (Line(at, (at[0] + SAMPLE, at[1]), style, "key"),)


def banded(at: Point) -> tuple[Shape, ...]:
    """A sample of the band with its edges."""
    box = _box(at)
    edges = (Line((box.left, y), (box.right, y), "speed-band-edge", "key") for y in (box.top, box.bottom))
    return (Rect(box, "speed-band", "key"), *edges)


def hatched(at: Point) -> tuple[Shape, ...]:
    """A sample of the zone that is too fast."""
    return (Hatch(_box(at), 7.0, "clash", "key"),)


def _box(at: Point) -> Box:
    return Box(left=at[0], top=at[1] - 6.0, right=at[0] + SAMPLE, bottom=at[1] + 6.0)


def key(entries: Sequence[Entry], notes: Sequence[str], form: Format, *, top: Px) -> tuple[list[Shape], Px]:
    """The entries in one column or two, then the notes over the whole width; with the y below."""
    size, (left, right) = form.size, form.span
    count = 2 if form.named else 1
    width = (right - left - (count - 1) * size) / count
    shapes, y = list[Shape](), top
    for row in (entries[i : i + count] for i in range(0, len(entries), count)):
        heights = list[int]()
        for column, entry in enumerate(row):
            drawn, count_of_lines = _entry(entry, (left + column * (width + size), y), width, size)
            shapes += drawn
            heights.append(count_of_lines)
        y += (max(heights) * LINE_SHARE + 0.25) * size
    for note in notes:
        lines = wrapped(note, width=right - left, size=size)
        shapes += text_block(lines, at=(left, y + size), size=size, style="ink", layer="key")
        y += (len(lines) * LINE_SHARE + 0.25) * size
    return shapes, y


def _entry(entry: Entry, at: Point, width: Px, size: Px) -> tuple[Iterator[Shape], int]:
    x, y = at
    indent = SAMPLE + 0.6 * size
    lines = wrapped(entry.words, width=width - indent, size=size)
    words = text_block(lines, at=(x + indent, y + size), size=size, style="ink", layer="key")
    return iter((*entry.sample((x, y + 0.66 * size)), *words)), len(lines)
