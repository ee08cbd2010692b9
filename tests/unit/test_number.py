"""A number typed into a field of a page: read as lengths are, refused with what to write instead."""

from __future__ import annotations

import pytest

from standoff.desk.number import number_typed
from standoff.errors import QuantityError
from standoff.job.field import Kind, kind_of


@pytest.mark.parametrize(
    ("text", "number"),
    [("18.5", 18.5), ("18,5", 18.5), ("18", 18), ("0", 0), ("-3", -3), (".5", 0.5), ("1.250", 1.25), ("0018", 18)],
)
def test_numbers_as_they_are_typed(text: str, number: float) -> None:
    """A point or a decimal comma; whole numbers stay whole."""
    assert number_typed(text) == number
    assert isinstance(number_typed(text), type(number))


@pytest.mark.parametrize("text", ["", "1.2.3", "1,000", "1 000", "٣", "3 bars", "--3", "+3", "1_000", "0x10", "inf"])
def test_what_is_no_number(text: str) -> None:
    """It is refused with what to write instead, never read as something else."""
    with pytest.raises(QuantityError, match="write"):
        number_typed(text)


def test_counts_are_numbers() -> None:
    """A whole number is typed and kept as a number, not as a text."""
    assert {kind_of(field) for field in ("stock.bars_in_magazine", "parts[0].per_year", "stock.price_per_bar")} == {Kind.NUMBER}
