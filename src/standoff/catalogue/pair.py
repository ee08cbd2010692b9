"""The pair: a lathe and a loader with its nose and passage, put together as one layout."""

from __future__ import annotations

from collections.abc import Mapping

from standoff.catalogue.lathe import Lathe
from standoff.catalogue.loader import Loader
from standoff.catalogue.nose import Nose
from standoff.catalogue.passage import Passage
from standoff.model.layout import Layout
from standoff.reading import Reading


def pair(
    lathe: Lathe, loader: Loader, nose: Nose, passage: Passage, *, readings: Mapping[str, Reading], setting_u_mm: float
) -> Layout:
    """The layout of these entries; `setting_u_mm` [mm] is how exactly the loader can be moved to a mark."""
    stations = (*lathe.stations(), *loader.stations(), *nose.stations())
    cut = readings.get("nose.may_be_cut")
    return Layout(
        stations={station.name: station for station in stations},
        modes=lathe.modes(),
        requirements=(*nose.requirements(), *loader.requirements(), *passage.requirements()),
        quantities=readings,
        cut_limit_mm=cut.value_mm if cut is not None and not nose.telescopic else 0.0,
        setting_u_mm=setting_u_mm,
    )
