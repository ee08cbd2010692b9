"""Moving the loader: where it stands by any reading, how far it must go, and what the direct readings say."""

from __future__ import annotations

import math

import pytest

from standoff.errors import LayoutError, UsageError
from standoff.job.file import parse_job
from standoff.job.moving import Headstock, compare, directs, move, stand
from standoff.job.placement import place
from standoff.reading import Reading, read_quantity
from tests.texts import SLIDING, altered

JOB = parse_job(SLIDING)


def reading(text: str) -> Reading:
    """A reading with a tape."""
    return read_quantity(text, default_source="tape")[0]


@pytest.mark.parametrize(
    ("gap", "mode", "headstock", "at", "shifted", "stands_mm"),
    [
        ("300 mm", "guide-bushing", "rear", "", False, 300.0),
        ("490 mm", "guide-bushing", "front", "", False, 300.0),
        ("400 mm", "guide-bushing", "z", "100 mm", False, 300.0),
        ("450 mm", "chucker", "rear", "", False, 300.0),
        ("280 mm", "chucker", "rear", "", True, 300.0),
        ("130 mm", "chucker", "z", "0 mm", True, 300.0),
        ("360 mm", "guide-bushing", "in", "20 mm", False, 300.0),
        ("330 mm", "guide-bushing", "out", "10 mm", False, 300.0),
        ("300 mm", "guide-bushing", "out", "40 mm", False, 300.0),
    ],
)
def test_the_stand_by_hand(gap: str, mode: str, headstock: Headstock, at: str, shifted: bool, stands_mm: float) -> None:
    """D = gap + shift - z: Z from 0 to 190 and 150 to 350 mm, a shift of 170 mm, the adapter 40 mm out of the cover."""
    where = stand(JOB, gap=reading(gap), mode=mode, headstock=headstock, at=reading(at) if at else None, shifted=shifted)
    assert math.isclose(where.standoff_mm, stands_mm, abs_tol=1e-9)


def test_a_falling_z_moves_forward_too() -> None:
    """With Z falling going forward the travel is the other way round."""
    changes: dict[str, str | None] = {"lathe.z_forward": '"negative"'}
    for mode in (0, 1):
        for key, value in (("z_rear", (0, -150)), ("z_front", (-190, -350)), ("z_bar_change", (-110, None))):
            if value[mode] is not None:
                changes[f"lathe.modes[{mode}].{key}"] = f'"{value[mode]} mm"'
    job = parse_job(altered(SLIDING, changes))
    where = stand(job, gap=reading("400 mm"), mode="guide-bushing", headstock="z", at=reading("-100 mm"))
    assert math.isclose(where.standoff_mm, 300.0)


def test_the_uncertainty_gathers_what_was_read() -> None:
    """Fully back only the gap counts; by the cover its survey and today's reading come to it."""
    gap = reading("360 mm")
    back = stand(JOB, gap=gap, mode="guide-bushing", headstock="rear")
    cover = stand(JOB, gap=gap, mode="guide-bushing", headstock="in", at=reading("20 mm"))
    assert math.isclose(back.u_mm, gap.u_mm)
    known = JOB.readings["lathe.cover_to_adapter"].u_mm
    assert math.isclose(cover.u_mm, math.sqrt(gap.u_mm**2 + known**2 + reading("20 mm").u_mm ** 2))


def test_a_position_needs_its_length() -> None:
    """Z without a figure, a cover never surveyed, and a mode there is not, are refused."""
    with pytest.raises(UsageError, match="type where it stands"):
        stand(JOB, gap=reading("300 mm"), mode="guide-bushing", headstock="z")
    bare = parse_job(altered(SLIDING, {"lathe.cover_to_adapter": None}))
    with pytest.raises(UsageError, match="measure the cover first"):
        stand(bare, gap=reading("300 mm"), mode="guide-bushing", headstock="out", at=reading("3 mm"))
    with pytest.raises(LayoutError):
        stand(JOB, gap=reading("300 mm"), mode="turning", headstock="rear")


def test_how_far_and_which_way() -> None:
    """Towards the aim: positive away from the lathe; inside the guarded window it may stay."""
    placement = place(JOB)
    aim_mm = placement.aim_mm
    assert aim_mm is not None
    near, far = move(placement, standoff_mm=aim_mm - 100.0), move(placement, standoff_mm=aim_mm + 100.0)
    there = move(placement, standoff_mm=placement.guarded.least_mm)
    assert near is not None
    assert far is not None
    assert there is not None
    assert (near.by_mm, near.done) == (100.0, False)
    assert (far.by_mm, far.done) == (-100.0, False)
    assert there.done


def test_where_nothing_serves_there_is_no_move() -> None:
    """Without an aim no move is told."""
    assert move(place(parse_job(altered(SLIDING, {"loader.pusher_reach": '"700 mm"'}))), standoff_mm=300.0) is None


def test_direct_readings_are_predicted_and_compared() -> None:
    """Three for each mode; predicted by hand at 300 mm; a reading agrees, differs, or is too little."""
    placement = place(JOB)
    found = directs(placement, standoff_mm=300.0, standoff_u_mm=1.0)
    assert [(d.id, d.mode) for d in found] == [
        (id_, mode) for mode in ("guide-bushing", "chucker") for id_ in ("nose-room", "pusher-reach", "full-bar")
    ]
    nose, reach, bar = found[:3]
    # Gap at the rear limit 300; tip 1120 - 300 against collet 600 + 190; gripper 3020 + 300 behind, collet 600 + 110 ahead.
    assert [round(d.predicted_mm, 6) for d in (nose, reach, bar)] == [300.0, 30.0, 4030.0]
    assert nose.least_mm == 220.0 + 45.0 + 6.0
    assert compare(nose, reading("301 mm")).agrees
    off = compare(nose, reading("320 mm"))
    assert (off.agrees, off.holds) == (False, True)
    assert not compare(nose, reading("270 mm")).holds
