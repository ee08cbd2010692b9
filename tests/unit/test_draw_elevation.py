"""The elevation: places by hand, only states that can exist, what is named, and what is amiss."""

from __future__ import annotations

import math

import pytest

from standoff.draw.dimensions import dimensions
from standoff.draw.elevation import FORMATS, elevation, strips_of
from standoff.draw.pose import STATES, pose, stands
from standoff.draw.scene import Hatch, Line, Path, Rect, Scene
from standoff.errors import LayoutError, UsageError
from standoff.job.file import parse_job
from standoff.job.placement import Placement, place
from tests.pairs import ONE_CUT, TWO_MODES, fixed


def placed(text: str = TWO_MODES, *, asked_mm: float | None = 300.0) -> Placement:
    """The placement of a text at a standoff."""
    return place(parse_job(text), asked_mm=asked_mm)


def words(scene: Scene) -> str:
    """Everything written on a drawing, and its description."""
    return " ".join([*(text.words for text in scene.texts), scene.description])


def test_every_place_of_a_shifted_state() -> None:
    """Mode other at its rear limit, standoff 300: z = 155, shift 160; each figure beside its sum."""
    shown = pose(placed(), mode="other", state="rear limit")
    assert shown.mark_mm == -300.0
    assert shown.clamp_mm == -140.0  # -300 + 160
    assert shown.body_front_mm == -128.0  # -140 + 12
    assert shown.gripper_mm == -3160.0  # -140 - 3020
    assert shown.reach_mm == 980.0  # -140 + 1120
    assert (shown.datum_mm, shown.adapter_mm, shown.collet_mm) == (0.0, 155.0, 755.0)
    assert shown.cover_mm == 40.0
    assert shown.wall_mm == -6660.0  # 40 - 6700
    assert shown.loader_rear_mm == -4740.0  # -140 - 4600
    assert shown.cut_off_mm is None
    assert [(g.words, g.adapter_mm) for g in shown.ghosts] == [("rear limit of one", 0.0), ("front limit", 355.0)]
    assert [(f.rear_mm, f.front_mm) for f in shown.fittings] == [(110.0, 155.0)]


def test_the_nose_slides_between_its_limits() -> None:
    """From clamp -140 to the fitting at 110: 250 long, so 560 - 250 = 310 of the tubes lie in one another; 30 of room."""
    nose = pose(placed(), mode="other", state="rear limit").nose
    assert (nose.root_mm, nose.tip_mm, nose.seat_mm) == (-140.0, 110.0, 110.0)
    assert nose.length_mm == 250.0
    assert nose.overlap_mm == 310.0
    assert nose.room_mm == 30.0


def test_a_crushed_nose_is_drawn_collapsed_over_what_it_strikes() -> None:
    """At 200 in mode other, 155 + 200 - 160 - 45 = 150 is left for a nose of 220: 70 short, hatched and said."""
    placement = placed(asked_mm=200.0)
    nose = pose(placement, mode="other", state="rear limit").nose
    assert nose.length_mm == 220.0
    assert nose.tip_mm - nose.seat_mm == 70.0
    for arrangement in FORMATS:
        scene = elevation(placement, mode="other", state="rear limit", arrangement=arrangement)
        assert any(isinstance(shape, Hatch) and shape.style == "clash" for shape in scene.shapes)
        assert "NOSE CRUSHED: 70 mm short" in " ".join(text.words for text in scene.texts)
        assert "NOSE CRUSHED: 70 mm short" in scene.description


def test_a_nose_that_comes_apart_is_drawn_no_longer_than_extended() -> None:
    """At 600 in mode one, front limit: 600 + 190 - 45 = 745 to span with 560; the rest is a hatched gap."""
    placement = placed(asked_mm=600.0)
    nose = pose(placement, mode="one", state="front limit").nose
    assert nose.length_mm == 560.0
    assert nose.seat_mm - nose.tip_mm == 185.0
    assert nose.hold_mm == -217.0  # 573 - 790
    assert "NOT HELD" in words(elevation(placement, mode="one", state="front limit"))


def test_a_fixed_nose_keeps_its_one_length() -> None:
    """Cut once, it has the same length in every state; what was cut off is shown beside it."""
    placement = placed(ONE_CUT, asked_mm=None)
    lengths = {round(pose(placement, mode=m, state=s).nose.length_mm, 6) for m in ("one", "other") for s in STATES}
    assert lengths == {round(500.0 - placement.cut_mm, 6)}
    cut = placed(fixed(), asked_mm=None)
    assert cut.cut_mm > 0.0
    assert pose(cut, mode="fixed", state="rear limit").nose.length_mm == pytest.approx(300.0 - cut.cut_mm)
    assert "cut off" in words(elevation(cut, mode="fixed", state="rear limit"))


def test_the_pusher_stands_where_the_state_puts_it() -> None:
    """At its forward limit in the front limit, behind the gripper at bar change, where a full bar lies ahead of it."""
    front = pose(placed(), mode="one", state="front limit")
    assert front.reach_mm - front.collet_mm == 30.0  # -300 + 1120 - 190 - 600
    change = pose(placed(), mode="one", state="bar change")
    assert change.bar is not None
    assert (change.bar.rear_mm, change.bar.front_mm) == (change.gripper_mm, change.gripper_mm + 3660.0)
    told = {d.words for d in dimensions(placed(), front)} | {d.words for d in dimensions(placed(), change)}
    assert "reach to spare 30 mm" in told
    # Collet at 115 + 600, gripper at -3320: 4035 in all, 375 beyond the bar, 225 beyond bar and margin.
    assert "375 mm: margin 150 mm, 225 mm to spare" in told
    assert "gripper to collet 4035 mm; bar 3660 mm" in told


def test_reach_that_falls_short_is_said() -> None:
    """At 400 the tip stands 70 behind the collet in mode one: 330 is the bound."""
    scene = elevation(placed(asked_mm=400.0), mode="one", state="front limit")
    assert "REACH SHORT BY 70 mm" in " ".join(words(scene).split())


@pytest.mark.parametrize("travel_mm", [0.0, 95.0, 190.0])
def test_any_travel_within_the_mode_can_be_shown(travel_mm: float) -> None:
    """The adapter stands at the travel; a travel that is a named state's is that state."""
    shown = pose(placed(), mode="one", headstock_mm=travel_mm)
    assert shown.adapter_mm == pytest.approx(travel_mm)
    assert shown.state == {0.0: "rear limit", 190.0: "front limit"}.get(travel_mm)
    elevation(placed(), mode="one", state=None, headstock_mm=travel_mm)


@pytest.mark.parametrize("travel_mm", [-0.1, 190.1, math.nan, math.inf])
def test_a_travel_outside_the_mode_is_refused(travel_mm: float) -> None:
    """A headstock stands only where the mode lets it."""
    with pytest.raises(LayoutError, match="limits"):
        elevation(placed(), mode="one", state=None, headstock_mm=travel_mm)


def test_questions_that_cannot_be_asked_are_refused() -> None:
    """Another mode, another state, a state beside a travel, another arrangement."""
    with pytest.raises(LayoutError, match="mode"):
        elevation(placed(), mode="third", state="rear limit")
    with pytest.raises(UsageError, match="state"):
        elevation(placed(), mode="one", state="standing")
    with pytest.raises(UsageError, match="leave one out"):
        elevation(placed(), mode="one", state="rear limit", headstock_mm=10.0)
    with pytest.raises(UsageError, match="arrangement"):
        elevation(placed(), mode="one", state="rear limit", arrangement="poster")  # type: ignore[arg-type]


def test_only_what_was_surveyed_is_drawn() -> None:
    """Without cover, wall, tool and rear end none of them is named; with them each is."""
    bare = placed(ONE_CUT)
    assert [stands(bare.layout, name) for name in ("cover", "wall", "cut-off", "loader-rear")] == [False] * 4
    said = words(elevation(bare, mode="one", state="rear limit"))
    assert not any(word in said for word in ("cover", "wall", "cut-off", "rear end"))
    full = placed(TWO_MODES.replace("cover_to_adapter", 'collet_to_cutoff = "300 mm"\ncover_to_adapter', 1))
    said = words(elevation(full, mode="one", state="rear limit"))
    assert all(word in said for word in ("lathe's cover", "wall", "cut-off tool", "loader's rear end"))


def test_the_standoff_is_dimensioned_from_the_mark_to_the_first_rear_limit() -> None:
    """Whatever state is shown, the dimension spans the standoff itself; the shift has a dimension of its own."""
    for mode in ("one", "other"):
        for state in STATES:
            found = dimensions(placed(), pose(placed(), mode=mode, state=state))
            assert (found[0].words, found[0].front_mm - found[0].rear_mm) == ("standoff asked 300 mm", 300.0)
            assert any(d.words == "shift 160 mm" for d in found) is (mode == "other")


def test_all_strips_share_one_scale_and_places_keep_their_distance() -> None:
    """On a phone the strips differ in what they show, not in scale; at bar change 280 + 300 - 160 from clamp to adapter."""
    for arrangement in FORMATS:
        shown = pose(placed(), mode="other", state="bar change")
        strips = strips_of(placed(), shown, arrangement=arrangement)  # type: ignore[arg-type]
        assert len({zone.scale for strip in strips for zone in strip.zones}) == 1
        nose = strips[0].zone(shown.clamp_mm)
        assert nose is not None
        assert nose.x(shown.adapter_mm) - nose.x(shown.clamp_mm) == pytest.approx(420.0 * nose.scale, abs=1e-6)


def test_the_scale_does_not_jump_between_states_and_modes() -> None:
    """Choosing another limit of the headstock leaves the picture's scale alone."""
    scales = {
        round(strips_of(placed(), pose(placed(), mode=mode, state=state), arrangement="wide")[0].zones[0].scale, 9)
        for mode in ("one", "other")
        for state in ("rear limit", "front limit")
    }
    assert len(scales) == 1


def test_the_narrow_drawing_is_another_arrangement() -> None:
    """A phone gets strips with numbered balloons and a key, not a smaller picture; texts are as large."""
    narrow = elevation(placed(), mode="one", state="front limit", arrangement="narrow")
    wide = elevation(placed(), mode="one", state="front limit", arrangement="wide")
    assert (narrow.width, wide.width) == (360.0, 1100.0)
    assert any(shape.style == "balloon" for shape in narrow.shapes)
    assert min(text.size for text in narrow.texts) >= 13.0
    assert min(text.size for text in wide.texts) * 800.0 / 1100.0 >= 13.0


def test_the_window_is_marked_on_the_floor() -> None:
    """The band spans the window for the unshifted clamp face, its edges to scale."""
    placement = placed(asked_mm=None)
    shown = pose(placement, mode="other", state="rear limit")
    scene = elevation(placement, mode="other", state="rear limit")
    (strip,) = strips_of(placement, shown, arrangement="wide")
    edges = sorted({s.start[0] for s in scene.shapes if isinstance(s, Line) and s.style == "window-edge"})
    assert edges == pytest.approx([strip.nearest(-325.0), strip.nearest(-276.0)])
    assert any(isinstance(shape, Hatch) and shape.style == "guard" for shape in scene.shapes)
    assert "room for the nose (other, rear limit)" in scene.description.lower() or "binds nearer" in scene.description.lower()


def test_an_empty_window_is_hatched_as_missing() -> None:
    """Where no standoff serves, the zone between the edges is marked, and the drawing says so."""
    placement = placed(ONE_CUT, asked_mm=None)
    scene = elevation(placement, mode="one", state="rear limit")
    assert "no window for the clamp face" in words(scene)
    assert "26.0 mm is missing" in scene.description
    assert not any(shape.style == "window-edge" for shape in scene.shapes)


def test_a_fixed_headstock_has_no_ghost_and_no_limits() -> None:
    """Nothing travels, so nothing is dashed and no limit is named."""
    placement = placed(fixed(), asked_mm=None)
    shown = pose(placement, mode="fixed", state="front limit")
    assert shown.ghosts == ()
    scene = elevation(placement, mode="fixed", state="front limit")
    assert "Headstock fixed" in scene.title
    assert not any(shape.style == "ghost" for shape in scene.shapes)


def test_many_fittings_are_named_as_one_stack() -> None:
    """Beyond eight the drawing names them together; each is still drawn."""
    more = "".join(f'[[fittings]]\nname = "ring {i}"\nlength = "5 mm"\n' for i in range(12))
    placement = placed(TWO_MODES.replace("[rules]", f"{more}[rules]"))
    scene = elevation(placement, mode="one", state="rear limit")
    assert "13 fittings" in words(scene)
    assert sum(isinstance(shape, Rect) and shape.style == "fitting" for shape in scene.shapes) == 13


def test_the_way_to_the_work_is_stated() -> None:
    """Every arrangement says which way is forward, with an arrow that points right."""
    for arrangement in FORMATS:
        scene = elevation(placed(), mode="one", state="rear limit", arrangement=arrangement)  # type: ignore[arg-type]
        assert any(text.words == "to the work" for text in scene.texts)
        heads = [s for s in scene.shapes if isinstance(s, Path) and s.style == "arrow" and s.layer == "callouts"]
        assert all(head.points[0][0] > head.points[1][0] for head in heads)
        assert heads
