"""The server: a token in the address, the loopback only, the demonstrations on the first start, a port that is taken."""

from __future__ import annotations

import http.client
import re
import socket
import subprocess
import sys
from pathlib import Path
from urllib.parse import urlsplit

import pytest

from standoff.errors import UsageError
from standoff.web.serve import data_folder, serve
from tests.browser.served import serving


def test_the_first_page_by_the_address_it_prints(tmp_path: Path) -> None:
    """The printed address lets in, the five demonstrations are there, and a second start keeps what was there."""
    for _ in range(2):
        with serving(tmp_path / "data") as server:
            parts = urlsplit(server.entrance)
            assert parts.hostname == "127.0.0.1"
            connection = http.client.HTTPConnection(parts.netloc)
            connection.request("GET", f"{parts.path}?{parts.query}")
            entered = connection.getresponse()
            entered.read()
            cookie = (entered.headers["Set-Cookie"] or "").partition(";")[0]
            connection.request("GET", "/jobs", headers={"Cookie": cookie})
            text = connection.getresponse().read().decode()
            assert len(re.findall(r'<li class="card">', text)) == 5
            assert "Axle cell" in text
    assert (tmp_path / "data" / "jobs.sqlite").is_file()


def test_a_port_that_is_taken_is_said(tmp_path: Path) -> None:
    """The command ends with 2 and what to do, not with a traceback."""
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = str(taken.getsockname()[1])
        command = [sys.executable, "-m", "standoff", "serve", "--port", port, "--no-browser", "--data", str(tmp_path)]
        done = subprocess.run(command, capture_output=True, text=True, check=False)
        with pytest.raises(UsageError, match="--port 0"):
            serve(port=int(port), data=tmp_path, opened=lambda _: None)
    assert done.returncode == 2
    assert "--port 0" in done.stderr
    assert "Traceback" not in done.stderr


def test_where_the_jobs_are_kept(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """STANDOFF_DATA, or the folder the system has for a user's data."""
    monkeypatch.setenv("STANDOFF_DATA", str(tmp_path))
    assert data_folder() == tmp_path
    monkeypatch.delenv("STANDOFF_DATA")
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path))
    monkeypatch.setenv("LOCALAPPDATA", str(tmp_path))
    assert data_folder().name == "standoff"
