"""Buckling: factors of Euler's column and of a pipe in a horizontal well, against the printed ones.

Ids here: K01, K05, K06. Computed figures of our own (K02, K04, K08) stand in `test_bar_regression`: no worked example
with numbers was found in print.
"""

from __future__ import annotations

import math

import pytest

from standoff.bar.beam import Beam
from standoff.bar.buckling import Ends, euler_n, helical_n, sinusoidal_n, tube_n
from standoff.bar.supports import Supports, clamped, rigid
from standoff.bar.whip import critical_speed, slowed_ratio
from tests.bars import UNIT, half_last_digit, slender

GAP_MM = 1000.0
HOLDS = {
    Ends.PINNED: Supports((rigid("front", at_mm=0.0), rigid("rear", at_mm=GAP_MM))),
    Ends.CLAMPED: Supports((clamped("front", at_mm=0.0), clamped("rear", at_mm=GAP_MM))),
    Ends.CLAMPED_PINNED: Supports((clamped("front", at_mm=0.0), rigid("rear", at_mm=GAP_MM))),
    Ends.CLAMPED_FREE: Supports((clamped("front", at_mm=0.0),)),
}


# Machinery's Handbook, 31st ed., Industrial Press, 2020, p. 283, Euler Formulas for Slender Columns: P = n pi^2 E I/l^2 with n 1
# for rounded ends, 4 for fixed, 2 for one of each, 1/4 for one fixed and one free. The factor 2 is rounded: it is 2.0457.
@pytest.mark.parametrize(
    ("ends", "printed"), [(Ends.PINNED, "1"), (Ends.CLAMPED, "4"), (Ends.CLAMPED_PINNED, "2"), (Ends.CLAMPED_FREE, "0.25")]
)
def test_factors_of_euler(ends: Ends, printed: str) -> None:
    """Exact where the handbook is, half its last digit where it rounds; shear apart."""
    factor = euler_n(UNIT, gap_mm=GAP_MM, ends=ends) * GAP_MM**2 / math.pi**2
    exact = ends is not Ends.CLAMPED_PINNED
    assert factor == pytest.approx(float(printed), abs=1e-12 if exact else half_last_digit(printed))


# The rounded factor is a trap: by the room's own dynamics the bar of one end fixed and one rounded still stands at 2.04 times and
# falls at 2.05 times Euler's force.
def test_the_handbook_rounds_the_mixed_column() -> None:
    """Buckled or not is seen in the whip speed under the force, which knows nothing of the factors."""
    for ends, holds in HOLDS.items():
        force_n = euler_n(UNIT, gap_mm=GAP_MM, ends=ends)
        for share in (1.0 - 1e-4, 1.0 + 1e-4):
            pushed = Supports(holds.points, axial_n=share * force_n)
            assert critical_speed(UNIT, pushed, length_mm=GAP_MM).buckled == (share > 1.0), ends
    assert Ends.CLAMPED_PINNED.value > float("2") * 1.02


# S.P. Timoshenko and J.M. Gere, Theory of Elastic Stability, 2nd ed. (1961), sec. 2.15 (FROM MEMORY): a force slows a pinned span
# by sqrt(1 - P/Pcr) exactly.
def test_force_slows_a_pinned_span() -> None:
    """Half, three quarters and 99 % of the buckling force; pulled as well."""
    force_n = euler_n(UNIT, gap_mm=GAP_MM, ends=Ends.PINNED)
    free = critical_speed(UNIT, HOLDS[Ends.PINNED], length_mm=GAP_MM).whip_rpm
    for share in (0.5, 0.75, 0.99, -1.0):
        pushed = Supports(HOLDS[Ends.PINNED].points, axial_n=share * force_n)
        ratio = critical_speed(UNIT, pushed, length_mm=GAP_MM).whip_rpm / free
        assert ratio == pytest.approx(math.sqrt(1.0 - share), rel=3e-6)
        if share > 0.0:
            assert ratio == pytest.approx(slowed_ratio(force_n=share * force_n, buckling_n=force_n), rel=3e-6)


ROD = slender(200e3 * math.pi * 4.0**4 / 64.0, mass_kg_m=7.85e-3 * math.pi * 4.0)


def in_tube(force_n: float, one: Beam, clearance_mm: float) -> float:
    """A force over sqrt(EI w/r)."""
    return force_n / math.sqrt(one.ei_n_mm2 * one.weight_n_per_mm / clearance_mm)


# R. Dawson and P.R. Paslay, J. Pet. Technol., Oct. 1984 (SPE 11167), as repeated in course notes: F = 2 sqrt(E I w/r), exact.
def test_sinusoidal_buckling() -> None:
    """The factor 2, and that a long tube reaches it from above."""
    assert in_tube(sinusoidal_n(ROD, clearance_mm=8.0), ROD, 8.0) == pytest.approx(float("2"), abs=1e-12)
    long_tube = in_tube(tube_n(ROD, tube_mm=50_000.0, clearance_mm=8.0), ROD, 8.0)
    assert float("2") <= long_tube < float("2") * 1.001


# Y.-C. Chen, Y.-H. Lin and J.B. Cheatham, J. Pet. Technol., Feb. 1990 (SPE 19176), as repeated in the same notes: F = 2.828
# sqrt(E I w/r).
def test_helical_buckling() -> None:
    """The factor to its last digit."""
    assert in_tube(helical_n(ROD, clearance_mm=8.0), ROD, 8.0) == pytest.approx(float("2.828"), abs=half_last_digit("2.828"))
