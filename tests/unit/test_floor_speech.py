"""The floor plan in words: the sentence, rows, feet and marks in the job's units, nothing surer than it is."""

from __future__ import annotations

import pytest

from standoff.job.demonstration import text_of
from standoff.job.file import parse_job
from standoff.job.floor_plan import FloorPlan, floor_plan
from standoff.job.floor_speech import (
    HEAD,
    axis_lines,
    check_line,
    force,
    free_line,
    headline,
    load_lines,
    mark_lines,
    more_line,
    not_stated_line,
    pressure,
    row_cells,
    sentence,
    shown_rows,
    up,
    warning_lines,
    where_line,
)
from standoff.job.placement import place
from standoff.units import Units
from tests.floors import FLOORED, floor_with, plan_of, row_of
from tests.texts import SLIDING
from tests.unit.test_floor_plan import column


def demo() -> FloorPlan:
    """The axle cell, in inches."""
    return floor_plan(place(parse_job(text_of("axle-cell"))))


def test_the_sentence_says_that_everything_has_its_room() -> None:
    """With the tightest place."""
    plan = plan_of(FLOORED)
    assert headline(plan) == "Fits on the floor"
    assert sentence(plan) == (
        "Everything has its room; the tightest is between loader and cabinet: 300 mm, 200 mm kept (over the whole shift)."
    )
    assert where_line(plan) == "With the nose-clamp face 300 mm behind the adapter."


@pytest.mark.parametrize(
    ("more", "words", "head"),
    [
        (column(3000, -2800, 300, -100), "loader runs 200 mm into column", "Does not fit on the floor: "),
        (column(3000, -2800, -1200, 1300), "loading stays free only 800 mm of 1000 mm: column", "Too near on the floor: 1 place"),
        (column(3000, -2800, -420, 900), "loader comes too near column, 20 mm where 50 mm is kept", "Too near on the floor: "),
        (column(4000, 0, 1500, -1300), "cabinet door opens only 300 mm of 500 mm: column", "Does not fit on the floor: 1 place"),
        (column(40, 0, 300, -200) + 'keeps = "150 mm"\n', "loader comes too near column when it shifts, 118 mm", "Too near"),
    ],
)
def test_the_sentence_names_what_is_in_the_way(more: str, words: str, head: str) -> None:
    """Each kind of trouble as a technician would say it, and the verdict above it."""
    plan = plan_of(FLOORED + more)
    assert words in sentence(plan)
    assert headline(plan).startswith(head)
    bad = plan.failing[0]
    assert check_line(bad, plan)[1:].rstrip(".").replace(" when it shifts", "") in sentence(plan).replace(" when it shifts", "")


def test_a_loader_that_would_tip_over_is_said_first() -> None:
    """Before the room it has; the table of loads is left out."""
    plan = floor_with({"floor_loads[0].left": '"400 mm"'})
    assert headline(plan) == "Would tip over"
    assert sentence(plan).startswith("As stated, the loader would tip over. Everything has its room")
    assert load_lines(plan) == ()


def test_a_height_that_is_wanted() -> None:
    """Neither fit nor clash: what to measure."""
    plan = floor_with({"floor_items[2].height": None})
    assert sentence(plan) == "It may fit: measure how high tank is, then ask again."
    assert headline(plan) == "May fit on the floor: 2 places"  # below the loader, and below the nose
    assert check_line(plan.failing[0], plan) == "Loader may pass above tank: measure how high that is."
    assert row_cells(plan.failing[0], plan)[0] == "not known"


def test_three_troubles_are_told_and_the_rest_counted() -> None:
    """A sentence is no list."""
    posts = "".join(
        column(3000 + 300 * i, -2900 - 300 * i, 300, -100).replace('"column"\nkind', f'"post {i}"\nkind') for i in range(5)
    )
    plan = plan_of(FLOORED + posts)
    assert sentence(plan).endswith("; and 2 things more.")


def test_nothing_stated() -> None:
    """What is missing, not that it fits."""
    assert sentence(plan_of(SLIDING)).startswith(
        "The floor cannot be judged yet: the bar loader in [[floor_items]] and the lathe"
    )
    assert headline(plan_of(SLIDING)) == "Not judged yet"
    assert not_stated_line(plan_of(FLOORED)) == "Not stated, and left out: what presses on the slab (pad of each of [[feet]])."


def test_a_standoff_at_which_the_pair_does_not_fit_says_so() -> None:
    """The floor is judged all the same."""
    plan = plan_of(FLOORED, standoff_mm=500.0)
    assert where_line(plan).endswith(", where the pair itself does not fit.")
    first = "The pair itself does not fit with the nose-clamp face 500 mm behind the adapter. "
    assert sentence(plan).startswith(f"{first}On the floor everything would have its room; the tightest is ")
    assert headline(plan) == "The pair itself does not fit"
    blocked = plan_of(FLOORED + column(3000, -2800, 300, -100), standoff_mm=500.0)
    assert sentence(blocked).startswith(f"{first}It does not fit on the floor: loader runs ")
    assert headline(blocked).startswith("Does not fit on the floor")


def test_rows_of_the_table() -> None:
    """One cell for each head; the same two things once; what lies one above the other says so."""
    plan = demo()
    rows = shown_rows(plan)
    assert len({row.between for row in rows}) == len(rows) == 6
    cells = [row_cells(row, plan) for row in rows]
    assert all(len(row) == len(HEAD) for row in cells)
    above = row_cells(row_of(plan, "loader's channel and frame and coolant tank"), plan)
    assert above[3] == "8 in, one above the other"
    assert more_line(plan) == f"{len(plan.rows) - 6} further rows hold with more room."
    clash = plan_of(FLOORED + column(3000, -2800, 300, -100))
    assert row_cells(clash.failing[0], clash)[3].startswith("-")


def test_what_stays_free() -> None:
    """All spaces but the blocked ones."""
    assert free_line(plan_of(FLOORED)) == "What stays free: cabinet door, loading, pusher, working space at cabinet."
    blocked = plan_of(FLOORED + column(3000, -2800, -1200, 1300))
    assert "loading" not in free_line(blocked)
    assert free_line(plan_of(SLIDING)) == ""


@pytest.mark.parametrize(
    ("load_n", "units", "text"),
    [(4448.22, "in", "1000 lbf"), (4448.22, "mm", "4.45 kN"), (98.0665, "mm", "0.0981 kN"), (0.0, "in", "0 lbf")],
)
def test_loads_in_three_digits(load_n: float, units: Units, text: str) -> None:
    """Pounds of force or kilonewtons."""
    assert force(load_n, units) == text


@pytest.mark.parametrize(("stress_mpa", "units", "text"), [(1.0, "in", "145 psi"), (0.6213, "mm", "0.621 N/mm2")])
def test_pressures_in_three_digits(stress_mpa: float, units: Units, text: str) -> None:
    """1 MPa is 145.04 psi."""
    assert pressure(stress_mpa, units) == text


def test_what_the_feet_carry() -> None:
    """Shared, at the worst, pressed; the model and what comes on top are said."""
    lines = load_lines(plan_of(FLOORED))
    assert (
        lines[0] == "front left: 2.70 kN shared evenly, 4.90 kN at the worst, which presses 0.490 N/mm2 on the slab below its pad"
    )
    assert lines[3] == "rear right: 3.43 kN shared evenly, 5.88 kN at the worst"
    assert "1200 kg with everything on it" in lines[4]
    assert "equal springs" in lines[5]
    assert "not anchored" in lines[6]
    assert load_lines(plan_of(SLIDING)) == ()


def test_how_marks_are_told() -> None:
    """Both tapes, the hand, how sure; one that is not sure enough is to be drilled later."""
    lines = mark_lines(plan_of(FLOORED))
    assert lines[0] == "from A, left base, and B, right base, 1400.6 mm apart"
    assert lines[1].startswith("front left: 1064.8 mm from A, 1301.6 mm from B, on the right hand going from A to B; off by 5 mm")
    assert lines[3].endswith("not sure enough, drill it once the loader stands aligned")
    assert lines[4].startswith("check front left to anchor: 2039.6 mm, give or take")
    assert "in apart (of all pairs the one that marks most surely)" in mark_lines(demo())[0]
    refused = floor_with({"markout.taped": '"1450 mm"'})
    assert mark_lines(refused)[0].startswith("not marked out: ")
    assert mark_lines(plan_of(SLIDING)) == ()


def test_what_the_axis_is_worth() -> None:
    """95 in 100 are twice the standard uncertainty, never told smaller than it is."""
    (line,) = axis_lines(plan_of(FLOORED))
    assert "5000 mm apart" in line
    assert "off sideways by 2 mm at most" in line
    assert axis_lines(plan_of(SLIDING)) == ()


@pytest.mark.parametrize(
    ("length_mm", "units", "up_mm"), [(3.2, "mm", 4.0), (4.0, "mm", 4.0), (0.1, "in", 1.5875), (25.4, "in", 25.4)]
)
def test_a_doubt_is_rounded_up(length_mm: float, units: Units, up_mm: float) -> None:
    """To the next millimetre or sixteenth."""
    assert up(length_mm, units) == pytest.approx(up_mm)


def test_warnings_name_their_source() -> None:
    """Behind each of them."""
    (line,) = warning_lines(floor_with({"floor.loader_stands": '"on pads"'}))
    assert line.startswith("The lathe stands anchored, the loader on pads")
    assert line.endswith("(common practice, no published source)")
