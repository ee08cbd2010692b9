"""Whip: the lowest bending critical speed of a bar on its supports.

For a thin bar of equal stiffness in every direction the speed at which it begins to whirl is its lowest bending frequency. Every
value given out is the LOWER end of a bracket certified by mode counts (`bracket`); `speeds_by_elements` answers the same question
by another way and is the check of it. Both serve thousands of bars and lengths in one call.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from standoff.bar.beam import Beam
from standoff.bar.bracket import lowest
from standoff.bar.checks import require_not_negative, require_positive
from standoff.bar.elements import CERTAIN, lowest_by_elements
from standoff.bar.mesh import Flags, Floats, Mesh, mesh
from standoff.bar.supports import Supports
from standoff.errors import UsageError

RPM_PER_RAD_PER_S = 30.0 / math.pi

HIGHEST_RATIO = 0.8
"""Above this share of a critical speed nothing is ever recommended, tested or not (common practice, no published source)."""

ELEMENTS = 24
"""Elements for each bar unless asked otherwise."""

# How many cases at once: few enough for the processor's cache, more where few numbers are kept of each.
_CHUNK = 1500
_CHUNK_OF_ELEMENTS = 8192


@dataclass(frozen=True, slots=True)
class CriticalSpeed:
    """The lowest critical speed of one bar: no mode below `whip_rpm`, one at most at `at_most_rpm`."""

    length_mm: float
    whip_rpm: float
    at_most_rpm: float

    @property
    def frequency_hz(self) -> float:
        """The same as a frequency, as a tap test would show it. [Hz]"""
        return self.whip_rpm / 60.0

    @property
    def buckled(self) -> bool:
        """Whether the feed force alone buckles the bar; its critical speed is then 0."""
        return self.at_most_rpm == 0.0


@dataclass(frozen=True, slots=True, eq=False)
class Speeds:
    """Lowest critical speeds of b bars at l lengths, shape (l, b); 0 where the feed force alone buckles the bar."""

    lengths_mm: Floats
    whip_rpm: Floats
    at_most_rpm: Floats

    @property
    def buckled(self) -> Flags:
        """Which bars the feed force alone buckles."""
        flags: NDArray[np.bool_] = self.at_most_rpm == 0.0
        return flags


def critical_speeds(beams: Sequence[Beam], supports: Sequence[Supports], lengths_mm: Sequence[float]) -> Speeds:
    """At which speeds do these bars begin to whip, at each of these lengths?

    EI w'''' + P w'' + k w + rho A w_tt = 0 with shear and rotary inertia on point supports, beddings and with a mass at the end.
    Exact but for a bracket of 1e-6, of which the lower end is given. The supports' stiffness is what is uncertain, not this.

    Args:
        beams: b bars; a single one goes with all the supports.
        supports: one for each bar; a single one goes with all bars.
        lengths_mm: l lengths [mm].

    Returns:
        Lowest critical speeds, shape (l, b) [rpm].

    Raises:
        UsageError: nonsense in the input; a bar that nothing holds at one of the lengths.

    Validity: bars of equal stiffness in every direction; small deflections; no contact with the liner unless the supports say so.
    Source: W.T. Thomson, Theory of Vibration with Applications, 4th ed. (1993), sec. 9.5; F.W. Williams and W.H. Wittrick,
    Int. J. Mech. Sci. 12 (1970) 781-791.

    >>> from standoff.bar.supports import clamped
    >>> held = Supports((clamped("front", at_mm=0.0),))
    >>> omega = critical_speeds([Beam(1.0, 1e6)], [held], [1000.0]).whip_rpm[0, 0] / RPM_PER_RAD_PER_S
    >>> round(float(omega) * 1e6, 4)  # Thomson, Table D.3: (beta L)^2 = 3.5160
    3.516
    """
    return _by(_bracketed, mesh(beams, supports, lengths_mm), lengths_mm, most=_CHUNK)


def speeds_by_elements(
    beams: Sequence[Beam], supports: Sequence[Supports], lengths_mm: Sequence[float], *, elements: int = ELEMENTS
) -> Speeds:
    """The same by finite elements: the check of `critical_speeds`, never the basis of a limit, since it errs high.

    Args:
        beams: b bars.
        supports: one for each bar.
        lengths_mm: l lengths [mm].
        elements: how many elements each bar is cut into, if its supports do not ask for more.

    Returns:
        Lowest critical speeds, shape (l, b) [rpm], high by about (beta h)^4/1440.

    Raises:
        UsageError: as `critical_speeds`.

    Source: as `elements`.
    """
    return _by(_by_elements, mesh(beams, supports, lengths_mm, pieces=elements), lengths_mm, most=_CHUNK_OF_ELEMENTS)


def critical_speed(beam: Beam, supports: Supports, *, length_mm: float) -> CriticalSpeed:
    """The lowest critical speed of one bar at one length; see `critical_speeds`."""
    found = critical_speeds([beam], [supports], [length_mm])
    return CriticalSpeed(length_mm, float(found.whip_rpm[0, 0]), float(found.at_most_rpm[0, 0]))


def slowed_ratio(*, force_n: float, buckling_n: float) -> float:
    """By how much does the feed force lower the whip speed?

    sqrt(1 - P/Pcr): exact for a span whose whirling and buckled shapes are alike (pinned ends), close for others. The solver does
    not use it: it carries P itself.

    Args:
        force_n: feed force along the bar, compression positive [N].
        buckling_n: force at which the same bar buckles [N].

    Returns:
        Whip speed with the force over that without it.

    Raises:
        UsageError: a force not below the buckling force, or negative.

    Validity: 0 <= P < Pcr.
    Source: S.P. Timoshenko and J.M. Gere, Theory of Elastic Stability, 2nd ed. (1961), sec. 2.15 (from memory).

    >>> slowed_ratio(force_n=75.0, buckling_n=100.0)
    0.5
    """
    require_not_negative("feed force", force_n)
    if force_n >= require_positive("buckling force", buckling_n):
        raise UsageError(
            what="feed force",
            given=f"{force_n} N",
            allowed=f"less than the {buckling_n:.1f} N that buckle the bar",
            action="lower the feed force or support the bar closer",
        )
    return math.sqrt(1.0 - force_n / buckling_n)


def _bracketed(bar: Mesh) -> tuple[Floats, Floats]:
    """Both ends of the exact brackets."""
    found = lowest(bar)
    return found.low_rad_per_s, found.high_rad_per_s


def _by_elements(bar: Mesh) -> tuple[Floats, Floats]:
    """The same of finite elements: how far the certificate reaches down, and the value."""
    high = lowest_by_elements(bar)
    return high * (1.0 - CERTAIN), high


def _by(solver: Callable[[Mesh], tuple[Floats, Floats]], bar: Mesh, lengths_mm: Sequence[float], *, most: int) -> Speeds:
    """Solve in even parts of so many cases at most, and put it back in rows of lengths."""
    low, high = np.empty(bar.cases), np.empty(bar.cases)
    ends = np.linspace(0, bar.cases, -(-bar.cases // most) + 1).astype(int).tolist()
    for part in map(slice, ends, ends[1:]):
        low[part], high[part] = solver(bar.take(part))
    rows = (len(lengths_mm), -1)
    return Speeds(np.asarray(lengths_mm, dtype=float), *((x * RPM_PER_RAD_PER_S).reshape(rows) for x in (low, high)))
