"""Half-lines into a window: edges, ties, the one cut, the aim; each figure can be worked in the head."""

from __future__ import annotations

import math

import pytest

from standoff.model.requirement import Side
from standoff.solve.window import Bound, aim, cut_at, window

INF = math.inf


def low(at_mm: float, u_mm: float = 0.0, *, nose: bool = False) -> Bound:
    """At least so much."""
    return Bound(Side.AT_LEAST, at_mm, u_mm, nose)


def high(at_mm: float, u_mm: float = 0.0, *, nose: bool = False) -> Bound:
    """At most so much."""
    return Bound(Side.AT_MOST, at_mm, u_mm, nose)


def test_window_between_the_tightest_bounds() -> None:
    """The highest lower and the lowest upper bound make it; both, with what ties, are named by their place."""
    found = window([low(10), low(12), high(20), high(18), low(12 + 5e-7), high(18 + 2e-6)])
    assert (found.least_mm, found.greatest_mm) == (12 + 5e-7, 18)
    assert (found.at_least, found.at_most) == ((1, 4), (3,))
    assert not found.empty
    assert found.cut_mm is None
    assert found.middle_mm == pytest.approx(15.0, abs=1e-6)


def test_empty_window_keeps_both_edges() -> None:
    """Least exceeds greatest by what is missing; nothing lies inside, not even the middle."""
    found = window([low(20), high(15)])
    assert found.empty
    assert (found.least_mm, found.greatest_mm, found.middle_mm) == (20, 15, 17.5)
    assert not found.holds(17.5)
    assert not found.holds(20)


def test_window_of_one_standoff() -> None:
    """Edges that meet are a window; edges that meet but for floating-point noise are one too."""
    assert not window([low(15), high(15)]).empty
    noisy = window([low(0.1 + 0.2), high(0.3)])
    assert not noisy.empty
    assert noisy.holds(0.3)
    assert window([low(15.00001), high(15)]).empty


def test_touching_nose_bounds_leave_the_cut_free() -> None:
    """A fixed nose without any play serves at every cut; noise in its two bounds must not pin it to one."""
    found = window([low(0.1 + 0.2, nose=True), high(0.3, nose=True), low(-50), high(100)], cut_limit_mm=20.0)
    assert (found.least_mm, found.greatest_mm) == pytest.approx((-19.7, 0.3), abs=1e-9)
    assert found.cut_mm is None


def test_edges_belong_to_the_window() -> None:
    """An edge holds, to within a tie; a little outside does not."""
    found = window([low(10), high(20)])
    assert all(found.holds(at) for at in (10, 20, 10 - 9e-7, 20 + 9e-7))
    assert not any(found.holds(at) for at in (10 - 2e-6, 20 + 2e-6))


def test_window_open_on_one_side() -> None:
    """A side that nothing bounds is infinite, touches nothing, and the middle is the edge there is."""
    found = window([low(10)])
    assert (found.least_mm, found.greatest_mm, found.at_most, found.middle_mm) == (10, INF, (), 10)
    assert found.holds(1e9)
    other = window([high(10)])
    assert (other.least_mm, other.at_least, other.middle_mm) == (-INF, (), 10)
    nothing = window([])
    assert (nothing.least_mm, nothing.greatest_mm, nothing.middle_mm, nothing.empty) == (-INF, INF, 0.0, False)


def test_guard_band_draws_each_bound_in() -> None:
    """Each bound by its own uncertainty: another one may bind then."""
    found = window([low(10, 3), low(12, 1), high(20, 2)], factor=2.0)
    assert (found.least_mm, found.greatest_mm) == (16, 16)
    assert (found.at_least, found.at_most) == ((0,), (2,))
    assert found.bounds_mm == (16, 14, 16)


def test_slack_of_a_bound() -> None:
    """How much more than required; a cut moves only bounds of the nose, both kinds the same way."""
    assert low(10).slack_mm(standoff_mm=12, cut_mm=5) == 2
    assert high(10).slack_mm(standoff_mm=12, cut_mm=5) == -2
    assert low(10, nose=True).slack_mm(standoff_mm=12, cut_mm=5) == 7
    assert high(10, nose=True).slack_mm(standoff_mm=12, cut_mm=5) == -7


@pytest.mark.parametrize(
    ("bounds", "limit_mm", "least_mm", "greatest_mm"),
    [
        ([low(30, nose=True), high(34, nose=True), low(0), high(40)], 10, 20, 34),  # the nose decides, cut or not
        ([low(30, nose=True), high(34, nose=True), low(25), high(32)], 10, 25, 32),  # the others decide
        ([low(30, nose=True), high(40)], 10, 20, 40),
        ([high(30, nose=True), low(10)], 10, 10, 30),
        ([low(30, nose=True), high(34, nose=True)], 0, 30, 34),  # nothing may be cut
    ],
)
def test_some_cut_serves(bounds: list[Bound], limit_mm: float, least_mm: float, greatest_mm: float) -> None:
    """Every standoff for which some single cut serves."""
    found = window(bounds, cut_limit_mm=limit_mm)
    assert (found.least_mm, found.greatest_mm, found.cut_mm) == (least_mm, greatest_mm, None)


@pytest.mark.parametrize(
    ("bounds", "limit_mm", "missing_mm", "cut_mm"),
    [
        # A nose too long for its own two states: no cut helps, since it moves both.
        ([low(34, nose=True), high(30, nose=True), low(0), high(40)], 10, 4, 0),
        # Too long to fit before the upper bound even when cut as far as allowed.
        ([low(60, nose=True), high(70, nose=True), high(40)], 10, 10, 10),
        # Too short already: no cut at all.
        ([low(20, nose=True), high(30, nose=True), low(35)], 10, 5, 0),
        ([high(30, nose=True), low(35), high(50)], 10, 5, 0),
        # The other bounds exclude each other whatever is cut; the least cut that adds nothing to it.
        ([low(30, nose=True), high(60, nose=True), low(25), high(20)], 40, 5, 5),
        # Nothing may be cut.
        ([low(34, nose=True), high(30, nose=True)], 0, 4, 0),
        # Without the nose the lower bound: only the nose asks for room.
        ([low(60, nose=True), high(40)], 10, 10, 10),
    ],
)
def test_no_cut_serves(bounds: list[Bound], limit_mm: float, missing_mm: float, cut_mm: float) -> None:
    """What is missing is the least any cut leaves missing, and the least such cut is named."""
    found = window(bounds, cut_limit_mm=limit_mm)
    assert found.empty
    assert found.least_mm - found.greatest_mm == pytest.approx(missing_mm, abs=1e-12)
    assert found.cut_mm == pytest.approx(cut_mm, abs=1e-12)


def test_contributions_of_an_empty_window_stand_at_its_cut() -> None:
    """Each bound as it is at the cut that comes closest, and the edges are among them."""
    found = window([low(60, nose=True), high(70, nose=True), high(40)], cut_limit_mm=10)
    assert found.bounds_mm == (50, 60, 40)
    assert (found.at_least, found.at_most) == ((0,), (2,))


def test_aim_weighs_each_slack_by_its_uncertainty() -> None:
    """Nearer to the bound that is known better."""
    found = aim([low(10, 1), high(20, 3)])
    assert found is not None
    assert found.standoff_mm == pytest.approx(12.5)
    assert not found.preferred


def test_aim_without_any_uncertainty_is_the_middle() -> None:
    """All slacks count alike then."""
    found = aim([low(10), high(20)])
    assert found is not None
    assert found.standoff_mm == pytest.approx(15.0)


def test_aim_beside_an_exact_bound() -> None:
    """A slack without uncertainty need only not be negative."""
    found = aim([low(10, 2), high(20)])
    assert found is not None
    assert found.standoff_mm == pytest.approx(20.0)


def test_ties_of_the_aim_take_the_smaller_standoff() -> None:
    """Two nose bounds limit the share whatever the standoff; among the standoffs that serve alike, the smallest."""
    found = aim([low(30, 1, nose=True), high(34, 1, nose=True), low(0, 1), high(100, 1)], cut_limit_mm=20.0)
    assert found is not None
    assert found.standoff_mm == pytest.approx(12.0)  # 30 - 20 + 2


def test_aim_within_the_preferred_part() -> None:
    """Kept at or below the preferred standoff where the guarded window reaches that far down; else sought everywhere."""
    bounds = [low(100, 2), high(200, 2)]
    fenced = aim(bounds, preferred_mm=110)
    assert fenced is not None
    assert (fenced.standoff_mm, fenced.preferred) == (pytest.approx(110), True)
    free = aim(bounds, preferred_mm=103)  # the guarded window begins at 103.29
    assert free is not None
    assert (free.standoff_mm, free.preferred) == (pytest.approx(150), False)
    roomy = aim(bounds, preferred_mm=180)
    assert roomy is not None
    assert (roomy.standoff_mm, roomy.preferred) == (pytest.approx(150), True)
    unsure = aim([low(100, 9), high(110, 9)], preferred_mm=101)  # no guarded window at all
    assert unsure is not None
    assert (unsure.standoff_mm, unsure.preferred) == (pytest.approx(105), False)


def test_no_aim_without_a_window() -> None:
    """An empty window has none, and neither has one that nothing bounds."""
    assert aim([low(20), high(10)]) is None
    assert aim([]) is None


@pytest.mark.parametrize(("u_mm", "inside_mm"), [(0.0, 25.4), (8.0, 25.4), (10.0, 30.0)])
def test_aim_of_an_open_window(u_mm: float, inside_mm: float) -> None:
    """Three uncertainties of the bound that binds, an inch at least, inside it."""
    above, below = aim([low(100, u_mm), low(50, 99)]), aim([high(100, u_mm), high(200, 99)])
    assert above is not None
    assert below is not None
    assert above.standoff_mm == pytest.approx(100 + inside_mm)
    assert below.standoff_mm == pytest.approx(100 - inside_mm)


def test_least_cut_that_serves_best() -> None:
    """The cut gives the nose as much of its uncertainty as the tightest row has, and no more."""
    bounds = [low(306, 1, nose=True), high(330, 1, nose=True), low(250, 1), high(300, 1)]
    assert cut_at(bounds, standoff_mm=280, cut_limit_mm=60) == pytest.approx(38.0)  # nose-room and engagement share 12 each
    tight = [low(306, 1, nose=True), high(330, 1, nose=True), low(278, 1), high(300, 1)]
    assert cut_at(tight, standoff_mm=280, cut_limit_mm=60) == pytest.approx(28.0)  # 2 is all the others have


def test_cut_stays_within_what_is_allowed() -> None:
    """Never more than may be cut, never less than nothing, none where no nose asks for room."""
    bounds = [low(306, 1, nose=True), high(400, 1, nose=True)]
    assert cut_at(bounds, standoff_mm=280, cut_limit_mm=10) == 10
    assert cut_at(bounds, standoff_mm=390, cut_limit_mm=10) == 0
    assert cut_at([high(300, nose=True), low(100)], standoff_mm=200, cut_limit_mm=10) == 0


def test_cut_where_everything_is_exact() -> None:
    """The same without any uncertainty: all slacks count alike."""
    bounds = [low(306, nose=True), high(330, nose=True), low(250), high(300)]
    assert cut_at(bounds, standoff_mm=280, cut_limit_mm=60) == pytest.approx(38.0)


def test_cut_beside_exact_bounds() -> None:
    """An exact nose bound is just kept where others carry an uncertainty."""
    bounds = [low(306, nose=True), high(330, nose=True), low(250, 1), high(300, 1)]
    assert cut_at(bounds, standoff_mm=280, cut_limit_mm=60) == pytest.approx(26.0)


def test_cut_cares_for_the_nose_alone() -> None:
    """Where another requirement fails at the standoff asked about, the nose is still cut so that its own hold."""
    bounds = [low(306, 1, nose=True), high(330, 1, nose=True), low(250, 1), high(260, 1)]
    cut_mm = cut_at(bounds, standoff_mm=280, cut_limit_mm=60)
    assert all(b.slack_mm(standoff_mm=280, cut_mm=cut_mm) >= 0.0 for b in bounds if b.shares_cut)
