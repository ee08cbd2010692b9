"""The control chart of single values: does a series run steadily, or did something change?

A centre line, limits from the average moving range (the step from one value to the next), and signals: a value beyond the limits,
a step beyond its own limit, eight values in a row on one side. A chart asks whether a series is steady, not whether it is good:
that is for the plan and the capability. It serves lengths, remnants and bar-change times alike, in whatever unit they are given.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import Enum
from itertools import pairwise
from statistics import fmean

from standoff.bar.checks import Number, require_finite
from standoff.errors import UsageError

VALUE_FACTOR = 2.66
"""3 / d2, d2 = 1.128 for two values: limits of single values, in average moving ranges (ISO 7870-2:2013; rounded so in print)."""

STEP_FACTOR = 3.267
"""D4 for two values: upper limit of the moving range, in average moving ranges (ISO 7870-2:2013; rounded so in print)."""

ROW_ON_ONE_SIDE = 8
"""So many values in a row on one side are a signal (NIST/SEMATECH e-Handbook 6.3.2, from memory; other books say 7 or 9)."""

SETTLED = 20
"""Limits from fewer values are provisional (common practice, no published source)."""

_NOISE = 1e-9


class Signal(Enum):
    """What makes a value stand out."""

    BEYOND_LIMITS = "beyond the limits"
    GREAT_STEP = "a step greater than usual"
    ONE_SIDE = "eight in a row on one side"


@dataclass(frozen=True, slots=True)
class Finding:
    """A signal at one value, by its place in the series (from 0)."""

    place: int
    signal: Signal


@dataclass(frozen=True, slots=True)
class ControlChart:
    """A series with its lines and signals; `provisional` where the limits come from few values."""

    values: tuple[Number, ...]
    centre: Number
    lower: Number
    upper: Number
    mean_step: Number
    greatest_step: Number
    findings: tuple[Finding, ...]
    provisional: bool

    @property
    def steady(self) -> bool:
        """Whether nothing stands out."""
        return not self.findings


def control_chart(values: Sequence[Number], *, baseline: int | None = None) -> ControlChart:
    """Does this series run steadily?

    Limits: mean plus and minus 2.66 average moving ranges; steps up to 3.267 of them. Of a steady normal series about one value
    in 370 is beyond settled limits without a cause, and one step in 110; values that lean on each other make limits too narrow.

    Args:
        values: the series in its order, all in one unit.
        baseline: how many of the first values the lines are made from (None: all of them).

    Returns:
        The chart, with its lines in the unit of the values.

    Raises:
        UsageError: fewer than two values, or a value that is no number.

    Validity: single values, roughly normal, in the order in which they arose.
    Source: NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2; ISO 7870-2:2013.

    >>> chart = control_chart([49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1])
    >>> round(chart.centre, 2), round(chart.mean_step, 4), chart.steady
    (50.81, 1.8778, True)
    """
    count = len(values) if baseline is None else baseline
    if not 2 <= count <= len(values):
        raise UsageError(
            what="control chart",
            given=f"{count} of {len(values)} values",
            allowed="two values at least to make the lines from",
            action="run more bars first",
        )
    series = tuple(require_finite("value of the chart", value) for value in values)
    centre, mean_step = fmean(series[:count]), fmean(_steps(series[:count]))
    reach, greatest_step = VALUE_FACTOR * mean_step, STEP_FACTOR * mean_step
    noise = _NOISE * max(abs(value) for value in series)
    found = [
        *(Finding(i, Signal.BEYOND_LIMITS) for i, value in enumerate(series) if abs(value - centre) > reach + noise),
        *(Finding(i, Signal.GREAT_STEP) for i, step in enumerate(_steps(series), start=1) if step > greatest_step + noise),
        *(Finding(i, Signal.ONE_SIDE) for i in _long_rows(series, centre, noise)),
    ]
    return ControlChart(
        values=series,
        centre=centre,
        lower=centre - reach,
        upper=centre + reach,
        mean_step=mean_step,
        greatest_step=greatest_step,
        findings=tuple(sorted(found, key=lambda finding: (finding.place, finding.signal.value))),
        provisional=count < SETTLED,
    )


def _steps(series: Sequence[Number]) -> list[Number]:
    """How far each value is from the one before."""
    return [abs(after - before) for before, after in pairwise(series)]


def _long_rows(series: Sequence[Number], centre: Number, noise: Number) -> Iterator[int]:
    """The places at which a row on one side of the centre is eight long or longer; a value on the centre ends a row."""
    row = side = 0
    for place, value in enumerate(series):
        now = 0 if abs(value - centre) <= noise else 1 if value > centre else -1
        row = row + 1 if now == side and now != 0 else abs(now)
        side = now
        if row >= ROW_ON_ONE_SIDE:
            yield place
