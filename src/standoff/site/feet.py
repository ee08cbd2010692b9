"""What each foot of the loader carries, and what presses on the slab below it.

Three feet are a matter of statics. With more of them the floor decides: a rigid frame on equal springs shares the load evenly;
on a floor that is not flat it rocks, and three feet carry all. No sharing of the load among feet that can only push loads a foot
more than the worst three feet do: whatever else can be in balance lies between such cases.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from standoff.bar.checks import require_finite, require_positive
from standoff.errors import UsageError
from standoff.site.markout import require_names

Array = NDArray[np.float64]
GRAVITY_M_S2 = 9.80665
"""Standard gravity: exact by definition (NIST SP 811, appendix B)."""

FEWEST, MOST = 3, 8
_NOISE = 1e-9
_METRE_MM = 1000.0
_FLAT = 1e-3
"""Feet whose spread is a smaller share of a metre than this stand in one line."""


@dataclass(frozen=True, slots=True)
class Pad:
    """A foot on the floor: where its middle is [mm], and the area of its pad, None where nobody stated it [mm2]."""

    name: str
    x_mm: float
    y_mm: float
    area_mm2: float | None = None

    def __post_init__(self) -> None:
        require_finite(f"place of {self.name}", self.x_mm)
        require_finite(f"place of {self.name}", self.y_mm)
        if self.area_mm2 is not None:
            require_positive(f"pad of {self.name}", self.area_mm2)


@dataclass(frozen=True, slots=True)
class Mass:
    """A mass on the feet with its centre of gravity, the loader not shifted.

    `comes_and_goes`: it is not always there; `shifts`: it moves with the loader's shift, while the feet stay.
    """

    name: str
    mass_kg: float
    x_mm: float
    y_mm: float
    comes_and_goes: bool = False
    shifts: bool = True

    def __post_init__(self) -> None:
        require_positive(f"mass of {self.name}", self.mass_kg)
        require_finite(f"centre of {self.name}", self.x_mm)
        require_finite(f"centre of {self.name}", self.y_mm)


@dataclass(frozen=True, slots=True)
class FootLoad:
    """What a foot carries: least and greatest as the load is shared evenly, and the greatest on three feet [N].

    `pressure_mpa` is the greatest on three feet over the pad's area, None where that is not stated.
    """

    pad: Pad
    least_n: float
    even_n: float
    worst_n: float
    pressure_mpa: float | None


@dataclass(frozen=True, slots=True)
class Case:
    """What is on the feet at a time: its weight [N], what is not there, the shift, and the centre of gravity [mm]."""

    weight_n: float
    without: tuple[str, ...]
    shift_mm: float
    x_mm: float
    y_mm: float


@dataclass(frozen=True, slots=True)
class FootLoads:
    """All feet, the whole weight with everything on it [N], and how far inside its feet the loader's weight stays [mm].

    `tipping_mm`: the least distance of a centre of gravity from the edge between two feet, over every case; negative: it tips
    over, and no foot has a load. `nearest` is the case in which it lies there.
    """

    feet: tuple[FootLoad, ...]
    weight_n: float
    tipping_mm: float
    nearest: Case
    cases: int


def foot_loads(pads: Sequence[Pad], masses: Sequence[Mass], *, shifts_mm: Sequence[float] = ()) -> FootLoads:
    """What does each foot carry?

    Every case is reckoned: masses that come and go there and not there, unshifted and at the shift of each mode. In each the load
    is shared as by a rigid frame on equal springs that only push, and then as by any three feet that can carry it alone. Even
    sharing errs low on a floor that is not flat; the worst of three is a bound for a loader that is not anchored.

    Args:
        pads: the feet, 3 to 8, not in one line.
        masses: what stands on them.
        shifts_mm: the loader's shift in each mode [mm].

    Returns:
        Loads [N], pressures [MPa], and the way to tipping [mm].

    Raises:
        UsageError: too few or too many feet, feet in one line, no mass that stays, a name used twice.

    Validity: standing still on a level floor; no force from anchors, bars being loaded, or the shift's starting and stopping.
    Source: statics of a rigid body; extreme cases of a linear programme.

    >>> feet = [Pad("a", 0.0, 0.0), Pad("b", 1000.0, 0.0), Pad("c", 0.0, 1000.0), Pad("d", 1000.0, 1000.0)]
    >>> found = foot_loads(feet, [Mass("frame", 400.0, 500.0, 500.0)])
    >>> [round(foot.even_n) for foot in found.feet], [round(foot.worst_n) for foot in found.feet]
    ([981, 981, 981, 981], [1961, 1961, 1961, 1961])
    """
    _require(pads, masses)
    cases = [
        _together(case, masses, shift_mm=shift_mm) for case in _cases(masses) for shift_mm in sorted({0.0, *shifts_mm}, key=abs)
    ]
    tips = [_inside_mm(pads, x_mm=case.x_mm, y_mm=case.y_mm) for case in cases]
    # Of cases alike the heaviest is named, not shifted.
    first = min(range(len(cases)), key=lambda i: (round(tips[i], 3), -cases[i].weight_n, abs(cases[i].shift_mm)))
    weight_n = max(case.weight_n for case in cases)
    if min(tips) < 0.0:
        return FootLoads((), weight_n, min(tips), cases[first], len(cases))
    even = np.array([_shared_evenly(pads, weight_n=case.weight_n, x_mm=case.x_mm, y_mm=case.y_mm) for case in cases])
    worst = np.array([_worst_of_three(pads, weight_n=case.weight_n, x_mm=case.x_mm, y_mm=case.y_mm) for case in cases])
    feet = tuple(_foot(pad, even[:, i], worst[:, i]) for i, pad in enumerate(pads))
    return FootLoads(feet, weight_n, min(tips), cases[first], len(cases))


def _foot(pad: Pad, shared_n: Array, worst_n: Array) -> FootLoad:
    most_n = float(worst_n.max())
    pressure = None if pad.area_mm2 is None else most_n / pad.area_mm2
    return FootLoad(pad, float(shared_n.min()), float(shared_n.max()), most_n, pressure)


def _require(pads: Sequence[Pad], masses: Sequence[Mass]) -> None:
    if not FEWEST <= len(pads) <= MOST:
        raise UsageError(what="feet", given=str(len(pads)), allowed=f"{FEWEST} to {MOST}", action="list the feet that bear")
    require_names("foot", [pad.name for pad in pads])
    require_names("mass", [mass.name for mass in masses])
    places = np.array([[pad.x_mm, pad.y_mm] for pad in pads]) / _METRE_MM
    if np.linalg.svd(places - places.mean(axis=0), compute_uv=False)[-1] < _FLAT:
        raise UsageError(
            what="feet", given="in one line", allowed="feet on both sides", action="check where they were said to stand"
        )
    if all(mass.comes_and_goes for mass in masses):
        raise UsageError(
            what="masses", given="none that stays", allowed="the loader's own mass", action="state the loader's mass"
        )


def _cases(masses: Sequence[Mass]) -> list[list[Mass]]:
    """Every case of what may be there: those that stay, with each choice of those that come and go."""
    stay = [mass for mass in masses if not mass.comes_and_goes]
    go = [mass for mass in masses if mass.comes_and_goes]
    return [[*stay, *some] for count in range(len(go) + 1) for some in combinations(go, count)]


def _together(there: Sequence[Mass], masses: Sequence[Mass], *, shift_mm: float) -> Case:
    """Weight [N] and centre of gravity [mm] of all that is there, at a shift."""
    total_kg = sum(mass.mass_kg for mass in there)
    x_mm = sum(mass.mass_kg * (mass.x_mm + (shift_mm if mass.shifts else 0.0)) for mass in there) / total_kg
    y_mm = sum(mass.mass_kg * mass.y_mm for mass in there) / total_kg
    names = {mass.name for mass in there}
    without = tuple(mass.name for mass in masses if mass.name not in names)
    return Case(total_kg * GRAVITY_M_S2, without, shift_mm, x_mm, y_mm)


def _rows(pads: Sequence[Pad], *, x_mm: float, y_mm: float) -> Array:
    """Balance of forces and of moments about the centre of gravity, one column for each foot."""
    return np.array([[1.0, (pad.x_mm - x_mm) / _METRE_MM, (pad.y_mm - y_mm) / _METRE_MM] for pad in pads]).T


def _shared_evenly(pads: Sequence[Pad], *, weight_n: float, x_mm: float, y_mm: float) -> Array:
    """Equal springs that only push: the one set of bearing feet whose plane presses each of them and lifts off the others."""
    rows, wanted = _rows(pads, x_mm=x_mm, y_mm=y_mm), np.array([weight_n, 0.0, 0.0])
    for count in range(len(pads), FEWEST - 1, -1):
        for bearing in combinations(range(len(pads)), count):
            chosen = rows[:, bearing]
            if np.linalg.matrix_rank(chosen, tol=_FLAT) < FEWEST:
                continue
            plane = np.linalg.solve(chosen @ chosen.T, wanted)
            presses = plane @ rows
            idle = [i for i in range(len(pads)) if i not in bearing]
            if min(presses[list(bearing)]) >= -_NOISE * weight_n and all(presses[i] <= _NOISE * weight_n for i in idle):
                loads = np.zeros(len(pads))
                loads[list(bearing)] = np.maximum(presses[list(bearing)], 0.0)
                return loads
    # On the very edge between two feet only these two bear.
    return _worst_of_three(pads, weight_n=weight_n, x_mm=x_mm, y_mm=y_mm)


def _worst_of_three(pads: Sequence[Pad], *, weight_n: float, x_mm: float, y_mm: float) -> Array:
    """The most each foot carries when three feet carry all, over every three that can."""
    rows, wanted = _rows(pads, x_mm=x_mm, y_mm=y_mm), np.array([weight_n, 0.0, 0.0])
    most = np.zeros(len(pads))
    for three in combinations(range(len(pads)), FEWEST):
        chosen = rows[:, three]
        if abs(float(np.linalg.det(chosen))) < _FLAT**2:
            continue
        loads = np.linalg.solve(chosen, wanted)
        if loads.min() >= -_NOISE * weight_n:
            most[list(three)] = np.maximum(most[list(three)], loads)
    return most


def _inside_mm(pads: Sequence[Pad], *, x_mm: float, y_mm: float) -> float:
    """How far inside the outline of the feet a point lies; negative: outside. [mm]"""
    inside = math.inf
    for one, other in combinations(pads, 2):
        if math.dist((one.x_mm, one.y_mm), (other.x_mm, other.y_mm)) <= 1e-6:
            given = f"{one.name} and {other.name} in one place"
            raise UsageError(what="feet", given=given, allowed="feet apart", action="check both")
        asides = [_aside_mm(one, other, x_mm=pad.x_mm, y_mm=pad.y_mm) for pad in pads]
        own_mm = _aside_mm(one, other, x_mm=x_mm, y_mm=y_mm)
        # An edge of the outline has all feet on one side.
        if max(asides) <= 1e-6:
            inside = min(inside, -own_mm)
        elif min(asides) >= -1e-6:
            inside = min(inside, own_mm)
    return inside


def _aside_mm(one: Pad, other: Pad, *, x_mm: float, y_mm: float) -> float:
    """How far left of the line between two feet a point lies. [mm]"""
    length_mm = math.dist((one.x_mm, one.y_mm), (other.x_mm, other.y_mm))
    along = (other.x_mm - one.x_mm, other.y_mm - one.y_mm)
    return (along[0] * (y_mm - one.y_mm) - along[1] * (x_mm - one.x_mm)) / length_mm
