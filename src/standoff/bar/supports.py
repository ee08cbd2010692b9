"""What holds the bar: point supports, stretches that bear it all along, the pusher at its rear end, oil, and the feed force.

    front face of the bar      support         support           rear end, pusher
    x = 0 |--------------------^---------------^-----------------| x = remaining length

x runs from the bar's front face (at the cut-off) BACKWARDS along the bar. Supports stand still in x; the rear end comes forward
as the bar is used up, so a support is reached while x is not beyond the remaining length. A clamped front end is a support at 0.
Infinity is a rigid support; real ones are not, which is why the speed is shown as a band.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace

from standoff.bar.checks import require_finite, require_not_negative, require_positive
from standoff.errors import UsageError

SNAP_MM = 0.5
"""Places closer than this count as one (the support moves, the bar's length stays): a piece of bar so short is so stiff that
rounding in it would outweigh everything else, and nobody places a support that exactly."""


@dataclass(frozen=True, slots=True)
class Support:
    """A place that holds the bar: stiffness against moving sideways, and against tilting [N mm per rad]."""

    name: str
    at_mm: float
    lateral_n_per_mm: float
    rotational_n_mm: float = 0.0

    def __post_init__(self) -> None:
        require_not_negative(f"distance of {self.name}", self.at_mm)
        require_not_negative(f"stiffness of {self.name}", self.lateral_n_per_mm, endless=True)
        require_not_negative(f"tilting stiffness of {self.name}", self.rotational_n_mm, endless=True)


@dataclass(frozen=True, slots=True)
class Stretch:
    """A length along which the bar is borne everywhere: stiffness per length, N/mm for each mm of bar (MPa)."""

    name: str
    from_mm: float
    to_mm: float
    bedding_mpa: float

    def __post_init__(self) -> None:
        _require_stretch(self.name, self.from_mm, self.to_mm)
        require_not_negative(f"bedding of {self.name}", self.bedding_mpa)


@dataclass(frozen=True, slots=True)
class Flooded:
    """A length of tube full of oil: the oil that the bar has to push aside moves with it."""

    name: str
    from_mm: float
    to_mm: float
    bore_mm: float
    density_kg_m3: float = 870.0

    def __post_init__(self) -> None:
        _require_stretch(self.name, self.from_mm, self.to_mm)
        require_positive(f"bore of {self.name}", self.bore_mm)
        require_positive(f"density of the oil in {self.name}", self.density_kg_m3)

    def added_kg_m(self, *, area_mm2: float, radius_mm: float) -> float:
        """How much heavier is a metre of bar in this oil?

        Displaced oil times (b^2 + R^2)/(b^2 - R^2), the potential flow round a cylinder in a concentric tube. No damping and no
        film stiffness: a full film has no direct stiffness near the middle, so none is claimed. With R over the corners it errs
        high.

        Args:
            area_mm2: area of the bar [mm2].
            radius_mm: radius of the bar over its corners [mm].

        Returns:
            Added mass per length [kg/m].

        Raises:
            UsageError: the bar does not pass the bore.

        Validity: the bar near the middle of the tube.
        Source: R.J. Fritz, J. Eng. Ind. 94 (1972) 167-173 (formula from memory).

        >>> round(Flooded("channel", 0.0, 3000.0, 40.0, 870.0).added_kg_m(area_mm2=314.16, radius_mm=10.0), 4)
        0.4555
        """
        bore_radius = self.bore_mm / 2.0
        if not require_positive("bar radius", radius_mm) < bore_radius:
            raise UsageError(
                what="bar over its corners",
                given=f"{2.0 * radius_mm:.2f} mm in {self.name}",
                allowed=f"less than the bore of {self.bore_mm} mm",
                action="choose a channel or liner that the bar passes",
            )
        narrow = (bore_radius**2 + radius_mm**2) / (bore_radius**2 - radius_mm**2)
        return narrow * self.density_kg_m3 * require_positive("section area", area_mm2) * 1e-6


@dataclass(frozen=True, slots=True)
class Pusher:
    """What hangs on the bar's rear end and travels with it: its mass, how its guide holds it, and the rod that reaches ahead.

    `guided_mm` are the tubes along the bar that guide the rod; ahead of the last of them it stands out like a bracket, and holds
    the bar's end the less the farther it reaches.
    """

    mass_kg: float = 0.0
    lateral_n_per_mm: float = 0.0
    rotational_n_mm: float = 0.0
    rod_ei_n_mm2: float = math.inf
    guided_mm: tuple[tuple[float, float], ...] = ()

    def __post_init__(self) -> None:
        require_not_negative("mass of the pusher", self.mass_kg)
        require_not_negative("stiffness of the pusher's guide", self.lateral_n_per_mm, endless=True)
        require_not_negative("tilting stiffness of the pusher's guide", self.rotational_n_mm, endless=True)
        if self.rod_ei_n_mm2 != math.inf:
            require_positive("bending stiffness of the pusher", self.rod_ei_n_mm2)
        for from_mm, to_mm in self.guided_mm:
            _require_stretch("guide of the pusher", max(from_mm, 0.0), to_mm)

    def overhang_mm(self, *, length_mm: float) -> float:
        """How far the rod stands out of the nearest tube behind the bar's end, at a remaining length. [mm]"""
        return max(min((from_mm - length_mm for from_mm, to_mm in self.guided_mm if to_mm >= length_mm), default=0.0), 0.0)

    def lateral_at(self, *, length_mm: float) -> float:
        """How stiffly is the bar's end held sideways at a remaining length?

        The guide and, where the rod stands out of it, a bracket 3 EI / a^3, one after the other. The rod's own mass is left out.

        Args:
            length_mm: remaining length of the bar [mm].

        Returns:
            Stiffness [N/mm].

        Validity: a rod clamped where its guide ends; it errs high where the guide lets it tilt.
        Source: the end deflection of a cantilever, W.T. Thomson, Theory of Vibration with Applications, 4th ed. (1993), table of
        spring stiffnesses (formula from memory).

        >>> Pusher(1.0, 100.0, rod_ei_n_mm2=1e9, guided_mm=((1000.0, 4000.0),)).lateral_at(length_mm=1000.0)
        100.0
        """
        overhang_mm = self.overhang_mm(length_mm=length_mm)
        if overhang_mm == 0.0 or self.lateral_n_per_mm == 0.0 or math.isinf(self.rod_ei_n_mm2):
            return self.lateral_n_per_mm
        return 1.0 / (1.0 / self.lateral_n_per_mm + overhang_mm**3 / (3.0 * self.rod_ei_n_mm2))


@dataclass(frozen=True, slots=True)
class Mass:
    """Something that hangs on the bar at one place, such as a ring that turns with it."""

    name: str
    at_mm: float
    mass_kg: float

    def __post_init__(self) -> None:
        require_not_negative(f"distance of {self.name}", self.at_mm)
        require_not_negative(f"mass of {self.name}", self.mass_kg)


@dataclass(frozen=True, slots=True)
class Supports:
    """Everything that holds one bar; `axial_n` is the feed force along it, compression positive.

    `liner` bears the bar only once it touches: the speed with it is the upper one, shown beside and never the basis of a limit.
    """

    points: tuple[Support, ...] = ()
    stretches: tuple[Stretch, ...] = ()
    pusher: Pusher = field(default_factory=Pusher)
    liner: tuple[Stretch, ...] = ()
    oil: tuple[Flooded, ...] = ()
    masses: tuple[Mass, ...] = ()
    axial_n: float = 0.0

    def __post_init__(self) -> None:
        require_finite("feed force", self.axial_n)

    def on_liner(self) -> Supports:
        """The same with the bar resting on its liner."""
        return replace(self, stretches=self.stretches + self.liner, liner=())

    def scaled(self, stiffness_factor: tuple[float, ...] | float) -> Supports:
        """The same with every stiffness times a factor: one for all, or one for each point, stretch, and the pusher's guide.

        A rigid or free part stays as it is.
        """
        count = len(self.points) + len(self.stretches) + 1
        each = (stiffness_factor,) * count if isinstance(stiffness_factor, (float, int)) else stiffness_factor
        if len(each) != count:
            raise UsageError(
                what="stiffness factors",
                given=f"{len(each)}",
                allowed=f"{count}",
                action="give one for each part that holds the bar",
            )
        for factor in each:
            require_positive("stiffness factor", factor)
        points = tuple(
            replace(p, lateral_n_per_mm=p.lateral_n_per_mm * f, rotational_n_mm=p.rotational_n_mm * f)
            for p, f in zip(self.points, each, strict=False)
        )
        beds = each[len(points) : -1]
        stretches = tuple(replace(s, bedding_mpa=s.bedding_mpa * f) for s, f in zip(self.stretches, beds, strict=True))
        guide = replace(
            self.pusher,
            lateral_n_per_mm=self.pusher.lateral_n_per_mm * each[-1],
            rotational_n_mm=self.pusher.rotational_n_mm * each[-1],
            rod_ei_n_mm2=self.pusher.rod_ei_n_mm2 * each[-1],
        )
        return replace(self, points=points, stretches=stretches, pusher=guide)

    def held(self, *, length_mm: float) -> bool:
        """Whether a bar of this length is held at all: it can neither be moved sideways nor tilted freely."""
        reached = [p for p in self.points if p.at_mm <= length_mm]
        lateral = [p.at_mm for p in reached if p.lateral_n_per_mm > 0.0]
        if self.pusher.lateral_n_per_mm > 0.0:
            lateral.append(length_mm)
        tilt = self.pusher.rotational_n_mm > 0.0 or any(p.rotational_n_mm > 0.0 for p in reached)
        bedded = any(s.bedding_mpa > 0.0 and min(s.to_mm, length_mm) - s.from_mm > 2.0 * SNAP_MM for s in self.stretches)
        apart = bool(lateral) and max(lateral) - min(lateral) > 2.0 * SNAP_MM
        return bedded or apart or (bool(lateral) and tilt)

    def require_held(self, *, length_mm: float) -> None:
        """Refuse a bar that nothing holds: it has no whip speed."""
        if not self.held(length_mm=require_positive("bar length", length_mm)):
            raise UsageError(
                what="bar",
                given=f"of {length_mm:.1f} mm that its supports do not hold",
                allowed="two supports, or one that also keeps it from tilting",
                action="give the front support a tilting stiffness, or judge longer bars only",
            )

    def layout(self) -> tuple[tuple[float, ...], tuple[tuple[float, float], ...]]:
        """Every place where something stands, and every stretch: supports of the same layout share a mesh. [mm]"""
        places = (*(p.at_mm for p in self.points), *(m.at_mm for m in self.masses))
        return places, (*((s.from_mm, s.to_mm) for s in self.stretches), *((o.from_mm, o.to_mm) for o in self.oil))


def rigid(name: str, *, at_mm: float) -> Support:
    """A support that holds the bar in place and lets it tilt (pinned)."""
    return Support(name, at_mm, math.inf)


def clamped(name: str, *, at_mm: float) -> Support:
    """A support that holds the bar in place and in direction."""
    return Support(name, at_mm, math.inf, math.inf)


def _require_stretch(name: str, from_mm: float, to_mm: float) -> None:
    """Refuse a stretch that begins before the bar or ends before it begins."""
    require_not_negative(f"beginning of {name}", from_mm)
    require_finite(f"end of {name}", to_mm)
    if to_mm <= from_mm:
        raise UsageError(
            what=name,
            given=f"from {from_mm} mm to {to_mm} mm",
            allowed="an end behind its beginning",
            action="measure both ends again",
        )
