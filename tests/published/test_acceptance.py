"""Acceptance statistics, capability and the control chart of single values, against printed figures.

Printed values stand as strings; the tolerance is half their last digit, and whatever more is allowed is named beside it. Where a
value was not read in the source, that is said beside it.
"""

from __future__ import annotations

import pytest

from standoff.site.acceptance import TotalPlan, total_plan
from standoff.site.capability import capability_of
from standoff.site.control_chart import STEP_FACTOR, VALUE_FACTOR, control_chart
from standoff.site.reliability import interval, reached_confidence, shown_share, success_run_share


def half_last_digit(printed: str) -> float:
    """Half a unit in the last printed place."""
    _, point, decimals = printed.partition(".")
    return 0.5 * 10.0 ** -(len(decimals) if point else 0)


def printed_as(printed: str, *, more: float = 0.0) -> object:
    """What equals a printed value to half its last digit, and what more is allowed."""
    return pytest.approx(float(printed), abs=half_last_digit(printed) * (1.0 + 1e-9) + more)


# Documentation of the open-source package "reliability", sample_size_no_failures (read). A count: no tolerance.
def test_bars_without_a_stop_for_one_in_a_thousand() -> None:
    """C = 0.95, R = 0.999 take 2995 clean bars."""
    assert total_plan(clean_share=0.999, confidence_share=0.95).bars == int("2995")


# Standard tables of plans without a failure, n = ln(1 - C) / ln R rounded up (from memory). Counts: no tolerance.
@pytest.mark.parametrize(
    ("confidence", "printed"), [(0.90, ("11", "22", "45", "230")), (0.95, ("14", "29", "59", "299"))], ids=["C=0.90", "C=0.95"]
)
def test_table_of_plans_without_a_stop(confidence: float, printed: tuple[str, ...]) -> None:
    """R = 0.80, 0.90, 0.95, 0.99."""
    found = [total_plan(clean_share=share, confidence_share=confidence).bars for share in (0.8, 0.9, 0.95, 0.99)]
    assert found == [int(text) for text in printed]


# A misprint. A primer for reliability engineers, as quoted in course notes on failure-free testing (secondary copy), prints
# 298 for C = 0.95, R = 0.99: the quotient of the logarithms, 298.07, rounded down. 298 bars show it at less than 95 %.
def test_a_misprinted_plan_is_not_followed() -> None:
    """299 bars are asked for, and 298 are said to fall short."""
    assert total_plan(clean_share=0.99, confidence_share=0.95).bars == int("298") + 1
    assert reached_confidence(bars=int("298"), stops=0, clean_share=0.99) < 0.95


# Example table of the "success-run theorem", R = (1 - C)^(1/(n + 1)) (codingace.net, secondary copy). It is NOT what the
# program states: (1 - C)^(1/n) is 0.901855 and 0.950492 (computed, not published).
@pytest.mark.parametrize(("clean_bars", "printed"), [(29, "0.904966"), (59, "0.951297")])
def test_success_run_is_told_apart(clean_bars: int, printed: str) -> None:
    """The other formula gives its own figure, and the program's own claim is lower."""
    assert success_run_share(clean_bars=clean_bars, confidence_share=0.95) == printed_as(printed)
    assert shown_share(bars=clean_bars, stops=0, confidence_share=0.95) < float(printed) - 5e-4


# Documentation of the open-source package "relistats" (read): no failure in 10 samples, 95 % confidence, "at least about
# 74%".
def test_ten_clean_bars() -> None:
    """Ten clean bars show 74 % at 95 % confidence."""
    assert 100.0 * shown_share(bars=10, stops=0, confidence_share=0.95) == printed_as("74")


# R.G. Newcombe, Statistics in Medicine 17 (1998) 857-872, Table I, method 5 (from memory).
@pytest.mark.parametrize(
    ("stops", "bars", "least", "greatest"),
    [(81, 263, "0.2527", "0.3676"), (15, 148, "0.0578", "0.1617"), (0, 20, "0.0000", "0.1684"), (1, 29, "0.0009", "0.1776")],
)
def test_exact_intervals(stops: int, bars: int, least: str, greatest: str) -> None:
    """Clopper-Pearson 95 % of the share that is stopped: one less that of the share that is clean."""
    found = interval(bars=bars, stops=stops, confidence_share=0.95)
    assert 1.0 - found.greatest_share == printed_as(least)
    assert 1.0 - found.least_share == printed_as(greatest)


# W.J. Conover, Practical Nonparametric Statistics (1971), p. 97, as in the example of R's binom.test (from memory).
def test_exact_interval_of_many() -> None:
    """682 of 925, to seven places."""
    found = interval(bars=925, stops=925 - 682, confidence_share=0.95)
    assert found.least_share == printed_as("0.7076683")
    assert found.greatest_share == printed_as("0.7654066")


# Touw and Hoogduin, Statistiek voor audit en controlling (2011), p. 126, Tables 1 and 2, as quoted in the tests of the
# open-source package "jfa" (secondary copy): smallest samples with 0 to 3 failures, for R = 0.99, 0.95, 0.90, 0.85, 0.80.
# Counts: no tolerance.
@pytest.mark.parametrize(
    ("confidence", "printed"),
    [
        (0.95, "299 473 628 773 59 93 124 153 29 46 61 76 19 30 40 50 14 22 30 37"),
        (0.90, "230 388 531 667 45 77 105 132 22 38 52 65 15 25 34 43 11 18 25 32"),
    ],
    ids=["C=0.95", "C=0.90"],
)
def test_plans_with_stops(confidence: float, printed: str) -> None:
    """Twenty plans with 0, 1, 2 and 3 stops allowed."""
    found = [
        total_plan(clean_share=share, confidence_share=confidence, stops_allowed=stops).bars
        for share in (0.99, 0.95, 0.90, 0.85, 0.80)
        for stops in range(4)
    ]
    assert found == [int(text) for text in printed.split()]


# NIST/SEMATECH e-Handbook of Statistical Methods, 6.2.3.2, operating characteristic of n = 52, c = 3 (first six values read
# in a secondary copy). Allowed more: 5e-4, for 0.845 and 0.739 are off by one in the last place (exact: 0.8460, 0.7383).
def test_operating_characteristic_of_the_handbook() -> None:
    """Shares stopped of 1 to 6 in 100."""
    printed = ("0.998", "0.980", "0.930", "0.845", "0.739", "0.620")
    for percent, text in enumerate(printed, start=1):
        assert TotalPlan(52, 3).acceptance_probability(1.0 - percent / 100.0) == printed_as(text, more=5e-4)


# A worked reply on a forum of acceptance sampling (samplingplans.com, 2006, read): n = 68, c = 2 is accepted 95 times in 100
# at 1.213 % and 5 times in 100 at 8.9704 %. The tolerance on the first is what half the last digit of 0.01213 makes of it.
def test_both_ends_of_a_plan() -> None:
    """The good cell that passes 95 times in 100, and the poor one that passes 5 times."""
    plan = TotalPlan(68, 2)
    assert plan.acceptance_probability(1.0 - float("0.012135")) < 0.95 < plan.acceptance_probability(1.0 - float("0.012125"))
    assert 1.0 - plan.shown_share(0.95) == printed_as("0.089704")


# NIST/SEMATECH e-Handbook of Statistical Methods, 6.1.6 (from memory): limits 8 and 20, mean 16, s = 2.
def test_capability_of_the_handbook() -> None:
    """Cp = 1.0, Cpk = 0.6667."""
    found = capability_of(mean_mm=16.0, deviation_mm=2.0, lengths=50, lower_mm=8.0, upper_mm=20.0)
    assert found.cp_ratio == printed_as("1.0")
    assert found.cpk_ratio == printed_as("0.6667")


# A textbook problem, rods of 1 +/- .01 in, s = .003 in, mean 1.002 in: Cp 1.11 (secondary copy).
def test_capability_of_rods() -> None:
    """The problem's Cp, in inches as it stands: a ratio has no unit."""
    found = capability_of(mean_mm=1.002, deviation_mm=0.003, lengths=50, lower_mm=0.99, upper_mm=1.01)
    assert found.cp_ratio == printed_as("1.11")


# Constants for ranges of two values, d2 = 1.128 and D4 = 3.267: ISO 7870-2:2013 (from memory) and a printed line of
# constants, 2.660 and 3.267, in the manual of a supervisory control system (read).
def test_constants_of_the_chart() -> None:
    """The two factors are those printed, and 3 / d2 rounds to the first."""
    assert printed_as("2.660") == VALUE_FACTOR
    assert printed_as("3.267") == STEP_FACTOR
    assert round(3.0 / float("1.128"), 2) == VALUE_FACTOR


# NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2, ten batches of flow rate (as quoted in tests of several
# open-source packages, secondary copies). Allowed more on the limits: 0.0009, for the handbook has 3 / 1.128 = 2.6596 where
# the factor is 2.66.
def test_chart_of_the_handbook() -> None:
    """Centre, average moving range, limits; nothing stands out."""
    chart = control_chart([49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1])
    assert chart.centre == printed_as("50.81")
    assert chart.mean_step == printed_as("1.8778")
    assert chart.upper == printed_as("55.8041", more=9e-4)
    assert chart.lower == printed_as("45.8159", more=9e-4)
    assert chart.steady
