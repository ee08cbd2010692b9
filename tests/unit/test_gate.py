"""The gate: who may ask, from where, and what a page may load."""

from __future__ import annotations

from pathlib import Path

import pytest

from standoff.web.gate import form_token
from tests.asked import CHANGE, COOKIE, HOST, TOKEN, ask, pages

NEW = {"title": "Pedal cell", "units": "mm", "headstock": "sliding"}


def test_without_the_start_token_nothing_is_shown(tmp_path: Path) -> None:
    """No cookie, a wrong one, or one that is no plain text: turned away with what to do."""
    app, _ = pages(tmp_path)
    for headers in ({}, {"cookie": "standoff-8765=wrong"}, {"cookie": "standoff-8765=\xfc"}, {"cookie": f"standoff-1={TOKEN}"}):
        answer = ask(app, "/jobs", headers=headers)
        assert answer.status == 403
        assert "standoff serve" in answer.text


def test_the_token_in_the_address_becomes_a_cookie(tmp_path: Path) -> None:
    """The address that is opened sets a cookie no script can read; a wrong token does not."""
    app, _ = pages(tmp_path)
    entered = ask(app, f"/enter?token={TOKEN}", headers={})
    assert (entered.status, entered.headers["location"]) == (303, "/jobs")
    assert "HttpOnly" in entered.headers["set-cookie"]
    assert "samesite=strict" in entered.headers["set-cookie"].lower()
    assert ask(app, "/enter?token=wrong", headers={}).status == 403
    assert ask(app, "/enter", headers={}).status == 403


def test_another_name_is_not_answered(tmp_path: Path) -> None:
    """A host name that is not ours (DNS rebinding) is refused even with the cookie."""
    app, _ = pages(tmp_path)
    for host in ("evil.example", "evil.example:8765", "127.0.0.1", ""):
        assert ask(app, "/jobs", headers={**COOKIE, "host": host}).status == 421


@pytest.mark.parametrize(
    "lacking",
    [
        {**CHANGE, "origin": "http://evil.example"},
        {**CHANGE, "origin": "null"},
        {**CHANGE, "origin": f"http://{HOST}.evil.example"},
        {name: value for name, value in CHANGE.items() if name != "origin"},
        {name: value for name, value in CHANGE.items() if name != "x-standoff-form"},
        {**CHANGE, "x-standoff-form": form_token("another")},
        {name: value for name, value in CHANGE.items() if name != "cookie"},
    ],
)
def test_a_change_from_elsewhere_is_refused(tmp_path: Path, lacking: dict[str, str]) -> None:
    """A foreign or missing origin, a missing or wrong form token, a missing cookie: 403, and nothing is written."""
    app, bench = pages(tmp_path)
    assert ask(app, "/jobs/new", method="POST", headers=lacking, form=NEW).status == 403
    assert bench.cards() == []


def test_a_change_of_ours_is_taken(tmp_path: Path) -> None:
    """With the token in the header, or in a form's address, a change is made."""
    app, bench = pages(tmp_path)
    assert ask(app, "/jobs/new", method="POST", headers=CHANGE, form=NEW).status == 303
    plain = {name: value for name, value in CHANGE.items() if name != "x-standoff-form"}
    assert ask(app, f"/jobs/new?form={form_token(TOKEN)}", method="POST", headers=plain, form=NEW).status == 303
    assert len(bench.cards()) == 2


@pytest.mark.parametrize("path", ["/jobs", "/nowhere", "/enter", "/static/style.css", "/static/none.css", "/jobs/none/survey"])
def test_every_answer_carries_the_policy(tmp_path: Path, path: str) -> None:
    """Pages, refusals and files alike: nothing inline, nothing from elsewhere, no frame, no guessing of types."""
    app, _ = pages(tmp_path)
    answer = ask(app, path)
    policy = answer.headers["content-security-policy"]
    assert policy.startswith("default-src 'none'; script-src 'self'; style-src 'self'")
    assert "unsafe" not in policy
    assert "frame-ancestors 'none'" in policy
    assert answer.headers["x-content-type-options"] == "nosniff"


@pytest.mark.parametrize(
    "path", ["/static/../app.py", "/static/..%2fapp.py", "/static//etc/passwd", "/static/vendor/../../gate.py", "/static/"]
)
def test_only_the_static_files_are_served(tmp_path: Path, path: str) -> None:
    """No way leads out of the folder of static files."""
    app, _ = pages(tmp_path)
    answer = ask(app, path)
    assert answer.status == 404
    assert "import" not in answer.text


def test_pages_are_not_kept_by_the_browser(tmp_path: Path) -> None:
    """A page of a job is never taken from a cache."""
    app, _ = pages(tmp_path)
    assert ask(app, "/jobs").headers["cache-control"] == "no-store"


@pytest.mark.parametrize(("method", "status"), [("HEAD", 200), ("DELETE", 405), ("PUT", 405), ("PATCH", 405), ("OPTIONS", 405)])
def test_other_methods(tmp_path: Path, method: str, status: int) -> None:
    """HEAD is answered; what no page does is refused, never a fault."""
    app, _ = pages(tmp_path)
    assert ask(app, "/jobs", method=method, headers=CHANGE).status == status
