"""Marking out by two tapes: distances, hand, ellipse, check diagonals, the best pair of reference points, and what is refused."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest

from standoff.errors import UsageError
from standoff.reading import Reading, rectangular_u_mm, tape_mpe_mm
from standoff.site.baseline import FloorPoint, Hand, Reference, baseline
from standoff.site.ellipse import ellipse
from standoff.site.markout import CHECK_FACTOR, LEAST_CROSSING_DEG, located, mark, mark_out, taping_u_mm
from standoff.site.reference_pairs import judge_pairs

LEFT_FOOT, RIGHT_FOOT = Reference("left foot", 0.0, 600.0, 1.0), Reference("right foot", 0.0, -600.0, 1.0)
BASE = baseline(LEFT_FOOT, RIGHT_FOOT)
FEET = (
    FloorPoint("foot 1", -500.0, 300.0),
    FloorPoint("foot 2", -500.0, -300.0),
    FloorPoint("foot 3", -3000.0, 300.0),
    FloorPoint("foot 4", -3000.0, -300.0),
)
EXACT = baseline(Reference("A", 0.0, 0.0, 0.0), Reference("B", 3000.0, 0.0, 0.0))


def test_distances_are_those_of_the_triangle() -> None:
    """3-4-5, and the hand on which the point lies."""
    found = mark(FloorPoint("p", 0.0, 4000.0), EXACT)
    assert (found.from_first_mm, found.from_second_mm, found.hand, found.offset_mm) == (4000.0, 5000.0, Hand.LEFT, 4000.0)
    assert found.crossing_deg == pytest.approx(math.degrees(math.atan2(3.0, 4.0)))
    assert mark(FloorPoint("p", 0.0, -4000.0), EXACT).hand is Hand.RIGHT


def test_walking_the_baseline_the_other_way_turns_the_hand() -> None:
    """Distances change places, the hand turns, the ellipse stays."""
    other = baseline(RIGHT_FOOT, LEFT_FOOT)
    for foot in FEET:
        one, two = mark(foot, BASE), mark(foot, other)
        assert (one.from_first_mm, one.from_second_mm) == (two.from_second_mm, two.from_first_mm)
        assert (one.hand, two.hand) == (Hand.RIGHT, Hand.LEFT)
        assert one.covariance_mm2 == pytest.approx(two.covariance_mm2)


def test_the_tape_is_of_class_two_with_its_allowance() -> None:
    """Limits of class II and 1 mm for reading and marking, equally likely within; a sighted end has 3 mm."""
    assert taping_u_mm(4000.0) == pytest.approx(rectangular_u_mm(tape_mpe_mm(4000.0, "II") + 1.0))
    assert taping_u_mm(4000.0, source="sighted") == pytest.approx(rectangular_u_mm(tape_mpe_mm(4000.0, "II") + 3.0))


def test_tapes_square_to_each_other_give_the_plainest_ellipse() -> None:
    """Crossing at 90 degrees, each tape's error goes along that tape, and the reference points add theirs as a circle."""
    base = baseline(Reference("A", -2000.0, 0.0, 2.0), Reference("B", 2000.0, 0.0, 2.0))
    found = mark(FloorPoint("p", 0.0, 2000.0), base)
    u_mm = math.hypot(taping_u_mm(2000.0 * math.sqrt(2.0)), 2.0)
    assert found.crossing_deg == pytest.approx(90.0)
    assert found.covariance_mm2 == pytest.approx(np.diag([u_mm**2, u_mm**2]))
    assert (found.ellipse.semi_major_mm, found.ellipse.semi_minor_mm) == pytest.approx((2.4477 * u_mm,) * 2, rel=1e-4)


def test_ellipse_of_a_covariance() -> None:
    """Half axes 2.4477 times the roots (2.45 as printed in documentation of an open-source library), turned by 30 degrees."""
    turn = np.array([[math.cos(math.pi / 6), -0.5], [0.5, math.cos(math.pi / 6)]])
    found = ellipse(turn @ np.diag([9.0, 1.0]) @ turn.T)
    assert found.semi_major_mm / 3.0 == pytest.approx(float("2.45"), abs=0.005)
    assert found.semi_major_mm / found.semi_minor_mm == pytest.approx(3.0)
    assert found.direction_deg == pytest.approx(30.0)
    assert ellipse(np.diag([1.0, 4.0])).direction_deg in (pytest.approx(90.0), pytest.approx(-90.0))
    assert ellipse(np.zeros((2, 2))).semi_major_mm == 0.0
    assert ellipse(np.array([[1.0, -0.9], [-0.9, 1.0]])).direction_deg == pytest.approx(-45.0)


def test_four_feet_are_checked_by_their_two_diagonals() -> None:
    """Each foot to the one farthest from it: 1 to 4 and 2 to 3."""
    found = mark_out(FEET, BASE)
    assert [(d.start, d.end) for d in found.diagonals] == [("foot 1", "foot 4"), ("foot 2", "foot 3")]
    for diagonal in found.diagonals:
        assert diagonal.distance_mm == pytest.approx(math.hypot(2500.0, 600.0))
        assert diagonal.limit_mm == CHECK_FACTOR * diagonal.u_mm
        assert diagonal.holds(diagonal.distance_mm + 0.99 * diagonal.limit_mm)
        assert not diagonal.holds(diagonal.distance_mm - 1.01 * diagonal.limit_mm)
    assert found.worst.point.name in ("foot 3", "foot 4")


def test_reference_points_off_together_leave_the_diagonals_alone() -> None:
    """What both marks have from the reference points counts once: very unsure points, still sure diagonals."""
    unsure = baseline(Reference("A", 0.0, 600.0, 30.0), Reference("B", 0.0, -600.0, 0.0), taped=tape(1200.0, u_mm=0.1))
    found = mark_out(FEET, unsure)
    apart = [mark(foot, unsure).covariance_mm2 for foot in FEET]
    assert found.diagonals[0].u_mm < 0.5 * math.sqrt(max(np.linalg.eigvalsh(apart[0] + apart[3])))


def test_one_point_has_no_diagonal() -> None:
    """Nothing to check it by."""
    assert mark_out(FEET[:1], BASE).diagonals == ()


def test_marks_are_found_again_from_their_distances() -> None:
    """What was laid off leads back to the point, on the stated hand; on the other hand to its mirror image."""
    for foot in FEET:
        found = mark(foot, BASE)
        there = located(BASE, from_first_mm=found.from_first_mm, from_second_mm=found.from_second_mm, hand=found.hand)
        assert (there.x_mm, there.y_mm) == pytest.approx((foot.x_mm, foot.y_mm), abs=1e-9)
        mirror = located(BASE, from_first_mm=found.from_first_mm, from_second_mm=found.from_second_mm, hand=Hand.LEFT)
        assert (mirror.x_mm, mirror.y_mm) == pytest.approx((-foot.x_mm, foot.y_mm), abs=1e-9)


def test_a_tape_along_the_baseline_makes_it_surer_along_only() -> None:
    """Least squares of two points (2 mm each) and a tape (1 mm): the length's u falls from 2.83 to 1/sqrt(1/8 + 1)."""
    a, b = Reference("A", 0.0, 0.0, 2.0), Reference("B", 3000.0, 0.0, 2.0)
    found = baseline(a, b, taped=tape(3003.0, u_mm=1.0))
    assert found.length_u_mm == pytest.approx(1.0 / math.sqrt(1.0 / 8.0 + 1.0))
    assert found.length_mm == pytest.approx(3000.0 + 3.0 * 8.0 / 9.0)
    assert (found.first.x_mm, found.second.x_mm) == pytest.approx((-4.0 / 3.0, 3000.0 + 4.0 / 3.0))
    assert found.covariance_mm2[1, 1] == found.covariance_mm2[3, 3] == 4.0
    assert found.tape_ratio == pytest.approx(3.0 / 3.0)
    assert baseline(a, b).tape_ratio is None


def test_offset_has_the_sign_of_its_hand() -> None:
    """Left of the walk from A to B is positive."""
    assert [EXACT.offset_mm(FloorPoint("p", 9.0, y)) for y in (-5.0, 5.0)] == [-5.0, 5.0]
    assert (Hand.LEFT.sign, Hand.RIGHT.sign) == (1, -1)


def test_the_best_pair_leaves_the_least_worst_ellipse() -> None:
    """A base across the axis beats one along it; a pair from which a foot cannot be marked comes last, with its reason."""
    far = Reference("bed end", 1500.0, 0.0, 1.0)
    middle = Reference("bed middle", 700.0, 0.0, 1.0)
    pairs = judge_pairs([far, LEFT_FOOT, RIGHT_FOOT, middle], (*FEET, FloorPoint("axis", -4000.0, 0.0)))
    assert len(pairs) == 6
    assert {pairs[0].first, pairs[0].second} == {"left foot", "right foot"}
    worst = [pair.mark_out.worst.ellipse.semi_major_mm for pair in pairs if pair.mark_out]
    assert worst == sorted(worst)
    refused = pairs[len(worst) :]
    assert frozenset(("bed end", "bed middle")) in {frozenset((pair.first, pair.second)) for pair in refused}
    assert all(pair.mark_out is None and "tapes cross at" in pair.reason for pair in refused)


def tape(value_mm: float, *, u_mm: float) -> Reading:
    """A taped length."""
    return Reading(value_mm=value_mm, u_mm=u_mm, source="tape", source_stated=True)


A, B = EXACT.first, EXACT.second
REFUSED: list[tuple[Callable[[], object], str]] = [
    (lambda: mark(FloorPoint("p", 500.0, 0.0), EXACT), r"'p' 0 mm beside the line A to B.*choose other reference points"),
    (lambda: mark(FloorPoint("p", 9000.0, 10.0), EXACT), r"tapes cross at 0 degrees.*choose other reference points"),
    (lambda: mark(FloorPoint("p", 1500.0, 10.0), EXACT), r"tapes cross at 179 degrees.*choose other reference points"),
    (
        lambda: mark(FloorPoint("p", 0.0, 4.0), EXACT),
        r"4 mm beside the line A to B, 9 mm of doubt.*choose other reference points",
    ),
    (lambda: mark(FloorPoint("p", 0.0, 900.0), EXACT, source="eye"), r"source of the distances 'eye'.*write one of tape"),
    (lambda: mark(FloorPoint("p", 0.0, 900.0), EXACT, source="manual"), r"source of the distances 'manual'.*write one of tape"),
    (lambda: mark(FloorPoint("p", 0.0, 900.0), EXACT, confidence_share=1.0), r"confidence 1\.0.*give the confidence"),
    (lambda: mark_out([], EXACT), r"points none.*give the points to be marked"),
    (lambda: mark_out([FEET[0], FloorPoint("foot 1", 9.0, 9.0)], BASE), r"'foot 1' twice.*rename one of them"),
    (lambda: mark_out([FEET[0], FloorPoint("p", -500.0, 300.0)], BASE), r"'foot 1' and 'p' in one place.*strike out one"),
    (lambda: mark_out(FEET, BASE).diagonals[0].holds(0.0), r"taped diagonal 0\.0.*measure the taped diagonal again"),
    (lambda: judge_pairs([A], FEET), r"reference points 1,.*find another point at the lathe"),
    (lambda: judge_pairs([A, B, A], FEET), r"reference point 'A' twice.*rename one of them"),
    (lambda: judge_pairs([A, B], []), r"points none.*give the points"),
    (lambda: judge_pairs([A, B], FEET, source="eye"), r"source of the distances 'eye'.*write one of tape"),
    (
        lambda: judge_pairs([A, B], [FloorPoint("p", -4000.0, 0.0)]),
        r"no pair from which every point can be marked.*find a reference point farther to the side",
    ),
    (lambda: baseline(A, Reference("C", 0.0, 0.0, 1.0)), r"'A' and 'C' in one place.*choose another one"),
    (lambda: baseline(A, B, taped=tape(3000.0, u_mm=0.0)), r"taped baseline exact.*state how it was read"),
    (
        lambda: baseline(A, B, taped=tape(3010.0, u_mm=1.0)),
        r"3010\.0 mm where the reference points are 3000\.0 mm apart, expected agreement within 3\.0 mm; tape it again and find",
    ),
    (lambda: FloorPoint("p", math.nan, 0.0), r"x of p nan.*correct the x of p"),
    (lambda: FloorPoint("p", 0.0, math.inf), r"y of p inf.*correct the y of p"),
    (lambda: Reference("A", math.nan, 0.0, 1.0), r"x of A nan.*correct"),
    (lambda: Reference("A", 0.0, math.nan, 1.0), r"y of A nan.*correct"),
    (lambda: Reference("A", 0.0, 0.0, -1.0), r"uncertainty of A -1\.0.*correct"),
    (lambda: located(EXACT, from_first_mm=0.0, from_second_mm=1.0, hand=Hand.LEFT), r"distance from the first.*measure"),
    (lambda: located(EXACT, from_first_mm=1.0, from_second_mm=0.0, hand=Hand.LEFT), r"distance from the second.*measure"),
    (
        lambda: located(EXACT, from_first_mm=1000.0, from_second_mm=1900.0, hand=Hand.LEFT),
        r"1000\.0 mm and 1900\.0 mm over a baseline of 3000\.0 mm.*tape both again, each from its own reference point",
    ),
    (lambda: located(EXACT, from_first_mm=1000.0, from_second_mm=2000.0, hand=Hand.LEFT), r"meet beside the baseline; tape both"),
]


@pytest.mark.parametrize(("refused", "told"), REFUSED)
def test_marks_that_cannot_be_are_refused_with_what_to_do(refused: Callable[[], object], told: str) -> None:
    """Each refusal names what was given and ends in the next action."""
    with pytest.raises(UsageError, match=told):
        refused()


def test_the_least_crossing_is_exact() -> None:
    """Just inside the angle a mark is made."""
    half = math.radians(LEAST_CROSSING_DEG * 1.0001 / 2.0)
    assert mark(FloorPoint("p", 1500.0, 1500.0 / math.tan(half)), EXACT).crossing_deg == pytest.approx(
        LEAST_CROSSING_DEG, rel=2e-4
    )
