"""Bow: a bar that is not straight swings out as it turns, and touches its liner or channel below its whip speed.

K (w - w0) + Ks w - W^2 M w = 0: the bow w0 turns with the bar, so its static part is solved exactly and a few modes add what
speed does to it (a plain sum of modes is far off). Sag stays where it is in space and uses up clearance. Touching is looked for
below the lowest critical speed only: above it a calm and a rubbing state exist at the same speed, so running there is never
advised.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from standoff.bar.beam import GRAVITY_MM_PER_S2, Beam
from standoff.bar.bracket import lowest
from standoff.bar.chain import Elimination, eliminate
from standoff.bar.checks import require_not_negative, require_positive
from standoff.bar.elements import modes, stiffness_and_mass
from standoff.bar.mesh import Flags, Floats, Mesh, mesh
from standoff.bar.stock import curvature_per_mm
from standoff.bar.supports import Supports
from standoff.bar.whip import RPM_PER_RAD_PER_S
from standoff.errors import UsageError

UNTOUCHED_RATIO = 0.999
"""A bar that touches nothing up to this share of its lowest critical speed gets this share."""

KNOT_MM = 500.0
"""Distance of the knots between which the curvature of a random bar turns from one side to the other."""

_MODES = 4
_STEPS = np.array([0.0, 0.3, 0.5, 0.65, 0.77, 0.86, 0.92, 0.96, 0.985, UNTOUCHED_RATIO])
_HALVINGS = 6
_CHUNK = 512

Singles = NDArray[np.float32]


@dataclass(frozen=True, slots=True)
class Clearance:
    """A length of tube and the radial room that a straight, centred bar has in it."""

    name: str
    from_mm: float
    to_mm: float
    radial_mm: float

    def __post_init__(self) -> None:
        require_not_negative(f"beginning of {self.name}", self.from_mm)
        require_positive(f"length of {self.name}", self.to_mm - self.from_mm)
        require_not_negative(f"clearance of {self.name}", self.radial_mm)


@dataclass(frozen=True, slots=True, eq=False)
class Touch:
    """Where l lengths of b bars begin to touch, as shares of the lowest critical speed: the worst shape (l, b), random ones (l,
    b, s).

    0: the bar touches at rest.
    """

    lengths_mm: Floats
    whip_rpm: Floats
    sag_mm: Floats
    worst_ratio: Floats
    random_ratio: Floats

    @property
    def worst_rpm(self) -> Floats:
        """The speed at which the worst shape of the stated straightness touches. [rpm]"""
        return self.worst_ratio * self.whip_rpm

    @property
    def random_rpm(self) -> Floats:
        """The speeds at which the random shapes touch. [rpm]"""
        return self.random_ratio * self.whip_rpm[..., None]


def amplification_factor(*, speed_ratio: float) -> float:
    """How many times its bow at rest does a turning bar swing out?

    1 / (1 - r^2): one span, bowed like its first mode, undamped. Other shapes swing out less or more at other places.

    Args:
        speed_ratio: speed over lowest critical speed.

    Returns:
        Swing over bow.

    Raises:
        UsageError: a ratio that is negative, or not below 1: above the critical speed nothing is advised.

    Validity: 0 <= r < 1.
    Source: W.T. Thomson, Theory of Vibration with Applications, 4th ed. (1993), sec. 3.5 (whirling of a shaft).

    >>> amplification_factor(speed_ratio=0.5) * 3.0
    4.0
    """
    if not require_not_negative("speed ratio", speed_ratio) < 1.0:
        raise UsageError(
            what="speed ratio", given=f"{speed_ratio}", allowed="below 1", action="stay below the lowest critical speed"
        )
    return 1.0 / (1.0 - speed_ratio**2)


def single_span_touch_ratio(*, bow_mm: float, clearance_mm: float, sag_mm: float = 0.0) -> float:
    """At which share of its critical speed does one bowed span touch its tube?

    r = sqrt(1 - a0 / (c - sag)), from the amplification above. On several supports this is dangerously optimistic: see `touch`.

    Args:
        bow_mm: bow at midspan, at rest [mm].
        clearance_mm: radial clearance [mm].
        sag_mm: sag at midspan, which uses up clearance [mm].

    Returns:
        Speed over lowest critical speed; 0 if it touches at rest.

    Raises:
        UsageError: a negative input.

    Validity: one pinned span, bow like a half wave.
    Source: as `amplification_factor`.

    >>> single_span_touch_ratio(bow_mm=0.75, clearance_mm=1.0)
    0.5
    """
    free = require_not_negative("clearance", clearance_mm) - require_not_negative("sag", sag_mm)
    if require_not_negative("bow", bow_mm) >= free:
        return 0.0
    return math.sqrt(1.0 - bow_mm / free)


def touch(
    beams: Sequence[Beam],
    supports: Sequence[Supports],
    lengths_mm: Sequence[float],
    *,
    clearances: Sequence[Clearance],
    straightness_mm_per_m: float,
    generator: np.random.Generator,
    shapes: int = 30,
    elements: int = 24,
) -> Touch:
    """At which speeds do bars of this straightness begin to touch their tubes?

    For the worst shape, whose curvature is everywhere as large as allowed and signed so as to swing out most at the place that
    touches first; and for random shapes that turn from side to side every half metre. The worst bounds them all and errs low; an
    even arc, which errs high and badly, is not used. Deflections by finite elements, speeds as shares of the exact lowest one.

    Args:
        beams: b bars.
        supports: one for each bar, without the liner.
        lengths_mm: l lengths [mm].
        clearances: the tubes and their radial room; the same for all bars.
        straightness_mm_per_m: largest deviation over a chord of 1 m [mm/m].
        generator: source of the random numbers.
        shapes: how many random shapes s.
        elements: how many elements each bar is cut into.

    Returns:
        Shares of the lowest critical speed at which they touch, up to 0.999.

    Raises:
        UsageError: no clearance, no shape, nonsense in the input, or a bar that the feed force buckles.

    Validity: small deflections; below the lowest critical speed; no damping.
    Source: K.J. Bathe, Finite Element Procedures, 1996, sec. 9.3 (static correction of a modal sum).
    """
    if not clearances or shapes < 1:
        raise UsageError(
            what="touching",
            given=f"{len(clearances)} clearances, {shapes} shapes",
            allowed="one of each at least",
            action="say where the bar has how much room",
        )
    curvature = curvature_per_mm(straightness_mm_per_m=straightness_mm_per_m)
    marks = [x for c in clearances for x in (c.from_mm, c.to_mm)]
    bar = mesh(beams, supports, lengths_mm, pieces=elements, marks_mm=marks)
    knots = generator.choice([-1.0, 1.0], (shapes, math.ceil(max(lengths_mm) / KNOT_MM) + 2))
    parts = []
    for first in range(0, bar.cases, _CHUNK):
        parts.append(_touch(bar.take(slice(first, min(first + _CHUNK, bar.cases))), clearances, curvature, knots))
    whip, sag, worst, random = (np.concatenate([part[i] for part in parts]) for i in range(4))
    rows = (len(lengths_mm), -1)
    whip_rpm = (whip * RPM_PER_RAD_PER_S).reshape(rows)
    lengths = np.asarray(lengths_mm, dtype=float)
    return Touch(lengths, whip_rpm, sag.reshape(rows), worst.reshape(rows), random.reshape(*rows, shapes))


def _touch(bar: Mesh, clearances: Sequence[Clearance], curvature: float, knots: Floats) -> tuple[Floats, ...]:
    """Lowest critical frequency, greatest sag in the tubes, and the shares at which the worst and the random shapes touch."""
    whip = lowest(bar).low_rad_per_s
    if np.any(whip == 0.0):
        raise UsageError(what="bar", given="buckled by the feed force", allowed="a bar that holds", action="lower the feed force")
    rigidity, _ = stiffness_and_mass(bar)
    done = eliminate(rigidity)
    sag = np.abs(_sag(bar, done))
    room = _room(bar, clearances) - sag
    inside = np.isfinite(room)
    rows = np.flatnonzero(inside.any(axis=1))
    found = modes(bar, count=_MODES)
    bend = np.diff(found.slope, axis=0) * (bar.ei_n_mm2 * curvature)
    # From here on single precision: what is looked for is a share of speed to three digits.
    swing = found.deflection[rows].astype(np.float32)
    per_room = (np.where(inside, 1.0, 0.0) / np.where(inside, np.maximum(room, 1e-6), 1.0))[rows].astype(np.float32)
    ones = np.eye(len(bar.piece_mm))[:, :, None] * np.ones(bar.cases)
    ends = found.square / found.square[0]
    random_bow = _along(bar, knots)
    ratios = []
    for bow, together in ((ones, True), (random_bow, False)):
        still = _static(bar, done, bow * (bar.ei_n_mm2 * curvature))[rows].astype(np.float32)
        share = np.einsum("ekc,esc->ksc", bend, bow) / found.square[:, None, :]
        ratios.append(_first_touch(_Swing(still, swing, share.astype(np.float32), ends, per_room, together)))
    touching = (room[rows] <= 0.0).any(axis=0)
    worst, random = np.where(touching, 0.0, ratios[0][0]), np.where(touching, 0.0, ratios[1])
    return whip, np.where(inside, sag, 0.0).max(axis=0), worst, random.T


@dataclass(frozen=True, slots=True, eq=False)
class _Swing:
    """Swings in the tubes: at rest (joints, s, c), modes (joints, k, c), what each shape gives each mode (k, s, c), 1/room."""

    still: Singles
    swing: Singles
    share: Singles
    ends: Floats
    per_room: Singles
    together: bool

    def used(self, ratio: Floats) -> Singles:
        """The greatest share of the room used at a speed, for each shape (or for the worst of all signs) and case."""
        square = ratio**2
        total = self.still.copy()
        for k in range(len(self.share)):
            gain = (square / (self.ends[k] - square)).astype(np.float32) * self.share[k]
            total += self.swing[:, k, None, :] * gain
        np.abs(total, out=total)
        if self.together:
            total = total.sum(axis=1, keepdims=True)
        total *= self.per_room[:, None, :]
        # A bar too short for any tube touches none.
        most: Singles = total.max(axis=0, initial=0.0)
        return most


def _first_touch(swings: _Swing) -> Floats:
    """The lowest share of the critical speed at which all the room is used: steps upwards, then halvings between two steps."""
    cases = swings.still.shape[2]
    shape = (1 if swings.together else swings.still.shape[1], cases)
    low, high = np.zeros(shape), np.full(shape, UNTOUCHED_RATIO)
    found: Flags = np.zeros(shape, dtype=bool)
    for at in _STEPS:
        touches = (swings.used(np.full((1, cases), at)) >= 1.0) & ~found
        high[touches] = at
        found |= touches
        low[~found] = at
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        touches = swings.used(middle) >= 1.0
        high, low = np.where(touches, middle, high), np.where(touches, low, middle)
    # The lower end: the bar is still free there.
    return np.where(found, low, UNTOUCHED_RATIO)


def _static(bar: Mesh, done: Elimination, bow: Floats) -> Floats:
    """How the supported bar lies at rest, given EI times its curvature in each element, shape (n, s, c). [mm]"""
    force = np.zeros((len(bar.joint_kg), *bow.shape[1:]))
    moment = np.zeros_like(force)
    moment[1:] += bow
    moment[:-1] -= bow
    free = np.isfinite(bar.rotational_n_mm)[:, None, :]
    return done.solve(force, moment * free)[0]


def _sag(bar: Mesh, done: Elimination) -> Floats:
    """How far the bar sags under its weight at its joints. [mm]"""
    load = bar.mass_kg_m * 1e-6 * GRAVITY_MM_PER_S2
    force = bar.joint_kg * 1e-3 * GRAVITY_MM_PER_S2
    moment = np.zeros_like(force)
    force[:-1] += load * bar.piece_mm / 2.0
    force[1:] += load * bar.piece_mm / 2.0
    moment[:-1] += load * bar.piece_mm**2 / 12.0
    moment[1:] -= load * bar.piece_mm**2 / 12.0
    held, fixed = ~np.isfinite(bar.lateral_n_per_mm), ~np.isfinite(bar.rotational_n_mm)
    return done.solve(np.where(held, 0.0, force), np.where(fixed, 0.0, moment))[0]


def _room(bar: Mesh, clearances: Sequence[Clearance]) -> Floats:
    """The radial room at each joint; infinite where there is no tube. [mm]"""
    joints = bar.joints_mm()
    room = np.full(joints.shape, np.inf)
    for clearance in clearances:
        within = (joints >= clearance.from_mm) & (joints <= clearance.to_mm)
        room = np.where(within, np.minimum(room, clearance.radial_mm), room)
    return room


def _along(bar: Mesh, knots: Floats) -> Floats:
    """The curvature of random bars in each element as a share of the allowed, shape (n, s, c); knots go with the rear end."""
    at = (bar.piece_mm.sum(axis=0) - bar.middles_mm()) / KNOT_MM
    before = at.astype(np.int64)
    part = (at - before)[None]
    shares = knots[:, before] * (1.0 - part) + knots[:, before + 1] * part
    return np.swapaxes(shares, 0, 1)
