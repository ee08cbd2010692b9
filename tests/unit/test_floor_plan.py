"""The floor plan of a job: things where the tape put them, rows worked out by hand, what is warned of and what is left out."""

from __future__ import annotations

import math

import pytest

from standoff.job.demonstration import text_of
from standoff.job.file import parse_job
from standoff.job.floor_drawn import BuildingLine
from standoff.job.floor_plan import FloorPlan, floor_plan
from standoff.job.placement import place
from standoff.site.floor import Grade, Owner
from tests.floors import FEET, FLOORED, FREE, ITEMS, MARKS, floor_with, plan_of, row_of
from tests.texts import SLIDING, altered

COLUMN = """
[[floor_items]]
name = "column"
kind = "column"
behind = "{behind} mm"
ahead = "{ahead} mm"
left = "{left} mm"
right = "{right} mm"
"""


def column(behind_mm: float, ahead_mm: float, left_mm: float, right_mm: float) -> str:
    """A column as the job file takes it."""
    return COLUMN.format(behind=behind_mm, ahead=ahead_mm, left=left_mm, right=right_mm)


def grades(plan: FloorPlan) -> set[Grade]:
    """Every judgement there is."""
    return {row.grade for row in plan.rows}


def test_everything_is_where_the_tape_put_it() -> None:
    """Cover at 40 mm, clamp at -300 mm; left is positive; a loader's length is the survey's."""
    plan = plan_of(FLOORED)
    assert (plan.datums.cover_mm, plan.datums.clamp_mm) == (40.0, -300.0)
    lathe, loader, tank, cabinet = plan.bodies[:4]
    assert (lathe.footprint.x_range_mm, lathe.footprint.y_range_mm) == ((40.0, 2040.0), (-700.0, 900.0))
    assert (loader.footprint.x_range_mm, loader.footprint.y_range_mm) == ((-4900.0, -288.0), (-400.0, 300.0))
    assert (loader.owner, loader.low_mm, loader.high_mm) == (Owner.LOADER, 700.0, 1400.0)
    assert tank.footprint.x_range_mm == (-560.0, 140.0)
    assert (cabinet.owner, cabinet.footprint.y_range_mm) == (Owner.BUILDING, (600.0, 1000.0))
    assert plan.stroke_mm == (0.0, 170.0)
    assert plan.extent_mm[0] == (-6960.0, 2040.0)


def test_a_wall_only_the_survey_knows_is_drawn_and_judged() -> None:
    """lathe.cover_to_wall is a line 6700 mm behind the cover; the room kept behind the loader is the placement's."""
    plan = plan_of(FLOORED)
    (wall,) = (body for body in plan.bodies if body.id == "wall")
    assert wall.footprint.x_range_mm == (-6660.0, -6660.0)
    row = row_of(plan, "loader and wall, aisle or obstacle behind")
    assert (row.needed_mm, row.found_mm) == (900.0, 1760.0)
    judged = place(parse_job(FLOORED), asked_mm=300.0).row("rear-room")
    assert row.slack_mm == pytest.approx(judged.slack_mm)


def test_a_wall_that_is_an_item_is_not_drawn_twice() -> None:
    """One that closes the axis takes its place and its rule; one beside the axis does not."""
    closing = plan_of(FLOORED + column(7000, -6700, 1000, 1000))
    assert all(body.id != "wall" for body in closing.bodies)
    row = row_of(closing, "loader and column")
    assert (row.needed_mm, row.reason) == (900.0, "service space behind the loader")
    beside = plan_of(FLOORED + column(7000, -6700, 2000, -1500))
    assert any(body.id == "wall" for body in beside.bodies)
    assert row_of(beside, "loader and column").needed_mm == 50.0


@pytest.mark.parametrize(
    ("more", "name", "depth_mm"),
    [
        ("", "wall, aisle or obstacle behind", 2500.0 + 300.0),
        (column(7000, -6700, 1000, 1000), "column", 1000.0 + 300.0),
    ],
)
def test_behind_the_wall_is_no_room(more: str, name: str, depth_mm: float) -> None:
    """A standoff that would put the whole loader behind the wall clashes with it; the shortest way out is past its end."""
    row = row_of(plan_of(FLOORED + more, standoff_mm=12_000.0), f"loader and {name}")
    assert (row.found_mm, row.grade) == (pytest.approx(-depth_mm), Grade.CLASH)


def test_the_gap_to_the_lathe_is_the_placements() -> None:
    """Standing and shifted: the same figures, rule and all, as the clearance to the cover in each mode."""
    plan = plan_of(FLOORED)
    judged = place(parse_job(FLOORED), asked_mm=300.0)
    for state, mode in (("standing", "guide-bushing"), ("shifted", "chucker")):
        row = row_of(plan, "loader and lathe", state)
        assert row.slack_mm == pytest.approx(judged.row("cover-clearance", mode).slack_mm)


@pytest.mark.parametrize(
    ("changes", "found_mm", "grade"),
    [
        ({}, 200.0, Grade.HOLDS),
        ({"floor_items[2].height": '"649 mm"'}, 51.0, Grade.HOLDS),
        ({"floor_items[2].height": '"660 mm"'}, 40.0, Grade.NEAR),
        ({"floor_items[2].height": '"720 mm"'}, -272.0, Grade.CLASH),
        ({"floor_items[2].height": None}, -272.0, Grade.UNKNOWN),
        ({"floor_items[2].height": None, "floor_items[1].from_floor": None}, -272.0, Grade.CLASH),
        ({"floor_items[2].from_floor": '"1450 mm"', "floor_items[2].height": '"1600 mm"'}, 50.0, Grade.HOLDS),
        ({"floor_items[2].kind": '"column"', "floor_items[2].height": None}, -272.0, Grade.CLASH),
        ({"floor_items[2].right": '"-250 mm"', "floor_items[2].height": '"720 mm"'}, -50.0, Grade.CLASH),
    ],
)
def test_what_stands_below_the_loader(changes: dict[str, str | None], found_mm: float, grade: Grade) -> None:
    """A tank reaches 272 mm under the loader: lower it does not matter, higher it clashes, of unknown height it is asked for."""
    row = row_of(floor_with(changes), "loader and tank")
    assert (row.found_mm, row.grade) == (pytest.approx(found_mm), grade)


def test_what_touches_in_height_is_near_not_run_into() -> None:
    """A tank as high as the loader's underside is 0 from it; a fraction of a millimetre over it says no more; 1 mm does."""
    for height, found_mm, grade in (("700 mm", 0.0, Grade.NEAR), ("700.4 mm", 0.0, Grade.NEAR), ("701 mm", -272.0, Grade.CLASH)):
        row = row_of(floor_with({"floor_items[2].height": f'"{height}"'}), "loader and tank")
        assert (row.found_mm, row.grade, row.above) == (pytest.approx(found_mm), grade, grade is Grade.NEAR)


@pytest.mark.parametrize(
    ("heights", "grades_of"),
    [
        ('height = "750 mm"\n', []),
        ('height = "752 mm"\n', [Grade.NEAR]),
        ('from_floor = "1300 mm"\nheight = "3 m"\n', []),
        ('from_floor = "1298 mm"\nheight = "3 m"\n', [Grade.NEAR]),
    ],
)
def test_what_only_touches_a_space_in_height_leaves_it_free(heights: str, grades_of: list[Grade]) -> None:
    """A bench as high as where the space begins, a duct as low as its end: neither stands in it; 2 mm more, and it does."""
    space = '[[keep_outs]]\nname = "pull"\nreason = "pusher exchange"\nitem = "loader"\nside = "behind"\ndepth = "1200 mm"\n'
    space += 'from_floor = "750 mm"\nheight = "1300 mm"\n'
    bench = column(5600, -5200, 300, 300).replace('"column"\nkind = "column"', '"bench"\nkind = "other"')
    rows = [row for row in plan_of(FLOORED + bench + heights + space).rows if row.what == "pull and bench"]
    assert [row.grade for row in rows if row.state == "standing"] == grades_of


def test_a_height_below_a_space_is_asked_for() -> None:
    """A tank of unknown height under a space that begins above the floor may be low enough; one from the floor is in its way."""
    space = '[[keep_outs]]\nname = "pull"\nreason = "pusher exchange"\nitem = "loader"\nside = "behind"\ndepth = "1200 mm"\n'
    sump = column(5600, -5200, 300, 300).replace('"column"\nkind = "column"', '"sump"\nkind = "tank"')
    for low, grade in (('from_floor = "750 mm"\n', Grade.UNKNOWN), ("", Grade.NEAR)):
        row = row_of(plan_of(FLOORED + sump + space + low), "pull and sump")
        assert (row.grade, row.found_mm) == (grade, pytest.approx(260.0))


def test_the_loaders_own_parts_take_room_too() -> None:
    """A box of the loader 200 mm beside its magazine's side blocks the loading, once: both move together."""
    box = column(3000, -2500, -600, 900).replace('"column"\nkind = "column"', '"box"\nkind = "other"\ncarrier = "loader"')
    rows = [row for row in plan_of(FLOORED + box).rows if row.what == "loading and box"]
    assert [(row.state, row.found_mm, row.grade) for row in rows] == [("standing", pytest.approx(200.0), Grade.NEAR)]
    still = [row for row in plan_of(FLOORED + box + "shifts = false\n").rows if row.what == "loading and box"]
    assert {row.state for row in still} == {"standing", "shifted"}


def test_a_space_is_judged_at_the_shift_of_every_mode() -> None:
    """A hatch 50 mm long that meets a post in the mode between the others alone."""
    mode = '[[lathe.modes]]\nname = "half"\nz_rear = "10 mm"\nz_front = "140 mm"\nloader_shift = "85 mm"\n\n[loader]\n'
    hatch = '[[keep_outs]]\nname = "hatch"\nreason = "maintenance"\nitem = "loader"\nside = "left"\ndepth = "500 mm"\n'
    hatch += 'behind = "1250 mm"\nahead = "-1200 mm"\n'
    post = column(1530, -1490, 600, -500)  # x from -1490 to -1450; the hatch from -1550 to -1500, and 85 mm farther ahead
    text = FLOORED.replace("[loader]\n", mode, 1) + hatch + post
    assert row_of(plan_of(text), "hatch and column", "shifted").grade is Grade.NEAR
    assert not [row for row in plan_of(FLOORED + hatch + post).rows if row.what == "hatch and column" and row.slack_mm < 0.0]


def test_only_the_shift_brings_it_too_near() -> None:
    """A column 288 mm ahead of the loader's front, 118 mm when it shifts, 150 mm kept; and a person could be crushed there."""
    more = column(40, 0, 300, -200) + 'keeps = "150 mm"\n'
    plan = plan_of(FLOORED + more)
    assert (row_of(plan, "loader and column").found_mm, row_of(plan, "loader and column").grade) == (288.0, Grade.HOLDS)
    shifted = row_of(plan, "loader and column", "shifted")
    assert (shifted.found_mm, shifted.grade) == (pytest.approx(118.0), Grade.NEAR)
    (warning,) = plan.warnings
    assert (warning.id, warning.source) == ("crush-gap-floor", "ISO 13854:2017, Table 1")
    assert "column (118 mm)" in warning.text
    assert plan.rows[0] == shifted
    assert plan.grade is Grade.NEAR


def test_a_space_that_is_blocked() -> None:
    """A column 800 mm out from the magazine's side, where 1000 mm are to stay free."""
    plan = plan_of(FLOORED + column(3000, -2800, -1200, 1300))
    row = row_of(plan, "loading and column")
    assert (row.needed_mm, row.found_mm, row.grade) == (1000.0, pytest.approx(800.0), Grade.NEAR)
    assert row.source == "as stated in the job"


def test_a_space_goes_with_the_loader() -> None:
    """A column behind the magazine's front end is only in the way when the loader is not shifted away from it."""
    # The space ends at x = -4300 standing, and at -4130 shifted; the column lies from -4400 to -4250.
    row = plan_of(FLOORED + column(4440, -4290, -1200, 1300))
    assert row_of(row, "loading and column").found_mm == pytest.approx(800.0)
    ahead = plan_of(FLOORED + column(1340, -1190, -1200, 1300))  # x from -1300 to -1150: reached by the shift alone
    assert not [r for r in ahead.rows if r.what == "loading and column" and r.state == "standing" and r.slack_mm < 0.0]
    assert row_of(ahead, "loading and column", "shifted").found_mm == pytest.approx(800.0)


def test_a_door_and_a_working_space_that_are_blocked() -> None:
    """A wall 300 mm in front of a cabinet: the door strikes it, the working space is 300 mm of 3 1/2 ft."""
    plan = plan_of(FLOORED + column(4000, 0, 1500, -1300))
    door, work = row_of(plan, "cabinet door and column"), row_of(plan, "working space at cabinet and column")
    assert (door.needed_mm, door.found_mm, door.grade) == (500.0, pytest.approx(300.0), Grade.CLASH)
    assert (work.needed_mm, work.found_mm, work.grade) == (pytest.approx(1066.8), pytest.approx(300.0), Grade.NEAR)
    assert "1910.303" in work.source


@pytest.mark.parametrize(
    ("side", "hinge", "x_range_mm", "y_range_mm"),
    [
        ("left", "behind", (-2510.0, -2010.0), (1000.0, 1500.0)),
        ("left", "ahead", (-2510.0, -2010.0), (1000.0, 1500.0)),
        ("right", "behind", (-2510.0, -2010.0), (100.0, 600.0)),
        ("ahead", "left", (-1960.0, -1460.0), (450.0, 950.0)),
        ("behind", "right", (-3060.0, -2560.0), (650.0, 1150.0)),
    ],
)
def test_where_a_door_swings(side: str, hinge: str, x_range_mm: tuple[float, float], y_range_mm: tuple[float, float]) -> None:
    """Out from its side, from its hinge over the leaf's width; the hinge lies 50 mm in from its end."""
    plan = floor_with({"floor_doors[0].side": f'"{side}"', "floor_doors[0].hinge": f'"{hinge}"'})
    (door,) = (space for space in plan.keep_outs if space.id == "door-0")
    assert door.footprint.x_range_mm == pytest.approx(x_range_mm, abs=0.3)
    assert door.footprint.y_range_mm == pytest.approx(y_range_mm, abs=0.3)
    assert math.dist(door.start_mm[0], door.footprint.centre_mm) < 500.0


def test_a_working_space_is_as_wide_as_it_must_be() -> None:
    """The cabinet is 600 mm wide: 30 in are centred on it; a depth that local code asks for wins over the table."""
    (work,) = (space for space in plan_of(FLOORED).keep_outs if space.id == "work-0")
    assert work.footprint.x_range_mm == (pytest.approx(-2641.0), pytest.approx(-1879.0))
    assert work.footprint.y_range_mm == (1000.0, pytest.approx(2066.8))
    stated = {"working_spaces[0].voltage": None, "working_spaces[0].facing": None, "working_spaces[0].depth": '"1500 mm"'}
    (local,) = (space for space in floor_with(stated).keep_outs if space.id == "work-0")
    assert (local.depth_mm, local.source) == (1500.0, "as stated in the job")


def test_what_is_not_judged() -> None:
    """A way may be stepped into, not stood in; with the loader away its own place is free."""
    aisle = FLOORED + column(6000, 0, -1000, 3000).replace('"column"', '"aisle"')
    assert not [row for row in plan_of(aisle).rows if row.what == "loading and aisle"]
    assert row_of(plan_of(aisle), "loader and aisle").found_mm == pytest.approx(600.0)
    liner = '[[keep_outs]]\nname = "liner"\nreason = "liner exchange"\nitem = "lathe"\nside = "behind"\ndepth = "900 mm"\n'
    liner += 'from_floor = "600 mm"\n'
    assert row_of(plan_of(FLOORED + liner), "liner and loader").grade is Grade.NEAR
    away = plan_of(FLOORED + liner + "loader_away = true\n")
    assert not [row for row in away.rows if row.what.startswith("liner")]


def test_slab_and_standing_are_warned_of() -> None:
    """A joint between the machines, one under the loader, and machines that stand unlike."""
    between = floor_with({"slab_joints[0].behind": '"200 mm"', "slab_joints[0].end_behind": '"200 mm"'})
    (warning,) = between.warnings
    assert (warning.id, "lies between lathe and loader" in warning.text) == ("slab-joint", True)
    under = floor_with({"slab_joints[0].behind": '"3000 mm"', "slab_joints[0].end_behind": '"3000 mm"'})
    assert "parts rear left and rear right from the lathe" in under.warnings[0].text
    lathe = floor_with({"slab_joints[0].behind": '"-500 mm"', "slab_joints[0].end_behind": '"-500 mm"'})
    assert "runs under the lathe" in lathe.warnings[0].text
    unlike = floor_with({"floor.loader_stands": '"on pads"'})
    assert [warning.id for warning in unlike.warnings] == ["stand-unlike"]


def test_a_joint_without_feet_is_judged_by_the_loaders_extent() -> None:
    """The loader reaches from -4900 to -288 mm: a joint there runs under it, one ahead parts it, one behind does neither."""
    text = SLIDING + ITEMS + FREE
    for behind_mm, parted, under in (
        (200, ("loader",), ()),
        (1000, (), ("loader",)),
        (4800, (), ("loader",)),
        (5000, None, None),
    ):
        changes = {f"slab_joints[0].{key}": f'"{behind_mm} mm"' for key in ("behind", "end_behind")}
        plan = plan_of(altered(text, changes))
        assert [(crossing.parted, crossing.under) for crossing in plan.crossings] == ([] if parted is None else [(parted, under)])
        words = "lies between lathe and loader" if parted else "runs under loader"
        assert [words in warning.text for warning in plan.warnings if warning.id == "slab-joint"] == [True] * len(plan.crossings)


def test_feet_and_masses() -> None:
    """1000 kg midway along, 0.1 m right of the axis, feet 0.3 m left and 0.5 m right: in their middle.

    The shift of 170 mm takes a quarter of 170 / 2000 of the weight from the rear to the front feet; the bars, 200 kg above the
    right feet, a quarter of 67 / 400 of it from the left to the right. At the worst the front right foot bears the whole front.
    """
    loads = plan_of(FLOORED).loads
    assert loads is not None
    assert [foot.least_n / 9.80665 for foot in loads.feet] == pytest.approx([250.0, 250.0, 300.0 - 25.5 - 50.0, 250.0 - 21.25])
    assert [foot.even_n / 9.80665 for foot in loads.feet] == pytest.approx([275.5, 375.5, 250.0, 350.0])
    assert [foot.worst_n / 9.80665 for foot in loads.feet] == pytest.approx([500.0, 651.0, 500.0, 600.0])
    assert loads.feet[0].pressure_mpa == pytest.approx(500.0 * 9.80665 / 1e4)
    assert loads.feet[2].pressure_mpa == pytest.approx(500.0 * 9.80665 / (math.pi * 2500.0))


def test_what_stays_while_the_loader_shifts() -> None:
    """A stand 100 mm behind the tank stays there; a mass of the base stays too."""
    stand = column(500, -400, 200, 200).replace('"column"\nkind = "column"', '"stand"\nkind = "other"\ncarrier = "loader"')
    moving = plan_of(FLOORED + stand)
    assert (row_of(moving, "stand and tank").found_mm, row_of(moving, "stand and tank", "shifted").found_mm) == (140.0, -30.0)
    still = plan_of(FLOORED + stand + "shifts = false\n")
    assert [row.state for row in still.rows if row.what == "stand and tank"] == ["standing"]
    space = '[[keep_outs]]\nname = "way"\nreason = "maintenance"\nitem = "stand"\nside = "ahead"\ndepth = "150 mm"\n'
    spaces = {row.state for row in plan_of(FLOORED + stand + "shifts = false\n" + space).rows if row.what == "way and tank"}
    assert spaces == {"standing"}
    base = floor_with({"floor_loads[0].shifts": "false", "floor_loads[1].shifts": "false"}).loads
    assert base is not None
    assert [foot.least_n / 9.80665 for foot in base.feet] == pytest.approx([250.0] * 4)


def test_a_warning_names_a_thing_once() -> None:
    """Two parts of the loader close on one column: the least gap is told."""
    more = column(40, 0, 300, -200) + column(1000, -50, 350, 100).replace(
        '"column"\nkind = "column"', '"box"\nkind = "other"\ncarrier = "loader"'
    )
    (warning,) = (warning for warning in plan_of(FLOORED + more).warnings if warning.id == "crush-gap-floor")
    assert warning.text.count("column") == 1
    assert "column (118 mm)" in warning.text


@pytest.mark.parametrize(("left", "words"), [('"280 mm"', "only 20 mm inside"), ('"400 mm"', "100 mm outside the feet")])
def test_what_may_tip_over_is_warned_of(left: str, words: str) -> None:
    """A centre of gravity 20 mm inside the feet's edge, or 100 mm outside it."""
    plan = floor_with({"floor_loads[0].left": left})
    (warning,) = (warning for warning in plan.warnings if warning.id == "tipping")
    assert words in warning.text
    assert plan.loads is not None
    assert bool(plan.loads.feet) is ("inside" in words)


def test_the_case_that_tips_over_is_named() -> None:
    """1000 kg alone lie 100 mm outside the feet, with 200 kg on the other side inside them: it is the empty loader that tips."""
    plan = floor_with({"floor_loads[0].left": '"400 mm"', "floor_loads[1].left": '"-2000 mm"'})
    (warning,) = (warning for warning in plan.warnings if warning.id == "tipping")
    assert "100 mm outside the feet: 1000 kg, without bars, would tip over" in warning.text
    ahead = floor_with({"floor_loads[0].behind": '"600 mm"', "floor_loads[1].behind": '"600 mm"'})
    (warning,) = (warning for warning in ahead.warnings if warning.id == "tipping")
    assert "70 mm outside the feet: 1200 kg, shifted by 170 mm, would tip over" in warning.text
    both = floor_with({"floor_loads[0].left": '"400 mm"', "floor_loads[1].left": '"400 mm"'})
    assert "100 mm outside the feet: 1200 kg would tip over" in next(w.text for w in both.warnings if w.id == "tipping")


def test_lines_of_a_building() -> None:
    """A line through the loader clashes, by how deep it lies in it; layers are told apart; one far off is not judged."""
    lines = [
        BuildingLine("WALLS", ((-3000.0, -2000.0), (-3000.0, -350.0))),
        BuildingLine("WALLS", ((-3000.0, 600.0), (-1000.0, 600.0))),
        BuildingLine("PIPES", ((-3000.0, 500.0), (-1000.0, 500.0))),
        BuildingLine("FENCE", ((-30000.0, 9000.0), (30000.0, 9000.0))),
        BuildingLine("FENCE", ((5.0, 5.0), (5.0, 5.0))),
    ]
    plan = plan_of(SLIDING + ITEMS, lines=lines)
    assert len(plan.lines) == 4
    rows = {row.what: row for row in plan.rows if row.state == "standing" and row.between[1].startswith("plan-")}
    assert set(rows) == {"loader and WALLS (building's plan)", "loader and PIPES (building's plan)"}
    wall = rows["loader and WALLS (building's plan)"]
    assert (wall.found_mm, wall.between[1], wall.grade) == (pytest.approx(-50.0), "plan-0", Grade.CLASH)
    pipes = rows["loader and PIPES (building's plan)"]
    assert (pipes.found_mm, pipes.needed_mm, pipes.grade) == (pytest.approx(200.0), 50.0, Grade.HOLDS)


def test_marks_are_taped_from_the_lathe() -> None:
    """Marked feet and holes, with the named baseline; each mark lies at its two distances."""
    marking = plan_of(FLOORED).marking
    assert marking is not None
    assert [point.name for point in marking.points] == ["front left", "front right", "anchor"]
    assert (marking.points[0].x_mm, marking.points[0].y_mm) == (-800.0, 300.0)
    assert marking.mark_out is not None
    base = marking.mark_out.baseline
    for mark in marking.mark_out.marks:
        for reference, taped in ((base.first, mark.from_first_mm), (base.second, mark.from_second_mm)):
            place_mm = (mark.point.x_mm, mark.point.y_mm)
            assert math.dist((reference.x_mm, reference.y_mm), place_mm) == pytest.approx(taped)
    assert [marking.sure_enough(mark) for mark in marking.mark_out.marks] == [True, True, False]
    assert marking.axis is not None
    assert (marking.axis.front.x_mm, marking.axis.rear.x_mm) == (-60.0, -5060.0)
    assert marking.far_end is not None
    assert marking.far_end.x_mm == -4900.0


def test_a_hole_is_no_surer_than_where_it_was_said_to_be() -> None:
    """Estimated to 10 mm behind and left, told from a cover known to 10 mm: 5.8 mm and 8.2 mm of standard uncertainty more."""
    estimate = '{{ value = "{}", uncertainty = "{}" }}'
    exact = {"holes[0].behind": estimate.format("2500 mm", "0 mm"), "holes[0].left": estimate.format("-100 mm", "0 mm")}
    exact["lathe.cover_to_adapter"] = estimate.format("-40 mm", "0 mm")
    unsure = {key: text.replace('"0 mm"', '"10 mm"') for key, text in exact.items()}
    bare, whole = (floor_with(changes).marking for changes in (exact, unsure))
    assert bare is not None
    assert bare.mark_out is not None
    assert whole is not None
    assert whole.mark_out is not None
    more = whole.mark_out.marks[2].covariance_mm2 - bare.mark_out.marks[2].covariance_mm2
    assert more.tolist() == [[pytest.approx(200.0 / 3.0), pytest.approx(0.0)], [pytest.approx(0.0), pytest.approx(100.0 / 3.0)]]
    assert whole.mark_out.diagonals == bare.mark_out.diagonals


def test_the_best_pair_is_chosen_where_none_is_named() -> None:
    """Every pair is judged, the best first; without a limit nothing is said to be sure enough."""
    changes = {"markout.first": None, "markout.second": None, "markout.taped": None, "markout.may_be_off": None}
    marking = floor_with(changes).marking
    assert marking is not None
    assert [(pair.first, pair.second) for pair in marking.pairs] == [("left base", "right base")]
    assert marking.mark_out is not None
    assert marking.sure_enough(marking.mark_out.marks[0]) is None


def test_a_mark_out_that_cannot_be_is_said() -> None:
    """A tape that contradicts the points, and points that are missing, leave the rest of the answer."""
    wrong = floor_with({"markout.taped": '"1450 mm"'})
    assert wrong.marking is not None
    assert wrong.marking.mark_out is None
    assert "tape it again" in wrong.marking.refused
    assert wrong.rows
    alone = plan_of(SLIDING + FEET)
    assert alone.marking is not None
    assert "find another point" in alone.marking.refused
    axis = plan_of(SLIDING + '[markout]\naxis_front = "1 m"\naxis_rear = "5 m"\n')
    assert axis.marking is not None
    assert "nothing is to be marked" in axis.marking.refused


def test_what_is_not_stated_is_named() -> None:
    """A job without floor tables has a plan of nothing but the wall; what it wants is said, nothing is raised."""
    plan = plan_of(SLIDING)
    assert [problem.field for problem in plan.wanted] == ["floor_items", "floor_items"]
    assert (plan.rows, plan.loads, plan.marking, plan.grade) == ((), None, None, None)
    assert len(plan.not_stated) == 4
    assert plan_of(FLOORED).not_stated == ("what presses on the slab (pad of each of [[feet]])",)
    assert plan_of(SLIDING + ITEMS + FREE + MARKS).loads is None


def test_another_standoff_moves_the_loader_alone() -> None:
    """100 mm more: every thing of the loader lies 100 mm farther back, the rest stays."""
    near, far = plan_of(FLOORED), plan_of(FLOORED, standoff_mm=400.0)
    for one, other in zip(near.bodies, far.bodies, strict=True):
        by_mm = -100.0 if one.owner is Owner.LOADER else 0.0
        assert other.footprint == one.footprint.moved(by_x_mm=by_mm)
    assert far.pads[0].x_mm == near.pads[0].x_mm - 100.0


@pytest.mark.parametrize("name", ["axle-cell", "shell-cell"])
def test_the_demonstration_floors_hold(name: str) -> None:
    """Nothing is in the way on the floors that come with the program."""
    plan = floor_plan(place(parse_job(text_of(name))))
    assert plan.wanted == ()
    assert grades(plan) == {Grade.HOLDS}
