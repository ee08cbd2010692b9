"""Working space at electrical equipment, against the regulation's table."""

from __future__ import annotations

import pytest

from standoff.site.working_space import DEPTH_FT, GROUNDED, HEIGHT_MM, LIVE, NOTHING, WIDTH_MM, working_space

# 29 CFR 1910.303, Table S-1, minimum depth of clear working space at electric equipment, 600 V or less, in feet, by condition
# (A, B, C); the same figures stand in NFPA 70, Table 110.26(A)(1), conditions 1, 2, 3. The rows were typed from memory;
# that they lie between 3 ft and 4 ft by condition, and what each condition is, was read in secondary texts.
PRINTED_FT = {"0-150 V": ("3.0", "3.0", "3.0"), "151-600 V": ("3.0", "3.5", "4.0")}

# 29 CFR 1910.303(g)(1)(i)(B) and (g)(1)(vi): at least as wide as the equipment and 30 in; headroom 6.5 ft. Read in secondary
# texts (an interpretation letter of the agency for the width).
PRINTED_WIDTH_IN, PRINTED_HEIGHT_FT = "30", "6.5"


@pytest.mark.parametrize("voltage", PRINTED_FT)
def test_depths_are_the_printed_ones(voltage: str) -> None:
    """Each depth of the regulation's table, in feet; no other voltage is offered."""
    printed = dict(zip((NOTHING, GROUNDED, LIVE), map(float, PRINTED_FT[voltage]), strict=True))
    assert {facing: float(depth) for facing, depth in DEPTH_FT[voltage].items()} == printed
    assert set(DEPTH_FT) == set(PRINTED_FT)


def test_width_and_headroom_are_the_printed_ones() -> None:
    """30 in wide or as wide as the equipment, and 6.5 ft high."""
    assert pytest.approx(float(PRINTED_WIDTH_IN) * 25.4) == WIDTH_MM
    assert pytest.approx(float(PRINTED_HEIGHT_FT) * 304.8) == HEIGHT_MM
    narrow = working_space(voltage="151-600 V", facing=GROUNDED, equipment_mm=400.0)
    wide = working_space(voltage="151-600 V", facing=LIVE, equipment_mm=1200.0)
    assert (narrow.width_mm, wide.width_mm) == (pytest.approx(762.0), 1200.0)
    assert (narrow.depth_mm, wide.depth_mm) == (pytest.approx(1066.8), pytest.approx(1219.2))
