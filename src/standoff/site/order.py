"""The order of work at the loader, as data, and what tightening did to it.

Roll and height come before sideways, since the roll swings the axis aside; everything is read again after each, and once more
when the bolts are tight: bolting down moves machines.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from standoff.site.axis import DRIFTS, RISES, SAME_POSITION_MM, Miss, Point, Pose, named
from standoff.site.tolerance import Grade, Tolerances, graded

_TWO_SIDED = 1.959963984540054
"""Two-sided 95 % of the normal distribution."""


@dataclass(frozen=True, slots=True)
class Task:
    """One task: what is done, the reading that closes it, and the task to go back to where that is not within tolerance."""

    id: str
    work: str
    reading: str
    back_to: str


TASKS = (
    Task(
        "centre-height",
        "Check that the spindle's height lies in the loader's range of heights.",
        "height of the spindle's axis and of the loader's above the floor",
        "centre-height",
    ),
    Task(
        "bear",
        "Let every foot bear; feel under each with a gauge.",
        "gap under each foot",
        "bear",
    ),
    Task(
        "roll-and-height",
        "Set roll, pitch and height at the feet.",
        "level across, and the loader's height against the spindle's at two places or more",
        "roll-and-height",
    ),
    Task(
        "sideways",
        "Only then push the loader sideways with the side screws.",
        "how far the loader is aside of the spindle at two places or more",
        "sideways",
    ),
    Task(
        "read-again",
        "Read everything again, with the headstock at both limits and the loader at both ends of its shift.",
        "all of the above",
        "roll-and-height",
    ),
    Task(
        "standoff-again",
        "Measure the standoff again: aligning has moved it.",
        "adapter's rear face to nose-clamp face",
        "read-again",
    ),
    Task(
        "anchor",
        "Drill through the holes of the feet and set the anchors, as their maker says.",
        "depth of each hole, and the anchors' own check",
        "anchor",
    ),
    Task(
        "tighten",
        "Tighten in steps and crosswise, watching an indicator at the front clamp.",
        "torque of each step, and the indicator after it",
        "tighten",
    ),
    Task(
        "read-tightened",
        "Read everything again, and compare with before tightening.",
        "all of the above, and the change on tightening",
        "bear",
    ),
    Task(
        "slide-pusher",
        "Slide the pusher by hand from the channel into the main collet, power and air locked out.",
        "no step and no hard place felt over the whole way",
        "read-again",
    ),
)
"""The order of work; common practice, no published source."""


@dataclass(frozen=True, slots=True)
class Change:
    """What changed at one place on tightening, with its grade, and whether it is more than the readings' uncertainty explains."""

    change: Miss
    grade: Grade

    @property
    def seen(self) -> bool:
        """Whether the change exceeds 1.96 of its standard uncertainties (two-sided 95 %)."""
        return abs(self.change.miss_mm) > _TWO_SIDED * self.change.u_mm


@dataclass(frozen=True, slots=True)
class Tightened:
    """The change at one place, upright and sideways (None: not read both times)."""

    point: Point
    upright: Change
    sideways: Change | None


def tightening(before: Pose, after: Pose, points: Sequence[Point], tolerances: Tolerances) -> tuple[Tightened, ...]:
    """What did tightening do to the axis?

    The `difference` of two poses, taken as read independently; the same instruments left standing in between share their errors,
    so the uncertainty errs high and a change may pass for more doubtful than it is.

    Args: poses read before and after; where to judge; tolerances, of which the one on tightening counts.
    Returns: the change at each point, up and left positive [mm]; none where the two were read at different positions of a travel.
    Raises: UsageError for no points, or two of one name.
    Validity: a frame that stays straight; a racked frame shows at points that were read, not between them.
    Source: JCGM 100:2008, 5.1.2; grade as in `grade`.
    """
    changes = []
    for point in named(points):
        upright, sideways = difference(before, after, point)
        if upright is not None:
            aside = None if sideways is None else _change(sideways, tolerances)
            changes.append(Tightened(point, _change(upright, tolerances), aside))
    return tuple(changes)


def _change(change: Miss, tolerances: Tolerances) -> Change:
    """What changed, graded."""
    return Change(change, graded(change, tolerances.tightening_mm))


def difference(before: Pose, after: Pose, point: Point) -> tuple[Miss | None, Miss | None]:
    """By how much does the axis lie otherwise here than it did?

    A travel of headstock or loader that one of the two was read at one position of only: both are taken where that was, for how
    the spindle climbs is the lathe's and is not changed at the loader. Read alike, the two do not differ.

    Args: poses read (or expected) before and after; the place.
    Returns: the difference upright and sideways, up and left positive [mm]; None where it was not read both times, or at
        different positions of a travel.
    Validity: the two as independent of one another; what is shared makes the uncertainty err high.
    Source: JCGM 100:2008, 5.1.2.
    """
    upright_at, sideways_at = (_where_both_tell(before, after, point, travels) for travels in (RISES, DRIFTS))
    upright = sideways = None
    if upright_at is not None:
        upright = _less(after.offset(upright_at).upright, before.offset(upright_at).upright)
    if sideways_at is not None:
        sideways = _less(after.offset(sideways_at).sideways, before.offset(sideways_at).sideways)
    return upright, sideways


def _less(new: Miss | None, old: Miss | None) -> Miss | None:
    """One miss less another; None where either was not read."""
    if new is None or old is None:
        return None
    return Miss(new.miss_mm - old.miss_mm, math.hypot(old.u_mm, new.u_mm))


def _where_both_tell(before: Pose, after: Pose, point: Point, travels: tuple[str, str]) -> Point | None:
    """The place with headstock and loader where both poses tell of it; None where each was read at another position only."""
    stands_mm = [point.headstock_mm, point.loader_mm]
    for i, travel in enumerate(travels):
        read_mm = [dict(pose.read_at_mm)[travel] for pose in (before, after) if travel in dict(pose.read_at_mm)]
        if len(read_mm) == 2 and abs(read_mm[0] - read_mm[1]) > SAME_POSITION_MM:
            return None
        stands_mm[i] = read_mm[0] if read_mm else stands_mm[i]
    return replace(point, headstock_mm=stands_mm[0], loader_mm=stands_mm[1])
