"""The demonstration jobs, taken apart into what each measurement starts from."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

import numpy as np
import peers
from numpy.typing import NDArray

from standoff.job.demonstration import NAMES, text_of
from standoff.job.file import parse_job
from standoff.job.placement import bounds_of, place
from standoff.model.form import Form
from standoff.model.layout import Layout
from standoff.solve.confidence import covariance, probability_all
from standoff.solve.window import GUARD_FACTOR, Bound, Window, window


@dataclass(frozen=True, slots=True)
class Case:
    """One job: its layout, its bounds, and every slack where the job is judged."""

    name: str
    layout: Layout
    bounds: tuple[Bound, ...]
    forms: tuple[Form, ...]
    slacks_mm: tuple[float, ...]
    covariance_mm2: NDArray[np.float64]

    def windows(self) -> tuple[Window, Window]:
        """The plain and the guarded window, from the layout on."""
        bounds, limit_mm = bounds_in(self.layout), self.layout.cut_limit_mm
        return window(bounds, cut_limit_mm=limit_mm), window(bounds, cut_limit_mm=limit_mm, factor=GUARD_FACTOR)

    def plain(self) -> Window:
        """The plain window, from the bounds on."""
        return window(self.bounds, cut_limit_mm=self.layout.cut_limit_mm)

    def confidence(self) -> float:
        """The joint probability, from the forms on."""
        return probability_all(self.slacks_mm, covariance(self.forms, self.layout.uncertainties_mm()))

    def near_its_limits(self) -> Case:
        """The case with every slack at two of its standard uncertainties, so that no row can be left out."""
        return replace(self, name=f"{self.name} at 2 u", slacks_mm=tuple(2.0 * np.sqrt(np.diag(self.covariance_mm2))))

    def window_by_peer_mm(self) -> tuple[float, float]:
        """The plain window's edges by the general solver, from the bounds on. [mm]"""
        return peers.window_mm(self.bounds, cut_limit_mm=self.layout.cut_limit_mm)

    def confidence_by_peer(self) -> float:
        """The joint probability by sampling, from the covariance on."""
        return peers.probability_all(self.slacks_mm, self.covariance_mm2)


def bounds_in(layout: Layout) -> list[Bound]:
    """The half-lines of a layout."""
    return bounds_of(layout, tuple(row for row in layout.rows() if row.bounds_standoff))


def cases() -> Iterator[Case]:
    """The demonstration jobs in their order."""
    for name in NAMES:
        placement = place(parse_job(text_of(name)))
        layout = placement.layout
        forms = tuple(form for row in layout.rows() for _, form in row.slacks)
        values_mm = layout.values_mm(standoff_mm=placement.standoff_mm, cut_mm=placement.cut_mm)
        yield Case(
            name=name,
            layout=layout,
            bounds=tuple(bounds_in(layout)),
            forms=forms,
            slacks_mm=tuple(form.value(values_mm) for form in forms),
            covariance_mm2=covariance(forms, layout.uncertainties_mm()),
        )
