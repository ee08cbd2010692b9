"""Moving the loader as a page shows it: the instruction, the gauge, the log, and direct readings against their prediction."""

from __future__ import annotations

import re
from collections.abc import Mapping
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from standoff.desk.move_page import MoveView, move_view, stand_of
from standoff.draw.gauge import gauge
from standoff.draw.scene import Text
from standoff.errors import QuantityError, UsageError
from standoff.job.demonstration import text_of
from standoff.job.file import parse_job
from standoff.job.moving import stand
from standoff.job.placement import place
from standoff.reading import read_quantity
from standoff.store.records import LogLine
from tests.asked import CHANGE, ask, pages
from tests.texts import SLIDING, altered

JOB = parse_job(SLIDING)
NO_WINDOW = parse_job(altered(SLIDING, {"loader.pusher_reach": '"700 mm"'}))


def noted(kind: str, contents: Mapping[str, Any], number: int = 1) -> LogLine:
    """A line of the log."""
    return LogLine(number, "j", f"k{number}", datetime(2026, 5, 4, 9, number, tzinfo=UTC), kind, contents)


def after(*gaps: str) -> MoveView:
    """The page after these gaps were read with the headstock fully back."""
    return move_view(JOB, [noted("reading", {"gap": gap, "headstock": "rear"}, i + 1) for i, gap in enumerate(gaps)])


def test_before_any_reading_the_aim_is_told() -> None:
    """Where to, what is sure, and that a reading is wanted."""
    view = move_view(JOB, [])
    assert view.headline == f"Bring it to {view.aim}"
    assert view.asked == ()
    assert "now" not in view.gauge


def test_the_last_reading_gives_the_instruction() -> None:
    """100 mm beyond the aim, 100 mm short of it, and at it."""
    aim_mm = round(place(JOB).aim_mm or 0.0)
    assert after(f"{aim_mm + 100} mm").headline == "Move 100 mm towards the lathe"
    assert after(f"{aim_mm + 100} mm", f"{aim_mm - 100} mm").headline == "Move 100 mm away from the lathe"
    view = after(f"{aim_mm} mm")
    assert (view.headline, view.kind) == ("Leave it there", "fits")
    assert [line.verdict for line in after(f"{aim_mm + 100} mm", f"{aim_mm} mm").noted] == ["within the band", "outside the band"]


def test_on_the_aim_it_says_so() -> None:
    """At the aim nothing is off; beside it the distance is told."""
    aim_mm = round(place(JOB).aim_mm or 0.0)
    assert after(f"{aim_mm} mm").detail.endswith("That is within the band and on the aim.")
    assert after(f"{aim_mm + 2} mm").detail.endswith("That is within the band; the aim is 2.0 mm off.")


def test_what_is_sure_is_told_as_a_sentence() -> None:
    """From where to where; or that nothing is sure."""
    assert re.fullmatch(r"sure from \d+ mm to \d+ mm", move_view(JOB, []).band)
    assert move_view(parse_job(text_of("spacer-cell")), []).band == "no standoff is sure with today's readings"


@pytest.mark.parametrize("gap", ["0 mm", "-300 mm"])
def test_a_gap_that_cannot_be_is_refused(gap: str) -> None:
    """The clamp face never stands ahead of the adapter."""
    with pytest.raises(UsageError, match=r"above 0.*read from the nose-clamp face forward"):
        stand_of(JOB, {"gap": gap})


def test_a_move_of_yards_is_questioned() -> None:
    """Feet typed for inches: the instruction stands, and the reading is asked about."""
    assert after("10 ft").detail.endswith("That is far to go: check the reading and its unit.")
    assert "far to go" not in after("30 in").detail


def test_where_nothing_serves_it_says_so() -> None:
    """Without an aim there is no instruction and no gauge."""
    view = move_view(NO_WINDOW, [noted("reading", {"gap": "300 mm"})])
    assert view.headline == "No standoff serves"
    assert view.gauge == ""


def test_a_reading_that_rests_on_a_survey_that_is_gone_is_left_out() -> None:
    """A reading by the cover of a job whose cover is no longer surveyed does not stand in the way of the page."""
    bare = parse_job(altered(SLIDING, {"lathe.cover_to_adapter": None}))
    assert move_view(bare, [noted("reading", {"gap": "300 mm", "headstock": "out", "at": "4 mm"})]).noted == ()


def test_direct_readings_are_judged_by_phase() -> None:
    """The last reading of each phase is compared with what the survey predicts from where the loader stands."""
    aim_mm = round(place(JOB).aim_mm or 0.0)
    log = [noted("reading", {"gap": f"{aim_mm} mm", "phase": "anchored"})]
    for number, (phase, value) in enumerate(
        [("aligned", "100 mm"), ("aligned", f"{aim_mm} mm"), ("anchored", f"{aim_mm + 40} mm")], 2
    ):
        log.append(noted("direct", {"field": "nose-room guide-bushing", "value": value, "phase": phase}, number))
    view = move_view(JOB, log)
    nose = next(asked for asked in view.asked if asked.field == "nose-room guide-bushing")
    assert [(given.phase, given.right) for given in nose.given] == [("after aligning", True), ("after anchoring", False)]
    assert "something has moved" in nose.given[1].said
    assert view.phase == "anchored"


@pytest.mark.parametrize("contents", [{"gap": "300 mm", "headstock": "moon"}, {"gap": "300 mm", "source": "ouija"}])
def test_a_reading_from_nowhere_is_refused(contents: dict[str, str]) -> None:
    """A position or a tool that is not of the list."""
    with pytest.raises(UsageError):
        stand_of(JOB, contents)


def test_a_gap_without_a_unit_is_refused() -> None:
    """As any length."""
    with pytest.raises(QuantityError):
        stand_of(JOB, {"gap": "300"})


def test_the_gauge_keeps_everything_on_the_sheet() -> None:
    """Near, far and very far away, the words and marks stay on the sheet, and away from the lathe is left."""
    placement = place(JOB)
    for gap in ("10 mm", "300 mm", "900 mm", "15 m"):
        here = stand(JOB, gap=read_quantity(gap, default_source="tape")[0], mode="guide-bushing", headstock="rear")
        scene = gauge(placement, here)
        texts = [shape for shape in scene.shapes if isinstance(shape, Text)]
        assert all(text.box.left >= 0.0 and text.box.right <= scene.width for text in texts)
        at = {text.words.split()[0]: (text.box.left + text.box.right) / 2 for text in texts}
        assert (at["now"] > at["aim"]) == (here.standoff_mm < (placement.aim_mm or 0.0)) or gap == "300 mm"


def test_a_reading_sent_twice_counts_once(tmp_path: Path) -> None:
    """A form sent again by an impatient thumb makes one line of the log."""
    app, bench = pages(tmp_path)
    job = bench.new_from_text(SLIDING, "pedal.toml")
    form = {"gap": "300 mm", "headstock": "rear", "phase": "moving", "key": "k1"}
    for _ in range(2):
        assert ask(app, f"/jobs/{job}/move/reading", method="POST", headers=CHANGE, form=form).status == 303
    assert len(bench.logged(job)) == 1


def test_what_cannot_be_used_is_not_logged(tmp_path: Path) -> None:
    """It stays in its field with the reason, and the log stays empty."""
    app, bench = pages(tmp_path)
    job = bench.new_from_text(SLIDING, "pedal.toml")
    form = {"gap": "300", "headstock": "z", "phase": "moving", "key": "k1"}
    answer = ask(app, f"/jobs/{job}/move/reading", method="POST", headers=CHANGE, form=form)
    assert answer.status == 422
    assert 'value="300"' in answer.text
    assert bench.logged(job) == ()
    direct = ask(app, f"/jobs/{job}/move/direct", method="POST", headers=CHANGE, form={"field": "x", "value": "y", "key": "k2"})
    assert direct.status == 422
    blank = bench.new_blank("New cell", "in", "sliding")
    assert "To the survey" in ask(app, f"/jobs/{blank}/move").text
    assert ask(app, f"/jobs/{blank}/move/reading", method="POST", headers=CHANGE, form=form).status == 303
