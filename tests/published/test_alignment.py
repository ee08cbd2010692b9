"""Published checks of alignment: reverse indicator, rim and face, taut wire, level, line fit; printed values kept as strings."""

from __future__ import annotations

import math

import numpy as np
import pytest

from standoff.site.axis import LIFT, PITCH, UPRIGHT, Point, Pose, Station
from standoff.site.dial import Bracket, FaceSweep, Sweep
from standoff.site.fit import Observation, fit
from standoff.site.frame import Foot, Frame
from standoff.site.level import across, angle_arcmin, slope_mm_per_m
from standoff.site.levelling import Means, align, plan
from standoff.site.tolerance import Tolerances
from standoff.site.wire import plucked_tension_n, sag_mm, weighed_wire

INCH_MM, FOOT_MM, POUND_N = 25.4, 304.8, 4.4482216152605


def half_last_digit(printed: str) -> float:
    """Half a unit in the last printed place."""
    return 0.5 * 10.0 ** -len(printed.partition(".")[2])


# H.P. Bloch and F.K. Geitner, Machinery Component Maintenance and Repair, ch. 5, p. 203 (Fig. 5-21), read in the source: offsets
# of 0.012 and 0.007 in at two planes 14 in apart, feet 12 and 38 in beyond the nearer one. Moves are printed to 0.0001 in.
REVERSE_INDICATOR_IN = {"inboard": (26.0, "-0.0027"), "outboard": (52.0, "0.0066")}


def test_reverse_indicator_moves_of_the_feet() -> None:
    """Through readings, pose and a frame of four feet: lower inboard by 0.003 in, raise outboard by 0.007 in."""
    readings = [
        Observation("plane S", Station(0.0).upright(), 0.012 * INCH_MM, 0.005),
        Observation("plane A", Station(-14.0 * INCH_MM).upright(), 0.007 * INCH_MM, 0.005),
        across("level", slope_mm_per_m=0.0, u_mm_per_m=0.05),
    ]
    feet = tuple(
        Foot(f"{name} {side}", -back_in * INCH_MM, side * 200.0, 5.0, 5.0)
        for name, (back_in, _) in REVERSE_INDICATOR_IN.items()
        for side in (1, -1)
    )
    made = plan(
        align(readings),
        Frame(feet, 900.0),
        points=[Point("spindle face", 0.0, at_spindle=True)],
        tolerances=Tolerances(),
        means=Means(),
    )
    for move in made.feet:
        printed = REVERSE_INDICATOR_IN[move.name.split()[0]][1]
        assert move.move_mm / INCH_MM == pytest.approx(float(printed), abs=half_last_digit(printed)), move.name


# Rim-and-face relations of alignment texts, second hand (no worked example with figures was reached): parallel offset =
# (total rim reading + sag of the bracket as shown) / 2, foot move = total face reading x distance of the foot / diameter swept.
# The figures put in are our own; the relations are checked with them, to floating point.
def test_rim_and_face_relations() -> None:
    """A rim swept by a bracket that hangs, and a face, give the offset and the move of those relations."""
    rim_mm, shown_sag_mm, face_mm, circle_mm, distance_mm = 0.40, -0.06, 0.12, 150.0, 2400.0
    bracket = Bracket("bracket", -shown_sag_mm / 2.0)
    level = Station(0.0)
    rim = Sweep(
        name="rim",
        station=level,
        surface="outside",
        top_mm=rim_mm,
        left_mm=0.2,
        bottom_mm=0.0,
        right_mm=0.2,
        u_mm=0.01,
        bracket=bracket,
    )
    face = FaceSweep(name="face", circle_mm=circle_mm, top_mm=face_mm, left_mm=0.0, bottom_mm=0.0, right_mm=0.0, u_mm=0.001)
    high, rise = rim.observations()[0].value_mm, face.observations()[0].value_mm
    assert high == pytest.approx((rim_mm + shown_sag_mm) / 2.0, rel=1e-12)
    frame = Frame(
        (Foot("a", 0.0, 200.0, 9.0, 9.0), Foot("b", 0.0, -200.0, 9.0, 9.0), Foot("c", -distance_mm, 0.0, 9.0, 9.0)), 900.0
    )
    moves_mm = frame.foot_moves_mm(Pose(UPRIGHT, np.array([0.0, rise, 0.0]), np.zeros((3, 3))))
    assert abs(moves_mm[2] - moves_mm[0]) == pytest.approx(face_mm * distance_mm / circle_mm, rel=1e-12)


# Sag chart of a millwright course (sample calculation), second hand: steel wire of 0.016 in and 0.0007 lb/ft under 30 lb hangs
# 0.0003 ft over 10 ft and 0.03 ft over 100 ft; the source rounds 0.00029 and 0.0292 ft, so 5 % are allowed as well.
@pytest.mark.parametrize(("span_ft", "printed"), [(10.0, "0.0003"), (100.0, "0.03")])
def test_taut_wire_of_the_course(span_ft: float, printed: str) -> None:
    """Midspan sag of the course's wire."""
    wire = weighed_wire(
        rear_mm=0.0,
        front_mm=span_ft * FOOT_MM,
        weight_n_per_mm=0.0007 * POUND_N / FOOT_MM,
        tension_n=30.0 * POUND_N,
        tension_u_n=0.0,
    )
    assert wire.sag_mm / FOOT_MM == pytest.approx(float(printed), rel=0.05)


# The same chart, second hand: at a quarter of 100 ft 0.0225 ft, three quarters of the midspan's rounded 0.03: the same 5 %.
def test_taut_wire_at_its_quarter() -> None:
    """Sag at a quarter of the span."""
    quarter_mm = sag_mm(
        weight_n_per_mm=0.0007 * POUND_N / FOOT_MM,
        tension_n=30.0 * POUND_N,
        span_mm=100.0 * FOOT_MM,
        at_mm=25.0 * FOOT_MM,
    )
    assert quarter_mm / FOOT_MM == pytest.approx(float("0.0225"), rel=0.05)


# String frequency formula (Mersenne) with a worked example, second hand: steel of 0.283 lb/in3, 0.02 in thick and 16 in long,
# that sounds at 440 Hz is under 45.6 lbf. The figure goes with gravity rounded to 32.2 ft/s2; standard gravity gives 45.65.
def test_tension_of_a_plucked_wire() -> None:
    """The example's tension from its note."""
    printed = "45.6"
    mass_kg_m = 0.283 * math.pi / 4.0 * 0.02**2 * POUND_N / (32.2 * FOOT_MM / 1000.0) / (INCH_MM / 1000.0)
    tension_n = plucked_tension_n(mass_kg_m=mass_kg_m, span_mm=16.0 * INCH_MM, frequency_hz=440.0)
    assert tension_n / POUND_N == pytest.approx(float(printed), abs=half_last_digit(printed))


# Level-vial conversions, second hand: 5 degrees are 87 mm/m, and 6.5 mm/m are 22.4 minutes of arc. Both are rounded loosely in
# the source (87.49 and 22.35 exactly), so 0.6 is allowed for both.
def test_level_vials() -> None:
    """Slope of an angle, and angle of a slope."""
    assert slope_mm_per_m(5.0) == pytest.approx(float("87"), abs=0.6)
    assert angle_arcmin(6.5) == pytest.approx(float("22.4"), abs=0.6)


# NIST Statistical Reference Datasets, Linear Regression, "Norris" (certified values, read in the source). Relative
# tolerance 1e-9.
NORRIS_X = """0.2 337.4 118.2 884.6 10.1 226.5 666.3 996.3 448.6 777.0 558.2 0.4 0.6 775.5 666.9 338.0 447.5 11.6 556.0
    228.1 995.8 887.6 120.2 0.3 0.3 556.8 339.1 887.2 999.0 779.0 11.1 118.3 229.2 669.1 448.9 0.5"""
NORRIS_Y = """0.1 338.8 118.1 888.0 9.2 228.1 668.5 998.5 449.1 778.9 559.2 0.3 0.1 778.1 668.8 339.3 448.9 10.8 557.7 228.3
    998.0 888.8 119.6 0.3 0.6 557.6 339.3 888.0 998.5 778.9 10.2 117.6 228.9 668.4 449.2 0.2"""
NORRIS = {
    "intercept": "-0.262323073774029",
    "slope": "1.00211681802045",
    "intercept's deviation": "0.232818234301152",
    "slope's deviation": "0.429796848199937E-03",
    "residual deviation": "0.884796396144373",
}


def test_line_fit_of_the_reference_data() -> None:
    """The line through 36 heights read along the axis, its deviations and the residual deviation."""
    pairs = zip(NORRIS_X.split(), NORRIS_Y.split(), strict=True)
    heights = [Observation(f"{i}", Station(1000.0 * float(x)).upright(), float(y), 1.0) for i, (x, y) in enumerate(pairs)]
    result = fit(heights, (LIFT, PITCH))
    deviation = math.sqrt(result.chi_square / result.redundancy)
    found = {
        "intercept": result.pose.value(LIFT),
        "slope": result.pose.value(PITCH),
        "intercept's deviation": result.pose.u(LIFT) * deviation,
        "slope's deviation": result.pose.u(PITCH) * deviation,
        "residual deviation": deviation,
    }
    assert found == {name: pytest.approx(float(printed), rel=1e-9) for name, printed in NORRIS.items()}
