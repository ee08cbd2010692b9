"""What bars show of reliability: claims, intervals, how many more, and what is refused."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from scipy.stats import binom, binomtest

from standoff.errors import UsageError
from standoff.site.counting import MOST_BARS, require_count, require_share, require_stops
from standoff.site.reliability import (
    chance_of_stops,
    further_clean,
    interval,
    reached_confidence,
    short_stock_cycles,
    shown_share,
    success_run_share,
)


def test_five_clean_bars_show_55_in_100() -> None:
    """The claim is the fifth root of 0.05: 55 % at 95 % confidence, and no more than that."""
    assert shown_share(bars=5, stops=0, confidence_share=0.95) == pytest.approx(0.05**0.2, rel=1e-14)
    assert 0.549 < shown_share(bars=5, stops=0, confidence_share=0.95) < 0.5493


@pytest.mark.parametrize(("bars", "stops"), [(1, 0), (5, 0), (5, 4), (59, 0), (93, 1), (400, 37)])
def test_a_claim_is_the_share_at_which_so_few_stops_are_rare(bars: int, stops: int) -> None:
    """At the share claimed, so few stops come with probability 1 - C, by another library's binomial."""
    claimed = shown_share(bars=bars, stops=stops, confidence_share=0.9)
    assert binom.cdf(stops, bars, 1.0 - claimed) == pytest.approx(0.1, rel=1e-9)


def test_a_run_off_of_stops_only_shows_nothing() -> None:
    """Where every bar was stopped, nothing is claimed and the interval begins at 0."""
    assert shown_share(bars=4, stops=4, confidence_share=0.95) == 0.0
    assert interval(bars=4, stops=4).least_share == 0.0
    assert interval(bars=4, stops=4).greatest_share == pytest.approx(1.0 - 0.025 ** (1 / 4))
    assert interval(bars=4, stops=0).greatest_share == 1.0


@pytest.mark.parametrize(("bars", "stops"), [(1, 0), (1, 1), (7, 2), (30, 0), (30, 30), (263, 81)])
def test_the_interval_is_that_of_another_library(bars: int, stops: int) -> None:
    """Both limits agree with scipy's exact test."""
    other = binomtest(bars - stops, bars).proportion_ci(0.95, method="exact")
    found = interval(bars=bars, stops=stops, confidence_share=0.95)
    assert (found.least_share, found.greatest_share) == pytest.approx((other.low, other.high), abs=1e-12)
    assert found.confidence_share == 0.95


def test_confidence_reached_answers_the_claim() -> None:
    """The claim at a confidence reaches just that confidence."""
    for stops in (0, 1, 3):
        claimed = shown_share(bars=40, stops=stops, confidence_share=0.8)
        assert reached_confidence(bars=40, stops=stops, clean_share=claimed) == pytest.approx(0.8, abs=1e-12)


def test_success_run_claims_more() -> None:
    """The other formula is ours with one clean bar more, and claims something of no bar at all."""
    assert success_run_share(clean_bars=28, confidence_share=0.95) == shown_share(bars=29, stops=0, confidence_share=0.95)
    assert success_run_share(clean_bars=0, confidence_share=0.95) == pytest.approx(0.05)


@pytest.mark.parametrize(
    ("share", "confidence", "bars"),
    [(0.5, 0.75, 2), (0.5, 0.875, 3), (0.9, 0.19, 2), (0.9, 0.1, 1), (0.52, 0.7296, 2), (0.99, 0.95, 299), (0.1, 0.05, 1)],
)
def test_noise_of_the_arithmetic_costs_no_bar(share: float, confidence: float, bars: int) -> None:
    """Where the logarithms divide without remainder, the plan is that quotient and not one more."""
    assert further_clean(bars=0, stops=0, clean_share=share, confidence_share=confidence) == bars


@pytest.mark.parametrize(("bars", "stops"), [(0, 0), (1, 1), (12, 0), (12, 2), (50, 1)])
def test_just_enough_further_bars(bars: int, stops: int) -> None:
    """With them the confidence is reached, with one less it is not."""
    further = further_clean(bars=bars, stops=stops, clean_share=0.95, confidence_share=0.9)
    assert reached_confidence(bars=bars + further, stops=stops, clean_share=0.95) >= 0.9
    assert reached_confidence(bars=bars + further - 1, stops=stops, clean_share=0.95) < 0.9


def test_a_run_off_that_has_enough_needs_no_more() -> None:
    """59 clean bars show 95 % at 95 %, 58 do not."""
    assert further_clean(bars=59, stops=0, clean_share=0.95, confidence_share=0.95) == 0
    assert further_clean(bars=58, stops=0, clean_share=0.95, confidence_share=0.95) == 1
    assert further_clean(bars=500, stops=3, clean_share=0.95, confidence_share=0.95) == 0


def test_short_stock_takes_its_time() -> None:
    """93 changes with one stop allowed show 95 % at 95 %; at 80 s each that is 2 h 4 min."""
    found = short_stock_cycles(clean_share=0.95, confidence_share=0.95, stops_allowed=1, cycle_s=80.0)
    assert found.further == 93
    assert found.run_h == pytest.approx(93 * 80.0 / 3600.0)


def test_sure_and_hopeless_cells() -> None:
    """The chance of so few stops at both ends of the scale."""
    assert chance_of_stops(0, bars=9, clean_share=1.0) == 1.0
    assert chance_of_stops(8, bars=9, clean_share=0.0) == 0.0
    assert chance_of_stops(9, bars=9, clean_share=0.0) == 1.0


REFUSED: list[tuple[Callable[[], object], str]] = [
    (lambda: require_share("confidence", 1.0), r"confidence 1\.0.*give the confidence as 0\.95 for 95 %"),
    (lambda: require_share("confidence", 0.0), r"confidence 0\.0.*give the confidence as 0\.95"),
    (lambda: require_share("confidence", 95.0), r"confidence 95\.0.*give the confidence as 0\.95"),
    (lambda: require_share("confidence", float("nan")), r"confidence nan.*give the confidence as 0\.95"),
    (lambda: require_count("number of bars", -1), r"number of bars -1.*count the number of bars again"),
    (lambda: require_count("number of bars", True), r"number of bars True.*count the number of bars again"),
    (lambda: require_count("number of bars", 5.0), r"number of bars 5\.0.*count"),  # type: ignore[arg-type]
    (lambda: require_count("number of bars", MOST_BARS + 1), r"number of bars 1000001.*count"),
    (lambda: require_stops(0, bars=0), r"number of bars 0, expected a whole number from 1"),
    (lambda: require_stops(3, bars=2), r"3 in 2 bars.*count the bars that were stopped, not the stops of each"),
    (lambda: chance_of_stops(0, bars=3, clean_share=1.1), r"share of clean bars 1\.1.*give it as 0\.95"),
    (lambda: shown_share(bars=3, stops=4, confidence_share=0.9), r"4 in 3 bars.*count the bars"),
    (lambda: shown_share(bars=3, stops=0, confidence_share=1.0), r"confidence 1\.0"),
    (lambda: interval(bars=3, stops=0, confidence_share=0.0), r"confidence 0\.0"),
    (lambda: interval(bars=0, stops=0), r"number of bars 0"),
    (lambda: reached_confidence(bars=3, stops=0, clean_share=1.0), r"share of clean bars 1\.0"),
    (lambda: success_run_share(clean_bars=-1, confidence_share=0.9), r"number of clean bars -1"),
    (lambda: further_clean(bars=0, stops=1, clean_share=0.9, confidence_share=0.9), r"1 in 0 bars"),
    (
        lambda: further_clean(bars=0, stops=0, clean_share=0.9999999, confidence_share=0.95),
        r"0\.9999999 at confidence 0\.95 after 0 stops, expected what 1000000 bars can show; ask for a smaller share",
    ),
    (lambda: short_stock_cycles(clean_share=0.9, confidence_share=0.9, cycle_s=0.0), r"time of one cycle 0\.0.*measure"),
    (
        lambda: short_stock_cycles(clean_share=0.9, confidence_share=0.9, stops_allowed=-1, cycle_s=9.0),
        r"number of stops -1.*count the number of stops again",
    ),
]


@pytest.mark.parametrize(("refused", "told"), REFUSED)
def test_what_cannot_be_is_refused_with_what_to_do(refused: Callable[[], object], told: str) -> None:
    """Each refusal names what was given and ends in the next action."""
    with pytest.raises(UsageError, match=told):
        refused()
