"""The ground of a chart along the axis: how far behind the spindle adapter to the left, by how much the axes miss upwards."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from standoff.draw.conditions import STEPS_MM
from standoff.draw.elevation import Format
from standoff.draw.labels import LINE_SHARE, text_block, wrapped
from standoff.draw.scene import Point, Px, Shape, Text
from standoff.draw.stock_axes import figures_of
from standoff.draw.ticks import centres, corner, tick_below, tick_beside
from standoff.units import FOOT_MM, Units, format_length

MOST_PLACES = {"wide": 8.0, "page": 7.0, "narrow": 3.0}


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """Where a chart lies on the sheet, and what it spans: along the axis, and misses."""

    left: Px
    top: Px
    right: Px
    bottom: Px
    rear_mm: float
    front_mm: float
    low_mm: float
    high_mm: float

    def x(self, along_mm: float) -> Px:
        """Where a place along the axis lies, forward to the right."""
        return self.left + (along_mm - self.rear_mm) / (self.front_mm - self.rear_mm) * (self.right - self.left)

    def y(self, miss_mm: float) -> Px:
        """Where a miss lies, up or left being upwards."""
        return self.bottom - (miss_mm - self.low_mm) / (self.high_mm - self.low_mm) * (self.bottom - self.top)

    def point(self, *, along_mm: float, miss_mm: float) -> Point:
        """Both together."""
        return self.x(along_mm), self.y(miss_mm)


def misses_figured(units: Units, *, low_mm: float, high_mm: float) -> list[tuple[float, str]]:
    """The round misses between two with their figures: a sign before each that is not zero."""
    found = figures_of(units, least_mm=low_mm, most_mm=high_mm)
    return [(mm, f"{'+' if mm > 0.0 else ''}{words}".replace("-", "−")) for mm, words in found]


def axes(ground: Ground, form: Format, units: Units, *, arrangement: str, ends: tuple[str, str]) -> tuple[list[Shape], Px]:
    """Grid and figures of both axes, and which way is which (`ends`: upwards, downwards); with the y below."""
    size = form.size
    shapes: list[Shape] = [*_upwards(ground, size, units), *_along(ground, form, units, arrangement)]
    up, down = ends
    shapes.append(Text((ground.left + 0.5 * size, ground.top - 0.7 * size), f"↑ {up}", size, "soft", "axes"))
    shapes.append(Text((form.span[0], ground.bottom + 1.4 * size), f"↓ {down}", size, "soft", "axes"))
    shapes += corner(left=ground.left, top=ground.top, right=ground.right, bottom=ground.bottom)
    return shapes, ground.bottom + (1.5 + 0.4) * size


def along_title(form: Format, y: Px) -> tuple[list[Shape], Px]:
    """What runs along the bottom; with the y below."""
    (left, right), size = form.span, form.size
    lines = wrapped("behind the spindle adapter; the lathe is at the right", width=right - left, size=size)
    middle = (left + right) / 2.0
    block = text_block(lines, at=(middle, y + size), size=size, style="soft", layer="axes")
    return [replace(line, anchor="middle") for line in block], y + len(lines) * LINE_SHARE * size


def along_words(behind_mm: float, units: Units) -> str:
    """A round distance behind the adapter: feet from a foot on."""
    return format_length(behind_mm, units, feet=behind_mm >= FOOT_MM) if behind_mm else "0"


def _upwards(ground: Ground, size: Px, units: Units) -> Iterator[Shape]:
    for miss_mm, words in misses_figured(units, low_mm=ground.low_mm, high_mm=ground.high_mm):
        y = ground.y(miss_mm)
        style = "grid" if miss_mm else "axis"
        yield from tick_beside(words, y, left=ground.left, right=ground.right, size=size, style=style)
    yield Text((ground.left - 0.6 * size, ground.top - 0.7 * size), units, size, "soft", "axes", "end")


def _along(ground: Ground, form: Format, units: Units, arrangement: str) -> Iterator[Shape]:
    """A tick and a figure at every round distance behind the adapter."""
    size, span_mm = form.size, ground.front_mm - ground.rear_mm
    step_mm = next((s for s in STEPS_MM[units] if span_mm / s <= MOST_PLACES[arrangement]), STEPS_MM[units][-1])
    places_mm = [-i * step_mm for i in range(int(-ground.rear_mm / step_mm + 1e-9), -1, -1)]
    words = [along_words(-mm, units) for mm in places_mm]
    span = ground.left + 0.2 * size, form.span[1]
    places = centres([ground.x(mm) for mm in places_mm], words, span=span, size=size)
    for mm, centre, word in zip(places_mm, places, words, strict=True):
        yield from tick_below(word, ground.x(mm), top=ground.top, bottom=ground.bottom, size=size, centre=centre)
