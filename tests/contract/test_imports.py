"""One home for each third-party package, and every import in plain sight at the top of its module."""

from __future__ import annotations

import ast
import sys

import pytest

from tests.contract.source import Module, imports, modules, planted

HOMES: dict[str, tuple[str, ...]] = {
    "click": ("cli",),
    "rich": ("cli",),
    "numpy": ("units", "reading", "model", "solve", "bar", "catalogue", "job", "site", "draw"),
    "scipy": ("solve", "bar", "job", "site"),
    "pydantic": ("job",),
    "tomllib": ("job",),
    "tomlkit": ("job",),
    "sqlalchemy": ("store",),
    "alembic": ("store",),
    "psycopg": ("store",),
    "starlette": ("web",),
    "uvicorn": ("web",),
    "jinja2": ("web",),
    "markupsafe": ("web",),
    "authlib": ("web",),
    "argon2": ("web",),
    "typst": ("report.pdf",),
    "ezdxf": ("draw.dxf",),
    "shapely": ("site",),
    "segno": ("report",),
    "xlsxwriter": ("desk",),
    "python_calamine": ("desk",),
}
"""Package -> the rooms or modules that may import it. A package that is not listed has no home: give it one here."""

LAZY = {"standoff", "standoff.cli"}
"""The modules that load others by name, so that the command line starts fast."""


def strays(module: Module) -> list[str]:
    """The third-party imports of a module that is not their home."""
    found = []
    for imported in imports(module):
        package = imported.target.split(".")[0]
        if package in ("standoff", "") or (package in sys.stdlib_module_names and package not in HOMES):
            continue
        homes = [f"standoff.{home}" for home in HOMES.get(package, ())]
        if not any(module.name == home or module.name.startswith(home + ".") for home in homes):
            found.append(f"{module.name}:{imported.line}: {package} has its home in {homes or 'no room yet'}")
    return found


def hidden(module: Module) -> list[str]:
    """The imports of a module that are relative, made by name, or do not stand at its top."""
    plain = {id(node) for node in module.tree.body}
    found = []
    for node in ast.walk(module.tree):
        if isinstance(node, (ast.Import, ast.ImportFrom)):
            if id(node) not in plain:
                found.append(f"{module.name}:{node.lineno}: an import below the top of the module")
            if isinstance(node, ast.ImportFrom) and node.level:
                found.append(f"{module.name}:{node.lineno}: a relative import")
        elif isinstance(node, (ast.Name, ast.Attribute)):
            name = node.id if isinstance(node, ast.Name) else node.attr
            if name in ("import_module", "__import__") and module.name not in LAZY:
                found.append(f"{module.name}:{node.lineno}: an import by name")
    return found


def test_third_party_packages_stay_in_their_homes() -> None:
    """No module imports a third-party package outside its home."""
    assert [stray for module in modules() for stray in strays(module)] == []


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("standoff.solve.window", "import click"),
        ("standoff.model.form", "from scipy.special import ndtr"),
        ("standoff.catalogue.shelf", "import tomllib"),
        ("standoff.draw.svg", "import ezdxf"),
        ("standoff.clip", "import click"),
        ("standoff.job.file", "import requests"),
    ],
)
def test_a_stray_package_is_found(name: str, text: str) -> None:
    """A package outside its home, in a look-alike room, or without a home is an offence."""
    assert len(strays(planted(name, text))) == 1


def test_imports_stand_at_the_top() -> None:
    """No import hides in a function, behind TYPE_CHECKING, in a try, in relative form or in a call."""
    assert [offence for module in modules() for offence in hidden(module)] == []


@pytest.mark.parametrize(
    "text",
    [
        "def late():\n    import math",
        "from typing import TYPE_CHECKING\nif TYPE_CHECKING:\n    import math",
        "try:\n    import math\nexcept ImportError:\n    pass",
        "from . import units",
        "import importlib\nimportlib.import_module('math')",
        "__import__('math')",
    ],
)
def test_a_hidden_import_is_found(text: str) -> None:
    """Each way of hiding an import is an offence."""
    assert len(hidden(planted("standoff.solve.window", text))) == 1
