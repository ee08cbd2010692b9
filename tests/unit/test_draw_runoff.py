"""The pictures of a run-off: values where the scales put them, what stands out marked and told, words apart."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from standoff.draw.elevation import FORMATS, Arrangement
from standoff.draw.runoff_chart import Remnants, odd_lines, remnant_chart
from standoff.draw.runoff_power import Power, marks_of, plan_words, power_chart
from standoff.draw.runoff_strip import CLEAN, STOPPED, TO_GO, VOID, squares, tally_strip
from standoff.draw.scene import Circle, Hatch, Line, Path, Rect, Scene, Text
from standoff.draw.svg import STYLESHEET, svg
from standoff.errors import UsageError
from standoff.site.acceptance import RowPlan, TotalPlan, row_plan
from standoff.site.control_chart import control_chart
from standoff.site.tally import Agreement, BarRecord, Cause, Run, RunState, tally

ARRANGEMENTS: tuple[Arrangement, ...] = ("wide", "narrow", "page")
START = datetime(2026, 5, 4, 8, tzinfo=UTC)
RUN = Run("chucker", "1 in aluminium")
COUNTED = frozenset({Cause.LOADER, Cause.BAR, Cause.LATHE})


def measured(*remnants_mm: float, bars: Sequence[int] = (), **further: float | None) -> Remnants:
    """The remnants of consecutive bars, or of those given; predicted 200 mm (any: 196 to 204.5), u 1.5 mm, at most 210."""
    told: dict[str, float | None] = {"predicted_mm": 200.0, "longest_mm": 210.0, **further}
    return Remnants(
        run="chucker, 1 in aluminium",
        remnants_mm=remnants_mm,
        bars=tuple(bars) or tuple(range(1, len(remnants_mm) + 1)),
        chart=control_chart(remnants_mm) if len(remnants_mm) > 1 else None,
        predicted_mm=told["predicted_mm"],
        predicted_u_mm=1.5 if told["predicted_mm"] is not None else 0.0,
        any_mm=(196.0, 204.5) if told["predicted_mm"] is not None else None,
        longest_mm=told["longest_mm"],
    )


LEAP = (*(200.0, 202.0) * 10, 215.0, 201.0)
CASES = {
    "one": measured(201.0),
    "two alike": measured(200.0, 200.0),
    "a leap": measured(*LEAP),
    "gaps": measured(201.0, 203.0, 202.0, bars=(2, 5, 11)),
    "nothing agreed": measured(201.0, 203.0, 202.0, longest_mm=None, predicted_mm=None),
    "far away": measured(201.0, 203.0, 202.0, longest_mm=2000.0),
    "close to nothing": measured(1.0, 9.0, 2.0, predicted_mm=3.0),
    "many": measured(*(200.0 + (i * 7) % 5 for i in range(200))),
    "hair's breadths": measured(200.001, 200.002, 200.0015, predicted_mm=None, longest_mm=None),
}


def run_of(*stops: Cause | None, plan: RowPlan | TotalPlan = RowPlan(5, 2)) -> tuple[RunState, Agreement]:  # noqa: B008
    """A run of bars, each clean or stopped by a cause, and what was agreed of it."""
    agreement = Agreement(plan, (RUN,), COUNTED)
    records = [BarRecord(key=f"k{i}", at=START + timedelta(minutes=i), run=RUN, stop=stop) for i, stop in enumerate(stops)]
    return tally(records, agreement).runs[0], agreement


def said(scene: Scene) -> str:
    """Everything written."""
    return " ".join(text.words for text in scene.texts)


def heights(scene: Scene, unit_mm: float) -> tuple[float, float]:
    """Origin and slope of the scale upwards, read off its figures: length [mm] over y."""
    figures = [
        (t.at[1] - 0.34 * t.size, fraction(t.words) * unit_mm)
        for t in scene.texts
        if t.anchor == "end" and re.fullmatch(r"[0-9][0-9./ ]*", t.words)
    ]
    (y1, low), (y2, high) = min(figures), max(figures)
    slope = (high - low) / (y2 - y1)
    for y, value in figures:
        assert low + slope * (y - y1) == pytest.approx(value, abs=1e-6)
    return low - slope * y1, slope


def fraction(words: str) -> float:
    """A figure of a scale: "9 1/2", "1/4" or "0.05"."""
    return sum(float(a) / float(b or 1) for a, _, b in (part.partition("/") for part in words.split()))


@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
@pytest.mark.parametrize(("units", "unit_mm"), [("in", 25.4), ("mm", 1.0)])
def test_remnants_lie_at_their_lengths(arrangement: Arrangement, units: str, unit_mm: float) -> None:
    """Dots, mean, limits, prediction and what was agreed, read back by the figures of the scale, are what they were."""
    found = CASES["a leap"]
    assert found.chart is not None
    scene = remnant_chart(found, units=units, arrangement=arrangement)  # type: ignore[arg-type]
    origin, slope = heights(scene, unit_mm)
    dots = [s.centre for s in scene.shapes if isinstance(s, Circle) and s.layer == "series"]
    assert [origin + slope * y for _, y in dots] == pytest.approx(LEAP)
    lines = {
        (s.style, round(origin + slope * s.start[1], 6)) for s in scene.shapes if isinstance(s, Line) and s.layer == "levels"
    }
    assert lines == {
        ("runoff-mean", round(found.chart.centre, 6)),
        ("runoff-limit", round(found.chart.upper, 6)),
        ("runoff-limit", round(found.chart.lower, 6)),
        ("runoff-predicted", 200.0),
        ("runoff-agreed", 210.0),
    }
    (band,) = [s.box for s in scene.shapes if isinstance(s, Rect) and s.style == "speed-band" and s.layer == "band"]
    assert [origin + slope * y for y in (band.bottom, band.top)] == pytest.approx([196.0, 204.5])


def test_bars_without_a_remnant_leave_a_gap() -> None:
    """Bars 2, 5 and 11 lie three and six places apart."""
    scene = remnant_chart(CASES["gaps"], units="mm", arrangement="wide")
    x = [s.centre[0] for s in scene.shapes if isinstance(s, Circle) and s.layer == "series"]
    assert (x[2] - x[1]) / (x[1] - x[0]) == pytest.approx(2.0)


def test_what_stands_out_has_a_square_and_is_told() -> None:
    """Bar 21 leaps beyond the limits, and the steps to it and from it are great ones; a steady series has no square."""
    scene = remnant_chart(CASES["a leap"], units="mm", arrangement="wide")
    dots = [s.centre[0] for s in scene.shapes if isinstance(s, Circle) and s.layer == "series"]
    squares_at = [
        (s.box.left + s.box.right) / 2.0
        for s in scene.shapes
        if isinstance(s, Rect) and (s.style, s.layer) == ("runoff-odd", "series")
    ]
    assert squares_at == pytest.approx(dots[20:22])
    assert "Bar 21: a step greater than usual, beyond the limits. Bar 22: a step greater than usual." in said(scene)
    assert odd_lines(CASES["gaps"]) == ()
    assert "stands out" not in said(remnant_chart(CASES["gaps"], units="mm", arrangement="wide"))


def test_what_cannot_be_drawn_is_told() -> None:
    """One remnant has no limits, few have provisional ones, a far limit and a limit below nothing are said in words."""
    assert "Limits need two measured remnants" in said(remnant_chart(CASES["one"], units="mm", arrangement="wide"))
    assert "Limits from 3 remnants are provisional" in said(remnant_chart(CASES["gaps"], units="mm", arrangement="wide"))
    assert "provisional" not in said(remnant_chart(CASES["many"], units="mm", arrangement="wide"))
    far = remnant_chart(CASES["far away"], units="mm", arrangement="wide")
    assert "Outside this picture: agreed at most 2000 mm." in said(far)
    wide = replace(CASES["gaps"], any_mm=(20.0, 900.0))
    assert "The survey allows 20.0 mm to 900.0 mm for any bar" in said(remnant_chart(wide, units="mm", arrangement="wide"))
    assert "The survey allows" not in said(remnant_chart(CASES["gaps"], units="mm", arrangement="wide"))
    low = remnant_chart(CASES["close to nothing"], units="mm", arrangement="wide")
    assert "The lower limit lies below nothing" in said(low)
    assert "lower limit -" not in said(low)


def test_no_remnant_no_chart() -> None:
    """Nothing measured, bars that do not match, or an unknown arrangement are refused."""
    for wrong in (measured(), replace(CASES["one"], bars=(1, 2))):
        with pytest.raises(UsageError, match="measure the remnant of the next bar"):
            remnant_chart(wrong, units="mm", arrangement="wide")
    for draw in (
        lambda: remnant_chart(CASES["one"], units="mm", arrangement="poster"),  # type: ignore[arg-type]
        lambda: power_chart(POWERS["five in a row"], arrangement="poster"),  # type: ignore[arg-type]
        lambda: tally_strip(*run_of(None), arrangement="poster"),  # type: ignore[arg-type]
    ):
        with pytest.raises(UsageError, match="arrangement"):
            draw()


POWERS = {
    "five in a row": Power(
        plan=RowPlan(5), confidence_share=0.95, wanted_share=0.95, wanted_plan=row_plan(clean_share=0.95, confidence_share=0.95)
    ),
    "nothing wished": Power(plan=RowPlan(5, 1), confidence_share=0.95, wanted_share=None, wanted_plan=None),
    "in all": Power(plan=TotalPlan(59), confidence_share=0.95, wanted_share=0.95, wanted_plan=TotalPlan(59)),
    "one bar": Power(plan=RowPlan(1), confidence_share=0.8, wanted_share=0.99, wanted_plan=TotalPlan(458, 1)),
    "very many": Power(plan=TotalPlan(2994), confidence_share=0.95, wanted_share=0.999, wanted_plan=None),
}


@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
def test_the_marks_lie_on_the_curve(arrangement: Arrangement) -> None:
    """Five in a row at 95 %: 0.05^(1/5) = 0.549 passes 5 in 100; 0.95^5 = 0.774. Both lie on the drawn curve."""
    power = POWERS["five in a row"]
    assert [(round(m.clean_share, 4), round(m.passing_share, 4)) for m in marks_of(power)] == [(0.5493, 0.05), (0.95, 0.7738)]
    scene = power_chart(power, arrangement=arrangement)
    (curve,) = [s.points for s in scene.shapes if isinstance(s, Path) and s.style == "runoff-mean"]
    for x, y in (s.centre for s in scene.shapes if isinstance(s, Circle) and s.layer == "marks" and s.style == "aim-mark"):
        near = min(curve, key=lambda point: abs(point[0] - x))
        assert abs(near[1] - y) < 4.0
    (x0, y0), (x1, y1) = curve[0], curve[-1]
    first = next(s.centre for s in scene.shapes if isinstance(s, Circle) and s.layer == "marks")
    assert (first[0] - x0) / (x1 - x0) == pytest.approx(0.5493, abs=1e-4)
    assert (first[1] - y0) / (y1 - y0) == pytest.approx(0.05, abs=1e-3)


def test_what_passing_shows_is_said() -> None:
    """In words, never a certainty; the plan that would show the wish has its own curve, unless it is the one agreed."""
    scene = power_chart(POWERS["five in a row"], arrangement="wide")
    assert "A cell that runs 55 of 100 bars clean: passes 5 times in 100" in scene.description
    assert "A cell that runs 95 of 100 bars clean, as wished for: passes 77 times in 100" in scene.description
    assert "59 clean bars in a row, no stop allowed before" in said(scene)
    assert sum(isinstance(s, Path) for s in power_chart(POWERS["in all"], arrangement="wide").shapes) == 1
    assert "99.9 of 100" in power_chart(POWERS["very many"], arrangement="wide").description
    assert plan_words(TotalPlan(93, 1)) == "93 bars in all, 1 stop allowed"
    assert plan_words(RowPlan(1, 3)) == "1 clean bar in a row, 3 stops allowed before"


def test_every_bar_has_its_box() -> None:
    """Clean, stopped, void, and two to go; the row begins after the stop and goes on over the void bar."""
    state, agreement = run_of(None, Cause.LOADER, None, Cause.OPERATOR, None, None)
    found = squares(state, agreement)
    assert [square.kind for square in found] == [CLEAN, STOPPED, CLEAN, VOID, CLEAN, CLEAN, TO_GO, TO_GO]
    assert [square.number for square in found if square.in_row] == [3, 5, 6]
    scene = tally_strip(state, agreement, arrangement="wide")
    signs = [t.words for t in scene.texts if t.layer == "bars" and not t.words.isdecimal()]
    assert signs == ["✓", "✗", "✓", "–", "✓", "✓"]
    assert "Stopped by: bar 2 loader, bar 4 operator." in said(scene)
    row = [s for s in scene.shapes if isinstance(s, Line) and s.layer == "row" and s.start[1] == s.end[1]]
    boxes = [s.box for s in scene.shapes if isinstance(s, Rect) and s.layer == "bars"]
    assert [(s.start[0], s.end[0]) for s in row] == [(boxes[2].left, boxes[5].right)]
    assert sum(isinstance(s, Hatch) for s in scene.shapes if s.layer == "bars") == 1


def test_in_all_there_is_no_row() -> None:
    """A plan of so many bars in all has no bracket; what is to go are the bars that are missing."""
    state, agreement = run_of(None, Cause.BAR, None, plan=TotalPlan(6, 1))
    found = squares(state, agreement)
    assert [square.kind for square in found] == [CLEAN, STOPPED, CLEAN, TO_GO, TO_GO, TO_GO]
    assert not any(square.in_row for square in found)


def test_long_runs_are_cut_and_say_so() -> None:
    """Of 100 bars the last 60 are drawn, of 200 to go 30."""
    state, agreement = run_of(*[None] * 100, plan=TotalPlan(300))
    scene = tally_strip(state, agreement, arrangement="narrow")
    assert sum(isinstance(s, Rect) and s.layer == "bars" for s in scene.shapes) == 90
    assert "40 earlier bars are not drawn." in said(scene)
    assert "170 more bars to go are not drawn." in said(scene)


def test_before_the_first_bar_only_what_is_to_go() -> None:
    """Five empty boxes, and the description says that nothing ran."""
    scene = tally_strip(*run_of(), arrangement="wide")
    assert sum(isinstance(s, Rect) and s.layer == "bars" for s in scene.shapes) == 5
    assert scene.description == "No bar has run yet. 5 to go at least."


def every_scene(arrangement: Arrangement) -> list[Scene]:
    """All pictures of all cases."""
    long_name = replace(CASES["a leap"], run="guide-bushing " * 20)
    scenes = [
        remnant_chart(found, units=units, arrangement=arrangement)
        for found in (*CASES.values(), long_name)
        for units in ("in", "mm")
    ]
    scenes += [power_chart(power, arrangement=arrangement) for power in POWERS.values()]
    runs = [(), (None,) * 7, (Cause.LOADER,) * 3, (None, Cause.OPERATOR, Cause.BAR) * 30]
    return [*scenes, *(tally_strip(*run_of(*stops, plan=RowPlan(5, 80)), arrangement=arrangement) for stops in runs)]


def overlapping(texts: Sequence[Text]) -> list[tuple[str, str]]:
    """The texts that meet."""
    return [(a.words, b.words) for i, a in enumerate(texts) for b in texts[:i] if a.box.meets(b.box)]


@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
def test_no_words_meet_or_leave_the_drawing(arrangement: Arrangement) -> None:
    """Every text has a place of its own inside the drawing and is large enough; the drawing is as wide as its arrangement."""
    for scene in every_scene(arrangement):
        assert scene.width == FORMATS[arrangement].width
        assert [t.words for t in scene.texts if not t.box.inside(scene.frame)] == []
        assert overlapping(scene.texts) == [], scene.title
        assert min(t.size for t in scene.texts) >= 12.0


def test_the_same_run_gives_the_same_bytes() -> None:
    """Twice the same file, without a number that is none, every style known to the style sheet, and told in words."""
    for scene, again in zip(every_scene("wide"), every_scene("wide"), strict=True):
        text = svg(scene, standalone=True)
        assert text == svg(again, standalone=True)
        assert not re.search(r"\b(nan|inf)\b", re.sub(r">[^<]*<", "><", text))
        used = {f"text.d-{s.style}" if isinstance(s, Text) else f".d-{s.style}" for s in scene.shapes}
        assert sorted(style for style in used if not re.search(rf"{re.escape(style)}(?![\w-])", STYLESHEET)) == []
        assert scene.description
