"""The survey's picture: the pair at its rear limits with every distance read along the axis, each on a layer of its own."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from standoff.draw.dimensions import Dimension
from standoff.draw.elevation import Arrangement, pictured
from standoff.draw.pose import pose, stands
from standoff.draw.scene import Scene
from standoff.job.placement import Placement
from standoff.model.state import REAR_LIMIT


@dataclass(frozen=True, slots=True)
class Asked:
    """A distance to read: the layer it is drawn on, its words, and its two stations."""

    layer: str
    words: str
    start: str
    end: str


def survey_drawing(placement: Placement, asked: Sequence[Asked], *, arrangement: Arrangement) -> Scene:
    """The pair with the distances asked for, to scale along the axis; a page marks the one in hand by its layer."""
    mode = placement.layout.modes[0]
    state = mode.at(REAR_LIMIT)
    values_mm = placement.layout.values_mm(standoff_mm=placement.standoff_mm, cut_mm=placement.cut_mm)
    found = []
    for one in asked:
        if stands(placement.layout, one.start) and stands(placement.layout, one.end):
            ends = sorted(placement.layout.place(name, state).value(values_mm) for name in (one.start, one.end))
            found.append(Dimension(ends[0], ends[1], one.words, layer=one.layer))
    shown = pose(placement, mode=mode.name, state=REAR_LIMIT)
    return pictured(placement, shown, found, title="What is read along the axis", arrangement=arrangement)
