"""The conditions: every requirement that bounds the standoff as a half-line on one scale, the window a band through all of them.

The scale is laid around the window. A bound beyond it is an arrow at the border with its value. Every edge says how sure it is:
the bar fades (half height) over the guard band of its bound, and the slack carries its expanded uncertainty.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from standoff.draw.elevation import FORMATS, Arrangement, Format
from standoff.draw.labels import LINE_SHARE, cleared, text_block, widest, wrapped
from standoff.draw.scene import Anchor, Box, Hatch, Line, Path, Px, Rect, Scene, Shape, Text, text_width
from standoff.errors import UsageError
from standoff.job.placement import Judged, Placement
from standoff.job.speech import bound_length, fine_length, length, spare_length, where
from standoff.model.requirement import Side
from standoff.solve.window import GUARD_FACTOR
from standoff.units import Units

STEPS_MM: Mapping[Units, tuple[float, ...]] = {
    "in": tuple(25.4 * n for n in (0.0625, 0.125, 0.25, 0.5, 1, 2, 4, 6, 12, 24, 48, 96, 192, 384)),
    "mm": tuple(float(n) for n in (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10000)),
}
"""Steps of the scale [mm]."""
LEAST_SPAN_MM = 60.0
BAR_SHARE = 0.34
"""Half the height of a bar, in text sizes."""
SCALE_SHARE = 0.24
"""Share of the width that the scale takes at least, as far as the names can give way."""
LEAST_NAMES_SHARE = 0.17
NAMES_SHARE = 0.3
"""Share of the width beyond which the names of the rows are wrapped."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Chart:
    """Where the scale lies on the sheet and what it spans [mm]."""

    left: Px
    right: Px
    names: Px
    least_mm: float
    greatest_mm: float
    size: Px
    units: Units

    def x(self, at_mm: float) -> Px:
        """Where a standoff lies, those outside at the border."""
        share = (at_mm - self.least_mm) / (self.greatest_mm - self.least_mm)
        return self.left + min(max(share, 0.0), 1.0) * (self.right - self.left)

    def holds(self, at_mm: float) -> bool:
        """Whether the scale reaches a standoff."""
        return self.least_mm <= at_mm <= self.greatest_mm


def conditions(placement: Placement, *, arrangement: Arrangement = "wide") -> Scene:
    """All rows that bound the standoff, on one scale. Raises UsageError for another arrangement."""
    if arrangement not in FORMATS:
        raise UsageError(what="arrangement", given=str(arrangement), allowed=", ".join(FORMATS))
    form = FORMATS[arrangement]
    rows = [judged for judged in placement.rows if judged.bound_mm is not None]
    span, stacked = form.span, not form.named
    chart = _chart(placement, rows, form, stacked)
    head, top = _head(placement, chart, span)
    shapes, y, bands = list[Shape](), top, list[tuple[Px, Px]]()
    for judged in rows:
        drawn, below, middle = (_stacked if stacked else _beside)(placement, chart, judged, span, y)
        shapes += drawn
        # Stacked, the band keeps to the half-lines, so that it does not run through the words between them.
        bands.append((middle - 1.1 * form.size, middle + 1.1 * form.size) if stacked else (y, below))
        y = below
    behind = [shape for band in bands for shape in _window(placement, chart, *band)]
    setting = [shape for band in bands for shape in _setting(placement, chart, *band)]
    scale, bottom = _scale(placement, chart, span, y)
    note, height = _note(placement, span, form.size, bottom)
    return Scene(
        width=form.width,
        height=height,
        title=f"Conditions on the standoff, {placement.job.title}",
        description=" ".join(_sentence(placement, judged) for judged in rows),
        shapes=cleared([*behind, *shapes, *setting, *scale, *head, *note]),
    )


def _value_room(placement: Placement, rows: Sequence[Judged], size: Px) -> Px:
    """The room that a bound's value takes beside the scale."""
    values = [bound_length(judged.bound_mm or 0.0, placement.job.units, judged.row.side) for judged in rows]
    return widest(values, size=size, bold=True) + 12.0 + 0.7 * size


def _name_room(placement: Placement, rows: Sequence[Judged], form: Format) -> Px:
    """The width of the column of names: what they need, within its share and what the other columns leave."""
    size = form.size
    needed = widest([_title(judged) for judged in rows], size=size, bold=True)
    needed = max(needed, widest([where(judged) for judged in rows], size=size))
    others = _slack_room(placement, rows, size) + 2.0 * _value_room(placement, rows, size)
    left = form.span[1] - form.span[0] - others - SCALE_SHARE * form.width
    return max(min(needed, NAMES_SHARE * form.width, left), LEAST_NAMES_SHARE * form.width) + 1.0


def _slack_room(placement: Placement, rows: Sequence[Judged], size: Px) -> Px:
    """The width of the column of slacks."""
    told = [_slack(placement, judged) for judged in rows]
    return max(widest([t[0] for t in told], size=size, bold=True), widest([t[1] for t in told], size=size))


def _chart(placement: Placement, rows: Sequence[Judged], form: Format, stacked: bool) -> Chart:
    """The scale around the window: wide enough for its edges with their guard bands."""
    units, window, size = placement.job.units, placement.window, form.size
    edges_mm = [edge for edge in (window.least_mm, window.greatest_mm, placement.standoff_mm) if math.isfinite(edge)]
    low_mm, high_mm = min(edges_mm), max(edges_mm)
    guard_mm = max((GUARD_FACTOR * judged.u_mm for judged in rows), default=0.0)
    around_mm = 0.9 * max(high_mm - low_mm, 4.0 * guard_mm, LEAST_SPAN_MM)
    low_mm, high_mm = low_mm - around_mm, high_mm + around_mm
    step_mm = _step_mm(high_mm - low_mm, units, 6.0)
    left, right = form.span
    room = _value_room(placement, rows, size)
    if not stacked:
        left += _name_room(placement, rows, form)
        right -= _slack_room(placement, rows, size)
    return Chart(
        left=left + room,
        right=right - room,
        names=form.span[1] - form.span[0] if stacked else _name_room(placement, rows, form),
        least_mm=math.floor(low_mm / step_mm) * step_mm,
        greatest_mm=math.ceil(high_mm / step_mm) * step_mm,
        size=size,
        units=units,
    )


def _step_mm(span_mm: float, units: Units, most: float) -> float:
    return next((s for s in STEPS_MM[units] if span_mm / s <= most), STEPS_MM[units][-1])


def _head(placement: Placement, chart: Chart, span: tuple[Px, Px]) -> tuple[list[Shape], Px]:
    """Column heads: the window by its edges, and what the numbers at the right are."""
    units, size = chart.units, chart.size
    if placement.window.empty:
        words = f"No window: {fine_length(placement.window.least_mm - placement.window.greatest_mm, units)} is missing"
        style = "clash"
    else:
        words, style = f"Window {_edges(placement, sure=False)}; sure {_edges(placement, sure=True)}", "window"
    lines = wrapped(words, width=span[1] - span[0], size=size, bold=True)
    shapes = text_block(lines, at=(span[0], 1.2 * size), size=size, style=style, bold=True)
    return [*shapes], (1.2 + len(lines) * LINE_SHARE) * size - 0.4 * size


def _edges(placement: Placement, *, sure: bool) -> str:
    window, units = (placement.guarded if sure else placement.window), placement.job.units
    if window.empty:
        return "nowhere"
    least = bound_length(window.least_mm, units, Side.AT_LEAST) if math.isfinite(window.least_mm) else "0"
    greatest = bound_length(window.greatest_mm, units, Side.AT_MOST) if math.isfinite(window.greatest_mm) else "any"
    return f"{least} to {greatest}"


def _window(placement: Placement, chart: Chart, top: Px, bottom: Px) -> Iterator[Shape]:
    """The band through all rows with its guarded edges; for an empty window the zone between the two edges."""
    plain, sure = placement.window, placement.guarded
    if plain.empty:
        box = _box(chart.x(plain.greatest_mm), chart.x(plain.least_mm), top, bottom)
        yield Hatch(box, 9.0, "clash", "window", rising=False)
        for x in (box.left, box.right):
            yield Line((x, top), (x, bottom), "clash", "window")
        return
    left, right = chart.x(plain.least_mm), chart.x(plain.greatest_mm)
    if not sure.empty:
        yield Rect(_box(chart.x(sure.least_mm), chart.x(sure.greatest_mm), top, bottom), "window-fill", "window")
        for a, b in ((left, chart.x(sure.least_mm)), (chart.x(sure.greatest_mm), right)):
            yield Hatch(_box(a, b, top, bottom), 6.0, "window", "window")
    else:
        yield Hatch(_box(left, right, top, bottom), 6.0, "window", "window")
    for x in (left, right):
        yield Line((x, top), (x, bottom), "window-edge", "window")


def _box(left: Px, right: Px, top: Px, bottom: Px) -> Box:
    return Box(left=left, top=top, right=right, bottom=bottom)


def _setting(placement: Placement, chart: Chart, top: Px, bottom: Px) -> Iterator[Shape]:
    """The standoff judged, as a dashed line through all rows."""
    if placement.aim_mm is None and placement.asked_mm is None:
        return
    x = chart.x(placement.standoff_mm)
    yield Line((x, top), (x, bottom), "aim", "window")


def _beside(placement: Placement, chart: Chart, judged: Judged, span: tuple[Px, Px], top: Px) -> tuple[list[Shape], Px, Px]:
    """A row with its name at the left, its half-line in the middle and its slack at the right; its end and its middle."""
    size = chart.size
    shapes, under = _named(judged, at=(span[0], top), width=chart.names, size=size)
    slack, told = _slack(placement, judged)
    style = "ink" if judged.holds else "clash"
    shapes.append(Text((span[1], top + 1.5 * size), slack, size, style, "rows", "end", True))
    shapes.append(Text((span[1], top + (1.5 + LINE_SHARE) * size), told, size, "soft", "rows", "end"))
    bottom = max(under, top + (2.2 + LINE_SHARE) * size)
    middle = (top + bottom) / 2.0
    shapes += _half_line(chart, judged, middle)
    return [Line((span[0], top), (span[1], top), "rule", "rows"), *shapes], bottom, middle


def _stacked(placement: Placement, chart: Chart, judged: Judged, span: tuple[Px, Px], top: Px) -> tuple[list[Shape], Px, Px]:
    """A row with its name and its slack above its half-line; its end and the half-line's y."""
    size, style = chart.size, "ink" if judged.holds else "clash"
    shapes, y = _named(judged, at=(span[0], top), width=chart.names, size=size)
    slack, told = _slack(placement, judged)
    shapes.append(Text((span[0], y + size), slack, size, style, "rows", bold=True))
    start = span[0] + text_width(f"{slack} ", size=size, bold=True)
    if start + text_width(told, size=size) > span[1]:
        start, y = span[0], y + LINE_SHARE * size
    shapes.append(Text((start, y + size), told, size, "soft", "rows"))
    middle = y + 2.5 * size
    shapes += _half_line(chart, judged, middle)
    return [Line((span[0], top), (span[1], top), "rule", "rows"), *shapes], middle + 1.4 * size, middle


def _named(judged: Judged, *, at: tuple[Px, Px], width: Px, size: Px) -> tuple[list[Shape], Px]:
    """The requirement, whether it binds, and where it is judged; with the y below."""
    bold = wrapped(_title(judged), width=width, size=size, bold=True)
    place = wrapped(where(judged), width=width, size=size)
    x, y = at[0], at[1] + 1.5 * size
    shapes: list[Shape] = [*text_block(bold, at=(x, y), size=size, style="ink", layer="rows", bold=True)]
    y += len(bold) * LINE_SHARE * size
    shapes += text_block(place, at=(x, y), size=size, style="soft", layer="rows")
    return shapes, y + (len(place) * LINE_SHARE - 0.6) * size


def _title(judged: Judged) -> str:
    return f"{judged.row.title} - binds" if judged.binding else judged.row.title


def _slack(placement: Placement, judged: Judged) -> tuple[str, str]:
    """How much is to spare or missing, and its guard band."""
    units = placement.job.units
    word = "to spare" if judged.holds else "missing"
    guard = f"± {fine_length(GUARD_FACTOR * judged.u_mm, units)} guard band"
    return f"{spare_length(judged.slack_mm, units)} {word}", guard


def _half_line(chart: Chart, judged: Judged, y: Px) -> Iterator[Shape]:
    """The bar from the bound on, thin over the guard band; the bound's tick and value, or an arrow at the border."""
    bound_mm = judged.bound_mm if judged.bound_mm is not None else 0.0
    at_least, size = judged.row.side is Side.AT_LEAST, chart.size
    if not chart.holds(bound_mm):
        yield from _off_scale(chart, y, bound_mm, at_least=at_least)
        return
    guarded_mm = bound_mm + GUARD_FACTOR * judged.u_mm * (1.0 if at_least else -1.0)
    bound, sure, far = chart.x(bound_mm), chart.x(guarded_mm), chart.right if at_least else chart.left
    yield from _bar(sure, far, y, BAR_SHARE * size)
    yield from _bar(bound, sure, y, 0.4 * BAR_SHARE * size)
    tick = 2.2 * BAR_SHARE * size
    yield Line((bound, y - tick), (bound, y + tick), "bound", "rows")
    anchor: Anchor = "end" if at_least else "start"
    at = bound - 0.5 * size if at_least else bound + 0.5 * size
    told = bound_length(bound_mm, chart.units, judged.row.side)
    yield Text((at, y + 0.34 * size), told, size, "ink", "rows", anchor, True)


def _bar(start: Px, end: Px, y: Px, half: Px) -> Iterator[Shape]:
    left, right = sorted((start, end))
    if right > left:
        yield Rect(_box(left, right, y - half, y + half), "holds", "rows")


def _off_scale(chart: Chart, y: Px, bound_mm: float, *, at_least: bool) -> Iterator[Shape]:
    """An arrow beyond the border towards a bound, with its value; the whole scale holds, or none of it."""
    size, below = chart.size, bound_mm < chart.least_mm
    way, border = (-1.0, chart.left) if below else (1.0, chart.right)
    if below == at_least:
        yield from _bar(chart.left, chart.right, y, BAR_SHARE * size)
    else:
        yield Line((chart.left, y), (chart.right, y), "clash", "rows")
    foot = border + way * 3.0
    yield Path(((foot + way * 9.0, y), (foot, y - 5.0), (foot, y + 5.0)), "arrow", "rows", closed=True)
    at: Px = foot + way * (9.0 + 0.35 * size)
    told = bound_length(bound_mm, chart.units, Side.AT_LEAST if at_least else Side.AT_MOST)
    yield Text((at, y + 0.34 * size), told, size, "ink", "rows", "end" if below else "start", True)


def _scale(placement: Placement, chart: Chart, span: tuple[Px, Px], y: Px) -> tuple[list[Shape], Px]:
    """The scale below all rows, and where on it the standoff judged lies."""
    size, units = chart.size, chart.units
    step_mm = _step_mm(chart.greatest_mm - chart.least_mm, units, 9.0)
    shapes: list[Shape] = [Line((span[0], y), (span[1], y), "rule", "rows")]
    reached = -math.inf
    for i in range(round((chart.greatest_mm - chart.least_mm) / step_mm) + 1):
        at_mm = chart.least_mm + i * step_mm
        x, words = chart.x(at_mm), length(at_mm, units).removesuffix(f" {units}")
        half = text_width(words, size=size) / 2.0
        shapes.append(Line((x, y), (x, y + 5.0), "dimension", "rows"))
        if x - half > reached:
            shapes.append(Text((x, y + 1.4 * size), words, size, "soft", "rows", "middle"))
            reached = x + half + 0.6 * size
    base = y + 2.8 * size
    setting = _setting_words(placement)
    if setting:
        half = text_width(setting, size=size, bold=True) / 2.0
        x = min(max(chart.x(placement.standoff_mm), span[0] + half), span[1] - half)
        mark = Text((x, base), setting, size, "ink", "rows", "middle", True)
        shapes.append(mark)
        base += 0.0 if mark.box.left > span[0] + text_width("standoff, inches ", size=size) else LINE_SHARE * size
    shapes.append(Text((span[0], base), f"standoff, {'inches' if units == 'in' else 'mm'}", size, "soft", "rows"))
    return shapes, base + 0.5 * size


def _setting_words(placement: Placement) -> str:
    units = placement.job.units
    if placement.asked_mm is not None:
        return f"asked {length(placement.asked_mm, units)}"
    return f"aim {length(placement.aim_mm, units)}" if placement.aim_mm is not None else ""


def _note(placement: Placement, span: tuple[Px, Px], size: Px, top: Px) -> tuple[list[Shape], Px]:
    """What the marks mean."""
    zone = "Hatched zone: no standoff serves. " if placement.window.empty else "Band: the window, hatched where it is not sure. "
    setting = f"Dashed: {_setting_words(placement)}. " if _setting_words(placement) else ""
    words = f"{setting}{zone}Guard band: 1.645 standard uncertainties, one-sided 95 %; a bar is thin over its guard band."
    lines = wrapped(words, width=span[1] - span[0], size=size)
    shapes = text_block(lines, at=(span[0], top + 1.2 * size), size=size, style="soft", layer="notes")
    return [*shapes], top + (0.8 + len(lines) * LINE_SHARE) * size + 6.0


def _sentence(placement: Placement, judged: Judged) -> str:
    """One row in words."""
    units = placement.job.units
    side = "at least" if judged.row.side is Side.AT_LEAST else "at most"
    place = f" ({where(judged)})" if where(judged) else ""
    slack, guard = _slack(placement, judged)
    binds = ", binds" if judged.binding else ""
    return f"{judged.row.title}{place}: {side} {length(judged.bound_mm or 0.0, units)}, {slack}, {guard}{binds}."
