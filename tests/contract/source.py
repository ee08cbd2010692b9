"""The package's source as the contract tests read it: one value per module, with its text and its syntax tree."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PACKAGE = ROOT / "src" / "standoff"

AnyFunction = ast.FunctionDef | ast.AsyncFunctionDef
FUNCTIONS = (ast.FunctionDef, ast.AsyncFunctionDef)


@dataclass(frozen=True)
class Module:
    """One module of the package."""

    name: str
    text: str
    tree: ast.Module

    @property
    def room(self) -> str:
        """The part of the package it belongs to; empty for the package's own __init__."""
        return self.name.split(".")[1] if "." in self.name else ""


@dataclass(frozen=True)
class Import:
    """One imported name: by which module, at which line, and in full (`standoff.units.parse_length`)."""

    module: Module
    line: int
    target: str


@cache
def modules() -> tuple[Module, ...]:
    """All modules of the package; never empty."""
    found = tuple(read(path) for path in sorted(PACKAGE.rglob("*.py")))
    assert len(found) >= 3
    return found


def read(path: Path) -> Module:
    """One module from its file."""
    parts = path.relative_to(PACKAGE.parent).with_suffix("").parts
    name = ".".join(parts[:-1] if parts[-1] == "__init__" else parts)
    return planted(name, path.read_text(encoding="utf-8"))


def planted(name: str, text: str) -> Module:
    """A module that exists only in a test."""
    return Module(name, text, ast.parse(text))


def imports(module: Module) -> Iterator[Import]:
    """Every import of a module, wherever in it it stands."""
    for node in ast.walk(module.tree):
        if isinstance(node, ast.Import):
            for alias in node.names:
                yield Import(module, node.lineno, alias.name)
        elif isinstance(node, ast.ImportFrom):
            origin = "." * node.level + (node.module or "")
            for alias in node.names:
                yield Import(module, node.lineno, f"{origin}.{alias.name}")


def public_definitions(module: Module) -> Iterator[tuple[str, AnyFunction | ast.ClassDef]]:
    """The public functions and classes of a module and the public methods of those classes, with their names."""
    for node in module.tree.body:
        if isinstance(node, (*FUNCTIONS, ast.ClassDef)) and not node.name.startswith("_"):
            yield node.name, node
            for member in node.body if isinstance(node, ast.ClassDef) else ():
                if isinstance(member, FUNCTIONS) and not member.name.startswith("_"):
                    yield f"{node.name}.{member.name}", member
