"""`standoff level`: text, JSON and exit status, for a job in line, out of line, not sure, and one that does not tell."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

import pytest
from click.testing import CliRunner, Result

from standoff.cli import main
from standoff.desk.jobs import demonstration
from standoff.errors import CODES
from tests.levelling import ENDS, FOUND, FRAME, LEVELLED, READ, STILL, round_of, unbracketed
from tests.texts import SLIDING, altered

WIDE = '[level_tolerances]\nspindle = "1 mm"\naxis = "2 mm"\nroll = "2 mm/m"\n'


def run(*arguments: object) -> Result:
    """Run the command as a terminal would."""
    return CliRunner().invoke(main, ["level", *map(str, arguments)])


def saved(folder: Path, text: str) -> Path:
    """A job file with this text."""
    path = folder / "cell.toml"
    path.write_text(text, encoding="utf-8")
    return path


def answer(path: Path) -> dict[str, Any]:
    """The answer for other programs."""
    contents: dict[str, Any] = json.loads(run(path, "--json").output)
    return contents


@pytest.mark.parametrize(
    ("more", "status", "outcome"),
    [
        ("", 1, "not-in-line"),
        (ENDS + WIDE, 0, "in-line"),
        (ENDS + WIDE.replace('"1 mm"', '"0.553 mm"'), 3, "in-line-if-measured-better"),
        (WIDE, 3, "not-decided"),
    ],
)
def test_the_status_says_how_the_axis_lies(tmp_path: Path, more: str, status: int, outcome: str) -> None:
    """Text and JSON end alike."""
    path = saved(tmp_path, LEVELLED + more)
    assert run(path).exit_code == run(path, "--json").exit_code == status
    assert answer(path)["outcome"] == outcome


def test_the_text_has_everything_in_its_order(tmp_path: Path) -> None:
    """Sentence, height, standoff, tolerances, round with axis, readings, feet, screws, what is expected, work, cautions."""
    text = run(saved(tmp_path, LEVELLED)).output
    wanted = (
        *("Not in line (round 1", "Set the feet as listed", "Centre height:", "Standoff: 300 mm", "Allowed either way:"),
        *("Round 1, as found", "Axis against the spindle's:", "Readings:", "To mind:", "Feet:", "front left: down 0.44 mm"),
        *("Then the side screws:", "Expected then:", "Order of work:", "[next]", "Lock out both machines", "no release"),
    )
    places = [text.index(words) for words in wanted]
    assert places == sorted(places)


def test_the_last_round_or_all(tmp_path: Path) -> None:
    """The last round alone, or every round with `--rounds`; a loader in line is given no moves."""
    path = saved(tmp_path, SLIDING + FRAME + FOUND + READ + round_of(2, STILL, told='stage = "moved"\n'))
    last, every = run(path).output, run(path, "--rounds").output
    assert "Round 1, as found" not in last
    assert "Round 2, moved" in last
    assert "Round 1, as found" in every
    assert "Round 2, moved" in every
    assert "Feet:" in every[: every.index("Round 2")]
    assert "Feet:" not in every[every.index("Round 2") :]


def test_what_is_not_outside_is_not_moved(tmp_path: Path) -> None:
    """Within only if measured better: nothing is listed to be moved."""
    text = run(saved(tmp_path, LEVELLED + ENDS + WIDE.replace('"1 mm"', '"0.553 mm"'))).output
    assert "nothing needs to be moved" in text
    assert "Feet:" not in text
    assert "Expected then:" not in text


@pytest.mark.parametrize("arrangement", ["wide", "narrow", "page"])
def test_the_frame_is_drawn_with_its_moves(tmp_path: Path, arrangement: str) -> None:
    """Every foot and screw by its name with what it does; where nothing is to be moved the names alone."""
    path, drawing = saved(tmp_path, LEVELLED), tmp_path / "frame.svg"
    done = run(path, "--svg", drawing, "--arrangement", arrangement)
    assert done.exit_code == 1
    assert f"Drawing: {drawing}" in done.output
    texts = " ".join(ElementTree.fromstring(drawing.read_text(encoding="utf-8")).itertext()).split()
    said = " ".join(texts)
    for words in ("front left", "rear right", "front screws", "up 0.72 mm", "down 0.44 mm", "push right 0.72 mm"):
        assert words in said
    quiet = saved(tmp_path, LEVELLED + ENDS + WIDE)
    assert run(quiet, "--svg", drawing, "--arrangement", arrangement).exit_code == 0
    said = " ".join(" ".join(ElementTree.fromstring(drawing.read_text(encoding="utf-8")).itertext()).split())
    assert "rear right" in said
    assert "up 0.72 mm" not in said


def test_what_cannot_be_drawn(tmp_path: Path) -> None:
    """A job without feet is refused with what to write; the job file itself is never replaced."""
    bare = saved(tmp_path, SLIDING + unbracketed(READ))
    done = run(bare, "--svg", tmp_path / "frame.svg")
    assert done.exit_code == 2
    assert "write where each foot stands" in done.output
    assert not (tmp_path / "frame.svg").exists()
    text = bare.read_text(encoding="utf-8")
    assert run(bare, "--svg", bare).exit_code == 2
    assert bare.read_text(encoding="utf-8") == text


def test_another_standoff(tmp_path: Path) -> None:
    """`--at` goes before what was read; a typed standoff that is none is refused with the option's name."""
    path = saved(tmp_path, LEVELLED)
    assert "Standoff: 310 mm (as asked)" in run(path, "--at", "310 mm").output
    refused = run(path, "--at", "310")
    assert refused.exit_code == 2
    assert "--at" in refused.output


def test_a_round_that_does_not_tell_is_refused(tmp_path: Path) -> None:
    """Without a level: exit status 2, and the level is asked for; the code stands in the JSON."""
    path = saved(tmp_path, LEVELLED.replace(READ[: READ.index("[[sweeps]]")], "\n"))
    told = run(path)
    assert told.exit_code == 2
    assert "round 1: readings that do not tell: roll" in told.output
    assert "lay a level across the loader" in told.output
    (error,) = json.loads(run(path, "--json").output)["errors"]
    assert (error["code"], error["field"]) == ("level-open", "levels")
    assert error["code"] in CODES
    assert run(path, "--json").exit_code == 2


def test_a_job_without_readings_is_refused(tmp_path: Path) -> None:
    """It says what to write."""
    done = run(saved(tmp_path, SLIDING))
    assert done.exit_code == 2
    assert "write [[levels]] and [[sweeps]] or [[line_readings]]" in done.output


def test_the_json_carries_the_figures(tmp_path: Path) -> None:
    """The pose, the feet and the screws by hand; null where a travel was not stated or a thing was not read."""
    contents = answer(saved(tmp_path, altered(LEVELLED, {"frame.shim_step": '"0.1 mm"'})))
    assert contents["format"] == "standoff-level/1"
    (one,) = contents["rounds"]
    assert {name: part["value"] for name, part in one["pose"].items()} == {
        "lift": 0.36,
        "pitch": 0.2,
        "roll": 0.5,
        "shift": 0.2,
        "yaw": 0.0,
    }
    feet = {foot["name"]: foot for foot in one["plan"]["feet"]}
    assert feet["rear right"]["wanted_mm"] == 0.72
    assert feet["rear right"]["move_mm"] == 0.7
    assert (feet["front left"]["least_mm"], feet["front left"]["greatest_mm"]) == (-6.0, 12.0)
    assert (feet["rear right"]["least_mm"], feet["rear right"]["greatest_mm"]) == (None, None)
    assert one["plan"]["shims"] is True
    assert one["plan"]["coarse"] is False
    assert one["in_doubt"] == []
    assert one["agreement"]["probability"] is None
    assert one["read_at_one_position"] == ["headstock", "loader"]
    assert one["now"]["points"][0]["upright"]["miss_mm"] == 0.36
    # Read with the headstock back and the loader standing only: what hangs on the rest is not told.
    assert one["now"]["points"][1]["upright"] == {"miss_mm": None, "u_mm": None, "grade": "not decided"}
    assert contents["standoff_again"] is None
    assert contents["next"] == "roll-and-height"
    assert contents["work"][0] == {"task": "centre-height", "state": "done", "why": ""}
    assert len(contents["cautions"]) == 4
    assert contents["questions"] == []


def test_the_json_of_the_same_input_is_the_same(tmp_path: Path) -> None:
    """Byte for byte, and no figure that is not finite."""
    path = saved(tmp_path, demonstration("shell-cell"))
    assert run(path, "--json").output == run(path, "--json").output
    json.loads(run(path, "--json").output, parse_constant=lambda word: pytest.fail(word))


def test_the_demonstration_job_is_brought_into_line(tmp_path: Path) -> None:
    """As found out of line; moved by shims it is in line, stands where it was expected, and the anchors come next."""
    path = saved(tmp_path, demonstration("shell-cell"))
    assert run(path).exit_code == 0
    contents = answer(path)
    first, second = contents["rounds"]
    assert (first["now"]["grade"], second["now"]["grade"]) == ("outside", "within")
    assert contents["standoff_again"]["serves"] is True
    assert contents["next"] == "anchor"
    for expected, found in zip(first["plan"]["expected"]["points"], second["now"]["points"], strict=True):
        for way in ("upright", "sideways"):
            u_mm = (expected[way]["u_mm"] ** 2 + found[way]["u_mm"] ** 2) ** 0.5
            assert abs(expected[way]["miss_mm"] - found[way]["miss_mm"]) < 2.6 * u_mm


def test_tightened_and_told_as_json(tmp_path: Path) -> None:
    """What changed at each point, with its grade."""
    text = SLIDING + FRAME + FOUND + STILL + round_of(2, STILL, told='stage = "tightened"\nstandoff = "300 mm"\n')
    contents = answer(saved(tmp_path, text))
    assert len(contents["tightening"]) == 11
    assert contents["tightening"][0]["upright"] == {
        "change_mm": 0.0,
        "u_mm": pytest.approx(0.01, abs=0.01),
        "seen": False,
        "grade": "within",
    }
    assert contents["standoff_again"]["round"] == 2
