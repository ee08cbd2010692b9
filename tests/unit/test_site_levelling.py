"""From readings to a plan: what is refused, what each move is, and what is expected of it."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from standoff.errors import UsageError
from standoff.site.axis import HEADSTOCK_RISE, LIFT, PITCH, ROLL, SHIFT, SIDEWAYS, UPRIGHT, YAW, Miss, Point, Pose, Station
from standoff.site.fit import Observation
from standoff.site.frame import Frame
from standoff.site.level import across
from standoff.site.levelling import Means, align, judge, plan
from standoff.site.tolerance import Tolerances, centre_height
from tests.unit.test_site_frame import FEET, FRAME, SCREWS

POINTS = (Point("spindle face", 0.0, at_spindle=True), Point("clamp", -400.0), Point("rear end", -4500.0))
LEVEL = across("across", slope_mm_per_m=1.0, u_mm_per_m=0.05)


def upright(name: str, value_mm: float, station: Station, u_mm: float = 0.02) -> Observation:
    """A height read at a station."""
    return Observation(name, station.upright(), value_mm, u_mm)


def aside(name: str, value_mm: float, station: Station, u_mm: float = 0.02) -> Observation:
    """A sideways distance read at a station."""
    return Observation(name, station.sideways(), value_mm, u_mm)


FRONT, REAR = Station(-500.0), Station(-3500.0)
HEIGHTS = [upright("front", 1.5, FRONT), upright("rear", -1.5, REAR)]
SIDES = [aside("front aside", 0.5, FRONT), aside("rear aside", 3.5, REAR)]


def test_readings_give_the_pose() -> None:
    """Two heights, two sides and a level are just enough."""
    pose = align([*HEIGHTS, *SIDES, LEVEL]).pose
    assert pose.unknowns == UPRIGHT + SIDEWAYS
    assert list(pose.estimates) == pytest.approx([2.0, 1.0, 1.0, 0.0, -1.0])
    assert align([*HEIGHTS, LEVEL]).pose.unknowns == UPRIGHT


def test_a_roll_that_nobody_read_is_refused() -> None:
    """It is not guessed, and the sentence ends in what to do."""
    with pytest.raises(
        UsageError, match=r"do not tell: roll, expected .* lay a level across the loader, read it both ways round"
    ):
        align([*HEIGHTS, *SIDES])


def test_two_targets_one_above_the_other_read_the_roll_too() -> None:
    """What is read sideways above the axis differs from what is read at the axis by roll times height."""
    pose = align([*HEIGHTS, *SIDES, aside("high target", 0.4, Station(-500.0, above_mm=100.0))]).pose
    assert pose.value(ROLL) == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("readings", "told"),
    [
        (
            [],
            "roll, lift, pitch, expected .*; lay a level across .*; read the loader's height against the spindle's at two places",
        ),
        ([HEIGHTS[0], LEVEL], "lift, pitch, expected"),
        ([*HEIGHTS, SIDES[0], LEVEL], "shift, yaw, expected .*; read how far the loader is aside of the spindle at two places"),
        (
            [upright("a", 0.0, replace(FRONT, headstock_mm=-90.0)), upright("b", 0.0, replace(REAR, headstock_mm=90.0)), LEVEL],
            "lift, pitch, headstock rise, expected .*; read the same place with the headstock at both limits",
        ),
    ],
)
def test_what_readings_leave_open_is_named(readings: list[Observation], told: str) -> None:
    """Each unknown that is open, the roll first, and each action once."""
    with pytest.raises(UsageError, match=told) as refused:
        align(readings)
    assert str(refused.value).count("at two places along it") <= 1


def test_both_limits_of_the_headstock_average_and_tell_the_rise() -> None:
    """The spindle climbs by 0.5 mm/m of its travel: the loader is set to the middle, and the ends show what is left."""
    readings = [
        upright(f"{place.x_mm} {z}", 2.0 + place.x_mm / 1000.0 - 0.5 * z / 1000.0, replace(place, headstock_mm=z))
        for place in (FRONT, REAR)
        for z in (-90.0, 90.0)
    ]
    alignment = align([*readings, LEVEL])
    assert alignment.pose.unknowns == (*UPRIGHT, HEADSTOCK_RISE)
    assert list(alignment.pose.estimates) == pytest.approx([2.0, 1.0, 1.0, 0.5])
    assert alignment.at_one_position == ("loader rise",)
    made = plan(
        alignment,
        FRAME,
        points=[Point("forward", 0.0, headstock_mm=90.0, at_spindle=True)],
        tolerances=Tolerances(),
        means=Means(),
    )
    assert made.expected.residuals[0].offset.upright.miss_mm == pytest.approx(-0.045)


def test_everything_read_at_one_position_says_so() -> None:
    """A headstock that stood at its front limit throughout leaves no unknown, but the answer says that it did."""
    alignment = align(
        [upright("a", 1.5, replace(FRONT, headstock_mm=90.0)), upright("b", -1.5, replace(REAR, headstock_mm=90.0)), LEVEL]
    )
    assert alignment.pose.value(LIFT) == pytest.approx(2.0)
    assert alignment.at_one_position == ("headstock rise", "loader rise")


def test_a_plan_brings_the_loader_in_line() -> None:
    """Feet, then screws with the roll's swing in them; the uncertainty is that of the readings and grows towards the spindle."""
    alignment = align([*HEIGHTS, *SIDES, LEVEL])
    made = plan(alignment, FRAME, points=POINTS, tolerances=Tolerances(), means=Means())
    assert [move.move_mm for move in made.feet] == pytest.approx([-1.3, -0.7, 1.7, 2.3])
    assert made.feet == made.wanted
    # Shift 0, yaw -1 mm/m, and a roll of 1 mm/m at 1 m: the axis swings 1 mm to the left when it is levelled.
    assert [move.move_mm for move in made.screws] == pytest.approx([-2.0, -5.0])
    assert list(made.after.estimates) == pytest.approx([0.0] * 5, abs=1e-12)
    assert made.standoff_change_mm == pytest.approx(-1.0)
    assert made.shims is None
    assert made.rocking == ()
    assert made.rocks_mm == pytest.approx((0.0,) * 4, abs=1e-12)
    face, clamp, _ = (residual.offset.upright for residual in made.expected.residuals)
    assert face.u_mm == pytest.approx(0.02 * math.hypot(3500.0, 500.0) / 3000.0)
    assert face.u_mm > clamp.u_mm
    assert (made.now.grade, made.expected.grade) == ("outside", "within")
    assert made.feasible


def test_setting_errors_add_to_what_is_expected() -> None:
    """Feet set to 0.1 mm and screws to 0.2 mm leave more doubt than the readings alone."""
    alignment = align([*HEIGHTS, *SIDES, LEVEL])
    sure, unsure = (
        plan(alignment, FRAME, points=POINTS, tolerances=Tolerances(), means=means).after
        for means in (Means(), Means(foot_u_mm=0.1, screw_u_mm=0.2))
    )
    # Feet: the roll's response to each is 1 / (4 x 0.3 m).
    assert unsure.u(ROLL) == pytest.approx(math.hypot(sure.u(ROLL), 2.0 * 0.1 / 1.2))
    assert unsure.u(YAW) == pytest.approx(math.hypot(sure.u(YAW), 0.2 * math.sqrt(2.0) / 3.0))
    assert unsure.u(SHIFT) > sure.u(SHIFT)


def test_a_plan_before_sideways_was_read_has_no_screw_moves() -> None:
    """Roll and height come first; neither are there moves for a frame without screws, whose miss sideways then stays."""
    first = plan(align([*HEIGHTS, LEVEL]), FRAME, points=POINTS, tolerances=Tolerances(), means=Means())
    assert first.screws == ()
    assert {residual.sideways for residual in first.expected.residuals} == {None}
    assert first.expected.grade == "within"
    bare = plan(align([*HEIGHTS, *SIDES, LEVEL]), Frame(FEET, 1000.0), points=POINTS, tolerances=Tolerances(), means=Means())
    assert bare.screws == ()
    assert bare.expected.grade == "outside"


def test_shims_leave_a_residual_that_is_told() -> None:
    """What is expected is what the shims really do, and feet that rock more than they may are named."""
    readings = [*HEIGHTS, across("across", slope_mm_per_m=1.07, u_mm_per_m=0.05)]
    made = plan(align(readings), FRAME, points=POINTS, tolerances=Tolerances(), means=Means(step_mm=0.25))
    assert made.shims is not None
    assert [move.move_mm % 0.25 for move in made.feet] == [0.0] * 4
    assert made.after.estimates == pytest.approx(
        align(readings).pose.estimates + FRAME.foot_response(UPRIGHT) @ np.array(made.shims.moves_mm)
    )
    strict = plan(align(readings), FRAME, points=POINTS, tolerances=Tolerances(rock_mm=1e-6), means=Means(step_mm=0.25))
    assert all(name in {foot.name for foot in FEET} for name in strict.rocking)
    racked = [foot.name for foot, rock in zip(FEET, made.rocks_mm, strict=True) if abs(rock) > 0.05]
    assert list(made.rocking) == racked


def test_travel_that_does_not_suffice_is_an_answer() -> None:
    """The moves are told with what they lack."""
    made = plan(
        align([upright("front", 9.0, FRONT), upright("rear", 9.0, REAR), *SIDES, LEVEL]),
        Frame(FEET, 1000.0, (SCREWS[0], replace(SCREWS[1], right_mm=0.5))),
        points=POINTS,
        tolerances=Tolerances(),
        means=Means(),
    )
    assert [move.name for move in made.beyond] == [*(foot.name for foot in FEET), "rear"]
    assert not made.feasible


@pytest.mark.parametrize(("spindle_mm", "feasible"), [(1000.0, True), (1200.0, False)])
def test_the_centre_height_is_checked_first(spindle_mm: float, feasible: bool) -> None:
    """A spindle outside the loader's range makes every plan unfeasible, whatever the feet could do."""
    height = centre_height(spindle_mm=spindle_mm, least_mm=900.0, greatest_mm=1100.0, u_mm=1.0)
    made = plan(align([*HEIGHTS, LEVEL]), FRAME, points=POINTS, tolerances=Tolerances(), means=Means(), height=height)
    assert made.centre_height == height
    assert made.beyond == ()
    assert made.feasible is feasible


def test_the_worst_grade_is_the_verdicts() -> None:
    """Within everywhere; unsure at one point; outside in roll alone, or sideways alone."""

    def told(estimates: list[float], *, u: float = 0.0) -> str:
        return judge(Pose(UPRIGHT + SIDEWAYS, np.array(estimates), np.eye(5) * u**2), POINTS, Tolerances()).grade

    assert told([0.05, 0.0, 0.1, 0.0, 0.0]) == "within"
    assert told([0.05, 0.0, 0.1, 0.0, 0.0], u=0.04) == "within if measured better"
    assert told([0.0, 0.0, 0.6, 0.0, 0.0]) == "outside"
    assert told([0.0, 0.0, 0.0, 0.2, 0.0]) == "outside"
    verdict = judge(Pose(UPRIGHT, np.array([0.02, 0.0, 0.1]), np.zeros((3, 3))), POINTS, Tolerances())
    assert verdict.residuals[0].offset.upright == Miss(0.02, 0.0)
    assert (verdict.residuals[0].tolerance_mm, verdict.residuals[1].tolerance_mm) == (0.1, 0.25)
    assert (verdict.roll.roll_mm_per_m, verdict.roll.u_mm_per_m, verdict.roll.grade) == (0.1, 0.0, "within")


def test_negative_setting_errors_are_refused() -> None:
    """Of feet and of screws."""
    for part in ("foot_u_mm", "screw_u_mm"):
        with pytest.raises(UsageError, match="setting uncertainty"):
            Means(**{part: -0.1})


def test_an_extra_height_tests_the_others() -> None:
    """Three heights in line agree; one that is off is accused, and the estimate of the pitch says so by its test."""
    good = align([*HEIGHTS, upright("middle", 0.0, Station(-2000.0)), LEVEL])
    assert good.fit.consistent
    assert good.pose.value(PITCH) == pytest.approx(1.0)
    bad = align([*HEIGHTS, upright("middle", 1.0, Station(-2000.0)), LEVEL])
    assert not bad.fit.consistent
    assert bad.fit.untested == ("across",)
