"""By how much the loader's axis misses the spindle's, all along it: height above, sideways below, both with what is allowed.

The line is the axis, the band around it says how sure that is: where the whole band lies in the hatched tolerance, it is within.
Dots are the places judged. Away from where was read the band grows, and is drawn as wide as it is.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

import numpy as np

from standoff.draw.elevation import FORMATS, Arrangement, Format
from standoff.draw.labels import LINE_SHARE, cleared, text_block, widest, wrapped
from standoff.draw.level_axes import Ground, along_title, axes, misses_figured
from standoff.draw.level_tags import RADIUS, Tag, balloons, listed, row_blocks, row_shapes
from standoff.draw.scene import Box, Circle, Hatch, Line, Path, Px, Rect, Scene, Shape, Text
from standoff.draw.speed_key import SAMPLE, Entry, key, ruled
from standoff.errors import UsageError
from standoff.site.axis import Miss, Offset, Point, Pose
from standoff.site.levelling import Verdict
from standoff.site.tolerance import Grade, Tolerances
from standoff.solve.window import GUARD_FACTOR
from standoff.units import Units

HEIGHTS = {"wide": 230.0, "page": 180.0, "narrow": 190.0}
"""How high each of the two charts is."""
PLACES = 49
"""The band is drawn through so many places."""
DOT: Px = 5.0
ASIDE: Px = 13.0
"""Dots at the same place are drawn so far apart."""
MARKS = {"within": "✓", "within if measured better": "?", "not decided": "?", "outside": "✗"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """An axis with its verdict; `said` puts a miss into words, given what its two signs mean."""

    pose: Pose
    verdict: Verdict
    tolerances: Tolerances
    said: Callable[[Miss, tuple[str, str]], str]


@dataclass(frozen=True, slots=True)
class Way:
    """One of the two directions: what it is called, its two ends, and how it is read off an offset."""

    named: str
    title: str
    ends: tuple[str, str]
    miss: Callable[[Offset], Miss | None]
    grades: tuple[Grade | None, ...]


def level_chart(judged: Judged, *, title: str, units: Units, arrangement: Arrangement) -> Scene:
    """The residuals of an axis. Raises UsageError for another arrangement."""
    if arrangement not in FORMATS:
        raise UsageError(what="arrangement", given=str(arrangement), allowed=", ".join(FORMATS))
    form = FORMATS[arrangement]
    left, right = form.span
    size = 1.1 * form.size
    lines = wrapped(title, width=right - left, size=size, bold=True)
    shapes: list[Shape] = [*text_block(lines, at=(left, 1.6 * form.size), size=size, style="ink", layer="head", bold=True)]
    y = 1.6 * form.size + (len(lines) - 1) * size * LINE_SHARE
    worded = form.named and all(row_blocks(_tags(judged, way), span=form.span, size=form.size) for way in _ways(judged.verdict))
    for way in _ways(judged.verdict):
        drawn, y = _chart(judged, way, form, units, arrangement, y, worded=worded)
        shapes += drawn
    named, y = along_title(form, y)
    named_by, y = ([], y) if worded else _keyed(judged, form, y + 0.4 * form.size)
    legend, y = key(list(_entries()), (), form, top=y + 0.6 * form.size)
    return Scene(
        width=form.width,
        height=y + 0.5 * form.size,
        title=title,
        description=_described(judged),
        shapes=cleared([*shapes, *named, *named_by, *legend]),
    )


def _ways(verdict: Verdict) -> Iterator[Way]:
    upright = tuple(residual.upright for residual in verdict.residuals)
    yield Way("height", "Height of the loader's axis", ("high", "low"), lambda offset: offset.upright, upright)
    if any(residual.sideways is not None for residual in verdict.residuals):
        sideways = tuple(residual.sideways for residual in verdict.residuals)
        yield Way("sideways", "Sideways, seen looking forward", ("left", "right"), lambda offset: offset.sideways, sideways)


def _chart(
    judged: Judged, way: Way, form: Format, units: Units, arrangement: str, top: Px, *, worded: bool
) -> tuple[list[Shape], Px]:
    """One of the two charts below `top`, its places named above it by words or by numbers; with the y below."""
    size = form.size
    heading = Text((form.span[0], top + 1.9 * size), way.title, size, "ink", "head", bold=True)
    row = row_blocks(_tags(judged, way), span=form.span, size=size) or () if worded else ()
    high = max((block.height for block in row), default=2.0 * RADIUS)
    lane = top + 2.6 * size + high
    ground = _ground(judged, way, form, units, arrangement, lane + 1.6 * size)
    placed = _tags(judged, way, ground)
    if worded:
        led = [replace(block, tag=tag) for block, tag in zip(row, placed, strict=True)]
        names, _ = row_shapes(led, span=form.span, edge=lane, size=size, above=True)
    else:
        names = balloons(list(enumerate(placed, 1)), span=form.span, lane=lane - RADIUS, size=size)
    grid, y = axes(ground, form, units, arrangement=arrangement, ends=way.ends)
    line = Path(tuple(_middle(judged, way, ground)), "trace", "axis")
    return [heading, *_allowed(judged, ground), *grid, *_band(judged, way, ground), line, *names, *_dots(judged, way, ground)], y


def _ground(judged: Judged, way: Way, form: Format, units: Units, arrangement: str, top: Px) -> Ground:
    """A ground that holds the band, all dots and the tolerance."""
    points = [residual.offset.point.x_mm for residual in judged.verdict.residuals]
    length_mm = max(max(0.0, *points) - min(0.0, *points), 1.0)
    rear_mm, front_mm = min(0.0, *points) - 0.04 * length_mm, max(0.0, *points) + 0.06 * length_mm
    misses = [way.miss(r.offset) for r in judged.verdict.residuals]
    misses += [way.miss(judged.pose.offset(Point("", float(x_mm)))) for x_mm in (rear_mm, front_mm)]
    lows = [-max(judged.tolerances.spindle_mm, judged.tolerances.axis_mm)]
    highs = [-lows[0]]
    for miss in (miss for miss in misses if miss is not None):
        lows.append(miss.miss_mm - GUARD_FACTOR * miss.u_mm)
        highs.append(miss.miss_mm + GUARD_FACTOR * miss.u_mm)
    spread_mm = max(highs) - min(lows)
    low_mm, high_mm = min(lows) - 0.12 * spread_mm, max(highs) + 0.12 * spread_mm
    figures = [*(words for _, words in misses_figured(units, low_mm=low_mm, high_mm=high_mm)), f"↓ {way.ends[1]}"]
    left, right = form.span
    return Ground(
        left=left + widest(figures, size=form.size) + 0.9 * form.size,
        top=top,
        right=right - 0.4 * form.size,
        bottom=top + HEIGHTS[arrangement],
        rear_mm=rear_mm,
        front_mm=front_mm,
        low_mm=low_mm,
        high_mm=high_mm,
    )


def _allowed(judged: Judged, ground: Ground) -> Iterator[Shape]:
    """The tolerance: along the loader, and that at the spindle, from the rearmost place its face comes to forward."""
    faces_mm = [r.offset.point.x_mm for r in judged.verdict.residuals if r.offset.point.at_spindle]
    edge_mm = min(0.0, *faces_mm) if faces_mm else 0.0
    for rear_mm, front_mm, half_mm in (
        (ground.rear_mm, edge_mm, judged.tolerances.axis_mm),
        (edge_mm, ground.front_mm, judged.tolerances.spindle_mm),
    ):
        (left, top), (right, bottom) = (
            ground.point(along_mm=rear_mm, miss_mm=half_mm),
            ground.point(along_mm=front_mm, miss_mm=-half_mm),
        )
        box = Box(left=left, top=top, right=right, bottom=bottom)
        yield Rect(box, "window-fill", "allowed")
        yield Hatch(box, 9.0, "window", "allowed")
        for y in (top, bottom):
            yield Line((left, y), (right, y), "window-edge", "allowed")


def _misses(judged: Judged, way: Way, ground: Ground) -> Iterator[tuple[float, Miss]]:
    """The axis all along, headstock and loader in the middle of their travels."""
    for x_mm in np.linspace(ground.rear_mm, ground.front_mm, PLACES):
        miss = way.miss(judged.pose.offset(Point("", float(x_mm))))
        if miss is not None:
            yield float(x_mm), miss


def _middle(judged: Judged, way: Way, ground: Ground) -> list[tuple[Px, Px]]:
    return [ground.point(along_mm=x_mm, miss_mm=miss.miss_mm) for x_mm, miss in _misses(judged, way, ground)]


def _band(judged: Judged, way: Way, ground: Ground) -> Iterator[Shape]:
    """The guard band on either side of the axis."""
    found = list(_misses(judged, way, ground))
    upper = [ground.point(along_mm=x, miss_mm=miss.miss_mm + GUARD_FACTOR * miss.u_mm) for x, miss in found]
    lower = [ground.point(along_mm=x, miss_mm=miss.miss_mm - GUARD_FACTOR * miss.u_mm) for x, miss in found]
    yield Path((*upper, *reversed(lower)), "speed-band", "band", closed=True)
    yield Path(tuple(upper), "speed-band-edge", "band")
    yield Path(tuple(lower), "speed-band-edge", "band")


def _places(judged: Judged, ground: Ground) -> list[Px]:
    """Where each judged place lies, side by side where several are at the same place."""
    xs = [ground.x(residual.offset.point.x_mm) for residual in judged.verdict.residuals]
    found = []
    for i, x in enumerate(xs):
        same = [j for j, other in enumerate(xs) if abs(other - x) < ASIDE]
        found.append(x + (same.index(i) - (len(same) - 1) / 2.0) * ASIDE)
    return found


def _dots(judged: Judged, way: Way, ground: Ground) -> Iterator[Shape]:
    """A dot for each judged place with how sure it is; a ring where it is outside, nothing where it is not decided."""
    for residual, x, grade in zip(judged.verdict.residuals, _places(judged, ground), way.grades, strict=True):
        miss = way.miss(residual.offset)
        if miss is None or grade == "not decided":
            continue
        y, half = ground.y(miss.miss_mm), GUARD_FACTOR * miss.u_mm
        yield Line((x, ground.y(miss.miss_mm + half)), (x, ground.y(miss.miss_mm - half)), "stock-edge", "dots")
        yield Circle((x, y), DOT, "aim-mark", "dots")
        if grade == "outside":
            yield Circle((x, y), DOT + 4.0, "clash", "dots")


def _tags(judged: Judged, way: Way, ground: Ground | None = None) -> list[Tag]:
    """What stands at each place: its grade's mark and its name, led to its dot once there is a ground."""
    xs = _places(judged, ground) if ground is not None else [0.0] * len(judged.verdict.residuals)
    found = []
    for residual, x, grade in zip(judged.verdict.residuals, xs, way.grades, strict=True):
        miss = way.miss(residual.offset)
        if miss is not None and grade is not None:
            at = (x, 0.0) if ground is None else (x, ground.y(miss.miss_mm) - DOT)
            found.append(Tag(at, "", f"{MARKS[grade]} {residual.offset.point.name}", grade == "outside"))
    return found


def _keyed(judged: Judged, form: Format, top: Px) -> tuple[list[Shape], Px]:
    """What the numbers stand for, with the grade in each direction; with the y below."""
    tags = []
    for i, residual in enumerate(judged.verdict.residuals):
        grades = [(way.named, way.grades[i]) for way in _ways(judged.verdict)]
        marks = ", ".join(f"{named} {MARKS[grade]}" for named, grade in grades if grade is not None)
        tags.append(Tag((0.0, 0.0), residual.offset.point.name, marks, any(grade == "outside" for _, grade in grades)))
    return listed(tags, span=form.span, top=top, size=form.size)


def _entries() -> Iterator[Entry]:
    """What lines and bands mean."""
    yield Entry(ruled("trace"), "the loader's axis, the spindle's being at 0")
    yield Entry(_sample_band, "how sure that is (95 % on either side)")
    yield Entry(_sample_allowed, "what is allowed; the whole band in it: within")


def _sample_band(at: tuple[Px, Px]) -> tuple[Shape, ...]:
    box = _sample(at)
    edges = (Line((box.left, y), (box.right, y), "speed-band-edge", "key") for y in (box.top, box.bottom))
    return (Rect(box, "speed-band", "key"), *edges)


def _sample_allowed(at: tuple[Px, Px]) -> tuple[Shape, ...]:
    box = _sample(at)
    edges = (Line((box.left, y), (box.right, y), "window-edge", "key") for y in (box.top, box.bottom))
    return (Rect(box, "window-fill", "key"), Hatch(box, 7.0, "window", "key"), *edges)


def _sample(at: tuple[Px, Px]) -> Box:
    return Box(left=at[0], top=at[1] - 7.0, right=at[0] + SAMPLE, bottom=at[1] + 7.0)


def _described(judged: Judged) -> str:
    """The charts in words."""
    said = []
    for residual in judged.verdict.residuals:
        parts = ["height not decided"]
        if residual.upright != "not decided":
            parts = [judged.said(residual.offset.upright, ("high", "low"))]
        if residual.sideways == "not decided":
            parts.append("sideways not decided")
        elif residual.offset.sideways is not None:
            parts.append(judged.said(residual.offset.sideways, ("to the left", "to the right")))
        said.append(f"{residual.offset.point.name}: {' and '.join(parts)}")
    return f"The loader's axis against the spindle's. {'; '.join(said)}."
