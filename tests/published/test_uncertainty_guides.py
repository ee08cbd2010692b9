"""Worked examples of the guides to uncertainty, through the program's own covariance and probabilities.

Printed values stand as strings; the tolerance is half the last printed digit. Where a value was not read in the source, that is
said beside it.
"""

from __future__ import annotations

import math

import pytest

from standoff.model.form import Form
from standoff.solve.confidence import covariance, probability, probability_all
from standoff.solve.window import GUARD_FACTOR


def half_last_digit(printed: str) -> float:
    """Half a unit in the last printed place."""
    _, point, decimals = printed.partition(".")
    return 0.5 * 10.0 ** -(len(decimals) if point else 0)


def combined(u: dict[str, float]) -> float:
    """The standard uncertainty of the plain sum of these quantities, through the covariance of forms."""
    return math.sqrt(covariance([Form.of(*u)], u)[0, 0])


def within(half_width: float, u: dict[str, float]) -> float:
    """How likely the sum of these quantities lies within plus or minus so much: two requirements on one form."""
    total = Form.of(*u)
    return probability_all([half_width, half_width], covariance([total, -total], u))


# JCGM 100:2008, Annex H.1, end gauge (values as quoted in open-source tests and documentation of that example).
# H.1.6: the standard's 50.000623 mm and a measured difference of 215 nm make 50.000838 mm.
def test_end_gauge_length() -> None:
    """The length is the sum of the standard and the difference."""
    printed = "50.000838"
    length_mm = Form.of("standard", "difference").value({"standard": float("50.000623"), "difference": 215e-6})
    assert length_mm == pytest.approx(float(printed), abs=half_last_digit(printed))


# JCGM 100:2008, H.1.6, Table H.1 (values as quoted in open-source tests and documentation): contributions of the standard 25 nm,
# the comparison 9.7 nm, the difference of expansion 2.9 nm and of temperature 16.6 nm combine to 32 nm.
def test_end_gauge_combined_uncertainty() -> None:
    """Independent contributions add in squares."""
    printed = "32"
    u_nm = {"standard": 25.0, "comparison": 9.7, "expansion": 2.9, "temperature": 16.6}
    assert combined(u_nm) == pytest.approx(float(printed), abs=half_last_digit(printed))


# JCGM 101:2008, 9.2.2, Table 2 (values as quoted in open-source tests and documentation): Y = X1 + X2 + X3 + X4, each normal with
# u = 1, has u = 2.0 and a 95 % interval of plus or minus 3.92.
def test_sum_of_four_normal_quantities() -> None:
    """The additive model: its standard uncertainty, and its 95 % interval from the joint probability."""
    u = {f"x{i}": 1.0 for i in range(1, 5)}
    assert combined(u) == pytest.approx(float("2.0"), abs=half_last_digit("2.0"))
    printed = "3.92"
    digit = half_last_digit(printed)
    assert within(float(printed) - digit, u) < 0.95 < within(float(printed) + digit, u)


# JCGM 100:2008, Table G.2, last row (value as quoted in open-source tests and documentation): k = 2.00 covers 95.45 % of a
# normal distribution. Its rows for few degrees of freedom do not concern this program, which takes each u as known.
def test_coverage_factor_two() -> None:
    """Two standard uncertainties either way."""
    printed = "2.00"
    digit = half_last_digit(printed)
    assert within(float(printed) - digit, {"x": 1.0}) < 0.9545 < within(float(printed) + digit, {"x": 1.0})


# JCGM 106:2012, 7.3, Examples 1 and 2 (from memory): a diode at -5.47 V with u = 0.05 V against at most -5.40 V conforms
# with 92 %; a strength of 509.7 kPa with u = 8.6 kPa against at least 490 kPa with 99 %. A probability has no unit, so volts
# serve as well.
@pytest.mark.parametrize(
    ("slack", "u", "printed"), [(-5.40 - -5.47, 0.05, "0.92"), (509.7 - 490.0, 8.6, "0.99")], ids=["diode", "strength"]
)
def test_conformance_probability(slack: float, u: float, printed: str) -> None:
    """One-sided conformance of a single requirement."""
    assert probability(slack_mm=slack, u_mm=u) == pytest.approx(float(printed), abs=half_last_digit(printed))


# JCGM 106:2012, Table 1 (from memory): conformance probability p against z = (T - y) / u, printed with two decimals;
# 0.95 is printed as 1.64, hence the allowance of a further 0.001.
@pytest.mark.parametrize(("p", "printed"), [(0.80, "0.84"), (0.90, "1.28"), (0.95, "1.64"), (0.99, "2.33"), (0.999, "3.09")])
def test_conformance_against_z(p: float, printed: str) -> None:
    """The probability is reached within the rounding of z."""
    digit = half_last_digit(printed) + 0.001
    lower, upper = (probability(slack_mm=float(printed) + way * digit, u_mm=1.0) for way in (-1.0, 1.0))
    assert lower < p < upper


# The same table: the guard band keeps 95 % one-sided, z = 1.64 as printed, 1.645 as the contract of this program rounds it.
def test_guard_band_is_the_tables() -> None:
    """A slack as large as the guard band conforms with 95 %."""
    assert pytest.approx(float("1.64"), abs=half_last_digit("1.64") + 0.001) == GUARD_FACTOR
    assert probability(slack_mm=GUARD_FACTOR, u_mm=1.0) == pytest.approx(0.95, abs=5e-4)
