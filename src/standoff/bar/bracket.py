"""Between which two speeds does the lowest critical speed lie? Closed in by counting modes, so that it cannot be another mode.

Below the bracket's lower end no mode is counted, at its upper end one or more: that is the certificate. The determinant only
chooses where to count next (interpolate, truncate, project: never slower than halving, mostly much faster).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from standoff.bar.mesh import Flags, Floats, Mesh
from standoff.bar.stiffness import Count, count_below
from standoff.errors import UsageError

WIDTH = 1e-6
"""Relative width of the brackets."""

_WIDENINGS = 60


@dataclass(frozen=True, slots=True, eq=False)
class Bracket:
    """For each case: the frequency below which there is no mode, and the one below which there is one. Both 0: buckled."""

    low_rad_per_s: Floats
    high_rad_per_s: Floats


@dataclass(slots=True, eq=False)
class _Search:
    """The two ends, as logarithms of the frequency, with the determinants counted there."""

    low: Floats
    high: Floats
    sign_low: Floats
    sign_high: Floats
    log_low: Floats
    log_high: Floats

    def enter(self, at: Floats, count: Count, which: Flags) -> None:
        """Take a count as the new end it is."""
        rows = np.flatnonzero(which)
        none = count.below == 0
        up, down = rows[none], rows[~none]
        self.low[up], self.sign_low[up], self.log_low[up] = at[none], count.sign[none], count.log_size[none]
        self.high[down], self.sign_high[down], self.log_high[down] = at[~none], count.sign[~none], count.log_size[~none]


def lowest(bar: Mesh) -> Bracket:
    """In which bracket does the lowest critical frequency of each case lie?

    Args:
        bar: c cases.

    Returns:
        Brackets of relative width 1e-6; where the feed force alone buckles the bar, both ends are 0.

    Raises:
        UsageError: a bar so loosely held that no lowest frequency was found.

    Validity: as `count_below`. Rounding may move an end by about 1e-9.
    Source: counting as `count_below`; search after I.F.D. Oliveira and R.H.C. Takahashi, ACM Trans. Math. Softw. 47 (2021) 5.
    """
    stable = np.ones(bar.cases, dtype=bool)
    if np.any(bar.axial_n > 0.0):
        stable = count_below(bar, np.zeros(bar.cases)).below == 0
    low, high = np.zeros(bar.cases), np.zeros(bar.cases)
    if np.any(stable):
        search = _widened(bar.take(stable))
        _close_in(bar.take(stable), search)
        low[stable], high[stable] = np.exp(search.low), np.exp(search.high)
    return Bracket(low, high)


def _start(bar: Mesh) -> Floats:
    """A first guess: the longest part between held joints as a span of its own."""
    held = (bar.lateral_n_per_mm > 0.0) | (bar.rotational_n_mm > 0.0)
    span, longest = np.zeros(bar.cases), np.zeros(bar.cases)
    for piece, reached in zip(bar.piece_mm, held[1:], strict=True):
        span += piece
        longest = np.maximum(longest, span)
        span[reached] = 0.0
    mean_mass = (bar.piece_mm * bar.mass_kg_m).sum(axis=0) / bar.piece_mm.sum(axis=0) * 1e-6
    bending = (np.pi / longest) ** 2 * np.sqrt(bar.ei_n_mm2 / mean_mass)
    # A quarter of the frequency at which shear alone resonates bounds what the theory covers.
    with np.errstate(divide="ignore"):
        cap = 0.25 * np.sqrt(bar.shear_n / (bar.rotary_kg_mm * 1e-3))
    guess: Floats = np.minimum(bending, cap)
    return guess


def _widened(bar: Mesh) -> _Search:
    """From the guess outwards until every case has both its ends."""
    at = np.log(_start(bar))
    search = _Search(*(np.full(bar.cases, np.nan) for _ in range(6)))
    step = np.full(bar.cases, np.log(1.5))
    for _ in range(_WIDENINGS):
        open_ = np.isnan(search.low) | np.isnan(search.high)
        if not np.any(open_):
            return search
        part = bar if open_.all() else bar.take(open_)
        search.enter(at[open_], count_below(part, np.exp(at[open_])), open_)
        at = np.where(np.isnan(search.low), search.high - step, search.low + step)
        step = step * 1.5
    raise UsageError(
        what="bar",
        given="with supports that hardly hold it",
        allowed="a lowest critical speed that can be found",
        action="check the stiffness of the supports and their units",
    )


def _close_in(bar: Mesh, search: _Search) -> None:
    """Interpolate, truncate, project, until every bracket is narrow enough."""
    half_width = WIDTH / 2.0
    first = search.high - search.low
    steps = np.ceil(np.log2(np.maximum(first / (2.0 * half_width), 1.0))) + 1.0
    done = 0
    while np.any(active := search.high - search.low > 2.0 * half_width):
        low, high = search.low[active], search.high[active]
        middle, width = (low + high) / 2.0, high - low
        share = 1.0 / (1.0 + np.exp(np.clip(search.log_high[active] - search.log_low[active], -50.0, 50.0)))
        guess = np.where(search.sign_high[active] * search.sign_low[active] < 0.0, low + width * share, middle)
        toward = np.sign(middle - guess)
        truncated = guess + toward * np.minimum(0.2 * width**2 / first[active], np.abs(middle - guess))
        room = half_width * np.exp2(steps[active] - done) - width / 2.0
        near = np.abs(truncated - middle) <= room
        at = np.where(near, truncated, middle - toward * room)
        part = bar if active.all() else bar.take(active)
        search.enter(at, count_below(part, np.exp(at)), active)
        done += 1
