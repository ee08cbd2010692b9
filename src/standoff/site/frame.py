"""The loader's frame: rigid, on three to eight feet, pushed aside by side screws.

A rigid frame has three freedoms upright and two sideways, whatever the number of its feet. Moves are worked out for these and
only then for the feet, so the feet stay in one plane; moves found foot by foot would rack the frame.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from standoff.bar.checks import require_finite, require_not_negative, require_positive
from standoff.errors import UsageError
from standoff.site.axis import LIFT, METRE_MM, PITCH, ROLL, SHIFT, YAW, Array, Pose
from standoff.solve.window import TIE_MM

FEWEST, MOST = 3, 8
_FLAT = 1e-3
"""Feet (or screws) whose spread across (or along) is a smaller share of a metre than this do not hold the frame."""


@dataclass(frozen=True, slots=True)
class Foot:
    """A foot: where it stands, left of the axis positive, and how far it can still go down and up [mm]."""

    name: str
    x_mm: float
    y_mm: float
    down_mm: float
    up_mm: float

    def __post_init__(self) -> None:
        require_finite(f"place of {self.name}", self.x_mm)
        require_finite(f"place of {self.name}", self.y_mm)
        require_not_negative(f"way down of {self.name}", self.down_mm)
        require_not_negative(f"way up of {self.name}", self.up_mm)


@dataclass(frozen=True, slots=True)
class Screw:
    """A place where side screws push the frame at its feet: how far they can still push it right and left [mm]."""

    name: str
    x_mm: float
    right_mm: float
    left_mm: float

    def __post_init__(self) -> None:
        require_finite(f"place of {self.name}", self.x_mm)
        require_not_negative(f"way right of {self.name}", self.right_mm)
        require_not_negative(f"way left of {self.name}", self.left_mm)


@dataclass(frozen=True, slots=True)
class Move:
    """What one foot is to go (up positive), or one screw to push (left positive), between its limits of travel [mm]."""

    name: str
    move_mm: float
    least_mm: float
    greatest_mm: float

    @property
    def beyond_mm(self) -> float:
        """By how much the move exceeds the travel, with the move's sign; 0 where the travel suffices [mm]."""
        lacks_mm = max(self.move_mm - self.greatest_mm, 0.0) - max(self.least_mm - self.move_mm, 0.0)
        return lacks_mm if abs(lacks_mm) > TIE_MM else 0.0


@dataclass(frozen=True, slots=True)
class Frame:
    """The feet, the height of the loader's axis above where they rest [mm], and the side screws."""

    feet: tuple[Foot, ...]
    axis_height_mm: float
    screws: tuple[Screw, ...] = ()

    def __post_init__(self) -> None:
        require_positive("height of the loader's axis above its feet", self.axis_height_mm)
        if not FEWEST <= len(self.feet) <= MOST:
            raise UsageError(
                what="feet", given=str(len(self.feet)), allowed=f"{FEWEST} to {MOST}", action="list the feet that bear"
            )
        names = [*(foot.name for foot in self.feet), *(screw.name for screw in self.screws)]
        if len(set(names)) < len(names):
            raise UsageError(what="feet and screws", given=", ".join(names), allowed="each its own name", action="rename them")
        spread = np.linalg.svd(self._lifts()[:, 1:] - self._lifts()[:, 1:].mean(axis=0), compute_uv=False)
        if spread[-1] < _FLAT:
            raise UsageError(
                what="feet", given="in one line", allowed="feet on both sides", action="check where they were said to stand"
            )
        if self.screws and np.ptp([screw.x_mm / METRE_MM for screw in self.screws]) < _FLAT:
            raise UsageError(
                what="side screws", given="at one place", allowed="two places along the frame", action="add the other end's"
            )

    def foot_moves_mm(self, pose: Pose) -> Array:
        """How far must each foot go to bring the axis in line and the roll to zero?

        Lift at a foot = lift + pitch x + roll y, undone: one plane for all feet. A foot that does not bear is not seen here: it
        is felt for with a gauge before and after.

        Args: pose, with its upright part.
        Returns: a move for each foot, up positive [mm].
        Validity: a rigid frame; slopes below 10 mm/m.
        Source: own computation (rigid body, first order).
        """
        moves: Array = -self._lifts() @ np.array([pose.value(LIFT), pose.value(PITCH), pose.value(ROLL)])
        return moves

    def screw_moves_mm(self, pose: Pose) -> Array:
        """How far must each side screw push to bring the axis in line sideways, the feet being left as they are?

        Shift at a screw = shift + yaw x, undone. A roll still to be taken out by the feet will carry the axis aside by roll times
        axis height: the feet come first.

        Args: pose, with its sideways part.
        Returns: a move for each screw, left positive [mm].
        Raises: UsageError where the sideways part was not read.
        Validity: slopes below 10 mm/m.
        Source: own computation (rigid body, first order).
        """
        moves: Array = -self._pushes() @ np.array([pose.value(SHIFT), pose.value(YAW)])
        return moves

    def foot_response(self, unknowns: tuple[str, ...]) -> Array:
        """How does the axis answer to each foot?

        The plane through the feet by least squares (feet of equal stiffness); exact where the moves lie in one plane. The frame
        turns about where its feet rest, so a roll carries the axis to the right by roll times axis height.

        Args: unknowns, in the order of the result.
        Returns: change of each unknown per move, shape (unknowns, feet) [1 for mm, 1/m for slopes].
        Validity: feet that do not slide sideways while they are moved.
        Source: own computation (rigid body, first order).
        """
        planes = np.linalg.pinv(self._lifts())
        rows = {LIFT: planes[0], PITCH: planes[1], ROLL: planes[2], SHIFT: -self.axis_height_mm / METRE_MM * planes[2]}
        return np.array([rows.get(name, np.zeros(len(self.feet))) for name in unknowns])

    def screw_response(self, unknowns: tuple[str, ...]) -> Array:
        """How does the axis answer to each side screw?

        The line through the screws' moves by least squares.

        Args: unknowns, in the order of the result.
        Returns: change of each unknown per move, shape (unknowns, screws) [1 for mm, 1/m for slopes].
        Validity: a frame that slides flat on its feet.
        Source: own computation (rigid body, first order).
        """
        lines = np.linalg.pinv(self._pushes())
        rows = {SHIFT: lines[0], YAW: lines[1]}
        return np.array([rows.get(name, np.zeros(len(self.screws))) for name in unknowns])

    def rocks_mm(self, moves_mm: Array) -> Array:
        """How far does each foot stand out of the plane that these moves make?

        Moves less their plane by least squares: what bolting down would force flat. Zero for moves of a rigid frame.

        Args: moves_mm, for each foot, shape (..., feet) [mm].
        Returns: the same shape, up positive [mm].
        Validity: feet that stood in one plane before.
        Source: own computation.
        """
        lifts = self._lifts()
        rocks: Array = moves_mm - moves_mm @ (lifts @ np.linalg.pinv(lifts)).T
        return rocks

    def standoff_change_mm(self, moves_mm: Array) -> float:
        """By how much do these foot moves change the standoff?

        Pitching about the feet carries the axis back by pitch times its height: a longer standoff. To be measured again anyway.

        Args: moves_mm, for each foot [mm].
        Returns: change, positive away from the lathe [mm].
        Validity: feet that do not slide along the axis.
        Source: own computation (rigid body, first order).
        """
        return float((self.foot_response((PITCH,)) @ moves_mm)[0] * self.axis_height_mm / METRE_MM)

    def foot_steps(self, moves_mm: Array) -> tuple[Move, ...]:
        """The feet's moves with their limits of travel."""
        pairs = zip(self.feet, moves_mm, strict=True)
        return tuple(Move(foot.name, float(move), -foot.down_mm, foot.up_mm) for foot, move in pairs)

    def screw_steps(self, moves_mm: Array) -> tuple[Move, ...]:
        """The screws' moves with their limits of travel."""
        pairs = zip(self.screws, moves_mm, strict=True)
        return tuple(Move(screw.name, float(move), -screw.right_mm, screw.left_mm) for screw, move in pairs)

    def _lifts(self) -> Array:
        """G: the lift of each foot per lift, pitch and roll."""
        return np.array([[1.0, foot.x_mm / METRE_MM, foot.y_mm / METRE_MM] for foot in self.feet])

    def _pushes(self) -> Array:
        """The push at each screw per shift and yaw."""
        return np.array([[1.0, screw.x_mm / METRE_MM] for screw in self.screws]).reshape(-1, 2)
