"""The whip speed: against closed formulas, and in the directions in which a technician knows that it moves."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from standoff.bar import whip
from standoff.bar.beam import Beam, beam
from standoff.bar.buckling import Ends, euler_n
from standoff.bar.materials import material
from standoff.bar.section import Section, Shape
from standoff.bar.supports import Flooded, Mass, Pusher, Stretch, Support, Supports, clamped, rigid
from standoff.bar.whip import (
    HIGHEST_RATIO,
    RPM_PER_RAD_PER_S,
    critical_speed,
    critical_speeds,
    slowed_ratio,
    speeds_by_elements,
)
from standoff.errors import UsageError

BAR = beam(Section(Shape.ROUND, 20.0), material("steel"))
SLENDER = Beam(BAR.ei_n_mm2, BAR.mass_kg_m, area_mm2=BAR.area_mm2, radius_mm=BAR.radius_mm)
PINNED = Supports((rigid("front", at_mm=0.0), rigid("rear", at_mm=1000.0)))
MACHINE = Supports(
    (Support("collet", 0.0, 20_000.0, 1e7), Support("bushing", 350.0, 3000.0, 1e6), Support("rest", 1400.0, 2000.0)),
    stretches=(Stretch("channel", 1600.0, 2600.0, 0.02),),
    pusher=Pusher(0.8, 50.0, 1e5),
    liner=(Stretch("liner", 400.0, 1300.0, 0.05),),
)


def rpm(bar: Beam, supports: Supports, length_mm: float) -> float:
    """The lowest critical speed."""
    return critical_speed(bar, supports, length_mm=length_mm).whip_rpm


def pinned_rpm(bar: Beam, span_mm: float) -> float:
    """A slender pinned span: (pi/L)^2 sqrt(EI/rho A)."""
    return (math.pi / span_mm) ** 2 * math.sqrt(bar.ei_n_mm2 / (bar.mass_kg_m * 1e-6)) * RPM_PER_RAD_PER_S


def test_a_pinned_span() -> None:
    """The textbook's speed, from below and within the bracket; the frequency is the same in hertz."""
    found = critical_speed(SLENDER, PINNED, length_mm=1000.0)
    exact = pinned_rpm(SLENDER, 1000.0)
    assert found.whip_rpm <= exact <= found.at_most_rpm <= 1.000002 * found.whip_rpm
    assert found.frequency_hz * 60.0 == pytest.approx(found.whip_rpm)
    assert not found.buckled
    assert found.length_mm == 1000.0


def test_a_bar_twice_as_thick_whips_twice_as_fast() -> None:
    """On rigid supports the speed of a slender bar goes with its diameter and with the inverse square of the span."""
    thin, thick = (Section(Shape.ROUND, d) for d in (10.0, 20.0))
    slender = [replace(beam(s, material("steel")), shear_n=math.inf, rotary_kg_mm=0.0) for s in (thin, thick)]
    assert rpm(slender[1], PINNED, 1000.0) == pytest.approx(2.0 * rpm(slender[0], PINNED, 1000.0), rel=3e-6)
    half = Supports((rigid("front", at_mm=0.0), rigid("rear", at_mm=500.0)))
    assert rpm(SLENDER, half, 500.0) == pytest.approx(4.0 * rpm(SLENDER, PINNED, 1000.0), rel=3e-6)


@pytest.mark.parametrize(
    ("ratio", "least_lost", "most_lost"), [(50.0, 1e-4, 1e-3), (20.0, 1e-3, 4e-3), (15.0, 3e-3, 6e-3), (4.0, 0.04, 0.12)]
)
def test_shear_slows_short_spans_only(ratio: float, least_lost: float, most_lost: float) -> None:
    """Against the slender beam a span loses under 0.1 % at 50 diameters, some 0.5 % at 15, and much at 4."""
    span_mm = 20.0 * ratio
    held = Supports((rigid("a", at_mm=0.0), rigid("b", at_mm=span_mm)))
    lost = 1.0 - rpm(BAR, held, span_mm) / pinned_rpm(BAR, span_mm)
    assert least_lost < lost < most_lost


@pytest.mark.parametrize("part", range(5))
@pytest.mark.parametrize("length_mm", [300.0, 900.0, 1399.0, 1401.0, 2500.0])
def test_a_stiffer_part_never_slows(part: int, length_mm: float) -> None:
    """Every support, the bed and the pusher's guide in turn, threefold: the speed does not fall, and something moves it."""
    factors = [1.0] * 5
    speeds = []
    for factor in (1.0 / 3.0, 1.0, 3.0):
        factors[part] = factor
        speeds.append(rpm(BAR, MACHINE.scaled(tuple(factors)), length_mm))
    assert speeds[0] <= speeds[1] * (1.0 + 1e-6)
    assert speeds[1] <= speeds[2] * (1.0 + 1e-6)
    assert rpm(BAR, MACHINE.scaled(3.0), length_mm) > 1.01 * rpm(BAR, MACHINE, length_mm)


def test_a_further_support_never_slows() -> None:
    """One rest more, wherever it stands, does not lower the speed."""
    before = rpm(BAR, MACHINE, 2500.0)
    for at_mm in range(100, 2500, 300):
        more = replace(MACHINE, points=(*MACHINE.points, Support("further", float(at_mm), 500.0)))
        assert rpm(BAR, more, 2500.0) >= before * (1.0 - 1e-6)


def test_the_pusher_slows() -> None:
    """Each heavier pusher lowers the speed of an overhanging end; one much heavier than the bar more than halves it."""
    speeds = [rpm(BAR, replace(MACHINE, pusher=Pusher(mass, 50.0)), 1300.0) for mass in (0.0, 0.3, 1.0, 3.0, 10.0)]
    assert speeds == sorted(speeds, reverse=True)
    assert len(set(speeds)) == 5
    assert speeds[-1] < speeds[0] / 2.0


def test_a_heavy_end_on_a_clamped_bar() -> None:
    """A mass many times the bar's own swings on a spring of 3 EI/L^3."""
    held = Supports((clamped("chuck", at_mm=0.0),), pusher=Pusher(200.0))
    expected = math.sqrt(3.0 * SLENDER.ei_n_mm2 / 500.0**3 / ((200.0 + 33.0 / 140.0 * SLENDER.mass_kg_m * 0.5) * 1e-3))
    assert rpm(SLENDER, held, 500.0) / RPM_PER_RAD_PER_S == pytest.approx(expected, rel=1e-5)


def test_a_ring_at_midspan() -> None:
    """A heavy ring in the middle of a pinned span swings on a spring of 48 EI/L^3; over a support it changes nothing."""
    heavy = replace(PINNED, masses=(Mass("ring", 500.0, 300.0),))
    expected = math.sqrt(48.0 * SLENDER.ei_n_mm2 / 1000.0**3 / ((300.0 + 17.0 / 35.0 * SLENDER.mass_kg_m) * 1e-3))
    assert rpm(SLENDER, heavy, 1000.0) / RPM_PER_RAD_PER_S == pytest.approx(expected, rel=1e-5)
    above = replace(PINNED, masses=(Mass("ring", 1000.0, 300.0),))
    assert rpm(SLENDER, above, 1000.0) == pytest.approx(rpm(SLENDER, PINNED, 1000.0), rel=1e-6)


@pytest.mark.parametrize("share", [0.1, 0.5, 0.9, 0.99])
def test_the_feed_force_slows_a_pinned_span(share: float) -> None:
    """By sqrt(1 - P/Pcr), with shear as without; a pull speeds up."""
    for bar in (SLENDER, BAR):
        buckling_n = euler_n(bar, gap_mm=1000.0, ends=Ends.PINNED)
        pushed = rpm(bar, replace(PINNED, axial_n=share * buckling_n), 1000.0)
        ratio = slowed_ratio(force_n=share * buckling_n, buckling_n=buckling_n)
        assert ratio == pytest.approx(math.sqrt(1.0 - share))
        assert pushed / rpm(bar, PINNED, 1000.0) == pytest.approx(ratio, rel=1e-5)
        assert rpm(bar, replace(PINNED, axial_n=-share * buckling_n), 1000.0) > rpm(bar, PINNED, 1000.0)


def test_a_buckled_bar_has_no_speed_and_says_so() -> None:
    """Above the buckling force the speed is 0 and flagged, by both solvers, beside bars that hold."""
    force_n = 1.001 * euler_n(BAR, gap_mm=1000.0, ends=Ends.PINNED)
    found = critical_speed(BAR, replace(PINNED, axial_n=force_n), length_mm=1000.0)
    assert (found.whip_rpm, found.at_most_rpm, found.buckled) == (0.0, 0.0, True)
    for solver in (critical_speeds, speeds_by_elements):
        both = solver([BAR], [PINNED, replace(PINNED, axial_n=force_n)], [1000.0])
        assert both.buckled.tolist() == [[False, True]]
        assert both.whip_rpm[0, 1] == 0.0


def test_oil_slows_by_the_mass_that_moves_with_the_bar() -> None:
    """Flooded all along, a slender span slows as the square root of its mass; partly flooded, less."""
    oil = Flooded("channel", 0.0, 1000.0, 30.0)
    added = oil.added_kg_m(area_mm2=SLENDER.area_mm2, radius_mm=SLENDER.radius_mm)
    dry, wet = rpm(SLENDER, PINNED, 1000.0), rpm(SLENDER, replace(PINNED, oil=(oil,)), 1000.0)
    assert wet / dry == pytest.approx(math.sqrt(SLENDER.mass_kg_m / (SLENDER.mass_kg_m + added)), rel=3e-6)
    assert wet < rpm(SLENDER, replace(PINNED, oil=(replace(oil, from_mm=600.0),)), 1000.0) < dry


def test_on_its_liner_a_bar_whips_later() -> None:
    """Resting on the liner only ever raises the speed; without contact the liner is not there."""
    for length_mm in (900.0, 1350.0, 2500.0):
        assert rpm(BAR, MACHINE.on_liner(), length_mm) > rpm(BAR, MACHINE, length_mm)
        assert rpm(BAR, replace(MACHINE, liner=()), length_mm) == rpm(BAR, MACHINE, length_mm)


def test_lengths_are_rows_and_bars_are_columns() -> None:
    """Many bars and lengths at once give what each gives alone, by both solvers, the elements a trace above."""
    bars = [
        beam(Section(shape, 15.0), material(name))
        for shape, name in zip(Shape, ("steel", "brass C36000", "acetal POM"), strict=True)
    ]
    lengths = [700.0, 1500.0]
    found, check = (solver(bars, [MACHINE], lengths) for solver in (critical_speeds, speeds_by_elements))
    assert found.whip_rpm.shape == (2, 3)
    assert found.lengths_mm.tolist() == lengths
    for i, length_mm in enumerate(lengths):
        for j, bar in enumerate(bars):
            assert found.whip_rpm[i, j] == pytest.approx(rpm(bar, MACHINE, length_mm), rel=2e-6)
    assert np.allclose(check.at_most_rpm, found.whip_rpm, rtol=2e-4)
    assert (check.at_most_rpm > found.whip_rpm).all()
    assert (check.whip_rpm < check.at_most_rpm).all()
    fine = speeds_by_elements(bars, [MACHINE], lengths, elements=48)
    assert (fine.at_most_rpm < check.at_most_rpm).all()


def test_chunks_do_not_show(monkeypatch: pytest.MonkeyPatch) -> None:
    """Solved three cases at a time the answer is the same as at once."""
    lengths = [600.0 + 200.0 * i for i in range(7)]
    whole = critical_speeds([BAR], [MACHINE], lengths).whip_rpm
    monkeypatch.setattr(whip, "_CHUNK", 3)
    assert critical_speeds([BAR], [MACHINE], lengths).whip_rpm == pytest.approx(whole, rel=2e-6)


def test_a_bar_that_nothing_holds_has_no_speed() -> None:
    """A bar on one rigid support tilts freely: refused by both solvers, whatever else is asked in the same call."""
    loose = Supports((rigid("front", at_mm=0.0), rigid("rest", at_mm=800.0)))
    for solver in (critical_speeds, speeds_by_elements):
        solver([BAR], [loose], [900.0])
        with pytest.raises(UsageError, match=r"bar of 700\.0 mm that its supports do not hold"):
            solver([BAR], [loose], [900.0, 700.0])
    with pytest.raises(UsageError, match="bar lengths none"):
        critical_speeds([BAR], [PINNED], [])


@pytest.mark.parametrize(("force_n", "buckling_n"), [(-1.0, 10.0), (10.0, 10.0), (11.0, 10.0), (math.nan, 10.0), (1.0, 0.0)])
def test_a_force_that_leaves_no_speed_is_refused(force_n: float, buckling_n: float) -> None:
    """Negative, at or above buckling, missing, or against a bar without strength."""
    with pytest.raises(UsageError, match=r"force .*(lower the feed force or support the bar closer|correct|measure)"):
        slowed_ratio(force_n=force_n, buckling_n=buckling_n)


def test_nothing_is_recommended_near_the_critical_speed() -> None:
    """The highest share that is ever recommended stays clearly below 1."""
    assert 0.5 < HIGHEST_RATIO < 0.9
