"""The workbench: begun, typed into, taken back; nothing typed is lost, and answers use the last value that could be used."""

from __future__ import annotations

import re
from dataclasses import replace
from itertools import groupby
from pathlib import Path
from random import Random

import pytest

from standoff.desk.workbench import Card, Entry, Saved, Workbench
from standoff.errors import JobFileError, UnknownRecordError, UsageError
from standoff.job.demonstration import NAMES, text_of
from standoff.job.file import parse_job, read_tables
from standoff.job.placement import place, quick_verdict
from standoff.job.tables import FORMAT
from standoff.reading import SOURCES
from tests.benches import START_UTC, entries_of, every_field, fresh_bench, rows_of, saved
from tests.jobs import random_case
from tests.texts import FIXED, SLIDING

REACH = "loader.pusher_reach"


@pytest.fixture
def bench(tmp_path: Path) -> Workbench:
    """An empty workbench."""
    return fresh_bench(tmp_path)


@pytest.fixture
def job_id(bench: Workbench) -> str:
    """A whole job."""
    return bench.new_from_text(SLIDING, "cell.toml")


def tables(bench: Workbench, job_id: str) -> dict[str, object]:
    """The tables of a job's newest revision, read from its exported text."""
    raw = read_tables(bench.export(job_id))
    assert isinstance(raw, dict)
    return raw


def typed_in(bench: Workbench, text: str, seed: int) -> str:
    """A job begun blank and typed in field by field, in an order drawn from the seed."""
    entries = list(entries_of(text).items())
    Random(seed).shuffle(entries)
    headstock = dict(entries)["lathe.headstock"].text
    job_id = bench.new_blank("Blank", "mm", "sliding" if headstock == "sliding" else "fixed")
    for table, rows in rows_of(text).items():
        for _ in range(rows - (table == "lathe.modes")):
            bench.add(job_id, table, bench.sheet(job_id).number)
    for field, entry in entries:
        saved(bench, job_id, field, entry)
    return job_id


# Begun


def test_blank_job_holds_what_was_chosen(bench: Workbench) -> None:
    """Title, units and headstock are in it, and everything that must be there is asked for by name."""
    sheet = bench.sheet(bench.new_blank("  Axle “A” \\ 7 ", "in", "sliding"))
    assert sheet.raw == {
        "format": FORMAT,
        "job": {"title": "Axle “A” \\ 7", "units": "in"},
        "lathe": {"headstock": "sliding", "modes": [{}]},
        "loader": {},
        "nose": {},
    }
    wanted = {problem.field for problem in sheet.problems}
    assert {"lathe.adapter_to_collet", "lathe.z_forward", "lathe.modes[0].z_rear", REACH, "nose.kind"} <= wanted
    assert sheet.job is None
    assert sheet.number == 1
    assert sheet.made_utc == START_UTC


def test_blank_job_of_a_fixed_headstock_has_no_mode(bench: Workbench) -> None:
    """Nothing is asked for that a fixed headstock does not have."""
    sheet = bench.sheet(bench.new_blank("Bell cell", "mm", "fixed"))
    assert not [problem for problem in sheet.problems if "modes" in problem.field or "z_forward" in problem.field]


@pytest.mark.parametrize("title", ["", "  ", "two\nlines", "x" * 201, "nul\0"])
def test_bad_title_begins_no_job(bench: Workbench, title: str) -> None:
    """A title the job file could not hold is refused, and nothing is left behind."""
    with pytest.raises(JobFileError) as caught:
        bench.new_blank(title, "mm", "fixed")
    assert [problem.field for problem in caught.value.problems] == ["job.title"]
    assert bench.cards() == []


@pytest.mark.parametrize("text", [SLIDING, FIXED, *map(text_of, NAMES)])
@pytest.mark.parametrize("seed", [1, pytest.param(2, marks=pytest.mark.prove)])
def test_typed_in_any_order_it_is_the_same_job(bench: Workbench, text: str, seed: int) -> None:
    """A job typed in field by field, in any order, holds the tables of the file, and nothing is left waiting."""
    job_id = typed_in(bench, text, seed)
    assert bench.sheet(job_id).pending == {}
    assert tables(bench, job_id) == read_tables(text)
    assert place(bench.sheet(job_id).job) == replace(  # type: ignore[arg-type]
        place(parse_job(text)), job=bench.sheet(job_id).job
    )


@pytest.mark.parametrize("seed", range(12))
def test_random_job_typed_in(bench: Workbench, seed: int) -> None:
    """The same of random jobs, whose limits lie close to one another."""
    text = random_case(seed).text()
    job_id = typed_in(bench, text, seed)
    assert bench.sheet(job_id).pending == {}
    made, asked = read_tables(bench.export(job_id)), read_tables(text)
    assert isinstance(asked, dict)
    assert made == {key: value for key, value in asked.items() if value}


def test_job_from_a_file_and_back(bench: Workbench) -> None:
    """What goes in comes out, byte for byte, comments included; a byte-order mark does not matter."""
    text = text_of("axle-cell")
    assert bench.export(bench.new_from_text("\ufeff" + text, "axle.toml")) == text


def test_file_with_a_mistake_is_not_taken_in(bench: Workbench) -> None:
    """Every problem is named with the file, and there is no job."""
    with pytest.raises(JobFileError) as caught:
        bench.new_from_text(SLIDING.replace('"1120 mm"', '"1120"'), "cell.toml")
    assert {problem.file for problem in caught.value.problems} == {"cell.toml"}
    with pytest.raises(JobFileError, match="larger"):
        bench.new_from_text("#" * 1_000_001, "cell.toml")
    assert bench.cards() == []


def test_job_from_another_survey(bench: Workbench) -> None:
    """The survey and what waits come along under a new title; the record of the visit stays with its pair."""
    old = bench.new_from_text(text_of("moved-cell"), "moved.toml")
    saved(bench, old, REACH, "44 inn")
    saved(bench, old, "symptom[0].by", "much")
    new = bench.sheet(bench.new_from(old, "Next cell"))
    assert new.job is not None
    assert new.job.title == "Next cell"
    assert set(new.raw) == set(bench.sheet(old).raw) - {"as_installed", "return_reading", "symptom"}
    assert set(new.pending) == {REACH}
    with pytest.raises(JobFileError):
        bench.new_from(old, " ")


def test_demonstrations_come_once(bench: Workbench) -> None:
    """All of them into an empty store, the first on top; never beside anything, even if all were put away."""
    bench.seed_demonstrations()
    titles = [parse_job(text_of(name)).title for name in NAMES]
    assert [card.title for card in bench.cards()] == titles
    for card in bench.cards():
        bench.archive(card.id)
    bench.seed_demonstrations()
    assert bench.cards() == []
    assert len(bench.cards(archived=True)) == len(NAMES)


# Typed


def test_quantity_is_written_as_typed(bench: Workbench, job_id: str) -> None:
    """A bare text stays text; what is said of it makes a table; every other line of the file stays as it was."""
    sheet = saved(bench, job_id, REACH, "44 1/2 in")
    assert sheet.text == SLIDING.replace('pusher_reach = "1120 mm"', 'pusher_reach = "44 1/2 in"')
    entry = Entry("44 1/2 in", source="tape", uncertainty="1/8 in", note="collet on")
    sheet = saved(bench, job_id, REACH, entry)
    line = '{ value = "44 1/2 in", uncertainty = "1/8 in", source = "tape", note = "collet on" }'
    assert sheet.text == SLIDING.replace('pusher_reach = "1120 mm"', f"pusher_reach = {line}")
    assert sheet.entry(REACH) == entry
    assert sheet.job is not None
    assert sheet.job.readings[REACH].value_mm == 1130.3


def test_what_a_page_does_not_ask_for_stays(bench: Workbench) -> None:
    """A stated standard uncertainty stays until another is given; the time of a reading goes with its value."""
    line = '{ value = "1120 mm", standard_uncertainty = "0.4 mm", when = 2026-05-01, source = "laser" }'
    job_id = bench.new_from_text(SLIDING.replace('pusher_reach = "1120 mm"', f"pusher_reach = {line}"), "cell.toml")
    assert saved(bench, job_id, REACH, Entry("1120 mm", source="laser")).number == 1
    sheet = saved(bench, job_id, REACH, Entry("1120 mm", source="tape"))
    assert sheet.entry(REACH) == Entry("1120 mm", source="tape", standard_uncertainty="0.4 mm", when="2026-05-01")
    sheet = saved(bench, job_id, REACH, Entry("1121 mm", source="tape"))
    assert sheet.entry(REACH) == Entry("1121 mm", source="tape", standard_uncertainty="0.4 mm")
    sheet = saved(bench, job_id, REACH, Entry("1121 mm", uncertainty="2 mm"))
    assert sheet.entry(REACH) == Entry("1121 mm", uncertainty="2 mm")


def test_empty_text_takes_a_value_away(bench: Workbench, job_id: str) -> None:
    """An optional key is gone; a required one is missing, and there is no answer until it is there again."""
    sheet = saved(bench, job_id, "nose.may_be_cut", Entry("", source="tape", note="gone"))
    assert "may_be_cut" not in sheet.text
    assert sheet.job is not None
    sheet = saved(bench, job_id, REACH, " ")
    assert [(p.code, p.field) for p in sheet.problems] == [("key-missing", REACH)]
    assert sheet.job is None
    assert saved(bench, job_id, REACH, "1120 mm").job is not None


def test_same_value_makes_no_revision(bench: Workbench, job_id: str) -> None:
    """What is there already is not written again, blanks at the ends or not; nor is a change that comes back to the same."""
    for field in ("job.title", REACH, "lathe.modes[1].z_front", "loader.centre_height[1]", "nose.least_engagement"):
        entry = bench.sheet(job_id).entry(field)
        assert saved(bench, job_id, field, replace(entry, text=f" {entry.text} ")).number == 1
    assert len(bench.history(job_id)) == 1


def test_numbers_flags_and_lists_are_written_as_such(bench: Workbench, job_id: str) -> None:
    """Prices, yes or no, and lists of lengths go into the file as what they are, and come back as typed."""
    bench.add(job_id, "prices", 1)
    saved(bench, job_id, "prices.currency", "EUR")
    bench.add(job_id, "remedy", 1)
    typed = {
        "remedy[0].kind": "pusher-extension",
        "remedy[0].available": "Yes",
        "remedy[0].lengths": "2 in; 4 in",
        "remedy[0].cost": "180",
        "remedy[0].cost_per_year": "12.50",
    }
    for field, text in typed.items():
        saved(bench, job_id, field, text)
    remedy = {"kind": "pusher-extension", "available": True, "lengths": ["2 in", "4 in"], "cost": 180, "cost_per_year": 12.5}
    assert tables(bench, job_id)["remedy"] == [remedy]
    sheet = bench.sheet(job_id)
    assert [sheet.entry(f).text for f in typed] == ["pusher-extension", "true", "2 in; 4 in", "180", "12.5"]


def test_second_readings_have_fields_of_their_own(bench: Workbench, job_id: str) -> None:
    """`[1]` behind a quantity is its second reading: added, changed, refused and taken away without touching the first."""
    sheet = saved(bench, job_id, f"{REACH}[1]", Entry("1122 mm", source="tape"))
    assert sheet.job is not None
    assert [r.value_mm for r in sheet.job.repeats[REACH]] == [1122.0]
    assert saved(bench, job_id, f"{REACH}[0]", "1120 mm").number == 2
    sheet = saved(bench, job_id, f"{REACH}[1]", "11-22 mm")
    assert sheet.pending[f"{REACH}[1]"].reason.code == "length-sign-inside"
    assert REACH not in sheet.pending
    sheet = saved(bench, job_id, REACH, "1119 mm")
    assert sheet.job is not None
    assert sheet.job.readings[REACH].value_mm == 1119.0
    sheet = saved(bench, job_id, f"{REACH}[1]", "")
    assert tables(bench, job_id)["loader"]["pusher_reach"] == "1119 mm"  # type: ignore[index]
    sheet = saved(bench, job_id, f"{REACH}[2]", "1121 mm")
    assert sheet.pending[f"{REACH}[2]"].reason.action == "add the readings in their order"
    assert saved(bench, job_id, f"{REACH}[1]", "1120 mm").pending == {}


def test_range_is_typed_end_by_end(bench: Workbench, job_id: str) -> None:
    """One end alone waits for the other; taken away, its fellow waits again; a reversed range waits too."""
    low, high = "loader.centre_height[0]", "loader.centre_height[1]"
    sheet = saved(bench, job_id, low, "1200 mm")
    assert sheet.pending[low].reason.code == "range-reversed"
    sheet = saved(bench, job_id, high, "1300 mm")
    assert sheet.pending == {}
    assert [sheet.entry(field).text for field in (low, high)] == ["1200 mm", "1300 mm"]
    sheet = saved(bench, job_id, low, "")
    assert "centre_height" not in sheet.raw["loader"]
    assert sheet.pending[high].text == "1300 mm"
    assert sheet.job is not None
    sheet = saved(bench, job_id, low, "1100")
    assert {field: p.reason.code for field, p in sheet.pending.items()} == {low: "length-without-unit", high: "usage"}
    sheet = saved(bench, job_id, low, Entry("1100 mm", source="manual"))
    assert sheet.pending == {}
    assert sheet.raw["loader"]["centre_height"] == [{"value": "1100 mm", "source": "manual"}, "1300 mm"]


def test_change_of_nose_puts_the_other_lengths_aside(bench: Workbench, job_id: str) -> None:
    """The lengths of the old kind wait while the nose is of the new kind, and come back with the old kind."""
    saved(bench, job_id, "nose.collapsed[1]", Entry("221 mm", source="rule", note="again"))
    sheet = saved(bench, job_id, "nose.kind", "fixed")
    assert set(sheet.pending) == {"nose.collapsed", "nose.collapsed[1]", "nose.extended", "nose.overlap"}
    assert [(p.code, p.field) for p in sheet.problems] == [("key-missing", "nose.length")]
    sheet = saved(bench, job_id, "nose.length", "400 mm")
    assert sheet.job is not None
    sheet = saved(bench, job_id, "nose.kind", "telescopic")
    assert set(sheet.pending) == {"nose.length"}
    assert sheet.job is not None
    assert sheet.raw["nose"]["collapsed"] == ["220 mm", {"value": "221 mm", "source": "rule", "note": "again"}]


def test_change_of_headstock_puts_the_modes_aside(bench: Workbench, job_id: str) -> None:
    """The modes wait while the headstock is fixed, and come back, every field of them, when it slides again."""
    before = tables(bench, job_id)
    sheet = saved(bench, job_id, "lathe.headstock", "fixed")
    assert sheet.job is not None
    assert not sheet.job.sliding
    assert len(sheet.pending) == 8
    sheet = saved(bench, job_id, "lathe.modes[0].z_front", "195 mm")
    assert sheet.pending["lathe.modes[0].z_front"].reason.code == "headstock-modes"
    saved(bench, job_id, "lathe.modes[0].z_front", "190 mm")
    sheet = saved(bench, job_id, "lathe.headstock", "sliding")
    assert sheet.pending == {}
    assert tables(bench, job_id) == before


def test_every_field_of_the_file_can_be_typed(bench: Workbench) -> None:
    """Whatever the declaration names takes a text without a fault, a job for each table: written, or waiting with its reason."""
    for _, fields in groupby(every_field(), key=lambda field: re.split(r"[.\[]", field)[0]):
        job = bench.new_from_text(SLIDING, "cell.toml")
        for field in fields:
            sheet = saved(bench, job, field, "\U0001f529 12 §")
            assert sheet.entry(field).text == "\U0001f529 12 §"


@pytest.mark.parametrize("field", ["", "loader", "fittings", "fittings[0]", "loader.reach", "job.title.x", "a b", "job..title"])
def test_field_that_is_none_is_refused(bench: Workbench, job_id: str, field: str) -> None:
    """A path that leads to no value is misuse, not an entry."""
    with pytest.raises(UsageError):
        bench.save(job_id, field, Entry("1 mm"), 1)


@pytest.mark.parametrize("text", ["a\0b", "\ud800", "\x1b[31m", "'''", '"""', "\\u0000", "ﬀ" * 5000])
def test_odd_characters_are_kept(bench: Workbench, job_id: str, text: str) -> None:
    """Characters that TOML, JSON or a database could stumble over neither break anything nor get lost."""
    for field in ("job.site", REACH):
        sheet = saved(bench, job_id, field, Entry(text, note=text))
        assert sheet.entry(field).text == text.replace("\ud800", "?")
        assert bench.cards(text) is not None


def test_several_fields_in_one_revision(bench: Workbench, job_id: str) -> None:
    """What is adopted together is one step in the history, and one step back; what cannot be taken waits as always."""
    entries = {REACH: Entry("1140 mm"), "nose.collapsed": Entry("210 mm"), "rules.longest_bar": Entry("4 m")}
    sheet = bench.save_all(job_id, entries, "shorter nose")
    assert (sheet.number, set(sheet.pending)) == (2, {"rules.longest_bar"})
    assert [sheet.entry(field) for field in entries] == list(entries.values())
    assert bench.save_all(job_id, entries, "shorter nose").number == 2
    assert "shorter nose" in bench.history(job_id)[0].what
    assert bench.return_to(job_id, 1).text == SLIDING


# Lists of tables


def test_rows_are_added_and_taken_away(bench: Workbench, job_id: str) -> None:
    """A new entry is asked for what it needs; what waits in those behind a removed one moves up with them."""
    sheet = bench.add(job_id, "fittings", 1)
    assert {p.field for p in sheet.problems} == {"fittings[1].name", "fittings[1].length"}
    saved(bench, job_id, "fittings[1].name", "bushing")
    saved(bench, job_id, "fittings[1].length", "20")
    saved(bench, job_id, "fittings[0].length", "45")
    outcome = bench.remove(job_id, "fittings[0]", bench.sheet(job_id).number)
    assert isinstance(outcome, Saved)
    assert outcome.sheet.raw["fittings"] == [{"name": "bushing"}]
    assert {field: p.text for field, p in outcome.sheet.pending.items()} == {"fittings[0].length": "20"}
    sheet = saved(bench, job_id, "fittings[0].length", "20 mm")
    assert sheet.job is not None
    assert sheet.job.fittings == ("bushing",)


def test_single_tables_come_and_go(bench: Workbench, job_id: str) -> None:
    """A table that may be there once is begun once, and taken away with what waits in it."""
    bench.add(job_id, "as_installed", 1)
    assert bench.add(job_id, "as_installed", 1).number == 2
    saved(bench, job_id, "as_installed.standoff", "12")
    outcome = bench.remove(job_id, "as_installed", bench.sheet(job_id).number)
    assert isinstance(outcome, Saved)
    assert outcome.sheet.raw == read_tables(SLIDING)
    assert outcome.sheet.pending == {}
    outcome = bench.remove(job_id, "as_installed", outcome.sheet.number)
    assert isinstance(outcome, Saved)
    assert outcome.sheet.number == 4
    for wrong in ("loader.name", "loader.reach"):
        with pytest.raises(UsageError):
            bench.add(job_id, wrong, 1)
        with pytest.raises(UsageError):
            bench.remove(job_id, wrong, 1)


# History


def test_history_says_what_was_done(bench: Workbench, job_id: str) -> None:
    """Each revision with its time and what it was, the newest first."""
    saved(bench, job_id, REACH, "1121 mm")
    bench.add(job_id, "fittings", 2)
    bench.remove(job_id, "fittings[1]", 3)
    bench.return_to(job_id, 2)
    told = [line.what for line in bench.history(job_id)]
    assert told == ["fittings[1] removed", "fittings[1] added", REACH, "imported"]
    bench.return_to(job_id, 1)
    assert bench.history(job_id)[0].what == "back to revision 1"
    times = [line.made_utc for line in bench.history(job_id)]
    assert times == sorted(times, reverse=True)
    assert [line.what for line in bench.history(bench.new_from(job_id, "B"))] == ["begun from Pedal cell"]


def test_return_brings_back_text_and_what_waited(bench: Workbench, job_id: str) -> None:
    """An earlier revision becomes a new one; nothing in between is lost, and that can be taken back in turn."""
    saved(bench, job_id, REACH, "44 inn")
    waiting = bench.sheet(job_id).pending
    saved(bench, job_id, REACH, "1130 mm")
    saved(bench, job_id, "job.title", "Another name")
    sheet = bench.return_to(job_id, 2)
    assert (sheet.number, sheet.text, sheet.pending) == (5, SLIDING, waiting)
    assert bench.card(job_id).title == "Pedal cell"
    assert bench.return_to(job_id, 5).number == 5
    assert bench.return_to(job_id, 4).raw["job"]["title"] == "Another name"
    assert bench.sheet(job_id, 1).text == SLIDING
    with pytest.raises(UnknownRecordError):
        bench.return_to(job_id, 99)


# The list


def test_cards_say_how_a_job_stands(bench: Workbench) -> None:
    """The verdict, or how much is still wanted."""
    whole = bench.new_from_text(SLIDING, "cell.toml")
    blank = bench.new_blank("Blank", "in", "fixed")
    card = bench.card(whole)
    assert card == Card(whole, "Pedal cell", "bay 6", START_UTC, False, "mm", place(parse_job(SLIDING)).verdict.value, 0)
    assert (bench.card(blank).state, bench.card(blank).units) == ("incomplete", "in")
    assert bench.card(blank).missing == len(bench.sheet(blank).problems) > 5
    saved(bench, whole, REACH, "900 mm")
    assert bench.card(whole).state == "does-not-fit"
    saved(bench, whole, REACH, "")
    assert (bench.card(whole).state, bench.card(whole).missing) == ("incomplete", 1)


def test_cards_are_found_by_words(bench: Workbench) -> None:
    """All words, in title or site, in any case and order; signs of a pattern are only signs."""
    for title in ("Axle cell", "Äxte 100% cell", "under_score"):
        bench.new_blank(title, "mm", "fixed")

    def found(search: str) -> list[str]:
        return [card.title for card in bench.cards(search)]

    assert found("CELL") == ["Äxte 100% cell", "Axle cell"]
    assert found("cell äxte") == ["Äxte 100% cell"]
    assert found("%") == ["Äxte 100% cell"]
    assert found("_") == ["under_score"]
    assert found("cell score") == []
    job_id = bench.new_blank("Fourth", "mm", "fixed")
    saved(bench, job_id, "job.site", "Tramshed")
    assert found("tram four") == ["Fourth"]


def test_cards_come_in_pages_and_archived_ones_apart(bench: Workbench) -> None:
    """The last changed first, page by page; what was put away is listed apart until it is brought back, unchanged."""
    ids = [bench.new_blank(f"Job {i}", "mm", "fixed") for i in range(5)]
    saved(bench, ids[1], "job.site", "x")
    assert [card.id for card in bench.cards(most=2)] == [ids[1], ids[4]]
    assert [card.id for card in bench.cards(start=2, most=2)] == [ids[3], ids[2]]
    before = bench.export(ids[1])
    bench.archive(ids[1])
    assert ids[1] not in [card.id for card in bench.cards()]
    assert [(card.id, card.archived) for card in bench.cards(archived=True)] == [(ids[1], True)]
    bench.bring_back(ids[1])
    assert bench.cards()[0].id == ids[1]
    assert bench.export(ids[1]) == before


def test_unknown_job_is_said_so(bench: Workbench) -> None:
    """Everything that names a job refuses one that is not there."""
    for ask in (bench.sheet, bench.export, bench.history, bench.archive, bench.bring_back, bench.card):
        with pytest.raises(UnknownRecordError):
            ask("0" * 32)
    with pytest.raises(UnknownRecordError):
        bench.save("0" * 32, REACH, Entry("1 mm"), 1)
    with pytest.raises(UnknownRecordError):
        bench.log("0" * 32, "reading", {}, "key")


@pytest.mark.parametrize("seed", range(0, 400, 40))
def test_quick_verdict_is_the_verdict(seed: int) -> None:
    """The list of jobs says of random jobs what their placement says."""
    for one in range(seed, seed + 40):
        job = parse_job(random_case(one, fine=one % 2 == 0, spread=60.0).text())
        assert quick_verdict(job) is place(job).verdict


def test_quick_verdict_knows_contradictions() -> None:
    """Readings that contradict one another allow no more than "if measured better", in the list too."""
    check = '[[check]]\nfrom = "adapter"\nto = "main-collet"\nstate = "front limit"\nvalue = "{} mm"\n'
    verdicts = set()
    for value in (600, 601, 604, 607, 660):
        job = parse_job(SLIDING + check.format(value))
        assert quick_verdict(job) is place(job).verdict
        verdicts.add(quick_verdict(job).value)
    assert verdicts == {"fits", "fits-if-measured-better"}


# The log


def test_what_is_sent_twice_counts_once(bench: Workbench, job_id: str) -> None:
    """A tap that arrives again is answered with the line it made before."""
    first = bench.log(job_id, "gap", {"text": "11 1/2 in", "mode": None}, "k-1")
    again = bench.log(job_id, "gap", {"text": "something else"}, "k-1")
    second = bench.log(job_id, "anchored", {}, "k-2")
    assert again == first
    assert bench.logged(job_id) == (first, second)
    assert first.contents == {"text": "11 1/2 in", "mode": None}
    assert first.made_utc < second.made_utc
    for kind, key in (("", "k"), ("gap", ""), ("gap", "x" * 65), ("gap", "a b"), ("Gap\0", "k")):
        with pytest.raises(UsageError):
            bench.log(job_id, kind, {}, key)


def test_sources_of_the_survey_are_those_of_readings(bench: Workbench, job_id: str) -> None:
    """Every source a page may offer is accepted, any other waits."""
    for source in SOURCES:
        assert saved(bench, job_id, REACH, Entry("1120 mm", source=source)).pending == {}
    assert saved(bench, job_id, REACH, Entry("1120 mm", source="guess")).pending[REACH].reason.code == "source-unknown"
