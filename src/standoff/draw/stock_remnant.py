"""The remnant enlarged: why it is as long as it is, piece by piece, each with its pattern and its words."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from standoff.draw.elevation import Format
from standoff.draw.labels import LINE_SHARE, in_a_row, text_block, widest, wrapped
from standoff.draw.scene import Box, Circle, Hatch, Line, Point, Px, Rect, Shape, Text, text_width
from standoff.draw.speed_key import SAMPLE, Entry, key
from standoff.job.parts import Part
from standoff.job.remnant import COLLET, INSERTION, REST, SHORTFALL, Term, remnant_terms
from standoff.job.speech import exact_length
from standoff.units import Units

HEIGHT: Px = 54.0
ZOOM: Px = 26.0
"""Between the whole bar and its enlarged remnant."""
RADIUS: Px = 10.0
"""Of the circle around a number."""


@dataclass(frozen=True, slots=True)
class Piece:
    """One term on the sheet."""

    number: int
    term: Term
    left: Px
    right: Px

    @property
    def middle(self) -> Px:
        """The middle of it."""
        return (self.left + self.right) / 2.0


def remnant_strip(part: Part, form: Format, units: Units, *, top: Px, seen: Px, bar_bottom: Px) -> tuple[list[Shape], Px]:
    """The enlarged remnant below `top`, led to the one of the whole bar (up to `seen`); with the y below."""
    size, (left, right) = form.size, form.span
    scale = (right - left) / part.remnant_mm
    marks, y = _marks(part, form, scale, top + ZOOM)
    box = Box(left=left, top=y, right=right, bottom=y + HEIGHT)
    pieces = _pieces(part, left, scale)
    led = [Line(a, b, "leader", "zoom") for a, b in (((left, bar_bottom), (left, y)), ((seen, bar_bottom), (seen, top)))]
    led.append(Line((seen, top), (right, y), "leader", "zoom"))
    drawn = [*led, *(shape for piece in pieces for shape in _filled(piece, box)), Rect(box, "stock-edge", "remnant")]
    times = part.bar_mm / part.remnant_mm
    note = Text((left, top + 1.1 * size), f"The remnant, {times:.2g} times larger", size, "ink", "zoom", bold=True)
    told, y = _told(pieces, box, form, units)
    return [*drawn, note, *marks, *told], y


def _pieces(part: Part, left: Px, scale: float) -> list[Piece]:
    """The terms from the bar's end at the left."""
    found, x = list[Piece](), left
    for number, term in enumerate(reversed(remnant_terms(part)), 1):
        found.append(Piece(number, term, x, x + term.length_mm * scale))
        x = found[-1].right
    return found


def _filled(piece: Piece, box: Box) -> Iterator[Shape]:
    yield from _pattern(Box(left=piece.left, top=box.top, right=piece.right, bottom=box.bottom), piece.term.kind)
    yield Line((piece.right, box.top), (piece.right, box.bottom), "stock-edge", "remnant")


def _pattern(box: Box, kind: str) -> Iterator[Shape]:
    """How a term is told apart without colour: filled, hatched one way, the other way, or both."""
    if kind == COLLET:
        yield Rect(box, "headstock-fill", "remnant")
        yield Hatch(box, 14.0, "bore-edge", "remnant")
    elif kind == INSERTION:
        yield Rect(box, "loader-fill", "remnant")
        yield Hatch(box, 8.0, "stock-insertion", "remnant", rising=False)
    elif kind == SHORTFALL:
        yield Hatch(box, 7.0, "clash", "remnant")
        yield Hatch(box, 7.0, "clash", "remnant", rising=False)
    elif kind == REST:
        yield Rect(box, "stock-part", "remnant")


def _marks(part: Part, form: Format, scale: float, y: Px) -> tuple[list[Shape], Px]:
    """The places K, C and X above the strip, as far as they lie on the remnant; with the y of the strip."""
    size, (left, right), reach = form.size, form.span, part.reach
    names = {"K": "cut-off plane", "C": "back of the main collet", "X": "the pusher's limit"}
    places = {"K": reach.cut_off_mm, "C": reach.collet_mm, "X": reach.tip_limit_mm}
    at = {name: right - (reach.cut_off_mm - place_mm) * scale for name, place_mm in places.items()}
    shown = sorted((x, name) for name, x in at.items() if left - 0.5 <= x <= right + 0.5)
    words = [f"{name} {names[name]}" if form.named else name for _, name in shown]
    widths = [text_width(word, size=size, bold=True) for word in words]
    centres = in_a_row([x for x, _ in shown], widths, span=form.span, gap=0.8 * size)
    if centres is None:
        return [], y
    base, shapes = y + size, list[Shape]()
    foot = base + 1.5 * size
    for (x, _), word, centre in zip(shown, words, centres, strict=True):
        shapes.append(Text((centre, base), word, size, "ink", "marks", "middle", bold=True))
        shapes.append(Line((centre, base + 0.35 * size), (x, foot), "leader", "marks"))
        shapes.append(Line((x, foot), (x, foot + HEIGHT + 6.0), "plane", "marks"))
    return shapes, foot


def _told(pieces: Sequence[Piece], box: Box, form: Format, units: Units) -> tuple[list[Shape], Px]:
    """The words of every piece: below it where there is room for columns, else in a list with its pattern."""
    size, (left, right) = form.size, form.span
    if form.named:
        width = (right - left - (len(pieces) - 1) * 1.2 * size) / len(pieces)
        blocks = [wrapped(f"{piece.term.words}{_letters(piece.term)}", width=width, size=size) for piece in pieces]
        figures = [exact_length(piece.term.length_mm, units) for piece in pieces]
        widths = [max(widest(b, size=size), text_width(f, size=size, bold=True)) for b, f in zip(blocks, figures, strict=True)]
        centres = in_a_row([piece.middle for piece in pieces], widths, span=form.span, gap=1.2 * size)
        if centres is not None:
            return _columns(pieces, blocks, figures, centres, box, size)
    entries = [
        Entry(
            _sample(piece),
            f"{piece.number}: {exact_length(piece.term.length_mm, units)} {piece.term.words}{_letters(piece.term)}",
        )
        for piece in pieces
    ]
    widths = [2.0 * RADIUS] * len(pieces)
    settled = in_a_row([piece.middle for piece in pieces], widths, span=form.span, gap=4.0)
    centres = settled or tuple(piece.middle for piece in pieces)
    numbers = [shape for piece, x in zip(pieces, centres, strict=True) for shape in _numbered(piece, x, box, size)]
    listed, y = key(entries, (), form, top=box.bottom + 14.0 + 2.0 * RADIUS)
    return [*numbers, *listed], y + 0.5 * size


def _letters(term: Term) -> str:
    return f" ({term.letters})" if term.letters else ""


def _columns(
    pieces: Sequence[Piece],
    blocks: Sequence[Sequence[str]],
    figures: Sequence[str],
    centres: Sequence[Px],
    box: Box,
    size: Px,
) -> tuple[list[Shape], Px]:
    """A column of words below each piece, its length first, led to the piece; with the y below."""
    shapes, top = list[Shape](), box.bottom + 26.0
    for piece, block, figure, centre in zip(pieces, blocks, figures, centres, strict=True):
        shapes.append(Line((piece.middle, box.bottom), (centre, top), "leader", "words"))
        shapes.append(Text((centre, top + size), figure, size, "ink", "words", "middle", bold=True))
        lines = text_block(block, at=(centre, top + (1.0 + LINE_SHARE) * size), size=size, style="ink", layer="words")
        shapes += [Text(line.at, line.words, size, "ink", "words", "middle") for line in lines]
    most = max(len(block) for block in blocks)
    return shapes, top + (1.6 + most * LINE_SHARE) * size


def _sample(piece: Piece) -> Callable[[Point], tuple[Shape, ...]]:
    """A sample of its pattern for a list."""

    def drawn(at: Point) -> tuple[Shape, ...]:
        box = Box(left=at[0], top=at[1] - 7.0, right=at[0] + SAMPLE, bottom=at[1] + 7.0)
        return (*_pattern(box, piece.term.kind), Rect(box, "stock-edge", "remnant"))

    return drawn


def _numbered(piece: Piece, x: Px, box: Box, size: Px) -> Iterator[Shape]:
    """The number of a piece below it."""
    y = box.bottom + 8.0 + RADIUS
    yield Line((piece.middle, box.bottom), (x, y - RADIUS), "leader", "words")
    yield Circle((x, y), RADIUS, "balloon", "words")
    yield Text((x, y + 0.34 * size), f"{piece.number}", size, "ink", "words", "middle")
