"""The bars of a run in their order, one box each: clean, stopped, or void, and empty boxes for those that are still to come.

A bracket below the last boxes shows the row that counts. Each kind has a sign of its own; stops are told in words below.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from standoff.draw.elevation import FORMATS, Arrangement
from standoff.draw.scene import Box, Hatch, Line, Point, Px, Rect, Scene, Shape, Text
from standoff.draw.speed_key import SAMPLE, Entry, key
from standoff.errors import UsageError
from standoff.site.acceptance import RowPlan
from standoff.site.tally import Agreement, BarRecord, RunState

BOX_SHARE = 2.3
"""Side of a box, in text sizes."""
MOST_BOXES = 60
"""More bars than these are not drawn: only the last ones are."""
MOST_TO_GO = 30
"""So many empty boxes at most."""
CLEAN, STOPPED, VOID, TO_GO = "clean", "stopped", "void", "to go"
_SIGNS = {CLEAN: "✓", STOPPED: "✗", VOID: "–", TO_GO: ""}
_STYLES = {CLEAN: "runoff-clean", STOPPED: "runoff-stopped", VOID: "runoff-void", TO_GO: "runoff-to-go"}
_MEANS = {
    CLEAN: "ran clean",
    STOPPED: "stopped, counts",
    VOID: "stopped by what does not count: neither clean nor stopped",
    TO_GO: "still to run clean",
}


@dataclass(frozen=True, slots=True)
class Square:
    """One box: which bar of the run, what became of it, and whether it belongs to the row that counts."""

    number: int
    kind: str
    in_row: bool


def squares(state: RunState, agreement: Agreement) -> tuple[Square, ...]:
    """Every bar of a run and those still to come at least, in order."""
    kinds = [_kind(record, agreement) for record in state.records]
    row = isinstance(agreement.plan, RowPlan)
    begins = next((i + 1 for i in range(len(kinds) - 1, -1, -1) if kinds[i] == STOPPED), 0) if row else len(kinds)
    found = [Square(i + 1, kind, row and i >= begins and kind == CLEAN) for i, kind in enumerate(kinds)]
    to_go = state.judgement.bars_to_go
    return (*found, *(Square(len(kinds) + 1 + i, TO_GO, False) for i in range(to_go)))


def _kind(record: BarRecord, agreement: Agreement) -> str:
    if record.stop is None:
        return CLEAN
    return STOPPED if agreement.counts(record) else VOID


def tally_strip(state: RunState, agreement: Agreement, *, arrangement: Arrangement) -> Scene:
    """The bars of a run. Raises UsageError for another arrangement."""
    if arrangement not in FORMATS:
        raise UsageError(what="arrangement", given=str(arrangement), allowed=", ".join(FORMATS))
    form, every = FORMATS[arrangement], squares(state, agreement)
    size, (left, right) = form.size, form.span
    run, to_go = [s for s in every if s.kind != TO_GO], [s for s in every if s.kind == TO_GO]
    drawn = [*run[-MOST_BOXES:], *to_go[:MOST_TO_GO]]
    side = BOX_SHARE * size
    across = max(1, int((right - left + 0.3 * size) // (side + 0.3 * size)))
    shapes, y = list[Shape](), 0.4 * size
    for start in range(0, len(drawn), across):
        shapes += _line(drawn[start : start + across], left, y, side, size)
        y += side + 2.1 * size
    legend, y = key(_entries(drawn), [*_notes(state, len(run) - MOST_BOXES, len(to_go) - MOST_TO_GO)], form, top=y)
    return Scene(
        width=form.width,
        height=y + 0.4 * size,
        title=f"Bars of {state.run.mode}, {state.run.bar}",
        description=described(state, agreement),
        shapes=(*shapes, *legend),
    )


def described(state: RunState, agreement: Agreement) -> str:
    """The strip in words."""
    told = [f"bar {s.number} {s.kind}" for s in squares(state, agreement) if s.kind != TO_GO]
    to_go = state.judgement.bars_to_go
    said = f"{'; '.join(told) if told else 'No bar has run yet'}."
    return f"{said} {to_go} to go at least." if to_go else said


def _line(boxes: Sequence[Square], left: Px, top: Px, side: Px, size: Px) -> Iterator[Shape]:
    """One line of boxes with their numbers below, and the bracket of the row."""
    pitch = side + 0.3 * size
    for i, square in enumerate(boxes):
        box = Box(left=left + i * pitch, top=top, right=left + i * pitch + side, bottom=top + side)
        yield from _box(square.kind, box, size)
        below = ((box.left + box.right) / 2.0, box.bottom + 1.15 * size)
        yield Text(below, f"{square.number}", max(12.0, 0.86 * size), "soft", "bars", "middle")
    row = [i for i, square in enumerate(boxes) if square.in_row]
    if row:
        y = top + side + 1.55 * size
        ends = (left + row[0] * pitch, left + row[-1] * pitch + side)
        yield Line((ends[0], y), (ends[1], y), "runoff-row", "row")
        for x in ends:
            yield Line((x, y - 0.3 * size), (x, y), "runoff-row", "row")


def _box(kind: str, box: Box, size: Px, layer: str = "bars") -> Iterator[Shape]:
    if kind == STOPPED:
        yield Hatch(box, 9.0, "runoff-stopped-hatch", layer, rising=False, holes=(_sign_box(box, size),))
    yield Rect(box, _STYLES[kind], layer)
    if _SIGNS[kind]:
        at = ((box.left + box.right) / 2.0, (box.top + box.bottom) / 2.0 + 0.36 * size)
        style = {CLEAN: "window", STOPPED: "clash"}.get(kind, "ink")
        yield Text(at, _SIGNS[kind], size, style, layer, "middle", True)


def _sign_box(box: Box, size: Px) -> Box:
    x, y = (box.left + box.right) / 2.0, (box.top + box.bottom) / 2.0
    return Box(left=x - 0.7 * size, top=y - 0.6 * size, right=x + 0.7 * size, bottom=y + 0.6 * size)


def _entries(drawn: Sequence[Square]) -> list[Entry]:
    """What the boxes that are there mean."""
    kinds = {square.kind for square in drawn}
    entries = [Entry(_sample(kind), _MEANS[kind]) for kind in (CLEAN, STOPPED, VOID, TO_GO) if kind in kinds]
    if any(square.in_row for square in drawn):
        entries.append(Entry(_bracket, "the row that counts"))
    return entries


def _sample(kind: str) -> Callable[[Point], tuple[Shape, ...]]:
    def drawn(at: Point) -> tuple[Shape, ...]:
        box = Box(left=at[0] + 6.0, top=at[1] - 8.0, right=at[0] + 28.0, bottom=at[1] + 8.0)
        return tuple(_box(kind, box, 12.0, "key"))

    return drawn


def _bracket(at: Point) -> tuple[Shape, ...]:
    x, y = at
    ticks = (Line((end, y - 5.0), (end, y), "runoff-row", "key") for end in (x, x + SAMPLE))
    return (Line((x, y), (x + SAMPLE, y), "runoff-row", "key"), *ticks)


def _notes(state: RunState, earlier: int, later: int) -> Iterator[str]:
    """The stops in words, and what is not drawn."""
    stops = [f"bar {i} {record.stop.value}" for i, record in enumerate(state.records, start=1) if record.stop is not None]
    if stops:
        yield f"Stopped by: {', '.join(stops)}."
    if earlier > 0:
        yield f"{earlier} earlier bars are not drawn."
    if later > 0:
        yield f"{later} more bars to go are not drawn."
