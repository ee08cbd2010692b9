"""What the pictures of a run-off share: a field with a scale upwards in lengths and one of bars along the bottom."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from standoff.draw.elevation import Format
from standoff.draw.labels import LINE_SHARE, widest
from standoff.draw.scene import Line, Px, Shape, Text
from standoff.draw.ticks import corner, tick_beside
from standoff.units import INCH_MM, Units, format_length

HEIGHTS = {"wide": 300.0, "page": 240.0, "narrow": 240.0}
"""How high the picture is in each arrangement."""
MOST_FIGURES = 6.0
MOST_BARS = {"wide": 14, "page": 10, "narrow": 6}
"""So many bars at most are numbered along the bottom."""
FEWEST_BARS = 6
"""So many bars have room at least."""
_TAPE_IN = (1 / 32, 1 / 16, 1 / 8, 1 / 4, 1 / 2, 1.0, 2.0, 4.0, 6.0, 12.0, 24.0, 48.0, 96.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """Where the picture lies on the sheet and what it spans: bars to the right, lengths upwards."""

    left: Px
    top: Px
    right: Px
    bottom: Px
    last: int
    least_mm: float
    most_mm: float

    def x(self, bar: int) -> Px:
        """Where a bar lies, the first one is 1."""
        return self.left + (bar - 0.5) / self.last * (self.right - self.left)

    def y(self, value_mm: float) -> Px:
        """Where a length lies."""
        return self.bottom - (value_mm - self.least_mm) / (self.most_mm - self.least_mm) * (self.bottom - self.top)


def ground_of(
    values_mm: tuple[float, ...], form: Format, units: Units, *, arrangement: str, top: Px, right: Px, last: int
) -> Ground:
    """The picture below `top`, from the left margin to `right`, that holds all these lengths and so many bars."""
    step_mm = round_step_mm(max(max(values_mm) - min(values_mm), 0.02), units)
    least_mm = math.floor(min(values_mm) / step_mm - 0.15) * step_mm
    most_mm = math.ceil(max(values_mm) / step_mm + 0.15) * step_mm
    figures = [words for _, words in figures_of(units, least_mm=least_mm, most_mm=most_mm)]
    return Ground(
        left=form.span[0] + widest(figures, size=form.size) + 0.9 * form.size,
        top=top,
        right=right,
        bottom=top + HEIGHTS[arrangement],
        last=max(last, FEWEST_BARS),
        least_mm=least_mm,
        most_mm=most_mm,
    )


def round_step_mm(span_mm: float, units: Units) -> float:
    """The round step with which few figures span so much: of the tape where that is fine enough, else decimal. [mm]"""
    unit_mm = float(INCH_MM) if units == "in" else 1.0
    span = span_mm / unit_mm
    if units == "in" and span > 4.0 * _TAPE_IN[0]:
        found = next((step for step in _TAPE_IN if span / step <= MOST_FIGURES), _TAPE_IN[-1])
        if span / found <= MOST_FIGURES:
            return unit_mm * found
    power = 10.0 ** math.floor(math.log10(span / MOST_FIGURES))
    return unit_mm * next(power * digit for digit in (1.0, 2.0, 5.0, 10.0) if span / (power * digit) <= MOST_FIGURES + 1e-9)


def figures_of(units: Units, *, least_mm: float, most_mm: float) -> list[tuple[float, str]]:
    """The round lengths from the least to the most with their words, without the unit."""
    step_mm = round_step_mm((most_mm - least_mm) * MOST_FIGURES / (MOST_FIGURES + 2.0), units)
    first, last = math.ceil(least_mm / step_mm - 1e-9), math.floor(most_mm / step_mm + 1e-9)
    return [(i * step_mm, _figure(i * step_mm, step_mm, units)) for i in range(first, last + 1)]


def _figure(value_mm: float, step_mm: float, units: Units) -> str:
    unit_mm = float(INCH_MM) if units == "in" else 1.0
    step = step_mm / unit_mm
    if units == "in" and any(abs(step - tape) < 1e-9 for tape in _TAPE_IN):
        return format_length(value_mm, units, denominator=32).removesuffix(" in")
    decimals = max(0, -math.floor(math.log10(step) + 1e-9))
    return f"{value_mm / unit_mm:.{decimals}f}"


def axes(ground: Ground, form: Format, units: Units, *, arrangement: str) -> tuple[list[Shape], Px]:
    """Grid, figures and titles of both axes; with the y below."""
    size = form.size
    shapes: list[Shape] = [*_upwards(ground, size, units), *_along(ground, size, MOST_BARS[arrangement])]
    shapes += corner(left=ground.left, top=ground.top, right=ground.right, bottom=ground.bottom)
    y = ground.bottom + (1.5 + LINE_SHARE) * size
    shapes.append(Text(((ground.left + ground.right) / 2.0, y), "bar of this run", size, "soft", "axes", "middle"))
    return shapes, y + 0.5 * size


def _upwards(ground: Ground, size: Px, units: Units) -> Iterator[Shape]:
    for value_mm, words in figures_of(units, least_mm=ground.least_mm, most_mm=ground.most_mm):
        y = ground.y(value_mm)
        yield from tick_beside(words, y, left=ground.left, right=ground.right, size=size)
    yield Text((ground.left - 0.6 * size, ground.top - 0.85 * size), units, size, "soft", "axes", "end")


def _along(ground: Ground, size: Px, most: int) -> Iterator[Shape]:
    step = next(digit * 10**power for power in range(7) for digit in (1, 2, 5) if ground.last / (digit * 10**power) <= most)
    for bar in range(step, ground.last + 1, step):
        x = ground.x(bar)
        yield Line((x, ground.bottom), (x, ground.bottom + 5.0), "dimension", "axes")
        yield Text((x, ground.bottom + 1.4 * size), f"{bar}", size, "soft", "axes", "middle")
