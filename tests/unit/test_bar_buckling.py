"""How hard the bar may be pushed: against the exact solver, against a search over half-waves, and worked by hand."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from standoff.bar.beam import Beam, beam
from standoff.bar.buckling import (
    Ends,
    euler_n,
    friction_n,
    helical_n,
    sinusoidal_n,
    tube_n,
    tube_passing_n,
)
from standoff.bar.materials import material
from standoff.bar.section import Section, Shape
from standoff.bar.supports import Support, Supports, clamped, rigid
from standoff.bar.whip import critical_speed
from standoff.errors import UsageError

THIN = beam(Section(Shape.ROUND, 2.0), material("steel"))
THICK = beam(Section(Shape.ROUND, 20.0), material("steel"))

HOLDS: dict[Ends, tuple[Callable[..., Support], ...]] = {
    Ends.PINNED: (rigid, rigid),
    Ends.CLAMPED: (clamped, clamped),
    Ends.CLAMPED_PINNED: (clamped, rigid),
    Ends.CLAMPED_FREE: (clamped,),
}


@pytest.mark.parametrize("ends", Ends)
def test_the_gap_buckles_where_the_solver_says(ends: Ends) -> None:
    """Just below the column's force the exact solver still finds a whip speed, just above it finds the bar buckled."""
    gap_mm = 600.0
    force_n = euler_n(THICK, gap_mm=gap_mm, ends=ends)
    points = tuple(hold(f"end {i}", at_mm=at) for i, (hold, at) in enumerate(zip(HOLDS[ends], (0.0, gap_mm), strict=False)))
    below, above = (critical_speed(THICK, Supports(points, axial_n=force_n * x), length_mm=gap_mm) for x in (0.9995, 1.0005))
    assert not below.buckled
    assert below.whip_rpm > 0.0
    assert above.buckled
    assert above.whip_rpm == 0.0


def test_a_longer_gap_bears_less_and_shear_takes_some() -> None:
    """Twice the gap, a quarter of the force for a slender bar; shear only ever lowers it."""
    slender = Beam(THICK.ei_n_mm2, THICK.mass_kg_m)
    short, long = (euler_n(slender, gap_mm=gap, ends=Ends.PINNED) for gap in (400.0, 800.0))
    assert short == pytest.approx(4.0 * long)
    assert 0.9 * short < euler_n(THICK, gap_mm=400.0, ends=Ends.PINNED) < short


@pytest.mark.parametrize("tube_mm", [60.0, 300.0, 500.0, 700.0, 1500.0, 4000.0])
def test_a_bar_on_its_way_bears_what_it_bears_at_its_worst_length(tube_mm: float) -> None:
    """The least over every length of bar in the tube, tried millimetre by millimetre."""
    found = tube_passing_n(THIN, tube_mm=tube_mm, clearance_mm=10.0)
    tried = min(tube_n(THIN, tube_mm=tube_mm - cut, clearance_mm=10.0) for cut in range(int(tube_mm) - 1))
    assert found == pytest.approx(tried, rel=1e-4)
    assert found <= tried * (1.0 + 1e-12)


@pytest.mark.parametrize("tube_mm", [5.0, 60.0, 300.0, 700.0, 1500.0, 4000.0])
def test_the_tube_takes_the_cheapest_number_of_waves(tube_mm: float) -> None:
    """The force is the least over all numbers of half-waves, tried one by one."""
    per_mm = THIN.weight_n_per_mm / 10.0
    waves = [n * math.pi / tube_mm for n in range(1, 200)]
    least = min(THIN.ei_n_mm2 * k**2 + per_mm / k**2 for k in waves)
    assert tube_n(THIN, tube_mm=tube_mm, clearance_mm=10.0) == pytest.approx(least, rel=1e-12)


def test_a_long_tube_reaches_the_snaking_force_from_above() -> None:
    """Never below the force of the endless tube, and within 0.1 % of it at 10 m; the helix needs 1.41 times that."""
    snake = sinusoidal_n(THIN, clearance_mm=10.0)
    assert snake <= tube_n(THIN, tube_mm=10_000.0, clearance_mm=10.0) < 1.001 * snake
    assert helical_n(THIN, clearance_mm=10.0) == pytest.approx(math.sqrt(2.0) * snake)
    # Four times the clearance, half the force: the tighter tube holds better.
    assert sinusoidal_n(THIN, clearance_mm=40.0) == pytest.approx(snake / 2.0)


def test_friction_is_a_share_of_the_weight() -> None:
    """Bar and pusher rub with their weight: 1 kg/m over 2 m and 0.5 kg at 0.3 are 7.35 N; nothing in the channel rubs nothing."""
    bar = Beam(1.0, 1.0)
    rub = friction_n(bar, length_mm=2000.0, friction_coefficient=0.3, extra_kg=0.5)
    assert rub == pytest.approx(0.3 * 2.5 * 9.80665)
    assert friction_n(bar, length_mm=0.0, friction_coefficient=0.3) == 0.0


@pytest.mark.parametrize("given", [-1.0, math.nan, math.inf])
@pytest.mark.parametrize(
    ("call", "what"),
    [
        (lambda x: euler_n(THIN, gap_mm=x, ends=Ends.PINNED), "gap"),
        (lambda x: sinusoidal_n(THIN, clearance_mm=x), "radial clearance"),
        (lambda x: helical_n(THIN, clearance_mm=x), "radial clearance"),
        (lambda x: tube_n(THIN, tube_mm=x, clearance_mm=1.0), "length of the tube"),
        (lambda x: tube_n(THIN, tube_mm=1.0, clearance_mm=x), "radial clearance"),
        (lambda x: friction_n(THIN, length_mm=x, friction_coefficient=0.1), "length in the channel"),
        (lambda x: friction_n(THIN, length_mm=1.0, friction_coefficient=x), "friction coefficient"),
        (lambda x: friction_n(THIN, length_mm=1.0, friction_coefficient=0.1, extra_kg=x), "sliding mass"),
    ],
)
def test_nonsense_is_refused_by_name(call: Callable[[float], object], what: str, given: float) -> None:
    """Negative, missing and endless numbers are refused, and the refusal names which."""
    with pytest.raises(UsageError, match=rf"found {what}"):
        call(given)


@pytest.mark.parametrize(
    "call",
    [
        lambda: euler_n(THIN, gap_mm=0.0, ends=Ends.PINNED),
        lambda: sinusoidal_n(THIN, clearance_mm=0.0),
        lambda: tube_n(THIN, tube_mm=0.0, clearance_mm=1.0),
    ],
)
def test_no_gap_no_clearance_no_force_is_refused(call: Callable[[], object]) -> None:
    """Zero is refused where it would make the force endless or leave nothing."""
    with pytest.raises(UsageError, match="above zero"):
        call()
