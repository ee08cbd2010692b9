"""A job file to fill in, every key explained: written from the declaration of the tables, so that it cannot fall behind it."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Literal

from pydantic import BaseModel

from standoff.job.bar_tables import BarRulesTable, BarTable, FeedTable, LinerTable, SiteCheckTable, SpeedLimitTable, SupportTable
from standoff.job.checks import KEYS_OF_KIND
from standoff.job.field import Kind, kind_of
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
from standoff.job.keys import extra, keys
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
from standoff.job.tables import (
    FORMAT,
    BarPathTable,
    FittingTable,
    JobTable,
    LatheTable,
    LoaderTable,
    ModeTable,
    NoseTable,
    PassageTable,
    PricesTable,
    RulesTable,
)
from standoff.units import Units

Headstock = Literal["sliding", "fixed"]

_HEAD = """\
# A job file: one lathe, one bar loader. Fill in your own figures; every one below is an example.
# Lengths are typed as read: "22 in", "12 ft 6 1/2 in", "558.8 mm". How one was read may be added:
#   { value = "22 in", source = "tape" }   sources: tape, sighted, rule, caliper, laser, control, manual, drawing, estimate
#   "8 in ± 1/16 in"                       or with limits of error of your own
# A line that begins with # is optional: remove the # to use it. The makers' manuals win over every default.
"""


@dataclass(frozen=True, slots=True)
class _Sample:
    """One table as the template shows it: values other than the declared examples, keys that do not go with those shown."""

    header: str
    table: type[BaseModel]
    chosen: Mapping[str, str] = field(default_factory=dict)
    without: Collection[str] = ()
    optional: bool = True
    about: str = ""

    def kind_of(self, key: str) -> Kind:
        """What a key of the table takes."""
        name = self.header.strip("[]")
        return kind_of(f"{name}[0].{key}" if self.header.startswith("[[") else f"{name}.{key}")


def template(headstock: Headstock, units: Units) -> str:
    """The text of a job file with examples for that kind of headstock, in inches or millimetres."""
    blocks = [_HEAD, f'format = "{FORMAT}"\n']
    for sample in (
        *_pair(headstock, units),
        *_turning(headstock, units),
        *_making(headstock, units),
        *_levelling(headstock, units),
        *_standing(inches=units == "in"),
        *_marking(inches=units == "in"),
    ):
        mark = "# " if sample.optional else ""
        about = sample.about or (sample.table.__doc__ or "").split("\n")[0]
        lines = [f"# {about}", f"{mark}{sample.header}", *_lines(sample, units)]
        blocks.append("\n".join(lines) + "\n")
    return "\n".join(blocks)


def _pair(headstock: Headstock, units: Units) -> Iterator[_Sample]:
    """Lathe, loader, nose, and what is between them."""
    kind = "telescopic" if headstock == "sliding" else "fixed"
    other = [key for name, its in KEYS_OF_KIND.items() if name != kind for key in its]
    yield _Sample("[job]", JobTable, {"units": units}, optional=False)
    sliding = headstock == "sliding"
    yield _Sample("[lathe]", LatheTable, {"headstock": headstock}, () if sliding else ("z_forward",), optional=False)
    if sliding:
        yield _Sample("[[lathe.modes]]", ModeTable, optional=False)
    yield _Sample("[loader]", LoaderTable, optional=False)
    yield _Sample("[nose]", NoseTable, {"kind": kind}, other, optional=False)
    yield _Sample("[[fittings]]", FittingTable)
    yield _Sample("[[passage]]", PassageTable)
    yield _Sample("[bar_path]", BarPathTable)
    yield _Sample("[rules]", RulesTable)


def _turning(headstock: Headstock, units: Units) -> Iterator[_Sample]:
    """What bar speed needs besides. A speed and a straightness can be said in two ways: each headstock shows one."""
    sliding, inches = headstock == "sliding", units == "in"
    bar = {"name": "1 in stainless", "size": "1 in"} if inches else {"name": "25 mm stainless", "size": "25 mm"}
    by_speed, by_standard = ("cutting_speed", "turned_diameter"), ("straightness_standard", "straightness_group")
    without = (*by_speed, *by_standard) if sliding else ("speed", "straightness")
    yield _Sample("[[bars]]", BarTable, {**bar, "material": "stainless 304"}, without)
    yield from _supports(sliding=sliding, inches=inches)
    yield _Sample("[[liners]]", LinerTable, {"name": "liner 36 mm", "bore": "36 mm"})
    mode = ("mode",)
    yield _Sample("[[speed_limits]]", SpeedLimitTable, without=mode)
    if sliding:
        bushing = {"of": "guide bushing", "speed": "5000 rpm", "mode": "guide-bushing"}
        yield _Sample("[[speed_limits]]", SpeedLimitTable, bushing, about="Once for each maker's limit.")
    yield _Sample("[feed]", FeedTable)
    named = {"bar": bar["name"]}
    yield _Sample("[[site_checks]]", SiteCheckTable, named, ("frequency", "length", *mode))
    tap = {**named, "kind": "tap", "frequency": "60 Hz", "mode": "guide-bushing"}
    about = "A tap test makes the model's stiffnesses those of this machine."
    yield _Sample("[[site_checks]]", SiteCheckTable, tap, ("sag",) if sliding else ("sag", *mode), about=about)
    yield _Sample("[bar_rules]", BarRulesTable)


def _making(headstock: Headstock, units: Units) -> Iterator[_Sample]:
    """What is made, how a bar runs through, and what it costs. Of two ways of saying one thing each headstock shows one."""
    sliding = headstock == "sliding"
    bar = {"bar": "1 in stainless" if units == "in" else "25 mm stainless"}
    yield _Sample("[[parts]]", PartTable, {**bar, "mode": "guide-bushing"}, () if sliding else ("mode", "z_last_cut"))
    yield _Sample("[cycle]", CycleTable, {} if sliding else {"feed_stop": "stop"})
    yield _Sample("[prices]", PricesTable)
    without = ("price_per_bar", "bars_in_magazine") if sliding else ("price_per_kg", "magazine_width")
    yield _Sample("[stock]", StockTable, without=without)


def _supports(*, sliding: bool, inches: bool) -> Iterator[_Sample]:
    """What holds the bar, from the front backwards."""
    of_tubes = ("bore", "spacing", "flooded")
    collet = {"stiffness": "50 kN/mm", "ahead": "3 1/4 in" if inches else "80 mm"}
    yield _Sample("[[supports]]", SupportTable, collet, (*of_tubes, "mode"))
    if sliding:
        bushing = {"name": "guide bushing", "kind": "guide-bushing", "station": "cut-off", "stiffness": "20 kN/mm"}
        bushing["mode"] = "guide-bushing"
        place = {"ahead": "-1/8 in", "length": "1 1/8 in"} if inches else {"ahead": "-3 mm", "length": "28 mm"}
        yield _Sample("[[supports]]", SupportTable, {**bushing, **place}, of_tubes, about="The next one.")
    channel = {"name": "channel", "kind": "channel", "station": "clamp"}
    place = {"ahead": "-1 in", "length": "12 ft 6 in"} if inches else {"ahead": "-25 mm", "length": "3.8 m"}
    yield _Sample("[[supports]]", SupportTable, {**channel, **place}, ("mode",), about="The last one, behind the nose clamp.")


def _levelling(headstock: Headstock, units: Units) -> Iterator[_Sample]:
    """Feet, instruments and a first round of readings. Of the ways to tell a wire's sag each headstock shows its own."""
    sliding, inches = headstock == "sliding", units == "in"
    yield _Sample("[frame]", FrameTable)
    yield _Sample("[[feet]]", FootTable)
    right, rear = ("-14 in", "13 ft") if inches else ("-355 mm", "4 m")
    for name, place in (("front right", {"left": right}), ("rear left", {"behind_clamp": rear})):
        yield _Sample("[[feet]]", FootTable, {"name": name, **place}, about="The next one.")
    yield _Sample("[[feet]]", FootTable, {"name": "rear right", "left": right, "behind_clamp": rear}, about="The last one.")
    yield _Sample("[[side_screws]]", SideScrewTable)
    yield _Sample("[[side_screws]]", SideScrewTable, {"name": "rear screws", "behind_clamp": rear}, about="At the other end.")
    yield _Sample("[[brackets]]", BracketTable)
    pulled = ("tension", "wire_diameter", "wire_density")
    placed = {"mode": "guide-bushing"}
    still = () if sliding else ("headstock", "loader", "mode")
    set_back = {**placed, "headstock": "rear limit"}
    hung = (*pulled, "sag") if sliding else ("note", "sag")
    yield _Sample("[[reference_lines]]", ReferenceLineTable, set_back, (*hung, *still))
    other, hung = {**set_back, "name": "second wire"}, ("note", *pulled)
    yield _Sample("[[reference_lines]]", ReferenceLineTable, other, (*hung, *still), about="A wire whose sag was measured.")
    yield _Sample("[[levels]]", LevelTable, without=("spindle",), about="A level laid across, read both ways round.")
    yield _Sample(
        "[[levels]]", LevelTable, {"way": "along"}, ("turned",), about="A level laid along, on the loader and the spindle."
    )
    yield _Sample("[[sweeps]]", SweepTable, placed, ("circle", *still))
    # The face leans as the level laid along says: examples that contradict one another would teach nothing.
    shown = ("0 in", "0.0010 in", "0.0025 in", "0.0015 in") if inches else ("0 mm", "0.03 mm", "0.06 mm", "0.04 mm")
    face = {"surface": "face", "name": "clamp face", **dict(zip(("top", "left", "bottom", "right"), shown, strict=True))}
    yield _Sample("[[sweeps]]", SweepTable, {**placed, **face}, ("behind_clamp", *still), about="A sweep of a face.")
    yield _Sample("[[line_readings]]", LineReadingTable, set_back, still)
    yield _Sample("[[level_rounds]]", LevelRoundTable, {"round": "1", "stage": "as found"})
    yield _Sample("[level_tolerances]", LevelTolerancesTable)


def _standing(*, inches: bool) -> Iterator[_Sample]:
    """What stands on the floor and what must stay free. A loader and a lathe have their lengths from the survey."""
    wide = {"left": "14 in", "right": "40 in"} if inches else {"left": "350 mm", "right": "1000 mm"}
    lathe = (
        {"left": "38 in", "right": "30 in", "ahead": "8 ft"}
        if inches
        else {"left": "960 mm", "right": "760 mm", "ahead": "2.4 m"}
    )
    more = ("carrier", "shifts", "from_floor", "height", "keeps", "behind")
    stand = {"name": "loader's front stand", "kind": "other", "carrier": "loader", **wide}
    stand |= (
        {"behind": "40 in", "ahead": "-30 in", "height": "28 in"}
        if inches
        else {"behind": "1 m", "ahead": "-750 mm", "height": "700 mm"}
    )
    yield _Sample("[floor]", FloorTable)
    yield _Sample("[[floor_items]]", FloorItemTable, {"name": "loader", "kind": "loader", **wide}, (*more, "ahead"))
    about = "The lathe: it begins at the cover's outer face."
    yield _Sample("[[floor_items]]", FloorItemTable, {"name": "lathe", "kind": "lathe", **lathe}, more, about=about)
    about = "Once for each thing that stands near: cabinets, tanks, transformers, walls, columns, aisles."
    yield _Sample("[[floor_items]]", FloorItemTable, without=("shifts",), about=about)
    about = "What stands with the loader, told from its clamp face."
    yield _Sample("[[floor_items]]", FloorItemTable, stand, ("from_floor", "keeps"), about=about)
    yield _Sample("[[floor_doors]]", FloorDoorTable)
    yield _Sample("[[keep_outs]]", KeepOutTable, without=("left", "right"))
    drawn = {"name": "drawing the pusher out", "reason": "pusher exchange", "item": "loader", "side": "behind"}
    about = "A part that is drawn out: as deep as it is long."
    yield _Sample("[[keep_outs]]", KeepOutTable, drawn, ("behind", "ahead"), about=about)
    yield _Sample("[[working_spaces]]", WorkingSpaceTable, without=("depth",))
    about = "Where local code says a depth."
    yield _Sample("[[working_spaces]]", WorkingSpaceTable, without=("voltage", "facing"), about=about)
    yield _Sample("[[slab_joints]]", SlabJointTable)


def _marking(*, inches: bool) -> Iterator[_Sample]:
    """What the loader weighs on its feet, and how its places are marked out."""
    yield _Sample("[[floor_loads]]", FloorLoadTable, without=("shifts", "comes_and_goes"))
    bars = {"name": "bars on the magazine", "mass": "800 lb" if inches else "360 kg", "left": "-25 in" if inches else "-640 mm"}
    yield _Sample("[[floor_loads]]", FloorLoadTable, bars, about="What comes and goes is reckoned with and without.")
    yield _Sample("[markout]", MarkoutTable)
    yield _Sample("[[reference_points]]", ReferencePointTable)
    other = {"name": "lathe's right foot", "left": "-35 in" if inches else "-890 mm"}
    yield _Sample("[[reference_points]]", ReferencePointTable, other, about="Two at least, far apart.")
    yield _Sample("[[holes]]", HoleTable)


_BLANK = """\
format = "{format}"

[job]

[lathe]
{modes}
[loader]

[nose]
"""


def blank(headstock: Headstock) -> str:
    """The text of a job file without a value: only the tables in which they will stand."""
    return _BLANK.format(format=FORMAT, modes="\n[[lathe.modes]]\n" if headstock == "sliding" else "")


def _lines(sample: _Sample, units: Units) -> Iterator[str]:
    for key, _, declared in keys(sample.table):
        said = extra(declared)
        if not said or key in sample.without:
            continue
        needed = said.get("required") or key == "z_forward" or any(key in its for its in _own_lengths(sample))
        example = sample.chosen.get(key) or _example(said["examples"], units)
        bare = example.startswith("[") or sample.kind_of(key) in (Kind.NUMBER, Kind.FLAG)
        value = example if bare else f'"{example}"'
        mark = "" if needed and not sample.optional else "# "
        yield f"{mark}{key} = {value}".ljust(42) + f"  # {declared.description}"


def _own_lengths(sample: _Sample) -> Collection[Collection[str]]:
    """The lengths that a nose must have."""
    return KEYS_OF_KIND.values() if sample.table is NoseTable else ()


def _example(examples: tuple[str, ...], units: Units) -> str:
    """The example in the wanted units; a rule's default comes first and serves both."""
    metric = (" mm", " m", 'mm"]', " kg", " m/min", " mm/m")
    return next((e for e in examples if units == "mm" and e.endswith(metric)), examples[0])
