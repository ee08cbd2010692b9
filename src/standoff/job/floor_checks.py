"""What the floor tables must satisfy: known items, boxes with a length and a width, doors in their side, parts of the loader
inside what the survey says of it, and a wall in one place only. Feet and marks are checked by `floor_mark_checks`.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from types import MappingProxyType
from typing import Any

from standoff.errors import Problem, write_instead
from standoff.job.floor_mark_checks import mark_problems
from standoff.job.floor_places import ends_mm, first_mm, owner_of
from standoff.job.floor_tables import FloorDoorTable, FloorItemTable, KeepOutTable, SlabJointTable, WorkingSpaceTable
from standoff.job.keys import defaulted_mm
from standoff.job.tables import JobFile, LoaderTable
from standoff.site.floor import TIE_MM, Owner
from standoff.units import ON_STEP_MM

ENDS_OF_SIDE: Mapping[str, tuple[str, str]] = MappingProxyType(
    {"left": ("behind", "ahead"), "right": ("behind", "ahead"), "behind": ("left", "right"), "ahead": ("left", "right")}
)
"""The two ends a side has."""

CONTRADICTION = 3.0
"""Two readings of one wall that differ by more combined standard uncertainties contradict each other (our choice)."""

NAMED = ("floor_items", "floor_doors", "keep_outs", "slab_joints", "floor_loads", "reference_points", "holes")
"""The lists in which a name stands once only."""


def floor_problems(draft: JobFile) -> Iterator[Problem]:
    """Everything wrong in the floor tables."""
    yield from _names(draft)
    yield from _cover(draft)
    for i, item in enumerate(draft.floor_items):
        yield from _item(draft, item, f"floor_items[{i}]")
    items = {item.name: item for item in draft.floor_items if item.name is not None}
    for i, door in enumerate(draft.floor_doors):
        yield from _of_item(door.item, f"floor_doors[{i}]", items)
        yield from _door(draft, door, f"floor_doors[{i}]", items)
    for i, space in enumerate(draft.keep_outs):
        yield from _of_item(space.item, f"keep_outs[{i}]", items)
        yield from _keep_out(draft, space, f"keep_outs[{i}]", items)
    for i, work in enumerate(draft.working_spaces):
        yield from _of_item(work.item, f"working_spaces[{i}]", items)
        yield from _working_space(work, f"working_spaces[{i}]")
    for i, joint in enumerate(draft.slab_joints):
        yield from _joint(joint, f"slab_joints[{i}]")
    yield from _plan(draft)
    yield from _wall(draft)
    yield from mark_problems(draft)


def _problem(code: str, field: str, found: str, expected: str, action: str) -> Problem:
    return Problem(code, "", None, field, found, expected, action)


def _names(draft: JobFile) -> Iterator[Problem]:
    for table in NAMED:
        names = [row.name for row in getattr(draft, table)]
        for i, name in enumerate(names):
            if name is not None and name in names[:i]:
                found, expected = f'"{name}" a second time', "a name of its own"
                yield _problem("name-twice", f"{table}[{i}].name", found, expected, "rename one")


def _cover(draft: JobFile) -> Iterator[Problem]:
    """What is told from the cover needs the cover in the survey."""
    if draft.lathe is None or draft.lathe.cover_to_adapter:
        return
    owned = (item for item in draft.floor_items if item.kind is not None)
    axis = draft.markout is not None and bool(draft.markout.axis_front or draft.markout.axis_rear)
    if any(owner_of(item) is not Owner.LOADER for item in owned) or draft.slab_joints or draft.reference_points or axis:
        found = "nothing, though the floor tables are told from the cover's outer face"
        action = "measure from the cover's outer face forward to the adapter"
        yield _problem("key-missing", "lathe.cover_to_adapter", found, "a value", action)


def _item(draft: JobFile, item: FloorItemTable, path: str) -> Iterator[Problem]:
    """A box with a length, a width and a height, the loader's within what the survey says of it."""
    yield from _between(item.left, item.right, f"{path}.right", "left")
    yield from _heights(item.from_floor, item.height, f"{path}.height")
    if item.kind is None:
        return
    if item.shifts is not None and owner_of(item) is not Owner.LOADER:
        action = 'leave it out, or write carrier = "loader"'
        found = f"shifts, though it stands with the {owner_of(item).value}"
        yield _problem("shift-of-what", f"{path}.shifts", found, "an item that stands with the loader", action)
    ends = _ends(draft, item)
    if ends is None:
        for key in ("behind", "ahead"):
            if getattr(item, key) is None and not _known(draft, item, key):
                action = f"write how far its {'rear' if key == 'behind' else 'front'} end lies {key}"
                yield _problem("key-missing", f"{path}.{key}", "nothing", "a value", action)
    elif ends[0] + ends[1] <= 0.0:
        given = next((key for key in ("ahead", "behind") if getattr(item, key)), "behind")
        yield _reversed(f"{path}.{given}", f"ends {ends[0]:.0f} mm behind and {ends[1]:.0f} mm ahead")
    if owner_of(item) is Owner.LOADER and draft.loader is not None:
        yield from _within_survey(item, draft.loader, path)


def _known(draft: JobFile, item: FloorItemTable, key: str) -> bool:
    """Whether an end that an item does not state is known from the survey."""
    if item.kind == "loader" and owner_of(item) is Owner.LOADER:
        return key == "ahead" or bool(draft.loader is not None and draft.loader.length_behind_clamp)
    return item.kind == "lathe" and key == "behind"


def _ends(draft: JobFile, item: FloorItemTable) -> tuple[float, float] | None:
    length = draft.loader.length_behind_clamp if draft.loader is not None else None
    return ends_mm(item, length, defaulted_mm(draft.loader, LoaderTable, "body_ahead_of_clamp"))


def _within_survey(item: FloorItemTable, loader: LoaderTable, path: str) -> Iterator[Problem]:
    """A part of the loader does not reach farther than the loader does, by which the placement was judged."""
    ahead_mm = defaulted_mm(loader, LoaderTable, "body_ahead_of_clamp")
    limits = (("ahead", ahead_mm, "body_ahead_of_clamp"), ("behind", first_mm(loader.length_behind_clamp), "length_behind_clamp"))
    for key, limit_mm, of in limits:
        given = getattr(item, key)
        if given and limit_mm is not None and given[0].value_mm > limit_mm + ON_STEP_MM:
            expected = f"at most {limit_mm:.1f} mm, as loader.{of} says"
            action = f"measure both again; loader.{of} is that of its outermost part"
            yield _problem("beyond-survey", f"{path}.{key}", given[0].text, expected, action)


def _between(one: Any, other: Any, field: str, key: str) -> Iterator[Problem]:
    if one and other and one[0].value_mm + other[0].value_mm <= 0.0:
        yield _reversed(field, f"{other[0].text} against {key} {one[0].text}")


def _reversed(field: str, found: str) -> Problem:
    action = "check both and their signs: a side on the other hand of where it is told from is negative"
    return _problem("extent-reversed", field, found, "two ends with something between them", action)


def _heights(low: Any, high: Any, field: str) -> Iterator[Problem]:
    if low and high and high[0].value_mm <= low[0].value_mm:
        action = "measure both from the floor"
        yield _problem("height-order", field, high[0].text, f"above its underside, {low[0].text}", action)


def _of_item(name: str | None, path: str, items: Mapping[str, FloorItemTable]) -> Iterator[Problem]:
    if name is not None and name not in items:
        action = write_instead(name, items) if items else "list it in [[floor_items]]"
        yield _problem("item-unknown", f"{path}.item", f'"{name}"', "an item of this floor", action)


def _side_length_mm(draft: JobFile, item: FloorItemTable | None, side: str | None) -> float | None:
    """How long a side of an item is, as far as it is stated. [mm]"""
    if item is None or side is None or item.kind is None:
        return None
    if side in ("behind", "ahead"):
        return item.left[0].value_mm + item.right[0].value_mm if item.left and item.right else None
    ends = _ends(draft, item)
    return None if ends is None else ends[0] + ends[1]


def _door(draft: JobFile, door: FloorDoorTable, path: str, items: Mapping[str, FloorItemTable]) -> Iterator[Problem]:
    """Its hinge is at an end of its side, and within it."""
    if door.side is not None and door.hinge is not None and door.hinge not in ENDS_OF_SIDE[door.side]:
        expected = " or ".join(ENDS_OF_SIDE[door.side])
        action = "name the end of that side where the hinge is"
        yield _problem("hinge-side", f"{path}.hinge", f'"{door.hinge}"', f"{expected}, the ends of its {door.side} side", action)
    length_mm = _side_length_mm(draft, items.get(door.item or ""), door.side)
    in_mm = defaulted_mm(door, FloorDoorTable, "hinge_from_end")
    if length_mm is not None and length_mm > 0.0 and in_mm > length_mm + ON_STEP_MM and door.hinge_from_end:
        expected = f"at most the {length_mm:.0f} mm of that side"
        yield _problem("hinge-outside", f"{path}.hinge_from_end", door.hinge_from_end[0].text, expected, "measure it again")


def _keep_out(draft: JobFile, space: KeepOutTable, path: str, items: Mapping[str, FloorItemTable]) -> Iterator[Problem]:
    """Its ends are those its side has, the right way round, and its top is above where it begins."""
    low_mm, high_mm = (defaulted_mm(space, KeepOutTable, key) for key in ("from_floor", "height"))
    if high_mm <= low_mm:
        field = "height" if space.height else "from_floor"
        found = getattr(space, field)[0].text
        yield _problem("height-order", f"{path}.{field}", found, "a top above where it begins", "measure both from the floor")
    if space.side is None:
        return
    own = ENDS_OF_SIDE[space.side]
    for key in ("behind", "ahead", "left", "right"):
        given = getattr(space, key)
        if given and key not in own:
            expected = f"{own[0]} and {own[1]} beside a {space.side} side"
            yield _problem("extent-beside", f"{path}.{key}", given[0].text, expected, "leave it out, or name the other side")
    item = items.get(space.item or "")
    if item is None or not any(getattr(space, key) for key in own):
        return
    whole = _own_ends(draft, item, space.side)
    ends = [first_mm(getattr(space, key)) if getattr(space, key) else at_mm for key, at_mm in zip(own, whole, strict=True)]
    if ends[0] is not None and ends[1] is not None and ends[0] + ends[1] <= 0.0:
        key = own[1] if getattr(space, own[1]) else own[0]
        yield _reversed(f"{path}.{key}", f"ends {ends[0]:.0f} mm {own[0]} and {ends[1]:.0f} mm {own[1]}")


def _own_ends(draft: JobFile, item: FloorItemTable, side: str) -> tuple[float | None, float | None]:
    """The two ends of an item's side, as far as they are stated. [mm]"""
    if side in ("behind", "ahead"):
        return first_mm(item.left), first_mm(item.right)
    ends = _ends(draft, item) if item.kind is not None else None
    return (None, None) if ends is None else ends


def _working_space(space: WorkingSpaceTable, path: str) -> Iterator[Problem]:
    """Its depth is stated, or follows from voltage and surroundings; not both."""
    asked = [key for key in ("voltage", "facing") if getattr(space, key) is not None]
    if space.depth and asked:
        yield _problem("said-twice", f"{path}.depth", f"depth beside {asked[0]}", "one of them", "leave one out")
    elif not space.depth:
        for key in ("voltage", "facing"):
            if key not in asked:
                action = f"write {key}, or the depth that local code asks for"
                yield _problem("key-missing", f"{path}.{key}", "nothing", "a value, or a depth", action)


def _joint(joint: SlabJointTable, path: str) -> Iterator[Problem]:
    if not (joint.behind and joint.left and joint.end_behind and joint.end_left):
        return
    across_mm = joint.end_left[0].value_mm - joint.left[0].value_mm
    if math.hypot(joint.end_behind[0].value_mm - joint.behind[0].value_mm, across_mm) <= ON_STEP_MM:
        yield _problem(
            "joint-point", f"{path}.end_behind", "both ends in one place", "two ends apart", "measure where it runs to"
        )


def _plan(draft: JobFile) -> Iterator[Problem]:
    """The lathe's place in the building's plan is stated whole."""
    keys = ("plan_x", "plan_y", "plan_turned")
    given = [key for key in keys if draft.floor is not None and getattr(draft.floor, key) is not None]
    for key in keys if given else ():
        if key not in given:
            action = f"write {key} too, or leave {given[0]} out"
            yield _problem("key-missing", f"floor.{key}", f"nothing beside {given[0]}", "a value", action)


def _wall(draft: JobFile) -> Iterator[Problem]:
    """What closes the axis behind the lathe is where `lathe.cover_to_wall` says."""
    taped = draft.lathe.cover_to_wall if draft.lathe is not None else None
    closing = [
        (i, item)
        for i, item in enumerate(draft.floor_items)
        if item.kind in ("wall", "aisle", "column") and item.ahead and item.left and item.right
        if item.ahead[0].value_mm <= 0.0 and item.left[0].value_mm >= 0.0 and item.right[0].value_mm >= 0.0
        if _meets_loader(draft, item)
    ]
    if not taped or not closing:
        return
    i, item = max(closing, key=lambda pair: pair[1].ahead[0].value_mm if pair[1].ahead else 0.0)
    near = item.ahead[0] if item.ahead else taped[0]
    off_mm = abs(-near.value_mm - taped[0].value_mm)
    if off_mm > CONTRADICTION * math.hypot(near.u_mm, taped[0].u_mm) + ON_STEP_MM:
        found = f"{near.text} where lathe.cover_to_wall is {taped[0].text}"
        expected = "the same distance to what closes the axis behind the lathe"
        yield _problem("wall-twice", f"floor_items[{i}].ahead", found, expected, "measure it again and correct one of them")


def _meets_loader(draft: JobFile, item: FloorItemTable) -> bool:
    """Whether a thing shares some height with the loader's body: a beam above it, a kerb below it is no wall behind it."""
    loaders = [one for one in draft.floor_items if one.kind == "loader" and owner_of(one) is Owner.LOADER]
    (low_mm, high_mm), spans = _span_mm(item), [_span_mm(one) for one in loaders]
    return not spans or any(min(high_mm, high) - max(low_mm, low) > TIE_MM for low, high in spans)


def _span_mm(item: FloorItemTable) -> tuple[float, float]:
    """From which height to which a thing reaches. [mm]"""
    return first_mm(item.from_floor) or 0.0, first_mm(item.height) or math.inf
