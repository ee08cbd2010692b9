"""The space in front of electrical equipment that somebody may work on while it is live: how deep, how wide, how high.

The figures are those of the US regulation; the electrical code of the place decides, and may ask for more. A depth that somebody
states instead of them wins.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType

from standoff.bar.checks import require_positive
from standoff.errors import UsageError, shown, write_instead
from standoff.units import FOOT_MM, INCH_MM

SOURCE = "29 CFR 1910.303(g)(1), Table S-1; NFPA 70, 110.26(A)"

NOTHING, GROUNDED, LIVE = "no live or grounded parts", "grounded parts", "live parts"
"""What lies opposite, across the space; concrete, brick and tiled walls count as grounded."""

DEPTH_FT: Mapping[str, Mapping[str, Fraction]] = MappingProxyType(
    {
        "0-150 V": {NOTHING: Fraction(3), GROUNDED: Fraction(3), LIVE: Fraction(3)},
        "151-600 V": {NOTHING: Fraction(3), GROUNDED: Fraction(7, 2), LIVE: Fraction(4)},
    }
)
"""Least depth in feet by voltage to ground and by what lies opposite: 29 CFR 1910.303, Table S-1 (conditions A, B, C)."""

WIDTH_MM = float(30 * INCH_MM)
"""Least width, where the equipment itself is not wider: 29 CFR 1910.303(g)(1)(i)(B)."""

HEIGHT_MM = float(Fraction(13, 2) * FOOT_MM)
"""Least headroom, 6.5 ft: 29 CFR 1910.303(g)(1)(vi)."""


@dataclass(frozen=True, slots=True)
class WorkingSpace:
    """How deep, wide and high the space is, and who says so. [mm]"""

    depth_mm: float
    width_mm: float
    height_mm: float
    source: str


def working_space(*, voltage: str, facing: str, equipment_mm: float) -> WorkingSpace:
    """How much room does work at live equipment need?

    Args:
        voltage: its voltage to ground, a key of DEPTH_FT.
        facing: what lies opposite, across the space.
        equipment_mm: how wide the equipment is [mm].

    Returns:
        Depth, width and height [mm].

    Raises:
        UsageError: a voltage or a surrounding that the table does not have.

    Validity: up to 600 V; equipment that is worked on from one side.
    Source: 29 CFR 1910.303(g)(1), Table S-1; NFPA 70, 110.26(A).

    >>> round(working_space(voltage="151-600 V", facing=GROUNDED, equipment_mm=600.0).depth_mm, 1)  # 3.5 ft
    1066.8
    """
    require_positive("width of the equipment", equipment_mm)
    for what, given, known in (("voltage", voltage, DEPTH_FT), ("what lies opposite", facing, DEPTH_FT["0-150 V"])):
        if given not in known:
            raise UsageError(
                what=what, given=shown(given), allowed="what the table has", action=write_instead(given, list(known))
            )
    depth_mm = float(DEPTH_FT[voltage][facing] * FOOT_MM)
    return WorkingSpace(depth_mm, max(WIDTH_MM, equipment_mm), HEIGHT_MM, SOURCE)
