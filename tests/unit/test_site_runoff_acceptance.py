"""Acceptance plans: both rules, what they prove, and how they judge bars in their order."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

import pytest

from standoff.errors import UsageError
from standoff.site.acceptance import (
    Decision,
    Judgement,
    Plan,
    RowPlan,
    TotalPlan,
    operating_characteristic,
    row_plan,
    total_plan,
)


def bars(text: str) -> list[bool]:
    """Bars written as a word: `+` clean, `-` stopped."""
    return [sign == "+" for sign in text]


@pytest.mark.parametrize(
    ("plan", "run", "judged"),
    [
        (TotalPlan(3), "", Judgement(Decision.NOT_YET, None, 3)),
        (TotalPlan(3), "++", Judgement(Decision.NOT_YET, None, 1)),
        (TotalPlan(3), "+++", Judgement(Decision.ACCEPTED, 3, 0)),
        (TotalPlan(3), "+++-", Judgement(Decision.ACCEPTED, 3, 0)),
        (TotalPlan(3), "+-+", Judgement(Decision.FAILED, 2, 0)),
        (TotalPlan(4, 1), "-++", Judgement(Decision.NOT_YET, None, 1)),
        (TotalPlan(4, 1), "-+++", Judgement(Decision.ACCEPTED, 4, 0)),
        (TotalPlan(4, 1), "++--", Judgement(Decision.FAILED, 4, 0)),
        (RowPlan(3), "", Judgement(Decision.NOT_YET, None, 3)),
        (RowPlan(3), "++", Judgement(Decision.NOT_YET, None, 1)),
        (RowPlan(3), "+++-", Judgement(Decision.ACCEPTED, 3, 0)),
        (RowPlan(3), "++-", Judgement(Decision.FAILED, 3, 0)),
        (RowPlan(3, 1), "++-", Judgement(Decision.NOT_YET, None, 3)),
        (RowPlan(3, 1), "++-+", Judgement(Decision.NOT_YET, None, 2)),
        (RowPlan(3, 1), "++-+++", Judgement(Decision.ACCEPTED, 6, 0)),
        (RowPlan(3, 1), "++-++-+++", Judgement(Decision.FAILED, 6, 0)),
        (RowPlan(1, 1), "-+", Judgement(Decision.ACCEPTED, 2, 0)),
    ],
)
def test_bars_are_judged_by_the_agreed_rule(plan: Plan, run: str, judged: Judgement) -> None:
    """Decision, the bar at which it fell, and how many more it takes."""
    assert plan.judge(bars(run)) == judged


def test_a_row_begun_again_proves_less() -> None:
    """Five in a row at the first attempt show 55 %, with two new beginnings 44 %: regression values of the closed form."""
    assert RowPlan(5).shown_share(0.95) == pytest.approx(TotalPlan(5).shown_share(0.95), rel=1e-12)
    assert RowPlan(5, 2).shown_share(0.95) == pytest.approx(0.44243, abs=5e-6)
    shares = [RowPlan(5, stops).shown_share(0.95) for stops in range(6)]
    assert shares == sorted(shares, reverse=True)


@pytest.mark.parametrize("plan", [TotalPlan(5), TotalPlan(93, 1), RowPlan(5), RowPlan(12, 3)])
@pytest.mark.parametrize("confidence", [0.5, 0.9, 0.99])
def test_a_cell_at_the_share_shown_passes_rarely(plan: Plan, confidence: float) -> None:
    """At the share that passing shows, a cell passes with probability 1 - C."""
    assert plan.acceptance_probability(plan.shown_share(confidence)) == pytest.approx(1.0 - confidence, rel=1e-9)


@pytest.mark.parametrize("plan", [TotalPlan(5), TotalPlan(20, 3), RowPlan(5), RowPlan(5, 3)])
def test_the_operating_characteristic_rises_from_none_to_all(plan: Plan) -> None:
    """A hopeless cell never passes, a perfect one always, and a better one not less often."""
    curve = operating_characteristic(plan, [i / 50 for i in range(51)])
    assert curve[0] == (0.0, 0.0)
    assert curve[-1] == (1.0, 1.0)
    assert all(before[1] <= after[1] for before, after in pairwise(curve))


@pytest.mark.parametrize("stops", [0, 1, 4])
@pytest.mark.parametrize(("share", "confidence"), [(0.5, 0.5), (0.9, 0.95), (0.999, 0.8)])
def test_plans_are_the_smallest_that_serve(share: float, confidence: float, stops: int) -> None:
    """The plan shows the share at the confidence; one bar less does not."""
    total = total_plan(clean_share=share, confidence_share=confidence, stops_allowed=stops)
    row = row_plan(clean_share=share, confidence_share=confidence, stops_allowed=stops)
    for plan in (total, row):
        assert plan.stops_allowed == stops
        assert plan.acceptance_probability(share) <= 1.0 - confidence + 1e-12
    if total.bars > stops + 1:
        assert TotalPlan(total.bars - 1, stops).acceptance_probability(share) > 1.0 - confidence
    if row.bars > 1:
        assert RowPlan(row.bars - 1, stops).acceptance_probability(share) > 1.0 - confidence


def test_a_modest_wish_takes_one_bar() -> None:
    """No plan has fewer than one bar."""
    assert row_plan(clean_share=0.01, confidence_share=0.01) == RowPlan(1)
    assert total_plan(clean_share=0.01, confidence_share=0.01) == TotalPlan(1)


REFUSED: list[tuple[Callable[[], object], str]] = [
    (lambda: TotalPlan(0), r"number of bars 0.*count the number of bars again"),
    (lambda: TotalPlan(5, -1), r"number of stops allowed -1.*count the number of stops allowed again"),
    (lambda: TotalPlan(5, 5), r"stops allowed 5 in 5 bars.*allow fewer stops or run more bars"),
    (lambda: RowPlan(0), r"number of bars 0.*count"),
    (lambda: RowPlan(5, -1), r"number of stops allowed -1.*count"),
    (lambda: RowPlan(5).shown_share(1.0), r"confidence 1\.0.*give the confidence as"),
    (lambda: RowPlan(5).acceptance_probability(-0.1), r"share of clean bars -0\.1.*give it as"),
    (lambda: total_plan(clean_share=0.9, confidence_share=0.9, stops_allowed=-1), r"number of stops allowed -1.*count"),
    (lambda: total_plan(clean_share=1.0, confidence_share=0.9), r"share of clean bars 1\.0.*give the share of clean bars as"),
    (lambda: row_plan(clean_share=1.0, confidence_share=0.9), r"share of clean bars 1\.0.*give the share of clean bars as"),
    (lambda: row_plan(clean_share=0.9, confidence_share=0.0), r"confidence 0\.0.*give the confidence as"),
    (lambda: row_plan(clean_share=0.9, confidence_share=0.9, stops_allowed=-1), r"number of stops allowed -1.*count"),
    (
        lambda: row_plan(clean_share=0.9999999, confidence_share=0.95),
        r"0\.9999999 at confidence 0\.95, expected what a row of 1000000 bars can show; ask for a smaller share or less",
    ),
]


@pytest.mark.parametrize(("refused", "told"), REFUSED)
def test_plans_that_cannot_be_are_refused_with_what_to_do(refused: Callable[[], object], told: str) -> None:
    """Each refusal names what was given and ends in the next action."""
    with pytest.raises(UsageError, match=told):
        refused()
