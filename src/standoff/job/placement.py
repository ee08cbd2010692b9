"""The placement: window, aim, verdict and every row judged, from one job. The main path of the program.

rows = layout.rows()          what must hold, as linear forms
window(bounds)                where it holds; drawn in by the guard band: where it surely holds
aim(bounds)                   the standoff recommended, rounded to what a tape can set
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

import numpy as np

from standoff.job.caution import Caution, crush_gaps, set_down
from standoff.job.job import Job
from standoff.job.plausible import implausible
from standoff.job.survey import SurveyCheck, check_survey, observations, without_reading
from standoff.model.layout import Layout
from standoff.model.requirement import Row
from standoff.solve.confidence import covariance, probability, probability_all
from standoff.solve.pairing import Pairing, wrong_pairings
from standoff.solve.reconcile import reconcile
from standoff.solve.window import GUARD_FACTOR, TIE_MM, Bound, Window, aim, cut_at, exclusions, window
from standoff.units import Units, nearest_step, step_up


class Verdict(Enum):
    """The answer in one word; the value is the contract's."""

    FITS = "fits"
    BETTER = "fits-if-measured-better"
    NOT = "does-not-fit"


@dataclass(frozen=True, slots=True)
class Judged:
    """One row with its figures at the standoff the placement is judged at; a row without the standoff has no bound."""

    row: Row
    bound_mm: float | None
    guarded_mm: float | None
    slack_mm: float
    u_mm: float
    probability: float
    binding: bool

    @property
    def holds(self) -> bool:
        """Whether it holds at the standoff judged, to within a tie."""
        return self.slack_mm >= -TIE_MM


@dataclass(frozen=True, slots=True)
class Contradiction:
    """Why the window is empty: these ask for at least, those allow at most, and they miss each other by so much [mm]."""

    at_least: tuple[int, ...]
    at_most: tuple[int, ...]
    by_mm: float


@dataclass(frozen=True, slots=True)
class Placement:
    """The answer to one job. Rows are judged at `standoff_mm`: the aim, the asked standoff, or an empty window's middle."""

    job: Job
    verdict: Verdict
    window: Window
    guarded: Window
    standoff_mm: float
    aim_mm: float | None
    asked_mm: float | None
    cut_mm: float
    rows: tuple[Judged, ...]
    probability: float
    contradiction: Contradiction | None
    pairings: tuple[Pairing, ...]
    warnings: tuple[Caution, ...]
    remarks: tuple[str, ...]
    survey: SurveyCheck | None

    @property
    def layout(self) -> Layout:
        """The layout that was judged."""
        return self.job.layout

    def row(self, requirement: str, mode: str | None = None) -> Judged:
        """The judged row of a requirement in a mode."""
        return next(j for j in self.rows if j.row.id == requirement and j.row.mode == mode)

    @property
    def failing(self) -> tuple[Judged, ...]:
        """The rows that do not hold at the standoff judged."""
        return tuple(judged for judged in self.rows if not judged.holds)


def place(job: Job, *, asked_mm: float | None = None) -> Placement:
    """At which standoff do all requirements of the job hold at once? `asked_mm` [mm] judges that standoff instead of the aim."""
    layout, rows = job.layout, job.layout.rows()
    placed = tuple(row for row in rows if row.bounds_standoff)
    bounds = bounds_of(layout, placed)
    limit_mm = layout.cut_limit_mm
    plain = window(bounds, cut_limit_mm=limit_mm)
    guarded = window(bounds, cut_limit_mm=limit_mm, factor=GUARD_FACTOR)
    aim_mm, remarks = _aim(job, placed, bounds, plain, guarded)
    standoff_mm = next((d for d in (asked_mm, aim_mm) if d is not None), plain.middle_mm)
    cut_mm = _cut(job, bounds, plain, standoff_mm)
    survey = check_survey(job)
    judged, together = _judge(layout, rows, placed, plain, guarded, standoff_mm, cut_mm)
    return Placement(
        job=job,
        verdict=_verdict(
            [j.slack_mm for j in judged if not j.row.bounds_standoff],
            plain,
            guarded,
            asked_mm,
            consistent=survey is None or survey.result.consistent,
        ),
        window=plain,
        guarded=guarded,
        standoff_mm=standoff_mm,
        aim_mm=aim_mm,
        asked_mm=asked_mm,
        cut_mm=cut_mm,
        rows=judged,
        probability=together,
        contradiction=_contradiction(rows, placed, plain, bounds, limit_mm),
        pairings=wrong_pairings(layout, standoff_mm=standoff_mm, cut_mm=cut_mm),
        warnings=(
            *implausible(job),
            *set_down(job, standoff_mm=standoff_mm, cut_mm=cut_mm),
            *crush_gaps(job, standoff_mm=standoff_mm, cut_mm=cut_mm),
        ),
        remarks=remarks,
        survey=survey,
    )


def quick_verdict(job: Job) -> Verdict:
    """The verdict of `place`, and nothing else: no aim, no probability."""
    layout, rows = job.layout, job.layout.rows()
    bounds = bounds_of(layout, tuple(row for row in rows if row.bounds_standoff))
    plain = window(bounds, cut_limit_mm=layout.cut_limit_mm)
    guarded = window(bounds, cut_limit_mm=layout.cut_limit_mm, factor=GUARD_FACTOR)
    values_mm = layout.values_mm()
    slacks_mm = [form.value(values_mm) for row in rows if not row.bounds_standoff for _, form in row.slacks]
    survey = reconcile(*observations(job))
    return _verdict(slacks_mm, plain, guarded, None, consistent=survey is None or survey.consistent)


def place_without_suspect(placement: Placement) -> Placement | None:
    """The placement without the one reading that is suspect, its quantity taken from the others; None where none stands alone."""
    suspect = placement.survey.lone_suspect if placement.survey is not None else None
    return None if suspect is None else place(without_reading(placement.job, suspect), asked_mm=placement.asked_mm)


def bounds_of(layout: Layout, rows: tuple[Row, ...]) -> list[Bound]:
    """The half-line of each row that bounds the standoff."""
    values_mm, u_mm = layout.values_mm(), layout.uncertainties_mm()
    return [Bound(row.side, row.bound().value(values_mm), row.slack.spread(u_mm), row.shares_cut) for row in rows]


def _aim(
    job: Job, rows: tuple[Row, ...], bounds: list[Bound], plain: Window, guarded: Window
) -> tuple[float | None, tuple[str, ...]]:
    preferred_mm = _preferred(job, rows, plain)
    best = aim(bounds, cut_limit_mm=job.layout.cut_limit_mm, preferred_mm=preferred_mm)
    if best is None:
        return None, ()
    remarks = []
    if preferred_mm is not None and not best.preferred:
        remarks.append(
            "The aim leaves the nose more clearance than preferred: nowhere in the guarded window is it as small as that."
        )
    for allowed in (guarded, plain):
        rounded = _rounded_inside(allowed, best.standoff_mm, job.units)
        if rounded is not None:
            return rounded, tuple(remarks)
    remarks.append("The window is narrower than a step of the tape: the aim is not rounded.")
    return best.standoff_mm, tuple(remarks)


def _preferred(job: Job, rows: tuple[Row, ...], plain: Window) -> float | None:
    """The greatest standoff [mm] that keeps a telescopic nose within its preferred clearance in the mode that binds it."""
    if not job.telescopic:
        return None
    room = max(at for row, at in zip(rows, plain.bounds_mm, strict=True) if row.id == "nose-room")
    values_mm = job.layout.values_mm()
    return room + values_mm["rules.nose_clearance_preferred"] - values_mm["rules.nose_clearance"]


def _rounded_inside(allowed: Window, standoff_mm: float, units: Units) -> float | None:
    """The step of the tape nearest to a standoff that lies in a window, None where no step does."""
    candidates = {nearest_step(standoff_mm, units)}
    if math.isfinite(allowed.least_mm):
        candidates.add(step_up(allowed.least_mm, units))
    if math.isfinite(allowed.greatest_mm):
        candidates.add(-step_up(-allowed.greatest_mm, units))
    inside = sorted(c for c in candidates if allowed.holds(c))
    return min(inside, key=lambda c: abs(c - standoff_mm)) if inside else None


def _cut(job: Job, bounds: list[Bound], plain: Window, standoff_mm: float) -> float:
    """How much to cut off a fixed nose [mm] for a standoff: least that serves best, up to the next step where that is as good."""
    limit_mm = job.layout.cut_limit_mm
    if limit_mm == 0.0:
        return 0.0
    if plain.cut_mm is not None:
        return plain.cut_mm
    exact_mm = cut_at(bounds, standoff_mm=standoff_mm, cut_limit_mm=limit_mm)
    stepped_mm = step_up(exact_mm, job.units)
    if stepped_mm > limit_mm:
        return exact_mm

    def worst(cut_mm: float) -> float:
        slacks = [b.slack_mm(standoff_mm=standoff_mm, cut_mm=cut_mm) - GUARD_FACTOR * b.u_mm for b in bounds]
        return min(slacks)

    loses = any(
        b.slack_mm(standoff_mm=standoff_mm, cut_mm=stepped_mm)
        < min(b.slack_mm(standoff_mm=standoff_mm, cut_mm=exact_mm), 0.0) - TIE_MM
        for b in bounds
    )
    return stepped_mm if not loses and worst(stepped_mm) >= min(worst(exact_mm), 0.0) else exact_mm


def cuts_mm(placement: Placement, standoffs_mm: Sequence[float]) -> list[float]:
    """How much would be cut off a fixed nose [mm] at each of these standoffs."""
    job = placement.job
    bounds = bounds_of(job.layout, tuple(row for row in job.layout.rows() if row.bounds_standoff))
    return [_cut(job, bounds, placement.window, standoff_mm) for standoff_mm in standoffs_mm]


def _judge(
    layout: Layout,
    rows: tuple[Row, ...],
    placed: tuple[Row, ...],
    plain: Window,
    guarded: Window,
    standoff_mm: float,
    cut_mm: float,
) -> tuple[tuple[Judged, ...], float]:
    values_mm = layout.values_mm(standoff_mm=standoff_mm, cut_mm=cut_mm)
    forms = [form for row in rows for _, form in row.slacks]
    slacks_mm = [form.value(values_mm) for form in forms]
    spread = covariance(forms, layout.uncertainties_mm())
    touching = {*plain.at_least, *plain.at_most}
    judged, first = [], 0
    for row in rows:
        own = range(first, first + len(row.slacks))
        first += len(row.slacks)
        worst = min(own, key=lambda i: slacks_mm[i])
        u_mm = math.sqrt(spread[worst, worst])
        here = placed.index(row) if row.bounds_standoff else None
        judged.append(
            Judged(
                row=row,
                bound_mm=None if here is None else plain.bounds_mm[here],
                guarded_mm=None if here is None else guarded.bounds_mm[here],
                slack_mm=slacks_mm[worst],
                u_mm=u_mm,
                probability=_together(own, slacks_mm, spread),
                binding=here in touching,
            )
        )
    return tuple(judged), probability_all(slacks_mm, spread)


def _together(own: range, slacks_mm: list[float], spread: np.ndarray) -> float:
    if len(own) == 1:
        return probability(slack_mm=slacks_mm[own[0]], u_mm=math.sqrt(spread[own[0], own[0]]))
    block = np.ix_(list(own), list(own))
    return probability_all([slacks_mm[i] for i in own], spread[block])


def _verdict(slacks_mm: list[float], plain: Window, guarded: Window, asked_mm: float | None, *, consistent: bool) -> Verdict:
    """The verdict of the contract from the slacks of the rows without D [mm] and the windows.

    Readings that contradict one another allow no more than "if measured better".
    """
    if any(slack_mm < -TIE_MM for slack_mm in slacks_mm):
        return Verdict.NOT
    if asked_mm is not None:
        holds, surely = plain.holds(asked_mm), guarded.holds(asked_mm)
    else:
        holds, surely = not plain.empty, not guarded.empty
    if surely and holds and consistent:
        return Verdict.FITS
    return Verdict.BETTER if holds else Verdict.NOT


def _contradiction(
    rows: tuple[Row, ...], placed: tuple[Row, ...], plain: Window, bounds: list[Bound], limit_mm: float
) -> Contradiction | None:
    if not plain.empty:
        return None
    index = [rows.index(row) for row in placed]
    low, high = exclusions(bounds, cut_limit_mm=limit_mm, missing_mm=plain.least_mm - plain.greatest_mm)
    return Contradiction(
        at_least=tuple(index[i] for i in low),
        at_most=tuple(index[i] for i in high),
        by_mm=plain.least_mm - plain.greatest_mm,
    )
