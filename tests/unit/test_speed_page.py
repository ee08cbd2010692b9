"""Bar speed as a page shows it: the chosen bar with its reasons, what is wanted, what does not pass, and the fields below."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from standoff.desk import speed_page
from standoff.desk.choices import choices_of, suggestions_of
from standoff.desk.entry import Entry
from standoff.desk.sheet import Sheet
from standoff.desk.speed_inputs import SHARES
from standoff.desk.speed_page import CAUTION, Speeds, SpeedView, speed_form, speed_to_go, speed_view
from standoff.desk.speed_tables import share_words
from standoff.desk.survey import one_field, survey_view
from standoff.desk.workbench import Workbench
from standoff.job.bar_tables import BarRulesTable
from standoff.job.demonstration import text_of
from standoff.job.speed import SpeedAnswer, Verdict, bar_speed
from standoff.job.speed_speech import limit_lines, ramp_line, sentence
from tests.asked import CHANGE, ask, pages, typed
from tests.benches import fresh_bench, saved


def opened(folder: Path, name: str = "axle-cell") -> tuple[Workbench, str]:
    """A workbench with a demonstration job."""
    bench = fresh_bench(folder)
    return bench, bench.new_from_text(text_of(name), "job.toml")


def view_of(sheet: Sheet, bar: str = "") -> SpeedView:
    """The answer part of a job that has a placement."""
    found = speed_view(sheet, Speeds(), bar=bar)
    assert found is not None
    return found


def test_the_page_says_what_the_command_says(tmp_path: Path) -> None:
    """Sentence and limits of the chosen bar are those of the answer; the other bar is one link away with its own verdict."""
    bench, job = opened(tmp_path)
    sheet = bench.sheet(job)
    assert sheet.job is not None
    answer = Speeds().of(sheet, sheet.job)
    assert isinstance(answer, SpeedAnswer)
    aluminium = answer.bars[1]
    view = view_of(sheet, aluminium.bar.name)
    assert view.chosen is not None
    assert view.chosen.sentence == sentence(aluminium, "in")
    assert view.chosen.limits == limit_lines(aluminium)
    assert view.chosen.ramp_how.startswith("Read the vibration at the nose clamp")
    assert view.chosen.ramp[-1].share == "100%"
    assert f", {view.chosen.ramp[-1].speed}. " in ramp_line(aluminium)
    assert [(bar.name, bar.chosen) for bar in view.bars] == [(one.bar.name, one is aluminium) for one in answer.bars]
    assert [row.name for row in view.rows] == [one.bar.name for one in answer.bars]
    assert view_of(sheet, "no such bar").bars[0].chosen


def test_every_verdict_has_a_mark_and_a_word() -> None:
    """No two verdicts are told by the same word, and only one is good."""
    signs = speed_page.SIGNS
    assert set(signs) == set(Verdict)
    assert len({sign.word for sign in signs.values()}) == len(Verdict)
    assert [verdict for verdict, sign in signs.items() if sign.mark == "✓"] == [Verdict.WITHIN]


def test_where_the_pair_does_not_fit_no_bar_is_called_good(tmp_path: Path) -> None:
    """The spoke-nipple cell does not fit as delivered: its bars are marked as a question, in words too."""
    bench, job = opened(tmp_path, "spoke-nipple-cell")
    view = view_of(bench.sheet(job))
    assert not view.placed
    assert [(bar.sign.kind, bar.sign.mark) for bar in view.bars] == [("unsure", "?"), ("clash", "✗")]
    assert "does not fit" in view.bars[0].sign.word


def test_the_answer_is_worked_out_once_for_a_revision(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Looked at twice it is computed once; after a change, anew."""
    bench, job = opened(tmp_path, "shell-cell")
    counted = []
    monkeypatch.setattr(speed_page, "bar_speed", lambda placement: counted.append(1) or bar_speed(placement))
    speeds = Speeds()
    for _ in range(3):
        speed_view(bench.sheet(job), speeds)
    assert len(counted) == 1
    speed_view(saved(bench, job, "bars[0].feed_force", "500 N"), speeds)
    assert len(counted) == 2


@pytest.mark.parametrize(
    ("used_ratio", "words"),
    [
        (0.004, "1% of the limit"),
        (0.95, "95% of the limit"),
        (0.951, "96% of the limit"),
        (0.999, "all of the limit"),
        (1.0, "all of the limit"),
        (1.0001, "just above the limit"),
        (1.051, "1.1 times the limit"),
        (1.56, "1.6 times the limit"),
        (12.01, "13 times the limit"),
        (140.0, "far above the limit"),
    ],
)
def test_a_share_is_told_in_two_digits_rounded_up(used_ratio: float, words: str) -> None:
    """A limit that is passed is never called kept, one that is kept never passed."""
    assert share_words(used_ratio) == words


def test_a_bar_that_does_not_pass_has_no_speed(tmp_path: Path) -> None:
    """A thicker bar: no chart, no limit, no way up to speed; the bore is named with what is missing, first in the table."""
    bench, job = opened(tmp_path)
    sheet = saved(bench, job, "bars[0].size", "1 1/2 in")
    view = view_of(sheet, "3/4 in stainless")
    bar = view.chosen
    assert bar is not None
    assert (bar.charts, bar.limits, bar.steps, bar.ramp, bar.stages) == (None, (), (), (), ())
    assert bar.sign.word == "Does not pass"
    first = bar.inputs.bores[0]
    assert (first.traveller, first.passes) == ("bar", False)
    assert re.fullmatch(r"[0-9/ ]+ in missing", first.said)
    assert next(row for row in view.rows if row.name == bar.name).limit == "no speed: it does not pass"
    assert view_of(sheet, "1 in aluminium").chosen.charts is not None  # type: ignore[union-attr]


def test_a_refused_liner_says_why(tmp_path: Path) -> None:
    """Of two liners the one that passes is marked, the other refused with what does not pass and by how much."""
    bench, job = opened(tmp_path, "shell-cell")
    bar = view_of(bench.sheet(job)).chosen
    assert bar is not None
    assert [row.mark for row in bar.liners] == ["✓", "✗"]
    assert "the pusher collet does not pass (3.0 mm missing)" in bar.liners[1].text


def test_what_is_wanted_leads_to_where_it_is_filled_in(tmp_path: Path) -> None:
    """A job without bars wants bar, collet, channel and pusher mass, each with its place; what the survey lacks is there."""
    bench, job = opened(tmp_path, "spacer-cell")
    view = view_of(bench.sheet(job))
    assert view.chosen is None
    places = {(one.walk, one.anchor) for one in view.wanted}
    assert places == {("speed", "stop-bars"), ("speed", "stop-holds"), ("speed", "f-bar-path-pusher-mass-box")}
    assert "[[" not in "".join(one.title + one.why for one in view.wanted)
    without = view_of(saved(bench, job, "bar_path.pusher_od", ""))
    assert ("survey", "f-bar-path-pusher-od-box") in {(one.walk, one.anchor) for one in without.wanted}
    assert speed_to_go(bench.sheet(job)) == 0
    bench.add(job, "bars", bench.sheet(job).number)
    assert speed_to_go(bench.sheet(job)) > 3


def test_an_incomplete_bar_leaves_the_placement_standing(tmp_path: Path) -> None:
    """The placement goes on without the bars and says so; the survey is complete; the bar's fields are wanted on their page."""
    app, bench = pages(tmp_path)
    job = bench.new_from_text(text_of("axle-cell"), "job.toml")
    bench.add(job, "bars", 1)
    sheet = bench.sheet(job)
    assert sheet.job is not None
    assert sheet.bars_left_out
    assert survey_view(sheet).wanting == ()
    assert "The bars are left out of this answer" in ask(app, f"/jobs/{job}/placement").text
    wanted = {one.anchor for one in view_of(sheet).wanted}
    assert {"f-bars-2-name-box", "f-bars-2-shape-box", "f-bars-2-size-box", "f-bars-2-material-box"} <= wanted
    assert "stop-bars" not in wanted
    navigation = ask(app, f"/jobs/{job}/survey").text
    assert "Bar speed <span>4 to go</span>" in navigation
    assert "Survey <span>" not in navigation


def test_an_incomplete_survey_comes_first(tmp_path: Path) -> None:
    """A blank job has no answer; the page leads to the survey, and the fields are there nevertheless."""
    app, bench = pages(tmp_path)
    job = bench.new_blank("New cell", "in", "sliding")
    assert speed_view(bench.sheet(job), Speeds()) is None
    text = ask(app, f"/jobs/{job}/speed").text
    assert "the placement comes first" in text
    assert "Add a bar" in text


def test_what_the_physics_refuses_is_told(tmp_path: Path) -> None:
    """A bar shorter than what the pusher leaves: no speed, and the sentence says what to check."""
    bench, job = opened(tmp_path, "shell-cell")
    view = view_of(saved(bench, job, "bars[0].length", "200 mm"))
    assert view.chosen is None
    assert "check the bar's length" in view.refused


def test_inputs_say_where_they_come_from(tmp_path: Path) -> None:
    """Stated or default, as typed; material with its source; a support with its station and where it then lies."""
    bench, job = opened(tmp_path)
    saved(bench, job, "bar_rules.friction", "0.3")
    bar = view_of(bench.sheet(job)).chosen
    assert bar is not None
    given = {row.name: row for row in (*bar.inputs.bar, *bar.inputs.pusher, *bar.inputs.shares)}
    assert (given["pusher mass"].value, given["pusher mass"].source) == ("2 lb", "as stated")
    assert given["pusher diameter"].source == "a caliper"
    assert given["pusher diameter"].walk == "survey"
    assert "stainless 304: Callister" in given["density"].source
    assert given["straightness"].value == "1 mm per metre"
    assert given["friction of the bar in its channel"].value == "0.3"
    assert given["share of the lowest critical speed"].source.startswith("default: common practice")
    held = {row.name: row for row in bar.inputs.supports}
    assert bar.inputs.where == "chucker, front limit"
    assert "guide bushing" not in held
    assert (held["moving anti-vibration device"].stiffness, held["moving anti-vibration device"].source) == (
        "800 N/mm",
        "as stated",
    )
    assert held["main collet"].told == "3 1/4 in ahead of the back of the main collet, 1 1/2 in long"
    assert held["channel"].told.startswith("1 in behind the nose-clamp face")
    assert held["channel"].source == "usual for its kind, a guess"


def test_fields_are_asked_for_as_they_apply(tmp_path: Path) -> None:
    """Bore and oil of tubes only, density of a material of one's own only, a speed or a cutting speed."""
    bench, job = opened(tmp_path)

    def asked() -> set[str]:
        return {field.field for place in speed_form(bench.sheet(job)).places for field in place.fields}

    before = asked()
    assert {"supports[3].bore", "supports[3].flooded", "bars[1].speed", "bars[0].cutting_speed"} <= before
    assert not {"supports[1].bore", "bars[0].density", "bars[0].speed", "bars[1].cutting_speed"} & before
    saved(bench, job, "bars[0].material", "bronze of our own")
    assert {"bars[0].density", "bars[0].modulus"} <= asked()
    saved(bench, job, "bars[0].density", "8800 kg/m3")
    assert saved(bench, job, "bars[0].modulus", "110 GPa").pending == {}
    assert bench.sheet(job).raw["bars"][0]["material"] == "bronze of our own"
    for field, text in (("site_checks[0].kind", "sag"), ("site_checks[0].bar", "1 in aluminium")):
        saved(bench, job, field, text)
    assert "site_checks[0].sag" in asked()
    assert not {"site_checks[0].frequency", "site_checks[0].mode"} & asked()


def test_choices_follow_what_is_typed(tmp_path: Path) -> None:
    """Modes, bars and groups of a standard are chosen from those there are; one that is gone still shows."""
    bench, job = opened(tmp_path)
    raw = bench.sheet(job).raw
    assert [value for value, _ in choices_of("supports[0].mode", raw)] == ["guide-bushing", "chucker"]
    assert [value for value, _ in choices_of("site_checks[0].bar", raw)] == ["3/4 in stainless", "1 in aluminium"]
    assert choices_of("bars[0].straightness_group", raw) == ()
    assert "stainless 304" in suggestions_of("bars[0].material")
    assert suggestions_of("bars[0].name") == ()
    saved(bench, job, "site_checks[0].kind", "sag")
    saved(bench, job, "site_checks[0].bar", "1 in aluminium")
    renamed = saved(bench, job, "bars[1].name", "25 mm aluminium")
    field = one_field(renamed, "site_checks[0].bar")
    assert field.choices[-1] == ("1 in aluminium", "1 in aluminium (not there any more)")


def test_several_sags_are_typed_in_one_field(tmp_path: Path) -> None:
    """A semicolon, or a comma and a blank, stands between them; one that is none is refused with its text kept."""
    bench, job = opened(tmp_path, "shell-cell")
    saved(bench, job, "site_checks[0].kind", "sag")
    saved(bench, job, "site_checks[0].bar", "60 mm steel")
    sheet = saved(bench, job, "site_checks[0].sag", "0,30 mm, 0.21 mm; 0.15 mm")
    assert sheet.raw["site_checks"][0]["sag"] == ["0,30 mm", "0.21 mm", "0.15 mm"]
    refused = saved(bench, job, "site_checks[0].sag", "0.3 mm, 0.2")
    assert refused.pending["site_checks[0].sag"].text == "0.3 mm, 0.2"


@pytest.mark.parametrize(
    ("field", "text"),
    [
        ("bars[1].speed", "1,200 rpm"),
        ("bars[1].speed", "40"),
        ("bars[1].speed", "0 rpm"),
        ("bars[1].feed_force", "-3 N"),
        ("bars[1].size", "25"),
        ("bars[1].material", ""),
        ("bars[1].grade", "h13"),
        ("bar_path.pusher_mass", "0.9 kgs"),
        ("bar_rules.whip_share", "50%"),
        ("bar_rules.whip_share", "0.9"),
        ("supports[0].stiffness", "800 N/m"),
        ("supports[3].length", "12 in"),
    ],
)
def test_wrong_entries_are_told_and_the_answer_stays(tmp_path: Path, field: str, text: str) -> None:
    """What cannot be taken over waits with its reason, on this page only; an emptied field that is needed is wanted."""
    bench, job = opened(tmp_path)
    sheet = saved(bench, job, field, text)
    if text:
        assert [question.text for question in speed_form(sheet).waiting] == [f"“{text}” is not taken over"]
        assert survey_view(sheet).waiting == ()
        assert view_of(sheet).chosen is not None
    else:
        assert [one.anchor for one in view_of(sheet).wanted] == ["f-bars-1-material-box"]


def test_what_contradicts_is_told_on_its_page(tmp_path: Path) -> None:
    """A bore that stays when the support becomes a rest is a contradiction here, and none of the survey's."""
    bench, job = opened(tmp_path)
    sheet = saved(bench, job, "supports[3].kind", "rest")
    assert [question.id for question in speed_form(sheet).contradictions] == ["f-supports-3-bore"]
    assert survey_view(sheet).contradictions == ()
    assert {field.field for place in speed_form(sheet).places for field in place.fields} >= {"supports[3].bore"}


def test_fields_of_bar_speed_have_one_reading_and_no_limits_of_error(tmp_path: Path) -> None:
    """What has no effect on the answer is not asked; an uncertainty that a file brings stays in sight."""
    bench, job = opened(tmp_path)
    field = one_field(bench.sheet(job), "supports[3].length")
    assert (field.kind, field.again, field.judged) == ("quantity", (), False)
    sheet = saved(bench, job, "supports[3].length", Entry("12 ft 6 in", source="tape", uncertainty="1 in"))
    assert one_field(sheet, "supports[3].length").judged
    assert one_field(sheet, "bars[0].size").kind == "figure"
    assert one_field(sheet, "loader.pusher_reach").judged


def test_the_page_itself(tmp_path: Path) -> None:
    """The caution stands beside the speeds, each bar is a link, and the page stays below 200 kB."""
    app, bench = pages(tmp_path)
    job = bench.new_from_text(text_of("axle-cell"), "job.toml")
    answer = ask(app, f"/jobs/{job}/speed?bar=1%20in%20aluminium")
    assert answer.text.index("<h1") < answer.text.index("These are limits of a model") < answer.text.index("<svg")
    assert CAUTION.partition(".")[0] in answer.text
    assert f'href="/jobs/{job}/speed?bar=3/4%20in%20stainless"' in answer.text
    assert "✗ Above its lowest limit" in answer.text
    assert len(answer.text.encode()) < 200_000


def test_a_saved_field_asks_for_the_answer_anew(tmp_path: Path) -> None:
    """The answer to a field brings the state of this page, which fetches the answer; that comes with the same bar."""
    app, bench = pages(tmp_path)
    job = bench.new_from_text(text_of("axle-cell"), "job.toml")
    told = typed(app, job, "bars[1].feed_force", "40 lbf").text
    assert "✓ saved" in told
    assert 'id="speed-news" role="status" data-anew="yes"' in told
    assert 'id="survey-state"' not in told
    part = ask(app, f"/jobs/{job}/speed/answer?shown=1").text
    assert f'data-address="/jobs/{job}/speed/answer" data-shown="1"' in part
    assert ask(app, f"/jobs/{job}/speed/answer?shown=99").status == 200
    assert "40 lbf" in part
    assert "<html" not in part
    assert "Feed force set (1 in aluminium)" in ask(app, f"/jobs/{job}/speed/since?base=1").text


def test_rows_come_and_go_on_this_page(tmp_path: Path) -> None:
    """Added and taken away, one comes back to the same stop; the history says it in the words of the page."""
    app, bench = pages(tmp_path)
    job = bench.new_from_text(text_of("axle-cell"), "job.toml")
    added = ask(app, f"/jobs/{job}/add?stop=bars", method="POST", headers=CHANGE, form={"table": "bars"})
    assert added.headers["location"].endswith("/speed#stop-bars")
    gone = ask(app, f"/jobs/{job}/remove?stop=bars", method="POST", headers=CHANGE, form={"element": "bars[2]"})
    assert gone.headers["location"].endswith("/speed#stop-bars")
    assert len(bench.sheet(job).raw["bars"]) == 2
    typed(app, job, "speed_limits[0].speed", "7000 rpm", base=3)
    history = ask(app, f"/jobs/{job}/history").text
    for words in ("Bar 3 added", "Bar 3 removed", "Greatest speed (lathe)"):
        assert words in history


def test_every_share_is_shown_with_its_words() -> None:
    """The shares kept that the page opens are those of the job file."""
    from_file = set(BarRulesTable.model_fields)
    assert set(SHARES) == from_file
