"""The answer in words: what is said for every kind of verdict, in both units, and that it never says more than is sure."""

from __future__ import annotations

import math
import re
from dataclasses import replace

import pytest

from standoff.job.demonstration import text_of
from standoff.job.file import parse_job
from standoff.job.placement import Placement, Verdict, place
from standoff.job.speech import (
    bound_length,
    chances,
    exact_length,
    fine_length,
    headline,
    length,
    listed,
    named,
    small_length,
    spare_length,
    spoken,
    where,
    why,
)
from standoff.model.requirement import Side
from standoff.solve.window import Window
from standoff.units import Units, parse_length, step_mm
from tests.jobs import random_case
from tests.texts import FIXED, SLIDING, altered

INCHES = {"job.units": '"in"'}
REACH, HEIGHT, LINER = "loader.pusher_reach", "lathe.centre_height", "passage[1].bore"
ONE_MODE = SLIDING[: SLIDING.index('[[lathe.modes]]\nname = "chucker"')] + SLIDING[SLIDING.index("[loader]") :]
THIRD = '\n[[lathe.modes]]\nname = "third"\nz_rear = "150 mm"\nz_front = "340 mm"\nloader_shift = "160 mm"\n'
ALIKE = {"lathe.modes[1].loader_shift": '"150 mm"', "lathe.modes[1].z_front": '"340 mm"'}
"""With these the two modes bind alike on both sides."""

SURE = "the chance that everything holds is more than 99 in 100"
BACK = ", headstock fully back in guide-bushing mode"
CRUSHED = "the nose would be crushed (chucker, rear limit)"
SHORT = "the pusher would not reach the collet (guide-bushing, front limit)"


def exact(text: str) -> str:
    """The text with every reading exact, and the loader set exactly to its mark."""
    still = altered(text, {"rules.setting_uncertainty": '"0 mm"'})
    return re.sub(r'"(-?[0-9.]+ mm)"', r'"\1 ± 0 mm"', still)


def placed(text: str, *, at: str | None = None) -> Placement:
    """The placement of a text, judged at a standoff as typed."""
    return place(parse_job(text), asked_mm=None if at is None else float(parse_length(at)))


SAID: dict[str, tuple[str, str, str, str]] = {
    "two modes": (
        SLIDING,
        f"Fits in both modes: with today's readings, {SURE}",
        f"Set the nose-clamp face 297 mm behind the adapter{BACK}; anything from 294 to 327 mm will do.",
        f"Any nearer, {CRUSHED}; any farther, {SHORT}.",
    ),
    "two modes in inches": (
        altered(SLIDING, INCHES),
        f"Fits in both modes: with today's readings, {SURE}",
        f"Set the nose-clamp face 11 11/16 in behind the adapter{BACK}; anything from 11 9/16 to 12 7/8 in will do.",
        f"Any nearer, {CRUSHED}; any farther, {SHORT}.",
    ),
    "one mode": (
        ONE_MODE,
        f"Fits: with today's readings, {SURE}",
        "Set the nose-clamp face 277 mm behind the adapter, headstock fully back; anything from 274 to 327 mm will do.",
        f"Any nearer, the nose would be crushed (guide-bushing, rear limit); any farther, {SHORT}.",
    ),
    "three modes": (
        SLIDING + THIRD,
        f"Fits in all 3 modes: with today's readings, {SURE}",
        f"Set the nose-clamp face 297 mm behind the adapter{BACK}; anything from 294 to 327 mm will do.",
        f"Any nearer, {CRUSHED}; any farther, {SHORT}.",
    ),
    "two modes that bind alike": (
        altered(SLIDING, {**ALIKE, REACH: '"1120 mm"'}),
        f"Fits in both modes: with today's readings, {SURE}",
        f"Set the nose-clamp face 277 mm behind the adapter{BACK}; anything from 274 to 327 mm will do.",
        "Any nearer, the nose would be crushed (guide-bushing, rear limit; chucker, rear limit); any farther, the pusher would"
        " not reach the collet (guide-bushing, front limit; chucker, front limit).",
    ),
    "a fixed headstock and a nose to be cut": (
        FIXED,
        f"Fits: with today's readings, {SURE}",
        "Cut the nose by 60 mm. Set the nose-clamp face 349 mm behind the adapter; anything from 348 to 397 mm will do.",
        "Any nearer, the nose would be crushed; any farther, the pusher would not reach the collet.",
    ),
    "a cut that no mark of the tape allows": (
        altered(FIXED, INCHES),
        f"Fits: with today's readings, {SURE}",
        "Cut the nose by 2.352 in. Set the nose-clamp face 13 3/4 in behind the adapter; anything from 13 3/4 to 15 5/8 in"
        " will do.",
        "Any nearer, the nose would be crushed; any farther, the pusher would not reach the collet.",
    ),
    "two requirements exclude each other": (
        altered(SLIDING, {REACH: '"1080 mm"'}),
        "Does not fit: with today's readings, the chance that everything holds is 12 in 100",
        "No standoff serves: room for the nose (chucker, rear limit) needs at least 291.0 mm, pusher reach (guide-bushing,"
        " front limit) allows at most 290.0 mm; 1.0 mm is missing.",
        "",
    ),
    "two requirements exclude two others, in inches": (
        altered(SLIDING, {**ALIKE, **INCHES, REACH: '"1035 mm"'}),
        "Does not fit: with today's readings, the chance that everything holds is less than 1 in 100",
        "No standoff serves: room for the nose (guide-bushing, rear limit) and room for the nose (chucker, rear limit) need at"
        " least 10 21/32 in, pusher reach (guide-bushing, front limit) and pusher reach (chucker, front limit) allow at most"
        " 9 21/32 in; 1 1/32 in is missing.",
        "",
    ),
    "next to nothing is missing": (
        altered(exact(SLIDING), {REACH: '"1080.98 mm ± 0 mm"'}),
        "Does not fit: with today's readings, the chance that everything holds is less than 1 in 100",
        "No standoff serves: room for the nose (chucker, rear limit) needs at least 291.0 mm, pusher reach (guide-bushing,"
        " front limit) allows at most 291.0 mm; under 0.1 mm is missing.",
        "",
    ),
    "only if measured better": (
        altered(SLIDING, {REACH: '"1083 mm"'}),
        "Fits only if measured better: with today's readings, the chance that everything holds is 54 in 100",
        f"The nose-clamp face would best stand 292 mm behind the adapter{BACK}; anything from 291 to 293 mm would do if every"
        " reading were exact, but none of it is sure with today's readings.",
        f"Any nearer, {CRUSHED}; any farther, {SHORT}.",
    ),
    "less than a step, and not sure": (
        altered(SLIDING, {REACH: '"1081.4 mm"', "nose.collapsed": '"220.2 mm"'}),
        "Fits only if measured better: with today's readings, the chance that everything holds is 25 in 100",
        f"The nose-clamp face would best stand 291.3 mm behind the adapter{BACK}; there is less than a step of the tape to"
        " spare, and none of it is sure with today's readings.",
        f"Any nearer, {CRUSHED}; any farther, {SHORT}.",
    ),
    "one mark of the tape": (
        altered(exact(SLIDING), {REACH: '"1081.4 mm ± 0 mm"'}),
        f"Fits in both modes: with today's readings, {SURE}",
        f"Set the nose-clamp face 291 mm behind the adapter{BACK}; of the marks on the tape only 291 mm will do.",
        f"Any nearer, {CRUSHED}; any farther, {SHORT}.",
    ),
    "between two marks of the tape": (
        altered(exact(SLIDING), {REACH: '"1081.7 mm ± 0 mm"', "nose.collapsed": '"220.2 mm ± 0 mm"'}),
        f"Fits in both modes: with today's readings, {SURE}",
        f"Set the nose-clamp face 291.45 mm behind the adapter{BACK}; there is less than a step of the tape either way.",
        f"Any nearer, {CRUSHED}; any farther, {SHORT}.",
    ),
    "the pusher does not pass": (
        altered(SLIDING, {LINER: '"21 mm"'}),
        "Does not fit: with today's readings, the chance that everything holds is 4 in 100",
        "No standoff helps: the pusher, its collet or a bar would not pass"
        " (pusher collet through spindle liner, 2.0 mm missing).",
        f"Any nearer, {CRUSHED}; any farther, {SHORT}.",
    ),
    "nothing goes together": (
        altered(SLIDING, {REACH: '"1080 mm"', HEIGHT: '"940 mm"', LINER: '"21 mm"'}),
        "Does not fit: with today's readings, the chance that everything holds is less than 1 in 100",
        "No standoff serves: room for the nose (chucker, rear limit) needs at least 291.0 mm, pusher reach (guide-bushing,"
        " front limit) allows at most 290.0 mm; 1.0 mm is missing. Besides: the loader cannot be brought to the height of the"
        " spindle axis (above the loader's lowest axis, 20.0 mm missing) and the pusher, its collet or a bar would not pass"
        " (pusher collet through spindle liner, 2.0 mm missing).",
        "",
    ),
}


@pytest.mark.parametrize("case", SAID)
def test_what_is_said(case: str) -> None:
    """Headline, sentence and reason of each kind of answer, word for word."""
    text, head, sentence, reason = SAID[case]
    placement = placed(text)
    assert headline(placement) == head
    assert spoken(placement) == sentence
    assert why(placement) == reason


ASKED: dict[str, tuple[str, str, str, str]] = {
    "it fits": (
        SLIDING,
        "300 mm",
        f"At 300 mm it fits in both modes: with today's readings, {SURE}",
        f"At 300 mm behind the adapter{BACK}, everything holds; anything from 294 to 327 mm will do.",
    ),
    "a standoff between the marks": (
        altered(SLIDING, INCHES),
        "11.7 in",
        f"At 11.7 in it fits in both modes: with today's readings, {SURE}",
        f"At 11.7 in behind the adapter{BACK}, everything holds; anything from 11 9/16 to 12 7/8 in will do.",
    ),
    "it holds but is not sure": (
        SLIDING,
        "291 mm",
        "At 291 mm it fits only if measured better: with today's readings, the chance that everything holds is 50 in 100",
        f"At 291 mm behind the adapter{BACK}, everything holds, but it is not sure; anything from 294 to 327 mm will do.",
    ),
    "too far": (
        SLIDING,
        "340 mm",
        "At 340 mm it does not fit: with today's readings, the chance that everything holds is less than 1 in 100",
        f"At 340 mm behind the adapter{BACK}, the pusher would not reach the collet (guide-bushing, front limit, 10.0 mm"
        " missing); anything from 294 to 327 mm will do.",
    ),
    "much too near": (
        SLIDING,
        "150 mm",
        "At 150 mm it does not fit: with today's readings, the chance that everything holds is less than 1 in 100",
        f"At 150 mm behind the adapter{BACK}, the nose would be crushed (guide-bushing, rear limit, 121.0 mm missing; chucker,"
        " rear limit, 141.0 mm missing) and the loader would strike the lathe's cover (chucker, 17.0 mm missing); anything from"
        " 294 to 327 mm will do.",
    ),
    "a nose to be cut for that standoff": (
        FIXED,
        "390 mm",
        f"At 390 mm it fits: with today's readings, {SURE}",
        "At 390 mm behind the adapter, nose cut by 19 mm, everything holds; anything from 348 to 397 mm will do.",
    ),
    "nothing is sure anywhere": (
        altered(SLIDING, {REACH: '"1083 mm"'}),
        "292 mm",
        "At 292 mm it fits only if measured better: with today's readings, the chance that everything holds is 54 in 100",
        f"At 292 mm behind the adapter{BACK}, everything holds, but it is not sure; anything from 291 to 293 mm would do if every"
        " reading were exact, but none of it is sure with today's readings.",
    ),
    "no standoff would do": (
        altered(SLIDING, {REACH: '"1080 mm"'}),
        "292 mm",
        "At 292 mm it does not fit: with today's readings, the chance that everything holds is 5 in 100",
        "No standoff serves: room for the nose (chucker, rear limit) needs at least 291.0 mm, pusher reach (guide-bushing,"
        " front limit) allows at most 290.0 mm; 1.0 mm is missing.",
    ),
    "the pusher passes at no standoff": (
        altered(SLIDING, {LINER: '"21 mm"'}),
        "300 mm",
        "At 300 mm it does not fit: with today's readings, the chance that everything holds is 4 in 100",
        "No standoff helps: the pusher, its collet or a bar would not pass"
        " (pusher collet through spindle liner, 2.0 mm missing).",
    ),
}


@pytest.mark.parametrize("case", ASKED)
def test_what_is_said_of_a_standoff_that_was_asked_for(case: str) -> None:
    """What happens there, and what would do instead; never the aim with a cut that belongs to another standoff."""
    text, at, head, sentence = ASKED[case]
    placement = placed(text, at=at)
    assert headline(placement) == head
    assert spoken(placement) == sentence


def test_a_window_open_to_one_side_is_said_so() -> None:
    """Where nothing bounds a side, the sentence has one end only."""
    placement = placed(SLIDING)
    up, down = ((300.0, math.inf), (-math.inf, 320.0))
    for (least, greatest), said in ((up, "anything from 300 mm up will do"), (down, "anything up to 320 mm will do")):
        window = Window(least, greatest, placement.window.bounds_mm, (), (), None)
        assert said in spoken(replace(placement, window=window, guarded=window))


SPAN = re.compile(r"anything from (.+?) to (.+?) (in|mm) (?:will|would) do")


@pytest.mark.parametrize("seed", range(60))
def test_the_span_spoken_lies_in_the_window_and_fills_it(seed: int) -> None:
    """The guarded window (or the plain one, where none is sure) is rounded inwards, and by less than a step."""
    placement = place(parse_job(random_case(seed, spread=80.0).text()))
    within = placement.window if placement.guarded.empty else placement.guarded
    sentence = spoken(placement)
    found = SPAN.search(sentence)
    if found is None:
        narrow = within.greatest_mm - within.least_mm < 2 * step_mm(placement.job.units)
        assert placement.verdict is Verdict.NOT or narrow
        return
    units: Units = placement.job.units
    least, greatest = (float(parse_length(f"{amount} {found[3]}")) for amount in found.groups()[:2])
    assert within.least_mm - 1e-6 <= least < within.least_mm + step_mm(units) + 1e-6
    assert within.greatest_mm - step_mm(units) - 1e-6 < greatest <= within.greatest_mm + 1e-6
    assert ("will do" in sentence) is (not placement.guarded.empty)


@pytest.mark.parametrize("seed", range(60))
def test_the_aim_spoken_lies_in_the_window(seed: int) -> None:
    """The standoff that is read out holds everything, rounded as it is; a cut that is read out may be made."""
    placement = place(parse_job(random_case(seed).text()))
    found = re.search(r"(?:Set the nose-clamp face|best stand) (.+?) behind", spoken(placement))
    if found is None:
        assert placement.verdict is Verdict.NOT
        return
    assert placement.window.holds(float(parse_length(found[1])))
    if cut := re.search(r"Cut the nose by (.+?)\. ", spoken(placement)):
        assert float(parse_length(cut[1])) <= placement.layout.cut_limit_mm + 0.02


def test_every_sentence_of_the_demonstration_ends() -> None:
    """What is spoken begins with a capital and ends with one full stop."""
    for name in ("axle-cell", "spoke-nipple-cell", "shell-cell", "spacer-cell", "moved-cell"):
        for sentence in (spoken(placed(text_of(name))), why(placed(text_of(name)))):
            assert sentence == "" or (sentence[0].isupper() and sentence.endswith(".") and not sentence.endswith(".."))
            assert "in in" not in sentence


@pytest.mark.parametrize(
    ("probability", "said"),
    [
        (1.0, "more than 99 in 100"),
        (0.995, "more than 99 in 100"),
        (0.9949, "99 in 100"),
        (0.5, "50 in 100"),
        (0.006, "1 in 100"),
        (0.0049, "less than 1 in 100"),
        (0.0, "less than 1 in 100"),
    ],
)
def test_chances_have_two_digits_and_are_never_certain(probability: float, said: str) -> None:
    """Neither certainty nor impossibility is claimed."""
    assert chances(probability) == said


def test_lengths_in_three_grades() -> None:
    """As a technician reads it, one grade finer, and never nothing where something is left."""
    assert (length(292.1, "in"), length(292.4, "mm")) == ("11 1/2 in", "292 mm")
    assert (fine_length(293.0, "in"), fine_length(292.44, "mm")) == ("11 17/32 in", "292.4 mm")
    assert (small_length(0.04, "mm"), small_length(0.3, "in"), small_length(0.0, "in")) == (
        "under 0.1 mm",
        "under 1/32 in",
        "0 in",
    )


@pytest.mark.parametrize(
    ("mm", "units", "said"),
    [
        (292.1, "in", "11 1/2 in"),
        (292.89375, "in", "11 17/32 in"),
        (289.56, "in", "11.4 in"),
        (292.0, "mm", "292 mm"),
        (292.3, "mm", "292.3 mm"),
        (292.345, "mm", "292.345 mm"),
        (0.0, "mm", "0 mm"),
        (-12.7, "in", "-1/2 in"),
    ],
)
def test_a_standoff_is_said_as_it_is(mm: float, units: Units, said: str) -> None:
    """On a mark of the tape as one reads it there, else in decimals; what is said is what was meant."""
    assert exact_length(mm, units) == said
    assert float(parse_length(said)) == pytest.approx(mm, abs=0.013)


def test_rows_are_named_with_their_place() -> None:
    """Mode and state are said where they matter."""
    placement, fixed = placed(SLIDING), placed(FIXED)
    assert where(placement.row("full-bar", "chucker")) == "chucker, bar change"
    assert where(placement.row("cover-clearance", "chucker")) == "chucker"
    assert where(placement.row("rear-room")) == where(placement.row("passage")) == ""
    assert where(fixed.row("nose-room", "fixed")) == ""
    assert named(placement.row("pusher-reach", "chucker")) == "pusher reach (chucker, front limit)"
    assert named(fixed.row("nose-room", "fixed")) == "room for the nose"


def test_items_are_joined_as_spoken() -> None:
    """Commas, and a word before the last."""
    assert listed(["a"]) == "a"
    assert listed(["a", "b"]) == "a and b"
    assert listed(["a", "b", "c"], last="or") == "a, b or c"


@pytest.mark.parametrize(
    ("inches", "least", "greatest"),
    [(8.890, "8 29/32 in", "8 7/8 in"), (8.75, "8 3/4 in", "8 3/4 in"), (-0.05, "-1/32 in", "-1/16 in")],
)
def test_a_bound_is_rounded_inwards(inches: float, least: str, greatest: str) -> None:
    """Nobody who sets the loader to the bound that is told stands outside it."""
    assert bound_length(inches * 25.4, "in", Side.AT_LEAST) == least
    assert bound_length(inches * 25.4, "in", Side.AT_MOST) == greatest


def test_a_bound_in_millimetres_is_rounded_inwards() -> None:
    """To tenths."""
    assert bound_length(225.806, "mm", Side.AT_LEAST) == "225.9 mm"
    assert bound_length(225.806, "mm", Side.AT_MOST) == "225.8 mm"


@pytest.mark.parametrize(
    ("slack_mm", "inches", "millimetres"),
    [
        (5.969, "7/32 in", "5.9 mm"),
        (6.35, "1/4 in", "6.3 mm"),
        (0.587, "under 1/32 in", "0.5 mm"),
        (0.05, "under 1/32 in", "under 0.1 mm"),
        (0.0, "0 in", "0.0 mm"),
        (-0.05, "1/32 in", "0.1 mm"),
        (-5.969, "1/4 in", "6.0 mm"),
    ],
)
def test_never_more_to_spare_than_there_is(slack_mm: float, inches: str, millimetres: str) -> None:
    """What is to spare is rounded down, what is missing is rounded up."""
    assert (spare_length(slack_mm, "in"), spare_length(slack_mm, "mm")) == (inches, millimetres)
