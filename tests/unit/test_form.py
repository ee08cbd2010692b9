"""The algebra of linear forms."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from standoff.model.form import NOTHING, Form

FORMS = st.lists(st.tuples(st.sampled_from("abcd"), st.integers(-3, 3).map(float)), max_size=6).map(Form.collect)


def test_sum_of_named_quantities() -> None:
    """Each name counts once, twice where it stands twice; the terms are in order."""
    assert Form.of("b", "a", "b") == Form((("a", 1.0), ("b", 2.0)))
    assert Form.of("b", "a").quantities() == ("a", "b")
    assert Form.of() == NOTHING


def test_terms_that_cancel_are_dropped() -> None:
    """A quantity less itself is nothing at all."""
    assert Form.of("a", "b") - Form.of("b") == Form.of("a")
    assert Form.of("a").times(0.0) == NOTHING
    assert Form.of("a") - Form.of("a") == NOTHING


def test_coefficient_of_what_is_there_and_what_is_not() -> None:
    """A quantity that does not occur has coefficient 0."""
    form = Form.of("a").times(-2.5)
    assert (form.coefficient("a"), form.coefficient("b")) == (-2.5, 0.0)


def test_leaving_quantities_out() -> None:
    """The named ones go, the others stay; a name that is not there does no harm."""
    assert (Form.of("a", "b", "c")).without("a", "c", "x") == Form.of("b")


def test_value_at_figures() -> None:
    """The coefficients times the values, added up."""
    form = Form.of("a") - Form.of("b").times(2.0)
    assert form.value({"a": 10.0, "b": 3.0, "c": 99.0}) == 4.0
    assert NOTHING.value({}) == 0


@given(one=FORMS, other=FORMS, third=FORMS)
def test_rules_of_addition(one: Form, other: Form, third: Form) -> None:
    """Order and grouping do not matter; a form less itself is nothing; a minus taken twice is none."""
    assert one + other == other + one
    assert (one + other) + third == one + (other + third)
    assert one - one == NOTHING == one + (-one)
    assert one.times(-1.0).times(-1.0) == one == NOTHING - (-one)
    assert one - other == -(other - one)


@given(one=FORMS, other=FORMS)
def test_value_of_a_sum(one: Form, other: Form) -> None:
    """The value of a sum is the sum of the values."""
    values = {"a": 1.5, "b": -2.0, "c": 0.25, "d": 8.0}
    assert (one + other).value(values) == one.value(values) + other.value(values)
    assert one.times(-2.0).value(values) == -2.0 * one.value(values)
