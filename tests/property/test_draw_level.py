"""Over random frames, poses and names: no words of the levelling drawings meet, nothing leaves the sheet or is cut short."""

from __future__ import annotations

import re
from itertools import combinations

import numpy as np
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from standoff.draw.elevation import FORMATS
from standoff.draw.level_board import Scenery
from standoff.draw.level_chart import Judged, level_chart
from standoff.draw.level_plan import level_plan
from standoff.draw.level_side import level_side
from standoff.draw.scene import Scene, points_of
from standoff.errors import UsageError
from standoff.site.axis import SIDEWAYS, UPRIGHT, Point, Pose
from standoff.site.frame import Foot, Frame, Move, Screw
from standoff.site.levelling import judge
from standoff.site.tolerance import Tolerances

ARRANGEMENTS = tuple(FORMATS)
NAMES = st.text("abc defghiklmnoprstuvwyäß-&<", min_size=1, max_size=40).filter(lambda name: bool(name.strip()))
SLOW = settings(
    max_examples=settings.default.max_examples // 2 if settings.default else 50,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much],
)


def mm(low: float, high: float) -> st.SearchStrategy[float]:
    """A length to the hundredth."""
    return st.floats(low, high).map(lambda value: round(value, 2))


@st.composite
def frames(draw: st.DrawFn) -> Frame:
    """Three to eight feet anywhere, with up to four places of side screws, however far off they were typed."""
    far = draw(st.sampled_from((1.0, 1.0, 1.0, 12.0, 0.1)))
    names = draw(st.lists(NAMES, min_size=3, max_size=12, unique=True))
    count = min(draw(st.integers(3, 8)), len(names))
    feet = tuple(Foot(name, draw(mm(-6000, 500)) * far, draw(mm(-600, 600)) * far, 5.0, 5.0) for name in names[:count])
    screws = tuple(Screw(name, draw(mm(-6000, 0)) * far, 5.0, 5.0) for name in names[count : count + 4])
    height_mm = draw(mm(200, 1500)) * far
    for tried in (screws if len(screws) > 1 else (), ()):
        try:
            return Frame(feet, height_mm, tried)
        except UsageError:
            continue
    corners = ((-500.0, 300.0), (-500.0, -300.0), (-4000.0, 0.0))
    return Frame(tuple(Foot(name, x, y, 5.0, 5.0) for name, (x, y) in zip(names, corners, strict=False)), height_mm)


@st.composite
def sceneries(draw: st.DrawFn) -> Scenery:
    """A frame with moves, small, great and none, or without any."""
    frame = draw(frames())
    rear_mm = min(foot.x_mm for foot in frame.feet) - draw(mm(0, 2000))
    if draw(st.booleans()):
        return Scenery(frame=frame, rear_mm=rear_mm, front_mm=draw(mm(-1500, 0)))
    moves = st.sampled_from((0.0, 0.4, -0.4, 7.5, -120.0))
    feet = tuple(Move(foot.name, draw(moves), -5.0, 5.0) for foot in frame.feet)
    screws = tuple(Move(screw.name, draw(moves), -5.0, 5.0) for screw in frame.screws)
    said = "12.34 mm: shims 12.3 mm, 7.34 mm beyond its travel" if draw(st.booleans()) else "0.4 mm"
    words = {move.name: f"{'up' if move.move_mm > 0 else 'down'} {said}" for move in (*feet, *screws)}
    return Scenery(frame=frame, rear_mm=rear_mm, front_mm=draw(mm(-1500, 0)), feet=feet, screws=screws, words=words)


@st.composite
def poses(draw: st.DrawFn) -> Pose:
    """An axis that lies close or far off, known well or badly, with or without sideways."""
    far = draw(st.sampled_from((0.01, 1.0, 100.0)))
    unknowns = (*UPRIGHT, *SIDEWAYS) if draw(st.booleans()) else UPRIGHT
    estimates = np.array([draw(mm(-3, 3)) * far for _ in unknowns])
    u = np.array([draw(st.sampled_from((0.0, 0.01, 0.3))) for _ in unknowns])
    return Pose(unknowns, estimates, np.diag(u**2))


def check(scene: Scene) -> None:
    """Words apart and on the sheet; every shape on the sheet."""
    for a, b in combinations(scene.texts, 2):
        assert not a.box.meets(b.box), (a.words, b.words)
    for text in scene.texts:
        assert text.box.inside(scene.frame), text
    for shape in scene.shapes:
        for x, y in points_of(shape):
            assert -0.01 <= x <= scene.width + 0.01, shape
            assert -0.01 <= y <= scene.height + 0.01, shape


def said(scene: Scene) -> str:
    """Everything written, in one line."""
    return re.sub(r"\s+", " ", " ".join(text.words for text in scene.texts))


@SLOW
@given(sceneries(), st.sampled_from(ARRANGEMENTS))
def test_the_frame_from_above(scenery: Scenery, arrangement: str) -> None:
    """Whatever the frame is, every move is written out in full."""
    scene = level_plan(scenery, title="Moves", arrangement=arrangement)  # type: ignore[arg-type]
    check(scene)
    for words in scenery.words.values():
        assert words in said(scene)


@SLOW
@given(sceneries(), poses(), st.sampled_from(ARRANGEMENTS))
def test_the_frame_from_the_side(scenery: Scenery, pose: Pose, arrangement: str) -> None:
    """Whatever the axis does, it stays on the sheet."""
    check(level_side(scenery, pose, pose, title="Side", arrangement=arrangement))  # type: ignore[arg-type]


@SLOW
@given(
    poses(),
    st.lists(mm(-6000, 1500), min_size=1, max_size=7),
    st.sampled_from(ARRANGEMENTS),
    st.sampled_from(("in", "mm")),
)
def test_the_residuals(pose: Pose, places: list[float], arrangement: str, units: str) -> None:
    """Places on top of one another, an axis known exactly, one that is far off."""
    points = [Point(f"place {i} with the headstock fully forward", x_mm) for i, x_mm in enumerate(places)]
    tolerances = Tolerances()
    judged = Judged(pose=pose, verdict=judge(pose, points, tolerances), tolerances=tolerances, said=lambda miss, ways: ways[0])
    check(level_chart(judged, title="Now", units=units, arrangement=arrangement))  # type: ignore[arg-type]
