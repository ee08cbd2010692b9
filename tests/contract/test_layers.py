"""Who may import whom: the layers that pyproject.toml declares, and the rooms each room may see at all."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.contract.source import PACKAGE, ROOT, Module, imports, modules, planted

GROUND = {"errors", "units", "reading", "magnitude"}
SEES: dict[str, set[str]] = {
    "": set(),
    "__main__": {"cli"},
    "errors": set(),
    "units": {"errors"},
    "reading": {"errors", "units"},
    "magnitude": {"errors", "units"},
    "model": GROUND,
    "bar": GROUND,
    "store": GROUND,
    "solve": GROUND | {"model"},
    "catalogue": GROUND | {"model"},
    "site": GROUND | {"model", "solve", "bar"},
    "job": GROUND | {"model", "solve", "bar", "catalogue", "site"},
    "draw": GROUND | {"model", "solve", "bar", "catalogue", "job", "site"},
    "report": GROUND | {"model", "solve", "bar", "catalogue", "job", "site", "draw"},
    "desk": GROUND | {"model", "solve", "bar", "catalogue", "job", "site", "draw", "report", "store"},
    "web": {"desk", "errors", "units"},
    "cli": {"desk", "errors", "units", "web"},
}
"""Room -> the other rooms it may import. Every room may import itself and the package's version."""


def offences(module: Module) -> list[str]:
    """The imports by which a module looks into a room that it may not see."""
    if module.room not in SEES:
        return [f"{module.name}: the room '{module.room}' has no place in the layers"]
    allowed = SEES[module.room] | {module.room}
    return [
        f"{module.name}:{found.line}: may not import {found.target}"
        for found in imports(module)
        if found.target.startswith(("standoff.", "."))
        and found.target.split(".")[1] not in allowed
        and found.target != "standoff.__version__"
    ]


def lint_imports(folder: Path, source: Path) -> subprocess.CompletedProcess[str]:
    """Run import-linter with the project's own contracts on a copy of the source."""
    command = [sys.executable, "-c", "from importlinter.cli import lint_imports_command; lint_imports_command()"]
    command += ["--no-cache", "--no-logo", str(ROOT / "pyproject.toml")]
    environment = {**os.environ, "PYTHONPATH": str(source), "NO_COLOR": "1", "PYTHONUTF8": "1"}
    return subprocess.run(command, cwd=folder, env=environment, capture_output=True, text=True, check=False)


@pytest.fixture
def house(tmp_path: Path) -> Path:
    """A copy of the package that a test may spoil."""
    shutil.copytree(PACKAGE, tmp_path / "src" / "standoff", ignore=shutil.ignore_patterns("__pycache__"))
    return tmp_path / "src" / "standoff"


def test_the_declared_layers_hold(house: Path) -> None:
    """import-linter keeps every contract of pyproject.toml on the source as it is."""
    done = lint_imports(house.parents[1], house.parent)
    assert done.returncode == 0, done.stdout + done.stderr
    assert "1 kept, 0 broken" in done.stdout


@pytest.mark.parametrize("planted_import", ["import standoff.cli", "def late() -> None:\n    import standoff.cli"])
def test_the_declared_layers_fail_on_a_planted_import(house: Path, planted_import: str) -> None:
    """An upward import breaks the contract, also from inside a function."""
    (house / "errors.py").write_text(planted_import + "\n", encoding="utf-8")
    done = lint_imports(house.parents[1], house.parent)
    assert done.returncode == 1, done.stdout + done.stderr
    assert "standoff.errors -> standoff.cli" in done.stdout


def test_a_room_without_a_layer_is_refused(house: Path) -> None:
    """A new room must be given its place in the layers."""
    (house / "attic.py").write_text("", encoding="utf-8")
    done = lint_imports(house.parents[1], house.parent)
    assert done.returncode == 1, done.stdout + done.stderr
    assert "standoff.attic" in done.stdout


def test_every_room_sees_only_what_it_may() -> None:
    """No module imports a room that the table does not grant it."""
    assert [offence for module in modules() for offence in offences(module)] == []


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("standoff.model.form", "from standoff.solve.window import Window"),
        ("standoff.bar.whip", "from standoff.model import form"),
        ("standoff.cli.place", "from standoff.solve import window"),
        ("standoff.web.app", "import standoff.store.jobs"),
        ("standoff.job.file", "import standoff.store.jobs"),
        ("standoff.store.jobs", "def late():\n    from standoff.model.form import Form"),
        ("standoff.units", "from .model import form"),
        ("standoff.attic", ""),
    ],
)
def test_a_look_into_a_forbidden_room_is_found(name: str, text: str) -> None:
    """The table refuses sideways, downward-skipping, hidden and relative imports, and unknown rooms."""
    assert len(offences(planted(name, text))) == 1


def test_the_table_has_no_cycle() -> None:
    """Rooms can be put in an order in which each sees only earlier ones."""
    placed: set[str] = set()
    while waiting := {room for room in SEES if room not in placed}:
        ready = {room for room in waiting if SEES[room] <= placed}
        assert ready, f"these rooms see each other in a ring: {sorted(waiting)}"
        placed |= ready
