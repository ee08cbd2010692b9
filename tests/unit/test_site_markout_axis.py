"""The spindle axis on the floor: what errors of its two marks cost at the far end, and how far apart the marks must be."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from standoff.errors import UsageError
from standoff.site.floor_axis import AxisMark, FloorAxis, base_wanted_mm

FRONT, REAR = AxisMark("front", 200.0, 0.6), AxisMark("rear", -800.0, 0.8)
AXIS = FloorAxis(FRONT, REAR)


def test_at_a_mark_its_own_error_is_all() -> None:
    """Lever 1 of that mark, 0 of the other."""
    front, rear = AXIS.far_end(200.0), AXIS.far_end(-800.0)
    assert (front.front_factor, front.rear_factor, front.sideways_u_mm) == (1.0, 0.0, 0.6)
    assert (rear.front_factor, rear.rear_factor, rear.sideways_u_mm) == (0.0, 1.0, 0.8)


def test_beyond_the_marks_an_error_grows() -> None:
    """5 m behind the front mark, over a base of 1 m: levers -4 and 5."""
    found = AXIS.far_end(-4800.0)
    assert (found.front_factor, found.rear_factor) == (-4.0, 5.0)
    assert found.sideways_u_mm == pytest.approx(math.hypot(2.4, 4.0))
    assert AXIS.base_mm == 1000.0
    assert AXIS.direction_u_mm_per_m == pytest.approx(1.0)
    assert AXIS.far_end(-300.0).sideways_u_mm < 0.6


@pytest.mark.parametrize("wanted_u_mm", [0.75, 0.9, 1.0, 2.0, 8.0])
def test_the_base_wanted_gives_what_was_wanted(wanted_u_mm: float) -> None:
    """Marks so far apart leave just that uncertainty at the far end."""
    base_mm = base_wanted_mm(far_mm=5000.0, mark_u_mm=1.0, wanted_u_mm=wanted_u_mm)
    axis = FloorAxis(AxisMark("front", 0.0, 1.0), AxisMark("rear", -base_mm, 1.0))
    assert axis.far_end(-5000.0).sideways_u_mm == pytest.approx(wanted_u_mm)
    assert (base_mm > 5000.0) == (wanted_u_mm < 1.0)


REFUSED: list[tuple[Callable[[], object], str]] = [
    (lambda: FloorAxis(REAR, FRONT), r"'rear' at -800 mm, 'front' at 200 mm.*name the mark nearer the work first"),
    (lambda: FloorAxis(FRONT, AxisMark("twin", 200.0, 1.0)), r"'twin' at 200 mm.*plumb the axis down at another place"),
    (lambda: AxisMark("front", math.nan, 1.0), r"place of front nan.*correct the place of front"),
    (lambda: AxisMark("front", 0.0, 0.0), r"sideways uncertainty of front 0\.0.*measure"),
    (lambda: AXIS.far_end(math.nan), r"place along the axis nan.*correct the place along the axis"),
    (lambda: base_wanted_mm(far_mm=0.0, mark_u_mm=1.0, wanted_u_mm=1.0), r"distance of the far end 0\.0.*measure"),
    (lambda: base_wanted_mm(far_mm=1.0, mark_u_mm=0.0, wanted_u_mm=1.0), r"uncertainty of the marks 0\.0.*measure"),
    (lambda: base_wanted_mm(far_mm=1.0, mark_u_mm=1.0, wanted_u_mm=0.0), r"uncertainty wanted 0\.0.*measure"),
    (
        lambda: base_wanted_mm(far_mm=5000.0, mark_u_mm=1.0, wanted_u_mm=0.7),
        r"0\.7 mm from marks of 1\.0 mm, expected 0\.71 mm or more; plumb the axis down more exactly",
    ),
]


@pytest.mark.parametrize(("refused", "told"), REFUSED)
def test_marks_of_no_use_are_refused_with_what_to_do(refused: Callable[[], object], told: str) -> None:
    """Each refusal names what was given and ends in the next action."""
    with pytest.raises(UsageError, match=told):
        refused()
