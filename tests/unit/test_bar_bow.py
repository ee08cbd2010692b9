"""Bow: where a bar that is not straight begins to touch, against the exact solution of a bowed span and against random shapes."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from standoff.bar import bow
from standoff.bar.beam import Beam, beam
from standoff.bar.bow import KNOT_MM, UNTOUCHED_RATIO, Clearance, Touch, amplification_factor, single_span_touch_ratio, touch
from standoff.bar.buckling import Ends, euler_n
from standoff.bar.materials import material
from standoff.bar.mesh import mesh
from standoff.bar.section import Section, Shape
from standoff.bar.supports import Mass, Pusher, Stretch, Support, Supports, clamped, rigid
from standoff.bar.whip import critical_speed
from standoff.errors import UsageError

STEEL = beam(Section(Shape.ROUND, 20.0), material("steel"))
SPAN_MM = 1200.0
# Without weight nothing sags, so that bow alone is seen; its whip speed does not matter to the shares.
LIGHT = Beam(STEEL.ei_n_mm2, 1e-6)
PINNED = Supports((rigid("front", at_mm=0.0), rigid("rear", at_mm=SPAN_MM)))
MACHINE = Supports(
    (
        Support("collet", 0.0, 20_000.0, 1e7),
        Support("bushing", 350.0, 3000.0),
        Support("rest", 1500.0, 2000.0),
        rigid("end", at_mm=2700.0),
    ),
    pusher=Pusher(0.8),
)


class OneWay(np.random.Generator):
    """Random numbers that all come out alike: every knot bends the same way, which makes a constant arc."""

    def __init__(self) -> None:
        super().__init__(np.random.PCG64(0))

    def choice(self, a: object, size: object = None, **_: object) -> np.ndarray:  # type: ignore[override]
        """Ones only."""
        assert isinstance(size, tuple)
        return np.ones(size)


def touching(
    radial_mm: float,
    *,
    bar: Beam = LIGHT,
    supports: Supports = PINNED,
    lengths_mm: tuple[float, ...] = (SPAN_MM,),
    straightness_mm_per_m: float = 1.0,
    generator: np.random.Generator | None = None,
    shapes: int = 8,
    to_mm: float = 4000.0,
) -> Touch:
    """Where bars of this straightness touch a tube all along them."""
    return touch(
        [bar],
        [supports],
        lengths_mm,
        clearances=[Clearance("tube", 0.0, to_mm, radial_mm)],
        straightness_mm_per_m=straightness_mm_per_m,
        generator=generator or np.random.default_rng(1),
        shapes=shapes,
    )


def arc_at_midspan_mm(ratio: float, *, straightness_mm_per_m: float = 1.0) -> float:
    """The swing at midspan of a pinned span bowed in an even arc, from EI w'''' = rho A W^2 w with w'' given at the ends."""
    curvature, half = 8e-6 * straightness_mm_per_m, math.pi * math.sqrt(ratio) / 2.0
    beta = 2.0 * half / SPAN_MM
    return curvature / (2.0 * beta**2) * (1.0 / math.cos(half) - 1.0 / math.cosh(half))


@pytest.mark.parametrize("ratio", [0.2, 0.5, 0.7, 0.85, 0.94, 0.98])
def test_a_pinned_span_touches_where_the_exact_solution_does(ratio: float) -> None:
    """With as much room as the arc needs at this share of the whip speed, it touches just there, and is free just below."""
    found = touching(arc_at_midspan_mm(ratio), generator=OneWay())
    # Of one span the worst shape is the arc: every bit of curvature pushes midspan the same way.
    assert found.worst_ratio[0, 0] == pytest.approx(ratio, abs=0.006)
    assert found.random_ratio[0, 0] == pytest.approx(np.full(8, ratio), abs=0.006)
    assert found.worst_ratio[0, 0] <= ratio + 1e-3


@pytest.mark.parametrize("ratio", [0.3, 0.6, 0.9])
def test_bowed_like_its_first_mode_a_span_swings_by_the_amplification(ratio: float) -> None:
    """A half wave of bow a0 touches c = a0/(1 - r^2) at r, and an arc of the same rise within 1 % of it."""
    rise_mm = 8e-6 * SPAN_MM**2 / 8.0
    room_mm = rise_mm * amplification_factor(speed_ratio=ratio)
    assert single_span_touch_ratio(bow_mm=rise_mm, clearance_mm=room_mm) == pytest.approx(ratio)
    assert touching(room_mm).worst_ratio[0, 0] == pytest.approx(ratio, abs=0.01)


def test_a_bow_larger_than_the_room_touches_at_rest() -> None:
    """The arc's rise is kappa L^2/8: with a trace less room the bar touches at rest, with a trace more it does not."""
    rise_mm = 8e-6 * SPAN_MM**2 / 8.0
    assert touching(0.999 * rise_mm).worst_ratio[0, 0] == 0.0
    assert touching(1.01 * rise_mm).worst_ratio[0, 0] > 0.05
    assert touching(0.0).worst_ratio[0, 0] == 0.0


def test_a_straight_bar_touches_nothing() -> None:
    """Without bow and weight a bar stays free up to the last share that is looked at."""
    found = touching(0.01, straightness_mm_per_m=0.0)
    assert found.worst_ratio[0, 0] == UNTOUCHED_RATIO
    assert (found.random_ratio == UNTOUCHED_RATIO).all()


@pytest.mark.parametrize("seed", range(6))
def test_no_random_shape_touches_before_the_worst(seed: int) -> None:
    """On several supports, at several lengths, the worst shape bounds every random one; speeds are shares of the whip speed."""
    rng = np.random.default_rng(seed)
    lengths = tuple(rng.uniform(2750.0, 3600.0, 3).tolist())
    found = touching(float(rng.uniform(1.0, 6.0)), bar=STEEL, supports=MACHINE, lengths_mm=lengths, generator=rng, shapes=40)
    assert found.random_ratio.shape == (3, 1, 40)
    assert (found.random_ratio >= found.worst_ratio[..., None] - 1e-3).all()
    assert np.allclose(found.worst_rpm, found.worst_ratio * found.whip_rpm)
    assert np.allclose(found.random_rpm[1, 0], found.random_ratio[1, 0] * found.whip_rpm[1, 0])
    for i, length_mm in enumerate(lengths):
        assert found.whip_rpm[i, 0] == pytest.approx(critical_speed(STEEL, MACHINE, length_mm=length_mm).whip_rpm, rel=2e-6)


def test_an_even_arc_hides_what_the_worst_shape_shows() -> None:
    """On several supports an arc is nearly straightened: it touches far later than the worst bar of the same straightness."""
    spans = Supports(tuple(rigid(f"{i}", at_mm=600.0 * i) for i in range(6)))
    arc = touching(0.45, supports=spans, lengths_mm=(3000.0,), generator=OneWay())
    assert arc.random_ratio[0, 0, 0] > arc.worst_ratio[0, 0] + 0.2
    assert touching(0.45, supports=spans, lengths_mm=(3000.0,)).worst_ratio[0, 0] == arc.worst_ratio[0, 0]


def test_less_straight_or_less_room_touches_earlier() -> None:
    """The share falls with the deviation and rises with the room."""
    by_bow = [touching(3.0, straightness_mm_per_m=s).worst_ratio[0, 0] for s in (0.2, 0.5, 1.0, 1.5)]
    by_room = [touching(c).worst_ratio[0, 0] for c in (1.5, 2.0, 4.0, 8.0)]
    assert by_bow == sorted(by_bow, reverse=True)
    assert by_room == sorted(by_room)
    assert len(set(by_bow)) == len(set(by_room)) == 4


def test_the_same_seed_draws_the_same_shapes() -> None:
    """Random shapes differ from each other and repeat with their seed."""
    one, two = (touching(2.5, supports=MACHINE, lengths_mm=(3000.0,), generator=np.random.default_rng(7)) for _ in range(2))
    assert (one.random_ratio == two.random_ratio).all()
    assert len(set(one.random_ratio[0, 0].tolist())) > 3


@pytest.mark.parametrize(("hold", "divisor"), [(rigid, 384.0 / 5.0), (clamped, 384.0)], ids=["pinned", "clamped"])
def test_sag_is_that_of_the_handbook(hold: Callable[..., Support], divisor: float) -> None:
    """5 w L^4/384 EI of a pinned span, w L^4/384 EI of a clamped one."""
    slender = Beam(STEEL.ei_n_mm2, STEEL.mass_kg_m)
    ends = Supports((hold("a", at_mm=0.0), hold("b", at_mm=SPAN_MM)))
    expected = slender.weight_n_per_mm * SPAN_MM**4 / (divisor * slender.ei_n_mm2)
    assert touching(50.0, bar=slender, supports=ends).sag_mm[0, 0] == pytest.approx(expected, rel=1e-3)


def test_a_ring_makes_the_bar_sag() -> None:
    """A ring at midspan adds m g L^3/48 EI, and only what lies in the tube counts."""
    ring = replace(PINNED, masses=(Mass("ring", SPAN_MM / 2.0, 2.0),))
    expected = 2.0 * 9.80665 * SPAN_MM**3 / (48.0 * LIGHT.ei_n_mm2)
    assert touching(50.0, supports=ring).sag_mm[0, 0] == pytest.approx(expected, rel=1e-3)
    assert touching(50.0, supports=ring, to_mm=100.0).sag_mm[0, 0] < 0.3 * expected


def test_sag_uses_up_room() -> None:
    """A heavy bar in room c touches where a bar without weight touches in c less its sag; sag alone can fill the room."""
    heavy = Beam(LIGHT.ei_n_mm2, 4.0)
    sag_mm = float(touching(50.0, bar=heavy).sag_mm[0, 0])
    assert sag_mm > 0.3
    found = touching(3.0 + sag_mm, bar=heavy)
    assert found.worst_ratio[0, 0] == pytest.approx(touching(3.0).worst_ratio[0, 0], abs=0.01)
    assert found.worst_ratio[0, 0] < touching(3.0 + sag_mm).worst_ratio[0, 0] - 0.01
    full = touching(0.99 * sag_mm, bar=heavy, straightness_mm_per_m=0.0)
    assert full.worst_ratio[0, 0] == 0.0
    assert (full.random_ratio == 0.0).all()


def test_only_the_tube_counts_and_the_narrower_of_two() -> None:
    """A bar that swings at midspan is free in a tube at its end; where two tubes overlap the narrower one governs."""
    assert touching(1.6, to_mm=60.0).worst_ratio[0, 0] > touching(1.6).worst_ratio[0, 0] + 0.1
    wide, narrow = Clearance("tube", 0.0, 4000.0, 9.0), Clearance("sleeve", 550.0, 650.0, 2.0)
    rng = np.random.default_rng(0)
    both, turned, alone = (
        touch([LIGHT], [PINNED], [SPAN_MM], clearances=tubes, straightness_mm_per_m=1.0, generator=rng).worst_ratio[0, 0]
        for tubes in ([wide, narrow], [narrow, wide], [narrow])
    )
    assert both == turned == alone < touching(9.0).worst_ratio[0, 0]


def test_a_bar_too_short_for_any_tube_touches_none() -> None:
    """Where no length reaches a tube nothing is touched; beside a longer bar that does, the same."""
    held = Supports((clamped("chuck", at_mm=0.0),))
    tube = [Clearance("channel", 1000.0, 3000.0, 2.0)]
    for lengths in ([500.0], [500.0, 1500.0]):
        found = touch([LIGHT], [held], lengths, clearances=tube, straightness_mm_per_m=1.0, generator=np.random.default_rng(0))
        assert found.worst_ratio[0, 0] == UNTOUCHED_RATIO
        assert (found.random_ratio[0] == UNTOUCHED_RATIO).all()
        assert found.sag_mm[0, 0] == 0.0
    assert found.worst_ratio[1, 0] < UNTOUCHED_RATIO


def test_a_random_bar_keeps_its_shape_as_it_is_used_up() -> None:
    """Knots go with the rear end: cut by a whole knot, the bar that is left has the curvature it had."""
    knots = np.random.default_rng(3).choice([-1.0, 1.0], (2, 9))
    long, short = (
        bow._along(mesh([LIGHT], [PINNED], [length_mm], pieces=round(length_mm / 50.0)), knots)[:, :, 0]
        for length_mm in (3000.0, 3000.0 - 2.0 * KNOT_MM)
    )
    assert np.allclose(long[-len(short) :], short)
    assert np.abs(long).max() <= 1.0
    assert long.min() < 0.0 < long.max()


def test_chunks_do_not_show(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two cases at a time give what all give at once."""
    lengths = (2800.0, 2900.0, 3000.0, 3100.0, 3200.0)
    whole = touching(3.0, bar=STEEL, supports=MACHINE, lengths_mm=lengths)
    monkeypatch.setattr(bow, "_CHUNK", 2)
    parts = touching(3.0, bar=STEEL, supports=MACHINE, lengths_mm=lengths)
    assert parts.worst_ratio == pytest.approx(whole.worst_ratio, abs=1e-3)
    assert parts.random_ratio == pytest.approx(whole.random_ratio, abs=1e-3)
    assert parts.sag_mm == pytest.approx(whole.sag_mm)


def test_the_feed_force_bends_a_bowed_bar_further() -> None:
    """At half its buckling force a span is bowed about twice as far at rest, and touches earlier; buckled, it is refused."""
    force_n = euler_n(LIGHT, gap_mm=SPAN_MM, ends=Ends.PINNED)
    rise_mm = 8e-6 * SPAN_MM**2 / 8.0
    pushed = replace(PINNED, axial_n=0.5 * force_n)
    assert touching(1.97 * rise_mm, supports=pushed).worst_ratio[0, 0] == 0.0
    assert touching(2.1 * rise_mm, supports=pushed).worst_ratio[0, 0] > 0.1
    assert touching(4.0 * rise_mm, supports=pushed).worst_ratio[0, 0] < touching(4.0 * rise_mm).worst_ratio[0, 0]
    with pytest.raises(UsageError, match="bar buckled by the feed force, expected a bar that holds; lower the feed force"):
        touching(3.0, supports=replace(PINNED, axial_n=1.01 * force_n))


def test_a_bed_carries_part_of_the_sag() -> None:
    """Borne all along, the same bar sags less and whips later."""
    borne = replace(PINNED, stretches=(Stretch("bed", 0.0, SPAN_MM, 0.1),))
    free, held = (touching(20.0, bar=STEEL, supports=s) for s in (PINNED, borne))
    assert held.sag_mm[0, 0] < free.sag_mm[0, 0]
    assert held.whip_rpm[0, 0] > free.whip_rpm[0, 0]


@pytest.mark.parametrize("given", [-0.1, math.nan, math.inf])
@pytest.mark.parametrize(
    ("call", "what"),
    [
        (lambda x: amplification_factor(speed_ratio=x), "speed ratio"),
        (lambda x: single_span_touch_ratio(bow_mm=x, clearance_mm=1.0), "bow"),
        (lambda x: single_span_touch_ratio(bow_mm=1.0, clearance_mm=x), "clearance"),
        (lambda x: single_span_touch_ratio(bow_mm=1.0, clearance_mm=1.0, sag_mm=x), "sag"),
        (lambda x: Clearance("tube", x, 1.0, 1.0), "beginning of tube"),
        (lambda x: Clearance("tube", 0.0, x, 1.0), "length of tube"),
        (lambda x: Clearance("tube", 0.0, 1.0, x), "clearance of tube"),
        (lambda x: touching(1.0, straightness_mm_per_m=x), "straightness"),
    ],
)
def test_nonsense_is_refused_by_name(call: Callable[[float], object], what: str, given: float) -> None:
    """Negative, missing and endless numbers are refused, and the refusal names which."""
    with pytest.raises(UsageError) as refusal:
        call(given)
    assert refusal.value.what == what


def test_nothing_is_said_of_the_critical_speed_and_above() -> None:
    """At 1 and above no amplification is given."""
    for ratio in (1.0, 1.3):
        with pytest.raises(UsageError, match=f"speed ratio {ratio}, expected below 1; stay below the lowest critical speed"):
            amplification_factor(speed_ratio=ratio)


def test_a_span_touching_at_rest() -> None:
    """Bow or sag that fills the room touches at rest."""
    assert single_span_touch_ratio(bow_mm=1.0, clearance_mm=1.0) == 0.0
    assert single_span_touch_ratio(bow_mm=0.0, clearance_mm=1.0, sag_mm=1.5) == 0.0
    assert single_span_touch_ratio(bow_mm=0.5, clearance_mm=2.0, sag_mm=1.5) == 0.0
    assert single_span_touch_ratio(bow_mm=0.5, clearance_mm=2.0, sag_mm=1.0) == pytest.approx(math.sqrt(0.5))


def test_touching_without_tube_or_shape_is_refused() -> None:
    """Where nothing can be touched, or no shape is asked for, there is no answer."""
    for clearances, shapes in (([], 5), ([Clearance("tube", 0.0, 500.0, 1.0)], 0)):
        with pytest.raises(UsageError, match=r"touching \d clearances, \d shapes.*say where the bar has how much room"):
            touch(
                [LIGHT],
                [PINNED],
                [SPAN_MM],
                clearances=clearances,
                straightness_mm_per_m=1.0,
                generator=np.random.default_rng(0),
                shapes=shapes,
            )
