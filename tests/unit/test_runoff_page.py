"""The page Run-off: taps counted once and never lost, what it says is what the command says, and how it writes its tally back."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import timedelta
from pathlib import Path

import pytest

from standoff.desk.runoff import runoff_of_job
from standoff.desk.runoff_file import file_with_tally
from standoff.desk.runoff_page import RunoffView, runoff_to_go, runoff_view
from standoff.desk.runoff_taps import NotCounted, Tap, count_tap, tap_of
from standoff.desk.workbench import Workbench
from standoff.job.demonstration import text_of
from standoff.job.file import parse_job
from standoff.job.runoff_log import BAR, MEASURED, SIGNAL, UNDO
from standoff.job.runoff_speech import headline
from tests.asked import CHANGE, Answer, ask, pages
from tests.benches import START_UTC, fresh_bench, saved
from tests.runoffs import RUNOFF

AXLE = text_of("axle-cell")
SCRIPT = {**CHANGE, "x-standoff-tap": "1"}


def begun(folder: Path, text: str = RUNOFF) -> tuple[Workbench, str]:
    """A workbench with one job: a run of pins with one clean bar in the file, and a run of hubs without one."""
    bench = fresh_bench(folder)
    return bench, bench.new_from_text(text, "")


def tapped(bench: Workbench, job: str, kind: str, key: str, **contents: str | bool) -> str:
    """Count a tap; why it was not counted, empty where it was."""
    outcome = count_tap(bench, job, Tap(key, kind, contents))
    return outcome.why if isinstance(outcome, NotCounted) else ""


def a_bar(bench: Workbench, job: str, key: str, run: str = "pins", **more: str) -> None:
    """Tap a bar, which must be counted."""
    assert tapped(bench, job, BAR, key, run=run, **more) == ""


def seen(bench: Workbench, job: str, **asked: str) -> RunoffView:
    """The page as it stands."""
    view = runoff_view(bench.sheet(job), bench.logged(job), **asked)
    assert view is not None
    return view


def test_a_tap_counts_once_however_often_it_is_sent(tmp_path: Path) -> None:
    """Five times the same key is one bar; another kind under that key is refused, not counted."""
    bench, job = begun(tmp_path)
    for _ in range(5):
        a_bar(bench, job, "k1")
    assert len(bench.logged(job)) == 1
    assert "key of another one" in tapped(bench, job, UNDO, "k1", bar="k1")
    assert len(bench.logged(job)) == 1


def test_taps_stand_beside_the_bars_of_the_file(tmp_path: Path) -> None:
    """One clean bar in the file, two tapped: three in a row, the run has passed; the other run is still open."""
    bench, job = begun(tmp_path)
    a_bar(bench, job, "k1")
    assert seen(bench, job).runs[0].sign.word == "Not decided yet"
    a_bar(bench, job, "k2")
    view = seen(bench, job)
    assert [run.sign.word for run in view.runs] == ["Passed", "Not decided yet"]
    assert (view.sign.word, view.lines) == ("Not decided yet", 2)
    assert [(bar.number, bar.run, bar.word, bar.tapped) for bar in view.bars] == [
        (3, "pins", "clean", True),
        (2, "pins", "clean", True),
        (1, "pins", "clean", False),
    ]
    assert view.measured is not None
    assert view.measured.key == "k2"


def test_a_run_too_fast_for_its_bar_is_told_as_soon_as_it_is_typed(tmp_path: Path) -> None:
    """The whip limit is kept for the text it was found for: another speed, or a smaller share of it, is judged anew."""
    bench, job = begun(tmp_path, AXLE)
    assert not [note for note in seen(bench, job).notes if "whip" in note]
    saved(bench, job, "runoff_runs[1].speed", "950 rpm")
    assert [note for note in seen(bench, job).notes if "whip" in note] == [
        "Brake pivot: 950 rpm is above the whip limit of 1 in aluminium in chucker mode, 920 rpm: see bar speed"
    ]
    saved(bench, job, "bar_rules.whip_share", "0.4")
    assert any("in chucker mode, 760 rpm" in note for note in seen(bench, job).notes)


def test_the_page_says_what_the_command_says(tmp_path: Path) -> None:
    """The sentence of the page, with what passing shows, is the command's of the same bars; after a failure it stands alone."""
    bench, job = begun(tmp_path)
    for number, stop in enumerate(("", "bar", "")):
        a_bar(bench, job, f"k{number}", **({"stop": stop} if stop else {}))
    view = seen(bench, job)
    told = headline(runoff_of_job(parse_job(file_with_tally(bench.sheet(job), bench.logged(job)))))
    assert f"{view.spoken} {view.shows}" == told
    assert "confidence" in view.shows
    a_bar(bench, job, "k8", stop="loader")
    view = seen(bench, job)
    assert (view.sign.word, view.shows) == ("Not passed", "")
    assert view.spoken.startswith("Not passed: ")


def test_a_bar_taken_back_stays_in_sight_and_comes_back(tmp_path: Path) -> None:
    """It no longer counts, is listed without a number, and can be brought back; nothing is deleted."""
    bench, job = begun(tmp_path)
    a_bar(bench, job, "k1", stop="tool")
    assert tapped(bench, job, UNDO, "u1", bar="k1") == ""
    view = seen(bench, job)
    assert [(bar.number, bar.word) for bar in view.bars] == [(0, "taken back (stopped by the tool)"), (1, "clean")]
    assert view.stops == ()
    assert view.measured is not None
    assert view.measured.key == "a"
    assert tapped(bench, job, UNDO, "u2", bar="k1", back=True) == ""
    assert [bar.word for bar in seen(bench, job).bars] == ["stopped by the tool", "clean"]
    assert len(bench.logged(job)) == 3


def test_what_is_measured_belongs_to_its_bar(tmp_path: Path) -> None:
    """Field by field, also corrected and taken back, also of a bar that stands in the file; the chart follows."""
    bench, job = begun(tmp_path)
    a_bar(bench, job, "k1")
    for number, (key, values) in enumerate(
        (
            ("k1", {"remnant": "362 mm"}),
            ("k1", {"change": "51 s"}),
            ("k1", {"remnant": "361 mm"}),
            ("a", {"note": "first of all"}),
            ("k1", {"first_part": "57.01 mm"}),
            ("k1", {"first_part": ""}),
        )
    ):
        assert tapped(bench, job, MEASURED, f"m{number}", bar=key, **values) == ""
    view = seen(bench, job)
    assert {f.field: f.text for f in view.bars[0].measured} == {"remnant": "361 mm", "change": "51 s"}
    assert view.bars[1].measured[-1].text == "first of all"
    chart = view.runs[0].chart
    assert chart is not None
    assert "bar 1 360.0 mm, bar 2 361.0 mm" in chart.wide
    assert seen(bench, job, bar="a").measured == seen(bench, job).bars[1]
    assert seen(bench, job, bar="nobody").measured == view.measured


WRONG: tuple[tuple[str, Mapping[str, str], str], ...] = (
    (BAR, {"run": "bolts"}, "a run that was agreed"),
    (BAR, {}, "which run it was"),
    (BAR, {"run": "pins", "stop": "weather"}, "one of"),
    (BAR, {"run": "pins", "at": "yesterday"}, "Time of the tap"),
    (BAR, {"run": "pins", "at": "2031-01-01T00:00:00Z"}, "set the clock"),
    (BAR, {"run": "pins", "remnant": "360 in"}, "shorter than its bar"),
    (MEASURED, {"bar": "nobody", "remnant": "360 mm"}, "choose the bar"),
    (MEASURED, {"bar": "a", "remnant": "360"}, "without a unit"),
    (MEASURED, {"bar": "a", "remnant": "-3 mm"}, "0 or more"),
    (MEASURED, {"bar": "a", "remnant": "1,200 mm"}, "1200"),
    (MEASURED, {"bar": "a", "change": "0 s"}, "more than 0"),
    (UNDO, {"bar": "nobody"}, "choose the bar"),
    (SIGNAL, {"row": "lathe-dor", "result": "ok"}, "lathe-door"),
    (SIGNAL, {"row": "lathe-door", "result": "fine"}, "one of"),
    ("runoff-coffee", {}, "one of"),
)


@pytest.mark.parametrize(("kind", "contents", "why"), WRONG)
def test_a_wrong_tap_is_refused_with_its_reason(tmp_path: Path, kind: str, contents: dict[str, str], why: str) -> None:
    """Unknown run, no run, no such cause, a time of the future, lengths that cannot be: nothing is logged, all else stands."""
    bench, job = begun(tmp_path)
    before = seen(bench, job)
    outcome = count_tap(bench, job, Tap("k1", kind, contents))
    assert isinstance(outcome, NotCounted)
    assert why in outcome.why
    assert not outcome.waits
    assert bench.logged(job) == ()
    assert seen(bench, job) == before


def test_a_tablet_whose_clock_is_a_little_ahead_is_believed(tmp_path: Path) -> None:
    """Three minutes are no reason to refuse; a tap without a time, from a plain form, gets ours."""
    bench, job = begun(tmp_path)
    ahead = (START_UTC + timedelta(minutes=3)).isoformat().replace("+00:00", "Z")
    a_bar(bench, job, "k1", at=ahead)
    a_bar(bench, job, "k2")
    assert str(bench.logged(job)[1].contents["at"]).startswith("2026-05-04T07:30:")


def test_taps_that_arrive_late_take_their_place_by_their_time(tmp_path: Path) -> None:
    """Two devices: the bar that stopped earlier arrives last and still stands before the clean one."""
    bench, job = begun(tmp_path)
    a_bar(bench, job, "late", at="2026-05-04T07:20:00Z")
    a_bar(bench, job, "early", at="2026-05-04T07:10:00Z", stop="bar")
    assert [bar.key for bar in seen(bench, job).bars] == ["late", "early", "a"]


def test_while_the_plan_is_being_changed_taps_wait(tmp_path: Path) -> None:
    """A run without a name or a survey with a hole: the tap is not refused but told to wait, and counts afterwards."""
    bench, job = begun(tmp_path)
    head = bench.add(job, "runoff_runs", bench.sheet(job).number)
    outcome = count_tap(bench, job, Tap("k1", BAR, {"run": "pins"}))
    assert isinstance(outcome, NotCounted)
    assert outcome.waits
    view = seen(bench, job)
    assert [one.title for one in view.wanted] != []
    assert runoff_to_go(head) == 1
    bench.remove(job, "runoff_runs[2]", head.number)
    assert tapped(bench, job, BAR, "k1", run="pins") == ""
    saved(bench, job, "loader.pusher_reach", "")
    outcome = count_tap(bench, job, Tap("k2", BAR, {"run": "pins"}))
    assert isinstance(outcome, NotCounted)
    assert outcome.waits
    assert runoff_view(bench.sheet(job), bench.logged(job)) is None


def test_a_tap_whose_run_was_renamed_is_told_and_not_lost(tmp_path: Path) -> None:
    """The bar is left out with the reason, and is back as soon as the run has its name again."""
    bench, job = begun(tmp_path)
    a_bar(bench, job, "k1", run="hubs")
    saved(bench, job, "runoff_runs[1].name", "discs")
    view = seen(bench, job)
    assert any("left out" in note and "hubs" in note for note in view.notes)
    assert [bar.key for bar in view.bars] == ["a"]
    saved(bench, job, "runoff_runs[1].name", "hubs")
    assert [bar.key for bar in seen(bench, job).bars] == ["k1", "a"]


def test_the_signal_sheet_keeps_the_last_result(tmp_path: Path) -> None:
    """Not ok, then ok: the last one stands, with its note; the row of the file stands as it is."""
    bench, job = begun(tmp_path)
    assert tapped(bench, job, SIGNAL, "s1", row="lathe-stop", result="not ok", note="lathe goes on") == ""
    lines = {line.standing.row.id: line for line in seen(bench, job).signals}
    assert (lines["lathe-stop"].mark, lines["lathe-stop"].kind) == ("✗ not ok", "clash")
    assert seen(bench, job).sign.word == "Not passed"
    assert tapped(bench, job, SIGNAL, "s2", row="lathe-stop", result="ok", by="installer") == ""
    lines = {line.standing.row.id: line for line in seen(bench, job).signals}
    assert (lines["lathe-stop"].mark, lines["lathe-stop"].standing.by) == ("✓ ok", "installer")
    assert lines["lathe-door"].mark == "✓ ok"
    assert lines["loader-stop"].mark == "– not tested yet"


def test_the_chosen_run_is_the_one_tapped_last(tmp_path: Path) -> None:
    """Else the first; one asked for goes before both."""
    bench, job = begun(tmp_path)
    assert [one.name for one in seen(bench, job).names if one.chosen] == ["pins"]
    a_bar(bench, job, "k1", run="hubs")
    assert [one.name for one in seen(bench, job).names if one.chosen] == ["hubs"]
    assert [one.name for one in seen(bench, job, run="pins").names if one.chosen] == ["pins"]


def test_the_file_with_the_tally_says_the_same(tmp_path: Path) -> None:
    """Bars, measurements and signals of the log stand in the file, those taken back as such; judged anew, nothing differs."""
    bench, job = begun(tmp_path)
    for number, stop in enumerate(("", "tool", "", "", "")):
        a_bar(bench, job, f"k{number}", **({"stop": stop} if stop else {}))
    tapped(bench, job, MEASURED, "m1", bar="k2", remnant="361 mm")
    tapped(bench, job, MEASURED, "m2", bar="a", note="of the file")
    tapped(bench, job, UNDO, "u1", bar="k0")
    tapped(bench, job, SIGNAL, "s1", row="lathe-stop", result="ok", note='he said "stop"')
    text = file_with_tally(bench.sheet(job), bench.logged(job))
    again = parse_job(text)
    assert [bar.key for bar in again.tables.runoff_bars] == ["a", "k0", "k1", "k2", "k3", "k4"]
    assert [bar.key for bar in again.tables.runoff_bars if bar.taken_back] == ["k0"]
    assert again.tables.runoff_bars[0].note == "of the file"
    assert again.tables.runoff_signals[-1].note == 'he said "stop"'
    other = bench.new_from_text(text, "")
    here, there = seen(bench, job), seen(bench, other)
    assert (here.spoken, here.shows, here.runs) == (there.spoken, there.shows, there.runs)
    assert [line.mark for line in here.signals] == [line.mark for line in there.signals]
    # Written back without a tap, a file is as it was, comments and all.
    plain = bench.new_from_text(AXLE, "")
    assert file_with_tally(bench.sheet(plain), bench.logged(plain)) == AXLE
    blank = bench.new_blank("New cell", "in", "sliding")
    assert file_with_tally(bench.sheet(blank), ()) == bench.sheet(blank).text


def test_new_from_this_begins_with_an_empty_tally(tmp_path: Path) -> None:
    """The plan is taken over, the bars of the other cell are not."""
    bench, job = begun(tmp_path, AXLE)
    a_bar(bench, job, "k1", run="hub axle")
    new = bench.new_from(job, "Second cell")
    view = seen(bench, new)
    assert (view.bars, view.lines) == ((), 0)
    assert [run.name for run in view.runs] == ["hub axle", "brake pivot"]


def test_a_job_without_parts_can_be_run_off_all_the_same(tmp_path: Path) -> None:
    """Each mode is a run then, the plan is ours, and there is no signal sheet yet."""
    bench, job = begun(tmp_path, text_of("spacer-cell"))
    view = seen(bench, job)
    assert len(view.names) == len(view.runs) >= 1
    assert any("default" in line for proof in view.proofs for line in proof.told)
    assert view.signals == ()
    a_bar(bench, job, "k1", run=view.names[0].name)
    assert seen(bench, job).bars[0].word == "clean"


def test_many_bars_are_listed_up_to_a_page_full(tmp_path: Path) -> None:
    """Of 70 the newest 60 are listed and the rest is counted."""
    bench, job = begun(tmp_path)
    for number in range(69):
        a_bar(bench, job, f"k{number}")
    view = seen(bench, job)
    assert (len(view.bars), view.bars_more) == (60, 10)
    assert view.bars[0].number == 70


def test_forms_are_read_as_their_kind_says() -> None:
    """Only a measurement says something with an empty field; what is not of the kind stays out; bringing back is yes or no."""
    assert tap_of({"kind": BAR, "key": "k", "run": "pins", "stop": "", "row": "x"}) == Tap("k", BAR, {"run": "pins"})
    assert tap_of({"kind": MEASURED, "key": "k", "bar": "b", "remnant": ""}) == Tap("k", MEASURED, {"bar": "b", "remnant": ""})
    assert tap_of({"kind": UNDO, "key": "k", "bar": "b", "back": "yes"}).contents == {"bar": "b", "back": True}
    assert tap_of({"kind": UNDO, "key": "k", "bar": "b", "back": "no"}).contents == {"bar": "b", "back": False}
    assert tap_of({}) == Tap("", "", {})


def posted(folder: Path, form: Mapping[str, str], headers: Mapping[str, str] = SCRIPT) -> tuple[Answer, Workbench, str]:
    """A tap sent to the page of a job."""
    app, bench = pages(folder)
    job = bench.new_from_text(RUNOFF, "")
    return ask(app, f"/jobs/{job}/runoff/tap", method="POST", headers=headers, form=form), bench, job


def test_a_script_is_answered_in_a_word(tmp_path: Path) -> None:
    """Counted is 200; refused is 422 with the reason; while the plan is incomplete it is 409."""
    form = {"kind": BAR, "key": "k1", "run": "pins", "at": "2026-05-04T07:30:01.123Z"}
    answer, bench, job = posted(tmp_path, form)
    assert (answer.status, answer.text) == (200, "counted")
    assert bench.logged(job)[0].contents == {"run": "pins", "at": "2026-05-04T07:30:01.123Z"}
    (tmp_path / "other").mkdir()
    app, bench = pages(tmp_path / "other")
    job = bench.new_from_text(RUNOFF, "")
    wrong = ask(app, f"/jobs/{job}/runoff/tap", method="POST", headers=SCRIPT, form={**form, "run": "bolts"})
    assert wrong.status == 422
    assert "a run that was agreed" in wrong.text
    long = ask(app, f"/jobs/{job}/runoff/tap", method="POST", headers=SCRIPT, form={**form, "note": "x" * 401})
    assert (long.status, "<" in long.text) == (422, False)
    bad_key = ask(app, f"/jobs/{job}/runoff/tap", method="POST", headers=SCRIPT, form={**form, "key": "a b"})
    assert (bad_key.status, "<" in bad_key.text) == (422, False)
    nowhere = ask(app, "/jobs/nowhere/runoff/tap", method="POST", headers=SCRIPT, form=form)
    assert (nowhere.status, "<" in nowhere.text) == (404, False)
    bench.add(job, "runoff_runs", 1)
    assert ask(app, f"/jobs/{job}/runoff/tap", method="POST", headers=SCRIPT, form=form).status == 409
    assert bench.logged(job) == ()


def test_without_a_script_the_buttons_are_plain_forms(tmp_path: Path) -> None:
    """Counted leads back to the page; refused shows the page with the reason; a foreign form is turned away."""
    form = {"kind": BAR, "key": "k1", "run": "pins", "stop": "loader"}
    answer, bench, job = posted(tmp_path, form, CHANGE)
    assert (answer.status, answer.headers["location"]) == (303, f"/jobs/{job}/runoff")
    assert bench.logged(job)[0].contents["stop"] == "loader"
    (tmp_path / "b").mkdir()
    answer, bench, job = posted(tmp_path / "b", {**form, "run": "bolts"}, CHANGE)
    assert answer.status == 422
    assert "Not counted." in answer.text
    (tmp_path / "c").mkdir()
    answer, bench, job = posted(tmp_path / "c", form, {k: v for k, v in CHANGE.items() if k != "x-standoff-form"})
    assert answer.status == 403
    assert bench.logged(job) == ()


@pytest.mark.parametrize("text", [RUNOFF, AXLE, text_of("spacer-cell"), text_of("spoke-nipple-cell")])
def test_every_page_is_whole(tmp_path: Path, text: str) -> None:
    """Page, answer, count and file are there; every button names its tap; ids are each once; nothing is left unfilled."""
    app, bench = pages(tmp_path)
    job = bench.new_from_text(text, "")
    page = ask(app, f"/jobs/{job}/runoff")
    assert page.status == 200
    ids = re.findall(r'\bid="([^"]+)"', page.text)
    assert sorted(set(ids)) == sorted(ids)
    assert 'id="tap-clean"' in page.text
    assert "ISO 23125" in page.text
    answer = ask(app, f"/jobs/{job}/runoff/answer")
    for part in ("runoff-said", "runoff-runs", "runoff-last", "runoff-answer"):
        assert f'id="{part}"' in answer.text
        assert f'id="{part}"' in page.text
    assert ask(app, f"/jobs/{job}/runoff/count").text == "0"
    assert ask(app, f"/jobs/{job}/runoff/export").text == text


def test_a_blank_job_leads_to_the_survey(tmp_path: Path) -> None:
    """No placement, no run-off: the page says so and offers no button to tap."""
    app, bench = pages(tmp_path)
    job = bench.new_blank("New cell", "in", "sliding")
    page = ask(app, f"/jobs/{job}/runoff")
    assert "To the survey" in page.text
    assert 'id="tap-clean"' not in page.text
