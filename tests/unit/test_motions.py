"""One bar's life as motions: places by hand, continuity, order; feeds, stops, drawing, and both ways of ejection."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from standoff.job.cycle import Cycle
from standoff.job.interference import interferences
from standoff.job.motions import (
    CUT,
    DRAW,
    DROP,
    END,
    FACE,
    FEED,
    HOME,
    MACHINE,
    PRE_FEED,
    PULL,
    PUSH,
    REGRIP,
    STEPS,
    TO_FACING,
    Course,
)
from tests.cycles import HUB, PIN, cycle_with, fixed_with

INSERTED = {"bar_path.insertion": '"40 mm"'}
OUT = '[cycle]\nejection = "out of the front"\n'
PICKED = PIN + "picked_off = true\n"
THIN = '[[bars]]\nname = "22 mm steel"\nshape = "round"\nsize = "22 mm"\nmaterial = "steel"\n'
GRIP = '[[supports]]\nname = "main collet"\nkind = "collet"\nstation = "main-collet"\nahead = "{ahead} mm"\nlength = "40 mm"\n'


def moment(course: Course, step: int, part: int = 0, *, last: bool = True) -> tuple[float, ...]:
    """Travel, tip, front and rear at the last (or first) moment of a step. [mm]"""
    found = np.flatnonzero((course.step == step) & (course.part == part))
    i = found[-1 if last else 0]
    return tuple(float(places[i]) for places in (course.travel_mm, course.tip_mm, course.front_mm, course.rear_mm))


def order(cycle: Cycle) -> list[str]:
    """The steps in which a bar's life goes, each change once, up to the second part and from the last one on."""
    course = cycle.course
    kept = (course.part <= 1) | (course.part == cycle.part.count)
    steps = course.step[kept].tolist()
    return [STEPS[step] for i, step in enumerate(steps) if i == 0 or steps[i - 1] != step]


def test_the_order_of_a_sliding_headstock() -> None:
    """Every step once, with the first and the last part."""
    parts = ["re-grip", "machining", "cut-off"]
    assert order(cycle_with(PIN)) == [*STEPS[:9], *parts, *parts, "end of bar", "pull-out", "remnant dropped"]


def test_the_order_of_a_fixed_headstock() -> None:
    """Nothing travels; the bar is fed to a stop."""
    parts = ["feed to the stop", "machining", "cut-off"]
    assert order(fixed_with(PIN)) == [*STEPS[3:9], *parts, *parts, "end of bar", "pull-out", "remnant dropped"]


def test_loading_by_hand() -> None:
    """Clamp at -300, gripper at -3320: the bar of 3660 mm lies 640 mm behind the gripper, is fed to it, and 40 mm go in."""
    course = cycle_with(PIN, changes=INSERTED).course
    assert moment(course, HOME) == (190.0, -4010.0, -300.0, -3960.0)
    assert moment(course, PRE_FEED) == (110.0, -4010.0, 340.0, -3320.0)
    assert moment(course, TO_FACING) == (110.0, -2509.0, 1111.0, -2549.0)
    assert moment(course, FACE) == (110.0, -2509.0, 1110.0, -2549.0)


def test_the_first_part_by_hand() -> None:
    """The headstock goes back by 60 mm while the bar rests against the tool, and carries it forward by as much."""
    course = cycle_with(PIN, changes=INSERTED).course
    assert moment(course, REGRIP, 1) == (130.0, -2509.0, 1110.0, -2549.0)
    assert moment(course, MACHINE, 1) == (190.0, -2449.0, 1170.0, -2489.0)
    assert moment(course, CUT, 1) == (190.0, -2449.0, 1110.0, -2489.0)


def test_the_end_of_a_bar_by_hand() -> None:
    """54 parts leave 419 mm, of which 40 mm in the pusher collet; the remnant's end goes back to the gripper."""
    course = cycle_with(PIN, changes=INSERTED).course
    assert moment(course, END, 54) == (190.0, 731.0, 1110.0, 691.0)
    assert moment(course, PULL, 54) == (190.0, -3280.0, -2901.0, -3320.0)
    assert moment(course, DROP, 54) == (190.0, -3370.0, -2901.0, -3320.0)


def test_a_bar_shorter_than_the_loader_lies_at_the_gripper() -> None:
    """It cannot be fed backwards: pre-feed is then nothing."""
    short = '[[bars]]\nname = "short"\nshape = "round"\nsize = "12 mm"\nmaterial = "steel"\nlength = "2 m"\n'
    course = cycle_with(short, PIN).course
    assert course.loaded_rear_mm == course.gripper_mm == -3320.0
    stated = cycle_with(short, PIN, '[cycle]\nloaded_behind_clamp = "3100 mm"\n').course
    assert stated.loaded_rear_mm == -3400.0


@pytest.mark.parametrize("stop", ["cut-off tool", "stop", "sub-spindle"])
def test_the_tool_stays_in_as_the_stop(stop: str) -> None:
    """Only where it is the stop; at the cut-off it always comes in, while machining never."""
    course = cycle_with(PIN, f'[cycle]\nfeed_stop = "{stop}"\n').course
    assert course.tool_in[course.step == REGRIP].all() == (stop == "cut-off tool")
    assert course.tool_in[course.step == REGRIP].any() == (stop == "cut-off tool")
    assert course.tool_in[course.step == CUT].all()
    assert not course.tool_in[course.step == MACHINE].any()
    assert (course.stop_in == ((course.step == REGRIP) & ~course.tool_in)).all()


def test_a_fixed_headstock_has_no_tool_in_the_bars_way() -> None:
    """The bar is fed through the cut-off plane."""
    course = fixed_with(PIN).course
    feeding = course.step == FEED
    assert not course.tool_in[feeding].any()
    assert (course.stop_in == feeding).all()
    assert (course.travel_mm == 0.0).all()
    assert moment(course, FEED, 1) == pytest.approx((0.0, 1060.0 - 3659.0, 1060.0, 1060.0 - 3659.0))


def test_a_fixed_headstock_whose_bar_a_sub_spindle_draws() -> None:
    """The pusher follows; the step is told as what it is."""
    course = fixed_with(PIN, '[cycle]\nfeed_stop = "sub-spindle"\n').course
    assert course.sub_spindle[course.step == DRAW].all()
    assert not (course.stop_in | (course.step == FEED)).any()


def test_a_part_longer_than_the_travel_by_hand() -> None:
    """Three feeds of 190 mm: the bar stands out at 1300, 1490 and 1680; the tool is a stop before the first one only."""
    course = cycle_with(PIN.replace("57 mm", "567 mm")).course
    regrips = np.flatnonzero((course.step == REGRIP) & (course.part == 1))
    assert course.tool_in[regrips].tolist() == [True] * 3 + [False] * 6
    assert course.front_mm[regrips].tolist() == pytest.approx([1110.0] * 3 + [1300.0] * 3 + [1490.0] * 3)
    assert course.travel_mm[regrips].tolist() == pytest.approx([110.0, 0.0, 0.0, 190.0, 0.0, 0.0, 190.0, 0.0, 0.0])
    assert float(course.front_mm[(course.step == MACHINE) & (course.part == 1)].max()) == pytest.approx(1680.0)
    assert ((course.step == CUT) & (course.part == 1)).sum() == 1


def test_a_picked_off_last_part_is_drawn_past_the_pusher() -> None:
    """The pusher stays at the collet's back, 790; of the 70 mm in the pusher collet 39 mm are left there."""
    cycle = cycle_with(PICKED, changes={"bar_path.insertion": '"70 mm"'})
    course, number = cycle.course, cycle.part.count
    left_mm = cycle.part.remnant_mm
    assert left_mm == pytest.approx(3659.0 - 55 * 60.0)
    drawn = (course.step == DRAW) & (course.part == number)
    assert course.sub_spindle[drawn].all()
    assert course.tip_mm.max() == 790.0
    assert moment(course, END, number) == pytest.approx((190.0, 790.0, 1110.0, 1110.0 - left_mm))
    assert course.travel_mm[drawn].tolist() == [190.0] * 3
    # Its end at 1110 - 359 = 751: that is enough to draw it back to the gripper.
    assert moment(course, PULL, number) == pytest.approx((190.0, -3320.0 + 39.0, -3320.0 + left_mm, -3320.0))
    assert cycle.alarms == ()


def test_a_remnant_drawn_out_of_the_pusher_collet_stays() -> None:
    """With 10 mm in the pusher collet nothing of it is left there: the pusher goes home alone, and an alarm says so."""
    cycle = cycle_with(PICKED, changes={"bar_path.insertion": '"10 mm"'})
    course = cycle.course
    assert cycle.part.drawn
    assert "remnant-let-go" in cycle.alarms
    assert not (course.step == DROP).any()
    assert course.front_mm[-1] == 1110.0
    assert course.tip_mm[-1] == course.gripper_mm - 50.0


def test_pushed_out_as_far_as_the_collet_where_the_pusher_does_not_pass() -> None:
    """22 mm of pusher collet do not go through a collet for an unknown bar: the remnant stays, and an alarm says so."""
    cycle = cycle_with(PIN, OUT)
    assert moment(cycle.course, PUSH, 55) == pytest.approx((190.0, 790.0, 790.0 + cycle.part.remnant_mm, 790.0))
    bar = THIN.replace('"22 mm"', '"16 mm"')
    assert cycle_with(bar, PIN, OUT, GRIP.format(ahead=80)).alarms == ("remnant-not-pushed-out",)


def test_pushed_out_through_the_collet() -> None:
    """A pusher as thin as the bar goes on to its limit, 820; the headstock goes back, and the collet, 80 mm long, comes off."""
    cycle = cycle_with(THIN, PIN, OUT, GRIP.format(ahead=80))
    assert moment(cycle.course, PUSH, 55) == pytest.approx((0.0, 820.0, 820.0 + cycle.part.remnant_mm, 820.0))
    assert cycle.alarms == ()
    assert cycle.clean
    too_long = cycle_with(THIN, PIN, OUT, GRIP.format(ahead=221))
    assert too_long.alarms == ("remnant-not-pushed-out",)


def test_a_remnant_in_the_pusher_collet_is_pushed_less_far() -> None:
    """Its end lies 40 mm behind the pusher's tip: the collet comes off only 180 mm of it."""
    thin_collet = {**INSERTED, "bar_path.pusher_collet_od": '"20 mm"'}
    for ahead, alarms in ((180, ()), (181, ("remnant-not-pushed-out",))):
        assert cycle_with(THIN, PIN, OUT, GRIP.format(ahead=ahead), changes=thin_collet).alarms == alarms


def test_a_fixed_headstock_pushes_out_only_past_its_collet() -> None:
    """The pusher's limit is 30 mm ahead of the collet's back at 800."""
    bars = THIN + "\n[bar_path]\n" + 'pusher_od = "20 mm"\npusher_collet_od = "21 mm"\n'
    for ahead, alarms in ((30, ()), (31, ("remnant-not-pushed-out",))):
        assert fixed_with(bars, PIN, OUT, GRIP.format(ahead=ahead)).alarms == alarms


def test_times_add_up() -> None:
    """A part takes as long as stated; the bar change as stated, or what its motions take."""
    stated = cycle_with(PIN + 'seconds = "75 s"\n', '[cycle]\nbar_change = "40 s"\n')
    course = stated.course
    cuts = course.time_s[course.step == CUT]
    assert np.diff(cuts).tolist() == pytest.approx([75.0] * (len(cuts) - 1))
    assert stated.bar_change_s == 40.0
    free = cycle_with(PIN)
    made = np.flatnonzero(free.course.part > 0)
    waits_s = free.course.time_s[made[0] - 1] + free.course.time_s[-1] - free.course.time_s[free.course.step == CUT][-1]
    assert free.bar_change_s == pytest.approx(waits_s)
    assert free.length_s == free.course.time_s[-1]


def test_a_time_too_short_for_the_motions_is_not_negative() -> None:
    """A nipple of one second: its motions take longer."""
    course = cycle_with(PIN + 'seconds = "1 s"\n').course
    assert (np.diff(course.time_s) >= 0.0).all()


CLEAN = cycle_with(PIN, GRIP.format(ahead=80), changes=INSERTED).course


def tampered(step: int, part: int = 0, **changes: object) -> set[str]:
    """What is found wrong in a clean course after arrays are changed at the last moment of a step."""
    at = np.flatnonzero((step == CLEAN.step) & (CLEAN.part == part))[-1]
    arrays = {}
    for name, value in changes.items():
        array = np.array(getattr(CLEAN, name))
        array[at] = array[at] + value if isinstance(value, float) else value
        arrays[name] = array
    return {rule.id for rule in interferences(replace(CLEAN, places=CLEAN.places, **arrays))}


def test_a_clean_course_breaks_no_rule() -> None:
    """What is made here is in order."""
    assert interferences(CLEAN) == ()
    assert cycle_with(HUB).clean


@pytest.mark.parametrize(
    ("step", "part", "changes", "rule"),
    [
        (PRE_FEED, 0, {"collet_closed": True}, "wrong-order"),
        (PULL, 54, {"collet_closed": True}, "wrong-order"),
        (FACE, 0, {"gripper_closed": True}, "wrong-order"),
        (MACHINE, 1, {"rear_mm": 1.0}, "bar-dragged"),
        (REGRIP, 2, {"travel_mm": 1.0}, "bar-dragged"),
        (TO_FACING, 0, {"tip_mm": -41.0}, "bar-unheld"),
        (MACHINE, 54, {"tip_mm": 100.0}, "pusher-beyond-reach"),
        (CUT, 54, {"tip_mm": 60.0}, "pusher-in-collet"),
        (CUT, 54, {"rear_mm": 200.0}, "bar-lost"),
    ],
)
def test_every_rule_is_found_broken(step: int, part: int, changes: dict[str, object], rule: str) -> None:
    """One tampered moment each."""
    assert rule in tampered(step, part, **changes)


def test_a_bar_fed_against_the_tool_is_out_of_order() -> None:
    """The tool must not stand in the way of a bar that comes through the cut-off plane."""
    course = fixed_with(PIN).course
    tool_in = course.tool_in | (course.step == FEED)
    assert {rule.id for rule in interferences(replace(course, tool_in=tool_in))} == {"wrong-order"}
