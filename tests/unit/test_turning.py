"""Entries read with the headstock elsewhere, turned into the dimension that is asked for."""

from __future__ import annotations

from pathlib import Path

import pytest

from standoff.desk.turning import STOOD, stood_choices, turned_entry
from standoff.desk.workbench import Entry, Sheet
from standoff.errors import QuantityError, UsageError
from tests.benches import fresh_bench
from tests.texts import SLIDING, altered

COVER, CUTOFF = "lathe.cover_to_adapter", "lathe.collet_to_cutoff"


def sheet(folder: Path, text: str = SLIDING) -> Sheet:
    """The sheet of a job: travel 190 mm, adapter 40 mm out of the cover, 320 mm to the cut-off."""
    bench = fresh_bench(folder)
    return bench.sheet(bench.new_from_text(text, "pedal.toml"))


@pytest.mark.parametrize(
    ("field", "text", "stood", "at", "becomes"),
    [
        (COVER, "150 mm", "front", "", "-40 mm"),
        (COVER, "60 mm", "z", "100 mm", "-40 mm"),
        (CUTOFF, "510 mm", "rear", "", "320 mm"),
        (CUTOFF, "410 mm", "z", "100 mm", "320 mm"),
        (CUTOFF, "510 mm", "out", "40 mm", "320 mm"),
        (CUTOFF, "450 mm", "in", "20 mm", "320 mm"),
    ],
)
def test_turned_by_hand(tmp_path: Path, field: str, text: str, stood: str, at: str, becomes: str) -> None:
    """Each position by hand, and the note says what was read and where."""
    entry, how = turned_entry(sheet(tmp_path), field, Entry(text, source="tape"), stood=stood, at=at)
    assert (entry.text, entry.source) == (becomes, "tape")
    assert entry.note == how
    assert text in how


def test_what_was_read_where_it_is_defined_stays(tmp_path: Path) -> None:
    """No position, the dimension's own, a dimension without one, or nothing typed: as it is."""
    job = sheet(tmp_path)
    for field, stood in ((COVER, ""), (COVER, "rear"), ("lathe.centre_height", "front")):
        assert turned_entry(job, field, Entry("40 mm"), stood=stood, at="") == (Entry("40 mm"), "")
    assert turned_entry(job, COVER, Entry(""), stood="front", at="") == (Entry(""), "")


def test_stated_limits_of_error_go_along(tmp_path: Path) -> None:
    """Limits typed behind the length are kept."""
    entry, _ = turned_entry(sheet(tmp_path), COVER, Entry("150 mm ± 2 mm"), stood="front", at="")
    assert (entry.text, entry.uncertainty) == ("-40 mm", "2 mm")


def test_the_note_of_a_turned_reading_leaves_with_it(tmp_path: Path) -> None:
    """Typed over, the old way of reading is no longer told; a note of one's own stays."""
    bench = fresh_bench(tmp_path)
    job = bench.new_from_text(SLIDING, "pedal.toml")
    entry, how = turned_entry(bench.sheet(job), COVER, Entry("150 mm"), stood="front", at="")
    bench.save(job, COVER, entry, 1)
    again, _ = turned_entry(bench.sheet(job), COVER, Entry("-41 mm", note=how), stood="", at="")
    assert again.note is None
    own, _ = turned_entry(bench.sheet(job), COVER, Entry("-41 mm", note="behind the guard"), stood="", at="")
    assert own.note == "behind the guard"


@pytest.mark.parametrize(("stood", "at"), [("z", ""), ("out", ""), ("moon", "1 mm")])
def test_a_position_that_says_too_little_is_refused(tmp_path: Path, stood: str, at: str) -> None:
    """A position without its length, or none of the list."""
    with pytest.raises(UsageError):
        turned_entry(sheet(tmp_path), CUTOFF, Entry("510 mm"), stood=stood, at=at)


def test_what_cannot_be_read_is_refused(tmp_path: Path) -> None:
    """A length or a Z without a unit."""
    job = sheet(tmp_path)
    with pytest.raises(QuantityError):
        turned_entry(job, CUTOFF, Entry("510"), stood="rear", at="")
    with pytest.raises(QuantityError):
        turned_entry(job, CUTOFF, Entry("510 mm"), stood="z", at="100")


def test_without_a_survey_of_z_or_cover_it_is_said(tmp_path: Path) -> None:
    """The travel must be known first, and the cover for a reading by the cover."""
    bench = fresh_bench(tmp_path)
    blank = bench.new_blank("Pedal cell", "mm", "sliding")
    with pytest.raises(UsageError, match="Z at both limits"):
        turned_entry(bench.sheet(blank), COVER, Entry("150 mm"), stood="front", at="")
    bare = bench.new_from_text(altered(SLIDING, {COVER: None}), "pedal.toml")
    with pytest.raises(UsageError, match="cover to adapter"):
        turned_entry(bench.sheet(bare), CUTOFF, Entry("510 mm"), stood="out", at="40 mm")


def test_positions_to_choose_from() -> None:
    """A dimension's own position comes first and is sent as nothing; the cover is no help to find itself."""
    assert stood_choices("front")[0] == ("", "fully forward in the first mode")
    assert [value for value, _ in stood_choices("front")] == ["", "rear", "z", "out", "in"]
    assert [value for value, _ in stood_choices("rear")] == ["", "front", "z"]
    assert len(STOOD) == 5
