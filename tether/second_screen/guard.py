"""What no request gets past, whichever page it asks for, and what every answer carries."""

from __future__ import annotations

import asyncio
import time

from starlette.types import ASGIApp, Message, Receive, Scope, Send

from tether.second_screen.pace import Pace

LARGEST_BODY = 1024

# Sources: CSP Level 3; Fetch (nosniff, CORP); HTML (COOP); Permissions Policy.
HEADERS = {
    b"content-security-policy": b"default-src 'none'; script-src 'self'; style-src 'self'; "
    b"img-src 'self'; connect-src 'self'; form-action 'self'; base-uri 'none'; "
    b"frame-ancestors 'none'",
    b"x-content-type-options": b"nosniff",
    b"x-frame-options": b"DENY",
    b"referrer-policy": b"no-referrer",
    b"cache-control": b"no-store",
    b"cross-origin-resource-policy": b"same-origin",
    b"cross-origin-opener-policy": b"same-origin",
    b"permissions-policy": b"camera=(), microphone=(), geolocation=()",
}

# A page that opens takes five requests; more than ten a second nobody makes with a thumb.
_AT_ONCE, _A_SECOND = 200, 20.0
_PAUSE_S = 0.5


class Guard:
    """Wraps the pages.

    Parameters
    ----------
    names
        What a request may call us besides the address that it came in by. Any other name may be
        one that somebody else's name server leads here (DNS rebinding).
    """

    def __init__(self, app: ASGIApp, names: frozenset[str]) -> None:
        self._app, self._names = app, names
        self._pace = Pace(_AT_ONCE, _A_SECOND)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer the request, or refuse it."""
        if scope["type"] != "http":
            return

        async def carrying(message: Message) -> None:
            if message["type"] == "http.response.start":
                given = dict(message["headers"])
                message = {**message, "headers": list((HEADERS | given).items())}
            await send(message)

        if not self._pace.within(scope["client"][0], time.monotonic()):
            await asyncio.sleep(_PAUSE_S)
        refused = self._refused(scope)
        if refused is None:
            await self._app(scope, receive, carrying)
        else:
            await _say(carrying, *refused)

    def _refused(self, scope: Scope) -> tuple[int, str] | None:
        headers = [
            (name.decode("latin-1"), value.decode("latin-1")) for name, value in scope["headers"]
        ]
        told = dict(headers)
        host = told.get("host", "")
        doubled = sum(name == "host" for name, _ in headers) != 1
        if doubled or not self._ours(host, scope["server"][0]):
            return 421, "this page is not served under that name"
        if scope["method"] not in {"GET", "POST"}:
            return 405, "only GET and POST"
        length = told.get("content-length", "0")
        short = length.isdecimal() and len(length) <= len(str(LARGEST_BODY))
        if "transfer-encoding" in told or not short or int(length) > LARGEST_BODY:
            return 413, "too much"
        fetched = told.get("sec-fetch-site", "same-origin")
        if scope["method"] == "POST":
            if told.get("origin") != f"http://{host}":
                return 403, "this must be asked from the page itself"
        elif fetched in {"cross-site", "same-site"} and told.get("sec-fetch-mode") != "navigate":
            return 403, "this must be asked from the page itself"
        return None

    def _ours(self, host: str, own: str) -> bool:
        name = host.lower()
        head, _, port = name.rpartition(":")
        if port.isdecimal() and head:
            name = head
        return name in self._names or name.strip("[]") == own.partition("%")[0].lower()


async def _say(send: Send, status: int, words: str) -> None:
    body = f"{words}\n".encode()
    headers = [
        (b"content-type", b"text/plain; charset=utf-8"),
        (b"content-length", str(len(body)).encode()),
        (b"connection", b"close"),
    ]
    await send({"type": "http.response.start", "status": status, "headers": headers})
    await send({"type": "http.response.body", "body": body})
