"""What the tables of the run-off must satisfy: one way of saying each thing, known names, a plan that can be passed, times."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from standoff.errors import Problem, UsageError, write_instead
from standoff.job.runoff_plan import Rule, counted_causes, rule_of, runs_in
from standoff.job.runoff_tables import RunoffBarTable, RunoffTable, RunTable, agreed
from standoff.job.runoff_times import DAY_EXPECTED, MOMENT_EXPECTED, day_of, moment_of
from standoff.job.tables import JobFile
from standoff.reading import Reading
from standoff.site.acceptance import row_plan, total_plan

OVER_LENGTH = 1.02
"""A bar may be measured so much longer than the job's longest: more is a mistaken unit (our choice)."""

_KEY = re.compile(r"[\x21-\x7e]{1,64}")


def runoff_problems(draft: JobFile, modes: Sequence[str]) -> Iterator[Problem]:
    """Everything wrong in the tables of the run-off."""
    if draft.runoff is not None:
        yield from _agreement(draft.runoff)
        yield from _shift(draft, draft.runoff, modes)
    yield from _own_names([run.name for run in draft.runoff_runs], "runoff_runs", "name")
    yield from _own_names([alarm.alarm for alarm in draft.runoff_alarms], "runoff_alarms", "alarm")
    yield from _own_names([bar.key for bar in draft.runoff_bars], "runoff_bars", "key")
    for i, run in enumerate(draft.runoff_runs):
        yield from _run(draft, run, f"runoff_runs[{i}]", modes)
    names = [run.name for run in runs_in(draft, modes) if run.name is not None]
    for i, bar in enumerate(draft.runoff_bars):
        yield from bar_problems_of(draft, bar, f"runoff_bars[{i}]", names)


def _problem(code: str, field: str, found: str, expected: str, action: str) -> Problem:
    return Problem(code, "", None, field, found, expected, action)


def _zero(field: str) -> Problem:
    return _problem("magnitude-zero", field, "0", "more than 0", "write what it is, or leave the key out")


def _own_names(names: Sequence[str | None], table: str, key: str) -> Iterator[Problem]:
    for i, name in enumerate(names):
        if name is not None and name in names[:i]:
            yield _problem("name-twice", f"{table}[{i}].{key}", f'"{name}" a second time', "one of its own", "rename one")


def _agreement(table: RunoffTable) -> Iterator[Problem]:
    """One number of bars, one that can be passed, and at least one cause that counts."""
    if table.agreed_on is not None and day_of(table.agreed_on) is None:
        yield _problem("time-form", "runoff.agreed_on", f'"{table.agreed_on}"', DAY_EXPECTED, "write year, month and day")
    for key in ("unattended", "bar_change_at_most"):
        if getattr(table, key) == 0.0:
            yield _zero(f"runoff.{key}")
    if table.bars is not None and table.bars_in_row is not None:
        yield _problem("said-twice", "runoff.bars", "bars beside bars_in_row", "one of them", "leave one out")
    stops = agreed(table, "stops_allowed")
    if table.bars is not None and stops >= table.bars:
        found, expected = f"{stops} in {table.bars} bars", "fewer stops than bars"
        yield _problem("plan-impossible", "runoff.stops_allowed", found, expected, "allow fewer stops, or run more bars")
    if not counted_causes(table):
        expected, action = "one cause at least whose stops count", "agree on whose stops count"
        yield _problem("plan-impossible", "runoff.loader_counts", "no cause that counts", expected, action)
    yield from _wish(table, stops)


def _wish(table: RunoffTable, stops: int) -> Iterator[Problem]:
    """A share that a million bars do not show."""
    if table.clean_share is None:
        return
    make = row_plan if rule_of(table)[0] is Rule.ROW else total_plan
    try:
        make(clean_share=table.clean_share, confidence_share=agreed(table, "confidence"), stops_allowed=stops)
    except UsageError as error:
        action = "ask for a smaller share"
        yield _problem("plan-impossible", "runoff.clean_share", f"{table.clean_share:g}", error.allowed, action)


def _shift(draft: JobFile, table: RunoffTable, modes: Sequence[str]) -> Iterator[Problem]:
    """A shift is counted in bars: that takes the time of every part that is run."""
    if rule_of(table)[0] is not Rule.SHIFT:
        return
    parts = [part.name for part in draft.parts]
    for i, run in enumerate(runs_in(draft, modes)):
        if run.changes is not None:
            continue
        if run.part is None:
            found, expected = "nothing, though a shift is agreed", "the part whose time says how many bars a shift takes"
            action = "name the part that is made, or agree on a number of bars"
            yield _problem("key-missing", f"runoff_runs[{i}].part", found, expected, action)
        elif run.part in parts and draft.parts[parts.index(run.part)].seconds is None:
            found, action = f'nothing, though a shift is agreed for the run "{run.name}"', "write the time for one part"
            yield _problem("key-missing", f"parts[{parts.index(run.part)}].seconds", found, "a time", action)


def _run(draft: JobFile, run: RunTable, path: str, modes: Sequence[str]) -> Iterator[Problem]:
    """Part, mode and bar of a run are there, and a part is not contradicted."""
    parts = [part.name for part in draft.parts if part.name is not None]
    bars = [bar.name for bar in draft.bars if bar.name is not None]
    if run.part is not None and run.part not in parts:
        action = write_instead(run.part, parts) if parts else "list it in [[parts]]"
        yield _problem("part-unknown", f"{path}.part", f'"{run.part}"', "a part of this job", action)
    if run.mode is not None and run.mode not in modes:
        action = write_instead(run.mode, modes or ("-",))
        yield _problem("mode-unknown", f"{path}.mode", f'"{run.mode}"', "a mode of this lathe", action)
    if run.bar is not None and run.bar not in bars:
        action = write_instead(run.bar, bars) if bars else "list it in [[bars]]"
        yield _problem("bar-unknown", f"{path}.bar", f'"{run.bar}"', "a bar of this job", action)
    for key in ("mode", "bar"):
        if run.part is not None and getattr(run, key) is not None:
            yield _problem("said-twice", f"{path}.{key}", f"{key} beside part, which says it", "one of them", f"leave {key} out")
    if run.speed == 0.0:
        yield _zero(f"{path}.speed")
    if run.part_tolerance and run.first_part is None and run.part is None:
        found, action = "nothing beside part_tolerance", "write the length, or name the part"
        yield _problem("key-missing", f"{path}.first_part", found, "the length the tolerance belongs to", action)


def bar_problems_of(draft: JobFile, bar: RunoffBarTable, path: str, runs: Sequence[str]) -> Iterator[Problem]:
    """What is wrong with one bar of the tally, in a file or as it was tapped in."""
    if bar.key is not None and not _KEY.fullmatch(bar.key):
        expected = "at most 64 letters, digits and signs, without blanks"
        yield _problem("value-kind", f"{path}.key", f'"{bar.key[:40]}"', expected, "shorten it, or write - for each blank")
    if bar.at is not None and moment_of(bar.at) is None:
        yield _problem("time-form", f"{path}.at", f'"{bar.at[:40]}"', MOMENT_EXPECTED, "write it in UTC, with a Z behind it")
    if bar.run is not None and bar.run not in runs:
        action = write_instead(bar.run, runs or ("-",))
        yield _problem("run-unknown", f"{path}.run", f'"{bar.run}"', "a run that was agreed", action)
    elif bar.run is None and len(runs) > 1:
        action = f"write one of {', '.join(runs)}"
        yield _problem("key-missing", f"{path}.run", f"nothing, with {len(runs)} runs", "which run it was", action)
    if bar.change == 0.0:
        yield _zero(f"{path}.change")
    yield from _lengths(draft, bar, path, next((run for run in runs_in(draft, ()) if bar.run in (None, run.name)), None))


def _lengths(draft: JobFile, bar: RunoffBarTable, path: str, run: RunTable | None) -> Iterator[Problem]:
    """Lengths that are read against others have an uncertainty, and a remnant is shorter than its bar."""
    for key in ("remnant", "bar_length"):
        series: tuple[Reading, ...] | None = getattr(bar, key)
        if series and series[0].u_mm == 0.0:
            expected, action = "an uncertainty above 0", "state its uncertainty, or leave it out"
            yield _problem("reading-exact", f"{path}.{key}", f"{series[0].text}, taken as exact", expected, action)
    longest = _longest(draft)
    if bar.bar_length and longest and bar.bar_length[0].value_mm > OVER_LENGTH * longest[0].value_mm + _mill_mm(draft):
        expected = f"about {longest[0].text}, the longest bar of this job"
        yield _problem("bar-too-long", f"{path}.bar_length", bar.bar_length[0].text, expected, "measure it again; check the unit")
    part = next((part for part in draft.parts if run is not None and part.name is not None and part.name == run.part), None)
    whole = bar.bar_length or longest
    for key, expected in (("remnant", "a remnant"), ("first_part", "a part"), ("end_part", "a part")):
        given: tuple[Reading, ...] | None = getattr(bar, key)
        if given and whole and given[0].value_mm >= whole[0].value_mm:
            told = f"{expected} shorter than its bar, {whole[0].text}"
            yield _problem("remnant-beyond", f"{path}.{key}", given[0].text, told, "measure it again; check the unit")
    if bar.bar_length and part is not None and part.length and bar.bar_length[0].value_mm <= part.length[0].value_mm:
        told = f"more than one part, {part.length[0].text}"
        yield _problem("part-too-long", f"{path}.bar_length", bar.bar_length[0].text, told, "measure it again; check the unit")


def _longest(draft: JobFile) -> tuple[Reading, ...] | None:
    """The job's longest bar, or else what the loader takes."""
    longest = draft.rules.longest_bar if draft.rules is not None else None
    return longest or (draft.loader.bar_capacity if draft.loader is not None else None)


def _mill_mm(draft: JobFile) -> float:
    """How much longer than ordered bars may come. [mm]"""
    stock = draft.stock
    return stock.mill_tolerance[0].value_mm if stock is not None and stock.mill_tolerance else 0.0
