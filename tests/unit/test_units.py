"""Reading and writing lengths at the edge, and the errors a bad length raises."""

from __future__ import annotations

import math
import re
from fractions import Fraction

import pytest

from standoff.errors import (
    CODES,
    EXIT_STATUS,
    HTTP_STATUS,
    JobFileError,
    LayoutError,
    MissingFileError,
    Problem,
    QuantityError,
    UsageError,
    exit_status,
    http_status,
)
from standoff.units import (
    FOOT_MM,
    INCH_MM,
    decimal,
    format_length,
    nearest_step,
    parse_length,
    round_inward,
    step_down,
    step_mm,
    step_up,
)

READ_IN_INCHES = [
    ("22 in", "22"),
    ("22in", "22"),
    ("22 IN", "22"),
    ("22 inches", "22"),
    ("1 inch", "1"),
    ("6 in.", "6"),
    ("0 in", "0"),
    ("-0 in", "0"),
    ("+3 in", "3"),
    ("8.5 in", "8.5"),
    ("8,5 in", "8.5"),
    ("0,1250 in", "0.125"),
    (".5 in", "0.5"),
    ("1/2 in", "0.5"),
    ("5/4 in", "1.25"),
    ("2 1/2 in", "2.5"),
    ("2  1/2in", "2.5"),
    ("6-1/2 in", "6.5"),
    ("-6-1/2 in", "-6.5"),
    ("-2 1/2 in", "-2.5"),
    ("- 2 1/2 in", "-2.5"),
    ("\u22122 1/2 in", "-2.5"),
    ("½ in", "0.5"),
    ("2½ in", "2.5"),
    ("2 ½ in", "2.5"),
    ("2-½ in", "2.5"),
    ("-2⅜″", "-2.375"),
    ("¼ in", "0.25"),
    ("¾ in", "0.75"),
    ("⅛ in", "0.125"),
    ("1⅝ in", "1.625"),
    ("⅞\u201d", "0.875"),
    ("1⁄16 in", "0.0625"),
    ("3 1⁄16 in", "3.0625"),
    ('6"', "6"),
    ("6''", "6"),
    ("6′′", "6"),
    ("12 ft", "144"),
    ("12 feet", "144"),
    ("1 foot", "12"),
    ("12.5 ft", "150"),
    ("12 1/2 ft", "150"),
    ("12½'", "150"),
    ("12 ft 6 1/2 in", "150.5"),
    ("12 ft. 6 in.", "150"),
    ("12.0 ft 6 in", "150"),
    ("12' 6-1/2\"", "150.5"),
    ("12’ 6½”", "150.5"),
    ("12′ 6 1⁄2″", "150.5"),
    ("12‘6“", "150"),
    ("6ft6in", "78"),
    ("6'6\"", "78"),
    ("6'-6\"", "78"),
    ("6' - 6\"", "78"),
    ("6'-6-1/2\"", "78.5"),
    ("6'\u201011 15/16\"", "83.9375"),
    ("-6'-6\"", "-78"),
    ("-1 ft 3 in", "-15"),
    ("0 ft 11.5 in", "11.5"),
    ("\ufeff22 in", "22"),
    ("22\u00a0in", "22"),
    ("22\u2009in", "22"),
    ("12\u202fft\u00a06\u20091/2\u00a0in", "150.5"),
    ("  22 in \n", "22"),
]

READ_IN_MM = [
    ("558.8 mm", "558.8"),
    ("558,8 mm", "558.8"),
    ("12,3456 mm", "12.3456"),
    ("1.200 mm", "1.2"),
    ("3 MM", "3"),
    ("3.66 m", "3660"),
    ("3,66 m", "3660"),
    ("-12 cm", "-120"),
    ("5 CM", "50"),
    ("1/2 mm", "0.5"),
    ("1000 m", "1000000"),
    ("-1000 m", "-1000000"),
]

REFUSED = [
    ("", "length-empty"),
    (" \u00a0\ufeff ", "length-empty"),
    ("\ufeff", "length-empty"),
    ("-", "length-without-number"),
    ("22 in" + " " * 60, "length-too-long"),
    ("1000.001 m", "length-too-large"),
    ("-40000 in", "length-too-large"),
    ("inf", "length-not-finite"),
    ("-Infinity mm", "length-not-finite"),
    ("nan in", "length-not-finite"),
    ("1e3 mm", "length-exponent"),
    ("1.5E-3 m", "length-exponent"),
    ("2e+2in", "length-exponent"),
    ("in", "length-without-number"),
    ("abc", "length-without-number"),
    ("12 ft in", "length-without-number"),
    ("22", "length-without-unit"),
    ("0", "length-without-unit"),
    ("-2 1/2", "length-without-unit"),
    ("12 ft 6", "length-without-unit"),
    ("12' 6-1/2", "length-without-unit"),
    ("22 in 3", "length-without-unit"),
    ("22 %", "length-character"),
    ("1_000 mm", "length-character"),
    ("٢٢ mm", "length-character"),
    ("22 мм", "length-character"),
    ("22 \u00b5m", "length-character"),
    ("1 ± 1 mm", "length-character"),
    ("\u20133 in", "length-character"),
    ("6 - 1/2 in", "length-sign-inside"),
    ("6 -1/2 in", "length-sign-inside"),
    ("2 -½ in", "length-sign-inside"),
    ("12 ft -6 in", "length-sign-inside"),
    ("12 ft \u22126 in", "length-sign-inside"),
    ("12 ft +6 in", "length-sign-inside"),
    ("--2 in", "length-sign-inside"),
    ("+-2 in", "length-sign-inside"),
    ("22 inn", "length-unit-unknown"),
    ("22 yd", "length-unit-unknown"),
    ("22 metres", "length-unit-unknown"),
    ("3.66 M", "length-unit-ambiguous"),
    ("3 Mm", "length-unit-ambiguous"),
    ("3 mM", "length-unit-ambiguous"),
    ("2 ft 30 mm", "length-mixed-systems"),
    ("1 m 2 in", "length-mixed-systems"),
    ("6 in 12 ft", "length-parts"),
    ("6 in 6 in", "length-parts"),
    ("1 ft 2 ft", "length-parts"),
    ("1 m 20 cm", "length-parts"),
    ("1 ft 2 in 3 in", "length-parts"),
    ("12 6 in", "length-two-numbers"),
    ("12 6 1/2 in", "length-two-numbers"),
    ("1 200 mm", "length-two-numbers"),
    ("1\u2009200 mm", "length-two-numbers"),
    ("½5 in", "length-two-numbers"),
    ("1,200,000 mm", "length-separators"),
    ("1,200.5 mm", "length-separators"),
    ("1.200,5 mm", "length-separators"),
    ("1..2 mm", "length-separators"),
    ("1,200 mm", "length-comma-ambiguous"),
    ("0,125 in", "length-comma-ambiguous"),
    (",125 in", "length-comma-ambiguous"),
    ("-1,200 mm", "length-comma-ambiguous"),
    ("12 ft 1,250 in", "length-comma-ambiguous"),
    ("6. in", "length-number"),
    ("1//2 in", "length-number"),
    ("1/2/3 in", "length-number"),
    ("1 / 2 in", "length-number"),
    ("6.5 1/2 in", "length-decimal-with-fraction"),
    ("6,5 ½ in", "length-decimal-with-fraction"),
    ("6 1.5/2 in", "length-decimal-with-fraction"),
    ("6 5/4 in", "length-fraction-improper"),
    ("6 4/4 in", "length-fraction-improper"),
    ("6-5/4 in", "length-fraction-improper"),
    ("1/0 in", "length-zero-denominator"),
    ("6 1/0 in", "length-zero-denominator"),
    ("12.5 ft 6 in", "length-feet-not-whole"),
    ("12 1/2 ft 6 in", "length-feet-not-whole"),
    ("1 ft 12 in", "length-inches-beside-feet"),
    ("0 ft 14 1/2 in", "length-inches-beside-feet"),
]


def test_the_inch_is_exact() -> None:
    """The inch is 25.4 mm by definition (international yard and pound agreement of 1959; NIST SP 811)."""
    assert Fraction("25.4") == INCH_MM
    assert Fraction("304.8") == FOOT_MM


@pytest.mark.parametrize(("text", "inches"), READ_IN_INCHES)
def test_reads_inches_and_feet(text: str, inches: str) -> None:
    """Every notation found on a drawing or a tape is read exactly."""
    assert parse_length(text) == Fraction(inches) * Fraction("25.4")


@pytest.mark.parametrize(("text", "mm"), READ_IN_MM)
def test_reads_metric(text: str, mm: str) -> None:
    """Millimetres, centimetres and metres with point or comma are read exactly."""
    assert parse_length(text) == Fraction(mm)


@pytest.mark.parametrize(("text", "code"), REFUSED)
def test_refuses_with_its_code(text: str, code: str) -> None:
    """What has no single sensible meaning is refused with a stable code and a sentence that ends in an action."""
    with pytest.raises(QuantityError) as caught:
        parse_length(text)
    assert caught.value.code == code
    assert caught.value.action
    assert str(caught.value).endswith(f"{caught.value.action.rstrip('.')}.")
    assert caught.value.where == ""


def test_every_length_code_is_tested() -> None:
    """Each code of a length in the table of codes is shown to occur."""
    assert {code for code in CODES if code.startswith("length-")} == {code for _, code in REFUSED}


@pytest.mark.parametrize(
    ("text", "offered"),
    [
        ("1,200 mm", ['"1200 mm"', '"1.200 mm"']),
        ("0,125 in", ['"125 in"', '"0.125 in"']),
        ("-1,200 mm", ['"-1200 mm"', '"-1.200 mm"']),
        ("12 ft 1,250 in", ['"12 ft 1250 in"', '"12 ft 1.250 in"']),
        ("-2 1/2", ['"-2 1/2 in"', '"-2 1/2 mm"']),
        ("22", ['"22 in"', '"22 mm"']),
        ("12 6 in", ['"12 ft 6 in"']),
        ("1 200 mm", ["without a space"]),
        ("22 inn", ['"in"']),
        ("22 metres", ["one of in, ", ", m"]),
        ("22 %", ["'%'"]),
        ("12 ft 6", ['"6 in"']),
    ],
)
def test_offers_what_to_write(text: str, offered: list[str]) -> None:
    """The next action offers the readings that may have been meant."""
    with pytest.raises(QuantityError) as caught:
        parse_length(text)
    assert [part for part in offered if part not in caught.value.action] == []


@pytest.mark.parametrize(
    ("text", "mm"), [("1,200 mm", ["1200", "1.2"]), ("-0,125 m", ["-125000", "-125"]), ("22", ["558.8", "22"])]
)
def test_what_is_offered_can_be_read(text: str, mm: list[str]) -> None:
    """Writing either of the offered readings is accepted, sign and all."""
    with pytest.raises(QuantityError) as caught:
        parse_length(text)
    assert [parse_length(offer) for offer in re.findall('"([^"]+)"', caught.value.action)] == [Fraction(x) for x in mm]


@pytest.mark.parametrize(
    ("mm", "written"),
    [
        (292.1, "11 1/2 in"),
        (-4.7625, "-3/16 in"),
        (0.0, "0 in"),
        (-0.0, "0 in"),
        (-0.5, "0 in"),
        (0.79375, "1/16 in"),
        (-0.79375, "-1/16 in"),
        (25.39, "1 in"),
        (3810.0, "150 in"),
        (Fraction("22.225"), "7/8 in"),
    ],
)
def test_writes_inches(mm: float, written: str) -> None:
    """Inches are rounded to the nearest sixteenth, reduced, and never minus zero."""
    assert format_length(mm, "in") == written


@pytest.mark.parametrize(
    ("mm", "written"),
    [
        (3810.0, "12 ft 6 in"),
        (3657.6, "12 ft"),
        (3657.5, "12 ft"),
        (-3822.7, "-12 ft 6 1/2 in"),
        (152.4, "6 in"),
        (0.0, "0 in"),
        (304.0, "11 15/16 in"),
        (304.79, "1 ft"),
        (305.8, "1 ft 1/16 in"),
    ],
)
def test_writes_feet(mm: float, written: str) -> None:
    """With feet apart, parts that are zero are dropped and rounding carries over."""
    assert format_length(mm, "in", feet=True) == written


@pytest.mark.parametrize(
    ("mm", "decimals", "written"),
    [
        (292.1, 0, "292 mm"),
        (292.1, 1, "292.1 mm"),
        (292.5, 0, "293 mm"),
        (-292.5, 0, "-293 mm"),
        (-0.4, 0, "0 mm"),
        (-0.05, 1, "-0.1 mm"),
        (1.005, 2, "1.01 mm"),
        (0.007, 3, "0.007 mm"),
    ],
)
def test_writes_millimetres(mm: float, decimals: int, written: str) -> None:
    """Millimetres carry the decimals asked for, halves rounded away from zero."""
    assert format_length(mm, "mm", decimals=decimals) == written


def test_writes_finer_fractions_on_demand() -> None:
    """A finer tape is written in thirty-seconds."""
    assert format_length(0.79375, "in", denominator=32) == "1/32 in"


def test_refuses_to_write_nonsense() -> None:
    """A length that is not finite, other units, denominators or decimals are refused, never written."""
    for wrong in (math.nan, math.inf):
        with pytest.raises(UsageError, match="finite"):
            format_length(wrong, "in")
    with pytest.raises(UsageError, match="units"):
        format_length(1.0, "ft")  # type: ignore[arg-type]
    with pytest.raises(UsageError, match="denominator"):
        format_length(1.0, "in", denominator=10)
    with pytest.raises(UsageError, match="decimals"):
        format_length(1.0, "mm", decimals=7)
    with pytest.raises(UsageError, match="units"):
        step_mm("cm")  # type: ignore[arg-type]


def test_steps() -> None:
    """A step is 1/16 in or 1 mm, and a value within noise of a step is on it."""
    assert step_mm("in") == 1.5875
    assert step_mm("mm") == 1.0
    assert nearest_step(292.0, "in") == 292.1
    assert nearest_step(-292.0, "in") == -292.1
    assert nearest_step(0.5, "mm") == 1.0
    assert step_up(11.0000009, "mm") == 11.0
    assert step_up(11.0000011, "mm") == 12.0
    assert step_down(10.9999991, "mm") == 11.0
    assert step_down(10.9999989, "mm") == 10.0
    assert step_up(-1.5, "mm") == -1.0
    assert step_down(-1.5, "mm") == -2.0
    assert step_up(11.5 * 25.4 + 1e-9, "in") == 292.1
    with pytest.raises(UsageError, match="finite"):
        step_up(math.nan, "mm")


def test_rounds_an_interval_inwards() -> None:
    """The least goes up, the greatest down; what holds no step is empty; an open side stays open."""
    assert round_inward(least_mm=291.2, greatest_mm=313.4, units="mm") == (292.0, 313.0)
    assert round_inward(least_mm=291.1, greatest_mm=313.4, units="in") == (292.1, 312.7375)
    assert round_inward(least_mm=5.0, greatest_mm=5.0, units="mm") == (5.0, 5.0)
    assert round_inward(least_mm=5.1, greatest_mm=5.9, units="mm") is None
    assert round_inward(least_mm=6.0, greatest_mm=5.0, units="mm") is None
    assert round_inward(least_mm=-math.inf, greatest_mm=5.5, units="mm") == (-math.inf, 5.0)
    assert round_inward(least_mm=5.5, greatest_mm=math.inf, units="mm") == (6.0, math.inf)
    with pytest.raises(UsageError, match="finite"):
        round_inward(least_mm=math.inf, greatest_mm=math.inf, units="mm")


def test_a_problem_is_one_sentence() -> None:
    """File, line and field lead; what was found, expected and to be done follows."""
    problem = Problem("length-without-unit", "cell.toml", 7, "nose.collapsed", "'22'", "a length", 'write "22 in".')
    assert problem.sentence() == "cell.toml:7 nose.collapsed: found '22', expected a length; write \"22 in\"."
    assert Problem("usage", "", None, "", "a", "b", "c").sentence() == "found a, expected b; c."
    assert Problem("usage", "cell.toml", None, "nose", "a", "b", "c").sentence().startswith("cell.toml nose: ")


def test_a_quantity_error_becomes_a_problem() -> None:
    """The part named by the error is appended to the field."""
    with pytest.raises(QuantityError) as caught:
        parse_length("22")
    problem = caught.value.within(".uncertainty").within("[1]").problem(file="cell.toml", line=3, field="nose.extended")
    assert problem.field == "nose.extended[1].uncertainty"
    assert problem.found == "'22', a number without a unit"
    assert str(caught.value.within(".uncertainty")).startswith("uncertainty: found '22'")


def test_a_job_file_error_tells_all_its_problems() -> None:
    """One line for each problem."""
    problems = [Problem("usage", "a.toml", line, "x", "a", "b", "c") for line in (1, 2)]
    error = JobFileError(problems)
    assert error.problems == tuple(problems)
    assert str(error).splitlines() == [problem.sentence() for problem in problems]


def test_each_error_has_its_statuses() -> None:
    """Input errors are 422 and 2, a missing file 404 and 2, everything else 500 and 70."""
    layout = LayoutError(what="station", given="chuck", allowed="adapter, clamp")
    assert str(layout) == "found station chuck, expected adapter, clamp; choose one of those."
    assert layout.problem(field="at") == Problem(
        "layout-question", "", None, "at", "station chuck", "adapter, clamp", "choose one of those"
    )
    missing = MissingFileError("cell.toml")
    assert (http_status(layout), exit_status(layout)) == (422, 2)
    assert (http_status(JobFileError([])), exit_status(JobFileError([]))) == (422, 2)
    assert (http_status(missing), exit_status(missing)) == (404, 2)
    assert (http_status(KeyError()), exit_status(KeyError())) == (500, 70)
    assert isinstance(missing, FileNotFoundError)
    assert "cell.toml" in str(missing)
    assert set(HTTP_STATUS) == set(EXIT_STATUS)


def test_a_class_code_is_in_the_table() -> None:
    """Each class's own code is listed, and a quantity error cannot carry an unlisted one."""
    assert {cls.code for cls in HTTP_STATUS} <= set(CODES)
    with pytest.raises(KeyError):
        QuantityError("length-odd", given="x", expected="y", action="z")


@pytest.mark.parametrize(
    ("value", "places", "told"),
    [
        (0.835, 2, "0.84"),
        (0.8349999999999996, 2, "0.84"),
        (0.8350000000000004, 2, "0.84"),
        (-0.125, 2, "-0.13"),
        (0.8349, 2, "0.83"),
        (1e-12, 3, "0.000"),
        (12345.0, 0, "12345"),
        (1e9, 1, "1000000000.0"),
    ],
)
def test_a_half_is_written_the_same_on_every_machine(value: float, places: int, told: str) -> None:
    """The mean of two readings lies on a half every other time: the last bit of the arithmetic does not decide what is said."""
    assert decimal(value, places) == told
