"""Slab joints: which of them part the loader from the lathe, or run under it."""

from __future__ import annotations

import pytest

from standoff.site.footprint import FloorPlace, box
from standoff.site.slab import Joint, crossings

LATHE = box(least_x_mm=0.0, greatest_x_mm=2000.0, least_y_mm=-700.0, greatest_y_mm=900.0)
FEET = (("front", (-700.0, 300.0)), ("rear", (-4500.0, 300.0)))


def test_a_joint_under_a_part_of_the_loader() -> None:
    """Under the frame it is told as such, short or long; ahead of the frame it parts it; the feet, where known, decide alone."""
    frame = ("frame", box(least_x_mm=-4900.0, greatest_x_mm=-300.0, least_y_mm=-400.0, greatest_y_mm=300.0))
    for start, end, under, parted in (
        ((-4000.0, 3000.0), (-4000.0, -3000.0), ("frame",), ()),
        ((-4000.0, 200.0), (-4000.0, 100.0), ("frame",), ()),
        ((-200.0, 3000.0), (-200.0, -3000.0), (), ("frame",)),
    ):
        (crossing,) = crossings([Joint("joint-0", "joint", start, end)], lathe=LATHE, parts=[frame])
        assert (crossing.under, crossing.parted, crossing.parts_all) == (under, parted, bool(parted))
    behind = Joint("joint-0", "joint", (-5000.0, 3000.0), (-5000.0, -3000.0))
    assert crossings([behind], lathe=LATHE, parts=[frame]) == ()


@pytest.mark.parametrize(
    ("start", "end", "parted", "under"),
    [
        ((-300.0, 3000.0), (-300.0, -3000.0), ("front", "rear"), False),
        ((-2000.0, 3000.0), (-2000.0, -3000.0), ("rear",), False),
        ((-6000.0, 3000.0), (-6000.0, -3000.0), None, False),
        ((-9000.0, 1500.0), (3000.0, 1500.0), None, False),
        ((1500.0, 3000.0), (1500.0, -3000.0), (), True),
        ((-300.0, 3000.0), (-300.0, 1000.0), None, False),  # it ends beside them
    ],
)
def test_what_a_joint_does(start: FloorPlace, end: FloorPlace, parted: tuple[str, ...] | None, under: bool) -> None:
    """Between the machines, under the loader, behind it, beside both, under the lathe, and one that ends before them."""
    found = crossings([Joint("joint-0", "joint", start, end)], lathe=LATHE, places_mm=FEET)
    if parted is None:
        assert found == ()
        return
    (crossing,) = found
    assert (crossing.parted, crossing.under_lathe) == (parted, under)
    assert crossing.parts_all is (len(parted) == 2)
