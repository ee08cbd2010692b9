"""The signal test sheet: a row for every step that waits, for both emergency stops, and for what must be impossible."""

from __future__ import annotations

import pytest

from standoff.job.cycle import Cycle, bar_cycles
from standoff.job.cycle_speech import CAUTION, signal_line
from standoff.job.mode_change import mode_changes
from standoff.job.motions import DRAW, FEED, REGRIP, STEPS
from standoff.job.signals import BOTH, LATHE, LOADER, SignalRow, signal_rows
from tests.cycles import HUB, PIN, STANDOFF_MM, fixed_with, placed

WAITING = {
    "bar loaded": {"loader-ready"},
    "pre-feed": {"collet-open-feed", "spindle-still"},
    "gripper closes": {"gripper-closed"},
    "insertion into the pusher collet": {"inserted"},
    "feed to the facing position": {"feed-done"},
    "re-grip": {"collet-closed", "push-kept"},
    "machining": {"loader-released"},
    "end of bar": {"end-of-bar", "spindle-still-end"},
    "pull-out": {"collet-open-pull"},
    "remnant dropped": {"remnant-gone"},
}
OUT = '[cycle]\nejection = "out of the front"\n'


def rows_of(*tables: str) -> tuple[SignalRow, ...]:
    """The sheet of the first part of the sliding job."""
    placement = placed(*tables)
    changes = mode_changes(placement.job, standoff_mm=STANDOFF_MM)
    return signal_rows(bar_cycles(placement)[0], placement.pairings, changes)


def by_step(rows: tuple[SignalRow, ...]) -> dict[str, set[str]]:
    """The ids of the rows that belong to a step."""
    found: dict[str, set[str]] = {}
    for row in rows:
        if row.when in STEPS:
            found.setdefault(row.when, set()).add(row.id)
    return found


def fixed_rows(cycle: Cycle) -> tuple[SignalRow, ...]:
    """The sheet of a cycle without modes."""
    return signal_rows(cycle, (), ())


def test_a_row_for_every_step_that_waits() -> None:
    """In the order of the cycle, each once."""
    rows = rows_of(PIN)
    assert by_step(rows) == WAITING
    steps = [row.when for row in rows if row.when in STEPS]
    assert steps == sorted(steps, key=STEPS.index)
    assert len({row.id for row in rows}) == len(rows)


def test_pushed_out_at_the_front_instead() -> None:
    """The remnant is neither drawn nor dropped."""
    found = by_step(rows_of(PIN, OUT))
    assert found["remnant pushed out"] == {"remnant-out"}
    assert not {"pull-out", "remnant dropped"} & set(found)


@pytest.mark.parametrize(("table", "step"), [("", FEED), ('[cycle]\nfeed_stop = "sub-spindle"\n', DRAW)])
def test_a_fixed_headstock_waits_for_its_stop(table: str, step: int) -> None:
    """A stop in place, or the sub-spindle's collet."""
    found = by_step(fixed_rows(fixed_with(PIN, table)))
    assert STEPS[step] in found
    assert STEPS[REGRIP] not in found


def test_a_drawn_last_part_has_its_own_rows() -> None:
    """Beside those of re-gripping."""
    found = by_step(rows_of(PIN + "picked_off = true\n"))
    assert {"re-grip", "drawn by the sub-spindle"} <= set(found)


def test_both_emergency_stops_and_what_holds_at_any_time() -> None:
    """Each machine's stop ends both; doors, guard, alarms, an empty magazine and lost power are there too."""
    rows = {row.id: row for row in rows_of(PIN)}
    for stop, machine in (("loader-stop", "loader's"), ("lathe-stop", "lathe's")):
        assert rows[stop].waits == BOTH
        assert machine in rows[stop].do
        assert "neither restarts by releasing it" in rows[stop].expected
    assert {"empty", "loader-alarm", "lathe-alarm", "loader-guard", "lathe-door", "power-lost"} <= set(rows)


def test_a_row_for_every_pairing_that_needs_an_interlock() -> None:
    """As many as the placement lists, each refused; and one for the change of mode."""
    placement = placed(HUB)
    assert placement.pairings
    rows = rows_of(HUB)
    assert len([row for row in rows if row.id.startswith("pairing-")]) == len(placement.pairings)
    for pairing in placement.pairings:
        assert any(f"refused: there {pairing.failure}" in row.expected for row in rows)
        of_the_nose = pairing.requirement.startswith("nose-")
        told = next(row.do for row in rows if row.id.startswith(f"pairing-{pairing.requirement}-"))
        assert ("the nose taken off" in told) == of_the_nose
    (change,) = [row for row in rows if row.id.startswith("change-")]
    assert "the loader shifts only while the headstock stands where the sheet says" in change.expected


def test_the_grammar_of_a_line() -> None:
    """One machine waits, both wait; every line has a box."""
    lines = {row.waits: signal_line(row) for row in rows_of(PIN)}
    assert set(lines) == {LOADER, LATHE, BOTH}
    assert ". Both wait for: " in lines[BOTH]
    assert ". Bar loader waits for: " in lines[LOADER]
    assert ". Lathe waits for: " in lines[LATHE]
    assert all(line.startswith("[ ] ") and line.endswith(".") for line in lines.values())


def test_the_caution_names_the_lockout_procedure() -> None:
    """Before anyone reaches in, and how to run the steps; no speed and no force is called harmless."""
    assert "lockout procedure" in CAUTION
    assert "single step" in CAUTION
    assert "safe" not in CAUTION.lower()
