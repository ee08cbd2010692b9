"""How often a cell passes the agreed plan, over how many of 100 bars it truly runs clean: the plan's operating characteristic.

Marked are what passing shows (a cell just so bad still passes as often as the confidence leaves open) and how often a cell passes
that is as good as was wished for. A second, broken curve is the plan that would show the wish.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from standoff.draw.elevation import FORMATS, Arrangement, Format
from standoff.draw.labels import LINE_SHARE, text_block, widest, wrapped
from standoff.draw.runoff_axes import HEIGHTS
from standoff.draw.scene import Circle, Path, Point, Px, Scene, Shape, Text
from standoff.draw.speed_key import SAMPLE, Entry, key, ruled
from standoff.draw.ticks import corner, tick_below, tick_beside
from standoff.errors import UsageError
from standoff.site.acceptance import Plan, RowPlan, operating_characteristic

POINTS = 121
"""So many points make a curve."""
HOPELESS = 0.005
"""The picture begins where a cell passes less often than this, on a round figure."""
SHARE_STEPS = (0.9, 0.8, 0.5, 0.0)
RADIUS: Px = 10.0
"""Of a numbered mark."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Power:
    """The agreed plan with its confidence, and what was wished for (None: nothing): a share, and the plan that shows it."""

    plan: Plan
    confidence_share: float
    wanted_share: float | None
    wanted_plan: Plan | None


@dataclass(frozen=True, slots=True)
class Mark:
    """A point of a curve with what it means."""

    clean_share: float
    passing_share: float
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """Where the picture lies on the sheet: true shares of clean bars to the right, chances to pass upwards, none to all."""

    left: Px
    top: Px
    right: Px
    bottom: Px
    least_share: float

    def at(self, *, clean_share: float, passing_share: float) -> Point:
        """Where a point of a curve lies."""
        along = (clean_share - self.least_share) / (1.0 - self.least_share)
        return self.left + along * (self.right - self.left), self.bottom - passing_share * (self.bottom - self.top)


def power_chart(power: Power, *, arrangement: Arrangement) -> Scene:
    """The operating characteristic of the agreed plan. Raises UsageError for another arrangement."""
    if arrangement not in FORMATS:
        raise UsageError(what="arrangement", given=str(arrangement), allowed=", ".join(FORMATS))
    form = FORMATS[arrangement]
    size, (left, right) = form.size, form.span
    title = wrapped("How often a cell passes what was agreed", width=right - left, size=1.1 * size, bold=True)
    head = text_block(title, at=(left, 1.6 * size), size=1.1 * size, style="ink", layer="head", bold=True)
    top = (1.6 + 1.1 * (len(title) - 1) * LINE_SHARE + 2.4) * size
    ground = Ground(
        left=left + widest(["100"], size=size) + 0.9 * size,
        top=top,
        right=right - widest(["100"], size=size) / 2.0 - 4.0,
        bottom=top + HEIGHTS[arrangement],
        least_share=least_share(power),
    )
    grid, y = _axes(ground, form)
    marks = marks_of(power)
    legend, y = key([*_entries(power), *_mark_entries(marks)], [], form, top=y + 0.5 * size)
    return Scene(
        width=form.width,
        height=y + 0.5 * size,
        title="How often a cell passes what was agreed",
        description=" ".join(f"{mark.words}." for mark in marks),
        shapes=(*grid, *_curves(power, ground), *_marks(marks, ground, size), *head, *legend),
    )


def plan_words(plan: Plan) -> str:
    """A plan in words."""
    bars = "1 clean bar" if plan.bars == 1 else f"{plan.bars} clean bars"
    stops = {0: "no stop", 1: "1 stop"}.get(plan.stops_allowed, f"{plan.stops_allowed} stops")
    if isinstance(plan, RowPlan):
        return f"{bars} in a row, {stops} allowed before"
    return f"{plan.bars} bars in all, {stops} allowed"


def marks_of(power: Power) -> tuple[Mark, ...]:
    """What is to be read off the agreed plan's curve."""
    shown = power.plan.shown_share(power.confidence_share)
    left_open = 1.0 - power.confidence_share
    marks = [Mark(shown, left_open, f"{_of_100(shown)}: passes {_times(left_open)}, so passing shows no more than that")]
    if power.wanted_share is not None:
        passing = power.plan.acceptance_probability(power.wanted_share)
        marks.append(Mark(power.wanted_share, passing, f"{_of_100(power.wanted_share)}, as wished for: passes {_times(passing)}"))
    return tuple(marks)


def _of_100(clean_share: float) -> str:
    """A cell by how well it runs."""
    return f"A cell that runs {_hundredths(clean_share)} of 100 bars clean"


def _times(share: float) -> str:
    """A chance, spoken."""
    words = _hundredths(share)
    return "once in 100 times" if words == "1" else f"{words} times in 100"


def _hundredths(share: float) -> str:
    """A share in hundredths; one decimal where a whole number would say all or nothing."""
    percent = 100.0 * share
    return f"{percent:.0f}" if 1.0 <= round(percent, 6) <= 99.0 else f"{percent:.1f}"


def least_share(power: Power) -> float:
    """The round share at which the picture begins: worse cells practically never pass the agreed plan."""
    return next(
        (share for share in SHARE_STEPS if power.plan.acceptance_probability(share) < HOPELESS or share == 0.0), SHARE_STEPS[-1]
    )


def _plans(power: Power) -> Iterator[tuple[Plan, str]]:
    yield power.plan, "runoff-mean"
    if power.wanted_plan is not None and power.wanted_plan != power.plan:
        yield power.wanted_plan, "runoff-limit"


def _curves(power: Power, ground: Ground) -> Iterator[Shape]:
    step = (1.0 - ground.least_share) / (POINTS - 1)
    shares = [min(ground.least_share + i * step, 1.0) for i in range(POINTS)]
    for plan, style in reversed(tuple(_plans(power))):
        points = tuple(
            ground.at(clean_share=share, passing_share=passing) for share, passing in operating_characteristic(plan, shares)
        )
        yield Path(points, style, "curves")


def _marks(marks: Sequence[Mark], ground: Ground, size: Px) -> Iterator[Shape]:
    """Dots on the curve, each with its number at the upper left, where no curve can be; farther left where that is taken."""
    taken = list[Point]()
    for number, mark in enumerate(marks, start=1):
        x, y = ground.at(clean_share=mark.clean_share, passing_share=mark.passing_share)
        yield Circle((x, y), 5.0, "aim-mark", "marks")
        centre = (max(x - 1.5 * RADIUS, ground.left + RADIUS + 2.0), y - 1.5 * RADIUS)
        if any(math.dist(centre, other) < 3.0 * RADIUS for other in taken):
            centre = (centre[0] - 3.0 * RADIUS, centre[1])
        taken.append(centre)
        yield from _number(number, centre, size, "marks")


def _number(number: int, centre: Point, size: Px, layer: str) -> tuple[Shape, ...]:
    x, y = centre
    small = min(size, 13.0)
    return (Circle(centre, RADIUS, "balloon", layer), Text((x, y + 0.35 * small), f"{number}", small, "ink", layer, "middle"))


def _entries(power: Power) -> Iterator[Entry]:
    for (plan, style), whose in zip(_plans(power), ("agreed", "this would show what was wished for"), strict=False):
        yield Entry(ruled(style), f"{whose}: {plan_words(plan)}")


def _mark_entries(marks: Sequence[Mark]) -> Iterator[Entry]:
    for number, mark in enumerate(marks, start=1):
        yield Entry(_numbered(number), mark.words)


def _numbered(number: int) -> Callable[[Point], tuple[Shape, ...]]:
    return lambda at: _number(number, (at[0] + SAMPLE / 2.0, at[1]), 13.0, "key")


def _axes(ground: Ground, form: Format) -> tuple[list[Shape], Px]:
    size, shapes = form.size, list[Shape]()
    for percent in (0, 25, 50, 75, 100):
        x, y = ground.at(clean_share=ground.least_share, passing_share=percent / 100.0)
        shapes += tick_beside(f"{percent}", y, left=x, right=ground.right, size=size)
    step = {0.9: 2, 0.8: 5, 0.5: 10}.get(ground.least_share, 20)
    for percent in range(round(100 * ground.least_share), 101, step):
        x, y = ground.at(clean_share=percent / 100.0, passing_share=0.0)
        shapes += tick_below(f"{percent}", x, top=ground.top, bottom=y, size=size)
    shapes += corner(left=ground.left, top=ground.top, right=ground.right, bottom=ground.bottom)
    shapes.append(Text((form.span[0], ground.top - 0.85 * size), "passes, times in 100", size, "soft", "axes"))
    words = wrapped("of 100 bars so many truly run clean", width=ground.right - ground.left, size=size)
    y = ground.bottom + (1.5 + LINE_SHARE) * size
    shapes += text_block(words, at=(ground.left, y), size=size, style="soft", layer="axes")
    return shapes, y + ((len(words) - 1) * LINE_SHARE + 0.5) * size
