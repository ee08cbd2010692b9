"""What can be typed but is hardly meant: questioned once, with the unit that was perhaps meant, never refused."""

from __future__ import annotations

import json

import pytest

from standoff.job.demonstration import NAMES, text_of
from standoff.job.file import parse_job
from standoff.job.placement import place
from standoff.job.plausible import SOURCE, USUAL_MM, implausible
from standoff.job.template import template
from tests.texts import FIXED, SLIDING, altered

REACH = "loader.pusher_reach"


def asked(text: str) -> dict[str, str]:
    """Field and text of every question."""
    return {caution.id.removeprefix("implausible:"): caution.text for caution in implausible(parse_job(text))}


@pytest.mark.parametrize("text", [SLIDING, FIXED, *map(text_of, NAMES), template("sliding", "in"), template("fixed", "mm")])
def test_nothing_is_asked_of_a_usual_job(text: str) -> None:
    """The demonstration jobs, the templates and the tests' own jobs are plausible."""
    assert asked(text) == {}


@pytest.mark.parametrize(
    ("field", "typed", "question"),
    [
        ("lathe.adapter_to_collet", "24 ft", "were inches meant instead of feet?"),
        ("nose.extended", "22'", "were inches meant instead of feet?"),
        ("loader.bar_capacity", "12 in", "were feet meant instead of inches?"),
        ("loader.length_behind_clamp", '15"', "were feet meant instead of inches?"),
        ("lathe.adapter_to_collet", "610 in", "were millimetres meant instead of inches?"),
        ("lathe.adapter_to_collet", "24 mm", "were inches meant instead of millimetres?"),
        ("lathe.adapter_to_collet", "61 mm", "were inches meant instead of millimetres?"),
        ("lathe.centre_height", "105 mm", "were centimetres meant instead of millimetres?"),
        ("loader.length_behind_clamp", "4.6 mm", "were metres meant instead of millimetres?"),
        ("nose.extended", "560 cm", "were millimetres meant instead of centimetres?"),
        ("loader.pusher_reach", "900 m", "were millimetres meant instead of metres?"),
    ],
)
def test_the_unit_that_was_perhaps_meant_is_asked_for(field: str, typed: str, question: str) -> None:
    """Only the unit that was typed is doubted, and only where another makes the length usual."""
    said = asked(altered(SLIDING, {field: json.dumps(typed)}))[field]
    assert said.startswith(f"{field}: {typed} is unusual (")
    assert question in said
    assert said.endswith(f"; {question} Check the reading and its unit.")


def test_a_length_that_no_unit_explains_is_questioned_without_a_guess() -> None:
    """Nothing is guessed where no other unit fits; the usual range is told in the job's units."""
    said = asked(altered(SLIDING, {"loader.bar_capacity": '"20000 mm"'}))["loader.bar_capacity"]
    assert said == "loader.bar_capacity: 20000 mm is unusual (900 mm to 7000 mm is usual). Check the reading and its unit."


HELD_AGAINST_OTHERS = ("nose", "bar_path", "passage", "rules.bar_margin")
"""What is not in the tests' job, or moves the window so far that no more can be asked of it alone."""


@pytest.mark.parametrize("field", [field for field in USUAL_MM if not field.startswith(HELD_AGAINST_OTHERS)])
def test_each_range_is_asked_beyond_its_ends_only(field: str) -> None:
    """The ends of a range are usual; a millimetre beyond is questioned."""
    least, greatest = USUAL_MM[field]
    more = {"loader.bar_capacity": '"20000 mm"'} if field == "rules.longest_bar" else {}
    for mm, questioned in ((least, False), (greatest, False), (least - 1, True), (greatest + 1, True)):
        said = asked(altered(SLIDING, {**more, field: f'"{mm:.0f} mm"'})).get(field, "")
        assert (" is unusual (" in said) is questioned


@pytest.mark.parametrize(
    ("changes", "field", "told"),
    [
        ({"lathe.modes[1].loader_shift": '"6 ft"'}, "lathe.modes[1].loader_shift", "a shift of 1829 mm is unusual"),
        ({"lathe.modes[1].loader_shift": '"-700 mm"'}, "lathe.modes[1].loader_shift", "a shift of -700 mm is unusual"),
        ({"lathe.modes[0].z_front": '"7.3 ft"'}, "lathe.modes[0].z_front", "the headstock would travel 2225 mm"),
        ({"lathe.modes[0].z_front": '"7 mm"', "lathe.modes[0].z_bar_change": '"3 mm"'}, "lathe.modes[0].z_front",
         "the headstock would travel only 7 mm"),
        ({"rules.longest_bar": '"12 in"'}, "rules.longest_bar", "is less than a quarter of what the loader takes"),
        ({"bar_path.pusher_od": '"3.2 mm"'}, "bar_path.pusher_od", "were inches meant instead of millimetres?"),
        ({"passage[0].bore": '"36 in"'}, "passage[0].bore", "were millimetres meant instead of inches?"),
        ({"nose.entry_depth": '"1 ft"'}, "nose.entry_depth", "were inches meant instead of feet?"),
        ({"rules.bar_margin": '"6 mm"'}, "rules.bar_margin", "were inches meant instead of millimetres?"),
        ({REACH: '"219 mm"'}, REACH, "the pusher would not even reach the end of the nose"),
        ({"loader.gripper_behind_clamp": '"7000 mm"', "loader.bar_capacity": '"3400 mm"'}, "loader.gripper_behind_clamp",
         "this is more than twice the bar"),
    ],
)  # fmt: skip
def test_values_are_held_against_each_other(changes: dict[str, str | None], field: str, told: str) -> None:
    """A shift or a travel of feet, a reach shorter than the nose, a gripper far behind the bar."""
    assert told in asked(altered(SLIDING, changes))[field]


def test_a_fixed_nose_is_held_against_the_reach_too() -> None:
    """The length that counts is the one the nose has."""
    assert "end of the nose" in asked(altered(FIXED, {REACH: '"399 mm"'}))[REACH]


def test_questions_are_warnings_of_the_answer() -> None:
    """They stand in the answer with their source, and change nothing else in it."""
    placement = place(parse_job(altered(SLIDING, {"lathe.cover_to_wall": '"67 m"'})))
    (question,) = [warning for warning in placement.warnings if warning.id.startswith("implausible")]
    assert (question.id, question.source) == ("implausible:lathe.cover_to_wall", SOURCE)
    assert placement.aim_mm == place(parse_job(SLIDING)).aim_mm
