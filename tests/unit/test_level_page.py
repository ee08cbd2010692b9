"""Levelling as a page shows it: what the command says in rows and pictures, what is half told left out, round after round."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from standoff.desk import level_page
from standoff.desk.asked import SHAPING, is_asked, is_needed
from standoff.desk.choices import choices_of
from standoff.desk.level import level_text
from standoff.desk.level_asked import LEVEL_CHOICES, NAMED_IN
from standoff.desk.level_form import begun, last_round, level_form, level_to_go, next_round
from standoff.desk.level_job import level_job
from standoff.desk.level_page import Levels, LevelView, level_view
from standoff.desk.level_rows import GRADE_SIGNS, OUTCOMES, STATES, on_page
from standoff.desk.sheet import Sheet
from standoff.desk.survey import one_field
from standoff.desk.walk import LISTS
from standoff.desk.workbench import Workbench
from standoff.errors import UsageError
from standoff.job.demonstration import text_of
from standoff.job.field import value_at
from standoff.job.file import parse_job, read_tables
from standoff.job.guide import WALKS, walk_of
from standoff.job.keys import keys, table_of
from standoff.job.level_guide import LEVEL_TABLES
from standoff.job.levels import Level, level_of
from standoff.job.placement import Placement, place
from standoff.job.tables import JobFile
from tests.asked import CHANGE, ask, pages, typed
from tests.benches import fresh_bench, saved
from tests.levelling import FOUND, FRAME, IN_FULL, LEVELLED, READ, STILL, round_of, unbracketed
from tests.texts import FIXED, SLIDING, altered

MOVED = LEVELLED + round_of(2, STILL, told='stage = "moved"\nfeet_bear = true\nstandoff = "370 mm"\n')
TIGHTENED = MOVED + round_of(3, STILL, told='stage = "tightened"\n')


def opened(folder: Path, text: str = LEVELLED) -> tuple[Workbench, str]:
    """A workbench with a job of this text."""
    bench = fresh_bench(folder)
    return bench, bench.new_from_text(text, "job.toml")


def view_of(sheet: Sheet, number: int = 0) -> LevelView:
    """The answer part of a job that has a placement."""
    found = level_view(sheet, Levels(), number=number)
    assert found is not None
    return found


def half_told(bench: Workbench, job: str) -> list[tuple[str, str]]:
    """What is left out: under which element, and how it is called."""
    return [(wanted.anchor, wanted.title) for wanted in view_of(bench.sheet(job)).half_told]


def test_every_field_of_every_table_is_walked_once() -> None:
    """The walk has every key of every table of levelling, but for what the floor plan asks of a foot."""
    asked = [step.field for stop in WALKS["level"] for step in stop.steps]
    declared = []
    for table in LEVEL_TABLES:
        listed = table in LISTS
        declared += [f"{table}{'[i]' if listed else ''}.{key}" for key, _, _ in keys(table_of(JobFile, table))]
    of_the_floor = [step.field for stop in WALKS["floor"] for step in stop.steps if step.field.startswith("feet[i].")]
    assert sorted([*asked, *of_the_floor]) == sorted(declared)
    assert {walk_of(table) for table in LEVEL_TABLES} == {"level"}


@pytest.mark.parametrize("text", [LEVELLED, MOVED, TIGHTENED, IN_FULL, text_of("shell-cell")])
def test_the_page_says_what_the_command_says(tmp_path: Path, text: str) -> None:
    """Sentence, height, standoff, tolerances, every figure, every remark: they stand in the command's text, word for word."""
    bench, job = opened(tmp_path, text)
    command = on_page(level_text(level_of(place(parse_job(text))), every_round=True))
    rounds = [link.number for link in view_of(bench.sheet(job)).rounds]
    for number in rounds:
        view = view_of(bench.sheet(job), number)
        one = view.chosen
        lines = (view.spoken, view.height, view.standoff, view.tolerances, *one.readings, *one.mind)
        for line in (view.headline.partition(": ")[2].rstrip("."), *lines):
            assert line in command
        for row in (*one.now, *one.expected):
            for figure in (row.upright, row.sideways):
                assert figure is None or f"{f'{figure.text} {figure.sure}'.strip()}, {figure.sign.word}" in command
        for foot in one.feet:
            assert f"{foot.name}: {foot.way}{f': {foot.shims}' if foot.shims else ''}" in command
        for screw in one.screws:
            assert f"{screw.name}: {screw.way}" in command
    for work in view_of(bench.sheet(job)).work:
        assert f"{work.work}{f' ({work.why})' if work.why else ''}" in command


def test_every_answer_has_a_sign_of_its_own() -> None:
    """No two grades, outcomes or states of work share mark and word; what is bad is told by a mark."""
    for signs in (OUTCOMES, GRADE_SIGNS, STATES):
        assert len({(sign.mark, sign.word) for sign in signs.values()}) == len(signs)
        assert len({sign.word for sign in signs.values()}) == len(signs)
    assert {sign.mark for sign in GRADE_SIGNS.values()} == {"✓", "?", "✗"}


def test_the_round_that_counts_is_the_last_and_the_others_are_one_link_away(tmp_path: Path) -> None:
    """The first round shows its moves; an unknown number shows the last."""
    bench, job = opened(tmp_path, MOVED)
    sheet = bench.sheet(job)
    assert [(link.number, link.chosen) for link in view_of(sheet).rounds] == [(1, False), (2, True)]
    assert [(link.number, link.chosen) for link in view_of(sheet, 1).rounds] == [(1, True), (2, False)]
    assert [row.name for row in view_of(sheet, 1).chosen.feet] == ["front left", "front right", "rear left", "rear right"]
    assert view_of(sheet, 1).spoken == view_of(sheet).spoken
    assert (view_of(sheet, 1).shown, view_of(sheet).shown, view_of(sheet, 2).shown, view_of(sheet, 9).shown) == (1, 0, 0, 0)
    assert view_of(sheet, 9).chosen.number == 2


def test_moves_by_hand_in_picture_and_row(tmp_path: Path) -> None:
    """By hand (`tests.levelling`): front left 0.44 mm down, rear right 0.72 up; both screws 0.72 mm to the right."""
    bench, job = opened(tmp_path)
    one = view_of(bench.sheet(job)).chosen
    assert {row.name: row.way for row in (*one.feet, *one.screws)} == {
        "front left": "down 0.44 mm",
        "front right": "down 0.08 mm",
        "rear left": "up 0.36 mm",
        "rear right": "up 0.72 mm",
        "front screws": "right 0.72 mm",
        "rear screws": "right 0.72 mm",
    }
    assert one.feet[0].travel == "12.00 mm up, 6.00 mm down"
    assert one.feet[1].travel == "not stated"
    assert one.above is not None
    for words in ("down 0.44 mm", "up 0.72 mm", "push right"):
        assert words in one.above.wide
        assert words in one.above.narrow


def test_a_travel_that_does_not_suffice_is_said_at_the_foot(tmp_path: Path) -> None:
    """In the row and in the picture."""
    bench, job = opened(tmp_path, altered(LEVELLED, {"feet[0].down": '"0.4 mm"'}))
    one = view_of(bench.sheet(job)).chosen
    assert one.feet[0].amiss == "0.04 mm beyond its travel"
    assert one.above is not None
    assert "0.04 mm beyond its travel" in re.sub(r"</text>\n<text[^>]*>", " ", one.above.wide)


def test_in_line_nothing_is_moved(tmp_path: Path) -> None:
    """The demonstration in line: no moves, no expectation, the frame with its names, the next task marked."""
    bench, job = opened(tmp_path, text_of("shell-cell"))
    view = view_of(bench.sheet(job))
    assert (view.sign.mark, view.sign.word) == ("✓", "In line")
    assert view.chosen.feet == view.chosen.screws == view.chosen.expected == ()
    assert view.chosen.above is not None
    assert "raise this foot" not in view.chosen.above.wide
    assert [row.work for row in view.work if row.sign.word == "next"] == [view.spoken.partition("Next: ")[2]]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (SLIDING, "Nothing is read yet"),
        (SLIDING + FRAME, "Nothing is read yet"),
        (LEVELLED.replace('[[levels]]\nway = "across"\nreading = "0.6 mm/m"\nturned = "-0.4 mm/m"\n', ""), "lay a level across"),
        (
            SLIDING + FOUND + unbracketed(READ),
            "Say where the feet stand, and each one's move is told.",
        ),
    ],
)
def test_what_is_not_told_says_what_to_do(tmp_path: Path, text: str, words: str) -> None:
    """Without readings, without a level, without feet: the sentence says what to do, in words of the page."""
    bench, job = opened(tmp_path, text)
    view = view_of(bench.sheet(job))
    assert words in view.spoken
    assert (view.chosen.above is not None) is ("[[feet]]" in text)
    told = " ".join([view.spoken, view.headline, view.standoff, *view.chosen.mind, *view.chosen.readings, view.chosen.lacking])
    assert "[[" not in told


def test_the_roll_is_never_guessed(tmp_path: Path) -> None:
    """Without a level: not told, no figure, no move."""
    bench, job = opened(tmp_path)
    bench.remove(job, "levels[0]", 1)
    view = view_of(bench.sheet(job))
    assert view.sign.word == "Not told yet"
    assert view.chosen.now == view.chosen.feet == ()
    assert "lay a level across" in view.chosen.lacking


def test_centre_height_that_the_survey_lacks_leads_there(tmp_path: Path) -> None:
    """Said in words of the page; with both it is judged."""
    app, bench = pages(tmp_path)
    job = bench.new_from_text(altered(LEVELLED, {"loader.centre_height": None}), "job.toml")
    view = view_of(bench.sheet(job))
    assert view.height.startswith("Centre height: not checked, for the survey lacks")
    assert f"/jobs/{job}/survey#f-lathe-centre-height-box" in ask(app, f"/jobs/{job}/level").text
    other = bench.new_from_text(LEVELLED, "job.toml")
    assert view_of(bench.sheet(other)).height.endswith("within.")


def test_a_row_that_is_half_told_is_left_out_and_named(tmp_path: Path) -> None:
    """Round 2 is being read: its sweep lacks three figures; round 1 stands, and each missing figure leads to its field."""
    bench, job = opened(tmp_path)
    before = view_of(bench.sheet(job)).chosen
    sheet = bench.add(job, "sweeps", bench.sheet(job).number)
    for field, text in (("round", "2"), ("surface", "bore"), ("behind_clamp", "0 mm"), ("top", "0.2 mm")):
        sheet = saved(bench, job, f"sweeps[2].{field}", text)
    assert sheet.job is not None
    assert not sheet.job.tables.sweeps
    view = view_of(sheet)
    assert view.chosen.feet == before.feet
    assert [link.number for link in view.rounds] == [1]
    assert half_told(bench, job) == [
        ("f-sweeps-2-left-box", "At the left (sweep 3)"),
        ("f-sweeps-2-bottom-box", "At the bottom (sweep 3)"),
        ("f-sweeps-2-right-box", "At the right (sweep 3)"),
    ]
    for key in ("left", "bottom", "right"):
        saved(bench, job, f"sweeps[2].{key}", "0 mm")
    assert half_told(bench, job) == []
    assert [link.number for link in view_of(bench.sheet(job)).rounds] == [1, 2]


def test_what_is_hardly_meant_is_asked_about_under_its_field(tmp_path: Path) -> None:
    """Inches for millimetres behind a row that is left out: the question leads to the field as the page counts it."""
    bench, job = opened(tmp_path)
    assert view_of(bench.sheet(job)).asked == ()
    sheet = saved(bench, job, "sweeps[1].bottom", "3.00 in")
    asked = view_of(sheet).asked
    assert [(wanted.anchor, wanted.title) for wanted in asked] == [
        ("f-sweeps-1-bottom-box", "At the bottom (channel bore)"),
        ("level-moves", "the moves"),
    ]
    assert asked[0].why == "3.00 in is unusual (up to 10.00 mm is usual). Check it and its unit."
    asked = view_of(saved(bench, job, "sweeps[0].left", "")).asked
    assert [wanted.anchor for wanted in asked] == ["f-sweeps-1-bottom-box"]


def test_rows_behind_a_half_told_one_keep_their_names(tmp_path: Path) -> None:
    """The first of three sweeps is half told, the third has a bracket that is not there: each problem names its own row."""
    bench, job = opened(tmp_path, LEVELLED + READ.partition("[[sweeps]]")[2].join(("[[sweeps]]", "")).replace("round = 1", ""))
    saved(bench, job, "sweeps[0].top", "")
    sheet = saved(bench, job, "sweeps[2].right", "")
    found = level_job(sheet)
    assert found is not None
    assert [problem.field for problem in found.problems] == ["sweeps[0].top", "sweeps[2].right"]
    assert found.rows["sweeps"] == (1, 3)
    assert [sweep.name for sweep in found.job.tables.sweeps] == ["channel bore", "channel bore"]


def test_a_suspect_is_named_by_its_place_in_the_whole_job(tmp_path: Path) -> None:
    """Behind a half-told sweep the wrong one is still the fourth: its group on the page is called so."""
    wrong = READ.partition("[[sweeps]]")[2].replace('"0.70 mm"', '"2.70 mm"', 1)
    four = "".join(f'{side} = "0 mm"\n' for side in ("top", "left", "bottom", "right"))
    between = f'[[sweeps]]\nsurface = "bore"\nbehind_clamp = "900 mm"\n{four}'
    bench, job = opened(tmp_path, f"{LEVELLED}\n{between}\n[[sweeps]]{wrong}")
    sheet = saved(bench, job, "sweeps[2].right", "")
    assert len(value_at(sheet.raw, "sweeps")) == 5
    told = " ".join(view_of(sheet).chosen.readings)
    assert "clamp bore (4), height" in told
    assert "clamp bore (3)" not in told


def test_two_feet_are_not_a_frame(tmp_path: Path) -> None:
    """The list is left out as a whole, and says how many there must be; the axis is told all the same."""
    bench, job = opened(tmp_path)
    for foot in ("feet[3]", "feet[2]"):
        bench.remove(job, foot, bench.sheet(job).number)
    view = view_of(bench.sheet(job))
    assert view.chosen.now
    assert view.chosen.above is None
    assert any(wanted.anchor == "stop-frame" for wanted in view.half_told)


def test_what_waits_keeps_the_last_value_that_was_right(tmp_path: Path) -> None:
    """A figure without a unit waits beside its reason; the answer is that of before."""
    bench, job = opened(tmp_path)
    before = view_of(bench.sheet(job))
    sheet = saved(bench, job, "sweeps[0].top", "0.3")
    assert "sweeps[0].top" in sheet.pending
    assert view_of(sheet).chosen.feet == before.chosen.feet


def test_without_a_placement_there_is_no_answer(tmp_path: Path) -> None:
    """The page says what the survey still wants."""
    app, bench = pages(tmp_path)
    job = bench.new_blank("Empty cell", "in", "sliding")
    assert level_view(bench.sheet(job), Levels()) is None
    assert "There is no answer yet: the placement comes first" in ask(app, f"/jobs/{job}/level").text


def test_what_is_refused_is_said(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A refusal becomes a sentence on the page, not a fault."""
    app, bench = pages(tmp_path)
    job = bench.new_from_text(LEVELLED, "job.toml")

    def refusing(_: Placement) -> Level:
        raise UsageError(what="feet", given="in one line", allowed="feet on both sides", action="measure them")

    monkeypatch.setattr(level_page, "level_of", refusing)
    text = ask(app, f"/jobs/{job}/level").text
    assert "It cannot be worked out" in text
    assert "in one line" in text


def test_the_answer_is_worked_out_once_for_a_revision(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Looked at twice it is computed once; after a change, anew."""
    bench, job = opened(tmp_path)
    counted: list[Placement] = []

    def counting(placement: Placement) -> Level:
        counted.append(placement)
        return level_of(placement)

    monkeypatch.setattr(level_page, "level_of", counting)
    levels = Levels()
    for number in (0, 1, 0):
        level_view(bench.sheet(job), levels, number=number)
    assert len(counted) == 1
    level_view(saved(bench, job, "sweeps[0].top", "0.02 mm"), levels)
    assert len(counted) == 2


def test_tightening_is_shown_with_the_last_round(tmp_path: Path) -> None:
    """Nothing changed: 0 at every place, and no more than the readings are unsure."""
    bench, job = opened(tmp_path, TIGHTENED)
    view = view_of(bench.sheet(job))
    assert [row.name for row in view.tightened] == [row.name for row in view.chosen.now if row.name != "roll"]
    assert all(row.upright.text.startswith("0.00 mm") and "no more than" in row.upright.sure for row in view.tightened)
    assert view_of(bench.sheet(job), 1).tightened == ()


# The fields, round by round


def shown(sheet: Sheet) -> list[tuple[str, str, bool]]:
    """Every stop: its id, its title, whether it is folded."""
    return [(place.stop.id, place.stop.title, place.folded) for place in level_form(sheet).places]


def test_readings_stand_round_by_round_the_last_one_open(tmp_path: Path) -> None:
    """The last round is where readings are added; earlier ones, and what is settled, are folded."""
    bench, job = opened(tmp_path, MOVED)
    assert shown(bench.sheet(job)) == [
        ("frame", "Feet and side screws", True),
        ("instruments", "Instruments", True),
        ("readings", "Readings of round 2", False),
        ("readings-1", "Readings of round 1", True),
        ("rounds", "What was done", False),
        ("tolerances", "Tolerances", True),
    ]
    places = {place.stop.id: place for place in level_form(bench.sheet(job)).places}
    assert [group.element for group in places["readings"].groups if group.element] == ["levels[1]", "sweeps[2]", "sweeps[3]"]
    assert [group.add for group in places["readings"].groups if group.add] == ["levels", "sweeps", "line_readings"]
    assert [group.element for group in places["readings-1"].groups] == ["levels[0]", "sweeps[0]", "sweeps[1]"]
    assert [group.title for group in places["rounds"].groups] == ["Round 1", "Round 2", "Add a round"]
    assert {group.layout for group in places["readings"].groups if group.element.startswith("sweeps")} == {"dial"}
    fields = [field.field for place in level_form(bench.sheet(job)).places for field in place.fields]
    assert len(fields) == len(set(fields))


def test_what_is_amiss_is_not_folded_away(tmp_path: Path) -> None:
    """A foot that waits or lacks a figure opens its stop; before any reading everything is open."""
    bench, job = opened(tmp_path, MOVED)
    for text, folded in (("36", False), ("-360 mm", True), ("", False)):
        states = {stop: is_folded for stop, _, is_folded in shown(saved(bench, job, "feet[1].left", text))}
        assert states["frame"] is folded
    new = bench.new_from_text(SLIDING, "job.toml")
    assert not any(folded for _, _, folded in shown(bench.sheet(new)))


def test_the_next_round_has_the_places_of_the_last_and_nothing_read(tmp_path: Path) -> None:
    """Same surfaces, stations, brackets and lines; the figures are to be read; it is marked as after moving."""
    bench, job = opened(tmp_path, IN_FULL.replace('[[level_rounds]]\nround = 2\nstage = "moved"\n', ""))
    sheet = bench.save_all(job, next_round(bench.sheet(job)), "next round")
    assert last_round(sheet) == 2
    raw = read_tables(sheet.text)
    assert isinstance(raw, dict)
    assert raw["level_rounds"][1] == {"round": 2, "stage": "moved"}
    assert raw["levels"][1] == {"round": 2, "way": "across"}
    first, again = raw["sweeps"][0], raw["sweeps"][2]
    assert again == {"round": 2, **{key: first[key] for key in ("name", "surface", "behind_clamp", "bracket")}}
    assert raw["line_readings"][1] == {"round": 2, "line": "wire", "behind_clamp": "4400 mm"}
    assert len(raw["sweeps"]) == 4
    # Everything of round 1 still answers, and what is to be read is named.
    view = view_of(sheet)
    assert view.chosen.number in (1, 2)
    assert {link.number for link in view.rounds} >= {1}
    assert "f-sweeps-2-top-box" in {wanted.anchor for wanted in view.half_told}
    assert level_to_go(sheet) > 8


def test_the_next_round_is_begun_once(tmp_path: Path) -> None:
    """The button pressed twice on the same page begins one round; pressed on the new page it begins another."""
    app, bench = pages(tmp_path)
    job = bench.new_from_text(LEVELLED, "job.toml")
    for _ in range(2):
        answer = ask(app, f"/jobs/{job}/level/round", method="POST", headers=CHANGE, form={"base": "1", "stage": "moved"})
        assert (answer.status, answer.headers["location"]) == (303, f"/jobs/{job}/level#stop-readings")
    assert last_round(bench.sheet(job)) == 2
    form = {"base": f"{bench.sheet(job).number}", "stage": "tightened"}
    ask(app, f"/jobs/{job}/level/round", method="POST", headers=CHANGE, form=form)
    assert last_round(bench.sheet(job)) == 3
    assert value_at(bench.sheet(job).raw, "level_rounds[2].stage") == "tightened"
    wrong = {"base": f"{bench.sheet(job).number}", "stage": "painted"}
    refused = ask(app, f"/jobs/{job}/level/round", method="POST", headers=CHANGE, form=wrong)
    assert (refused.status, last_round(bench.sheet(job))) == (422, 3)
    assert "moved or tightened" in refused.text


def test_a_reading_that_is_added_belongs_to_the_last_round(tmp_path: Path) -> None:
    """Added while round 2 is read it is of round 2; in round 1 nothing needs to be said, and a foot has no round."""
    app, bench = pages(tmp_path)
    job = bench.new_from_text(MOVED, "job.toml")
    ask(app, f"/jobs/{job}/add?stop=readings", method="POST", headers=CHANGE, form={"table": "sweeps"})
    assert value_at(bench.sheet(job).raw, "sweeps[4].round") == 2
    assert begun(bench.sheet(job), "feet") == {}
    first = bench.new_from_text(LEVELLED, "job.toml")
    ask(app, f"/jobs/{first}/add?stop=readings", method="POST", headers=CHANGE, form={"table": "levels"})
    assert value_at(bench.sheet(first).raw, "levels[1]") == {}


def test_a_direction_in_words_is_the_sign(tmp_path: Path) -> None:
    """An indicator that is let out is negative; it comes back as a figure with its words, at the same magnitude."""
    app, bench = pages(tmp_path)
    job = bench.new_from_text(LEVELLED, "job.toml")
    answer = typed(app, job, "sweeps[0].top", "0.03 mm", way="1")
    assert value_at(bench.sheet(job).raw, "sweeps[0].top") == {"value": "-0.03 mm", "source": "tape"}
    assert re.search(r'<option value="1" selected>plunger let out</option>', answer.text)
    assert 'value="0.03 mm"' in answer.text
    typed(app, job, "levels[0].turned", "0.2 mm/m", base=2, way="1")
    assert value_at(bench.sheet(job).raw, "levels[0].turned") == "-0.2 mm/m"


@pytest.mark.parametrize(
    ("field", "changes", "asked"),
    [
        ("sweeps[0].behind_clamp", {}, True),
        ("sweeps[0].circle", {}, False),
        ("sweeps[0].circle", {"sweeps[0].surface": '"face"', "sweeps[0].behind_clamp": None}, True),
        ("sweeps[0].behind_clamp", {"sweeps[0].surface": '"face"', "sweeps[0].behind_clamp": None}, False),
        ("sweeps[0].bracket", {"sweeps[0].surface": '"face"', "sweeps[0].bracket": None}, False),
        ("sweeps[0].headstock", {}, True),
        ("sweeps[0].loader", {}, True),
        ("sweeps[0].loader", {"lathe.modes[1].loader_shift": None}, False),
        ("sweeps[0].mode", {}, True),
        ("levels[0].turned", {}, True),
        ("levels[0].spindle", {}, False),
        ("levels[0].spindle", {"levels[0].way": '"along"'}, True),
        ("reference_lines[0].rear_end", {}, True),
        ("reference_lines[0].rear_end", {"reference_lines[0].kind": '"laser"', "reference_lines[0].rear_end": None}, False),
        ("reference_lines[0].tension", {}, False),
        ("reference_lines[0].sag", {}, False),
        ("reference_lines[0].tension", {"reference_lines[0].note": None}, True),
        ("reference_lines[0].wire_diameter", {"reference_lines[0].note": None}, False),
        ("reference_lines[0].wire_diameter", {"reference_lines[0].note": None, "reference_lines[0].tension": '"200 N"'}, True),
    ],
)
def test_what_a_row_asks_for(field: str, changes: dict[str, str | None], asked: bool) -> None:
    """Only what its kind, the machines and the other fields call for."""
    raw = read_tables(altered(IN_FULL, changes))
    assert isinstance(raw, dict)
    assert is_asked(field, raw) is asked


def test_a_fixed_headstock_is_not_asked_where_it_stood() -> None:
    """Neither headstock, nor loader, nor mode."""
    raw = read_tables(FIXED + FRAME + FOUND + READ)
    assert isinstance(raw, dict)
    assert not any(is_asked(f"sweeps[0].{key}", raw) for key in ("headstock", "loader", "mode"))
    without = read_tables(FIXED + FOUND + unbracketed(READ))
    assert isinstance(without, dict)
    assert not is_asked("sweeps[0].bracket", without)
    assert is_needed("sweeps[0].behind_clamp", raw)
    assert not is_needed("sweeps[0].within", raw)


def test_what_is_chosen_is_chosen_from_what_there_is() -> None:
    """Every choice in words is one of the declared ones; brackets, lines and modes are those of the job."""
    raw = read_tables(IN_FULL)
    assert isinstance(raw, dict)
    assert choices_of("sweeps[1].bracket", raw) == (("long bracket", "long bracket"), ("short bracket", "short bracket"))
    assert choices_of("line_readings[0].line", raw) == (("wire", "wire"),)
    assert [value for value, _ in choices_of("sweeps[0].mode", raw)] == [mode["name"] for mode in raw["lathe"]["modes"]]
    assert set(NAMED_IN.values()) <= set(LISTS)
    for pattern, choices in LEVEL_CHOICES.items():
        table, _, key = pattern.partition("[i].")
        annotation = str(table_of(JobFile, table).model_fields[key].annotation)
        for value, words in choices:
            assert words
            assert value in ("true", "false") or f"'{value}'" in annotation, pattern


def test_a_round_number_is_a_figure_without_a_source(tmp_path: Path) -> None:
    """Nobody asks what a count was read with."""
    bench, job = opened(tmp_path, MOVED)
    assert one_field(bench.sheet(job), "sweeps[2].round").kind == "figure"
    for field in ("sweeps[2].round", "sweeps[2].surface", "feet[0].name", "reference_lines[0].kind", "level_rounds[0].round"):
        assert SHAPING.fullmatch(field), field
    assert not SHAPING.fullmatch("sweeps[2].top")


def test_the_page_in_its_states(tmp_path: Path) -> None:
    """Each part is there where it has something to say, and no part where it has not."""
    app, bench = pages(tmp_path)
    told = {}
    for name, text in {"bare": SLIDING, "found": LEVELLED, "moved": MOVED, "tight": TIGHTENED}.items():
        told[name] = ask(app, f"/jobs/{bench.new_from_text(text, 'job.toml')}/level").text
    assert 'id="level-moves"' not in told["bare"]
    assert 'id="level-axis"' not in told["bare"]
    assert "29 CFR 1910.147" in told["bare"]
    for part in ("level-above", "level-moves", "level-axis", "level-expected", "level-side", "level-order", "level-cautions"):
        assert f'id="{part}"' in told["found"], part
    assert 'id="level-tightened"' not in told["moved"]
    assert 'id="level-tightened"' in told["tight"]
    assert 'aria-label="Round shown"' not in told["found"]
    assert 'aria-label="Round shown"' in told["moved"]
    for text in told.values():
        assert "[[" not in text
        assert "style=" not in text


def test_the_answer_alone(tmp_path: Path) -> None:
    """What the script fetches after a field was saved: the same part, of the round that is shown."""
    app, bench = pages(tmp_path)
    job = bench.new_from_text(MOVED, "job.toml")
    text = ask(app, f"/jobs/{job}/level/answer?shown=1").text
    assert text.strip().startswith('<div id="level-answer"')
    assert 'data-shown="1"' in text
    assert "What counts now is" in text
    assert 'data-shown="0"' in ask(app, f"/jobs/{job}/level/answer?shown=0").text


def test_a_new_job_from_this_one_has_its_feet_and_not_its_readings(tmp_path: Path) -> None:
    """What was read belongs to one pair as it stands; feet, brackets and tolerances go along."""
    bench, job = opened(tmp_path, IN_FULL)
    saved(bench, job, "sweeps[0].top", "0.3")
    new = bench.sheet(bench.new_from(job, "Sister cell"))
    assert len(value_at(new.raw, "feet")) == 4
    assert value_at(new.raw, "brackets[0].name") == "long bracket"
    assert not any(table in new.raw for table in ("levels", "sweeps", "line_readings", "level_rounds"))
    assert not new.pending
    assert "Nothing is read yet" in view_of(new).spoken
