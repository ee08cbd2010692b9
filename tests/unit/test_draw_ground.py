"""The floor on a sheet: true proportions, left and right as one walks, words apart, a scale for paper, the marks."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from itertools import combinations, pairwise

import pytest

from standoff.draw.elevation import FORMATS, Arrangement
from standoff.draw.ground import OVAL_PIECES, Ground, Label, Oval, rectangle
from standoff.draw.ground_scene import SCALES, best_scale, ground_scene, view_of
from standoff.draw.markout import mark_out_ground, oval_factor
from standoff.draw.scene import PX_MM, Circle, Line, Path, Scene
from standoff.draw.svg import STYLESHEET
from standoff.errors import UsageError
from standoff.site.baseline import FloorPoint, Reference, baseline
from standoff.site.markout import MarkOut, mark_out
from tests.grounds import ground

ARRANGEMENTS: tuple[Arrangement, ...] = ("wide", "narrow", "page")


def marks() -> MarkOut:
    """Four feet of a loader from two feet of a lathe."""
    base = baseline(Reference("left foot", 120.0, 900.0, 1.0), Reference("right foot", 120.0, -850.0, 1.0))
    places = {
        "front left": (-800.0, 300.0),
        "front right": (-800.0, -300.0),
        "rear left": (-4500.0, 300.0),
        "rear right": (-4500.0, -300.0),
    }
    return mark_out([FloorPoint(name, x, y) for name, (x, y) in places.items()], base)


def path(scene: Scene, style: str) -> Path:
    """The one path of a style."""
    return next(shape for shape in scene.shapes if isinstance(shape, Path) and shape.style == style)


@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
def test_both_directions_have_one_scale(arrangement: Arrangement) -> None:
    """The loader's length is to its width on the sheet as on the floor, and so is the standoff."""
    scene, scale = ground_scene(ground(), units="mm", arrangement=arrangement), view_of(ground(), arrangement).px_per_mm_scale
    corners = path(scene, "plan-loader").points
    sides = sorted(math.dist(corners[i], corners[i + 1]) for i in range(3))
    assert sides == pytest.approx([600.0 * scale, 4572.0 * scale, 4572.0 * scale])
    assert scene.width == FORMATS[arrangement].width


def test_forward_and_left_are_where_one_expects_them() -> None:
    """Wide: the lathe is right of the loader and left is up. On a phone: the lathe is above, and left is left."""
    for arrangement, forward, left in (("wide", (1, 0), (0, -1)), ("narrow", (0, -1), (-1, 0))):
        view = view_of(ground(), arrangement)
        origin, ahead, aside = view.at((0.0, 0.0)), view.at((100.0, 0.0)), view.at((0.0, 100.0))
        assert tuple(round((b - a) / view.px_per_mm_scale / 100.0) for a, b in zip(origin, ahead, strict=True)) == forward
        assert tuple(round((b - a) / view.px_per_mm_scale / 100.0) for a, b in zip(origin, aside, strict=True)) == left
        assert view.place_mm(view.at((123.0, -456.0))) == pytest.approx((123.0, -456.0))


@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
@pytest.mark.parametrize("which", ["floor", "marks", "crowded"])
def test_words_stand_apart_and_on_the_sheet(arrangement: Arrangement, which: str) -> None:
    """No text meets another or leaves the sheet, also where twenty names want one place."""
    drawn = {"floor": ground(), "marks": mark_out_ground(marks(), units="in")}.get(which)
    if drawn is None:
        crowd = tuple(Label((-1000.0 + i, 0.0), f"thing {i} with a long name " * 3) for i in range(20))
        drawn = replace(ground(), pieces=(*ground().pieces, *crowd))
    scene = ground_scene(drawn, units="in", arrangement=arrangement)
    for text in scene.texts:
        assert text.box.inside(scene.frame), text.words
    for one, other in combinations(scene.texts, 2):
        assert not one.box.meets(other.box), (one.words, other.words)


def test_names_stand_within_or_have_a_number_and_a_line() -> None:
    """On a wide sheet the machines are named inside; the foot has a number; nothing is lost on a phone either."""
    wide = [text.words for text in ground_scene(ground(), units="mm").texts]
    assert {"12-foot loader", "lathe", "1"} <= set(wide)
    assert "1 foot 1: 4000 mm from A" in wide
    narrow = " ".join(text.words for text in ground_scene(ground(), units="mm", arrangement="narrow").texts)
    for label in ground().labels:
        assert label.words in narrow
    assert "A to the wall 1510 mm" in narrow


def test_the_loader_can_be_taken_hold_of() -> None:
    """Everything of the loader, its names and numbers too, is on its own layer and nothing else is."""
    scene = ground_scene(ground(), units="mm")
    own = [shape for shape in scene.shapes if shape.layer == "loader"]
    assert {shape.style for shape in own if isinstance(shape, Path | Circle)} == {"plan-loader", "plan-hole", "balloon"}
    assert path(scene, "plan-lathe").layer == "lathe"


@pytest.mark.parametrize("one_to", [20, 50, 100])
def test_a_sheet_printed_at_its_size_is_to_scale(one_to: int) -> None:
    """A drawing unit is 1/96 in on paper: the loader of 4572 mm is 4572 / 50 mm long, and the sheet says so."""
    scene = ground_scene(ground(), units="mm", one_to=one_to)
    corners = path(scene, "plan-loader").points
    assert math.dist(corners[0], corners[1]) * PX_MM == pytest.approx(4572.0 / one_to)
    assert f"1:{one_to} when printed at 100 %" in " ".join(text.words for text in scene.texts)


def test_the_scale_offered_fits_a4() -> None:
    """The largest scale at which the plan fits A4, lying or upright; a hall gets the smallest there is."""
    one_to = best_scale(ground())
    nearer = SCALES[SCALES.index(one_to) - 1]
    sheet, larger = ([PX_MM * side for side in view_of(ground(), "page", one_to=scale).size] for scale in (one_to, nearer))
    assert sheet[0] <= 277.0
    assert sheet[1] <= 190.0
    assert larger[0] > 267.0 or larger[1] > 180.0
    square = replace(ground(), pieces=(replace(ground().pieces[0], corners_mm=((0.0, 0.0), (9000.0, 9000.0))),))
    assert PX_MM * view_of(square, "page", one_to=best_scale(square)).size[1] <= 190.0
    hall = replace(ground(), pieces=(replace(ground().pieces[0], corners_mm=((0.0, 0.0), (1e6, 0.0))),))
    assert best_scale(hall) == SCALES[-1]


@pytest.mark.parametrize(("units", "words"), [("mm", "2000 mm"), ("in", "6 ft")])
def test_the_scale_bar_is_as_long_as_it_says(units: str, words: str) -> None:
    """Its ends lie that far apart on the floor."""
    scene, view = ground_scene(ground(), units=units), view_of(ground(), "wide")  # type: ignore[arg-type]
    bar = next(
        shape for shape in scene.shapes if isinstance(shape, Line) and shape.style == "scale" and shape.start[1] == shape.end[1]
    )
    long_mm = (bar.end[0] - bar.start[0]) / view.px_per_mm_scale
    assert long_mm == pytest.approx({"mm": 2000.0, "in": 6 * 304.8}[units])
    assert any(text.words.startswith(words) for text in scene.texts)


def test_what_no_sheet_has_is_refused() -> None:
    """Another arrangement or scale is named with those there are."""
    with pytest.raises(UsageError, match="wide"):
        view_of(ground(), "poster")  # type: ignore[arg-type]
    with pytest.raises(UsageError, match="1:50"):
        ground_scene(ground(), units="mm", one_to=33)


def test_every_style_has_its_look() -> None:
    """No shape falls back to a plain line for want of a rule in the style sheet."""
    for drawn in (ground(), mark_out_ground(marks(), units="mm")):
        for shape in ground_scene(drawn, units="mm").shapes:
            assert re.search(rf"\.d-{shape.style}[,{{]", STYLESHEET), shape.style


def test_nothing_has_bounds_of_its_own() -> None:
    """An empty ground is a point, not an error."""
    assert Ground("", "", (), {}).bounds_mm() == ((0.0, 0.0), (0.0, 0.0))
    assert rectangle(rear_mm=-2.0, front_mm=1.0, right_mm=-3.0, left_mm=4.0) == (
        (-2.0, -3.0),
        (1.0, -3.0),
        (1.0, 4.0),
        (-2.0, 4.0),
    )


def test_the_ovals_are_those_of_the_mark_out_times_a_stated_factor() -> None:
    """Half axes and direction; the factor is the largest that keeps them small, and the drawing says it."""
    found = marks()
    factor = oval_factor(found)
    drawn = mark_out_ground(found, units="mm")
    ovals = [piece for piece in drawn.pieces if isinstance(piece, Oval)]
    assert factor > 1
    for oval, mark in zip(ovals, found.marks, strict=True):
        assert (oval.major_mm, oval.minor_mm) == (factor * mark.ellipse.semi_major_mm, factor * mark.ellipse.semi_minor_mm)
        assert oval.direction_deg == mark.ellipse.direction_deg
        assert len(oval.corners_mm()) == OVAL_PIECES
        assert max(math.dist(corner, oval.centre_mm) for corner in oval.corners_mm()) == pytest.approx(oval.major_mm)
    assert f"drawn {factor} times larger than they are" in drawn.notes[0]
    true = mark_out_ground(found, units="mm", enlarged=False)
    assert "to scale" in true.notes[0]
    assert max(piece.major_mm for piece in true.pieces if isinstance(piece, Oval)) == found.worst.ellipse.semi_major_mm


def test_two_tapes_lead_to_every_mark() -> None:
    """From both reference points to each foot, and the diagonals between the feet."""
    scene, view = (
        ground_scene(mark_out_ground(marks(), units="mm"), units="mm"),
        view_of(mark_out_ground(marks(), units="mm"), "wide"),
    )
    tapes = [shape.points for shape in scene.shapes if isinstance(shape, Path) and shape.style == "plan-tape"]
    assert len(tapes) == 4
    lengths = {round(math.dist(a, b) / view.px_per_mm_scale, 3) for points in tapes for a, b in pairwise(points)}
    expected = {round(mm, 3) for mark in marks().marks for mm in (mark.from_first_mm, mark.from_second_mm)}
    assert lengths == expected
    assert sum(shape.style == "plan-check" for shape in scene.shapes) == len(marks().diagonals)
