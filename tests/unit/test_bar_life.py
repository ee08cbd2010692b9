"""Whip over the life of a bar: nothing slips between the samples, the band is one, and the cause is the one that was planted."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from standoff.bar.beam import beam
from standoff.bar.life import Cause, cause_at, event_lengths, over_life, sampled_band
from standoff.bar.materials import material
from standoff.bar.section import Section, Shape
from standoff.bar.supports import Flooded, Mass, Pusher, Stretch, Support, Supports, clamped, rigid
from standoff.bar.whip import critical_speed, critical_speeds
from standoff.errors import UsageError

BAR = beam(Section(Shape.ROUND, 16.0), material("steel"))
# Full bar and last piece are both well held; in between the bar's end, with the pusher on it, leaves one support after the other.
STEPS = Supports(
    (
        Support("nose", 0.0, 1300.0),
        Support("bushing", 300.0, 1700.0),
        Support("first rest", 1269.0, 3500.0),
        Support("second rest", 1913.0, 2500.0),
        Support("third rest", 2520.0, 70_000.0),
    ),
    pusher=Pusher(1.0),
    liner=(Stretch("liner", 700.0, 3100.0, 0.005),),
)
SHORTEST_MM, LONGEST_MM = 400.0, 3100.0


def rpm(supports: Supports, length_mm: float) -> float:
    """The lowest critical speed at one length."""
    return critical_speed(BAR, supports, length_mm=length_mm).whip_rpm


def test_the_worst_length_lies_between_even_samples() -> None:
    """60 even samples overlook the piece that has just left the first rest, and overstate the least speed by 7 %."""
    life = over_life(BAR, STEPS, shortest_mm=SHORTEST_MM, longest_mm=LONGEST_MM)
    even = critical_speeds([BAR], [STEPS], np.linspace(SHORTEST_MM, LONGEST_MM, 60).tolist()).whip_rpm.min()
    assert even > 1.05 * life.worst.whip_rpm
    assert life.worst.length_mm == pytest.approx(1269.0, abs=1e-5)
    assert life.worst.length_mm < 1269.0
    assert life.worst.cause.just_left == "first rest"
    # At the rest the same bar is far from it.
    assert rpm(STEPS, 1269.0) > 1.5 * life.worst.whip_rpm


@pytest.mark.parametrize("mass_kg", [0.0, 0.4, 2.0])
def test_no_length_is_worse_than_the_worst(mass_kg: float) -> None:
    """3001 lengths, nominal and soft: none lies below what was found, and the curves are those of the solver."""
    supports = replace(STEPS, pusher=Pusher(mass_kg, 20.0))
    life = over_life(BAR, supports, shortest_mm=SHORTEST_MM, longest_mm=LONGEST_MM)
    dense = np.linspace(SHORTEST_MM, LONGEST_MM, 3001).tolist()
    least = critical_speeds([BAR], [supports, supports.scaled(1.0 / 3.0)], dense).whip_rpm.min(axis=0)
    assert life.worst.whip_rpm <= least[0] * (1.0 + 1e-4)
    assert life.worst_soft_rpm <= least[1] * (1.0 + 1e-4)
    assert life.whip_rpm.min() == life.worst.whip_rpm == pytest.approx(rpm(supports, life.worst.length_mm), rel=2e-6)


def test_a_trough_between_events_is_looked_at_closer() -> None:
    """Few samples around a smooth trough: the closer look finds it to 0.1 %, for nominal and for soft supports."""
    # A rod that stands out farther and farther softens the bar's end while the bar gets shorter and stiffer.
    rod = Pusher(0.5, 2000.0, rod_ei_n_mm2=4e8, guided_mm=((1500.0, 4000.0),))
    smooth = Supports((clamped("chuck", at_mm=0.0),), pusher=rod)
    life = over_life(BAR, smooth, shortest_mm=300.0, longest_mm=1490.0, samples=9)
    dense = np.linspace(300.0, 1490.0, 2000).tolist()
    curves = critical_speeds([BAR], [smooth, smooth.scaled(1.0 / 3.0)], dense).whip_rpm
    assert life.worst.whip_rpm <= curves[:, 0].min() * 1.001
    assert life.worst_soft_rpm <= curves[:, 1].min() * 1.001
    assert len(life.lengths_mm) > 9


def test_events_are_looked_at_from_both_sides() -> None:
    """Support, mass, bed, oil and liner: just short of each place and at it; a tube of the pusher: at its end and behind."""
    supports = Supports(
        (Support("a", 500.0, 1.0), Support("far", 9000.0, 1.0)),
        stretches=(Stretch("b", 600.0, 700.0, 1.0),),
        liner=(Stretch("c", 800.0, 900.0, 1.0),),
        oil=(Flooded("d", 1000.0, 1100.0, 30.0),),
        masses=(Mass("e", 1200.0, 1.0),),
        pusher=Pusher(1.0, 1.0, guided_mm=((100.0, 1300.0),)),
    )
    events = event_lengths(supports, shortest_mm=450.0, longest_mm=2000.0)
    assert list(events) == sorted(events)
    for place in (500.0, 600.0, 700.0, 800.0, 900.0, 1000.0, 1100.0, 1200.0):
        before, at = (x for x in events if abs(x - place) < 0.01)
        assert before < at == place
    at, behind = (x for x in events if abs(x - 1300.0) < 0.01)
    assert 1300.0 == at < behind
    assert len(events) == 18
    assert supports.pusher.overhang_mm(length_mm=behind) == 0.0


def test_events_outside_the_life_are_left_out() -> None:
    """A place at the full length is looked at from inside, one just beyond it only if its near side is within."""
    one = Supports((Support("a", 500.0, 1.0),))
    assert len(event_lengths(one, shortest_mm=100.0, longest_mm=500.0)) == 2
    assert event_lengths(one, shortest_mm=500.0, longest_mm=900.0) == (500.0,)
    assert event_lengths(one, shortest_mm=501.0, longest_mm=900.0) == ()


def test_the_band_lies_about_the_curve() -> None:
    """All soft below, all stiff above, at every length; its ends are the solver's; a factor of 1 leaves no band."""
    life = over_life(BAR, STEPS, shortest_mm=SHORTEST_MM, longest_mm=LONGEST_MM, samples=20, band_factor=2.0)
    assert (life.soft_rpm <= life.whip_rpm).all()
    assert (life.whip_rpm <= life.stiff_rpm).all()
    assert life.soft_rpm.max() < life.stiff_rpm.max()
    at = len(life.lengths_mm) // 2
    length_mm = float(life.lengths_mm[at])
    assert life.soft_rpm[at] == pytest.approx(rpm(STEPS.scaled(0.5), length_mm), rel=2e-6)
    assert life.stiff_rpm[at] == pytest.approx(rpm(STEPS.scaled(2.0), length_mm), rel=2e-6)
    assert life.worst_soft_rpm == life.soft_rpm.min()
    none = over_life(BAR, STEPS, shortest_mm=SHORTEST_MM, longest_mm=LONGEST_MM, samples=5, band_factor=1.0)
    assert none.soft_rpm == pytest.approx(none.stiff_rpm, rel=2e-6)


def test_the_liner_stands_beside() -> None:
    """Resting on its liner the bar whips later wherever it reaches it; the curve itself does not know of the liner."""
    life = over_life(BAR, STEPS, shortest_mm=SHORTEST_MM, longest_mm=LONGEST_MM, samples=20)
    reached = life.lengths_mm > 701.0
    assert (life.on_liner_rpm[reached] > life.whip_rpm[reached]).all()
    assert life.on_liner_rpm[~reached] == pytest.approx(life.whip_rpm[~reached], rel=2e-6)
    without = over_life(BAR, replace(STEPS, liner=()), shortest_mm=SHORTEST_MM, longest_mm=LONGEST_MM, samples=20)
    assert without.worst.whip_rpm == pytest.approx(life.worst.whip_rpm, rel=2e-6)


def test_a_life_in_which_the_feed_force_buckles_the_bar() -> None:
    """The longest overhang buckles: the worst speed is 0 and its cause says why; shorter pieces keep their speed."""
    chuck = Supports((clamped("chuck", at_mm=0.0),), axial_n=100.0)
    buckles_mm = math.sqrt(math.pi**2 * BAR.ei_n_mm2 / 4.0 / 100.0)
    life = over_life(BAR, chuck, shortest_mm=300.0, longest_mm=1.2 * buckles_mm, samples=30)
    assert life.worst.whip_rpm == 0.0
    assert life.worst.cause.buckled
    assert life.worst.cause.text() == "the feed force buckles the bar between chuck and the bar's rear end"
    assert (life.worst.cause.softest, life.worst.cause.softest_share) == ("nothing", 0.0)
    assert ((life.whip_rpm > 0.0) == (life.lengths_mm < buckles_mm)).all()


def test_the_cause_names_where_the_bar_swings() -> None:
    """Of three spans the long one, between the supports that bound it; a rigid support holds no energy."""
    spans = Supports((rigid("a", at_mm=0.0), rigid("b", at_mm=400.0), rigid("c", at_mm=1600.0), rigid("d", at_mm=2000.0)))
    cause = cause_at(BAR, spans, length_mm=2000.0)
    assert cause == Cause(("b", "c"), None, "nothing", 0.0)
    assert cause.text() == "the bar swings most between b and c"


def test_the_cause_names_ends_and_beds() -> None:
    """Ahead of the first support it is the front end that swings; a bed counts where it begins, an idle support not at all."""
    ahead = Supports((rigid("b", at_mm=700.0), rigid("c", at_mm=900.0), Support("idle", 50.0, 0.0)))
    assert cause_at(BAR, ahead, length_mm=950.0).between == ("the bar's front end", "b")
    bed = Supports(
        (clamped("a", at_mm=0.0),), stretches=(Stretch("channel", 1500.0, 2500.0, 5.0), Stretch("idle", 50.0, 90.0, 0.0))
    )
    cause = cause_at(BAR, bed, length_mm=2000.0)
    assert cause.between == ("a", "channel")
    assert cause.softest == "channel"


STIFF = (Support("a", 0.0, 1e5), Support("b", 500.0, 1e5))


@pytest.mark.parametrize(
    ("soft", "supports"),
    [
        ("a", Supports((Support("a", 0.0, 0.2), STIFF[1]))),
        ("b", Supports((STIFF[0], Support("b", 500.0, 0.2)))),
        ("channel", Supports(STIFF[:1], stretches=(Stretch("channel", 300.0, 500.0, 1e-4),))),
        ("the pusher's guide", Supports(STIFF[:1], pusher=Pusher(1.0, 0.2))),
        ("the pusher's guide", Supports(STIFF[:1], pusher=Pusher(1.0, 0.0, 10.0))),
        ("a", Supports((Support("a", 0.0, 1e5, 10.0),))),
    ],
)
def test_the_cause_names_the_support_that_gives(soft: str, supports: Supports) -> None:
    """Whichever part is soft, sideways or in tilting, holds nearly all the energy of the mode and is named with its share."""
    cause = cause_at(BAR, supports, length_mm=500.0)
    assert cause.softest == soft
    assert cause.softest_share == pytest.approx(1.0, abs=0.02)
    assert f"; {soft} holds" in cause.text()


def test_parts_of_one_name_are_summed() -> None:
    """A support named twice holds the energy of both of its places."""
    twice = Supports((Support("rest", 0.0, 0.2), Support("rest", 500.0, 0.2)))
    assert cause_at(BAR, twice, length_mm=500.0).softest_share > 0.95


def test_what_was_left_long_ago_is_not_just_left() -> None:
    """Only the support at the bar's very end is named as just left."""
    assert cause_at(BAR, STEPS, length_mm=1269.0 * (1.0 - 1e-9)).text().startswith("its end has just left first rest; the bar")
    assert cause_at(BAR, STEPS, length_mm=1268.0).just_left is None
    assert cause_at(BAR, STEPS, length_mm=1269.0).just_left is None


def test_a_sampled_band_lies_within_the_band() -> None:
    """Drawn each for itself, the stiffnesses spread less than all soft to all stiff; the same seed gives the same band."""
    lengths = [500.0, 1268.9, 2400.0]
    band, again, wider = (
        sampled_band(BAR, STEPS, lengths, generator=np.random.default_rng(5), samples=200, band_factor=x) for x in (3.0, 3.0, 5.0)
    )
    kinds = [STEPS.scaled(1.0 / 3.0), STEPS, STEPS.scaled(3.0)]
    soft, nominal, stiff = critical_speeds([BAR], kinds, lengths).whip_rpm.T
    assert (soft < band.low_rpm).all()
    assert (band.low_rpm < band.middle_rpm).all()
    assert (band.middle_rpm < band.high_rpm).all()
    assert (band.high_rpm < stiff).all()
    assert band.middle_rpm == pytest.approx(nominal, rel=0.1)
    assert (band.low_rpm == again.low_rpm).all()
    assert (wider.high_rpm - wider.low_rpm > band.high_rpm - band.low_rpm).all()
    assert band.lengths_mm.tolist() == lengths


NO_BAND: list[tuple[float, int]] = [(0.9, 10), (0.0, 10), (-2.0, 10), (math.nan, 10), (math.inf, 10), (3.0, 1), (3.0, 0)]


@pytest.mark.parametrize(("band_factor", "samples"), NO_BAND)
@pytest.mark.parametrize(
    "call",
    [
        lambda b, n: over_life(BAR, STEPS, shortest_mm=400.0, longest_mm=900.0, samples=n, band_factor=b),
        lambda b, n: sampled_band(BAR, STEPS, [500.0], generator=np.random.default_rng(0), samples=n, band_factor=b),
    ],
)
def test_a_band_that_is_none_is_refused(call: Callable[[float, int], object], band_factor: float, samples: int) -> None:
    """A factor below 1, no number, or a single sample."""
    with pytest.raises(UsageError, match=r"band .*(correct the factor or the samples|measure the band factor again)"):
        call(band_factor, samples)


@pytest.mark.parametrize(
    ("shortest_mm", "longest_mm", "what"),
    [
        (0.0, 900.0, "shortest length"),
        (-1.0, 900.0, "shortest length"),
        (math.nan, 900.0, "shortest length"),
        (400.0, math.nan, "full length"),
        (400.0, math.inf, "full length"),
        (400.0, 0.0, "full length"),
        (400.0, 400.0, "life of a bar"),
        (400.0, 300.0, "life of a bar"),
        (250.0, 900.0, "bar"),
    ],
)
def test_a_life_that_is_none_is_refused(shortest_mm: float, longest_mm: float, what: str) -> None:
    """Lengths that are none, reversed, or at which nothing holds the bar."""
    with pytest.raises(UsageError) as refusal:
        over_life(BAR, STEPS, shortest_mm=shortest_mm, longest_mm=longest_mm)
    assert refusal.value.what == what
