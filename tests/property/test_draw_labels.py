"""Over random jobs, modes, states and arrangements: words never collide, nothing leaves the sheet, and gaps are to scale."""

from __future__ import annotations

import math
from itertools import combinations

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from standoff.draw.conditions import conditions
from standoff.draw.dimensions import dimensions, shared_out
from standoff.draw.elevation import FORMATS, elevation, strips_of
from standoff.draw.pose import STATES, pose
from standoff.draw.scene import Line, Path, Scene, Text, points_of
from standoff.draw.sheet import sheet
from standoff.job.file import parse_job
from standoff.job.placement import Placement, place

ARRANGEMENTS = tuple(FORMATS)
NAMES = st.text("abc defghiklmnoprstuvwyäß-&<", min_size=1, max_size=60).filter(lambda name: bool(name.strip()))
# One example is many drawings.
SLOW = settings(
    max_examples=settings.default.max_examples // 4 if settings.default else 25,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much],
)


@st.composite
def placements(draw: st.DrawFn) -> Placement:
    """A valid job, placed: any kind of headstock and nose, with and without what is optional, at the aim or far from it."""
    mm = lambda low, high: f'"{draw(st.integers(low, high))} mm"'  # noqa: E731
    sliding, telescopic = draw(st.booleans()), draw(st.booleans())
    lines = ['format = "standoff-job/1"', "[job]", 'title = "Job"', f'units = "{draw(st.sampled_from(("in", "mm")))}"']
    lines += ["[lathe]", f"name = {_quoted(draw(NAMES))}", f'headstock = "{"sliding" if sliding else "fixed"}"']
    lines += [f"adapter_to_collet = {mm(120, 1600)}"]
    if draw(st.booleans()):
        lines.append(f"cover_to_adapter = {mm(-250, 400)}")
        if draw(st.booleans()):
            lines.append(f"cover_to_wall = {mm(2000, 9000)}")
    if sliding and draw(st.booleans()):
        lines.append(f"collet_to_cutoff = {mm(30, 500)}")
    if sliding:
        lines.append(f'z_forward = "{draw(st.sampled_from(("positive", "negative")))}"')
        lines += _modes(draw, negative="negative" in lines[-1])
    lines += ["[loader]", f"name = {_quoted(draw(NAMES))}", f"bar_capacity = {mm(1000, 4500)}"]
    lines += [f"pusher_reach = {mm(250, 2500)}", f"gripper_behind_clamp = {mm(700, 5000)}"]
    if draw(st.booleans()):
        lines.append(f"body_ahead_of_clamp = {mm(-300, 300)}")
    if draw(st.booleans()):
        lines.append(f"length_behind_clamp = {mm(1200, 6000)}")
    lines += _nose(draw, telescopic)
    for _ in range(draw(st.integers(0, 5))):
        lines += ["[[fittings]]", f"name = {_quoted(draw(NAMES))}", f"length = {mm(0, 200)}"]
    asked_mm = draw(st.one_of(st.none(), st.floats(-500.0, 4000.0)))
    return place(parse_job("\n".join(lines)), asked_mm=asked_mm)


def _quoted(name: str) -> str:
    return f'"{name}"'


def _modes(draw: st.DrawFn, *, negative: bool) -> list[str]:
    lines = []
    for i in range(draw(st.integers(1, 3))):
        rear, travel = draw(st.integers(-200, 300)), draw(st.integers(80, 500))
        sign = -1 if negative else 1
        lines += ["[[lathe.modes]]", f'name = "mode {i + 1}"']
        lines += [f'z_rear = "{sign * rear} mm"', f'z_front = "{sign * (rear + travel)} mm"']
        if i and draw(st.booleans()):
            lines.append(f'loader_shift = "{draw(st.integers(-200, 400))} mm"')
    return lines


def _nose(draw: st.DrawFn, telescopic: bool) -> list[str]:
    short = draw(st.integers(60, 700))
    lines = ["[nose]", f'kind = "{"telescopic" if telescopic else "fixed"}"']
    if telescopic:
        overlap = draw(st.integers(0, 60))
        longer = short + overlap + draw(st.integers(5, 700))
        lines += [f'collapsed = "{short} mm"', f'extended = "{longer} mm"', f'overlap = "{overlap} mm"']
    else:
        lines += [f'length = "{short} mm"', f'may_be_cut = "{draw(st.integers(0, short - 10))} mm"']
    if draw(st.booleans()):
        entry = draw(st.integers(1, 40))
        lines += [f'entry_depth = "{entry} mm"', f'least_engagement = "{draw(st.integers(0, entry))} mm"']
    return lines


def sound(scene: Scene) -> None:
    """No two texts share ground, every text and point lies on the sheet, every number is one, no text is tiny."""
    for text in scene.texts:
        assert text.box.inside(scene.frame), text
        assert text.size >= 13.0, text
    for a, b in combinations(scene.texts, 2):
        assert not a.box.meets(b.box), (a, b)
    for shape in scene.shapes:
        for x, y in points_of(shape):
            # Written so that a NaN fails too; half a line's width may hang over.
            assert -1.0 <= x <= scene.width + 1.0, shape
            assert -1.0 <= y <= scene.height + 1.0, shape


@SLOW
@given(st.data())
def test_words_never_collide_in_an_elevation(data: st.DataObject) -> None:
    """Every mode, named state and arrangement of a random job gives a sound drawing without a leader through a word."""
    placement = data.draw(placements())
    mode = data.draw(st.sampled_from(placement.layout.modes)).name
    for state in STATES:
        for arrangement in ARRANGEMENTS:
            scene = elevation(placement, mode=mode, state=state, arrangement=arrangement)
            sound(scene)
            assert not crossed(scene)


def crossed(scene: Scene) -> list[tuple[Line, Text]]:
    """Leaders and extension lines that run through a text."""
    return [
        (line, text)
        for line in scene.shapes
        if isinstance(line, Line) and line.style in ("leader", "extension")
        for text in scene.texts
        if _runs_through(line, text)
    ]


def _runs_through(line: Line, text: Text) -> bool:
    (x1, y1), (x2, y2), box = line.start, line.end, text.box
    if max(x1, x2) <= box.left or min(x1, x2) >= box.right or max(y1, y2) <= box.top or min(y1, y2) >= box.bottom:
        return False
    along = [i / 128 for i in range(129)]
    return any(box.left < x1 + t * (x2 - x1) < box.right and box.top < y1 + t * (y2 - y1) < box.bottom for t in along)


@SLOW
@given(placements(), st.sampled_from(ARRANGEMENTS))
def test_words_never_collide_in_conditions_and_sheet(placement: Placement, arrangement: str) -> None:
    """The chart and the sheet of a random job are sound drawings."""
    sound(conditions(placement, arrangement=arrangement))
    sound(sheet(placement, arrangement=arrangement))


@SLOW
@given(placements(), st.sampled_from(ARRANGEMENTS), st.data())
def test_gaps_are_to_scale(placement: Placement, arrangement: str, data: st.DataObject) -> None:
    """Wherever a zone shows two stations, their distance on the sheet is the layout's gap times the one scale."""
    mode = data.draw(st.sampled_from(placement.layout.modes))
    name = data.draw(st.sampled_from(STATES))
    layout, state = placement.layout, mode.at(name)
    values_mm = layout.values_mm(standoff_mm=placement.standoff_mm, cut_mm=placement.cut_mm)
    shown = pose(placement, mode=mode.name, state=name)
    told = {
        "adapter": shown.adapter_mm,
        "main-collet": shown.collet_mm,
        "clamp": shown.clamp_mm,
        "gripper": shown.gripper_mm,
        "pusher-tip": shown.reach_mm,
        "body-front": shown.body_front_mm,
    }
    strips = strips_of(placement, shown, arrangement=arrangement)
    scales = {zone.scale for strip in strips for zone in strip.zones}
    assert len(scales) == 1
    scale = scales.pop()
    for a, b in combinations(told, 2):
        gap_mm = layout.gap(a, b, state).value(values_mm)
        assert math.isclose(told[b] - told[a], gap_mm, abs_tol=1e-9)
        for strip in strips:
            zone = strip.zone(told[a])
            if zone is not None and zone is strip.zone(told[b]):
                assert abs(zone.x(told[b]) - zone.x(told[a]) - gap_mm * scale) < 1e-6


@SLOW
@given(placements(), st.sampled_from(ARRANGEMENTS), st.data())
def test_dimension_lines_end_where_the_stations_stand(placement: Placement, arrangement: str, data: st.DataObject) -> None:
    """The arrows of the standoff's dimension stand at the mark and at the adapter of the first mode's rear limit."""
    mode = data.draw(st.sampled_from(placement.layout.modes))
    shown = pose(placement, mode=mode.name, state=data.draw(st.sampled_from(STATES)))
    strips = strips_of(placement, shown, arrangement=arrangement)
    found = dimensions(placement, shown)
    standoff = found[0]
    assert math.isclose(standoff.front_mm - standoff.rear_mm, placement.standoff_mm, abs_tol=1e-6)
    shares = shared_out(strips, found)
    assert sum(len(share) for share in shares) == len({id(d) for share in shares for d in share})
    scene = elevation(placement, mode=mode.name, state=shown.state, arrangement=arrangement)
    tips = [shape.points[0][0] for shape in scene.shapes if isinstance(shape, Path) and shape.style == "arrow"]
    for strip, share in zip(strips, shares, strict=True):
        for mm in (standoff.rear_mm, standoff.front_mm):
            x = strip.x(mm)
            if standoff in share and x is not None:
                assert any(abs(tip - x) < 1e-6 for tip in tips)


@SLOW
@given(placements(), st.data())
def test_the_nose_is_never_drawn_at_an_impossible_length(placement: Placement, data: st.DataObject) -> None:
    """A telescopic nose is drawn no shorter than collapsed and no longer than extended; a fixed one has its one length."""
    mode = data.draw(st.sampled_from(placement.layout.modes))
    values_mm = placement.layout.values_mm(cut_mm=placement.cut_mm)
    for state in STATES:
        nose = pose(placement, mode=mode.name, state=state).nose
        if placement.job.telescopic:
            assert values_mm["nose.collapsed"] - 1e-6 <= nose.length_mm <= values_mm["nose.extended"] + 1e-6
        else:
            assert math.isclose(nose.length_mm, values_mm["nose.length"] - placement.cut_mm, abs_tol=1e-6)
