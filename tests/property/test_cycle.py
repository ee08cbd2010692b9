"""The simulated cycle against the static window, and against what no bar can do: over random pairs with a part in each mode."""

from __future__ import annotations

import math
from collections import Counter
from random import Random

import numpy as np
import pytest
from numpy.typing import NDArray

from standoff.job.cycle import Cycle, bar_cycles
from standoff.job.file import parse_job
from standoff.job.mode_change import ModeChange, mode_changes
from standoff.job.motions import CUT, DROP, END, FACE, FEED, PRE_FEED, PULL, PUSH, REGRIP
from standoff.job.placement import Placement, place
from standoff.model.requirement import Requirement, Side
from tests.cycles import counted, random_job, some_standoff_mm
from tests.jobs import LATTICE_MM, Case, random_case

CASES, KINDS = 1000, 5
REQUIREMENTS = {
    *("nose-room", "nose-engagement", "pusher-reach", "full-bar"),
    *("cover-clearance", "rear-room", "centre-height", "passage"),
}
AT_THE_END = {"pusher-reach": END, "full-bar": PRE_FEED}


def placed(seed: int) -> Placement:
    """The placement of a seed at one of its standoffs: inside, on an edge, a hair to either side, far out."""
    text, random = random_job(seed)
    job = parse_job(text)
    return place(job, asked_mm=some_standoff_mm(job, random, seed % KINDS))


def agree(placement: Placement) -> Counter[str]:
    """Stop where a cycle and the window's rows of its mode disagree; what failed, to be counted."""
    failed: Counter[str] = Counter()
    for cycle in bar_cycles(placement):
        rows = {j.row.id for j in placement.failing if j.row.mode in (None, cycle.part.mode.name)}
        told = {trouble.id for trouble in cycle.troubles}
        assert told & REQUIREMENTS == rows
        assert rows or not told
        predicted(placement, cycle)
        failed.update(rows or {"clean"})
    return failed


def predicted(placement: Placement, cycle: Cycle) -> None:
    """A requirement is worst in the state in which the window judges it, by as much as the window says."""
    moments, places = cycle.course, cycle.course.places
    for trouble in cycle.troubles:
        row = next(j for j in placement.failing if j.row.id == trouble.id and j.row.mode in (None, cycle.part.mode.name))
        assert trouble.missing_mm == pytest.approx(-row.slack_mm, abs=1e-6)
        travel_mm = float(moments.travel_mm[trouble.worst])
        if trouble.id == "nose-room":
            assert travel_mm == pytest.approx(places.rear_mm, abs=1e-6)
        if trouble.id == "nose-engagement":
            assert travel_mm == pytest.approx(places.front_mm, abs=1e-6)
        if trouble.id in AT_THE_END:
            assert moments.step[trouble.worst] == AT_THE_END[trouble.id]
        assert trouble.time_s <= float(moments.time_s[trouble.worst])


def test_window_and_cycle_agree() -> None:
    """In each mode the requirements that fail in the cycle are those whose rows fail; each of them does fail somewhere."""
    failed = sum((agree(placed(seed)) for seed in range(CASES)), Counter())
    assert set(failed) == REQUIREMENTS | {"clean"}
    assert failed["clean"] > CASES / 3


@pytest.mark.prove
def test_window_and_cycle_agree_for_many_more() -> None:
    """The same ten times over."""
    assert set(sum((agree(placed(seed)) for seed in range(CASES, 11 * CASES)), Counter())) == REQUIREMENTS | {"clean"}


def cycles(seed: int) -> tuple[Cycle, ...]:
    """The cycles of a seed's pair, at its standoff."""
    return bar_cycles(placed(seed))


@pytest.mark.parametrize("first", range(0, 300, 100))
def test_nothing_is_lost_and_nothing_jumps(first: int) -> None:
    """Length, count, continuity, holds and limits of a hundred pairs."""
    drawn = 0
    for seed in range(first, first + 100):
        for cycle in cycles(seed):
            conserved(cycle)
            continuous(cycle)
            pushed(cycle)
            held(cycle)
            drawn += cycle.part.drawn
    assert drawn > 10


@pytest.mark.prove
def test_nothing_is_lost_and_nothing_jumps_in_many_more() -> None:
    """Three thousand pairs."""
    for seed in range(300, 3300):
        for cycle in cycles(seed):
            for check in (conserved, continuous, pushed, held):
                check(cycle)


def conserved(cycle: Cycle) -> None:
    """Bar = facing + parts + cut-offs + remnant, by the figures and in the moments; the count is that part after part."""
    part, moments = cycle.part, cycle.course
    count, left_mm = counted(cycle)
    assert part.count == count
    whole_mm = part.facing_mm + count * part.length_mm + count * part.cut_mm + part.remnant_mm
    assert whole_mm == pytest.approx(part.bar_mm, abs=1e-9)
    assert left_mm == pytest.approx(part.remnant_mm, abs=1e-6)
    length_mm = moments.front_mm - moments.rear_mm
    assert length_mm[0] == pytest.approx(part.bar_mm, abs=1e-9)
    assert length_mm[-1] == pytest.approx(part.remnant_mm, abs=1e-9)
    lost_mm = -np.diff(length_mm)
    cuts = np.isin(moments.step[1:], (CUT, FACE)) & (lost_mm > 1e-9)
    assert np.abs(lost_mm[~cuts]).max() < 1e-9
    assert lost_mm[cuts].tolist() == pytest.approx([part.facing_mm, *[part.advance_mm] * count], abs=1e-9)
    assert (moments.part[1:][cuts][1:] == np.arange(1, count + 1)).all()


def continuous(cycle: Cycle) -> None:
    """Nothing jumps: between two moments only what that step moves moves, and what is fed is one feed at most."""
    part, moments = cycle.part, cycle.course
    steps = moments.step[1:]
    fed = np.isin(steps, (REGRIP, FEED)) & (moments.part[1:] > 0)
    assert np.abs(np.diff(moments.rear_mm)[fed]).max(initial=0.0) <= part.stroke_mm + 1e-9
    cut = np.isin(steps, (CUT, FACE))
    for places_mm in (moments.travel_mm, moments.tip_mm, moments.rear_mm):
        assert np.abs(np.diff(places_mm)[cut]).max() < 1e-9
    assert (np.diff(moments.time_s) >= 0.0).all()
    travel_mm = moments.travel_mm
    assert travel_mm.min() >= moments.places.rear_mm - 1e-6
    assert travel_mm.max() <= moments.places.front_mm + 1e-6


def pushed(cycle: Cycle) -> None:
    """The pusher holds the bar's end as deep as stated, and comes no farther than its limit and the collet allow."""
    part, moments = cycle.part, cycle.course
    ending = np.isin(moments.step, (END, PULL, DROP, PUSH))
    behind = (moments.part > 0) & ~ending & ~(moments.sub_spindle | (part.drawn & (moments.part == part.count)))
    depth_mm = moments.tip_mm - moments.rear_mm
    assert depth_mm[behind] == pytest.approx(part.reach.insertion_mm, abs=1e-9)
    assert moments.tip_mm.max() <= part.reach.tip_limit_mm + 1e-6
    making = (moments.part > 0) & (moments.step != PUSH)
    inside_mm = moments.tip_mm - moments.collet_mm
    assert inside_mm[making].max() <= part.reach.into_collet_mm + 1e-6
    if part.drawn:
        drawn = (moments.part == part.count) & (moments.step == CUT)
        carried_mm = float(moments.rear_mm[drawn][0]) + part.reach.insertion_mm
        assert moments.tip_mm[drawn] == pytest.approx(min(part.reach.tip_end_mm, carried_mm))


def held(cycle: Cycle) -> None:
    """One at a time holds the bar: collet or gripper, never both; the bar goes with a closed collet and stays in the gripper."""
    moments = cycle.course
    assert not (moments.collet_closed & moments.gripper_closed).any()
    both = moments.collet_closed[1:] & moments.collet_closed[:-1]
    assert np.diff(moments.rear_mm)[both] == pytest.approx(np.diff(moments.travel_mm)[both], abs=1e-9)
    gripped = moments.gripper_closed[1:] & moments.gripper_closed[:-1]
    assert np.abs(np.diff(moments.rear_mm)[gripped]).max(initial=0.0) < 1e-9
    closed = moments.collet_closed & (moments.part > 0) & ~moments.sub_spindle
    # What the collet holds lies in front of its back: at least what the bar's end leaves of it at the last cut-off.
    in_front_mm = moments.front_mm - np.maximum(moments.collet_mm, moments.rear_mm)
    assert in_front_mm[closed].min(initial=math.inf) >= cycle.part.reach.gripped_mm - 1e-6


def nose_limits_mm(placement: Placement) -> tuple[float, float]:
    """What nose-room and nose-engagement allow between clamp and adapter, margins kept. [mm]"""
    values_mm = placement.layout.values_mm(standoff_mm=placement.standoff_mm, cut_mm=placement.cut_mm)
    found = {r.id: r for r in placement.layout.judged() if isinstance(r, Requirement) and r.id.startswith("nose-")}
    assert found["nose-room"].side is Side.AT_LEAST
    return found["nose-room"].limit.value(values_mm), found["nose-engagement"].limit.value(values_mm)


def lattice_case(seed: int) -> Case:
    """A case of two or more modes on the lattice; every second telescopic nose has little to give."""
    case = next(case for case in (random_case(seed + 5000 * i) for i in range(50)) if case.modes > 1)
    if not case.telescopic or seed % 2:
        return case
    few_mm = Random(seed).randint(15, 120) * LATTICE_MM[case.units]
    least_mm = case.quantities["nose.collapsed"].mm + case.quantities["nose.overlap"].mm
    return case.with_values(nose__extended=least_mm + few_mm)


def allowed(placement: Placement, change: ModeChange, step_mm: float) -> tuple[NDArray[np.bool_], NDArray[np.floating], int, int]:
    """Which pairs of travel and shift the nose bears, over the lattice; the travels; and which shifts are start and end."""
    layout = placement.layout
    values_mm = layout.values_mm(standoff_mm=placement.standoff_mm, cut_mm=placement.cut_mm)
    modes = [layout.mode(name) for name in (change.start, change.end)]
    ends = [form.value(values_mm) for mode in modes for form in (mode.rear, mode.front)]
    shifts = [mode.shift.value(values_mm) for mode in modes]
    travel_mm = np.arange(round((max(ends) - min(ends)) / step_mm) + 1) * step_mm + min(ends)
    shift_mm = np.arange(round((max(shifts) - min(shifts)) / step_mm) + 1) * step_mm + min(shifts)
    low_mm, high_mm = nose_limits_mm(placement)
    gap_mm = placement.standoff_mm + travel_mm[:, None] - shift_mm[None, :]
    first, last = (0, len(shift_mm) - 1) if shifts[0] <= shifts[1] else (len(shift_mm) - 1, 0)
    return (gap_mm >= low_mm - 1e-6) & (gap_mm <= high_mm + 1e-6), travel_mm, first, last


def fewest_strokes(bears: NDArray[np.bool_], first: int, last: int) -> int:
    """In how many strokes of the loader, the headstock anywhere the nose bears it meanwhile; 0: not at all."""
    # Between two shifts at one travel the gap changes evenly: it is borne all the way where it is borne at both ends.
    both = bears.T.astype(np.float32) @ bears.astype(np.float32) > 0.0
    reached = np.zeros(len(both), dtype=bool)
    reached[first] = both[first, first]
    for strokes in range(1, len(both) + 1):
        further = both[reached].any(axis=0) | reached
        if further[last]:
            return strokes
        if (further == reached).all():
            return 0
        reached = further
    return 0


def scanned(seed: int) -> Counter[str]:
    """Stop where a change of mode differs from a scan over travels and shifts; what kinds there were."""
    case, random, kinds = lattice_case(seed), Random(seed), Counter[str]()
    step_mm = float(LATTICE_MM[case.units])
    job = parse_job(case.text())
    inside_mm = some_standoff_mm(job, random, (0, 0, 4)[seed % 3])
    placement = place(job, asked_mm=round(inside_mm / step_mm) * step_mm)
    if placement.cut_mm % step_mm > 1e-6 and step_mm - placement.cut_mm % step_mm > 1e-6:
        return kinds
    for change in mode_changes(job, standoff_mm=placement.standoff_mm, cut_mm=placement.cut_mm):
        bears, travel_mm, first, last = allowed(placement, change, step_mm)
        stroke = bears[:, first] & bears[:, last]
        assert change.in_one_stroke == bool(stroke.any())
        if stroke.any():
            there_mm = travel_mm[stroke]
            assert (change.least_mm, change.greatest_mm) == pytest.approx((there_mm.min(), there_mm.max()), abs=1e-6)
        if change.stroke_mm != 0.0:
            assert change.turns == fewest_strokes(bears, first, last)
        kinds.update(["backwards" if change.stroke_mm < 0.0 else "forwards", f"{min(change.turns, 3)} turns"])
    return kinds


def test_the_change_of_mode_is_what_a_scan_finds() -> None:
    """One stroke where there is a place for the headstock, else the fewest turns; shifts in either direction."""
    kinds = sum((scanned(seed) for seed in range(240)), Counter())
    assert {"forwards", "backwards", "0 turns", "1 turns", "2 turns", "3 turns"} == set(kinds)


@pytest.mark.prove
def test_the_change_of_mode_is_what_a_scan_finds_for_many_more() -> None:
    """The same ten times over."""
    for seed in range(240, 2000):
        scanned(seed)
