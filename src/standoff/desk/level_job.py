"""The job that levelling is worked out from: what is half told is left out row by row, so that all else still answers.

While a round is being read its sweeps are incomplete one after another; the rounds before it must not vanish meanwhile.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from standoff.desk.sheet import Sheet
from standoff.errors import Problem
from standoff.job.file import build_job, draft_of
from standoff.job.job import Job
from standoff.job.level_guide import LEVEL_TABLES
from standoff.job.level_readings import Taken
from standoff.job.tables import SURVEYED

_KEPT = {"format", "job", *SURVEYED, "check", "as_installed", *LEVEL_TABLES}
"""The tables that levelling looks at."""
_ROW = re.compile(r"([a-z_]+)\[([0-9]+)\]")


@dataclass(frozen=True, slots=True)
class LevelJob:
    """The job without what is half told, and what is wrong or missing there, in the fields of the whole job.

    `rows` are the places, in the whole job, of the rows that were kept of each list.
    """

    job: Job
    problems: tuple[Problem, ...]
    rows: Mapping[str, tuple[int, ...]]

    def in_whole(self, text: str, taken: Iterable[Taken]) -> str:
        """What is said of readings, each under its number in the whole job instead of among the rows that were kept."""
        # A row only ever moves up in the whole job: from the last one on, no new number is taken for an old one.
        for one in sorted(taken, key=lambda one: _place(one.field), reverse=True):
            table, index = _place(one.field)
            for name in (observation.name for observation in one.observations):
                text = text.replace(name, name.replace(f"({index + 1})", f"({self.rows[table][index] + 1})"))
        return text

    def field_in_whole(self, field: str) -> str:
        """A field as the whole job counts its rows."""
        return _field_in_whole(field, self.rows)


def _place(field: str) -> tuple[str, int]:
    """The list and the place in it of a row."""
    table, _, index = field.rstrip("]").partition("[")
    return table, int(index)


def level_job(sheet: Sheet) -> LevelJob | None:
    """The job for levelling at a revision; None where the survey itself is not complete."""
    if sheet.job is None:
        return None
    rest: dict[str, Any] = {key: value for key, value in sheet.raw.items() if key in _KEPT}
    rows = {table: list(range(len(value))) for table, value in rest.items() if isinstance(value, list)}
    found: list[Problem] = []
    while True:
        draft, problems = draft_of(rest)
        if not problems:
            return LevelJob(build_job(draft), tuple(found), {table: tuple(kept) for table, kept in rows.items()})
        mine = [problem for problem in problems if _table(problem.field) in LEVEL_TABLES]
        if not mine:
            return None
        found += [_in_whole(problem, rows) for problem in mine]
        rest = _without(rest, mine, rows)


def _table(field: str) -> str:
    return re.split(r"[.\[]", field, maxsplit=1)[0]


def _in_whole(problem: Problem, rows: Mapping[str, list[int]]) -> Problem:
    """A problem with its field as the whole job counts its rows."""
    return replace(problem, field=_field_in_whole(problem.field, rows))


def _field_in_whole(field: str, rows: Mapping[str, Sequence[int]]) -> str:
    match = _ROW.match(field)
    if match is None or match[1] not in rows:
        return field
    return f"{match[1]}[{rows[match[1]][int(match[2])]}]{field[match.end() :]}"


def _without(rest: dict[str, Any], problems: list[Problem], rows: dict[str, list[int]]) -> dict[str, Any]:
    """The tables without the rows, or the whole tables, that have a problem."""
    matches = [(_ROW.match(problem.field), _table(problem.field)) for problem in problems]
    whole = {table for match, table in matches if match is None or table not in rows}
    single = {(match[1], int(match[2])) for match, table in matches if match is not None and table not in whole}
    kept = {key: value for key, value in rest.items() if key not in whole}
    for table, index in sorted(single, reverse=True):
        kept[table] = [row for i, row in enumerate(kept[table]) if i != index]
        del rows[table][index]
    return {key: value for key, value in kept.items() if value != []}
