"""A line of reference: wire, laser beam or straightedge, laid along the spindle's axis and carried back to the loader.

It is centred on the spindle at two places. What it misses there is carried along it, grows with the distance, and is shared by
every reading taken from it: a line set on a short spindle is a poor judge of a far end, and the figures say so.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from standoff.bar.checks import require_finite, require_not_negative
from standoff.errors import UsageError
from standoff.site.axis import Station
from standoff.site.fit import Observation
from standoff.site.wire import Wire


@dataclass(frozen=True, slots=True, kw_only=True)
class ReferenceLine:
    """A line centred on the spindle's axis at two places, each with the same standard uncertainty, up and aside [mm].

    `wire` is given where the line is a wire and hangs; a beam and a straightedge are straight, and what they are not straight by
    belongs into the uncertainty of each reading (a straightedge is read again turned over).
    """

    name: str
    rear_set_mm: float
    front_set_mm: float
    set_u_mm: float
    wire: Wire | None = None

    def __post_init__(self) -> None:
        require_finite("rear setting point", self.rear_set_mm)
        require_finite("front setting point", self.front_set_mm)
        require_not_negative(f"uncertainty of setting {self.name}", self.set_u_mm)
        if self.rear_set_mm >= self.front_set_mm:
            raise UsageError(
                what=f"setting points of {self.name}",
                given=f"{self.rear_set_mm} and {self.front_set_mm} mm",
                allowed="the rear one behind the front one",
                action="set the line at two places of the spindle, as far apart as they go",
            )

    def bend_mm(self, x_mm: float) -> float:
        """How high the line itself is here above the straight line through its setting points [mm]."""
        if self.wire is None:
            return 0.0
        return self.wire.bend_mm(x_mm=x_mm, rear_set_mm=self.rear_set_mm, front_set_mm=self.front_set_mm)

    def height(self, name: str, station: Station, *, above_mm: float, u_mm: float) -> Observation:
        """How high is the loader here, seen from the spindle, if it was read this far above the line?

        The reading plus the line's own height. Shared with the line's other readings: what it misses at its setting points, by
        the lever, and the error of its sag.

        Args: where it was read; how far the loader's axis (or target) is above the line, and its standard uncertainty [mm].
        Returns: a height [mm].
        Raises: UsageError for a place that is not on the wire.
        Validity: as the wire's; a beam through still air of even temperature.
        Source: JCGM 100:2008, 5.2.2 and F.1.2.3 (errors in common).
        """
        bend_mm = self.bend_mm(station.x_mm)
        shared = self._setting(station, "up")
        if self.wire is not None and max(self.wire.sag_mm, self.wire.sag_u_mm) > 0.0:
            off_mm = replace(self.wire, sag_mm=self.wire.sag_u_mm).bend_mm(
                x_mm=station.x_mm, rear_set_mm=self.rear_set_mm, front_set_mm=self.front_set_mm
            )
            shared += ((f"sag of {self.name}", off_mm),)
        return Observation(name, station.upright(), above_mm + bend_mm, u_mm, shared)

    def aside(self, name: str, station: Station, *, left_mm: float, u_mm: float) -> Observation:
        """How far left is the loader here, seen from the spindle, if it was read this far left of the line?

        As `height`, without sag.

        Args: where it was read; how far the loader's axis (or target) is left of the line, and its standard uncertainty [mm].
        Returns: a sideways distance [mm].
        Validity: as `height`; no draught on a wire.
        Source: JCGM 100:2008, 5.2.2 and F.1.2.3 (errors in common).
        """
        return Observation(name, station.sideways(), left_mm, u_mm, self._setting(station, "aside"))

    def _setting(self, station: Station, way: str) -> tuple[tuple[str, float], ...]:
        """What one standard deviation at each setting point does here, by the lever."""
        length_mm = self.front_set_mm - self.rear_set_mm
        rear = (self.front_set_mm - station.x_mm) / length_mm
        front = (station.x_mm - self.rear_set_mm) / length_mm
        return (
            (f"{self.name} at its rear point, {way}", rear * self.set_u_mm),
            (f"{self.name} at its front point, {way}", front * self.set_u_mm),
        )
