"""The pictures of a round of levelling: the frame from above and from the side, the residuals now and after the moves."""

from __future__ import annotations

from standoff.desk.drawn import Drawn, drawn
from standoff.draw.level_board import Scenery
from standoff.draw.level_chart import Judged, level_chart
from standoff.draw.level_plan import level_plan
from standoff.draw.level_side import level_side
from standoff.job.level_lines import round_title
from standoff.job.level_words import beyond, foot_way, missed, screw_way, shims
from standoff.job.levels import Ground, Level, Round
from standoff.site.axis import Miss, Pose
from standoff.site.frame import Frame
from standoff.site.levelling import Plan, Verdict

OVERHANG_MM = 250.0
"""So much the loader is drawn beyond its last foot where its length was not measured [mm]."""


def frame_from_above(level: Level, one: Round | None, plan: Plan | None) -> Drawn | None:
    """The frame with the moves of a plan, or with its names alone; None where no feet are stated."""
    if level.ground.frame is None:
        return None
    scenery = scenery_of(level, level.ground.frame, plan)
    title = "Feet and side screws, seen from above"
    if one is not None and plan is not None:
        title = f"{round_title(one)}: moves of feet and side screws, seen from above"
    return drawn(lambda arrangement: level_plan(scenery, title=title, arrangement=arrangement))


def frame_from_the_side(level: Level, one: Round | None, plan: Plan | None) -> Drawn | None:
    """The frame with the axis as it lies in a round and as the plan leaves it; None where no feet are stated."""
    if level.ground.frame is None:
        return None
    scenery = scenery_of(level, level.ground.frame, plan)
    now = one.alignment.pose if one is not None and one.alignment is not None else None
    after = plan.after if plan is not None else None
    return drawn(lambda arrangement: level_side(scenery, now, after, title="Seen from its right side", arrangement=arrangement))


def residuals(level: Level, pose: Pose, verdict: Verdict, *, title: str) -> Drawn:
    """By how much the axis misses the spindle's, all along it."""
    units = level.job.units

    def said(miss: Miss, ways: tuple[str, str]) -> str:
        return f"{missed(miss, units)} {ways[0] if miss.miss_mm > 0.0 else ways[1]}"

    judged = Judged(pose=pose, verdict=verdict, tolerances=level.ground.tolerances, said=said)
    return drawn(lambda arrangement: level_chart(judged, title=title, units=units, arrangement=arrangement))


def scenery_of(level: Level, frame: Frame, plan: Plan | None) -> Scenery:
    """The frame with its ends, and with what each foot and screw is to do where there is a plan."""
    rear_mm, front_mm = _ends_mm(level.ground, frame)
    if plan is None:
        return Scenery(frame=frame, rear_mm=rear_mm, front_mm=front_mm)
    words = dict((*foot_words(level, plan), *screw_words(level, plan)))
    return Scenery(frame=frame, rear_mm=rear_mm, front_mm=front_mm, feet=plan.feet, screws=plan.screws, words=words)


def foot_words(level: Level, plan: Plan) -> list[tuple[str, str]]:
    """What is said of each foot: which way and how far, its shims, and what stands in the way."""
    found = []
    for wanted, move in zip(plan.wanted, plan.feet, strict=True):
        put, far = shims(move.move_mm, level.job), beyond(move, level.job.units)
        words = foot_way(wanted, level.job.units) + (f": {put}" if put else "")
        found.append((move.name, f"{words}, {far}" if far else words))
    return found


def screw_words(level: Level, plan: Plan) -> list[tuple[str, str]]:
    """What is said of each place of side screws."""
    found = []
    for move in plan.screws:
        way, far = screw_way(move, level.job.units), beyond(move, level.job.units)
        words = way if way == "stays" else f"push {way}"
        found.append((move.name, f"{words}, {far}" if far else words))
    return found


def _ends_mm(ground: Ground, frame: Frame) -> tuple[float, float]:
    """Rear and front end of the loader along the axis, as far as they were measured. [mm]"""
    readings = ground.stand.job.readings
    rear = readings.get("loader.length_behind_clamp")
    front = readings.get("loader.body_ahead_of_clamp")
    last_mm = min(foot.x_mm for foot in frame.feet) - OVERHANG_MM
    rear_mm = last_mm if rear is None else ground.stand.frame_x_mm(rear.value_mm)
    return rear_mm, ground.stand.frame_x_mm(0.0 if front is None else -front.value_mm)
