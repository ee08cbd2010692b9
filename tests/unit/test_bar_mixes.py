"""Several parts from one bar: best by trying all, never more than wanted, and what is refused."""

from __future__ import annotations

import math
from types import SimpleNamespace

import numpy as np
import pytest

from standoff.bar import mixes
from standoff.bar.mixes import Wanted, best_mix
from standoff.bar.yields import Cutting, cut_up
from standoff.errors import UsageError
from standoff.units import ON_STEP_MM


def test_two_parts_fill_what_one_leaves() -> None:
    """The shorter part uses the end of the bar; the lengths add up to the bar."""
    mix = best_mix([Wanted(57.0, 100), Wanted(41.0, 100)], bar_mm=390.0, cut_off_mm=3.0, remnant_mm=100.0, facing_mm=1.0)
    assert mix.counts == (4, 1)
    assert (mix.in_parts_mm, mix.in_cuts_mm, mix.remnant_mm) == (269.0, 15.0, 105.0)
    assert mix.yield_share == pytest.approx(269.0 / 390.0)


def test_no_more_than_wanted() -> None:
    """Where two are enough, the rest goes to the other part, and what nobody wants stays."""
    kinds = [Wanted(57.0, 2), Wanted(41.0, 3)]
    mix = best_mix(kinds, bar_mm=900.0, cut_off_mm=3.0, remnant_mm=100.0)
    assert mix.counts == (2, 3)
    assert mix.remnant_mm == pytest.approx(900.0 - 2 * 60.0 - 3 * 44.0)


def test_one_kind_is_counted_as_ever() -> None:
    """With a single part the mix is the plain count; what is short by half the tolerance still fits, by more it does not."""
    cutting = Cutting(part_mm=0.2 * 25.4, cut_off_mm=0.1 * 25.4, remnant_mm=10.1 * 25.4)
    whole_mm = sum([0.3 * 25.4] * 49) + 10.1 * 25.4
    for bar_mm, count in ((whole_mm, 49), (whole_mm - 0.5 * ON_STEP_MM, 49), (whole_mm - 10.0 * ON_STEP_MM, 48)):
        lengths = {"cut_off_mm": cutting.cut_off_mm, "remnant_mm": cutting.remnant_mm}
        assert best_mix([Wanted(cutting.part_mm, 1000)], bar_mm=bar_mm, **lengths).counts == (count,)
        assert int(cut_up(cutting, bar_mm).parts) == count


def test_a_part_that_does_not_fit_is_left_out() -> None:
    """Shorter than the bar, but not beside the remnant: none of it; if it is alone, nothing is made."""
    mix = best_mix([Wanted(350.0, 5), Wanted(41.0, 5)], bar_mm=400.0, cut_off_mm=3.0, remnant_mm=100.0)
    assert mix.counts == (0, 5)
    assert best_mix([Wanted(350.0, 5)], bar_mm=400.0, cut_off_mm=3.0, remnant_mm=100.0).counts == (0,)


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"bar_mm": 50.0}, r"part length 57\.0 mm.*shorter than the bar"),
        ({"bar_mm": 90.0}, r"bar length 90\.0 mm.*facing and shortest remnant together, 100\.0 mm"),
        ({"bar_mm": math.nan}, "bar length nan"),
        ({"cut_off_mm": 42.0}, r"width of the cut-off tool 42\.0 mm.*not exchanged"),
        ({"cut_off_mm": 0.0}, "width of the cut-off tool"),
        ({"remnant_mm": -1.0}, "shortest remnant"),
        ({"facing_mm": math.nan}, "facing"),
    ],
)
def test_lengths_that_cannot_be_are_refused(change: dict[str, float], told: str) -> None:
    """As for a single part."""
    lengths = {"bar_mm": 400.0, "cut_off_mm": 3.0, "remnant_mm": 100.0} | change
    with pytest.raises(UsageError, match=told):
        best_mix([Wanted(57.0, 5), Wanted(41.0, 5)], **lengths)


def test_nothing_wanted_is_refused() -> None:
    """No kinds, or none of a kind."""
    with pytest.raises(UsageError, match=r"parts none.*name the parts to be made"):
        best_mix([], bar_mm=400.0, cut_off_mm=3.0, remnant_mm=100.0)
    with pytest.raises(UsageError, match=r"parts wanted 0.*leave that part out"):
        Wanted(57.0, 0)


@pytest.mark.parametrize(
    "found", [SimpleNamespace(status=1, x=None), SimpleNamespace(status=0, x=np.array([5.0, 1.0]))], ids=["no end", "too much"]
)
def test_an_answer_that_is_not_proven_is_refused(found: SimpleNamespace, monkeypatch: pytest.MonkeyPatch) -> None:
    """A search that ended early, or counts that do not fit the bar once they are whole."""
    monkeypatch.setattr(mixes, "milp", lambda *_, **__: found)
    with pytest.raises(UsageError, match=r"mix of parts of 2 kinds.*leave out the kinds that matter least"):
        best_mix([Wanted(57.0, 5), Wanted(41.0, 5)], bar_mm=400.0, cut_off_mm=3.0, remnant_mm=100.0)
