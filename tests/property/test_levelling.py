"""Levelling against a loader that is turned and moved as a body in space: what is promised of a residual has to come true.

The simulated loader knows nothing of small angles or of the program's unknowns: it is a rotation and a place. Instruments read
it with errors of their own and errors in common, the plan's moves are made at its feet and side screws with setting errors, and
where its axis then lies is compared with what was expected.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass, replace

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.spatial.transform import Rotation
from scipy.stats import chi2

from standoff.site import level
from standoff.site.axis import LIFT, PITCH, ROLL, SHIFT, UPRIGHT, YAW, Point, Pose, Station
from standoff.site.dial import Bracket, FaceSweep, Sweep
from standoff.site.fit import Observation
from standoff.site.frame import Foot, Frame, Screw
from standoff.site.levelling import Means, Plan, align, plan
from standoff.site.line import ReferenceLine
from standoff.site.shims import choose_shims
from standoff.site.tolerance import Tolerances
from standoff.site.wire import Wire

Array = NDArray[np.float64]
DAILY, PROVED = 1000, 10_000
TWO_SIDED = 1.959963984540054
POINTS = (Point("spindle face", 0.0, at_spindle=True), Point("clamp", -400.0), Point("rear end", -4500.0))


@dataclass(frozen=True)
class Body:
    """A loader in space: the rotation of its own axes, and the place of its own origin; its axis is its own x."""

    turn: Array
    place_mm: Array

    @classmethod
    def drawn(cls, random: np.random.Generator) -> Body:
        """A loader roughly in place, as a rigger leaves it."""
        angles = random.uniform(-1.5e-3, 1.5e-3, 3)
        turn = Rotation.from_euler("zyx", angles).as_matrix()
        return cls(turn, np.array([0.0, *random.uniform(-4.0, 4.0, 2)]))

    def at(self, own_mm: Array) -> Array:
        """Where a point of the loader is in space."""
        return self.place_mm + own_mm @ self.turn.T

    def axis(self, x_mm: float, left_mm: float = 0.0, above_mm: float = 0.0) -> Array:
        """How far left and how high a line parallel to the axis passes through the plane at x."""
        first, second = self.at(np.array([[-5000.0, left_mm, above_mm], [0.0, left_mm, above_mm]]))
        share = (x_mm - first[0]) / (second[0] - first[0])
        passed: Array = (first + share * (second - first))[1:] - [left_mm, above_mm]
        return passed

    def fitted(self, own_mm: Array, target_mm: Array) -> Body:
        """The loader put where points of it come as near as they can to targets (rigid, least squares)."""
        here, there = own_mm.mean(axis=0), target_mm.mean(axis=0)
        turn, _ = Rotation.align_vectors(target_mm - there, own_mm - here)
        matrix = turn.as_matrix()
        return Body(matrix, there - matrix @ here)

    def swung(self, angle_rad: float, left_mm: float) -> Body:
        """The loader slid on its feet: swung about the upright through the origin, then pushed to the left."""
        swing = Rotation.from_euler("z", angle_rad).as_matrix()
        return Body(swing @ self.turn, swing @ self.place_mm + [0.0, left_mm, 0.0])

    def travelled(self, along_mm: float, *, drift: Array) -> Body:
        """The loader shifted along its own rails, which lead this far left and up of its axis per length."""
        return replace(self, place_mm=self.place_mm + along_mm * self.turn @ np.array([1.0, *drift]))

    def roll_mm_per_m(self) -> float:
        """What a level laid across shows."""
        return 1000.0 * math.asin(float(self.turn[2, 1]))


def random_frame(random: np.random.Generator, *, feet: int | None = None) -> Frame:
    """Three to eight feet on both sides of the axis (or as many as asked), and two or three places with side screws."""
    count = int(random.integers(3, 9)) if feet is None else feet
    sides = np.array([1.0, -1.0] * 4)[:count]
    along = np.sort(random.uniform(-4500.0, -900.0, count))
    along[0], along[-1] = -4500.0, -900.0
    stands = tuple(
        Foot(f"foot {i}", float(x), float(side * random.uniform(200.0, 450.0)), 40.0, 40.0)
        for i, (x, side) in enumerate(zip(along, sides, strict=True))
    )
    screws = tuple(Screw(f"screw {i}", x, 40.0, 40.0) for i, x in enumerate([-4300.0, -1000.0, -2500.0][: random.integers(2, 4)]))
    return Frame(stands, float(random.uniform(850.0, 1200.0)), screws)


@dataclass(frozen=True)
class Lathe:
    """How the headstock's slide leads left and up per length, and half its travel; the same of the loader's own rails."""

    slide: Array
    rails: Array
    half_mm: float
    half_shift_mm: float

    @classmethod
    def drawn(cls, random: np.random.Generator) -> Lathe:
        """A sliding headstock or a fixed one, a loader that shifts or does not."""
        slides, shifts = random.integers(0, 2, 2)
        return cls(random.normal(0.0, 5e-5, 2), random.normal(0.0, 5e-4, 2), 100.0 * slides, 80.0 * shifts)

    def seen(self, body: Body, station: Station) -> Array:
        """How far left and how high the loader is at a station, seen from the spindle where it then stands."""
        there = body.travelled(station.loader_mm, drift=self.rails)
        return there.axis(station.x_mm, station.left_mm, station.above_mm) - station.headstock_mm * self.slide


def readings(random: np.random.Generator, body: Body, lathe: Lathe) -> list[Observation]:
    """What instruments chosen at random read of this loader, with their errors."""
    taken = [*sweeps(random, body, lathe), *wired(random, body, lathe)]
    u_level = float(random.uniform(0.02, 0.1))
    taken.append(level.across("across", slope_mm_per_m=body.roll_mm_per_m() + random.normal(0.0, u_level), u_mm_per_m=u_level))
    if random.random() < 0.5:
        taken.extend(faced(random, body))
    if random.random() < 0.5:
        spindle, zero = random.normal(0.0, 0.5, 2)
        rise = 1000.0 * math.atan2(*(body.turn[2, 0], body.turn[0, 0])) + spindle
        shown = [value + zero + random.normal(0.0, u_level) for value in (rise, spindle)]
        taken.append(level.along("along", loader_mm_per_m=shown[0], spindle_mm_per_m=shown[1], u_mm_per_m=u_level))
    return taken


def faced(random: np.random.Generator, body: Body) -> tuple[Observation, Observation]:
    """The spindle's indicator over a face square to the loader's axis: readings are how far forward the face stands there."""
    circle_mm, u_mm = float(random.uniform(100.0, 400.0)), 0.01
    normal, centre = body.turn[:, 0], body.at(np.array([-500.0, 0.0, 0.0]))
    places = np.array([[0.0, 1.0], [1.0, 0.0], [0.0, -1.0], [-1.0, 0.0]]) * circle_mm / 2.0
    top, left, bottom, right = -((places - centre[1:]) @ normal[1:]) / normal[0] + random.normal(0.0, u_mm, 4)
    return FaceSweep(
        name="face", circle_mm=circle_mm, top_mm=top, left_mm=left, bottom_mm=bottom, right_mm=right, u_mm=u_mm
    ).observations()


def stations(random: np.random.Generator, lathe: Lathe, count: int) -> list[Station]:
    """Places along the loader; each at both limits of headstock and shift, which leave no unknown open."""
    ends = sorted({(z, s) for z in (-lathe.half_mm, lathe.half_mm) for s in (-lathe.half_shift_mm, lathe.half_shift_mm)})
    places = np.linspace(-600.0, -4200.0, count) + random.uniform(-150.0, 150.0, count)
    return [Station(float(x), headstock_mm=z, loader_mm=s) for x in places for z, s in ends]


def sweeps(random: np.random.Generator, body: Body, lathe: Lathe) -> list[Observation]:
    """The spindle's indicator round bores and outsides, its bracket hanging by more or less than was measured."""
    u_mm, taken = float(random.uniform(0.01, 0.03)), []
    bracket = Bracket("bracket", 0.08, 0.02)
    hangs_mm = random.normal(bracket.sag_mm, bracket.u_mm)
    for i, station in enumerate(stations(random, lathe, int(random.integers(2, 4)))):
        left_mm, high_mm = lathe.seen(body, station)
        radius_mm, bore = float(random.uniform(15.0, 60.0)), random.random() < 0.5
        high_mm += hangs_mm
        flanks_mm = math.sqrt(radius_mm**2 - high_mm**2), math.sqrt(radius_mm**2 - left_mm**2)
        walls_mm = (high_mm + flanks_mm[1], left_mm + flanks_mm[0], -high_mm + flanks_mm[1], -left_mm + flanks_mm[0])
        top, left, bottom, right = ((-1.0 if bore else 1.0) * wall + random.normal(0.0, u_mm) for wall in walls_mm)
        sweep = Sweep(
            name=f"sweep {i}",
            station=station,
            surface="bore" if bore else "outside",
            top_mm=top,
            left_mm=left,
            bottom_mm=bottom,
            right_mm=right,
            u_mm=u_mm,
            bracket=bracket,
        )
        taken.extend(sweep.observations())
    return taken


def wired(random: np.random.Generator, body: Body, lathe: Lathe) -> list[Observation]:
    """A wire through the spindle to behind the loader, not quite centred, hanging by more or less than thought; targets aside."""
    if random.random() < 0.3:
        return []
    told = Wire(-5200.0, 900.0, 0.25, 0.02)
    line = ReferenceLine(name="wire", rear_set_mm=0.0, front_set_mm=700.0, set_u_mm=0.01, wire=told)
    hang_mm = float(random.normal(told.sag_mm, told.sag_u_mm))

    def hung_mm(x_mm: float) -> float:
        return 4.0 * hang_mm * (x_mm - told.rear_mm) * (x_mm - told.front_mm) / (told.front_mm - told.rear_mm) ** 2

    missed, taken = random.normal(0.0, line.set_u_mm, (2, 2)), []
    for i, place in enumerate(stations(random, lathe, int(random.integers(1, 5)))):
        station = replace(place, left_mm=float(random.uniform(-200.0, 200.0)), above_mm=float(random.uniform(-200.0, 200.0)))
        share = station.x_mm / 700.0
        wire_mm = missed[0] * (1.0 - share) + missed[1] * share
        wire_mm[1] += hung_mm(station.x_mm) - hung_mm(0.0) * (1.0 - share) - hung_mm(700.0) * share
        left_mm, high_mm = lathe.seen(body, station) - wire_mm + random.normal(0.0, 0.05, 2)
        taken.append(line.height(f"wire {i} up", station, above_mm=high_mm, u_mm=0.05))
        taken.append(line.aside(f"wire {i} aside", station, left_mm=left_mm, u_mm=0.05))
    return taken


def carried_out(random: np.random.Generator, body: Body, frame: Frame, made: Plan, means: Means) -> Body:
    """The loader after its feet were raised and lowered and its screws pushed, neither exactly as told."""
    own = np.array([[foot.x_mm, foot.y_mm, -frame.axis_height_mm] for foot in frame.feet])
    rise = np.zeros_like(own)
    rise[:, 2] = [move.move_mm + random.normal(0.0, means.foot_u_mm) for move in made.feet]
    lifted = body.fitted(own, body.at(own) + rise)
    pushed = [move.move_mm + random.normal(0.0, means.screw_u_mm) for move in made.screws]
    slope, at_zero_mm = np.polyfit([screw.x_mm for screw in frame.screws], pushed, 1)
    return lifted.swung(math.atan(slope), at_zero_mm)


def covered(seed: int, *, step_mm: float | None) -> list[bool]:
    """Whether each promise of one random round came true: at four places up and aside, the roll, all of them, no alarm."""
    random = np.random.default_rng(seed)
    body, frame, lathe = Body.drawn(random), random_frame(random), Lathe.drawn(random)
    means = Means(step_mm=step_mm, foot_u_mm=0.02, screw_u_mm=0.03)
    forward = Point("spindle face, both forward", 0.0, headstock_mm=lathe.half_mm, loader_mm=lathe.half_shift_mm)
    alignment = align(readings(random, body, lathe))
    made = plan(alignment, frame, points=POINTS, tolerances=Tolerances(), means=means)
    assert made.feasible
    after = carried_out(random, body, frame, made, means)
    held = []
    for point in (*POINTS, forward):
        there = Station(point.x_mm, headstock_mm=point.headstock_mm, loader_mm=point.loader_mm)
        offset, (left_mm, high_mm) = made.after.offset(point), lathe.seen(after, there)
        assert offset.sideways is not None
        held.append(abs(high_mm - offset.upright.miss_mm) <= TWO_SIDED * offset.upright.u_mm)
        held.append(abs(left_mm - offset.sideways.miss_mm) <= TWO_SIDED * offset.sideways.u_mm)
    held.append(abs(after.roll_mm_per_m() - made.after.value(ROLL)) <= TWO_SIDED * made.after.u(ROLL))
    five = [made.after.unknowns.index(name) for name in (LIFT, PITCH, ROLL, SHIFT, YAW)]
    (near, rear) = (after.axis(x) for x in (0.0, -1000.0))
    truth = np.array([near[1], near[1] - rear[1], after.roll_mm_per_m(), near[0], near[0] - rear[0]])
    error = truth - made.after.estimates[five]
    held.append(float(error @ np.linalg.solve(made.after.covariance[np.ix_(five, five)], error)) <= chi2.ppf(0.95, 5))
    return [*held, alignment.fit.consistent]


def check_coverage(first: int, count: int, *, step_mm: float | None) -> None:
    """Every promise is kept as often as it says, within four standard errors of so many rounds."""
    kept = np.mean([covered(seed, step_mm=step_mm) for seed in range(first, first + count)], axis=0)
    promised = np.array([0.95] * 10 + [0.99])
    assert np.all(np.abs(kept - promised) <= 4.0 * np.sqrt(promised * (1.0 - promised) / count)), kept


def test_residuals_lie_within_their_uncertainty() -> None:
    """Of a thousand loaders levelled with shims, what is left lies within 1.96 stated uncertainties in 95 of 100."""
    check_coverage(0, DAILY, step_mm=0.1)


def test_jacks_keep_the_same_promise() -> None:
    """The same with jacks, which are set to any amount."""
    check_coverage(50_000, 300, step_mm=None)


@pytest.mark.prove
def test_residuals_lie_within_their_uncertainty_at_length() -> None:
    """The same over ten thousand loaders."""
    check_coverage(100_000, PROVED, step_mm=0.1)


def posed(random: np.random.Generator) -> Pose:
    """A pose that is known exactly."""
    values = np.array([*random.uniform(-3.0, 3.0, 1), *random.uniform(-2.0, 2.0, 2)])
    return Pose(UPRIGHT, values, np.zeros((3, 3)))


def left(frame: Frame, pose: Pose, moves_mm: tuple[float, ...]) -> float:
    """What these moves leave, worked out the long way round: a plane laid through where the feet then stand."""
    table = np.array([[1.0, foot.x_mm / 1000.0, foot.y_mm / 1000.0] for foot in frame.feet])
    stands_mm = table @ pose.estimates + np.array(moves_mm)
    plane, *_ = np.linalg.lstsq(table, stands_mm, rcond=None)
    parts = [(plane[0] + plane[1] * p.x_mm / 1000.0) / (0.1 if p.x_mm >= 0.0 else 0.25) for p in POINTS]
    excess = [max(abs(rock) / 0.05 - 1.0, 0.0) for rock in stands_mm - table @ plane]
    return math.hypot(*parts, plane[2] / 0.5, *excess)


def at_spindle_mm(frame: Frame, pose: Pose, moves_mm: tuple[float, ...]) -> float:
    """How far off these moves leave the axis at the spindle's face."""
    return float(pose.moved(frame.foot_response(UPRIGHT), np.array(moves_mm), np.zeros(len(moves_mm))).value(LIFT))


def check_shims(seed: int, *, feet: int) -> tuple[float, float]:
    """The choice is the least of all combinations; what it and rounding leave at the spindle's face."""
    random, step_mm = np.random.default_rng(seed), 0.1
    frame, pose = random_frame(random, feet=feet), posed(random)
    chosen = choose_shims(frame, pose, step_mm=step_mm, points=POINTS, tolerances=Tolerances())
    below = [math.floor(wanted / step_mm) for wanted in frame.foot_moves_mm(pose)]
    tried = itertools.product(*((n * step_mm, (n + 1) * step_mm) for n in below))
    assert chosen.penalty_ratio == pytest.approx(min(left(frame, pose, moves) for moves in tried), rel=1e-9)
    assert left(frame, pose, chosen.moves_mm) == pytest.approx(chosen.penalty_ratio, rel=1e-9)
    assert left(frame, pose, chosen.rounded_mm) == pytest.approx(chosen.rounded_penalty_ratio, rel=1e-9)
    assert chosen.penalty_ratio <= chosen.rounded_penalty_ratio + 1e-12
    return at_spindle_mm(frame, pose, chosen.moves_mm), at_spindle_mm(frame, pose, chosen.rounded_mm)


def test_shims_are_the_best_of_all_combinations() -> None:
    """The search finds what trying every combination finds; with four feet or more it leaves half of what rounding leaves."""
    for seed in range(10):
        check_shims(seed, feet=3)
    left_mm = np.array([check_shims(seed, feet=4 + seed % 3) for seed in range(60)])
    chosen_mm, rounded_mm = np.sqrt(np.mean(left_mm**2, axis=0))
    assert rounded_mm > 2.0 * chosen_mm, (rounded_mm, chosen_mm)


@pytest.mark.prove
def test_shims_are_the_best_of_all_combinations_at_length() -> None:
    """The same for many frames of up to eight feet."""
    for seed in range(1000, 1400):
        check_shims(seed, feet=3 + seed % 6)


def test_feet_stay_in_one_plane() -> None:
    """The moves of any frame of any number of feet lie in the plane through three of them, to rounding."""
    for seed in range(300):
        random = np.random.default_rng(seed)
        frame, pose = random_frame(random), posed(random)
        moves_mm = frame.foot_moves_mm(pose)
        feet = np.array([[foot.x_mm, foot.y_mm, move] for foot, move in zip(frame.feet, moves_mm, strict=True)])
        far = [0, 1, len(feet) - 1]
        normal = np.cross(feet[far[1]] - feet[0], feet[far[2]] - feet[0])
        out_mm = (feet - feet[0]) @ normal / normal[2]
        assert np.max(np.abs(out_mm)) < 1e-9
        assert np.max(np.abs(frame.rocks_mm(moves_mm))) < 1e-12
        after = pose.moved(frame.foot_response(UPRIGHT), moves_mm, np.zeros(len(moves_mm)))
        assert np.max(np.abs(after.estimates)) < 1e-11


def check_covariance(count: int) -> None:
    """The covariance of the solution, and the uncertainty far from where was read, are those of readings drawn over and over."""
    random = np.random.default_rng(3)
    taken = readings(random, Body.drawn(random), replace(Lathe.drawn(random), half_mm=100.0, half_shift_mm=0.0))
    alignment = align(taken)
    sources = sorted({source for reading in taken for source, _ in reading.shared_mm})
    assert len(sources) == 7, sources
    drawn = np.empty((count, len(alignment.pose.unknowns)))
    for row in range(count):
        shared = dict(zip(sources, random.standard_normal(len(sources)), strict=True))
        again = [
            replace(o, value_mm=random.normal(o.value_mm, o.u_mm) + sum(shared[name] * effect for name, effect in o.shared_mm))
            for o in taken
        ]
        drawn[row] = align(again).pose.estimates
    covariance = alignment.pose.covariance
    scale = np.sqrt(np.diag(covariance))
    # The variance of a sampled covariance of normal variables: (c_ii c_jj + c_ij^2) / n.
    allowed = 4.5 * np.sqrt((1.0 + (covariance / np.outer(scale, scale)) ** 2) / count)
    assert np.all(np.abs(np.cov(drawn.T) - covariance) / np.outer(scale, scale) <= allowed)
    rear = np.array([dict(Station(-4500.0).upright()).get(name, 0.0) for name in alignment.pose.unknowns])
    told = alignment.pose.offset(POINTS[2]).upright.u_mm
    assert np.std(drawn @ rear) == pytest.approx(told, rel=4.5 / math.sqrt(2.0 * count))


def test_covariance_is_that_of_samples() -> None:
    """With errors in common among the readings, two thousand draws."""
    check_covariance(2000)


@pytest.mark.prove
def test_covariance_is_that_of_samples_at_length() -> None:
    """The same with thirty thousand."""
    check_covariance(30_000)
