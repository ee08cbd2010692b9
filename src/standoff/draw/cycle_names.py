"""The names in a bar in motion: those of what stands still in a row above the strip, those of a carrier moving with it.

Below the row is a lane for what moves, so that a name that travels hides a leader for a moment but never another name. What fails
has its mark in a further lane.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from standoff.draw import parts
from standoff.draw.cycle_parts import OFF, Set
from standoff.draw.cycle_strips import Band
from standoff.draw.labels import in_a_row
from standoff.draw.scene import Box, Line, Path, Point, Px, Rect, Shape, Text, text_width
from standoff.model.station import Carrier

LANE = 1.45
"""Height of a lane, in text sizes."""
AIR: Px = 4.0


@dataclass(frozen=True, slots=True)
class Mark:
    """What fails in the cycle: where on the axis, on which carrier, and whether it fails at the moment shown."""

    id: str
    title: str
    at_mm: float
    carrier: Carrier
    now: bool


def lanes(band: Band, marks: Sequence[Mark]) -> int:
    """How many lanes a strip has above its machines."""
    return 1 if band.whole else 2 + bool(marks)


def names(shown: Set, marks: Sequence[Mark], *, top: Px) -> Iterator[Shape]:
    """Everything written on a strip whose lanes begin at `top`."""
    size = shown.stage.size
    yield from _row(shown, top + size)
    if shown.band.whole:
        yield from _below(shown)
        return
    yield from _bodies(shown)
    yield from _riding(shown, top + (LANE + 1.0) * size)
    for mark in marks:
        yield from _failing(shown, mark, top + (2.0 * LANE + 1.0) * size)


def _row(shown: Set, y: Px) -> Iterator[Shape]:
    """What stands still, by its name and a leader."""
    size, zone = shown.stage.size, shown.band.zone
    named = sorted((found for found in _standing(shown) if zone.left <= found[0][0] <= zone.right), key=lambda found: found[0])
    widths = [text_width(words, size=size) for _, words, _ in named]
    places = in_a_row([at[0] for at, _, _ in named], widths, span=(zone.left, zone.right), gap=0.8 * size)
    for (at, words, style), x in zip(named, places or [at[0] for at, _, _ in named], strict=True):
        yield Line((x, y + 0.32 * size), at, "leader", shown.layer("names"))
        yield Text((x, y), words, size, style, shown.layer("names"), "middle")


def _standing(shown: Set) -> Iterator[tuple[Point, str, str]]:
    pose, stage, share = shown.pose, shown.stage, shown.stage.share
    clamp, cover = shown.x(pose.clamp_mm), pose.cover_mm
    body = shown.x(min(pose.clamp_mm, pose.body_front_mm))
    if shown.band.whole:
        yield (shown.x(pose.gripper_mm), stage.up(parts.JAW)), "gripper", "loader"
        yield ((0.35 * shown.x(pose.gripper_mm) + 0.65 * body), stage.up(parts.BODY_UP - 4)), "bar loader", "loader"
        lathe = shown.x(cover if cover is not None else pose.adapter_mm)
        yield ((lathe + shown.band.zone.right) / 2.0, stage.up(parts.COVER - 2 if cover is not None else 40.0)), "lathe", "lathe"
        return
    if shown.band.shows_nose:
        yield (body - 66.0 * share, stage.up(parts.BODY_UP - 6)), "bar loader", "loader"
        yield (clamp - 6.0 * share, stage.up(parts.CLAMP - 4)), "nose clamp", "loader"
        end = shown.x(pose.nose.outer_end_mm if pose.nose.telescopic else pose.nose.tip_mm)
        yield (0.55 * clamp + 0.45 * end, stage.up(parts.OUTER - 4)), "nose", "loader"
        if cover is not None:
            yield (shown.x(cover), stage.up(parts.COVER - 8)), "cover", "lathe"
    if shown.band.shows_tool:
        yield (shown.x(shown.moment.cut_off_mm) + 5.0 * share, stage.up(parts.COVER - 6)), "cut-off tool", "lathe"


def _bodies(shown: Set) -> Iterator[Shape]:
    """Names inside the big bodies, where there is room."""
    pose, stage, size = shown.pose, shown.stage, shown.stage.size
    room, right = 1.2 * size, shown.band.zone.right
    yield Text(
        (right - 0.6 * size, (stage.down(parts.BED) + stage.floor) / 2 + 0.3 * size),
        "lathe",
        size,
        "lathe",
        shown.layer("names"),
        "end",
    )
    left, front = shown.x(pose.adapter_mm) + 48.0 * stage.share, shown.x(pose.collet_mm)
    left = max(left, shown.band.zone.left)
    if text_width("headstock", size=size) + room <= front - left and shown.band.shows_tool:
        y = stage.down((parts.HEADSTOCK + parts.BORE) / 2.0) + 0.3 * size
        yield Text(((left + front) / 2.0, y), "headstock", size, "headstock", shown.layer("headstock"), "middle")
    if pose.fittings and shown.band.shows_nose:
        middle = (shown.x(pose.fittings[0].rear_mm) + shown.x(pose.fittings[-1].front_mm)) / 2.0
        words = "fitting" if len(pose.fittings) == 1 else "fittings"
        at = (middle, stage.down(parts.FITTING) + 1.05 * size)
        yield Text(at, words, size, "ink", shown.layer("headstock"), "middle")


def _riding(shown: Set, y: Px) -> Iterator[Shape]:
    """Names that move with the headstock, above what they name; the adapter's stays clear of that of the collet."""
    stage, share = shown.stage, shown.stage.share
    riding: list[tuple[Px, Px, str]] = []
    if shown.band.shows_nose:
        riding.append((shown.x(shown.pose.adapter_mm) + 5.0 * share, stage.up(parts.ADAPTER - 2), "adapter"))
    if shown.band.shows_tool:
        riding.append((shown.x(shown.pose.collet_mm) + 10.0 * share, stage.up(parts.SPINDLE - 8), "main collet"))
    for x, foot, words in riding:
        yield from _ridden(shown, (x, y), foot, words, "headstock", "headstock")


def _ridden(shown: Set, at: Point, foot: Px, words: str, style: str, carrier: str, *, off: str = "") -> Iterator[Shape]:
    """A name with a leader to what it names, on a ground that hides what it passes."""
    size, layer = shown.stage.size, shown.layer(carrier) + off
    x, y = at
    text = Text((x, y), words, size, style, layer, "middle", style == "clash")
    yield Line((x, y + 0.3 * size), (x, foot), "clash" if style == "clash" else "leader", layer)
    box = text.box
    yield Rect(Box(left=box.left - AIR, top=box.top, right=box.right + AIR, bottom=box.bottom), "sheet", layer)
    yield text


def _failing(shown: Set, mark: Mark, y: Px) -> Iterator[Shape]:
    """The mark of a requirement, at the station whose gap fails; it moves with that station's carrier."""
    zone = shown.band.zone
    x = shown.x(mark.at_mm)
    words = f"✗ {mark.title.lower()}"
    half = text_width(words, size=shown.stage.size, bold=True) / 2.0
    if not zone.left - AIR <= x <= zone.right + AIR or not (shown.live or mark.now):
        return
    at = (min(max(x, zone.left + half), zone.right - half), y)
    carrier = f"fail fails-{mark.id}" + (" rides" if mark.carrier is Carrier.HEADSTOCK else "")
    yield from _ridden(shown, at, shown.stage.up(parts.BAR + 1), words, "clash", carrier, off="" if mark.now else OFF)


def _below(shown: Set) -> Iterator[Shape]:
    """Under the whole axis: where the pusher's tip is, and the bar."""
    stage, size, moment = shown.stage, shown.stage.size, shown.moment
    tip, middle = shown.x(moment.tip_mm), shown.x((moment.rear_mm + moment.front_mm) / 2.0)
    y, layer = stage.floor + (1.15 + 1.2) * size, shown.layer("bar-name")
    yield Line((middle, y - 0.95 * size), (middle, stage.down(parts.BAR + 2)), "leader", layer)
    yield Text((middle, y), "bar", size, "ink", layer, "middle")
    y, layer, foot = stage.floor + 1.15 * size, shown.layer("pusher"), stage.floor + 4.0
    text = Text((tip, y), "pusher", size, "loader", layer, "middle")
    yield Line((tip, foot), (tip, stage.down(parts.PUSHER_TIP + 1)), "leader", layer)
    yield Path(((tip, foot - 7.0), (tip - 4.0, foot), (tip + 4.0, foot)), "arrow", layer, closed=True)
    yield Rect(replace(text.box, top=foot + 1.0), "sheet", layer)
    yield text
