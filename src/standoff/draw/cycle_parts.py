"""The machines of a bar in motion: what stands still, and each carrier as a layer of its own, so that a page can move it.

A layer is called `s1-headstock`: the strip's number and the carrier. What opens and closes is drawn in both states; the one that
does not hold has the further class `d-off`. Shapes are those of the elevation: faces to scale, heights symbols.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from standoff.draw.cycle_moment import Moment
from standoff.draw.cycle_strips import Band
from standoff.draw.parts import (
    ADAPTER,
    ADAPTER_DEPTH,
    BAR,
    BED,
    BODY_DOWN,
    BODY_UP,
    BORE,
    CLAMP,
    CLAMP_DEPTH,
    COLLET_DEPTH,
    COVER,
    FITTING,
    FIXED_NOSE,
    FLANGE,
    HEADSTOCK,
    INNER,
    JAW,
    LEDGE,
    OUTER,
    PUSHER,
    PUSHER_TIP,
    SPINDLE,
    TIP_DEPTH,
    TOOL_DEPTH,
    Stage,
)
from standoff.draw.pose import Pose
from standoff.draw.scene import Box, Line, Path, Point, Px, Rect, Shape, Text, text_width

OFF = " d-off"
"""What the layer of a state that does not hold is called besides."""
APART, LIFT = 7.0, 34.0
"""How far open jaws stand from the bar, and how far a tool is drawn back."""
SLIT: Px = 2.0
ROD_MM = 20_000.0
"""So long the pusher's rod is drawn: longer than any strip, so that its end is never seen."""


@dataclass(frozen=True, slots=True)
class Set:
    """One strip at its height on the sheet, with the moment it shows; `live` draws what opens and closes in both states."""

    number: int
    band: Band
    stage: Stage
    pose: Pose
    moment: Moment
    live: bool

    def x(self, at_mm: float) -> Px:
        """Where a place lies, also beyond the strip."""
        return self.band.zone.x(at_mm)

    def layer(self, name: str) -> str:
        """The layer of a carrier."""
        return f"s{self.number}-{name}"

    def states(self, name: str, holds: bool) -> Iterator[tuple[bool, str]]:
        """The states to draw, each with its layer: of a still picture only the one that holds."""
        for state, word in ((True, "closed"), (False, "open")):
            if self.live or state == holds:
                yield state, self.layer(f"{name}-{word}") + ("" if state == holds else OFF)


def machines(shown: Set) -> Iterator[Shape]:
    """Everything on a strip, from the back to the front, with the margins that hide what has left it."""
    yield from _frame(shown)
    yield from _headstock(shown)
    yield from _loader(shown)
    yield from _nose(shown)
    yield from _pusher(shown)
    yield from _bar(shown)
    yield from _collet(shown)
    yield from _gripper(shown)
    yield from _tool(shown)
    yield from _margins(shown)


def _box(left: Px, right: Px, top: Px, bottom: Px) -> Box:
    return Box(left=left, top=top, right=right, bottom=bottom)


def _filled(box: Box, style: str, layer: str) -> Iterator[Shape]:
    yield Rect(box, f"{style}-fill", layer)
    yield Rect(box, style, layer)


def _frame(shown: Set) -> Iterator[Shape]:
    """The floor, and the lathe's bed and cover with the opening through which the nose reaches the spindle."""
    stage, pose, layer = shown.stage, shown.pose, shown.layer("still")
    right = shown.band.zone.right
    yield Line((shown.band.zone.left, stage.floor), (right, stage.floor), "floor", layer)
    start = shown.x(pose.cover_mm if pose.cover_mm is not None else min(pose.adapter_mm, pose.datum_mm))
    start = max(start, shown.band.zone.left)
    yield Rect(_box(start, right, stage.down(BED), stage.floor), "lathe-fill", layer)
    yield Line((start, stage.down(BED)), (right, stage.down(BED)), "lathe", layer)
    if pose.cover_mm is None:
        return
    yield Line((start, stage.top), (right, stage.top), "lathe", layer)
    if start > shown.band.zone.left:
        yield Line((start, stage.top), (start, stage.up(BODY_UP + 14)), "lathe", layer)
        yield Line((start, stage.down(BODY_DOWN + 10)), (start, stage.floor), "lathe", layer)


def _headstock(shown: Set) -> Iterator[Shape]:
    """Adapter, spindle and body, with the fittings in front of the adapter."""
    stage, pose, layer = shown.stage, shown.pose, shown.layer("headstock")
    rear, front = shown.x(pose.adapter_mm), shown.x(pose.collet_mm)
    neck = min(rear + 48.0 * stage.share, 0.7 * rear + 0.3 * front)
    yield from _filled(_box(rear, neck, stage.up(SPINDLE - 12), stage.down(SPINDLE - 12)), "headstock", layer)
    flange = min(rear + ADAPTER_DEPTH * stage.share, neck)
    yield from _filled(_box(rear, flange, stage.up(ADAPTER), stage.down(ADAPTER)), "headstock", layer)
    yield from _filled(_box(neck, front, stage.up(HEADSTOCK), stage.down(HEADSTOCK)), "headstock", layer)
    yield Rect(_box(rear, front, stage.up(BORE), stage.down(BORE)), "bore", layer)
    for y in (stage.up(BORE), stage.down(BORE)):
        yield Line((rear, y), (front, y), "bore-edge", layer)
    for fitting in pose.fittings:
        box = _box(shown.x(fitting.rear_mm), shown.x(fitting.front_mm), stage.up(FITTING), stage.down(FITTING))
        yield Rect(box, "fitting", layer)


def _loader(shown: Set) -> Iterator[Shape]:
    """The body with its stand near the clamp, and what of it reaches ahead of the clamp face or behind it."""
    stage, pose, layer, zone = shown.stage, shown.pose, shown.layer("loader"), shown.band.zone
    rear = -math.inf if pose.loader_rear_mm is None else shown.x(pose.loader_rear_mm)
    end, face, front = shown.x(min(pose.clamp_mm, pose.body_front_mm)), shown.x(pose.clamp_mm), shown.x(pose.body_front_mm)
    left = max(rear, zone.left)
    if left >= end:
        return
    width, inset = 24.0 * stage.share, 26.0 * stage.share
    stands = [end - inset - width, *([left + inset] if rear > zone.left else [])]
    for x in stands:
        yield from _filled(_box(x, x + width, stage.down(BODY_DOWN), stage.floor), "loader", layer)
    if front > face:
        yield from _filled(_box(face, front, stage.down(LEDGE), stage.down(BODY_DOWN)), "loader", layer)
    elif front < face:
        yield from _filled(_box(front, face, stage.up(FLANGE), stage.down(FLANGE)), "loader", layer)
    top, bottom = stage.up(BODY_UP), stage.down(BODY_DOWN)
    yield Rect(_box(left, end, top, bottom), "loader-fill", layer)
    outline = ((left, top), (end, top), (end, bottom), (left, bottom))
    yield Path(outline, "loader", layer, closed=rear > zone.left)


def _nose(shown: Set) -> Iterator[Shape]:
    """A telescopic nose: its inner tube goes with the headstock, the outer one stays; the hidden part is dashed. The clamp."""
    stage, nose, still, moving = shown.stage, shown.pose.nose, shown.layer("nose-outer"), shown.layer("nose")
    root, tip, outer = shown.x(nose.root_mm), shown.x(nose.tip_mm), shown.x(nose.outer_end_mm)
    flange = _box(tip - 4.0 * stage.share, tip, stage.up(FLANGE), stage.down(FLANGE))
    if nose.telescopic:
        inner = shown.x(nose.inner_mm)
        yield Rect(_box(inner, tip, stage.up(INNER), stage.down(INNER)), "nose-inner", moving)
        yield Rect(flange, "nose", moving)
        yield Rect(_box(root, outer, stage.up(OUTER), stage.down(OUTER)), "nose", still)
        for y in (stage.up(INNER), stage.down(INNER)):
            yield Line((inner, y), (tip, y), "hidden", moving)
        yield Line((inner, stage.up(INNER)), (inner, stage.down(INNER)), "hidden", moving)
    else:
        yield Rect(_box(root, tip, stage.up(FIXED_NOSE), stage.down(FIXED_NOSE)), "nose", still)
        yield Rect(flange, "nose", still)
    for near, far in ((stage.up(OUTER), stage.up(CLAMP)), (stage.down(OUTER), stage.down(CLAMP))):
        box = _box(root - CLAMP_DEPTH * stage.share, root, min(near, far), max(near, far))
        yield Rect(box, "loader-part", still)


def _pusher(shown: Set) -> Iterator[Shape]:
    """The rod, and the pusher's collet as a sleeve open towards the bar, as deep as the bar's end sits in it."""
    stage, moment, layer = shown.stage, shown.moment, shown.layer("pusher")
    tip = shown.x(moment.tip_mm)
    depth = max(moment.insertion_mm * shown.band.scale, 4.0 * stage.share)
    floor = tip - depth
    back = floor - TIP_DEPTH * stage.share
    yield Rect(_box(back - ROD_MM * shown.band.scale, back, stage.up(PUSHER), stage.down(PUSHER)), "pusher", layer)
    yield Rect(_box(back, floor, stage.up(PUSHER_TIP), stage.down(PUSHER_TIP)), "loader-part", layer)
    for side in (stage.up, stage.down):
        near, far = side(BAR + 0.8), side(PUSHER_TIP + 1.0)
        yield Rect(_box(floor, tip, min(near, far), max(near, far)), "loader-part", layer)


def _bar(shown: Set) -> Iterator[Shape]:
    moment, stage = shown.moment, shown.stage
    box = _box(shown.x(moment.rear_mm), shown.x(moment.front_mm), stage.up(BAR), stage.down(BAR))
    yield Rect(box, "bar", shown.layer("bar"))


def _collet(shown: Set) -> Iterator[Shape]:
    """The spindle's nose, and in it the main collet: closed its jaws lie on the bar, open they stand clear and aslant."""
    stage, layer = shown.stage, shown.layer("headstock")
    x = shown.x(shown.pose.collet_mm)
    end = x + COLLET_DEPTH * stage.share
    for side in (stage.up, stage.down):
        shell: tuple[Point, ...] = (
            (x, side(SPINDLE)),
            (end, side(SPINDLE - 6)),
            (end, side(SPINDLE - 12)),
            (x, side(BORE + 4)),
        )
        yield Path(shell, "headstock-fill", layer, closed=True)
        yield Path(shell, "headstock", layer, closed=True)
    for closed, state in shown.states("collet", shown.moment.collet_closed):
        for side in (stage.up, stage.down):
            inner = BAR + 0.5 if closed else BAR + APART
            slant = 0.0 if closed else 3.0
            jaw = ((x, side(BAR + 1.5)), (x, side(BORE + 3)), (end, side(SPINDLE - 13)), (end, side(inner + slant)))
            if closed:
                jaw = ((x, side(inner)), *jaw[1:])
            yield Path(jaw, "headstock-part" if closed else "jaw-open", state, closed=True)


def _gripper(shown: Set) -> Iterator[Shape]:
    """Two jaws: on the bar, or drawn apart and hollow."""
    x, stage = shown.x(shown.pose.gripper_mm), shown.stage
    for closed, state in shown.states("gripper", shown.moment.gripper_closed):
        away = 0.0 if closed else APART + 4.0
        for side in (stage.up, stage.down):
            wide = 9.0 * stage.share
            points = ((x, side(BAR + away)), (x - wide, side(JAW + away)), (x + wide, side(JAW + away)))
            yield Path(points, "loader-part" if closed else "gripper-open", state, closed=True)


def _tool(shown: Set) -> Iterator[Shape]:
    """The cut-off tool in its plane or drawn back, and what stands in front of the bar instead of it."""
    stage, moment = shown.stage, shown.moment
    x = shown.x(moment.cut_off_mm)
    right = x + TOOL_DEPTH * stage.share
    for into, state in shown.states("tool", moment.tool_in):
        away = 0.0 if into else LIFT
        tip, head = BAR + 1.0 if not into else -BAR - 2.0, HEADSTOCK + 4.0
        points = ((x, stage.up(tip + away)), (x, stage.up(head + away)), (right, stage.up(head + away)))
        yield Path((*points, (right, stage.up(tip + away + 6.0))), "tool", state, closed=True)
    # The plane stays when the tool leaves it.
    yield Line((x, stage.down(BAR + 4)), (x, stage.down(HEADSTOCK)), "plane", shown.layer("still"))
    yield from _before_the_bar(shown)


def _before_the_bar(shown: Set) -> Iterator[Shape]:
    """A stop where the bar's front comes to rest, and the sub-spindle with its jaws on the bar; neither is drawn away from it."""
    stage, moment, depth = shown.stage, shown.moment, 1.6 * TOOL_DEPTH * shown.stage.share
    for name, words, at_mm, there in (
        ("stop", "stop", moment.stop_mm, moment.stop_in),
        ("sub", "sub-spindle", moment.sub_spindle_mm, moment.sub_spindle),
    ):
        face = shown.x(at_mm)
        for stands, state in shown.states(name, there):
            if not stands:
                continue
            box = _box(face, face + depth, stage.up(JAW), stage.down(JAW))
            yield Rect(box, "tool", state)
            if name == "sub":
                for near, far in ((stage.up(BAR + 1), stage.up(JAW - 6)), (stage.down(BAR + 1), stage.down(JAW - 6))):
                    yield Rect(_box(face - depth, face, min(near, far), max(near, far)), "lathe-part", state)
            if not shown.band.whole:
                half = text_width(words, size=stage.size) / 2.0
                middle = min((box.left + box.right) / 2.0, shown.band.zone.right - half)
                yield Text((middle, box.bottom + 1.05 * stage.size), words, stage.size, "lathe", state, "middle")


def _margins(shown: Set) -> Iterator[Shape]:
    """What has left the strip is hidden, and so is the pusher's rod behind the loader's rear end; the axis and the breaks."""
    stage, zone, pose, layer = shown.stage, shown.band.zone, shown.pose, shown.layer("margins")
    top, bottom = stage.up(COVER + 2), stage.floor + 2.0
    closed = pose.loader_rear_mm is not None and zone.shows(pose.loader_rear_mm)
    rear = shown.x(pose.loader_rear_mm) - SLIT if closed and pose.loader_rear_mm is not None else zone.left
    yield Rect(_box(0.0, rear, stage.up(BODY_UP - 2), stage.down(BODY_DOWN - 2)), "sheet", layer)
    yield Rect(_box(0.0, zone.left, top, bottom), "sheet", layer)
    yield Rect(_box(zone.right, zone.right + zone.left, top, bottom), "sheet", layer)
    yield Line((zone.left, stage.axis), (zone.right, stage.axis), "axis", layer)
    for x in [zone.right, *([] if closed else [zone.left])]:
        yield _break(stage, x, layer)


def _break(stage: Stage, x: Px, layer: str) -> Path:
    """A long break line with its zigzag at the axis."""
    jog = 4.0
    points = (
        (x, stage.top),
        (x, stage.up(12)),
        (x + jog, stage.up(6)),
        (x - jog, stage.down(6)),
        (x, stage.down(12)),
        (x, stage.floor),
    )
    return Path(points, "break", layer)
