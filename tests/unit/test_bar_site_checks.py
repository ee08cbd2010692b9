"""What is measured on site about whip: sag and note give back what was planted."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from standoff.bar.beam import GRAVITY_MM_PER_S2, Beam, beam
from standoff.bar.materials import MATERIALS, material
from standoff.bar.section import Section, Shape
from standoff.bar.site_checks import SAG_FACTOR, fit_to_tap, speed_from_sag_rpm
from standoff.bar.supports import Pusher, Support, Supports, clamped, rigid
from standoff.bar.whip import critical_speed
from standoff.errors import UsageError

BAR = beam(Section(Shape.ROUND, 18.0), material("steel"))
MACHINE = Supports(
    (Support("collet", 0.0, 20_000.0, 1e7), Support("bushing", 350.0, 3000.0), Support("rest", 1400.0, 1000.0)),
    pusher=Pusher(0.8, 50.0),
)


def test_the_factor_is_that_of_a_pinned_span() -> None:
    """30/pi pi^2 sqrt(5 g/384), to the digits given."""
    assert pytest.approx(30.0 * math.pi * math.sqrt(5.0 * GRAVITY_MM_PER_S2 / 384.0), abs=0.05) == SAG_FACTOR


@pytest.mark.parametrize("name", MATERIALS)
def test_a_sag_is_a_speed_whatever_the_bar_is_made_of(name: str) -> None:
    """The sag of a pinned span, 5 w L^4/384 EI, gives the whip speed that the solver finds."""
    bar = beam(Section(Shape.HEXAGON, 12.0), MATERIALS[name])
    sag_mm = 5.0 * bar.weight_n_per_mm * 1500.0**4 / (384.0 * bar.ei_n_mm2)
    held = Supports((rigid("a", at_mm=0.0), rigid("b", at_mm=1500.0)))
    assert speed_from_sag_rpm([sag_mm]) == pytest.approx(critical_speed(bar, held, length_mm=1500.0).whip_rpm, rel=5e-4)


def test_clamped_ends_whip_a_little_above_what_the_sag_says() -> None:
    """The sag w L^4/384 EI of a span with clamped ends reads 1.4 % low: the error is on the low side."""
    slender = Beam(BAR.ei_n_mm2, BAR.mass_kg_m)
    sag_mm = slender.weight_n_per_mm * 1500.0**4 / (384.0 * slender.ei_n_mm2)
    held = Supports((clamped("a", at_mm=0.0), clamped("b", at_mm=1500.0)))
    true_rpm = critical_speed(slender, held, length_mm=1500.0).whip_rpm
    assert true_rpm / speed_from_sag_rpm([sag_mm]) == pytest.approx(1.014, abs=0.0005)


def test_the_bars_own_bow_is_taken_out() -> None:
    """Readings over a turn average to the sag, however bowed the bar is, even where it stands above the line."""
    bowed = [1.0 + 2.5 * math.cos(math.radians(turn)) for turn in (0, 90, 180, 270)]
    assert min(bowed) < 0.0
    assert speed_from_sag_rpm(bowed) == pytest.approx(SAG_FACTOR)
    # Four times the sag, half the speed.
    assert speed_from_sag_rpm([4.0]) == pytest.approx(SAG_FACTOR / 2.0)


@pytest.mark.parametrize("sags", [[0.0], [-1.0, 0.5], [math.nan, 1.0], [math.inf]])
def test_a_sag_that_is_none_is_refused(sags: list[float]) -> None:
    """A mean that is not above zero says that something was misread."""
    with pytest.raises(UsageError, match=r"mean sag .*measure the mean sag again"):
        speed_from_sag_rpm(sags)


def test_no_sag_is_refused() -> None:
    """Without a reading the refusal says where to read."""
    with pytest.raises(UsageError, match="sags none, expected readings at 0, 90, 180 and 270 degrees; read them"):
        speed_from_sag_rpm([])


@pytest.mark.parametrize("planted", [0.02, 0.3, 1.0, 4.0, 30.0])
@pytest.mark.parametrize("length_mm", [900.0, 2200.0])
def test_a_tap_recovers_the_planted_stiffness(planted: float, length_mm: float) -> None:
    """A machine whose supports are softer or stiffer than thought by one factor is found out from its note."""
    heard_hz = critical_speed(BAR, MACHINE.scaled(planted), length_mm=length_mm).frequency_hz
    fit = fit_to_tap(BAR, MACHINE, length_mm=length_mm, measured_hz=heard_hz)
    assert fit.model_hz == pytest.approx(heard_hz, rel=1e-5)
    assert fit.stiffness_factor == pytest.approx(planted, rel=1e-3)
    assert fit.supports == MACHINE.scaled(fit.stiffness_factor)
    assert fit.measured_hz == heard_hz
    # What was corrected sounds as the machine does.
    assert critical_speed(BAR, fit.supports, length_mm=length_mm).frequency_hz == pytest.approx(heard_hz, rel=1e-5)


@pytest.mark.parametrize("factor", [0.009, 110.0])
def test_a_note_out_of_reach_is_refused(factor: float) -> None:
    """A note that would need more than a hundredfold stiffness either way was not the lowest one."""
    heard_hz = critical_speed(BAR, MACHINE.scaled(factor), length_mm=900.0).frequency_hz
    with pytest.raises(UsageError, match=r"measured frequency .* Hz, what these supports can give; check which mode was heard"):
        fit_to_tap(BAR, MACHINE, length_mm=900.0, measured_hz=heard_hz)


@pytest.mark.parametrize("measured_hz", [0.0, -5.0, math.nan, math.inf])
def test_a_note_that_is_none_is_refused(measured_hz: float) -> None:
    """Zero, negative, missing and endless frequencies are refused."""
    with pytest.raises(UsageError, match=r"measured frequency .*measure the measured frequency again"):
        fit_to_tap(BAR, MACHINE, length_mm=900.0, measured_hz=measured_hz)


@pytest.mark.parametrize(
    "supports", [Supports((clamped("a", at_mm=0.0),)), Supports((Support("a", 0.0, 1e12), Support("b", 900.0, 1e12)))]
)
def test_rigid_supports_have_nothing_to_correct(supports: Supports) -> None:
    """Where no stiffness moves the note, even the model's own note is no reason to name a factor."""
    note_hz = critical_speed(BAR, supports, length_mm=900.0).frequency_hz
    with pytest.raises(UsageError, match=r"supports whose stiffness does not change the note.*give the supports the stiffness"):
        fit_to_tap(BAR, supports, length_mm=900.0, measured_hz=note_hz)


def test_a_tap_of_a_longer_bar_tells_of_the_same_supports() -> None:
    """The factor found at one length predicts the note at another, with the pusher's mass as it is."""
    true = replace(MACHINE.scaled(0.5), pusher=replace(MACHINE.pusher, lateral_n_per_mm=25.0))
    heard = {x: critical_speed(BAR, true, length_mm=x) for x in (900.0, 1700.0)}
    fit = fit_to_tap(BAR, MACHINE, length_mm=900.0, measured_hz=heard[900.0].frequency_hz)
    predicted = critical_speed(BAR, fit.supports, length_mm=1700.0)
    assert predicted.whip_rpm == pytest.approx(heard[1700.0].whip_rpm, rel=1e-3)
