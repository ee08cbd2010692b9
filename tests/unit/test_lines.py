"""Where in a file a key stands."""

from __future__ import annotations

import pytest

from standoff.job.lines import key_lines, line_of

TEXT = '''\
# a comment = 1
format = "standoff-job/1"

[ job ]                     # spaces in the brackets
title = """
units = "in"
[loader]
"""
  units="mm"

[[lathe.modes]]
name = "a"
[[lathe.modes]]
name = "b"
z_rear = [
  { value = "1 mm" },
]
[[passage]]
bore = "1 mm"
bore = "2 mm"
[nose]
collapsed.value = "1 mm"
'quoted' = 1
[lathe.modes.more]
deep = 1
'''


@pytest.mark.parametrize(
    ("field", "line"),
    [
        ("format", 2),
        ("job", 4),
        ("job.title", 5),
        ("job.units", 9),
        ("lathe.modes", 11),
        ("lathe.modes[0]", 11),
        ("lathe.modes[0].name", 12),
        ("lathe.modes[1]", 13),
        ("lathe.modes[1].name", 14),
        ("lathe.modes[1].z_rear", 15),
        ("passage[0].bore", 19),
        ("nose.collapsed.value", 22),
        ("lathe.modes[1].more.deep", 25),
    ],
)
def test_a_key_is_found_on_its_line(field: str, line: int) -> None:
    """Keys, headers, lists of tables and their elements; what stands in a text of several lines is none of them."""
    assert key_lines(TEXT)[field] == line


def test_what_is_no_plain_key_is_left_out() -> None:
    """Comments, text over several lines and quoted keys give no line."""
    assert set(key_lines(TEXT)) & {"loader", "nose.quoted", "a", "job.value"} == set()


@pytest.mark.parametrize(
    ("field", "line"),
    [
        ("job.site", 4),
        ("lathe.modes[1].z_front", 13),
        ("lathe.modes[1].z_rear[0].value", 15),
        ("lathe.modes[7].name", 11),
        ("passage[0].bore.value", 19),
        ("nose.quoted", 21),
        ("nose.a]b", 21),
        ("nose.", 21),
        ("rules.bar_margin", None),
        ("rules", None),
        ("a]", None),
        ("[0]", None),
        ("..", None),
        ("", None),
    ],
)
def test_a_key_that_is_not_there_has_the_line_of_what_it_stands_in(field: str, line: int | None) -> None:
    """A missing key is told at its table; whatever the field is called, the search ends."""
    assert line_of(field, key_lines(TEXT)) == line


def test_windows_line_ends_count_once() -> None:
    """Carriage returns move no line."""
    assert key_lines(TEXT.replace("\n", "\r\n")) == key_lines(TEXT)
