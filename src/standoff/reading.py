"""A measured value: number, standard uncertainty, source, when; and how one is read from what a job file holds.

A reading without a stated uncertainty gets the one its source stands for. Limits of error are half-widths of a
rectangular distribution; inside the house only standard uncertainties are used.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, time
from types import MappingProxyType
from typing import Literal

from standoff.errors import QuantityError, UsageError, shown, write_instead
from standoff.units import parse_length

TapeClass = Literal["I", "II", "III"]


@dataclass(frozen=True, slots=True)
class TapeLimits:
    """Limits of error of one accuracy class of tapes: a + b per started metre, c more from a hook end."""

    a_mm: float
    b_mm_per_m: float
    c_mm: float


TAPE_LIMITS: Mapping[str, TapeLimits] = MappingProxyType(
    {"I": TapeLimits(0.1, 0.1, 0.1), "II": TapeLimits(0.3, 0.2, 0.2), "III": TapeLimits(0.6, 0.4, 0.3)}
)
"""Source: Directive 2014/32/EU, Annex X (MI-008), Chapter I, Table 1."""


def tape_mpe_mm(length_mm: float, tape_class: TapeClass, *, hook_end: bool = False) -> float:
    """How wrong may a lawful tape be over this length, scale mark to scale mark?

    Model: a + b L with L in metres, rounded up to the next whole metre (so it errs high, by less than b); c is added
    where the length starts at the tape's end or hook.

    Args: length_mm [mm], its sign is of no account; tape_class "I", "II" or "III".
    Returns: the maximum permissible error, a half-width [mm].
    Raises: UsageError for another class or a length that is not finite.
    Validity: any length, at the tape's rated tension and temperature.
    Source: Directive 2014/32/EU, Annex X (MI-008), Chapter I, Table 1.

    >>> round(tape_mpe_mm(7300, "II"), 9)
    1.9
    """
    if tape_class not in TAPE_LIMITS:
        raise UsageError(what="tape class", given=shown(tape_class), allowed="I, II or III", action="choose one")
    if not math.isfinite(length_mm):
        raise UsageError(what="length", given=shown(length_mm), allowed="a finite number", action="check what it came from")
    limits = TAPE_LIMITS[tape_class]
    started_m = math.ceil(abs(length_mm) / 1000 - 1e-9)  # noise of floating point starts no metre
    return limits.a_mm + limits.b_mm_per_m * started_m + (limits.c_mm if hook_end else 0.0)


def rectangular_u_mm(half_width_mm: float) -> float:
    """What standard uncertainty stands for limits of error within which every value is equally likely?

    Args: half_width_mm, half the distance between the limits [mm].
    Returns: half_width / sqrt 3 [mm].
    Raises: UsageError for a half-width that is negative or not finite.
    Validity: limits that are sure; errs high where values near the middle are likelier.
    Source: JCGM 100:2008, 4.3.7.

    >>> round(rectangular_u_mm(1.0), 5)
    0.57735
    """
    return _checked_u_mm(half_width_mm) / math.sqrt(3)


@dataclass(frozen=True, slots=True)
class Source:
    """What a length was read with or taken from, and the half-width that stands for."""

    name: str
    meaning: str
    allowance_mm: float
    tape_class: TapeClass | None = None
    measured: bool = True

    def half_width_mm(self, length_mm: float) -> float:
        """The half-width of the limits of error for a length of this source. [mm]"""
        tape_mm = 0.0 if self.tape_class is None else tape_mpe_mm(length_mm, self.tape_class)
        return tape_mm + self.allowance_mm


# The allowances are this project's choice, not published; only the tape's own limits are.
SOURCES: Mapping[str, Source] = MappingProxyType(
    {
        source.name: source
        for source in (
            Source("tape", "a tape, both ends touched", 1.0, "II"),
            Source("sighted", "a tape, an end sighted or reached past an obstacle", 3.0, "II"),
            Source("rule", "a steel rule", 0.5),
            Source("caliper", "a caliper", 0.05),
            Source("laser", "a laser distance meter", 2.0),
            Source("control", "the position shown by a machine's control", 0.01),
            Source("manual", "a maker's manual", 3.0, measured=False),
            Source("drawing", "a drawing", 3.0, measured=False),
            Source("estimate", "an estimate", 10.0, measured=False),
        )
    }
)
"""Every source by its name; those not `measured` are to be measured before they are relied on."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One length as it was read; `source` is None for what is exact by rule."""

    value_mm: float
    u_mm: float
    source: str | None
    source_stated: bool
    note: str = ""
    text: str = ""
    when: str | None = None

    def __post_init__(self) -> None:
        if not math.isfinite(self.value_mm):
            raise UsageError(
                what="reading", given=shown(self.value_mm), allowed="a finite length", action="check what it came from"
            )
        _checked_u_mm(self.u_mm)

    @property
    def half_width_mm(self) -> float:
        """The limits of error the standard uncertainty stands for, as a half-width. [mm]"""
        return self.u_mm * math.sqrt(3)


KEYS = ("value", "uncertainty", "standard_uncertainty", "source", "note", "when")
"""The keys of a quantity written as a table."""

_PLUS_MINUS = re.compile(r"±|\+/?[-\u2212]")
_EXPECTED = 'text such as "22 in", a table with a value, or a list of such'


def read_quantity(raw: object, *, default_source: str | None) -> tuple[Reading, ...]:
    """The readings a quantity of a job file stands for: one, or several of the same thing in the order given.

    Args: raw, as TOML or JSON yields it; default_source, for readings that state none (None: exact unless an
        uncertainty is given, even where a source is stated).
    Returns: at least one reading.
    Raises: QuantityError for the first part that cannot be read; its `where` names the part.
    """
    if default_source is not None and default_source not in SOURCES:
        raise UsageError(
            what="default source",
            given=shown(default_source),
            allowed="a known source, or None for exact",
            action=write_instead(default_source, SOURCES),
        )
    if not isinstance(raw, list | tuple):
        return (_reading(raw, default_source),)
    if not raw:
        raise _refusal("quantity-list-empty", raw, "write one reading at least, or leave the key out")
    readings = []
    for place, entry in enumerate(raw):
        try:
            readings.append(_reading(entry, default_source))
        except QuantityError as error:
            raise error.within(f"[{place}]") from error
    return tuple(readings)


def _reading(raw: object, default_source: str | None) -> Reading:
    """One reading from a text or a table."""
    table = raw if isinstance(raw, dict) else {"value": raw}
    part = ".value" if table is raw else ""
    for key in table:
        if key not in KEYS:
            raise _refusal("quantity-key-unknown", key, write_instead(str(key), KEYS))
    if "value" not in table:
        raise _refusal("quantity-value-missing", raw, 'write value = "22 in" or the like into the table')
    text, spread = _split(table["value"], part)
    value_mm = _length_mm(text, part)
    stated = _source(table)
    given = _given_u_mm(table, spread, part)
    source = default_source if stated is None else stated
    if given is not None:
        u_mm = given
    elif default_source is None or source is None:
        u_mm = 0.0
    else:
        u_mm = rectangular_u_mm(SOURCES[source].half_width_mm(value_mm))
    return Reading(
        value_mm=value_mm,
        u_mm=u_mm,
        source=source,
        source_stated=stated is not None,
        note=_words(table, "note") or "",
        text=str(table["value"]),
        when=_words(table, "when"),
    )


def _split(raw: object, part: str) -> tuple[object, str | None]:
    """A value and the half-width written behind a plus-minus, if any."""
    if not isinstance(raw, str):
        return raw, None
    pieces = _PLUS_MINUS.split(raw)
    if len(pieces) == 1:
        return raw, None
    if len(pieces) > 2 or not all(piece.strip(" \ufeff") for piece in pieces):
        raise _refusal("uncertainty-form", raw, 'write it as "8 in ± 1/16 in"').within(part)
    return pieces[0], pieces[1]


def _given_u_mm(table: Mapping[str, object], spread: str | None, part: str) -> float | None:
    """The standard uncertainty that was given, in whichever of the three ways; None: none was. [mm]"""
    keys = [key for key in ("uncertainty", "standard_uncertainty") if key in table]
    if len(keys) + (spread is not None) > 1:
        raise _refusal("uncertainty-twice", table, "keep one of them")
    if spread is not None:
        return rectangular_u_mm(_uncertainty_mm(spread, part))
    if not keys:
        return None
    length_mm = _uncertainty_mm(table[keys[0]], f".{keys[0]}")
    return length_mm if keys[0] == "standard_uncertainty" else rectangular_u_mm(length_mm)


def _uncertainty_mm(raw: object, part: str) -> float:
    """A length that is not negative. [mm]"""
    length_mm = _length_mm(raw, part)
    if length_mm < 0:
        raise _refusal("uncertainty-negative", raw, "write it without the sign").within(part)
    return length_mm


def _length_mm(raw: object, part: str) -> float:
    """A length written as text; a bare number is refused, since its unit would be a guess. [mm]"""
    if isinstance(raw, int | float):
        number = str(raw).lower()
        action = "write the length as text with its unit"
        if not isinstance(raw, bool) and math.isfinite(raw):
            action = f'write "{number} in" or "{number} mm", in quotes'
        raise QuantityError("length-without-unit", given=number, expected=_EXPECTED, action=action, where=part)
    if not isinstance(raw, str):
        raise _refusal("quantity-form", raw, 'write it as text with its unit, such as "22 in"').within(part)
    try:
        return float(parse_length(raw))
    except QuantityError as error:
        raise error.within(part) from error


def _source(table: Mapping[str, object]) -> str | None:
    """The source a table states."""
    source = _words(table, "source")
    if source is not None and source not in SOURCES:
        raise QuantityError(
            "source-unknown",
            given=shown(source),
            expected="what the length was read with",
            action=write_instead(source, SOURCES),
            where=".source",
        )
    return source


def _words(table: Mapping[str, object], key: str) -> str | None:
    """The text under a key; a date or time is taken as its ISO 8601 text."""
    words = table.get(key)
    if key == "when" and isinstance(words, date | time):
        return words.isoformat()
    if words is not None and not isinstance(words, str):
        raise _refusal("quantity-form", words, "write it as text, in quotes").within(f".{key}")
    return words


def _refusal(code: str, raw: object, action: str) -> QuantityError:
    """The error for a quantity of the wrong shape."""
    return QuantityError(code, given=shown(raw), expected=_EXPECTED, action=action)


def _checked_u_mm(length_mm: float) -> float:
    """A length that can stand for an uncertainty. [mm]"""
    if not (math.isfinite(length_mm) and length_mm >= 0):
        raise UsageError(what="uncertainty", given=shown(length_mm), allowed="0 mm or more", action="check what it came from")
    return length_mm
