"""The gate: who may ask, from where, and what a page may load.

The server listens on the loopback only and hands out a start token in the address that is opened; the token becomes a cookie.
Anything without it, from a foreign host name (DNS rebinding) or, for a change, from a foreign origin or without the form's own
token, is turned away. Pages load nothing but what the package itself serves.
"""

from __future__ import annotations

import hashlib
import hmac
from urllib.parse import urlsplit

from starlette.datastructures import MutableHeaders
from starlette.requests import Request
from starlette.responses import PlainTextResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

CHANGING = frozenset({"POST", "PUT", "PATCH", "DELETE"})
FORM_TOKEN_HEADER = "x-standoff-form"
# "no-referrer" would make browsers send the origin "null" with our own forms.
HEADERS = {
    "Content-Security-Policy": (
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; font-src 'self'; connect-src 'self';"
        " form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
    ),
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), microphone=(), geolocation=()",
    "X-Frame-Options": "DENY",
}
TURNED_AWAY = (
    "This address needs the start token. Open the address that `standoff serve` printed when it started, or start it again.\n"
)


def form_token(start_token: str) -> str:
    """The token every form carries; it can be told from the start token but not the other way round."""
    return hmac.new(start_token.encode(), b"form", hashlib.sha256).hexdigest()


def cookie_name(host: str) -> str:
    """The cookie of the start token: browsers keep cookies by name of the host alone, so that the port has to be in it."""
    return f"standoff-{host.rpartition(':')[2]}"


def same(given: str, expected: str) -> bool:
    """Whether two secrets are the same, in a time that does not tell how far."""
    return hmac.compare_digest(given.encode(), expected.encode())


class Gate:
    """Lets through what belongs here and adds the security headers to every answer."""

    def __init__(self, app: ASGIApp, *, start_token: str, hosts: frozenset[str]) -> None:
        self.app = app
        self.start_token = start_token
        self.form_token = form_token(start_token)
        self.hosts = hosts

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Check a request, then pass it on."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return

        async def with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in HEADERS.items():
                    headers.setdefault(name, value)
                if not scope["path"].startswith("/static/"):
                    headers.setdefault("Cache-Control", "no-store")
            await send(message)

        refusal = self._refusal(Request(scope))
        await (refusal or self.app)(scope, receive, with_headers)

    def _refusal(self, request: Request) -> Response | None:
        host = request.headers.get("host", "")
        if host not in self.hosts:
            return PlainTextResponse("This server does not answer to that name.\n", status_code=421)
        if request.url.path == "/enter":
            return self._enter(request, host)
        if request.url.path.startswith("/static/"):
            return None
        if not same(request.cookies.get(cookie_name(host), ""), self.start_token):
            return PlainTextResponse(TURNED_AWAY, status_code=403)
        if request.method in CHANGING and not self._ours(request, host):
            return PlainTextResponse("This change did not come from a page of ours. Reload the page.\n", status_code=403)
        return None

    def _enter(self, request: Request, host: str) -> Response:
        if not same(request.query_params.get("token", ""), self.start_token):
            return PlainTextResponse(TURNED_AWAY, status_code=403)
        answer = RedirectResponse("/jobs", status_code=303)
        answer.set_cookie(cookie_name(host), self.start_token, httponly=True, samesite="strict", path="/")
        return answer

    def _ours(self, request: Request, host: str) -> bool:
        """Whether a change comes from our own page: the origin is ours and the page's own token came along."""
        origin = request.headers.get("origin")
        if origin is None or urlsplit(origin).netloc != host:
            return False
        given = request.headers.get(FORM_TOKEN_HEADER) or request.query_params.get("form", "")
        return same(given, self.form_token)
