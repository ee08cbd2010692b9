"""What a quantity, a station or a symptom is called when it is spoken of."""

from __future__ import annotations

import re

from standoff.job.job import Job
from standoff.model.form import STANDOFF

_NAMES = {
    STANDOFF: "the standoff itself",
    "lathe.adapter_to_collet": "adapter to collet",
    "lathe.cover_to_adapter": "cover to adapter",
    "lathe.cover_to_wall": "cover to wall",
    "lathe.collet_to_cutoff": "collet to cut-off",
    "lathe.centre_height": "the lathe's centre height",
    "loader.bar_capacity": "bar capacity",
    "loader.pusher_reach": "pusher reach",
    "loader.gripper_behind_clamp": "gripper behind clamp",
    "loader.body_ahead_of_clamp": "body ahead of clamp",
    "loader.length_behind_clamp": "length behind clamp",
    "loader.centre_height[0]": "the loader's lowest axis",
    "loader.centre_height[1]": "the loader's highest axis",
    "nose.collapsed": "collapsed nose",
    "nose.extended": "extended nose",
    "nose.overlap": "overlap of the nose",
    "nose.length": "length of the nose",
    "nose.may_be_cut": "what may be cut off the nose",
    "nose.entry_depth": "entry depth of the nose",
    "nose.least_engagement": "least engagement of the nose",
    "bar_path.pusher_od": "pusher diameter",
    "bar_path.pusher_collet_od": "pusher collet diameter",
}
_MODE_KEYS = {
    "z_rear": "rear limit",
    "z_front": "front limit",
    "z_bar_change": "bar change position",
    "loader_shift": "loader shift",
}
_LENGTH = (("longer", "too long"), ("shorter", "too short"))
_ALONG = (("farther forward", "too far forward"), ("farther back", "too far back"))
_HEIGHT = (("higher", "too high"), ("lower", "too low"))
_WAYS = {
    "lathe.cover_to_adapter": (
        ("farther inside the cover", "too far inside the cover"),
        ("farther out of the cover", "too far out of the cover"),
    ),
    "loader.body_ahead_of_clamp": _ALONG,
    "lathe.centre_height": _HEIGHT,
    "loader.centre_height[0]": _HEIGHT,
    "loader.centre_height[1]": _HEIGHT,
}
"""How a greater and a smaller value are told, in comparison and as a fault, where the quantity is no plain length."""
STATION_NAMES = {
    "adapter": "adapter",
    "main-collet": "back of the main collet",
    "cut-off": "cut-off plane",
    "cover": "cover",
    "wall": "wall",
    "clamp": "nose-clamp face",
    "nose-tip": "tip of the nose",
    "pusher-tip": "pusher's tip at its forward limit",
    "gripper": "gripper",
    "body-front": "front of the loader's body",
    "loader-rear": "rear end of the loader",
}


def quantity_name(field: str, job: Job) -> str:
    """A quantity as it is spoken of, by its field in the job file."""
    if field in _NAMES:
        return _NAMES[field]
    if mode := re.fullmatch(r"lathe\.modes\[(\d+)\]\.(\w+)", field):
        name = job.layout.modes[int(mode[1])].name
        return f"{_MODE_KEYS[mode[2]]} of {name} mode"
    if fitting := re.fullmatch(r"fittings\[(\d+)\]\.length", field):
        return job.fittings[int(fitting[1])]
    if bore := re.fullmatch(r"passage\[(\d+)\]\.bore", field):
        return f"bore of the {job.tables.passage[int(bore[1])].name}"
    if bar := re.fullmatch(r"bars\[(\d+)\]\.size", field):
        return f"size of the bar {job.tables.bars[int(bar[1])].name}"
    return field.rpartition(".")[2].replace("_", " ")


def way(field: str, by_mm: float, job: Job) -> tuple[str, str]:
    """What a change of a quantity means, in comparison and as a fault: "longer" and "too long".

    Positions of the headstock are told as they lie, whichever way the control counts.
    """
    if field.endswith((".z_rear", ".z_front", ".z_bar_change")):
        return _ALONG[0 if by_mm * job.z_sign > 0.0 else 1]
    return _WAYS.get(field, _LENGTH)[0 if by_mm > 0.0 else 1]


def span_name(start: str, end: str, job: Job, *, mode: str | None, state: str) -> str:
    """A distance between two stations as it is spoken of; a fixed headstock is always where it is."""
    where = f" ({f'{mode}, {state}' if mode else state})" if job.sliding else ""
    return f"{STATION_NAMES[start]} to {STATION_NAMES[end]}{where}"
