"""The mark-out of a job: the loader's holes by two tapes from points found at the lathe, and the axis carried to the floor."""

from __future__ import annotations

import math
from dataclasses import dataclass

from standoff.errors import UsageError
from standoff.job.floor_places import Datums, first_mm
from standoff.job.floor_tables import MarkoutTable
from standoff.job.job import Job
from standoff.job.keys import defaulted_mm
from standoff.reading import rectangular_u_mm
from standoff.site.baseline import FloorPoint, Reference, baseline
from standoff.site.floor_axis import AxisMark, FarEnd, FloorAxis
from standoff.site.markout import Mark, MarkOut, mark_out
from standoff.site.reference_pairs import Pair, judge_pairs


@dataclass(frozen=True, slots=True, eq=False)
class Marking:
    """Points to be marked, where they are taped from, and how sure it is; `refused` says why there is no mark-out.

    `pairs` are all pairs of reference points, the best first; empty where the job names its baseline.
    """

    points: tuple[FloorPoint, ...]
    references: tuple[Reference, ...]
    tool: str
    may_be_off_mm: float | None
    pairs: tuple[Pair, ...]
    mark_out: MarkOut | None
    refused: str
    axis: FloorAxis | None
    far_end: FarEnd | None

    def sure_enough(self, mark: Mark) -> bool | None:
        """Whether a mark is sure to what a hole may be off; None where the job does not say how much that is."""
        return None if self.may_be_off_mm is None else mark.ellipse.semi_major_mm <= self.may_be_off_mm


def marking_of(job: Job, datums: Datums, *, rear_mm: float) -> Marking | None:
    """The mark-out at a standoff; None where nothing is to be marked and no axis is plumbed. `rear_mm`: the loader's rear end."""
    table = job.tables.markout
    points = points_of(job, datums)
    axis = _axis(table, datums) if table is not None else None
    if not points and axis is None:
        return None
    references = references_of(job, datums)
    tool = (table.tool if table is not None else None) or "tape"
    pairs, found, refused = _marked(table, references, points, tool)
    far_end = None if axis is None else axis.far_end(rear_mm)
    may_be_off_mm = first_mm(table.may_be_off) if table is not None else None
    return Marking(points, references, tool, may_be_off_mm, pairs, found, refused, axis, far_end)


def points_of(job: Job, datums: Datums) -> tuple[FloorPoint, ...]:
    """The feet that are drilled through, then the other marks, as sure as the readings that say where they are.

    Reference points are told from the cover, the loader stands by the adapter: any doubt between these two shifts every mark.
    """
    cover = job.readings.get("lathe.cover_to_adapter")
    cover_u_mm = 0.0 if cover is None else cover.u_mm
    feet = [(foot.name, foot.behind_clamp, foot.left) for foot in job.tables.feet if foot.marked]
    holes = [(hole.name, hole.behind, hole.left) for hole in job.tables.holes]
    return tuple(
        FloorPoint(
            name,
            datums.clamp_mm - behind[0].value_mm,
            left[0].value_mm,
            math.hypot(behind[0].u_mm, cover_u_mm),
            left[0].u_mm,
        )
        for name, behind, left in (*feet, *holes)
    )


def references_of(job: Job, datums: Datums) -> tuple[Reference, ...]:
    """The points found at the lathe; in each direction as unsure as the less sure of its two readings."""
    return tuple(
        Reference(
            point.name,
            datums.cover_mm - point.behind[0].value_mm,
            point.left[0].value_mm,
            max(point.behind[0].u_mm, point.left[0].u_mm),
        )
        for point in job.tables.reference_points
    )


def _marked(
    table: MarkoutTable | None, references: tuple[Reference, ...], points: tuple[FloorPoint, ...], tool: str
) -> tuple[tuple[Pair, ...], MarkOut | None, str]:
    """All pairs judged, the mark-out from the best or the named one, or why there is none."""
    if not points:
        return (), None, "nothing is to be marked: no hole, and no foot that is drilled through"
    named = {reference.name: reference for reference in references}
    try:
        if table is not None and table.first is not None and table.second is not None:
            base = baseline(named[table.first], named[table.second], taped=table.taped[0] if table.taped else None)
            return (), mark_out(points, base, source=tool), ""
        pairs = judge_pairs(references, points, source=tool)
        return pairs, pairs[0].mark_out, ""
    except UsageError as error:
        return (), None, f"found {error.found}, expected {error.expected}; {error.action}"


def _axis(table: MarkoutTable, datums: Datums) -> FloorAxis | None:
    """The axis on the floor, where both of its places are stated."""
    if not (table.axis_front and table.axis_rear):
        return None
    u_mm = rectangular_u_mm(defaulted_mm(table, MarkoutTable, "axis_error"))
    ends = (("axis, front", table.axis_front), ("axis, rear", table.axis_rear))
    front, rear = (AxisMark(name, datums.cover_mm - series[0].value_mm, u_mm) for name, series in ends)
    return FloorAxis(front, rear)
