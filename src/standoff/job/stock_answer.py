"""Stock and money as other programs read them: `standoff-stock/1`, the same bytes for the same input."""

from __future__ import annotations

import math
from typing import Any

from standoff.bar.lengths import Expected
from standoff.job.costs import Costs, Longer, Loss
from standoff.job.economy import Purchase, Shared, Stock, StockSheet
from standoff.job.parts import Reach
from standoff.job.pay_back import Comparison, PayBack
from standoff.job.stock_speech import CAUTION
from standoff.job.supply import Supply

FORMAT = "standoff-stock/1"


def stock_contents(sheet: StockSheet, *, program: str) -> dict[str, Any]:
    """The answer's contents: lengths in mm and masses in kg to 3 decimals, shares to 4, money to 4, times to 2."""
    return {
        "format": FORMAT,
        "program": program,
        "standoff_mm": _mm(sheet.placement.standoff_mm),
        "placement_holds": sheet.placed,
        "currency": sheet.currency or None,
        "parts": [_part(stock) for stock in sheet.stocks],
        "shared_bars": [_shared(shared) for shared in sheet.shared],
        "pay_back": None if sheet.comparison is None else _comparison(sheet.comparison),
        "cautions": [CAUTION],
    }


def _part(stock: Stock) -> dict[str, Any]:
    supply, part = stock.supply, stock.supply.part
    return {
        "name": part.name,
        "mode": part.mode.name,
        "bar": part.bar_name,
        "bar_mm": _mm(part.bar_mm),
        "part_mm": _mm(part.length_mm),
        "cut_off_mm": _mm(part.cut_mm),
        "facing_mm": _mm(part.facing_mm),
        "picked_off": part.picked_off,
        "shortest_remnant": _reach(part.reach),
        "count": supply.count,
        "remnant_mm": _mm(part.remnant_mm),
        "yield_share": _share(float(supply.yields.yield_share)),
        "masses_kg": _masses(supply),
        "expected": _expected(supply.expected, supply.tolerance.upper_mm),
        "same_count_from_mm": _mm(stock.teeth.same_mm),
        "one_more_from_mm": _mm(stock.teeth.more_mm),
        "bars": {
            "per_order": supply.bars_per_order,
            "per_order_at_their_shortest": supply.bars_per_order_surely,
            "per_year": supply.bars_per_year,
        },
        "costs": _costs(stock.costs),
        "shortfall": None if stock.shortfall is None else _longer(stock.shortfall),
        "step_of_remnant": None if stock.step is None else _longer(stock.step),
        "length_to_buy": None if stock.purchase is None else _purchase(stock.purchase),
        "bars_in_magazine": None if stock.magazine is None else stock.magazine.bars,
        "unattended_h": None if stock.unattended_h is None else round(stock.unattended_h, 2),
        "alarms": list(stock.alarms),
        "not_stated": list(stock.not_stated),
    }


def _reach(reach: Reach) -> dict[str, float]:
    """The places of the formula, from the adapter's rear face with the headstock at the first mode's rear limit."""
    return {
        "cut_off_mm": _mm(reach.cut_off_mm),
        "collet_mm": _mm(reach.collet_mm),
        "into_collet_mm": _mm(reach.into_collet_mm),
        "tip_limit_mm": _mm(reach.tip_limit_mm),
        "insertion_mm": _mm(reach.insertion_mm),
        "remnant_mm": _mm(reach.remnant_mm),
        "shortfall_mm": _mm(reach.shortfall_mm),
        "gripped_mm": _mm(reach.gripped_mm),
    }


def _masses(supply: Supply) -> dict[str, float] | None:
    masses = supply.masses
    if masses is None:
        return None
    parts = {"bar": masses.bar_kg, "parts": masses.parts_kg, "chips": masses.chips_kg, "remnant": masses.remnant_kg}
    return {name: round(float(mass_kg), 4) for name, mass_kg in parts.items()}


def _expected(expected: Expected, spread_mm: float) -> dict[str, Any]:
    return {
        "longer_up_to_mm": _mm(spread_mm),
        "bar_mm": _mm(float(expected.bar_mm)),
        "parts": round(float(expected.parts), 4),
        "fewest": int(expected.fewest),
        "most": int(expected.most),
        "remnant_mm": _mm(float(expected.remnant_mm)),
        "yield_share": _share(float(expected.yield_share)),
    }


def _costs(costs: Costs) -> dict[str, float | None]:
    return {
        "bar": _money(costs.bar_cost),
        "part": _money(costs.part_cost),
        "remnant_of_a_bar": _money(costs.remnant_cost),
        "order": _money(costs.order_cost),
        "year": _money(costs.year_cost),
        "bar_changes_a_year": _money(costs.changes_cost),
    }


def _longer(longer: Longer) -> dict[str, Any]:
    return {
        "longer_mm": _mm(longer.longer_mm),
        "on_the_average": _loss(longer.mean),
        "these_bars": None if longer.here is None else _loss(longer.here),
    }


def _loss(loss: Loss) -> dict[str, float | None]:
    return {
        "parts_per_bar": round(loss.parts, 4) + 0.0,
        "bars_a_year": _money(loss.yearly_bars),
        "kg_a_year": None if loss.yearly_kg is None else round(loss.yearly_kg, 3) + 0.0,
        "cost_a_year": _money(loss.yearly_cost),
    }


def _purchase(purchase: Purchase) -> dict[str, Any]:
    best = purchase.best
    return {
        "least_mm": _mm(purchase.least_mm),
        "greatest_mm": _mm(purchase.greatest_mm),
        "best_mm": None if best is None else _mm(float(best.nominal_mm)),
        "parts_per_bar": None if best is None else round(float(best.parts), 4),
        "wasted_per_part_mm": None if best is None else _mm(float(best.wasted_per_part_mm)),
        "saved_share": None if best is None else _share(purchase.saved_share),
        "saved_a_year": _money(purchase.saved_cost),
    }


def _shared(shared: Shared) -> dict[str, Any]:
    return {
        "bar": shared.bar,
        "mode": shared.mode,
        "counts": dict(zip(shared.parts, shared.mix.counts, strict=True)),
        "remnant_mm": _mm(shared.mix.remnant_mm),
        "yield_share": _share(shared.mix.yield_share),
        "best_alone": shared.alone,
        "best_alone_share": _share(shared.alone_share),
    }


def _comparison(comparison: Comparison) -> dict[str, Any]:
    return {
        "compared_with": {
            "standoff_mm": _mm(comparison.standoff_mm),
            "unmet": list(comparison.unmet),
            "parts": [
                {
                    "name": part.name,
                    "shortest_remnant_mm": _mm(part.reach.remnant_mm),
                    "shortfall_mm": _mm(part.reach.shortfall_mm),
                }
                for part in comparison.parts
            ],
        },
        "remedies": [_pay_back(one) for one in comparison.pay_backs],
    }


def _pay_back(one: PayBack) -> dict[str, Any]:
    """One remedy; `weeks` is null where it never pays or cannot be told, and `pays` says which."""
    doses, weeks = one.remedy.doses, one.weeks
    return {
        "changes": [{"kind": d.offer.kind, "quantity": d.offer.quantity, "amount_mm": _mm(d.amount_mm)} for d in doses],
        "standoff_mm": _mm(one.standoff_mm),
        "cost_now": _money(one.remedy.first_cost),
        "cost_per_year": _money(one.remedy.yearly_cost),
        "of_it_counted_as_bars": _money(one.remnant_cost),
        "saved_a_year": _money(one.saved_cost),
        "weeks": None if weeks is None or not math.isfinite(weeks) else round(weeks, 1),
        "pays": None if weeks is None else math.isfinite(weeks),
        "parts": [
            {
                "name": s.part,
                "bar_mm": _mm(s.bar_mm),
                "shortest_remnant_mm": _mm(s.remnant_mm),
                "saved_a_year": _money(s.yearly_cost),
            }
            for s in one.savings
        ],
    }


def _mm(value_mm: float) -> float:
    return round(value_mm, 3) + 0.0


def _share(share: float) -> float:
    return round(share, 4) + 0.0


def _money(amount: float | None) -> float | None:
    return None if amount is None else round(amount, 4) + 0.0
