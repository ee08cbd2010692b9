"""Wrong pairings of a loader shift and a headstock position, against gaps worked by hand."""

from __future__ import annotations

import pytest

from standoff.job.file import parse_job
from standoff.solve.pairing import wrong_pairings
from tests.pairs import ONE_CUT, TWO_MODES, fixed


def test_shift_and_headstock_of_different_modes() -> None:
    """Shifted onto the first rear limit the nose is crushed; not shifted at the other front limit it parts."""
    crushed, parted = wrong_pairings(parse_job(TWO_MODES).layout, standoff_mm=300.0, cut_mm=0.0)
    assert (crushed.requirement, crushed.shift_mode, crushed.headstock_mode) == ("nose-room", "other", "one")
    assert (crushed.state, crushed.missing_mm) == ("rear limit", pytest.approx(220 + 45 - (300 - 160)))
    assert "crushed" in crushed.failure
    assert (parted.requirement, parted.shift_mode, parted.headstock_mode) == ("nose-engagement", "one", "other")
    assert (parted.state, parted.missing_mm) == ("front limit", pytest.approx(300 + 355 - (528 + 45)))


def test_contact_counts_not_the_margin() -> None:
    """A pairing that only eats into the clearance is none: 140 + 125.1 leaves the nose its length."""
    layout = parse_job(TWO_MODES).layout
    assert [p.requirement for p in wrong_pairings(layout, standoff_mm=425.1, cut_mm=0.0)] == ["nose-engagement"]
    assert next(p.requirement for p in wrong_pairings(layout, standoff_mm=424.9, cut_mm=0.0)) == "nose-room"


def test_cut_counts_in_a_pairing() -> None:
    """A shorter nose has more room and parts sooner."""
    layout = parse_job(ONE_CUT).layout
    whole = {(p.requirement, p.shift_mode): p.missing_mm for p in wrong_pairings(layout, standoff_mm=300.0, cut_mm=0.0)}
    cut = {(p.requirement, p.shift_mode): p.missing_mm for p in wrong_pairings(layout, standoff_mm=300.0, cut_mm=5.0)}
    # Shifted by 40 at the first rear limit: 300 - 40 against 500 - 230 - k. Not shifted at 210: 510 against 500 - k.
    assert whole == pytest.approx({("nose-room", "other"): 10.0, ("nose-engagement", "one"): 10.0})
    assert cut == pytest.approx({("nose-room", "other"): 5.0, ("nose-engagement", "one"): 15.0})


def test_one_mode_has_no_wrong_pairing() -> None:
    """There is nothing to mistake."""
    assert wrong_pairings(parse_job(fixed()).layout, standoff_mm=275.0, cut_mm=40.0) == ()
