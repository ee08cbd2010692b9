"""One span, every pair of ends: printed eigenvalues and frequencies against the exact count and the bracket.

A printed figure is held twice: counted, so many modes lie below it less its tolerance and one more below it plus that; and, for
the lowest mode, the certified bracket lies there. Printed values stand as strings; the tolerance is half the last printed digit
plus, where said, an allowance.

Ids here: B01 to B04, B06 to B10, B12. No counterpart: the free-free row of B01 (a bar that nothing holds is refused; its elastic
eigenvalues are those of the clamped bar). B08 stands in a copy of the book it is quoted from.
"""

from __future__ import annotations

import math

import pytest

from standoff.bar.beam import beam
from standoff.bar.elements import modes
from standoff.bar.materials import Material
from standoff.bar.mesh import mesh
from standoff.bar.section import Section, Shape
from standoff.bar.supports import Supports, clamped, rigid
from standoff.bar.whip import critical_speed, critical_speeds
from standoff.errors import UsageError
from tests.bars import RPM, UNIT, half_last_digit, is_mode, one_case, slender, slender_of

LENGTH_MM = 1000.0
ENDS = {
    "clamped-clamped": Supports((clamped("front", at_mm=0.0), clamped("rear", at_mm=LENGTH_MM))),
    "clamped-free": Supports((clamped("front", at_mm=0.0),)),
    "clamped-hinged": Supports((clamped("front", at_mm=0.0), rigid("rear", at_mm=LENGTH_MM))),
    "hinged-hinged": Supports((rigid("front", at_mm=0.0), rigid("rear", at_mm=LENGTH_MM))),
}


def square_is(ends: str, number: int, printed: str, *, allowance: float = 0.0) -> bool:
    """Whether (beta L)^2 of a mode is the printed one; of the unit bar that is its frequency in millionths."""
    within = (half_last_digit(printed) + allowance) * 1e-6
    return is_mode(one_case(UNIT, ENDS[ends], LENGTH_MM), number, float(printed) * 1e-6, within=within)


def root_is(ends: str, number: int, printed: str, *, allowance: float = 0.0) -> bool:
    """Whether beta L of a mode is the printed one."""
    root, within = float(printed), half_last_digit(printed) + allowance
    low, high = ((root - within) ** 2, (root + within) ** 2)
    return is_mode(one_case(UNIT, ENDS[ends], LENGTH_MM), number, (low + high) / 2e6, within=(high - low) / 2e6)


# W.T. Thomson, Theory of Vibration with Applications, 4th ed. (1993; Taylor & Francis printing 2010), App. D, Tables D.1 (p. 510)
# and D.3. Allowance 1e-5 of the roots and squares alike: 7.8532046 and 120.90339 are printed with four decimals.
@pytest.mark.parametrize(
    ("ends", "roots", "squares"),
    [
        ("clamped-clamped", ("4.7300", "7.8532", "10.9956"), ("22.3733", "61.6728", "120.9034")),
        ("clamped-free", ("1.8751", "4.6941", "7.8548"), ("3.5160", "22.0345", "61.6972")),
    ],
)
def test_thomson_appendix_d(ends: str, roots: tuple[str, ...], squares: tuple[str, ...]) -> None:
    """Three eigenvalues and their squares of each table, counted; the lowest square in the bracket."""
    for number, (root, square) in enumerate(zip(roots, squares, strict=True), start=1):
        assert root_is(ends, number, root, allowance=1e-5)
        assert square_is(ends, number, square, allowance=1e-5)
    found = critical_speed(UNIT, ENDS[ends], length_mm=LENGTH_MM)
    assert found.whip_rpm / RPM * 1e6 == pytest.approx(float(squares[0]), abs=half_last_digit(squares[0]) + 1e-5)


# W.T. Thomson, as above, Table 9.5-1 (p. 283), three figures. Its third figure of the hinged bar, 88.9, is wrong by half a digit
# more (9 pi^2 is 88.826): allowance 0.05 there, none elsewhere.
@pytest.mark.parametrize(
    ("ends", "squares", "allowance"),
    [("clamped-hinged", ("15.4", "50.0", "104"), 0.0), ("hinged-hinged", ("9.87", "39.5", "88.9"), 0.05)],
)
def test_thomson_table_of_end_conditions(ends: str, squares: tuple[str, ...], allowance: float) -> None:
    """Three squares of each row."""
    for number, square in enumerate(squares, start=1):
        assert square_is(ends, number, square, allowance=allowance if square == "88.9" else 0.0)


# The same table: 88.9 does not hold to half its last digit, so the allowance above is needed, and the trap is one.
def test_thomson_misprints_the_third_hinged_mode() -> None:
    """The printed 88.9 is not the exact 88.8264."""
    assert not square_is("hinged-hinged", 3, "88.9")
    assert square_is("hinged-hinged", 3, "88.8264", allowance=1e-5)


# S.S. Rao, Mechanical Vibrations, 6th ed. (2017), sec. 8.5, as quoted by a page that verifies a finite-element program (a
# secondary copy). Allowance 1e-8: rounding in the count is about 1e-9 of the frequency.
@pytest.mark.parametrize(("number", "root"), [(1, "4.730040745"), (2, "7.853204624"), (3, "10.99560784")])
def test_rao_roots_to_nine_decimals(number: int, root: str) -> None:
    """The count alone reaches beyond the width of the bracket."""
    assert root_is("clamped-clamped", number, root, allowance=1e-8)


# The same page: a steel bar 50 mm square and 1 m long, E 200 GPa, 7850 kg/m3, clamped at both ends, by the closed form. No
# allowance.
def test_square_steel_beam() -> None:
    """Three frequencies in hertz; with shear and rotary inertia the room finds the lowest 1 to 3 % lower."""
    whole = beam(Section(Shape.SQUARE, 50.0), Material("steel", 7850.0, 200e3, "as the page has it"))
    plain, ends = slender_of(whole), ENDS["clamped-clamped"]
    for number, printed in enumerate(("259.42", "715.11", "1401.9"), start=1):
        at, within = (2.0 * math.pi * x for x in (float(printed), half_last_digit(printed)))
        assert is_mode(one_case(plain, ends, LENGTH_MM), number, at, within=within)
    hz = critical_speed(plain, ends, length_mm=LENGTH_MM).frequency_hz
    assert hz == pytest.approx(float("259.42"), abs=half_last_digit("259.42"))
    assert 0.97 < critical_speed(whole, ends, length_mm=LENGTH_MM).frequency_hz / hz < 0.99


# Steel Designers' Manual, 6th ed. (SCI, 2003), Table 12.2, p. 363: f = k/(2 pi) sqrt(EI/(m L^4)). The clamped bar's k of its
# second and third mode stand in the table as read, its first does not. No allowance.
@pytest.mark.parametrize(
    ("ends", "number", "printed"),
    [
        ("hinged-hinged", 1, "9.87"),
        ("hinged-hinged", 2, "39.5"),
        ("hinged-hinged", 3, "88.8"),
        ("clamped-clamped", 2, "61.7"),
        ("clamped-clamped", 3, "121"),
        ("clamped-free", 1, "3.52"),
        ("clamped-free", 2, "22.0"),
        ("clamped-free", 3, "61.7"),
    ],
)
def test_steel_designers_factors(ends: str, number: int, printed: str) -> None:
    """Eight factors k."""
    assert square_is(ends, number, printed)


# The same table prints the node of the clamped-free bar's second mode at 0.774 L. That is wrong: it lies at 0.78344 L.
def test_steel_designers_misprint_a_node() -> None:
    """A rigid support at the true node keeps the second mode and makes it the lowest; at the printed place it does not."""
    second = 4.6940911**2
    lowest = {}
    for at in ("0.774", "0.78344"):
        held = Supports((clamped("front", at_mm=0.0), rigid("node", at_mm=float(at) * LENGTH_MM)))
        lowest[at] = critical_speed(UNIT, held, length_mm=LENGTH_MM).whip_rpm / RPM * 1e6
    assert lowest["0.78344"] == pytest.approx(second, rel=1e-5)
    assert lowest["0.774"] < second * (1.0 - 1e-3)


# The same place seen in the shape of the mode, by finite elements.
def test_node_of_the_second_mode() -> None:
    """The second mode's shape crosses zero at 0.7834 L, not at 0.774 L."""
    bar = mesh([UNIT], [ENDS["clamped-free"]], [LENGTH_MM], pieces=60)
    shape, joints_mm = modes(bar, count=2).deflection[:, 1, 0], bar.joints_mm()[:, 0]
    i = next(i for i in range(5, len(shape) - 1) if shape[i] * shape[i + 1] < 0.0)
    node = (joints_mm[i] + (joints_mm[i + 1] - joints_mm[i]) * shape[i] / (shape[i] - shape[i + 1])) / LENGTH_MM
    assert node == pytest.approx(float("0.7834"), abs=2e-4)
    assert abs(node - float("0.774")) > 0.009


# Hong et al., Appl. Sci. 9 (2019) 2996, Table 1: five frequencies of a plain cantilever, 19.63 Hz first. Only ratios are used.
# Allowance 1e-4 of each (the first is printed with four digits, and the table's own method errs as much).
def test_cantilever_frequencies_by_their_ratios() -> None:
    """A bar whose lowest frequency is 19.63 Hz has the four others."""
    scale = (2.0 * math.pi * float("19.63") / (3.5160153e-6)) ** 2
    bar = slender(scale, mass_kg_m=1e6)
    hz = critical_speed(bar, ENDS["clamped-free"], length_mm=LENGTH_MM).frequency_hz
    assert hz == pytest.approx(float("19.63"), abs=half_last_digit("19.63"))
    for number, printed in enumerate(("19.63", "123.02", "344.45", "674.97", "1115.79"), start=1):
        within = 2.0 * math.pi * (half_last_digit(printed) + 1e-4 * float(printed))
        assert is_mode(one_case(bar, ENDS["clamped-free"], LENGTH_MM), number, 2.0 * math.pi * float(printed), within=within)


# Thomson's Table D.1 holds for a free bar's elastic modes too; such a bar has no whip speed and is refused.
def test_a_free_bar_is_refused() -> None:
    """The free-free row has no counterpart."""
    with pytest.raises(UsageError):
        critical_speeds([UNIT], [Supports()], [LENGTH_MM])
