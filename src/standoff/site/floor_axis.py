"""The spindle axis carried to the floor at two points, and what an error of theirs costs at the far end of the loader.

The line through both marks is where the loader's axis will stand. Between the marks an error shrinks, beyond them it grows with
the distance: marks close together under the lathe say little of a point 5 m behind it. Coordinates as in `axis`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from standoff.bar.checks import require_finite, require_positive
from standoff.errors import UsageError, shown


@dataclass(frozen=True, slots=True)
class AxisMark:
    """The axis plumbed down to the floor: where along it, and the standard uncertainty sideways."""

    name: str
    x_mm: float
    sideways_u_mm: float

    def __post_init__(self) -> None:
        require_finite(f"place of {self.name}", self.x_mm)
        require_positive(f"sideways uncertainty of {self.name}", self.sideways_u_mm)


@dataclass(frozen=True, slots=True)
class FarEnd:
    """What the marks cost at a point of the axis: its standard uncertainty sideways, and per mark the shift for 1 mm of error."""

    x_mm: float
    sideways_u_mm: float
    front_factor: float
    rear_factor: float


@dataclass(frozen=True, slots=True)
class FloorAxis:
    """The axis on the floor through two marks, the front one (nearer the work) first."""

    front: AxisMark
    rear: AxisMark

    def __post_init__(self) -> None:
        if self.front.x_mm - self.rear.x_mm <= 1e-6:
            raise UsageError(
                what="axis marks",
                given=f"{shown(self.front.name)} at {self.front.x_mm:.0f} mm, {shown(self.rear.name)} at {self.rear.x_mm:.0f} mm",
                allowed="a front mark and a rear mark apart",
                action="name the mark nearer the work first, or plumb the axis down at another place",
            )

    @property
    def base_mm(self) -> float:
        """How far the marks are apart. [mm]"""
        return self.front.x_mm - self.rear.x_mm

    @property
    def direction_u_mm_per_m(self) -> float:
        """The standard uncertainty of the axis' direction. [mm/m]"""
        return 1000.0 * math.hypot(self.front.sideways_u_mm, self.rear.sideways_u_mm) / self.base_mm

    def far_end(self, x_mm: float) -> FarEnd:
        """What do errors of the marks cost at this place?

        A straight line through both marks: the errors add in squares, each times its lever.

        Args:
            x_mm: the place along the axis [mm].

        Returns:
            Standard uncertainty sideways [mm]; both levers [-].

        Raises:
            UsageError: a place that is no number.

        Validity: marks independent of each other.
        Source: JCGM 100:2008, 5.1.2.

        >>> axis = FloorAxis(AxisMark("under the adapter", 0.0, 1.0), AxisMark("behind the cover", -1000.0, 1.0))
        >>> found = axis.far_end(-5000.0)
        >>> found.front_factor, found.rear_factor, round(found.sideways_u_mm, 2)
        (-4.0, 5.0, 6.4)
        """
        rear = (self.front.x_mm - require_finite("place along the axis", x_mm)) / self.base_mm
        front = 1.0 - rear
        return FarEnd(x_mm, math.hypot(front * self.front.sideways_u_mm, rear * self.rear.sideways_u_mm), front, rear)


def base_wanted_mm(*, far_mm: float, mark_u_mm: float, wanted_u_mm: float) -> float:
    """How far apart must the marks be, so that the far end is as sure as wanted?

    Both marks equally sure, the far end at a distance F behind the front one: u^2 = ((1 - t)^2 + t^2) u_m^2 with t = F / base.

    Args:
        far_mm: distance from the front mark back to the far end [mm].
        mark_u_mm: standard uncertainty of each mark sideways [mm].
        wanted_u_mm: standard uncertainty wanted at the far end [mm].

    Returns:
        Least distance between the marks [mm]; beyond the far end where less is wanted there than one mark has.

    Raises:
        UsageError: lengths that are not above zero, or more wanted than two marks can give (their u / sqrt 2).

    Validity: marks independent of each other.
    Source: JCGM 100:2008, 5.1.2, solved for the base.

    >>> round(base_wanted_mm(far_mm=5000.0, mark_u_mm=1.0, wanted_u_mm=6.403124))
    1000
    """
    require_positive("distance of the far end", far_mm)
    ratio = require_positive("uncertainty wanted", wanted_u_mm) / require_positive("uncertainty of the marks", mark_u_mm)
    spare = 2.0 * ratio**2 - 1.0
    if spare < 0.0:
        raise UsageError(
            what="uncertainty wanted",
            given=f"{wanted_u_mm} mm from marks of {mark_u_mm} mm",
            allowed=f"{mark_u_mm / math.sqrt(2.0):.2f} mm or more",
            action="plumb the axis down more exactly",
        )
    return far_mm / ((1.0 + math.sqrt(spare)) / 2.0)
