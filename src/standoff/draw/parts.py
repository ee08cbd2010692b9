"""The machines of an elevation: each part as shapes on one strip, and the callouts that name it.

Along the axis every face stands where the pose says. Heights, and how deep a part goes behind its face, are symbols: nobody
measures them on site.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from standoff.draw.pose import Ghost, Pose
from standoff.draw.scene import Box, Circle, Hatch, Line, Path, Point, Px, Rect, Shape
from standoff.draw.strip import Piece, Strip, pieces

# Half heights about the axis and depths behind a face: symbols, in drawing units at full size.
COVER, HEADSTOCK, SPINDLE, ADAPTER, BORE = 104.0, 56.0, 32.0, 25.0, 10.0
FITTING, CLAMP, OUTER, INNER, FIXED_NOSE, FLANGE = 27.0, 31.0, 17.0, 12.0, 15.0, 21.0
BODY_UP, BODY_DOWN, LEDGE = 46.0, 48.0, 36.0
BAR, PUSHER, PUSHER_TIP, JAW = 5.0, 3.5, 7.0, 24.0
BED, FLOOR = 74.0, 128.0
CLAMP_DEPTH, ADAPTER_DEPTH, COLLET_DEPTH, TIP_DEPTH, TOOL_DEPTH = 14.0, 11.0, 26.0, 14.0, 10.0


@dataclass(frozen=True, slots=True)
class Stage:
    """A strip at its height on the sheet; `share` scales the symbols, `size` is that of its texts."""

    strip: Strip
    axis: Px
    share: float
    size: Px

    def up(self, half: Px) -> Px:
        """So far above the axis."""
        return self.axis - half * self.share

    def down(self, half: Px) -> Px:
        """So far below the axis."""
        return self.axis + half * self.share

    @property
    def top(self) -> Px:
        """The highest part of the machines."""
        return self.up(COVER)

    @property
    def floor(self) -> Px:
        """The floor."""
        return self.down(FLOOR)


def machines(stage: Stage, pose: Pose) -> Iterator[Shape]:
    """Both machines, from the back of the picture to its front."""
    yield from _floor(stage)
    yield from _lathe(stage, pose)
    for ghost in pose.ghosts:
        yield from _ghost(stage, ghost)
    yield from _headstock(stage, pose)
    yield from _loader(stage, pose)
    yield from _fittings(stage, pose)
    yield from _nose(stage, pose)
    yield from _clamp(stage, pose)
    yield from _stock(stage, pose)
    yield from _collet_and_tool(stage, pose)
    yield from _clashes(stage, pose)
    yield from _axis_and_breaks(stage, pose)


def _box(left: Px, right: Px, top: Px, bottom: Px) -> Box:
    return Box(left=left, top=top, right=right, bottom=bottom)


def _body(piece: Piece, top: Px, bottom: Px, style: str, layer: str, fill: str = "") -> Iterator[Shape]:
    """A box whose broken ends stay open; `fill` is drawn without them."""
    if fill:
        yield Rect(_box(piece.left, piece.right, top, bottom), fill, layer)
    a, b, c, d = (piece.left, bottom), (piece.left, top), (piece.right, top), (piece.right, bottom)
    if piece.open_left and piece.open_right:
        yield Line(b, c, style, layer)
        yield Line(a, d, style, layer)
    elif piece.open_left:
        yield Path((b, c, d, a), style, layer)
    elif piece.open_right:
        yield Path((c, b, a, d), style, layer)
    else:
        yield Path((a, b, c, d), style, layer, closed=True)


def _bodies(
    stage: Stage, *, rear_mm: float, front_mm: float, up: Px, down: Px, style: str, layer: str, fill: str = ""
) -> Iterator[Shape]:
    for piece in pieces(stage.strip, rear_mm=rear_mm, front_mm=front_mm):
        yield from _body(piece, stage.up(up), stage.down(down), style, layer, fill)


def _floor(stage: Stage) -> Iterator[Shape]:
    for zone in stage.strip.zones:
        yield Line((zone.left, stage.floor), (zone.right, stage.floor), "floor", "floor")


def _lathe(stage: Stage, pose: Pose) -> Iterator[Shape]:
    """The bed, and the cover with the opening through which the nose reaches the spindle."""
    if pose.cover_mm is None:
        start_mm = min(pose.adapter_mm, pose.datum_mm)
        for piece in pieces(stage.strip, rear_mm=start_mm, front_mm=math.inf):
            yield Rect(_box(piece.left, piece.right, stage.down(BED), stage.floor), "lathe-fill", "lathe")
            yield Line((piece.left, stage.down(BED)), (piece.right, stage.down(BED)), "lathe", "lathe")
        return
    for piece in pieces(stage.strip, rear_mm=pose.cover_mm, front_mm=math.inf):
        yield Rect(_box(piece.left, piece.right, stage.down(BED), stage.floor), "lathe-fill", "lathe")
        yield Line((piece.left, stage.down(BED)), (piece.right, stage.down(BED)), "lathe", "lathe")
        yield Line((piece.left, stage.top), (piece.right, stage.top), "lathe", "lathe")
        if not piece.open_left:
            yield Line((piece.left, stage.top), (piece.left, stage.up(BODY_UP + 14)), "lathe", "lathe")
            yield Line((piece.left, stage.down(BODY_DOWN + 10)), (piece.left, stage.floor), "lathe", "lathe")
    if pose.wall_mm is not None and (x := stage.strip.x(pose.wall_mm)) is not None:
        box = _box(x - 8.0, x, stage.top, stage.floor)
        yield Hatch(box, 6.0, "lathe-hatch", "site")
        yield Line((x, stage.top), (x, stage.floor), "lathe", "site")


def _ghost(stage: Stage, ghost: Ghost) -> Iterator[Shape]:
    """The outline of the headstock at another limit, as loose lines, so that words may interrupt them."""
    for piece in pieces(stage.strip, rear_mm=ghost.adapter_mm, front_mm=ghost.collet_mm):
        neck = piece.left if piece.open_left else min(piece.left + _neck(stage, piece), piece.right)
        for y in (stage.up(HEADSTOCK), stage.down(HEADSTOCK)):
            yield Line((neck, y), (piece.right, y), "ghost", "headstock")
        if not piece.open_left:
            yield Line((piece.left, stage.up(ADAPTER)), (piece.left, stage.down(ADAPTER)), "ghost", "headstock")
            for side in (stage.up, stage.down):
                yield Line((piece.left, side(ADAPTER)), (neck, side(ADAPTER)), "ghost", "headstock")
                yield Line((neck, side(ADAPTER)), (neck, side(HEADSTOCK)), "ghost", "headstock")
        if not piece.open_right:
            yield Line((piece.right, stage.up(HEADSTOCK)), (piece.right, stage.down(HEADSTOCK)), "ghost", "headstock")


def _neck(stage: Stage, piece: Piece) -> Px:
    """How long the spindle's end behind the headstock's body is drawn."""
    return min(48.0 * stage.share, 0.3 * (piece.right - piece.left))


def _headstock(stage: Stage, pose: Pose) -> Iterator[Shape]:
    for piece in pieces(stage.strip, rear_mm=pose.adapter_mm, front_mm=pose.collet_mm):
        left = piece.left
        if not piece.open_left:
            left += _neck(stage, piece)
            tail = _box(piece.left, left, stage.up(SPINDLE - 12), stage.down(SPINDLE - 12))
            flange = _box(piece.left, min(piece.left + ADAPTER_DEPTH * stage.share, left), stage.up(ADAPTER), stage.down(ADAPTER))
            yield from _filled(tail, "headstock", "headstock")
            yield from _filled(flange, "headstock", "headstock")
        body = Piece(piece.zone, left, piece.right, piece.open_left, piece.open_right)
        yield from _body(body, stage.up(HEADSTOCK), stage.down(HEADSTOCK), "headstock", "headstock", "headstock-fill")
        yield Rect(_box(piece.left, piece.right, stage.up(BORE), stage.down(BORE)), "bore", "headstock")
        for y in (stage.up(BORE), stage.down(BORE)):
            yield Line((piece.left, y), (piece.right, y), "bore-edge", "headstock")


def _filled(box: Box, style: str, layer: str) -> tuple[Shape, Shape]:
    return Rect(box, f"{style}-fill", layer), Rect(box, style, layer)


def _loader(stage: Stage, pose: Pose) -> Iterator[Shape]:
    """The body with its stands; where it reaches ahead of the clamp face, a ledge below the nose does."""
    rear_mm = -math.inf if pose.loader_rear_mm is None else pose.loader_rear_mm
    end_mm = min(pose.clamp_mm, pose.body_front_mm)
    for piece in pieces(stage.strip, rear_mm=rear_mm, front_mm=end_mm):
        yield from _stands(stage, piece)
    ledge = pieces(stage.strip, rear_mm=pose.clamp_mm, front_mm=pose.body_front_mm)
    for piece in ledge:
        yield from _filled(_box(piece.left, piece.right, stage.down(LEDGE), stage.down(BODY_DOWN)), "loader", "loader")
    neck = pieces(stage.strip, rear_mm=pose.body_front_mm, front_mm=pose.clamp_mm)
    for piece in neck:
        yield from _body(piece, stage.up(FLANGE), stage.down(FLANGE), "loader", "loader", "loader-fill")
    yield from _bodies(
        stage, rear_mm=rear_mm, front_mm=end_mm, up=BODY_UP, down=BODY_DOWN, style="loader", layer="loader", fill="loader-fill"
    )
    if (x := stage.strip.x(pose.gripper_mm)) is not None:
        for side in (stage.up, stage.down):
            points = ((x, side(BAR + 1)), (x - 9 * stage.share, side(JAW)), (x + 9 * stage.share, side(JAW)))
            yield Path(points, "loader-part", "loader", closed=True)


def _stands(stage: Stage, piece: Piece) -> Iterator[Shape]:
    """A column and its foot near each end of the body that is seen."""
    width, inset = 24.0 * stage.share, 26.0 * stage.share
    places = [piece.left + inset] if not piece.open_left else []
    if not piece.open_right:
        places.append(piece.right - inset - width)
    for x in places:
        if piece.left <= x - 6 and x + width + 6 <= piece.right:
            top, foot = stage.down(BODY_DOWN), stage.floor - 7 * stage.share
            yield from _filled(_box(x, x + width, top, foot), "loader", "loader")
            yield from _filled(_box(x - 6, x + width + 6, foot, stage.floor), "loader", "loader")


def _fittings(stage: Stage, pose: Pose) -> Iterator[Shape]:
    for fitting in pose.fittings:
        for piece in pieces(stage.strip, rear_mm=fitting.rear_mm, front_mm=fitting.front_mm):
            yield Rect(_box(piece.left, piece.right, stage.up(FITTING), stage.down(FITTING)), "fitting", "fittings")


def _nose(stage: Stage, pose: Pose) -> Iterator[Shape]:
    """A telescopic nose as two tubes, the hidden part of the inner one dashed; a fixed one as one tube and what is cut off."""
    nose, strip = pose.nose, stage.strip
    if not nose.telescopic:
        if nose.uncut_mm > nose.tip_mm:
            for piece in pieces(strip, rear_mm=nose.tip_mm, front_mm=nose.uncut_mm):
                yield from _body(piece, stage.up(FIXED_NOSE), stage.down(FIXED_NOSE), "mark", "loader")
        yield from _bodies(
            stage, rear_mm=nose.root_mm, front_mm=nose.tip_mm, up=FIXED_NOSE, down=FIXED_NOSE, style="nose", layer="loader"
        )
        return
    yield from _bodies(
        stage, rear_mm=nose.outer_end_mm, front_mm=nose.tip_mm, up=INNER, down=INNER, style="nose-inner", layer="loader"
    )
    yield from _bodies(
        stage, rear_mm=nose.root_mm, front_mm=nose.outer_end_mm, up=OUTER, down=OUTER, style="nose", layer="loader"
    )
    for piece in pieces(strip, rear_mm=max(nose.inner_mm, nose.root_mm), front_mm=nose.outer_end_mm):
        for y in (stage.up(INNER), stage.down(INNER)):
            yield Line((piece.left, y), (piece.right, y), "hidden", "loader")
        if not piece.open_left and nose.inner_mm > nose.root_mm:
            yield Line((piece.left, stage.up(INNER)), (piece.left, stage.down(INNER)), "hidden", "loader")
    if (x := strip.x(nose.tip_mm)) is not None:
        yield Rect(_box(x - 4 * stage.share, x, stage.up(FLANGE), stage.down(FLANGE)), "nose", "loader")


def _clamp(stage: Stage, pose: Pose) -> Iterator[Shape]:
    x = stage.strip.x(pose.clamp_mm)
    if x is None:
        return
    for near, far in ((stage.up(OUTER), stage.up(CLAMP)), (stage.down(OUTER), stage.down(CLAMP))):
        box = _box(x - CLAMP_DEPTH * stage.share, x, min(near, far), max(near, far))
        yield Rect(box, "loader-part", "loader")


def _stock(stage: Stage, pose: Pose) -> Iterator[Shape]:
    """Bar and pusher."""
    if pose.bar is not None:
        yield from _bodies(
            stage, rear_mm=pose.bar.rear_mm, front_mm=pose.bar.front_mm, up=BAR, down=BAR, style="bar", layer="bar"
        )
    tip_mm = pose.reach_mm if pose.bar is None else pose.bar.pusher_tip_mm
    behind = 30.0 * stage.share if pose.bar is not None and tip_mm == pose.gripper_mm else 0.0
    rear_mm = -math.inf if pose.loader_rear_mm is None else pose.loader_rear_mm
    for piece in pieces(stage.strip, rear_mm=rear_mm, front_mm=tip_mm):
        right = piece.right if piece.open_right else piece.right - behind
        if right <= piece.left:
            continue
        rod = Piece(piece.zone, piece.left, right, piece.open_left, piece.open_right)
        yield from _body(rod, stage.up(PUSHER), stage.down(PUSHER), "pusher", "loader")
        if not piece.open_right:
            left = max(right - TIP_DEPTH * stage.share, piece.left)
            yield Rect(_box(left, right, stage.up(PUSHER_TIP), stage.down(PUSHER_TIP)), "loader-part", "loader")


def _collet_and_tool(stage: Stage, pose: Pose) -> Iterator[Shape]:
    """The main collet in the spindle's nose, its rear face where it was measured; the tool's flank in its plane."""
    if (x := stage.strip.x(pose.collet_mm)) is not None:
        end = min(x + COLLET_DEPTH * stage.share, stage.strip.right)
        for side in (stage.up, stage.down):
            inner: tuple[Point, ...] = ((end, side(PUSHER_TIP)), (x, side(PUSHER_TIP)))
            nose = ((x, side(SPINDLE)), (end, side(SPINDLE - 6)), *inner)
            yield Path(nose, "headstock-fill", "headstock", closed=True)
            yield Path(nose, "headstock", "headstock", closed=True)
            wedge = ((x, side(PUSHER_TIP)), (x, side(BORE + 4)), (end, side(SPINDLE - 12)), (end, side(PUSHER_TIP)))
            yield Path(wedge, "headstock-part", "headstock", closed=True)
    if pose.cut_off_mm is not None and (x := stage.strip.x(pose.cut_off_mm)) is not None:
        right = min(x + TOOL_DEPTH * stage.share, stage.strip.right)
        points = ((x, stage.up(BAR + 1)), (x, stage.up(HEADSTOCK)), (right, stage.up(HEADSTOCK)), (right, stage.up(BAR + 6)))
        yield Path(points, "tool", "lathe", closed=True)
        yield Line((x, stage.down(BAR + 1)), (x, stage.down(HEADSTOCK)), "plane", "lathe")


def clash_spans_mm(pose: Pose) -> Iterator[tuple[str, float, float, Px]]:
    """Where two things would be in one place, or a hold is lost: what it is, from where to where [mm], half its height."""
    nose = pose.nose
    if nose.room_mm < 0.0:
        yield "crush", nose.seat_mm, nose.tip_mm, CLAMP
    if nose.hold_mm < 0.0 and nose.seat_mm > nose.tip_mm:
        yield "apart", nose.tip_mm, nose.seat_mm, FLANGE
    if pose.bar is not None and pose.bar.words == "full bar" and pose.bar.front_mm > pose.collet_mm:
        yield "bar", pose.collet_mm, pose.bar.front_mm, FLANGE
    if pose.state == "front limit" and pose.reach_mm < pose.collet_mm:
        yield "reach", pose.reach_mm, pose.collet_mm, FLANGE
    if pose.cover_mm is not None and pose.body_front_mm > pose.cover_mm:
        yield "cover", pose.cover_mm, pose.body_front_mm, BODY_UP


def _clashes(stage: Stage, pose: Pose) -> Iterator[Shape]:
    for _, rear_mm, front_mm, half in clash_spans_mm(pose):
        for piece in pieces(stage.strip, rear_mm=rear_mm, front_mm=front_mm):
            box = _box(piece.left, piece.right, stage.up(half), stage.down(half))
            yield Hatch(box, 5.0, "clash", "clash")
            yield from _body(piece, box.top, box.bottom, "clash", "clash")


def _axis_and_breaks(stage: Stage, pose: Pose) -> Iterator[Shape]:
    zones = stage.strip.zones
    for zone in zones:
        yield Line((zone.left, stage.axis), (zone.right, stage.axis), "axis", "axis")
    closed = pose.loader_rear_mm is not None and zones[0].shows(pose.loader_rear_mm)
    if not closed:
        yield _break(stage, zones[0].left)
    for before, after in pairwise(zones):
        yield _break(stage, before.right)
        yield _break(stage, after.left)
    yield _break(stage, zones[-1].right)


def _break(stage: Stage, x: Px) -> Path:
    """A long break line with its zigzag at the axis."""
    jog = 5.0
    points = (
        (x, stage.top),
        (x, stage.up(14)),
        (x + jog, stage.up(7)),
        (x - jog, stage.down(7)),
        (x, stage.down(14)),
        (x, stage.floor),
    )
    return Path(points, "break", "break")


def dot(at: Point) -> Circle:
    """Where a leader ends on its part."""
    return Circle(at, 2.2, "arrow", "callouts")
