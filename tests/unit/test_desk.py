"""The use-cases behind the commands: files written whole, errors and answers as text."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest

from standoff.desk.jobs import DEMONSTRATIONS, demonstration, errors_json, new_job, questions_about
from standoff.desk.papers import write_whole
from standoff.desk.placement import STATUS, advice_on, placement_of_file, placement_of_text
from standoff.desk.wording import Wording, wording
from standoff.errors import JobFileError, MissingFileError, QuantityError, UnwritableFileError, UsageError
from standoff.job.demonstration import NAMES
from standoff.job.file import parse_job
from standoff.job.placement import Verdict
from tests.texts import FIXED, SLIDING, altered


def said(text: str) -> Wording:
    """Everything that is said about a job."""
    placement = placement_of_text(text)
    return wording(placement, advice_on(placement))


def names_in(folder: Path) -> list[str]:
    """What lies in a folder, hidden files too."""
    return sorted(path.name for path in folder.iterdir())


def test_a_file_is_written_with_its_folders(tmp_path: Path) -> None:
    """Missing folders are made, the text is UTF-8 with plain line ends, and nothing else is left behind."""
    path = tmp_path / "a" / "b" / "cell.toml"
    write_whole(path, "½ ü\n")
    assert path.read_bytes() == "½ ü\n".encode()
    assert names_in(path.parent) == ["cell.toml"]
    assert os.access(path, os.R_OK)


def test_a_file_is_replaced_in_one_step(tmp_path: Path) -> None:
    """The new text takes the place of the old one; who had the old file open still reads it whole."""
    path = tmp_path / "cell.toml"
    path.write_text("old", encoding="utf-8")
    with path.open(encoding="utf-8") as reader:
        write_whole(path, "new")
        if os.name != "nt":
            assert reader.read() == "old"
    assert path.read_text(encoding="utf-8") == "new"
    assert names_in(tmp_path) == ["cell.toml"]


def full_disk(*_: object) -> None:
    """Fail as a full disk fails."""
    raise OSError(28, "No space left on device")


@pytest.mark.parametrize("step", ["replace", "chmod"])
def test_a_failure_keeps_the_old_file_and_leaves_nothing_behind(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, step: str
) -> None:
    """When a step fails, what was there stays whole and no half-written file lies beside it."""
    path = tmp_path / "cell.toml"
    path.write_text("old", encoding="utf-8")
    monkeypatch.setattr(Path, step, full_disk)
    with pytest.raises(UnwritableFileError, match="No space left on device") as caught:
        write_whole(path, "new")
    assert caught.value.code == "file-unwritable"
    assert path.read_text(encoding="utf-8") == "old"
    assert names_in(tmp_path) == ["cell.toml"]


def test_a_text_that_cannot_be_written_leaves_the_old_one(tmp_path: Path) -> None:
    """A failure half-way through the text is none of the file's business."""
    path = tmp_path / "cell.toml"
    path.write_text("old", encoding="utf-8")
    with pytest.raises(UnicodeEncodeError):
        write_whole(path, "x" * 100_000 + "\ud800")
    assert path.read_text(encoding="utf-8") == "old"
    assert names_in(tmp_path) == ["cell.toml"]


def test_an_interruption_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Ctrl+C while writing is passed on, and nothing half-written stays."""

    def interrupt(*_: object) -> None:
        raise KeyboardInterrupt

    path = tmp_path / "cell.toml"
    path.write_text("old", encoding="utf-8")
    monkeypatch.setattr(Path, "replace", interrupt)
    with pytest.raises(KeyboardInterrupt):
        write_whole(path, "new")
    assert path.read_text(encoding="utf-8") == "old"
    assert names_in(tmp_path) == ["cell.toml"]


def test_a_place_that_is_none_is_refused(tmp_path: Path) -> None:
    """A folder is no file, and a file is no folder."""
    (tmp_path / "file").write_text("old", encoding="utf-8")
    for path in (tmp_path, tmp_path / "file" / "cell.toml"):
        with pytest.raises(UnwritableFileError, match="check the folder and the space left"):
            write_whole(path, "new")
    assert names_in(tmp_path) == ["file"]


def test_an_existing_file_is_kept_where_asked(tmp_path: Path) -> None:
    """Without leave nothing is overwritten, whatever lies there."""
    path = tmp_path / "cell.toml"
    write_whole(path, "old", overwrite=False)
    for place in (path, tmp_path):
        with pytest.raises(UnwritableFileError, match="choose another name") as caught:
            write_whole(place, "new", overwrite=False)
        assert caught.value.code == "file-exists"
    assert path.read_text(encoding="utf-8") == "old"


def test_questions_about_a_file(tmp_path: Path) -> None:
    """The title, and what is implausible; a file with mistakes raises them all."""
    path = tmp_path / "cell.toml"
    path.write_text(altered(SLIDING, {"lathe.cover_to_wall": '"67 m"'}), encoding="utf-8")
    title, questions = questions_about(path)
    assert title == "Pedal cell"
    assert [question.id for question in questions] == ["implausible:lathe.cover_to_wall"]
    path.write_text(altered(SLIDING, {"job.units": "1", "loader.name": "1"}), encoding="utf-8")
    with pytest.raises(JobFileError) as caught:
        questions_about(path)
    assert {problem.file for problem in caught.value.problems} == {str(path)}
    assert len(caught.value.problems) == 2


def test_errors_are_told_to_other_programs() -> None:
    """Problems of a file, a file that is missing, a length typed wrong, and nothing at all."""
    with pytest.raises(JobFileError) as caught:
        parse_job(altered(SLIDING, {"job.units": "1"}), file="cell.toml")
    (error,) = json.loads(errors_json(caught.value))["errors"]
    assert (error["code"], error["file"], error["line"]) == ("value-choice", "cell.toml", 6)
    (error,) = json.loads(errors_json(MissingFileError("none.toml")))["errors"]
    assert (error["code"], error["file"], error["line"]) == ("file-missing", "none.toml", None)
    unwritable = UnwritableFileError("out.svg", reason="is full", action="make room")
    (error,) = json.loads(errors_json(unwritable))["errors"]
    assert (error["code"], error["file"]) == ("file-unwritable", "out.svg")
    assert json.loads(errors_json()) == {"format": "standoff-errors/1", "errors": []}


def test_a_standoff_typed_wrong_names_its_option(tmp_path: Path) -> None:
    """The option is named, in the sentence and for other programs, and no file is blamed."""
    path = tmp_path / "cell.toml"
    path.write_text(SLIDING, encoding="utf-8")
    with pytest.raises(QuantityError, match=r'^--at: found .* write "13 in" or "13 mm"') as caught:
        placement_of_file(path, at="13")
    (error,) = json.loads(errors_json(caught.value))["errors"]
    assert (error["code"], error["file"], error["field"]) == ("length-without-unit", "", "--at")
    with pytest.raises(QuantityError, match=r"^--wanted: "):
        advice_on(placement_of_file(path), wanted="wide")
    with pytest.raises(UsageError, match="--wanted"):
        advice_on(placement_of_file(path), wanted="-1 in")


def test_a_file_is_placed_as_its_text_is(tmp_path: Path) -> None:
    """From a file or from a text, at the aim or at a standoff as typed."""
    path = tmp_path / "cell.toml"
    path.write_text(FIXED, encoding="utf-8")
    assert placement_of_file(path).aim_mm == placement_of_text(FIXED).aim_mm == 349.0
    assert placement_of_file(path, at="15 in").asked_mm == pytest.approx(381.0)


def test_each_verdict_has_its_status() -> None:
    """0, 1 and 3; 2 is for input that cannot be used."""
    assert STATUS == {Verdict.FITS: 0, Verdict.NOT: 1, Verdict.BETTER: 3}


def test_new_jobs_and_demonstrations_are_jobs() -> None:
    """What is handed out can be read back."""
    assert DEMONSTRATIONS == NAMES
    for text in (new_job("sliding", "in"), new_job("fixed", "mm"), *map(demonstration, NAMES)):
        assert parse_job(text).title


def test_everything_that_is_said_about_a_placement() -> None:
    """Title, sentences, table of conditions and notes of a job that fits."""
    words = said(SLIDING)
    assert words.title == "Pedal cell, bay 6: sliding-headstock lathe, 20 mm with 12-foot loader, 20 mm"
    assert words.headline.startswith("Fits in both modes: ")
    assert words.spoken.startswith("Set the nose-clamp face 297 mm")
    assert words.why.startswith("Any nearer, ")
    assert words.conditions.head[3] == "to spare at 297 mm"
    assert len(words.conditions.rows) == 13
    assert all(len(row) == len(words.conditions.head) for row in words.conditions.rows)
    nose, passage = words.conditions.rows[1], words.conditions.rows[-1]
    assert nose[:4] == ("Room for the nose", "chucker, rear limit", "at least 291.0 mm", "6.0 mm")
    assert nose[-1] == "binds"
    assert passage[:4] == ("Passage", "", "", "7.0 mm")
    assert "no release" in words.caution


def test_a_condition_that_does_not_hold_is_said_so() -> None:
    """In words, not only by its sign."""
    rows = said(altered(SLIDING, {"loader.pusher_reach": '"1000 mm"'})).conditions.rows
    failing = {(row[0], row[1]) for row in rows if "does not hold" in row[-1]}
    assert ("Room for the nose", "chucker, rear limit") in failing
    assert ("Pusher reach", "guide-bushing, front limit") in failing


def test_notes_are_said_only_where_there_are_any() -> None:
    """No heading stands without a line; what is not checked says what for."""
    for text in (SLIDING, FIXED):
        assert all(lines for _, lines in said(text).notes)
    notes = dict(said(FIXED).notes)
    assert "Clearance to the cover: for want of lathe.cover_to_adapter" in notes["Not checked"][0]
    assert not any("interlock" in heading for heading in notes)
    pairings = next(lines for heading, lines in said(SLIDING).notes if "interlock" in heading)
    assert pairings[0].startswith("loader shifted as in chucker, headstock at the rear limit of guide-bushing: ")
    assert "(138 mm missing)" in pairings[0]
