"""The demonstration jobs: each tells what the scenario says it tells."""

from __future__ import annotations

import json
from functools import cache
from typing import Any

import pytest

from standoff.desk.placement import STATUS, advice_on, answer_json, drawing
from standoff.errors import UsageError
from standoff.job.demonstration import NAMES, text_of
from standoff.job.file import parse_job
from standoff.job.placement import Placement, Verdict, place
from standoff.job.plausible import implausible


@cache
def placed(name: str) -> Placement:
    """The placement of a demonstration job."""
    return place(parse_job(text_of(name), file=f"{name}.toml"))


@cache
def told(name: str) -> dict[str, Any]:
    """Its answer as another program reads it."""
    answer: dict[str, Any] = json.loads(answer_json(placed(name), advice_on(placed(name))))
    return answer


def binding(name: str) -> set[tuple[str, str | None]]:
    """The rows that end its window."""
    return {(row["id"], row["mode"]) for row in told(name)["requirements"] if row["binding"]}


@pytest.mark.parametrize(
    ("name", "verdict", "status"),
    [
        ("axle-cell", "fits", 0),
        ("spoke-nipple-cell", "does-not-fit", 1),
        ("shell-cell", "fits", 0),
        ("spacer-cell", "fits-if-measured-better", 3),
        ("moved-cell", "fits", 0),
    ],
)
def test_the_verdicts_are_the_scenarios(name: str, verdict: str, status: int) -> None:
    """Verdict and exit status of each job."""
    assert told(name)["verdict"] == verdict
    assert STATUS[placed(name).verdict] == status


def test_the_axle_cell_is_bound_by_its_second_mode_on_both_sides() -> None:
    """Two modes of unequal travel whose front limits differ by something else than the shift; a window of about an inch."""
    readings = placed("axle-cell").job.readings
    stroke, other = (
        readings[f"lathe.modes[{i}].z_front"].value_mm - readings[f"lathe.modes[{i}].z_rear"].value_mm for i in (0, 1)
    )
    apart = readings["lathe.modes[1].z_front"].value_mm - readings["lathe.modes[0].z_front"].value_mm
    assert stroke != pytest.approx(other)
    assert apart != pytest.approx(readings["lathe.modes[1].loader_shift"].value_mm)
    assert binding("axle-cell") == {("nose-room", "chucker"), ("pusher-reach", "chucker")}
    assert {(p["requirement"], p["state"]) for p in told("axle-cell")["pairings"]} == {
        ("nose-room", "rear limit"),
        ("nose-engagement", "front limit"),
    }


def test_the_spoke_nipple_cell_does_not_fit_as_delivered() -> None:
    """Nose-room against pusher-reach, 8 1/2 in against 8 3/20 in; a cut, an extension or a front limit opens it."""
    answer = told("spoke-nipple-cell")
    assert answer["contradiction"] == {
        "at_least": [{"id": "nose-room", "mode": "guide-bushing", "state": "rear limit"}],
        "at_most": [{"id": "pusher-reach", "mode": "guide-bushing", "state": "front limit"}],
        "by_mm": round(0.35 * 25.4, 3),
    }
    alone = {remedy["changes"][0]["kind"] for remedy in answer["remedies"] if len(remedy["changes"]) == 1}
    assert {"cut-nose", "pusher-extension", "front-limit"} <= alone


def test_the_shell_cell_fits_with_one_cut_of_its_nose() -> None:
    """Millimetres, a fixed headstock, a fixed nose with a collecting device at its end; without the cut it does not fit."""
    answer, job = told("shell-cell"), placed("shell-cell").job
    assert (job.units, job.sliding, job.telescopic, job.fittings) == ("mm", False, False, ("collecting device",))
    assert 0.0 < answer["nose_cut_mm"] <= job.readings["nose.may_be_cut"].value_mm
    assert "passage" in {row["id"] for row in answer["requirements"]}
    uncut = "\n".join(line for line in text_of("shell-cell").splitlines() if not line.startswith("may_be_cut"))
    assert place(parse_job(uncut)).verdict is not Verdict.FITS


def test_the_spacer_cell_has_a_reversed_z_and_a_wrong_reading() -> None:
    """Only if measured better; the wrong reading is named, and the answer without it is stated."""
    readings, answer = placed("spacer-cell").job.readings, told("spacer-cell")
    assert readings["lathe.modes[0].z_front"].value_mm < readings["lathe.modes[0].z_rear"].value_mm
    assert answer["measure_this"]
    assert answer["survey"]["consistent"] is False
    assert answer["survey"]["suspects"][0] == ["lathe.adapter_to_collet"]
    assert answer["survey"]["without_suspect"]["verdict"] == "fits"


def test_the_moved_cell_is_the_axle_cell_a_year_later() -> None:
    """The same machines by the same record."""
    axle, moved = placed("axle-cell").job, placed("moved-cell").job
    survey = ("lathe.", "loader.", "nose.", "fittings[", "passage[", "rules.", "bar_path.pusher_")
    surveyed = [
        {name: reading.value_mm for name, reading in job.readings.items() if name.startswith(survey)} for job in (axle, moved)
    ]
    assert surveyed[0] == surveyed[1]
    assert (axle.lathe, axle.loader) == (moved.lathe, moved.loader)


def test_three_cells_are_in_inches_and_two_in_millimetres() -> None:
    """As the lengths would be read on site."""
    assert [placed(name).job.units for name in NAMES].count("in") == 3
    for name in NAMES:
        units = placed(name).job.units
        typed = [reading.text for field, reading in placed(name).job.readings.items() if field.startswith(("lathe", "nose"))]
        metric = [text for text in typed if text.endswith(("mm", " m"))]
        assert len(metric) == (len(typed) if units == "mm" else 0)


@pytest.mark.parametrize("name", NAMES)
def test_each_file_says_that_it_is_invented(name: str) -> None:
    """Nothing in it can be taken for a real machine; every source is stated, and nothing in it is implausible."""
    text = text_of(name)
    assert "an invented example. The works, the machines and every figure in this file are made up." in text.splitlines()[0]
    assert implausible(placed(name).job) == ()
    assert told(name)["source_not_stated"] == []
    assert told(name)["not_checked"] == []


@pytest.mark.parametrize("name", NAMES)
def test_each_can_be_drawn(name: str) -> None:
    """The drawing that the demonstration writes is an SVG with the cell's title."""
    picture = drawing(placed(name))
    assert picture.startswith(("<?xml", "<svg"))
    assert placed(name).job.title in picture


def test_another_name_is_misuse() -> None:
    """What is not there is refused with the names there are."""
    with pytest.raises(UsageError, match="axle-cell, spoke-nipple-cell"):
        text_of("../axle-cell")
