"""What the tables of bars, supports and limits must satisfy: one way of saying each thing, known names, nothing of 0."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from pydantic import BaseModel

from standoff.bar.materials import MATERIALS
from standoff.bar.section import Section, Shape
from standoff.bar.stock import groups
from standoff.bar.whip import HIGHEST_RATIO
from standoff.errors import Problem, write_instead
from standoff.job.bar_tables import BarTable, SiteCheckTable, SupportTable
from standoff.job.tables import JobFile
from standoff.reading import Reading

STATION_NEEDS = {"cover": "lathe.cover_to_adapter", "cut-off": "lathe.collet_to_cutoff"}
NOISE_MM = 1e-6
MAY_BE_ZERO = ("friction",)


def bar_problems(draft: JobFile, modes: Sequence[str]) -> Iterator[Problem]:
    """Everything wrong in the tables that bar speed is computed from."""
    for key in ("bars", "supports", "liners"):
        yield from _own_names(getattr(draft, key), key)
    for i, bar in enumerate(draft.bars):
        yield from _bar(draft, bar, f"bars[{i}]")
    for i, support in enumerate(draft.supports):
        yield from _support(draft, support, f"supports[{i}]", modes)
    for i, limit in enumerate(draft.speed_limits):
        yield from _mode(limit.mode, f"speed_limits[{i}]", modes)
    for i, check in enumerate(draft.site_checks):
        yield from _site_check(draft, check, f"site_checks[{i}]", modes)
    for key in ("whip_share", "whip_share_tapped"):
        share = getattr(draft.bar_rules, key, None)
        if share is not None and share > HIGHEST_RATIO:
            expected = f"at most {HIGHEST_RATIO}: above it nothing is advised"
            yield _problem("share-range", f"bar_rules.{key}", f"{share}", expected, "lower it")
    yield from _zeros(draft)


def _problem(code: str, field: str, found: str, expected: str, action: str) -> Problem:
    return Problem(code, "", None, field, found, expected, action)


def _own_names(tables: Sequence[BarTable], key: str) -> Iterator[Problem]:
    names = [table.name for table in tables]
    for i, name in enumerate(names):
        if name is not None and name in names[:i]:
            yield _problem("name-twice", f"{key}[{i}].name", f'"{name}" a second time', "a name of its own", "rename one")


def _mode(name: str | None, path: str, modes: Sequence[str]) -> Iterator[Problem]:
    if name is not None and name not in modes:
        yield _problem("mode-unknown", f"{path}.mode", f'"{name}"', "a mode of this lathe", write_instead(name, modes or ("-",)))


def _zeros(draft: JobFile) -> Iterator[Problem]:
    """A speed, force, mass or stiffness of 0 says nothing: leave the key out."""
    for key in ("bars", "supports", "liners", "speed_limits", "site_checks"):
        for i, table in enumerate(getattr(draft, key)):
            yield from _zero(table, f"{key}[{i}]")
    for key in ("feed", "bar_rules", "bar_path"):
        table = getattr(draft, key)
        if table is not None:
            yield from _zero(table, key)


def _zero(table: BaseModel, path: str) -> Iterator[Problem]:
    for key in type(table).model_fields:
        if isinstance(value := getattr(table, key), float) and value == 0.0 and key not in MAY_BE_ZERO:
            yield _problem("magnitude-zero", f"{path}.{key}", "0", "more than 0", "write what it is, or leave the key out")


def _bar(draft: JobFile, bar: BarTable, path: str) -> Iterator[Problem]:
    own = (bar.density, bar.modulus)
    if bar.material is not None and bar.material not in MATERIALS and None in own:
        known = write_instead(bar.material, MATERIALS)
        action = f"{known}, or write density and modulus too"
        yield _problem("material-unknown", f"{path}.material", f'"{bar.material}"', "a material that is known", action)
    for key in ("turned_diameter", "end_turned_to"):
        turned = getattr(bar, key)
        if turned and bar.size and turned[0].value_mm > corners_mm(bar) + NOISE_MM:
            expected = f"at most the bar's {bar.size[0].text}, over its corners"
            yield _problem("turned-thicker", f"{path}.{key}", turned[0].text, expected, "check both diameters")
    yield from _wanted_speed(bar, path)
    yield from _straightness(bar, path)
    if bar.length and _too_long(draft, bar):
        longest = _longest_bar(draft) or bar.length
        expected = f"at most {longest[0].text}, the longest bar of this job"
        yield _problem("bar-too-long", f"{path}.length", bar.length[0].text, expected, "shorten the bar, or correct the other")


def _longest_bar(draft: JobFile) -> tuple[Reading, ...] | None:
    """The job's longest bar, or else the loader's capacity."""
    longest = draft.rules.longest_bar if draft.rules is not None else None
    return longest or (draft.loader.bar_capacity if draft.loader is not None else None)


def _too_long(draft: JobFile, bar: BarTable) -> bool:
    """Whether a bar is longer than the job's longest."""
    longest = _longest_bar(draft)
    return bool(bar.length and longest and bar.length[0].value_mm > longest[0].value_mm)


def corners_mm(bar: BarTable) -> float:
    """The bar over its corners, of unknown shape as the widest. [mm]"""
    shape = Shape(bar.shape) if bar.shape is not None else Shape.SQUARE
    return Section(shape, bar.size[0].value_mm).across_corners_mm if bar.size[0].value_mm > 0.0 else 0.0


def _wanted_speed(bar: BarTable, path: str) -> Iterator[Problem]:
    if bar.speed is not None and (bar.cutting_speed is not None or bar.turned_diameter is not None):
        found = "a speed and a cutting speed"
        yield _problem("speed-twice", f"{path}.speed", found, "one of them", "leave speed out, or the other two")
    elif (bar.cutting_speed is None) != (bar.turned_diameter is None):
        there = "cutting_speed" if bar.turned_diameter is None else "turned_diameter"
        missing = "turned_diameter" if bar.turned_diameter is None else "cutting_speed"
        yield _problem("speed-incomplete", f"{path}.{missing}", f"nothing beside {there}", "both", f"write {missing}")


def _straightness(bar: BarTable, path: str) -> Iterator[Problem]:
    standard, group = bar.straightness_standard, bar.straightness_group
    if bar.straightness is not None and (standard is not None or group is not None):
        found = "a figure and a standard"
        yield _problem("straightness-twice", f"{path}.straightness", found, "one of them", "leave one out")
    elif (standard is None) != (group is None):
        missing = "straightness_group" if group is None else "straightness_standard"
        yield _problem("straightness-incomplete", f"{path}.{missing}", "nothing", "standard and group", f"write {missing}")
    elif standard is not None and group not in groups(standard):
        action = write_instead(group or "", groups(standard))
        yield _problem("straightness-incomplete", f"{path}.straightness_group", f'"{group}"', "a group of that standard", action)


def _support(draft: JobFile, support: SupportTable, path: str, modes: Sequence[str]) -> Iterator[Problem]:
    yield from _mode(support.mode, path, modes)
    needed = STATION_NEEDS.get(support.station)
    if needed is not None and draft.lathe is not None and getattr(draft.lathe, needed.partition(".")[2]) is None:
        found = f"nothing, though {path} is measured from the station {support.station}"
        yield _problem("key-missing", needed, found, "a value", "measure it, or measure from another station")
    if support.length is None and support.kind not in (None, "rest"):
        yield _problem("key-missing", f"{path}.length", "nothing", f"how long the {support.kind} is", "write length")
    tube = support.kind in ("guide-tube", "channel")
    if tube and support.bore is None:
        yield _problem("key-missing", f"{path}.bore", "nothing", f"the bore of the {support.kind}", "write bore")
    for key, kinds in (("bore", ("guide-tube", "channel")), ("spacing", ("channel",)), ("flooded", ("channel",))):
        if getattr(support, key) is not None and support.kind is not None and support.kind not in kinds:
            expected = f"only for {' and '.join(kinds)}"
            yield _problem("support-kind", f"{path}.{key}", f"{key} of a {support.kind}", expected, "leave it out")
    if support.kind == "channel" and support.length:
        yield from _long_enough(draft, support, path)


def _long_enough(draft: JobFile, channel: SupportTable, path: str) -> Iterator[Problem]:
    """A channel has to hold the whole bar before it is pushed forward."""
    for bar in draft.bars:
        length = bar.length or _longest_bar(draft)
        if _too_long(draft, bar) or not length or not channel.length:
            continue
        if channel.length[0].value_mm < length[0].value_mm:
            expected = f"at least {length[0].text}, the bar {bar.name}"
            action = "measure the channel from its front end to the pusher at rest, or shorten the bar"
            yield _problem("channel-short", f"{path}.length", channel.length[0].text, expected, action)
            return


def _site_check(draft: JobFile, check: SiteCheckTable, path: str, modes: Sequence[str]) -> Iterator[Problem]:
    yield from _mode(check.mode, path, modes)
    names = [bar.name for bar in draft.bars if bar.name is not None]
    if check.bar is not None and check.bar not in names:
        action = write_instead(check.bar, names) if names else "list it in [[bars]]"
        yield _problem("bar-unknown", f"{path}.bar", f'"{check.bar}"', "a bar of this job", action)
    wanted = {"sag": ("sag",), "tap": ("frequency", "length")}.get(check.kind, ())
    for key in wanted:
        if getattr(check, key) in (None, []):
            yield _problem("site-check", f"{path}.{key}", "nothing", f"a value for {check.kind}", f"write {key}")
    tapped = next((bar for bar in draft.bars if bar.name is not None and bar.name == check.bar), None)
    whole = (tapped.length or _longest_bar(draft)) if tapped is not None else None
    if check.length and whole and check.length[0].value_mm > whole[0].value_mm:
        expected = f"at most {whole[0].text}, the whole bar"
        yield _problem("bar-too-long", f"{path}.length", check.length[0].text, expected, "measure what was left of the bar")
