"""The floor as a page shows it: what the command says, what is wanted with the way there, files, and the building's plan."""

from __future__ import annotations

import json
import math
import re
from io import StringIO
from pathlib import Path

import ezdxf
import pytest

from standoff.desk.building import KIND, MOST_KEPT, TAKEN, building_lines, contents_of, missing_place, plan_of, read_plan
from standoff.desk.floor import FloorAnswer, floor_text
from standoff.desk.floor_page import (
    GRADES,
    VERDICTS,
    FloorView,
    building_of,
    floor_dxf,
    floor_form,
    floor_sheet,
    floor_to_go,
    floor_view,
)
from standoff.desk.sheet import Sheet
from standoff.desk.workbench import Entry, Workbench
from standoff.draw.building import BuildingPlan, PlanLayer, PlanLine
from standoff.errors import JobFileError, PlanFileError, UsageError
from standoff.job.demonstration import text_of
from standoff.job.file import parse_job
from standoff.job.floor_guide import FLOOR_TABLES
from standoff.job.floor_plan import floor_plan
from standoff.job.guide import WALKS, walk_of
from standoff.job.placement import place
from standoff.site.floor import Grade
from tests.asked import CHANGE, ask, pages
from tests.benches import fresh_bench, saved
from tests.floors import FLOORED
from tests.grounds import bay
from tests.grounds import saved as dxf_bytes
from tests.texts import SLIDING, altered

PLACED = altered(FLOORED, {"floor.plan_x": '"108 m"', "floor.plan_y": '"54 m"', "floor.plan_turned": "0"})
BAY = dxf_bytes(bay(insunits=4, unit_mm=1.0))


def opened(folder: Path, text: str) -> tuple[Workbench, str]:
    """A workbench with a job."""
    bench = fresh_bench(folder)
    return bench, bench.new_from_text(text, "job.toml")


def view_of(bench: Workbench, job: str, *, at_mm: float | None = None) -> FloorView:
    """The answer part of a job that has a placement."""
    found = floor_view(bench.sheet(job), bench.logged(job), asked_mm=at_mm)
    assert found is not None
    return found


def sheet_of(bench: Workbench, job: str) -> Sheet:
    """The newest revision."""
    return bench.sheet(job)


def test_every_field_is_on_this_page() -> None:
    """All floor tables are filled in here, and only here; of the feet what their pads need."""
    assert {walk_of(table) for table in FLOOR_TABLES} == {"floor"}
    assert {re.split(r"[.\[]", step.field)[0] for stop in WALKS["floor"] for step in stop.steps} == {*FLOOR_TABLES, "feet"}


@pytest.mark.parametrize("name", ["axle-cell", "shell-cell"])
def test_the_page_says_what_the_command_says(tmp_path: Path, name: str) -> None:
    """Sentence, place, every row's figures, loads and marks stand in the command's text."""
    bench, job = opened(tmp_path, text_of(name))
    view = view_of(bench, job)
    plan = floor_plan(place(parse_job(text_of(name))))
    text = floor_text(FloorAnswer(plan, None))
    assert view.spoken in text
    assert view.where in text
    assert view.free in text
    assert view.more in text
    for row in (*view.rows, *view.holding):
        assert row.what in text
        assert row.found.replace("\u00a0", " ") in text
        assert row.why in text
    for foot in view.feet:
        assert f"{foot.name}: {foot.even} shared evenly, {foot.worst} at the worst" in text
    if view.marks is not None:
        for mark in view.marks.rows:
            assert f"{mark.from_first} from A, {mark.from_second} from B, on the {mark.hand} hand" in text


def test_every_grade_has_a_sign_of_its_own() -> None:
    """Mark and word tell it without colour."""
    assert set(GRADES) == set(VERDICTS) == set(Grade)
    assert len({sign.word for sign in VERDICTS.values()}) == len(VERDICTS)
    assert [sign.mark for sign in VERDICTS.values()] == ["✗", "✗", "?", "✓"]


def test_letters_lead_from_the_table_to_the_plan(tmp_path: Path) -> None:
    """Every letter of the table is a balloon of the picture, and the picture has none that the table lacks."""
    bench, job = opened(tmp_path, altered(FLOORED, {"floor_items[3].right": '"-200 mm"'}))
    view = view_of(bench, job)
    assert view.drawn is not None
    letters = {row.letter for row in (*view.rows, *view.holding)} - {""}
    balloons = set(re.findall(r">([A-Z])</text>", view.drawn.wide))
    assert letters == balloons - {"S"} != set()
    assert view.rows[0].sign.word == "clash"
    assert view.sign.word == "Something is in the way"


def test_a_job_without_items_is_told_what_to_add(tmp_path: Path) -> None:
    """Loader and lathe are wanted at the stop where items are added; nothing of the file's grammar is told."""
    bench, job = opened(tmp_path, SLIDING)
    view = view_of(bench, job)
    assert [(one.title, one.anchor) for one in view.wanted] == [
        ("the bar loader among what stands there", "stop-items"),
        ("the lathe among what stands there", "stop-items"),
    ]
    assert "[[" not in "".join(f"{one.title}{one.why}" for one in view.wanted)
    assert view.drawn is None


def test_what_is_incomplete_is_asked_for_at_its_field(tmp_path: Path) -> None:
    """A new item wants its sides; until then there is no plan, and the step says how much is to go."""
    bench, job = opened(tmp_path, FLOORED)
    bench.add(job, "floor_items", bench.sheet(job).number)
    sheet = bench.sheet(job)
    view = view_of(bench, job)
    assert "f-floor-items-4-left-box" in {one.anchor for one in view.wanted}
    assert floor_to_go(sheet) == len(view.wanted) > 0
    assert floor_to_go(saved(bench, job, "job.site", "bay 7")) > 0


def test_what_is_left_out_is_named_with_the_way_there(tmp_path: Path) -> None:
    """Without feet, marks and standing: each is one link to the stop that asks for it."""
    bench, job = opened(tmp_path, text_of("shell-cell"))
    told = {one.title: one.anchor for one in view_of(bench, job).left_out}
    assert told["what the feet carry"] == "stop-weight"
    assert told["the axis on the floor"] == "stop-marks"
    anchors = {f"stop-{place.stop.id}" for place in floor_form(bench.sheet(job)).places}
    assert set(told.values()) <= anchors
    assert "[[" not in "".join(told)


def test_without_a_placement_there_is_no_floor(tmp_path: Path) -> None:
    """A survey with a gap: no view, no file, and the page leads to the survey."""
    app, bench = pages(tmp_path)
    job = bench.new_from_text(FLOORED, "job.toml")
    saved(bench, job, "loader.pusher_reach", "")
    assert floor_view(bench.sheet(job), ()) is None
    assert floor_dxf(bench.sheet(job), ()) == floor_sheet(bench.sheet(job), ()) == ""
    shown = ask(app, f"/jobs/{job}/floor")
    assert shown.status == 200
    assert "the placement comes first" in shown.text
    assert ask(app, f"/jobs/{job}/floor/plan.dxf").status == 409


def test_dragged_the_answer_follows(tmp_path: Path) -> None:
    """At 2 in more standoff the loader is that much nearer to the wall, and the page says where it stands."""
    bench, job = opened(tmp_path, FLOORED)
    home = view_of(bench, job)
    far = view_of(bench, job, at_mm=home.drag["standoff_mm"] + 50.0)
    assert far.where != home.where
    wall = [row.found for view in (home, far) for row in (*view.rows, *view.holding) if "wall" in row.what]
    assert len(set(wall)) == len(wall) == 2
    assert home.drag["low"] * home.drag["step_mm"] < home.drag["standoff_mm"] < home.drag["high"] * home.drag["step_mm"]
    assert math.isclose(far.drag["standoff_mm"], home.drag["standoff_mm"] + 50.0)


def test_the_page_and_its_parts_are_served(tmp_path: Path) -> None:
    """The page, the answer alone at a standoff, and an address that no number is."""
    app, bench = pages(tmp_path)
    job = bench.new_from_text(FLOORED, "job.toml")
    shown = ask(app, f"/jobs/{job}/floor")
    assert (shown.status, "Everything has its room" in shown.text) == (200, True)
    assert "style=" not in shown.text
    at = ask(app, f"/jobs/{job}/floor/answer?at=350")
    assert "350 mm behind the adapter" in at.text
    assert "plan.dxf?at=350.0000" in at.text
    for odd in ("nan", "1e9", "", "x"):
        assert ask(app, f"/jobs/{job}/floor/answer?at={odd}").status == 200


def test_files_for_cad_and_paper(tmp_path: Path) -> None:
    """A DXF that the library reads, an SVG at the scale asked for, both as files; a scale nobody prints to is refused."""
    app, bench = pages(tmp_path)
    job = bench.new_from_text(FLOORED, "job.toml")
    cad = ask(app, f"/jobs/{job}/floor/plan.dxf")
    assert (cad.status, cad.headers["content-type"]) == (200, "image/vnd.dxf")
    assert 'filename="pedal-cell-floor.dxf"' in cad.headers["content-disposition"]
    assert ezdxf.read(StringIO(cad.text)).audit().errors == []
    paper = ask(app, f"/jobs/{job}/floor/plan.svg?scale=100")
    assert "1:100 when printed at 100 %" in " ".join(re.findall(r">([^<>]+)</text>", paper.text))
    assert ask(app, f"/jobs/{job}/floor/plan.svg?scale=33").status == 422
    with pytest.raises(UsageError):
        floor_sheet(bench.sheet(job), (), one_to=33)


def test_a_plan_is_kept_and_comes_back(tmp_path: Path) -> None:
    """What was read in is what is drawn later, to a tenth of a millimetre; layers are chosen anew; taken away, it is gone."""
    bench, job = opened(tmp_path, PLACED)
    read = read_plan(BAY, file="bay.dxf")
    bench.log(job, KIND, contents_of(read), "k1")
    kept = plan_of(bench.logged(job))
    assert kept is not None
    assert (kept.taken, kept.unit, dict(kept.left_out), kept.layers) == (read.taken, "mm", {"texts": 2}, read.layers)
    for one, other in zip(kept.lines, read.lines, strict=True):
        assert max(map(math.dist, one.points_mm, other.points_mm)) < 0.1
    bench.log(job, TAKEN, {"taken": ["OLD", "nowhere"]}, "k2")
    chosen = plan_of(bench.logged(job))
    assert chosen is not None
    assert {line.layer for line in chosen.drawn} == {"OLD"}
    bench.log(job, KIND, {"lines": []}, "k3")
    assert plan_of(bench.logged(job)) is None
    bench.log(job, "reading", {"gap": "1 in"}, "k4")
    assert plan_of(bench.logged(job)) is None


def test_a_plan_is_laid_under_the_lathe_and_judged(tmp_path: Path) -> None:
    """The cover stands at (108, 54) m of the bay: its rear wall is 8 m behind the cover, at -7960 mm here; rows speak of it."""
    bench, job = opened(tmp_path, PLACED)
    sheet = bench.sheet(job)
    assert sheet.job is not None
    walls = [line for line in building_lines(read_plan(BAY, file="bay.dxf"), sheet.job) if line.layer == "WALLS"]
    xs = [x for line in walls for x, _ in line.points_mm]
    assert min(xs) == pytest.approx(40.0 - 8000.0)
    assert max(xs) == pytest.approx(40.0 + 4000.0)
    before = view_of(bench, job)
    bench.log(job, KIND, contents_of(read_plan(BAY, file="bay.dxf")), "k1")
    after = view_of(bench, job)
    assert not any("building's plan" in row.what for row in before.holding)
    assert any("COLUMNS (building's plan)" in row.what for row in (*after.rows, *after.holding))
    assert after.drawn is not None
    assert "d-plan-import" in after.drawn.wide


def test_a_plan_laid_somewhere_else_is_no_promise(tmp_path: Path) -> None:
    """The bay 500 m away: not known yet, and why; with none of its layers taken it says nothing."""
    bench, job = opened(tmp_path, altered(PLACED, {"floor.plan_x": '"600 m"'}))
    bench.log(job, KIND, contents_of(read_plan(BAY, file="bay.dxf")), "k1")
    view = view_of(bench, job)
    assert (view.sign.kind, view.sign.word) == ("unsure", "Not known yet")
    assert "no line of the building's plan comes near lathe or loader" in view.spoken
    bench.log(job, TAKEN, {"taken": []}, "k2")
    assert view_of(bench, job).sign.kind == "fits"


def test_a_plan_without_its_place_is_asked_for_it(tmp_path: Path) -> None:
    """Read in, but nobody said where the cover stands in it: three fields are wanted, nothing is drawn, all else stands."""
    bench, job = opened(tmp_path, FLOORED)
    bench.log(job, KIND, contents_of(read_plan(BAY, file="bay.dxf")), "k1")
    sheet = sheet_of(bench, job)
    building = building_of(sheet, bench.logged(job))
    assert building is not None
    assert [one.anchor for one in building.wanted] == [f"f-floor-plan-{key}-box" for key in ("x", "y", "turned")]
    assert not building.shown
    view = view_of(bench, job)
    assert view.drawn is not None
    assert "d-plan-import" not in view.drawn.wide
    assert sheet.job is not None
    with pytest.raises(JobFileError):
        building_lines(read_plan(BAY, file="bay.dxf"), sheet.job)
    assert building_of(sheet, ()) is None
    assert missing_place(parse_job(PLACED)) == ()


def test_a_plan_with_too_many_points_keeps_what_is_drawn_or_is_refused() -> None:
    """Beyond what is kept the layers not drawn go first; when those drawn are too many, fewer layers are asked for."""
    many = tuple((float(i), 0.0) for i in range(MOST_KEPT))
    lines = (PlanLine("A", many[:10]), PlanLine("B", many))
    layers = (PlanLayer("A", 1, False), PlanLayer("B", 1, True))
    kept = contents_of(BuildingPlan("b.dxf", "mm", True, layers, ("A",), lines, {}))
    assert [line[0] for line in kept["lines"]] == ["A"]
    json.dumps(kept, allow_nan=False)
    with pytest.raises(PlanFileError, match="take fewer layers") as refused:
        contents_of(BuildingPlan("b.dxf", "mm", True, layers, ("A", "B"), lines, {}))
    assert refused.value.code == "plan-large"


def test_posts_without_a_file_are_told_so(tmp_path: Path) -> None:
    """Nothing chosen: the page comes back with the reason; layers and taking away lead back to it."""
    app, bench = pages(tmp_path)
    job = bench.new_from_text(PLACED, "job.toml")
    none = ask(app, f"/jobs/{job}/floor/building", method="POST", headers=CHANGE, form={"unit": ""})
    assert none.status == 422
    assert "No file was chosen" in none.text
    bench.log(job, KIND, contents_of(read_plan(BAY, file="bay.dxf")), "k1")
    for path in ("layers", "away"):
        done = ask(app, f"/jobs/{job}/floor/building/{path}", method="POST", headers=CHANGE, form={"layer": "WALLS"})
        assert (done.status, done.headers["location"]) == (303, f"/jobs/{job}/floor#building")
    assert plan_of(bench.logged(job)) is None


def test_a_loader_that_would_tip_over_is_said_first(tmp_path: Path) -> None:
    """A centre of gravity behind all feet: the verdict and the sentence say it, whatever room there is; no foot has a load."""
    bench, job = opened(tmp_path, altered(FLOORED, {"floor_loads[0].behind": '"6 m"'}))
    view = view_of(bench, job)
    assert (view.sign.word, view.feet) == ("Would tip over", ())
    assert view.spoken.startswith("As stated, the loader would tip over.")
    assert view.rows == ()


def test_where_the_pair_does_not_fit_the_floor_is_no_promise(tmp_path: Path) -> None:
    """Dragged back out of the pusher's reach: everything has its room at that place, but the verdict does not say so."""
    bench, job = opened(tmp_path, FLOORED)
    view = view_of(bench, job, at_mm=view_of(bench, job).drag["standoff_mm"] + 400.0)
    assert view.rows == ()
    assert view.sign.word == "The pair does not fit"
    assert view.sign.mark == "?"
    assert "where the pair itself does not fit" in view.where


def test_feet_in_one_line_are_told(tmp_path: Path) -> None:
    """Four feet on one side cannot carry anything: the page leads to where they are typed, and does not fail."""
    app, bench = pages(tmp_path)
    job = bench.new_from_text(FLOORED, "job.toml")
    for i in range(4):
        bench.save(job, f"feet[{i}].behind_clamp", Entry(f"{500 * (i + 1)} mm"), bench.sheet(job).number)
        bench.save(job, f"feet[{i}].left", Entry("-100 mm"), bench.sheet(job).number)
    shown = ask(app, f"/jobs/{job}/floor")
    assert shown.status == 200
    assert "Feet on both sides" in shown.text
    assert "in one line" in ask(app, f"/jobs/{job}/level").text
