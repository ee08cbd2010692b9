"""The aim of random jobs against a general solver: the most secure standoff, the preferred part first, then the rounding."""

from __future__ import annotations

import math
from fractions import Fraction
from functools import cache

import numpy as np
import pytest
from scipy.optimize import linprog
from scipy.sparse import coo_array

from standoff.job.file import parse_job
from standoff.job.placement import Placement, Verdict, bounds_of, place
from standoff.model.requirement import Side
from standoff.solve.window import Aim, Bound, aim
from tests.jobs import INCH_MM, Case, random_case
from tests.written import GUARD, Written, bounds, numbers, slack_u_mm

CASES = 600
PROVED = 6000
NEAR_MM = 1e-4
STEP_MM = {"in": INCH_MM / 16, "mm": Fraction(1)}
Fenced = tuple[list[Written], list[float], float]


def weights(u_mm: list[float]) -> list[float]:
    """How each slack counts: in its own standard uncertainties; all alike where none has any."""
    return u_mm if any(u > 0.0 for u in u_mm) else [1.0] * len(u_mm)


def edges(written: list[Written], u_mm: list[float], factor: float) -> tuple[float, float]:
    """Least and greatest standoff of a telescopic nose, drawn in by so many standard uncertainties."""
    pairs = list(zip(written, u_mm, strict=True))
    least = max(w.at + factor * u for w, u in pairs if w.at_least)
    return least, min(w.at - factor * u for w, u in pairs if not w.at_least)


def fenced(case: Case) -> tuple[Fenced, bool]:
    """The bounds the aim is sought within, their weights, the cut's limit; and whether that is the preferred part."""
    n, u_mm = numbers(case), slack_u_mm(case)
    written = bounds(case, n)
    if not case.telescopic:
        return (written, weights(u_mm), n["nose.may_be_cut"]), False
    least, greatest = edges(written, u_mm, GUARD)
    room = max(w.at for w in written if w.id == "nose-room")
    preferred = room + n["rules.nose_clearance_preferred"] - n["rules.nose_clearance"]
    if least > greatest or least > preferred:
        return (written, weights(u_mm), 0.0), False
    fence = [Written("fence", None, True, least), Written("fence", None, False, min(preferred, greatest))]
    return ([*written, *fence], [*weights(u_mm), 0.0, 0.0], 0.0), True


def most_secure(sets: list[Fenced]) -> list[float]:
    """The smallest standoff of each set at which the least weighed slack is greatest: two linear programmes for all."""
    rows, columns, values, right = [], [], [], []
    for i, (written, weight, _) in enumerate(sets):
        for w, u in zip(written, weight, strict=True):
            sign = -1.0 if w.at_least else 1.0
            rows += [len(right)] * 3
            columns += [3 * i, 3 * i + 1, 3 * i + 2]
            values += [sign, sign * w.cut, u]
            right.append(sign * w.at + 1e-9)  # a touching window misses by a hair in floating-point numbers
    matrix = coo_array((values, (rows, columns)), shape=(len(right), 3 * len(sets))).tocsr()

    def solve(standoff: float, share: float, least: np.ndarray | None) -> np.ndarray:
        ranges = [(None, None), (0.0, 0.0), (None, None)] * len(sets)
        ranges[1::3] = [(0.0, limit) for _, _, limit in sets]
        if least is not None:
            ranges[2::3] = [(t, None) for t in least]
        cost = [standoff, 0.0, share] * len(sets)
        found = linprog(cost, A_ub=matrix, b_ub=right, bounds=ranges, method="highs")
        assert found.status == 0, found.message
        return found.x.reshape(len(sets), 3)

    best = solve(0.0, -1.0, None)[:, 2]
    return list(solve(1.0, 0.0, best - 1e-7)[:, 0])


@cache
def placed(seed: int) -> tuple[Case, Placement]:
    """A random case and its placement."""
    case = random_case(seed, fine=True, spread=60.0)
    return case, place(parse_job(case.text()))


def own_aim(case: Case, placement: Placement) -> Aim:
    """The program's aim before it is rounded."""
    layout = placement.layout
    rows = tuple(row for row in layout.rows() if row.bounds_standoff)
    n = numbers(case)
    preferred = None
    if case.telescopic:
        room = max(w.at for w in bounds(case, n) if w.id == "nose-room")
        preferred = room + n["rules.nose_clearance_preferred"] - n["rules.nose_clearance"]
    found = aim(bounds_of(layout, rows), cut_limit_mm=layout.cut_limit_mm, preferred_mm=preferred)
    assert found is not None
    return found


def check_aims(seeds: range) -> list[bool]:
    """The aim of every case that has a window is the solver's; whether each was sought in the preferred part."""
    cases = [placed(seed) for seed in seeds]
    cases = [(case, placement) for case, placement in cases if not placement.window.empty]
    sets = [fenced(case) for case, _ in cases]
    best = most_secure([fence for fence, _ in sets])
    for (case, placement), (_, preferred), standoff_mm in zip(cases, sets, best, strict=True):
        found = own_aim(case, placement)
        assert found.preferred == preferred, case.text()
        assert found.standoff_mm == pytest.approx(standoff_mm, abs=NEAR_MM), case.text()
    return [preferred for _, preferred in sets]


def test_aim_is_the_most_secure_standoff() -> None:
    """Greatest least slack in its own uncertainty, the smaller standoff where several serve alike: as a solver finds it."""
    preferred = check_aims(range(CASES))
    assert min(sum(preferred), len(preferred) - sum(preferred)) > CASES / 20


def nearest_inside(standoff_mm: float, least_mm: float, greatest_mm: float, step: Fraction) -> list[float]:
    """The steps of the tape nearest to a standoff within an interval: none, one, or two that are equally near."""
    first = math.ceil((Fraction(least_mm) - Fraction(1, 10**6)) / step)
    last = math.floor((Fraction(greatest_mm) + Fraction(1, 10**6)) / step)
    if first > last:
        return []
    below = min(max(math.floor(Fraction(standoff_mm) / step), first), last)
    steps = [float(n * step) for n in {below, min(below + 1, last)}]
    least = min(abs(s - standoff_mm) for s in steps)
    return [s for s in steps if abs(s - standoff_mm) <= least + 1e-6]


def test_aim_is_rounded_inside_the_window() -> None:
    """The nearest step in the guarded window, else in the plain one, else no rounding and a remark that says so."""
    kinds = set()
    for seed in range(CASES):
        case, placement = placed(seed)
        if placement.window.empty:
            assert placement.aim_mm is None
            continue
        assert placement.aim_mm is not None
        best_mm, step = own_aim(case, placement).standoff_mm, STEP_MM[case.units]
        guarded, plain = placement.guarded, placement.window
        sure = [] if guarded.empty else nearest_inside(best_mm, guarded.least_mm, guarded.greatest_mm, step)
        allowed = sure or nearest_inside(best_mm, plain.least_mm, plain.greatest_mm, step)
        kinds.add("guarded" if sure else "plain" if allowed else "unrounded")
        if allowed:
            assert any(placement.aim_mm == pytest.approx(s, abs=1e-6) for s in allowed), case.text()
        else:
            assert placement.aim_mm == best_mm
        assert any("not rounded" in remark for remark in placement.remarks) == (not allowed)
    assert kinds == {"guarded", "plain", "unrounded"}


def test_every_row_holds_at_the_aim() -> None:
    """At the aim, with the cut that is stated, every bound is kept; in a job that fits, with its guard band."""
    cuts = 0
    for seed in range(CASES):
        case, placement = placed(seed)
        if placement.aim_mm is None:
            continue
        n, u_mm = numbers(case), slack_u_mm(case)
        assert 0.0 <= placement.cut_mm <= (0.0 if case.telescopic else n["nose.may_be_cut"])
        cuts += placement.cut_mm > 0.0
        for w, u in zip(bounds(case, n), u_mm, strict=True):
            slack_mm = w.slack(placement.aim_mm, placement.cut_mm)
            assert slack_mm >= -2e-6, (w.id, w.mode, case.text())
            if placement.verdict is Verdict.FITS and placement.guarded.holds(placement.aim_mm):
                assert slack_mm >= GUARD * u - 2e-6, (w.id, w.mode, case.text())
    assert cuts > 20


def test_remark_where_the_preferred_clearance_is_out_of_reach() -> None:
    """A telescopic nose that cannot be kept within its preferred clearance is said to have more."""
    for seed in range(CASES):
        case, placement = placed(seed)
        if placement.aim_mm is not None and case.telescopic:
            told = any("preferred" in remark for remark in placement.remarks)
            assert told == (not fenced(case)[1])


@pytest.mark.parametrize(
    ("side", "u_mm", "expected_mm"),
    [
        (Side.AT_LEAST, 2.0, 325.4),  # 3 u is less than an inch: an inch
        (Side.AT_LEAST, 20.0, 360.0),
        (Side.AT_MOST, 2.0, 274.6),
        (Side.AT_MOST, 20.0, 240.0),
    ],
)
def test_window_open_on_one_side(side: Side, u_mm: float, expected_mm: float) -> None:
    """Three uncertainties, at least an inch, inside the one bound there is."""
    found = aim([Bound(side, 300.0, u_mm)])
    assert found is not None
    assert found.standoff_mm == pytest.approx(expected_mm, abs=1e-9)


@pytest.mark.prove
def test_many_more_aims() -> None:
    """The same against the solver, over ten times as many jobs."""
    for first in range(CASES, CASES + PROVED, CASES):
        check_aims(range(first, first + CASES))
        placed.cache_clear()
