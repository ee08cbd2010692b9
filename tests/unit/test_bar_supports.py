"""What holds the bar, and the mesh made of it: where things come to stand, and what is refused."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest

from standoff.bar.beam import Beam
from standoff.bar.mesh import joints_of, mesh, paired, refined
from standoff.bar.supports import SNAP_MM, Flooded, Mass, Pusher, Stretch, Support, Supports, clamped, rigid
from standoff.errors import UsageError

BAR = Beam(1e9, 2.0, area_mm2=300.0, radius_mm=10.0)
FULL = Supports(
    points=(Support("front", 0.0, 1000.0, 2e6), rigid("bushing", at_mm=400.0), Support("rest", 900.0, 500.0)),
    stretches=(Stretch("channel", 1000.0, 3000.0, 0.5),),
    pusher=Pusher(0.7, 20.0, 300.0),
    liner=(Stretch("liner", 200.0, 800.0, 0.1),),
    oil=(Flooded("oil", 1000.0, 2500.0, 40.0),),
    masses=(Mass("ring", 300.0, 0.25),),
)


def test_rigid_and_clamped_supports() -> None:
    """A rigid support lets the bar tilt, a clamped one does not."""
    assert (rigid("a", at_mm=5.0).lateral_n_per_mm, rigid("a", at_mm=5.0).rotational_n_mm) == (math.inf, 0.0)
    assert (clamped("a", at_mm=5.0).lateral_n_per_mm, clamped("a", at_mm=5.0).rotational_n_mm) == (math.inf, math.inf)


def test_one_factor_scales_every_stiffness() -> None:
    """Points, stretches and the pusher's guide take it; what is rigid stays rigid, masses and oil stay as they are."""
    twice = FULL.scaled(2.0)
    assert [p.lateral_n_per_mm for p in twice.points] == [2000.0, math.inf, 1000.0]
    assert [p.rotational_n_mm for p in twice.points] == [4e6, 0.0, 0.0]
    assert twice.stretches[0].bedding_mpa == 1.0
    assert twice.pusher == Pusher(0.7, 40.0, 600.0)
    assert (twice.masses, twice.oil, twice.liner) == (FULL.masses, FULL.oil, FULL.liner)


def test_each_part_takes_its_own_factor() -> None:
    """Factors go to the points in order, then to the stretches, the last to the pusher's guide."""
    own = FULL.scaled((2.0, 3.0, 4.0, 5.0, 6.0))
    assert [p.lateral_n_per_mm for p in own.points] == [2000.0, math.inf, 2000.0]
    assert own.stretches[0].bedding_mpa == 2.5
    assert own.pusher == Pusher(0.7, 120.0, 1800.0)


@pytest.mark.parametrize("factors", [(1.0,) * 4, (1.0,) * 6, ()])
def test_factors_that_do_not_go_round_are_refused(factors: tuple[float, ...]) -> None:
    """One factor too few or too many is refused."""
    with pytest.raises(UsageError, match=r"stiffness factors \d, expected 5; give one for each part"):
        FULL.scaled(factors)


@pytest.mark.parametrize("factor", [0.0, -1.0, math.nan, math.inf])
def test_a_factor_that_is_none_is_refused(factor: float) -> None:
    """A stiffness is never scaled away, turned round or made rigid."""
    with pytest.raises(UsageError, match="stiffness factor"):
        FULL.scaled(factor)


def test_on_its_liner_the_bar_is_borne_there_too() -> None:
    """The liner becomes a stretch like the others, once."""
    resting = FULL.on_liner()
    assert resting.stretches == FULL.stretches + FULL.liner
    assert resting.liner == ()
    assert resting.on_liner() == resting


@pytest.mark.parametrize(
    ("supports", "held"),
    [
        (Supports(), False),
        (Supports((rigid("a", at_mm=0.0),)), False),
        (Supports((clamped("a", at_mm=0.0),)), True),
        (Supports((rigid("a", at_mm=0.0), rigid("b", at_mm=500.0))), True),
        (Supports((rigid("a", at_mm=0.0), rigid("b", at_mm=1000.0))), True),
        (Supports((rigid("a", at_mm=0.0), rigid("b", at_mm=1000.1))), False),
        (Supports((rigid("a", at_mm=0.0), rigid("b", at_mm=2.0 * SNAP_MM))), False),
        (Supports((rigid("a", at_mm=0.0), Support("b", 500.0, 0.0))), False),
        (Supports((rigid("a", at_mm=0.0), Support("b", 500.0, 0.0, 10.0))), True),
        (Supports((Support("a", 0.0, 0.0, math.inf),)), False),
        (Supports((rigid("a", at_mm=0.0),), pusher=Pusher(1.0, 5.0)), True),
        (Supports((rigid("a", at_mm=0.0),), pusher=Pusher(1.0, 0.0, 5.0)), True),
        (Supports((rigid("a", at_mm=1000.0),), pusher=Pusher(1.0, 5.0)), False),
        (Supports(pusher=Pusher(0.0, 5.0, 5.0)), True),
        (Supports(stretches=(Stretch("s", 0.0, 50.0, 1.0),)), True),
        (Supports(stretches=(Stretch("s", 0.0, 50.0, 0.0),)), False),
        (Supports(stretches=(Stretch("s", 999.5, 1500.0, 1.0),)), False),
        (Supports(stretches=(Stretch("s", 300.0, 300.4, 1.0),)), False),
    ],
)
def test_whether_a_bar_of_a_metre_is_held(supports: Supports, held: bool) -> None:
    """Two places apart, or one that also keeps it from tilting, or a bed: else it can move freely and has no whip speed."""
    assert supports.held(length_mm=1000.0) is held
    if held:
        supports.require_held(length_mm=1000.0)
        return
    with pytest.raises(UsageError, match=r"bar of 1000\.0 mm that its supports do not hold.*tilting stiffness, or judge longer"):
        supports.require_held(length_mm=1000.0)
    with pytest.raises(UsageError, match="do not hold"):
        mesh([BAR], [supports], [2000.0, 1000.0])


@pytest.mark.parametrize("length_mm", [0.0, -1.0, math.nan, math.inf])
def test_a_bar_without_length_is_refused(length_mm: float) -> None:
    """A length that is none is refused before anything is asked of the supports."""
    with pytest.raises(UsageError, match="bar length"):
        FULL.require_held(length_mm=length_mm)
    with pytest.raises(UsageError, match="bar length"):
        mesh([BAR], [FULL], [1000.0, length_mm])


@pytest.mark.parametrize("given", [-1.0, math.nan])
@pytest.mark.parametrize(
    ("call", "what"),
    [
        (lambda x: Support("nose", x, 1.0), "distance of nose"),
        (lambda x: Support("nose", 0.0, x), "stiffness of nose"),
        (lambda x: Support("nose", 0.0, 1.0, x), "tilting stiffness of nose"),
        (lambda x: Stretch("bed", x, 1.0, 1.0), "beginning of bed"),
        (lambda x: Stretch("bed", 0.0, 1.0, x), "bedding of bed"),
        (lambda x: Flooded("oil", x, 1.0, 30.0), "beginning of oil"),
        (lambda x: Flooded("oil", 0.0, 1.0, x), "bore of oil"),
        (lambda x: Flooded("oil", 0.0, 1.0, 30.0, x), "density of the oil in oil"),
        (lambda x: Pusher(x), "mass of the pusher"),
        (lambda x: Pusher(0.0, x), "stiffness of the pusher's guide"),
        (lambda x: Pusher(0.0, 0.0, x), "tilting stiffness of the pusher's guide"),
        (lambda x: Mass("ring", x, 1.0), "distance of ring"),
        (lambda x: Mass("ring", 0.0, x), "mass of ring"),
    ],
)
def test_nonsense_is_refused_by_name(call: Callable[[float], object], what: str, given: float) -> None:
    """Negative and missing numbers are refused, and the refusal names the part and the quantity."""
    with pytest.raises(UsageError) as refusal:
        call(given)
    assert refusal.value.what == what


@pytest.mark.parametrize(
    ("call", "what"),
    [
        (lambda: Support("nose", math.inf, 1.0), "distance of nose"),
        (lambda: Stretch("bed", 0.0, 1.0, math.inf), "bedding of bed"),
        (lambda: Stretch("bed", 0.0, math.inf, 1.0), "end of bed"),
        (lambda: Stretch("bed", 0.0, math.nan, 1.0), "end of bed"),
        (lambda: Pusher(math.inf), "mass of the pusher"),
        (lambda: Supports(axial_n=math.nan), "feed force"),
        (lambda: Supports(axial_n=math.inf), "feed force"),
    ],
)
def test_what_may_not_be_endless_is_refused(call: Callable[[], object], what: str) -> None:
    """Only a stiffness at one place may be endless."""
    with pytest.raises(UsageError) as refusal:
        call()
    assert refusal.value.what == what


@pytest.mark.parametrize("to_mm", [500.0, 400.0])
def test_a_reversed_stretch_is_refused(to_mm: float) -> None:
    """A stretch ends behind its beginning, of a bed as of oil."""
    for kind in (lambda: Stretch("bed", 500.0, to_mm, 1.0), lambda: Flooded("bed", 500.0, to_mm, 30.0)):
        with pytest.raises(UsageError, match=r"bed from 500\.0 mm to .* an end behind its beginning; measure both ends again"):
            kind()


def test_oil_in_a_narrow_bore_weighs_more() -> None:
    """In a wide bore the bar carries the oil it displaces, in a narrow one many times that."""
    wide, narrow = (Flooded("oil", 0.0, 1.0, bore, 900.0).added_kg_m(area_mm2=314.0, radius_mm=10.0) for bore in (2000.0, 21.0))
    assert wide == pytest.approx(0.2826, rel=1e-3)
    assert narrow == pytest.approx(0.2826 * (10.5**2 + 100.0) / (10.5**2 - 100.0))


@pytest.mark.parametrize("bore_mm", [20.0, 15.0])
def test_an_oil_bore_that_the_bar_does_not_pass_is_refused(bore_mm: float) -> None:
    """A bore as wide as the bar over its corners, or narrower, is refused in itself and in the mesh."""
    oil = Flooded("channel", 0.0, 500.0, bore_mm)
    with pytest.raises(UsageError, match=r"over its corners 20\.00 mm in channel.*choose a channel or liner that the bar passes"):
        oil.added_kg_m(area_mm2=314.0, radius_mm=10.0)
    with pytest.raises(UsageError, match="over its corners"):
        mesh([BAR], [Supports((clamped("a", at_mm=0.0),), oil=(oil,))], [1000.0])


def test_oil_asks_for_the_size_of_the_bar() -> None:
    """A bar whose radius or area was not given cannot be put into oil."""
    oil = Flooded("channel", 0.0, 500.0, 40.0)
    for area, radius in ((0.0, 10.0), (300.0, 0.0)):
        with pytest.raises(UsageError, match=r"section area|bar radius"):
            oil.added_kg_m(area_mm2=area, radius_mm=radius)


def test_joints_lie_where_something_stands() -> None:
    """Both ends, every support, mass, and end of a bed or of oil within the bar, and the marks asked for."""
    assert joints_of(FULL, 2700.0, [2600.0]).tolist() == [0.0, 300.0, 400.0, 900.0, 1000.0, 2500.0, 2600.0, 2700.0]
    assert joints_of(FULL, 400.2).tolist() == [0.0, 300.0, 400.2]


def test_places_that_nearly_coincide_are_one() -> None:
    """Places closer than half a millimetre share a joint; the bar's length stays."""
    close = Supports((rigid("a", at_mm=0.3), rigid("b", at_mm=500.0), rigid("c", at_mm=500.4), rigid("d", at_mm=999.8)))
    assert joints_of(close, 1000.0).tolist() == [0.0, 500.0, 1000.0]
    bar = mesh([BAR], [close], [1000.0])
    assert np.isinf(bar.lateral_n_per_mm[:, 0]).all()


def test_the_longest_pieces_are_cut_further() -> None:
    """The joints stay, and the pieces become as even as they allow."""
    joints = refined(np.array([0.0, 100.0, 700.0, 1000.0]), 6)
    assert joints.tolist() == [0.0, 100.0, 300.0, 500.0, 700.0, 850.0, 1000.0]
    assert refined(np.array([0.0, 5.0, 7.0]), 1).tolist() == [0.0, 5.0, 7.0]


def test_everything_comes_to_stand_where_it_belongs() -> None:
    """Stiffness and mass at their joints, bed and oil in their pieces, the pusher at the end, nothing beyond the bar."""
    bar = mesh([BAR], [FULL], [2700.0, 950.0])
    joints = bar.joints_mm()
    at = {round(x): i for i, x in enumerate(joints[:, 0].tolist())}
    assert bar.lateral_n_per_mm[[at[0], at[400], at[900]], 0].tolist() == [1000.0, math.inf, 500.0]
    assert (bar.rotational_n_mm[0, 0], bar.joint_kg[at[300], 0]) == (2e6, 0.25)
    assert (bar.lateral_n_per_mm[-1, 0], bar.rotational_n_mm[-1, 0], bar.joint_kg[-1, 0]) == (20.0, 300.0, 0.7)
    middles = bar.middles_mm()[:, 0]
    assert (bar.bedding_mpa[:, 0] == np.where(middles > 1000.0, 0.5, 0.0)).all()
    soaked = 2.0 + FULL.oil[0].added_kg_m(area_mm2=300.0, radius_mm=10.0)
    assert np.allclose(bar.mass_kg_m[:, 0], np.where((middles > 1000.0) & (middles < 2500.0), soaked, 2.0))
    # The shorter bar keeps its length and has left the bed.
    assert joints[-1].tolist() == pytest.approx([2700.0, 950.0])
    assert not bar.bedding_mpa[:, 1].any()
    assert bar.lateral_n_per_mm[-1, 1] == 20.0
    # A bar too short for a support or a ring is without them, and rests on its pusher instead.
    short = mesh([BAR], [FULL], [250.0])
    assert short.lateral_n_per_mm[:, 0].tolist() == [1000.0, 20.0]
    assert short.joint_kg[:, 0].tolist() == [0.0, 0.7]


def test_bars_of_different_layouts_share_a_mesh() -> None:
    """Cases run over the bars within each length; a layout with fewer joints is cut to as many pieces."""
    plain = Supports((clamped("a", at_mm=0.0),))
    bar = mesh([BAR, Beam(5e8, 1.0)], [FULL, plain], [2000.0, 1500.0])
    assert bar.cases == 4
    assert bar.ei_n_mm2.tolist() == [1e9, 5e8, 1e9, 5e8]
    assert bar.piece_mm.sum(axis=0).tolist() == pytest.approx([2000.0, 2000.0, 1500.0, 1500.0])
    assert bar.lateral_n_per_mm[0].tolist() == [1000.0, math.inf, 1000.0, math.inf]
    assert (bar.piece_mm > 0.0).all()
    second = bar.take(np.array([False, True, False, False]))
    assert (second.cases, second.ei_n_mm2.tolist()) == (1, [5e8])


def test_layouts_that_share_their_places_by_chance_stay_apart() -> None:
    """A support and a mass at the same place, or a bed and oil over the same length, are not taken for one another."""
    ends = (clamped("a", at_mm=0.0),)
    point = Supports((*ends, Support("b", 500.0, 7.0)))
    ring = Supports(ends, masses=(Mass("b", 500.0, 7.0),))
    bed = Supports(ends, stretches=(Stretch("s", 200.0, 600.0, 3.0),))
    oil = Supports(ends, oil=(Flooded("s", 200.0, 600.0, 40.0),))
    bar = mesh([BAR], [point, ring, bed, oil], [1000.0])
    assert bar.lateral_n_per_mm[1:].sum(axis=0).tolist() == [7.0, 0.0, 0.0, 0.0]
    assert bar.joint_kg.sum(axis=0).tolist() == [0.0, 7.0, 0.0, 0.0]
    assert bar.bedding_mpa.max(axis=0).tolist() == [0.0, 0.0, 3.0, 0.0]
    assert (bar.mass_kg_m.max(axis=0) > 2.0).tolist() == [False, False, False, True]


def test_a_single_bar_or_set_of_supports_goes_with_all() -> None:
    """One bar is paired with all supports and one set of supports with all bars."""
    other = Beam(2e9, 3.0)
    assert paired([BAR], [FULL, Supports()]) == ([BAR, BAR], [FULL, Supports()])
    assert paired([BAR, other], [FULL]) == ([BAR, other], [FULL, FULL])
    assert paired([BAR, other], [FULL, Supports()]) == ([BAR, other], [FULL, Supports()])


@pytest.mark.parametrize(("bars", "sets"), [(0, 1), (1, 0), (0, 0), (2, 3), (3, 2)])
def test_bars_and_supports_that_do_not_go_together_are_refused(bars: int, sets: int) -> None:
    """Two bars and three sets of supports, or none of either, are refused."""
    with pytest.raises(UsageError, match=f"bars and supports {bars} and {sets}.*give each bar its supports"):
        mesh([BAR] * bars, [FULL] * sets, [1000.0])


ROD = Pusher(0.8, 50.0, rod_ei_n_mm2=1e8, guided_mm=((-100.0, 300.0), (1000.0, 3000.0)))


@pytest.mark.parametrize(
    ("length_mm", "overhang_mm"),
    [(200.0, 0.0), (300.0, 0.0), (300.1, 699.9), (800.0, 200.0), (1000.0, 0.0), (3000.0, 0.0), (3500.0, 0.0)],
)
def test_the_rod_stands_out_of_the_next_tube(length_mm: float, overhang_mm: float) -> None:
    """In a tube it does not stand out; between tubes it reaches ahead of the one behind; behind the last it is guided again."""
    assert ROD.overhang_mm(length_mm=length_mm) == pytest.approx(overhang_mm)
    softness = 1.0 / 50.0 + overhang_mm**3 / 3e8
    assert ROD.lateral_at(length_mm=length_mm) == pytest.approx(1.0 / softness)


def test_a_rod_holds_the_less_the_farther_it_reaches() -> None:
    """Standing out from 0 to 700 mm the bar's end is held ever less, in the mesh too."""
    lengths = [1000.0 - 100.0 * i for i in range(7)]
    held = [ROD.lateral_at(length_mm=x) for x in lengths]
    assert held == sorted(held, reverse=True)
    assert held[-1] < held[0] / 30.0
    bar = mesh([BAR], [Supports((clamped("a", at_mm=0.0),), pusher=ROD)], lengths)
    assert bar.lateral_n_per_mm[-1].tolist() == held


def test_a_rod_without_guide_or_that_does_not_bend() -> None:
    """A guide that holds nothing holds nothing farther out; a rod that does not bend holds as its guide does, rigid or not."""
    tubes = ((1000.0, 3000.0),)
    assert Pusher(0.8, 0.0, rod_ei_n_mm2=1e8, guided_mm=tubes).lateral_at(length_mm=500.0) == 0.0
    assert Pusher(0.8, 50.0, guided_mm=tubes).lateral_at(length_mm=500.0) == 50.0
    assert Pusher(0.8, math.inf, guided_mm=tubes).lateral_at(length_mm=500.0) == math.inf
    assert Pusher(0.8, math.inf, rod_ei_n_mm2=1e8, guided_mm=tubes).lateral_at(length_mm=500.0) == pytest.approx(3e8 / 500.0**3)


def test_a_rod_takes_its_factor_with_the_guide() -> None:
    """Twice as stiff in guide and rod the bar's end is held twice as stiffly, however far the rod stands out."""
    twice = Supports(pusher=ROD).scaled(2.0).pusher
    for length_mm in (200.0, 500.0, 2000.0):
        assert twice.lateral_at(length_mm=length_mm) == pytest.approx(2.0 * ROD.lateral_at(length_mm=length_mm))


@pytest.mark.parametrize("tube", [(500.0, 500.0), (500.0, 400.0), (0.0, math.inf), (math.nan, 1.0), (-50.0, -10.0)])
def test_a_tube_that_guides_nothing_is_refused(tube: tuple[float, float]) -> None:
    """Reversed, endless, missing, or wholly ahead of the bar."""
    with pytest.raises(UsageError, match="guide of the pusher"):
        Pusher(1.0, guided_mm=(tube,))


@pytest.mark.parametrize("rod", [0.0, -1.0, math.nan])
def test_a_rod_that_is_none_is_refused(rod: float) -> None:
    """A rod resists bending, or is taken as one that does not bend."""
    with pytest.raises(UsageError, match="bending stiffness of the pusher"):
        Pusher(1.0, rod_ei_n_mm2=rod)
