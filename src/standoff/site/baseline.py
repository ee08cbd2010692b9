"""The baseline of a mark-out: two reference points found at the lathe, and the tape laid between them.

Floor coordinates are x and y of `axis`, plumbed down, seen from above. A point lies on the LEFT of the baseline if it is on the
left hand of one who walks from the first reference point to the second.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum

import numpy as np

from standoff.bar.checks import require_finite, require_not_negative
from standoff.errors import UsageError, shown
from standoff.reading import Reading
from standoff.site.ellipse import Array

CONTRADICTION = 3.0
"""A tape off by more combined standard uncertainties than this contradicts the reference points (our choice: 1 in 370)."""

_SAME_MM = 1e-6


class Hand(Enum):
    """On which hand of the baseline a point lies."""

    LEFT = "left"
    RIGHT = "right"

    @property
    def sign(self) -> int:
        """1 on the left, -1 on the right."""
        return 1 if self is Hand.LEFT else -1


@dataclass(frozen=True, slots=True)
class FloorPoint:
    """A point wanted on the floor: a foot's hole, a corner of the outline, a point of the axis.

    `u_x_mm`, `u_y_mm`: standard uncertainty of where it is wanted, such as that of the reading that says so.
    """

    name: str
    x_mm: float
    y_mm: float
    u_x_mm: float = 0.0
    u_y_mm: float = 0.0

    def __post_init__(self) -> None:
        require_finite(f"x of {self.name}", self.x_mm)
        require_finite(f"y of {self.name}", self.y_mm)
        require_not_negative(f"uncertainty of x of {self.name}", self.u_x_mm)
        require_not_negative(f"uncertainty of y of {self.name}", self.u_y_mm)


@dataclass(frozen=True, slots=True)
class Reference:
    """A point found at the lathe, from which distances are taped; `u_mm`: standard uncertainty of its place in each direction."""

    name: str
    x_mm: float
    y_mm: float
    u_mm: float

    def __post_init__(self) -> None:
        require_finite(f"x of {self.name}", self.x_mm)
        require_finite(f"y of {self.name}", self.y_mm)
        require_not_negative(f"uncertainty of {self.name}", self.u_mm)


@dataclass(frozen=True, slots=True, eq=False)
class Baseline:
    """Two reference points in order, as they stand after the tape between them was counted in, and how sure they are.

    `covariance_mm2` is of x and y of the first, then of the second, shape (4, 4). `tape_ratio` is by how many combined standard
    uncertainties the tape and the points differed (None: nothing was taped).
    """

    first: Reference
    second: Reference
    covariance_mm2: Array
    tape_ratio: float | None = None

    @property
    def length_mm(self) -> float:
        """From the first point to the second. [mm]"""
        return math.dist(_place(self.first), _place(self.second))

    @property
    def length_u_mm(self) -> float:
        """The standard uncertainty of its length. [mm]"""
        row = _row(self.first, self.second)
        return math.sqrt(float(row @ self.covariance_mm2 @ row))

    def offset_mm(self, point: FloorPoint) -> float:
        """How far a point lies from the baseline's line: positive on the left, negative on the right. [mm]"""
        (ax, ay), (bx, by) = _place(self.first), _place(self.second)
        return ((bx - ax) * (point.y_mm - ay) - (by - ay) * (point.x_mm - ax)) / self.length_mm


def baseline(first: Reference, second: Reference, *, taped: Reading | None = None) -> Baseline:
    """How sure are two reference points, with and without a tape between them?

    Without a tape each stands as it was found. A taped length is one more reading: both points move along the line between them
    to where least squares puts them, and are as much surer. Across the line a tape says nothing.

    Args:
        first: the point from which the baseline begins.
        second: the point at which it ends.
        taped: the distance between them as read, if it was.

    Returns:
        The baseline, lengths and covariance in mm and mm2.

    Raises:
        UsageError: points in one place, a tape without uncertainty, or one that contradicts the points.

    Validity: errors small against the length; the tape level.
    Source: least squares with one condition; JCGM 100:2008, 5.1.2.

    >>> a, b = Reference("A", 0.0, 0.0, 2.0), Reference("B", 3000.0, 0.0, 2.0)
    >>> round(baseline(a, b).length_u_mm, 3)
    2.828
    """
    covariance = np.diag([first.u_mm**2, first.u_mm**2, second.u_mm**2, second.u_mm**2])
    length_mm = math.dist(_place(first), _place(second))
    if length_mm <= _SAME_MM:
        raise UsageError(
            what="reference points",
            given=f"{shown(first.name)} and {shown(second.name)} in one place",
            allowed="two points apart",
            action="choose another one",
        )
    if taped is None:
        return Baseline(first, second, covariance)
    if taped.u_mm <= 0.0:
        raise UsageError(
            what="taped baseline", given="exact", allowed="a reading with an uncertainty", action="state how it was read"
        )
    row = _row(first, second)
    variance_mm2 = float(row @ covariance @ row) + taped.u_mm**2
    misclosure_mm = taped.value_mm - length_mm
    ratio = misclosure_mm / math.sqrt(variance_mm2)
    if abs(ratio) > CONTRADICTION:
        raise UsageError(
            what="taped baseline",
            given=f"{taped.value_mm:.1f} mm where the reference points are {length_mm:.1f} mm apart",
            allowed=f"agreement within {CONTRADICTION * math.sqrt(variance_mm2):.1f} mm",
            action="tape it again and find both reference points again",
        )
    gain = covariance @ row / variance_mm2
    moved = gain * misclosure_mm
    return Baseline(
        Reference(first.name, first.x_mm + float(moved[0]), first.y_mm + float(moved[1]), first.u_mm),
        Reference(second.name, second.x_mm + float(moved[2]), second.y_mm + float(moved[3]), second.u_mm),
        covariance - np.outer(gain, row @ covariance),
        ratio,
    )


def _place(point: Reference) -> tuple[float, float]:
    return point.x_mm, point.y_mm


def _row(first: Reference, second: Reference) -> Array:
    """By how much the distance grows with x and y of the first point, then of the second."""
    along = np.array([second.x_mm - first.x_mm, second.y_mm - first.y_mm])
    along = along / np.hypot(*along)
    return np.concatenate([-along, along])
