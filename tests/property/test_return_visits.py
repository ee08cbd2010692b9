"""Return visits to random pairs: one dimension has changed, everything is read with its uncertainty; is it found?

Fixed seeds: the rates below are the same in every run.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache
from random import Random

import numpy as np

from standoff.job.file import parse_job
from standoff.job.visit import Visit, diagnose_visit
from tests.jobs import Case, Quantity, mode_name, random_case
from tests.stations import ON_LATHE, ON_LOADER, STATES, span_mm
from tests.written import numbers, standard_mm

VISITS = 240
STANDOFF, STANDOFF_U_MM, READ_U_MM = 400.0, 0.8, 1.0
CHANGEABLE = ("lathe.adapter", "lathe.cover_to_adapter", "lathe.modes", "loader.pusher", "loader.gripper", "loader.body")


@dataclass(frozen=True)
class Read:
    """One distance read on the return: its ends, mode and state, and how it was before and is now [mm]."""

    start: str
    end: str
    mode: int
    state: str

    def of_mm(self, case: Case, n: dict[str, float]) -> float:
        """The distance with these lengths; the standoff is one of them."""
        return span_mm(self.start, self.end, case, n, mode=self.mode, state=self.state, standoff_mm=n["standoff"])

    def table(self, case: Case, mm: float) -> str:
        """The return reading as a table of the job file."""
        value = Quantity(exact(mm), standard_mm=exact(READ_U_MM)).text("mm")
        lines = ["[[return_reading]]", f'from = "{self.start}"', f'to = "{self.end}"', f'state = "{self.state}"']
        return "\n".join([*lines, f'mode = "{mode_name(self.mode)}"', f"value = {value}", ""])


def exact(mm: float) -> Fraction:
    """A length as it is typed."""
    return Fraction(round(mm, 4)).limit_denominator(10**4)


@dataclass(frozen=True)
class Drawn:
    """A visit with its answer: what had changed, by how many of its own standard uncertainties, and the diagnosis."""

    quantity: str
    by_mm: float
    strength: float
    unique: bool
    visit: Visit


@cache
def drawn(seed: int, *, factor: float) -> Drawn | None:
    """The visit of a seed, after a change of so many standard uncertainties of its own estimate; None where nothing travels."""
    random, case = Random(seed), random_case(seed, fine=True)
    spread = {path: u for path, u in standard_mm(case).items() if path.startswith(CHANGEABLE)}
    if not case.modes or not spread:
        return None
    spread["standoff"] = STANDOFF_U_MM
    record = numbers(case) | {"standoff": STANDOFF}
    reads = taken(case, random)
    patterns = pattern_of(case, record, reads, tuple(spread))
    speaking = [q for q in spread if np.any(patterns[q])]
    quantity = random.choice(speaking)
    by_mm = random.choice([-1.0, 1.0]) * factor * own_u_mm(patterns, spread, quantity)
    true = {path: mm + (random.gauss(0.0, spread[path]) if path in spread else 0.0) for path, mm in record.items()}
    now = true | {quantity: true[quantity] + by_mm}
    tables = "".join(r.table(case, r.of_mm(case, now) + random.gauss(0.0, READ_U_MM)) for r in reads)
    standing = Quantity(exact(STANDOFF), standard_mm=exact(STANDOFF_U_MM)).text("mm")
    visit = diagnose_visit(parse_job(stated(case) + f"[as_installed]\nstandoff = {standing}\n" + tables))
    alike = [q for q in speaking if q != quantity and parallel(patterns[q], patterns[quantity])]
    return Drawn(quantity, by_mm, factor, not alike, visit)


def stated(case: Case) -> str:
    """The job file with every uncertainty written out."""
    spread = standard_mm(case)
    quantities = {
        path: replace(q, standard_mm=Fraction(spread[path]).limit_denominator(10**6), half_width_mm=None, source=None)
        if path in spread
        else q
        for path, q in case.quantities.items()
    }
    return replace(case, quantities=quantities).text()


def taken(case: Case, random: Random) -> list[Read]:
    """A dozen distances in all modes and at both limits."""
    lathe = [name for name in ON_LATHE if name != "cover" or "lathe.cover_to_adapter" in case.quantities]
    reads = []
    while len(reads) < 12:
        start, end = random.sample([*lathe, *ON_LOADER], 2)
        reads.append(Read(start, end, random.randrange(case.modes), random.choice(list(STATES))))
    return reads


def pattern_of(case: Case, n: dict[str, float], reads: list[Read], names: tuple[str, ...]) -> dict[str, np.ndarray]:
    """By how much each reading grows with each length."""
    before = np.array([read.of_mm(case, n) for read in reads])
    return {name: np.array([r.of_mm(case, n | {name: n[name] + 1.0}) for r in reads]) - before for name in names}


def own_u_mm(patterns: dict[str, np.ndarray], spread: dict[str, float], quantity: str) -> float:
    """The standard uncertainty of a change estimated from all readings, the record's own doubt included."""
    matrix = np.column_stack([patterns[name] * spread[name] for name in spread])
    covariance = matrix @ matrix.T + READ_U_MM**2 * np.eye(len(matrix))
    return 1.0 / math.sqrt(float(patterns[quantity] @ np.linalg.inv(covariance) @ patterns[quantity]))


def parallel(one: np.ndarray, other: np.ndarray) -> bool:
    """Whether two patterns cannot be told apart."""
    return abs(float(one @ other)) > (1.0 - 1e-9) * float(np.linalg.norm(one) * np.linalg.norm(other))


def visits(factor: float) -> list[Drawn]:
    """The visits in which the changed dimension can be told from every other."""
    found = [each for seed in range(VISITS) if (each := drawn(seed, factor=factor)) is not None and each.unique]
    assert len(found) > VISITS / 2
    return found


def named_first(each: Drawn) -> bool:
    """Whether the changed dimension leads, alone."""
    return each.visit.diagnosis.hypotheses[0].quantities == (each.quantity,)


def test_changes_are_named_first_in_most_cases() -> None:
    """A change of 3 of its own standard uncertainties leads in four of five visits, one of 6 in nearly all."""
    rates = {factor: np.mean([named_first(each) for each in visits(factor)]) for factor in (3.0, 6.0, 20.0)}
    assert rates[3.0] > 0.75
    assert rates[6.0] > 0.97
    assert rates[20.0] == 1.0


def test_changes_are_noticed() -> None:
    """A change of 6 of its own standard uncertainties is no chance any more, and 20 are never taken for one."""
    assert np.mean([each.visit.diagnosis.changed for each in visits(6.0)]) > 0.95
    assert all(each.visit.diagnosis.changed for each in visits(20.0))


def test_amount_is_estimated_without_bias() -> None:
    """Where the changed dimension leads, its amount is the change to within its own uncertainty."""
    errors = []
    for each in visits(20.0):
        errors.append((each.visit.diagnosis.hypotheses[0].by_mm[0] - each.by_mm) / (abs(each.by_mm) / each.strength))
    assert abs(np.mean(errors)) < 3.0 / math.sqrt(len(errors))
    assert 0.8 < np.std(errors) < 1.2


def test_unchanged_pairs_are_told_so() -> None:
    """Without any change hardly a visit names one: at most one in a hundred, to within chance."""
    assert np.mean([each.visit.diagnosis.changed for each in visits(0.0)]) < 0.03


def test_changes_that_tie_are_named_together() -> None:
    """Where the readings cannot tell several dimensions apart, the changed one leads with them, and a next reading is named."""
    tied = 0
    for seed in range(VISITS):
        each = drawn(seed, factor=20.0)
        if each is None or each.unique:
            continue
        first = each.visit.diagnosis.hypotheses[0]
        tied += each.quantity in first.quantities and len(first.quantities) > 1 and each.visit.next_reading is not None
    assert tied > VISITS / 20
