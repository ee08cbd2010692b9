"""What is committed works on any machine: no path of somebody's computer, no address of a package index."""

from __future__ import annotations

import re
import shutil
import subprocess
from pathlib import Path

import pytest

from tests.contract.source import ROOT

OUR_DOT_NAMES = {".ci", ".gitignore"}
NOT_OURS = {"__pycache__", "build", "dist", "htmlcov"}
HOMES_OF_SOMEBODY = "home|root|Users|tmp|work|opt|mnt|private"
# Written in halves, so that this file does not name what it looks for.
INDEX_HOSTS = ("py" + "pi.org", "python" + "hosted.org", "npm" + "js.org", "npm" + "js.com", "deb." + "debian.org")
MACHINE_PATH = re.compile(rf"(?<![\w.)\]}}>/*-])/(?:{HOMES_OF_SOMEBODY})/\w|\b[A-Za-z]:\\{{1,2}}Users")


def offences(name: str, text: str) -> list[str]:
    """The lines of a text that tie it to one machine or to a package index."""
    found = []
    for number, line in enumerate(text.splitlines(), start=1):
        if MACHINE_PATH.search(line):
            found.append(f"{name}:{number}: a path of one machine")
        if any(host in line for host in INDEX_HOSTS):
            found.append(f"{name}:{number}: the host of a package index")
    return found


def texts() -> dict[str, str]:
    """The project's text files by name: what git tracks or would, or everything where there is no git."""
    names = tracked() or [path.relative_to(ROOT).as_posix() for path in ROOT.rglob("*") if is_ours(path)]
    found = {}
    for name in names:
        path = ROOT / name
        content = path.read_bytes() if path.is_file() else b""
        if b"\0" not in content:
            found[name] = content.decode("utf-8")
    return found


def is_ours(path: Path) -> bool:
    """Whether a path is the project's own, rather than an environment, a build or a cache."""
    parts = path.relative_to(ROOT).parts
    return not any(part in NOT_OURS or (part.startswith(".") and part not in OUR_DOT_NAMES) for part in parts)


def tracked() -> list[str]:
    """The files that git tracks or would track; none where this folder is no clone."""
    if not (ROOT / ".git").exists() or shutil.which("git") is None:
        return []
    command = ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, check=True)
    return [name for name in done.stdout.decode("utf-8").split("\0") if name]


def test_no_text_is_tied_to_one_machine() -> None:
    """No committed text names a machine's folder or a package index."""
    found = texts()
    assert {"pyproject.toml", "requirements.lock", "requirements-dev.lock", "dev.py", ".ci/run"} <= set(found)
    assert [offence for name, text in found.items() for offence in offences(name, text)] == []


@pytest.mark.parametrize(
    "line",
    [
        "open('/ho" + "me/ann/job.toml')",
        "cd /wo" + "rk/main",
        "C:\\Us" + "ers\\ann",
        *(f"see {host}" for host in INDEX_HOSTS),
    ],
)
def test_a_tied_text_is_found(line: str) -> None:
    """A path under somebody's folder and an index host are offences."""
    assert len(offences("planted", line)) == 1


@pytest.mark.parametrize("line", ["docs/how-to/work/plan.md", "../tmp/x", "#!/usr/bin/env bash", "1/2 in"])
def test_other_slashes_are_none(line: str) -> None:
    """Relative paths, fractions and the system's own programs are not taken for machine paths."""
    assert offences("planted", line) == []


def test_locks_carry_hashes_only() -> None:
    """Each package of the lock files is pinned with hashes, the build backend too, and no address stands in them."""
    for name in ("requirements.lock", "requirements-dev.lock", "requirements-bench.lock"):
        lines = (ROOT / name).read_text(encoding="utf-8").splitlines()
        heads = [number for number, line in enumerate(lines) if not line.startswith(" ")]
        assert len(heads) > 5
        for number in heads:
            assert re.match(r"[a-z0-9-]+==[^ ]+ (; .+ )?\\$", lines[number]), lines[number]
            assert lines[number + 1].startswith("    --hash=sha256:")
        assert any(line.startswith("hatchling==") for line in lines)
        assert not any("://" in line or line.startswith("-") for line in lines)


def test_the_tests_run_on_what_the_demo_installs() -> None:
    """Every line of the runtime lock stands in the developers' lock too."""
    runtime, developers = (set((ROOT / name).read_text().splitlines()) for name in ("requirements.lock", "requirements-dev.lock"))
    assert runtime <= developers
