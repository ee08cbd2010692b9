"""The scene: a drawing as a few plain shapes with a meaning, before any file format.

Coordinates are drawing units, x to the right and y DOWN; one unit is one CSS pixel, 1/96 in, at natural size. A shape names
what it stands for (`style`) and which machine or kind of line it belongs to (`layer`); how that looks is the writer's business.
A text carries its own box, estimated generously, so that collisions can be found without any font at hand.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal, TypeAlias

Px: TypeAlias = float
"""A coordinate or an extent of the drawing."""
Point: TypeAlias = tuple[Px, Px]
Anchor: TypeAlias = Literal["start", "middle", "end"]

PX_MM = 25.4 / 96.0
"""One drawing unit at natural size [mm]: the CSS reference pixel (CSS Values and Units, absolute lengths)."""

# Advance widths of a wide sans-serif (bold), in hundredths of the text size: most system fonts run narrower.
_WIDTHS = {
    "'|ijl.,· ": 38,
    ":;/\\!()[]-Iftr": 50,
    '"*_`–?Jscz': 62,
    "abdeghknopquvxyLFET0123456789$": 73,
    "PSYZCBRXAVKUG{}": 83,
    "wDHNOQ&#+<=>^~±→←×≥≤▼": 94,
    "mMW%@…": 112,
}
_WIDTH = {character: width / 100.0 for characters, width in _WIDTHS.items() for character in characters}
_STRANGE_WIDTH = 1.3
_REGULAR_SHARE = 0.94
_ASCENT, _DESCENT = 0.80, 0.24


@dataclass(frozen=True, slots=True, kw_only=True)
class Box:
    """An upright rectangle: what a text or a shape covers."""

    left: Px
    top: Px
    right: Px
    bottom: Px

    def meets(self, other: Box) -> bool:
        """Whether two boxes share more than an edge."""
        across = self.left < other.right and other.left < self.right
        return across and self.top < other.bottom and other.top < self.bottom

    def inside(self, other: Box) -> bool:
        """Whether this box lies wholly within another."""
        across = other.left <= self.left and self.right <= other.right
        return across and other.top <= self.top and self.bottom <= other.bottom

    def grown(self, by: Px) -> Box:
        """The box with every edge moved outwards."""
        return Box(left=self.left - by, top=self.top - by, right=self.right + by, bottom=self.bottom + by)


@dataclass(frozen=True, slots=True)
class Line:
    """A straight line."""

    start: Point
    end: Point
    style: str
    layer: str


@dataclass(frozen=True, slots=True)
class Path:
    """Straight pieces from point to point; a closed path returns to its first point."""

    points: tuple[Point, ...]
    style: str
    layer: str
    closed: bool = False


@dataclass(frozen=True, slots=True)
class Rect:
    """An upright rectangle."""

    box: Box
    style: str
    layer: str


@dataclass(frozen=True, slots=True)
class Circle:
    """A circle."""

    centre: Point
    radius: Px
    style: str
    layer: str


@dataclass(frozen=True, slots=True)
class Hatch:
    """A rectangle filled with slanting lines, rising to the right or falling, that leave out the holes."""

    box: Box
    spacing: Px
    style: str
    layer: str
    rising: bool = True
    holes: tuple[Box, ...] = ()

    def strokes(self) -> Iterator[tuple[Point, Point]]:
        """The lines themselves, at 45 degrees, cut off at the rectangle and its holes."""
        width, height = self.box.right - self.box.left, self.box.bottom - self.box.top
        origin, way = (self.box.top, 1.0) if self.rising else (self.box.bottom, -1.0)
        reach = self.spacing / 2.0
        while reach < width + height:
            # The line x + y = reach, in a frame with its origin in the corner the hatching starts from.
            low, high = max(0.0, reach - height), min(width, reach)
            a, b = ((self.box.left + x, origin + way * (reach - x)) for x in (low, high))
            yield from outside(a, b, self.holes)
            reach += self.spacing


@dataclass(frozen=True, slots=True)
class Text:
    """One line of text on its baseline."""

    at: Point
    words: str
    size: Px
    style: str
    layer: str = "text"
    anchor: Anchor = "start"
    bold: bool = False

    @property
    def box(self) -> Box:
        """What the text covers, rather too much than too little."""
        width = text_width(self.words, size=self.size, bold=self.bold)
        x, y = self.at
        left = x - {"start": 0.0, "middle": width / 2.0, "end": width}[self.anchor]
        return Box(left=left, top=y - _ASCENT * self.size, right=left + width, bottom=y + _DESCENT * self.size)


Shape: TypeAlias = Line | Path | Rect | Circle | Hatch | Text


@dataclass(frozen=True, slots=True)
class Scene:
    """A finished drawing; `title` and `description` say in words what it shows."""

    width: Px
    height: Px
    title: str
    description: str
    shapes: tuple[Shape, ...]

    @property
    def texts(self) -> tuple[Text, ...]:
        """Every text of the drawing."""
        return tuple(shape for shape in self.shapes if isinstance(shape, Text))

    @property
    def frame(self) -> Box:
        """The edge of the drawing."""
        return Box(left=0.0, top=0.0, right=self.width, bottom=self.height)


def text_width(words: str, *, size: Px, bold: bool = False) -> Px:
    """How wide a line of text runs, estimated generously."""
    ems = sum(_WIDTH.get(character, _STRANGE_WIDTH) for character in words)
    return ems * size * (1.0 if bold else _REGULAR_SHARE)


def points_of(shape: Shape) -> tuple[Point, ...]:
    """The points that say where a shape lies."""
    if isinstance(shape, Line):
        return (shape.start, shape.end)
    if isinstance(shape, Path):
        return shape.points
    if isinstance(shape, Circle):
        (x, y), r = shape.centre, shape.radius
        return ((x - r, y - r), (x + r, y + r))
    box = shape.box
    return ((box.left, box.top), (box.right, box.bottom))


def moved(shapes: Iterable[Shape], *, right: Px = 0.0, down: Px = 0.0) -> tuple[Shape, ...]:
    """The shapes at another place of the drawing."""
    return tuple(_moved(shape, (right, down)) for shape in shapes)


def _moved(shape: Shape, by: Point) -> Shape:
    def at(point: Point) -> Point:
        return point[0] + by[0], point[1] + by[1]

    if isinstance(shape, Line):
        return replace(shape, start=at(shape.start), end=at(shape.end))
    if isinstance(shape, Path):
        return replace(shape, points=tuple(at(point) for point in shape.points))
    if isinstance(shape, Circle):
        return replace(shape, centre=at(shape.centre))
    if isinstance(shape, Text):
        return replace(shape, at=at(shape.at))
    if isinstance(shape, Hatch):
        return replace(shape, box=_moved_box(shape.box, by), holes=tuple(_moved_box(hole, by) for hole in shape.holes))
    return replace(shape, box=_moved_box(shape.box, by))


def _moved_box(box: Box, by: Point) -> Box:
    return Box(left=box.left + by[0], top=box.top + by[1], right=box.right + by[0], bottom=box.bottom + by[1])


def outside(start: Point, end: Point, boxes: Sequence[Box]) -> tuple[tuple[Point, Point], ...]:
    """The parts of a line outside all boxes."""
    hidden = sorted(found for box in boxes if (found := _within(start, end, box)) is not None)
    pieces, reached = [], 0.0
    for enters, leaves in hidden:
        if enters > reached:
            pieces.append((reached, enters))
        reached = max(reached, leaves)
    if reached < 1.0:
        pieces.append((reached, 1.0))

    def at(share: float) -> Point:
        return start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1])

    return tuple((start if a == 0.0 else at(a), end if b == 1.0 else at(b)) for a, b in pieces)


def _within(start: Point, end: Point, box: Box) -> tuple[float, float] | None:
    """From which to which share of its length a line runs inside a box (Liang and Barsky 1984)."""
    enters, leaves = 0.0, 1.0
    for at, to, low, high in ((start[0], end[0], box.left, box.right), (start[1], end[1], box.top, box.bottom)):
        along = to - at
        if along == 0.0:
            if not low < at < high:
                return None
            continue
        near, far = sorted(((low - at) / along, (high - at) / along))
        enters, leaves = max(enters, near), min(leaves, far)
    return (enters, leaves) if enters < leaves else None
