"""The speed chart of one bar: over what is left of it, where it whips, what limits it, and what is wanted.

The full bar is at the left, the last piece at the right, as the bar is used up; speed rises from nothing. What lies far above is
cut off with a mark, so that wanted speed, limits and whip keep the room. Every line has words at it or in the key, and a pattern.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from standoff.draw.elevation import FORMATS, Arrangement, Format
from standoff.draw.label_room import interrupted
from standoff.draw.labels import LINE_SHARE, cleared, text_block, wrapped
from standoff.draw.scene import Box, Circle, Hatch, Line, Path, Px, Scene, Shape, Text
from standoff.draw.speed_axes import axes, field_of
from standoff.draw.speed_curves import Field, Traces, curves, traces
from standoff.draw.speed_key import Entry, banded, hatched, key, ruled
from standoff.draw.speed_labels import DOT, Level, dot_of, levels, speed_labels
from standoff.errors import UsageError
from standoff.job.speech import length
from standoff.job.speed import MODEL, BarSpeed
from standoff.job.speed_speech import rpm, step_lines
from standoff.units import Units

NO_BASIS = "resting on the liner: no basis for a limit"


def speed_chart(one: BarSpeed, *, units: Units, arrangement: Arrangement) -> Scene:
    """The chart of one bar that passes: a bar that does not pass has no speed, and callers show why instead.

    Raises: UsageError for a bar that does not pass, or another arrangement.
    """
    if arrangement not in FORMATS:
        raise UsageError(what="arrangement", given=str(arrangement), allowed=", ".join(FORMATS))
    if not one.courses:
        raise UsageError(
            what="speed chart",
            given=f'of the bar "{one.bar.name}", which does not pass',
            allowed="a bar that passes",
            action="show what does not pass instead",
        )
    form, found = FORMATS[arrangement], curves(one)
    head, y = _head(one, form)
    field = field_of(one, found, form, arrangement=arrangement, top=y)
    traced, level_lines = traces(one, found, field), levels(one)
    shown = [level for level in level_lines if level.speed_rpm <= field.top_rpm]
    above = [level for level in level_lines if level.speed_rpm > field.top_rpm]
    labels, homeless = speed_labels(one, field, traced, shown, units, size=form.size)
    words = [shape.box.grown(2.0) for shape in labels if isinstance(shape, Text)]
    ground, y = axes(field, form, units, arrangement=arrangement)
    legend, y = key([*_entries(one, field, traced, shown)], [*_notes(above, homeless)], form, top=y + 0.5 * form.size)
    band = Path((*traced.stiff, *reversed(traced.soft)), "speed-band", "band", closed=True)
    lines = _lines(one, field, traced, shown, words)
    return Scene(
        width=form.width,
        height=y + 0.5 * form.size,
        title=f"Bar speed, {one.bar.name}",
        description=_described(one, level_lines, units),
        shapes=cleared([band, *ground, *lines, *labels, *_higher(field, traced, form.size), *head, *legend]),
    )


def _head(one: BarSpeed, form: Format) -> tuple[list[Shape], Px]:
    """Which bar, and the y at which the picture begins: below a line for marks of what is higher."""
    size, (left, right) = form.size, form.span
    lines = wrapped(f"{one.bar.name}: speed over what is left of it", width=right - left, size=1.1 * size, bold=True)
    shapes = text_block(lines, at=(left, 1.6 * size), size=1.1 * size, style="ink", layer="head", bold=True)
    return [*shapes], (1.6 + 1.1 * (len(lines) - 1) * LINE_SHARE + 2.4) * size


def _lines(one: BarSpeed, field: Field, traced: Traces, shown: Sequence[Level], words: Sequence[Box]) -> Iterator[Shape]:
    """The zone that is too fast, level lines, curves broken at words, and the dot where the bar whips first."""
    wanted_rpm = one.bar.wanted_rpm
    for step in one.steps:
        if wanted_rpm is not None and step.limit_rpm < wanted_rpm:
            left, right = field.x(step.longest_mm), field.x(step.shortest_mm)
            zone = Box(left=left, top=field.y(wanted_rpm), right=right, bottom=field.y(step.limit_rpm))
            yield Hatch(zone, 9.0, "clash", "limits")
    for level in shown:
        y = field.y(level.speed_rpm)
        yield Line((field.left, y), (field.right, y), "plane", "limits")
    for style, piece in traced.pieces(field):
        yield from (Path(part, style, "curves") for part in interrupted(piece, words))
    if wanted_rpm is not None:
        y = field.y(wanted_rpm)
        yield Line((field.left, y), (field.right, y), "aim", "limits")
    yield Circle(dot_of(one, field), DOT, "aim-mark", "curves")


def _higher(field: Field, traced: Traces, size: Px) -> Iterator[Shape]:
    """An arrow wherever the whip speed or a step leaves the picture, with a word where there is room for it."""
    reached, foot = field.left, field.top - 7.0
    for start, end in sorted({*field.beyond(traced.whip), *field.beyond(traced.steps)}):
        x = (start + end) / 2.0
        if x - 5.0 < reached:
            continue
        yield Path(((x, foot - 11.0), (x - 5.0, foot), (x + 5.0, foot)), "arrow", "labels", closed=True)
        word = Text((x + 9.0, foot - 1.0), "higher", size, "ink", "labels")
        fits = word.box.right <= field.right
        if fits:
            yield word
        reached = word.box.right if fits else x + 9.0


def _entries(one: BarSpeed, field: Field, traced: Traces, shown: Sequence[Level]) -> Iterator[Entry]:
    """What every line means, but for those that have their words at them."""
    states = ", the lowest of all modes and headstock positions" if len(one.courses) > 1 else ""
    share = f"{one.share:.0%} of whip, at most 80% of it with the softest supports"
    yield Entry(ruled("speed-whip"), f"whip: the critical speed{states}")
    yield Entry(banded, "the same with supports as soft and as stiff as they may be")
    yield Entry(ruled("speed-limit"), f"limit of this model: {share}")
    yield Entry(ruled("speed-step"), "speed limit in steps, with every limit counted")
    if one.bar.wanted_rpm is not None and any(step.limit_rpm < one.bar.wanted_rpm for step in one.steps):
        yield Entry(hatched, "the wanted speed is above the limit")
    if shown:
        yield Entry(ruled("plane"), "limit of a maker, or from a reading on site")
    if traced.resting:
        seen = any(True for _ in field.pieces(traced.resting))
        yield Entry(ruled("speed-resting"), NO_BASIS if seen else f"{NO_BASIS} (above this picture)")


def _notes(above: Sequence[Level], homeless: Sequence[str]) -> Iterator[str]:
    """What lies above the picture, and what found no room in it."""
    if above:
        yield f"Above this picture: {', '.join(level.beside for level in above)}."
    if homeless:
        yield f"Also in this picture: {', '.join(homeless)}."


def _described(one: BarSpeed, level_lines: Sequence[Level], units: Units) -> str:
    """The chart in words."""
    worst, wanted_rpm = one.worst.life.worst, one.bar.wanted_rpm
    model = next(limit for limit in one.limits if limit.of == MODEL)
    said = [
        f"From the full bar, {length(one.steps[0].longest_mm, units)}, to {length(one.steps[-1].shortest_mm, units)} left.",
        f"It whips first with {length(worst.length_mm, units)} left, at about {rpm(worst.whip_rpm)}.",
        f"Limit of this model {rpm(model.speed_rpm)}.",
        f"Other limits: {', '.join(level.beside for level in level_lines) or 'none stated'}.",
        f"Wanted {rpm(wanted_rpm, up=True)}." if wanted_rpm is not None else "No speed is stated.",
        f"In steps: {'; '.join(step_lines(one, units))}.",
    ]
    if any(course.spans.supports.liner for course in one.courses):
        said.append(f"A thin dashed curve: {NO_BASIS}.")
    return " ".join(said)
