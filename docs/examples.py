"""The examples of a page: what its `console` blocks show is what the commands print.

A block is carried out line by line in an empty folder that holds the demonstration jobs under `standoff-demo`. A `toml` block
that names a file is added to that file first, so that a page can build one up. Only `standoff ...` and `echo $?` are run; a line
`...` stands for output left out.
"""

from __future__ import annotations

import contextlib
import re
import shlex
import tempfile
from pathlib import Path

from click.testing import CliRunner

from standoff.cli import main
from standoff.desk.jobs import DEMONSTRATIONS, demonstration

_BLOCK = re.compile(r"^```(console|toml (?P<file>\S+))\n(?P<body>.*?)^```$", re.MULTILINE | re.DOTALL)
_LEFT_OUT = "..."


class Session:
    """A folder in which the commands of one page are carried out, and the status of the last one."""

    def __init__(self) -> None:
        self._status = 0
        folder = Path("standoff-demo")
        folder.mkdir()
        for name in DEMONSTRATIONS:
            (folder / f"{name}.toml").write_text(demonstration(name), encoding="utf-8")

    def block(self, found: re.Match[str]) -> str:
        """The block as it should stand in the page."""
        if found["file"]:
            path = Path(found["file"])
            before = f"{path.read_text(encoding='utf-8')}\n" if path.exists() else ""
            path.write_text(before + found["body"], encoding="utf-8")
            return found[0]
        lines = found["body"].splitlines()
        starts = [i for i, line in enumerate(lines) if line.startswith("$ ")]
        told = lines[: starts[0]] if starts else lines
        for start, end in zip(starts, [*starts[1:], len(lines)], strict=True):
            told += [lines[start], *self._answer(lines[start].removeprefix("$ "), lines[start + 1 : end])]
        return "\n".join(["```console", *told, "```"])

    def _answer(self, command: str, shown: list[str]) -> list[str]:
        """What a command prints, left out where the page leaves out."""
        if command == "echo $?":
            return [str(self._status)]
        program, *arguments = shlex.split(command)
        if program != "standoff":
            return shown
        done = CliRunner().invoke(main, arguments, prog_name="standoff")
        self._status = done.exit_code
        # A path is printed as the system writes it; the pages write it in one way.
        output = done.output.replace("standoff-demo\\", "standoff-demo/").rstrip("\n").split("\n")
        if _LEFT_OUT not in shown:
            return output
        head = shown.index(_LEFT_OUT)
        tail = len(shown) - head - 1
        return [*output[:head], _LEFT_OUT, *output[len(output) - tail :]]


def rewritten(page: str) -> str:
    """The page with every shown output as the commands give it now."""
    with tempfile.TemporaryDirectory() as folder, contextlib.chdir(folder):
        return _BLOCK.sub(Session().block, page)
