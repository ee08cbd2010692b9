"""Money, masses, lengths, hours and weeks as a person reads them: never more digits than a stock sheet bears."""

from __future__ import annotations

import math

from standoff.magnitude import UNITS, Kind
from standoff.units import INCH_MM, Units, decimal, format_length, step_up

POUND_KG = float(UNITS[Kind.MASS]["lb"])
"""A pound. [kg]"""

LEAST_COST = 0.0001
"""A smaller amount of money is named as less than it."""


def money(cost: float, currency: str) -> str:
    """An amount of money: two decimals below 100, none above; below 1 two digits that are not zero."""
    amount = abs(cost)
    if 0.0 < amount < LEAST_COST:
        return f"under {LEAST_COST} {currency}"
    if amount < 0.995:
        text = f"{amount:.{2 if amount == 0.0 else max(2, 1 - math.floor(math.log10(amount)))}f}"
    else:
        text = f"{amount:.2f}" if round(amount, 2) < 100.0 else f"{math.floor(amount + 0.5)}"
    return f"{'-' if cost < 0.0 and float(text) != 0.0 else ''}{text} {currency}"


def stated_money(price: float, currency: str) -> str:
    """A price as it was stated, to the cent at least."""
    return f"{price:.2f} {currency}" if round(price, 2) == price else f"{price:g} {currency}"


def mass(mass_kg: float, units: Units) -> str:
    """A mass in three digits: pounds where the job is in inches."""
    value, unit = (mass_kg / POUND_KG, "lb") if units == "in" else (mass_kg, "kg")
    if value <= 0.0:
        return f"0 {unit}"
    decimals = min(max(2 - math.floor(math.log10(value)), 0), 4)
    return f"{value:.{decimals}f} {unit}"


def hours(time_h: float) -> str:
    """A time in hours: one decimal below 100."""
    return f"{time_h:.1f} h" if time_h < 99.95 else f"{time_h:.0f} h"


def seconds(time_s: float) -> str:
    """A time in seconds as it was stated."""
    return f"{time_s:g} s"


def weeks(count: int) -> str:
    """Whole weeks, spoken."""
    return "1 week" if count == 1 else f"{count} weeks"


def many(count: int, thing: str) -> str:
    """So many things, one of them in the singular."""
    return f"{count} {thing}" if count == 1 else f"{count} {thing}s"


def bar_length(length_mm: float, units: Units) -> str:
    """The length of a bar, feet apart."""
    return format_length(length_mm, units, feet=True)


def bar_at_least(length_mm: float, units: Units) -> str:
    """A length that a bar must have, up to the next step of the tape: a step down would cost a part."""
    return bar_length(step_up(length_mm, units), units)


def thin(length_mm: float, units: Units) -> str:
    """A length below a step of the tape, or a mean of many: in decimals."""
    return f"{decimal(length_mm / float(INCH_MM), 3)} in" if units == "in" else f"{decimal(length_mm, 2)} mm"
