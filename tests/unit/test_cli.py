"""The command line: what it prints and writes, and the exit status that says the verdict."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from standoff.cli import main
from standoff.job.demonstration import NAMES, text_of
from standoff.job.file import read_job
from tests.texts import FIXED, SLIDING, altered

TEN: dict[str, str | None] = {
    "job.units": '"inch"',
    "lathe.adapter_to_collet": '"600"',
    "lathe.cover_to_wall": '"22 ft 14 in"',
    "lathe.modes[0].z_bar_change": '"300 mm"',
    "lathe.modes[1].name": '"guide-bushing"',
    "loader.pusher_reech": '"1120 mm"',
    "loader.pusher_reach": None,
    "loader.gripper_behind_clamp": '"-3020 mm"',
    "nose.collapsed": '{ value = "220 mm", source = "guess" }',
    "fittings[0].length": None,
    "rules.crush_part": '"elbow"',
}
"""Ten mistakes (a misspelt key is one, though it takes another's place)."""

CODES_OF_TEN = [
    "value-choice",
    "length-without-unit",
    "length-inches-beside-feet",
    "bar-change-outside",
    "name-twice",
    "key-unknown",
    "value-sign",
    "source-unknown",
    "key-missing",
    "value-choice",
]


def run(*arguments: str | Path) -> Result:
    """Carry out a command in this process."""
    return CliRunner().invoke(main, [str(argument) for argument in arguments])


def start(*arguments: str | Path, **environment: str) -> subprocess.CompletedProcess[bytes]:
    """Carry out a command in a process of its own."""
    command = [sys.executable, "-m", "standoff", *map(str, arguments)]
    return subprocess.run(command, env={**os.environ, **environment}, capture_output=True, check=False)


@pytest.fixture
def cell(tmp_path: Path) -> Path:
    """A job that fits, as a file alone in its folder."""
    return saved(tmp_path / "cell.toml", SLIDING)


def saved(path: Path, text: str) -> Path:
    """The file with that text."""
    path.write_text(text, encoding="utf-8")
    return path


def errors_of(result: Result) -> list[dict[str, Any]]:
    """The errors printed for other programs."""
    contents = json.loads(result.stdout)
    assert contents["format"] == "standoff-errors/1"
    errors: list[dict[str, Any]] = contents["errors"]
    return errors


@pytest.mark.parametrize(("name", "status"), list(zip(NAMES, (0, 1, 0, 3, 0), strict=True)))
def test_the_status_says_the_verdict(tmp_path: Path, name: str, status: int) -> None:
    """0 fits, 1 does not, 3 only if measured better; with and without --json."""
    path = saved(tmp_path / "cell.toml", text_of(name))
    said, told = run("place", path), run("place", path, "--json")
    assert said.exit_code == told.exit_code == status
    assert said.stderr == told.stderr == ""
    assert json.loads(told.stdout)["format"] == "standoff-answer/1"


def test_the_sentence_comes_first(cell: Path) -> None:
    """Title, verdict, what to do and why; then the table, the notes and the caution."""
    lines = run("place", cell).stdout.splitlines()
    assert lines[0].startswith("Pedal cell, bay 6: ")
    assert lines[1].startswith("Fits in both modes")
    assert lines[2].startswith("Set the nose-clamp face 297 mm behind the adapter")
    assert lines[3].startswith("Any nearer, ")
    assert lines[4] == ""
    assert lines[5].startswith("condition")
    assert lines[-1].startswith("Before anyone reaches in")


def test_the_columns_of_the_table_are_aligned(cell: Path) -> None:
    """Each column begins below its head."""
    lines = run("place", cell).stdout.splitlines()
    head, rows = lines[5], lines[6:19]
    assert all(row[head.index("standoff") - 1] == " " for row in rows)
    assert rows[1][head.index("standoff") :].startswith("at least 291.0 mm")
    assert rows[1][head.index("to spare") :].startswith("6.0 mm")
    assert not any(line != line.rstrip() for line in lines)


@pytest.mark.parametrize(
    ("at", "status"),
    [("300 mm", 0), ("11 3/4 in", 0), ("290 mm", 1), ("-5 in", 1), ("0 mm", 1), ("1 km", 2), ("291 mm", 3), ("329.5 mm", 3)],
)
def test_a_standoff_is_judged_on_request(cell: Path, at: str, status: int) -> None:
    """The status at that standoff, in any notation."""
    result = run("place", cell, "--at", at)
    assert result.exit_code == status
    if status != 2:
        assert result.stdout.splitlines()[1].startswith("At ")


@pytest.mark.parametrize("at", ["13", "thirteen", "", "13 in ± 1 mm", "1,200 mm"])
def test_a_standoff_that_cannot_be_read_is_misuse(cell: Path, at: str) -> None:
    """The option is named; nothing is judged."""
    result = run("place", cell, "--at", at)
    assert (result.exit_code, result.stdout) == (2, "")
    assert result.stderr.startswith("--at: found ")
    (error,) = errors_of(run("place", cell, "--at", at, "--json"))
    assert (error["field"], error["file"]) == ("--at", "")


@pytest.mark.parametrize("command", ["check", "place"])
def test_ten_mistakes_are_ten_lines_in_one_run(tmp_path: Path, command: str) -> None:
    """Each with file, line and field, in file order; status 2; nothing on the standard output."""
    path = saved(tmp_path / "cell.toml", altered(SLIDING, TEN))
    result = run(command, path)
    lines = result.stderr.splitlines()
    assert (result.exit_code, result.stdout, len(lines)) == (2, "", 10)
    numbers = [int(line.removeprefix(f"{path}:").split(" ")[0]) for line in lines]
    assert numbers == sorted(numbers)
    assert all("found" in line and "expected" in line and line.endswith(".") for line in lines)


def test_ten_mistakes_write_nothing(tmp_path: Path) -> None:
    """With a drawing asked for and with --json too: no file appears, and the job's own stays as it is."""
    text = altered(SLIDING, TEN)
    path = saved(tmp_path / "cell.toml", text)
    result = run("place", path, "--json", "--svg", tmp_path / "new" / "cell.svg")
    assert result.exit_code == 2
    errors = errors_of(result)
    assert [error["code"] for error in errors] == CODES_OF_TEN
    assert all(list(error) == ["code", "file", "line", "field", "found", "expected", "action"] for error in errors)
    assert {error["file"] for error in errors} == {str(path)}
    assert [entry.name for entry in tmp_path.iterdir()] == ["cell.toml"]
    assert path.read_text(encoding="utf-8") == text


def test_check_says_what_can_be_used(cell: Path) -> None:
    """No errors, the title, and what is implausible; with --json an empty list."""
    assert run("check", cell).stdout == f"{cell}: Pedal cell: no errors.\n"
    assert errors_of(run("check", cell, "--json")) == []
    saved(cell, altered(SLIDING, {"lathe.cover_to_wall": '"67 m"'}))
    questioned = run("check", cell)
    assert questioned.exit_code == 0
    assert "  Implausible: lathe.cover_to_wall: 67 m is unusual" in questioned.stdout


def test_check_with_mistakes_for_other_programs(tmp_path: Path) -> None:
    """The same errors as for place."""
    path = saved(tmp_path / "cell.toml", altered(SLIDING, TEN))
    result = run("check", path, "--json")
    assert result.exit_code == 2
    assert [error["code"] for error in errors_of(result)] == CODES_OF_TEN


@pytest.mark.parametrize("command", ["check", "place"])
def test_a_file_that_is_not_there(tmp_path: Path, command: str) -> None:
    """A missing file and a folder are told as such."""
    for path in (tmp_path / "none.toml", tmp_path):
        result = run(command, path)
        assert result.exit_code == 2
        assert "check the name and the folder" in result.stderr
        (error,) = errors_of(run(command, path, "--json"))
        assert (error["code"], error["file"]) == ("file-missing", str(path))


def test_a_drawing_is_written_beside_the_answer(cell: Path) -> None:
    """The file is named after the answer, and not in JSON; the status is the verdict's all the same."""
    picture = cell.with_suffix(".svg")
    result = run("place", cell, "--svg", picture)
    assert result.exit_code == 0
    assert result.stdout.endswith(f"\nDrawing: {picture}\n")
    assert "<svg" in picture.read_text(encoding="utf-8")
    answer = run("place", cell, "--svg", picture, "--json", "--mode", "chucker", "--state", "front limit")
    assert json.loads(answer.stdout)["verdict"] == "fits"


def test_a_drawing_of_what_does_not_fit_is_written_too(tmp_path: Path) -> None:
    """Status 1, and the drawing shows why."""
    path = saved(tmp_path / "cell.toml", text_of("spoke-nipple-cell"))
    result = run("place", path, "--svg", tmp_path / "cell.svg")
    assert result.exit_code == 1
    assert (tmp_path / "cell.svg").exists()


def test_a_drawing_that_cannot_be_made_is_misuse(cell: Path) -> None:
    """An unknown mode, a place that cannot be written, the job file itself, and a mode without a drawing."""
    picture = cell.with_suffix(".svg")
    unknown = run("place", cell, "--svg", picture, "--mode", "turning")
    assert unknown.exit_code == 2
    assert "guide-bushing, chucker" in unknown.stderr
    assert not picture.exists()
    into_file = run("place", cell, "--svg", cell / "cell.svg", "--json")
    assert into_file.exit_code == 2
    (error,) = errors_of(into_file)
    assert (error["code"], error["file"]) == ("file-unwritable", str(cell / "cell.svg"))
    assert run("place", cell, "--svg", cell).exit_code == 2
    assert run("place", cell, "--svg", cell.parent / "x" / ".." / "cell.toml").exit_code == 2
    assert run("place", cell, "--mode", "chucker").exit_code == 2
    assert cell.read_text(encoding="utf-8") == SLIDING


def test_new_prints_or_writes_a_job(tmp_path: Path) -> None:
    """To the screen without a name; to a file that names the next step; the kind and units as asked."""
    path = tmp_path / "new" / "my-job.toml"
    printed = run("new", "--headstock", "fixed", "--units", "mm")
    written = run("new", path, "--headstock", "fixed", "--units", "mm")
    assert printed.exit_code == written.exit_code == 0
    assert path.read_text(encoding="utf-8") == printed.stdout
    assert f"standoff place {path}" in written.stdout
    job = read_job(path)
    assert (job.units, job.sliding) == ("mm", False)


def test_new_never_overwrites(cell: Path) -> None:
    """What is there stays, and another name is asked for."""
    result = run("new", cell)
    assert result.exit_code == 2
    assert "choose another name" in result.stderr
    assert cell.read_text(encoding="utf-8") == SLIDING


def test_the_demonstration_writes_what_it_says(tmp_path: Path) -> None:
    """Five jobs, three files each; each cell's sentence stands on the screen; a second run changes nothing."""
    folder = tmp_path / "out"
    first = run("demo", "--out", folder)
    assert first.exit_code == 0
    files = {path.name: path.read_bytes() for path in folder.iterdir()}
    assert set(files) == {f"{name}{ending}" for name in NAMES for ending in (".toml", ".svg", "-phone.svg")}
    assert all(files[f"{name}.toml"].decode("utf-8") == text_of(name) for name in NAMES)
    for name in NAMES:
        assert read_job(folder / f"{name}.toml").title in first.stdout
    again = run("demo", "--out", folder)
    assert again.stdout == first.stdout
    assert {path.name: path.read_bytes() for path in folder.iterdir()} == files


def test_help_of_each_command_says_its_name_and_status() -> None:
    """The usage names the command as it is called."""
    for name in ("place", "check", "new", "demo"):
        assert f"{name} [OPTIONS]" in run(name, "--help").stdout
    assert "3 it fits only if measured better" in run("place", "--help").stdout


@pytest.mark.parametrize("arguments", [("place",), ("place", "a", "b"), ("place", "--what", "a"), ("new", "--units", "ft")])
def test_misuse_ends_with_its_own_status(arguments: tuple[str, ...]) -> None:
    """Neither a missing argument nor an unknown option looks like a verdict."""
    result = run(*arguments)
    assert result.exit_code == 2
    assert result.stderr


def test_a_real_process_says_the_verdict(tmp_path: Path) -> None:
    """Status 3, UTF-8 whatever the code page, and nothing on the error output."""
    path = saved(tmp_path / "zelle ½.toml", altered(SLIDING, {"loader.pusher_reach": '"1083 mm"', "job.title": '"Zelle ½"'}))
    done = start("place", path, PYTHONIOENCODING="cp1252")
    assert (done.returncode, done.stderr) == (3, b"")
    assert done.stdout.decode("utf-8").startswith("Zelle ½, bay 6: ")


def test_a_template_sent_into_a_file_can_be_read_back(tmp_path: Path) -> None:
    """`standoff new > job.toml` is UTF-8 under every code page."""
    done = start("new", PYTHONIOENCODING="cp1252")
    assert done.returncode == 0
    path = tmp_path / "job.toml"
    path.write_bytes(done.stdout)
    assert "±" in path.read_text(encoding="utf-8")
    assert read_job(path).title


def test_a_reader_that_closes_early_ends_quietly(tmp_path: Path) -> None:
    """`standoff place job.toml | head -1` is no fault of the program and no verdict."""
    path = saved(tmp_path / "cell.toml", FIXED)
    command = [sys.executable, "-m", "standoff", "place", str(path)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        process.stdout.close()
        said = process.stderr.read()
        process.wait()
    assert b"Traceback" not in said
    assert process.returncode not in (1, 70)
