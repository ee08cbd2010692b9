"""Whip over the life of a bar: from the full bar to the last piece, which length is the worst, and why.

The speed over the remaining length steps where the bar's end leaves a support, so every such event is looked at from both sides,
besides evenly spaced lengths and a closer look around the worst. Nothing is interpolated. Stiffnesses are guesses: the answer is
a band. Resting on its liner the bar would whip later; that figure stands beside and never becomes the basis of a limit.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from standoff.bar.beam import Beam
from standoff.bar.checks import require_positive
from standoff.bar.elements import modes
from standoff.bar.mesh import Floats, mesh
from standoff.bar.supports import Supports
from standoff.bar.whip import critical_speeds
from standoff.errors import UsageError

BAND_FACTOR = 3.0
"""Stiffnesses of supports are known to a factor of about 3 either way (common practice, no published source)."""

_JUST_BEFORE = 1.0 - 1e-9
_CLOSER = 15
_ELEMENTS = 48


@dataclass(frozen=True, slots=True)
class Cause:
    """Why a length is the worst: where the bar swings most, what it has just left, which support gives most."""

    between: tuple[str, str]
    just_left: str | None
    softest: str
    softest_share: float
    buckled: bool = False

    def text(self) -> str:
        """The cause in one sentence."""
        front, rear = self.between
        swing = f"{'the feed force buckles the bar' if self.buckled else 'the bar swings most'} between {front} and {rear}"
        left = f"its end has just left {self.just_left}; " if self.just_left else ""
        gives = f"; {self.softest} holds {self.softest_share:.0%} of the energy" if self.softest_share >= 0.2 else ""
        return f"{left}{swing}{gives}"


@dataclass(frozen=True, slots=True)
class Worst:
    """The remaining length at which the bar whips first."""

    length_mm: float
    whip_rpm: float
    cause: Cause


@dataclass(frozen=True, slots=True, eq=False)
class Life:
    """Speeds over the remaining length, shape (n,), lengths rising; the band's ends with every stiffness divided and multiplied.

    A speed of 0 says that the feed force alone buckles the bar there.
    """

    lengths_mm: Floats
    whip_rpm: Floats
    soft_rpm: Floats
    stiff_rpm: Floats
    on_liner_rpm: Floats
    worst: Worst
    worst_soft_rpm: float


@dataclass(frozen=True, slots=True, eq=False)
class Band:
    """What sampled stiffnesses make of the speed at each length, shape (n,): 5, 50 and 95 % of the samples lie below."""

    lengths_mm: Floats
    low_rpm: Floats
    middle_rpm: Floats
    high_rpm: Floats


def event_lengths(supports: Supports, *, shortest_mm: float, longest_mm: float) -> tuple[float, ...]:
    """The remaining lengths at which the bar's end reaches or leaves something, from both sides. [mm]"""
    points, spans = supports.layout()
    liner = [x for s in supports.liner for x in (s.from_mm, s.to_mm)]
    places = {*points, *(x for span in spans for x in span), *liner}
    both = {x for place in places for x in (place * _JUST_BEFORE, place)}
    # Where the bar's end passes out of the rear of a tube, the pusher's rod stands out of the next one at once.
    both |= {x for _, to_mm in supports.pusher.guided_mm for x in (to_mm, to_mm / _JUST_BEFORE)}
    return tuple(sorted(x for x in both if shortest_mm <= x <= longest_mm))


def over_life(
    beam: Beam,
    supports: Supports,
    *,
    shortest_mm: float,
    longest_mm: float,
    samples: int = 60,
    band_factor: float = BAND_FACTOR,
) -> Life:
    """How fast may this bar turn before it whips, from its full length to its last piece?

    The lowest critical speed at evenly spaced lengths, at every support event from both sides, and closer around the worst. The
    band is exact for its factor: the speed rises with every stiffness, so all soft and all stiff are its ends.

    Args:
        beam: the bar.
        supports: what holds it; its liner is left out of all but the last curve.
        shortest_mm: the shortest remaining length that turns [mm].
        longest_mm: the full bar [mm].
        samples: how many evenly spaced lengths.
        band_factor: stiffnesses are divided and multiplied by this.

    Returns:
        Curves over the remaining length [rpm], the worst length and its cause.

    Raises:
        UsageError: lengths that are no positive numbers or reversed, a factor below 1, a bar that nothing holds.

    Validity: as `critical_speeds`; the mass of the pusher goes with the bar's end.
    Source: as `critical_speeds`; monotone in stiffness by Rayleigh's principle.
    """
    require_positive("shortest length", shortest_mm)
    if require_positive("full length", longest_mm) <= shortest_mm:
        raise UsageError(
            what="life of a bar",
            given=f"from {longest_mm} mm to {shortest_mm} mm",
            allowed="a full bar longer than its last piece",
            action="correct the lengths",
        )
    _require_band(band_factor, samples)
    events = event_lengths(supports, shortest_mm=shortest_mm, longest_mm=longest_mm)
    lengths = sorted({*np.linspace(shortest_mm, longest_mm, samples).tolist(), *events})
    kinds = (supports, supports.scaled(1.0 / band_factor), supports.scaled(band_factor), supports.on_liner())
    first = critical_speeds([beam], kinds[:2], lengths).whip_rpm
    closer = {x for curve in first.T for x in _around(lengths, int(np.argmin(curve)))}
    lengths = sorted({*lengths, *closer})
    every = critical_speeds([beam], kinds, lengths).whip_rpm
    at = int(np.argmin(every[:, 0]))
    worst = Worst(lengths[at], float(every[at, 0]), cause_at(beam, supports, length_mm=lengths[at]))
    whip, soft, stiff, on_liner = every.T
    return Life(np.array(lengths), whip, soft, stiff, on_liner, worst, float(soft.min()))


def _around(lengths: Sequence[float], at: int) -> list[float]:
    """Lengths between the neighbours of one of them."""
    closer: list[float] = np.linspace(lengths[max(at - 1, 0)], lengths[min(at + 1, len(lengths) - 1)], _CLOSER).tolist()
    return closer


def _require_band(band_factor: float, samples: int) -> None:
    """Refuse a band that is none, and too few samples."""
    if require_positive("band factor", band_factor) < 1.0 or samples < 2:
        raise UsageError(
            what="band",
            given=f"factor {band_factor}, {samples} samples",
            allowed="a factor of 1 or more, two samples or more",
            action="correct the factor or the samples",
        )


def cause_at(beam: Beam, supports: Supports, *, length_mm: float) -> Cause:
    """Why does the bar whip at this length?

    From the shape of the lowest mode by finite elements: where it swings most, and which support holds most of its energy.
    """
    bar = mesh([beam], [supports], [length_mm], pieces=_ELEMENTS)
    shape = modes(bar, count=1)
    joints, square = bar.joints_mm()[:, 0], float(shape.square[0, 0])
    swing, tilt = shape.deflection[:, 0, 0], shape.slope[:, 0, 0]
    widest = joints[int(np.argmax(np.abs(swing)))]
    held = [(p.at_mm, p.name) for p in supports.points if p.lateral_n_per_mm > 0.0]
    held += [(s.from_mm, s.name) for s in supports.stretches if s.bedding_mpa > 0.0]
    holds = sorted((x, name) for x, name in held if x <= length_mm)
    front = next((name for x, name in reversed(holds) if x <= widest), "the bar's front end")
    rear = next((name for x, name in holds if x > widest), "the bar's rear end")
    left = _just_left(supports, length_mm)
    springs = _springs(supports, joints, swing, tilt)
    if square <= 0.0 or not springs:
        return Cause((front, rear), left, "nothing", 0.0, buckled=square <= 0.0)
    # Of unit modal mass the mode's energy is its squared frequency.
    softest = max(springs, key=springs.__getitem__)
    return Cause((front, rear), left, softest, springs[softest] / square)


def _just_left(supports: Supports, length_mm: float) -> str | None:
    """The support that the bar's end is just short of."""
    return next((p.name for p in supports.points if length_mm < p.at_mm and p.at_mm * _JUST_BEFORE <= length_mm), None)


def _springs(supports: Supports, joints: Floats, swing: Floats, tilt: Floats) -> dict[str, float]:
    """What each elastic support holds: stiffness times squared deflection, and tilting stiffness times squared slope."""
    guide = supports.pusher
    parts: list[tuple[str, float, float]] = [
        ("the pusher's guide", guide.lateral_at(length_mm=float(joints[-1])), swing[-1] ** 2),
        ("the pusher's guide", guide.rotational_n_mm, tilt[-1] ** 2),
    ]
    for point in supports.points:
        if point.at_mm <= joints[-1]:
            nearest = int(np.argmin(np.abs(joints - point.at_mm)))
            parts.append((point.name, point.lateral_n_per_mm, swing[nearest] ** 2))
            parts.append((point.name, point.rotational_n_mm, tilt[nearest] ** 2))
    for stretch in supports.stretches:
        # Piece by piece: a joint at the stretch's end belongs to a piece outside too, which it does not bear.
        middles, borne = (joints[1:] + joints[:-1]) / 2.0, (swing[1:] ** 2 + swing[:-1] ** 2) / 2.0 * np.diff(joints)
        inside = (middles > stretch.from_mm) & (middles < stretch.to_mm)
        parts.append((stretch.name, stretch.bedding_mpa, float(borne[inside].sum())))
    held: dict[str, float] = {}
    for name, stiffness, square in parts:
        if 0.0 < stiffness < math.inf:
            held[name] = held.get(name, 0.0) + stiffness * float(square)
    return held


def sampled_band(
    beam: Beam,
    supports: Supports,
    lengths_mm: Sequence[float],
    *,
    generator: np.random.Generator,
    samples: int = 1000,
    band_factor: float = BAND_FACTOR,
) -> Band:
    """How wide is the band when not every stiffness is wrong the same way?

    Each stiffness is drawn for itself, evenly in its logarithm between nominal divided and multiplied by the factor. Narrower
    than the band of `over_life`, which takes all of them soft or all stiff.

    Args:
        beam: the bar.
        supports: nominal supports.
        lengths_mm: n lengths [mm].
        generator: source of the random numbers.
        samples: how many sets of stiffnesses.
        band_factor: half-width of the draw, as a factor.

    Returns:
        5, 50 and 95 % of the samples at each length [rpm].

    Raises:
        UsageError: as `critical_speeds`; a factor below 1; fewer than two samples.

    Source: as `critical_speeds`.
    """
    _require_band(band_factor, samples)
    parts = len(supports.points) + len(supports.stretches) + 1
    spread = math.log(band_factor)
    drawn = np.exp(generator.uniform(-spread, spread, (samples, parts)))
    kinds = [supports.scaled(tuple(row)) for row in drawn.tolist()]
    speeds = critical_speeds([beam], kinds, lengths_mm).whip_rpm
    low, middle, high = np.quantile(speeds, [0.05, 0.5, 0.95], axis=1)
    return Band(np.asarray(lengths_mm, dtype=float), low, middle, high)
