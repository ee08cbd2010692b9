"""What the axes of every chart are drawn with: a figure with its tick and its line across the picture, and the corner."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from standoff.draw.labels import in_a_row
from standoff.draw.scene import Line, Px, Shape, Text, text_width


def tick_beside(words: str, y: Px, *, left: Px, right: Px, size: Px, style: str = "grid") -> Iterator[Shape]:
    """A line across the picture at a height, and left of it the tick and its figure."""
    yield Line((left, y), (right, y), style, "axes")
    yield Line((left - 5.0, y), (left, y), "dimension", "axes")
    yield Text((left - 0.6 * size, y + 0.34 * size), words, size, "soft", "axes", "end")


def tick_below(words: str, x: Px, *, top: Px, bottom: Px, size: Px, centre: Px | None = None) -> Iterator[Shape]:
    """A line down the picture at a place, and below it the tick and its figure, moved to `centre` where it has no room."""
    yield Line((x, top), (x, bottom), "grid", "axes")
    yield Line((x, bottom), (x, bottom + 5.0), "dimension", "axes")
    yield Text((x if centre is None else centre, bottom + 1.4 * size), words, size, "soft", "axes", "middle")


def corner(*, left: Px, top: Px, right: Px, bottom: Px) -> Iterator[Shape]:
    """The two axes themselves."""
    for end in ((right, bottom), (left, top)):
        yield Line((left, bottom), end, "dimension", "axes")


def centres(wanted: Sequence[Px], words: Sequence[str], *, span: tuple[Px, Px], size: Px) -> Sequence[Px]:
    """Where the figures below stand, so that none leaves the drawing and none meets another."""
    widths = [text_width(word, size=size) for word in words]
    return in_a_row(wanted, widths, span=span, gap=0.5 * size) or wanted
