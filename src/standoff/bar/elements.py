"""The second solver: finite elements (Hermite's beam element, with shear), which also give the shape of the mode.

Elements keep the bar to a few shapes, so they are too stiff: their speed errs HIGH, by about (beta h)^4/1440 with h the length of
an element. The exact solver is therefore the one that limits are taken from; this one is its check and the source of mode shapes.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from standoff.bar.chain import Chain, Elimination, eliminate, joined
from standoff.bar.mesh import Flags, Floats, Mesh

CERTAIN = 1e-6
"""No mode lies further below the value returned than this share of it."""

_WARM_UP = 3
_SHIFTED = 3
_SPARE = 3
_ROUNDS = 4


@dataclass(frozen=True, slots=True, eq=False)
class Modes:
    """The lowest modes of each case: squared frequencies (k, c); deflection and slope of the joints (n + 1, k, c), unit mass."""

    square: Floats
    deflection: Floats
    slope: Floats


def stiffness_and_mass(bar: Mesh) -> tuple[Chain, Chain]:
    """What do the elements of each bar resist, and what do they weigh?

    Energy of bending, shear, bedding and feed force, and of sideways and turning motion, in the shapes of a statically deflected
    beam with shear. Exactly integrated, so the elements err high only.

    Args:
        bar: c cases; every piece is one element.

    Returns:
        Stiffness [N, mm, rad] and mass [t, mm, rad] as chains of joints.

    Source: Z. Friedman and J.B. Kosmatka, Comput. Struct. 47 (1993) 473-481 (shapes); integration our own.
    """
    h, phi = bar.piece_mm, 12.0 * bar.ei_n_mm2 / (bar.shear_n * bar.piece_mm**2)
    bend = bar.ei_n_mm2 / (h**3 * (1.0 + phi))
    slope, moment = h, h**2
    bedding = [bar.bedding_mpa * h * x for x in _integrals("w", phi)]
    force = [bar.axial_n / h * x for x in _integrals("w'", phi)]
    bending: tuple[Floats | float, ...] = (12.0, 6.0, -12.0, 6.0, 4.0 + phi, 2.0 - phi)
    units: tuple[Floats | float, ...] = (1.0, slope, 1.0, slope, moment, moment)
    rigidity = tuple((bend * k + b - f) * u for k, b, f, u in zip(bending, bedding, force, units, strict=True))
    mass = [bar.mass_kg_m * 1e-6 * h * x for x in _integrals("w", phi)]
    turning = [bar.rotary_kg_mm * 1e-3 / h * x for x in _integrals("t", phi)]
    inertia = tuple((m + r) * u for m, r, u in zip(mass, turning, units, strict=True))
    return (
        joined(bar, rigidity, bar.lateral_n_per_mm, bar.rotational_n_mm, held=1),
        joined(bar, inertia, bar.joint_kg * 1e-3, np.zeros_like(bar.joint_kg), held=0),
    )


def lowest_by_elements(bar: Mesh) -> Floats:
    """What is the lowest critical frequency of each bar by finite elements?

    Inverse iteration, then the Rayleigh quotient's own shift; both may end in another mode (1 to 5 cases in 100), so a Sturm
    count just below the result certifies it, and a case that fails is closed in by counts. Errs high (see the module).

    Args:
        bar: c cases; one element for each piece.

    Returns:
        Frequencies, shape (c,) [rad/s]; where the feed force buckles the bar, 0.

    Source: W.T. Thomson, Theory of Vibration with Applications, 4th ed. (1993), ch. 10 (elements); inertia count as `chain`.
    """
    rigidity, inertia = stiffness_and_mass(bar)
    done = eliminate(rigidity)
    square = _iterated(bar, rigidity, inertia, done)
    wrong = eliminate(rigidity.minus(inertia, square * (1.0 - CERTAIN) ** 2)).negatives > 0
    square[done.negatives > 0] = 0.0
    wrong &= done.negatives == 0
    if np.any(wrong):
        square[wrong] = _halved(_taken(rigidity, wrong), _taken(inertia, wrong), square[wrong])
    return np.sqrt(square)


def modes(bar: Mesh, *, count: int) -> Modes:
    """In which shapes does each bar whirl at its lowest critical frequencies?

    Subspace iteration from plain waves; three spare vectors make the wanted ones accurate. The first is good to about 1e-6 of its
    frequency, the last to some per cent, which is enough for what they add to a static deflection. Errs high.

    Args:
        bar: c cases.
        count: how many modes k.

    Returns:
        Squared frequencies [1/s2], deflections and slopes, scaled to unit modal mass. Where the feed force buckles the bar, the
        first square is negative and its shape is the one into which it bends.

    Source: K.J. Bathe, Finite Element Procedures, 1996, sec. 11.6.
    """
    rigidity, inertia = stiffness_and_mass(bar)
    done = eliminate(rigidity)
    w, t = _waves(bar, count + _SPARE)
    mw, mt = inertia.times(w, t)
    for _ in range(_ROUNDS):
        load_w, load_t = mw, mt
        w, t = done.solve(load_w, load_t)
        mw, mt = inertia.times(w, t)
        _part((w, t, mw, mt, load_w, load_t))
    square, mix = np.linalg.eigh(_products(w, t, load_w, load_t))
    w, t = (np.einsum("nkc,ckj->njc", x, mix[:, :, :count]) for x in (w, t))
    return Modes(square.T[:count], w, t)


def _part(vectors: tuple[Floats, ...]) -> None:
    """Make the vectors independent and of unit mass, in place, with all that goes with them (Gram and Schmidt).

    Sideways and turning part come first, then the same times mass. Done on the vectors, not on their products: of modes whose
    frequencies differ a thousandfold the products have lost the higher ones.
    """
    w, t, mw, mt = vectors[:4]
    for i in range(w.shape[1]):
        for j in range(i):
            shared = (w[:, i] * mw[:, j] + t[:, i] * mt[:, j]).sum(axis=0)
            for x in vectors:
                x[:, i] -= shared * x[:, j]
        size = 1.0 / np.sqrt((w[:, i] * mw[:, i] + t[:, i] * mt[:, i]).sum(axis=0))
        for x in vectors:
            x[:, i] *= size


def _waves(bar: Mesh, count: int) -> tuple[Floats, Floats]:
    """Waves of growing number along the bar, as something to start from."""
    along = (bar.joints_mm() / bar.piece_mm.sum(axis=0))[:, None, :]
    number = (np.arange(count) + 0.7)[None, :, None] * np.pi
    return np.sin(along * number + 0.3) / number**2, np.zeros((len(along), count, bar.cases))


def _products(w: Floats, t: Floats, force: Floats, moment: Floats) -> Floats:
    """What each vector does against each load: small symmetric matrices, shape (c, k, k)."""
    count = w.shape[1]
    small = np.empty((w.shape[2], count, count))
    for i in range(count):
        for j in range(i + 1):
            small[:, i, j] = small[:, j, i] = (w[:, i] * force[:, j] + t[:, i] * moment[:, j]).sum(axis=0)
    return small


def _iterated(bar: Mesh, rigidity: Chain, inertia: Chain, done: Elimination) -> Floats:
    """The squared frequency to which the iterations lead, which need not be the lowest."""
    w = np.where(np.isfinite(bar.lateral_n_per_mm), 1.0, 0.0) * (1.0 + 0.3 * np.sin(7.0 * np.arange(len(bar.joint_kg)))[:, None])
    t = np.zeros_like(w)
    mw, mt = inertia.times(w, t)
    square = np.zeros(bar.cases)
    for step in range(_WARM_UP + _SHIFTED):
        if step >= _WARM_UP:
            done = eliminate(rigidity.minus(inertia, square))
        fw, ft = mw, mt
        w, t = done.solve(fw, ft)
        mw, mt = inertia.times(w, t)
        mass = (w * mw + t * mt).sum(axis=0)
        # With (K - s M) w = f the Rayleigh quotient is s + w'f / w'M w.
        square = (square if step >= _WARM_UP else 0.0) + (w * fw + t * ft).sum(axis=0) / mass
        size = 1.0 / np.sqrt(mass)
        w, t, mw, mt = w * size, t * size, mw * size, mt * size
    return square


def _halved(rigidity: Chain, inertia: Chain, high: Floats) -> Floats:
    """The lowest squared frequency, closed in from above by counts alone."""
    low = np.zeros_like(high)
    while np.any(high - low > CERTAIN * high):
        middle = np.where(low > 0.0, np.sqrt(low * high), high / 4.0)
        none = eliminate(rigidity.minus(inertia, middle)).negatives == 0
        low, high = np.where(none, middle, low), np.where(none, high, middle)
    return high


def _taken(chain: Chain, which: Flags) -> Chain:
    """Some cases of a chain."""
    return Chain(*(block[:, which] for block in chain.blocks()))


def _shapes() -> dict[str, tuple[list[np.polynomial.Polynomial], list[np.polynomial.Polynomial]]]:
    """Shapes of an element of length 1, times 1 + phi: without phi, and what goes with it; ends w, t and mirrored."""
    p = np.polynomial.Polynomial
    plain = [p([1, 0, -3, 2]), p([0, 1, -2, 1]), p([0, 0, 3, -2]), p([0, 0, -1, 1])]
    shear = [p([1, -1]), p([0, 0.5, -0.5]), p([0, 1]), p([0, -0.5, 0.5])]
    turn = [p([0, -6, 6]), p([1, -4, 3]), p([0, 6, -6]), p([0, -2, 3])]
    turn_shear = [p([0]), p([1, -1]), p([0]), p([0, 1])]
    return {"w": (plain, shear), "w'": ([x.deriv() for x in plain], [x.deriv() for x in shear]), "t": (turn, turn_shear)}


_SHAPES = _shapes()
_PAIRS = ((0, 0), (0, 1), (0, 2), (0, 3), (1, 1), (1, 3))


def _product(kind: str, one: int, other: int) -> tuple[float, float, float]:
    """The integral of two shapes' product, as a polynomial in phi."""
    plain, shear = _SHAPES[kind]

    def over(x: np.polynomial.Polynomial) -> float:
        return float(x.integ()(1.0))

    mixed = over(plain[one] * shear[other]) + over(shear[one] * plain[other])
    return over(plain[one] * plain[other]), mixed, over(shear[one] * shear[other])


_TABLES = {kind: tuple(_product(kind, i, j) for i, j in _PAIRS) for kind in _SHAPES}


def _integrals(kind: str, phi: Floats) -> list[Floats]:
    """The six entries of the shapes' products, for an element of length 1."""
    return [(a + phi * (b + phi * c)) / (1.0 + phi) ** 2 for a, b, c in _TABLES[kind]]
