"""What is written can be read back, and rounding goes where it says."""

from __future__ import annotations

import math
from fractions import Fraction

from hypothesis import example, given
from hypothesis import strategies as st

from standoff.errors import QuantityError
from standoff.reading import read_quantity
from standoff.units import INCH_MM, Units, format_length, nearest_step, parse_length, round_inward, step_down, step_up
from standoff.units import step_mm as step_of

LENGTHS_MM = st.floats(min_value=-1e5, max_value=1e5)
UNITS: st.SearchStrategy[Units] = st.sampled_from(["in", "mm"])
NOISE_MM = 1e-9


@given(mm=LENGTHS_MM, denominator=st.sampled_from([2, 4, 8, 16, 32, 64]), feet=st.booleans())
def test_inches_read_back_within_half_a_step(mm: float, denominator: int, feet: bool) -> None:
    """Writing and reading back moves a length by half a step at most."""
    step_mm = INCH_MM / denominator
    back_mm = parse_length(format_length(mm, "in", denominator=denominator, feet=feet))
    assert abs(back_mm - Fraction(mm)) <= step_mm / 2 + Fraction(NOISE_MM)
    assert (back_mm / step_mm).denominator == 1


@given(mm=LENGTHS_MM, decimals=st.integers(0, 6))
def test_millimetres_read_back_within_half_a_step(mm: float, decimals: int) -> None:
    """The same in millimetres."""
    back_mm = parse_length(format_length(mm, "mm", decimals=decimals))
    assert abs(back_mm - Fraction(mm)) <= Fraction(1, 2 * 10**decimals) + Fraction(NOISE_MM)


@given(steps=st.integers(-100_000, 100_000), denominator=st.sampled_from([16, 32]), feet=st.booleans())
def test_whole_steps_read_back_exactly(steps: int, denominator: int, feet: bool) -> None:
    """A length on a step is written and read without any loss."""
    mm = steps * INCH_MM / denominator
    assert parse_length(format_length(mm, "in", denominator=denominator, feet=feet)) == mm
    assert parse_length(format_length(float(mm), "in", denominator=denominator, feet=feet)) == mm


@given(mm=LENGTHS_MM)
def test_minus_zero_is_never_written(mm: float) -> None:
    """A sign is written only in front of something."""
    for written in (format_length(mm, "in"), format_length(mm, "in", feet=True), format_length(mm, "mm", decimals=1)):
        assert not (written.startswith("-") and parse_length(written) == 0)


@given(mm=LENGTHS_MM, units=UNITS)
def test_steps_bracket_a_length(mm: float, units: Units) -> None:
    """Up is not below, down is not above, and the nearest is one of the two."""
    up, down = step_up(mm, units), step_down(mm, units)
    assert down - 1.1e-6 <= mm <= up + 1.1e-6
    assert up - down <= step_of(units) + NOISE_MM
    assert nearest_step(mm, units) in {up, down} or abs(nearest_step(mm, units) - mm) <= 1.1e-6
    assert step_up(up, units) == up == step_down(up, units)


@given(ends_mm=st.tuples(LENGTHS_MM, LENGTHS_MM), units=UNITS)
def test_rounding_inwards_stays_inside(ends_mm: tuple[float, float], units: Units) -> None:
    """The rounded interval lies in the given one; only one without a step in it is empty."""
    least_mm, greatest_mm = min(ends_mm), max(ends_mm)
    inside = round_inward(least_mm=least_mm, greatest_mm=greatest_mm, units=units)
    if inside is None:
        assert greatest_mm - least_mm < step_of(units)
    else:
        assert least_mm - 1.1e-6 <= inside[0] <= inside[1] <= greatest_mm + 1.1e-6


@given(text=st.text(alphabet="0123456789 .,/-+'\"inftcmeE½±\u2212\u00a0", max_size=20))
@example(text="1/0 in")
@example(text="'")
def test_any_text_is_read_or_refused(text: str) -> None:
    """No text makes the reader stumble: it is a finite length, or an error with an action."""
    try:
        (reading,) = read_quantity(text, default_source="tape")
    except QuantityError as error:
        refused = error
    else:
        assert math.isfinite(reading.value_mm)
        return
    assert str(refused).endswith(f"; {refused.action}.")


@given(feet=st.integers(0, 300), inches=st.integers(0, 11), sixteenths=st.integers(1, 15), minus=st.booleans())
def test_notations_agree(feet: int, inches: int, sixteenths: int, minus: bool) -> None:
    """The same length in several notations is one length, and its sign goes with the whole."""
    fraction = f"{sixteenths}/16"
    expected = (feet * 12 + inches + Fraction(sixteenths, 16)) * INCH_MM
    for text in (
        f"{feet} ft {inches} {fraction} in",
        f"{feet}'{inches}-{fraction}\"",
        f"{feet}'-{inches} {fraction}\"",
        f"{feet}′ {inches} {sixteenths}⁄16″",
        f"{12 * feet + inches} {fraction} in",
    ):
        assert parse_length(f"-{text}" if minus else text) == (-expected if minus else expected)
