"""What the tables of parts, cycle and stock must satisfy: known names, a part that its bar holds, prices with a currency."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from standoff.errors import Problem, write_instead
from standoff.job.keys import defaulted_mm
from standoff.job.part_tables import CycleTable, PartTable, StockTable
from standoff.job.tables import JobFile, ModeTable
from standoff.reading import Reading
from standoff.units import ON_STEP_MM


def part_problems(draft: JobFile, modes: Sequence[str]) -> Iterator[Problem]:
    """Everything wrong in the tables of parts, cycle and stock."""
    names = [part.name for part in draft.parts]
    for i, part in enumerate(draft.parts):
        if part.name is not None and part.name in names[:i]:
            yield _problem("name-twice", f"parts[{i}].name", f'"{part.name}" a second time', "a name of its own", "rename one")
        yield from _names(draft, part, f"parts[{i}]", modes)
        yield from _lengths(draft, part, f"parts[{i}]")
    if draft.cycle is not None:
        yield from _cycle(draft, draft.cycle)
    if draft.stock is not None:
        yield from _stock(draft, draft.stock)


def _problem(code: str, field: str, found: str, expected: str, action: str) -> Problem:
    return Problem(code, "", None, field, found, expected, action)


def _zero(field: str) -> Problem:
    return _problem("magnitude-zero", field, "0", "more than 0", "write what it is, or leave the key out")


def _names(draft: JobFile, part: PartTable, path: str, modes: Sequence[str]) -> Iterator[Problem]:
    """The mode and the bar of a part are there."""
    if part.mode is not None and part.mode not in modes:
        action = write_instead(part.mode, modes or ("-",))
        yield _problem("mode-unknown", f"{path}.mode", f'"{part.mode}"', "a mode of this lathe", action)
    bars = [bar.name for bar in draft.bars if bar.name is not None]
    if part.bar is not None and part.bar not in bars:
        action = write_instead(part.bar, bars) if bars else "list it in [[bars]]"
        yield _problem("bar-unknown", f"{path}.bar", f'"{part.bar}"', "a bar of this job", action)


def _lengths(draft: JobFile, part: PartTable, path: str) -> Iterator[Problem]:
    """A part is longer than its cut and shorter than its bar, and its last cut-off is one the headstock reaches."""
    if part.seconds == 0.0:
        yield _zero(f"{path}.seconds")
    cut_mm = defaulted_mm(part, PartTable, "cut_off_width")
    if part.length and 0.0 < part.length[0].value_mm < cut_mm:
        found = part.cut_off_width[0].text if part.cut_off_width else f"{cut_mm:g} mm, the default"
        expected = f"at most the part's {part.length[0].text}"
        yield _problem("cut-too-wide", f"{path}.cut_off_width", found, expected, "check that the two are not exchanged")
    bar = _bar(draft, part)
    if part.length and bar and part.length[0].value_mm + cut_mm > bar[0].value_mm:
        expected = f"less than the bar's {bar[0].text}, cut-off included"
        yield _problem("part-too-long", f"{path}.length", part.length[0].text, expected, "check both lengths and their units")
    if part.z_last_cut and draft.lathe is not None and draft.lathe.headstock == "fixed":
        expected = "none: a fixed headstock does not travel"
        yield _problem("headstock-modes", f"{path}.z_last_cut", part.z_last_cut[0].text, expected, "leave it out")
        return
    yield from _last_cut(draft, part, path)


def _bar(draft: JobFile, part: PartTable) -> tuple[Reading, ...] | None:
    """The length of the bar a part is made from, as far as it is stated."""
    first = draft.bars[0] if draft.bars and part.bar is None else None
    bar = next((bar for bar in draft.bars if bar.name is not None and bar.name == part.bar), first)
    longest = draft.rules.longest_bar if draft.rules is not None else None
    capacity = draft.loader.bar_capacity if draft.loader is not None else None
    return (bar.length if bar is not None else None) or longest or capacity


def _last_cut(draft: JobFile, part: PartTable, path: str) -> Iterator[Problem]:
    """The last cut-off lies within the travel of the part's mode, and its collet behind the cut-off plane."""
    lathe = draft.lathe
    mode = _mode(draft, part)
    if lathe is None or (lathe.headstock != "fixed" and mode is None):
        return
    end_mm = 0.0
    if mode is not None and mode.z_rear and mode.z_front and lathe.modes[0].z_front:
        rear_mm, front_mm = mode.z_rear[0].value_mm, mode.z_front[0].value_mm
        sign = -1.0 if front_mm < rear_mm else 1.0
        z_mm = part.z_last_cut[0].value_mm if part.z_last_cut else front_mm
        end_mm = sign * (z_mm - lathe.modes[0].z_front[0].value_mm)
        if part.z_last_cut and not rear_mm * sign < z_mm * sign <= front_mm * sign + ON_STEP_MM:
            expected = f"a Z between {mode.z_rear[0].text}, the rear limit, and {mode.z_front[0].text}"
            action = "read Z at the cut-off again"
            yield _problem("last-cut-outside", f"{path}.z_last_cut", part.z_last_cut[0].text, expected, action)
            return
    into_mm = defaulted_mm(draft.cycle, CycleTable, "into_collet")
    if lathe.collet_to_cutoff and end_mm + into_mm >= lathe.collet_to_cutoff[0].value_mm:
        found = f"{lathe.collet_to_cutoff[0].text}, while in the mode of {path} collet and pusher come {end_mm + into_mm:.1f} mm"
        found += " ahead of where it was measured"
        expected = "a cut-off plane ahead of both"
        action = "measure it again, or state z_last_cut of the part"
        yield _problem("past-cut-off", "lathe.collet_to_cutoff", found, expected, action)


def _mode(draft: JobFile, part: PartTable) -> ModeTable | None:
    """The mode a part is made in."""
    modes = draft.lathe.modes if draft.lathe is not None and draft.lathe.headstock != "fixed" else []
    return next((mode for mode in modes if part.mode in (None, mode.name)), None)


def _cycle(draft: JobFile, cycle: CycleTable) -> Iterator[Problem]:
    """A bar is loaded behind the gripper."""
    if cycle.bar_change == 0.0:
        yield _zero("cycle.bar_change")
    gripper = draft.loader.gripper_behind_clamp if draft.loader is not None else None
    if cycle.loaded_behind_clamp and gripper and cycle.loaded_behind_clamp[0].value_mm < gripper[0].value_mm - ON_STEP_MM:
        found, expected = cycle.loaded_behind_clamp[0].text, f"at least {gripper[0].text}, where the gripper is"
        action = "measure from the clamp face back to the bar's rear end"
        yield _problem("loaded-ahead", "cycle.loaded_behind_clamp", found, expected, action)


def _stock(draft: JobFile, stock: StockTable) -> Iterator[Problem]:
    priced = [key for key in ("price_per_bar", "price_per_kg", "price_per_hour") if getattr(stock, key) is not None]
    if priced and draft.prices is None:
        action = 'write currency = "..." below [prices]'
        yield _problem(
            "currency-missing", f"stock.{priced[0]}", "a price without a currency", "[prices] with the currency", action
        )
    for one, other in (("price_per_bar", "price_per_kg"), ("bars_in_magazine", "magazine_width")):
        if getattr(stock, one) is not None and getattr(stock, other) is not None:
            yield _problem("said-twice", f"stock.{other}", f"{other} beside {one}", "one of them", "leave one out")
