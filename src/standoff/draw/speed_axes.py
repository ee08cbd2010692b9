"""The two axes of a speed chart: which speeds and lengths the picture spans, and the round figures along them."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from standoff.draw.conditions import STEPS_MM
from standoff.draw.elevation import Format
from standoff.draw.labels import LINE_SHARE, widest
from standoff.draw.scene import Line, Px, Shape, Text, text_width
from standoff.draw.speed_curves import Curves, Field
from standoff.draw.ticks import tick_below, tick_beside
from standoff.job.speech import length
from standoff.job.speed import BarSpeed
from standoff.units import Units

HEIGHTS = {"wide": 440.0, "page": 330.0, "narrow": 320.0}
"""How high the picture is in each arrangement."""
REACH_SHARE = 2.0
"""The picture reaches this many times as high as the greatest of wanted speed, lowest limit and lowest whip speed."""
LEAST_TOP_RPM = 10.0
MOST_SPEEDS, MOST_LENGTHS = 8.0, {"wide": 9.0, "page": 7.0, "narrow": 4.0}


def field_of(one: BarSpeed, found: Curves, form: Format, *, arrangement: str, top: Px) -> Field:
    """Where the picture lies below `top`, and what it spans."""
    top_rpm = _top_rpm(one, found)
    figures = widest([f"{speed_rpm:g}" for speed_rpm in _speeds_rpm(top_rpm)], size=form.size)
    left, right = form.span
    return Field(
        left=left + figures + 0.9 * form.size,
        top=top,
        right=right - 0.4 * form.size,
        bottom=top + HEIGHTS[arrangement],
        longest_mm=float(found.lengths_mm[-1]),
        shortest_mm=float(found.lengths_mm[0]),
        top_rpm=top_rpm,
    )


def axes(field: Field, form: Format, units: Units, *, arrangement: str) -> tuple[list[Shape], Px]:
    """Grid, figures and titles of both axes; with the y below."""
    size = form.size
    shapes: list[Shape] = [*_speeds(field, size), *_lengths(field, form, units, arrangement)]
    shapes += [
        Line((field.left, field.bottom), (field.right, field.bottom), "dimension", "axes"),
        Line((field.left, field.top), (field.left, field.bottom), "dimension", "axes"),
    ]
    ends, y = _ends(field, form, units)
    return [*shapes, *ends], y


def _top_rpm(one: BarSpeed, found: Curves) -> float:
    """The highest speed shown: what is compared fills the picture, and no room goes to what lies far above. [rpm]"""
    lowest = [one.bar.wanted_rpm or 0.0, one.lowest.speed_rpm, float(found.whip_rpm.min())]
    compared = [speed for speed in lowest if math.isfinite(speed)]
    reach = min(REACH_SHARE * max(compared), 1.05 * float(np.max(found.whip_rpm)))
    top_rpm = max(reach, 1.2 * max(compared), LEAST_TOP_RPM)
    step_rpm = _step_rpm(top_rpm)
    return math.ceil(top_rpm / step_rpm - 1e-9) * step_rpm


def _step_rpm(top_rpm: float) -> float:
    """The round step with which few figures reach the top. [rpm]"""
    power = 10.0 ** math.floor(math.log10(top_rpm / MOST_SPEEDS))
    return next(power * digit for digit in (1.0, 2.0, 5.0, 10.0) if top_rpm / (power * digit) <= MOST_SPEEDS)


def _speeds_rpm(top_rpm: float) -> list[float]:
    step_rpm = _step_rpm(top_rpm)
    return [i * step_rpm for i in range(round(top_rpm / step_rpm) + 1)]


def _speeds(field: Field, size: Px) -> Iterator[Shape]:
    for speed_rpm in _speeds_rpm(field.top_rpm):
        y = field.y(speed_rpm)
        yield from tick_beside(f"{speed_rpm:g}", y, left=field.left, right=field.right, size=size)
    yield Text((field.left - 0.6 * size, field.top - 0.85 * size), "rpm", size, "soft", "axes", "end")


def _lengths(field: Field, form: Format, units: Units, arrangement: str) -> Iterator[Shape]:
    """A tick and a figure at every round length that the picture spans."""
    size, span_mm = form.size, field.longest_mm - field.shortest_mm
    step_mm = next((s for s in STEPS_MM[units] if span_mm / s <= MOST_LENGTHS[arrangement]), STEPS_MM[units][-1])
    for i in range(math.ceil(field.shortest_mm / step_mm), math.floor(field.longest_mm / step_mm + 1e-9) + 1):
        x, words = field.x(i * step_mm), length(i * step_mm, units).removesuffix(f" {units}")
        half = text_width(words, size=size) / 2.0
        centre = min(max(x, form.span[0] + half), form.span[1] - half)
        yield from tick_below(words, x, top=field.top, bottom=field.bottom, size=size, centre=centre)


def _ends(field: Field, form: Format, units: Units) -> tuple[list[Shape], Px]:
    """What stands at either end of the lengths, and what they are; with the y below."""
    size, (left, right) = form.size, form.span
    y = field.bottom + (1.5 + LINE_SHARE) * size
    full = Text((left, y), f"full bar {length(field.longest_mm, units)}", size, "soft", "axes")
    last = Text((right, y), f"last piece {length(field.shortest_mm, units)}", size, "soft", "axes", "end")
    title = Text(((left + right) / 2.0, y), f"what is left of the bar, {units}", size, "soft", "axes", "middle")
    if title.box.left < full.box.right + size or title.box.right > last.box.left - size:
        y += LINE_SHARE * size
        title = Text((title.at[0], y), title.words, size, "soft", "axes", "middle")
    return [full, last, title], y + 0.5 * size
