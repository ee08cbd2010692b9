"""Measured values: what a job file may hold for one, and the uncertainty it stands for."""

from __future__ import annotations

import math
from datetime import UTC, date, datetime

import pytest

from standoff.errors import CODES, QuantityError, UsageError
from standoff.reading import SOURCES, Reading, read_quantity, rectangular_u_mm, tape_mpe_mm

REFUSED = [
    (22, "length-without-unit", ""),
    (0, "length-without-unit", ""),
    (22.5, "length-without-unit", ""),
    (True, "length-without-unit", ""),
    (math.nan, "length-without-unit", ""),
    ("22", "length-without-unit", ""),
    (None, "quantity-form", ""),
    (date(2024, 5, 1), "quantity-form", ""),
    ([], "quantity-list-empty", ""),
    ([["22 in"]], "quantity-form", "[0]"),
    ({}, "quantity-value-missing", ""),
    ({"value": 22}, "length-without-unit", ".value"),
    ({"value": "22 inn"}, "length-unit-unknown", ".value"),
    ({"value": {"value": "22 in"}}, "quantity-form", ".value"),
    ({"value": "22 in", "uncertainy": "1 mm"}, "quantity-key-unknown", ""),
    ({"value": "22 in", "uncertainty": "1"}, "length-without-unit", ".uncertainty"),
    ({"value": "22 in", "uncertainty": 1}, "length-without-unit", ".uncertainty"),
    ({"value": "22 in", "uncertainty": "-1 mm"}, "uncertainty-negative", ".uncertainty"),
    ({"value": "22 in", "standard_uncertainty": "-1 mm"}, "uncertainty-negative", ".standard_uncertainty"),
    ({"value": "22 in", "uncertainty": "1 mm", "standard_uncertainty": "1 mm"}, "uncertainty-twice", ""),
    ({"value": "22 in ± 1 mm", "uncertainty": "1 mm"}, "uncertainty-twice", ""),
    ({"value": "22 in", "source": "tap"}, "source-unknown", ".source"),
    ({"value": "22 in", "source": 3}, "quantity-form", ".source"),
    ({"value": "22 in", "note": 3}, "quantity-form", ".note"),
    ({"value": "22 in", "when": 3}, "quantity-form", ".when"),
    ("8 in ±", "uncertainty-form", ""),
    ("± 1 mm", "uncertainty-form", ""),
    ("8 in ± 1 mm ± 1 mm", "uncertainty-form", ""),
    ("8 ± 1/16 in", "length-without-unit", ""),
    ("8 in ± 1/16", "length-without-unit", ""),
    ("8 in ± -1 mm", "uncertainty-negative", ""),
    (["22 in", {"value": "22 in", "uncertainty": "1"}], "length-without-unit", "[1].uncertainty"),
    (["22 in", {"value": "22 in", "source": "laserr"}], "source-unknown", "[1].source"),
    (["22 in", 22], "length-without-unit", "[1]"),
]


def one(raw: object, default_source: str | None = "tape") -> Reading:
    """The only reading of a quantity."""
    (reading,) = read_quantity(raw, default_source=default_source)
    return reading


def test_plain_text_takes_the_default_source() -> None:
    """A text alone gets the uncertainty of the default source, and the source counts as not stated."""
    reading = one("22 in")
    assert reading.value_mm == 558.8
    assert reading.half_width_mm == pytest.approx(0.3 + 0.2 + 1.0)
    assert reading.u_mm == pytest.approx(1.5 / math.sqrt(3))
    assert (reading.source, reading.source_stated) == ("tape", False)
    assert (reading.text, reading.note, reading.when) == ("22 in", "", None)


@pytest.mark.parametrize(
    ("source", "half_width_mm"),
    [
        ("tape", 0.3 + 0.2 * 4 + 1.0),
        ("sighted", 0.3 + 0.2 * 4 + 3.0),
        ("rule", 0.5),
        ("caliper", 0.05),
        ("laser", 2.0),
        ("control", 0.01),
        ("manual", 3.0),
        ("drawing", 3.0),
        ("estimate", 10.0),
    ],
)
def test_each_source_has_its_half_width(source: str, half_width_mm: float) -> None:
    """The half-widths of the file contract, for a length of 3.66 m (the allowances are our choice, not published)."""
    assert SOURCES[source].half_width_mm(3660.0) == pytest.approx(half_width_mm)
    reading = one({"value": "-3.66 m", "source": source})
    assert reading.half_width_mm == pytest.approx(half_width_mm)
    assert (reading.source, reading.source_stated) == (source, True)


def test_sources_are_nine_and_three_are_not_measured() -> None:
    """What is only looked up or guessed is to be measured."""
    assert list(SOURCES) == [
        "tape", "sighted", "rule", "caliper", "laser", "control", "manual", "drawing", "estimate",
    ]  # fmt: skip
    assert {name for name, source in SOURCES.items() if not source.measured} == {"manual", "drawing", "estimate"}


@pytest.mark.parametrize(
    "text",
    ["8 in ± 1/16 in", "8 in +- 1/16 in", "8 in +/- 1/16 in", "8 in ±1/16 in", "8in±1/16in", "8 in +\u2212 1/16 in"],
)
def test_the_short_form_gives_a_half_width(text: str) -> None:
    """A plus-minus gives the half-width; the source is still the default one, not stated."""
    reading = one(text)
    assert reading.value_mm == 203.2
    assert reading.half_width_mm == pytest.approx(25.4 / 16)
    assert (reading.source, reading.source_stated, reading.text) == ("tape", False, text)


def test_the_short_form_may_stand_in_a_table() -> None:
    """A table's value may carry its uncertainty, in another unit too."""
    reading = one({"value": "-12 ft 6 in +- 2 mm", "source": "laser"})
    assert reading.value_mm == -3810.0
    assert reading.half_width_mm == pytest.approx(2.0)


def test_a_table_in_full() -> None:
    """A stated uncertainty overrides the source's; note, text and time are kept."""
    reading = one({"value": "22 in", "uncertainty": "1/16 in", "source": "rule", "note": "cold", "when": "2024-05-01"})
    assert reading.half_width_mm == pytest.approx(1.5875)
    assert (reading.source, reading.source_stated) == ("rule", True)
    assert (reading.note, reading.text, reading.when) == ("cold", "22 in", "2024-05-01")


def test_a_standard_uncertainty_is_taken_as_it_is() -> None:
    """A standard uncertainty is not divided."""
    assert one({"value": "22 in", "standard_uncertainty": "2 mm"}).u_mm == 2.0


def test_a_date_becomes_text() -> None:
    """TOML's own dates and times are kept in ISO 8601."""
    assert one({"value": "1 mm", "when": date(2024, 5, 1)}).when == "2024-05-01"
    assert one({"value": "1 mm", "when": datetime(2024, 5, 1, 8, tzinfo=UTC)}).when == "2024-05-01T08:00:00+00:00"


def test_exact_unless_an_uncertainty_is_given() -> None:
    """Without a default source only a stated uncertainty counts."""
    exact = one("12 ft", None)
    assert (exact.u_mm, exact.source, exact.source_stated) == (0.0, None, False)
    assert one({"value": "12 ft", "source": "manual"}, None) == Reading(
        value_mm=3657.6, u_mm=0.0, source="manual", source_stated=True, text="12 ft"
    )
    assert one("12 ft ± 3 mm", None).half_width_mm == pytest.approx(3.0)


def test_an_uncertainty_of_zero_is_exact() -> None:
    """Zero is a stated uncertainty, not a missing one."""
    assert one({"value": "22 in", "uncertainty": "0 mm"}).u_mm == 0.0


def test_a_list_is_the_same_thing_read_again() -> None:
    """The readings come in the order given, texts and tables alike."""
    readings = read_quantity(["22 in", {"value": "559 mm", "source": "laser"}], default_source="tape")
    assert [reading.value_mm for reading in readings] == [558.8, 559.0]
    assert [reading.source for reading in readings] == ["tape", "laser"]


@pytest.mark.parametrize(("raw", "code", "where"), REFUSED)
def test_refuses_naming_the_part(raw: object, code: str, where: str) -> None:
    """Each wrong part is refused with its code, its place and a sentence that ends in an action."""
    with pytest.raises(QuantityError) as caught:
        read_quantity(raw, default_source="tape")
    assert (caught.value.code, caught.value.where) == (code, where)
    assert str(caught.value).endswith(f"{caught.value.action}.")


def test_every_code_of_a_quantity_is_tested() -> None:
    """Each code that only this module raises is shown to occur."""
    own = {code for code in CODES if code.split("-")[0] in ("quantity", "uncertainty", "source")}
    assert own == {code for _, code, _ in REFUSED if not code.startswith("length-")}


@pytest.mark.parametrize(
    ("raw", "offered"),
    [
        (22, '"22 in" or "22 mm"'),
        ({"value": "22 in", "source": "tap"}, '"tape"'),
        ({"value": "22 in", "source": "Laser"}, '"laser"'),
        ({"value": "22 in", "uncertainy": "1 mm"}, '"uncertainty"'),
        ({"value": "22 in", "source": "zzz"}, "one of tape, sighted"),
    ],
)
def test_offers_the_nearest(raw: object, offered: str) -> None:
    """The next action names what was probably meant."""
    with pytest.raises(QuantityError) as caught:
        read_quantity(raw, default_source="tape")
    assert offered in caught.value.action


def test_refuses_an_unknown_default_source() -> None:
    """A default source that does not exist is a fault of the caller."""
    with pytest.raises(UsageError, match="default source"):
        read_quantity("22 in", default_source="thumb")


@pytest.mark.parametrize(("value_mm", "u_mm"), [(math.nan, 1.0), (math.inf, 1.0), (1.0, -1.0), (1.0, math.nan)])
def test_a_reading_is_finite(value_mm: float, u_mm: float) -> None:
    """No reading can hold what is not a number, or a negative uncertainty."""
    with pytest.raises(UsageError):
        Reading(value_mm=value_mm, u_mm=u_mm, source=None, source_stated=False)


def test_started_metres() -> None:
    """A metre counts as soon as it is started; nothing started at zero; noise starts none."""
    assert tape_mpe_mm(0.0, "II") == pytest.approx(0.3)
    assert tape_mpe_mm(0.1, "II") == pytest.approx(0.5)
    assert tape_mpe_mm(1000.0, "II") == pytest.approx(0.5)
    assert tape_mpe_mm(1000.0000000001, "II") == pytest.approx(0.5)
    assert tape_mpe_mm(1000.01, "II") == pytest.approx(0.7)
    assert tape_mpe_mm(-1000.01, "II") == pytest.approx(0.7)


def test_refuses_a_tape_or_a_half_width_that_cannot_be() -> None:
    """Another class, a length that is not finite and a negative half-width are refused."""
    with pytest.raises(UsageError, match="tape class"):
        tape_mpe_mm(1.0, "IV")  # type: ignore[arg-type]
    with pytest.raises(UsageError, match="finite"):
        tape_mpe_mm(math.inf, "II")
    with pytest.raises(UsageError, match="uncertainty"):
        rectangular_u_mm(-1.0)
