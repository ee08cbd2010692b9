"""The frame seen from above, to scale: what each foot is to do, and where the side screws push which way.

A triangle in a foot says up or down, a bar says leave it; an arrow at the loader's edge is a screw that pushes.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from standoff.draw.elevation import FORMATS, Arrangement, Format
from standoff.draw.labels import LINE_SHARE, cleared, text_block, wrapped
from standoff.draw.level_board import LATHE_MM, SOLE_MM, Board, Scenery
from standoff.draw.level_tags import (
    RADIUS,
    Block,
    Tag,
    balloons,
    blocks,
    column_shapes,
    listed,
    row_blocks,
    row_shapes,
)
from standoff.draw.scene import Box, Line, Path, Point, Px, Rect, Scene, Shape, Text, text_width
from standoff.draw.speed_key import SAMPLE, Entry, key
from standoff.errors import UsageError
from standoff.site.frame import Move

MOST_ACROSS: Px = 300.0
"""The frame is drawn no broader than this."""
RUN_UPRIGHT: Px = 400.0
"""How long the frame is at least where it runs down the screen."""
ROOM: Px = 34.0
"""Between the loader's edge and the words, where the arrows of the screws stand."""
ARROW: Px = 26.0
"""How long these are."""
STILL_MM = 1e-4
"""A smaller move is none."""


def level_plan(scenery: Scenery, *, title: str, arrangement: Arrangement) -> Scene:
    """The frame with its moves. Raises UsageError for another arrangement."""
    if arrangement not in FORMATS:
        raise UsageError(what="arrangement", given=str(arrangement), allowed=", ".join(FORMATS))
    form = FORMATS[arrangement]
    head, top = _head(title, form)
    drawn, y = _upright(scenery, form, top) if arrangement == "narrow" else _lying(scenery, form, top)
    legend, y = key(list(_entries(scenery)), (), form, top=y + 0.6 * form.size)
    return Scene(
        width=form.width,
        height=y + 0.5 * form.size,
        title=title,
        description=_described(scenery),
        shapes=cleared([*drawn, *head, *legend]),
    )


def _head(title: str, form: Format) -> tuple[list[Shape], Px]:
    left, right = form.span
    size = 1.1 * form.size
    lines = wrapped(title, width=right - left, size=size, bold=True)
    texts = text_block(lines, at=(left, 1.6 * form.size), size=size, style="ink", layer="head", bold=True)
    return [*texts], 1.6 * form.size + (len(lines) - 1) * size * LINE_SHARE + 0.9 * form.size


def _lying(scenery: Scenery, form: Format, top: Px) -> tuple[list[Shape], Px]:
    """The frame along the sheet, the lathe at the right, the words in a row above it and another below."""
    (rear_mm, front_mm), half_mm, (left, right) = scenery.ends_mm, scenery.half_mm, form.span
    reach_mm = max(0.0, front_mm) + LATHE_MM - rear_mm
    scale = min((right - left) / reach_mm, MOST_ACROSS / (2.0 * half_mm))
    start = left + (right - left - reach_mm * scale) / 2.0
    tags = _tags(scenery, Board(upright=False, scale=scale, along=start, axis=0.0, rear_mm=rear_mm))
    above, below = ([tag for tag in tags if (tag.at[1] < 0.0) is up] for up in (True, False))
    rows = [row_blocks(side, span=form.span, size=form.size) for side in (above, below)]
    worded = all(row is not None for row in rows)
    high = max((block.height for block in rows[0] or ()), default=0.0) if worded else 2.0 * RADIUS
    axis = top + high + ROOM + half_mm * scale
    board = Board(upright=False, scale=scale, along=start, axis=axis, rear_mm=rear_mm)
    shapes = [*_bodies(scenery, board, form), *_feet(scenery, board), *_pushes(scenery, board)]
    bottom = axis + half_mm * scale + ROOM
    if not worded:
        list_of, y = listed(tags, span=form.span, top=bottom + 3.0 * RADIUS, size=form.size, columns=2)
        return [*_numbers(_tags(scenery, board), board, form, half_mm * scale + ROOM, form.span), *shapes, *list_of], y
    upper, lower = (_at_board(row or (), scenery, board) for row in rows)
    first, _ = row_shapes(upper, span=form.span, edge=top + high, size=form.size, above=True)
    second, y = row_shapes(lower, span=form.span, edge=bottom, size=form.size, above=False)
    return [*first, *second, *shapes], y


def _at_board(found: Sequence[Block], scenery: Scenery, board: Board) -> list[Block]:
    """The blocks with their places on the board."""
    places = {tag.name: tag for tag in _tags(scenery, board)}
    return [Block(places[b.tag.name], b.names, b.lines, b.width, b.height) for b in found]


def _upright(scenery: Scenery, form: Format, top: Px) -> tuple[list[Shape], Px]:
    """The frame down the screen, the lathe on top, the words in a column on either side."""
    (rear_mm, front_mm), half_mm, (left, right) = scenery.ends_mm, scenery.half_mm, form.span
    reach_mm = max(0.0, front_mm) + LATHE_MM - rear_mm
    across, middle = 0.22 * (right - left), (left + right) / 2.0
    scale = min(across / (2.0 * half_mm), 1.6 * RUN_UPRIGHT / reach_mm)
    scale = max(scale, min(RUN_UPRIGHT / reach_mm, 0.4 * (right - left) / (2.0 * half_mm)))
    board = Board(upright=True, scale=scale, along=top + reach_mm * scale, axis=middle, rear_mm=rear_mm)
    tags = _tags(scenery, board)
    edge = (half_mm - SOLE_MM) * scale + ROOM
    width = middle - edge - left
    sides = [[tag for tag in tags if (tag.at[0] < middle) is on_left] for on_left in (True, False)]
    columns = [blocks(side, width=width, size=form.size) for side in sides]
    shapes = [*_bodies(scenery, board, form), *_feet(scenery, board), *_pushes(scenery, board)]
    lowest = max(board.along, top + len(tags) * (2.0 * RADIUS + 4.0))
    fits = width >= 7.0 * form.size and all(
        column is not None and sum(block.height + 0.6 * form.size for block in column) <= reach_mm * scale for column in columns
    )
    if not fits:
        list_of, y = listed(tags, span=form.span, top=lowest + 0.6 * form.size, size=form.size)
        return [*_numbers(tags, board, form, edge, (top, lowest)), *shapes, *list_of], y
    for column, on_left in zip(columns, (True, False), strict=True):
        inner = middle - edge if on_left else middle + edge
        shapes += column_shapes(column or (), span=(top, board.along), edge=inner, size=form.size, left=on_left)
    return shapes, board.along + 0.6 * form.size


def _bodies(scenery: Scenery, board: Board, form: Format) -> Iterator[Shape]:
    """Lathe and loader in outline, with the spindle's axis through both."""
    half_mm, (rear_mm, front_mm) = scenery.half_mm, scenery.ends_mm
    lathe = _box(board.point(x_mm=0.0, y_mm=1.1 * half_mm), board.point(x_mm=max(0.0, front_mm) + LATHE_MM, y_mm=-1.1 * half_mm))
    loader = _box(board.point(x_mm=rear_mm, y_mm=half_mm - SOLE_MM), board.point(x_mm=front_mm, y_mm=SOLE_MM - half_mm))
    yield Rect(lathe, "lathe-fill", "lathe")
    yield Rect(lathe, "lathe", "lathe")
    yield Rect(loader, "loader-fill", "loader")
    yield Rect(loader, "loader", "loader")
    ends = board.point(x_mm=rear_mm, y_mm=0.0), board.point(x_mm=max(0.0, front_mm) + LATHE_MM, y_mm=0.0)
    yield Line(*ends, "axis", "axis")
    yield from _named("loader", loader, board, form, "loader", scenery.widest_gap_mm)
    yield from _named("lathe", lathe, board, form, "lathe", None)


def _named(word: str, box: Box, board: Board, form: Format, style: str, at_mm: float | None) -> Iterator[Text]:
    """A name inside a body where it has room, beside the axis."""
    size = form.size
    if text_width(word, size=size) + 4.0 > box.right - box.left or 2.0 * size > box.bottom - box.top:
        return
    middle = (box.left + box.right) / 2.0, (box.top + box.bottom) / 2.0
    x, y = middle if at_mm is None else board.point(x_mm=at_mm, y_mm=0.0)
    yield Text((x, y + 0.34 * size if board.upright else y - 0.5 * size), word, size, style, style, "middle")


def _box(a: Point, b: Point) -> Box:
    return Box(left=min(a[0], b[0]), top=min(a[1], b[1]), right=max(a[0], b[0]), bottom=max(a[1], b[1]))


def _feet(scenery: Scenery, board: Board) -> Iterator[Shape]:
    """A square for each foot, with a sign of what it is to do."""
    half = max(SOLE_MM * board.scale, 9.0)
    for foot in scenery.frame.feet:
        x, y = board.of_foot(foot)
        move = scenery.move(foot.name)
        box = Box(left=x - half, top=y - half, right=x + half, bottom=y + half)
        yield Rect(box, "fitting", "feet")
        if move is not None and move.beyond_mm:
            yield Rect(box.grown(3.0), "clash", "feet")
        if move is not None:
            yield from sign(move, (x, y), 0.62 * half, "feet")


def sign(move: Move, at: Point, reach: Px, layer: str) -> Iterator[Shape]:
    """A triangle that points up or down, or a bar for a foot that stays."""
    x, y = at
    if abs(move.move_mm) < STILL_MM:
        yield Line((x - reach, y), (x + reach, y), "bound", layer)
        return
    way = -1.0 if move.move_mm > 0.0 else 1.0
    points = ((x, y + way * reach), (x - reach, y - way * reach), (x + reach, y - way * reach))
    yield Path(points, "aim-mark", layer, closed=True)


def _pushing_mm(scenery: Scenery, move: Move | None) -> float:
    """At which edge of the frame a screw acts, left of the axis positive: one that pushes left stands at the right [mm]."""
    return (-1.0 if move is None or move.move_mm >= 0.0 else 1.0) * (scenery.half_mm - SOLE_MM)


def _pushes(scenery: Scenery, board: Board) -> Iterator[Shape]:
    """An arrow for each side screw at the edge at which it pushes; an open circle for one that is left alone."""
    for screw in scenery.frame.screws:
        move = scenery.move(screw.name)
        side_mm = _pushing_mm(scenery, move)
        tip = board.of_screw(screw, side_mm)
        out = -1.0 if side_mm < 0.0 else 1.0
        if move is None or abs(move.move_mm) < STILL_MM:
            yield Line(tip, board.stepped(tip, aside=out * 0.5 * ARROW), "bound", "screws")
            continue
        style = "clash" if move.beyond_mm else "bound"
        yield Line(board.stepped(tip, aside=out * 9.0), board.stepped(tip, aside=out * ARROW), style, "screws")
        base = board.stepped(tip, aside=out * 11.0)
        wings = board.stepped(base, forward=6.0), board.stepped(base, forward=-6.0)
        yield Path((tip, *wings), "arrow", "screws", closed=True)


def _tags(scenery: Scenery, board: Board) -> list[Tag]:
    """What is said of every foot and every screw, each at the edge that its words stand at."""
    half = max(SOLE_MM * board.scale, 9.0)
    found = []
    for foot in scenery.frame.feet:
        move, out = scenery.move(foot.name), 1.0 if foot.y_mm > 0.0 else -1.0
        # Led from a corner, since a side screw may push at the same place.
        at = board.stepped(board.of_foot(foot), aside=out * half, forward=-0.7 * half)
        found.append(Tag(at, foot.name, scenery.told(foot.name), move is not None and move.beyond_mm != 0.0))
    for screw in scenery.frame.screws:
        move = scenery.move(screw.name)
        side_mm = _pushing_mm(scenery, move)
        at = board.stepped(board.of_screw(screw, side_mm), aside=(ARROW if side_mm > 0.0 else -ARROW))
        found.append(Tag(at, screw.name, scenery.told(screw.name), move is not None and move.beyond_mm != 0.0))
    return found


def _numbers(tags: Sequence[Tag], board: Board, form: Format, reach: Px, span: tuple[Px, Px]) -> list[Shape]:
    """A number for each tag in a lane on its own side of the frame, `reach` away from the axis."""
    shapes, side = list[Shape](), 0 if board.upright else 1
    for way in (-1.0, 1.0):
        found = [(i, tag) for i, tag in enumerate(tags, 1) if (tag.at[side] < board.axis) is (way < 0.0)]
        lane = board.axis + way * (reach + RADIUS)
        shapes += balloons(found, span=span, lane=lane, size=form.size, upright=board.upright)
    return shapes


def _entries(scenery: Scenery) -> Iterator[Entry]:
    """What the signs mean, as far as they are there."""
    moves = [(name, scenery.move(name)) for name in (foot.name for foot in scenery.frame.feet)]
    known = [move for _, move in moves if move is not None]
    for words, least in (("raise this foot", True), ("lower this foot", False)):
        shown = [move for move in known if abs(move.move_mm) >= STILL_MM and (move.move_mm > 0.0) is least]
        if shown:
            yield Entry(_signed(shown[0]), words)
    still = [move for move in known if abs(move.move_mm) < STILL_MM]
    if still:
        yield Entry(_signed(still[0]), "leave this foot")
    if any(abs(move.move_mm) >= STILL_MM for move in scenery.screws):
        yield Entry(_arrowed, "the side screw that pushes, and which way; its opposite is backed off first")


def _signed(move: Move) -> Callable[[Point], tuple[Shape, ...]]:
    return lambda at: tuple(sign(move, (at[0] + SAMPLE / 2.0, at[1]), 6.0, "key"))


def _arrowed(at: Point) -> tuple[Shape, ...]:
    x, y = at[0] + SAMPLE, at[1]
    return (
        Line((x - ARROW, y), (x - 9.0, y), "bound", "key"),
        Path(((x, y), (x - 11.0, y - 6.0), (x - 11.0, y + 6.0)), "arrow", "key", closed=True),
    )


def _described(scenery: Scenery) -> str:
    """The drawing in words."""
    said = [f"{name}: {scenery.told(name)}" if scenery.told(name) else name for name in _names(scenery)]
    return f"The loader's frame seen from above, forward to the lathe. {'; '.join(said)}."


def _names(scenery: Scenery) -> list[str]:
    return [*(foot.name for foot in scenery.frame.feet), *(screw.name for screw in scenery.frame.screws)]
