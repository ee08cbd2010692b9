"""The bar cycle of one part as a drawing: three moments to scale and the traces of the gaps."""

from __future__ import annotations

from standoff.desk.cycle import CycleAnswer
from standoff.draw.cycle_sheet import cycle_sheet
from standoff.draw.svg import svg


def cycle_drawing(answer: CycleAnswer, number: int) -> str:
    """The sheet of the part of that number, as a file of its own."""
    return svg(cycle_sheet(answer.placement, answer.cycles[number]), standalone=True)
