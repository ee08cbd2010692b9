"""What can be typed for levelling but is hardly meant: a foot behind the loader's end, an indicator that shows an inch.

Nothing is refused here: each is asked about beside the answer. The limits are wide (common practice, no published source).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from standoff.job.level_readings import ONE_REACH, within_mm_per_m
from standoff.job.level_words import slope, small
from standoff.job.levels import Level
from standoff.reading import Reading
from standoff.site.level import turned
from standoff.units import format_length

USUAL_INDICATED_MM = 10.0
"""More than an indicator at the spindle usually travels."""

USUAL_SLOPE_MM_PER_M = 10.0
"""Beyond this the relations of levelling do not hold either."""

USUAL_ZERO_MM_PER_M = 0.2
"""More than a level that is worth using is off by itself (our choice)."""

ZERO_LIMITS = 3.0
"""So many times its limits of error a level's own zero stands out, where it hides the slope (our choice)."""

USUAL_ASIDE_MM = 1200.0
"""No foot of a bar loader stands farther from its axis."""

SAME_HEIGHT_SHARE = 0.1
"""By no larger share than this the axis above the feet differs from the spindle above the floor (our choice)."""

USUAL_MOVE_MM = 25.0
"""A loader farther off is not levelled but set up anew."""


@dataclass(frozen=True, slots=True)
class LevelQuestion:
    """Something that was hardly meant: in which field it was typed, or none where it follows from many, and what to ask."""

    field: str
    text: str

    @property
    def sentence(self) -> str:
        """The question with its field."""
        return f"{self.field}: {self.text}" if self.field else self.text


def level_questions(level: Level) -> tuple[LevelQuestion, ...]:
    """What to ask about what was typed."""
    return (*_feet(level), *_reaches(level), *_readings(level), *_turned(level), *_moves(level))


def _feet(level: Level) -> Iterator[LevelQuestion]:
    tables, units = level.job.tables, level.job.units
    length = tables.loader.length_behind_clamp
    places = [(f"feet[{i}]", row.behind_clamp[0]) for i, row in enumerate(tables.feet)]
    places += [(f"side_screws[{i}]", row.behind_clamp[0]) for i, row in enumerate(tables.side_screws)]
    for field, place in places:
        if length and place.value_mm > length[0].value_mm:
            text = f"{place.text} lies behind the loader's rear end, {length[0].text}. {_CHECK}"
            yield LevelQuestion(f"{field}.behind_clamp", text)
    for i, row in enumerate(tables.feet):
        if abs(row.left[0].value_mm) > USUAL_ASIDE_MM:
            usual = format_length(USUAL_ASIDE_MM, units)
            yield LevelQuestion(f"feet[{i}].left", f"{row.left[0].text} is unusual (up to {usual} is usual). {_CHECK}")
    sides_mm = [row.left[0].value_mm for row in tables.feet]
    if sides_mm and (min(sides_mm) > 0.0 or max(sides_mm) < 0.0):
        side, sign = ("left", "a minus") if min(sides_mm) > 0.0 else ("right", "no sign")
        other = "right" if side == "left" else "left"
        text = f"every foot stands to the {side} of the axis. One to its {other}, looking forward, has {sign}: check each."
        yield LevelQuestion("feet[0].left", text)
    axis = tables.frame.axis_height if tables.frame is not None else None
    spindle = level.job.readings.get("lathe.centre_height")
    if axis and spindle and abs(axis[0].value_mm - spindle.value_mm) > SAME_HEIGHT_SHARE * spindle.value_mm:
        text = (
            f"{axis[0].text} differs much from lathe.centre_height, {spindle.text}: both go up to the same axis. {_CHECK}"
            " On a plinth or a step in the floor it may be right."
        )
        yield LevelQuestion("frame.axis_height", text)


def _reaches(level: Level) -> Iterator[LevelQuestion]:
    """One bracket at two reaches: it hangs by far more at the longer one, and its sag was read at one of them."""
    tables, stand, units = level.job.tables, level.ground.stand, level.job.units
    for i, bracket in enumerate(tables.brackets):
        swept = [row for row in tables.sweeps if row.bracket == bracket.name and row.surface != "face"]
        reaches_mm = [stand.reach_mm(row) for row in swept]
        if reaches_mm and max(reaches_mm) > ONE_REACH * min(reaches_mm):
            ends = " and ".join(format_length(reach_mm, units) for reach_mm in (min(reaches_mm), max(reaches_mm)))
            text = (
                f"{bracket.name} is used at reaches between {ends}, and hangs by another amount at each. Enter a bracket for each"
                " reach, its sag read on a stiff tube at that reach."
            )
            yield LevelQuestion(f"brackets[{i}].sag", text)


def _readings(level: Level) -> Iterator[LevelQuestion]:
    tables, units = level.job.tables, level.job.units
    shown: list[tuple[str, Reading]] = []
    for i, sweep in enumerate(tables.sweeps):
        shown += [(f"sweeps[{i}].{key}", getattr(sweep, key)[0]) for key in ("top", "left", "bottom", "right")]
    for i, read in enumerate(tables.line_readings):
        shown += [(f"line_readings[{i}].{key}", series[0]) for key in ("above", "left") if (series := getattr(read, key))]
    for field, reading in shown:
        if abs(reading.value_mm) > USUAL_INDICATED_MM:
            usual = small(USUAL_INDICATED_MM, units)
            yield LevelQuestion(field, f"{reading.text} is unusual (up to {usual} is usual). {_CHECK}")
    for i, row in enumerate(tables.levels):
        for key in ("reading", "turned", "spindle"):
            found = getattr(row, key)
            if found is not None and abs(found) > USUAL_SLOPE_MM_PER_M:
                usual = slope(USUAL_SLOPE_MM_PER_M, units)
                text = f"{slope(found, units)} is unusual (up to {usual} is usual). {_CHECK}"
                yield LevelQuestion(f"levels[{i}].{key}", text)


def _turned(level: Level) -> Iterator[LevelQuestion]:
    """A level whose own zero comes out large: one of its two readings was noted with the other sign, or it is out of order."""
    units = level.job.units
    for i, row in enumerate(level.job.tables.levels):
        if row.way != "across" or row.turned is None:
            continue
        found = turned(first_mm_per_m=row.reading, second_mm_per_m=row.turned)
        zero = abs(found.zero_mm_per_m)
        hides = zero > abs(found.slope_mm_per_m) and zero > ZERO_LIMITS * within_mm_per_m(row)
        if hides or zero > USUAL_ZERO_MM_PER_M:
            text = (
                f"read both ways round, the level itself would be off by {slope(zero, units)}. In both readings the same end of"
                " the level up counts positive: on a slope the second has the other sign. Check both signs."
            )
            yield LevelQuestion(f"levels[{i}].turned", text)


def _moves(level: Level) -> Iterator[LevelQuestion]:
    plan, units = level.last.plan if level.last is not None else None, level.job.units
    if plan is not None and any(abs(move.move_mm) > USUAL_MOVE_MM for move in (*plan.wanted, *plan.screws)):
        most = small(USUAL_MOVE_MM, units)
        yield LevelQuestion("", f"a move of more than {most} is unusual: check the readings, their signs and the places.")


_CHECK = "Check it and its unit."
