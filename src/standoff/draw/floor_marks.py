"""Marks on the floor: the window for the nose-clamp face, its sure part, where the face is set; and the notes on them."""

from __future__ import annotations

import math
from collections.abc import Iterator

from standoff.draw import parts
from standoff.draw.labels import shortened
from standoff.draw.parts import Stage
from standoff.draw.pose import SAME_MM, Pose
from standoff.draw.scene import Box, Hatch, Line, Path, Px, Shape, Text, text_width
from standoff.draw.strip import pieces
from standoff.job.placement import Placement
from standoff.job.speech import bound_length, fine_length, length, named
from standoff.model.requirement import Side
from standoff.model.state import REAR_LIMIT, State
from standoff.solve.window import Window

BAND = (6.0, 20.0)
"""Upper and lower edge of the band, below the floor."""


def face_mm(placement: Placement, *, standoff_mm: float) -> float:
    """Where the clamp face of the unshifted loader stands at a standoff [mm]."""
    layout = placement.layout
    unshifted = State(name=REAR_LIMIT, mode=layout.modes[0].name, headstock=layout.modes[0].rear)
    return layout.place("clamp", unshifted).value(layout.values_mm(standoff_mm=standoff_mm, cut_mm=placement.cut_mm))


def edges_mm(placement: Placement) -> tuple[float, ...]:
    """Where the clamp face stands at the edges of the window, as far as there are edges."""
    edges = (placement.window.least_mm, placement.window.greatest_mm)
    return tuple(face_mm(placement, standoff_mm=edge) for edge in edges if math.isfinite(edge))


def drawn(stage: Stage, placement: Placement, pose: Pose) -> tuple[list[Shape], Px]:
    """The marks on a strip, and the y below them."""
    low = stage.floor + BAND[1] * stage.share
    x = stage.strip.x(pose.mark_mm)
    if x is None:
        return [], stage.floor + 8.0
    shapes: list[Shape] = [*_band(stage, placement)]
    half = 5.0
    shapes.append(Path(((x, low + 1), (x - half, low + 11), (x + half, low + 11)), "aim-mark", "window", closed=True))
    if abs(pose.shift_mm) > SAME_MM:
        shapes.append(Line((x, stage.up(parts.CLAMP)), (x, stage.floor), "mark", "loader"))
    shapes += _words(stage, placement, x)
    return shapes, low + 13.0


def _spans(placement: Placement, window: Window) -> tuple[float, float]:
    """Rear and front end [mm] of the clamp face's place in a window; a side without an edge is infinite."""
    rear = -math.inf if math.isinf(window.greatest_mm) else face_mm(placement, standoff_mm=window.greatest_mm)
    front = math.inf if math.isinf(window.least_mm) else face_mm(placement, standoff_mm=window.least_mm)
    return rear, front


def _band(stage: Stage, placement: Placement) -> Iterator[Shape]:
    top, bottom = (stage.floor + edge * stage.share for edge in BAND)
    rear_mm, front_mm = _spans(placement, placement.window)
    empty = placement.window.empty
    if empty:
        rear_mm, front_mm = front_mm, rear_mm
    for piece in pieces(stage.strip, rear_mm=rear_mm, front_mm=front_mm):
        box = Box(left=piece.left, top=top, right=piece.right, bottom=bottom)
        yield Hatch(box, 6.0, "clash" if empty else "window", "window", rising=not empty)
        edges = ((piece.left, piece.open_left), (piece.right, piece.open_right))
        for x in (x for x, is_open in edges if not is_open):
            yield Line((x, top - 3), (x, bottom + 3), "clash" if empty else "window-edge", "window")
    if not empty and not placement.guarded.empty:
        rear_mm, front_mm = _spans(placement, placement.guarded)
        for piece in pieces(stage.strip, rear_mm=rear_mm, front_mm=front_mm):
            box = Box(left=piece.left, top=top, right=piece.right, bottom=bottom)
            yield Hatch(box, 3.0, "guard", "window")


def _words(stage: Stage, placement: Placement, mark: Px) -> Iterator[Shape]:
    """What the band is, beside it."""
    size, strip = stage.size, stage.strip
    words = "no window for the clamp face" if placement.window.empty else "window for the clamp face"
    style = "clash" if placement.window.empty else "window"
    rear_mm, front_mm = sorted(_spans(placement, placement.window))
    band = pieces(strip, rear_mm=rear_mm, front_mm=front_mm)
    left = min([mark, *(piece.left for piece in band)]) - 12.0
    right = max([mark, *(piece.right for piece in band)]) + 12.0
    y = stage.floor + 13.0 * stage.share + 0.38 * size
    width = text_width(words, size=size)
    if right + width <= strip.right:
        yield Text((right, y), words, size, style, "window")
    elif left - width >= strip.left:
        yield Text((left, y), words, size, style, "window", "end")
    elif (short := shortened("window", width=strip.right - right, size=size)) == "window":
        yield Text((right, y), short, size, style, "window")


def notes(placement: Placement) -> tuple[str, ...]:
    """Window, aim and what binds, in words."""
    units, plain, sure = placement.job.units, placement.window, placement.guarded
    if plain.empty:
        by = fine_length(plain.least_mm - plain.greatest_mm, units)
        first = (
            f"No window: the clamp face would have to stand at least {fine_length(plain.least_mm, units)} and at most"
            f" {fine_length(plain.greatest_mm, units)} behind the adapter; {by} is missing (hatched on the floor)."
        )
    else:
        first = f"Window of the clamp face, hatched on the floor: {_from_to(plain, placement)}"
        first += "; no part of it is sure." if sure.empty else f"; sure (dense): {_from_to(sure, placement)}."
    return f"{first} {_set(placement)}", " ".join(_binding(placement))


def _set(placement: Placement) -> str:
    units = placement.job.units
    if placement.asked_mm is not None:
        return f"Drawn at the standoff asked for, {length(placement.asked_mm, units)} (arrowhead)."
    if placement.aim_mm is not None:
        return f"Aim (arrowhead): {length(placement.aim_mm, units)} behind the adapter."
    return "Drawn midway between the two edges (arrowhead)."


def _from_to(window: Window, placement: Placement) -> str:
    units = placement.job.units
    least = bound_length(window.least_mm, units, Side.AT_LEAST) if math.isfinite(window.least_mm) else ""
    greatest = bound_length(window.greatest_mm, units, Side.AT_MOST) if math.isfinite(window.greatest_mm) else ""
    if least and greatest:
        return f"{least} to {greatest}"
    return f"from {least}" if least else f"up to {greatest}" if greatest else "any standoff"


def _binding(placement: Placement) -> Iterator[str]:
    for side, way in ((Side.AT_LEAST, "nearer"), (Side.AT_MOST, "farther")):
        binding = [named(judged) for judged in placement.rows if judged.binding and judged.row.side is side]
        if binding:
            yield f"Binds {way}: {'; '.join(binding)}."
