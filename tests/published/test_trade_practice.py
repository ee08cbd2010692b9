"""Figures of the trade: common practice, no published source. The defaults must lead to what fitters set."""

from __future__ import annotations

import pytest

from standoff.job.file import parse_job
from standoff.job.placement import Placement, place
from standoff.model.state import BAR_CHANGE, FRONT_LIMIT
from standoff.units import INCH_MM, format_length

# A pair of which every test changes one thing; the first and the second mode's travel are filled in (Z of the control).
PAIR = """format = "standoff-job/1"
[job]
title = "Figures of the trade"
units = "in"
[lathe]
name = "lathe"
headstock = "sliding"
z_forward = "positive"
adapter_to_collet = "24 in"
[[lathe.modes]]
name = "one"
z_rear = "0 in"
z_front = "{front} in"
{second}
[loader]
name = "loader"
bar_capacity = "{bar}"
pusher_reach = "44 in"
gripper_behind_clamp = "{gripper} in"
[nose]
kind = "telescopic"
collapsed = "8 in"
extended = "24 in"
overlap = "1 in"
"""


def placed(
    *, front: str = "8", second: str = "", bar: str = "12 ft", gripper: str = "130", asked_mm: float | None = None
) -> Placement:
    """The placement of the pair with these figures."""
    return place(parse_job(PAIR.format(front=front, second=second, bar=bar, gripper=gripper)), asked_mm=asked_mm)


# Common practice, no published source: a nose keeps 1/4 to 1/2 in over its collapsed length.
def test_nose_of_eight_inches_stands_at_eight_and_a_quarter_to_eight_and_a_half() -> None:
    """The window begins at 8 1/4 in, and the aim goes no farther than 8 1/2 in."""
    placement = placed()
    assert placement.window.least_mm == pytest.approx(8.25 * float(INCH_MM))
    assert placement.aim_mm is not None
    assert 8.25 <= placement.aim_mm / float(INCH_MM) <= 8.5
    assert placement.remarks == ()


# Common practice, no published source: gripper to main collet at bar change is the bar and 6 in more.
@pytest.mark.parametrize(("bar", "kept"), [("6 ft", "6 ft 6 in"), ("8 ft", "8 ft 6 in"), ("12 ft", "12 ft 6 in")])
def test_gripper_to_collet_keeps_the_bar_and_six_inches(bar: str, kept: str) -> None:
    """At the full-bar bound of each loader, gripper to main collet is the figure fitters know."""
    placement = placed(bar=bar)
    bound_mm = placement.row("full-bar", "one").row.bound().value(placement.layout.values_mm())
    state = placement.layout.mode("one").at(BAR_CHANGE)
    gap_mm = placement.layout.gap("gripper", "main-collet", state).value(placement.layout.values_mm(standoff_mm=bound_mm))
    assert format_length(gap_mm, "in", feet=True) == kept


# Common practice, no published source: a sliding headstock stands about 3 in behind its front limit at bar change.
def test_headstock_stands_three_inches_back_at_bar_change() -> None:
    """Where no bar change position is given."""
    layout = placed().layout
    back = layout.mode("one").at(FRONT_LIMIT).headstock - layout.mode("one").at(BAR_CHANGE).headstock
    assert back.value(layout.values_mm()) == pytest.approx(float(3 * INCH_MM))


SECOND = """[[lathe.modes]]
name = "other"
z_rear = "8 in"
z_front = "17 in"
loader_shift = "{shift} in"
"""


# Common practice, no published source: the axial shift is about the difference of the two front limits.
def test_front_limits_nine_inches_apart_ask_for_a_shift_of_nine() -> None:
    """With that shift the second mode reaches and holds exactly as far as the first; an inch less is an inch of reach lost."""

    def reach_mm(shift: str) -> tuple[float | None, float | None]:
        placement = placed(second=SECOND.format(shift=shift))
        return placement.row("pusher-reach", "one").bound_mm, placement.row("pusher-reach", "other").bound_mm

    first, second = reach_mm("9")
    assert second == pytest.approx(first)
    for shift, lost_in in (("8", 1.0), ("10", -1.0)):
        first, second = reach_mm(shift)
        assert first is not None
        assert second == pytest.approx(first - lost_in * float(INCH_MM))
    both = placed(second=SECOND.format(shift="9"))
    assert both.row("nose-engagement", "other").bound_mm == pytest.approx(both.row("nose-engagement", "one").bound_mm)
    assert both.row("full-bar", "other").bound_mm == pytest.approx(both.row("full-bar", "one").bound_mm)


# Common practice, no published source: each unit by which the pusher falls short of the collet is a unit more remnant.
def test_pusher_short_by_an_inch_misses_an_inch() -> None:
    """An inch beyond the reach is a slack of minus one inch."""
    placement = placed()
    bound_mm = placement.row("pusher-reach", "one").bound_mm
    assert bound_mm is not None
    beyond = placed(asked_mm=bound_mm + float(INCH_MM))
    assert beyond.row("pusher-reach", "one").slack_mm == pytest.approx(-float(INCH_MM))
