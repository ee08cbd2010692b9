"""Asking the pages without a server: one request to the application, and what it answers."""

from __future__ import annotations

import asyncio
from collections.abc import Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import urlencode

from starlette.applications import Starlette

from standoff.desk.workbench import Workbench
from standoff.web.app import application
from standoff.web.gate import cookie_name, form_token
from tests.benches import fresh_bench

HOST = "127.0.0.1:8765"
TOKEN = "the-start-token"
COOKIE = {"cookie": f"{cookie_name(HOST)}={TOKEN}"}
CHANGE = {**COOKIE, "origin": f"http://{HOST}", "x-standoff-form": form_token(TOKEN)}


@dataclass(frozen=True)
class Answer:
    """What came back."""

    status: int
    headers: Mapping[str, str]
    text: str


def pages(folder: Path) -> tuple[Starlette, Workbench]:
    """The application over an empty workbench, and that workbench."""
    bench = fresh_bench(folder)
    return application(bench, start_token=TOKEN, hosts=frozenset({HOST})), bench


def ask(
    app: Starlette, path: str, *, method: str = "GET", headers: Mapping[str, str] = COOKIE, form: Mapping[str, str] | None = None
) -> Answer:
    """Ask once; `form` is sent as a form is."""
    body = urlencode(form).encode() if form is not None else b""
    kind = {"content-type": "application/x-www-form-urlencoded"} if form is not None else {}
    sent = {"host": HOST, **kind, **headers}
    raw_path, _, query = path.partition("?")
    scope: dict[str, Any] = {
        "type": "http",
        "asgi": {"version": "3.0"},
        "http_version": "1.1",
        "method": method,
        "scheme": "http",
        "path": raw_path,
        "raw_path": raw_path.encode(),
        "root_path": "",
        "query_string": query.encode(),
        "headers": [(name.encode(), value.encode("latin-1")) for name, value in sent.items()],
        "server": ("127.0.0.1", 8765),
        "client": ("127.0.0.1", 50000),
    }
    told: list[dict[str, Any]] = []
    given = [{"type": "http.request", "body": body, "more_body": False}]

    async def receive() -> dict[str, Any]:
        return given.pop(0) if given else {"type": "http.disconnect"}

    async def send(message: Any) -> None:
        told.append(dict(message))

    # In a thread of its own: where a browser test ran before in this process, an event loop is still running in this one.
    with ThreadPoolExecutor(max_workers=1) as aside:
        aside.submit(asyncio.run, app(scope, receive, send)).result()  # type: ignore[arg-type]
    start = next(message for message in told if message["type"] == "http.response.start")
    text = b"".join(message.get("body", b"") for message in told if message["type"] == "http.response.body")
    return Answer(start["status"], {k.decode(): v.decode() for k, v in start["headers"]}, text.decode("utf-8", "replace"))


def typed(app: Starlette, job: str, field: str, text: str, *, base: int = 1, **more: str) -> Answer:
    """Leave a field with a text in it."""
    form = {"field": field, "text": text, "source": "tape", "base": str(base), **more}
    return ask(app, f"/jobs/{job}/field", method="POST", headers=CHANGE, form=form)
