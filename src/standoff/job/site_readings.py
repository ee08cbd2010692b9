"""What was read on site about a bar's critical speed: the sag of a span, and the note of the bar when it was tapped.

A sag is a speed of its own and stands among the limits. A tap test corrects the model: the stiffness of every support, by one
factor, for that bar.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from standoff.bar.site_checks import fit_to_tap, speed_from_sag_rpm
from standoff.job.bar_tables import SiteCheckTable
from standoff.job.bars import Bar
from standoff.job.job import Job
from standoff.job.spans import Spans
from standoff.model.state import REAR_LIMIT


@dataclass(frozen=True, slots=True)
class SiteReading:
    """A critical speed read on site [rpm]; of a tap test also the factor it puts on every stiffness."""

    kind: str
    whip_rpm: float
    stiffness_factor: float = 1.0

    @property
    def tapped(self) -> bool:
        """Whether it is a tap test."""
        return self.kind == "tap"


def site_readings(job: Job, bar: Bar, held: Sequence[Spans]) -> tuple[SiteReading, ...]:
    """The readings taken of this bar.

    Raises: UsageError for a note that no stiffness of these supports gives.
    """
    found = []
    for check in job.tables.site_checks:
        if check.bar != bar.name:
            continue
        if check.kind == "sag":
            sags_mm = [series[0].value_mm for series in check.sag or []]
            found.append(SiteReading("sag", speed_from_sag_rpm(sags_mm)))
        else:
            spans = _state_of(check, held)
            length_mm = check.length[0].value_mm if check.length else bar.length_mm
            at_rest = replace(spans.supports, axial_n=0.0)
            fit = fit_to_tap(bar.beam, at_rest, length_mm=length_mm, measured_hz=check.frequency or 0.0)
            found.append(SiteReading("tap", fit.measured_hz * 60.0, fit.stiffness_factor))
    return tuple(found)


def _state_of(check: SiteCheckTable, held: Sequence[Spans]) -> Spans:
    """The state in which the bar was tapped; a fixed headstock has but one."""
    of_mode = [one for one in held if check.mode in (None, one.state.mode)]
    return next((one for one in of_mode if one.state.name == (check.state or REAR_LIMIT)), of_mode[0])


def corrected(spans: Spans, readings: Sequence[SiteReading]) -> Spans:
    """The same with the stiffnesses that the last tap test gives."""
    factors = [reading.stiffness_factor for reading in readings if reading.tapped]
    return replace(spans, supports=spans.supports.scaled(factors[-1])) if factors else spans
