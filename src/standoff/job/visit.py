"""The return visit: what was read and noticed again, held against the record, and which one dimension has changed."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product

from standoff.errors import UsageError
from standoff.job.further import CHANGEABLE
from standoff.job.job import Job
from standoff.job.names import quantity_name, span_name
from standoff.job.placement import place
from standoff.job.tables import ReturnReadingTable, SymptomTable
from standoff.model.form import STANDOFF, Form
from standoff.model.requirement import Requirement, Side
from standoff.model.state import FRONT_LIMIT, REAR_LIMIT, Mode
from standoff.reading import Reading
from standoff.solve.diagnosis import Bound, Diagnosis, Finding, diagnose, splitting

SYMPTOMS = {
    "nose-bottomed": ("nose-room", "the nose bottomed at the rear limit"),
    "bar-met-collet": ("full-bar", "the bar met the collet during pre-feed"),
    "cover-touched": ("cover-clearance", "the loader touches the cover"),
    "reach-short": ("pusher-reach", "the pusher falls short"),
}
"""The requirement whose contact each symptom reports, and the symptom in words."""


@dataclass(frozen=True, slots=True)
class Visit:
    """The diagnosis of a return visit; `next_reading` would tell the first group's members apart."""

    job: Job
    recorded_mm: float
    findings: tuple[Finding, ...]
    bounds: tuple[Bound, ...]
    diagnosis: Diagnosis
    next_reading: str | None


def diagnose_visit(job: Job) -> Visit:
    """Which dimension has changed since the record? Raises UsageError where nothing was read or noticed again."""
    if not job.tables.return_reading and not job.tables.symptom:
        raise UsageError(
            what="job without a return visit",
            given=job.title,
            allowed="at least one [[return_reading]] or [[symptom]]",
            action="write down what was read again or noticed",
        )
    standoff_mm, standoff_u_mm = _recorded(job)
    # The cut of a fixed nose is not recorded: it is the one that serves best at the recorded standoff.
    cut_mm = place(job, asked_mm=standoff_mm).cut_mm
    values_mm = job.layout.values_mm(standoff_mm=standoff_mm, cut_mm=cut_mm)
    u_mm = job.layout.uncertainties_mm() | {STANDOFF: standoff_u_mm}
    findings, bounds = _gathered(job, values_mm, u_mm)
    again = {reading.quantity for reading in job.tables.return_reading}
    doubtful = (q for q, r in job.readings.items() if q.startswith(CHANGEABLE) and (r.u_mm > 0.0 or q in again))
    diagnosis = diagnose(findings, bounds, quantities=[STANDOFF, *doubtful], u_mm=u_mm)
    following = None
    if diagnosis.changed and diagnosis.hypotheses and len(diagnosis.hypotheses[0].quantities) > 1:
        group = diagnosis.hypotheses[0].quantities
        best = splitting(group, findings, list(_candidates(job, group)))
        following = best.name if best is not None else None
    return Visit(job, standoff_mm, tuple(findings), tuple(bounds), diagnosis, following)


def _recorded(job: Job) -> tuple[float, float]:
    """The standoff of the record and its standard uncertainty [mm]; without one, the aim and how exactly it can be set."""
    if job.tables.as_installed is not None:
        reading = job.tables.as_installed.standoff[0]
        return reading.value_mm, reading.u_mm
    aim_mm = place(job).aim_mm
    if aim_mm is None:
        raise UsageError(
            what="record", given="none, and no standoff that fits", allowed="[as_installed] with the standoff", action="write it"
        )
    return aim_mm, job.layout.setting_u_mm


def _gathered(job: Job, values_mm: dict[str, float], u_mm: dict[str, float]) -> tuple[list[Finding], list[Bound]]:
    findings = [_read_again(job, again, values_mm) for again in job.tables.return_reading]
    bounds: list[Bound] = []
    for symptom in job.tables.symptom:
        for found in _noticed(job, symptom, values_mm, u_mm):
            if isinstance(found, Finding):
                findings.append(found)
            else:
                bounds.append(found)
    return findings, bounds


def _mode(job: Job, name: str | None) -> Mode:
    return job.layout.mode(name) if name is not None else job.layout.modes[0]


def _read_again(job: Job, again: ReturnReadingTable, values_mm: dict[str, float]) -> Finding:
    reading = again.value[0]
    if again.quantity is not None:
        form, name = Form.of(again.quantity), f"{quantity_name(again.quantity, job)}, read again"
    else:
        mode = _mode(job, again.mode)
        start, end, state = again.start or "", again.end or "", again.state or ""
        form = job.layout.gap(start, end, mode.at(state))
        name = span_name(start, end, job, mode=mode.name, state=state)
    return Finding(name, form, reading.value_mm - form.value(values_mm), reading.u_mm)


def _noticed(job: Job, symptom: SymptomTable, values_mm: dict[str, float], u_mm: dict[str, float]) -> Iterator[Finding | Bound]:
    mode = _mode(job, symptom.mode)
    others = [other for other in job.layout.modes if symptom.only and other is not mode]
    if symptom.kind == "remnant-longer":
        for reading in (symptom.by or ())[:1]:
            yield _remnant(job, mode, reading, values_mm)
            yield from (_as_before(job, other, reading, values_mm, u_mm) for other in others)
        return
    id_, words = SYMPTOMS[symptom.kind]
    slack = _contact_slack(job, id_, mode)
    name = f"{words}{_in_mode(job, mode)}"
    if symptom.by:
        yield Finding(name, slack, -symptom.by[0].value_mm - slack.value(values_mm), symptom.by[0].u_mm)
    else:
        yield Bound(name, slack, slack.value(values_mm), slack.spread(u_mm))
    for other in others:
        slack = _contact_slack(job, id_, other)
        yield Bound(f"not{_in_mode(job, other)}", slack, slack.value(values_mm), slack.spread(u_mm), negative=False)


def _in_mode(job: Job, mode: Mode) -> str:
    return f" in {mode.name} mode" if job.sliding else ""


def _remnant(job: Job, mode: Mode, reading: Reading, values_mm: dict[str, float]) -> Finding:
    """A remnant grows by what the pusher now lacks to the collet, counted from where it reached it (or already fell short).

    A pusher that reached the collet by the record has first lost what it had to spare, which only the record tells; one that fell
    short already is compared with itself.
    """
    reach = job.layout.gap("main-collet", "pusher-tip", mode.at(FRONT_LIMIT))
    recorded_mm = reach.value(values_mm)
    lost_mm = reading.value_mm + max(recorded_mm, 0.0)
    name = f"pusher reach{_in_mode(job, mode)}, from a remnant {reading.text} longer"
    return Finding(name, reach, -lost_mm, reading.u_mm, from_record=recorded_mm >= 0.0)


def _as_before(job: Job, mode: Mode, reading: Reading, values_mm: dict[str, float], u_mm: dict[str, float]) -> Finding | Bound:
    """A remnant that has not grown: the pusher still reaches the collet, or falls as short as it did."""
    name = f"remnant as before{_in_mode(job, mode)}"
    reach = job.layout.gap("main-collet", "pusher-tip", mode.at(FRONT_LIMIT))
    recorded_mm = reach.value(values_mm)
    if recorded_mm >= 0.0:
        return Bound(name, reach, recorded_mm, reach.spread(u_mm), negative=False)
    return Finding(name, reach, 0.0, reading.u_mm, from_record=False)


def _contact_slack(job: Job, id_: str, mode: Mode) -> Form:
    """The slack of a requirement to contact, without its margin, in a mode."""
    requirement = next(r for r in job.layout.requirements if r.id == id_ and isinstance(r, Requirement))
    gap = job.layout.gap(requirement.start, requirement.end, mode.at(requirement.state))
    return gap - requirement.contact if requirement.side is Side.AT_LEAST else requirement.contact - gap


def _candidates(job: Job, group: Sequence[str]) -> Iterator[Finding]:
    """Readings that could be taken next: distances between stations first, then each suspect by itself."""
    layout = job.layout
    present = {*job.readings, STANDOFF}
    for mode, state in product(layout.modes, (REAR_LIMIT, FRONT_LIMIT)):
        for start, end in product(("clamp", "gripper", "body-front", "cover"), ("adapter", "main-collet", "cover", "pusher-tip")):
            form = layout.gap(start, end, mode.at(state))
            if form.terms and set(form.quantities()) <= present:
                yield Finding(span_name(start, end, job, mode=mode.name, state=state), form, 0.0, 1.0)
    for quantity in group:
        yield Finding(f"{quantity_name(quantity, job)}, read again", Form.of(quantity), 0.0, 1.0)
