"""Which change would raise a bar's speed limit most, and what an inch of standoff costs or gains in speed.

Each change is made to the spans or the place of the loader, and the lowest critical speed over the bar's life is computed anew in
every state. What a change does to the placement is for the placement to say.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from standoff.bar.life import event_lengths
from standoff.bar.whip import critical_speeds
from standoff.errors import UsageError
from standoff.job.bars import Bar
from standoff.job.job import Job
from standoff.job.passing import chosen_liner
from standoff.job.site_readings import SiteReading, corrected
from standoff.job.spans import ROLLER, Gap, Spans, spans, turning_states, with_rest, with_tube
from standoff.units import INCH_MM

EVEN_LENGTHS = 40
WORTH, MOST = 1.02, 4
"""A change that raises the speed by less is not worth naming, and no more than so many are named (our choice)."""


@dataclass(frozen=True, slots=True)
class SpeedChange:
    """A change and the lowest critical speed after it, over that before it."""

    text: str
    whip_rpm: float
    factor: float


def speed_changes(
    job: Job, bar: Bar, held: Sequence[Spans], readings: Sequence[SiteReading], *, standoff_mm: float, cut_mm: float
) -> tuple[SpeedChange, ...]:
    """The changes worth naming with their effect, the greatest rise first; both steps of standoff are among them.

    None for a bar that the feed force buckles.
    """
    lows_rpm = [_lowest_rpm(bar, [one])[0] for one in held]
    before_rpm = min(lows_rpm)
    if before_rpm <= 0.0:
        return ()  # buckled by the feed force: that is what has to change
    named = _changes(held, held[lows_rpm.index(before_rpm)].gap)
    by_state = np.array([_lowest_rpm(bar, [change(one) for _, change in named]) for one in held])
    after = list(zip((text for text, _ in named), by_state.min(axis=0).tolist(), strict=True))
    step_mm, said = (float(INCH_MM), "1 in") if job.units == "in" else (25.0, "25 mm")
    for text, by_mm in ((f"{said} less standoff", -step_mm), (f"{said} more standoff", step_mm)):
        moved = _moved(job, bar, readings, standoff_mm=standoff_mm + by_mm, cut_mm=cut_mm)
        if moved:
            after.append((text, min(_lowest_rpm(bar, [one])[0] for one in moved)))
    found = [SpeedChange(text, after_rpm, after_rpm / before_rpm) for text, after_rpm in after]
    standoff = [change for change in found if "standoff" in change.text]
    rises = [change for change in found if change not in standoff and change.factor >= WORTH]
    return tuple(sorted([*sorted(rises, key=lambda change: -change.factor)[:MOST], *standoff], key=lambda change: -change.factor))


def _changes(held: Sequence[Spans], gap: Gap) -> list[tuple[str, Callable[[Spans], Spans]]]:
    """Changes to what holds the bar, each in words and as a function of the spans."""
    between = f"the gap between {gap.front} and {gap.rear}"
    found: list[tuple[str, Callable[[Spans], Spans]]] = [
        (f"a guide tube in {between}", with_tube),
        (f"a rest in the middle of {between}", with_rest),
        ("a pusher of half the mass", _lighter_pusher),
        ("a pusher twice as stiff", _stiffer_pusher),
    ]
    names = {stretch.name for one in held for stretch in one.supports.stretches}
    names |= {point.name for one in held for point in one.supports.points if not point.name.startswith(ROLLER)}
    return found + [(f"{name} twice as stiff", partial(_stiffer, name)) for name in sorted(names)]


def _lighter_pusher(one: Spans) -> Spans:
    pusher = one.supports.pusher
    return replace(one, supports=replace(one.supports, pusher=replace(pusher, mass_kg=pusher.mass_kg / 2.0)))


def _stiffer_pusher(one: Spans) -> Spans:
    pusher = one.supports.pusher
    stiffer = replace(pusher, lateral_n_per_mm=2.0 * pusher.lateral_n_per_mm, rod_ei_n_mm2=2.0 * pusher.rod_ei_n_mm2)
    return replace(one, supports=replace(one.supports, pusher=stiffer))


def _stiffer(name: str, one: Spans) -> Spans:
    """The same with one support twice as stiff."""
    names = [*(point.name for point in one.supports.points), *(stretch.name for stretch in one.supports.stretches)]
    return replace(one, supports=one.supports.scaled((*(2.0 if this == name else 1.0 for this in names), 1.0)))


def _moved(job: Job, bar: Bar, readings: Sequence[SiteReading], *, standoff_mm: float, cut_mm: float) -> list[Spans]:
    """The spans with the loader elsewhere; none where the pusher would leave no bar to turn."""
    liner = chosen_liner(job, bar)
    try:
        held = [spans(job, bar, state, standoff_mm=standoff_mm, cut_mm=cut_mm, liner=liner) for state in turning_states(job)]
    except UsageError:
        return []
    return [corrected(one, readings) for one in held]


def _lowest_rpm(bar: Bar, kinds: Sequence[Spans]) -> list[float]:
    """The lowest critical speed over the bar's life of each kind of one state: even lengths, and every support event. [rpm]"""
    first = kinds[0]
    ends = {"shortest_mm": first.shortest_mm, "longest_mm": first.longest_mm}
    events = {length for one in kinds for length in event_lengths(one.supports, **ends)}
    lengths = sorted({*np.linspace(first.shortest_mm, first.longest_mm, EVEN_LENGTHS).tolist(), *events})
    lows: list[float] = critical_speeds([bar.beam], [one.supports for one in kinds], lengths).whip_rpm.min(axis=0).tolist()
    return lows
