"""The bar cycle: from a job file to the answer as text or for other programs."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from standoff import __version__
from standoff.desk.placement import placement_of_file
from standoff.errors import JobFileError, Problem, UsageError, write_instead
from standoff.job.cycle import Cycle, bar_cycles
from standoff.job.cycle_answer import cycle_contents
from standoff.job.cycle_speech import (
    CAUTION,
    alarm_lines,
    change_line,
    remnant_lines,
    setting_lines,
    signal_line,
    tightest_line,
    title,
    trouble_line,
    verdict_line,
)
from standoff.job.file import placed
from standoff.job.mode_change import ModeChange, mode_changes
from standoff.job.placement import Placement
from standoff.job.refusal import as_json
from standoff.job.settings import settings_of
from standoff.job.signals import SignalRow, signal_rows


@dataclass(frozen=True, slots=True, eq=False)
class CycleAnswer:
    """Every part's cycle at one standoff, the changes of mode, and each part's signal sheet."""

    placement: Placement
    cycles: tuple[Cycle, ...]
    changes: tuple[ModeChange, ...]
    signals: tuple[tuple[SignalRow, ...], ...]

    @property
    def clean(self) -> bool:
        """Whether every bar runs through."""
        return all(cycle.clean for cycle in self.cycles)


def cycle_of_placement(placement: Placement) -> CycleAnswer:
    """The bar cycles at a placement's standoff; raises JobFileError where the job names no part, or one that cannot be made."""
    job = placement.job
    if not job.tables.parts:
        action = "write [[parts]] with name and length"
        raise JobFileError([Problem("key-missing", "", None, "parts", "nothing", "at least one [[parts]]", action)])
    cycles = bar_cycles(placement)
    changes = mode_changes(job, standoff_mm=placement.standoff_mm, cut_mm=placement.cut_mm)
    signals = tuple(signal_rows(cycle, placement.pairings, changes) for cycle in cycles)
    return CycleAnswer(placement, cycles, changes, signals)


def cycle_of_file(path: Path, *, at: str | None = None) -> CycleAnswer:
    """The bar cycles of a job file, at the standoff aimed at or the one typed in `at`."""
    placement = placement_of_file(path, at=at)
    try:
        return cycle_of_placement(placement)
    except JobFileError as error:
        raise placed(error, path) from None


def part_named(answer: CycleAnswer, name: str | None) -> tuple[int, ...]:
    """The number of the part with that name, or of every part; raises UsageError, naming those there are."""
    names = [cycle.part.name for cycle in answer.cycles]
    if name is None:
        return tuple(range(len(names)))
    if name not in names:
        raise UsageError(what="--part", given=f'"{name}"', allowed="a part of this job", action=write_instead(name, names))
    return (names.index(name),)


def cycle_json(answer: CycleAnswer) -> str:
    """The answer for other programs."""
    standoff_mm = answer.placement.standoff_mm
    return as_json(cycle_contents(answer.cycles, answer.signals, answer.changes, standoff_mm=standoff_mm, program=__version__))


def cycle_text(answer: CycleAnswer, shown: tuple[int, ...], *, signals: bool) -> str:
    """The answer as text: each part's verdict, remnant, settings and program; with `signals` the sheet to test by."""
    job = answer.placement.job
    lines = [f"{job.title}{', ' + job.site if job.site else ''}: {job.lathe} with {job.loader}"]
    for i in shown:
        cycle = answer.cycles[i]
        lines += ["", title(cycle), *_indented(_of_part(cycle))]
        if signals:
            lines += ["  Signals to test:", *_indented(tuple(signal_line(row) for row in answer.signals[i]), "    ")]
    changes = tuple(change_line(change, job) for change in answer.changes)
    if changes:
        lines += ["", "Change of mode:", *_indented(changes)]
    return "\n".join([*lines, "", CAUTION])


def _of_part(cycle: Cycle) -> tuple[str, ...]:
    units = cycle.job.units
    settings = settings_of(cycle)
    return (
        verdict_line(cycle),
        *(f"Then: {trouble_line(trouble, units)}" for trouble in cycle.troubles[1:]),
        *alarm_lines(cycle),
        tightest_line(cycle),
        *remnant_lines(cycle),
        "Settings:",
        *(f"  {line}" for line in setting_lines(settings, units)),
        "The part program must contain:",
        *(f"  {line}" for line in settings.program),
    )


def _indented(lines: tuple[str, ...], by: str = "  ") -> list[str]:
    return [f"{by}{line}" for line in lines]
