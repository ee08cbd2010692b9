"""Where everything is on the axis for one part at one standoff, asked of the layout before the motions begin."""

from __future__ import annotations

from dataclasses import dataclass

from standoff.job.job import Job
from standoff.job.parts import Part, Reach
from standoff.model.state import BAR_CHANGE, FRONT_LIMIT, REAR_LIMIT


@dataclass(frozen=True, slots=True)
class Places:
    """Travels of the headstock, and places on the axis. [mm]

    `collet_front_mm`: how far the main collet's front end lies ahead of its back, 0 where no support says so.
    `pusher_slips`: whether the pusher's head is known to be thin enough to go through the open collet.
    """

    sliding: bool
    rear_mm: float
    front_mm: float
    change_mm: float
    end_mm: float
    shift_mm: float
    gripper_mm: float
    loaded_rear_mm: float
    collet_ahead_mm: float
    collet_front_mm: float
    pusher_slips: bool
    reach: Reach

    def collet_mm(self, travel_mm: float) -> float:
        """The back of the main collet at a travel. [mm]"""
        return travel_mm + self.collet_ahead_mm


def places_of(job: Job, part: Part, *, standoff_mm: float, cut_mm: float) -> Places:
    """All of it. A bar whose loading position is not stated lies with its front at the clamp, or its rear at the gripper."""
    layout = job.layout
    values_mm = layout.values_mm(standoff_mm=standoff_mm, cut_mm=cut_mm)
    change = part.mode.at(BAR_CHANGE)
    clamp_mm, gripper_mm = (layout.place(name, change).value(values_mm) for name in ("clamp", "gripper"))
    cycle = job.tables.cycle
    loaded = cycle.loaded_behind_clamp if cycle is not None else None
    return Places(
        sliding=job.sliding,
        rear_mm=part.mode.at(REAR_LIMIT).headstock.value(values_mm),
        front_mm=part.mode.at(FRONT_LIMIT).headstock.value(values_mm),
        change_mm=change.headstock.value(values_mm),
        end_mm=part.travel_end_mm,
        shift_mm=part.mode.shift.value(values_mm),
        gripper_mm=gripper_mm,
        loaded_rear_mm=clamp_mm - loaded[0].value_mm if loaded else min(clamp_mm - part.bar_mm, gripper_mm),
        collet_ahead_mm=layout.station("main-collet").offset.value(values_mm),
        collet_front_mm=_collet_front_mm(job, part),
        pusher_slips=_pusher_slips(job, part),
        reach=part.reach,
    )


def _collet_front_mm(job: Job, part: Part) -> float:
    """How far the main collet reaches ahead of its back, by its support; 0 where none says so. [mm]"""
    ahead_mm = (
        support.ahead[0].value_mm
        for support in job.tables.supports
        if support.kind == "collet" and support.station == "main-collet" and support.ahead
        if support.mode in (None, part.mode.name)
    )
    return max(next(ahead_mm, 0.0), 0.0)


def _pusher_slips(job: Job, part: Part) -> bool:
    """Whether what leads the pusher is stated and no thicker than the bar, so that it goes through a collet open for the bar."""
    path = job.tables.bar_path
    bar = next((bar for bar in job.tables.bars if bar.name == part.bar_name), None)
    if path is None or bar is None:
        return False
    head = path.pusher_collet_od if part.reach.insertion_mm > 0.0 else path.pusher_od
    return head is not None and head[0].value_mm <= bar.size[0].value_mm
