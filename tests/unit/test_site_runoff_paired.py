"""First part against last part: by hand, by another library, and by simulation."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.stats import ttest_rel

from standoff.errors import UsageError
from standoff.site.paired import paired_difference


def test_by_hand() -> None:
    """Differences 1, 2, 3: mean 2, s 1, t(2) = 4.303, so 2 plus and minus 2.484."""
    found = paired_difference([10.0, 10.0, 10.0], [11.0, 12.0, 13.0])
    assert (found.mean_mm, found.pairs) == (2.0, 3)
    assert found.least_mm == pytest.approx(2.0 - 4.302653 / 3**0.5, abs=1e-5)
    assert found.greatest_mm == pytest.approx(2.0 + 4.302653 / 3**0.5, abs=1e-5)
    assert not found.differs


@pytest.mark.parametrize("seed", range(5))
def test_as_another_library_does_it(seed: int) -> None:
    """The limits of a paired t-test, drawn lengths."""
    rng = np.random.default_rng(seed)
    before, after = rng.normal(100.0, 0.2, 9), rng.normal(100.05, 0.2, 9)
    found = paired_difference(before.tolist(), after.tolist(), confidence_share=0.9)
    peer = ttest_rel(after, before).confidence_interval(0.9)
    assert (found.least_mm, found.greatest_mm) == (pytest.approx(peer.low), pytest.approx(peer.high))


def test_what_differs_from_bar_to_bar_falls_out() -> None:
    """Bars that scatter by a millimetre, each with the same small step: seen all the same."""
    found = paired_difference([100.0, 101.0, 99.0, 100.4], [100.02, 101.019, 99.021, 100.42])
    assert found.differs
    assert 0.018 < found.least_mm < found.greatest_mm < 0.022


def test_coverage_by_simulation() -> None:
    """The limits hold the true difference in 95 of 100 run-offs of four bars, within four standard deviations of the draw."""
    rng, draws = np.random.default_rng(3), 4000
    steps = rng.normal(0.3, 0.5, (draws, 4))
    held = 0
    for row in steps:
        found = paired_difference([0.0] * 4, row.tolist())
        held += found.least_mm <= 0.3 <= found.greatest_mm
    assert held / draws == pytest.approx(0.95, abs=4.0 * (0.95 * 0.05 / draws) ** 0.5)


@pytest.mark.parametrize(("before", "after"), [([], []), ([1.0], [1.0]), ([1.0, 2.0], [1.0]), ([1.0, float("nan")], [1.0, 2.0])])
def test_lengths_that_make_no_pairs(before: list[float], after: list[float]) -> None:
    """One pair shows no scatter, a length without its partner is none."""
    with pytest.raises(UsageError):
        paired_difference(before, after)
