"""Jobs with parts, and a bar's life worked out step by step, to hold the bar cycle against.

With the standoff at 300 mm the sliding job of `tests.texts` has, on the axis: cut-off plane 1110; guide-bushing mode: back of the
collet z + 600 with z from 0 to 190, bar change at 110, clamp -300, gripper -3320, pusher's limit 820; chucker mode: z from 150 to
350, bar change at 275, all of the loader 170 farther forward. Its window is 291 to 330 mm.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import replace
from fractions import Fraction
from random import Random

from standoff.job.cycle import Cycle, bar_cycles
from standoff.job.job import Job
from standoff.job.placement import Placement, bounds_of, place
from standoff.solve.window import Window, window
from tests.jobs import Case, Quantity, mode_name, random_case
from tests.texts import FIXED, SLIDING, altered
from tests.turning import job_of

STANDOFF_MM = 300.0
PIN = '[[parts]]\nname = "pin"\nlength = "57 mm"\ncut_off_width = "3 mm"\nfacing = "1 mm"\n'
HUB = PIN.replace("pin", "hub") + 'mode = "chucker"\n'
FIXED_STANDOFF_MM = 370.0

Changes = Mapping[str, str | None]


def falling(text: str) -> str:
    """A job in which Z falls as the headstock goes forward: every Z changes its sign."""
    return re.sub(r'^(z_\w+ = )"(?=[1-9])', r'\1"-', text.replace('"positive"', '"negative"'), flags=re.MULTILINE)


def text_with(*tables: str, changes: Changes | None = None, text: str = SLIDING) -> str:
    """A job's text with tables added and keys changed."""
    return altered(text + "\n" + "\n".join(tables), changes or {})


def placed(*tables: str, changes: Changes | None = None, at_mm: float = STANDOFF_MM, text: str = SLIDING) -> Placement:
    """The placement of a job with these tables, at a standoff."""
    return place(job_of(text_with(*tables, changes=changes, text=text)), asked_mm=at_mm)


def cycle_with(*tables: str, changes: Changes | None = None, at_mm: float = STANDOFF_MM, text: str = SLIDING) -> Cycle:
    """The bar cycle of the first part."""
    return bar_cycles(placed(*tables, changes=changes, at_mm=at_mm, text=text))[0]


def fixed_with(*tables: str, changes: Changes | None = None) -> Cycle:
    """The bar cycle of the first part of the job with a fixed headstock, whose cut-off plane lies 200 mm ahead of the collet."""
    stated: Changes = {"lathe.collet_to_cutoff": '"200 mm"', **(changes or {})}
    return cycle_with(*tables, changes=stated, at_mm=FIXED_STANDOFF_MM, text=FIXED)


def counted(cycle: Cycle) -> tuple[int, float]:
    """How many parts a bar gives and what is left, part after part. [mm]

    Each part needs the shortest remnant behind it; the last one, picked off, needs it only before it is made.
    """
    part = cycle.part
    left_mm, parts = part.bar_mm - part.facing_mm, 0
    shortest_mm, each_mm = part.reach.remnant_mm, part.length_mm + part.cut_mm
    while left_mm - each_mm >= shortest_mm - 1e-6:
        left_mm -= each_mm
        parts += 1
    if part.picked_off and left_mm - each_mm >= max(shortest_mm - each_mm, 0.0) - 1e-6:
        left_mm -= each_mm
        parts += 1
    return parts, left_mm


def plain_window(job: Job) -> Window:
    """The plain window of a job, and nothing else of its placement."""
    rows = tuple(row for row in job.layout.rows() if row.bounds_standoff)
    return window(bounds_of(job.layout, rows), cut_limit_mm=job.layout.cut_limit_mm)


def with_cut_off(case: Case, random: Random) -> Case:
    """A random case whose cut-off plane lies ahead of the collet in every mode."""
    fronts = [case.quantities[f"lathe.modes[{i}].z_front"].mm * case.forward for i in range(case.modes)] or [Fraction(0)]
    ahead = max(fronts) - fronts[0] + random.randint(30, 300)
    return replace(case, quantities={**case.quantities, "lathe.collet_to_cutoff": Quantity(ahead)})


def mode_names(case: Case) -> list[str]:
    """The names of a case's modes."""
    return [mode_name(i) for i in range(case.modes)] or ["fixed"]


def random_job(seed: int) -> tuple[str, Random]:
    """The text of a random pair with a part in each mode, now and then out of height or too narrow; and the dice after that."""
    random = Random(seed)
    case = with_cut_off(random_case(seed, fine=seed % 2 == 0), random)
    quantities = dict(case.quantities)
    for field, by_mm in (("passage[0].bore", -10), ("lathe.centre_height", 70)):
        if field in quantities and random.random() < 0.3:
            quantities[field] = replace(quantities[field], mm=quantities[field].mm + by_mm)
    quantities["bar_path.insertion"] = Quantity(Fraction(random.randint(0, 60)))
    case = replace(case, quantities=quantities)
    parts = "".join(_random_part(mode, random) for mode in mode_names(case))
    return case.text() + parts + _random_cycle(random), random


def _random_part(mode: str, random: Random) -> str:
    """A part of 8 to 400 mm."""
    length_mm, width_mm = math.exp(random.uniform(math.log(8.0), math.log(400.0))), random.choice((0.5, 2.0, 3.175))
    lines = [f'name = "{mode} part"', f'mode = "{mode}"', f'length = "{length_mm:.3f} mm"', f'cut_off_width = "{width_mm} mm"']
    if random.random() < 0.5:
        lines.append(f'facing = "{random.choice((0.2, 1.0, 4.7))} mm"')
    if random.random() < 0.4:
        lines.append("picked_off = true")
    if random.random() < 0.5:
        lines.append(f'seconds = "{random.randint(1, 200)} s"')
    return "\n".join(["[[parts]]", *lines]) + "\n"


def _random_cycle(random: Random) -> str:
    """Sometimes a table of the cycle."""
    if random.random() < 0.4:
        return ""
    ejection = random.choice(("through the loader", "out of the front"))
    stop = random.choice(("cut-off tool", "stop", "sub-spindle"))
    into_mm = random.choice((0, 0, 12))
    return f'[cycle]\nejection = "{ejection}"\nfeed_stop = "{stop}"\ninto_collet = "{into_mm} mm"\n'


def some_standoff_mm(job: Job, random: Random, kind: int) -> float:
    """A standoff of one of five kinds: inside the window, on an edge, a hair inside or outside it, far out. [mm]"""
    found = plain_window(job)
    edges = [(mm, sign) for mm, sign in ((found.least_mm, -1.0), (found.greatest_mm, 1.0)) if math.isfinite(mm)]
    edge_mm, outwards = random.choice(edges)
    steps = (-0.5 * abs(found.greatest_mm - found.least_mm), 0.0, -1e-4, 1e-4, random.uniform(5.0, 500.0))
    step_mm = steps[kind] if math.isfinite(steps[kind]) else -10.0
    return edge_mm + outwards * step_mm
