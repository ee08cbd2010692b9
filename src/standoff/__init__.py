"""The distance at which a bar loader serves a lathe: the public names.

Nothing is computed or loaded here: a name is imported from its room when it is first asked for, so that starting the
command line does not pay for the numeric packages.
"""

from __future__ import annotations

import importlib
from typing import Final

__version__ = "0.1.0"

_HOMES: Final[dict[str, str]] = {}
"""Public name -> the module it lives in."""

__all__ = ["__version__"]


def __getattr__(name: str) -> object:
    """Load a public name from its room."""
    if name not in _HOMES:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(importlib.import_module(_HOMES[name]), name)


def __dir__() -> list[str]:
    """List the public names, loaded or not."""
    return sorted({*globals(), *_HOMES})
