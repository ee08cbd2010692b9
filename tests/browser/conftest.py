"""A server and a browser for each worker; every page is watched: no error, nothing from elsewhere, no failure at the server."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from urllib.parse import urlsplit

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, Response, sync_playwright

from tests.browser.browsers import ARGUMENTS, browser_program
from tests.browser.served import Server, serving

QUIET_MS = 12_000


@pytest.fixture(scope="module")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Server]:
    """A server with the demonstration jobs, anew for each file of tests."""
    with serving(tmp_path_factory.mktemp("served") / "data") as running:
        yield running


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """The installed browser."""
    with sync_playwright() as playwright:
        running = playwright.chromium.launch(executable_path=browser_program(), args=list(ARGUMENTS))
        yield running
        running.close()


class Watch:
    """What went wrong on the pages of a context."""

    def __init__(self, host: str) -> None:
        self.host = host
        self.faults: list[str] = []
        self.expected: tuple[str, ...] = ()

    def over(self, context: BrowserContext) -> None:
        """Watch every page of a context."""
        context.on("request", lambda request: self._asked(request.url))
        context.on("response", self._answered)
        context.on("page", self._opened)

    def _asked(self, url: str) -> None:
        parts = urlsplit(url)
        if parts.scheme in ("http", "https", "ws", "wss") and parts.netloc != self.host:
            self.faults.append(f"a request left the machine: {url}")

    def _answered(self, response: Response) -> None:
        if response.status >= 500:
            self.faults.append(f"{response.status} from {response.url}")
        policy = response.headers.get("content-security-policy", "")
        if "default-src 'none'" not in policy or "unsafe" in policy:
            self.faults.append(f"no strict policy with {response.url}")

    def _opened(self, page: Page) -> None:
        page.on(
            "console",
            lambda message: self._told(f"{message.type}: {message.text}") if message.type in ("error", "warning") else None,
        )
        page.on("pageerror", lambda error: self._told(f"error: {error}"))

    def _told(self, text: str) -> None:
        if not any(words in text for words in self.expected):
            self.faults.append(text)


@pytest.fixture
def watch(server: Server) -> Iterator[Watch]:
    """Everything that went wrong is a failure in the end; `expected` names what a test provokes."""
    watching = Watch(server.host)
    yield watching
    assert watching.faults == []


@pytest.fixture
def entered(server: Server, browser: Browser, watch: Watch) -> Iterator[Callable[..., Page]]:
    """Opens a page of a new context that has the start token; keyword arguments are the context's."""
    contexts: list[BrowserContext] = []

    def enter(**settings: object) -> Page:
        context = browser.new_context(**{"viewport": {"width": 1280, "height": 900}, **settings})  # type: ignore[arg-type]
        context.set_default_timeout(QUIET_MS)
        contexts.append(context)
        watch.over(context)
        page = context.new_page()
        page.goto(server.entrance)
        return page

    yield enter
    for context in contexts:
        context.close()


@pytest.fixture
def page(entered: Callable[..., Page]) -> Page:
    """One page with the start token, at the list of jobs."""
    return entered()


@pytest.fixture
def paper(tmp_path: Path) -> Path:
    """A folder for files that go in or come out."""
    return tmp_path
