"""The floor tables: every mistake gives one message with code, field and next action; all in one run."""

from __future__ import annotations

import pytest

from standoff.job.file import parse_job
from tests.floors import FEET, FLOORED, ITEMS, MARKS, MISTAKES
from tests.texts import FIXED, SLIDING, altered, named, problems


def test_the_tables_are_accepted() -> None:
    """What the mistakes are planted into is a job."""
    tables = parse_job(FLOORED).tables
    assert [item.name for item in tables.floor_items] == ["lathe", "loader", "tank", "cabinet"]
    assert tables.floor is not None
    assert tables.floor_loads[0].mass == 1000.0
    assert problems(SLIDING) == ()


@pytest.mark.parametrize("number", range(len(MISTAKES)))
def test_one_mistake_gives_one_message(number: int) -> None:
    """Code, field, line and a next action; nothing else."""
    code, changes, field = MISTAKES[number]
    (problem,) = problems(altered(FLOORED, changes))
    assert (problem.code, problem.field) == (code, field)
    assert problem.line is not None
    assert problem.action


def test_all_mistakes_at_once() -> None:
    """Mistakes in different keys are as many messages."""
    chosen = (2, 7, 10, 13, 15, 18, 20, 25, 30, 31, 34, 38)
    changes = {key: value for number in chosen for key, value in MISTAKES[number][1].items()}
    expected = {(MISTAKES[number][0], MISTAKES[number][2]) for number in chosen}
    assert sorted(named(altered(FLOORED, changes))) == sorted(expected)


def test_a_misspelt_item_is_told_the_nearest() -> None:
    """As with every name."""
    (problem,) = problems(altered(FLOORED, {"floor_doors[0].item": '"cabinett"'}))
    assert 'write "cabinet"' in problem.action
    (none,) = problems(SLIDING + '[[working_spaces]]\nitem = "box"\nside = "left"\ndepth = "1 m"\n')
    assert none.action == "list it in [[floor_items]]"


def test_a_working_space_says_a_depth_or_what_it_follows_from() -> None:
    """Neither: both keys are asked for. A depth alone is enough."""
    bare = altered(FLOORED, {"working_spaces[0].voltage": None, "working_spaces[0].facing": None})
    asked = ("working_spaces[0].voltage", "working_spaces[0].facing")
    assert sorted(named(bare)) == sorted(("key-missing", field) for field in asked)
    stated = {"working_spaces[0].voltage": None, "working_spaces[0].facing": None, "working_spaces[0].depth": '"1 m"'}
    assert problems(altered(FLOORED, stated)) == ()


@pytest.mark.parametrize(("wall", "accepted"), [("-6700 mm", True), ("-6704 mm", True), ("-6720 mm", False), ("-6600 mm", False)])
def test_the_wall_stands_in_one_place(wall: str, accepted: bool) -> None:
    """A wall across the axis is where lathe.cover_to_wall says, 6700 mm behind the cover, as exactly as both were taped."""
    item = '[[floor_items]]\nname = "wall"\nkind = "wall"\nbehind = "7000 mm"\n'
    item += f'ahead = "{wall}"\nleft = "3 m"\nright = "3 m"\n'
    assert [problem.code for problem in problems(FLOORED + item)] == ([] if accepted else ["wall-twice"])
    beside = item.replace('right = "3 m"', 'right = "-1 m"')
    assert problems(FLOORED + beside) == ()


def test_the_nearest_of_two_walls_counts() -> None:
    """A column in front of the wall is what the tape meets."""
    item = '[[floor_items]]\nname = "{0}"\nkind = "{1}"\nbehind = "7500 mm"\nahead = "{2}"\nleft = "1 m"\nright = "1 m"\n'
    text = FLOORED + item.format("wall", "wall", "-7200 mm") + item.format("post", "column", "-6700 mm")
    assert problems(text) == ()
    (problem,) = problems(text.replace('"-6700 mm"', '"-6500 mm"'))
    assert (problem.code, problem.field) == ("wall-twice", "floor_items[5].ahead")


def test_feet_that_cannot_bear() -> None:
    """Two feet, nine of them, or three in one line."""
    foot = '[[feet]]\nname = "{0}"\nbehind_clamp = "{1} mm"\nleft = "{2} mm"\n'
    load = '[[floor_loads]]\nname = "loader"\nmass = "900 kg"\nbehind = "1 m"\nleft = "0 mm"\n'
    two = SLIDING + foot.format("a", 0, 0) + foot.format("b", 900, 0) + load
    assert named(two) == [("frame-shape", "feet")]
    nine = SLIDING + "".join(foot.format(f"f{i}", 100 * i, 100 * (i % 2)) for i in range(9)) + load
    assert named(nine) == [("frame-shape", "feet")]
    line = SLIDING + "".join(foot.format(f"f{i}", 100 * i, 50 * i) for i in range(3)) + load
    assert named(line) == [("frame-shape", "feet")]
    three = "".join(foot.format(f"f{i}", 900 * i, 300 * (i % 2)) for i in range(3))
    assert named(SLIDING.replace('centre_height = "1040 mm"\n', "") + three) == []


def test_what_is_told_from_the_cover_needs_it() -> None:
    """A loader alone is told from its clamp face; anything else, joints and reference points need the cover."""
    lathe = FIXED
    loader = '[[floor_items]]\nname = "loader"\nkind = "loader"\nbehind = "4 m"\nleft = "300 mm"\nright = "300 mm"\n'
    assert problems(lathe + loader) == ()
    for more in (ITEMS, '[[reference_points]]\nname = "a"\nbehind = "1 m"\nleft = "1 m"\n'):
        assert ("key-missing", "lathe.cover_to_adapter") in named(lathe + more)


def test_a_loader_whose_length_nobody_knows() -> None:
    """Without loader.length_behind_clamp the item says how far back it reaches."""
    text = FIXED + '[[floor_items]]\nname = "loader"\nkind = "loader"\nleft = "300 mm"\nright = "300 mm"\n'
    assert named(text) == [("key-missing", "floor_items[0].behind")]


def test_marks_alone_are_accepted() -> None:
    """Holes and reference points need no items."""
    assert problems(SLIDING + FEET + MARKS) == ()
