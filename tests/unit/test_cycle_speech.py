"""The bar cycle in words: verdict, troubles, remnant, settings, change of mode."""

from __future__ import annotations

import pytest

from standoff.desk.cycle import cycle_of_placement, cycle_text
from standoff.job.cycle import CONTACT, Trouble
from standoff.job.cycle_speech import (
    ALARMS,
    INSERTION_NOT_STATED,
    alarm_lines,
    change_line,
    remnant_lines,
    setting_lines,
    tightest_line,
    title,
    trouble_line,
    verdict_line,
)
from standoff.job.mode_change import ModeChange
from standoff.job.settings import settings_of
from tests.cycles import HUB, PIN, cycle_with, falling, fixed_with, placed
from tests.texts import SLIDING
from tests.turning import job_of


def test_the_title_names_part_bar_and_mode() -> None:
    """A fixed headstock has no mode to name."""
    assert title(cycle_with(HUB)) == "hub from the job's longest bar, chucker mode"
    assert title(fixed_with(PIN)) == "pin from the job's longest bar"


def test_a_whole_bar_runs_through() -> None:
    """Parts and remnant; one part is one."""
    assert verdict_line(cycle_with(PIN)) == "A whole bar runs through: 55 parts, and 359 mm are left."
    one = cycle_with(PIN.replace("57 mm", "1900 mm"))
    assert verdict_line(one).startswith("A whole bar runs through: 1 part, and ")


def test_a_bar_that_does_not_run_through() -> None:
    """The first trouble in time, with its step and what is missing."""
    cycle = cycle_with(HUB, at_mm=280.0)
    told = "The bar does not run through: headstock to its rear limit: the nose would be crushed, 11.0 mm missing."
    assert verdict_line(cycle) == told
    assert tightest_line(cycle) == "Worst: room for the nose (headstock to its rear limit)."


def test_a_margin_used_up_is_no_contact() -> None:
    """It is said as what it is."""
    cycle = cycle_with(HUB, at_mm=288.0)
    (trouble,) = cycle.troubles
    told = "headstock to its rear limit: the margin kept is used up (room for the nose), 3.0 mm missing."
    assert trouble_line(trouble, "mm") == told


def test_a_trouble_names_the_part_then_made() -> None:
    """And is never told as nothing missing."""
    (trouble,) = cycle_with(PIN, at_mm=335.0).troubles
    assert trouble_line(trouble, "mm") == "end of bar, part 55: the pusher would not reach the collet, 5.0 mm missing."
    hair = Trouble("nose-room", "Room", "the nose would be crushed", CONTACT, "pre-feed", 0, 0, 0.0, 0, 1e-4)
    assert trouble_line(hair, "mm") == "pre-feed: the nose would be crushed, under 0.1 mm missing."
    order = Trouble("wrong-order", "Order", "a step would begin before it may", CONTACT, "pre-feed", 0, 0, 0.0, 0, 0.0)
    assert trouble_line(order, "in") == "pre-feed: a step would begin before it may."


def test_the_tightest_moment() -> None:
    """What is to spare, and when; a fixed headstock has no such moment."""
    assert tightest_line(cycle_with(HUB)) == "Tightest: room for the nose, 9.0 mm to spare (headstock to its rear limit)."
    assert tightest_line(fixed_with(PIN)).endswith("(before anything moves).")


def test_where_the_remnant_comes_from() -> None:
    """Cut-off plane to collet, insertion, and what the pusher misses."""
    inserted = {"bar_path.insertion": '"40 mm"'}
    (line,) = remnant_lines(cycle_with(PIN, changes=inserted))
    told = "from the cut-off plane back to the collet's back 320 mm, and 40 mm in the pusher collet."
    assert line == f"Shortest remnant 360 mm: {told}"
    missing = remnant_lines(cycle_with(PIN, changes=inserted, at_mm=335.0))[1]
    assert missing == "5.0 mm of it because the pusher falls short of the collet."


def test_an_insertion_that_is_not_stated_is_told() -> None:
    """It counts as 0, and nobody takes that for a reading; a stated 0 is one."""
    assert remnant_lines(cycle_with(PIN))[1] == INSERTION_NOT_STATED
    assert len(remnant_lines(cycle_with(PIN, changes={"bar_path.insertion": '"0 mm"'}))) == 1


@pytest.mark.parametrize("alarm", sorted(ALARMS))
def test_every_alarm_says_what_to_do(alarm: str) -> None:
    """A colon or semicolon, then the next action."""
    assert any(mark in ALARMS[alarm] for mark in (":", ";"))


def test_an_alarm_is_told_in_the_text() -> None:
    """After the verdict."""
    alarmed = '[cycle]\nlongest_remnant = "300 mm"\n'
    assert alarm_lines(cycle_with(PIN, alarmed)) == (f"Mind: {ALARMS['remnant-too-long']}.",)
    assert "Mind: " in cycle_text(cycle_of_placement(placed(PIN, alarmed)), (0,), signals=False)


def test_figures_are_decimals_in_the_units_of_the_job() -> None:
    """As they are typed into a control."""
    lines = setting_lines(settings_of(cycle_with(PIN)), "mm")
    assert "feed length: 60.00 mm (part and cut-off)" in lines
    assert "lathe, Z at cut-off: 190.00 mm (front limit of the mode)" in lines
    assert "lathe, parts from one bar: 55 (bar less facing and shortest remnant, by part and cut-off)" in lines
    assert "feed length: 2.362 in (part and cut-off)" in setting_lines(settings_of(cycle_with(PIN)), "in")


def told(**changes: float) -> str:
    """A change of mode as a sentence."""
    values = {"stroke_mm": 170.0, "least_mm": 141.0, "greatest_mm": 273.0} | {k: v for k, v in changes.items() if k != "turns"}
    change = ModeChange("guide-bushing", "chucker", **values, turns=int(changes.get("turns", 1)))
    return change_line(change, job_of(SLIDING))


def test_the_change_of_mode_in_words() -> None:
    """One stroke, several turns, no way, and no shift at all."""
    named = "guide-bushing to chucker: the loader shifts 170 mm"
    assert told() == f"{named} in one stroke, headstock between Z 141.0 mm and Z 273.0 mm all the while, both ways."
    assert told(greatest_mm=100.0, turns=2).startswith(f"{named} in 2 turns or more")
    assert told(greatest_mm=100.0, turns=0).startswith(f"{named}: at this standoff there is no way")
    assert told(stroke_mm=0.0) == "guide-bushing to chucker: the loader stays where it is."


@pytest.mark.parametrize(("least_mm", "greatest_mm"), [(141.04, 272.96), (141.01, 272.99)])
def test_the_z_of_a_change_of_mode_is_rounded_inwards(least_mm: float, greatest_mm: float) -> None:
    """Neither Z that is told lies outside the travel at which the loader may shift, whichever way Z counts."""
    assert "between Z 141.1 mm and Z 272.9 mm" in told(least_mm=least_mm, greatest_mm=greatest_mm)
    change = ModeChange("guide-bushing", "chucker", 170.0, least_mm, greatest_mm, 1)
    assert "between Z -272.9 mm and Z -141.1 mm" in change_line(change, job_of(falling(SLIDING)))


def test_the_change_of_mode_where_z_falls_forward() -> None:
    """The lower Z first, whichever end it belongs to."""
    change = ModeChange("guide-bushing", "chucker", 170.0, 141.0, 273.0, 1)
    assert "between Z -273.0 mm and Z -141.0 mm" in change_line(change, job_of(falling(SLIDING)))


def test_the_whole_text_ends_in_the_caution() -> None:
    """Every part, the changes of mode, the caution."""
    text = cycle_text(cycle_of_placement(placed(PIN, HUB)), (0, 1), signals=True)
    assert text.index("pin from") < text.index("hub from") < text.index("Change of mode:")
    assert "both waits" not in text
    assert text.splitlines()[-1].startswith("Before anyone reaches in")
