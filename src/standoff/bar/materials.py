"""The metals and plastics that are turned from bar: density and Young's modulus, each with its source.

Handbook values; the modulus of a given bar differs by up to 3 %, of a plastic by more. Whip speed goes with the square root of
modulus over density, so 3 % there are 1.5 % of speed: far less than what the supports leave open.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from standoff.bar.checks import require_positive
from standoff.errors import UsageError, write_instead

POISSON_RATIO = 0.3
"""Poisson's ratio taken for every metal; it enters only the shear of short spans, where 0.1 of it is 0.1 % of speed."""


@dataclass(frozen=True, slots=True)
class Material:
    """What a bar is made of."""

    name: str
    density_kg_m3: float
    modulus_mpa: float
    source: str

    def __post_init__(self) -> None:
        require_positive("density", self.density_kg_m3)
        require_positive("Young's modulus", self.modulus_mpa)

    @property
    def shear_modulus_mpa(self) -> float:
        """Shear modulus E / (2 (1 + nu)). [MPa]"""
        return self.modulus_mpa / (2.0 * (1.0 + POISSON_RATIO))


_ENTRIES = (
    Material("steel", 7850.0, 200e3, "R.C. Hibbeler, Mechanics of Materials, appendix (A-36: 7850, 200 GPa)"),
    Material("stainless 304", 8000.0, 193e3, "Callister, Materials Science and Engineering, App. B.1; Hibbeler, appendix (E)"),
    Material("stainless 17-4 PH", 7800.0, 197e3, "suppliers' text 7.8 g/cm3, 28.5e6 psi (from memory)"),
    Material("brass C36000", 8500.0, 97e3, "suppliers' data to ASTM B16: 0.307 lb/in3, 14 000 ksi"),
    Material("aluminium 6061-T6", 2700.0, 68.9e3, "Callister, App. B.1 (2.70 g/cm3); Hibbeler, appendix (68.9 GPa)"),
    Material("aluminium 2011-T3", 2830.0, 70e3, "handbook data for wrought aluminium 2011 (2.83 g/cm3, 70 GPa)"),
    Material("titanium Ti-6Al-4V", 4430.0, 114e3, "data sheet (4.42 g/cm3, 114 GPa); Hibbeler prints 4430, 120 GPa"),
    Material(
        "acetal POM", 1410.0, 3.0e3, "Margolis (ed.), Engineering Plastics Handbook, 2006, Table 5.5, p. 91 (copolymer: 2.5 GPa)"
    ),
    Material("PEEK, unfilled", 1300.0, 3.8e3, "typical data 1.30 g/cm3, 3.6 to 4.0 GPa (from memory)"),
)

MATERIALS: Mapping[str, Material] = MappingProxyType({entry.name: entry for entry in _ENTRIES})
"""Every material by its name."""


def material(name: str) -> Material:
    """The material of a name; an unknown one is refused with the nearest known."""
    if name not in MATERIALS:
        raise UsageError(what="material", given=f"'{name}'", allowed="one that is known", action=write_instead(name, MATERIALS))
    return MATERIALS[name]
