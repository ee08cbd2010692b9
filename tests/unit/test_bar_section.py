"""Sections, metals and the beam they make: geometry that can be checked by integration, and what is refused."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from standoff.bar.beam import GRAVITY_MM_PER_S2, Beam, beam
from standoff.bar.checks import require_finite, require_lengths, require_not_negative, require_positive
from standoff.bar.materials import MATERIALS, material
from standoff.bar.section import Section, Shape, section
from standoff.errors import UsageError

CORNERS = {Shape.HEXAGON: 6, Shape.SQUARE: 4}
NO_SIZE = (0.0, -1.0, math.nan, math.inf, -math.inf)


def outline(shape: Shape, size_mm: float) -> np.ndarray:
    """The corners of a regular polygon of this size across flats; a round has very many."""
    count = CORNERS.get(shape, 20_000)
    angle = 2.0 * np.pi * np.arange(count) / count
    radius = size_mm / 2.0 / math.cos(math.pi / count)
    return radius * np.column_stack([np.cos(angle), np.sin(angle)])


def polygon(points: np.ndarray) -> tuple[float, float, float]:
    """Area and the second moments about both axes, by the formula for polygons."""
    (x, y), (u, v) = points.T, np.roll(points, -1, axis=0).T
    cross = x * v - u * y
    about_x = float((cross * (y * y + y * v + v * v)).sum()) / 12.0
    about_y = float((cross * (x * x + x * u + u * u)).sum()) / 12.0
    return float(cross.sum()) / 2.0, about_x, about_y


@pytest.mark.parametrize("shape", Shape)
def test_area_and_stiffness_are_those_of_the_outline(shape: Shape) -> None:
    """Area, second moment about BOTH axes, and the circle through the corners agree with the outline itself."""
    bar, points = Section(shape, 19.0), outline(shape, 19.0)
    area, about_x, about_y = polygon(points)
    assert bar.area_mm2 == pytest.approx(area, rel=1e-6)
    assert bar.second_moment_mm4 == pytest.approx(about_x, rel=1e-6)
    assert bar.second_moment_mm4 == pytest.approx(about_y, rel=1e-6)
    assert bar.across_corners_mm == pytest.approx(2.0 * float(np.hypot(*points[0])), rel=1e-6)


def test_edges_pass_a_support_as_often_as_there_are() -> None:
    """A hexagon shakes at N1/6, a square at N1/4, a round at no further speed."""
    assert Section(Shape.HEXAGON, 20.0).edge_speeds_rpm(whip_rpm=1800.0) == (300.0,)
    assert Section(Shape.SQUARE, 20.0).edge_speeds_rpm(whip_rpm=1800.0) == (450.0,)
    assert Section(Shape.ROUND, 20.0).edge_speeds_rpm(whip_rpm=1800.0) == ()


def test_mass_is_area_times_density() -> None:
    """A square bar of 10 mm of 8000 kg/m3 weighs 0.8 kg per metre."""
    assert Section(Shape.SQUARE, 10.0).mass_kg_m(density_kg_m3=8000.0) == pytest.approx(0.8)


def test_shapes_are_named_in_words() -> None:
    """Each shape is known by its word."""
    for kind in Shape:
        assert section(kind.value, size_mm=12.0) == Section(kind, 12.0)


@pytest.mark.parametrize("shape", ["flat", "D", "", "Round"])
def test_a_bar_of_unequal_stiffness_is_refused(shape: str) -> None:
    """A flat bar has two whip speeds: the refusal says so and sends to the makers."""
    with pytest.raises(UsageError, match=r"equally stiff in every direction \(round, hexagon, square\).*ask the makers of both"):
        section(shape, size_mm=12.0)


def test_materials_are_found_by_name_with_their_source() -> None:
    """Every entry is found by its own name, names a source, and is plausible as a solid."""
    for name, entry in MATERIALS.items():
        assert material(name) is entry
        assert entry.name == name
        assert len(entry.source) > 20
        assert 1000.0 < entry.density_kg_m3 < 9000.0
        assert 2e3 < entry.modulus_mpa < 2.2e5
        assert entry.shear_modulus_mpa == pytest.approx(entry.modulus_mpa / 2.6)


def test_an_unknown_material_is_refused_with_the_nearest() -> None:
    """A slip of the pen is answered with the name that was meant, a stranger with the list."""
    with pytest.raises(UsageError, match=r"material 'stainles 304'.*write \"stainless 304\" \(known: steel"):
        material("stainles 304")
    with pytest.raises(UsageError, match=r"material 'oak'.*write one of steel"):
        material("oak")


def test_a_beam_carries_what_section_and_metal_say() -> None:
    """EI, mass, shear stiffness and rotary inertia of a steel round of 20 mm, worked by hand."""
    bar = beam(Section(Shape.ROUND, 20.0), material("steel"))
    assert bar.ei_n_mm2 == pytest.approx(200e3 * math.pi * 20.0**4 / 64.0)
    assert bar.mass_kg_m == pytest.approx(7850e-6 * math.pi * 100.0)
    assert bar.shear_n == pytest.approx(6.0 / 7.0 * 200e3 / 2.6 * math.pi * 100.0)
    # rho I = rho A (d/4)^2, with rho A in kg/mm.
    assert bar.rotary_kg_mm == pytest.approx(bar.mass_kg_m * 1e-3 * 25.0)
    assert bar.area_mm2 == pytest.approx(math.pi * 100.0)
    assert bar.radius_mm == 10.0
    assert bar.weight_n_per_mm == pytest.approx(bar.mass_kg_m / 1000.0 * GRAVITY_MM_PER_S2 / 1000.0)


def test_a_beam_with_corners_reaches_to_its_corners() -> None:
    """The radius in oil is the one over the corners, and shear is carried by 5/6 of the area."""
    bar = beam(Section(Shape.SQUARE, 20.0), material("steel"))
    assert bar.radius_mm == pytest.approx(10.0 * math.sqrt(2.0))
    assert bar.shear_n == pytest.approx(5.0 / 6.0 * 400.0 * material("steel").shear_modulus_mpa)


@pytest.mark.parametrize("given", NO_SIZE)
@pytest.mark.parametrize(
    ("call", "what"),
    [
        (lambda x: Section(Shape.ROUND, x), "bar size"),
        (lambda x: Section(Shape.ROUND, 9.0).mass_kg_m(density_kg_m3=x), "density"),
        (lambda x: Section(Shape.ROUND, 9.0).edge_speeds_rpm(whip_rpm=x), "whip speed"),
        (lambda x: replace(material("steel"), density_kg_m3=x), "density"),
        (lambda x: replace(material("steel"), modulus_mpa=x), "Young's modulus"),
        (lambda x: Beam(x, 1.0), "bending stiffness"),
        (lambda x: Beam(1.0, x), "mass per length"),
        (lambda x: require_positive("bore", x), "bore"),
        (lambda x: require_lengths([100.0, x]), "bar length"),
    ],
)
def test_what_must_be_above_zero_is_refused(call: Callable[[float], object], what: str, given: float) -> None:
    """Zero, negative, endless and missing numbers are refused by name, with what to do."""
    with pytest.raises(UsageError) as refusal:
        call(given)
    assert refusal.value.what == what
    assert refusal.value.given == f"{given}"
    assert str(refusal.value).endswith(f"expected a finite number above zero; measure the {what} again.")


@pytest.mark.parametrize("given", [-1e-9, math.nan, math.inf])
@pytest.mark.parametrize(
    ("call", "what"),
    [
        (lambda x: Beam(1.0, 1.0, rotary_kg_mm=x), "rotary inertia"),
        (lambda x: Beam(1.0, 1.0, area_mm2=x), "section area"),
        (lambda x: Beam(1.0, 1.0, radius_mm=x), "bar radius"),
        (lambda x: require_not_negative("sag", x), "sag"),
    ],
)
def test_what_may_be_zero_is_not_negative(call: Callable[[float], object], what: str, given: float) -> None:
    """Zero is welcome; a negative, missing or endless number is not."""
    call(0.0)
    with pytest.raises(UsageError, match=rf"{what} .*zero or more; correct the {what}\.$"):
        call(given)


def test_shear_stiffness_may_be_endless_but_not_nonsense() -> None:
    """Endless shear stiffness is the slender beam; zero, negative or missing is refused."""
    assert Beam(1.0, 1.0).shear_n == math.inf
    for given in (0.0, -1.0, math.nan):
        with pytest.raises(UsageError, match="shear stiffness"):
            Beam(1.0, 1.0, shear_n=given)


def test_a_rigid_thing_may_be_endless() -> None:
    """Where infinity means rigid it passes; minus infinity does not."""
    assert require_not_negative("stiffness", math.inf, endless=True) == math.inf
    with pytest.raises(UsageError, match="stiffness -inf, expected zero or more;"):
        require_not_negative("stiffness", -math.inf, endless=True)


def test_a_force_may_have_either_sign() -> None:
    """Finite numbers pass as they are; what is not finite is refused."""
    assert require_finite("feed force", -3.0) == -3.0
    with pytest.raises(UsageError, match="feed force inf, expected a finite number; correct the feed force"):
        require_finite("feed force", math.inf)


def test_no_length_at_all_is_refused() -> None:
    """Lengths come back as a tuple of floats; an empty list asks for lengths."""
    assert require_lengths([100, 200.0]) == (100.0, 200.0)
    with pytest.raises(UsageError, match=r"bar lengths none.*give the lengths to be judged"):
        require_lengths([])
