"""Cautions that stand beside the placement: gaps that close on a person, with the standard that names their limits."""

from __future__ import annotations

from dataclasses import dataclass

from standoff.job.job import Job
from standoff.model.form import Form
from standoff.model.state import REAR_LIMIT, STANDING, State
from standoff.units import Units, format_length

CRUSH_GAPS_MM = {
    "body": 500.0,
    "head": 300.0,
    "leg": 180.0,
    "foot": 120.0,
    "toes": 50.0,
    "arm": 120.0,
    "hand": 100.0,
    "finger": 25.0,
}
"""Least gap that avoids crushing each part of the body: ISO 13854:2017 (EN 349), Table 1."""

CRUSH_SOURCE = "ISO 13854:2017, Table 1"
LOCKOUT = (
    "Before anyone reaches in: stop both machines and follow the lockout procedure (in the US 29 CFR 1910.147)."
    " Rotating and closing parts are to be guarded (ISO 13854, 29 CFR 1910.212); a bar that sticks out of the"
    " spindle can whip. This is a computed placement, no release: the makers' manuals, your local code and the risk assessment"
    " at the machine decide."
)


@dataclass(frozen=True, slots=True)
class Caution:
    """One warning that stands beside the answer."""

    id: str
    text: str
    source: str


def crush_gaps(job: Job, *, standoff_mm: float, cut_mm: float) -> tuple[Caution, ...]:
    """Where a moving machine closes a gap below the limit for the job's part of the body."""
    layout, limit_mm = job.layout, CRUSH_GAPS_MM[job.crush_part]
    values_mm = layout.values_mm(standoff_mm=standoff_mm, cut_mm=cut_mm)
    shifting = [mode for mode in layout.modes if mode.shift.terms]
    found = []
    if shifting and "lathe.cover_to_adapter" in layout.quantities:
        gap_mm = min(layout.gap("body-front", "cover", mode.at(STANDING)).value(values_mm) for mode in shifting)
        if gap_mm < limit_mm:
            where, when = "between the loader's body and the lathe's cover", "at the end of the shift stroke"
            found.append(Caution("crush-gap-shift", _closing(job, where, when, gap_mm), CRUSH_SOURCE))
    if job.sliding:
        gap_mm = min(layout.gap("clamp", "adapter", mode.at(REAR_LIMIT)).value(values_mm) for mode in layout.modes)
        if gap_mm < limit_mm:
            where, when = "between the nose clamp and the spindle adapter", "in every cycle, while the adapter turns"
            found.append(Caution("crush-gap-nose", _closing(job, where, when, gap_mm), CRUSH_SOURCE))
    return tuple(found)


def set_down(job: Job, *, standoff_mm: float, cut_mm: float) -> tuple[Caution, ...]:
    """Where every mode shifts the loader back: does it clear the cover where it is set down, not shifted? No mode asks that."""
    layout = job.layout
    values_mm = layout.values_mm(standoff_mm=standoff_mm, cut_mm=cut_mm)
    if "lathe.cover_to_adapter" not in layout.quantities or any(mode.shift.value(values_mm) >= 0.0 for mode in layout.modes):
        return ()
    gap_mm = layout.gap("body-front", "cover", State(STANDING, None)).value(values_mm)
    kept_mm = Form.of("rules.cover_clearance").value(values_mm)
    if gap_mm >= kept_mm:
        return ()
    there = f"only {_both(gap_mm, job.units)} from" if gap_mm > 0.0 else f"{_both(-gap_mm, job.units)} inside"
    text = (
        f"Every mode shifts the loader back. Where the standoff is measured, not shifted, it would stand {there} the lathe's"
        f" cover ({_both(kept_mm, job.units)} is kept): it cannot be set down or moved through there."
    )
    return (Caution("cover-not-shifted", text, "this geometry"),)


def _closing(job: Job, where: str, when: str, gap_mm: float) -> str:
    gap, limit = (_both(mm, job.units) for mm in (max(gap_mm, 0.0), CRUSH_GAPS_MM[job.crush_part]))
    crush = f"below {limit} it can crush the {job.crush_part}"
    return f"The gap {where} closes to {gap} {when}; {crush}: keep people out of it by a guard."


def _both(mm: float, units: Units) -> str:
    """A length in the units of the job, and in the standard's millimetres besides."""
    return f"{mm:.0f} mm" if units == "mm" else f"{format_length(mm, units)} ({mm:.0f} mm)"
