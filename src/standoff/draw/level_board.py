"""The loader's frame seen from above, to scale: where its feet, its side screws and the spindle's axis lie on the sheet.

The lathe is at the right, as in every elevation; on a phone it is at the top, so that the frame runs down the screen with the
words beside it. Left of the axis, seen looking forward, is upwards, and on a phone to the left.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from itertools import pairwise

from standoff.draw.scene import Point, Px
from standoff.site.frame import Foot, Frame, Move, Screw

SOLE_MM = 60.0
"""Half the side of a foot as it is drawn, where nothing is said of its size [mm]."""
LATHE_MM = 350.0
"""So much of the lathe is shown, and half so much more on either side of its axis [mm]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Scenery:
    """What is drawn: the frame, the loader's two ends along the axis [mm], and for each foot or screw its move and its words.

    `feet` and `screws` are empty as long as nothing was read; then only names are written.
    """

    frame: Frame
    rear_mm: float
    front_mm: float
    feet: tuple[Move, ...] = ()
    screws: tuple[Move, ...] = ()
    words: Mapping[str, str] = field(default_factory=dict)

    def told(self, name: str) -> str:
        """What is said of a foot or of a screw."""
        return self.words.get(name, "")

    def move(self, name: str) -> Move | None:
        """The move of a foot or of a screw, None where none is worked out."""
        return next((move for move in (*self.feet, *self.screws) if move.name == name), None)

    @property
    def half_mm(self) -> float:
        """Half the breadth that the picture has to hold [mm]."""
        return max(*(abs(foot.y_mm) + 2.0 * SOLE_MM for foot in self.frame.feet), 4.0 * SOLE_MM)

    @property
    def ends_mm(self) -> tuple[float, float]:
        """Rear and front end of what the loader's outline holds: its ends, all its feet and side screws [mm]."""
        places = [*(foot.x_mm for foot in self.frame.feet), *(screw.x_mm for screw in self.frame.screws)]
        return min(self.rear_mm, min(places) - SOLE_MM), max(self.front_mm, max(places) + SOLE_MM)

    @property
    def widest_gap_mm(self) -> float:
        """The middle of the longest stretch along the loader without a foot, where its name has room [mm]."""
        places = sorted({*self.ends_mm, *(foot.x_mm for foot in self.frame.feet)})
        return max(((b - a, (a + b) / 2.0) for a, b in pairwise(places)))[1]


@dataclass(frozen=True, slots=True, kw_only=True)
class Board:
    """The sheet below `top`: `scale` in drawing units per mm, `along` the edge at which the rear end lies, `axis` the axis.

    `upright`: forward is up instead of to the right.
    """

    upright: bool
    scale: float
    along: Px
    axis: Px
    rear_mm: float

    def point(self, *, x_mm: float, y_mm: float) -> Point:
        """Where a place of the floor lies on the sheet."""
        run, aside = (x_mm - self.rear_mm) * self.scale, y_mm * self.scale
        return (self.axis - aside, self.along - run) if self.upright else (self.along + run, self.axis - aside)

    def of_foot(self, foot: Foot) -> Point:
        """Where a foot stands."""
        return self.point(x_mm=foot.x_mm, y_mm=foot.y_mm)

    def of_screw(self, screw: Screw, side_mm: float) -> Point:
        """Where a side screw pushes: at the frame's edge, `side_mm` left of the axis."""
        return self.point(x_mm=screw.x_mm, y_mm=side_mm)

    def stepped(self, at: Point, *, aside: Px = 0.0, forward: Px = 0.0) -> Point:
        """A place so much farther to the left of the axis, and forward, on the sheet."""
        x, y = at
        return (x - aside, y - forward) if self.upright else (x + forward, y - aside)
