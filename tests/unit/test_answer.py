"""The answer for other programs: the contract's keys in its order, figures worked out by hand, and always the same bytes."""

from __future__ import annotations

import json
import math
import os
import subprocess
import sys
from dataclasses import replace
from typing import Any

import pytest

from standoff import __version__
from standoff.desk.placement import advice_on, answer_json
from standoff.job.demonstration import NAMES, text_of
from standoff.job.file import parse_job
from standoff.job.placement import Placement, place
from standoff.job.refusal import as_json, refusal
from standoff.solve.window import Window
from standoff.units import parse_length
from tests.jobs import random_case
from tests.texts import FIXED, SLIDING, altered, problems

REACH = "loader.pusher_reach"
ORDER = [
    "format",
    "program",
    "verdict",
    "window_mm",
    "guarded_window_mm",
    "aim_mm",
    "probability",
    "nose_cut_mm",
    "requirements",
    "contradiction",
    "not_checked",
    "warnings",
    "remarks",
    "remedies",
]
"""The contract's keys. More may be added; none is renamed, removed or moved before another."""

ROW = ["id", "mode", "state", "side", "bound_mm", "slack_mm", "slack_u_mm", "probability", "binding"]
STATES = {"rear limit", "front limit", "bar change", "standing", "-"}


def placed(text: str, *, at: str | None = None) -> Placement:
    """The placement of a text, judged at a standoff as typed."""
    return place(parse_job(text), asked_mm=None if at is None else float(parse_length(at)))


def told(placement: Placement) -> dict[str, Any]:
    """The answer as another program reads it; JSON has no word for what is not finite."""

    def refuse(constant: str) -> None:
        raise AssertionError(f"{constant} is no JSON")

    answer: dict[str, Any] = json.loads(answer_json(placement, advice_on(placement)), parse_constant=refuse)
    return answer


def test_the_keys_stand_in_the_contracts_order() -> None:
    """Of the answer and of each row."""
    for text in (SLIDING, FIXED):
        answer = told(placed(text))
        assert [key for key in answer if key in ORDER] == ORDER
        assert all(list(row) == ROW for row in answer["requirements"])


def test_the_figures_of_a_job_worked_out_by_hand() -> None:
    """Window, guarded window, aim and every bound of the job whose lengths are round."""
    answer = told(placed(SLIDING))
    assert (answer["format"], answer["program"], answer["verdict"]) == ("standoff-answer/1", __version__, "fits")
    assert answer["window_mm"] == {"least": 291.0, "greatest": 330.0}
    # Half-widths 1.5 (collapsed, fitting, shift: tape), 1 (setting) and 0.01 twice (Z); reach: 1.7 + 1.5 (tapes), 1, 0.01.
    low_u = math.sqrt((3 * 1.5**2 + 1 + 2 * 0.01**2) / 3)
    high_u = math.sqrt((1.7**2 + 1.5**2 + 1 + 2 * 0.01**2) / 3)
    assert answer["guarded_window_mm"]["least"] == pytest.approx(291 + 1.645 * low_u, abs=6e-4)
    assert answer["guarded_window_mm"]["greatest"] == pytest.approx(330 - 1.645 * high_u, abs=6e-4)
    assert answer["aim_mm"] == 297.0
    assert answer["nose_cut_mm"] is None
    assert [(r["id"], r["mode"], r["state"], r["side"], r["bound_mm"]) for r in answer["requirements"]] == [
        ("nose-room", "guide-bushing", "rear limit", "at-least", 271.0),
        ("nose-room", "chucker", "rear limit", "at-least", 291.0),
        ("nose-engagement", "guide-bushing", "front limit", "at-most", 383.0),
        ("nose-engagement", "chucker", "front limit", "at-most", 393.0),
        ("pusher-reach", "guide-bushing", "front limit", "at-most", 330.0),
        ("pusher-reach", "chucker", "front limit", "at-most", 340.0),
        ("full-bar", "guide-bushing", "bar change", "at-least", 80.0),
        ("full-bar", "chucker", "bar change", "at-least", 85.0),
        ("cover-clearance", "guide-bushing", "standing", "at-least", -3.0),
        ("cover-clearance", "chucker", "standing", "at-least", 167.0),
        ("rear-room", None, "standing", "at-most", 1160.0),
        ("centre-height", None, "-", "none", None),
        ("passage", None, "-", "none", None),
    ]
    binding = [(r["id"], r["mode"]) for r in answer["requirements"] if r["binding"]]
    assert binding == [("nose-room", "chucker"), ("pusher-reach", "guide-bushing")]
    second = answer["requirements"][1]
    assert second["slack_mm"] == 6.0
    assert second["slack_u_mm"] == pytest.approx(low_u, abs=6e-4)
    assert [r["slack_mm"] for r in answer["requirements"]][-2:] == [70.0, 7.0]


def test_a_fixed_nose_states_its_cut() -> None:
    """The cut at the aim, and the window of every cut: 400 - 60 + 6 to 1200 - 800."""
    answer = told(placed(FIXED))
    assert answer["window_mm"] == {"least": 346.0, "greatest": 400.0}
    assert answer["nose_cut_mm"] == 60.0
    assert {row["mode"] for row in answer["requirements"]} == {"fixed", None} - {None}
    assert told(placed(FIXED, at="390 mm"))["nose_cut_mm"] == 19.0
    assert told(placed(altered(FIXED, {"nose.may_be_cut": None, "nose.length": '"360 mm"'})))["nose_cut_mm"] is None


def test_a_standoff_that_was_asked_for() -> None:
    """It stands beside the aim; slacks are taken there."""
    answer = told(placed(SLIDING, at="300 mm"))
    assert (answer["at_mm"], answer["aim_mm"]) == (300.0, 297.0)
    assert answer["requirements"][1]["slack_mm"] == 9.0
    assert told(placed(SLIDING))["at_mm"] is None


def test_an_empty_window_gives_both_edges_and_the_contradiction() -> None:
    """Least exceeds greatest, there is no aim, and slacks are taken at the middle."""
    answer = told(placed(altered(SLIDING, {REACH: '"1080 mm"'})))
    assert answer["verdict"] == "does-not-fit"
    assert answer["window_mm"] == {"least": 291.0, "greatest": 290.0}
    assert answer["aim_mm"] is None
    assert answer["contradiction"] == {
        "at_least": [{"id": "nose-room", "mode": "chucker", "state": "rear limit"}],
        "at_most": [{"id": "pusher-reach", "mode": "guide-bushing", "state": "front limit"}],
        "by_mm": 1.0,
    }
    assert [row["slack_mm"] for row in answer["requirements"] if row["binding"]] == [-0.5, -0.5]


def test_what_could_not_be_judged_is_named() -> None:
    """A requirement without its inputs has no row and stands among what was not checked."""
    answer = told(placed(FIXED))
    assert answer["not_checked"] == ["cover-clearance", "rear-room", "centre-height", "passage"]
    assert not set(answer["not_checked"]) & {row["id"] for row in answer["requirements"]}
    assert told(placed(SLIDING))["not_checked"] == []


def test_wrong_pairings_are_named_with_what_is_missing() -> None:
    """Shift of one mode, limit of another: 265 - (297 - 170) at the rear; nothing where the modes shift alike."""
    answer = told(placed(SLIDING))
    assert answer["pairings"] == [
        {
            "requirement": "nose-room",
            "shift_of": "chucker",
            "headstock_of": "guide-bushing",
            "state": "rear limit",
            "missing_mm": 138.0,
        },
        {
            "requirement": "nose-engagement",
            "shift_of": "guide-bushing",
            "headstock_of": "chucker",
            "state": "front limit",
            "missing_mm": 74.0,
        },
    ]
    alike = {"lathe.modes[1].loader_shift": None, "lathe.modes[1].z_rear": '"0 mm"', "lathe.modes[1].z_front": '"190 mm"'}
    assert told(placed(altered(SLIDING, alike)))["pairings"] == []


def test_readings_to_be_stated_and_to_be_measured_are_listed_by_field() -> None:
    """What says not how it was read, and what is only a manual's, a drawing's or an estimate; exact rules are neither."""
    changes: dict[str, str | None] = {
        REACH: '{ value = "1120 mm", source = "manual" }',
        "nose.collapsed": '{ value = "220 mm", source = "estimate" }',
        "nose.extended": '{ value = "560 mm", source = "tape" }',
        "lathe.modes[0].z_rear": '{ value = "0 mm", source = "control" }',
    }
    answer = told(placed(altered(SLIDING, changes)))
    assert answer["measure_this"] == [REACH, "nose.collapsed"]
    unstated = set(answer["source_not_stated"])
    assert not unstated & set(changes)
    assert {"lathe.modes[0].z_front", "loader.gripper_behind_clamp", "fittings[0].length"} <= unstated
    assert not any(field.startswith("rules.") or field == "loader.bar_capacity" for field in unstated)


def test_warnings_have_a_source() -> None:
    """Each warning has an id, a text and where its limit comes from."""
    for warning in told(placed(SLIDING))["warnings"]:
        assert list(warning) == ["id", "text", "source"]
        assert all(warning.values())


def test_an_open_side_is_null() -> None:
    """A side that nothing bounds is null, in both windows."""
    placement = placed(SLIDING)
    window = Window(-math.inf, math.inf, placement.window.bounds_mm, (), (), None)
    answer = told(replace(placement, window=window, guarded=window))
    assert answer["window_mm"] == answer["guarded_window_mm"] == {"least": None, "greatest": None}


def numbers(value: Any, key: str = "") -> list[tuple[str, float]]:
    """Every number of an answer with its key."""
    if isinstance(value, dict):
        return [pair for inner, each in value.items() for pair in numbers(each, inner if inner.endswith("_mm") else inner or key)]
    if isinstance(value, list):
        return [pair for each in value for pair in numbers(each, key)]
    return [(key, value)] if isinstance(value, float) else []


@pytest.mark.parametrize("seed", range(25))
def test_figures_are_rounded_and_never_minus_nothing(seed: int) -> None:
    """Lengths have three decimals at most, probabilities four, whatever the job; states and sides are the contract's."""
    answer = told(placed(random_case(seed, fine=True).text()))
    for key, number in numbers(answer):
        decimals = 4 if key == "probability" else 3
        assert round(number, decimals) == number, key
        assert math.copysign(1.0, number) > 0.0 or number < 0.0, key
    for row in answer["requirements"]:
        assert row["state"] in STATES
        assert row["side"] in ("at-least", "at-most", "none")
        assert (row["bound_mm"] is None) is (row["side"] == "none")
        assert 0.0 <= row["probability"] <= 1.0


def test_a_slack_of_next_to_nothing_is_nothing() -> None:
    """A slack that rounds to zero from below is 0, not -0."""
    text = altered(SLIDING, {"lathe.centre_height": '"959.9999 mm"'})
    row = told(placed(text))["requirements"][-2]
    assert (row["id"], str(row["slack_mm"])) == ("centre-height", "0.0")


def test_the_same_job_gives_the_same_bytes() -> None:
    """Twice in this process, and in two others whose hashes are seeded otherwise."""
    code = (
        "from standoff.desk.placement import *; from standoff.job.demonstration import NAMES, text_of\n"
        "for name in NAMES: p = placement_of_text(text_of(name)); print(answer_json(p, advice_on(p)))"
    )
    others = []
    for seed in ("1", "2"):
        environment = {**os.environ, "PYTHONHASHSEED": seed, "PYTHONIOENCODING": "utf-8"}
        done = subprocess.run([sys.executable, "-c", code], env=environment, capture_output=True, check=True)
        others.append(done.stdout.decode("utf-8").replace("\r\n", "\n"))
    here = []
    for _ in range(2):
        placements = [placed(text_of(name)) for name in NAMES]
        here.append("".join(f"{answer_json(p, advice_on(p))}\n" for p in placements))
    assert here[0] == here[1] == others[0] == others[1]


def test_problems_are_told_to_other_programs() -> None:
    """`standoff-errors/1`: each problem with code, file, line, field, found, expected and action, in the file's order."""
    found = problems(altered(SLIDING, {"job.units": '"inch"', REACH: '"44"'}))
    contents = json.loads(as_json(refusal(found)))
    assert contents["format"] == "standoff-errors/1"
    assert [list(error) for error in contents["errors"]] == 2 * [["code", "file", "line", "field", "found", "expected", "action"]]
    first = contents["errors"][0]
    assert (first["code"], first["file"], first["line"], first["field"]) == ("value-choice", "cell.toml", 6, "job.units")
    assert json.loads(as_json(refusal([]))) == {"format": "standoff-errors/1", "errors": []}


def test_text_stays_text_in_json() -> None:
    """Letters of any language are written as they are; what is not finite is refused, not written."""
    assert '"½ ü"' in as_json({"a": "½ ü"})
    with pytest.raises(ValueError, match="not JSON compliant"):
        as_json({"a": math.inf})
