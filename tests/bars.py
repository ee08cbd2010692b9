"""Bars for the tests: random ones on random supports, slender ones from the textbooks, and printed figures.

Random places lie on a grid, so that two of them coincide or lie well apart; random stiffnesses are drawn against what the bar
itself resists, from hardly felt to rigid.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, fields, replace

import numpy as np

from standoff.bar.beam import Beam, beam
from standoff.bar.materials import MATERIALS
from standoff.bar.mesh import Mesh, mesh
from standoff.bar.section import Section, Shape
from standoff.bar.stiffness import count_below
from standoff.bar.supports import Flooded, Mass, Pusher, Stretch, Support, Supports, clamped, rigid

PSI_MPA = 0.45359237 * 9.80665 / 25.4**2
"""A pound-force per square inch. [MPa]"""

LB_IN3_KG_M3 = 0.45359237 / 0.0254**3
"""A pound per cubic inch. [kg/m3]"""

RPM = 30.0 / math.pi
"""Turns per minute of 1 rad/s."""

UNIT = Beam(1.0, 1e6)
"""A slender bar of EI 1 N mm2 and 1 t/mm: 1000 mm of it have the frequency (beta L)^2 times 1e-6 rad/s."""

GRID = 60


def half_last_digit(printed: str) -> float:
    """Half a unit in the last printed place; of a whole number every printed digit counts."""
    _, point, decimals = printed.partition(".")
    return 0.5 * 10.0 ** -(len(decimals) if point else 0)


def slender(ei_n_mm2: float, *, mass_kg_m: float) -> Beam:
    """A bar as the textbooks have it, without shear and rotary inertia."""
    return Beam(ei_n_mm2, mass_kg_m)


def slender_of(one: Beam) -> Beam:
    """The same bar as the textbooks have it."""
    return replace(one, shear_n=math.inf, rotary_kg_mm=0.0)


def one_case(one: Beam, supports: Supports, length_mm: float) -> Mesh:
    """A single bar of a single length, in as few pieces as its supports ask for."""
    return mesh([one], [supports], [length_mm])


def below(bar: Mesh, omega_rad_per_s: float) -> int:
    """How many critical frequencies of a single case lie below."""
    return int(count_below(bar, np.array([omega_rad_per_s])).below[0])


def is_mode(bar: Mesh, number: int, at_rad_per_s: float, *, within: float) -> bool:
    """Whether the mode of this number (the lowest is 1) lies at a frequency, give or take: fewer modes below, that one above."""
    return below(bar, at_rad_per_s - within) < number <= below(bar, at_rad_per_s + within)


def held_at(*places_mm: float, front: str = "rigid", rear: str = "rigid") -> Supports:
    """Rigid supports at these places; the first and the last may be clamped."""
    kinds = {"rigid": rigid, "clamped": clamped}
    last = len(places_mm) - 1
    ends = {0: kinds[front], last: kinds[rear if last else front]}
    return Supports(tuple(ends.get(i, rigid)(f"support {i + 1}", at_mm=x) for i, x in enumerate(places_mm)))


@dataclass(frozen=True, slots=True)
class Bar:
    """One random bar on its supports."""

    seed: int
    beam: Beam
    supports: Supports
    length_mm: float

    def mesh(self, *, pieces: int = 1) -> Mesh:
        """As the room cuts it."""
        return mesh([self.beam], [self.supports], [self.length_mm], pieces=pieces)

    @property
    def pinned_rad_per_s(self) -> float:
        """The lowest frequency of the same bar pinned at its ends, slender and free of all else. [rad/s]"""
        return (math.pi / self.length_mm) ** 2 * math.sqrt(self.beam.ei_n_mm2 / (self.beam.mass_kg_m * 1e-6))


def random_bar(seed: int, *, thick: bool) -> Bar:
    """The bar of a seed: slender without shear, or thick with it (down to five diameters long)."""
    random = np.random.default_rng([seed, int(thick)])
    size_mm = float(np.exp(random.uniform(np.log(3.0), np.log(65.0))))
    shape = list(Shape)[random.integers(3)]
    one = beam(Section(shape, size_mm), list(MATERIALS.values())[random.integers(len(MATERIALS))])
    shortest_mm = max(150.0, 5.0 * size_mm) if thick else 300.0
    length_mm = float(np.exp(random.uniform(np.log(shortest_mm), np.log(4000.0))))
    one = one if thick else slender_of(one)
    while True:
        supports = _random_supports(random, one, length_mm)
        if supports.held(length_mm=length_mm):
            return Bar(seed, one, supports, length_mm)


def stacked(bars: Sequence[Bar], *, pieces: int = 1) -> Iterator[tuple[list[int], Mesh]]:
    """The bars that are cut into equally many pieces, side by side: their numbers, and their mesh."""
    cut: dict[int, list[tuple[int, Mesh]]] = {}
    for i, bar in enumerate(bars):
        own = bar.mesh(pieces=pieces)
        cut.setdefault(len(own.piece_mm), []).append((i, own))
    for group in cut.values():
        arrays = (np.concatenate([getattr(own, f.name) for _, own in group], axis=-1) for f in fields(Mesh))
        yield [i for i, _ in group], Mesh(*arrays)


def _random_supports(random: np.random.Generator, one: Beam, length_mm: float) -> Supports:
    """Up to six points, two beddings, a pusher, oil, rings and a feed force; some places lie beyond the bar's end."""

    def chance(share: float) -> bool:
        return bool(random.random() < share)

    def times(unit: float, low: float, high: float) -> float:
        return float(unit * 10.0 ** random.uniform(low, high))

    def place() -> float:
        return float(random.integers(0, int(1.15 * GRID)) * (length_mm / GRID))

    def span() -> tuple[float, float]:
        first, second = sorted(random.choice(int(1.15 * GRID), 2, replace=False).tolist())
        return first * (length_mm / GRID), second * (length_mm / GRID)

    def lateral() -> float:
        return math.inf if chance(0.3) else times(one.ei_n_mm2 / length_mm**3, -2.0, 8.0)

    def rotational() -> float:
        if chance(0.6):
            return 0.0
        return math.inf if chance(0.2) else times(one.ei_n_mm2 / length_mm, -2.0, 4.0)

    points = [Support(f"support {i + 1}", place(), lateral(), rotational()) for i in range(random.integers(0, 6))]
    if chance(0.7):
        points.insert(0, Support("front", 0.0, lateral(), math.inf if chance(0.4) else rotational()))
    beds = [
        Stretch(f"bed {i + 1}", *span(), times(one.ei_n_mm2 / length_mm**4, -2.0, 5.0))
        for i in range(random.integers(1, 3) if chance(0.4) else 0)
    ]
    weight_kg = one.mass_kg_m * length_mm / 1000.0
    pusher = Pusher(
        mass_kg=times(weight_kg, -2.0, 1.3) if chance(0.5) else 0.0,
        lateral_n_per_mm=lateral() if chance(0.3) else 0.0,
        rotational_n_mm=rotational() if chance(0.3) else 0.0,
    )
    oil = [
        Flooded("channel", *span(), 2.0 * one.radius_mm * random.uniform(1.1, 2.5), random.uniform(800.0, 950.0))
        for _ in range(int(chance(0.3)))
    ]
    rings = [Mass("ring", place(), times(weight_kg, -2.0, 0.5)) for _ in range(int(chance(0.2)))]
    axial_n = float(one.ei_n_mm2 / length_mm**2 * random.uniform(-20.0, 20.0)) if chance(0.4) else 0.0
    return Supports(tuple(points), tuple(beds), pusher, (), tuple(oil), tuple(rings), axial_n)


def near_twins(seed: int) -> Bar:
    """Two to five spans of nearly the same length, tied so stiffly against tilting that they hardly feel one another."""
    random = np.random.default_rng([seed, 2])
    size_mm = float(random.uniform(4.0, 30.0))
    one = slender_of(beam(Section(Shape.ROUND, size_mm), MATERIALS["steel"]))
    spans_mm = random.uniform(300.0, 700.0) * (
        1.0 + random.uniform(-1.0, 1.0, random.integers(2, 6)) * 10.0 ** random.uniform(-7, -2)
    )
    places = [0.0, *np.cumsum(spans_mm).tolist()]
    tilt = one.ei_n_mm2 / spans_mm[0] * 10.0 ** random.uniform(0.0, 6.0)
    points = tuple(Support(f"support {i + 1}", x, math.inf, tilt) for i, x in enumerate(places))
    return Bar(seed, one, Supports(points), places[-1])
