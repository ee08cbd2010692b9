"""Every public module, class, function and method says what it is for."""

from __future__ import annotations

import ast

import pytest

from tests.contract.source import Module, modules, planted, public_definitions


def silent(module: Module) -> list[str]:
    """What of a module has no docstring."""
    found = [] if ast.get_docstring(module.tree) else [f"{module.name}: no docstring"]
    for name, node in public_definitions(module):
        if not ast.get_docstring(node):
            found.append(f"{module.name}:{node.lineno}: {name} has no docstring")
    return found


def test_everything_public_has_a_docstring() -> None:
    """No public name of the package is without a docstring."""
    assert [offence for module in modules() for offence in silent(module)] == []


@pytest.mark.parametrize(
    "text",
    [
        "x = 1",
        "'''Idea.'''\ndef public(): ...",
        "'''Idea.'''\nasync def public(): ...",
        "'''Idea.'''\nclass Public: ...",
        "'''Idea.'''\nclass Public:\n    '''It.'''\n    def method(self): ...",
    ],
)
def test_a_missing_docstring_is_found(text: str) -> None:
    """A module, function, class or method without a docstring is an offence."""
    assert len(silent(planted("planted", text))) == 1


def test_private_names_may_be_silent() -> None:
    """What begins with an underscore needs no docstring."""
    assert silent(planted("planted", "'''Idea.'''\ndef _private(): ...\nclass _Hidden:\n    def method(self): ...")) == []
