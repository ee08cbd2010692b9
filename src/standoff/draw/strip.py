"""The strip: a stretch of the axis laid on the sheet at one scale, with what holds nothing of interest broken out.

A strip is a row of zones. Within a zone an axial distance is the layout's gap times the scale, exactly; between two zones
stands a break. All strips of one drawing share the scale.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from standoff.draw.scene import Px

BREAK: Px = 16.0
"""Width of a break between two zones."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """A part of the axis that must be seen [mm], the room beside it, and the longest gap behind it that is not broken out.

    `keep` is that gap's greatest length on the sheet.
    """

    rear_mm: float
    front_mm: float
    before: Px
    after: Px
    keep: Px = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Zone:
    """A stretch on the sheet, from `left` to `right`; `rear_mm` lies at `origin`."""

    rear_mm: float
    origin: Px
    left: Px
    right: Px
    scale: float

    def x(self, at_mm: float) -> Px:
        """Where a place on the axis lies on the sheet, whether or not the zone shows it."""
        return self.origin + (at_mm - self.rear_mm) * self.scale

    def shows(self, at_mm: float) -> bool:
        """Whether the zone holds a place on the axis."""
        return self.left <= self.x(at_mm) <= self.right


@dataclass(frozen=True, slots=True)
class Strip:
    """Zones side by side, from the rear forward."""

    zones: tuple[Zone, ...]

    @property
    def left(self) -> Px:
        """Where the strip begins."""
        return self.zones[0].left

    @property
    def right(self) -> Px:
        """Where the strip ends."""
        return self.zones[-1].right

    def zone(self, at_mm: float) -> Zone | None:
        """The zone that holds a place on the axis."""
        return next((zone for zone in self.zones if zone.shows(at_mm)), None)

    def x(self, at_mm: float) -> Px | None:
        """Where a place lies on the sheet, None where it is broken out."""
        zone = self.zone(at_mm)
        return None if zone is None else zone.x(at_mm)

    def nearest(self, at_mm: float) -> Px:
        """Where a place lies on the sheet; for one that is broken out, the middle of its break or the strip's end."""
        zone = self.zone(at_mm)
        if zone is not None:
            return zone.x(at_mm)
        for before, after in pairwise(self.zones):
            if before.x(at_mm) > before.right and after.x(at_mm) < after.left:
                return (before.right + after.left) / 2.0
        return self.left if self.zones[0].x(at_mm) < self.left else self.right


@dataclass(frozen=True, slots=True)
class Piece:
    """The part of a body that one zone shows; an end that goes on beyond the zone is open."""

    zone: Zone
    left: Px
    right: Px
    open_left: bool
    open_right: bool


def pieces(strip: Strip, *, rear_mm: float, front_mm: float) -> tuple[Piece, ...]:
    """What each zone shows of a body from `rear_mm` to `front_mm` (either may be infinite)."""
    found = []
    for zone in strip.zones:
        left, right = max(zone.x(rear_mm), zone.left), min(zone.x(front_mm), zone.right)
        if left < right:
            found.append(Piece(zone, left, right, zone.x(rear_mm) < zone.left, zone.x(front_mm) > zone.right))
    return tuple(found)


def scale_for(stretches: Sequence[Stretch], *, width: Px, greatest_scale: float) -> tuple[float, tuple[Stretch, ...]]:
    """The greatest scale at which the stretches fit, and the stretches with every gap closed that is not worth a break."""
    zones = tuple(stretches)
    while True:
        scale = min(_scale(zones, width), greatest_scale)
        joined = _joined(zones, scale)
        if len(joined) == len(zones):
            return scale, zones
        zones = joined


def _scale(zones: Sequence[Stretch], width: Px) -> float:
    room = width - sum(zone.before + zone.after for zone in zones) - BREAK * (len(zones) - 1)
    length_mm = sum(zone.front_mm - zone.rear_mm for zone in zones)
    return max(room, width * 0.1) / max(length_mm, 1.0)


def _joined(zones: Sequence[Stretch], scale: float) -> tuple[Stretch, ...]:
    """Neighbours made one, the first pair that asks for it."""
    for i, (a, b) in enumerate(pairwise(zones)):
        gap = (b.rear_mm - a.front_mm) * scale
        if gap <= max(a.after + b.before + BREAK, b.keep):
            last = a if a.front_mm > b.front_mm else b
            one = Stretch(
                rear_mm=min(a.rear_mm, b.rear_mm),
                front_mm=last.front_mm,
                before=a.before,
                after=last.after,
                keep=a.keep,
            )
            return (*zones[:i], one, *zones[i + 2 :])
    return tuple(zones)


def strip_at(zones: Sequence[Stretch], *, scale: float, left: Px, right: Px) -> Strip:
    """The zones laid out from `left` to `right`; what is to spare widens the room at both ends."""
    taken = sum(z.before + z.after + (z.front_mm - z.rear_mm) * scale for z in zones) + BREAK * (len(zones) - 1)
    spare = max(right - left - taken, 0.0) / 2.0
    laid, x = [], left
    for i, zone in enumerate(zones):
        before = zone.before + (spare if i == 0 else 0.0)
        after = zone.after + (spare if i == len(zones) - 1 else 0.0)
        origin = x + before
        end = origin + (zone.front_mm - zone.rear_mm) * scale + after
        laid.append(Zone(rear_mm=zone.rear_mm, origin=origin, left=x, right=end, scale=scale))
        x = end + BREAK
    return Strip(tuple(laid))
