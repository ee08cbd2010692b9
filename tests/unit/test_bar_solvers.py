"""Both solvers from inside: against dense matrices, against closed formulas, and at the modes that iteration misses."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from standoff.bar.beam import Beam, beam
from standoff.bar.bracket import WIDTH, lowest
from standoff.bar.chain import Chain, eliminate
from standoff.bar.elements import CERTAIN, lowest_by_elements, modes, stiffness_and_mass
from standoff.bar.materials import material
from standoff.bar.mesh import Floats, Mesh, mesh
from standoff.bar.section import Section, Shape
from standoff.bar.stiffness import count_below
from standoff.bar.supports import Mass, Pusher, Stretch, Support, Supports, clamped, rigid
from standoff.errors import UsageError

BAR = beam(Section(Shape.ROUND, 20.0), material("steel"))
SLENDER = Beam(BAR.ei_n_mm2, BAR.mass_kg_m)
PINNED = Supports((rigid("front", at_mm=0.0), rigid("rear", at_mm=1000.0)))
MIXED = Supports(
    (Support("front", 0.0, 2000.0, 1e6), rigid("bushing", at_mm=300.0), clamped("nose", at_mm=900.0)),
    stretches=(Stretch("channel", 1000.0, 1400.0, 0.05),),
    pusher=Pusher(0.8, 30.0),
    masses=(Mass("ring", 600.0, 0.3),),
    axial_n=-500.0,
)
# Iteration alone ends in the second mode here, 40 % above the lowest: the rear span hides the free front end from it.
HIDDEN = Supports(
    (Support("a", 418.32, 82.7), Support("b", 1560.72, 354.4), Support("c", 2384.88, 14010.8), Support("d", 2877.50, 5416.5))
)


def dense(chain: Chain, case: int = 0) -> np.ndarray:
    """A case of a chain as one square matrix, rows w0, t0, w1, t1 and so on."""
    ww, wt, tt, next_ww, next_wt, next_tw, next_tt = (x[:, case] for x in chain.blocks())
    full = np.zeros((2 * len(ww), 2 * len(ww)))
    for i in range(len(ww)):
        full[2 * i : 2 * i + 2, 2 * i : 2 * i + 2] = [[ww[i], wt[i]], [wt[i], tt[i]]]
    for i in range(len(next_ww)):
        block = np.array([[next_ww[i], next_wt[i]], [next_tw[i], next_tt[i]]])
        full[2 * i : 2 * i + 2, 2 * i + 2 : 2 * i + 4] = block
        full[2 * i + 2 : 2 * i + 4, 2 * i : 2 * i + 2] = block.T
    return full


def flat(w: Floats, t: Floats) -> np.ndarray:
    """Sideways and turning parts in the rows of the dense matrix."""
    return np.stack([w, t], axis=1).reshape(-1)


def pinned_rad_per_s(bar: Beam, mode: int, *, span_mm: float, axial_n: float = 0.0, bedding_mpa: float = 0.0) -> float:
    """A pinned span's critical frequency with shear, rotary inertia, feed force and bedding: waves fit exactly."""
    k2, m, r = (mode * math.pi / span_mm) ** 2, bar.mass_kg_m * 1e-6, bar.rotary_kg_mm * 1e-3
    if math.isinf(bar.shear_n):
        return math.sqrt((bar.ei_n_mm2 * k2**2 - axial_n * k2 + bedding_mpa) / m)
    side, turn = (bar.shear_n - axial_n) * k2 + bedding_mpa, bar.ei_n_mm2 * k2 + bar.shear_n
    # (side - m W2) (turn - r W2) = S2 k2
    a, b, c = m * r, -(side * r + turn * m), side * turn - bar.shear_n**2 * k2
    return math.sqrt((-b - math.sqrt(b * b - 4.0 * a * c)) / (2.0 * a))


def test_a_chain_is_the_matrix_it_stands_for() -> None:
    """Times, minus, solution and count of negative eigenvalues agree with dense matrices, with supports of every kind."""
    rigidity, inertia = stiffness_and_mass(mesh([BAR], [MIXED, replace(MIXED, axial_n=0.0)], [1500.0], pieces=12))
    rng = np.random.default_rng(1)
    for case in (0, 1):
        k, m = dense(rigidity, case), dense(inertia, case)
        frequencies = np.sort(np.linalg.eigvals(np.linalg.solve(k, m)).real)[::-1]
        square = float(1.0 / frequencies[4] + 1.0 / frequencies[5]) / 2.0
        shifted = rigidity.minus(inertia, np.full(2, square))
        assert np.allclose(dense(shifted, case), k - square * m)
        done = eliminate(shifted)
        assert done.negatives[case] == (np.linalg.eigvalsh(k - square * m) < 0.0).sum() == 5
        w, t = rng.normal(size=(2, 13, 2))
        load = rigidity.times(w, t)
        assert np.allclose(flat(load[0][:, case], load[1][:, case]), k @ flat(w[:, case], t[:, case]))
        back = eliminate(rigidity).solve(*load)
        assert np.allclose(back[0], w, rtol=1e-6, atol=1e-6)
        assert np.allclose(back[1], t, rtol=1e-6, atol=1e-6)


def test_several_loads_go_through_together() -> None:
    """With an axis of vectors in between, each comes out as it does alone."""
    rigidity, _ = stiffness_and_mass(mesh([BAR], [MIXED], [1500.0, 1200.0], pieces=8))
    w, t = np.random.default_rng(2).normal(size=(2, 9, 3, 2))
    many = eliminate(rigidity).solve(*rigidity.times(w, t))
    for i in range(3):
        alone = eliminate(rigidity).solve(*rigidity.times(w[:, i], t[:, i]))
        assert np.allclose(many[0][:, i], alone[0])
        assert np.allclose(many[1][:, i], alone[1])


def test_a_pivot_of_zero_divides_nothing() -> None:
    """A bar that nothing holds has a singular matrix; its elimination stays finite."""
    bar = mesh([SLENDER], [PINNED], [1000.0])
    free = replace(bar, lateral_n_per_mm=np.zeros_like(bar.lateral_n_per_mm))
    done = eliminate(stiffness_and_mass(free)[0])
    assert np.isfinite(done.determinants).all()
    empty = Chain(*(np.zeros((n, 1)) for n in (2, 2, 2, 1, 1, 1, 1)))
    assert np.isfinite(eliminate(empty).determinants).all()


@pytest.mark.parametrize("bar", [SLENDER, BAR], ids=["slender", "with shear"])
@pytest.mark.parametrize(("axial_n", "bedding_mpa"), [(0.0, 0.0), (5000.0, 0.0), (-5000.0, 0.0), (0.0, 0.5), (8000.0, 2.0)])
@pytest.mark.parametrize("span_mm", [150.0, 1000.0])
def test_every_mode_of_a_pinned_span_is_counted(bar: Beam, axial_n: float, bedding_mpa: float, span_mm: float) -> None:
    """Just below mode n there are n - 1, just above there are n, with shear, rotary inertia, feed force and bedding."""
    beds = (Stretch("bed", 0.0, span_mm, bedding_mpa),) if bedding_mpa else ()
    supports = Supports((rigid("a", at_mm=0.0), rigid("b", at_mm=span_mm)), stretches=beds, axial_n=axial_n)
    case = mesh([bar], [supports], [span_mm])
    exact = sorted(pinned_rad_per_s(bar, n, span_mm=span_mm, axial_n=axial_n, bedding_mpa=bedding_mpa) for n in range(1, 9))
    for number, speed in enumerate(exact):
        assert count_below(case, np.array([speed * (1.0 - 1e-7)])).below[0] == number
        assert count_below(case, np.array([speed * (1.0 + 1e-7)])).below[0] == number + 1


def test_modes_inside_a_clamped_piece_are_counted() -> None:
    """With both ends held in place and direction nothing moves at the joints, yet each mode is counted."""
    case = mesh([SLENDER], [Supports((clamped("a", at_mm=0.0), clamped("b", at_mm=1000.0)))], [1000.0])
    assert case.piece_mm.shape == (1, 1)
    # Roots of cos x cosh x = 1, from memory.
    speeds = [(x / 1000.0) ** 2 * math.sqrt(SLENDER.ei_n_mm2 / (SLENDER.mass_kg_m * 1e-6)) for x in (4.73004, 7.85320, 10.99561)]
    for number, speed in enumerate(speeds):
        assert count_below(case, np.array([speed * 0.9999])).below[0] == number
        assert count_below(case, np.array([speed * 1.0001])).below[0] == number + 1


def test_the_count_does_not_depend_on_the_cutting() -> None:
    """Cut into 1 or 30 pieces the bar has the same modes below any frequency, and the determinant's sign goes with the count."""
    coarse, fine = (mesh([BAR], [MIXED], [1500.0], pieces=n) for n in (1, 30))
    first = lowest(coarse).low_rad_per_s[0]
    for factor in (0.5, 1.5, 3.0, 8.0, 20.0, 60.0):
        one, many = (count_below(case, np.array([first * factor])) for case in (coarse, fine))
        assert one.below[0] == many.below[0]
    assert count_below(coarse, np.array([first * 0.9])).sign[0] == 1
    assert count_below(coarse, np.array([first * 1.01])).sign[0] == -1


def test_brackets_are_certified_and_narrow() -> None:
    """No mode below the lower end, one below the upper, and no more than a millionth between; many cases at once."""
    cases = mesh([BAR, SLENDER], [MIXED], [250.0 + 50.0 * i for i in range(12)])
    found = lowest(cases)
    width = found.high_rad_per_s / found.low_rad_per_s - 1.0
    assert (width > 0.0).all()
    assert (width < 1.001 * WIDTH).all()
    assert (count_below(cases, found.low_rad_per_s).below == 0).all()
    assert (count_below(cases, found.high_rad_per_s).below == 1).all()


@pytest.mark.parametrize("softness", [1e-15, 1e-300])
def test_supports_that_hardly_hold_are_refused(softness: float) -> None:
    """Where rounding outweighs the supports no speed is invented."""
    hardly = Supports((Support("a", 0.0, softness), Support("b", 1000.0, softness)))
    with pytest.raises(UsageError, match=r"supports that hardly hold it.*check the stiffness of the supports and their units"):
        lowest(mesh([BAR], [hardly], [1500.0]))


def test_buckled_bars_stand_beside_others() -> None:
    """In one call a buckled bar gets 0 and the others the speed they have alone; a call of buckled bars only gets zeros."""
    force_n = math.pi**2 * SLENDER.ei_n_mm2 / 1000.0**2
    pushed = [replace(PINNED, axial_n=force_n * x) for x in (1.01, 0.5, 2.0)]
    found = lowest(mesh([SLENDER], pushed, [1000.0]))
    assert (found.high_rad_per_s == 0.0).tolist() == [True, False, True]
    assert found.low_rad_per_s[1] == pytest.approx(pinned_rad_per_s(SLENDER, 1, span_mm=1000.0) * math.sqrt(0.5), rel=2e-6)
    assert lowest_by_elements(mesh([SLENDER], pushed, [1000.0], pieces=12))[[0, 2]].tolist() == [0.0, 0.0]
    none_left = lowest(mesh([SLENDER], pushed[::2], [1000.0]))
    assert (none_left.low_rad_per_s.tolist(), none_left.high_rad_per_s.tolist()) == ([0.0, 0.0], [0.0, 0.0])


@pytest.mark.parametrize("elements", [3, 6, 12])
def test_elements_err_high_by_the_stated_share(elements: int) -> None:
    """A pinned slender span: high by (beta h)^4/1440, to a fifth of that."""
    found = lowest_by_elements(mesh([SLENDER], [PINNED], [1000.0], pieces=elements))[0]
    excess = found / pinned_rad_per_s(SLENDER, 1, span_mm=1000.0) - 1.0
    assert excess == pytest.approx((math.pi / elements) ** 4 / 1440.0, rel=0.2)


@pytest.mark.parametrize("axial_n", [-5000.0, 0.0, 5000.0])
def test_both_solvers_agree(axial_n: float) -> None:
    """Exact and by elements, at lengths from three diameters on, on supports of every kind: the elements are a trace higher."""
    supports, lengths = replace(MIXED, axial_n=axial_n), [60.0, 250.0, 320.0, 700.0, 1100.0, 1500.0, 2500.0]
    exact = lowest(mesh([BAR], [supports], lengths))
    elements = lowest_by_elements(mesh([BAR], [supports], lengths, pieces=60))
    assert (elements >= exact.low_rad_per_s * (1.0 - CERTAIN)).all()
    assert elements == pytest.approx(exact.high_rad_per_s, rel=1e-4)


def test_the_lowest_mode_is_found_where_iteration_misses_it() -> None:
    """The certificate sends this bar to be closed in by counts; without it the elements would answer 40 % too high."""
    case = mesh([beam(Section(Shape.ROUND, 16.0), material("steel"))], [HIDDEN, PINNED], [3000.0], pieces=24)
    exact = lowest(case).low_rad_per_s
    assert lowest_by_elements(case) == pytest.approx(exact, rel=1e-3)


def test_modes_are_shapes_of_unit_mass() -> None:
    """A pinned span swings in sine waves of n^2 times the frequency, each sqrt(2/mass) high, orthogonal in mass."""
    case = mesh([SLENDER], [PINNED], [1000.0], pieces=40)
    found = modes(case, count=3)
    tonnes = SLENDER.mass_kg_m * 1e-3
    x = case.joints_mm()[:, 0]
    for n in range(3):
        assert math.sqrt(found.square[n, 0]) == pytest.approx(pinned_rad_per_s(SLENDER, n + 1, span_mm=1000.0), rel=3e-3)
        wave = np.sqrt(2.0 / tonnes) * np.sin((n + 1) * np.pi * x / 1000.0)
        assert np.abs(np.abs(found.deflection[:, n, 0]) - np.abs(wave)).max() < 0.02 * np.abs(wave).max()
    _, inertia = stiffness_and_mass(case)
    mw, mt = inertia.times(found.deflection, found.slope)
    products = np.einsum("nic,njc->ij", found.deflection, mw) + np.einsum("nic,njc->ij", found.slope, mt)
    assert np.allclose(products, np.eye(3), atol=1e-6)


@pytest.mark.parametrize(("supports", "length_mm"), [(HIDDEN, 3000.0), (MIXED, 1500.0)])
def test_modes_are_those_of_the_dense_matrices(supports: Supports, length_mm: float) -> None:
    """Four modes against all eigenvalues of the same elements: the first to 1e-7 of its square, the last to 1e-4."""
    case = mesh([BAR], [supports], [length_mm], pieces=24)
    k, m = (dense(chain) for chain in stiffness_and_mass(case))
    exact = 1.0 / np.sort(np.linalg.eigvals(np.linalg.solve(k, m)).real)[::-1][:4]
    found = modes(case, count=4).square[:, 0]
    assert found[0] == pytest.approx(exact[0], rel=1e-7)
    assert found == pytest.approx(exact, rel=1e-4)


def test_the_first_mode_of_a_buckled_bar_has_no_frequency() -> None:
    """Its square is negative, and its shape is the half wave into which the bar bends."""
    pushed = replace(PINNED, axial_n=1.5 * math.pi**2 * SLENDER.ei_n_mm2 / 1000.0**2)
    found = modes(mesh([SLENDER], [pushed], [1000.0], pieces=20), count=1)
    assert found.square[0, 0] < 0.0
    assert np.argmax(np.abs(found.deflection[:, 0, 0])) == 10


def test_a_mesh_is_not_changed_by_solving_it() -> None:
    """The arrays of a mesh are the same after both solvers and the modes have used them."""
    case = mesh([BAR], [MIXED], [1500.0], pieces=12)
    kept = Mesh(*(getattr(case, name).copy() for name in Mesh.__slots__))
    lowest(case)
    lowest_by_elements(case)
    modes(case, count=2)
    assert all(np.array_equal(getattr(case, name), getattr(kept, name)) for name in Mesh.__slots__)
