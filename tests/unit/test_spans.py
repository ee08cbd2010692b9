"""From the layout to what holds the bar, by hand: gaps, places, rollers, how far the pusher comes, and what moves with what.

x counts from the cut-off plane (1110 mm on the axis) backwards along the bar; see `tests.turning` for the other places.
"""

from __future__ import annotations

import pytest

from standoff.errors import UsageError
from standoff.job.demonstration import text_of
from standoff.job.file import parse_job
from standoff.job.job import Job
from standoff.job.passing import chosen_liner
from standoff.job.placement import place
from standoff.job.spans import Spans, spans, turning_states, usual_n_per_mm, with_rest, with_tube
from tests.texts import altered
from tests.turning import STANDING, TURNING, Changes, first_bar, job_of, spans_of, state_of

INCH_MM = 25.4
STATES = [
    # mode, state, z, s: main collet from 1110 - (z + 600) - 80, rest at 1110 - (s - 300) - 250, channel at 1110 - (s - 300) + 20
    ("guide-bushing", "rear limit", 0.0, 0.0),
    ("guide-bushing", "front limit", 190.0, 0.0),
    ("chucker", "rear limit", 150.0, 170.0),
    ("chucker", "front limit", 350.0, 170.0),
]


def places(one: Spans) -> dict[str, float]:
    """Where each point support holds the bar. [mm]"""
    return {point.name: point.at_mm for point in one.supports.points}


@pytest.mark.parametrize(("mode", "name", "z_mm", "shift_mm"), STATES)
def test_every_place_by_hand(mode: str, name: str, z_mm: float, shift_mm: float) -> None:
    """Collet, rest and channel from the stations' places, the bushing in its mode alone, and the longest gap between them."""
    one = spans_of(TURNING, mode, name)
    collet_mm, rest_mm = 1110.0 - (z_mm + 600.0) - 80.0, 1110.0 - (shift_mm - 300.0) - 250.0
    expected = {"main collet": collet_mm + 20.0, "rest in the nose": rest_mm}
    if mode == "guide-bushing":
        expected["guide bushing"] = 5.0 + 15.0
    assert places(one) == pytest.approx(expected)
    (channel,) = one.supports.stretches
    assert (channel.name, channel.from_mm, channel.to_mm) == ("channel", 1430.0 - shift_mm, 1430.0 - shift_mm + 3800.0)
    assert (one.gap.front, one.gap.rear) == ("main collet", "rest in the nose")
    assert one.gap.length_mm == pytest.approx(rest_mm - collet_mm - 40.0)
    assert one.gap.from_mm == pytest.approx(collet_mm + 40.0)


def test_what_each_support_is_like() -> None:
    """Stated or usual stiffness; a grip over a length keeps the bar from tilting by k l^2 / 12; a channel bears per length."""
    one = spans_of(altered(TURNING, {"supports[1].stiffness": '"30 kN/mm"'}))
    stiffness = {point.name: (point.lateral_n_per_mm, point.rotational_n_mm) for point in one.supports.points}
    assert stiffness["main collet"] == pytest.approx((30e3, 30e3 * 40.0**2 / 12.0))
    assert stiffness["guide bushing"] == pytest.approx((usual_n_per_mm("guide-bushing"), 20e3 * 30.0**2 / 12.0))
    assert stiffness["rest in the nose"] == (500.0, 0.0)
    assert one.supports.stretches[0].bedding_mpa == pytest.approx(500.0 / 100.0)
    assert one.supports.axial_n == 90.0


@pytest.mark.parametrize("by_mm", [1.0, 17.0, 40.0, -9.0])
@pytest.mark.parametrize(("mode", "name"), [(mode, name) for mode, name, _, _ in STATES])
def test_the_gap_grows_one_for_one_with_the_standoff(mode: str, name: str, by_mm: float) -> None:
    """The loader's supports go back by as much as the loader does; the lathe's stay."""
    before, after = spans_of(TURNING, mode, name), spans_of(TURNING, mode, name, standoff_mm=300.0 + by_mm)
    assert after.gap.length_mm - before.gap.length_mm == pytest.approx(by_mm)
    assert places(after)["rest in the nose"] - places(before)["rest in the nose"] == pytest.approx(by_mm)
    assert places(after)["main collet"] == pytest.approx(places(before)["main collet"])


@pytest.mark.parametrize("mode", ["guide-bushing", "chucker"])
def test_the_gap_grows_one_for_one_with_the_headstocks_travel(mode: str) -> None:
    """Forward goes the collet, the rest stands still: the gap is longest at the front limit."""
    travel_mm = {"guide-bushing": 190.0, "chucker": 200.0}[mode]
    rear, front = (spans_of(TURNING, mode, name) for name in ("rear limit", "front limit"))
    assert front.gap.length_mm - rear.gap.length_mm == pytest.approx(travel_mm)
    assert places(rear)["main collet"] - places(front)["main collet"] == pytest.approx(travel_mm)
    assert places(front)["rest in the nose"] == places(rear)["rest in the nose"]


def test_the_loaders_supports_move_with_its_shift() -> None:
    """170 mm forward in the second mode, and so are they; more shift, a shorter gap."""
    shifted = spans_of(altered(TURNING, {"lathe.modes[1].loader_shift": '"160 mm"'}), "chucker")
    there = spans_of(TURNING, "chucker")
    assert there.gap.length_mm - shifted.gap.length_mm == pytest.approx(-10.0)
    assert there.supports.stretches[0].from_mm - spans_of().supports.stretches[0].from_mm == pytest.approx(-170.0)


@pytest.mark.parametrize(
    ("station", "moved"),
    [("adapter", ("travel",)), ("main-collet", ("travel",)), ("cut-off", ()), ("cover", ()), ("clamp", ("standoff", "shift"))],
)
def test_a_support_moves_with_its_carrier(station: str, moved: tuple[str, ...]) -> None:
    """On the headstock with its travel, on the loader with standoff and shift, on the lathe's frame with neither."""
    text = altered(TURNING, {"supports[2].station": f'"{station}"', "supports[2].ahead": '"-200 mm"'})
    here = places(spans_of(text, "chucker"))["rest in the nose"]
    differs = {
        "travel": places(spans_of(text, "chucker", "rear limit"))["rest in the nose"] != pytest.approx(here),
        "standoff": places(spans_of(text, "chucker", standoff_mm=310.0))["rest in the nose"] != pytest.approx(here),
        "shift": places(spans_of(altered(text, {"lathe.modes[1].loader_shift": '"160 mm"'}), "chucker"))["rest in the nose"]
        != pytest.approx(here),
    }
    assert tuple(name for name, is_so in differs.items() if is_so) == tuple(name for name in differs if name in moved)


def test_a_support_of_one_mode_holds_in_that_mode_alone() -> None:
    """The guide bushing is there in its mode, not in the other; a support without a mode is there in both."""
    found = {mode: set(places(spans_of(TURNING, mode))) for mode in ("guide-bushing", "chucker")}
    assert found["guide-bushing"] - found["chucker"] == {"guide bushing"}
    assert found["chucker"] < found["guide-bushing"]


def test_rollers_hold_one_by_one() -> None:
    """From 1430 every 500 mm: eight within 3800 mm; the gaps between them are gaps, and the pusher is guided all along."""
    one = spans_of(altered(TURNING, {"supports[3].spacing": '"500 mm"'}))
    rollers = {name: at for name, at in places(one).items() if name.startswith("roller")}
    assert rollers == pytest.approx({f"roller {i + 1} of channel": 1430.0 + 500.0 * i for i in range(8)})
    assert one.supports.stretches == ()
    assert one.supports.pusher.guided_mm == ((1430.0, 5230.0),)
    assert one.gap.length_mm == 880.0


def test_wide_rollers_are_the_longest_gap() -> None:
    """Nothing holds the bar between two rollers, also where the file has one of them alone."""
    wide = spans_of(altered(TURNING, {"supports[3].spacing": '"950 mm"'})).gap
    assert (wide.front, wide.rear, wide.length_mm) == ("roller 1 of channel", "roller 2 of channel", 950.0)
    lone = spans_of(altered(TURNING, {"supports[3].spacing": '"5000 mm"', "supports[2].length": '"20 mm"'}))
    assert {name for name in places(lone) if name.startswith("roller")} == {"roller 1 of channel"}
    assert [stretch for stretch in lone.supports.stretches if stretch.name == "channel"] == []


def test_a_lone_roller_does_not_hold_its_whole_channel() -> None:
    """What a lone roller leaves behind it counts as held by nothing: a later support ends a gap."""
    more = '[[supports]]\nname = "rear rest"\nkind = "rest"\nstation = "clamp"\nahead = "-2200 mm"\n'
    gap = spans_of(altered(TURNING, {"supports[3].spacing": '"5000 mm"'}, more=more)).gap
    assert (gap.front, gap.rear) == ("roller 1 of channel", "rear rest")
    assert gap.length_mm == pytest.approx(2200.0 - 20.0)


def test_a_bar_that_ends_in_a_gap_is_held_there_by_the_pusher() -> None:
    """1800 mm over rollers at 1430 and 2380: 370 mm behind the first, 880 before the rest; 900 mm end before the rest."""
    rollers: Changes = {"supports[3].spacing": '"950 mm"'}
    short = spans_of(altered(TURNING, {**rollers, "bars[0].length": '"1800 mm"'})).gap
    assert (short.front, short.rear, short.length_mm) == ("main collet", "rest in the nose", 880.0)
    stub = spans_of(altered(TURNING, {**rollers, "bars[0].length": '"900 mm"'})).gap
    assert (stub.front, stub.rear, stub.length_mm) == ("main collet", "the pusher", 900.0 - 280.0)


def test_what_lies_ahead_of_the_bars_front_face_holds_nothing() -> None:
    """A bushing all in front of the cut-off plane is no support; one that reaches across it holds with what is behind it."""
    ahead = spans_of(altered(TURNING, {"supports[0].ahead": '"31 mm"'}))
    assert "guide bushing" not in places(ahead)
    across = {point.name: point for point in spans_of(altered(TURNING, {"supports[0].ahead": '"10 mm"'})).supports.points}
    assert across["guide bushing"].at_mm == 10.0
    assert across["guide bushing"].rotational_n_mm == pytest.approx(20e3 * 20.0**2 / 12.0)
    flush = spans_of(altered(TURNING, {"supports[0].ahead": '"30 mm"'}))
    assert places(flush)["guide bushing"] == 0.0


def test_a_tube_has_the_room_its_bore_leaves() -> None:
    """(32 - 16) / 2 over its length; a hexagon is taken over its corners."""
    (tube,) = spans_of().tubes
    assert (tube.name, tube.length_mm, tube.clearance_mm) == ("channel", 3800.0, 8.0)
    hexagon = altered(TURNING, {"bars[0].shape": '"hexagon"', "bars[0].size": '"15 mm"'})
    assert spans_of(hexagon).tubes[0].clearance_mm == pytest.approx((32.0 - 15.0 * 2.0 / 3.0**0.5) / 2.0)


def test_a_tube_that_the_bar_does_not_pass_holds_nothing() -> None:
    """A channel of 15 mm is no support of a bar of 16: from the rest on nothing is left that holds it but the pusher."""
    one = spans_of(altered(TURNING, {"supports[3].bore": '"15 mm"', "supports[3].flooded": "true"}))
    assert (one.supports.stretches, one.supports.oil, one.tubes, one.supports.pusher.guided_mm) == ((), (), (), ())
    assert (one.gap.front, one.gap.rear, one.gap.length_mm) == ("rest in the nose", "the pusher", 3660.0 - 1160.0)


def test_oil_is_there_where_it_floods() -> None:
    """A flooded channel carries its bore; a dry one does not."""
    assert spans_of().supports.oil == ()
    (oil,) = spans_of(altered(TURNING, {"supports[3].flooded": "true"})).supports.oil
    assert (oil.name, oil.from_mm, oil.to_mm, oil.bore_mm) == ("channel", 1430.0, 5230.0, 32.0)


def test_the_liner_stands_beside() -> None:
    """From the back of the collet (x = 320) to the adapter (x = 920), with the room its bore leaves: not among the supports."""
    job = job_of(TURNING)
    bar, state = first_bar(), state_of(job, "guide-bushing", "front limit")
    one = spans(job, bar, state, standoff_mm=300.0, cut_mm=0.0, liner=chosen_liner(job, bar))
    (room,) = one.liner_room
    assert (room.from_mm, room.to_mm, room.radial_mm) == (320.0, 920.0, 7.0)
    (resting,) = one.supports.liner
    assert (resting.from_mm, resting.to_mm) == (320.0, 920.0)
    assert one.supports.stretches == spans_of().supports.stretches
    assert one.gap == spans_of().gap


def test_the_pusher_is_a_tube_of_steel_guided_in_the_channel() -> None:
    """Mass as stated, half the stiffness of a solid rod of 20 mm (our choice), a bracket ahead of the channel."""
    pusher = spans_of().supports.pusher
    assert (pusher.mass_kg, pusher.lateral_n_per_mm) == (0.9, 1000.0)
    assert pusher.rod_ei_n_mm2 == pytest.approx(0.35 * 200e3 * 3.14159265 * 20.0**4 / 64.0)
    assert [pusher.overhang_mm(length_mm=x) for x in (1430.0, 1330.0, 360.0)] == [0.0, 100.0, 1070.0]
    assert pusher.lateral_at(length_mm=360.0) < pusher.lateral_at(length_mm=1330.0) < pusher.lateral_at(length_mm=1430.0) == 1e3
    free = altered(TURNING + '[bar_rules]\npusher_stiffness = "250 N/mm"\n', {})
    assert spans_of(free).supports.pusher.lateral_n_per_mm == 250.0


@pytest.mark.parametrize(
    ("mode", "name", "standoff_mm", "shortest_mm"),
    [
        # cut-off 1110 less the back of the collet (z + 600) or the pusher's tip (1120 + s - D), whichever lies back; 40 insertion
        ("guide-bushing", "front limit", 300.0, 1110.0 - 790.0 + 40.0),
        ("guide-bushing", "front limit", 330.0, 1110.0 - 790.0 + 40.0),
        ("guide-bushing", "front limit", 350.0, 1110.0 - 770.0 + 40.0),
        ("guide-bushing", "rear limit", 350.0, 1110.0 - 600.0 + 40.0),
        ("chucker", "front limit", 300.0, 1110.0 - 950.0 + 40.0),
        ("chucker", "front limit", 365.0, 1110.0 - 925.0 + 40.0),
        ("chucker", "rear limit", 300.0, 1110.0 - 750.0 + 40.0),
    ],
)
def test_how_short_the_bar_gets(mode: str, name: str, standoff_mm: float, shortest_mm: float) -> None:
    """R = K - min(C, X) + i: to the back of the collet, or as far as the pusher reaches where it falls short."""
    assert spans_of(TURNING, mode, name, standoff_mm=standoff_mm).shortest_mm == pytest.approx(shortest_mm)


def remnant_mm(job: Job, mode: int, standoff_mm: float) -> float:
    """R = K - min(C + p, X) + i with p = 0, from the readings themselves. [mm]"""
    mm = {name: reading.value_mm for name, reading in job.readings.items()}
    sliding = "lathe.modes[0].z_front" in mm
    sign = -1.0 if job.tables.lathe.z_forward == "negative" else 1.0
    rear_mm = mm["lathe.modes[0].z_rear"] if sliding else 0.0
    first_mm = sign * (mm["lathe.modes[0].z_front"] - rear_mm) if sliding else 0.0
    end_mm = sign * (mm[f"lathe.modes[{mode}].z_front"] - rear_mm) if sliding else 0.0
    k_mm = first_mm + mm["lathe.adapter_to_collet"] + mm["lathe.collet_to_cutoff"]
    c_mm = end_mm + mm["lathe.adapter_to_collet"]
    x_mm = mm["loader.pusher_reach"] + mm.get(f"lathe.modes[{mode}].loader_shift", 0.0) - standoff_mm
    return k_mm - min(c_mm, x_mm) + mm["bar_path.insertion"]


@pytest.mark.parametrize("cell", ["axle-cell", "spoke-nipple-cell", "shell-cell"])
@pytest.mark.parametrize("farther_mm", [-30.0, 0.0, 30.0])
def test_the_demonstrations_shortest_bars_are_their_remnants(cell: str, farther_mm: float) -> None:
    """With the headstock at a mode's front limit the shortest length is the remnant, also where the pusher falls short."""
    job = parse_job(text_of(cell))
    placement = place(job)
    standoff_mm = placement.standoff_mm + farther_mm
    states = [state for state in turning_states(job) if state.name == "front limit" or not job.sliding]
    assert len(states) == len(job.layout.modes)
    bar = first_bar(text_of(cell))
    for mode, state in enumerate(states):
        one = spans(job, bar, state, standoff_mm=standoff_mm, cut_mm=placement.cut_mm)
        assert one.shortest_mm == pytest.approx(remnant_mm(job, mode, standoff_mm))


def test_the_axle_cells_gap_by_hand() -> None:
    """The chucker's gap at the front limit, in inches; the cut-off plane lies at 7 1/2 + 24 5/16 + 12 1/2 = 44 5/16.

    Headstock 14.4 forward: the collet's rear end at 44.3125 - (14.4 + 24.3125 + 3.25) + 1.5 = 3.85. Loader 11 7/16 behind and
    6 3/4 shifted: the rest in the nose at 44.3125 - (-11.4375 + 6.75 + 10) = 39. Between them 35.15.
    """
    job = parse_job(text_of("axle-cell"))
    standoff_mm = 11.4375 * INCH_MM
    one = spans(
        job, first_bar(text_of("axle-cell")), state_of(job, "chucker", "front limit"), standoff_mm=standoff_mm, cut_mm=0.0
    )
    assert (one.gap.front, one.gap.rear) == ("main collet", "moving anti-vibration device")
    assert one.gap.from_mm / INCH_MM == pytest.approx(3.85)
    assert one.gap.length_mm / INCH_MM == pytest.approx(35.15)


def test_a_fixed_headstock_turns_where_it_stands() -> None:
    """One state; without a stated cut-off plane the bar's front face is at the foremost support's front end."""
    job = job_of(STANDING)
    (state,) = turning_states(job)
    one = spans(job, first_bar(STANDING), state, standoff_mm=400.0, cut_mm=0.0)
    # Collet 800 to 900 on the axis, clamp at -400: x = 900 - s.
    assert places(one) == {"main collet": 25.0}
    assert (one.gap.length_mm, one.supports.stretches[0].from_mm) == (1250.0, 1300.0)
    assert one.shortest_mm == 900.0 - 800.0
    assert one.longest_mm == 3660.0


def test_turning_states_are_both_ends_of_every_mode() -> None:
    """Two modes, four states."""
    found = [(state.mode, state.name) for state in turning_states(job_of(TURNING))]
    assert found == [(mode, name) for mode, name, _, _ in STATES]


@pytest.mark.parametrize(
    ("changes", "standoff_mm"),
    [({"bars[0].length": '"360 mm"'}, 300.0), ({}, 300.0 + 3400.0), ({"bars[0].length": '"1 mm"'}, 300.0)],
)
def test_a_bar_that_is_all_remnant_is_refused(changes: Changes, standoff_mm: float) -> None:
    """A bar no longer than what the pusher leaves is told with both lengths and what to check."""
    with pytest.raises(UsageError, match="check the bar's length, the pusher's reach and the standoff") as caught:
        spans_of(altered(TURNING, changes), standoff_mm=standoff_mm)
    assert "guide-bushing, front limit" in caught.value.what


def test_a_pusher_ahead_of_the_front_face_is_refused() -> None:
    """Where no cut-off plane is stated, a collet behind which nothing is left of the bar is no place to turn."""
    with pytest.raises(UsageError, match="stays behind the bar's front face"):
        spans_of(altered(STANDING, {"supports[0].ahead": '"-3 mm"'}), "fixed", "rear limit")


def test_one_more_rest_and_a_tube_lie_in_the_gap() -> None:
    """A rest in its middle; a tube all through it, for bar and pusher."""
    one = spans_of()
    rest = with_rest(one).supports.points[-1]
    assert (rest.at_mm, rest.lateral_n_per_mm) == (280.0 + 440.0, usual_n_per_mm("rest"))
    tube = with_tube(one).supports
    assert (tube.stretches[-1].from_mm, tube.stretches[-1].to_mm) == (280.0, 1160.0)
    assert tube.stretches[-1].bedding_mpa == usual_n_per_mm("guide-tube") / 100.0
    assert tube.pusher.overhang_mm(length_mm=700.0) == 0.0 < one.supports.pusher.overhang_mm(length_mm=700.0)


def test_a_state_is_told_in_words() -> None:
    """Mode and place."""
    assert spans_of().where == "guide-bushing, front limit"
