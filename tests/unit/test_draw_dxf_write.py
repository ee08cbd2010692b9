"""The DXF writer: true size, the geometry of the SVG, blocks, layers, real dimensions, a clean audit, stable bytes."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from dataclasses import replace
from io import StringIO

import ezdxf
import pytest
from ezdxf.disassemble import recursive_decompose
from ezdxf.document import Drawing

from standoff.draw.dxf.write import dxf_text
from standoff.draw.elevation import Arrangement
from standoff.draw.ground import LAYERS, Ground, Label, Measure
from standoff.draw.ground_scene import ground_scene, view_of
from standoff.draw.svg import svg
from standoff.errors import UsageError
from standoff.units import Units
from tests.grounds import LATHE, LOADER, WALL, ground

UNIT_MM = {"mm": 1.0, "in": 25.4}


def opened(drawn: Ground, units: Units) -> Drawing:
    """The file read back by the library."""
    return ezdxf.read(StringIO(dxf_text(drawn, units=units)))


def corners_mm(document: Drawing, units: Units) -> set[tuple[tuple[float, float], ...]]:
    """The corners of every polyline, blocks taken apart, to a thousandth of a mm."""
    parts = recursive_decompose(document.modelspace().query("INSERT LWPOLYLINE"))
    return {
        tuple((round(x * UNIT_MM[units], 3), round(y * UNIT_MM[units], 3)) for x, y in part.get_points("xy"))
        for part in parts
        if part.dxftype() == "LWPOLYLINE"
    }


@pytest.mark.parametrize("units", ["mm", "in"])
def test_everything_stands_in_true_size(units: Units) -> None:
    """Outlines read back in mm are those of the plan, whichever unit the file is in; the header states the unit."""
    document = opened(ground(), units)
    assert {LOADER, LATHE, WALL} <= corners_mm(document, units)
    assert document.header["$INSUNITS"] == {"in": 1, "mm": 4}[units]
    assert document.header["$MEASUREMENT"] == {"in": 0, "mm": 1}[units]


@pytest.mark.parametrize("units", ["mm", "in"])
def test_the_audit_finds_nothing(units: Units) -> None:
    """Neither an error nor a repair."""
    audit = opened(ground(), units).audit()
    assert (audit.errors, audit.fixes) == ([], [])


@pytest.mark.parametrize("arrangement", ["wide", "narrow", "page"])
def test_the_geometry_is_that_of_the_svg(arrangement: Arrangement) -> None:
    """Each path of the SVG, turned back by its scale, is a polyline of the DXF, to what two decimals of a unit can tell."""
    drawn = ground()
    view = view_of(drawn, arrangement)
    text = svg(ground_scene(drawn, units="mm", arrangement=arrangement), standalone=True)
    found = corners_mm(opened(drawn, "mm"), "mm")
    paths = re.findall(r'<path class="d-plan-(?:loader|lathe|wall)" d="M([^"Z]*)Z?"', text)
    assert len(paths) == 3
    for path in paths:
        places = [view.place_mm((float(x), float(y))) for x, y in (pair.split(",") for pair in path.split("L"))]
        assert any(
            len(corners) == len(places)
            and all(
                abs(a - b) <= 0.006 / view.px_per_mm_scale
                for p, q in zip(corners, places, strict=True)
                for a, b in zip(p, q, strict=True)
            )
            for corners in found
        )


def test_each_machine_is_a_block_at_its_datum() -> None:
    """The loader is one insert at its clamp face: moved by 100 mm, all of it stands elsewhere."""
    document = opened(ground(), "mm")
    insert = next(one for one in document.modelspace().query("INSERT") if one.dxf.name == "LOADER")
    assert (insert.dxf.insert.x, insert.dxf.insert.y) == (-290.0, 0.0)
    insert.dxf.insert = (-390.0, 0.0)
    assert tuple((x - 100.0, y) for x, y in LOADER) in corners_mm(document, "mm")
    assert {block.name for block in document.blocks} >= {"LOADER", "LATHE"}


def test_dimensions_are_real_and_measure_by_themselves() -> None:
    """Two DIMENSION entities; their figures come from their points, and their words leave room for them."""
    for units, standoff in (("mm", 290.0), ("in", 290.0 / 25.4)):
        found = {one.dxf.text: one.get_measurement() for one in opened(ground(), units).modelspace().query("DIMENSION")}
        assert found["standoff <>"] == pytest.approx(standoff)
        assert set(found) == {"standoff <>", "to the wall <>"}


def test_letters_have_a_key_below_the_plan() -> None:
    """A dimension of many words has its letter before its figure, and the words stand below everything drawn."""
    drawn = ground()
    long = "front stand and coolant tank: 290 mm apart, 25 mm needed"
    more = (Measure((-290.0, 0.0), (0.0, 0.0), long, sign="B"), Label((0.0, 0.0), "runs into it", sign="C"))
    document = opened(replace(drawn, pieces=(*drawn.pieces, *more)), "mm")
    assert {one.dxf.text for one in document.modelspace().query("DIMENSION")} == {"standoff <>", "to the wall <>", "B <>"}
    texts = {one.dxf.text: one.dxf.insert.y for one in document.modelspace().query("TEXT")}
    assert {f"B  {long}", "C  runs into it", "C", "A  to the wall 1510 mm"} <= set(texts)
    assert texts[f"B  {long}"] < drawn.bounds_mm()[0][1]


def test_figures_are_written_from_left_to_right_with_a_point() -> None:
    """Whichever way a distance is taken, its words are not upside down; decimals have a point."""
    drawn = replace(
        ground(),
        pieces=(*ground().pieces, Measure((0.0, -900.0), (-290.5, -900.0), "back"), Measure((0.0, 0.0), (0.0, -9.0), "down")),
    )
    document = opened(drawn, "in")
    for dimension in document.modelspace().query("DIMENSION"):
        for text in dimension.get_geometry_block().query("MTEXT"):
            assert -1.0 <= text.dxf.get("rotation", 0.0) % 360.0 <= 91.0
            assert "," not in text.text
    assert document.dimstyles.get("STANDOFF").dxf.dimdsep == ord(".")


def test_layers_say_what_is_on_them() -> None:
    """Every layer is there with its colour; what is drawn is on its own."""
    document = opened(ground(), "mm")
    for layer in LAYERS.values():
        assert document.layers.get(layer.name).color == layer.colour
    block = document.blocks.get("LOADER")
    assert {one.dxf.layer for one in block} == {"LOADER", "MARKS", "NAMES"}
    assert document.modelspace().query("ELLIPSE").first.dxf.layer == "MARKS-HOW-SURE"


def test_an_oval_is_an_ellipse_in_its_true_direction() -> None:
    """Half axes 40 and 15 mm, turned by 30 degrees."""
    oval = opened(ground(), "mm").modelspace().query("ELLIPSE").first
    axis = oval.dxf.major_axis
    assert axis.magnitude == pytest.approx(40.0)
    assert axis.angle_deg == pytest.approx(30.0)
    assert oval.dxf.ratio == pytest.approx(15.0 / 40.0)


def test_the_same_drawing_gives_the_same_bytes() -> None:
    """Also in another process, where sets come in another order."""
    script = "import hashlib; from tests.grounds import ground; from standoff.draw.dxf.write import dxf_text;"
    script += "print(hashlib.sha256(dxf_text(ground(), units='in').encode()).hexdigest())"
    found = set()
    for seed in ("1", "2", "4"):
        done = subprocess.run(
            [sys.executable, "-c", script],
            env={**os.environ, "PYTHONHASHSEED": seed},
            capture_output=True,
            text=True,
            check=True,
        )
        found.add(done.stdout)
    assert len(found) == 1


def test_words_of_any_kind_are_carried() -> None:
    """Letters beyond ASCII, line breaks and control characters do not break the file."""
    odd = ground()
    odd = replace(odd, pieces=(*odd.pieces, replace(odd.labels[0], words="tank\n%%c \x00 ½ “Öl”\x07")))
    assert opened(odd, "mm").audit().errors == []
    texts = {one.dxf.text for one in opened(odd, "mm").blocks.get("LOADER").query("TEXT")}
    assert any("½ “Öl”" in text for text in texts)


def test_nothing_drawn_is_refused() -> None:
    """An empty ground is no drawing."""
    with pytest.raises(UsageError, match="something drawn"):
        dxf_text(Ground("", "", (), {}), units="mm")


def test_a_dimension_without_length_is_left_out() -> None:
    """Two places in one: no dimension can be drawn, all else is."""
    drawn = ground()
    drawn = replace(drawn, pieces=(*drawn.pieces, Measure((1.0, 1.0), (1.0, 1.0), "none")))
    assert len(opened(drawn, "mm").modelspace().query("DIMENSION")) == 2
