"""The force gauge of one bar: for each stage of its cycle what it needs at least, what is set, and what the bar bears at most.

One scale from no force for all stages. Where the ceiling lies far beyond the rest the axis is cut with a break, and its value
says how far. Below the floor the bar of the gauge is hatched, between floor and ceiling it is filled.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from standoff.draw.elevation import FORMATS, Arrangement, Format
from standoff.draw.labels import LINE_SHARE, cleared, in_a_row, text_block, wrapped
from standoff.draw.scene import Box, Hatch, Line, Path, Px, Rect, Scene, Shape, Text, text_width
from standoff.errors import UsageError
from standoff.job.pushing import Pushing, Stage
from standoff.job.speed import BarSpeed
from standoff.job.speed_speech import force, stage_line
from standoff.units import Units

FAR = 5.0
"""A ceiling so many times as great as floor and set force is cut off."""
FILLED_SHARE = 0.55
"""Share of the scale that floor and set force reach before a break, and a pulling stage's floor altogether."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """Where the forces lie on the sheet: up to `most_n` to scale, then, if it is cut, a break and the ceiling at the right."""

    left: Px
    right: Px
    most_n: float
    cut: bool

    def x(self, force_n: float) -> Px:
        """Where a force lies; one beyond the scale at its end."""
        end = self.left + (FILLED_SHARE if self.cut else 1.0) * (self.right - self.left)
        return self.right if force_n > self.most_n else self.left + force_n / self.most_n * (end - self.left)


def force_gauge(one: BarSpeed, units: Units, *, arrangement: Arrangement = "wide") -> Scene:
    """The forces of a bar that passes, stage by stage; callers show of any other what does not pass.

    Raises: UsageError for a bar that does not pass, or another arrangement.
    """
    if arrangement not in FORMATS:
        raise UsageError(what="arrangement", given=str(arrangement), allowed=", ".join(FORMATS))
    if one.pushing is None:
        raise UsageError(
            what="force gauge",
            given=f'of the bar "{one.bar.name}", which does not pass',
            allowed="a bar that passes",
            action="show what does not pass instead",
        )
    form, pushing = FORMATS[arrangement], one.pushing
    scale = _scale(pushing, form)
    shapes, y = _head(one, form)
    for stage in pushing.stages:
        drawn, y = _stage(stage, pushing.set_n, scale, form, units, y)
        shapes += drawn
    note = wrapped(_note(pushing, scale), width=form.span[1] - form.span[0], size=form.size)
    shapes += text_block(note, at=(form.span[0], y + form.size), size=form.size, style="soft", layer="notes")
    set_words = "" if pushing.set_n is None else f" Set: {force(pushing.set_n, units)}."
    return Scene(
        width=form.width,
        height=y + (len(note) * LINE_SHARE + 0.6) * form.size,
        title=f"Feed force, {one.bar.name}",
        description=f"{'. '.join(stage_line(stage, units) for stage in pushing.stages)}.{set_words}",
        shapes=cleared(shapes),
    )


def _scale(pushing: Pushing, form: Format) -> Scale:
    """As far as the ceiling, or, where that lies far beyond, as far as what is needed and set."""
    near_n = max([stage.floor_n for stage in pushing.stages], default=0.0)
    near_n = max(near_n, pushing.set_n or 0.0)
    cut = pushing.ceiling_n > FAR * near_n > 0.0
    left, right = form.span
    return Scale(left=left, right=right - 2.0, most_n=near_n if cut else max(near_n, pushing.ceiling_n), cut=cut)


def _head(one: BarSpeed, form: Format) -> tuple[list[Shape], Px]:
    size, (left, right) = form.size, form.span
    lines = wrapped(f"{one.bar.name}: feed force", width=right - left, size=1.1 * size, bold=True)
    shapes = text_block(lines, at=(left, 1.6 * size), size=1.1 * size, style="ink", layer="head", bold=True)
    return [*shapes], (1.6 + 1.1 * (len(lines) - 1) * LINE_SHARE + 0.8) * size


def _stage(stage: Stage, set_n: float | None, scale: Scale, form: Format, units: Units, top: Px) -> tuple[list[Shape], Px]:
    """One stage: its name, what is set above the bar of the gauge, floor and ceiling below it; with the y below."""
    size = form.size
    shapes: list[Shape] = [Line((form.span[0], top), (form.span[1], top), "rule", "stages")]
    shapes.append(Text((form.span[0], top + 1.4 * size), stage.name, size, "ink", "stages", bold=True))
    aimed = set_n is not None and stage.ceiling_n is not None
    bar_top = top + (2.6 * size + 17.0 if aimed else 2.2 * size)
    bar = Box(left=scale.left, top=bar_top, right=scale.right, bottom=bar_top + size)
    shapes += _bar(stage, scale, bar)
    marks = [(scale.x(stage.floor_n), f"at least {force(stage.floor_n, units, up=True)}")]
    if stage.ceiling_n is None:
        marks.append((scale.right, "pulled: no ceiling here"))
    else:
        marks.append((scale.x(stage.ceiling_n), f"at most {force(stage.ceiling_n, units)}"))
        if set_n is not None:
            shapes += _set(stage, set_n, scale, form, units, bar)
    ticks = [x for x, _ in (marks if stage.ceiling_n is not None else marks[:1])]
    shapes += [Line((x, bar.top - 4.0), (x, bar.bottom + 5.0), "bound", "stages") for x in ticks]
    words, y = _words(marks, form, bar.bottom + 5.0)
    return [*shapes, *words], y


def _words(marks: Sequence[tuple[Px, str]], form: Format, top: Px) -> tuple[list[Shape], Px]:
    """The words of marks below them, side by side near their marks, or below one another where there is no room."""
    size, ordered = form.size, sorted(marks)
    widths = [text_width(words, size=size) for _, words in ordered]
    centres = in_a_row([x for x, _ in ordered], widths, span=form.span, gap=size)
    if centres is not None:
        texts = [
            Text((x, top + size), words, size, "ink", "stages", "middle") for x, (_, words) in zip(centres, ordered, strict=True)
        ]
        return [*texts], top + 1.6 * size
    lines = text_block([words for _, words in ordered], at=(form.span[0], top + size), size=size, style="ink", layer="stages")
    return [*lines], top + (0.3 + len(lines) * LINE_SHARE) * size


def _bar(stage: Stage, scale: Scale, box: Box) -> Iterator[Shape]:
    """Too little hatched, what serves filled; a stage that no force serves is hatched the other way where it fails."""
    floor = scale.x(stage.floor_n)
    if stage.ceiling_n is None:
        yield Hatch(_part(box, box.left, floor), 6.0, "leader", "stages")
        yield Line((box.left, box.bottom), (box.right, box.bottom), "dimension", "stages")
    elif stage.possible:
        yield Hatch(_part(box, box.left, floor), 6.0, "leader", "stages")
        yield Rect(_part(box, floor, scale.x(stage.ceiling_n)), "holds", "stages")
    else:
        yield Hatch(_part(box, scale.x(stage.ceiling_n), floor), 6.0, "clash", "stages", rising=False)
    yield Rect(_part(box, box.left, box.left + 1.5), "arrow", "stages")
    if scale.cut and stage.ceiling_n is not None:
        yield from _break(box.left + 0.5 * (1.0 + FILLED_SHARE) * (box.right - box.left), box)


def _break(x: Px, box: Box) -> Iterator[Shape]:
    """Two zigzags, and nothing between them."""
    zigzag = [(x - 5.0 + 5.0 * (i % 2), box.top - 4.0 + i * (box.bottom - box.top + 8.0) / 4.0) for i in range(5)]
    other = [(at + 9.0, y) for at, y in zigzag]
    yield Path((*zigzag, *reversed(other)), "bore", "stages", closed=True)
    yield Path(tuple(zigzag), "break", "stages")
    yield Path(tuple(other), "break", "stages")


def _part(box: Box, left: Px, right: Px) -> Box:
    return Box(left=left, top=box.top, right=right, bottom=box.bottom)


def _set(stage: Stage, set_n: float, scale: Scale, form: Format, units: Units, bar: Box) -> Iterator[Shape]:
    """What is set: an arrow from above with its words, and whether it lies outside."""
    outside = ""
    if set_n < stage.floor_n:
        outside = ": too little"
    elif stage.ceiling_n is not None and set_n > stage.ceiling_n:
        outside = ": too much"
    words, x = f"set {force(set_n, units)}{outside}", scale.x(set_n)
    half = text_width(words, size=form.size, bold=True) / 2.0
    centre = min(max(x, form.span[0] + half), form.span[1] - half)
    yield Path(((x, bar.top - 1.0), (x - 6.0, bar.top - 11.0), (x + 6.0, bar.top - 11.0)), "arrow", "stages", closed=True)
    yield Line((x, bar.top), (x, bar.bottom), "aim", "stages")
    yield Text((centre, bar.top - 15.0), words, form.size, "clash" if outside else "ink", "stages", "middle", True)


def _note(pushing: Pushing, scale: Scale) -> str:
    """What the marks mean, and where the ceiling comes from."""
    share = pushing.ceiling_n / pushing.buckling.force_n
    said = "Hatched: less than the stage needs. Filled: between what it needs and what the bar bears."
    if not pushing.possible:
        said += " Hatched the other way: what the stage needs beyond what the bar bears; no force serves."
    cut = " The scale is cut at the break." if scale.cut else ""
    return f"{said} The most is {share:.0%} of what buckles the bar {pushing.buckling.where}.{cut}"
