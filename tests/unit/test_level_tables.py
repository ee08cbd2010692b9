"""The tables of levelling: every mistake gives one message with code, field and next action; all in one run."""

from __future__ import annotations

import pytest

from standoff.errors import CODES
from standoff.job.file import parse_job
from standoff.job.level_guide import LEVEL_TABLES
from standoff.job.levels import level_of, tolerances_of
from standoff.job.placement import place
from standoff.site.tolerance import Tolerances
from tests.levelling import FRAME, IN_FULL, LEVELLED, MISTAKES, WIRE, Changes
from tests.texts import FIXED, SLIDING, altered, named, problems

SWEEP = '\n[[sweeps]]\nsurface = "bore"\nbehind_clamp = "0 mm"\ntop = "0 mm"\nleft = "0 mm"\nbottom = "0 mm"\nright = "0 mm"\n'


def test_the_tables_are_accepted() -> None:
    """What the mistakes are planted into is a job; its tables are there."""
    assert named(IN_FULL) == named(LEVELLED) == []
    tables = parse_job(IN_FULL).tables
    assert [foot.name for foot in tables.feet] == ["front left", "front right", "rear left", "rear right"]
    assert (tables.levels[0].reading, tables.levels[0].turned) == (0.6, -0.4)
    assert all(getattr(tables, key) for key in LEVEL_TABLES)


@pytest.mark.parametrize("number", range(len(MISTAKES)))
def test_one_mistake_gives_one_message(number: int) -> None:
    """Code, field, line and a next action; nothing else."""
    code, changes, field = MISTAKES[number]
    (problem,) = problems(altered(IN_FULL, changes))
    assert (problem.code, problem.field) == (code, field)
    assert problem.code in CODES
    assert problem.line is not None
    assert problem.action


def test_all_mistakes_at_once() -> None:
    """Twelve in different tables are twelve messages, in the order of the file."""
    changes: Changes = {
        "frame.shim_step": '"-0.1 mm"',
        "feet[1].name": '"front left"',
        "side_screws[1].behind_clamp": '"200 mm"',
        "brackets[0].sag": '"0.1"',
        "levels[0].reading": '"0,600 mm/m"',
        "levels[0].spindle": '"0.1 mm/m"',
        "sweeps[0].bracket": '"a bracket"',
        "sweeps[1].circle": '"150 mm"',
        "reference_lines[0].sag": '"0.2 mm"',
        "line_readings[0].behind_clamp": '"5 m"',
        "level_rounds[1].stage": '"done"',
        "level_tolerances.roll": '"-0.5 mm/m"',
    }
    found = problems(altered(IN_FULL, changes))
    assert {(problem.code, problem.field) for problem in found} == {
        ("value-sign", "frame.shim_step"),
        ("name-twice", "feet[1].name"),
        ("frame-shape", "side_screws"),
        ("length-without-unit", "brackets[0].sag"),
        ("magnitude-comma", "levels[0].reading"),
        ("reading-kind", "levels[0].spindle"),
        ("instrument-unknown", "sweeps[0].bracket"),
        ("reading-kind", "sweeps[1].circle"),
        ("said-twice", "reference_lines[0].sag"),
        ("off-the-wire", "line_readings[0].behind_clamp"),
        ("value-choice", "level_rounds[1].stage"),
        ("value-sign", "level_tolerances.roll"),
    }
    lines = [problem.line or 0 for problem in found]
    assert lines == sorted(lines)


def test_unknown_instruments_are_told_the_nearest() -> None:
    """A bracket and a line that are not there, with and without others to choose from."""
    (bracket,) = problems(altered(IN_FULL, {"sweeps[0].bracket": '"long braket"'}))
    assert '"long bracket"' in bracket.action
    (line,) = problems(altered(IN_FULL, {"line_readings[0].line": '"wires"'}))
    assert '"wire"' in line.action
    (alone,) = problems(f'{SLIDING}{SWEEP}bracket = "long bracket"\n')
    assert alone.action == "list it in [[brackets]]"


@pytest.mark.parametrize("count", [1, 2, 9])
def test_a_frame_stands_on_three_to_eight_feet(count: int) -> None:
    """Fewer do not stand, more are not judged: said with how many there are."""
    feet = "".join(
        f'[[feet]]\nname = "foot {i}"\nbehind_clamp = "{100 + 500 * i} mm"\nleft = "{300 - 600 * (i % 2)} mm"\n'
        for i in range(count)
    )
    (problem,) = problems(f"{SLIDING}\n{feet}")
    assert (problem.code, problem.field, problem.found) == ("frame-shape", "feet", f"feet {count}")


def test_screws_push_a_frame_that_stands_on_feet() -> None:
    """Side screws without feet, or at one end only, move nothing that is known."""
    screws = FRAME[FRAME.index("[[side_screws]]") : FRAME.index("[[brackets]]")]
    assert named(f"{SLIDING}\n{screws}") == [("key-missing", "side_screws")]
    single = LEVELLED.replace(screws, screws[: screws.index("[[side_screws]]", 1)])
    assert named(single) == [("frame-shape", "side_screws")]


def test_a_fixed_headstock_stands_at_no_front_limit() -> None:
    """It does not travel, and its loader does not shift."""
    assert named(f"{FIXED}{SWEEP}") == []
    assert named(f'{FIXED}{SWEEP}headstock = "front limit"\n') == [("headstock-modes", "sweeps[0].headstock")]
    assert named(f'{FIXED}{SWEEP}loader = "shifted"\n') == [("reading-kind", "sweeps[0].loader")]


def test_a_line_tells_of_the_spindle_where_it_was_set() -> None:
    """Read with the headstock elsewhere nothing has moved: refused with what to do instead; repeated it is accepted."""
    (problem,) = problems(altered(IN_FULL, {"line_readings[0].headstock": '"front limit"'}))
    assert problem.action == "leave it out; set a second line with the headstock there, or read by a sweep"
    assert named(altered(IN_FULL, {"line_readings[0].headstock": '"rear limit"'})) == []
    forward = {"reference_lines[0].headstock": '"front limit"', "line_readings[0].headstock": '"front limit"'}
    assert named(altered(IN_FULL, forward)) == []
    assert named(FIXED + WIRE) == []
    fixed = WIRE.replace('kind = "wire"', 'kind = "wire"\nheadstock = "front limit"')
    assert named(FIXED + fixed) == [("headstock-modes", "reference_lines[0].headstock")]


def test_a_beam_hangs_by_nothing() -> None:
    """Keys of a wire do not go with a laser or a straightedge."""
    laser = WIRE.replace('kind = "wire"', 'kind = "laser"')
    found = named(SLIDING + laser)
    assert found == [("reading-kind", f"reference_lines[0].{key}") for key in ("rear_end", "front_end", "note")]


def test_a_job_without_these_tables_is_none_the_worse() -> None:
    """They are optional: nothing is missing, and the placement is the same with them."""
    bare = parse_job(SLIDING)
    assert bare.tables.feet == []
    assert level_of(place(bare)).rounds == ()
    assert place(bare).window == place(parse_job(IN_FULL)).window


def test_tolerances_say_where_they_are_from() -> None:
    """None stated: common practice. Some stated: these from the job. All of them: from what the job names."""
    usual = tolerances_of(parse_job(SLIDING))
    assert usual == Tolerances()
    assert usual.basis == "common practice, no published source"
    some = tolerances_of(parse_job(IN_FULL))
    assert (some.spindle_mm, some.axis_mm, some.roll_mm_per_m, some.rock_mm) == (0.1, 0.25, 0.5, 0.05)
    assert some.basis == "as stated in the job; the rest common practice, no published source"
    every = (
        '[level_tolerances]\nspindle = "0.05 mm"\naxis = "0.1 mm"\nroll = "0.2 mm/m"\nrock = "0.04 mm"\ntightening = "0.03 mm"\n'
    )
    of_maker = tolerances_of(parse_job(f'{SLIDING}\n{every}basis = "loader manual"\n'))
    assert of_maker == Tolerances(
        spindle_mm=0.05, axis_mm=0.1, roll_mm_per_m=0.2, rock_mm=0.04, tightening_mm=0.03, basis="loader manual"
    )
    named_only = tolerances_of(parse_job(f'{SLIDING}\n[level_tolerances]\nbasis = "loader manual"\n'))
    assert named_only.basis == usual.basis
