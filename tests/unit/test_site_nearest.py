"""Lines of a building's plan sifted: what is left holds the worst of them for every area, as when each is judged by itself."""

from __future__ import annotations

import random

import numpy as np
import pytest

from standoff.site.footprint import Footprint, apart, box, nearest

AREAS = (
    box(least_x_mm=-4000.0, greatest_x_mm=-300.0, least_y_mm=-300.0, greatest_y_mm=300.0),
    box(least_x_mm=-3800.0, greatest_x_mm=-200.0, least_y_mm=-900.0, greatest_y_mm=-300.0),
)


def lines(seed: int, *, nearer_mm: float) -> list[Footprint]:
    """Two hundred short lines, none nearer to the axis than so much."""
    chance = random.Random(seed)
    found = []
    for _ in range(200):
        x, y = chance.uniform(-8000.0, 3000.0), chance.choice((-1.0, 1.0)) * chance.uniform(nearer_mm, 5000.0)
        found.append(Footprint(((x, y), (x + chance.uniform(-300.0, 300.0), y + chance.uniform(1.0, 80.0))), closed=False))
    return found


@pytest.mark.parametrize("seed", range(6))
@pytest.mark.parametrize("nearer_mm", [0.0, 1200.0])
def test_the_sieve_keeps_the_worst(seed: int, nearer_mm: float) -> None:
    """The least gap of each area, or the deepest run into it, is that of a line that was kept; of those apart few are kept."""
    every = lines(seed, nearer_mm=nearer_mm)
    kept = nearest(AREAS, np.array([line.shape for line in every]))
    for area in AREAS:
        gaps_mm = [apart(area, line).gap_mm for line in every]
        assert min(gaps_mm) == pytest.approx(min(gaps_mm[i] for i in kept))
    if nearer_mm > 1000.0:
        assert len(kept) <= len(AREAS)


def test_nothing_to_sift() -> None:
    """No lines or no areas: nothing."""
    shapes = np.array([line.shape for line in lines(1, nearer_mm=0.0)])
    assert nearest(AREAS, shapes[:0]) == nearest([], shapes) == ()
