"""The conditions chart: every bound where it belongs on the one scale, what binds said in words."""

from __future__ import annotations

import pytest

from standoff.draw.conditions import conditions
from standoff.draw.elevation import FORMATS
from standoff.draw.scene import Hatch, Line, Path, Scene
from standoff.errors import UsageError
from standoff.job.file import parse_job
from standoff.job.placement import Placement, place
from tests.pairs import ONE_CUT, TWO_MODES


def placed(text: str = TWO_MODES, *, asked_mm: float | None = None) -> Placement:
    """The placement of a text."""
    return place(parse_job(text), asked_mm=asked_mm)


def scale_of(scene: Scene) -> tuple[float, float]:
    """Origin and length of a millimetre, read off the figures of the scale."""
    figures = [t for t in scene.texts if t.style == "soft" and t.anchor == "middle"]
    first, last = figures[0], figures[-1]
    step = (last.at[0] - first.at[0]) / (float(last.words) - float(first.words))
    return first.at[0] - float(first.words) * step, step


@pytest.mark.parametrize("arrangement", FORMATS)
def test_ticks_stand_at_their_bounds(arrangement: str) -> None:
    """Each bound on the scale has its tick where the scale has its value."""
    placement = placed()
    scene = conditions(placement, arrangement=arrangement)  # type: ignore[arg-type]
    origin, step = scale_of(scene)
    ticks = [s.start[0] for s in scene.shapes if isinstance(s, Line) and s.style == "bound"]
    bounds_mm = [(x - origin) / step for x in ticks]
    expected = [j.bound_mm for j in placement.rows if j.bound_mm is not None]
    assert len(ticks) >= 4
    for found in bounds_mm:
        assert any(abs(found - bound) < 1e-6 for bound in expected), found


def test_far_bounds_are_arrows_with_their_value() -> None:
    """Full bar at 75 and rear room at 1160 lie off the scale: an arrow for each, the value beside it, none in silence."""
    placement = placed()
    scene = conditions(placement)
    bounded = [j for j in placement.rows if j.bound_mm is not None]
    ticks = [s for s in scene.shapes if isinstance(s, Line) and s.style == "bound"]
    arrows = [s for s in scene.shapes if isinstance(s, Path) and s.style == "arrow"]
    assert len(ticks) + len(arrows) == len(bounded)
    said = [text.words for text in scene.texts]
    assert "1160.0 mm" in said
    assert "75.0 mm" in said


def test_what_binds_is_said_in_words() -> None:
    """The binding rows, and no others, say so."""
    placement = placed()
    scene = conditions(placement)
    marked = [text for text in scene.texts if "binds" in text.words]
    assert len(marked) == sum(judged.binding for judged in placement.rows) == 2


def test_the_window_and_its_sure_part_run_through_the_rows() -> None:
    """The band's edges are the window's, and its unsure ends are hatched."""
    placement = placed()
    scene = conditions(placement)
    origin, step = scale_of(scene)
    lines = [shape for shape in scene.shapes if isinstance(shape, Line) and shape.style == "window-edge"]
    assert {round((line.start[0] - origin) / step, 6) for line in lines} == {276.0, 325.0}
    hatched = {
        (round((s.box.left - origin) / step, 3), round((s.box.right - origin) / step, 3))
        for s in scene.shapes
        if isinstance(s, Hatch)
    }
    assert hatched == {
        (276.0, round(placement.guarded.least_mm, 3)),
        (round(placement.guarded.greatest_mm, 3), 325.0),
    }


def test_an_empty_window_is_a_contradiction_zone() -> None:
    """Between the two edges stands a hatched zone, and the head says how much is missing; no aim is drawn."""
    placement = placed(ONE_CUT)
    scene = conditions(placement)
    assert placement.contradiction is not None
    assert any("No window: 26.0 mm is missing" in text.words for text in scene.texts)
    assert all(shape.style == "clash" for shape in scene.shapes if isinstance(shape, Hatch))
    assert not any(shape.style in ("aim", "window-edge") for shape in scene.shapes)


def test_a_standoff_that_was_asked_is_marked_and_judged() -> None:
    """The dashed line stands at the standoff asked for, and the rows that fail there say what is missing."""
    scene = conditions(placed(asked_mm=260.0))
    origin, step = scale_of(scene)
    dashed = {round((s.start[0] - origin) / step, 6) for s in scene.shapes if isinstance(s, Line) and s.style == "aim"}
    assert dashed == {260.0}
    said = [text.words for text in scene.texts]
    assert "asked 260 mm" in said
    assert "16.0 mm missing" in said


def test_the_description_says_every_row() -> None:
    """Who cannot see the chart hears each bound and slack."""
    placement = placed()
    scene = conditions(placement)
    for judged in placement.rows:
        if judged.bound_mm is not None:
            assert judged.row.title in scene.description
    assert "guard band" in scene.description


def test_another_arrangement_is_refused() -> None:
    """There are three."""
    with pytest.raises(UsageError, match="arrangement"):
        conditions(placed(), arrangement="poster")  # type: ignore[arg-type]
