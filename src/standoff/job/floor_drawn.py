"""The lines of a building's plan as obstacles: against the loader, against what must stay free, and against the axis behind it.

A plan may have ten thousand lines, and a line many pieces: each is judged piece by piece, and of each layer only the worst one is
told. How high they are nobody knows, so that nothing passes above or below them.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from standoff.job.caution import CRUSH_GAPS_MM, Caution
from standoff.job.floor_needs import BEYOND_MM, need_of, passage_of
from standoff.job.floor_places import PRACTICE, Datums, first_mm, loaders_of
from standoff.job.job import Job
from standoff.job.speech import length
from standoff.site.drawing import Drawing
from standoff.site.floor import PLAN, TIE_MM, Body, FloorCheck, KeepOut, Owner, Pair, check_pairs
from standoff.site.floor_spaces import free_mm_of, judged_states, places_mm, space_row
from standoff.site.footprint import FloorPlace, Footprint, box, nearest

NEAR_MM = 3000.0
"""A line of a building's plan farther than this from lathe and loader is not judged, where no more room is asked for."""

DRAWN_OFF_MM = 50.0
"""A wall drawn nearer than it was taped by no more than this is no contradiction: plans are no surveys (our choice)."""

AXIS_MM = 1.0
"""What comes as near as this to the axis crosses it."""


@dataclass(frozen=True, slots=True)
class BuildingLine:
    """A line of a building's plan, by its layer; its points in the plan's coordinates of this program [mm]."""

    layer: str
    points_mm: tuple[FloorPlace, ...]


def drawn_lines(lines: Sequence[BuildingLine]) -> tuple[Body, ...]:
    """The building's lines as things on the floor; a line without length is none."""
    return tuple(
        Body(
            id=f"plan-{i}",
            name=f"{line.layer} (building's plan)",
            kind=PLAN,
            owner=Owner.BUILDING,
            footprint=Footprint(line.points_mm, closed=False),
            low_mm=0.0,
            high_mm=math.inf,
            height_stated=False,
        )
        for i, line in enumerate(lines)
        if len(set(line.points_mm)) > 1
    )


def swept(body: Body, shifts_mm: Sequence[float]) -> Footprint:
    """What a thing covers over the whole stroke of the loader's shift, if it moves with it."""
    if body.owner is not Owner.LOADER or not body.shifts:
        return body.footprint
    return body.footprint.swept(least_mm=min((0.0, *shifts_mm)), greatest_mm=max((0.0, *shifts_mm)))


def comes_near(drawing: Drawing, bodies: Sequence[Body], shifts_mm: Sequence[float]) -> bool:
    """Whether a line of the plan comes within what is looked at around lathe and loader."""
    around = [swept(body, shifts_mm) for body in bodies if body.owner is Owner.LOADER or body.kind == "lathe"]
    near = drawing.near(around, within_mm=NEAR_MM)
    return any(bool((near.distances_mm(footprint) <= NEAR_MM).any()) for footprint in around)


def drawn_rows(
    job: Job, bodies: Sequence[Body], keep_outs: Sequence[KeepOut], drawing: Drawing, shifts_mm: Sequence[float]
) -> tuple[FloorCheck, ...]:
    """Of each layer the line that is worst for each thing of the loader, if one is near, and for each space."""
    worst: dict[tuple[str, str, str], FloorCheck] = {}
    for row in (*_pair_rows(job, bodies, drawing, shifts_mm), *_space_rows(keep_outs, drawing, shifts_mm)):
        key = (row.between[0], row.what, row.state)
        if key not in worst or row.slack_mm < worst[key].slack_mm:
            worst[key] = row
    return tuple(worst.values())


def _pair_rows(job: Job, bodies: Sequence[Body], drawing: Drawing, shifts_mm: Sequence[float]) -> Iterator[FloorCheck]:
    ours, loaders = [body for body in bodies if body.owner is Owner.LOADER], loaders_of(bodies)
    for own in ours:
        needs = {behind: need_of(job, own, drawing.lines[0], behind=behind) for behind in (False, True)} if drawing.lines else {}
        reach_mm = max([NEAR_MM, *(need.clearance_mm for need in needs.values())])
        areas = [own.footprint, swept(own, shifts_mm)]
        for _, layer in drawing.near(areas, within_mm=reach_mm).layers():
            pairs = [Pair(own, layer.piece(i), needs[False]) for i in nearest(areas, layer.pieces)]
            for loader in loaders:
                behind = layer.inside(_room_behind(loader))
                pairs += [Pair(passage_of(own), behind.piece(i), needs[True]) for i in nearest(areas, behind.pieces)]
            rows = check_pairs(pairs, shifts_mm=shifts_mm)
            yield from (row for row in rows if row.found_mm <= max(NEAR_MM, row.needed_mm))


def _room_behind(loader: Body) -> Footprint:
    """All that lies behind the loader over its width."""
    (least_mm, greatest_mm), rear_mm = loader.footprint.y_range_mm, loader.footprint.x_range_mm[0]
    return box(
        least_x_mm=rear_mm - BEYOND_MM,
        greatest_x_mm=rear_mm + TIE_MM,
        least_y_mm=least_mm,
        greatest_y_mm=greatest_mm,
    )


def _space_rows(keep_outs: Sequence[KeepOut], drawing: Drawing, shifts_mm: Sequence[float]) -> Iterator[FloorCheck]:
    for space in keep_outs:
        moved = [space.footprint.moved(by_x_mm=by) for by in {0.0, *shifts_mm}]
        for _, layer in drawing.near(moved, within_mm=space.depth_mm).layers():
            for state in judged_states(space, drawing.lines[0], shifts_mm):
                free_mm = np.min([free_mm_of(space, layer.pieces, by) for by in places_mm(space, state, shifts_mm)], axis=0)
                row = space_row(space, layer.piece(int(np.argmin(free_mm))), state, shifts_mm)
                if row is not None:
                    yield row


def closing_gaps_mm(job: Job, bodies: Sequence[Body], drawing: Drawing, shifts_mm: Sequence[float]) -> Mapping[str, float]:
    """To which lines, by their layer, the shift closes a gap below the limit, and how far. [mm]"""
    limit_mm = CRUSH_GAPS_MM[job.crush_part]
    found: dict[str, float] = {}
    for own in (body for body in bodies if body.owner is Owner.LOADER):
        whole = swept(own, shifts_mm)
        for name, layer in drawing.near([whole], within_mm=limit_mm).layers():
            closed_mm = layer.distances_mm(whole)
            closes = (closed_mm < limit_mm) & (closed_mm < layer.distances_mm(own.footprint) - 1.0)
            if closes.any():
                found[name] = min(float(closed_mm[closes].min()), found.get(name, math.inf))
    return found


def drawn_questions(job: Job, datums: Datums, drawing: Drawing) -> Iterator[Caution]:
    """A line of the plan that closes the axis nearer than the wall was taped."""
    taped_mm = first_mm(job.tables.lathe.cover_to_wall)
    if taped_mm is None:
        return
    cover_mm = datums.cover_mm
    way = box(least_x_mm=cover_mm - taped_mm + DRAWN_OFF_MM, greatest_x_mm=cover_mm, least_y_mm=-AXIS_MM, greatest_y_mm=AXIS_MM)
    for name, layer in drawing.inside(way).layers():
        at_mm = cover_mm - max(layer.piece(i).footprint.x_range_mm[1] for i in range(len(layer.of)))
        yield Caution(
            "plan-wall",
            f"{name} closes the axis {length(at_mm, job.units)} behind the cover, where lathe.cover_to_wall is"
            f" {length(taped_mm, job.units)}: which is right? Tape it again, or check where the lathe stands in the plan. The"
            " nearer one was judged.",
            PRACTICE,
        )
