"""A job: its title and units, the readings by their place in the file, and the layout they describe."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from standoff.job.tables import JobFile
from standoff.model.layout import Layout
from standoff.reading import Reading
from standoff.units import Units


@dataclass(frozen=True, slots=True)
class Job:
    """One lathe, one loader, their survey and the rules kept.

    `tables` are the file's, for what stands beside the survey (checks, remedies, symptoms); `repeats` holds the further
    readings of what was read more than once, of which the placement uses the first as it stands.
    """

    title: str
    site: str
    units: Units
    lathe: str
    loader: str
    sliding: bool
    telescopic: bool
    crush_part: str
    fittings: tuple[str, ...]
    layout: Layout
    tables: JobFile
    repeats: Mapping[str, tuple[Reading, ...]]

    @property
    def z_sign(self) -> float:
        """Which way the control's Z counts: +1 where it grows as the headstock moves forward, -1 where it falls."""
        return -1.0 if self.tables.lathe.z_forward == "negative" else 1.0

    @property
    def readings(self) -> Mapping[str, Reading]:
        """Every reading the layout uses, by its place in the file."""
        return self.layout.quantities
