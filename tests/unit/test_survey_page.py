"""The survey as a page shows it: fields in walking order, what is wanted, what is asked and accused, and the page itself."""

from __future__ import annotations

from pathlib import Path

from standoff.desk.blank_sheet import blank_sheet
from standoff.desk.entry import Entry
from standoff.desk.survey import begin_zero_check, survey_picture, survey_view
from standoff.desk.survey_field import SOURCE_WORDS, main_field
from standoff.desk.walk import title_of_field
from standoff.desk.workbench import Workbench
from standoff.job.demonstration import text_of
from standoff.reading import SOURCES
from tests.asked import CHANGE, ask, pages, typed
from tests.benches import fresh_bench, saved
from tests.texts import FIXED, SLIDING

REACH = "loader.pusher_reach"


def job_of(bench: Workbench, text: str = SLIDING) -> str:
    """A job in a workbench."""
    return bench.new_from_text(text, "pedal.toml")


def fields_of(bench: Workbench, job: str) -> list[str]:
    """The fields the survey asks for, in their order."""
    view = survey_view(bench.sheet(job))
    return [field.field for place in view.places for group in place.groups for field in group.fields]


def test_the_short_words_name_every_source() -> None:
    """Each source of a reading can be chosen, by a word or two."""
    assert {name for name, _ in SOURCE_WORDS} == set(SOURCES)
    assert max(len(words) for _, words in SOURCE_WORDS) <= 13


def test_only_what_applies_is_asked_for(tmp_path: Path) -> None:
    """A telescopic nose has no uncut length, a fixed headstock no modes, and least engagement needs an entry depth."""
    bench = fresh_bench(tmp_path)
    sliding, fixed = fields_of(bench, job_of(bench)), fields_of(bench, job_of(bench, FIXED))
    assert "nose.collapsed" in sliding
    assert "nose.length" not in sliding
    assert "nose.least_engagement" not in sliding
    assert "nose.length" in fixed
    assert not any(field.startswith(("lathe.modes", "lathe.z_forward", "nose.collapsed")) for field in fixed)
    blank = fields_of(bench, bench.new_blank("New cell", "in", "sliding"))
    assert [field for field in blank if field.startswith("nose.")] == ["nose.kind"]


def test_what_is_wanted_is_counted_and_named(tmp_path: Path) -> None:
    """An empty needed field is wanted by its title; a complete survey wants nothing."""
    bench = fresh_bench(tmp_path)
    job = job_of(bench)
    assert survey_view(bench.sheet(job)).wanting == ()
    view = survey_view(saved(bench, job, REACH, ""))
    assert (view.wanting, view.needed - view.done) == (("Pusher reach",), 1)


def test_an_implausible_length_is_questioned_while_the_rest_is_missing(tmp_path: Path) -> None:
    """One length by itself is enough to ask whether feet were meant as inches; units and side are named."""
    bench = fresh_bench(tmp_path)
    job = bench.new_blank("New cell", "in", "sliding")
    view = survey_view(saved(bench, job, REACH, "44 ft"))
    assert [question.title for question in view.questions] == ["Pusher reach"]
    assert "were inches meant instead of feet?" in view.questions[0].text
    assert survey_view(saved(bench, job, REACH, "44 in")).questions == ()


def test_contradictions_name_the_field(tmp_path: Path) -> None:
    """What the checks between fields find stands there at once, by the title of its field."""
    bench = fresh_bench(tmp_path)
    job = bench.new_blank("New cell", "mm", "sliding")
    bench.add(job, "lathe.modes", 1)
    for field, text in (("lathe.z_forward", "negative"), ("lathe.modes[0].z_rear", "0 mm"), ("lathe.modes[0].z_front", "190 mm")):
        saved(bench, job, field, text)
    view = survey_view(bench.sheet(job))
    told = [question.title for question in (*view.contradictions, *view.waiting)]
    assert any("Front limit" in title for title in told)


def test_readings_that_contradict_accuse(tmp_path: Path) -> None:
    """The demonstration with a wrong reading among overlapping ones accuses it by name."""
    bench = fresh_bench(tmp_path)
    view = survey_view(bench.sheet(job_of(bench, text_of("spacer-cell"))))
    assert any("adapter to collet" in line for line in view.accusations)


def test_the_zero_of_z_is_checked_once(tmp_path: Path) -> None:
    """With two modes a check is offered that is filled in but for its value; taken up, it is not offered again."""
    bench = fresh_bench(tmp_path)
    job = job_of(bench)
    assert survey_view(bench.sheet(job)).zero_check == "chucker"
    begin_zero_check(bench, job)
    begin_zero_check(bench, job)
    sheet = bench.sheet(job)
    assert sheet.raw["check"] == [{"from": "cover", "to": "adapter", "mode": "chucker", "state": "front limit"}]
    assert survey_view(sheet).zero_check == ""


def test_fields_are_spoken_of_by_their_titles(tmp_path: Path) -> None:
    """Of a list with the name of its element, of a further reading that it was read again."""
    bench = fresh_bench(tmp_path)
    sheet = bench.sheet(job_of(bench))
    assert title_of_field(REACH, sheet) == "Pusher reach"
    assert title_of_field("lathe.modes[1].z_front", sheet) == "Front limit (chucker)"
    assert title_of_field(f"{REACH}[1]", sheet) == "Pusher reach, read again"
    assert main_field("loader.centre_height[1]") == "loader.centre_height[1]"
    assert main_field("lathe.modes[1]") == "lathe.modes[1]"


def test_the_picture_is_of_a_usual_pair_until_the_survey_is_complete(tmp_path: Path) -> None:
    """A blank job has a picture too, and it says that it is not this pair."""
    bench = fresh_bench(tmp_path)
    wide, narrow, note = survey_picture(bench.sheet(bench.new_blank("New cell", "in", "fixed")))
    assert "<svg" in wide
    assert "<svg" in narrow
    assert "not yours" in note
    assert survey_picture(bench.sheet(job_of(bench)))[2] == ""


def test_a_note_stays_when_something_else_is_changed(tmp_path: Path) -> None:
    """The page sends the note along, so that another tool leaves it standing."""
    app, bench = pages(tmp_path)
    job = job_of(bench)
    saved(bench, job, REACH, Entry("1120 mm", source="tape", note="by hand"))
    typed(app, job, REACH, "1120 mm", base=2, note="by hand", source="laser")
    assert bench.sheet(job).entry(REACH) == Entry("1120 mm", source="laser", note="by hand")


def test_the_answer_to_a_field_brings_what_follows(tmp_path: Path) -> None:
    """A saved field brings its box, the new revision and the state; one that shapes the form brings the whole form."""
    app, bench = pages(tmp_path)
    job = job_of(bench)
    answer = typed(app, job, REACH, "1130 mm")
    assert "✓ saved" in answer.text
    assert 'name="base" value="2"' in answer.text
    whole = typed(app, job, "nose.entry_depth", "20 mm", base=2)
    assert whole.headers["hx-retarget"] == "#survey-form"
    assert "f-nose-least-engagement" in whole.text


def test_what_was_changed_elsewhere_is_told(tmp_path: Path) -> None:
    """A page that saw an older revision is told the field and its value; one that is up to date, nothing."""
    app, bench = pages(tmp_path)
    job = job_of(bench)
    typed(app, job, REACH, "1130 mm")
    assert "Pusher reach: now “1130 mm”" in ask(app, f"/jobs/{job}/survey/since?base=1").text
    assert ask(app, f"/jobs/{job}/survey/since?base=2").status == 204


def test_rows_are_added_and_taken_away(tmp_path: Path) -> None:
    """A fitting more, and away with it; what is no table is left alone."""
    app, bench = pages(tmp_path)
    job = job_of(bench)
    added = ask(app, f"/jobs/{job}/add?stop=nose", method="POST", headers=CHANGE, form={"table": "fittings"})
    assert added.headers["location"].endswith("/survey#stop-nose")
    assert len(bench.sheet(job).raw["fittings"]) == 2
    ask(app, f"/jobs/{job}/remove", method="POST", headers=CHANGE, form={"element": "fittings[1]"})
    ask(app, f"/jobs/{job}/add?stop=<x>", method="POST", headers=CHANGE, form={"table": "lathe"})
    assert len(bench.sheet(job).raw["fittings"]) == 1


def test_the_sheet_to_print_has_lines_for_what_is_not_known_yet(tmp_path: Path) -> None:
    """A blank job's sheet asks for two modes and both kinds of nose; a known fixed pair's only for what it has."""
    bench = fresh_bench(tmp_path)

    def titles(job: str) -> list[str]:
        return [line.title for stop in blank_sheet(bench.sheet(job)) for line in stop.lines]

    blank = titles(bench.new_blank("New cell", "in", "sliding"))
    assert {"Rear limit (1)", "Rear limit (2)", "Pushed fully in", "Uncut length", "Its length (2)", "Read (3)"} <= set(blank)
    fixed = titles(job_of(bench, FIXED))
    assert "Uncut length" in fixed
    assert not {"Which way is forward", "Rear limit (1)", "Pushed fully in"} & set(fixed)
    assert "Front limit (chucker)" in titles(job_of(bench))
