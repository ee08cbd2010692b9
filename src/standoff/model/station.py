"""Station: a named point on a carrier, with its offset along the axis.

    lathe frame    s = offset                            headstock   s = z + offset
    loader         s = -standoff + shift + offset        offsets from the nose-clamp face, forward positive

    <- to the loader                       s = 0                                to the work ->
        clamp face |------- standoff ------>| adapter (headstock at the first mode's rear limit)

s runs along the spindle axis, forward positive. This is the only place that states axis, origin and sign.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from standoff.model.form import Form


class Carrier(Enum):
    """What a point is fixed to."""

    LATHE = "lathe frame"
    HEADSTOCK = "headstock"
    LOADER = "loader"


@dataclass(frozen=True, slots=True)
class Station:
    """A named point: the carrier that moves it and its offset on that carrier."""

    name: str
    carrier: Carrier
    offset: Form
