"""Figures of more than one word stay whole in the sentences of a page; nothing else of them is touched."""

from __future__ import annotations

import pytest

from standoff.web.figures import whole


@pytest.mark.parametrize(
    "figure", ["9 1/8 in", "9 1/16", "-3/16 in", "12 ft", "12 ft 6 1/2 in", "12 ft 9/16 in", "3.74 in", "410 mm", "790 rpm"]
)
def test_a_figure_is_marked_whole(figure: str) -> None:
    """A whole number, its fraction and its unit are one."""
    assert whole(f"from {figure}, no more") == f'from <span class="whole">{figure}</span>, no more'


@pytest.mark.parametrize("left", ["29 CFR 1910.212, ISO 13854, 33 parts", "no figure", ""])
def test_everything_else_is_left(left: str) -> None:
    """Words and bare numbers stay as they are."""
    assert whole(left) == left


def test_what_was_typed_stays_text() -> None:
    """A name with a tag in it is shown, not obeyed."""
    assert whole("<b> 2 in") == '&lt;b&gt; <span class="whole">2 in</span>'
