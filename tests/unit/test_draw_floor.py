"""The floor plan drawn: everything where the plan has it, the loader on a layer and block of its own, letters on what matters."""

from __future__ import annotations

import math
from io import StringIO
from itertools import combinations

import ezdxf
import pytest
from ezdxf.disassemble import recursive_decompose

from standoff.draw.dxf.write import dxf_text
from standoff.draw.elevation import Arrangement
from standoff.draw.floor import distance_words, floor_ground, letters_of
from standoff.draw.ground import Ground, Measure, Outline, Oval, Ring
from standoff.draw.ground_scene import ground_scene, view_of
from standoff.draw.scene import Path
from standoff.job.demonstration import text_of
from standoff.job.file import parse_job
from standoff.job.floor_drawn import BuildingLine
from standoff.job.floor_plan import FloorPlan, floor_plan
from standoff.job.placement import place
from standoff.site.floor import Grade, Owner
from tests.floors import FLOORED, STANDOFF_MM, floor_with, plan_of, row_of

WALL = BuildingLine("WALLS", ((-30_000.0, 2_500.0), (30_000.0, 2_500.0)))
CROWDED = {"floor_items[3].right": '"-200 mm"', "floor_items[2].height": None}
"""The cabinet runs into the loader, and nobody said how high the tank is."""


def demo(name: str) -> FloorPlan:
    """The floor plan of a demonstration."""
    return floor_plan(place(parse_job(text_of(name))))


def outlines(ground: Ground, style: str) -> list[Outline]:
    """The outlines of a style."""
    return [piece for piece in ground.pieces if isinstance(piece, Outline) and piece.style == style]


def test_machines_stand_where_the_plan_has_them() -> None:
    """The clamp face at -300 mm: the loader from -4900 to -288 mm; the lathe from the cover at 40 mm, 2 m long."""
    ground = floor_ground(plan_of(FLOORED))
    (loader,), (lathe,) = outlines(ground, "plan-loader"), outlines(ground, "plan-lathe")
    assert sorted({x for x, _ in loader.corners_mm}) == [-4900.0, -288.0]
    assert sorted({y for _, y in loader.corners_mm}) == [-400.0, 300.0]
    assert sorted({x for x, _ in lathe.corners_mm}) == [40.0, 2040.0]
    assert ground.blocks == {"loader": (-300.0, 0.0), "lathe": (0.0, 0.0)}


def test_the_loader_moves_alone() -> None:
    """At a standoff 100 mm greater exactly what belongs to the loader stands 100 mm farther back; all else stays."""
    near, far = (floor_ground(plan_of(FLOORED, standoff_mm=STANDOFF_MM + by_mm)) for by_mm in (0.0, 100.0))
    pairs = list(zip(near.pieces, far.pieces, strict=True))
    moved = [(a, b) for a, b in pairs if isinstance(a, Outline) and isinstance(b, Outline) and a.layer != "clearances"]
    for a, b in moved:
        by_mm = 100.0 if a.block == "loader" else 0.0
        if a.style != "axis":
            assert [x for x, _ in b.corners_mm] == pytest.approx([x - by_mm for x, _ in a.corners_mm])
    assert {a.style for a, _ in moved if a.block == "loader"} >= {"plan-loader", "plan-shifted", "plan-keep-loader"}


def test_spaces_feet_joints_and_axis_are_there() -> None:
    """Both spaces of the loader, door and working space, four feet with the size of their pads, the joint, the axis."""
    ground = floor_ground(plan_of(FLOORED))
    assert len(outlines(ground, "plan-keep-loader")) == 2
    assert len(outlines(ground, "plan-keep")) == 2
    assert len(outlines(ground, "plan-joint")) == 1
    feet = [piece for piece in ground.pieces if isinstance(piece, Ring) and piece.layer == "feet"]
    assert len(feet) == 4
    assert feet[0].radius_mm == pytest.approx(math.sqrt(100.0 * 100.0 / math.pi))
    assert {piece.block for piece in feet} == {"loader"}
    assert all(y == 0.0 for _, y in outlines(ground, "axis")[0].corners_mm)


def test_the_shift_is_drawn_where_it_ends() -> None:
    """170 mm forward of where the loader stands; a job without a shift has none."""
    (shifted,) = outlines(floor_ground(plan_of(FLOORED)), "plan-shifted")
    assert max(x for x, _ in shifted.corners_mm) == pytest.approx(-288.0 + 170.0)
    assert outlines(floor_ground(demo("shell-cell")), "plan-shifted") == []


def test_what_fails_has_a_letter_and_a_heavy_outline() -> None:
    """A clash and an unknown height: letters A and B in the order of the rows; both things of each have the outline."""
    plan = floor_with(CROWDED)
    clash, tank = row_of(plan, "loader and cabinet"), row_of(plan, "loader and tank")
    assert (clash.grade, tank.grade) == (Grade.CLASH, Grade.UNKNOWN)
    letters = letters_of(plan)
    assert letters[clash.id] == "A"
    assert letters[tank.id] == letters[row_of(plan, "loader and tank", "shifted").id]
    assert set(letters) <= {row.id for row in plan.failing}
    struck = {outline.corners_mm for outline in outlines(floor_ground(plan), "plan-struck")}
    bodies = {body.name: body.footprint.corners_mm for body in plan.bodies}
    assert {bodies["loader"], bodies["cabinet"], bodies["tank"]} <= struck
    assert bodies["lathe"] not in struck


def test_where_all_holds_the_tightest_have_letters() -> None:
    """Nothing struck; a dimension with the letter runs between the two nearest places."""
    plan = plan_of(FLOORED)
    assert plan.failing == ()
    ground = floor_ground(plan)
    assert outlines(ground, "plan-struck") == []
    letters = letters_of(plan)
    assert list(dict.fromkeys(letters.values())) == list("ABCDEFGHIJ"[: len(set(letters.values()))])
    drawn = {measure.sign: measure for measure in ground.measures}
    for row in plan.rows:
        if row.id in letters and letters[row.id] in drawn and row.between[0].startswith("item"):
            assert drawn[letters[row.id]].length_mm == pytest.approx(row.found_mm)


def test_rows_in_a_few_words() -> None:
    """Into each other, apart, free for so much, and an unknown height."""
    crowded, good = floor_with(CROWDED), plan_of(FLOORED)
    assert distance_words(row_of(crowded, "loader and cabinet"), crowded) == "loader and cabinet: run 100 mm into each other"
    assert distance_words(row_of(crowded, "loader and tank"), crowded) == "loader and tank: height not stated"
    assert distance_words(row_of(good, "loader and cabinet"), good) == "loader and cabinet: 300 mm apart, 200 mm needed"
    shifted = row_of(good, "loader and lathe", "shifted")
    assert distance_words(shifted, good).endswith("needed, loader shifted")
    blocked = floor_with({"floor_items[3].left": '"1000 mm"', "keep_outs[0].side": '"left"'})
    assert "loading and cabinet: free for 300 mm, 1000 mm needed" in {distance_words(row, blocked) for row in blocked.failing}


def test_the_standoff_is_dimensioned() -> None:
    """From clamp face to adapter, beside the loader."""
    measure = next(m for m in floor_ground(plan_of(FLOORED)).measures if m.sign == "S")
    assert (measure.start_mm, measure.end_mm) == ((-300.0, 0.0), (0.0, 0.0))
    assert measure.words == "standoff 300 mm"
    assert measure.line_mm()[0][1] > 300.0


def test_the_buildings_lines_are_clipped_to_what_is_shown() -> None:
    """A wall of 60 m appears only around the machines, and its note with it."""
    plain, laid = plan_of(FLOORED), plan_of(FLOORED, lines=[WALL])
    (line,) = outlines(floor_ground(laid), "plan-import")
    assert max(abs(x) for x, _ in line.corners_mm) < 10_000.0
    assert {y for _, y in line.corners_mm} == {2_500.0}
    assert "Thin lines: the building's plan." in floor_ground(laid).notes[0]
    assert "Thin lines" not in floor_ground(plain).notes[0]


@pytest.mark.parametrize("name", ["axle-cell", "shell-cell"])
@pytest.mark.parametrize("arrangement", ["wide", "narrow", "page"])
def test_words_of_the_demonstrations_stand_apart(name: str, arrangement: Arrangement) -> None:
    """Nothing written meets anything written, nor leaves the sheet; every thing is named in the picture or its key."""
    plan = demo(name)
    scene = ground_scene(floor_ground(plan), units=plan.job.units, arrangement=arrangement)
    for text in scene.texts:
        assert text.box.inside(scene.frame), text.words
    for one, other in combinations(scene.texts, 2):
        assert not one.box.meets(other.box), (one.words, other.words)
    words = " ".join(text.words for text in scene.texts)
    for thing in (*plan.bodies, *plan.keep_outs):
        assert all(word in words for word in thing.name.split())
    assert all(pad.name in words for pad in plan.pads) == (arrangement != "narrow" or not plan.pads)


@pytest.mark.parametrize("name", ["axle-cell", "shell-cell"])
def test_the_cad_file_holds_the_plan(name: str) -> None:
    """In the job's unit and true size: each body's and space's corners are those of a polyline; ellipses as they are."""
    plan = demo(name)
    ground = floor_ground(plan, marks=True)
    units = plan.job.units
    unit_mm = 25.4 if units == "in" else 1.0
    document = ezdxf.read(StringIO(dxf_text(ground, units=units)))
    assert document.audit().errors == []
    found = [
        [(float(x) * unit_mm, float(y) * unit_mm) for x, y in part.get_points("xy")]
        for part in recursive_decompose(document.modelspace().query("INSERT LWPOLYLINE"))
        if part.dxftype() == "LWPOLYLINE"
    ]
    for thing in (*plan.bodies, *plan.keep_outs):
        corners = thing.footprint.corners_mm
        alike = [points for points in found if len(points) == len(corners)]
        assert any(max(map(math.dist, points, corners)) < 0.001 for points in alike), thing.name
    ellipses = sorted(one.dxf.major_axis.magnitude * unit_mm for one in document.modelspace().query("ELLIPSE"))
    marks = plan.marking.mark_out.marks if plan.marking is not None and plan.marking.mark_out is not None else ()
    assert ellipses == pytest.approx(sorted(mark.ellipse.semi_major_mm for mark in marks))


def test_the_picture_and_the_cad_file_are_one_plan() -> None:
    """The outline of the loader, turned back from the picture, is that of the plan, and so of the file."""
    plan = demo("axle-cell")
    ground = floor_ground(plan)
    scene, view = ground_scene(ground, units="in"), view_of(ground, "wide")
    drawn = [shape for shape in scene.shapes if isinstance(shape, Path) and shape.style == "plan-loader"]
    bodies = [body for body in plan.bodies if body.owner is Owner.LOADER]
    assert len(drawn) == len(bodies)
    for shape, body in zip(drawn, bodies, strict=True):
        for point, corner in zip(shape.points, body.footprint.corners_mm, strict=True):
            assert view.place_mm(point) == pytest.approx(corner)


def test_marks_come_with_the_cad_file_only() -> None:
    """The floor plan for the eye has no tapes; the one for CAD has, and its ellipses are not enlarged."""
    plan = demo("axle-cell")
    assert not any(isinstance(piece, Oval) for piece in floor_ground(plan).pieces)
    ovals = [piece for piece in floor_ground(plan, marks=True).pieces if isinstance(piece, Oval)]
    assert plan.marking is not None
    assert plan.marking.mark_out is not None
    assert [oval.major_mm for oval in ovals] == [mark.ellipse.semi_major_mm for mark in plan.marking.mark_out.marks]
    signs = [
        piece.sign for piece in (*floor_ground(plan, marks=True).labels, *floor_ground(plan, marks=True).measures) if piece.sign
    ]
    assert len(signs) == len(set(signs))
    assert any("from lathe's left rear foot" in note for note in floor_ground(plan, marks=True).notes)


def test_the_plan_in_words() -> None:
    """Whoever does not see the picture hears where things are, and what is not as needed."""
    told = floor_ground(floor_with(CROWDED)).description
    assert "tank, behind the adapter and right of the axis" in told
    assert "Not as needed: loader and cabinet: run 100 mm into each other" in told
    assert "Not as needed" not in floor_ground(plan_of(FLOORED)).description


def test_a_dimension_of_nothing_is_a_letter_alone() -> None:
    """Where two things lie in one another there is no line to measure, only the letter at the place."""
    plan = floor_with(CROWDED)
    signs = {measure.sign for measure in floor_ground(plan).measures if isinstance(measure, Measure)}
    labels = {label.sign for label in floor_ground(plan).labels if label.sign}
    assert "A" in labels - signs
