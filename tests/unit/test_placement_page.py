"""The placement as a page shows it: rows opened to their inputs, dragging by coefficients, remedies tried and adopted."""

from __future__ import annotations

from pathlib import Path

import pytest

from standoff.desk.placement_page import adopt, adopted, chance_curve, drag, drawings_of, job_with, placement_view
from standoff.errors import LayoutError, UsageError
from standoff.job.demonstration import NAMES, text_of
from standoff.job.file import parse_job
from standoff.job.placement import Verdict, place
from standoff.model.requirement import Side
from tests.asked import CHANGE, ask, pages
from tests.benches import fresh_bench


@pytest.mark.parametrize("name", NAMES)
def test_dragging_agrees_with_placing_anew(name: str) -> None:
    """At every seventh step of the tape each slack from the coefficients is the placement's, the cut of the nose included."""
    job = parse_job(text_of(name))
    sent = drag(place(job))
    for steps in range(sent["low"], sent["high"] + 1, 7):
        at_mm = steps * sent["step_mm"]
        cut_mm = sent["cuts_mm"][steps - sent["low"]] - sent["cut_mm"] if sent["cuts_mm"] else 0.0
        rows = [row for row in place(job, asked_mm=at_mm).rows if row.row.side is not Side.NONE]
        for row, told in zip(rows, sent["rows"], strict=True):
            slack_mm = told["slack_mm"] + told["per_mm"] * (at_mm - sent["standoff_mm"]) + told["per_cut"] * cut_mm
            assert abs(slack_mm - row.slack_mm) < 1e-3


@pytest.mark.parametrize("name", NAMES)
def test_the_curve_of_chances_meets_the_placement(name: str) -> None:
    """At its points the curve has the probability of the placement there."""
    job = parse_job(text_of(name))
    for at_mm, chance in chance_curve(job)[::9]:
        assert abs(chance - place(job, asked_mm=at_mm).probability) < 2e-3


def test_each_row_opens_to_inputs_that_sum_to_its_slack() -> None:
    """The inputs of a row name value, limits of error and source, and lead to fields of the survey."""
    view = placement_view(parse_job(text_of("axle-cell")))
    row = next(row for row in view.rows if row.id == "pusher-reach-guide-bushing")
    told = {given.name: (given.times, given.value, given.source) for given in row.inputs}
    assert told["pusher reach"] == ("+", "44 1/2 in", "a tape, both ends touched")
    assert told["standoff"][0] == "−"
    assert next(given for given in row.inputs if given.name == "pusher reach").anchor == "f-loader-pusher-reach-box"


def test_mode_and_state_are_chosen_or_bind() -> None:
    """Without a choice a binding row is shown; a mode or a state there is not is refused."""
    job = parse_job(text_of("axle-cell"))
    chosen = drawings_of(job, mode="guide-bushing", state="front limit", asked_mm=None, trial=None)
    assert (chosen.mode, chosen.state) == ("guide-bushing", "front limit")
    assert chosen.wide_scale > 0.0
    assert chosen.narrow_scale > 0.0
    with pytest.raises(LayoutError):
        drawings_of(job, mode="turning", state=None, asked_mm=None, trial=None)


def test_trying_changes_nothing_and_adopting_is_the_same() -> None:
    """A tried remedy opens the window, the job stays; written into the file it gives the same window."""
    job = parse_job(text_of("spoke-nipple-cell"))
    view = placement_view(job, trial=0)
    assert view.tried is not None
    assert view.verdict_word == "Fits"
    assert place(job).verdict is Verdict.NOT
    tried = place(job_with(job, 0)).window
    written, why = adopted(job, 0)
    assert why.startswith("cut the nose")
    assert {field: entry.text for field, entry in written.items()} == {
        "nose.collapsed": "6 7/8 in",
        "nose.extended": "14 3/8 in",
        "nose.may_be_cut": "5/8 in",
    }
    assert all(entry.note == f"after: {why}" for entry in written.values())
    assert tried.least_mm < tried.greatest_mm


def test_every_remedy_adopted_gives_the_window_it_was_tried_with(tmp_path: Path) -> None:
    """Through the file and back each adopted remedy has the window of its trial, but for what the tape cannot write."""
    bench = fresh_bench(tmp_path)
    job = parse_job(text_of("spoke-nipple-cell"))
    for trial in placement_view(job).trials:
        job_id = bench.new_from_text(text_of("spoke-nipple-cell"), "spoke.toml")
        adopt(bench, job_id, trial.number)
        after = bench.sheet(job_id).job
        assert after is not None
        tried, made = place(job_with(job, trial.number)).window, place(after).window
        assert abs(tried.least_mm - made.least_mm) < 0.4, trial.title
        assert abs(tried.greatest_mm - made.greatest_mm) < 0.4, trial.title


def test_a_remedy_there_is_not(tmp_path: Path) -> None:
    """A number beyond the list is refused with the numbers there are."""
    with pytest.raises(UsageError, match="reload"):
        adopted(parse_job(text_of("spoke-nipple-cell")), 99)
    app, bench = pages(tmp_path)
    job = bench.new_from_text(text_of("spoke-nipple-cell"), "spoke.toml")
    answer = ask(app, f"/jobs/{job}/placement/adopt", method="POST", headers=CHANGE, form={"number": "99"})
    assert answer.status == 422


def test_an_incomplete_job_says_what_is_wanted(tmp_path: Path) -> None:
    """There is no answer yet, and what is wanted is named; its drawings are refused without a fault."""
    app, bench = pages(tmp_path)
    job = bench.new_blank("New cell", "in", "sliding")
    assert "Pusher reach" in ask(app, f"/jobs/{job}/placement").text
    assert ask(app, f"/jobs/{job}/placement/drawing").status == 409
    assert ask(app, f"/jobs/{job}/placement/chance").text == "[]"
