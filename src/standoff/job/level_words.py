"""Offsets, slopes, moves and shims as they are said at the machine: up, down, left, right, in no more digits than they bear."""

from __future__ import annotations

import re

from standoff.job.amounts import thin
from standoff.job.job import Job
from standoff.site.axis import Miss, Offset
from standoff.site.frame import Move
from standoff.site.tolerance import Grade
from standoff.units import INCH_MM, Units, decimal

COVERAGE = 2.0
"""Expanded uncertainty, about 95 % (JCGM 100:2008, 6.2.1)."""

IN_PER_FT = 12.0 / 1000.0
"""One mm/m, in inches per foot."""

GRADES: dict[Grade, str] = {
    "within": "within",
    "within if measured better": "within only if measured better",
    "not decided": "not decided",
    "outside": "outside",
}
"""How a grade is said."""

NOT_READ = "not read there"
"""Said in place of a figure where a travel was read at another position only."""


def small(length_mm: float, units: Units) -> str:
    """A small length without its sign, in thousandths of an inch or hundredths of a millimetre."""
    return thin(abs(length_mm), units)


def nothing(length_mm: float, units: Units) -> bool:
    """Whether a length would be shown as 0."""
    return small(length_mm, units) == small(0.0, units)


def slope(slope_mm_per_m: float, units: Units) -> str:
    """A slope without its sign."""
    inclined = abs(slope_mm_per_m)
    return f"{decimal(inclined * IN_PER_FT, 4)} in/ft" if units == "in" else f"{decimal(inclined, 2)} mm/m"


def tolerance(length_mm: float, units: Units) -> str:
    """A tolerance as it is stated, without needless zeros."""
    number = f"{length_mm / float(INCH_MM):.4f}" if units == "in" else f"{length_mm:.3f}"
    return f"{number.rstrip('0').rstrip('.')} {units}"


def give_or_take(u_mm: float, units: Units) -> str:
    """How sure a length is, about 95 %."""
    return f"± {small(max(COVERAGE * u_mm, _least_mm(units)), units)}"


def _least_mm(units: Units) -> float:
    """The last digit that is shown: no figure is surer than that. [mm]"""
    return 0.001 * float(INCH_MM) if units == "in" else 0.01


def high_or_low(miss_mm: float, units: Units) -> str:
    """How the loader's axis lies upright."""
    if nothing(miss_mm, units):
        return "at the right height"
    return f"{small(miss_mm, units)} {'high' if miss_mm > 0.0 else 'low'}"


def left_or_right(miss_mm: float, units: Units) -> str:
    """How the loader's axis lies sideways, looking forward."""
    if nothing(miss_mm, units):
        return "not aside"
    return f"{small(miss_mm, units)} {'left' if miss_mm > 0.0 else 'right'}"


def lies(offset: Offset, units: Units) -> str:
    """Where the loader's axis lies at a point."""
    upright = high_or_low(offset.upright.miss_mm, units)
    if offset.sideways is None:
        return f"{upright}, sideways not read"
    return f"{upright} and {left_or_right(offset.sideways.miss_mm, units)}"


def rolled(roll_mm_per_m: float, units: Units) -> str:
    """How the loader is rolled."""
    text = slope(roll_mm_per_m, units)
    if text == slope(0.0, units):
        return "no roll"
    return f"{'left' if roll_mm_per_m > 0.0 else 'right'} side up {text}"


def foot_way(move: Move, units: Units) -> str:
    """Which way a foot goes, and how far."""
    if nothing(move.move_mm, units):
        return "stays"
    return f"{'up' if move.move_mm > 0.0 else 'down'} {small(move.move_mm, units)}"


def screw_way(move: Move, units: Units) -> str:
    """Which way a side screw pushes, and how far."""
    if nothing(move.move_mm, units):
        return "stays"
    return f"{'left' if move.move_mm > 0.0 else 'right'} {small(move.move_mm, units)}"


def shims(move_mm: float, job: Job) -> str:
    """What is put under a foot, or taken out, in the unit in which the shims are bought."""
    table = job.tables.frame
    step = table.shim_step[0] if table is not None and table.shim_step else None
    if step is None or abs(move_mm) < step.value_mm / 2.0:
        return "no shims" if step is not None else ""
    inches = re.search(r"in|″|\"|”|ft|'", step.text) is not None
    thick = f"{abs(move_mm) / float(INCH_MM):.4f}" if inches else f"{abs(move_mm):.3f}"
    text = f"{thick.rstrip('0').rstrip('.')} {'in' if inches else 'mm'}"
    return f"shims {text}" if move_mm > 0.0 else f"take out shims {text}"


def beyond(move: Move, units: Units) -> str:
    """By how much a travel does not suffice; empty where it does."""
    return f"{small(move.beyond_mm, units)} beyond its travel" if move.beyond_mm != 0.0 else ""


def missed(miss: Miss, units: Units) -> str:
    """A miss with its uncertainty and without its way."""
    return f"{small(miss.miss_mm, units)} {give_or_take(miss.u_mm, units)}"
