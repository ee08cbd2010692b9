"""The same bars by strangers: dense matrices built here, solved by a general eigenvalue solver. No line is shared with the room.

A slender bar is cut into Hermite's beam elements; a thick one gets polynomials of order 8 for its deflection and, apart from
them, for the turning of its section, with every energy written out. Both keep the bar to some shapes, so both err high only.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.polynomial import Legendre
from numpy.typing import NDArray
from scipy.linalg import LinAlgError, cholesky, eigh
from scipy.linalg.lapack import dpocon

from tests.bars import Bar

Matrix = NDArray[np.float64]

HERMITE_STEP = 0.3
"""Length of an element times the wave number of what it carries: the frequency then errs by about 6e-6."""

ORDER = 8
LEGENDRE_STEP = 2.5
EPSILON = float(np.finfo(float).eps)


@dataclass(frozen=True, slots=True)
class Dense:
    """Squared frequencies, rising, of the lowest modes; none where the feed force buckles the bar."""

    square: Matrix
    rounding: float

    @property
    def stable(self) -> bool:
        """Whether the feed force leaves the bar standing."""
        return len(self.square) > 0

    @property
    def lowest_rad_per_s(self) -> float:
        """The lowest frequency. [rad/s]"""
        return math.sqrt(self.square[0])

    def below(self, omega_rad_per_s: float) -> int:
        """How many frequencies lie below."""
        return int((self.square < omega_rad_per_s**2).sum())


@dataclass(frozen=True, slots=True)
class Pieces:
    """A bar cut up: nodes [mm], and for each piece its bedding [MPa] and its mass per length with the oil [t/mm]."""

    nodes: Matrix
    bedding: Matrix
    mass: Matrix

    @property
    def long(self) -> Matrix:
        """The length of each piece. [mm]"""
        return np.diff(self.nodes)


def cut(bar: Bar, *, omega_rad_per_s: float, step: float) -> Pieces:
    """Pieces that begin and end where anything does, and are short against the waves of this frequency."""
    s, end = bar.supports, bar.length_mm
    spans = [*s.stretches, *s.oil]
    places = [0.0, end, *(p.at_mm for p in (*s.points, *s.masses)), *(x for o in spans for x in (o.from_mm, o.to_mm))]
    corners = [x for x in sorted(places) if x <= end]
    kept = [corners[0], *(b for a, b in pairwise(corners) if b - a > 1e-6)]
    nodes = [0.0]
    for left, right in pairwise(kept):
        middle = (left + right) / 2.0
        mass, bed = mass_at(bar, middle), bedding_at(bar, middle)
        wave = (max(mass * omega_rad_per_s**2, bed) / bar.beam.ei_n_mm2) ** 0.25
        wave = max(wave, math.sqrt(abs(s.axial_n) / bar.beam.ei_n_mm2))
        nodes += np.linspace(left, right, math.ceil((right - left) * wave / step) + 1)[1:].tolist()
    middles = (np.array(nodes[1:]) + np.array(nodes[:-1])) / 2.0
    return Pieces(np.array(nodes), np.array([bedding_at(bar, x) for x in middles]), np.array([mass_at(bar, x) for x in middles]))


def bedding_at(bar: Bar, x_mm: float) -> float:
    """What bears the bar at a place. [MPa]"""
    return sum(s.bedding_mpa for s in bar.supports.stretches if s.from_mm < x_mm < s.to_mm)


def mass_at(bar: Bar, x_mm: float) -> float:
    """The bar and the oil that moves with it (Fritz 1972, from memory). [t/mm]"""
    kg_m, inner = bar.beam.mass_kg_m, bar.beam.radius_mm
    for oil in bar.supports.oil:
        if oil.from_mm < x_mm < oil.to_mm:
            outer = oil.bore_mm / 2.0
            displaced_kg_m = oil.density_kg_m3 * bar.beam.area_mm2 / 1e6
            kg_m += displaced_kg_m * (outer**2 + inner**2) / (outer**2 - inner**2)
    return kg_m * 1e-6


def solved(bar: Bar, *, thick: bool, omega_rad_per_s: float, modes: int) -> Dense:
    """The lowest modes, on a mesh that serves up to a frequency."""
    pieces = cut(bar, omega_rad_per_s=omega_rad_per_s, step=LEGENDRE_STEP if thick else HERMITE_STEP)
    rigidity, inertia, sideways, turning = (timoshenko if thick else hermite)(bar, pieces)
    held = held_by(bar, pieces.nodes, rigidity, inertia, sideways, turning)
    free = np.flatnonzero(~held)
    rigidity, inertia = rigidity[np.ix_(free, free)], inertia[np.ix_(free, free)]
    # Both matrices are scaled to a diagonal of 1 first, and the mass is solved against the stiffness: rounding then spoils the
    # low frequencies, which are wanted, least.
    if np.any(np.diag(rigidity) <= 0.0):
        return Dense(np.array([]), 0.0)
    unit = 1.0 / np.sqrt(np.diag(rigidity))
    rigidity, inertia = rigidity * np.outer(unit, unit), inertia * np.outer(unit, unit)
    try:
        factor = cholesky(rigidity)
    except LinAlgError:
        return Dense(np.array([]), 0.0)
    reciprocal, _ = dpocon(factor, float(np.abs(rigidity).sum(axis=0).max()))
    wanted = [max(len(free) - modes, 0), len(free) - 1]
    inverse = eigh(inertia, rigidity, eigvals_only=True, subset_by_index=wanted, driver="gvx")
    return Dense(1.0 / inverse[::-1], 10.0 * EPSILON / float(reciprocal))


def held_by(
    bar: Bar, nodes: Matrix, rigidity: Matrix, inertia: Matrix, sideways: NDArray[np.int64], turning: NDArray[np.int64]
) -> NDArray[np.bool_]:
    """Enter supports, pusher and rings into the matrices; which unknowns are held rigidly."""
    held = np.zeros(len(rigidity), dtype=bool)
    s, end = bar.supports, bar.length_mm
    holds = [(p.at_mm, p.lateral_n_per_mm, p.rotational_n_mm) for p in s.points if p.at_mm <= end]
    for at_mm, lateral, rotational in (*holds, (end, s.pusher.lateral_n_per_mm, s.pusher.rotational_n_mm)):
        node = int(np.argmin(np.abs(nodes - at_mm)))
        for unknown, stiffness in ((sideways[node], lateral), (turning[node], rotational)):
            if math.isinf(stiffness):
                held[unknown] = True
            else:
                rigidity[unknown, unknown] += stiffness
    for at_mm, mass_kg in (*((m.at_mm, m.mass_kg) for m in s.masses if m.at_mm <= end), (end, s.pusher.mass_kg)):
        node = int(np.argmin(np.abs(nodes - at_mm)))
        inertia[sideways[node], sideways[node]] += mass_kg * 1e-3
    return held


def hermite(bar: Bar, pieces: Pieces) -> tuple[Matrix, Matrix, NDArray[np.int64], NDArray[np.int64]]:
    """Stiffness and mass of a slender bar in Hermite's elements; unknowns: w and slope of each node in turn."""
    h = pieces.long[:, None, None]
    one = np.ones_like(h)
    scale = np.concatenate([one, h, one, h], axis=1)
    units = scale * np.swapaxes(scale, 1, 2)
    bend = np.array([[12, 6, -12, 6], [6, 4, -6, 2], [-12, -6, 12, -6], [6, 2, -6, 4]], dtype=float)
    lean = np.array([[36, 3, -36, 3], [3, 4, -3, -1], [-36, -3, 36, -3], [3, -1, -3, 4]]) / 30.0
    move = np.array([[156, 22, 54, -13], [22, 4, 13, -3], [54, 13, 156, -22], [-13, -3, -22, 4]]) / 420.0
    bedding, mass = pieces.bedding[:, None, None], pieces.mass[:, None, None]
    stiff = (bar.beam.ei_n_mm2 / h**3 * bend - bar.supports.axial_n / h * lean + bedding * h * move) * units
    heavy = mass * h * move * units
    first = 2 * np.arange(len(pieces.mass))[:, None]
    unknowns = first + np.arange(4)[None, :]
    size = 2 * len(pieces.nodes)
    nodes = np.arange(len(pieces.nodes))
    return put_together(stiff, unknowns, size), put_together(heavy, unknowns, size), 2 * nodes, 2 * nodes + 1


def timoshenko(bar: Bar, pieces: Pieces) -> tuple[Matrix, Matrix, NDArray[np.int64], NDArray[np.int64]]:
    """Stiffness and mass of a thick bar: deflection and turning of the section each in polynomials of its own."""
    h = pieces.long[:, None, None]
    shear, axial, bedding = bar.beam.shear_n, bar.supports.axial_n, pieces.bedding[:, None, None]
    turn_mass = bar.beam.rotary_kg_mm * 1e-3
    plain, steep, crossed = PRODUCTS
    # Shear energy: kappa G A (w' - theta)^2; the feed force works on w'.
    ww = (shear - axial) / h * steep + bedding * h * plain
    wt = np.broadcast_to(-shear * crossed, ww.shape)
    tt = bar.beam.ei_n_mm2 / h * steep + shear * h * plain
    stiff = np.block([[ww, wt], [np.swapaxes(wt, 1, 2), tt]])
    none = np.zeros_like(ww)
    heavy = np.block([[pieces.mass[:, None, None] * h * plain, none], [none, np.broadcast_to(turn_mass * h * plain, ww.shape)]])
    count = len(pieces.mass)
    corners = np.arange(count)[:, None] + np.arange(2)[None, :]
    inner = (count + 1) + (ORDER - 1) * np.arange(count)[:, None] + np.arange(ORDER - 1)[None, :]
    sideways = np.concatenate([corners, inner], axis=1)
    half = (count + 1) + (ORDER - 1) * count
    unknowns = np.concatenate([sideways, sideways + half], axis=1)
    nodes = np.arange(count + 1)
    return put_together(stiff, unknowns, 2 * half), put_together(heavy, unknowns, 2 * half), nodes, nodes + half


def put_together(elements: Matrix, unknowns: NDArray[np.int64], size: int) -> Matrix:
    """The sum of the elements' matrices."""
    whole = np.zeros((size, size))
    np.add.at(whole, (unknowns[:, :, None], unknowns[:, None, :]), elements)
    return whole


def _products() -> tuple[Matrix, Matrix, Matrix]:
    """Integrals of shape times shape, slope times slope, and slope times shape over a piece of length 1."""
    x = Legendre([0.5, 0.5])
    shapes = [1 - x, x] + [Legendre.basis(k).integ(lbnd=-1) for k in range(1, ORDER)]
    slopes = [2 * shape.deriv() for shape in shapes]

    def over(one: Legendre, other: Legendre) -> float:
        whole = (one * other).integ()
        return float(whole(1.0) - whole(-1.0)) / 2.0

    plain, steep = (np.array([[over(a, b) for b in kind] for a in kind]) for kind in (shapes, slopes))
    return plain, steep, np.array([[over(a, b) for b in shapes] for a in slopes])


PRODUCTS = _products()
