"""`standoff floor`: the text, the answer for other programs, drawings, a building's plan, and every way to be refused."""

from __future__ import annotations

import json
from pathlib import Path

import ezdxf
import pytest
from click.testing import CliRunner, Result

from standoff.cli import main
from standoff.job.floor_cautions import CAUTIONS
from tests.floors import FLOORED
from tests.texts import SLIDING, altered
from tests.unit.test_floor_plan import column

PLACED = {"floor.plan_x": '"10 m"', "floor.plan_y": '"5 m"', "floor.plan_turned": "90"}


def run(*arguments: str | Path) -> Result:
    """Carry out the command in this process."""
    return CliRunner().invoke(main, ["floor", *map(str, arguments)])


def saved(folder: Path, text: str) -> Path:
    """The text as a file."""
    path = folder / "cell.toml"
    path.write_text(text, encoding="utf-8")
    return path


@pytest.fixture
def cell(tmp_path: Path) -> Path:
    """A job with every floor table."""
    return saved(tmp_path, FLOORED)


def building(folder: Path, *, insunits: int = 4, scale: float = 1.0) -> Path:
    """A building's plan with a wall 200 mm beside the loader: forward is its y, so the loader's right is its x."""
    document = ezdxf.new("R2010")
    document.header["$INSUNITS"] = insunits
    space = document.modelspace()
    wall = ((10_600.0 * scale, 0.0), (10_600.0 * scale, 9000.0 * scale))
    space.add_line(*wall, dxfattribs={"layer": "WALLS"})
    space.add_line((0.0, -4000.0 * scale), (20_000.0 * scale, -4000.0 * scale), dxfattribs={"layer": "GRID"})
    space.add_text("bay", dxfattribs={"layer": "WALLS"})
    path = folder / "building.dxf"
    document.saveas(path)
    return path


def test_everything_is_said(cell: Path) -> None:
    """Title, sentence, table, feet, marks, axis and every caution; status 0."""
    done = run(cell)
    assert done.exit_code == 0
    lines = done.output.splitlines()
    assert lines[0] == "Pedal cell, bay 6: sliding-headstock lathe, 20 mm with 12-foot loader, 20 mm"
    assert lines[1].startswith("Everything has its room")
    assert {"What the feet carry:", "Marking out:", "The axis on the floor:", "Mind:"} <= set(lines)
    for caution in CAUTIONS:
        assert f"  {caution.text} ({caution.source})" in lines


@pytest.mark.parametrize(
    ("more", "changes", "status"),
    [
        ("", {}, 0),
        (column(3000, -2800, 300, -100), {}, 1),
        (column(3000, -2800, -1200, 1300), {}, 1),
        ("", {"floor_items[2].height": None}, 3),
        ("", {"floor_loads[0].left": '"400 mm"'}, 1),
    ],
)
def test_the_status_says_the_verdict(tmp_path: Path, more: str, changes: dict[str, str | None], status: int) -> None:
    """0 room, 1 in the way or tipping over, 3 a height is to be measured."""
    path = saved(tmp_path, altered(FLOORED, changes) + more)
    assert run(path).exit_code == status
    done = run(path, "--json")
    assert done.exit_code == status
    assert json.loads(done.output)["holds"] is (status == 0)


def test_the_same_bytes_for_other_programs(cell: Path) -> None:
    """--json is one document, alike each time, with rows, feet, marks and cautions."""
    first, second = run(cell, "--json"), run(cell, "--json")
    assert first.output == second.output
    contents = json.loads(first.output)
    assert contents["format"] == "standoff-floor/1"
    assert contents["shifts_mm"] == {"chucker": 170.0, "guide-bushing": 0.0}
    assert contents["items"][2]["corners_mm"][0] == [-560.0, -500.0]
    assert contents["items"][-1]["height_mm"] is None
    assert [load["worst_of_three_n"] for load in contents["feet"]["loads"]] == [4903.3, 6384.1, 4903.3, 5884.0]
    assert contents["feet"]["loads"][3]["pressure_mpa"] is None
    assert [mark["sure_enough"] for mark in contents["marks"]["marks"]] == [True, True, False]
    assert len(contents["cautions"]) == len(CAUTIONS)
    assert contents["building_plan"] is None
    row = contents["rows"][0]
    assert row["slack_mm"] == pytest.approx(row["found_mm"] - row["needed_mm"])


def test_another_standoff(cell: Path) -> None:
    """--at moves the loader; a number without a unit is refused."""
    near, far = (json.loads(run(cell, "--json", "--at", at).output) for at in ("300 mm", "320 mm"))
    assert near["clamp_x_mm"] - far["clamp_x_mm"] == 20.0
    assert run(cell, "--at", "300").exit_code == 2


def test_a_standoff_at_which_the_pair_does_not_fit_is_no_success(cell: Path) -> None:
    """Everything has its room, and yet the status is 1: sentence and answer say that it is the pair."""
    done = run(cell, "--at", "500 mm")
    assert done.exit_code == 1
    assert done.output.splitlines()[1].startswith("The pair itself does not fit with the nose-clamp face 500 mm behind")
    contents = json.loads(run(cell, "--json", "--at", "500 mm").output)
    assert (contents["holds"], contents["placement_holds"]) == (True, False)


def test_a_plan_laid_somewhere_else_is_no_success(tmp_path: Path) -> None:
    """The building 100 m away: status 3, and the answer says so."""
    path = saved(tmp_path, altered(FLOORED, {**PLACED, "floor.plan_x": '"100 m"'}))
    done = run(path, "--plan", building(tmp_path))
    assert done.exit_code == 3
    assert "no line of the building's plan comes near" in done.output.splitlines()[1]
    contents = json.loads(run(path, "--json", "--plan", building(tmp_path)).output)
    assert (contents["holds"], contents["plan_laid_off"]) == (False, True)


def test_drawings_are_written(cell: Path, tmp_path: Path) -> None:
    """The drawing and the CAD file, whole, the same each time; the CAD file is in the job's unit and passes its own audit."""
    svg, dxf = tmp_path / "plan.svg", tmp_path / "plan.dxf"
    done = run(cell, "--svg", svg, "--dxf", dxf)
    assert done.exit_code == 0
    assert done.output.endswith(f"Drawing: {svg}\n\nCAD file: {dxf}\n")
    assert svg.read_text(encoding="utf-8").startswith("<")
    document = ezdxf.readfile(dxf)
    assert document.header["$INSUNITS"] == 4
    assert not document.audit().errors
    before = dxf.read_bytes()
    run(cell, "--dxf", dxf)
    assert dxf.read_bytes() == before


def test_a_building_is_laid_under(tmp_path: Path) -> None:
    """A wall 200 mm beside the loader: 200 mm where 50 mm is kept; what was not read is counted."""
    path = saved(tmp_path, altered(FLOORED, PLACED))
    plan = building(tmp_path)
    contents = json.loads(run(path, "--json", "--plan", plan).output)
    (row,) = (
        row for row in contents["rows"] if row["what"] == "loader and WALLS (building's plan)" and row["state"] == "standing"
    )
    assert (row["found_mm"], row["needed_mm"]) == (pytest.approx(200.0, abs=0.01), 50.0)
    assert contents["building_plan"]["layers"] == {"GRID": 1, "WALLS": 1}
    assert contents["building_plan"]["not_read"] == {"texts": 1}
    said = run(path, "--plan", plan, "--layers", "WALLS").output
    assert "on WALLS" in said
    assert "not taken: GRID" in said
    assert "not read: 1 texts" in said


def test_a_plan_in_inches_comes_in_at_the_right_size(tmp_path: Path) -> None:
    """Drawn in inches it gives the same distance; a unit that contradicts the file is refused, a missing one asked for."""
    path = saved(tmp_path, altered(FLOORED, PLACED))
    inches = building(tmp_path, insunits=1, scale=1.0 / 25.4)
    contents = json.loads(run(path, "--json", "--plan", inches).output)
    found = [row["found_mm"] for row in contents["rows"] if row["what"] == "loader and WALLS (building's plan)"]
    assert found == pytest.approx([200.0, 200.0], abs=0.01)
    wrong = run(path, "--plan", inches, "--plan-units", "mm")
    assert wrong.exit_code == 2
    assert "mm" in wrong.output
    open_ = building(tmp_path, insunits=0)
    assert run(path, "--plan", open_).exit_code == 2
    assert run(path, "--plan", open_, "--plan-units", "mm").exit_code == 1  # it takes the room to load from


def test_bad_input_is_told_with_its_file(tmp_path: Path) -> None:
    """Status 2, a sentence with file, field, and what to do; the same as JSON."""
    path = saved(tmp_path, altered(FLOORED, {"floor_items[2].left": '"300"'}))
    told = run(path)
    assert told.exit_code == 2
    assert told.output.startswith(f"{path}:")
    assert json.loads(run(path, "--json").output)["format"] == "standoff-errors/1"
    bare = run(saved(tmp_path, SLIDING))
    assert bare.exit_code == 2
    assert 'write [[floor_items]] with kind = "loader"' in bare.output
    assert bare.output.startswith(f"{path} floor_items: ")


def test_a_plan_without_its_place_is_refused(cell: Path, tmp_path: Path) -> None:
    """Where the lathe stands in it has to be said; all three keys are asked for."""
    done = run(cell, "--plan", building(tmp_path))
    assert done.exit_code == 2
    assert all(f"floor.{key}" in done.output for key in PLACED_KEYS)


PLACED_KEYS = ("plan_x", "plan_y", "plan_turned")


@pytest.mark.parametrize("arguments", [("--plan-units", "mm"), ("--layers", "A")])
def test_what_is_said_of_a_plan_needs_one(cell: Path, arguments: tuple[str, ...]) -> None:
    """Units and layers without a plan are misuse."""
    done = run(cell, *arguments)
    assert done.exit_code == 2
    assert "--plan FILE" in done.output


def test_no_file_is_written_over(cell: Path, tmp_path: Path) -> None:
    """Neither the job nor the plan read, nor one drawing by the other; a plan that is not there is said."""
    before = cell.read_bytes()
    plan = building(tmp_path)
    for arguments in (("--svg", cell), ("--dxf", cell), ("--plan", plan, "--dxf", plan), ("--svg", "x", "--dxf", "x")):
        done = run(cell, *arguments)
        assert done.exit_code == 2
        assert "would be replaced" in done.output
    assert cell.read_bytes() == before
    path = saved(tmp_path, altered(FLOORED, PLACED))
    assert "no file" in run(path, "--plan", tmp_path / "none.dxf").output
