"""The dial indicator carried by the spindle: it sweeps the nose bore, the front clamp, or a face of the loader.

Turned with the spindle its tip runs in a circle about the spindle's own axis, whatever the adapter's run-out. A sweep reads at
top, left, bottom and right, seen looking forward; readings grow as the plunger is pushed in.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

from standoff.bar.checks import require_finite, require_not_negative, require_positive
from standoff.errors import UsageError, shown
from standoff.site.axis import BEYOND_CHANCE, METRE_MM, PITCH, YAW, Station
from standoff.site.fit import Observation

Surface = Literal["bore", "outside"]
_SIGNS = {"bore": -1.0, "outside": 1.0}
SMALL_RADIUS_MM = 10.0
"""Half of the narrowest that is swept (our choice): a tip going round off centre does not close by offset^2 / radius."""


def offset_from_tir_mm(*, tir_mm: float, sag_tir_mm: float = 0.0) -> float:
    """How far off is a circle whose sweep shows this total reading, top less bottom from outside?

    Half the total reading less half of what the bracket's sag alone shows on a stiff tube. Exact on a round surface, errs to
    either side by half of what the surface is out of round by at its top against its bottom.

    Args: tir_mm, signed total indicator reading; sag_tir_mm, the same read on a stiff tube that carries the bracket (top less
        bottom, positive for a bracket that hangs) [mm].
    Returns: the offset, positive upwards [mm].
    Raises: UsageError for what is not finite.
    Validity: any offset that the indicator's travel holds.
    Source: rim-and-face relations of alignment texts, second hand.

    >>> round(offset_from_tir_mm(tir_mm=0.30, sag_tir_mm=0.10), 9)
    0.1
    """
    return (require_finite("total reading", tir_mm) - require_finite("sag", sag_tir_mm)) / 2.0


@dataclass(frozen=True, slots=True)
class Bracket:
    """What carries the indicator: its name, and by how much its tip hangs down in whatever position it is turned to [mm].

    `sag_mm` is half the total reading on a stiff tube, top less bottom.
    """

    name: str
    sag_mm: float = 0.0
    u_mm: float = 0.0

    def __post_init__(self) -> None:
        require_not_negative("sag of the bracket", self.sag_mm)
        require_not_negative("uncertainty of the sag", self.u_mm)


@dataclass(frozen=True, slots=True, kw_only=True)
class Sweep:
    """A sweep round a bore or an outside diameter of the loader; `u_mm`: standard uncertainty of each of the four readings."""

    name: str
    station: Station
    surface: Surface
    top_mm: float
    left_mm: float
    bottom_mm: float
    right_mm: float
    u_mm: float
    bracket: Bracket

    def __post_init__(self) -> None:
        require_positive(f"uncertainty of {self.name}", self.u_mm)
        if self.surface not in _SIGNS:
            raise UsageError(what="surface", given=shown(self.surface), allowed="bore or outside", action="say which was swept")

    @property
    def misclosure_mm(self) -> float:
        """By how much top and bottom together differ from left and right together [mm]: next to nothing on a centred circle."""
        return (self.top_mm + self.bottom_mm) - (self.left_mm + self.right_mm)

    @property
    def closes(self) -> bool:
        """Whether the sweep closes within what its readings allow (99 %); if not, a reading is wrong or the surface not round.

        A true circle of radius R, off by a and h, does not close by |h^2 - a^2| / R: as much more is allowed as the offset could
        make of the narrowest surface. In line that is next to nothing.
        """
        offset_mm = math.hypot(self.top_mm - self.bottom_mm, self.left_mm - self.right_mm) / 2.0
        return abs(self.misclosure_mm) <= BEYOND_CHANCE * 2.0 * self.u_mm + offset_mm**2 / SMALL_RADIUS_MM

    def observations(self) -> tuple[Observation, Observation]:
        """How high and how far left is the swept circle's centre, seen from the spindle?

        Half of top less bottom, half of left less right, with the sign of the surface (in a bore the plunger points outwards).
        The tip hangs by the sag wherever it is turned, so the circle seems higher by it. An oval surface cancels.

        Returns: a height and a sideways distance [mm]; the sag's uncertainty is shared by all sweeps with the same bracket.
        Validity: no play in spindle or bracket.
        Source: own computation; the relation itself as in `offset_from_tir_mm`.
        """
        sign, u_mm = _SIGNS[self.surface], self.u_mm / math.sqrt(2.0)
        high_mm = offset_from_tir_mm(tir_mm=sign * (self.top_mm - self.bottom_mm), sag_tir_mm=2.0 * self.bracket.sag_mm)
        left_mm = offset_from_tir_mm(tir_mm=sign * (self.left_mm - self.right_mm))
        shared = ((f"sag of {self.bracket.name}", -self.bracket.u_mm),)
        return (
            Observation(f"{self.name}, height", self.station.upright(), high_mm, u_mm, shared),
            Observation(f"{self.name}, sideways", self.station.sideways(), left_mm, u_mm),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class FaceSweep:
    """A sweep over a face of the loader that looks forward, on a circle of `circle_mm` diameter; readings as in `Sweep`."""

    name: str
    circle_mm: float
    top_mm: float
    left_mm: float
    bottom_mm: float
    right_mm: float
    u_mm: float

    def __post_init__(self) -> None:
        require_positive("diameter swept", self.circle_mm)

    def observations(self) -> tuple[Observation, Observation]:
        """How does the loader's axis rise and lead left, if this face is square to it?

        Slope = total reading / diameter: an axis that rises forward leans the top of its face back, away from the plunger. What
        the face is out of square with the axis is not seen and goes in full into the result: it belongs into the uncertainty.

        Returns: pitch and yaw, as mm over one metre.
        Validity: a spindle without end float, or readings averaged with those half a turn on.
        Source: rim-and-face relations of alignment texts (foot move = total face reading times distance / diameter), second hand.
        """
        over = METRE_MM / self.circle_mm
        u_mm = math.sqrt(2.0) * self.u_mm * over
        return (
            Observation(f"{self.name}, rise", ((PITCH, 1.0),), (self.bottom_mm - self.top_mm) * over, u_mm),
            Observation(f"{self.name}, lead", ((YAW, 1.0),), (self.right_mm - self.left_mm) * over, u_mm),
        )
