"""Remedies of one pair whose window misses by round figures: which sets, which amounts, in which order.

The pair as it stands asks for at least 320 (full bar) and allows at most 300 (pusher reach), all exact: 20 are missing. Its
fixed nose, cut or not, serves from 276 to 342.
"""

from __future__ import annotations

import math
from functools import partial

import pytest

from standoff.job.file import parse_job
from standoff.model.form import Form
from standoff.model.layout import Layout
from standoff.solve.remedy import MOST, Floor, Offer, Remedy, remedies, shortfall
from standoff.units import step_up
from tests.pairs import ONE_CUT, TWO_MODES, fixed

REACH, GRIPPER = "loader.pusher_reach", "loader.gripper_behind_clamp"


def layout(gripper: float = 2080) -> Layout:
    """The pair, with so much behind the clamp to the gripper: 2150 would just do."""
    return parse_job(fixed(gripper=gripper, length=330)).layout


def offer(
    id_: str,
    greatest_mm: float,
    quantity: str = REACH,
    *,
    fixed: bool = False,
    cost: float | None = None,
    yearly: float | None = None,
    per_mm: float = 0.0,
    shifts: tuple[tuple[str, float], ...] | None = None,
) -> Offer:
    """A change of one quantity by up to so much."""
    shifts = ((quantity, 1.0),) if shifts is None else shifts
    return Offer(id_, "kind", quantity, shifts, greatest_mm, fixed, cost, yearly, per_mm)


def sought(
    *offers: Offer, of: Layout | None = None, wanted_mm: float = 0.0, floors: tuple[Floor, ...] = ()
) -> tuple[Remedy, ...]:
    """The remedies in whole millimetres."""
    up = partial(step_up, units="mm")
    return remedies(of or layout(), offers, floors=floors, rounded_up_mm=up, wanted_mm=wanted_mm)


def doses(found: tuple[Remedy, ...]) -> list[dict[str, float]]:
    """The amounts of each remedy by the offer's id."""
    return [{dose.offer.id: pytest.approx(dose.amount_mm, abs=1e-6) for dose in remedy.doses} for remedy in found]


def test_amount_is_what_is_missing() -> None:
    """20 more reach leaves a window of exactly one standoff."""
    (remedy,) = sought(offer("reach", 100.0))
    assert doses((remedy,)) == [{"reach": 20.0}]
    assert (remedy.window.least_mm, remedy.window.greatest_mm) == (320.0, 320.0)
    assert (remedy.guarded.least_mm, remedy.guarded.greatest_mm) == (320.0, 320.0)
    assert (remedy.first_cost, remedy.yearly_cost) == (None, None)


def test_amount_is_rounded_up_to_a_step() -> None:
    """19.4 are missing: 20 are taken, and the window is 0.6 wide."""
    (remedy,) = sought(offer("reach", 100.0), of=layout(2080.6))
    assert doses((remedy,)) == [{"reach": 20.0}]
    assert remedy.window.greatest_mm - remedy.window.least_mm == pytest.approx(0.6)


def test_limit_stops_the_rounding() -> None:
    """Where no more than 19.7 can be had, those are taken; 19.3 are not enough."""
    assert doses(sought(offer("reach", 19.7), of=layout(2080.6))) == [{"reach": 19.7}]
    assert sought(offer("reach", 19.3), of=layout(2080.6)) == ()


def test_rounding_that_closes_the_window_is_left_out() -> None:
    """A floor that 20 would break and 19.4 do not: the amount stays as it is."""
    floors = (Floor(Form.of("loader.bar_capacity") - Form.of(REACH), 3000.0 - 900.0 - 19.5),)
    assert doses(sought(offer("reach", 100.0), of=layout(2080.6), floors=floors)) == [{"reach": 19.4}]


def test_floor_is_kept_by_sets_too() -> None:
    """Two changes that are each within their limits may together sink below a floor: then they are no remedy."""
    offers = (offer("reach", 15.0), offer("gripper", 15.0, GRIPPER))
    together = Form.of(REACH, GRIPPER)
    assert len(sought(*offers, floors=(Floor(-together, -3000.0),))) == 1
    assert sought(*offers, floors=(Floor(-together, -2999.5),)) == ()


def test_two_are_taken_where_one_does_not_do() -> None:
    """15 of each at most: both, and neither can be left out; each is rounded up."""
    (remedy,) = sought(offer("reach", 15.0, per_mm=2.0), offer("gripper", 15.0, GRIPPER, per_mm=1.0), of=layout(2080.6))
    assert doses((remedy,)) == [{"reach": 5.0, "gripper": 15.0}]  # 4.4 rounded up: as much as possible of the cheaper one
    assert remedy.yearly_cost == pytest.approx(25.0)


def test_set_with_a_needless_part_is_no_remedy() -> None:
    """The cheap one that does it alone is one remedy, the dear one another; both together are none."""
    found = sought(offer("reach", 50.0, cost=5.0), offer("gripper", 50.0, GRIPPER, cost=500.0))
    assert doses(found) == [{"reach": 20.0}, {"gripper": 20.0}]


def test_fixed_offer_is_taken_whole() -> None:
    """An extension of 25 leaves 5 of window; one of 15 does not open it."""
    (remedy,) = sought(offer("15", 15.0, fixed=True), offer("25", 25.0, fixed=True))
    assert doses((remedy,)) == [{"25": 25.0}]
    assert remedy.window.greatest_mm == 325.0


def test_two_changes_of_the_same_thing_are_not_combined() -> None:
    """Extensions of 12 and 15 would make 27, but the pusher takes one."""
    assert sought(offer("12", 12.0, fixed=True), offer("15", 15.0, fixed=True)) == ()
    (remedy,) = sought(offer("12", 12.0, fixed=True), offer("15", 15.0, fixed=True), offer("gripper", 6.0, GRIPPER))
    assert doses((remedy,)) == [{"15": 15.0, "gripper": 5.0}]


def test_order_of_remedies() -> None:
    """Fewest changes, then cost now and in a year, then no price; of equal price the wider window."""
    found = sought(
        offer("unpriced", 50.0, "rules.accepted_shortfall"),
        offer("dear", 25.0, fixed=True, cost=900.0),
        offer("by amount", 50.0, GRIPPER, cost=100.0, per_mm=10.0),
        offer("wide", 40.0, "loader.bar_capacity", fixed=True, cost=300.0, shifts=(("loader.bar_capacity", -1.0),)),
        offer("half", 10.0, "rules.bar_margin", cost=1.0, shifts=(("rules.bar_margin", -1.0),)),
        offer("other half", 12.0, "rules.rear_service", yearly=1.0, shifts=((GRIPPER, 1.0),)),
    )
    assert [list(d) for d in doses(found)] == [["wide"], ["by amount"], ["dear"], ["unpriced"], ["half", "other half"]]
    assert [remedy.first_cost for remedy in found] == [300.0, 100.0, 900.0, None, 1.0]
    assert [remedy.yearly_cost for remedy in found] == pytest.approx([0.0, 200.0, 0.0, None, 1.0])


def test_known_price_comes_before_unknown_however_high() -> None:
    """Ten million of a small currency are still a known price."""
    found = sought(offer("unpriced", 50.0), offer("priced", 50.0, GRIPPER, cost=1e7))
    assert [list(d) for d in doses(found)] == [["priced"], ["unpriced"]]


def test_free_of_charge_is_a_price() -> None:
    """A cost of 0 is known."""
    found = sought(offer("unpriced", 50.0), offer("free", 50.0, GRIPPER, cost=0.0))
    assert [list(d) for d in doses(found)] == [["free"], ["unpriced"]]
    assert found[0].first_cost == 0.0


def test_ten_at_most_and_the_cheapest() -> None:
    """Of fourteen changes that each do it, ten are named: the ten cheapest."""
    offers = [offer(f"{i}", 50.0, f"thing {i}", cost=100.0 - i, shifts=((REACH, 1.0),)) for i in range(14)]
    found = sought(*offers)
    assert len(found) == MOST
    assert [next(iter(d)) for d in doses(found)] == [str(i) for i in range(13, 3, -1)]


def test_priced_sets_are_not_crowded_out() -> None:
    """Of eight changes without a price and eight with one, the ten named hold all the priced ones, and these come first."""
    unpriced = [offer(f"u{i}", 50.0, f"thing {i}", shifts=((REACH, 1.0),)) for i in range(8)]
    priced = [offer(f"p{i}", 50.0, f"other {i}", cost=1000.0 * i, shifts=((REACH, 1.0),)) for i in range(8)]
    found = doses(sought(*unpriced, *priced))
    assert [next(iter(d)) for d in found[:8]] == [f"p{i}" for i in range(8)]
    assert len(found) == MOST


def test_window_that_is_open_needs_nothing() -> None:
    """A window of 24 asks for no remedy, and one of one standoff neither; a wider one wanted asks for what is missing."""
    offers = (offer("reach", 100.0, cost=0.0), offer("nothing", 30.0, "rules.rear_service", cost=0.0))
    assert sought(*offers, of=layout(2150)) == ()
    assert sought(*offers, of=layout(2100)) == ()
    assert doses(sought(*offers, of=layout(2150), wanted_mm=34.0)) == [{"reach": 10.0}]
    assert sought(*offers, of=layout(2150), wanted_mm=24.0) == ()
    assert sought(of=layout(2080)) == ()


def test_guard_band_is_opened_too() -> None:
    """A reach of u = 3 / sqrt 3 and a nose of the same: the guard bands are part of what is missing."""
    text = fixed(gripper=2100, length=330, u=3)
    (remedy,) = sought(offer("reach", 100.0), of=parse_job(text).layout)
    guard_mm = 1.645 * math.sqrt(3.0)
    assert doses((remedy,)) == [{"reach": math.ceil(guard_mm)}]
    assert remedy.guarded.greatest_mm - remedy.guarded.least_mm == pytest.approx(math.ceil(guard_mm) - guard_mm)


def test_one_cut_of_a_fixed_nose_in_every_mode() -> None:
    """306 - k and 280 - k miss each other by 26 at every cut: 26 more engagement, or as much less of the other mode's shift."""
    of = parse_job(exactly(ONE_CUT)).layout
    name, engaged = "lathe.modes[1].loader_shift", "nose.least_engagement"
    found = sought(
        offer("shift", 40.0, name, shifts=((name, -1.0),)), offer("hold", 40.0, engaged, shifts=((engaged, -1.0),)), of=of
    )
    assert sorted(doses(found), key=str) == [{"hold": 26.0}, {"shift": 26.0}]


def exactly(text: str) -> str:
    """The text with every length exact, and set exactly."""
    lines = [line[:-1] + ' ± 0 mm"' if line.endswith(' mm"') else line for line in text.splitlines()]
    return "\n".join([*lines, 'setting_uncertainty = "0 mm"', ""])


def test_wanted_width_may_use_another_cut_at_either_edge() -> None:
    """A butting nose, 306 - k to 312 - k with k up to 60, serves over 66 in all, 6 at each cut: 71 wants 5 more at the end."""
    of = parse_job(fixed(gripper=2400, reach=1500)).layout  # full bar and reach far away: 246 to 312
    longer = offer("gap", 50.0, "rules.fixed_nose_end_gap")
    assert sought(longer, of=of, wanted_mm=66.0) == ()
    assert doses(sought(longer, of=of, wanted_mm=71.0)) == [{"gap": 5.0}]
    assert shortfall(of, [offer("gap", 2.0, "rules.fixed_nose_end_gap")], wanted_mm=71.0) is not None


def test_remedy_the_window_solver_refuses_is_not_offered() -> None:
    """The loader's rearmost place is that of a backward shift only while it IS backward: beyond 0 nothing more is won."""
    # Both modes travel from -5 to 185, the other 20 farther back. Rear end: wall - 40 - 4600 - 900 - 20; nose: at least 271.
    text = TWO_MODES.replace(
        '"150 mm"\nz_front = "350 mm"\nloader_shift = "160 mm"', '"-5 mm"\nz_front = "185 mm"\nloader_shift = "-20 mm"'
    )
    name = "lathe.modes[1].loader_shift"
    enough, short = (parse_job(exactly(text.replace("6700 mm", f"{wall} mm"))).layout for wall in (5815, 5805))
    assert doses(sought(offer("shift", 100.0, name), of=enough)) == [{"shift": 16.0}]
    assert sought(offer("shift", 100.0, name), of=short) == ()  # 26 are missing, and 20 of backward shift are there to give up


def test_shortfall_of_everything_offered() -> None:
    """12 of the 20 can be had: 4 are missing at each of the two that exclude each other."""
    of = layout()
    names = [row.id for row in of.rows() if row.bounds_standoff]
    found = shortfall(of, [offer("reach", 5.0), offer("gripper", 7.0, GRIPPER)])
    assert found is not None
    assert found.missing_mm == pytest.approx(4.0)
    assert [names[i] for i in found.rows] == ["pusher-reach", "full-bar"]
    nothing = shortfall(of, [])
    assert nothing is not None
    assert nothing.missing_mm == pytest.approx(10.0)


def test_shortfall_names_only_what_blocks() -> None:
    """A row that happens to touch and could give way is not named: the cut of the nose is free to move off it."""
    of = parse_job(fixed(gripper=2080, length=316)).layout  # nose 322 - k to 328 - k: 12 of cut, more or less, fit around 310
    found = shortfall(of, [])
    assert found is not None
    names = [row.id for row in of.rows() if row.bounds_standoff]
    assert [names[i] for i in found.rows] == ["pusher-reach", "full-bar"]


def test_no_shortfall_where_a_set_helps() -> None:
    """Where the offers do, or nothing is needed, nothing is missing."""
    assert shortfall(layout(), [offer("reach", 20.0)]) is None
    assert shortfall(layout(2150), []) is None
    assert shortfall(layout(2150), [], wanted_mm=24.0) is None
    missed = shortfall(layout(2150), [], wanted_mm=32.0)
    assert missed is not None
    assert missed.missing_mm == pytest.approx(4.0)


def test_prices() -> None:
    """A price is known as soon as one of its parts is."""
    assert not offer("a", 1.0).priced
    assert offer("a", 1.0, cost=0.0).priced
    assert offer("a", 1.0, yearly=0.0).priced
    assert offer("a", 1.0, per_mm=2.0).priced
    assert offer("a", 1.0, cost=3.0, yearly=4.0).cost == 7.0


def test_change_of_an_offer() -> None:
    """So much of it shifts every quantity by its share, in a fixed order."""
    change = offer("cut", 30.0, "nose.length", shifts=(("nose.length", -1.0), ("another", 0.5))).change(10.0)
    assert change.shifts_mm == (("another", 5.0), ("nose.length", -10.0))
    assert (change.kind, change.quantity) == ("kind", "nose.length")
