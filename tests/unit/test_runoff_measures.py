"""What was measured in the run-off: remnants against the survey, parts, the bar's end, changes; figures by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest

from standoff.job.parts import Part, parts_of
from standoff.job.runoff_measures import (
    RemnantStanding,
    changes_of,
    end_of_bar,
    lengths_of,
    prediction_of,
    remnants_of,
    shortest_remnant_u_mm,
)
from standoff.job.runoff_tables import RunoffBarTable
from standoff.site.control_chart import Signal
from standoff.site.remnant import Compliance, Match
from tests.runoffs import RUNOFF
from tests.texts import altered
from tests.turning import STANDOFF_MM, Changes, job_of


def part(changes: Changes | None = None, number: int = 0) -> Part:
    """A part of the job with these keys changed."""
    return parts_of(job_of(altered(RUNOFF, changes or {})), standoff_mm=STANDOFF_MM)[number]


def table(**values: str) -> RunoffBarTable:
    """A bar of the tally with what was measured."""
    return RunoffBarTable.model_validate({"key": "k", "at": "2026-03-03T08:00:00Z", **values})


def remnants(*bars: RunoffBarTable, at_most_mm: float | None = None, changes: Changes | None = None) -> RemnantStanding:
    """How the remnants of these bars stand."""
    job = job_of(altered(RUNOFF, changes or {}))
    found = remnants_of(job, part(changes), bars, standoff_mm=STANDOFF_MM, cut_mm=0.0, at_most_mm=at_most_mm)
    assert found is not None
    return found


def test_the_prediction_of_a_bar_of_its_own_length() -> None:
    """By hand: what is left of 3650 mm after facing and as many advances of 60 mm as leave the shortest remnant at least."""
    pin = part()
    shortest_mm = pin.reach.remnant_mm
    count = math.floor((3650.0 - 1.0 - shortest_mm) / 60.0)
    found = remnants(table(remnant="369 mm", bar_length="3650 mm"))
    assert found.prediction is not None
    assert found.prediction.own_lengths
    assert found.prediction.mean_mm == pytest.approx(3650.0 - 1.0 - 60.0 * count)
    assert (found.prediction.shortest_mm, found.prediction.longest_mm) == (shortest_mm, shortest_mm + 60.0)


def test_without_lengths_the_mean_over_the_mills_tolerance_stands() -> None:
    """Bars of 3660 to 3680 mm: by hand as the mean of the saw-tooth over a fine scan."""
    pin = part()
    scan = np.linspace(3660.0, 3680.0, 20_001)
    left = scan - 1.0 - 60.0 * np.floor((scan - 1.0 - pin.reach.remnant_mm + 1e-6) / 60.0)
    found = remnants(table(remnant="369 mm"), table(remnant="368 mm", bar_length="3650 mm"))
    assert found.prediction is not None
    assert not found.prediction.own_lengths
    assert found.prediction.mean_mm == pytest.approx(float(left.mean()), abs=0.01)


def test_the_uncertainty_of_the_shortest_remnant() -> None:
    """By hand: collet to cut-off and travel where the collet sets it, with the pusher's chain where the pusher does."""
    job = job_of(RUNOFF)
    readings = job.readings
    pin = part()
    assert pin.reach.shortfall_mm == 0.0
    names = ("lathe.collet_to_cutoff", "lathe.modes[0].z_front")
    by_hand = math.hypot(*(readings[name].u_mm for name in names), pin.table.z_last_cut[0].u_mm)  # type: ignore[index]
    assert shortest_remnant_u_mm(job, pin, standoff_mm=STANDOFF_MM, cut_mm=0.0) == pytest.approx(by_hand)
    far = {"loader.pusher_reach": '"1000 mm"', "rules.accepted_shortfall": '"300 mm"'}
    short_job = job_of(altered(RUNOFF, far))
    short = parts_of(short_job, standoff_mm=STANDOFF_MM)[0]
    assert short.reach.shortfall_mm > 0.0
    names = ("lathe.adapter_to_collet", "lathe.collet_to_cutoff", "lathe.modes[0].z_front", "lathe.modes[0].z_rear")
    chain = [short_job.readings[name].u_mm for name in (*names, "loader.pusher_reach")]
    by_hand = math.hypot(*chain, short_job.layout.setting_u_mm)
    assert shortest_remnant_u_mm(short_job, short, standoff_mm=STANDOFF_MM, cut_mm=0.0) == pytest.approx(by_hand)


def test_where_it_stands_was_read_after_anchoring() -> None:
    """The standoff as installed has the uncertainty of its reading, not that of setting."""
    far = {"loader.pusher_reach": '"1000 mm"', "rules.accepted_shortfall": '"300 mm"'}
    plain = job_of(altered(RUNOFF, far))
    read = job_of(altered(RUNOFF, far, more='[as_installed]\nstandoff = { value = "300 mm", standard_uncertainty = "5 mm" }\n'))
    one, other = (
        shortest_remnant_u_mm(job, parts_of(job, standoff_mm=STANDOFF_MM)[0], standoff_mm=STANDOFF_MM, cut_mm=0.0)
        for job in (plain, read)
    )
    assert other**2 - one**2 == pytest.approx(25.0 - plain.layout.setting_u_mm**2)


def test_the_saw_tooth_carries_the_uncertainty() -> None:
    """In the middle of its tooth a bar is not moved by it; at an edge it may have a part more or fewer: half an advance."""
    job, pin = job_of(RUNOFF), part()
    shortest_mm = pin.reach.remnant_mm
    whole_mm = 1.0 + shortest_mm + 60.0 * 50
    told = {"standoff_mm": STANDOFF_MM, "cut_mm": 0.0}
    middle = prediction_of(job, pin, own_mm=[whole_mm + 30.0], own_u_mm=1.0, **told)
    assert middle.u_mm == pytest.approx(1.0)
    edge = prediction_of(job, pin, own_mm=[whole_mm], own_u_mm=1.0, **told)
    assert edge.u_mm == pytest.approx(math.hypot(30.0, 1.0))


def test_a_bar_that_holds_just_one_part_is_predicted_too() -> None:
    """No step to a longer remnant leaves it without a part."""
    pin = part()
    just_mm = pin.facing_mm + pin.advance_mm + pin.reach.remnant_mm
    found = prediction_of(job_of(RUNOFF), pin, own_mm=[just_mm], standoff_mm=STANDOFF_MM, cut_mm=0.0)
    assert found.mean_mm == pytest.approx(pin.reach.remnant_mm)


@pytest.mark.parametrize(("off_mm", "match"), [(0.0, Match.AGREES), (12.0, Match.LONGER), (-12.0, Match.SHORTER)])
def test_measured_against_predicted(off_mm: float, match: Match) -> None:
    """Four bars by their own lengths, all off by as much."""
    lengths = (3650.0, 3640.0, 3645.0, 3633.0)
    predicted = [
        prediction_of(job_of(RUNOFF), part(), own_mm=[mm], standoff_mm=STANDOFF_MM, cut_mm=0.0).mean_mm for mm in lengths
    ]
    bars = [
        table(remnant=f"{mm + off_mm:.3f} mm", bar_length=f"{length:.3f} mm")
        for mm, length in zip(predicted, lengths, strict=True)
    ]
    found = remnants(*bars)
    assert found.judgement is not None
    assert found.judgement.match is match
    assert found.judgement.difference_mm == pytest.approx(off_mm, abs=1e-3)
    assert found.judgement.measured.mean_mm == pytest.approx(sum(predicted) / 4 + off_mm, abs=1e-3)


def test_lengths_that_differ_are_no_scatter() -> None:
    """Bars of unequal length leave unequal remnants: the misses scatter little, and a small step is still seen."""
    found = remnants(
        *(table(remnant=f"{369.0 + more + 8.0} mm", bar_length=f"{3650.0 + more} mm") for more in (0.0, 4.0, 8.0, 2.0))
    )
    assert found.judgement is not None
    assert found.judgement.match is not Match.AGREES
    assert found.judgement.u_mm < 3.0


def test_two_bars_are_too_few() -> None:
    """No verdict, neither on the prediction nor on the limit."""
    found = remnants(*(table(remnant="369 mm", bar_length="3650 mm") for _ in range(2)), at_most_mm=400.0)
    assert found.judgement is not None
    assert found.limit is not None
    assert (found.judgement.match, found.limit.compliance) == (Match.TOO_FEW, Compliance.TOO_FEW)


def test_without_lengths_nobody_is_accused() -> None:
    """A bundle near one end of the mill's tolerance leaves remnants far from the mean over it: nothing is wrong with the cell."""
    found = remnants(*(table(remnant="389 mm") for _ in range(5)))
    assert found.judgement is not None
    assert found.judgement.match is Match.NO_LENGTHS
    assert (found.below, found.above) == (0, 0)


def test_bars_without_a_length_do_not_spoil_the_others() -> None:
    """Five of known length agree; one more without its length is not compared."""
    pin = part()
    count = math.floor((3650.0 - 1.0 - pin.reach.remnant_mm) / 60.0)
    left_mm = 3650.0 - 1.0 - 60.0 * count
    known = [table(remnant=f"{left_mm} mm", bar_length="3650 mm") for _ in range(5)]
    found = remnants(*known, table(remnant="385 mm"))
    assert found.judgement is not None
    assert (found.judgement.match, found.judgement.measured.bars, found.mean.bars) == (Match.AGREES, 5, 6)


@pytest.mark.parametrize("fewer", [0, 1])
def test_at_a_step_both_outcomes_are_as_predicted(fewer: int) -> None:
    """The shortest remnant is not known well enough to say whether such a bar has a part more: neither is an error."""
    pin = part()
    whole_mm = 1.0 + pin.reach.remnant_mm + 60.0 * 50
    left_mm = pin.reach.remnant_mm + 60.0 * fewer
    agrees = remnants(*(table(remnant=f"{left_mm} mm", bar_length=f"{whole_mm} mm") for _ in range(5)))
    assert agrees.judgement is not None
    assert (agrees.judgement.match, agrees.judgement.difference_mm) == (Match.AGREES, pytest.approx(0.0, abs=1e-6))
    off = remnants(*(table(remnant=f"{left_mm + 20.0} mm", bar_length=f"{whole_mm} mm") for _ in range(5)))
    assert off.judgement is not None
    assert off.judgement.match is Match.LONGER


@pytest.mark.parametrize(
    ("at_most_mm", "compliance"), [(400.0, Compliance.KEEPS), (369.5, Compliance.OPEN), (340.0, Compliance.EXCEEDS)]
)
def test_measured_against_agreed(at_most_mm: float, compliance: Compliance) -> None:
    """Three alike: kept, too close to tell, not kept."""
    found = remnants(*(table(remnant="369 mm") for _ in range(3)), at_most_mm=at_most_mm)
    assert found.limit is not None
    assert found.limit.compliance is compliance


def test_what_the_standoff_does_not_allow_is_counted() -> None:
    """A remnant shorter than the shortest, and one that would have been a part more; the others are within."""
    pin = part()
    lengths_mm = (pin.reach.remnant_mm - 20.0, pin.reach.remnant_mm + 30.0, pin.reach.remnant_mm + 80.0)
    found = remnants(*(table(remnant=f"{mm:.2f} mm") for mm in lengths_mm))
    assert (found.below, found.above, found.bars) == (1, 1, (1, 2, 3))


def test_what_the_uncertainty_leaves_open_is_not_counted() -> None:
    """A remnant that misses the shortest one by less than twice its uncertainty may be right."""
    pin = part()
    found = remnants(
        table(remnant=f"{pin.reach.remnant_mm - 2.0:.2f} mm"), table(remnant=f"{pin.reach.remnant_mm + 62.0:.2f} mm")
    )
    assert (found.below, found.above) == (0, 0)


def test_the_worst_instrument_counts() -> None:
    """One remnant estimated among those read: the mean is known no better than that."""
    found = remnants(table(remnant="369 mm"), table(remnant="369 mm ± 17.32 mm"), table(remnant="369 mm"))
    assert found.mean.u_mm == pytest.approx(10.0, abs=0.01)


def test_the_chart_finds_the_bar_that_stands_out() -> None:
    """Its place is told by the bars of the run, those not measured counted."""
    lengths = ["369 mm", "370 mm", "", "369 mm", "370 mm", "369 mm", "430 mm"]
    found = remnants(*(table(remnant=text) if text else table() for text in lengths))
    assert found.chart is not None
    assert {found.bars[one.place] for one in found.chart.findings if one.signal is Signal.GREAT_STEP} == {7}


def test_nothing_measured_nothing_said() -> None:
    """No remnant, no length, no pair, no change."""
    job = job_of(RUNOFF)
    assert remnants_of(job, part(), [table()], standoff_mm=STANDOFF_MM, cut_mm=0.0, at_most_mm=None) is None
    assert lengths_of([], wanted_mm=57.0, tolerance_mm=0.1) is None
    assert end_of_bar([table(first_part="57 mm"), table(end_part="57 mm")]) is None
    assert changes_of([table()], agreed_s=60.0) is None


def test_a_run_without_a_part_has_no_prediction() -> None:
    """Remnants are kept, and nothing is compared."""
    bars = [table(remnant="369 mm") for _ in range(3)]
    found = remnants_of(job_of(RUNOFF), None, bars, standoff_mm=STANDOFF_MM, cut_mm=0.0, at_most_mm=None)
    assert found is not None
    assert (found.prediction, found.judgement, found.limit, found.below, found.above) == (None, None, None, 0, 0)


def test_first_parts_against_their_tolerance() -> None:
    """By hand: three of four within; Cp = 0.2 / 6 s."""
    found = lengths_of([57.0, 57.05, 56.95, 57.2], wanted_mm=57.0, tolerance_mm=0.1)
    assert found is not None
    assert found.outside == 1
    assert found.capability is not None
    deviation = float(np.std([57.0, 57.05, 56.95, 57.2], ddof=1))
    assert found.capability.cp_ratio == pytest.approx(0.2 / (6.0 * deviation))


@pytest.mark.parametrize("lengths", [[57.1], [57.0, 57.0], [56.9, 57.1]])
def test_a_length_on_its_limit_is_within(lengths: list[float]) -> None:
    """And of one length, or of equal ones, no capability is made."""
    found = lengths_of(lengths, wanted_mm=57.0, tolerance_mm=0.1)
    assert found is not None
    assert found.outside == 0
    assert (found.capability is None) is (len(set(lengths)) == 1)


def test_without_a_tolerance_lengths_are_not_judged() -> None:
    """They are shown."""
    found = lengths_of([57.0, 57.1], wanted_mm=57.0, tolerance_mm=None)
    assert found is not None
    assert (found.outside, found.capability) == (None, None)


def test_the_end_of_the_bar_is_compared_bar_by_bar() -> None:
    """Only bars with both parts measured."""
    bars = [table(first_part=f"{57 + i} mm", end_part=f"{57.1 + i:.1f} mm") for i in range(3)]
    found = end_of_bar([*bars, table(first_part="60 mm")])
    assert found is not None
    assert (found.pairs, found.mean_mm) == (3, pytest.approx(0.1))


def test_bar_changes() -> None:
    """Mean, longest, and how many took longer than agreed; the very limit is kept."""
    bars = [table(change=text) for text in ("40 s", "1 min", "61 s")]
    found = changes_of(bars, agreed_s=60.0)
    assert found is not None
    assert (found.longest_s, found.over, found.mean_s) == (61.0, 1, pytest.approx(161 / 3))
    free = changes_of(bars, agreed_s=None)
    assert free is not None
    assert free.over is None
