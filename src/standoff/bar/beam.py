"""A bar as a beam: its stiffness and mass per length, from section and material or given outright.

Shear and rotary inertia are always carried (Timoshenko's beam), so that short spans below 15 diameters come out right; an
endless shear stiffness and no rotary inertia make it the slender (Euler-Bernoulli) beam of the textbooks.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from standoff.bar.checks import require_not_negative, require_positive
from standoff.bar.materials import Material
from standoff.bar.section import Section

GRAVITY_MM_PER_S2 = 9806.65
"""Standard gravity. [mm/s2]"""


@dataclass(frozen=True, slots=True)
class Beam:
    """What bends: EI [N mm2], mass per length, shear stiffness kappa G A, rotary inertia per length rho I, outer radius."""

    ei_n_mm2: float
    mass_kg_m: float
    shear_n: float = math.inf
    rotary_kg_mm: float = 0.0
    area_mm2: float = 0.0
    radius_mm: float = 0.0

    def __post_init__(self) -> None:
        require_positive("bending stiffness", self.ei_n_mm2)
        require_positive("mass per length", self.mass_kg_m)
        require_not_negative("rotary inertia", self.rotary_kg_mm)
        require_not_negative("section area", self.area_mm2)
        require_not_negative("bar radius", self.radius_mm)
        if self.shear_n != math.inf:
            require_positive("shear stiffness", self.shear_n)

    @property
    def weight_n_per_mm(self) -> float:
        """Weight per length. [N/mm]"""
        return self.mass_kg_m * 1e-6 * GRAVITY_MM_PER_S2


def beam(section: Section, material: Material) -> Beam:
    """How stiff and how heavy is this bar?

    EI, rho A, kappa G A and rho I of the sharp-cornered section. Rotary inertia is that of a bar that does not turn: turning
    with the whirl it would stiffen instead, by less than 1e-4 for a bar of 65 mm and 4 m, so the speed errs low.

    Args:
        section: shape and size.
        material: density and Young's modulus.

    Returns:
        The beam, with its area and the radius over its corners (for the oil it displaces).

    Validity: solid bar of one size.
    Source: S.P. Timoshenko, Phil. Mag. 41 (1921) 744-746; shear factor as said in `section`.

    >>> from standoff.bar.materials import material
    >>> from standoff.bar.section import Shape
    >>> round(beam(Section(Shape.ROUND, 20.0), material("steel")).mass_kg_m, 3)
    2.466
    """
    second_moment, area = section.second_moment_mm4, section.area_mm2
    return Beam(
        ei_n_mm2=material.modulus_mpa * second_moment,
        mass_kg_m=section.mass_kg_m(density_kg_m3=material.density_kg_m3),
        shear_n=section.shear_factor * material.shear_modulus_mpa * area,
        # kg/m3 times mm4 is 1e-9 kg mm: the inertia of a millimetre of bar about its diameter, in kg mm2.
        rotary_kg_mm=material.density_kg_m3 * second_moment * 1e-9,
        area_mm2=area,
        radius_mm=section.across_corners_mm / 2.0,
    )
