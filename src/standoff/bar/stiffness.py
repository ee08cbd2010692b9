"""The exact solver: dynamic stiffness of uniform pieces, and the Wittrick-Williams count.

A piece obeys EI w'''' + P w'' + (k - rho A W^2) w = 0 with shear and rotary inertia besides; its stiffness at a frequency W is
exact, not a matter of elements. It is built without a single sine: the power series of a small bit of the piece (half a bit at a
time, as symmetric and mirrored motion, so that nothing cancels) and then doubling, each time taking the middle joint out. The
negative pivots met on the way, doubling included, number the critical frequencies below W: nothing is missed at a clamped span.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from standoff.bar.chain import TINIEST, eliminate, joined
from standoff.bar.mesh import Floats, Ints, Mesh

_TERMS = 9


@dataclass(frozen=True, slots=True, eq=False)
class Count:
    """How many critical frequencies lie below, and the determinant left, as a sign and a logarithm."""

    below: Ints
    sign: Ints
    log_size: Floats


def count_below(bar: Mesh, speed_rad_per_s: Floats) -> Count:
    """How many bending critical frequencies of each case lie below this one?

    Wittrick-Williams: the negative eigenvalues of the exact dynamic stiffness plus the clamped frequencies inside its pieces;
    here both are negative pivots of one elimination. Exact but for rounding (about 1e-9 of the frequency).

    Args:
        bar: c cases.
        speed_rad_per_s: one frequency for each case, shape (c,) [rad/s].

    Returns:
        The count for each case. At frequency 0 it numbers the ways in which the feed force buckles the bar.

    Validity: frequencies below that at which shear alone resonates (sqrt(kappa G A / rho I)), far above any bar's speed.
    Source: F.W. Williams and W.H. Wittrick, Int. J. Mech. Sci. 12 (1970) 781-791; the doubling is our own use of it.
    """
    square = speed_rad_per_s**2
    entries, inside = _piece(bar, square)
    chain = joined(bar, entries, bar.lateral_n_per_mm - square * bar.joint_kg * 1e-3, bar.rotational_n_mm, held=1)
    done = eliminate(chain)
    log_size = np.log(np.abs(done.determinants)).sum(axis=0)
    return Count(done.negatives + inside, 1 - 2 * (done.negatives % 2), log_size)


def _piece(bar: Mesh, square: Floats) -> tuple[tuple[Floats, ...], Ints]:
    """The six entries of every piece, and how many clamped frequencies lie below inside the pieces of each case."""
    h = bar.piece_mm
    bending = bar.ei_n_mm2
    load = square * bar.mass_kg_m * 1e-6 - bar.bedding_mpa
    # Bits so short that the roots of the piece's equation times the bit's length stay below 1.
    stretch = (np.abs(bar.axial_n) + square * bar.rotary_kg_mm * 1e-3 + np.abs(load) * bending / bar.shear_n) / bending
    size = h**2 * (stretch + np.sqrt(np.abs(load) / bending))
    doublings = np.maximum((np.frexp(size)[1] + 1) // 2, 0)
    half = h * np.exp2(-1.0 - doublings)
    s11, s12, s22, a11, a12, a22 = _half_bit(bar, square, load, half)
    inside = np.zeros(h.shape, dtype=np.int64)
    for level in range(int(doublings.max())):
        goes = doublings > level
        twice_a, twice_e, cross = s11 + a11, s22 + a22, a12 + s12
        twice_a = np.where(np.abs(twice_a) < TINIEST, TINIEST, twice_a)
        twice_e = np.where(np.abs(twice_e) < TINIEST, TINIEST, twice_e)
        negative = (twice_a < 0.0).astype(np.int64) + (twice_e < 0.0)
        inside += np.where(goes, negative << np.maximum(doublings - 1 - level, 0), 0)
        d = s12 - a12
        s11, s12, s22, a11, a12, a22 = (
            np.where(goes, new, old)
            for new, old in (
                (2.0 * s11 * a11 / twice_a, s11),
                ((s12 * a11 + a12 * s11) / twice_a, s12),
                ((twice_e - d * d / twice_a) / 2.0, s22),
                ((twice_a - d * d / twice_e) / 2.0, a11),
                ((cross + d * (a22 - s22) / twice_e) / 2.0, a12),
                (2.0 * s22 * a22 / twice_e, a22),
            )
        )
    entries = ((s11 + a11) / 2.0, -(s12 + a12) / 2.0, (s11 - a11) / 2.0, (s12 - a12) / 2.0, (s22 + a22) / 2.0, (a22 - s22) / 2.0)
    return entries, inside.sum(axis=0)


def _half_bit(bar: Mesh, square: Floats, load: Floats, half: Floats) -> tuple[Floats, ...]:
    """Stiffness at the end of half a bit, for motion symmetric about its other end and for mirrored motion.

    In lengths of the half bit: p axial force, z load, r rotary inertia, t shear flexibility. Any motion is built from the
    function g with g'''' = z' g - q g'', g = g' = g'' = 0 and g''' = 1 at the middle; its derivatives are the symmetric and
    mirrored motions.
    """
    unit = half**2 / bar.ei_n_mm2
    p, t = bar.axial_n * unit, 1.0 / (bar.shear_n * unit)
    r, shear_load = square * bar.rotary_kg_mm * 1e-3 * unit, load * half**2 / bar.shear_n
    alpha = 1.0 - bar.axial_n / bar.shear_n
    turning = 1.0 - square * bar.rotary_kg_mm * 1e-3 / bar.shear_n
    q = (shear_load + p + alpha * r) / alpha
    z = load * half**2 * unit * turning / alpha
    g0, g1, g2, g3 = _series(q, z)
    g4 = z * g0 - q * g2
    g5 = z * g1 - q * g3
    g6 = z * g2 - q * g4

    def ends(w0: Floats, w1: Floats, w2: Floats, w3: Floats) -> tuple[Floats, Floats, Floats, Floats]:
        """Deflection, slope of the section, force and moment of the motion w with its derivatives."""
        steep = alpha * w3 + shear_load * w1
        slope = (t * steep + w1) / turning
        return w0, slope, -steep - r * slope - p * w1, alpha * w2 + shear_load * w0

    scale = bar.ei_n_mm2 / half
    both = []
    for one, other in ((ends(g1, g2, g3, g4), ends(g3, g4, g5, g6)), (ends(g0, g1, g2, g3), ends(g2, g3, g4, g5))):
        (wa, ta, fa, ma), (wb, tb, fb, mb) = one, other
        det = scale / (wa * tb - wb * ta)
        both += [(fa * tb - fb * ta) * det / half**2, (fb * wa - fa * wb) * det / half, (mb * wa - ma * wb) * det]
    return tuple(both)


def _series(q: Floats, z: Floats) -> tuple[Floats, Floats, Floats, Floats]:
    """g and its first three derivatives at 1, where g'''' = z g - q g'' starts as x^3/6."""
    before, term = np.ones(np.broadcast_shapes(q.shape, z.shape)), -q
    g0, g1, g2, g3 = before / 6.0 + term / 120.0, before / 2.0 + term / 24.0, before + term / 6.0, before + term / 2.0
    for j in range(2, _TERMS):
        before, term = term, z * before - q * term
        g0 += term * (1.0 / math.factorial(2 * j + 3))
        g1 += term * (1.0 / math.factorial(2 * j + 2))
        g2 += term * (1.0 / math.factorial(2 * j + 1))
        g3 += term * (1.0 / math.factorial(2 * j))
    return g0, g1, g2, g3
