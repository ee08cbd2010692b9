"""Many bars at once, cut into pieces: the arrays on which both solvers work.

A case is one bar of one length on its supports. Pieces are uniform; their joints lie where a support stands, or where a bedding
or oil begins or ends. All cases have the same number of pieces (long pieces are cut further), so that one array operation serves
them all. Axis 0 runs along the bar, axis 1 over the cases.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from standoff.bar.beam import Beam
from standoff.bar.checks import require_lengths
from standoff.bar.supports import SNAP_MM, Supports
from standoff.errors import UsageError

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Flags = NDArray[np.bool_]


@dataclass(frozen=True, slots=True, eq=False)
class Mesh:
    """n pieces, n + 1 joints, c cases: arrays of shape (n, c), (n + 1, c) and (c,), in this order."""

    piece_mm: Floats
    bedding_mpa: Floats
    mass_kg_m: Floats
    lateral_n_per_mm: Floats
    rotational_n_mm: Floats
    joint_kg: Floats
    ei_n_mm2: Floats
    axial_n: Floats
    shear_n: Floats
    rotary_kg_mm: Floats

    @property
    def cases(self) -> int:
        """How many cases."""
        return int(self.ei_n_mm2.shape[0])

    def take(self, which: Flags | slice) -> Mesh:
        """Some of the cases."""
        return Mesh(*(getattr(self, f.name)[..., which] for f in fields(self)))

    def joints_mm(self) -> Floats:
        """Where the joints lie, from the front face; shape (n + 1, c). [mm]"""
        return np.vstack([np.zeros((1, self.cases)), np.cumsum(self.piece_mm, axis=0)])

    def middles_mm(self) -> Floats:
        """Where the middles of the pieces lie; shape (n, c). [mm]"""
        return np.cumsum(self.piece_mm, axis=0) - self.piece_mm / 2.0


def mesh(
    beams: Sequence[Beam],
    supports: Sequence[Supports],
    lengths_mm: Sequence[float],
    *,
    pieces: int = 1,
    marks_mm: Sequence[float] = (),
) -> Mesh:
    """Every bar at every length: case number = length's number times bars + bar's number.

    Args:
        beams: the bars; a single one goes with all the supports.
        supports: one for each bar; a single one goes with all bars.
        lengths_mm: lengths [mm].
        pieces: at least so many pieces in each case.
        marks_mm: further places at which a joint is wanted [mm].

    Raises:
        UsageError: no bar, bars and supports that do not go together, a bar that nothing holds, a length that is no positive
        number.
    """
    beams, supports = paired(beams, supports)
    lengths = require_lengths(lengths_mm)
    kinds: dict[object, list[int]] = {}
    for number, one in enumerate(supports):
        # The counts tell layouts apart that share their places by chance.
        kinds.setdefault((one.layout(), len(one.points), len(one.stretches)), []).append(number)
        one.require_held(length_mm=min(lengths))
    cuts = {(key, length): joints_of(supports[kinds[key][0]], length, marks_mm) for key in kinds for length in lengths}
    most = max(pieces, *(len(joints) - 1 for joints in cuts.values()))
    parts = []
    for length in lengths:
        one_length = _empty(beams, supports, most, length)
        for key, members in kinds.items():
            _fill(one_length, np.array(members), refined(cuts[key, length], most), [supports[m] for m in members], beams)
        parts.append(one_length)
    return Mesh(*(np.concatenate([getattr(part, f.name) for part in parts], axis=-1) for f in fields(Mesh)))


def paired(beams: Sequence[Beam], supports: Sequence[Supports]) -> tuple[Sequence[Beam], Sequence[Supports]]:
    """As many bars as supports; a single one of either goes with all of the other."""
    count = max(len(beams), len(supports))
    if not min(len(beams), len(supports)) or min(len(beams), len(supports)) not in (1, count):
        raise UsageError(
            what="bars and supports",
            given=f"{len(beams)} and {len(supports)}",
            allowed="as many of one as of the other, or a single one",
            action="give each bar its supports",
        )
    return (beams if len(beams) == count else [*beams] * count), (supports if len(supports) == count else [*supports] * count)


def joints_of(supports: Supports, length_mm: float, marks_mm: Sequence[float] = ()) -> Floats:
    """The joints that a layout asks for at a length, those that nearly coincide merged, both ends of the bar kept. [mm]"""
    points, spans = supports.layout()
    inside = [x for x in (*points, *(end for span in spans for end in span), *marks_mm) if SNAP_MM < x < length_mm - SNAP_MM]
    joints = [0.0]
    for x in sorted(inside):
        if x - joints[-1] >= SNAP_MM:
            joints.append(x)
    return np.array([*joints, length_mm])


def refined(joints_mm: Floats, pieces: int) -> Floats:
    """The same joints with the longest pieces cut into equal parts, until there are so many pieces. [mm]"""
    gaps = np.diff(joints_mm)
    parts = np.ones(len(gaps), dtype=np.int64)
    for _ in range(pieces - len(gaps)):
        parts[np.argmax(gaps / parts)] += 1
    first = [joints_mm[i] + gaps[i] * np.arange(n) / n for i, n in enumerate(parts)]
    return np.concatenate([*first, joints_mm[-1:]])


def _empty(beams: Sequence[Beam], supports: Sequence[Supports], pieces: int, length_mm: float) -> Mesh:
    """The bars of one length before anything but the pusher is entered."""
    count = len(beams)
    lateral, rotational, joint = (np.zeros((pieces + 1, count)) for _ in range(3))
    lateral[-1] = [s.pusher.lateral_at(length_mm=length_mm) for s in supports]
    rotational[-1] = [s.pusher.rotational_n_mm for s in supports]
    joint[-1] = [s.pusher.mass_kg for s in supports]
    return Mesh(
        piece_mm=np.zeros((pieces, count)),
        bedding_mpa=np.zeros((pieces, count)),
        mass_kg_m=np.tile([b.mass_kg_m for b in beams], (pieces, 1)),
        lateral_n_per_mm=lateral,
        rotational_n_mm=rotational,
        joint_kg=joint,
        ei_n_mm2=np.array([b.ei_n_mm2 for b in beams]),
        axial_n=np.array([s.axial_n for s in supports]),
        shear_n=np.array([b.shear_n for b in beams]),
        rotary_kg_mm=np.array([b.rotary_kg_mm for b in beams]),
    )


def _fill(into: Mesh, columns: Ints, joints_mm: Floats, members: Sequence[Supports], beams: Sequence[Beam]) -> None:
    """Enter the pieces, supports, beddings and oil of the bars that share a layout."""
    into.piece_mm[:, columns] = np.diff(joints_mm)[:, None]
    middles, model = (joints_mm[1:] + joints_mm[:-1]) / 2.0, members[0]
    for number, point in enumerate(model.points):
        if point.at_mm <= joints_mm[-1]:
            nearest = int(np.argmin(np.abs(joints_mm - point.at_mm)))
            into.lateral_n_per_mm[nearest, columns] += [s.points[number].lateral_n_per_mm for s in members]
            into.rotational_n_mm[nearest, columns] += [s.points[number].rotational_n_mm for s in members]
    for number, mass in enumerate(model.masses):
        if mass.at_mm <= joints_mm[-1]:
            nearest = int(np.argmin(np.abs(joints_mm - mass.at_mm)))
            into.joint_kg[nearest, columns] += [s.masses[number].mass_kg for s in members]
    for number, stretch in enumerate(model.stretches):
        rows = np.flatnonzero((middles > stretch.from_mm) & (middles < stretch.to_mm))
        into.bedding_mpa[np.ix_(rows, columns)] += np.array([s.stretches[number].bedding_mpa for s in members])
    for number, oil in enumerate(model.oil):
        rows = np.flatnonzero((middles > oil.from_mm) & (middles < oil.to_mm))
        pairs = [(s.oil[number], beams[c]) for s, c in zip(members, columns, strict=True)]
        into.mass_kg_m[np.ix_(rows, columns)] += [o.added_kg_m(area_mm2=b.area_mm2, radius_mm=b.radius_mm) for o, b in pairs]
