"""The server on the loopback: one process, a start token in the address that is opened."""

from __future__ import annotations

import os
import secrets
import socket
import sys
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

import uvicorn

from standoff.desk.opening import open_workbench
from standoff.errors import UsageError
from standoff.web.app import application

LOOPBACK = "127.0.0.1"


@dataclass(frozen=True, slots=True)
class Opened:
    """Where the pages are, and where the jobs are kept."""

    address: str
    database: Path


def data_folder() -> Path:
    """The user's data folder: STANDOFF_DATA, or what the system provides for it."""
    if given := os.environ.get("STANDOFF_DATA"):
        return Path(given)
    if sys.platform == "win32":
        return Path(os.environ.get("LOCALAPPDATA", str(Path.home()))) / "standoff"
    if sys.platform == "darwin":
        return Path.home() / "Library" / "Application Support" / "standoff"
    return Path(os.environ.get("XDG_DATA_HOME", str(Path.home() / ".local" / "share"))) / "standoff"


def serve(*, port: int, data: Path | None, opened: Callable[[Opened], None]) -> None:
    """Serve until stopped; `opened` is told the address once it can be opened. Raises UsageError for a port in use."""
    database = (data or data_folder()) / "jobs.sqlite"
    bench = open_workbench(database, clock=lambda: datetime.now(UTC))
    listener = _listener(port)
    given = listener.getsockname()[1]
    token = secrets.token_urlsafe(32)
    app = application(bench, start_token=token, hosts=frozenset({f"{LOOPBACK}:{given}", f"localhost:{given}"}))
    config = uvicorn.Config(app, log_level="warning", access_log=False, server_header=False, date_header=False, lifespan="off")
    opened(Opened(f"http://{LOOPBACK}:{given}/enter?token={token}", database))
    try:
        uvicorn.Server(config).run(sockets=[listener])
    finally:
        bench.close()


def _listener(port: int) -> socket.socket:
    # Only of a socket that names its protocol does the event loop switch off the delay that costs each answer 40 ms.
    listener = socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    if sys.platform != "win32":
        listener.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listener.bind((LOOPBACK, port))
    except OSError as error:
        listener.close()
        raise UsageError(what="port", given=f"{port}, which is taken", allowed="a free one", action="give --port 0") from error
    listener.listen(64)
    return listener
