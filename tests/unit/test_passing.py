"""Does everything pass? Corners, bow and clearance by hand; the smallest liner that passes; the bar's end in its collet."""

from __future__ import annotations

import math

import pytest

from standoff.job.passing import Passing, chosen_liner, liner_choices, passings, turn_down
from standoff.job.speed import Verdict
from tests.texts import altered
from tests.turning import STANDING, TURNING, Changes, first_bar, job_of, speed_of_first

LINER = '\n[[liners]]\nname = "liner {bore} mm"\nbore = "{bore} mm"\n'


def found(changes: Changes | None = None, *, more: str = "") -> dict[tuple[str, str], Passing]:
    """Every traveller through every bore of the sliding job, with these keys changed."""
    text = altered(TURNING, changes or {}, more=more)
    return {(p.traveller, p.bore): p for p in passings(job_of(text), first_bar(text))}


def liners(*bores: int, changes: Changes | None = None) -> dict[str, tuple[bool, bool]]:
    """The liners of a job with these bores beside its own of 30 mm: whether each passes, and whether it is chosen."""
    text = altered(TURNING, changes or {}, more="".join(LINER.format(bore=bore) for bore in bores))
    return {choice.name: (choice.passes, choice.chosen) for choice in liner_choices(job_of(text), first_bar(text))}


def test_every_traveller_goes_through_every_bore() -> None:
    """Pusher, pusher collet and bar through channel and spindle liner; the channel that bears the bar is that of the passage."""
    travellers, bores = ("pusher", "pusher collet", "bar"), ("channel", "spindle liner")
    assert set(found()) == {(traveller, bore) for traveller in travellers for bore in bores}
    assert all(passing.passes for passing in found().values())


def test_what_is_not_measured_is_not_made_up() -> None:
    """Without its diameter the pusher collet is no traveller; a speed asks for it first."""
    text = altered(TURNING, {"bar_path.pusher_collet_od": None})
    assert {p.traveller for p in passings(job_of(text), first_bar(text))} == {"pusher", "bar"}


@pytest.mark.parametrize(("traveller", "needs_mm"), [("pusher", 20.0 + 1.0), ("pusher collet", 22.0 + 1.0)])
def test_what_the_pusher_needs(traveller: str, needs_mm: float) -> None:
    """Its diameter and the running clearance."""
    assert found()[traveller, "channel"].needed_mm == needs_mm
    assert found({"bar_path.running_clearance": '"2 mm"'})[traveller, "channel"].needed_mm == needs_mm + 1.0


@pytest.mark.parametrize(
    ("shape", "over_corners_mm"), [("round", 16.0), ("hexagon", 16.0 * 2.0 / math.sqrt(3.0)), ("square", 16.0 * math.sqrt(2.0))]
)
def test_a_bar_is_judged_over_its_corners(shape: str, over_corners_mm: float) -> None:
    """Corners, a metre's bow of 1 mm, a millimetre of clearance; a bar with edges says so."""
    name = "bar" if shape == "round" else "bar over its corners"
    assert found({"bars[0].shape": f'"{shape}"'})[name, "channel"].needed_mm == pytest.approx(over_corners_mm + 1.0 + 1.0)


@pytest.mark.parametrize(("length", "bow_mm"), [(None, 1.5), ('"1 m"', 1.5), ('"2 m"', 1.5), ('"400 mm"', 0.6)])
def test_the_bow_counts_over_the_bores_length(length: str | None, bow_mm: float) -> None:
    """1.5 mm/m over a short bore; a bore of unknown length, or longer than a metre, takes the metre's."""
    changes = {"bars[0].straightness": '"1.5 mm"'} | ({} if length is None else {"passage[1].length": length})
    assert found(changes)["bar", "spindle liner"].needed_mm == pytest.approx(16.0 + bow_mm + 1.0)


def test_the_greatest_size_is_the_nominal_one() -> None:
    """An h grade hangs below it, so a wider grade needs no wider bore (EN 10278)."""
    assert found({"bars[0].grade": '"h12"'})["bar", "channel"].needed_mm == found()["bar", "channel"].needed_mm


@pytest.mark.parametrize(("bore", "passes"), [("23 mm", True), ("22.99 mm", False), ("18 mm", False)])
def test_the_edge_of_passing(bore: str, passes: bool) -> None:
    """The pusher collet of 22 mm and a millimetre: at 23 it passes, just below it does not, and then no speed is told."""
    bores = {"passage[1].bore": f'"{bore}"'}
    assert found(bores)["pusher collet", "spindle liner"].passes is passes
    said = speed_of_first(bores)
    assert said.passes is passes
    assert (said.verdict is Verdict.NO_PASSAGE) is not passes
    assert bool(said.limits or said.courses or said.steps or said.pushing) is passes


def test_a_tube_that_bears_the_bar_is_a_bore_too() -> None:
    """A guide tube beside the passage is judged over its own length; one that passes nothing ends the answer."""
    tube = '[[supports]]\nname = "guide tube"\nkind = "guide-tube"\nstation = "clamp"\nlength = "300 mm"\nbore = "{}"\n'
    assert found(more=tube.format("24 mm"))["bar", "guide tube"].needed_mm == pytest.approx(16.0 + 0.3 + 1.0)
    assert speed_of_first(more=tube.format("24 mm")).passes
    assert not speed_of_first(more=tube.format("21 mm")).passes


def test_a_narrow_channel_is_not_hidden_by_a_wide_one_of_its_name() -> None:
    """Where passage and support contradict each other, both are judged, so that the narrower decides."""
    narrow: Changes = {"supports[3].bore": '"15 mm"'}
    text = altered(TURNING, narrow)
    bores = [p.bore_mm for p in passings(job_of(text), first_bar(text)) if p.bore == "channel"]
    assert set(bores) == {32.0, 15.0}
    assert speed_of_first(narrow).verdict is Verdict.NO_PASSAGE


def test_the_smallest_liner_that_passes_is_chosen() -> None:
    """The pusher collet needs 23: of 24, 26 and 30 the 24, whatever their order; 22 does not pass."""
    assert liners(26, 24, 22) == {
        "liner 30 mm": (True, False),
        "liner 26 mm": (True, False),
        "liner 24 mm": (True, True),
        "liner 22 mm": (False, False),
    }
    assert liners() == {"liner 30 mm": (True, True)}


def test_the_thickest_decides_and_is_named() -> None:
    """A hexagon of 21 mm over its corners needs more than the pusher collet."""
    text = altered(TURNING, {"bars[0].shape": '"hexagon"', "bars[0].size": '"21 mm"'})
    (choice,) = liner_choices(job_of(text), first_bar(text))
    assert choice.by == "bar over its corners"
    # The bow counts over the 600 mm between adapter and collet.
    assert choice.needed_mm == pytest.approx(21.0 * 2.0 / math.sqrt(3.0) + 0.6 + 1.0)
    (by_default,) = liner_choices(job_of(TURNING), first_bar())
    assert (by_default.by, by_default.needed_mm) == ("pusher collet", 23.0)


def test_one_of_two_alike_is_chosen() -> None:
    """Two liners of one bore: one is to be fitted."""
    twice = TURNING + LINER.format(bore="24") + LINER.format(bore="24").replace("liner 24", "spare 24")
    assert [choice.chosen for choice in liner_choices(job_of(twice), first_bar(twice))] == [False, True, False]


def test_no_liner_that_passes_is_no_speed() -> None:
    """With 22 mm as the only liner nothing can be fitted; without any liner the spindle is open."""
    narrow = altered(TURNING, {"liners[0].bore": '"22 mm"'})
    assert chosen_liner(job_of(narrow), first_bar(narrow)) is None
    assert speed_of_first({"liners[0].bore": '"22 mm"'}).verdict is Verdict.NO_PASSAGE
    assert liner_choices(job_of(STANDING), first_bar(STANDING)) == ()
    assert chosen_liner(job_of(STANDING), first_bar(STANDING)) is None
    assert speed_of_first(text=STANDING).passes


def test_the_liner_that_is_fitted_sets_its_limit() -> None:
    """The limit of the chosen liner counts, that of another does not."""
    slow = LINER.format(bore="26") + 'speed_limit = "300 rpm"\n'
    assert speed_of_first(more=slow).lowest.of == "liner 26 mm"
    wide = LINER.format(bore="36") + 'speed_limit = "300 rpm"\n'
    assert "liner 36 mm" not in {limit.of for limit in speed_of_first(more=wide).limits}


@pytest.mark.parametrize(
    ("changes", "to_mm"),
    [
        ({}, None),
        ({"bar_path.collet_takes": '"16 mm"'}, None),
        ({"bar_path.collet_takes": '"15.9 mm"'}, 15.9),
        ({"bar_path.collet_takes": '"15.9 mm"', "bars[0].end_turned_to": '"15.9 mm"'}, None),
        ({"bar_path.collet_takes": '"15.9 mm"', "bars[0].end_turned_to": '"16 mm"'}, 15.9),
        ({"bars[0].shape": '"hexagon"'}, 18.0),
        ({"bar_path.collet_takes": None, "bars[0].size": '"22 mm"'}, None),
    ],
)
def test_a_thick_end_is_turned_down(changes: Changes, to_mm: float | None) -> None:
    """To what the pusher collet takes, over the depth of insertion; a hexagon of 16 measures 18.5 over its corners."""
    text = altered(TURNING, changes)
    down = turn_down(job_of(text), first_bar(text))
    assert (None if down is None else (down.to_mm, down.over_mm)) == (None if to_mm is None else (to_mm, 40.0))
    assert (speed_of_first(changes).verdict is Verdict.NO_PASSAGE) is (to_mm is not None)


def test_a_depth_that_is_not_stated_is_not_made_up() -> None:
    """Without the insertion the length to turn down is not told."""
    text = altered(TURNING, {"bar_path.collet_takes": '"15 mm"', "bar_path.insertion": None})
    down = turn_down(job_of(text), first_bar(text))
    assert down is not None
    assert (down.to_mm, down.over_mm) == (15.0, None)
