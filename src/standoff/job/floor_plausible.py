"""What can be typed of things on the floor but is hardly meant: a lathe of eight inches, a cabinet as high as a house.

Nothing is refused here: each is asked about among the warnings of the floor plan. The limits are wide (common practice, no
published source).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from standoff.job.amounts import mass
from standoff.job.caution import Caution
from standoff.job.floor_tables import FloorItemTable
from standoff.job.job import Job
from standoff.job.plausible import caution_about, outside
from standoff.job.speech import length
from standoff.reading import Reading
from standoff.site.floor import TIE_MM, Body, shared_mm_of
from standoff.site.footprint import apart
from standoff.units import Units

Range = tuple[float, float]

ANYWHERE_MM: Range = (-50_000.0, 50_000.0)
"""Nothing that matters to the loader lies farther off."""

USUAL_MM: Mapping[str, Mapping[str, Range]] = {
    "lathe": {"ahead": (500.0, 12_000.0), "left": (100.0, 4_000.0), "right": (100.0, 4_000.0), "height": (800.0, 4_000.0)},
    "loader": {"left": (20.0, 1_500.0), "right": (20.0, 1_500.0), "height": (300.0, 3_000.0), "from_floor": (0.0, 1_500.0)},
    "magazine": {"left": (-1_500.0, 2_500.0), "right": (-1_500.0, 2_500.0), "height": (300.0, 3_000.0)},
    "cabinet": {"height": (200.0, 4_000.0)},
    "tank": {"height": (100.0, 4_000.0)},
    "conveyor": {"height": (100.0, 4_000.0)},
    "transformer": {"height": (200.0, 4_000.0)},
}
"""Kind of item -> its measures -> what is usual."""

USUAL_WIDTH_MM: Range = (50.0, 6_000.0)
"""What stands on the floor is neither narrower nor wider; walls, columns and aisles may be."""

USUAL_LEAF_MM: Range = (150.0, 2_500.0)

WORDS: Mapping[str, str] = {
    "behind": "its rear end",
    "ahead": "its front end",
    "left": "its left side",
    "right": "its right side",
    "from_floor": "its underside",
    "height": "its height",
}


USUAL_KG: Range = (0.5, 20_000.0)
"""A mass on the loader's feet that is usual."""


def floor_questions(job: Job, bodies: Sequence[Body] = ()) -> tuple[Caution, ...]:
    """What to ask about what was typed of items, doors and masses, at most one about each field.

    `bodies`: the things as they stand, to ask about what stands in another.
    """
    return (*_items(job), *_doors(job), *_masses(job), *_in_the_lathe(job, bodies))


def _items(job: Job) -> Iterator[Caution]:
    for i, row in enumerate(job.tables.floor_items):
        path = f"floor_items[{i}]"
        yield from tuple(_measures(path, row, job.units)) or _width(path, row)


def _measures(path: str, row: FloorItemTable, units: Units) -> Iterator[Caution]:
    for key, words in WORDS.items():
        taped: tuple[Reading, ...] | None = getattr(row, key)
        usual_mm = USUAL_MM.get(row.kind, {}).get(key, ANYWHERE_MM)
        asked = outside(taped[0], usual_mm, units) if taped else ""
        if asked:
            yield caution_about(f"{path}.{key}", f"{row.name}, {words}: {asked}")


def _width(path: str, row: FloorItemTable) -> Iterator[Caution]:
    least_mm, greatest_mm = USUAL_WIDTH_MM
    if row.kind in USUAL_MM and not least_mm <= row.left[0].value_mm + row.right[0].value_mm <= greatest_mm:
        yield caution_about(
            f"{path}.left", f"{row.name}: so wide from left to right is unusual. Check both sides and their unit."
        )


def _doors(job: Job) -> Iterator[Caution]:
    for i, door in enumerate(job.tables.floor_doors):
        asked = outside(door.width[0], USUAL_LEAF_MM, job.units)
        if asked:
            yield caution_about(f"floor_doors[{i}].width", f"{door.name}, its leaf: {asked}")


def _masses(job: Job) -> Iterator[Caution]:
    least_kg, greatest_kg = USUAL_KG
    for i, load in enumerate(job.tables.floor_loads):
        if not least_kg <= load.mass <= greatest_kg:
            asked = f"{mass(load.mass, job.units)} is unusual. Check the mass and its unit."
            yield caution_about(f"floor_loads[{i}].mass", f"{load.name}, its mass: {asked}")


def _in_the_lathe(job: Job, bodies: Sequence[Body]) -> Iterator[Caution]:
    """A wall or a column that reaches into the lathe."""
    for lathe in (body for body in bodies if body.kind == "lathe"):
        for body in bodies:
            if body.kind not in ("wall", "column") or shared_mm_of(lathe, body) <= TIE_MM:
                continue
            gap_mm = apart(lathe.footprint, body.footprint).gap_mm
            kind, _, number = body.id.partition("-")
            if gap_mm < -TIE_MM and kind == "item":
                text = f"{body.name} stands {length(-gap_mm, job.units)} in {lathe.name}: was this meant? Check where both reach."
                yield caution_about(f"floor_items[{number}].behind", text)
