"""The guided survey: every dimension once, in a walk, and readings turned from where the headstock stood."""

from __future__ import annotations

import pytest

from standoff.job.bar_guide import BAR_TABLES
from standoff.job.cycle_guide import CYCLE_TABLES
from standoff.job.field import kind_of
from standoff.job.guide import WALKS, defined_of, pattern_of, step_of, turned_mm, walk_of
from standoff.job.names import STATION_NAMES
from standoff.job.runoff_guide import RUNOFF_TABLES
from standoff.job.step import Defined
from standoff.job.stock_guide import STOCK_TABLES
from standoff.reading import SOURCES
from tests.benches import every_field

NOT_WALKED = (
    *(
        "rules",
        "remedy",
        "as_installed",
        "return_reading",
        "symptom",
        "bar_path.running_clearance",
        "runoff_bars",
        "runoff_signals",
    ),
)


def test_every_step_is_a_field_of_the_job_file() -> None:
    """Each step names a field there is, with a tool and stations there are."""
    for walk, stops in WALKS.items():
        for step in (step for stop in stops for step in stop.steps):
            kind_of(step.field.replace("[i]", "[0]"))
            assert step.tool in (SOURCES if walk == "survey" else {*SOURCES, ""})
            assert {step.start, step.end} <= {*STATION_NAMES, ""}
            assert bool(step.start) == bool(step.end)


def test_every_field_is_asked_for() -> None:
    """What the job file takes for survey, bar speed, bar cycle and stock is asked for once, and once only."""
    asked = [step.field.replace("[i]", "[0]") for stops in WALKS.values() for stop in stops for step in stop.steps]
    assert len(asked) == len(set(asked))
    wanted = [field for field in every_field() if not field.startswith(NOT_WALKED)]
    assert [field for field in wanted if field not in asked] == []


@pytest.mark.parametrize(
    ("defined", "read_mm", "travel_mm", "is_mm"),
    [
        ("rear", 150.0, 190.0, -40.0),  # The adapter sticks out 40 mm fully back, and lies 150 mm inside fully forward.
        ("rear", -40.0, 0.0, -40.0),
        ("front", 510.0, 0.0, 320.0),  # The collet stands 190 mm farther from the cut-off plane when fully back.
        ("front", 320.0, 190.0, 320.0),
        ("anywhere", 600.0, 77.0, 600.0),
    ],
)
def test_a_reading_is_turned(defined: Defined, read_mm: float, travel_mm: float, is_mm: float) -> None:
    """By hand, with a travel of 190 mm from rear to front."""
    assert turned_mm(defined, read_mm=read_mm, travel_mm=travel_mm, whole_mm=190.0) == is_mm


def test_where_a_dimension_is_defined() -> None:
    """The cover is read fully back, the cut-off fully forward, the rest anywhere."""
    assert defined_of("lathe.cover_to_adapter") == "rear"
    assert defined_of("lathe.collet_to_cutoff") == "front"
    assert defined_of("fittings[3].length") == "anywhere"


def test_a_field_off_the_walk_stands_for_itself() -> None:
    """A rule has no step, only its words."""
    assert step_of("rules.nose_clearance").title == "nose clearance"
    assert pattern_of("lathe.modes[1].z_rear") == "lathe.modes[i].z_rear"
    assert pattern_of("loader.centre_height[1]") == "loader.centre_height[1]"


@pytest.mark.parametrize(
    ("field", "walk"),
    [
        ("loader.pusher_reach[1]", "survey"),
        ("loader.centre_height[0]", "survey"),
        ("rules.nose_clearance", "survey"),
        ("bar_path.pusher_od", "survey"),
        ("bar_path.pusher_mass", "speed"),
        ("passage", "survey"),
        ("passage[1]", "survey"),
        ("passage[1].length", "speed"),
        ("supports[3].ahead", "speed"),
        ("site_checks[0].sag[1]", "speed"),
        ("no_such_table", "survey"),
        ("parts[0].per_year", "cycle"),
        ("cycle.bar_change", "cycle"),
        *((table, "speed") for table in BAR_TABLES),
        *((table, "cycle") for table in CYCLE_TABLES),
        *((table, "stock") for table in STOCK_TABLES),
        *((table, "runoff") for table in RUNOFF_TABLES),
        ("runoff_runs[1].speed", "runoff"),
        *((f"{table}[0]", "speed") for table in BAR_TABLES if table not in ("feed", "bar_rules")),
    ],
)
def test_a_field_belongs_to_one_walk(field: str, walk: str) -> None:
    """Tables and fields go to the page that fills them in; a table that two pages know belongs to the survey."""
    assert walk_of(field) == walk


def test_what_has_a_default_says_so() -> None:
    """The questions about shares kept, and about a stiffness, name what holds where they are left empty."""
    assert "Empty: 0.5 " in step_of("bar_rules.whip_share").how
    assert "Empty: 1 kN/mm " in step_of("bar_rules.pusher_stiffness").how
    assert "Empty: 1/8 in." in step_of("parts[1].cut_off_width").how
    assert "Empty: 0 in." in step_of("cycle.into_collet").how
    assert "Empty: 5 (ours)." in step_of("runoff.bars_in_row").how
    assert "guide tube 2 kN/mm" in step_of("supports[2].stiffness").how
