"""No generic exception is raised: an error of the package is one of `standoff.errors`."""

from __future__ import annotations

import ast

import pytest

from tests.contract.source import Module, modules, planted

GENERIC = {"BaseException", "Exception", "RuntimeError", "TypeError", "ValueError"}


def generic_raises(module: Module) -> list[str]:
    """The raise statements of a module that name a generic exception, called or bare."""
    found = []
    for node in ast.walk(module.tree):
        if isinstance(node, ast.Raise) and node.exc is not None:
            raised = node.exc.func if isinstance(node.exc, ast.Call) else node.exc
            if isinstance(raised, ast.Name) and raised.id in GENERIC:
                found.append(f"{module.name}:{node.lineno}: raises {raised.id}")
    return found


def test_no_generic_exception_is_raised() -> None:
    """Nothing under src raises ValueError, RuntimeError, TypeError or Exception itself."""
    assert [offence for module in modules() for offence in generic_raises(module)] == []


@pytest.mark.parametrize("text", ["raise ValueError('no')", "raise RuntimeError", "raise Exception() from None"])
def test_a_generic_raise_is_found(text: str) -> None:
    """A generic exception is an offence in every form of the statement."""
    assert len(generic_raises(planted("planted", text))) == 1


def test_a_raise_of_our_own_is_none() -> None:
    """Our own exceptions, and raising again what was caught, are welcome."""
    text = "try:\n    raise UsageError(what='x')\nexcept UsageError:\n    raise\n"
    assert generic_raises(planted("planted", text)) == []
