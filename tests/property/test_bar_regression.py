"""Regressions: figures computed once, by us and by others' means, and found in no print. They are not validation.

The problems are known ones, their numbers were not seen printed. Ids here: B13, B17, B19, K02, K04, K08, W04 (its speed). No
counterpart in the room: W02 (grades of balance), W03 (a damped disc), the amplitude of W04 (above its critical speed, where the
room answers nothing), B26 (a stepped shaft).
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from standoff.bar.beam import Beam
from standoff.bar.bow import amplification_factor
from standoff.bar.buckling import Ends, euler_n, helical_n, sinusoidal_n
from standoff.bar.section import Section, Shape
from standoff.bar.supports import Mass, Supports, clamped, rigid
from standoff.bar.whip import critical_speed
from standoff.errors import UsageError
from standoff.units import FOOT_MM, INCH_MM
from tests.bars import PSI_MPA, RPM, UNIT, held_at, is_mode, one_case, slender

INCH, LB_N = float(INCH_MM), 0.45359237 * 9.80665

# Five equal hinged spans of 1 m, EI 1 N m2, 1e-4 kg/m (the problem of M.D. Olson, 1972). [Hz]
FIVE_SPANS_HZ = (157.07963, 174.27189, 217.92554, 274.4936, 329.55334, 628.31858, 664.16874, 746.47915, 845.49219, 937.99216)


def test_five_equal_spans() -> None:
    """Ten modes in two bands; the first of each band is exactly that of one hinged span."""
    one = slender(1e6, mass_kg_m=1e-4)
    held = held_at(*(1000.0 * i for i in range(6)))
    bar = one_case(one, held, 5000.0)
    for number, hz in enumerate(FIVE_SPANS_HZ, start=1):
        assert is_mode(bar, number, 2.0 * math.pi * hz, within=2.0 * math.pi * hz * 1e-6)
    single = critical_speed(one, held_at(0.0, 1000.0), length_mm=1000.0)
    assert critical_speed(one, held, length_mm=5000.0).whip_rpm == pytest.approx(single.whip_rpm, rel=2e-6)
    assert FIVE_SPANS_HZ[5] == pytest.approx(4.0 * FIVE_SPANS_HZ[0], rel=1e-7)


# A bar hinged at one end and at a share of its length, the rest free (W.T. Thomson states the problem, 9-31, without numbers).
@pytest.mark.parametrize(("share", "root"), [(0.5, 3.0118309), (0.75, 3.9205563), (0.8, 3.8235137), (0.9, 3.4827706)])
def test_overhang(share: float, root: float) -> None:
    """The lowest eigenvalue, with its best place of the second support between 0.7 and 0.8."""
    omega = root**2 * 1e-6
    assert is_mode(one_case(UNIT, held_at(0.0, 1000.0 * share), 1000.0), 1, omega, within=1e-7 * omega)


def test_a_support_at_a_node_changes_nothing() -> None:
    """Clamped, propped at the node of the second mode: that mode is the first now."""
    held = Supports((clamped("front", at_mm=0.0), rigid("node", at_mm=783.44)))
    omega = critical_speed(UNIT, held, length_mm=1000.0).whip_rpm / RPM * 1e6
    assert math.sqrt(omega) == pytest.approx(4.69409, abs=2e-5)


def test_columns() -> None:
    """A steel column of 0.5 m and 20 m; a tube of 44.5 mm and 2.5 mm wall at two lengths."""
    round_one = slender(200e3 * Section(Shape.ROUND, 500.0).second_moment_mm4, mass_kg_m=1.0)
    assert euler_n(round_one, gap_mm=20e3, ends=Ends.PINNED) == pytest.approx(15139784.0, rel=1e-6)
    tube = slender(200e3 * math.pi / 64.0 * (44.5**4 - 39.5**4), mass_kg_m=1.0)
    for length_mm, force_n in ((2700.0, 19764.508), (1500.0, 64037.005)):
        assert euler_n(tube, gap_mm=length_mm, ends=Ends.PINNED) == pytest.approx(force_n, rel=1e-6)


def test_pipe_in_a_well() -> None:
    """A drill pipe of 5 in in a hole of 8.5 in: sinusoidal and helical force in pounds."""
    ei_n_mm2 = 30e6 * PSI_MPA * math.pi / 64.0 * (5.0**4 - 4.276**4) * INCH**4
    weight_n_per_mm = 16.5 * LB_N / float(FOOT_MM)
    pipe = Beam(ei_n_mm2, weight_n_per_mm / 9806.65 * 1e6)
    clearance_mm = (8.5 - 5.0) / 2.0 * INCH
    assert sinusoidal_n(pipe, clearance_mm=clearance_mm) / LB_N == pytest.approx(36679.392, rel=1e-6)
    assert helical_n(pipe, clearance_mm=clearance_mm) / LB_N == pytest.approx(51872.494, rel=1e-6)


def test_flywheel_on_a_shaft() -> None:
    """100 lb in the middle of a shaft of 1 in and 30 in, whose own mass is left out; at 1200 rpm it runs above its speed."""
    shaft = slender(30e6 * PSI_MPA * math.pi / 64.0 * INCH**4, mass_kg_m=1e-8)
    wheel = Mass("flywheel", 15.0 * INCH, 45.359237)
    held = Supports(held_at(0.0, 30.0 * INCH).points, masses=(wheel,))
    found_rpm = critical_speed(shaft, held, length_mm=30.0 * INCH).whip_rpm
    # The gravity taken there is 386 in/s2.
    assert found_rpm == pytest.approx(960.44888, rel=1e-3)
    with pytest.raises(UsageError):
        amplification_factor(speed_ratio=1200.0 / found_rpm)
    assert np.isfinite(found_rpm)
