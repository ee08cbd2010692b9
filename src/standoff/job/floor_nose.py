"""Where the nose of a job goes from the loader to the lathe, and what stands in its way."""

from __future__ import annotations

import math
from collections.abc import Sequence

from standoff.job.floor_places import STATED, Datums, first_mm, loaders_of
from standoff.job.job import Job
from standoff.site.drawing import Drawing
from standoff.site.floor import TIE_MM, Body, FloorCheck, Owner
from standoff.site.footprint import box
from standoff.site.nose_way import NOSE, check_nose_way

LEAST_HALF_MM = 25.0
"""Half of what a nose is wide at least, with the bar in it (our choice)."""


def nose_way_of(job: Job, datums: Datums, bodies: Sequence[Body], shifts_mm: Sequence[float]) -> Body | None:
    """The room between the cover and the loader's body where that stands farthest back; None where there is none between them.

    Where nobody said how high the axis is, it lies within the loader's range, or somewhere within its body.
    """
    loaders = loaders_of(bodies)
    if not loaders:
        return None
    front_mm = max(body.footprint.x_range_mm[1] for body in loaders) + min((0.0, *shifts_mm))
    if front_mm >= datums.cover_mm - TIE_MM:
        return None
    half_mm, (low_mm, high_mm, stated) = half_mm_of(job), _heights_mm(job, loaders)
    footprint = box(least_x_mm=front_mm, greatest_x_mm=datums.cover_mm, least_y_mm=-half_mm, greatest_y_mm=half_mm)
    return Body(NOSE, "way of the nose", NOSE, Owner.LOADER, footprint, max(low_mm, 0.0), high_mm, height_stated=stated)


def half_mm_of(job: Job) -> float:
    """Half of what the nose is wide: what goes through it, as far as it is stated. [mm]"""
    path = job.tables.bar_path
    stated = () if path is None else (first_mm(path.pusher_od), first_mm(path.pusher_collet_od))
    return max(LEAST_HALF_MM, *(across_mm / 2.0 for across_mm in stated if across_mm is not None), 0.0)


def _heights_mm(job: Job, loaders: Sequence[Body]) -> tuple[float, float, bool]:
    """From which height to which the nose reaches, or may [mm], and whether it is stated."""
    half_mm, lathe = half_mm_of(job), first_mm(job.tables.lathe.centre_height)
    if lathe is not None:
        return lathe - half_mm, lathe + half_mm, True
    span = [series[0].value_mm for series in job.tables.loader.centre_height or ()]
    if span:
        return min(span) - half_mm, max(span) + half_mm, False
    tops = [body.high_mm for body in loaders if math.isfinite(body.high_mm)]
    return min(body.low_mm for body in loaders), max(tops, default=math.inf), False


def nose_rows(way: Body | None, bodies: Sequence[Body], drawing: Drawing) -> tuple[FloorCheck, ...]:
    """Whatever stands in the way of the nose; of each layer of a building's plan one line."""
    if way is None:
        return ()
    things = [body for body in bodies if not _carries(body)]
    things += [layer.piece(0) for _, layer in drawing.inside(way.footprint).layers()]
    return check_nose_way(way, things, source=STATED)


def _carries(body: Body) -> bool:
    """Whether a thing may lie around the nose: both machines with their parts; and a way, that nobody stands in."""
    part = body.owner is Owner.LATHE and body.kind in ("lathe", "other")
    return body.owner is Owner.LOADER or part or body.kind == "aisle"
