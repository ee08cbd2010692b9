"""What is wrong in the tables of bars, supports and limits: each mistake once, all at once, each with what to do."""

from __future__ import annotations

import pytest

from standoff.bar.materials import MATERIALS
from standoff.errors import CODES, JobFileError
from standoff.job.demonstration import NAMES, text_of
from standoff.job.speed import bar_speed, wanting
from tests.texts import FIXED, SLIDING, altered, named, problems, without_table
from tests.turning import BAR_MISTAKES, CHECKS, STANDING, TURNING, Changes, job_of, placed, sag, tap

BAR, CHANNEL = "bars[0]", "supports[3]"


def test_the_texts_of_the_tests_are_jobs() -> None:
    """What the mistakes are planted into has none itself, and neither has a demonstration."""
    assert named(TURNING) == named(TURNING + CHECKS) == named(STANDING) == []
    assert all(named(text_of(name)) == [] for name in NAMES)


@pytest.mark.parametrize("code", BAR_MISTAKES)
def test_one_mistake_gives_one_message(code: str) -> None:
    """Each mistake is told once, at its field and line, in a sentence that ends in the next action."""
    changes, field, more = BAR_MISTAKES[code]
    (problem,) = problems(altered(TURNING, changes, more=more))
    assert (problem.code, problem.field, problem.file) == (code, field, "cell.toml")
    assert code in CODES
    assert problem.line is not None
    assert problem.sentence().endswith(f"; {problem.action.rstrip('.')}.")
    assert "None" not in problem.sentence()


ACCEPTED: dict[str, Changes] = {
    "a channel as long as the bar": {f"{CHANNEL}.length": '"3660 mm"'},
    "a channel as long as the bars are, though the loader takes longer ones": {
        f"{CHANNEL}.length": '"3000 mm"',
        "rules.longest_bar": '"3000 mm"',
    },
    "a bar as long as the loader takes": {f"{BAR}.length": '"3660 mm"'},
    "a material of one's own": {f"{BAR}.material": '"bronze"', f"{BAR}.density": '"8.8 g/cm3"', f"{BAR}.modulus": '"110 GPa"'},
    "a modulus as the certificate says": {f"{BAR}.modulus": '"205 GPa"'},
    "a cutting speed and its diameter": {
        f"{BAR}.speed": None,
        f"{BAR}.cutting_speed": '"400 ft/min"',
        f"{BAR}.turned_diameter": '"3/8 in"',
    },
    "no speed": {f"{BAR}.speed": None},
    "a straightness by its standard": {
        f"{BAR}.straightness": None,
        f"{BAR}.straightness_standard": '"ASTM A108, Table A1.4"',
        f"{BAR}.straightness_group": '"carbon to 0.28 %"',
    },
    "rollers": {f"{CHANNEL}.spacing": '"500 mm"', f"{CHANNEL}.flooded": "true"},
    "a channel that floods and does not": {f"{CHANNEL}.flooded": "false"},
    "a rest with a length": {"supports[2].length": '"20 mm"'},
    "a support of one mode": {"supports[2].mode": '"chucker"'},
    "the highest share": {"bar_rules.whip_share": "0.8"},
    "no friction": {"bar_rules.friction": "0"},
    "a limit of one mode": {"speed_limits[0].mode": '"chucker"'},
    "what is set for this bar": {f"{BAR}.feed_force": '"9 lbf"'},
}


@pytest.mark.parametrize("case", ACCEPTED)
def test_what_is_meant_is_accepted(case: str) -> None:
    """The last value that can be meant is no mistake."""
    changes = ACCEPTED[case]
    more = "[bar_rules]\n" if any(field.startswith("bar_rules") for field in changes) else ""
    assert named(altered(TURNING + more, changes)) == []


REFUSED: dict[str, tuple[Changes, str, str]] = {
    "a diameter of nothing": ({f"{BAR}.size": '"0 mm"'}, "value-sign", f"{BAR}.size"),
    "a negative size": ({f"{BAR}.size": '"-16 mm"'}, "value-sign", f"{BAR}.size"),
    "a flat bar": ({f"{BAR}.shape": '"flat"'}, "value-choice", f"{BAR}.shape"),
    "a bar without a size": ({f"{BAR}.size": None}, "key-missing", f"{BAR}.size"),
    "a bar without a material": ({f"{BAR}.material": None}, "key-missing", f"{BAR}.material"),
    "half a material": ({f"{BAR}.material": '"bronze"', f"{BAR}.density": '"8.8 g/cm3"'}, "material-unknown", f"{BAR}.material"),
    "a bar longer than the loader takes": ({f"{BAR}.length": '"3661 mm"'}, "bar-too-long", f"{BAR}.length"),
    "a bar longer than the job's": (
        {f"{BAR}.length": '"3001 mm"', "rules.longest_bar": '"3000 mm"'}, "bar-too-long", f"{BAR}.length",
    ),
    "a diameter without a cutting speed": (
        {f"{BAR}.speed": None, f"{BAR}.turned_diameter": '"12 mm"'}, "speed-incomplete", f"{BAR}.cutting_speed",
    ),
    "a speed beside a diameter": ({f"{BAR}.turned_diameter": '"12 mm"'}, "speed-twice", f"{BAR}.speed"),
    "a group without its standard": (
        {f"{BAR}.straightness": None, f"{BAR}.straightness_group": '"carbon to 0.28 %"'},
        "straightness-incomplete", f"{BAR}.straightness_standard",
    ),
    "a group of the other standard": (
        {f"{BAR}.straightness": None, f"{BAR}.straightness_standard": '"EN 10278:1999"',
         f"{BAR}.straightness_group": '"carbon to 0.28 %"'},
        "straightness-incomplete", f"{BAR}.straightness_group",
    ),
    "a unit of another kind": ({"feed.hold": '"40 mm"'}, "magnitude-unit", "feed.hold"),
    "a force of nothing": ({"feed.set_force": '"0 N"'}, "magnitude-zero", "feed.set_force"),
    "a pusher without mass": ({"bar_path.pusher_mass": '"0 kg"'}, "magnitude-zero", "bar_path.pusher_mass"),
    "a limit of nothing": ({"speed_limits[0].speed": '"0 rpm"'}, "magnitude-zero", "speed_limits[0].speed"),
    "a liner that must not turn": ({"liners[0].speed_limit": '"0 rpm"'}, "magnitude-zero", "liners[0].speed_limit"),
    "a support without stiffness": ({"supports[1].stiffness": '"0 N/mm"'}, "magnitude-zero", "supports[1].stiffness"),
    "a collet without a length": ({"supports[1].length": None}, "key-missing", "supports[1].length"),
    "a channel without a bore": ({f"{CHANNEL}.bore": None}, "key-missing", f"{CHANNEL}.bore"),
    "rollers of a collet": ({"supports[1].spacing": '"500 mm"'}, "support-kind", "supports[1].spacing"),
    "an oil bath in a rest": ({"supports[2].flooded": "true"}, "support-kind", "supports[2].flooded"),
    "rollers at the same place": ({f"{CHANNEL}.spacing": '"0 mm"'}, "value-sign", f"{CHANNEL}.spacing"),
    "a support of no mode": ({"supports[0].mode": '"turning"'}, "mode-unknown", "supports[0].mode"),
    "a limit of no mode": ({"speed_limits[1].mode": '"turning"'}, "mode-unknown", "speed_limits[1].mode"),
    "a support at a wall": ({"supports[1].station": '"wall"'}, "value-choice", "supports[1].station"),
    "a support at an unmeasured cover": (
        {"supports[1].station": '"cover"', "lathe.cover_to_adapter": None}, "key-missing", "lathe.cover_to_adapter",
    ),
    "a support at an unmeasured cut-off": ({"lathe.collet_to_cutoff": None}, "key-missing", "lathe.collet_to_cutoff"),
    "two supports of one name": ({"supports[2].name": '"main collet"'}, "name-twice", "supports[2].name"),
    "a bore of nothing": ({"liners[0].bore": '"0 mm"'}, "value-sign", "liners[0].bore"),
}  # fmt: skip


@pytest.mark.parametrize("case", REFUSED)
def test_what_is_nonsense_is_refused_once(case: str) -> None:
    """One step beyond what can be meant is one message, with its code and its field."""
    changes, code, field = REFUSED[case]
    assert named(altered(TURNING, changes)) == [(code, field)]


SITE = {
    "a sag of nothing": (sag("1 mm", "0 mm"), "value-sign", "site_checks[0].sag[1]"),
    "no sag": (sag(), "site-check", "site_checks[0].sag"),
    "a note that is silent": (tap("0 Hz"), "magnitude-zero", "site_checks[0].frequency"),
    "a note of another unit": (tap("2000 rpm"), "magnitude-unit", "site_checks[0].frequency"),
    "a tapped bar longer than the bar": (tap("34 Hz").replace("2700", "3661"), "bar-too-long", "site_checks[0].length"),
    "tapped in no mode": (tap("34 Hz", 'mode = "turning"'), "mode-unknown", "site_checks[0].mode"),
}


@pytest.mark.parametrize("case", SITE)
def test_a_reading_on_site_that_is_nonsense_is_refused_once(case: str) -> None:
    """What was read on site is held to the same rules."""
    more, code, field = SITE[case]
    assert named(TURNING + more) == [(code, field)]


RULES = [
    ("whip_share = 0.9", "share-range", "at most 0.8: above it nothing is advised", "lower it"),
    ("whip_share_tapped = 0.81", "share-range", "at most 0.8: above it nothing is advised", "lower it"),
    ("whip_share = 50", "value-kind", "a number of at most 1", "check it: half is 0.5, not 50"),
    ("whip_share = 0", "value-kind", "a number above 0", "check its sign"),
    ('whip_share = "0.5"', "value-kind", "a number", "write it without quotes and without a unit"),
    ("stiffness_band = 0.3", "value-kind", "a number of 1 or more", "check its sign"),
    ("buckling_share = -0.5", "value-kind", "a number above 0", "check its sign"),
    ("friction = 20", "value-kind", "a number of at most 1", "check it: half is 0.5, not 50"),
    ("pusher_stiffness = 1000", "magnitude-form", "a stiffness", 'write it in quotes with its unit, such as "500 N/mm"'),
    ('pusher_stiffness = "0 N/mm"', "magnitude-zero", "more than 0", "write what it is, or leave the key out"),
]


@pytest.mark.parametrize(("line", "code", "expected", "action"), RULES)
def test_a_rule_says_what_it_takes(line: str, code: str, expected: str, action: str) -> None:
    """A share beyond its range is told its range, not only that it is wrong."""
    (problem,) = problems(f"{TURNING}[bar_rules]\n{line}\n")
    assert (problem.code, problem.field) == (code, f"bar_rules.{line.split(' ')[0]}")
    assert problem.expected.startswith(expected)
    assert problem.action == action


MANY: Changes = {
    f"{BAR}.shape": '"flat"',
    f"{BAR}.size": '"0 mm"',
    f"{BAR}.material": '"steal"',
    f"{BAR}.speed": '"1,200 rpm"',
    "supports[1].length": '"40"',
    "supports[2].bore": '"20 mm"',
    f"{CHANNEL}.length": '"3 m"',
    "liners[0].speed_limit": '"5000 RPM"',
    "speed_limits[1].mode": '"turning"',
    "feed.hold": "30",
    "bar_path.pusher_mass": '"0.9 lbf"',
}


def test_all_mistakes_are_named_at_once() -> None:
    """In the order of the file, with their lines, whatever kind they are of."""
    found = problems(altered(TURNING, MANY, more=tap("34").replace("16 mm", "17 mm")))
    assert [(p.code, p.field) for p in found] == [
        ("magnitude-unit", "bar_path.pusher_mass"),
        ("value-choice", f"{BAR}.shape"),
        ("value-sign", f"{BAR}.size"),
        ("material-unknown", f"{BAR}.material"),
        ("magnitude-comma", f"{BAR}.speed"),
        ("length-without-unit", "supports[1].length"),
        ("support-kind", "supports[2].bore"),
        ("channel-short", f"{CHANNEL}.length"),
        ("magnitude-unit", "liners[0].speed_limit"),
        ("mode-unknown", "speed_limits[1].mode"),
        ("magnitude-form", "feed.hold"),
        ("bar-unknown", "site_checks[0].bar"),
        ("magnitude-without-unit", "site_checks[0].frequency"),
    ]
    lines = [p.line or 0 for p in found]
    assert lines == sorted(lines)
    assert len(set(lines)) == len(lines)


def test_an_unknown_material_is_told_the_nearest_and_the_way_out() -> None:
    """Either the known name, or the two figures that make a material."""
    (problem,) = problems(altered(TURNING, {f"{BAR}.material": '"brass C3600"'}))
    assert problem.action.startswith('write "brass C36000" (known: ')
    assert all(name in problem.action for name in MATERIALS)
    assert problem.action.endswith("or write density and modulus too")


def test_a_bar_too_long_is_not_held_against_the_channel_too() -> None:
    """One mistake gives one message."""
    assert named(altered(TURNING, {f"{BAR}.length": '"4 m"'})) == [("bar-too-long", f"{BAR}.length")]


WANTING = {
    "no bar": (SLIDING, ["bars", "supports", "supports", "supports", "supports", "bar_path.pusher_mass"]),
    "no collet": (without_table(TURNING, "[[supports]]").replace('kind = "collet"', 'kind = "rest"'), ["supports", "supports"]),
    "a collet in one mode only": (altered(TURNING, {"supports[1].mode": '"chucker"'}), ["supports"]),
    "a channel in one mode only": (altered(TURNING, {f"{CHANNEL}.mode": '"chucker"'}), ["supports"]),
    "no pusher": (altered(TURNING, {"bar_path.pusher_od": None}), ["bar_path.pusher_od"]),
    "nothing of the pusher": (
        altered(TURNING, {f"bar_path.{key}": None for key in ("pusher_mass", "pusher_od", "pusher_collet_od")}),
        ["bar_path.pusher_mass", "bar_path.pusher_od", "bar_path.pusher_collet_od"],
    ),
    "a placement alone": (FIXED, ["bars", "supports", "supports", "bar_path.pusher_mass", "bar_path.pusher_od",
                                  "bar_path.pusher_collet_od"]),
    "nothing": (TURNING, []),
}  # fmt: skip


@pytest.mark.parametrize("case", WANTING)
def test_what_bar_speed_needs_is_all_named(case: str) -> None:
    """What a placement does without and a speed does not: everything in one run, in each mode."""
    text, fields = WANTING[case]
    found = wanting(job_of(text))
    assert [problem.field for problem in found] == fields
    assert all(problem.code == "key-missing" and problem.action and problem.expected for problem in found)
    assert len({(problem.field, problem.expected) for problem in found}) == len(found)


def test_no_speed_is_computed_from_half_the_tables() -> None:
    """The question is refused with everything that is wanting."""
    with pytest.raises(JobFileError, match="at least one"):
        bar_speed(placed(SLIDING))


def test_a_want_says_in_which_mode() -> None:
    """Only where there are several."""
    (problem,) = wanting(job_of(altered(TURNING, {"supports[1].mode": '"chucker"'})))
    assert problem.expected == "a [[supports]] of kind collet, in the mode guide-bushing"
    assert "mode" not in wanting(job_of(FIXED))[1].expected
