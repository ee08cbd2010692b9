"""The sheet: the whole answer on one drawing, the sentence first, then the elevation, the conditions, method and caution."""

from __future__ import annotations

from standoff.draw.conditions import conditions
from standoff.draw.elevation import FORMATS, Arrangement, elevation
from standoff.draw.labels import LINE_SHARE, text_block, wrapped
from standoff.draw.pose import STATES
from standoff.draw.scene import Line, Px, Scene, Shape, moved
from standoff.draw.slacks import slacks
from standoff.errors import UsageError
from standoff.job.caution import LOCKOUT
from standoff.job.placement import Placement
from standoff.job.speech import headline, spoken
from standoff.model.state import REAR_LIMIT

METHOD = (
    "Method: every gap is a sum of measured lengths; each requirement bounds the standoff; the guard band is 1.645 times the"
    " standard uncertainty of each slack (JCGM 100, JCGM 106)."
)


def sheet(placement: Placement, *, mode: str | None = None, state: str | None = None, arrangement: Arrangement = "wide") -> Scene:
    """One sheet with the answer to a job; without `mode` or `state` the drawing shows a requirement that binds."""
    if arrangement not in FORMATS:
        raise UsageError(what="arrangement", given=str(arrangement), allowed=", ".join(FORMATS))
    form = FORMATS[arrangement]
    binding_mode, binding_state = shown_by_default(placement)
    if mode is None:
        mode = binding_mode
        state = state or binding_state
    picture = elevation(placement, mode=mode, state=state, arrangement=arrangement)
    chart = conditions(placement, arrangement=arrangement)
    spare = slacks(placement, arrangement=arrangement)
    shapes, y = _said(placement, form.span, form.size)
    for part in (picture, chart, spare):
        shapes += [Line((form.span[0], y), (form.span[1], y), "rule", "sheet")]
        shapes += moved(part.shapes, down=y + 0.4 * form.size)
        y += part.height + 0.9 * form.size
    foot, height = _foot(form.span, form.size, y)
    return Scene(
        width=form.width,
        height=height,
        title=f"{placement.job.title}: {headline(placement)}",
        description=f"{spoken(placement)} {picture.description} {chart.description} {spare.description} {LOCKOUT}",
        shapes=(*shapes, *foot),
    )


def shown_by_default(placement: Placement) -> tuple[str, str]:
    """Mode and state of a binding row: the first one whose state can be drawn, else the first mode at its rear limit."""
    for judged in placement.rows:
        if judged.binding and judged.row.mode is not None and judged.row.state in STATES:
            return judged.row.mode, judged.row.state
    return placement.layout.modes[0].name, REAR_LIMIT


def _said(placement: Placement, span: tuple[Px, Px], size: Px) -> tuple[list[Shape], Px]:
    """Title, verdict, and what to do."""
    left, right = span
    y, shapes = 0.5 * size, list[Shape]()
    site = f", {placement.job.site}" if placement.job.site else ""
    for words, share, style, bold in (
        (f"{placement.job.title}{site}", 1.0, "soft", False),
        (spoken(placement), 1.35, "ink", True),
        (headline(placement), 1.1, "ink", False),
    ):
        lines = wrapped(words, width=right - left, size=share * size, bold=bold)
        shapes += text_block(lines, at=(left, y + share * size), size=share * size, style=style, layer="sheet", bold=bold)
        y += len(lines) * share * size * LINE_SHARE + 0.35 * size
    return shapes, y + 0.4 * size


def _foot(span: tuple[Px, Px], size: Px, y: Px) -> tuple[list[Shape], Px]:
    """Caution and method."""
    left, right = span
    lines = wrapped(LOCKOUT, width=right - left - size, size=size)
    height = len(lines) * LINE_SHARE * size
    shapes: list[Shape] = [
        Line((left + 2.5, y), (left + 2.5, y + height + 0.3 * size), "caution", "sheet"),
        *text_block(lines, at=(left + size, y + size), size=size, style="ink", layer="sheet"),
    ]
    y += height + 0.9 * size
    method = wrapped(METHOD, width=right - left, size=size)
    shapes += text_block(method, at=(left, y + size), size=size, style="soft", layer="sheet")
    return shapes, y + (len(method) * LINE_SHARE + 0.5) * size
