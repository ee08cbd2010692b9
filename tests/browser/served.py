"""A real server in a process of its own, and what tests need to know of it."""

from __future__ import annotations

import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import urlsplit


@dataclass(frozen=True)
class Server:
    """A running server: the address that lets a browser in, and its process."""

    entrance: str
    process: subprocess.Popen[str]
    data: Path

    @property
    def base(self) -> str:
        """Where its pages are."""
        parts = urlsplit(self.entrance)
        return f"{parts.scheme}://{parts.netloc}"

    @property
    def host(self) -> str:
        """Its host with the port."""
        return urlsplit(self.entrance).netloc


@contextmanager
def serving(data: Path, *, port: int = 0) -> Iterator[Server]:
    """Start `standoff serve`, wait for the address it prints, and stop it in the end."""
    command = [sys.executable, "-u", "-m", "standoff", "serve", "--port", str(port), "--data", str(data), "--no-browser"]
    errors = (data.parent / f"{data.name}.errors").open("w", encoding="utf-8")
    environment = {**os.environ, "PYTHONUTF8": "1"}
    with errors, subprocess.Popen(command, stdout=subprocess.PIPE, stderr=errors, text=True, env=environment) as process:
        try:
            assert process.stdout is not None
            said = ""
            while "Open http" not in said:
                line = process.stdout.readline()
                assert line, f"the server ended: {Path(errors.name).read_text(encoding='utf-8')}"
                said += line
            yield Server(said.partition("Open ")[2].split()[0], process, data)
        finally:
            process.terminate()
