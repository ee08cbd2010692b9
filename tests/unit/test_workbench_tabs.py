"""Two pages, or two people, at one job: changes of different fields come together, changes of one field are both shown."""

from __future__ import annotations

from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path

import pytest

from standoff.desk.workbench import Clash, Entry, Saved, Workbench
from standoff.errors import StaleRevisionError, UnknownRecordError
from standoff.store.jobs import Store
from tests.benches import Clock, clashed, fresh_bench, saved
from tests.texts import SLIDING

REACH = "loader.pusher_reach"


@pytest.fixture
def bench(tmp_path: Path) -> Workbench:
    """An empty workbench."""
    return fresh_bench(tmp_path)


@pytest.fixture
def job_id(bench: Workbench) -> str:
    """A whole job at revision 1, which both pages show."""
    return bench.new_from_text(SLIDING, "cell.toml")


def test_different_fields_come_together(bench: Workbench, job_id: str) -> None:
    """Both entries are in the newest revision, and so are the one after the other that waits."""
    saved(bench, job_id, REACH, "1130 mm", base=1)
    saved(bench, job_id, "nose.extended", "570", base=1)
    sheet = saved(bench, job_id, "nose.collapsed", "225 mm", base=1)
    assert [sheet.entry(f).text for f in (REACH, "nose.extended", "nose.collapsed")] == ["1130 mm", "570", "225 mm"]
    assert sheet.number == 4


def test_same_field_is_shown_to_both(bench: Workbench, job_id: str) -> None:
    """The second entry is not written; both are handed back, and saved again from what is shown it stands."""
    saved(bench, job_id, REACH, Entry("1130 mm", source="tape"), base=1)
    clash = clashed(bench, job_id, REACH, "1125 mm", base=1)
    assert (clash.field, clash.yours, clash.theirs) == (REACH, Entry("1125 mm"), Entry("1130 mm", source="tape"))
    assert clash.sheet == bench.sheet(job_id)
    assert clash.sheet.number == 2
    assert saved(bench, job_id, REACH, "1125 mm", base=clash.sheet.number).entry(REACH).text == "1125 mm"
    assert bench.sheet(job_id, 2).entry(REACH).text == "1130 mm"


def test_same_entry_from_both_is_no_clash(bench: Workbench, job_id: str) -> None:
    """What is there already needs no second revision, whoever typed it."""
    saved(bench, job_id, REACH, "1130 mm", base=1)
    assert saved(bench, job_id, REACH, "1130 mm", base=1).number == 2


def test_what_waits_clashes_too(bench: Workbench, job_id: str) -> None:
    """An entry that could not be taken is somebody's work as well: it is not overwritten unseen, by a good one or a bad."""
    saved(bench, job_id, REACH, "44 inn", base=1)
    assert clashed(bench, job_id, REACH, "1125 mm", base=1).theirs == Entry("44 inn")
    assert clashed(bench, job_id, REACH, "44 inc", base=1).theirs == Entry("44 inn")
    assert clashed(bench, job_id, REACH, "", base=1).theirs == Entry("44 inn")


def test_emptied_field_clashes(bench: Workbench, job_id: str) -> None:
    """A value that the other page took away is not put back unseen."""
    saved(bench, job_id, "nose.may_be_cut", "", base=1)
    assert clashed(bench, job_id, "nose.may_be_cut", "30 mm", base=1).theirs == Entry("")


def test_change_and_change_back_is_no_clash(bench: Workbench, job_id: str) -> None:
    """What stands as the page shows it may be overwritten, whatever happened in between."""
    saved(bench, job_id, REACH, "1130 mm", base=1)
    saved(bench, job_id, REACH, "1120 mm", base=2)
    assert saved(bench, job_id, REACH, "1125 mm", base=1).number == 4


def test_return_to_an_earlier_revision_is_seen(bench: Workbench, job_id: str) -> None:
    """A page that shows what was taken back since then clashes."""
    saved(bench, job_id, REACH, "1130 mm", base=1)
    bench.return_to(job_id, 1)
    assert clashed(bench, job_id, REACH, "1131 mm", base=2).theirs == Entry("1120 mm")


def test_entry_follows_its_row(bench: Workbench, job_id: str) -> None:
    """When a row before it was taken away, what is typed goes into the same row, not into the one that now has its number."""
    for _ in range(2):
        bench.add(job_id, "fittings", 1)
    for i, name in ((1, "bushing"), (2, "guide plate")):
        saved(bench, job_id, f"fittings[{i}].name", name)
        saved(bench, job_id, f"fittings[{i}].length", "45 mm")
    base = bench.sheet(job_id).number
    assert isinstance(bench.remove(job_id, "fittings[0]", base), Saved)
    sheet = saved(bench, job_id, "fittings[2].length", "50 mm", base=base)
    assert sheet.raw["fittings"] == [{"name": "bushing", "length": "45 mm"}, {"name": "guide plate", "length": "50 mm"}]
    clash = clashed(bench, job_id, "fittings[0].length", "46 mm", base=base)
    assert clash.theirs == Entry("")
    outcome = bench.save(job_id, "fittings[2].name", Entry("two\nlines"), base)
    assert isinstance(outcome, Saved)
    assert not outcome.accepted
    assert set(outcome.sheet.pending) == {"fittings[1].name"}


def test_row_changed_by_another_is_not_taken_away(bench: Workbench, job_id: str) -> None:
    """A row in which somebody has typed since then is shown first; one that is gone already is gone."""
    saved(bench, job_id, "fittings[0].length", "46 mm", base=1)
    clash = bench.remove(job_id, "fittings[0]", 1)
    assert isinstance(clash, Clash)
    assert clash.theirs.text == "name = guide plate, length = 46 mm"
    assert isinstance(bench.remove(job_id, "fittings[0]", 2), Saved)
    outcome = bench.remove(job_id, "fittings[0]", 2)
    assert isinstance(outcome, Saved)
    assert outcome.sheet.number == 3


def test_rows_added_by_two_are_two_rows(bench: Workbench, job_id: str) -> None:
    """Each page that adds gets an entry of its own."""
    assert len(bench.add(job_id, "fittings", 1).raw["fittings"]) == 2
    assert len(bench.add(job_id, "fittings", 1).raw["fittings"]) == 3


def test_revision_that_never_was_is_refused(bench: Workbench, job_id: str) -> None:
    """A page cannot have seen a revision that is not there."""
    for base in (0, 2, -1):
        with pytest.raises(UnknownRecordError):
            bench.save(job_id, REACH, Entry("1 m"), base)
        with pytest.raises(UnknownRecordError):
            bench.remove(job_id, "fittings[0]", base)


def test_many_writers_at_once_lose_nothing(tmp_path: Path) -> None:
    """Four workbenches on one file, each saving fields of its own as fast as it can: every entry is there in the end."""
    fields = ("lathe.adapter_to_collet", REACH, "loader.gripper_behind_clamp", "nose.extended")
    job_id = fresh_bench(tmp_path).new_from_text(SLIDING, "cell.toml")

    def typing(field: str) -> None:
        bench = Workbench(Store(tmp_path / "jobs.sqlite"), Clock())
        base = 1
        for i in range(8):
            base = saved(bench, job_id, field, f"{900 + i} mm", base=base).number

    with ThreadPoolExecutor(len(fields)) as pool:
        list(pool.map(typing, fields))
    sheet = fresh_bench(tmp_path).sheet(job_id)
    assert [sheet.entry(field).text for field in fields] == ["907 mm"] * 4
    assert sheet.number == 1 + 8 * 4


def test_writer_that_is_always_too_late_is_told(bench: Workbench, job_id: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """A change that never gets its turn ends in an error that says so, and nothing is written."""

    def late(job_id: str, number: int, new: object) -> None:
        raise StaleRevisionError(job_id=job_id, number=number)

    monkeypatch.setattr(bench._store, "add_revision", late)
    with pytest.raises(StaleRevisionError, match="save again"):
        bench.save(job_id, REACH, Entry("1 m"), 1)
    assert bench.sheet(job_id).number == 1


def test_entry_of_another_source_is_another_entry(bench: Workbench, job_id: str) -> None:
    """The same figure read in another way is a change, and clashes like one."""
    entry = Entry("1120 mm", source="tape")
    saved(bench, job_id, REACH, entry, base=1)
    assert clashed(bench, job_id, REACH, replace(entry, source="laser"), base=1).theirs == entry
