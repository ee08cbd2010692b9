"""The frame of the loader as a drawing: every foot and side screw with its move, seen from above."""

from __future__ import annotations

from standoff.desk.level_pictures import scenery_of
from standoff.draw.elevation import Arrangement
from standoff.draw.level_plan import level_plan
from standoff.draw.svg import svg
from standoff.errors import UsageError
from standoff.job.level_lines import round_title
from standoff.job.levels import Level, moves_wanted


def level_drawing(level: Level, *, arrangement: Arrangement) -> str:
    """The frame with the moves of the last round, or with its names alone where nothing is to be moved, as a file of its own.

    Raises: UsageError where no feet are stated.
    """
    frame, last = level.ground.frame, level.last
    if frame is None or last is None:
        raise UsageError(
            what="--svg", given="a job without [[feet]]", allowed="feet to draw", action="write where each foot stands"
        )
    plan = last.plan if moves_wanted(level, last) else None
    doing = "moves of feet and side screws" if plan is not None else "feet and side screws, nothing to be moved"
    title = f"{level.job.title}, {round_title(last)[0].lower()}{round_title(last)[1:]}: {doing}, seen from above"
    return svg(level_plan(scenery_of(level, frame, plan), title=title, arrangement=arrangement), standalone=True)
