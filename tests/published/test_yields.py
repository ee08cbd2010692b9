"""Stock for screw machine products, weights of bar and length types, against printed values (kept as strings)"""

from __future__ import annotations

import pytest

from standoff.bar.lengths import LEAST_EXACT_MM, LENGTH_TYPES, Even, LengthType, expected
from standoff.bar.materials import MATERIALS
from standoff.bar.section import Section, Shape
from standoff.bar.yields import Cutting, cut_up
from standoff.units import FOOT_MM, INCH_MM

INCH, FOOT = float(INCH_MM), float(FOOT_MM)
TEN_FEET = 10.0 * FOOT
POUND_KG = 0.45359237
STEEL_KG_M3 = 0.2833 * POUND_KG / (0.0254**3)
PIECE = 0.14 * INCH
ALLOWANCE_MM = TEN_FEET * (1.0 - 1000.0 / (12.0 * 84.0))
"""What the handbook's factor leaves of a ten-foot bar: 84 ft buy 1000 inches of pieces, which are only 83.33 ft."""


def half_last_digit(printed: str) -> float:
    """Half a unit of the last printed digit."""
    _, point, decimals = printed.partition(".")
    return 0.5 * 10.0 ** -(len(decimals) if point else 0)


def feet_per_thousand(*, remnant_mm: float, spread_mm: float) -> float:
    """Feet of ten-foot bar bought for 1000 pieces of 0.14 in, cut-off included, by our own means."""
    cutting = Cutting(part_mm=PIECE - 0.06 * INCH, cut_off_mm=0.06 * INCH, remnant_mm=remnant_mm)
    around = Even(lower_mm=-spread_mm / 2.0, upper_mm=spread_mm / 2.0)
    return 1000.0 * float(expected(cutting, TEN_FEET, around).bought_per_part_mm) / FOOT


# Machinery's Handbook, 31st ed., Industrial Press, 2020, p. 1239, "Stock for Screw Machine Products": F = 84 (L + W) feet for
# 1000 pieces, L length and W cut-off in inches; L + W = 0.14 in makes 11.76 ft, the table on p. 1240 prints 11.8. 1000 in are
# 83.33 ft: the formula allows 0.8 % for chucking, 0.95 in of a ten-foot bar. It knows no whole numbers of pieces: an average.
def test_handbook_formula_is_a_mean_remnant_of_an_inch() -> None:
    """Bars whose lengths spread over one piece, and whose mean remnant is the allowance: our mean is the formula to 1e-9."""
    # The mean remnant is half a piece above the shortest.
    feet = feet_per_thousand(remnant_mm=ALLOWANCE_MM - PIECE / 2.0, spread_mm=PIECE)
    assert feet == pytest.approx(11.76, abs=1e-9)
    assert feet == pytest.approx(float("11.8"), abs=half_last_digit("11.8"))


# The same page: the allowance, as a share and in inches of a ten-foot bar.
def test_handbook_allowance() -> None:
    """Eight in a thousand are 0.95 in of ten feet; a lathe's real remnant is longer, so the formula buys too little."""
    percent, inches = 100.0 * ALLOWANCE_MM / TEN_FEET, ALLOWANCE_MM / INCH
    assert percent == pytest.approx(float("0.8"), abs=half_last_digit("0.8"))
    assert inches == pytest.approx(float("0.95"), abs=half_last_digit("0.95"))
    assert feet_per_thousand(remnant_mm=12.0 * INCH, spread_mm=PIECE) > 11.76 * 1.1


# Production Machining, "Craftsman Cribsheet 106: Weights of Bars": pounds per foot of 1 in round, square and hexagon, from
# 0.2833 lb/in3. Tolerance 0.1 %: the hexagon is printed with a digit more than its factor bears.
@pytest.mark.parametrize(
    ("shape", "printed"), [(Shape.ROUND, "2.67"), (Shape.SQUARE, "3.4"), (Shape.HEXAGON, "2.9445")], ids=lambda v: str(v)
)
def test_a_foot_of_bar(shape: Shape, printed: str) -> None:
    """A bar of one foot weighs what is printed, and its parts, chips and remnant together as much."""
    foot = cut_up(Cutting(part_mm=INCH, cut_off_mm=3.0, remnant_mm=2.0 * INCH, facing_mm=1.0), FOOT)
    masses = foot.masses(mass_kg_m=Section(shape, INCH).mass_kg_m(density_kg_m3=STEEL_KG_M3))
    assert float(masses.bar_kg) / POUND_KG == pytest.approx(float(printed), rel=1e-3)
    assert float(masses.parts_kg + masses.chips_kg + masses.remnant_kg) == pytest.approx(float(masses.bar_kg), abs=1e-12)


# The same sheet, in a copy: a hexagon billet of 1.5 in across flats and 3 in length is printed as 1.93 lb, which is wrong (a
# trap): (sqrt 3 / 2) 1.5^2 x 3 x 0.2833 = 1.656 lb.
def test_a_misprinted_billet() -> None:
    """We say 1.656 lb, not what is printed."""
    cutting = Cutting(part_mm=3.0 * INCH, cut_off_mm=3.0, remnant_mm=0.0)
    masses = cut_up(cutting, 3.0 * INCH + 3.0).masses(
        mass_kg_m=Section(Shape.HEXAGON, 1.5 * INCH).mass_kg_m(density_kg_m3=STEEL_KG_M3)
    )
    billet_lb = float(masses.parts_kg) / POUND_KG
    assert billet_lb == pytest.approx(1.656, abs=1e-3)
    assert abs(billet_lb - float("1.93")) > 0.25


# The same sheet: what a weight of steel is multiplied by for aluminium and brass. Tolerance 1 %, since alloys differ by as much.
@pytest.mark.parametrize(("metal", "printed"), [("aluminium 6061-T6", "0.346"), ("brass C36000", "1.08")])
def test_weight_factors(metal: str, printed: str) -> None:
    """The same bar of the other metal, over the bar of steel."""
    bar = cut_up(Cutting(part_mm=57.0, cut_off_mm=3.0, remnant_mm=300.0), 3660.0)
    weights = [
        bar.masses(mass_kg_m=Section(Shape.ROUND, 20.0).mass_kg_m(density_kg_m3=MATERIALS[name].density_kg_m3))
        for name in (metal, "steel")
    ]
    assert float(weights[0].bar_kg / weights[1].bar_kg) == pytest.approx(float(printed), rel=0.01)


# EN 10278:1999, table of length types (from memory, the table was not read): manufacturing length 3 to 9 m +/- 500 mm; stock
# length 3 or 6 m 0/+200 mm; exact length by agreement, +/- 5 mm or more. Compared as it stands: no tolerance.
def test_length_types() -> None:
    """Both types with their lengths and tolerances, and the least tolerance of exact lengths."""
    assert dict(LENGTH_TYPES) == {
        "manufacturing": LengthType(3000.0, 9000.0, True, Even(lower_mm=-500.0, upper_mm=500.0)),
        "stock": LengthType(3000.0, 6000.0, False, Even(lower_mm=0.0, upper_mm=200.0)),
    }
    assert LEAST_EXACT_MM == 5.0
