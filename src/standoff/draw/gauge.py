"""The gauge: the band within which the loader may stay, the aim as a line, and where it stands; the lathe is at the right."""

from __future__ import annotations

import math

from standoff.draw.scene import Box, Circle, Hatch, Line, Path, Px, Rect, Scene, Shape, Text, text_width
from standoff.job.moving import Stand, move
from standoff.job.placement import Placement
from standoff.job.speech import length
from standoff.units import step_mm

WIDTH: Px = 420.0
MARGIN: Px = 62.0
SIZE: Px = 17.0
LEAST_AROUND_MM = 25.0
"""So much is shown at least on either side of the band."""


def gauge(placement: Placement, here: Stand | None) -> Scene:
    """The band of standoffs that are sure, the aim, and where the loader stands if it is known. The aim must be known."""
    aim_mm = placement.aim_mm if placement.aim_mm is not None else placement.standoff_mm
    stays = move(placement, standoff_mm=aim_mm)
    least_mm, greatest_mm = (stays.least_mm, stays.greatest_mm) if stays is not None else (aim_mm, aim_mm)
    far_mm = aim_mm + 20.0 * max(step_mm(placement.job.units), LEAST_AROUND_MM)
    least_mm, greatest_mm = max(least_mm, 2.0 * aim_mm - far_mm), min(greatest_mm, far_mm)
    shown = [least_mm, greatest_mm, *([here.standoff_mm - 2.0 * here.u_mm, here.standoff_mm + 2.0 * here.u_mm] if here else [])]
    around_mm = max(LEAST_AROUND_MM, 0.35 * (greatest_mm - least_mm))
    low_mm, high_mm = min(shown) - around_mm, max(shown) + around_mm

    def x(at_mm: float) -> Px:
        # A greater standoff is farther from the lathe, which stands at the right as in every elevation.
        return WIDTH - MARGIN - (at_mm - low_mm) / (high_mm - low_mm) * (WIDTH - 2.0 * MARGIN)

    top, bottom = 1.9 * SIZE, 3.9 * SIZE
    band = Box(left=x(greatest_mm), top=top, right=x(least_mm), bottom=bottom)
    shapes: list[Shape] = [
        Line((MARGIN, bottom), (WIDTH - MARGIN, bottom), "dimension", "gauge"),
        Rect(band, "window-fill", "gauge"),
        Hatch(band, 9.0, "window", "gauge"),
        *_edge(band.left, top, bottom),
        *_edge(band.right, top, bottom),
        Line((x(aim_mm), top - 0.4 * SIZE), (x(aim_mm), bottom), "aim", "gauge"),
        _words(x(aim_mm), 1.2 * SIZE, f"aim {length(aim_mm, placement.job.units)}"),
        Text((0.4 * SIZE, bottom - 0.6 * SIZE), "away", SIZE, "soft", "gauge"),
        Text((WIDTH - 0.4 * SIZE, bottom - 0.6 * SIZE), "lathe", SIZE, "soft", "gauge", "end"),
    ]
    told = f"The band of standoffs that are sure, the aim {length(aim_mm, placement.job.units)}"
    if here is not None:
        at, half = x(here.standoff_mm), 2.0 * here.u_mm * (WIDTH - 2.0 * MARGIN) / (high_mm - low_mm)
        middle = (top + bottom) / 2.0
        shapes += [
            Line((at - half, middle), (at + half, middle), "bound", "gauge"),
            Circle((at, middle), 0.42 * SIZE, "aim-mark", "gauge"),
            Path(((at, bottom + 2.0), (at - 6.0, bottom + 12.0), (at + 6.0, bottom + 12.0)), "arrow", "gauge", closed=True),
            _words(at, bottom + 1.9 * SIZE, f"now {length(here.standoff_mm, placement.job.units)}"),
        ]
        told += f", and where the loader stands now, {length(here.standoff_mm, placement.job.units)}"
    return Scene(
        width=WIDTH, height=bottom + 2.5 * SIZE, title="Where the loader stands", description=f"{told}.", shapes=tuple(shapes)
    )


def _edge(at: Px, top: Px, bottom: Px) -> tuple[Shape, ...]:
    return (Line((at, top), (at, bottom), "window-edge", "gauge"),) if math.isfinite(at) else ()


def _words(at: Px, y: Px, words: str) -> Text:
    """Words centred on a place, kept on the sheet."""
    half = text_width(words, size=SIZE, bold=True) / 2.0
    return Text((min(max(at, half + 4.0), WIDTH - half - 4.0), y), words, SIZE, "ink", "gauge", "middle", True)
