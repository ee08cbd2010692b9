"""What a job must satisfy as a whole: each check at its edge, from both sides."""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from tests.texts import FIXED, SLIDING, altered, named, problems, without_table

Changes = Mapping[str, str | None]
MODE = "lathe.modes[0]"

NEGATIVE: dict[str, str | None] = {
    "lathe.z_forward": '"negative"',
    "lathe.modes[0].z_front": '"-190 mm"',
    "lathe.modes[0].z_bar_change": '"-110 mm"',
    "lathe.modes[1].z_rear": '"-150 mm"',
    "lathe.modes[1].z_front": '"-350 mm"',
}
"""The sliding job at a control whose Z falls as the headstock moves forward."""

ACCEPTED: dict[str, Changes] = {
    "Z falls forward": NEGATIVE,
    "a later mode starts behind the first": {"lathe.modes[1].z_rear": '"-20 mm"'},
    "bar change at the rear limit": {f"{MODE}.z_bar_change": '"0 mm"'},
    "bar change at the front limit": {f"{MODE}.z_bar_change": '"190 mm"'},
    "the default bar change is at the rear limit": {f"{MODE}.z_bar_change": None, "rules.bar_change_setback": '"190 mm"'},
    "the longest bar is the capacity": {"rules.longest_bar": '"3660 mm"'},
    "the nose is used up by one millimetre less than it is long": {"nose.may_be_cut": '"219 mm"'},
    "the usable nose is barely longer than the collapsed one": {"nose.extended": '"252.01 mm"'},
    "the engagement is the whole entry": {"nose.entry_depth": '"20 mm"', "nose.least_engagement": '"20 mm"'},
    "an entry without least engagement": {"nose.entry_depth": '"20 mm"'},
    "preferred clearance as small as the least": {"rules.nose_clearance_preferred": '"6 mm"'},
    "one height only": {"loader.centre_height": '["960 mm", "960 mm"]'},
    "two fittings of one name": {"passage[1].name": '"channel"'},
    "the loader is shifted backwards": {"lathe.modes[1].loader_shift": '"-20 mm"'},
    "the body stands behind the clamp": {"loader.body_ahead_of_clamp": '"-100 mm"'},
    "no room is kept behind the loader": {"rules.rear_service": '"0 mm"'},
}


@pytest.mark.parametrize("case", ACCEPTED)
def test_what_is_at_the_edge_is_accepted(case: str) -> None:
    """The last value that can be meant is no mistake."""
    assert named(altered(SLIDING, ACCEPTED[case])) == []


REFUSED: dict[str, tuple[Changes, str, str]] = {
    "front limit behind the rear limit": ({f"{MODE}.z_front": '"-190 mm"'}, "z-order", f"{MODE}.z_front"),
    "no travel": ({f"{MODE}.z_front": '"0 mm"'}, "z-order", f"{MODE}.z_front"),
    "Z falls forward and the front limit rises": (
        NEGATIVE | {"lathe.modes[1].z_front": '"-149 mm"'}, "z-order", "lathe.modes[1].z_front",
    ),
    "bar change behind the rear limit": ({f"{MODE}.z_bar_change": '"-0.1 mm"'}, "bar-change-outside", f"{MODE}.z_bar_change"),
    "bar change ahead of the front limit": (
        {f"{MODE}.z_bar_change": '"190.1 mm"'}, "bar-change-outside", f"{MODE}.z_bar_change",
    ),
    "bar change outside where Z falls": (
        NEGATIVE | {f"{MODE}.z_bar_change": '"110 mm"'}, "bar-change-outside", f"{MODE}.z_bar_change",
    ),
    "the default bar change lies behind a short stroke": (
        {f"{MODE}.z_bar_change": None, f"{MODE}.z_front": '"74 mm"'}, "bar-change-outside", f"{MODE}.z_bar_change",
    ),
    "the trade's default lies behind a short stroke": (
        {"rules.bar_change_setback": None, f"{MODE}.z_bar_change": None, f"{MODE}.z_front": '"76 mm"'},
        "bar-change-outside", f"{MODE}.z_bar_change",
    ),
    "a bar longer than the capacity": ({"rules.longest_bar": '"3660.1 mm"'}, "bar-too-long", "rules.longest_bar"),
    "heights reversed": ({"loader.centre_height": '["961 mm", "960 mm"]'}, "range-reversed", "loader.centre_height"),
    "a cut as long as the nose": ({"nose.may_be_cut": '"220 mm"'}, "nose-lengths", "nose.may_be_cut"),
    "no usable length": ({"nose.overlap": '"340 mm"'}, "nose-lengths", "nose.extended"),
    "more engagement than entry": (
        {"nose.entry_depth": '"20 mm"', "nose.least_engagement": '"21 mm"'}, "nose-entry", "nose.least_engagement",
    ),
    "engagement without entry": ({"nose.least_engagement": '"1 mm"'}, "nose-entry", "nose.entry_depth"),
    "clearances reversed": (
        {"rules.nose_clearance_preferred": '"5.9 mm"'}, "rule-order", "rules.nose_clearance_preferred",
    ),
    "a clearance above the default of the preferred one": (
        {"rules.nose_clearance_preferred": None, "rules.nose_clearance": '"13 mm"'}, "rule-order",
        "rules.nose_clearance_preferred",
    ),
    "a length of a fixed nose": ({"nose.length": '"355 mm"'}, "nose-kind", "nose.length"),
    "a telescopic nose without its extended length": ({"nose.extended": None}, "key-missing", "nose.extended"),
}  # fmt: skip


@pytest.mark.parametrize("case", REFUSED)
def test_what_is_beyond_the_edge_is_refused_once(case: str) -> None:
    """One step further is one message."""
    changes, code, field = REFUSED[case]
    assert named(altered(SLIDING, changes)) == [(code, field)]


def test_a_sliding_headstock_needs_modes_and_the_sense_of_z() -> None:
    """Without either it is two mistakes, and each says what to do at the machine."""
    text = altered(without_table(without_table(SLIDING, "[[lathe.modes]]"), "[[lathe.modes]]"), {"lathe.z_forward": None})
    modes, sense = problems(text)
    assert (modes.code, modes.field) == ("headstock-modes", "lathe.modes")
    assert (sense.code, sense.field) == ("z-forward-missing", "lathe.z_forward")
    assert "move the headstock forward a little and watch the control's Z" in sense.action


def test_a_fixed_headstock_has_no_modes() -> None:
    """Modes of a fixed headstock are told at their first header."""
    mode = '[[lathe.modes]]\nname = "a"\nz_rear = "0 mm"\nz_front = "9 mm"\n'
    (problem,) = problems(FIXED + mode)
    assert (problem.code, problem.field) == ("headstock-modes", "lathe.modes")
    assert problem.line == len(FIXED.splitlines()) + 1


def test_each_equal_name_is_told() -> None:
    """Of three modes with one name, the second and the third are told."""
    third = '\n[[lathe.modes]]\nname = "guide-bushing"\nz_rear = "0 mm"\nz_front = "190 mm"\n'
    text = altered(SLIDING, {"lathe.modes[1].name": '"guide-bushing"'}, more=third)
    assert named(text) == [("name-twice", "lathe.modes[1].name"), ("name-twice", "lathe.modes[2].name")]


def test_a_wrong_sense_of_z_is_told_with_both_limits() -> None:
    """The message shows both limits and the sense they contradict."""
    (first, second) = problems(altered(SLIDING, {"lathe.z_forward": '"negative"'}))
    assert {first.code, second.code} == {"z-order"}
    assert first.found == "190 mm against z_rear 0 mm"
    assert first.expected == "a front limit ahead of the rear limit, Z being negative forward"


@pytest.mark.parametrize("key", ["collapsed", "extended", "overlap"])
def test_a_fixed_nose_has_no_telescopic_lengths(key: str) -> None:
    """Each length of the other kind is told, with both ways out."""
    (problem,) = problems(altered(FIXED, {f"nose.{key}": '"30 mm"'}))
    assert (problem.code, problem.field) == ("nose-kind", f"nose.{key}")
    assert problem.action == 'remove it, or write kind = "telescopic"'


def test_a_nose_of_the_wrong_kind_is_told_what_it_lacks_and_what_it_has_too_much() -> None:
    """A kind that does not go with its lengths names every length concerned."""
    found = named(altered(SLIDING, {"nose.kind": '"fixed"'}))
    assert sorted(found) == [
        ("key-missing", "nose.length"),
        ("nose-kind", "nose.collapsed"),
        ("nose-kind", "nose.extended"),
        ("nose-kind", "nose.overlap"),
    ]


def test_a_fixed_nose_is_longer_than_its_cut() -> None:
    """A fixed nose cannot be cut away altogether."""
    assert named(altered(FIXED, {"nose.may_be_cut": '"400 mm"'})) == [("nose-lengths", "nose.may_be_cut")]
    assert named(altered(FIXED, {"nose.may_be_cut": '"399 mm"'})) == []


ABOVE_ZERO = [
    "lathe.adapter_to_collet",
    "lathe.cover_to_wall",
    "lathe.collet_to_cutoff",
    "lathe.centre_height",
    "loader.pusher_reach",
    "loader.gripper_behind_clamp",
    "loader.length_behind_clamp",
    "passage[1].bore",
    "bar_path.pusher_od",
    "bar_path.pusher_collet_od",
]
ZERO_OR_MORE = [
    "nose.overlap",
    "nose.may_be_cut",
    "nose.entry_depth",
    "fittings[0].length",
    "bar_path.running_clearance",
    "rules.nose_clearance",
    "rules.bar_margin",
    "rules.bar_change_setback",
    "rules.cover_clearance",
    "rules.rear_service",
    "rules.setting_uncertainty",
]


@pytest.mark.parametrize("field", ABOVE_ZERO)
@pytest.mark.parametrize("value", ["0 mm", "-12 mm"])
def test_what_must_be_above_zero(field: str, value: str) -> None:
    """A distance between two faces and a diameter are neither nothing nor negative."""
    (problem,) = problems(altered(SLIDING, {field: f'"{value}"'}))
    assert (problem.code, problem.field, problem.found) == ("value-sign", field, value)
    assert problem.expected == "a length above 0"


@pytest.mark.parametrize("field", ZERO_OR_MORE)
def test_what_may_be_zero_but_not_below(field: str) -> None:
    """Margins and what may be absent can be nothing."""
    assert named(altered(SLIDING, {field: '"0 mm"'})) == []
    assert named(altered(SLIDING, {field: '"-1 mm"'})) == [("value-sign", field)]


def test_each_of_several_readings_is_judged_by_its_sign() -> None:
    """A further reading with the wrong sign is told by its place in the list."""
    text = altered(SLIDING, {"loader.pusher_reach": '["1120 mm", "1121 mm", "-1122 mm"]'})
    assert named(text) == [("value-sign", "loader.pusher_reach[2]")]


def test_the_first_of_several_readings_is_held_against_others() -> None:
    """Checks use the reading the placement uses."""
    assert named(altered(SLIDING, {"nose.extended": '["560 mm", "100 mm"]'})) == []
    assert named(altered(SLIDING, {"nose.extended": '["100 mm", "560 mm"]'})) == [("nose-lengths", "nose.extended")]


def test_what_is_read_again_needs_an_uncertainty() -> None:
    """A further reading that is exact, by rule or as stated, could not be weighed; the first may be exact."""
    twice = {"rules.bar_margin": '["150 mm", "151 mm"]', "nose.collapsed": '["220 mm ± 0 mm", "221 mm", "222 mm ± 0 mm"]'}
    assert named(altered(SLIDING, twice)) == [("reading-exact", "nose.collapsed[2]"), ("reading-exact", "rules.bar_margin[1]")]
