"""A number without a unit as it is typed into a field: a price, a count, a share."""

from __future__ import annotations

import re

from standoff.errors import QuantityError, shown

_NUMBER = re.compile(r"[-\u2212]?(?:[0-9]+(?:[.,][0-9]+)?|[.,][0-9]+)")
_THOUSANDS = re.compile(r"[0-9]{1,3}(?:,[0-9]{3})+(?:\.[0-9]+)?")
_COMMA_THREE = re.compile(r"[0-9]*,[0-9]{3}")
_LONGEST = 32
"""No price and no count takes more characters."""


def number_typed(text: str) -> int | float:
    """The number a text stands for: with a point or a decimal comma; whole where it has neither.

    As with lengths a comma followed by exactly three digits is refused, since it may stand between thousands.

    Raises: QuantityError with what was found, what was expected and what to write instead.

    >>> number_typed("18,5")
    18.5
    """
    if _COMMA_THREE.fullmatch(text):
        either = f'"{text.replace(",", "")}" or "{text.replace(",", ".")}"'
        raise QuantityError("magnitude-comma", given=shown(text), expected="a number", action=f"write {either}")
    if _THOUSANDS.fullmatch(text):
        action = f'write "{text.replace(",", "")}"'
        raise QuantityError("value-kind", given=shown(text), expected="a number", action=action, what="commas between thousands")
    if not _NUMBER.fullmatch(text) or len(text) > _LONGEST:
        action = 'write digits alone, such as "18.50": no unit, no currency, no blank between them'
        raise QuantityError("value-kind", given=shown(text), expected="a number", action=action, what="no number")
    plain = text.replace("\u2212", "-").replace(",", ".")
    return float(plain) if "." in plain else int(plain)
