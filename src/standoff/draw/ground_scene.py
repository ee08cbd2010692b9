"""The ground as a scene: scaled for a screen, a phone or paper, with names where there is room and numbers with a key where not.

On a wide sheet forward is to the right and left is up; on a phone forward is up and left is left. On paper a stated scale holds
when the sheet is printed at its natural size.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from standoff.draw.elevation import FORMATS, Arrangement
from standoff.draw.ground import LAYERS, FloorXY, Ground, Label, Measure, Outline, Oval, Ring
from standoff.draw.labels import LINE_SHARE, cleared, text_block, wrapped
from standoff.draw.scene import PX_MM, Box, Circle, Line, Path, Point, Px, Scene, Shape, Text, text_width
from standoff.errors import UsageError
from standoff.units import Units

SCALES = (5, 10, 20, 25, 40, 50, 75, 100, 150, 200, 300, 400, 500)
"""Scales a sheet is printed to: 1 to so many."""
SHEET_PX: Px = 1017.0
"""The greatest width or height of what is printed to scale: A4 lying, 10 mm kept free all round, in drawing units."""
HIGHEST: dict[str, Px] = {"wide": 620.0, "page": 520.0, "narrow": 900.0}
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
    """The largest scale of `SCALES` at which the plan fits a sheet of A4 lying; the smallest where none does."""
    (low_x, low_y), (high_x, high_y) = ground.bounds_mm()
    longest_mm = max(high_x - low_x, high_y - low_y)
    return next((one_to for one_to in SCALES if 1.04 * longest_mm / (PX_MM * one_to) <= SHEET_PX), SCALES[-1])


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
    names = _Names(view, form.size, form.named)
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
            yield Path(tuple(map(view.at, piece.corners_mm)), piece.style, piece.block or layer, closed=piece.closed)
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

    def __init__(self, view: View, size: Px, named: bool) -> None:
        self._view, self._size, self._named = view, size, named
        self._taken: list[Box] = []
        self._count = 0

    def placed(self, ground: Ground) -> tuple[list[Shape], list[str]]:
        """The names as shapes, and the lines of the key."""
        shapes, key = list[Shape](), list[str]()
        fitting = [(label, found) for label in ground.labels if (found := self._within(label))]
        for label, lines in fitting:
            shapes += [replace(line, layer=label.block or "labels") for line in lines]
            self._taken += [line.box for line in lines]
        done = {id(label) for label, _ in fitting}
        for label in ground.labels:
            if id(label) not in done:
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

    def _within(self, label: Label) -> tuple[Text, ...]:
        """A name in the clear space it has; empty where it does not fit."""
        if label.sign or not self._named:
            return ()
        room = [mm * self._view.px_per_mm_scale for mm in label.room_mm]
        wide, high = reversed(room) if self._view.turned else room
        lines = wrapped(label.words, width=max(wide - 6.0, 1.0), size=self._size)
        step = LINE_SHARE * self._size
        x, y = self._view.at(label.at_mm)
        first = y - (len(lines) - 1) * step / 2.0 + 0.35 * self._size
        found = tuple(Text((x, first + i * step), line, self._size, label.style, anchor="middle") for i, line in enumerate(lines))
        fits = " ".join(lines) == " ".join(label.words.split()) and len(lines) * step <= high
        return found if fits and not any(self._meets(line.box) for line in found) else ()

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
    """What the numbers and letters stand for, then the notes, each on lines of its own."""
    shapes, y = list[Shape](), top + 0.4 * size
    for line, style in (*((line, "ink") for line in key), *((line, "soft") for line in notes)):
        lines = wrapped(line, width=span[1] - span[0], size=size)
        shapes += text_block(lines, at=(span[0], y + size), size=size, style=style, layer="key")
        y += len(lines) * LINE_SHARE * size + 0.15 * size
    return shapes, y + 0.4 * size
