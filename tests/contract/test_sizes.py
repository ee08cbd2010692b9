"""The two caps on size: a module, and a function."""

from __future__ import annotations

import ast

from tests.contract.source import FUNCTIONS, ROOT, Module, modules, planted

MODULE_LINES = 400
FUNCTION_LINES = 60


def oversize(module: Module) -> list[str]:
    """What of a module is too long."""
    lines = len(module.text.splitlines())
    found = [f"{module.name}: {lines} lines"] if lines > MODULE_LINES else []
    for node in ast.walk(module.tree):
        if isinstance(node, FUNCTIONS):
            length = (node.end_lineno or node.lineno) - node.lineno + 1
            if length > FUNCTION_LINES:
                found.append(f"{module.name}:{node.lineno}: {node.name} has {length} lines")
    return found


def test_no_module_and_no_function_is_too_long() -> None:
    """The package and the project's own commands keep below both caps."""
    commands = planted("dev", (ROOT / "dev.py").read_text(encoding="utf-8"))
    assert [offence for module in (*modules(), commands) for offence in oversize(module)] == []


def test_the_caps_are_exact() -> None:
    """A module of 400 lines and a function of 60 pass; one line more does not."""
    assert oversize(planted("full", "x = 1\n" * 400)) == []
    assert oversize(planted("long", "x = 1\n" * 401)) == ["long: 401 lines"]
    assert oversize(planted("full", "def f():\n" + "    x = 1\n" * 59)) == []
    assert oversize(planted("long", "def f():\n" + "    x = 1\n" * 60)) == ["long:1: f has 61 lines"]
