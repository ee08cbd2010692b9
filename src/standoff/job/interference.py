"""What must never happen in a bar's life beyond the static requirements: wrong order, a pusher too far, a bar that nobody holds.

Each rule is read off the moments alone, so that it also judges a course that was not made here.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from standoff.job.motions import DROP, END, INSERT, LOAD, PRE_FEED, PULL, PUSH, Course, Floats
from standoff.units import ON_STEP_MM

Flags = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, eq=False)
class Interference:
    """A rule that a course breaks: at which moments, and by how much there [mm]; 0 where there is no length to it."""

    id: str
    title: str
    failure: str
    moments: Flags
    by_mm: Floats


def interferences(moments: Course) -> tuple[Interference, ...]:
    """Every rule that the moments break, in a fixed order."""
    return tuple(rule for rule in _rules(moments) if rule.moments.any())


def _rules(moments: Course) -> Iterator[Interference]:
    """Each rule with the moments that break it, broken or not."""
    places, reach, step = moments.places, moments.places.reach, moments.step
    none_mm = np.zeros(len(moments))

    def rule(id_: str, title: str, failure: str, broken: Flags, by_mm: Floats = none_mm) -> Interference:
        """One rule."""
        return Interference(id_, title, failure, broken, by_mm)

    beyond_mm = moments.tip_mm - reach.tip_limit_mm
    yield rule("pusher-beyond-reach", "Pusher's limit", "the pusher would go beyond its limit", beyond_mm > ON_STEP_MM, beyond_mm)
    inside_mm = moments.tip_mm - moments.collet_mm - reach.into_collet_mm
    meets = (inside_mm > ON_STEP_MM) & ~((step == PUSH) & places.pusher_slips)
    yield rule("pusher-in-collet", "Pusher and collet", "the pusher would strike the collet", meets, inside_mm)
    lost_mm = moments.rear_mm - moments.collet_mm - places.collet_front_mm
    lost = moments.collet_closed & (lost_mm > ON_STEP_MM) & (places.collet_front_mm > 0.0) & ~moments.sub_spindle
    yield rule("bar-lost", "Grip of the collet", "the bar's end would lie in front of the collet", lost, lost_mm)
    behind_mm = moments.rear_mm - moments.tip_mm
    yield rule("bar-unheld", "Hold on the bar", "nothing would hold the bar", _unheld(moments, behind_mm), behind_mm)
    dragged_mm = _dragged_mm(moments)
    yield rule("bar-dragged", "Closed while moving", "the bar would move while it is held", dragged_mm > ON_STEP_MM, dragged_mm)
    yield rule("wrong-order", "Order of the cycle", "a step would begin before it may", _disorder(moments))


def _unheld(moments: Course, behind_mm: Floats) -> Flags:
    """From insertion to the end of the bar: neither collet, gripper nor sub-spindle holds it, and the pusher stands off it."""
    held = moments.collet_closed | moments.gripper_closed | moments.sub_spindle | (behind_mm <= ON_STEP_MM)
    begun = np.cumsum(moments.step == INSERT) > 0
    over = np.isin(moments.step, (END, PULL, PUSH, DROP))
    found: Flags = begun & ~held & ~over
    return found


def _dragged_mm(moments: Course) -> Floats:
    """How far the bar moves in the main collet, or in the gripper, while that is closed. [mm]"""
    rear_mm, travel_mm = np.diff(moments.rear_mm), np.diff(moments.travel_mm)
    in_collet_mm = np.where(_both(moments.collet_closed), np.abs(rear_mm - travel_mm), 0.0)
    in_gripper_mm = np.where(_both(moments.gripper_closed), np.abs(rear_mm), 0.0)
    return np.concatenate([[0.0], np.maximum(in_collet_mm, in_gripper_mm)])


def _both(closed: Flags) -> Flags:
    """Whether something is closed at both ends of each motion."""
    found: Flags = closed[1:] & closed[:-1]
    return found


def _disorder(moments: Course) -> Flags:
    """Collet closed as a bar comes or the remnant goes, collet and gripper closed at once, tool in the way of a bar."""
    step, out = moments.step, moments.front_mm > moments.places.reach.cut_off_mm + ON_STEP_MM
    closed = np.isin(step, (LOAD, PRE_FEED, PULL, DROP, PUSH)) & moments.collet_closed
    pierced = np.concatenate([[False], (moments.tool_in[:-1] & moments.tool_in[1:]) & _fed(moments, out)])
    found: Flags = closed | (moments.collet_closed & moments.gripper_closed) | pierced
    return found


def _fed(moments: Course, out: Flags) -> Flags:
    """Motions in which the bar is fed beyond the cut-off plane, where the tool must not stand."""
    fed: Flags = (np.diff(moments.front_mm) > ON_STEP_MM) & out[1:]
    return fed
