"""How fast may a bar turn before it whips, in every state of the pair: the model's limit, whatever the makers allow.

One bar keeps one speed over its whole life in a mode of the lathe, so that the lowest critical speed of that life governs.
"""

from __future__ import annotations

from dataclasses import dataclass

from standoff.bar.life import Life, over_life
from standoff.bar.whip import HIGHEST_RATIO
from standoff.job.bar_tables import LinerTable, defaulted
from standoff.job.bars import Bar
from standoff.job.job import Job
from standoff.job.passing import all_pass, chosen_liner, liner_choices, passings, turn_down
from standoff.job.site_readings import SiteReading, corrected, site_readings
from standoff.job.spans import Spans, spans, turning_states


@dataclass(frozen=True, slots=True)
class Course:
    """The whip speed over the bar's life in one state of the pair."""

    spans: Spans
    life: Life


@dataclass(frozen=True, slots=True)
class Turning:
    """A bar in every state in which it turns, what was read of it on site, and the share of its whip speed that is allowed."""

    courses: tuple[Course, ...]
    readings: tuple[SiteReading, ...]
    share: float


def turning(job: Job, bar: Bar, liner: LinerTable | None, *, standoff_mm: float, cut_mm: float) -> Turning:
    """The whip speed of a bar that passes, in every state, as the readings on site correct it.

    Raises: UsageError where the pusher leaves no bar to turn, or nothing lies behind the bar's front face.
    """
    held = [spans(job, bar, state, standoff_mm=standoff_mm, cut_mm=cut_mm, liner=liner) for state in turning_states(job)]
    readings = site_readings(job, bar, held)
    held = [corrected(one, readings) for one in held]
    after = "_tapped" if any(reading.tapped for reading in readings) else ""
    band = defaulted(job.tables.bar_rules, f"stiffness_band{after}")
    courses = tuple(
        Course(
            one,
            over_life(bar.beam, one.supports, shortest_mm=one.shortest_mm, longest_mm=one.longest_mm, band_factor=band),
        )
        for one in held
    )
    return Turning(courses, readings, defaulted(job.tables.bar_rules, f"whip_share{after}"))


def whip_limit_rpm(life: Life, share: float) -> float:
    """The model's limit: a share of the lowest speed, and never above the greatest share of the band's soft end. [rpm]"""
    return float(min(share * life.worst.whip_rpm, HIGHEST_RATIO * life.worst_soft_rpm))


def whip_limits_rpm(job: Job, bar: Bar, *, standoff_mm: float, cut_mm: float) -> dict[str, float]:
    """What whip leaves a whole bar in each mode of the lathe, by the model and by sag read on site. [rpm]

    It is 0 in every mode where the bar does not pass.

    Raises: UsageError as `turning`.
    """
    modes = [mode.name for mode in job.layout.modes]
    if not all_pass(passings(job, bar), liner_choices(job, bar), turn_down(job, bar)):
        return dict.fromkeys(modes, 0.0)
    found = turning(job, bar, chosen_liner(job, bar), standoff_mm=standoff_mm, cut_mm=cut_mm)
    by_sag = [found.share * reading.whip_rpm for reading in found.readings if not reading.tapped]
    of_mode = {mode: [one.life for one in found.courses if one.spans.state.mode == mode] for mode in modes}
    return {mode: min([whip_limit_rpm(life, found.share) for life in lives] + by_sag) for mode, lives in of_mode.items()}
