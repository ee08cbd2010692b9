"""The speed chart: curves where the axes put their values, steps kept as steps, each limit in it or said, words apart."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from standoff.bar.life import Life
from standoff.draw.elevation import FORMATS, Arrangement
from standoff.draw.label_room import inked, interrupted, roomiest
from standoff.draw.scene import Box, Circle, Hatch, Line, Path, Scene, Text
from standoff.draw.speed_chart import NO_BASIS, speed_chart
from standoff.draw.svg import STYLESHEET, svg
from standoff.errors import UsageError
from standoff.job.demonstration import text_of
from standoff.job.file import parse_job
from standoff.job.placement import place
from standoff.job.speed import MODEL, BarSpeed, Limit, SpeedAnswer, SpeedStep, bar_speed
from standoff.units import Units

ARRANGEMENTS: tuple[Arrangement, ...] = ("wide", "narrow", "page")
BARS = (("shell-cell", 0), ("axle-cell", 0), ("axle-cell", 1), ("spoke-nipple-cell", 0), ("spoke-nipple-cell", 1))
INCH_MM = 25.4


@cache
def answer(name: str) -> SpeedAnswer:
    """The bar speeds of a demonstration job."""
    return bar_speed(place(parse_job(text_of(name))))


def bar(name: str = "shell-cell", index: int = 0) -> BarSpeed:
    """One bar of a demonstration job."""
    return answer(name).bars[index]


def chart(one: BarSpeed, units: Units = "mm", arrangement: Arrangement = "wide") -> Scene:
    """Its chart."""
    return speed_chart(one, units=units, arrangement=arrangement)


def lived(one: BarSpeed, *lives: tuple[Sequence[float], Sequence[float]]) -> BarSpeed:
    """The same with hand-made lives (lengths, whip): soft 0.6, stiff 1.2, resting twice the whip; no other limits, one step."""
    course = one.courses[0]
    made = []
    for lengths_mm, speeds_rpm in lives:
        lengths, whip = np.array(lengths_mm, dtype=float), np.array(speeds_rpm, dtype=float)
        at = int(whip.argmin())
        worst = replace(course.life.worst, length_mm=float(lengths[at]), whip_rpm=float(whip[at]))
        life = Life(lengths, whip, 0.6 * whip, 1.2 * whip, 2.0 * whip, worst, float(0.6 * whip.min()))
        made.append(replace(course, life=life))
    lowest_rpm = 0.48 * min(course.life.worst.whip_rpm for course in made)
    longest_mm, shortest_mm = max(max(lengths) for lengths, _ in lives), min(min(lengths) for lengths, _ in lives)
    steps = (SpeedStep(longest_mm, shortest_mm, lowest_rpm),)
    return replace(one, courses=tuple(made), limits=(Limit(MODEL, lowest_rpm),), steps=steps)


def scales(scene: Scene, unit_mm: float = 1.0) -> tuple[tuple[float, float], tuple[float, float]]:
    """Origin and slope of both axes, read off their figures: length [mm] over x, speed [rpm] over y."""
    figures = [t for t in scene.texts if t.layer == "axes" and t.words.isdigit()]
    upright = sorted({s.start[0] for s in scene.shapes if isinstance(s, Line) and s.style == "grid" and s.start[0] == s.end[0]})
    level = sorted({s.start[1] for s in scene.shapes if isinstance(s, Line) and s.style == "grid" and s.start[1] == s.end[1]})
    lengths = sorted((float(t.words) * unit_mm for t in figures if t.anchor == "middle"), reverse=True)
    speeds = sorted((float(t.words) for t in figures if t.anchor == "end"), reverse=True)
    assert len(upright) == len(lengths) >= 2
    assert len(level) == len(speeds) >= 4
    found = []
    for at, values in ((upright, lengths), (level, speeds)):
        slope = (values[-1] - values[0]) / (at[-1] - at[0])
        for place_px, value in zip(at, values, strict=True):
            assert values[0] + slope * (place_px - at[0]) == pytest.approx(value, abs=1e-6)
        found.append((values[0] - slope * at[0], slope))
    return found[0], found[1]


def values(scene: Scene, style: str, unit_mm: float = 1.0) -> list[tuple[float, float]]:
    """Remaining length and speed of every point of a curve, read back from the drawing."""
    (x0, dx), (y0, dy) = scales(scene, unit_mm)
    paths = [s for s in scene.shapes if isinstance(s, Path) and s.style == style]
    return [(x0 + dx * x, y0 + dy * y) for path in paths for x, y in path.points]


def levels(scene: Scene, style: str) -> list[float]:
    """The speeds at which level lines of a style lie."""
    _, (y0, dy) = scales(scene)
    return sorted(
        {round(y0 + dy * s.start[1], 6) for s in scene.shapes if isinstance(s, Line) and s.style == style and s.layer != "key"}
    )


def said(scene: Scene) -> str:
    """Everything written."""
    return " ".join(text.words for text in scene.texts)


@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
def test_the_whip_curve_lies_at_its_values(arrangement: Arrangement) -> None:
    """Of one state: every drawn point, read back by the figures of the axes, is a computed one, and hardly any is missing."""
    one = bar()
    life = one.courses[0].life
    drawn = values(chart(one, arrangement=arrangement), "speed-whip")
    for length_mm, speed_rpm in drawn:
        assert speed_rpm == pytest.approx(float(np.interp(length_mm, life.lengths_mm, life.whip_rpm)), rel=1e-6)
    computed = {round(float(length), 3) for length in life.lengths_mm}
    assert len(computed & {round(length, 3) for length, _ in drawn}) >= 0.75 * len(computed)
    assert drawn[0][0] == pytest.approx(3657.6)
    # The curve leaves the picture at its top before the last piece.
    assert 230.0 <= drawn[-1][0] < 260.0
    assert [length for length, _ in drawn] == sorted((length for length, _ in drawn), reverse=True)


@pytest.mark.parametrize(("name", "index"), [("axle-cell", 0), ("axle-cell", 1), ("spoke-nipple-cell", 0)])
def test_of_several_states_the_lowest_is_drawn(name: str, index: int) -> None:
    """At every drawn length the curve is the lowest of the states that have it, on one side of the length or the other."""
    one = bar(name, index)
    scene = chart(one, "in")
    top_rpm = max(float(t.words) for t in scene.texts if t.layer == "axes" and t.words.isdigit() and t.anchor == "end")

    def lowest(length_mm: float) -> float:
        lives = [course.life for course in one.courses if course.life.lengths_mm[0] - 1e-3 <= length_mm]
        return min([float(np.interp(length_mm, life.lengths_mm, life.whip_rpm)) for life in lives], default=np.inf)

    inside = [(mm, rpm) for mm, rpm in values(scene, "speed-whip", INCH_MM) if rpm < top_rpm - 1e-6]
    assert len(inside) > 30
    for length_mm, speed_rpm in inside:
        sides = [lowest(length_mm - 0.02), lowest(length_mm), lowest(length_mm + 0.02)]
        assert min(sides) * 0.999 <= speed_rpm <= max(sides) * 1.001, length_mm


def test_a_step_stays_a_step() -> None:
    """A state that leaves a support at 200 mm, and one that ends at 150 mm: both jump upright, nothing slants between."""
    before = 200.0 * (1.0 - 1e-9)
    one = lived(bar(), ([100.0, before, 200.0, 400.0], [2000.0, 1800.0, 1500.0, 1600.0]), ([150.0, 400.0], [1200.0, 1450.0]))
    drawn = values(chart(one), "speed-whip")
    expected = [
        (400.0, 1450.0),
        (200.0, 1250.0),  # 1200 + 50/250 * 250: the second state stays below the first, which steps unseen
        (150.0, 1200.0),
        (150.0, 1900.0),  # 2000 - 50/100 * 200: the second state has no shorter bar
        (100.0, 2000.0),
    ]
    for length_mm, speed_rpm in expected:
        assert any(abs(x - length_mm) < 1e-3 and abs(y - speed_rpm) < 1e-2 for x, y in drawn), (length_mm, speed_rpm)
    alone = lived(bar(), ([100.0, before, 200.0, 400.0], [2000.0, 1800.0, 1500.0, 1600.0]))
    jump = [y for x, y in values(chart(alone), "speed-whip") if abs(x - 200.0) < 1e-3]
    assert jump == pytest.approx([1500.0, 1800.0])


def test_the_limit_keeps_both_its_shares() -> None:
    """Soft at 0.6 of the whip: 0.5 of the whip is 0.5, 0.8 of the soft end 0.48, which is lower and is drawn."""
    one = lived(bar(), ([100.0, 400.0], [1500.0, 1600.0]))
    expected = [(400.0, 0.48 * 1600.0), (100.0, 0.48 * 1500.0)]
    assert np.array(values(chart(one), "speed-limit")) == pytest.approx(np.array(expected))
    tighter = replace(one, share=0.3)
    assert values(chart(tighter), "speed-limit")[0][1] == pytest.approx(0.3 * 1600.0)


def test_the_band_reaches_from_soft_to_stiff_and_has_edges() -> None:
    """The area's corners are the soft and the stiff ends; its edges are dotted lines of their own."""
    scene = chart(lived(bar(), ([100.0, 400.0], [1500.0, 1600.0])))
    corners = {(round(x), round(y)) for x, y in values(scene, "speed-band")}
    assert corners == {(400, 960), (100, 900), (400, 1920), (100, 1800)}  # 0.6 and 1.2 times
    assert any(isinstance(s, Path) and s.style == "speed-band-edge" for s in scene.shapes)
    assert "stroke-dasharray" in STYLESHEET.partition(".d-speed-band-edge{")[2].partition("}")[0]


def test_what_is_far_above_is_cut_off_and_marked() -> None:
    """A whip of 9000 does not press one of 1000 to the ground: the top stays below 3 times 1000, and says that it goes on."""
    one = lived(bar(), ([100.0, 200.0, 300.0, 400.0], [1000.0, 1000.0, 9000.0, 9000.0]))
    scene = chart(one)
    assert 2000.0 <= max(levels(scene, "grid")) <= 3000.0
    assert max(y for _, y in values(scene, "speed-whip")) <= max(levels(scene, "grid")) + 1e-6
    assert "higher" in said(scene)
    assert any(isinstance(s, Path) and s.style == "arrow" for s in scene.shapes)
    assert "higher" not in said(chart(lived(bar(), ([100.0, 400.0], [1500.0, 1600.0]))))


@pytest.mark.parametrize(("name", "index"), BARS)
def test_the_steps_are_drawn_and_told(name: str, index: int) -> None:
    """From the full bar on each step lies at its limit between its lengths, and its value stands in the picture or below it."""
    one = bar(name, index)
    unit_mm = 1.0 if name == "shell-cell" else INCH_MM
    scene = chart(one, answer(name).job.units)
    drawn = {(round(x, 1), round(y, 1)) for x, y in values(scene, "speed-step", unit_mm)}
    for step in one.steps:
        assert {(round(mm, 1), round(step.limit_rpm, 1)) for mm in (step.longest_mm, step.shortest_mm)} <= drawn
        down = 10.0 if step.limit_rpm < 2000.0 else 50.0
        assert f"{step.limit_rpm // down * down:.0f}" in said(scene)


@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
@pytest.mark.parametrize(("name", "index"), BARS)
def test_every_limit_is_in_the_picture_or_said(name: str, index: int, arrangement: Arrangement) -> None:
    """A maker's limit is a level line at its speed, with its name, or it is named as lying above."""
    one = bar(name, index)
    scene = chart(one, answer(name).job.units, arrangement)
    lines, (_, _, above) = levels(scene, "plane"), said(scene).partition("Above this picture:")
    top_rpm = max(levels(scene, "grid"))
    for limit in one.limits:
        if limit.of == MODEL:
            continue
        assert limit.of in said(scene)
        assert f"{limit.speed_rpm:.0f} rpm" in said(scene)
        assert (limit.speed_rpm in lines) == (limit.speed_rpm <= top_rpm)
        assert (limit.of in above) == (limit.speed_rpm > top_rpm)


def test_the_wanted_speed_is_a_line_with_its_words() -> None:
    """95 m/min at 52 mm are 581.5 rpm, told rounded up as the page does; without a wanted speed there is no line."""
    one = bar()
    scene = chart(one)
    assert levels(scene, "aim") == [pytest.approx(581.528, abs=1e-3)]
    assert "wanted 590 rpm" in said(scene)
    without = chart(replace(one, bar=replace(one.bar, wanted_rpm=None)))
    assert levels(without, "aim") == []
    assert "wanted" not in said(without)
    assert "No speed is stated." in without.description


def test_a_wanted_speed_above_the_limit_is_hatched_where_it_is() -> None:
    """The aluminium bar: 1600 rpm are above three steps, not above the first ones; the key says what hatching is."""
    one = bar("axle-cell", 1)
    scene = chart(one, "in")
    (x0, dx), (y0, dy) = scales(scene, INCH_MM)
    zones = [s.box for s in scene.shapes if isinstance(s, Hatch) and s.layer == "limits"]
    found = [(x0 + dx * z.left, x0 + dx * z.right, y0 + dy * z.bottom, y0 + dy * z.top) for z in zones]
    expected = [(s.longest_mm, s.shortest_mm, s.limit_rpm, 1600.0) for s in one.steps if s.limit_rpm < 1600.0]
    assert len(expected) == 3
    assert np.array(found) == pytest.approx(np.array(expected))
    assert "the wanted speed is above the limit" in said(scene)
    assert not any(isinstance(s, Hatch) for s in chart(bar()).shapes)


def test_the_worst_length_has_a_dot_and_words() -> None:
    """579 mm left, 1425 rpm, rounded down as the page does; where the feed force buckles the bar, that is said instead."""
    one = bar()
    worst = one.worst.life.worst
    scene = chart(one)
    (x0, dx), (y0, dy) = scales(scene)
    (dot,) = [s for s in scene.shapes if isinstance(s, Circle)]
    assert x0 + dx * dot.centre[0] == pytest.approx(worst.length_mm, abs=0.01)
    assert y0 + dy * dot.centre[1] == pytest.approx(worst.whip_rpm, abs=0.1)
    assert "whips first: 579 mm left, 1420 rpm" in said(scene)
    made = lived(one, ([100.0, 400.0], [0.0, 1600.0]))
    worst = replace(made.worst.life.worst, cause=replace(made.worst.life.worst.cause, buckled=True))
    buckled = replace(made, courses=(replace(made.courses[0], life=replace(made.courses[0].life, worst=worst)),))
    assert "buckles: 100 mm left" in said(chart(buckled))


def test_resting_on_the_liner_is_no_basis() -> None:
    """Drawn thin and dashed where it lies in the picture, said to lie above where it does not, absent without a liner."""
    one = lived(bar(), ([100.0, 250.0, 400.0], [1500.0, 1000.0, 1600.0]))
    life = replace(one.courses[0].life, on_liner_rpm=np.array([1700.0, 1200.0, 1800.0]))
    inside = chart(replace(one, courses=(replace(one.courses[0], life=life),)))
    assert [y for _, y in values(inside, "speed-resting")] == pytest.approx([1800.0, 1200.0, 1700.0])
    assert NO_BASIS in said(inside)
    assert f"{NO_BASIS} (above this picture)" in said(chart(bar()))
    without = chart(bar("spoke-nipple-cell"), "in")
    assert values(without, "speed-resting", INCH_MM) == []
    assert "liner" not in said(without) + without.description


def odd_bars() -> dict[str, BarSpeed]:
    """Bars that crowd the picture."""
    one = bar()
    many = tuple(Limit(f"part {i} with a long name", 1900.0 + 10.0 * i) for i in range(9))
    return {
        "crowded": replace(one, limits=one.limits + many),
        "far too fast": replace(one, bar=replace(one.bar, wanted_rpm=5000.0)),
        "nothing turns": lived(one, ([100.0, 400.0], [0.0, 0.0])),
        "long name": replace(one, bar=replace(one.bar, name="stainless " * 12)),
    }


@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
@pytest.mark.parametrize("case", [*BARS, "crowded", "far too fast", "nothing turns", "long name"])
def test_no_words_meet_or_leave_the_drawing(case: tuple[str, int] | str, arrangement: Arrangement) -> None:
    """Every text has a place of its own inside the drawing and is large enough; the drawing is as wide as its arrangement."""
    one = odd_bars()[case] if isinstance(case, str) else bar(*case)
    scene = chart(one, "mm" if isinstance(case, str) else answer(case[0]).job.units, arrangement)
    texts = scene.texts
    assert scene.width == FORMATS[arrangement].width
    assert [t.words for t in texts if not t.box.inside(scene.frame)] == []
    assert [(a.words, b.words) for i, a in enumerate(texts) for b in texts[:i] if a.box.meets(b.box)] == []
    # Shown 390 px wide, a narrow drawing is not made smaller.
    assert min(t.size for t in texts) >= 12.0


def test_what_finds_no_room_is_said_below() -> None:
    """Nine limits on ten lines' room: each is named, in the picture or below it."""
    words = said(chart(odd_bars()["crowded"], arrangement="narrow"))
    assert "Also in this picture:" in words
    assert all(f"part {i} with a long name" in words for i in range(9))


@pytest.mark.parametrize(("name", "index"), BARS)
def test_the_same_bar_gives_the_same_bytes(name: str, index: int) -> None:
    """Twice the same file, without a number that is none, every style known to the style sheet, and told in words."""
    scene = chart(bar(name, index), answer(name).job.units)
    text = svg(scene, standalone=True)
    assert text == svg(chart(bar(name, index), answer(name).job.units), standalone=True)
    assert not re.search(r"\b(nan|inf)\b", re.sub(r">[^<]*<", "><", text))
    used = {f"text.d-{s.style}" if isinstance(s, Text) else f".d-{s.style}" for s in scene.shapes}
    assert sorted(style for style in used if not re.search(rf"{re.escape(style)}(?![\w-])", STYLESHEET)) == []
    assert bar(name, index).bar.name in scene.title
    for part in ("It whips first with", "Limit of this model", "Other limits:", "Wanted", "In steps:"):
        assert part in scene.description


def test_a_bar_that_does_not_pass_has_no_chart() -> None:
    """Nothing is drawn of it, and the refusal says what to show instead; other arrangements are refused too."""
    with pytest.raises(UsageError, match="show what does not pass instead"):
        chart(replace(bar(), courses=()))
    with pytest.raises(UsageError, match="arrangement"):
        chart(bar(), arrangement="poster")  # type: ignore[arg-type]


def test_a_label_takes_the_place_that_covers_least() -> None:
    """Off the curve rather than on it, never on another label, never out of the frame; no place at all is None."""
    frame = Box(left=0.0, top=0.0, right=100.0, bottom=100.0)
    on, off, out = ((Text((x, y), "ab", 10.0, "ink"),) for x, y in ((10.0, 50.0), (10.0, 90.0), (95.0, 50.0)))
    ink = inked([((0.0, 46.0), (100.0, 46.0))])
    assert roomiest([out, on, off], frame=frame, taken=[], ink=ink) == off
    assert roomiest([out, on, off], frame=frame, taken=[off[0].box], ink=ink) == on
    assert roomiest([out, on], frame=frame, taken=[on[0].box], ink=ink) is None


def test_a_curve_is_broken_at_words() -> None:
    """Only what lies outside the box is drawn, and a corner outside it stays a corner."""
    box = Box(left=4.0, top=-1.0, right=6.0, bottom=1.0)
    assert list(interrupted([(0.0, 0.0), (10.0, 0.0), (10.0, 5.0)], [box])) == [
        ((0.0, 0.0), (4.0, 0.0)),
        ((6.0, 0.0), (10.0, 0.0), (10.0, 5.0)),
    ]
    assert list(interrupted([(4.5, 0.0), (5.5, 0.0)], [box])) == []
