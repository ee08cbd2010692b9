"""One bar's life as motions: where headstock, loader, pusher and bar stand at each moment, and what is closed.

A moment is a row of arrays; between two moments everything moves evenly, so that every gap is linear in between and its least
value lies at one of them. `Course.step` says to which step a moment's motion (from the moment before) belongs.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from standoff.job.job import Job
from standoff.job.parts import Part
from standoff.job.places import Places, places_of
from standoff.units import ON_STEP_MM

Floats = NDArray[np.float64]
Numbers = NDArray[np.int64]

STEPS = (
    "headstock at its front limit",
    "headstock to its rear limit",
    "headstock to bar change",
    "bar loaded",
    "pre-feed",
    "gripper closes",
    "insertion into the pusher collet",
    "feed to the facing position",
    "facing cut",
    "re-grip",
    "feed to the stop",
    "drawn by the sub-spindle",
    "machining",
    "cut-off",
    "end of bar",
    "pull-out",
    "remnant dropped",
    "remnant pushed out",
)
"""Every step of a bar's life, in its order; a bar is re-gripped, fed to a stop or drawn; its remnant goes back or out."""

HOME, REAR, CHANGE, LOAD, PRE_FEED, GRIP, INSERT, TO_FACING, FACE = range(9)
REGRIP, FEED, DRAW, MACHINE, CUT, END, PULL, DROP, PUSH = range(9, 18)

PUSHER_MM_PER_S, HEADSTOCK_MM_PER_S = 250.0, 400.0
SHORT_S, LOAD_S, FACE_S, MACHINE_S = 0.5, 3.0, 2.0, 2.0
"""How fast things move in the picture, and how long collet, loading, facing, and a part of unknown time take (our choice)."""

BEHIND_MM = 50.0
"""How far the pusher rests behind the bar (our choice)."""

OUT = "out of the front"


@dataclass(frozen=True, slots=True, eq=False)
class Course:
    """Moments, shape (n,): when [s]; headstock's travel, pusher's tip, both ends of the bar [mm]; what holds, step, part."""

    time_s: Floats
    travel_mm: Floats
    tip_mm: Floats
    front_mm: Floats
    rear_mm: Floats
    collet_closed: NDArray[np.bool_]
    gripper_closed: NDArray[np.bool_]
    tool_in: NDArray[np.bool_]
    stop_in: NDArray[np.bool_]
    sub_spindle: NDArray[np.bool_]
    step: Numbers
    part: Numbers
    places: Places

    def __len__(self) -> int:
        return len(self.travel_mm)

    @property
    def collet_mm(self) -> Floats:
        """The back of the main collet at every moment. [mm]"""
        return self.travel_mm + self.places.collet_ahead_mm

    @property
    def shift_mm(self) -> float:
        """How far the loader stands forward in this mode. [mm]"""
        return self.places.shift_mm

    @property
    def loaded_rear_mm(self) -> float:
        """Where the bar's rear end lies after loading. [mm]"""
        return self.places.loaded_rear_mm

    @property
    def gripper_mm(self) -> float:
        """Where the gripper is. [mm]"""
        return self.places.gripper_mm


@dataclass(slots=True)
class _Tape:
    """Blocks of moments, each a table of (travel, tip, front, rear, collet, gripper, tool, step, part, seconds, drawn, stop)."""

    blocks: list[Floats]

    def add(self, step: int, rows: Sequence[Sequence[float]], *, part: int = 0, drawn: bool = False) -> None:
        """Some moments: travel, tip, front, rear, collet, gripper, tool, seconds; `drawn`: the sub-spindle holds the bar."""
        self.blocks.append(np.array([[*row[:7], step, part, row[7], drawn, 0] for row in rows]))


def course(job: Job, part: Part, *, standoff_mm: float, cut_mm: float = 0.0) -> Course:
    """Everything one bar goes through in the part's mode, from loading to the dropped remnant."""
    at = places_of(job, part, standoff_mm=standoff_mm, cut_mm=cut_mm)
    cycle, count = job.tables.cycle, part.count
    stop = (cycle.feed_stop if cycle is not None else None) or ("cut-off tool" if at.sliding else "stop")
    tape = _Tape([])
    _load(tape, at, part)
    tape.blocks.append(_parts(at, part, count - part.drawn, stop))
    if part.drawn:
        _drawn(tape, at, part, count)
    _eject(tape, at, part, count, out=cycle is not None and cycle.ejection == OUT)
    rows = np.concatenate(tape.blocks)
    return Course(
        time_s=np.cumsum(rows[:, 9]),
        travel_mm=rows[:, 0],
        tip_mm=rows[:, 1],
        front_mm=rows[:, 2],
        rear_mm=rows[:, 3],
        collet_closed=rows[:, 4] > 0.5,
        gripper_closed=rows[:, 5] > 0.5,
        tool_in=rows[:, 6] > 0.5,
        stop_in=rows[:, 11] > 0.5,
        sub_spindle=rows[:, 10] > 0.5,
        step=rows[:, 7].astype(np.int64),
        part=rows[:, 8].astype(np.int64),
        places=at,
    )


def _load(tape: _Tape, at: Places, part: Part) -> None:
    """From the homed headstock to a faced bar: the bar lies behind, is pre-fed to the gripper, gripped, pushed to be faced."""
    bar_mm, rear_mm, insertion_mm = part.bar_mm, at.loaded_rear_mm, part.reach.insertion_mm
    resting_mm = min(rear_mm, at.gripper_mm) - BEHIND_MM
    loaded = (resting_mm, rear_mm + bar_mm, rear_mm)
    fed = (resting_mm, at.gripper_mm + bar_mm, at.gripper_mm)
    held = (at.gripper_mm + insertion_mm, fed[1], fed[2])
    facing_mm = part.reach.cut_off_mm + part.facing_mm
    faced = (facing_mm - bar_mm + insertion_mm, facing_mm, facing_mm - bar_mm)
    clean = (faced[0], part.reach.cut_off_mm, faced[2])
    if at.sliding:
        home_s, back_s = _headstock_s(at.rear_mm, at.front_mm), _headstock_s(at.rear_mm, at.change_mm)
        tape.add(HOME, [(at.front_mm, *loaded, 0, 0, 0, 0.0)])
        tape.add(REAR, [(at.rear_mm, *loaded, 0, 0, 0, home_s)])
        tape.add(CHANGE, [(at.change_mm, *loaded, 0, 0, 0, back_s)])
    else:
        tape.add(LOAD, [(at.change_mm, *loaded, 0, 0, 0, 0.0)])
    tape.add(LOAD, [(at.change_mm, *loaded, 0, 0, 0, LOAD_S)])
    tape.add(PRE_FEED, [(at.change_mm, *fed, 0, 0, 0, _pusher_s(rear_mm, at.gripper_mm))])
    tape.add(GRIP, [(at.change_mm, *fed, 0, 1, 0, SHORT_S)])
    tape.add(INSERT, [(at.change_mm, *held, 0, 1, 0, _pusher_s(resting_mm, held[0]))])
    tape.add(TO_FACING, [(at.change_mm, *held, 0, 0, 0, SHORT_S), (at.change_mm, *faced, 0, 0, 0, _pusher_s(held[0], faced[0]))])
    tape.add(FACE, [(at.change_mm, *faced, 1, 0, 0, SHORT_S), (at.change_mm, *clean, 1, 0, 1, FACE_S)])


def _parts(at: Places, part: Part, count: int, stop: str) -> Floats:
    """So many parts at once: for each feed the collet opens, the stroke is made, the collet closes, machining; cut-off at last.

    A sliding headstock goes back while the bar rests against the stop, and carries it forward; a fixed one has the bar pushed.
    Between the feeds of one part the bar stands out beyond the cut-off plane, where its tool cannot be the stop.
    """
    feeds, stroke_mm = part.feeds, part.stroke_mm
    numbers, feed = np.repeat(np.arange(1, count + 1), feeds), np.tile(np.arange(feeds), count)
    last = feed == feeds - 1
    back_mm = at.end_mm - stroke_mm if at.sliding else at.end_mm
    moved_mm = np.array([0.0, 0.0, 0.0, 1.0, 1.0] if at.sliding else [0.0, 1.0, 1.0, 1.0, 1.0]) * stroke_mm
    left_mm = part.bar_mm - part.facing_mm - (numbers - 1) * part.advance_mm
    rows = np.zeros((len(numbers), 5, 12))
    rows[:, :, 0] = (at.end_mm, back_mm, back_mm, at.end_mm, at.end_mm)
    rows[:1, 0, 0] = at.change_mm
    rows[:, :, 2] = part.reach.cut_off_mm + feed[:, None] * stroke_mm + moved_mm
    rows[:, :, 3] = rows[:, :, 2] - left_mm[:, None]
    rows[:, :, 1] = rows[:, :, 3] + part.reach.insertion_mm
    rows[last, 4, 2] = part.reach.cut_off_mm
    rows[:, :, 4] = (0.0, 0.0, 1.0, 1.0, 1.0)
    rows[:, :3, 6] = (at.sliding and stop == "cut-off tool") * (feed == 0)[:, None]
    rows[:, 4, 6] = last
    feeding = REGRIP if at.sliding else DRAW if stop == "sub-spindle" else FEED
    rows[:, :, 7] = (feeding, feeding, feeding, MACHINE, MACHINE)
    rows[last, 4, 7] = CUT
    rows[:, :, 8] = numbers[:, None]
    rows[:, :3, 10] = feeding == DRAW
    rows[:, :3, 11] = (feeding != DRAW) & (rows[:, :3, 6] == 0.0)
    stroke_s = _headstock_s(back_mm, at.end_mm) if at.sliding else _pusher_s(0.0, stroke_mm)
    rows[:, :, 9] = (SHORT_S, stroke_s, SHORT_S, _machine_s(part, stroke_s, feeds), SHORT_S)
    return rows.reshape(-1, 12)


def _machine_s(part: Part, stroke_s: float, feeds: int) -> float:
    """How long the machining of a feed takes, so that the whole part takes as long as stated where that is enough. [s]"""
    return MACHINE_S if part.seconds is None else max(part.seconds / feeds - 3.0 * SHORT_S - stroke_s, 0.0)


def _drawn(tape: _Tape, at: Places, part: Part, number: int) -> None:
    """The last part that the pusher cannot push: it stays at its limit while the sub-spindle draws the bar out.

    Headstock forward: going back, its collet would meet the pusher.
    """
    cut_off_mm, insertion_mm = part.reach.cut_off_mm, part.reach.insertion_mm
    rear_mm = cut_off_mm - part.remnant_mm
    ready = (rear_mm - part.advance_mm + insertion_mm, cut_off_mm, rear_mm - part.advance_mm)
    out = (min(rear_mm + insertion_mm, part.reach.tip_end_mm), cut_off_mm + part.advance_mm, rear_mm)
    cut = (out[0], cut_off_mm, rear_mm)
    begun_mm = at.end_mm if number > 1 else at.change_mm
    pull_s = _pusher_s(0.0, part.advance_mm)
    drawing = [(begun_mm, *ready, 0, 0, 0, SHORT_S), (at.end_mm, *out, 0, 0, 0, pull_s), (at.end_mm, *out, 1, 0, 0, SHORT_S)]
    tape.add(DRAW, drawing, part=number, drawn=True)
    tape.add(MACHINE, [(at.end_mm, *out, 1, 0, 0, _machine_s(part, pull_s, 1))], part=number, drawn=True)
    tape.add(CUT, [(at.end_mm, *cut, 1, 0, 1, SHORT_S)], part=number, drawn=True)


def _eject(tape: _Tape, at: Places, part: Part, number: int, *, out: bool) -> None:
    """The end of the bar: the remnant is drawn back to the gripper and dropped, or pushed out at the front."""
    left_mm, insertion_mm = part.remnant_mm, part.reach.insertion_mm
    rear_mm = part.reach.cut_off_mm - left_mm
    tip_mm = min(rear_mm + insertion_mm, part.reach.tip_end_mm) if part.drawn else rear_mm + insertion_mm
    tape.add(END, [(at.end_mm, tip_mm, part.reach.cut_off_mm, rear_mm, 0, 0, 0, SHORT_S)], part=number)
    if out:
        _push_out(tape, at, part, (tip_mm, rear_mm), number)
        return
    if lets_go(part, tip_mm=tip_mm, rear_mm=rear_mm):
        # The remnant stays where it is; the pusher goes home alone.
        home_mm = at.gripper_mm - BEHIND_MM
        alone = (at.end_mm, home_mm, part.reach.cut_off_mm, rear_mm, 0, 0, 0, _pusher_s(tip_mm, home_mm))
        tape.add(PULL, [alone], part=number)
        return
    back_mm = at.gripper_mm + tip_mm - rear_mm
    drawn = (back_mm, at.gripper_mm + left_mm, at.gripper_mm)
    tape.add(PULL, [(at.end_mm, *drawn, 0, 0, 0, _pusher_s(tip_mm, back_mm))], part=number)
    gone = (at.gripper_mm - BEHIND_MM, drawn[1], drawn[2])
    tape.add(DROP, [(at.end_mm, *drawn, 0, 1, 0, SHORT_S), (at.end_mm, *gone, 0, 1, 0, SHORT_S)], part=number)


def lets_go(part: Part, *, tip_mm: float, rear_mm: float) -> bool:
    """Whether the pusher collet no longer holds the remnant after the sub-spindle has drawn it."""
    return part.drawn and tip_mm - rear_mm <= (ON_STEP_MM if part.reach.insertion_mm > 0.0 else -ON_STEP_MM)


def _push_out(tape: _Tape, at: Places, part: Part, ends_mm: tuple[float, float], number: int) -> None:
    """The pusher goes as far as it can: to the collet, or where it slips through, to its limit; then the headstock goes back."""
    tip_mm, rear_mm = ends_mm
    limit_mm = part.reach.tip_limit_mm if at.pusher_slips else part.reach.tip_end_mm
    depth_mm = max(tip_mm - rear_mm, 0.0)
    tip_there_mm = max(tip_mm, limit_mm)
    rear_there_mm = max(rear_mm, tip_there_mm - depth_mm)
    pushed = (tip_there_mm, rear_there_mm + part.remnant_mm, rear_there_mm)
    rows = [(at.end_mm, *pushed, 0, 0, 0, _pusher_s(tip_mm, tip_there_mm))]
    if at.sliding and at.pusher_slips:
        rows.append((at.rear_mm, *pushed, 0, 0, 0, _headstock_s(at.end_mm, at.rear_mm)))
    tape.add(PUSH, rows, part=number)


def _headstock_s(from_mm: float, to_mm: float) -> float:
    return abs(to_mm - from_mm) / HEADSTOCK_MM_PER_S


def _pusher_s(from_mm: float, to_mm: float) -> float:
    return abs(to_mm - from_mm) / PUSHER_MM_PER_S
