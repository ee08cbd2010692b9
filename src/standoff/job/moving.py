"""Moving the loader: where it stands by any reading, how far and which way it must go, and what to read again afterwards.

    standoff = gap from clamp face to adapter + loader shift - headstock travel

The travel comes from the control's Z, from a limit, or, without power, from the cover: where the adapter is now against where
it is with the headstock fully back.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from standoff.errors import UsageError
from standoff.job.job import Job
from standoff.job.placement import Placement
from standoff.model.form import STANDOFF, Form
from standoff.model.requirement import Requirement
from standoff.model.state import BAR_CHANGE, FRONT_LIMIT, REAR_LIMIT, Mode
from standoff.reading import Reading
from standoff.units import step_mm

Headstock = Literal["rear", "front", "z", "out", "in"]
COVERAGE = 2.0
"""Expanded uncertainty, about 95 % (JCGM 100:2008, 6.2.1)."""


@dataclass(frozen=True, slots=True)
class Stand:
    """Where the loader stands [mm], how sure that is (standard uncertainty), and how it follows from what was read."""

    standoff_mm: float
    u_mm: float
    how: str


@dataclass(frozen=True, slots=True)
class Move:
    """How far to go [mm], positive away from the lathe; `done`: it already stands within the tolerance band."""

    by_mm: float
    done: bool
    least_mm: float
    greatest_mm: float


def stand(job: Job, *, gap: Reading, mode: str, headstock: Headstock, at: Reading | None = None, shifted: bool = False) -> Stand:
    """Where does the loader stand, by the gap from clamp face to adapter with the headstock and the loader as they are?

    Args:
        gap: what was read. mode: the mode whose limits or shift are meant. shifted: the loader has made the mode's shift.
        headstock: fully back or forward in that mode, at the control's Z, or told without power by how far the adapter sticks
            `out` of the cover or lies `in` it; the last three need `at`.

    Raises: UsageError where `at` is missing, or the cover was never surveyed.
    """
    chosen = job.layout.mode(mode)
    travel, extra_mm, extra_u_mm, words = _travel(job, chosen, headstock, at)
    form = (chosen.shift if shifted else Form()) - travel
    values_mm, u_mm = job.layout.values_mm(), job.layout.uncertainties_mm()
    spread = (gap.u_mm**2 + form.spread(u_mm) ** 2 + extra_u_mm**2) ** 0.5
    how = f"gap read, less headstock travel ({words})" + (f", plus the shift of {mode}" if shifted else "")
    return Stand(gap.value_mm + form.value(values_mm) - extra_mm, spread, how)


def _travel(job: Job, mode: Mode, headstock: Headstock, at: Reading | None) -> tuple[Form, float, float, str]:
    """The headstock's travel as a form, plus what a reading adds to it [mm] with its uncertainty."""
    if headstock == "rear":
        return mode.rear, 0.0, 0.0, f"rear limit of {mode.name}"
    if headstock == "front":
        return mode.front, 0.0, 0.0, f"front limit of {mode.name}"
    if at is None:
        raise UsageError(
            what="headstock position", given="nothing", allowed="Z, or cover to adapter", action="type where it stands"
        )
    if headstock == "z":
        sign = -1.0 if job.tables.lathe.z_forward == "negative" else 1.0
        rear = Form.of("lathe.modes[0].z_rear").times(-sign)
        return rear, sign * at.value_mm, at.u_mm, f"from Z {at.text}"
    if "lathe.cover_to_adapter" not in job.readings:
        raise UsageError(
            what="headstock position", given="cover to adapter", allowed="a survey of the cover", action="measure the cover first"
        )
    inside_mm = at.value_mm if headstock == "in" else -at.value_mm
    words = "inside the cover" if headstock == "in" else "out of the cover"
    return -Form.of("lathe.cover_to_adapter"), inside_mm, at.u_mm, f"adapter now {at.text} {words}"


def move(placement: Placement, *, standoff_mm: float) -> Move | None:
    """How far must the loader go from where it stands? None where no standoff serves.

    Within the guarded window, or where that is empty within a step of the tape of the aim, it may stay.
    """
    if placement.aim_mm is None:
        return None
    guarded, aim_mm = placement.guarded, placement.aim_mm
    if guarded.empty:
        band_mm = step_mm(placement.job.units)
        least_mm, greatest_mm = aim_mm - band_mm, aim_mm + band_mm
    else:
        least_mm, greatest_mm = guarded.least_mm, guarded.greatest_mm
    done = least_mm <= standoff_mm <= greatest_mm
    return Move(by_mm=aim_mm - standoff_mm, done=done, least_mm=least_mm, greatest_mm=greatest_mm)


@dataclass(frozen=True, slots=True)
class Direct:
    """One distance to read directly after moving: what it must be at least, and what the record predicts [mm]."""

    id: str
    title: str
    mode: str
    state: str
    start: str
    end: str
    predicted_mm: float
    u_mm: float
    least_mm: float


@dataclass(frozen=True, slots=True)
class Compared:
    """A direct reading against its prediction and its limits."""

    direct: Direct
    read_mm: float
    differs_mm: float
    agrees: bool
    holds: bool


def directs(placement: Placement, *, standoff_mm: float, standoff_u_mm: float) -> tuple[Direct, ...]:
    """What to read after moving, aligning and anchoring: nose at the rear limit, reach at the front, gripper at bar change."""
    return tuple(_directs(placement, standoff_mm, standoff_u_mm))


def _directs(placement: Placement, standoff_mm: float, standoff_u_mm: float) -> Iterator[Direct]:
    layout = placement.layout
    values_mm = layout.values_mm(standoff_mm=standoff_mm, cut_mm=placement.cut_mm)
    u_mm = layout.uncertainties_mm() | {STANDOFF: standoff_u_mm}
    wanted = (
        ("nose-room", "Room for the nose", "clamp", "adapter", REAR_LIMIT),
        ("pusher-reach", "Pusher past the collet's back", "main-collet", "pusher-tip", FRONT_LIMIT),
        ("full-bar", "Gripper to collet", "gripper", "main-collet", BAR_CHANGE),
    )
    limits = {r.id: r.limit.value(values_mm) for r in layout.requirements if isinstance(r, Requirement)}
    for mode in layout.modes:
        for id_, title, start, end, state in wanted:
            form = layout.gap(start, end, mode.at(state))
            yield Direct(
                id=id_,
                title=title,
                mode=mode.name,
                state=state,
                start=start,
                end=end,
                predicted_mm=form.value(values_mm),
                u_mm=form.spread(u_mm),
                least_mm=limits[id_],
            )


def compare(direct: Direct, reading: Reading) -> Compared:
    """Does a direct reading agree with the record, and does it hold by itself?

    It agrees when it differs by no more than twice the joint standard uncertainty.
    """
    differs_mm = reading.value_mm - direct.predicted_mm
    allowed_mm = COVERAGE * (direct.u_mm**2 + reading.u_mm**2) ** 0.5
    holds = reading.value_mm >= direct.least_mm
    return Compared(direct, reading.value_mm, differs_mm, abs(differs_mm) <= allowed_mm, holds)
