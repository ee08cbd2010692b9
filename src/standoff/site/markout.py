"""Marking out by two tapes: each point by its distances from two reference points, with how sure it is.

Two tapes cross at two points, one on each hand of the baseline, so every mark states its hand; a point so near the baseline that
the hand could be mistaken is refused. The errors of a mark are those of its two tapes, which are its own, and those of the
reference points, which all marks share: that is why the check diagonals between marks are surer than the marks themselves. Where
a point is wanted may be in doubt too: that makes its mark less sure, and no diagonal, which checks how it was laid off.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np

from standoff.bar.checks import require_positive
from standoff.errors import UsageError, shown, write_instead
from standoff.reading import SOURCES, rectangular_u_mm
from standoff.site.baseline import Baseline, FloorPoint, Hand, Reference
from standoff.site.ellipse import Array, Ellipse, ellipse

MISTAKEN = 10.0
"""A point nearer to the baseline than so many of its own standard uncertainties across it is refused: at half of that many the
tapes no longer meet (our choice)."""

LEAST_CROSSING_DEG = 10.0
"""Tapes that cross at less, or at more than 180 degrees less it, are refused (our choice; surveyors like 30 to 150)."""

CHECK_FACTOR = 1.96
"""Two-sided 95 % of the normal distribution: the limits of a check diagonal."""

_SAME_MM = 1e-6


@dataclass(frozen=True, slots=True, eq=False)
class Mark:
    """One point to be marked: its two distances, the hand of the baseline, the angle of the crossing tapes, and how sure it is.

    `shared` is by how much it moves with x and y of both reference points, shape (2, 4); `own_mm2` the covariance that its own
    tapes give it; `covariance_mm2` the whole, with the doubt of where the point is wanted.
    """

    point: FloorPoint
    from_first_mm: float
    from_second_mm: float
    hand: Hand
    offset_mm: float
    crossing_deg: float
    own_mm2: Array
    shared: Array
    covariance_mm2: Array
    ellipse: Ellipse


@dataclass(frozen=True, slots=True)
class Diagonal:
    """A distance between two marks to check them by: what it must be, its standard uncertainty taped, and its limits."""

    start: str
    end: str
    distance_mm: float
    u_mm: float

    @property
    def limit_mm(self) -> float:
        """How far a taped distance may differ, 95 times in 100. [mm]"""
        return CHECK_FACTOR * self.u_mm

    def holds(self, taped_mm: float) -> bool:
        """Whether a taped distance is within the limits."""
        return abs(require_positive("taped diagonal", taped_mm) - self.distance_mm) <= self.limit_mm


@dataclass(frozen=True, slots=True, eq=False)
class MarkOut:
    """All marks from one baseline, and the diagonals that check them."""

    baseline: Baseline
    marks: tuple[Mark, ...]
    diagonals: tuple[Diagonal, ...]

    @property
    def worst(self) -> Mark:
        """The mark that is least sure: the longest ellipse."""
        return max(self.marks, key=lambda mark: mark.ellipse.semi_major_mm)


def taping_u_mm(distance_mm: float, *, source: str = "tape") -> float:
    """How sure is a distance laid off on the floor?

    The limits of error that the source stands for, equally likely within: for `tape` those of class II (`tape_mpe_mm`) and 1 mm
    for reading and marking. Each distance has its own error; that one tape errs alike in all of them is not followed.

    Args:
        distance_mm: the distance [mm].
        source: a source of readings that is measured, `tape` or the like.

    Returns:
        Standard uncertainty [mm].

    Raises:
        UsageError: a source that is unknown or not measured.

    Validity: tapes at their rated tension, level: a height difference h over a distance d makes it h^2 / 2 d too short.
    Source: Directive 2014/32/EU, Annex X (MI-008); the allowance is this project's choice.

    >>> round(taping_u_mm(4000.0), 3)  # (0.3 + 4 * 0.2 + 1.0) / sqrt 3
    1.212
    """
    measured = [name for name, known in SOURCES.items() if known.measured]
    if source not in measured:
        raise UsageError(
            what="source of the distances",
            given=shown(source),
            allowed="what a distance can be laid off with",
            action=write_instead(source, measured),
        )
    return rectangular_u_mm(SOURCES[source].half_width_mm(distance_mm))


def mark(point: FloorPoint, base: Baseline, *, source: str = "tape", confidence_share: float = 0.95) -> Mark:
    """At which two distances does a point lie, on which hand, and how sure is its mark?

    Law of propagation on the two circles: J dP = (dd1 + e1 dA, dd2 + e2 dB), the rows of J being the directions e1, e2 from the
    reference points to the mark; the doubt of where the point is wanted, along x and along y, is added to the whole. Linear;
    where it would not do, near the baseline or with tapes nearly in line, it is refused.

    Args:
        point: the point wanted, in floor coordinates [mm].
        base: the baseline.
        source: what the distances are laid off with.
        confidence_share: confidence of the ellipse [-].

    Returns:
        Distances [mm], covariance [mm2] and ellipse.

    Raises:
        UsageError: a point so near the baseline, or tapes so nearly in line, that its hand could be mistaken; an unknown source.

    Validity: level floor, independent errors, errors small against the distances.
    Source: JCGM 100:2008, 5.1.2; JCGM 102:2011, 6.2 (several outputs).

    >>> from standoff.site.baseline import baseline
    >>> base = baseline(Reference("A", 0.0, 0.0, 0.0), Reference("B", 3000.0, 0.0, 0.0))
    >>> found = mark(FloorPoint("foot 1", 0.0, 4000.0), base)
    >>> found.from_first_mm, found.from_second_mm, found.hand.value
    (4000.0, 5000.0, 'left')
    """
    offset_mm = base.offset_mm(point)
    if abs(offset_mm) <= _SAME_MM:
        raise _mistaken(point, base, offset_mm, "any tape's error")
    first_mm, first_way = _way(base.first, point)
    second_mm, second_way = _way(base.second, point)
    crossing_deg = math.degrees(math.acos(max(-1.0, min(1.0, float(first_way @ second_way)))))
    if not LEAST_CROSSING_DEG <= crossing_deg <= 180.0 - LEAST_CROSSING_DEG:
        raise _mistaken(point, base, offset_mm, f"where the tapes cross at {crossing_deg:.0f} degrees")
    turn = np.linalg.inv(np.array([first_way, second_way]))
    u_mm = np.array([taping_u_mm(d, source=source) for d in (first_mm, second_mm)])
    own = (turn * u_mm**2) @ turn.T
    nothing = np.zeros(2)
    shared = turn @ np.array([np.concatenate([first_way, nothing]), np.concatenate([nothing, second_way])])
    laid = own + shared @ base.covariance_mm2 @ shared.T
    covariance = laid + np.diag([point.u_x_mm**2, point.u_y_mm**2])
    across = np.array([base.first.y_mm - base.second.y_mm, base.second.x_mm - base.first.x_mm]) / base.length_mm
    doubt_mm = MISTAKEN * math.sqrt(float(across @ laid @ across))
    if abs(offset_mm) <= doubt_mm:
        raise _mistaken(point, base, offset_mm, f"{doubt_mm:.0f} mm of doubt across it")
    return Mark(
        point=point,
        from_first_mm=first_mm,
        from_second_mm=second_mm,
        hand=Hand.LEFT if offset_mm > 0.0 else Hand.RIGHT,
        offset_mm=offset_mm,
        crossing_deg=crossing_deg,
        own_mm2=own,
        shared=shared,
        covariance_mm2=covariance,
        ellipse=ellipse(covariance, confidence_share=confidence_share),
    )


def mark_out(points: Sequence[FloorPoint], base: Baseline, *, source: str = "tape", confidence_share: float = 0.95) -> MarkOut:
    """How are these points marked out from this baseline, and by which diagonals are they checked?

    Each mark is checked by the distance to the mark farthest from it: with four feet these are the two diagonals.

    Args:
        points: the points wanted, each with a name of its own.
        base: the baseline.
        source: what all distances are laid off with.
        confidence_share: confidence of the ellipses [-].

    Raises:
        UsageError: no point, a name used twice, two points in one place, or what `mark` refuses.

    Validity: as `mark`.
    Source: as `mark`.
    """
    require_points(points)
    marks = tuple(mark(point, base, source=source, confidence_share=confidence_share) for point in points)
    pairs: dict[frozenset[int], None] = {}
    for i, point in enumerate(points):
        others = [j for j in range(len(points)) if j != i]
        if others:
            pairs[frozenset((i, max(others, key=lambda j: math.dist(_at(point), _at(points[j])))))] = None
    diagonals = tuple(_diagonal(marks[i], marks[j], base, source) for i, j in (sorted(pair) for pair in pairs))
    return MarkOut(base, marks, diagonals)


def located(base: Baseline, *, from_first_mm: float, from_second_mm: float, hand: Hand) -> FloorPoint:
    """Where is a mark that was taped from both reference points, on the hand stated?

    The crossing of two circles. Closer to the baseline than both tapes can tell, the crossing is no measurement: see `mark`.

    Args:
        base: the baseline.
        from_first_mm: distance taped from the first reference point [mm].
        from_second_mm: distance taped from the second [mm].
        hand: the hand of the baseline on which the mark was seen.

    Returns:
        The point, in floor coordinates [mm].

    Raises:
        UsageError: distances that are not above zero, or that do not meet beside the baseline.

    Validity: level floor.
    Source: geometry of the triangle.

    >>> from standoff.site.baseline import baseline
    >>> base = baseline(Reference("A", 0.0, 0.0, 0.0), Reference("B", 3000.0, 0.0, 0.0))
    >>> found = located(base, from_first_mm=4000.0, from_second_mm=5000.0, hand=Hand.LEFT)
    >>> found.x_mm, found.y_mm
    (0.0, 4000.0)
    """
    require_positive("distance from the first reference point", from_first_mm)
    require_positive("distance from the second reference point", from_second_mm)
    length_mm = base.length_mm
    along_mm = (from_first_mm**2 - from_second_mm**2 + length_mm**2) / (2.0 * length_mm)
    if from_first_mm**2 - along_mm**2 <= _SAME_MM**2:
        raise UsageError(
            what="taped distances",
            given=f"{from_first_mm:.1f} mm and {from_second_mm:.1f} mm over a baseline of {length_mm:.1f} mm",
            allowed="distances that meet beside the baseline",
            action="tape both again, each from its own reference point",
        )
    off_mm = hand.sign * math.sqrt(from_first_mm**2 - along_mm**2)
    way_x, way_y = (base.second.x_mm - base.first.x_mm) / length_mm, (base.second.y_mm - base.first.y_mm) / length_mm
    return FloorPoint(
        "taped", base.first.x_mm + along_mm * way_x - off_mm * way_y, base.first.y_mm + along_mm * way_y + off_mm * way_x
    )


def _diagonal(start: Mark, end: Mark, base: Baseline, source: str) -> Diagonal:
    """The distance between two marks; what both have from the reference points moves them together."""
    distance_mm = math.dist(_at(start.point), _at(end.point))
    way = (np.array(_at(end.point)) - np.array(_at(start.point))) / distance_mm
    shared = way @ (end.shared - start.shared)
    variance_mm2 = way @ (start.own_mm2 + end.own_mm2) @ way + shared @ base.covariance_mm2 @ shared
    u_mm = math.hypot(math.sqrt(float(variance_mm2)), taping_u_mm(distance_mm, source=source))
    return Diagonal(start.point.name, end.point.name, distance_mm, u_mm)


def _way(reference: Reference, point: FloorPoint) -> tuple[float, Array]:
    """The distance from a reference point to a point [mm], and the direction."""
    way = np.array([point.x_mm - reference.x_mm, point.y_mm - reference.y_mm])
    distance_mm = float(np.hypot(*way))
    return distance_mm, way / distance_mm


def _at(point: FloorPoint) -> tuple[float, float]:
    return point.x_mm, point.y_mm


def require_points(points: Sequence[FloorPoint]) -> None:
    """Refuse a list of points that is empty, or holds a name or a place twice."""
    if not points:
        raise UsageError(what="points", given="none", allowed="one point at least", action="give the points to be marked")
    require_names("point", [point.name for point in points])
    for one, other in combinations(points, 2):
        if math.dist(_at(one), _at(other)) <= _SAME_MM:
            raise UsageError(
                what="points",
                given=f"{shown(one.name)} and {shown(other.name)} in one place",
                allowed="points apart",
                action="strike out one of them",
            )


def require_names(what: str, names: Sequence[str]) -> None:
    """Refuse a name used twice."""
    for name in names:
        if names.count(name) > 1:
            raise UsageError(what=what, given=f"{shown(name)} twice", allowed="a name of its own", action="rename one of them")


def _mistaken(point: FloorPoint, base: Baseline, offset_mm: float, doubt: str) -> UsageError:
    """The refusal of a point whose hand could be mistaken."""
    return UsageError(
        what="point",
        given=f"{shown(point.name)} {abs(offset_mm):.0f} mm beside the line {base.first.name} to {base.second.name}, {doubt}",
        allowed=f"a point well beside the baseline, its tapes crossing at {LEAST_CROSSING_DEG:.0f} degrees at least",
        action="choose other reference points",
    )
