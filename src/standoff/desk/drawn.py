"""A picture as a page shows it: once for a wide screen, once for a narrow one."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from standoff.draw.elevation import Arrangement
from standoff.draw.scene import Scene
from standoff.draw.svg import svg


@dataclass(frozen=True, slots=True)
class Drawn:
    """A picture for a wide and for a narrow screen."""

    wide: str
    narrow: str


def drawn(scene: Callable[[Arrangement], Scene]) -> Drawn:
    """A scene for both screens."""
    return Drawn(svg(scene("wide"), standalone=False), svg(scene("narrow"), standalone=False))
