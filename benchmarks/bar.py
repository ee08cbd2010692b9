"""The bar as a beam: 120 bars at 60 lengths in one call, and what general eigenvalue solvers and a rotor library take for them.

A peer has to find the same frequencies before its time counts: all of them for the dense matrices, a few bars for the slow ones.
The bars hang on springs that differ in everything but their places, as the bars of one machine do; the exact solver's brackets
are 1e-6 wide and certified by counts.
"""

from __future__ import annotations

import importlib.util
import math
import os
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
import scipy.linalg
from numpy.typing import NDArray
from stopwatch import Line, against_goal, call_s

from standoff.bar.beam import Beam, beam
from standoff.bar.bow import Clearance, touch
from standoff.bar.bracket import WIDTH
from standoff.bar.chain import Chain
from standoff.bar.elements import stiffness_and_mass
from standoff.bar.life import sampled_band
from standoff.bar.materials import MATERIALS
from standoff.bar.mesh import mesh
from standoff.bar.section import Section, Shape
from standoff.bar.supports import Pusher, Support, Supports
from standoff.bar.whip import ELEMENTS, RPM_PER_RAD_PER_S, critical_speeds, speeds_by_elements

BARS, LENGTHS = 120, 60
ELEMENTS_S, EXACT_S, TOUCH_S, BAND_S = 0.15, 0.25, 2.5, 1.5
TIMES_A_LIBRARY = 5000.0
SHAPES, SAMPLES = 30, 1000
ONE_BY_ONE, BY_LIBRARY = 200, 8
STEEL = MATERIALS["steel"]
ROTOR_MM = 2400.0
HELD = Supports((Support("front", 0.0, 1e3), Support("middle", 900.0, 80.0), Support("rear", 1500.0, 40.0)))
TUBES = (Clearance("spindle", 120.0, 700.0, 3.0), Clearance("channel", 1100.0, 5000.0, 6.0))


@dataclass(frozen=True)
class Fleet:
    """Many bars on springs at the same places, and the lengths at which they are asked for."""

    beams: tuple[Beam, ...]
    supports: tuple[Supports, ...]
    lengths_mm: tuple[float, ...]

    def exact_rad_per_s(self) -> NDArray[np.float64]:
        """Lower ends of the certified brackets, shape (lengths, bars). [rad/s]"""
        return critical_speeds(self.beams, self.supports, self.lengths_mm).whip_rpm / RPM_PER_RAD_PER_S

    def elements_rad_per_s(self) -> NDArray[np.float64]:
        """By the room's finite elements. [rad/s]"""
        return speeds_by_elements(self.beams, self.supports, self.lengths_mm).at_most_rpm / RPM_PER_RAD_PER_S

    @cached_property
    def dense(self) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """The same elements' stiffness and mass as full matrices, one for each case."""
        bar = mesh(self.beams, self.supports, self.lengths_mm, pieces=ELEMENTS)
        stiffness, mass = stiffness_and_mass(bar)
        return full(stiffness), full(mass)


def fleet() -> Fleet:
    """Bars of 3 to 42 mm of every material and shape, on five springs and a pusher."""
    random = np.random.default_rng(1)
    kinds = list(MATERIALS.values())
    beams = tuple(beam(Section(list(Shape)[i % 3], 3.0 + 39.0 * i / (BARS - 1)), kinds[i % len(kinds)]) for i in range(BARS))
    supports = []
    for _ in range(BARS):
        lateral = 10.0 ** random.uniform(1.5, 5.0, 5)
        places = zip((0.0, 180.0, 900.0, 1500.0, 2400.0), lateral.tolist(), strict=True)
        points = tuple(Support(f"support {i}", x, k, 1e6 if i == 0 else 0.0) for i, (x, k) in enumerate(places))
        supports.append(Supports(points, pusher=Pusher(float(random.uniform(0.2, 1.5)), 20.0, 1e4)))
    return Fleet(beams, tuple(supports), tuple(np.linspace(250.0, 3800.0, LENGTHS).tolist()))


def lines() -> Iterator[Line]:
    """Every measurement of this module."""
    every = fleet()
    cases = BARS * LENGTHS
    elements_s, exact_s = call_s(every.elements_rad_per_s), call_s(every.exact_rad_per_s)
    yield against_goal(f"bar: {LENGTHS} x {BARS} by elements", elements_s, ELEMENTS_S)
    yield against_goal(f"bar: {LENGTHS} x {BARS} exact, within {WIDTH:.0e}", exact_s, EXACT_S)
    require_same("the two solvers", every.elements_rad_per_s(), every.exact_rad_per_s(), within=2e-4)
    yield from by_dense(every, elements_s=elements_s, exact_s=exact_s)
    yield from by_library(exact_s=exact_s / cases, elements_s=elements_s / cases)
    yield from bowed(every)
    yield from banded(every)


def require_same(what: str, one: NDArray[np.float64], other: NDArray[np.float64], *, within: float) -> None:
    """Stop where two ways find other frequencies."""
    far = float(np.max(np.abs(one / other - 1.0)))
    if far > within:
        raise SystemExit(f"benchmarks: bar: {what} differ by {far:.1e}")


def by_dense(every: Fleet, *, elements_s: float, exact_s: float) -> Iterator[Line]:
    """The lowest eigenvalue of every case from the stack of full matrices; and by a solver that is asked for one at a time."""
    own = every.elements_rad_per_s().ravel()
    # Rounding of full matrices: an eigenvalue loses what the largest of its matrix is worth.
    require_same("elements and full matrices", stacked_rad_per_s(every), own, within=1e-3)
    some = range(0, len(own), len(own) // ONE_BY_ONE)
    require_same("elements and single matrices", single_rad_per_s(every, some), own[list(some)], within=1e-3)
    stacked_s = call_s(lambda: stacked_rad_per_s(every), fewest=1)
    yield Line("bar: same by stacked eigvalsh", stacked_s, None, f"{ratio(stacked_s, elements_s, exact_s)}, matrices given")
    single_s = call_s(lambda: single_rad_per_s(every, some), fewest=1) * len(own) / len(some)
    yield Line("bar: same by scipy eigh, scaled", single_s, None, f"{ratio(single_s, elements_s, exact_s)}, matrices given")


def ratio(peer_s: float, elements_s: float, exact_s: float) -> str:
    """How many times as long as both of ours."""
    return f"{peer_s / elements_s:.0f} times our elements, {peer_s / exact_s:.0f} times our exact"


def full(chain: Chain) -> NDArray[np.float64]:
    """A chain's cases as full matrices, shape (cases, 2 joints, 2 joints)."""
    joints, cases = chain.ww.shape
    whole = np.zeros((cases, 2 * joints, 2 * joints))
    at = 2 * np.arange(joints)
    for row, column, entries in ((0, 0, chain.ww), (0, 1, chain.wt), (1, 0, chain.wt), (1, 1, chain.tt)):
        whole[:, at + row, at + column] = entries.T
    couplings = ((0, 0, chain.next_ww), (0, 1, chain.next_wt), (1, 0, chain.next_tw), (1, 1, chain.next_tt))
    for row, column, entries in couplings:
        whole[:, at[:-1] + row, at[1:] + column] = entries.T
        whole[:, at[1:] + column, at[:-1] + row] = entries.T
    return whole


def stacked_rad_per_s(every: Fleet) -> NDArray[np.float64]:
    """The lowest frequency of every case by numpy's stacked routines, from the full matrices on. [rad/s]"""
    stiffness, mass = every.dense
    root = np.linalg.inv(np.linalg.cholesky(mass))
    squares = np.linalg.eigvalsh(root @ stiffness @ np.swapaxes(root, 1, 2))
    return np.asarray(np.sqrt(squares[:, 0]))


def single_rad_per_s(every: Fleet, which: Sequence[int]) -> NDArray[np.float64]:
    """The lowest frequency of some cases, each by a call that asks for no other. [rad/s]"""
    stiffness, mass = every.dense
    squares = [
        scipy.linalg.eigh(stiffness[i], mass[i], eigvals_only=True, subset_by_index=[0, 0], check_finite=False)[0] for i in which
    ]
    return np.sqrt(np.array(squares))


def by_library(*, exact_s: float, elements_s: float) -> Iterator[Line]:
    """A few slender bars by a general library for rotors, with as many elements; per case, its model made each time."""
    if importlib.util.find_spec("ross") is None:
        print("The package `ross-rotordynamics` is not installed, so it is not compared with: install the benchmarks' lock.")
        return
    with hushed():
        package = importlib.import_module("ross")
    diameters_mm = np.linspace(6.0, 40.0, BY_LIBRARY).tolist()
    own = speeds_by_elements([slender_steel(d) for d in diameters_mm], [HELD], [ROTOR_MM]).at_most_rpm[0] / RPM_PER_RAD_PER_S
    peer = np.array([rotor_rad_per_s(package, d) for d in diameters_mm])
    require_same("elements and the rotor library", own, peer, within=1e-5)
    peer_s = call_s(lambda: [rotor_rad_per_s(package, d) for d in diameters_mm], fewest=3) / len(diameters_mm)
    yield Line("bar: one case by ross", peer_s, None, f"{ELEMENTS} elements, model and modes")
    for what, own_s in (("exact", exact_s), ("by elements", elements_s)):
        told = f"ross takes {peer_s / own_s:.0f} times as long, goal {TIMES_A_LIBRARY:.0f}"
        yield Line(f"bar: one case of {LENGTHS * BARS}, {what}", own_s, peer_s / TIMES_A_LIBRARY, told)
    alone_s = call_s(lambda: critical_speeds([slender_steel(diameters_mm[0])], [HELD], [ROTOR_MM]))
    yield Line("bar: one case alone, exact", alone_s, None, f"ross takes {peer_s / alone_s:.0f} times as long")


@contextmanager
def hushed() -> Iterator[None]:
    """What a package prints on its way in, beneath Python as well, goes nowhere."""
    sys.stdout.flush()
    kept = [os.dup(number) for number in (1, 2)]
    with open(os.devnull, "wb") as nowhere:
        for number in (1, 2):
            os.dup2(nowhere.fileno(), number)
    try:
        yield
    finally:
        for number, copy in zip((1, 2), kept, strict=True):
            os.dup2(copy, number)
            os.close(copy)


def rotor_rad_per_s(package: Any, diameter_mm: float) -> float:
    """The lowest frequency of a slender steel bar by the rotor library. [rad/s]"""
    steel = package.Material("steel", rho=STEEL.density_kg_m3, E=STEEL.modulus_mpa * 1e6, G_s=STEEL.shear_modulus_mpa * 1e6)
    size = {"L": ROTOR_MM / ELEMENTS * 1e-3, "idl": 0.0, "odl": diameter_mm * 1e-3}
    plain = {"shear_effects": False, "rotary_inertia": False, "gyroscopic": False}
    shaft = [package.ShaftElement(**size, **plain, material=steel) for _ in range(ELEMENTS)]
    bearings = [
        package.BearingElement(n=round(p.at_mm / ROTOR_MM * ELEMENTS), kxx=p.lateral_n_per_mm * 1e3, cxx=0.0) for p in HELD.points
    ]
    return float(np.min(package.Rotor(shaft, [], bearings).run_modal(speed=0.0, sparse=False).wn))


def slender_steel(diameter_mm: float) -> Beam:
    """A round steel bar without shear and rotary inertia, as the rotor library is asked for."""
    whole = beam(Section(Shape.ROUND, diameter_mm), STEEL)
    return Beam(whole.ei_n_mm2, whole.mass_kg_m, math.inf, 0.0, whole.area_mm2, whole.radius_mm)


def bowed(every: Fleet) -> Iterator[Line]:
    """The speeds at which random shapes of every bar touch their tubes, at every length, with the worst shape beside."""

    def touched() -> NDArray[np.float64]:
        found = touch(
            every.beams,
            every.supports,
            every.lengths_mm,
            clearances=TUBES,
            straightness_mm_per_m=1.0,
            generator=np.random.default_rng(1),
            shapes=SHAPES,
        )
        if not np.all(found.random_ratio >= found.worst_ratio[..., None]):
            raise SystemExit("benchmarks: bar: a random shape touches before the worst one")
        return found.random_rpm

    yield against_goal(f"bar: {touched().size} touch speeds", call_s(touched, fewest=3), TOUCH_S)


def banded(every: Fleet) -> Iterator[Line]:
    """The band of one bar over its lengths, every stiffness drawn a thousand times."""
    one, held = every.beams[BARS // 2], every.supports[BARS // 2]

    def band() -> object:
        return sampled_band(one, held, every.lengths_mm, generator=np.random.default_rng(1), samples=SAMPLES)

    yield against_goal(f"bar: band of {SAMPLES} samples, {LENGTHS} lengths", call_s(band, fewest=3), BAND_S)


if __name__ == "__main__":
    print(f"{os.cpu_count()} processors")
    for line in lines():
        print(line.text(), flush=True)
