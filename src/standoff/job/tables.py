"""The tables of a job file: every key with its meaning, an example, and whether it must be there.

This is the one declaration of the file. The reader, the template of `standoff new`, the reference page and the entry forms are
all read off it. A draft may lack required keys (they are None then); `job.file` refuses to build a job from such a draft.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Annotated, Literal

from pydantic import BaseModel, Field

from standoff.job.bar_tables import BarRulesTable, BarTable, FeedTable, LinerTable, SiteCheckTable, SpeedLimitTable, SupportTable
from standoff.job.floor_tables import (
    FloorDoorTable,
    FloorItemTable,
    FloorLoadTable,
    FloorTable,
    HoleTable,
    KeepOutTable,
    MarkoutTable,
    ReferencePointTable,
    SlabJointTable,
    WorkingSpaceTable,
)
from standoff.job.keys import (
    NOT_NEGATIVE,
    SIGNED,
    Exact,
    Mass,
    Name,
    Price,
    Shown,
    Table,
    Taped,
    extra,
    keys,
    needed,
    optional,
    rule,
)
from standoff.job.level_tables import (
    BracketTable,
    FootTable,
    FrameTable,
    LevelRoundTable,
    LevelTable,
    LevelTolerancesTable,
    LineReadingTable,
    ReferenceLineTable,
    SideScrewTable,
    SweepTable,
)
from standoff.job.part_tables import CycleTable, PartTable, StockTable
from standoff.job.runoff_tables import RunoffAlarmTable, RunoffBarTable, RunoffSignalTable, RunoffTable, RunTable
from standoff.reading import Reading, read_quantity

FORMAT = "standoff-job/1"
CRUSH_PARTS = ("body", "head", "leg", "foot", "toes", "arm", "hand", "finger")

StateName = Literal["rear limit", "front limit", "bar change", "standing"]
RemedyKind = Literal[
    "cut-nose", "pusher-extension", "shorter-bar", "front-limit", "rear-stop", "shift-stroke", "fitting", "accept-remnant"
]
SymptomKind = Literal["remnant-longer", "nose-bottomed", "bar-met-collet", "cover-touched", "reach-short"]

SURVEYED = ("lathe", "loader", "nose", "fittings", "passage", "bar_path", "rules")
"""The tables whose quantities the layout is made of."""


class JobTable(Table):
    """What the job is called and how answers are shown."""

    title: Name = needed("what the job is called", "Axle cell")
    site: Name | None = optional("where the machines stand", "Tramshed Cycle Works, bay 3")
    units: Literal["in", "mm"] = needed("how answers are shown: in or mm", "in", "mm")


class ModeTable(Table):
    """One way of working of a sliding headstock. The FIRST mode is the datum of the standoff."""

    name: Name = needed("the mode's name", "guide-bushing")
    z_rear: Shown = needed(
        "rearmost position the headstock can physically reach: the control's Z, homed, no offsets (not a soft limit)",
        "-0.2 in",
        "-5 mm",
        sign=SIGNED,
    )
    z_front: Shown = needed("front limit, the control's Z in the same coordinates", "7.3 in", "185 mm", sign=SIGNED)
    z_bar_change: Shown | None = optional(
        "bar change position, the control's Z; without it rules.bar_change_setback behind the front limit",
        "4.3 in",
        "110 mm",
        sign=SIGNED,
    )
    loader_shift: Taped | None = optional(
        "how far the whole loader has moved forward in this mode", "6 3/4 in", "170 mm", sign=SIGNED
    )


class LatheTable(Table):
    """The lathe, measured from its spindle adapter."""

    name: Name = needed("what the lathe is", "lathe in bay 3")
    headstock: Literal["sliding", "fixed"] = needed("sliding or fixed", "sliding")
    adapter_to_collet: Taped = needed(
        "adapter's rear face forward to the back of the main collet (rear face of its body)", "24 in", "610 mm"
    )
    cover_to_adapter: Taped | None = optional(
        "cover's outer face forward to the adapter's rear face, headstock at the first mode's rear limit"
        " (negative: the adapter sticks out)",
        "-1 1/2 in",
        "-40 mm",
        sign=SIGNED,
    )
    cover_to_wall: Taped | None = optional(
        "cover's outer face back to the wall, aisle or obstacle behind the loader", "22 ft", "6.7 m"
    )
    collet_to_cutoff: Taped | None = optional(
        "back of the collet forward to the collet-side flank of the cut-off tool, headstock at the first mode's front limit",
        "12 1/2 in",
        "320 mm",
    )
    centre_height: Taped | None = optional("spindle axis above the floor", "41 in", "1040 mm")
    z_forward: Literal["positive", "negative"] | None = optional(
        "sliding headstock: which sign of the control's Z moves the headstock forward", "positive"
    )
    modes: list[ModeTable] = Field(default=[], description="one table for each mode of a sliding headstock")


class LoaderTable(Table):
    """The bar loader, measured from its nose-clamp face."""

    name: Name = needed("what the loader is", "12-foot loader, 32 mm")
    bar_capacity: Exact = needed("the longest bar it takes", "12 ft", "3.66 m")
    pusher_reach: Taped = needed("nose-clamp face forward to the pusher's tip at its forward limit", "44 in", "1120 mm")
    gripper_behind_clamp: Taped = needed("nose-clamp face back to the gripper", "119 in", "3020 mm")
    body_ahead_of_clamp: Taped | None = rule(
        "foremost part of the body ahead of the clamp face (negative: behind it)",
        "0 in",
        "1/2 in",
        "12 mm",
        sign=SIGNED,
    )
    length_behind_clamp: Taped | None = optional("nose-clamp face back to the loader's rear end", "15 ft", "4.6 m")
    centre_height: Annotated[list[Taped], Field(min_length=2, max_length=2)] | None = optional(
        "lowest and highest axis above the floor", '["38 in", "44 in"]', '["960 mm", "1120 mm"]'
    )


class NoseTable(Table):
    """The nose between loader and spindle adapter."""

    kind: Literal["telescopic", "fixed"] = needed("telescopic or fixed", "telescopic", "fixed")
    collapsed: Taped | None = optional("telescopic: clamp face to tip, pushed fully in", "8 3/4 in", "220 mm")
    extended: Taped | None = optional("telescopic: clamp face to tip, pulled fully out", "22 in", "560 mm")
    overlap: Exact | None = optional("telescopic: kept inside when extended", "1 1/4 in", "32 mm", sign=NOT_NEGATIVE)
    length: Taped | None = optional("fixed: uncut length, clamp face to tip", "14 in", "355 mm")
    may_be_cut: Exact | None = optional("how much may be cut off", "1 in", "25 mm", sign=NOT_NEGATIVE)
    entry_depth: Taped | None = optional(
        "how deep the tip enters the adapter or a receiver when fully home", "1 in", "25 mm", sign=NOT_NEGATIVE
    )
    least_engagement: Exact | None = optional(
        "how deep it must stay inside (only with entry_depth)", "1/2 in", "12 mm", sign=NOT_NEGATIVE
    )


class FittingTable(Table):
    """A part that shares the space between nose and adapter, net of what the nose enters."""

    name: Name = needed("what it is", "moving anti-vibration device")
    length: Taped = needed("how much of the space it takes", "1 3/4 in", "45 mm", sign=NOT_NEGATIVE)


class PassageTable(Table):
    """A bore the pusher and the bar go through, in order from the channel to the collet."""

    name: Name = needed("what it is", "spindle liner")
    bore: Taped = needed("its bore", "36 mm")
    length: Taped | None = optional("how long it is, for the bow of a bar in it; without it a metre", "20 in", "500 mm")


class BarPathTable(Table):
    """What goes through the passage."""

    pusher_od: Taped | None = optional("the pusher's diameter", "32 mm")
    pusher_collet_od: Taped | None = optional("the pusher collet's diameter", "34 mm")
    running_clearance: Exact | None = rule("kept on the diameter", "1 mm")
    pusher_mass: Mass | None = optional("what hangs on the bar's rear end: the pusher with its collet", "2 lb", "0.9 kg")
    collet_takes: Exact | None = optional("the thickest bar end the pusher collet takes", "1 1/4 in", "32 mm")
    insertion: Exact | None = optional("how deep the bar's end sits in the pusher collet", "1 1/2 in", "40 mm", sign=NOT_NEGATIVE)


class RulesTable(Table):
    """Margins of the trade. The defaults are common practice without a published source; the makers' figures win."""

    nose_clearance: Exact | None = rule("kept over the nose's shortest length", "1/4 in")
    nose_clearance_preferred: Exact | None = rule("a telescopic nose is best kept below this", "1/2 in")
    fixed_nose_end_gap: Exact | None = rule("greatest gap left at the end of a fixed nose that butts", "1/2 in")
    bar_margin: Exact | None = rule("kept over the bar between gripper and main collet at bar change", "6 in")
    bar_change_setback: Exact | None = rule("bar change position behind the front limit", "3 in")
    longest_bar: Exact | None = optional("the job's longest bar; without it the loader's capacity", "12 ft", "3.66 m")
    accepted_shortfall: Exact | None = rule("how far the pusher may fall short of the collet: as much more remnant", "0 in")
    cover_clearance: Exact | None = rule("kept to the cover, standing and at the end of the shift stroke", "1 in")
    rear_service: Exact | None = rule("kept behind the loader for service", "36 in")
    crush_part: Literal["body", "head", "leg", "foot", "toes", "arm", "hand", "finger"] | None = optional(
        "part of the body whose limit of ISO 13854 the crush-gap warning uses (body)", "body"
    )
    setting_uncertainty: Exact | None = rule("how exactly the loader can be moved to a mark (half-width)", "1/8 in")


class CheckTable(Table):
    """A distance read over several parts at once: it must agree with the readings it spans."""

    start: Name = needed("station it was read from", "clamp", alias="from")
    end: Name = needed("station it was read to, forward", "main-collet", alias="to")
    mode: Name | None = optional("mode the pair was in; without it the first", "guide-bushing")
    state: StateName = needed("rear limit, front limit, bar change or standing", "front limit")
    value: Taped = needed("what was read", "44 in", "1120 mm", sign=SIGNED)
    standoff: Taped | None = optional(
        "where the loader stood, when a station of the loader takes part", "11 1/2 in", "290 mm", sign=SIGNED
    )


class RemedyTable(Table):
    """A change that may be made, with its limits and its price. Without such a table the usual ones are offered unpriced."""

    kind: RemedyKind = needed("what is changed", "pusher-extension")
    available: bool | None = optional("false: never offer this kind", "false")
    at_most: Exact | None = optional("the greatest amount", "2 in", "50 mm")
    lengths: list[Exact] | None = optional("pusher-extension: the lengths there are", '["2 in", "4 in"]', '["50 mm", "100 mm"]')
    takes_off_bar: Exact | None = optional(
        "pusher-extension: how much shorter the bar must be", "2 in", "50 mm", sign=NOT_NEGATIVE
    )
    mode: Name | None = optional("front-limit, rear-stop, shift-stroke: of which mode; without it of every mode", "chucker")
    fitting: Name | None = optional("fitting: which one", "guide plate")
    length: Exact | None = optional("fitting: its length after the exchange (0 in: removed)", "1/4 in", "6 mm", sign=NOT_NEGATIVE)
    cost: Price | None = optional("cost now, in the currency of [prices]", "180")
    cost_per_year: Price | None = optional("cost per year", "0")
    cost_per_year_per_mm: Price | None = optional("cost per year of each millimetre of it", "14")


class PricesTable(Table):
    """The currency of every price in the job."""

    currency: Name = needed("the currency", "USD", "EUR")


class AsInstalledTable(Table):
    """How the pair was left: the record a return visit is compared with."""

    standoff: Taped = needed("standoff read after anchoring", "11 7/16 in", "290 mm", sign=SIGNED)


class ReturnReadingTable(Table):
    """Something read again on a return visit: a quantity of this file, or a distance between two stations."""

    quantity: Name | None = optional("field of this file that was read again", "loader.pusher_reach")
    start: Name | None = optional("or: station it was read from", "clamp", alias="from")
    end: Name | None = optional("station it was read to, forward", "adapter", alias="to")
    mode: Name | None = optional("mode the pair was in; without it the first", "guide-bushing")
    state: StateName | None = optional("rear limit, front limit, bar change or standing", "rear limit")
    value: Taped = needed("what was read", "12 3/16 in", "310 mm", sign=SIGNED)


class SymptomTable(Table):
    """What is noticed on a return visit."""

    kind: SymptomKind = needed("what is noticed", "remnant-longer")
    mode: Name | None = optional("in which mode; without it the first", "chucker")
    by: Taped | None = optional("by how much (remnant-longer needs it)", "3/4 in", "20 mm")
    only: bool | None = optional("true: in no other mode", "true")


class JobFile(Table):
    """A job file."""

    format: Literal["standoff-job/1"] = needed("the kind of file and its version", FORMAT)
    job: JobTable = needed("the job")
    lathe: LatheTable = needed("the lathe")
    loader: LoaderTable = needed("the bar loader")
    nose: NoseTable = needed("its nose")
    fittings: list[FittingTable] = Field(default=[])
    passage: list[PassageTable] = Field(default=[])
    bar_path: BarPathTable | None = Field(default=None)
    rules: RulesTable | None = Field(default=None)
    check: list[CheckTable] = Field(default=[])
    remedy: list[RemedyTable] = Field(default=[])
    prices: PricesTable | None = Field(default=None)
    as_installed: AsInstalledTable | None = Field(default=None)
    return_reading: list[ReturnReadingTable] = Field(default=[])
    symptom: list[SymptomTable] = Field(default=[])
    bars: list[BarTable] = Field(default=[])
    supports: list[SupportTable] = Field(default=[])
    liners: list[LinerTable] = Field(default=[])
    speed_limits: list[SpeedLimitTable] = Field(default=[])
    feed: FeedTable | None = Field(default=None)
    site_checks: list[SiteCheckTable] = Field(default=[])
    bar_rules: BarRulesTable | None = Field(default=None)
    parts: list[PartTable] = Field(default=[])
    cycle: CycleTable | None = Field(default=None)
    stock: StockTable | None = Field(default=None)
    runoff: RunoffTable | None = Field(default=None)
    runoff_runs: list[RunTable] = Field(default=[])
    runoff_alarms: list[RunoffAlarmTable] = Field(default=[])
    runoff_bars: list[RunoffBarTable] = Field(default=[])
    runoff_signals: list[RunoffSignalTable] = Field(default=[])
    frame: FrameTable | None = Field(default=None)
    feet: list[FootTable] = Field(default=[])
    side_screws: list[SideScrewTable] = Field(default=[])
    brackets: list[BracketTable] = Field(default=[])
    sweeps: list[SweepTable] = Field(default=[])
    reference_lines: list[ReferenceLineTable] = Field(default=[])
    line_readings: list[LineReadingTable] = Field(default=[])
    levels: list[LevelTable] = Field(default=[])
    level_rounds: list[LevelRoundTable] = Field(default=[])
    level_tolerances: LevelTolerancesTable | None = Field(default=None)
    floor: FloorTable | None = Field(default=None)
    floor_items: list[FloorItemTable] = Field(default=[])
    floor_doors: list[FloorDoorTable] = Field(default=[])
    keep_outs: list[KeepOutTable] = Field(default=[])
    working_spaces: list[WorkingSpaceTable] = Field(default=[])
    slab_joints: list[SlabJointTable] = Field(default=[])
    floor_loads: list[FloorLoadTable] = Field(default=[])
    markout: MarkoutTable | None = Field(default=None)
    reference_points: list[ReferencePointTable] = Field(default=[])
    holes: list[HoleTable] = Field(default=[])


def surveyed(draft: BaseModel) -> Iterator[tuple[str, tuple[Reading, ...]]]:
    """The quantities the layout is made of, by field path."""
    for key in SURVEYED:
        yield from _flat_value(getattr(draft, key), key)


def flat(table: BaseModel, prefix: str = "") -> Iterator[tuple[str, tuple[Reading, ...]]]:
    """Every quantity of a draft by its field path."""
    for key, attribute, _ in keys(type(table)):
        yield from _flat_value(getattr(table, attribute), f"{prefix}.{key}" if prefix else key)


def _flat_value(value: object, path: str) -> Iterator[tuple[str, tuple[Reading, ...]]]:
    if isinstance(value, BaseModel):
        yield from flat(value, path)
    elif isinstance(value, list):
        for i, element in enumerate(value):
            yield from _flat_value(element, f"{path}[{i}]")
    elif isinstance(value, tuple):
        yield path, value


def default_readings() -> dict[str, tuple[Reading, ...]]:
    """The readings of the rules a job does not state, by field path; exact, as typed in the declaration."""
    tables: dict[str, type[Table]] = {"rules": RulesTable, "loader": LoaderTable, "bar_path": BarPathTable}
    return {
        f"{name}.{key}": read_quantity(text, default_source=None)
        for name, table in tables.items()
        for key, field in table.model_fields.items()
        if (text := extra(field).get("default_text")) is not None
    }
