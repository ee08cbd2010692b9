"""A part before anything moves: reach, shortest remnant, feeds, count; and what cannot be made."""

from __future__ import annotations

import pytest

from standoff.errors import JobFileError
from standoff.job.parts import Part, Reach, parts_of, travel_of, z_of
from standoff.units import parse_length
from tests.cycles import HUB, PIN, STANDOFF_MM, Changes, counted, cycle_with, falling, fixed_with, text_with
from tests.texts import SLIDING
from tests.turning import job_of

INSERTED = {"bar_path.insertion": '"40 mm"'}


def part_with(*tables: str, changes: Changes | None = None, at_mm: float = STANDOFF_MM) -> Part:
    """The first part of the sliding job."""
    return parts_of(job_of(text_with(*tables, changes=changes)), standoff_mm=at_mm)[0]


def test_the_shortest_remnant_by_hand() -> None:
    """K = 1110, C = 190 + 600 = 790, X = 1120 - 300 = 820; the collet's back governs, and 40 mm sit in the pusher collet."""
    reach = part_with(PIN, changes=INSERTED).reach
    assert (reach.cut_off_mm, reach.collet_mm, reach.tip_limit_mm) == pytest.approx((1110.0, 790.0, 820.0))
    assert reach.remnant_mm == pytest.approx(1110.0 - 790.0 + 40.0)
    assert (reach.shortfall_mm, reach.gripped_mm) == pytest.approx((0.0, 320.0))


def test_in_the_second_mode_the_collet_comes_nearer_to_the_cut_off() -> None:
    """Chucker: C = 350 + 600 = 950, X = 1120 + 170 - 300 = 990."""
    reach = part_with(HUB, changes=INSERTED).reach
    assert reach.remnant_mm == pytest.approx(1110.0 - 950.0 + 40.0)


def test_a_pusher_that_falls_short_leaves_a_longer_remnant() -> None:
    """At 340 mm X = 780 lies 10 mm behind the collet: all of it is remnant."""
    reach = part_with(PIN, changes=INSERTED, at_mm=340.0).reach
    assert reach.shortfall_mm == pytest.approx(10.0)
    assert reach.remnant_mm == pytest.approx(1110.0 - 780.0 + 40.0)


def test_a_pusher_that_may_enter_the_collet_leaves_a_shorter_one() -> None:
    """12 mm into the collet; beyond its reach of 30 mm the reach governs."""
    assert part_with(PIN, '[cycle]\ninto_collet = "12 mm"').reach.remnant_mm == pytest.approx(1110.0 - 802.0)
    assert part_with(PIN, '[cycle]\ninto_collet = "50 mm"').reach.remnant_mm == pytest.approx(1110.0 - 820.0)


def test_the_bars_end_inside_the_collet_is_gripped_less() -> None:
    """Where the pusher enters deeper than the bar sits in it, the bar's end lies ahead of the collet's back."""
    reach = Reach(cut_off_mm=1110.0, collet_mm=790.0, tip_limit_mm=900.0, insertion_mm=10.0, into_collet_mm=25.0)
    assert reach.gripped_mm == pytest.approx(320.0 - 25.0 + 10.0)


def test_a_stated_last_cut_off_takes_the_collet_back() -> None:
    """Cut off 20 mm behind the front limit, the remnant is 20 mm longer."""
    part = part_with(PIN + 'z_last_cut = "170 mm"\n')
    assert part.travel_end_mm == pytest.approx(170.0)
    assert part.reach.remnant_mm == pytest.approx(1110.0 - 770.0)


def test_z_and_travel_are_each_others_reverse() -> None:
    """Whichever way the control counts."""
    for text, z_mm in ((SLIDING, 110.0), (falling(SLIDING), -110.0)):
        job = job_of(text)
        assert travel_of(job, z_mm) == pytest.approx(110.0)
        assert z_of(job, 110.0) == pytest.approx(z_mm)


@pytest.mark.parametrize(("length", "feeds"), [("187 mm", 1), ("187.01 mm", 2), ("377 mm", 2), ("567 mm", 3), ("567.1 mm", 4)])
def test_a_part_longer_than_the_travel_takes_several_feeds(length: str, feeds: int) -> None:
    """The travel is 190 mm and the cut-off takes 3 mm."""
    part = part_with(PIN.replace("57 mm", length))
    assert part.feeds == feeds
    assert part.stroke_mm * feeds == pytest.approx(float(parse_length(length)) + 3.0)


def test_a_fixed_headstock_feeds_once() -> None:
    """However long the part is."""
    assert fixed_with(PIN.replace("57 mm", "700 mm")).part.feeds == 1


def test_the_count_is_that_of_a_count_part_after_part() -> None:
    """3660 mm less 1 mm of facing and 320 mm of remnant are 3339 mm: floor(3339 / 60) = 55."""
    cycle = cycle_with(PIN)
    assert cycle.part.count == 55
    assert cycle.part.remnant_mm == pytest.approx(3659.0 - 55 * 60.0)
    assert counted(cycle) == pytest.approx((55, cycle.part.remnant_mm))


def test_a_picked_off_last_part_uses_what_the_collet_else_holds() -> None:
    """One part more, and 299 mm left instead of 359 mm."""
    part = part_with(PIN + "picked_off = true\n")
    assert (part.count, part.drawn) == (56, True)
    assert part.remnant_mm == pytest.approx(299.0)


def test_picked_off_where_nothing_is_gained() -> None:
    """A part longer than the remnant gains at most the remnant: 348 mm and 200 mm do not make one of 703 mm."""
    long = PIN.replace('"57 mm"', '"700 mm"').replace('"1 mm"', '"300 mm"') + "picked_off = true\n"
    part = fixed_with(long).part
    assert (part.count, part.drawn) == (4, False)
    assert part.remnant_mm == pytest.approx(3660.0 - 300.0 - 4 * 703.0)


@pytest.mark.parametrize(("bar", "mm"), [('bar = "thin"', 2000.0), ('bar = "whole"', 3660.0), ("", 2000.0)])
def test_the_bar_of_a_part(bar: str, mm: float) -> None:
    """By its name, else the first; a bar without a length is the job's longest."""
    bars = '[[bars]]\nname = "thin"\nshape = "round"\nsize = "6 mm"\nmaterial = "steel"\nlength = "2 m"\n'
    bars += '[[bars]]\nname = "whole"\nshape = "round"\nsize = "6 mm"\nmaterial = "steel"\n'
    assert part_with(bars, PIN + bar).bar_mm == mm


def test_without_bars_the_jobs_longest_is_taken() -> None:
    """And told so."""
    part = part_with(PIN)
    assert (part.bar_name, part.bar_mm) == ("the job's longest bar", 3660.0)


def problems_of(*tables: str, changes: Changes | None = None) -> list[tuple[str, str]]:
    """Codes and fields of what cannot be made at the tests' standoff."""
    with pytest.raises(JobFileError) as caught:
        part_with(*tables, changes=changes)
    assert all(problem.action for problem in caught.value.problems)
    return [(problem.code, problem.field) for problem in caught.value.problems]


def test_every_part_that_its_bar_does_not_hold_is_named_at_once() -> None:
    """3338 mm and 3400 mm are too long with cut-off, facing and the remnant of 320 mm; the one between them is made."""
    long, longer = (f'[[parts]]\nname = "{mm}"\nlength = "{mm} mm"\n' for mm in (3338, 3400))
    assert problems_of(long, PIN, longer) == [("part-too-long", "parts[0].length"), ("part-too-long", "parts[2].length")]


def test_the_longest_part_that_a_bar_holds() -> None:
    """3660 = 1/32 in facing, 1/8 in cut-off, 320 mm remnant and the part; a tenth more is refused."""
    fits_mm = 3660.0 - 320.0 - 25.4 / 32 - 25.4 / 8
    part = part_with(f'[[parts]]\nname = "a"\nlength = "{fits_mm:.6f} mm"\n')
    assert part.count == 1
    assert part.feeds == 18
    assert problems_of(f'[[parts]]\nname = "a"\nlength = "{fits_mm + 0.1:.6f} mm"\n') == [("part-too-long", "parts[0].length")]


def test_a_travel_of_almost_nothing_is_refused() -> None:
    """A last cut-off a hair ahead of the rear limit would take thousands of feeds."""
    assert problems_of(PIN + 'z_last_cut = "0.1 mm"\n') == [("last-cut-outside", "parts[0].length")]


def test_without_the_cut_off_plane_there_is_no_remnant() -> None:
    """The distance to it is asked for."""
    assert problems_of(PIN, changes={"lathe.collet_to_cutoff": None}) == [("key-missing", "lathe.collet_to_cutoff")]
