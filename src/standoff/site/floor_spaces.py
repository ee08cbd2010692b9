"""Spaces that must stay free, judged: how far each reaches from where it begins to the first thing that stands in it.

The loader's own spaces go with it, and so do its other things: where they stand in them, they do so in every mode.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from standoff.site.floor import (
    DOOR,
    STANDS,
    TIE_MM,
    Body,
    FloorCheck,
    Grade,
    KeepOut,
    Owner,
    may_pass_above,
    shared_mm_of,
    strokes,
)
from standoff.site.footprint import Array, FloorPlace, Footprint, Shapes, apart, reaches_mm


def check_keep_outs(
    keep_outs: Sequence[KeepOut], bodies: Sequence[Body], *, shifts_mm: Sequence[float]
) -> tuple[FloorCheck, ...]:
    """Does every space stay free?

    How far each space reaches from where it begins to the first thing that stands in it. The loader's own spaces go with it to
    the shift of each mode; into the others the loader comes with its whole stroke. What moves with a space is judged against it
    once, standing. Two spaces may share a floor: people stand in either. What lies wholly above or below a space, or only
    touches it, and a way (aisle), do not stand in it.

    Args:
        keep_outs: the spaces, the loader's at shift 0.
        bodies: everything that stands there, the loader's at shift 0.
        shifts_mm: the loader's shift in each mode [mm].

    Returns:
        A row for each space and each body that stands in it, or beyond its end within as much again; standing and shifted.

    Validity: upright sides, convex outlines.
    Source: geometry.
    """
    found = []
    for space in keep_outs:
        for body in bodies:
            for state in judged_states(space, body, shifts_mm):
                row = space_row(space, body, state, shifts_mm)
                if row is not None:
                    found.append(row)
    return tuple(found)


def judged_states(space: KeepOut, body: Body, shifts_mm: Sequence[float]) -> tuple[str, ...]:
    """In which states a body may take a space's room: none for its own item, a way, or the loader that is moved aside."""
    away = space.loader_away and body.owner is Owner.LOADER
    if body.id == space.item or body.kind == "aisle" or away or shared_mm_of(space, body) <= TIE_MM:
        return ()
    apart_moving = _moves(space) is not _moves(body)
    return tuple(state for state, _ in strokes(shifts_mm) if state == STANDS or apart_moving)


def _moves(thing: KeepOut | Body) -> bool:
    """Whether it goes with the loader's shift."""
    return thing.owner is Owner.LOADER and thing.shifts


def space_row(space: KeepOut, body: Body, state: str, shifts_mm: Sequence[float]) -> FloorCheck | None:
    """One space and one body; None where the body does not stand in it, nor within as much again beyond it."""
    footprint = body.footprint
    if state != STANDS and _moves(body):
        footprint = footprint.swept(least_mm=min((0.0, *shifts_mm)), greatest_mm=max((0.0, *shifts_mm)))
    shape = np.array([footprint.shape])
    frees = [(float(free_mm_of(space, shape, by_mm)[0]), by_mm) for by_mm in places_mm(space, state, shifts_mm)]
    free_mm, by_mm = min(frees, key=lambda case: case[0])
    if not math.isfinite(free_mm):
        return None
    gap = apart(space.footprint.moved(by_x_mm=by_mm), footprint)
    return FloorCheck(
        id=f"{space.id}-{body.id}-{state}",
        what=f"{space.name} and {body.name}",
        between=(space.id, body.id),
        needed_mm=space.depth_mm,
        found_mm=free_mm,
        slack_mm=free_mm - space.depth_mm,
        above=False,
        vertical_mm=0.0,
        state=state,
        grade=_grade(space, body, free_mm - space.depth_mm),
        reason=space.reason,
        source=space.source,
        start_mm=gap.start_mm,
        end_mm=gap.end_mm,
    )


def places_mm(space: KeepOut, state: str, shifts_mm: Sequence[float]) -> tuple[float, ...]:
    """By how much a space is moved in a state: the loader's own by the shift of each mode. [mm]"""
    return tuple(sorted({0.0, *shifts_mm})) if state != STANDS and _moves(space) else (0.0,)


def free_mm_of(space: KeepOut, others: Shapes, by_mm: float) -> Array:
    """How far a space stays free of each of many things.

    Args:
        space: the space.
        others: areas or lines as the geometry library takes them.
        by_mm: by how much the space is moved along the axis [mm].

    Returns:
        The distances from where it begins, shape (n,) [mm]; of a box seen as far again beyond it, infinite where a thing does
        not stand there either.

    Validity: convex outlines.
    Source: geometry.
    """
    own, start = space.footprint.moved(by_x_mm=by_mm), _moved(space.start_mm, by_mm)
    free_mm = reaches_mm(own, others, start)
    if len(start) < 2 or np.isfinite(free_mm).all():
        return free_mm
    middle = ((start[0][0] + start[1][0]) / 2.0, (start[0][1] + start[1][1]) / 2.0)
    out_x_mm, out_y_mm = (2.0 * (c - m) for c, m in zip(own.centre_mm, middle, strict=True))
    beyond = Footprint(tuple((x + out_x_mm, y + out_y_mm) for x, y in own.corners_mm))
    beyond_mm = np.maximum(reaches_mm(beyond, others, start), space.depth_mm)
    return np.where(np.isfinite(free_mm), free_mm, beyond_mm)


def _grade(space: KeepOut, body: Body, slack_mm: float) -> Grade:
    if slack_mm >= -TIE_MM:
        return Grade.HOLDS
    if may_pass_above(body, low_mm=space.low_mm):
        return Grade.UNKNOWN
    return Grade.CLASH if space.reason == DOOR else Grade.NEAR


def _moved(places: tuple[FloorPlace, ...], by_x_mm: float) -> tuple[FloorPlace, ...]:
    return tuple((x + by_x_mm, y) for x, y in places)
