"""What the tables of levelling must satisfy: feet that hold a frame, instruments that are there, readings that say one thing."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from pydantic import BaseModel

from standoff.errors import Problem, UsageError, write_instead
from standoff.job.keys import extra, keys
from standoff.job.level_tables import (
    LevelRoundTable,
    LevelTable,
    LineReadingTable,
    ReferenceLineTable,
    SweepTable,
)
from standoff.job.tables import JobFile
from standoff.reading import Reading
from standoff.site.frame import Foot, Frame, Screw
from standoff.units import ON_STEP_MM

LENGTHS_ONCE = (
    *("frame", "feet", "side_screws", "brackets", "sweeps", "reference_lines", "line_readings", "level_rounds"),
    "level_tolerances",
)
"""Tables whose lengths are read once; a second reading is a row of its own."""

WIRE_KEYS = ("rear_end", "front_end", "note", "tension", "wire_diameter", "wire_density", "sag")
_ANY_TRAVEL_MM = 1.0
_ANY_HEIGHT_MM = 1000.0


def level_problems(draft: JobFile, modes: Sequence[str]) -> Iterator[Problem]:
    """Everything wrong in the tables that levelling is computed from."""
    yield from _own_names([(f"brackets[{i}]", row.name) for i, row in enumerate(draft.brackets)])
    yield from _own_names([(f"reference_lines[{i}]", row.name) for i, row in enumerate(draft.reference_lines)])
    feet = [(f"feet[{i}]", row.name) for i, row in enumerate(draft.feet)]
    yield from _own_names([*feet, *((f"side_screws[{i}]", row.name) for i, row in enumerate(draft.side_screws))])
    yield from _once(draft)
    yield from _frame(draft)
    for i, line in enumerate(draft.reference_lines):
        yield from _line(line, f"reference_lines[{i}]")
        yield from _headstock(draft, line, f"reference_lines[{i}]", modes)
    for i, sweep in enumerate(draft.sweeps):
        yield from _sweep(draft, sweep, f"sweeps[{i}]", modes)
    for i, reading in enumerate(draft.line_readings):
        yield from _line_reading(draft, reading, f"line_readings[{i}]", modes)
    for i, level in enumerate(draft.levels):
        yield from _level(level, f"levels[{i}]")
    yield from _rounds(draft.level_rounds)
    roll = draft.level_tolerances.roll if draft.level_tolerances is not None else None
    if roll is not None and roll <= 0.0:
        yield _problem("value-sign", "level_tolerances.roll", f"{roll:g} mm/m", "a slope above 0", "write it without the sign")


def _problem(code: str, field: str, found: str, expected: str, action: str) -> Problem:
    return Problem(code, "", None, field, found, expected, action)


def _missing(path: str, key: str, table: type[BaseModel], why: str) -> Problem:
    example = extra(table.model_fields[key])["examples"][0]
    return _problem("key-missing", f"{path}.{key}", "nothing", why, f'write {key} = "{example}" with your figure')


def _own_names(named: Sequence[tuple[str, str | None]]) -> Iterator[Problem]:
    seen: set[str] = set()
    for path, name in named:
        if name is not None and name in seen:
            yield _problem("name-twice", f"{path}.name", f'"{name}" a second time', "a name of its own", "rename one")
        seen |= {name} if name is not None else set()


def _once(draft: JobFile) -> Iterator[Problem]:
    """Nothing is left out in silence: of several readings in one key all but the first would be."""
    for key in LENGTHS_ONCE:
        value = getattr(draft, key)
        rows = [(key, value)] if isinstance(value, BaseModel) else [(f"{key}[{i}]", row) for i, row in enumerate(value or [])]
        for path, row in rows:
            for name, attribute, _ in keys(type(row)):
                series = getattr(row, attribute)
                if isinstance(series, tuple) and len(series) > 1:
                    action = "keep one; a reading taken again is entered as one more row"
                    yield _problem("said-twice", f"{path}.{name}", f"{len(series)} readings", "one", action)


def _frame(draft: JobFile) -> Iterator[Problem]:
    """Feet and screws that hold a rigid frame, and where it is levelled a height of the axis above them."""
    if not draft.feet:
        if draft.side_screws:
            yield _problem("key-missing", "side_screws", "side screws without feet", "[[feet]]", "write where each foot stands")
        return
    axis = draft.frame.axis_height if draft.frame is not None else None
    height = axis or (draft.lathe.centre_height if draft.lathe is not None else None)
    levelled = draft.sweeps or draft.line_readings or draft.levels or draft.side_screws
    if height is None and levelled:
        action = "write axis_height below [frame], or measure lathe.centre_height"
        yield _problem("key-missing", "feet", "feet, and no height of the axis above them", "frame.axis_height", action)
        return
    if not all(row.behind_clamp and row.left for row in draft.feet) or not all(row.behind_clamp for row in draft.side_screws):
        return
    places_mm = [(row.behind_clamp[0].value_mm, row.left[0].value_mm) for row in draft.feet]
    again = [j for j, place in enumerate(places_mm) if any(math.dist(place, other) <= ON_STEP_MM for other in places_mm[:j])]
    for j in again:
        found, action = "the place of another foot", "measure both feet again"
        yield _problem("place-twice", f"feet[{j}].behind_clamp", found, "a place of its own", action)
    # The shape of the frame does not hang on the height of its axis.
    height_mm = _ANY_HEIGHT_MM if height is None else height[0].value_mm
    if not again and height_mm > 0.0:
        yield from _shape(draft, places_mm, height_mm)


def _shape(draft: JobFile, places_mm: Sequence[tuple[float, float]], height_mm: float) -> Iterator[Problem]:
    feet = tuple(
        Foot(f"foot {i}", -behind_mm, left_mm, _ANY_TRAVEL_MM, _ANY_TRAVEL_MM) for i, (behind_mm, left_mm) in enumerate(places_mm)
    )
    screws = tuple(
        Screw(f"screw {i}", -row.behind_clamp[0].value_mm, _ANY_TRAVEL_MM, _ANY_TRAVEL_MM)
        for i, row in enumerate(draft.side_screws)
    )
    try:
        Frame(feet, height_mm, screws)
    except UsageError as error:
        field = "side_screws" if error.what == "side screws" else "feet"
        yield _problem("frame-shape", field, f"{error.what} {error.given}", error.allowed, error.action)


def _line(line: ReferenceLineTable, path: str) -> Iterator[Problem]:
    if line.rear_set and line.front_set and line.rear_set[0].value_mm >= line.front_set[0].value_mm:
        found = f"{line.rear_set[0].text} and {line.front_set[0].text}"
        expected = "the rear place behind the front one"
        action = "centre it at two places of the spindle, as far apart as they go"
        yield _problem("range-reversed", f"{path}.front_set", found, expected, action)
    if line.kind == "wire":
        yield from _wire(line, path)
    elif line.kind is not None:
        for key in WIRE_KEYS:
            if getattr(line, key) is not None:
                yield _kind_problem(f"{path}.{key}", f"{key} of a {line.kind}", "only for a wire")


def _kind_problem(field: str, found: str, expected: str) -> Problem:
    return _problem("reading-kind", field, found, expected, "leave it out")


def _wire(line: ReferenceLineTable, path: str) -> Iterator[Problem]:
    """A wire hangs between its supports, and one thing tells by how much."""
    for key in ("rear_end", "front_end"):
        if getattr(line, key) is None:
            yield _missing(path, key, ReferenceLineTable, "where the wire is held")
    if line.front_end and line.front_set and line.front_set[0].value_mm > line.front_end[0].value_mm:
        expected = f"at most {line.front_end[0].text}, where the wire ends"
        yield _problem("off-the-wire", f"{path}.front_set", line.front_set[0].text, expected, "measure both again")
    ways = [key for key in ("note", "tension", "sag") if getattr(line, key) is not None]
    if not ways:
        yield _missing(path, "note", ReferenceLineTable, "its note, or its tension and wire_diameter, or its sag")
    for key in ways[1:]:
        yield _problem("said-twice", f"{path}.{key}", f"{key} beside {ways[0]}", "one of them", "leave one out")
    if line.tension is not None and line.wire_diameter is None:
        yield _missing(path, "wire_diameter", ReferenceLineTable, "the wire's diameter beside its tension")
    for key in ("note", "tension", "wire_density"):
        if getattr(line, key) == 0.0:
            yield _problem("magnitude-zero", f"{path}.{key}", "0", "more than 0", "write what it is, or leave the key out")


def _sweep(draft: JobFile, sweep: SweepTable, path: str, modes: Sequence[str]) -> Iterator[Problem]:
    wanted, other = ("circle", "behind_clamp") if sweep.surface == "face" else ("behind_clamp", "circle")
    if sweep.surface is not None:
        if getattr(sweep, wanted) is None:
            yield _missing(path, wanted, SweepTable, f"a value for a {sweep.surface}")
        if getattr(sweep, other) is not None:
            yield _kind_problem(f"{path}.{other}", f"{other} of a {sweep.surface}", f"only {wanted}")
    names = [bracket.name for bracket in draft.brackets if bracket.name is not None]
    if sweep.bracket is not None and sweep.bracket not in names:
        action = write_instead(sweep.bracket, names) if names else "list it in [[brackets]]"
        yield _problem("instrument-unknown", f"{path}.bracket", f'"{sweep.bracket}"', "a bracket of this job", action)
    yield from _exact(sweep.within, f"{path}.within")
    yield from _stood(draft, sweep, path, modes)


def _line_reading(draft: JobFile, reading: LineReadingTable, path: str, modes: Sequence[str]) -> Iterator[Problem]:
    names = [line.name for line in draft.reference_lines if line.name is not None]
    if reading.line is not None and reading.line not in names:
        action = write_instead(reading.line, names) if names else "list it in [[reference_lines]]"
        yield _problem("instrument-unknown", f"{path}.line", f'"{reading.line}"', "a line of this job", action)
    if reading.above is None and reading.left is None:
        yield _missing(path, "above", LineReadingTable, "above, or left, or both")
    line = next((line for line in draft.reference_lines if line.name is not None and line.name == reading.line), None)
    at, end = reading.behind_clamp, line.rear_end if line is not None else None
    if at and end and at[0].value_mm > end[0].value_mm:
        expected = f"at most {end[0].text}, where the wire ends"
        yield _problem("off-the-wire", f"{path}.behind_clamp", at[0].text, expected, "measure both again")
    yield from _exact(reading.within, f"{path}.within")
    yield from _stood(draft, reading, path, modes)
    if line is not None and reading.headstock not in (None, line.headstock or "rear limit"):
        expected = f'none: "{line.name}" was set with the headstock at the {line.headstock or "rear limit"} and stays there'
        action = "leave it out; set a second line with the headstock there, or read by a sweep"
        yield _problem("reading-kind", f"{path}.headstock", f'"{reading.headstock}"', expected, action)


def _exact(within: tuple[Reading, ...] | None, field: str) -> Iterator[Problem]:
    """What is weighed against other readings is never exact."""
    if within and within[0].value_mm == 0.0:
        yield _problem("reading-exact", field, within[0].text, "more than 0", "say how exactly it was read, or leave the key out")


def _stood(draft: JobFile, row: SweepTable | LineReadingTable, path: str, modes: Sequence[str]) -> Iterator[Problem]:
    """Headstock and loader stood where they can stand."""
    yield from _headstock(draft, row, path, modes)
    lathe = draft.lathe
    if lathe is None or lathe.headstock is None or (row.mode is not None and row.mode not in modes):
        return
    fixed = lathe.headstock == "fixed"
    if row.loader == "shifted" and (fixed or all(mode.loader_shift is None for mode in lathe.modes)):
        expected = "standing: the loader shifts in no mode"
        yield _problem("reading-kind", f"{path}.loader", '"shifted"', expected, "leave it out, or write loader_shift of the mode")


def _headstock(
    draft: JobFile, row: SweepTable | LineReadingTable | ReferenceLineTable, path: str, modes: Sequence[str]
) -> Iterator[Problem]:
    """The headstock stood where it can stand, in a mode of this lathe."""
    if row.mode is not None and row.mode not in modes:
        action = write_instead(row.mode, modes or ("-",))
        yield _problem("mode-unknown", f"{path}.mode", f'"{row.mode}"', "a mode of this lathe", action)
    elif draft.lathe is not None and draft.lathe.headstock == "fixed" and row.headstock == "front limit":
        expected = "none: a fixed headstock does not travel"
        yield _problem("headstock-modes", f"{path}.headstock", f'"{row.headstock}"', expected, "leave it out")


def _level(level: LevelTable, path: str) -> Iterator[Problem]:
    if level.way == "along" and level.spindle is None:
        yield _missing(path, "spindle", LevelTable, "what the same level shows on the spindle: only the difference counts")
    for key, way in (("turned", "across"), ("spindle", "along")):
        if level.way is not None and level.way != way and getattr(level, key) is not None:
            yield _kind_problem(f"{path}.{key}", f"{key} of a level laid {level.way}", f"only for a level laid {way}")
    if level.within is not None and level.within <= 0.0:
        yield _problem("value-sign", f"{path}.within", f"{level.within:g} mm/m", "a slope above 0", "write how exactly it reads")


def _rounds(rounds: Sequence[LevelRoundTable]) -> Iterator[Problem]:
    numbers = [row.round for row in rounds]
    for i, number in enumerate(numbers):
        if number is not None and number in numbers[:i]:
            yield _problem("said-twice", f"level_rounds[{i}].round", f"round {number} a second time", "once", "join the two")
