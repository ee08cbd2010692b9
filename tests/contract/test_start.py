"""The command line starts at once, and its exit status is never a verdict by accident."""

from __future__ import annotations

import importlib
import importlib.util
import os
import subprocess
import sys
from collections.abc import Callable

import click
import pytest
from click.testing import CliRunner

import standoff
from standoff.cli import COMMANDS, main
from standoff.errors import UsageError
from tests.contract.source import modules

HEAVY = ("numpy", "scipy", "pydantic", "tomlkit", "tomllib")


def test_help_loads_nothing_heavy() -> None:
    """`--help` imports neither the numeric packages nor any command's module."""
    code = (
        "import sys; from standoff.cli import main\n"
        "try: main(['--help'])\n"
        "except SystemExit: print('LOADED', *sorted(sys.modules))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    loaded = done.stdout.split("LOADED")[1].split()
    assert "standoff.cli" in loaded
    assert [name for name in loaded if name in HEAVY or name.startswith("standoff.cli.")] == []


def test_help_answers_at_once() -> None:
    """The quickest of five starts takes less than 0.2 s of the processor more than the interpreter alone, however busy it is."""

    def spent() -> float:
        times = os.times()
        return times.children_user + times.children_system

    def quickest(*arguments: str) -> float:
        taken = []
        for _ in range(5):
            before = spent()
            subprocess.run([sys.executable, *arguments], capture_output=True, check=True)
            taken.append(spent() - before)
        return min(taken)

    assert quickest("-m", "standoff", "--help") - quickest("-c", "pass") < 0.2


def test_help_names_every_command() -> None:
    """Every command of the table stands in the help with its line."""
    told = CliRunner().invoke(main, ["--help"])
    assert told.exit_code == 0
    for name, (_, line) in COMMANDS.items():
        assert f"{name} " in told.output
        assert line in told.output


def test_the_version_is_told() -> None:
    """`--version` says the package's version."""
    assert standoff.__version__ in CliRunner().invoke(main, ["--version"]).output


@pytest.mark.parametrize("name", list(COMMANDS))
def test_a_command_is_what_the_table_says(name: str) -> None:
    """A command's module, once it exists, offers a click command of the table's name."""
    module, line = COMMANDS[name]
    assert module == f"standoff.cli.{name}"
    assert line.endswith(".")
    if importlib.util.find_spec(module):
        command = importlib.import_module(module).command
        assert isinstance(command, click.Command)
        assert command.name == name


def test_every_command_module_is_in_the_table() -> None:
    """A module of the cli room that offers a command can be reached from the command line."""
    listed = {module for module, _ in COMMANDS.values()}
    for module in modules():
        if module.name.startswith("standoff.cli.") and module.name not in listed:
            assert not hasattr(importlib.import_module(module.name), "command")


def stop() -> None:
    """End as a command ends that the user stopped."""
    raise KeyboardInterrupt


def misuse() -> None:
    """End as a command ends that was given something unusable."""
    raise UsageError(what="side", given="left", allowed="front or rear", action="write front")


def slip() -> None:
    """End as a command ends that has a fault."""
    raise KeyError("nothing")


def refuse() -> None:
    """End as a command ends that the argument parser gives up on."""
    raise click.FileError("job.toml", "cannot be opened")


@pytest.mark.parametrize(("ending", "status"), [(stop, 130), (misuse, 2), (slip, 70), (refuse, 2)])
def test_a_failure_never_looks_like_a_verdict(monkeypatch: pytest.MonkeyPatch, ending: Callable[[], None], status: int) -> None:
    """Status 1 means 'does not fit', so whatever goes wrong ends with another one, and in words."""
    monkeypatch.setattr(type(main), "get_command", lambda *_: click.Command("place", callback=ending))
    done = CliRunner().invoke(main, ["place"])
    assert done.exit_code == status
    assert done.stderr.strip()


def test_an_unknown_command_is_misuse() -> None:
    """A command that does not exist ends with the status of misuse."""
    assert CliRunner().invoke(main, ["weld"]).exit_code == 2


def test_an_unknown_public_name_is_refused() -> None:
    """The lazy package answers for an unknown name as any module does."""
    with pytest.raises(AttributeError, match="no attribute 'Weld'"):
        _ = standoff.Weld
    assert set(standoff.__all__) <= set(dir(standoff))
