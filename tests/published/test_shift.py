"""A shift's chance against printed plans without a failure: n bars show R at C where a cell of R passes them with 1 - C at most.

A shift of n bars without a stop is such a test. Printed values stand as strings; they are counts, without a tolerance.
"""

from __future__ import annotations

import pytest

from standoff.site.shift import needed_share, shift_chance

# Standard tables of plans without a failure, n = ln(1 - C) / ln R rounded up (from memory).
PRINTED = {
    0.90: {"0.80": "11", "0.90": "22", "0.95": "45", "0.99": "230"},
    0.95: {"0.80": "14", "0.90": "29", "0.95": "59", "0.99": "299"},
}
"""Confidence -> reliability -> number of tests without a failure, as printed."""


@pytest.mark.parametrize("confidence", PRINTED)
@pytest.mark.parametrize("reliability", ["0.80", "0.90", "0.95", "0.99"])
def test_a_shift_is_a_zero_failure_test(confidence: float, reliability: str) -> None:
    """A shift of the printed number of bars passes with 1 - C at most, and one bar fewer with more than that."""
    bars, share = int(PRINTED[confidence][reliability]), float(reliability)
    assert shift_chance(bars=bars, clean_share=share) <= 1.0 - confidence
    assert shift_chance(bars=bars - 1, clean_share=share) > 1.0 - confidence
    assert needed_share(bars=bars, chance_share=1.0 - confidence) >= share
