"""`standoff stock`: the text, the answer for other programs, one part, another standoff, and every way to be refused."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from standoff.cli import main
from standoff.job.stock_speech import CAUTION
from tests.stocks import PRICED, SECOND, STOCKED, UNABLE
from tests.texts import SLIDING, altered


def run(*arguments: str | Path) -> Result:
    """Carry out the command in this process."""
    return CliRunner().invoke(main, ["stock", *map(str, arguments)])


@pytest.fixture
def cell(tmp_path: Path) -> Path:
    """A job with two parts of one bar."""
    return saved(tmp_path, STOCKED + SECOND)


def saved(folder: Path, text: str) -> Path:
    """The text as a file."""
    path = folder / "cell.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_everything_is_said_of_every_part(cell: Path) -> None:
    """Title, headings, mixes and caution; the figures are printed with status 0."""
    done = run(cell)
    assert done.exit_code == 0
    lines = done.output.splitlines()
    assert lines[0] == "Pedal cell, bay 6: sliding-headstock lathe, 20 mm with 12-foot loader, 20 mm"
    assert {line.strip() for line in lines} >= {
        *("Remnant:", "Bar:", "Bars to buy:", "Money:", "A longer remnant:", "Length to buy:", "Running alone:"),
        "Several parts from one bar:",
    }
    assert "pedal axle from 20 mm steel, guide-bushing mode" in lines
    assert "pedal bush from 20 mm steel, guide-bushing mode" in lines
    assert lines[-1] == CAUTION
    assert max(len(line) for line in lines[:-1]) < 240


def test_one_part_alone(cell: Path) -> None:
    """--part shows one; an unknown one is answered with those there are."""
    done = run(cell, "--part", "pedal bush")
    assert done.exit_code == 0
    assert "pedal axle from" not in done.output
    wrong = run(cell, "--part", "pedal bsh")
    assert wrong.exit_code == 2
    assert 'write "pedal bush"' in wrong.output


def test_another_standoff(cell: Path) -> None:
    """--at 340 mm leaves the pusher 10 mm short of the collet: the remnant is that much longer."""
    done = run(cell, "--at", "340 mm")
    assert done.exit_code == 0
    assert "At a standoff of 340 mm, where the pair does not fit" in done.output
    assert "shortest remnant 370 mm" in done.output
    assert run(cell, "--at", "340").exit_code == 2


def test_a_pair_that_does_not_fit_has_figures_and_pay_backs(tmp_path: Path) -> None:
    """Stock is no verdict: the status is 0, and the changes' pay-back is printed."""
    done = run(saved(tmp_path, altered(STOCKED, UNABLE) + PRICED))
    assert done.exit_code == 0
    assert "What the proposed changes pay:" in done.output


def test_the_same_bytes_for_other_programs(cell: Path) -> None:
    """--json is one document of every part, alike each time."""
    first, second = run(cell, "--json"), run(cell, "--json")
    assert first.exit_code == 0
    assert first.output == second.output
    contents = json.loads(first.output)
    assert contents["format"] == "standoff-stock/1"
    assert [part["count"] for part in contents["parts"]] == [26, 87]
    assert contents["shared_bars"][0]["counts"].keys() == {"pedal axle", "pedal bush"}


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"parts[0].length": '"3100 mm"'}, "found 3100 mm, expected less than the bar's 3000 mm"),
        ({"parts[0].length": '"2696 mm"'}, "a bar of 3000 mm, expected at least 3062 mm"),
        ({"parts[0].per_year": "0"}, "a number of 1 or more"),
        ({"prices.currency": None}, "prices.currency"),
        ({"stock.price_per_bar": '"24 EUR"'}, "a number"),
        ({"lathe.collet_to_cutoff": None}, "lathe.collet_to_cutoff"),
        ({"parts[0].bar": '"20 mm stel"'}, 'write "20 mm steel"'),
    ],
)
def test_bad_input_is_told_with_its_file(tmp_path: Path, changes: dict[str, str | None], words: str) -> None:
    """Status 2, a sentence with file, field, and what to do; the same as JSON."""
    path = saved(tmp_path, altered(STOCKED, changes))
    told = run(path)
    assert told.exit_code == 2
    assert words in told.output
    assert told.output.startswith(str(path))
    as_json = run(path, "--json")
    assert as_json.exit_code == 2
    assert json.loads(as_json.output)["format"] == "standoff-errors/1"


def test_a_job_without_parts_is_told_what_to_write(tmp_path: Path) -> None:
    """The file is named, and the table that is missing."""
    path = saved(tmp_path, SLIDING)
    done = run(path)
    assert done.exit_code == 2
    assert done.output.startswith(f"{path} parts: ")
    assert "write [[parts]]" in done.output


def test_a_file_that_is_not_there(tmp_path: Path) -> None:
    """Status 2, and that there is no such file."""
    done = run(tmp_path / "nothing.toml")
    assert done.exit_code == 2
    assert "found no file" in done.output
