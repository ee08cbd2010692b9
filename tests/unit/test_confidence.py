"""Covariance and probabilities, against closed forms."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.special import ndtr

from standoff.model.form import Form
from standoff.solve.confidence import CERTAIN, covariance, probability, probability_all

OWN_ERROR = 1e-4


def test_covariance_of_forms_that_share_a_quantity() -> None:
    """Coefficients times variances, added over what both name."""
    one, other = Form.of("a", "b"), Form.of("b").times(-2.0) + Form.of("c")
    spread = covariance([one, other], {"a": 1.0, "b": 3.0, "c": 0.5})
    assert spread.tolist() == [[1.0 + 9.0, -18.0], [-18.0, 36.0 + 0.25]]


def test_covariance_of_nothing() -> None:
    """No forms, or forms without a quantity, have none."""
    assert covariance([], {}).shape == (0, 0)
    assert covariance([Form()], {}).tolist() == [[0.0]]


@pytest.mark.parametrize(
    ("slack_mm", "u_mm", "expected"),
    [(0.0, 2.0, 0.5), (2.0, 2.0, 0.8413447), (-2.0, 2.0, 0.1586553), (0.0, 0.0, 1.0), (1.0, 0.0, 1.0), (-0.1, 0.0, 0.0)],
)
def test_probability_of_one(slack_mm: float, u_mm: float, expected: float) -> None:
    """The normal distribution's; without uncertainty it holds or it does not."""
    assert probability(slack_mm=slack_mm, u_mm=u_mm) == pytest.approx(expected, abs=5e-8)


def test_slack_of_noise_holds() -> None:
    """An exact slack that is 0 but for floating-point noise counts as 0."""
    noise_mm = 0.1 + 0.2 - 0.3
    assert probability(slack_mm=-noise_mm, u_mm=0.0) == 1.0
    assert probability_all([-noise_mm, 5.0], np.diag([0.0, 1.0])) == pytest.approx(1.0, abs=1e-6)


def test_nothing_to_hold_holds() -> None:
    """No rows, sure rows and rows that cannot fail leave certainty."""
    assert probability_all([], np.zeros((0, 0))) == 1.0
    assert probability_all([1.0, 0.0], np.zeros((2, 2))) == 1.0
    assert probability_all([CERTAIN + 0.1, 2 * CERTAIN], np.eye(2)) == 1.0


def test_exact_row_that_fails_decides() -> None:
    """A row without variance that does not hold leaves nothing."""
    assert probability_all([3.0, -1.0], np.diag([1.0, 0.0])) == 0.0


def test_one_row_left_is_the_single_probability() -> None:
    """Certain rows and rows that say the same as a tighter one do not count."""
    assert probability_all([1.0, 99.0], np.eye(2)) == pytest.approx(float(ndtr(1.0)), abs=1e-12)
    same = np.array([[1.0, 2.0], [2.0, 4.0]])
    assert probability_all([1.0, 6.0], same) == pytest.approx(float(ndtr(1.0)), abs=1e-12)
    assert probability_all([5.0, 1.0], same) == pytest.approx(float(ndtr(0.5)), abs=1e-12)


def test_independent_rows_multiply() -> None:
    """Only where nothing is shared."""
    z = [0.3, 1.1, -0.4, 2.0]
    product = math.prod(float(ndtr(x)) for x in z)
    assert probability_all(z, np.eye(4)) == pytest.approx(product, abs=OWN_ERROR)


@pytest.mark.parametrize("rho", [-0.9, -0.5, 0.0, 0.5, 0.9])
def test_two_rows_at_their_limits(rho: float) -> None:
    """Both just touching: 1/4 + arcsin(rho) / (2 pi), a classical closed form."""
    expected = 0.25 + math.asin(rho) / (2.0 * math.pi)
    assert probability_all([0.0, 0.0], np.array([[1.0, rho], [rho, 1.0]])) == pytest.approx(expected, abs=OWN_ERROR)


@pytest.mark.parametrize(("a", "b"), [(1.0, 1.0), (0.5, 2.0), (-0.5, 1.0), (0.1, 0.1), (-1.0, -1.0)])
def test_rows_that_work_against_each_other(a: float, b: float) -> None:
    """A range on one quantity: what is left between its two ends, nothing where they cross."""
    expected = max(float(ndtr(a) + ndtr(b)) - 1.0, 0.0)
    assert probability_all([a, b], np.array([[1.0, -1.0], [-1.0, 1.0]])) == pytest.approx(expected, abs=OWN_ERROR)


def test_more_rows_than_quantities() -> None:
    """Four rows on two quantities, a singular covariance: the box they enclose."""
    forms = [Form.of("a"), -Form.of("a"), Form.of("b"), -Form.of("b")]
    spread = covariance(forms, {"a": 2.0, "b": 0.5})
    expected = float(2 * ndtr(1.0) - 1) * float(2 * ndtr(0.5) - 1)
    assert probability_all([2.0, 2.0, 0.25, 0.25], spread) == pytest.approx(expected, abs=OWN_ERROR)


def test_order_of_rows_and_repetition_change_little() -> None:
    """The same rows in another order agree within the error; the same call gives the same number."""
    random = np.random.default_rng(7)
    matrix = random.normal(size=(9, 6))
    spread, slacks = matrix @ matrix.T, list(random.uniform(0.5, 3.0, 9))
    first = probability_all(slacks, spread)
    assert probability_all(slacks, spread) == first
    turned = probability_all(slacks[::-1], spread[::-1, ::-1])
    assert turned == pytest.approx(first, abs=2 * OWN_ERROR)
    assert 0.0 < first < min(float(ndtr(s / math.sqrt(v))) for s, v in zip(slacks, np.diag(spread), strict=True))
