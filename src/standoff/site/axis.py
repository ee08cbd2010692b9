"""The loader's axis against the spindle's: two straight lines, and by how much one misses the other.

Said here and nowhere else in this room: x is the layout's axial coordinate, from the spindle adapter's rear face with the
headstock at its datum, forward (towards the work) positive, so that the loader stands at negative x; y runs across, to the LEFT
seen looking forward; up is up. Everything is told of the loader as seen from the spindle.

        up |        loader's axis        lift: how high, at x = 0        shift: how far left, at x = 0
           |_____-----                   pitch: how it rises forward     yaw: how it leads left going forward
        ---+------- x, spindle's axis    roll: how the left side is up, about the loader's axis itself
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from standoff.bar.checks import require_finite
from standoff.errors import UsageError

Array = NDArray[np.float64]

LIFT, PITCH, ROLL, SHIFT, YAW = "lift", "pitch", "roll", "shift", "yaw"
UPRIGHT = (LIFT, PITCH, ROLL)
"""What the feet set: lift [mm], pitch and roll [mm/m]."""

SIDEWAYS = (SHIFT, YAW)
"""What the side screws set: shift [mm] and yaw [mm/m]."""

HEADSTOCK_RISE, HEADSTOCK_DRIFT = "headstock rise", "headstock drift"
LOADER_RISE, LOADER_DRIFT = "loader rise", "loader drift"
TRAVELS = (HEADSTOCK_RISE, HEADSTOCK_DRIFT, LOADER_RISE, LOADER_DRIFT)
"""How the spindle's axis, or the loader's, climbs or wanders left as headstock or loader travel forward [mm/m]."""

RISES, DRIFTS = (HEADSTOCK_RISE, LOADER_RISE), (HEADSTOCK_DRIFT, LOADER_DRIFT)
"""The travels that show in a height, and those that show sideways: of the headstock, of the loader."""

SAME_POSITION_MM = 1e-6
"""Positions of a headstock or loader no farther apart are one."""

Coefficients = tuple[tuple[str, float], ...]
"""What a reading sees: unknown and coefficient, in pairs."""

METRE_MM = 1000.0
"""Slopes are mm per metre."""


@dataclass(frozen=True, slots=True)
class Station:
    """Where a reading is taken: its x, how far left of and above the loader's axis, and where the machines then stand.

    `headstock_mm` and `loader_mm`: positions of headstock and loader, from the MIDDLE of their travels, forward positive [mm].
    """

    x_mm: float
    left_mm: float = 0.0
    above_mm: float = 0.0
    headstock_mm: float = 0.0
    loader_mm: float = 0.0

    def __post_init__(self) -> None:
        for what, given in (("station", self.x_mm), ("station's offset", self.left_mm), ("station's height", self.above_mm)):
            require_finite(what, given)
        require_finite("headstock's position", self.headstock_mm)
        require_finite("loader's position", self.loader_mm)

    def upright(self) -> Coefficients:
        """How high is the loader here, seen from the spindle, in terms of the unknowns?

        Rigid body, small angles: height = lift + pitch x + roll left - headstock rise z + loader rise s. The neglected terms are
        of second order: 1 mm/m over 4 m errs by 2e-3 mm, to either side. The loader's rise is counted against its own pitch.

        Returns: coefficients of a height [mm] by unknown.
        Validity: slopes below 10 mm/m.
        Source: own computation (rotation of a rigid body, first order).
        """
        travels = (HEADSTOCK_RISE, -self.headstock_mm), (LOADER_RISE, self.loader_mm)
        return _terms((LIFT, METRE_MM), (PITCH, self.x_mm), (ROLL, self.left_mm), *travels)

    def sideways(self) -> Coefficients:
        """How far left is the loader here, seen from the spindle, in terms of the unknowns?

        As `upright`: shift + yaw x - roll above - headstock drift z + loader drift s; a roll that lifts the left side carries
        what is above the axis to the right.

        Returns: coefficients of a sideways distance [mm] by unknown.
        Validity: slopes below 10 mm/m.
        Source: own computation (rotation of a rigid body, first order).
        """
        travels = (HEADSTOCK_DRIFT, -self.headstock_mm), (LOADER_DRIFT, self.loader_mm)
        return _terms((SHIFT, METRE_MM), (YAW, self.x_mm), (ROLL, -self.above_mm), *travels)


def _terms(*arms: tuple[str, float]) -> Coefficients:
    """The coefficient of each unknown from the arm at which it acts [mm]; those of no effect are left out."""
    return tuple((unknown, arm_mm / METRE_MM) for unknown, arm_mm in arms if arm_mm != 0.0)


@dataclass(frozen=True, slots=True)
class Point:
    """A place along the axis that is judged: its name, where it is, and where headstock and loader stand, as in `Station`.

    `at_spindle`: whether it goes with the spindle, or else with the loader; a rear limit may lie behind x = 0.
    """

    name: str
    x_mm: float
    headstock_mm: float = 0.0
    loader_mm: float = 0.0
    at_spindle: bool = False


BEYOND_CHANCE = 2.5758293035489004
"""Two-sided 99 % of the normal distribution: what exceeds so many of its standard uncertainties is not put down to chance."""


@dataclass(frozen=True, slots=True)
class Miss:
    """By how much one thing misses another, and that figure's standard uncertainty [mm]."""

    miss_mm: float
    u_mm: float

    @property
    def beyond_chance(self) -> bool:
        """Whether the miss is more than its own uncertainty explains."""
        return abs(self.miss_mm) > BEYOND_CHANCE * self.u_mm


@dataclass(frozen=True, slots=True)
class Offset:
    """The loader's axis at one place: how high above the spindle's and how far left of it. Sideways: None until it was read.

    `unread`: the travels it hangs on that were not read where the place is; these count for nothing in its misses.
    """

    point: Point
    upright: Miss
    sideways: Miss | None
    unread: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Pose:
    """Where the loader's axis lies: the unknowns that were solved for, their estimates and covariance (mm and mm/m).

    `read_at_mm`: each travel along which everything was read at one position, and that position from its middle [mm].
    """

    unknowns: tuple[str, ...]
    estimates: Array
    covariance: Array
    read_at_mm: tuple[tuple[str, float], ...] = ()

    @property
    def has_sideways(self) -> bool:
        """Whether the sideways part was read too."""
        return SHIFT in self.unknowns

    def value(self, unknown: str) -> float:
        """The estimate of one unknown [mm or mm/m]."""
        return float(self.estimates[self._place(unknown)])

    def u(self, unknown: str) -> float:
        """The standard uncertainty of one unknown [mm or mm/m]."""
        at = self._place(unknown)
        return math.sqrt(max(float(self.covariance[at, at]), 0.0))

    def offset(self, point: Point) -> Offset:
        """By how much does the loader's axis miss the spindle's here, and how sure is that?

        The straight line through the pose, and the law of propagation through its covariance: away from where was read the
        uncertainty grows, and is shown as large as it is.

        Args: point, anywhere along the axis, the spindle's face being at x = 0. A travel along which everything was read at one
            position only counts for nothing: the loader is then judged with the headstock where it stood, and a place of the
            spindle elsewhere says that it was not read.
        Returns: offsets and standard uncertainties [mm].
        Validity: a frame that is rigid between the stations and the point.
        Source: JCGM 100:2008, 5.2.2.
        """
        station = Station(point.x_mm, headstock_mm=point.headstock_mm, loader_mm=point.loader_mm)
        sideways = self._missed(station.sideways()) if self.has_sideways else None
        return Offset(point, self._missed(station.upright()), sideways, self._unread(point))

    def _unread(self, point: Point) -> tuple[str, ...]:
        """The travels that a place hangs on and that were read at another position of theirs only."""
        stands_mm = dict.fromkeys((LOADER_RISE, LOADER_DRIFT), point.loader_mm)
        if point.at_spindle:
            stands_mm |= dict.fromkeys((HEADSTOCK_RISE, HEADSTOCK_DRIFT), point.headstock_mm)
        read = ((travel, at_mm) for travel, at_mm in self.read_at_mm if travel in stands_mm)
        return tuple(travel for travel, at_mm in read if abs(stands_mm[travel] - at_mm) > SAME_POSITION_MM)

    def moved(self, response: Array, moves_mm: Array, moves_u_mm: Array) -> Pose:
        """Where will the axis lie after these moves, and how sure is that?

        Pose + response times moves; each move's own setting error adds its variance. Exact for a rigid frame and small moves.

        Args:
            response: change of each unknown per move, shape (unknowns, moves) [1, or 1/m].
            moves_mm: moves of feet or screws [mm].
            moves_u_mm: standard uncertainty with which each is set [mm].

        Returns: the new pose.
        Source: JCGM 100:2008, 5.2.2.
        """
        spread = response * moves_u_mm
        moved = self.estimates + response @ moves_mm
        return replace(self, estimates=moved, covariance=self.covariance + spread @ spread.T)

    def _missed(self, coefficients: Coefficients) -> Miss:
        """A linear form of the unknowns, and its standard uncertainty."""
        row = np.zeros(len(self.unknowns))
        for name, by in coefficients:
            if name not in TRAVELS or name in self.unknowns:
                row[self._place(name)] = by
        return Miss(float(row @ self.estimates), math.sqrt(max(float(row @ self.covariance @ row), 0.0)))

    def _place(self, unknown: str) -> int:
        """Where an unknown stands; one that was not solved for is refused."""
        if unknown not in self.unknowns:
            known = ", ".join(self.unknowns)
            raise UsageError(
                what="unknown", given=unknown, allowed=known, action=f"take the readings that determine the {unknown}"
            )
        return self.unknowns.index(unknown)


def named(points: Sequence[Point]) -> tuple[Point, ...]:
    """The points to be judged; none at all, or one name for two, is refused."""
    names = [point.name for point in points]
    if not names or len(set(names)) < len(names):
        given = ", ".join(names) or "none"
        raise UsageError(
            what="points", given=given, allowed="at least one, each with its own name", action="name where to judge the axis"
        )
    return tuple(points)
