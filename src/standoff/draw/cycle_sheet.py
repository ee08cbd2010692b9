"""A part's bar cycle on one sheet: whether a whole bar runs through, three moments of it, the traces of the gaps, the caution."""

from __future__ import annotations

from standoff.draw.cycle_moment import milestones
from standoff.draw.cycle_scene import cycle_scene
from standoff.draw.cycle_strips import form_of
from standoff.draw.cycle_traces import traces
from standoff.draw.elevation import Arrangement
from standoff.draw.labels import LINE_SHARE, text_block, wrapped
from standoff.draw.scene import Line, Scene, Shape, moved
from standoff.job.cycle import Cycle
from standoff.job.cycle_speech import CAUTION, alarm_lines, tightest_line, title, trouble_line, verdict_line
from standoff.job.placement import Placement


def cycle_sheet(placement: Placement, cycle: Cycle, *, arrangement: Arrangement = "wide") -> Scene:
    """The sheet of one part. Raises: UsageError for another arrangement."""
    form = form_of(arrangement)
    (left, right), y, shapes = form.span, 0.4 * form.size, list[Shape]()

    def say(words: str, share: float, style: str, bold: bool) -> None:
        nonlocal y
        size = share * form.size
        lines = wrapped(words, width=right - left, size=size, bold=bold)
        shapes.extend(text_block(lines, at=(left, y + size), size=size, style=style, layer="sheet", bold=bold))
        y += len(lines) * size * LINE_SHARE + 0.35 * form.size

    say(f"{placement.job.title}: {title(cycle)}", 1.0, "soft", False)
    say(verdict_line(cycle), 1.35, "ink", True)
    further = [f"Then: {trouble_line(trouble, placement.job.units)}" for trouble in cycle.troubles[1:]]
    for line in (*(further if cycle.troubles else [tightest_line(cycle)]), *alarm_lines(cycle)):
        say(line, 1.0, "ink", False)
    stills = [cycle_scene(placement, cycle, number, arrangement=arrangement, heading=h) for h, number in milestones(cycle)]
    for part in (*stills, traces(cycle, arrangement=arrangement)):
        shapes.append(Line((left, y), (right, y), "rule", "sheet"))
        shapes += moved(part.shapes, down=y + 0.3 * form.size)
        y += part.height + 0.8 * form.size
    say(CAUTION, 1.0, "ink", False)
    return Scene(
        width=form.width,
        height=y + 0.4 * form.size,
        title=f"Bar cycle, {placement.job.title}: {title(cycle)}",
        description=f"{verdict_line(cycle)} {traces(cycle).description} {CAUTION}",
        shapes=tuple(shapes),
    )
