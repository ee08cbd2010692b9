"""Bar speed in words: what the first line says of bars that stay, do not stay, or have no speed stated."""

from __future__ import annotations

from dataclasses import replace

import pytest

from standoff.job.speed import Verdict, bar_speed
from standoff.job.speed_speech import beside_lines, headline, sentence
from tests.texts import altered
from tests.turning import TURNING, Changes, placed, speed_of_first

SLOW = {"bars[0].speed": '"100 rpm"'}
SECOND = '\n[[bars]]\nname = "12 mm brass"\nshape = "round"\nsize = "12 mm"\nmaterial = "brass C36000"\n'


@pytest.mark.parametrize(
    ("changes", "more", "told"),
    [
        (SLOW, "", "The bar stays within its limits at a standoff of "),
        ({"bars[0].speed": '"9000 rpm"'}, "", "The bar does not stay within its limits at a standoff of "),
        ({"bars[0].speed": None}, "", "No speed is stated: limits are told for bars at a standoff of "),
        (SLOW, f'{SECOND}speed = "100 rpm"\n', "Every bar stays within its limits at a standoff of "),
        (SLOW, f'{SECOND}speed = "9000 rpm"\n', "1 of 2 bars stays within its limits at a standoff of "),
    ],
)
def test_the_first_line(changes: Changes, more: str, told: str) -> None:
    """How many stay; a bar without a speed is no bar that stays."""
    assert headline(bar_speed(placed(altered(TURNING, changes, more=more)))).startswith(told)


def test_what_is_left_open_stands_in_the_first_line() -> None:
    """A bar without a speed among others, and a pair of which it is not sure that it fits."""
    answer = bar_speed(placed(altered(TURNING, SLOW, more=SECOND)))
    assert headline(answer).endswith("; of 1 more bar no speed is stated")
    assert ", where the pair fits only if measured better" in headline(replace(answer, sure=False))
    assert ", where the pair does not fit: " in headline(replace(answer, placed=False))
    assert (answer.decided, replace(answer, bars=answer.bars[:1]).decided) == (False, True)
    assert not replace(answer, bars=answer.bars[:1], sure=False).decided


def test_a_hexagon_is_told_where_its_edges_excite_it() -> None:
    """Once, in its sentence: at which remaining lengths another speed is to be chosen."""
    hexagon: Changes = {"bars[0].shape": '"hexagon"', "bars[0].size": '"12 mm"'}
    worst_rpm = speed_of_first(hexagon).worst.life.worst.whip_rpm
    said = speed_of_first({**hexagon, "bars[0].speed": f'"{worst_rpm / 6.0:.1f} rpm"'})
    assert said.verdict is Verdict.SHAKEN
    assert "but its edges excite it at that speed from " in sentence(said, "mm")
    assert not any("excite" in line for line in beside_lines(said, "mm"))
