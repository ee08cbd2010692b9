"""What was agreed: runs, plans, what passing them shows, and how often cells pass, also by simulation."""

from __future__ import annotations

import numpy as np
import pytest

from standoff.job.parts import parts_of
from standoff.job.runoff_plan import AgreedRun, Rule, RunPlan, agreed_runs, counted_causes, rule_of, run_plan, shift_bars
from standoff.job.runoff_tables import RunoffTable
from standoff.site.acceptance import Decision, RowPlan, TotalPlan
from standoff.site.tally import Cause, Run
from tests.runoffs import RUNOFF, standing
from tests.texts import altered
from tests.turning import PARTS, STANDOFF_MM, Changes, job_of


def runs(changes: Changes | None = None, *, text: str = RUNOFF) -> tuple[AgreedRun, ...]:
    """The agreed runs of a text with these keys changed."""
    job = job_of(altered(text, changes or {}))
    return agreed_runs(job, parts_of(job, standoff_mm=STANDOFF_MM))


def plan(changes: Changes | None = None, *, number: int = 0, text: str = RUNOFF) -> RunPlan:
    """The plan of one run of a text with these keys changed."""
    job = job_of(altered(text, changes or {}))
    return run_plan(job, agreed_runs(job, parts_of(job, standoff_mm=STANDOFF_MM))[number])


def test_a_run_is_a_part_with_its_bar_and_mode() -> None:
    """The part says bar and mode; its length is that of the first part, its limits are the run's."""
    pins, hubs = runs()
    assert (pins.run, hubs.run) == (Run("guide-bushing", "16 mm steel"), Run("chucker", "16 mm steel"))
    assert (pins.first_part_mm, pins.tolerance_mm, pins.remnant_at_most_mm, pins.speed_rpm) == (
        57.0,
        pytest.approx(0.1),
        500.0,
        2000.0,
    )
    assert (hubs.tolerance_mm, hubs.remnant_at_most_mm, hubs.speed_rpm) == (None, None, None)


def test_the_limit_of_all_runs_stands_where_a_run_has_none() -> None:
    """A run's own longest remnant goes before that of [runoff]."""
    pins, hubs = runs({"runoff.remnant_at_most": '"450 mm"'})
    assert (pins.remnant_at_most_mm, hubs.remnant_at_most_mm) == (500.0, 450.0)


def test_a_run_without_a_part() -> None:
    """A bar in a mode, or by default the first of each; nothing is predicted for it."""
    named = runs({"runoff_runs[1].part": None, "runoff_runs[1].mode": '"chucker"', "runoff_runs[1].bar": '"16 mm steel"'})[1]
    assert (named.run, named.part) == (Run("chucker", "16 mm steel"), None)
    default = runs({"runoff_runs[1].part": None})[1]
    assert (default.run, default.bar_mm) == (Run("guide-bushing", "16 mm steel"), 3660.0)


def test_without_runs_each_part_is_one_and_else_each_mode() -> None:
    """Nothing is agreed: the parts of the job; where there is no part either, its modes with its longest bar."""
    assert [run.name for run in runs(text=PARTS)] == ["pin", "hub"]
    bare = PARTS[: PARTS.index("[[bars]]")]
    found = runs(text=bare)
    assert [(run.name, run.run.bar, run.part) for run in found] == [
        ("guide-bushing", "the job's longest bar", None),
        ("chucker", "the job's longest bar", None),
    ]


@pytest.mark.parametrize(
    ("changes", "rule", "wanted"),
    [
        ({}, Rule.ROW, RowPlan(3, 1)),
        ({"runoff.bars_in_row": None, "runoff.bars": "20"}, Rule.TOTAL, TotalPlan(20, 1)),
        ({"runoff.bars_in_row": None}, Rule.SHIFT, TotalPlan(7, 1)),  # 55 pins of 75 s and a change of 40 s in 8 h
        ({"runoff.bars_in_row": None, "runoff.unattended": None}, Rule.SHARE, TotalPlan(46, 1)),
        ({"runoff.bars_in_row": None, "runoff.unattended": None, "runoff.clean_share": None}, Rule.ROW, RowPlan(5, 1)),
        ({"runoff_runs[0].changes": "59"}, Rule.CHANGES, TotalPlan(59)),
    ],
)
def test_the_plan_is_the_first_that_is_said(changes: Changes, rule: Rule, wanted: RowPlan | TotalPlan) -> None:
    """A row, a total, a shift, a share to be shown; else five in a row. Changes with short stock stand for themselves."""
    found = plan(changes)
    assert (found.rule, found.plan) == (rule, wanted)
    assert found.stated is (rule is not Rule.ROW or not changes)


def test_nothing_agreed_is_said_to_be_ours() -> None:
    """Without [runoff] the plan is the default, five in a row, that shows 55 of 100 at 95 %."""
    found = plan(text=PARTS)
    assert (found.plan, found.stated, found.wanted) == (RowPlan(5, 0), False, None)
    assert found.shown_share == pytest.approx(0.05 ** (1 / 5))
    assert rule_of(None) == (Rule.ROW, False)
    assert found.enough


def test_what_would_show_the_share_wanted() -> None:
    """Three in a row show less than 9 of 10: the same rule with enough bars does, by a hair's breadth and no more."""
    found = plan()
    assert not found.enough
    assert isinstance(found.wanted, RowPlan)
    assert found.wanted.stops_allowed == 1
    assert found.wanted.shown_share(0.95) >= 0.9 > RowPlan(found.wanted.bars - 1, 1).shown_share(0.95)
    enough = plan({"runoff.bars_in_row": str(found.wanted.bars)})
    assert enough.enough


def test_a_shift_of_each_run_has_its_own_bars() -> None:
    """8 h over the parts of a bar and its change; the share a shift needs is the n-th root of the chance."""
    pins, hubs = (plan(number=number).shift for number in (0, 1))
    assert pins is not None
    assert hubs is not None
    count = runs()[0].part.count  # type: ignore[union-attr]
    assert pins.bars == -(-28800 // (count * 75 + 40))
    assert pins.needed_share == pytest.approx(0.9 ** (1 / pins.bars))
    assert pins.shown_chance_share == pytest.approx(plan().shown_share ** pins.bars)
    assert hubs.bars != pins.bars
    slow = plan({"cycle.bar_change": '"1 h"'}).shift
    assert slow is not None
    assert slow.bars == -(-28800 // (count * 75 + 3600)) < pins.bars


def test_no_shift_without_its_length_or_the_time_of_a_part() -> None:
    """Then nothing is said of a shift, and nothing made up."""
    assert plan({"runoff.unattended": None}).shift is None
    assert plan({"parts[1].seconds": None}, number=1).shift is None
    job = job_of(RUNOFF)
    assert shift_bars(job, runs()[0]) == 7


def test_short_stock_takes_the_time_of_a_part_and_a_change() -> None:
    """29 changes without a stop show 9 of 10 at 95 %, each 75 s and 40 s long."""
    found = plan()
    assert found.short_stock is not None
    assert (found.short_stock.further, found.short_stock_share) == (29, 0.9)
    assert found.short_stock.run_h == pytest.approx(29 * 115 / 3600)
    assert plan({"cycle.bar_change": None}).short_stock is None
    assert plan({"runoff_runs[0].changes": "59"}).short_stock is None


def test_whose_stops_count() -> None:
    """Everybody's but a person's, unless it is said otherwise."""
    assert counted_causes(None) == frozenset(Cause) - {Cause.OPERATOR}
    table = RunoffTable(tool_counts=False, operator_counts=True)
    assert counted_causes(table) == frozenset(Cause) - {Cause.TOOL}


@pytest.mark.parametrize("changes", [{}, {"runoff.bars_in_row": None, "runoff.bars": "20"}, {"runoff.bars_in_row": None}])
def test_a_cell_that_is_no_better_than_shown_hardly_passes(changes: Changes) -> None:
    """What a plan claims to show, by simulation: a cell of just that share passes in 5 of 100 run-offs, and is judged as told."""
    found, draws = plan(changes), 4000
    rng = np.random.default_rng(11)
    passed = sum(
        found.plan.judge((rng.random(400) < found.shown_share).tolist()).decision is Decision.ACCEPTED for _ in range(draws)
    )
    told = found.plan.acceptance_probability(found.shown_share)
    assert told == pytest.approx(0.05, abs=1e-6)
    assert passed / draws == pytest.approx(told, abs=4.0 * (0.05 * 0.95 / draws) ** 0.5)


def test_the_placement_of_the_tests_holds_parts() -> None:
    """The standoff at which the runs above are made is the tests' own."""
    assert standing().standoff_mm == STANDOFF_MM
