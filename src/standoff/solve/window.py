"""The window: half-lines of standoffs intersected, with the requirements that bind, and the aim inside.

Every row bounds the standoff from one side. The bounds of a fixed nose share one unknown, its cut k, which moves each of them
by -k; k is eliminated exactly (Fourier-Motzkin: with one shared unknown this is a handful of comparisons), so the window is
every standoff for which SOME single cut serves all modes and states.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from standoff.model.requirement import Side

TIE_MM = 1e-6
"""Two lengths that differ by no more than this are the same: that much is noise of the arithmetic."""

GUARD_FACTOR = 1.645
"""One-sided 95 % of the normal distribution; the guard band of JCGM 106:2012, as the contract rounds it."""

OPEN_FACTOR = 3.0
OPEN_LEAST_MM = 25.4
"""How far inside its finite bound the aim of a window open on the other side stands: 3 u, at least 1 in (our choice)."""


@dataclass(frozen=True, slots=True)
class Bound:
    """One half-line: the standoff must be at least (or at most) `at_mm`, less the cut where the nose's length enters."""

    side: Side
    at_mm: float
    u_mm: float = 0.0
    shares_cut: bool = False

    def drawn_in(self, factor: float) -> Bound:
        """The same bound moved inwards by `factor` standard uncertainties."""
        sign = 1.0 if self.side is Side.AT_LEAST else -1.0
        return Bound(self.side, self.at_mm + sign * factor * self.u_mm, self.u_mm, self.shares_cut)

    def slack_mm(self, *, standoff_mm: float, cut_mm: float) -> float:
        """How much more than required there is [mm] at a standoff and a cut."""
        at_mm = self.at_mm - (cut_mm if self.shares_cut else 0.0)
        return standoff_mm - at_mm if self.side is Side.AT_LEAST else at_mm - standoff_mm


@dataclass(frozen=True, slots=True)
class Window:
    """The interval of standoffs [mm] (infinite where nothing bounds it); empty when `least_mm` exceeds `greatest_mm`.

    `bounds_mm` is what each bound contributes, in their order: a window that is not empty counts each nose bound at the cut that
    suits it best (some single cut serves at every standoff inside), an empty one at the cut that comes closest, `cut_mm`.
    """

    least_mm: float
    greatest_mm: float
    bounds_mm: tuple[float, ...]
    at_least: tuple[int, ...]
    at_most: tuple[int, ...]
    cut_mm: float | None

    @property
    def empty(self) -> bool:
        """Whether no standoff serves."""
        return self.least_mm > self.greatest_mm + TIE_MM

    @property
    def middle_mm(self) -> float:
        """Midway between the two edges, where there are two; else the one there is."""
        edges = [edge for edge in (self.least_mm, self.greatest_mm) if math.isfinite(edge)]
        return sum(edges) / len(edges) if edges else 0.0

    def holds(self, standoff_mm: float) -> bool:
        """Whether a standoff lies inside, its edges included (to within a tie)."""
        inside = self.least_mm - TIE_MM <= standoff_mm <= self.greatest_mm + TIE_MM
        return inside and not self.empty


@dataclass(frozen=True, slots=True)
class _Edges:
    """The tightest bound of each of the four kinds [mm]: with and without the nose's cut, from below and from above."""

    low: float
    high: float
    nose_low: float
    nose_high: float

    def gap_mm(self, cut_mm: float) -> float:
        """By how much the lower edge exceeds the upper at one cut [mm]; not positive when a standoff serves."""
        return max(self.low, self.nose_low - cut_mm) - min(self.high, self.nose_high - cut_mm)

    def closest_cut_mm(self, cut_limit_mm: float) -> float:
        """The smallest cut at which the two edges come closest [mm]."""
        rising, falling = self.low - self.nose_high, self.nose_low - self.high
        if not math.isfinite(falling):
            return 0.0
        balance = (falling - rising) / 2.0 if math.isfinite(rising) else cut_limit_mm
        best = self.gap_mm(min(max(balance, 0.0), cut_limit_mm))
        return min(max(falling - best, 0.0), cut_limit_mm)


def _edges(bounds: Sequence[Bound]) -> _Edges:
    def tightest(side: Side, shares_cut: bool) -> float:
        ats = [b.at_mm for b in bounds if b.side is side and b.shares_cut is shares_cut]
        if side is Side.AT_LEAST:
            return max(ats, default=-math.inf)
        return min(ats, default=math.inf)

    return _Edges(
        low=tightest(Side.AT_LEAST, False),
        high=tightest(Side.AT_MOST, False),
        nose_low=tightest(Side.AT_LEAST, True),
        nose_high=tightest(Side.AT_MOST, True),
    )


def window(bounds: Sequence[Bound], *, cut_limit_mm: float = 0.0, factor: float = 0.0) -> Window:
    """Every standoff at which all bounds hold, each drawn in by `factor` standard uncertainties (0: the plain window)."""
    drawn = [bound.drawn_in(factor) for bound in bounds]
    edges = _edges(drawn)
    least = max(edges.low, edges.nose_low - cut_limit_mm)
    greatest = min(edges.high, edges.nose_high)
    cut_mm: float | None = None
    if least > greatest + TIE_MM or edges.nose_low > edges.nose_high + TIE_MM:
        cut_mm = edges.closest_cut_mm(cut_limit_mm)
        least = max(edges.low, edges.nose_low - cut_mm)
        greatest = min(edges.high, edges.nose_high - cut_mm)
    at = tuple(_contribution(bound, cut_limit_mm, cut_mm) for bound in drawn)
    return Window(
        least_mm=least,
        greatest_mm=greatest,
        bounds_mm=at,
        at_least=_touching(drawn, at, Side.AT_LEAST, least),
        at_most=_touching(drawn, at, Side.AT_MOST, greatest),
        cut_mm=cut_mm,
    )


def _contribution(bound: Bound, cut_limit_mm: float, cut_mm: float | None) -> float:
    if not bound.shares_cut:
        return bound.at_mm
    if cut_mm is not None:
        return bound.at_mm - cut_mm
    return bound.at_mm - cut_limit_mm if bound.side is Side.AT_LEAST else bound.at_mm


def _touching(bounds: Sequence[Bound], at: Sequence[float], side: Side, edge_mm: float) -> tuple[int, ...]:
    return tuple(i for i, b in enumerate(bounds) if b.side is side and abs(at[i] - edge_mm) <= TIE_MM)


@dataclass(frozen=True, slots=True)
class Aim:
    """The standoff recommended [mm], before rounding, and whether it was sought within the preferred part only."""

    standoff_mm: float
    preferred: bool


def exclusions(bounds: Sequence[Bound], *, cut_limit_mm: float, missing_mm: float) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """The bounds that exclude one another by so much whatever is cut: at least, at most."""
    pairs = [
        (i, j)
        for i, a in enumerate(bounds)
        for j, b in enumerate(bounds)
        if a.side is Side.AT_LEAST and b.side is Side.AT_MOST and _room_mm(a, b, cut_limit_mm) <= TIE_MM - missing_mm
    ]
    return tuple(sorted({i for i, _ in pairs})), tuple(sorted({j for _, j in pairs}))


def aim(bounds: Sequence[Bound], *, cut_limit_mm: float = 0.0, preferred_mm: float | None = None) -> Aim | None:
    """The standoff at which the least slack, counted in its own standard uncertainties, is greatest; None: window empty.

    `preferred_mm`: keep at or below this within the guarded window where that is possible (a telescopic nose is best supported
    near its collapsed length). Ties take the smaller standoff. A window open on one side: 3 u, at least 1 in, inside.
    """
    plain = window(bounds, cut_limit_mm=cut_limit_mm)
    if plain.empty or not (math.isfinite(plain.least_mm) or math.isfinite(plain.greatest_mm)):
        return None
    if not (math.isfinite(plain.least_mm) and math.isfinite(plain.greatest_mm)):
        return Aim(_inside_open(plain, bounds), preferred=False)
    weighed = _weighed(bounds)
    guarded = window(bounds, cut_limit_mm=cut_limit_mm, factor=GUARD_FACTOR)
    if preferred_mm is not None and not guarded.empty and guarded.least_mm <= preferred_mm:
        fence = [
            Bound(Side.AT_LEAST, guarded.least_mm),
            Bound(Side.AT_MOST, min(preferred_mm, guarded.greatest_mm)),
        ]
        return Aim(_most_secure_mm([*weighed, *fence], cut_limit_mm), preferred=True)
    return Aim(_most_secure_mm(weighed, cut_limit_mm), preferred=False)


def _weighed(bounds: Sequence[Bound]) -> list[Bound]:
    """The bounds; where no slack has any uncertainty, each counts alike."""
    if any(bound.u_mm > 0.0 for bound in bounds):
        return list(bounds)
    return [Bound(b.side, b.at_mm, 1.0, b.shares_cut) for b in bounds]


def _inside_open(plain: Window, bounds: Sequence[Bound]) -> float:
    touching = plain.at_least or plain.at_most
    step_mm = max(OPEN_LEAST_MM, *(OPEN_FACTOR * bounds[i].u_mm for i in touching))
    return plain.least_mm + step_mm if plain.at_least else plain.greatest_mm - step_mm


def _most_secure_mm(bounds: Sequence[Bound], cut_limit_mm: float) -> float:
    """The smallest standoff that maximises t subject to slack_i >= t u_i: each pair of opposite bounds limits t."""
    low = [b for b in bounds if b.side is Side.AT_LEAST]
    high = [b for b in bounds if b.side is Side.AT_MOST]
    t = min(_room_mm(a, b, cut_limit_mm) / (a.u_mm + b.u_mm) if a.u_mm + b.u_mm > 0.0 else math.inf for a in low for b in high)
    return max(_contribution(b.drawn_in(t), cut_limit_mm, None) for b in low)


def _room_mm(low: Bound, high: Bound, cut_limit_mm: float) -> float:
    """The widest the pair can stand apart [mm]: one cut for both, or the best cut for the one that has it."""
    if low.shares_cut and high.shares_cut:
        return high.at_mm - low.at_mm
    return _contribution(high, cut_limit_mm, None) - _contribution(low, cut_limit_mm, None)


def cut_at(bounds: Sequence[Bound], *, standoff_mm: float, cut_limit_mm: float) -> float:
    """The smallest cut [mm] of a fixed nose with which a standoff is as secure as any cut can make it."""
    weighed = _weighed(bounds)
    nose = [b for b in weighed if b.shares_cut]
    low = [b for b in nose if b.side is Side.AT_LEAST]
    high = [b for b in nose if b.side is Side.AT_MOST]
    shares = [max(_share(b.slack_mm(standoff_mm=standoff_mm, cut_mm=0.0), b.u_mm), 0.0) for b in weighed if not b.shares_cut]
    shares += [_share(b.slack_mm(standoff_mm=standoff_mm, cut_mm=cut_limit_mm), b.u_mm) for b in low]
    shares += [_share(b.slack_mm(standoff_mm=standoff_mm, cut_mm=0.0), b.u_mm) for b in high]
    shares += [_share(b.at_mm - a.at_mm, a.u_mm + b.u_mm) for a in low for b in high]
    t = min(shares, default=math.inf)
    needed = [-b.drawn_in(t if b.u_mm > 0.0 else 0.0).slack_mm(standoff_mm=standoff_mm, cut_mm=0.0) for b in low]
    return min(max(0.0, *needed), cut_limit_mm) if needed else 0.0


def _share(slack_mm: float, u_mm: float) -> float:
    """A slack counted in its own standard uncertainties."""
    if u_mm > 0.0:
        return slack_mm / u_mm
    return math.inf if slack_mm >= 0.0 else -math.inf
