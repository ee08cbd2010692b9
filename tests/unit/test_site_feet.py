"""What feet carry: statics by hand, masses that come and go, and feet that cannot bear."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from standoff.errors import UsageError
from standoff.site.feet import GRAVITY_M_S2, Mass, Pad, foot_loads

SQUARE = (Pad("a", 0.0, 0.0), Pad("b", 1000.0, 0.0), Pad("c", 0.0, 1000.0), Pad("d", 1000.0, 1000.0))
FRAME = Mass("frame", 400.0, 500.0, 500.0)


def kg(loads_n: list[float]) -> list[float]:
    """Loads as the masses they weigh."""
    return [load / GRAVITY_M_S2 for load in loads_n]


def test_three_feet_are_statics() -> None:
    """A mass a third of the way along and across: by moments, whichever way it is shared."""
    found = foot_loads(SQUARE[:3], [Mass("m", 600.0, 250.0, 500.0)])
    assert kg([foot.even_n for foot in found.feet]) == pytest.approx([150.0, 150.0, 300.0])
    assert kg([foot.worst_n for foot in found.feet]) == pytest.approx([150.0, 150.0, 300.0])
    assert found.tipping_mm == pytest.approx(250.0 / math.sqrt(2.0))


def test_four_feet_share_or_rock() -> None:
    """In the middle each carries a quarter; rocking on a diagonal two carry half each."""
    found = foot_loads(SQUARE, [FRAME])
    assert kg([foot.even_n for foot in found.feet]) == pytest.approx([100.0] * 4)
    assert kg([foot.worst_n for foot in found.feet]) == pytest.approx([200.0] * 4)
    assert found.tipping_mm == pytest.approx(500.0)
    assert found.weight_n == pytest.approx(400.0 * GRAVITY_M_S2)


def test_a_foot_that_only_pushes() -> None:
    """Near a corner equal springs would pull the far foot down: it lifts off, and three carry all."""
    found = foot_loads(SQUARE, [Mass("m", 100.0, 150.0, 150.0)])
    loads = kg([foot.even_n for foot in found.feet])
    # The far foot lifts off; the near three by moments: 15 each on b and c, 70 on a.
    assert loads == pytest.approx([70.0, 15.0, 15.0, 0.0], abs=1e-6)
    assert kg([foot.worst_n for foot in found.feet]) == pytest.approx([85.0, 15.0, 15.0, 15.0])


def test_on_the_very_edge_two_feet_bear() -> None:
    """A centre of gravity above the line between two feet: the other two carry nothing."""
    found = foot_loads(SQUARE, [Mass("m", 100.0, 500.0, 0.0)])
    assert kg([foot.even_n for foot in found.feet]) == pytest.approx([50.0, 50.0, 0.0, 0.0], abs=1e-6)
    assert found.tipping_mm == pytest.approx(0.0, abs=1e-9)


def test_bars_come_and_go() -> None:
    """Least without, greatest with them; two such masses are four cases."""
    bars = Mass("bars", 200.0, 500.0, 900.0, comes_and_goes=True)
    found = foot_loads(SQUARE, [FRAME, bars])
    assert kg([found.feet[2].least_n, found.feet[2].even_n]) == pytest.approx([100.0, 190.0])
    assert kg([found.feet[0].least_n, found.feet[0].even_n]) == pytest.approx([100.0, 110.0])
    assert found.cases == 2
    assert foot_loads(SQUARE, [FRAME, bars, replace(bars, name="oil")]).cases == 4
    assert found.weight_n == pytest.approx(600.0 * GRAVITY_M_S2)
    # With them the centre lies at 633 mm: 367 mm from the edge.
    assert found.tipping_mm == pytest.approx(1000.0 - (400.0 * 500.0 + 200.0 * 900.0) / 600.0)


def test_what_presses_on_the_slab() -> None:
    """The worst load over the area of its pad; nothing where no pad is stated."""
    pads = (replace(SQUARE[0], area_mm2=10_000.0), *SQUARE[1:])
    found = foot_loads(pads, [FRAME])
    assert found.feet[0].pressure_mpa == pytest.approx(200.0 * GRAVITY_M_S2 / 10_000.0)
    assert found.feet[1].pressure_mpa is None


def test_what_tips_over_is_an_answer() -> None:
    """A centre of gravity 100 mm outside: no loads, and by how much; also where only the bars do it."""
    found = foot_loads(SQUARE, [Mass("m", 100.0, 1100.0, 500.0)])
    assert (found.feet, found.tipping_mm) == ((), pytest.approx(-100.0))
    bars = Mass("bars", 400.0, 500.0, 1600.0, comes_and_goes=True)
    assert foot_loads(SQUARE, [FRAME, bars]).tipping_mm == pytest.approx(-50.0)


def test_feet_that_cannot_bear_are_refused() -> None:
    """Two, nine, in one line, two in one place, a name twice; no mass that stays, a mass of nothing, a pad of nothing."""
    cases = (
        (SQUARE[:2], "2"),
        (tuple(Pad(f"f{i}", 100.0 * i, 50.0 * (i % 2)) for i in range(9)), "9"),
        (tuple(Pad(f"f{i}", 100.0 * i, 0.0) for i in range(3)), "in one line"),
        ((*SQUARE, Pad("e", 0.0, 0.0)), "in one place"),
        ((*SQUARE[:3], Pad("a", 1000.0, 1000.0)), "twice"),
    )
    for pads, words in cases:
        with pytest.raises(UsageError, match=words):
            foot_loads(pads, [FRAME])
    with pytest.raises(UsageError, match="none that stays"):
        foot_loads(SQUARE, [replace(FRAME, comes_and_goes=True)])
    with pytest.raises(UsageError, match="mass of frame"):
        replace(FRAME, mass_kg=0.0)
    with pytest.raises(UsageError, match="pad of a"):
        replace(SQUARE[0], area_mm2=0.0)
