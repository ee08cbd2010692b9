"""The floor plan as a ground: machines, building, what must stay free, the axis, feet and marks, and the distances that matter.

Everything is read from the plan; nothing is placed here. A distance that does not hold has a letter, the same in the picture, in
its key and in the tables beside it, and the two things it lies between have a heavy outline.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from string import ascii_uppercase

from standoff.draw.building import PlanLine, clipped
from standoff.draw.ground import FloorXY, Ground, Label, Measure, Outline, Piece, Ring
from standoff.draw.markout import mark_out_ground, mark_words
from standoff.job.floor_plan import FloorPlan
from standoff.job.floor_speech import shown_rows
from standoff.job.speech import length
from standoff.site.baseline import FloorPoint, Reference
from standoff.site.floor import STANDS, Body, FloorCheck, Grade, KeepOut, Owner
from standoff.site.markout import MarkOut
from standoff.site.nose_way import NOSE
from standoff.units import Units

AROUND_MM = 900.0
"""So much of a building's plan is shown around everything else."""
MOST_LETTERS = 10
FOOT_MM = 40.0
"""The radius of a foot whose pad nobody stated, and of a mark."""

BLOCKS: Mapping[Owner, str] = {Owner.LOADER: "loader", Owner.LATHE: "lathe", Owner.BUILDING: ""}
LAYERS: Mapping[Owner, str] = {Owner.LOADER: "loader", Owner.LATHE: "lathe", Owner.BUILDING: "building"}


def floor_ground(plan: FloorPlan, *, marks: bool = False) -> Ground:
    """The drawing of a floor plan; with `marks` also the tapes and true ellipses of the mark-out, as a CAD file holds them."""
    units = plan.job.units
    pieces: list[Piece] = [*_building_lines(plan), *_joints(plan), *_axis(plan)]
    for body in plan.bodies:
        pieces += _body(body)
    for space in plan.keep_outs:
        pieces.append(Outline(space.footprint.corners_mm, _space_style(space), "keep-out", block=BLOCKS[space.owner]))
        pieces.append(Label(space.footprint.centre_mm, space.name, _room(space), block=BLOCKS[space.owner]))
    pieces += [*_shifted(plan), *_feet(plan), *_checks(plan), _standoff(plan)]
    notes = _notes(plan)
    if marks and plan.marking is not None and plan.marking.mark_out is not None:
        pieces += _marks(plan.marking.mark_out, plan)
        notes = (*notes, *_mark_lines(plan.marking.mark_out, units))
    return Ground(
        title=f"Floor plan: {plan.job.title}",
        description=_described(plan),
        pieces=tuple(pieces),
        blocks={"loader": (plan.datums.clamp_mm, 0.0), "lathe": (0.0, 0.0)},
        notes=notes,
    )


def _marks(found: MarkOut, plan: FloorPlan) -> Iterator[Piece]:
    """Tapes, marks and true ellipses; reference points and marks that are no feet have their names."""
    drawn = mark_out_ground(found, units=plan.job.units, enlarged=False).pieces
    yield from (piece for piece in drawn if not isinstance(piece, Measure | Label))
    feet = {pad.name for pad in plan.pads}
    points: list[Reference | FloorPoint] = [found.baseline.first, found.baseline.second]
    for point in (*points, *(mark.point for mark in found.marks)):
        if point.name not in feet:
            yield Label((point.x_mm, point.y_mm), point.name)


def _mark_lines(found: MarkOut, units: Units) -> tuple[str, ...]:
    """Every mark in words, as a sheet for the floor has them."""
    first, second = found.baseline.first.name, found.baseline.second.name
    return tuple(mark_words(mark, units, first_name=first, second_name=second) for mark in found.marks)


def letters_of(plan: FloorPlan) -> dict[str, str]:
    """The letter of each distance that has one, by the id of its row: what does not hold, or else the tightest that do.

    Standing and shifted the same two things have one letter. Things above one another have no distance in the plan.
    """
    rows = [row for row in plan.failing or shown_rows(plan) if not row.above]
    letters: dict[tuple[str, str], str] = {}
    for row in rows:
        if row.between not in letters and len(letters) < MOST_LETTERS:
            letters[row.between] = ascii_uppercase[len(letters)]
    return {row.id: letters[row.between] for row in rows if row.between in letters}


def distance_words(row: FloorCheck, plan: FloorPlan) -> str:
    """A row of the checks in a few words."""
    units = plan.job.units
    found, needed = length(abs(row.found_mm), units), length(row.needed_mm, units)
    state = "" if row.state == STANDS else ", loader shifted"
    if row.grade is Grade.UNKNOWN:
        told = "height not stated"
    elif row.between[0] in {space.id for space in plan.keep_outs}:
        told = f"free for {found}, {needed} needed"
    elif row.between[0] == NOSE:
        told = "in its way"
    elif row.grade is Grade.CLASH:
        told = f"run {found} into each other"
    else:
        told = f"{found} apart, {needed} needed"
    return f"{row.what}: {told}{state}"


def _building_lines(plan: FloorPlan) -> Iterator[Piece]:
    (low_x, high_x), (low_y, high_y) = plan.extent_mm
    lines = [PlanLine("", line.footprint.corners_mm) for line in plan.lines]
    low_mm, high_mm = (low_x - AROUND_MM, low_y - AROUND_MM), (high_x + AROUND_MM, high_y + AROUND_MM)
    for line in clipped(lines, low_mm=low_mm, high_mm=high_mm):
        yield Outline(line.points_mm, "plan-import", "plan", closed=False)


def _joints(plan: FloorPlan) -> Iterator[Piece]:
    for joint in plan.joints:
        yield Outline((joint.start_mm, joint.end_mm), "plan-joint", "joint", closed=False)
        yield Label(_between(joint.start_mm, joint.end_mm), joint.name)


def _axis(plan: FloorPlan) -> Iterator[Piece]:
    (low_x, high_x), _ = plan.extent_mm
    yield Outline(((low_x, 0.0), (high_x, 0.0)), "axis", "axis", closed=False)
    axis = plan.marking.axis if plan.marking is not None else None
    for mark in () if axis is None else (axis.front, axis.rear):
        yield Ring((mark.x_mm, 0.0), FOOT_MM, "plan-reference", "marks")
        yield Label((mark.x_mm, 0.0), f"{mark.name}: plumbed to the floor", minor=True)


def _body(body: Body) -> Iterator[Piece]:
    footprint, block = body.footprint, BLOCKS[body.owner]
    yield Outline(footprint.corners_mm, _style(body), LAYERS[body.owner], footprint.closed, block)
    yield Label(footprint.centre_mm, body.name, _room(body) if footprint.closed else (0.0, 0.0), block=block)


def _style(body: Body) -> str:
    if not body.footprint.closed:
        return "plan-wall"
    if body.kind == "aisle":
        return "plan-aisle"
    if body.owner is Owner.LOADER:
        return "plan-loader"
    return "plan-lathe" if body.kind == "lathe" else "plan-building"


def _space_style(space: KeepOut) -> str:
    return "plan-keep-loader" if space.owner is Owner.LOADER else "plan-keep"


def _room(thing: Body | KeepOut) -> FloorXY:
    """How wide and high the box around a thing is."""
    (left, right), (low, high) = thing.footprint.x_range_mm, thing.footprint.y_range_mm
    return right - left, high - low


def _shifted(plan: FloorPlan) -> Iterator[Piece]:
    """The loader at the ends of its shift stroke."""
    for by_mm in plan.stroke_mm:
        for body in plan.bodies:
            if by_mm != 0.0 and body.owner is Owner.LOADER:
                moved = body.footprint.moved(by_x_mm=by_mm)
                yield Outline(moved.corners_mm, "plan-shifted", "loader", moved.closed, "loader")


def _feet(plan: FloorPlan) -> Iterator[Piece]:
    for pad in plan.pads:
        radius_mm = FOOT_MM if pad.area_mm2 is None else math.sqrt(pad.area_mm2 / math.pi)
        yield Ring((pad.x_mm, pad.y_mm), radius_mm, "plan-foot", "feet", "loader")
        yield Label((pad.x_mm, pad.y_mm), pad.name, block="loader", minor=True)


def _checks(plan: FloorPlan) -> Iterator[Piece]:
    """The distances with a letter; what fails has a heavy outline."""
    letters, drawn = letters_of(plan), set[str]()
    things: dict[str, Body | KeepOut] = {thing.id: thing for thing in (*plan.bodies, *plan.lines)}
    things |= {} if plan.nose is None else {plan.nose.id: plan.nose}
    things |= {space.id: space for space in plan.keep_outs}
    for row in shown_rows(plan):
        if row.id not in letters or letters[row.id] in drawn:
            continue
        drawn.add(letters[row.id])
        holds = row.grade is Grade.HOLDS
        for thing in () if holds else [things[one] for one in row.between if one in things]:
            corners, closed = thing.footprint.corners_mm, thing.footprint.closed
            yield Outline(corners, "plan-struck", "clearances", closed, BLOCKS[thing.owner])
        words, style = distance_words(row, plan), "dimension" if holds else "clash"
        if math.dist(row.start_mm, row.end_mm) < 1.0:
            yield Label(row.start_mm, words, style="ink" if holds else "clash", sign=letters[row.id])
        else:
            yield Measure(row.start_mm, row.end_mm, words, layer="clearances", style=style, sign=letters[row.id])


def _standoff(plan: FloorPlan) -> Measure:
    """The standoff, its line beside the loader."""
    sides = [body.footprint.y_range_mm[1] for body in plan.bodies if body.owner is Owner.LOADER] or [300.0]
    words = f"standoff {length(plan.standoff_mm, plan.job.units)}"
    return Measure((plan.datums.clamp_mm, 0.0), (0.0, 0.0), words, off_mm=max(sides) + 250.0, sign="S")


def _between(one: FloorXY, other: FloorXY) -> FloorXY:
    return (one[0] + other[0]) / 2.0, (one[1] + other[1]) / 2.0


def _notes(plan: FloorPlan) -> tuple[str, ...]:
    """What the lines mean."""
    notes = ["Dashed outlines must stay free."]
    if any(plan.stroke_mm):
        notes[0] += " Dotted: the loader at the end of its shift."
    if plan.joints:
        notes[0] += " Long dashes and dots: a joint of the slab."
    if plan.lines:
        notes[0] += " Thin lines: the building's plan."
    return tuple(notes)


def _described(plan: FloorPlan) -> str:
    """The plan in words."""
    things: Sequence[Body | KeepOut] = (*plan.bodies, *plan.keep_outs)
    told = "; ".join(f"{thing.name}, {_where(thing.footprint.centre_mm)}" for thing in things)
    failing = "; ".join(distance_words(row, plan) for row in plan.failing[:MOST_LETTERS])
    return f"Seen from above, forward is towards the work. {told}. {f'Not as needed: {failing}.' if failing else ''}".strip()


def _where(place: FloorXY) -> str:
    along = "ahead of" if place[0] >= 0.0 else "behind"
    side = "left of" if place[1] > 1.0 else "right of" if place[1] < -1.0 else "on"
    return f"{along} the adapter and {side} the axis"
