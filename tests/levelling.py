"""A job whose loader is levelled, in round figures; every mistake that can be made in these tables; and answers read off them.

The sliding job with the clamp 300 mm behind the adapter, so that a place b behind the clamp lies at x = -300 - b. As read, the
loader's axis is 0.30 mm high at the clamp and 0.10 mm low 2 m behind it, 0.20 mm left at both, and its left side is up 0.5 mm/m:

    pitch 0.40 / 2 = 0.2 mm/m, lift at x = 0 0.30 + 0.2 * 0.3 = 0.36 mm, shift 0.20 mm, yaw 0, roll 0.5 mm/m
"""

from __future__ import annotations

import re
from collections.abc import Mapping

from standoff.job.file import parse_job
from standoff.job.levels import Level, Round, level_of
from standoff.job.placement import place
from tests.texts import SLIDING, altered

Changes = Mapping[str, str | None]

FRAME = """
[frame]
axis_height = "1040 mm"

[[feet]]
name = "front left"
behind_clamp = "200 mm"
left = "360 mm"
up = "12 mm"
down = "6 mm"

[[feet]]
name = "front right"
behind_clamp = "200 mm"
left = "-360 mm"

[[feet]]
name = "rear left"
behind_clamp = "4200 mm"
left = "360 mm"

[[feet]]
name = "rear right"
behind_clamp = "4200 mm"
left = "-360 mm"

[[side_screws]]
name = "front screws"
behind_clamp = "200 mm"
left = "8 mm"
right = "8 mm"

[[side_screws]]
name = "rear screws"
behind_clamp = "4200 mm"

[[brackets]]
name = "long bracket"
sag = "0.10 mm"

[[brackets]]
name = "short bracket"
sag = "0.10 mm"
"""

FOUND = """
[[level_rounds]]
round = 1
feet_bear = true
standoff = "300 mm"
"""

READ = """
[[levels]]
way = "across"
reading = "0.6 mm/m"
turned = "-0.4 mm/m"

[[sweeps]]
name = "clamp bore"
surface = "bore"
behind_clamp = "0 mm"
top = "0 mm"
left = "0.15 mm"
bottom = "0.70 mm"
right = "0.55 mm"
bracket = "short bracket"

[[sweeps]]
name = "channel bore"
surface = "bore"
behind_clamp = "2000 mm"
top = "0.10 mm"
left = "-0.15 mm"
bottom = "0 mm"
right = "0.25 mm"
bracket = "long bracket"
"""

ENDS = """
[[sweeps]]
surface = "bore"
behind_clamp = "0 mm"
top = "0 mm"
left = "0.15 mm"
bottom = "0.70 mm"
right = "0.55 mm"
bracket = "short bracket"
headstock = "front limit"

[[sweeps]]
surface = "bore"
behind_clamp = "0 mm"
top = "0 mm"
left = "0.15 mm"
bottom = "0.768 mm"
right = "0.55 mm"
bracket = "short bracket"
loader = "shifted"
"""
"""The clamp bore of `READ` at the other end of both travels: neither headstock nor loader climbs or wanders."""

WIRE = """
[[reference_lines]]
name = "wire"
kind = "wire"
rear_set = "25 mm"
front_set = "625 mm"
rear_end = "4700 mm"
front_end = "1000 mm"
note = "40 Hz"

[[line_readings]]
line = "wire"
behind_clamp = "4400 mm"
above = "0 mm"
left = "0.2 mm"
"""

FLAT = '\n[[levels]]\nway = "across"\nreading = "0 mm/m"\nturned = "0 mm/m"\n\n'
"""A level that shows no roll."""


def _still(behind_clamp: str, bracket: str, more: str = "") -> str:
    """A sweep that finds the axis at the right height and 0.05 mm left, with the bracket's sag."""
    return f"""
[[sweeps]]
surface = "bore"
behind_clamp = "{behind_clamp}"
top = "0 mm"
left = "0 mm"
bottom = "0.10 mm"
right = "0.10 mm"
bracket = "{bracket}"
{more}"""


STILL = f"""
[[levels]]
way = "across"
reading = "0.1 mm/m"
turned = "-0.1 mm/m"
{_still("0 mm", "short bracket")}{_still("4000 mm", "long bracket")}"""
"""Round figures of a loader in line: at the right height, 0.05 mm left, rolled 0.1 mm/m."""

STILL_ENDS = "".join(
    _still("0 mm", "short bracket", f"{stood}\n") for stood in ('headstock = "front limit"', 'loader = "shifted"')
)
"""The clamp bore of `STILL` at the other end of both travels."""

LIFTED = STILL.replace('top = "0 mm"', 'top = "-0.10 mm"', 1).replace('bottom = "0.10 mm"', 'bottom = "0.20 mm"', 1)
"""The same with the clamp 0.10 mm higher."""

LEVELLED = SLIDING + FRAME + FOUND + READ

MISTAKES: tuple[tuple[str, Changes, str], ...] = (
    ("name-twice", {"feet[1].name": '"front left"'}, "feet[1].name"),
    ("name-twice", {"side_screws[0].name": '"front left"'}, "side_screws[0].name"),
    ("name-twice", {"side_screws[1].name": '"front screws"'}, "side_screws[1].name"),
    (
        "frame-shape",
        {
            "feet[0].behind_clamp": '"900 mm"',
            "feet[0].left": '"-360 mm"',
            "feet[2].behind_clamp": '"2 m"',
            "feet[2].left": '"-360 mm"',
        },
        "feet",
    ),
    ("place-twice", {"feet[1].left": '"360 mm"'}, "feet[1].behind_clamp"),
    ("frame-shape", {"side_screws[1].behind_clamp": '"200 mm"'}, "side_screws"),
    ("key-missing", {"frame.axis_height": None, "lathe.centre_height": None}, "feet"),
    ("key-missing", {"feet[2].behind_clamp": None}, "feet[2].behind_clamp"),
    ("value-sign", {"feet[0].up": '"-1 mm"'}, "feet[0].up"),
    ("value-sign", {"frame.shim_step": '"0 mm"'}, "frame.shim_step"),
    ("value-sign", {"brackets[0].sag": '"-0.1 mm"'}, "brackets[0].sag"),
    ("said-twice", {"sweeps[0].top": '["0 mm", "0.01 mm"]'}, "sweeps[0].top"),
    ("said-twice", {"frame.axis_height": '["1050 mm", "1051 mm"]'}, "frame.axis_height"),
    ("instrument-unknown", {"sweeps[1].bracket": '"long brackett"'}, "sweeps[1].bracket"),
    ("instrument-unknown", {"line_readings[0].line": '"beam"'}, "line_readings[0].line"),
    ("key-missing", {"sweeps[0].behind_clamp": None}, "sweeps[0].behind_clamp"),
    ("key-missing", {"sweeps[0].surface": '"face"', "sweeps[0].behind_clamp": None}, "sweeps[0].circle"),
    ("reading-kind", {"sweeps[0].circle": '"150 mm"'}, "sweeps[0].circle"),
    ("reading-kind", {"line_readings[0].headstock": '"front limit"'}, "line_readings[0].headstock"),
    (
        "reading-kind",
        {"reference_lines[0].headstock": '"front limit"', "line_readings[0].headstock": '"rear limit"'},
        "line_readings[0].headstock",
    ),
    ("mode-unknown", {"reference_lines[0].mode": '"turning"'}, "reference_lines[0].mode"),
    ("reading-kind", {"sweeps[0].surface": '"face"', "sweeps[0].circle": '"150 mm"'}, "sweeps[0].behind_clamp"),
    ("reading-exact", {"sweeps[0].within": '"0 mm"'}, "sweeps[0].within"),
    ("reading-exact", {"line_readings[0].within": '"0 mm"'}, "line_readings[0].within"),
    ("value-sign", {"sweeps[0].within": '"-0.01 mm"'}, "sweeps[0].within"),
    ("mode-unknown", {"sweeps[0].mode": '"turning"'}, "sweeps[0].mode"),
    ("reading-kind", {"sweeps[0].loader": '"shifted"', "lathe.modes[1].loader_shift": None}, "sweeps[0].loader"),
    ("value-choice", {"sweeps[0].headstock": '"front"'}, "sweeps[0].headstock"),
    ("value-kind", {"sweeps[0].round": "0"}, "sweeps[0].round"),
    ("value-kind", {"sweeps[0].round": '"2"'}, "sweeps[0].round"),
    ("length-without-unit", {"sweeps[0].top": '"0"'}, "sweeps[0].top"),
    ("length-without-unit", {"sweeps[0].top": "0.02"}, "sweeps[0].top"),
    ("magnitude-without-unit", {"levels[0].reading": '"0.6"'}, "levels[0].reading"),
    ("magnitude-unit", {"levels[0].reading": '"0.6 deg"'}, "levels[0].reading"),
    ("key-missing", {"levels[0].way": '"along"', "levels[0].turned": None}, "levels[0].spindle"),
    ("reading-kind", {"levels[0].spindle": '"0.1 mm/m"'}, "levels[0].spindle"),
    ("value-sign", {"levels[0].within": '"0 mm/m"'}, "levels[0].within"),
    ("value-sign", {"levels[0].within": '"-0.02 mm/m"'}, "levels[0].within"),
    ("range-reversed", {"reference_lines[0].rear_set": '"625 mm"'}, "reference_lines[0].front_set"),
    ("off-the-wire", {"reference_lines[0].front_end": '"600 mm"'}, "reference_lines[0].front_set"),
    ("off-the-wire", {"line_readings[0].behind_clamp": '"4701 mm"'}, "line_readings[0].behind_clamp"),
    ("key-missing", {"reference_lines[0].rear_end": None}, "reference_lines[0].rear_end"),
    ("key-missing", {"reference_lines[0].note": None}, "reference_lines[0].note"),
    (
        "key-missing",
        {"reference_lines[0].note": None, "reference_lines[0].tension": '"200 N"'},
        "reference_lines[0].wire_diameter",
    ),
    ("said-twice", {"reference_lines[0].sag": '"0.2 mm"'}, "reference_lines[0].sag"),
    ("magnitude-zero", {"reference_lines[0].note": '"0 Hz"'}, "reference_lines[0].note"),
    ("key-missing", {"line_readings[0].above": None, "line_readings[0].left": None}, "line_readings[0].above"),
    ("said-twice", {"level_rounds[1].round": "1"}, "level_rounds[1].round"),
    ("value-sign", {"level_tolerances.roll": '"0 mm/m"'}, "level_tolerances.roll"),
    ("value-sign", {"level_tolerances.axis": '"-0.2 mm"'}, "level_tolerances.axis"),
    ("key-unknown", {"level_tolerances.yaw": '"0.5 mm/m"'}, "level_tolerances.yaw"),
)
"""Code, the keys that provoke it in `IN_FULL`, and the field it names."""

IN_FULL = (
    LEVELLED
    + WIRE
    + """
[[level_rounds]]
round = 2
stage = "moved"

[level_tolerances]
spindle = "0.1 mm"
axis = "0.25 mm"
roll = "0.5 mm/m"
"""
)


def levelled(text: str = LEVELLED, changes: Changes | None = None, *, more: str = "") -> Level:
    """The answer to a job's text with these keys changed and these tables added."""
    return level_of(place(parse_job(altered(text, changes or {}, more=more))))


def unbracketed(text: str) -> str:
    """The text with sweeps that do not say what carried the indicator."""
    return re.sub(r'^bracket = ".*"\n', "", text, flags=re.MULTILINE)


def swept(behind_mm: float, high_mm: float, more: str = "", *, left_mm: float = 0.0) -> str:
    """A sweep of a bore that lies so high and so far left, with the bracket of its reach, and what else is said of it."""
    carried = "short bracket" if behind_mm < 500.0 else "long bracket"
    return (
        f'[[sweeps]]\nsurface = "bore"\nbehind_clamp = "{behind_mm} mm"\nbracket = "{carried}"\n{more}'
        f'top = "{-high_mm - 0.05:.4f} mm"\nbottom = "{high_mm + 0.05:.4f} mm"\n'
        f'left = "{-left_mm:.4f} mm"\nright = "{left_mm:.4f} mm"\n\n'
    )


def last(found: Level) -> Round:
    """The round that counts; there has to be one."""
    assert found.last is not None
    return found.last


def round_of(number: int, readings: str, *, told: str = "") -> str:
    """Readings as those of one round, with what was done before it."""
    head = f"[[level_rounds]]\nround = {number}\n{told}\n"
    for header in ("[[levels]]", "[[sweeps]]", "[[line_readings]]"):
        readings = readings.replace(f"{header}\n", f"{header}\nround = {number}\n")
    return f"{head}{readings}"
