"""A shift without anybody there: bars it takes, chances, and the same by chance itself."""

from __future__ import annotations

import numpy as np
import pytest

from standoff.errors import UsageError
from standoff.site.reliability import shown_share
from standoff.site.shift import bars_in_shift, needed_share, shift_chance


@pytest.mark.parametrize(
    ("shift_s", "bar_s", "bars"),
    [
        (28800.0, 1800.0, 16),
        (28800.0, 1799.0, 17),
        (28800.0, 1801.0, 16),
        (60.0, 3600.0, 1),
        (0.3, 0.1, 3),
        (1.1, 0.1, 11),
        (28800.0, 0.1, 288_000),
    ],
)
def test_the_bars_of_a_shift(shift_s: float, bar_s: float, bars: int) -> None:
    """By hand, rounded up; eleven tenths over one tenth are eleven, not twelve."""
    assert bars_in_shift(shift_s=shift_s, bar_s=bar_s) == bars


@pytest.mark.parametrize(("bars", "clean_share"), [(16, 0.99), (12, 0.95), (1, 0.5), (60, 0.995)])
def test_the_chance_of_a_shift_by_simulation(bars: int, clean_share: float) -> None:
    """Of 200 000 shifts drawn bar by bar as many pass as are told, within four standard deviations of the draw."""
    draws = 200_000
    stops = np.random.default_rng(7).binomial(bars, 1.0 - clean_share, size=draws)
    told = shift_chance(bars=bars, clean_share=clean_share)
    assert np.mean(stops == 0) == pytest.approx(told, abs=4.0 * (told * (1.0 - told) / draws) ** 0.5)


@pytest.mark.parametrize("bars", [1, 2, 12, 16, 100])
@pytest.mark.parametrize("chance_share", [0.5, 0.9, 0.99])
def test_the_share_needed_gives_the_chance(bars: int, chance_share: float) -> None:
    """There and back; more bars ask for cleaner ones."""
    needed = needed_share(bars=bars, chance_share=chance_share)
    assert shift_chance(bars=bars, clean_share=needed) == pytest.approx(chance_share)
    assert needed_share(bars=bars + 1, chance_share=chance_share) > needed


def test_a_shift_run_once_shows_its_own_chance_poorly() -> None:
    """By hand: one clean shift shows, at 95 %, that 5 of 100 pass: the confidence not spent, whatever its bars."""
    for bars in (1, 5, 16, 300):
        share = shown_share(bars=bars, stops=0, confidence_share=0.95)
        assert shift_chance(bars=bars, clean_share=share) == pytest.approx(0.05)


def test_sure_and_hopeless_bars() -> None:
    """Bars that all run clean pass every shift, bars of which none does none."""
    assert shift_chance(bars=16, clean_share=1.0) == 1.0
    assert shift_chance(bars=16, clean_share=0.0) == 0.0


@pytest.mark.parametrize(
    ("shift_s", "bar_s"), [(0.0, 60.0), (-1.0, 60.0), (60.0, 0.0), (float("nan"), 60.0), (60.0, float("inf")), (28800.0, 1e-6)]
)
def test_times_that_cannot_be(shift_s: float, bar_s: float) -> None:
    """Nothing, less than nothing, no number, and more bars than anybody runs."""
    with pytest.raises(UsageError):
        bars_in_shift(shift_s=shift_s, bar_s=bar_s)


@pytest.mark.parametrize(("bars", "share"), [(0, 0.9), (-1, 0.9), (16, 1.1), (16, -0.1), (16, float("nan"))])
def test_shares_and_counts_that_cannot_be(bars: int, share: float) -> None:
    """No bar, and what is no share."""
    with pytest.raises(UsageError):
        shift_chance(bars=bars, clean_share=share)
    with pytest.raises(UsageError):
        needed_share(bars=bars, chance_share=share)
