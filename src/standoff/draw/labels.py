"""Where words go so that they never meet: wrapped lines, one orderly row of labels, and shelves of spans.

Labels of points keep the order of their points along one row and move apart as little as possible; since both run in the same
order, no leader crosses another. Spans with words (dimensions) go to the first shelf on which they are clear. What thin lines
still cross a text is taken out of the lines, as a draughtsman breaks an extension line at a figure.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from standoff.draw.scene import Hatch, Line, Point, Px, Shape, Text, outside, text_width

ELLIPSIS = "…"
LINE_SHARE = 1.28
"""Distance of two baselines, in text sizes: more than a text's box is high."""

# A figure stays on one line with its fraction and its unit. The stand-in is a character that no text can hold.
_TOGETHER = re.compile(r"(?<=\d) (?=\d+/\d|(?:in|mm|ft|m)\b)")
_NO_BREAK = "\0"

THIN = frozenset({"extension", "leader", "axis", "break", "grid", "plane", "mark", "ghost", "aim", "window-edge"})
"""Styles of lines that give way to a text."""


def wrapped(words: str, *, width: Px, size: Px, bold: bool = False, most: int = 99) -> tuple[str, ...]:
    """The words in lines no wider than `width`; a word that is too long is cut, and so is what goes beyond `most` lines."""
    lines: list[str] = []
    for word in _TOGETHER.sub(_NO_BREAK, words).split():
        word = word.replace(_NO_BREAK, " ")
        joined = f"{lines[-1]} {word}" if lines else word
        if lines and text_width(joined, size=size, bold=bold) <= width:
            lines[-1] = joined
        else:
            lines.append(word)
    if len(lines) > most:
        lines = [*lines[: most - 1], f"{lines[most - 1]} {ELLIPSIS}"]
    return tuple(shortened(line, width=width, size=size, bold=bold) for line in lines)


def shortened(words: str, *, width: Px, size: Px, bold: bool = False) -> str:
    """The words, or as many of their letters as fit with an ellipsis."""
    if text_width(words, size=size, bold=bold) <= width:
        return words
    kept = words.removesuffix(ELLIPSIS).rstrip()
    while kept and text_width(kept + ELLIPSIS, size=size, bold=bold) > width:
        kept = kept[:-1].rstrip()
    return kept + ELLIPSIS


def widest(lines: Iterable[str], *, size: Px, bold: bool = False) -> Px:
    """The width of the longest line."""
    return max((text_width(line, size=size, bold=bold) for line in lines), default=0.0)


def in_a_row(
    wanted: Sequence[Px],
    widths: Sequence[Px],
    *,
    span: tuple[Px, Px],
    gap: Px,
    weight: Sequence[float] | None = None,
) -> tuple[Px, ...] | None:
    """Centres for things of these widths, near where they are wanted, in their order, clear of one another and in the span.

    `wanted` ascends; what has more weight moves less. The least weighted sum of squared displacements: isotonic regression
    by pooling adjacent violators, in coordinates from which the room that each thing takes is subtracted. None where the span
    is too short.
    """
    if not wanted:
        return ()
    offsets = [0.0]
    for before, after in pairwise(widths):
        offsets.append(offsets[-1] + (before + after) / 2.0 + gap)
    low, high = span[0] + widths[0] / 2.0, span[1] - widths[-1] / 2.0 - offsets[-1]
    if low > high:
        return None
    pools: list[tuple[float, float, int]] = []
    for want, offset, pull in zip(wanted, offsets, weight or [1.0] * len(wanted), strict=True):
        total, mass, count = pull * (want - offset), pull, 1
        while pools and pools[-1][0] / pools[-1][1] > total / mass:
            before_total, before_mass, before_count = pools.pop()
            total, mass, count = total + before_total, mass + before_mass, count + before_count
        pools.append((total, mass, count))
    settled = [min(max(total / mass, low), high) for total, mass, count in pools for _ in range(count)]
    return tuple(at + offset for at, offset in zip(settled, offsets, strict=True))


@dataclass(frozen=True, slots=True)
class Span:
    """What one dimension covers of its shelf, its words included, and where its extension lines come down."""

    left: Px
    right: Px
    drops: tuple[Px, ...] = ()


def shelved(spans: Sequence[Span], *, gap: Px) -> tuple[int, ...]:
    """A shelf for each span, counted from the top: the first on which it is clear and no extension line is in the way.

    A span that fits nowhere opens a new shelf at the bottom.
    """
    shelves: list[list[Span]] = []
    chosen: list[int] = []
    for span in spans:
        at = next((i for i in range(len(shelves)) if _fits(span, i, shelves, gap)), len(shelves))
        if at == len(shelves):
            shelves.append([])
        shelves[at].append(span)
        chosen.append(at)
    return tuple(chosen)


def _fits(span: Span, at: int, shelves: list[list[Span]], gap: Px) -> bool:
    if any(span.left < other.right + gap and other.left < span.right + gap for other in shelves[at]):
        return False
    passing = (x for shelf in shelves[at + 1 :] for other in shelf for x in other.drops)
    if any(span.left - gap / 2.0 < x < span.right + gap / 2.0 for x in passing):
        return False
    above = [other for shelf in shelves[:at] for other in shelf]
    return not any(other.left < x < other.right for other in above for x in span.drops)


def cleared(shapes: Sequence[Shape], *, margin: Px = 2.0) -> tuple[Shape, ...]:
    """The shapes with every thin line and every hatching interrupted where a text stands."""
    boxes = [shape.box.grown(margin) for shape in shapes if isinstance(shape, Text)]
    kept: list[Shape] = []
    for shape in shapes:
        if isinstance(shape, Line) and shape.style in THIN:
            kept += [Line(a, b, shape.style, shape.layer) for a, b in outside(shape.start, shape.end, boxes)]
        elif isinstance(shape, Hatch):
            kept.append(replace(shape, holes=tuple(box for box in boxes if box.meets(shape.box))))
        else:
            kept.append(shape)
    return tuple(kept)


def text_block(
    lines: Iterable[str], *, at: Point, size: Px, style: str, layer: str = "text", bold: bool = False
) -> tuple[Text, ...]:
    """Lines of text below one another, the first on the given baseline."""
    x, y = at
    return tuple(Text((x, y + i * size * LINE_SHARE), line, size, style, layer, bold=bold) for i, line in enumerate(lines))
