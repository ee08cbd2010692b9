"""Chains of joints: symmetric block-tridiagonal matrices with blocks of 2 x 2, many cases at once.

A joint moves sideways and turns: two rows. Eliminating joint after joint (Gauss, no pivoting) leaves pivot blocks whose negative
eigenvalues number those of the whole matrix (Sylvester's law of inertia): that is the Sturm count on which every mode is
certified.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from standoff.bar.mesh import Floats, Ints, Mesh

TINIEST = 1e-100
"""What stands in for a pivot determinant of zero, so that hitting an eigenvalue exactly divides nothing by zero."""


@dataclass(frozen=True, slots=True, eq=False)
class Chain:
    """Diagonal blocks (n + 1, c): ww, wt, tt; to the next joint (n, c): first letter this row, second the next one's."""

    ww: Floats
    wt: Floats
    tt: Floats
    next_ww: Floats
    next_wt: Floats
    next_tw: Floats
    next_tt: Floats

    def minus(self, other: Chain, times: Floats) -> Chain:
        """This chain minus a multiple (one number for each case) of another."""
        return Chain(
            self.ww - times * other.ww,
            self.wt - times * other.wt,
            self.tt - times * other.tt,
            self.next_ww - times * other.next_ww,
            self.next_wt - times * other.next_wt,
            self.next_tw - times * other.next_tw,
            self.next_tt - times * other.next_tt,
        )

    def times(self, w: Floats, t: Floats) -> tuple[Floats, Floats]:
        """Matrix times vector: sideways and turning parts; joints along axis 0, cases along the last, several vectors between."""
        ww, wt, tt, a, b, c, d = (_among(x, w.ndim) for x in self.blocks())
        force, moment = ww * w + wt * t, wt * w + tt * t
        force[:-1] += a * w[1:] + b * t[1:]
        moment[:-1] += c * w[1:] + d * t[1:]
        force[1:] += a * w[:-1] + c * t[:-1]
        moment[1:] += b * w[:-1] + d * t[:-1]
        return force, moment

    def blocks(self) -> tuple[Floats, ...]:
        """The seven arrays in their order."""
        return self.ww, self.wt, self.tt, self.next_ww, self.next_wt, self.next_tw, self.next_tt


@dataclass(frozen=True, slots=True, eq=False)
class Elimination:
    """A chain after elimination: pivot blocks, what each joint passes on, determinants, and the count of negative eigenvalues."""

    ww: Floats
    wt: Floats
    tt: Floats
    determinants: Floats
    passed: tuple[Floats, Floats, Floats, Floats]
    negatives: Ints

    def solve(self, force: Floats, moment: Floats) -> tuple[Floats, Floats]:
        """Deflection and slope under loads; joints along axis 0, cases along the last, several loads between."""
        ndim = force.ndim
        x11, x12, x21, x22 = (_among(x, ndim) for x in self.passed)
        ww, wt, tt, det = (_among(x, ndim) for x in (self.ww, self.wt, self.tt, self.determinants))
        w, t = force.copy(), moment.copy()
        last = len(w) - 1
        for i in range(last):
            w[i + 1] -= x11[i] * w[i] + x21[i] * t[i]
            t[i + 1] -= x12[i] * w[i] + x22[i] * t[i]
        w, t = (tt * w - wt * t) / det, (ww * t - wt * w) / det
        for i in range(last - 1, -1, -1):
            w[i] -= x11[i] * w[i + 1] + x12[i] * t[i + 1]
            t[i] -= x21[i] * w[i + 1] + x22[i] * t[i + 1]
        return w, t


def eliminate(chain: Chain) -> Elimination:
    """Gauss elimination of every case, from the front joint to the rear one."""
    ww, wt, tt = chain.ww.copy(), chain.wt.copy(), chain.tt.copy()
    det = np.empty_like(ww)
    negatives = np.zeros(ww.shape[1], dtype=np.int64)
    passed = (
        np.empty_like(chain.next_ww),
        np.empty_like(chain.next_ww),
        np.empty_like(chain.next_ww),
        np.empty_like(chain.next_ww),
    )
    for i in range(len(ww)):
        p, q, r = ww[i], wt[i], tt[i]
        here = p * r - q * q
        here[np.abs(here) < TINIEST] = TINIEST
        det[i] = here
        negatives += np.where(here < 0.0, 1, np.where(p + r < 0.0, 2, 0))
        if i + 1 < len(ww):
            a, b, c, d = chain.next_ww[i], chain.next_wt[i], chain.next_tw[i], chain.next_tt[i]
            p, q, r = p / here, q / here, r / here
            x11, x12, x21, x22 = r * a - q * c, r * b - q * d, p * c - q * a, p * d - q * b
            passed[0][i], passed[1][i], passed[2][i], passed[3][i] = x11, x12, x21, x22
            ww[i + 1] -= a * x11 + c * x21
            wt[i + 1] -= a * x12 + c * x22
            tt[i + 1] -= b * x12 + d * x22
    return Elimination(ww, wt, tt, det, passed, negatives)


def joined(bar: Mesh, element: tuple[Floats, ...], lateral: Floats, rotational: Floats, *, held: int) -> Chain:
    """The pieces' six entries and the joints' own, put together; what is held rigidly is taken out (diagonal `held`, no
    coupling).

    The entries a, b, c, d, e, f of a piece stand for [[a, b], [b, e]] at its front joint, [[a, -b], [-b, e]] at its rear joint
    and [[c, d], [-d, f]] between them, which its symmetry allows.
    """
    a, b, c, d, e, f = element
    free_w, free_t = np.isfinite(bar.lateral_n_per_mm), np.isfinite(bar.rotational_n_mm)
    ww, wt, tt = np.zeros_like(free_w, dtype=float), np.zeros_like(free_w, dtype=float), np.zeros_like(free_w, dtype=float)
    for diagonal, entry, mirrored in ((ww, a, a), (wt, b, -b), (tt, e, e)):
        diagonal[:-1] += entry
        diagonal[1:] += mirrored
    return Chain(
        np.where(free_w, ww + np.where(free_w, lateral, 0.0), held),
        wt * (free_w & free_t),
        np.where(free_t, tt + np.where(free_t, rotational, 0.0), held),
        c * (free_w[:-1] & free_w[1:]),
        d * (free_w[:-1] & free_t[1:]),
        -d * (free_t[:-1] & free_w[1:]),
        f * (free_t[:-1] & free_t[1:]),
    )


def _among(array: Floats, ndim: int) -> Floats:
    """An array of joints by cases, with a middle axis of length 1 where there are several vectors."""
    return array if ndim == array.ndim else array[:, None, :]
