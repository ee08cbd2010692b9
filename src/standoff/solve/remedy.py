"""Remedies: the smallest and cheapest sets of changes that open the window.

Each offer shifts measured quantities, by a fixed amount (an extension of a listed length) or by as much as is needed up to a
limit (a cut). A mixed-integer programme over the rows' own coefficients picks the set: fewest changes first, then cost now plus
one year's. Each set found is excluded with all its supersets, so that only irreducible sets follow. Amounts are rounded up to a
step of the tape and every set is then solved again by the plain window solver: what does not open the window is refused.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array

from standoff.model.change import Change
from standoff.model.form import NOSE_CUT, Form
from standoff.model.layout import Layout
from standoff.model.requirement import Side
from standoff.solve.window import GUARD_FACTOR, TIE_MM, Bound, Window, window

MOST = 10
PER_MM = 1e-3
"""Among amounts of equal price the smaller ones are taken."""

_AMOUNTS = 3
"""Where the amounts begin among the unknowns."""

_APART_MM = 1e-3
"""A row that can have so much to spare is not among those that block."""

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Offer:
    """One change that could be made. `per_mm`: how each quantity shifts for 1 mm of it; `fixed`: only the whole `greatest_mm`.

    Of two offers that change the same `quantity` only one is taken.
    """

    id: str
    kind: str
    quantity: str
    per_mm: tuple[tuple[str, float], ...]
    greatest_mm: float
    fixed: bool = False
    first_cost: float | None = None
    yearly_cost: float | None = None
    yearly_cost_per_mm: float = 0.0

    @property
    def priced(self) -> bool:
        """Whether its price is known."""
        return self.first_cost is not None or self.yearly_cost is not None or self.yearly_cost_per_mm != 0.0

    @property
    def cost(self) -> float:
        """What it costs now and in the first year, as far as that is known, apart from what its amount costs."""
        return (self.first_cost or 0.0) + (self.yearly_cost or 0.0)

    def change(self, amount_mm: float) -> Change:
        """The change of so much."""
        return Change.of(self.kind, self.quantity, {name: c * amount_mm for name, c in self.per_mm})


@dataclass(frozen=True, slots=True)
class Floor:
    """A sum of quantities that no set of changes may bring below `least_mm` (a bar change position stays inside the travel)."""

    form: Form
    least_mm: float


@dataclass(frozen=True, slots=True)
class Dose:
    """So much [mm] of an offer."""

    offer: Offer
    amount_mm: float


@dataclass(frozen=True, slots=True)
class Remedy:
    """A set of changes that opens the window, with the windows it gives and what it costs (None: a price is not known)."""

    doses: tuple[Dose, ...]
    window: Window
    guarded: Window
    first_cost: float | None
    yearly_cost: float | None


@dataclass(frozen=True, slots=True)
class Shortfall:
    """With everything offered done, so much [mm] is still missing, and these rows (by index) block it."""

    missing_mm: float
    rows: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class _Programme:
    """The constraints on the window's lower edge, the cut at either edge, amount and choice of each offer, and what is missing.

    `matrix` @ unknowns is at least `least`: first a line or two for each requirement, the row of each by its index in `rows`,
    then the floors and what goes together.
    """

    layout: Layout
    offers: tuple[Offer, ...]
    floors: tuple[Floor, ...]
    wanted_mm: float
    rows: tuple[int, ...]
    matrix: Array
    least: Array

    @property
    def amounts(self) -> slice:
        """Where the amounts stand."""
        return slice(_AMOUNTS, _AMOUNTS + len(self.offers))

    @property
    def choices(self) -> slice:
        """Where the choices stand."""
        return slice(_AMOUNTS + len(self.offers), _AMOUNTS + 2 * len(self.offers))


def remedies(
    layout: Layout,
    offers: Sequence[Offer],
    *,
    floors: Sequence[Floor] = (),
    rounded_up_mm: Callable[[float], float],
    wanted_mm: float = 0.0,
) -> tuple[Remedy, ...]:
    """Which sets of changes give a guarded window at least `wanted_mm` [mm] wide? Best first, at most ten, irreducible.

    No set where the window is as wide as that already.
    """
    programme = _programme(layout, offers, floors, wanted_mm)
    found: list[Remedy] = []
    if _opens(programme, ()):
        return ()
    excluded: list[tuple[Array, float]] = []
    for count in range(1, len(offers) + 1):
        while len(found) < MOST and (chosen := _cheapest(programme, excluded, count)) is not None:
            excluded.append((_counted(programme, chosen), len(chosen) - 1.0))
            remedy = _best_of(programme, chosen, rounded_up_mm)
            found += [] if remedy is None else [remedy]
    return tuple(sorted(found, key=_order))


def shortfall(
    layout: Layout, offers: Sequence[Offer], *, floors: Sequence[Floor] = (), wanted_mm: float = 0.0
) -> Shortfall | None:
    """How close do all offers together come where no set opens the window? None where one does."""
    programme = _programme(layout, offers, floors, wanted_mm)
    cost = np.zeros(programme.matrix.shape[1])
    cost[-1] = 1.0
    answer = _solved(programme, cost, missing_mm=np.inf)
    if answer is None or answer[-1] <= TIE_MM:
        return None
    missing_mm = float(answer[-1])
    tight = np.flatnonzero(programme.matrix @ answer - programme.least <= _APART_MM)
    rows = {programme.rows[i] for i in map(int, tight) if i < len(programme.rows) and _blocks(programme, i, missing_mm)}
    return Shortfall(missing_mm, tuple(sorted(rows)))


def _blocks(programme: _Programme, line: int, missing_mm: float) -> bool:
    """Whether a line is tight whichever way the least is missing."""
    answer = _solved(programme, -programme.matrix[line], missing_mm=missing_mm + 0.1 * TIE_MM)
    return answer is not None and float(programme.matrix[line] @ answer - programme.least[line]) <= _APART_MM


def _best_of(programme: _Programme, chosen: Sequence[int], rounded_up_mm: Callable[[float], float]) -> Remedy | None:
    """The set with its amounts rounded up to a step; where that does not open the window, as they are; None if neither does."""
    amounts_mm = _amounts(programme, chosen)
    doses = [(programme.offers[i], float(amounts_mm[i])) for i in chosen]
    rounded = tuple(_dose(offer, rounded_up_mm(max(amount_mm - TIE_MM, 0.0))) for offer, amount_mm in doses)
    exact = tuple(_dose(offer, amount_mm) for offer, amount_mm in doses)
    return _verified(programme, rounded) or _verified(programme, exact)


def _dose(offer: Offer, amount_mm: float) -> Dose:
    return Dose(offer, offer.greatest_mm if offer.fixed else min(amount_mm, offer.greatest_mm))


def _order(remedy: Remedy) -> tuple[int, bool, float, float]:
    unknown = remedy.first_cost is None or remedy.yearly_cost is None
    cost = (remedy.first_cost or 0.0) + (remedy.yearly_cost or 0.0)
    return len(remedy.doses), unknown, cost, remedy.guarded.least_mm - remedy.guarded.greatest_mm


def _verified(programme: _Programme, doses: tuple[Dose, ...]) -> Remedy | None:
    """The remedy as the plain window solver sees it; None where it does not do what is wanted."""
    if not _opens(programme, doses):
        return None
    plain, guarded = _windows(_changed(programme.layout, doses))
    priced = all(dose.offer.priced for dose in doses)
    yearly = (d.offer.yearly_cost_per_mm * d.amount_mm + (d.offer.yearly_cost or 0.0) for d in doses)
    return Remedy(
        doses=doses,
        window=plain,
        guarded=guarded,
        first_cost=sum(dose.offer.first_cost or 0.0 for dose in doses) if priced else None,
        yearly_cost=sum(yearly) if priced else None,
    )


def _changed(layout: Layout, doses: Sequence[Dose]) -> Layout:
    return layout.changed(*(dose.offer.change(dose.amount_mm) for dose in doses))


def _opens(programme: _Programme, doses: Sequence[Dose]) -> bool:
    """Whether the guarded window is as wide as wanted after the changes, and nothing has sunk below its floor."""
    after = _changed(programme.layout, doses)
    values_mm = after.values_mm()
    _, guarded = _windows(after)
    wide = guarded.greatest_mm - guarded.least_mm >= programme.wanted_mm - TIE_MM and not guarded.empty
    return wide and all(floor.form.value(values_mm) >= floor.least_mm - TIE_MM for floor in programme.floors)


def _windows(layout: Layout) -> tuple[Window, Window]:
    """The plain and the guarded window of a layout."""
    values_mm, u_mm = layout.values_mm(), layout.uncertainties_mm()
    bounds = [
        Bound(row.side, row.bound().value(values_mm), row.slack.spread(u_mm), row.shares_cut)
        for row in layout.rows()
        if row.bounds_standoff
    ]
    limit_mm = layout.cut_limit_mm
    return window(bounds, cut_limit_mm=limit_mm), window(bounds, cut_limit_mm=limit_mm, factor=GUARD_FACTOR)


def _programme(layout: Layout, offers: Sequence[Offer], floors: Sequence[Floor], wanted_mm: float) -> _Programme:
    """The rows as constraints, each with its guard band: lower bounds at the window's lower edge, upper ones at its upper edge.

    A bound that the cut of a fixed nose moves holds at both edges, where the cut may differ.
    """
    values_mm, u_mm = layout.values_mm(), layout.uncertainties_mm()
    lines, least, rows = [], [], []
    for index, row in enumerate(row for row in layout.rows() if row.bounds_standoff):
        low, guard_mm = row.side is Side.AT_LEAST, GUARD_FACTOR * row.slack.spread(u_mm)
        sign, cut, bound_mm = 1.0 if low else -1.0, row.slack.coefficient(NOSE_CUT), row.bound().value(values_mm)
        for upper in (False, True) if row.shares_cut else (not low,):
            edge = [sign, 0.0 if upper else cut, cut if upper else 0.0]
            lines.append(np.concatenate([edge, _shifts(row.slack, offers), np.zeros(len(offers)), [1.0]]))
            least.append(guard_mm + sign * (bound_mm - (wanted_mm if upper else 0.0)))
            rows.append(index)
    for floor in floors:
        lines.append(np.concatenate([np.zeros(_AMOUNTS), _shifts(floor.form, offers), np.zeros(len(offers) + 1)]))
        least.append(floor.least_mm - floor.form.value(values_mm))
    for line, limit in _together(offers):
        lines.append(line)
        least.append(limit)
    matrix = np.array(lines).reshape(len(lines), _AMOUNTS + 2 * len(offers) + 1)
    return _Programme(layout, tuple(offers), tuple(floors), wanted_mm, tuple(rows), matrix, np.array(least))


def _shifts(form: Form, offers: Sequence[Offer]) -> list[float]:
    """How a sum shifts for 1 mm of each offer."""
    return [sum(form.coefficient(name) * c for name, c in offer.per_mm) for offer in offers]


def _together(offers: Sequence[Offer]) -> Iterator[tuple[Array, float]]:
    """An amount needs its choice; a fixed offer is taken whole; of the offers that change the same quantity one is taken."""
    n = len(offers)
    for i, offer in enumerate(offers):
        line = np.zeros(_AMOUNTS + 2 * n + 1)
        line[_AMOUNTS + i], line[_AMOUNTS + n + i] = -1.0, offer.greatest_mm
        yield line, 0.0
        if offer.fixed:
            yield -line, 0.0
    for quantity in sorted({offer.quantity for offer in offers}):
        line = np.zeros(_AMOUNTS + 2 * n + 1)
        line[[_AMOUNTS + n + i for i, offer in enumerate(offers) if offer.quantity == quantity]] = -1.0
        yield line, -1.0


def _cheapest(programme: _Programme, excluded: Sequence[tuple[Array, float]], count: int) -> tuple[int, ...] | None:
    """The cheapest set of at most `count` offers that may do; an unknown price counts as more than all known ones together."""
    offers = programme.offers
    unknown = 1.0 + sum(offer.cost + offer.yearly_cost_per_mm * offer.greatest_mm for offer in offers)
    cost = np.zeros(programme.matrix.shape[1])
    cost[programme.amounts] = [offer.yearly_cost_per_mm / unknown for offer in offers]
    cost[programme.choices] = [offer.cost / unknown if offer.priced else 1.0 for offer in offers]
    answer = _solved(programme, cost, at_most=[*excluded, (_counted(programme, range(len(offers))), count)])
    return None if answer is None else tuple(np.flatnonzero(answer[programme.choices] > 0.5).tolist())


def _counted(programme: _Programme, some: Sequence[int]) -> Array:
    """A line that counts how many of these offers are chosen."""
    line = np.zeros(programme.matrix.shape[1])
    line[[programme.choices.start + i for i in some]] = 1.0
    return line


def _amounts(programme: _Programme, chosen: Sequence[int]) -> Array:
    """The cheapest amounts [mm] of these offers, of equally cheap ones the least."""
    dearest = max(offer.yearly_cost_per_mm for offer in programme.offers) or 1.0
    cost = np.zeros(programme.matrix.shape[1])
    cost[programme.amounts] = [PER_MM + offer.yearly_cost_per_mm / dearest for offer in programme.offers]
    answer = _solved(programme, cost, chosen=chosen)
    # The set was found with choices a hair from whole numbers: what does only with such a hair is refused below.
    return np.zeros(len(programme.offers)) if answer is None else answer[programme.amounts]


def _solved(
    programme: _Programme,
    cost: Array,
    *,
    missing_mm: float = 0.0,
    chosen: Sequence[int] | None = None,
    at_most: Sequence[tuple[Array, float]] = (),
) -> Array | None:
    """The cheapest point, None where there is none.

    `missing_mm` [mm] is how much every row may lack; `chosen` settles the choices; `at_most` are further limits.
    """
    n = len(programme.offers)
    most, least = np.ones(n), np.zeros(n)
    if chosen is not None:
        most = least = np.isin(np.arange(n), chosen).astype(float)
    cut_mm = programme.layout.cut_limit_mm
    greatest_mm = [cut_mm, cut_mm, *(offer.greatest_mm for offer in programme.offers)]
    upper = np.concatenate([[np.inf], greatest_mm, most, [missing_mm]])
    lower = np.concatenate([[-np.inf, 0.0, 0.0], np.zeros(n), least, [0.0]])
    constraints = [LinearConstraint(csr_array(programme.matrix), programme.least, np.inf)]
    if at_most:
        lines, limits = zip(*at_most, strict=True)
        constraints.append(LinearConstraint(csr_array(np.array(lines)), -np.inf, limits))
    integral = np.zeros(len(cost), dtype=int)
    integral[programme.choices] = 1
    result = milp(cost, constraints=constraints, integrality=integral, bounds=Bounds(lower, upper), options={"mip_rel_gap": 0.0})
    return result.x if result.success else None
