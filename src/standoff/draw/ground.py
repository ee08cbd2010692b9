"""The ground: a drawing of the floor in real size, before any scale or file format.

Coordinates are those of `site.axis` plumbed down, in mm: x along the spindle axis forward, y to the left of one who looks
forward. The scene writer scales it for a screen or a sheet, the DXF writer takes it as it is; both read the same shapes. `block`
names the machine a shape belongs to (empty: none), so that a whole machine can be moved.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import TypeAlias

FloorXY: TypeAlias = tuple[float, float]
"""A place on the floor: x forward and y to the left [mm]."""

OVAL_PIECES = 72
"""Straight pieces by which a scene draws an oval: off by under a thousandth of the half axis."""


@dataclass(frozen=True, slots=True)
class Layer:
    """What a layer is called in a CAD file, its colour there by the index of the format, and its kind of line."""

    name: str
    colour: int
    dashes: str = "CONTINUOUS"


LAYERS: Mapping[str, Layer] = MappingProxyType(
    {
        "plan": Layer("BUILDING-PLAN", 8),
        "building": Layer("BUILDING", 7),
        "joint": Layer("SLAB-JOINTS", 9, "DASHDOT"),
        "keep-out": Layer("KEEP-OUT", 9, "DASHED"),
        "lathe": Layer("LATHE", 5),
        "loader": Layer("LOADER", 30),
        "feet": Layer("FEET", 30),
        "axis": Layer("SPINDLE-AXIS", 1, "CENTER"),
        "marks": Layer("MARKS", 6),
        "ovals": Layer("MARKS-HOW-SURE", 6, "DASHED"),
        "tapes": Layer("TAPES", 4),
        "clearances": Layer("CLEARANCES", 1),
        "dimensions": Layer("DIMENSIONS", 3),
        "labels": Layer("NAMES", 7),
    }
)
"""Every layer, in the order in which they are drawn."""


@dataclass(frozen=True, slots=True)
class Outline:
    """Straight pieces from corner to corner; a closed one returns to its first."""

    corners_mm: tuple[FloorXY, ...]
    style: str
    layer: str
    closed: bool = True
    block: str = ""


@dataclass(frozen=True, slots=True)
class Ring:
    """A circle: a hole, or a point marked."""

    centre_mm: FloorXY
    radius_mm: float
    style: str
    layer: str
    block: str = ""


@dataclass(frozen=True, slots=True)
class Oval:
    """An ellipse; its longer half axis is turned from x towards y."""

    centre_mm: FloorXY
    major_mm: float
    minor_mm: float
    direction_deg: float
    style: str
    layer: str

    def corners_mm(self) -> tuple[FloorXY, ...]:
        """Points on it, close together, all the way round. [mm]"""
        turn = math.radians(self.direction_deg)
        angles = (2.0 * math.pi * i / OVAL_PIECES for i in range(OVAL_PIECES))
        flat = ((self.major_mm * math.cos(a), self.minor_mm * math.sin(a)) for a in angles)
        x, y = self.centre_mm
        return tuple((x + u * math.cos(turn) - v * math.sin(turn), y + u * math.sin(turn) + v * math.cos(turn)) for u, v in flat)


@dataclass(frozen=True, slots=True)
class Label:
    """Words for a place; `room_mm` is how wide and high a clear space is there, `sign` a letter to stand for the words.

    A `minor` one is left out on a phone, where it would cover what it names.
    """

    at_mm: FloorXY
    words: str
    room_mm: tuple[float, float] = (0.0, 0.0)
    style: str = "ink"
    sign: str = ""
    block: str = ""
    minor: bool = False


@dataclass(frozen=True, slots=True)
class Measure:
    """A distance to be read; its line is moved aside by `off_mm`, to the left of the way from the one place to the other."""

    start_mm: FloorXY
    end_mm: FloorXY
    words: str
    off_mm: float = 0.0
    layer: str = "dimensions"
    style: str = "dimension"
    sign: str = ""

    @property
    def length_mm(self) -> float:
        """The distance. [mm]"""
        return math.dist(self.start_mm, self.end_mm)

    def line_mm(self) -> tuple[FloorXY, FloorXY]:
        """Where the line of the dimension runs. [mm]"""
        length_mm = self.length_mm or 1.0
        (ax, ay), (bx, by) = self.start_mm, self.end_mm
        dx, dy = -(by - ay) / length_mm * self.off_mm, (bx - ax) / length_mm * self.off_mm
        return (ax + dx, ay + dy), (bx + dx, by + dy)


Piece: TypeAlias = Outline | Ring | Oval | Label | Measure


@dataclass(frozen=True, slots=True)
class Ground:
    """A drawing of the floor; `blocks` says where the datum of each machine stands."""

    title: str
    description: str
    pieces: tuple[Piece, ...]
    blocks: Mapping[str, FloorXY]
    notes: tuple[str, ...] = ()

    @property
    def labels(self) -> tuple[Label, ...]:
        """Every name."""
        return tuple(piece for piece in self.pieces if isinstance(piece, Label))

    @property
    def measures(self) -> tuple[Measure, ...]:
        """Every dimension."""
        return tuple(piece for piece in self.pieces if isinstance(piece, Measure))

    def bounds_mm(self) -> tuple[FloorXY, FloorXY]:
        """The least and the greatest x and y of what is drawn, names apart. [mm]"""
        places = list(_places(self.pieces)) or [(0.0, 0.0)]
        xs, ys = zip(*places, strict=True)
        return (min(xs), min(ys)), (max(xs), max(ys))


def _places(pieces: Iterable[Piece]) -> Iterator[FloorXY]:
    for piece in pieces:
        if isinstance(piece, Ring):
            (x, y), r = piece.centre_mm, piece.radius_mm
            yield from ((x - r, y - r), (x + r, y + r))
        elif isinstance(piece, Oval):
            yield from piece.corners_mm()
        elif isinstance(piece, Measure):
            yield from (*piece.line_mm(), piece.start_mm, piece.end_mm)
        elif isinstance(piece, Outline):
            yield from piece.corners_mm


def rectangle(*, rear_mm: float, front_mm: float, right_mm: float, left_mm: float) -> tuple[FloorXY, ...]:
    """The corners of a rectangle along the axis. [mm]"""
    return (rear_mm, right_mm), (front_mm, right_mm), (front_mm, left_mm), (rear_mm, left_mm)


def middle(corners_mm: Iterable[FloorXY]) -> FloorXY:
    """The middle of the box around some corners. [mm]"""
    xs, ys = zip(*corners_mm, strict=True)
    return (min(xs) + max(xs)) / 2.0, (min(ys) + max(ys)) / 2.0
