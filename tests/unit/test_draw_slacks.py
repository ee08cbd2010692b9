"""The chart of slacks: sorted by how sure they are, each mark where its slack lies, nothing overlapping or cut off."""

from __future__ import annotations

import pytest

from standoff.draw.scene import Box, Circle, Rect, Scene, Text
from standoff.draw.slacks import slacks
from standoff.errors import UsageError
from standoff.job.demonstration import NAMES, text_of
from standoff.job.file import parse_job
from standoff.job.placement import Placement, place
from standoff.solve.window import GUARD_FACTOR


def placed(name: str) -> Placement:
    """The placement of a demonstration job."""
    return place(parse_job(text_of(name)))


def texts(scene: Scene) -> list[Text]:
    """The texts of a scene."""
    return [shape for shape in scene.shapes if isinstance(shape, Text)]


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("arrangement", ["wide", "narrow", "page"])
def test_no_text_meets_another_or_leaves_the_chart(name: str, arrangement: str) -> None:
    """Every text has its own place inside the drawing."""
    scene = slacks(placed(name), arrangement=arrangement)  # type: ignore[arg-type]
    sheet = Box(left=0.0, top=0.0, right=scene.width, bottom=scene.height)
    found = texts(scene)
    assert all(text.box.inside(sheet) for text in found)
    assert not [(a.words, b.words) for i, a in enumerate(found) for b in found[:i] if a.box.meets(b.box)]


def test_the_least_sure_comes_first() -> None:
    """Rows are in the order of slack less guard band."""
    placement = placed("axle-cell")
    told = [text.words for text in texts(slacks(placement)) if "±" in text.words]
    sure = sorted(placement.rows, key=lambda judged: judged.slack_mm - GUARD_FACTOR * judged.u_mm)
    assert len(told) == len(sure)
    assert told[0].startswith("1/32 in to spare")
    assert sure[0].row.id == "passage"


def test_the_marks_keep_one_scale() -> None:
    """Two marks on the scale are as far apart as their slacks, and a bar is as long as two guard bands."""
    placement = placed("spoke-nipple-cell")
    scene = slacks(placement)
    dots = [shape.centre[0] for shape in scene.shapes if isinstance(shape, Circle)]
    bars = [shape.box for shape in scene.shapes if isinstance(shape, Rect)]
    shown = sorted(placement.rows, key=lambda judged: judged.slack_mm - GUARD_FACTOR * judged.u_mm)[: len(dots)]
    scale = (bars[0].right - bars[0].left) / (2.0 * GUARD_FACTOR * shown[0].u_mm)
    assert scale > 0.0
    for dot, bar, judged in zip(dots, bars, shown, strict=True):
        assert dot - dots[0] == pytest.approx(scale * (judged.slack_mm - shown[0].slack_mm), abs=1e-6)
        assert bar.right - bar.left == pytest.approx(scale * 2.0 * GUARD_FACTOR * judged.u_mm, abs=1e-6)


def test_what_is_missing_is_said() -> None:
    """A requirement that does not hold is told as missing, not as spare."""
    words = " ".join(text.words for text in texts(slacks(placed("spoke-nipple-cell"))))
    assert "3/16 in missing" in words


def test_another_arrangement_is_refused() -> None:
    """Only the known arrangements are drawn."""
    with pytest.raises(UsageError, match="arrangement"):
        slacks(placed("axle-cell"), arrangement="tall")  # type: ignore[arg-type]
