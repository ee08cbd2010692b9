"""Every invalid entry of the job-file tests, typed into a job: it stays as typed beside its reason, and the answer stands."""

from __future__ import annotations

from pathlib import Path

import pytest

from standoff.desk.workbench import Entry, Sheet, Workbench
from standoff.errors import UsageError
from standoff.job.file import parse_job
from standoff.job.placement import place
from tests.benches import fresh_bench, saved
from tests.texts import SLIDING
from tests.unit.test_job_file import CHECK, LENGTHS, MISTAKES

REACH = "loader.pusher_reach"
LENGTH_FIELDS = (
    REACH,
    f"{REACH}[1]",
    "lathe.cover_to_adapter",
    "lathe.modes[1].z_rear",
    "lathe.modes[0].loader_shift",
    "loader.centre_height[0]",
    "loader.bar_capacity",
    "nose.entry_depth",
    "fittings[0].length",
    "passage[1].bore",
    "rules.longest_bar",
    "rules.setting_uncertainty",
)

REMEDY = '[[remedy]]\nkind = "fitting"\nfitting = "guide plate"\nlength = "6 mm"\n'
AGAIN = '[as_installed]\nstandoff = "300 mm"\n\n[[return_reading]]\nquantity = "loader.pusher_reach"\nvalue = "1120 mm"\n'
ACROSS = CHECK.format(start="adapter", end="main-collet", value="600 mm")

# What is typed where, the code and place of the reason, and tables that have to be there besides.
ENTRIES: list[tuple[str, Entry, str, str, str]] = [
    ("format", Entry("standoff-answer/1"), "file-format", "", ""),
    ("format", Entry("standoff-job/2"), "file-newer", "", ""),
    ("lathe.name", Entry("x" * 201), "value-kind", "", ""),
    ("lathe.name", Entry("a\nb"), "value-kind", "", ""),
    ("job.units", Entry("inches"), "value-choice", "", ""),
    ("job.units", Entry("IN"), "value-choice", "", ""),
    ("rules.crush_part", Entry("elbow"), "value-choice", "", ""),
    ("nose.kind", Entry("telescope"), "value-choice", "", ""),
    ("lathe.headstock", Entry("gliding"), "value-choice", "", ""),
    ("lathe.z_forward", Entry("+"), "value-choice", "", ""),
    (REACH, Entry("-1120 mm"), "value-sign", "", ""),
    (REACH, Entry("0 mm"), "value-sign", "", ""),
    (f"{REACH}[1]", Entry("-1120 mm"), "value-sign", "", ""),
    ("nose.overlap", Entry("-1 mm"), "value-sign", "", ""),
    ("loader.centre_height[0]", Entry("-960 mm"), "value-sign", "", ""),
    ("lathe.modes[1].name", Entry("guide-bushing"), "name-twice", "", ""),
    ("lathe.modes[1].z_front", Entry("150 mm"), "z-order", "", ""),
    ("lathe.modes[0].z_bar_change", Entry("191 mm"), "bar-change-outside", "", ""),
    ("rules.longest_bar", Entry("3661 mm"), "bar-too-long", "", ""),
    ("loader.centre_height[0]", Entry("1121 mm"), "range-reversed", "", ""),
    ("nose.extended", Entry("252 mm"), "nose-lengths", "", ""),
    ("nose.may_be_cut", Entry("220 mm"), "nose-lengths", "", ""),
    ("nose.length", Entry("355 mm"), "nose-kind", "", ""),
    ("nose.least_engagement", Entry("21 mm"), "nose-entry", "", ""),
    ("rules.nose_clearance_preferred", Entry("5 mm"), "rule-order", "", ""),
    (REACH, Entry("1120 mm ±"), "uncertainty-form", "", ""),
    (REACH, Entry("1120 mm ± 1 mm", uncertainty="1 mm"), "uncertainty-twice", "", ""),
    (REACH, Entry("1120 mm ± -1 mm"), "uncertainty-negative", "", ""),
    (REACH, Entry("1120 mm", uncertainty="-1 mm"), "uncertainty-negative", ".uncertainty", ""),
    (REACH, Entry("1120 mm", uncertainty="1"), "length-without-unit", ".uncertainty", ""),
    (REACH, Entry("1120 mm", source="tap"), "source-unknown", ".source", ""),
    ("check[0].to", Entry("spindle"), "station-unknown", "", ACROSS),
    ("check[0].to", Entry("adapter"), "station-twice", "", ACROSS),
    ("check[0].state", Entry("front"), "value-choice", "", ACROSS),
    ("check[0].value", Entry("600 mm ± 0 mm"), "reading-exact", "", ACROSS),
    ("check[0].mode", Entry("turning"), "mode-unknown", "", ACROSS),
    ("remedy[0].fitting", Entry("plate"), "fitting-unknown", "", REMEDY),
    ("remedy[0].cost", Entry("180"), "currency-missing", "", REMEDY),
    ("remedy[0].cost", Entry("cheap"), "value-kind", "", REMEDY),
    ("remedy[0].cost", Entry("1e999"), "value-kind", "", REMEDY),
    ("remedy[0].available", Entry("perhaps"), "value-kind", "", REMEDY),
    ("remedy[0].lengths", Entry("2 in; ; 4 in"), "length-empty", "[1]", REMEDY),
    ("return_reading[0].quantity", Entry("loader.reach"), "field-unknown", "", AGAIN),
]

NOT_TYPED = {
    "file-syntax": "what is typed is written as TOML, whatever it is",
    "key-missing": "an emptied field is missing, not refused",
    "key-unknown": "a field that is none is misuse",
    "headstock-modes": "the modes are put aside",
    "z-forward-missing": "an emptied field is missing, not refused",
    "quantity-form": "what is typed is text",
    "quantity-list-empty": "the last reading taken away takes its key along",
    "quantity-key-unknown": "an entry has the known keys only",
    "quantity-value-missing": "an empty text takes the value away",
    "standoff-missing": "said of the standoff, when the station is typed",
    "reading-of-what": "said of the whole reading, not of one of its fields",
}
"""The mistakes of the job-file tests that no single entry can make, and why."""


@pytest.fixture
def bench(tmp_path: Path) -> Workbench:
    """An empty workbench."""
    return fresh_bench(tmp_path)


def test_no_mistake_is_forgotten() -> None:
    """Every code of the job-file tests is typed here, or it is said why it cannot be."""
    assert {code for _, _, code, _, _ in ENTRIES} | set(NOT_TYPED) | set(LENGTHS) == set(MISTAKES) | set(LENGTHS)


def assert_waits(before: Sheet, after: Sheet, field: str, entry: Entry) -> None:
    """The entry stands as typed with its reason; the text and the answer are what they were."""
    assert after.entry(field) == entry
    pending = after.pending[field]
    assert (pending.text, pending.source, pending.uncertainty) == (entry.text, entry.source, entry.uncertainty)
    assert pending.reason.found
    assert pending.reason.sentence().endswith(".")
    assert after.text == before.text
    assert after.job == before.job
    assert after.number == before.number + 1


@pytest.mark.parametrize("code", LENGTHS)
def test_bad_length_waits_in_every_field(bench: Workbench, code: str) -> None:
    """Each way to write a length wrong, in quantities of every kind; the empty one takes the value away instead."""
    job_id = bench.new_from_text(SLIDING, "cell.toml")
    for field in LENGTH_FIELDS:
        before = bench.sheet(job_id)
        after = saved(bench, job_id, field, LENGTHS[code])
        if code == "length-empty":
            assert after.entry(field) == Entry("")
            continue
        assert_waits(before, after, field, Entry(LENGTHS[code]))
        assert after.pending[field].reason.code == code
    if code != "length-empty":
        assert set(bench.sheet(job_id).pending) == set(LENGTH_FIELDS)
        assert place(bench.sheet(job_id).job) == place(parse_job(SLIDING))  # type: ignore[arg-type]


@pytest.mark.parametrize(("field", "entry", "code", "part", "more"), ENTRIES)
def test_bad_entry_waits(bench: Workbench, field: str, entry: Entry, code: str, part: str, more: str) -> None:
    """Each entry that cannot be taken waits with its reason, also after the job is opened anew and copied."""
    text = SLIDING if code != "nose-entry" else SLIDING.replace("overlap", 'entry_depth = "20 mm"\noverlap')
    job_id = bench.new_from_text(f"{text}\n{more}", "cell.toml")
    before = bench.sheet(job_id)
    after = saved(bench, job_id, field, entry)
    assert_waits(before, after, field, entry)
    reason = after.pending[field].reason
    assert reason.code == code
    assert reason.field.startswith(field.partition("[1]")[0] if field.startswith(REACH) else field.partition("_height[")[0])
    assert reason.field.endswith(part)
    number = len(bench.history(job_id))
    assert saved(bench, job_id, field, entry).number == number
    other = saved(bench, job_id, "job.site", "bay 9")
    assert other.pending[field].entry == entry
    good = before.entry(field)
    assert field not in saved(bench, job_id, field, good).pending


def test_unknown_key_is_misuse(bench: Workbench) -> None:
    """A page that offers a field the file does not have is at fault, not the person who types."""
    job_id = bench.new_from_text(SLIDING, "cell.toml")
    with pytest.raises(UsageError):
        bench.save(job_id, "loader.colour", Entry("grey"), 1)


def test_what_waits_is_taken_when_it_has_become_right(bench: Workbench) -> None:
    """Each save tries again what waits: one change may let in several entries, one after another."""
    job_id = bench.new_from_text(SLIDING, "cell.toml")
    saved(bench, job_id, "rules.longest_bar", "3700 mm")
    saved(bench, job_id, "lathe.modes[0].z_bar_change", "195 mm")
    saved(bench, job_id, "nose.length", "400 mm")
    sheet = saved(bench, job_id, "loader.bar_capacity", "12 ft 6 in")
    assert set(sheet.pending) == {"lathe.modes[0].z_bar_change", "nose.length"}
    assert sheet.entry("rules.longest_bar").text == "3700 mm"
    sheet = saved(bench, job_id, "lathe.modes[0].z_front", "200 mm")
    assert set(sheet.pending) == {"nose.length"}
    sheet = saved(bench, job_id, "nose.kind", "fixed")
    assert set(sheet.pending) == {"nose.collapsed", "nose.extended", "nose.overlap"}
    assert sheet.job is not None


def test_reason_keeps_up_with_the_job(bench: Workbench) -> None:
    """The reason names the figures as they are now, not as they were when the entry was typed."""
    job_id = bench.new_from_text(SLIDING, "cell.toml")
    saved(bench, job_id, "rules.longest_bar", "4 m")
    assert "3660 mm" in bench.sheet(job_id).pending["rules.longest_bar"].reason.expected
    saved(bench, job_id, "loader.bar_capacity", "3800 mm")
    assert "3800 mm" in bench.sheet(job_id).pending["rules.longest_bar"].reason.expected


def test_a_wrong_neighbour_does_not_stop_an_entry(bench: Workbench) -> None:
    """What an entry makes wrong elsewhere is said there; the entry itself is taken."""
    job_id = bench.new_from_text(SLIDING, "cell.toml")
    sheet = saved(bench, job_id, "lathe.z_forward", "negative")
    assert sheet.pending == {}
    assert {(p.code, p.field) for p in sheet.problems} == {("z-order", f"lathe.modes[{i}].z_front") for i in (0, 1)}
    assert sheet.job is None
    saved(bench, job_id, "lathe.modes[0].z_rear", "400 mm")
    saved(bench, job_id, "lathe.modes[0].z_bar_change", "300 mm")
    sheet = saved(bench, job_id, "lathe.modes[1].z_rear", "600 mm")
    assert sheet.job is not None
