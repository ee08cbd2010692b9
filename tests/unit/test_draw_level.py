"""The frame with its moves, its side view, the residuals along the axis: true to scale, each sign the right way, words apart."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from standoff.draw.elevation import FORMATS, Arrangement
from standoff.draw.level_board import Scenery
from standoff.draw.level_chart import Judged, level_chart
from standoff.draw.level_plan import level_plan
from standoff.draw.level_side import level_side, round_factor
from standoff.draw.scene import Circle, Hatch, Line, Path, Rect, Scene, points_of
from standoff.draw.svg import STYLESHEET, svg
from standoff.errors import UsageError
from standoff.site.axis import SIDEWAYS, UPRIGHT, Miss, Point, Pose
from standoff.site.frame import Foot, Frame, Screw
from standoff.site.levelling import Plan, align, judge, plan
from standoff.site.tolerance import Tolerances
from standoff.solve.window import GUARD_FACTOR
from tests.unit.test_site_frame import FRAME
from tests.unit.test_site_levelling import HEIGHTS, LEVEL, POINTS, SIDES, Means

ARRANGEMENTS: tuple[Arrangement, ...] = ("wide", "narrow", "page")
MANY = Frame(
    tuple(
        Foot(f"{place} {side}", x_mm, y_mm, 2.0, 6.0)
        for place, x_mm in (("front", -600.0), ("second", -1800.0), ("third", -3000.0), ("rear", -4300.0))
        for side, y_mm in (("left", 300.0), ("right", -300.0))
    ),
    1000.0,
    (Screw("front screw", -600.0, 5.0, 5.0), Screw("middle screw", -2400.0, 5.0, 5.0), Screw("rear screw", -4300.0, 5.0, 5.0)),
)
TRIPOD = Frame(
    (
        Foot("front", -900.0, 0.0, 2.0, 6.0),
        Foot("rear left", -4000.0, 300.0, 2.0, 6.0),
        Foot("rear right", -4000.0, -300.0, 2.0, 1.0),
    ),
    1000.0,
)
FRAMES = {"four": FRAME, "eight": MANY, "three": TRIPOD}


def planned(name: str = "four") -> Plan:
    """What these feet and screws are to do: a loader high in front, low behind, off to the left and rolled."""
    return plan(align([*HEIGHTS, *SIDES, LEVEL]), FRAMES[name], points=POINTS, tolerances=Tolerances(), means=Means(step_mm=0.2))


def scenery(name: str = "four") -> Scenery:
    """That plan with its words."""
    made = planned(name)
    words = {move.name: f"by {abs(move.move_mm):.2f} mm: shims {abs(move.move_mm):.1f} mm" for move in made.feet}
    words |= {move.name: f"push by {abs(move.move_mm):.2f} mm" for move in made.screws}
    return Scenery(frame=FRAMES[name], rear_mm=-4600.0, front_mm=-300.0, feet=made.feet, screws=made.screws, words=words)


def bare(name: str = "four") -> Scenery:
    """The frame before anything was read."""
    return Scenery(frame=FRAMES[name], rear_mm=-4600.0, front_mm=-300.0)


def told(miss: Miss, ways: tuple[str, str]) -> str:
    """A miss in words."""
    return f"{abs(miss.miss_mm):.2f} mm {ways[0] if miss.miss_mm > 0 else ways[1]}"


def judged(pose: Pose | None = None, points: Sequence[Point] = POINTS) -> Judged:
    """An axis and its verdict."""
    lies = pose if pose is not None else align([*HEIGHTS, *SIDES, LEVEL]).pose
    return Judged(pose=lies, verdict=judge(lies, points, Tolerances()), tolerances=Tolerances(), said=told)


def said(scene: Scene) -> str:
    """Everything written."""
    return " ".join(text.words for text in scene.texts)


def soles(scene: Scene) -> list[Rect]:
    """The squares of the feet, in their order."""
    return [shape for shape in scene.shapes if isinstance(shape, Rect) and shape.layer == "feet" and shape.style == "fitting"]


def middle(rect: Rect) -> tuple[float, float]:
    """The middle of a rectangle."""
    return (rect.box.left + rect.box.right) / 2.0, (rect.box.top + rect.box.bottom) / 2.0


@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
@pytest.mark.parametrize("name", list(FRAMES))
def test_the_frame_is_to_scale_both_ways(name: str, arrangement: Arrangement) -> None:
    """Feet lie forward to the right and left upwards, on a phone forward upwards and left to the left, at one scale."""
    scene = level_plan(scenery(name), title="Moves", arrangement=arrangement)
    found = [middle(sole) for sole in soles(scene)]
    feet = FRAMES[name].feet
    (x0, y0), first = found[0], feet[0]
    run = [(x - x0, y0 - y) for x, y in found]
    if arrangement == "narrow":
        run = [(y0 - y, x0 - x) for x, y in found]
    apart = next(i for i, foot in enumerate(feet) if foot.x_mm != first.x_mm)
    scale = run[apart][0] / (feet[apart].x_mm - first.x_mm)
    assert scale > 0.0
    for (along, aside), foot in zip(run, feet, strict=True):
        assert along == pytest.approx((foot.x_mm - first.x_mm) * scale, abs=1e-6)
        assert aside == pytest.approx((foot.y_mm - first.y_mm) * scale, abs=1e-6)
    loader = next(shape.box for shape in scene.shapes if isinstance(shape, Rect) and shape.style == "loader")
    run_px = loader.bottom - loader.top if arrangement == "narrow" else loader.right - loader.left
    assert run_px == pytest.approx(4300.0 * scale)


@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
def test_a_triangle_points_where_the_foot_goes(arrangement: Arrangement) -> None:
    """Up for a foot that is raised, down for one that is lowered, a bar for one that stays: never by colour alone."""
    moves = planned().feet
    still = replace(moves[0], move_mm=0.0)
    scene = level_plan(replace(scenery(), feet=(still, *moves[1:])), title="Moves", arrangement=arrangement)
    signs = [s for s in scene.shapes if s.layer == "feet" and isinstance(s, Path | Line)]
    assert isinstance(signs[0], Line)
    for shape, move in zip(signs[1:], moves[1:], strict=True):
        assert isinstance(shape, Path)
        tip, one, _ = shape.points
        assert (tip[1] < one[1]) is (move.move_mm > 0.0)
    told_of = said(scene)
    assert "raise this foot" in told_of
    assert "lower this foot" in told_of
    assert "leave this foot" in told_of


@pytest.mark.parametrize(("push_mm", "side"), [(2.0, "right"), (-2.0, "left")])
@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
def test_a_screw_stands_on_the_side_it_pushes_from(arrangement: Arrangement, push_mm: float, side: str) -> None:
    """What pushes the loader left stands at its right, its arrow pointing at the loader."""
    screws = tuple(replace(move, move_mm=push_mm) for move in planned().screws)
    scene = level_plan(replace(scenery(), screws=screws), title="Moves", arrangement=arrangement)
    loader = next(shape.box for shape in scene.shapes if isinstance(shape, Rect) and shape.style == "loader")
    heads = [s for s in scene.shapes if isinstance(s, Path) and s.layer == "screws"]
    assert len(heads) == 2
    for head in heads:
        (x, y), (wing_x, wing_y), _ = head.points
        if arrangement == "narrow":
            assert x == pytest.approx(loader.right if side == "right" else loader.left)
            assert (wing_x > x) is (side == "right")
        else:
            assert y == pytest.approx(loader.bottom if side == "right" else loader.top)
            assert (wing_y > y) is (side == "right")


@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
@pytest.mark.parametrize("name", list(FRAMES))
def test_every_foot_and_screw_is_named_with_its_move(name: str, arrangement: Arrangement) -> None:
    """Beside it or, where there is no room, by a number with a list; nothing is cut short, and the description says it too."""
    shown = scenery(name)
    scene = level_plan(shown, title="Moves", arrangement=arrangement)
    words = re.sub(r"\s+", " ", said(scene))
    for move in (*shown.feet, *shown.screws):
        assert f"{move.name} {shown.told(move.name)}" in words or f"{move.name}: {shown.told(move.name)}" in words, words
        assert f"{move.name}: {shown.told(move.name)}" in scene.description
    assert "…" not in words


def test_a_move_beyond_the_travel_is_outlined_twice() -> None:
    """Besides its colour a foot that cannot go so far has a second outline."""
    moves = planned().feet
    far = replace(moves[1], move_mm=9.0)
    scene = level_plan(replace(scenery(), feet=(moves[0], far, *moves[2:])), title="Moves", arrangement="wide")
    outlines = [s for s in scene.shapes if isinstance(s, Rect) and s.layer == "feet" and s.style == "clash"]
    assert [middle(rect) for rect in outlines] == [pytest.approx(middle(soles(scene)[1]))]


def test_before_anything_was_read_only_names_are_there() -> None:
    """No sign, no arrow, no promise of a move."""
    for frame in FRAMES:
        scene = level_plan(bare(frame), title="The frame", arrangement="wide")
        assert not [s for s in scene.shapes if isinstance(s, Path)]
        assert "this foot" not in said(scene)
        assert all(foot.name in re.sub(r"\s+", " ", said(scene)) for foot in FRAMES[frame].feet)


@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
def test_the_side_view_is_to_scale_but_for_the_miss(arrangement: Arrangement) -> None:
    """Feet and axis height at one scale; the loader's axis farther from the spindle's by the factor that is written."""
    shown, made = scenery(), planned()
    now = align([*HEIGHTS, *SIDES, LEVEL]).pose
    scene = level_side(shown, now, made.after, title="Side", arrangement=arrangement)
    floor = next(s for s in scene.shapes if isinstance(s, Line) and s.style == "floor")
    lathe = next(s.box for s in scene.shapes if isinstance(s, Rect) and s.style == "lathe")
    feet = soles(scene)
    scale = (middle(feet[1])[0] - middle(feet[0])[0]) / 3000.0
    axis_y = next(s.start[1] for s in scene.shapes if isinstance(s, Line) and s.style == "axis")
    assert floor.start[1] - axis_y == pytest.approx(1000.0 * scale)
    assert lathe.left - middle(feet[1])[0] == pytest.approx(1000.0 * scale)
    times = float(re.search(r"drawn ([0-9.e+]+) times", re.sub(r"\s+", " ", said(scene)))[1])  # type: ignore[index]
    lies = next(s for s in scene.shapes if isinstance(s, Path) and s.style == "trace")
    for (_, y), x_mm in zip(lies.points, (-4600.0, 0.0), strict=True):
        assert axis_y - y == pytest.approx(now.offset(Point("", x_mm)).upright.miss_mm * times * scale)


def test_the_factor_is_round_and_never_below_one() -> None:
    """1, 2, 5 and their tens."""
    ratios = (0.2, 1.0, 1.9, 2.0, 4.9, 7.0, 10.0, 199.0, 530.0)
    assert [round_factor(ratio) for ratio in ratios] == [1, 1, 1, 2, 2, 5, 10, 100, 500]


def test_without_readings_the_side_view_has_no_loader_axis() -> None:
    """The frame alone, and nothing said of a factor."""
    scene = level_side(bare(), None, None, title="Side", arrangement="wide")
    assert not [s for s in scene.shapes if isinstance(s, Path)]
    assert "times" not in said(scene)


def grounds(scene: Scene, unit_mm: float) -> list[tuple[float, float]]:
    """Of each chart: the y at which nothing is missed, and drawing units per mm upwards, by the figures of its axis."""
    figures = [t for t in scene.texts if t.layer == "axes" and t.anchor == "end" and re.fullmatch(r"[+−]?[0-9.]+", t.words)]
    ys = sorted(t.at[1] for t in figures)
    _, split = max((b - a, (a + b) / 2.0) for a, b in pairwise(ys))
    found = []
    for chart in ([t for t in figures if t.at[1] < split], [t for t in figures if t.at[1] >= split]):
        by_mm = sorted((float(t.words.replace("−", "-")) * unit_mm, t.at[1] - 0.34 * t.size) for t in chart)
        (low_mm, low_y), (high_mm, high_y) = by_mm[0], by_mm[-1]
        per_mm = (low_y - high_y) / (high_mm - low_mm)
        found.append((low_y + low_mm * per_mm, per_mm))
    return found


@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
@pytest.mark.parametrize(("units", "unit_mm"), [("mm", 1.0), ("in", 25.4)])
def test_dots_and_their_bars_lie_at_their_values(arrangement: Arrangement, units: str, unit_mm: float) -> None:
    """Against the figures of the axes: the miss, and 1.645 standard uncertainties on either side, upright and sideways."""
    shown = judged()
    scene = level_chart(shown, title="Now", units=units, arrangement=arrangement)  # type: ignore[arg-type]
    dots = [s for s in scene.shapes if isinstance(s, Circle) and s.style == "aim-mark" and s.layer == "dots"]
    bars = [s for s in scene.shapes if isinstance(s, Line) and s.layer == "dots"]
    residuals = shown.verdict.residuals
    misses = [r.offset.upright for r in residuals] + [r.offset.sideways for r in residuals if r.offset.sideways is not None]
    assert len(dots) == len(bars) == len(misses) == 6
    for i, (zero, per_mm) in enumerate(grounds(scene, unit_mm)):
        for dot, bar, miss in list(zip(dots, bars, misses, strict=True))[3 * i : 3 * i + 3]:
            assert (zero - dot.centre[1]) / per_mm == pytest.approx(miss.miss_mm, abs=1e-6)
            half = abs(bar.end[1] - bar.start[1]) / 2.0 / per_mm
            assert half == pytest.approx(GUARD_FACTOR * miss.u_mm, abs=1e-6)


def test_the_tolerance_is_narrower_at_the_spindle() -> None:
    """Hatched on either side of no miss: 0.25 mm along the loader, 0.1 mm at the spindle's face and ahead of it."""
    scene = level_chart(judged(), title="Now", units="mm", arrangement="wide")
    allowed = [s.box for s in scene.shapes if isinstance(s, Hatch) and s.layer == "allowed"]
    assert len(allowed) == 4
    for pair, (zero, per_mm) in zip((allowed[:2], allowed[2:]), grounds(scene, 1.0), strict=True):
        for box, half_mm in zip(pair, (0.25, 0.1), strict=True):
            assert (zero - box.top) / per_mm == pytest.approx(half_mm)
            assert (box.bottom - zero) / per_mm == pytest.approx(half_mm)
    assert allowed[0].right == pytest.approx(allowed[1].left)


def test_marks_follow_the_grades() -> None:
    """Each name carries its grade; what is outside has a ring besides its colour."""
    fine = Pose((*UPRIGHT, *SIDEWAYS), np.zeros(5), np.eye(5) * 1e-6)
    assert "✗" not in said(level_chart(judged(fine), title="Now", units="mm", arrangement="wide"))
    scene = level_chart(judged(), title="Now", units="mm", arrangement="wide")
    grades = [g for r in judged().verdict.residuals for g in (r.upright, r.sideways)]
    rings = [s for s in scene.shapes if isinstance(s, Circle) and s.style == "clash"]
    assert len(rings) == grades.count("outside") > 0
    assert said(scene).count("✗") == grades.count("outside")


def test_sideways_unread_is_not_drawn() -> None:
    """One chart, and no word of sideways."""
    lies = align([*HEIGHTS, LEVEL]).pose
    scene = level_chart(judged(lies), title="Now", units="mm", arrangement="wide")
    assert len([s for s in scene.shapes if isinstance(s, Hatch) and s.layer == "allowed"]) == 2
    assert "Sideways" not in said(scene)


def test_places_at_one_spot_stand_side_by_side() -> None:
    """The spindle's face is judged with the headstock at both limits: two dots, not one upon the other."""
    both = (
        Point("face, headstock back", 0.0, -90.0, at_spindle=True),
        Point("face, headstock forward", 0.0, 90.0, at_spindle=True),
        Point("clamp", -400.0),
    )
    for arrangement in ARRANGEMENTS:
        scene = level_chart(judged(points=both), title="Now", units="mm", arrangement=arrangement)
        dots = [s.centre[0] for s in scene.shapes if isinstance(s, Circle) and s.style == "aim-mark" and s.layer == "dots"]
        assert min(abs(a - b) for i, a in enumerate(dots[:3]) for b in dots[:i]) > 9.0


def every_scene() -> dict[str, Scene]:
    """Each drawing in each arrangement, crowded, usual and empty."""
    found = {}
    now, after = align([*HEIGHTS, *SIDES, LEVEL]).pose, planned().after
    crowd = tuple(Point(f"place number {i} with the headstock somewhere", -700.0 * i) for i in range(7))
    long = replace(FRAME, feet=tuple(replace(foot, name=f"{foot.name} {'of a very long name ' * 6}") for foot in FRAME.feet))
    for a in ARRANGEMENTS:
        for name in FRAMES:
            found[f"plan {name} {a}"] = level_plan(scenery(name), title="Moves of the feet, round 2", arrangement=a)
            found[f"bare {name} {a}"] = level_plan(bare(name), title="The frame", arrangement=a)
            found[f"side {name} {a}"] = level_side(scenery(name), now, after, title="From the side", arrangement=a)
        found[f"long plan {a}"] = level_plan(replace(bare(), frame=long), title="T" * 200, arrangement=a)
        found[f"long side {a}"] = level_side(replace(bare(), frame=long), now, None, title="T" * 200, arrangement=a)
        for units in ("in", "mm"):
            found[f"chart {units} {a}"] = level_chart(judged(), title="As it lies", units=units, arrangement=a)  # type: ignore[arg-type]
            found[f"after {units} {a}"] = level_chart(judged(after), title="After", units=units, arrangement=a)  # type: ignore[arg-type]
            found[f"crowd {units} {a}"] = level_chart(judged(points=crowd), title="Crowd", units=units, arrangement=a)  # type: ignore[arg-type]
    return found


def test_no_words_meet_or_leave_the_drawing() -> None:
    """In every drawing."""
    for name, scene in every_scene().items():
        texts = scene.texts
        met = [(a.words, b.words) for i, a in enumerate(texts) for b in texts[:i] if a.box.meets(b.box)]
        assert met == [], name
        assert [t.words for t in texts if not t.box.inside(scene.frame)] == [], name


def test_nothing_leaves_the_sheet() -> None:
    """Every point of every shape lies on it."""
    for name, scene in every_scene().items():
        for shape in scene.shapes:
            for x, y in points_of(shape):
                assert -0.01 <= x <= scene.width + 0.01, (name, shape)
                assert -0.01 <= y <= scene.height + 0.01, (name, shape)


def test_every_style_is_known_and_the_bytes_are_stable() -> None:
    """A stand-alone file is well formed; the same scene gives the same bytes."""
    for scene in every_scene().values():
        text = svg(scene, standalone=True)
        ET.fromstring(text)
        for style in {shape.style for shape in scene.shapes}:
            assert f".d-{style}" in STYLESHEET, style
    assert every_scene() == every_scene()


def test_another_arrangement_is_refused() -> None:
    """With the ones there are."""
    with pytest.raises(UsageError, match=", ".join(FORMATS)):
        level_plan(bare(), title="", arrangement="poster")  # type: ignore[arg-type]
    with pytest.raises(UsageError, match=", ".join(FORMATS)):
        level_side(bare(), None, None, title="", arrangement="poster")  # type: ignore[arg-type]
    with pytest.raises(UsageError, match=", ".join(FORMATS)):
        level_chart(judged(), title="", units="mm", arrangement="poster")  # type: ignore[arg-type]


def test_a_frame_shorter_than_its_feet_still_holds_them() -> None:
    """The loader's ends as stated lie within the feet: the outline is drawn around the feet."""
    scene = level_plan(replace(bare(), rear_mm=-2000.0, front_mm=-1900.0), title="", arrangement="wide")
    loader = next(s.box for s in scene.shapes if isinstance(s, Rect) and s.style == "loader")
    for sole in soles(scene):
        assert loader.left <= middle(sole)[0] <= loader.right
