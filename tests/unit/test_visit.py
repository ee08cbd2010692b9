"""The return visit: the moved cell, every kind of symptom, and what is said where one, several or no dimension explains it."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from standoff.desk.visit import visit_json, visit_of_file, visit_text
from standoff.errors import UsageError
from standoff.job.demonstration import text_of
from standoff.job.file import parse_job
from standoff.job.placement import place
from standoff.job.visit import Visit, diagnose_visit
from standoff.job.visit_speech import hypothesis_text, visit_contents, visit_lines
from standoff.solve.diagnosis import Hypothesis
from tests.pairs import fixed
from tests.texts import FIXED, SLIDING, altered

MOVED = text_of("moved-cell")
RECORD = '[as_installed]\nstandoff = "300 mm"\n'
JOB = SLIDING + RECORD
"""A record at 300 mm; the tests below say what each requirement has to spare there."""


def visited(text: str) -> Visit:
    """The diagnosis of a text."""
    return diagnose_visit(parse_job(text))


def again(start: str, end: str, state: str, value: str, *, mode: str = "guide-bushing") -> str:
    """The table of a distance read again."""
    keys = {"from": start, "to": end, "mode": mode, "state": state, "value": value}
    return "[[return_reading]]\n" + "".join(f'{key} = "{text}"\n' for key, text in keys.items())


def read(quantity: str, value: str) -> str:
    """The table of a length read again."""
    return f'[[return_reading]]\nquantity = "{quantity}"\nvalue = "{value}"\n'


def symptom(kind: str, *, mode: str = "guide-bushing", by: str = "", only: bool = False) -> str:
    """The table of something noticed."""
    figure, alone = f'by = "{by}"\n' if by else "", "only = true\n" if only else ""
    return f'[[symptom]]\nkind = "{kind}"\nmode = "{mode}"\n{figure}{alone}'


def able(visit: Visit) -> list[set[str]]:
    """The hypotheses that explain everything."""
    return [set(h.quantities) for h in visit.diagnosis.hypotheses if h.explains and not h.against]


def test_moved_cell_names_the_standoff_first_and_alone() -> None:
    """A year later the standoff has grown by 2 in, and it alone explains what was read and noticed."""
    visit = visited(MOVED)
    assert visit.diagnosis.changed
    assert visit.diagnosis.hypotheses[0].quantities == ("standoff",)
    assert visit.diagnosis.hypotheses[0].by_mm == (pytest.approx(50.8, abs=0.5),)
    assert able(visit) == [{"standoff"}]
    assert visit.next_reading is None
    assert "Changed: the standoff itself (2 in longer)." in visit_lines(visit)


def without_reading_of_the_clamp() -> str:
    """The moved cell without the return reading from clamp to adapter."""
    before, _, after = MOVED.partition("[[return_reading]]")
    return before + "[[return_reading]]" + after.partition("[[return_reading]]")[2]


def test_moved_cell_without_one_reading_is_a_tie() -> None:
    """Without clamp to adapter three dimensions tie; the next reading named splits one off, and is the one left out."""
    visit = visited(without_reading_of_the_clamp())
    assert able(visit) == [{"standoff", "lathe.adapter_to_collet", "lathe.modes[0].z_rear"}]
    assert visit.next_reading == "nose-clamp face to adapter (guide-bushing, rear limit)"
    assert visit_lines(visit)[-3:-1] == [
        "Changed: the standoff itself (2 in longer), adapter to collet (2 in longer) or rear limit of guide-bushing mode"
        " (2 in farther back).",
        "These cannot be told apart by what was read. Read next: nose-clamp face to adapter (guide-bushing, rear limit).",
    ]


@pytest.mark.parametrize(
    ("value", "expected"), [("13 7/16 in", {"standoff"}), ("11 7/16 in", {"lathe.adapter_to_collet", "lathe.modes[0].z_rear"})]
)
def test_next_reading_splits_the_tie(value: str, expected: set[str]) -> None:
    """Read longer it is the standoff; read as before it is one of the two others."""
    visit = visited(without_reading_of_the_clamp() + again("clamp", "adapter", "rear limit", value))
    assert able(visit) == [expected]


def test_positions_are_told_as_they_lie() -> None:
    """At a control whose Z falls forward, a rear limit farther back is a greater Z."""
    flipped = {f"lathe.modes[{i}].{key}": f'"{-z} mm"' for i, key, z in LIMITS} | {"lathe.z_forward": '"negative"'}
    for text, sign in ((JOB, -1.0), (altered(JOB, flipped), 1.0)):
        visit = visited(
            text + again("adapter", "main-collet", "rear limit", "600 mm") + again("cover", "adapter", "front limit", "170 mm")
        )
        rear = next(h for h in visit.diagnosis.hypotheses if "lathe.modes[0].z_rear" in h.quantities)
        amount = dict(zip(rear.quantities, rear.by_mm, strict=True))["lathe.modes[0].z_rear"]
        assert amount == pytest.approx(sign * 20.0, abs=0.2)
        assert "rear limit of guide-bushing mode (20 mm farther back)" in hypothesis_text(rear, visit)
        assert "front limit of guide-bushing mode (20 mm farther forward)" in hypothesis_text(rear, visit)
        assert "cover to adapter (20 mm farther inside the cover)" in hypothesis_text(rear, visit)


LIMITS = ((0, "z_front", 190), (0, "z_bar_change", 110), (1, "z_rear", 150), (1, "z_front", 350))


def test_nothing_has_changed() -> None:
    """Readings that agree with the record say so, and send the technician elsewhere."""
    visit = visited(JOB + again("clamp", "adapter", "rear limit", "301 mm") + read("loader.pusher_reach", "1119 mm"))
    assert not visit.diagnosis.changed
    assert visit.next_reading is None
    assert visit_lines(visit)[-1].startswith("Nothing has changed by more than the readings can be wrong. Look elsewhere")


def test_two_changes_are_no_single_one() -> None:
    """The standoff and the reach have both changed: no single dimension explains both, and the nearest are named."""
    visit = visited(JOB + again("clamp", "adapter", "rear limit", "320 mm") + read("loader.pusher_reach", "1090 mm"))
    assert able(visit) == []
    lines = visit_lines(visit)
    place_ = lines.index("No single changed dimension explains all of it: two have changed, or a reading is wrong.")
    assert lines[place_ + 1] == "Nearest:"
    assert lines[place_ + 2 :] == ["  pusher reach (30 mm shorter)", "  the standoff itself (20 mm longer)"]


def test_length_read_again() -> None:
    """A length of the file read again is compared with the file; an exact one that was read again may have changed too."""
    visit = visited(JOB + read("loader.pusher_reach", "1100 mm"))
    assert able(visit) == [{"loader.pusher_reach"}]
    assert visit.findings[0].name == "pusher reach, read again"
    assert able(visited(JOB + read("nose.overlap", "40 mm"))) == [{"nose.overlap"}]
    untouched = visited(JOB + again("clamp", "adapter", "rear limit", "320 mm")).diagnosis
    assert "nose.overlap" not in {q for h in untouched.hypotheses for q in h.quantities}


SYMPTOMS = {
    # Kind, mode -> what takes part in the slack there. (The first mode's rear limit is the datum of all travel.)
    ("nose-bottomed", "guide-bushing"): {"standoff", "nose.collapsed", "fittings[0].length"},
    ("nose-bottomed", "chucker"): {
        "standoff",
        "nose.collapsed",
        "fittings[0].length",
        "lathe.modes[0].z_rear",
        "lathe.modes[1].z_rear",
        "lathe.modes[1].loader_shift",
    },
    ("bar-met-collet", "guide-bushing"): {
        "standoff",
        "lathe.adapter_to_collet",
        "loader.gripper_behind_clamp",
        "lathe.modes[0].z_rear",
        "lathe.modes[0].z_bar_change",
    },
    ("cover-touched", "guide-bushing"): {"standoff", "lathe.cover_to_adapter", "loader.body_ahead_of_clamp"},
    ("cover-touched", "chucker"): {
        "standoff",
        "lathe.cover_to_adapter",
        "loader.body_ahead_of_clamp",
        "lathe.modes[1].loader_shift",
    },
    ("reach-short", "guide-bushing"): {
        "standoff",
        "lathe.adapter_to_collet",
        "loader.pusher_reach",
        "lathe.modes[0].z_rear",
        "lathe.modes[0].z_front",
    },
    ("remnant-longer", "guide-bushing"): {
        "standoff",
        "lathe.adapter_to_collet",
        "loader.pusher_reach",
        "lathe.modes[0].z_rear",
        "lathe.modes[0].z_front",
    },
}


@pytest.mark.parametrize(("kind", "mode"), SYMPTOMS)
def test_each_symptom_accuses_what_takes_part(kind: str, mode: str) -> None:
    """A symptom alone cannot tell its dimensions apart; a next reading is named."""
    visit = visited(JOB + symptom(kind, mode=mode, by="20 mm" if kind == "remnant-longer" else ""))
    assert able(visit) == [SYMPTOMS[kind, mode]]
    assert visit.next_reading is not None
    assert any(f"in {mode} mode" in line for line in visit_lines(visit))


@pytest.mark.parametrize(
    ("kind", "mode", "least_mm"),
    [
        # Nose 300 - 220 - 45, less 170 - 150; full bar 300 + 110 + 600 + 3020 - 3660; cover 300 + 40 - 12, less 170;
        # reach 1120 - 190 - 600 - 300 and 1120 + 170 - 350 - 600 - 300.
        ("nose-bottomed", "guide-bushing", 35.0),
        ("nose-bottomed", "chucker", 15.0),
        ("bar-met-collet", "guide-bushing", 370.0),
        ("cover-touched", "guide-bushing", 328.0),
        ("cover-touched", "chucker", 158.0),
        ("reach-short", "guide-bushing", -30.0),
        ("reach-short", "chucker", -40.0),
    ],
)
def test_symptom_says_by_how_much_at_least(kind: str, mode: str, least_mm: float) -> None:
    """The standoff would have to have changed by the whole slack to contact: nearer, or farther for the reach."""
    visit = visited(JOB + symptom(kind, mode=mode))
    first = visit.diagnosis.hypotheses[0]
    assert first.quantities[0] == "standoff"
    assert first.by_mm[0] == pytest.approx(-least_mm)
    assert not first.measured
    way = "shorter" if least_mm > 0.0 else "longer"
    assert f"the standoff itself (at least {abs(least_mm):.0f} mm {way})" in hypothesis_text(first, visit)


def test_symptom_with_a_figure() -> None:
    """The pusher falls short by 6 where it had 30 to spare: 36 less."""
    visit = visited(JOB + symptom("reach-short", by="6 mm") + read("loader.pusher_reach", "1084 mm"))
    assert [f.difference_mm for f in visit.findings] == pytest.approx([-36.0, -36.0])
    assert able(visit) == [{"loader.pusher_reach"}]


def test_only_in_one_mode_excludes_what_would_show_in_the_other() -> None:
    """The nose bottoms where it had 35 to spare, and not where it had 15: nothing that both modes share explains that."""
    both = visited(JOB + symptom("nose-bottomed"))
    alone = visited(JOB + symptom("nose-bottomed", only=True))
    assert able(both) == [SYMPTOMS["nose-bottomed", "guide-bushing"]]
    assert able(alone) == []
    assert alone.diagnosis.hypotheses[0].against == ("not in chucker mode",)
    assert any("; against it: not in chucker mode" in line for line in visit_lines(alone))
    assert able(visited(JOB + symptom("nose-bottomed", mode="chucker", only=True))) == [SYMPTOMS["nose-bottomed", "chucker"]]


def test_remnant_longer_in_one_mode_only() -> None:
    """The pusher has lost its 40 to spare and 20 more in one mode and still reaches in the other: nothing that both share."""
    visit = visited(JOB + symptom("remnant-longer", mode="chucker", by="20 mm", only=True))
    assert [f.difference_mm for f in visit.findings] == pytest.approx([-60.0])
    assert [b.name for b in visit.bounds] == ["remnant as before in guide-bushing mode"]
    assert able(visit) == [{"lathe.modes[1].loader_shift", "lathe.modes[1].z_front"}]


def test_a_remnant_grows_from_where_the_pusher_reached() -> None:
    """With 30 to spare a standoff 50 longer leaves 20 missing; one 20 longer would not have been seen at the remnant at all."""
    reached = visited(JOB + symptom("remnant-longer", by="20 mm") + again("clamp", "adapter", "rear limit", "350 mm"))
    assert able(reached) == [{"standoff"}]
    unseen = visited(JOB + symptom("remnant-longer", by="20 mm") + again("clamp", "adapter", "rear limit", "320 mm"))
    assert able(unseen) == []


def test_a_pusher_that_fell_short_is_compared_with_itself() -> None:
    """Short by 10 when recorded, accepted then: a remnant 20 longer is 20 more, whatever the record's own uncertainty."""
    short = altered(JOB, {"loader.pusher_reach": '"1080 mm"', "rules.accepted_shortfall": '"20 mm"'})
    visit = visited(short + symptom("remnant-longer", by="20 mm", only=True))
    assert [f.difference_mm for f in visit.findings] == pytest.approx([-20.0])
    assert not visit.findings[0].from_record


def test_the_cut_off_plane_is_not_forgotten() -> None:
    """A tool set farther forward makes the remnant longer too: the page says to read it, unless it was read again."""
    words = "A cut-off tool set farther forward makes the remnant longer too: read collet to cut-off as well."
    assert words in visit_lines(visited(JOB + symptom("remnant-longer", by="20 mm")))
    told = visited(JOB + symptom("remnant-longer", by="20 mm") + read("lathe.collet_to_cutoff", "320 mm"))
    assert words not in visit_lines(told)


def test_notice_excludes_what_a_figure_leaves_open() -> None:
    """Clamp to collet 20 shorter leaves standoff and collet; that the nose bottomed speaks for the standoff alone."""
    text = JOB + again("clamp", "main-collet", "rear limit", "880 mm")
    assert able(visited(text)) == [{"standoff", "lathe.adapter_to_collet"}]
    assert able(visited(text + symptom("nose-bottomed", mode="chucker"))) == [{"standoff"}]


def test_record_is_the_standoff_as_installed_or_else_the_aim() -> None:
    """Without [as_installed] the aim is taken, as exactly as it could be set."""
    reading = again("clamp", "adapter", "rear limit", "320 mm")
    assert visited(JOB + reading).recorded_mm == 300.0
    assert visited(SLIDING + reading).recorded_mm == place(parse_job(SLIDING)).aim_mm
    with pytest.raises(UsageError, match=r"\[as_installed\] with the standoff; write it"):
        visited(altered(SLIDING, {"loader.pusher_reach": '"1000 mm"'}) + reading)


def test_nothing_read_or_noticed_is_refused() -> None:
    """A job without a return visit cannot be diagnosed, and the error says what to write."""
    with pytest.raises(UsageError, match=r"return_reading.*write down what was read again or noticed"):
        visited(JOB)


def test_fixed_headstock() -> None:
    """No mode and no limit is named where nothing travels."""
    text = FIXED + '[as_installed]\nstandoff = "380 mm"\n'
    visit = visited(text + '[[return_reading]]\nfrom = "clamp"\nto = "adapter"\nstate = "standing"\nvalue = "395 mm"\n')
    assert visit.findings[0].name == "nose-clamp face to adapter"
    assert able(visit) == [{"standoff"}]
    noticed = visited(text + '[[symptom]]\nkind = "reach-short"\n')
    assert noticed.bounds[0].name == "the pusher falls short"
    assert noticed.next_reading == "nose-clamp face to adapter"


def test_cut_of_a_fixed_nose_belongs_to_the_record() -> None:
    """Cut to serve at 270, the nose had between 6 and 12 to spare; that it bottomed asks for less than its uncut excess."""
    text = fixed(setting=1, u=1, gripper_u=1) + '[as_installed]\nstandoff = "270 mm"\n[[symptom]]\nkind = "nose-bottomed"\n'
    visit = visited(text)
    cut_mm = place(parse_job(text), asked_mm=270.0).cut_mm
    assert 36.0 <= cut_mm <= 42.0
    assert visit.bounds[0].recorded_mm == pytest.approx(270.0 - (300.0 - cut_mm))
    assert able(visit) == [{"standoff", "nose.length"}]
    tip = text + '[[return_reading]]\nfrom = "clamp"\nto = "nose-tip"\nstate = "standing"\nvalue = "{:.1f} mm"\n'
    assert not visited(tip.format(300.0 - cut_mm).replace('[[symptom]]\nkind = "nose-bottomed"\n', "")).diagnosis.changed


def test_less_likely_hypotheses_follow() -> None:
    """What explains it too, but less of it, comes after the first."""
    text = JOB + again("clamp", "adapter", "rear limit", "308 mm ± 12 mm") + again("clamp", "main-collet", "rear limit", "914 mm")
    visit = visited(text)
    assert able(visit)[:2] == [{"standoff"}, {"lathe.adapter_to_collet"}]
    lines = visit_lines(visit)
    assert lines[lines.index("Less likely:") + 1] == "  adapter to collet (14 mm longer)"


def test_figures_below_a_step_are_told_as_such() -> None:
    """A change that would be rounded to nothing is not told as 0."""
    visit = visited(JOB + again("clamp", "adapter", "rear limit", "320 mm"))
    tiny = Hypothesis(("lathe.modes[0].z_front",), (0.02,), True, 0.0, True, ())
    assert hypothesis_text(tiny, visit) == "front limit of guide-bushing mode (under 0.1 mm farther forward)"


def test_contents_for_other_programs() -> None:
    """The same as JSON, lengths to three decimals, and never a minus nothing."""
    contents = json.loads(json.dumps(visit_contents(visited(MOVED), program="test")))
    assert contents["format"] == "standoff-diagnosis/1"
    assert contents["changed"] is True
    assert contents["hypotheses"][0]["quantities"] == ["standoff"]
    assert contents["hypotheses"][0]["measured"] is True
    assert contents["findings"][0] == {"name": "nose-clamp face to adapter (guide-bushing, rear limit)", "difference_mm": 50.8}
    assert contents["next_reading"] is None
    noticed = visit_contents(visited(JOB + symptom("nose-bottomed")), program="test")
    assert noticed["noticed"] == ["the nose bottomed at the rear limit in guide-bushing mode"]


def test_visit_of_a_file(tmp_path: Path) -> None:
    """From a file to text and JSON, the caution beside the answer."""
    path = tmp_path / "moved.toml"
    path.write_text(MOVED, encoding="utf-8")
    visit = visit_of_file(path)
    assert visit_text(visit).startswith("Moved cell\nRecorded standoff: 11 7/16 in.")
    assert "lockout" in visit_text(visit)
    assert json.loads(visit_json(visit))["recorded_standoff_mm"] == pytest.approx(290.5125, abs=0.001)
