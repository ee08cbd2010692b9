"""The DXF reader: true size in every unit, curves within a millimetre, blocks, layers, and what is refused."""

from __future__ import annotations

import math
import random

import ezdxf
import pytest

from standoff.draw.building import BuildingPlan, PlanLine, clipped, laid_under
from standoff.draw.dxf import read
from standoff.draw.dxf.read import read_plan
from standoff.errors import PlanFileError
from tests.grounds import bay, saved, saved_binary

INSUNITS = {"mm": (4, 1.0), "in": (1, 25.4), "ft": (2, 304.8), "cm": (5, 10.0), "m": (6, 1000.0)}


def plan(drawn_in: str = "mm", *, unit: str | None = None, layers: list[str] | None = None) -> BuildingPlan:
    """The bay as a file in a unit that it states."""
    code, unit_mm = INSUNITS[drawn_in]
    return read_plan(saved(bay(insunits=code, unit_mm=unit_mm)), file="bay.dxf", unit=unit, layers=layers)


@pytest.mark.parametrize("unit", list(INSUNITS))
def test_a_plan_comes_in_at_its_true_size(unit: str) -> None:
    """12 by 8 m between the walls, whatever the file is drawn in."""
    found = plan(unit)
    walls = next(line for line in found.drawn if line.layer == "WALLS")
    assert (found.unit, found.stated) == (unit, True)
    low, high = found.bounds_mm()
    assert (high[0] - low[0], high[1] - low[1]) == pytest.approx((12_000.0, 8_000.0), abs=0.01)
    assert walls.points_mm[0] == pytest.approx((100_000.0, 50_000.0), abs=0.001)
    assert walls.points_mm[0] == walls.points_mm[-1]
    assert found.question == ""


@pytest.mark.parametrize("unit", ["mm", "in"])
def test_curves_stay_within_a_millimetre(unit: str) -> None:
    """Every point of an arc of 1 m, and the middle of every piece, is within the tolerance of the true curve."""
    arc = next(line for line in plan(unit).drawn if line.layer == "CURVES" and min(y for _, y in line.points_mm) > 56_900.0)
    for (ax, ay), (bx, by) in zip(arc.points_mm, arc.points_mm[1:], strict=False):
        for x, y in ((ax, ay), ((ax + bx) / 2.0, (ay + by) / 2.0)):
            assert abs(math.hypot(x - 106_000.0, y - 58_000.0) - 1_000.0) <= read.SAG_MM + 0.1


def test_blocks_are_taken_apart_where_they_stand() -> None:
    """Two columns 6 m apart; what a block has on layer 0 is on the layer of its place."""
    columns = [line for line in plan().drawn if line.layer == "COLUMNS"]
    middles = sorted(sum(x for x, _ in line.points_mm[:-1]) / (len(line.points_mm) - 1) for line in columns)
    assert middles == pytest.approx([103_000.0, 109_000.0], abs=1.0)


def test_layers_are_offered_and_those_switched_off_left_out() -> None:
    """Without being asked, hidden layers stay out; asked for, exactly those asked for come in."""
    found = plan()
    assert [(layer.name, layer.hidden) for layer in found.layers] == [
        ("COLUMNS", False),
        ("CURVES", False),
        ("OLD", True),
        ("WALLS", False),
    ]
    assert found.taken == ("COLUMNS", "CURVES", "WALLS")
    assert {line.layer for line in plan(layers=["OLD", "walls"]).drawn} == {"OLD", "WALLS"}
    with pytest.raises(PlanFileError, match="write one of COLUMNS, CURVES, OLD, WALLS") as refused:
        plan(layers=["ROOF"])
    assert refused.value.code == "plan-layer"


def test_what_was_not_read_is_counted_and_named() -> None:
    """Two texts."""
    assert dict(plan().left_out) == {"texts": 2}


def test_a_plan_without_a_unit_is_asked_for_it() -> None:
    """Nothing is assumed; said, it is taken."""
    data = saved(bay(insunits=None, unit_mm=25.4))
    with pytest.raises(PlanFileError, match="say in which unit") as refused:
        read_plan(data, file="bay.dxf")
    assert refused.value.code == "plan-unit"
    found = read_plan(data, file="bay.dxf", unit="in")
    (left, _), (right, _) = found.bounds_mm()
    assert right - left == pytest.approx(12_000.0, abs=0.01)
    assert not found.stated


def test_a_unit_against_the_file_is_refused_with_both() -> None:
    """The file's own and the one said are named."""
    with pytest.raises(PlanFileError, match=r"states that it is in in, said to be in mm"):
        plan("in", unit="mm")
    assert plan("in", unit="in").unit == "in"


@pytest.mark.parametrize(("said", "words"), [("furlong", "a unit of length"), ("", "a unit of length")])
def test_a_strange_unit_is_refused(said: str, words: str) -> None:
    """A unit nobody knows."""
    with pytest.raises(PlanFileError, match=words):
        read_plan(saved(bay(insunits=None, unit_mm=1.0)), file="b.dxf", unit=said)


def test_a_unit_no_floor_is_drawn_in_is_refused() -> None:
    """Light years (code 19)."""
    with pytest.raises(PlanFileError, match="no floor is drawn"):
        read_plan(saved(bay(insunits=19, unit_mm=1.0)), file="bay.dxf")


@pytest.mark.parametrize(("unit", "words"), [("m", r"km large when drawn in m"), ("in", "")])
def test_a_doubtful_size_is_questioned(unit: str, words: str) -> None:
    """Millimetres said to be metres make a bay of 12 000 km; inches of 25 make 305 m, which may be."""
    data = saved(bay(insunits=None, unit_mm=1.0))
    assert words in read_plan(data, file="bay.dxf", unit=unit).question
    small = saved(bay(insunits=None, unit_mm=1000.0))
    assert "no larger than 12 mm" in read_plan(small, file="bay.dxf", unit="mm").question


@pytest.mark.parametrize(
    ("data", "code"),
    [
        (b"", "plan-kind"),
        (b"%PDF-1.7 something", "plan-kind"),
        (b"AC1027 and so on", "plan-kind"),
        (saved_binary(bay(insunits=4, unit_mm=1.0)), "plan-kind"),
        (saved(bay(insunits=4, unit_mm=1.0))[:-4000], "plan-broken"),
        (b"  0\nSECTION\n  2\nENTITIES\n  0\nLINE\n 10\nnot a number\n  0\nENDSEC\n  0\nEOF\n", "plan-broken"),
        (b"  0\nSECTION\n" + b"0" * read.MOST_BYTES + b"  0\nEOF\n", "plan-large"),
        (saved(ezdxf.new("R2010", units=4)), "plan-empty"),
    ],
    ids=["empty", "pdf", "dwg", "binary", "cut off", "garbled", "huge", "blank"],
)
def test_files_that_cannot_be_used_are_refused(data: bytes, code: str) -> None:
    """Each with its own code, the file's name, and what to do."""
    with pytest.raises(PlanFileError) as refused:
        read_plan(data, file="bay.dxf", unit=None)
    assert refused.value.code == code
    assert "bay.dxf" in str(refused.value)
    assert refused.value.action


def test_a_file_that_explodes_is_refused() -> None:
    """Blocks within blocks, ten in each, six deep: a million parts from a small file."""
    document = ezdxf.new("R2010", units=4)
    document.blocks.new("B0").add_line((0, 0), (1, 1))
    for depth in range(1, 7):
        block = document.blocks.new(f"B{depth}")
        for i in range(10):
            block.add_blockref(f"B{depth - 1}", (i, 0))
    document.modelspace().add_blockref("B6", (0, 0))
    with pytest.raises(PlanFileError, match="more than 60000 single parts"):
        read_plan(saved(document), file="bay.dxf")


def test_an_array_of_blocks_is_read_and_a_vast_one_refused() -> None:
    """Three by two columns are six; a million are too many."""
    for rows, count in ((2, 6), (50_000, 0)):
        document = ezdxf.new("R2010", units=4)
        document.blocks.new("C").add_circle((0, 0), 100)
        attributes = {"column_count": 3, "row_count": rows, "column_spacing": 2000, "row_spacing": 2000}
        document.modelspace().add_blockref("C", (0, 0), dxfattribs=attributes)
        if count:
            assert len(read_plan(saved(document), file="bay.dxf").lines) == count
        else:
            with pytest.raises(PlanFileError, match="more than 400000 points"):
                read_plan(saved(document), file="bay.dxf")


def test_blocks_without_end_and_missing_ones_are_counted() -> None:
    """A chain deeper than allowed, and the name of a block that is not there, are named and nothing hangs."""
    document = ezdxf.new("R2010", units=4)
    document.modelspace().add_line((0, 0), (5000, 0))
    for depth in range(12):
        document.blocks.new(f"B{depth}")
    for depth in range(11):
        document.blocks.get(f"B{depth}").add_blockref(f"B{depth + 1}", (0, 0))
    document.modelspace().add_blockref("B0", (0, 0))
    document.modelspace().add_blockref("NOWHERE", (0, 0))
    left_out = read_plan(saved(document), file="bay.dxf").left_out
    assert dict(left_out) == {"blocks more than 8 deep": 1, "blocks that are not in the file": 1}


def test_lines_beyond_all_measure_are_counted() -> None:
    """Coordinates that no building has are left out and named."""
    document = ezdxf.new("R2010", units=4)
    document.modelspace().add_line((0, 0), (5000, 0))
    document.modelspace().add_line((0, 0), (1e30, 0))
    found = read_plan(saved(document), file="bay.dxf")
    assert (len(found.lines), dict(found.left_out)) == (1, {"lines beyond all measure": 1})


def test_garbled_files_are_refused_or_read_never_worse() -> None:
    """Four hundred files with bytes changed, cut or doubled: each is read, or refused as a plan file."""
    whole = saved(bay(insunits=4, unit_mm=1.0))
    chance = random.Random(7)
    outcomes = {"read": 0, "refused": 0}
    start = whole.index(b"ENTITIES")
    for _ in range(400):
        at = chance.randrange(start if chance.random() < 0.7 else 0, len(whole) - 60)
        piece = bytes(chance.randrange(32, 127) for _ in range(chance.randrange(1, 9)))
        cut = chance.choice([0, len(piece), 40])
        try:
            read_plan(whole[:at] + piece + whole[at + cut :], file="bay.dxf", unit=None)
            outcomes["read"] += 1
        except PlanFileError:
            outcomes["refused"] += 1
    assert min(outcomes.values()) > 20


def test_a_plan_is_laid_under_the_lathe() -> None:
    """Forward is +y of the plan and the cover stands at -41 mm: 1 m ahead of it in the plan is 1 m ahead of it here."""
    lines = (PlanLine("W", ((101_000.0, 52_000.0), (101_000.0, 53_000.0), (100_000.0, 52_000.0))),)
    found = laid_under(
        BuildingPlan("b", "mm", True, (), ("W",), lines, {}),
        at_x_mm=101_000.0,
        at_y_mm=52_000.0,
        forward_deg=90.0,
        cover_x_mm=-41.0,
    )
    expected = ((-41.0, 0.0), (959.0, 0.0), (-41.0, 1000.0))
    for place, wanted in zip(found.lines[0].points_mm, expected, strict=True):
        assert place == pytest.approx(wanted, abs=1e-9)


def test_lines_are_clipped_to_what_is_shown() -> None:
    """A line that leaves and comes back becomes two runs; one outside is gone; one along the edge stays."""
    lines = (
        PlanLine("W", ((0.0, 5.0), (20.0, 5.0), (20.0, 8.0), (0.0, 8.0))),
        PlanLine("W", ((30.0, 0.0), (40.0, 0.0))),
        PlanLine("W", ((0.0, 10.0), (4.0, 10.0))),
    )
    found = clipped(lines, low_mm=(0.0, 0.0), high_mm=(10.0, 10.0))
    assert [line.points_mm for line in found] == [
        ((0.0, 5.0), (10.0, 5.0)),
        ((10.0, 8.0), (0.0, 8.0)),
        ((0.0, 10.0), (4.0, 10.0)),
    ]


def test_what_a_drawing_program_does_not_show_is_no_obstacle() -> None:
    """An invisible line, an invisible block and a block on a frozen layer; one on a layer that is off shows its own layers."""
    document = ezdxf.new("R2010")
    document.header["$INSUNITS"] = 4
    for name in ("WALLS", "FROZEN", "OFF"):
        document.layers.add(name)
    document.layers.get("FROZEN").freeze()
    document.layers.get("OFF").off()
    block = document.blocks.new("B")
    block.add_line((0, 0), (0, 3000), dxfattribs={"layer": "WALLS"})
    block.add_line((0, 0), (3000, 0), dxfattribs={"layer": "0"})
    space = document.modelspace()
    space.add_line((0, 9000), (5000, 9000), dxfattribs={"layer": "WALLS"})
    space.add_line((0, 8000), (5000, 8000), dxfattribs={"layer": "WALLS", "invisible": 1})
    space.add_blockref("B", (1000, 0), dxfattribs={"layer": "WALLS", "invisible": 1})
    space.add_blockref("B", (2000, 0), dxfattribs={"layer": "FROZEN"})
    space.add_blockref("B", (3000, 0), dxfattribs={"layer": "OFF"})
    found = read_plan(saved(document), file="bay.dxf")
    assert sorted(line.points_mm for line in found.drawn) == [
        ((0.0, 9000.0), (5000.0, 9000.0)),
        ((3000.0, 0.0), (3000.0, 3000.0)),
    ]
    assert {layer.name: (layer.count, layer.hidden) for layer in found.layers} == {
        "FROZEN": (2, True),
        "OFF": (1, True),
        "WALLS": (2, False),
    }
    assert dict(found.left_out) == {"invisible parts": 2}
    asked = read_plan(saved(document), file="bay.dxf", layers=["frozen"])
    assert len(asked.drawn) == 2
