"""The placement as a page shows it: texts, pictures, what a page needs to let the loader be dragged, and remedies to try."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any

from standoff.desk.entry import Entry
from standoff.desk.names import field_id, page_of, row_id
from standoff.desk.wording import Wording, wording
from standoff.desk.workbench import Workbench
from standoff.draw.conditions import conditions
from standoff.draw.elevation import Arrangement, elevation, strips_of
from standoff.draw.pose import pose
from standoff.draw.sheet import shown_by_default
from standoff.draw.svg import STYLESHEET, svg
from standoff.errors import UsageError
from standoff.job.advice import advise
from standoff.job.advice_speech import opening, price
from standoff.job.job import Job
from standoff.job.names import quantity_name
from standoff.job.placement import Judged, Placement, Verdict, cuts_mm, place
from standoff.job.remedies import MANNERS, action, consequences
from standoff.job.speech import exact_length, fine_length, length, named, small_length, spare_length, where
from standoff.model.form import NOSE_CUT, STANDOFF
from standoff.model.requirement import Side
from standoff.model.state import BAR_CHANGE, FRONT_LIMIT, REAR_LIMIT
from standoff.reading import SOURCES, Reading
from standoff.solve.confidence import covariance, probability_all
from standoff.solve.remedy import Remedy
from standoff.solve.window import GUARD_FACTOR
from standoff.units import Units, step_mm

__all__ = ["STYLESHEET", "PlacementView", "adopt", "chance_curve", "drawings_of", "job_with", "placement_view"]

STATES = (REAR_LIMIT, BAR_CHANGE, FRONT_LIMIT)
VERDICT_CLASS = {Verdict.FITS: "fits", Verdict.BETTER: "unsure", Verdict.NOT: "clash"}
VERDICT_MARK = {Verdict.FITS: "✓", Verdict.BETTER: "?", Verdict.NOT: "✗"}
VERDICT_WORD = {Verdict.FITS: "Fits", Verdict.BETTER: "Fits if measured better", Verdict.NOT: "Does not fit"}
CUT = "cut-nose"
CURVE_POINTS = 65
BEYOND_MM = 60.0


@dataclass(frozen=True, slots=True)
class Input:
    """One quantity that enters a figure: its name, how much of it counts, its value and where that comes from."""

    field: str
    name: str
    times: str
    value: str
    half_width: str
    source: str

    @property
    def page(self) -> str:
        """On which page it is filled in."""
        return page_of(self.field)

    @property
    def anchor(self) -> str:
        """Where that page shows it."""
        return f"{field_id(self.field)}-box"


@dataclass(frozen=True, slots=True)
class Opened:
    """One row opened down to its inputs."""

    id: str
    title: str
    where: str
    slack: str
    guard: str
    holds: bool
    binding: bool
    chance: str
    sentence: str
    inputs: tuple[Input, ...]


@dataclass(frozen=True, slots=True)
class Trial:
    """One remedy to try."""

    number: int
    title: str
    follows: tuple[str, ...]
    opening: str
    price: str
    agreed_by: tuple[str, ...]
    protected_by: tuple[str, ...]
    proved_by: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Drawings:
    """Elevation and conditions in one mode and state, with the drawing units per mm of either elevation."""

    mode: str
    state: str
    wide: str
    narrow: str
    conditions_wide: str
    conditions_narrow: str
    wide_scale: float
    narrow_scale: float


@dataclass(frozen=True, slots=True)
class PlacementView:
    """The placement of a job in one state."""

    said: Wording
    verdict_class: str
    verdict_mark: str
    verdict_word: str
    aim: str
    drawn: Drawings
    modes: tuple[str, ...]
    states: tuple[str, ...]
    rows: tuple[Opened, ...]
    trials: tuple[Trial, ...]
    tried: Trial | None
    drag: dict[str, Any]


def verdict_of(placement: Placement) -> tuple[str, str]:
    """The class and the word of a verdict."""
    return VERDICT_CLASS[placement.verdict], VERDICT_WORD[placement.verdict]


def placement_view(
    job: Job, *, mode: str | None = None, state: str | None = None, asked_mm: float | None = None, trial: int | None = None
) -> PlacementView:
    """The view of a job, or of what it would be after a remedy; without mode and state, where a requirement binds."""
    before = place(job)
    advice = advise(before)
    tried = advice.remedies[trial] if trial is not None and trial < len(advice.remedies) else None
    placement = place(after(job, tried), asked_mm=asked_mm) if tried is not None else place(job, asked_mm=asked_mm)
    drawn = drawings(placement, mode=mode, state=state)
    return PlacementView(
        said=wording(placement, advice if tried is None else advise(placement)),
        verdict_class=VERDICT_CLASS[placement.verdict],
        verdict_mark=VERDICT_MARK[placement.verdict],
        verdict_word=VERDICT_WORD[placement.verdict],
        aim=length(placement.aim_mm, job.units) if placement.aim_mm is not None else "",
        drawn=drawn,
        modes=tuple(m.name for m in placement.layout.modes),
        states=STATES if job.sliding else (REAR_LIMIT,),
        rows=tuple(_opened(placement, judged) for judged in placement.rows),
        trials=tuple(_trial(i, remedy, job) for i, remedy in enumerate(advice.remedies)),
        tried=_trial(trial or 0, tried, job) if tried is not None else None,
        drag=drag(placement),
    )


def drawings_of(job: Job, *, mode: str | None, state: str | None, asked_mm: float | None, trial: int | None) -> Drawings:
    """The pictures of a job at a standoff, or of what it would be after a remedy."""
    return drawings(place(job_with(job, trial), asked_mm=asked_mm), mode=mode, state=state)


def drawings(placement: Placement, *, mode: str | None = None, state: str | None = None) -> Drawings:
    """The pictures of a placement; without mode and state, where a requirement binds, and without a state at the rear limit.

    Raises LayoutError for a mode or state there is not.
    """
    binding_mode, binding_state = shown_by_default(placement)
    mode, state = (mode, state or REAR_LIMIT) if mode is not None else (binding_mode, state or binding_state)
    shown = pose(placement, mode=mode, state=state)

    def drawn(arrangement: Arrangement) -> tuple[str, str, float]:
        picture = svg(elevation(placement, mode=mode, state=state, arrangement=arrangement), standalone=False)
        chart = svg(conditions(placement, arrangement=arrangement), standalone=False)
        return picture, chart, strips_of(placement, shown, arrangement=arrangement)[0].zones[0].scale

    wide, wide_chart, wide_scale = drawn("wide")
    narrow, narrow_chart, narrow_scale = drawn("narrow")
    return Drawings(
        mode=mode,
        state=state,
        wide=wide,
        narrow=narrow,
        conditions_wide=wide_chart,
        conditions_narrow=narrow_chart,
        wide_scale=wide_scale,
        narrow_scale=narrow_scale,
    )


def job_with(job: Job, trial: int | None) -> Job:
    """The job, or what it would be after the remedy of that number."""
    remedies = advise(place(job)).remedies if trial is not None else ()
    return after(job, remedies[trial]) if trial is not None and trial < len(remedies) else job


def after(job: Job, remedy: Remedy) -> Job:
    """The job as it would be after a remedy."""
    changes = [dose.offer.change(dose.amount_mm) for dose in remedy.doses]
    return replace(job, layout=job.layout.changed(*changes))


def adopt(bench: Workbench, job_id: str, number: int) -> None:
    """Write the figures of a remedy into the job, each with its reason beside it."""
    sheet = bench.sheet(job_id)
    if sheet.job is not None:
        written, why = adopted(sheet.job, number)
        bench.save_all(job_id, written, why)


def adopted(job: Job, number: int) -> tuple[dict[str, Entry], str]:
    """What adopting a remedy writes into each field, and why. Raises UsageError where there is none of that number."""
    remedies = advise(place(job)).remedies
    if number >= len(remedies):
        raise UsageError(what="remedy", given=str(number + 1), allowed=f"1 to {len(remedies)}", action="reload the page")
    remedy = remedies[number]
    changed = after(job, remedy)
    why = " and ".join(action(dose, job) for dose in remedy.doses)
    fields = {field for dose in remedy.doses for field, _ in dose.offer.per_mm}
    written = {field: _changed(changed.readings[field], job.units, f"after: {why}") for field in sorted(fields)}
    cut_mm = sum(dose.amount_mm for dose in remedy.doses if dose.offer.kind == CUT)
    left = job.readings.get("nose.may_be_cut")
    if cut_mm and left is not None:
        # What is cut off cannot be cut off again.
        rest = replace(left, value_mm=max(left.value_mm - cut_mm, 0.0))
        written["nose.may_be_cut"] = _changed(rest, job.units, f"after: {why}")
    return written, why


def _changed(reading: Reading, units: Units, note: str) -> Entry:
    """A reading as it stands after a change: to be read again, with the uncertainty it had."""
    text = exact_length(reading.value_mm, units)
    return Entry(text, source=reading.source, note=note)


def _trial(number: int, remedy: Remedy, job: Job) -> Trial:
    manners = [MANNERS[dose.offer.kind] for dose in remedy.doses]
    return Trial(
        number=number,
        title=" and ".join(action(dose, job) for dose in remedy.doses),
        follows=tuple(consequences(remedy, job)),
        opening=opening(remedy, job),
        price=price(remedy, job),
        agreed_by=tuple(manner.agreed_by for manner in manners),
        protected_by=tuple(manner.protected_by for manner in manners),
        proved_by=tuple(manner.proved_by for manner in manners),
    )


def _opened(placement: Placement, judged: Judged) -> Opened:
    job, units = placement.job, placement.job.units
    values_mm = placement.layout.values_mm(standoff_mm=placement.standoff_mm, cut_mm=placement.cut_mm)
    _, form = min(judged.row.slacks, key=lambda named_slack: named_slack[1].value(values_mm))
    inputs = [input_of(job, field, factor, placement) for field, factor in form.terms]
    return Opened(
        id=row_id(judged.row.id, judged.row.mode),
        title=judged.row.title,
        where=where(judged),
        slack=spare_length(judged.slack_mm, units),
        guard=small_length(GUARD_FACTOR * judged.u_mm, units),
        holds=judged.holds,
        binding=judged.binding,
        chance=f"{judged.probability:.2f}" if judged.probability < 0.995 else "over 0.99",
        sentence=f"Otherwise {judged.row.failure}.",
        inputs=tuple(inputs),
    )


def input_of(job: Job, field: str, factor: float, placement: Placement) -> Input:
    """A quantity as it enters a sum, at the standoff of a placement."""
    units = job.units
    times = {1.0: "+", -1.0: "−"}.get(factor, f"{factor:+g} ×")
    if field == STANDOFF:
        half = length(placement.layout.setting_u_mm * 3**0.5, units)
        return Input("", "standoff", times, length(placement.standoff_mm, units), half, "how exactly the loader is set")
    if field == NOSE_CUT:
        return Input("", "cut of the nose", times, length(placement.cut_mm, units), "", "chosen")
    reading = job.readings[field]
    source = SOURCES[reading.source].meaning if reading.source is not None else "rule of the job"
    value = reading.text or fine_length(reading.value_mm, units)
    return Input(field, quantity_name(field, job), times, value, small_length(reading.half_width_mm, units), source)


def drag(placement: Placement) -> dict[str, Any]:
    """What a page needs to let the loader be dragged: each slack where it stands, and how it follows standoff and cut."""
    low, high, step = _range(placement)
    return {
        "units": placement.job.units,
        "step_mm": step,
        "low": low,
        "high": high,
        "standoff_mm": placement.standoff_mm,
        "cut_mm": placement.cut_mm,
        "cuts_mm": [round(cut, 4) for cut in cuts_mm(placement, [i * step for i in range(low, high + 1)])]
        if placement.layout.cut_limit_mm
        else [],
        "free_fails": any(j.row.side is Side.NONE and not j.holds for j in placement.rows),
        "surveyed": placement.survey is None or placement.survey.result.consistent,
        "rows": [
            {
                "id": row_id(j.row.id, j.row.mode),
                "name": named(j),
                "slack_mm": j.slack_mm,
                "per_mm": 1 if j.row.side is Side.AT_LEAST else -1,
                "per_cut": j.row.slacks[0][1].coefficient(NOSE_CUT),
                "guard_mm": GUARD_FACTOR * j.u_mm,
                "failure": j.row.failure,
            }
            for j in placement.rows
            if j.bound_mm is not None
        ],
    }


def _range(placement: Placement) -> tuple[int, int, float]:
    """How far the loader may be dragged, in steps of the tape, and the step [mm]: beyond what binds by a hand's breadth."""
    step = step_mm(placement.job.units)
    edges_mm = [placement.standoff_mm, *(j.bound_mm for j in placement.rows if j.binding and j.bound_mm is not None)]
    return math.floor((min(edges_mm) - BEYOND_MM) / step), math.ceil((max(edges_mm) + BEYOND_MM) / step), step


def chance_curve(job: Job) -> list[tuple[float, float]]:
    """P(all) over the standoffs to which the loader may be dragged, for a page to read from while dragging."""
    placement = place(job)
    low, high, step = _range(placement)
    layout = placement.layout
    forms = [form for judged in placement.rows for _, form in judged.row.slacks]
    spread = covariance(forms, layout.uncertainties_mm())
    standoffs_mm = [step * (low + (high - low) * i / (CURVE_POINTS - 1)) for i in range(CURVE_POINTS)]
    points = []
    for standoff_mm, cut_mm in zip(standoffs_mm, cuts_mm(placement, standoffs_mm), strict=True):
        values_mm = layout.values_mm(standoff_mm=standoff_mm, cut_mm=cut_mm)
        points.append((round(standoff_mm, 3), round(probability_all([f.value(values_mm) for f in forms], spread), 4)))
    return points
