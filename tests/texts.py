"""Job files as texts that tests alter key by key. Round figures, so that what comes out can be worked out by hand."""

from __future__ import annotations

from collections.abc import Mapping

from standoff.errors import JobFileError, Problem
from standoff.job.file import parse_job
from standoff.job.lines import key_lines

SLIDING = """\
format = "standoff-job/1"

[job]
title = "Pedal cell"
site = "bay 6"
units = "mm"

[lathe]
name = "sliding-headstock lathe, 20 mm"
headstock = "sliding"
adapter_to_collet = "600 mm"
cover_to_adapter = "-40 mm"
cover_to_wall = "6700 mm"
collet_to_cutoff = "320 mm"
centre_height = "1050 mm"
z_forward = "positive"

[[lathe.modes]]
name = "guide-bushing"
z_rear = "0 mm"
z_front = "190 mm"
z_bar_change = "110 mm"

[[lathe.modes]]
name = "chucker"
z_rear = "150 mm"
z_front = "350 mm"
loader_shift = "170 mm"

[loader]
name = "12-foot loader, 20 mm"
bar_capacity = "3660 mm"
pusher_reach = "1120 mm"
gripper_behind_clamp = "3020 mm"
body_ahead_of_clamp = "12 mm"
length_behind_clamp = "4600 mm"
centre_height = ["960 mm", "1120 mm"]

[nose]
kind = "telescopic"
collapsed = "220 mm"
extended = "560 mm"
overlap = "32 mm"
may_be_cut = "25 mm"

[[fittings]]
name = "guide plate"
length = "45 mm"

[[passage]]
name = "channel"
bore = "32 mm"

[[passage]]
name = "spindle liner"
bore = "30 mm"

[bar_path]
pusher_od = "20 mm"
pusher_collet_od = "22 mm"
running_clearance = "1 mm"

[rules]
nose_clearance = "6 mm"
nose_clearance_preferred = "12 mm"
bar_margin = "150 mm"
bar_change_setback = "75 mm"
cover_clearance = "25 mm"
rear_service = "900 mm"
setting_uncertainty = "1 mm"
"""
"""Two modes. Nose-room binds at 220 + 45 + 6 + 170 - 150 = 291 (chucker), pusher-reach at 1120 - 190 - 600 = 330."""

FIXED = """\
format = "standoff-job/1"

[job]
title = "Bell cell"
units = "mm"

[lathe]
name = "fixed-headstock lathe, 42 mm"
headstock = "fixed"
adapter_to_collet = "800 mm"

[loader]
name = "12-foot loader, 42 mm"
bar_capacity = "3660 mm"
pusher_reach = "1200 mm"
gripper_behind_clamp = "3100 mm"

[nose]
kind = "fixed"
length = "400 mm"
may_be_cut = "60 mm"

[rules]
nose_clearance = "6 mm"
fixed_nose_end_gap = "12 mm"
setting_uncertainty = "1 mm"
"""
"""At least 400 - k + 6, at most 400 - k + 12 with one cut k up to 60, and at most 1200 - 800 = 400: 346 to 400."""


def altered(text: str, changes: Mapping[str, str | None], *, more: str = "") -> str:
    """The text with these keys given what follows their equals sign; None takes one out, a new one goes below its table."""
    lines = text.splitlines()
    at = key_lines(text)
    below: dict[int, list[str]] = {}
    gone = set()
    for field, value in changes.items():
        table, _, key = field.rpartition(".")
        if field in at:
            gone.add(at[field])
        if value is not None:
            below.setdefault(at[field] if field in at else at.get(table, 0), []).append(f"{key} = {value}")
        else:
            assert field in at, f"{field} is not there to be taken out"
    kept = below.pop(0, [])
    for number, line in enumerate(lines, start=1):
        kept += ([] if number in gone else [line]) + below.get(number, [])
    return "\n".join(kept) + "\n" + more


def without_table(text: str, header: str) -> str:
    """The text without a table: from its header to the next one."""
    before, found, after = text.partition(f"{header}\n")
    assert found, f"{header} is not there to be taken out"
    rest = after.partition("\n[")
    return before + rest[1].removeprefix("\n") + rest[2]


def problems(text: str) -> tuple[Problem, ...]:
    """What is wrong with a text; none where it is a job."""
    try:
        parse_job(text, file="cell.toml")
    except JobFileError as error:
        return error.problems
    return ()


def named(text: str) -> list[tuple[str, str]]:
    """Code and field of everything that is wrong with a text."""
    return [(problem.code, problem.field) for problem in problems(text)]
