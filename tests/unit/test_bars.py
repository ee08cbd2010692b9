"""A bar of the job as the physics sees it: what is stated, what stands in where nothing is, and the speed wanted of it."""

from __future__ import annotations

import math

import pytest

from standoff.bar.materials import MATERIALS
from standoff.errors import UsageError
from standoff.job.bars import Bar, bars_of
from tests.texts import altered
from tests.turning import STANDING, TURNING, Changes, first_bar, job_of

BAR = "bars[0]"


def changed(changes: Changes) -> Bar:
    """The first bar with these keys changed."""
    return first_bar(altered(TURNING, {f"{BAR}.{key}": value for key, value in changes.items()}))


def test_a_bar_is_what_was_stated() -> None:
    """16 mm steel, 3.66 m: mass 1.578 kg/m (201.06 mm2 of 7850 kg/m3), EI 200e3 N/mm2 times 3217 mm4."""
    bar = first_bar()
    assert (bar.name, bar.length_mm, bar.material) == ("16 mm steel", 3660.0, MATERIALS["steel"])
    assert bar.beam.mass_kg_m == pytest.approx(math.pi * 8.0**2 * 1e-6 * 7850.0)
    assert bar.beam.ei_n_mm2 == pytest.approx(200e3 * math.pi * 16.0**4 / 64.0)
    assert (bar.straightness_mm_per_m, bar.straightness_from) == (1.0, "as stated")
    assert (bar.wanted_rpm, bar.wanted_from) == (800.0, "as stated")
    assert (bar.push_n, bar.end_turned_mm) == (90.0, None)


# Machinery's Handbook, "Cutting speed formulas": N = 12 V / (pi D), 3.82 V / D; metric 318.3 v / d (from memory).
CUTTING = [
    ("120 m/min", "10 mm", 318.3 * 120.0 / 10.0, "120 m/min at 10 mm"),
    ("400 ft/min", "3/8 in", 3.82 * 400.0 / 0.375, "122 m/min at 3/8 in"),
    ("100 sfm", "1/2 in", 3.82 * 100.0 / 0.5, "30 m/min at 1/2 in"),
    ("105 m/min", "15 mm", 2228.1, "105 m/min at 15 mm"),
]


@pytest.mark.parametrize(("speed", "diameter", "by_handbook_rpm", "told"), CUTTING)
def test_a_cutting_speed_is_turned_into_rpm(speed: str, diameter: str, by_handbook_rpm: float, told: str) -> None:
    """v / (pi d), to the three digits to which a handbook rounds pi."""
    bar = changed({"speed": None, "cutting_speed": f'"{speed}"', "turned_diameter": f'"{diameter}"'})
    assert bar.wanted_rpm == pytest.approx(by_handbook_rpm, rel=5e-4)
    assert bar.wanted_from == told


def test_no_speed_is_not_a_speed_of_nothing() -> None:
    """Where nothing is wanted, nothing stands in."""
    bar = changed({"speed": None})
    assert (bar.wanted_rpm, bar.wanted_from) == (None, "")


@pytest.mark.parametrize(
    ("changes", "is_mm"),
    [
        ({}, 3660.0),
        ({f"{BAR}.length": '"3 m"'}, 3000.0),
        ({"rules.longest_bar": '"3.5 m"'}, 3500.0),
        ({"rules.longest_bar": '"3.5 m"', f"{BAR}.length": '"3 m"'}, 3000.0),
    ],
)
def test_a_bars_length(changes: Changes, is_mm: float) -> None:
    """Its own, else the job's longest, else the loader's capacity."""
    assert first_bar(altered(TURNING, changes)).length_mm == is_mm


@pytest.mark.parametrize(
    ("bar", "feed", "is_n"), [('"50 N"', '"90 N"', 50.0), (None, '"90 N"', 90.0), ('"50 N"', None, 50.0), (None, None, None)]
)
def test_the_force_that_is_set(bar: str | None, feed: str | None, is_n: float | None) -> None:
    """The bar's own setting wins over the loader's; without either none is known."""
    changes: dict[str, str | None] = {"feed.set_force": feed}
    if bar is not None:
        changes[f"{BAR}.feed_force"] = bar
    assert first_bar(altered(TURNING, changes)).push_n == is_n


def test_a_bar_without_feed_tables_has_no_force() -> None:
    """A job may leave [feed] out altogether."""
    assert first_bar(STANDING).push_n is None


def test_a_material_of_ones_own() -> None:
    """Density and modulus as stated, and said to be stated; a modulus beside a known material replaces that alone."""
    own = changed({"material": '"bronze"', "density": '"8.8 g/cm3"', "modulus": '"110 GPa"'}).material
    assert (own.name, own.density_kg_m3, own.modulus_mpa, own.source) == ("bronze", 8800.0, 110e3, "as stated in this job")
    known = changed({"modulus": '"205 GPa"'}).material
    assert (known.density_kg_m3, known.modulus_mpa, known.source) == (7850.0, 205e3, "as stated in this job")


# EN 10278:1999 as reproduced by stockholders: rounds 1.0 mm/m below 0.25 % carbon, 1.5 above; stainless hexagons to 75 mm 1.0.
# ASTM A108: below 5/8 in and 15 ft 1/8 in over 10 ft, from 5/8 in 1/16 in.
STRAIGHT = [
    ("EN 10278:1999", "carbon below 0.25 %", "16 mm", "1.0"),
    ("EN 10278:1999", "carbon 0.25 % and more, alloy, quenched and tempered", "16 mm", "1.5"),
    ("ASTM A108, Table A1.4", "carbon to 0.28 %", "1/2 in", "1.042"),
    ("ASTM A108, Table A1.4", "carbon to 0.28 %", "5/8 in", "0.521"),
]


@pytest.mark.parametrize(("standard", "group", "size", "printed"), STRAIGHT)
def test_straightness_by_a_standard(standard: str, group: str, size: str, printed: str) -> None:
    """The row of the standard, brought to millimetres per metre, and its name."""
    bar = changed(
        {
            "straightness": None,
            "straightness_standard": f'"{standard}"',
            "straightness_group": f'"{group}"',
            "size": f'"{size}"',
        }
    )
    assert bar.straightness_mm_per_m == pytest.approx(float(printed), abs=5e-4)
    assert bar.straightness_from == f"{standard}, {group}"


@pytest.mark.parametrize(("shape", "is_mm_per_m"), [("round", 1.5), ("hexagon", 2.0), ("square", 2.0)])
def test_straightness_where_none_is_stated(shape: str, is_mm_per_m: float) -> None:
    """The widest row of EN 10278:1999, and said to be a default."""
    bar = changed({"straightness": None, "shape": f'"{shape}"'})
    assert bar.straightness_mm_per_m == is_mm_per_m
    assert bar.straightness_from.startswith("default: ")


@pytest.mark.parametrize(
    ("shape", "size", "grade", "corners_mm"),
    [
        ("round", "16 mm", "h10", 16.0),
        ("hexagon", "17 mm", "h11", 17.0 * 2.0 / math.sqrt(3.0)),
        ("square", "10 mm", "h11", 10.0 * math.sqrt(2.0)),
    ],
)
def test_a_bar_over_its_corners(shape: str, size: str, grade: str, corners_mm: float) -> None:
    """The usual grade of its shape hangs below the nominal size (EN 10278), so the nominal one must pass, over the corners."""
    bar = changed({"shape": f'"{shape}"', "size": f'"{size}"'})
    assert bar.grade == grade
    assert bar.corners_mm == pytest.approx(corners_mm)
    assert changed({"grade": '"h12"'}).grade == "h12"


def test_a_bar_thicker_than_any_grade_is_as_thick_as_it_is_called() -> None:
    """Above the tabled sizes the nominal one stands for the greatest: h grades hang below it."""
    bar = changed({"size": '"100 mm"'})
    assert bar.greatest_mm == bar.corners_mm == 100.0
    assert first_bar(altered(TURNING, {f"{BAR}.size": '"80 mm"'})).greatest_mm == 80.0


def test_a_bar_thinner_than_any_grade_is_refused() -> None:
    """Below the tabled sizes the answer is a refusal that says where to take the limits from."""
    with pytest.raises(UsageError, match="take the limits from the bar's certificate"):
        changed({"size": '"0.9 mm"'})


def test_bars_keep_their_order() -> None:
    """As they stand in the file."""
    second = '\n[[bars]]\nname = "12 mm brass"\nshape = "round"\nsize = "12 mm"\nmaterial = "brass C36000"\n'
    assert [bar.name for bar in bars_of(job_of(TURNING + second))] == ["16 mm steel", "12 mm brass"]
