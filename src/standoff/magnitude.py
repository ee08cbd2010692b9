"""The edge between what people write for a speed, a force, a mass or a stiffness and the plain numbers used inside the house.

As strict as lengths are: a number alone is refused, a comma followed by exactly three digits too. Inside stand rpm, N, kg, N/mm,
m/min, Hz, MPa, kg/m3, s and mm/m; only a slope may be negative. The pound is exactly 0.45359237 kg and standard gravity
9.80665 m/s2 (NIST SP 811, appendix B).
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from enum import Enum
from fractions import Fraction
from types import MappingProxyType

from standoff.errors import QuantityError, shown, write_instead
from standoff.units import FOOT_MM, INCH_MM

_POUND_KG = Fraction(45359237, 10**8)
_POUND_N = _POUND_KG * Fraction(980665, 10**5)
_GREATEST = Fraction(10**9)
_LONGEST = 64
"""No number of a machine takes more characters, with its unit."""
_NUMBER = re.compile(r"(?P<number>[0-9]+(?:[.,][0-9]+)?|[.,][0-9]+)\s*(?P<unit>1/min|[^\s0-9.,].*)?")
_COMMA_THREE = re.compile(r"[0-9]*,[0-9]{3}")


class Kind(Enum):
    """What can be written beside lengths; the value says it in a message, with an example."""

    ROTATION = ("a speed of rotation", "3000 rpm")
    FORCE = ("a force", "40 N")
    MASS = ("a mass", "0.8 kg")
    STIFFNESS = ("a stiffness", "500 N/mm")
    CUTTING_SPEED = ("a cutting speed", "120 m/min")
    FREQUENCY = ("a frequency", "34 Hz")
    MODULUS = ("a Young's modulus", "200 GPa")
    DENSITY = ("a density", "7850 kg/m3")
    TIME = ("a time", "75 s")
    SLOPE = ("a slope", "0.5 mm/m")


SIGNED = frozenset({Kind.SLOPE})
"""What may be negative."""

UNITS: Mapping[Kind, Mapping[str, Fraction]] = MappingProxyType(
    {
        Kind.ROTATION: {"rpm": Fraction(1), "r/min": Fraction(1), "1/min": Fraction(1)},
        Kind.FORCE: {"N": Fraction(1), "kN": Fraction(1000), "lbf": _POUND_N},
        Kind.MASS: {"kg": Fraction(1), "g": Fraction(1, 1000), "lb": _POUND_KG},
        Kind.STIFFNESS: {"N/mm": Fraction(1), "kN/mm": Fraction(1000), "N/um": Fraction(1000), "lbf/in": _POUND_N / INCH_MM},
        Kind.CUTTING_SPEED: {"m/min": Fraction(1), "ft/min": FOOT_MM / 1000, "sfm": FOOT_MM / 1000},
        Kind.FREQUENCY: {"Hz": Fraction(1)},
        Kind.MODULUS: {"MPa": Fraction(1), "GPa": Fraction(1000), "psi": _POUND_N / INCH_MM**2},
        Kind.SLOPE: {"mm/m": Fraction(1), "um/m": Fraction(1, 1000), "in/ft": Fraction(1000, 12)},
        Kind.TIME: {"s": Fraction(1), "min": Fraction(60), "h": Fraction(3600)},
        Kind.DENSITY: {"kg/m3": Fraction(1), "g/cm3": Fraction(1000), "lb/in3": _POUND_KG / INCH_MM**3 * 10**9},
    }
)
"""The units each kind may be written in, and how much of the house's unit one of them is."""


def read_magnitude(value: object, *, kind: Kind) -> float:
    """The number a text such as "3000 rpm" stands for, in the house's unit of its kind.

    Raises: QuantityError with a code, what was found, what was expected and what to write instead.

    >>> read_magnitude("9 lbf", kind=Kind.FORCE)
    40.033994...
    """
    example = kind.value[1]
    if not isinstance(value, str):
        raise _refusal("magnitude-form", value, kind, f'write it in quotes with its unit, such as "{example}"')
    sign, text = _signed(value.strip().lstrip("\ufeff").strip(), kind)
    found = _NUMBER.fullmatch(text) if len(text) <= _LONGEST else None
    if found is None:
        which = "one number" if kind in SIGNED else "one number of 0 or more"
        raise _refusal("magnitude-number", value, kind, f'write {which} and its unit, such as "{example}"')
    number, unit = ("-" if sign < 0.0 else "") + found["number"], (found["unit"] or "").strip()
    if not unit:
        raise _refusal("magnitude-without-unit", value, kind, f'write the unit too, such as "{number} {next(iter(UNITS[kind]))}"')
    if unit not in UNITS[kind]:
        near = {known.lower(): known for known in UNITS[kind]}.get(unit.lower())
        action = f'write "{number} {near}"' if near else write_instead(unit, UNITS[kind])
        raise _refusal("magnitude-unit", value, kind, action)
    if _COMMA_THREE.fullmatch(found["number"]):
        either = f'"{number.replace(",", "")} {unit}" or "{number.replace(",", ".")} {unit}"'
        raise _refusal("magnitude-comma", value, kind, f"write {either}")
    amount = Fraction(found["number"].replace(",", ".")) * UNITS[kind][unit]
    if amount > _GREATEST:
        raise _refusal("magnitude-too-large", value, kind, "check the unit and the number")
    return sign * float(amount) + 0.0


def _signed(text: str, kind: Kind) -> tuple[float, str]:
    """The sign in front of what may be negative, and the rest; any other kind keeps its sign, to be refused with it."""
    if kind not in SIGNED or not text.startswith(("-", "\u2212", "+")):
        return 1.0, text
    return (1.0 if text[0] == "+" else -1.0), text[1:].lstrip()


def _refusal(code: str, value: object, kind: Kind, action: str) -> QuantityError:
    """The error for a value that is not read."""
    what, example = kind.value
    return QuantityError(code, given=shown(value), expected=f'{what} with its unit, such as "{example}"', action=action)
