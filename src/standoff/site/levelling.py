"""From readings to moves: where the loader's axis lies, what each foot and side screw is to do, and what will then be left.

The target is the SPINDLE's axis. The roll is set to the level and must be read: taking it out swings the axis sideways by roll
times axis height. An answer that says that travel or tolerance does not suffice is an answer, not an error.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np

from standoff.bar.checks import require_not_negative
from standoff.errors import UsageError
from standoff.site.axis import (
    DRIFTS,
    HEADSTOCK_DRIFT,
    HEADSTOCK_RISE,
    LIFT,
    LOADER_DRIFT,
    LOADER_RISE,
    METRE_MM,
    PITCH,
    RISES,
    ROLL,
    SHIFT,
    SIDEWAYS,
    TRAVELS,
    UPRIGHT,
    YAW,
    Array,
    Miss,
    Offset,
    Point,
    Pose,
    named,
)
from standoff.site.fit import Fit, Observation, fit, undetermined
from standoff.site.frame import Frame, Move
from standoff.site.shims import ShimChoice, choose_shims
from standoff.site.tolerance import CentreHeight, Grade, Tolerances, grade, graded
from standoff.solve.window import TIE_MM

_NEXT = {
    ROLL: "lay a level across the loader, read it both ways round, and enter it",
    LIFT: "read the loader's height against the spindle's at two places along it",
    PITCH: "read the loader's height against the spindle's at two places along it",
    SHIFT: "read how far the loader is aside of the spindle at two places along it",
    YAW: "read how far the loader is aside of the spindle at two places along it",
    HEADSTOCK_RISE: "read the same place with the headstock at both limits",
    HEADSTOCK_DRIFT: "read the same place with the headstock at both limits",
    LOADER_RISE: "read the same place with the loader at both ends of its shift",
    LOADER_DRIFT: "read the same place with the loader at both ends of its shift",
}
"""What determines each unknown."""


@dataclass(frozen=True, slots=True, eq=False)
class Alignment:
    """What the readings say."""

    fit: Fit

    @property
    def pose(self) -> Pose:
        """Where the loader's axis lies."""
        return self.fit.pose

    @property
    def at_one_position(self) -> tuple[str, ...]:
        """The travels along which everything was read at one position only."""
        return tuple(travel for travel, _ in self.pose.read_at_mm)


def align(readings: Iterable[Observation]) -> Alignment:
    """Where does the loader's axis lie against the spindle's?

    Weighted least squares for lift, pitch and roll, and for shift and yaw once anything was read sideways. How spindle or loader
    climb or wander over their own travel is solved too where readings at different positions tell: the loader is then aligned to
    the middle of the travel, and what is left at its ends no move of the feet can cure.

    Args: readings, by dial, wire, beam, straightedge and level.
    Returns: pose, covariance, and how the readings agree.
    Raises: UsageError where an unknown is left open, the roll first; nothing is ever guessed.
    Validity: a rigid frame, straight axes; as `fit`.
    Source: as `fit`.
    """
    observations, at_one = _with_travels_that_differ(tuple(readings))
    seen = {name for o in observations for name, _ in o.coefficients}
    wanted = (*UPRIGHT, *(SIDEWAYS if seen & set(SIDEWAYS) else ()), *(name for name in TRAVELS if name in seen))
    left = undetermined(observations, wanted)
    if left:
        # The roll is named first, and each action once.
        ordered = sorted(left, key=lambda name: name != ROLL)
        raise UsageError(
            what="readings",
            given=f"that do not tell: {', '.join(ordered)}",
            allowed="readings that determine where the whole frame lies, since none of it is guessed",
            action="; ".join(dict.fromkeys(_NEXT[name] for name in ordered)),
        )
    found = fit(observations, wanted)
    return Alignment(replace(found, pose=replace(found.pose, read_at_mm=at_one)))


def _with_travels_that_differ(
    observations: tuple[Observation, ...],
) -> tuple[tuple[Observation, ...], tuple[tuple[str, float], ...]]:
    """The readings without the travels along which all were taken at one position, and these travels with that position [mm]."""
    sees = {HEADSTOCK_RISE: LIFT, LOADER_RISE: LIFT, HEADSTOCK_DRIFT: SHIFT, LOADER_DRIFT: SHIFT}
    dropped = {}
    for travel, by in sees.items():
        places = {dict(o.coefficients).get(travel, 0.0) for o in observations if by in dict(o.coefficients)}
        if len(places) == 1:
            # A headstock that goes forward and climbs makes the loader seem lower: its coefficient has the other sign.
            dropped[travel] = places.pop() * (-METRE_MM if travel in (HEADSTOCK_RISE, HEADSTOCK_DRIFT) else METRE_MM)
    kept = tuple(replace(o, coefficients=tuple(c for c in o.coefficients if c[0] not in dropped)) for o in observations)
    return kept, tuple(dropped.items())


@dataclass(frozen=True, slots=True)
class Residual:
    """What is left at one place, what is allowed there [mm], and its grade upright and sideways (None: not read)."""

    offset: Offset
    tolerance_mm: float
    upright: Grade
    sideways: Grade | None


@dataclass(frozen=True, slots=True)
class Roll:
    """The roll and its standard uncertainty [mm/m], and its grade."""

    roll_mm_per_m: float
    u_mm_per_m: float
    grade: Grade


@dataclass(frozen=True, slots=True)
class Verdict:
    """The axis judged against tolerances: at each point, and the roll."""

    residuals: tuple[Residual, ...]
    roll: Roll
    basis: str

    @property
    def grade(self) -> Grade:
        """The worst grade of all."""
        every: set[Grade | None] = {self.roll.grade, *(g for r in self.residuals for g in (r.upright, r.sideways))}
        for worse in ("outside", "not decided"):
            if worse in every:
                return worse
        return "within if measured better" if "within if measured better" in every else "within"


def judge(pose: Pose, points: Sequence[Point], tolerances: Tolerances) -> Verdict:
    """Is the loader in line?

    Offset at each point and roll, each with its guard band; points far from where was read are less sure and are graded so. What
    hangs on a travel that was not read there is not decided, whatever it would be if that travel ran true.

    Args: pose; where to judge, the spindle's face (x = 0) among them; tolerances.
    Returns: residuals with grades.
    Raises: UsageError for no points, or two of one name.
    Validity: as `Pose.offset` and `grade`.
    Source: as `grade`.
    """
    residuals = []
    for point in named(points):
        offset, allowed_mm = pose.offset(point), tolerances.at_mm(point)
        sideways = None if offset.sideways is None else _graded(offset, offset.sideways, DRIFTS, allowed_mm)
        residuals.append(Residual(offset, allowed_mm, _graded(offset, offset.upright, RISES, allowed_mm), sideways))
    allowed_mm_per_m = tolerances.roll_mm_per_m
    graded_roll = grade(residual_share=pose.value(ROLL) / allowed_mm_per_m, u_share=pose.u(ROLL) / allowed_mm_per_m)
    return Verdict(tuple(residuals), Roll(pose.value(ROLL), pose.u(ROLL), graded_roll), tolerances.basis)


def _graded(offset: Offset, miss: Miss, travels: tuple[str, ...], allowed_mm: float) -> Grade:
    """The grade of a miss, unless it hangs on a travel that was not read there."""
    return "not decided" if set(travels) & set(offset.unread) else graded(miss, allowed_mm)


@dataclass(frozen=True, slots=True, kw_only=True)
class Means:
    """What moves are made with: the step of the shims (None: jacks, any amount), and how exactly feet and screws are set [mm]."""

    step_mm: float | None = None
    foot_u_mm: float = 0.0
    screw_u_mm: float = 0.0

    def __post_init__(self) -> None:
        require_not_negative("setting uncertainty of the feet", self.foot_u_mm)
        require_not_negative("setting uncertainty of the screws", self.screw_u_mm)


@dataclass(frozen=True, slots=True)
class Plan:
    """What to do, and what to expect of it. Screw moves are empty until sideways was read (or where there are no screws).

    `now` judges the axis as it lies, `expected` once the feet and then the screws were moved. `rocking`: feet that the shims
    leave out of one plane by more than is allowed. `coarse`: whether the shims leave it outside where jacks would not.
    """

    centre_height: CentreHeight | None
    now: Verdict
    wanted: tuple[Move, ...]
    feet: tuple[Move, ...]
    screws: tuple[Move, ...]
    shims: ShimChoice | None
    rocks_mm: tuple[float, ...]
    rocking: tuple[str, ...]
    standoff_change_mm: float
    after: Pose
    expected: Verdict
    coarse: bool = False

    @property
    def beyond(self) -> tuple[Move, ...]:
        """The moves for which the travel does not suffice."""
        return tuple(move for move in (*self.feet, *self.screws) if move.beyond_mm != 0.0)

    @property
    def feasible(self) -> bool:
        """Whether it can be carried out: the spindle lies in the loader's range of heights, and every travel suffices."""
        return not self.beyond and (self.centre_height is None or self.centre_height.grade != "outside")


def plan(
    alignment: Alignment,
    frame: Frame,
    *,
    points: Sequence[Point],
    tolerances: Tolerances,
    means: Means,
    height: CentreHeight | None = None,
    weighed: Sequence[Point] | None = None,
) -> Plan:
    """What must each foot and each side screw do, and what will be left at the spindle and along the axis?

    The feet undo lift, pitch and roll (in steps: the best combination of shims); what they then leave sideways, the swing of the
    roll included, the screws undo. What is expected: the pose moved by what will really be set, with the covariance of the
    readings and the setting errors of the moves. Rounding to steps shows as a residual, measuring as its uncertainty.

    Args:
        alignment: where the axis lies.
        frame: feet, axis height and screws.
        points: where the axis is judged, the spindle's face (x = 0) among them.
        tolerances: from the job or common practice.
        means: jacks or shims, and how exactly they are set.
        height: the centre-height check, which comes before all levelling.
        weighed: the places that shims are weighed by; None: all of the points.

    Returns: moves, and verdicts before and after.
    Raises: UsageError for a step that is not above zero, or no points.
    Validity: a rigid frame, small moves. Where `feasible` is false, what is expected holds only once that is mended.
    Source: as `Pose.moved`, `Frame` and `choose_shims`.
    """
    pose = alignment.pose
    wanted = frame.foot_moves_mm(pose)
    shims = None
    if means.step_mm is not None:
        shims = choose_shims(frame, pose, step_mm=means.step_mm, points=weighed or points, tolerances=tolerances)
    moves = wanted if shims is None else np.array(shims.moves_mm)
    rocks = frame.rocks_mm(moves)
    after, pushes = _carried_out(pose, frame, moves, means)
    expected = judge(after, points, tolerances)
    exactly, _ = _carried_out(pose, frame, wanted, means)
    return Plan(
        centre_height=height,
        now=judge(pose, points, tolerances),
        wanted=frame.foot_steps(wanted),
        feet=frame.foot_steps(moves),
        screws=frame.screw_steps(pushes) if len(pushes) else (),
        shims=shims,
        rocks_mm=tuple(float(rock) for rock in rocks),
        rocking=tuple(f.name for f, rock in zip(frame.feet, rocks, strict=True) if abs(rock) > tolerances.rock_mm + TIE_MM),
        standoff_change_mm=frame.standoff_change_mm(moves),
        after=after,
        expected=expected,
        coarse=expected.grade == "outside" and judge(exactly, points, tolerances).grade != "outside",
    )


def _carried_out(pose: Pose, frame: Frame, moves_mm: Array, means: Means) -> tuple[Pose, Array]:
    """The pose once the feet were moved and then the screws, and what the screws push [mm]."""
    after = pose.moved(frame.foot_response(pose.unknowns), moves_mm, np.full(len(moves_mm), means.foot_u_mm))
    if not (pose.has_sideways and frame.screws):
        return after, np.zeros(0)
    pushes = frame.screw_moves_mm(after)
    return after.moved(frame.screw_response(pose.unknowns), pushes, np.full(len(pushes), means.screw_u_mm)), pushes
