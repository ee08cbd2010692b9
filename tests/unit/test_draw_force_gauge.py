"""The force gauge: floor, set force and ceiling where one scale puts them, a far ceiling cut off, what is amiss in words."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from standoff.draw.elevation import FORMATS, Arrangement
from standoff.draw.force_gauge import force_gauge
from standoff.draw.scene import Hatch, Line, Path, Rect, Scene, Text
from standoff.draw.svg import STYLESHEET, svg
from standoff.errors import UsageError
from standoff.job.pushing import Buckling, Pushing, Stage
from standoff.job.speed import BarSpeed
from tests.unit.test_draw_speed import BARS, answer, bar

ARRANGEMENTS: tuple[Arrangement, ...] = ("wide", "narrow", "page")


def pushed(*, set_n: float | None, ceiling_n: float, needs_n: tuple[float, ...] = (60.0, 220.0)) -> BarSpeed:
    """A bar with pushing stages that need so much beside a friction of 40 N, and a pull-out of 100 N."""
    stages = [Stage(f"s{i}", f"stage {i}", needs, 40.0, ceiling_n) for i, needs in enumerate(needs_n)]
    stages.append(Stage("pull_out", "pull-out", 100.0, 40.0, None))
    return replace(bar(), pushing=Pushing(Buckling(2.0 * ceiling_n, "inside channel"), tuple(stages), set_n))


def said(scene: Scene) -> str:
    """Everything written."""
    return " ".join(text.words for text in scene.texts)


def ticks(scene: Scene) -> list[float]:
    """Where floors and ceilings are marked, stage by stage."""
    return [s.start[0] for s in scene.shapes if isinstance(s, Line) and s.style == "bound"]


def test_forces_lie_where_the_scale_puts_them() -> None:
    """Floors 100, 260 and 140, set 300, ceiling 600: all on one scale from the left edge, on which a newton has one length."""
    scene = force_gauge(pushed(set_n=300.0, ceiling_n=600.0), "mm")
    left = FORMATS["wide"].span[0]
    a_newton = (ticks(scene)[1] - left) / 600.0
    assert [(x - left) / a_newton for x in ticks(scene)] == pytest.approx([100.0, 600.0, 260.0, 600.0, 140.0])
    sets = [s.start[0] for s in scene.shapes if isinstance(s, Line) and s.style == "aim"]
    assert [(x - left) / a_newton for x in sets] == pytest.approx([300.0, 300.0])
    filled = [s.box for s in scene.shapes if isinstance(s, Rect) and s.style == "holds"]
    edges = [(edge - left) / a_newton for box in filled for edge in (box.left, box.right)]
    assert edges == pytest.approx([100.0, 600.0, 260.0, 600.0])
    for words in ("at least 100 N", "at least 260 N", "at least 140 N", "set 300 N", "at most 600 N", "pulled: no ceiling here"):
        assert words in said(scene)
    assert "break" not in said(scene)


def test_a_far_ceiling_is_cut_off_with_its_value() -> None:
    """Beyond five times the greatest of floors and set force, 300, the axis breaks; at exactly five times it does not."""
    near = force_gauge(pushed(set_n=300.0, ceiling_n=1500.0), "mm")
    far = force_gauge(pushed(set_n=300.0, ceiling_n=1501.0), "mm")
    breaks = [[s for s in scene.shapes if isinstance(s, Path) and s.style == "break"] for scene in (near, far)]
    assert [len(found) for found in breaks] == [0, 4]  # two zigzags in each of the stages that push
    assert "The scale is cut at the break." in said(far)
    assert "at most 1500 N" in said(far)
    left, right = FORMATS["wide"].span
    first, ceiling = ticks(far)[:2]
    assert right - 3.0 <= ceiling <= right
    zigzag = breaks[1][0].points[0][0]
    assert first < left + (first - left) * 3.0 < zigzag < ceiling  # 100 N, 300 N set, break, ceiling


@pytest.mark.parametrize(("set_n", "words"), [(50.0, "set 50 N: too little"), (700.0, "set 700 N: too much")])
def test_a_set_force_outside_is_told(set_n: float, words: str) -> None:
    """Below a floor or above the ceiling the mark says so in words."""
    scene = force_gauge(pushed(set_n=set_n, ceiling_n=600.0), "mm")
    assert words in said(scene)
    assert "too" not in said(force_gauge(pushed(set_n=300.0, ceiling_n=600.0), "mm"))


def test_a_stage_that_no_force_serves_is_told() -> None:
    """Needing 260 where the bar bears 200: hatched the other way between them, and the note says that no force serves."""
    scene = force_gauge(pushed(set_n=None, ceiling_n=200.0), "mm")
    zones = [s for s in scene.shapes if isinstance(s, Hatch) and s.style == "clash"]
    assert [zone.rising for zone in zones] == [False]
    assert sorted((zones[0].box.left, zones[0].box.right)) == sorted(ticks(scene)[2:4])
    assert "no force serves" in said(scene)
    assert "impossible" in scene.description
    assert "no force serves" not in said(force_gauge(pushed(set_n=None, ceiling_n=600.0), "mm"))


@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
@pytest.mark.parametrize("case", [*BARS, "beside", "impossible", "too much"])
def test_no_words_meet_or_leave_the_gauge(case: tuple[str, int] | str, arrangement: Arrangement) -> None:
    """Every text has a place of its own inside the drawing, also where floor and ceiling lie side by side."""
    odd = {
        "beside": pushed(set_n=265.0, ceiling_n=270.0),
        "impossible": pushed(set_n=90.0, ceiling_n=80.0),
        "too much": pushed(set_n=9000.0, ceiling_n=600.0),
    }
    one = odd[case] if isinstance(case, str) else bar(*case)
    scene = force_gauge(one, "mm" if isinstance(case, str) else answer(case[0]).job.units, arrangement=arrangement)
    texts = scene.texts
    assert [t.words for t in texts if not t.box.inside(scene.frame)] == []
    assert [(a.words, b.words) for i, a in enumerate(texts) for b in texts[:i] if a.box.meets(b.box)] == []
    assert min(t.size for t in texts) >= 12.0


def test_the_gauge_speaks_the_units_of_the_job() -> None:
    """Pounds where the job is in inches; the same bytes twice; every style known; the description tells every stage."""
    one = bar("axle-cell")
    scene = force_gauge(one, "in")
    assert "set 45 lbf" in said(scene)
    assert " N" not in said(scene)
    assert svg(scene, standalone=True) == svg(force_gauge(one, "in"), standalone=True)
    used = {f"text.d-{s.style}" if isinstance(s, Text) else f".d-{s.style}" for s in scene.shapes}
    assert sorted(style for style in used if not re.search(rf"{re.escape(style)}(?![\w-])", STYLESHEET)) == []
    assert one.pushing is not None
    assert all(stage.name in scene.description for stage in one.pushing.stages)
    assert "50% of what buckles the bar" in said(scene)


def test_a_bar_that_does_not_pass_has_no_gauge() -> None:
    """Nothing is drawn of it, and the refusal says what to show instead; other arrangements are refused too."""
    with pytest.raises(UsageError, match="show what does not pass instead"):
        force_gauge(replace(bar(), pushing=None), "mm")
    with pytest.raises(UsageError, match="arrangement"):
        force_gauge(bar(), "mm", arrangement="poster")  # type: ignore[arg-type]
