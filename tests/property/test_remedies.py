"""Remedies of random jobs against an exhaustive search, and against the job file rewritten by hand as each remedy says.

Here every change is known only by what it does to the numbers of a job file, and the bounds only as the contract writes them
out. A linear programme for each set of offers says whether the set can open the guarded window, and at which cost.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cache
from itertools import combinations, product
from random import Random

import numpy as np
import pytest
from scipy.optimize import linprog

from standoff.job.file import parse_job
from standoff.job.job import Job
from standoff.job.offers import offers_of
from standoff.job.placement import Placement, place
from standoff.job.remedies import MANNERS, action, remedies_of, shortfall_of
from standoff.solve.remedy import Dose, Offer, Remedy
from tests.jobs import INCH_MM, Case, Quantity, length_text, mode_name, random_case
from tests.written import GUARD, bounds, numbers, slack_u_mm, standard_mm

CASES = 200
NEAR_MM = 1e-5
STEP_MM = {"in": float(INCH_MM / 16), "mm": 1.0}
Amounts = Mapping[str, float]


@dataclass(frozen=True)
class Trial:
    """A random job with offers: the case whose numbers are changed, the tables that offer changes, and the job they make."""

    case: Case
    tables: str
    job: Job
    offers: dict[str, Offer]
    wanted_mm: float

    def text(self, doses: tuple[Dose, ...] = ()) -> str:
        """The job file, rewritten as these doses say."""
        changed = {dose.offer.id: dose.amount_mm for dose in doses}
        n = after(self.case, self.offers, changed)
        before = numbers(self.case)
        values = {path: mm for path, mm in n.items() if mm != before.get(path, 0.0)}
        quantities = dict(self.case.quantities)
        for path, mm in values.items():
            exact = Fraction(mm).limit_denominator(10**7)
            quantities[path] = replace(quantities.get(path, Quantity(exact)), mm=exact)
        return replace(self.case, quantities=quantities).text() + self.tables


def after(case: Case, offers: Mapping[str, Offer], amounts: Amounts) -> dict[str, float]:
    """The numbers of a job file after so much [mm] of each offer, by what its kind means."""
    n = numbers(case) | {"rules.accepted_shortfall": 0.0}
    for name, mm in amounts.items():
        offer = offers[name]
        if offer.kind == "cut-nose":
            n["nose.collapsed"] -= mm
            n["nose.extended"] -= mm
        elif offer.kind == "pusher-extension":
            n["loader.pusher_reach"] += mm
        elif offer.kind == "shorter-bar":
            n["rules.longest_bar" if "rules.longest_bar" in n else "loader.bar_capacity"] -= mm
        elif offer.kind == "front-limit":
            n[offer.quantity] -= case.forward * mm
        elif offer.kind == "rear-stop":
            n[offer.quantity] += case.forward * mm
            if offer.quantity == "lathe.modes[0].z_rear" and "lathe.cover_to_adapter" in n:
                n["lathe.cover_to_adapter"] += mm
        elif offer.kind == "shift-stroke":
            n[offer.quantity] += mm if offer.id.endswith("longer") else -mm
        elif offer.kind == "fitting":
            n[offer.quantity] = 0.0 if mm else n[offer.quantity]
        else:
            assert offer.kind == "accept-remnant"
            n["rules.accepted_shortfall"] += mm
    if any(offers[name].kind == "pusher-extension" for name, mm in amounts.items() if mm):
        n["loader.bar_capacity"] -= TAKEN_OFF_MM
        if "rules.longest_bar" in n:
            shorter = sum(mm for name, mm in amounts.items() if offers[name].kind == "shorter-bar")
            n["rules.longest_bar"] = min(n["rules.longest_bar"] + shorter, n["loader.bar_capacity"]) - shorter
    return n


TAKEN_OFF_MM = 25.0


def margins(case: Case, n: Mapping[str, float]) -> tuple[list[float], list[float]]:
    """Each bound's slack at a standoff of 0 without a cut, its guard band taken off; and what must not sink below 0."""
    reached = dict(n) | {"loader.pusher_reach": n["loader.pusher_reach"] + n["rules.accepted_shortfall"]}
    pairs = zip(bounds(case, reached), slack_u_mm(case), strict=True)
    slacks = [(-w.at if w.at_least else w.at) - GUARD * u for w, u in pairs]
    before = numbers(case)
    bar = "rules.longest_bar" if "rules.longest_bar" in n else "loader.bar_capacity"
    kept = [n[bar] - before[bar] / 2]
    for i in range(case.modes):
        key, setback = f"lathe.modes[{i}]", n["rules.bar_change_setback"]
        rear, front = case.forward * n[f"{key}.z_rear"], case.forward * n[f"{key}.z_front"]
        change = case.forward * n[f"{key}.z_bar_change"] if f"{key}.z_bar_change" in n else front - setback
        travel = case.forward * (before[f"{key}.z_front"] - before[f"{key}.z_rear"])
        kept += [change - rear, front - change, front - rear - travel / 2]
        if before.get(f"{key}.loader_shift", 0.0) > 0.0:
            kept.append(n[f"{key}.loader_shift"])
    return slacks, kept


@dataclass(frozen=True)
class Lines:
    """What must hold, as lines of a linear programme: matrix @ unknowns + base is not negative.

    Unknowns: both edges of a window as wide as wanted, each with its own cut, then the amounts of the free offers. The first
    `rows` lines belong to the bounds, twice over: at the lower edge and at the upper.
    """

    matrix: np.ndarray
    base: np.ndarray
    rows: int
    free: list[Offer]
    fixed: dict[str, float]
    ranges: list[tuple[float | None, float | None]]


def lines(trial: Trial, chosen: tuple[Offer, ...]) -> Lines:
    """The lines of these offers."""
    case = trial.case
    fixed = {offer.id: offer.greatest_mm for offer in chosen if offer.fixed}
    free = [offer for offer in chosen if not offer.fixed]

    def at(amounts: Amounts) -> np.ndarray:
        slacks, kept = margins(case, after(case, trial.offers, fixed | dict(amounts)))
        return np.array([*slacks, *slacks, *kept])

    base, probe_mm = at({}), 0.5
    columns = [(at({offer.id: probe_mm}) - base) / probe_mm for offer in free]
    written = bounds(case, numbers(case))
    sides = np.array([1.0 if w.at_least else -1.0 for w in written])
    cuts = np.array([w.cut for w in written]) * sides
    place = np.zeros((len(base), 3))
    for edge in (0, 1):
        own = slice(edge * len(written), (edge + 1) * len(written))
        place[own, 0], place[own, 1 + edge] = sides, cuts
        base[own] += edge * trial.wanted_mm * sides
    cut_mm = 0.0 if case.telescopic else numbers(case)["nose.may_be_cut"]
    ranges = [(None, None), (0.0, cut_mm), (0.0, cut_mm), *((0.0, offer.greatest_mm) for offer in free)]
    return Lines(np.column_stack([place, *columns]), base, 2 * len(written), free, fixed, ranges)


@dataclass(frozen=True)
class Solved:
    """The cheapest amounts of a set of offers, by their id; `cost` leaves out what is not priced."""

    amounts: dict[str, float]
    cost: float


def programme(trial: Trial, chosen: tuple[Offer, ...]) -> Solved | None:
    """The cheapest amounts with which these offers open the window, None where there are none."""
    p = lines(trial, chosen)
    dearest = max((o.yearly_cost_per_mm for o in trial.offers.values()), default=0.0) or 1.0
    rates = [1e-3 + o.yearly_cost_per_mm / dearest for o in p.free]
    found = linprog([0.0, 0.0, 0.0, *rates], A_ub=-p.matrix, b_ub=p.base, bounds=p.ranges, method="highs")
    if found.status != 0:
        return None
    amounts = p.fixed | {o.id: float(mm) for o, mm in zip(p.free, found.x[3:], strict=True)}
    cost = sum((o.first_cost or 0.0) + (o.yearly_cost or 0.0) + o.yearly_cost_per_mm * amounts[o.id] for o in chosen)
    return Solved(amounts, cost)


def lacking_mm(trial: Trial, chosen: tuple[Offer, ...]) -> float:
    """What every bound lacks at best with these offers."""
    p = lines(trial, chosen)
    lack = (np.arange(len(p.base)) < p.rows).astype(float)
    matrix = np.column_stack([p.matrix, lack])
    cost = [*np.zeros(p.matrix.shape[1]), 1.0]
    found = linprog(cost, A_ub=-matrix, b_ub=p.base, bounds=[*p.ranges, (0.0, None)], method="highs")
    return float(found.x[-1]) if found.status == 0 else math.inf


def to_spare_mm(trial: Trial, chosen: tuple[Offer, ...], line: int, missing_mm: float) -> float:
    """The most that one line can have to spare while no bound lacks more than that."""
    p = lines(trial, chosen)
    base = p.base + np.where(np.arange(len(p.base)) < p.rows, missing_mm + 1e-7, 0.0)
    found = linprog(-p.matrix[line], A_ub=-p.matrix, b_ub=base, bounds=p.ranges, method="highs")
    return {0: float(base[line] - (found.fun or 0.0)), 2: -math.inf}.get(found.status, math.inf)


def together(chosen: tuple[Offer, ...]) -> bool:
    """Whether no two of these offers change the same thing."""
    return len({offer.quantity for offer in chosen}) == len(chosen)


def fullest(trial: Trial) -> Iterator[tuple[Offer, ...]]:
    """Every set with as many offers as go together, and each choice of fixed ones."""
    by_quantity: dict[str, list[Offer | None]] = {}
    for offer in trial.offers.values():
        by_quantity.setdefault(offer.quantity, []).append(offer)
    for some in by_quantity.values():
        if any(offer is not None and offer.fixed for offer in some):
            some.append(None)
    for choice in product(*by_quantity.values()):
        yield tuple(offer for offer in choice if offer is not None)


def exhaustive(trial: Trial) -> dict[frozenset[str], Solved]:
    """Every set of the fewest offers that opens the window."""
    if all(programme(trial, chosen) is None for chosen in fullest(trial)):
        return {}
    for count in range(1, len(trial.offers) + 1):
        sets = (chosen for chosen in combinations(trial.offers.values(), count) if together(chosen))
        solved = {frozenset(offer.id for offer in chosen): programme(trial, chosen) for chosen in sets}
        found = {ids: each for ids, each in solved.items() if each is not None}
        if found:
            return found
    return {}


def settled(case: Case) -> Case:
    """The case with every uncertainty stated, so that none depends on the length it belongs to."""
    spread = standard_mm(case)
    quantities = {
        path: Quantity(q.mm, standard_mm=Fraction(spread[path]).limit_denominator(10**6)) if path in spread else q
        for path, q in case.quantities.items()
    }
    return replace(case, quantities=quantities)


def offered(case: Case, seed: int) -> str:
    """Tables that offer changes, some with a price."""
    random = Random(seed)
    tables = ['[prices]\ncurrency = "EUR"']

    def offer(kind: str, *lines: str) -> None:
        price = random.choice(["", f"cost = {random.randint(0, 900)}", f"cost_per_year_per_mm = {random.randint(1, 20)}"])
        tables.append("\n".join(("[[remedy]]", f'kind = "{kind}"', *lines, price)))

    if random.random() < 0.5:
        taken = f'takes_off_bar = "{length_text(Fraction(TAKEN_OFF_MM), "mm")}"'
        offer("pusher-extension", 'lengths = ["12.5 mm", "40 mm"]', taken)
    # Where a backward shift puts the loader rearmost, and is made shorter than another, the bounds are linear no more.
    shifts = {i: q.mm for i in range(case.modes) if (q := case.quantities.get(f"lathe.modes[{i}].loader_shift"))}
    for i in shifts if min(shifts.values(), default=0) >= 0 else ():
        if random.random() < 0.5:
            offer("shift-stroke", f'mode = "{mode_name(i)}"', 'at_most = "15 mm"')
    if "fittings[0].length" in case.quantities and random.random() < 0.5:
        offer("fitting", 'fitting = "fittings 0"', 'length = "0 mm"')
    for kind in ("cut-nose", "front-limit", "rear-stop", "accept-remnant"):
        if random.random() < 0.5:
            offer(kind, f'at_most = "{random.randint(3, 30)} mm"')
    for kind in ("shorter-bar", "accept-remnant", "front-limit"):
        if random.random() < 0.3 and f'"{kind}"' not in "".join(tables):
            tables.append(f'[[remedy]]\nkind = "{kind}"\navailable = false')
    return "\n".join(tables) + "\n"


@cache
def trial(seed: int, *, wanted: bool = False) -> Trial | None:
    """The trial of a seed, or None where the window is as wide as wanted already."""
    case = settled(random_case(seed, fine=seed % 2 == 0, spread=45.0))
    tables = offered(case, seed)
    job = parse_job(case.text() + tables)
    placement = place(job)
    width_mm = placement.guarded.greatest_mm - placement.guarded.least_mm
    wanted_mm = float(Random(seed).randint(4, 20)) if wanted else 0.0
    if not placement.guarded.empty and (not wanted or width_mm >= wanted_mm):
        return None
    return Trial(case, tables, job, {offer.id: offer for offer in offers_of(job)}, wanted_mm)


def trials() -> Iterator[tuple[Trial, tuple[Remedy, ...]]]:
    """Every job of the run that needs a remedy, with the program's; every third one for a width that is wanted."""
    for seed in range(CASES):
        each = trial(seed, wanted=seed % 3 == 0)
        if each is not None:
            yield each, remedies(seed)


@cache
def remedies(seed: int) -> tuple[Remedy, ...]:
    """The program's remedies for a seed."""
    each = trial(seed, wanted=seed % 3 == 0)
    assert each is not None
    return remedies_of(each.job, wanted_mm=each.wanted_mm)


def placed_after(each: Trial, doses: tuple[Dose, ...]) -> Placement:
    """The placement of the job file as rewritten by hand."""
    return place(parse_job(each.text(doses)))


def opens(placement: Placement, wanted_mm: float) -> bool:
    """Whether the guarded window is as wide as wanted."""
    guarded = placement.guarded
    return not guarded.empty and guarded.greatest_mm - guarded.least_mm >= wanted_mm - NEAR_MM


def test_every_remedy_opens_the_rewritten_job() -> None:
    """A job file changed as the remedy says is accepted, has the window the remedy promises, and that is as wide as wanted.

    This holds the datum too: a stop in the first mode moves the adapter seen from the cover, and every bound follows.
    """
    checked, kinds = 0, set()
    for each, found in trials():
        for remedy in found:
            placement = placed_after(each, remedy.doses)
            assert opens(placement, each.wanted_mm), each.text(remedy.doses)
            ours = (placement.window.least_mm, placement.window.greatest_mm)
            assert ours == pytest.approx((remedy.window.least_mm, remedy.window.greatest_mm), abs=NEAR_MM)
            ours = (placement.guarded.least_mm, placement.guarded.greatest_mm)
            assert ours == pytest.approx((remedy.guarded.least_mm, remedy.guarded.greatest_mm), abs=NEAR_MM)
            checked += 1
            kinds |= {dose.offer.kind for dose in remedy.doses}
    assert checked > 2 * CASES / 3
    assert kinds == set(MANNERS)


def test_remedies_are_irreducible() -> None:
    """No smaller set of the same changes opens the window, whatever its amounts."""
    several = 0
    for each, found in trials():
        for remedy in found:
            several += len(remedy.doses) > 1
            for left_out in remedy.doses:
                fewer = tuple(dose.offer for dose in remedy.doses if dose is not left_out)
                assert programme(each, fewer) is None, (remedy, each.text())
    assert several > CASES / 10


def test_first_remedies_are_those_of_an_exhaustive_search() -> None:
    """The sets of fewest changes are exactly those that exist, and the first of them is a cheapest one."""
    helped = helpless = 0
    for each, found in trials():
        expected = exhaustive(each)
        count = len(next(iter(expected), ()))
        ours = {frozenset(dose.offer.id for dose in remedy.doses) for remedy in found if len(remedy.doses) == count}
        helped, helpless = helped + bool(expected), helpless + (not expected)
        assert bool(found) == bool(expected), each.text()
        if len(expected) <= 10:
            assert ours == set(expected), each.text()
        if found:
            check_first(each, found[0], expected)
    assert helped > CASES / 4
    assert helpless > CASES / 40


def check_first(each: Trial, first: Remedy, expected: dict[frozenset[str], Solved]) -> None:
    """Priced before unpriced, then the cheapest, to within the rounding of its amounts."""
    assert len(first.doses) == len(next(iter(expected)))
    priced = {ids: s for ids, s in expected.items() if all(each.offers[i].priced for i in ids)}
    assert (first.first_cost is not None) == bool(priced), each.text()
    if first.first_cost is None or first.yearly_cost is None:
        return
    step_mm = STEP_MM[each.job.units]
    rounded = [s.cost + step_mm * sum(each.offers[i].yearly_cost_per_mm for i in ids) for ids, s in priced.items()]
    cost = first.first_cost + first.yearly_cost
    assert min(s.cost for s in priced.values()) - 1e-3 <= cost <= min(rounded) + 1e-3, each.text()


def test_remedies_are_ranked() -> None:
    """Fewest changes, then priced before unpriced, then the cost now and in a year, then the wider window."""
    for _, found in trials():
        keys = []
        for remedy in found:
            unknown = remedy.first_cost is None
            cost = (remedy.first_cost or 0.0) + (remedy.yearly_cost or 0.0)
            keys.append((len(remedy.doses), unknown, cost, remedy.guarded.least_mm - remedy.guarded.greatest_mm))
        assert keys == sorted(keys)
        assert len(keys) <= 10
        assert len({frozenset(dose.offer.id for dose in remedy.doses) for remedy in found}) == len(found)


def test_amounts_are_within_limits_and_on_a_step() -> None:
    """Rounded up to the tape's step, or at the limit; otherwise only where the step beyond would close the window again."""
    stepped = at_limit = 0
    for each, found in trials():
        step = STEP_MM[each.job.units]
        for remedy in found:
            for dose in remedy.doses:
                assert 0.0 < dose.amount_mm <= dose.offer.greatest_mm
                on_step = abs(dose.amount_mm / step - round(dose.amount_mm / step)) < 1e-6
                limited = dose.amount_mm == dose.offer.greatest_mm
                stepped, at_limit = stepped + on_step, at_limit + (limited and not on_step)
                if not (on_step or limited or dose.offer.fixed):
                    further = tuple(
                        replace(d, amount_mm=min(math.ceil(d.amount_mm / step - 1e-6) * step, d.offer.greatest_mm))
                        for d in remedy.doses
                    )
                    assert not allowed(each, further) or not opens(placed_after(each, further), each.wanted_mm)
    assert stepped > CASES / 2
    assert at_limit > 0


def allowed(each: Trial, doses: tuple[Dose, ...]) -> bool:
    """Whether everything stays inside after these doses."""
    _, kept = margins(each.case, after(each.case, each.offers, {dose.offer.id: dose.amount_mm for dose in doses}))
    return min(kept) >= -1e-6


def test_a_cut_does_not_cure_the_nose_against_itself() -> None:
    """Where room for the nose and hold on it exclude each other, cutting a telescopic nose is never the whole remedy."""
    seen = 0
    for each, found in trials():
        rows = [row for row in each.job.layout.rows() if row.id in ("nose-room", "nose-engagement")]
        values_mm, u_mm = each.job.layout.values_mm(), each.job.layout.uncertainties_mm()
        edges = [(row.id, row.bound().value(values_mm), GUARD * row.slack.spread(u_mm)) for row in rows]
        room = max(at + guard for id_, at, guard in edges if id_ == "nose-room")
        hold = min(at - guard for id_, at, guard in edges if id_ == "nose-engagement")
        if not each.case.telescopic or room + each.wanted_mm <= hold:
            continue
        seen += 1
        assert all({dose.offer.kind for dose in remedy.doses} != {"cut-nose"} for remedy in found)
    assert seen > CASES / 20


def test_a_soft_rear_limit_is_never_offered() -> None:
    """Whatever moves a rear limit is a mechanical stop with the maker's consent, and says so."""
    stops = 0
    for seed in range(CASES):
        job = parse_job(random_case(seed).text())
        for offer in offers_of(job):
            if any(name.endswith("z_rear") for name, _ in offer.per_mm):
                assert offer.kind == "rear-stop"
                assert "mechanical stop" in action(Dose(offer, 1.0), job)
                stops += 1
    manner = MANNERS["rear-stop"]
    assert "maker" in manner.agreed_by
    assert "mechanical" in manner.protected_by
    assert stops > CASES


def test_limits_of_single_offers() -> None:
    """Used to its limit, alone, no offer leaves the bar change outside the travel, or half of travel or bar behind."""
    tight = 0
    for seed in range(CASES):
        each = trial(seed, wanted=True)
        for offer in each.offers.values() if each is not None else ():
            assert each is not None
            whole = (Dose(offer, offer.greatest_mm),)
            assert allowed(each, whole), (offer, each.text())
            parse_job(each.text(whole))
            tight += not offer.fixed and not allowed(each, (Dose(offer, offer.greatest_mm + 0.1),))
    assert tight > CASES


def test_shortfall_is_what_is_missing_at_best() -> None:
    """Where nothing helps, all rows together lack what a linear programme says; the rows named cannot be given more."""
    seen = 0
    for each, found in trials():
        short = shortfall_of(each.job, wanted_mm=each.wanted_mm)
        if found:
            assert short is None
            continue
        assert short is not None
        lacking = {chosen: lacking_mm(each, chosen) for chosen in fullest(each)}
        best_mm = min(lacking.values())
        assert short.missing_mm == pytest.approx(best_mm, abs=NEAR_MM), each.text()
        assert set(short.rows) == blocked(each, [c for c, mm in lacking.items() if mm <= best_mm + 1e-6], best_mm), each.text()
        seen += 1
    assert seen > CASES / 40


def blocked(each: Trial, sets: list[tuple[Offer, ...]], missing_mm: float) -> set[int]:
    """The bounds that have nothing to spare, at one edge or the other, however the least is missing."""
    count = len(bounds(each.case, numbers(each.case)))
    tight = (max(to_spare_mm(each, chosen, line, missing_mm) for chosen in sets) < 1e-3 for line in range(2 * count))
    return {line % count for line, blocks in enumerate(tight) if blocks}


@pytest.mark.prove
def test_many_more_remedies() -> None:
    """The exhaustive search over ten times as many jobs."""
    for seed in range(CASES, 11 * CASES):
        each = trial(seed, wanted=seed % 3 == 0)
        if each is None:
            continue
        found = remedies_of(each.job, wanted_mm=each.wanted_mm)
        expected = exhaustive(each)
        assert bool(found) == bool(expected), each.text()
        if found:
            check_first(each, found[0], expected)
            for remedy in found:
                assert opens(placed_after(each, remedy.doses), each.wanted_mm), each.text(remedy.doses)
