"""The tables of parts, cycle and stock: every mistake gives one message with code, field and next action; all in one run."""

from __future__ import annotations

import pytest

from standoff.job.file import parse_job
from standoff.job.keys import defaulted_mm
from standoff.job.part_tables import CycleTable, PartTable, StockTable
from tests.cycles import falling
from tests.texts import FIXED, SLIDING, altered, problems
from tests.turning import PART_MISTAKES, PARTS, Changes


def test_the_tables_are_accepted() -> None:
    """What the mistakes are planted into is a job; its parts, cycle and stock are there."""
    tables = parse_job(PARTS).tables
    assert [part.name for part in tables.parts] == ["pin", "hub"]
    assert tables.cycle is not None
    assert tables.stock is not None
    assert tables.parts[0].seconds == 75.0
    assert tables.cycle.bar_change == 40.0


@pytest.mark.parametrize("number", range(len(PART_MISTAKES)))
def test_one_mistake_gives_one_message(number: int) -> None:
    """Code, field, line and a next action; nothing else."""
    code, changes, field = PART_MISTAKES[number]
    (problem,) = problems(altered(PARTS, changes))
    assert (problem.code, problem.field) == (code, field)
    assert problem.line is not None
    assert problem.action


def test_all_mistakes_at_once() -> None:
    """Ten in different keys are ten messages."""
    changes: Changes = {
        "parts[0].length": '"4 m"',
        "parts[1].cut_off_width": '"58 mm"',
        "parts[0].mode": '"turning"',
        "parts[0].bar": '"16 mm steal"',
        "parts[0].seconds": '"0 s"',
        "cycle.bar_change": '"0 s"',
        "cycle.loaded_behind_clamp": '"3 m"',
        "parts[1].z_last_cut": '"149 mm"',
        "stock.price_per_bar": "18.5",
        "prices": None,
        "prices.currency": None,
    }
    text = altered(PARTS, {key: value for key, value in changes.items() if not key.startswith("prices")})
    text = text.replace('[prices]\ncurrency = "EUR"\n', "")
    found = {(problem.code, problem.field) for problem in problems(text)}
    assert found == {
        ("part-too-long", "parts[0].length"),
        ("cut-too-wide", "parts[1].cut_off_width"),
        ("mode-unknown", "parts[0].mode"),
        ("bar-unknown", "parts[0].bar"),
        ("magnitude-zero", "parts[0].seconds"),
        ("magnitude-zero", "cycle.bar_change"),
        ("loaded-ahead", "cycle.loaded_behind_clamp"),
        ("last-cut-outside", "parts[1].z_last_cut"),
        ("currency-missing", "stock.price_per_bar"),
        ("said-twice", "stock.price_per_kg"),
    }


def test_unknown_names_are_told_the_nearest() -> None:
    """A bar and a mode that are not there."""
    (mode,) = problems(altered(PARTS, {"parts[1].mode": '"chuker"'}))
    assert '"chucker"' in mode.action
    (bar,) = problems(altered(PARTS, {"parts[0].bar": '"16 mm steal"'}))
    assert '"16 mm steel"' in bar.action
    without = PARTS[: PARTS.index("[[bars]]")] + PARTS[PARTS.index("[[parts]]") :]
    assert {problem.action for problem in problems(without)} == {"list it in [[bars]]"}


def test_a_cut_off_by_default_is_told_as_such() -> None:
    """A part shorter than 1/8 in needs its own tool."""
    text = altered(PARTS, {"parts[0].length": '"2 mm"', "parts[0].cut_off_width": None})
    (problem,) = problems(text)
    assert (problem.code, problem.found) == ("cut-too-wide", "3.175 mm, the default")


@pytest.mark.parametrize(("z_mm", "accepted"), [(-190.0, True), (-190.1, False), (-0.1, True), (0.0, False), (3.0, False)])
def test_a_last_cut_off_where_z_falls_forward(z_mm: float, accepted: bool) -> None:
    """The front limit belongs to the travel, the rear limit does not, whichever way Z counts."""
    found = problems(altered(falling(PARTS), {"parts[0].z_last_cut": f'"{z_mm} mm"'}))
    assert [problem.code for problem in found] == ([] if accepted else ["last-cut-outside"])


@pytest.mark.parametrize(("key", "value"), [("into_collet", "400 mm"), ("into_collet", "321 mm")])
def test_a_pusher_beyond_the_cut_off_plane(key: str, value: str) -> None:
    """What is entered deeper than the collet is long is a mistaken figure, once for each mode's part it concerns."""
    found = problems(altered(PARTS, {f"cycle.{key}": f'"{value}"'}))
    assert {(problem.code, problem.field) for problem in found} == {("past-cut-off", "lathe.collet_to_cutoff")}


def test_a_fixed_headstock_has_no_last_cut_off_to_state() -> None:
    """It does not travel; a mode of its own name is accepted, another is not."""
    part = '[[parts]]\nname = "bell"\nlength = "40 mm"\n'
    assert problems(f'{FIXED}\n{part}mode = "fixed"\n') == ()
    (problem,) = problems(f'{FIXED}\n{part}z_last_cut = "10 mm"\n')
    assert (problem.code, problem.field) == ("headstock-modes", "parts[0].z_last_cut")


def test_defaults_of_the_tables() -> None:
    """1/8 in for the tool, 1/32 in for facing, nothing into the collet, no tolerance of the mill."""
    assert defaulted_mm(None, PartTable, "cut_off_width") == pytest.approx(25.4 / 8)
    assert defaulted_mm(None, PartTable, "facing") == pytest.approx(25.4 / 32)
    assert defaulted_mm(None, CycleTable, "into_collet") == 0.0
    assert defaulted_mm(None, StockTable, "mill_tolerance") == 0.0


def test_a_job_without_parts_is_none_the_worse() -> None:
    """The tables are optional."""
    assert problems(SLIDING) == ()
    assert parse_job(SLIDING).tables.parts == []
