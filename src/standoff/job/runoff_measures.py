"""What was measured in the run-off, judged: remnants against the survey, first parts, the bar's end, bar changes.

The remnant of a bar lies between the shortest one that the standoff allows and one part more: which, its own length says. So only
bars whose length was measured are held against the prediction, each against its own. Where the shortest remnant is not known well
enough to say whether a bar has one part more or fewer, both are as predicted. For the others nothing is known but these two ends:
bars of one bundle are alike, so that their mean need not be that over the mill's tolerance.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from statistics import fmean

from standoff.bar.lengths import expected
from standoff.bar.yields import Cutting, cut_up
from standoff.job.job import Job
from standoff.job.parts import Part
from standoff.job.runoff_tables import RunoffBarTable
from standoff.job.supply import mill_tolerance_of
from standoff.model.form import STANDOFF, Form
from standoff.model.state import FRONT_LIMIT, REAR_LIMIT
from standoff.site.capability import Capability, capability
from standoff.site.control_chart import ControlChart, control_chart
from standoff.site.paired import PairedDifference, paired_difference
from standoff.site.remnant import (
    FEWEST_BARS,
    LimitJudgement,
    Match,
    MeanRemnant,
    RemnantJudgement,
    judge_limit,
    judge_prediction,
    mean_remnant,
)

COVERAGE = 2.0
"""A remnant is outside of what the survey allows where it misses it by so many standard uncertainties."""
_SAME_MM = 1e-6
_ALIKE_MM = 1e-4
"""Lengths that differ by no more show no scatter."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Prediction:
    """The remnant as the survey predicts it: shortest and longest of all bars, their mean, each with the uncertainty u. [mm]

    `own_lengths`: the mean is of the bars whose length was measured, each by its own; otherwise over the mill's tolerance.
    """

    shortest_mm: float
    longest_mm: float
    mean_mm: float
    u_mm: float
    shortest_u_mm: float
    own_lengths: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class RemnantStanding:
    """The measured remnants of a run, in order. `bars`: the places of the measured bars in the run, from 1.

    `below`, `above`: how many lie outside of what the survey allows for any bar. None: nothing to compare with, or too few.
    """

    remnants_mm: tuple[float, ...]
    bars: tuple[int, ...]
    mean: MeanRemnant
    chart: ControlChart | None
    prediction: Prediction | None
    judgement: RemnantJudgement | None
    limit: LimitJudgement | None
    below: int
    above: int


@dataclass(frozen=True, slots=True, kw_only=True)
class LengthStanding:
    """Lengths of parts of a run against their limits; `capability` is None below two, or where all are equal."""

    lengths_mm: tuple[float, ...]
    wanted_mm: float | None
    tolerance_mm: float | None
    outside: int | None
    capability: Capability | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeStanding:
    """The bar changes of a run; `over` counts those longer than agreed (None: nothing was agreed)."""

    changes_s: tuple[float, ...]
    mean_s: float
    longest_s: float
    agreed_s: float | None
    over: int | None
    chart: ControlChart | None


def remnants_of(
    job: Job, part: Part | None, bars: Sequence[RunoffBarTable], *, cut_mm: float, standoff_mm: float, at_most_mm: float | None
) -> RemnantStanding | None:
    """The remnants of a run's bars, in order; None where none was measured."""
    measured = [(place, bar) for place, bar in enumerate(bars, start=1) if bar.remnant]
    if not measured:
        return None
    readings = [bar.remnant[0] for _, bar in measured if bar.remnant]
    remnants_mm = tuple(reading.value_mm for reading in readings)
    reading_u_mm = max(reading.u_mm for reading in readings)
    mean = mean_remnant(remnants_mm, reading_u_mm=reading_u_mm)
    known = [bar for _, bar in measured if bar.bar_length]
    prediction, judgement = None, None
    if part is not None and (len(known) >= FEWEST_BARS or len(known) == len(measured)):
        prediction, judgement = _by_own_lengths(job, part, known, standoff_mm=standoff_mm, cut_mm=cut_mm)
    elif part is not None:
        prediction = prediction_of(job, part, standoff_mm=standoff_mm, cut_mm=cut_mm)
        found = judge_prediction(mean, predicted_mm=prediction.mean_mm, predicted_u_mm=prediction.u_mm)
        judgement = replace(found, match=Match.NO_LENGTHS)
    outside_mm = 0.0 if prediction is None else COVERAGE * math.hypot(prediction.shortest_u_mm, reading_u_mm)
    return RemnantStanding(
        remnants_mm=remnants_mm,
        bars=tuple(place for place, _ in measured),
        mean=mean,
        chart=control_chart(remnants_mm) if len(remnants_mm) > 1 else None,
        prediction=prediction,
        judgement=judgement,
        limit=None if at_most_mm is None else judge_limit(mean, longest_mm=at_most_mm),
        below=0 if prediction is None else sum(mm < prediction.shortest_mm - outside_mm for mm in remnants_mm),
        above=0 if prediction is None else sum(mm > prediction.longest_mm + outside_mm for mm in remnants_mm),
    )


def prediction_of(
    job: Job,
    part: Part,
    *,
    standoff_mm: float,
    cut_mm: float,
    own_mm: Sequence[float] | None = None,
    own_u_mm: float = 0.0,
) -> Prediction:
    """The remnant as the survey predicts it; `own_mm` are the measured lengths of bars that all hold one part at least."""
    cutting = part.cutting
    shortest_u_mm = shortest_remnant_u_mm(job, part, standoff_mm=standoff_mm, cut_mm=cut_mm)
    shortest_mm = cutting.unused_mm - cutting.facing_mm
    # Where the bar only just holds a part, the step to a longer remnant is cut short: such a bar has one part either way.
    most_mm = min(own_mm or [part.bar_mm]) - cutting.facing_mm - cutting.advance_mm
    steps = (_longer(cutting, by_mm, most_mm=most_mm) for by_mm in (shortest_u_mm, -shortest_u_mm))
    more, less = (_mean_mm(job, part, step, own_mm) for step in steps)
    return Prediction(
        shortest_mm=shortest_mm,
        longest_mm=shortest_mm + cutting.advance_mm,
        mean_mm=_mean_mm(job, part, cutting, own_mm),
        u_mm=math.hypot(abs(more - less) / 2.0, own_u_mm if own_mm is not None else 0.0),
        shortest_u_mm=shortest_u_mm,
        own_lengths=own_mm is not None,
    )


def _longer(cutting: Cutting, by_mm: float, *, most_mm: float) -> Cutting:
    """The cutting with another shortest remnant; a sub-spindle saves no more than there is."""
    remnant_mm = max(min(cutting.remnant_mm + by_mm, most_mm), 0.0)
    return replace(cutting, remnant_mm=remnant_mm, pick_off_gain_mm=min(cutting.pick_off_gain_mm, remnant_mm))


def _mean_mm(job: Job, part: Part, cutting: Cutting, own_mm: Sequence[float] | None) -> float:
    """The mean remnant: of bars of these lengths, or over the mill's tolerance. [mm]"""
    if own_mm is not None:
        return fmean(cut_up(cutting, list(own_mm)).remnant_mm.tolist())
    return float(expected(cutting, part.bar_mm, mill_tolerance_of(job)).remnant_mm)


def _by_own_lengths(
    job: Job, part: Part, bars: Sequence[RunoffBarTable], *, standoff_mm: float, cut_mm: float
) -> tuple[Prediction, RemnantJudgement]:
    """Bars with remnant and length, each against its own prediction, so that only the misses scatter."""
    lengths = [bar.bar_length[0] for bar in bars if bar.bar_length]
    readings = [bar.remnant[0] for bar in bars if bar.remnant]
    own_mm, remnants_mm = [one.value_mm for one in lengths], [one.value_mm for one in readings]
    own_u_mm, reading_u_mm = max(one.u_mm for one in lengths), max(one.u_mm for one in readings)
    found = prediction_of(job, part, standoff_mm=standoff_mm, cut_mm=cut_mm, own_mm=own_mm, own_u_mm=own_u_mm)
    step_mm = COVERAGE * math.hypot(found.shortest_u_mm, own_u_mm)
    predicted_mm = _nearest(part.cutting, own_mm, remnants_mm, step_mm)
    prediction = replace(found, mean_mm=fmean(predicted_mm), u_mm=own_u_mm)
    most_mm = max(predicted_mm)
    # Shifted so that none is negative: a difference does not mind.
    misses_mm = [measured - own + most_mm for measured, own in zip(remnants_mm, predicted_mm, strict=True)]
    mean = mean_remnant(misses_mm, reading_u_mm=reading_u_mm)
    judged = judge_prediction(mean, predicted_mm=most_mm, predicted_u_mm=own_u_mm)
    return prediction, replace(judged, measured=replace(mean, mean_mm=fmean(remnants_mm)))


def _nearest(cutting: Cutting, own_mm: Sequence[float], remnants_mm: Sequence[float], step_mm: float) -> list[float]:
    """What each bar of these lengths may leave, the shortest remnant being off by `step_mm` at most: nearest to what it left."""
    most_mm = min(own_mm) - cutting.facing_mm - cutting.advance_mm
    steps = (_longer(cutting, by_mm, most_mm=most_mm) for by_mm in (0.0, step_mm, -step_mm))
    outcomes = zip(*(cut_up(step, list(own_mm)).remnant_mm.tolist() for step in steps), strict=True)
    return [min(each, key=lambda mm: abs(mm - left_mm)) for each, left_mm in zip(outcomes, remnants_mm, strict=True)]


def shortest_remnant_u_mm(job: Job, part: Part, *, standoff_mm: float, cut_mm: float) -> float:
    """How well is the shortest remnant known?

    R = K - min(C + p, X) + i as a sum of readings, whichever of the two is the smaller; near where they are equal it errs low.

    Args:
        job: the job.
        part: the part.
        standoff_mm: where the loader stands [mm].
        cut_mm: what was cut off a fixed nose [mm].

    Returns:
        Standard uncertainty of the shortest remnant [mm].

    Source: JCGM 100:2008, 5.1.2 and F.1.2.3.
    """
    layout = job.layout
    end = part.mode.at(FRONT_LIMIT)
    extra_u_mm = 0.0
    if part.reach.shortfall_mm > 0.0:
        tip = layout.place("pusher-tip", end)
    else:
        travel = part.mode.front
        if part.table.z_last_cut:
            travel, extra_u_mm = Form.of("lathe.modes[0].z_rear").times(-job.z_sign), part.table.z_last_cut[0].u_mm
        tip = travel + layout.gap("adapter", "main-collet", part.mode.at(REAR_LIMIT))
    form = layout.place("cut-off", end) - tip
    if "bar_path.insertion" in layout.quantities:
        form = form + Form.of("bar_path.insertion")
    u_mm = layout.uncertainties_mm()
    stood = job.tables.as_installed
    if stood is not None:
        u_mm |= {STANDOFF: stood.standoff[0].u_mm}
    return math.hypot(form.spread(u_mm), extra_u_mm)


def lengths_of(lengths_mm: Sequence[float], *, wanted_mm: float | None, tolerance_mm: float | None) -> LengthStanding | None:
    """Lengths of parts against what is wanted; None where none was measured."""
    if not lengths_mm:
        return None
    judged = wanted_mm is not None and tolerance_mm is not None
    lower_mm, upper_mm = ((wanted_mm or 0.0) - (tolerance_mm or 0.0), (wanted_mm or 0.0) + (tolerance_mm or 0.0))
    spread = len(lengths_mm) > 1 and max(lengths_mm) - min(lengths_mm) > _ALIKE_MM
    return LengthStanding(
        lengths_mm=tuple(lengths_mm),
        wanted_mm=wanted_mm,
        tolerance_mm=tolerance_mm,
        outside=sum(not lower_mm - _SAME_MM <= mm <= upper_mm + _SAME_MM for mm in lengths_mm) if judged else None,
        capability=capability(lengths_mm, lower_mm=lower_mm, upper_mm=upper_mm) if judged and spread else None,
    )


def end_of_bar(bars: Sequence[RunoffBarTable]) -> PairedDifference | None:
    """First part against last part of the same bars; None below two bars with both."""
    both = [(bar.first_part[0].value_mm, bar.end_part[0].value_mm) for bar in bars if bar.first_part and bar.end_part]
    return paired_difference([first for first, _ in both], [last for _, last in both]) if len(both) > 1 else None


def changes_of(bars: Sequence[RunoffBarTable], *, agreed_s: float | None) -> ChangeStanding | None:
    """The bar changes of a run; None where none was timed."""
    changes_s = tuple(bar.change for bar in bars if bar.change is not None)
    if not changes_s:
        return None
    return ChangeStanding(
        changes_s=changes_s,
        mean_s=fmean(changes_s),
        longest_s=max(changes_s),
        agreed_s=agreed_s,
        over=None if agreed_s is None else sum(change_s > agreed_s for change_s in changes_s),
        chart=control_chart(changes_s) if len(changes_s) > 1 else None,
    )
