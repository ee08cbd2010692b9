"""The saw-tooth: how much length is bought for each part, over the length of the bars ordered.

Within a tooth a longer bar only leaves a longer remnant; at its end one part more fits. A mill that may send longer bars rounds
the teeth off. Marked are today's bar and the best length to buy. The scale upwards does not begin at nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from standoff.draw.elevation import FORMATS, Arrangement
from standoff.draw.label_room import inked, interrupted, roomiest
from standoff.draw.labels import LINE_SHARE, cleared, text_block, widest, wrapped
from standoff.draw.scene import Box, Circle, Hatch, Line, Path, Point, Px, Scene, Shape, Text
from standoff.draw.speed_key import SAMPLE, Entry, key, ruled
from standoff.draw.stock_axes import Ground, axes, ground_of
from standoff.draw.stock_teeth import Teeth, teeth_of
from standoff.errors import UsageError
from standoff.job.amounts import bar_at_least, bar_length, many
from standoff.job.economy import Stock
from standoff.job.speech import exact_length, length
from standoff.units import INCH_MM, ON_STEP_MM, Units, step_up

RADIUS: Px = 6.0
"""Of a dot."""
ROUNDS = 30
"""At so many distances a label is tried around its dot."""
Dot = tuple[tuple[str, ...], Point, bool]
"""The words at a dot, its place, and whether it is the best length."""
TOOTH_SEEN: Px = 26.0
"""Teeth wider than this have the number of parts written below their tips."""


def stock_chart(stock: Stock, *, units: Units, arrangement: Arrangement) -> Scene:
    """The saw-tooth of one part's bars. Raises UsageError where no limits to buy are stated, or for another arrangement."""
    if arrangement not in FORMATS:
        raise UsageError(what="arrangement", given=str(arrangement), allowed=", ".join(FORMATS))
    if stock.purchase is None or stock.purchase.best is None:
        action = "state the shortest bar to be had, or say why none can be bought"
        raise UsageError(what="saw-tooth", given="no length to buy", allowed="a length to buy", action=action)
    form, found = FORMATS[arrangement], teeth_of(stock.supply, stock.purchase, stock.purchase.best)
    size, (left, right) = form.size, form.span
    title = f"{stock.supply.part.name}: length bought for each part, by the length of the bar"
    lines = wrapped(title, width=right - left, size=1.1 * size, bold=True)
    head = text_block(lines, at=(left, 1.6 * size), size=1.1 * size, style="ink", layer="head", bold=True)
    top = (1.6 + 1.1 * (len(lines) - 1) * LINE_SHARE + 2.2) * size
    ground = ground_of(
        found.values_mm,
        form,
        units,
        arrangement=arrangement,
        top=top,
        shortest_mm=found.shortest_mm,
        longest_mm=found.longest_mm,
    )
    curves, dots = [*_curves(found, ground)], _dots(found, ground, units)
    labels, homeless = _labels(dots, curves, found, ground, size, named=form.named)
    words = [shape.box.grown(2.0) for shape in labels if isinstance(shape, Text)]
    grid, y = axes(ground, form, units, arrangement=arrangement)
    legend, y = key(
        [*(() if form.named else _marked(dots)), *_entries(found, units)],
        [*_notes(found, units, any(True for _ in _tips(found, ground)), homeless)],
        form,
        top=y + 0.5 * size,
    )
    drawn = [shape for curve in curves for shape in _broken(curve, words)]
    marks = [*(shape for _, at, best in dots for shape in _dot(at, "marks", best=best))]
    return Scene(
        width=form.width,
        height=y + 0.5 * size,
        title=f"Saw-tooth of bar lengths, {stock.supply.part.name}",
        description=_described(found, units),
        shapes=cleared([*_beyond(found, ground), *grid, *drawn, *marks, *labels, *head, *legend]),
    )


def _curves(found: Teeth, ground: Ground) -> Iterator[Path]:
    """The saw-tooth, or the band it fills where its teeth are too fine; the mean over the mill's tolerance on top of it."""
    pitch = ground.x(ground.shortest_mm + found.advance_mm) - ground.left
    if pitch >= 4.0:
        yield Path(ground.points(*found.exact), "stock-exact" if found.mean else "stock-mean", "curves")
    else:
        band = (*ground.points(*found.upper), *reversed(ground.points(*found.lower)))
        yield Path(band, "speed-band", "curves", closed=True)
    if found.mean:
        yield Path(ground.points(*found.mean), "stock-mean", "curves")


def _broken(curve: Path, words: Sequence[Box]) -> Iterator[Path]:
    """A curve interrupted where words stand."""
    if curve.closed:
        yield curve
        return
    yield from (Path(part, curve.style, curve.layer) for part in interrupted(curve.points, words))


def _dots(found: Teeth, ground: Ground, units: Units) -> list[Dot]:
    """Today's bar and the best length, each with its words; one dot where they are the same."""
    now_mm, best_mm = found.supply.part.bar_mm, float(found.best.nominal_mm)
    each = [float(expected.bought_per_part_mm) for expected in (found.supply.expected, found.best)]
    said = zip((bar_length(now_mm, units), best_words(found, units)), _bought(each, units), strict=True)
    words = [f"{bar}: {bought} for each part" for bar, bought in said]
    points = [(ground.x(mm), ground.y(bought_mm)) for mm, bought_mm in zip((now_mm, best_mm), each, strict=True)]
    if abs(now_mm - best_mm) < 0.5:
        return [(("today's bar, and the best", words[1]), points[1], True)]
    return [(("today's bar", words[0]), points[0], False), (("best", words[1]), points[1], True)]


def best_words(found: Teeth, units: Units) -> str:
    """The best length up to the next step of the tape, since a step down would cost a part; as it is where that is too long."""
    best_mm = float(found.best.nominal_mm)
    too_long = step_up(best_mm, units) > found.greatest_mm + ON_STEP_MM
    return exact_length(best_mm, units) if too_long else bar_at_least(best_mm, units)


def _bought(each_mm: Sequence[float], units: Units) -> list[str]:
    """Lengths bought for a part, in as many decimals as tell them apart."""
    unit_mm, least = (float(INCH_MM), 3) if units == "in" else (1.0, 2)
    for decimals in range(least, least + 3):
        said = [f"{mm / unit_mm:.{decimals}f} {units}" for mm in each_mm]
        if len(set(said)) == len(said):
            return said
    return [f"{mm / unit_mm:.{least}f} {units}" for mm in each_mm]


def _dot(at: Point, layer: str, *, best: bool) -> Iterator[Shape]:
    """A filled dot for today's bar, a ring around a small one for the best."""
    if not best:
        yield Circle(at, RADIUS, "aim-mark", layer)
        return
    yield Circle(at, RADIUS + 2.5, "stock-best", layer)
    yield Circle(at, 2.5, "aim-mark", layer)


def _labels(
    dots: Sequence[Dot], curves: Sequence[Path], found: Teeth, ground: Ground, size: Px, *, named: bool
) -> tuple[list[Shape], list[str]]:
    """The words at the dots and the counts below the tips; what finds no room is handed back."""
    ink = inked([curve.points for curve in curves])
    frame = Box(left=ground.left, top=ground.top - 1.2 * size, right=ground.right, bottom=ground.bottom)
    taken = [Box(left=x, top=y, right=x, bottom=y).grown(RADIUS + 3.0) for _, (x, y), _ in dots]
    shapes, homeless = list[Shape](), list[str]()
    for words, at, _ in dots if named else ():
        lines = roomiest(_around(words, at, ground, size), frame=frame, taken=taken, ink=ink)
        if lines is None:
            homeless.append(" ".join(words))
            continue
        taken += [line.box for line in lines]
        shapes += [_led(at, lines), *lines]
    for count, x, y in _tips(found, ground):
        label = Text((x, y + 1.3 * size), f"{count}", size, "soft", "labels", "middle")
        placed = roomiest([(label,)], frame=frame, taken=taken, ink=ink)
        if placed is not None:
            taken.append(label.box)
            shapes.append(label)
    return shapes, homeless


def _tips(found: Teeth, ground: Ground) -> Iterator[tuple[int, Px, Px]]:
    """The tips of the teeth with how many parts a bar of that length gives, where the teeth are wide enough."""
    if ground.x(ground.shortest_mm + found.advance_mm) - ground.left < TOOTH_SEEN:
        return
    for count, bar_mm in found.tips_mm:
        yield count, ground.x(bar_mm), ground.y(bar_mm / count)


def _around(words: Sequence[str], at: Point, ground: Ground, size: Px) -> Iterator[tuple[Text, ...]]:
    """Places around a dot, the nearest first: its words in one line, or below one another."""
    for lines in ((": ".join(words),), tuple(words)):
        width, rise = widest(lines, size=size, bold=True), (len(lines) - 1) * LINE_SHARE
        low, high = ground.left + 6.0, ground.right - 6.0 - width
        for away in (1.5 + 0.6 * i for i in range(ROUNDS)):
            for down in (-away - rise, away + 0.8):
                for aside in (0.0, -0.3, 0.3, -0.6, 0.6, -1.0, 1.0):
                    x = min(max(at[0] + (aside - 0.5) * width, low), high)
                    yield text_block(lines, at=(x, at[1] + down * size), size=size, style="ink", layer="labels", bold=True)


def _led(dot: Point, lines: Sequence[Text]) -> Line:
    """A line from a dot to the nearest edge of its words."""
    left, right = min(line.box.left for line in lines), max(line.box.right for line in lines)
    top, bottom = lines[0].box.top, lines[-1].box.bottom
    x = min(max(dot[0], left + 6.0), right - 0.25 * (right - left))
    return Line(dot, (x, bottom if bottom < dot[1] else top), "leader", "labels")


def _beyond(found: Teeth, ground: Ground) -> Iterator[Shape]:
    """What cannot be had, and what may not be loaded, as far as today's bar makes the picture reach there."""
    for a_mm, b_mm in ((ground.shortest_mm, found.least_mm), (found.greatest_mm, ground.longest_mm)):
        if ground.x(b_mm) - ground.x(a_mm) > 2.0:
            box = Box(left=ground.x(a_mm), top=ground.top, right=ground.x(b_mm), bottom=ground.bottom)
            yield Hatch(box, 14.0, "stock-beyond", "limits")


def _marked(dots: Sequence[Dot]) -> Iterator[Entry]:
    """What the dots mean, where there is no room for words at them."""
    for words, _, best in dots:
        yield Entry(_sample_dot(best=best), ": ".join(words))


def _sample_dot(*, best: bool) -> Callable[[Point], tuple[Shape, ...]]:
    return lambda at: tuple(_dot((at[0] + SAMPLE / 2.0, at[1]), "key", best=best))


def _entries(found: Teeth, units: Units) -> Iterator[Entry]:
    """What every line means."""
    if found.mean:
        longer = exact_length(found.supply.tolerance.upper_mm, units)
        yield Entry(ruled("stock-mean"), f"on the average, as the mill may send them up to {longer} longer")
        yield Entry(ruled("stock-exact"), "if every bar came just as ordered")
    else:
        yield Entry(ruled("stock-mean"), "bars that come just as ordered")
    if found.shortest_mm < found.least_mm - 0.5 or found.longest_mm > found.greatest_mm + 0.5:
        yield Entry(_sample_beyond, "shorter than can be had, or longer than may be loaded")


def _sample_beyond(at: Point) -> tuple[Shape, ...]:
    return (Hatch(Box(left=at[0], top=at[1] - 6.0, right=at[0] + SAMPLE, bottom=at[1] + 6.0), 7.0, "stock-beyond", "key"),)


def _notes(found: Teeth, units: Units, counted: bool, homeless: Sequence[str]) -> Iterator[str]:
    """What cannot be seen, and what found no room."""
    below = " Below a tip: parts from a bar of that length." if counted else ""
    alone = exact_length(found.advance_mm, units)
    yield f"The part and its cut-off alone take {alone}; the scale does not begin at nothing.{below}"
    if homeless:
        yield f"Also in this picture: {', '.join(homeless)}."


def _described(found: Teeth, units: Units) -> str:
    """The chart in words."""
    supply, (now, best) = found.supply, _bought([float(e.bought_per_part_mm) for e in (found.supply.expected, found.best)], units)
    return (
        f"Bars from {bar_length(found.least_mm, units)} to {bar_length(found.greatest_mm, units)}. Today's bar,"
        f" {bar_length(supply.part.bar_mm, units)}: {now} bought for each part, {many(supply.count, 'part')},"
        f" {length(supply.part.remnant_mm, units)} left. Best: {best_words(found, units)}, {best} bought for each part."
    )
