"""Bar speed in words: what a technician would say aloud of each bar, then why, in the units of the job.

A limit is rounded down and a floor up, and never more digits are told than the supports' stiffness bears. Nothing is called safe:
a limit of the model is a limit of the model.
"""

from __future__ import annotations

import math

from standoff.job.amounts import many
from standoff.job.bars import Bar
from standoff.job.passing import LinerChoice
from standoff.job.pushing import Stage
from standoff.job.speech import fine_length, length, listed
from standoff.job.speed import MODEL, BarSpeed, Limit, SpeedAnswer, Touching, Verdict
from standoff.model.state import FIXED
from standoff.units import Units

POUND_N = 4.4482216152605
"""One pound-force (NIST SP 811, appendix B). [N]"""

RAMP = (0.5, 0.6, 0.7, 0.8, 0.9, 1.0)
"""Shares of the speed to go up to in steps, reading the vibration at each (common practice, no published source)."""

CAUTION = (
    "These are limits of a model, no release. A bar that whips breaks out of its guides and can kill: guard the whole length of"
    " the rotating bar, and let no bar stand out of spindle or loader when the spindle starts (ISO 23125, 29 CFR 1910.212)."
    " Every maker's limit, your local code and the risk assessment at the machine decide. Pusher and nose can pinch while the"
    " loader is in automatic: lock out before reaching in (29 CFR 1910.147)."
)


def rpm(speed_rpm: float, *, up: bool = False) -> str:
    """A speed, rounded down (or up) to what it bears: 10 rpm below 2000, 50 above."""
    return f"{_stepped(speed_rpm, 10.0 if speed_rpm < 2000.0 else 50.0, up=up):.0f} rpm"


def rpm_between(*, low_rpm: float, high_rpm: float) -> str:
    """A range of speeds, rounded outwards."""
    return f"{rpm(low_rpm).removesuffix(' rpm')} to {rpm(high_rpm, up=True)}"


def force(value_n: float, units: Units, *, up: bool = False) -> str:
    """A force in two or three digits, rounded down (or up): pounds where the job is in inches."""
    value, unit = (value_n / POUND_N, "lbf") if units == "in" else (value_n, "N")
    if value >= 10_000.0:
        return (
            f"{_stepped(value, 1000.0, up=up) / 1000.0:.0f} k{unit}"
            if unit == "N"
            else f"{_stepped(value, 100.0, up=up):.0f} lbf"
        )
    step = 0.1 if value < 10.0 else 1.0 if value < 200.0 else 10.0
    return f"{_stepped(value, step, up=up):.{1 if step < 1.0 else 0}f} {unit}"


def _stepped(value: float, step: float, *, up: bool) -> float:
    """A value on a step, downwards or upwards; what lies on one but for noise stays."""
    return (math.ceil(value / step - 1e-6) if up else math.floor(value / step + 1e-6)) * step


def headline(answer: SpeedAnswer) -> str:
    """All bars in a line."""
    at = f"at a standoff of {length(answer.standoff_mm, answer.job.units)}"
    stated = [one for one in answer.bars if one.verdict is not Verdict.NO_SPEED]
    if not stated:
        return f"No speed is stated: limits are told for bars {at}{_not_sure(answer)}"
    good, count = sum(one.verdict is Verdict.WITHIN for one in stated), len(stated)
    if count == 1:
        said = "The bar stays" if good else "The bar does not stay"
    elif good == count:
        said = "Every bar stays"
    else:
        said = f"{good or 'None'} of {count} bars {'stays' if good < 2 else 'stay'}"
    unstated = len(answer.bars) - count
    left = f"; of {many(unstated, 'more bar')} no speed is stated" if unstated else ""
    return f"{said} within {'their' if good > 1 and good < count else 'its'} limits {at}{_not_sure(answer)}{left}"


def _not_sure(answer: SpeedAnswer) -> str:
    """That the pair does not fit where it is judged, or that this is not sure."""
    if not answer.placed:
        return ", where the pair does not fit: these figures are for judging changes only"
    return "" if answer.sure else ", where the pair fits only if measured better"


def sentence(one: BarSpeed, units: Units) -> str:
    """One bar in one or two sentences."""
    if one.verdict is Verdict.NO_PASSAGE:
        return f"{one.bar.name}: no speed, because {_why_not(one, units)}."
    if one.verdict is Verdict.NO_FORCE:
        return f"{one.bar.name}: no feed force serves. {_impossible(one, units)}"
    limit = f"{rpm(one.lowest.speed_rpm)} ({_who(one.lowest)})"
    if one.bar.wanted_rpm is None:
        return f"{one.bar.name}: no speed was stated. Its lowest limit is {limit}.{_push(one, units)}"
    wanted = rpm(one.bar.wanted_rpm, up=True)
    if one.verdict is Verdict.TOO_FAST:
        return f"{one.bar.name}: {wanted} is above its lowest limit, {limit}. {_instead(one, units)}"
    if one.verdict is Verdict.SHAKEN:
        return f"{one.bar.name}: {wanted} stays below its lowest limit, {limit}, but its edges excite it {_shaken(one, units)}."
    return f"{one.bar.name}: {wanted} stays below its lowest limit, {limit}.{_push(one, units)}"


def _shaken(one: BarSpeed, units: Units) -> str:
    """At which remaining lengths the wanted speed must not be kept."""
    told = (f"{length(long, units)} to {length(short, units)} left" for short, long in one.shaken_mm)
    return f"at that speed from {listed(dict.fromkeys(told))}: choose another speed there"


def _who(limit: Limit) -> str:
    of = "this model" if limit.of == MODEL else limit.of
    return f"{of}, {limit.mode} mode" if limit.mode not in (None, FIXED) else of


def _why_not(one: BarSpeed, units: Units) -> str:
    """The first reason why it does not pass."""
    for passing in one.passings:
        if not passing.passes:
            missing = fine_length(passing.needed_mm - passing.bore_mm, units)
            return f"the {passing.traveller} does not pass the {passing.bore} ({missing} missing)"
    if one.liners and not any(choice.passes for choice in one.liners):
        widest = max(one.liners, key=lambda choice: choice.bore_mm)
        missing = fine_length(widest.needed_mm - widest.bore_mm, units)
        return f"no liner passes the {widest.by} ({missing} missing in the widest)"
    if one.turn_down is not None:
        over = f" over {length(one.turn_down.over_mm, units)}" if one.turn_down.over_mm is not None else ""
        return f"its rear end has to be turned down to {fine_length(one.turn_down.to_mm, units)}{over} first"
    return "its supports are not known"


def _impossible(one: BarSpeed, units: Units) -> str:
    if one.pushing is None:
        return ""
    stage = next(stage for stage in one.pushing.stages if not stage.possible)
    ceiling = force(stage.ceiling_n or 0.0, units)
    return (
        f"{stage.name} needs {force(stage.floor_n, units, up=True)} and the bar bears {ceiling} ({one.pushing.buckling.where})."
    )


def _push(one: BarSpeed, units: Units) -> str:
    """Between which forces it may be pushed, and whether what is set lies there."""
    if one.pushing is None:
        return ""
    floor, ceiling = force(one.pushing.floor_n, units, up=True), force(one.pushing.ceiling_n, units)
    said = f" Push it with {floor} to {ceiling}"
    if one.pushing.set_n is None:
        return f"{said}."
    set_at = force(one.pushing.set_n, units)
    return f"{said}; {set_at} is set{'' if one.pushing.set_right else ', which is outside'}."


def _instead(one: BarSpeed, units: Units) -> str:
    """What may be run instead: the wanted speed for as long as it is allowed, or the limit."""
    if one.buckles and one.pushing is not None:
        return f"The force that is set buckles it: lower it first, to {force(one.pushing.ceiling_n, units)} at most."
    wanted = one.bar.wanted_rpm or 0.0
    allowed = [step for step in one.steps if step.limit_rpm >= wanted]
    if one.steps and allowed and allowed[0] is one.steps[0]:
        kept = next((step for step in one.steps if step.limit_rpm < wanted), one.steps[-1])
        return (
            f"It may be run until {length(kept.longest_mm, units)} of the bar are left; then {rpm(one.lowest.speed_rpm)} at most."
        )
    return f"Run {rpm(one.lowest.speed_rpm)} at most, or change what holds the bar."


def worst_line(one: BarSpeed, units: Units) -> str:
    """Where the bar whips first, and why."""
    course, worst = one.worst, one.worst.life.worst
    at = "" if course.spans.state.mode == FIXED else f" ({course.spans.where})"
    index = int(course.life.whip_rpm.argmin())
    band = rpm_between(low_rpm=float(course.life.soft_rpm[index]), high_rpm=float(course.life.stiff_rpm[index]))
    return (
        f"It whips first with {length(worst.length_mm, units)} left{at}, at about {rpm(worst.whip_rpm)}"
        f" (anywhere from {band}, as stiff as the supports are): {worst.cause.text()}."
    )


def limit_lines(one: BarSpeed) -> tuple[str, ...]:
    """Every limit, the lowest first."""
    share = f"{one.share:.0%} of the lowest critical speed"
    said = []
    for limit in sorted(one.limits, key=lambda limit: limit.speed_rpm):
        of = f"this model ({share}, and never above 80% of it with the softest supports)" if limit.of == MODEL else limit.of
        mode = f", {limit.mode} mode" if limit.mode not in (None, FIXED) else ""
        said.append(f"{rpm(limit.speed_rpm)}: {of}{mode}")
    return tuple(said)


def liner_lines(one: BarSpeed, units: Units) -> tuple[str, ...]:
    """Every liner: which to fit, which is refused and why."""
    return tuple(f"{choice.name}: {_liner(choice, units)}" for choice in one.liners)


def _liner(choice: LinerChoice, units: Units) -> str:
    if not choice.passes:
        return f"refused, the {choice.by} does not pass ({fine_length(choice.needed_mm - choice.bore_mm, units)} missing)"
    return "fit this one, the smallest that passes" if choice.chosen else "passes, but a smaller one does too"


def step_lines(one: BarSpeed, units: Units) -> tuple[str, ...]:
    """The speed limit by remaining length, from the full bar on."""
    return tuple(
        f"{length(step.longest_mm, units)} down to {length(step.shortest_mm, units)} left: {rpm(step.limit_rpm)}"
        for step in one.steps
    )


def stage_line(stage: Stage, units: Units) -> str:
    """One stage of the cycle with its floor and ceiling."""
    floor = force(stage.floor_n, units, up=True)
    least = (
        f"at least {floor}"
        if stage.needed_n is not None
        else f"at least {floor} for friction alone (what it needs is not stated)"
    )
    most = "no ceiling here (it is pulled)" if stage.ceiling_n is None else f"at most {force(stage.ceiling_n, units)}"
    return f"{stage.name}: {least}, {most}{'' if stage.possible else ': impossible'}"


def change_lines(one: BarSpeed) -> tuple[str, ...]:
    """What would raise or lower the critical speed."""
    return tuple(f"{change.text}: {change.factor - 1.0:+.0%}, to about {rpm(change.whip_rpm)}" for change in one.changes)


def ramp_line(one: BarSpeed) -> str:
    """How to go up to speed the first time."""
    top = min(one.lowest.speed_rpm, one.bar.wanted_rpm or math.inf)
    speeds = ", ".join(rpm(share * top).removesuffix(" rpm") for share in RAMP)
    return (
        f"The first time go up in steps: {speeds} rpm. Read the vibration at the nose clamp at each step and write it down;"
        " where it grows faster than the speed, or the bar is heard, go back one step and stay there."
    )


def beside_lines(one: BarSpeed, units: Units) -> tuple[str, ...]:
    """What else is to be minded of this bar."""
    said = list(one.warnings)
    if one.not_given:
        said.append(f"Ask the makers: no speed limit is stated for {', '.join(one.not_given)}.")
    if one.touching is not None:
        said.append(_touch(one.touching, one.bar))
    said += [f"Its edges shake it at about {rpm(at)} too, where it whips first." for at in _edge_speeds_rpm(one)]
    for shortest_mm, longest_mm in one.shaken_mm if one.verdict is not Verdict.SHAKEN else ():
        between = f"from {length(longest_mm, units)} to {length(shortest_mm, units)} left"
        said.append(f"Its edges excite it at the wanted speed {between}: choose another speed there.")
    for reading in one.readings:
        if reading.tapped:
            factor = f"every support {reading.stiffness_factor:.2g} times as stiff as assumed"
            said.append(f"Tap test: {rpm(reading.whip_rpm)} heard, {factor}; the figures use it.")
        else:
            said.append(f"Sag read on site: that span whips at about {rpm(reading.whip_rpm)}.")
    return tuple(said)


def _touch(touching: Touching, bar: Bar) -> str:
    """Where a bowed bar meets its liner."""
    bowed = f"Bowed as much as its straightness allows ({bar.straightness_mm_per_m:g} mm per metre, {bar.straightness_from})"
    if touching.at_rest:
        return f"{bowed} it may touch its liner at any speed: listen, and straighten or change it."
    return f"{bowed} it can touch its liner from {rpm(touching.worst_rpm)} on."


def _edge_speeds_rpm(one: BarSpeed) -> tuple[float, ...]:
    """The further speeds at which the edges of a hexagon or square excite the bar where it whips first. [rpm]"""
    whip_rpm = one.worst.life.worst.whip_rpm
    return one.bar.section.edge_speeds_rpm(whip_rpm=whip_rpm) if whip_rpm > 0.0 else ()
