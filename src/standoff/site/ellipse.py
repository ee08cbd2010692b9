"""The error ellipse of a point on the floor: where it may lie, at a confidence."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from standoff.site.counting import require_share

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Ellipse:
    """Half axes [mm] and the direction of the longer one, turned from the x axis towards the y axis, -90 to 90 [deg]."""

    semi_major_mm: float
    semi_minor_mm: float
    direction_deg: float
    confidence_share: float


def ellipse(covariance_mm2: Array, *, confidence_share: float = 0.95) -> Ellipse:
    """Within which ellipse does the point lie?

    The half axes are the roots of the covariance's principal values times sqrt(-2 ln(1 - C)): exact for normal errors.

    Args:
        covariance_mm2: covariance of x and y, shape (2, 2) [mm2].
        confidence_share: how often the point lies inside [-].

    Returns:
        Half axes [mm] and direction [deg].

    Raises:
        UsageError: a confidence outside 0 to 1.

    Validity: normal errors, small against the distances they arise from.
    Source: chi-square distribution of two degrees of freedom.

    >>> found = ellipse(np.array([[4.0, 0.0], [0.0, 1.0]]))
    >>> round(found.semi_major_mm, 3), round(found.semi_minor_mm, 3)  # 2.448 times 2 and 1
    (4.895, 2.448)
    """
    reach = math.sqrt(-2.0 * math.log(1.0 - require_share("confidence", confidence_share)))
    principal, directions = np.linalg.eigh(covariance_mm2)
    minor, major = (reach * math.sqrt(max(float(value), 0.0)) for value in principal)
    along = directions[:, 1] if directions[0, 1] >= 0.0 else -directions[:, 1]
    return Ellipse(major, minor, math.degrees(math.atan2(float(along[1]), float(along[0]))), confidence_share)
