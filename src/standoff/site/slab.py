"""The slab below both machines: a joint between them, or under one of them, lets one move against the other."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from shapely.geometry import LineString

from standoff.site.footprint import FloorPlace, Footprint


@dataclass(frozen=True, slots=True)
class Joint:
    """A straight joint of the slab between two points [mm]."""

    id: str
    name: str
    start_mm: FloorPlace
    end_mm: FloorPlace


@dataclass(frozen=True, slots=True)
class Crossing:
    """What a joint does: it runs under a machine, or parts some of the loader's places from the lathe."""

    joint: Joint
    under_lathe: bool
    parted: tuple[str, ...]
    of: int

    @property
    def parts_all(self) -> bool:
        """Whether the whole loader stands on the other side of it."""
        return len(self.parted) == self.of


def crossings(joints: Sequence[Joint], *, lathe: Footprint, places_mm: Sequence[tuple[str, FloorPlace]]) -> tuple[Crossing, ...]:
    """Which joints part the loader from the lathe?

    A place is parted from the lathe where the straight line from it to the middle of the lathe crosses the joint: a joint that
    ends between them is then said to part them, since what it does beyond its end is not known.

    Args:
        joints: the joints.
        lathe: the lathe's footprint.
        places_mm: the loader's feet, or the middles of its parts, by name [mm].

    Returns:
        The joints that matter, in their order.

    Validity: straight joints.
    Source: geometry.
    """
    found = []
    for joint in joints:
        line = LineString((joint.start_mm, joint.end_mm))
        parted = tuple(name for name, at in places_mm if LineString((at, lathe.centre_mm)).intersects(line))
        under = bool(lathe.shape.crosses(line) or lathe.shape.intersection(line).length > 0.0)
        if under or parted:
            found.append(Crossing(joint, under, parted, len(places_mm)))
    return tuple(found)
