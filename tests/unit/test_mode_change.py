"""The change of mode: where the headstock may stand for one stroke of the loader, or how many turns it takes."""

from __future__ import annotations

import pytest

from standoff.job.mode_change import ModeChange, mode_changes
from standoff.model.requirement import Requirement, Side
from tests.cycles import STANDOFF_MM, Changes
from tests.texts import FIXED, SLIDING, altered
from tests.turning import job_of

THIRD = '[[lathe.modes]]\nname = "third"\nz_rear = "20 mm"\nz_front = "120 mm"\nloader_shift = "-40 mm"\n\n[loader]\n'


def change(changes: Changes | None = None, *, at_mm: float = STANDOFF_MM) -> ModeChange:
    """The change between the two modes of the sliding job."""
    (found,) = mode_changes(job_of(altered(SLIDING, changes or {})), standoff_mm=at_mm)
    return found


def test_one_stroke_by_hand() -> None:
    """Gap 300 + z - s between 271 and 573 mm: at a shift of 170 z from 141, at none up to 273."""
    found = change()
    assert (found.start, found.end, found.stroke_mm, found.turns) == ("guide-bushing", "chucker", 170.0, 1)
    assert found.in_one_stroke
    assert (found.least_mm, found.greatest_mm) == pytest.approx((141.0, 273.0))


def test_the_margin_is_kept() -> None:
    """The wider the clearance kept, the later the interval begins."""
    assert change({"rules.nose_clearance": '"10 mm"'}).least_mm == pytest.approx(145.0)
    assert change({"nose.overlap": '"52 mm"'}).greatest_mm == pytest.approx(253.0)


@pytest.mark.parametrize(("overlap", "turns"), [("164 mm", 1), ("164.1 mm", 2), ("249 mm", 2), ("249.1 mm", 3), ("334 mm", 0)])
def test_turns_where_the_nose_gives_too_little(overlap: str, turns: int) -> None:
    """560 - overlap + 45 - 271 mm to give: 170 is one stroke, 85 are two; with nothing to give there is no way."""
    found = change({"nose.overlap": f'"{overlap}"'}, at_mm=300.0)
    assert found.turns == turns
    assert found.in_one_stroke == (turns == 1)


def test_no_way_where_the_headstock_does_not_go_far_enough() -> None:
    """At 60 mm the chucker's shift asks for a travel of 381 mm, beyond the front limit."""
    found = change(at_mm=60.0)
    assert (found.in_one_stroke, found.turns) == (False, 0)


def test_within_the_headstocks_own_travel() -> None:
    """What the nose would bear beyond the limits of both modes is not offered."""
    found = change({"lathe.modes[1].loader_shift": '"5 mm"'}, at_mm=400.0)
    assert (found.least_mm, found.greatest_mm) == pytest.approx((0.0, 173.0))


def test_modes_without_a_shift_need_no_change() -> None:
    """The loader stays; the headstock may be anywhere the nose allows."""
    found = change({"lathe.modes[1].loader_shift": None})
    assert (found.stroke_mm, found.turns) == (0.0, 1)


def test_every_pair_of_three_modes_and_a_shift_backwards() -> None:
    """Three modes have three changes; a shift backwards asks for less travel and allows less: 573 - 300 - 40 mm."""
    changes = mode_changes(job_of(SLIDING.replace("[loader]\n", THIRD, 1)), standoff_mm=STANDOFF_MM)
    assert [(c.start, c.end, c.stroke_mm) for c in changes] == [
        ("guide-bushing", "chucker", 170.0),
        ("guide-bushing", "third", -40.0),
        ("chucker", "third", -210.0),
    ]
    assert (changes[1].least_mm, changes[1].greatest_mm) == pytest.approx((0.0, 190.0))
    assert (changes[2].least_mm, changes[2].greatest_mm) == pytest.approx((141.0, 233.0))


def test_a_fixed_headstock_has_none() -> None:
    """One mode."""
    assert mode_changes(job_of(FIXED), standoff_mm=370.0) == ()


def test_the_limits_are_the_requirements() -> None:
    """What the change keeps is what nose-room and nose-engagement ask, no second description."""
    job = job_of(SLIDING)
    values_mm = job.layout.values_mm(standoff_mm=STANDOFF_MM)
    found = change()
    for requirement in job.layout.judged():
        if isinstance(requirement, Requirement) and requirement.id.startswith("nose-"):
            least = requirement.side is Side.AT_LEAST
            gap_mm = STANDOFF_MM + (found.least_mm - 170.0 if least else found.greatest_mm)
            assert gap_mm == pytest.approx(requirement.limit.value(values_mm))
