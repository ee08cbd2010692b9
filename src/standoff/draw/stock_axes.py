"""The two axes of the saw-tooth: bar lengths along the bottom, length bought for a part upwards, with round figures."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from standoff.bar.yields import Floats
from standoff.draw.conditions import STEPS_MM
from standoff.draw.elevation import Format
from standoff.draw.labels import LINE_SHARE, widest
from standoff.draw.scene import Point, Px, Shape, Text
from standoff.draw.ticks import centres, corner, tick_below, tick_beside
from standoff.job.amounts import bar_length
from standoff.units import INCH_MM, Units

HEIGHTS = {"wide": 360.0, "page": 280.0, "narrow": 280.0}
"""How high the picture is in each arrangement."""
MOST_LENGTHS = {"wide": 9.0, "page": 7.0, "narrow": 3.0}
MOST_FIGURES = 7.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """Where the picture lies on the sheet and what it spans: bar lengths to the right, length bought for a part upwards."""

    left: Px
    top: Px
    right: Px
    bottom: Px
    shortest_mm: float
    longest_mm: float
    least_mm: float
    most_mm: float

    def x(self, bar_mm: float) -> Px:
        """Where a bar length lies."""
        return self.left + (bar_mm - self.shortest_mm) / (self.longest_mm - self.shortest_mm) * (self.right - self.left)

    def y(self, bought_mm: float) -> Px:
        """Where a length bought for a part lies; one above the picture at its top."""
        share = (bought_mm - self.least_mm) / (self.most_mm - self.least_mm)
        return self.bottom - min(share, 1.0) * (self.bottom - self.top)

    def points(self, bars_mm: Floats, bought_mm: Floats) -> tuple[Point, ...]:
        """A curve on the sheet."""
        return tuple((self.x(bar), self.y(bought)) for bar, bought in zip(bars_mm.tolist(), bought_mm.tolist(), strict=True))


def ground_of(
    values_mm: Floats, form: Format, units: Units, *, arrangement: str, top: Px, shortest_mm: float, longest_mm: float
) -> Ground:
    """The picture below `top` that holds all these lengths bought for a part."""
    low_mm, high_mm = float(values_mm.min()), float(values_mm.max())
    step_mm = _step_mm(max(high_mm - low_mm, 0.01 * high_mm), units)
    least_mm, most_mm = math.floor(low_mm / step_mm - 0.4) * step_mm, math.ceil(high_mm / step_mm + 0.2) * step_mm
    figures = [words for _, words in figures_of(units, least_mm=least_mm, most_mm=most_mm)]
    left, right = form.span
    return Ground(
        left=left + widest(figures, size=form.size) + 0.9 * form.size,
        top=top,
        right=right - 0.4 * form.size,
        bottom=top + HEIGHTS[arrangement],
        shortest_mm=shortest_mm,
        longest_mm=longest_mm,
        least_mm=max(least_mm, 0.0),
        most_mm=most_mm,
    )


def axes(ground: Ground, form: Format, units: Units, *, arrangement: str) -> tuple[list[Shape], Px]:
    """Grid, figures and titles of both axes; with the y below."""
    size = form.size
    shapes: list[Shape] = [*_upwards(ground, size, units), *_along(ground, form, units, arrangement)]
    shapes += corner(left=ground.left, top=ground.top, right=ground.right, bottom=ground.bottom)
    y = ground.bottom + (1.5 + LINE_SHARE) * size
    shapes.append(Text(((ground.left + ground.right) / 2.0, y), "length of the bar as ordered", size, "soft", "axes", "middle"))
    return shapes, y + 0.5 * size


def figures_of(units: Units, *, least_mm: float, most_mm: float) -> list[tuple[float, str]]:
    """The round lengths from the least to the most with their words."""
    step_mm, unit_mm = _step_mm(most_mm - least_mm, units), _unit_mm(units)
    decimals = max(0, -math.floor(math.log10(step_mm / unit_mm) + 1e-9))
    first, last = math.ceil(least_mm / step_mm - 1e-9), math.floor(most_mm / step_mm + 1e-9)
    return [(i * step_mm, f"{i * step_mm / unit_mm:.{decimals}f}") for i in range(first, last + 1)]


def _unit_mm(units: Units) -> float:
    return float(INCH_MM) if units == "in" else 1.0


def _step_mm(span_mm: float, units: Units) -> float:
    """The round step with which few figures span so much. [mm]"""
    span = span_mm / _unit_mm(units)
    power = 10.0 ** math.floor(math.log10(span / MOST_FIGURES))
    return _unit_mm(units) * next(power * digit for digit in (1.0, 2.0, 5.0, 10.0) if span / (power * digit) <= MOST_FIGURES)


def _upwards(ground: Ground, size: Px, units: Units) -> Iterator[Shape]:
    for bought_mm, words in figures_of(units, least_mm=ground.least_mm, most_mm=ground.most_mm):
        y = ground.y(bought_mm)
        yield from tick_beside(words, y, left=ground.left, right=ground.right, size=size)
    yield Text((ground.left - 0.6 * size, ground.top - 0.85 * size), units, size, "soft", "axes", "end")


def _along(ground: Ground, form: Format, units: Units, arrangement: str) -> Iterator[Shape]:
    """A tick and a figure at every round bar length."""
    size, span_mm = form.size, ground.longest_mm - ground.shortest_mm
    step_mm = next((s for s in STEPS_MM[units] if span_mm / s <= MOST_LENGTHS[arrangement]), STEPS_MM[units][-1])
    first, last = math.ceil(ground.shortest_mm / step_mm - 1e-9), math.floor(ground.longest_mm / step_mm + 1e-9)
    lengths_mm = [i * step_mm for i in range(first, last + 1)]
    words = [bar_length(mm, units) for mm in lengths_mm]
    places = centres([ground.x(mm) for mm in lengths_mm], words, span=form.span, size=size)
    for mm, centre, word in zip(lengths_mm, places, words, strict=True):
        yield from tick_below(word, ground.x(mm), top=ground.top, bottom=ground.bottom, size=size, centre=centre)
