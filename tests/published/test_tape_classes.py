"""Accuracy classes of tapes and the rectangular distribution, against printed values (kept as strings)."""

from __future__ import annotations

import pytest

from standoff.reading import TAPE_LIMITS, rectangular_u_mm, tape_mpe_mm


# Directive 2014/32/EU, Annex X (MI-008), Chapter I, Table 1: a [mm], b [mm per started metre], c [mm, hook end].
# The table itself is compared, so no tolerance.
@pytest.mark.parametrize(
    ("tape_class", "a_mm", "b_mm_per_m", "c_mm"),
    [("I", "0.1", "0.1", "0.1"), ("II", "0.3", "0.2", "0.2"), ("III", "0.6", "0.4", "0.3")],
)
def test_table_of_classes(tape_class: str, a_mm: str, b_mm_per_m: str, c_mm: str) -> None:
    """The three constants of each class are those of the directive."""
    limits = TAPE_LIMITS[tape_class]
    assert (limits.a_mm, limits.b_mm_per_m, limits.c_mm) == (float(a_mm), float(b_mm_per_m), float(c_mm))


# Worked from the same table by its own rule (a + b L, L in metres rounded up; c added at a hook end): the directive
# prints the rule and the constants, not these products. Tolerance 1e-9 mm, floating point only.
def test_worked_from_the_table() -> None:
    """7.3 m is eight started metres; ten metres are ten."""
    assert tape_mpe_mm(7300.0, "II") == pytest.approx(float("1.9"), abs=1e-9)
    assert tape_mpe_mm(7300.0, "II", hook_end=True) == pytest.approx(float("2.1"), abs=1e-9)
    assert tape_mpe_mm(10000.0, "I") == pytest.approx(float("1.1"), abs=1e-9)


# JCGM 100:2008, 4.3.7: u = a / sqrt 3 for a rectangular distribution of half-width a (quoted from memory).
# Tolerance: half the last digit.
def test_rectangular_divisor() -> None:
    """The standard uncertainty of a half-width of one."""
    assert rectangular_u_mm(1.0) == pytest.approx(float("0.57735"), abs=5e-6)


# JCGM 100:2008, 4.3.7, example 1 (quoted from memory): an expansion coefficient of copper within +/- 0.40e-6 per
# degree has u = 0.23e-6 per degree. The divisor has no unit, so it is applied to the coefficient as it stands.
def test_expansion_of_copper() -> None:
    """The worked example of the guide."""
    assert rectangular_u_mm(float("0.40e-6")) == pytest.approx(float("0.23e-6"), abs=0.005e-6)
