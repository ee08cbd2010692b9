"""The bar cycle as a page shows it: every part in a line, the chosen one in motion with its sheets, and what is still wanted.

Each part stands for itself: one that a bar does not hold says so and leaves the others as they are. What the cycles of a revision
say is worked out once (`Runs`).
"""

from __future__ import annotations

import json
from dataclasses import dataclass, replace

from standoff.desk.sheet import Sheet, Shelf
from standoff.desk.speed_page import Sign
from standoff.desk.walk import Form, form_of
from standoff.desk.wanted import Wanted, wanted_of
from standoff.draw.cycle_film import film_of, how_played
from standoff.draw.cycle_moment import milestones
from standoff.draw.cycle_scene import cycle_scene, grids
from standoff.draw.cycle_traces import ground_of, traces
from standoff.draw.elevation import Arrangement
from standoff.draw.svg import svg
from standoff.errors import JobFileError, Problem, StandoffError
from standoff.job.bar_guide import BAR_TABLES
from standoff.job.cycle import CONTACT, Cycle, cycle_of
from standoff.job.cycle_guide import CYCLE_TABLES
from standoff.job.cycle_speech import (
    CAUTION,
    alarm_lines,
    change_line,
    remnant_lines,
    setting_value,
    tightest_line,
    title,
    trouble_line,
    verdict_line,
)
from standoff.job.guide import walk_of
from standoff.job.job import Job
from standoff.job.mode_change import ModeChange, mode_changes
from standoff.job.part_tables import PartTable
from standoff.job.parts import parts_of
from standoff.job.placement import Placement, Verdict, place
from standoff.job.settings import LATHE, LOADER, Settings, settings_of
from standoff.job.signals import SignalRow, signal_rows
from standoff.job.speech import length
from standoff.solve.pairing import Pairing
from standoff.units import Units

__all__ = ["CAUTION", "CycleView", "Runs", "cycle_film", "cycle_form", "cycle_to_go", "cycle_view"]

MOST_KEPT = 64


@dataclass(frozen=True, slots=True, eq=False)
class Run:
    """One part of the job: its cycle with the signals to test, or why there is none."""

    name: str
    cycle: Cycle | None
    signals: tuple[SignalRow, ...]
    refused: str


@dataclass(frozen=True, slots=True, eq=False)
class JobRuns:
    """Every part's cycle at a placement, and the changes of mode."""

    placement: Placement
    runs: tuple[Run, ...]
    changes: tuple[ModeChange, ...]


class Runs:
    """What the bar cycles of revisions are: worked out once for each."""

    def __init__(self) -> None:
        self._kept = Shelf[JobRuns](most=MOST_KEPT)

    def of(self, sheet: Sheet, job: Job) -> JobRuns:
        """The cycles of a revision."""
        return self._kept.get(sheet.job_id, sheet.number, lambda: _runs(place(job)))


@dataclass(frozen=True, slots=True)
class PartLink:
    """A part of the list, to be chosen."""

    name: str
    sign: Sign
    chosen: bool


@dataclass(frozen=True, slots=True)
class Failure:
    """Something that fails, and at which moment."""

    text: str
    moment: int


@dataclass(frozen=True, slots=True)
class Picture:
    """A drawing, and what the page needs beside it to move what is in it, as JSON."""

    drawn: str
    places: str


@dataclass(frozen=True, slots=True)
class SettingRow:
    """One figure of the settings sheet."""

    name: str
    value: str
    follows: str


@dataclass(frozen=True, slots=True)
class SignalLine:
    """One line of the signal test sheet; `impossible` where what is asked for must be refused."""

    row: SignalRow
    impossible: bool


@dataclass(frozen=True, slots=True)
class PartView:
    """The chosen part's cycle: what is said, the pictures to move, and the sheets to take along."""

    title: str
    verdict: str
    tightest: str
    alarms: tuple[str, ...]
    failures: tuple[Failure, ...]
    remnant: tuple[str, ...]
    moments: int
    base: int
    tightest_moment: int
    wide: Picture
    narrow: Picture
    wide_traces: Picture
    narrow_traces: Picture
    stills: tuple[str, ...]
    how_played: str
    loader: tuple[SettingRow, ...]
    lathe: tuple[SettingRow, ...]
    program: tuple[str, ...]
    signals: tuple[SignalLine, ...]


@dataclass(frozen=True, slots=True)
class CycleView:
    """The answer part of the page: the parts, or what is wanted. `name`, `sign` and `refused` are the chosen part's."""

    parts: tuple[PartLink, ...]
    number: int
    name: str
    sign: Sign | None
    refused: str
    chosen: PartView | None
    sure: bool
    changes: tuple[str, ...]
    pairings: tuple[str, ...]
    wanted: tuple[Wanted, ...]


def cycle_form(sheet: Sheet) -> Form:
    """The fields that the bar cycle asks for, at a revision."""
    return form_of(sheet, "cycle")


def cycle_to_go(sheet: Sheet) -> int:
    """How much the bar cycle still wants of a job that has begun with it; 0 for one that has not."""
    if not any(key in sheet.raw for key in CYCLE_TABLES):
        return 0
    return len(_wanted(sheet)) if sheet.job is not None else sum(p.code == "key-missing" for p in _own(sheet))


def cycle_view(sheet: Sheet, runs: Runs, *, part: str = "", number: int = 0) -> CycleView | None:
    """The answer at a revision, with the part of that name, or else of that number; None while there is no placement."""
    job = sheet.job
    if job is None:
        return None
    if wanted := _wanted(sheet):
        return CycleView((), 0, "", None, "", None, True, (), (), wanted)
    found = runs.of(sheet, job)
    chosen = _chosen(found, part, number)
    run, placement = found.runs[chosen], found.placement
    return CycleView(
        parts=tuple(PartLink(one.name, _sign(one, placement), i == chosen) for i, one in enumerate(found.runs)),
        number=chosen,
        name=run.name,
        sign=_sign(run, placement),
        refused=run.refused,
        chosen=_part_view(run.cycle, run.signals, placement) if run.cycle is not None else None,
        sure=placement.verdict is not Verdict.BETTER,
        changes=tuple(change_line(change, job) for change in found.changes),
        pairings=tuple(_pairing_line(pairing, job.units) for pairing in placement.pairings),
        wanted=(),
    )


def cycle_film(sheet: Sheet, runs: Runs, *, number: int) -> str:
    """The moments of the part of that number as JSON; of a part that has no cycle, nothing."""
    if sheet.job is None or _wanted(sheet):
        return "null"
    found = runs.of(sheet, sheet.job)
    cycle = found.runs[min(number, len(found.runs) - 1)].cycle
    if cycle is None:
        return "null"
    return json.dumps(film_of(found.placement, cycle, milestones(cycle)[0][1]), separators=(",", ":"), ensure_ascii=False)


def _chosen(found: JobRuns, part: str, number: int) -> int:
    named = [i for i, run in enumerate(found.runs) if run.name == part]
    return named[0] if named else min(number, len(found.runs) - 1)


def _runs(placement: Placement) -> JobRuns:
    changes = mode_changes(placement.job, standoff_mm=placement.standoff_mm, cut_mm=placement.cut_mm)
    tables = placement.job.tables.parts
    return JobRuns(placement, tuple(_run(placement, table, changes) for table in tables), changes)


def _run(placement: Placement, table: PartTable, changes: tuple[ModeChange, ...]) -> Run:
    """One part alone, so that another one that does not fit is no hindrance."""
    job = placement.job
    alone = replace(job, tables=job.tables.model_copy(update={"parts": [table]}))
    try:
        (part,) = parts_of(alone, standoff_mm=placement.standoff_mm, cut_mm=placement.cut_mm)
    except StandoffError as refused:
        return Run(table.name, None, (), _why(refused))
    cycle = cycle_of(job, part, standoff_mm=placement.standoff_mm, cut_mm=placement.cut_mm)
    return Run(table.name, cycle, signal_rows(cycle, placement.pairings, changes), "")


def _why(refused: StandoffError) -> str:
    """Why a part cannot be made, without the file's names for it."""
    if not isinstance(refused, JobFileError):
        return str(refused)
    return " ".join(f"Found {p.found}, expected {p.expected}; {p.action}." for p in refused.problems)


def _sign(run: Run, placement: Placement) -> Sign:
    """The verdict on a part in a word: nothing is called good that is not sure."""
    if run.cycle is None:
        return Sign("clash", "✗", "Cannot be made so")
    if not run.cycle.clean:
        worst = any(trouble.grade == CONTACT for trouble in run.cycle.troubles)
        return Sign("clash", "✗", "Does not run through" if worst else "Margin used up")
    if placement.verdict is Verdict.BETTER:
        return Sign("unsure", "?", "Runs through, but not surely")
    if run.cycle.alarms:
        return Sign("unsure", "?", "Runs through, mind the end of the bar")
    return Sign("fits", "✓", "Runs through")


def _part_view(cycle: Cycle, signals: tuple[SignalRow, ...], placement: Placement) -> PartView:
    units, stills = cycle.job.units, milestones(cycle)
    base, sheet = stills[0][1], settings_of(cycle)
    return PartView(
        title=title(cycle),
        verdict=verdict_line(cycle),
        tightest=tightest_line(cycle),
        alarms=alarm_lines(cycle),
        failures=tuple(Failure(trouble_line(trouble, units), trouble.moment) for trouble in cycle.troubles),
        remnant=remnant_lines(cycle),
        moments=len(cycle.course),
        base=base,
        tightest_moment=cycle.tightest.tightest,
        wide=_moving(placement, cycle, base, "wide"),
        narrow=_moving(placement, cycle, base, "narrow"),
        wide_traces=_traced(cycle, "wide"),
        narrow_traces=_traced(cycle, "narrow"),
        stills=tuple(_still(placement, cycle, heading, number) for heading, number in stills),
        how_played=how_played(cycle),
        loader=_setting_rows(sheet, LOADER, units),
        lathe=_setting_rows(sheet, LATHE, units),
        program=sheet.program,
        signals=tuple(SignalLine(row, row.id.startswith("pairing-")) for row in signals),
    )


def _moving(placement: Placement, cycle: Cycle, base: int, arrangement: Arrangement) -> Picture:
    """The picture to be moved, with where each strip has its zero and how large a millimetre is there."""
    drawn = svg(cycle_scene(placement, cycle, base, arrangement=arrangement, live=True), standalone=False)
    places = [[round(grid.zero, 3), round(grid.scale, 6)] for grid in grids(placement, cycle, base, arrangement=arrangement)]
    return Picture(drawn, json.dumps(places))


def _traced(cycle: Cycle, arrangement: Arrangement) -> Picture:
    """The traces, with where each moment that they show lies."""
    ground = ground_of(cycle, arrangement=arrangement)
    places = [[number, round(x, 1)] for number, x in zip(ground.moments, ground.places, strict=True)]
    return Picture(svg(traces(cycle, arrangement=arrangement), standalone=False), json.dumps(places))


def _still(placement: Placement, cycle: Cycle, heading: str, number: int) -> str:
    return svg(cycle_scene(placement, cycle, number, arrangement="page", heading=heading), standalone=False)


def _setting_rows(sheet: Settings, control: str, units: Units) -> tuple[SettingRow, ...]:
    """What goes into one of the controls: lengths and places, then what is counted."""
    figures = [SettingRow(s.name, setting_value(s, units), s.follows) for s in sheet.settings if s.control == control]
    return (*figures, *(SettingRow(t.name, str(t.count), t.follows) for t in sheet.tallies if t.control == control))


def _pairing_line(pairing: Pairing, units: Units) -> str:
    return (
        f"Loader shifted as in {pairing.shift_mode}, headstock at the {pairing.state} of {pairing.headstock_mode}:"
        f" {pairing.failure} ({length(pairing.missing_mm, units)} missing)."
    )


def _own(sheet: Sheet) -> tuple[Problem, ...]:
    return tuple(problem for problem in sheet.problems if walk_of(problem.field) == "cycle")


def _wanted(sheet: Sheet) -> tuple[Wanted, ...]:
    """What the bar cycle still wants of a job that has a placement: parts, what is missing in them, bars that are incomplete."""
    problems = list(sheet.left_out(*CYCLE_TABLES))
    if any(table in sheet.raw for table in CYCLE_TABLES):
        problems += sheet.left_out(*BAR_TABLES)
    if not sheet.raw.get("parts"):
        problems.append(Problem("key-missing", "", None, "parts", "nothing", "at least one part", "add a part below"))
    elif sheet.job is not None and not sheet.job.tables.parts:
        problems = problems or list(sheet.problems)
    return tuple(wanted_of(problem, sheet) for problem in {(p.field, p.expected): p for p in problems}.values())
