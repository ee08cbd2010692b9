"""What a draft of a job must satisfy as a whole: nothing missing, no value that contradicts another.

Each check looks at what is there and keeps silent where one of its values is missing or was refused, so that one mistake
gives one message. `refused` names the fields whose values were taken out of the draft.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass

from pydantic import BaseModel

from standoff.errors import Problem
from standoff.job.keys import NOT_NEGATIVE, POSITIVE, extra, keys, table_of
from standoff.job.tables import (
    FORMAT,
    JobFile,
    LatheTable,
    LoaderTable,
    ModeTable,
    NoseTable,
    RulesTable,
    default_readings,
    surveyed,
)
from standoff.reading import Reading

Series = tuple[Reading, ...] | None
NOISE_MM = 1e-6
"""What sums of floating-point numbers may miss by: a bar change at the very limit is inside."""

KEYS_OF_KIND = {"telescopic": ("collapsed", "extended", "overlap"), "fixed": ("length",)}


@dataclass(frozen=True, slots=True)
class _Finding:
    """A problem, and the other fields that take part in it."""

    problem: Problem
    others: tuple[str, ...]

    def rests_on(self, refused: Collection[str]) -> bool:
        """Whether a field that takes part, or a table it stands in, was refused."""
        fields = (self.problem.field, *self.others)
        return any(field == r or field.startswith((f"{r}.", f"{r}[")) for field in fields for r in refused)


def _problem(code: str, field: str, found: str, expected: str, action: str) -> Problem:
    return Problem(code, "", None, field, found, expected, action)


def _finding(code: str, field: str, found: str, expected: str, action: str, *others: str) -> _Finding:
    return _Finding(_problem(code, field, found, expected, action), others)


def missing_keys(draft: BaseModel, refused: Collection[str], prefix: str = "") -> Iterator[Problem]:
    """Every required key that is neither there nor refused, in tables that are there."""
    for key, attribute, field in keys(type(draft)):
        path = f"{prefix}.{key}" if prefix else key
        value = getattr(draft, attribute)
        if path in refused:
            continue
        if value is None and extra(field).get("required"):
            yield _missing(path, table_of(type(draft), key) is not type(draft), extra(field).get("examples", ()))
        elif isinstance(value, BaseModel):
            yield from missing_keys(value, refused, path)
        elif isinstance(value, list):
            for i, element in enumerate(value):
                if isinstance(element, BaseModel) and f"{path}[{i}]" not in refused:
                    yield from missing_keys(element, refused, f"{path}[{i}]")


def _missing(path: str, is_table: bool, examples: Collection[str]) -> Problem:
    if is_table:
        return _problem("key-missing", path, "no such table", f"a table [{path}]", "write it; `standoff new` shows one")
    if path == "format":
        return _problem("key-missing", path, "no format", f'"{FORMAT}"', f'write format = "{FORMAT}" at the top')
    key, example = path.rpartition(".")[2], next(iter(examples), "...")
    return _problem("key-missing", path, "nothing", "a value", f'write {key} = "{example}" with your figure')


def contradictions(draft: JobFile, refused: Collection[str]) -> Iterator[Problem]:
    """Every value that has the wrong sign or contradicts another."""
    signs = list(_signs(draft))
    yield from signs
    yield from _repeats(draft)
    unusable = {*refused, *(problem.field for problem in signs)}
    yield from (finding.problem for finding in _findings(draft) if not finding.rests_on(unusable))


def _repeats(draft: JobFile) -> Iterator[Problem]:
    """What is read once more is weighed against the first reading: it needs an uncertainty."""
    for path, series in surveyed(draft):
        for i, reading in enumerate(series):
            if i and reading.u_mm == 0.0:
                action = "state its uncertainty, or leave the further reading out"
                yield _problem(
                    "reading-exact", f"{path}[{i}]", f"{reading.text}, taken as exact", "an uncertainty above 0", action
                )


def _findings(draft: JobFile) -> Iterator[_Finding]:
    if draft.lathe is not None:
        yield from _headstock(draft.lathe, draft.rules)
    if draft.loader is not None:
        yield from _loader(draft.loader, draft.rules)
    if draft.nose is not None:
        yield from _nose(draft.nose)
    if draft.rules is not None:
        yield from _rules(draft.rules)


def _signs(table: BaseModel, prefix: str = "") -> Iterator[Problem]:
    for key, attribute, field in keys(type(table)):
        value, path = getattr(table, attribute), f"{prefix}.{key}" if prefix else key
        if isinstance(value, BaseModel):
            yield from _signs(value, path)
        elif isinstance(value, list):
            for i, element in enumerate(value):
                if isinstance(element, BaseModel):
                    yield from _signs(element, f"{path}[{i}]")
                else:
                    yield from _sign(element, f"{path}[{i}]", extra(field).get("sign", ""))
        elif isinstance(value, tuple):
            yield from _sign(value, path, extra(field).get("sign", ""))


def _sign(series: tuple[Reading, ...], path: str, sign: str) -> Iterator[Problem]:
    for i, reading in enumerate(series):
        field = f"{path}[{i}]" if i else path
        if sign == POSITIVE and reading.value_mm <= 0.0:
            yield _problem("value-sign", field, reading.text, "a length above 0", "check the reading and its sign")
        elif sign == NOT_NEGATIVE and reading.value_mm < 0.0:
            yield _problem("value-sign", field, reading.text, "a length of 0 or more", "check the reading and its sign")


def _headstock(lathe: LatheTable, rules: RulesTable | None) -> Iterator[_Finding]:
    if lathe.headstock == "fixed" and lathe.modes:
        yield _finding(
            "headstock-modes",
            "lathe.modes",
            "modes",
            "none: a fixed headstock does not travel",
            'remove [[lathe.modes]], or write headstock = "sliding"',
        )
    if lathe.headstock != "sliding":
        return
    if not lathe.modes:
        yield _finding(
            "headstock-modes",
            "lathe.modes",
            "no mode",
            "at least one [[lathe.modes]]",
            "write the mode with its z_rear and z_front",
        )
    if lathe.z_forward is None:
        yield _finding(
            "z-forward-missing",
            "lathe.z_forward",
            "nothing",
            'which end of Z is the rear: "positive" or "negative"',
            "move the headstock forward a little and watch the control's Z: rising is positive, falling negative",
        )
    names = [mode.name for mode in lathe.modes]
    for i, mode in enumerate(lathe.modes):
        if mode.name is not None and mode.name in names[:i]:
            yield _finding(
                "name-twice",
                f"lathe.modes[{i}].name",
                f'"{mode.name}" a second time',
                "a name of its own",
                "rename one",
            )
        if lathe.z_forward is not None:
            yield from _travel(mode, f"lathe.modes[{i}]", lathe.z_forward, rules)


def _first_mm(series: Series) -> float | None:
    return series[0].value_mm if series else None


def _rule(rules: RulesTable | None, key: str) -> Reading:
    given: Series = getattr(rules, key) if rules is not None else None
    return (given or default_readings()[f"rules.{key}"])[0]


def _travel(mode: ModeTable, path: str, z_forward: str, rules: RulesTable | None) -> Iterator[_Finding]:
    rear_mm, front_mm = _first_mm(mode.z_rear), _first_mm(mode.z_front)
    if rear_mm is None or front_mm is None:
        return
    sign = 1.0 if z_forward == "positive" else -1.0
    travel_mm = sign * (front_mm - rear_mm)
    if travel_mm <= 0.0:
        yield _finding(
            "z-order",
            f"{path}.z_front",
            f"{mode.z_front[0].text} against z_rear {mode.z_rear[0].text}",
            f"a front limit ahead of the rear limit, Z being {z_forward} forward",
            "check both limits, and z_forward",
            f"{path}.z_rear",
        )
        return
    change_mm = _first_mm(mode.z_bar_change)
    if change_mm is None:
        back = _rule(rules, "bar_change_setback")
        if back.value_mm > travel_mm + NOISE_MM:
            yield _finding(
                "bar-change-outside",
                f"{path}.z_bar_change",
                f"nothing, and the default {back.text} behind the front limit lies behind the rear limit",
                "a bar change position inside the travel",
                "write z_bar_change as the control shows it",
                "rules.bar_change_setback",
            )
    elif not -NOISE_MM <= sign * (change_mm - rear_mm) <= travel_mm + NOISE_MM:
        yield _finding(
            "bar-change-outside",
            f"{path}.z_bar_change",
            mode.z_bar_change[0].text if mode.z_bar_change else "",
            f"a Z between z_rear {mode.z_rear[0].text} and z_front {mode.z_front[0].text}",
            "read it at the control again",
        )


def _loader(loader: LoaderTable, rules: RulesTable | None) -> Iterator[_Finding]:
    longest, capacity_mm = rules.longest_bar if rules is not None else None, _first_mm(loader.bar_capacity)
    if longest and capacity_mm is not None and longest[0].value_mm > capacity_mm:
        yield _finding(
            "bar-too-long",
            "rules.longest_bar",
            longest[0].text,
            f"at most the loader's {loader.bar_capacity[0].text}",
            "shorten the bar, or correct bar_capacity",
            "loader.bar_capacity",
        )
    if loader.centre_height is not None:
        low, high = loader.centre_height
        if low[0].value_mm > high[0].value_mm:
            yield _finding(
                "range-reversed",
                "loader.centre_height",
                f"{low[0].text} to {high[0].text}",
                "the lowest first, then the highest",
                "exchange the two",
                "loader.centre_height[0]",
                "loader.centre_height[1]",
            )


def _nose(nose: NoseTable) -> Iterator[_Finding]:
    if nose.kind is not None:
        yield from _keys_of_kind(nose)
    short_mm, long_mm, overlap_mm = (_first_mm(s) for s in (nose.collapsed, nose.extended, nose.overlap))
    if nose.kind == "telescopic" and short_mm is not None and long_mm is not None:
        usable_mm = long_mm - (overlap_mm or 0.0)
        if usable_mm <= short_mm:
            yield _finding(
                "nose-lengths",
                "nose.extended",
                "a usable length (extended less overlap) not above the collapsed one",
                "an extended length greater than collapsed and overlap together",
                "check the three readings",
                "nose.collapsed",
                "nose.overlap",
            )
    whole, cut_mm = nose.collapsed if nose.kind == "telescopic" else nose.length, _first_mm(nose.may_be_cut)
    if whole and cut_mm is not None and cut_mm >= whole[0].value_mm and nose.may_be_cut:
        yield _finding(
            "nose-lengths",
            "nose.may_be_cut",
            nose.may_be_cut[0].text,
            f"less than the nose's {whole[0].text}",
            "check both readings",
            "nose.collapsed",
            "nose.length",
        )
    entry_mm, kept_mm = _first_mm(nose.entry_depth), _first_mm(nose.least_engagement)
    if kept_mm is not None and entry_mm is None:
        yield _finding(
            "nose-entry",
            "nose.entry_depth",
            "nothing beside least_engagement",
            "how deep the tip enters when fully home",
            "write entry_depth, or remove least_engagement",
            "nose.least_engagement",
        )
    elif kept_mm is not None and entry_mm is not None and kept_mm > entry_mm and nose.least_engagement:
        yield _finding(
            "nose-entry",
            "nose.least_engagement",
            nose.least_engagement[0].text,
            "at most the entry depth",
            "check both readings",
            "nose.entry_depth",
        )


def _keys_of_kind(nose: NoseTable) -> Iterator[_Finding]:
    """A nose has the lengths of its own kind and no others."""
    for kind, lengths in KEYS_OF_KIND.items():
        for key in lengths:
            given = key in nose.model_fields_set
            if kind == nose.kind and not given:
                yield _Finding(_missing(f"nose.{key}", False, extra(type(nose).model_fields[key]).get("examples", ())), ())
            elif kind != nose.kind and given:
                yield _finding(
                    "nose-kind",
                    f"nose.{key}",
                    f"{key} of a {nose.kind} nose",
                    f"only {', '.join(KEYS_OF_KIND[nose.kind])}",
                    f'remove it, or write kind = "{kind}"',
                )


def _rules(rules: RulesTable) -> Iterator[_Finding]:
    least, preferred = _rule(rules, "nose_clearance"), _rule(rules, "nose_clearance_preferred")
    if preferred.value_mm < least.value_mm:
        yield _finding(
            "rule-order",
            "rules.nose_clearance_preferred",
            preferred.text,
            f"at least nose_clearance, {least.text}",
            "raise it, or lower nose_clearance",
            "rules.nose_clearance",
        )
