"""The examples in the docstrings of the bar's modules give what they print."""

from __future__ import annotations

import doctest
from importlib import import_module
from pkgutil import iter_modules

import pytest

from standoff import bar

MODULES = sorted(found.name for found in iter_modules(bar.__path__))


@pytest.mark.parametrize("name", MODULES)
def test_examples_give_what_they_print(name: str) -> None:
    """Each example of the module comes out as written."""
    assert doctest.testmod(import_module(f"standoff.bar.{name}")).failed == 0


def test_examples_are_there() -> None:
    """The modules of formulas show some."""
    shown = {name for name in MODULES if doctest.testmod(import_module(f"standoff.bar.{name}")).attempted}
    assert {"section", "stock", "beam", "supports", "whip", "site_checks", "bow", "buckling"} <= shown
