"""Shims come in steps: which step for each foot leaves the axis best?

Rounding each foot by itself throws away what the feet could do for one another. Each foot is tried at the steps below and above
its wanted move, all combinations at once (256 for eight feet), and judged by what is left at the spindle and along the axis.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from standoff.bar.checks import require_positive
from standoff.site.axis import METRE_MM, ROLL, UPRIGHT, Array, Point, Pose, named
from standoff.site.frame import Frame
from standoff.site.tolerance import Tolerances
from standoff.solve.window import TIE_MM

_WHOLE = 1e-9
"""A wanted move within this share of a step of a whole step is that step."""


@dataclass(frozen=True, slots=True)
class ShimChoice:
    """The steps chosen for each foot [mm], and their penalty beside that of plain rounding (1: every tolerance just reached).

    The penalty is the root of the sum of squares of what is left over its tolerance: upright at each point, the roll, and by how
    much a foot rocks beyond what it may.
    """

    moves_mm: tuple[float, ...]
    rounded_mm: tuple[float, ...]
    penalty_ratio: float
    rounded_penalty_ratio: float


def choose_shims(frame: Frame, pose: Pose, *, step_mm: float, points: Sequence[Point], tolerances: Tolerances) -> ShimChoice:
    """Which step of shims under each foot leaves the axis best in line?

    All combinations of each foot's step below and above its wanted move; the least penalty wins, the earlier foot lower where two
    tie. Feet may rock within their tolerance: that freedom is what the search lives on; only what exceeds it is penalised. Steps
    beyond a foot's travel are left out unless both are: then the foot's travel does not serve, which its move says.
    Combinations farther from the wanted move are not tried: the choice can miss a slightly better one, but is never worse than
    rounding within the travel.

    Args:
        frame: feet, axis height.
        pose: where the axis lies now.
        step_mm: thickness by which shims differ [mm].
        points: where the axis is judged.
        tolerances: what each residual is weighed by.

    Returns: the steps, and the penalties.
    Raises: UsageError for a step that is not above zero, or no points.
    Validity: a rigid frame whose feet are of equal stiffness.
    Source: own computation.
    """
    require_positive("step of the shims", step_mm)
    wanted_mm = frame.foot_moves_mm(pose)
    weighing = _weighing(frame, pose, named(points), tolerances)
    tried = _combinations(frame, wanted_mm, step_mm)
    penalties = weighing.penalties(tried)
    best = int(np.argmin(np.round(penalties, 12)))
    rounded = np.round(wanted_mm / step_mm) * step_mm
    return ShimChoice(
        moves_mm=tuple(float(move) for move in tried[best]),
        rounded_mm=tuple(float(move) for move in rounded),
        penalty_ratio=float(penalties[best]),
        rounded_penalty_ratio=float(weighing.penalties(rounded[None, :])[0]),
    )


@dataclass(frozen=True, slots=True, eq=False)
class _Weighing:
    """What is left over its tolerance as a linear form of the feet's moves, and the rock that is allowed [mm]."""

    frame: Frame
    now: Array
    response: Array
    rock_mm: float

    def penalties(self, moves_mm: Array) -> Array:
        """The root of the sum of squares, for each row of moves."""
        left = self.now + moves_mm @ self.response.T
        excess = np.maximum(np.abs(self.frame.rocks_mm(moves_mm)) / self.rock_mm - 1.0, 0.0)
        lengths: Array = np.linalg.norm(np.hstack([left, excess]), axis=1)
        return lengths


def _weighing(frame: Frame, pose: Pose, points: Sequence[Point], tolerances: Tolerances) -> _Weighing:
    """Upright residual at each point and roll, each over its tolerance."""
    over_mm = np.array([tolerances.at_mm(point) for point in points])
    upright = np.array([[1.0, point.x_mm / METRE_MM, 0.0] for point in points]) / over_mm[:, None]
    seen = np.vstack([upright, [0.0, 0.0, 1.0 / tolerances.roll_mm_per_m]])
    now = [pose.offset(point).upright.miss_mm for point in points] / over_mm
    return _Weighing(
        frame=frame,
        now=np.append(now, pose.value(ROLL) / tolerances.roll_mm_per_m),
        response=seen @ frame.foot_response(UPRIGHT),
        rock_mm=tolerances.rock_mm,
    )


def _combinations(frame: Frame, wanted_mm: Array, step_mm: float) -> Array:
    """Every combination of the steps next to the wanted moves, within travel; shape (combinations, feet) [mm]."""
    choices = []
    for foot, wanted in zip(frame.feet, wanted_mm, strict=True):
        below, above = math.floor(wanted / step_mm + _WHOLE), math.ceil(wanted / step_mm - _WHOLE)
        steps = sorted({below * step_mm, above * step_mm})
        choices.append([step for step in steps if -foot.down_mm - TIE_MM <= step <= foot.up_mm + TIE_MM] or steps)
    return np.stack(np.meshgrid(*choices, indexing="ij"), axis=-1).reshape(-1, len(choices))
