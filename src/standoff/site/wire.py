"""The taut wire: how far it hangs, from its tension or from the note it gives when plucked.

A uniform wire hangs in a parabola (a catenary so flat that the difference does not show). What it is stretched between does not
matter to the reading, only how much it bends per length: that is its sag over its span.
"""

from __future__ import annotations

from dataclasses import dataclass

from standoff.bar.beam import GRAVITY_MM_PER_S2
from standoff.bar.checks import require_finite, require_not_negative, require_positive
from standoff.errors import UsageError


def sag_mm(*, weight_n_per_mm: float, tension_n: float, span_mm: float, at_mm: float) -> float:
    """How far does a taut wire hang below its chord?

    Parabola w a (L - a) / 2T. The true catenary hangs lower by a share of (wL/T)^2 / 48, below 1e-6 in practice: it errs low.

    Args:
        weight_n_per_mm: weight per length [N/mm].
        tension_n: pull [N].
        span_mm: distance between its supports L [mm].
        at_mm: distance a from one support [mm].

    Returns: the sag there [mm].
    Raises: UsageError for a weight, pull or span that is not above zero, or a place outside the span.
    Validity: sag below 1 % of the span; no stiffness of its own.
    Source: own computation (parabola of a uniform load); a millwright course prints a worked example, second hand.

    >>> round(sag_mm(weight_n_per_mm=1e-5, tension_n=100.0, span_mm=4000.0, at_mm=2000.0), 3)
    0.2
    """
    require_positive("weight of the wire", weight_n_per_mm)
    require_positive("tension of the wire", tension_n)
    if not 0.0 <= at_mm <= require_positive("span of the wire", span_mm):
        raise UsageError(what="place on the wire", given=f"{at_mm} mm", allowed=f"0 to {span_mm} mm", action="measure it again")
    return weight_n_per_mm * at_mm * (span_mm - at_mm) / (2.0 * tension_n)


def plucked_tension_n(*, mass_kg_m: float, span_mm: float, frequency_hz: float) -> float:
    """What pull does the note of a plucked wire tell of?

    T = 4 mu L^2 f^2 of an ideal string. The wire's own stiffness raises the note: it errs high, by a share of 4 sqrt(EI / T) / L
    where the ends are clamped (0.1 % for 0.4 mm of steel over 4 m), and a sag taken from it errs low.

    Args:
        mass_kg_m: mass per length [kg/m].
        span_mm: length that sounds [mm].
        frequency_hz: its lowest note [Hz].

    Returns: tension [N].
    Raises: UsageError for what is not above zero.
    Validity: thin wires, small swings, the lowest note.
    Source: string frequency formula (Mersenne); worked example second hand.

    >>> round(plucked_tension_n(mass_kg_m=0.001, span_mm=1000.0, frequency_hz=100.0), 6)
    40.0
    """
    require_positive("mass of the wire", mass_kg_m)
    span_m = require_positive("span of the wire", span_mm) / 1000.0
    return 4.0 * mass_kg_m * span_m**2 * require_positive("note of the wire", frequency_hz) ** 2


def plucked_sag_mm(frequency_hz: float) -> float:
    """How far does a wire hang at midspan, from its note alone?

    s = g / (32 f^2): weight and span drop out. The wire's stiffness raises the note, so it errs low.

    Args: frequency_hz, the lowest note [Hz].
    Returns: sag at midspan [mm].
    Raises: UsageError for a frequency that is not above zero.
    Validity: as `plucked_tension_n`.
    Source: own computation, from sag w L^2 / 8T and note (1 / 2L) sqrt(T / mu).

    >>> round(plucked_sag_mm(58.71), 4)
    0.0889
    """
    return GRAVITY_MM_PER_S2 / (32.0 * require_positive("note of the wire", frequency_hz) ** 2)


@dataclass(frozen=True, slots=True)
class Wire:
    """A wire between two supports at `rear_mm` and `front_mm`, its sag at midspan, and that sag's standard uncertainty [mm]."""

    rear_mm: float
    front_mm: float
    sag_mm: float
    sag_u_mm: float

    def __post_init__(self) -> None:
        require_finite("rear support of the wire", self.rear_mm)
        require_finite("front support of the wire", self.front_mm)
        require_not_negative("sag of the wire", self.sag_mm)
        require_not_negative("uncertainty of the sag", self.sag_u_mm)
        if self.rear_mm >= self.front_mm:
            given = f"{self.rear_mm} to {self.front_mm} mm"
            raise UsageError(what="wire", given=given, allowed="its rear support behind its front one", action="swap the two")

    def bend_mm(self, *, x_mm: float, rear_set_mm: float, front_set_mm: float) -> float:
        """How high is the wire here above the straight line through two of its own points?

        A parabola less its secant: 4 s (x - a)(x - b) / L^2. Between the two points it hangs below, beyond them it climbs ABOVE:
        a wire centred in the spindle at both ends of the bore is high at the loader.

        Args: x_mm, the place; rear_set_mm and front_set_mm, the two points, all along the axis [mm].
        Returns: height above the line through them, negative between them [mm].
        Raises: UsageError for a place that is not on the wire.
        Validity: as `sag_mm`.
        Source: own computation.

        >>> Wire(-4000.0, 0.0, 0.2, 0.0).bend_mm(x_mm=-2000.0, rear_set_mm=-4000.0, front_set_mm=0.0)
        -0.2
        """
        for place_mm in (x_mm, rear_set_mm, front_set_mm):
            if not self.rear_mm <= place_mm <= self.front_mm:
                allowed = f"{self.rear_mm} to {self.front_mm} mm, where the wire is"
                raise UsageError(what="place on the wire", given=f"{place_mm} mm", allowed=allowed, action="measure it again")
        return 4.0 * self.sag_mm * (x_mm - rear_set_mm) * (x_mm - front_set_mm) / (self.front_mm - self.rear_mm) ** 2


def weighed_wire(*, rear_mm: float, front_mm: float, weight_n_per_mm: float, tension_n: float, tension_u_n: float) -> Wire:
    """Which wire is it, from its weight and its pull?

    Midspan sag by `sag_mm`; its relative uncertainty is the tension's.

    Args: supports along the axis [mm]; weight per length [N/mm]; pull and its standard uncertainty [N].
    Returns: the wire with its sag [mm].
    Raises: UsageError as `sag_mm`.
    Validity: as `sag_mm`; a tension known to better than 10 %.
    Source: JCGM 100:2008, 5.1.6 (relative uncertainties).
    """
    span_mm = front_mm - rear_mm
    hang_mm = sag_mm(weight_n_per_mm=weight_n_per_mm, tension_n=tension_n, span_mm=span_mm, at_mm=span_mm / 2.0)
    return Wire(rear_mm, front_mm, hang_mm, hang_mm * require_not_negative("uncertainty of the tension", tension_u_n) / tension_n)


def plucked_wire(*, rear_mm: float, front_mm: float, frequency_hz: float, frequency_u_hz: float) -> Wire:
    """Which wire is it, from its note?

    Midspan sag by `plucked_sag_mm`; its relative uncertainty is twice the frequency's.

    Args: supports along the axis [mm]; lowest note and its standard uncertainty [Hz].
    Returns: the wire with its sag [mm].
    Raises: UsageError as `plucked_sag_mm`.
    Validity: as `plucked_tension_n`; a note known to better than 5 %.
    Source: JCGM 100:2008, 5.1.6 (relative uncertainties).
    """
    hang_mm = plucked_sag_mm(frequency_hz)
    share = 2.0 * require_not_negative("uncertainty of the note", frequency_u_hz) / frequency_hz
    return Wire(rear_mm, front_mm, hang_mm, hang_mm * share)
