"""From the text of random jobs to the answer: what the contract promises of every answer, and the same bytes every time."""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
from dataclasses import replace
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from standoff.job.advice import advise
from standoff.job.answer import answer
from standoff.job.file import parse_job
from standoff.job.placement import Placement, Verdict, place
from standoff.job.refusal import as_json
from tests.jobs import Case, mode_name, random_case
from tests.written import bounds, fixed_slacks, numbers

CASES = 300
SHOWN_MM = 1e-3
ROOT = Path(__file__).resolve().parents[2]
ORDER = ("nose-room", "nose-engagement", "pusher-reach", "full-bar", "cover-clearance", "rear-room", "centre-height", "passage")
STATES = {
    "nose-room": "rear limit",
    "nose-engagement": "front limit",
    "pusher-reach": "front limit",
    "full-bar": "bar change",
    "cover-clearance": "standing",
    "rear-room": "standing",
    "centre-height": "-",
    "passage": "-",
}


def contents_of(placement: Placement) -> dict[str, Any]:
    """The answer's contents."""
    return answer(placement, advise(placement), program="test")


@cache
def answered(seed: int) -> tuple[Case, Placement, dict[str, Any]]:
    """A random case, its placement and the answer's contents."""
    case = random_case(seed, fine=True)
    placement = place(parse_job(case.text()))
    return case, placement, contents_of(placement)


def test_rows_stand_in_the_contracts_order() -> None:
    """Requirements in their order, modes in the file's, each in its state; the rest is listed as not checked."""
    for seed in range(CASES):
        case, _, contents = answered(seed)
        modes = [mode_name(i) for i in range(case.modes)] or ["fixed"]
        judged = [w.id for w in bounds(case, numbers(case))] + [id_ for id_, _ in fixed_slacks(case, numbers(case))]
        expected = [
            (id_, mode, STATES[id_]) for id_ in ORDER if id_ in judged for mode in (modes if ORDER.index(id_) < 5 else [None])
        ]
        assert [(row["id"], row["mode"], row["state"]) for row in contents["requirements"]] == expected
        assert contents["not_checked"] == [id_ for id_ in ORDER if id_ not in judged]


def test_answer_agrees_with_itself() -> None:
    """Edges, contradiction, aim, verdict and rows say the same thing."""
    verdicts = set()
    for seed in range(CASES):
        _, _, contents = answered(seed)
        least, greatest = contents["window_mm"]["least"], contents["window_mm"]["greatest"]
        rows = contents["requirements"]
        blocked = any(row["side"] == "none" and row["slack_mm"] < 0.0 for row in rows)
        verdicts.add(contents["verdict"])
        if contents["contradiction"] is None:
            assert least <= greatest + SHOWN_MM
            assert least - SHOWN_MM <= contents["aim_mm"] <= greatest + SHOWN_MM
            edges = [row["bound_mm"] for row in rows if row["binding"]]
            assert all(min(abs(edge - least), abs(edge - greatest)) <= 1.1 * SHOWN_MM for edge in edges)
            assert {row["side"] for row in rows if row["binding"]} == {"at-least", "at-most"}
        else:
            assert contents["aim_mm"] is None
            assert contents["contradiction"]["by_mm"] == pytest.approx(least - greatest, abs=2 * SHOWN_MM)
            assert contents["verdict"] == "does-not-fit"
        guarded = contents["guarded_window_mm"]
        sure = guarded["least"] <= guarded["greatest"] and not blocked
        assert (contents["verdict"] == "fits") == sure or abs(guarded["least"] - guarded["greatest"]) < 3 * SHOWN_MM
        assert not blocked or contents["verdict"] == "does-not-fit"
    assert verdicts == {"fits", "fits-if-measured-better", "does-not-fit"}


def test_probabilities_are_in_their_places() -> None:
    """Between 0 and 1, to four decimals; all together never surer than the least sure row."""
    for seed in range(CASES):
        _, placement, contents = answered(seed)
        singles = [row["probability"] for row in contents["requirements"]]
        assert all(0.0 <= p <= 1.0 and round(p, 4) == p for p in (*singles, contents["probability"]))
        assert placement.probability <= min(j.probability for j in placement.rows) + 2e-4
        assert placement.probability >= 1.0 - sum(1.0 - j.probability for j in placement.rows) - 2e-4


def test_guarded_aim_holds_each_row_with_its_guard() -> None:
    """In a job that fits, every single bound holds with 95 % or more at the aim, when the aim lies in the guarded window."""
    fitting = 0
    for seed in range(CASES):
        _, placement, _ = answered(seed)
        if placement.verdict is Verdict.FITS and placement.aim_mm is not None and placement.guarded.holds(placement.aim_mm):
            fitting += 1
            assert all(j.probability >= 0.95 - 1e-4 for j in placement.rows if j.row.bounds_standoff)
    assert fitting > 30


def test_generator_would_show_a_toy() -> None:
    """Most random jobs of two modes change when the second mode's Z and shift are dropped: the generator is no toy itself."""
    seen = several = 0
    for seed in range(CASES):
        case = random_case(seed)
        if case.modes < 2:
            continue
        several += 1
        kept = {path: q for path, q in case.quantities.items() if "modes[" not in path or "modes[0]" in path}
        first_only = replace(case, modes=1, quantities=kept)
        both, alone = (place(parse_job(c.text())).window for c in (case, first_only))
        seen += (both.least_mm, both.greatest_mm) != pytest.approx((alone.least_mm, alone.greatest_mm))
    assert several > 100
    assert seen > several * 0.8


def test_nose_cut_anew_for_each_requirement_would_show() -> None:
    """There are random jobs that would fit if each requirement could choose its own cut, and that do not fit."""
    wrong = 0
    for seed in range(2 * CASES):
        case = random_case(seed)
        limit_mm = 0.0 if case.telescopic else numbers(case)["nose.may_be_cut"]
        if limit_mm == 0.0:
            continue
        written = bounds(case, numbers(case))
        least = max(w.at - w.cut * limit_mm for w in written if w.at_least)
        greatest = min(w.at for w in written if not w.at_least)
        if least < greatest - 1e-6 and place(parse_job(case.text())).window.empty:
            wrong += 1
    assert wrong > 3


def digest(seeds: range) -> str:
    """One figure for the answers of many jobs, byte by byte."""
    texts = [as_json(contents_of(place(parse_job(random_case(s).text())))) for s in seeds]
    return hashlib.sha256("\n".join(texts).encode()).hexdigest()


def test_same_input_same_bytes() -> None:
    """Twice in one process, and in fresh processes whose hashes are salted differently."""
    here = digest(range(40))
    assert digest(range(40)) == here
    code = "from tests.property.test_jobs import digest; print(digest(range(40)))"
    for salt in ("1", "4242"):
        environment = os.environ | {"PYTHONHASHSEED": salt}
        fresh = subprocess.run(
            [sys.executable, "-c", code], cwd=ROOT, env=environment, capture_output=True, text=True, check=False
        )
        assert fresh.stdout.strip() == here, fresh.stderr


@pytest.mark.prove
def test_many_more_answers_agree_with_themselves() -> None:
    """No random job makes the program stumble."""
    for seed in range(CASES, 20 * CASES):
        placement = place(parse_job(random_case(seed, fine=seed % 2 == 0).text()))
        as_json(contents_of(placement))
