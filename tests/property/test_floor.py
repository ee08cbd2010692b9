"""The floor against independent ways: gaps against an optimiser, the stroke against many shifts, feet against programmes."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import pytest
import shapely
from numpy.typing import NDArray
from scipy.optimize import linprog, minimize

from standoff.job.floor_drawn import BuildingLine
from standoff.job.floor_plan import FloorPlan
from standoff.site.feet import GRAVITY_M_S2, FootLoads, Mass, Pad, foot_loads
from standoff.site.floor import SHIFTED, STANDS, Body, Need, Owner, Pair, check_pairs
from standoff.site.footprint import Footprint, apart, box, quarter, reach_mm
from tests.floors import FLOORED, plan_of

Array = NDArray[np.float64]


def boxes(random_: np.random.Generator) -> Footprint:
    """A box somewhere on a small floor, or the swing of a door."""
    x, y, length, width = *random_.uniform(-1500.0, 1500.0, 2), *random_.uniform(50.0, 1500.0, 2)
    if random_.random() < 0.3:
        closed = float(random_.choice([0.0, 90.0, 180.0, 270.0]))
        return quarter((x, y), radius_mm=width, closed_deg=closed, open_deg=closed + 90.0)
    return box(least_x_mm=x, greatest_x_mm=x + length, least_y_mm=y, greatest_y_mm=y + width)


def half_planes(footprint: Footprint) -> tuple[Array, Array]:
    """A convex outline as a x <= b."""
    corners = np.array(footprint.corners_mm)
    centre = corners.mean(axis=0)
    rows, limits = [], []
    for a, b in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        normal = np.array([b[1] - a[1], a[0] - b[0]]) / np.hypot(*(b - a))
        normal = normal if normal @ (centre - a) < 0.0 else -normal
        rows.append(normal)
        limits.append(normal @ a)
    return np.array(rows), np.array(limits)


@pytest.mark.parametrize("seed", range(60))
def test_a_gap_is_the_least_distance_of_two_places(seed: int) -> None:
    """A general optimiser over one place in each outline finds the same gap; where it is 0 the outlines do overlap."""
    random_ = np.random.default_rng(seed)
    one, other = boxes(random_), boxes(random_)
    (a, b), (c, d) = half_planes(one), half_planes(other)
    start = np.array([*one.centre_mm, *other.centre_mm])
    limits = [
        {"type": "ineq", "fun": lambda p: b - a @ p[:2]},
        {"type": "ineq", "fun": lambda p: d - c @ p[2:]},
    ]
    best = minimize(lambda p: ((p[:2] - p[2:]) ** 2).sum() / 1e4, start, constraints=limits, method="SLSQP", tol=1e-12)
    found = apart(one, other)
    assert max(found.gap_mm, 0.0) == pytest.approx(math.sqrt(best.fun * 1e4), abs=0.5)
    assert math.dist(found.start_mm, found.end_mm) == pytest.approx(max(found.gap_mm, 0.0), abs=1e-6)


@pytest.mark.parametrize("seed", range(60))
def test_moved_by_its_depth_a_clash_is_just_gone(seed: int) -> None:
    """Outlines that overlap are apart after a move of that length in some direction, and by no shorter move in any."""
    random_ = np.random.default_rng(1000 + seed)
    one, other = boxes(random_), boxes(random_)
    depth_mm = -apart(one, other).gap_mm
    if depth_mm <= 0.0:
        return
    turns = np.linspace(0.0, 2.0 * math.pi, 1441)

    def overlaps(by_mm: float) -> list[bool]:
        moved = [shapely.affinity.translate(one.shape, by_mm * math.cos(t), by_mm * math.sin(t)) for t in turns]
        return [shape.intersection(other.shape).area > 1e-6 for shape in moved]

    assert not all(overlaps(depth_mm * 1.001 + 0.5))
    assert all(overlaps(depth_mm * 0.99))


@pytest.mark.parametrize("seed", range(40))
def test_the_stroke_is_the_worst_of_every_shift_in_it(seed: int) -> None:
    """The swept outline comes as near as the nearest of 200 single shifts, and never farther; standing is one of them."""
    random_ = np.random.default_rng(seed)
    own, other = boxes(random_), boxes(random_)
    shifts = sorted(random_.uniform(-300.0, 800.0, 2))
    bodies = [
        Body(f"b{i}", f"b{i}", "other", owner, footprint, 0.0, math.inf, height_stated=False)
        for i, (owner, footprint) in enumerate(((Owner.LOADER, own), (Owner.LATHE, other)))
    ]
    pair = Pair(bodies[0], bodies[1], Need(0.0, "", ""))
    rows = {row.state: row for row in check_pairs([pair], shifts_mm=shifts)}
    least, greatest = min(0.0, *shifts), max(0.0, *shifts)
    each = [max(apart(own.moved(by_x_mm=by), other).gap_mm, 0.0) for by in np.linspace(least, greatest, 200)]
    assert max(rows[SHIFTED].found_mm, 0.0) == pytest.approx(min(each), abs=(greatest - least) / 199)
    assert rows[SHIFTED].found_mm <= rows[STANDS].found_mm + 1e-9


@pytest.mark.parametrize("seed", range(40))
def test_where_the_origin_lies_changes_nothing(seed: int) -> None:
    """Both outlines moved alike, or exchanged left for right: the same gap, the same free depth."""
    random_ = np.random.default_rng(seed)
    one, other = boxes(random_), boxes(random_)
    by_x, by_y = random_.uniform(-5e4, 5e4, 2)

    def moved(footprint: Footprint, sign: float) -> Footprint:
        return Footprint(tuple((x + by_x, sign * y + by_y) for x, y in footprint.corners_mm), footprint.closed)

    start = one.corners_mm[:2]
    for sign in (1.0, -1.0):
        assert apart(moved(one, sign), moved(other, sign)).gap_mm == pytest.approx(apart(one, other).gap_mm, abs=1e-6)
        free = reach_mm(moved(one, sign), moved(other, sign), moved(Footprint(start, closed=False), sign).corners_mm)
        assert free == pytest.approx(reach_mm(one, other, start), abs=1e-6)


def frames(seed: int) -> tuple[tuple[Pad, ...], tuple[Mass, ...], FootLoads]:
    """A loader on three to six feet somewhere, with masses inside them as a rule."""
    random_ = np.random.default_rng(seed)
    count = int(random_.integers(3, 7))
    pads = tuple(Pad(f"f{i}", *random_.uniform(-2000.0, 2000.0, 2)) for i in range(count))
    weights = random_.dirichlet(np.ones(count))
    x = sum(w * pad.x_mm for w, pad in zip(weights, pads, strict=True))
    y = sum(w * pad.y_mm for w, pad in zip(weights, pads, strict=True))
    masses = (Mass("m", float(random_.uniform(100.0, 3000.0)), x, y),)
    return pads, masses, foot_loads(pads, masses)


def balance(pads: tuple[Pad, ...], mass: Mass) -> tuple[Array, Array]:
    """Force and moments in balance: rows times loads equal the right hand."""
    rows = np.array([[1.0, pad.x_mm / 1000.0, pad.y_mm / 1000.0] for pad in pads]).T
    weight_n = mass.mass_kg * GRAVITY_M_S2
    return rows, weight_n * np.array([1.0, mass.x_mm / 1000.0, mass.y_mm / 1000.0])


@pytest.mark.parametrize("seed", range(60))
def test_the_worst_foot_is_that_of_a_linear_programme(seed: int) -> None:
    """Over every set of loads that only push and balance, no foot can bear more; and it can bear that much."""
    pads, (mass,), found = frames(seed)
    rows, wanted = balance(pads, mass)
    for i, foot in enumerate(found.feet):
        cost = np.zeros(len(pads))
        cost[i] = -1.0
        best = linprog(cost, A_eq=rows, b_eq=wanted, bounds=[(0.0, None)] * len(pads))
        assert foot.worst_n == pytest.approx(-best.fun, rel=1e-6, abs=1e-6)


@pytest.mark.parametrize("seed", range(60))
def test_equal_springs_store_the_least_energy(seed: int) -> None:
    """Shared evenly means the least sum of squares among all balanced loads that only push: a quadratic programme agrees."""
    pads, (mass,), found = frames(seed)
    rows, wanted = balance(pads, mass)
    loads = np.array([foot.even_n for foot in found.feet])
    weight_n = mass.mass_kg * GRAVITY_M_S2
    assert rows @ loads == pytest.approx(wanted, abs=1e-6 * weight_n)
    assert loads.min() >= 0.0
    best = minimize(
        lambda p: 0.5 * (p**2).sum(),
        np.full(len(pads), 1.0 / len(pads)),
        jac=lambda p: p,
        bounds=[(0.0, None)] * len(pads),
        constraints={"type": "eq", "fun": lambda p: rows @ p - wanted / weight_n, "jac": lambda _: rows},
        method="SLSQP",
        options={"ftol": 1e-14, "maxiter": 500},
    )
    assert loads / weight_n == pytest.approx(best.x, abs=2e-4)
    assert all(foot.even_n <= foot.worst_n + 1e-6 * weight_n for foot in found.feet)


@pytest.mark.parametrize("seed", range(40))
def test_the_way_to_tipping_is_that_to_the_outline(seed: int) -> None:
    """From the centre of gravity to the edge of the hull of the feet, as a geometry library measures it; outside: negative."""
    random_ = np.random.default_rng(seed)
    pads = tuple(Pad(f"f{i}", *random_.uniform(-2000.0, 2000.0, 2)) for i in range(5))
    x, y = (float(v) for v in random_.uniform(-2500.0, 2500.0, 2))
    found = foot_loads(pads, [Mass("m", 500.0, x, y)])
    hull = shapely.convex_hull(shapely.multipoints([(pad.x_mm, pad.y_mm) for pad in pads]))
    point = shapely.Point(x, y)
    if hull.contains(point):
        assert found.tipping_mm == pytest.approx(hull.exterior.distance(point), abs=1e-6)
    else:
        assert found.tipping_mm < 0.0
        # To the line through an edge it can be nearer than to the edge itself.
        assert -found.tipping_mm <= hull.distance(point) + 1e-6


@pytest.mark.parametrize("seed", range(8))
def test_of_many_lines_the_worst_is_that_of_each_alone(seed: int) -> None:
    """Thirty drawn lines on one layer: for each thing, space and state the least room of thirty plans with one line each."""
    random_ = np.random.default_rng(seed)
    lines = []
    for _ in range(30):
        x, y = random_.uniform(-7000.0, 1500.0), random_.choice((-1.0, 1.0)) * random_.uniform(450.0, 3000.0)
        turns = [(x, y), *((x + dx, y + dy) for dx, dy in random_.uniform(-900.0, 900.0, (2, 2)))]
        lines.append(BuildingLine("WALLS", tuple((float(a), float(b)) for a, b in turns)))

    def worst(plans: Sequence[FloorPlan]) -> dict[tuple[str, str], float]:
        found: dict[tuple[str, str], float] = {}
        for row in (row for plan in plans for row in plan.rows if row.between[1].startswith("plan-")):
            key = (row.what, row.state)
            found[key] = min(row.slack_mm, found.get(key, math.inf))
        return found

    together, alone = worst([plan_of(FLOORED, lines=lines)]), worst([plan_of(FLOORED, lines=[line]) for line in lines])
    assert set(together) == set(alone)
    for key, slack_mm in alone.items():
        assert together[key] == pytest.approx(slack_mm, abs=1e-6), key
