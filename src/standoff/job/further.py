"""What the tables beside the survey must satisfy: checks, remedies, the record as installed, the return visit."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from standoff.errors import Problem, write_instead
from standoff.job.bar_checks import bar_problems
from standoff.job.floor_checks import floor_problems
from standoff.job.level_checks import level_problems
from standoff.job.names import STATION_NAMES
from standoff.job.part_checks import part_problems
from standoff.job.runoff_checks import runoff_problems
from standoff.job.tables import CheckTable, JobFile, RemedyTable, ReturnReadingTable, SymptomTable, flat
from standoff.model.state import FIXED
from standoff.reading import Reading

ON_LOADER = ("clamp", "pusher-tip", "gripper", "body-front", "loader-rear")
NEEDS = {
    "cover": ("lathe.cover_to_adapter",),
    "wall": ("lathe.cover_to_adapter", "lathe.cover_to_wall"),
    "cut-off": ("lathe.collet_to_cutoff",),
    "loader-rear": ("loader.length_behind_clamp",),
}
"""What a station needs beyond the keys that must be there."""

CHANGEABLE = ("lathe.", "loader.", "nose.", "fittings[")
"""Where the quantities stand that can have changed on a return visit."""

NEEDED_BY_KIND = {"pusher-extension": "lengths", "fitting": "length"}


def further_problems(draft: JobFile) -> Iterator[Problem]:
    """Everything wrong in the tables beside the survey."""
    modes = _mode_names(draft)
    for i, check in enumerate(draft.check):
        yield from _check(draft, check, f"check[{i}]", modes)
    for i, remedy in enumerate(draft.remedy):
        yield from _remedy(draft, remedy, f"remedy[{i}]", modes)
    for i, again in enumerate(draft.return_reading):
        yield from _return_reading(draft, again, f"return_reading[{i}]", modes)
    for i, symptom in enumerate(draft.symptom):
        yield from _symptom(draft, symptom, f"symptom[{i}]", modes)
    yield from bar_problems(draft, modes)
    yield from part_problems(draft, modes)
    yield from runoff_problems(draft, modes)
    yield from level_problems(draft, modes)
    yield from floor_problems(draft)


def _problem(code: str, field: str, found: str, expected: str, action: str) -> Problem:
    return Problem(code, "", None, field, found, expected, action)


def _mode_names(draft: JobFile) -> list[str]:
    if draft.lathe is None or draft.lathe.headstock == "fixed":
        return [FIXED]
    return [mode.name for mode in draft.lathe.modes if mode.name is not None]


def _mode(name: str | None, path: str, modes: Sequence[str]) -> Iterator[Problem]:
    if name is not None and name not in modes:
        yield _problem("mode-unknown", f"{path}.mode", f'"{name}"', "a mode of this lathe", write_instead(name, modes or ("-",)))


def _stations(draft: JobFile, start: str | None, end: str | None, path: str) -> Iterator[Problem]:
    present = dict(flat(draft))
    for key, name in (("from", start), ("to", end)):
        if name is None:
            continue
        if name not in STATION_NAMES:
            yield _problem(
                "station-unknown", f"{path}.{key}", f'"{name}"', "a station", write_instead(name, tuple(STATION_NAMES))
            )
            continue
        for field in NEEDS.get(name, ()):
            if field not in present:
                yield _problem(
                    "key-missing",
                    field,
                    f"nothing, though {path} uses the station {name}",
                    "a value",
                    "measure it, or use another station",
                )
    if start is not None and start == end:
        yield _problem("station-twice", f"{path}.to", f'"{end}" at both ends', "two different stations", "name the other end")


def _uncertain(series: Sequence[Reading] | None, field: str) -> Iterator[Problem]:
    """A reading that is to be weighed against others needs an uncertainty."""
    if any(reading.u_mm == 0.0 for reading in series or ()):
        yield _problem("reading-exact", field, "an uncertainty of 0", "an uncertainty above 0", "state how it was read")


def _check(draft: JobFile, check: CheckTable, path: str, modes: Sequence[str]) -> Iterator[Problem]:
    yield from _mode(check.mode, path, modes)
    yield from _stations(draft, check.start, check.end, path)
    yield from _uncertain(check.value, f"{path}.value")
    on_loader = set(ON_LOADER) | ({"nose-tip"} if draft.nose is not None and draft.nose.kind == "fixed" else set())
    if len({check.start in on_loader, check.end in on_loader}) == 2 and check.standoff is None and check.start and check.end:
        yield _problem(
            "standoff-missing",
            f"{path}.standoff",
            "nothing, though one end is on the loader and the other is not",
            "the standoff at which it was read",
            "write standoff, as read at the same time",
        )


def _remedy(draft: JobFile, remedy: RemedyTable, path: str, modes: Sequence[str]) -> Iterator[Problem]:
    yield from _mode(remedy.mode, path, modes)
    wanted = NEEDED_BY_KIND.get(remedy.kind)
    if wanted is not None and getattr(remedy, wanted) is None and remedy.available is not False:
        yield _problem("key-missing", f"{path}.{wanted}", "nothing", f"a value for {remedy.kind}", f"write {wanted}")
    if remedy.kind == "fitting" and remedy.available is not False:
        names = [fitting.name for fitting in draft.fittings if fitting.name is not None]
        if remedy.fitting not in names:
            action = write_instead(remedy.fitting or "", names) if names else "list it in [[fittings]]"
            yield _problem("fitting-unknown", f"{path}.fitting", f'"{remedy.fitting or ""}"', "a fitting of this job", action)
    priced = [key for key in ("cost", "cost_per_year", "cost_per_year_per_mm") if getattr(remedy, key) is not None]
    if priced and draft.prices is None:
        yield _problem(
            "currency-missing",
            f"{path}.{priced[0]}",
            "a price without a currency",
            "[prices] with the currency",
            'write currency = "..." below [prices]',
        )


def _return_reading(draft: JobFile, again: ReturnReadingTable, path: str, modes: Sequence[str]) -> Iterator[Problem]:
    yield from _mode(again.mode, path, modes)
    yield from _stations(draft, again.start, again.end, path)
    yield from _uncertain(again.value, f"{path}.value")
    of_span = again.start is not None and again.end is not None and again.state is not None
    if (again.quantity is not None) == (again.start is not None or again.end is not None) or not (of_span or again.quantity):
        yield _problem(
            "reading-of-what",
            path,
            "neither one field nor one distance",
            "quantity, or else from, to and state",
            "say what was read again",
        )
    known = [field for field, _ in flat(draft) if field.startswith(CHANGEABLE)]
    if again.quantity is not None and again.quantity not in known:
        yield _problem(
            "field-unknown",
            f"{path}.quantity",
            f'"{again.quantity}"',
            "a length of the lathe, the loader, its nose or a fitting, by its field in this file",
            write_instead(again.quantity, known),
        )


def _symptom(draft: JobFile, symptom: SymptomTable, path: str, modes: Sequence[str]) -> Iterator[Problem]:
    yield from _mode(symptom.mode, path, modes)
    yield from _uncertain(symptom.by, f"{path}.by")
    if symptom.kind == "remnant-longer" and symptom.by is None:
        yield _problem("key-missing", f"{path}.by", "nothing", "by how much", "write by with the difference of the remnants")
    if symptom.kind == "cover-touched":
        yield from _stations(draft, None, "cover", path)
