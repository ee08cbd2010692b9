"""Several different parts from one bar: which counts of each use the bar best, no more of any than is wanted.

A knapsack with few kinds of parts, solved exactly as an integer programme and then checked against the bar's length.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp

from standoff.bar.checks import require_not_negative
from standoff.bar.yields import Floats, Ints, require_bars, require_cut
from standoff.errors import UsageError
from standoff.units import ON_STEP_MM

_LONGEST_SEARCH_S = 20.0


@dataclass(frozen=True, slots=True)
class Wanted:
    """A kind of part: its length, and how many are wanted at most."""

    part_mm: float
    count: int

    def __post_init__(self) -> None:
        if self.count < 1:
            raise UsageError(what="parts wanted", given=f"{self.count}", allowed="one or more", action="leave that part out")


@dataclass(frozen=True, slots=True)
class Mix:
    """How many of each kind, in the order given, and where the bar's length goes."""

    counts: tuple[int, ...]
    bar_mm: float
    in_parts_mm: float
    in_cuts_mm: float
    remnant_mm: float

    @property
    def yield_share(self) -> float:
        """Share of the bar's length that becomes parts."""
        return self.in_parts_mm / self.bar_mm


def best_mix(kinds: Sequence[Wanted], *, bar_mm: float, cut_off_mm: float, remnant_mm: float, facing_mm: float = 0.0) -> Mix:
    """Which counts of several parts make the most of one bar?

    The greatest length in parts whose cut-offs, facing and shortest remnant still fit. One bar at a time: the best first bar of
    an order need not begin the best set of bars. A pick-off is left out: errs low by one part at most.

    Args:
        kinds: parts that may come from the bar.
        bar_mm: length of the bar [mm].
        cut_off_mm: width of the cut-off tool, the same for all [mm].
        remnant_mm: shortest remnant [mm].
        facing_mm: what facing takes [mm].

    Returns:
        Counts in the order of the kinds, and the lengths [mm]; of equally good mixes one.

    Raises:
        UsageError: no kinds, a length that cannot be, a part longer than the bar, or a search that does not end.

    Validity: as `cut_up`; a dozen kinds.
    Source: integer programme, solved by HiGHS to a gap of zero.

    >>> best_mix([Wanted(57.0, 100), Wanted(41.0, 100)], bar_mm=390.0, cut_off_mm=3.0, remnant_mm=100.0).counts
    (4, 1)
    """
    if not kinds:
        raise UsageError(what="parts", given="none", allowed="one kind at least", action="name the parts to be made")
    require_not_negative("shortest remnant", remnant_mm)
    held_mm = remnant_mm + require_not_negative("facing", facing_mm)
    for kind in kinds:
        require_cut(part_mm=kind.part_mm, cut_off_mm=cut_off_mm)
        require_bars(bar_mm, part_mm=kind.part_mm, held_mm=held_mm)
    parts_mm, room_mm = np.array([kind.part_mm for kind in kinds]), bar_mm - held_mm + ON_STEP_MM
    counts = _solved(parts_mm, parts_mm + cut_off_mm, np.array([kind.count for kind in kinds]), room_mm=room_mm)
    in_parts_mm = sum(n * kind.part_mm for n, kind in zip(counts, kinds, strict=True))
    in_cuts_mm = sum(counts) * cut_off_mm
    return Mix(counts, bar_mm, in_parts_mm, in_cuts_mm, bar_mm - facing_mm - (in_parts_mm + in_cuts_mm))


def _solved(parts_mm: Floats, advances_mm: Floats, most: Ints, *, room_mm: float) -> tuple[int, ...]:
    """The counts with the greatest length in parts; refused if they are not proven best, or do not fit once they are whole."""
    fits = LinearConstraint(advances_mm[np.newaxis, :], -np.inf, room_mm)
    limits = Bounds(0, np.minimum(most, np.floor(room_mm / advances_mm)))
    whole = np.ones(len(parts_mm), dtype=np.int64)
    found = milp(
        -parts_mm,
        constraints=fits,
        bounds=limits,
        integrality=whole,
        options={"mip_rel_gap": 0.0, "time_limit": _LONGEST_SEARCH_S},
    )
    counts = np.round(found.x).astype(np.int64) if found.status == 0 else None
    if counts is None or float(counts @ advances_mm) > room_mm:
        raise UsageError(
            what="mix of parts",
            given=f"of {len(parts_mm)} kinds",
            allowed="one whose best counts are found",
            action="leave out the kinds that matter least, or round the lengths to 0.01 mm",
        )
    return tuple(counts.tolist())
