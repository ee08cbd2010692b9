"""The taut wire and lines of reference: sag by tension and by note, height beyond the points it is set at, errors in common."""

from __future__ import annotations

import math

import pytest

from standoff.errors import UsageError
from standoff.site.axis import Station
from standoff.site.line import ReferenceLine
from standoff.site.wire import Wire, plucked_sag_mm, plucked_tension_n, plucked_wire, sag_mm, weighed_wire

WIRE = Wire(-5000.0, 1000.0, 0.3, 0.03)


def test_sag_by_tension_and_by_note_agree() -> None:
    """A wire's note gives the tension that gives the sag that the note gives by itself."""
    mass_kg_m, span_mm, frequency_hz = 1.0e-3, 4000.0, 55.0
    tension_n = plucked_tension_n(mass_kg_m=mass_kg_m, span_mm=span_mm, frequency_hz=frequency_hz)
    by_tension_mm = sag_mm(weight_n_per_mm=mass_kg_m * 9.80665e-3, tension_n=tension_n, span_mm=span_mm, at_mm=span_mm / 2.0)
    assert by_tension_mm == pytest.approx(plucked_sag_mm(frequency_hz), rel=1e-12)


def test_sag_from_a_note_is_as_it_was() -> None:
    """Regression, an own computation: 58.71 Hz, the note of the millwright course's wire of 10 ft, is a sag of 0.0035 in."""
    assert plucked_sag_mm(58.71) / 25.4 == pytest.approx(0.0035, rel=1e-3)


def test_the_parabola_is_a_catenary_nearly() -> None:
    """Against the catenary itself, at a pull that makes the difference visible: it errs low, by the share that is stated."""
    weight, pull_n, span_mm = 0.01, 100.0, 4000.0
    catenary_mm = pull_n / weight * (math.cosh(weight * span_mm / 2.0 / pull_n) - 1.0)
    parabola_mm = sag_mm(weight_n_per_mm=weight, tension_n=pull_n, span_mm=span_mm, at_mm=span_mm / 2.0)
    assert catenary_mm / parabola_mm - 1.0 == pytest.approx((weight * span_mm / pull_n) ** 2 / 48.0, rel=0.01)


def test_uncertainty_of_the_sag() -> None:
    """Relative: that of the tension, and twice that of the note."""
    weighed = weighed_wire(rear_mm=-4000.0, front_mm=0.0, weight_n_per_mm=1e-5, tension_n=100.0, tension_u_n=5.0)
    assert (weighed.sag_mm, weighed.sag_u_mm) == (pytest.approx(0.2), pytest.approx(0.01))
    plucked = plucked_wire(rear_mm=-4000.0, front_mm=0.0, frequency_hz=50.0, frequency_u_hz=0.5)
    assert plucked.sag_u_mm / plucked.sag_mm == pytest.approx(0.02)


def test_a_wire_hangs_below_its_chord_and_climbs_beyond_its_points() -> None:
    """Set at its supports it hangs by its sag; centred on a spindle's two ends it is high at the loader."""
    assert WIRE.bend_mm(x_mm=-2000.0, rear_set_mm=-5000.0, front_set_mm=1000.0) == pytest.approx(-0.3)
    assert WIRE.bend_mm(x_mm=0.0, rear_set_mm=0.0, front_set_mm=700.0) == 0.0
    beyond_mm = WIRE.bend_mm(x_mm=-4000.0, rear_set_mm=0.0, front_set_mm=700.0)
    # The wire's own height at three places, and the straight line through the first two of them.
    rear, front, far = (-4.0 * 0.3 * (x + 5000.0) * (1000.0 - x) / 6000.0**2 for x in (0.0, 700.0, -4000.0))
    assert beyond_mm == pytest.approx(far - (rear + (front - rear) * -4000.0 / 700.0))
    assert beyond_mm > 0.6


def test_a_reading_from_a_wire_is_corrected_for_its_height() -> None:
    """The loader's height is the reading plus the wire's; setting errors come by the lever, the sag's by its share."""
    line = ReferenceLine(name="wire", rear_set_mm=0.0, front_set_mm=500.0, set_u_mm=0.02, wire=WIRE)
    place = Station(-1000.0)
    bend_mm = line.bend_mm(-1000.0)
    height = line.height("h", place, above_mm=0.5, u_mm=0.05)
    assert height.value_mm == pytest.approx(0.5 + bend_mm)
    assert (height.u_mm, height.coefficients) == (0.05, place.upright())
    assert dict(height.shared_mm) == {
        "wire at its rear point, up": pytest.approx(0.06),
        "wire at its front point, up": pytest.approx(-0.04),
        "sag of wire": pytest.approx(bend_mm * 0.1),
    }
    aside = line.aside("a", place, left_mm=-0.4, u_mm=0.05)
    assert (aside.value_mm, aside.coefficients) == (-0.4, place.sideways())
    assert [source for source, _ in aside.shared_mm] == ["wire at its rear point, aside", "wire at its front point, aside"]


@pytest.mark.parametrize("wire", [None, Wire(-5000.0, 1000.0, 0.0, 0.0)])
def test_a_beam_does_not_hang(wire: Wire | None) -> None:
    """A beam or straightedge has no sag, and a wire without sag none to be unsure of."""
    line = ReferenceLine(name="beam", rear_set_mm=0.0, front_set_mm=500.0, set_u_mm=0.0, wire=wire)
    height = line.height("h", Station(-3000.0), above_mm=0.5, u_mm=0.05)
    assert height.value_mm == 0.5
    assert len(height.shared_mm) == 2


def test_wrong_wires_and_lines_are_refused() -> None:
    """Places off the wire, ends swapped, weights and pulls of nothing."""
    sag = {"weight_n_per_mm": 1e-5, "tension_n": 100.0, "span_mm": 4000.0, "at_mm": 2000.0}
    for part, wrong in (("weight_n_per_mm", 0.0), ("tension_n", -1.0), ("span_mm", 0.0), ("at_mm", 4001.0), ("at_mm", -1.0)):
        with pytest.raises(UsageError):
            sag_mm(**{**sag, part: wrong})
    for call in (
        lambda: plucked_sag_mm(0.0),
        lambda: plucked_tension_n(mass_kg_m=0.0, span_mm=1.0, frequency_hz=1.0),
        lambda: plucked_tension_n(mass_kg_m=1.0, span_mm=0.0, frequency_hz=1.0),
        lambda: plucked_tension_n(mass_kg_m=1.0, span_mm=1.0, frequency_hz=0.0),
        lambda: plucked_wire(rear_mm=0.0, front_mm=1.0, frequency_hz=1.0, frequency_u_hz=-1.0),
        lambda: weighed_wire(rear_mm=1.0, front_mm=0.0, weight_n_per_mm=1.0, tension_n=1.0, tension_u_n=0.0),
        lambda: Wire(0.0, 0.0, 0.1, 0.0),
        lambda: Wire(math.nan, 0.0, 0.1, 0.0),
        lambda: Wire(0.0, math.inf, 0.1, 0.0),
        lambda: Wire(-1.0, 0.0, -0.1, 0.0),
        lambda: Wire(-1.0, 0.0, 0.1, -0.1),
        lambda: WIRE.bend_mm(x_mm=-5001.0, rear_set_mm=0.0, front_set_mm=500.0),
        lambda: WIRE.bend_mm(x_mm=0.0, rear_set_mm=0.0, front_set_mm=1001.0),
        lambda: ReferenceLine(name="beam", rear_set_mm=0.0, front_set_mm=0.0, set_u_mm=0.0),
        lambda: ReferenceLine(name="beam", rear_set_mm=0.0, front_set_mm=1.0, set_u_mm=-0.1),
    ):
        with pytest.raises(UsageError):
            call()
