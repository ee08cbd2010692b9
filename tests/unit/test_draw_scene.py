"""The scene's shapes: boxes, text boxes, hatching and what stays of a line beside boxes."""

from __future__ import annotations

import math

import pytest

from standoff.draw.scene import Anchor, Box, Circle, Hatch, Line, Path, Rect, Scene, Text, moved, outside, points_of, text_width

UNIT = Box(left=0.0, top=0.0, right=10.0, bottom=6.0)


def test_boxes_that_share_an_edge_do_not_meet() -> None:
    """Side by side is not a collision; a hair of common ground is."""
    beside = Box(left=10.0, top=0.0, right=20.0, bottom=6.0)
    assert not UNIT.meets(beside)
    assert UNIT.grown(0.1).meets(beside)
    assert UNIT.inside(UNIT)
    assert not UNIT.grown(0.1).inside(UNIT)


@pytest.mark.parametrize("anchor", ["start", "middle", "end"])
def test_a_text_box_follows_its_anchor(anchor: Anchor) -> None:
    """The box begins, is centred or ends at the point of the text."""
    text = Text((100.0, 50.0), "aim 11 1/2 in", 16.0, "ink", anchor=anchor)
    width = text_width("aim 11 1/2 in", size=16.0)
    share = {"start": 0.0, "middle": 0.5, "end": 1.0}[anchor]
    assert text.box.left == pytest.approx(100.0 - share * width)
    assert text.box.right - text.box.left == pytest.approx(width)
    assert text.box.top < 50.0 < text.box.bottom


def test_an_unknown_character_counts_as_a_wide_one() -> None:
    """Letters of other scripts are estimated wide, and bold is wider than regular."""
    assert text_width("漢", size=10.0) > text_width("m", size=10.0)
    assert text_width("nose", size=10.0, bold=True) > text_width("nose", size=10.0)
    assert text_width("", size=10.0) == 0.0


@pytest.mark.parametrize("rising", [True, False])
def test_hatching_stays_in_its_rectangle_and_out_of_its_holes(rising: bool) -> None:
    """Every stroke lies at 45 degrees within the box, and none of its middle points in a hole."""
    hole = Box(left=20.0, top=10.0, right=40.0, bottom=20.0)
    box = Box(left=0.0, top=0.0, right=60.0, bottom=30.0)
    strokes = list(Hatch(box, 4.0, "window", "window", rising=rising, holes=(hole,)).strokes())
    assert len(strokes) > 20
    for (x1, y1), (x2, y2) in strokes:
        assert abs(abs(x2 - x1) - abs(y2 - y1)) < 1e-9
        assert (y2 < y1) is rising
        for x, y in ((x1, y1), (x2, y2)):
            assert -1e-9 <= x <= 60.0 + 1e-9
            assert -1e-9 <= y <= 30.0 + 1e-9
        middle = ((x1 + x2) / 2.0, (y1 + y2) / 2.0)
        assert not (hole.left < middle[0] < hole.right and hole.top < middle[1] < hole.bottom)


def test_hatching_of_nothing_has_no_strokes() -> None:
    """An area without width, or finer than the spacing, ends at once."""
    flat = Box(left=5.0, top=5.0, right=5.0, bottom=5.0)
    assert list(Hatch(flat, 4.0, "window", "window").strokes()) == []


def test_a_line_is_cut_out_where_boxes_stand() -> None:
    """A line through two boxes leaves three pieces; one that misses them stays whole; one within vanishes."""
    boxes = (Box(left=2.0, top=-1.0, right=4.0, bottom=1.0), Box(left=6.0, top=-1.0, right=8.0, bottom=1.0))
    assert outside((0.0, 0.0), (10.0, 0.0), boxes) == (
        ((0.0, 0.0), (2.0, 0.0)),
        ((4.0, 0.0), (6.0, 0.0)),
        ((8.0, 0.0), (10.0, 0.0)),
    )
    assert outside((0.0, 3.0), (10.0, 3.0), boxes) == (((0.0, 3.0), (10.0, 3.0)),)
    assert outside((2.5, 0.0), (3.5, 0.0), boxes) == ()
    ((a, b),) = outside((3.0, 0.0), (3.0, 5.0), boxes)
    assert (a, b) == ((3.0, 1.0), (3.0, 5.0))


def test_everything_moves_together() -> None:
    """Every kind of shape moves by the same amount, holes included."""
    shapes = (
        Line((0.0, 0.0), (1.0, 1.0), "axis", "axis"),
        Path(((0.0, 0.0), (1.0, 2.0)), "nose", "loader"),
        Rect(UNIT, "nose", "loader"),
        Circle((3.0, 3.0), 2.0, "balloon", "callouts"),
        Hatch(UNIT, 3.0, "window", "window", holes=(UNIT,)),
        Text((0.0, 0.0), "bar", 14.0, "ink"),
    )
    for before, after in zip(shapes, moved(shapes, right=5.0, down=7.0), strict=True):
        for (x1, y1), (x2, y2) in zip(points_of(before), points_of(after), strict=True):
            assert math.isclose(x2 - x1, 5.0)
            assert math.isclose(y2 - y1, 7.0)
        if isinstance(after, Hatch):
            assert after.holes == (after.box,)


def test_a_scene_knows_its_texts_and_its_frame() -> None:
    """Texts are found among the shapes; the frame is the whole sheet."""
    text = Text((0.0, 10.0), "bar", 14.0, "ink")
    scene = Scene(100.0, 50.0, "title", "description", (Rect(UNIT, "nose", "loader"), text))
    assert scene.texts == (text,)
    assert scene.frame == Box(left=0.0, top=0.0, right=100.0, bottom=50.0)
