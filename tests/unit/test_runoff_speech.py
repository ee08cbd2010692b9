"""The run-off in words: the sentence of every standing, what passing proves, what was measured; never a pass mark alone."""

from __future__ import annotations

import re

import pytest

from standoff.job.demonstration import text_of
from standoff.job.file import parse_job
from standoff.job.placement import place
from standoff.job.runoff import runoff_of
from standoff.job.runoff_answer import runoff_contents
from standoff.job.runoff_measure_speech import (
    alarm_lines,
    change_lines,
    length_lines,
    remnant_lines,
    signal_lines,
    signal_sentence,
)
from standoff.job.runoff_speech import (
    CAUTION,
    headline,
    interval_line,
    notice_lines,
    open_lines,
    passing_line,
    plan_line,
    proof_lines,
    run_sentence,
    run_title,
    shift_line,
    stop_lines,
)
from standoff.job.speed import bar_speed
from standoff.job.whip_limit import whip_limit_rpm
from tests.runoffs import bar, measured, run_off, run_off_text, runoff_job, signal, undo
from tests.texts import altered
from tests.turning import PARTS, Changes
from tests.unit.test_runoff import EVERYTHING, FIXED_REMNANT, HUBS, PINS

ONE: Changes = {"runoff.bars_in_row": "5", "runoff_runs[1].part": '"pin"'}
"""Five in a row with one new beginning; both runs make pins."""

SHOWS = "Three clean bars in a row, with one new beginning allowed, show only that at least 29.3 of 100 bars run clean"
FIVE = "Five clean bars in a row, with one new beginning allowed, show only that at least 47.9 of 100 bars run clean"
SHOWS, FIVE = (f"{words} (95 % confidence)." for words in (SHOWS, FIVE))


def pins(count: int, *stopped: int) -> list[object]:
    """So many pins after the file's one, those of these numbers stopped by the loader."""
    return [bar(f"b{i}", minute=i, **({"stop": "loader"} if i in stopped else {})) for i in range(1, count + 1)]


def test_before_the_first_bar() -> None:
    """Nothing has run: how many are needed, and what they will show."""
    found = run_off(changes={"runoff_bars[0].run": '"hubs"', "runoff_bars[0].bar_length": None})
    told = "Hubs: the only bar so far ran clean, 2 more clean bars in a row are needed"
    assert (
        headline(found)
        == f"Not decided yet. Pins: nothing has run yet, 3 clean bars in a row are needed; {told[0].lower()}{told[1:]}. {SHOWS}"
    )


def test_the_sentence_of_a_run_in_the_middle() -> None:
    """Four of five ran clean, the stop was the third: three more in a row. As a technician would say it."""
    found = run_off(*pins(4, 2), changes={"runoff.bars_in_row": "5"})  # type: ignore[arg-type]
    assert run_sentence(found.runs[0]) == "4 of 5 bars ran clean; not decided yet: 3 more clean bars in a row are needed."
    assert headline(found).endswith(FIVE)


def test_one_run_alone_needs_no_name() -> None:
    """The sentence of the run, then what passing shows."""
    text = {"runoff_runs[1].name": '"pins again"'}
    found = run_off(*pins(1), changes=text)  # type: ignore[arg-type]
    assert "Pins: 2 of 2 bars ran clean, 1 more clean bar in a row is needed" in headline(found)


def test_what_the_weakest_run_shows_is_what_is_said() -> None:
    """A run of 59 changes shows much; the other one does not, whichever comes first."""
    assert headline(run_off(changes={"runoff_runs[1].changes": "59"})).endswith(SHOWS)
    assert headline(run_off(changes={"runoff_runs[0].changes": "59"})).endswith(SHOWS)


def test_accepted() -> None:
    """What was passed, and what that shows."""
    found = run_off(*EVERYTHING, changes=FIXED_REMNANT)
    wanted = "which is not enough to show the 90 of 100 that are wanted"
    assert headline(found) == f"Accepted: both runs passed what was agreed, {wanted}. {SHOWS}"
    assert run_sentence(found.runs[1]) == "3 of 3 bars ran clean: passed with the 3rd."


def test_not_passed_names_everything_that_failed() -> None:
    """The run, the limit and the sheet, each once."""
    log = (*pins(3, 1, 2), *HUBS, measured("m", "h1", change="61 s"), signal("s", "lathe-stop", "not ok"))
    found = run_off(*log)  # type: ignore[arg-type]
    assert headline(found) == (
        "Not passed: pins: 2 stopped bars in 4, and one allowed; hubs: a bar change took longer than agreed;"
        " a signal does not come as it must."
    )
    assert run_sentence(found.runs[0]) == "2 of 4 bars ran clean: failed with the 3rd, the stop after the one allowed."


def test_passed_bars_with_the_rest_open() -> None:
    """The bars are enough; what is left to do is told, and the confidence too."""
    found = run_off(*PINS, *HUBS, changes=FIXED_REMNANT)
    assert headline(found) == f"Not decided yet: every run has passed its bars; left are signals to test. {SHOWS}"
    assert open_lines(found) == ("signals to test",)


def test_stops_after_the_decision_stand_beside_it() -> None:
    """Nobody is to read "accepted" and miss them; nor that what is wanted is not shown by what was agreed."""
    later = tuple(bar(f"q{i}", minute=20 + i, stop="loader") for i in range(4))
    found = run_off(*EVERYTHING, *later, changes=FIXED_REMNANT)
    assert headline(found) == (
        f"Accepted: both runs passed what was agreed, which is not enough to show the 90 of 100 that are wanted."
        f" But since then pins: 4 of 5 more bars stopped. {SHOWS}"
    )


def test_stops_taken_back_are_told() -> None:
    """One stop taken back turns a failed run into a passed one: it is said, and stays in the tally."""
    found = run_off(bar("b", minute=1, stop="loader"), undo("u", "b"))
    told = "1 stopped bar was taken back: they count for nothing, and stay in the tally as taken back"
    assert notice_lines(found) == (told,)
    assert notice_lines(run_off(bar("b", minute=1), undo("u", "b"))) == ()


@pytest.mark.parametrize(
    ("clean_bars", "wanted", "told"),
    [
        (28, "0.9", "show only that at least 89.8 of 100"),
        (28, "0.9", "90 of 100 are wanted: that takes 29 clean bars in a row"),
        (300, "0.9996", "99.96 of 100 are wanted: that takes 7488"),
    ],
)
def test_no_share_is_rounded_to_its_better_side(clean_bars: int, wanted: str, told: str) -> None:
    """What is shown is rounded down, what a shift needs up, limits outwards; 0.05^(1/28) = 0.8985."""
    changes = {"runoff.bars_in_row": str(clean_bars), "runoff.stops_allowed": "0", "runoff.clean_share": wanted}
    assert told in " ".join(proof_lines(run_off(changes=changes).runs[0].plan))


def test_what_a_long_shift_asks_is_never_rounded_to_less() -> None:
    """As many nines as it takes; and no number of clean bars makes a share certain."""
    plan = run_off(changes={"runoff.unattended": '"999 h"'}).runs[0].plan
    assert plan.shift is not None
    (told,) = re.findall(r"([0-9.]+) of 100 must", shift_line(plan))
    assert plan.shift.needed_share <= float(told) / 100.0 < 1.0
    many_clean = tuple(bar(f"b{i}", minute=i) for i in range(300))
    assert "is shown with 99.9 % confidence" in interval_line(run_off(*many_clean).runs[0])


def test_without_a_part_there_are_no_signals_to_test_yet() -> None:
    """It says what is to be done first."""
    found = run_off_text(PARTS[: PARTS.index("[[parts]]")])
    assert open_lines(found) == ("a part to describe, whose cycle gives the signals to test",)


def test_a_bar_that_does_not_count() -> None:
    """Void: neither clean nor stopped; told where the run is decided and among the stops."""
    found = run_off(*PINS, bar("o", minute=9, stop="operator"))
    assert run_sentence(found.runs[0]) == "4 of 4 bars ran clean: passed with the 3rd. 1 more bar did not count."
    assert stop_lines(found) == ("operator: 1 (do not count: their bars are void)",)


def test_the_run_and_its_plan() -> None:
    """Bar, mode and speed; what is agreed, or that it is ours."""
    pins_run, hubs = run_off().runs
    assert run_title(pins_run) == "pins: 16 mm steel, guide-bushing mode, 2000 rpm"
    assert run_title(hubs) == "hubs: 16 mm steel, chucker mode"
    assert plan_line(pins_run.plan) == "agreed: three clean bars in a row, with one new beginning allowed"
    ours = run_off(changes=dict.fromkeys(("runoff.bars_in_row", "runoff.clean_share", "runoff.unattended"))).runs[0].plan
    assert plan_line(ours).endswith("(nothing is agreed: this is our default, common practice without a published source)")


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"runoff.bars_in_row": None, "runoff.bars": "20"}, "agreed: 20 bars in all, at most one of them stopped"),
        ({"runoff.bars_in_row": None}, "agreed: seven bars in all, at most one of them stopped, as many as a shift of 8 h takes"),
        (
            {"runoff.bars_in_row": None, "runoff.unattended": None, "runoff.stops_allowed": "0"},
            "agreed: 29 bars in all, none of them stopped, as many as it takes to show 90 of 100",
        ),
        ({"runoff_runs[0].changes": "59"}, "agreed: 59 bar changes in all, none of them stopped"),
        ({"runoff.stops_allowed": "0"}, "agreed: three clean bars in a row, at the first attempt"),
    ],
)
def test_every_rule_in_words(changes: Changes, told: str) -> None:
    """A total, a shift, a share, short stock, a row without a second attempt."""
    assert plan_line(run_off(changes=changes).runs[0].plan) == told


def test_what_passing_proves() -> None:
    """The confidence it buys, what one attempt would show, what is wanted, how often cells pass, short stock, and the shift."""
    lines = proof_lines(run_off(changes={"runoff.bars_in_row": "5"}).runs[0].plan)
    assert lines[0] == FIVE
    assert lines[1] == "at the first attempt it would show 54.9 of 100: each new beginning is another chance to pass"
    assert lines[2] == "90 of 100 are wanted: that takes 35 clean bars in a row, with one new beginning allowed"
    assert lines[3].startswith("how often a cell passes, by how many of its bars truly run clean: 50 of 100 6 times in 100; ")
    assert lines[4].startswith("29 bar changes with short stock, none stopped, show 90 of 100 of the change alone, in 0.9 h; ")
    assert lines[5] == (
        "a shift of 8 h takes 7 bars: to pass without a stop 90 times in 100, 98.6 of 100 must run clean;"
        " what this plan shows is good for less than 1 shift in 100"
    )


def test_enough_is_said_too() -> None:
    """A plan that shows what is wanted says so, and speaks of no short stock."""
    lines = proof_lines(run_off(changes={"runoff.bars_in_row": "35"}).runs[0].plan)
    assert lines[2] == "90 of 100 are wanted: that is shown"
    assert not any("short stock" in line for line in lines)
    assert "only" not in lines[0]


def test_shares_are_not_rounded_into_what_is_wanted() -> None:
    """94.97 of 100 is told as 94.9 where 95 are wanted; the odds of a sure cell are no round hundred."""
    changes = {"runoff.bars_in_row": "58", "runoff.stops_allowed": "0", "runoff.clean_share": "0.95"}
    plan = run_off(changes=changes).runs[0].plan
    assert not plan.enough
    assert "at least 94.9 of 100" in proof_lines(plan)[0]
    assert "99 of 100 more than 99 times in 100" in passing_line(run_off().runs[0].plan)


def test_what_the_bars_show_so_far() -> None:
    """Between which shares, and how sure the share wanted is; before the first bar nothing."""
    found = run_off(*pins(4, 2))  # type: ignore[arg-type]
    assert interval_line(found.runs[0]) == (
        "by 5 bars, one stopped: between 28.3 and 99.5 of 100 run clean (95 % confidence,"
        " as if their number had been agreed before); that at least 90 of 100 do is shown with 8 % confidence"
    )
    assert interval_line(found.runs[1]) == "no bar has run: nothing is shown yet"


def test_remnants_in_words() -> None:
    """Predicted before the first; measured, predicted and agreed after."""
    found = run_off(*PINS)
    assert remnant_lines(found.runs[1], "mm")[0].startswith("predicted ")
    assert remnant_lines(found.runs[1], "mm")[1] == "none measured yet"
    lines = remnant_lines(found.runs[0], "mm")
    assert lines[0] == (
        "366.8 mm on the average of 4 bars; any bar may leave 330.0 mm to 390.0 mm:"
        " measure the length of bars before they run to tell more"
    )
    known = tuple(measured(f"m{i}", f"p{i}", bar_length="3649 mm") for i in range(2))
    some = remnant_lines(run_off(*PINS, *known).runs[0], "mm")[0]
    assert some.startswith("366.8 mm on the average of 4 bars; of the 3 whose length is known 366.0 mm, predicted 348.3 mm, each")
    assert lines[1] == "agreed: at most 500.0 mm on the average: kept"
    assert lines[2].startswith("steady from bar to bar: all between")
    nameless = run_off(changes={"runoff_runs[1].part": None}).runs[1]
    assert remnant_lines(nameless, "mm")[0] == "not predicted: no part is named for this run"
    short = run_off(changes={"runoff_runs[0].changes": "59"}).runs[0]
    assert remnant_lines(short, "mm")[0] == "short stock leaves no remnant of a whole bar"


def test_a_remnant_that_is_not_as_predicted_says_what_it_means() -> None:
    """Longer by more than chance explains; and one that no standoff allows."""
    log = tuple(bar(f"b{i}", minute=i, remnant="430 mm", bar_length="3650 mm") for i in range(3))
    lines = remnant_lines(run_off(*log, changes={"runoff_bars[0].remnant": '"430 mm"'}).runs[0], "mm")
    assert "longer, more than the" in lines[0]
    assert lines[0].endswith("that chance explains: a dimension is not what the survey says")
    short = run_off(bar("b", remnant="200 mm"))
    assert any("1 remnant shorter than" in line for line in remnant_lines(short.runs[0], "mm"))


def test_parts_in_words() -> None:
    """How many are within, the capability with what so few show of it, and the bar's end against its beginning."""
    log = tuple(bar(f"b{i}", minute=i, first_part=f"57.0{i} mm", end_part=f"57.0{i + 2} mm") for i in range(1, 4))
    lines = length_lines(run_off(*log).runs[0], "mm")
    assert lines[0].startswith("first parts: 4 measured, 57.010 mm to 57.030 mm; 4 of 4 within 57.000 mm ± 0.100 mm; Cp ")
    assert "so few lengths show" in lines[0]
    assert lines[2].startswith("last part against first part of the same bar: 0.017 mm longer on the average of 4 bars (between ")
    free = run_off(bar("h", run="hubs", first_part="57 mm")).runs[1]
    assert length_lines(free, "in") == ("first parts: 1 measured, 2.2441 in to 2.2441 in; no tolerance is agreed",)


def test_bar_changes_in_words() -> None:
    """Mean and longest against what was agreed; what stands out."""
    assert change_lines(run_off(*PINS).runs[0]) == ("41 s on the average of 4, the longest 41 s; agreed at most 60 s: kept",)
    late = run_off(bar("b", change="70 s"), changes={"runoff.bar_change_at_most": None})
    assert change_lines(late.runs[0]) == ("55 s on the average of 2, the longest 70 s",)
    odd = run_off(
        *(bar(f"b{i}", minute=i, change=text) for i, text in enumerate(("40 s", "40 s", "41 s", "40 s", "41 s", "59 s")))
    )
    (_, line) = change_lines(odd.runs[0])
    assert line.startswith("not steady: ")
    assert "at change 7" in line
    assert change_lines(run_off().runs[1]) == ()


def test_signals_and_alarms_in_words() -> None:
    """How far the sheet is, each row with its result, each alarm."""
    found = run_off(signal("s", "lathe-stop", "not ok", note="ran on", by="installer"))
    count = len(found.signals)
    assert signal_sentence(found) == f"1 of {count} signals are ok, 1 not ok, {count - 2} not tested yet."
    (line,) = (line for line in signal_lines(found) if " lathe-stop: " in line)
    assert line.startswith("[not ok] lathe-stop: any time: press the lathe's emergency stop; both wait for emergency stop: ")
    assert line.endswith("(ran on, installer)")
    assert alarm_lines(found) == ("[ok] no bar",)


def test_notices() -> None:
    """What no run covers, bars before the agreement, a length that holds no part."""
    changes = {
        "runoff.agreed_on": '"2026-03-04"',
        "runoff_runs[1].part": '"pin"',
        "runoff_bars[0].bar_length": '"380 mm"',
        "runoff_bars[0].remnant": '"375 mm"',
    }
    assert notice_lines(run_off(changes=changes)) == (
        "not run off: the chucker mode",
        "1 bar ran before the day of the agreement: a plan agreed on after bars were seen shows less than it says",
        "pins: the length of bar a does not hold one part and is not used",
    )
    assert notice_lines(run_off()) == ()


@pytest.mark.parametrize(
    ("rpm", "mode", "told"), [(6001, None, True), (6000, None, False), (6001, "guide-bushing", True), (6001, "chucker", False)]
)
def test_a_run_faster_than_a_maker_allows(rpm: int, mode: str | None, told: bool) -> None:
    """The makers' limits of that mode are held against the agreed speed."""
    where = f'mode = "{mode}"\n' if mode else ""
    limit = f'[[speed_limits]]\nof = "collet"\nspeed = "6000 rpm"\n{where}'
    lines = notice_lines(run_off(changes={"runoff_runs[0].speed": f'"{rpm} rpm"'}, more=limit))
    mine = [line for line in lines if "collet" in line]
    assert mine == (["pins: 6001 rpm is more than the greatest speed of the collet, 6000 rpm"] if told else [])


@pytest.mark.parametrize(("rpm", "told"), [(920, False), (930, True)])
def test_a_run_faster_than_its_bar_bears(rpm: int, told: bool) -> None:
    """The limit is the one that bar speed finds for that bar in that mode; a run without a speed is held against nothing."""
    text = altered(text_of("axle-cell"), {"runoff_runs[1].speed": f'"{rpm} rpm"'})
    placement = place(parse_job(text))
    found = runoff_of(placement)
    assert [line for line in notice_lines(found) if "whip" in line] == (
        ["brake pivot: 930 rpm is above the whip limit of 1 in aluminium in chucker mode, 920 rpm: see bar speed"] if told else []
    )
    bar = next(one for one in bar_speed(placement).bars if one.bar.name == "1 in aluminium")
    of_model = min(whip_limit_rpm(course.life, bar.share) for course in bar.courses if course.spans.state.mode == "chucker")
    assert found.bar_limit_rpm(found.runs[1].plan.agreed) == pytest.approx(of_model, rel=1e-9)
    assert runoff_contents(found, program="")["runs"][1]["bar_limit_rpm"] == pytest.approx(of_model, abs=0.05)
    still = altered(text, {f"runoff_runs[{i}].speed": None for i in range(2)})
    assert runoff_of(place(parse_job(still))).bar_limits_rpm == {}


def test_a_bar_that_does_not_pass_has_no_speed_in_the_run_off() -> None:
    """It is told so, whatever its speed."""
    text = altered(text_of("axle-cell"), {"bar_path.pusher_od": '{ value = "3 in", source = "caliper" }'})
    told = [line for line in notice_lines(runoff_of(place(parse_job(text)))) if "pass" in line]
    assert told[0] == "hub axle: 3/4 in stainless does not pass, so that it has no speed: see bar speed"


def test_the_caution_names_what_can_hurt_and_who_decides() -> None:
    """Lockout, guards, whip, fire; the manuals, the code and the risk assessment decide; nothing is called safe."""
    for word in (
        "29 CFR 1910.147",
        "ISO 23125",
        "29 CFR 1910.212",
        "whip",
        "ISO 19353",
        "manuals",
        "local code",
        "risk assessment",
    ):
        assert word in CAUTION
    assert "safe " not in CAUTION.lower()
    assert CAUTION.endswith("an accepted run-off is no release.")
    assert runoff_job().title == "Pedal cell"


def test_a_pair_that_does_not_fit_is_told() -> None:
    """What is predicted for it is for judging changes only."""
    told = notice_lines(runoff_of(place(runoff_job(), asked_mm=360.0)))
    assert [line.split(",")[0] for line in told] == ["the pair does not fit at a standoff of 360 mm"]
