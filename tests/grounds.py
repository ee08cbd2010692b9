"""Grounds and building plans for the tests of floor drawings."""

from __future__ import annotations

from io import BytesIO, StringIO

import ezdxf
from ezdxf.document import Drawing

from standoff.draw.ground import Ground, Label, Measure, Outline, Oval, Ring, rectangle

LOADER = rectangle(rear_mm=-4862.0, front_mm=-290.0, right_mm=-310.0, left_mm=290.0)
LATHE = rectangle(rear_mm=41.0, front_mm=2540.0, right_mm=-700.0, left_mm=810.0)
WALL = ((-6000.0, -1500.0), (-6000.0, 1800.0), (-2000.0, 1800.0))


def ground() -> Ground:
    """A loader and a lathe with a standoff of 290 mm, a wall, a hole with its ellipse, a dimension along and one across."""
    return Ground(
        "Floor plan",
        "A loader behind a lathe.",
        (
            Outline(WALL, "plan-wall", "building", closed=False),
            Outline(LATHE, "plan-lathe", "lathe", block="lathe"),
            Outline(LOADER, "plan-loader", "loader", block="loader"),
            Ring((-1000.0, 200.0), 9.0, "plan-hole", "marks", block="loader"),
            Oval((-1000.0, 200.0), 40.0, 15.0, 30.0, "plan-oval", "ovals"),
            Label((-2576.0, -10.0), "12-foot loader", (4572.0, 600.0), block="loader"),
            Label((1290.0, 55.0), "lathe", (2499.0, 1510.0), block="lathe"),
            Label((-1000.0, 200.0), "foot 1: 4000 mm from A", block="loader"),
            Measure((-290.0, 0.0), (0.0, 0.0), "standoff 290 mm", off_mm=1000.0),
            Measure((-4000.0, 290.0), (-4000.0, 1800.0), "to the wall 1510 mm", layer="clearances", sign="A"),
        ),
        {"loader": (-290.0, 0.0), "lathe": (0.0, 0.0)},
    )


def bay(*, insunits: int | None, unit_mm: float) -> Drawing:
    """A bay of 12 by 8 m as somebody's CAD would save it: walls, round columns in a block, an arc, a spline, texts, a far corner.

    It is drawn far from its origin. Hidden lines are on a layer that is switched off.
    """
    document = ezdxf.new("R2010", setup=True)
    document.header["$INSUNITS"] = 0 if insunits is None else insunits
    for name in ("WALLS", "COLUMNS", "CURVES", "OLD"):
        document.layers.add(name)
    document.layers.get("OLD").off()
    space = document.modelspace()

    def at(x_mm: float, y_mm: float) -> tuple[float, float]:
        return (100_000.0 + x_mm) / unit_mm, (50_000.0 + y_mm) / unit_mm

    corners = [at(0, 0), at(12_000, 0), at(12_000, 8_000), at(0, 8_000)]
    space.add_lwpolyline(corners, close=True, dxfattribs={"layer": "WALLS"})
    space.add_line(at(4_000, 0), at(4_000, 3_000), dxfattribs={"layer": "OLD"})
    column = document.blocks.new("COLUMN")
    column.add_circle((0, 0), 200.0 / unit_mm)
    for x_mm in (3_000, 9_000):
        space.add_blockref("COLUMN", at(x_mm, 4_000), dxfattribs={"layer": "COLUMNS"})
    space.add_arc(at(6_000, 8_000), 1_000.0 / unit_mm, 180, 360, dxfattribs={"layer": "CURVES"})
    space.add_spline([at(0, 2_000), at(2_000, 3_000), at(4_000, 2_000)], dxfattribs={"layer": "CURVES"})
    space.add_text("bay 3", height=200.0 / unit_mm).set_placement(at(1_000, 1_000))
    space.add_text("aisle", height=200.0 / unit_mm).set_placement(at(2_000, 1_000))
    return document


def saved(document: Drawing) -> bytes:
    """The bytes of a file."""
    out = StringIO()
    document.write(out)
    return out.getvalue().encode(document.output_encoding)


def saved_binary(document: Drawing) -> bytes:
    """The bytes of a file in its binary form."""
    out = BytesIO()
    document.write(out, fmt="bin")
    return out.getvalue()
