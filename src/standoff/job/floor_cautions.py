"""Warnings that stand beside the floor plan: the slab, machines that stand unlike, gaps that close on a person, tipping over.

They name what was found. What always holds, whatever was found, is said in CAUTIONS.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

from standoff.job.amounts import mass
from standoff.job.caution import CRUSH_GAPS_MM, CRUSH_SOURCE, Caution
from standoff.job.job import Job
from standoff.job.speech import length, listed
from standoff.site.feet import GRAVITY_M_S2, FootLoads
from standoff.site.floor import SHIFTED, STANDS, Body, FloorCheck, Owner
from standoff.site.slab import Crossing

CAUTIONS = (
    Caution(
        "slab",
        "These are loads and pressures, no approval of a slab or an anchor. A structural engineer decides what the slab bears,"
        " and how it is anchored to. Before anybody drills: find reinforcement, post-tension cables, pipes and conduit, and ask"
        " the owner of the building. Drilling concrete makes silica dust: wet drilling or a shroud with a filter.",
        "29 CFR 1926.1153, 29 CFR 1910.1053",
    ),
    Caution(
        "lifting",
        "A loader that is not anchored yet can tip over. Move it as its maker says, with gear rated for it and nobody beside it"
        " in the direction it could fall.",
        "29 CFR 1910.178, 29 CFR 1910.184",
    ),
    Caution(
        "electrical",
        "Room to work at electrical cabinets: the figures are those of the regulation named; the electrical code of the place"
        " decides. Work on them is for licensed or qualified persons, with the power locked out.",
        "29 CFR 1910.303, 29 CFR 1910.147, NFPA 70",
    ),
    Caution(
        "people",
        "Nobody between the machines while either can move. Ways out stay free and wide enough: the fire code of the place"
        " decides.",
        "ISO 13854, 29 CFR 1910.37",
    ),
)
"""What is always said beside a floor plan."""

TIPPING_MM = 50.0
"""A centre of gravity nearer to the edge of the feet than this is warned of (our choice)."""


def floor_warnings(
    job: Job,
    rows: Sequence[FloorCheck],
    bodies: Sequence[Body],
    parted: Sequence[Crossing],
    loads: FootLoads | None,
    closing_mm: Mapping[str, float],
) -> tuple[Caution, ...]:
    """Everything found that is to be warned of; `closing_mm`: gaps to a building's plan that the shift closes. [mm]"""
    return (*_slab(parted), *_standing(job), *_crush(job, rows, bodies, closing_mm), *_tipping(job, loads))


def _slab(parted: Sequence[Crossing]) -> Iterator[Caution]:
    for crossing in parted:
        places = []
        if crossing.under_lathe or crossing.under:
            places.append(f"runs under {listed((*(('the lathe',) if crossing.under_lathe else ()), *crossing.under))}")
        if crossing.parted:
            whole = "lies between lathe and loader" if crossing.parts_all else f"parts {listed(crossing.parted)} from the lathe"
            places.append(whole)
        yield Caution(
            "slab-joint",
            f"The joint “{crossing.joint.name}” {' and '.join(places)}: what stands on either side of it can move against the"
            " other, and the alignment with it. Both machines belong on one slab.",
            "common practice, no published source",
        )


def _standing(job: Job) -> Iterator[Caution]:
    floor = job.tables.floor
    if floor is None or floor.lathe_stands is None or floor.loader_stands is None or floor.lathe_stands == floor.loader_stands:
        return
    yield Caution(
        "stand-unlike",
        f"The lathe stands {_stands(floor.lathe_stands)}, the loader {_stands(floor.loader_stands)}: the one that is not anchored"
        " can walk, and the alignment with it. Let both stand alike, or read the alignment again at every service.",
        "common practice, no published source",
    )


def _stands(how: str) -> str:
    return "anchored" if how == "anchored" else "on pads"


def _crush(job: Job, rows: Sequence[FloorCheck], bodies: Sequence[Body], closing_mm: Mapping[str, float]) -> Iterator[Caution]:
    """Gaps that the shift closes below the limit; the one to the lathe's cover is the placement's own warning."""
    named = {body.id: body for body in bodies}
    limit_mm = CRUSH_GAPS_MM[job.crush_part]
    standing = {row.between: row for row in rows if row.state == STANDS}
    found: dict[str, float] = dict(closing_mm)
    for row in rows:
        own, other = named.get(row.between[0]), named.get(row.between[1])
        if row.state != SHIFTED or own is None or other is None or own.owner is not Owner.LOADER:
            continue
        closes = row.found_mm < standing[row.between].found_mm - 1.0
        if closes and not row.above and row.found_mm < limit_mm and other.kind not in ("lathe", "aisle"):
            found[other.name] = min(max(row.found_mm, 0.0), found.get(other.name, math.inf))
    if found:
        gaps = [f"{name} ({length(gap_mm, job.units)})" for name, gap_mm in found.items()]
        yield Caution(
            "crush-gap-floor",
            f"While the loader shifts, gaps close to {listed(gaps)}; below {length(limit_mm, job.units)}"
            f" they can crush the {job.crush_part}: keep people out by a guard.",
            CRUSH_SOURCE,
        )


def _tipping(job: Job, loads: FootLoads | None) -> Iterator[Caution]:
    if loads is None or loads.tipping_mm >= TIPPING_MM:
        return
    if loads.tipping_mm < 0.0:
        text = (
            f"As stated, the centre of gravity lies {length(-loads.tipping_mm, job.units)} outside the feet: {_case(job, loads)}"
            " would tip over. Check where feet and masses were said to be."
        )
    else:
        text = (
            f"The centre of gravity lies only {length(loads.tipping_mm, job.units)} inside the edge of the feet:"
            f" {_case(job, loads)} tip over easily until they are anchored."
        )
    yield Caution("tipping", text, "statics of a rigid body")


def _case(job: Job, loads: FootLoads) -> str:
    """What is on the feet where the centre of gravity lies nearest their edge: how heavy, without what, how far shifted."""
    case = loads.nearest
    more = [f"without {listed(case.without)}"] if case.without else []
    more += [f"shifted by {length(case.shift_mm, job.units)}"] if case.shift_mm != 0.0 else []
    weight = mass(case.weight_n / GRAVITY_M_S2, job.units)
    return f"{weight}, {' and '.join(more)}," if more else weight
