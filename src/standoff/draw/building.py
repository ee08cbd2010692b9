"""A building's floor plan as lines, in real size: as it was drawn, or laid under the lathe."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from standoff.draw.ground import FloorXY


@dataclass(frozen=True, slots=True)
class PlanLine:
    """Straight pieces from point to point, on a layer of the building's plan."""

    layer: str
    points_mm: tuple[FloorXY, ...]


@dataclass(frozen=True, slots=True)
class PlanLayer:
    """A layer with how many lines it holds; `hidden`: switched off or frozen in the file."""

    name: str
    count: int
    hidden: bool


@dataclass(frozen=True, slots=True)
class BuildingPlan:
    """What was read of a floor plan.

    `unit` is what its lengths were taken to be in and `stated` whether the file itself says so; `layers` are all there are,
    `taken` those to be drawn; `left_out` counts what was not read, by kind.
    """

    file: str
    unit: str
    stated: bool
    layers: tuple[PlanLayer, ...]
    taken: tuple[str, ...]
    lines: tuple[PlanLine, ...]
    left_out: Mapping[str, int]
    question: str = ""

    @property
    def drawn(self) -> tuple[PlanLine, ...]:
        """The lines on the layers taken."""
        return tuple(line for line in self.lines if line.layer in self.taken)

    def bounds_mm(self) -> tuple[FloorXY, FloorXY]:
        """The least and the greatest x and y of what is drawn. [mm]"""
        xs, ys = zip(*(point for line in self.drawn for point in line.points_mm), strict=True)
        return (min(xs), min(ys)), (max(xs), max(ys))


def laid_under(plan: BuildingPlan, *, at_x_mm: float, at_y_mm: float, forward_deg: float, cover_x_mm: float) -> BuildingPlan:
    """The plan in floor coordinates, seen from the lathe.

    Args:
        plan: the plan as it was drawn.
        at_x_mm: the plan's own x of the place where the spindle axis goes through the cover's outer face [mm].
        at_y_mm: its y of that place [mm].
        forward_deg: in which direction of the plan the axis points forward, from its x towards its y [deg].
        cover_x_mm: where that face stands in floor coordinates [mm].
    """
    turn = math.radians(forward_deg)
    cos, sin = math.cos(turn), math.sin(turn)

    def seen(point: FloorXY) -> FloorXY:
        x, y = point[0] - at_x_mm, point[1] - at_y_mm
        return cover_x_mm + cos * x + sin * y, -sin * x + cos * y

    return replace(plan, lines=tuple(PlanLine(line.layer, tuple(map(seen, line.points_mm))) for line in plan.lines))


def clipped(lines: Sequence[PlanLine], *, low_mm: FloorXY, high_mm: FloorXY) -> tuple[PlanLine, ...]:
    """What lies within a rectangle, in runs."""
    return tuple(PlanLine(line.layer, run) for line in lines for run in _runs(line, low_mm, high_mm))


def _runs(line: PlanLine, low_mm: FloorXY, high_mm: FloorXY) -> Iterator[tuple[FloorXY, ...]]:
    run: list[FloorXY] = []
    for start, end in pairwise(line.points_mm):
        found = _inside(start, end, low_mm, high_mm)
        if found is None:
            continue
        if run and run[-1] != found[0]:
            yield tuple(run)
            run = []
        run += [found[1]] if run else list(found)
    if run:
        yield tuple(run)


def _inside(start: FloorXY, end: FloorXY, low_mm: FloorXY, high_mm: FloorXY) -> tuple[FloorXY, FloorXY] | None:
    """The part of a straight piece within a rectangle (Liang and Barsky 1984)."""
    enters, leaves = 0.0, 1.0
    for at, to, low, high in zip(start, end, low_mm, high_mm, strict=True):
        along = to - at
        if along == 0.0:
            if not low <= at <= high:
                return None
            continue
        near, far = sorted(((low - at) / along, (high - at) / along))
        enters, leaves = max(enters, near), min(leaves, far)
    if enters >= leaves:
        return None

    def at_share(share: float) -> FloorXY:
        return start[0] + share * (end[0] - start[0]), start[1] + share * (end[1] - start[1])

    return start if enters == 0.0 else at_share(enters), end if leaves == 1.0 else at_share(leaves)
