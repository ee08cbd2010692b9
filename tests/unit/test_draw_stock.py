"""The pictures of a bar cut up and of the saw-tooth: lengths where the scale puts them, nothing lost, words apart."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import cache

import numpy as np
import pytest

from standoff.bar.lengths import Even, expected
from standoff.bar.yields import cut_up
from standoff.draw.elevation import FORMATS, Arrangement
from standoff.draw.scene import Circle, Hatch, Line, Path, Rect, Scene, Text
from standoff.draw.stock_bar import stock_bar
from standoff.draw.stock_chart import stock_chart
from standoff.draw.stock_teeth import teeth_of
from standoff.draw.svg import STYLESHEET, svg
from standoff.errors import UsageError
from standoff.job.demonstration import text_of
from standoff.job.economy import Stock, stock_of
from standoff.job.file import parse_job
from standoff.job.placement import place
from standoff.job.remnant import COLLET, INSERTION, REST, SHORTFALL, drawn_out_mm, remnant_terms
from standoff.units import Units

ARRANGEMENTS: tuple[Arrangement, ...] = ("wide", "narrow", "page")
PARTS = (("axle-cell", 0), ("axle-cell", 1), ("shell-cell", 0), ("spoke-nipple-cell", 0))
INCH_MM = 25.4
NIPPLE = text_of("spoke-nipple-cell")
ODD = {
    "fine": NIPPLE.replace('length = "9/16 in"', 'length = "0.1 in"').replace('"0.06 in"', '"0.02 in"'),
    "fine and exact": NIPPLE.replace('length = "9/16 in"', 'length = "0.05 in"')
    .replace('"0.06 in"', '"0.01 in"')
    .replace('mill_tolerance = "2 in"', ""),
    "two parts": NIPPLE.replace('length = "9/16 in"', 'length = "30 in"').replace('= "4 ft"', '= "5 ft 9 3/4 in"'),
    "no facing": NIPPLE.replace('"0.02 in"', '"0 in"'),
    "picked off": text_of("axle-cell").replace("[[parts]]\n", "[[parts]]\npicked_off = true\n"),
    "into the collet": NIPPLE.replace("[cycle]\n", '[cycle]\ninto_collet = "1/2 in"\n'),
    "long name": NIPPLE.replace('name = "nipple"', f'name = "{"nipple " * 25}"'),
}
"""Jobs whose pictures are crowded, nearly empty or unusual."""


@cache
def told(name: str) -> tuple[tuple[Stock, ...], Units]:
    """The stocks of a demonstration, or of an odd job, with the units of its answers."""
    job = parse_job(ODD[name] if name in ODD else text_of(name))
    return stock_of(place(job)).stocks, job.units


def stock(name: str = "shell-cell", index: int = 0) -> Stock:
    """One part's stock."""
    return told(name)[0][index]


def bar(name: str, index: int = 0, arrangement: Arrangement = "wide") -> Scene:
    """A bar of it cut up."""
    return stock_bar(stock(name, index), units=told(name)[1], arrangement=arrangement)


def chart(name: str, index: int = 0, arrangement: Arrangement = "wide") -> Scene:
    """Its saw-tooth."""
    return stock_chart(stock(name, index), units=told(name)[1], arrangement=arrangement)


def said(scene: Scene) -> str:
    """Everything written."""
    return " ".join(text.words for text in scene.texts)


def ends(scene: Scene) -> tuple[float, float, float]:
    """Left end, right end and top of the whole bar."""
    box = next(
        shape.box for shape in scene.shapes if isinstance(shape, Rect) and shape.style == "stock-edge" and shape.layer == "bar"
    )
    return box.left, box.right, box.top


@pytest.mark.parametrize(("name", "index"), [*PARTS, *((name, 0) for name in ODD)])
def test_the_terms_of_a_remnant_add_up(name: str, index: int) -> None:
    """Whatever the reasons are, none is negative and together they are the remnant; a short pusher is among them."""
    part = stock(name, index).supply.part
    terms = remnant_terms(part)
    assert sum(term.length_mm for term in terms) == pytest.approx(part.remnant_mm, abs=1e-9)
    assert all(term.length_mm > 0.0 for term in terms)
    shortfall = [term.length_mm for term in terms if term.kind == SHORTFALL]
    assert shortfall == ([pytest.approx(part.reach.shortfall_mm)] if part.reach.shortfall_mm > 0.0 else [])


def test_the_terms_of_the_nipple_by_hand() -> None:
    """K 26.35, C 20.85, X 20.675, i 0.75 in; 5 ft 9 in less 0.02 and 100 x 0.6225 in leaves 6.73 in: the rest is 0.305 in."""
    found = {term.kind: round(term.length_mm / INCH_MM, 6) for term in remnant_terms(stock("spoke-nipple-cell").supply.part)}
    assert found == {COLLET: 5.5, SHORTFALL: 0.175, REST: 0.305, INSERTION: 0.75}
    assert [term.letters for term in remnant_terms(stock("into the collet").supply.part)][:2] == ["K − C − p", "C + p − X"]


def test_a_sub_spindle_draws_out_what_lies_foremost() -> None:
    """The axle, 5 3/8 in a part: 12 1/2 in up to the collet's back become 7 1/8 in, and nothing else changes."""
    plain, picked = stock("axle-cell").supply.part, stock("picked off").supply.part
    assert drawn_out_mm(plain) == 0.0
    assert drawn_out_mm(picked) == pytest.approx(5.375 * INCH_MM)
    before, after = ({term.kind: term.length_mm for term in remnant_terms(part)} for part in (plain, picked))
    assert after[COLLET] == pytest.approx(7.125 * INCH_MM)
    assert remnant_terms(picked)[0].letters == "K − C − drawn"
    assert after[REST] == pytest.approx(before[REST])
    assert after[INSERTION] == before[INSERTION]


@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
@pytest.mark.parametrize(("name", "index"), PARTS)
def test_the_bar_is_to_scale(name: str, index: int, arrangement: Arrangement) -> None:
    """Remnant, every cut-off and the facing lie where the lengths put them, the last part next to the remnant."""
    part, count = stock(name, index).supply.part, stock(name, index).supply.count
    scene = bar(name, index, arrangement)
    left, right, top = ends(scene)
    scale = (right - left) / part.bar_mm
    remnant = next(shape.box for shape in scene.shapes if isinstance(shape, Hatch) and shape.style == "stock-remnant")
    assert remnant.right - remnant.left == pytest.approx(part.remnant_mm * scale)
    cuts = [s.start[0] for s in scene.shapes if isinstance(s, Line) and s.style == "stock-cut-line"]
    cuts += [s.box.left for s in scene.shapes if isinstance(s, Rect) and s.style == "stock-cut" and s.box.right < right - 1e-6]
    assert len(cuts) == count
    expected_px = [left + (part.remnant_mm + i * part.advance_mm) * scale for i in range(count)]
    assert sorted(cuts) == pytest.approx(expected_px)
    (facing,) = [s.box for s in scene.shapes if isinstance(s, Rect) and s.box.right == right and s.style == "stock-cut"]
    assert facing.right - facing.left == pytest.approx(part.facing_mm * scale)
    assert expected_px[-1] + part.advance_mm * scale == pytest.approx(facing.left)
    assert top < facing.bottom


@pytest.mark.parametrize(("name", "index"), [*PARTS, ("picked off", 0)])
def test_the_remnant_is_split_to_scale(name: str, index: int) -> None:
    """The enlarged pieces stand in the order bar's end, saw-tooth, shortfall, collet, each as long as its term."""
    part = stock(name, index).supply.part
    scene = bar(name, index)
    left, right, _ = ends(scene)
    scale = (right - left) / part.remnant_mm
    edges = sorted({s.start[0] for s in scene.shapes if isinstance(s, Line) and s.style == "stock-edge"})
    steps = np.diff([left, *edges]) / scale
    assert steps.tolist() == pytest.approx([term.length_mm for term in reversed(remnant_terms(part))])
    assert f"{part.bar_mm / part.remnant_mm:.2g} times larger" in said(scene)


def test_parts_are_numbered_from_the_front() -> None:
    """The first part lies at the bar's front; numbers that would meet are left out."""
    scene = bar("axle-cell")
    numbers = {int(t.words): t.at[0] for t in scene.texts if t.layer == "numbers"}
    assert list(numbers) == list(range(1, 25))
    assert sorted(numbers.values(), reverse=True) == list(numbers.values())
    assert [t.words for t in bar("spoke-nipple-cell").texts if t.layer == "numbers"] == ["1", *map(str, range(10, 101, 10))]


def test_parts_too_narrow_to_see_are_hatched() -> None:
    """Of 1000 parts none is drawn alone, so that the file stays small; the count is told."""
    scene = bar("fine and exact", arrangement="narrow")
    assert not any(isinstance(s, Line) and s.style == "stock-cut-line" for s in scene.shapes)
    assert any(isinstance(s, Hatch) and s.style == "stock-cut-line" for s in scene.shapes)
    assert len(svg(scene, standalone=False)) < 20_000
    assert f"{stock('fine and exact').supply.count} parts" in said(scene)


def axes_of(scene: Scene, unit_mm: float) -> tuple[float, float]:
    """Origin and slope of the axis upwards, read off its figures: length bought for a part [mm] over y."""
    figures = [
        (t.at[1] - 0.34 * t.size, float(t.words) * unit_mm)
        for t in scene.texts
        if re.fullmatch(r"[0-9.]+", t.words) and t.anchor == "end"
    ]
    (y1, low), (y2, high) = min(figures), max(figures)
    slope = (high - low) / (y2 - y1)
    for y, value in figures:
        assert low + slope * (y - y1) == pytest.approx(value, abs=1e-6)
    return low - slope * y1, slope


@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
@pytest.mark.parametrize(("name", "index"), PARTS)
def test_the_curves_lie_at_their_values(name: str, index: int, arrangement: Arrangement) -> None:
    """Both dots and every tip, read back by the figures of the axis, are what a bar of that length gives."""
    one, units = stock(name, index), told(name)[1]
    assert one.purchase is not None
    assert one.purchase.best is not None
    scene = chart(name, index, arrangement)
    origin, slope = axes_of(scene, INCH_MM if units == "in" else 1.0)
    found = teeth_of(one.supply, one.purchase, one.purchase.best)
    marks = [s.centre for s in scene.shapes if isinstance(s, Circle) and s.layer == "marks" and s.style == "aim-mark"]
    each = [float(e.bought_per_part_mm) for e in (one.supply.expected, one.purchase.best)]
    assert [origin + slope * y for _, y in marks] == pytest.approx(each, rel=1e-6)
    curve = [p for s in scene.shapes if isinstance(s, Path) and s.style == "stock-mean" for p in s.points]
    (x1, _), (x2, _) = min(curve), max(curve)
    mm_per_px = (found.longest_mm - found.shortest_mm) / (x2 - x1)
    lengths = np.array([found.shortest_mm + (x - x1) * mm_per_px for x, _ in curve])
    drawn = np.array([origin + slope * y for _, y in curve])
    near = [
        expected(one.supply.part.cutting, lengths + by_mm, one.supply.tolerance).bought_per_part_mm
        for by_mm in (-0.02, 0.0, 0.02)
    ]
    assert np.all(drawn >= np.min(near, axis=0) - 0.01)
    assert np.all(drawn <= np.max(near, axis=0) + 0.01)


@pytest.mark.parametrize(("name", "index"), [*PARTS, *((name, 0) for name in ODD)])
def test_the_teeth_are_those_of_the_count(name: str, index: int) -> None:
    """At a tip a bar gives one part more than just before it; the best length is no worse than any point of any curve."""
    one = stock(name, index)
    assert one.purchase is not None
    assert one.purchase.best is not None
    found = teeth_of(one.supply, one.purchase, one.purchase.best)
    cutting = one.supply.part.cutting
    for count, bar_mm in found.tips_mm:
        assert int(cut_up(cutting, bar_mm).parts) == count
        if count > 1 and bar_mm - 0.01 > cutting.held_mm:
            assert int(cut_up(cutting, bar_mm - 0.01).parts) == count - 1
    bars, bought = found.mean if found.mean is not None else found.exact
    inside = (bars >= found.least_mm) & (bars <= found.greatest_mm)
    assert float(found.best.bought_per_part_mm) <= bought[inside].min() + 1e-9
    assert (found.mean is not None) == (one.supply.tolerance != Even())


def test_what_cannot_be_had_is_hatched() -> None:
    """Today's bar is shorter than the shortest to be had: the picture reaches to it, hatched, and the key says why."""
    scene = chart("two parts")
    assert any(isinstance(s, Hatch) and s.style == "stock-beyond" and s.layer == "limits" for s in scene.shapes)
    assert "shorter than can be had" in said(scene)
    assert not any(isinstance(s, Hatch) for s in chart("axle-cell").shapes)


def test_teeth_too_fine_become_a_band() -> None:
    """Of 1000 teeth only their upper and lower edge are drawn."""
    scene = chart("fine and exact", arrangement="narrow")
    assert any(isinstance(s, Path) and s.closed and s.style == "speed-band" for s in scene.shapes)
    assert "Below a tip" not in said(scene)


def test_the_best_length_is_said_so_that_no_part_is_lost() -> None:
    """Up to the next step of the tape, as the answer in words says it: 11 ft 10 13/16 in would be too short."""
    assert "best: 11 ft 10 7/8 in:" in said(chart("axle-cell", 1))
    assert "best: 3615 mm: 76.91 mm for each part" in said(chart("shell-cell"))
    assert "today's bar: 3658 mm: 77.82 mm for each part" in said(chart("shell-cell"))
    best, today = re.findall(r"([0-9.]+) in for each part", said(chart("fine")))
    assert best != today


def test_without_a_length_to_buy_there_is_no_chart() -> None:
    """Nothing is drawn of it, and the refusal says what to state; other arrangements are refused too."""
    text = text_of("axle-cell").replace('shortest_to_buy = "10 ft"', "")
    one = stock_of(place(parse_job(text))).stocks[0]
    with pytest.raises(UsageError, match="state the shortest bar"):
        stock_chart(one, units="in", arrangement="wide")
    for draw in (stock_chart, stock_bar):
        with pytest.raises(UsageError, match="arrangement"):
            draw(stock(), units="mm", arrangement="poster")  # type: ignore[arg-type]


def overlapping(texts: Sequence[Text]) -> list[tuple[str, str]]:
    """The texts that meet."""
    return [(a.words, b.words) for i, a in enumerate(texts) for b in texts[:i] if a.box.meets(b.box)]


@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
@pytest.mark.parametrize(("name", "index"), [*PARTS, *((name, 0) for name in ODD)])
def test_no_words_meet_or_leave_the_drawing(name: str, index: int, arrangement: Arrangement) -> None:
    """Every text has a place of its own inside the drawing and is large enough; the drawing is as wide as its arrangement."""
    for scene in (bar(name, index, arrangement), chart(name, index, arrangement)):
        assert scene.width == FORMATS[arrangement].width
        assert [t.words for t in scene.texts if not t.box.inside(scene.frame)] == []
        assert overlapping(scene.texts) == []
        assert min(t.size for t in scene.texts) >= 12.0


@pytest.mark.parametrize(("name", "index"), [*PARTS, *((name, 0) for name in ODD)])
def test_the_same_stock_gives_the_same_bytes(name: str, index: int) -> None:
    """Twice the same file, without a number that is none, every style known to the style sheet, and told in words."""
    for draw in (bar, chart):
        scene = draw(name, index)
        text = svg(scene, standalone=True)
        assert text == svg(draw(name, index), standalone=True)
        assert not re.search(r"\b(nan|inf)\b", re.sub(r">[^<]*<", "><", text))
        used = {f"text.d-{s.style}" if isinstance(s, Text) else f".d-{s.style}" for s in scene.shapes}
        assert sorted(style for style in used if not re.search(rf"{re.escape(style)}(?![\w-])", STYLESHEET)) == []
        assert stock(name, index).supply.part.name.strip() in scene.title
    assert "The remnant, from the cut-off plane back:" in bar(name, index).description
    assert "Best:" in chart(name, index).description
