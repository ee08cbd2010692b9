"""The curves of a bar's speed over what is left of it: of all states of the pair the lowest one, at every length.

Lengths come in pairs where the bar's end leaves a support or where a state ends: there a curve steps, and it is drawn as a step.
Between two lengths that were computed a straight line is drawn. What lies above the picture is cut off where it leaves it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise

import numpy as np

from standoff.bar.life import Life
from standoff.bar.mesh import Floats
from standoff.bar.whip import HIGHEST_RATIO
from standoff.draw.scene import Point, Px
from standoff.job.speed import BarSpeed

_JUST_BEFORE = 1.0 - 1e-9
_ENDLESS_RPM = 1e9
"""Stands for a speed without bound, so that a curve that leaves the picture leaves it upright."""


@dataclass(frozen=True, slots=True, eq=False)
class Curves:
    """The lowest speeds over all states, shape (n,), lengths rising; `on_liner_rpm` is None where no liner is fitted."""

    lengths_mm: Floats
    whip_rpm: Floats
    soft_rpm: Floats
    stiff_rpm: Floats
    limit_rpm: Floats
    on_liner_rpm: Floats | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """Where the picture lies on the sheet and what it spans: the full bar at the left, no speed at the bottom."""

    left: Px
    top: Px
    right: Px
    bottom: Px
    longest_mm: float
    shortest_mm: float
    top_rpm: float

    def x(self, length_mm: float) -> Px:
        """Where a remaining length lies."""
        return self.left + (self.longest_mm - length_mm) / (self.longest_mm - self.shortest_mm) * (self.right - self.left)

    def y(self, speed_rpm: float) -> Px:
        """Where a speed lies; one above the picture at its top."""
        return self.bottom - min(speed_rpm / self.top_rpm, 1.0) * (self.bottom - self.top)

    def points(self, lengths_mm: Floats, speeds_rpm: Floats) -> tuple[Point, ...]:
        """A curve from the full bar on, kept at the top of the picture where it is higher, with a point where it leaves."""
        ends = sorted(zip(lengths_mm.tolist(), np.minimum(speeds_rpm, _ENDLESS_RPM).tolist(), strict=True), reverse=True)
        found: list[tuple[float, float]] = ends[:1]
        for (long_mm, before_rpm), (short_mm, after_rpm) in pairwise(ends):
            if (before_rpm - self.top_rpm) * (after_rpm - self.top_rpm) < 0.0:
                share = (self.top_rpm - before_rpm) / (after_rpm - before_rpm)
                found.append((long_mm + share * (short_mm - long_mm), self.top_rpm))
            found.append((short_mm, after_rpm))
        return tuple((self.x(length_mm), self.y(speed_rpm)) for length_mm, speed_rpm in found)

    def pieces(self, points: Sequence[Point]) -> Iterator[tuple[Point, ...]]:
        """The parts of such a curve that lie in the picture."""
        yield from (part for outside, part in self._parts(points) if not outside)

    def beyond(self, points: Sequence[Point]) -> Iterator[tuple[Px, Px]]:
        """From where to where such a curve lies above the picture."""
        yield from ((part[0][0], part[-1][0]) for outside, part in self._parts(points) if outside)

    def _parts(self, points: Sequence[Point]) -> Iterator[tuple[bool, tuple[Point, ...]]]:
        """Runs of straight lines that run along the top, and of those that do not."""
        for outside, run in groupby(pairwise(points), key=lambda ends: ends[0][1] == ends[1][1] == self.top):
            lines = list(run)
            yield outside, (lines[0][0], *(end for _, end in lines))


def curves(one: BarSpeed) -> Curves:
    """The lowest curves over all states in which the bar turns, at every length of any of them. The bar must pass."""
    lives = [course.life for course in one.courses]
    longest_mm = max(float(life.lengths_mm[-1]) for life in lives)
    starts = [float(life.lengths_mm[0]) for life in lives]
    every = {float(length) for life in lives for length in life.lengths_mm} | {start * _JUST_BEFORE for start in starts}
    lengths = np.array(sorted(length for length in every if min(starts) <= length <= longest_mm))
    whip = _lowest(lives, lengths, lambda life: life.whip_rpm)
    soft = _lowest(lives, lengths, lambda life: life.soft_rpm)
    lined = [course.life for course in one.courses if course.spans.supports.liner]
    return Curves(
        lengths,
        whip,
        soft,
        _lowest(lives, lengths, lambda life: life.stiff_rpm),
        np.minimum(one.share * whip, HIGHEST_RATIO * soft),
        _lowest(lined, lengths, lambda life: life.on_liner_rpm) if lined else None,
    )


def _lowest(lives: Sequence[Life], lengths: Floats, speeds: Callable[[Life], Floats]) -> Floats:
    """The lowest of one curve over the states that have a length; between two computed lengths a straight line. [rpm]"""
    found = [
        np.interp(lengths, life.lengths_mm, np.minimum(speeds(life), _ENDLESS_RPM), left=_ENDLESS_RPM, right=_ENDLESS_RPM)
        for life in lives
    ]
    lowest: Floats = np.min(found, axis=0)
    return lowest


@dataclass(frozen=True, slots=True)
class Traces:
    """Every curve in the picture's coordinates; one that leaves it runs along its top."""

    whip: tuple[Point, ...]
    soft: tuple[Point, ...]
    stiff: tuple[Point, ...]
    limit: tuple[Point, ...]
    steps: tuple[Point, ...]
    resting: tuple[Point, ...]

    def pieces(self, field: Field) -> Iterator[tuple[str, tuple[Point, ...]]]:
        """What of them lies in the picture, each piece with its style; the most important last, so that it lies on top."""
        for style, trace in (
            ("speed-band-edge", self.soft),
            ("speed-band-edge", self.stiff),
            ("speed-resting", self.resting),
            ("speed-whip", self.whip),
            ("speed-limit", self.limit),
            ("speed-step", self.steps),
        ):
            for piece in field.pieces(trace):
                yield style, piece


def traces(one: BarSpeed, found: Curves, field: Field) -> Traces:
    """The curves of a bar and its speed steps, in a field."""
    ends = [(mm, step.limit_rpm) for step in one.steps for mm in (step.longest_mm, step.shortest_mm)]
    return Traces(
        whip=field.points(found.lengths_mm, found.whip_rpm),
        soft=field.points(found.lengths_mm, found.soft_rpm),
        stiff=field.points(found.lengths_mm, found.stiff_rpm),
        limit=field.points(found.lengths_mm, found.limit_rpm),
        steps=tuple((field.x(length_mm), field.y(limit_rpm)) for length_mm, limit_rpm in ends),
        resting=() if found.on_liner_rpm is None else field.points(found.lengths_mm, found.on_liner_rpm),
    )
