"""Wrong pairings: a loader shift of one mode met by a headstock position of another, which crushes or parts the nose.

The control can bring the headstock anywhere between the limits of all modes, whatever the loader's shift is; a requirement that
holds in each mode's own states says nothing of these. Such a pairing needs an interlock or a fixed procedure.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import permutations

from standoff.model.layout import Layout
from standoff.model.requirement import Requirement, Side
from standoff.model.state import State


@dataclass(frozen=True, slots=True)
class Pairing:
    """The loader shifted as in `shift_mode`, the headstock at a limit of `headstock_mode`: what is missing there [mm]."""

    requirement: str
    shift_mode: str
    headstock_mode: str
    state: str
    failure: str
    missing_mm: float


def wrong_pairings(layout: Layout, *, standoff_mm: float, cut_mm: float) -> tuple[Pairing, ...]:
    """Every pairing of one mode's shift with another's limits in which the nose touches its end or comes apart."""
    values_mm = layout.values_mm(standoff_mm=standoff_mm, cut_mm=cut_mm)
    between = [
        requirement
        for requirement in layout.judged()
        if isinstance(requirement, Requirement) and (requirement.start, requirement.end) == ("clamp", "adapter")
    ]
    found = []
    for requirement in between:
        for shifted, other in permutations(layout.modes, 2):
            headstock = other.at(requirement.state).headstock
            state = State(requirement.state, shifted.name, headstock=headstock, shift=shifted.shift)
            gap_mm = layout.gap("clamp", "adapter", state).value(values_mm)
            contact_mm = requirement.contact.value(values_mm)
            missing_mm = contact_mm - gap_mm if requirement.side is Side.AT_LEAST else gap_mm - contact_mm
            if missing_mm > 0.0:
                found.append(Pairing(requirement.id, shifted.name, other.name, state.name, requirement.failure, missing_mm))
    return tuple(found)
