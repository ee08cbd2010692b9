"""Stations, states, modes and rows of a layout, against sums worked by hand."""

from __future__ import annotations

import pytest

from standoff.errors import LayoutError
from standoff.job.file import parse_job
from standoff.job.placement import place
from standoff.model.change import Change
from standoff.model.form import NOSE_CUT, STANDOFF
from standoff.model.layout import Layout
from standoff.model.requirement import Side
from standoff.model.state import BAR_CHANGE, FRONT_LIMIT, NO_STATE, REAR_LIMIT, STANDING
from tests.pairs import ONE_CUT, TWO_MODES, TWO_MODES_BOUNDS_MM, fixed


@pytest.fixture(scope="module")
def layout() -> Layout:
    """The pair with two modes."""
    return parse_job(TWO_MODES).layout


def test_every_station_where_it_stands(layout: Layout) -> None:
    """At a standoff of 300, second mode, front limit: carriers, travel and shift as the sketch says."""
    state, values = layout.mode("other").at(FRONT_LIMIT), layout.values_mm(standoff_mm=300.0)
    stands = {
        "adapter": 355.0,
        "main-collet": 955.0,
        "cover": 40.0,
        "wall": -6660.0,
        "clamp": -140.0,
        "pusher-tip": 980.0,
        "gripper": -3160.0,
        "body-front": -128.0,
        "loader-rear": -4740.0,
        "nose-tip": 310.0,
    }
    assert {name: layout.place(name, state).value(values) for name in stands} == stands


def test_cut_off_station_stands_on_the_frame() -> None:
    """The cut-off tool is told from the collet at the FIRST mode's front limit and stays there in the other."""
    layout = parse_job(TWO_MODES.replace("[lathe]", '[lathe]\ncollet_to_cutoff = "320 mm"')).layout
    for mode in layout.modes:
        assert layout.place("cut-off", mode.at(REAR_LIMIT)).value(layout.values_mm()) == 190.0 + 600.0 + 320.0


def test_nose_tip_of_a_fixed_nose_stays_with_the_loader() -> None:
    """A fixed nose moves with the loader, and its cut shortens it."""
    layout = parse_job(ONE_CUT).layout
    values = layout.values_mm(standoff_mm=280.0, cut_mm=12.0)
    assert layout.place("nose-tip", layout.mode("other").at(REAR_LIMIT)).value(values) == -280.0 + 40.0 + 500.0 - 12.0


def test_states_of_a_mode(layout: Layout) -> None:
    """Headstock travel in each state; the bar change position is the stated one, else the setback behind the front."""
    values = layout.values_mm()
    travel = {
        (mode.name, state): mode.at(state).headstock.value(values)
        for mode in layout.modes
        for state in (REAR_LIMIT, FRONT_LIMIT, BAR_CHANGE, STANDING)
    }
    assert [travel["one", s] for s in (REAR_LIMIT, FRONT_LIMIT, BAR_CHANGE, STANDING)] == [0.0, 190.0, 115.0, 0.0]
    assert [travel["other", s] for s in (REAR_LIMIT, FRONT_LIMIT, BAR_CHANGE, STANDING)] == [155.0, 355.0, 280.0, 155.0]


def test_bounds_of_every_row(layout: Layout) -> None:
    """Each requirement in each mode, in the answer's order, with the bound worked by hand."""
    rows = [row for row in layout.rows() if row.bounds_standoff]
    assert {(row.id, row.mode): row.bound().value(layout.values_mm()) for row in rows} == TWO_MODES_BOUNDS_MM
    assert [(row.id, row.mode) for row in rows] == list(TWO_MODES_BOUNDS_MM)
    lower = {"nose-room", "full-bar", "cover-clearance"}
    assert all((row.side is Side.AT_LEAST) == (row.id in lower) for row in rows)
    assert not any(row.shares_cut for row in rows)


def test_second_mode_counts_with_its_own_travel_and_shift() -> None:
    """Where shift and Z of the second mode were dropped together, the window would be that of the first mode alone."""
    both = place(parse_job(TWO_MODES)).window
    second = TWO_MODES.index("[[lathe.modes]]", TWO_MODES.index("[[lathe.modes]]") + 1)
    alone = place(parse_job(TWO_MODES[:second] + TWO_MODES[TWO_MODES.index("[loader]") :])).window
    assert (both.least_mm, both.greatest_mm) == (276.0, 325.0)
    assert (alone.least_mm, alone.greatest_mm) == (271.0, 330.0)


def test_shift_and_travel_count_by_themselves() -> None:
    """A longer shift moves every bound of its mode forward; a travel that starts farther forward moves them back."""
    shifted = place(parse_job(TWO_MODES.replace('loader_shift = "160 mm"', 'loader_shift = "170 mm"')))
    assert [shifted.row(id_, "other").bound_mm for id_ in ("nose-room", "pusher-reach", "full-bar")] == [286, 335, 80]
    assert [shifted.row(id_, "one").bound_mm for id_ in ("nose-room", "pusher-reach", "full-bar")] == [271, 330, 75]
    back = TWO_MODES.replace('z_rear = "150 mm"', 'z_rear = "-45 mm"')  # behind the first rear limit: z = -40
    assert place(parse_job(back)).row("nose-room", "other").bound_mm == 271 + 160 + 40


def test_nose_is_not_cut_anew_for_each_requirement() -> None:
    """One cut serves all modes and states, or the pair does not fit."""
    placement = place(parse_job(ONE_CUT))
    assert placement.window.empty
    assert placement.window.least_mm - placement.window.greatest_mm == pytest.approx(26.0, abs=1e-9)
    assert [row.row.slack.coefficient(NOSE_CUT) for row in placement.rows[:4]] == [1.0, 1.0, -1.0, -1.0]


def test_rear_room_takes_the_rearmost_loader(layout: Layout) -> None:
    """Not shifted, unless a mode shifts the loader backwards; then that mode's shift."""
    assert layout.rearmost(STANDING).shift.terms == ()
    assert layout.rearmost(STANDING).mode is None
    back = parse_job(TWO_MODES.replace('loader_shift = "160 mm"', 'loader_shift = "-30 mm"')).layout
    assert back.rearmost(STANDING).shift.value(back.values_mm()) == -30.0
    assert place(parse_job(TWO_MODES.replace('"160 mm"', '"-30 mm"'))).row("rear-room").bound_mm == 1130.0


def test_gaps_need_stations_and_modes_there_are(layout: Layout) -> None:
    """A name that is not there is refused with those that are."""
    with pytest.raises(LayoutError, match="adapter"):
        layout.station("tailstock")
    with pytest.raises(LayoutError, match="one, other"):
        layout.mode("third")


def test_values_and_uncertainties_include_the_unknowns(layout: Layout) -> None:
    """The standoff's uncertainty is how exactly a loader is set; the cut has none."""
    assert layout.values_mm(standoff_mm=1.0, cut_mm=2.0)[STANDOFF] == 1.0
    assert layout.values_mm(standoff_mm=1.0, cut_mm=2.0)[NOSE_CUT] == 2.0
    assert layout.uncertainties_mm()[STANDOFF] == pytest.approx(3.175 / 3**0.5)
    assert layout.uncertainties_mm()[NOSE_CUT] == 0.0


def test_changed_layout(layout: Layout) -> None:
    """Changes add up, leave the layout they start from alone, and name only quantities there are."""
    longer = Change.of("extension", "loader.pusher_reach", {"loader.pusher_reach": 10.0})
    more = Change.of("both", "pusher and nose", {"nose.collapsed": -1.0, "loader.pusher_reach": 5.0})
    assert [name for name, _ in more.shifts_mm] == ["loader.pusher_reach", "nose.collapsed"]
    changed = layout.changed(longer, more)
    assert changed.quantities["loader.pusher_reach"].value_mm == 1135.0
    assert changed.quantities["nose.collapsed"].value_mm == 219.0
    assert layout.quantities["loader.pusher_reach"].value_mm == 1120.0
    with pytest.raises(LayoutError, match=r"loader\.colour"):
        layout.changed(Change.of("paint", "colour", {"loader.colour": 1.0}))


def test_what_is_wanting_is_not_judged() -> None:
    """Without a wall there is no row for it, and the layout says what it would need."""
    layout = parse_job(TWO_MODES.replace('cover_to_wall = "6700 mm"\n', "")).layout
    wanting = {r.id: layout.wanting(r) for r in layout.requirements if layout.wanting(r)}
    assert wanting["rear-room"] == ("lathe.cover_to_wall",)
    assert set(wanting) == {"rear-room", "centre-height", "passage"}
    assert "rear-room" not in {row.id for row in layout.rows()}


def test_rows_without_the_standoff() -> None:
    """Axis height and passage: no mode, no state, no side, every comparison with its name."""
    text = TWO_MODES.replace("[lathe]", '[lathe]\ncentre_height = "1040 mm"')
    text = text.replace("[loader]", '[loader]\ncentre_height = ["960 mm", "1120 mm"]')
    text += '[[passage]]\nname = "liner"\nbore = "36 mm"\n[bar_path]\npusher_od = "32 mm"\npusher_collet_od = "34 mm"\n'
    layout = parse_job(text).layout
    height, passage = layout.rows()[-2:]
    assert [(row.id, row.mode, row.state, row.side) for row in (height, passage)] == [
        ("centre-height", None, NO_STATE, Side.NONE),
        ("passage", None, NO_STATE, Side.NONE),
    ]
    values = layout.values_mm()
    assert [form.value(values) for _, form in height.slacks] == [80.0, 80.0]
    assert {name: form.value(values) for name, form in passage.slacks} == {
        "pusher through liner": 3.0,
        "pusher collet through liner": 1.0,
    }
    assert not height.bounds_standoff


def test_fixed_headstock_has_one_mode() -> None:
    """Named fixed, in which nothing travels and nothing shifts."""
    layout = parse_job(fixed()).layout
    (mode,) = layout.modes
    assert (mode.name, mode.at(FRONT_LIMIT).headstock.terms, mode.shift.terms) == ("fixed", (), ())


def test_entering_nose_without_least_engagement() -> None:
    """Without a least engagement the nose may come out as far as its end: 0 is kept."""
    stated = place(parse_job(ONE_CUT.replace('"20 mm"', '"0 mm"')))
    silent = place(parse_job(ONE_CUT.replace('least_engagement = "20 mm"\n', "")))
    assert [j.bound_mm for j in silent.rows] == [j.bound_mm for j in stated.rows]
    assert silent.row("nose-engagement", "one").row.bound().value(silent.layout.values_mm()) == 300.0
