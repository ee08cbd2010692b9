"""The floor plan in words: has everything its room, what is in the way, what the feet carry, how it is marked out.

Lengths as a tape reads them, in the units of the job; loads and pressures in three digits.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

from standoff.job.amounts import many, mass
from standoff.job.floor_plan import FloorPlan
from standoff.job.speech import exact_length, fine_length, length, listed, small_length
from standoff.magnitude import UNITS, Kind
from standoff.site.feet import GRAVITY_M_S2
from standoff.site.floor import DOOR, SHIFTED, TIE_MM, FloorCheck, Grade, KeepOut
from standoff.site.markout import Diagonal, Mark
from standoff.site.nose_way import NOSE
from standoff.units import Units

GRADES = {Grade.CLASH: "clash", Grade.NEAR: "too near", Grade.UNKNOWN: "not known", Grade.HOLDS: "holds"}
LBF_N = float(UNITS[Kind.FORCE]["lbf"])
PSI_MPA = float(UNITS[Kind.MODULUS]["psi"])
TIGHTEST = 6
"""So many rows that hold are listed besides those that do not."""

OFF_PLAN = (
    "no line of the building's plan comes near lathe or loader; check plan_x, plan_y and plan_turned, the plan's unit and its"
    " layers, then ask again, or ask without the plan"
)
"""What is said of a plan that was laid somewhere else."""

AXIS = "the spindle axis (lathe.centre_height)"

LATER = "drill it once the loader stands aligned"
"""What is said of a mark that is not sure enough."""


def where_line(plan: FloorPlan) -> str:
    """At which standoff this is judged, and whether the pair holds there."""
    at = f"With {_face(plan)}"
    return f"{at}." if not plan.placement.failing else f"{at}, where the pair itself does not fit."


def _face(plan: FloorPlan) -> str:
    """At which standoff this is judged."""
    return f"the nose-clamp face {exact_length(plan.standoff_mm, plan.job.units)} behind the adapter"


HEADLINES = {
    Grade.CLASH: "Does not fit on the floor",
    Grade.NEAR: "Too near on the floor",
    Grade.UNKNOWN: "May fit on the floor",
    Grade.HOLDS: "Fits on the floor",
}


def headline(plan: FloorPlan) -> str:
    """The verdict in a line."""
    if plan.grade is None:
        return "Not judged yet"
    if plan.tips:
        return "Would tip over"
    if plan.placement.failing and plan.grade in (Grade.HOLDS, Grade.UNKNOWN):
        return "The pair itself does not fit"
    bad = sum(1 for row in troubles(plan) if row.grade is plan.grade)
    return HEADLINES[plan.grade] + (f": {many(bad, 'place')}" if bad else "")


def sentence(plan: FloorPlan) -> str:
    """The answer in one sentence."""
    if plan.wanted:
        return f"The floor cannot be judged yet: {listed(problem.expected for problem in plan.wanted)} is missing."
    first = [f"The pair itself does not fit with {_face(plan)}."] if plan.placement.failing else []
    first += ["As stated, the loader would tip over."] if plan.tips else []
    return " ".join((*first, _told(plan)))


def _told(plan: FloorPlan) -> str:
    """What is in the way, or how much room there is."""
    things = [_in_the_way(row, plan) for row in troubles(plan) if row.grade is not Grade.UNKNOWN]
    if things:
        more = len(things) - 3
        told = f"{'; '.join(things[:3])}" + (f"; and {many(more, 'thing')} more" if more > 0 else "")
        return f"It does not fit on the floor: {told}."
    if plan.failing:
        also = f"; and {OFF_PLAN}" if plan.laid_off else ", then ask again"
        names = dict.fromkeys(name for row in plan.failing for name in _unknown(row, plan))
        return f"It may fit: measure how high {listed(names)} {'is' if len(names) == 1 else 'are'}{also}."
    if plan.laid_off:
        return f"It may fit: {OFF_PLAN}."
    if not plan.rows:
        return "Nothing stands near the loader that was stated: state what does."
    tight = min(plan.rows, key=lambda row: row.slack_mm)
    room = "On the floor everything would have its room" if plan.placement.failing else "Everything has its room"
    return f"{room}; the tightest is {_room(tight, plan)}."


def _unknown(row: FloorCheck, plan: FloorPlan) -> tuple[str, ...]:
    """Of what the height is to be measured, so that a row can be judged."""
    bodies = {body.id: body for body in plan.bodies}
    axis = row.between[0] == NOSE and plan.nose is not None and not plan.nose.height_stated
    stated = axis and row.between[1] in bodies and bodies[row.between[1]].height_stated
    return (*((AXIS,) if axis else ()), *(() if stated else (_named(row.between[1], plan),)))


def troubles(plan: FloorPlan) -> tuple[FloorCheck, ...]:
    """What does not hold, each two things once: by the worse of standing and shifted, standing where they are alike."""
    worst: dict[tuple[str, str], FloorCheck] = {}
    for row in plan.failing:
        known = worst.get(row.between)
        if known is None or (known.state == SHIFTED and known.slack_mm > row.slack_mm - TIE_MM):
            worst[row.between] = row
    return tuple(worst.values())


def _in_the_way(row: FloorCheck, plan: FloorPlan) -> str:
    units, (own, other) = plan.job.units, row.between
    when = " when it shifts" if row.state == SHIFTED else ""
    if own == NOSE:
        return f"{_named(other, plan)} stands in the way of the nose"
    if row.grade is Grade.CLASH and space_of(row, plan) is None:
        return f"{_named(own, plan)} runs {length(-row.found_mm, units)} into {_named(other, plan)}{when}"
    if space_of(row, plan) is not None:
        how = "opens" if row.reason == DOOR else "stays free"
        free = f"{how} only {_small(row.found_mm, units)} of {length(row.needed_mm, units)}"
        return f"{_named(own, plan)} {free}: {_named(other, plan)}"
    near = f"{_small(row.found_mm, units)} where {length(row.needed_mm, units)} is kept"
    return f"{_named(own, plan)} comes too near {_named(other, plan)}{when}, {near}"


def _small(length_mm: float, units: Units) -> str:
    """A length as a tape reads it; one that would be rounded to nothing is named as less than a step."""
    text = length(length_mm, units)
    return small_length(length_mm, units) if text == length(0.0, units) else text


def _room(row: FloorCheck, plan: FloorPlan) -> str:
    units = plan.job.units
    state = " (over the whole shift)" if row.state == SHIFTED else ""
    if space_of(row, plan) is not None:
        return f"{row.what}: {length(row.found_mm, units)} free, {length(row.needed_mm, units)} needed{state}"
    return f"between {row.what}: {length(row.found_mm, units)}, {length(row.needed_mm, units)} kept{state}"


def check_line(row: FloorCheck, plan: FloorPlan) -> str:
    """One row as a sentence: what is in the way, what is to be measured, or how much room there is."""
    if row.grade is Grade.HOLDS:
        text = _room(row, plan)
    elif row.grade is Grade.UNKNOWN:
        may = "may stay free" if space_of(row, plan) is not None else "may pass"
        names = _unknown(row, plan)
        them = "that is" if names == (_named(row.between[1], plan),) else f"{listed(names)} {'is' if len(names) == 1 else 'are'}"
        text = f"{_named(row.between[0], plan)} {may} above {_named(row.between[1], plan)}: measure how high {them}"
    else:
        text = _in_the_way(row, plan)
    return f"{text[0].upper()}{text[1:]}."


def space_of(row: FloorCheck, plan: FloorPlan) -> KeepOut | None:
    """The space a row judges; None where it judges two things."""
    return next((space for space in plan.keep_outs if space.id == row.between[0]), None)


def _named(thing: str, plan: FloorPlan) -> str:
    """A thing by its name."""
    if thing == NOSE and plan.nose is not None:
        return plan.nose.name
    bodies = {body.id: body.name for body in (*plan.bodies, *plan.lines)}
    return bodies[thing] if thing in bodies else next(space.name for space in plan.keep_outs if space.id == thing)


def row_cells(row: FloorCheck, plan: FloorPlan) -> tuple[str, ...]:
    """One row of the table: judgement, between what, when, found, needed, and why with its source."""
    units = plan.job.units
    found = f"-{length(-row.found_mm, units)}" if row.found_mm < 0.0 else length(row.found_mm, units)
    return (
        GRADES[row.grade],
        row.what,
        row.state,
        f"{found}, one above the other" if row.above else found,
        length(row.needed_mm, units),
        f"{row.reason} ({row.source})",
    )


HEAD = ("", "what", "when", "found", "needed", "why")
"""The heads of the table."""


def shown_rows(plan: FloorPlan) -> tuple[FloorCheck, ...]:
    """What does not hold, and the tightest of what does; of the same two things the worse of standing and shifted."""
    holding: dict[tuple[str, str], FloorCheck] = {}
    bad = {row.between for row in plan.failing}
    for row in sorted(plan.rows, key=lambda row: row.slack_mm):
        if row.between not in bad:
            holding.setdefault(row.between, row)
    return (*troubles(plan), *list(holding.values())[:TIGHTEST])


def free_line(plan: FloorPlan) -> str:
    """The spaces that stay free."""
    blocked = {row.between[0] for row in plan.failing}
    free = [space.name for space in plan.keep_outs if space.id not in blocked]
    return f"What stays free: {', '.join(free)}." if free else ""


def more_line(plan: FloorPlan) -> str:
    """How many rows are not shown."""
    shown = {row.id for row in shown_rows(plan)}
    left = sum(1 for row in plan.rows if row.grade is Grade.HOLDS and row.id not in shown)
    return f"{many(left, 'further row')} {'holds' if left == 1 else 'hold'} with more room." if left > 0 else ""


def force(load_n: float, units: Units) -> str:
    """A load on a foot in three digits: pounds of force where the job is in inches, else kilonewtons."""
    value, unit = (load_n / LBF_N, "lbf") if units == "in" else (load_n / 1000.0, "kN")
    return f"{_three(value)} {unit}"


def pressure(stress_mpa: float, units: Units) -> str:
    """A pressure on the slab in three digits: psi where the job is in inches, else N/mm2."""
    value, unit = (stress_mpa / PSI_MPA, "psi") if units == "in" else (stress_mpa, "N/mm2")
    return f"{_three(value)} {unit}"


def _three(value: float) -> str:
    if value <= 0.0:
        return "0"
    digits = 2 - math.floor(math.log10(value))
    return f"{round(value, digits):.{max(digits, 0)}f}"


def load_lines(plan: FloorPlan) -> tuple[str, ...]:
    """What each foot carries, what presses on the slab, and by which model."""
    loads, units = plan.loads, plan.job.units
    if loads is None or not loads.feet:
        return ()
    lines = []
    for foot in loads.feet:
        worst, at_rest = force(foot.worst_n, units), force(foot.even_n, units)
        text = f"{foot.pad.name}: {at_rest} shared evenly, {worst} at the worst"
        if foot.pressure_mpa is not None:
            text += f", which presses {pressure(foot.pressure_mpa, units)} on the slab below its pad"
        lines.append(text)
    lines.append(f"{_weight(loads.weight_n, units)} with everything on it; its centre of gravity stays {_inside(plan)}")
    lines.append(
        "shared evenly: a rigid frame on equal springs; at the worst: it rocks on three feet, the other ones bear nothing"
    )
    lines.append("standing still, not anchored; starting and stopping of the shift, and bars that drop, come on top")
    return tuple(lines)


def _weight(weight_n: float, units: Units) -> str:
    return mass(weight_n / GRAVITY_M_S2, units)


def _inside(plan: FloorPlan) -> str:
    tipping_mm = 0.0 if plan.loads is None else plan.loads.tipping_mm
    return f"{length(tipping_mm, plan.job.units)} inside the edge of the feet"


def mark_lines(plan: FloorPlan) -> tuple[str, ...]:
    """How each mark is laid off, how sure it is, and by which diagonals all are checked."""
    marking, units = plan.marking, plan.job.units
    if marking is None or not marking.points:
        return ()
    if marking.mark_out is None:
        return (f"not marked out: {marking.refused}",)
    found = marking.mark_out
    first, second = found.baseline.first.name, found.baseline.second.name
    chosen = " (of all pairs the one that marks most surely)" if marking.pairs else ""
    lines = [f"from A, {first}, and B, {second}, {fine_length(found.baseline.length_mm, units)} apart{chosen}"]
    lines += [mark_line(mark, plan) for mark in found.marks]
    lines += [diagonal_line(diagonal, units) for diagonal in found.diagonals]
    return tuple(lines)


def mark_line(mark: Mark, plan: FloorPlan) -> str:
    """One mark: both distances, its hand, how far off it may be, and whether that is sure enough."""
    units = plan.job.units
    first, second = (fine_length(mm, units) for mm in (mark.from_first_mm, mark.from_second_mm))
    off = length(up(mark.ellipse.semi_major_mm, units), units)
    where = f"{first} from A, {second} from B, on the {mark.hand.value} hand going from A to B"
    text = f"{mark.point.name}: {where}; off by {off} at most, 95 times in 100"
    sure = plan.marking.sure_enough(mark) if plan.marking is not None else None
    return text if sure is not False else f"{text}: not sure enough, {LATER}"


def up(length_mm: float, units: Units) -> float:
    """A length up to the next step of the tape: a mark is no surer than told. [mm]"""
    step = 25.4 / 16.0 if units == "in" else 1.0
    return math.ceil(length_mm / step - 1e-9) * step


def diagonal_line(diagonal: Diagonal, units: Units) -> str:
    """A check diagonal with its limits."""
    distance, limit = fine_length(diagonal.distance_mm, units), fine_length(diagonal.limit_mm, units)
    return f"check {diagonal.start} to {diagonal.end}: {distance}, give or take {limit}"


def axis_lines(plan: FloorPlan) -> tuple[str, ...]:
    """The axis carried to the floor, and what it is worth at the loader's rear end."""
    marking, units = plan.marking, plan.job.units
    if marking is None or marking.axis is None or marking.far_end is None:
        return ()
    off = length(up(2.0 * marking.far_end.sideways_u_mm, units), units)
    apart = length(marking.axis.base_mm, units)
    where = f"plumbed down at two places {apart} apart"
    return (f"{where}; at the loader's rear end it is off sideways by {off} at most, 95 times in 100",)


def warning_lines(plan: FloorPlan) -> Iterator[str]:
    """Everything found that is to be warned of, with its source."""
    return (f"{warning.text} ({warning.source})" for warning in plan.warnings)


def not_stated_line(plan: FloorPlan) -> str:
    """What is left out because it is not stated."""
    return f"Not stated, and left out: {'; '.join(plan.not_stated)}." if plan.not_stated else ""
