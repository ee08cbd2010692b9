"""What the proposed changes pay, in words: what they are compared with, what each saves and costs, when it has paid."""

from __future__ import annotations

import math

from standoff.job.amounts import LEAST_COST, money, weeks
from standoff.job.economy import StockSheet
from standoff.job.job import Job
from standoff.job.pay_back import Comparison, PayBack
from standoff.job.remedies import action
from standoff.job.speech import fine_length, length, listed


def pay_back_lines(sheet: StockSheet) -> tuple[str, ...]:
    """What is compared, then each change; nothing where nothing is proposed."""
    found = sheet.comparison
    if found is None:
        return ()
    lines = [_compared(found, sheet.job)]
    left_out = [stock.supply.part.name for stock in sheet.stocks if stock.costs.year_cost is None]
    if left_out:
        lines.append(f"not counted, since its bars or parts in a year have no figure: {listed(left_out)}")
    return (*lines, *(_line(one, sheet.job, sheet.currency) for one in found.pay_backs))


def _compared(found: Comparison, job: Job) -> str:
    units = job.units
    parts = [
        f"{part.name}: remnant {fine_length(part.reach.remnant_mm, units)}"
        + (f", the pusher {fine_length(part.reach.shortfall_mm, units)} short" if part.reach.shortfall_mm > 0.0 else "")
        for part in found.parts
    ]
    unmet = f"; it could not run there at all ({listed(found.unmet).lower()})" if found.unmet else ""
    return (
        f"compared with the pair as it is, at {length(found.standoff_mm, units)}, the nearest with sure room for the nose and the"
        f" bar{unmet}: {'; '.join(parts)} (the shortest remnant; bars are counted on the average over their lengths)"
    )


def _line(one: PayBack, job: Job, currency: str) -> str:
    doing = " and ".join(action(dose, job) for dose in one.remedy.doses)
    remnants = listed(fine_length(saving.remnant_mm, job.units) for saving in one.savings)
    return f"{doing} (remnant then {remnants}): {_pays(one, currency)}"


def _pays(one: PayBack, currency: str) -> str:
    """What it saves, what it costs, when it has paid."""
    saved, remedy = one.saved_cost, one.remedy
    if saved is None:
        return "what it saves cannot be told without a price of bars and parts in a year"
    if saved < -0.005:
        saves = f"costs {money(-saved, currency)} a year more in bars"
    elif saved < 0.005:
        saves = "saves no bars"
    else:
        saves = f"saves {money(saved, currency)} a year in bars"
    if remedy.first_cost is None:
        return f"{saves}; its price is not stated"
    costs = [f"{money(remedy.first_cost, currency)} once"] if remedy.first_cost > 0.0 else []
    costs += [f"{money(one.yearly_cost, currency)} a year"] if one.yearly_cost >= LEAST_COST else []
    price = f"costs {' and '.join(costs)}" if costs else "costs nothing else"
    stated = (
        f" ({money(one.remnant_cost, currency)} a year stated for its remnant is counted as bars)" if one.remnant_cost else ""
    )
    return f"{price}, {saves}: {_when(one)}{stated}"


def _when(one: PayBack) -> str:
    after = one.weeks
    if after is None or not math.isfinite(after):
        saved = one.saved_cost or 0.0
        return "it saves nothing" if saved < 0.005 else "its own yearly cost takes all of it, so it never pays back"
    return "it pays at once" if after == 0.0 else f"it pays back in {weeks(math.ceil(after - 1e-9))}"
