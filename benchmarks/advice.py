"""The advice: remedies, survey and return visit, and what sampling or a general package for uncertainties would take instead.

A peer has to agree with the program before its time counts: the same chi-square, the same share of each hypothesis, the same
joint probability, the same covariance.
"""

from __future__ import annotations

import importlib.util
import math
from collections.abc import Iterator, Sequence

import numpy as np
import peers
from cases import Case
from numpy.typing import NDArray
from stopwatch import Line, against_goal, call_s

from standoff.job.advice import advise
from standoff.job.demonstration import text_of
from standoff.job.file import parse_job
from standoff.job.placement import place
from standoff.job.remedies import remedies_of
from standoff.job.survey import check_survey, observations
from standoff.job.visit import Visit, diagnose_visit
from standoff.model.form import STANDOFF
from standoff.solve.confidence import covariance
from standoff.solve.reconcile import Observation, reconcile

REMEDIES_S, SAMPLES_S = 0.5, 0.2
OWN_ERROR = 2.5e-4
"""How wrong `probability_all` is here (root mean square over the demonstration jobs, against twenty times as many points)."""

WANTED_MM = 50.0
SAMPLED = ("axle-cell", "spacer-cell")
BLOCK = 10_000


def lines(every: list[Case]) -> Iterator[Line]:
    """Every measurement of this module."""
    yield from remedies()
    yield from surveys()
    yield from visits()
    yield from samples(every)
    yield from propagated(every)


def remedies() -> Iterator[Line]:
    """The search for sets of changes: where a demonstration job needs some, and a wide window in two modes."""
    for name in ("spoke-nipple-cell", "spacer-cell"):
        job = parse_job(text_of(name))
        yield against_goal(f"remedies, {name}", call_s(lambda job=job: remedies_of(job)), REMEDIES_S)
    axle = parse_job(text_of("axle-cell"))
    wide_s = call_s(lambda: remedies_of(axle, wanted_mm=WANTED_MM))
    yield against_goal(f"remedies, axle-cell {WANTED_MM:.0f} mm wide", wide_s, REMEDIES_S)
    placement = place(parse_job(text_of("spacer-cell")))
    advice_s = call_s(lambda: advise(placement))
    yield Line("all advice, spacer-cell", advice_s, None, f"{advice_s / call_s(lambda: place(placement.job)):.1f} of a placement")


def surveys() -> Iterator[Line]:
    """A survey held against itself; the same chi-square by least squares on the quantities."""
    job = parse_job(text_of("spacer-cell"))
    bases, further = observations(job)
    result, peer = reconcile(bases, further), chi_square_by_peer(bases, further)
    if result is None or not math.isclose(result.chi_square, peer, rel_tol=1e-6):
        raise SystemExit(f"benchmarks: spacer-cell: chi-square is {result and result.chi_square}, by least squares {peer}")
    own_s, peer_s = call_s(lambda: reconcile(bases, further)), call_s(lambda: chi_square_by_peer(bases, further))
    yield Line("survey, spacer-cell", own_s, None, f"{own_s / peer_s:.1f} of a fit that accuses nobody")
    yield Line("survey from the job on, spacer-cell", call_s(lambda: check_survey(job)), None, "")


def chi_square_by_peer(bases: dict[str, Observation], further: Sequence[Observation]) -> float:
    """Chi-square of the fit of every quantity to every reading, each divided by its uncertainty."""
    names = sorted({name for o in further for name in o.form.quantities()})
    every = [*(bases[name] for name in names), *further]
    matrix = np.array([[o.form.coefficient(name) / o.u_mm for name in names] for o in every])
    values = np.array([o.value_mm / o.u_mm for o in every])
    fitted = np.linalg.lstsq(matrix, values, rcond=None)[0]
    return float(np.sum((matrix @ fitted - values) ** 2))


def visits() -> Iterator[Line]:
    """A return visit from the job on; the same shares of chi-square by a least-squares fit for each hypothesis."""
    job = parse_job(text_of("moved-cell"))
    visit = diagnose_visit(job)
    for h in visit.diagnosis.hypotheses:
        peer = share_by_peer(visit, h.quantities[0])
        if not math.isclose(h.chi_square_share, peer, rel_tol=1e-6, abs_tol=1e-9):
            raise SystemExit(f"benchmarks: moved-cell: {h.quantities} explains {h.chi_square_share}, by a fit {peer}")
    names = [name for h in visit.diagnosis.hypotheses for name in h.quantities]
    own_s = call_s(lambda: diagnose_visit(job))
    peer_s = call_s(lambda: [share_by_peer(visit, name) for name in names])
    yield Line("return visit, moved-cell", own_s, None, f"{own_s / peer_s:.1f} of a fit for each hypothesis")


def share_by_peer(visit: Visit, name: str) -> float:
    """How much of chi-square a change of one quantity takes away, by fitting it to the whitened differences."""
    job, findings = visit.job, visit.findings
    record = job.tables.as_installed
    u_mm = job.layout.uncertainties_mm() | ({STANDOFF: record.standoff[0].u_mm} if record is not None else {})
    names = sorted({q for f in findings for q in f.form.quantities()})
    recorded = np.array([[f.form.coefficient(q) * u_mm[q] * f.from_record for q in names] for f in findings])
    root = np.linalg.cholesky(recorded @ recorded.T + np.diag([f.u_mm**2 for f in findings]))
    pattern = np.linalg.solve(root, np.array([[f.form.coefficient(name)] for f in findings]))
    differences = np.linalg.solve(root, np.array([f.difference_mm for f in findings]))
    rest = pattern @ np.linalg.lstsq(pattern, differences, rcond=None)[0] - differences
    return float(differences @ differences - rest @ rest)


def samples(every: list[Case]) -> Iterator[Line]:
    """A million samples of a job, and how many would be as exact as the joint probability of the program.

    Every slack stands at two of its standard uncertainties, so that no row can be left out.
    """
    for case in (case.near_its_limits() for case in every if case.name in SAMPLED):
        own, sampled = case.confidence(), sampled_probability(case)
        if abs(own - sampled) > 4.0 * math.sqrt(own * (1.0 - own) / peers.SAMPLES) + OWN_ERROR:
            raise SystemExit(f"benchmarks: {case.name}: the probability is {own}, by sampling {sampled}")
        sampled_s, own_s = call_s(lambda case=case: sampled_probability(case), fewest=3), call_s(case.confidence)
        yield against_goal(f"1e6 samples, {case.name}", sampled_s, SAMPLES_S)
        needed = own * (1.0 - own) / OWN_ERROR**2
        as_exact_s = sampled_s * needed / peers.SAMPLES
        yield Line(
            f"by {needed:.0e} samples, as exact, {case.name}", as_exact_s, None, f"{as_exact_s / own_s:.0f} times ours, scaled"
        )


def sampled_probability(case: Case) -> float:
    """How often no slack is negative among a million samples, in single precision and in blocks that stay in the cache."""
    random = np.random.default_rng(1)
    values, vectors = np.linalg.eigh(case.covariance_mm2)
    telling = values > 1e-9 * values.max()
    root = (vectors[:, telling] * np.sqrt(values[telling])).astype(np.float32)
    means, held = -np.asarray(case.slacks_mm, dtype=np.float32)[:, None], 0
    for _ in range(peers.SAMPLES // BLOCK):
        drawn = root @ random.standard_normal((root.shape[1], BLOCK), dtype=np.float32)
        held += int((drawn >= means).all(axis=0).sum())
    return held / peers.SAMPLES


def propagated(every: list[Case]) -> Iterator[Line]:
    """The covariance of a job's slacks, and the same by the general package that follows uncertainties through any formula."""
    if importlib.util.find_spec("uncertainties") is None:
        print("The package `uncertainties` is not installed, so it is not compared with: install the development lock.")
        return
    package = importlib.import_module("uncertainties")
    for case in every:
        u_mm, values_mm = case.layout.uncertainties_mm(), case.layout.values_mm()

        def by_package(case: Case = case, u_mm: dict[str, float] = u_mm, values_mm: dict[str, float] = values_mm) -> object:
            inputs = {name: package.ufloat(values_mm[name], u) if u > 0.0 else values_mm[name] for name, u in u_mm.items()}
            return package.covariance_matrix([sum(c * inputs[q] for q, c in form.terms) for form in case.forms])

        def ours(case: Case = case, u_mm: dict[str, float] = u_mm) -> NDArray[np.float64]:
            return covariance(case.forms, u_mm)

        if not np.allclose(np.array(by_package()), ours(), rtol=1e-9, atol=1e-12):
            raise SystemExit(f"benchmarks: {case.name}: `uncertainties` finds another covariance of the slacks")
        peer_s = call_s(by_package)
        yield Line(f"same by uncertainties, {case.name}", peer_s, None, f"{peer_s / call_s(ours):.0f} times ours")
