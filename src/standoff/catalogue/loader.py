"""The bar loader as an entry: its stations and what it asks of the place it stands in."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from standoff.model.form import NOTHING, Form
from standoff.model.requirement import Comparison, Requirement, Side
from standoff.model.state import BAR_CHANGE, FRONT_LIMIT, STANDING
from standoff.model.station import Carrier, Station
from standoff.reading import Reading


@dataclass(frozen=True, slots=True)
class Loader:
    """A bar loader as measured or as its manual states it."""

    name: str
    readings: Mapping[str, Reading]

    def stations(self) -> tuple[Station, ...]:
        """Everything that moves with the loader, told from the nose-clamp face."""
        return (
            Station("clamp", Carrier.LOADER, NOTHING),
            Station("pusher-tip", Carrier.LOADER, Form.of("loader.pusher_reach")),
            Station("gripper", Carrier.LOADER, -Form.of("loader.gripper_behind_clamp")),
            Station("body-front", Carrier.LOADER, Form.of("loader.body_ahead_of_clamp")),
            Station("loader-rear", Carrier.LOADER, -Form.of("loader.length_behind_clamp")),
        )

    @property
    def bar(self) -> Form:
        """The longest bar of the job, or else the loader's capacity."""
        return Form.of("rules.longest_bar" if "rules.longest_bar" in self.readings else "loader.bar_capacity")

    def requirements(self) -> tuple[Requirement | Comparison, ...]:
        """Reach, full bar, cover, rear end, and the height of the axis."""
        return (*self._on_the_axis(), *self._around(), self._height())

    def _on_the_axis(self) -> tuple[Requirement, ...]:
        return (
            Requirement(
                id="pusher-reach",
                title="Pusher reach",
                start="main-collet",
                end="pusher-tip",
                state=FRONT_LIMIT,
                side=Side.AT_LEAST,
                contact=-Form.of("rules.accepted_shortfall"),
                failure="the pusher would not reach the collet",
            ),
            Requirement(
                id="full-bar",
                title="Full bar before the collet",
                start="gripper",
                end="main-collet",
                state=BAR_CHANGE,
                side=Side.AT_LEAST,
                contact=self.bar,
                margin=Form.of("rules.bar_margin"),
                failure="a full bar would meet the collet during pre-feed",
            ),
        )

    def _around(self) -> tuple[Requirement, ...]:
        return (
            Requirement(
                id="cover-clearance",
                title="Clearance to the cover",
                start="body-front",
                end="cover",
                state=STANDING,
                side=Side.AT_LEAST,
                contact=NOTHING,
                margin=Form.of("rules.cover_clearance"),
                failure="the loader would strike the lathe's cover",
                needs=("lathe.cover_to_adapter",),
            ),
            Requirement(
                id="rear-room",
                title="Room behind the loader",
                start="wall",
                end="loader-rear",
                state=STANDING,
                side=Side.AT_LEAST,
                contact=NOTHING,
                margin=Form.of("rules.rear_service"),
                failure="the loader's rear end would stand too near the wall or aisle",
                each_mode=False,
                needs=("lathe.cover_to_adapter", "lathe.cover_to_wall", "loader.length_behind_clamp"),
            ),
        )

    def _height(self) -> Comparison:
        lathe, low, high = "lathe.centre_height", "loader.centre_height[0]", "loader.centre_height[1]"
        return Comparison(
            id="centre-height",
            title="Axis height",
            slacks=(
                ("above the loader's lowest axis", Form.of(lathe) - Form.of(low)),
                ("below the loader's highest axis", Form.of(high) - Form.of(lathe)),
            ),
            failure="the loader cannot be brought to the height of the spindle axis",
            needs=(lathe, low, high),
        )
