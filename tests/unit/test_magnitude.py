"""Speeds, forces, masses and the like at the edge: every unit by its published factor, and nothing guessed."""

from __future__ import annotations

import math
import string
from contextlib import suppress
from fractions import Fraction

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from standoff.errors import QuantityError
from standoff.magnitude import SIGNED, UNITS, Kind, read_magnitude

# NIST SP 811 (2008), appendix B.8, printed to seven digits (from memory); as [text, printed value, factor to the house's unit].
PRINTED = [
    ("1 lbf", Kind.FORCE, "4.448222", 1.0),
    ("1 lb", Kind.MASS, "0.4535924", 1.0),
    ("1 lbf/in", Kind.STIFFNESS, "175.1268", 1e-3),
    ("1 psi", Kind.MODULUS, "6894.757", 1e-6),
    ("1 lb/in3", Kind.DENSITY, "27679.90", 1.0),
    ("1 ft/min", Kind.CUTTING_SPEED, "0.3048", 1.0),
]

EXACT = [
    ("3000 rpm", Kind.ROTATION, 3000.0),
    ("3000 r/min", Kind.ROTATION, 3000.0),
    ("3000 1/min", Kind.ROTATION, 3000.0),
    ("3000rpm", Kind.ROTATION, 3000.0),
    ("  3000   rpm ", Kind.ROTATION, 3000.0),
    ("\ufeff3000 rpm", Kind.ROTATION, 3000.0),
    ("0 rpm", Kind.ROTATION, 0.0),
    ("40 N", Kind.FORCE, 40.0),
    ("0.04 kN", Kind.FORCE, 40.0),
    ("0,9 kg", Kind.MASS, 0.9),
    (",9 kg", Kind.MASS, 0.9),
    (".9 kg", Kind.MASS, 0.9),
    ("900 g", Kind.MASS, 0.9),
    ("500 N/mm", Kind.STIFFNESS, 500.0),
    ("0.5 kN/mm", Kind.STIFFNESS, 500.0),
    ("0.5 N/um", Kind.STIFFNESS, 500.0),
    ("120 m/min", Kind.CUTTING_SPEED, 120.0),
    ("100 sfm", Kind.CUTTING_SPEED, 30.48),
    ("34 Hz", Kind.FREQUENCY, 34.0),
    ("33,75 Hz", Kind.FREQUENCY, 33.75),
    ("200 GPa", Kind.MODULUS, 200e3),
    ("200000 MPa", Kind.MODULUS, 200e3),
    ("7.85 g/cm3", Kind.DENSITY, 7850.0),
    ("7850 kg/m3", Kind.DENSITY, 7850.0),
    ("1000000000 N", Kind.FORCE, 1e9),
    ("1,2000 rpm", Kind.ROTATION, 1.2),
    ("0.5 mm/m", Kind.SLOPE, 0.5),
    ("-0.5 mm/m", Kind.SLOPE, -0.5),
    ("\u22120,5 mm/m", Kind.SLOPE, -0.5),
    ("+40 um/m", Kind.SLOPE, 0.04),
    ("- 0.0012 in/ft", Kind.SLOPE, -0.1),
    ("0 mm/m", Kind.SLOPE, 0.0),
    ("-0 mm/m", Kind.SLOPE, 0.0),
]

REFUSED = [
    (3000, Kind.ROTATION, "magnitude-form"),
    (0.9, Kind.MASS, "magnitude-form"),
    (None, Kind.MASS, "magnitude-form"),
    (True, Kind.MASS, "magnitude-form"),
    (["3000 rpm"], Kind.ROTATION, "magnitude-form"),
    ({"value": "3000 rpm"}, Kind.ROTATION, "magnitude-form"),
    ("", Kind.ROTATION, "magnitude-number"),
    ("rpm", Kind.ROTATION, "magnitude-number"),
    ("fast", Kind.ROTATION, "magnitude-number"),
    ("-40 N", Kind.FORCE, "magnitude-number"),
    ("\u221240 N", Kind.FORCE, "magnitude-number"),
    ("+40 N", Kind.FORCE, "magnitude-number"),
    ("1 200 rpm", Kind.ROTATION, "magnitude-number"),
    ("1.200.000 rpm", Kind.ROTATION, "magnitude-number"),
    ("1,200,000 rpm", Kind.ROTATION, "magnitude-number"),
    ("1/2 kg", Kind.MASS, "magnitude-unit"),
    ("40 ± 2 N", Kind.FORCE, "magnitude-unit"),
    ("3e3 rpm", Kind.ROTATION, "magnitude-unit"),
    ("nan N", Kind.FORCE, "magnitude-number"),
    ("inf N", Kind.FORCE, "magnitude-number"),
    ("٣ N", Kind.FORCE, "magnitude-number"),
    (f"{'1' * 5000} N", Kind.FORCE, "magnitude-number"),
    (f"0.{'0' * 5000}1 N", Kind.FORCE, "magnitude-number"),
    ("40", Kind.FORCE, "magnitude-without-unit"),
    ("1,200", Kind.ROTATION, "magnitude-without-unit"),
    ("1,200 rpm", Kind.ROTATION, "magnitude-comma"),
    ("0,900 kg", Kind.MASS, "magnitude-comma"),
    (",900 kg", Kind.MASS, "magnitude-comma"),
    ("3000 RPM", Kind.ROTATION, "magnitude-unit"),
    ("3000 U/min", Kind.ROTATION, "magnitude-unit"),
    ("40 mm", Kind.FORCE, "magnitude-unit"),
    ("40 kg", Kind.FORCE, "magnitude-unit"),
    ("40 lb", Kind.FORCE, "magnitude-unit"),
    ("9 lbf", Kind.MASS, "magnitude-unit"),
    ("40 N rpm", Kind.FORCE, "magnitude-unit"),
    ("400 ft/s", Kind.CUTTING_SPEED, "magnitude-unit"),
    ("--0.5 mm/m", Kind.SLOPE, "magnitude-number"),
    ("-", Kind.SLOPE, "magnitude-number"),
    ("-0.5", Kind.SLOPE, "magnitude-without-unit"),
    ("-0,040 mm/m", Kind.SLOPE, "magnitude-comma"),
    ("0.5 deg", Kind.SLOPE, "magnitude-unit"),
    ("-1000000001 mm/m", Kind.SLOPE, "magnitude-too-large"),
    ("1000000001 N", Kind.FORCE, "magnitude-too-large"),
    ("1000001 kN", Kind.FORCE, "magnitude-too-large"),
]


@pytest.mark.parametrize(("text", "kind", "printed", "to_house"), PRINTED)
def test_a_unit_is_worth_what_is_printed(text: str, kind: Kind, printed: str, to_house: float) -> None:
    """Within half the last printed digit."""
    half_last = 0.5 * 10.0 ** -len(printed.partition(".")[2])
    assert read_magnitude(text, kind=kind) / to_house == pytest.approx(float(printed), abs=half_last)


@pytest.mark.parametrize(("text", "kind", "is_worth"), EXACT)
def test_what_is_accepted(text: str, kind: Kind, is_worth: float) -> None:
    """Metric units, decimal commas, blanks and a byte-order mark."""
    assert read_magnitude(text, kind=kind) == pytest.approx(is_worth, rel=1e-15)


@pytest.mark.parametrize(("value", "kind", "code"), REFUSED)
def test_what_is_refused(value: object, kind: Kind, code: str) -> None:
    """Each with its code, in a sentence that is not endless and says what to write."""
    with pytest.raises(QuantityError) as caught:
        read_magnitude(value, kind=kind)
    assert caught.value.code == code
    assert len(str(caught.value)) < 400
    assert kind.value[1] in caught.value.expected
    assert str(caught.value).endswith(f"; {caught.value.action}.")


@pytest.mark.parametrize(
    ("value", "kind", "action"),
    [
        ("3000 RPM", Kind.ROTATION, 'write "3000 rpm"'),
        ("5 KN", Kind.FORCE, 'write "5 kN"'),
        ("34 hz", Kind.FREQUENCY, 'write "34 Hz"'),
        ("1,200 rpm", Kind.ROTATION, 'write "1200 rpm" or "1.200 rpm"'),
        ("40", Kind.FORCE, 'write the unit too, such as "40 N"'),
        (3000, Kind.ROTATION, 'write it in quotes with its unit, such as "3000 rpm"'),
        ("5 furlong", Kind.MASS, "write one of kg, g, lb"),
    ],
)
def test_what_to_write_instead(value: object, kind: Kind, action: str) -> None:
    """The advice can be typed as it stands, wherever there is one to give."""
    with pytest.raises(QuantityError) as caught:
        read_magnitude(value, kind=kind)
    assert caught.value.action == action


def test_what_the_advice_says_is_accepted() -> None:
    """Every example is read, and both ways out of an ambiguous comma are."""
    for kind in Kind:
        assert read_magnitude(kind.value[1], kind=kind) > 0.0
    assert read_magnitude("1200 rpm", kind=Kind.ROTATION) == 1200.0
    assert read_magnitude("1.200 rpm", kind=Kind.ROTATION) == 1.2


def test_no_unit_means_two_things() -> None:
    """Two units of one kind never differ in capitals alone, and the house's unit is the first of its kind or worth 1."""
    for kind, units in UNITS.items():
        assert len({unit.lower() for unit in units}) == len(units), kind
        assert Fraction(1) in units.values(), kind


ALPHABET = string.digits + " .,-+/" + "".join(sorted({letter for units in UNITS.values() for unit in units for letter in unit}))


@settings(max_examples=400, deadline=None)
@given(kind=st.sampled_from(list(Kind)), text=st.one_of(st.text(max_size=80), st.text(ALPHABET, max_size=20)))
@example(kind=Kind.FORCE, text="9" * 4301 + " N")
def test_any_text_is_read_or_refused(kind: Kind, text: str) -> None:
    """Never another error, never less than nothing except a slope, never a number without end."""
    with suppress(QuantityError):
        value = read_magnitude(text, kind=kind)
        assert (-1e9 if kind in SIGNED else 0.0) <= value <= 1e9
        assert math.isfinite(value)


@settings(max_examples=200, deadline=None)
@given(st.sampled_from([(kind, unit) for kind, units in UNITS.items() for unit in units]), st.integers(0, 10**6))
def test_every_unit_is_linear(pair: tuple[Kind, str], thousandths: int) -> None:
    """So many times one of a unit is so many times its worth."""
    kind, unit = pair
    amount = Fraction(thousandths, 1000)
    assert read_magnitude(f"{float(amount):.4f} {unit}", kind=kind) == float(amount * UNITS[kind][unit])


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ("-0.4", 'write the unit too, such as "-0.4 mm/m"'),
        ("\u22120.4", 'write the unit too, such as "-0.4 mm/m"'),
        ("+0.4", 'write the unit too, such as "0.4 mm/m"'),
        ("-0.4 MM/M", 'write "-0.4 mm/m"'),
        ("-0,400 mm/m", 'write "-0400 mm/m" or "-0.400 mm/m"'),
    ],
)
def test_what_to_write_instead_keeps_its_sign(typed: str, told: str) -> None:
    """A slope that goes down is not told to go up."""
    with pytest.raises(QuantityError) as refused:
        read_magnitude(typed, kind=Kind.SLOPE)
    assert refused.value.action == told
