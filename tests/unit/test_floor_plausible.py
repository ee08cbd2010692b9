"""What is asked about things on the floor that were hardly meant: nothing of the demonstrations, each slip by its field."""

from __future__ import annotations

import pytest

from standoff.job.demonstration import text_of
from standoff.job.file import parse_job
from standoff.job.floor_plan import floor_plan
from standoff.job.floor_plausible import floor_questions
from standoff.job.placement import place
from tests.texts import altered

AXLE = text_of("axle-cell")


@pytest.mark.parametrize("name", ["axle-cell", "shell-cell", "spoke-nipple-cell"])
def test_nothing_is_asked_of_the_demonstrations(name: str) -> None:
    """What stands there is usual."""
    assert floor_questions(parse_job(text_of(name))) == ()


@pytest.mark.parametrize(
    ("field", "typed", "asked"),
    [
        ("floor_items[0].ahead", '"8 in"', "lathe, its front end: 8 in is unusual"),
        ("floor_items[0].height", '"72 ft"', "were inches meant instead of feet?"),
        ("floor_items[0].left", '"38 ft"', "were inches meant instead of feet?"),
        ("floor_items[1].from_floor", '"59 1/2 in"', "loader's channel and frame, its underside"),
        ("floor_items[6].behind", '"900 m"', "transformer, its rear end"),
        ("floor_items[2].left", '"-49 in"', "magazine: so wide from left to right is unusual."),
        ("floor_loads[0].mass", '"2650000 lb"', "loader, its mass: 2650000 lb is unusual"),
        ("floor_doors[0].width", '"28 ft"', "its leaf: 28 ft is unusual"),
    ],
)
def test_a_slip_is_asked_about_among_the_warnings(field: str, typed: str, asked: str) -> None:
    """One question, under its field, first among the warnings of the plan; nothing is refused."""
    job = parse_job(altered(AXLE, {field: typed}))
    (question,) = floor_questions(job)
    assert question.id == f"implausible:{field}"
    assert asked in question.text
    assert floor_plan(place(job)).warnings[0] == question


def test_a_column_in_the_lathe_is_asked_about() -> None:
    """Column B4 drawn 2 in into the left side of the lathe is asked of; one above the lathe is not, nor is a tank in it."""
    changes = {"floor_items[8].right": '"-36 in"', "floor_items[8].left": '"52 in"', "floor_items[8].behind": '"-2 in"'}
    plan = floor_plan(place(parse_job(altered(AXLE, changes))))
    assert [question.text for question in plan.warnings if question.id == "implausible:floor_items[8].behind"] == [
        "column B4 stands 2 in in lathe: was this meant? Check where both reach."
    ]
    above = altered(AXLE, {**changes, "floor_items[8].from_floor": '"72 in"'})
    assert not [question for question in floor_plan(place(parse_job(above))).warnings if question.id.startswith("implausible")]
    tank = altered(AXLE, {**changes, "floor_items[8].kind": '"tank"'})
    assert not [question for question in floor_plan(place(parse_job(tank))).warnings if question.id.startswith("implausible")]
