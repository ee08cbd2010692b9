"""The figures of a run-off: capability of the first part, the chart of single values, the remnant against its prediction."""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest

from standoff.errors import UsageError
from standoff.site.capability import capability, capability_of
from standoff.site.control_chart import Finding, Signal, control_chart
from standoff.site.remnant import Compliance, Match, MeanRemnant, judge_limit, judge_prediction, mean_remnant

NAN = math.nan


def test_capability_from_lengths() -> None:
    """Mean 50, s = 1: limits 3 above and 6 below give Cp 1.5 and Cpk 1."""
    found = capability([49.0, 50.0, 51.0], lower_mm=44.0, upper_mm=53.0)
    assert (found.mean_mm, found.deviation_mm, found.lengths) == (50.0, 1.0, 3)
    assert (found.cp_ratio, found.cpk_ratio) == (1.5, 1.0)
    assert found.confidence_share == 0.95


def test_few_lengths_show_little_capability() -> None:
    """The least ratios lie below the ratios and close up with more lengths: what 5, 50 and 5000 lengths show of Cpk 1.33."""
    least = [
        capability_of(mean_mm=0.0, deviation_mm=1.0, lengths=lengths, lower_mm=-4.0, upper_mm=4.0) for lengths in (5, 50, 5000)
    ]
    assert [round(found.cpk_least_ratio, 2) for found in least] == [0.52, 1.1, 1.31]
    assert [round(found.cp_least_ratio, 2) for found in least] == [0.56, 1.11, 1.31]


def test_a_mean_outside_its_limits_has_a_negative_ratio() -> None:
    """Cpk says so, with its sign."""
    assert capability_of(mean_mm=12.0, deviation_mm=1.0, lengths=9, lower_mm=0.0, upper_mm=9.0).cpk_ratio == -1.0


def test_a_steady_series_has_no_signal() -> None:
    """Alternating values: limits at 2.66 steps, the step's own limit at 3.267."""
    chart = control_chart([9.0, 11.0] * 12)
    assert (chart.centre, chart.mean_step) == (10.0, 2.0)
    assert (chart.lower, chart.upper) == pytest.approx((10.0 - 5.32, 10.0 + 5.32))
    assert chart.greatest_step == pytest.approx(6.534)
    assert chart.steady
    assert not chart.provisional


def test_each_signal_is_found_at_its_place() -> None:
    """A far value is beyond the limits, and so is the step to it; eight on one side are told from the eighth on."""
    far = control_chart([9.0, 11.0, 9.0, 11.0, 30.0], baseline=4)
    assert far.findings == (Finding(4, Signal.GREAT_STEP), Finding(4, Signal.BEYOND_LIMITS))
    assert far.provisional
    low = control_chart([9.0, 11.0] * 2 + [9.5] * 9, baseline=4)
    assert low.findings == (Finding(11, Signal.ONE_SIDE), Finding(12, Signal.ONE_SIDE))
    assert control_chart([9.0, 11.0] * 2 + [9.5] * 4 + [10.0] + [9.5] * 7, baseline=4).steady
    assert not low.steady


def test_equal_values_are_steady_and_a_change_after_them_is_not() -> None:
    """Noise of the arithmetic is no signal; a true change from a series without steps is."""
    assert all(control_chart([0.1] * count).steady for count in range(2, 12))
    assert [finding.place for finding in control_chart([0.1] * 10 + [0.2], baseline=10).findings] == [10, 10]


def test_the_mean_remnant_carries_scatter_and_instrument() -> None:
    """u^2 = s^2/n + u_r^2, with the degrees of freedom of Welch and Satterthwaite."""
    found = mean_remnant([299.0, 300.0, 301.0], reading_u_mm=0.5)
    assert found.mean_mm == 300.0
    assert found.u_mm == pytest.approx(math.sqrt(1.0 / 3.0 + 0.25))
    assert found.freedom == pytest.approx(2.0 * ((1.0 / 3.0 + 0.25) / (1.0 / 3.0)) ** 2)
    assert mean_remnant([300.0], reading_u_mm=0.5) == MeanRemnant(300.0, 0.5, math.inf, 1)


@pytest.mark.parametrize(
    ("predicted_mm", "match"),
    [(300.0, Match.AGREES), (301.9, Match.AGREES), (302.1, Match.SHORTER), (297.9, Match.LONGER)],
)
def test_the_prediction_is_judged_in_combined_uncertainties(predicted_mm: float, match: Match) -> None:
    """Equal remnants: u = hypot(0.6, 0.8) = 1 and the normal quantile, 1.96."""
    found = judge_prediction(mean_remnant([300.0] * 4, reading_u_mm=0.6), predicted_mm=predicted_mm, predicted_u_mm=0.8)
    assert found.u_mm == pytest.approx(1.0)
    assert found.z_ratio == pytest.approx(300.0 - predicted_mm)
    assert found.difference_mm == pytest.approx(300.0 - predicted_mm)
    assert found.limit_ratio == pytest.approx(1.95996, abs=5e-6)
    assert found.match is match


def test_few_scattered_remnants_ask_for_more() -> None:
    """Three remnants that scatter: Student's quantile, 4.30 of 2 degrees of freedom, where the instrument adds nothing."""
    found = judge_prediction(mean_remnant([290.0, 300.0, 310.0], reading_u_mm=1e-6), predicted_mm=320.0, predicted_u_mm=0.0)
    assert found.limit_ratio == pytest.approx(4.30265, abs=5e-6)
    assert found.z_ratio == pytest.approx(-20.0 / (10.0 / math.sqrt(3.0)))
    assert found.match is Match.AGREES


def test_an_unsure_prediction_thins_out_the_scatter() -> None:
    """Degrees of freedom of both together: 2 (1 + 1)^2 = 8 where scatter and prediction are equally unsure."""
    scattered = mean_remnant([290.0, 300.0, 310.0], reading_u_mm=1e-6)
    found = judge_prediction(scattered, predicted_mm=300.0, predicted_u_mm=scattered.u_mm)
    assert found.limit_ratio == pytest.approx(2.30600, abs=5e-6)


@pytest.mark.parametrize(
    ("longest_mm", "compliance"),
    [(302.0, Compliance.KEEPS), (301.0, Compliance.OPEN), (299.0, Compliance.OPEN), (298.0, Compliance.EXCEEDS)],
)
def test_the_longest_remnant_is_judged_with_a_guard_band(longest_mm: float, compliance: Compliance) -> None:
    """1.645 u to either side: kept or exceeded only where that is shown."""
    found = judge_limit(mean_remnant([300.0] * 3, reading_u_mm=1.0), longest_mm=longest_mm)
    assert found.guard_mm == pytest.approx(1.64485, abs=5e-6)
    assert found.slack_mm == longest_mm - 300.0
    assert found.compliance is compliance


def test_two_bars_get_no_verdict() -> None:
    """How much the remnant scatters is not known yet."""
    two = mean_remnant([300.0, 300.5], reading_u_mm=0.1)
    assert judge_prediction(two, predicted_mm=900.0, predicted_u_mm=0.1).match is Match.TOO_FEW
    assert judge_limit(two, longest_mm=100.0).compliance is Compliance.TOO_FEW


ONE = MeanRemnant(300.0, 1.0, math.inf, 5)
REFUSED: list[tuple[Callable[[], object], str]] = [
    (lambda: capability([5.0], lower_mm=0.0, upper_mm=9.0), r"lengths 1,.*measure the first part of more bars"),
    (lambda: capability([5.0, 5.0], lower_mm=0.0, upper_mm=9.0), r"all equal.*measure with a finer instrument"),
    (lambda: capability([5.0, NAN], lower_mm=0.0, upper_mm=9.0), r"length nan.*correct the length"),
    (lambda: capability([5.0, 6.0], lower_mm=9.0, upper_mm=0.0), r"limits 9\.0 to 0\.0 mm.*exchange the two"),
    (lambda: capability([5.0, 6.0], lower_mm=NAN, upper_mm=9.0), r"lower limit nan.*correct the lower limit"),
    (lambda: capability([5.0, 6.0], lower_mm=0.0, upper_mm=9.0, confidence_share=1.0), r"confidence 1\.0.*give"),
    (
        lambda: capability_of(mean_mm=1.0, deviation_mm=0.0, lengths=5, lower_mm=0.0, upper_mm=9.0),
        r"standard deviation 0\.0.*measure the standard deviation again",
    ),
    (
        lambda: capability_of(mean_mm=1.0, deviation_mm=1.0, lengths=1, lower_mm=0.0, upper_mm=9.0),
        r"number of lengths 1.*count the number of lengths again",
    ),
    (lambda: control_chart([1.0]), r"control chart 1 of 1 values.*run more bars first"),
    (lambda: control_chart([1.0, 2.0, 3.0], baseline=1), r"1 of 3 values.*run more bars first"),
    (lambda: control_chart([1.0, 2.0, 3.0], baseline=4), r"4 of 3 values.*run more bars first"),
    (lambda: control_chart([1.0, NAN]), r"value of the chart nan.*correct the value of the chart"),
    (lambda: mean_remnant([], reading_u_mm=1.0), r"remnants none.*measure the remnant of the next bar"),
    (lambda: mean_remnant([-1.0], reading_u_mm=1.0), r"remnant -1\.0.*correct the remnant"),
    (lambda: mean_remnant([1.0], reading_u_mm=0.0), r"uncertainty of a remnant's reading 0\.0.*measure"),
    (lambda: judge_prediction(ONE, predicted_mm=NAN, predicted_u_mm=1.0), r"predicted remnant nan.*correct"),
    (
        lambda: judge_prediction(ONE, predicted_mm=1.0, predicted_u_mm=-1.0),
        r"uncertainty of the predicted remnant -1\.0.*correct",
    ),
    (lambda: judge_prediction(ONE, predicted_mm=1.0, predicted_u_mm=1.0, confidence_share=1.0), r"confidence 1\.0.*give"),
    (lambda: judge_limit(ONE, longest_mm=0.0), r"longest remnant agreed 0\.0.*measure"),
    (lambda: judge_limit(ONE, longest_mm=1.0, confidence_share=0.0), r"confidence 0\.0.*give"),
]


@pytest.mark.parametrize(("refused", "told"), REFUSED)
def test_figures_that_cannot_be_are_refused_with_what_to_do(refused: Callable[[], object], told: str) -> None:
    """Each refusal names what was given and ends in the next action."""
    with pytest.raises(UsageError, match=told):
        refused()
