"""The signal test sheet: for each step of the cycle who waits for whom, what each signal must show, and what must be impossible.

Derived from the steps a part's bar goes through and from the pairings of shift and headstock that crush or part the nose. The
names of signals are plain words: each machine's manual says at which terminals they are.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from standoff.job.cycle import Cycle
from standoff.job.mode_change import ModeChange
from standoff.job.motions import (
    DRAW,
    DROP,
    END,
    FEED,
    GRIP,
    INSERT,
    LOAD,
    MACHINE,
    PRE_FEED,
    PULL,
    PUSH,
    REGRIP,
    STEPS,
    TO_FACING,
)
from standoff.solve.pairing import Pairing

LOADER, LATHE, BOTH = "bar loader", "lathe", "both"


@dataclass(frozen=True, slots=True)
class SignalRow:
    """One line to test: when, what is done, who waits, which signal, what must be seen."""

    id: str
    when: str
    do: str
    waits: str
    signal: str
    expected: str


_BY_STEP = {
    LOAD: (("loader-ready", LATHE, "loader ready", "off until the bar lies in the channel, then on"),),
    PRE_FEED: (
        ("collet-open-feed", LOADER, "collet open, confirmed", "no feed while it is off; feed begins when it comes on"),
        ("spindle-still", LOADER, "spindle stopped", "no feed of a new bar while the spindle turns"),
    ),
    GRIP: (("gripper-closed", LOADER, "gripper closed", "on before the pusher comes forward"),),
    INSERT: (("inserted", LOADER, "bar end in the pusher collet", "on before the gripper opens; an alarm if it stays off"),),
    TO_FACING: (
        ("feed-done", LATHE, "feed done", "off while the bar moves, on at the facing position; collet closes only then"),
    ),
    FEED: (
        ("stop-in-place", LOADER, "collet open, stop in place", "no feed while one of them is off"),
        ("feed-done-stop", LATHE, "feed done", "off while the bar moves, on at the stop; collet closes only then"),
        ("collet-closed-feed", LATHE, "collet closed, confirmed", "no spindle start while it is off"),
    ),
    DRAW: (
        ("sub-spindle-closed", LATHE, "sub-spindle collet closed, confirmed", "main collet stays closed while it is off"),
        ("pusher-at-limit", LATHE, "pusher follows or stands at its limit", "drawing stops if the loader reports an alarm"),
        ("collet-closed-draw", LATHE, "collet closed, confirmed", "no cut-off while it is off"),
    ),
    REGRIP: (
        ("collet-closed", LATHE, "collet closed, confirmed", "no spindle start and no headstock feed while it is off"),
        ("push-kept", LOADER, "push while re-gripping", "on while the collet is open, until it is closed and confirmed"),
    ),
    MACHINE: (
        ("loader-released", BOTH, "loader pushes or follows", "as set while machining; no change of it while the spindle turns"),
    ),
    END: (
        ("end-of-bar", LATHE, "end of bar", "off with parts left, on after the last; the program branches to the bar change"),
        ("spindle-still-end", LOADER, "spindle stopped", "no pull-out while the spindle turns"),
    ),
    PULL: (("collet-open-pull", LOADER, "collet open, confirmed", "no pull-out while it is off"),),
    DROP: (("remnant-gone", LOADER, "remnant dropped", "on before a new bar is loaded; an alarm if it stays off"),),
    PUSH: (
        ("remnant-out", LATHE, "remnant out at the front", "work area closed, tools away, catcher in place before it is pushed"),
    ),
}
"""Of each step: id, who waits, signal, what must be seen. In the order of the cycle a row is written once."""

_ALWAYS = (
    (
        "empty",
        "magazine run empty",
        "take the last bar out of the magazine",
        LATHE,
        "magazine empty",
        "lathe stops after the last part, tells so",
    ),
    (
        "loader-alarm",
        "any time",
        "provoke an alarm of the loader",
        LATHE,
        "alarm of the loader",
        "lathe stops feed and spindle as agreed",
    ),
    ("lathe-alarm", "any time", "provoke an alarm of the lathe", LOADER, "alarm of the lathe", "loader stops and holds its bar"),
    ("loader-guard", "any time", "open the loader's guard", BOTH, "guard closed", "both stop; no restart by closing it alone"),
    ("lathe-door", "any time", "open the lathe's door", LOADER, "door closed", "loader neither feeds nor pulls"),
    (
        "loader-stop",
        "any time",
        "press the loader's emergency stop",
        BOTH,
        "emergency stop",
        "both machines stop; neither restarts by releasing it",
    ),
    (
        "lathe-stop",
        "any time",
        "press the lathe's emergency stop",
        BOTH,
        "emergency stop",
        "both machines stop; neither restarts by releasing it",
    ),
    (
        "power-lost",
        "in mid-feed",
        "switch the loader off and on again",
        BOTH,
        "loader ready",
        "stays off until the loader is homed; the bar is held",
    ),
)


def signal_rows(cycle: Cycle, pairings: Sequence[Pairing], changes: Sequence[ModeChange]) -> tuple[SignalRow, ...]:
    """The rows of the sheet for one part: in the cycle's order, then what holds always, then what must be impossible."""
    steps = list(dict.fromkeys(cycle.course.step.tolist()))
    rows = [
        SignalRow(id_, STEPS[step], "run this step alone, in single step", waits, signal, expected)
        for step in steps
        for id_, waits, signal, expected in _BY_STEP.get(step, ())
    ]
    rows += [SignalRow(*row) for row in _ALWAYS]
    rows += [_impossible(pairing) for pairing in pairings]
    rows += [_change(change) for change in changes]
    return tuple(rows)


def _impossible(pairing: Pairing) -> SignalRow:
    """A pairing that needs an interlock: it must not come about, and if it does there is no nose in it to be crushed."""
    bare = "the nose taken off, " if pairing.requirement.startswith("nose-") else ""
    return SignalRow(
        f"pairing-{pairing.requirement}-{pairing.shift_mode}-{pairing.headstock_mode}",
        f"loader shifted as in {pairing.shift_mode}",
        f"ask for the {pairing.state} of {pairing.headstock_mode}, {bare}slowly, hand on the stop",
        BOTH,
        "shift against headstock",
        f"refused: there {pairing.failure}",
    )


def _change(change: ModeChange) -> SignalRow:
    """The change of mode: the loader may shift only where the nose bears it."""
    told = (
        "the loader shifts only while the headstock stands where the sheet says"
        if change.in_one_stroke
        else "loader and headstock take turns"
    )
    return SignalRow(
        f"change-{change.start}-{change.end}",
        f"change from {change.start} to {change.end}",
        "run the change in single step, then the way back",
        BOTH,
        "headstock in place for the shift",
        f"{told}; refused anywhere else",
    )
