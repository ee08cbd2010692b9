"""Weighted least squares: estimates, covariance with errors in common, test, blunders, and what is left open."""

from __future__ import annotations

import math

import numpy as np
import pytest

from standoff.errors import UsageError
from standoff.site.axis import LIFT, PITCH, ROLL
from standoff.site.fit import Observation, fit, undetermined

LINE = (LIFT, PITCH)


def height(name: str, x_m: float, value_mm: float, u_mm: float = 0.1, **shared_mm: float) -> Observation:
    """A height read at a place."""
    return Observation(name, ((LIFT, 1.0), (PITCH, x_m)), value_mm, u_mm, tuple(shared_mm.items()))


def test_two_readings_give_a_line_that_nothing_tests() -> None:
    """The estimates pass through both; the covariance is that of the two; there is no test and no judgement."""
    result = fit([height("a", 0.0, 1.0), height("b", -2.0, 2.0)], LINE)
    assert list(result.pose.estimates) == pytest.approx([1.0, -0.5])
    assert result.pose.covariance == pytest.approx(np.array([[0.01, 0.005], [0.005, 0.005]]))
    assert (result.redundancy, result.probability, result.judgements) == (0, None, ())
    assert result.consistent
    assert result.untested == ("a", "b")
    assert result.suspects == ()


def test_weights_and_errors_in_common_are_those_of_the_full_covariance() -> None:
    """The same as the textbook's matrices, inverted outright."""
    readings = [
        height("a", 0.0, 1.0, 0.1, wire=0.3),
        height("b", -1.0, 1.4, 0.2, wire=0.1),
        height("c", -3.0, 2.9, 0.4, edge=1.0),
    ]
    result = fit(readings, LINE)
    a = np.array([[1.0, 0.0], [1.0, -1.0], [1.0, -3.0]])
    v = np.array([[0.01 + 0.09, 0.03, 0.0], [0.03, 0.04 + 0.01, 0.0], [0.0, 0.0, 0.16 + 1.0]])
    y, w = np.array([1.0, 1.4, 2.9]), np.linalg.inv(v)
    covariance = np.linalg.inv(a.T @ w @ a)
    estimates = covariance @ a.T @ w @ y
    assert result.pose.estimates == pytest.approx(estimates)
    assert result.pose.covariance == pytest.approx(covariance)
    assert result.chi_square == pytest.approx(float((y - a @ estimates) @ w @ (y - a @ estimates)))
    assert result.redundancy == 1


def test_a_blunder_is_found_and_its_size_told() -> None:
    """One of six readings is 3 mm too large: the test fails, that reading explains it, and chi-square without it is small."""
    values = [1.0 + 0.5 * x for x in range(6)]
    values[3] += 3.0
    result = fit([height(f"r{x}", float(x), value) for x, value in enumerate(values)], LINE)
    assert not result.consistent
    assert result.suspects == (("r3",),)
    worst = max(result.judgements, key=lambda judged: judged.normalised_residual)
    assert worst.name == "r3"
    assert worst.error_mm == pytest.approx(3.0)
    assert result.chi_square - worst.normalised_residual**2 == pytest.approx(0.0, abs=1e-9)
    assert worst.residual_mm == pytest.approx(3.0 * (1.0 - 1.0 / 6.0 - 0.25 / 17.5))


def test_readings_that_cannot_be_told_apart_are_one_group() -> None:
    """One condition too many: every reading explains it as well as any other."""
    result = fit([height("a", 0.0, 0.0), height("b", 1.0, 2.0), height("c", 2.0, 0.0)], LINE)
    assert result.suspects == (("a", "b", "c"),)


def test_two_blunders_are_blamed_on_nobody() -> None:
    """Where no single reading explains the misfit, none is accused."""
    values = [0.0, 5.0, 0.0, 0.0, -7.0, 0.0]
    result = fit([height(f"r{x}", float(x), value) for x, value in enumerate(values)], LINE)
    assert not result.consistent
    assert result.suspects == ()


def test_a_reading_that_no_other_checks_is_said_to_be_untested() -> None:
    """The only level across determines the roll alone."""
    roll = Observation("level", ((ROLL, 1.0),), 0.3, 0.05)
    result = fit([height("a", 0.0, 0.0), height("b", 1.0, 0.1), height("c", 2.0, 0.0), roll], (*LINE, ROLL))
    assert result.untested == ("level",)
    assert result.consistent


def test_what_is_left_open_is_named() -> None:
    """No reading leaves all open, one place leaves both, an unknown that nobody sees is open."""
    assert undetermined([], LINE) == LINE
    assert undetermined([height("a", 1.0, 0.0), height("b", 1.0, 0.0)], LINE) == LINE
    assert undetermined([height("a", 1.0, 0.0), height("b", 2.0, 0.0)], (*LINE, ROLL)) == (ROLL,)
    assert undetermined([height("a", 1.0, 0.0)], (LIFT,)) == ()
    with pytest.raises(UsageError, match=r"leave open: roll, expected all determined; take further readings"):
        fit([height("a", 1.0, 0.0), height("b", 2.0, 0.0)], (*LINE, ROLL))


def test_readings_need_names_of_their_own() -> None:
    """Two of one name could not be told apart in the answer."""
    with pytest.raises(UsageError, match="name of its own"):
        fit([height("a", 1.0, 0.0), height("a", 2.0, 0.0)], LINE)


@pytest.mark.parametrize(
    ("value_mm", "u_mm", "effect_mm", "told"),
    [(math.nan, 0.1, 0.0, "reading of a"), (0.0, 0.0, 0.0, "uncertainty of a"), (0.0, 0.1, math.inf, "effect of wire on a")],
)
def test_a_reading_without_weight_is_refused(value_mm: float, u_mm: float, effect_mm: float, told: str) -> None:
    """A value, an uncertainty above zero and effects that are numbers are needed."""
    with pytest.raises(UsageError, match=told):
        height("a", 0.0, value_mm, u_mm, wire=effect_mm)


def test_an_instrument_that_is_off_by_far_more_than_it_is_read_to_is_refused() -> None:
    """A million times its own uncertainty leaves no digits to weigh with; a thousand times is weighed as ever."""
    wide = [height("a", 0.0, 1.0, 1e-3, wire=1.0), height("b", -1.0, 1.4, 1e-3, wire=1.0), height("c", -3.0, 2.9, 1e-3)]
    assert fit(wide, LINE).pose.u(PITCH) == pytest.approx(1e-3 * math.sqrt(2.0), rel=1e-3)
    hopeless = [*wide[:2], height("c", -3.0, 2.9, 1e-3, edge=2000.0)]
    with pytest.raises(UsageError, match=r"c, read to .* may be off by far more"):
        fit(hopeless, LINE)
