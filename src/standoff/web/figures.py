"""A figure stays on one line with its fraction and its unit: "9" at the end of a line and "1/8 in" on the next are two figures.

For the sentences that are read aloud; drawings break their lines themselves.
"""

from __future__ import annotations

import re

from markupsafe import Markup, escape

_UNITS = "in|ft|mm|m|rpm|N|kN|lbf|kg|lb"
_FIGURE = re.compile(rf"-?\d[\d.,]*(?: \d+/\d+)?(?:/\d+)?(?: (?:{_UNITS})\b(?: \d[\d.]*(?: \d+/\d+)?(?:/\d+)? in\b)?)?")


def whole(words: str) -> Markup:
    """The words with every figure of more than one word marked as one that no line breaks.

    >>> whole("Set it 9 1/8 in behind")
    Markup('Set it <span class="whole">9 1/8 in</span> behind')
    """
    marked = _FIGURE.sub(
        lambda found: f'<span class="whole">{found[0]}</span>' if " " in found[0] else found[0], str(escape(words))
    )
    return Markup(marked)
