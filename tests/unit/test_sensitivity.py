"""What better readings would bring: bounds whose guard bands can be worked by hand."""

from __future__ import annotations

import math

import pytest
from scipy.special import ndtr

from standoff.model.form import STANDOFF, Form
from standoff.model.requirement import Side
from standoff.solve.sensitivity import BETTER, Gain, gains
from standoff.solve.window import GUARD_FACTOR, Bound

D = Form.of(STANDOFF)
LOW, HIGH = D - Form.of("a"), Form.of("b") - D
VALUES_MM = {"a": 100.0, "b": 120.0}


def gained(u_mm: dict[str, float], *, slacks: list[Form] | None = None, most: int = 5, cut_mm: float = 0.0) -> tuple[Gain, ...]:
    """The gains for a window from a to b, judged at 110."""
    forms = [LOW, HIGH] if slacks is None else slacks
    bounds = []
    for form in forms:
        rest, low = form.without(STANDOFF), form.coefficient(STANDOFF) > 0.0
        side = Side.AT_LEAST if low else Side.AT_MOST
        bounds.append(Bound(side, (-rest if low else rest).value(VALUES_MM | {"c": 125.0}), form.spread(u_mm)))
    values_mm = VALUES_MM | {STANDOFF: 110.0, "c": 125.0}
    means_mm = [form.value(values_mm) for form in forms]
    return gains(bounds, forms, forms=forms, means_mm=means_mm, u_mm=u_mm, cut_limit_mm=cut_mm, most=most)


def test_most_useful_reading_comes_first() -> None:
    """b with u = 4 narrows the window by 1.645 times 4; halved, by half of that. a with u = 2 brings half as much."""
    found = gained({"a": 2.0, "b": 4.0, STANDOFF: 0.0})
    assert [gain.quantity for gain in found] == ["b", "a"]
    assert [gain.wider_mm for gain in found] == pytest.approx([GUARD_FACTOR * 2.0, GUARD_FACTOR * 1.0])


def test_setting_enters_both_sides() -> None:
    """The standoff's own uncertainty counts in both guard bands: twice the difference of two roots."""
    found = gained({"a": 3.0, "b": 3.0, STANDOFF: 4.0})
    assert found[0].quantity == STANDOFF
    assert found[0].wider_mm == pytest.approx(2 * GUARD_FACTOR * (5.0 - math.hypot(3.0, BETTER * 4.0)))


def test_probability_with_the_better_reading() -> None:
    """One slack of 10 with u = 4 halved, the other certain."""
    (gain,) = gained({"a": 0.0, "b": 4.0, STANDOFF: 0.0})
    assert gain.probability == pytest.approx(float(ndtr(10.0 / 2.0)))


def test_reading_that_binds_nothing_is_left_out() -> None:
    """c lies beyond b even with its guard band; a quantity without uncertainty cannot be read better."""
    found = gained({"a": 1.0, "b": 0.0, "c": 1.0, STANDOFF: 0.0}, slacks=[LOW, HIGH, Form.of("c") - D])
    assert [gain.quantity for gain in found] == ["a"]


def test_ties_name_readings_before_the_setting() -> None:
    """What serves alike is listed by name, and setting the loader after every reading; no more than asked for."""
    found = gained({"a": 1.0, "b": 1.0, STANDOFF: 0.0})
    assert [gain.quantity for gain in found] == ["a", "b"]
    one_sided = [LOW, Form.of("b") - Form.of("c", "c")]
    bounds = [Bound(Side.AT_LEAST, 100.0, math.sqrt(2.0)), Bound(Side.AT_MOST, 120.0)]
    u_mm = {"a": 1.0, "b": 0.0, "c": 0.0, STANDOFF: 1.0}
    tied = gains(bounds, [LOW, one_sided[1]], forms=[LOW], means_mm=[10.0], u_mm=u_mm, cut_limit_mm=0.0)
    assert [gain.quantity for gain in tied] == ["a", STANDOFF]
    assert len(gained({"a": 1.0, "b": 1.0, STANDOFF: 2.0}, most=2)) == 2


def test_gain_of_an_empty_window_is_counted_too() -> None:
    """Guard bands that overlap by 3 shrink all the same: the width gained is that of the gap closed."""
    found = gained({"a": 10.0, "b": 4.0, STANDOFF: 0.0})
    assert found[0] == Gain("a", pytest.approx(GUARD_FACTOR * 5.0), found[0].probability)


def test_cut_of_a_fixed_nose_is_counted() -> None:
    """The bound of a fixed nose counts at the cut that suits it; a better reading of the nose widens the window all the same."""
    low = Bound(Side.AT_LEAST, 100.0, 2.0, shares_cut=True)
    high = Bound(Side.AT_MOST, 110.0, 2.0)
    forms = [D - Form.of("nose"), Form.of("b") - D]
    u_mm = {"nose": 2.0, "b": 2.0, STANDOFF: 0.0}
    found = gains([low, high], forms, forms=forms, means_mm=[5.0, 5.0], u_mm=u_mm, cut_limit_mm=20.0)
    assert [gain.wider_mm for gain in found] == pytest.approx([GUARD_FACTOR, GUARD_FACTOR])


def test_bore_that_is_not_sure_comes_first() -> None:
    """A slack of 2, u = 4, without the standoff: halved, its chance is that of one whole spread. A sure bore is not named."""
    placed = [Bound(Side.AT_LEAST, 100.0, 1.0), Bound(Side.AT_MOST, 120.0)]
    bore, wide = Form.of("bore"), Form.of("wide bore")
    u_mm = {"a": 1.0, "b": 0.0, "bore": 4.0, "wide bore": 0.5, STANDOFF: 0.0}
    forms, means_mm = [LOW, HIGH, bore, wide], [10.0, 10.0, 2.0, 30.0]
    found = gains(placed, [LOW, HIGH], forms=forms, means_mm=means_mm, u_mm=u_mm, cut_limit_mm=0.0)
    assert [(gain.quantity, gain.wider_mm) for gain in found] == [("bore", 0.0), ("a", pytest.approx(GUARD_FACTOR * 0.5))]
    assert found[0].probability == pytest.approx(float(ndtr(2.0 / 2.0)), abs=1e-6)
