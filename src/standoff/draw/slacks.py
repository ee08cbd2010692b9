"""The slacks: what each requirement has to spare at the standoff judged, with its uncertainty, the least sure first.

One scale of slack with nothing to spare as its zero line. A mark shows the slack, the bar through it the guard band on either
side: a bar that crosses the line is a requirement that is not sure. Rows without the standoff are here too.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from standoff.draw.elevation import FORMATS, Arrangement, Format
from standoff.draw.labels import LINE_SHARE, cleared, shortened, text_block, widest, wrapped
from standoff.draw.scene import Box, Circle, Line, Path, Px, Rect, Scene, Shape, Text
from standoff.errors import UsageError
from standoff.job.placement import Judged, Placement
from standoff.job.speech import length, named, small_length, spare_length
from standoff.solve.window import GUARD_FACTOR

GUARDS_SHOWN = 4.0
"""The scale reaches this many of the widest guard bands to the right of zero, and one and a half to the left."""
LEAST_MM = 6.0
NOTE = "Line: nothing to spare. Bar: the guard band, 1.645 standard uncertainties; one that crosses the line is not sure."


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """Where the scale lies on the sheet and what it spans [mm]."""

    left: Px
    right: Px
    least_mm: float
    greatest_mm: float

    def x(self, at_mm: float) -> Px:
        """Where a slack lies, those outside at the border."""
        share = (at_mm - self.least_mm) / (self.greatest_mm - self.least_mm)
        return self.left + min(max(share, 0.0), 1.0) * (self.right - self.left)


def slacks(placement: Placement, *, arrangement: Arrangement = "wide") -> Scene:
    """Every row's slack with its guard band, the least sure first. Raises UsageError for another arrangement."""
    if arrangement not in FORMATS:
        raise UsageError(what="arrangement", given=str(arrangement), allowed=", ".join(FORMATS))
    form = FORMATS[arrangement]
    rows = sorted(placement.rows, key=lambda judged: judged.slack_mm - GUARD_FACTOR * judged.u_mm)
    ground, names = _ground(rows, form)
    left, right = form.span
    shapes, y = list[Shape](), 0.5 * form.size
    heading = f"To spare at {length(placement.standoff_mm, placement.job.units)}, least sure first"
    shapes.append(
        Text(
            (left, y + form.size),
            shortened(heading, width=right - left, size=form.size, bold=True),
            form.size,
            "ink",
            "rows",
            bold=True,
        )
    )
    top = y = y + 1.9 * form.size
    for judged in rows:
        drawn, y = _row(placement, judged, ground, form, names, y)
        shapes += drawn
    zero = ground.x(0.0)
    line = Line((zero, top), (zero, y), "bound", "rows")
    lines = wrapped(NOTE, width=right - left, size=form.size)
    note = text_block(lines, at=(left, y + 1.4 * form.size), size=form.size, style="soft", layer="notes")
    return Scene(
        width=form.width,
        height=y + (0.9 + len(lines) * LINE_SHARE) * form.size + 6.0,
        title=f"Slacks, {placement.job.title}",
        description=" ".join(f"{named(judged)}: {_told(placement, judged)}." for judged in rows),
        shapes=cleared([line, *shapes, *note]),
    )


def _ground(rows: list[Judged], form: Format) -> tuple[Ground, Px]:
    """The scale, beside the names where there is room for them, and the width of the names."""
    guard_mm = max(LEAST_MM, *(GUARD_FACTOR * judged.u_mm for judged in rows))
    worst_mm = min(judged.slack_mm - GUARD_FACTOR * judged.u_mm for judged in rows)
    left, right = form.span
    names = 0.0
    if form.named:
        names = min(widest([named(judged) for judged in rows], size=form.size), 0.5 * form.width)
    return (
        Ground(
            left=left + (names + form.size if names else 0.0),
            right=right - 1.2 * form.size,
            least_mm=min(-1.5 * guard_mm, 1.1 * max(worst_mm, -20.0 * guard_mm)),
            greatest_mm=GUARDS_SHOWN * guard_mm,
        ),
        names,
    )


def _row(placement: Placement, judged: Judged, ground: Ground, form: Format, names: Px, top: Px) -> tuple[list[Shape], Px]:
    """One requirement: its name and figures, and its slack on the scale."""
    size, left = form.size, form.span[0]
    style = "ink" if judged.holds else "clash"
    figures = _told(placement, judged)
    shapes: list[Shape] = [Line((left, top), (form.span[1], top), "rule", "rows")]
    if names:
        shapes.append(Text((left, top + 1.3 * size), shortened(named(judged), width=names, size=size), size, style, "rows"))
        shapes.append(Text((left, top + 2.5 * size), shortened(figures, width=names, size=size), size, "soft", "rows"))
        bottom = top + 3.2 * size
        return [*shapes, *_mark(judged, ground, size, top + 1.6 * size)], bottom
    width = form.span[1] - left
    lines = [*wrapped(named(judged), width=width, size=size), *wrapped(figures, width=width, size=size)]
    shapes += text_block(lines, at=(left, top + 1.3 * size), size=size, style=style, layer="rows")
    y = top + (1.3 + len(lines) * LINE_SHARE) * size
    return [*shapes, *_mark(judged, ground, size, y)], y + size


def _told(placement: Placement, judged: Judged) -> str:
    units = placement.job.units
    word = "to spare" if judged.holds else "missing"
    return f"{spare_length(judged.slack_mm, units)} {word}, ± {small_length(GUARD_FACTOR * judged.u_mm, units)}"


def _mark(judged: Judged, ground: Ground, size: Px, y: Px) -> Iterator[Shape]:
    """The guard band as a bar with the slack as a dot, or an arrow at the border for a slack beyond the scale."""
    guard_mm = GUARD_FACTOR * judged.u_mm
    if judged.slack_mm - guard_mm > ground.greatest_mm:
        x = ground.right
        yield Line((ground.x(0.0), y), (x, y), "leader", "rows")
        yield Path(((x + 9.0, y), (x, y - 5.0), (x, y + 5.0)), "arrow", "rows", closed=True)
        return
    low, high, half = ground.x(judged.slack_mm - guard_mm), ground.x(judged.slack_mm + guard_mm), 0.28 * size
    yield Rect(Box(left=low, top=y - half, right=high, bottom=y + half), "holds" if judged.holds else "clash", "rows")
    yield Circle((ground.x(judged.slack_mm), y), 0.24 * size, "aim-mark", "rows")
