"""The answer in words: the sentence a technician would say aloud, then why, in the units of the job."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence

from standoff.job.placement import Judged, Placement, Verdict
from standoff.model.requirement import Side
from standoff.model.state import FIXED, NO_STATE, STANDING
from standoff.units import INCH_MM, ON_STEP_MM, Units, format_length, parse_length, round_inward, step_down, step_mm, step_up

HEADLINES = {
    Verdict.FITS: "Fits",
    Verdict.BETTER: "Fits only if measured better",
    Verdict.NOT: "Does not fit",
}


def length(mm: float, units: Units) -> str:
    """A length as a technician reads it: sixteenths, or whole millimetres."""
    return format_length(mm, units)


def fine_length(mm: float, units: Units) -> str:
    """A length one grade finer: thirty-seconds, or tenths of a millimetre."""
    return format_length(mm, units, denominator=32, decimals=1)


FINE = {"in": 2, "mm": 10}
"""Parts of a step of the tape in a length one grade finer."""


def bound_length(mm: float, units: Units, side: Side) -> str:
    """A bound one grade finer than the tape, rounded inwards: up what a length must at least be, down what it may at most be."""
    stepped = step_up if side is Side.AT_LEAST else step_down
    return fine_length(stepped(mm, units, finer=FINE[units]), units)


def spare_length(slack_mm: float, units: Units) -> str:
    """How much is to spare, never more than there is; or how much is missing, never less: without a sign."""
    stepped_mm = step_down(slack_mm, units, finer=FINE[units])
    under = stepped_mm == 0.0 and slack_mm > ON_STEP_MM
    return f"under {'1/32 in' if units == 'in' else '0.1 mm'}" if under else fine_length(abs(stepped_mm), units)


def small_length(mm: float, units: Units) -> str:
    """A length that is not negative and may be small: one that would be rounded to nothing is named as less than a step."""
    text = fine_length(mm, units)
    nothing = format_length(0.0, units, decimals=1)
    return f"under {'1/32 in' if units == 'in' else '0.1 mm'}" if text == nothing and mm > 0.0 else text


def exact_length(mm: float, units: Units) -> str:
    """A length to be set or cut, as it is: on a mark of the tape as a technician reads it, else in decimals."""
    for text in (length(mm, units), fine_length(mm, units)):
        if abs(float(parse_length(text)) - mm) <= 0.01:
            return text
    decimals = f"{mm / float(INCH_MM) if units == 'in' else mm:.3f}"
    return f"{decimals.rstrip('0').rstrip('.')} {units}"


def where(judged: Judged) -> str:
    """The mode and state of a row, as far as they matter: "chucker, rear limit"."""
    if judged.row.mode == FIXED:
        return ""
    parts = [judged.row.mode or "", judged.row.state]
    return ", ".join(part for part in parts if part not in ("", NO_STATE, STANDING))


def named(judged: Judged) -> str:
    """A row by its title and where it is judged."""
    place = where(judged)
    return f"{judged.row.title.lower()} ({place})" if place else judged.row.title.lower()


def chances(probability: float) -> str:
    """A probability in two digits at most, never a certainty."""
    hundredths = math.floor(probability * 100.0 + 0.5)
    if hundredths >= 100:
        return "more than 99 in 100"
    return "less than 1 in 100" if hundredths <= 0 else f"{hundredths} in 100"


def headline(placement: Placement) -> str:
    """The verdict in a line."""
    text = HEADLINES[placement.verdict]
    if placement.asked_mm is not None:
        text = f"At {exact_length(placement.asked_mm, placement.job.units)} it {text[0].lower()}{text[1:]}"
    modes = len(placement.layout.modes)
    if placement.verdict is Verdict.FITS and modes > 1:
        text += " in both modes" if modes == 2 else f" in all {modes} modes"
    return f"{text}: with today's readings, the chance that everything holds is {chances(placement.probability)}"


def spoken(placement: Placement) -> str:
    """What to do, in one or two sentences."""
    blocked = [judged for judged in placement.failing if judged.row.side is Side.NONE]
    if placement.aim_mm is None or blocked:
        return " ".join((*_excluded(placement), *_blocked(placement, blocked)))
    if placement.asked_mm is not None:
        return f"{_asked(placement, placement.asked_mm)}; {_range(placement)}."
    face = "Set the nose-clamp face" if placement.verdict is Verdict.FITS else "The nose-clamp face would best stand"
    aim = exact_length(placement.aim_mm, placement.job.units)
    cut = f"Cut the nose by {exact_length(placement.cut_mm, placement.job.units)}. " if placement.cut_mm > 0.0 else ""
    return f"{cut}{face} {aim} behind the adapter{_headstock(placement)}; {_range(placement)}."


def _headstock(placement: Placement) -> str:
    """Where the headstock must be for the standoff to be read."""
    if not placement.job.sliding:
        return ""
    modes = placement.layout.modes
    return ", headstock fully back" + (f" in {modes[0].name} mode" if len(modes) > 1 else "")


def _asked(placement: Placement, asked_mm: float) -> str:
    """What happens at the standoff that was asked for."""
    units = placement.job.units
    cut = f", nose cut by {exact_length(placement.cut_mm, units)}" if placement.cut_mm > 0.0 else ""
    place = f"At {exact_length(asked_mm, units)} behind the adapter{_headstock(placement)}{cut}, "
    if placement.failing:
        return place + _together(_lacking(judged, where(judged), units) for judged in placement.failing)
    return place + ("everything holds" if placement.verdict is Verdict.FITS else "everything holds, but it is not sure")


def _range(placement: Placement) -> str:
    """Which standoffs will do: the guarded window rounded inwards, or else what the plain one would allow."""
    units = placement.job.units
    within = placement.window if placement.guarded.empty else placement.guarded
    inside = round_inward(least_mm=within.least_mm, greatest_mm=within.greatest_mm, units=units)
    if not placement.guarded.empty:
        return "there is less than a step of the tape either way" if inside is None else f"{_from_to(*inside, units)} will do"
    if inside is None:
        return "there is less than a step of the tape to spare, and none of it is sure with today's readings"
    return f"{_from_to(*inside, units)} would do if every reading were exact, but none of it is sure with today's readings"


def _from_to(least_mm: float, greatest_mm: float, units: Units) -> str:
    if not math.isfinite(greatest_mm):
        return f"anything from {length(least_mm, units)} up"
    if not math.isfinite(least_mm):
        return f"anything up to {length(greatest_mm, units)}"
    if greatest_mm - least_mm < step_mm(units) / 2:
        return f"of the marks on the tape only {length(least_mm, units)}"
    return f"anything from {length(least_mm, units).removesuffix(units).rstrip()} to {length(greatest_mm, units)}"


def _excluded(placement: Placement) -> Iterator[str]:
    """Which requirements exclude each other, and by how much."""
    found, units = placement.contradiction, placement.job.units
    if found is None:
        return
    low, high = ([named(placement.rows[i]) for i in side] for side in (found.at_least, found.at_most))
    needs, allows = "needs" if len(low) == 1 else "need", "allows" if len(high) == 1 else "allow"
    least, greatest = fine_length(placement.window.least_mm, units), fine_length(placement.window.greatest_mm, units)
    yield (
        f"No standoff serves: {listed(low)} {needs} at least {least}, {listed(high)} {allows} at most {greatest};"
        f" {small_length(found.by_mm, units)} is missing."
    )


def _blocked(placement: Placement, blocked: Sequence[Judged]) -> Iterator[str]:
    """What fails that no standoff can mend."""
    if blocked:
        units = placement.job.units
        lacking = _together(_lacking(judged, narrowest(placement, judged), units) for judged in blocked)
        yield f"{'No standoff helps' if placement.contradiction is None else 'Besides'}: {lacking}."


def _lacking(judged: Judged, place: str, units: Units) -> tuple[str, str]:
    """What happens where a row does not hold; and where, with how much is missing."""
    missing = f"{small_length(-judged.slack_mm, units)} missing"
    return judged.row.failure, f"{place}, {missing}" if place else missing


def _together(failures: Iterable[tuple[str, str]]) -> str:
    """Failures with their places, each failure named once."""
    places: dict[str, list[str]] = {}
    for failure, place in failures:
        places.setdefault(failure, []).append(place)
    return listed(f"{failure} ({'; '.join(at)})" if any(at) else failure for failure, at in places.items())


def narrowest(placement: Placement, judged: Judged) -> str:
    """Which comparison of a row without the standoff is the tightest."""
    values_mm = placement.layout.values_mm(standoff_mm=placement.standoff_mm, cut_mm=placement.cut_mm)
    return min(judged.row.slacks, key=lambda named_slack: named_slack[1].value(values_mm))[0]


def why(placement: Placement) -> str:
    """What ends the window on either side."""
    if placement.window.empty:
        return ""
    near = [j for j in placement.rows if j.binding and j.row.side is Side.AT_LEAST]
    far = [j for j in placement.rows if j.binding and j.row.side is Side.AT_MOST]
    ends = (("nearer", near), ("farther", far))
    parts = [f"any {side}, {_together((j.row.failure, where(j)) for j in rows)}" for side, rows in ends if rows]
    text = "; ".join(parts)
    return f"{text[0].upper()}{text[1:]}." if text else ""


def listed(parts: Iterable[str], *, last: str = "and") -> str:
    """Items joined as spoken."""
    items = list(parts)
    return items[0] if len(items) == 1 else f"{', '.join(items[:-1])} {last} {items[-1]}"
