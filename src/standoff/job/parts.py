"""A part of the job with everything that follows from it before anything moves: feeds, shortest remnant, count."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from standoff.bar.yields import Cutting, cut_up
from standoff.errors import JobFileError, Problem
from standoff.job.bars import longest_bar_mm
from standoff.job.job import Job
from standoff.job.keys import defaulted_mm
from standoff.job.part_tables import CycleTable, PartTable
from standoff.model.state import FRONT_LIMIT, REAR_LIMIT, Mode
from standoff.units import ON_STEP_MM, Units, format_length

MOST_FEEDS = 20
"""More feeds for one part than this are a mistaken figure (our choice)."""


@dataclass(frozen=True, slots=True)
class Reach:
    """Where the last cut-off leaves things, on the axis [mm]: why the shortest remnant is as long as it is.

    K: cut-off plane. C: back of the main collet at the last cut-off. X: pusher's tip at its forward limit. i: depth of the bar's
    end in the pusher collet, 0 where the job does not state it. p: how far the pusher may enter the collet's back. The remnant
    is K - min(C + p, X) + i.
    """

    cut_off_mm: float
    collet_mm: float
    tip_limit_mm: float
    insertion_mm: float
    into_collet_mm: float
    insertion_stated: bool = True

    @property
    def tip_end_mm(self) -> float:
        """How far the pusher's tip may come at the last cut-off. [mm]"""
        return min(self.collet_mm + self.into_collet_mm, self.tip_limit_mm)

    @property
    def remnant_mm(self) -> float:
        """The shortest remnant. [mm]"""
        return self.cut_off_mm - self.tip_end_mm + self.insertion_mm

    @property
    def shortfall_mm(self) -> float:
        """How much of it comes from a pusher that does not reach. [mm]"""
        return max(self.collet_mm + self.into_collet_mm - self.tip_limit_mm, 0.0)

    @property
    def gripped_mm(self) -> float:
        """From the collet's back, or the bar's end where that lies ahead of it, to the cut-off plane. [mm]"""
        return min(self.cut_off_mm - self.collet_mm, self.remnant_mm)


@dataclass(frozen=True, slots=True)
class Part:
    """A part, the bar it is made from, and the mode it is made in, at one standoff."""

    table: PartTable
    mode: Mode
    bar_name: str
    bar_mm: float
    length_mm: float
    cut_mm: float
    facing_mm: float
    travel_end_mm: float
    reach: Reach
    feeds: int

    @property
    def name(self) -> str:
        """What it is called."""
        return self.table.name

    @property
    def seconds(self) -> float | None:
        """The time for one part; None where it is not stated. [s]"""
        return self.table.seconds

    @property
    def picked_off(self) -> bool:
        """Whether a sub-spindle takes the last part."""
        return bool(self.table.picked_off)

    @property
    def advance_mm(self) -> float:
        """How far the bar advances for one part. [mm]"""
        return self.length_mm + self.cut_mm

    @property
    def stroke_mm(self) -> float:
        """How far the bar advances in one feed. [mm]"""
        return self.advance_mm / self.feeds

    @property
    def cutting(self) -> Cutting:
        """How a bar is cut. A last part that a sub-spindle takes may use up the one part's stock that the collet else holds."""
        remnant_mm = self.reach.remnant_mm
        gain_mm = min(self.advance_mm, remnant_mm) if self.picked_off else 0.0
        return Cutting(
            part_mm=self.length_mm,
            cut_off_mm=self.cut_mm,
            remnant_mm=remnant_mm,
            facing_mm=self.facing_mm,
            pick_off_gain_mm=gain_mm,
        )

    @property
    def count(self) -> int:
        """Parts from one bar."""
        return int(cut_up(self.cutting, self.bar_mm).parts)

    @property
    def remnant_mm(self) -> float:
        """What is left of the bar after the last part. [mm]"""
        return float(cut_up(self.cutting, self.bar_mm).remnant_mm)

    @property
    def drawn(self) -> bool:
        """Whether the sub-spindle draws the last part out of what the pusher can no longer push."""
        return self.picked_off and self.remnant_mm < self.reach.remnant_mm - ON_STEP_MM


def parts_of(job: Job, *, standoff_mm: float, cut_mm: float = 0.0) -> tuple[Part, ...]:
    """Every part of the job, with the loader at that standoff.

    Raises: JobFileError naming every part that its bar does not hold once there, or the distance to the cut-off plane.
    """
    if job.tables.parts and "lathe.collet_to_cutoff" not in job.readings:
        found, action = "nothing, though there are [[parts]]", "measure it, headstock fully forward in the first mode"
        raise JobFileError([Problem("key-missing", "", None, "lathe.collet_to_cutoff", found, "a value", action)])
    parts = tuple(_part(job, table, standoff_mm, cut_mm) for table in job.tables.parts)
    problems = [problem for i, part in enumerate(parts) for problem in _not_made(part, f"parts[{i}]", job.units)]
    if problems:
        raise JobFileError(problems)
    return parts


def _not_made(part: Part, path: str, units: Units) -> Iterator[Problem]:
    """Why a part cannot be made from its bar at this standoff."""
    needed_mm = part.facing_mm + part.advance_mm + part.reach.remnant_mm
    if part.bar_mm < needed_mm - ON_STEP_MM:
        bar, needed, left = (format_length(mm, units) for mm in (part.bar_mm, needed_mm, part.reach.remnant_mm))
        expected = f"at least {needed}: facing, one part, and the remnant of {left}"
        action = "take a longer bar or a shorter part, or bring the pusher closer"
        yield Problem("part-too-long", "", None, f"{path}.length", f"a bar of {bar}", expected, action)
    if part.feeds > MOST_FEEDS:
        expected = f"at most {MOST_FEEDS}"
        action = "check the part's length, the limits of the mode, and z_last_cut"
        yield Problem("last-cut-outside", "", None, f"{path}.length", f"{part.feeds} feeds for one part", expected, action)


def _part(job: Job, table: PartTable, standoff_mm: float, cut_mm: float) -> Part:
    layout = job.layout
    mode = layout.mode(table.mode) if table.mode is not None else layout.modes[0]
    bar_name, bar_mm = _bar(job, table)
    values_mm = layout.values_mm(standoff_mm=standoff_mm, cut_mm=cut_mm)
    front_mm, rear_mm = mode.front.value(values_mm), mode.rear.value(values_mm)
    end_mm = travel_of(job, table.z_last_cut[0].value_mm) if table.z_last_cut else front_mm
    length_mm, width_mm = table.length[0].value_mm, defaulted_mm(table, PartTable, "cut_off_width")
    return Part(
        table=table,
        mode=mode,
        bar_name=bar_name,
        bar_mm=bar_mm,
        length_mm=length_mm,
        cut_mm=width_mm,
        facing_mm=defaulted_mm(table, PartTable, "facing"),
        travel_end_mm=end_mm,
        reach=reach_of(job, mode, travel_end_mm=end_mm, standoff_mm=standoff_mm, cut_mm=cut_mm),
        feeds=max(math.ceil((length_mm + width_mm) / (end_mm - rear_mm) - 1e-9), 1) if job.sliding else 1,
    )


def reach_of(job: Job, mode: Mode, *, travel_end_mm: float, standoff_mm: float, cut_mm: float = 0.0) -> Reach:
    """Where the last cut-off of a mode leaves cut-off plane, collet and pusher."""
    layout, path = job.layout, job.tables.bar_path
    values_mm = layout.values_mm(standoff_mm=standoff_mm, cut_mm=cut_mm)
    end = mode.at(FRONT_LIMIT)
    collet_mm = travel_end_mm + layout.gap("adapter", "main-collet", mode.at(REAR_LIMIT)).value(values_mm)
    return Reach(
        cut_off_mm=layout.place("cut-off", end).value(values_mm),
        collet_mm=collet_mm,
        tip_limit_mm=layout.place("pusher-tip", end).value(values_mm),
        insertion_mm=path.insertion[0].value_mm if path is not None and path.insertion else 0.0,
        into_collet_mm=defaulted_mm(job.tables.cycle, CycleTable, "into_collet"),
        insertion_stated=path is not None and bool(path.insertion),
    )


def z_of(job: Job, travel_mm: float) -> float:
    """The control's Z of a headstock's travel. [mm]"""
    return job.readings["lathe.modes[0].z_rear"].value_mm + job.z_sign * travel_mm


def travel_of(job: Job, z_mm: float) -> float:
    """The headstock's travel at the control's Z. [mm]"""
    return job.z_sign * (z_mm - job.readings["lathe.modes[0].z_rear"].value_mm)


def _bar(job: Job, table: PartTable) -> tuple[str, float]:
    """The name and length of the bar a part is made from. [mm]"""
    bars = job.tables.bars
    picked = next((bar for bar in bars if bar.name == table.bar), bars[0] if bars and table.bar is None else None)
    if picked is None:
        return "the job's longest bar", longest_bar_mm(job)
    return picked.name, picked.length[0].value_mm if picked.length else longest_bar_mm(job)
