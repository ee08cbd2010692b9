"""What a part takes of bars: parts from a bar of just its length, and on the average over what the mill sends.

The remnant is never typed: it follows from the standoff through `parts`. The bar's length in the job is the length ordered; the
mill may send more, evenly spread up to its tolerance.
"""

from __future__ import annotations

from dataclasses import dataclass

from standoff.bar.lengths import Even, Expected, expected
from standoff.bar.orders import bars_needed
from standoff.bar.yields import Masses, MeanCount, Yields, cut_up
from standoff.job.bars import Bar, bars_of
from standoff.job.job import Job
from standoff.job.keys import defaulted_mm
from standoff.job.part_tables import StockTable
from standoff.job.parts import Part


@dataclass(frozen=True, slots=True, eq=False)
class Supply:
    """The bars of one part: how they are cut, what they yield, how many are wanted. `bar` is None without a [[bars]] table."""

    part: Part
    bar: Bar | None
    per_order: int | None
    per_year: int | None
    tolerance: Even
    yields: Yields
    expected: Expected

    @property
    def count(self) -> int:
        """Parts from a bar of just the length ordered."""
        return int(self.yields.parts)

    @property
    def parts_per_bar(self) -> MeanCount:
        """Parts from a bar on the average over the mill's tolerance."""
        return float(self.expected.parts)

    @property
    def scatters(self) -> bool:
        """Whether the mill may send other lengths than the one ordered."""
        return self.tolerance.upper_mm > 0.0

    @property
    def mean_bar_mm(self) -> float:
        """The mean length of the bars that come. [mm]"""
        return float(self.expected.bar_mm)

    @property
    def longest_bar_mm(self) -> float:
        """The longest bar that may come. [mm]"""
        return self.part.bar_mm + self.tolerance.upper_mm

    @property
    def longest_remnant_mm(self) -> float:
        """The longest remnant that a bar within the tolerance may leave. [mm]"""
        cutting, most = self.part.cutting, int(self.expected.most)
        if most > int(self.expected.fewest):
            return cutting.unused_mm - cutting.facing_mm + cutting.advance_mm
        return self.longest_bar_mm - cutting.facing_mm - most * cutting.advance_mm

    @property
    def masses(self) -> Masses | None:
        """Where the mass of a bar of just its length goes; None where its size and metal are not known."""
        return None if self.bar is None else self.yields.masses(mass_kg_m=self.bar.beam.mass_kg_m)

    @property
    def mean_bar_kg(self) -> float | None:
        """The mean mass of the bars that come. [kg]"""
        return None if self.bar is None else self.bar.beam.mass_kg_m * self.mean_bar_mm / 1000.0

    @property
    def bars_per_order(self) -> int | None:
        """Whole bars for an order, on the average over the mill's tolerance."""
        return None if self.per_order is None else bars_needed(self.per_order, parts_per_bar=self.parts_per_bar)

    @property
    def bars_per_order_surely(self) -> int | None:
        """Whole bars for an order if all come at their shortest."""
        return None if self.per_order is None else bars_needed(self.per_order, parts_per_bar=float(self.expected.fewest))

    @property
    def bars_per_year(self) -> int | None:
        """Whole bars for a year, on the average over the mill's tolerance."""
        return None if self.per_year is None else bars_needed(self.per_year, parts_per_bar=self.parts_per_bar)

    def per_bar_if(self, *, bar_mm: float, unused_mm: float) -> MeanCount:
        """Parts from a bar if it were so long and so much of it could not be used, on the average over bar lengths.

        From the count as it is, one part more for each advance gained: a remnant that is shorter by less than an advance then
        gains a share of a part, as it does on the long run, not none or a whole one. Zero or less: no part.
        """
        cutting = self.part.cutting
        gained_mm = (bar_mm - unused_mm) - (self.part.bar_mm - cutting.unused_mm)
        return self.parts_per_bar + gained_mm / cutting.advance_mm


def supply_of(job: Job, part: Part, index: int) -> Supply:
    """The bars of the part with that index in the job."""
    table = job.tables.parts[index]
    tolerance = mill_tolerance_of(job)
    return Supply(
        part=part,
        bar=next((bar for bar in bars_of(job) if bar.name == part.bar_name), None),
        per_order=table.per_order,
        per_year=table.per_year,
        tolerance=tolerance,
        yields=cut_up(part.cutting, part.bar_mm),
        expected=expected(part.cutting, part.bar_mm, tolerance),
    )


def mill_tolerance_of(job: Job) -> Even:
    """How much longer than ordered a bar may come."""
    return Even(lower_mm=0.0, upper_mm=defaulted_mm(job.tables.stock, StockTable, "mill_tolerance"))
