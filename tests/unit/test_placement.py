"""The placement of single jobs: verdicts, edges, the asked standoff, contradictions, the cut; all worked by hand."""

from __future__ import annotations

import json
from typing import Any

import pytest

from standoff.job.advice import advise
from standoff.job.answer import answer
from standoff.job.file import parse_job
from standoff.job.placement import Placement, Verdict, place
from standoff.job.refusal import as_json
from standoff.model.requirement import Side
from tests.pairs import ONE_CUT, TWO_MODES, fixed


def placed(text: str, *, asked_mm: float | None = None) -> Placement:
    """The placement of a text."""
    return place(parse_job(text), asked_mm=asked_mm)


def answered(placement: Placement) -> dict[str, Any]:
    """The answer as another program reads it."""
    contents: dict[str, Any] = json.loads(as_json(answer(placement, advise(placement), program="test")))
    return contents


def excluded(placement: Placement) -> tuple[list[str], list[str], float]:
    """The contradiction by the requirements' names."""
    found = placement.contradiction
    assert found is not None
    names = [judged.row.id for judged in placement.rows]
    return [names[i] for i in found.at_least], [names[i] for i in found.at_most], found.by_mm


def test_job_that_fits() -> None:
    """276 to 325, bound by the second mode; the aim within the preferred clearance and on a whole millimetre."""
    placement = placed(TWO_MODES)
    assert placement.verdict is Verdict.FITS
    assert (placement.window.least_mm, placement.window.greatest_mm) == (276.0, 325.0)
    assert {(j.row.id, j.row.mode) for j in placement.rows if j.binding} == {("nose-room", "other"), ("pusher-reach", "other")}
    assert placement.aim_mm is not None
    assert placement.guarded.least_mm <= placement.aim_mm <= 276.0 + 12.0 - 6.0 + 0.5
    assert placement.aim_mm == round(placement.aim_mm)
    assert placement.standoff_mm == placement.aim_mm
    assert placement.contradiction is None
    assert placement.failing == ()
    assert placement.row("rear-room").bound_mm == 1160.0


def test_slacks_are_taken_at_the_aim() -> None:
    """Each row's slack is how far the aim lies inside its bound."""
    placement = placed(TWO_MODES)
    for judged in placement.rows:
        assert judged.bound_mm is not None
        sign = 1.0 if judged.row.side is Side.AT_LEAST else -1.0
        assert judged.slack_mm == pytest.approx(sign * (placement.standoff_mm - judged.bound_mm), abs=1e-9)


@pytest.mark.parametrize(
    ("asked_mm", "verdict"),
    [
        (260.0, Verdict.NOT),
        (275.99, Verdict.NOT),
        (276.0, Verdict.BETTER),  # the very edge: it holds if every reading is exact
        (300.0, Verdict.FITS),
        (325.0, Verdict.BETTER),
        (325.01, Verdict.NOT),
    ],
)
def test_asked_standoff_has_a_verdict_of_its_own(asked_mm: float, verdict: Verdict) -> None:
    """The asked standoff is judged, not the aim, which is stated beside it all the same."""
    placement = placed(TWO_MODES, asked_mm=asked_mm)
    assert placement.verdict is verdict
    assert placement.standoff_mm == placement.asked_mm == asked_mm
    assert placement.aim_mm == placed(TWO_MODES).aim_mm
    assert placement.row("nose-room", "other").slack_mm == pytest.approx(asked_mm - 276.0)


def test_asked_edge_of_the_guarded_window_fits() -> None:
    """Edges belong to the guarded window too."""
    guarded = placed(TWO_MODES).guarded
    assert placed(TWO_MODES, asked_mm=guarded.least_mm).verdict is Verdict.FITS
    assert placed(TWO_MODES, asked_mm=guarded.greatest_mm).verdict is Verdict.FITS
    assert placed(TWO_MODES, asked_mm=guarded.least_mm - 0.001).verdict is Verdict.BETTER


def test_asked_standoff_in_an_empty_window() -> None:
    """Nothing fits there, and the contradiction is told all the same."""
    placement = placed(ONE_CUT, asked_mm=300.0)
    assert placement.verdict is Verdict.NOT
    assert placement.aim_mm is None
    assert placement.contradiction is not None


def test_contradiction_names_both_sides_and_what_is_missing() -> None:
    """The pusher allows 300, the full bar asks for 320: 20 are missing, judged at 310."""
    placement = placed(fixed(gripper=2080))
    assert placement.verdict is Verdict.NOT
    assert excluded(placement) == (["full-bar"], ["pusher-reach"], 20.0)
    assert (placement.window.least_mm, placement.window.greatest_mm) == (320.0, 300.0)
    assert placement.standoff_mm == 310.0
    assert [j.row.id for j in placement.failing] == ["pusher-reach", "full-bar"]
    assert placement.aim_mm is None


def test_contradiction_of_a_nose_no_cut_can_mend() -> None:
    """Room for the nose and hold on it exclude each other by 2 at every cut; the pusher has no part in it."""
    placement = placed(fixed(length=340, clearance=8, end_gap=6, gripper=2200, cut=100))
    assert excluded(placement) == (["nose-room"], ["nose-engagement"], 2.0)


def test_contradiction_of_a_nose_too_long() -> None:
    """Cut as far as allowed it still asks for more than the pusher allows."""
    placement = placed(fixed(length=400, cut=50))
    assert excluded(placement) == (["nose-room"], ["pusher-reach"], 56.0)
    assert placement.cut_mm == 50.0


def test_contradiction_between_modes_of_one_nose() -> None:
    """One mode's room against the other mode's hold: the answer names the modes."""
    placement = placed(ONE_CUT)
    contents = answered(placement)["contradiction"]
    assert contents == {
        "at_least": [{"id": "nose-room", "mode": "other", "state": "rear limit"}],
        "at_most": [{"id": "nose-engagement", "mode": "one", "state": "front limit"}],
        "by_mm": 26.0,
    }


@pytest.mark.parametrize(("collet_mm", "gripper_mm"), [(164.1, 2293.5), (600.0, 2293.7), (333.3, 2211.1)])
def test_window_of_one_standoff_is_a_window(collet_mm: float, gripper_mm: float) -> None:
    """Full bar and pusher reach meet exactly, as written: no rounding of a sum may turn that into a contradiction."""
    text = fixed(reach=round(3000 - gripper_mm, 1), gripper=gripper_mm, end_gap=9000, length=20, cut=0).replace(
        '"600 mm ± 0 mm"', f'"{collet_mm} mm ± 0 mm"'
    )
    placement = placed(text)
    assert placement.contradiction is None
    assert placement.verdict is Verdict.FITS
    assert placement.failing == ()
    assert placement.probability == 1.0


def with_passage(bore: str, pusher: str, clearance: str) -> str:
    """The pair with two modes and one bore."""
    sizes = f'[[passage]]\nname = "liner"\nbore = "{bore}"\n[bar_path]\npusher_od = "{pusher}"\n'
    return TWO_MODES + sizes + f'running_clearance = "{clearance}"\n'


def test_row_without_the_standoff_can_forbid_a_place() -> None:
    """A pusher that does not pass is no matter of the standoff: the window stays, the verdict does not."""
    placement = placed(with_passage("34 mm", "34 mm", "1 mm"))
    row = placement.row("passage")
    assert placement.verdict is Verdict.NOT
    assert not placement.window.empty
    assert placement.contradiction is None
    assert (row.bound_mm, row.guarded_mm, row.binding) == (None, None, False)
    assert row.slack_mm == pytest.approx(-1.0)
    assert [j.row.id for j in placement.failing] == ["passage"]
    assert placed(with_passage("34 mm", "34 mm", "1 mm"), asked_mm=300.0).verdict is Verdict.NOT


@pytest.mark.parametrize(("od", "clearance"), [(183, 21), (105, 3), (278, 5), (111, 1)])
def test_bore_that_just_passes(od: int, clearance: int) -> None:
    """In tenths of a millimetre, all exact: bore = pusher + clearance holds, however the floats round."""
    text = with_passage(f"{(od + clearance) / 10} mm ± 0 mm", f"{od / 10} mm ± 0 mm", f"{clearance / 10} mm")
    placement = placed(text)
    assert placement.verdict is Verdict.FITS
    assert placement.row("passage").probability == 1.0
    assert placement.failing == ()


def test_worst_comparison_speaks_for_its_row() -> None:
    """The axis lies 5 below the loader's range: that slack is shown, and the probability is of both ends together."""
    text = TWO_MODES.replace("[lathe]", '[lathe]\ncentre_height = "955 mm"')
    placement = placed(text.replace("[loader]", '[loader]\ncentre_height = ["960 mm", "1120 mm"]'))
    row = placement.row("centre-height")
    assert row.slack_mm == pytest.approx(-5.0)
    assert 0.0 <= row.probability < 0.01
    assert placement.verdict is Verdict.NOT
    assert placement.probability <= row.probability + 1e-4


def test_measured_better_it_would_fit() -> None:
    """A window narrower than the guard bands: it fits if measured better, with the aim inside the plain window."""
    placement = placed(fixed(reach=853, u=3, gripper_u=3))
    assert placement.verdict is Verdict.BETTER
    assert placement.guarded.empty
    assert (placement.window.least_mm, placement.window.greatest_mm) == (250.0, 253.0)
    assert placement.aim_mm in (251.0, 252.0)


def test_aim_in_sixteenths() -> None:
    """Inches: a multiple of 1/16 in inside the guarded window."""
    placement = placed(TWO_MODES.replace('units = "mm"', 'units = "in"'))
    assert placement.aim_mm is not None
    assert placement.aim_mm / 1.5875 == pytest.approx(round(placement.aim_mm / 1.5875), abs=1e-9)
    assert placement.guarded.holds(placement.aim_mm)


def test_window_narrower_than_a_step() -> None:
    """Between 250.2 and 250.7 lies no millimetre: the aim is not rounded, and that is said."""
    placement = placed(fixed(gripper=2149.8, reach=850.7))
    assert placement.aim_mm == pytest.approx(250.45)
    assert any("not rounded" in remark for remark in placement.remarks)


def test_cut_of_a_fixed_nose_at_the_aim() -> None:
    """Room and hold stand 24 apart at any cut, so 12 is the best share; the smallest such standoff is 250 + 12."""
    placement = placed(fixed(end_gap=30))
    assert (placement.aim_mm, placement.cut_mm) == (262.0, 56.0)
    assert placement.row("nose-room", "fixed").slack_mm == pytest.approx(262 - (306 - 56))
    assert placement.row("nose-engagement", "fixed").slack_mm == pytest.approx(330 - 56 - 262)
    assert answered(placement)["nose_cut_mm"] == 56.0


def test_rounding_the_cut_loses_no_row() -> None:
    """Room and hold leave 16.4 to 16.7 to cut: no whole millimetre, whatever uncertainty another row has."""
    placement = placed(fixed(gripper=2100, gripper_u=17.3, reach=900.9, length="310.4", end_gap="6.3", cut=30))
    for id_ in ("nose-room", "nose-engagement"):
        assert placement.row(id_, "fixed").slack_mm >= -1e-6
    assert 16.4 - 1e-6 <= placement.cut_mm <= 16.7 + 1e-6


def test_cut_stays_within_what_may_be_cut() -> None:
    """Where the next step would be more than may be cut, the exact cut is stated."""
    placement = placed(fixed(length=300, end_gap="6.4", cut="6.3", gripper=2100, reach=1200))
    assert placement.window.least_mm == pytest.approx(300.0)  # full-bar; the nose alone asks for 299.7
    assert placement.cut_mm <= 6.3 + 1e-9


def test_asked_standoff_beyond_the_pusher_still_suits_the_nose() -> None:
    """Where the pusher fails, the nose is cut for the asked standoff as well as it can be: only the pusher fails."""
    placement = placed(fixed(setting=3), asked_mm=302.0)
    assert placement.verdict is Verdict.NOT
    assert [j.row.id for j in placement.failing] == ["pusher-reach"]


def test_telescopic_nose_is_never_cut_here() -> None:
    """A cut of a telescopic nose is a remedy, no unknown of the window."""
    text = TWO_MODES.replace('overlap = "32 mm"', 'overlap = "32 mm"\nmay_be_cut = "20 mm"')
    placement = placed(text)
    assert (placement.window.least_mm, placement.cut_mm) == (276.0, 0.0)
    assert answered(placement)["nose_cut_mm"] is None


def test_ties_are_all_named() -> None:
    """Two modes with the same limits bind together."""
    text = TWO_MODES.replace('z_rear = "150 mm"', 'z_rear = "155 mm"').replace('z_front = "350 mm"', 'z_front = "345 mm"')
    placement = placed(text)
    assert {(j.row.id, j.row.mode) for j in placement.rows if j.binding} == {
        ("nose-room", "one"),
        ("nose-room", "other"),
        ("pusher-reach", "one"),
        ("pusher-reach", "other"),
    }


def test_preferred_clearance_out_of_reach_is_said() -> None:
    """The guarded window begins beyond the preferred clearance."""
    placement = placed(TWO_MODES.replace('preferred = "12 mm"', 'preferred = "7 mm"'))
    assert any("preferred" in remark for remark in placement.remarks)
    assert placement.verdict is Verdict.FITS


def test_answer_of_an_empty_window() -> None:
    """Both edges are given, least above greatest, no aim, slack at the middle; and it is JSON."""
    contents = answered(placed(fixed(gripper=2080)))
    assert contents["window_mm"] == {"least": 320.0, "greatest": 300.0}
    assert contents["aim_mm"] is None
    assert contents["verdict"] == "does-not-fit"
    assert contents["contradiction"]["by_mm"] == 20.0
    slacks = {row["id"]: row["slack_mm"] for row in contents["requirements"]}
    assert (slacks["full-bar"], slacks["pusher-reach"]) == (-10.0, -10.0)
