"""The tests' job files with bars that turn in them, in round figures; and every mistake that can be made in these tables.

With the standoff at 300 mm the sliding job's places along the axis are, z being the headstock's travel and s the loader's shift:
cut-off 190 + 600 + 320 = 1110, back of the collet z + 600, clamp s - 300, pusher's tip at its forward limit s + 820.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache

from standoff.job.bars import Bar, bars_of
from standoff.job.demonstration import text_of
from standoff.job.file import parse_job
from standoff.job.job import Job
from standoff.job.placement import Placement, place
from standoff.job.spans import Spans, spans, turning_states
from standoff.job.speed import BarSpeed, SpeedAnswer, bar_speed
from standoff.model.state import State
from tests.texts import FIXED, SLIDING, altered

Changes = Mapping[str, str | None]

STANDOFF_MM = 300.0

PUSHER: dict[str, str | None] = {
    "bar_path.pusher_mass": '"0.9 kg"',
    "bar_path.collet_takes": '"18 mm"',
    "bar_path.insertion": '"40 mm"',
}

BARS = """
[[bars]]
name = "16 mm steel"
shape = "round"
size = "16 mm"
material = "steel"
straightness = "1 mm"
speed = "800 rpm"
"""

SUPPORTS = """
[[supports]]
name = "guide bushing"
kind = "guide-bushing"
station = "cut-off"
ahead = "-5 mm"
length = "30 mm"
mode = "guide-bushing"

[[supports]]
name = "main collet"
kind = "collet"
station = "main-collet"
ahead = "80 mm"
length = "40 mm"

[[supports]]
name = "rest in the nose"
kind = "rest"
station = "clamp"
ahead = "250 mm"

[[supports]]
name = "channel"
kind = "channel"
station = "clamp"
ahead = "-20 mm"
length = "3800 mm"
bore = "32 mm"
"""

LIMITS = """
[[liners]]
name = "liner 30 mm"
bore = "30 mm"
speed_limit = "5000 rpm"

[[speed_limits]]
of = "lathe"
speed = "8000 rpm"

[[speed_limits]]
of = "guide bushing"
speed = "6000 rpm"
mode = "guide-bushing"

[feed]
pre_feed = "20 N"
insertion = "60 N"
hold = "30 N"
pull_out = "80 N"
set_force = "90 N"
"""

TURNING = altered(SLIDING, PUSHER, more=BARS + SUPPORTS + LIMITS)
"""Two modes, one bar, four supports."""

CHECKS = """
[[site_checks]]
kind = "sag"
bar = "16 mm steel"
sag = ["1.3 mm", "0.9 mm", "0.7 mm", "1.1 mm"]

[[site_checks]]
kind = "tap"
bar = "16 mm steel"
frequency = "34 Hz"
length = "2700 mm"
"""

STANDING = (
    FIXED
    + """
[bar_path]
pusher_od = "36 mm"
pusher_collet_od = "38 mm"
running_clearance = "1 mm"
pusher_mass = "3 kg"

[[bars]]
name = "30 mm brass"
shape = "round"
size = "30 mm"
material = "brass C36000"

[[supports]]
name = "main collet"
kind = "collet"
station = "main-collet"
ahead = "100 mm"
length = "50 mm"

[[supports]]
name = "channel"
kind = "channel"
station = "clamp"
length = "3700 mm"
bore = "45 mm"
"""
)
"""A fixed headstock whose cut-off plane is not stated: the bar's front face is taken at the collet's front end."""


def sag(*readings: str) -> str:
    """A sag of the bar, as a table."""
    return f'[[site_checks]]\nkind = "sag"\nbar = "16 mm steel"\nsag = [{", ".join(f"{r!r}" for r in readings)}]\n'


def tap(frequency: str, *more: str) -> str:
    """A tap test of the bar with 2700 mm of it left, as a table."""
    told = [f'frequency = "{frequency}"', 'length = "2700 mm"', *more]
    return "\n".join(['[[site_checks]]\nkind = "tap"\nbar = "16 mm steel"', *told]) + "\n"


@cache
def job_of(text: str) -> Job:
    """The job of a text."""
    return parse_job(text)


def first_bar(text: str = TURNING) -> Bar:
    """The first bar of a text."""
    return bars_of(job_of(text))[0]


def state_of(job: Job, mode: str, name: str) -> State:
    """A state of a job by its mode and name."""
    return next(state for state in turning_states(job) if (state.mode, state.name) == (mode, name))


def spans_of(
    text: str = TURNING, mode: str = "guide-bushing", name: str = "front limit", *, standoff_mm: float = STANDOFF_MM
) -> Spans:
    """What holds the first bar of a text in a state."""
    job = job_of(text)
    return spans(job, bars_of(job)[0], state_of(job, mode, name), standoff_mm=standoff_mm, cut_mm=0.0)


@cache
def placed(text: str = TURNING) -> Placement:
    """The placement of a text at the tests' standoff."""
    return place(job_of(text), asked_mm=STANDOFF_MM)


@cache
def speeds(text: str = TURNING) -> Sequence[BarSpeed]:
    """What is said of every bar of a text."""
    return bar_speed(placed(text)).bars


@cache
def demonstrated(name: str) -> SpeedAnswer:
    """The bar speeds of a demonstration job, at the standoff aimed at."""
    return bar_speed(place(job_of(text_of(name))))


def speed_of_first(changes: Changes | None = None, *, text: str = TURNING, more: str = "") -> BarSpeed:
    """What is said of the first bar, with these keys changed."""
    return speeds(altered(text, changes or {}, more=more))[0]


# Code -> the keys of the sliding job with bars that provoke it, the field it names, and tables that have to be there besides.
BAR_MISTAKES: dict[str, tuple[Changes, str, str]] = {
    "magnitude-form": ({"bar_path.pusher_mass": "0.9"}, "bar_path.pusher_mass", ""),
    "magnitude-number": ({"feed.hold": '"-30 N"'}, "feed.hold", ""),
    "magnitude-without-unit": ({"feed.hold": '"40"'}, "feed.hold", ""),
    "magnitude-unit": ({"bars[0].speed": '"800 RPM"'}, "bars[0].speed", ""),
    "magnitude-comma": ({"speed_limits[0].speed": '"1,200 rpm"'}, "speed_limits[0].speed", ""),
    "magnitude-too-large": ({"supports[1].stiffness": '"2000000 kN/mm"'}, "supports[1].stiffness", ""),
    "magnitude-zero": ({"bars[0].speed": '"0 rpm"'}, "bars[0].speed", ""),
    "material-unknown": ({"bars[0].material": '"steal"'}, "bars[0].material", ""),
    "turned-thicker": ({"bars[0].end_turned_to": '"90 mm"'}, "bars[0].end_turned_to", ""),
    "speed-twice": ({"bars[0].cutting_speed": '"120 m/min"', "bars[0].turned_diameter": '"12 mm"'}, "bars[0].speed", ""),
    "speed-incomplete": ({"bars[0].speed": None, "bars[0].cutting_speed": '"120 m/min"'}, "bars[0].turned_diameter", ""),
    "straightness-twice": (
        {"bars[0].straightness_standard": '"EN 10278:1999"', "bars[0].straightness_group": '"carbon below 0.25 %"'},
        "bars[0].straightness",
        "",
    ),
    "straightness-incomplete": (
        {"bars[0].straightness": None, "bars[0].straightness_standard": '"EN 10278:1999"'},
        "bars[0].straightness_group",
        "",
    ),
    "bar-unknown": ({}, "site_checks[0].bar", sag("1 mm").replace("16 mm steel", "16 mm steal")),
    "channel-short": ({"supports[3].length": '"3659 mm"'}, "supports[3].length", ""),
    "share-range": ({}, "bar_rules.whip_share", "[bar_rules]\nwhip_share = 0.9\n"),
    "support-kind": ({"supports[1].bore": '"20 mm"'}, "supports[1].bore", ""),
    "site-check": ({}, "site_checks[0].frequency", '[[site_checks]]\nkind = "tap"\nbar = "16 mm steel"\nlength = "2 m"\n'),
}


PARTS = (
    SLIDING
    + BARS
    + """
[[parts]]
name = "pin"
bar = "16 mm steel"
mode = "guide-bushing"
length = "57 mm"
cut_off_width = "3 mm"
facing = "1 mm"
seconds = "75 s"
per_order = 500
per_year = 12000
z_last_cut = "180 mm"

[[parts]]
name = "hub"
bar = "16 mm steel"
mode = "chucker"
length = "57 mm"
cut_off_width = "3 mm"
picked_off = true

[cycle]
feed_stop = "stop"
ejection = "out of the front"
loaded_behind_clamp = "3700 mm"
into_collet = "0 mm"
gripped_at_least = "20 mm"
longest_remnant = "400 mm"
bar_change = "40 s"

[prices]
currency = "EUR"

[stock]
price_per_kg = 3.4
price_per_hour = 62.0
bars_in_magazine = 24
shortest_to_buy = "2.8 m"
mill_tolerance = "20 mm"
"""
)
"""The sliding job with a part in each mode, a cycle and a stock."""

# Code, the keys of that job that provoke it, and the field it names.
PART_MISTAKES: tuple[tuple[str, Changes, str], ...] = (
    ("name-twice", {"parts[1].name": '"pin"'}, "parts[1].name"),
    ("mode-unknown", {"parts[1].mode": '"turning"'}, "parts[1].mode"),
    ("bar-unknown", {"parts[0].bar": '"16 mm steal"'}, "parts[0].bar"),
    ("magnitude-zero", {"parts[0].seconds": '"0 s"'}, "parts[0].seconds"),
    ("magnitude-zero", {"cycle.bar_change": '"0 s"'}, "cycle.bar_change"),
    ("magnitude-without-unit", {"parts[0].seconds": '"75"'}, "parts[0].seconds"),
    ("value-sign", {"parts[0].length": '"0 mm"'}, "parts[0].length"),
    ("value-sign", {"parts[0].facing": '"-1 mm"'}, "parts[0].facing"),
    ("value-kind", {"parts[0].per_year": "0"}, "parts[0].per_year"),
    ("value-choice", {"cycle.feed_stop": '"tailstock"'}, "cycle.feed_stop"),
    ("cut-too-wide", {"parts[0].cut_off_width": '"58 mm"'}, "parts[0].cut_off_width"),
    ("part-too-long", {"parts[0].length": '"3658 mm"'}, "parts[0].length"),
    ("part-too-long", {"bars[0].length": '"500 mm"', "parts[1].length": '"498 mm"'}, "parts[1].length"),
    ("last-cut-outside", {"parts[0].z_last_cut": '"191 mm"'}, "parts[0].z_last_cut"),
    ("last-cut-outside", {"parts[0].z_last_cut": '"0 mm"'}, "parts[0].z_last_cut"),
    ("past-cut-off", {"lathe.collet_to_cutoff": '"160 mm"'}, "lathe.collet_to_cutoff"),
    ("loaded-ahead", {"cycle.loaded_behind_clamp": '"3019 mm"'}, "cycle.loaded_behind_clamp"),
    ("said-twice", {"stock.price_per_bar": "18.5"}, "stock.price_per_kg"),
    ("said-twice", {"stock.magazine_width": '"460 mm"'}, "stock.magazine_width"),
    ("key-missing", {"prices.currency": None}, "prices.currency"),
    ("key-missing", {"parts[0].length": None}, "parts[0].length"),
    ("key-unknown", {"stock.price_per_ton": "3400"}, "stock.price_per_ton"),
)
