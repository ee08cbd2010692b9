"""The fields of levelling round by round: the readings of the last one open, those of earlier ones folded; and the next round.

A round is begun with the places of the last one: the same surfaces, stations and instruments, with nothing read yet.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from standoff.desk.entry import Entry
from standoff.desk.sheet import Sheet
from standoff.desk.walk import Form, Group, Place, form_of
from standoff.errors import UsageError, shown
from standoff.job.field import value_at
from standoff.job.guide import walk_of

READ_IN_ROUNDS = ("levels", "sweeps", "line_readings")
"""The lists of readings, each of which says in which round it was taken."""
STAGES = ("moved", "tightened")
"""After what a further round is read."""
READINGS, ROUNDS = "readings", "rounds"
"""The stops at which readings are taken, and at which it is said what was done."""

_CARRIED: Mapping[str, tuple[str, ...]] = {
    "levels": ("way", "within"),
    "sweeps": ("name", "surface", "behind_clamp", "circle", "within", "bracket", "headstock", "loader", "mode"),
    "line_readings": ("line", "behind_clamp", "within", "loader", "mode"),
}
"""What a reading has in common with that of the round before: everything but what is read."""


def level_form(sheet: Sheet) -> Form:
    """The fields that levelling asks for, at a revision."""
    form = form_of(sheet, "level")
    return replace(form, places=tuple(part for place in form.places for part in _parts(place, sheet)))


def level_to_go(sheet: Sheet) -> int:
    """How much must be there and is not: what was begun and left half told; all else may be left out."""
    return sum(problem.code == "key-missing" and walk_of(problem.field) == "level" for problem in sheet.problems)


def last_round(sheet: Sheet) -> int:
    """The number of the last round of which anything is typed; 1 before the first."""
    return max(_rounds(sheet), default=1)


def _rounds(sheet: Sheet) -> Iterator[int]:
    for table in (*READ_IN_ROUNDS, "level_rounds"):
        for i in range(_count(sheet, table)):
            yield round_of(sheet, table, i)


def _count(sheet: Sheet, table: str) -> int:
    rows = value_at(sheet.raw, table)
    return len(rows) if isinstance(rows, list) else 0


def round_of(sheet: Sheet, table: str, index: int) -> int:
    """The round of one reading, 1 where it does not say."""
    number = value_at(sheet.raw, f"{table}[{index}].round")
    return number if isinstance(number, int) and not isinstance(number, bool) else 1


def _parts(place: Place, sheet: Sheet) -> Iterator[Place]:
    """A stop as it is; that of the readings once for each round, the last one first."""
    if place.stop.id == ROUNDS:
        yield replace(place, groups=tuple(_by_number(group, sheet) for group in place.groups))
        return
    if place.stop.id != READINGS:
        yield replace(place, folded=_has_readings(sheet) and _settled(place, sheet))
        return
    last = last_round(sheet)
    by_round: dict[int, list[Group]] = {last: []}
    adds = []
    for group in place.groups:
        if group.add:
            adds.append(group)
            continue
        table, _, index = group.element.rstrip("]").partition("[")
        by_round.setdefault(round_of(sheet, table, int(index)), []).append(_laid_out(group))
    for number in sorted(by_round, reverse=True):
        newest = number == last
        # The place at which readings are added keeps the stop's id: links to it lead there.
        stop = replace(place.stop, title=f"Readings of round {number}", id=READINGS if newest else f"{READINGS}-{number}")
        yield Place(stop, (*by_round[number], *(adds if newest else ())), folded=not newest)


def _has_readings(sheet: Sheet) -> bool:
    return any(_count(sheet, table) for table in READ_IN_ROUNDS)


def _settled(place: Place, sheet: Sheet) -> bool:
    """Whether nothing of a stop waits, is missing or wrong: then it is out of the way of the readings."""
    amiss = {*(problem.field for problem in sheet.problems), *sheet.pending}
    return not any(field.field in amiss for field in place.fields)


def _by_number(group: Group, sheet: Sheet) -> Group:
    """What was done in a round, under the round's own number and not its place in the list."""
    if not group.element:
        return group
    index = int(group.element.rstrip("]").partition("[")[2])
    number = value_at(sheet.raw, f"level_rounds[{index}].round")
    return replace(group, title=f"Round {number}" if isinstance(number, int) else "Round, not numbered yet")


def _laid_out(group: Group) -> Group:
    """The four readings of a sweep stand around as the indicator goes round."""
    return replace(group, layout="dial") if group.element.startswith("sweeps[") else group


def begun(sheet: Sheet, table: str) -> dict[str, Entry]:
    """What an entry that was just added to a list holds from the start: the round that is being read."""
    count = _count(sheet, table)
    if table not in READ_IN_ROUNDS or not count or last_round(sheet) == 1:
        return {}
    return {f"{table}[{count - 1}].round": Entry(f"{last_round(sheet)}")}


def next_round(sheet: Sheet, stage: str = "moved") -> dict[str, Entry]:
    """The entries that begin the next round: every place of the last one, with nothing read.

    Raises: UsageError for a stage that no round after the first has.
    """
    if stage not in STAGES:
        raise UsageError(what="stage", given=shown(stage), allowed=" or ".join(STAGES), action="choose again")
    last = last_round(sheet)
    entries: dict[str, Entry] = {}
    rounds = _count(sheet, "level_rounds")
    entries[f"level_rounds[{rounds}].round"] = Entry(f"{last + 1}")
    entries[f"level_rounds[{rounds}].stage"] = Entry(stage)
    for table, carried in _CARRIED.items():
        end = _count(sheet, table)
        for i in range(end):
            if round_of(sheet, table, i) != last:
                continue
            here = sum(field.startswith(f"{table}[") and field.endswith("].round") for field in entries)
            row = f"{table}[{end + here}]"
            entries[f"{row}.round"] = Entry(f"{last + 1}")
            for key in carried:
                entry = sheet.entry(f"{table}[{i}].{key}")
                if entry.text:
                    entries[f"{row}.{key}"] = entry
    return entries
