"""Which one quantity has changed: small sums whose patterns can be seen at a glance."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.stats import chi2

from standoff.model.form import Form
from standoff.solve.diagnosis import Bound, Diagnosis, Finding, Hypothesis, diagnose, splitting

QUANTITIES = ("a", "b", "c")
U_MM = {"a": 1.0, "b": 1.0, "c": 1.0}


def found(name: str, form: Form, difference_mm: float, u_mm: float = 1.0, *, from_record: bool = True) -> Finding:
    """Something read again."""
    return Finding(name, form, difference_mm, u_mm, from_record)


def diagnosed(*findings: Finding, bounds: tuple[Bound, ...] = (), u_mm: dict[str, float] | None = None) -> Diagnosis:
    """The diagnosis over three quantities."""
    return diagnose(findings, bounds, quantities=QUANTITIES, u_mm=U_MM if u_mm is None else u_mm)


def able(result: Diagnosis) -> list[tuple[str, ...]]:
    """The hypotheses that explain everything, by their quantities."""
    return [h.quantities for h in result.hypotheses if h.explains and not h.against]


def of(result: Diagnosis, quantity: str) -> Hypothesis:
    """The hypothesis a quantity belongs to."""
    return next(h for h in result.hypotheses if quantity in h.quantities)


def test_one_reading_cannot_tell_its_terms_apart() -> None:
    """12 more from a to b: either is 12 longer, what is subtracted 12 shorter; variance 3 + 1 for the record and the reading."""
    result = diagnosed(found("a + b - c", Form.of("a", "b") - Form.of("c"), 12.0))
    assert result.changed
    assert [h.quantities for h in result.hypotheses] == [("a", "b", "c")]
    assert result.hypotheses[0].by_mm == (12.0, 12.0, -12.0)
    assert result.chi_square == pytest.approx(144.0 / 4.0)
    assert result.hypotheses[0].chi_square_share == pytest.approx(36.0)


def test_second_reading_singles_the_change_out() -> None:
    """a and a + b both 12 longer: it is a alone; b and c explain only a part."""
    result = diagnosed(found("a", Form.of("a"), 12.0), found("a + b", Form.of("a", "b"), 12.0))
    assert able(result) == [("a",)]
    assert result.hypotheses[0].by_mm[0] == pytest.approx(12.0)
    assert not of(result, "b").explains


def test_amount_is_the_weighed_one() -> None:
    """Two readings of a, 10 and 14 more with variances 1 and 4 beside the record's own: generalised least squares."""
    result = diagnosed(found("a", Form.of("a"), 10.0), found("a, sighted", Form.of("a"), 14.0, 2.0))
    covariance = np.array([[2.0, 1.0], [1.0, 5.0]])
    weight, ones, r = np.linalg.inv(covariance), np.ones(2), np.array([10.0, 14.0])
    strength = ones @ weight @ ones
    assert of(result, "a").by_mm[0] == pytest.approx(ones @ weight @ r / strength)
    assert of(result, "a").chi_square_share == pytest.approx((ones @ weight @ r) ** 2 / strength)
    assert result.chi_square == pytest.approx(r @ weight @ r)


def test_what_was_compared_with_itself_owes_nothing_to_the_record() -> None:
    """A remnant that grew has its own uncertainty only: the record's doubt of 5 mm does not weaken it."""
    doubtful = {"a": 5.0, "b": 5.0, "c": 5.0}
    itself = diagnosed(found("remnant", Form.of("a"), 4.0, from_record=False), u_mm=doubtful)
    recorded = diagnosed(found("again", Form.of("a"), 4.0), u_mm=doubtful)
    assert itself.chi_square == pytest.approx(16.0)
    assert itself.changed
    assert recorded.chi_square == pytest.approx(16.0 / 26.0)
    assert not recorded.changed


@pytest.mark.parametrize(("ratio", "changed"), [(0.99, False), (1.01, True)])
def test_nothing_changed_within_chance(ratio: float, changed: bool) -> None:
    """A difference counts from the one that chance passes once in a hundred times."""
    critical_mm = math.sqrt(chi2.isf(0.01, 1) * 2.0)
    assert diagnosed(found("a", Form.of("a"), ratio * critical_mm)).changed is changed


def test_two_changes_are_explained_by_no_single_one() -> None:
    """a and b both longer, read apart: no hypothesis is left, the larger one is nearest."""
    result = diagnosed(found("a", Form.of("a"), 20.0), found("b", Form.of("b"), 12.0))
    assert able(result) == []
    assert [h.quantities for h in result.hypotheses] == [("a",), ("b",)]


def test_rest_has_one_finding_less() -> None:
    """a has changed by 20; b differs by 4 with variance 2, 8 over one finding, more than chance (6.63): then not a alone."""
    assert able(diagnosed(found("a", Form.of("a"), 20.0), found("b", Form.of("b"), 4.0))) == []
    assert able(diagnosed(found("a", Form.of("a"), 20.0), found("b", Form.of("b"), 3.6))) == [("a",)]


def test_nothing_read_and_nothing_noticed() -> None:
    """Without any finding nothing has changed and nobody is accused."""
    result = diagnosed()
    assert (result.changed, result.chi_square, result.hypotheses) == (False, 0.0, ())


def test_quantity_without_a_part_is_no_hypothesis() -> None:
    """What takes no part in any finding is not named."""
    assert able(diagnosed(found("a", Form.of("a"), 12.0))) == [("a",)]


def test_notice_alone_accuses_all_its_terms() -> None:
    """A slack of 8 that is gone: any of its terms, by 8 at least, each in the way that uses it up."""
    result = diagnosed(bounds=(Bound("crushed", Form.of("a") - Form.of("b"), 8.0, 0.0),))
    assert result.changed
    assert able(result) == [("a", "b")]
    assert result.hypotheses[0].by_mm == (-8.0, 8.0)
    assert not result.hypotheses[0].measured


def test_notice_of_what_the_record_lacked_already() -> None:
    """A slack that was negative by the record is explained without any change."""
    result = diagnosed(bounds=(Bound("crushed", Form.of("a"), -2.0, 0.0),))
    assert result.hypotheses[0].by_mm == (0.0,)


def test_notice_in_one_mode_only() -> None:
    """b takes part in one mode only; a would have to use up 3 and leave 1 of the other's 4, which it can."""
    one, other = Form.of("a", "b"), Form.of("a")
    bounds = (Bound("here", one, 3.0, 0.0), Bound("not there", other, 4.0, 0.0, negative=False))
    assert able(diagnosed(bounds=bounds)) == [("a", "b")]


@pytest.mark.parametrize(
    ("spare_mm", "u_mm", "expected"), [(1.9, 0.0, [("b",)]), (2.1, 0.0, [("a", "b")]), (1.9, 0.1, [("a", "b")])]
)
def test_notice_in_one_mode_only_excludes(spare_mm: float, u_mm: float, expected: list[tuple[str, ...]]) -> None:
    """To use up 3 here, a would also use up the other mode's room: by more than counts as touching, or within its doubt."""
    bounds = (
        Bound("here", Form.of("a", "b"), 3.0, 0.0),
        Bound("not there", Form.of("a"), spare_mm, u_mm, negative=False),
    )
    result = diagnosed(bounds=bounds)
    assert able(result) == expected
    if len(expected[0]) == 1:
        assert of(result, "a").against == ("not there",)


def test_quantity_only_in_what_was_not_noticed_is_no_hypothesis() -> None:
    """That the other mode is as before accuses nobody."""
    bounds = (Bound("here", Form.of("a"), 3.0, 0.0), Bound("not there", Form.of("c"), 9.0, 0.0, negative=False))
    assert [h.quantities for h in diagnosed(bounds=bounds).hypotheses] == [("a",)]


def test_two_notices_that_pull_apart() -> None:
    """One needs a longer and the other a shorter: no change of a brings about both, and the harder one is named."""
    bounds = (Bound("too long", -Form.of("a"), 5.0, 0.0), Bound("too short", Form.of("a"), 3.0, 0.0))
    result = diagnosed(bounds=bounds)
    assert result.hypotheses[0].by_mm == (5.0,)
    assert result.hypotheses[0].against == ("too short",)


def test_figures_and_notices_together() -> None:
    """a and b explain the figure alike; only a explains the notice, and b is told to fail it."""
    bound = Bound("crushed", -Form.of("a"), 10.0, 0.0)
    result = diagnosed(found("a + b", Form.of("a", "b"), 12.0), bounds=(bound,))
    assert able(result) == [("a",)]
    assert of(result, "b").against == ("crushed",)
    assert result.hypotheses[0].measured


def test_notice_explained_by_what_was_not_read() -> None:
    """a was read again and is unchanged: c, which nobody read, explains the notice, a and its neighbour do not."""
    bound = Bound("crushed", Form.of("a") - Form.of("c"), 6.0, 0.0)
    result = diagnosed(found("a", Form.of("a"), 0.5), bounds=(bound,))
    assert able(result) == [("c",)]
    assert result.hypotheses[0].by_mm == (6.0,)
    assert of(result, "a").against == ("crushed",)


def test_unread_quantity_does_not_explain_figures() -> None:
    """Where figures differ, a quantity that only a notice speaks of leaves them unexplained."""
    bound = Bound("crushed", -Form.of("c"), 6.0, 0.0)
    result = diagnosed(found("a", Form.of("a"), 30.0), found("b", Form.of("b"), 0.0), bounds=(bound,))
    assert able(result) == []
    assert not of(result, "c").explains
    assert of(result, "c").against == ()


def test_next_reading_splits_the_group_best() -> None:
    """The candidate that leaves the fewest together, the first of equal ones."""
    findings = [found("a + b + c", Form.of("a", "b", "c"), 12.0)]
    candidates = [
        found("all again", Form.of("a", "b", "c"), 0.0),
        found("a", Form.of("a"), 0.0),
        found("b", Form.of("b"), 0.0),
        found("a twice, b", Form.of("a", "a", "b"), 0.0),
    ]
    chosen = splitting(QUANTITIES, findings, candidates)
    assert chosen is candidates[3]  # 2, 1 and 0 of it: all three apart
    assert splitting(QUANTITIES, findings, candidates[:3]) is candidates[1]
    assert splitting(QUANTITIES, findings, candidates[:1]) is None


def test_next_reading_among_what_was_only_noticed() -> None:
    """Quantities without any figure yet: one that speaks of some of them and not of others tells them apart."""
    chosen = splitting(("a", "b"), [], [found("c", Form.of("c"), 0.0), found("b", Form.of("b"), 0.0)])
    assert chosen is not None
    assert chosen.name == "b"


def test_rank_by_what_is_explained() -> None:
    """Among those that explain, the greater share of chi-square first."""
    result = diagnosed(found("a", Form.of("a"), 6.0, 4.0), found("a + b", Form.of("a", "b"), 12.0))
    assert [h.quantities for h in result.hypotheses] == [("a",), ("b",)]
    assert result.hypotheses[0].chi_square_share > result.hypotheses[1].chi_square_share
    assert able(result) == [("a",), ("b",)]
