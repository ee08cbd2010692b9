"""The dial indicator: signs of bore and outside, sag of the bracket, closing of a sweep, face sweeps."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from standoff.errors import UsageError
from standoff.site.axis import PITCH, YAW, Station
from standoff.site.dial import Bracket, FaceSweep, Surface, Sweep, offset_from_tir_mm

PLACE = Station(-500.0)


def sweep(surface: str, high_mm: float, left_mm: float, *, hangs_mm: float = 0.0, bracket: Bracket | None = None) -> Sweep:
    """What an indicator shows on a circle that lies so, its own tip hanging by this much."""
    radius_mm, sign = 30.0, -1.0 if surface == "bore" else 1.0
    high_mm += hangs_mm
    across_mm, upright_mm = math.sqrt(radius_mm**2 - high_mm**2), math.sqrt(radius_mm**2 - left_mm**2)
    chosen: Surface = "bore" if surface == "bore" else "outside"
    return Sweep(
        name="sweep",
        station=PLACE,
        surface=chosen,
        top_mm=sign * (upright_mm + high_mm),
        left_mm=sign * (across_mm + left_mm),
        bottom_mm=sign * (upright_mm - high_mm),
        right_mm=sign * (across_mm - left_mm),
        u_mm=0.02,
        bracket=bracket or Bracket("bracket"),
    )


@pytest.mark.parametrize("surface", ["bore", "outside"])
def test_a_sweep_finds_the_centre(surface: str) -> None:
    """In a bore and round an outside, whatever the bracket hangs by, once that is known."""
    taken = sweep(surface, 0.35, -0.2, hangs_mm=0.08, bracket=Bracket("arm", 0.08, 0.01))
    height, aside = taken.observations()
    assert height.value_mm == pytest.approx(0.35, abs=1e-12)
    assert aside.value_mm == pytest.approx(-0.2, abs=1e-12)
    assert height.u_mm == aside.u_mm == pytest.approx(0.02 / math.sqrt(2.0))
    assert height.shared_mm == (("sag of arm", -0.01),)
    assert aside.shared_mm == ()
    assert (height.coefficients, aside.coefficients) == (PLACE.upright(), PLACE.sideways())


def test_half_the_total_reading() -> None:
    """Half of the total, less half of what the sag alone shows."""
    assert offset_from_tir_mm(tir_mm=-0.5) == -0.25
    assert offset_from_tir_mm(tir_mm=0.5, sag_tir_mm=0.1) == pytest.approx(0.2)
    with pytest.raises(UsageError, match="total reading"):
        offset_from_tir_mm(tir_mm=math.inf)


def test_a_sweep_closes_on_a_circle() -> None:
    """On a true circle next to nothing is left; a reading that is off shows."""
    good = sweep("bore", 0.3, 0.1)
    assert abs(good.misclosure_mm) < 0.005
    assert good.closes
    off = Sweep(
        name="off",
        station=PLACE,
        surface="bore",
        top_mm=0.2,
        left_mm=0.0,
        bottom_mm=0.0,
        right_mm=0.0,
        u_mm=0.02,
        bracket=Bracket("b"),
    )
    assert off.misclosure_mm == 0.2
    assert not off.closes


@pytest.mark.parametrize("radius_mm", [10.0, 15.0, 40.0])
def test_a_sweep_far_off_centre_closes_on_a_true_circle(radius_mm: float) -> None:
    """A bore 1.5 mm low: seen from the spindle its sides are nearer by 1.5^2 / 2R, which is no wrong reading."""
    low_mm = 1.5
    side_mm = math.sqrt(radius_mm**2 - low_mm**2) - radius_mm
    shown = {"top_mm": low_mm, "bottom_mm": -low_mm, "left_mm": -side_mm, "right_mm": -side_mm}
    good = Sweep(name="low", station=PLACE, surface="bore", u_mm=0.0116, bracket=Bracket("b"), **shown)
    assert abs(good.misclosure_mm) == pytest.approx(low_mm**2 / radius_mm, rel=0.01)
    assert good.closes
    assert not replace(good, left_mm=good.left_mm + 0.8).closes
    assert not replace(good, top_mm=0.3, bottom_mm=0.0).closes


def test_a_face_sweep_gives_slopes() -> None:
    """A face leans back at its top where the axis rises, at its left where it leads left; the doubt goes over the circle."""
    face = FaceSweep(name="face", circle_mm=200.0, top_mm=-0.1, left_mm=-0.04, bottom_mm=0.1, right_mm=0.0, u_mm=0.01)
    rise, lead = face.observations()
    assert (rise.coefficients, rise.value_mm) == (((PITCH, 1.0),), pytest.approx(1.0))
    assert (lead.coefficients, lead.value_mm) == (((YAW, 1.0),), pytest.approx(0.2))
    assert rise.u_mm == lead.u_mm == pytest.approx(0.01 * math.sqrt(2.0) * 5.0)


def test_wrong_sweeps_are_refused() -> None:
    """No uncertainty, another surface, a bracket that hangs upwards, a circle of no size."""
    good = {"name": "s", "station": PLACE, "top_mm": 0.0, "left_mm": 0.0, "bottom_mm": 0.0, "right_mm": 0.0}
    with pytest.raises(UsageError, match="uncertainty of s"):
        Sweep(**good, surface="bore", u_mm=0.0, bracket=Bracket("b"))  # type: ignore[arg-type]
    with pytest.raises(UsageError, match="say which was swept"):
        Sweep(**good, surface="cone", u_mm=0.1, bracket=Bracket("b"))  # type: ignore[arg-type]
    with pytest.raises(UsageError, match="sag of the bracket"):
        Bracket("b", -0.1)
    with pytest.raises(UsageError, match="uncertainty of the sag"):
        Bracket("b", 0.1, math.nan)
    with pytest.raises(UsageError, match="diameter swept"):
        FaceSweep(name="f", circle_mm=0.0, top_mm=0.0, left_mm=0.0, bottom_mm=0.0, right_mm=0.0, u_mm=0.1)
