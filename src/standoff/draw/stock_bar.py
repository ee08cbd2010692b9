"""One bar cut up, to scale: facing, parts and cut-offs with its front at the right, and below it the remnant, enlarged and split.

The remnant lies as the last cut-off leaves it: its front face in the cut-off plane, its end in the pusher collet. The letters are
those of the formula, at their places.
"""

from __future__ import annotations

from collections.abc import Iterator

from standoff.draw.elevation import FORMATS, Arrangement, Format
from standoff.draw.labels import LINE_SHARE, cleared, text_block, widest, wrapped
from standoff.draw.scene import Box, Hatch, Line, Px, Rect, Scene, Shape, Text, text_width
from standoff.draw.stock_remnant import remnant_strip
from standoff.errors import UsageError
from standoff.job.amounts import bar_length, many
from standoff.job.economy import Stock
from standoff.job.remnant import remnant_terms
from standoff.job.speech import exact_length, length
from standoff.units import Units

HEIGHT: Px = 40.0
"""How high a bar is drawn: thickness is not to scale."""
CUT_SEEN: Px = 1.2
"""A cut-off narrower than this is drawn as one line."""
PART_SEEN: Px = 3.0
"""Parts narrower than this are not told apart."""
COUNTS = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000)
"""Every so many parts have their number."""


def stock_bar(stock: Stock, *, units: Units, arrangement: Arrangement) -> Scene:
    """A bar of one part, of just the length ordered. Raises UsageError for another arrangement."""
    if arrangement not in FORMATS:
        raise UsageError(what="arrangement", given=str(arrangement), allowed=", ".join(FORMATS))
    form, part = FORMATS[arrangement], stock.supply.part
    size, (left, right) = form.size, form.span
    bar = bar_length(part.bar_mm, units)
    words = wrapped(f"{part.name}: one bar of {bar}, its length to scale", width=right - left, size=1.1 * size, bold=True)
    head = text_block(words, at=(left, 1.6 * size), size=1.1 * size, style="ink", layer="head", bold=True)
    scale = (right - left) / part.bar_mm
    above, y = _above(stock, form, units, scale, (1.6 + 1.1 * LINE_SHARE * (len(words) - 1)) * size)
    box = Box(left=left, top=y, right=right, bottom=y + HEIGHT)
    below, y = _below(stock, box, size, scale)
    strip, y = remnant_strip(part, form, units, top=y, seen=left + part.remnant_mm * scale, bar_bottom=box.bottom)
    return Scene(
        width=form.width,
        height=y,
        title=f"One bar, {part.name}",
        description=_described(stock, units),
        shapes=cleared([*strip, *_bar(stock, box, scale), *above, *below, *head]),
    )


def _above(stock: Stock, form: Format, units: Units, scale: float, y: Px) -> tuple[list[Shape], Px]:
    """The two spans of the bar with their words: the remnant, and the parts with their cut-offs; with the y of the bar."""
    size, (left, right), part = form.size, form.span, stock.supply.part
    border = left + part.remnant_mm * scale
    each = f"{exact_length(part.length_mm, units)}, cut-off {exact_length(part.cut_mm, units)}"
    told = f"{many(stock.supply.count, 'part')}: each {each}"
    facing = f"; facing {exact_length(part.facing_mm, units)}" if part.facing_mm > 0.0 else ""
    remnant = f"remnant {length(part.remnant_mm, units)}"
    room = right - border if right - border > 0.4 * (right - left) else right - left
    lines = wrapped(f"{told}{facing}", width=room, size=size)
    # Where the two would meet, the remnant's words take a line of their own above.
    beside = left + text_width(remnant, size=size, bold=True) + size < right - widest(lines, size=size)
    rise = LINE_SHARE * size
    y += (1.5 + (0 if beside else LINE_SHARE)) * size + (len(lines) - 1) * rise
    own = Text((left, y if beside else y - len(lines) * rise), remnant, size, "ink", "spans", bold=True)
    parts = [Text((right, y - (len(lines) - 1 - i) * rise), line, size, "ink", "spans", "end") for i, line in enumerate(lines)]
    at = y + 0.55 * size
    spans = [shape for a, b in ((left, border), (border, right - part.facing_mm * scale)) for shape in _span(a, b, at)]
    return [own, *parts, *spans], at + 9.0


def _span(left: Px, right: Px, y: Px) -> Iterator[Shape]:
    """A dimension line between two short strokes."""
    yield Line((left, y), (right, y), "dimension", "spans")
    for x in (left, right):
        yield Line((x, y - 5.0), (x, y + 5.0), "dimension", "spans")


def _bar(stock: Stock, box: Box, scale: float) -> Iterator[Shape]:
    """The bar from its end at the left: remnant, the parts with the last one first, facing."""
    part, count = stock.supply.part, stock.supply.count
    facing, border = box.right - part.facing_mm * scale, box.left + part.remnant_mm * scale
    yield Rect(Box(left=border, top=box.top, right=facing, bottom=box.bottom), "stock-part", "bar")
    yield Hatch(Box(left=box.left, top=box.top, right=border, bottom=box.bottom), 9.0, "stock-remnant", "bar")
    advance, cut = part.advance_mm * scale, part.cut_mm * scale
    places = [border + i * advance for i in range(count)]
    if advance < PART_SEEN:
        yield Hatch(Box(left=border, top=box.top, right=facing, bottom=box.bottom), 4.0, "stock-cut-line", "bar", rising=False)
    elif cut >= CUT_SEEN:
        yield from (Rect(Box(left=x, top=box.top, right=x + cut, bottom=box.bottom), "stock-cut", "bar") for x in places)
    else:
        yield from (Line((x, box.top), (x, box.bottom), "stock-cut-line", "bar") for x in places)
    if part.facing_mm > 0.0:
        yield Rect(Box(left=facing, top=box.top, right=box.right, bottom=box.bottom), "stock-cut", "bar")
    yield Rect(box, "stock-edge", "bar")


def _below(stock: Stock, box: Box, size: Px, scale: float) -> tuple[list[Shape], Px]:
    """The numbers of the parts as they are made, the first at the bar's front; with the y below."""
    part, count = stock.supply.part, stock.supply.count
    advance, front = part.advance_mm * scale, box.right - part.facing_mm * scale
    room = text_width(f"{count}", size=size) + 0.8 * size
    step = next((every for every in COUNTS if every * advance >= room), count)
    numbered = [n for n in range(1, count + 1) if n % step == 0 or n == 1]
    shapes, reached = list[Shape](), box.right + size
    for n in numbered:
        middle = front - (n - 0.5) * advance
        half = text_width(f"{n}", size=size) / 2.0
        x = min(max(middle, box.left + half), box.right - half)
        if x + half > reached - 0.4 * size:
            continue
        reached = x - half
        shapes.append(Line((middle, box.bottom), (middle, box.bottom + 5.0), "dimension", "numbers"))
        shapes.append(Text((x, box.bottom + 5.0 + size), f"{n}", size, "soft", "numbers", "middle"))
    return shapes, box.bottom + 5.0 + 1.5 * size


def _described(stock: Stock, units: Units) -> str:
    """The bar in words."""
    part, count = stock.supply.part, stock.supply.count
    split = "; ".join(f"{term.words} {exact_length(term.length_mm, units)}" for term in remnant_terms(part))
    return (
        f"From the front: facing {exact_length(part.facing_mm, units)}, {many(count, 'part')} of"
        f" {exact_length(part.length_mm, units)} with a cut-off of {exact_length(part.cut_mm, units)} behind each, remnant"
        f" {length(part.remnant_mm, units)}. The remnant, from the cut-off plane back: {split}."
    )
