"""How a screen is let in: a page with one button, and a code that is good once."""

from __future__ import annotations

import asyncio
import time

from starlette.exceptions import HTTPException
from starlette.requests import ClientDisconnect, Request
from starlette.responses import RedirectResponse, Response

from tether.second_screen import pages, tickets
from tether.second_screen.guard import LARGEST_BODY
from tether.second_screen.pairing import Try, spelt
from tether.second_screen.served import Served, address, let_in

_BODY_S = 5.0


async def ask(served: Served, request: Request) -> Response:
    """Show a button and nothing else: what opens links by itself must not use the code up."""
    if let_in(served, request):
        return RedirectResponse("/", 303)
    return pairing_page(spelt(request.path_params.get("code", "")), "", 200)


async def pair(served: Served, request: Request) -> Response:
    """Let in who knows the code; who does not waits for the answer."""
    assert served.pairing is not None, "there is no such page otherwise"
    said = await _said(request)
    now = time.monotonic()
    outcome = served.pairing.attempt(said, address(request), now)
    if outcome is not Try.RIGHT:
        await asyncio.sleep(served.pairing.pause_s(now))
        if outcome is Try.WRONG:
            return pairing_page("", "That is not the code, or it was used already.", 403)
        return pairing_page("", "Too many tries. Wait a moment, then try again.", 429)
    served.code_changed()
    paired = RedirectResponse("/", 303)
    paired.set_cookie(
        served.cookie, tickets.issued(served.secret), httponly=True, samesite="strict", path="/"
    )
    return paired


def pairing_page(code: str, words: str, status: int) -> Response:
    """Ask for the code, or for a press where it is known, and say in `words` what went wrong."""
    page = pages.html("pair.html", status, code=code, words=words)
    # Under "no-referrer" a form is sent with the origin "null" (Fetch, "append a request Origin
    # header"), which tells nothing. There is no link on the page that could lead elsewhere.
    page.headers["referrer-policy"] = "same-origin"
    if status == 429:
        page.headers["retry-after"] = "2"
    return page


async def _said(request: Request) -> str:
    body = b""
    try:
        async with asyncio.timeout(_BODY_S):
            async for part in request.stream():
                body += part
    except (TimeoutError, ClientDisconnect):
        raise HTTPException(408) from None
    if len(body) > LARGEST_BODY:
        raise HTTPException(413)
    name, _, value = body.decode("ascii", "replace").partition("=")
    return value.replace("%2D", "-").replace("+", "") if name == "code" else ""
