"""The ground as a scene: scaled for a screen, a phone or paper, with names where there is room and numbers with a key where not.

On a wide sheet forward is to the right and left is up; on a phone forward is up and left is left. On paper a stated scale holds
when the sheet is printed at its natural size.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from standoff.draw.elevation import FORMATS, Arrangement
from standoff.draw.ground import LAYERS, FloorXY, Ground, Label, Measure, Outline, Oval, Ring
from standoff.draw.label_room import covers, inked, roomiest
from standoff.draw.labels import LINE_SHARE, THIN, cleared, text_block, widest, wrapped
from standoff.draw.scene import PX_MM, Box, Circle, Line, Path, Point, Px, Scene, Shape, Text, text_width
from standoff.errors import UsageError
from standoff.units import Units

SCALES = (5, 10, 20, 25, 40, 50, 75, 100, 150, 200, 300, 400, 500)
"""Scales a sheet is printed to: 1 to so many."""
SHEET_PX: tuple[Px, Px] = (700.0, 1017.0)
"""The shorter and the longer side of what is printed to scale: A4 with 10 mm and more kept free all round, in drawing units."""
HIGHEST: dict[str, Px] = {"wide": 780.0, "page": 520.0, "narrow": 900.0}
"""How high a plan grows at most in each arrangement."""
ARROW: Px = 9.0
BARS_MM = {"mm": (100.0, 200.0, 500.0, 1000.0, 2000.0, 5000.0), "in": (152.4, 304.8, 914.4, 1828.8, 3048.0, 6096.0)}
"""Lengths of a scale bar."""


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """How places become points: `px_per_mm_scale` drawing units for a mm, turned so that forward is up or not."""

    low_mm: FloorXY
    high_mm: FloorXY
    px_per_mm_scale: float
    turned: bool
    left: Px
    top: Px

    def at(self, place_mm: FloorXY) -> Point:
        """The point of a place."""
        x_mm, y_mm = place_mm
        if self.turned:
            across, down = self.high_mm[1] - y_mm, self.high_mm[0] - x_mm
        else:
            across, down = x_mm - self.low_mm[0], self.high_mm[1] - y_mm
        return self.left + across * self.px_per_mm_scale, self.top + down * self.px_per_mm_scale

    def place_mm(self, point: Point) -> FloorXY:
        """The place of a point. [mm]"""
        across, down = ((value - edge) / self.px_per_mm_scale for value, edge in zip(point, (self.left, self.top), strict=True))
        if self.turned:
            return self.high_mm[0] - down, self.high_mm[1] - across
        return self.low_mm[0] + across, self.high_mm[1] - down

    @property
    def size(self) -> tuple[Px, Px]:
        """Width and height of the plan itself."""
        along, across = (high - low for low, high in zip(self.low_mm, self.high_mm, strict=True))
        wide, high = (across, along) if self.turned else (along, across)
        return wide * self.px_per_mm_scale, high * self.px_per_mm_scale

    @property
    def frame(self) -> Box:
        """The box of the plan."""
        wide, high = self.size
        return Box(left=self.left, top=self.top, right=self.left + wide, bottom=self.top + high)


def view_of(ground: Ground, arrangement: Arrangement, *, one_to: int | None = None) -> View:
    """How a ground is laid on a sheet; raises UsageError for another arrangement, or a scale that no sheet is printed to."""
    if arrangement not in FORMATS:
        raise UsageError(what="arrangement", given=str(arrangement), allowed=", ".join(FORMATS))
    form = FORMATS[arrangement]
    (low_x, low_y), (high_x, high_y) = ground.bounds_mm()
    margin_mm = 0.02 * max(high_x - low_x, high_y - low_y, 100.0)
    low_mm, high_mm = (low_x - margin_mm, low_y - margin_mm), (high_x + margin_mm, high_y + margin_mm)
    turned = arrangement == "narrow"
    along_mm, across_mm = high_mm[0] - low_mm[0], high_mm[1] - low_mm[1]
    wide_mm, high_on_sheet_mm = (across_mm, along_mm) if turned else (along_mm, across_mm)
    if one_to is not None:
        scale = 1.0 / (PX_MM * _scale(one_to))
    else:
        left, right = form.span
        scale = min((right - left) / wide_mm, HIGHEST[arrangement] / high_on_sheet_mm)
    left = form.margin if one_to is not None else (form.width - wide_mm * scale) / 2.0
    return View(low_mm=low_mm, high_mm=high_mm, px_per_mm_scale=scale, turned=turned, left=left, top=0.6 * form.size)


def best_scale(ground: Ground) -> int:
    """The largest scale of `SCALES` at which the plan fits a sheet of A4, lying or upright; the smallest where none does."""
    (low_x, low_y), (high_x, high_y) = ground.bounds_mm()
    sides_mm = sorted((high_x - low_x, high_y - low_y))
    margin_mm = 0.04 * sides_mm[1]

    def fits(one_to: int) -> bool:
        return all((mm + margin_mm) / (PX_MM * one_to) <= most for mm, most in zip(sides_mm, SHEET_PX, strict=True))

    return next(filter(fits, SCALES), SCALES[-1])


def _scale(one_to: int) -> int:
    if one_to not in SCALES:
        allowed = ", ".join(f"1:{known}" for known in SCALES)
        raise UsageError(what="scale", given=f"1:{one_to}", allowed=allowed)
    return one_to


def ground_scene(ground: Ground, *, units: Units, arrangement: Arrangement = "wide", one_to: int | None = None) -> Scene:
    """The ground on a sheet; `one_to` prints it to that scale. Raises UsageError as `view_of`."""
    view, form = view_of(ground, arrangement, one_to=one_to), FORMATS[arrangement]
    width = form.width if one_to is None else max(view.size[0] + 2.0 * form.margin, 24.0 * form.size)
    shapes: list[Shape] = []
    for layer in LAYERS:
        shapes += _drawn(ground, view, layer)
    names = _Names(view, form.size, form.named, shapes)
    named, key = names.placed(ground)
    y = view.frame.bottom + 0.6 * form.size
    bar, y = _bar(view, units, form.size, y, one_to, (form.margin, width - form.margin))
    foot, y = _key(key, ground.notes, (form.margin, width - form.margin), form.size, y)
    return Scene(
        width=width,
        height=y,
        title=ground.title,
        description=ground.description,
        shapes=cleared([*shapes, *named, *bar, *foot]),
    )


def _drawn(ground: Ground, view: View, layer: str) -> Iterator[Shape]:
    """The shapes of one layer; each machine's own first, so that its group can be found and moved."""
    for piece in ground.pieces:
        if isinstance(piece, Label) or piece.layer != layer:
            continue
        if isinstance(piece, Outline):
            points = tuple(map(view.at, piece.corners_mm))
            if len(points) == 2:
                yield Line(*points, piece.style, piece.block or layer)
            else:
                yield Path(points, piece.style, piece.block or layer, closed=piece.closed)
        elif isinstance(piece, Ring):
            yield Circle(view.at(piece.centre_mm), piece.radius_mm * view.px_per_mm_scale, piece.style, piece.block or layer)
        elif isinstance(piece, Oval):
            yield Path(tuple(map(view.at, piece.corners_mm())), piece.style, layer, closed=True)
        else:
            yield from _measured(piece, view)


def _measured(piece: Measure, view: View) -> Iterator[Shape]:
    """A dimension: its line with arrowheads, and what leads to it from both places."""
    a, b = map(view.at, piece.line_mm())
    for place_mm, end in zip((piece.start_mm, piece.end_mm), (a, b), strict=True):
        if math.dist(view.at(place_mm), end) > 1.0:
            yield Line(view.at(place_mm), end, "extension", piece.layer)
    yield Line(a, b, piece.style, piece.layer)
    length = math.dist(a, b)
    if length < 1.0:
        return
    way = ((b[0] - a[0]) / length, (b[1] - a[1]) / length)
    if length > 3.0 * ARROW:
        yield _arrow(a, way, piece.layer)
        yield _arrow(b, (-way[0], -way[1]), piece.layer)
        return
    # Too short for arrowheads within it: they point at it from outside.
    yield _arrow(a, (-way[0], -way[1]), piece.layer)
    yield _arrow(b, way, piece.layer)


def _arrow(tip: Point, way: Point, layer: str) -> Path:
    """A slim arrowhead; `way` leads from its tip to its back."""
    (x, y), (u, v) = tip, way
    back = (x + ARROW * u, y + ARROW * v)
    return Path(
        (tip, (back[0] - 3.0 * v, back[1] + 3.0 * u), (back[0] + 3.0 * v, back[1] - 3.0 * u)), "arrow", layer, closed=True
    )


class _Names:
    """Names within their outlines where they fit; else a number or letter near the place, and a line of the key."""

    def __init__(self, view: View, size: Px, named: bool, drawn: Sequence[Shape]) -> None:
        self._view, self._size, self._named = view, size, named
        self._taken: list[Box] = []
        self._ink = inked(_edges(drawn))
        self._count = 0

    def placed(self, ground: Ground) -> tuple[list[Shape], list[str]]:
        """The names as shapes, and the lines of the key."""
        shapes, key = list[Shape](), list[str]()
        self._keep_clear(ground)
        rest: list[Label] = []
        labels = [label for label in ground.labels if self._named or not label.minor]
        for place in (self._within, self._beside):
            for label in labels if place == self._within else tuple(rest):
                found = () if label.sign or not self._named else place(label)
                if found:
                    shapes += [replace(line, layer=label.block or "labels") for line in found]
                    self._taken += [line.box for line in found]
                if found and label in rest:
                    rest.remove(label)
                elif not found and label not in rest:
                    rest.append(label)
        for label in rest:
            shapes += self._signed(label.at_mm, label.words, label.sign, label.style, label.block or "labels", key)
        for measure in ground.measures:
            start, end = measure.line_mm()
            middle_mm = ((start[0] + end[0]) / 2.0, (start[1] + end[1]) / 2.0)
            found = () if measure.sign else self._along(measure)
            if found:
                shapes += found
            elif measure.words:
                shapes += self._signed(middle_mm, measure.words, measure.sign, measure.style, measure.layer, key)
        return shapes, key

    def _keep_clear(self, ground: Ground) -> None:
        """Marks, small ellipses and short dimensions stay visible: names stand beside them."""
        for piece in ground.pieces:
            if isinstance(piece, Ring | Oval):
                radius_mm = piece.radius_mm if isinstance(piece, Ring) else piece.major_mm
                radius = radius_mm * self._view.px_per_mm_scale
                if radius <= 1.6 * self._size:
                    self._taken.append(_around(self._view.at(piece.centre_mm), max(radius, 3.0) - 1.5))
            elif isinstance(piece, Measure):
                (ax, ay), (bx, by) = map(self._view.at, piece.line_mm())
                if math.dist((ax, ay), (bx, by)) <= 4.0 * self._size:
                    box = Box(left=min(ax, bx), top=min(ay, by), right=max(ax, bx), bottom=max(ay, by))
                    self._taken.append(box.grown(ARROW / 2.0))

    def _within(self, label: Label) -> tuple[Text, ...]:
        """A name in the clear space it has, clear of every line; empty where there is no room."""
        (wide, high), (x, y) = self._room(label), self._view.at(label.at_mm)
        for share in (1.0, 0.6, 0.4, 0.25):
            lines = wrapped(label.words, width=max(share * wide - 6.0, 1.0), size=self._size)
            slack = (wide - widest(lines, size=self._size)) / 2.0, (high - len(lines) * LINE_SHARE * self._size) / 2.0
            if " ".join(lines) != " ".join(label.words.split()) or slack[1] < 0.0:
                return ()
            places = [(x + u * slack[0], y + v * slack[1]) for v in (0.0, -0.8, 0.8) for u in (0.0, 0.4, -0.4, 0.8, -0.8)]
            if found := self._clear(self._lines(lines, at, label.style) for at in places):
                return found
        return ()

    def _beside(self, label: Label) -> tuple[Text, ...]:
        """A name right beside its thing, clear of every line; empty where there is no room."""
        half_wide, half_high = (side / 2.0 for side in self._room(label))
        x, y = self._view.at(label.at_mm)
        lines = wrapped(label.words, width=9.0 * self._size, size=self._size)
        own = widest(lines, size=self._size) / 2.0 + 6.0, len(lines) * LINE_SHARE * self._size / 2.0 + 5.0
        right, below = half_wide + own[0], half_high + own[1]
        places = [(x + right, y), (x - right, y), (x, y - below), (x, y + below)]
        return self._clear(self._lines(lines, at, label.style) for at in places)

    def _room(self, label: Label) -> tuple[Px, Px]:
        """Width and height on the sheet of the space a label speaks of."""
        along, across = (mm * self._view.px_per_mm_scale for mm in label.room_mm)
        return (across, along) if self._view.turned else (along, across)

    def _lines(self, lines: Sequence[str], middle: Point, style: str) -> tuple[Text, ...]:
        """Lines of words around a middle."""
        step = LINE_SHARE * self._size
        first = middle[1] - (len(lines) - 1) * step / 2.0 + 0.35 * self._size
        texts = ((middle[0], first + i * step) for i in range(len(lines)))
        return tuple(Text(at, line, self._size, style, anchor="middle") for at, line in zip(texts, lines, strict=True))

    def _clear(self, places: Iterable[tuple[Text, ...]]) -> tuple[Text, ...]:
        """The first of these places that covers nothing at all; empty where all do."""
        for lines in places:
            found = roomiest([lines], frame=self._view.frame, taken=self._taken, ink=self._ink)
            if found is not None and not any(covers(line.box, self._ink) for line in lines):
                return found
        return ()

    def _along(self, measure: Measure) -> tuple[Text, ...]:
        """The words of a level dimension above its line; empty where they do not fit."""
        a, b = sorted(map(self._view.at, measure.line_mm()))
        if abs(a[1] - b[1]) > 1.0 or text_width(measure.words, size=self._size) > b[0] - a[0] - 2.0 * ARROW:
            return ()
        at = ((a[0] + b[0]) / 2.0, a[1] - 0.3 * self._size)
        found = Text(at, measure.words, self._size, measure.style, measure.layer, "middle")
        if self._meets(found.box):
            return ()
        self._taken.append(found.box)
        return (found,)

    def _signed(self, at_mm: FloorXY, words: str, sign: str, style: str, layer: str, key: list[str]) -> list[Shape]:
        """A balloon near a place, with its line of the key."""
        if not sign:
            self._count += 1
            sign = f"{self._count}"
        key.append(f"{sign}  {words}")
        radius = max(0.78 * self._size, text_width(sign, size=self._size) / 2.0 + 3.0)
        point = self._view.at(at_mm)
        centre = self._free(point, radius)
        self._taken.append(_around(centre, radius))
        shapes: list[Shape] = []
        if (away := math.dist(point, centre)) > radius:
            share = 1.0 - radius / away
            edge = (point[0] + share * (centre[0] - point[0]), point[1] + share * (centre[1] - point[1]))
            shapes.append(Line(point, edge, "lead", layer))
        shapes.append(Circle(centre, radius, "balloon", layer))
        shapes.append(Text((centre[0], centre[1] + 0.35 * self._size), sign, self._size, style, layer, "middle"))
        return shapes

    def _free(self, point: Point, radius: Px) -> Point:
        """The nearest centre at which a balloon meets nothing and stays on the plan."""
        for reach in range(12):
            steps = 1 if reach == 0 else 8 * reach
            for i in range(steps):
                turn = 2.0 * math.pi * i / steps
                x, y = point[0] + reach * radius * math.cos(turn), point[1] - reach * radius * math.sin(turn)
                box = _around((x, y), radius)
                if box.inside(self._view.frame.grown(4.0)) and not self._meets(box):
                    return x, y
        return point

    def _meets(self, box: Box) -> bool:
        return any(box.meets(other) for other in self._taken)


def _edges(shapes: Iterable[Shape]) -> Iterator[tuple[Point, ...]]:
    """The lines that a name may not stand on; thin ones give way to it."""
    for shape in shapes:
        if isinstance(shape, Path) and shape.style not in THIN:
            yield (*shape.points, shape.points[0]) if shape.closed else shape.points
        elif isinstance(shape, Line) and shape.style not in THIN:
            yield shape.start, shape.end


def _around(centre: Point, radius: Px) -> Box:
    (x, y), r = centre, radius + 1.5
    return Box(left=x - r, top=y - r, right=x + r, bottom=y + r)


def _bar(view: View, units: Units, size: Px, top: Px, one_to: int | None, span: tuple[Px, Px]) -> tuple[list[Shape], Px]:
    """A scale bar, the way forward, and the scale when the sheet is printed to one."""
    lengths = BARS_MM[units]
    long_mm = next((mm for mm in reversed(lengths) if mm * view.px_per_mm_scale <= 0.3 * (span[1] - span[0])), lengths[0])
    x, y = span[0], top + 1.2 * size
    end = x + long_mm * view.px_per_mm_scale
    told = f"{long_mm / 304.8:g} ft" if units == "in" else f"{long_mm:g} mm"
    way = "forward is up" if view.turned else "forward, to the lathe, is right"
    words = f"{told}; {way}" + (f"; 1:{one_to} when printed at 100 %" if one_to else "")
    shapes: list[Shape] = [Line((x, y), (end, y), "scale", "scale")]
    shapes += [Line((at, y - 5.0), (at, y + 5.0), "scale", "scale") for at in (x, end)]
    lines = wrapped(words, width=span[1] - end - 0.6 * size, size=size)
    shapes += text_block(lines, at=(end + 0.6 * size, y + 0.35 * size), size=size, style="soft", layer="scale")
    return shapes, y + (0.9 + LINE_SHARE * (len(lines) - 1)) * size


def _key(key: Sequence[str], notes: Sequence[str], span: tuple[Px, Px], size: Px, top: Px) -> tuple[list[Shape], Px]:
    """What letters and numbers stand for, letters first, in two columns where they have room; then the notes."""
    ordered = sorted(key, key=lambda line: not line[:1].isalpha())
    columns = 2 if len(ordered) > 5 and span[1] - span[0] > 30.0 * size else 1
    wide = (span[1] - span[0] - (columns - 1) * 2.0 * size) / columns
    blocks = [wrapped(line, width=wide, size=size) for line in ordered]
    rows = -(-sum(map(len, blocks)) // columns)
    shapes, ends, column, filled = list[Shape](), [top], 0, 0
    y = top + 0.4 * size
    for lines in blocks:
        if filled >= rows and column + 1 < columns:
            column, filled, y = column + 1, 0, top + 0.4 * size
        at = (span[0] + column * (wide + 2.0 * size), y + size)
        shapes += text_block(lines, at=at, size=size, style="ink", layer="key")
        y, filled = y + len(lines) * LINE_SHARE * size + 0.15 * size, filled + len(lines)
        ends.append(y)
    y = max(ends) + 0.3 * size
    for note in notes:
        lines = wrapped(note, width=span[1] - span[0], size=size)
        shapes += text_block(lines, at=(span[0], y + size), size=size, style="soft", layer="key")
        y += len(lines) * LINE_SHARE * size + 0.15 * size
    return shapes, y + 0.4 * size
