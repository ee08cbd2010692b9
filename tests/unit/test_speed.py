"""Bar speed: what limits each bar, which limit governs, what may be run at which length, and the verdict."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from standoff.bar.whip import HIGHEST_RATIO, critical_speed, critical_speeds
from standoff.job.demonstration import text_of
from standoff.job.file import parse_job
from standoff.job.placement import place
from standoff.job.speed import MODEL, BarSpeed, Verdict, bar_speed
from standoff.job.whip_limit import whip_limit_rpm
from tests.texts import altered
from tests.turning import STANDING, TURNING, Changes, demonstrated, job_of, placed, sag, speed_of_first, speeds

MODEL_LIMIT_RPM = 541.9
"""Regression: what the model leaves the tests' bar, in the chucker at the front limit. [rpm]"""

SLOW = {"bars[0].speed": '"500 rpm"'}


def limits_of(said: BarSpeed) -> dict[str, float]:
    """Every limit by who sets it. [rpm]"""
    return {limit.of: limit.speed_rpm for limit in said.limits}


def test_the_model_is_a_limit_among_others() -> None:
    """Model, lathe, guide bushing, liner; what the makers have and the job does not state is named to be asked for."""
    said = speed_of_first()
    assert list(limits_of(said)) == [MODEL, "lathe", "guide bushing", "liner 30 mm"]
    assert said.not_given == ("loader", "pusher bearing", "collet")
    assert (said.lowest.of, said.lowest.mode) == (MODEL, "chucker")
    assert said.lowest.speed_rpm == pytest.approx(MODEL_LIMIT_RPM, abs=1.0)


@pytest.mark.parametrize(
    ("changes", "of", "governs_rpm", "mode"),
    [
        ({"speed_limits[0].speed": '"400 rpm"'}, "lathe", 400.0, None),
        ({"speed_limits[1].speed": '"400 rpm"'}, "guide bushing", 400.0, "guide-bushing"),
        ({"liners[0].speed_limit": '"400 rpm"'}, "liner 30 mm", 400.0, None),
        ({"speed_limits[0].of": '"channel"', "speed_limits[0].speed": '"1 rpm"'}, "channel", 1.0, None),
    ],
)
def test_the_lowest_limit_governs(changes: Changes, of: str, governs_rpm: float, mode: str | None) -> None:
    """Whoever sets it, in whichever mode: a maker's limit below the model's wins, and every step keeps below it."""
    said = speed_of_first(changes)
    assert (said.lowest.of, said.lowest.speed_rpm, said.lowest.mode) == (of, governs_rpm, mode)
    assert said.used == pytest.approx(800.0 / governs_rpm)
    assert said.verdict is Verdict.TOO_FAST
    assert all(step.limit_rpm <= governs_rpm for step in said.steps)
    assert limits_of(said)[MODEL] == pytest.approx(MODEL_LIMIT_RPM, abs=1.0)


def test_a_liner_without_a_stated_limit_is_asked_for() -> None:
    """It turns with the spindle: its maker has a limit."""
    said = speed_of_first({"liners[0].speed_limit": None})
    assert said.not_given[-1] == "liner 30 mm"
    assert "liner 30 mm" not in limits_of(said)


def test_only_what_is_there_is_asked_for() -> None:
    """Without a guide bushing none is asked about."""
    assert "guide bushing" not in speed_of_first(text=STANDING).not_given
    asked = speed_of_first({"speed_limits[1].of": '"collet"'}).not_given
    assert "guide bushing" in asked
    assert "collet" not in asked


@pytest.mark.parametrize("share", [0.3, 0.5, 0.8])
@pytest.mark.parametrize("band", [1.0, 3.0])
def test_the_models_limit_is_a_share_and_never_above_the_soft_end(share: float, band: float) -> None:
    """The share of the lowest critical speed over all states, and at most 0.8 of it with the softest supports."""
    said = speed_of_first(more=f"[bar_rules]\nwhip_share = {share}\nstiffness_band = {band}\n")
    nominal = min(course.life.worst.whip_rpm for course in said.courses)
    soft = min(course.life.worst_soft_rpm for course in said.courses)
    model = limits_of(said)[MODEL]
    assert model <= share * nominal * (1.0 + 1e-12)
    assert model <= HIGHEST_RATIO * soft * (1.0 + 1e-12)
    assert model == pytest.approx(min(whip_limit_rpm(course.life, share) for course in said.courses))
    assert said.share == share


def test_less_known_stiffness_never_raises_the_limit() -> None:
    """The wider the band, the lower its soft end."""
    bands = [1.0, 1.5, 3.0, 10.0]
    found = [limits_of(speed_of_first(more=f"[bar_rules]\nstiffness_band = {band}\n"))[MODEL] for band in bands]
    assert found == sorted(found, reverse=True)
    assert found[-1] < found[0]


def test_a_course_is_the_critical_speed_of_its_spans() -> None:
    """Four states; the worst of each is what the solver says of its supports at that length, soft and stiff about it."""
    said = speed_of_first()
    assert [course.spans.where for course in said.courses] == [
        "guide-bushing, rear limit",
        "guide-bushing, front limit",
        "chucker, rear limit",
        "chucker, front limit",
    ]
    for course in said.courses:
        life, worst = course.life, course.life.worst
        again = critical_speed(said.bar.beam, course.spans.supports, length_mm=worst.length_mm)
        assert worst.whip_rpm == pytest.approx(again.whip_rpm, rel=1e-5)
        assert (life.lengths_mm[0], life.lengths_mm[-1]) == (course.spans.shortest_mm, 3660.0)
        assert (life.soft_rpm <= life.whip_rpm + 1e-6).all()
        assert (life.whip_rpm <= life.stiff_rpm + 1e-6).all()
    assert said.worst.spans.where == "chucker, front limit"
    assert said.worst.life.worst.whip_rpm == min(course.life.worst.whip_rpm for course in said.courses)


def test_resting_on_the_liner_is_never_the_basis_of_a_limit() -> None:
    """A bar that rests on its liner would whip later: shown beside; the limit is the same with the liner and without."""
    without = altered(TURNING, {"liners[0].bore": None, "liners[0].speed_limit": None, "liners[0].name": None})
    bare = without.replace("[[liners]]\n", "")
    said, plain = speed_of_first(), speeds(bare)[0]
    assert limits_of(plain)[MODEL] == pytest.approx(limits_of(said)[MODEL])
    assert (said.worst.life.on_liner_rpm >= said.worst.life.whip_rpm - 1e-6).all()
    assert said.worst.life.on_liner_rpm.max() > said.worst.life.whip_rpm.max()
    assert (plain.touching, plain.liners) == (None, ())


STEPPED = ["16 mm", "8 mm", "22 mm"]


@pytest.mark.parametrize("size", STEPPED)
def test_the_steps_cover_the_life_without_a_hole(size: str) -> None:
    """From the full bar to the shortest length of all states, each beginning where the one before ends; five at most."""
    said = speed_of_first({"bars[0].size": f'"{size}"', "bar_path.collet_takes": None})
    assert 1 <= len(said.steps) <= 5
    assert said.steps[0].longest_mm == 3660.0
    assert said.steps[-1].shortest_mm == pytest.approx(min(course.spans.shortest_mm for course in said.courses))
    for before, after in zip(said.steps[:-1], said.steps[1:], strict=True):
        assert before.shortest_mm == after.longest_mm
        assert abs(before.limit_rpm - after.limit_rpm) > 0.0
    assert min(step.limit_rpm for step in said.steps) == pytest.approx(said.lowest.speed_rpm)


@pytest.mark.parametrize("size", STEPPED)
def test_no_step_allows_more_than_the_limit_at_a_length_inside(size: str) -> None:
    """At every sampled length, exactly; on lengths of our own, twenty to a step, within a hundredth."""
    said = speed_of_first({"bars[0].size": f'"{size}"', "bar_path.collet_takes": None})
    for step in said.steps:
        for course in said.courses:
            life = course.life
            inside = (life.lengths_mm >= step.shortest_mm) & (life.lengths_mm <= step.longest_mm)
            assert (step.limit_rpm <= said.share * life.whip_rpm[inside] + 1e-9).all()
            assert (step.limit_rpm <= HIGHEST_RATIO * life.soft_rpm[inside] + 1e-9).all()
            lengths = np.linspace(max(step.shortest_mm, course.spans.shortest_mm), step.longest_mm, 20)
            if lengths[0] < lengths[-1]:
                own = critical_speeds([said.bar.beam], [course.spans.supports], lengths.tolist()).whip_rpm[:, 0]
                assert (step.limit_rpm <= 1.01 * said.share * own).all()


@pytest.mark.parametrize(
    ("speed", "verdict"), [("541 rpm", Verdict.WITHIN), ("542 rpm", Verdict.TOO_FAST), ("100 rpm", Verdict.WITHIN)]
)
def test_the_edge_of_a_speed(speed: str, verdict: Verdict) -> None:
    """At its limit it is within, above it is not."""
    said = speed_of_first({"bars[0].speed": f'"{speed}"'})
    assert said.verdict is verdict
    assert said.used == pytest.approx(float(speed.split(" ")[0]) / said.lowest.speed_rpm)


def test_no_speed_wanted_is_answered_with_the_limit() -> None:
    """Nothing is used of it, nothing is nearer."""
    said = speed_of_first({"bars[0].speed": None})
    assert (said.verdict, said.used, said.nearer) == (Verdict.NO_SPEED, None, None)
    assert said.lowest.speed_rpm == pytest.approx(MODEL_LIMIT_RPM, abs=1.0)


def test_a_wanted_speed_from_a_cutting_speed_is_held_against_the_limit() -> None:
    """30 m/min at 12 mm are 795.8 rpm (1000 v / pi d)."""
    cutting = {"bars[0].speed": None, "bars[0].cutting_speed": '"30 m/min"', "bars[0].turned_diameter": '"12 mm"'}
    said = speed_of_first(cutting)
    assert said.used == pytest.approx(30_000.0 / (math.pi * 12.0) / said.lowest.speed_rpm)
    assert said.verdict is Verdict.TOO_FAST


SERIOUS: list[tuple[dict[str, str | None], Verdict]] = [
    ({"liners[0].bore": '"20 mm"', "feed.insertion": '"9 kN"', "bars[0].speed": '"9000 rpm"'}, Verdict.NO_PASSAGE),
    ({"feed.insertion": '"9 kN"', "bars[0].speed": '"9000 rpm"'}, Verdict.NO_FORCE),
    ({"feed.set_force": '"1 N"', "bars[0].speed": '"9000 rpm"'}, Verdict.TOO_FAST),
    ({"feed.set_force": '"1 N"', "bars[0].speed": '"500 rpm"'}, Verdict.WRONG_FORCE),
    ({"feed.set_force": '"1 N"', "bars[0].speed": None}, Verdict.NO_SPEED),
    (dict(SLOW), Verdict.WITHIN),
]


@pytest.mark.parametrize(("changes", "verdict"), SERIOUS)
def test_the_most_serious_thing_is_said(changes: Changes, verdict: Verdict) -> None:
    """No passage before no force, no force before too fast, too fast before a wrong setting."""
    assert speed_of_first(changes).verdict is verdict


def test_a_bar_whose_pusher_cannot_pass_has_no_speed() -> None:
    """Nothing is computed of it, so that nothing can be read out of it; the others are answered all the same."""
    text = altered(TURNING, {**SLOW, "passage[1].bore": '"21 mm"'})
    said = speeds(text)[0]
    assert (said.verdict, said.passes) == (Verdict.NO_PASSAGE, False)
    assert (said.limits, said.courses, said.steps, said.changes, said.pushing) == ((), (), (), (), None)
    assert not bar_speed(placed(text)).holds


def test_all_bars_hold_or_the_answer_does_not() -> None:
    """One bar that turns too fast is enough; a bar without a wanted speed is none, and leaves the answer open."""
    assert bar_speed(placed(altered(TURNING, SLOW))).holds
    assert bar_speed(placed(altered(TURNING, SLOW))).decided
    assert not bar_speed(placed(TURNING)).holds
    second = '\n[[bars]]\nname = "12 mm brass"\nshape = "round"\nsize = "12 mm"\nmaterial = "brass C36000"\n'
    assert bar_speed(placed(altered(TURNING, SLOW, more=second))).holds
    assert not bar_speed(placed(altered(TURNING, SLOW, more=second))).decided
    assert not bar_speed(placed(altered(TURNING, SLOW, more=f'{second}speed = "4000 rpm"\n'))).holds


def test_where_the_pair_does_not_fit_nothing_holds() -> None:
    """The figures are told, and that the standoff fails the placement."""
    job = job_of(altered(TURNING, SLOW))
    good, bad = (bar_speed(place(job, asked_mm=at)) for at in (300.0, 345.0))
    assert (good.placed, good.holds) == (True, True)
    assert (bad.placed, bad.holds) == (False, False)
    assert [one.verdict for one in bad.bars] == [Verdict.WITHIN]


@pytest.mark.parametrize("straightness", ['"0.1 mm"', '"1 mm"', '"3 mm"'])
def test_a_bowed_bar_touches_before_it_whips(straightness: str) -> None:
    """The worst bow touches no later than the middle of random ones, and never above the critical speed there."""
    said = speed_of_first({"bars[0].straightness": straightness})
    touching = said.touching
    assert touching is not None
    assert 0.0 <= touching.worst_rpm <= touching.usual_rpm
    at = min(
        critical_speed(said.bar.beam, course.spans.supports, length_mm=touching.length_mm).whip_rpm for course in said.courses
    )
    assert touching.worst_rpm <= max(course.life.whip_rpm.max() for course in said.courses)
    assert touching.worst_rpm <= at * 1.3
    assert touching.at_rest is (touching.worst_rpm == 0.0)


def test_the_more_bowed_the_sooner_it_touches() -> None:
    """And with less room sooner too."""
    worst = [(speed_of_first({"bars[0].straightness": f'"{mm} mm"'}).touching) for mm in (0.1, 1.0, 3.0)]
    speeds_rpm = [touching.worst_rpm for touching in worst if touching is not None]
    assert len(speeds_rpm) == 3
    assert speeds_rpm == sorted(speeds_rpm, reverse=True)
    assert speeds_rpm[0] > speeds_rpm[-1]


HEXAGON = {"bars[0].shape": '"hexagon"', "bars[0].size": '"15 mm"'}


def test_edges_excite_a_hexagon_at_a_sixth() -> None:
    """Six knocks a turn: at a wanted speed of N1/6 of a length that length is told; a round has no edges."""
    plain = speed_of_first(dict(HEXAGON))
    sixth = plain.worst.life.worst.whip_rpm / 6.0
    shaken = speed_of_first({**HEXAGON, "bars[0].speed": f'"{sixth:.1f} rpm"'})
    worst_mm = shaken.worst.life.worst.length_mm
    assert any(short <= worst_mm <= long for short, long in shaken.shaken_mm)
    assert shaken.verdict is Verdict.SHAKEN
    assert all(short <= long for short, long in shaken.shaken_mm)
    assert speed_of_first({**HEXAGON, "bars[0].speed": '"5 rpm"'}).shaken_mm == ()
    assert speed_of_first({**HEXAGON, "bars[0].speed": None}).shaken_mm == ()
    assert speed_of_first({"bars[0].speed": f'"{sixth:.1f} rpm"'}).shaken_mm == ()


def test_a_bar_that_lies_loose_is_warned_of() -> None:
    """A bar of 12 mm in a channel of 32 hardly lies in it; one of 16 does."""
    assert speed_of_first().warnings == ()
    (warning,) = speed_of_first({"bars[0].size": '"12 mm"'}).warnings
    assert "lies loose in channel" in warning
    assert "Fit a reducing tube" in warning


def test_a_job_at_its_own_aim() -> None:
    """Without a standoff asked for, the aim of the placement is judged."""
    placement = place(job_of(TURNING))
    answer = bar_speed(placement)
    assert answer.standoff_mm == placement.aim_mm
    assert answer.placed


def test_same_input_same_answer() -> None:
    """Twice from the text: every figure is the same, the sought touching included."""
    again = bar_speed(place(parse_job(TURNING), asked_mm=300.0)).bars[0]
    said = speed_of_first()
    assert (again.limits, again.steps, again.touching, again.changes) == (said.limits, said.steps, said.touching, said.changes)
    assert replace(again, courses=()) == replace(said, courses=())


def test_the_shell_cell_is_nearer_its_speed_and_takes_one_of_two_liners() -> None:
    """The pusher passes; the pusher collet does not pass the second liner; speed is nearer its limit than force."""
    (shell,) = demonstrated("shell-cell").bars
    assert (shell.verdict, shell.nearer) == (Verdict.WITHIN, "speed")
    assert [(choice.name, choice.passes, choice.chosen) for choice in shell.liners] == [
        ("liner 68 mm", True, True),
        ("liner 64 mm", False, False),
    ]
    assert all(passing.passes for passing in shell.passings if passing.traveller == "pusher")
    # 105 m/min at 52 mm: 318.3 * 105 / 52 (handbook's rule), and more than four fifths of the limit.
    assert shell.bar.wanted_rpm == pytest.approx(318.3 * 95.0 / 52.0, rel=5e-4)
    assert 0.8 < (shell.used or 0.0) < 1.0


def test_the_spoke_nipple_cell_is_nearer_its_force() -> None:
    """Thin brass bars, both nearer their feed force: the hexagon's edges excite it; the pair does not fit, so nothing holds."""
    answer = demonstrated("spoke-nipple-cell")
    assert [one.nearer for one in answer.bars] == ["feed force", "feed force"]
    assert [one.verdict for one in answer.bars] == [Verdict.WITHIN, Verdict.SHAKEN]
    assert (answer.placed, answer.holds) == (False, False)


def test_the_axle_cell_runs_one_bar_and_not_the_other() -> None:
    """Stainless within its limit, which the second mode sets at the front limit; aluminium only as long as the bar is long."""
    answer = demonstrated("axle-cell")
    steel, aluminium = answer.bars
    assert (steel.verdict, aluminium.verdict) == (Verdict.WITHIN, Verdict.TOO_FAST)
    assert steel.worst.spans.where == aluminium.worst.spans.where == "chucker, front limit"
    assert (answer.placed, answer.holds) == (True, False)
    # As long as the bar is long it may run as fast as is wanted.
    assert aluminium.steps[0].limit_rpm > (aluminium.bar.wanted_rpm or 0.0) > aluminium.lowest.speed_rpm


def test_every_demonstration_with_bars_is_answered() -> None:
    """No limit is missing its lowest, no share exceeds what is advised."""
    for name in ("axle-cell", "spoke-nipple-cell", "shell-cell"):
        assert "[[bars]]" in text_of(name)
        for one in demonstrated(name).bars:
            assert all(limit.speed_rpm >= one.lowest.speed_rpm for limit in one.limits)
            assert one.share <= HIGHEST_RATIO
            assert one.steps


def test_a_sag_counts_with_the_share() -> None:
    """What was read on site is a critical speed, not a limit: the same share is kept of it."""
    said = speed_of_first(more="[bar_rules]\nwhip_share = 0.4\n" + sag("1 mm"))
    assert limits_of(said)["sag read on site"] == pytest.approx(0.4 * 1065.0)
