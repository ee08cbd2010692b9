"""What is said of levelling: the sentence aloud, each foot's move, and what to mind; in millimetres and in inches."""

from __future__ import annotations

import pytest

from standoff.desk.level import level_text
from standoff.job.level_cautions import LEVEL_CAUTIONS, caution_line
from standoff.job.level_lines import (
    axis_lines,
    expected_heading,
    foot_lines,
    height_line,
    mind_lines,
    reading_lines,
    screw_lines,
    standoff_line,
    tightening_lines,
    tolerance_line,
    work_lines,
)
from standoff.job.level_plausible import level_questions
from standoff.job.level_speech import headline, spoken
from standoff.job.level_words import foot_way, high_or_low, left_or_right, rolled, screw_way, shims, slope, tolerance
from standoff.job.levels import Level, moves_wanted
from standoff.site.frame import Move
from standoff.site.levelling import Plan
from tests.levelling import (
    ENDS,
    FLAT,
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
    swept,
    unbracketed,
)
from tests.texts import SLIDING

INCHES = {"job.units": '"in"'}
WIDE = '[level_tolerances]\nspindle = "1 mm"\naxis = "2 mm"\nroll = "2 mm/m"\n'


def plan_of(level: Level) -> Plan:
    """The moves of the round that counts; there have to be some."""
    plan = last(level).plan
    assert plan is not None
    return plan


def test_a_foot_goes_up_by_so_much_and_gets_so_many_shims() -> None:
    """Rear right 0.72 mm: up 0.028 in, shims 0.7 mm; front left the other way."""
    level = levelled(LEVELLED, {**INCHES, "frame.shim_step": '"0.1 mm"'})
    assert foot_lines(level, plan_of(level)) == (
        "front left: down 0.017 in: take out shims 0.5 mm",
        "front right: down 0.003 in: no shims",
        "rear left: up 0.014 in: shims 0.4 mm",
        "rear right: up 0.028 in: shims 0.7 mm",
    )


def test_shims_are_told_in_the_unit_they_are_bought_in() -> None:
    """Steps of 0.005 in: 0.030 in of shims for 0.72 mm, though the job is in millimetres."""
    level = levelled(LEVELLED, {"frame.shim_step": '"0.005 in"'})
    assert foot_lines(level, plan_of(level))[3] == "rear right: up 0.72 mm: shims 0.03 in"
    assert shims(0.0, level.job) == "no shims"
    assert shims(0.7, levelled().job) == ""


def test_jacks_get_no_shims() -> None:
    """Without a step the foot is set to what is wanted."""
    level = levelled()
    assert foot_lines(level, plan_of(level))[3] == "rear right: up 0.72 mm"
    assert screw_lines(level, plan_of(level)) == ("front screws: right 0.72 mm", "rear screws: right 0.72 mm")


def test_a_travel_that_does_not_suffice_is_said() -> None:
    """0.44 mm down with 0.4 mm left, 0.72 mm right with 0.5 mm left."""
    level = levelled(LEVELLED, {"feet[0].down": '"0.4 mm"', "side_screws[0].right": '"0.5 mm"'})
    assert foot_lines(level, plan_of(level))[0] == "front left: down 0.44 mm, 0.04 mm beyond its travel"
    assert screw_lines(level, plan_of(level))[0] == "front screws: right 0.72 mm, 0.22 mm beyond its travel"
    assert spoken(level).endswith("Mind: not every travel suffices.")


def test_a_foot_that_would_rock_is_said() -> None:
    """Steps of 0.3 mm leave the feet 0.075 mm out of one plane, where 0.05 is allowed."""
    level = levelled(LEVELLED, {"frame.shim_step": '"0.3 mm"'})
    plan = plan_of(level)
    assert plan.rocking
    told = foot_lines(level, plan)
    assert [line.split(":")[0] for line in told if "out of the plane of the others" in line] == list(plan.rocking)


@pytest.mark.parametrize(
    ("way", "move_mm", "units", "said"),
    [
        ("foot", 0.8, "mm", "up 0.80 mm"),
        ("foot", -0.8, "in", "down 0.031 in"),
        ("foot", 0.004, "mm", "stays"),
        ("screw", 1.5, "mm", "left 1.50 mm"),
        ("screw", -1.5, "in", "right 0.059 in"),
        ("screw", 0.01, "in", "stays"),
    ],
)
def test_moves(way: str, move_mm: float, units: str, said: str) -> None:
    """Up and down, left and right, or nothing that a person could set."""
    tell = foot_way if way == "foot" else screw_way
    assert tell(Move("foot", move_mm, -5.0, 5.0), "in" if units == "in" else "mm") == said


def test_offsets_and_slopes() -> None:
    """Hundredths of a millimetre or thousandths of an inch; a slope over a metre or a foot; nothing is said as such."""
    assert high_or_low(0.31, "mm") == "0.31 mm high"
    assert high_or_low(-0.31, "in") == "0.012 in low"
    assert high_or_low(-0.001, "mm") == "at the right height"
    assert left_or_right(0.31, "mm") == "0.31 mm left"
    assert left_or_right(-0.31, "mm") == "0.31 mm right"
    assert left_or_right(0.0, "in") == "not aside"
    assert rolled(0.5, "mm") == "left side up 0.50 mm/m"
    assert rolled(-0.5, "in") == "right side up 0.0060 in/ft"
    assert rolled(0.001, "mm") == "no roll"
    assert slope(-0.5, "mm") == "0.50 mm/m"
    assert tolerance(0.1, "mm") == "0.1 mm"
    assert tolerance(0.0508, "in") == "0.002 in"


def test_the_sentence_aloud() -> None:
    """Out of line with feet, without feet, in line, and with nothing read."""
    assert headline(levelled(LEVELLED, more=ENDS)) == (
        "Not in line (round 1, as found): the axis is 0.55 mm high and 0.20 mm left at the main collet, headstock fully forward"
    )
    assert spoken(levelled()) == (
        "Set the feet as listed (most: rear right up 0.72 mm), then push at the side screws"
        " (front screws right 0.72 mm and rear screws right 0.72 mm), then read everything again."
    )
    bare = levelled(SLIDING + unbracketed(READ))
    assert spoken(bare) == "Say where the feet stand ([[feet]]), and each one's move is told."
    quiet = levelled(LEVELLED, more=ENDS + WIDE)
    assert headline(quiet).startswith("In line with the spindle (round 1, as found)")
    assert spoken(quiet).startswith("Nothing needs to be moved. Next: ")
    nothing = levelled(SLIDING)
    assert headline(nothing) == "Not told yet"
    assert spoken(nothing).startswith("Nothing is read yet: ")


def test_what_keeps_from_moving_comes_first() -> None:
    """A missing roll, a height out of range, readings that contradict, a sweep that does not close: each before any move."""
    level_table = READ[: READ.index("[[sweeps]]")]
    assert "lay a level across" in spoken(levelled(LEVELLED.replace(level_table, "\n")))
    low = levelled(LEVELLED, {"loader.centre_height": '["900 mm", "1000 mm"]'})
    assert spoken(low).endswith("the loader has to be raised as a whole by 50 mm first.")
    high = levelled(LEVELLED, {"loader.centre_height": '["1100 mm", "1200 mm"]'})
    assert spoken(high).endswith("the loader has to be lowered as a whole by 50 mm first.")
    along = '[[levels]]\nway = "along"\nreading = "0.9 mm/m"\nspindle = "0 mm/m"\n'
    assert spoken(levelled(LEVELLED, more=along)).startswith("The readings contradict one another: look first at ")
    unclosed = levelled(LEVELLED, {"sweeps[0].left": '"0.55 mm"', "sweeps[0].right": '"0.95 mm"'})
    assert spoken(unclosed) == "A sweep does not close: read it again before anything is moved."


def test_what_is_within_only_if_measured_better() -> None:
    """Not sure enough, or sideways not read: nothing is to be moved, but to be read."""
    barely = levelled(LEVELLED, more=ENDS + WIDE.replace('"1 mm"', '"0.553 mm"'))
    assert spoken(barely).startswith("As far as can be told nothing needs to be moved")
    upright = WIDE + WIRE.replace('left = "0.2 mm"\n', "").replace('above = "0 mm"', 'above = "-0.9 mm"')
    along = '[[levels]]\nway = "along"\nreading = "0.2 mm/m"\nspindle = "0 mm/m"\n'
    level = levelled(LEVELLED[: LEVELLED.index("[[sweeps]]")], more=upright + along)
    assert "sideways is not read yet" in spoken(level)
    assert axis_lines(level.rounds[0].now, "mm")[0].endswith("; sideways not read (1 mm allowed)")  # type: ignore[arg-type]
    assert any("sideways is not read yet" in line for line in mind_lines(level, last(level)))


def test_axis_lines() -> None:
    """Each point with its ways, its uncertainty at about 95 %, its grades and what is allowed; the roll last."""
    now = last(levelled()).now
    assert now is not None
    lines = axis_lines(now, "mm")
    assert len(lines) == len(now.residuals) + 1
    assert lines[0].startswith("adapter, headstock fully back: 0.36 mm high ± 0.0")
    assert lines[0].endswith("outside (0.1 mm allowed)")
    assert lines[-1].startswith("roll: left side up 0.50 mm/m ± 0.05 mm/m, ")


def test_how_readings_agree() -> None:
    """Agreeing, contradicting with suspects, and too few to tell."""
    assert reading_lines(last(levelled())) == (
        "5 figures, none of them tested by another: read something twice or at a third place",
    )
    along = '[[levels]]\nway = "along"\nreading = "{} mm/m"\nspindle = "0 mm/m"\n'
    (agree,) = reading_lines(last(levelled(LEVELLED, more=along.format("0.2"))))
    assert agree == "6 figures, 3 of them tested by others: they agree"
    (contrary,) = reading_lines(last(levelled(LEVELLED, more=along.format("0.9"))))
    assert "they contradict one another; look first at " in contrary
    lacking = levelled(LEVELLED[: LEVELLED.index("[[sweeps]]")])
    (told,) = reading_lines(last(lacking))
    assert told.startswith("this round does not tell where the loader lies: ")


def test_what_to_mind() -> None:
    """Read at one position, sag not known, level not turned, no side screws, a sweep that does not close."""
    level = levelled()
    assert mind_lines(level, last(level)) == (
        "read with the headstock at one position only: read the same place with it at both limits",
        "read with the loader at one position only: read the same place with it at both ends of its shift",
    )
    changes = {"sweeps[0].bracket": None, "levels[0].turned": None, "sweeps[1].left": '"0.25 mm"'}
    screws = FRAME[FRAME.index("[[side_screws]]") : FRAME.index("[[brackets]]")]
    weak = levelled(LEVELLED.replace(screws, ""), changes)
    told = " / ".join(mind_lines(weak, last(weak)))
    for words in (
        "the sweep of channel bore does not close",
        "by 0.40 mm",
        "hang by 0.1 mm",
        "off by 0.10 mm/m",
        "no [[side_screws]]",
    ):
        assert words in told


def test_a_slide_that_climbs_is_no_surprise() -> None:
    """Read with the headstock back only and moved by that; read again at both limits: back there it is as expected."""
    climbs = STILL_ENDS.replace('bottom = "0.10 mm"', 'bottom = "-0.25 mm"', 1)
    high = STILL.replace('bottom = "0.10 mm"', 'bottom = "0.90 mm"').replace('top = "0 mm"', 'top = "-0.80 mm"')
    text = SLIDING + FRAME + FOUND + high + round_of(2, STILL + climbs)
    level = levelled(text)
    one = last(level)
    assert one.forecast is not None
    assert one.alignment is not None
    assert one.alignment.pose.value("headstock rise") > 0.9
    assert not any("from where the moves should have left it" in line for line in mind_lines(level, one))


def test_what_was_not_read_at_both_ends_is_asked_for() -> None:
    """Not decided, in words: which end is to be read, and no figure at the places that hang on it."""
    level = levelled(LEVELLED, more=WIDE)
    assert headline(level).startswith("Not decided (round 1, as found): the axis is 0.48 mm high")
    assert spoken(level).startswith(
        "Read the same place with the headstock at its other limit and with the loader at the other end of its shift before"
    )
    now = last(level).now
    assert now is not None
    (forward,) = [line for line in axis_lines(now, "mm") if line.startswith("adapter, headstock fully forward")]
    assert forward.endswith(": not read there, not decided; not read there, not decided (1 mm allowed)")


def test_an_outcome_that_surprises_is_said() -> None:
    """After moves that should have brought it into line the axis is as before: something was not done."""
    same = levelled(LEVELLED, more=round_of(2, READ))
    told = mind_lines(same, last(same))
    assert any("from where the moves should have left it" in line and "upright" in line for line in told)
    assert any("sideways" in line for line in told)
    moved = levelled(SLIDING + FRAME + FOUND + STILL, more=round_of(2, STILL))
    assert not any("should have left" in line for line in mind_lines(moved, last(moved)))


def test_what_tightening_changed() -> None:
    """Each point with the change, and whether it is more than the readings' uncertainty."""
    text = SLIDING + FRAME + FOUND + STILL + round_of(2, LIFTED, told='stage = "tightened"\n')
    level = levelled(text)
    clamp = next(line for line in tightening_lines(level) if line.startswith("nose clamp, loader standing"))
    assert clamp.startswith("nose clamp, loader standing: 0.10 mm ± 0.04 mm upright, outside; 0.00 mm ± ")
    assert clamp.endswith("sideways, no more than the readings' uncertainty, within")
    assert spoken(level).startswith("Set the feet as listed")
    assert spoken(levelled(text, more=WIDE)).startswith("Tightening moved the axis by more than is allowed: loosen")


def test_heights_standoff_and_tolerances() -> None:
    """The spindle at 1050 in 960 to 1120; outside; unknown. The standoff before and after. What is allowed and whence."""
    assert height_line(levelled()) == (
        "Centre height: the spindle lies 90 mm above the loader's lowest axis, 70 mm below its highest: within."
    )
    low = levelled(LEVELLED, {"loader.centre_height": '["900 mm", "1000 mm"]'})
    assert height_line(low) == "Centre height: the spindle lies 50 mm above the loader's highest axis: outside."
    high = levelled(LEVELLED, {"loader.centre_height": '["1100 mm", "1200 mm"]'})
    assert height_line(high) == "Centre height: the spindle lies 50 mm below the loader's lowest axis: outside."
    assert "not checked" in height_line(levelled(LEVELLED, {"lathe.centre_height": None}))
    assert standoff_line(levelled()) == (
        "Standoff: 300 mm (as read in round 1). The moves make it 0.21 mm shorter. Read it again after aligning."
    )
    far = levelled(LEVELLED, more='[[level_rounds]]\nround = 2\nstandoff = "520 mm"\n')
    assert "520 mm, read again in round 2: it no longer serves" in standoff_line(far)
    assert tolerance_line(levelled().ground.tolerances, "in") == (
        "Allowed either way: 0.0039 in at the spindle, 0.0098 in along the loader, roll 0.0060 in/ft, a foot 0.002 in out of"
        " plane, 0.002 in on tightening (common practice, no published source)."
    )


def test_the_order_of_work_marks_what_is_next() -> None:
    """One task is marked as next, with why."""
    lines = work_lines(levelled())
    assert [line for line in lines if line.startswith("[next]")] == [
        "[next] Set roll, pitch and height at the feet. (outside its tolerance)"
    ]
    assert lines[0].startswith("[done] ")


def test_cautions_name_their_source() -> None:
    """Lockout, lifting, anchors, and that nothing here is a release; no answer calls anything safe."""
    lines = [caution_line(caution) for caution in LEVEL_CAUTIONS]
    assert [caution.id for caution in LEVEL_CAUTIONS] == ["level-lockout", "level-lifting", "level-anchors", "level-release"]
    assert "29 CFR 1910.147" in lines[0]
    assert "29 CFR 1926.1153" in lines[2]
    assert lines[3].endswith("decide.")
    assert not any("safe" in line for line in lines)


@pytest.mark.parametrize(
    ("field", "value", "said"),
    [
        ("feet[2].behind_clamp", '"42 ft"', "feet[2].behind_clamp: 42 ft lies behind the loader's rear end, 4600 mm."),
        ("side_screws[1].behind_clamp", '"4700 mm"', "side_screws[1].behind_clamp: 4700 mm lies behind"),
        ("feet[2].left", '"350 cm"', "feet[2].left: 350 cm is unusual"),
        ("sweeps[1].top", '"1 in"', "sweeps[1].top: 1 in is unusual (up to 10.00 mm is usual)."),
        ("levels[0].reading", '"12 mm/m"', "levels[0].reading: 12.00 mm/m is unusual"),
        ("frame.axis_height", '"104 mm"', "frame.axis_height: 104 mm differs much from lathe.centre_height, 1050 mm"),
        ("sweeps[0].bottom", '"-70 mm"', "a move of more than 25.00 mm is unusual"),
    ],
)
def test_what_is_hardly_meant_is_asked_about(field: str, value: str, said: str) -> None:
    """Feet for inches, centimetres for millimetres, an indicator that shows an inch: asked, not refused."""
    assert level_questions(levelled()) == ()
    assert any(question.sentence.startswith(said) for question in level_questions(levelled(LEVELLED, {field: value})))


@pytest.mark.parametrize(("sign", "said"), [("", "left"), ("-", "right")])
def test_feet_on_one_side_are_asked_about(sign: str, said: str) -> None:
    """A minus forgotten: all feet stand on one side of the axis."""
    places = {"feet[0].left": "300", "feet[1].left": "600", "feet[2].left": "300", "feet[3].left": "600"}
    found = level_questions(levelled(LEVELLED, {field: f'"{sign}{mm} mm"' for field, mm in places.items()}))
    assert [question.field for question in found] == ["feet[0].left"]
    assert found[0].text.startswith(f"every foot stands to the {said} of the axis.")


def test_what_no_move_cures_is_said() -> None:
    """In line at the ends of all travel, 0.19 mm low where the first mode ends: feet and screws have nothing to do."""
    both = 'headstock = "front limit"\nmode = "chucker"\nloader = "shifted"\n'
    readings = (swept(0, 0.0), swept(4000, 0.0), swept(0, -0.19, 'headstock = "front limit"\n'), swept(0, 0.0, both))
    level = levelled(SLIDING + FRAME + FLAT + "".join(readings))
    assert headline(level).startswith("Not in line (round 1, as found): the axis is 0.20 mm high")
    assert spoken(level).startswith("No move of feet or screws cures what is left: have the headstock's slide")


def test_moves_from_noise_are_no_order() -> None:
    """Read at two places 340 mm apart: 0.03 mm between them are half a millimetre at the far end, and may be nothing."""
    text = SLIDING + FRAME + FLAT + swept(-110, 0.015) + swept(230, -0.015)
    level = levelled(text, {"lathe.modes[1].loader_shift": None})
    one = last(level)
    assert one.now is not None
    assert one.now.grade == "outside"
    assert one.plan is not None
    assert headline(level).startswith("Not in line, but not sure (round 1, as found): the axis is 0.4")
    assert headline(level).endswith("at the rear end of the loader")
    assert spoken(level).startswith("Not sure enough to move anything by: at the rear end of the loader the miss")
    assert any(line.startswith("at the rear end of the loader it is sure only to ± 0.") for line in mind_lines(level, one))
    assert not moves_wanted(level, one)
    assert "Feet:" not in level_text(level)
    followed = levelled(text + round_of(2, FLAT + swept(-110, 0.0) + swept(3900, 0.0)), {"lathe.modes[1].loader_shift": None})
    assert last(followed).forecast is None


def test_one_place_that_surely_lies_outside_is_enough_to_move_by() -> None:
    """The same two places, both half a millimetre high: how the far end lies is still unsure, that the loader is high is not."""
    text = SLIDING + FRAME + FLAT + swept(-110, 0.515) + swept(230, 0.485)
    level = levelled(text, {"lathe.modes[1].loader_shift": None})
    assert "not sure" not in headline(level)
    assert spoken(level).startswith("Set the feet as listed")


def test_a_sure_miss_is_moved_by() -> None:
    """The same two places with 0.3 mm between them: outside, and more than the readings could be wrong by."""
    level = levelled(SLIDING + FRAME + FLAT + swept(-110, 0.15) + swept(230, -0.15), {"lathe.modes[1].loader_shift": None})
    assert headline(level).startswith("Not in line (round 1, as found)")
    assert moves_wanted(level, last(level))


def test_the_roll_alone_out_is_named() -> None:
    """The axis at its height everywhere, the left side up 2 mm/m: the headline does not speak of the axis."""
    rolled_only = FLAT.replace('reading = "0 mm/m"', 'reading = "2 mm/m"').replace('turned = "0 mm/m"', 'turned = "-2 mm/m"')
    level = levelled(SLIDING + FRAME + rolled_only + swept(0, 0.0) + swept(4000, 0.0))
    assert headline(level) == "Not in line (round 1, as found): the loader is rolled, left side up 2.00 mm/m"


def test_what_is_expected_only_if_it_can_be_done() -> None:
    """Feet that cannot go so far, a height out of range: what is expected holds only once that is mended."""
    plan = plan_of(levelled(LEVELLED, {"feet[0].down": '"0.4 mm"'}))
    assert expected_heading(plan_of(levelled())) == "Expected then"
    assert expected_heading(plan) == "Expected only once every travel suffices"
    low = plan_of(levelled(LEVELLED, {"loader.centre_height": '["900 mm", "1000 mm"]'}))
    assert expected_heading(low) == "Expected only once the spindle lies in the loader's range of heights"


def test_shims_that_are_too_coarse_are_said() -> None:
    """0.2 mm high with steps of 0.5 mm: what they leave is outside, where jacks would leave nothing."""
    text = SLIDING + FRAME + FLAT + swept(0, 0.2) + swept(4000, 0.2)
    coarse, fine = (levelled(text, {"frame.shim_step": f'"{step} mm"'}) for step in (0.5, 0.05))
    assert plan_of(coarse).coarse
    assert not plan_of(fine).coarse
    assert not plan_of(levelled(text)).coarse
    assert spoken(coarse).startswith("The shims are too coarse: with steps of 0.5 mm")
    assert spoken(fine).startswith("Set the feet as listed")


def test_one_bracket_at_two_reaches_is_asked_about() -> None:
    """The bracket that swept the clamp, 300 mm away, cannot hang alike 2300 mm away; 350 mm away it does."""
    (question,) = level_questions(levelled(LEVELLED, {"sweeps[1].bracket": '"short bracket"'}))
    assert question.field == "brackets[1].sag"
    assert question.text.startswith("short bracket is used at reaches between 300 mm and 2300 mm")
    near = {"sweeps[1].bracket": '"short bracket"', "sweeps[1].behind_clamp": '"50 mm"', "sweeps[1].top": '"0.8 mm"'}
    assert not any(one.field.startswith("brackets") for one in level_questions(levelled(LEVELLED, near)))


@pytest.mark.parametrize(
    ("reading", "turned", "asked"),
    [
        ("0.84", "0.84", True),  # the same sign noted twice
        ("0.13", "0.13", True),  # small, but over three times the level's limits and no slope beside it
        ("0.10", "0.10", False),
        ("0.9", "-0.45", True),  # its zero 0.225 mm/m
        ("0.6", "-0.4", False),
    ],
)
def test_a_level_that_would_be_far_off_is_asked_about(reading: str, turned: str, *, asked: bool) -> None:
    """Half the sum of both readings is the level's own: large, or larger than the slope, it is asked about."""
    level = levelled(LEVELLED, {"levels[0].reading": f'"{reading} mm/m"', "levels[0].turned": f'"{turned} mm/m"'})
    assert [question.field for question in level_questions(level)] == (["levels[0].turned"] if asked else [])
    assert all("same end of the level up counts positive" in question.text for question in level_questions(level))
