"""The lathe as an entry: its stations and its modes. Z is the control's; here it becomes travel from the first rear limit."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from standoff.model.form import NOTHING, Form
from standoff.model.state import FIXED, Mode
from standoff.model.station import Carrier, Station
from standoff.reading import Reading


@dataclass(frozen=True, slots=True)
class Lathe:
    """A lathe as measured: `z_sign` is +1 where the control's Z grows forward, -1 where it falls; `mode_names` in file order."""

    name: str
    sliding: bool
    z_sign: float
    mode_names: tuple[str, ...]
    readings: Mapping[str, Reading]

    def stations(self) -> tuple[Station, ...]:
        """Adapter and collet on the headstock; cover, wall and cut-off plane on the frame."""
        adapter_to_collet = Form.of("lathe.adapter_to_collet")
        cover = -Form.of("lathe.cover_to_adapter")
        return (
            Station("adapter", Carrier.HEADSTOCK, NOTHING),
            Station("main-collet", Carrier.HEADSTOCK, adapter_to_collet),
            Station("cut-off", Carrier.LATHE, self.modes()[0].front + adapter_to_collet + Form.of("lathe.collet_to_cutoff")),
            Station("cover", Carrier.LATHE, cover),
            Station("wall", Carrier.LATHE, cover - Form.of("lathe.cover_to_wall")),
        )

    def modes(self) -> tuple[Mode, ...]:
        """The modes; a fixed headstock has one, named fixed, in which nothing travels."""
        if not self.sliding:
            return (Mode(FIXED),)
        return tuple(self._mode(i, name) for i, name in enumerate(self.mode_names))

    def _mode(self, index: int, name: str) -> Mode:
        key = f"lathe.modes[{index}]"
        front = self._travel(f"{key}.z_front")
        if f"{key}.z_bar_change" in self.readings:
            bar_change = self._travel(f"{key}.z_bar_change")
        else:
            bar_change = front - Form.of("rules.bar_change_setback")
        shift = Form.of(f"{key}.loader_shift") if f"{key}.loader_shift" in self.readings else NOTHING
        return Mode(name, rear=self._travel(f"{key}.z_rear"), front=front, bar_change=bar_change, shift=shift)

    def _travel(self, z: str) -> Form:
        return (Form.of(z) - Form.of("lathe.modes[0].z_rear")).times(self.z_sign)
