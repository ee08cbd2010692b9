"""Bow against a dense solution: (K - r^2 W^2 M) w = what bends the bar, solved whole at the very speed at which it should touch.

The room solves the part at rest exactly and adds four modes, halves an interval six times and works in single precision; here the
full matrices of the same elements are solved. The random shapes are drawn anew from the same generator.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import pytest
from numpy.typing import NDArray

from standoff.bar.bow import KNOT_MM, UNTOUCHED_RATIO, Clearance, Touch, amplification_factor, touch
from standoff.bar.mesh import mesh
from standoff.bar.stock import curvature_per_mm
from standoff.bar.supports import Pusher, Support, Supports, clamped, rigid
from tests.bars import RPM, Bar, slender
from tests.bars_dense import Pieces, held_by, hermite

SHAPES = 12
ELEMENTS = 24
BARS = 40
CLOSE = 0.002
"""Four modes and single precision leave some per cent of the room open; a plain sum of modes would be off by half."""


def random_tubed(seed: int) -> tuple[Bar, list[Clearance], float]:
    """A steel bar in two tubes with a gap between them, and how straight it is."""
    random = np.random.default_rng([seed, 4])
    diameter_mm, length_mm = float(random.uniform(6.0, 32.0)), float(random.uniform(900.0, 3800.0))
    one = slender(200e3 * math.pi * diameter_mm**4 / 64.0, mass_kg_m=7.85e-3 * math.pi * diameter_mm**2 / 4.0)
    front = clamped("front", at_mm=0.0) if seed % 2 else rigid("front", at_mm=0.0)
    places = np.sort(random.uniform(0.2, 0.95, 2)) * length_mm
    points = (front, *(Support(f"rest {i}", float(x), float(10.0 ** random.uniform(2.0, 5.0))) for i, x in enumerate(places)))
    supports = Supports(points, pusher=Pusher(0.5, float(random.choice([0.0, 100.0]))))
    tubes = [Clearance("spindle", 0.1 * length_mm, 0.4 * length_mm, 2.0), Clearance("channel", 0.5 * length_mm, 2e4, 4.0)]
    return Bar(seed, one, supports, length_mm), tubes, float(random.uniform(0.3, 2.0))


@dataclass(frozen=True)
class Whole:
    """The dense matrices of one bar, and the room in its tubes less the sag."""

    rigidity: NDArray[np.float64]
    inertia: NDArray[np.float64]
    free: NDArray[np.int64]
    nodes: NDArray[np.float64]
    omega: float

    @classmethod
    def of(cls, bar: Bar, tubes: list[Clearance], omega: float) -> Whole:
        """On the nodes of the room's own mesh."""
        marks = [x for tube in tubes for x in (tube.from_mm, tube.to_mm)]
        nodes = mesh([bar.beam], [bar.supports], [bar.length_mm], pieces=ELEMENTS, marks_mm=marks).joints_mm()[:, 0]
        mass = np.full(len(nodes) - 1, bar.beam.mass_kg_m * 1e-6)
        rigidity, inertia, sideways, turning = hermite(bar, Pieces(nodes, np.zeros_like(mass), mass))
        held = held_by(bar, nodes, rigidity, inertia, sideways, turning)
        return cls(rigidity, inertia, np.flatnonzero(~held), nodes, omega)

    def swing_mm(self, load: NDArray[np.float64], ratio: float) -> NDArray[np.float64]:
        """Deflection of the nodes under loads (unknowns, s) at a share of the critical speed."""
        matrix = self.rigidity - (ratio * self.omega) ** 2 * self.inertia
        whole = np.zeros_like(load)
        whole[self.free] = np.linalg.solve(matrix[np.ix_(self.free, self.free)], load[self.free])
        return whole[::2]

    def bending(self, bar: Bar, curvature: NDArray[np.float64]) -> NDArray[np.float64]:
        """Loads that bend each element as curved as it was made, (elements, s) [1/mm]."""
        load = np.zeros((len(self.rigidity), curvature.shape[1]))
        load[3::2] += bar.beam.ei_n_mm2 * curvature
        load[1:-2:2] -= bar.beam.ei_n_mm2 * curvature
        return load

    def room_mm(self, bar: Bar, tubes: list[Clearance]) -> NDArray[np.float64]:
        """Radial room at each node less its sag; infinite outside the tubes."""
        weight = self.inertia @ np.tile([9806.65, 0.0], len(self.nodes))[:, None]
        sag = np.abs(self.swing_mm(weight, 0.0)[:, 0])
        room = np.full(len(self.nodes), np.inf)
        for tube in tubes:
            room[(self.nodes >= tube.from_mm) & (self.nodes <= tube.to_mm)] = tube.radial_mm
        return room - sag


def shapes_of(seed: int, bar: Bar, nodes: NDArray[np.float64], curvature: float) -> NDArray[np.float64]:
    """The curvature of the random shapes in each element, drawn again: knots of either sign every half metre from the rear."""
    knots = np.random.default_rng(seed).choice([-1.0, 1.0], (SHAPES, math.ceil(bar.length_mm / KNOT_MM) + 2))
    from_rear = bar.length_mm - (nodes[1:] + nodes[:-1]) / 2.0
    return curvature * np.array([np.interp(from_rear, KNOT_MM * np.arange(knots.shape[1]), row) for row in knots]).T


def touched(seed: int) -> tuple[Bar, list[Clearance], float, Touch]:
    """A bar and what the room finds."""
    bar, tubes, straightness = random_tubed(seed)
    found = touch(
        [bar.beam],
        [bar.supports],
        [bar.length_mm],
        clearances=tubes,
        straightness_mm_per_m=straightness,
        generator=np.random.default_rng(seed),
        shapes=SHAPES,
        elements=ELEMENTS,
    )
    return bar, tubes, straightness, found


@pytest.mark.parametrize("start", range(0, BARS, 10))
def test_touch_is_where_the_whole_matrices_have_it(start: int) -> None:
    """At the share found the room in the tube is all but used up; it is not used up below, nor far from it just above."""
    between = 0
    for seed in range(start, start + 10):
        bar, tubes, straightness, found = touched(seed)
        whole = Whole.of(bar, tubes, float(found.whip_rpm[0, 0]) / RPM)
        room, curvature = whole.room_mm(bar, tubes), curvature_per_mm(straightness_mm_per_m=straightness)
        load = whole.bending(bar, shapes_of(seed, bar, whole.nodes, curvature))
        one_by_one = whole.bending(bar, curvature * np.eye(len(whole.nodes) - 1))
        cases = [(load[:, [s]], float(found.random_ratio[0, 0, s])) for s in range(SHAPES)]
        for loads, ratio in (*cases, (one_by_one, float(found.worst_ratio[0, 0]))):
            between += held_against(whole, room, loads, ratio, about=f"seed {seed}")
    assert between > 10


def held_against(whole: Whole, room: NDArray[np.float64], loads: NDArray[np.float64], ratio: float, *, about: str) -> bool:
    """Assert what a share of speed says; whether it lies between rest and the greatest. Loads are signed for the worst."""

    def used(at: float) -> float:
        return float((np.abs(whole.swing_mm(loads, at)).sum(axis=1) / room).max())

    if ratio == 0.0:
        assert room.min() <= 0.0 or used(0.3 / 32.0) >= 1.0 - CLOSE, about
    elif ratio == UNTOUCHED_RATIO:
        assert used(0.985) <= 1.0 + CLOSE, about
    else:
        assert used(ratio) <= 1.0 + CLOSE, about
        assert used(min(ratio + 0.3 / 32.0, 0.9995)) >= 1.0 - CLOSE, about
    return 0.0 < ratio < UNTOUCHED_RATIO


def test_the_worst_shape_bounds_the_random_ones() -> None:
    """No random shape touches before the worst one."""
    for seed in range(BARS):
        found = touched(seed)[-1]
        assert np.all(found.random_ratio >= found.worst_ratio[..., None])


# Thomson's amplification 1/(1 - r^2) holds for a bow like the first mode: the dense solution of a pinned span agrees.
@pytest.mark.parametrize("ratio", [0.0, 0.3, 0.7, 0.95])
def test_amplification_of_a_half_wave(ratio: float) -> None:
    """A pinned bar bowed like half a wave swings out so many times its bow."""
    length_mm = 2000.0
    one = slender(1e9, mass_kg_m=2.0)
    bar = Bar(0, one, Supports((rigid("front", at_mm=0.0), rigid("rear", at_mm=length_mm))), length_mm)
    whole = Whole.of(bar, [], bar.pinned_rad_per_s)
    middles = (whole.nodes[1:] + whole.nodes[:-1]) / 2.0
    load = whole.bending(bar, np.sin(np.pi * middles / length_mm)[:, None])
    swing, still = (np.abs(whole.swing_mm(load, at)).max() for at in (ratio, 0.0))
    assert swing / still == pytest.approx(amplification_factor(speed_ratio=ratio), rel=2e-4)
