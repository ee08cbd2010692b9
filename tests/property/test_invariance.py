"""What must change nothing, and what may only ever widen: origin and direction of Z, units of the text, looser bounds."""

from __future__ import annotations

import itertools
from fractions import Fraction

import pytest

from standoff.job.file import parse_job
from standoff.job.placement import Placement, bounds_of, place
from standoff.model.state import BAR_CHANGE, FRONT_LIMIT, REAR_LIMIT, STANDING
from standoff.solve.window import GUARD_FACTOR, Window, window
from standoff.units import step_mm
from tests.jobs import Case, random_case

CASES = 200
NOISE_MM = 1e-9
# Key, and in which direction a change of it can only make room (+1: more of it, -1: less).
LOOSER = {
    "rules.nose_clearance": -1,
    "rules.bar_margin": -1,
    "rules.cover_clearance": -1,
    "rules.rear_service": -1,
    "rules.longest_bar": -1,
    "rules.fixed_nose_end_gap": 1,
    "loader.pusher_reach": 1,
    "loader.gripper_behind_clamp": 1,
    "loader.body_ahead_of_clamp": -1,
    "loader.length_behind_clamp": -1,
    "lathe.cover_to_wall": 1,
    "nose.may_be_cut": 1,
    "nose.least_engagement": -1,
    "nose.extended": 1,
    "nose.collapsed": -1,
    "nose.overlap": -1,
}


def placed(case: Case, units: str | None = None) -> Placement:
    """The placement of a case, its text written in these units."""
    return place(parse_job(case.text(units)))


def assert_same(one: Placement, other: Placement) -> None:
    """The same windows, verdict and probabilities; the aim at most a rounding step away."""
    for a, b in ((one.window, other.window), (one.guarded, other.guarded)):
        assert (a.least_mm, a.greatest_mm) == pytest.approx((b.least_mm, b.greatest_mm), abs=NOISE_MM)
        assert (a.at_least, a.at_most, a.empty) == (b.at_least, b.at_most, b.empty)
    assert one.verdict is other.verdict
    assert (one.aim_mm is None) == (other.aim_mm is None)
    if one.aim_mm is not None and other.aim_mm is not None:
        assert abs(one.aim_mm - other.aim_mm) <= step_mm(one.job.units) + NOISE_MM
    if abs(one.standoff_mm - other.standoff_mm) < NOISE_MM and abs(one.cut_mm - other.cut_mm) < NOISE_MM:
        assert one.probability == pytest.approx(other.probability, abs=2e-4)
        assert [j.slack_mm for j in one.rows] == pytest.approx([j.slack_mm for j in other.rows], abs=1e-6)


def test_origin_of_z_changes_nothing() -> None:
    """A control that counts from somewhere else gives the same placement."""
    for seed in range(CASES):
        case = random_case(seed, fine=True)
        moved = case.changed(lambda path, mm: mm + Fraction("12345.67") if ".z_" in path else mm)
        assert moved != case or not case.modes
        assert_same(placed(case), placed(moved))


def test_direction_of_z_changes_nothing() -> None:
    """A control that counts the other way, and says so, gives the same placement."""
    for seed in range(CASES):
        case = random_case(seed, fine=True)
        turned = case.changed(lambda path, mm: -mm if ".z_" in path else mm, forward=-case.forward)
        assert_same(placed(case), placed(turned))


def test_units_of_the_text_change_nothing() -> None:
    """The same lengths written in inches or in millimetres give the same placement."""
    for seed in range(CASES):
        case = random_case(seed, fine=True)
        assert case.text("in") != case.text("mm")
        assert_same(placed(case, "in"), placed(case, "mm"))


def test_units_of_the_answer_move_only_the_rounding() -> None:
    """Windows do not depend on the units in which the answer is shown."""
    for seed in range(0, CASES, 5):
        case = random_case(seed, fine=True)
        one, other = placed(case), place(parse_job(case.text().replace(f'units = "{case.units}"', 'units = "mm"')))
        assert (one.window, one.guarded) == (other.window, other.guarded)


def looser(case: Case, key: str, by_mm: Fraction) -> Case | None:
    """The case with one key changed so that it asks for less; None where that is not possible."""
    if key not in case.quantities:
        return None
    mm = case.quantities[key].mm + LOOSER[key] * by_mm
    return None if mm <= 0 and not key.endswith("ahead_of_clamp") else case.with_values(**{key.replace(".", "__"): mm})


def test_looser_bound_never_shrinks_a_window() -> None:
    """Whatever is relaxed, the plain window keeps every standoff it had; an empty one misses by no more than before."""
    changes = 0
    for seed, (place_of, key) in itertools.product(range(CASES), enumerate(LOOSER)):
        if (seed + place_of) % 3:
            continue
        case = random_case(seed)
        wider = looser(case, key, Fraction("3.7"))
        if wider is None:
            continue
        before, after = (_window(c, 0.0) for c in (case, wider))
        changes += 1
        if before.empty:
            missing_mm = after.least_mm - after.greatest_mm
            assert missing_mm <= before.least_mm - before.greatest_mm + NOISE_MM, (key, case.text())
        else:
            assert after.least_mm <= before.least_mm + NOISE_MM, (key, case.text())
            assert after.greatest_mm >= before.greatest_mm - NOISE_MM, (key, case.text())
    assert changes > 500


def test_guarded_window_lies_inside_the_plain_one() -> None:
    """The guard band only ever draws in."""
    for seed in range(CASES):
        case = random_case(seed, fine=True)
        plain, guarded = _window(case, 0.0), _window(case, GUARD_FACTOR)
        if not guarded.empty:
            assert not plain.empty
            assert plain.least_mm <= guarded.least_mm + NOISE_MM
            assert guarded.greatest_mm <= plain.greatest_mm + NOISE_MM


def _window(case: Case, factor: float) -> Window:
    layout = parse_job(case.text()).layout
    rows = tuple(row for row in layout.rows() if row.bounds_standoff)
    return window(bounds_of(layout, rows), cut_limit_mm=layout.cut_limit_mm, factor=factor)


def test_gap_turned_round_changes_its_sign() -> None:
    """gap(a, b) = -gap(b, a), and gaps add up, for every pair of stations in every state."""
    for seed in range(0, CASES, 25):
        layout = parse_job(random_case(seed).text()).layout
        for mode, state_name in itertools.product(layout.modes, (REAR_LIMIT, FRONT_LIMIT, BAR_CHANGE, STANDING)):
            state = mode.at(state_name)
            for start, end in itertools.product(layout.stations, repeat=2):
                there, back = layout.gap(start, end, state), layout.gap(end, start, state)
                assert there == -back
                assert layout.gap(start, "clamp", state) + layout.gap("clamp", end, state) == there
