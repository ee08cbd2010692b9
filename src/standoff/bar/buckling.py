"""How hard may the bar be pushed? It buckles in the unsupported gap like a column, and in the tube like a pipe in a well.

The lower of the two governs: upwards the feed force is bounded by it, downwards by friction and by what a stage of the cycle
needs.
"""

from __future__ import annotations

import math
from enum import Enum

import numpy as np

from standoff.bar.beam import GRAVITY_MM_PER_S2, Beam
from standoff.bar.checks import require_not_negative, require_positive


class Ends(Enum):
    """How a gap's two ends hold the bar; the value is Euler's factor n in n pi^2 EI / L^2 (exact where handbooks round)."""

    PINNED = 1.0
    CLAMPED = 4.0
    CLAMPED_PINNED = 2.045748
    CLAMPED_FREE = 0.25


def euler_n(beam: Beam, *, gap_mm: float, ends: Ends) -> float:
    """Which force buckles the bar in the gap between two supports?

    Euler's column, n pi^2 EI / L^2, made softer by shear: P / (1 + P/kappa G A). A bowed bar bends before; errs high for real
    bars.

    Args:
        beam: the bar.
        gap_mm: unsupported length [mm].
        ends: how the ends hold it.

    Returns:
        Buckling force [N].

    Raises:
        UsageError: the gap is no positive number.

    Validity: below the yield force.
    Source: Machinery's Handbook, 31st ed., Industrial Press, 2020, p. 283 (factors 1, 4, 2, 0.25); shear after Engesser.

    >>> round(euler_n(Beam(200e3 * math.pi * 2.0**4 / 64.0, 0.0247), gap_mm=400.0, ends=Ends.PINNED), 1)
    9.7
    """
    slender = ends.value * math.pi**2 * beam.ei_n_mm2 / require_positive("gap", gap_mm) ** 2
    return slender / (1.0 + slender / beam.shear_n)


def sinusoidal_n(beam: Beam, *, clearance_mm: float) -> float:
    """Which force makes a long bar lying in a tube snake from side to side?

    2 sqrt(EI w / r): its own weight in the tube's bottom holds it. Frictionless and straight: friction raises it, bow lowers it.

    Args:
        beam: the bar.
        clearance_mm: radial clearance between bar and tube [mm].

    Returns:
        Force [N].

    Raises:
        UsageError: the clearance is no positive number.

    Validity: horizontal tube, long against the waves.
    Source: R. Dawson and P.R. Paslay, J. Pet. Technol., Oct. 1984 (SPE 11167).

    >>> round(sinusoidal_n(Beam(200e3 * math.pi * 2.0**4 / 64.0, 0.02466), clearance_mm=10.0), 1)
    3.9
    """
    return 2.0 * math.sqrt(beam.ei_n_mm2 * beam.weight_n_per_mm / require_positive("radial clearance", clearance_mm))


def helical_n(beam: Beam, *, clearance_mm: float) -> float:
    """Which force winds a long bar into a helix in its tube?

    2 sqrt(2) sqrt(EI w / r). From here on the wall carries the bar and friction grows with the square of the force.

    Args:
        beam: the bar.
        clearance_mm: radial clearance between bar and tube [mm].

    Returns:
        Force [N].

    Raises:
        UsageError: the clearance is no positive number.

    Validity: as `sinusoidal_n`.
    Source: Y.-C. Chen, Y.-H. Lin and J.B. Cheatham, J. Pet. Technol., Feb. 1990 (SPE 19176); printed with factor 2.828.

    >>> bar = Beam(1.0, 1.0)
    >>> round(helical_n(bar, clearance_mm=1.0) / math.sqrt(bar.weight_n_per_mm), 3)
    2.828
    """
    return math.sqrt(2.0) * sinusoidal_n(beam, clearance_mm=clearance_mm)


def tube_n(beam: Beam, *, tube_mm: float, clearance_mm: float) -> float:
    """Which force buckles the bar in a tube of this length?

    The lowest over n half-waves of EI (n pi / L)^2 + (w/r) (L / n pi)^2; a long tube reaches `sinusoidal_n` from above. Pinned
    ends.

    Args:
        beam: the bar.
        tube_mm: length of the tube [mm].
        clearance_mm: radial clearance [mm].

    Returns:
        Force [N].

    Raises:
        UsageError: a size that is no positive number.

    Validity: as `sinusoidal_n`, any length.
    Source: R. Dawson and P.R. Paslay, J. Pet. Technol., Oct. 1984 (SPE 11167).

    >>> bar = Beam(200e3 * math.pi * 2.0**4 / 64.0, 0.02466)
    >>> tube_n(bar, tube_mm=3000.0, clearance_mm=10.0) >= sinusoidal_n(bar, clearance_mm=10.0)
    True
    """
    length, clearance = require_positive("length of the tube", tube_mm), require_positive("radial clearance", clearance_mm)
    per_mm = beam.weight_n_per_mm / clearance
    best = length / math.pi * (per_mm / beam.ei_n_mm2) ** 0.25
    waves = np.array([max(math.floor(best), 1), math.floor(best) + 1]) * math.pi / length
    return float(np.min(beam.ei_n_mm2 * waves**2 + per_mm / waves**2))


def tube_passing_n(beam: Beam, *, tube_mm: float, clearance_mm: float) -> float:
    """Which force buckles a bar somewhere on its way through a tube, as more or less of it lies in there?

    The lowest `tube_n` over every length up to the tube's: in a tube long enough for one wave that is `sinusoidal_n`, which
    each whole number of waves reaches. Pinned ends; errs low for a bar that always fills the tube.

    Args:
        beam: the bar.
        tube_mm: length of the tube [mm].
        clearance_mm: radial clearance [mm].

    Returns:
        Force [N].

    Raises:
        UsageError: a size that is no positive number.

    Validity: as `sinusoidal_n`, any length.
    Source: R. Dawson and P.R. Paslay, J. Pet. Technol., Oct. 1984 (SPE 11167).

    >>> bar = Beam(200e3 * math.pi * 2.0**4 / 64.0, 0.02466)
    >>> tube_passing_n(bar, tube_mm=3000.0, clearance_mm=10.0) == sinusoidal_n(bar, clearance_mm=10.0)
    True
    """
    length, lowest_n = require_positive("length of the tube", tube_mm), sinusoidal_n(beam, clearance_mm=clearance_mm)
    wave_mm = math.pi * math.sqrt(2.0 * beam.ei_n_mm2 / lowest_n)
    return lowest_n if length >= wave_mm else tube_n(beam, tube_mm=length, clearance_mm=clearance_mm)


def friction_n(beam: Beam, *, length_mm: float, friction_coefficient: float, extra_kg: float = 0.0) -> float:
    """How much of the push does friction along the channel take?

    Coefficient times weight of the bar and of what slides with it. A bar pressed to the wall by buckling rubs more: errs low
    there.

    Args:
        beam: the bar.
        length_mm: length that lies in the channel [mm].
        friction_coefficient: sliding friction, dry or oiled.
        extra_kg: mass that slides with it, such as the pusher [kg].

    Returns:
        Force [N].

    Raises:
        UsageError: a negative input.

    Validity: horizontal channel, force below buckling.
    Source: Coulomb's friction.

    >>> round(friction_n(Beam(1.0, 2.466), length_mm=3000.0, friction_coefficient=0.2), 1)
    14.5
    """
    require_not_negative("length in the channel", length_mm)
    require_not_negative("friction coefficient", friction_coefficient)
    extra_n = require_not_negative("sliding mass", extra_kg) * GRAVITY_MM_PER_S2 / 1000.0
    return friction_coefficient * (beam.weight_n_per_mm * length_mm + extra_n)
