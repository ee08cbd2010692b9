"""What can be measured on site about whip: the sag of a span, and the note it gives when tapped.

Both replace a guess by a reading. A sag is a measurement of critical speed whatever the bar is made of; a tap test corrects the
stiffness of the supports in the model.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from standoff.bar.beam import Beam
from standoff.bar.checks import require_positive
from standoff.bar.mesh import Floats
from standoff.bar.supports import Supports
from standoff.bar.whip import critical_speeds
from standoff.errors import UsageError

SAG_FACTOR = 1065.0
"""N1 sqrt(sag) of a pinned uniform span: 30/pi * pi^2 * sqrt(5 g / 384) with g = 9806.65 mm/s2, in rpm and mm."""

_WIDEST = 100.0
_GRID = 33
_ZOOMS = 4
_LEAST_CHANGE = 1e-3


@dataclass(frozen=True, slots=True)
class TapFit:
    """The model after a tap test: its supports' stiffnesses times one factor reproduce the measured frequency."""

    stiffness_factor: float
    supports: Supports
    model_hz: float
    measured_hz: float


def speed_from_sag_rpm(sags_mm: Sequence[float]) -> float:
    """How fast may this span turn, seen from how far it sags?

    A uniform pinned span at rest sags 5 w L^4 / 384 EI, and N1 = 1065 / sqrt(sag) whatever it is made of. The bar's own bow is
    taken out by reading at 0, 90, 180 and 270 degrees and averaging. With clamped ends the true speed is 1.4 % above what this
    says: it errs low.

    Args:
        sags_mm: midspan sags read at evenly spaced turns of the bar, four of them for instance [mm].

    Returns:
        Lowest critical speed of the span [rpm].

    Raises:
        UsageError: no reading, or a mean that is not above zero.

    Validity: one span without overhang or further mass, held without tilting stiffness.
    Source: own computation from the beam's formulas (midspan sag and first frequency of a pinned span).

    >>> round(speed_from_sag_rpm([1.3, 0.9, 0.7, 1.1]))
    1065
    """
    if not sags_mm:
        raise UsageError(what="sags", given="none", allowed="readings at 0, 90, 180 and 270 degrees", action="read them")
    return SAG_FACTOR / math.sqrt(require_positive("mean sag", sum(sags_mm) / len(sags_mm)))


def fit_to_tap(beam: Beam, supports: Supports, *, length_mm: float, measured_hz: float) -> TapFit:
    """How stiff are the supports really, seen from the note of the tapped bar?

    One factor on every stiffness, so that the model's lowest frequency is the measured one. Which support is off is not known
    from one note; at rest, without clearance taken up, a tap test may read low or high.

    Args:
        beam: the bar.
        supports: nominal supports.
        length_mm: length of the bar when it was tapped [mm].
        measured_hz: its lowest frequency [Hz].

    Returns:
        The factor and the corrected supports.

    Raises:
        UsageError: a frequency that no factor between 1/100 and 100 gives, or supports of which none is elastic.

    Validity: the bar at rest on the same supports as when it turns.
    Source: as `critical_speeds`.
    """
    require_positive("measured frequency", measured_hz)
    logs = np.linspace(-math.log(_WIDEST), math.log(_WIDEST), _GRID)
    heard = _heard_hz(beam, supports, logs, length_mm)
    if heard[-1] <= heard[0] * (1.0 + _LEAST_CHANGE):
        raise UsageError(
            what="supports",
            given="whose stiffness does not change the note",
            allowed="one elastic support at least",
            action="give the supports the stiffness that is in doubt",
        )
    if not heard[0] <= measured_hz <= heard[-1]:
        raise UsageError(
            what="measured frequency",
            given=f"{measured_hz} Hz",
            allowed=f"{heard[0]:.2f} to {heard[-1]:.2f} Hz, what these supports can give",
            action="check which mode was heard, the bar's length, and where it is held",
        )
    for _ in range(_ZOOMS):
        # The last interval is as narrow as what the brackets of 1e-6 resolve.
        at = min(max(int(np.searchsorted(heard, measured_hz)), 1), _GRID - 1)
        logs = np.linspace(logs[at - 1], logs[at], _GRID)
        heard = _heard_hz(beam, supports, logs, length_mm)
    nearest = int(np.argmin(np.abs(heard - measured_hz)))
    factor = math.exp(logs[nearest])
    return TapFit(factor, supports.scaled(factor), float(heard[nearest]), measured_hz)


def _heard_hz(beam: Beam, supports: Supports, logs: Floats, length_mm: float) -> Floats:
    """The lowest frequency with the stiffnesses times each factor, given as its logarithm."""
    kinds = [supports.scaled(math.exp(x)) for x in logs]
    heard: Floats = critical_speeds([beam], kinds, [length_mm]).whip_rpm[0] / 60.0
    return heard
