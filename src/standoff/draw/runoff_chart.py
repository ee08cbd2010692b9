"""The remnants of a run, bar after bar: as measured, as predicted, as agreed, and within which limits they scatter.

A control chart of single values: the line in the middle is their mean, the limits follow from the steps between one bar and the
next. What stands out has a square around it and is told in words below. The scale upwards does not begin at nothing.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from standoff.draw.elevation import FORMATS, Arrangement, Format
from standoff.draw.labels import LINE_SHARE, in_a_row, text_block, widest, wrapped
from standoff.draw.runoff_axes import Ground, axes, ground_of
from standoff.draw.scene import Box, Circle, Line, Path, Point, Px, Rect, Scene, Shape
from standoff.draw.speed_key import SAMPLE, Entry, banded, key, ruled
from standoff.errors import UsageError
from standoff.job.speech import exact_length, fine_length, small_length
from standoff.site.control_chart import SETTLED, ControlChart
from standoff.units import Units

RADIUS: Px = 5.0
"""Of a dot."""
COVERAGE = 2.0
"""The prediction is told with so many standard uncertainties to either side: about 95 % (JCGM 100:2008, 6.2)."""
FAR = 3.0
"""What lies this many heights of the rest away is told and not drawn."""
LABEL_SHARE = 0.34
"""Labels beside the picture take this share of its width at most."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Remnants:
    """The measured remnants of one run. `bars` are the places of the measured bars in the run, from 1; `chart` is None below two.

    `predicted_mm` is the mean that the survey predicts and `any_mm` from where to where it allows the remnant of any bar;
    they and `longest_mm` are None where nothing was predicted or agreed.
    """

    run: str
    remnants_mm: tuple[float, ...]
    bars: tuple[int, ...]
    chart: ControlChart | None
    predicted_mm: float | None
    predicted_u_mm: float
    any_mm: tuple[float, float] | None
    longest_mm: float | None


@dataclass(frozen=True, slots=True)
class Level:
    """A line across the picture with its words."""

    value_mm: float
    words: str
    style: str


def remnant_chart(found: Remnants, *, units: Units, arrangement: Arrangement) -> Scene:
    """The chart of a run's remnants. Raises UsageError where none was measured, or for another arrangement."""
    if arrangement not in FORMATS:
        raise UsageError(what="arrangement", given=str(arrangement), allowed=", ".join(FORMATS))
    if not found.remnants_mm or len(found.bars) != len(found.remnants_mm):
        raise UsageError(
            what="chart of remnants",
            given=f"{len(found.remnants_mm)} remnants of {len(found.bars)} bars",
            allowed="one measured remnant at least, each with its bar",
            action="measure the remnant of the next bar",
        )
    form = FORMATS[arrangement]
    size, (left, right) = form.size, form.span
    levels, beyond = _in_sight(found, _levels(found, units))
    lines = wrapped(f"Remnants: {found.run}", width=right - left, size=1.1 * size, bold=True)
    head = text_block(lines, at=(left, 1.6 * size), size=1.1 * size, style="ink", layer="head", bold=True)
    labels = [wrapped(level.words, width=LABEL_SHARE * (right - left), size=size) for level in levels] if form.named else []
    room = max((widest(label, size=size) for label in labels), default=0.0)
    ground = ground_of(
        _values_mm(found, levels),
        form,
        units,
        arrangement=arrangement,
        top=(1.6 + 1.1 * (len(lines) - 1) * LINE_SHARE + 2.2) * size,
        right=right - (room + 2.2 * size if labels else 0.4 * size),
        last=found.bars[-1],
    )
    grid, y = axes(ground, form, units, arrangement=arrangement)
    beside = _labels(levels, labels, ground, form)
    legend, y = key(_entries(found, () if beside else levels), _notes(found, beyond, units), form, top=y + 0.5 * size)
    drawn = [*_band(found, ground), *grid, *_lines(levels, ground), *beside, *_series(found, ground)]
    return Scene(
        width=form.width,
        height=y + 0.5 * size,
        title=f"Remnants, {found.run}",
        description=described(found, units),
        shapes=(*drawn, *head, *legend),
    )


def _levels(found: Remnants, units: Units) -> list[Level]:
    """The lines across the picture, from the top down."""
    chart, levels = found.chart, list[Level]()
    if chart is not None:
        levels.append(Level(chart.centre, f"mean {fine_length(chart.centre, units)}", "runoff-mean"))
        if chart.mean_step > 0.0:
            # No remnant can fall below nothing: a limit there would only spoil the scale.
            for words, value_mm in (("upper", chart.upper), ("lower", chart.lower))[: 2 if chart.lower > 0.0 else 1]:
                levels.append(Level(value_mm, f"{words} limit {fine_length(value_mm, units)}", "runoff-limit"))
    if found.predicted_mm is not None:
        levels.append(Level(found.predicted_mm, f"predicted on the average {predicted_words(found, units)}", "runoff-predicted"))
    if found.longest_mm is not None:
        levels.append(Level(found.longest_mm, f"agreed at most {exact_length(found.longest_mm, units)}", "runoff-agreed"))
    return sorted(levels, key=lambda level: -level.value_mm)


def predicted_words(found: Remnants, units: Units) -> str:
    """The predicted remnant with its band."""
    if found.predicted_mm is None:
        return "nothing"
    band = f" ± {small_length(COVERAGE * found.predicted_u_mm, units)}" if found.predicted_u_mm > 0.0 else ""
    return f"{fine_length(found.predicted_mm, units)}{band}"


def _in_sight(found: Remnants, levels: Sequence[Level]) -> tuple[list[Level], list[Level]]:
    """The lines near the measured values, and those too far away to be drawn with them."""
    low_mm, high_mm = _near_mm(found, levels)
    seen = [level for level in levels if low_mm <= level.value_mm <= high_mm]
    return seen, [level for level in levels if level not in seen]


def _near_mm(found: Remnants, levels: Sequence[Level]) -> tuple[float, float]:
    """From where to where something is near enough to be drawn with what was measured. [mm]"""
    near = [*found.remnants_mm, *(level.value_mm for level in levels if level.style in ("runoff-mean", "runoff-limit"))]
    low_mm, high_mm = min(near), max(near)
    far_mm = FAR * max(high_mm - low_mm, 0.05 * high_mm, COVERAGE * found.predicted_u_mm)
    return low_mm - far_mm, high_mm + far_mm


def _any_mm(found: Remnants) -> tuple[float, float] | None:
    """Where the survey allows the remnant of any bar, if that is near enough to be drawn. [mm]"""
    low_mm, high_mm = _near_mm(found, _levels(found, "mm"))
    if found.any_mm is None or found.any_mm[0] < low_mm or found.any_mm[1] > high_mm:
        return None
    return found.any_mm


def _values_mm(found: Remnants, levels: Sequence[Level]) -> tuple[float, ...]:
    """Everything that the scale has to hold."""
    return (*found.remnants_mm, *(level.value_mm for level in levels), *(_any_mm(found) or ()))


def _band(found: Remnants, ground: Ground) -> Iterator[Shape]:
    """Where the remnant of any bar lies, by the survey."""
    any_mm = _any_mm(found)
    if any_mm is None:
        return
    box = Box(left=ground.left, top=ground.y(any_mm[1]), right=ground.right, bottom=ground.y(any_mm[0]))
    yield Rect(box, "speed-band", "band")
    for y in (box.top, box.bottom):
        yield Line((box.left, y), (box.right, y), "speed-band-edge", "band")


def _lines(levels: Sequence[Level], ground: Ground) -> Iterator[Shape]:
    for level in levels:
        y = ground.y(level.value_mm)
        yield Line((ground.left, y), (ground.right, y), level.style, "levels")


def _labels(levels: Sequence[Level], labels: Sequence[Sequence[str]], ground: Ground, form: Format) -> list[Shape]:
    """The words of the lines at their right ends, moved apart where they would meet; nothing where there is no room."""
    if not labels:
        return []
    size = form.size
    heights = [len(label) * LINE_SHARE * size for label in labels]
    span = (ground.top - 0.5 * size, ground.bottom + 0.5 * size)
    centres = in_a_row([ground.y(level.value_mm) for level in levels], heights, span=span, gap=0.1 * size)
    if centres is None:
        return []
    shapes, x = list[Shape](), ground.right + 1.8 * size
    for level, label, centre, height in zip(levels, labels, centres, heights, strict=True):
        shapes.append(Line((ground.right, ground.y(level.value_mm)), (x - 0.4 * size, centre), "leader", "labels"))
        first = centre - height / 2.0 + 0.92 * size
        shapes += text_block(label, at=(x, first), size=size, style="ink", layer="labels")
    return shapes


def _series(found: Remnants, ground: Ground) -> Iterator[Shape]:
    """The dots, joined where one measured bar follows another; what stands out has a square around it."""
    points = [(ground.x(bar), ground.y(mm)) for bar, mm in zip(found.bars, found.remnants_mm, strict=True)]
    if len(points) > 1:
        yield Path(tuple(points), "runoff-series", "series")
    odd = {finding.place for finding in found.chart.findings} if found.chart is not None else set()
    for place, point in enumerate(points):
        yield Circle(point, RADIUS, "aim-mark", "series")
        if place in odd:
            yield _square(point, "series")


def _square(at: Point, layer: str) -> Rect:
    x, y = at
    reach = RADIUS + 4.0
    return Rect(Box(left=x - reach, top=y - reach, right=x + reach, bottom=y + reach), "runoff-odd", layer)


def _entries(found: Remnants, levels: Sequence[Level]) -> list[Entry]:
    """What every mark means."""
    entries = [Entry(_dotted, "remnant as measured")]
    entries += [Entry(ruled(level.style), level.words) for level in levels]
    if _any_mm(found) is not None:
        entries.append(Entry(banded, "where the survey allows the remnant of any bar"))
    if found.chart is not None and found.chart.findings:
        entries.append(Entry(_squared, "stands out: see below"))
    return entries


def _dotted(at: Point) -> tuple[Shape, ...]:
    return (Circle((at[0] + SAMPLE / 2.0, at[1]), RADIUS, "aim-mark", "key"),)


def _squared(at: Point) -> tuple[Shape, ...]:
    return (*_dotted(at), _square((at[0] + SAMPLE / 2.0, at[1]), "key"))


def _notes(found: Remnants, beyond: Sequence[Level], units: Units) -> list[str]:
    """What stands out, what is not drawn, and what the limits are worth."""
    notes = list(odd_lines(found))
    if beyond:
        notes.append(f"Outside this picture: {', '.join(level.words for level in beyond)}.")
    if found.any_mm is not None and _any_mm(found) is None:
        shortest, longest = (fine_length(mm, units) for mm in found.any_mm)
        notes.append(f"The survey allows {shortest} to {longest} for any bar, which is more than this picture shows.")
    if found.chart is not None and found.chart.mean_step > 0.0 and found.chart.lower <= 0.0:
        notes.append("The lower limit lies below nothing and is not drawn.")
    if found.chart is None:
        notes.append("Limits need two measured remnants at least.")
    elif found.chart.provisional:
        notes.append(f"Limits from {len(found.remnants_mm)} remnants are provisional; from {SETTLED} on they are settled.")
    return notes


def odd_lines(found: Remnants) -> tuple[str, ...]:
    """Each signal in words, by the bar at which it shows."""
    if found.chart is None:
        return ()
    by_bar: dict[int, list[str]] = {}
    for finding in found.chart.findings:
        by_bar.setdefault(found.bars[finding.place], []).append(finding.signal.value)
    return tuple(f"Bar {bar}: {', '.join(signals)}." for bar, signals in by_bar.items())


def described(found: Remnants, units: Units) -> str:
    """The chart in words."""
    measured = ", ".join(f"bar {bar} {fine_length(mm, units)}" for bar, mm in zip(found.bars, found.remnants_mm, strict=True))
    levels = "; ".join(level.words for level in _levels(found, units))
    return " ".join(part for part in (f"Measured: {measured}.", f"{levels}." if levels else "", *odd_lines(found)) if part)
