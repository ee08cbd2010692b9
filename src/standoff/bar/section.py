"""The cross-section of a bar: round, hexagon or square, whose bending stiffness is equal in every direction.

Only such a bar has ONE whip speed, so a flat or D-shaped bar is refused. A hexagon and a square pass their edges along every
fixed support 6 or 4 times a turn: two further speeds to keep away from.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum

from standoff.bar.checks import require_positive
from standoff.errors import UsageError


class Shape(Enum):
    """The shapes of bar that can turn: equal stiffness in every direction."""

    ROUND = "round"
    HEXAGON = "hexagon"
    SQUARE = "square"


@dataclass(frozen=True, slots=True)
class Section:
    """A cross-section: its shape and its size (diameter of a round, across flats of a hexagon or square)."""

    shape: Shape
    size_mm: float

    def __post_init__(self) -> None:
        require_positive("bar size", self.size_mm)

    @property
    def area_mm2(self) -> float:
        """Area: pi d^2/4, (sqrt 3 / 2) s^2, s^2. Exact for sharp corners. [mm2]"""
        return _AREA[self.shape] * self.size_mm**2

    @property
    def second_moment_mm4(self) -> float:
        """Second moment of area, the same about every axis: pi d^4/64, 5 sqrt 3 s^4/144, s^4/12. [mm4]"""
        return _SECOND_MOMENT[self.shape] * self.size_mm**4

    @property
    def across_corners_mm(self) -> float:
        """The smallest bore that the sharp corners pass: d, 2 s/sqrt 3, s sqrt 2. [mm]"""
        return _CORNERS[self.shape] * self.size_mm

    @property
    def shear_factor(self) -> float:
        """Share of the area that carries shear evenly: 6/7 for a round, 5/6 for a square and (taken alike) a hexagon.

        Source: G.R. Cowper, J. Appl. Mech. 33 (1966) 335-340, at Poisson's ratio 0; a real one gives up to 5 % more.
        """
        return 6.0 / 7.0 if self.shape is Shape.ROUND else 5.0 / 6.0

    @property
    def edges(self) -> int:
        """How many edges pass a fixed point in a turn: 0 for a round."""
        return {Shape.ROUND: 0, Shape.HEXAGON: 6, Shape.SQUARE: 4}[self.shape]

    def mass_kg_m(self, *, density_kg_m3: float) -> float:
        """How heavy is a metre of this bar?

        Area times density; sharp corners, so it errs high for a drawn hexagon or square by what the radii take off.

        Args:
            density_kg_m3: density of the metal [kg/m3].

        Returns:
            Mass per length [kg/m].

        Raises:
            UsageError: density is not a number above zero.

        Validity: any size.
        Source: geometry; printed weights per foot of Production Machining, "Craftsman Cribsheet 106: Weights of Bars".

        >>> round(Section(Shape.ROUND, 25.4).mass_kg_m(density_kg_m3=7841.6) * 0.3048 / 0.45359237, 2)  # 1 in: 2.67 lb/ft
        2.67
        """
        return self.area_mm2 * 1e-6 * require_positive("density", density_kg_m3)

    def edge_speeds_rpm(self, *, whip_rpm: float) -> tuple[float, ...]:
        """At which further speeds do the bar's edges shake it at its whip frequency?

        A bar with n edges knocks on a fixed support n times a turn, so N1/n is excited too. Says where, not how strongly.

        Args:
            whip_rpm: lowest critical speed N1 [rpm].

        Returns:
            N1/6 of a hexagon, N1/4 of a square, nothing of a round [rpm].

        Raises:
            UsageError: the speed is not a number above zero.

        Validity: a bar that touches a support which does not turn with it.
        Source: common practice, no published source.

        >>> Section(Shape.HEXAGON, 19.0).edge_speeds_rpm(whip_rpm=1200.0)
        (200.0,)
        """
        speed = require_positive("whip speed", whip_rpm)
        return (speed / self.edges,) if self.edges else ()


_AREA = {Shape.ROUND: math.pi / 4.0, Shape.HEXAGON: math.sqrt(3.0) / 2.0, Shape.SQUARE: 1.0}
_SECOND_MOMENT = {Shape.ROUND: math.pi / 64.0, Shape.HEXAGON: 5.0 * math.sqrt(3.0) / 144.0, Shape.SQUARE: 1.0 / 12.0}
_CORNERS = {Shape.ROUND: 1.0, Shape.HEXAGON: 2.0 / math.sqrt(3.0), Shape.SQUARE: math.sqrt(2.0)}


def section(shape: str, *, size_mm: float) -> Section:
    """The section of a shape named in words; one that is not equally stiff in every direction is refused."""
    known = {kind.value: kind for kind in Shape}
    if shape not in known:
        raise UsageError(
            what="bar shape",
            given=f"'{shape}'",
            allowed=f"one that is equally stiff in every direction ({', '.join(known)})",
            action="a flat or D-shaped bar has two whip speeds and shakes between them: ask the makers of both machines",
        )
    return Section(known[shape], size_mm)
