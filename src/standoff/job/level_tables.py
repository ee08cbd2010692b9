"""The tables of a job file that say how the loader stands on its feet, and what was read of its axis against the spindle's.

They are optional: a placement does not need them, levelling does. Every reading names the round in which it was taken, so that
what was read before moving, after it, and after tightening stands side by side. Up and left (seen looking forward) are positive.
"""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field

from standoff.job.keys import (
    NOT_NEGATIVE,
    SIGNED,
    Density,
    Exact,
    Force,
    Frequency,
    Name,
    Slope,
    Table,
    Taped,
    needed,
    optional,
    rule,
)

RoundNumber = Annotated[int, Field(ge=1, le=99)]
Stage = Literal["as found", "moved", "tightened"]
HeadstockAt = Literal["rear limit", "front limit"]
LoaderAt = Literal["standing", "shifted"]
Surface = Literal["bore", "outside", "face"]
LineKind = Literal["wire", "laser", "straightedge"]
LevelWay = Literal["across", "along"]
PadShape = Literal["round", "square"]

ROUND = "round of readings in which it was taken: 1 as found, then 2, 3 ...; without it 1"
HEADSTOCK = "where the headstock stood: rear limit or front limit; without it the rear limit"
LOADER = "where the loader stood: standing, or shifted as in that mode (or the one that shifts farthest); without it standing"
MODE = "mode whose limits are meant; without it the first"
SET_WITH = "where the headstock stood when it was centred: rear limit or front limit; without it the rear limit"
AS_THE_LINE = "said of the line, in [[reference_lines]]: a line stays where it was set, wherever the headstock goes"
SHIFT_OF = "mode whose shift is meant, where it was read shifted"


class FrameTable(Table):
    """What the loader stands on, and how exactly it is moved."""

    axis_height: Taped | None = optional(
        "the loader's axis above where its feet rest; without it lathe.centre_height", "41 in", "1040 mm"
    )
    shim_step: Exact | None = optional(
        "thickness by which shims differ; without it the feet are jacks, set to any height", "0.005 in", "0.125 mm"
    )
    foot_setting: Exact | None = rule("how exactly a foot is set (half-width)", "0.001 in", "0.02 mm")
    screw_setting: Exact | None = rule("how exactly a side screw is set (half-width)", "0.002 in", "0.05 mm")


class FootTable(Table):
    """A foot of the loader: three to eight of them, on both sides."""

    name: Name = needed("what it is called", "front left")
    behind_clamp: Taped = needed("how far behind the nose-clamp face it stands", "20 in", "500 mm", sign=SIGNED)
    left: Taped = needed(
        "how far left of the axis, looking forward to the lathe (negative: right)", "14 in", "355 mm", sign=SIGNED
    )
    up: Exact | None = optional("how far it can still go up; without it not checked", "1/2 in", "12 mm", sign=NOT_NEGATIVE)
    down: Exact | None = optional("how far it can still go down; without it not checked", "1/4 in", "6 mm", sign=NOT_NEGATIVE)
    pad: Exact | None = optional("how wide its pad is, across: for the floor plan", "6 in", "150 mm")
    pad_shape: PadShape | None = optional("round or square; without it round", "round")
    marked: bool | None = optional("true: its middle is marked out on the floor, to be drilled there", "true")


class SideScrewTable(Table):
    """A place where screws push the frame sideways: two of them at least, one towards each end."""

    name: Name = needed("what it is called", "front screws")
    behind_clamp: Taped = needed("how far behind the nose-clamp face it is", "20 in", "500 mm", sign=SIGNED)
    left: Exact | None = optional(
        "how far it can still push left; without it this is not checked", "1/2 in", "12 mm", sign=NOT_NEGATIVE
    )
    right: Exact | None = optional(
        "how far it can still push right; without it this is not checked", "1/2 in", "12 mm", sign=NOT_NEGATIVE
    )


class BracketTable(Table):
    """What carries the indicator at the spindle: it hangs under its own weight, and that is read on a stiff tube.

    A sag belongs to one reach, from where the bracket is clamped to where it sweeps: each reach has a row of its own.
    """

    name: Name = needed("what it is called", "long bracket")
    sag: Exact = needed(
        "what a sweep of a stiff tube that carries it at this reach shows: top less bottom",
        "0.006 in",
        "0.15 mm",
        sign=NOT_NEGATIVE,
    )
    within: Exact | None = rule("how sure that is (half-width)", "0.001 in", "0.02 mm")


class SweepTable(Table):
    """An indicator carried by the spindle and turned by hand: read at top, left, bottom and right, pushed in counts positive."""

    round: RoundNumber | None = optional(ROUND, "1")
    name: Name | None = optional("what was swept; without it a number", "front clamp")
    surface: Surface = needed("bore, outside, or face: a face that looks forward", "bore")
    behind_clamp: Taped | None = optional(
        "bore and outside: how far behind the nose-clamp face (negative: ahead of it)", "2 in", "50 mm", sign=SIGNED
    )
    circle: Exact | None = optional("face: diameter of the circle that was swept", "6 in", "150 mm")
    top: Exact = needed("indicator at the top", "0.012 in", "0.30 mm", sign=SIGNED)
    left: Exact = needed("at the left, looking forward", "0.004 in", "0.10 mm", sign=SIGNED)
    bottom: Exact = needed("at the bottom", "0 in", "0 mm", sign=SIGNED)
    right: Exact = needed("at the right", "0.008 in", "0.20 mm", sign=SIGNED)
    within: Exact | None = rule("how exactly each of the four was read (half-width)", "0.001 in", "0.02 mm")
    bracket: Name | None = optional("what carried the indicator, by its name in [[brackets]]", "long bracket")
    headstock: HeadstockAt | None = optional(HEADSTOCK, "front limit")
    loader: LoaderAt | None = optional(LOADER, "shifted")
    mode: Name | None = optional(MODE, "chucker")


class ReferenceLineTable(Table):
    """A wire, laser beam or straightedge laid along the spindle's axis and carried back to the loader."""

    name: Name = needed("what it is called", "wire")
    kind: LineKind = needed("wire, laser or straightedge", "wire")
    rear_set: Taped = needed(
        "rear of the two places where it was centred on the spindle, ahead of the adapter's rear face",
        "1 in",
        "25 mm",
        sign=SIGNED,
    )
    front_set: Taped = needed("front one of the two", "30 in", "760 mm", sign=SIGNED)
    set_within: Exact | None = rule("how exactly it was centred there (half-width)", "0.002 in", "0.05 mm")
    headstock: HeadstockAt | None = optional(SET_WITH, "front limit")
    mode: Name | None = optional(MODE, "chucker")
    rear_end: Taped | None = optional("wire: its rear support, behind the nose-clamp face", "16 ft", "4.9 m")
    front_end: Taped | None = optional("wire: its front support, ahead of the adapter's rear face", "40 in", "1 m", sign=SIGNED)
    note: Frequency | None = optional("wire: its lowest note when plucked between its supports", "40 Hz")
    tension: Force | None = optional("or: what it is pulled with", "200 N")
    wire_diameter: Exact | None = optional("and its diameter", "0.016 in", "0.4 mm")
    wire_density: Density | None = optional("density of its metal; without it steel, 7850 kg/m3", "7850 kg/m3")
    sag: Exact | None = optional("or: how far it hangs at midspan, as measured", "0.008 in", "0.2 mm", sign=NOT_NEGATIVE)


class LineReadingTable(Table):
    """How far the loader's axis (a target or bore centre on it) was found above and left of a reference line."""

    round: RoundNumber | None = optional(ROUND, "1")
    line: Name = needed("which line, by its name in [[reference_lines]]", "wire")
    behind_clamp: Taped = needed("how far behind the nose-clamp face", "12 ft", "3.66 m", sign=SIGNED)
    above: Exact | None = optional("how far above the line (negative: below)", "-0.08 in", "-2 mm", sign=SIGNED)
    left: Exact | None = optional("how far left of the line (negative: right)", "-0.01 in", "-0.25 mm", sign=SIGNED)
    within: Exact | None = rule("how exactly it was read (half-width)", "0.003 in", "0.08 mm")
    headstock: HeadstockAt | None = optional(AS_THE_LINE, "front limit")
    loader: LoaderAt | None = optional(LOADER, "shifted")
    mode: Name | None = optional(SHIFT_OF, "chucker")


class LevelTable(Table):
    """A level laid on the loader. Across, it tells the roll; along, it is read on the spindle too, and the difference counts."""

    round: RoundNumber | None = optional(ROUND, "1")
    way: LevelWay = needed("across (left side up is positive) or along (rising forward is positive)", "across")
    reading: Slope = needed(
        "what it shows as first laid: across, the end of the level at the left up is positive; along, the front one",
        "0.006 in/ft",
        "0.5 mm/m",
    )
    turned: Slope | None = optional(
        "across: what it shows turned end for end on the same spot, the SAME END OF THE LEVEL up positive: about minus the first",
        "-0.004 in/ft",
        "-0.35 mm/m",
    )
    spindle: Slope | None = optional("along: what it shows on a bar held by the spindle", "0.001 in/ft", "0.1 mm/m")
    within: Slope | None = rule("how exactly it reads and sits (half-width)", "0.0005 in/ft", "0.04 mm/m")


class LevelRoundTable(Table):
    """What was done before a round of readings, and what else was seen in it."""

    round: RoundNumber = needed("which round", "2")
    stage: Stage | None = optional("as found, moved or tightened; without it as found for round 1, moved for the others", "moved")
    feet_bear: bool | None = optional("true: every foot was felt to bear; false: one does not", "true")
    standoff: Taped | None = optional("the standoff as read in this round", "11 7/16 in", "290 mm", sign=SIGNED)
    drilled: bool | None = optional("true: holes drilled through the feet, anchors set", "true")
    pusher_slides: bool | None = optional(
        "true: the pusher slides by hand from the channel into the main collet, power and air locked out", "true"
    )


class LevelTolerancesTable(Table):
    """Half-widths allowed. The defaults are common practice without a published source; the makers' figures win."""

    spindle: Exact | None = optional("axis off the spindle's, at the spindle; without it 0.1 mm", "0.004 in", "0.1 mm")
    axis: Exact | None = optional("axis off the spindle's, along the loader; without it 0.25 mm", "0.010 in", "0.25 mm")
    roll: Slope | None = optional("roll of the loader; without it 0.5 mm/m", "0.006 in/ft", "0.5 mm/m")
    rock: Exact | None = optional("a foot out of the plane of the others; without it 0.05 mm", "0.002 in", "0.05 mm")
    tightening: Exact | None = optional("change on tightening; without it 0.05 mm", "0.002 in", "0.05 mm")
    basis: Name | None = optional("where these figures are from", "the loader maker's manual")
