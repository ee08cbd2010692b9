"""The floor's fields on a page: which are asked for given what else is typed, which are needed, and what to choose from."""

from __future__ import annotations

import re
from typing import Any

import pytest

from standoff.desk.asked import SHAPING, is_asked, is_needed
from standoff.desk.choices import CHOICES, choices_of
from standoff.desk.walk import LISTS
from standoff.job.field import replaced
from standoff.job.file import read_tables
from standoff.job.floor_guide import FLOOR_STOPS, FLOOR_TABLES
from standoff.job.guide import walk_of
from tests.floors import FLOORED


def raw(**changes: str | None) -> dict[str, Any]:
    """The tables as typed, with changes by their field."""
    tables = read_tables(FLOORED)
    assert isinstance(tables, dict)
    for field, value in changes.items():
        tables = replaced(tables, field, value)
    return tables


@pytest.mark.parametrize(
    ("field", "changes", "asked"),
    [
        ("keep_outs[0].behind", {}, True),
        ("keep_outs[0].left", {}, False),
        ("keep_outs[1].right", {}, True),
        ("keep_outs[1].ahead", {}, False),
        ("keep_outs[1].ahead", {"keep_outs[1].ahead": "1 m"}, True),  # what is typed stays in sight
        ("working_spaces[0].depth", {}, False),
        ("working_spaces[0].depth", {"working_spaces[0].voltage": None, "working_spaces[0].facing": None}, True),
        ("working_spaces[0].voltage", {}, True),
        ("markout.taped", {}, True),
        ("markout.taped", {"markout.first": None, "markout.taped": None}, False),
        ("floor_items[0].keeps", {}, True),
    ],
)
def test_what_is_asked_for(field: str, changes: dict[str, str | None], asked: bool) -> None:
    """Ends that go with the side; a depth or what it follows from; a tape where a baseline is named."""
    assert is_asked(field, raw(**changes)) is asked


@pytest.mark.parametrize(
    ("field", "needed"),
    [
        ("floor_items[0].ahead", True),
        ("floor_items[0].behind", False),
        ("floor_items[1].behind", False),
        ("floor_items[1].ahead", False),
        ("floor_items[2].behind", True),
        ("floor_items[2].height", False),
        ("working_spaces[0].voltage", True),
        ("floor_loads[0].mass", True),
    ],
)
def test_what_is_needed(field: str, needed: bool) -> None:
    """Both ends of an item but those the survey has."""
    assert is_needed(field, raw()) is needed


def test_every_list_has_a_word_and_belongs_to_the_floor() -> None:
    """Each list of the floor can get an entry on the page, and each table leads there; feet come and go on the page Level."""
    lists = {step.field.partition("[i]")[0] for stop in FLOOR_STOPS for step in stop.steps if "[i]" in step.field}
    assert lists <= set(LISTS)
    assert lists - {"feet"} | {"floor", "markout"} == set(FLOOR_TABLES)
    assert {walk_of(table) for table in FLOOR_TABLES} == {"floor"}


def test_names_to_choose_from() -> None:
    """Items for doors and spaces, reference points for the baseline; every other choice is the declaration's."""
    assert [name for name, _ in choices_of("keep_outs[0].item", raw())] == ["lathe", "loader", "tank", "cabinet"]
    assert [name for name, _ in choices_of("markout.second", raw())] == ["left base", "right base"]
    assert ("tank", "tank") in CHOICES["floor_items[i].kind"]
    assert len(CHOICES["floor_doors[i].side"]) == 4


@pytest.mark.parametrize(
    "field", ["floor_items[0].name", "keep_outs[3].side", "working_spaces[0].depth", "markout.first", "floor_items[12].kind"]
)
def test_what_changes_the_form(field: str) -> None:
    """Names, sides and kinds on which other questions rest."""
    assert re.fullmatch(SHAPING, field)
