"""Multi-span bars against a general library for frames (Pynite): its own elements, assembly and sparse eigenvalue solver.

It has Hermite's beam element and a consistent mass, so the bars are slender; what hangs on the bar is entered as a load that it
turns into mass. Metres, newtons and kilograms there; the bar lies along X and moves along Y.
"""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from Pynite import FEModel3D

from standoff.bar.beam import Beam
from standoff.bar.supports import Mass, Pusher, Support, Supports, clamped, rigid
from standoff.bar.whip import critical_speed
from tests.bars import is_mode, one_case, slender

TOLERANCE = 1e-5
"""Its elements err high by (beta h)^4/1440, here 4e-6 for the third mode at most; the rest is for its sparse solver."""

PARTS = 40
MODES = 3
MODELS = 16


def library_hz(one: Beam, supports: Supports, length_mm: float) -> list[float]:
    """The lowest frequencies by the library. [Hz]"""
    places = sorted({0.0, length_mm, *(p.at_mm for p in (*supports.points, *supports.masses))})
    nodes = [0.0, *(x for a, b in pairwise(places) for x in np.linspace(a, b, PARTS + 1)[1:].tolist())]
    model = FEModel3D()
    # Any modulus, section and density serve that make the bar's EI and its mass.
    model.add_material("bar", E=one.ei_n_mm2 * 1e-6, G=1.0, nu=0.3, rho=one.mass_kg_m)
    model.add_section("bar", A=1.0, Iy=1.0, Iz=1.0, J=1.0)
    for i, x in enumerate(nodes):
        model.add_node(f"{i}", x * 1e-3, 0.0, 0.0)
    for i in range(len(nodes) - 1):
        model.add_member(f"{i}", f"{i}", f"{i + 1}", "bar", "bar")
    hold(model, nodes, supports, length_mm)
    load(model, nodes, supports, length_mm)
    model.analyze_modal(num_modes=MODES, mass_combo_name="mass", mass_direction="Y", gravity=1.0)
    return sorted(float(hz) for hz in model.frequencies)


def node_at(nodes: list[float], at_mm: float) -> int:
    """The node at a place."""
    return int(np.argmin(np.abs(np.array(nodes) - at_mm)))


def hold(model: FEModel3D, nodes: list[float], supports: Supports, length_mm: float) -> None:
    """Springs and rigid supports; every node is held along the bar, across the plane and in twist."""
    rigid_parts = {i: [False, False] for i in range(len(nodes))}
    pusher = supports.pusher
    holds = [(p.at_mm, p.lateral_n_per_mm, p.rotational_n_mm) for p in supports.points]
    for at_mm, lateral, rotational in (*holds, (length_mm, pusher.lateral_n_per_mm, pusher.rotational_n_mm)):
        node = node_at(nodes, at_mm)
        for part, direction, stiffness in ((0, "DY", lateral * 1e3), (1, "RZ", rotational * 1e-3)):
            if math.isinf(stiffness):
                rigid_parts[node][part] = True
            elif stiffness > 0.0:
                model.def_support_spring(f"{node}", direction, stiffness)
    for node, (lateral_held, turning_held) in rigid_parts.items():
        model.def_support(f"{node}", True, lateral_held, True, True, True, turning_held)


def load(model: FEModel3D, nodes: list[float], supports: Supports, length_mm: float) -> None:
    """The bar's own mass, the rings' and the pusher's."""
    hung = [(ring.at_mm, ring.mass_kg) for ring in supports.masses]
    for at_mm, mass_kg in (*hung, (length_mm, supports.pusher.mass_kg)):
        if mass_kg > 0.0:
            model.add_node_load(f"{node_at(nodes, at_mm)}", "FY", mass_kg, case="mass")
    model.add_member_self_weight("FY", 1.0, case="mass")
    model.add_load_combo("mass", {"mass": 1.0})


def random_model(seed: int) -> tuple[Beam, Supports, float]:
    """A steel bar with a front that is clamped, rigid or sprung, one to four further supports, overhang, pusher and ring."""
    random = np.random.default_rng([seed, 3])
    diameter_mm, length_mm = float(random.choice([3.0, 8.0, 20.0, 42.0])), float(random.uniform(1000.0, 4000.0))
    one = slender(200e3 * math.pi * diameter_mm**4 / 64.0, mass_kg_m=7.85e-3 * math.pi * diameter_mm**2 / 4.0)
    places = np.sort(random.choice(np.arange(1, 12), random.integers(1, 5), replace=False)) * (length_mm / 12.0)

    def sprung(name: str, at_mm: float) -> Support:
        tilt = 0.0 if random.random() < 0.5 else float(10.0 ** random.uniform(4.0, 7.0))
        return Support(name, at_mm, float(10.0 ** random.uniform(0.5, 5.0)), tilt)

    kinds = [clamped("front", at_mm=0.0), rigid("front", at_mm=0.0), sprung("front", 0.0)]
    points = [kinds[seed % 3], *(sprung(f"spring {i}", float(x)) for i, x in enumerate(places))]
    if seed % 2:
        points[-1] = rigid("rest", at_mm=points[-1].at_mm)
    pusher = Pusher(mass_kg=float(random.uniform(0.1, 3.0)), lateral_n_per_mm=float(random.choice([0.0, 20.0])))
    rings = (Mass("ring", length_mm * 0.29, 0.4),) if seed % 4 == 0 else ()
    return one, Supports(tuple(points), pusher=pusher if seed % 5 else Pusher(), masses=rings), length_mm


@pytest.mark.parametrize("seed", range(MODELS))
def test_random_models(seed: int) -> None:
    """The lowest speed is the library's lowest frequency; the exact count puts its second and third mode where it has them."""
    one, supports, length_mm = random_model(seed)
    printed_hz = library_hz(one, supports, length_mm)
    own_hz = critical_speed(one, supports, length_mm=length_mm).frequency_hz
    assert own_hz == pytest.approx(printed_hz[0], rel=TOLERANCE)
    # Elements err high only, and the speed given out is the lower end of its bracket.
    assert own_hz <= printed_hz[0] * (1.0 + 1e-8)
    bar = one_case(one, supports, length_mm)
    for number, hz in enumerate(printed_hz, start=1):
        omega = 2.0 * math.pi * hz
        assert is_mode(bar, number, omega, within=TOLERANCE * omega)


def test_models_are_of_every_kind() -> None:
    """Springs, rigid and clamped supports, overhangs, end masses and rings all occur."""
    models = [random_model(seed) for seed in range(MODELS)]
    points = [p for _, supports, _ in models for p in supports.points]
    assert sum(0.0 < p.lateral_n_per_mm < math.inf for p in points) >= MODELS
    assert sum(math.isinf(p.lateral_n_per_mm) for p in points) >= 8
    assert any(math.isinf(p.rotational_n_mm) for p in points)
    assert sum(s.pusher.mass_kg > 0.0 and s.pusher.lateral_n_per_mm == 0.0 for _, s, _ in models) >= 3
    assert sum(s.pusher.lateral_n_per_mm > 0.0 for _, s, _ in models) >= 3
    assert any(s.masses for _, s, _ in models)
