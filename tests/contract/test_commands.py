"""The project's own commands: an old Python can read them, and an environment is trusted only while it is whole."""

from __future__ import annotations

import ast
import errno
import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

import dev
from tests.contract.source import ROOT


def test_an_old_python_can_read_the_refusal() -> None:
    """dev.py holds no syntax newer than Python 3.6, so that an older Python gets as far as saying what to install."""
    text = (ROOT / "dev.py").read_text(encoding="utf-8")
    ast.parse(text, feature_version=(3, 6))
    with pytest.raises(SyntaxError):
        ast.parse("if (n := 1): pass", feature_version=(3, 6))


def test_without_a_command_the_commands_are_told() -> None:
    """Called alone it lists every command and succeeds; an unknown command is misuse."""
    alone = subprocess.run([sys.executable, "dev.py"], cwd=ROOT, capture_output=True, text=True, check=True)
    assert all(f"  {name} " in alone.stdout for name in ("demo", "test", "prove", "bench", "lint", "lock"))
    wrong = subprocess.run([sys.executable, "dev.py", "weld"], cwd=ROOT, capture_output=True, text=True, check=False)
    assert wrong.returncode == 2
    assert "'weld'" in wrong.stderr


@pytest.fixture
def whole(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> dict[str, Any]:
    """A pretended environment that is whole, and the content of its stamp."""
    monkeypatch.setattr(dev, "VENV", tmp_path)
    monkeypatch.setattr(dev, "STAMP", tmp_path / "stamp.json")
    monkeypatch.setattr(dev, "in_venv", lambda program: str(tmp_path / program))
    monkeypatch.setattr(dev, "installed_names", lambda: ["click", "numpy"])
    (tmp_path / "python").touch()
    return {"origin": dev.origin(), "levels": {"runtime": "abc"}, "names": ["click", "numpy"]}


def test_a_whole_environment_is_kept(whole: dict[str, Any]) -> None:
    """The stamp of a whole environment is believed."""
    dev.STAMP.write_text(json.dumps(whole))
    assert dev.read_stamp() == {"runtime": "abc"}


@pytest.mark.parametrize("part", ["python", "base", "folder"])
def test_an_environment_from_elsewhere_is_remade(whole: dict[str, Any], part: str) -> None:
    """An environment of another Python, or one that was copied to another folder, is not believed."""
    whole["origin"][part] = "another"
    dev.STAMP.write_text(json.dumps(whole))
    assert dev.read_stamp() == {}


def test_a_broken_environment_is_remade(whole: dict[str, Any]) -> None:
    """Without stamp, with half a stamp, without a package or without interpreter it is not believed."""
    assert dev.read_stamp() == {}
    dev.STAMP.write_text(json.dumps(whole)[:40])
    assert dev.read_stamp() == {}
    dev.STAMP.write_text(json.dumps({**whole, "names": ["click", "numpy", "scipy"]}))
    assert dev.read_stamp() == {}
    dev.STAMP.write_text(json.dumps(whole))
    (dev.VENV / "python").unlink()
    assert dev.read_stamp() == {}


@pytest.mark.parametrize("number", [errno.ENOSPC, errno.EACCES, errno.EROFS, errno.EIO])
def test_a_failing_disk_is_told_with_what_to_do(number: int) -> None:
    """Whatever the file system refuses, the sentence ends in the next action."""
    assert "run the same command again" in dev.explain(OSError(number, "refused", "x"))
