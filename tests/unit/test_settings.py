"""The settings sheet, against arithmetic by hand from the figures of the demonstration files."""

from __future__ import annotations

from fractions import Fraction as F

import pytest

from standoff.job.cycle import bar_cycles, cycle_of
from standoff.job.demonstration import text_of
from standoff.job.file import parse_job
from standoff.job.parts import parts_of
from standoff.job.placement import place
from standoff.job.settings import Settings, settings_of
from tests.cycles import HUB, PIN, cycle_with, fixed_with
from tests.turning import job_of

INCH_MM = 25.4


def sheets(name: str, more: str = "") -> list[Settings]:
    """The settings of every part of a demonstration cell, at its aim."""
    return [settings_of(cycle) for cycle in bar_cycles(place(job_of(text_of(name) + more)))]


def values(sheet: Settings) -> dict[str, float]:
    """The figures by their ids. [mm]"""
    return {setting.id: setting.value_mm for setting in sheet.settings}


def test_axle_cell_guide_bushing_mode_by_hand() -> None:
    """Standoff 11 7/16 in. All in inches from the clamp: gripper -119, bar 144, cut-off 11 7/16 + 7.5 + 24 5/16 + 12 1/2."""
    cut_off = F(183, 16) + F(75, 10) + F(389, 16) + F(25, 2)
    advance, facing, insertion = F(21, 4) + F(1, 8), F(1, 32), F(3, 2)
    shortest = F(25, 2) + insertion
    parts = (144 - facing - shortest) // advance
    left = 144 - facing - parts * advance
    farthest = cut_off - F(25, 2)
    by_hand = {
        "bar-length": F(144),
        "loading-position": F(-144 + 119),
        "pre-feed": F(25),
        "insertion": insertion,
        "facing-position": cut_off + facing - 144 + insertion + 119,
        "feed": advance,
        "last-start": farthest - advance + 119,
        "end-of-bar": cut_off - left + insertion + 119,
        "forward-limit": F(89, 2) + 119,
        "remnant": left,
        "facing": facing,
        "z-bar-change": F(43, 10),
        "z-retract": F(73, 10) - advance,
        "z-last-cut": F(73, 10),
        "retract": advance,
    }
    sheet = sheets("axle-cell")[0]
    assert values(sheet) == pytest.approx({name: float(inches) * INCH_MM for name, inches in by_hand.items()})
    assert {tally.id: tally.count for tally in sheet.tallies} == {"parts": 24, "feeds": 24}
    assert parts == 24


def test_axle_cell_chucker_mode_by_hand() -> None:
    """The loader stands 6 3/4 in farther forward, the collet's back 6.9 in: the cut-off plane lies 5.6 in ahead of it."""
    cut_off = F(183, 16) + F(75, 10) + F(389, 16) + F(25, 2) - F(27, 4)
    advance, facing, insertion = F(11, 8) + F(1, 10), F(1, 32), F(3, 2)
    shortest = F(25, 2) - (F(142, 10) - F(73, 10)) + insertion
    parts = (144 - facing - shortest) // advance
    left = 144 - facing - parts * advance
    by_hand = {
        "loading-position": F(-25),
        "facing-position": cut_off + facing - 144 + insertion + 119,
        "feed": advance,
        "last-start": cut_off - shortest + insertion - advance + 119,
        "end-of-bar": cut_off - left + insertion + 119,
        "forward-limit": F(89, 2) + 119,
        "remnant": left,
        "z-bar-change": F(142, 10) - 3,
        "z-retract": F(142, 10) - advance,
        "z-last-cut": F(142, 10),
    }
    sheet = sheets("axle-cell")[1]
    found = values(sheet)
    assert {name: found[name] for name in by_hand} == pytest.approx(
        {name: float(inches) * INCH_MM for name, inches in by_hand.items()}
    )
    assert (sheet.tallies[0].count, parts) == (92, 92)


def test_shell_cell_by_hand() -> None:
    """A fixed headstock has no Z; from the clamp the cut-off plane lies 410 + 890 + 185 mm ahead."""
    sheet = sheets("shell-cell")[0]
    found = values(sheet)
    cut_off_mm = 410.0 + 890.0 + 185.0
    assert not [name for name in found if name.startswith("z-")]
    assert "retract" not in found
    assert found["facing-position"] == pytest.approx(cut_off_mm + 1.0 - 3657.6 + 45.0 + 3080.0)
    assert found["remnant"] == pytest.approx(3657.6 - 1.0 - 47 * 72.0)
    assert found["end-of-bar"] == pytest.approx(cut_off_mm - found["remnant"] + 45.0 + 3080.0)
    assert found["last-start"] == pytest.approx(410.0 + 890.0 - 72.0 + 3080.0)


def test_z_falls_forward_in_the_spacer_cell() -> None:
    """Front limit -203 mm, rear 2 mm: back by a feed of 63 mm is -140 mm; the bar change stays as typed."""
    part = '\n[[parts]]\nname = "spacer"\nlength = "60 mm"\ncut_off_width = "3 mm"\n'
    found = values(sheets("spacer-cell", part)[0])
    assert found["z-last-cut"] == pytest.approx(-203.0)
    assert found["z-retract"] == pytest.approx(-140.0)
    assert found["z-bar-change"] == pytest.approx(-127.0)
    assert found["retract"] == pytest.approx(63.0)
    stated = values(sheets("spacer-cell", f'{part}z_last_cut = "-190 mm"\n')[0])
    assert (stated["z-last-cut"], stated["z-retract"]) == pytest.approx((-190.0, -127.0))


def test_an_inch_less_reach_makes_a_remnant_longer_by_an_inch() -> None:
    """Axle cell, pusher reach an inch short of the collet: the shortest remnant grows by it, and a part is lost."""
    text = text_of("axle-cell").replace('pusher_reach = { value = "44 1/2 in"', 'pusher_reach = { value = "42.25 in"')
    job, short = job_of(text_of("axle-cell")), parse_job(text)
    standoff_mm = place(job).standoff_mm
    whole, less = (parts_of(each, standoff_mm=standoff_mm)[0] for each in (job, short))
    # 11 7/16 + 7.5 + 24 5/16 = 43.25 in to the collet's back.
    assert less.reach.shortfall_mm == pytest.approx(INCH_MM)
    assert less.reach.remnant_mm - whole.reach.remnant_mm == pytest.approx(INCH_MM)
    assert whole.count - less.count == 1
    assert cycle_of(short, less, standoff_mm=standoff_mm).troubles[0].id == "pusher-reach"


def test_several_feeds_are_told() -> None:
    """Feed, retract and program of a part longer than the travel."""
    sheet = settings_of(cycle_with(PIN.replace("57 mm", "377 mm")))
    found = values(sheet)
    assert (found["feed"], found["retract"]) == pytest.approx((190.0, 190.0))
    assert [tally.count for tally in sheet.tallies] == [8, 16]
    assert any("takes 2 feeds" in line for line in sheet.program)


def test_a_drawn_last_part_is_told() -> None:
    """One feed fewer, no further part once the pusher has reached its farthest, and what the program must contain."""
    sheet = settings_of(cycle_with(PIN + "picked_off = true\n", changes={"bar_path.insertion": '"70 mm"'}))
    assert [tally.count for tally in sheet.tallies] == [55, 54]
    assert values(sheet)["last-start"] == pytest.approx(790.0 + 3320.0)
    assert any("the pusher stays at its limit" in " ".join(line.split()) for line in sheet.program)


@pytest.mark.parametrize(
    ("table", "told"),
    [
        ("", "against the stop"),
        ('[cycle]\nfeed_stop = "sub-spindle"\n', "the sub-spindle takes hold; open the collet, draw"),
        ('[cycle]\nejection = "out of the front"\n', "collet open; remnant pushed out"),
    ],
)
def test_the_program_of_a_fixed_headstock(table: str, told: str) -> None:
    """Fed to a stop or drawn; ejected either way."""
    assert told in " ".join(settings_of(fixed_with(PIN, table)).program)


def test_the_program_of_a_sliding_headstock() -> None:
    """The cut-off tool stays in as the stop, the push is kept on while re-gripping, the bar change has its position."""
    program = " ".join(settings_of(cycle_with(HUB)).program)
    for told in ("leave the cut-off tool in as the stop", "keep the loader pushing", "headstock at its bar change Z", "pull-out"):
        assert told in program
    assert "After 58 parts no further part fits" in program


def test_an_insertion_that_is_not_stated_is_told_beside_its_figure() -> None:
    """0 is taken, and said to be taken; where it is stated the figure says what it is."""
    for changes, told in (({}, "not stated, 0 is taken: measure it"), ({"bar_path.insertion": '"40 mm"'}, "how deep")):
        sheet = settings_of(cycle_with(PIN, changes=changes))
        assert next(each for each in sheet.settings if each.id == "insertion").follows.startswith(told)


def test_every_figure_says_how_it_follows() -> None:
    """No setting without a name and a reason; ids are their own."""
    for cycle in (cycle_with(PIN), fixed_with(PIN)):
        sheet = settings_of(cycle)
        assert all(each.name and each.follows and each.control in ("bar loader", "lathe") for each in sheet.settings)
        ids = [setting.id for setting in sheet.settings] + [tally.id for tally in sheet.tallies]
        assert len(ids) == len(set(ids))
