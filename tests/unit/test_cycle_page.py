"""The bar cycle as a page shows it: what the command says, a part that does not fit, what is wanted, and the film."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from standoff.desk import cycle_page
from standoff.desk.choices import choices_of
from standoff.desk.cycle import cycle_of_placement, cycle_text
from standoff.desk.cycle_page import CAUTION, CycleView, Runs, cycle_film, cycle_form, cycle_to_go, cycle_view
from standoff.desk.sheet import Sheet
from standoff.desk.survey import one_field
from standoff.desk.workbench import Workbench
from standoff.job.demonstration import text_of
from standoff.job.placement import place
from tests.asked import ask, pages
from tests.benches import fresh_bench, saved

LARGEST_PAGE = 200_000


def opened(folder: Path, name: str = "axle-cell") -> tuple[Workbench, str]:
    """A workbench with a demonstration job."""
    bench = fresh_bench(folder)
    return bench, bench.new_from_text(text_of(name), "job.toml")


def view_of(sheet: Sheet, part: str = "") -> CycleView:
    """The answer part of a job that has a placement."""
    found = cycle_view(sheet, Runs(), part=part)
    assert found is not None
    return found


@pytest.mark.parametrize("name", ["axle-cell", "shell-cell", "spoke-nipple-cell"])
def test_the_page_says_what_the_command_says(tmp_path: Path, name: str) -> None:
    """Verdict, what fails, settings, program, changes of mode: every line of the page is one of `standoff cycle`."""
    bench, job = opened(tmp_path, name)
    sheet = bench.sheet(job)
    assert sheet.job is not None
    answer = cycle_of_placement(place(sheet.job))
    for number, cycle in enumerate(answer.cycles):
        told = cycle_text(answer, (number,), signals=True)
        view = view_of(sheet, cycle.part.name)
        run = view.chosen
        assert run is not None
        for line in (run.title, run.verdict, run.tightest, *run.alarms, *run.remnant, *run.program, *view.changes, CAUTION):
            assert line in told
        assert all(failure.text in told for failure in run.failures)
        assert all(f"{row.name}: {row.value} ({row.follows})" in told for row in (*run.loader, *run.lathe))
        assert all(line.row.signal in told for line in run.signals)
        assert len(run.signals) == told.count("[ ]")


def test_every_part_has_its_own_verdict(tmp_path: Path) -> None:
    """Two parts, each a link with its sign; an unknown name shows the first."""
    bench, job = opened(tmp_path)
    view = view_of(bench.sheet(job), "brake pivot")
    assert [(part.name, part.chosen, part.sign.mark) for part in view.parts] == [
        ("hub axle", False, "✓"),
        ("brake pivot", True, "✓"),
    ]
    assert view.number == 1
    assert view_of(bench.sheet(job), "no such part").parts[0].chosen


def test_what_does_not_run_through_is_told_with_its_moment(tmp_path: Path) -> None:
    """The spoke-nipple cell: the page begins at the moment at which it first fails, and names the pairings in words."""
    bench, job = opened(tmp_path, "spoke-nipple-cell")
    view = view_of(bench.sheet(job))
    run = view.chosen
    assert run is not None
    assert view.sign is not None
    assert (view.sign.kind, view.sign.mark) == ("clash", "✗")
    assert len(run.failures) == 2
    assert run.base == run.failures[0].moment
    assert run.failures[1].moment > run.failures[0].moment


def test_what_must_be_impossible_is_marked(tmp_path: Path) -> None:
    """Each wrong pairing of the axle cell is a line of the test sheet that must be refused, and no other line is."""
    bench, job = opened(tmp_path)
    view = view_of(bench.sheet(job))
    assert view.chosen is not None
    impossible = [line.row.expected for line in view.chosen.signals if line.impossible]
    assert len(impossible) == len(view.pairings) == 2
    assert all(text.startswith("refused") for text in impossible)
    assert "crushed" in view.pairings[0]


def test_a_part_longer_than_its_bar_waits(tmp_path: Path) -> None:
    """What no standoff makes possible is not taken over: it stays as typed, and the last right value is what is shown."""
    bench, job = opened(tmp_path)
    sheet = saved(bench, job, "parts[0].length", "13 ft")
    view = view_of(sheet, "hub axle")
    assert view.chosen is not None
    assert "24 parts" in view.chosen.verdict
    assert sheet.pending["parts[0].length"].reason.code == "part-too-long"
    assert sheet.entry("parts[0].length").text == "13 ft"


def test_a_part_that_does_not_fit_stands_alone(tmp_path: Path) -> None:
    """A part that its bar does not hold once at this standoff is refused with what it needs; the other part stays as it is."""
    bench, job = opened(tmp_path)
    sheet = saved(bench, job, "parts[0].length", "11 ft")
    view = view_of(sheet, "hub axle")
    assert view.chosen is None
    assert "a longer bar or a shorter part" in view.refused
    assert "parts[" not in view.refused
    assert view.sign is not None
    assert view.sign.word == "Cannot be made so"
    assert sheet.entry("parts[0].length").text == "11 ft"
    assert cycle_film(sheet, Runs(), number=0) == "null"
    other = view_of(sheet, "brake pivot")
    assert other.chosen is not None
    assert other.parts[1].sign.mark == "✓"


def test_nothing_is_wanted_before_the_placement(tmp_path: Path) -> None:
    """A blank job has no cycle, and no steps to go on this page."""
    bench = fresh_bench(tmp_path)
    sheet = bench.sheet(bench.new_blank("Empty cell", "in", "sliding"))
    assert cycle_view(sheet, Runs()) is None
    assert cycle_to_go(sheet) == 0


def test_a_part_is_entered_until_a_bar_runs(tmp_path: Path) -> None:
    """From a job without parts: one is wanted, then its name and length; meanwhile the placement stands."""
    bench, job = opened(tmp_path, "spacer-cell")
    assert [(one.walk, one.anchor) for one in view_of(bench.sheet(job)).wanted] == [("cycle", "stop-parts")]
    assert cycle_to_go(bench.sheet(job)) == 0
    bench.add(job, "parts", bench.sheet(job).number)
    sheet = bench.sheet(job)
    assert {one.anchor for one in view_of(sheet).wanted} == {"f-parts-0-name-box", "f-parts-0-length-box"}
    assert cycle_to_go(sheet) == 2
    assert sheet.job is not None
    saved(bench, job, "parts[0].name", "spacer")
    sheet = saved(bench, job, "parts[0].length", "30 mm")
    view = view_of(sheet)
    assert view.wanted == ()
    assert view.chosen is not None
    assert view.chosen.title == "spacer from the job's longest bar, guide-bushing mode"
    assert cycle_to_go(sheet) == 0


def test_incomplete_bars_are_wanted_first(tmp_path: Path) -> None:
    """A bar without a size: the cycle waits for it and leads to the page of bar speed; the placement stands."""
    bench, job = opened(tmp_path)
    bench.add(job, "bars", bench.sheet(job).number)
    sheet = bench.sheet(job)
    assert sheet.job is not None
    assert {one.walk for one in view_of(sheet).wanted} == {"speed"}


def test_the_fields_ask_for_what_there_is(tmp_path: Path) -> None:
    """Modes and bars to choose from are the job's; a fixed headstock has no mode and no Z; a flag and a word are chosen."""
    bench, job = opened(tmp_path)
    raw = bench.sheet(job).raw
    assert [word for word, _ in choices_of("parts[0].mode", raw)] == ["guide-bushing", "chucker"]
    assert [word for word, _ in choices_of("parts[1].bar", raw)] == ["3/4 in stainless", "1 in aluminium"]
    fields = {field.field: field for place in cycle_form(bench.sheet(job)).places for field in place.fields}
    assert {"parts[1].z_last_cut", "parts[1].per_year", "cycle.ejection"} <= set(fields)
    assert fields["cycle.feed_stop"].kind == fields["parts[0].picked_off"].kind == "choice"
    assert fields["parts[0].name"].needed
    assert not fields["parts[0].cut_off_width"].needed
    (tmp_path / "other").mkdir()
    other, fixed = opened(tmp_path / "other", "shell-cell")
    asked = {field.field for place in cycle_form(other.sheet(fixed)).places for field in place.fields}
    assert "parts[0].z_last_cut" not in asked
    assert "parts[0].mode" not in asked


@pytest.mark.parametrize(
    ("field", "typed", "reason"),
    [
        ("parts[0].length", "-2 in", "above 0"),
        ("parts[0].cut_off_width", "9 in", "exchanged"),
        ("parts[0].per_year", "many", "number"),
        ("parts[0].seconds", "75", "unit"),
        ("parts[0].z_last_cut", "40 in", "between"),
    ],
)
def test_a_wrong_entry_waits_beside_its_reason(tmp_path: Path, field: str, typed: str, reason: str) -> None:
    """What a part cannot be stays as typed, and the answer is that of the last right value."""
    bench, job = opened(tmp_path)
    before = view_of(bench.sheet(job)).chosen
    sheet = saved(bench, job, field, typed)
    pending = one_field(sheet, field).pending
    assert pending is not None
    assert pending.text == typed
    assert reason in f"{pending.reason.expected} {pending.reason.action}"
    assert view_of(sheet).chosen == before


def test_the_film_belongs_to_the_picture(tmp_path: Path) -> None:
    """Film and page agree on the moment the picture was drawn at and on how many there are."""
    bench, job = opened(tmp_path)
    sheet, runs = bench.sheet(job), Runs()
    for number in (0, 1):
        view = cycle_view(sheet, runs, number=number)
        assert view is not None
        assert view.chosen is not None
        film = json.loads(cycle_film(sheet, runs, number=number))
        assert film["base"] == view.chosen.base
        assert len(film["travel"]) == len(film["held"]) == view.chosen.moments
        assert len(json.loads(view.chosen.narrow.places)) == 3


def test_the_cycles_are_worked_out_once_for_a_revision(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Looked at twice, and filmed, they are computed once; after a change, anew."""
    bench, job = opened(tmp_path, "shell-cell")
    counted = []
    monkeypatch.setattr(cycle_page, "place", lambda job: counted.append(job) or place(job))
    runs = Runs()
    for _ in range(2):
        cycle_view(bench.sheet(job), runs)
    cycle_film(bench.sheet(job), runs, number=0)
    assert len(counted) == 1
    cycle_view(saved(bench, job, "parts[0].length", "70 mm"), runs)
    assert len(counted) == 2


def test_the_page_is_small_and_complete(tmp_path: Path) -> None:
    """Page, answer and film over the application: the page stays below 200 kB, and nothing in it is styled inline."""
    app, bench = pages(tmp_path)
    for name in ("axle-cell", "shell-cell", "spoke-nipple-cell"):
        job = bench.new_from_text(text_of(name), "job.toml")
        page = ask(app, f"/jobs/{job}/cycle")
        assert page.status == 200
        assert len(page.text.encode()) < LARGEST_PAGE
        assert " style=" not in page.text
        assert "<style" not in page.text
        for words in ("What the part program must contain", "Signals to test", "Settings", "must be refused"):
            assert words in page.text
        assert "What the part program must contain" in ask(app, f"/jobs/{job}/cycle/answer?shown=0").text
        film = ask(app, f"/jobs/{job}/cycle/moments?shown=0")
        assert film.headers["content-type"].startswith("application/json")
        assert len(json.loads(film.text)["step"]) > 100
        assert ask(app, f"/jobs/{job}/cycle?part=%00nothing").status == 200
