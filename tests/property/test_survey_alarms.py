"""Surveys of random jobs, drawn with the uncertainties they state: how often they are accused, and how often a blunder is found.

Fixed seeds: the rates below are the same in every run.
"""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache
from random import Random

import numpy as np
import pytest
from scipy.stats import binom, kstest

from standoff.errors import JobFileError
from standoff.job.file import parse_job
from standoff.job.job import Job
from standoff.job.placement import Verdict, place
from standoff.job.survey import check_survey, observations
from standoff.model.form import Form
from standoff.solve.reconcile import POWER, SIGNIFICANCE, Observation, Reconciliation, reconcile, splitting
from tests.jobs import Case, Quantity, mode_name, random_case
from tests.stations import ON_LATHE, ON_LOADER, span_mm
from tests.written import numbers, standard_mm

SURVEYS = 1000

TESTED = ("lathe.", "loader.", "nose.")


@dataclass(frozen=True)
class Repeated(Quantity):
    """A quantity that was read more than once."""

    more: tuple[Quantity, ...] = ()

    def text(self, units: str) -> str:
        """All its readings as a list."""
        return f"[{', '.join([Quantity.text(self, units), *(q.text(units) for q in self.more)])}]"


def drawn(mm: float, u_mm: float, random: Random) -> Fraction:
    """A reading of a true length."""
    return Fraction(round(random.gauss(mm, u_mm), 4)).limit_denominator(10**4)


def surveyed(seed: int) -> str:
    """A job file of true lengths, each read with its uncertainty, some twice, with checks over several parts."""
    random, case = Random(seed), random_case(seed, fine=True)
    true, spread = numbers(case), standard_mm(case)
    quantities: dict[str, Quantity] = {}
    for path, q in case.quantities.items():
        u_mm = spread.get(path, 0.0) if path.startswith(TESTED) else 0.0
        first = replace(q, mm=drawn(true[path], u_mm, random)) if u_mm else q
        quantities[path] = first
        if u_mm and ".centre" not in path and random.random() < 0.15:
            again = tuple(replace(q, mm=drawn(true[path], u_mm, random)) for _ in range(random.randint(1, 2)))
            quantities[path] = Repeated(**{f: getattr(first, f) for f in Quantity.__dataclass_fields__}, more=again)
    checks = "".join(check(case, true, random) for _ in range(random.randint(1, 6)))
    return replace(case, quantities=quantities).text() + checks


def check(case: Case, true: dict[str, float], random: Random) -> str:
    """The table of one check of a random distance."""
    lathe = [name for name in ON_LATHE if name != "cover" or "lathe.cover_to_adapter" in case.quantities]
    start, end = random.sample(lathe if random.random() < 0.6 else [*lathe, *ON_LOADER], 2)
    mode, state = random.randrange(max(case.modes, 1)), random.choice(("rear limit", "front limit"))
    standoff_mm, u_mm = random.uniform(250, 500), random.uniform(0.3, 3.0)
    span = span_mm(start, end, case, true, mode=mode, state=state, standoff_mm=standoff_mm)
    value = Quantity(drawn(span, u_mm, random), standard_mm=Fraction(round(u_mm, 3)).limit_denominator(1000))
    lines = ["[[check]]", f'from = "{start}"', f'to = "{end}"', f'state = "{state}"', f"value = {value.text('mm')}"]
    lines += [f'mode = "{mode_name(mode)}"'] if case.modes else []
    if (start in ON_LOADER) != (end in ON_LOADER):
        stood = Quantity(drawn(standoff_mm, 0.8, random), standard_mm=Fraction(8, 10))
        lines.append(f"standoff = {stood.text('mm')}")
    return "\n".join(lines) + "\n"


@cache
def jobs() -> tuple[Job, ...]:
    """A thousand surveyed jobs; those whose readings happen to contradict the order of Z are left out."""
    found: list[Job] = []
    seed = 0
    while len(found) < SURVEYS:
        with suppress(JobFileError):
            found.append(parse_job(surveyed(seed)))
        seed += 1
    assert seed < 1.1 * SURVEYS
    return tuple(found)


def interval(share: float, count: int) -> tuple[float, float]:
    """Between how many of `count` a share lies in all but one of a thousand simulations."""
    return float(binom.ppf(0.0005, count, share)), float(binom.ppf(0.9995, count, share))


def test_sound_surveys_are_accused_as_often_as_stated() -> None:
    """One in a hundred, to within the binomial interval of a thousand surveys; the probability is uniform, as it has to be."""
    results = [check_survey(job) for job in jobs()]
    probabilities = [found.result.probability for found in results if found is not None]
    assert len(probabilities) == SURVEYS
    alarms = sum(not found.result.consistent for found in results if found is not None)
    least, most = interval(SIGNIFICANCE, SURVEYS)
    assert least <= alarms <= most
    assert kstest(probabilities, "uniform").pvalue > 0.01


def simulated(job: Job, random: np.random.Generator, *, wrong: str = "", by_mm: float = 0.0) -> Reconciliation:
    """The job's survey read once more, the first readings taken as true; one reading may be wrong."""
    bases, further = observations(job)
    true = {name: base.value_mm for name, base in bases.items()}

    def read(o: Observation) -> Observation:
        blunder_mm = by_mm if o.name == wrong else 0.0
        return replace(o, value_mm=o.form.value(true) + random.normal(0.0, o.u_mm) + blunder_mm)

    result = reconcile({name: read(base) for name, base in bases.items()}, [read(o) for o in further])
    assert result is not None
    return result


def test_least_detectable_blunders_are_found_as_often_as_stated() -> None:
    """An error of the size stated for each reading is noticed in four of five surveys; then that reading is among the suspect."""
    random = np.random.default_rng(1)
    noticed = accused = 0
    for job in jobs():
        judgement = random.choice(np.array(simulated(job, random).judgements, dtype=object))
        way = random.choice([-1.0, 1.0])
        result = simulated(job, random, wrong=judgement.name, by_mm=way * judgement.detectable_mm)
        noticed += not result.consistent
        accused += any(judgement.name in group for group in result.suspects)
    least, most = interval(POWER, SURVEYS)
    assert least <= noticed <= most
    assert noticed - interval(SIGNIFICANCE, noticed)[1] <= accused <= noticed


def test_estimated_error_is_that_of_the_blunder() -> None:
    """Three times the size detectable: the wrong reading's group leads, and its error is estimated without bias."""
    random = np.random.default_rng(2)
    first, ratios = 0, []
    for job in jobs()[::2]:
        judgement = random.choice(np.array(simulated(job, random).judgements, dtype=object))
        result = simulated(job, random, wrong=judgement.name, by_mm=3.0 * judgement.detectable_mm)
        first += judgement.name in result.suspects[0] if result.suspects else 0
        now = next(j for j in result.judgements if j.name == judgement.name)
        ratios.append(now.error_mm / (3.0 * judgement.detectable_mm))
    assert first > 0.97 * SURVEYS / 2
    assert np.mean(ratios) == pytest.approx(1.0, abs=0.01)


def parametric(bases: dict[str, Observation], further: list[Observation]) -> float:
    """Chi-square of the least-squares fit of the quantities to all readings, each divided by its uncertainty."""
    names = sorted({q for o in further for q in o.form.quantities()})
    free = [name for name in names if bases[name].u_mm > 0.0]
    rows, right = [], []
    for o in [*(bases[name] for name in free), *further]:
        known_mm = sum(c * bases[q].value_mm for q, c in o.form.terms if q not in free)
        rows.append([o.form.coefficient(name) / o.u_mm for name in free])
        right.append((o.value_mm - known_mm) / o.u_mm)
    matrix, values = np.array(rows).reshape(len(rows), len(free)), np.array(right)
    fitted = np.linalg.lstsq(matrix, values, rcond=None)[0] if free else np.zeros(0)
    return float(np.sum((values - matrix @ fitted) ** 2))


def test_chi_square_is_that_of_the_parametric_form() -> None:
    """Conditions between readings and a least-squares fit of the quantities are two ways to the same number."""
    for job in jobs()[::3]:
        bases, further = observations(job)
        found = reconcile(bases, further)
        assert found is not None
        assert found.chi_square == pytest.approx(parametric(bases, further), rel=1e-6, abs=1e-9)


def test_residuals_show_which_readings_cannot_be_told_apart() -> None:
    """Members of a group stay together whichever of them is wrong: their normalised residuals are equal in every draw."""
    random, groups = np.random.default_rng(3), 0
    for job in jobs()[::10]:
        result = simulated(job, random)
        by_name = {j.name: j for j in result.judgements}
        for group in result.groups:
            residuals = [by_name[name].normalised_residual for name in group]
            assert residuals == pytest.approx([residuals[0]] * len(group), rel=1e-6)
            groups += len(group) > 1
    assert groups > SURVEYS / 20


def test_reading_that_splits_a_group_splits_it() -> None:
    """With the reading proposed the group falls apart; where none is proposed, none of the candidates would do it."""
    random, split = np.random.default_rng(4), 0
    for job in jobs()[::20]:
        bases, further = observations(job)
        group = max(simulated(job, random).groups, key=len)
        candidates = [Observation(f"{name}, once more", Form.of(name), b.value_mm, 1.0) for name, b in bases.items() if b.u_mm]
        chosen = splitting(bases, further, group, candidates)
        for candidate in candidates if chosen is None else [chosen]:
            result = reconcile(bases, [*further, candidate])
            assert result is not None
            assert any(set(group) <= set(g) for g in result.groups) == (chosen is None)
        split += chosen is not None
    assert split > SURVEYS / 40


def test_accused_survey_never_fits() -> None:
    """Readings that contradict one another allow no more than "fits if measured better", and leave a misfit what it is."""
    capped = 0
    for job in jobs():
        found = check_survey(job)
        if found is not None and not found.result.consistent:
            sound = replace(job, tables=job.tables.model_copy(update={"check": []}), repeats={})
            expected = {Verdict.FITS: Verdict.BETTER}.get(place(sound).verdict, place(sound).verdict)
            assert place(job).verdict is expected
            capped += place(sound).verdict is Verdict.FITS
    assert capped > 0
