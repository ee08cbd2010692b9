"""What to do about a placement: which reading to take again first, and which changes open the window."""

from __future__ import annotations

from dataclasses import dataclass

from standoff.job.placement import Placement, bounds_of, place_without_suspect
from standoff.job.remedies import remedies_of, shortfall_of
from standoff.model.requirement import Side
from standoff.solve.remedy import Remedy, Shortfall
from standoff.solve.sensitivity import Gain, gains


@dataclass(frozen=True, slots=True)
class Advice:
    """Readings worth taking again, best first; sets of changes, best first; or how close everything offered comes.

    Changes are sought for a window `wanted_mm` [mm] wide. `without` is the placement without the one reading that is suspect,
    where one alone is.
    """

    wanted_mm: float
    gains: tuple[Gain, ...]
    remedies: tuple[Remedy, ...]
    shortfall: Shortfall | None
    without: Placement | None


def advise(placement: Placement, *, wanted_mm: float = 0.0) -> Advice:
    """The advice for a placement. Remedies are sought where the guarded window is empty or not `wanted_mm` [mm] wide.

    Where a requirement fails in which the standoff has no part, no set of changes on the axis can help.
    """
    job = placement.job
    helpless = any(j.row.side is Side.NONE and not j.holds for j in placement.rows)
    width_mm = placement.guarded.greatest_mm - placement.guarded.least_mm
    seek = not helpless and (placement.guarded.empty or width_mm < wanted_mm)
    found = remedies_of(job, wanted_mm=wanted_mm) if seek else ()
    return Advice(
        wanted_mm=wanted_mm,
        gains=_gains(placement),
        remedies=found,
        shortfall=shortfall_of(job, wanted_mm=wanted_mm) if seek and not found else None,
        without=place_without_suspect(placement),
    )


def _gains(placement: Placement) -> tuple[Gain, ...]:
    """None for an empty plain window: no reading, however good, opens it."""
    if placement.window.empty:
        return ()
    layout = placement.layout
    rows = tuple(judged.row for judged in placement.rows)
    placed = tuple(row for row in rows if row.bounds_standoff)
    forms = [form for row in rows for _, form in row.slacks]
    values_mm = layout.values_mm(standoff_mm=placement.standoff_mm, cut_mm=placement.cut_mm)
    return gains(
        bounds_of(layout, placed),
        [row.slack for row in placed],
        forms=forms,
        means_mm=[form.value(values_mm) for form in forms],
        u_mm=layout.uncertainties_mm(),
        cut_limit_mm=layout.cut_limit_mm,
    )
