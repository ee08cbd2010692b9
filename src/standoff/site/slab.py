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
    """What a joint does: it runs under the lathe or under parts of the loader, or parts some of its places from the lathe."""

    joint: Joint
    under_lathe: bool
    under: tuple[str, ...]
    parted: tuple[str, ...]
    of: int

    @property
    def parts_all(self) -> bool:
        """Whether the whole loader stands on the other side of it."""
        return bool(self.parted) and len(self.parted) == self.of


def crossings(
    joints: Sequence[Joint],
    *,
    lathe: Footprint,
    places_mm: Sequence[tuple[str, FloorPlace]] = (),
    parts: Sequence[tuple[str, Footprint]] = (),
) -> tuple[Crossing, ...]:
    """Which joints part the loader from the lathe?

    A place is parted from the lathe where the straight line from it to the middle of the lathe crosses the joint: a joint that
    ends between them is then said to part them, since what it does beyond its end is not known.

    Args:
        joints: the joints.
        lathe: the lathe's footprint.
        places_mm: the loader's feet by name [mm].
        parts: what the loader consists of by name, where its feet are not known: a joint under a part is said to run under it,
            one that has all of it on the other side parts it.

    Returns:
        The joints that matter, in their order.

    Validity: straight joints.
    Source: geometry.
    """
    found = []
    for joint in joints:
        line = LineString((joint.start_mm, joint.end_mm))
        under = tuple(name for name, part in parts if _under(part, line))
        beyond = [(name, part.centre_mm) for name, part in parts if name not in under]
        places = [*places_mm, *beyond]
        parted = tuple(name for name, at in places if LineString((at, lathe.centre_mm)).intersects(line))
        if _under(lathe, line) or under or parted:
            found.append(Crossing(joint, _under(lathe, line), under, parted, len(places_mm) + len(parts)))
    return tuple(found)


def _under(part: Footprint, line: LineString) -> bool:
    """Whether a joint runs under a part."""
    return bool(part.shape.crosses(line) or part.shape.intersection(line).length > 0.0)
