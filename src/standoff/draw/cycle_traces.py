"""The traces of the gaps: what each requirement has to spare from moment to moment, one small line for each.

The parts in the middle are all alike: they share one short stretch. Each line has its own height, from nothing to spare up to its
greatest slack; the least slack of a line has a dot, the least of all a diamond, and what fails is hatched.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby, pairwise

import numpy as np

from standoff.draw.cycle_strips import form_of
from standoff.draw.elevation import Arrangement, Format
from standoff.draw.labels import LINE_SHARE, shortened, text_block, wrapped
from standoff.draw.scene import Box, Circle, Hatch, Line, Path, Point, Px, Rect, Scene, Shape, Text, text_width
from standoff.job.cycle import Cycle, Trace
from standoff.job.cycle_speech import title
from standoff.job.motions import END, STEPS
from standoff.job.speech import length, spare_length
from standoff.solve.window import TIE_MM
from standoff.units import Units

SHOWN_PARTS = 2
"""So many parts are shown one by one at the beginning, and as many at the end."""
HEIGHT, NAMES = 2.3, 0.3
"""Height of a line in text sizes; the share of the sheet that the names beside the lines take."""
NOTE = "Each line has its own height: the rule below it is nothing to spare. Dot: the least of a line; diamond: the least of all."


@dataclass(frozen=True, slots=True)
class Span:
    """Moments that belong together, from the first to the last, with what they are called."""

    words: str
    first: int
    last: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """Where the moments lie on the sheet: those that are shown one by one, and in between those that are alike."""

    moments: tuple[int, ...]
    places: tuple[Px, ...]
    spans: tuple[Span, ...]

    def x(self, number: int) -> Px:
        """Where a moment lies."""
        return float(np.interp(number, self.moments, self.places))


def traces(cycle: Cycle, *, arrangement: Arrangement = "wide") -> Scene:
    """The chart of every requirement's slack over one bar. Raises: UsageError for another arrangement."""
    form = form_of(arrangement)
    ground = ground_of(cycle, arrangement=arrangement)
    units, size = cycle.job.units, form.size
    shapes: list[Shape] = [*_spans(ground, form, 0.4 * size)]
    y = top = 0.4 * size + 1.5 * size
    for trace in cycle.traces:
        drawn, y = _line(trace, ground, form, units, y, tightest=trace is cycle.tightest)
        shapes += drawn
    lines = wrapped(NOTE, width=form.span[1] - form.span[0], size=size)
    note = text_block(lines, at=(form.span[0], y + 1.4 * size), size=size, style="soft", layer="notes")
    cursor = Line((0.0, top), (0.0, y), "cursor", "cursor d-off")
    return Scene(
        width=form.width,
        height=y + (0.9 + len(lines) * LINE_SHARE) * size,
        title=f"{title(cycle)}: what is to spare while one bar runs through",
        description=_described(cycle),
        shapes=(cursor, *shapes, *note),
    )


def ground_of(cycle: Cycle, *, arrangement: Arrangement) -> Ground:
    """Which moments the chart shows, and where."""
    form, course = form_of(arrangement), cycle.course
    left, right = _room(form)
    count = cycle.part.count
    alone = {*range(SHOWN_PARTS + 1), *range(count - SHOWN_PARTS + 1, count + 1)}
    # Never among those that are alike: a part in which a requirement has its least slack.
    alone |= {int(course.part[trace.tightest]) for trace in cycle.traces}
    moments = [i for i, part in enumerate(course.part.tolist()) if part in alone]
    step = (right - left) / max(sum(_weights(moments)), 1.0)
    places = [left]
    for weight in _weights(moments):
        places.append(places[-1] + weight * step)
    return Ground(moments=tuple(moments), places=tuple(places), spans=tuple(_named(cycle, alone)))


def _weights(moments: Sequence[int]) -> list[float]:
    """How much room there is to the next moment: more where moments are left out in between."""
    return [1.0 if b == a + 1 else 4.0 for a, b in pairwise(moments)]


def _named(cycle: Cycle, alone: set[int]) -> Iterator[Span]:
    """The spans of the axis: before the first part, parts one by one or together, the end of the bar."""
    course = cycle.course
    ended = int(np.flatnonzero(course.step >= END)[0]) if np.any(course.step >= END) else len(course)

    def kind(number: int) -> tuple[int, int]:
        part = int(course.part[number])
        return (2, 0) if number >= ended else (0, 0) if part == 0 else (1, part if part in alone else 0)

    for (which, part), run in groupby(range(len(course)), key=kind):
        numbers = list(run)
        if which != 1:
            yield Span("loading" if which == 0 else "end of bar", numbers[0], numbers[-1])
        elif part:
            yield Span(f"part {part}", numbers[0], numbers[-1])
        else:
            first, last = int(course.part[numbers[0]]), int(course.part[numbers[-1]])
            yield Span(f"parts {first} to {last}" if last > first else f"part {first}", numbers[0], numbers[-1])


def _room(form: Format) -> tuple[Px, Px]:
    left, right = form.span
    return (left + NAMES * form.width if form.named else left), right - 0.5 * form.size


def _spans(ground: Ground, form: Format, top: Px) -> Iterator[Shape]:
    """The spans above the lines: as many words of each as it has room for, and a rule where the next one begins."""
    size = form.size
    for i, span in enumerate(ground.spans):
        start = (ground.x(span.first - 1) + ground.x(span.first)) / 2.0 if i else ground.places[0]
        end = (ground.x(span.last) + ground.x(span.last + 1)) / 2.0 if i < len(ground.spans) - 1 else ground.places[-1]
        words = next((w for w in _shorter(span.words) if text_width(w, size=size) <= end - start - 2.0), "")
        if i:
            yield Line((start, top + 0.1 * size), (start, top + 1.4 * size), "leader", "spans")
        if words:
            yield Text(((start + end) / 2.0, top + size), words, size, "soft", "spans", "middle")


def _shorter(words: str) -> tuple[str, ...]:
    """A name, and what stands for it where there is less room."""
    bare = words.removeprefix("parts ").removeprefix("part ").replace(" to ", "–")
    return (words, bare, {"loading": "load", "end of bar": "end"}.get(words, "…"))


def _line(trace: Trace, ground: Ground, form: Format, units: Units, top: Px, *, tightest: bool) -> tuple[list[Shape], Px]:
    """One requirement below `top`: what it is and has to spare, and its line; with the y below it."""
    size, (left, right) = form.size, form.span
    fails = trace.least_mm < -TIE_MM
    said = f"{spare_length(trace.least_mm, units)} {'missing' if fails else 'to spare'}"
    name = f"{'✗ ' if fails else ''}{'◆ ' if tightest else ''}{trace.title.lower()}"
    style = "clash" if fails else "ink"
    shapes: list[Shape] = [Line((left, top), (right, top), "rule", "lines")]
    if form.named:
        varies = len(trace.watched) > 1 and float(np.ptp(trace.slack_mm)) > 1.0
        most = f", up to {length(float(trace.slack_mm.max()), units)}" if varies else ""
        shapes.append(Text((left, top + 1.25 * size), name, size, style, "lines", bold=fails or tightest))
        shapes.append(Text((left, top + 2.5 * size), f"{said}{most}", size, "soft", "lines"))
        high = top + 0.45 * size
    else:
        bold, words = fails or tightest, f"{name}: {said if fails else said.removesuffix(' to spare')}"
        words = shortened(words, width=right - left, size=size, bold=bold)
        text = Text((left, top + 1.2 * size), words, size, style, "lines", bold=bold)
        # The line that shows where the picture is passes behind the words.
        shapes += [Rect(text.box, "sheet", "lines"), text]
        high = top + 1.7 * size
    low = high + (HEIGHT if form.named else 0.8 * HEIGHT) * size
    shapes += _traced(trace, ground, high, low, size, tightest=tightest)
    return shapes, low + 0.55 * size


def _traced(trace: Trace, ground: Ground, high: Px, low: Px, size: Px, *, tightest: bool) -> Iterator[Shape]:
    """The line itself between `high` and `low`, its rule at nothing to spare, and the dot at its least."""
    slack_mm: dict[int, float] = dict(zip(trace.watched.tolist(), trace.slack_mm.tolist(), strict=True))
    greatest_mm, least_mm = max(0.0, *slack_mm.values()), min(0.0, *slack_mm.values())
    # What fails has some room below the rule, however little it is.
    least_mm = min(least_mm, -0.25 * greatest_mm) if least_mm < -TIE_MM else 0.0
    reach_mm = max(greatest_mm - least_mm, 1.0)

    def y(at_mm: float) -> Px:
        return low - float(at_mm - least_mm) / reach_mm * (low - high)

    zero, left, right = y(0.0), ground.places[0], ground.places[-1]
    points = [(ground.x(i), y(slack_mm[i])) for i in ground.moments if i in slack_mm]
    if least_mm < 0.0:
        yield from _missing(points, zero, low)
    yield Line((left, zero), (right, zero), "dimension", "lines")
    if len(points) > 1:
        yield Path(tuple(points), "trace", "lines")
    at = (ground.x(trace.tightest), y(slack_mm[trace.tightest]))
    if len(points) == 1:
        yield Line((at[0], zero), at, "leader", "lines")
    yield _diamond(at, 0.42 * size) if tightest else Circle(at, 0.22 * size, "aim-mark", "lines")


def _missing(points: Sequence[Point], zero: Px, low: Px) -> Iterator[Shape]:
    """Where a line runs below nothing to spare, hatched from the rule down."""
    for (x1, y1), (x2, y2) in pairwise(points) if len(points) > 1 else [(points[0], points[0])]:
        if max(y1, y2) > zero + 0.01:
            yield Hatch(Box(left=min(x1, x2 - 6.0), top=zero, right=max(x2, x1 + 6.0), bottom=low), 5.0, "clash", "lines")


def _diamond(at: Point, half: Px) -> Path:
    x, y = at
    return Path(((x - half, y), (x, y - half), (x + half, y), (x, y + half)), "aim-mark", "lines", closed=True)


def _described(cycle: Cycle) -> str:
    """The chart in words: the least of each requirement, and when."""
    units = cycle.job.units
    said = []
    for trace in cycle.traces:
        word = "missing" if trace.least_mm < -TIE_MM else "to spare"
        when = STEPS[int(cycle.course.step[trace.tightest])]
        least = "Tightest, " if trace is cycle.tightest else ""
        said.append(f"{least}{trace.title.lower()}: at least {spare_length(trace.least_mm, units)} {word} ({when}).")
    return " ".join(said)
