"""Mark-outs against independent solvers and simulation: points recovered, ellipses that cover, diagonals that hold.

The simulation draws reference points and tapes, and crosses the two circles exactly: it shares no formula with the mark-out.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import combinations

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.optimize import least_squares

from standoff.errors import UsageError
from standoff.reading import Reading
from standoff.site.baseline import Baseline, FloorPoint, Reference, baseline
from standoff.site.floor_axis import AxisMark, FloorAxis
from standoff.site.markout import Mark, mark, mark_out, taping_u_mm
from standoff.site.reference_pairs import judge_pairs

Array = NDArray[np.float64]
SAMPLES = 40_000


def layouts(seed: int, count: int) -> Iterator[tuple[Baseline, Mark]]:
    """Random reference points at the lathe and random points behind it that can be marked."""
    random_ = np.random.default_rng(seed)
    found = 0
    while found < count:
        a = Reference("A", *random_.uniform(-800.0, 800.0, 2), random_.uniform(0.0, 3.0))
        b = Reference("B", *random_.uniform(-1500.0, 1500.0, 2), random_.uniform(0.0, 3.0))
        base = baseline(a, b)
        try:
            made = mark(FloorPoint("p", random_.uniform(-6000.0, 500.0), random_.uniform(-1500.0, 1500.0)), base)
        except UsageError:
            continue
        found += 1
        yield base, made


def crossings(first: Array, second: Array, from_first: Array, from_second: Array, sign: int) -> Array:
    """Where circles round the first and second points cross, on one hand: one point a row; off it where they do not meet."""
    way = second - first
    length = np.hypot(way[:, 0], way[:, 1])
    way = way / length[:, None]
    along = (from_first**2 - from_second**2 + length**2) / (2.0 * length)
    off = sign * np.sqrt(from_first**2 - along**2)
    return first + along[:, None] * way + off[:, None] * np.stack([-way[:, 1], way[:, 0]], axis=1)


class Floor:
    """Drawn reference points, from which marks are laid off with drawn tapes."""

    def __init__(self, base: Baseline, seed: int, *, rectangular: bool = False) -> None:
        self.random = np.random.default_rng(seed)
        self.rectangular = rectangular
        errors = self.random.multivariate_normal(np.zeros(4), base.covariance_mm2, SAMPLES, method="eigh")
        self.first = np.array([base.first.x_mm, base.first.y_mm]) + errors[:, :2]
        self.second = np.array([base.second.x_mm, base.second.y_mm]) + errors[:, 2:]

    def tape(self, distance_mm: float) -> Array:
        """A distance laid off so often, each time with its own error."""
        width = math.sqrt(3.0)
        drawn = self.random.uniform(-width, width, SAMPLES) if self.rectangular else self.random.standard_normal(SAMPLES)
        return distance_mm + taping_u_mm(distance_mm) * drawn

    def laid_off(self, made: Mark) -> Array:
        """Where the mark came to lie."""
        return crossings(self.first, self.second, self.tape(made.from_first_mm), self.tape(made.from_second_mm), made.hand.sign)


def covered(made: Mark, points: Array) -> float:
    """How many of the points lie in the mark's ellipse, built from its half axes and direction."""
    turn = math.radians(made.ellipse.direction_deg)
    off = points - [made.point.x_mm, made.point.y_mm]
    along = off @ [math.cos(turn), math.sin(turn)] / made.ellipse.semi_major_mm
    across = off @ [-math.sin(turn), math.cos(turn)] / made.ellipse.semi_minor_mm
    return float(np.mean(along**2 + across**2 <= 1.0))


def test_points_are_recovered_by_an_independent_solver() -> None:
    """Least squares on the two distances alone, begun anywhere on the stated hand, ends at the point."""
    for base, made in layouts(1, 60):
        ends = np.array([[base.first.x_mm, base.first.y_mm], [base.second.x_mm, base.second.y_mm]])
        taped = np.array([made.from_first_mm, made.from_second_mm])
        way = (ends[1] - ends[0]) / base.length_mm
        start = ends.mean(axis=0) + made.hand.sign * 1000.0 * np.array([-way[1], way[0]])
        solved = least_squares(
            lambda p, ends=ends, taped=taped: np.hypot(*(p - ends).T) - taped, start, xtol=1e-15, ftol=1e-15, gtol=1e-15
        )
        assert solved.x == pytest.approx([made.point.x_mm, made.point.y_mm], abs=1e-4)


@pytest.mark.parametrize("rectangular", [False, True])
def test_ellipses_cover(rectangular: bool) -> None:
    """95 in 100 marks lie in their ellipse, with normal tapes; with rectangular ones not fewer."""
    for seed, (base, made) in enumerate(layouts(2, 25)):
        share = covered(made, Floor(base, seed, rectangular=rectangular).laid_off(made))
        assert share >= 0.945, made
        assert rectangular or share <= 0.955, made


def test_ellipses_cover_nearly_up_to_what_is_refused() -> None:
    """As near to the baseline as a mark is still made, 94 in 100 lie in their ellipse, and all tapes meet on the stated hand."""
    base = baseline(Reference("A", 0.0, 0.0, 1.0), Reference("B", 2000.0, 0.0, 1.0))
    for x_mm in (-3000.0, -200.0, 0.0, 1000.0):
        refused_mm, made_mm = 0.0, 3000.0
        while made_mm - refused_mm > 0.01:
            middle_mm = (refused_mm + made_mm) / 2.0
            try:
                made = mark(FloorPoint("p", x_mm, middle_mm), base)
                made_mm = middle_mm
            except UsageError:
                refused_mm = middle_mm
        made = mark(FloorPoint("p", x_mm, made_mm), base)
        points = Floor(base, 3).laid_off(made)
        assert not np.isnan(points).any()
        assert covered(made, points) >= 0.94


def test_diagonals_hold() -> None:
    """Both ends from the same drawn reference points, taped again: within the limits 95 times in 100, the same u."""
    for seed in range(6):
        random_ = np.random.default_rng(seed)
        base = baseline(
            Reference("A", 0.0, random_.uniform(400.0, 900.0), random_.uniform(0.0, 4.0)),
            Reference("B", 0.0, random_.uniform(-900.0, -400.0), random_.uniform(0.0, 4.0)),
        )
        feet = [
            FloorPoint(f"foot {n}", x, y) for n, (x, y) in enumerate([(-700, 300), (-700, -300), (-3500, 300), (-3500, -300)])
        ]
        made, floor = mark_out(feet, base), Floor(base, seed)
        laid = {m.point.name: floor.laid_off(m) for m in made.marks}
        for diagonal in made.diagonals:
            apart = np.hypot(*(laid[diagonal.end] - laid[diagonal.start]).T)
            taped = apart + floor.tape(diagonal.distance_mm) - diagonal.distance_mm
            assert float(np.std(taped)) == pytest.approx(diagonal.u_mm, rel=0.02)
            held = np.mean(np.abs(taped - diagonal.distance_mm) <= diagonal.limit_mm)
            assert 0.94 <= held <= 0.96


def test_a_taped_baseline_is_least_squares() -> None:
    """Points and tape thrown into a general solver: the same places, and the covariance of its normal equations."""
    random_ = np.random.default_rng(9)
    for _ in range(20):
        a = Reference("A", *random_.uniform(-500.0, 500.0, 2), random_.uniform(0.5, 3.0))
        b = Reference("B", *random_.uniform(1000.0, 2000.0, 2), random_.uniform(0.5, 3.0))
        u_mm = random_.uniform(0.3, 2.0)
        length_mm = math.dist((a.x_mm, a.y_mm), (b.x_mm, b.y_mm)) + random_.normal(0.0, u_mm)
        found = baseline(a, b, taped=Reading(value_mm=length_mm, u_mm=u_mm, source="tape", source_stated=True))
        read = np.array([a.x_mm, a.y_mm, b.x_mm, b.y_mm])
        spread = np.array([a.u_mm, a.u_mm, b.u_mm, b.u_mm])

        def residuals(
            p: Array, read: Array = read, spread: Array = spread, tape: tuple[float, float] = (length_mm, u_mm)
        ) -> Array:
            return np.append((p - read) / spread, (np.hypot(p[2] - p[0], p[3] - p[1]) - tape[0]) / tape[1])

        solved = least_squares(residuals, read, xtol=1e-15, ftol=1e-15, gtol=1e-15)
        places = [found.first.x_mm, found.first.y_mm, found.second.x_mm, found.second.y_mm]
        assert places == pytest.approx(solved.x, abs=1e-4)
        assert found.covariance_mm2 == pytest.approx(np.linalg.inv(solved.jac.T @ solved.jac), abs=1e-2)


def test_the_best_pair_is_that_of_an_exhaustive_search() -> None:
    """Every pair by simulated marks instead of formulas: the pair named first has the least worst spread, to 3 in 100."""
    random_ = np.random.default_rng(12)
    feet = [FloorPoint("foot 1", -800.0, 300.0), FloorPoint("foot 2", -3500.0, -300.0)]
    for _ in range(4):
        references = [
            Reference(name, *random_.uniform([-600.0, -900.0], [1500.0, 900.0]), random_.uniform(0.0, 3.0)) for name in "ABCD"
        ]
        worst: dict[tuple[str, str], float] = {}
        for seed, (one, other) in enumerate(combinations(references, 2)):
            base = baseline(one, other)
            try:
                made = [mark(foot, base) for foot in feet]
            except UsageError:
                continue
            floor = Floor(base, seed)
            worst[one.name, other.name] = max(np.linalg.eigvalsh(np.cov(floor.laid_off(m).T))[1] ** 0.5 for m in made)
        assert len(worst) >= 2
        best = judge_pairs(references, feet)[0]
        assert worst[best.first, best.second] <= min(worst.values()) * 1.03


def test_the_far_end_of_the_axis_is_as_unsure_as_stated() -> None:
    """Marks drawn sideways, a straight line through each two: its spread at the far end is the one stated."""
    random_ = np.random.default_rng(11)
    for _ in range(10):
        front_mm, rear_mm, far_mm = sorted(random_.uniform(-6000.0, 500.0, 3))[::-1]
        axis = FloorAxis(
            AxisMark("front", front_mm, random_.uniform(0.2, 2.0)), AxisMark("rear", rear_mm, random_.uniform(0.2, 2.0))
        )
        at_front = random_.normal(0.0, axis.front.sideways_u_mm, SAMPLES)
        at_rear = random_.normal(0.0, axis.rear.sideways_u_mm, SAMPLES)
        there = at_front + (at_rear - at_front) / (rear_mm - front_mm) * (far_mm - front_mm)
        assert float(np.std(there)) == pytest.approx(axis.far_end(far_mm).sideways_u_mm, rel=0.02)


@pytest.mark.parametrize("seed", range(6))
def test_where_a_point_is_wanted_may_be_in_doubt(seed: int) -> None:
    """Laid off from drawn points with drawn tapes, and wanted at a drawn place: apart by no more than the ellipse 95 in 100."""
    random_ = np.random.default_rng(700 + seed)
    for base, bare in layouts(seed, 3):
        u_x, u_y = random_.uniform(0.0, 12.0, 2)
        point = FloorPoint("p", bare.point.x_mm, bare.point.y_mm, u_x, u_y)
        made, floor = mark(point, base), Floor(base, seed)
        wanted = floor.random.standard_normal((SAMPLES, 2)) * [u_x, u_y]
        assert covered(made, floor.laid_off(made) - wanted) == pytest.approx(0.95, abs=0.01)
        assert made.ellipse.semi_major_mm > bare.ellipse.semi_major_mm


def test_doubt_of_where_points_are_wanted_is_no_doubt_of_diagonals() -> None:
    """The diagonals check how the marks were laid off, and nothing else."""
    base = baseline(Reference("A", 0.0, 800.0, 1.0), Reference("B", 0.0, -800.0, 1.0))
    sure = [FloorPoint("a", -900.0, 300.0), FloorPoint("b", -4000.0, -400.0)]
    unsure = [FloorPoint(point.name, point.x_mm, point.y_mm, 6.0, 6.0) for point in sure]
    assert mark_out(sure, base).diagonals == mark_out(unsure, base).diagonals
    assert mark_out(unsure, base).worst.ellipse.semi_major_mm > mark_out(sure, base).worst.ellipse.semi_major_mm
