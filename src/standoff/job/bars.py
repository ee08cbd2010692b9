"""A bar of the job as the physics sees it: section and metal, greatest size, straightness, wanted speed."""

from __future__ import annotations

import math
from dataclasses import dataclass

from standoff.bar.beam import Beam, beam
from standoff.bar.materials import MATERIALS, Material
from standoff.bar.section import Section, Shape
from standoff.bar.stock import default_grade, groups, size_limits, straightness
from standoff.job.bar_tables import BarTable
from standoff.job.job import Job

USUAL_STANDARD = "EN 10278:1999"
"""Its widest row is taken where no straightness is stated."""

LARGEST_GRADED_MM = 80.0
"""Above this size no grade is tabled here; h grades hang below the nominal size, which then stands for the greatest."""


@dataclass(frozen=True, slots=True)
class Bar:
    """A bar that is to turn; `wanted_rpm` is None where no speed was stated, `push_n` where no force was."""

    name: str
    section: Section
    material: Material
    beam: Beam
    length_mm: float
    grade: str
    greatest_mm: float
    straightness_mm_per_m: float
    straightness_from: str
    wanted_rpm: float | None
    wanted_from: str
    push_n: float | None
    end_turned_mm: float | None

    @property
    def corners_mm(self) -> float:
        """The greatest size over its corners: what a bore must pass. [mm]"""
        return Section(self.section.shape, self.greatest_mm).across_corners_mm


def bars_of(job: Job) -> tuple[Bar, ...]:
    """Every bar of the job, in its order."""
    return tuple(_bar(job, table) for table in job.tables.bars)


def _bar(job: Job, table: BarTable) -> Bar:
    section = Section(Shape(table.shape), table.size[0].value_mm)
    length_mm = table.length[0].value_mm if table.length else longest_bar_mm(job)
    known = MATERIALS.get(table.material)
    density = table.density or (known.density_kg_m3 if known else 0.0)
    modulus = table.modulus or (known.modulus_mpa if known else 0.0)
    source = known.source if known and table.density is None and table.modulus is None else "as stated in this job"
    material = Material(table.material, density, modulus, source)
    grade = table.grade or default_grade(section, ground=False)
    graded = section.size_mm <= LARGEST_GRADED_MM
    bow_mm_per_m, bow_from = _straightness(table, section, length_mm)
    wanted_rpm, wanted_from = _wanted(table)
    push_n = table.feed_force if table.feed_force is not None else (job.tables.feed.set_force if job.tables.feed else None)
    return Bar(
        name=table.name,
        section=section,
        material=material,
        beam=beam(section, material),
        length_mm=length_mm,
        grade=grade,
        greatest_mm=size_limits(grade, size_mm=section.size_mm).greatest_mm if graded else section.size_mm,
        straightness_mm_per_m=bow_mm_per_m,
        straightness_from=bow_from,
        wanted_rpm=wanted_rpm,
        wanted_from=wanted_from,
        push_n=push_n,
        end_turned_mm=table.end_turned_to[0].value_mm if table.end_turned_to else None,
    )


def longest_bar_mm(job: Job) -> float:
    """The job's longest bar, or else the loader's capacity. [mm]"""
    readings = job.readings
    return readings["rules.longest_bar" if "rules.longest_bar" in readings else "loader.bar_capacity"].value_mm


def _straightness(table: BarTable, section: Section, length_mm: float) -> tuple[float, str]:
    """How far the bar may deviate from straight over a metre [mm/m], and who says so."""
    if table.straightness:
        return table.straightness[0].value_mm, "as stated"
    if table.straightness_standard and table.straightness_group:
        told = straightness(table.straightness_standard, table.straightness_group, section, length_mm=length_mm)
        return told.deviation_mm_per_m, f"{told.standard}, {told.group}"
    rows = [straightness(USUAL_STANDARD, group, section, length_mm=length_mm) for group in groups(USUAL_STANDARD)]
    return max(row.deviation_mm_per_m for row in rows), f"default: widest row of {USUAL_STANDARD}"


def _wanted(table: BarTable) -> tuple[float | None, str]:
    """The speed wanted [rpm] and where it comes from: stated, or v / (pi d)."""
    if table.speed is not None:
        return table.speed, "as stated"
    if table.cutting_speed is not None and table.turned_diameter:
        diameter_mm = table.turned_diameter[0].value_mm
        rpm = table.cutting_speed * 1000.0 / (math.pi * diameter_mm)
        return rpm, f"{table.cutting_speed:.0f} m/min at {table.turned_diameter[0].text}"
    return None, ""
