"""Which change would raise a bar's speed: each does what it says, the greatest first, and never at a standoff that is refused."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

import numpy as np
import pytest

from standoff.bar.whip import critical_speeds
from standoff.job.bars import Bar
from standoff.job.site_readings import site_readings
from standoff.job.spans import Spans, spans, turning_states, with_rest, with_tube
from standoff.job.speed_changes import EVEN_LENGTHS, MOST, WORTH, SpeedChange, speed_changes
from tests.texts import altered
from tests.turning import STANDING, STANDOFF_MM, TURNING, demonstrated, first_bar, job_of, speed_of_first, tap


@cache
def held(text: str = TURNING, standoff_mm: float = STANDOFF_MM) -> tuple[Bar, tuple[Spans, ...]]:
    """The first bar of a text and what holds it in every state."""
    job, bar = job_of(text), first_bar(text)
    return bar, tuple(spans(job, bar, state, standoff_mm=standoff_mm, cut_mm=0.0) for state in turning_states(job))


@cache
def changes(text: str = TURNING, standoff_mm: float = STANDOFF_MM) -> dict[str, SpeedChange]:
    """The changes of the first bar by their words, in their order."""
    bar, found = held(text, standoff_mm)
    job = job_of(text)
    readings = site_readings(job, bar, found)
    every = speed_changes(job, bar, found, readings, standoff_mm=standoff_mm, cut_mm=0.0)
    return {change.text: change for change in every}


def lowest_rpm(bar: Bar, every: Sequence[Spans]) -> float:
    """The lowest critical speed over the bar's life in any state, on 60 even lengths of our own. [rpm]"""
    lows = [
        critical_speeds([bar.beam], [one.supports], np.linspace(one.shortest_mm, one.longest_mm, 60).tolist()).whip_rpm.min()
        for one in every
    ]
    return float(min(lows))


def test_the_greatest_rise_comes_first() -> None:
    """In falling order; both steps of standoff are among them, and besides only what is worth naming, four at most."""
    found = list(changes().values())
    assert [change.factor for change in found] == sorted((change.factor for change in found), reverse=True)
    moves = [change for change in found if "standoff" in change.text]
    assert [change.text for change in moves] == ["25 mm less standoff", "25 mm more standoff"]
    others = [change for change in found if change not in moves]
    assert 1 <= len(others) <= MOST
    assert all(change.factor >= WORTH for change in others)


def test_every_factor_is_over_the_same_speed() -> None:
    """After over before: one before for all, and it is the lowest of the courses, on coarser lengths."""
    before = {round(change.whip_rpm / change.factor, 6) for change in changes().values()}
    assert len(before) == 1
    worst = speed_of_first().worst.life.worst.whip_rpm
    assert worst <= before.pop() * (1.0 + 1e-6) <= worst * 1.02
    assert EVEN_LENGTHS >= 20


def test_a_tube_and_a_rest_are_what_they_say() -> None:
    """Recomputed from the spans with one more support in the longest gap of the worst state, in every state."""
    bar, every = held()
    tube = "a guide tube in the gap between main collet and rest in the nose"
    rest = "a rest in the middle of the gap between main collet and rest in the nose"
    assert changes()[tube].whip_rpm == pytest.approx(lowest_rpm(bar, [with_tube(one) for one in every]), rel=0.02)
    assert changes()[rest].whip_rpm == pytest.approx(lowest_rpm(bar, [with_rest(one) for one in every]), rel=0.02)
    assert changes()[tube].factor > changes()[rest].factor > 1.0


def test_less_standoff_is_more_speed() -> None:
    """A shorter gap whips later: 25 mm either way, recomputed with the loader there."""
    less, more = changes()["25 mm less standoff"], changes()["25 mm more standoff"]
    assert less.factor > 1.0 > more.factor
    for change, standoff_mm in ((less, 275.0), (more, 325.0)):
        assert change.whip_rpm == pytest.approx(lowest_rpm(*held(TURNING, standoff_mm)), rel=0.02)


def test_a_lighter_pusher_and_a_stiffer_one_are_what_they_say() -> None:
    """As if the file said so: half the mass; a pusher twice as stiff is a guide of twice its stiffness and a stiffer rod."""
    lighter = altered(TURNING, {"bar_path.pusher_mass": '"0.45 kg"'})
    assert changes()["a pusher of half the mass"].whip_rpm == pytest.approx(lowest_rpm(*held(lighter)), rel=0.02)
    assert changes()["a pusher twice as stiff"].factor > 1.0


def test_what_is_named_is_named_as_in_the_file() -> None:
    """Supports by the names they have there; rollers are no support of their own."""
    soft = altered(TURNING, {"supports[1].stiffness": '"1 kN/mm"'})
    assert "main collet twice as stiff" in changes(soft)
    rollers = altered(TURNING, {"supports[3].spacing": '"500 mm"'})
    assert not any("roller" in text and "twice as stiff" in text for text in changes(rollers))


def test_the_step_is_in_the_units_of_the_job() -> None:
    """An inch where the job is in inches."""
    inches = altered(TURNING, {"job.units": '"in"'})
    moves = [change for change in changes(inches) if "standoff" in change]
    assert moves == ["1 in less standoff", "1 in more standoff"]
    metric = changes()["25 mm less standoff"].factor - 1.0
    assert changes(inches)["1 in less standoff"].factor - 1.0 == pytest.approx(metric * 25.4 / 25.0, rel=0.1)


def test_a_standoff_that_leaves_no_bar_is_not_named() -> None:
    """Where the pusher would leave nothing to turn, only the other step is."""
    short = altered(TURNING, {"bars[0].length": '"561 mm"'})
    assert "25 mm more standoff" in changes(short)
    # The pusher at its forward limit leaves 1110 - (1120 - D) + 40: from D = 531 on all of these 561 mm.
    found = changes(short, standoff_mm=510.0)
    assert [text for text in found if "standoff" in text] == ["25 mm less standoff"]


def test_changes_start_from_the_corrected_model() -> None:
    """After a tap test the changed standoff has the corrected stiffness too: its factor stays near 1."""
    said = speed_of_first(more=tap("80 Hz"))
    assert said.readings[0].stiffness_factor < 0.7
    less = {change.text: change for change in said.changes}["25 mm less standoff"]
    assert 1.0 < less.factor < 1.2
    assert less.whip_rpm < changes()["25 mm less standoff"].whip_rpm


def test_a_fixed_headstock_has_its_changes_too() -> None:
    """One state, a gap between collet and channel."""
    found = changes(STANDING, 380.0)
    assert "a guide tube in the gap between main collet and channel" in found


@pytest.mark.parametrize("name", ["axle-cell", "spoke-nipple-cell", "shell-cell"])
def test_the_demonstrations_have_changes_worth_naming(name: str) -> None:
    """For each bar at least one rise, and what an inch (or 25 mm) of standoff does either way."""
    for one in demonstrated(name).bars:
        factors = {change.text: change.factor for change in one.changes}
        assert max(factors.values()) >= WORTH
        less, more = (next(f for text, f in factors.items() if f"{word} standoff" in text) for word in ("less", "more"))
        assert less > more
