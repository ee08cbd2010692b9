"""Further worked examples of the guides to uncertainty, through the covariance and spread that serve the placement.

(Those of the end gauge's first order, of four normal inputs and of the coverage factor stand in `test_uncertainty_guides`.)
Printed values stand as strings; the tolerance is half the last printed digit. Where a value was not read in the source, that is
said beside it.
"""

from __future__ import annotations

import math
from collections.abc import Mapping

import pytest
from scipy.special import ndtri

from standoff.model.form import Form
from standoff.reading import rectangular_u_mm
from standoff.solve.confidence import covariance

END_GAUGE_NM = {"standard": 25.0, "comparison": 9.7, "expansion": 2.9, "temperature": 16.6}
K95 = float(ndtri(0.975))


def half_last_digit(printed: str) -> float:
    """Half a unit in the last printed place."""
    _, point, decimals = printed.partition(".")
    return 0.5 * 10.0 ** -(len(decimals) if point else 0)


def combined(u: Mapping[str, float]) -> float:
    """The standard uncertainty of the plain sum: the form's own spread, which the covariance has to agree with."""
    total = Form.of(*u)
    spread = total.spread(u)
    assert math.sqrt(covariance([total], u)[0, 0]) == pytest.approx(spread, rel=1e-12)
    return spread


# JCGM 100:2008, H.1.7 (from memory; the first-order contributions of Table H.1 as quoted in open-source tests): the two
# second-order terms, 50 mm times 0.58e-6 and 0.41, and 50 mm times 1.2e-6 and 0.029, raise 32 nm to 34 nm.
def test_end_gauge_with_second_order_terms() -> None:
    """Two more independent contributions to the same sum."""
    printed = "34"
    second_nm = {"expansion and temperature": 50e6 * 0.58e-6 * 0.41, "scale and difference": 50e6 * 1.2e-6 * 0.029}
    assert combined(END_GAUGE_NM | second_nm) == pytest.approx(float(printed), abs=half_last_digit(printed))


# JCGM 101:2008, 9.2.3, Table 3 (values as quoted in open-source tests and documentation): Y = X1 + X2 + X3 + X4, each rectangular
# with u = 1 (half-width sqrt 3). The guide's own figures are u = 2.0 and, by the normal distribution that this program uses too,
# an interval of plus or minus 3.92; its Monte Carlo figure, 3.88, is narrower: normal slacks err on the safe side.
def test_sum_of_four_rectangular_quantities() -> None:
    """Half-widths become standard uncertainties, and these add in squares."""
    u = {f"x{i}": rectangular_u_mm(math.sqrt(3.0)) for i in range(1, 5)}
    assert combined(u) == pytest.approx(float("2.0"), abs=half_last_digit("2.0"))
    assert K95 * combined(u) == pytest.approx(float("3.92"), abs=half_last_digit("3.92"))
    assert K95 * combined(u) > float("3.88")


# JCGM 101:2008, 9.2.4, Table 4 (from memory): the fourth input ten times as wide, u = 10. By the normal distribution the
# interval is plus or minus 19.9; by Monte Carlo 17.0, since one wide rectangle ends where a normal distribution does not.
def test_one_rectangular_quantity_dominates() -> None:
    """The interval of the guide's first method, which the program uses; it is too wide here, on the safe side."""
    printed = "19.9"
    u = {"x1": 1.0, "x2": 1.0, "x3": 1.0, "x4": 10.0}
    assert K95 * combined(u) == pytest.approx(float(printed), abs=half_last_digit(printed))
    assert K95 * combined(u) > float("17.0")
