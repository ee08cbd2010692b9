"""The strips of a bar in motion: the whole axis small, and nose and tool large; each has one scale and is never broken.

What moves leaves no strip in between, so that a page may move it by one number: a place on the axis lies at `zero + mm * scale`.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from standoff.draw.elevation import FORMATS, Arrangement, Format
from standoff.draw.pose import Pose
from standoff.draw.scene import Px
from standoff.draw.strip import Strip, Zone
from standoff.errors import UsageError
from standoff.job.cycle import Cycle

MOST_AHEAD_MM = 320.0
"""So far ahead of the cut-off plane a strip shows at most: a longer part runs out of it."""
LARGE_SHARE, LOW_SHARE, SMALL_SHARE = 0.85, 0.7, 0.44
"""How large symbols are on the strip of the nose, on that of the tool below it, and on that of the whole axis."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Band:
    """One strip: what it is called, where it lies, how large its symbols are, and which carriers are named in it."""

    name: str
    strip: Strip
    share: float
    whole: bool
    shows_nose: bool
    shows_tool: bool

    @property
    def zone(self) -> Zone:
        """Its one zone."""
        return self.strip.zones[0]

    @property
    def scale(self) -> float:
        """Drawing units per mm."""
        return self.zone.scale

    @property
    def zero(self) -> Px:
        """Where the axis has its zero."""
        return self.zone.x(0.0)


def form_of(arrangement: Arrangement) -> Format:
    """The format of an arrangement. Raises UsageError for another one."""
    if arrangement not in FORMATS:
        raise UsageError(what="arrangement", given=str(arrangement), allowed=", ".join(FORMATS))
    return FORMATS[arrangement]


def bands(cycle: Cycle, pose: Pose, *, arrangement: Arrangement) -> tuple[Band, ...]:
    """The strips of an arrangement: on a narrow screen nose and tool lie below one another."""
    return tuple(_bands(cycle, pose, form_of(arrangement), arrangement))


def _bands(cycle: Cycle, pose: Pose, form: Format, arrangement: Arrangement) -> Iterator[Band]:
    moments, k = cycle.course, form.share
    travel_mm = (float(moments.travel_mm.min()) - pose.travel_mm, float(moments.travel_mm.max()) - pose.travel_mm)
    cut_mm = cycle.part.reach.cut_off_mm
    ahead_mm = cut_mm + min(max(float(moments.front_mm.max()) - cut_mm, cycle.part.advance_mm), MOST_AHEAD_MM)
    rear_mm = min(float(moments.tip_mm.min()), float(moments.rear_mm.min()), pose.gripper_mm)
    if pose.loader_rear_mm is not None:
        rear_mm = min(rear_mm, pose.loader_rear_mm)
    clamp_mm = min(pose.clamp_mm, pose.body_front_mm)
    adapter_mm = max(pose.adapter_mm + travel_mm[1], pose.body_front_mm, pose.cover_mm or -1e9)
    # A pusher that falls short is shown with the collet that it does not reach.
    collet_mm = min(pose.collet_mm + travel_mm[0], pose.reach_mm)
    small, low = form.share * SMALL_SHARE, form.share * LOW_SHARE
    yield _band("The whole bar", form, rear_mm, ahead_mm, before=30 * k, after=12 * k, share=small, whole=True)
    if arrangement != "narrow":
        yield _band(
            "From the nose clamp to the tool", form, clamp_mm, ahead_mm, before=96 * k, after=24 * k, nose=True, tool=True
        )
        return
    yield _band("At the nose", form, clamp_mm, adapter_mm, before=70 * k, after=66 * k, nose=True)
    yield _band("At the tool", form, collet_mm, ahead_mm, before=50 * k, after=20 * k, share=low, tool=True)


def _band(
    name: str,
    form: Format,
    rear_mm: float,
    front_mm: float,
    *,
    before: Px,
    after: Px,
    share: float | None = None,
    whole: bool = False,
    nose: bool = False,
    tool: bool = False,
) -> Band:
    left, right = form.span
    scale = (right - left - before - after) / (front_mm - rear_mm)
    zone = Zone(rear_mm=rear_mm, origin=left + before, left=left, right=right, scale=scale)
    shown = form.share * LARGE_SHARE if share is None else share
    return Band(name=name, strip=Strip((zone,)), share=shown, whole=whole, shows_nose=nose, shows_tool=tool)
