"""Strips of the axis and the placing of words: worked by hand."""

from __future__ import annotations

import pytest

from standoff.draw.labels import Span, cleared, in_a_row, shelved, shortened, wrapped
from standoff.draw.scene import Box, Hatch, Line, Text, text_width
from standoff.draw.strip import BREAK, Stretch, pieces, scale_for, strip_at


def stretch(rear_mm: float, front_mm: float, keep: float = 0.0) -> Stretch:
    """A stretch with 10 units of room at both ends."""
    return Stretch(rear_mm=rear_mm, front_mm=front_mm, before=10.0, after=10.0, keep=keep)


def test_far_stretches_are_broken_apart() -> None:
    """Two stretches of 100 mm a metre apart: (436 - 40 - 16) / 200 = 1.9 units per mm, with one break."""
    scale, zones = scale_for((stretch(0.0, 100.0), stretch(1100.0, 1200.0)), width=436.0, greatest_scale=9.0)
    assert scale == pytest.approx(1.9)
    strip = strip_at(zones, scale=scale, left=50.0, right=486.0)
    assert len(strip.zones) == 2
    assert strip.x(0.0) == pytest.approx(60.0)
    assert strip.x(100.0) == pytest.approx(250.0)
    assert strip.x(1100.0) == pytest.approx(250.0 + 10.0 + BREAK + 10.0)
    assert strip.right == pytest.approx(486.0)
    assert strip.x(600.0) is None
    assert strip.nearest(600.0) == pytest.approx(260.0 + BREAK / 2.0)
    assert (strip.nearest(-900.0), strip.nearest(9000.0)) == (strip.left, strip.right)


def test_near_stretches_are_joined() -> None:
    """A gap that takes less room than a break is left whole, and so is one that is to be kept."""
    _, near = scale_for((stretch(0.0, 100.0), stretch(110.0, 200.0)), width=220.0, greatest_scale=9.0)
    assert [(z.rear_mm, z.front_mm) for z in near] == [(0.0, 200.0)]
    _, kept = scale_for((stretch(0.0, 100.0), stretch(400.0, 500.0, keep=1e9)), width=220.0, greatest_scale=9.0)
    assert [(z.rear_mm, z.front_mm) for z in kept] == [(0.0, 500.0)]


def test_a_small_machine_is_not_blown_up() -> None:
    """The scale stays at its greatest; what is to spare widens both ends."""
    scale, zones = scale_for((stretch(0.0, 10.0),), width=400.0, greatest_scale=2.0)
    assert scale == 2.0
    strip = strip_at(zones, scale=scale, left=0.0, right=400.0)
    assert (strip.left, strip.right) == (0.0, 400.0)
    assert strip.x(5.0) == pytest.approx(200.0)


def test_a_body_is_shown_in_pieces() -> None:
    """A body through a break gives two pieces, open where they are broken; one behind the strip gives none."""
    scale, zones = scale_for((stretch(0.0, 100.0), stretch(1100.0, 1200.0)), width=436.0, greatest_scale=9.0)
    strip = strip_at(zones, scale=scale, left=0.0, right=436.0)
    rear, front = pieces(strip, rear_mm=50.0, front_mm=1150.0)
    assert (rear.open_left, rear.open_right, front.open_left, front.open_right) == (False, True, True, False)
    assert rear.left == strip.x(50.0)
    assert front.right == strip.x(1150.0)
    assert pieces(strip, rear_mm=300.0, front_mm=900.0) == ()
    assert pieces(strip, rear_mm=100.0, front_mm=100.0) == ()


def test_labels_keep_their_order_and_move_little() -> None:
    """Two that want one place stand side by side about it; one far off is not disturbed."""
    centres = in_a_row([100.0, 100.0, 300.0], [40.0, 20.0, 30.0], span=(0.0, 400.0), gap=10.0)
    assert centres == pytest.approx((80.0, 120.0, 300.0))


def test_a_heavy_one_stays() -> None:
    """With nine times the weight it takes a tenth of the way."""
    centres = in_a_row([100.0, 100.0], [40.0, 40.0], span=(0.0, 400.0), gap=10.0, weight=[9.0, 1.0])
    assert centres == pytest.approx((95.0, 145.0))


def test_labels_stay_in_their_span_or_are_refused() -> None:
    """Wanted beyond the end, they are stacked from the end back; too many for the span give nothing."""
    assert in_a_row([390.0, 395.0], [40.0, 40.0], span=(0.0, 400.0), gap=10.0) == pytest.approx((330.0, 380.0))
    assert in_a_row([1.0, 2.0], [40.0, 40.0], span=(0.0, 80.0), gap=10.0) is None
    assert in_a_row([], [], span=(0.0, 1.0), gap=1.0) == ()


def test_spans_go_to_the_first_clear_shelf() -> None:
    """An overlap moves down, a neighbour stays up, and a drop through words above moves down too."""
    a, b, c = Span(0.0, 100.0), Span(50.0, 150.0), Span(120.0, 200.0)
    assert shelved([a, b, c], gap=5.0) == (0, 1, 0)
    assert shelved([Span(0.0, 100.0), Span(120.0, 200.0, drops=(50.0,))], gap=5.0) == (0, 0)
    assert shelved([Span(0.0, 100.0), Span(10.0, 90.0, drops=(50.0,)), Span(20.0, 60.0)], gap=5.0) == (0, 1, 2)


def test_figures_stay_with_fraction_and_unit() -> None:
    """A line is never broken within 11 1/2 in."""
    for width in range(40, 200, 7):
        lines = wrapped("set it 11 1/2 in behind", width=float(width), size=14.0)
        assert any("11 1/2 in" in line or "…" in line for line in lines)
    assert " ".join(wrapped("set it 11 1/2 in behind", width=120.0, size=14.0)) == "set it 11 1/2 in behind"


def test_what_does_not_fit_is_cut_visibly() -> None:
    """A long word and a text of too many lines end in an ellipsis, within the width."""
    cut = shortened("a" * 200, width=100.0, size=14.0)
    assert cut.endswith("…")
    assert text_width(cut, size=14.0) <= 100.0
    lines = wrapped("one two three four five six", width=60.0, size=14.0, most=2)
    assert len(lines) == 2
    assert lines[-1].endswith("…")
    assert shortened("bar", width=100.0, size=14.0) == "bar"


def test_thin_lines_and_hatching_give_way_to_words() -> None:
    """An extension line is interrupted, an outline is not, and hatching gets a hole."""
    text = Text((100.0, 100.0), "standoff", 14.0, "ink", anchor="middle")
    extension = Line((100.0, 0.0), (100.0, 200.0), "extension", "dimensions")
    outline = Line((100.0, 0.0), (100.0, 200.0), "lathe", "lathe")
    hatch = Hatch(Box(left=80.0, top=80.0, right=120.0, bottom=120.0), 5.0, "clash", "clash")
    shapes = cleared([text, extension, outline, hatch])
    lines = [shape for shape in shapes if isinstance(shape, Line)]
    assert [line.style for line in lines] == ["extension", "extension", "lathe"]
    assert lines[0].end[1] < text.box.top < text.box.bottom < lines[1].start[1]
    (holed,) = [shape for shape in shapes if isinstance(shape, Hatch)]
    assert len(holed.holes) == 1
