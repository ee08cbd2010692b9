"""The bar cycle: each requirement fails at the moment it predicts, with its grade; alarms; the command and its answer."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest
from click.testing import CliRunner

from standoff.cli import main
from standoff.desk.cycle import cycle_json, cycle_of_file, cycle_of_placement, cycle_text, part_named
from standoff.errors import JobFileError, UsageError
from standoff.job.cycle import BEFORE, CONTACT, MARGIN, Cycle, Trouble, bar_cycles
from standoff.job.demonstration import text_of
from tests.cycles import HUB, PIN, STANDOFF_MM, Changes, cycle_with, fixed_with, placed, text_with
from tests.texts import SLIDING

SHORT = '[[bars]]\nname = "short"\nshape = "round"\nsize = "12 mm"\nmaterial = "steel"\nlength = "2 m"\n'


def only_trouble(cycle: Cycle) -> Trouble:
    """The one trouble of a cycle, and that the window's rows of its mode say the same."""
    (trouble,) = cycle.troubles
    assert not cycle.clean
    return trouble


def failing(part: str, at_mm: float, changes: Changes | None = None, *more: str) -> Trouble:
    """The one trouble of a part at a standoff; the placement's rows name the same requirement."""
    placement = placed(part, *more, changes=changes, at_mm=at_mm)
    cycle = bar_cycles(placement)[0]
    rows = {judged.row.id for judged in placement.failing if judged.row.mode in (None, cycle.part.mode.name)}
    trouble = only_trouble(cycle)
    assert rows == {trouble.id}
    return trouble


@pytest.mark.parametrize("part", [PIN, HUB])
def test_inside_the_window_a_cycle_runs_clean(part: str) -> None:
    """At both edges of the window and between them."""
    for at_mm in (291.0, 300.0, 330.0):
        assert cycle_with(part, at_mm=at_mm).clean


@pytest.mark.parametrize(("at_mm", "grade"), [(288.0, MARGIN), (280.0, CONTACT)])
def test_nose_room_fails_at_the_rear_limit(at_mm: float, grade: str) -> None:
    """The chucker mode asks for 291 mm, and touches at 285; it runs out while the headstock goes back from 350 at 400 mm/s."""
    trouble = failing(HUB, at_mm)
    assert (trouble.id, trouble.step, trouble.grade) == ("nose-room", "headstock to its rear limit", grade)
    assert trouble.missing_mm == pytest.approx(291.0 - at_mm)
    travel_mm = 150.0 + 291.0 - at_mm
    assert trouble.time_s == pytest.approx((350.0 - travel_mm) / 400.0)
    assert (trouble.moment, trouble.worst, trouble.part) == (1, 1, 0)


FAR = {"loader.pusher_reach": '"1320 mm"'}


def test_nose_engagement_fails_at_the_front_limit() -> None:
    """The guide-bushing mode allows 383 mm: at 390 the nose comes apart as the headstock stands at its front limit."""
    trouble = failing(PIN, 390.0, FAR)
    assert (trouble.id, trouble.step, trouble.grade) == ("nose-engagement", "headstock at its front limit", CONTACT)
    assert (trouble.time_s, trouble.moment) == (0.0, 0)
    assert trouble.missing_mm == pytest.approx(7.0)


def test_pusher_reach_fails_at_the_end_of_the_bar() -> None:
    """The guide-bushing mode allows 330 mm: at 335 all 55 parts are made, and 5 mm are missing at the last."""
    trouble = failing(PIN, 335.0)
    assert (trouble.id, trouble.step, trouble.grade) == ("pusher-reach", "end of bar", CONTACT)
    assert (trouble.part, trouble.missing_mm) == pytest.approx((55, 5.0))


@pytest.mark.parametrize(
    ("gripper", "more", "grade", "missing_mm"),
    [("2790 mm", (), MARGIN, 10.0), ("2640 mm", (), CONTACT, 160.0), ("2640 mm", (SHORT,), MARGIN, 160.0)],
)
def test_full_bar_fails_at_pre_feed(gripper: str, more: tuple[str, ...], grade: str, missing_mm: float) -> None:
    """Bound 3660 + 150 - gripper - 110 - 600; the job's longest bar meets the collet 150 mm later, a short one never."""
    trouble = failing(PIN, STANDOFF_MM, {"loader.gripper_behind_clamp": f'"{gripper}"'}, *more)
    assert (trouble.id, trouble.step, trouble.grade) == ("full-bar", "pre-feed", grade)
    assert trouble.missing_mm == pytest.approx(missing_mm)


def test_cover_clearance_fails_while_the_loader_stands_there() -> None:
    """Chucker: -40 + 12 + 170 + 160 = 302 mm."""
    trouble = failing(HUB, STANDOFF_MM, {"rules.cover_clearance": '"160 mm"'})
    assert (trouble.id, trouble.moment, trouble.grade) == ("cover-clearance", 0, MARGIN)
    assert trouble.missing_mm == pytest.approx(2.0)
    assert cycle_with(PIN, changes={"rules.cover_clearance": '"160 mm"'}).clean


def test_rear_room_fails_in_every_cycle() -> None:
    """5800 - 40 - 4600 - 900 = 260 mm: judged once, with the loader farthest back, whatever the mode."""
    for part in (PIN, HUB):
        trouble = failing(part, STANDOFF_MM, {"lathe.cover_to_wall": '"5800 mm"'})
        assert (trouble.id, trouble.grade) == ("rear-room", MARGIN)
        assert trouble.missing_mm == pytest.approx(40.0)


@pytest.mark.parametrize(
    ("changes", "requirement", "missing_mm"),
    [({"passage[1].bore": '"20 mm"'}, "passage", 3.0), ({"lathe.centre_height": '"1130 mm"'}, "centre-height", 10.0)],
)
def test_passage_and_height_fail_before_anything_moves(changes: Changes, requirement: str, missing_mm: float) -> None:
    """No bar is begun."""
    trouble = failing(PIN, STANDOFF_MM, changes)
    assert (trouble.id, trouble.step, trouble.moment) == (requirement, BEFORE, 0)
    assert trouble.missing_mm == pytest.approx(missing_mm)


def test_troubles_come_in_the_order_of_time() -> None:
    """Before anything moves, at the front limit, at the end of the bar."""
    cycle = cycle_with(PIN, at_mm=390.0, changes={"passage[1].bore": '"20 mm"'})
    assert [trouble.id for trouble in cycle.troubles] == ["passage", "nose-engagement", "pusher-reach"]


def test_a_stated_last_cut_off_asks_less_of_the_pusher() -> None:
    """At 335 mm the pusher reaches a collet that stops 20 mm behind its front limit."""
    assert cycle_with(PIN + 'z_last_cut = "170 mm"\n', at_mm=335.0).clean


def test_a_bar_that_is_too_short_for_the_change_position_strikes_the_pusher() -> None:
    """The last bit of a bar faced at the bar change: the pusher would be in the collet, which stands farther back there."""
    stub = SHORT.replace('"2 m"', '"400 mm"')
    cycle = cycle_with(stub, PIN.replace('"57 mm"', '"30 mm"'))
    assert [trouble.id for trouble in cycle.troubles] == ["pusher-in-collet"]
    assert cycle.troubles[0].step == "feed to the facing position"
    # Tip at 1111 - 400 = 711, collet's back at 110 + 600.
    assert cycle.troubles[0].missing_mm == pytest.approx(1.0)


@pytest.mark.parametrize(
    ("tables", "alarm"),
    [
        ((PIN, '[cycle]\nlongest_remnant = "358 mm"\n'), "remnant-too-long"),
        ((PIN, '[cycle]\ngripped_at_least = "321 mm"\n'), "grip-too-short"),
        ((HUB, '[cycle]\ngripped_at_least = "161 mm"\n'), "grip-too-short"),
        ((PIN, '[cycle]\nejection = "out of the front"\n'), "remnant-not-pushed-out"),
    ],
)
def test_alarms_about_the_end_of_the_bar(tables: tuple[str, ...], alarm: str) -> None:
    """Nothing fails, but the bar's end is not as it should be: 359 mm left, 320 mm and 160 mm ahead of the collet's back."""
    cycle = cycle_with(*tables, changes={"bar_path.insertion": '"0 mm"'})
    assert cycle.clean
    assert cycle.alarms == (alarm,)
    assert alarm in json.loads(cycle_json(cycle_of_placement(placed(*tables))))["parts"][0]["alarms"]


def test_no_alarm_just_inside() -> None:
    """The same limits by a hair wider; a part that is picked off need not be gripped; what is pushed out is not dropped."""
    rules = '[cycle]\nlongest_remnant = "359 mm"\ngripped_at_least = "320 mm"\n'
    assert cycle_with(PIN, rules).alarms == ()
    assert cycle_with(PIN + "picked_off = true\n", '[cycle]\ngripped_at_least = "3 m"\n').alarms == ("remnant-let-go",)
    assert fixed_with(PIN).alarms == ()


def test_the_tightest_moment_is_named() -> None:
    """At 300 mm the chucker mode's nose has 9 mm at the rear limit, and all else has more."""
    cycle = cycle_with(HUB)
    assert cycle.tightest.id == "nose-room"
    assert cycle.tightest.least_mm == pytest.approx(9.0)
    assert cycle.course.travel_mm[cycle.tightest.tightest] == 150.0


def test_all_parts_of_a_job_are_run() -> None:
    """One cycle each, in the file's order."""
    cycles = bar_cycles(placed(PIN, HUB))
    assert [(cycle.part.name, cycle.part.mode.name) for cycle in cycles] == [("pin", "guide-bushing"), ("hub", "chucker")]


def test_the_command(tmp_path: Path) -> None:
    """Text, JSON and exit status for a clean bar, one that does not run through, and one that is no input."""
    job = tmp_path / "pedal.toml"
    job.write_text(text_with(PIN, HUB), encoding="utf-8")
    run = CliRunner().invoke
    clean = run(main, ["cycle", str(job), "--at", "300 mm", "--signals"])
    assert clean.exit_code == 0
    assert "A whole bar runs through: 55 parts" in clean.output
    assert "Signals to test" in clean.output
    alone = run(main, ["cycle", str(job), "--at", "300 mm", "--part", "hub"])
    assert "pin from" not in alone.output
    assert run(main, ["cycle", str(job), "--at", "280 mm"]).exit_code == 1
    assert "does not run through" in run(main, ["cycle", str(job), "--at", "280 mm"]).output
    assert run(main, ["cycle", str(job), "--part", "hob"]).exit_code == 2
    told = json.loads(run(main, ["cycle", str(job), "--json"]).output)
    assert told["format"] == "standoff-cycle/1"
    assert [part["count"] for part in told["parts"]] == [55, 58]


def test_what_cannot_be_made_names_its_line(tmp_path: Path) -> None:
    """All parts that no bar holds, with file and line; a job without parts says what to write."""
    job = tmp_path / "pedal.toml"
    text = text_with(PIN.replace("57 mm", "3500 mm"), HUB.replace("57 mm", "3500 mm"))
    job.write_text(text, encoding="utf-8")
    with pytest.raises(JobFileError) as caught:
        cycle_of_file(job)
    lines = [number for number, line in enumerate(text.splitlines(), start=1) if "3500 mm" in line]
    assert [(p.file, p.line, p.code) for p in caught.value.problems] == [(str(job), line, "part-too-long") for line in lines]
    job.write_text(SLIDING, encoding="utf-8")
    with pytest.raises(JobFileError, match=r"write \[\[parts\]\]"):
        cycle_of_file(job)
    found = json.loads(CliRunner().invoke(main, ["cycle", str(job), "--json"]).output)
    assert found["errors"][0]["field"] == "parts"


def test_parts_by_their_names() -> None:
    """One or all; another is refused with the nearest."""
    answer = cycle_of_placement(placed(PIN, HUB))
    assert part_named(answer, None) == (0, 1)
    assert part_named(answer, "hub") == (1,)
    with pytest.raises(UsageError, match="hub"):
        part_named(answer, "hob")


def test_the_answer_holds_every_moment() -> None:
    """As many values in each list as there are moments; the same bytes twice."""
    answer = cycle_of_placement(placed(PIN))
    part = json.loads(cycle_json(answer))["parts"][0]
    assert {len(values) for values in part["moments"].values()} == {len(answer.cycles[0].course)}
    assert cycle_json(answer) == cycle_json(cycle_of_placement(placed(PIN)))
    assert set(part["slacks"][0]) == {"id", "least_mm", "step", "moment"}


@pytest.mark.parametrize("name", ["axle-cell", "shell-cell", "spoke-nipple-cell"])
def test_demonstration_cells(name: str, tmp_path: Path) -> None:
    """What fits runs through without an alarm; what does not fit fails by the requirements that exclude each other."""
    job = tmp_path / f"{name}.toml"
    job.write_text(text_of(name), encoding="utf-8")
    answer = cycle_of_file(job)
    assert [cycle.alarms for cycle in answer.cycles] == [()] * len(answer.cycles)
    found = {trouble.id for cycle in answer.cycles for trouble in cycle.troubles}
    assert found == ({"nose-room", "pusher-reach"} if name == "spoke-nipple-cell" else set())
    assert not re.search(r"\b(nan|inf|None)\b", cycle_text(answer, part_named(answer, None), signals=True))
