"""The bar cycle in words: does a whole bar run through, where is it tightest, what goes into the controls, what is tested."""

from __future__ import annotations

import math

from standoff.job.caution import LOCKOUT
from standoff.job.cycle import BEFORE, CONTACT, Cycle, Trouble
from standoff.job.job import Job
from standoff.job.mode_change import ModeChange
from standoff.job.motions import STEPS
from standoff.job.parts import z_of
from standoff.job.settings import LATHE, Setting, Settings
from standoff.job.signals import BOTH, SignalRow
from standoff.job.speech import fine_length, length, small_length, spare_length
from standoff.model.state import FIXED
from standoff.units import INCH_MM, Units

ALARMS = {
    "remnant-too-long": "the remnant is longer than the loader can drop: take it out at the front, or bring the pusher closer",
    "grip-too-short": "the main collet holds less of the last part's stock than it must: end the bar one part earlier",
    "remnant-not-pushed-out": (
        "the remnant is not known to leave the main collet: the pusher ends too early, or the collet's length or a pusher thin"
        " enough for it is not stated; draw the remnant back through the loader, or have the next bar push it out"
    ),
    "remnant-let-go": (
        "the sub-spindle draws the last part out of the pusher collet, and the remnant stays in the main collet:"
        " the next bar has to push it out at the front, or end the bar one part earlier"
    ),
}
"""What is wrong with the end of a bar, in words."""

INSERTION_NOT_STATED = (
    "Mind: how deep the bar's end sits in the pusher collet is not stated, and 0 is taken; every remnant is longer by as much as"
    " it is: measure it."
)

CAUTION = (
    f"{LOCKOUT} Every step is first run alone, in single step and at reduced speed, without a bar and then with a short one."
    " A remnant pushed out at the front flies if the spindle turns: work area closed, spindle stopped."
)


def title(cycle: Cycle) -> str:
    """The part, its mode and its bar."""
    mode = "" if cycle.part.mode.name == FIXED else f", {cycle.part.mode.name} mode"
    return f"{cycle.part.name} from {cycle.part.bar_name}{mode}"


def verdict_line(cycle: Cycle) -> str:
    """Whether a whole bar runs through."""
    units, part = cycle.job.units, cycle.part
    if cycle.clean:
        left = length(part.remnant_mm, units)
        many = f"{part.count} parts" if part.count != 1 else "1 part"
        return f"A whole bar runs through: {many}, and {left} are left."
    first = cycle.troubles[0]
    return f"The bar does not run through: {trouble_line(first, units)}"


def trouble_line(trouble: Trouble, units: Units) -> str:
    """One trouble: when, what happens, how much is missing."""
    how = trouble.failure if trouble.grade == CONTACT else f"the margin kept is used up ({trouble.title.lower()})"
    when = f"{trouble.step}, part {trouble.part}" if trouble.part else trouble.step
    missing = f", {small_length(trouble.missing_mm, units)} missing" if trouble.missing_mm > 0.0 else ""
    return f"{when}: {how}{missing}."


def tightest_line(cycle: Cycle) -> str:
    """The least slack of all, and when; nothing where it is missing, which the troubles tell."""
    trace = cycle.tightest
    step = STEPS[int(cycle.course.step[trace.tightest])] if cycle.job.sliding else BEFORE
    if trace.least_mm < 0.0:
        return f"Worst: {trace.title.lower()} ({step})."
    return f"Tightest: {trace.title.lower()}, {spare_length(trace.least_mm, cycle.job.units)} to spare ({step})."


def alarm_lines(cycle: Cycle) -> tuple[str, ...]:
    """What is wrong with the end of the bar."""
    return tuple(f"Mind: {ALARMS[alarm]}." for alarm in cycle.alarms)


def remnant_lines(cycle: Cycle) -> tuple[str, ...]:
    """Where the shortest remnant comes from."""
    units, reach = cycle.job.units, cycle.part.reach
    lines = [
        f"Shortest remnant {length(reach.remnant_mm, units)}: from the cut-off plane back to the collet's back"
        f" {length(reach.cut_off_mm - reach.collet_mm, units)}, and {length(reach.insertion_mm, units)} in the pusher collet."
    ]
    if not reach.insertion_stated:
        lines.append(INSERTION_NOT_STATED)
    if reach.shortfall_mm > 0.0:
        lines.append(f"{fine_length(reach.shortfall_mm, units)} of it because the pusher falls short of the collet.")
    return tuple(lines)


def setting_value(setting: Setting, units: Units) -> str:
    """A figure as it is typed into a control: decimals, no fractions."""
    return f"{setting.value_mm / float(INCH_MM):.3f} in" if units == "in" else f"{setting.value_mm:.2f} mm"


def setting_lines(settings: Settings, units: Units) -> tuple[str, ...]:
    """Every figure with how it follows."""
    lines = [f"{_of(each.control)}{each.name}: {setting_value(each, units)} ({each.follows})" for each in settings.settings]
    lines += [f"{_of(each.control)}{each.name}: {each.count} ({each.follows})" for each in settings.tallies]
    return tuple(lines)


def _of(control: str) -> str:
    return "lathe, " if control == LATHE else ""


def change_line(change: ModeChange, job: Job) -> str:
    """Where the headstock must stand while the loader shifts, in the control's Z."""
    stroke = length(abs(change.stroke_mm), job.units)
    named = f"{change.start} to {change.end}: the loader shifts {stroke}"
    if change.stroke_mm == 0.0:
        return f"{change.start} to {change.end}: the loader stays where it is."
    if change.in_one_stroke:
        least_mm, greatest_mm = sorted(z_of(job, travel_mm) for travel_mm in (change.least_mm, change.greatest_mm))
        low, high = _z_inside(least_mm=least_mm, greatest_mm=greatest_mm, units=job.units)
        return f"{named} in one stroke, headstock between Z {low} and Z {high} all the while, both ways."
    if change.turns == 0:
        return f"{named}: at this standoff there is no way without the nose off. Take it off for the change, or keep one mode."
    return f"{named} in {change.turns} turns or more: loader and headstock move alternately, each by what the nose gives."


def _z_inside(*, least_mm: float, greatest_mm: float, units: Units) -> tuple[str, str]:
    """Two Z of the control, rounded inwards so that neither lies outside what they enclose."""
    step_mm, decimals = (float(INCH_MM) / 100.0, 2) if units == "in" else (0.1, 1)
    low, high = math.ceil(least_mm / step_mm - 1e-6), math.floor(greatest_mm / step_mm + 1e-6)
    low, high = min(low, high), max(low, high)
    return f"{low / 10**decimals:.{decimals}f} {units}", f"{high / 10**decimals:.{decimals}f} {units}"


def signal_line(row: SignalRow) -> str:
    """One row of the signal sheet with a box for the result."""
    waits = "both wait" if row.waits == BOTH else f"{row.waits} waits"
    return f"[ ] {row.when}: {row.do}. {waits[0].upper()}{waits[1:]} for: {row.signal}. Must show: {row.expected}."
