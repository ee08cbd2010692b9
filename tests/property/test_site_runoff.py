"""The run-off against simulation: how often intervals cover, plans accept, verdicts accuse; and a tally that nothing upsets."""

from __future__ import annotations

import random
from datetime import UTC, datetime, timedelta

import numpy as np
import pytest
from scipy.stats import binom

from standoff.site.acceptance import Decision, Plan, RowPlan, TotalPlan, row_plan, total_plan
from standoff.site.capability import capability
from standoff.site.control_chart import Signal, control_chart
from standoff.site.reliability import further_clean, interval, shown_share, success_run_share
from standoff.site.remnant import Compliance, Match, judge_limit, judge_prediction, mean_remnant
from standoff.site.tally import Agreement, BarRecord, Cause, Run, tally

SHARES = np.linspace(0.005, 0.995, 199)


def allowed(probability: float, samples: int) -> float:
    """Four standard errors of a simulated share."""
    return 4.0 * float(np.sqrt(max(probability * (1.0 - probability), 1e-4) / samples))


@pytest.mark.parametrize("bars", [1, 5, 20, 60])
@pytest.mark.parametrize("confidence", [0.8, 0.95])
def test_intervals_cover_at_least_as_often_as_stated(bars: int, confidence: float) -> None:
    """Every outcome weighed by its probability, at 199 true shares: the coverage is exact, and never below the confidence."""
    found = [interval(bars=bars, stops=stops, confidence_share=confidence) for stops in range(bars + 1)]
    claims = np.array([shown_share(bars=bars, stops=stops, confidence_share=confidence) for stops in range(bars + 1)])
    weights = binom.pmf(np.arange(bars + 1)[:, None], bars, 1.0 - SHARES[None, :])
    least, greatest = np.array([[f.least_share, f.greatest_share] for f in found]).T
    inside = (least[:, None] <= SHARES) & (greatest[:, None] >= SHARES)
    assert np.min((weights * inside).sum(axis=0)) >= confidence - 1e-9
    assert np.min((weights * (claims[:, None] <= SHARES)).sum(axis=0)) >= confidence - 1e-9


def test_intervals_cover_simulated_run_offs() -> None:
    """20 000 run-offs of 30 bars each, at three true shares: the interval covers as often as the exact sum says."""
    random_ = np.random.default_rng(1)
    by_stops = [interval(bars=30, stops=stops) for stops in range(31)]
    for share in (0.6, 0.9, 0.99):
        stops = (random_.random((20_000, 30)) > share).sum(axis=1)
        covered = np.array([by_stops[n].least_share <= share <= by_stops[n].greatest_share for n in stops]).mean()
        exact = sum(
            binom.pmf(n, 30, 1.0 - share)
            for n, found in enumerate(by_stops)
            if found.least_share <= share <= found.greatest_share
        )
        assert abs(covered - exact) <= allowed(exact, 20_000)
        assert covered >= 0.95 - allowed(0.95, 20_000)


def test_the_success_run_formula_breaks_its_promise() -> None:
    """Why it is told apart: at the share it claims from 5 clean bars, such a run comes more often than 1 in 20."""
    claimed = success_run_share(clean_bars=5, confidence_share=0.95)
    assert claimed**5 > 0.08
    assert shown_share(bars=5, stops=0, confidence_share=0.95) ** 5 == pytest.approx(0.05)


PLANS = [TotalPlan(5), TotalPlan(20, 2), RowPlan(5), RowPlan(5, 2), RowPlan(8, 1)]


@pytest.mark.parametrize("plan", PLANS)
@pytest.mark.parametrize("share", [0.5, 0.8, 0.95])
def test_the_operating_characteristic_is_that_of_simulated_cells(plan: Plan, share: float) -> None:
    """4000 simulated cells judged bar by bar are accepted as often as stated, and each ends in a decision."""
    random_ = np.random.default_rng(2)
    longest = plan.bars * (plan.stops_allowed + 1) + plan.stops_allowed
    decisions = [plan.judge(bars).decision for bars in (random_.random((4000, longest)) < share).tolist()]
    expected = plan.acceptance_probability(share)
    assert Decision.NOT_YET not in decisions
    assert abs(decisions.count(Decision.ACCEPTED) / 4000 - expected) <= allowed(expected, 4000)


def test_random_plans_show_what_was_wished() -> None:
    """300 random wishes: the plan's claim is at least the wish, and a plan with one bar less claims less."""
    random_ = random.Random(3)
    for _ in range(300):
        share, confidence, stops = random_.uniform(0.3, 0.999), random_.uniform(0.3, 0.99), random_.randrange(5)
        total = total_plan(clean_share=share, confidence_share=confidence, stops_allowed=stops)
        row = row_plan(clean_share=share, confidence_share=confidence, stops_allowed=stops)
        assert min(total.shown_share(confidence), row.shown_share(confidence)) >= share - 1e-9
        if total.bars > stops + 1:
            assert TotalPlan(total.bars - 1, stops).shown_share(confidence) < share
        if row.bars > 1:
            assert RowPlan(row.bars - 1, stops).shown_share(confidence) < share
        assert further_clean(bars=total.bars, stops=stops, clean_share=share, confidence_share=confidence) == 0


def test_the_tally_does_not_mind_how_records_arrive() -> None:
    """200 random run-offs: shuffled, with taps sent again, in two batches: always the same state."""
    random_ = random.Random(4)
    runs = (Run("first", "6 mm"), Run("second", "32 mm"))
    for _ in range(200):
        plan = random_.choice(PLANS)
        agreement = Agreement(plan, runs, frozenset(random_.sample(list(Cause), random_.randrange(1, 7))))
        records = [
            BarRecord(
                key=f"tap {n}",
                at=datetime(2024, 5, 1, tzinfo=UTC) + timedelta(minutes=random_.randrange(40)),
                run=random_.choice(runs),
                stop=random_.choice([None, None, None, *Cause]),
                remnant_mm=random_.choice([None, random_.uniform(200.0, 300.0)]),
            )
            for n in range(random_.randrange(30))
        ]
        plain = tally(records, agreement)
        arrived = records + random_.sample(records, len(records) // 2)
        random_.shuffle(arrived)
        again = tally(arrived, agreement)
        assert (again.runs, again.stops, again.decision) == (plain.runs, plain.stops, plain.decision)
        assert again.sent_again == len(records) // 2
        assert sum(state.clean + state.stopped + state.void for state in plain.runs) == len(records)


@pytest.mark.parametrize(("bars", "scatter_mm"), [(3, 0.3), (3, 3.0), (5, 1.0), (10, 3.0)])
def test_a_right_prediction_is_seldom_accused(bars: int, scatter_mm: float) -> None:
    """Prediction, instrument and bars drawn anew 3000 times: 1 in 20 is accused, with three bars up to 8 in 100."""
    random_ = np.random.default_rng(5)
    accused = exceeded = 0
    for _ in range(3000):
        measured = mean_remnant(
            (300.0 + random_.normal(0.0, 0.3) + random_.normal(0.0, scatter_mm, bars)).tolist(), reading_u_mm=0.3
        )
        found = judge_prediction(measured, predicted_mm=300.0 + random_.normal(0.0, 0.5), predicted_u_mm=0.5)
        accused += found.match is not Match.AGREES
        exceeded += judge_limit(measured, longest_mm=300.0).compliance is Compliance.EXCEEDS
    most = 0.08 if bars == 3 else 0.05
    assert accused / 3000 <= most + allowed(most, 3000)
    assert exceeded / 3000 <= most + allowed(most, 3000)


def test_a_wrong_prediction_is_found() -> None:
    """Off by five combined standard uncertainties, five bars: found nearly always, on the right side."""
    random_ = np.random.default_rng(6)
    found = [
        judge_prediction(
            mean_remnant((300.0 + random_.normal(0.0, 0.3, 5)).tolist(), reading_u_mm=0.3),
            predicted_mm=297.0 + random_.normal(0.0, 0.5),
            predicted_u_mm=0.5,
        ).match
        for _ in range(300)
    ]
    assert found.count(Match.LONGER) >= 285
    assert Match.SHORTER not in found


@pytest.mark.parametrize(("lengths", "off_mm"), [(10, 0.0), (10, 2.0), (30, 1.0)])
def test_the_least_capability_is_seldom_too_high(lengths: int, off_mm: float) -> None:
    """2000 samples of a normal length: the least Cp is exact, the least Cpk right to about one in a hundred."""
    random_ = np.random.default_rng(7)
    found = [capability(row.tolist(), lower_mm=-4.0, upper_mm=4.0) for row in random_.normal(off_mm, 1.0, (2000, lengths))]
    held_cp = np.mean([f.cp_least_ratio <= 8.0 / 6.0 for f in found])
    held_cpk = np.mean([f.cpk_least_ratio <= (4.0 - off_mm) / 3.0 for f in found])
    assert abs(held_cp - 0.95) <= allowed(0.95, 2000)
    assert held_cpk >= 0.94 - allowed(0.95, 2000)


def test_a_steady_series_is_seldom_alarmed_and_a_shifted_one_is() -> None:
    """150 series of 100 values: 3 in 1000 beyond the limits, 9 in 1000 steps; a shift of four deviations is always seen."""
    random_ = np.random.default_rng(8)
    signals = []
    for row in random_.standard_normal((150, 100)):
        signals += [finding.signal for finding in control_chart(row.tolist()).findings]
        shifted = control_chart([*row.tolist(), *(4.0 + row[:10]).tolist()], baseline=100)
        assert any(finding.place >= 100 for finding in shifted.findings)
    assert 0.001 <= signals.count(Signal.BEYOND_LIMITS) / 15_000 <= 0.005
    assert 0.006 <= signals.count(Signal.GREAT_STEP) / 15_000 <= 0.012
