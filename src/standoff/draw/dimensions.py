"""The dimensions of an elevation: what is measured from where to where in a state, and how it is drawn below the machines."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from standoff.draw import parts
from standoff.draw.labels import Span, shelved, shortened
from standoff.draw.parts import Stage
from standoff.draw.pose import SAME_MM, Pose
from standoff.draw.scene import Line, Path, Point, Px, Shape, Text, text_width
from standoff.draw.strip import Strip
from standoff.job.placement import Placement
from standoff.model.state import BAR_CHANGE, FRONT_LIMIT, REAR_LIMIT
from standoff.units import Units, format_length

SHELF_SHARE = 1.9
"""Height of a shelf, in text sizes."""
ARROW: Px = 9.0
OVERHANG = 1.6
"""How much longer than their dimension line words may be that still stand above it."""
LONG_MM = 1828.8
"""From 6 ft on a length in inches is written in feet and inches."""


@dataclass(frozen=True, slots=True)
class Dimension:
    """A gap that is dimensioned: its two ends [mm], its words, and briefer ones for a strip that is too short for them."""

    rear_mm: float
    front_mm: float
    words: str
    main: bool = False
    style: str = "ink"
    layer: str = "dimensions"
    brief: str = ""


def told(mm: float, units: Units) -> str:
    """A length as read, in feet and inches where it is long."""
    return format_length(mm, units, feet=abs(mm) >= LONG_MM)


def dimensions(placement: Placement, pose: Pose) -> tuple[Dimension, ...]:
    """Every dimension of the state, the standoff first."""
    return (
        *_standing(placement, pose),
        *_nose(placement, pose),
        *_headstock(placement, pose),
        *_around(placement, pose),
    )


def _standing(placement: Placement, pose: Pose) -> Iterator[Dimension]:
    units = placement.job.units
    value = told(pose.datum_mm - pose.mark_mm, units)
    words, brief = f"standoff {value}", ""
    if placement.asked_mm is not None:
        words = f"standoff asked {value}"
    elif placement.aim_mm is None:
        words, brief = f"standoff drawn {value}, none serves", f"drawn {value}, none serves"
    yield Dimension(pose.mark_mm, pose.datum_mm, words, main=True, brief=brief)
    if abs(pose.shift_mm) > SAME_MM:
        ends = sorted((pose.mark_mm, pose.clamp_mm))
        yield Dimension(ends[0], ends[1], f"shift {told(abs(pose.shift_mm), units)}")


def _nose(placement: Placement, pose: Pose) -> Iterator[Dimension]:
    nose, units = pose.nose, placement.job.units
    words = f"nose {told(nose.length_mm, units)}"
    if nose.telescopic and nose.hold_mm >= 0.0:
        words += f", overlap {told(nose.overlap_mm, units)}"
    yield Dimension(nose.root_mm, nose.tip_mm, words)
    if pose.state == REAR_LIMIT and nose.telescopic and nose.room_mm > SAME_MM:
        yield _kept(nose.outer_end_mm, nose.seat_mm, "room", nose.clearance_mm, units)
    if not nose.telescopic and nose.seat_mm - nose.tip_mm > SAME_MM:
        yield Dimension(nose.tip_mm, nose.seat_mm, f"end gap {told(nose.seat_mm - nose.tip_mm, units)}")


def _headstock(placement: Placement, pose: Pose) -> Iterator[Dimension]:
    units = placement.job.units
    yield Dimension(pose.adapter_mm, pose.collet_mm, f"adapter to collet {told(pose.collet_mm - pose.adapter_mm, units)}")
    spare_mm = pose.reach_mm - pose.collet_mm
    if pose.state == FRONT_LIMIT and spare_mm >= 0.0:
        yield Dimension(pose.collet_mm, pose.reach_mm, f"reach to spare {told(spare_mm, units)}", main=True)
    elif pose.state == FRONT_LIMIT:
        yield Dimension(pose.reach_mm, pose.collet_mm, f"reach short by {told(-spare_mm, units)}", True, "clash")
    if pose.state != BAR_CHANGE:
        return
    gap_mm = pose.collet_mm - pose.gripper_mm
    left_mm = gap_mm - pose.bar_mm
    spare_mm = left_mm - pose.margin_mm
    if left_mm > SAME_MM:
        rest = f"{told(spare_mm, units)} to spare" if spare_mm >= 0.0 else f"{told(-spare_mm, units)} missing"
        words = f"{told(left_mm, units)}: margin {told(pose.margin_mm, units)}, {rest}"
        front_mm, style = pose.gripper_mm + pose.bar_mm, "ink" if spare_mm >= 0.0 else "clash"
        yield Dimension(front_mm, pose.collet_mm, words, True, style, f"ahead of the bar {told(left_mm, units)}")
    brief = f"gripper to collet {told(gap_mm, units)}"
    yield Dimension(pose.gripper_mm, pose.collet_mm, f"{brief}; bar {told(pose.bar_mm, units)}", brief=brief)


def _around(placement: Placement, pose: Pose) -> Iterator[Dimension]:
    units = placement.job.units
    if pose.cover_mm is not None and pose.cover_mm - pose.body_front_mm > SAME_MM:
        yield _kept(pose.body_front_mm, pose.cover_mm, "to cover", pose.cover_keep_mm, units)
    if pose.wall_mm is not None and pose.loader_rear_mm is not None and pose.loader_rear_mm > pose.wall_mm:
        yield _kept(pose.wall_mm, pose.loader_rear_mm, "behind", pose.rear_keep_mm, units)


def _kept(rear_mm: float, front_mm: float, what: str, keep_mm: float, units: Units) -> Dimension:
    """A gap of which so much is to be kept; too little says so."""
    short = front_mm - rear_mm < keep_mm - SAME_MM
    words = f"{what} {told(front_mm - rear_mm, units)}"
    brief = f"{words}, too little" if short else words
    words += f", too little: keep {told(keep_mm, units)}" if short else f" (keep {told(keep_mm, units)})"
    return Dimension(rear_mm, front_mm, words, style="clash" if short else "ink", brief=brief)


def shared_out(strips: Sequence[Strip], found: Sequence[Dimension]) -> tuple[tuple[Dimension, ...], ...]:
    """The dimensions of each strip: each goes to the first strip that shows both its ends, else its front end, else its rear."""
    homes = [_home(strips, dimension) for dimension in found]
    return tuple(tuple(d for d, home in zip(found, homes, strict=True) if home == i) for i in range(len(strips)))


def _home(strips: Sequence[Strip], dimension: Dimension) -> int | None:
    shows = [(strip.x(dimension.rear_mm) is not None, strip.x(dimension.front_mm) is not None) for strip in strips]
    for wanted in ((True, True), (False, True), (True, False)):
        if wanted in shows:
            return shows.index(wanted)
    return None


@dataclass(frozen=True, slots=True)
class Laid:
    """One dimension on the sheet: its line, its words, and what both cover of the shelf."""

    dimension: Dimension
    left: Px
    right: Px
    words: str
    at: Px
    beside: bool
    span: Span


def laid(stage: Stage, found: Sequence[Dimension]) -> tuple[Laid, ...]:
    """Each dimension with its words above its line where they fit, else beside it."""
    return tuple(_lay(stage.strip, stage.size, dimension) for dimension in found)


def _lay(strip: Strip, size: Px, dimension: Dimension) -> Laid:
    left, right = sorted((strip.nearest(dimension.rear_mm), strip.nearest(dimension.front_mm)))
    room = strip.right - strip.left
    fits = text_width(dimension.words, size=size, bold=dimension.main) <= room
    words = dimension.words if fits else dimension.brief or dimension.words
    words = shortened(words, width=room, size=size, bold=dimension.main)
    width = text_width(words, size=size, bold=dimension.main)
    drops = tuple(strip.nearest(mm) for mm in (dimension.rear_mm, dimension.front_mm) if strip.x(mm) is not None)
    middle = min(max((left + right) / 2.0, strip.left + width / 2.0), strip.right - width / 2.0)
    cover = Span(min(left, middle - width / 2.0), max(right, middle + width / 2.0), drops)
    if width <= OVERHANG * (right - left) and left < middle < right:
        return Laid(dimension, left, right, words, middle, False, cover)
    arrow = 0.0 if right - left > 3 * ARROW else 2 * ARROW
    after = right + arrow + 0.5 * size
    if after + width <= strip.right:
        return Laid(dimension, left, right, words, after + width / 2.0, True, Span(left - arrow, after + width, drops))
    before = left - arrow - 0.5 * size - width
    if before >= strip.left:
        return Laid(dimension, left, right, words, before + width / 2.0, True, Span(before, right + arrow, drops))
    # Neither beside nor within: above the line, as near its middle as the strip allows.
    wide = Span(min(left - arrow, cover.left), max(right + arrow, cover.right), drops)
    return Laid(dimension, left, right, words, middle, False, wide)


def drawn(stage: Stage, found: Sequence[Dimension], *, top: Px) -> tuple[tuple[Shape, ...], Px]:
    """The dimensions on their shelves below `top`: the shapes and the y at which they end."""
    placed = laid(stage, found)
    shelves = shelved([one.span for one in placed], gap=0.7 * stage.size)
    height = SHELF_SHARE * stage.size
    shapes: list[Shape] = []
    for one, shelf in zip(placed, shelves, strict=True):
        line = _one(stage, one, top + (shelf + 0.72) * height)
        shapes += (replace(shape, layer=one.dimension.layer) for shape in line)
    return tuple(shapes), top + (max(shelves, default=-1) + 1) * height


def _one(stage: Stage, one: Laid, y: Px) -> Iterator[Shape]:
    dimension, size, strip = one.dimension, stage.size, stage.strip
    for mm in (dimension.rear_mm, dimension.front_mm):
        if (x := strip.x(mm)) is not None:
            yield Line((x, stage.down(parts.CLAMP + 4)), (x, y + 5), "extension", "dimensions")
    low_mm, high_mm = sorted((dimension.rear_mm, dimension.front_mm))
    ends = (strip.x(low_mm) is not None, strip.x(high_mm) is not None)
    yield from _arrowed(one.left, one.right, y, ends)
    for before, after in pairwise(strip.zones):
        if one.left < before.right and after.left < one.right:
            yield from _open_end((before.right + after.left) / 2.0, y)
    base = y + 0.32 * size if one.beside else y - 0.38 * size
    yield Text((one.at, base), one.words, size, dimension.style, "dimensions", "middle", dimension.main)


def _arrowed(left: Px, right: Px, y: Px, ends: tuple[bool, bool]) -> Iterator[Shape]:
    """The dimension line: arrows between its ends, or from outside where it is too short for them."""
    if right - left > 3 * ARROW:
        yield Line((left, y), (right, y), "dimension", "dimensions")
        for x, way, closed in ((left, 1.0, ends[0]), (right, -1.0, ends[1])):
            yield from (_arrow((x, y), way),) if closed else _open_end(x, y)
        return
    for x, way in ((left, -1.0), (right, 1.0)):
        yield _arrow((x, y), way)
        yield Line((x, y), (x + way * 2 * ARROW, y), "dimension", "dimensions")
    yield Line((left, y), (right, y), "dimension", "dimensions")


def _arrow(tip: Point, way: float) -> Path:
    """A slim filled arrowhead whose tip points against `way`."""
    x, y = tip
    return Path((tip, (x + way * ARROW, y - 3.0), (x + way * ARROW, y + 3.0)), "arrow", "dimensions", closed=True)


def _open_end(x: Px, y: Px) -> tuple[Shape, ...]:
    """The two strokes of a dimension that goes on beyond the strip."""
    return tuple(Line((x + at - 3.0, y + 6.0), (x + at + 3.0, y - 6.0), "dimension", "dimensions") for at in (-2.5, 2.5))
