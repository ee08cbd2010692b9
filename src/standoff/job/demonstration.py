"""The demonstration jobs: files in the package, invented, one for each thing the program must be able to tell."""

from __future__ import annotations

from importlib.resources import files

from standoff.errors import UsageError

NAMES = ("axle-cell", "spoke-nipple-cell", "shell-cell", "spacer-cell", "moved-cell")


def text_of(name: str) -> str:
    """The text of a demonstration job file."""
    if name not in NAMES:
        raise UsageError(what="demonstration job", given=name, allowed=", ".join(NAMES))
    return files("standoff.job").joinpath("demo", f"{name}.toml").read_text(encoding="utf-8")
