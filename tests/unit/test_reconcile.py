"""Readings held against each other: small surveys whose residuals can be worked by hand."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.stats import chi2, ncx2

from standoff.errors import UsageError
from standoff.model.form import Form
from standoff.solve.reconcile import (
    POWER,
    SIGNIFICANCE,
    Judgement,
    Observation,
    Reconciliation,
    reconcile,
    splitting,
)


def base(name: str, value_mm: float, u_mm: float = 1.0) -> Observation:
    """The first reading of a quantity."""
    return Observation(name, Form.of(name), value_mm, u_mm)


def bases(**values_mm: float) -> dict[str, Observation]:
    """First readings, each with a standard uncertainty of 1."""
    return {name: base(name, value_mm) for name, value_mm in values_mm.items()}


def reading(name: str, form: Form, value_mm: float, u_mm: float = 1.0) -> Observation:
    """A further reading."""
    return Observation(name, form, value_mm, u_mm)


def reconciled(first: dict[str, Observation], *further: Observation) -> Reconciliation:
    """The reconciliation of readings that can be held against each other."""
    result = reconcile(first, further)
    assert result is not None
    return result


def judgement(result: Reconciliation, name: str) -> Judgement:
    """What is said of one reading."""
    return next(j for j in result.judgements if j.name == name)


def test_nothing_read_twice_is_not_judged() -> None:
    """Without a further reading there is nothing to hold against anything."""
    assert reconcile(bases(a=100.0), []) is None


def test_exact_further_reading_is_refused() -> None:
    """What has no uncertainty cannot be weighed; the error names the reading and ends in the next action."""
    with pytest.raises(UsageError, match=r"overall.*state how it was read"):
        reconcile(bases(a=100.0), [reading("overall", Form.of("a"), 101.0, 0.0)])


def test_two_readings_of_one_length() -> None:
    """6 mm apart with u = 3 and 4: chi-square (6/5)^2, the residuals shared as the variances."""
    result = reconciled({"a": base("a", 100.0, 3.0)}, reading("again", Form.of("a"), 106.0, 4.0))
    assert result.chi_square == pytest.approx(36.0 / 25.0)
    assert result.conditions == 1
    assert result.probability == pytest.approx(chi2.sf(1.44, 1))
    assert result.consistent
    assert [j.residual_mm for j in result.judgements] == pytest.approx([6.0 * 9 / 25, -6.0 * 16 / 25])
    assert [j.normalised_residual for j in result.judgements] == pytest.approx([1.2, 1.2])
    assert [j.error_mm for j in result.judgements] == pytest.approx([-6.0, 6.0])
    assert result.groups == (("a", "again"),)
    assert result.suspects == ()


def test_two_readings_that_contradict_each_other_are_one_group() -> None:
    """20 mm apart: one of the two is wrong, and which cannot be told."""
    result = reconciled(bases(a=100.0), reading("again", Form.of("a"), 120.0))
    assert not result.consistent
    assert result.suspects == (("a", "again"),)


def test_check_over_two_readings_is_one_group_of_three() -> None:
    """A single condition accuses everything in it alike; a sum that is too long says its parts are too short."""
    result = reconciled(bases(a=100.0, b=50.0), reading("a to b", Form.of("a", "b"), 162.0))
    assert result.groups == (("a", "b", "a to b"),)
    assert result.suspects == result.groups
    assert result.chi_square == pytest.approx(12.0**2 / 3.0)
    assert [round(j.error_mm, 9) for j in result.judgements] == [-12.0, -12.0, 12.0]


def test_reading_that_splits_a_group_is_named_and_splits_it() -> None:
    """Of the candidates the one that leaves fewest together is taken; read, it makes smaller groups."""
    first = bases(a=100.0, b=50.0, c=30.0)
    further = [reading("a to b", Form.of("a", "b"), 162.0)]
    group = reconciled(first, *further).suspects[0]
    candidates = [
        reading("c once more", Form.of("c"), 30.0),
        reading("a to b once more", Form.of("a", "b"), 150.0, 2.0),
        reading("b once more", Form.of("b"), 50.0, 1.5),
        reading("a once more", Form.of("a"), 100.0, 1.2),
        reading("a and c", Form.of("a", "c"), 130.0, 1.1),
    ]
    chosen = splitting(first, further, group, candidates)
    assert chosen is not None
    assert chosen.name == "a and c"  # each of the last four leaves two together: the most exact one
    result = reconciled(first, *further, chosen)
    assert [len(set(group) & set(g)) for g in result.groups] == [2, 1, 0]


def test_nothing_splits_a_group_where_every_candidate_reads_the_same() -> None:
    """A candidate that speaks of nothing in the group leaves it whole, and none is chosen."""
    first, further = bases(a=100.0, b=50.0), [reading("again", Form.of("a"), 120.0)]
    candidates = [reading("b once more", Form.of("b"), 50.0)]
    assert splitting(first, further, ("a", "again"), candidates) is None
    assert splitting(first, further, ("a", "again"), []) is None


def test_overlapping_checks_find_the_wrong_reading_alone() -> None:
    """Three lengths and three overall ones: b is 20 too long, and only b explains it."""
    first = bases(a=100.0, b=70.0, c=30.0)
    result = reconciled(
        first,
        reading("ab", Form.of("a", "b"), 150.0),
        reading("bc", Form.of("b", "c"), 80.0),
        reading("abc", Form.of("a", "b", "c"), 180.0),
    )
    assert not result.consistent
    assert result.suspects == (("b",),)
    assert judgement(result, "b").error_mm == pytest.approx(20.0)
    assert [group for group in result.groups if len(group) > 1] == []
    assert max(result.judgements, key=lambda j: j.normalised_residual).name == "b"


def test_two_wrong_readings_leave_no_single_suspect() -> None:
    """Two blunders that no one reading explains: rejected, and nobody is accused."""
    result = reconciled(
        bases(a=100.0, b=50.0),
        reading("a1", Form.of("a"), 130.0),
        reading("a2", Form.of("a"), 100.0),
        reading("b1", Form.of("b"), 80.0),
        reading("b2", Form.of("b"), 50.0),
    )
    assert not result.consistent
    assert result.suspects == ()


def test_rest_has_one_condition_less() -> None:
    """100, 104 and 130 with u = 1: without the last, 4^2 / 2 = 8 are left over one condition, more than chance (6.63) there."""
    result = reconciled(bases(a=100.0), reading("a1", Form.of("a"), 104.0), reading("a2", Form.of("a"), 130.0))
    assert result.suspects == ()
    nearer = reconciled(bases(a=100.0), reading("a1", Form.of("a"), 103.6), reading("a2", Form.of("a"), 130.0))
    assert nearer.suspects == (("a2",),)


def test_exact_quantity_is_not_accused() -> None:
    """A quantity without uncertainty is taken as it is: all of the difference falls to the reading."""
    result = reconciled({"a": base("a", 100.0, 0.0), "b": base("b", 50.0)}, reading("ab", Form.of("a", "b"), 153.0))
    assert [j.name for j in result.judgements] == ["b", "ab"]
    assert result.chi_square == pytest.approx(9.0 / 2.0)
    alone = reconciled({"a": base("a", 100.0, 0.0)}, reading("again", Form.of("a"), 102.0))
    assert alone.judgements[0].residual_mm == pytest.approx(-2.0)
    assert alone.groups == (("again",),)


def test_uninvolved_quantities_are_left_out() -> None:
    """A quantity that no further reading speaks of is not judged."""
    result = reconciled(bases(a=100.0, unread=7.0), reading("again", Form.of("a"), 101.0))
    assert "unread" not in [j.name for j in result.judgements]


@pytest.mark.parametrize("conditions", [1, 2, 3, 6])
def test_detectable_error_has_the_stated_power(conditions: int) -> None:
    """An error that large makes the test reject with 80 %: the noncentral chi-square of scipy.stats agrees."""
    further = [reading(f"a{i}", Form.of("a"), 100.0, 1.0 + 0.5 * i) for i in range(conditions)]
    result = reconciled(bases(a=100.0), *further)
    for j in result.judgements:
        wrong = [reading(o.name, o.form, o.value_mm + (j.detectable_mm if o.name == j.name else 0.0), o.u_mm) for o in further]
        first = bases(a=100.0 + (j.detectable_mm if j.name == "a" else 0.0))
        shifted = reconciled(first, *wrong).chi_square
        assert ncx2.sf(chi2.isf(SIGNIFICANCE, conditions), conditions, shifted) == pytest.approx(POWER, abs=1e-6)


def test_shares_of_chi_square() -> None:
    """Leaving a reading out takes its normalised residual squared out of chi-square."""
    first = bases(a=100.0, b=50.0)
    further = [reading("ab", Form.of("a", "b"), 153.0), reading("a1", Form.of("a"), 98.0, 2.0), reading("b1", Form.of("b"), 51.0)]
    whole = reconciled(first, *further)
    for left_out in further:
        rest = reconciled(first, *(o for o in further if o is not left_out))
        share = judgement(whole, left_out.name).normalised_residual ** 2
        assert rest.chi_square == pytest.approx(whole.chi_square - share)


def test_chi_square_and_residuals_against_a_fit_of_the_quantities() -> None:
    """Random networks against numpy's least squares on the whitened parametric form."""
    random = np.random.default_rng(5)
    for _ in range(20):
        names = [f"q{i}" for i in range(4)]
        first = {name: base(name, random.normal(100.0, 2.0), random.uniform(0.5, 3.0)) for name in names}
        forms = [Form.collect((name, float(random.integers(-1, 2))) for name in names) for _ in range(5)]
        further = [
            reading(f"f{i}", form, random.normal(form.value(dict.fromkeys(names, 100.0)), 2.0)) for i, form in enumerate(forms)
        ]
        result = reconciled(first, *further)
        used = sorted({q for form in forms for q in form.quantities()})
        every = [*(first[name] for name in used), *further]
        matrix = np.array([[o.form.coefficient(name) / o.u_mm for name in used] for o in every])
        values = np.array([o.value_mm / o.u_mm for o in every])
        fitted = np.linalg.lstsq(matrix, values, rcond=None)[0]
        residuals = matrix @ fitted - values
        assert result.chi_square == pytest.approx(float(residuals @ residuals))
        ours = {j.name: j.residual_mm for j in result.judgements}
        theirs = {o.name: r * o.u_mm for o, r in zip(every, residuals, strict=True)}
        assert ours == pytest.approx({name: theirs[name] for name in ours})


def test_what_the_others_make_of_a_reading() -> None:
    """Two overall lengths make b 50 and 54 with variances 2 and 5: weighed accordingly, whatever was read for b itself."""
    further = [reading("ab", Form.of("a", "b"), 150.0), reading("bc", Form.of("b", "c"), 84.0, 2.0)]
    for read_mm in (51.0, 70.0, 400.0):
        j = judgement(reconciled(bases(a=100.0, b=read_mm, c=30.0), *further), "b")
        assert read_mm - j.error_mm == pytest.approx((50.0 / 2.0 + 54.0 / 5.0) / (1 / 2.0 + 1 / 5.0))
        assert j.others_u_mm == pytest.approx(1 / math.sqrt(1 / 2.0 + 1 / 5.0))


def test_others_without_any_doubt() -> None:
    """Where the others are exact, so is what they make of a reading."""
    result = reconciled({"a": base("a", 100.0, 0.0)}, reading("again", Form.of("a"), 102.0))
    assert (result.judgements[0].error_mm, result.judgements[0].others_u_mm) == (2.0, 0.0)
