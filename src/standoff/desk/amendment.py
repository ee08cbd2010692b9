"""An amendment: entries tried one after another on the tables of a job, and the text of the job with those it could take.

An entry is refused for what it makes wrong at its own field, and then waits beside its reason. What is missing or wrong
elsewhere does not count: a survey is filled in one field at a time. Each amendment tries again everything that waits.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from standoff.desk.entry import NO_ENTRY, Entry, Pending, entry_at, series_at, series_place, written
from standoff.errors import JobFileError, Problem, QuantityError, StandoffError, UsageError
from standoff.job.field import Kind, kind_of, replaced
from standoff.job.file import draft_of, read_tables
from standoff.job.keys import keys
from standoff.job.revision import revised
from standoff.job.tables import ModeTable
from standoff.reading import read_quantity

Tables = dict[str, Any]

_KINDS = {"nose.kind", "lathe.headstock"}
"""What decides which other fields there are."""


_ON_A_PAGE = {
    "currency-missing": ("the currency beside it", "fill in the currency; this price is then taken over by itself"),
}
"""What is expected, and what to do next, where a page is filled in rather than a file written."""


@dataclass(frozen=True, slots=True)
class Amendment:
    """The text of the job with what could be taken over, and what waits."""

    text: str
    pending: Mapping[str, Pending]


@dataclass(frozen=True, slots=True)
class _Trial:
    """What an entry would write; a problem at or below `own`, or exactly at `first`, would be its own."""

    path: str
    value: object
    own: str
    first: str


def amended(text: str, waiting: Mapping[str, Entry]) -> Amendment:
    """The job with these entries, each by its field; raises JobFileError for a text that is not TOML."""
    read = read_tables(text)
    if isinstance(read, Problem):
        raise JobFileError([read])
    raw, left = read, {**waiting, **_lone_ends(read, waiting)}
    writes: dict[str, object] = {}
    reasons: dict[str, Problem] = {}
    count = -1
    while len(left) != count:
        count = len(left)
        for field in list(left):
            outcome = _tried(raw, field, left)
            if isinstance(outcome, Problem):
                reasons[field] = outcome
            else:
                raw = replaced(raw, outcome.path, outcome.value)
                writes[outcome.path] = outcome.value
                del left[field]
    pending = {field: Pending(entry, reasons[field]) for field, entry in left.items()}
    put_aside = _put_aside(raw, writes) if _KINDS & set(writes) else {}
    return Amendment(revised(text, writes) if writes else text, {**pending, **put_aside})


def _tried(raw: Tables, field: str, left: Mapping[str, Entry]) -> _Trial | Problem:
    """What is to be written for an entry, or why it is refused."""
    try:
        _readable(left[field], field)
        trial = _trial(raw, field, left)
        problems = draft_of(replaced(raw, trial.path, trial.value))[1] if trial.value is not None else []
    except StandoffError as error:
        return error.problem(field=field)
    for problem in problems:
        own = problem.field == trial.first or _within(problem.field, trial.own)
        if own or _foreign_mode(problem, field, raw):
            expected, action = _ON_A_PAGE.get(problem.code, (problem.expected, problem.action))
            return replace(problem, expected=expected, action=action)
    return trial


def _readable(entry: Entry, field: str) -> None:
    """Raise QuantityError for a length that is none, wherever it stands: most of what waits is that, and quickly told."""
    if entry.text and kind_of(field) in (Kind.QUANTITY, Kind.RANGE_END):
        read_quantity(written(Kind.QUANTITY, entry), default_source=None)


def _within(field: str, own: str) -> bool:
    """Whether a field is another one or part of it."""
    return field == own or field.startswith((f"{own}.", f"{own}["))


def _foreign_mode(problem: Problem, field: str, raw: Tables) -> bool:
    """Whether the problem is that a fixed headstock has no modes, and the field is one of a mode."""
    fixed = raw.get("lathe", {}).get("headstock") == "fixed"
    return fixed and problem.code == "headstock-modes" and field.startswith("lathe.modes")


def _trial(raw: Tables, field: str, left: Mapping[str, Entry]) -> _Trial:
    entry, kind = left[field], kind_of(field)
    if kind is Kind.RANGE_END:
        return _range_trial(raw, field, left)
    if kind is not Kind.QUANTITY:
        return _Trial(field, written(kind, entry) if entry.text else None, field, field)
    place, index = series_place(field)
    series = list(series_at(raw, place))
    if entry.text and index > len(series):
        action = "add the readings in their order"
        raise UsageError(what="reading", given=field, allowed=f"at most {place}[{len(series)}]", action=action)
    series[index : index + 1] = [written(kind, entry)] if entry.text else []
    value = series[0] if len(series) == 1 else series or None
    # What the checks say of a quantity as a whole they say of its first reading.
    own = place if value is not series else f"{place}[{index}]"
    return _Trial(place, value, own, own if index else place)


def _range_trial(raw: Tables, field: str, left: Mapping[str, Entry]) -> _Trial:
    """Both ends of a range, the other one as it stands or waits; raises UsageError where it does neither."""
    place, index = series_place(field)
    ends = [entry_at(raw, f"{place}[{i}]") for i in (0, 1)]
    ends[index] = left[field]
    if not left[field].text:
        return _Trial(place, None, place, place)
    if not ends[1 - index].text:
        ends[1 - index] = left.get(f"{place}[{1 - index}]", NO_ENTRY)
        try:
            _readable(ends[1 - index], field)
        except QuantityError:
            ends[1 - index] = NO_ENTRY
    if not ends[1 - index].text:
        raise UsageError(what="range", given="with one end", allowed="both ends", action="type the other end too")
    return _Trial(place, [written(Kind.RANGE_END, end) for end in ends], place, place)


def _lone_ends(raw: Tables, waiting: Mapping[str, Entry]) -> dict[str, Entry]:
    """The other end of each range of which one end is to be taken away: the range goes, and the end waits for a new one."""
    emptied = [field for field, entry in waiting.items() if not entry.text and kind_of(field) is Kind.RANGE_END]
    others = [f"{place}[{1 - index}]" for place, index in map(series_place, emptied)]
    return {other: entry for other in others if other not in waiting and (entry := entry_at(raw, other)).text}


def _put_aside(raw: Tables, writes: dict[str, object]) -> dict[str, Pending]:
    """Take out what a change of nose or headstock leaves without a place: it waits, should the change be taken back."""
    _, problems = draft_of(raw)
    aside: dict[str, Pending] = {}
    for problem in problems:
        if problem.code == "nose-kind":
            fields, path = _readings(raw, problem.field), problem.field
        elif problem.code == "headstock-modes" and raw.get("lathe", {}).get("modes"):
            path = "lathe.modes"
            fields = [field for i in range(len(raw["lathe"]["modes"])) for field in _fields_of_mode(raw, i)]
        else:
            continue
        aside |= {field: Pending(entry_at(raw, field), problem) for field in fields}
        for written_before in [before for before in writes if _within(before, path)]:
            del writes[written_before]
        raw = replaced(raw, path, None)
        writes[path] = None
    return aside


def _fields_of_mode(raw: Tables, index: int) -> list[str]:
    paths = [f"lathe.modes[{index}].{key}" for key, _, _ in keys(ModeTable)]
    return [field for path in paths for field in _readings(raw, path)]


def _readings(raw: Tables, path: str) -> list[str]:
    """The fields under which the readings of a quantity, or the one value of another key, are typed."""
    return [f"{path}[{i}]" if i else path for i in range(len(series_at(raw, path)))]
