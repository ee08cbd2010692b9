"""How hard may the bar be pushed? Floors and ceilings by hand, which place gives way first, and what is set against them."""

from __future__ import annotations

import math

import pytest

from standoff.job.pushing import STAGES, Pushing, pushing
from standoff.job.spans import spans, turning_states
from standoff.job.speed import Verdict
from tests.texts import altered
from tests.turning import STANDING, STANDOFF_MM, TURNING, Changes, demonstrated, first_bar, job_of, speed_of_first

EI_N_MM2 = 200e3 * math.pi * 16.0**4 / 64.0
WEIGHT_N_PER_MM = 7850.0 * math.pi * 8.0**2 * 1e-9 * 9.80665


def pushed(changes: Changes | None = None, *, text: str = TURNING, standoff_mm: float = STANDOFF_MM, more: str = "") -> Pushing:
    """The forces on the first bar, with these keys changed."""
    from_text = altered(text, changes or {}, more=more)
    job = job_of(from_text)
    bar = first_bar(from_text)
    held = [spans(job, bar, state, standoff_mm=standoff_mm, cut_mm=0.0) for state in turning_states(job)]
    return pushing(job, bar, held)


def test_it_gives_way_in_the_channel() -> None:
    """16 mm steel in a tube of 3800 mm with 8 mm of room: 2 sqrt(1759 x 708) = 2232 N; the gap of 880 mm bears 8200.

    Full it would bear two half-waves, 1759 + 708 N; but it is used up, and with 2390 mm of it in the tube it bears the least.
    """
    waves = 2.0 * math.pi / 3800.0
    by_hand = 2.0 * math.sqrt(EI_N_MM2 * waves**2 * WEIGHT_N_PER_MM / 8.0 / waves**2)
    found = pushed().buckling
    assert found.where == "inside channel"
    assert found.force_n == pytest.approx(by_hand)
    assert math.pi**2 * EI_N_MM2 / 880.0**2 > found.force_n


def test_it_gives_way_in_the_longest_gap_where_that_is_weaker() -> None:
    """With the rest gone and the channel close, Euler's column over 280 to 1430 mm, pinned ends: 4803 N."""
    found = pushed({"supports[3].bore": '"18.1 mm"', "supports[2].ahead": '"-30 mm"'}, standoff_mm=STANDOFF_MM).buckling
    by_hand = math.pi**2 * EI_N_MM2 / 1150.0**2
    assert found.where == "between main collet and channel"
    # Engesser's shear takes off another 0.1 %.
    assert found.force_n == pytest.approx(by_hand, rel=1e-3)
    assert found.force_n < by_hand


def test_the_longest_gap_of_all_states_counts() -> None:
    """880 mm at the front limit of the first mode, not the 670 of the second's rear limit."""
    close: Changes = {"supports[3].bore": '"16.5 mm"'}
    longest = {one.spans.where: one.spans.gap.length_mm for one in speed_of_first().courses}
    assert max(longest, key=longest.__getitem__) == "guide-bushing, front limit"
    expected = math.pi**2 * EI_N_MM2 / 880.0**2
    assert pushed(close).buckling.force_n == pytest.approx(expected, rel=2e-3)
    farther = pushed(close, standoff_mm=STANDOFF_MM + 50.0).buckling.force_n
    assert farther == pytest.approx(math.pi**2 * EI_N_MM2 / 930.0**2, rel=2e-3)


def test_the_ceiling_is_half_of_it() -> None:
    """Common practice, no published source: half the buckling force, unless the job states another share."""
    plain = pushed()
    assert plain.ceiling_n == pytest.approx(0.5 * plain.buckling.force_n)
    less = pushed(more="[bar_rules]\nbuckling_share = 0.25\n")
    assert less.ceiling_n == pytest.approx(0.25 * plain.buckling.force_n)
    assert less.buckling == plain.buckling


def test_the_floor_is_what_the_stage_needs_and_friction() -> None:
    """0.2 of the bar's 56.7 N and the pusher's 8.8 N are 13.1 N (common practice, no published source), on top of each stage."""
    found = pushed()
    rubbing_n = 0.2 * (WEIGHT_N_PER_MM * 3660.0 + 0.9 * 9.80665)
    assert {stage.key: stage.floor_n for stage in found.stages} == pytest.approx(
        {"pre_feed": 20.0 + rubbing_n, "insertion": 60.0 + rubbing_n, "hold": 30.0 + rubbing_n, "pull_out": 80.0 + rubbing_n}
    )
    assert rubbing_n == pytest.approx(13.1, abs=0.05)
    assert found.floor_n == pytest.approx(60.0 + rubbing_n)


def test_pulling_out_has_no_ceiling_and_sets_no_floor_for_pushing() -> None:
    """The bar is stretched: it cannot buckle; how hard to pull is not how hard to push."""
    found = pushed({"feed.pull_out": '"5000 N"'})
    assert [stage.key for stage in found.stages if stage.ceiling_n is None] == ["pull_out"]
    assert found.possible
    assert found.floor_n == pushed().floor_n


def test_what_a_stage_needs_may_be_unknown() -> None:
    """Friction alone is the floor then, and the stage says that its need was not stated."""
    found = pushed({"feed.pre_feed": None})
    stage = found.stages[0]
    assert (stage.key, stage.needed_n) == ("pre_feed", None)
    assert stage.floor_n == stage.friction_n > 0.0
    assert [stage.needed_n for stage in pushed(text=STANDING, standoff_mm=380.0).stages] == [None] * len(STAGES)


def test_more_friction_leaves_less_room() -> None:
    """Every floor rises with it; without friction only the need is left."""
    plain, dry = pushed(), pushed(more="[bar_rules]\nfriction = 0.5\n")
    assert all(high.floor_n > low.floor_n for high, low in zip(dry.stages, plain.stages, strict=True))
    assert pushed(more="[bar_rules]\nfriction = 0\n").floor_n == 60.0


def test_a_ceiling_below_the_floor_is_a_no() -> None:
    """A bar of 6 mm bears half of some 93 N: pressing it into the pusher collet with 60 is not to be had, holding with 30 is."""
    thin = speed_of_first({"bars[0].size": '"6 mm"', "feed.set_force": '"40 N"'})
    assert thin.pushing is not None
    assert not thin.pushing.possible
    assert [stage.key for stage in thin.pushing.stages if not stage.possible] == ["insertion"]
    assert thin.verdict is Verdict.NO_FORCE
    assert thin.limits  # what it could turn is told all the same


@pytest.mark.parametrize(
    ("set_force", "right"), [("73 N", False), ("74 N", True), ("1115 N", True), ("1116 N", False), (None, True)]
)
def test_what_is_set_lies_between_floor_and_ceiling(set_force: str | None, right: bool) -> None:
    """Floor 73.1 N, ceiling 1115.7 N; nothing set is nothing wrong."""
    said = pushed({"feed.set_force": set_force if set_force is None else f'"{set_force}"'})
    assert said.set_right is right
    assert said.possible


@pytest.mark.parametrize(("set_force", "right"), [("60 N", False), ("90 N", True)])
def test_a_wrong_setting_is_a_verdict(set_force: str, right: bool) -> None:
    """With a speed that stays below its limit the force decides."""
    said = speed_of_first({"bars[0].speed": '"100 rpm"', "feed.set_force": f'"{set_force}"'})
    assert (said.verdict is Verdict.WITHIN) is right
    assert (said.verdict is Verdict.WRONG_FORCE) is not right


def test_how_near_the_force_is() -> None:
    """What is set over the ceiling, or else the floor over it."""
    plain = pushed()
    assert plain.used == pytest.approx(90.0 / plain.ceiling_n)
    unset = pushed({"feed.set_force": None})
    assert unset.used == pytest.approx(unset.floor_n / unset.ceiling_n)


def test_the_push_slows_the_bar() -> None:
    """A force along the bar lowers its critical speed, down to nothing where it buckles the bar."""
    speeds_rpm = [
        speed_of_first({"feed.set_force": f'"{force} N"'}).worst.life.worst.whip_rpm for force in (1, 500, 1500, 3000, 20000)
    ]
    assert speeds_rpm == sorted(speeds_rpm, reverse=True)
    assert len(set(speeds_rpm)) == len(speeds_rpm)
    assert speeds_rpm[-1] == 0.0 < speeds_rpm[-2]


@pytest.mark.parametrize("wanted", ['"800 rpm"', None])
def test_a_bar_that_is_pushed_until_it_buckles_has_no_speed(wanted: str | None) -> None:
    """With 20 kN the limit is 0: no share of it, no change, no contact is told, and the force is what is near its limit."""
    said = speed_of_first({"feed.set_force": '"20 kN"', "bars[0].speed": wanted})
    assert said.lowest.speed_rpm == 0.0
    assert (said.buckles, said.used, said.nearer) == (True, None, "feed force")
    assert (said.verdict, said.touching, said.changes) == (Verdict.TOO_FAST, None, ())
    assert "the feed force buckles the bar" in said.worst.life.worst.cause.text()
    assert said.steps[0].limit_rpm >= 0.0


def test_the_brass_bars_are_nearer_their_force() -> None:
    """The spoke-nipple cell: thin bars in wide tubes; the steel of the shell cell is nowhere near."""
    nipples = demonstrated("spoke-nipple-cell").bars
    assert [said.pushing.used > (said.used or 0.0) for said in nipples if said.pushing is not None] == [True, True]
    (shell,) = demonstrated("shell-cell").bars
    assert shell.pushing is not None
    assert shell.pushing.used < 0.05 < (shell.used or 0.0)


def test_the_demonstrations_are_set_between_floor_and_ceiling() -> None:
    """Invented settings that serve."""
    for name in ("axle-cell", "spoke-nipple-cell", "shell-cell"):
        for said in demonstrated(name).bars:
            assert said.pushing is not None
            assert said.pushing.set_right, (name, said.bar.name)
