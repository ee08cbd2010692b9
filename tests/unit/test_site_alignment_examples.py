"""The examples in the docstrings of levelling and alignment give what they show."""

from __future__ import annotations

import doctest
from importlib import import_module

import pytest


@pytest.mark.parametrize("name", ["dial", "level", "tolerance", "wire"])
def test_examples_are_true(name: str) -> None:
    """Every example of the module is run, and there is at least one."""
    run = doctest.testmod(import_module(f"standoff.site.{name}"))
    assert run.failed == 0
    assert run.attempted > 0
