"""The answer as other programs read it: `standoff-answer/1`, the same bytes for the same input."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

from standoff.job.advice import Advice
from standoff.job.job import Job
from standoff.job.placement import Contradiction, Judged, Placement
from standoff.job.remedies import MANNERS, consequences
from standoff.job.survey import SurveyCheck
from standoff.reading import SOURCES
from standoff.solve.remedy import Remedy, Shortfall
from standoff.solve.window import Window

FORMAT = "standoff-answer/1"


def answer(placement: Placement, advice: Advice, *, program: str) -> dict[str, Any]:
    """The answer's contents in the contract's order; lengths in mm to 3 decimals, probabilities to 4."""
    cut = placement.layout.cut_limit_mm > 0.0
    return {
        "format": FORMAT,
        "program": program,
        "verdict": placement.verdict.value,
        "window_mm": _edges(placement.window),
        "guarded_window_mm": _edges(placement.guarded),
        "aim_mm": _mm(placement.aim_mm),
        "at_mm": _mm(placement.asked_mm),
        "probability": round(placement.probability, 4),
        "nose_cut_mm": _mm(placement.cut_mm) if cut else None,
        "requirements": [_requirement(judged) for judged in placement.rows],
        "contradiction": _contradiction(placement.contradiction, placement.rows),
        "not_checked": [requirement.id for requirement in not_judged(placement)],
        "pairings": [
            {
                "requirement": p.requirement,
                "shift_of": p.shift_mode,
                "headstock_of": p.headstock_mode,
                "state": p.state,
                "missing_mm": _mm(p.missing_mm),
            }
            for p in placement.pairings
        ],
        "source_not_stated": source_not_stated(placement),
        "measure_this": to_be_measured(placement),
        "warnings": [{"id": w.id, "text": w.text, "source": w.source} for w in placement.warnings],
        "remarks": list(placement.remarks),
        "remedies": [_remedy(remedy, placement.job) for remedy in advice.remedies],
        "shortfall": _shortfall(advice.shortfall, placement),
        "measure_first": [
            {"quantity": gain.quantity, "wider_mm": _mm(gain.wider_mm), "probability": round(gain.probability, 4)}
            for gain in advice.gains
        ],
        "survey": _survey(placement.survey, advice.without),
    }


def not_judged(placement: Placement) -> list[Any]:
    """The requirements that want an input."""
    layout = placement.layout
    return [requirement for requirement in layout.requirements if layout.wanting(requirement)]


def source_not_stated(placement: Placement) -> list[str]:
    """The readings that do not say how they were measured, by field."""
    readings = placement.job.readings.items()
    return [field for field, reading in readings if reading.source is not None and not reading.source_stated]


def to_be_measured(placement: Placement) -> list[str]:
    """The readings that are only a manual's, a drawing's or an estimate, by field."""
    readings = placement.job.readings.items()
    return [field for field, reading in readings if reading.source is not None and not SOURCES[reading.source].measured]


def _mm(value: float | None) -> float | None:
    """A length to 3 decimals; an unbounded side is null; never -0."""
    if value is None or not math.isfinite(value):
        return None
    return round(value, 3) + 0.0


def _edges(window: Window) -> dict[str, float | None]:
    return {"least": _mm(window.least_mm), "greatest": _mm(window.greatest_mm)}


def _requirement(judged: Judged) -> dict[str, Any]:
    return {
        "id": judged.row.id,
        "mode": judged.row.mode,
        "state": judged.row.state,
        "side": judged.row.side.value,
        "bound_mm": _mm(judged.bound_mm),
        "slack_mm": _mm(judged.slack_mm),
        "slack_u_mm": _mm(judged.u_mm),
        "probability": round(judged.probability, 4),
        "binding": judged.binding,
    }


def _contradiction(contradiction: Contradiction | None, rows: Sequence[Judged]) -> dict[str, Any] | None:
    if contradiction is None:
        return None

    def named(indices: Sequence[int]) -> list[dict[str, Any]]:
        return [{"id": rows[i].row.id, "mode": rows[i].row.mode, "state": rows[i].row.state} for i in indices]

    return {
        "at_least": named(contradiction.at_least),
        "at_most": named(contradiction.at_most),
        "by_mm": _mm(contradiction.by_mm),
    }


def _remedy(remedy: Remedy, job: Job) -> dict[str, Any]:
    """One set of changes; `by_mm` is the shift of the quantity named."""
    prices = job.tables.prices
    manners = [MANNERS[dose.offer.kind] for dose in remedy.doses]
    return {
        "changes": [
            {
                "kind": dose.offer.kind,
                "quantity": dose.offer.quantity,
                "by_mm": _mm(dict(dose.offer.per_mm)[dose.offer.quantity] * dose.amount_mm),
            }
            for dose in remedy.doses
        ],
        "cost_now": _money(remedy.first_cost),
        "cost_per_year": _money(remedy.yearly_cost),
        "currency": prices.currency if prices is not None else None,
        "window_mm": _edges(remedy.window),
        "guarded_window_mm": _edges(remedy.guarded),
        "consequences": consequences(remedy, job),
        "agreed_by": [manner.agreed_by for manner in manners],
        "protected_by": [manner.protected_by for manner in manners],
        "proved_by": [manner.proved_by for manner in manners],
    }


def _money(amount: float | None) -> float | None:
    return None if amount is None else round(amount, 2)


def _shortfall(shortfall: Shortfall | None, placement: Placement) -> dict[str, Any] | None:
    if shortfall is None:
        return None
    placed = [judged.row for judged in placement.rows if judged.row.bounds_standoff]
    blocking = [{"id": placed[i].id, "mode": placed[i].mode, "state": placed[i].state} for i in shortfall.rows]
    return {"missing_mm": _mm(shortfall.missing_mm), "blocked_by": blocking}


def _survey(survey: SurveyCheck | None, without: Placement | None) -> dict[str, Any] | None:
    """How the readings agree; `suspects` are groups that cannot be told apart, `split` the reading that would."""
    if survey is None:
        return None
    result = survey.result
    return {
        "chi_square": round(result.chi_square, 3),
        "conditions": result.conditions,
        "probability": round(result.probability, 4),
        "consistent": result.consistent,
        "suspects": [list(group) for group in result.suspects],
        "split": survey.split,
        "without_suspect": None
        if without is None
        else {"verdict": without.verdict.value, "aim_mm": _mm(without.aim_mm), "guarded_window_mm": _edges(without.guarded)},
        "readings": [
            {
                "field": j.name,
                "residual_mm": _mm(j.residual_mm),
                "normalised": round(j.normalised_residual, 3),
                "error_mm": _mm(j.error_mm),
                "detectable_mm": _mm(j.detectable_mm),
            }
            for j in result.judgements
        ],
    }
