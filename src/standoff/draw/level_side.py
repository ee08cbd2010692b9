"""The frame seen from the side, to scale: its feet under the axis, and by how much the loader's axis misses the spindle's.

The miss is a hair against the machine's length: it alone is drawn larger, by a round factor that the drawing states.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from standoff.draw.elevation import FORMATS, Arrangement, Format
from standoff.draw.labels import LINE_SHARE, cleared, in_a_row, text_block, wrapped
from standoff.draw.level_board import LATHE_MM, SOLE_MM, Scenery
from standoff.draw.scene import Box, Line, Path, Point, Px, Rect, Scene, Shape, Text, text_width
from standoff.draw.speed_key import Entry, key, ruled
from standoff.errors import UsageError
from standoff.site.axis import Point as Place
from standoff.site.axis import Pose

MOST_HIGH: Px = 300.0
"""The frame is drawn no higher than this above the floor."""
ROOM: Px = 4.0
"""So much a name leaves free in a body."""
DEPTH_MM = 220.0
"""The loader's body is drawn so far above and below its axis [mm],"""
DEPTH_SHARE = 0.45
"""and no more than this share of the axis's height."""
SWING_SHARE = 0.85
"""The greatest miss is drawn at most so large a share of that, unless it is larger as it is."""


def level_side(scenery: Scenery, now: Pose | None, after: Pose | None, *, title: str, arrangement: Arrangement) -> Scene:
    """The frame with both axes; without poses (nothing read yet) the frame alone. Raises UsageError for another arrangement."""
    if arrangement not in FORMATS:
        raise UsageError(what="arrangement", given=str(arrangement), allowed=", ".join(FORMATS))
    form = FORMATS[arrangement]
    (left, right), size = form.span, form.size
    lines = wrapped(title, width=right - left, size=1.1 * size, bold=True)
    head = text_block(lines, at=(left, 1.6 * size), size=1.1 * size, style="ink", layer="head", bold=True)
    top = (1.6 + 1.1 * (len(lines) - 1) * LINE_SHARE + 1.0) * size
    stage = _Stage(scenery, form, top, [pose for pose in (now, after) if pose is not None])
    shapes = [*_bodies(stage), *_feet(stage)]
    names, y = _names(stage)
    if now is not None:
        shapes.append(Path(stage.axis_of(now), "trace", "axes"))
    if after is not None:
        shapes.append(Path(stage.axis_of(after), "aim", "axes"))
    notes = [] if now is None else [f"The loader's axis is drawn {stage.times:g} times farther from the spindle's than it is."]
    legend, y = key(list(_entries(now, after)), notes, form, top=y + 0.4 * size)
    return Scene(
        width=form.width,
        height=y + 0.5 * size,
        title=title,
        description="The loader on its feet behind the lathe, seen from its right." + "".join(f" {note}" for note in notes),
        shapes=cleared([*shapes, *names, *head, *legend]),
    )


class _Stage:
    """Where things lie on the sheet: forward to the right, the floor at the bottom, the spindle's axis at its height."""

    def __init__(self, scenery: Scenery, form: Format, top: Px, poses: list[Pose]) -> None:
        self.scenery, self.form = scenery, form
        (self.rear_mm, front_mm), (left, right) = scenery.ends_mm, form.span
        self.front_mm = front_mm
        self.reach_mm = max(0.0, front_mm) + LATHE_MM
        height_mm = scenery.frame.axis_height_mm
        self.scale = min((right - left) / (self.reach_mm - self.rear_mm), MOST_HIGH / height_mm)
        self.left = left + (right - left - (self.reach_mm - self.rear_mm) * self.scale) / 2.0
        misses_mm = [abs(self._miss_mm(pose, x_mm)) for pose in poses for x_mm in (self.rear_mm, 0.0)]
        depth_mm = min(DEPTH_MM, DEPTH_SHARE * height_mm)
        self.depth = depth_mm * self.scale
        self.times = round_factor(SWING_SHARE * depth_mm / max([*misses_mm, 1e-3]))
        over = max([*misses_mm, 0.0]) * self.times * self.scale
        self.axis = top + 1.6 * form.size + max(over, self.depth)
        # A height too small to be seen still leaves room for the soles.
        self.floor = self.axis + max(height_mm * self.scale, 14.0)
        # An axis typed a yard off is drawn where it is, below the floor if need be.
        self.below = max(self.floor, self.axis + over)

    @property
    def holds_lathe(self) -> bool:
        """Whether the lathe's outline has room for its name."""
        size, width = self.form.size, self.x(self.reach_mm) - self.x(0.0)
        return text_width("lathe", size=size) + ROOM <= width and self.floor - self.axis >= 2.0 * size

    def x(self, x_mm: float) -> Px:
        """Where a place along the axis lies."""
        return self.left + (x_mm - self.rear_mm) * self.scale

    def axis_of(self, pose: Pose) -> tuple[Point, ...]:
        """The loader's axis, its miss enlarged, from its rear end to the spindle's face."""
        ends = (self.rear_mm, max(0.0, self.front_mm))
        return tuple((self.x(x_mm), self.axis - self._miss_mm(pose, x_mm) * self.times * self.scale) for x_mm in ends)

    @staticmethod
    def _miss_mm(pose: Pose, x_mm: float) -> float:
        return pose.offset(Place("", x_mm)).upright.miss_mm


def round_factor(greatest_ratio: float) -> float:
    """The greatest of 1, 2, 5, 10, 20 ... that is not above a ratio; 1 at least."""
    if greatest_ratio <= 1.0:
        return 1.0
    power = 10.0 ** math.floor(math.log10(greatest_ratio))
    return next(power * digit for digit in (5.0, 2.0, 1.0) if power * digit <= greatest_ratio * (1.0 + 1e-9))


def _bodies(stage: _Stage) -> Iterator[Shape]:
    depth = stage.depth
    loader = Box(left=stage.x(stage.rear_mm), top=stage.axis - depth, right=stage.x(stage.front_mm), bottom=stage.axis + depth)
    lathe = Box(left=stage.x(0.0), top=stage.axis - depth, right=stage.x(stage.reach_mm), bottom=stage.floor)
    for box, name in ((loader, "loader"), (lathe, "lathe")):
        yield Rect(box, f"{name}-fill", name)
        yield Rect(box, name, name)
        yield from _named(name, box, stage)
    yield Line((stage.left, stage.floor), (stage.x(stage.reach_mm), stage.floor), "floor", "floor")
    yield Line((stage.left, stage.axis), (stage.x(stage.reach_mm), stage.axis), "axis", "axes")


def _named(name: str, box: Box, stage: _Stage) -> Iterator[Text]:
    """The loader's name above it, clear of the axes; the lathe's in it, where it has room."""
    size, (left, right) = stage.form.size, stage.form.span
    width = text_width(name, size=size)
    if name == "loader":
        x = min(max((box.left + box.right) / 2.0, left + width / 2.0), right - width / 2.0)
        yield Text((x, box.top - 0.45 * size), name, size, name, name, "middle")
    elif stage.holds_lathe:
        yield Text(((box.left + box.right) / 2.0, box.bottom - 0.5 * size), name, size, name, name, "middle")


def _feet(stage: _Stage) -> Iterator[Shape]:
    """A leg and a sole under the loader for each place along it."""
    depth, half = stage.depth, max(SOLE_MM * stage.scale, 7.0)
    for x_mm in sorted({foot.x_mm for foot in stage.scenery.frame.feet}):
        x = stage.x(x_mm)
        leg = Box(left=x - 0.4 * half, top=stage.axis + depth, right=x + 0.4 * half, bottom=stage.floor - 6.0)
        yield Rect(leg, "loader-fill", "feet")
        yield Rect(leg, "loader", "feet")
        yield Rect(Box(left=x - half, top=stage.floor - 6.0, right=x + half, bottom=stage.floor), "fitting", "feet")


def _names(stage: _Stage) -> tuple[list[Shape], Px]:
    """The names of the feet below the floor, those at one place below one another, and a lathe's too narrow for its own."""
    size, (left, right) = stage.form.size, stage.form.span
    places: dict[float, list[str]] = {}
    for foot in stage.scenery.frame.feet:
        places.setdefault(foot.x_mm, []).append(foot.name)
    if not stage.holds_lathe:
        places[stage.reach_mm / 2.0] = ["lathe"]
    ordered = sorted(places.items())
    width = (right - left) / len(ordered) - 0.8 * size
    blocks = [[line for name in names for line in wrapped(name, width=width, size=size)] for _, names in ordered]
    widths = [max(text_width(line, size=size) for line in block) for block in blocks]
    wanted = [stage.x(x_mm) for x_mm, _ in ordered]
    centres = in_a_row(wanted, widths, span=stage.form.span, gap=0.7 * size) or tuple(wanted)
    shapes, top = list[Shape](), stage.below + 1.0 * size
    for x, centre, block in zip(wanted, centres, blocks, strict=True):
        shapes.append(Line((x, stage.floor), (centre, top - 1.0), "leader", "names"))
        for i, line in enumerate(block):
            shapes.append(Text((centre, top + (1.0 + i * LINE_SHARE) * size), line, size, "ink", "names", "middle"))
    return shapes, top + (max(len(block) for block in blocks) * LINE_SHARE + 0.2) * size


def _entries(now: Pose | None, after: Pose | None) -> Iterator[Entry]:
    yield Entry(ruled("axis"), "the spindle's axis")
    if now is not None:
        yield Entry(ruled("trace"), "the loader's axis as it lies")
    if after is not None:
        yield Entry(ruled("aim"), "the loader's axis after these moves")
