"""Levelling a job: by hand in round figures, and every instrument by what it must see of a loader that is known.

The hand figures are those of `tests.levelling`. Feet 0.2 and 4.2 m behind the clamp, 0.36 m to either side, so x = -0.5 and
-4.5 m: the loader stands there 0.36 + 0.2 x + 0.5 y high, and each foot goes the other way.
"""

from __future__ import annotations

import math

import pytest

from standoff.job.file import parse_job
from standoff.job.level_readings import reference_line
from standoff.job.levels import UNLIMITED_MM, Outcome, level_of
from standoff.job.placement import place
from standoff.magnitude import Kind, read_magnitude
from standoff.site.axis import LIFT, PITCH, ROLL, SHIFT, YAW
from standoff.site.wire import plucked_sag_mm
from tests.levelling import (
    ENDS,
    FOUND,
    FRAME,
    LEVELLED,
    LIFTED,
    READ,
    STILL,
    STILL_ENDS,
    WIRE,
    last,
    levelled,
    round_of,
    unbracketed,
)
from tests.texts import FIXED, SLIDING, altered

READ_WHOLLY = LEVELLED + ENDS
TAKEN = {LIFT: 0.36, PITCH: 0.2, ROLL: 0.5, SHIFT: 0.20, YAW: 0.0}


def test_where_the_axis_lies_by_hand() -> None:
    """Lift, pitch, roll, shift and yaw of the round figures; the sag of the bracket taken off."""
    one = last(levelled())
    assert one.alignment is not None
    pose = one.alignment.pose
    for unknown, is_worth in TAKEN.items():
        assert pose.value(unknown) == pytest.approx(is_worth, abs=1e-9), unknown
    assert one.sideways_read
    assert one.stage == "as found"


def test_what_each_foot_and_screw_does_by_hand() -> None:
    """Feet undo lift, pitch and roll; taking the roll out swings the axis 0.52 mm left, and the screws undo that too."""
    plan = last(levelled()).plan
    assert plan is not None
    moves = {move.name: move.move_mm for move in (*plan.feet, *plan.screws)}
    by_hand = {
        "front left": -(0.36 - 0.1 + 0.18),
        "front right": -(0.36 - 0.1 - 0.18),
        "rear left": -(0.36 - 0.9 + 0.18),
        "rear right": -(0.36 - 0.9 - 0.18),
        "front screws": -(0.20 + 0.5 * 1.040),
        "rear screws": -(0.20 + 0.5 * 1.040),
    }
    assert moves == pytest.approx(by_hand, abs=1e-9)
    # The axis pitches by -0.2 mm/m about feet 1.04 m below it: it comes 0.208 mm nearer.
    assert plan.standoff_change_mm == pytest.approx(-0.208, abs=1e-9)
    assert all(abs(r.offset.upright.miss_mm) < 1e-9 for r in plan.expected.residuals)
    assert plan.feasible


def test_a_travel_that_is_not_stated_is_not_checked() -> None:
    """The one foot with limits has them, the others none; a move beyond is an answer."""
    plan = last(levelled(LEVELLED, {"feet[0].down": '"0.4 mm"'})).plan
    assert plan is not None
    assert [move.name for move in plan.beyond] == ["front left"]
    assert plan.beyond[0].beyond_mm == pytest.approx(-0.04, abs=1e-9)
    assert not plan.feasible
    assert plan.feet[1].greatest_mm == UNLIMITED_MM


def test_shims_are_whole_steps() -> None:
    """With shims of 0.1 mm every move is a number of them, each next to the move that is wanted."""
    plan = last(levelled(LEVELLED, {"frame.shim_step": '"0.1 mm"'})).plan
    assert plan is not None
    assert plan.shims is not None
    for wanted, move in zip(plan.wanted, plan.feet, strict=True):
        assert move.move_mm / 0.1 == pytest.approx(round(move.move_mm / 0.1), abs=1e-9)
        assert abs(wanted.move_mm - move.move_mm) < 0.1
    assert plan.shims.penalty_ratio <= plan.shims.rounded_penalty_ratio + 1e-12


def test_where_the_axis_is_judged() -> None:
    """Both limits of both modes with that mode's shift, adapter and collet, both ends of the shift, the rear end."""
    points = {point.name: point for point in levelled().ground.points}
    assert {name: point.x_mm for name, point in points.items()} == pytest.approx(
        {
            "adapter, headstock fully back": 0.0,
            "adapter, headstock fully forward": 350.0,
            "adapter, guide-bushing at its front limit": 190.0,
            "adapter, chucker at its rear limit": 150.0,
            "main collet, headstock fully back": 600.0,
            "main collet, headstock fully forward": 950.0,
            "main collet, guide-bushing at its front limit": 790.0,
            "main collet, chucker at its rear limit": 750.0,
            "nose clamp, loader standing": -300.0,
            "nose clamp, loader shifted": -130.0,
            "rear end of the loader": -4900.0,
        }
    )
    # Travel 0 to 350, shift 0 to 170: from their middles. The chucker mode, fully forward, has the loader shifted.
    assert points["adapter, headstock fully back"].headstock_mm == -175.0
    assert points["adapter, headstock fully back"].loader_mm == -85.0
    assert points["adapter, headstock fully forward"].headstock_mm == 175.0
    assert points["adapter, headstock fully forward"].loader_mm == 85.0
    assert points["nose clamp, loader shifted"].loader_mm == 85.0
    front, rear = points["adapter, guide-bushing at its front limit"], points["main collet, chucker at its rear limit"]
    assert (front.headstock_mm, front.loader_mm) == (15.0, -85.0)
    assert (rear.headstock_mm, rear.loader_mm) == (-25.0, 85.0)


def test_the_adapter_is_of_the_spindle_wherever_its_limit_lies() -> None:
    """A later mode that reaches 5 mm behind the datum: the adapter there is judged by what is allowed at the spindle."""
    found = levelled(LEVELLED, {"lathe.modes[1].z_rear": '"-5 mm"'})
    now = last(found).now
    assert now is not None
    back = next(residual for residual in now.residuals if residual.offset.point.name == "adapter, headstock fully back")
    assert (back.offset.point.x_mm, back.tolerance_mm) == (-5.0, found.ground.tolerances.spindle_mm)
    assert all(r.offset.point.at_spindle == (r.tolerance_mm == found.ground.tolerances.spindle_mm) for r in now.residuals)


def test_each_mode_is_judged_at_its_own_limits() -> None:
    """The spindle climbs and so do the rails: in line at the ends of all travel, and out in between, where a mode ends."""
    # At the first mode's front limit the clamp is 0.19 mm low; fully forward, and shifted, it is level again.
    front = STILL_ENDS[: STILL_ENDS.rindex("[[sweeps]]")].replace('bottom = "0.10 mm"', 'bottom = "-0.28 mm"')
    both = STILL_ENDS[STILL_ENDS.rindex("[[sweeps]]") :] + 'headstock = "front limit"\nmode = "chucker"\n'
    now = last(levelled(SLIDING + FRAME + FOUND + STILL + front + both)).now
    assert now is not None
    grades = {residual.offset.point.name: residual.upright for residual in now.residuals}
    assert grades["adapter, headstock fully back"] == grades["adapter, headstock fully forward"] == "within"
    assert grades["adapter, guide-bushing at its front limit"] == grades["adapter, chucker at its rear limit"] == "outside"
    assert now.grade == "outside"


def test_a_fixed_headstock_has_one_adapter() -> None:
    """Nothing travels: adapter, collet, clamp, and the gripper where no rear end was measured."""
    job = parse_job(FIXED)
    names = [point.name for point in level_of(place(job)).ground.points]
    assert names[:3] == ["adapter", "main collet", "nose clamp"]
    assert names[3] in ("gripper", "rear end of the loader")
    without = parse_job(altered(SLIDING, {"loader.length_behind_clamp": None}))
    assert level_of(place(without)).ground.points[-1].name == "gripper"


def test_a_missing_roll_is_refused() -> None:
    """The level left out: nothing is told of the round, not even what the rest could tell, and the level is asked for."""
    text = LEVELLED.replace(READ[: READ.index("[[sweeps]]")], "\n")
    found = levelled(text)
    one = last(found)
    assert one.lacking is not None
    assert "level across" in one.lacking.action
    assert (one.alignment, one.now, one.plan) == (None, None, None)
    assert found.outcome is Outcome.UNTOLD
    assert not one.complete


def test_one_sweep_alone_leaves_the_slope_open() -> None:
    """Height and sideways at one place are no line: a second place is asked for."""
    text = LEVELLED[: LEVELLED.index('[[sweeps]]\nname = "channel bore"')]
    one = last(levelled(text))
    assert one.lacking is not None
    assert "two places" in one.lacking.action


def test_a_round_without_a_reading_tells_nothing() -> None:
    """A round that is only spoken of lacks everything."""
    found = levelled(LEVELLED, more="[[level_rounds]]\nround = 2\n")
    assert last(found).number == 2
    assert last(found).lacking is not None
    assert found.rounds[0].complete


@pytest.mark.parametrize(
    ("more", "is_mm", "said"),
    [
        ("", 300.0, "as read in round 1"),
        ('[[level_rounds]]\nround = 2\nstandoff = "301 mm"\n', 301.0, "as read in round 2"),
    ],
)
def test_the_standoff_read_last_counts(more: str, is_mm: float, said: str) -> None:
    """Places behind the clamp lie where the clamp was when it was read last."""
    found = levelled(LEVELLED, more=more)
    assert (found.ground.stand.standoff_mm, found.standoff_from) == (is_mm, said)


def test_without_a_standoff_read_the_record_or_the_aim_counts() -> None:
    """As installed, else the aim; one that is asked for goes before all."""
    text = LEVELLED.replace('standoff = "300 mm"\n', "")
    aimed = place(parse_job(text))
    assert level_of(aimed).ground.stand.standoff_mm == aimed.aim_mm
    assert "not read yet" in level_of(aimed).standoff_from
    recorded = levelled(text, more='[as_installed]\nstandoff = "298 mm"\n')
    assert (recorded.ground.stand.standoff_mm, recorded.standoff_from) == (298.0, "as installed")
    asked = level_of(place(parse_job(LEVELLED), asked_mm=305.0))
    assert (asked.ground.stand.standoff_mm, asked.standoff_from) == (305.0, "as asked")


def test_headstock_and_loader_read_at_both_ends() -> None:
    """A spindle that climbs 1 mm/m is told from the two limits; what was read at one end only is named."""
    assert levelled().read_at_one_position(last(levelled())) == ("headstock", "loader")
    # The front limit of the first mode is 190 mm ahead: the loader seems 0.19 mm lower, and 0.095 mm to the left.
    swept = READ[READ.index("[[sweeps]]") : READ.index('[[sweeps]]\nname = "channel')]
    forward = swept.replace('top = "0 mm"', 'top = "0.38 mm"').replace('left = "0.15 mm"', 'left = "-0.04 mm"')
    found = levelled(LEVELLED, more=f'{forward}headstock = "front limit"\n')
    one = last(found)
    assert one.alignment is not None
    assert one.alignment.pose.value("headstock rise") == pytest.approx(1.0, abs=1e-9)
    assert one.alignment.pose.value("headstock drift") == pytest.approx(-0.5, abs=1e-9)
    assert found.read_at_one_position(one) == ("loader",)
    # Aligned to the middle of the travel 0 to 350: at the rear limit the loader is 0.175 mm higher than at the middle.
    assert one.alignment.pose.value(LIFT) == pytest.approx(0.36 - 0.175, abs=1e-9)


def test_a_shifted_loader_is_read_where_it_then_is() -> None:
    """Shifted 170 mm forward the same place of the loader lies 170 mm nearer, on the same line if it shifts along its axis."""
    swept = READ[READ.index("[[sweeps]]") : READ.index('[[sweeps]]\nname = "channel')]
    # x = -130 instead of -300: 0.2 mm/m * 0.17 m = 0.034 mm higher.
    shifted = swept.replace('bottom = "0.70 mm"', 'bottom = "0.768 mm"')
    found = levelled(LEVELLED, more=f'{shifted}loader = "shifted"\n')
    one = last(found)
    assert one.alignment is not None
    assert one.alignment.pose.value("loader rise") == pytest.approx(0.0, abs=1e-9)
    assert found.read_at_one_position(one) == ("headstock",)


def test_a_face_and_a_level_along_tell_pitch_and_yaw() -> None:
    """A face 150 mm across, read 0.03 mm more at the bottom; a level along, 0.5 mm/m against 0.3 on the spindle."""
    face = (
        '[[sweeps]]\nsurface = "face"\ncircle = "150 mm"\n'
        'top = "0 mm"\nleft = "0.015 mm"\nbottom = "0.03 mm"\nright = "0.015 mm"\n'
    )
    along = '[[levels]]\nway = "along"\nreading = "0.5 mm/m"\nspindle = "0.3 mm/m"\n'
    both = levelled(LEVELLED, more=face + along)
    one = last(both)
    assert one.alignment is not None
    assert one.alignment.pose.value(PITCH) == pytest.approx(0.2, abs=1e-9)
    assert one.alignment.pose.value(YAW) == pytest.approx(0.0, abs=1e-9)
    assert one.alignment.fit.consistent
    single = LEVELLED[: LEVELLED.index('[[sweeps]]\nname = "channel bore"')]
    alone = last(levelled(single, more=face))
    assert alone.alignment is not None
    assert alone.alignment.pose.value(PITCH) == pytest.approx(0.2, abs=1e-9)
    assert alone.alignment.pose.value(LIFT) == pytest.approx(0.36, abs=1e-9)


@pytest.mark.parametrize(
    ("way", "sag_mm"),
    [
        ('note = "40 Hz"', plucked_sag_mm(40.0)),
        # Steel of 0.4 mm: 7850 kg/m3 * pi 0.4^2 / 4 mm2 = 9.865 g/m, so w L^2 / 8 T over 6 m with 200 N.
        ('tension = "200 N"\nwire_diameter = "0.4 mm"', 7850e-9 * math.pi * 0.04 * 9.80665 * 6000.0**2 / (8.0 * 200.0)),
        (
            'tension = "200 N"\nwire_diameter = "0.4 mm"\nwire_density = "15.7 g/cm3"',
            2.0 * 7850e-9 * math.pi * 0.04 * 9.80665 * 6000.0**2 / (8.0 * 200.0),
        ),
        ('sag = "0.25 mm"', 0.25),
    ],
)
def test_a_wire_hangs_as_its_note_its_pull_or_its_sag_says(way: str, sag_mm: float) -> None:
    """The wire from 4.7 m behind the clamp to 1 m ahead of the adapter: 6 m. Its height at the far end is what was read."""
    text = WIRE.replace('note = "40 Hz"', way)
    found = levelled(LEVELLED, more=text)
    (taken,) = [one for one in last(found).taken if one.field == "line_readings[0]"]
    height = taken.observations[0]
    # Parabola less its secant through the two setting points, by hand: 4 s (x - a)(x - b) / L^2.
    by_hand = 4.0 * sag_mm * (-4700.0 - 25.0) * (-4700.0 - 625.0) / 6000.0**2
    assert height.value_mm == pytest.approx(by_hand, rel=1e-9)
    shared_mm = dict(height.shared_mm)
    assert set(shared_mm) == {"wire at its rear point, up", "wire at its front point, up", "sag of wire"}
    # A note within 2 % is a sag within 4 %, a pull within 5 % a sag within 5 %, a measured sag is within 0.05 mm.
    within = {"note": 0.04, "tens": 0.05, "sag ": 0.05 / 0.25}[way[:4]]
    assert shared_mm["sag of wire"] == pytest.approx(by_hand * within / math.sqrt(3.0), rel=1e-9)


def test_a_wire_that_was_measured_not_to_hang_may_hang_all_the_same() -> None:
    """A sag of 0 within 0.2 mm is as unsure as one of 0.25 within 0.2 mm; where it is not said how sure, within 0.05 mm."""
    effects_mm = []
    for sag in ("0 mm ± 0.2 mm", "0.25 mm ± 0.2 mm", "0 mm"):
        found = levelled(LEVELLED, more=WIRE.replace('note = "40 Hz"', f'sag = "{sag}"'))
        (taken,) = [one for one in last(found).taken if one.field == "line_readings[0]"]
        effects_mm.append(dict(taken.observations[0].shared_mm)["sag of wire"])
    assert effects_mm[0] == pytest.approx(4.0 * 0.2 / math.sqrt(3.0) * 4725.0 * 5325.0 / 6000.0**2)
    assert effects_mm[1] == pytest.approx(effects_mm[0])
    assert effects_mm[2] == pytest.approx(effects_mm[0] / 4.0)


def test_a_line_is_read_with_the_headstock_where_it_was_set() -> None:
    """A beam set with the headstock 350 mm forward: its places are as much farther ahead, and it tells of the spindle there."""
    laser = (
        '[[reference_lines]]\nname = "laser"\nkind = "laser"\nrear_set = "25 mm"\nfront_set = "625 mm"\n{}'
        '[[line_readings]]\nline = "laser"\nbehind_clamp = "4400 mm"\nabove = "0 mm"\nmode = "chucker"\n'
    )
    back, forward = (
        levelled(LEVELLED, more=laser.format(told)) for told in ("", 'headstock = "front limit"\nmode = "chucker"\n')
    )
    for found, is_mm in ((back, 0.0), (forward, 350.0)):
        line = reference_line(found.ground.stand, found.job.tables.reference_lines[0])
        assert (line.rear_set_mm, line.front_set_mm) == (25.0 + is_mm, 625.0 + is_mm)
        seen = next(one for one in last(found).taken if one.field == "line_readings[0]").observations[0]
        # The middle of the travel 0 to 350 is at 175; a slide that climbs makes the loader seem lower ahead of it.
        assert dict(seen.coefficients)["headstock rise"] == pytest.approx((175.0 - is_mm) / 1000.0)
    assert back.read_at_one_position(last(back)) == ("headstock", "loader")


def test_a_place_that_is_not_on_the_wire_tells_nothing() -> None:
    """A line whose setting points lie behind its own rear support is refused when it is read from."""
    text = WIRE.replace('rear_set = "25 mm"', 'rear_set = "-9 m"')
    one = last(levelled(LEVELLED, more=text))
    assert one.lacking is not None
    assert one.lacking.what == "place on the wire"


def test_what_is_not_known_of_an_instrument_is_not_nothing() -> None:
    """A bracket whose sag was not read, and a level that was not turned, make the answer less sure; never another."""
    sure = last(levelled()).alignment
    without = last(levelled(LEVELLED, {"sweeps[0].bracket": None, "sweeps[1].bracket": None, "sweeps[0].bottom": '"0.60 mm"'}))
    one_way = last(levelled(LEVELLED, {"levels[0].turned": None, "levels[0].reading": '"0.5 mm/m"'})).alignment
    assert sure is not None
    assert without.alignment is not None
    assert one_way is not None
    assert without.alignment.pose.u(LIFT) > 3.0 * sure.pose.u(LIFT)
    assert one_way.pose.u(ROLL) > 2.0 * sure.pose.u(ROLL)
    assert one_way.pose.value(ROLL) == pytest.approx(0.5, abs=1e-9)


def test_a_sag_that_is_not_known_belongs_to_one_reach() -> None:
    """At 300 and 2300 mm a bracket hangs by two amounts, each unknown: the slope is unsure by both. At 300 and 350 by one."""
    sweeps = (unbracketed(READ), unbracketed(READ).replace('behind_clamp = "2000 mm"', 'behind_clamp = "50 mm"'))
    far, near = (last(levelled(SLIDING + FRAME + FOUND + text)) for text in sweeps)
    for one, sags in ((far, 2), (near, 1)):
        shared = {name for taken in one.taken if taken.sweep for o in taken.observations for name, _ in o.shared_mm}
        assert len(shared) == sags
    assert far.alignment is not None
    # Each within 0.1 mm on the stiff tube's scale, over 2 m: far more than the readings' own.
    assert far.alignment.pose.u(PITCH) == pytest.approx(0.1 / math.sqrt(3.0) * math.sqrt(2.0) / 2.0, rel=0.05)


def test_limits_of_a_reading_go_before_those_of_its_table() -> None:
    """A reading that says how sure it is counts by that, in either direction."""
    better = last(levelled(LEVELLED, {"sweeps[0].top": '"0 mm ± 0.002 mm"', "sweeps[0].within": '"0.1 mm"'}))
    worse = last(levelled(LEVELLED, {"sweeps[0].within": '"0.1 mm"'}))
    seen = next(one for one in better.taken if one.field == "sweeps[0]").observations[0]
    other = next(one for one in worse.taken if one.field == "sweeps[0]").observations[0]
    assert seen.u_mm == pytest.approx(0.002 / math.sqrt(3.0) / math.sqrt(2.0))
    assert other.u_mm == pytest.approx(0.1 / math.sqrt(3.0) / math.sqrt(2.0))


def test_the_answer_in_one_word() -> None:
    """Outside; within, but sideways not read; within and sure; contradicting itself; out of reach."""
    assert levelled().outcome is Outcome.NOT
    good = {"spindle": '"1 mm"', "axis": '"2 mm"', "roll": '"2 mm/m"'}
    wide = "[level_tolerances]\n" + "".join(f"{key} = {value}\n" for key, value in good.items())
    assert levelled(READ_WHOLLY, more=wide).outcome is Outcome.IN_LINE
    barely = wide.replace('"1 mm"', '"0.553 mm"')
    assert levelled(READ_WHOLLY, more=barely).outcome is Outcome.BETTER
    upright = wide + WIRE.replace('left = "0.2 mm"\n', "").replace('above = "0 mm"', 'above = "-0.9 mm"')
    heights = LEVELLED[: LEVELLED.index("[[sweeps]]")]
    along = '[[levels]]\nway = "along"\nreading = "0.2 mm/m"\nspindle = "0 mm/m"\n'
    found = levelled(heights, more=upright + along)
    assert not last(found).sideways_read
    assert found.outcome is Outcome.UNDECIDED
    unclosed = levelled(READ_WHOLLY, {"sweeps[0].left": '"0.55 mm"', "sweeps[0].right": '"0.95 mm"'}, more=wide)
    assert [taken.field for taken in last(unclosed).unclosed] == ["sweeps[0]"]
    assert unclosed.outcome is Outcome.BETTER
    wrong = levelled(READ_WHOLLY, more=f"{wide}{along.replace('0.2 mm/m', '0.9 mm/m')}")
    alignment = last(wrong).alignment
    assert alignment is not None
    assert not alignment.fit.consistent
    assert wrong.outcome is Outcome.BETTER


def test_the_centre_height_comes_first() -> None:
    """A spindle above the loader's range is not levelled to, unless the axis is found in line all the same."""
    low = {"loader.centre_height": '["900 mm", "1000 mm"]'}
    found = levelled(LEVELLED, low)
    assert found.ground.height is not None
    assert found.ground.height.lacks_mm == pytest.approx(50.0)
    assert found.outcome is Outcome.NOT
    wide = '[level_tolerances]\nspindle = "1 mm"\naxis = "2 mm"\nroll = "2 mm/m"\n'
    assert levelled(READ_WHOLLY, low, more=wide).outcome is Outcome.IN_LINE
    barely = wide.replace('"1 mm"', '"0.553 mm"')
    assert levelled(READ_WHOLLY, low, more=barely).outcome is Outcome.NOT
    assert levelled(LEVELLED, {"loader.centre_height": None}).ground.height is None


def test_tightening_is_held_against_the_round_before() -> None:
    """The clamp lifted by 0.10 mm on tightening, more than 0.05 allowed; unmoved, nothing is found."""
    start = SLIDING + FRAME + FOUND + STILL + round_of(2, STILL + STILL_ENDS)
    tight = round_of(3, STILL + STILL_ENDS, told='stage = "tightened"\n')
    quiet = levelled(start + tight)
    assert [one.point.name for one in quiet.tightened] == [point.name for point in quiet.ground.points]
    assert all(abs(one.upright.change.miss_mm) < 1e-9 and one.sideways is not None for one in quiet.tightened)
    assert quiet.outcome is Outcome.IN_LINE
    lifted = round_of(3, LIFTED, told='stage = "tightened"\n')
    forced = levelled(start + lifted)
    clamp = next(one for one in forced.tightened if one.point.name == "nose clamp, loader standing")
    assert clamp.upright.change.miss_mm == pytest.approx(0.10, abs=1e-9)
    assert clamp.upright.grade == "outside"
    assert clamp.upright.seen
    assert forced.outcome is Outcome.NOT


def test_a_travel_read_at_one_end_only_leaves_the_answer_undecided() -> None:
    """What hangs on the headstock's or the loader's other end is not decided, and the rest is; the other end is asked for."""
    wide = '[level_tolerances]\nspindle = "1 mm"\naxis = "2 mm"\nroll = "2 mm/m"\n'
    front, shifted = ENDS.strip().split("\n\n")
    for more, open_travels in (("", ("headstock", "loader")), (front, ("loader",)), (shifted, ("headstock",)), (ENDS, ())):
        found = levelled(LEVELLED, more=f"{more}\n{wide}")
        now = last(found).now
        assert now is not None
        undecided = {r.offset.point.name for r in now.residuals if (r.upright, r.sideways) == ("not decided", "not decided")}
        places = {
            limit: {f"adapter, {limit}", f"main collet, {limit}"}
            for limit in ("headstock fully forward", "guide-bushing at its front limit", "chucker at its rear limit")
        }
        # In its second mode the lathe has the loader shifted.
        second = places["headstock fully forward"] | places["chucker at its rear limit"]
        by_travel = {"headstock": set().union(*places.values()), "loader": {*second, "nose clamp, loader shifted"}}
        assert undecided == set().union(*(by_travel[travel] for travel in open_travels))
        assert now.grade == ("not decided" if open_travels else "within")
        assert found.outcome is (Outcome.UNDECIDED if open_travels else Outcome.IN_LINE)
        assert found.read_at_one_position(last(found)) == open_travels
    assert levelled().outcome is Outcome.NOT


def test_tightening_is_compared_where_both_rounds_were_read() -> None:
    """The spindle climbs 0.3 mm/m, read at both limits before and at the rear one after: the same readings are no change."""
    climbs = STILL_ENDS.replace('bottom = "0.10 mm"', 'bottom = "-0.014 mm"', 1)
    text = SLIDING + FRAME + FOUND + STILL + round_of(2, STILL + climbs) + round_of(3, STILL, told='stage = "tightened"\n')
    found = levelled(text)
    before = found.rounds[1].alignment
    assert before is not None
    assert before.pose.value("headstock rise") == pytest.approx(0.3, abs=1e-9)
    assert len(found.tightened) == len(found.ground.points)
    for one in found.tightened:
        assert abs(one.upright.change.miss_mm) < 1e-9
        assert one.sideways is not None
        assert abs(one.sideways.change.miss_mm) < 1e-9


def test_what_was_read_at_different_ends_is_not_compared() -> None:
    """Before with the headstock back, after with it forward: nothing tells what tightening did."""
    forward = STILL.replace("[[sweeps]]\n", '[[sweeps]]\nheadstock = "front limit"\n')
    text = SLIDING + FRAME + FOUND + STILL + round_of(2, forward, told='stage = "tightened"\n')
    assert levelled(text).tightened == ()


def test_tightening_needs_a_round_before_it() -> None:
    """Alone, or followed by another move, a tightened round is compared with nothing."""
    alone = SLIDING + FRAME + round_of(1, STILL, told='stage = "tightened"\n')
    assert levelled(alone).tightened == ()
    after = SLIDING + FRAME + round_of(1, STILL) + round_of(2, STILL, told='stage = "tightened"\n') + round_of(3, STILL)
    assert levelled(after).tightened == ()


def test_a_moved_round_has_a_forecast() -> None:
    """What the moves of the round before should have left; a round as found or tightened has none."""
    text = SLIDING + FRAME + FOUND + READ + round_of(2, STILL) + round_of(3, STILL, told='stage = "tightened"\n')
    first, second, third = levelled(text).rounds
    assert first.plan is not None
    assert second.forecast is first.plan
    assert (first.forecast, third.forecast) == (None, None)


def test_a_round_after_nothing_was_moved_has_no_forecast() -> None:
    """What lies within is left alone: read once more, it is not expected anywhere else."""
    quiet = levelled(SLIDING + FRAME + FOUND + STILL + round_of(2, STILL))
    assert [one.forecast for one in quiet.rounds] == [None, None]


def test_tightening_is_held_against_the_last_round_that_tells() -> None:
    """A round without readings in between is passed over."""
    text = SLIDING + FRAME + FOUND + STILL + "[[level_rounds]]\nround = 2\n" + round_of(3, LIFTED, told='stage = "tightened"\n')
    clamp = next(one for one in levelled(text).tightened if one.point.name == "nose clamp, loader standing")
    assert clamp.upright.change.miss_mm == pytest.approx(0.10, abs=1e-9)


def test_slopes_in_inches_are_slopes() -> None:
    """0.006 in/ft is 0.5 mm/m."""
    assert read_magnitude("0.006 in/ft", kind=Kind.SLOPE) == pytest.approx(0.5)
    inches = levelled(LEVELLED, {"levels[0].reading": '"0.0072 in/ft"', "levels[0].turned": '"-0.0048 in/ft"'})
    alignment = last(inches).alignment
    assert alignment is not None
    assert alignment.pose.value(ROLL) == pytest.approx(0.5, abs=1e-9)


def test_a_hopeless_instrument_tells_nothing() -> None:
    """A bracket that may hang by the length of a street: the round lacks a better instrument, and nothing falls over."""
    one = last(levelled(LEVELLED, {"brackets[0].within": '"900 m"'}))
    assert one.lacking is not None
    assert one.lacking.action == "check how sure the instrument is, and where it was set"
