"""The edge between what people write for a length and the millimetres used inside the house.

Reading is exact (fractions) and strict: a text is either read in its one sensible meaning or refused with what to
write instead. Writing rounds to the nearest step of the tape: 1/16 in or 1 mm. The inch is exactly 25.4 mm
(international yard and pound agreement of 1959; NIST SP 811, appendix B).
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from fractions import Fraction
from types import MappingProxyType
from typing import Literal

from standoff.errors import QuantityError, UsageError, shown, write_instead

Units = Literal["in", "mm"]

INCH_MM = Fraction(254, 10)
FOOT_MM = 12 * INCH_MM
LONGEST_TEXT = 64
GREATEST_MM = 1_000_000
ON_STEP_MM = 1e-6
"""A value this near a step counts as on it, so that noise of floating point never costs a step."""

_UNIT_MM: Mapping[str, Fraction] = MappingProxyType(
    {"in": INCH_MM, "ft": FOOT_MM, "mm": Fraction(1), "cm": Fraction(10), "m": Fraction(1000)}
)
_WORDS: Mapping[str, str] = MappingProxyType(
    {"in": "in", "inch": "in", "inches": "in", "ft": "ft", "foot": "ft", "feet": "ft", "mm": "mm", "cm": "cm", "m": "m"}
)
_MARKS: Mapping[str, str] = MappingProxyType(
    dict.fromkeys(['"', "″", "”", "“", "''", "′′", "’’"], "in") | dict.fromkeys(["'", "′", "’", "‘"], "ft")
)
# "M" may be metre or mega; "Mm" is a megametre by the book; all capitals are what a shop keyboard writes.
_AMBIGUOUS_WORDS = frozenset({"M", "Mm", "mM"})
_TOGETHER = frozenset({("in",), ("ft",), ("ft", "in"), ("mm",), ("cm",), ("m",)})
_VULGAR: Mapping[str, str] = MappingProxyType(
    {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}
)
_EXPECTED = 'a number and a unit, such as "22 in", "12 ft 6 1/2 in" or "558.8 mm"'

_ALIKE = str.maketrans({"⁄": "/", "∕": "/", "\u2010": "-", "\u2011": "-"})
_UNIT = re.compile(r"''|′′|’’|[\"″”“'′’‘]|[A-Za-z]+(?:\.(?![0-9]))?")
_FOREIGN = re.compile(r"[^0-9A-Za-z\s.,/\"″”“'′’‘½¼¾⅛⅜⅝⅞-]")
_EXPONENT = re.compile(r"[0-9.,]\s*[eE]\s*[-+\u2212]?[0-9]")
_NOT_FINITE = re.compile(r"\b(?:inf|infinity|nan)\b", re.IGNORECASE)
_VULGAR_SIGN = re.compile("(-?)([½¼¾⅛⅜⅝⅞])")
_FEET_JOINT = re.compile(r"(?:-\s*|\s+-\s+)(?=\S)")
_MIXED = re.compile(r"(?:(?P<whole>[0-9]+)(?:\s+|-))?(?P<over>[0-9]+)/(?P<under>[0-9]+)")
_DECIMAL = re.compile(r"[0-9]+(?:[.,][0-9]+)?|[.,][0-9]+")
_COMMA_THREE = re.compile(r"[0-9]*,[0-9]{3}")


def parse_length(text: str) -> Fraction:
    """The length a text stands for, exactly.

    The sign goes with the whole: "-2 1/2 in" is minus two and a half inches. Feet may carry a fraction or decimals
    only where no inches follow; a decimal comma is read as a point unless exactly three digits follow it.

    Returns: the length [mm].
    Raises: QuantityError with a code, what was found, what was expected and what to write instead.

    >>> parse_length("12 ft 6 1/2 in") == Fraction("3822.7")
    True
    """
    negative, body = _sign_and_body(text)
    parts = _parts(text, body)
    together = tuple(unit for _, unit in parts)
    _check_together(text, together)
    amounts = [_amount(text, number, unit, later=place > 0) for place, (number, unit) in enumerate(parts)]
    if len(amounts) == 2:
        _check_feet_and_inches(text, feet=amounts[0], inches=amounts[1])
    total = sum((amount * _UNIT_MM[unit] for amount, unit in zip(amounts, together, strict=True)), Fraction(0))
    if total > GREATEST_MM:
        raise _refusal("length-too-large", text, "check the unit and the number")
    return -total if negative else total


def format_length(mm: float | Fraction, units: Units, *, denominator: int = 16, decimals: int = 0, feet: bool = False) -> str:
    """A length as it is read off a tape, rounded to the nearest step (halves away from zero); never "-0".

    Args: mm [mm]; denominator: of the inch, a power of two up to 128; decimals: of the millimetre, 0 to 6;
        feet: write whole feet apart (inches only). What does not belong to `units` has no effect.
    Returns: "11 1/2 in", "-3/16 in", "12 ft 6 in" or "292.1 mm": texts that `parse_length` reads back exactly.
    Raises: UsageError for a length that is not finite, other units, denominators or decimals.
    """
    if units == "mm":
        if not 0 <= decimals <= 6:
            raise UsageError(what="decimals", given=shown(decimals), allowed="0 to 6", action="ask for fewer")
        steps = _nearest(mm, Fraction(1, 10**decimals))
        return f"{_minus(steps)}{_decimal_digits(abs(steps), decimals)} mm"
    _checked_units(units)
    if denominator not in (1, 2, 4, 8, 16, 32, 64, 128):
        raise UsageError(what="denominator", given=shown(denominator), allowed="1, 2, 4 ... 128", action="ask for 16 or 32")
    steps = _nearest(mm, INCH_MM / denominator)
    whole_feet, rest = divmod(abs(steps), 12 * denominator) if feet else (0, abs(steps))
    inches = _mixed_digits(Fraction(rest, denominator))
    shown_parts = [f"{whole_feet} ft"] if whole_feet else []
    if rest or not whole_feet:
        shown_parts.append(f"{inches} in")
    return _minus(steps) + " ".join(shown_parts)


def decimal(value: float, places: int) -> str:
    """A finite figure in decimals: halves away from zero and freed of noise below 1e-9, so that every machine writes the same."""
    steps = _nearest(value, Fraction(1, 10**places))
    return _minus(steps) + _decimal_digits(abs(steps), places)


def step_mm(units: Units) -> float:
    """The step to which lengths are set and shown: 1/16 in or 1 mm. [mm]"""
    return float(_step(units))


def nearest_step(mm: float, units: Units) -> float:
    """The step nearest to a length, halves away from zero. [mm]"""
    return float(_nearest(mm, _step(units)) * _step(units))


def step_up(mm: float, units: Units, *, finer: int = 1) -> float:
    """The least step, or part of one, that is not below a length; a length within 1e-6 mm of a step is on it. [mm]"""
    step = _step(units) / finer
    return float(math.ceil((_exact(mm) - Fraction(ON_STEP_MM)) / step) * step)


def step_down(mm: float, units: Units, *, finer: int = 1) -> float:
    """The greatest step, or part of one, that is not above a length; a length within 1e-6 mm of a step is on it. [mm]"""
    step = _step(units) / finer
    return float(math.floor((_exact(mm) + Fraction(ON_STEP_MM)) / step) * step)


def round_inward(*, least_mm: float, greatest_mm: float, units: Units) -> tuple[float, float] | None:
    """An interval rounded inwards to whole steps, or None when no step lies in it; infinite sides stay as they are."""
    least = least_mm if least_mm == -math.inf else step_up(least_mm, units)
    greatest = greatest_mm if greatest_mm == math.inf else step_down(greatest_mm, units)
    return (least, greatest) if least <= greatest else None


def _refusal(code: str, text: str, action: str, *, what: str | None = None) -> QuantityError:
    """The error for a text that is not read as a length."""
    return QuantityError(code, given=shown(text), expected=_EXPECTED, action=action, what=what)


def _bare(text: str) -> str:
    """The text without surrounding spaces and byte-order mark."""
    return text.strip().lstrip("\ufeff").strip()


def _sign_and_body(text: str) -> tuple[bool, str]:
    """Whether a minus leads, and what follows the sign; refuses what no part of a length can be."""
    if len(text) > LONGEST_TEXT:
        raise _refusal("length-too-long", text, "write the length alone and put remarks into a note")
    body = _bare(text).translate(_ALIKE)
    if not body:
        raise _refusal("length-empty", text, "write a number and a unit, or leave the key out")
    if _NOT_FINITE.search(body):
        raise _refusal("length-not-finite", text, "write the measured length, or leave the key out")
    if _EXPONENT.search(body):
        raise _refusal("length-exponent", text, 'write the number out, such as "1200 mm"')
    negative = body[0] in "-\u2212"
    if negative or body[0] == "+":
        body = body[1:].lstrip()
    if "+" in body or "\u2212" in body:
        raise _refusal("length-sign-inside", text, "write one sign, in front of the whole length")
    if foreign := _FOREIGN.search(body):
        raise _refusal("length-character", text, f"take {shown(foreign[0])} out")
    if not any(char.isdecimal() or char in _VULGAR for char in body):
        raise _refusal("length-without-number", text, "write the number in front of the unit")
    return negative, body


def _parts(text: str, body: str) -> list[tuple[str, str]]:
    """The numbers, still as text, each with the unit that follows it."""
    parts: list[tuple[str, str]] = []
    start = 0
    for found in _UNIT.finditer(body):
        parts.append((body[start : found.start()], _unit(text, found[0])))
        start = found.end()
    tail = body[start:].strip()
    if tail and not parts:
        raise _refusal("length-without-unit", text, f'write "{_bare(text)} in" or "{_bare(text)} mm"')
    if tail:
        raise _refusal("length-without-unit", text, f'write the unit after {shown(tail)} too, such as "{tail} in"')
    return parts


def _unit(text: str, written: str) -> str:
    """The unit a mark or a word stands for."""
    if written in _MARKS:
        return _MARKS[written]
    word = written.rstrip(".")
    if word in _AMBIGUOUS_WORDS:
        raise _refusal("length-unit-ambiguous", text, 'write "mm" or "m" in small letters')
    if word.lower() not in _WORDS:
        unknown = f"with the unknown unit {shown(word)}"
        raise _refusal("length-unit-unknown", text, write_instead(word, _WORDS), what=unknown)
    return _WORDS[word.lower()]


def _check_together(text: str, together: tuple[str, ...]) -> None:
    """Refuses units that do not make one length: only feet before inches go together."""
    if together in _TOGETHER:
        return
    imperial = [unit in ("in", "ft") for unit in together]
    if any(imperial) and not all(imperial):
        raise _refusal("length-mixed-systems", text, "write it in feet and inches or in one metric unit")
    if any(imperial):
        raise _refusal("length-parts", text, "write the feet once, then the inches once")
    raise _refusal("length-parts", text, "write it in one metric unit")


def _check_feet_and_inches(text: str, *, feet: Fraction, inches: Fraction) -> None:
    """Refuses feet that are not whole, and inches that make a foot, where both are written."""
    if feet.denominator != 1:
        raise _refusal("length-feet-not-whole", text, "write whole feet before the inches")
    if inches >= 12:
        raise _refusal("length-inches-beside-feet", text, "write it in inches alone, or carry twelve inches to a foot")


def _amount(text: str, number: str, unit: str, *, later: bool) -> Fraction:
    """The number in front of one unit; `later`: a hyphen may join it to the feet before it."""
    if later and (joint := _FEET_JOINT.match(number)):
        number = number[joint.end() :]
    number = _VULGAR_SIGN.sub(lambda sign: f"{sign[1] or ' '}{_VULGAR[sign[2]]} ", number).strip()
    if not number:
        raise _refusal("length-without-number", text, f'write the number in front of "{unit}"')
    if mixed := _MIXED.fullmatch(number):
        return _mixed(text, mixed)
    if _COMMA_THREE.fullmatch(number):
        thousands, point = number.replace(",", "").lstrip("0") or "0", number.replace(",", ".")
        either = " or ".join(f'"{_bare(text).replace(number, instead, 1)}"' for instead in (thousands, point))
        raise _refusal("length-comma-ambiguous", text, f"write {either}")
    if _DECIMAL.fullmatch(number):
        return Fraction(number.replace(",", "."))
    raise _number_refusal(text, number, unit)


def _mixed(text: str, mixed: re.Match[str]) -> Fraction:
    """A fraction, with or without a whole number before it."""
    whole, over, under = mixed["whole"], int(mixed["over"]), int(mixed["under"])
    if under == 0:
        raise _refusal("length-zero-denominator", text, "write the fraction as it stands on the tape")
    if whole is not None and over >= under:
        raise _refusal("length-fraction-improper", text, "carry the fraction's whole part, or write a decimal number")
    return Fraction(int(whole or 0)) + Fraction(over, under)


def _number_refusal(text: str, number: str, unit: str) -> QuantityError:
    """Why a number cannot be read, the most telling reason first."""
    if "/" in number and re.search("[.,]", number):
        return _refusal("length-decimal-with-fraction", text, "write either a decimal number or a fraction")
    if any(len(re.findall("[.,]", word)) > 1 for word in number.split()):
        return _refusal("length-separators", text, "write one decimal point and nothing between the thousands")
    if "-" in number:
        action = 'write one sign, in front of the whole; a hyphen joins without spaces, as in "6-1/2 in"'
        return _refusal("length-sign-inside", text, action)
    words = number.split()
    if len(words) > 1 and all(_DECIMAL.fullmatch(word) or _MIXED.fullmatch(word) for word in words):
        imperial = unit in ("in", "ft")
        action = 'give each its unit, such as "12 ft 6 in"' if imperial else "write one number without a space in it"
        return _refusal("length-two-numbers", text, action)
    return _refusal("length-number", text, 'write it as "6.5", "6 1/2" or "13/2"')


def _checked_units(units: Units) -> Units:
    """The units lengths are shown in, or a refusal."""
    if units not in ("in", "mm"):
        raise UsageError(what="units", given=shown(units), allowed='"in" or "mm"', action="choose one of them")
    return units


def _step(units: Units) -> Fraction:
    """1/16 in or 1 mm. [mm]"""
    return INCH_MM / 16 if _checked_units(units) == "in" else Fraction(1)


def _exact(mm: float | Fraction) -> Fraction:
    """A finite length as a fraction, freed of floating-point noise below 1e-9 mm. [mm]"""
    if isinstance(mm, Fraction):
        return mm
    if not math.isfinite(mm):
        raise UsageError(what="length", given=shown(mm), allowed="a finite number", action="check what it came from")
    return Fraction(round(Fraction(mm) * 10**9), 10**9)


def _nearest(mm: float | Fraction, step: Fraction) -> int:
    """The number of steps nearest to a length, halves away from zero."""
    exact = _exact(mm)
    steps = math.floor(abs(exact) / step + Fraction(1, 2))
    return -steps if exact < 0 else steps


def _minus(steps: int) -> str:
    """The sign written in front of a number of steps."""
    return "-" if steps < 0 else ""


def _mixed_digits(inches: Fraction) -> str:
    """A length in inches as "11 1/2", "3/16" or "0"."""
    whole, rest = divmod(inches, 1)
    if not rest:
        return str(whole)
    return f"{whole} {rest}" if whole else str(rest)


def _decimal_digits(steps: int, decimals: int) -> str:
    """A number of decimal steps as "292.1" or "292"."""
    if decimals == 0:
        return str(steps)
    whole, rest = divmod(steps, 10**decimals)
    return f"{whole}.{rest:0{decimals}d}"
