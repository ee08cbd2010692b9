"""`standoff runoff`: the text, the answer for other programs, the plan alone, the sheet, the status, every refusal."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from standoff.cli import main
from standoff.desk.runoff import runoff_of_job
from standoff.job.runoff_speech import CAUTION
from tests.runoffs import RUNOFF, runoff_job
from tests.texts import SLIDING, altered

BARS = """
[[runoff_bars]]
key = "{key}"
at = "2026-03-03T{hour:02}:00:00Z"
run = "{run}"
remnant = "369 mm"
first_part = "57.01 mm"
change = "41 s"
"""


def run(*arguments: str | Path) -> Result:
    """Carry out the command in this process."""
    return CliRunner().invoke(main, ["runoff", *map(str, arguments)])


def saved(folder: Path, text: str) -> Path:
    """The text as a file."""
    path = folder / "cell.toml"
    path.write_text(text, encoding="utf-8")
    return path


@pytest.fixture
def cell(tmp_path: Path) -> Path:
    """A job with two runs, one of them begun."""
    return saved(tmp_path, RUNOFF)


def passed(cell: Path, *, result: str = "ok") -> str:
    """The job with everything run and tested, every row of its sheet with this result."""
    sheet = json.loads(CliRunner().invoke(main, ["runoff", "--json", str(cell)]).output)["signals"]
    rows = [f'\n[[runoff_signals]]\nrow = "{row["id"]}"\nresult = "{result}"\n' for row in sheet]
    bars = [BARS.format(key=f"{name}{hour}", hour=hour, run=name) for name in ("pins", "hubs") for hour in (9, 10, 11)]
    plain = altered(RUNOFF, {"runoff_bars[0].remnant": '"369 mm"', "runoff_bars[0].bar_length": None})
    return "".join([plain, *bars, *rows])


def test_the_sentence_comes_first(cell: Path) -> None:
    """Job, sentence, agreement; then each run with its headings; stops and signals; the caution last."""
    done = run(cell)
    assert done.exit_code == 3
    lines = done.output.splitlines()
    assert lines[0] == "Pedal cell, bay 6: sliding-headstock lathe, 20 mm with 12-foot loader, 20 mm"
    assert lines[1].startswith(
        "Not decided yet. Pins: the only bar so far ran clean, 2 more clean bars in a row are needed; hubs: "
    )
    assert lines[2] == "Agreed by both sides on 2026-03-02."
    assert {line.strip() for line in lines} >= {
        "The plan:",
        "What the bars show:",
        "Remnant:",
        "Parts:",
        "Bar change:",
        "No stops.",
    }
    assert "pins: 16 mm steel, guide-bushing mode, 2000 rpm" in lines
    assert lines[-1] == CAUTION
    assert max(len(line) for line in lines[:-1]) < 300


def test_every_status(cell: Path, tmp_path: Path) -> None:
    """0 accepted, 1 not passed, 3 not decided yet, 2 not to be used."""
    assert run(cell).exit_code == 3
    good, bad = passed(cell), passed(cell, result="not ok")
    accepted = run(saved(tmp_path, good))
    assert (accepted.exit_code, accepted.output.splitlines()[1][:36]) == (0, "Accepted: both runs passed what was ")
    failed = run(saved(tmp_path, bad))
    assert (failed.exit_code, failed.output.splitlines()[1]) == (1, "Not passed: a signal does not come as it must.")
    assert run(saved(tmp_path, altered(RUNOFF, {"runoff.confidence": "95.0"}))).exit_code == 2


def test_the_plan_alone(cell: Path) -> None:
    """What is agreed and what it proves, before the first bar; nothing of the tally, and no verdict in the status."""
    done = run(cell, "--plan-only")
    assert done.exit_code == 0
    assert "Three clean bars in a row, with one new beginning allowed, show only that at least 29.3 of 100 bars" in done.output
    for word in ("Not decided yet", "What the bars show", "Remnant:", "Stops", "signals are ok"):
        assert word not in done.output


def test_the_sheet_with_its_results(cell: Path) -> None:
    """--signals prints every row, tested or not."""
    assert "Signals to test:" not in run(cell).output
    done = run(cell, "--signals")
    assert "  [ok] lathe-door: any time: open the lathe's door; bar loader waits for door closed: " in done.output
    assert "  [not tested] lathe-stop: " in done.output


def test_the_answer_for_other_programs(cell: Path) -> None:
    """Format, decision, what is shown; the same bytes for the same input; the status says the same."""
    done = run(cell, "--json")
    assert done.exit_code == 3
    assert run(cell, "--json").output == done.output
    found = json.loads(done.output)
    assert (found["format"], found["decision"], found["shown_share"]) == ("standoff-runoff/1", "not-yet", None)
    assert found["counted_causes"] == ["bar", "lathe", "loader", "program", "tool"]
    pins, hubs = found["runs"]
    assert (pins["clean"], pins["bars_to_go"], hubs["bars"]) == (1, 2, [])
    assert pins["plan"]["shown_share"] == pytest.approx((1.0 - 0.95**0.5) ** (1 / 3), abs=1e-6)
    assert pins["remnant"]["measured_mm"] == [360.0]
    assert pins["remnant"]["chart"] is None
    assert pins["last_parts"]["outside"] == 0
    assert {clause["id"] for clause in found["clauses"]} == {
        "bars",
        "remnant",
        "first-part",
        "end-part",
        "bar-change",
        "signals",
        "alarms",
    }
    assert found["cautions"] == [CAUTION]


def test_everything_measured_for_other_programs(cell: Path, tmp_path: Path) -> None:
    """Charts, capability, verdicts; lengths are numbers, not text."""
    found = json.loads(run(saved(tmp_path, passed(cell)), "--json").output)
    pins = found["runs"][0]
    assert found["decision"] == "accepted"
    assert found["shown_share"] == pins["plan"]["shown_share"]
    assert pins["remnant"]["against_agreed"]["compliance"] == "within what was agreed"
    assert pins["remnant"]["chart"]["provisional"] is True
    assert pins["first_parts"]["capability"]["cp"] > 0.0
    assert pins["bar_change"]["over"] == 0


def test_where_the_loader_was_left_counts() -> None:
    """After anchoring the standoff that was read, else the aim."""
    aimed, left = (runoff_of_job(runoff_job(more=more)) for more in ("", '[as_installed]\nstandoff = "310 mm"\n'))
    assert left.placement.standoff_mm == 310.0
    assert aimed.placement.standoff_mm == aimed.placement.aim_mm != 310.0


def test_a_job_without_a_run_off_is_answered(tmp_path: Path) -> None:
    """Our default plan for its modes, said to be ours; nothing is made up."""
    done = run(saved(tmp_path, SLIDING))
    assert done.exit_code == 3
    assert "this is our default, common practice without a published source" in done.output
    assert "No signal test sheet: describe a part, and its cycle gives the rows." in done.output


def test_a_file_that_cannot_be_used(tmp_path: Path) -> None:
    """All errors at once, each with its line; as JSON too."""
    path = saved(tmp_path, altered(RUNOFF, {"runoff.agreed_on": '"yesterday"', "runoff_bars[0].run": '"nobody"'}))
    done = run(path)
    assert done.exit_code == 2
    assert [line.split(" ")[1].rstrip(":") for line in done.stderr.splitlines()] == ["runoff.agreed_on", "runoff_bars[0].run"]
    told = json.loads(run(path, "--json").output)
    assert [error["code"] for error in told["errors"]] == ["time-form", "run-unknown"]


def test_a_row_that_the_sheet_has_not(tmp_path: Path) -> None:
    """It is found with the whole job at hand, and still named with file and line."""
    path = saved(tmp_path, altered(RUNOFF, {"runoff_signals[0].row": '"lathe-dore"'}))
    done = run(path)
    line = 1 + path.read_text(encoding="utf-8").splitlines().index('row = "lathe-dore"')
    assert done.exit_code == 2
    assert done.stderr.startswith(f"{path}:{line} runoff_signals[0].row: ")


def test_no_such_file(tmp_path: Path) -> None:
    """A missing file is told as one."""
    done = run(tmp_path / "none.toml")
    assert done.exit_code == 2
    assert done.stderr.startswith("found no file ")
