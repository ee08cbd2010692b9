"""Words beside what they speak of: a row above or below a picture, or a column at its side, in the order of what they belong to.

Where there is no room for words, numbers stand for them and the words follow in a list, so that none is ever cut short.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from standoff.draw.labels import LINE_SHARE, in_a_row, text_block, widest, wrapped
from standoff.draw.scene import Circle, Line, Point, Px, Shape, Text

LEAST_SHARE = 8.5
"""A column of words is at least so many text sizes wide."""
MOST_SHARE = 14.0
RADIUS: Px = 12.0
"""Of the circle around a number."""
MOST_NUMBER: Px = 15.0
"""A number in a circle is no larger."""


@dataclass(frozen=True, slots=True)
class Tag:
    """A name and what is said of it, at a place of the picture; `alarm` where it does not serve."""

    at: Point
    name: str
    words: str
    alarm: bool = False

    @property
    def style(self) -> str:
        """How its words look."""
        return "clash" if self.alarm else "ink"


@dataclass(frozen=True, slots=True)
class Block:
    """A tag with its words in lines: the name first, then what is said."""

    tag: Tag
    names: tuple[str, ...]
    lines: tuple[str, ...]
    width: Px
    height: Px

    def texts(self, at: Point, size: Px) -> Iterator[Text]:
        """The lines from their upper left corner on."""
        x, y = at
        count = len(self.names)
        yield from text_block(self.names, at=(x, y + size), size=size, style=self.tag.style, layer="tags", bold=True)
        below = (x, y + size + count * size * LINE_SHARE)
        yield from text_block(self.lines, at=below, size=size, style=self.tag.style, layer="tags")


def blocks(tags: Sequence[Tag], *, width: Px, size: Px) -> tuple[Block, ...] | None:
    """The tags in lines no wider than `width`; None where a word is too long for that."""
    made = []
    for tag in tags:
        names = wrapped(tag.name, width=width, size=size, bold=True, most=2) if tag.name else ()
        lines = wrapped(tag.words, width=width, size=size)
        if any("…" in line for line in lines):
            return None
        taken = max(widest(names, size=size, bold=True), widest(lines, size=size))
        made.append(Block(tag, names, lines, taken, ((len(names) + len(lines)) * LINE_SHARE + 0.1) * size))
    return tuple(made)


def row_blocks(tags: Sequence[Tag], *, span: tuple[Px, Px], size: Px) -> tuple[Block, ...] | None:
    """The words of a row of tags; None where there is no room for them beside one another."""
    if not tags:
        return ()
    width = min((span[1] - span[0]) / len(tags) - 0.9 * size, MOST_SHARE * size)
    return blocks(tags, width=width, size=size) if width >= LEAST_SHARE * size else None


def row_shapes(found: Sequence[Block], *, span: tuple[Px, Px], edge: Px, size: Px, above: bool) -> tuple[list[Shape], Px]:
    """A row of words that begins at `edge` and is led to its places; with the y at its far edge."""
    if not found:
        return [], edge
    ordered = sorted(found, key=lambda block: block.tag.at[0])
    wanted, widths = [block.tag.at[0] for block in ordered], [block.width for block in ordered]
    centres = in_a_row(wanted, widths, span=span, gap=0.9 * size) or tuple(wanted)
    high = max(block.height for block in ordered)
    shapes = list[Shape]()
    for block, centre in zip(ordered, centres, strict=True):
        top = edge - block.height if above else edge
        near = edge + 3.0 if above else edge - 1.0
        shapes += block.texts((centre - block.width / 2.0, top), size)
        shapes.append(Line(block.tag.at, (centre, near), "leader", "tags"))
    return shapes, edge - high if above else edge + high


def column_shapes(found: Sequence[Block], *, span: tuple[Px, Px], edge: Px, size: Px, left: bool) -> list[Shape]:
    """A column of words whose inner edge is `edge`, each led to its place; `span` is the height it has."""
    ordered = sorted(found, key=lambda block: block.tag.at[1])
    wanted, heights = [block.tag.at[1] for block in ordered], [block.height for block in ordered]
    centres = in_a_row(wanted, heights, span=span, gap=0.6 * size) or tuple(wanted)
    shapes = list[Shape]()
    for block, centre in zip(ordered, centres, strict=True):
        x = edge - block.width if left else edge
        shapes += block.texts((x, centre - block.height / 2.0), size)
        near = edge + 3.0 if left else edge - 3.0
        shapes.append(Line(block.tag.at, (near, centre), "leader", "tags"))
    return shapes


def balloons(found: Sequence[tuple[int, Tag]], *, span: tuple[Px, Px], lane: Px, size: Px, upright: bool = False) -> list[Shape]:
    """Numbers in a row at `lane` (a column where `upright`), each led to the place of its tag."""
    side = 1 if upright else 0
    ordered = sorted(found, key=lambda one: one[1].at[side])
    wanted = [tag.at[side] for _, tag in ordered]
    settled = in_a_row(wanted, [2.0 * RADIUS] * len(ordered), span=span, gap=2.0) or tuple(wanted)
    led, shapes, figure = list[Shape](), list[Shape](), min(size, MOST_NUMBER)
    for (number, tag), along in zip(ordered, settled, strict=True):
        x, y = (lane, along) if upright else (along, lane)
        led.append(Line(tag.at, (x, y), "leader", "tags"))
        shapes.append(Circle((x, y), RADIUS, "balloon", "tags"))
        shapes.append(Text((x, y + 0.34 * figure), f"{number}", figure, "ink", "tags", "middle", bold=True))
    return [*led, *shapes]


def listed(tags: Sequence[Tag], *, span: tuple[Px, Px], top: Px, size: Px, columns: int = 1) -> tuple[list[Shape], Px]:
    """The words of numbered tags below one another, in one column or several; with the y below."""
    left, right = span
    width, indent = (right - left) / columns, 2.2 * size
    each = -(-len(tags) // columns)
    shapes, bottom = list[Shape](), top
    for column in range(columns):
        x, y = left + column * width, top
        for number, tag in list(enumerate(tags, 1))[column * each : (column + 1) * each]:
            words = f"{tag.name}: {tag.words}" if tag.words else tag.name
            lines = wrapped(words, width=width - indent - size, size=size)
            shapes.append(Text((x, y + size), f"{number}", size, tag.style, "tags", bold=True))
            shapes += text_block(lines, at=(x + indent, y + size), size=size, style=tag.style, layer="tags")
            y += (len(lines) * LINE_SHARE + 0.3) * size
        bottom = max(bottom, y)
    return shapes, bottom
