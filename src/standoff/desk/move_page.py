"""Moving the loader as a page shows it: where it stands now, how far to go, the log, and what to read again afterwards."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any, cast

from standoff.desk.names import slug
from standoff.draw.gauge import gauge
from standoff.draw.svg import svg
from standoff.errors import QuantityError, StandoffError, UsageError
from standoff.job.job import Job
from standoff.job.moving import Compared, Direct, Headstock, Stand, compare, directs, move, stand
from standoff.job.names import STATION_NAMES
from standoff.job.placement import Placement, place
from standoff.job.speech import fine_length, length, small_length
from standoff.reading import Reading, read_quantity
from standoff.solve.window import Window
from standoff.store.records import LogLine
from standoff.units import Units, round_inward

PHASES = (("moving", "while moving"), ("aligned", "after aligning"), ("anchored", "after anchoring"))
HEADSTOCKS = (
    ("rear", "fully back"),
    ("front", "fully forward"),
    ("z", "where the control shows Z ="),
    ("out", "no power: adapter sticks out of the cover by"),
    ("in", "no power: adapter inside the cover by"),
)
ASKS = {"z": "Z", "out": "Sticks out by", "in": "Inside by"}
"""What is asked besides, by where the headstock stands."""
SOURCES = (("tape", "tape"), ("sighted", "tape, sighted"), ("rule", "steel rule"), ("laser", "laser"))


@dataclass(frozen=True, slots=True)
class Noted:
    """One reading in the log."""

    when: datetime
    phase: str
    what: str
    standoff: str
    verdict: str


@dataclass(frozen=True, slots=True)
class Asked:
    """One distance to read directly, with the last reading of each phase."""

    id: str
    field: str
    title: str
    how: str
    predicted: str
    least: str
    given: tuple[Answered, ...]


FAR_MM = 1000.0
"""A loader that is to be moved farther than this was hardly read right (our choice)."""


@dataclass(frozen=True, slots=True)
class Answered:
    """A direct reading judged."""

    phase: str
    text: str
    said: str
    right: bool


@dataclass(frozen=True, slots=True)
class MoveView:
    """The page."""

    headline: str
    detail: str
    kind: str
    how: str
    aim: str
    band: str
    modes: tuple[str, ...]
    shifts: tuple[str, ...]
    sliding: bool
    noted: tuple[Noted, ...]
    asked: tuple[Asked, ...]
    phase: str
    gauge: str


def stand_of(job: Job, contents: Mapping[str, Any]) -> Stand:
    """Where the loader stood by a logged reading; raises QuantityError or UsageError for one that cannot be used.

    The clamp face lies behind the adapter whatever the states of both machines: a gap of 0 or less is a mistaken reading.
    """
    at, headstock = str(contents.get("at") or ""), str(contents.get("headstock") or "rear")
    source = str(contents.get("source") or "tape")
    if headstock not in dict(HEADSTOCKS) or source not in dict(SOURCES):
        raise UsageError(what="reading", given=f"{headstock}, {source}"[:80], allowed="one of the list", action="choose again")
    gap = _reading(str(contents.get("gap", "")), source)
    if gap.value_mm <= 0.0:
        action = "read from the nose-clamp face forward to the adapter's rear face"
        raise UsageError(what="gap", given=gap.text, allowed="a length above 0", action=action)
    return stand(
        job,
        gap=gap,
        mode=str(contents.get("mode") or job.layout.modes[0].name),
        headstock=cast(Headstock, headstock),
        at=_reading(at, "control" if headstock == "z" else "rule") if at and headstock in ASKS else None,
        shifted=contents.get("shifted") is True,
    )


def _reading(text: str, source: str) -> Reading:
    try:
        return read_quantity(text, default_source=source)[0]
    except QuantityError as error:
        raise error.within("") from error


def move_view(job: Job, log: Sequence[LogLine]) -> MoveView:
    """The page of a job with its log, oldest first."""
    placement, units = place(job), job.units
    readings = [(line, stood) for line in log if line.kind == "reading" and (stood := _stood(job, line)) is not None]
    phase = str(readings[-1][0].contents.get("phase", "moving")) if readings else "moving"
    here = readings[-1][1] if readings else None
    headline, detail, kind = _instruction(placement, here)
    return MoveView(
        headline=headline,
        detail=detail,
        kind=kind,
        how=here.how if here is not None else "",
        aim=length(placement.aim_mm, units) if placement.aim_mm is not None else "",
        band=_band(placement.guarded, units),
        modes=tuple(mode.name for mode in job.layout.modes),
        shifts=tuple(mode.name for mode in job.layout.modes if mode.shift.terms),
        sliding=job.sliding,
        noted=tuple(_noted(placement, line, stood) for line, stood in reversed(readings)),
        asked=_asked(placement, here, log),
        phase=phase,
        gauge=svg(gauge(placement, here), standalone=False) if placement.aim_mm is not None else "",
    )


def _stood(job: Job, line: LogLine) -> Stand | None:
    """A logged reading by today's survey; None where the survey it rests on is gone."""
    try:
        return stand_of(job, line.contents)
    except StandoffError:
        return None


def _instruction(placement: Placement, here: Stand | None) -> tuple[str, str, str]:
    """The one large sentence, what stands below it, and whether it is good news."""
    units = placement.job.units
    if placement.aim_mm is None:
        return "No standoff serves", "See the placement for what would have to change.", "clash"
    if here is None:
        aim = length(placement.aim_mm, units)
        return f"Bring it to {aim}", "Type a reading below: this says how far to go, and which way.", "open"
    wanted = move(placement, standoff_mm=here.standoff_mm)
    now = f"It stands at {fine_length(here.standoff_mm, units)}, ± {small_length(2.0 * here.u_mm, units)}."
    if wanted is None:
        return "No standoff serves", now, "clash"
    if wanted.done:
        off = fine_length(abs(wanted.by_mm), units)
        aim = " and on the aim" if off == fine_length(0.0, units) else f"; the aim is {off} off"
        return "Leave it there", f"{now} That is within the band{aim}.", "fits"
    way = "away from the lathe" if wanted.by_mm > 0.0 else "towards the lathe"
    far = " That is far to go: check the reading and its unit." if abs(wanted.by_mm) > FAR_MM else ""
    return f"Move {length(abs(wanted.by_mm), units)} {way}", f"{now} The aim is {length(placement.aim_mm, units)}.{far}", "open"


def _band(guarded: Window, units: Units) -> str:
    """Which standoffs are sure, rounded inwards to the tape."""
    inside = None if guarded.empty else round_inward(least_mm=guarded.least_mm, greatest_mm=guarded.greatest_mm, units=units)
    if inside is not None:
        return f"sure from {length(inside[0], units)} to {length(inside[1], units)}"
    return "no standoff is sure with today's readings" if guarded.empty else "sure only between two marks of the tape"


def _noted(placement: Placement, line: LogLine, stood: Stand) -> Noted:
    contents, units = line.contents, placement.job.units
    wanted = move(placement, standoff_mm=stood.standoff_mm)
    shifted = ", loader shifted" if contents.get("shifted") is True else ""
    where = str(contents.get("headstock"))
    place_words = dict(HEADSTOCKS).get(where, "")
    at = f" {contents['at']}" if contents.get("at") and where in ASKS else ""
    return Noted(
        when=line.made_utc,
        phase=dict(PHASES).get(str(contents.get("phase")), ""),
        what=f"gap {contents.get('gap', '')}, headstock {place_words}{at}{shifted}"
        if placement.job.sliding
        else f"gap {contents.get('gap', '')}",
        standoff=fine_length(stood.standoff_mm, units),
        verdict="within the band" if wanted is not None and wanted.done else "outside the band",
    )


def _asked(placement: Placement, here: Stand | None, log: Sequence[LogLine]) -> tuple[Asked, ...]:
    """The direct readings of every mode, predicted from where the loader stands."""
    if here is None:
        return ()
    units = placement.job.units
    found = directs(placement, standoff_mm=here.standoff_mm, standoff_u_mm=here.u_mm)
    asked = []
    for direct in found:
        field = direct_field(direct)
        given = [line for line in log if line.kind == "direct" and line.contents.get("field") == field]
        latest = {str(line.contents.get("phase")): line for line in given}
        place_words = f"{direct.mode}, {direct.state}" if placement.job.sliding else "as it stands"
        asked.append(
            Asked(
                id=f"d-{slug(field)}",
                field=field,
                title=f"{direct.title} ({place_words})",
                how=f"from {STATION_NAMES[direct.start]} forward to {STATION_NAMES[direct.end]}",
                predicted=fine_length(direct.predicted_mm, units),
                least=fine_length(direct.least_mm, units),
                given=tuple(_answered(direct, line, units) for line in latest.values()),
            )
        )
    return tuple(asked)


def direct_field(direct: Direct) -> str:
    """A direct reading's name."""
    return f"{direct.id} {direct.mode}"


def _answered(direct: Direct, line: LogLine, units: Any) -> Answered:
    text = str(line.contents.get("value", ""))
    judged = compare(direct, _reading(text, "tape"))
    return Answered(
        dict(PHASES).get(str(line.contents.get("phase")), ""), text, _verdict(judged, units), judged.holds and judged.agrees
    )


def _verdict(judged: Compared, units: Any) -> str:
    off = fine_length(abs(judged.differs_mm), units)
    if not judged.holds:
        return f"too little: at least {fine_length(judged.direct.least_mm, units)} is needed"
    if judged.agrees:
        return f"holds, and agrees with what was predicted (off by {off})"
    more = "more" if judged.differs_mm > 0 else "less"
    return f"holds, but {off} {more} than predicted: something has moved, or a reading is wrong"


def direct_reading(text: str) -> Reading:
    """A direct reading as typed; raises QuantityError for one that cannot be read."""
    return _reading(text, "tape")
