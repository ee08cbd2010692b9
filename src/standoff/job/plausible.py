"""Values that can be typed but are hardly meant: feet for inches, a reach shorter than the nose, a travel of feet.

Nothing is refused here: each is questioned in the answer's warnings. The ranges are wide, chosen from the sizes in which bar
loaders for bars of 6 to 12 feet are built (common practice, no published source).
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator

from standoff.job.caution import Caution
from standoff.job.job import Job
from standoff.model.state import FRONT_LIMIT, REAR_LIMIT
from standoff.reading import Reading
from standoff.units import Units, format_length

SOURCE = "common practice, no published source"

USUAL_MM = {
    "lathe.adapter_to_collet": (100.0, 2500.0),
    "lathe.cover_to_adapter": (-600.0, 600.0),
    "lathe.cover_to_wall": (1500.0, 30000.0),
    "lathe.collet_to_cutoff": (20.0, 1200.0),
    "lathe.centre_height": (600.0, 1600.0),
    "loader.bar_capacity": (900.0, 7000.0),
    "loader.pusher_reach": (200.0, 3500.0),
    "loader.gripper_behind_clamp": (600.0, 7000.0),
    "loader.body_ahead_of_clamp": (-1000.0, 600.0),
    "loader.length_behind_clamp": (1000.0, 9000.0),
    "nose.collapsed": (50.0, 900.0),
    "nose.extended": (100.0, 1500.0),
    "nose.length": (50.0, 1500.0),
    "rules.longest_bar": (300.0, 7000.0),
    "nose.entry_depth": (0.0, 250.0),
    "bar_path.pusher_od": (4.0, 130.0),
    "bar_path.pusher_collet_od": (4.0, 130.0),
    "rules.bar_margin": (10.0, 500.0),
}
"""Lengths outside these are questioned."""
USUAL_BORE_MM = (5.0, 200.0)
"""Any bore that bar and pusher pass."""

MISTAKEN = (
    ("ft", 1 / 12, "were inches meant instead of feet?"),
    ("in", 12.0, "were feet meant instead of inches?"),
    ("in", 1 / 25.4, "were millimetres meant instead of inches?"),
    ("mm", 25.4, "were inches meant instead of millimetres?"),
    ("mm", 10.0, "were centimetres meant instead of millimetres?"),
    ("mm", 1000.0, "were metres meant instead of millimetres?"),
    ("cm", 0.1, "were millimetres meant instead of centimetres?"),
    ("m", 0.001, "were millimetres meant instead of metres?"),
)
"""A unit as typed, the factor to another one, and the question whether that was meant."""

USUAL_SHIFT_MM = 600.0
USUAL_TRAVEL_MM = 610.0
LEAST_TRAVEL_MM = 15.0
LEAST_BAR_SHARE = 0.25
"""A longest bar of less than this share of what the loader takes is questioned: full bars are then not looked at."""


def implausible(job: Job) -> tuple[Caution, ...]:
    """The questions to ask about the values of a job, at most one about each."""
    questions: dict[str, Caution] = {}
    for question in (*_out_of_range(job), *_against_each_other(job)):
        questions.setdefault(question.id, question)
    return tuple(questions.values())


def caution_about(field: str, text: str) -> Caution:
    """A question about a field, in words that say which it is."""
    return Caution(f"implausible:{field}", text, SOURCE)


def _ask(field: str, text: str) -> Caution:
    return caution_about(field, f"{field}: {text}")


def unusual(field: str, reading: Reading, units: Units) -> str:
    """What to ask about one length by itself; empty for a usual one."""
    usual_mm = USUAL_BORE_MM if re.fullmatch(r"passage\[\d+\]\.bore", field) else USUAL_MM.get(field, (-math.inf, math.inf))
    return outside(reading, usual_mm, units)


def outside(reading: Reading, usual_mm: tuple[float, float], units: Units) -> str:
    """What to ask about a length outside of what is usual; empty for one within."""
    least_mm, greatest_mm = usual_mm
    if least_mm <= reading.value_mm <= greatest_mm:
        return ""
    usual = f"{format_length(least_mm, units)} to {format_length(greatest_mm, units)}"
    meant = _meant(reading, least_mm, greatest_mm) or "."
    return (
        f"{reading.text or format_length(reading.value_mm, units)} is unusual ({usual} is usual){meant}"
        " Check the reading and its unit."
    )


def _out_of_range(job: Job) -> Iterator[Caution]:
    for field, reading in job.readings.items():
        question = unusual(field, reading, job.units)
        if question:
            yield _ask(field, question)
    for i, mode in enumerate(job.layout.modes):
        values_mm = job.layout.values_mm()
        shift_mm = mode.shift.value(values_mm)
        if abs(shift_mm) > USUAL_SHIFT_MM:
            yield _ask(
                f"lathe.modes[{i}].loader_shift",
                f"a shift of {format_length(shift_mm, job.units)} is unusual. Check the reading and its unit.",
            )


def _meant(reading: Reading, least_mm: float, greatest_mm: float) -> str:
    """Which other unit would make a length usual: only asked of the unit it was typed in."""
    for unit, factor, question in MISTAKEN:
        if unit == _typed(reading.text) and least_mm <= reading.value_mm * factor <= greatest_mm:
            return f"; {question}"
    return ""


def _typed(text: str) -> str:
    """The unit a length was typed in, the greater one where there are two."""
    metric = re.search("[cm]?m", text.lower())
    if metric:
        return metric[0]
    return "ft" if re.search("[f'′’‘]", text.lower()) else "in"


def _against_each_other(job: Job) -> Iterator[Caution]:
    layout, values_mm = job.layout, job.layout.values_mm()
    for i, mode in enumerate(layout.modes):
        travel_mm = (mode.at(FRONT_LIMIT).headstock - mode.at(REAR_LIMIT).headstock).value(values_mm)
        if 0.0 < travel_mm < LEAST_TRAVEL_MM:
            yield _ask(
                f"lathe.modes[{i}].z_front",
                f"the headstock would travel only {format_length(travel_mm, job.units)}. Check both limits and their unit.",
            )
        if travel_mm > USUAL_TRAVEL_MM:
            yield _ask(
                f"lathe.modes[{i}].z_front",
                f"the headstock would travel {format_length(travel_mm, job.units)}. Check both limits and their unit.",
            )
    nose_mm = values_mm["nose.collapsed" if job.telescopic else "nose.length"]
    if values_mm["loader.pusher_reach"] < nose_mm:
        yield _ask("loader.pusher_reach", "the pusher would not even reach the end of the nose. Check both readings.")
    longest_mm = values_mm.get("rules.longest_bar")
    if longest_mm is not None and longest_mm < LEAST_BAR_SHARE * values_mm["loader.bar_capacity"]:
        told = f"{format_length(longest_mm, job.units, feet=True)} is less than a quarter of what the loader takes"
        yield _ask("rules.longest_bar", f"{told}. Is no longer bar loaded? Check the reading and its unit.")
    if values_mm["loader.gripper_behind_clamp"] > 2.0 * values_mm["loader.bar_capacity"]:
        yield _ask("loader.gripper_behind_clamp", "this is more than twice the bar. Check the reading and its unit.")
