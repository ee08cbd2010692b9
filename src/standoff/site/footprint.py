"""A footprint: the outline of a thing on the floor, seen from above, and how far two of them are apart or run into each other.

Coordinates are those of `axis`, plumbed down: x along the spindle axis forward, y to the left. A footprint is convex (boxes, the
quarter circle of a door), or an open line such as a wall drawn as one. Two convex footprints that overlap can be pulled apart in
some direction by a least distance: that is how deep they run into each other.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import LineString, Point, Polygon

from standoff.bar.checks import require_finite, require_not_negative, require_positive
from standoff.errors import UsageError

FloorPlace: TypeAlias = tuple[float, float]
"""A place on the floor: x forward and y to the left [mm]."""

Array: TypeAlias = NDArray[np.float64]
Shapes: TypeAlias = NDArray[np.object_]
"""Areas or lines as the geometry library takes them."""

ARC_PIECES = 24
"""Straight pieces that stand for a quarter circle; they lie outside it, by less than 0.06 % of its radius."""

_SAME_MM = 1e-6
_EDGE_MM = 0.5
"""What reaches no farther than this over the edge of a space only touches it: a tape on a floor says no more."""


@dataclass(frozen=True, slots=True)
class Footprint:
    """Corners in order; `closed` ones enclose a convex area, open ones are a line."""

    corners_mm: tuple[FloorPlace, ...]
    closed: bool = True

    def __post_init__(self) -> None:
        for x_mm, y_mm in self.corners_mm:
            require_finite("x of a corner", x_mm)
            require_finite("y of a corner", y_mm)
        least = 3 if self.closed else 2
        if len(set(self.corners_mm)) < least:
            raise UsageError(
                what="outline",
                given=f"{len(set(self.corners_mm))} different corners",
                allowed=f"{least} at least",
                action="give the outline's corners",
            )

    def moved(self, *, by_x_mm: float) -> Footprint:
        """The same footprint moved along the axis."""
        return Footprint(tuple((x + by_x_mm, y) for x, y in self.corners_mm), self.closed)

    def swept(self, *, least_mm: float, greatest_mm: float) -> Footprint:
        """Everything it covers while it moves along the axis between two places; exact, since it is convex."""
        if greatest_mm <= least_mm:
            return self.moved(by_x_mm=least_mm)
        ends = [c for by_mm in (least_mm, greatest_mm) for c in self.moved(by_x_mm=by_mm).corners_mm]
        hull = shapely.convex_hull(shapely.multipoints(ends))
        return Footprint(tuple((float(x), float(y)) for x, y in hull.exterior.coords[:-1]))

    @property
    def shape(self) -> LineString | Polygon:
        """The footprint as the geometry library takes it."""
        return Polygon(self.corners_mm) if self.closed else LineString(self.corners_mm)

    @property
    def centre_mm(self) -> FloorPlace:
        """The middle of its area, or of its line."""
        middle = self.shape.centroid
        return float(middle.x), float(middle.y)

    @property
    def x_range_mm(self) -> FloorPlace:
        """The least and the greatest x."""
        xs = [x for x, _ in self.corners_mm]
        return min(xs), max(xs)

    @property
    def y_range_mm(self) -> FloorPlace:
        """The least and the greatest y."""
        ys = [y for _, y in self.corners_mm]
        return min(ys), max(ys)


@dataclass(frozen=True, slots=True)
class Apart:
    """How far two footprints are apart (negative: by how much they run into each other), and between which two places [mm]."""

    gap_mm: float
    start_mm: FloorPlace
    end_mm: FloorPlace


def box(*, least_x_mm: float, greatest_x_mm: float, least_y_mm: float, greatest_y_mm: float) -> Footprint:
    """The footprint of a box that stands square to the axis; raises UsageError for one without area."""
    if not (greatest_x_mm - least_x_mm > 0.0 and greatest_y_mm - least_y_mm > 0.0):
        raise UsageError(
            what="box",
            given=f"{greatest_x_mm - least_x_mm:.1f} mm long and {greatest_y_mm - least_y_mm:.1f} mm wide",
            allowed="a length and a width above zero",
            action="check which end is which",
        )
    corners = ((least_x_mm, least_y_mm), (greatest_x_mm, least_y_mm), (greatest_x_mm, greatest_y_mm), (least_x_mm, greatest_y_mm))
    return Footprint(corners)


def quarter(hinge_mm: FloorPlace, *, radius_mm: float, closed_deg: float, open_deg: float) -> Footprint:
    """What does a door sweep that opens a quarter turn?

    A quarter circle about its hinge, as a polygon that touches it from outside: errs large.

    Args:
        hinge_mm: the hinge [mm].
        radius_mm: width of the leaf [mm].
        closed_deg: direction of the closed leaf, from the x axis towards the y axis [deg].
        open_deg: direction of the open leaf [deg], a quarter turn from it.

    Returns:
        The footprint, in mm.

    Raises:
        UsageError: no width, or directions that are not a quarter turn apart.

    Validity: a leaf without thickness or handle.
    Source: geometry of the circle.

    >>> swing = quarter((0.0, 0.0), radius_mm=600.0, closed_deg=0.0, open_deg=90.0)
    >>> round(swing.shape.area / (math.pi * 600.0**2 / 4.0), 4)
    1.0004
    """
    require_positive("width of the door", radius_mm)
    turn_deg = (open_deg - closed_deg + 180.0) % 360.0 - 180.0
    if abs(abs(turn_deg) - 90.0) > 1e-6:
        raise UsageError(
            what="door", given=f"opens by {turn_deg:.0f} degrees", allowed="a quarter turn", action="name both sides"
        )
    step = math.radians(turn_deg) / ARC_PIECES
    outside_mm = radius_mm / math.cos(step / 2.0)
    start = math.radians(closed_deg)
    turns = [(start, radius_mm), *((start + (i + 0.5) * step, outside_mm) for i in range(ARC_PIECES))]
    turns.append((start + ARC_PIECES * step, radius_mm))
    x_mm, y_mm = hinge_mm
    arc = tuple((x_mm + r_mm * math.cos(turn), y_mm + r_mm * math.sin(turn)) for turn, r_mm in turns)
    return Footprint((hinge_mm, *arc))


def apart(one: Footprint, other: Footprint) -> Apart:
    """How far are two footprints apart, or how deep do they run into each other?

    Apart: the shortest distance. Overlapping: the least distance by which one would have to be moved, in the best direction, so
    that they only touch (separating axes of convex outlines); of an open line the deepest of its pieces.

    Args:
        one: a convex footprint.
        other: a convex footprint, or a line.

    Returns:
        Gap [mm], negative where they overlap, and the two nearest places; where they overlap the middle of what they share.

    Raises:
        UsageError: two lines.

    Validity: convex outlines.
    Source: separating axis theorem.

    >>> a = box(least_x_mm=0.0, greatest_x_mm=100.0, least_y_mm=0.0, greatest_y_mm=50.0)
    >>> apart(a, a.moved(by_x_mm=130.0)).gap_mm, apart(a, a.moved(by_x_mm=90.0)).gap_mm
    (30.0, -10.0)
    """
    if not (one.closed or other.closed):
        raise UsageError(what="outlines", given="two lines", allowed="one area at least", action="close one of them")
    first, second = one.shape, other.shape
    if not first.intersects(second):
        line = shapely.shortest_line(first, second)
        (ax, ay), (bx, by) = line.coords[0], line.coords[-1]
        return Apart(float(line.length), (float(ax), float(ay)), (float(bx), float(by)))
    middle = first.intersection(second).representative_point()
    at = (float(middle.x), float(middle.y))
    return Apart(-max(_depth_mm(a, b) for a in _pieces(one) for b in _pieces(other)), at, at)


def nearest(areas: Sequence[Footprint], lines: Shapes) -> tuple[int, ...]:
    """Which of many lines matter to these areas: of each area those that run into it, or else the nearest one.

    Args:
        areas: footprints.
        lines: what is to be sifted, such as every piece of a building's plan, as the geometry library takes them.

    Returns:
        The places of those lines in their list, ascending.

    Validity: any outlines.
    Source: geometry.

    >>> area = box(least_x_mm=0.0, greatest_x_mm=100.0, least_y_mm=0.0, greatest_y_mm=50.0)
    >>> lines = np.array([LineString(((x, -10.0), (x, 60.0))) for x in (300.0, 150.0, -40.0)])
    >>> nearest([area], lines), nearest([area.moved(by_x_mm=60.0)], lines)
    ((2,), (1,))
    """
    found: set[int] = set()
    for area in areas if len(lines) else ():
        shape = area.shape
        shapely.prepare(shape)
        distances_mm = shapely.distance(shape, lines)
        found.update(int(i) for i in (distances_mm <= max(float(distances_mm.min()), 0.0)).nonzero()[0])
    return tuple(sorted(found))


def reach_mm(space: Footprint, other: Footprint, start: Sequence[FloorPlace]) -> float:
    """How far does a space stay free, from the side (or the hinge) at which it begins?

    Args:
        space: the space that is to stay free.
        other: what may stand in it.
        start: where it begins: the two ends of a side, or one hinge [mm].

    Returns:
        The distance from there to what stands in the space [mm]; infinite where nothing of it does.

    Validity: convex outlines.
    Source: geometry.

    >>> space = box(least_x_mm=0.0, greatest_x_mm=100.0, least_y_mm=0.0, greatest_y_mm=900.0)
    >>> thing = box(least_x_mm=20.0, greatest_x_mm=60.0, least_y_mm=700.0, greatest_y_mm=2000.0)
    >>> reach_mm(space, thing, ((0.0, 0.0), (100.0, 0.0)))
    700.0
    """
    return float(reaches_mm(space, np.array([other.shape]), start)[0])


def reaches_mm(space: Footprint, others: Shapes, start: Sequence[FloorPlace]) -> Array:
    """How far does a space stay free of each of many things?

    What only touches the space's edge does not stand in it, nor does a line that runs along its edge.

    Args:
        space: the space that is to stay free.
        others: what may stand in it, areas or lines of the geometry library.
        start: as of `reach_mm` [mm].

    Returns:
        The distance to each, shape (n,) [mm]; infinite where it does not stand in the space.

    Validity: convex outlines.
    Source: geometry.

    >>> space = box(least_x_mm=0.0, greatest_x_mm=100.0, least_y_mm=0.0, greatest_y_mm=900.0)
    >>> lines = [LineString(((-50.0, y), (150.0, y))) for y in (0.0, 400.0, 950.0)]
    >>> reaches_mm(space, np.array(lines), ((0.0, 0.0), (100.0, 0.0))).tolist()
    [inf, 400.0, inf]
    """
    whole = space.shape
    inside = shapely.intersection(whole.buffer(-_EDGE_MM, join_style="mitre"), others)
    stands = np.where(shapely.area(others) > 0.0, shapely.area(inside), shapely.length(inside)) > _SAME_MM
    begin = LineString(start) if len(start) > 1 else Point(start[0])
    free_mm = np.full(len(others), math.inf)
    free_mm[stands] = shapely.distance(shapely.intersection(whole, others[stands]), begin)
    return free_mm


def shared_height_mm(*, low_mm: float, high_mm: float, other_low_mm: float, other_high_mm: float) -> float:
    """How much height do two things share?

    Args:
        low_mm: underside above the floor [mm].
        high_mm: top above the floor [mm]; infinite: nothing passes above.
        other_low_mm: the other's underside [mm].
        other_high_mm: the other's top [mm].

    Returns:
        The height both have [mm]; 0 where one only touches the other, negative where there is a gap between them.

    Raises:
        UsageError: an underside below the floor.

    Validity: upright sides.
    Source: geometry.

    >>> shared_height_mm(low_mm=700.0, high_mm=1300.0, other_low_mm=0.0, other_high_mm=510.0)
    -190.0
    """
    require_not_negative("underside", low_mm)
    require_not_negative("underside", other_low_mm)
    return min(high_mm, other_high_mm) - max(low_mm, other_low_mm)


def _pieces(footprint: Footprint) -> list[tuple[FloorPlace, ...]]:
    """A convex area as it is, a line piece by piece."""
    if footprint.closed:
        return [footprint.corners_mm]
    return list(zip(footprint.corners_mm, footprint.corners_mm[1:], strict=False))


def _depth_mm(one: tuple[FloorPlace, ...], other: tuple[FloorPlace, ...]) -> float:
    """The least distance that takes two convex pieces apart; 0 where they are. [mm]"""
    least = math.inf
    for piece in (one, other):
        for (ax, ay), (bx, by) in zip(piece, (*piece[1:], piece[0]), strict=True):
            length_mm = math.hypot(bx - ax, by - ay)
            if length_mm <= _SAME_MM:
                continue
            across = ((by - ay) / length_mm, (ax - bx) / length_mm)
            first, second = ([x * across[0] + y * across[1] for x, y in corners] for corners in (one, other))
            least = min(least, max(first) - min(second), max(second) - min(first))
    return max(least, 0.0)
