"""The words inside a speed chart: where the bar whips first, what is wanted, the steps, the makers' limits.

Each has a few places where it may stand, the best first; what covers least of the curves is taken, and no two words ever meet.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from standoff.bar.mesh import Floats
from standoff.draw.label_room import AIR, inked, roomiest
from standoff.draw.labels import LINE_SHARE, text_block, widest, wrapped
from standoff.draw.scene import Box, Line, Point, Px, Shape, Text, text_width
from standoff.draw.speed_curves import Field, Traces
from standoff.job.speech import length
from standoff.job.speed import MODEL, BarSpeed, SpeedStep
from standoff.job.speed_speech import rpm
from standoff.model.state import FIXED
from standoff.units import Units

DOT: Px = 5.5
"""Radius of the dot where the bar whips first."""
PLACES = 13
"""At so many places along its line a label is tried."""
ROUNDS = 18
"""At so many distances a label is tried around its dot."""


@dataclass(frozen=True, slots=True)
class Level:
    """A greatest speed drawn as a level line, and who sets it."""

    names: str
    speed_rpm: float

    @property
    def words(self) -> str:
        """What stands at the line."""
        return f"{self.names}: {rpm(self.speed_rpm)}"

    @property
    def beside(self) -> str:
        """What stands in a list."""
        return f"{rpm(self.speed_rpm)} ({self.names})"


@dataclass(frozen=True, slots=True)
class Label:
    """What it says, and its places: each one is its lines of text; `dot` is the point it is led to, if it is led to one."""

    words: str
    places: tuple[tuple[Text, ...], ...]
    dot: Point | None = None


def levels(one: BarSpeed) -> list[Level]:
    """Every limit that is a level line: those of makers and of readings on site, the lowest first, like ones together."""
    held: dict[float, list[str]] = {}
    for limit in sorted(one.limits, key=lambda limit: limit.speed_rpm):
        if limit.of != MODEL:
            mode = f" ({limit.mode} mode)" if limit.mode not in (None, FIXED) else ""
            held.setdefault(limit.speed_rpm, []).append(f"{limit.of}{mode}")
    return [Level(", ".join(names), speed_rpm) for speed_rpm, names in held.items()]


def dot_of(one: BarSpeed, field: Field) -> Point:
    """Where the bar whips first."""
    worst = one.worst.life.worst
    return field.x(worst.length_mm), field.y(worst.whip_rpm)


def speed_labels(
    one: BarSpeed, field: Field, traced: Traces, shown: Sequence[Level], units: Units, *, size: Px
) -> tuple[list[Shape], list[str]]:
    """The words in the picture, and those that find no room there: what has least choice first."""
    first = [_step(step, field, size) for step in one.steps if step.limit_rpm <= field.top_rpm]
    levels_rpm = [level.speed_rpm for level in shown]
    if one.bar.wanted_rpm is not None:
        levels_rpm.append(one.bar.wanted_rpm)
        first.append(_ruled(f"wanted {rpm(one.bar.wanted_rpm, up=True)}", one.bar.wanted_rpm, field, size, bold=True))
    callout, others = [_callout(one, field, units, size)], [_ruled(a.words, a.speed_rpm, field, size, bold=False) for a in shown]
    rules = [((field.left, field.y(at_rpm)), (field.right, field.y(at_rpm))) for at_rpm in levels_rpm]
    # Words on another's level line would be taken for its value: that counts more than a curve.
    ink = inked([*(3 * rules), *(piece for _, piece in traced.pieces(field))])
    (x, y), frame = dot_of(one, field), Box(left=field.left, top=field.top, right=field.right, bottom=field.bottom)
    dot = Box(left=x, top=y, right=x, bottom=y).grown(DOT)
    tried = ([*first, *callout, *others], [*first, *others, *callout])
    return min((_placed(labels, frame=frame, taken=[dot], ink=ink) for labels in tried), key=lambda found: len(found[1]))


def _step(step: SpeedStep, field: Field, size: Px) -> Label:
    """The value of a step, with its unit where there is room, and a little beyond the step where there is none."""
    left, right, y = field.x(step.longest_mm), field.x(step.shortest_mm), field.y(step.limit_rpm)
    words, short = rpm(step.limit_rpm), rpm(step.limit_rpm).removesuffix(" rpm")
    lacking = max(text_width(short, size=size, bold=True) + 2.0 * AIR - (right - left), 0.0)
    beyond = (max(left - lacking, field.left), min(right + lacking, field.right))
    tried = ((words, (left, right)), (short, beyond))
    places = (p for word, span in tried for p in _along(word, span=span, y=y, size=size, style="speed-step", most=1))
    return Label(f"step {words}", tuple(places))


def _ruled(words: str, speed_rpm: float, field: Field, size: Px, *, bold: bool) -> Label:
    """The words of a level line that runs through the whole picture."""
    span = (field.left + 4.0, field.right - 4.0)
    style = "ink" if bold else "soft"
    return Label(words, tuple(_along(words, span=span, y=field.y(speed_rpm), size=size, style=style, bold=bold)))


def _callout(one: BarSpeed, field: Field, units: Units, size: Px) -> Label:
    """Where the bar whips first, or where the feed force buckles it: in one line, or in two."""
    worst, dot = one.worst.life.worst, dot_of(one, field)
    left = f"{length(worst.length_mm, units)} left"
    lines = ("buckles:", left) if worst.cause.buckled else ("whips first:", f"{left}, {rpm(worst.whip_rpm)}")
    words = " ".join(lines)
    places = (place for block in ((words,), lines) for place in _around(block, dot, field=field, size=size))
    return Label(words, tuple(places), dot)


def _along(
    words: str, *, span: tuple[Px, Px], y: Px, size: Px, style: str, bold: bool = True, most: int = 3
) -> Iterator[tuple[Text, ...]]:
    """Places above and below a level line, from the left on; none where the line is shorter than a word of it."""
    for share in (1.0, 0.6):
        lines = wrapped(words, width=share * (span[1] - span[0]), size=size, bold=bold, most=most)
        if " ".join(lines) != words:
            continue
        spare = span[1] - span[0] - widest(lines, size=size, bold=bold)
        rise = (len(lines) - 1) * LINE_SHARE * size
        for i in range(PLACES):
            x = span[0] + spare * i / (PLACES - 1)
            for base in (y - rise - 0.24 * size - 4.0, y + 0.8 * size + 4.0):
                yield text_block(lines, at=(x, base), size=size, style=style, layer="labels", bold=bold)


def _around(lines: Sequence[str], dot: Point, *, field: Field, size: Px) -> Iterator[tuple[Text, ...]]:
    """Places around a dot, the nearest first, its lines below one another."""
    width = widest(lines, size=size, bold=True)
    rise = (len(lines) - 1) * LINE_SHARE
    low, high = field.left + 4.0, field.right - 4.0 - width
    for away in (1.6 + 0.6 * i for i in range(ROUNDS)):
        for down in (-away - rise, away):
            for aside in (0.0, -0.3, 0.3, -0.6, 0.6, -1.0, 1.0):
                x = min(max(dot[0] + (aside - 0.5) * width, low), high)
                yield text_block(lines, at=(x, dot[1] + down * size), size=size, style="ink", layer="labels", bold=True)


def _placed(labels: Sequence[Label], *, frame: Box, taken: Sequence[Box], ink: Floats) -> tuple[list[Shape], list[str]]:
    """Every label at the best place that is left, in their order; and the words of those that find none."""
    shapes, homeless, full = list[Shape](), list[str](), list(taken)
    for label in labels:
        lines = roomiest(label.places, frame=frame, taken=full, ink=ink)
        if lines is None:
            homeless.append(label.words)
            continue
        full += [line.box for line in lines]
        if label.dot is not None:
            shapes.append(_led(label.dot, lines))
        shapes += lines
    return shapes, homeless


def _led(dot: Point, lines: Sequence[Text]) -> Line:
    """A line from the dot to the nearest edge of its words."""
    left, right = min(line.box.left for line in lines), max(line.box.right for line in lines)
    top, bottom = lines[0].box.top, lines[-1].box.bottom
    # A text's box is wider than most fonts set it: the line ends under letters, not beside them.
    x = min(max(dot[0], left + 6.0), right - 0.25 * (right - left))
    return Line(dot, (x, bottom if bottom < dot[1] else top), "leader", "labels")
