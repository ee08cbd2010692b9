"""What several errands share: opening a job, typing into the survey, and the answer of the command line to compare with."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path
from typing import Any
from urllib.parse import quote, urlsplit

from playwright.sync_api import Locator, Page, expect

from tests.jobs_typed import Typed


def job_of(page: Page) -> str:
    """The id of the job a page shows."""
    found = re.search(r"/jobs/([0-9a-f]{32})", page.url)
    assert found is not None, page.url
    return found[1]


def address(page: Page, path: str) -> str:
    """The whole address of a path on the server that a page came from."""
    parts = urlsplit(page.url)
    return f"{parts.scheme}://{parts.netloc}{path}"


def follow(link: Locator) -> None:
    """Click what leads to another page, and wait until that page is all there: a click alone is done before it has come."""
    with link.page.expect_navigation():
        link.click()


def begin(page: Page, title: str, *, units: str = "in", headstock: str = "sliding") -> str:
    """Begin a blank job; its id."""
    page.goto(address(page, "/jobs"))
    new = page.locator("form[action^='/jobs/new']")
    new.get_by_label("Title").fill(title)
    new.get_by_label("Headstock").select_option(headstock)
    new.get_by_label("Answers in").select_option(units)
    follow(new.get_by_role("button", name="Begin"))
    expect(page.get_by_role("heading", name="Survey", exact=True)).to_be_visible()
    return job_of(page)


def copy_of(page: Page, title: str) -> str:
    """A new job from a demonstration; its id."""
    page.goto(address(page, f"/jobs?search={quote(title)}"))
    card = page.locator(".card").filter(has=page.get_by_role("link", name=title, exact=True))
    # Copies are newer than what they are of: after many of them it stands on a later page.
    while card.count() == 0:
        follow(page.get_by_role("link", name="Older jobs"))
    follow(card.get_by_role("button", name="New from this"))
    return job_of(page)


def field(page: Page, path: str) -> Locator:
    """The box of a field."""
    return page.locator(f"#f-{slug(path)}-box")


def slug(path: str) -> str:
    """A field as a part of an id."""
    return re.sub(r"[^a-z0-9]+", "-", path.lower()).strip("-")


def type_into(page: Page, path: str, typed: Typed | str) -> None:
    """Type into a field of the survey and leave it; waits until the page says what became of it."""
    told = typed if isinstance(typed, Typed) else Typed(typed)
    box = field(page, path)
    control = page.locator(f"#f-{slug(path)}")
    with page.expect_response(lambda response: response.url.endswith("/field")):
        if control.evaluate("element => element.tagName") == "SELECT":
            control.select_option(told.text)
        else:
            control.fill(told.text)
            control.blur()
    expect(box.locator(".saved, .said.wrong, [role=alert]").first).to_be_visible()
    if told.way is not None:
        with page.expect_response(lambda response: response.url.endswith("/field")):
            page.locator(f"#f-{slug(path)}-way").select_option(told.way)
        expect(box.locator(".saved")).to_be_visible()


def fill_in(page: Page, sheet: Mapping[str, Typed | str]) -> None:
    """Type a whole sheet, adding rows as they come."""
    for path, typed in sheet.items():
        if not page.locator(f"#f-{slug(path)}").count():
            table = path.partition("[")[0]
            follow(page.locator(f"form:has(input[name=table][value='{table}']) button"))
        type_into(page, path, typed)


def answer_of(page: Page, folder: Path, *, at: str | None = None) -> dict[str, Any]:
    """What the command line says of the job a page shows, at a standoff."""
    file = folder / "job.toml"
    exported = page.request.get(address(page, f"/jobs/{job_of(page)}/export"))
    file.write_bytes(exported.body())
    command = [sys.executable, "-m", "standoff", "place", str(file), "--json", *(["--at", at] if at else [])]
    done = subprocess.run(command, capture_output=True, text=True, check=False, encoding="utf-8")
    assert done.returncode in (0, 1, 3), done.stderr
    found: dict[str, Any] = json.loads(done.stdout)
    return found
