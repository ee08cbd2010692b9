"""The bar in motion as drawings: to scale, named, every state that can be; the traces of the gaps; the film a page plays."""

from __future__ import annotations

import json
import re
from functools import cache
from itertools import pairwise

import numpy as np
import pytest

from standoff.draw.cycle_film import COLLET, MIDDLE_S, STOP, SUB_SPINDLE, TOOL, film_of, how_played, play_list
from standoff.draw.cycle_moment import failing_of, milestones, moment_of, stop_places_mm, sub_spindle_places_mm
from standoff.draw.cycle_scene import cycle_scene, grids, nose_travel_mm
from standoff.draw.cycle_sheet import cycle_sheet
from standoff.draw.cycle_traces import ground_of, traces
from standoff.draw.elevation import Arrangement
from standoff.draw.pose import pose
from standoff.draw.scene import Hatch, Path, Rect, Scene, Text, points_of
from standoff.draw.svg import STYLESHEET, svg
from standoff.errors import UsageError
from standoff.job.cycle import Cycle, bar_cycles
from standoff.job.cycle_speech import CAUTION, verdict_line
from standoff.job.demonstration import text_of
from standoff.job.file import parse_job
from standoff.job.motions import CUT, END, FEED, STEPS
from standoff.job.placement import Placement, place

ARRANGEMENTS: tuple[Arrangement, ...] = ("wide", "page", "narrow")
PARTS = (("axle-cell", 0), ("axle-cell", 1), ("shell-cell", 0), ("spoke-nipple-cell", 0))
CHANGED = {
    "out of the front": ("axle-cell", 0, 'ejection = "through the loader"', 'ejection = "out of the front"'),
    "several feeds": ("spoke-nipple-cell", 0, 'length = "9/16 in"', 'length = "6 in"'),
    "drawn": ("axle-cell", 0, 'length = "5 1/4 in"', 'length = "5 1/4 in"\npicked_off = true'),
    "by the sub-spindle": ("shell-cell", 0, 'feed_stop = "stop"', 'feed_stop = "sub-spindle"'),
}


@cache
def made(name: str, number: int = 0, old: str = "", new: str = "") -> tuple[Placement, Cycle]:
    """A demonstration job's placement and one of its cycles, perhaps with a line of the file changed."""
    text = text_of(name)
    assert old in text
    placement = place(parse_job(text.replace(old, new, 1) if old else text, file=f"{name}.toml"))
    return placement, bar_cycles(placement)[number]


@cache
def every() -> tuple[tuple[Placement, Cycle], ...]:
    """Every cycle that is drawn here."""
    return (*(made(*part) for part in PARTS), *(made(*case) for case in CHANGED.values()))


def layered(scene: Scene, strip: int, name: str) -> list[Rect | Path]:
    """The shapes of a carrier on a strip."""
    return [s for s in scene.shapes if isinstance(s, Rect | Path) and s.layer.split()[0] == f"s{strip}-{name}"]


@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
def test_words_stay_on_the_sheet_and_apart(arrangement: Arrangement) -> None:
    """At the moments that are printed no text meets another one or the edge, and every carrier has its name."""
    for placement, cycle in every():
        for heading, number in milestones(cycle):
            scene = cycle_scene(placement, cycle, number, arrangement=arrangement, heading=heading)
            texts = scene.texts
            assert all(text.box.inside(scene.frame) for text in texts), heading
            met = [(a.words, b.words) for i, a in enumerate(texts) for b in texts[i + 1 :] if a.box.meets(b.box)]
            assert met == []
            words = {text.words for text in texts}
            named = {"bar", "pusher", "gripper", "bar loader", "nose clamp", "nose", "adapter", "main collet", "cut-off tool"}
            assert named <= words
            assert "lathe" in words


@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
def test_the_axis_is_to_scale(arrangement: Arrangement) -> None:
    """On every strip the bar's two ends lie where the course says, and the headstock's faces where the layout says."""
    placement, cycle = made("axle-cell")
    for number in (3, 10, len(cycle.course) - 1):
        scene = cycle_scene(placement, cycle, number, arrangement=arrangement)
        moment = moment_of(cycle, number)
        shown = pose(placement, mode=cycle.part.mode.name, headstock_mm=moment.travel_mm)
        for strip, grid in enumerate(grids(placement, cycle, number, arrangement=arrangement)):
            (bar,) = (shape.box for shape in layered(scene, strip, "bar") if isinstance(shape, Rect))
            assert bar.left == pytest.approx(grid.zero + grid.scale * moment.rear_mm)
            assert bar.right == pytest.approx(grid.zero + grid.scale * moment.front_mm)
            bores = [s.box for s in layered(scene, strip, "headstock") if isinstance(s, Rect) and s.style == "bore"]
            assert bores[0].left == pytest.approx(grid.zero + grid.scale * shown.adapter_mm)
            assert bores[0].right == pytest.approx(grid.zero + grid.scale * shown.collet_mm)


def test_a_page_that_moves_the_layers_gets_the_picture_of_that_moment() -> None:
    """Headstock and pusher moved by what they have gone since, times the scale, lie where a drawing of that moment has them."""
    for placement, cycle in every():
        base = milestones(cycle)[0][1]
        first = cycle_scene(placement, cycle, base, live=True)
        low_mm, high_mm = nose_travel_mm(placement, cycle, base)
        for number in (0, len(cycle.course) // 2, len(cycle.course) - 1):
            then = cycle_scene(placement, cycle, number, live=True)
            here, there = moment_of(cycle, base), moment_of(cycle, number)
            nose_mm = float(np.clip(there.travel_mm, low_mm, high_mm) - np.clip(here.travel_mm, low_mm, high_mm))
            gone_mm = {"headstock": there.travel_mm - here.travel_mm, "pusher": there.tip_mm - here.tip_mm, "nose": nose_mm}
            for strip, grid in enumerate(grids(placement, cycle, base, arrangement="wide")):
                assert grid == grids(placement, cycle, number, arrangement="wide")[strip]
                for carrier, by_mm in gone_mm.items():
                    before, after = (layered(scene, strip, carrier) for scene in (first, then))
                    xs = [[x for shape in shapes for x, _ in points_of(shape)] for shapes in (before, after)]
                    assert np.allclose(np.array(xs[0]) + by_mm * grid.scale, xs[1], atol=1e-6), carrier


def test_what_opens_and_closes_differs_in_shape() -> None:
    """A still has the one state that holds; a moving picture has both, with the other one switched off."""
    placement, cycle = made("axle-cell")
    closed, opened = int(np.flatnonzero(cycle.course.collet_closed)[0]), 0
    for name in ("collet", "gripper", "tool"):
        still = {s.layer for s in cycle_scene(placement, cycle, closed).shapes if f"1-{name}-" in s.layer}
        moving = {s.layer for s in cycle_scene(placement, cycle, closed, live=True).shapes if f"1-{name}-" in s.layer}
        assert len(still) == 1
        assert len(moving) == 2
        assert sum(layer.endswith(" d-off") for layer in moving) == 1
    shut = layered(cycle_scene(placement, cycle, closed), 1, "collet-closed")
    wide = layered(cycle_scene(placement, cycle, opened), 1, "collet-open")
    assert [points_of(s) for s in shut] != [points_of(s) for s in wide]
    assert {s.style for s in shut}.isdisjoint(s.style for s in wide)


def test_nothing_stands_in_the_bar() -> None:
    """The cut-off tool is in its plane only where the bar ends there; stop and sub-spindle never stand behind the bar's front."""
    for _, cycle in every():
        course = cycle.course
        assert np.all(course.front_mm[course.tool_in] <= cycle.part.reach.cut_off_mm + 1e-6)
        assert np.all(stop_places_mm(course) >= course.front_mm - 1e-9)
        assert np.all(sub_spindle_places_mm(course) >= course.front_mm - 1e-9)


def test_a_stop_waits_and_a_sub_spindle_goes_along() -> None:
    """Throughout a feed the stop stands where the bar will come to rest; the sub-spindle takes hold, draws, keeps its part."""
    _, shell = made("shell-cell")
    first = np.flatnonzero(shell.course.step == FEED)[:3]
    waits_mm = stop_places_mm(shell.course)[first]
    assert waits_mm == pytest.approx([shell.part.reach.cut_off_mm + shell.part.advance_mm] * 3)
    _, drawn = made(*CHANGED["drawn"])
    last = np.flatnonzero(drawn.course.sub_spindle)
    faces_mm = sub_spindle_places_mm(drawn.course)[last]
    assert faces_mm[0] == pytest.approx(drawn.part.reach.cut_off_mm)
    assert faces_mm[-1] == pytest.approx(drawn.part.reach.cut_off_mm + drawn.part.advance_mm)
    assert drawn.course.step[last[-1]] == CUT


def test_stop_and_sub_spindle_are_drawn_and_named() -> None:
    """Each stands ahead of the bar at its moments with its name, and nowhere at others; the jaws lie on the bar."""
    for case, word, carrier in ((("shell-cell", 0, "", ""), "stop", "stop"), (CHANGED["drawn"], "sub-spindle", "sub")):
        placement, cycle = made(*case)
        held = cycle.course.stop_in if carrier == "stop" else cycle.course.sub_spindle
        for number in (int(np.flatnonzero(held)[1]), int(np.flatnonzero(~held)[-1])):
            scene = cycle_scene(placement, cycle, number)
            assert (word in {text.words for text in scene.texts}) == bool(held[number])
            assert bool(layered(scene, 1, f"{carrier}-closed")) == bool(held[number])


def test_what_fails_is_marked_where_and_when_it_does() -> None:
    """The spoke-nipple cell: the nose has its mark at the rear limit, the pusher at the end of the bar; neither elsewhere."""
    placement, cycle = made("spoke-nipple-cell")
    marks = {}
    for heading, number in milestones(cycle):
        scene = cycle_scene(placement, cycle, number)
        marks[heading.partition(":")[0]] = [text.words for text in scene.texts if text.style == "clash"]
    assert marks == {
        "Here it first fails": ["✗ room for the nose"],
        "The faced bar": [],
        "The end of the bar": ["✗ pusher reach"],
    }
    moving = cycle_scene(placement, cycle, milestones(cycle)[0][1], live=True)
    assert {text.layer for text in moving.texts if text.style == "clash"} == {
        "s1-fail fails-nose-room rides",
        "s1-fail fails-pusher-reach d-off",
    }


@pytest.mark.parametrize("arrangement", ARRANGEMENTS)
def test_the_traces_show_every_least(arrangement: Arrangement) -> None:
    """Each trace's tightest moment is among those shown, in their order; what fails, and only that, is hatched and marked."""
    for _, cycle in every():
        ground, scene = ground_of(cycle, arrangement=arrangement), traces(cycle, arrangement=arrangement)
        assert all(trace.tightest in ground.moments for trace in cycle.traces)
        assert all(a < b for a, b in pairwise(ground.places))
        assert len(ground.moments) < 80
        assert all(text.box.inside(scene.frame) for text in scene.texts)
        failing = [trace for trace in cycle.traces if trace.least_mm < 0.0]
        assert sum("✗" in text.words for text in scene.texts) == len(failing)
        assert any(isinstance(shape, Hatch) for shape in scene.shapes) == bool(failing)
        assert (
            sum(text.words.split(":")[0].endswith(cycle.tightest.title.lower()) for text in scene.texts if "◆" in text.words) == 1
        )


def test_the_spans_of_the_traces_leave_out_nothing() -> None:
    """Loading, parts one by one, those that are alike together, the end: each moment belongs to one span."""
    _, cycle = made("spoke-nipple-cell")
    spans = ground_of(cycle, arrangement="wide").spans
    assert [span.words for span in spans] == ["loading", "part 1", "part 2", "parts 3 to 98", "part 99", "part 100", "end of bar"]
    assert [span.first for span in spans[1:]] == [span.last + 1 for span in spans[:-1]]
    assert (spans[0].first, spans[-1].last) == (0, len(cycle.course) - 1)


def test_the_film_is_the_course() -> None:
    """What a page gets are the course's own figures, and what is closed; what is to spare is the least of all traces."""
    for placement, cycle in every():
        base, course = milestones(cycle)[0][1], cycle.course
        film = film_of(placement, cycle, base)
        assert json.loads(json.dumps(film)) == film
        for key, figures in (
            ("travel", course.travel_mm),
            ("tip", course.tip_mm),
            ("front", course.front_mm),
            ("rear", course.rear_mm),
        ):
            assert np.allclose(film[key], figures, atol=0.051)
        held = np.array(film["held"])
        assert np.array_equal(held & COLLET > 0, course.collet_closed)
        assert np.array_equal(held & TOOL > 0, course.tool_in)
        assert np.array_equal(held & STOP > 0, course.stop_in)
        assert np.array_equal(held & SUB_SPINDLE > 0, course.sub_spindle)
        assert [bool(film["stop"]), bool(film["sub"])] == [bool(course.stop_in.any()), bool(course.sub_spindle.any())]
        assert [name.lower() for name in film["steps"]] == [name.lower() for name in STEPS]
        worst = film["texts"][film["said"][cycle.tightest.tightest]]
        assert cycle.tightest.title in worst
        assert worst.startswith("✗") == (not cycle.clean)
        assert set(film["fails"]) == {failing.id for failing in failing_of(cycle)}
        for failing in failing_of(cycle):
            runs = film["fails"][failing.id]
            assert failing.moments.tolist() == [any(a <= i <= b for a, b in runs) for i in range(len(course))]


def test_play_shows_the_ends_whole_and_the_middle_by_its_cut_offs() -> None:
    """Moments come in their order; of the first and last two parts each one, of the others one, all of these in a few seconds."""
    for _, cycle in every():
        entries, part = play_list(cycle), cycle.course.part
        shown = [number for number, _, _ in entries]
        assert shown == sorted(set(shown))
        assert shown[-1] == len(cycle.course) - 1
        middle = [number for number, _, alike in entries if alike]
        assert [int(part[number]) for number in middle] == list(range(3, cycle.part.count - 1))
        assert all(cycle.course.step[number] == CUT for number in middle)
        assert sum(seconds for _, seconds, alike in entries if alike) == pytest.approx(MIDDLE_S if middle else 0.0, abs=0.1)
        rest = set(range(1, len(cycle.course))) - set(shown)
        assert all(2 < part[number] <= cycle.part.count - 2 for number in rest)
        assert sum(seconds for _, seconds, _ in entries) < 60.0
    assert "parts 3 to 98" in how_played(made("spoke-nipple-cell")[1])


def test_a_thousand_parts_stay_small() -> None:
    """A bar of very many short parts: the drawings do not grow, and the film stays below 400 kB."""
    placement, cycle = made("spoke-nipple-cell", 0, 'length = "9/16 in"', 'length = "0.07 in"')
    assert cycle.part.count > 450
    film = json.dumps(film_of(placement, cycle, 1), separators=(",", ":"))
    assert len(film) < 400_000
    assert len(svg(traces(cycle), standalone=False)) < 20_000


def test_the_sheet_says_and_shows_it_all() -> None:
    """Verdict, three moments, traces and caution on one sheet; its words stay on it."""
    for placement, cycle in every():
        scene = cycle_sheet(placement, cycle)
        said = " ".join(text.words for text in scene.texts)
        assert verdict_line(cycle) in said
        assert all(heading in said for heading, _ in milestones(cycle))
        assert CAUTION[-40:] in said
        assert all(text.box.inside(scene.frame) for text in scene.texts)
        assert svg(scene, standalone=True) == svg(cycle_sheet(placement, cycle), standalone=True)


def test_every_style_is_in_the_sheet_of_styles() -> None:
    """No shape of these drawings has a style that the writer's sheet does not know."""
    placement, cycle = made("spoke-nipple-cell")
    scenes = [cycle_scene(placement, cycle, 1, live=True), cycle_scene(*made("shell-cell"), 12), traces(cycle)]
    styles = {shape.style for scene in scenes for shape in scene.shapes if not isinstance(shape, Text)}
    assert {style for style in styles if not re.search(rf"\.d-{style}[ ,{{]", STYLESHEET)} == set()


def test_another_arrangement_is_refused() -> None:
    """An arrangement there is not is named with those there are."""
    placement, cycle = made("axle-cell")
    for draw in (lambda: cycle_scene(placement, cycle, 0, arrangement="round"), lambda: traces(cycle, arrangement="round")):  # type: ignore[arg-type]
        with pytest.raises(UsageError, match="wide"):
            draw()


def test_the_end_of_the_bar_is_the_remnant() -> None:
    """The last still shows what is left: from the cut-off plane back, as long as the remnant."""
    for _, cycle in every():
        number = milestones(cycle)[2][1]
        moment = moment_of(cycle, number)
        assert cycle.course.step[number] == END
        assert moment.front_mm - moment.rear_mm == pytest.approx(cycle.part.remnant_mm)
        assert not moment.collet_closed
