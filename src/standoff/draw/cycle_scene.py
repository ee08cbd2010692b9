"""A bar in motion: both machines at one moment of a bar cycle, on strips to scale, either still or for a page to move.

Everything stands where the layout puts it at that moment's travel; a page moves the layers by the moments' arrays and the scale
of each strip, so that nothing of the machines is typed there.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from standoff.draw.cycle_moment import Moment, failing_of, moment_of
from standoff.draw.cycle_names import LANE, Mark, lanes, names
from standoff.draw.cycle_parts import Set, machines
from standoff.draw.cycle_strips import Band, bands, form_of
from standoff.draw.elevation import NICE, Arrangement, Format
from standoff.draw.labels import LINE_SHARE, text_block, wrapped
from standoff.draw.parts import Stage
from standoff.draw.pose import Pose, pose
from standoff.draw.scene import Line, Px, Scene, Shape, Text
from standoff.job.cycle import Cycle
from standoff.job.cycle_speech import title
from standoff.job.placement import Placement
from standoff.job.speech import length
from standoff.model.requirement import Requirement
from standoff.model.station import Carrier
from standoff.units import Units, format_length

NOTE = "Lengths along the axis to scale on each strip; heights are symbols."


@dataclass(frozen=True, slots=True)
class Grid:
    """How a page finds a place on the axis of one strip: at `zero` + millimetres times `scale`."""

    zero: Px
    scale: float


def cycle_scene(
    placement: Placement, cycle: Cycle, number: int, *, arrangement: Arrangement = "wide", live: bool = False, heading: str = ""
) -> Scene:
    """The machines at a moment; `live` draws what opens and closes in both states, for a page to choose.

    Raises: UsageError for another arrangement.
    """
    form, shown, moment = form_of(arrangement), _pose(placement, cycle, number), moment_of(cycle, number)
    marks = _marks(placement, cycle, number)
    shapes: list[Shape] = []
    y = 0.3 * form.size
    if heading:
        lines = wrapped(heading, width=form.span[1] - form.span[0], size=form.size, bold=True)
        shapes += text_block(lines, at=(form.span[0], y + form.size), size=form.size, style="ink", layer="head", bold=True)
        y += (len(lines) * LINE_SHARE + 0.3) * form.size
    for i, band in enumerate(bands(cycle, shown, arrangement=arrangement)):
        drawn, y = _strip(i, band, form, shown, moment, marks, live=live, top=y, units=placement.job.units)
        shapes += drawn
    note = wrapped(NOTE, width=form.span[1] - form.span[0], size=form.size)
    shapes += text_block(note, at=(form.span[0], y + form.size), size=form.size, style="soft", layer="notes")
    return Scene(
        width=form.width,
        height=y + (len(note) * LINE_SHARE + 0.4) * form.size,
        title=f"{title(cycle)}: both machines, bar and pusher" if live else f"{title(cycle)}: {moment.step}",
        description=_described(placement, cycle, moment, marks, live=live),
        shapes=tuple(shapes),
    )


def grids(placement: Placement, cycle: Cycle, number: int, *, arrangement: Arrangement) -> tuple[Grid, ...]:
    """The strips of the scene as a page needs them to move what is on them."""
    found = bands(cycle, _pose(placement, cycle, number), arrangement=arrangement)
    return tuple(Grid(band.zero, band.scale) for band in found)


def nose_travel_mm(placement: Placement, cycle: Cycle, number: int) -> tuple[float, float]:
    """Between which travels of the headstock the nose goes with it: beyond them it is pushed in, or pulled out, to its end."""
    shown = _pose(placement, cycle, number)
    nose = shown.nose
    if not nose.telescopic:
        return shown.travel_mm, shown.travel_mm
    shortest_mm = nose.outer_end_mm - nose.root_mm
    longest_mm = shortest_mm + nose.tip_mm - nose.inner_mm
    seat_mm = nose.seat_mm - nose.root_mm
    return shown.travel_mm + shortest_mm - seat_mm, shown.travel_mm + longest_mm - seat_mm


def _pose(placement: Placement, cycle: Cycle, number: int) -> Pose:
    return pose(placement, mode=cycle.part.mode.name, headstock_mm=float(cycle.course.travel_mm[number]))


def _marks(placement: Placement, cycle: Cycle, number: int) -> tuple[Mark, ...]:
    """Everything that fails at some moment: a requirement at the station where its gap ends, a rule at the main collet."""
    layout = placement.layout
    values_mm = layout.values_mm(standoff_mm=placement.standoff_mm, cut_mm=placement.cut_mm)
    ends = {r.id: r.end for r in layout.judged() if isinstance(r, Requirement)}
    found = []
    for failing in failing_of(cycle):
        station = layout.station(ends.get(failing.id, "main-collet"))
        at_mm = station.offset.value(values_mm)
        if station.carrier is Carrier.HEADSTOCK:
            at_mm += float(cycle.course.travel_mm[number])
        elif station.carrier is Carrier.LOADER:
            at_mm += cycle.course.shift_mm - placement.standoff_mm
        found.append(Mark(failing.id, failing.title, at_mm, station.carrier, bool(failing.moments[number])))
    return tuple(found)


def _strip(
    number: int,
    band: Band,
    form: Format,
    shown: Pose,
    moment: Moment,
    marks: Sequence[Mark],
    *,
    live: bool,
    top: Px,
    units: Units,
) -> tuple[list[Shape], Px]:
    """One strip below `top`: its name and scale, the lanes of its names, the machines; with the y below it."""
    size = form.size
    head = _head(band, form, top + size, units, f"s{number}-head")
    lanes_top = top + LANE * size
    machines_top = lanes_top + (lanes(band, marks) * LANE + 0.5) * size
    stage = Stage(band.strip, machines_top - Stage(band.strip, 0.0, band.share, size).top, band.share, size)
    drawn = Set(number, band, stage, shown, moment, live)
    below = 2.9 * size if band.whole else 0.9 * size
    return [*head, *machines(drawn), *names(drawn, marks, top=lanes_top)], stage.floor + below


def _head(band: Band, form: Format, y: Px, units: Units, layer: str) -> tuple[Shape, ...]:
    """The strip's name, and its scale as a length that is drawn."""
    size, (left, right) = form.size, form.span
    length_mm = min(NICE[units], key=lambda mm: abs(mm * band.scale - 0.11 * form.width))
    label = Text((right, y), format_length(length_mm, units), size, "soft", layer, "end")
    end = label.box.left - 0.4 * size
    start, middle = end - length_mm * band.scale, y - 0.35 * size
    ticks = (Line((x, middle - 4.0), (x, middle + 4.0), "scale", layer) for x in (start, end))
    rule = Line((start, middle), (end, middle), "scale", layer)
    return Text((left, y), band.name, size, "soft", layer, bold=True), rule, *ticks, label


def _described(placement: Placement, cycle: Cycle, moment: Moment, marks: Sequence[Mark], *, live: bool) -> str:
    """The picture in words."""
    units = placement.job.units
    said = [f"{placement.job.loader} behind {placement.job.lathe}."]
    if live:
        said.append("The page moves it; the words below it say which step is shown.")
    said.append(
        f"Shown first: {moment.step}."
        if live
        else f"{moment.step[:1].upper()}{moment.step[1:]}: headstock {length(moment.travel_mm, units)} ahead of the first mode's"
        f" rear limit, collet {'closed' if moment.collet_closed else 'open'},"
        f" gripper {'closed' if moment.gripper_closed else 'open'};"
        f" {length(moment.front_mm - moment.rear_mm, units)} of bar."
    )
    said += [f"Fails here: {mark.title.lower()}." for mark in marks if mark.now]
    return " ".join(said)
