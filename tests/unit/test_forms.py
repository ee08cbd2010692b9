"""What a form sends, read into an entry; and what the pages do with nonsense."""

from __future__ import annotations

from pathlib import Path

import pytest
from starlette.datastructures import FormData

from standoff.desk.workbench import Entry
from standoff.errors import UsageError
from standoff.web.forms import LONGEST, entry_of, number_of, told, whole
from tests.asked import CHANGE, ask, pages, typed
from tests.texts import SLIDING

UNKNOWN = "f" * 32


def test_an_entry_is_read_with_all_it_says() -> None:
    """Text, source, limits of error and note; what is empty is nothing."""
    form = FormData({"text": " 44 in ", "source": "tape", "uncertainty": "", "note": "by hand"})
    assert entry_of(form) == Entry("44 in", source="tape", note="by hand")


@pytest.mark.parametrize(
    ("text", "way", "entered"),
    [
        ("1 1/2 in", "1", "-1 1/2 in"),
        ("1 1/2 in", "0", "1 1/2 in"),
        ("-1 in", "1", "-1 in"),
        ("\u22121 in", "1", "\u22121 in"),
        ("", "1", ""),
    ],
)
def test_a_direction_becomes_the_sign(text: str, way: str, entered: str) -> None:
    """The second direction is minus, unless a sign was typed."""
    assert entry_of(FormData({"text": text, "way": way})).text == entered


def test_a_text_beyond_all_measure_is_refused_and_never_cut() -> None:
    """Nothing typed is shortened in silence."""
    assert told(FormData({"text": "x" * LONGEST}), "text") == "x" * LONGEST
    with pytest.raises(UsageError, match="at most 400"):
        told(FormData({"text": "x" * (LONGEST + 1)}), "text")


@pytest.mark.parametrize(
    ("text", "number"), [("7", 7), ("-7", None), ("7.0", None), ("٧", None), ("9" * 12, None), ("", None), ("x", None)]
)
def test_whole_numbers(text: str, number: int | None) -> None:
    """Short whole numbers in plain digits, nothing else."""
    assert whole(text) == number
    assert number_of(FormData({"base": text}), "base") == (number or 0)


def test_a_job_that_is_not_there(tmp_path: Path) -> None:
    """Every page of an unknown job is a page that says so, with 404."""
    app, _ = pages(tmp_path)
    for page in (
        "survey",
        "survey/blank",
        "survey/since",
        "placement",
        "placement/drawing",
        "placement/chance",
        "move",
        "history",
        "export",
    ):
        answer = ask(app, f"/jobs/{UNKNOWN}/{page}")
        assert answer.status == 404, page
        assert "Traceback" not in answer.text
    assert typed(app, UNKNOWN, "job.title", "x").status == 404
    row = {"number": "1", "table": "fittings", "element": "fittings[0]"}
    for act in ("archive", "back", "copy", "history/return", "move/reading", "move/direct", "placement/adopt", "add", "remove"):
        assert ask(app, f"/jobs/{UNKNOWN}/{act}", method="POST", headers=CHANGE, form=row).status == 404, act


@pytest.mark.parametrize(
    "form",
    [
        {},
        {"field": ""},
        {"field": "lathe"},
        {"field": "lathe.modes[99].z_rear", "text": "1 in", "base": "1"},
        {"field": "loader.pusher_reach", "text": "1 in", "base": "999999"},
        {"field": "../../etc", "text": "1 in", "base": "1"},
        {"field": "loader.pusher_reach[7]", "text": "1 in", "base": "1"},
        {"field": "loader.pusher_reach", "text": "x" * 5000, "base": "1"},
        {"field": "loader.pusher_reach", "text": "a\x00b", "base": "1"},
        {"field": "lathe.cover_to_adapter", "text": "1 in", "base": "1", "stood": "moon"},
        {"field": "lathe.cover_to_adapter", "text": "1 in", "base": "1", "stood": "z", "at": "far"},
        {"field": "loader.pusher_reach", "text": "1 in", "base": "1", "source": "ouija"},
    ],
)
def test_nonsense_is_never_a_fault(tmp_path: Path, form: dict[str, str]) -> None:
    """Whatever a form says, it is taken or refused in words; the job stays."""
    app, bench = pages(tmp_path)
    job = bench.new_from_text(SLIDING, "pedal.toml")
    answer = ask(app, f"/jobs/{job}/field", method="POST", headers={**CHANGE, "hx-request": "true"}, form=form)
    assert answer.status < 500
    assert "Traceback" not in answer.text
    assert bench.sheet(job).job is not None


@pytest.mark.parametrize(
    "query",
    [
        "at=nan",
        "at=1e308",
        "at=-inf",
        "at=x",
        "trial=99",
        "trial=-1",
        "trial=x",
        "mode=none",
        "state=none",
        "mode=chucker&state=none",
    ],
)
def test_odd_addresses_of_the_placement(tmp_path: Path, query: str) -> None:
    """What an address asks for and there is not, is left out or refused in words."""
    app, bench = pages(tmp_path)
    job = bench.new_from_text(SLIDING, "pedal.toml")
    for page in ("placement", "placement/drawing", "placement/chance"):
        answer = ask(app, f"/jobs/{job}/{page}?{query}")
        assert answer.status in (200, 422), answer.text[:300]


def test_an_upload_that_is_none(tmp_path: Path) -> None:
    """No file, a folder's worth of bytes that are no text, a broken form: refused in words."""
    app, bench = pages(tmp_path)
    assert ask(app, "/jobs/import", method="POST", headers=CHANGE, form={"file": "x"}).status == 422
    broken = {**CHANGE, "content-type": "multipart/form-data; boundary=x"}
    assert ask(app, "/jobs/import", method="POST", headers=broken).status < 500
    assert bench.cards() == []
