"""The window of random jobs against two strangers: a scan over a lattice, and a general linear-programme solver.

Both start from the bounds as the contract writes them out, on plain numbers, with the standoff and the ONE cut of a fixed
nose as unknowns. The program starts from the text of a job file.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np
import pytest
from scipy.optimize import linprog
from scipy.sparse import coo_array

from standoff.job.file import parse_job
from standoff.job.placement import bounds_of
from standoff.solve.window import GUARD_FACTOR, Bound, Window, window
from tests.jobs import LATTICE_MM, Case, random_case
from tests.written import GUARD, Written, bounds, numbers, slack_u_mm

CASES = 2000
PROVED = 20_000
SCANNED_MM = 220.0
TOLERANCE_MM = 2e-6  # the solver keeps its constraints to 1e-7; the sums of either side have 1e-12


@dataclass(frozen=True)
class Solved:
    """A case as the program solves it, beside its bounds as they are written out."""

    case: Case
    names: tuple[tuple[str, str | None], ...]
    own: tuple[Bound, ...]
    plain: Window
    guarded: Window
    written: tuple[Written, ...]
    u_mm: tuple[float, ...]

    @property
    def cut_limit_mm(self) -> float:
        """The greatest cut."""
        return 0.0 if self.case.telescopic else numbers(self.case)["nose.may_be_cut"]

    def drawn_in(self, factor: float) -> list[Written]:
        """The written bounds moved inwards by so many standard uncertainties."""
        moved = ((w, factor * u if w.at_least else -factor * u) for w, u in zip(self.written, self.u_mm, strict=True))
        return [Written(w.id, w.mode, w.at_least, w.at + by, w.cut) for w, by in moved]


@cache
def solved(seed: int, fine: bool) -> Solved:
    """The case of a seed, read from its text and solved."""
    case = random_case(seed, fine=fine)
    layout = parse_job(case.text()).layout
    rows = tuple(row for row in layout.rows() if row.bounds_standoff)
    own = bounds_of(layout, rows)
    return Solved(
        case=case,
        names=tuple((row.id, row.mode) for row in rows),
        own=tuple(own),
        plain=window(own, cut_limit_mm=layout.cut_limit_mm),
        guarded=window(own, cut_limit_mm=layout.cut_limit_mm, factor=GUARD_FACTOR),
        written=tuple(bounds(case, numbers(case))),
        u_mm=tuple(slack_u_mm(case)),
    )


def many(first: int, count: int, *, fine: bool) -> list[Solved]:
    """So many cases from a seed on."""
    return [solved(seed, fine) for seed in range(first, first + count)]


class Programme:
    """All cases as one linear programme: a standoff, a cut and a violation each, which no constraint ties together."""

    def __init__(self, sets: Sequence[Sequence[Written]], limits_mm: Sequence[float]) -> None:
        self.count = len(sets)
        rows: list[int] = []
        columns: list[int] = []
        values: list[float] = []
        right: list[float] = []
        for i, written in enumerate(sets):
            for w in written:
                sign = -1.0 if w.at_least else 1.0
                rows += [len(right)] * 3
                columns += [3 * i, 3 * i + 1, 3 * i + 2]
                values += [sign, sign * w.cut, -1.0]
                right.append(sign * w.at)
        self.matrix = coo_array((values, (rows, columns)), shape=(len(right), 3 * self.count)).tocsr()
        self.right = right
        self.limits_mm = limits_mm

    def solve(self, *, standoff: float, violation: float, most_violated: Sequence[float]) -> np.ndarray:
        """Standoff, cut and violation of each case [mm] that make this sum least; shape (cases, 3)."""
        between = [(None, None), (0.0, 0.0), (0.0, None)] * self.count
        between[1::3] = [(0.0, limit) for limit in self.limits_mm]
        between[2::3] = [(0.0, most) for most in most_violated]
        cost = [standoff, 0.0, violation] * self.count
        found = linprog(cost, A_ub=self.matrix, b_ub=self.right, bounds=between, method="highs")
        assert found.status == 0, found.message
        return found.x.reshape(self.count, 3)


def check_against_programme(cases: Sequence[Solved], windows: Sequence[Window], factor: float) -> tuple[int, int]:
    """Least and greatest standoff of each case, or what is missing, are the solver's; returns how many are open, empty."""
    sets, limits = [s.drawn_in(factor) for s in cases], [s.cut_limit_mm for s in cases]
    elastic = Programme(sets, limits).solve(standoff=0.0, violation=1.0, most_violated=[np.inf] * len(cases))[:, 2]
    empty = elastic > TOLERANCE_MM
    for s, w, violation in zip(cases, windows, elastic, strict=True):
        assert w.empty == (violation > TOLERANCE_MM), s.case.text()
        if w.empty:
            assert w.least_mm - w.greatest_mm == pytest.approx(2.0 * violation, abs=TOLERANCE_MM), s.case.text()
    holding = [i for i in range(len(cases)) if not empty[i]]
    programme = Programme([sets[i] for i in holding], [limits[i] for i in holding])
    none = [TOLERANCE_MM] * len(holding)  # a touching window: sums of floating-point numbers miss by a hair
    least = programme.solve(standoff=1.0, violation=0.0, most_violated=none)[:, 0]
    greatest = programme.solve(standoff=-1.0, violation=0.0, most_violated=none)[:, 0]
    for place, i in enumerate(holding):
        assert windows[i].least_mm == pytest.approx(least[place], abs=3 * TOLERANCE_MM), cases[i].case.text()
        assert windows[i].greatest_mm == pytest.approx(greatest[place], abs=3 * TOLERANCE_MM), cases[i].case.text()
    return len(holding), int(empty.sum())


def check_against_scan(s: Solved) -> bool:
    """Every lattice standoff for which some lattice cut serves: the window's edges, or none; whether there was one."""
    step_mm = float(LATTICE_MM[s.case.units])
    at = [(w, round(w.at / step_mm)) for w in s.written]
    assert all(abs(w.at - n * step_mm) < 1e-9 for w, n in at)
    lowest = min(n for w, n in at if not w.at_least) - round(SCANNED_MM / step_mm)
    standoffs = np.arange(lowest, lowest + round(2 * SCANNED_MM / step_mm))[:, None]
    cuts = np.arange(round(s.cut_limit_mm / step_mm) + 1)[None, :]
    holds = np.ones((standoffs.size, cuts.size), dtype=bool)
    for w, n in at:
        edge = n - w.cut * cuts
        holds &= standoffs >= edge if w.at_least else standoffs <= edge
    serving = standoffs[holds.any(axis=1), 0] * step_mm
    assert s.plain.empty == (serving.size == 0), s.case.text()
    if serving.size:
        assert serving[0] > standoffs[0, 0] * step_mm  # the scan began outside the window
        assert s.plain.least_mm == pytest.approx(serving[0], abs=1e-9), s.case.text()
        assert s.plain.greatest_mm == pytest.approx(serving[-1], abs=1e-9), s.case.text()
        assert np.all(np.diff(serving) < 1.5 * step_mm)  # no hole in it
    return bool(serving.size)


def test_rows_and_bounds_are_those_written_out() -> None:
    """Every row in its order, with the bound, the side and the uncertainty that the contract's formulas give."""
    for s in many(0, CASES, fine=True):
        assert s.names == tuple((w.id, w.mode) for w in s.written)
        for own, w, u_mm in zip(s.own, s.written, s.u_mm, strict=True):
            assert own.at_mm == pytest.approx(w.at, abs=1e-9), (w, s.case.text())
            assert own.u_mm == pytest.approx(u_mm, abs=1e-9), (w, s.case.text())
            assert (own.side.value == "at-least", own.shares_cut) == (w.at_least, w.cut == 1)


def test_window_is_the_scans() -> None:
    """On a lattice the window's edges are the first and the last standoff that a scan finds to serve."""
    found = [check_against_scan(s) for s in many(0, CASES, fine=False)]
    assert CASES / 5 < sum(found) < CASES * 4 / 5  # both kinds are there in numbers


def test_touching_window_is_not_empty() -> None:
    """A window of a single standoff, exact in the text, is found however its sums are rounded."""
    single = [s for s in many(0, CASES, fine=False) if abs(s.plain.least_mm - s.plain.greatest_mm) < 1e-9]
    assert len(single) >= 5
    assert not any(s.plain.empty for s in single)


def test_window_is_the_linear_programmes() -> None:
    """Least, greatest or what is missing, plain and drawn in by the guard band, are those of a general solver."""
    assert GUARD == GUARD_FACTOR
    cases = many(0, CASES, fine=True)
    for factor, windows in ((0.0, [s.plain for s in cases]), (GUARD, [s.guarded for s in cases])):
        holding, empty = check_against_programme(cases, windows, factor)
        assert min(holding, empty) > CASES / 10


def test_empty_window_keeps_a_cut_that_comes_closest() -> None:
    """The cut named for an empty window is allowed, and at it the edges miss each other by no more than they must."""
    cases = [s for s in many(0, CASES, fine=True) if s.plain.empty and s.cut_limit_mm > 0.0]
    assert len(cases) > 50
    for s in cases:
        cut_mm = s.plain.cut_mm
        assert cut_mm is not None
        assert 0.0 <= cut_mm <= s.cut_limit_mm
        least = max(w.at - w.cut * cut_mm for w in s.written if w.at_least)
        greatest = min(w.at - w.cut * cut_mm for w in s.written if not w.at_least)
        assert least - greatest == pytest.approx(s.plain.least_mm - s.plain.greatest_mm, abs=1e-9)


def test_binding_rows_are_those_at_the_edges() -> None:
    """Every row that touches an edge is named, with whatever ties; no other row is."""
    for s in many(0, CASES, fine=False):
        for side, edge_mm, touching in (
            (True, s.plain.least_mm, s.plain.at_least),
            (False, s.plain.greatest_mm, s.plain.at_most),
        ):
            best_cut = s.cut_limit_mm if side else 0.0
            cut_mm = best_cut if s.plain.cut_mm is None else s.plain.cut_mm
            at = [(w.at - w.cut * cut_mm) if w.at_least is side else None for w in s.written]
            assert touching == tuple(i for i, x in enumerate(at) if x is not None and abs(x - edge_mm) <= 1e-6)


@pytest.mark.prove
def test_many_more_windows() -> None:
    """The same scan and the same programme over ten times as many jobs."""
    for first in range(CASES, CASES + PROVED, CASES):
        for s in many(first, CASES, fine=False):
            check_against_scan(s)
        cases = many(first, CASES, fine=True)
        check_against_programme(cases, [s.plain for s in cases], 0.0)
        check_against_programme(cases, [s.guarded for s in cases], GUARD)
        solved.cache_clear()
