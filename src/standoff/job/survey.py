"""The survey of a job held against itself: its double readings and overall checks as observations, and what they accuse."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import permutations

from standoff.job.job import Job
from standoff.job.names import quantity_name, span_name
from standoff.job.tables import CheckTable
from standoff.model.form import NOSE_CUT, STANDOFF, Form
from standoff.model.state import FRONT_LIMIT, REAR_LIMIT
from standoff.reading import SOURCES, rectangular_u_mm
from standoff.solve.reconcile import Judgement, Observation, Reconciliation, reconcile, splitting


@dataclass(frozen=True, slots=True)
class SurveyCheck:
    """The reconciliation of a survey; observations are named by their field (`check[0].value`, `loader.pusher_reach`).

    `split` is, for a suspect group of several, the further reading that would tell them apart, in words.
    """

    result: Reconciliation
    split: str | None

    @property
    def suspects(self) -> tuple[tuple[str, ...], ...]:
        """The suspect groups, most suspect first."""
        return self.result.suspects

    @property
    def lone_suspect(self) -> Judgement | None:
        """What is said of the one reading that can be wrong, where no other can."""
        if [len(group) for group in self.suspects] != [1]:
            return None
        return next(judgement for judgement in self.result.judgements if judgement.name == self.suspects[0][0])


def check_survey(job: Job) -> SurveyCheck | None:
    """Do the readings of the job agree? None where nothing was read more than once."""
    bases, further = observations(job)
    result = reconcile(bases, further)
    if result is None:
        return None
    split = None
    if result.suspects and len(result.suspects[0]) > 1:
        best = splitting(bases, further, result.suspects[0], list(_candidates(job)))
        split = best.name if best is not None else None
    return SurveyCheck(result, split)


def observations(job: Job) -> tuple[dict[str, Observation], list[Observation]]:
    """The first reading of every quantity, and all further readings."""
    bases = {name: Observation(name, Form.of(name), reading.value_mm, reading.u_mm) for name, reading in job.readings.items()}
    further = [
        Observation(f"{name}[{i}]", Form.of(name), reading.value_mm, reading.u_mm)
        for name, readings in sorted(job.repeats.items())
        for i, reading in enumerate(readings, start=1)
    ]
    for i, check in enumerate(job.tables.check):
        form = check_form(job, check)
        if check.standoff is not None and form.coefficient(STANDOFF):
            stood = f"check[{i}].standoff"
            read = check.standoff[0]
            bases[stood] = Observation(stood, Form.of(stood), read.value_mm, read.u_mm)
            form = form.without(STANDOFF) + Form.of(stood).times(form.coefficient(STANDOFF))
        for k, reading in enumerate(check.value):
            name = f"check[{i}].value" + (f"[{k}]" if k else "")
            further.append(Observation(name, form, reading.value_mm, reading.u_mm))
    return bases, further


def without_reading(job: Job, wrong: Judgement) -> Job:
    """The job without one suspect reading, its quantity taken from the others; what was read twice counts as settled."""
    settled = replace(job, tables=job.tables.model_copy(update={"check": []}), repeats={})
    if wrong.name not in job.readings:
        return settled
    read, note = job.readings[wrong.name], "taken from the other readings"
    made = replace(read, value_mm=read.value_mm - wrong.error_mm, u_mm=wrong.others_u_mm, text="", note=note)
    return replace(settled, layout=replace(job.layout, quantities={**job.readings, wrong.name: made}))


def check_form(job: Job, check: CheckTable) -> Form:
    """The distance a check reads; a fixed nose is surveyed before it is cut."""
    mode = job.layout.mode(check.mode) if check.mode is not None else job.layout.modes[0]
    return job.layout.gap(check.start, check.end, mode.at(check.state)).without(NOSE_CUT)


def observation_name(name: str, job: Job) -> str:
    """An observation as it is spoken of."""
    if name.startswith("check["):
        check = job.tables.check[int(name[6 : name.index("]")])]
        span = span_name(check.start, check.end, job, mode=check.mode, state=check.state)
        return f"the standoff at which {span} was read" if name.endswith(".standoff") else f"the check {span}"
    quantity = quantity_of(name, job)
    return quantity_name(name, job) if quantity == name else f"a further reading of {quantity_name(quantity, job)}"


def quantity_of(name: str, job: Job) -> str:
    """The quantity that was read, of a further reading as of the first; a check is none and stays what it is called."""
    quantity = name.rpartition("[")[0]
    return quantity if quantity in job.repeats else name


def _candidates(job: Job) -> Iterator[Observation]:
    """Readings that could still be taken: each quantity once more, and each distance between stations of lathe and headstock."""
    for name, reading in job.readings.items():
        if reading.u_mm > 0.0:
            yield Observation(f"{quantity_name(name, job)}, once more", Form.of(name), reading.value_mm, reading.u_mm)
    values_mm = job.layout.values_mm()
    stations = {n: s for n, s in job.layout.stations.items() if n != "nose-tip"}
    names = [n for n, s in stations.items() if set(s.offset.quantities()) <= set(job.readings)]
    for mode in job.layout.modes:
        for state in (REAR_LIMIT, FRONT_LIMIT):
            for start, end in permutations(names, 2):
                form = job.layout.gap(start, end, mode.at(state))
                value_mm = form.value(values_mm)
                if not form.coefficient(STANDOFF) and value_mm > 0.0:
                    u_mm = rectangular_u_mm(SOURCES["tape"].half_width_mm(value_mm))
                    name = span_name(start, end, job, mode=mode.name, state=state)
                    yield Observation(name, form, value_mm, u_mm)
