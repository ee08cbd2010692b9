"""Writing back: one value changes, every other byte of the file stays."""

from __future__ import annotations

from collections.abc import Mapping
from difflib import ndiff

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from standoff.errors import JobFileError, UsageError
from standoff.job.demonstration import NAMES, text_of
from standoff.job.file import parse_job
from standoff.job.lines import key_lines
from standoff.job.revision import revised
from tests.texts import FIXED, SLIDING

AXLE = text_of("axle-cell")


def difference(before: str, after: str) -> list[str]:
    """The lines taken out and put in, each with its mark."""
    return [line.rstrip("\n") for line in ndiff(before.splitlines(True), after.splitlines(True)) if line[0] in "+-"]


@pytest.mark.parametrize("name", NAMES)
def test_nothing_revised_is_the_same_bytes(name: str) -> None:
    """Comments, order, spaces and line ends survive reading and writing."""
    assert revised(text_of(name), {}) == text_of(name)
    assert revised(text_of(name).replace("\n", "\r\n"), {}) == text_of(name).replace("\n", "\r\n")


REVISIONS: dict[str, tuple[Mapping[str, object], list[str]]] = {
    "a text": (
        {"job.site": "Tramshed Cycle Works, bay 7"},
        ['- site = "Tramshed Cycle Works, bay 3"', '+ site = "Tramshed Cycle Works, bay 7"'],
    ),
    "a table in its line, the comment behind it kept": (
        {"lathe.modes[1].loader_shift": {"value": "7 in", "source": "tape"}},
        [
            '- loader_shift = { value = "6 3/4 in", source = "rule" }  # the front limits differ by 6.9 in',
            '+ loader_shift = { value = "7 in", source = "tape" }  # the front limits differ by 6.9 in',
        ],
    ),
    "one part of such a table": (
        {"nose.collapsed.value": "9 in"},
        ['- collapsed = { value = "8 3/4 in", source = "tape" }', '+ collapsed = { value = "9 in", source = "tape" }'],
    ),
    "the same thing read twice": (
        {"nose.extended": [{"value": "22 in", "source": "tape"}, "22 1/16 in"]},
        [
            '- extended = { value = "22 in", source = "tape" }',
            '+ extended = [{ value = "22 in", source = "tape" }, "22 1/16 in"]',
        ],
    ),
    "one end of a range": (
        {"loader.centre_height[0]": "39 in"},
        [
            '- centre_height = [{ value = "38 in", source = "manual" }, { value = "44 in", source = "manual" }]',
            '+ centre_height = ["39 in", { value = "44 in", source = "manual" }]',
        ],
    ),
    "a new key at the end of its table": ({"nose.entry_depth": "1 in"}, ['+ entry_depth = "1 in"']),
    "a new key of the first mode": ({"lathe.modes[0].loader_shift": "1 in"}, ['+ loader_shift = "1 in"']),
    "a new table": ({"rules.bar_margin": "5 in"}, ["+ ", "+ [rules]", '+ bar_margin = "5 in"']),
    "the next entry of a list of tables": (
        {"fittings[1].name": "guide plate", "fittings[1].length": "3/4 in"},
        ["+ [[fittings]]", '+ name = "guide plate"', '+ length = "3/4 in"', "+ "],
    ),
    "an entry as a whole": (
        {"fittings[1]": {"name": "guide plate", "length": "3/4 in"}},
        ["+ [[fittings]]", '+ name = "guide plate"', '+ length = "3/4 in"', "+ "],
    ),
    "a key taken out": ({"job.site": None}, ['- site = "Tramshed Cycle Works, bay 3"']),
    "an entry taken out": (
        {"passage[0]": None},
        ["- [[passage]]", '- name = "channel"', '- bore = { value = "38 mm", source = "caliper" }', "- "],
    ),
    "the only entry taken out": (
        {"fittings[0]": None},
        [
            "- [[fittings]]",
            '- name = "moving anti-vibration device"',
            '- length = { value = "1 3/4 in", source = "rule" }',
            "- ",
        ],
    ),
    "what is not there taken out": (
        {"rules.bar_margin": None, "fittings[4].length": None, "fittings[4]": None, "job.title.x": None, "job[0]": None},
        [],
    ),
}


@pytest.mark.parametrize("case", REVISIONS)
def test_only_what_is_revised_changes(case: str) -> None:
    """The lines that differ are these and no others."""
    values, lines = REVISIONS[case]
    assert sorted(difference(AXLE, revised(AXLE, values))) == sorted(lines)


def test_a_revised_file_is_the_job_with_those_values() -> None:
    """Round trip: what is set is read back, and the rest is as it was."""
    values = {
        "loader.pusher_reach": {"value": "1130 mm", "source": "laser"},
        "lathe.modes[1].z_front": "360 mm",
        "fittings[1].name": "bushing",
        "fittings[1].length": "5 mm",
        "loader.centre_height": ["950 mm", "1110 mm"],
        "rules.longest_bar": "3000 mm",
        "nose.may_be_cut": None,
    }
    before, after = parse_job(SLIDING), parse_job(revised(SLIDING, values))
    assert after.readings["loader.pusher_reach"].source == "laser"
    changed = {name for name, reading in after.readings.items() if before.readings.get(name) != reading}
    assert changed == {
        "loader.pusher_reach",
        "lathe.modes[1].z_front",
        "fittings[1].length",
        "loader.centre_height[0]",
        "loader.centre_height[1]",
        "rules.longest_bar",
    }
    assert set(before.readings) - set(after.readings) == {"nose.may_be_cut"}
    assert after.fittings == ("guide plate", "bushing")


def test_tables_are_made_in_an_empty_file() -> None:
    """A file can be written from nothing, and is set apart as one would write it by hand."""
    text = revised("", {"format": "standoff-job/1", "job.title": "a", "lathe.name": "b", "lathe.modes[0].name": "c"})
    assert text == 'format = "standoff-job/1"\n\n[job]\ntitle = "a"\n\n[lathe]\nname = "b"\n\n[[lathe.modes]]\nname = "c"\n'


def test_a_missing_format_is_put_above_the_tables() -> None:
    """A key without table does not end up in the last one."""
    assert parse_job(revised(FIXED.replace('format = "standoff-job/1"\n', ""), {"format": "standoff-job/1"})).title == "Bell cell"


def test_tables_that_stand_apart_are_found() -> None:
    """Modes may be written at the end of the file."""
    modes = SLIDING[SLIDING.index("[[lathe.modes]]") : SLIDING.index("[loader]")]
    apart = SLIDING.replace(modes, "") + "\n" + modes
    text = revised(apart, {"lathe.modes[1].z_front": "340 mm", "lathe.name": "b"})
    assert parse_job(text).readings["lathe.modes[1].z_front"].value_mm == 340.0
    assert len(difference(apart, text)) == 4


def test_windows_line_ends_are_kept_for_new_lines_too() -> None:
    """A file with carriage returns has them on every line afterwards; a mixed one keeps its mixture."""
    text = revised(SLIDING.replace("\n", "\r\n"), {"nose.entry_depth": "1 mm", "prices.currency": "EUR"})
    assert text.count("\r\n") == text.count("\n") == SLIDING.count("\n") + 4
    mixed = SLIDING.replace("\n", "\r\n", 3)
    assert revised(mixed, {"nose.kind": "telescopic"}) == mixed


def test_a_byte_order_mark_is_kept() -> None:
    """The mark before the text stays where it is."""
    assert revised("\ufeff" + SLIDING, {"job.title": "Pedal cell"}) == "\ufeff" + SLIDING


def test_text_is_quoted_as_toml_wants_it() -> None:
    """Quotes, line breaks and other signs are read back as they were given."""
    note = 'the "long" one, 1′ 3″ ½ \\ \n second line'
    text = revised(SLIDING, {"nose.collapsed": {"value": "220 mm", "note": note}})
    assert parse_job(text).readings["nose.collapsed"].note == note


@pytest.mark.parametrize(
    ("field", "told"),
    [
        ("lathe.modes[3].z_front", "an index up to 2; add the entries in their order"),
        ("fittings[2]", "an index up to 1"),
        ("loader.centre_height[3]", "an index up to 2"),
        ("job.title.x", "a table above x"),
        ("job.title[0]", "a list above 0"),
        ("lathe[0].name", "a list above 0"),
        ("fittings.name", "a table above name"),
        ("", "a path such as"),
        (".", "a path such as"),
        ("job..title", "a path such as"),
        (".job", "a path such as"),
        ("job title", "a path such as"),
        ("job[-1]", "a path such as"),
        ("job[", "a path such as"),
    ],
)
def test_a_field_without_a_place_is_misuse(field: str, told: str) -> None:
    """An index beyond the next, a key below a value, and what is no path are refused with the reason."""
    with pytest.raises(UsageError, match=told.replace("[", r"\[")) as caught:
        revised(SLIDING, {field: "1 mm"})
    assert field in str(caught.value)


@pytest.mark.parametrize("text", ["a =\n", "[job]\ntitle = 'a'\n[job]\n", "a = 1\na = 2\n"])
def test_a_text_that_is_no_toml_is_refused(text: str) -> None:
    """A file that cannot be read is not written back."""
    with pytest.raises(JobFileError) as caught:
        revised(text, {"job.title": "b"})
    assert [problem.code for problem in caught.value.problems] == ["file-syntax"]


FIELDS = sorted(field for field in parse_job(SLIDING).readings if field in key_lines(SLIDING))
LENGTH = st.integers(0, 4000).map(lambda mm: f"{mm} mm")
VALUE = (
    LENGTH | st.fixed_dictionaries({"value": LENGTH, "source": st.sampled_from(["tape", "rule"])}) | st.lists(LENGTH, min_size=1)
)


@settings(max_examples=60)
@given(st.dictionaries(st.sampled_from(FIELDS), VALUE, max_size=5))
def test_any_revision_touches_its_own_lines_only(values: Mapping[str, object]) -> None:
    """Whatever is set, each other line stays, and doing it twice is doing it once."""
    text = revised(SLIDING, values)
    lines = key_lines(SLIDING)
    own = {lines[field] for field in values}
    before, after = SLIDING.split("\n"), text.split("\n")
    assert [a for i, a in enumerate(after, 1) if i not in own] == [b for i, b in enumerate(before, 1) if i not in own]
    assert revised(text, values) == text
